package bridge

import (
	"encoding/json"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/examples/internal/visible"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Answered is the answer to the question of the document: its first lift.
type Answered struct {
	// Wrong are fields that must be corrected, Missing those without which there is no figure at
	// all. With either there is no answer beyond "nobody can say yet".
	Wrong   []Problem `json:"wrong"`
	Missing []Problem `json:"missing"`
	// Verdict is the answer as a name, Word and Lines say it.
	Verdict string   `json:"verdict"`
	Word    string   `json:"word"`
	Lines   []string `json:"lines"`
	Asked   string   `json:"asked"`
	Job     string   `json:"job"`
	// Low and High are the load up to which no limit is exceeded and beyond which one is, both
	// provided that plates that nobody has read suffice; Bare says that none of it is permission.
	Low  string `json:"low"`
	High string `json:"high"`
	Bare bool   `json:"bare"`
	// Kilograms are the same two as numbers.
	Kilograms *[2]float64 `json:"kilograms,omitempty"`
	Limit     string      `json:"limit"`
	Lift      string      `json:"lift"`
	Carry     string      `json:"carry"`
	Limits    [][]string  `json:"limits"`
	Rear      string      `json:"rear"`
	Broken    []string    `json:"broken"`
	// Axles is what the axles carry, AxlesOf in which state.
	Axles   [][]string `json:"axles"`
	AxlesOf string     `json:"axlesOf,omitempty"`
	// Rated says what the maker of the loader rates it to lift, where a job file says it.
	Rated string `json:"rated,omitempty"`
	// Pieces says each piece of the document and what may be lifted without it.
	Pieces []Piece `json:"pieces"`
	// Bald is what may be lifted without any ballast.
	Bald string `json:"bald,omitempty"`
	// Changed says what the last change did to the answer.
	Changed []string    `json:"changed"`
	Assumed []string    `json:"assumed"`
	First   []string    `json:"first"`
	Rest    []string    `json:"rest"`
	Notes   []string    `json:"notes"`
	Given   [][2]string `json:"given"`
	// Result is the library's own answer.
	Result *ballast.Judgment `json:"result,omitempty"`
}

// Piece is a piece of ballast with what it does.
type Piece struct {
	Name    string `json:"name"`
	Text    string `json:"text"`
	Without string `json:"without"`
}

// view is a document whose answers can be asked for.
type view struct {
	*asker
	doc  ballast.Document
	e    *ballast.Envelope
	lift ballast.Lift
	load units.Mass
}

// read reads the document and compiles what it leaves open. What is wrong with it or missing in it
// comes back instead.
func (a *asker) read(raw json.RawMessage) (*view, []Problem, []Problem) {
	var wrong, missing []Problem
	add := func(err error) {
		w, m := a.problems(err)
		wrong, missing = append(wrong, w...), append(missing, m...)
	}
	doc, err := a.document(raw)
	if err != nil {
		add(err)
	}
	// A height of zero is a height; one that is left out is not known.
	var peek struct {
		Setup struct {
			Attachment struct{ Kind string }
		}
		Lifts []struct {
			Kind   string
			Height json.RawMessage
		}
	}
	json.Unmarshal(raw, &peek)
	ask := func(path string) {
		if slices.ContainsFunc(missing, func(p Problem) bool { return p.Path == path }) {
			return
		}
		p := Problem{Path: path, Label: a.label(path)}
		if f, ok := ballast.FieldAt(path); ok {
			p.Text = a.Text(f.HelpCode)
		}
		missing = append(missing, p)
	}
	switch {
	case len(peek.Lifts) == 0:
		ask("lifts[0].kind")
	case peek.Lifts[0].Height == nil && peek.Lifts[0].Kind != "breakOut":
		ask("lifts[0].height")
	}
	if peek.Setup.Attachment.Kind == "" {
		ask("setup.attachment.kind")
	}
	if len(wrong)+len(missing) > 0 {
		return nil, wrong, missing
	}
	visible.Strings(&doc)
	v := &view{asker: a, doc: doc, lift: doc.Lifts[0]}
	if v.e, err = doc.Envelope(); err != nil {
		add(err)
		return nil, wrong, missing
	}
	v.load = v.lift.Load.MassOn(*doc.Setup.Attachment)
	if _, err := v.e.UsableLoad(v.lift); err != nil {
		var e units.FieldErrors
		e.JoinCall(err, "setup", map[string]string{"lift": "lifts[0]", "load": "lifts[0].load.mass"})
		add(e.Err())
		return nil, wrong, missing
	}
	return v, nil, nil
}

// order is that of the fields without which there is no figure: the easiest first.
var order = []string{"lifts[0].kind", "lifts[0].height", "setup.attachment.kind", "lifts[0].speed", "setup.machine.undercarriage",
	"setup.machine.operator", "setup.machine.fuel.state", "setup.machine.fuel", "setup.machine.loaderIncluded", "setup.machine.massIncludes", "setup.machine.wheelbase", "setup.machine.mass"}

func (a *asker) answer() Answered {
	out := Answered{Wrong: []Problem{}, Missing: []Problem{}, Lines: []string{}, Limits: [][]string{}, Broken: []string{}, Axles: [][]string{}, Pieces: []Piece{},
		Changed: []string{}, Assumed: []string{}, Notes: []string{}, Given: [][2]string{}}
	v, wrong, missing := a.read(a.Document)
	out.Given = a.given()
	if v == nil {
		slices.SortStableFunc(missing, func(x, y Problem) int { return place(x.Path) - place(y.Path) })
		out.Wrong, out.Missing = append(out.Wrong, wrong...), append(out.Missing, missing...)
		out.Verdict, out.Word = ballast.CannotSay.String(), a.Text("y.word.open")
		if len(wrong) > 0 {
			out.Lines = append(out.Lines, a.Text("y.wrong"))
		} else {
			out.Lines = append(out.Lines, a.Text("y.anything"))
		}
		out.First, out.Rest = a.cautions(nil, nil, nil)
		return out
	}
	v.say(&out)
	return out
}

func place(path string) int {
	if i := slices.Index(order, path); i >= 0 {
		return i
	}
	return len(order)
}

// say fills the answer.
func (v *view) say(out *Answered) {
	out.Job = v.job()
	var u ballast.Usable
	var cautions, notes []units.Remark
	verdict := ballast.CannotSay
	if v.load > 0 {
		j, err := v.e.Check(v.lift, v.load)
		if err != nil {
			w, _ := v.problems(err)
			out.Wrong = append(out.Wrong, w...)
			return
		}
		out.Result, u, verdict = &j, j.Usable, j.Verdict
		attachment := v.doc.Setup.Attachment.Name
		if attachment == "" {
			attachment = v.T("ballast.attachmentKind." + v.doc.Setup.Attachment.Kind.String())
		}
		name := v.lift.Load.Name
		if name == "" {
			name = v.T("unnamed.load")
		}
		out.Asked = v.T("hand.asked", "load", name, "mass", v.Mass(v.load), "attachment", attachment)
		// The arm passes its greatest reach on the way: that is what the axles must carry, and what
		// the handover sheet shows.
		level := v.lift
		level.Kind, level.Datum, level.Height = ballast.Hold, ballast.PinHeight, v.level()
		if l, err := v.e.Check(level, v.load); err == nil {
			out.Axles, out.AxlesOf = v.axles(l.Axles), v.T("axle.reach")
		} else {
			out.Axles, out.AxlesOf = v.axles(j.Axles), out.Job
		}
	} else {
		u, _ = v.e.UsableLoad(v.lift)
		out.Asked = v.Text("y.noload")
		w, err := v.e.WheelLoads(ballast.StateEmpty)
		if err == nil {
			out.Axles, out.AxlesOf = v.axles(w), v.Text("y.axles.empty")
		}
	}
	out.Rated = v.rated()
	v.figures(out, &u, verdict)
	out.Lift, out.Carry = v.part(u.Lift), v.part(u.Carry)
	for k, l := range u.Limits {
		row := []string{v.limit(l.Kind), v.Stands(l), ""}
		if out.Result != nil {
			row[2] = v.T("ballast.verdict." + out.Result.Limits[k].Verdict.String())
		}
		if l.Status == stability.CannotOccur && l.Kind != ballast.LimitManualBallast {
			continue
		}
		out.Limits = append(out.Limits, row)
	}
	cautions = append(cautions, v.rear(out)...)
	cautions = append(cautions, u.Cautions.Remarks()...)
	notes = append(append(notes, u.Notes.Remarks()...), u.FillNotes.Remarks()...)
	v.broken(out, &u)
	for _, as := range v.e.Assumed() {
		out.Assumed = append(out.Assumed, v.T("hand.assumed", "what", v.label("setup."+as.Path), "range", v.assumed(as)))
	}
	v.pieces(out, &u)
	v.changed(out, &u)
	for _, p := range v.doc.Setup.Pieces {
		if p.Fill != nil {
			if f, err := p.Fill.Solve(); err == nil {
				cautions, notes = append(cautions, f.Cautions.Remarks()...), append(notes, f.Notes.Remarks()...)
			}
		}
	}
	out.First, out.Rest = v.cautions(v, cautions, out)
	out.Notes = v.Say(units.SortRemarks(notes))
}

// rated is what the maker of the loader rates it to lift, less the attachment.
func (v *view) rated() string {
	rating := v.Ground.Rating
	if rating <= 0 {
		return ""
	}
	r, _ := v.doc.Setup.Attachment.Mass.Range()
	for _, a := range v.e.Assumed() {
		if a.Path == "attachment.mass" {
			r = a.Mass
		}
	}
	return v.T("hand.rating", "mass", v.Most(rating), "left", v.Most(max(0, rating-r.High)))
}

// figures says the answer itself: how much, and by which limit.
func (v *view) figures(out *Answered, u *ballast.Usable, verdict ballast.Verdict) {
	out.Verdict = verdict.String()
	out.Limit = v.limit(u.Governing)
	out.Low, out.High = v.Most(u.IfRated.Low), v.Least(u.IfRated.High)
	out.Kilograms = &[2]float64{float64(u.IfRated.Low), float64(u.IfRated.High)}
	out.Bare = u.Missing != 0
	pair := []string{"low", out.Low, "high", out.High, "limit", out.Limit, "job", out.Job, "mass", out.Low}
	between := func() string {
		switch {
		case u.Governing == ballast.NoLimit && u.IfRated.High >= ballast.MaxLoad:
			return v.Text("y.nolimit")
		case u.IfRated.High-u.IfRated.Low <= 1e-9*u.IfRated.High:
			return v.T("hand.nearest", pair...)
		case u.IfRated.Low < units.Kilogram:
			return v.T("hand.above", pair...)
		}
		return v.T("hand.between", pair...)
	}
	switch {
	case v.load == 0:
		out.Word = v.Text("y.word.load")
		out.Lines = append(out.Lines, between())
		if u.Missing != 0 {
			out.Lines = append(out.Lines, v.Text("y.plates"))
		}
	case verdict == ballast.ExceedsLimit:
		out.Word = v.T("hand.word.no")
		code := "hand.no"
		if u.IfRated.Low < units.Gram {
			code = "hand.no.nothing"
		}
		out.Lines = append(out.Lines, v.T(code, pair...))
	case verdict == ballast.NeedsRatings:
		out.Word = v.T("hand.word.notyet")
		out.Lines = append(out.Lines, v.plates(out.Result)...)
		out.Lines = append(out.Lines, v.T("hand.known", pair...))
	case verdict == ballast.NoLimitExceeded:
		out.Word = v.T("hand.word.none")
		out.Lines = append(out.Lines, v.T("hand.nearest", pair...))
	default:
		out.Word = v.T("hand.word.open")
		out.Lines = append(out.Lines, between())
		out.Lines = append(out.Lines, v.plates(out.Result)...)
	}
}

// rear says whether the loader can lift the rear wheels.
func (v *view) rear(out *Answered) []units.Remark {
	rear, err := v.e.RearLift(v.bounded(), v.lift)
	switch {
	case err != nil:
		out.Rear = v.T("hand.rear.open")
	case rear.Status == stability.Exceeded:
		out.Rear = v.T("hand.rear.yes", "low", v.Length(rear.Heights.Low), "high", v.Length(rear.Heights.High))
	case rear.Status == stability.CannotOccur:
		out.Rear = v.T("hand.rear.no")
	default:
		out.Rear = v.T("hand.rear.open")
	}
	return rear.Cautions.Remarks()
}

// broken says what is exceeded without the load.
func (v *view) broken(out *Answered, u *ballast.Usable) {
	for _, r := range u.Rechecks {
		for _, l := range u.Limits {
			set := ballast.LimitSet(1) << (l.Kind - 1)
			if !r.Exceeded.Has(set) && !r.Open.Has(set) {
				continue
			}
			code := "hand.broken.is"
			switch open := !r.Exceeded.Has(set); {
			case l.Kind == ballast.LimitSteered && open:
				code = "hand.broken.steered.may"
			case l.Kind == ballast.LimitSteered:
				code = "hand.broken.steered"
			case open:
				code = "hand.broken.may"
			}
			if line := v.T(code, "state", capital(v.T("state."+r.State.String())), "limit", v.limit(l.Kind)); !slices.Contains(out.Broken, line) {
				out.Broken = append(out.Broken, line)
			}
		}
	}
}

func capital(s string) string {
	r := []rune(s)
	if len(r) == 0 {
		return s
	}
	return strings.ToUpper(string(r[0])) + string(r[1:])
}

// job is what is done with the load, in words.
func (v *view) job() string {
	job := v.Text("ballast.liftKind." + v.lift.Kind.String())
	if f, ok := ballast.FieldAt("lifts[0].kind"); ok {
		for _, c := range f.Choices {
			if c.Name == v.lift.Kind.String() && c.Code != "" {
				job = v.Text(c.Code)
			}
		}
	}
	return job
}

func (v *view) limit(k ballast.LimitKind) string {
	if k == ballast.LimitTipping && v.lift.Basis.Kind == ballast.BasisUnknown {
		return v.T("hand.nobasis")
	}
	if k == ballast.NoLimit {
		return v.T("nolimit")
	}
	return v.Limit(v.lift.Basis, k)
}

// plates says what plates that nobody has read must say at least.
func (v *view) plates(j *ballast.Judgment) []string {
	var list []string
	for _, l := range j.Limits {
		if l.Verdict != ballast.NeedsRatings {
			continue
		}
		code := "hand.plate"
		switch {
		case l.Kind == ballast.LimitManualBallast:
			list = append(list, v.T("hand.plate.manual"))
			continue
		case l.Required == 0:
			code = "hand.plate.tracks"
		case l.Kind == ballast.LimitHydraulic:
			code = "hand.plate.hydraulic"
		case l.Kind == ballast.LimitFrontTire || l.Kind == ballast.LimitRearTire:
			code = "hand.plate.tire"
		case l.Kind == ballast.LimitFrontRim || l.Kind == ballast.LimitRearRim:
			code = "hand.plate.wheel"
		}
		list = append(list, v.T(code, "limit", v.limit(l.Kind), "mass", v.Least(l.Required)))
	}
	if len(list) == 0 {
		return nil
	}
	return []string{v.T("hand.plates", "list", v.list(list))}
}

func (a *asker) list(items []string) string {
	if n := len(items); n > 1 {
		return a.T("and", "list", strings.Join(items[:n-1], ", "), "last", items[n-1])
	}
	return strings.Join(items, "")
}

// part is what one question allows, in words.
func (v *view) part(c ballast.CapacityRange) string {
	var text string
	switch {
	case c.Governing == ballast.NoLimit && c.Missing != 0:
		return v.T("notknown")
	case c.Governing == ballast.NoLimit:
		return v.T("nolimit")
	case c.IfRated.High == 0:
		return v.T("nothing")
	case c.IfRated.High >= ballast.MaxLoad:
		text = v.T("ormore", "low", v.Most(c.IfRated.Low))
	default:
		text = v.Range(c.IfRated)
	}
	if c.Missing != 0 {
		return v.T("cell.notyet", "mass", text)
	}
	return text
}

func (v *view) axles(w ballast.WheelLoadRanges) [][]string {
	return [][]string{{v.T("col.front"), v.There(w.Front)}, {v.T("col.rear"), v.There(w.Rear)}, {v.T("col.total"), v.There(w.Total)}}
}

// assumed is the range that was taken from practice.
func (v *view) assumed(a ballast.Assumption) string {
	low, high := v.Length(a.Length.Low), v.Length(a.Length.High)
	if a.Mass != (units.Range[units.Mass]{}) {
		low, high = v.Mass(a.Mass.Low), v.Mass(a.Mass.High)
	}
	if a.Share != (units.Range[units.Fraction]{}) {
		low, high = v.Percent(a.Share.Low), v.Percent(a.Share.High)
	}
	return v.T("range", "low", low, "high", high)
}

// with asks the same question of another setup.
func (v *view) with(s ballast.Setup) (ballast.Usable, bool) {
	p := ballast.Practice{}
	if v.doc.Practice != nil {
		p = *v.doc.Practice
	}
	e, err := s.Envelope(p)
	if err != nil {
		return ballast.Usable{}, false
	}
	u, err := e.UsableLoad(v.lift)
	return u, err == nil
}

// pieces says each piece, and what may be lifted when it is taken off.
func (v *view) pieces(out *Answered, now *ballast.Usable) {
	list := v.doc.Setup.Pieces
	says := func(code string, u ballast.Usable) string {
		return v.T(code, "now", v.part(now.CapacityRange), "then", v.part(u.CapacityRange), "limit", v.limit(u.Governing))
	}
	for i, p := range list {
		name := p.Name
		if name == "" {
			name = v.T("ballast.pieceKind." + p.Kind.String())
		}
		row := Piece{Name: name}
		if p.Fill != nil {
			if f, err := p.Fill.Solve(); err == nil {
				n := p.Tires
				if n == 0 {
					n = 2
				}
				row.Text = v.T("y.fill", "fluid", v.Fluid(p.Fill.Fluid), "level", v.Level(p.Fill.Level, f), "count", v.Number(float64(n)), "mass", v.Mass(units.Mass(n)*f.Mass))
			}
		} else if r, ok := p.Mass.Range(); ok {
			row.Text = v.There(r)
		}
		s := v.doc.Setup
		s.Pieces = slices.Concat(list[:i:i], list[i+1:])
		if u, ok := v.with(s); ok {
			row.Without = says("y.without", u)
		}
		out.Pieces = append(out.Pieces, row)
	}
	if len(list) > 1 {
		s := v.doc.Setup
		s.Pieces = nil
		if u, ok := v.with(s); ok {
			out.Bald = says("y.without.all", u)
		}
	}
}

// changed says what the last change did: the same question put to the document before it.
func (v *view) changed(out *Answered, now *ballast.Usable) {
	if len(v.Before) == 0 {
		return
	}
	earlier := *v.asker
	earlier.Document = v.Before
	before, wrong, missing := earlier.read(v.Before)
	if before == nil {
		if len(wrong) == 0 && len(missing) > 0 {
			out.Changed = append(out.Changed, v.T("y.changed.first", "now", v.part(now.CapacityRange)))
		}
		return
	}
	was, err := before.e.UsableLoad(before.lift)
	if err != nil {
		return
	}
	width := func(u *ballast.Usable) float64 { return float64(u.IfRated.High - u.IfRated.Low) }
	if was.IfRated == now.IfRated && was.Missing == now.Missing {
		out.Changed = append(out.Changed, v.Text("y.changed.nothing"))
		return
	}
	out.Changed = append(out.Changed, v.T("y.changed", "was", v.part(was.CapacityRange), "now", v.part(now.CapacityRange)))
	if was.Governing != now.Governing {
		out.Changed = append(out.Changed, v.T("y.changed.limit", "was", before.limit(was.Governing), "now", v.limit(now.Governing)))
	}
	if was.IfRated.High < ballast.MaxLoad && width(&was) > 1 && math.Abs(width(now)-width(&was)) > 0.5 {
		code := "y.changed.narrower"
		if width(now) > width(&was) {
			code = "y.changed.wider"
		}
		out.Changed = append(out.Changed, v.T(code, "was", v.Mass(units.Mass(width(&was))), "now", v.Mass(units.Mass(width(now)))))
	}
	if now.Missing&^was.Missing != 0 {
		out.Changed = append(out.Changed, v.Text("y.changed.plates"))
	}
}

// cautions are those that the answer triggers and all others, each by rank.
func (a *asker) cautions(v *view, list []units.Remark, out *Answered) (first, rest []string) {
	now := []string{"yard.under", "yard.riders"}
	var later []string
	put := func(code string, is bool) {
		if is {
			now = append(now, code)
		} else {
			later = append(later, code)
		}
	}
	g := a.Ground
	switch g.Rops {
	case "folded", "none":
		now = append(now, "y.rops.down")
	case "up":
		put("y.belt", g.Belt != "worn")
	default:
		now = append(now, "yard.belt")
	}
	put("yard.updown", g.Slope > 0)
	put("yard.bale", g.LoadIs == "roundBale" || g.LoadIs == "loose")
	later = append(later, "yard.getoff")
	if v == nil {
		now = append(now, "y.manual")
		later = append(later, "yard.lock", "yard.lines", "yard.swing", "yard.liquid", "yard.off")
	} else {
		high := v.lift.Height > 1 || v.lift.Kind == ballast.StackHigh
		put("yard.lock", high)
		put("yard.lines", v.lift.Height > 2)
		put("yard.swing", v.doc.Setup.Attachment.Kind == ballast.BarePin || g.LoadIs == "hanging")
		put("yard.liquid", slices.ContainsFunc(v.doc.Setup.Pieces, func(p ballast.Piece) bool { return p.Kind.Liquid() }))
		put("yard.off", len(out.Broken) > 0)
		switch v.doc.Setup.Loader.ManualBallast.Kind {
		case ballast.ManualBallastDemanded:
			now = append(now, "yard.demanded")
		case ballast.ManualBallastUnknown:
			now = append(now, "yard.notread")
		}
	}
	one := func(code string) units.Remark {
		if strings.HasPrefix(code, "y.") {
			return remark(code)
		}
		return paper.Remark(code)
	}
	var f, r []units.Remark
	for _, c := range now {
		f = append(f, one(c))
	}
	for _, c := range later {
		r = append(r, one(c))
	}
	for _, c := range list {
		switch c.Code {
		case "ballast.caution.manual", "ballast.caution.noTippingTest", "ballast.caution.carryLow", "ballast.caution.ballast", "ballast.caution.unchecked":
			f = append(f, c)
		default:
			r = append(r, c)
		}
	}
	f = units.SortRemarks(f)
	r = slices.DeleteFunc(units.SortRemarks(r), func(x units.Remark) bool {
		return slices.ContainsFunc(f, func(y units.Remark) bool { return x.Code == y.Code || x.Text == y.Text })
	})
	return a.Say(f), a.Say(r)
}

// given lists what was entered, for print.
func (a *asker) given() [][2]string {
	values, err := a.values(a.Document)
	out := [][2]string{}
	if err != nil {
		return out
	}
	paths := make([]string, 0, len(values))
	for p := range values {
		paths = append(paths, p)
	}
	slices.SortFunc(paths, func(x, y string) int {
		// The entries of a list stand one after the other, each with all of its fields.
		if list, i, ok := entry(x); ok {
			if other, j, ok := entry(y); ok && list == other && i != j {
				return i - j
			}
		}
		if i, j := catalogued(x), catalogued(y); i != j {
			return i - j
		}
		return strings.Compare(x, y)
	})
	for _, p := range paths {
		field, ends := strings.CutSuffix(p, ".low")
		if _, high := strings.CutSuffix(p, ".high"); high {
			continue
		}
		f, ok := ballast.FieldAt(field)
		if !ok || p == "version" {
			continue
		}
		text := values[p]
		if ends {
			text = a.T("range", "low", text, "high", values[field+".high"])
		}
		if m, ok := measures(f.Quantity, a.System); ok && text != "none" {
			unit := m.show
			if f.Quantity == "massFraction" {
				unit = a.T("strength.mass", "share", "%")
			}
			text += " " + unit
		}
		if text == "none" {
			text = a.Text("y.none")
		}
		for _, c := range f.Choices {
			if c.Name == values[p] && c.Code != "" {
				text = a.Text(c.Code)
			}
		}
		out = append(out, [2]string{a.label(field), text})
	}
	return append(out, a.yard()...)
}

// yard lists what was said of the yard, for print.
func (a *asker) yard() (out [][2]string) {
	g := a.Ground
	put := func(is bool, code string, text func() string) {
		if is {
			out = append(out, [2]string{a.Text("y." + code), text()})
		}
	}
	slope := func(s units.Slope) func() string { return func() string { return a.Degrees(s) } }
	length := func(l units.Length) func() string { return func() string { return units.Format(a.Display, l) } }
	word := func(code string) func() string { return func() string { return a.Text("y." + code) } }
	put(g.Slope > 0, "slope", slope(g.Slope))
	if g.Friction > 0 {
		put(true, "surface", func() string { return a.T("y.surface.file", "friction", a.Number(float64(g.Friction))) })
	} else {
		put(g.Surface != "", "surface", word("surface."+g.Surface))
	}
	put(g.Margin > 0, "margin", slope(g.Margin))
	put(g.Manual > 0, "manualslope", slope(g.Manual))
	put(g.Hole > 0, "hole", length(g.Hole))
	put(g.HoleLength > 0, "holeLength", length(g.HoleLength))
	put(g.Speed > 0, "holespeed", func() string { return a.Speed(g.Speed) })
	put(g.Travel > 0, "travel", length(g.Travel))
	put(g.Place > 0, "place", length(g.Place))
	put(g.LoadIs != "", "loadis", word("loadis."+g.LoadIs))
	put(g.Rops != "", "rops", word("rops."+g.Rops))
	put(g.Belt != "", "seatbelt", word("belt."+g.Belt))
	return out
}

// entry is the list and the row of a path within a list.
func entry(path string) (list string, row int, ok bool) {
	list, rest, ok := strings.Cut(path, "[")
	if !ok {
		return "", 0, false
	}
	number, _, _ := strings.Cut(rest, "]")
	row, err := strconv.Atoi(number)
	return list, row, err == nil
}

// catalogued is the place of a field in the catalog.
func catalogued(path string) int {
	path = strings.TrimSuffix(strings.TrimSuffix(path, ".low"), ".high")
	if i, ok := catalog()[rows.ReplaceAllString(path, "[]")]; ok {
		return i
	}
	return math.MaxInt32
}

var rows = regexp.MustCompile(`\[[0-9]+\]`)

var catalog = sync.OnceValue(func() map[string]int {
	m := map[string]int{}
	for i, f := range ballast.Fields() {
		m[f.Path] = i
	}
	return m
})

// Questions are what is worth finding out, the best first.
type Questions struct {
	List []Question `json:"list"`
	// Late says that the time ran out before all were looked at.
	Late bool `json:"late,omitempty"`
}

// Question is one of them, with the fields that it fills.
type Question struct {
	Text   string    `json:"text"`
	Care   string    `json:"care,omitempty"`
	Fields []Problem `json:"fields"`
	Worth  string    `json:"worth,omitempty"`
}

func (a *asker) questions() Questions {
	out := Questions{List: []Question{}}
	v, _, _ := a.read(a.Document)
	if v == nil {
		return out
	}
	list, err := v.e.Questions(v.bounded(), v.lift, v.load)
	out.Late = late(err)
	for _, q := range list {
		x := Question{Text: v.T(q.Code), Fields: []Problem{}}
		if q.CareCode != "" {
			x.Care = v.T(q.CareCode)
		}
		if q.Narrows > 0.01 {
			x.Worth = v.T("y.narrows", "share", v.Percent(q.Narrows))
		}
		for _, p := range q.Paths {
			p := path(p)
			x.Fields = append(x.Fields, Problem{Path: p, Label: v.label(p)})
		}
		out.List = append(out.List, x)
	}
	return out
}

// path is that of a field in the document.
func path(p string) string {
	switch head, _, _ := strings.Cut(p, "."); head {
	case "machine", "loader", "attachment":
		return "setup." + p
	case "load":
		return "lifts[0]." + p
	case "lift":
		return strings.Replace(p, "lift", "lifts[0]", 1)
	}
	if strings.HasPrefix(p, "pieces[") {
		return "setup." + p
	}
	return p
}
