package standards_test

import (
	"errors"
	"math"
	"testing"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/units"
)

// Each rule with figures just inside and just outside, worked out by hand from the
// text of the rule that its constant names; 130 lb and 33 lb for 60 hp are 7800 lb
// and 1980 lb.
func TestCompare(t *testing.T) {
	hp := 60 * units.MechanicalHorsepower
	for name, c := range map[string]struct {
		rule   standards.Rule
		inside standards.Figures
		out    standards.Figures
		value  float64 // of inside
	}{
		"height over track":    {standards.HeightOverTrack, standards.Figures{CGHeight: 0.9, Track: 1}, standards.Figures{CGHeight: 0.91, Track: 1}, 0.9},
		"steered over unladen": {standards.SteeredOverUnladen, standards.Figures{Steered: 500, Unladen: 2500}, standards.Figures{Steered: 499, Unladen: 2500}, 0.2},
		"steered over laden":   {standards.SteeredOverLaden, standards.Figures{Steered: 600, Laden: 3000}, standards.Figures{Steered: 599, Laden: 3000}, 0.2},
		"steered over total":   {standards.SteeredOverTotal, standards.Figures{Steered: 800, WithImplement: 4000}, standards.Figures{Steered: 799, WithImplement: 4000}, 0.2},
		"steered over level":   {standards.SteeredOverLevel, standards.Figures{Steered: 200, SteeredLevel: 1000}, standards.Figures{Steered: 199, SteeredLevel: 1000}, 0.2},
		"rear over total":      {standards.RearOverTotal, standards.Figures{Rear: 800, WithImplement: 4000}, standards.Figures{Rear: 799, WithImplement: 4000}, 0.2},
		"test mass": {standards.TestMassPerPower, standards.Figures{TestMass: 7800.01 * units.Pound, Power: hp},
			standards.Figures{TestMass: 7799 * units.Pound, Power: hp}, 1},
		"test front": {standards.TestFrontPerPower, standards.Figures{TestFront: 1980.01 * units.Pound, Power: hp},
			standards.Figures{TestFront: 1979 * units.Pound, Power: hp}, 1},
	} {
		met, err := c.inside.Compare()
		if err != nil {
			t.Fatal(err)
		}
		not, err := c.out.Compare()
		if err != nil {
			t.Fatal(err)
		}
		if got := met[c.rule]; got.Rule != c.rule || got.Outcome != standards.Met || math.Abs(float64(got.Value)-c.value) > 1e-5 {
			t.Errorf("%s: %+v", name, got)
		}
		if got := not[c.rule]; got.Outcome != standards.NotMet {
			t.Errorf("%s: %+v", name, got)
		}
		for _, list := range [][standards.NumRules]standards.Comparison{met, not} {
			for r, got := range list {
				if !got.Cautions.Has(standards.CautionNotApproval) || got.Rule != standards.Rule(r) || !(got.Limit > 0) {
					t.Errorf("%s: %+v", name, got)
				}
				if got.Rule != c.rule && got.Outcome != standards.NotChecked {
					t.Errorf("%s: %v is checked without its figures", name, got.Rule)
				}
			}
		}
	}
	if standards.DriverMass != 75 {
		t.Error(standards.DriverMass)
	}
}

// The five denominators of 20 % give five answers for one tractor.
func TestFiveDenominators(t *testing.T) {
	f := standards.Figures{Unladen: 2500, Laden: 3100, WithImplement: 4200, Steered: 600, SteeredLevel: 1100, Rear: 3600}
	got, err := f.Compare()
	if err != nil {
		t.Fatal(err)
	}
	want := map[standards.Rule]float64{standards.SteeredOverUnladen: 0.24, standards.SteeredOverLaden: 600.0 / 3100,
		standards.SteeredOverTotal: 600.0 / 4200, standards.SteeredOverLevel: 600.0 / 1100, standards.RearOverTotal: 3600.0 / 4200}
	for rule, v := range want {
		outcome := standards.NotMet
		if v >= 0.2 {
			outcome = standards.Met
		}
		if c := got[rule]; math.Abs(float64(c.Value)-v) > 1e-12 || c.Outcome != outcome || c.Limit != 0.2 {
			t.Errorf("%+v, want %v", c, v)
		}
	}
	for path, bad := range map[string]standards.Figures{"cgHeight": {CGHeight: 50}, "track": {Track: -1}, "steered": {Steered: units.Mass(math.NaN())}, "power": {Power: 1}, "unladen": {Unladen: 1e6}} {
		if _, err := bad.Compare(); err == nil {
			t.Errorf("%s passes", path)
		}
	}
}

// A mass that is greater than the one it is a part of is named by its path: no
// tractor has such figures.
func TestContradictoryFigures(t *testing.T) {
	for path, f := range map[string]standards.Figures{
		"laden":        {Laden: 3001, WithImplement: 3000},
		"steeredLevel": {SteeredLevel: 3001, Laden: 3000},
		"testFront":    {TestFront: 3001, TestMass: 3000},
	} {
		_, err := f.Compare()
		var field *units.FieldError
		if !errors.As(err, &field) || field.Path != path {
			t.Errorf("%s: %v", path, err)
		}
	}
	equal := standards.Figures{Laden: 3000, WithImplement: 3000, SteeredLevel: 3000, TestFront: 2000, TestMass: 2000}
	if _, err := equal.Compare(); err != nil {
		t.Error(err)
	}
}
