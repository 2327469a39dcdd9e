package weigh

import (
	"math"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Change is what another setup of the same machine changes about a weighing
// session's line. The zero value changes nothing.
type Change struct {
	// Rear is what the change adds to the empty rear axle load; negative if
	// it takes away, within 100 t. A mass m at x adds m (L - x)/L.
	Rear units.Mass `json:"rear,omitempty"`
	// RearSD is how well Rear is known, and must be given with it, up to
	// 20 t.
	RearSD units.Mass `json:"rearSD,omitempty"`
	// Ahead is what the change adds to the load's distance ahead of the front
	// axle: another height, another attachment, another load center; within
	// 10 m.
	Ahead units.Length `json:"ahead,omitempty"`
	// AheadSD is how well Ahead is known, and must be given with it, up to
	// 2 m.
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
		e.Add("rearSD", nil, "must be given with rear: how well it is known")
	}
	if c.Ahead != 0 && c.AheadSD == 0 {
		e.Add("aheadSD", nil, "must be given with ahead: how well it is known")
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
// with R0, A and L as the session fitted them and their joint covariance, and
// the errors of dR and dA taken as independent of them. On level ground only
// moments about the front axle count, so that liquid in the rear tires counts
// by its mass alone, and liquid in the front tires not at all.
func (p Prediction) Transfer(change Change) (Transferred, error) {
	if err := change.Validate(); err != nil {
		return Transferred{}, err
	}
	out := Transferred{Refusals: p.Refusals, Notes: p.Notes | NoteTransferred, Cautions: p.Cautions}
	if p.Refusals != 0 {
		return out, nil
	}
	if p.confidence == 0 {
		return Transferred{}, &units.FieldError{Want: "must be a prediction as Predict returned it: one read back from a file does not carry its fit"}
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

// ChangeBetween returns what changes from one spec sheet of a machine to
// another: parts added, taken away or moved, and the load held elsewhere. A
// part that stands the same in both cancels with its error; a part that only
// moved counts by how far; all other errors are taken as independent.
func ChangeBetween(from, to SpecSheet) (Change, error) {
	var c units.FieldErrors
	c.Join("from", from.Validate())
	c.Join("to", to.Validate())
	if from.Wheelbase.Value != to.Wheelbase.Value {
		c.Add("to.wheelbase.value", valid.Show(to.Wheelbase.Value), "must be that of from: a change is one of the same machine")
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

// SpecTolerance says how well the numbers of a setup are known, as standard
// uncertainties. Both must be given.
type SpecTolerance struct {
	// Mass is the share of each mass, up to 0.2: 0.03 for a brochure, say.
	Mass units.Fraction `json:"mass"`
	// Place is the error of each place, up to 0.5 m, and of the wheelbase.
	Place units.Length `json:"place"`
}

// Validate reports every bad field by its path, or nil.
func (t SpecTolerance) Validate() error {
	var c units.FieldErrors
	valid.Given(&c, "mass", t.Mass, 1e-4, 0.2, "must be given: how well masses are known, such as 0.03")
	valid.Given(&c, "place", t.Place, 1e-4, 0.5, "must be given: how well places are known, such as 20 mm")
	return c.Err()
}

// SpecSheetOf lists a setup's parts with the attachment pin at a height over
// level ground: machine, loader frame and arms, attachment, pieces, by their
// JSON paths; and where a load on the attachment sits. Without a loader
// pinHeight must be zero and the sheet has no load. It is what
// [ChangeBetween] and [Reconciliation] take.
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
