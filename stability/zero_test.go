package stability_test

import (
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// What was not compiled, or under another gravity, answers nothing, and the
// statuses say so.
func TestNothingCompiled(t *testing.T) {
	m, err := loaderTractor(0).Compile()
	if err != nil {
		t.Fatal(err)
	}
	moon, err := stability.Situation{Slope: 0.1, Friction: 0.6}.Compile(1.62)
	if err != nil {
		t.Fatal(err)
	}
	earth, err := stability.Situation{Slope: 0.1, Friction: 0.6}.Compile(units.StandardGravity)
	if err != nil {
		t.Fatal(err)
	}
	for name, f := range map[string]func() (stability.Limits, stability.Loads){
		"zero case": func() (stability.Limits, stability.Loads) {
			return m.LimitsIn(&stability.Case{}), m.LoadsIn(&stability.Case{})
		},
		"zero model": func() (stability.Limits, stability.Loads) {
			z := new(stability.Model)
			return z.LimitsIn(&earth), z.LoadsIn(&earth)
		},
		"nothing": func() (stability.Limits, stability.Loads) {
			z := new(stability.Model)
			return z.LimitsIn(&stability.Case{}), z.LoadsIn(&stability.Case{})
		},
		"other gravity": func() (stability.Limits, stability.Loads) { return m.LimitsIn(&moon), m.LoadsIn(&moon) },
	} {
		if limits, loads := f(); limits != (stability.Limits{}) || loads != (stability.Loads{}) {
			t.Errorf("%s: %+v, %+v", name, limits, loads)
		}
	}
	if w := new(stability.Model).WorstTip(); w != (stability.Tip{}) || w.First.Status != stability.NotChecked {
		t.Errorf("%+v", w)
	}
	if l := m.LimitsIn(&earth); l.First.Status != stability.Binds || l.Loads == (stability.Loads{}) {
		t.Errorf("%+v", l)
	}
}
