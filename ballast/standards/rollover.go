package standards

import (
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// ROPSTest is a tractor whose roll-over protective structure is to be tested
// by the rules of the United States, 29 CFR 1928.51(a).
type ROPSTest struct {
	// Unballasted is the mass of the tractor with the structure and without
	// ballast, 50 kg to 100 t; zero leaves it out of the comparison.
	Unballasted units.Mass `json:"unballasted,omitempty"`
	// GrossRating is the greatest gross mass that the maker allows, 50 kg to
	// 100 t. It must be given: without it the reference mass may be too small.
	GrossRating units.Mass `json:"grossRating"`
	// PTOPower is the greatest power at the power take-off at rated engine
	// speed, 100 W to 1 MW; zero means unknown.
	PTOPower units.Power `json:"ptoPower,omitempty"`
	// EnginePower is the net engine power, 100 W to 1 MW, used if PTOPower is
	// not known; one of the two must be given.
	EnginePower units.Power `json:"enginePower,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (r ROPSTest) Validate() error {
	var c units.FieldErrors
	valid.ZeroOr(&c, "unballasted", r.Unballasted, 50, valid.MaxMass)
	valid.Given(&c, "grossRating", r.GrossRating, 50, valid.MaxMass, "must be given; it is the greatest gross mass that the maker allows")
	valid.ZeroOr(&c, "ptoPower", r.PTOPower, 100, 1e6)
	valid.ZeroOr(&c, "enginePower", r.EnginePower, 100, 1e6)
	if r.PTOPower == 0 && r.EnginePower == 0 {
		c.Add("ptoPower", nil, "must be given, unless enginePower is given")
	}
	return c.Err()
}

// ReferenceMass is the tractor mass for the test of its protective structure.
type ReferenceMass struct {
	// Mass is the reference mass: the greatest of PerPower, the maker's gross
	// mass and the unballasted mass.
	Mass units.Mass `json:"mass"`
	// PerPower is the least mass by power: 110 lb per horsepower.
	PerPower units.Mass `json:"perPower"`
	// PerPowerMetric is the same by the regulation's metric figure, 50.0 kg per
	// horsepower, which gives 0.2 % more.
	PerPowerMetric units.Mass `json:"perPowerMetric"`
	// Front is the least load of the front axle, 25 % of Mass.
	Front units.Mass `json:"front"`
	// PTOPower is the power that was used.
	PTOPower units.Power `json:"ptoPower"`
	// Notes say how the answer was reached.
	Notes Notes `json:"notes"`
	// Cautions belong to the answer.
	Cautions Cautions `json:"cautions"`
}

// Figures of 29 CFR 1928.51(a), "Tractor weight".
const (
	// ROPSFrontShare is the least share of the reference mass on the front
	// axle.
	ROPSFrontShare units.Fraction = 0.25
	// PTOShare is the power at the power take-off as a share of the net engine power,
	// used if the former is not known.
	PTOShare units.Fraction = 0.95

	ropsPerPower       = 110 * units.PoundPerMechanicalHorsepower
	ropsPerPowerMetric = 50.0 // kg per horsepower
)

// Solve returns the reference mass of the test. The horsepower of the
// regulation is the mechanical one.
func (r ROPSTest) Solve() (ReferenceMass, error) {
	if err := r.Validate(); err != nil {
		return ReferenceMass{}, err
	}
	out := ReferenceMass{PTOPower: r.PTOPower, Cautions: CautionManual | CautionROPS}
	if out.PTOPower == 0 {
		out.PTOPower = units.Power(float64(PTOShare) * float64(r.EnginePower))
		out.Notes |= NotePowerEstimated
	}
	out.PerPower = units.Mass(float64(ropsPerPower) * float64(out.PTOPower))
	out.PerPowerMetric = units.Mass(ropsPerPowerMetric * float64(out.PTOPower/units.MechanicalHorsepower))
	out.Mass = max(out.PerPower, r.GrossRating, r.Unballasted)
	out.Front = units.Mass(float64(ROPSFrontShare) * float64(out.Mass))
	return out, nil
}
