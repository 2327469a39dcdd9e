package main

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/visible"
	"example.com/steelyard/units"
)

// maxDesignBytes bounds a design and its base document.
const maxDesignBytes = 4 << 20

// maxKeptDesign bounds the design in a folder of results, which includes its base
// document.
const maxKeptDesign = 2 * maxDesignBytes

// designFile is a design as it is written in its file.
type designFile struct {
	Version int    `json:"version"`
	Title   string `json:"title,omitempty"`
	// The document that every variant starts from: given here, or by the name
	// of a file beside the design.
	Base     json.RawMessage   `json:"base,omitempty"`
	BaseFile string            `json:"baseFile,omitempty"`
	Plan     planSpec          `json:"plan"`
	Factors  []json.RawMessage `json:"factors"`
	Outputs  []string          `json:"outputs"`
}

type planSpec struct {
	Kind    planKind `json:"kind"`
	Samples int64    `json:"samples,omitempty"`
	Seed    uint64   `json:"seed"`
}

type factorSpec struct {
	Name       string            `json:"name"`
	Path       string            `json:"path"`
	Paths      []string          `json:"paths"`
	List       []json.RawMessage `json:"list"`
	Labels     []string          `json:"labels"`
	Weights    []float64         `json:"weights"`
	Ordered    bool              `json:"ordered"`
	Range      *rangeSpec        `json:"range"`
	Normal     *normalSpec       `json:"normal"`
	Triangular *triangularSpec   `json:"triangular"`
	Lognormal  *lognormalSpec    `json:"lognormal"`
}

type rangeSpec struct {
	Low   json.RawMessage `json:"low"`
	High  json.RawMessage `json:"high"`
	Steps int64           `json:"steps"`
}

type normalSpec struct {
	Mean json.RawMessage `json:"mean"`
	SD   json.RawMessage `json:"sd"`
	Low  json.RawMessage `json:"low"`
	High json.RawMessage `json:"high"`
}

type triangularSpec struct {
	Low  json.RawMessage `json:"low"`
	Mode json.RawMessage `json:"mode"`
	High json.RawMessage `json:"high"`
}

type lognormalSpec struct {
	Median json.RawMessage `json:"median"`
	Sigma  float64         `json:"sigma"`
	Low    json.RawMessage `json:"low"`
	High   json.RawMessage `json:"high"`
}

// A factor is an input that varies. Its value in a row is a number: the count of SI units,
// or the index in a list of values that are not numbers.
type factor struct {
	name  string
	unit  string
	paths []string
	// list holds the values of a factor that is not a number, and text how each is
	// written.
	list     []reflect.Value
	text     []string
	quantile quantile            // for random plans
	level    func(int64) float64 // for grids
	levels   int64               // 0: the factor has no levels
	angle    angleUnit           // in which a table has a slope or an angle
	// unordered says that the values of its list have no order.
	unordered bool
}

// A design is a checked design, ready to run.
type design struct {
	file    designFile
	plan    *plan
	factors []factor
	outputs []output
	// text is the design as JSON including its base document, so that a folder of results
	// is complete; id is its hash.
	text []byte
	id   string
}

// overrides are the parts of a design that the command line may change.
type overrides struct {
	samples int64
	seed    *uint64
}

// loadDesign reads and checks a design. A base file is looked for in dir.
func loadDesign(data []byte, dir string, over overrides) (*design, error) {
	var d design
	if err := strict(data, &d.file); err != nil {
		return nil, cli.Usage(err)
	}
	f := &d.file
	var bad units.FieldErrors
	if f.Version != 1 {
		bad.Add("version", f.Version, "must be 1")
	}
	if f.BaseFile != "" {
		if f.Base != nil {
			bad.Add("baseFile", f.BaseFile, "must be left out when base is given")
		} else {
			base, err := cli.ReadFile(filepath.Join(dir, f.BaseFile), maxDesignBytes)
			if err != nil {
				return nil, err
			}
			f.Base, f.BaseFile = base, ""
		}
	} else if f.Base == nil {
		bad.Add("base", nil, "must be the document that the variants start from")
	}
	if over.samples > 0 {
		f.Plan.Samples = over.samples
	}
	if over.seed != nil {
		f.Plan.Seed = *over.seed
	}
	var doc reflect.Value
	if bad.Len() == 0 {
		var err error
		if doc, err = decodeBase(f.Base); err != nil {
			bad.Join("base", err)
		}
	}
	if err := bad.Err(); err != nil {
		return nil, err
	}
	d.factors = readFactors(f, doc, &bad)
	d.outputs = readOutputs(f.Outputs, doc.FieldByName("Lifts").Len(), &bad)
	d.plan = readPlan(f.Plan, d.factors, &bad)
	if err := bad.Err(); err != nil {
		return nil, err
	}
	d.angles()
	var err error
	if d.text, err = json.Marshal(f); err != nil {
		return nil, err
	}
	sum := sha256.Sum256(d.text)
	d.id = hex.EncodeToString(sum[:])
	return &d, nil
}

// strict reads one JSON value and nothing else. An error names the line.
func strict(data []byte, into any) error {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	err := dec.Decode(into)
	if err == nil {
		if _, extra := dec.Token(); extra != io.EOF {
			return fmt.Errorf("line %d: something follows the design", line(data, dec.InputOffset()))
		}
		return nil
	}
	offset := dec.InputOffset()
	var syntax *json.SyntaxError
	var typ *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		offset = syntax.Offset
	case errors.As(err, &typ):
		offset = typ.Offset
	case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF):
		return fmt.Errorf("line %d: the file ends before the design does", line(data, int64(len(data))))
	}
	return fmt.Errorf("line %d: %s", line(data, offset), strings.TrimPrefix(err.Error(), "json: "))
}

func line(data []byte, offset int64) int {
	return 1 + bytes.Count(data[:min(offset, int64(len(data)))], []byte("\n"))
}

func readPlan(s planSpec, factors []factor, bad *units.FieldErrors) *plan {
	var levels []int64
	switch s.Kind {
	case planGrid:
		if s.Samples != 0 {
			bad.Add("plan.samples", s.Samples, "must be left out: a grid has as many rows as its factors have levels")
		}
		for i, f := range factors {
			if f.levels == 0 && f.level == nil && f.name != "" {
				bad.Add(units.Index("factors", i), nil, "a grid needs a list, or a range with steps")
				return nil
			}
			levels = append(levels, f.levels)
		}
	case planLatin, planRandom, planSaltelli:
		if s.Samples < 1 || s.Samples > maxRows {
			bad.Add("plan.samples", s.Samples, fmt.Sprintf("must be from 1 to %d", int64(maxRows)))
			return nil
		}
	default:
		bad.Add("plan.kind", s.Kind, "must be grid, latin-hypercube, random or saltelli")
		return nil
	}
	if bad.Len() > 0 {
		return nil
	}
	p, err := newPlan(s.Kind, s.Samples, s.Seed, levels, len(factors))
	if err != nil {
		bad.Add("plan", nil, err.Error())
	}
	return p
}

// maxFactors bounds the factors of a design.
const maxFactors = 200

func readFactors(f *designFile, doc reflect.Value, bad *units.FieldErrors) []factor {
	if len(f.Factors) == 0 || len(f.Factors) > maxFactors {
		bad.Add("factors", nil, fmt.Sprintf("must hold from 1 to %d factors", maxFactors))
		return nil
	}
	factors := make([]factor, len(f.Factors))
	owner := map[string]int{}
	for i, raw := range f.Factors {
		at := units.Index("factors", i)
		var spec factorSpec
		if err := strict(raw, &spec); err != nil {
			_, text, _ := strings.Cut(err.Error(), ": ")
			bad.Add(at, nil, text)
			continue
		}
		var mistakes units.FieldErrors
		factors[i] = readFactor(&spec, doc, &mistakes)
		bad.Join(at, mistakes.Err())
		for _, p := range factors[i].paths {
			for other, j := range owner {
				if within(p, other) || within(other, p) {
					bad.Add(at+".path", p, "is already set by "+units.Index("factors", j))
				}
			}
			owner[p] = i
		}
	}
	return factors
}

// within reports whether a path equals another path or lies inside it.
func within(path, other string) bool {
	rest, ok := strings.CutPrefix(path, other)
	return ok && (rest == "" || rest[0] == '.' || rest[0] == '[')
}

// maxNumber keeps sums and products of a distribution's numbers finite.
const maxNumber = 1e100

func readFactor(s *factorSpec, doc reflect.Value, bad *units.FieldErrors) factor {
	f := factor{name: s.Name, paths: s.Paths}
	if s.Path != "" {
		f.paths = append([]string{s.Path}, f.paths...)
	}
	if len(f.paths) == 0 {
		bad.Add("path", nil, "must name a field, such as setup.machine.wheelbase")
		return f
	}
	if f.name == "" {
		f.name = f.paths[0]
	}
	// Names and labels reach tables and the terminal.
	f.name = visible.Text(f.name)
	var typ reflect.Type
	for i, p := range f.paths {
		v, err := resolve(doc, p)
		switch {
		case err != nil:
			bad.Add("path", p, err.Error())
			return f
		case i > 0 && numberOf(v) != typ:
			bad.Add("paths", p, "must be of one type with "+f.paths[0])
			return f
		}
		typ = numberOf(v)
	}
	kinds := 0
	for _, given := range []bool{s.List != nil, s.Range != nil, s.Normal != nil, s.Triangular != nil, s.Lognormal != nil} {
		if given {
			kinds++
		}
	}
	if kinds != 1 {
		bad.Add("", nil, "must have one of list, range, normal, triangular, lognormal")
		return f
	}
	f.unit = unitOf(typ)
	if f.angle = angleUnitOf(s.first(), typ); f.angle != (angleUnit{}) {
		f.unit = f.angle.name
	}
	if s.List != nil {
		readList(&f, s, typ, bad)
		return f
	}
	if s.Labels != nil || s.Weights != nil || s.Ordered {
		bad.Add("", nil, "labels, weights and ordered go with a list")
	}
	if typ.Kind() != reflect.Float64 {
		bad.Add("path", f.paths[0], "is no quantity: give a list of its values")
		return f
	}
	readDistribution(&f, s, typ, bad)
	return f
}

// A reader reads the numbers of a distribution and reports what it cannot read.
type reader struct{ bad *units.FieldErrors }

// num reads a number of a type. If nothing is written it returns missing, or reports an
// error if missing is NaN.
func (r reader) num(at string, raw json.RawMessage, t reflect.Type, missing float64) float64 {
	if raw == nil && !math.IsNaN(missing) {
		return missing
	}
	if raw == nil {
		r.bad.Add(at, nil, "must be given")
		return math.NaN()
	}
	v, err := parseValue(t, raw)
	if err != nil {
		r.bad.Add(at, typed(raw), err.Error())
		return math.NaN()
	}
	if !(math.Abs(v.Float()) <= maxNumber) {
		r.bad.Add(at, typed(raw), "is far beyond any machine")
		return math.NaN()
	}
	return v.Float()
}

// rising reports an error unless high is above low.
func (r reader) rising(at string, low, high float64) {
	if low >= high {
		r.bad.Add(at+".high", nil, "must be above low")
	}
}

// readDistribution reads the distribution of a quantity.
func readDistribution(f *factor, s *factorSpec, typ reflect.Type, bad *units.FieldErrors) {
	r := reader{bad}
	need := math.NaN()
	switch {
	case s.Range != nil:
		low, high := r.num("range.low", s.Range.Low, typ, need), r.num("range.high", s.Range.High, typ, need)
		r.rising("range", low, high)
		f.quantile = between(low, high)
		if n := s.Range.Steps; n != 0 {
			if n < 2 || n > maxRows {
				bad.Add("range.steps", n, "must be at least 2: low and high are among them")
				break
			}
			f.levels = n
			f.level = func(i int64) float64 {
				if i == n-1 {
					return high
				}
				return low + float64((high-low)*(float64(i)/float64(n-1)))
			}
		}
	case s.Normal != nil:
		difference := typ
		if typ == reflect.TypeFor[units.Temperature]() {
			difference = reflect.TypeFor[units.TemperatureDifference]()
		}
		mean, sd := r.num("normal.mean", s.Normal.Mean, typ, need), r.num("normal.sd", s.Normal.SD, difference, need)
		low, high := r.num("normal.low", s.Normal.Low, typ, math.Inf(-1)), r.num("normal.high", s.Normal.High, typ, math.Inf(1))
		if sd <= 0 {
			bad.Add("normal.sd", typed(s.Normal.SD), "must be positive")
		}
		r.rising("normal", low, high)
		if low > mean+float64(8*sd) || high < mean-float64(8*sd) {
			bad.Add("normal", nil, "low and high must leave some of the distribution: they lie over 8 standard deviations out")
		}
		f.quantile = truncatedNormal(mean, sd, low, high)
	case s.Triangular != nil:
		low, mode, high := r.num("triangular.low", s.Triangular.Low, typ, need), r.num("triangular.mode", s.Triangular.Mode, typ, need), r.num("triangular.high", s.Triangular.High, typ, need)
		r.rising("triangular", low, high)
		if mode < low || mode > high {
			bad.Add("triangular.mode", typed(s.Triangular.Mode), "must be from low to high")
		}
		f.quantile = triangular(low, mode, high)
	case s.Lognormal != nil:
		median, sigma := r.num("lognormal.median", s.Lognormal.Median, typ, need), s.Lognormal.Sigma
		low, high := r.num("lognormal.low", s.Lognormal.Low, typ, 0), r.num("lognormal.high", s.Lognormal.High, typ, math.Inf(1))
		if median <= 0 {
			bad.Add("lognormal.median", typed(s.Lognormal.Median), "must be positive")
		}
		if !(sigma > 0 && sigma <= 10) {
			bad.Add("lognormal.sigma", sigma, "must be positive and at most 10; it is the standard deviation of the logarithm")
		}
		if low < 0 {
			bad.Add("lognormal.low", typed(s.Lognormal.Low), "must not be negative")
		}
		r.rising("lognormal", low, high)
		if spread := math.Exp(8 * sigma); low > median*spread || high < median/spread {
			bad.Add("lognormal", nil, "low and high must leave some of the distribution: they lie over 8 standard deviations out")
		}
		f.quantile = truncatedLognormal(median, sigma, low, high)
	}
}

// typed returns a text of the design, or its beginning.
func typed(raw json.RawMessage) string { return visible.Clip(string(raw), 100) }

func readList(f *factor, s *factorSpec, typ reflect.Type, bad *units.FieldErrors) {
	n := len(s.List)
	if n == 0 {
		bad.Add("list", nil, "must hold at least one value")
		return
	}
	if s.Labels != nil && len(s.Labels) != n {
		bad.Add("labels", len(s.Labels), "must be as many as the list has values")
	}
	var sum float64
	for i, w := range s.Weights {
		if !(w >= 0 && w <= 1e12) {
			bad.Add(units.Index("weights", i), w, "must be from 0 to 1e12")
		}
		sum += w
	}
	if s.Weights != nil && (len(s.Weights) != n || !(sum > 0)) {
		bad.Add("weights", nil, "must be as many as the list has values, and not all 0")
	}
	number := typ.Kind() == reflect.Float64 && s.Labels == nil
	values := make([]float64, n)
	for i, raw := range s.List {
		v, err := parseValue(typ, raw)
		if err != nil {
			bad.Add(units.Index("list", i), typed(raw), err.Error())
			continue
		}
		if number {
			values[i] = v.Float()
			continue
		}
		values[i] = float64(i)
		f.list = append(f.list, v)
		text := strings.Trim(string(raw), `"`)
		if s.Labels != nil && len(s.Labels) == n {
			text = s.Labels[i]
		}
		f.text = append(f.text, visible.Text(text))
	}
	if f.text != nil {
		f.unit, f.angle, f.unordered = "", angleUnit{}, !s.Ordered
		if typ.Kind() == reflect.Float64 && !s.Ordered { // labels of numbers
			f.unordered = !slices.IsSortedFunc(f.list, func(a, b reflect.Value) int { return cmp.Compare(a.Float(), b.Float()) })
		}
	}
	if bad.Len() > 0 {
		return
	}
	pick := choice(n, s.Weights)
	f.quantile = func(u float64) float64 { return values[int(pick(u))] }
	f.level = func(i int64) float64 { return values[i] }
	f.levels = int64(n)
}

// unitOf returns the SI unit of a quantity type as its JSON form writes it,
// and nothing for a plain number or another type.
func unitOf(t reflect.Type) string {
	if t.Kind() != reflect.Float64 {
		return ""
	}
	text, err := json.Marshal(reflect.Zero(t).Interface())
	if err != nil {
		return ""
	}
	_, unit, _ := strings.Cut(strings.Trim(string(text), `"`), " ")
	return unit
}
