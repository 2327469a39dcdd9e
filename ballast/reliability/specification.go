package reliability

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"slices"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// SpecificationVersion is the version of a specification.
const SpecificationVersion = 1

// Specification is a question about chances as a JSON document: what varies, what nobody
// knows, which limits are asked about, and what the answer may cost.
// [DecodeSpecification] reads it, and [Specification.Answer] answers it.
type Specification struct {
	// Version is [SpecificationVersion].
	Version int `json:"version"`
	// Title is free text for the reader.
	Title string `json:"title,omitempty"`
	// Base is the document of the machine and its load cases; what varies may have any
	// value in it. What its setup leaves open is ignorance: see [Lifting.Problem].
	Base ballast.Document `json:"base"`
	// Lift is the place of the load case asked about, from 0.
	Lift int `json:"lift,omitempty" zero:"value"`
	// Load is the load asked about; it may be left out where a variable, a track or a range
	// is named "load".
	Load units.Mass `json:"load,omitzero"`
	// Limits are the limits asked about, by the names of [ballast.LimitKind], or "tips",
	// "slides" and "tipsOrSlides", which stand on the slope and the heading of the lift.
	// Empty is every limit of the load that can be checked.
	Limits []string `json:"limits,omitempty"`
	// Friction is the coefficient of friction of the tires, for sliding.
	Friction units.Fraction `json:"friction,omitzero"`
	// Held says which wheels keep the machine from rolling.
	Held stability.Held `json:"held,omitzero"`
	// Variables, Correlations, Tracks, Ranges, Estimates and Marked are those of a
	// [Lifting].
	Variables    []Variable    `json:"variables,omitempty"`
	Correlations []Correlation `json:"correlations,omitempty"`
	Tracks       []Track       `json:"tracks,omitempty"`
	Ranges       []Range       `json:"ranges,omitempty"`
	Estimates    []Estimate    `json:"estimates,omitempty"`
	Marked       []string      `json:"marked,omitempty"`
	// Budget is that of each chance.
	Budget Budget `json:"budget,omitzero"`
	// Indices is how many draws the Sobol indices of the margins come from, a multiple of
	// 16 from 160 to 1e8; zero is none.
	Indices int `json:"indices,omitempty"`
}

// DecodeSpecification reads a specification and nothing after it, as strictly as
// [ballast.Decode] reads a document, and validates it. The errors name each bad field by
// its path and wrap [units.ErrInvalid].
func DecodeSpecification(r io.Reader) (Specification, error) {
	var s Specification
	var text bytes.Buffer
	if err := ballast.DecodeInto(io.TeeReader(r, &text), &s); err != nil {
		return Specification{}, err
	}
	if err := s.complete(text.Bytes()); err != nil {
		return Specification{}, err
	}
	return s, nil
}

// complete reports numbers that zero is a value of and that the text leaves out: a mean
// that was forgotten is not zero.
func (s Specification) complete(text []byte) error {
	type object = map[string]json.RawMessage
	var given struct {
		Variables            []struct{ Distribution object }
		Ranges, Correlations []object
	}
	if err := json.Unmarshal(text, &given); err != nil {
		return err
	}
	var e units.FieldErrors
	need := func(at string, o object, names ...string) {
		for _, n := range names {
			if _, ok := o[n]; !ok {
				e.Add(at+"."+n, "", "must be given")
			}
		}
	}
	for i, v := range given.Variables {
		at := "variables[" + itoa(i) + "].distribution"
		switch s.Variables[i].Kind {
		case NormalKind:
			need(at, v.Distribution, "mean")
		case TriangularKind:
			need(at, v.Distribution, "low", "mode", "high")
		case RectangularKind:
			need(at, v.Distribution, "low", "high")
		}
	}
	for i, r := range given.Ranges {
		need("ranges["+itoa(i)+"]", r, "low", "high")
	}
	for i, c := range given.Correlations {
		need("correlations["+itoa(i)+"]", c, "coefficient")
	}
	return e.Err()
}

// Validate reports every bad field that is seen without asking the machine; the rest is
// seen by [Specification.Lifting] and its problem. The errors wrap [units.ErrInvalid].
func (s Specification) Validate() error {
	var e units.FieldErrors
	if s.Version != SpecificationVersion {
		e.Add("version", s.Version, "must be 1")
	}
	e.Join("base", s.Base.Validate())
	if s.Lift < 0 || s.Lift >= len(s.Base.Lifts) {
		e.Add("lift", s.Lift, "must be the place of a lift of the base document, counted from 0")
	}
	l := Lifting{Variables: s.Variables, Ranges: s.Ranges, Tracks: s.Tracks}
	if !(s.Load > 0 && s.Load <= maxLoad) && (s.Load != 0 || !l.has("load")) {
		e.Add("load", float64(s.Load), "must be positive and at most 100 t, unless a quantity that varies is named load")
	}
	for i, n := range s.Limits {
		if slices.Contains(s.Limits[:i], n) {
			e.Add("limits["+itoa(i)+"]", n, "must be given once only")
		}
	}
	if len(s.Variables)+len(s.Tracks)+len(s.Estimates)+len(s.Marked) == 0 {
		e.Add("variables", 0, "must hold from 1 to 1000 variables, or be left out beside a track")
	}
	e.Join("budget", s.Budget.Validate())
	if s.Indices != 0 && !drawsOfIndices(s.Indices) {
		e.Add("indices", s.Indices, "must be a multiple of 16, from 160 to 100000000, or left out")
	}
	return e.Err()
}

func drawsOfIndices(n int) bool { return n >= 10*sobolParts && n <= 1e8 && n%sobolParts == 0 }

// Lifting returns the specification as a lifting.
func (s Specification) Lifting() (Lifting, error) {
	if err := s.Validate(); err != nil {
		return Lifting{}, err
	}
	l := Lifting{Setup: s.Base.Setup, Lift: s.Base.Lifts[s.Lift], Load: s.Load, Limits: s.Limits, Friction: s.Friction, Held: s.Held,
		Variables: s.Variables, Correlations: s.Correlations, Tracks: s.Tracks, Ranges: s.Ranges, Estimates: s.Estimates, Marked: s.Marked, lift: s.Lift}
	for _, n := range s.Limits {
		l.Tips = l.Tips || n == LimitTips || n == LimitTipsOrSlides
		l.Slides = l.Slides || n == LimitSlides || n == LimitTipsOrSlides
	}
	return l, nil
}

// Outcome is the answer about one limit.
type Outcome struct {
	// Limit is the name of the limit.
	Limit string `json:"limit"`
	// Low and High are the chances at the best and at the worst of what nobody knows; both
	// are the same where everything is known or varies.
	Low  units.Fraction `json:"low"`
	High units.Fraction `json:"high"`
	// Interval goes from the low end of the interval of the one to the high end of that of
	// the other.
	Interval units.Interval[units.Fraction] `json:"interval"`
	// Worst is the chance at the worst of what nobody knows, or the chance itself.
	Worst Chance `json:"worst"`
	// Best is the chance at the best of it; nil where nothing is open.
	Best *Chance `json:"best,omitempty"`
	// Deciding names the variable that decides at the worst, and Share its share in the
	// direction of the design points, from 0 to 1; empty without design points.
	Deciding string         `json:"deciding,omitempty"`
	Share    units.Fraction `json:"share,omitzero"`
	// Indices are the Sobol indices of the margin at the worst; empty where none were
	// asked for.
	Indices []Indices `json:"indices,omitempty"`
}

// Report is the answer to a specification.
type Report struct {
	// Title is that of the specification.
	Title string `json:"title,omitempty"`
	// Inputs names the variables in the order of the design points' values, and then the
	// columns of the tracks and the ranges.
	Inputs []string `json:"inputs"`
	// Limits are the answers, each limit by itself.
	Limits []Outcome `json:"limits"`
}

// Answer answers a specification. Bad fields are errors that wrap [units.ErrInvalid]. When
// the context ends the chances are what there is until then, with [NoteStopped], and indices
// are left out.
func (s Specification) Answer(ctx context.Context) (Report, error) {
	l, err := s.Lifting()
	if err != nil {
		return Report{}, err
	}
	p, err := l.Problem()
	if err != nil {
		return Report{}, err
	}
	study, err := p.Compile()
	if err != nil {
		return Report{}, err
	}
	out := Report{Title: s.Title}
	for _, v := range p.Variables {
		out.Inputs = append(out.Inputs, v.Name)
	}
	for _, t := range p.Tracks {
		out.Inputs = append(out.Inputs, t.Names...)
	}
	for _, r := range p.Ranges {
		out.Inputs = append(out.Inputs, r.Name)
	}
	for _, name := range study.names {
		plain, isBest := strings.CutSuffix(name, best)
		plain, isWorst := strings.CutSuffix(plain, worst)
		if !l.asks(plain) {
			continue // tips or slides, of which only the other is asked for
		}
		c, err := study.Chance(ctx, name, s.Budget)
		if err != nil {
			return Report{}, err
		}
		if isBest {
			out.Limits[len(out.Limits)-1].join(c)
			continue
		}
		o := Outcome{Limit: plain, Low: c.Probability, High: c.Probability, Interval: c.Interval, Worst: c}
		if i, share := c.Deciding(); i >= 0 {
			o.Deciding, o.Share = out.Inputs[i], share
		}
		if isWorst {
			o.Low = 0
		}
		out.Limits = append(out.Limits, o)
	}
	if s.Indices == 0 || valid.Ended(ctx, "") != nil {
		return out, nil
	}
	indices, err := study.Sobol(ctx, s.Indices, s.Budget.Seed)
	if err != nil && valid.Ended(ctx, "") == nil {
		return Report{}, err
	}
	for i := range out.Limits {
		for _, x := range indices {
			if o := &out.Limits[i]; x.Limit == o.Worst.Limit {
				o.Indices = append(o.Indices, x)
			}
		}
	}
	return out, nil
}

// join adds the chance at the best of what nobody knows.
func (o *Outcome) join(best Chance) {
	o.Best, o.Low = &best, best.Probability
	o.Interval.Low = min(o.Interval.Low, best.Interval.Low)
	o.Low = min(o.Low, o.High)
}
