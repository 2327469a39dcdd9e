package main

import (
	"context"
	"slices"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// TravelRow is what may be carried over the roughest place of the yard with the arms at one
// height.
type TravelRow struct {
	State string            `json:"state"` // low or level
	Use   ballast.TravelUse `json:"use"`
}

// travel asks what may be carried over the roughest place of the yard.
func (s *Sheet) travel() error {
	if s.in.Obstacle == nil {
		return nil
	}
	s.Obstacle, s.ObstacleSpeed = s.in.Obstacle, s.in.ObstacleSpeed
	e, err := s.in.Setup.Envelope(s.in.practice())
	if err != nil {
		return err
	}
	for _, x := range []struct {
		state string
		pin   units.Length
	}{{"low", s.in.TravelPin}, {"level", s.reach()}} {
		lift := s.hold(x.pin)
		lift.Kind, lift.Speed = ballast.CarryLow, s.ObstacleSpeed
		use, err := e.Travel(context.Background(), ballast.Travel{Obstacle: *s.Obstacle, Speed: s.ObstacleSpeed, Drive: stability.DriveHeld, Lift: lift})
		if err != nil {
			return err
		}
		s.caution(use.Cautions.Remarks())
		s.note(use.Notes.Remarks())
		for _, a := range use.Assumed {
			if !slices.Contains(s.Assumed, a) {
				s.Assumed = append(s.Assumed, a)
			}
		}
		s.Travel = append(s.Travel, TravelRow{x.state, use})
	}
	return nil
}

// over says what may be carried over the roughest place of the yard.
func (p *speaker) over() ([]paper.Block, error) {
	s := p.s
	if s.Obstacle == nil {
		return nil, nil
	}
	where := "over.where"
	list := paper.List{}
	for _, r := range s.Travel {
		u := &r.Use
		code, lift := "over.line", p.part(u.Usable.CapacityRange)
		if u.Missing != 0 && u.Obstacle.Low >= units.Kilogram {
			code, lift = "over.line.notyet", p.bare(u.Usable.CapacityRange)
		}
		list.Points = append(list.Points, p.T(code, "pose", p.T("pose."+r.State), "line", p.Message(u.LoadLine()), "lift", lift))
		if u.Notes.Has(ballast.NoteRollNotFollowed) {
			where = "over.where.both"
		}
	}
	o := s.Obstacle
	place := p.T("obstacle."+o.Kind.String(), "height", p.size(o.Height), "length", p.size(o.Length))
	return []paper.Block{
		paper.Heading{Text: p.T("hand.h.over"), Level: 2},
		paper.Paragraph{Text: first(p.T(where, "place", place, "speed", p.Speed(s.ObstacleSpeed)))},
		list,
		paper.Paragraph{Text: p.T("over.not")},
	}, nil
}

// size is a length as a tape reads it.
func (p *speaker) size(l units.Length) string { return units.Format(p.Display, l) }
