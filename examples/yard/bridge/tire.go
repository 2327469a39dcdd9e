package bridge

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/draw"
	"example.com/steelyard/examples/internal/jobs"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

func jsonInto(raw json.RawMessage, v any) error { return json.Unmarshal(raw, v) }

// Tire is a job of filling tires alike: texts as they are entered.
type Tire struct {
	Size     string `json:"size,omitempty"`
	Count    any    `json:"count,omitempty"` // a number or its text; left out, one tire
	Fluid    string `json:"fluid,omitempty"`
	Strength string `json:"strength,omitempty"` // percent by mass
	Clock    string `json:"clock,omitempty"`
	Purity   string `json:"purity,omitempty"` // percent
	Coldest  string `json:"coldest,omitempty"`
	Pressure string `json:"pressure,omitempty"`
}

// TireJob is the job, worked out.
type TireJob struct {
	Wrong    []Problem   `json:"wrong"`
	Rows     [][2]string `json:"rows"`
	Boxes    []string    `json:"boxes"`
	Mix      []string    `json:"mix"`
	Pressure []string    `json:"pressure"`
	Steps    []string    `json:"steps"`
	Heed     []string    `json:"heed"`
	Notes    []string    `json:"notes"`
	Label    []string    `json:"label"`
	SVG      string      `json:"svg,omitempty"`
	Picture  string      `json:"picture,omitempty"`
	// Tires is how many are filled.
	Tires int `json:"tires,omitempty"`
	// Fill is the fill as a piece of ballast holds it, Result the library's own answer.
	Fill   *liquid.Fill   `json:"fill,omitempty"`
	Result *liquid.Filled `json:"result,omitempty"`
}

// maxTires is how many tires a job fills at most: three on each side of an axle.
const maxTires = 6

// tire works a job out.
func (a *asker) tire() TireJob {
	out := TireJob{Wrong: []Problem{}, Rows: [][2]string{}, Boxes: []string{}, Mix: []string{}, Pressure: []string{}, Steps: []string{}, Heed: []string{}, Notes: []string{}, Label: []string{}}
	t := a.Tire
	wrong := func(field string, err error) {
		list := units.Fields(err)
		if len(list) == 0 {
			out.Wrong = append(out.Wrong, Problem{Path: field, Label: a.Text("y.tire." + field), Text: err.Error()})
		}
		for _, f := range list {
			out.Wrong = append(out.Wrong, Problem{Path: field, Label: a.Text("y.tire." + field), Text: a.Want(f)})
		}
	}
	var fill liquid.Fill
	d, err := liquid.ParseDesignation(t.Size)
	if err != nil {
		wrong("size", err)
	} else if fill.Tire, err = (liquid.Tire{Designation: d, Unloaded: true}).Resolve(); err != nil {
		wrong("size", err)
	}
	if err := fill.Fluid.Kind.UnmarshalText([]byte(t.Fluid)); err != nil {
		wrong("fluid", err)
	}
	read := func(s, quantity, field string) (float64, bool) {
		s = strings.Replace(strings.TrimSpace(s), ",", ".", 1)
		if s == "" {
			return 0, false
		}
		m, _ := measures(quantity, a.System)
		v, err := m.parse(s + " " + m.text)
		if err != nil {
			wrong(field, err)
		}
		return v, err == nil
	}
	strength, _ := read(t.Strength, "massFraction", "strength")
	coldest, cold := read(t.Coldest, "temperature", "coldest")
	purity, pure := read(t.Purity, "fraction", "purity")
	pressure, pressed := read(t.Pressure, "gaugePressure", "pressure")
	clock := 12.0
	if s := strings.Replace(strings.TrimSpace(t.Clock), ",", ".", 1); s != "" {
		if clock, err = strconv.ParseFloat(s, 64); err != nil {
			wrong("clock", units.NewFieldError("", s, "must be a clock position above 0 and at most 12, which is the top"))
		}
	}
	fill.Level = liquid.ValveAt(clock)
	if err := fill.Level.Validate(); err != nil {
		wrong("clock", err)
	}
	count := 1
	if s := strings.TrimSpace(fmt.Sprint(t.Count)); t.Count != nil && s != "" {
		if count, err = strconv.Atoi(s); err != nil || count < 1 || count > maxTires {
			out.Wrong = append(out.Wrong, Problem{Path: "count", Label: a.Text("y.tire.count"), Text: a.Text("y.tire.howmany")})
		}
	}
	if len(out.Wrong) > 0 {
		return out
	}
	kind := fill.Fluid.Kind
	if kind.IsSolution() {
		fill.Fluid.Strength = units.MassFraction(strength)
		if strength != 0 {
			if _, err := fill.Fluid.Properties(0); err != nil {
				wrong("strength", err)
				return out
			}
		}
		if strength == 0 && cold {
			fill.Fluid, err = jobs.StrengthFor(kind, units.Temperature(coldest))
			if err != nil {
				wrong("coldest", err)
				return out
			}
		} else if strength == 0 {
			out.Wrong = append(out.Wrong, Problem{Path: "strength", Label: a.Text("y.tire.strength"), Text: a.Text("y.tire.needs")})
			return out
		}
	}
	filled, err := fill.Solve()
	if err != nil {
		wrong("size", err)
		return out
	}
	a.tireSaid(&out, fill, filled, entries{coldest: coldest, cold: cold, purity: purity, pure: pure, pressure: pressure, pressed: pressed, count: count}, wrong)
	return out
}

// entries are what was entered of a tire job beside the fill.
type entries struct {
	coldest, purity, pressure float64
	cold, pure, pressed       bool
	count                     int
}

// tireSaid says a job.
func (a *asker) tireSaid(out *TireJob, fill liquid.Fill, filled liquid.Filled, x entries, wrong func(string, error)) {
	kind, n := fill.Fluid.Kind, x.count
	coldest, cold, purity, pure, pressure, pressed := x.coldest, x.cold, x.purity, x.pure, x.pressure, x.pressed
	vol := func(v units.Volume) string { return units.Format(a.Display, v) }
	out.Rows = [][2]string{
		{a.T("tire.tire"), fill.Tire.Designation.String()},
		{a.T("tire.col.tires"), strconv.Itoa(n)},
		{a.T("tire.col.fluid"), a.Fluid(fill.Fluid)},
		{a.T("tire.level"), a.Level(fill.Level, filled)},
		{a.T("tire.volume.each"), a.T("tire.band", "is", vol(filled.Volume), "low", units.Format(a.Down(), filled.VolumeBand.Low), "high", units.Format(a.Up(), filled.VolumeBand.High))},
		{a.T("tire.mass.each"), a.T("tire.band", "is", a.Mass(filled.Mass), "low", a.Most(filled.MassBand.Low), "high", a.Least(filled.MassBand.High))},
		{a.T("tire.mass.all"), a.Mass(units.Mass(n) * filled.Mass)},
		{a.T("tire.freezing"), a.Freezes(filled)},
	}
	if filled.Notes.Has(liquid.NoteLevelClamped) {
		out.Boxes = append(out.Boxes, a.T("clamped")+".")
	}
	if cold && filled.Flows() && (filled.Freezing == 0 || filled.FreezingBand.High > units.Temperature(coldest)) {
		d := a.Display
		d.Precision = units.Decimals(0)
		out.Boxes = append(out.Boxes, a.T("tire.frost", "coldest", units.Format(d, units.Temperature(coldest))))
	}
	cautions, notes := filled.Cautions, filled.Notes
	switch {
	case kind.IsSolution() && pure:
		m, err := liquid.Mix{Kind: kind, Strength: fill.Fluid.Strength, Volume: filled.Volume, Purity: units.Fraction(purity)}.Solve()
		if err != nil {
			wrong("purity", err)
			break
		}
		cautions, notes = cautions|m.Cautions, notes|m.Notes
		out.Mix = append(out.Mix, a.T("tire.mix", "water", vol(m.Water), "product", a.Mass(m.Product), "fluid", a.T("fluid."+m.Fluid.Kind.String()), "purity", a.Percent(units.Fraction(purity)), "volume", vol(m.Volume)),
			a.T("tire.mix.ready", "high", units.Format(a.Up(), filled.VolumeBand.High)))
	case kind.IsSolution():
		out.Mix = append(out.Mix, a.T("tire.mix.unknown"))
	}
	if pressed {
		in, err := liquid.Inflation{Fill: fill, Pressure: units.GaugePressure(pressure), Valve: liquid.ValveAt(12)}.Solve()
		if err != nil {
			wrong("pressure", err)
		} else {
			cautions, notes = cautions|in.Cautions, notes|in.Notes
			out.Pressure = append(out.Pressure, a.T("tire.pressure", "pressure", a.Words.Pressure(units.GaugePressure(pressure)), "reading", a.Words.Pressure(in.Reading)))
			if in.Stiffening > 0 {
				out.Pressure = append(out.Pressure, a.T("tire.stiffer", "times", a.Number(in.Stiffening)))
			}
		}
	} else {
		out.Pressure = append(out.Pressure, a.T("tire.pressure.unknown"))
	}
	for _, s := range fill.Steps() {
		out.Steps = append(out.Steps, a.Text(s.Code))
	}
	out.Heed = a.Say(units.SortRemarks(append(cautions.Remarks(), paper.Remark("yard.checkagain"))))
	out.Notes = a.Say(units.SortRemarks(notes.Remarks()))
	out.Label = append([]string{a.T("label.title"), a.Fluid(fill.Fluid), a.T("label.much", "volume", vol(filled.Volume), "mass", a.Mass(filled.Mass)), capital(a.Freezes(filled)) + "."}, a.Say(filled.Traits.Remarks())...)
	out.Label = append(out.Label, a.T("label.date", "date", "____________"), a.T("label.open"))
	if svg, err := (draw.Tire{Title: a.T("tire.picture"), Fill: fill, Valve: a.T("tire.valve")}).SVG(); err == nil {
		out.SVG, out.Picture = svg, a.T("tire.picture.line", "level", a.Level(fill.Level, filled))
	}
	out.Result, out.Tires = &filled, n
	fill.Tire = liquid.Tire{Designation: fill.Tire.Designation}
	out.Fill = &fill
}

// Planned is the least ballast behind that lets the load be lifted.
type Planned struct {
	Title string   `json:"title"`
	Lines []string `json:"lines"`
	// Pieces are the pieces to put on, as a document holds them.
	Pieces []ballast.Piece   `json:"pieces"`
	Result *ballast.Proposal `json:"result,omitempty"`
}

// stock is what a plan of the page may choose from when the document has no stock of its own: a
// box on the hitch with any filling up to what the hitch lifts or 1500 kg, in steps of 5 kg, and up to
// six pairs of wheel weights of 50 kg. The box hangs where it hangs now, or 0.5 m behind the lower
// hitch points (common practice, no source); of a range the end nearest to the axle counts, where it
// helps least.
func (v *view) stock() ballast.Stock {
	s := v.doc.Setup
	x := units.Range[units.Length]{Low: -1.3, High: -0.9}
	if h, ok := s.Machine.Hitch.X.Range(); ok {
		x = units.Range[units.Length]{Low: h.Low - 0.5, High: h.High - 0.5}
	}
	for _, p := range s.Pieces {
		if r, ok := p.CG.X.Range(); ok && p.Kind.OnHitch() {
			x = r
		}
	}
	most := units.Mass(1500)
	if r, ok := s.Machine.Hitch.Rating.Range(); ok {
		most = min(most, r.Low)
	}
	return ballast.Stock{Items: []ballast.Item{
		{Name: v.Text("y.plan.box"), Piece: ballast.Piece{Kind: ballast.HitchBox, Mass: units.Is[units.Mass](50), CG: ballast.Position{X: units.Is(x.High)}}, Range: &ballast.MassRange{Most: most - 50, Step: 5}},
		{Name: v.Text("y.plan.weights"), Piece: ballast.Piece{Kind: ballast.RearWheelWeight, Mass: units.Is[units.Mass](100)}, Count: 6},
	}}
}

// plan finds the least ballast for the load of the question, in place of what is on the hitch and
// the rear wheels now. Liquid in tires stays.
func (a *asker) plan() Planned {
	out := Planned{Lines: []string{}, Pieces: []ballast.Piece{}}
	v, _, _ := a.read(a.Document)
	if v == nil || v.load == 0 {
		out.Title = a.Text("y.plan.first")
		return out
	}
	setup := v.doc.Setup
	setup.Pieces = nil
	for _, p := range v.doc.Setup.Pieces {
		if !p.Kind.OnHitch() && p.Kind != ballast.RearWheelWeight {
			setup.Pieces = append(setup.Pieces, p)
		}
	}
	stock := v.stock()
	if v.doc.Stock != nil {
		stock = *v.doc.Stock
	}
	lift := v.lift
	if lift.Load.Mass == 0 {
		lift.Load.Mass, lift.Load.Density, lift.Load.Volume = v.load, 0, 0
	}
	needs := ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedLift, Hitch: ballast.Raised, Lift: &lift}}, Work: 60}
	doc := v.doc
	doc.Setup, doc.Needs, doc.Stock, doc.Lifts, doc.Travels, doc.Transport = setup, &needs, &stock, nil, nil, nil
	p, err := doc.Plan(v.bounded())
	if err != nil && p.Status != ballast.PlanFeasible {
		out.Title = a.Text("y.plan.open")
		if late(err) {
			out.Lines = append(out.Lines, a.Text("y.late"))
			return out
		}
		wrong, missing := a.problems(err)
		for _, x := range append(wrong, missing...) {
			out.Lines = append(out.Lines, a.T("tire.problem.line", "column", x.Label, "want", x.Text))
		}
		return out
	}
	out.Result = &p
	choose := func(s *ballast.Selection) {
		for _, c := range s.Choices {
			out.Lines = append(out.Lines, a.T("hand.piece", "name", c.Name, "mass", v.There(func() units.Range[units.Mass] { r, _ := c.Piece.Mass.Range(); return r }())))
			out.Pieces = append(out.Pieces, c.Piece)
		}
	}
	switch p.Status {
	case ballast.PlanOptimal, ballast.PlanFeasible:
		out.Title = a.T("y.plan.found", "mass", a.Least(p.Best.Mass))
		if len(p.Best.Choices) == 0 {
			out.Title = a.Text("y.plan.none")
		}
		choose(&p.Best)
		for _, n := range p.Best.Answers {
			if n.Missing != 0 {
				out.Lines = append(out.Lines, a.Text("y.plan.plates"))
			}
		}
	case ballast.PlanConflict:
		out.Title = a.Text("y.plan.conflict")
		for _, m := range p.Conflict {
			out.Lines = append(out.Lines, v.limit(m.Limit))
		}
	default:
		out.Title = a.Text("y.plan.open")
	}
	out.Lines = append(out.Lines, a.Say(units.SortRemarks(p.Cautions.Remarks()))...)
	return out
}
