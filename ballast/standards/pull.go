package standards

import (
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Pull is a tractor that pulls from its drawbar on level ground at a steady speed,
// described by its axle loads on a scale.
//
// Unlike package stability it needs neither the height of the center of gravity nor
// the tracks. Down stays constant while the pull grows; in
// stability.Model.PullToLift the vertical part grows with the pull. Use that package
// for slopes, single wheels and pulls to the side. The axle forces are those of
// stability.Model.Loads.
type Pull struct {
	// FrontLoad is the front axle load at rest, as a scale reads it, 1 kg to
	// 100 t.
	FrontLoad units.Mass `json:"frontLoad"`
	// RearLoad is the rear axle load at rest, 1 kg to 100 t.
	RearLoad units.Mass `json:"rearLoad"`
	// Wheelbase is the distance between the axles (L), 0.5 m to 10 m.
	Wheelbase units.Length `json:"wheelbase"`
	// Force is the horizontal pull (P), 0 to 1 MN.
	Force units.Force `json:"force"`
	// Height is the height of the drawbar's hitch point over level ground
	// (h), 0.05 to 2 m.
	Height units.Length `json:"height"`
	// Down is the vertical force with which the implement presses on the
	// drawbar, positive down, from -200 kN to 200 kN.
	Down units.Force `json:"down,omitempty"`
	// Behind is the distance of the hitch point behind the rear axle, 1 mm to 5 m; it
	// must be given with Down.
	Behind units.Length `json:"behind,omitempty"`
	// Gravity is the acceleration of free fall, 0.1 to 100 m/s2; zero means
	// units.StandardGravity.
	Gravity units.Acceleration `json:"gravity,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (p Pull) Validate() error {
	var c units.FieldErrors
	weighed(&c, p.FrontLoad, p.RearLoad, p.Wheelbase)
	valid.Within(&c, "force", p.Force, 0, 1e6)
	valid.Given(&c, "height", p.Height, 0.05, 2, "must be given; it is the height of the hitch point over the ground")
	valid.Within(&c, "down", p.Down, -200e3, 200e3)
	if p.Down != 0 {
		valid.Given(&c, "behind", p.Behind, 0.001, 5, "must be given with down; it is the distance of the hitch point behind the rear axle")
	} else {
		valid.ZeroOr(&c, "behind", p.Behind, 0.001, 5)
	}
	valid.Gravity(&c, "gravity", p.Gravity)
	return c.Err()
}

// AxleForces holds the axle forces while the tractor pulls.
type AxleForces struct {
	// Transfer is the force that the pull moves from the front axle to the
	// rear: P h/L.
	Transfer units.Force `json:"transfer"`
	// Front is the front axle's force on the ground while pulling. A negative force
	// means that the front axle has lifted and that the tractor cannot stand like
	// this.
	Front units.Force `json:"front"`
	// Rear is the rear axle's force on the ground while pulling.
	Rear units.Force `json:"rear"`
	// Lift is the horizontal pull at which the front axle would lift, with Down as
	// given. A lighter front or a higher hitch lowers it.
	Lift units.Force `json:"lift"`
	// FrontLifts says that Front is not positive.
	FrontLifts bool `json:"frontLifts"`
	// Cautions belong to the answer.
	Cautions Cautions `json:"cautions"`
}

// Solve returns the axle forces while pulling (a moment balance about the
// rear contact line, in any tractor text):
//
//	front = W_f - P h/L - V c/L
//	rear  = W_r + P h/L + V (L + c)/L
//
// with V the downward force and c its distance behind the rear axle. Held by
// TestPull and TestPullAgreesWithStability.
func (p Pull) Solve() (AxleForces, error) {
	if err := p.Validate(); err != nil {
		return AxleForces{}, err
	}
	g := p.Gravity
	if g == 0 {
		g = units.StandardGravity
	}
	l := float64(p.Wheelbase)
	transfer := float64(p.Force) * float64(p.Height) / l
	lever := float64(p.Down) * float64(p.Behind) / l
	out := AxleForces{
		Transfer: units.Force(transfer),
		Front:    p.FrontLoad.Weight(g) - units.Force(transfer) - units.Force(lever),
		Rear:     p.RearLoad.Weight(g) + p.Down + units.Force(transfer) + units.Force(lever),
		Cautions: CautionManual | CautionLevelGround | CautionDrawbarOnly,
	}
	out.Lift = max(0, units.Force((float64(p.FrontLoad.Weight(g))-lever)*l/float64(p.Height)))
	out.FrontLifts = !(out.Front > 0)
	return out, nil
}
