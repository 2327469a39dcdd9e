package main

import (
	"slices"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// high is a height of the attachment pin from which on people can get under the arms, and tall
// one from which on the machine reaches far above its roll-over bar (common practice, no source).
const (
	high = 1.0 * units.Meter
	tall = 2.0 * units.Meter
)

// yard are the cautions of our own, each with what triggers it. A caution that is not triggered
// stands with the rest; none is left out.
func (s *Sheet) yard() map[string]bool {
	in := s.in
	top := units.Length(0)
	for _, c := range s.Checks {
		top = max(top, c.Job.Pin)
	}
	is := func(list ...string) bool { return in.LoadIs == "" || slices.Contains(list, in.LoadIs) }
	manual := in.Setup.Loader.ManualBallast.Kind
	return map[string]bool{
		"yard.belt":     true,
		"yard.under":    true,
		"yard.riders":   true,
		"yard.getoff":   false,
		"yard.lock":     top > high,
		"yard.lines":    top > tall,
		"yard.swing":    is("hanging") || in.Setup.Attachment.Kind == ballast.BarePin,
		"yard.bale":     is("roundBale", "loose"),
		"yard.updown":   in.Slope > 0 || len(s.Slopes) > 0 && s.Slopes[1].Yard != stability.Within,
		"yard.liquid":   slices.ContainsFunc(in.Setup.Pieces, func(p ballast.Piece) bool { return p.Kind.Liquid() }),
		"yard.demanded": manual == ballast.ManualBallastDemanded,
		"yard.notread":  manual == ballast.ManualBallastUnknown,
		"yard.off":      len(s.Broken) > 0,
	}
}

// triggered says which cautions of the library this answer triggers, by their codes.
func (s *Sheet) triggered(code string) bool {
	switch code {
	case "ballast.caution.manual", "ballast.caution.noTippingTest", "ballast.caution.carryLow",
		"ballast.caution.ballast",                                       // there only where a limit is broken
		"ballast.caution.hiddenGround", "ballast.caution.notPermission": // there only with an obstacle
		return true
	case "ballast.caution.unchecked":
		return s.missing()
	case "ballast.caution.raisedOnly":
		return slices.ContainsFunc(s.Pieces, func(p PieceRow) bool { return p.Hitch })
	case "stability.caution.slidesFirst":
		return s.in.Slope > 0
	}
	return false
}

// rank sorts the cautions into those that this answer triggers and the rest, each by rank.
func (s *Sheet) rank() {
	var first, rest []units.Remark
	for code, now := range s.yard() {
		r := paper.Remark(code)
		if code == "yard.demanded" && !now || code == "yard.notread" && !now {
			continue // it would not be true
		}
		if now {
			first = append(first, r)
		} else {
			rest = append(rest, r)
		}
	}
	order := func(a, b units.Remark) int {
		if a.Code < b.Code {
			return -1
		}
		return 1
	}
	slices.SortFunc(first, order)
	slices.SortFunc(rest, order)
	for _, r := range s.cautions {
		if s.triggered(r.Code) {
			first = append(first, r)
		} else {
			rest = append(rest, r)
		}
	}
	s.First = units.SortRemarks(first)
	s.Rest = slices.DeleteFunc(units.SortRemarks(rest), func(r units.Remark) bool {
		return slices.ContainsFunc(s.First, func(f units.Remark) bool { return f.Text == r.Text })
	})
}
