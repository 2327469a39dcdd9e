package main

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/draw"
	"example.com/steelyard/examples/internal/jobs"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// A speaker says a comparison in a language.
type speaker struct {
	paper.Words
	papers   *paper.Papers
	a        *Answer
	currency string
}

func or(s, instead string) string {
	if s == "" {
		return instead
	}
	return s
}

// money is an amount of hundredths.
func (p *speaker) money(cents int64) string {
	point := "."
	if p.Display.Comma {
		point = ","
	}
	frac := strconv.FormatInt(cents%100, 10)
	if len(frac) == 1 {
		frac = "0" + frac
	}
	return strings.TrimSuffix(strconv.FormatInt(cents/100, 10)+point+frac+"\u00a0"+p.currency, "\u00a0")
}

func (p *speaker) price(cents int64) string {
	if cents == 0 {
		return p.T("opt.free")
	}
	return p.money(cents)
}

func (p *speaker) name(o *Option) string {
	switch {
	case o.Planned && o.Name == "":
		return p.T("opt.planned.none")
	case o.Planned:
		return p.T("opt.planned", "list", o.Name)
	}
	return paper.Own(o.Name)
}

func (p *speaker) job(k jobs.Kind) string { return p.T("job." + string(k)) }

func (p *speaker) limit(k ballast.LimitKind) string {
	if k == ballast.LimitTipping && p.a.in.Basis.Kind == ballast.BasisUnknown {
		return p.T("hand.nobasis")
	}
	return p.Limit(p.a.in.Basis, k)
}

func (p *speaker) height(a *ballast.Attachment, l units.Length) string {
	return p.T("at."+a.Kind.String(), "height", p.Length(l))
}

// first is a text with a capital first letter.
func first(s string) string {
	r := []rune(s)
	if len(r) == 0 {
		return s
	}
	return strings.ToUpper(string(r[0])) + string(r[1:])
}

// least is the job on which least may be carried.
func least(o *Option) *JobRow {
	at := &o.Jobs[0]
	for i := range o.Jobs {
		if o.Jobs[i].Usable.IfRated.Low < at.Usable.IfRated.Low {
			at = &o.Jobs[i]
		}
	}
	return at
}

// missing reports whether a rating is missing on some job.
func missing(o *Option) bool {
	return slices.ContainsFunc(o.Jobs, func(j JobRow) bool { return j.Usable.Missing != 0 })
}

// sheet says it all: what may be carried first, then what to heed, then the rest.
func (p *speaker) sheet() (*paper.Sheet, error) {
	a := p.a
	out := &paper.Sheet{Title: p.T("opt.title")}
	out.Add(p.papers.Head()...)
	out.Add(paper.Fields{List: [][2]string{{p.T("paper.machine"), or(paper.Own(a.Machine), p.T("unnamed.machine"))}, {p.T("paper.machineSerial"), p.papers.MachineSerial},
		{p.T("paper.customer"), p.papers.Customer}, {p.T("paper.date"), p.papers.Date}}})
	out.Add(paper.Heading{Text: p.T("opt.h.answer"), Level: 2},
		paper.Paragraph{Text: p.T("opt.head", "machine", first(or(paper.Own(a.Machine), p.T("unnamed.machine"))), "attachment", or(a.Attachment, p.T("unnamed.attachment")))})
	for i := range a.Options {
		out.Add(p.option(i))
	}
	if a.Unplanned {
		out.Add(paper.Box{Title: p.T("opt.unplanned")})
	}
	for i := range a.Options {
		if a.Options[i].Rear.Status != stability.CannotOccur {
			out.Add(paper.Paragraph{Text: p.name(&a.Options[i]) + ": " + p.rear(a.Options[i].Rear)})
		}
	}
	if !slices.ContainsFunc(a.Options, func(o Option) bool { return o.Rear.Status != stability.CannotOccur }) {
		out.Add(paper.Paragraph{Text: p.T("hand.rear.no")})
	}

	heed := slices.Concat(a.Cautions, []units.Remark{paper.Remark("yard.riders"), paper.Remark("yard.under"), paper.Remark("yard.belt"), paper.Remark("yard.off")})
	if slices.ContainsFunc(a.Options, func(o Option) bool {
		return slices.ContainsFunc(o.Setup.Pieces, func(x ballast.Piece) bool { return x.Kind.Liquid() })
	}) {
		heed = append(heed, paper.Remark("yard.liquid"))
	}
	if a.in.Setup.Loader.ManualBallast.Kind == ballast.ManualBallastUnknown {
		heed = append(heed, paper.Remark("yard.notread"))
	}
	out.Add(paper.Heading{Text: p.T("opt.h.heed"), Level: 2}, paper.List{Points: p.Say(units.SortRemarks(heed))})

	if err := p.pictures(out); err != nil {
		return nil, err
	}
	p.table(out)
	p.axles(out)
	p.swaps(out)
	p.dataSheet(out)
	p.loads(out)
	out.Add(paper.Heading{Text: p.T("hand.h.notes"), Level: 2}, paper.List{Points: p.Say(a.Notes)})
	return out, nil
}

// rear says whether the loader can lift the rear wheels.
func (p *speaker) rear(r ballast.RearLift) string {
	if r.Status == stability.Exceeded {
		return p.T("hand.rear.yes", "low", p.Length(r.Heights.Low), "high", p.Length(r.Heights.High))
	}
	return p.T("hand.rear.open")
}

// option is one choice with what it lets the machine carry, and what it costs.
func (p *speaker) option(i int) paper.Answer {
	o := &p.a.Options[i]
	x := paper.Answer{Sign: paper.None, About: first(p.name(o))}
	low := least(o).Usable.Mass.Low
	switch {
	case missing(o):
		x.Sign, x.Word = paper.NotYet, p.T("opt.least.notyet")
	case low < units.Kilogram:
		x.Sign, x.Word = paper.No, p.T("opt.least.nothing")
	default:
		x.Word = p.T("opt.least", "mass", p.Most(low))
	}
	// The job that allows least stands here, all of them in the table.
	j := least(o)
	u := &j.Usable
	code := "opt.line"
	switch {
	case u.IfRated.Low < units.Kilogram:
		code = "opt.line.none"
	case u.Missing != 0:
		code = "opt.line.notyet"
	}
	x.Lines = append(x.Lines, p.T(code, "job", first(p.job(j.Job.Kind)), "mass", p.Most(u.IfRated.Low), "limit", p.limit(u.Governing)))
	if o.Added.High > 0 {
		x.Lines = append(x.Lines, p.T("opt.adds", "mass", p.There(o.Added), "price", p.price(o.Cents)))
	}
	if base := &p.a.Options[0]; i > 0 && !missing(o) && !missing(base) {
		code, gain := "opt.gain", low-least(base).Usable.Mass.Low
		if gain < units.Kilogram {
			code = "opt.gain.none"
		}
		x.Lines = append(x.Lines, p.T(code, "mass", p.Most(gain), "option", p.name(base)))
	}
	for _, b := range o.Broken {
		code := "opt.broken.is"
		if b.Open {
			code = "opt.broken.may"
		} else {
			x.Sign, x.Word = paper.No, p.T("opt.least.broken")
		}
		x.Lines = append(x.Lines, p.T(code, "state", p.T("state."+b.State.String()), "limit", p.limit(b.Limit)))
	}
	if x.Sign != paper.None { // a figure answers no question, so that no yes stands before it
		x.Mark = p.Mark(x.Sign)
	}
	return x
}

// pictures draws the machine with each option, the load where it is placed.
func (p *speaker) pictures(out *paper.Sheet) error {
	scale, text := units.Meter, "1 m"
	if p.Display.System != units.Metric {
		scale, text = 3*units.Foot, "3 ft"
	}
	var full units.Mass
	var back units.Length
	for i := range p.a.Options {
		for _, x := range p.a.Options[i].Setup.Pieces {
			if r, ok := x.CG.X.Range(); ok && x.Kind.OnHitch() {
				back = max(back, 0.35-r.Low)
			}
		}
	}
	for i := range p.a.Options {
		full = max(full, least(&p.a.Options[i]).Usable.IfRated.Low)
	}
	var figures paper.Figures
	for i := range p.a.Options {
		o := &p.a.Options[i]
		place := o.Jobs[len(o.Jobs)-1]
		low := least(o).Usable.IfRated.Low
		svg, err := draw.Machine{Title: p.name(o), Setup: o.Setup, Pin: place.Job.Pin, Load: p.a.in.Load, Scale: scale, ScaleText: text, Back: back,
			Bar: &draw.Bar{Low: low, Full: full, Open: missing(o)}}.SVG()
		if errors.Is(err, units.ErrInvalid) {
			return nil // the answer says which lengths are not known
		}
		if err != nil {
			return err
		}
		figures.List = append(figures.List, paper.Figure{SVG: svg, Title: p.name(o), Lines: []string{p.option(i).Word}})
	}
	out.Add(paper.Heading{Text: p.T("opt.h.picture"), Level: 2}, figures)
	return nil
}

// cell is a load that may be carried, and what limits it.
func (p *speaker) cell(u *ballast.Usable) string {
	most := p.Most(u.IfRated.Low)
	if u.IfRated.Low < units.Kilogram {
		most = p.T("nothing")
	}
	if u.Missing != 0 {
		most = p.T("cell.notyet", "mass", most)
	}
	if u.Governing == ballast.NoLimit {
		return most
	}
	return p.T("opt.cell", "mass", most, "limit", p.limit(u.Governing))
}

func (p *speaker) table(out *paper.Sheet) {
	t := paper.Table{Head: []string{p.T("opt.col.option"), p.T("opt.col.price")}, Numbers: []bool{false, true}}
	for _, j := range p.a.Options[0].Jobs {
		t.Head = append(t.Head, p.job(j.Job.Kind)+", "+p.height(p.a.in.Setup.Attachment, j.Job.Edge))
	}
	for i := range p.a.Options {
		o := &p.a.Options[i]
		row := []string{p.name(o), p.price(o.Cents)}
		for k := range o.Jobs {
			row = append(row, p.cell(&o.Jobs[k].Usable))
		}
		t.Rows = append(t.Rows, row)
	}
	out.Add(paper.Heading{Text: p.T("opt.h.table"), Level: 2}, t)
	if slices.ContainsFunc(p.a.Options, func(o Option) bool { return missing(&o) }) {
		out.Add(paper.Paragraph{Text: p.T("hand.notyet")})
	}
}

func (p *speaker) axles(out *paper.Sheet) {
	t := paper.Table{Head: []string{p.T("opt.col.option"), p.T("opt.col.fon"), p.T("opt.col.ron"), p.T("opt.col.foff"), p.T("opt.col.roff")}, Numbers: []bool{false, true, true, true, true}}
	for i := range p.a.Options {
		o := &p.a.Options[i]
		t.Rows = append(t.Rows, []string{p.name(o), p.There(o.With.Front), p.There(o.With.Rear), p.There(o.Without.Front), p.There(o.Without.Rear)})
	}
	rating := func(in units.Input[units.Mass]) string {
		if r, ok := in.Range(); ok {
			return p.Most(r.Low)
		}
		return p.T("opt.none.rated")
	}
	m := &p.a.in.Setup.Machine
	front, rear := rating(m.Front.Rating), rating(m.Rear.Rating)
	t.Rows = append(t.Rows, []string{p.T("opt.rated"), front, rear, front, rear})
	out.Add(paper.Heading{Text: p.T("opt.h.axles"), Level: 2}, t)
}

// swaps says what other attachments cost.
func (p *speaker) swaps(out *paper.Sheet) {
	if len(p.a.Swaps) == 0 {
		return
	}
	base := &p.a.Options[0]
	out.Add(paper.Heading{Text: p.T("opt.h.swap", "option", p.name(base)), Level: 2})
	for _, s := range p.a.Swaps {
		out.Add(paper.Heading{Text: or(s.Name, p.T("unnamed.attachment")), Level: 3})
		var list paper.List
		for i, j := range s.Jobs {
			before := &base.Jobs[i].Usable
			job := first(p.job(j.Job.Kind))
			if before.Missing != 0 || j.Usable.Missing != 0 {
				list.Points = append(list.Points, p.T("opt.swap.open", "job", job))
				continue
			}
			code, d := "opt.swap.less", before.Mass.Low-j.Usable.Mass.Low
			if d < 0 {
				code, d = "opt.swap.more", -d
			}
			list.Points = append(list.Points, p.T(code, "job", job, "mass", p.Mass(d), "now", p.Most(j.Usable.Mass.Low), "attachment", or(p.a.Attachment, p.T("unnamed.attachment"))))
		}
		out.Add(list)
	}
}

func (p *speaker) dataSheet(out *paper.Sheet) {
	if len(p.a.Sheet) == 0 {
		return
	}
	d := p.a.in.DataSheet
	list := p.a.in.jobs(p.a.in.Setup.Attachment)
	var steps paper.Steps
	for i, s := range p.a.Sheet {
		height := d.PinHeight
		if s.Kind == "height" {
			height = list[len(list)-1].Pin
		}
		code := "opt.sheet." + s.Kind
		if s.Kind == "distance" && i > 0 && s.Lift.Low > p.a.Sheet[i-1].Lift.Low-units.Kilogram {
			code = "opt.sheet.level"
		}
		steps.Points = append(steps.Points, p.T(code, "mass", p.Range(s.Lift), "height", p.Length(height)))
	}
	out.Add(paper.Heading{Text: p.T("opt.h.sheet"), Level: 2}, steps, paper.Box{Title: p.T("opt.sheet.relief")}, paper.Paragraph{Text: p.T("opt.sheet.open")})
}

// verdicts says what holds of a load with which options; options of one verdict stand together.
func (p *speaker) verdicts(list []ballast.Verdict) string {
	var lines []string
	for _, v := range []ballast.Verdict{ballast.NoLimitExceeded, ballast.CannotSay, ballast.NeedsRatings, ballast.ExceedsLimit} {
		var names []string
		for i, x := range list {
			if x == v {
				names = append(names, p.name(&p.a.Options[i]))
			}
		}
		switch {
		case len(names) == 0:
			continue
		case len(names) == len(list):
			names = []string{p.T("opt.all")}
		}
		lines = append(lines, p.T("opt.loads.line", "verdict", p.T("ballast.verdict."+v.String()), "list", strings.Join(names, ", ")))
	}
	return strings.Join(lines, "; ")
}

func (p *speaker) loads(out *paper.Sheet) {
	if len(p.a.Loads) == 0 {
		return
	}
	t := paper.Table{Head: []string{p.T("opt.col.load"), p.T("opt.col.weighs"), p.T("opt.col.options")}}
	for _, l := range p.a.Loads {
		t.Rows = append(t.Rows, []string{paper.Own(l.Name), p.There(l.Mass), p.verdicts(l.Verdicts)})
	}
	out.Add(paper.Heading{Text: p.T("opt.h.loads"), Level: 2}, t, paper.Paragraph{Text: p.T("opt.loads.note")})
}
