package main

import (
	"errors"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/units"
)

// steps is how many steps the way of the arms is divided into.
const steps = 24

// A station is what is answered at one height of the pivot pin.
type station struct {
	pin                       units.Length
	lift, hold, sink, tipping weigh.Answer
}

// sweep asks a machine over the way of its arms. Of a machine whose lift nothing was read the
// lift is left out.
func sweep(m *weigh.Machine, in *input) ([]station, error) {
	var out []station
	for i := range steps + 1 {
		s := station{pin: in.low + (in.high-in.low)*units.Length(i)/steps}
		for _, x := range []struct {
			kind weigh.QuestionKind
			into *weigh.Answer
		}{{weigh.AskLift, &s.lift}, {weigh.AskHold, &s.hold}, {weigh.AskSink, &s.sink}, {weigh.AskTippingLoad, &s.tipping}} {
			a, err := m.Ask(in.question(x.kind, s.pin))
			switch {
			case err == nil:
				*x.into = a
			case x.kind == weigh.AskTippingLoad || !about(err, "kind"):
				return nil, err
			}
		}
		out = append(out, s)
	}
	return out, nil
}

// about reports whether an error is about one field.
func about(err error, path string) bool {
	var e *units.FieldError
	return errors.As(err, &e) && e.Path == path
}

// question asks for a load at a height, with the box behind if there is one.
func (in *input) question(kind weigh.QuestionKind, pin units.Length) weigh.Question {
	q := weigh.Question{Kind: kind, Pin: pin, Ahead: in.ahead}
	if in.box != 0 {
		q.Added = []weigh.Added{{Mass: in.box, X: in.boxX, Z: 0.6}}
	}
	return q
}

// level returns the station with the least tipping load: the arms are about level there.
func level(curve []station) station {
	least := curve[0]
	for _, s := range curve {
		if s.tipping.Mass.Value > 0 && s.tipping.Mass.Value < least.tipping.Mass.Value {
			least = s
		}
	}
	return least
}
