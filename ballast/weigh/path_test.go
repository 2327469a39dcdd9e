package weigh_test

import (
	"math/rand/v2"
	"reflect"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/units"
)

// Every path of every error is one of the JSON form of what was given.
func TestErrorPaths(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 6))
	seen := map[string]bool{}
	hold := func(of reflect.Type, err error) {
		t.Helper()
		if err != nil && len(units.Fields(err)) == 0 {
			t.Errorf("%v: %v: no field", of, err)
		}
		for _, f := range units.Fields(err) {
			seen[f.Path] = true
			if !fieldtest.Resolves(of, f.Path) {
				t.Errorf("%v: %v: no path of the JSON form", of, f)
			}
		}
	}
	for range 500 {
		s, _ := simulated(r)
		d := weigh.Document{Version: ballast.DocumentVersion, Weighing: s}
		d.Weighing.Readings = append([]weigh.LoadReading(nil), s.Readings...)
		fieldtest.Spoil(r, reflect.ValueOf(&d).Elem())
		hold(reflect.TypeFor[weigh.Document](), d.Validate())
		_, err := d.Weighing.Predict()
		hold(reflect.TypeFor[weigh.Session](), err)

		sheet := orchardSheet()
		sheet.Parts = append([]weigh.SpecPart(nil), sheet.Parts...)
		c := weigh.Reconciliation{Sheet: sheet, Scale: weigh.Scale{SD: 5}, Readings: readingsOf(orchardSheet())}
		fieldtest.Spoil(r, reflect.ValueOf(&c).Elem())
		_, err = c.Solve()
		hold(reflect.TypeFor[weigh.Reconciliation](), err)
		if t.Failed() {
			return
		}
	}
	if len(seen) < 40 {
		t.Errorf("only %d paths seen", len(seen))
	}
}
