package main

import (
	"context"
	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/jobs"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// A CardRow is one job of the card.
type CardRow struct {
	Job jobs.Job
	// Most is the load up to which no limit is exceeded, whatever is open.
	Most units.Mass
	// Limit is what limits it; NoLimit where it is the maker's rating of the loader.
	Limit ballast.LimitKind
}

// rated is what the maker of the loader rates it to lift at the pin, zero where nobody has said.
func (s *Sheet) rated() units.Mass {
	if m := s.in.LoaderRating; m != 0 {
		return m
	}
	var most units.Mass
	for _, r := range s.in.Setup.Loader.Rated {
		most = max(most, r.AtPin)
	}
	return most
}

// left is what a rating of the loader leaves for the load.
func (s *Sheet) left(rating units.Mass) units.Mass {
	attachment, _ := s.in.Setup.Attachment.Mass.Range()
	for _, a := range s.Assumed {
		if a.Path == "attachment.mass" {
			attachment = a.Mass
		}
	}
	return max(0, rating-attachment.High)
}

// card lists the jobs, at their low ends and never above the maker's rating of the loader less
// the attachment. Where something is missing it returns what.
func (p *speaker) card() (rows []CardRow, pressures [2]units.GaugePressure, missing []string) {
	s := p.s
	papers := p.papers
	miss := func(when bool, text string) {
		if when {
			missing = append(missing, text)
		}
	}
	miss(papers.MachineSerial == "", p.T("card.miss.serial"))
	miss(papers.Date == "", p.T("card.miss.date"))
	for i, x := range []struct {
		papers units.GaugePressure
		setup  units.Input[units.GaugePressure]
	}{{papers.FrontPressure, s.in.Setup.Machine.Front.Tire.Pressure}, {papers.RearPressure, s.in.Setup.Machine.Rear.Tire.Pressure}} {
		pressures[i] = x.papers
		if r, ok := x.setup.Range(); ok {
			if x.papers != 0 && !(x.papers >= r.Low && x.papers <= r.High) {
				miss(true, p.T("card.miss.differ"))
			}
			pressures[i] = max(x.papers, r.Low)
		}
	}
	miss(pressures[0] == 0 || pressures[1] == 0, p.T("card.miss.pressure"))
	miss(s.Basis.Kind == ballast.BasisUnknown, p.T("card.miss.basis"))
	rated := s.rated()
	miss(rated == 0, p.T("card.miss.rating"))
	var sets ballast.LimitSet
	for _, c := range s.Checks {
		sets |= c.Check.Usable.Missing
	}
	missing = append(missing, p.Say(sets.Remarks())...)
	for _, b := range s.Broken {
		missing = append(missing, p.T("card.miss.empty", "state", p.T("state."+b.State.String()), "limit", p.limit(b.Limit)))
	}
	for _, c := range s.Checks {
		u := &c.Check.Usable
		row := CardRow{c.Job, u.Mass.Low, u.Governing}
		if most := s.left(rated); most < row.Most {
			row.Most, row.Limit = most, ballast.NoLimit
		}
		if u.Missing == 0 && s.Basis.Kind != ballast.BasisUnknown && rated != 0 && !(row.Most >= units.Kilogram) {
			missing = append(missing, p.T("card.miss.job", "job", p.job(c.Job.Kind), "limit", p.limit(u.Governing)))
		}
		rows = append(rows, row)
	}
	return rows, pressures, once(missing)
}

// cardSheet is the card, or what is missing for it.
func (p *speaker) cardSheet() (*paper.Sheet, error) {
	s, papers := p.s, p.papers
	out := &paper.Sheet{Large: true, Title: p.T("card.title") + ": " + or(paper.Own(s.Machine), p.T("unnamed.machine"))}
	out.Add(papers.Head()...)
	rows, pressures, missing := p.card()
	if len(missing) > 0 {
		out.Add(paper.Answer{Sign: paper.NotYet, Mark: p.Mark(paper.NotYet), Word: p.T("card.missing"), Lines: []string{p.T("card.missing.why")}}, paper.List{Points: missing})
		return out, nil
	}
	out.Add(paper.Fields{List: [][2]string{
		{p.T("paper.machineSerial"), papers.MachineSerial},
		{p.T("paper.loaderSerial"), paper.Own(papers.LoaderSerial)},
		{p.T("paper.attachment"), join(p.attachment(), paper.Own(papers.AttachmentSerial))},
		{p.T("card.pressures"), p.T("card.pressures.are", "front", p.Pressure(pressures[0]), "rear", p.Pressure(pressures[1]))},
		{p.T("paper.date"), papers.Date},
	}}, paper.Paragraph{Text: p.T("card.head")})
	table := paper.Table{Head: []string{p.T("card.job"), p.T("card.height"), p.T("card.most"), p.T("card.limit")}, Numbers: []bool{false, false, true, false}}
	for _, r := range rows {
		limit := p.T("card.rating")
		if r.Limit != ballast.NoLimit {
			limit = p.limit(r.Limit)
		}
		job := p.job(r.Job.Kind)
		if r.Job.Kind == jobs.Carry {
			job = p.T("card.speed", "speed", p.Speed(s.in.Speed))
		}
		table.Rows = append(table.Rows, []string{job, p.height(r.Job.Edge), p.Most(r.Most), limit})
	}
	out.Add(table)
	switch a := s.in.Setup.Attachment; a.Kind {
	case ballast.Forks:
		center := s.in.Load.Center
		if center.Unknown() {
			center = a.LoadCenter
		}
		if r, ok := center.Range(); ok {
			out.Add(paper.Paragraph{Text: p.T("card.center", "center", p.NoLonger(r.Low))})
		}
	case ballast.Bucket:
		out.Add(paper.Paragraph{Text: p.T("card.center.bucket")})
	}
	figure, ok, err := s.carrySlope(rows)
	if err != nil {
		return nil, err
	}
	if ok {
		out.Add(paper.Paragraph{Text: p.T("card.slope", "slope", p.Steep(figure, units.Down))})
	} else {
		out.Add(paper.Paragraph{Text: p.T("card.level")})
	}
	out.Add(paper.Heading{Text: p.T("card.ballast"), Level: 2}, p.pieces("card.fill"))
	out.Add(paper.Box{Title: p.T("card.void")}, paper.Signatures{For: []string{p.T("card.signed")}})
	out.Add(paper.Heading{Text: p.T("tire.h.heed"), Level: 2}, paper.List{Points: p.Say(s.First)})
	return out, nil
}

// carrySlope is the slope for whoever drives, empty or with the greatest load that the card has for
// carrying.
func (s *Sheet) carrySlope(rows []CardRow) (units.Slope, bool, error) {
	e, err := s.in.Setup.Envelope(s.in.practice())
	if err != nil {
		return 0, false, err
	}
	figure, status := s.operator()
	for _, r := range rows {
		if r.Job.Kind != jobs.Carry || status != stability.Within {
			continue
		}
		l, err := e.SlopeLimit(context.Background(), s.hold(s.in.TravelPin), r.Most, s.ground())
		if err != nil {
			return 0, false, err
		}
		if l.Status != stability.Within {
			return 0, false, nil
		}
		figure = min(figure, l.Operator)
	}
	return figure, status == stability.Within, nil
}

func join(a, b string) string {
	if b == "" {
		return a
	}
	return a + ", " + b
}
