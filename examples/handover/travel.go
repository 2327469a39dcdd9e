package main

import (
	"context"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// TravelRow is what may be carried over the roughest place of the yard in one state.
type TravelRow struct {
	State string            `json:"state"`
	Use   ballast.TravelUse `json:"use"`
}

// travel asks what may be carried over the roughest place of the yard, low and with the
// arms level.
func (s *Sheet) travel() error {
	o := s.in.Obstacle
	if o == nil {
		return nil
	}
	e, err := s.in.Setup.Envelope(s.in.practice())
	if err != nil {
		return err
	}
	s.Obstacle, s.ObstacleSpeed = o, s.in.ObstacleSpeed
	for _, state := range []struct {
		name string
		pin  units.Length
	}{{"with the arms low", s.in.TravelPin}, {"with the arms level", s.reach()}} {
		way := ballast.Travel{Obstacle: *o, Speed: s.in.ObstacleSpeed, Drive: stability.DriveHeld,
			Lift: ballast.Lift{Kind: ballast.CarryLow, Datum: ballast.PinHeight, Height: state.pin, Load: s.in.Load, Basis: s.in.Basis, Factor: s.in.Factor}}
		use, err := e.Travel(context.Background(), way)
		if err != nil {
			return err
		}
		s.note(use.Notes.Lines())
		s.caution(use.Cautions.Lines())
		s.Travel = append(s.Travel, TravelRow{State: state.name, Use: use})
		for _, a := range use.Assumed {
			known := false
			for _, b := range s.Assumed {
				known = known || a == b
			}
			if !known {
				s.Assumed = append(s.Assumed, a)
			}
		}
	}
	return nil
}

// obstacleWords names the roughest place of the yard.
func obstacleWords(d words, o *stability.Obstacle) string {
	names := map[stability.ObstacleKind]string{stability.ObstacleRut: "a rut or drain", stability.ObstacleBox: "a beam or curb",
		stability.ObstacleStepUp: "a step up", stability.ObstacleDrop: "a step down", stability.ObstacleHump: "a hump", stability.ObstacleHalfSine: "a swell", stability.ObstacleLevel: "no obstacle"}
	out := names[o.Kind]
	if o.Height > 0 {
		deep := " high"
		if o.Kind == stability.ObstacleRut || o.Kind == stability.ObstacleDrop {
			deep = " deep"
		}
		out += ", " + units.Format(d.Display, o.Height) + deep
	}
	if o.Length > 0 {
		out += ", " + units.Format(d.Display, o.Length) + " along the way"
	}
	return out
}

// overWords says what may be carried over it.
func overWords(d words, r TravelRow) string {
	u := &r.Use
	text := english(d).Message(u.Line())
	if len(u.Missing.Lines()) > 0 && u.Obstacle.Low > 0 {
		text = "not yet: plates are missing; if they suffice, " + text
	}
	return text
}

// english is the language of the sheet, with its units.
func english(d words) units.Catalog {
	c := units.English()
	c.Display = d.Display
	return c
}

// travelNot says what the answer leaves out.
const travelNot = "Hidden holes, soft ground and braking in a turn are not covered, and no figure here is a permission to drive over anything. Where a wheel lifts there is no load figure: go slower, or around."

func (t *textSheet) travel() {
	if t.s.Obstacle == nil {
		return
	}
	t.head("Over the roughest place of the yard")
	t.line("%s, at up to %s, both axles and one wheel", obstacleWords(t.words, t.s.Obstacle), units.Format(t.Display, t.s.ObstacleSpeed))
	for _, r := range t.s.Travel {
		t.line("%s", wrap(r.State+": "+overWords(t.words, r)+"; by the lift alone "+t.between(r.Use.Usable.IfRated), 94))
	}
	t.line("%s", strings.TrimPrefix(wrap(travelNot, 94), "- "))
}
