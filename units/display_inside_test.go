package units

import "testing"

// Every choice of a display unit must exist and be read by the parser.
func TestCustomaryUnits(t *testing.T) {
	for i := range kinds {
		for system, list := range customary[i] {
			if len(list) == 0 || list[len(list)-1].from != 0 {
				t.Errorf("%s: system %d has no last choice", kinds[i].typ, system)
			}
			for _, c := range list {
				if kinds[i].find(c.symbol) == nil {
					t.Errorf("%s: no unit %q", kinds[i].typ, c.symbol)
				}
			}
		}
	}
}
