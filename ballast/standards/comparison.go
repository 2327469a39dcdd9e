package standards

import (
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Rule names a figure of law or of practice with which a tractor is compared. In
// JSON: "heightOverTrack", "steeredOverUnladen", "steeredOverLaden",
// "steeredOverTotal", "steeredOverLevel", "rearOverTotal", "testMassPerPower" or
// "testFrontPerPower".
type Rule uint8

// The rules. Five of them say "20 %", each of something else.
const (
	// HeightOverTrack: the height of the center of gravity over the mean minimum
	// track. Above 0.90 a narrow tractor (category T2) is limited to 30 km/h:
	// Regulation (EU) No 167/2013, Article 4.
	HeightOverTrack Rule = iota
	// SteeredOverUnladen: the steered axle carries at least 20 % of the unladen
	// mass, whatever the state of loading: Delegated Regulation (EU) 2015/208, Annex
	// XXII, 2.2.
	SteeredOverUnladen
	// SteeredOverLaden: the steered axle carries at least 20 % of the mass in the
	// state asked about, without what a trailer or the ground carries. Common
	// practice, no source.
	SteeredOverLaden
	// SteeredOverTotal: the steered axle carries at least 20 % of the total mass
	// with the implement, as rules in Japan ask; read in a secondary text.
	SteeredOverTotal
	// SteeredOverLevel: the front axle keeps at least 20 % of its own load on level
	// ground: DGUV Vorschrift 36.
	SteeredOverLevel
	// RearOverTotal: with a loader, the rear axle carries at least 20 % of the
	// total mass. Common practice, no source.
	RearOverTotal
	// TestMassPerPower: the mass of a construction tractor for the test of its
	// roll-over protection is at least 130 lb per horsepower: 29 CFR 1926.1002(e).
	TestMassPerPower
	// TestFrontPerPower: of that mass at least 33 lb per horsepower stand on the
	// front axle: 29 CFR 1926.1002(e).
	TestFrontPerPower
	// NumRules is how many rules there are.
	NumRules = iota
)

var ruleNames = []string{"heightOverTrack", "steeredOverUnladen", "steeredOverLaden", "steeredOverTotal", "steeredOverLevel", "rearOverTotal", "testMassPerPower", "testFrontPerPower"}

// Outcome says how a tractor compares with a rule. In JSON: "notChecked", "met" or
// "notMet".
type Outcome uint8

// The outcomes.
const (
	// NotChecked: a figure that the rule needs was not given.
	NotChecked Outcome = iota
	// Met: the figure meets the rule. It is no approval.
	Met
	// NotMet: the figure does not meet the rule.
	NotMet
)

var outcomeNames = []string{"notChecked", "met", "notMet"}

// DriverMass is the mass of the driver in the unladen mass in running order:
// Delegated Regulation (EU) 2015/208, Article 2.
const DriverMass = 75 * units.Kilogram

// Figures of the rules.
const (
	mostHeightOverTrack = 0.90
	leastShare          = 0.20
	testPerPower        = 130 * units.PoundPerMechanicalHorsepower
	testFrontPerPower   = 33 * units.PoundPerMechanicalHorsepower
)

// Figures are what is known of a tractor for a comparison with the rules. Zero
// means not known: what needs it is not checked.
type Figures struct {
	// CGHeight is the height of the center of gravity above level ground, 0.1 to
	// 5 m.
	CGHeight units.Length `json:"cgHeight,omitempty"`
	// Track is the mean of the minimum tracks of all axles, 0.2 to 6 m.
	Track units.Length `json:"track,omitempty"`
	// Unladen is the unladen mass in running order, with the driver (DriverMass),
	// 50 kg to 100 t.
	Unladen units.Mass `json:"unladen,omitempty"`
	// Laden is the mass in the state asked about, without the implement if that
	// has a mass of its own in WithImplement, 50 kg to 100 t.
	Laden units.Mass `json:"laden,omitempty"`
	// WithImplement is the total mass with the implement or the loader's load, 50 kg
	// to 100 t.
	WithImplement units.Mass `json:"withImplement,omitempty"`
	// Steered is what the steered axle carries in the state asked about, 1 kg to
	// 100 t.
	Steered units.Mass `json:"steered,omitempty"`
	// SteeredLevel is what the steered axle carries on level ground, without the
	// pull, the slope or the implement of the state asked about, 1 kg to 100 t.
	SteeredLevel units.Mass `json:"steeredLevel,omitempty"`
	// Rear is what the rear axle carries in the state asked about, 1 kg to 100 t.
	Rear units.Mass `json:"rear,omitempty"`
	// Power is the net engine power, 100 W to 1 MW.
	Power units.Power `json:"power,omitempty"`
	// TestMass is the mass for the test of the roll-over protection, 50 kg to
	// 100 t.
	TestMass units.Mass `json:"testMass,omitempty"`
	// TestFront is what of it stands on the front axle, 1 kg to 100 t.
	TestFront units.Mass `json:"testFront,omitempty"`
}

// Comparison is a tractor compared with one rule.
type Comparison struct {
	// Rule is the rule.
	Rule Rule `json:"rule"`
	// Outcome is how the tractor compares.
	Outcome Outcome `json:"outcome"`
	// Value is the tractor's figure over that which the rule names: a height over
	// a track, a load over a mass, or for the masses by power a mass over the least
	// one. It is zero where the rule is not checked.
	Value units.Fraction `json:"value"`
	// Limit is what Value must not be below or, for HeightOverTrack, above.
	Limit units.Fraction `json:"limit"`
	// Notes say how well the rule is known.
	Notes Notes `json:"notes"`
	// Cautions belong to the comparison.
	Cautions Cautions `json:"cautions"`
}

// Validate reports every bad field by its path, or nil. A mass that is a part of
// another is no greater: Laden than WithImplement, SteeredLevel than Laden, and
// TestFront than TestMass.
func (f Figures) Validate() error {
	var c units.FieldErrors
	valid.ZeroOr(&c, "cgHeight", f.CGHeight, 0.1, 5)
	valid.ZeroOr(&c, "track", f.Track, valid.MinTrack, valid.MaxTrack)
	for _, m := range []struct {
		path  string
		mass  units.Mass
		least units.Mass
	}{
		{"unladen", f.Unladen, 50}, {"laden", f.Laden, 50}, {"withImplement", f.WithImplement, 50},
		{"steered", f.Steered, 1}, {"steeredLevel", f.SteeredLevel, 1}, {"rear", f.Rear, 1},
		{"testMass", f.TestMass, 50}, {"testFront", f.TestFront, 1},
	} {
		valid.ZeroOr(&c, m.path, m.mass, m.least, valid.MaxMass)
	}
	valid.ZeroOr(&c, "power", f.Power, 100, 1e6)
	if c.Err() == nil {
		f.checkParts(&c)
	}
	return c.Err()
}

// checkParts reports a mass that is greater than the one it is a part of.
func (f Figures) checkParts(c *units.FieldErrors) {
	for _, m := range []struct {
		path        string
		part, whole units.Mass
	}{
		{"laden", f.Laden, f.WithImplement},
		{"steeredLevel", f.SteeredLevel, f.Laden},
		{"testFront", f.TestFront, f.TestMass},
	} {
		if m.whole != 0 {
			valid.ZeroOr(c, m.path, m.part, 1, m.whole)
		}
	}
}

// Compare compares a tractor with every rule, by Rule. A rule whose figures are not
// known is not checked. It is a comparison and no approval: who may approve, and by
// which measurement, the law says.
func (f Figures) Compare() ([NumRules]Comparison, error) {
	var out [NumRules]Comparison
	if err := f.Validate(); err != nil {
		return out, err
	}
	over := func(r Rule, part, whole, limit float64, notes Notes) {
		out[r] = Comparison{Rule: r, Limit: units.Fraction(limit), Notes: notes, Cautions: CautionManual | CautionRoadRules | CautionNotApproval}
		if part == 0 || whole == 0 {
			return
		}
		v := part / whole
		out[r].Value, out[r].Outcome = units.Fraction(v), NotMet
		if v >= limit && r != HeightOverTrack || v <= limit && r == HeightOverTrack {
			out[r].Outcome = Met
		}
	}
	over(HeightOverTrack, float64(f.CGHeight), float64(f.Track), mostHeightOverTrack, 0)
	over(SteeredOverUnladen, float64(f.Steered), float64(f.Unladen), leastShare, 0)
	over(SteeredOverLaden, float64(f.Steered), float64(f.Laden), leastShare, NotePracticeOnly)
	over(SteeredOverTotal, float64(f.Steered), float64(f.WithImplement), leastShare, NoteSecondaryText)
	over(SteeredOverLevel, float64(f.Steered), float64(f.SteeredLevel), leastShare, 0)
	over(RearOverTotal, float64(f.Rear), float64(f.WithImplement), leastShare, NotePracticeOnly)
	over(TestMassPerPower, float64(f.TestMass), float64(testPerPower)*float64(f.Power), 1, 0)
	over(TestFrontPerPower, float64(f.TestFront), float64(testFrontPerPower)*float64(f.Power), 1, 0)
	return out, nil
}
