package weigh

import (
	"math"
	"slices"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/derive"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// QuestionKind says what is asked of a machine. In JSON: "tippingLoad", "lift",
// "hold", "sink", "frontLoad", "rearLoad", "slopeLimit", "mass", "cgX", "cgHeight" or
// "cgY"; "unknown" or left out is not given.
type QuestionKind uint8

// What is asked.
const (
	// QuestionUnknown means not given, which is an error.
	QuestionUnknown QuestionKind = iota
	// AskTippingLoad asks for the load at which the rear wheels would lift, on level
	// ground at rest, the give of the tires counted.
	AskTippingLoad
	// AskLift asks for the greatest load that the arms raise at that height.
	AskLift
	// AskHold asks for the load that the relief pressure would balance without
	// friction. It is a diagnostic figure and no capacity.
	AskHold
	// AskSink asks for the load under which the arms sink against the relief
	// pressure. It is a diagnostic figure and no capacity.
	AskSink
	// AskFrontLoad asks for the load of the front axle with a load on the attachment.
	AskFrontLoad
	// AskRearLoad asks for that of the rear axle.
	AskRearLoad
	// AskSlopeLimit asks for the slope on which the machine, with a load or none,
	// tips over the line from a rear wheel to the pin of its front axle, in the worst
	// heading. Where no rear wheel was read by itself, the center of gravity is taken to
	// be in the middle plane.
	AskSlopeLimit
	// AskMass asks for the mass of the machine with a load or none.
	AskMass
	// AskCGX asks how far its center of gravity is ahead of the rear contact line.
	AskCGX
	// AskCGHeight asks for the height of its center of gravity that counts in pitch:
	// liquid in a tire counts at the height of its axle, because the tire can turn
	// without moving the liquid.
	AskCGHeight
	// AskCGY asks how far it is to the left of the middle plane, negative to the right.
	// Only rear wheels that were read one by one tell it.
	AskCGY
)

var questionNames = []string{"unknown", "tippingLoad", "lift", "hold", "sink", "frontLoad", "rearLoad", "slopeLimit", "mass", "cgX", "cgHeight", "cgY"}

// Question is a question to a machine that was estimated from readings. What it
// states is taken as exact.
type Question struct {
	// Kind says what is asked. There is no default.
	Kind QuestionKind `json:"kind"`
	// Pin is the height of the pivot pin over level ground, 0.01 to 10 m and within
	// reach of the arms.
	Pin units.Length `json:"pin"`
	// Load is the load on the attachment, up to 100 t; tippingLoad, lift, hold and sink
	// leave it out.
	Load units.Mass `json:"load,omitempty" zero:"value"`
	// Like is the name of a test load of the record: the load sits where that one sat,
	// with the error of its tape. Ahead and Above are then left out.
	Like string `json:"like,omitempty"`
	// Ahead is how far the center of the load is ahead of the pivot pin, -2 to 5 m.
	Ahead units.Length `json:"ahead" zero:"value"`
	// Above is how far it is above the pivot pin, within 3 m.
	Above units.Length `json:"above,omitempty" zero:"value"`
	// Without names the loose pieces that are off; all others are on.
	Without []string `json:"without,omitempty"`
	// Added are weights that were not there when the machine was weighed, such as a
	// box behind it or a fill of its tires, at most 20. A negative mass takes off.
	Added []Added `json:"added,omitempty"`
}

// Added is a weight put on a machine or taken off it.
type Added struct {
	// Mass is its mass, within 20 t; negative if it is taken off.
	Mass units.Mass `json:"mass"`
	// X is where its center is, within 20 m; behind the rear contact line it is
	// negative. Liquid in a tire is at its axle.
	X units.Length `json:"x" zero:"value"`
	// Z is the height of its center over level ground, 0 to 5 m; of liquid in a tire
	// that of the axle, but in a slope limit its own.
	Z units.Length `json:"z,omitempty" zero:"value"`
}

// Validate reports every bad field by its path, or nil.
func (q Question) Validate() error {
	var c units.FieldErrors
	choice.Given(&c, "kind", q.Kind, questionNames)
	valid.Within(&c, "pin", q.Pin, 0.01, 10)
	valid.Within(&c, "load", q.Load, 0, valid.MaxMass)
	valid.Within(&c, "ahead", q.Ahead, -2, 5)
	valid.Within(&c, "above", q.Above, -3, 3)
	if q.Like != "" && (q.Ahead != 0 || q.Above != 0) {
		c.Add("like", q.Like, "must be left out where ahead or above is given")
	}
	switch q.Kind {
	case AskTippingLoad, AskLift, AskHold, AskSink:
		if q.Load != 0 {
			c.Add("load", valid.Show(q.Load), "must be left out: the load is what is asked for")
		}
	}
	if len(q.Added) > 20 {
		c.Add("added", len(q.Added), tooMany, valid.Text("entries", 20))
		return c.Err()
	}
	for i, a := range q.Added {
		p := units.Index("added", i)
		valid.Within(&c, p+".mass", a.Mass, -20000, 20000)
		valid.Within(&c, p+".x", a.X, -valid.MaxLength, valid.MaxLength)
		valid.Within(&c, p+".z", a.Z, 0, 5)
	}
	return c.Err()
}

// check reports what of a question this machine cannot answer.
func (e *estimator) check(q *Question) error {
	if e == nil {
		return units.NewFieldError("machine", nil, "must come from Record.Fit")
	}
	var c units.FieldErrors
	if err := q.Validate(); err != nil {
		return err
	}
	if q.Like != "" && e.r.load(q.Like) < 0 {
		c.Add("like", q.Like, "must be the name of a test load of the record")
	}
	for i, n := range q.Without {
		if e.r.piece(n) < 0 || slices.Index(q.Without, n) != i {
			c.Add(units.Index("without", i), n, "must be the name of a piece of the record, and appear only once")
		}
	}
	switch q.Kind {
	case AskLift, AskHold, AskSink:
		if e.r.Cylinders == 0 {
			c.Add("kind", q.Kind, "must not ask for the lift: the record does not state the number of lift cylinders")
		}
	case AskCGY:
		if e.m.side == 0 {
			c.Add("kind", q.Kind, "must not ask for a place sideways: the record has no reading of single rear wheels")
		}
	case AskSlopeLimit:
		if e.r.Undercarriage != stability.PivotingFront {
			c.Add("kind", q.Kind, "must not ask for a slope limit: the record does not state a pivoting front axle")
		}
	}
	return c.Err()
}

// ask returns the answer to a question as a calculation. It reports a reason why
// there is none.
func (m *model) ask(q *Question) (derive.Value, error) {
	pin := float64(q.Pin)
	if s := (pin - m.At(unPivotZ)) / m.At(unArm); !(math.Abs(s) <= 0.99) {
		hundredths := func(v float64) units.Length { return units.Length(math.Round(100*v) / 100) }
		return 0, units.NewFieldError("pin", valid.Show(q.Pin), "must be within reach of the arms, between about {low} and {high}",
			valid.Low(hundredths(m.At(unPivotZ)-0.98*m.At(unArm))), valid.High(hundredths(m.At(unPivotZ)+0.98*m.At(unArm))))
	}
	sin, cos := m.arm(pin)
	empty := m.empty(pin, sin, cos, q.Without)
	for _, a := range q.Added {
		empty = m.plus(empty, m.Constant(float64(a.Mass)), m.Constant(float64(a.X)), m.Constant(float64(a.Z)))
	}
	ahead, above := m.Constant(float64(q.Ahead)), float64(q.Above)
	if q.Like != "" {
		ahead, above = m.ahead(q.Like), float64(m.r.Loads[m.r.load(q.Like)].Above)
	}
	x, z := m.Add(m.pinX(cos), ahead), m.Constant(pin+above)
	switch q.Kind {
	case AskLift, AskHold, AskSink:
		y := m.lifts(pin, ahead, float64(q.Kind)-float64(AskHold), false)
		if lever := m.At(m.lever(sin, cos)); !(lever > 0) || !(m.At(m.arc(cos, ahead)) > 0) {
			return 0, units.NewFieldError("pin", valid.Show(q.Pin), "must be a height at which the cylinders push the arms up")
		}
		return y, nil
	case AskTippingLoad:
		return m.tips(empty, x, z)
	}
	load := m.plus(m.nothing(), m.Constant(float64(q.Load)), x, z)
	all := m.both(empty, load)
	switch q.Kind {
	case AskSlopeLimit:
		return m.slope(all)
	case AskMass:
		return all.w, nil
	case AskCGX:
		return m.Div(all.x, all.w), nil
	case AskCGHeight:
		return m.Div(all.z, all.w), nil
	case AskCGY:
		return m.Div(m.Mul(m.body, m.side), all.w), nil
	}
	return m.carries(all, stand{pitch: m.sunk(empty, load)}, q.Kind == AskRearLoad), nil
}

// tips returns the load at which the rear axle carries nothing. The nose has then
// sunk by the squat t, and moments about the front wheel centers at the height rf give
//
//	m (x + (z - rf) tan t - L) = sum of m_i (L - x_i - (z_i - rf) tan t)
//
// Held by TestFreeBodies and TestAnswersAgainstTrying.
func (m *model) tips(empty sums, x, z derive.Value) (derive.Value, error) {
	tan := m.Div(m.Sin(unSquat), m.Cos(unSquat))
	over := m.Sub(m.Add(x, m.Mul(m.Sub(z, unFrontRadius), tan)), unBase)
	if !(m.At(over) > 0.01) {
		return 0, units.NewFieldError("ahead", nil, "must put the load ahead of the front axle: where it is no load lifts the rear wheels")
	}
	own := m.Sub(m.Mul(empty.w, unBase), m.Add(empty.x, m.Mul(m.Sub(empty.z, m.Mul(empty.w, unFrontRadius)), tan)))
	return m.Div(own, over), nil
}

// slope returns the slope at which the body tips over the line from a rear contact
// to the pin of the front axle. With the body's mass m at (x, h), the axle's mass mf
// at the height hf, the track T and the height hp of the pin, its tangent in the
// heading u is ((T/2)(L - x) - L y)/(a sin u - b cos u), where
//
//	a = L h - hp x
//	b = (T/2) ((h - hp) + (mf/m) (hf - hp)) + hp y
//
// and it is least where the denominator is the root of a^2 + b^2. The body's center is y
// to the side of that rear wheel, and the lesser of both sides counts. Liquid in the
// tires counts at its own height. Held by TestSlopeLimitAgainstStability.
func (m *model) slope(s sums) (derive.Value, error) {
	low := m.Mul(unLiquid, unLiquidDeep)
	mass := m.Sub(s.w, m.axle)
	x := m.Div(m.Sub(s.x, m.Mul(m.axle, unBase)), mass)
	h := m.Div(m.Sub(m.Sub(s.z, low), m.Mul(m.axle, m.axleZ)), mass)
	half := m.Scale(unTrack, 0.5)
	a := m.Sub(m.Mul(unBase, h), m.Mul(unAxlePin, x))
	share := m.Div(m.axle, mass)
	b := m.Mul(half, m.Add(m.Sub(h, unAxlePin), m.Mul(share, m.Sub(m.axleZ, unAxlePin))))
	arm := m.Mul(half, m.Sub(unBase, x))
	if m.side != 0 {
		y := m.Div(m.Mul(m.body, m.side), mass)
		if m.At(y) < 0 {
			y = m.Scale(y, -1)
		}
		b = m.Add(b, m.Mul(unAxlePin, y))
		arm = m.Sub(arm, m.Mul(unBase, y))
	}
	if !(m.At(arm) > 0) {
		return 0, units.NewFieldError("load", nil, "must be below the tipping load")
	}
	return m.Atan(m.Div(arm, m.Sqrt(m.Add(m.Mul(a, a), m.Mul(b, b))))), nil
}
