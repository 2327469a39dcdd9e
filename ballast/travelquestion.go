package ballast

import (
	"context"
	"fmt"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// motionMeasured is a quantity of a motion: how it is found out, and what is left open
// then as a share of it.
type motionMeasured struct {
	path       string
	instrument Instrument
	how        string
	of         []traveler
	error      float64
}

const tireQuestion = "Ask the tire's maker for its stiffness at the pressure driven, or find it on the tire's data sheet: the load on it over half its overall diameter less its static loaded radius under that load."

const inertiaQuestion = "Ask the dealer whether the machine's maker states its moments of inertia."

var motionMeasurements = [...]motionMeasured{
	{"machine.motion.rearStiffness", FromManual, tireQuestion, []traveler{travelRear}, 0.1},
	{"machine.motion.frontStiffness", FromManual, tireQuestion, []traveler{travelFront}, 0.1},
	{"machine.motion.damping", FromWorkshop, "A workshop that is equipped for it finds how fast the machine's bounce on its tires dies away.", []traveler{travelDamping}, 0.2},
	{"machine.motion.pitchInertia", FromManual, inertiaQuestion, []traveler{travelInertia}, 0.05},
	{"machine.motion.rollInertia", FromManual, inertiaQuestion, []traveler{travelRoll}, 0.05},
}

// TravelQuestions returns what is worth finding out to decide whether a load may be carried
// over an obstacle, as [Envelope.Questions] does: what the lift itself leaves open, and what
// the motion does. Of the motion one value of each quantity is tried, its middle, and the
// passage is not followed again.
func (e *Envelope) TravelQuestions(ctx context.Context, t Travel, load units.Mass) ([]Question, error) {
	if ctx == nil {
		ctx = context.Background()
	}
	var c units.FieldErrors
	c.Join("travel", t.Validate())
	valid.Within(&c, "load", load, 0, maxMass)
	if err := c.Err(); err != nil {
		return nil, err
	}
	t.Lift.Speed = t.Speed
	out, err := e.Questions(ctx, t.Lift, load)
	if err != nil {
		c.JoinCall(err, "", map[string]string{"lift": "travel.lift"})
		return nil, c.Err()
	}
	ask := func(e *Envelope) (m movers, tipping units.Range[units.Mass], ok bool, err error) {
		v, err := e.spread(&t.Lift)
		if err != nil {
			return m, tipping, false, err
		}
		if tipping, err = v.bare(); err != nil {
			return m, tipping, false, err
		}
		m, ok, err = v.movers(&TravelUse{})
		return m, tipping, ok, err
	}
	m, tipping, ok, err := ask(e)
	if err != nil || !ok {
		return ranked(out), err
	}
	r, err := m.lift(ctx, &t, 1)
	if err != nil {
		return nil, fmt.Errorf("travel: %w", err)
	}
	// Widths are those of the load before it is cut off at nothing and at the tipping load.
	wide := func(slack float64, tipping units.Range[units.Mass]) float64 {
		return (r.share+slack)*float64(tipping.High) - (r.share-slack)*float64(tipping.Low)
	}
	before, width := r.ends(m.slack(), tipping), wide(m.slack(), tipping)
	if !(width > 0) {
		return ranked(out), nil
	}
	decided := func(r units.Range[units.Mass]) bool { return over(r, load) != CannotSay }
	add := func(q Question, slack float64, tipping units.Range[units.Mass]) {
		is := r.ends(slack, tipping)
		q.Narrows = units.Fraction(max(0, 1-wide(slack, tipping)/width))
		if decided(is) && !decided(before) {
			q.Decides = 1
		}
		if q.Narrows > 0.005 || q.Decides > 0 {
			out = append(out, q)
		}
	}
	for _, k := range motionMeasurements {
		one := m
		for _, i := range k.of {
			mid := m.at(i)
			one.of[i] = span{max(m.of[i].lo, mid-k.error), min(m.of[i].hi, mid+k.error)}
		}
		add(Question{Paths: []string{k.path}, Instrument: k.instrument, How: k.how}, one.slack(), tipping)
	}
	for _, k := range measurements {
		s := e.in[k.of]
		half := k.error
		if k.share {
			half *= (s.lo + s.hi) / 2
		}
		if !(s.hi-s.lo > 2.5*half) {
			continue
		}
		one := *e
		mid := (s.lo + s.hi) / 2
		one.in[k.of] = span{mid - half, mid + half}
		m, tipping, ok, err := ask(&one)
		if err != nil || !ok {
			continue // the value cannot be
		}
		add(Question{Paths: []string{k.path}, Instrument: k.instrument, How: k.how}, m.slack(), tipping)
	}
	return ranked(out), nil
}
