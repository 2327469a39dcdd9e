package liquid

import (
	"math"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Inflation is the question what pressure the air above a fill has.
type Inflation struct {
	// Fill is the tire and what is in it.
	Fill Fill `json:"fill"`
	// Pressure is the air pressure in the tire that the tire maker gives for
	// the load and the speed, 0 to 1 MPa.
	Pressure units.GaugePressure `json:"pressure"`
	// Valve is the position of the valve when the gauge is read, by its clock
	// position or angle.
	Valve Level `json:"valve"`
	// Atmosphere is the pressure of the air outside, 50 to 110 kPa; zero is
	// the standard atmosphere.
	Atmosphere units.AbsolutePressure `json:"atmosphere,omitzero"`
	// Gravity is the acceleration of gravity, 0.1 to 100 m/s2; zero is the
	// standard one.
	Gravity units.Acceleration `json:"gravity,omitzero"`
}

// Inflated describes the air above a fill.
type Inflated struct {
	// Filled is the result of the fill.
	Filled Filled `json:"filled"`
	// Air is the volume of the air before the load deflects the tire and
	// reduces it.
	Air units.Volume `json:"air"`
	// Head is the pressure of the liquid above the valve, zero if the valve
	// stands in the air.
	Head units.Pressure `json:"head"`
	// Reading is what a gauge at the valve reads: the air's pressure and the
	// head.
	Reading units.GaugePressure `json:"reading"`
	// Stiffening is the rate of pressure rise under load, divided by that of
	// the tire with air alone: 1/(1 - fraction). It is zero if no air is left,
	// so that the tire does not act as a spring.
	Stiffening float64 `json:"stiffening"`
	// Pressure is the air pressure of the question, absolute.
	Pressure units.AbsolutePressure `json:"pressure"`
	// Atmosphere is the pressure outside.
	Atmosphere units.AbsolutePressure `json:"atmosphere"`
	// Notes says how the answer was reached.
	Notes Notes `json:"notes"`
	// Cautions belong to the answer and must be shown with it.
	Cautions Cautions `json:"cautions"`
}

// Validate reports every field that is out of range, by its JSON path.
func (i Inflation) Validate() error {
	var e units.FieldErrors
	e.Join("fill", i.Fill.Validate())
	valid.Within(&e, "pressure", i.Pressure, 0, 1e6)
	if i.Valve.Kind != LevelValveClock && i.Valve.Kind != LevelValveAngle {
		e.Add("valve.kind", i.Valve.Kind, "must be valveClock or valveAngle")
	} else {
		e.Join("valve", i.Valve.Validate())
	}
	valid.ZeroOr(&e, "atmosphere", i.Atmosphere, 5e4, 1.1e5)
	valid.Gravity(&e, "gravity", i.Gravity)
	return e.Err()
}

// Solve returns the pressure and the volume of the air above the fill.
func (i Inflation) Solve() (Inflated, error) {
	if err := i.Validate(); err != nil {
		return Inflated{}, err
	}
	f, err := i.Fill.Solve()
	if err != nil {
		return Inflated{}, err
	}
	t, err := i.Fill.Tire.Resolve()
	if err != nil {
		return Inflated{}, err
	}
	g, atm := i.Gravity, i.Atmosphere
	if g == 0 {
		g = units.StandardGravity
	}
	if atm == 0 {
		atm = units.StandardAtmosphere
	}
	r := Inflated{Filled: f, Air: max(f.FullVolume-f.Volume, 0), Pressure: i.Pressure.Absolute(atm), Atmosphere: atm, Notes: f.Notes, Cautions: f.Cautions}
	if r.Air <= 1e-9*f.FullVolume {
		r.Air = 0
	} else {
		r.Stiffening = 1 / (1 - float64(f.Fraction))
	}
	valve := units.Length(float64(t.ValveRadius.Value) * i.Valve.cos())
	if valve < f.Level && f.Flows() {
		r.Head = f.Density.Head(f.Level-valve, g)
	}
	r.Reading = i.Pressure.Add(r.Head)
	return r, nil
}

// Flows reports whether the fill is a liquid. Polyurethane is not: it hardens.
func (f Filled) Flows() bool { return !f.Notes.Has(NoteSolidFill) }

// Squeezed returns the air's pressure when a load reduces the volume of the
// tire by v, at constant temperature (Boyle's law). A negative v, or one that
// leaves no air, is an error.
func (i Inflated) Squeezed(v units.Volume) (units.GaugePressure, error) {
	if !(v >= 0 && v < i.Air) {
		return 0, units.NewFieldError("volume", valid.Show(v), "must be at least zero and less than the volume of the air, {most}", valid.Most(i.Air))
	}
	p := units.AbsolutePressure(float64(i.Pressure) * float64(i.Air) / float64(i.Air-v))
	if math.IsInf(float64(p), 0) {
		return 0, units.NewFieldError("volume", nil, "must leave some air")
	}
	return p.Gauge(i.Atmosphere), nil
}

// Steps returns the order of work for a fill, one sentence for each step with its code (common
// practice, no source). Their order is that of the list, not that of the ranks. The machine's manual and the tire maker's data, which
// the first step names, come before these steps.
func (f Fill) Steps() []units.Remark {
	return choice.Said(f.steps()...)
}

func (f Fill) steps() []string {
	s := []string{"Read the operator's manual, the tire maker's data for liquid and pressure, and local rules; where they differ from these steps, follow them."}
	if f.Fluid.Kind == Polyurethane {
		return append(s, "Have a specialist fill the tire; the fill hardens and cannot be taken out.")
	}
	if f.Fluid.Kind.IsSolution() {
		s = append(s,
			"Mix outside the tire, in an open vessel: put the water in first, then add the product little by little.",
			"Let the mixture cool and settle before it goes into the tire.")
	}
	s = append(s,
		"Park on firm level ground, chock the wheels, and lift the wheel off the ground on stands.",
		"Turn the valve to the position that the fill calls for, let all air out, and only then take out the core.",
		"Fill through an adapter that lets the air out, until the liquid reaches the valve, or until the stated mass or volume is in.",
		"Put the core back with the valve at the top, inflate from a distance with the wheel restrained, and set the pressure that the tire maker gives.",
		"Read the pressure with the valve at the top, with a gauge that withstands the fluid; then rinse the gauge and the rim.",
		"Mark the fluid, its strength and its mass on the wheel.")
	return s
}
