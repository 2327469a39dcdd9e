package main

import (
	"bytes"
	"encoding"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// readDocument reads a base document.
func readDocument(raw json.RawMessage) (*ballast.Document, error) {
	doc, err := ballast.Decode(bytes.NewReader(raw))
	return &doc, err
}

// decodeBase reads a base document into a new struct, whose fields a sweep may set.
func decodeBase(raw json.RawMessage) (reflect.Value, error) {
	doc, err := readDocument(raw)
	if err != nil {
		return reflect.Value{}, err
	}
	return reflect.ValueOf(doc).Elem(), nil
}

// An output is an answer that a sweep writes, by its name.
type output struct {
	name  string
	unit  string
	text  []string // not nil: the answer is one of these
	which int      // the lift it is an answer to
	need  need
	of    func(*answers) float64
	angle angleUnit // in which a table has an angle
}

// answers holds the library's answers for one lift of one variant.
type answers struct {
	load      units.Mass
	governing ballast.LimitKind
	status    ballast.Status

	limits             [ballast.NumLimits]ballast.Limit
	tipping, wheelLift units.Mass

	check ballast.Check
	ends  ballast.Usable
	axles ballast.WheelLoads
	tip   stability.Tip
	// tipKnown says that the heights that tip needs are known.
	tipKnown bool
}

// need says which answers of the library an output needs.
type need uint8

const (
	needLoad need = 1 << iota
	needLimits
	needCheck
	needAxles
	needTip
	needEnds
)

// measure is an output without its lift.
type measure struct {
	name string
	unit string
	text []string
	need need
	of   func(*answers) float64
}

// allowed returns the load of a limit. It is NaN if the limit was not checked or cannot
// occur, and zero if the limit is exceeded without load.
func allowed(l ballast.Limit) float64 {
	switch l.Status {
	case stability.Within, stability.Binds, stability.ExceededWhenEmpty:
		return float64(l.Mass)
	}
	return nan
}

// ifChecked returns v, or NaN if the limit was not checked.
func ifChecked(s ballast.Share, v float64) float64 {
	if s.Status == stability.NotChecked {
		return nan
	}
	return v
}

// ifMoved returns what is left of a limit, or NaN if more load does not use it up.
func ifMoved(s ballast.Share) float64 {
	switch s.Status {
	case stability.NotChecked, stability.CannotOccur, stability.ExceededWhenEmpty:
		return nan
	}
	return float64(s.Left)
}

// end returns an end of a limit of a setup of which something is open. It is NaN if
// nothing is known of the limit or no load reaches it, and zero if it is exceeded
// without load.
func end(l ballast.LimitRange, m units.Mass) float64 {
	switch l.Status {
	case stability.Within, stability.Binds, stability.AtMost:
		return float64(m)
	case stability.ExceededWhenEmpty:
		return 0
	}
	return nan
}

// ifKnown returns v, or NaN if v is zero, which means that there is no answer.
func ifKnown(v units.Mass) float64 {
	if v == 0 {
		return nan
	}
	return float64(v)
}

// ifTip returns v if the slope was checked, and NaN if not.
func ifTip(a *answers, v float64) float64 {
	if !a.tipKnown {
		return nan
	}
	return v
}

// measures lists the outputs in the order in which messages name them.
var measures = func() []measure {
	limits, statuses, tips := names[ballast.LimitKind](), names[stability.Status](), names[stability.LimitKind]()
	m := []measure{
		{"usable", "kg", nil, needLoad, func(a *answers) float64 {
			if a.status == stability.NotChecked || a.status == stability.AtMost {
				return nan
			}
			return float64(a.load)
		}},
		{"governing", "", limits, needLoad, func(a *answers) float64 { return float64(a.governing) }},
		{"status", "", statuses, needLoad, func(a *answers) float64 { return float64(a.status) }},
		{"tipping", "kg", nil, needLimits, func(a *answers) float64 { return ifKnown(a.tipping) }},
		{"wheelLift", "kg", nil, needLimits, func(a *answers) float64 { return ifKnown(a.wheelLift) }},
	}
	for i := range ballast.NumLimits {
		name := "limits." + ballast.LimitKind(i+1).String()
		m = append(m,
			measure{name, "kg", nil, needLimits, func(a *answers) float64 { return allowed(a.limits[i]) }},
			measure{name + ".status", "", statuses, needLimits, func(a *answers) float64 { return float64(a.limits[i].Status) }},
			measure{name + ".used", "", nil, needCheck, func(a *answers) float64 { return ifChecked(a.check.Limits[i], float64(a.check.Limits[i].Used)) }},
			measure{name + ".left", "kg", nil, needCheck, func(a *answers) float64 { return ifMoved(a.check.Limits[i]) }},
			measure{name + ".low", "kg", nil, needEnds, func(a *answers) float64 { return end(a.ends.Limits[i], a.ends.Limits[i].Mass.Low) }},
			measure{name + ".high", "kg", nil, needEnds, func(a *answers) float64 { return end(a.ends.Limits[i], a.ends.Limits[i].Mass.High) }})
	}
	m = append(m,
		measure{"check.status", "", statuses, needCheck, func(a *answers) float64 { return float64(a.check.Status) }},
		measure{"check.mostUsed", "", limits, needCheck, func(a *answers) float64 { return float64(a.check.MostUsed.Kind) }},
		measure{"check.used", "", nil, needCheck, func(a *answers) float64 { return float64(a.check.MostUsed.Used) }},
		measure{"check.nearest", "", limits, needCheck, func(a *answers) float64 { return float64(a.check.Nearest.Kind) }},
		measure{"check.left", "kg", nil, needCheck, func(a *answers) float64 {
			if a.check.Nearest.Kind == ballast.NoLimit {
				return nan
			}
			return float64(a.check.Nearest.Left)
		}})
	for _, w := range []struct {
		name string
		of   func(*ballast.WheelLoads) units.Mass
	}{
		{"total", func(l *ballast.WheelLoads) units.Mass { return l.Total }},
		{"front", func(l *ballast.WheelLoads) units.Mass { return l.Front }},
		{"rear", func(l *ballast.WheelLoads) units.Mass { return l.Rear }},
		{"frontLeft", func(l *ballast.WheelLoads) units.Mass { return l.FrontLeft }},
		{"frontRight", func(l *ballast.WheelLoads) units.Mass { return l.FrontRight }},
		{"rearLeft", func(l *ballast.WheelLoads) units.Mass { return l.RearLeft }},
		{"rearRight", func(l *ballast.WheelLoads) units.Mass { return l.RearRight }},
	} {
		m = append(m, measure{"axles." + w.name, "kg", nil, needAxles, func(a *answers) float64 { return float64(w.of(&a.axles)) }})
	}
	return append(m,
		measure{"slope", "rad", nil, needTip, func(a *answers) float64 {
			if s := a.tip.First.Status; s == stability.Within || s == stability.Binds || s == stability.Exceeded {
				return ifTip(a, float64(a.tip.First.Slope()))
			}
			return nan
		}},
		measure{"slope.heading", "rad", nil, needTip, func(a *answers) float64 { return ifTip(a, float64(a.tip.Heading)) }},
		measure{"slope.kind", "", tips, needTip, func(a *answers) float64 { return ifTip(a, float64(a.tip.First.Kind)) }})
}()

// names lists the texts of a closed choice, whose values count from 0.
func names[K interface {
	~uint8
	encoding.TextMarshaler
}]() []string {
	var list []string
	for k := K(0); ; k++ {
		text, err := k.MarshalText()
		if err != nil {
			return list
		}
		list = append(list, string(text))
	}
}

// readOutputs finds the outputs by their names: those of the first lift, or
// of another as in "lifts[1].usable".
func readOutputs(list []string, lifts int, bad *units.FieldErrors) []output {
	if len(list) == 0 || len(list) > 1000 {
		bad.Add("outputs", nil, "must name from 1 to 1000 outputs, such as usable and governing")
	}
	var out []output
	for i, full := range list {
		at := units.Index("outputs", i)
		name, which := full, 0
		if rest, ok := strings.CutPrefix(full, "lifts["); ok {
			n, tail := 0, ""
			if _, err := fmt.Sscanf(rest, "%d].%s", &n, &tail); err != nil {
				bad.Add(at, full, "must be written as lifts[1].usable")
				continue
			}
			name, which = tail, n
		}
		if which < 0 || which >= lifts {
			bad.Add(at, full, fmt.Sprintf("the base document has %d lifts, counted from 0", lifts))
			continue
		}
		j := slices.IndexFunc(measures, func(m measure) bool { return m.name == name })
		if j < 0 {
			var all []string
			for _, m := range measures {
				all = append(all, m.name)
			}
			bad.Add(at, full, "must be one of "+strings.Join(all, ", "))
			continue
		}
		if slices.ContainsFunc(out, func(o output) bool { return o.name == full }) {
			bad.Add(at, full, "is named twice")
			continue
		}
		m := measures[j]
		out = append(out, output{name: full, unit: m.unit, text: m.text, which: which, need: m.need, of: m.of})
	}
	return out
}

// cautions returns the sentences that belong to the answers of a design: those
// of its base document.
func (d *design) cautions() []string {
	v, err := newVariant(d)
	if err != nil {
		return nil
	}
	var all ballast.Cautions
	var slope stability.Cautions
	for i, n := range v.need {
		if n == 0 {
			continue
		}
		if v.ask(i, n, &v.answers[i]) != nil {
			continue
		}
		if n&needEnds != 0 {
			all |= v.answers[i].ends.Cautions
		}
		if c, err := v.evaluator.Case(i); err == nil {
			all |= c.Use().Cautions
		}
		slope |= v.answers[i].tip.Cautions
	}
	lines := all.Lines()
	for _, l := range slope.Lines() {
		if !slices.Contains(lines, l) {
			lines = append(lines, l)
		}
	}
	return lines
}

// job returns the work of a design.
func (d *design) job() *job {
	j := newJob(d.plan, d.factors, d.outputs, func() (evaluator, error) { return newVariant(d) })
	j.about = d.aboutTable(j)
	return j
}

// A variant evaluates a design's variants, one after the other.
type variant struct {
	evaluator *ballast.Evaluator
	practice  ballast.Practice
	fields    [][]field // of each factor
	outputs   []output
	need      []need // of each lift
	answers   []answers
}

// A field is a field of the document that a factor sets.
type field struct {
	at ballast.Bound
	// values are the numbers of the factor's list, of a field that is set to one of them;
	// nil for one that takes the number of the factor.
	values []float64
}

func newVariant(d *design) (*variant, error) {
	doc, err := readDocument(d.file.Base)
	if err != nil {
		return nil, err
	}
	practice := ballast.UsualPractice()
	if doc.Practice != nil {
		practice = *doc.Practice
	}
	v := &variant{practice: practice, evaluator: ballast.NewEvaluator(doc.Setup, doc.Lifts...), outputs: d.outputs,
		need: make([]need, len(doc.Lifts)), answers: make([]answers, len(doc.Lifts))}
	for _, f := range d.factors {
		fields := make([]field, len(f.paths))
		for j, p := range f.paths {
			if fields[j], err = v.bind(&f, p); err != nil {
				return nil, err
			}
		}
		v.fields = append(v.fields, fields)
	}
	for _, o := range d.outputs {
		v.need[o.which] |= o.need
	}
	return v, nil
}

// bind binds one path of a factor.
func (v *variant) bind(f *factor, path string) (b field, err error) {
	if f.list == nil {
		b.at, err = v.evaluator.Bind(path)
		return b, err
	}
	if b.at, err = v.evaluator.Bind(path); err == nil {
		// A quantity with labels.
		for _, x := range f.list {
			b.values = append(b.values, x.Float())
		}
		return b, nil
	}
	values := make([]any, len(f.list))
	for i, x := range f.list {
		values[i] = x.Interface()
	}
	b.at, err = v.evaluator.BindValues(path, values...)
	return b, err
}

// number returns what the field is set to where its factor has this value.
func (f *field) number(x float64) float64 {
	if f.values != nil {
		return f.values[int(x)]
	}
	return x
}

// evaluate sets the factors and computes the answers.
func (v *variant) evaluate(x, y []float64) error {
	for i, value := range x {
		for j := range v.fields[i] {
			f := &v.fields[i][j]
			v.evaluator.Set(f.at, f.number(value))
		}
	}
	for i, n := range v.need {
		if n == 0 {
			continue
		}
		if err := v.ask(i, n, &v.answers[i]); err != nil {
			return ofLift(err, i)
		}
	}
	v.write(y)
	return nil
}

// write fills y with the outputs of the answers.
func (v *variant) write(y []float64) {
	for i := range v.outputs {
		o := &v.outputs[i]
		y[i] = o.of(&v.answers[o.which])
	}
}

// ofLift puts the path of a lift in front of an error.
func ofLift(err error, lift int) error {
	var at units.FieldErrors
	at.JoinCall(err, "setup", map[string]string{"lift": units.Index("lifts", lift)})
	return at.Err()
}

// ask asks what the outputs of a lift need, and no more: a whole case costs several
// times as much as its limits.
func (v *variant) ask(lift int, n need, a *answers) (err error) {
	e := v.evaluator
	if n&needEnds != 0 {
		envelope, err := e.Envelope(v.practice)
		if err != nil {
			return err
		}
		if a.ends, err = envelope.UsableLoad(e.Lift(lift)); err != nil {
			return err
		}
	}
	if n&^needEnds == 0 {
		return nil // the setup may leave open what single numbers need
	}
	if a.load, a.governing, a.status, err = e.UsableLoad(lift); err != nil {
		return err
	}
	if n&needLimits != 0 {
		if a.limits, err = e.Limits(lift); err != nil {
			return err
		}
		if a.tipping, a.wheelLift, err = e.TippingLoads(lift); err != nil {
			return err
		}
	}
	if n&(needCheck|needAxles|needTip) == 0 {
		return nil
	}
	load := e.LoadMass(lift)
	if n&needCheck != 0 {
		if a.check, err = e.Check(lift, load); err != nil {
			return err
		}
	}
	if n&needAxles != 0 {
		if a.axles, err = e.WheelLoads(lift, load); err != nil {
			return err
		}
	}
	if n&needTip != 0 {
		// Without the heights that it needs, the slope is not checked.
		a.tip, err = e.WorstTip(lift, load)
		a.tipKnown = err == nil
	}
	return nil
}
