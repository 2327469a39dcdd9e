package main

import (
	"errors"
	"slices"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/draw"
	"example.com/steelyard/examples/internal/jobs"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// A speaker says a sheet in a language.
type speaker struct {
	paper.Words
	s      *Sheet
	papers *paper.Papers
}

// sections are the parts of the sheet in their order. A further part is one more line here: a
// function that returns its blocks.
func (p *speaker) sections() []func() ([]paper.Block, error) {
	return []func() ([]paper.Block, error){
		p.top,
		p.answer,
		p.heed,
		p.slopes,
		p.ballast,
		p.pictures,
		p.jobs,
		p.find,
		p.rechecks,
		p.technical,
		p.over,
		p.rest,
	}
}

// sheet says all of it.
func (p *speaker) sheet() (*paper.Sheet, error) {
	out := &paper.Sheet{Title: p.s.Title}
	if out.Title == "" {
		out.Title = p.T("hand.title")
	}
	for _, section := range p.sections() {
		blocks, err := section()
		if err != nil {
			return nil, err
		}
		out.Add(blocks...)
	}
	return out, nil
}

func or(s, instead string) string {
	if s == "" {
		return instead
	}
	return s
}

func (p *speaker) load() string { return or(paper.Own(p.s.LoadName), p.T("unnamed.load")) }
func (p *speaker) attachment() string {
	return or(paper.Own(p.s.Attachment), p.T("unnamed.attachment"))
}
func (p *speaker) limit(k ballast.LimitKind) string {
	if k == ballast.LimitTipping && p.s.Basis.Kind == ballast.BasisUnknown {
		return p.T("hand.nobasis")
	}
	return p.Limit(p.s.Basis, k)
}

// job is the name of a job, at with the height that is meant.
func (p *speaker) job(k jobs.Kind) string { return p.T("job." + string(k)) }

func (p *speaker) height(edge units.Length) string {
	return p.T("at."+p.s.in.Setup.Attachment.Kind.String(), "height", p.Length(edge))
}

func (p *speaker) list(items []string) string {
	if n := len(items); n > 1 {
		return p.T("and", "list", strings.Join(items[:n-1], ", "), "last", items[n-1])
	}
	return strings.Join(items, "")
}

func (p *speaker) top() ([]paper.Block, error) {
	return append(p.papers.Head(), paper.Fields{List: [][2]string{
		{p.T("paper.machine"), or(paper.Own(p.s.Machine), p.T("unnamed.machine"))},
		{p.T("paper.machineSerial"), p.papers.MachineSerial},
		{p.T("paper.loaderSerial"), paper.Own(p.papers.LoaderSerial)},
		{p.T("paper.attachment"), join(p.attachment(), paper.Own(p.papers.AttachmentSerial))},
		{p.T("paper.customer"), p.papers.Customer},
		{p.T("paper.date"), p.papers.Date},
	}}), nil
}

var signs = map[ballast.Verdict]paper.Sign{
	ballast.ExceedsLimit: paper.No, ballast.NeedsRatings: paper.NotYet, ballast.CannotSay: paper.Open, ballast.NoLimitExceeded: paper.None,
}

// answer says it for the load asked about: the jobs with one answer stand together, the worst
// answer first.
func (p *speaker) answer() ([]paper.Block, error) {
	s := p.s
	blocks := []paper.Block{
		paper.Heading{Text: p.T("hand.h.answer"), Level: 2},
		paper.Paragraph{Text: p.T("hand.asked", "load", p.load(), "mass", p.Mass(s.Load), "attachment", p.attachment())},
	}
	for _, v := range []ballast.Verdict{ballast.ExceedsLimit, ballast.NeedsRatings, ballast.CannotSay, ballast.NoLimitExceeded} {
		var about []string
		var rows []CheckRow
		for _, c := range s.Checks {
			if c.Check.Verdict == v {
				rows = append(rows, c)
				about = append(about, p.job(c.Job.Kind))
			}
		}
		if len(rows) == 0 {
			continue
		}
		a := paper.Answer{Sign: signs[v], Mark: p.Mark(signs[v]), About: first(p.list(about))}
		switch v {
		case ballast.ExceedsLimit:
			a.Word = p.T("hand.word.no")
			for _, r := range rows {
				a.Lines = append(a.Lines, p.most("hand.no", r))
			}
		case ballast.NeedsRatings:
			a.Word = p.T("hand.word.notyet")
			a.Lines = append(p.needed("hand.plates"), p.most("hand.known", least(rows)))
		case ballast.CannotSay:
			a.Word = p.T("hand.word.open")
			r := least(rows)
			u := &r.Check.Usable
			code := "hand.between"
			if u.IfRated.Low < units.Kilogram {
				code = "hand.above"
			}
			a.Lines = []string{p.T(code, "low", p.Most(u.IfRated.Low), "high", p.Least(u.IfRated.High), "limit", p.limit(u.Governing), "job", p.job(r.Job.Kind))}
			if s.missing() && !s.exceeds() {
				a.Lines = append(a.Lines, p.needed("hand.plates")...)
			}
		case ballast.NoLimitExceeded:
			a.Word = p.T("hand.word.none")
			if r := least(rows); r.Check.Usable.Governing != ballast.NoLimit {
				a.Lines = []string{p.most("hand.nearest", r)}
			}
		}
		blocks = append(blocks, a)
	}
	if s.missing() && s.exceeds() {
		for _, l := range p.needed("hand.plates.anyway") {
			blocks = append(blocks, paper.Paragraph{Text: l})
		}
	}
	blocks = append(blocks, paper.Paragraph{Text: p.rear()})
	if len(s.Broken) > 0 {
		box := paper.Box{Title: p.T("hand.broken")}
		for _, b := range s.Broken {
			code := "hand.broken.is"
			switch {
			case b.Limit == ballast.LimitSteered && b.Open:
				code = "hand.broken.steered.may"
			case b.Limit == ballast.LimitSteered:
				code = "hand.broken.steered"
			case b.Open:
				code = "hand.broken.may"
			}
			box.Lines = append(box.Lines, p.T(code, "state", first(p.T("state."+b.State.String())), "limit", p.limit(b.Limit)))
		}
		blocks = append(blocks, box)
	}
	return blocks, nil
}

// jobs is the answer job by job.
func (p *speaker) jobs() ([]paper.Block, error) {
	s := p.s
	table := paper.Table{Head: []string{p.T("col.job"), p.T("col.lift"), p.T("col.carry"), p.T("col.limit"), p.T("col.answer")}}
	for _, c := range s.Checks {
		u := &c.Check.Usable
		table.Rows = append(table.Rows, []string{p.job(c.Job.Kind) + ", " + p.height(c.Job.Edge), p.part(u.Lift), p.part(u.Carry), p.limit(u.Governing),
			p.T("ballast.verdict." + c.Check.Verdict.String())})
	}
	blocks := []paper.Block{paper.Heading{Text: p.T("hand.h.byjob"), Level: 2}, table}
	if s.missing() {
		blocks = append(blocks, paper.Paragraph{Text: p.T("hand.notyet")})
	}
	if m := s.in.LoaderRating; m > 0 {
		blocks = append(blocks, paper.Paragraph{Text: p.T("hand.rating", "mass", p.Most(m), "left", p.Most(s.left(m)))})
	}
	return blocks, nil
}

// first is a text with a capital first letter.
func first(s string) string {
	r := []rune(s)
	if len(r) == 0 {
		return s
	}
	return strings.ToUpper(string(r[0])) + string(r[1:])
}

// least is the row in which least may be lifted.
func least(rows []CheckRow) CheckRow {
	return slices.MinFunc(rows, func(a, b CheckRow) int {
		switch x, y := a.Check.Usable.IfRated.Low, b.Check.Usable.IfRated.Low; {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
}

// most says how much a job allows, as far as is known.
func (p *speaker) most(code string, r CheckRow) string {
	u := &r.Check.Usable
	if code == "hand.no" && u.IfRated.Low < units.Gram {
		code = "hand.no.nothing"
	}
	return p.T(code, "mass", p.Most(u.IfRated.Low), "job", p.job(r.Job.Kind), "limit", p.limit(u.Governing))
}

// part is what one question allows, in words.
func (p *speaker) part(c ballast.CapacityRange) string {
	words := p.bare(c)
	if c.Missing != 0 && c.Governing != ballast.NoLimit && c.IfRated.High > 0 {
		return p.T("cell.notyet", "mass", words)
	}
	return words
}

// bare is the same without the word that plates are missing, which then stands beside it.
func (p *speaker) bare(c ballast.CapacityRange) string {
	switch {
	case c.Governing == ballast.NoLimit && c.Missing != 0:
		return p.T("notknown")
	case c.Governing == ballast.NoLimit:
		return p.T("nolimit")
	case c.IfRated.High == 0:
		return p.T("nothing")
	case c.IfRated.High >= ballast.MaxLoad:
		return p.T("ormore", "low", p.Most(c.IfRated.Low))
	}
	return p.Range(c.IfRated)
}

// needed says what the plates that nobody has read must say.
func (p *speaker) needed(code string) []string {
	var list []string
	for _, x := range p.s.Plates {
		pair := func(code string) string {
			return p.T(code, "limit", p.limit(x.Limit), "mass", p.Least(x.Mass))
		}
		switch {
		case x.Limit == ballast.LimitManualBallast:
			list = append(list, p.T("hand.plate.manual"))
		case code != "hand.plates":
			list = append(list, p.limit(x.Limit))
		case x.Mass == 0:
			list = append(list, pair("hand.plate.tracks"))
		case x.Limit == ballast.LimitHydraulic:
			list = append(list, pair("hand.plate.hydraulic"))
		case x.Limit == ballast.LimitFrontTire || x.Limit == ballast.LimitRearTire:
			list = append(list, pair("hand.plate.tire"))
		case x.Limit == ballast.LimitFrontRim || x.Limit == ballast.LimitRearRim:
			list = append(list, pair("hand.plate.wheel"))
		default:
			list = append(list, pair("hand.plate"))
		}
	}
	if len(list) == 0 {
		return nil
	}
	return []string{p.T(code, "list", p.list(list))}
}

// rear says whether the loader can lift the rear wheels.
func (p *speaker) rear() string {
	r := p.s.Rear
	switch r.Status {
	case stability.Exceeded:
		return p.T("hand.rear.yes", "low", p.Length(r.Heights.Low), "high", p.Length(r.Heights.High))
	case stability.CannotOccur:
		return p.T("hand.rear.no")
	}
	return p.T("hand.rear.open")
}

func (p *speaker) heed() ([]paper.Block, error) {
	return []paper.Block{paper.Heading{Text: p.T("hand.h.heed"), Level: 2}, paper.List{Points: p.Say(p.s.First)}}, nil
}

// what is the name of a field for a reader.
func (p *speaker) what(path string) string {
	if _, field, ok := strings.Cut(path, "]."); ok {
		path = "pieces." + field
	}
	path = strings.TrimPrefix(path, "setup.")
	if text := p.T("path." + path); text != "path."+path {
		return text
	}
	return path
}

// pictures draws the machine low, with the arms level, and high, each with one bar.
func (p *speaker) pictures() ([]paper.Block, error) {
	s := p.s
	blocks := []paper.Block{paper.Heading{Text: p.T("hand.h.picture"), Level: 2}}
	full := s.Load
	for _, x := range s.Poses {
		full = max(full, x.Check.Usable.IfRated.Low)
	}
	scale, text := units.Meter, "1 m"
	if p.Display.System != units.Metric {
		scale, text = 3*units.Foot, "3 ft"
	}
	var figures paper.Figures
	for _, x := range s.Poses {
		u := &x.Check.Usable
		drawing := draw.Machine{
			Title: p.T("pose." + x.Kind), Setup: s.in.Setup, Pin: x.Pin, Load: s.in.Load, Scale: scale, ScaleText: text,
			Bar: &draw.Bar{Asked: s.Load, Low: u.IfRated.Low, Full: full, Open: !x.Check.Verdict.OK() && x.Check.Verdict != ballast.ExceedsLimit},
		}
		svg, err := drawing.SVG()
		if errors.Is(err, units.ErrInvalid) {
			var list []string
			for _, f := range units.Fields(err) {
				list = append(list, p.what(f.Path))
			}
			return append(blocks, paper.Box{Lines: []string{p.T("hand.notdrawn", "list", p.list(list))}}), nil
		}
		if err != nil {
			return nil, err
		}
		code := map[ballast.Verdict]string{ballast.ExceedsLimit: "bar.no", ballast.NeedsRatings: "bar.notyet", ballast.CannotSay: "bar.open", ballast.NoLimitExceeded: "bar.none"}[x.Check.Verdict]
		if code == "bar.open" && u.IfRated.Low < units.Kilogram {
			code = "bar.open.nothing"
		}
		figures.List = append(figures.List, paper.Figure{SVG: svg, Title: p.T("pose."+x.Kind) + ", " + p.height(x.Edge),
			Lines: []string{p.T(code, "asked", p.Mass(s.Load), "low", p.Most(u.IfRated.Low), "limit", p.limit(u.Governing))}})
	}
	return append(blocks, figures, paper.Paragraph{Text: p.T("hand.key")}), nil
}

// tallField says which fields are heights that a slope rests on.
func tallField(path string) bool {
	return strings.HasSuffix(path, ".z") || strings.HasSuffix(path, ".above") || strings.HasSuffix(path, "radius") ||
		path == "machine.axlePinHeight" || path == "machine.axleHeight"
}

// slopes says one figure for whoever drives.
func (p *speaker) slopes() ([]paper.Block, error) {
	s := p.s
	blocks := []paper.Block{paper.Heading{Text: p.T("hand.h.slopes"), Level: 2}}
	figure, status := s.operator()
	var title string
	switch status {
	case stability.Within:
		title = p.T("slope.figure", "slope", p.Steep(figure, units.Down))
	case stability.Exceeded:
		title = p.T("slope.tips")
	case stability.AtMost:
		title = p.T("slope.friction")
	default:
		title = p.T("slope.open")
	}
	yard := p.Steep(s.Slope, units.Up)
	steep := s.Slopes[0].Yard == stability.Exceeded || s.Slopes[1].Yard == stability.Exceeded
	var lines []string
	switch {
	case s.Slope == 0:
		lines = append(lines, p.T("slope.yard.unknown"))
	case steep || status == stability.Within && s.Slope > figure:
		lines = append(lines, p.T("slope.yard.steep", "slope", yard))
	case status == stability.Within:
		lines = append(lines, p.T("slope.yard.ok", "slope", yard))
	default:
		lines = append(lines, p.T("slope.yard.open", "slope", yard))
	}
	if status == stability.Within {
		lines = append(lines, p.T("slope.pin", "height", p.NoLonger(s.in.TravelPin)))
	}
	lines = append(lines, p.T("slope.only"))
	if status == stability.Within && s.in.SlopeManual == 0 {
		lines = append(lines, p.T("slope.manual"))
	}
	blocks = append(blocks, paper.Box{Title: title, Lines: lines})

	// What to measure is said of every height alike, and not ranked by what it is worth: ranking
	// a slope of a machine of which little is known takes seconds.
	var heights, tape []string
	workshop := false
	for _, a := range s.Assumed {
		if !tallField(a.Path) {
			continue
		}
		heights = append(heights, p.what(a.Path))
		switch {
		case a.Path == "machine.cg.z":
			workshop = true
		case !strings.Contains(a.Path, ".cg.above") && a.Path != "machine.axleHeight":
			tape = append(tape, p.what(a.Path))
		}
	}
	if len(heights) > 0 {
		box := paper.Box{Title: p.T("slope.banner"), Lines: []string{p.T("slope.banner.list", "list", p.list(heights))}}
		if len(tape) > 0 {
			box.Lines = append(box.Lines, p.T("slope.banner.tape", "list", p.list(tape)), p.T("question.measureOnLevelGroundWith"))
		}
		if workshop {
			box.Lines = append(box.Lines, p.T("question.workshopEquippedForFindsHeight"))
		}
		blocks = append(blocks, box)
	}
	if status == stability.Within {
		margin := p.T("slope.margin.none")
		if s.in.SlopeMargin > 0 {
			margin = p.T("slope.margin", "margin", p.Degrees(s.in.SlopeMargin))
		}
		blocks = append(blocks, paper.Paragraph{Text: p.T("slope.why", "friction", p.Number(float64(s.Ground)), "margin", margin)})
	}
	return blocks, nil
}

func once(lines []string) (out []string) {
	for _, l := range lines {
		if !slices.Contains(out, l) {
			out = append(out, l)
		}
	}
	return out
}

func (p *speaker) degrees(s units.Slope, r units.Rounding) string {
	d := p.Display
	d.Rounding, d.Precision = r, units.Decimals(1)
	return units.Format(d, s)
}

func (p *speaker) ballast() ([]paper.Block, error) {
	return []paper.Block{paper.Heading{Text: p.T("hand.h.ballast"), Level: 2}, p.pieces("hand.fill")}, nil
}

// pieces lists the ballast; code is the sentence for a fill.
func (p *speaker) pieces(code string) paper.List {
	list := paper.List{}
	for _, f := range p.s.Fills {
		tires := p.T("tires.one")
		if f.Tires > 1 {
			tires = p.T("tires.many", "count", p.Number(float64(f.Tires)))
		}
		text := p.T(code, "name", f.Name, "tire", f.Fill.Tire.Designation.String(), "fluid", p.Fluid(f.Fill.Fluid), "level", p.Level(f.Fill.Level, f.Filled),
			"mass", p.Mass(f.Filled.Mass), "tires", tires, "all", p.Mass(units.Mass(f.Tires)*f.Filled.Mass), "freezes", p.Freezes(f.Filled))
		if f.Filled.Notes.Has(liquid.NoteLevelClamped) {
			text += " " + p.T("clamped") + "."
		}
		list.Points = append(list.Points, text)
	}
	for _, x := range p.s.Pieces {
		code := "hand.piece"
		if x.Hitch {
			code += "." + x.State.String()
		}
		list.Points = append(list.Points, p.T(code, "name", x.Name, "mass", p.There(x.Mass)))
	}
	if len(list.Points) == 0 {
		list.Points = []string{p.T("none")}
	}
	return list
}

func (p *speaker) find() ([]paper.Block, error) {
	var points, care []string
	for i, q := range p.s.Questions {
		if i == 8 {
			break
		}
		points = append(points, p.T(q.Code))
		if q.Care != "" {
			care = append(care, p.T(q.CareCode))
		}
	}
	if len(points) == 0 {
		return nil, nil
	}
	return []paper.Block{paper.Heading{Text: p.T("hand.h.find"), Level: 2}, paper.List{Points: once(append(points, care...))}}, nil
}

func (p *speaker) rechecks() ([]paper.Block, error) {
	var blocks []paper.Block
	if len(p.papers.Rechecks) > 0 {
		list := paper.List{Short: len(p.papers.Rechecks) > 4}
		for _, r := range p.papers.Rechecks {
			code := "hand.recheck"
			if r.By == "" {
				code += ".open"
			}
			list.Points = append(list.Points, p.T(code, "what", r.What, "by", r.By))
		}
		blocks = append(blocks, paper.Heading{Text: p.T("hand.h.recheck"), Level: 2}, list)
	}
	sign := p.papers.Signatures
	if len(sign) == 0 {
		sign = []string{p.T("paper.signed.shop"), p.T("paper.signed.customer")}
	}
	return append(blocks, paper.Box{Title: p.T("hand.void")}, paper.Signatures{For: sign}), nil
}

// technical is for whoever wants to follow the figures.
func (p *speaker) technical() ([]paper.Block, error) {
	s := p.s
	blocks := []paper.Block{paper.Break{}, paper.Heading{Text: p.T("hand.h.technical"), Level: 2}}
	share := p.Percent(s.Basis.Fraction)
	blocks = append(blocks, paper.Paragraph{Text: p.T("hand.basis."+s.Basis.Kind.String(), "share", share)},
		paper.Paragraph{Text: p.T("hand.factor", "factor", p.Number(s.Factor))})
	if a := s.in.Setup.Attachment; a.Kind == ballast.Forks {
		if s.in.Load.Center.Unknown() {
			blocks = append(blocks, paper.Paragraph{Text: p.T("hand.center.open")})
		} else {
			blocks = append(blocks, paper.Paragraph{Text: p.T("hand.center", "center", p.Length(jobs.Middle(s.in.Load.Center)))})
		}
	}

	blocks = append(blocks, paper.Heading{Text: p.T("hand.h.jobs"), Level: 3})
	table := paper.Table{Head: []string{p.T("col.job")}}
	for _, c := range s.Columns {
		code := "with.off"
		if c.Ballast {
			code = "with.on"
		}
		table.Head = append(table.Head, p.T(code, "attachment", or(c.Attachment, p.T("unnamed.attachment"))))
	}
	missing := false
	for _, l := range s.Lifts {
		row := []string{p.job(l.Job)}
		for _, u := range l.Cells {
			missing = missing || u.Missing != 0
			code := "hand.cell"
			if u.Missing != 0 {
				code = "hand.cell.notyet"
			}
			row = append(row, p.T(code, "lift", p.bare(u.Lift), "carry", p.bare(u.Carry), "limit", p.limit(u.Governing)))
		}
		table.Rows = append(table.Rows, row)
	}
	if missing {
		blocks = append(blocks, paper.Paragraph{Text: p.T("hand.notyet")})
	}
	blocks = append(blocks, table, paper.Paragraph{Text: p.T("hand.bare")})
	if c := s.in.Compare; c != nil && c.Kind != s.in.Setup.Attachment.Kind {
		blocks = append(blocks, paper.Paragraph{Text: p.T("hand.compared")})
	}

	blocks = append(blocks, paper.Heading{Text: p.T("hand.h.limits", "attachment", p.attachment()), Level: 3})
	blocks = append(blocks, p.limits()...)

	blocks = append(blocks, paper.Heading{Text: p.T("hand.h.axles"), Level: 3})
	axles := paper.Table{Head: []string{p.T("col.state"), p.T("col.total"), p.T("col.front"), p.T("col.rear"), p.T("col.share")}, Numbers: []bool{false, true, true, true, false}}
	for _, a := range s.Axles {
		state := p.T("axle."+a.State, "attachment", p.attachment())
		code := "axle.with"
		if a.Bare {
			code = "axle.bare"
		}
		on := p.share(a.Loads)
		if w := p.low(a); w != "" {
			on += "; " + w
		}
		axles.Rows = append(axles.Rows, []string{p.T(code, "state", state), p.There(a.Loads.Total), p.There(a.Loads.Front), p.There(a.Loads.Rear), on})
	}
	blocks = append(blocks, axles)

	blocks = append(blocks, paper.Heading{Text: p.T("hand.h.angles"), Level: 3})
	angles := paper.Table{Head: []string{p.T("col.state"), p.T("slope.col.tip"), p.T("slope.col.slide")}}
	for _, r := range s.Slopes {
		angles.Rows = append(angles.Rows, []string{p.T("slope." + r.State), p.angles(r.Limit.Tip, r.Limit.Status), p.angles(r.Limit.Slide, r.Limit.Status)})
	}
	blocks = append(blocks, angles, paper.Paragraph{Text: p.T("hand.angles")})

	if len(s.Assumed) > 0 {
		blocks = append(blocks, paper.Heading{Text: p.T("hand.h.assumed"), Level: 3})
		var list paper.List
		for _, a := range s.Assumed {
			list.Points = append(list.Points, p.T("hand.assumed", "what", p.what(a.Path), "range", p.assumed(a)))
		}
		blocks = append(blocks, list)
	}
	return blocks, nil
}

// limits is every limit over the jobs; those that no load reaches and those without a rating are
// listed below the table.
func (p *speaker) limits() []paper.Block {
	s := p.s
	table := paper.Table{Head: []string{p.T("col.limitname")}}
	for _, c := range s.Checks {
		table.Head = append(table.Head, p.job(c.Job.Kind))
	}
	var unreached, unrated []string
	for k, l := range s.Checks[0].Check.Usable.Limits {
		row := []string{p.limit(l.Kind)}
		all := func(status ballast.Status) bool {
			return !slices.ContainsFunc(s.Checks, func(c CheckRow) bool { return c.Check.Usable.Limits[k].Status != status })
		}
		switch {
		case all(stability.CannotOccur) && l.Kind != ballast.LimitManualBallast:
			unreached = append(unreached, row[0])
			continue
		case all(stability.NotChecked):
			unrated = append(unrated, row[0])
			continue
		}
		for _, c := range s.Checks {
			row = append(row, p.Stands(c.Check.Usable.Limits[k]))
		}
		table.Rows = append(table.Rows, row)
	}
	row := []string{p.T("hand.sinks")}
	for _, c := range s.Checks {
		if h := c.Check.Usable.Holds; h.High == 0 {
			row = append(row, p.T("notknown"))
		} else {
			row = append(row, p.Range(h))
		}
	}
	table.Rows = append(table.Rows, row)
	blocks := []paper.Block{table}
	if len(unreached) > 0 {
		blocks = append(blocks, paper.Paragraph{Text: p.T("hand.unreached", "list", p.list(unreached))})
	}
	if len(unrated) > 0 {
		blocks = append(blocks, paper.Paragraph{Text: p.T("hand.unrated", "list", p.list(unrated))})
	}
	return append(blocks, paper.Paragraph{Text: p.T("hand.sinks.warning")})
}

// share is the rear axle's part of what the wheels carry, or its range.
func (p *speaker) share(w ballast.WheelLoadRanges) string {
	at := func(rear, front units.Mass) units.Fraction {
		if sum := rear + front; sum > 0 {
			return units.Ratio(rear, sum)
		}
		return 0
	}
	low, high := p.Percent(at(w.Rear.Low, w.Front.High)), p.Percent(at(w.Rear.High, w.Front.Low))
	if low == high {
		return low
	}
	return p.T("range", "low", low, "high", high)
}

// low says what is wrong with an axle load.
func (p *speaker) low(a AxleRow) string {
	switch {
	case a.Loads.Rear.High < 0:
		return p.T("axle.tips")
	case a.Loads.Rear.Low < 0:
		return p.T("axle.maytip")
	case a.Loads.Front.Low < 0:
		return p.T("axle.back")
	case a.Loads.Rear.Low < 0.2*a.Loads.Total.High:
		return p.T("axle.low")
	}
	return ""
}

// angles is a range of slopes in words.
func (p *speaker) angles(r units.Range[units.Slope], status stability.Status) string {
	if status == stability.NotChecked || r == (units.Range[units.Slope]{}) {
		return p.T("slope.unknown")
	}
	low := p.degrees(r.Low, units.Down)
	if r.High-r.Low > 0.05*units.Slope(units.Degree) {
		return p.T("range", "low", low, "high", p.degrees(r.High, units.Up))
	}
	return low
}

// assumed is the range that was taken from practice.
func (p *speaker) assumed(a ballast.Assumption) string {
	low, high := p.Length(a.Length.Low), p.Length(a.Length.High)
	if a.Mass != (units.Range[units.Mass]{}) {
		low, high = p.Mass(a.Mass.Low), p.Mass(a.Mass.High)
	}
	if a.Share != (units.Range[units.Fraction]{}) {
		low, high = p.Percent(a.Share.Low), p.Percent(a.Share.High)
	}
	return p.T("range", "low", low, "high", high)
}

// rest is every caution that the answer does not trigger, by subject, and the notes.
func (p *speaker) rest() ([]paper.Block, error) {
	blocks := []paper.Block{paper.Heading{Text: p.T("hand.h.rest"), Level: 2}}
	for _, subject := range []units.Subject{units.SubjectGeneral, units.SubjectLifting, units.SubjectTravel, units.SubjectSlopes, units.SubjectBallast, units.SubjectTires, units.SubjectFilling, units.SubjectWeighing} {
		var list []units.Remark
		for _, r := range p.s.Rest {
			if r.Subject == subject {
				list = append(list, r)
			}
		}
		if len(list) > 0 {
			blocks = append(blocks, paper.Heading{Text: p.T("subject." + subject.String()), Level: 3}, paper.List{Points: p.Say(list)})
		}
	}
	return append(blocks, paper.Heading{Text: p.T("hand.h.notes"), Level: 2}, paper.List{Points: p.Say(p.s.Notes)}), nil
}
