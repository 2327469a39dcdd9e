package standards

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// Traction is one drive wheel on soil, for the equations of ASABE D497 (W. W.
// Brixius, Traction prediction equations for bias ply tires, ASAE paper
// 87-1622, 1987; for radial tires F. M. Zoz and R. D. Grisso, Traction and
// tractor performance, ASAE, 2003). All their constants are from memory until
// somebody reads them in the source; every answer says so.
type Traction struct {
	// ConeIndex is the soil's cone index (CI), 50 kPa to 10 MPa. Remembered
	// values: 1800 kPa hard, 1200 firm, 900 tilled, 450 soft soil.
	ConeIndex units.Pressure `json:"coneIndex"`
	// Load is the wheel's force on the ground while pulling (W), 100 N to 500 kN.
	Load units.Force `json:"load"`
	// Width is the unloaded tire's section width (b), 0.05 m to 2 m.
	Width units.Length `json:"width"`
	// Diameter is the unloaded tire's overall diameter (d), 0.2 m to 3 m.
	Diameter units.Length `json:"diameter"`
	// Deflection is the deflection of the loaded tire on hard ground, as a share of
	// its section height (delta/h), 0.01 to 0.5.
	Deflection units.Fraction `json:"deflection"`
	// Construction is how the plies run; left out and for a belted bias tire it counts
	// as bias, which pulls less.
	Construction liquid.Construction `json:"construction,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (t Traction) Validate() error {
	var c units.FieldErrors
	valid.Given(&c, "coneIndex", t.ConeIndex, 50e3, 10e6, "must be given; it is the soil's cone index")
	valid.Given(&c, "load", t.Load, 100, 500e3, "must be given; it is the wheel's force on the ground")
	valid.Given(&c, "width", t.Width, 0.05, 2, "must be given; it is the tire's section width")
	valid.Given(&c, "diameter", t.Diameter, 0.2, 3, "must be given; it is the tire's overall diameter")
	valid.Given(&c, "deflection", t.Deflection, 0.01, 0.5, "must be given; it is the deflection as a share of the section height, such as 0.2")
	knownConstruction(&c, t.Construction)
	return c.Err()
}

// TractionRatios holds the traction of a drive wheel at one slip. The ratios are
// shares of the wheel's load.
type TractionRatios struct {
	// Mobility is the mobility number B_n, without a unit.
	Mobility float64 `json:"mobility"`
	// Slip is the slip for which the ratios were computed.
	Slip units.Fraction `json:"slip"`
	// Gross is the gross traction ratio.
	Gross units.Fraction `json:"gross"`
	// Resistance is the motion resistance ratio.
	Resistance units.Fraction `json:"resistance"`
	// Net is the net traction ratio, Gross - Resistance. A negative ratio means that
	// the wheel must be pushed.
	Net units.Fraction `json:"net"`
	// Efficiency is the tractive efficiency, (1 - Slip) Net/Gross. It is negative if
	// Net is negative.
	Efficiency units.Fraction `json:"efficiency"`
	// Pull is the wheel's net pull, Net times its load. It is 0 from TractionAt, which
	// has no load.
	Pull units.Force `json:"pull"`
	// Notes say how the answer was reached; NoteMemory is always set.
	Notes Notes `json:"notes"`
}

// tractionConstants are those of the two equations of [TractionAt].
type tractionConstants struct{ grip, slip, rolling, base float64 }

// knownConstruction reports a value outside the list.
func knownConstruction(c *units.FieldErrors, k liquid.Construction) {
	if k > liquid.BiasBelted {
		c.Add("construction", k, "must be left out or be one of bias, radial, biasBelted")
	}
}

// constantsOf returns the constants of a construction; all of them are from memory.
func constantsOf(k liquid.Construction) tractionConstants {
	if k == liquid.Radial {
		return tractionConstants{grip: 0.88, slip: 9.5, rolling: 0.9, base: 0.0325}
	}
	return tractionConstants{grip: 0.88, slip: 7.5, rolling: 1, base: 0.04}
}

// Mobility returns the mobility number of the wheel. Held by TestValidation.
//
//	B_n = (CI b d/W) (1 + 5 delta/h)/(1 + 3 b/d).
func (t Traction) Mobility() (float64, error) {
	if err := t.Validate(); err != nil {
		return 0, err
	}
	return t.mobility(), nil
}

func (t *Traction) mobility() float64 {
	area := float64(t.Width) * float64(t.Diameter)
	return float64(t.ConeIndex) * area / float64(t.Load) *
		(1 + float64(5*t.Deflection)) / (1 + float64(3*float64(t.Width/t.Diameter)))
}

// At returns the traction of the wheel at a slip from 0 to 1; see [TractionAt] for the
// equations. A note marks a tire, load or slip outside the range of the fit: b/d 0.1
// to 0.7, delta/h 0.1 to 0.3, W/(b d) 15 to 55 kPa (memory), slip up to 0.3 (the range
// of its charts; memory).
func (t Traction) At(slip units.Fraction) (TractionRatios, error) {
	var c units.FieldErrors
	c.Join("", t.Validate())
	valid.Within(&c, "slip", slip, 0, 1)
	if err := c.Err(); err != nil {
		return TractionRatios{}, err
	}
	return t.at(slip), nil
}

func (t *Traction) at(slip units.Fraction) TractionRatios {
	out := traction(t.mobility(), slip, t.Construction)
	out.Pull = units.Force(float64(out.Net) * float64(t.Load))
	shape := float64(t.Width / t.Diameter)
	pressure := float64(t.Load) / (float64(t.Width) * float64(t.Diameter))
	if shape < 0.1 || shape > 0.7 || t.Deflection < 0.1 || t.Deflection > 0.3 || pressure < 15e3 || pressure > 55e3 {
		out.Notes |= NoteOutsideRange
	}
	return out
}

// SlipFor returns the least slip at which the wheel has the given net pull, 0 to
// 500 kN, with the ratios at that slip. A pull that the wheel cannot reach at any slip
// is an error, which names the greatest pull.
func (t Traction) SlipFor(pull units.Force) (TractionRatios, error) {
	var c units.FieldErrors
	c.Join("", t.Validate())
	valid.Within(&c, "pull", pull, 0, 500e3)
	if err := c.Err(); err != nil {
		return TractionRatios{}, err
	}
	// The net ratio is concave in the slip, because dNet/ds = grip A k e^(-k s) -
	// 0.5/sqrt(B_n) falls. The maximum is at its zero or at the end of the range.
	bn, k := t.mobility(), constantsOf(t.Construction)
	rise := k.grip * -math.Expm1(-0.1*bn) * k.slip * math.Sqrt(bn) / 0.5
	top := units.Fraction(min(1, max(0, math.Log(rise)/k.slip)))
	best := t.at(top)
	if !(pull <= best.Pull) {
		return TractionRatios{}, units.NewFieldError("pull", valid.Show(pull), "must be at most {most}, the greatest pull of this wheel on this soil", valid.Most(max(0, best.Pull)))
	}
	if least := t.at(0); pull <= least.Pull {
		return least, nil
	}
	s, err := numeric.Root(func(s float64) float64 { return float64(t.at(units.Fraction(s)).Pull - pull) }, 0, float64(top), 1e-15)
	if err != nil {
		return TractionRatios{}, err
	}
	return t.at(units.Fraction(s)), nil
}

// TractionAt returns the ratios of a wheel with the mobility number B_n,
// 0.01 to 1e4, at a slip s from 0 to 1. Bias ply:
//
//	Gross      = 0.88 (1 - e^(-0.1 B_n)) (1 - e^(-7.5 s)) + 0.04
//	Resistance = 1/B_n + 0.04 + 0.5 s/sqrt(B_n)
//
// A radial tire has 9.5 instead of 7.5, 0.0325 instead of 0.04, and 0.9/B_n instead of
// 1/B_n.
// The constants are from memory; see [Traction]. Held by TestValidation.
func TractionAt(mobility float64, slip units.Fraction, k liquid.Construction) (TractionRatios, error) {
	var c units.FieldErrors
	if !(mobility >= 0.01 && mobility <= 1e4) {
		c.Add("mobility", mobility, "must be between 0.01 and 1e4")
	}
	valid.Within(&c, "slip", slip, 0, 1)
	knownConstruction(&c, k)
	if err := c.Err(); err != nil {
		return TractionRatios{}, err
	}
	return traction(mobility, slip, k), nil
}

func traction(bn float64, slip units.Fraction, kind liquid.Construction) TractionRatios {
	k, s := constantsOf(kind), float64(slip)
	gross := float64(k.grip*math.Expm1(-0.1*bn)*math.Expm1(-k.slip*s)) + k.base
	resistance := k.rolling/bn + k.base + 0.5*s/math.Sqrt(bn)
	net := gross - resistance
	out := TractionRatios{
		Mobility: bn, Slip: slip,
		Gross: units.Fraction(gross), Resistance: units.Fraction(resistance), Net: units.Fraction(net),
		Efficiency: units.Fraction((1 - s) * net / gross),
		Notes:      NoteMemory,
	}
	if s > 0.3 {
		out.Notes |= NoteOutsideRange
	}
	return out
}
