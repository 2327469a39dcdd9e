package liquid

import (
	"reflect"
	"testing"

	"example.com/steelyard/units"
)

// The memory for shapes that came before is bounded, and equal shapes have the
// answers of a fresh start.
func TestShapesKept(t *testing.T) {
	s := shapes{levels: []Level{ValveAt(12), MassOf(50)}, fluids: []Fluid{{Kind: Water}, {Kind: BeetMolasses}}, most: 12}
	tire, err := ParseTire("14.9-24")
	if err != nil {
		t.Fatal(err)
	}
	var first [][]Filled
	for i := range 10 {
		// three shapes fit: the first comes again after 5
		r := tire
		r.OverallDiameter.Value += units.Length(i%5) * 0.001
		got := s.fill(&r)
		if s.kept > 12 || len(s.by) > 3 {
			t.Errorf("%d answers of %d shapes kept", s.kept, len(s.by))
		}
		if i == 0 {
			first = got
		}
		if i == 5 && !reflect.DeepEqual(got, first) {
			t.Errorf("again: %+v, was %+v", got, first)
		}
		if again := s.fill(&r); &again[0][0] != &got[0][0] {
			t.Error("an equal shape was worked out again")
		}
	}
	r := tire
	r.Known = []KnownVolume{{Level: ValveAt(12), Volume: 0.2, Spread: 0.01, Unloaded: true}}
	if a, b := s.fill(&r), s.fill(&tire); a[0][0].VolumeBand == b[0][0].VolumeBand {
		t.Error("a tire with known volumes has the answers of one without")
	}
	rough := tire
	rough.Known = []KnownVolume{{Level: ValveAt(12), Volume: 0.2, Spread: 0.02, Unloaded: true}}
	if a, b := s.fill(&r), s.fill(&rough); a[0][0].VolumeBand == b[0][0].VolumeBand {
		t.Error("a tire that is known roughly has the answers of one that is known well")
	}
}
