package weigh

import (
	"math"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Change is the difference that another setup of the same machine makes to the line
// of a weighing session. The zero value changes nothing.
type Change struct {
	// Rear is what the change adds to the empty rear axle load, at most 100 t either
	// way; it is negative if the change removes load. A mass m at x adds
	// m (L - x)/L.
	Rear units.Mass `json:"rear,omitempty"`
	// RearSD is the standard uncertainty of Rear, up to 20 t. It must be given with
	// Rear.
	RearSD units.Mass `json:"rearSD,omitempty"`
	// Ahead is what the change adds to the load's distance ahead of the front axle,
	// at most 10 m either way: by another height, another attachment or another load
	// center.
	Ahead units.Length `json:"ahead,omitempty"`
	// AheadSD is the standard uncertainty of Ahead, up to 2 m. It must be given with
	// Ahead.
	AheadSD units.Length `json:"aheadSD,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (c Change) Validate() error {
	var e units.FieldErrors
	valid.Within(&e, "rear", c.Rear, -valid.MaxMass, valid.MaxMass)
	valid.Within(&e, "ahead", c.Ahead, -valid.MaxWheelbase, valid.MaxWheelbase)
	valid.Within(&e, "rearSD", c.RearSD, 0, valid.MaxMass/5)
	valid.Within(&e, "aheadSD", c.AheadSD, 0, valid.MaxWheelbase/5)
	if c.Rear != 0 && c.RearSD == 0 {
		e.Add("rearSD", nil, "must be given with rear; it is the standard uncertainty of rear")
	}
	if c.Ahead != 0 && c.AheadSD == 0 {
		e.Add("aheadSD", nil, "must be given with ahead; it is the standard uncertainty of ahead")
	}
	return e.Err()
}

// Transferred is a tipping load carried by geometry from the setup that was
// weighed to another one.
type Transferred struct {
	// TippingLoad is the estimate; zero if it is refused.
	TippingLoad units.Mass `json:"tippingLoad"`
	// Interval holds the true tipping load with its probability; zero if it
	// is refused.
	Interval units.Interval[units.Mass] `json:"interval"`
	// Refusals are those of the session, and RefusedWide if the change makes
	// the answer too uncertain.
	Refusals Refusals `json:"refusals"`
	// Notes says how the answer was reached.
	Notes Notes `json:"notes"`
	// Cautions go with the answer.
	Cautions Cautions `json:"cautions"`
}

// Transfer returns the tipping load of the same machine after a change. Held by
// TestValidation and TestTransferCoverage.
//
//	M = (R0 + dR) L/(A + dA)
//
// R0, A and L are those of the session's fit, with their joint covariance. The
// errors of dR and dA are taken as independent of them. On level ground only moments
// about the front axle count. Liquid in the rear tires therefore counts by its mass
// alone, and liquid in the front tires does not count.
func (p Prediction) Transfer(change Change) (Transferred, error) {
	if err := change.Validate(); err != nil {
		return Transferred{}, err
	}
	out := Transferred{Refusals: p.Refusals, Notes: p.Notes | NoteTransferred, Cautions: p.Cautions}
	if p.Refusals != 0 {
		return out, nil
	}
	if p.confidence == 0 {
		return Transferred{}, units.NewFieldError("", nil, "must be a prediction that Predict returned: a prediction read from a file does not carry its fit")
	}
	fit, cov := p.fit, p.cov
	fit[fitRear] += float64(change.Rear)
	fit[fitAhead] += float64(change.Ahead)
	dr, da := float64(change.RearSD), float64(change.AheadSD)
	cov[fitRear][fitRear] += dr * dr
	cov[fitAhead][fitAhead] += da * da
	var c units.FieldErrors
	if !(fit[fitRear] > 0) {
		c.Add("rear", valid.Show(change.Rear), "must leave load on the rear axle")
	}
	if !(fit[fitAhead] > 0.05) {
		c.Add("ahead", valid.Show(change.Ahead), "must leave the load at least 5 cm ahead of the front axle")
	}
	if err := c.Err(); err != nil {
		return Transferred{}, err
	}
	main := tipping(fit, cov, p.confidence)
	if main.wide() {
		out.Refusals |= RefusedWide
		return out, nil
	}
	out.TippingLoad, out.Interval = main.Load, main.Interval
	return out, nil
}

// ChangeBetween returns the change from one spec sheet of a machine to another:
// parts added, removed or moved, and another place of the load. A part that is the
// same in both sheets cancels together with its error. A part that only moved
// counts by the distance moved. All other errors are taken as independent.
func ChangeBetween(from, to SpecSheet) (Change, error) {
	var c units.FieldErrors
	c.Join("from", from.Validate())
	c.Join("to", to.Validate())
	if from.Wheelbase.Value != to.Wheelbase.Value {
		c.Add("to.wheelbase.value", valid.Show(to.Wheelbase.Value), "must be that of from: both sheets must describe the same machine")
	}
	if (from.LoadX.Value == 0) != (to.LoadX.Value == 0) {
		c.Add("to.loadX", nil, "must be given in both sheets or in neither")
	}
	if err := c.Err(); err != nil {
		return Change{}, err
	}
	l := float64(from.Wheelbase.Value)
	gone := make([]bool, len(from.Parts))
	come := make([]bool, len(to.Parts))
	var rear, variance float64
	pair := func(same func(a, b SpecPart) bool, use func(a, b SpecPart)) {
		for i, a := range from.Parts {
			for j, b := range to.Parts {
				if !gone[i] && !come[j] && a.Mass.Value == b.Mass.Value && same(a, b) {
					gone[i], come[j] = true, true
					use(a, b)
				}
			}
		}
	}
	pair(func(a, b SpecPart) bool { return a.Name == b.Name && a.X.Value == b.X.Value }, func(a, b SpecPart) {})
	pair(func(a, b SpecPart) bool { return a.X.Value == b.X.Value }, func(a, b SpecPart) {})
	pair(func(a, b SpecPart) bool { return a.Name == b.Name }, func(a, b SpecPart) {
		d := float64(b.X.Value - a.X.Value)
		rear -= float64(b.Mass.Value) * d / l
		m, x := float64(b.Mass.SD)*d/l, float64(b.Mass.Value)*float64(b.X.SD)/l
		variance += m*m + x*x
	})
	add := func(p SpecPart, sign float64) {
		arm := (l - float64(p.X.Value)) / l
		rear += sign * float64(p.Mass.Value) * arm
		m, x := float64(p.Mass.SD)*arm, float64(p.Mass.Value)*float64(p.X.SD)/l
		variance += m*m + x*x
	}
	for i, p := range from.Parts {
		if !gone[i] {
			add(p, -1)
		}
	}
	for j, p := range to.Parts {
		if !come[j] {
			add(p, 1)
		}
	}
	out := Change{Rear: units.Mass(rear), RearSD: units.Mass(math.Sqrt(variance))}
	if d := to.LoadX.Value - from.LoadX.Value; d != 0 {
		out.Ahead, out.AheadSD = d, to.LoadX.SD
	}
	return out, nil
}

// SpecTolerance holds the standard uncertainties of the numbers of a setup. Both
// must be given.
type SpecTolerance struct {
	// Mass is the uncertainty of each mass as a share of it, up to 0.2, such as 0.03
	// for a brochure.
	Mass units.Fraction `json:"mass"`
	// Place is the uncertainty of each place and of the wheelbase, up to 0.5 m.
	Place units.Length `json:"place"`
}

// Validate reports every bad field by its path, or nil.
func (t SpecTolerance) Validate() error {
	var c units.FieldErrors
	valid.Given(&c, "mass", t.Mass, 1e-4, 0.2, "must be given; it is the standard uncertainty of masses as a share, such as 0.03")
	valid.Given(&c, "place", t.Place, 1e-4, 0.5, "must be given; it is the standard uncertainty of places, such as 20 mm")
	return c.Err()
}

// SpecSheetOf returns the spec sheet of a setup with the attachment pin at a height
// over level ground. It lists machine, loader frame and arms, attachment and pieces
// by their JSON paths, and the place of a load on the attachment. Without a loader,
// pinHeight must be zero and the sheet has no load. [ChangeBetween] and
// [Reconciliation] take the sheet.
func SpecSheetOf(s ballast.Setup, pinHeight units.Length, load ballast.Load, tol SpecTolerance) (SpecSheet, error) {
	layout, err := s.Layout(pinHeight, load)
	var c units.FieldErrors
	c.Join("", err)
	c.Join("tolerance", tol.Validate())
	if err := c.Err(); err != nil {
		return SpecSheet{}, err
	}
	out := SpecSheet{Wheelbase: Measured[units.Length]{s.Machine.Wheelbase.Value(), tol.Place}}
	for _, p := range layout.Parts {
		out.Parts = append(out.Parts, SpecPart{
			Name: p.Name,
			Mass: Measured[units.Mass]{p.Mass, units.Mass(float64(p.Mass) * float64(tol.Mass))},
			X:    Measured[units.Length]{p.CG.X, tol.Place},
		})
	}
	if s.Attachment != nil {
		out.LoadX = Measured[units.Length]{layout.Load.X, tol.Place}
	}
	return out, out.Validate()
}
