package stability

import (
	"testing"

	"example.com/steelyard/units"
)

// What was not compiled, or under another gravity, answers nothing, and the
// statuses say so.
func TestNothingCompiled(t *testing.T) {
	m, err := loaderTractor(0).Compile()
	if err != nil {
		t.Fatal(err)
	}
	moon, err := Situation{Slope: 0.1, Friction: 0.6}.Compile(1.62)
	if err != nil {
		t.Fatal(err)
	}
	earth, err := Situation{Slope: 0.1, Friction: 0.6}.Compile(units.StandardGravity)
	if err != nil {
		t.Fatal(err)
	}
	for name, f := range map[string]func() (Limits, Loads){
		"zero case":     func() (Limits, Loads) { return m.LimitsIn(&Case{}), m.LoadsIn(&Case{}) },
		"zero model":    func() (Limits, Loads) { z := new(Model); return z.LimitsIn(&earth), z.LoadsIn(&earth) },
		"nothing":       func() (Limits, Loads) { z := new(Model); return z.LimitsIn(&Case{}), z.LoadsIn(&Case{}) },
		"other gravity": func() (Limits, Loads) { return m.LimitsIn(&moon), m.LoadsIn(&moon) },
	} {
		if limits, loads := f(); limits != (Limits{}) || loads != (Loads{}) {
			t.Errorf("%s: %+v, %+v", name, limits, loads)
		}
	}
	if w := new(Model).WorstTip(); w != (Tip{}) || w.First.Status != NotChecked {
		t.Errorf("%+v", w)
	}
	if l := m.LimitsIn(&earth); l.First.Status != Binds || l.Loads == (Loads{}) {
		t.Errorf("%+v", l)
	}
}
