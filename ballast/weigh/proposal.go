package weigh

import (
	"cmp"
	"context"
	"math"
	"slices"
	"strconv"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/internal/words"
	"example.com/steelyard/units"
)

// Proposal is a reading that is worth taking next.
type Proposal struct {
	// Instrument is what it takes.
	Instrument ballast.Instrument `json:"instrument"`
	// How says in a sentence what to do; Code is the sentence's code in a [units.Catalog],
	// and Params are the values in it, such as the name of a load.
	How string `json:"how"`
	// Code is the code of How.
	Code string `json:"code"`
	// Params are the values in How.
	Params []units.Param `json:"-"`
	// Again says in a sentence that it was read before and why it is read again; empty where
	// it was not. AgainCode is its code.
	Again string `json:"again,omitempty"`
	// AgainCode is the code of Again.
	AgainCode string `json:"againCode,omitempty"`
	// Care says in a sentence what to heed; empty for a look at papers. CareCode is its
	// code.
	Care string `json:"care,omitempty"`
	// CareCode is the code of Care.
	CareCode string `json:"careCode,omitempty"`
	// HalfWidth is what half of the interval of the answer would be with it, as a
	// share of the answer.
	HalfWidth units.Fraction `json:"halfWidth"`
	// Unnoticed is what the external reliability of the answer would be with it.
	Unnoticed units.Fraction `json:"unnoticed"`

	// Taped, Load, Weight, Pressure or Figure is the reading as an entry of the
	// record, without what is to be read. A load that is not in the record yet stands
	// beside its weighing, and the pin of a weighing is zero where its height is to be taped
	// as well.
	Taped    *Taped           `json:"taped,omitempty"`
	Load     *TestLoad        `json:"load,omitempty"`
	Weight   *AxleReading     `json:"weight,omitempty"`
	Pressure *PressureReading `json:"pressure,omitempty"`
	Figure   *Figure          `json:"figure,omitempty"`

	effort float64
	down   units.Length // where the pin is expected in a weighing whose pin is yet to be taped
}

// Efforts of readings, which grow with what can go wrong.
const (
	effortPapers   = 1.0
	effortTape     = 1.0
	effortEmpty    = 4.0
	effortTurned   = 6.0
	effortLoad     = 10.0
	effortPressure = 20.0
	effortRaised   = 40.0
)

// readAgain says why a tape is held once more.
const readAgain = "Do it anew, with another eye: it is the check of the first time."

// say puts the sentences of a proposal in, with their codes.
func (p *Proposal) say(how, care string, params ...units.Param) {
	m := units.NewMessage(how, params...)
	p.How, p.Code, p.Params = m.Text, m.Code, params
	p.Care, p.CareCode = care, words.Code(care)
}

const (
	careTape     = "Tape on level ground with the arms down, the attachment empty, the engine off and nobody in the seat."
	careTapeLoad = "Tape with the load set down on level ground where it is lifted from, the arms down, the engine off and nobody in the seat."
	careEmpty    = "Weigh on level ground with the arms down and the attachment empty, drive onto the scale slowly, and let nobody stand near."
	careLoad     = "Lift the load just clear of the ground and no higher, with nobody near it and the seat belt fastened; set it down before anyone approaches."
	carePressure = "This is for a trained person: fit the gauge with the arms on the ground, the engine off and the pressure and any accumulator released; gauge and hose must be rated above the circuit's maximum; read from the seat, for seconds only; never feel for leaks, and never change a relief setting."
	careRaised   = "This is for a workshop: use a hoist or ramp made for it and no other loader and no forklift, wedge the pivoting front axle, chock the other wheels, keep the arms down and empty, and let nobody be aboard or beside."
)

// tapeHow says how each length is taped.
var tapeHow = [tapedEnd]string{
	TapedWheelbase:       "Tape the wheelbase: from the middle of the rear hub to the middle of the front hub, on both sides.",
	TapedPivotX:          "Tape how far the arms' pivot is ahead of the middle of the rear hub.",
	TapedPivotZ:          "Tape the height of the arms' pivot over level ground.",
	TapedArm:             "Tape from the arms' pivot straight to the pivot pin of the attachment.",
	TapedRearRadius:      "Tape from level ground to the middle of the rear hub.",
	TapedFrontRadius:     "Tape from level ground to the middle of the front hub.",
	TapedRearTrack:       "Tape between the middles of the rear tires.",
	TapedAxlePin:         "Tape from level ground to the middle of the pin on which the front axle swings.",
	TapedAttachmentAhead: "Find how far ahead of its pivot pin the attachment balances.",
	TapedAttachmentAbove: "Tape how high above its pivot pin the middle of the attachment is.",
	TapedCylinderAhead:   "Tape how far the lower pin of a lift cylinder is ahead of the arms' pivot.",
	TapedCylinderAbove:   "Tape how far the lower pin of a lift cylinder is below the arms' pivot.",
	TapedRodAlong:        "Stretch a string from the arms' pivot to the attachment's pivot pin, and tape how far along it the upper pin of a lift cylinder is.",
	TapedRodAbove:        "Stretch a string from the arms' pivot to the attachment's pivot pin, and tape how far above or below it the upper pin of a lift cylinder is.",
	TapedBore:            "Find the inner diameter of a lift cylinder in the parts list, or tape its outside and take off the walls.",
	TapedLoadAhead:       "Tape how far the center of the load {load} is ahead of the pivot pin.",
}

// Next returns the readings that are worth taking for a question, the best first. As
// long as half of the interval is more than the wanted share of the answer (0.005
// to 0.5; zero is 0.05), the best is what narrows it most for its effort; after that
// what makes a mistake noticed, until the external reliability is within the wanted
// share too. Nothing is left to do if the list is empty. Effort
// grows with what can go wrong: papers and tape come first, then scales under the
// empty machine, then light loads just clear of the ground. Where nothing was weighed and
// the record has a scale, both axles of the empty machine come before everything else.
//
// No load is more than DefaultShare of the lower bound of the tipping load, less where
// a mistake in that could go unnoticed, and none is asked for with the arms up. Raised axles, by 10 degrees, and pressures are asked
// for in a workshop only. If the readings contradict each other, nothing is proposed: the
// error wraps [ErrWithheld], and the suspects are taken again first. Widths are those that
// the readings would bring if they showed what the estimate expects.
//
// The work takes some ten milliseconds, most of it a fit for each reading that may be
// proposed. Once the context is done, the answer is the proposals that were weighed by then,
// with an error that wraps ctx.Err(). A nil context never ends.
func (m *Machine) Next(ctx context.Context, q Question, wanted units.Fraction, workshop bool) ([]Proposal, error) {
	if wanted == 0 {
		wanted = decided
	}
	if !(wanted >= 0.005 && wanted <= 0.5) {
		return nil, units.NewFieldError("wanted", valid.Show(wanted), "must be left out or be between {low} and {high}", valid.Low[units.Fraction](0.005), valid.High[units.Fraction](0.5))
	}
	now, err := m.Ask(q)
	if err != nil {
		return nil, err
	}
	if m.Doubts&withheld != 0 {
		return nil, ErrWithheld
	}
	wide := now.HalfWidth > wanted
	if !wide && now.Unnoticed <= wanted {
		return nil, nil
	}
	var out []Proposal
	gain := func(p Proposal) float64 {
		if wide {
			return math.Log(float64(now.HalfWidth/p.HalfWidth)) / p.effort
		}
		return math.Log(float64(now.Unnoticed/p.Unnoticed)) / p.effort
	}
	for _, p := range m.candidates(&q, workshop) {
		if err = valid.Ended(ctx, "weigh: next"); err != nil {
			break
		}
		if m.foresee(&p, q) && gain(p)*p.effort > 0.01 {
			out = append(out, p)
		}
	}
	slices.SortStableFunc(out, func(a, b Proposal) int {
		if (a.down > 0) != (b.down > 0) { // nothing was weighed: that comes first
			return cmp.Compare(b.down, a.down)
		}
		return cmp.Compare(gain(b), gain(a))
	})
	return out, err
}

// candidates returns the readings that may be asked for.
func (m *Machine) candidates(q *Question, workshop bool) (out []Proposal) {
	r := m.e.r
	for length := TapedWheelbase; length <= TapedBore; length++ {
		sd, found := units.Length(0.005), false
		switch length {
		case TapedAttachmentAhead, TapedAttachmentAbove:
			if r.Attachment == ballast.BarePin {
				continue
			}
			sd = 0.03
		case TapedBore:
			sd = units.Length(0.02 * math.Exp(m.at[unBore]))
		}
		for _, t := range r.Tape {
			if t.Length == length {
				sd, found = t.SD, true
			}
		}
		p := Proposal{Instrument: ballast.FromTape, Taped: &Taped{Length: length, SD: sd}, effort: effortTape}
		p.say(tapeHow[length], careTape)
		if found {
			p.Again, p.AgainCode = readAgain, words.Code(readAgain)
		}
		out = append(out, p)
	}
	for _, l := range r.Loads {
		p := Proposal{Instrument: ballast.FromTape, Taped: &Taped{Length: TapedLoadAhead, Load: l.Name, SD: 0.01}, effort: effortTape}
		p.say(tapeHow[TapedLoadAhead], careTapeLoad, valid.Text("load", strconv.Quote(l.Name)))
		out = append(out, p)
	}
	out = append(out, m.papers()...)
	if len(r.Weights) == 0 {
		p := Proposal{Instrument: ballast.FromScale, Weight: &AxleReading{}, effort: effortEmpty, down: m.down()}
		p.say("Weigh both axles, empty and with the arms down, and tape how high the pivot pin then is.", careEmpty)
		out = append(out, p)
	}
	if pin, ok := m.lowest(); ok {
		out = append(out, m.weighings(q, pin)...)
		if workshop {
			p := Proposal{Instrument: ballast.FromWorkshop, Weight: &AxleReading{Pin: pin, Raised: 10 * units.Degree}, effort: effortRaised}
			p.say("Weigh both axles with the nose raised by 10 degrees.", careRaised)
			out = append(out, p)
		}
	}
	if workshop && r.Cylinders > 0 && r.Gauge.SD > 0 {
		out = append(out, m.gaugings(q)...)
	}
	return out
}

// papers are figures that a data sheet or a plate may hold.
func (m *Machine) papers() (out []Proposal) {
	has := func(k FigureKind) bool {
		return slices.ContainsFunc(m.e.r.Figures, func(f Figure) bool { return f.Kind == k })
	}
	add := func(k FigureKind, how string, sd units.Fraction) {
		if !has(k) {
			p := Proposal{Instrument: ballast.FromManual, Figure: &Figure{Kind: k, SD: sd}, effort: effortPapers}
			p.say(how, "")
			out = append(out, p)
		}
	}
	add(FigureArmMass, "Look up the mass of the loader's arms in its data sheet or parts list.", 0.05)
	if m.e.r.Attachment != ballast.BarePin {
		add(FigureAttachmentMass, "Read the mass of the attachment on its plate.", 0.03)
	}
	if m.e.r.Cylinders > 0 {
		add(FigureRelief, "Look up the relief pressure of the loader's circuit in the machine's manual.", usualFigure)
	}
	return out
}

// armsDown is the greatest height of the pin at which the arms count as down. A record
// whose weighings were all taken higher says nothing of where they are when they are down,
// and nothing is then proposed on scales or at a gauge (common practice, no source).
const armsDown units.Length = 0.6

// lowest returns the lowest pin with which the machine was weighed on all wheels, with the
// arms down.
func (m *Machine) lowest() (pin units.Length, ok bool) {
	for _, w := range m.e.r.Weights {
		if w.Raised == 0 && w.Pin <= armsDown && (!ok || w.Pin < pin) {
			pin, ok = w.Pin, true
		}
	}
	return pin, ok
}

// down returns where the pin is expected with the arms down, by practice and within reach.
func (m *Machine) down() units.Length {
	usual := m.e.practice.LowestPin
	return max((usual.Low+usual.High)/2, units.Length(m.at[unPivotZ]-0.9*m.at[unArm]))
}

// bound returns the greatest test load with the pin at a height, with its center as
// far ahead as the load asked about or any test load of the record, whichever is
// farthest, and without any weight that is only asked about. As far as a mistake could
// go unnoticed it is less, down to half.
func (m *Machine) bound(q *Question, pin units.Length) units.Mass {
	ahead := max(loadAhead, q.Ahead)
	for i := range m.e.r.Loads {
		ahead = max(ahead, units.Length(m.at[m.e.unLoad(m.e.r.place(m.e.r.Loads[i].Name))+1]))
	}
	a, err := m.Ask(Question{Kind: AskTippingLoad, Pin: pin, Ahead: ahead})
	if err != nil {
		return 0
	}
	sure := 1 - math.Min(float64(a.Unnoticed), 0.5)
	return units.Mass(math.Floor(float64(DefaultShare) * sure * math.Max(0, float64(a.Mass.Interval.Low))))
}

// weighings are those of the machine on all its wheels, arms down.
func (m *Machine) weighings(q *Question, pin units.Length) (out []Proposal) {
	add := func(p Proposal, how, care string, params ...units.Param) {
		p.Instrument = ballast.FromScale
		p.say(how, care, params...)
		out = append(out, p)
	}
	add(Proposal{Weight: &AxleReading{Pin: pin}, effort: effortEmpty}, "Weigh both axles again, empty, after driving off the scale and on again.", careEmpty)
	add(Proposal{Weight: &AxleReading{Pin: pin, Turned: true}, effort: effortTurned}, "Turn the machine round in the same place and weigh both axles again, empty: the slope of the yard then cancels.", careEmpty)
	most := m.bound(q, pin)
	if most < 20 {
		return out
	}
	for _, l := range m.e.r.Loads {
		if l.Mass.Value <= most {
			add(Proposal{Weight: &AxleReading{Pin: pin, Loads: []string{l.Name}}, effort: effortLoad}, "Weigh both axles with the test load {load} just clear of the ground.", careLoad, valid.Text("load", strconv.Quote(l.Name)))
		}
	}
	l := TestLoad{Name: "next", Mass: Measured[units.Mass]{Value: most, SD: max(1, most*0.005)}}
	if m.e.r.load(l.Name) < 0 && len(m.e.r.Loads) < maxTestLoads {
		add(Proposal{Load: &l, Weight: &AxleReading{Pin: pin, Loads: []string{l.Name}}, effort: effortLoad},
			"Weigh both axles with another known load of at most {most} just clear of the ground, no farther ahead than the loads before, and tape how far its center is ahead of the pivot pin.", careLoad, valid.Most(most))
	}
	return out
}

// gaugings are pressures.
func (m *Machine) gaugings(q *Question) (out []Proposal) {
	add := func(how string, p PressureReading, params ...units.Param) {
		next := Proposal{Instrument: ballast.FromWorkshop, Pressure: &p, effort: effortPressure}
		next.say(how, carePressure, params...)
		out = append(out, next)
	}
	add("Read the relief pressure against the end of the cylinders' stroke: with the arms down and the bucket rolled back, if that circuit has the same relief valve.",
		PressureReading{Motion: AtStop})
	add("Read the pressure while the empty arms rise steadily past a pivot pin height of {height}.", PressureReading{Motion: Raising, Pin: q.Pin}, valid.Value("height", q.Pin))
	if pin, ok := m.lowest(); ok {
		most := m.bound(q, pin)
		for _, l := range m.e.r.Loads {
			if l.Mass.Value <= most {
				add("Read the pressure while the test load {load} rises just clear of the ground.", PressureReading{Motion: Raising, Pin: pin, Loads: []string{l.Name}}, valid.Text("load", strconv.Quote(l.Name)))
			}
		}
	}
	return out
}

// with returns the record with a proposal as its next reading, whose values are
// still to be filled in.
func (p *Proposal) with(r *Record) Record {
	out := r.clone()
	switch {
	case p.Taped != nil:
		out.Tape = append(out.Tape, *p.Taped)
	case p.Pressure != nil:
		out.Pressures = append(out.Pressures, *p.Pressure)
	case p.Figure != nil:
		out.Figures = append(out.Figures, *p.Figure)
	}
	if p.Load != nil {
		out.Loads = append(out.Loads, *p.Load)
		out.Tape = append(out.Tape, Taped{Length: TapedLoadAhead, Load: p.Load.Name, Value: loadAhead, SD: 0.01})
	}
	if p.Weight != nil {
		w := *p.Weight
		w.Front, w.Rear = 1, 1
		if w.Pin == 0 {
			w.Pin = p.down
		}
		for _, l := range r.Pieces {
			w.Without = append(w.Without, l.Name)
		}
		out.Weights = append(out.Weights, w)
	}
	return out
}

// foresee fills in what an answer would be after a proposal, if the reading showed
// what the estimate expects. It reports false where that cannot be a reading.
func (m *Machine) foresee(p *Proposal, q Question) bool {
	r := p.with(m.e.r)
	n := &Machine{e: new(estimator), level: m.level}
	n.e.prepare(&r)
	at := m.extended(n.e)
	// What each new entry would read.
	n.e.m.reset(at)
	for k := range n.e.rows {
		w := &n.e.rows[k]
		v := n.e.m.At(n.e.modelled(w))
		n.e.m.Cut(n.e.m.common)
		switch {
		case w.kind == rowTape && w.i >= len(m.e.r.Tape):
			r.Tape[w.i].Value = units.Length(v)
		case w.kind == rowFront && w.i >= len(m.e.r.Weights):
			r.Weights[w.i].Front = units.Mass(v)
		case w.kind == rowRear && w.i >= len(m.e.r.Weights):
			r.Weights[w.i].Rear = units.Mass(v)
		case w.kind == rowPressure && w.i >= len(m.e.r.Pressures):
			r.Pressures[w.i].Pressure = units.GaugePressure(v * 1e6)
		case w.kind == rowFigure && w.i >= len(m.e.r.Figures):
			if f := &r.Figures[w.i]; f.Kind == FigureRelief {
				f.Pressure = units.GaugePressure(v * 1e6)
			} else {
				f.Mass = units.Mass(v)
			}
		}
	}
	if r.Validate() != nil {
		return false
	}
	n.e.prepare(&r)
	for k := range m.e.rows {
		if !m.e.rows[k].dropped {
			continue
		}
		for j := range n.e.rows {
			if n.e.rows[j].kind == m.e.rows[k].kind && n.e.rows[j].i == m.e.rows[k].i {
				n.e.rows[j].dropped, n.e.rows[j].about = true, m.e.rows[k].about
			}
		}
	}
	n.e.restart()
	if !n.e.fit() {
		return false
	}
	n.keep()
	a, err := n.Ask(q)
	if err != nil || !(a.HalfWidth > 0) {
		return false
	}
	p.HalfWidth, p.Unnoticed = a.HalfWidth, a.Unnoticed
	return true
}

// extended returns the estimate as unknowns of an estimator whose record has more
// entries; a new load is as its label says, and a new angle as it is asked for.
func (m *Machine) extended(n *estimator) []float64 {
	at := make([]float64, n.n)
	copy(at, n.mean)
	copy(at[:unFixed], m.at[:unFixed])
	copy(at[unFixed:], m.at[unFixed:m.e.unPiece(0)])
	copy(at[n.unPiece(0):], m.at[m.e.unPiece(0):m.e.unRaised(0)])
	for i, a := range n.raised {
		if j := slices.Index(m.e.raised, a); j >= 0 {
			at[n.unRaised(i)] = m.at[m.e.unRaised(j)]
		}
	}
	for i, k := range n.m.held {
		if j := m.e.m.held[i]; j != 0 && k != 0 {
			at[k] = m.at[j]
		}
	}
	for i, j := range m.e.m.pins {
		if k := n.m.pins[i]; j != 0 && k != 0 {
			at[k] = m.at[j]
		}
	}
	if n.m.side != 0 && m.e.m.side != 0 {
		at[n.m.side], at[n.m.cross] = m.at[m.e.m.side], m.at[m.e.m.cross]
	}
	return at
}
