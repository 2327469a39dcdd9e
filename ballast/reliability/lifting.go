package reliability

import (
	"encoding"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Lifting is a load case of a machine in which quantities vary.
type Lifting struct {
	// Setup and Lift are the machine and its load case; what varies may have any value
	// in them.
	Setup ballast.Setup `json:"setup"`
	Lift  ballast.Lift  `json:"lift"`
	// Load is the load asked about.
	Load units.Mass `json:"load"`
	// Slides asks whether the machine slides, on the slope and heading of the lift, and
	// Tips whether a wheel lifts there.
	Slides bool `json:"slides,omitzero"`
	Tips   bool `json:"tips,omitzero"`
	// Friction is the coefficient of friction of the tires on the ground, greater than 0
	// and at most 2; it may be left out where Slides does not ask for it or where it varies.
	Friction units.Fraction `json:"friction,omitzero"`
	// Held says which wheels keep the machine from rolling.
	Held stability.Held `json:"held,omitzero"`
	// Limits are the limits asked for, by their names; empty is all that can be checked.
	// [LimitTips], [LimitSlides] and [LimitTipsOrSlides] follow Tips and Slides.
	Limits []string `json:"limits,omitempty"`
	// Variables, Correlations, Tracks and Ranges are those of a problem. Their names are
	// paths of a document, such as "setup.machine.cg.z" or "lifts[0].load.center", or
	// "load" or "friction"; values are in SI where no unit is given.
	Variables    []Variable    `json:"variables,omitempty"`
	Correlations []Correlation `json:"correlations,omitempty"`
	Tracks       []Track       `json:"tracks,omitempty"`
	Ranges       []Range       `json:"ranges,omitempty"`
	// Estimates are machines estimated from readings, whose inputs vary together.
	Estimates []Estimate `json:"estimates,omitempty"`
	// Marked names the masses of pieces that vary as those of marked ballast weights may:
	// rectangular, 5 % either way of the mass that the setup gives (Regulation (EU) 2015/208,
	// Annex XXIII), such as "setup.pieces[0].mass".
	Marked []string `json:"marked,omitempty"`

	lift int // the place of Lift among the lifts of a document
	// from holds where each variable was named.
	from []string
}

// Estimate is what readings say of a machine, as the Joint of a machine in ballast/weigh
// gives it: its fields have the same names in JSON. The inputs are normal, with
// correlations as they are; those without variance stand still at their mean.
type Estimate struct {
	// Paths are inputs of the setup, such as "machine.frontLoad".
	Paths []string `json:"paths"`
	// Mean holds the estimate of each, in SI.
	Mean []float64 `json:"mean"`
	// Covariance holds the covariance of each pair, row after row.
	Covariance []float64 `json:"covariance"`
}

// expand returns the lifting with numbers in SI, and with the estimates and the marked
// pieces among its variables.
func (l Lifting) expand() (Lifting, error) {
	var e units.FieldErrors
	l.Variables, l.Correlations = slices.Clone(l.Variables), slices.Clone(l.Correlations)
	l.Tracks, l.Ranges = slices.Clone(l.Tracks), slices.Clone(l.Ranges)
	l.from = nil
	for i := range l.Variables {
		at := "variables[" + itoa(i) + "]"
		l.from = append(l.from, at+".name")
		v := &l.Variables[i]
		if f, ok := factor(&e, at+".unit", v.Name, v.Unit); ok && v.Unit != "" {
			d := v.Distribution
			v.Distribution = Distribution{Kind: d.Kind, Mean: d.Mean * f, SD: d.SD * f, Low: d.Low * f, High: d.High * f, Mode: d.Mode * f, Values: times(d.Values, f)}
		}
		v.Unit = ""
	}
	for i := range l.Ranges {
		r := &l.Ranges[i]
		if f, ok := factor(&e, "ranges["+itoa(i)+"].unit", r.Name, r.Unit); ok {
			r.Low, r.High = r.Low*f, r.High*f
		}
		r.Unit = ""
	}
	for i := range l.Tracks {
		l.Tracks[i].si(&e, "tracks["+itoa(i)+"]")
	}
	for i, path := range l.Marked {
		if m, ok := l.marked(path); ok {
			l.Variables = append(l.Variables, Variable{Name: path, Distribution: Rectangular(m*(1-markedShare), m*(1+markedShare))})
			l.from = append(l.from, "marked["+itoa(i)+"]")
		} else {
			e.Add("marked["+itoa(i)+"]", path, "must be the mass of a piece that is given as one value, such as setup.pieces[0].mass")
		}
	}
	still := map[string]float64{}
	for i, est := range l.Estimates {
		at := "estimates[" + itoa(i) + "]"
		vars, ties, err := est.variables(still)
		e.Join(at, err)
		l.Variables, l.Correlations = append(l.Variables, vars...), append(l.Correlations, ties...)
		for _, v := range vars {
			l.from = append(l.from, at+".paths["+itoa(slices.Index(est.Paths, strings.TrimPrefix(v.Name, "setup.")))+"]")
		}
	}
	for i, est := range l.Estimates {
		for j, p := range est.Paths {
			if _, ok := still["setup."+p]; ok && l.has("setup."+p) {
				e.Add("estimates["+itoa(i)+"].paths["+itoa(j)+"]", p, "must be given once only")
			}
		}
	}
	if err := e.Err(); err != nil {
		return l, err
	}
	l.Estimates, l.Marked = nil, nil
	return l.standStill(still)
}

// markedShare is how far a marked weight may be off.
const markedShare = 0.05

// marked returns the mass of the piece at a path.
func (l Lifting) marked(path string) (float64, bool) {
	for i, p := range l.Setup.Pieces {
		if path == "setup.pieces["+itoa(i)+"].mass" {
			m := float64(p.Mass.Value())
			return m, p.Mass.Known() && m > 0 && m < maxValue
		}
	}
	return 0, false
}

func times(values []float64, f float64) []float64 {
	if values == nil {
		return nil
	}
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = v * f
	}
	return out
}

// si turns the columns into SI.
func (t *Track) si(e *units.FieldErrors, at string) {
	if len(t.Units) == 0 {
		return
	}
	if len(t.Units) != len(t.Names) {
		e.Add(at+".units", len(t.Units), "must hold one unit for each name, or be left out")
		return
	}
	rows := make([][]float64, len(t.Rows))
	for i, row := range t.Rows {
		rows[i] = slices.Clone(row)
		for j := range row {
			if j >= len(t.Units) || t.Units[j] == "" {
				continue
			}
			v, err := inUnit(t.Names[j], row[j], t.Units[j])
			if err != nil {
				e.Add(at+".units["+itoa(j)+"]", t.Units[j], "must be a unit of the field that is named")
				return
			}
			rows[i][j] = v
		}
	}
	t.Rows, t.Units = rows, nil
}

// factor returns what a number in a unit is multiplied with to be in SI; false if that is
// an error.
func factor(e *units.FieldErrors, at, name, unit string) (float64, bool) {
	if unit == "" {
		return 1, true
	}
	one, err := inUnit(name, 1, unit)
	if err != nil {
		e.Add(at, unit, "must be a unit of the field that is named")
		return 0, false
	}
	if two, err := inUnit(name, 2, unit); err != nil || math.Abs(two-2*one) > 1e-9*math.Abs(one) {
		e.Add(at, unit, "must be a unit in which twice the number is twice the quantity, such as deg for a slope")
		return 0, false
	}
	return one, true
}

// inUnit returns a number in a unit of the field at a path, in SI.
func inUnit(path string, v float64, unit string) (float64, error) {
	text := strconv.FormatFloat(v, 'f', -1, 64) + " " + unit
	quantity := map[string]string{"load": "mass", "friction": "fraction"}[path]
	if quantity == "" {
		f, ok := ballast.FieldAt(path)
		if !ok {
			return v, nil // the name itself is wrong, which bind says
		}
		quantity = f.Quantity
	}
	switch quantity {
	case "length":
		return si[units.Length](text)
	case "mass":
		return si[units.Mass](text)
	case "angle":
		return si[units.Angle](text)
	case "slope":
		return si[units.Slope](text)
	case "fraction":
		return si[units.Fraction](text)
	case "force":
		return si[units.Force](text)
	case "gaugePressure":
		return si[units.GaugePressure](text)
	case "volume":
		return si[units.Volume](text)
	case "density":
		return si[units.Density](text)
	}
	return 0, units.ErrInvalid
}

func si[Q ~float64, P interface {
	*Q
	encoding.TextUnmarshaler
}](text string) (float64, error) {
	var q Q
	err := P(&q).UnmarshalText([]byte(text))
	return float64(q), err
}

// singular keeps a matrix of correlations that is only just singular positive definite.
const singular = 1 - 1e-9

// variables returns the inputs that vary, and writes those that do not into still.
func (t Estimate) variables(still map[string]float64) ([]Variable, []Correlation, error) {
	var e units.FieldErrors
	n := len(t.Paths)
	if n == 0 || n > maxVariables {
		e.Add("paths", n, "must hold from 1 to 1000 paths")
	}
	if len(t.Mean) != n {
		e.Add("mean", len(t.Mean), "must hold one number for each path")
	}
	if len(t.Covariance) != n*n {
		e.Add("covariance", len(t.Covariance), "must hold one number for each pair of paths, row after row")
	}
	if err := e.Err(); err != nil {
		return nil, nil, err
	}
	var names []string
	var mean []float64
	var place []int
	for i, p := range t.Paths {
		if !finite(t.Mean[i]) {
			e.Add("mean["+itoa(i)+"]", t.Mean[i], "must be a number, at most 1e100 in size")
		}
		for j := range i {
			a, b := t.Covariance[i*n+j], t.Covariance[j*n+i]
			both := math.Sqrt(t.Covariance[i*n+i]) * math.Sqrt(t.Covariance[j*n+j])
			if !(math.Abs(a-b) <= 1e-9*both) || math.Abs(a) > both*(1+1e-9) {
				e.Add("covariance["+itoa(i*n+j)+"]", a, "must be symmetric, and no greater than the spreads of both allow")
			}
		}
		if slices.Contains(t.Paths[:i], p) {
			e.Add("paths["+itoa(i)+"]", p, "must be given once only")
			continue
		}
		if t.Covariance[i*n+i] == 0 {
			if _, twice := still["setup."+p]; twice {
				e.Add("paths["+itoa(i)+"]", p, "must be given once only")
			}
			still["setup."+p] = t.Mean[i]
			continue
		}
		names, mean, place = append(names, "setup."+p), append(mean, t.Mean[i]), append(place, i)
	}
	square := make([][]float64, len(place))
	for i, a := range place {
		square[i] = make([]float64, len(place))
		for j, b := range place {
			square[i][j] = t.Covariance[a*n+b]
		}
	}
	for i := range square {
		if v := square[i][i]; !(v > 0) || !finite(v) {
			e.Add("covariance["+itoa(place[i]*(n+1))+"]", v, "must be positive, or zero for what stands still")
		}
	}
	if err := e.Err(); err != nil {
		return nil, nil, err
	}
	vars, ties, err := FromCovariance(names, mean, square)
	for i := range ties {
		ties[i].Coefficient *= singular
	}
	return vars, ties, err
}

// standStill puts the inputs without spread at their values.
func (l Lifting) standStill(values map[string]float64) (Lifting, error) {
	if len(values) == 0 {
		return l, nil
	}
	var e units.FieldErrors
	b := ballast.NewEvaluator(l.Setup, l.Lift)
	for _, path := range slices.Sorted(maps.Keys(values)) {
		field, err := b.Bind(path)
		if err != nil {
			e.Add("estimates", path, "must hold paths of quantities that are given, such as machine.cg.x")
			continue
		}
		b.Set(field, values[path])
	}
	l.Setup = b.Setup()
	return l, e.Err()
}

// The names of limits that are none of a load.
const (
	// LimitTips is the name of the limit at which a wheel lifts on the slope. Its margin
	// is the tangent of the slope at which that happens, less that of the slope.
	LimitTips = "tips"
	// LimitSlides is the name of the limit at which the machine slides; its margin is
	// like that of [LimitTips].
	LimitSlides = "slides"
	// LimitTipsOrSlides is the name of the limit that is broken where either is; its margin
	// is the less of both.
	LimitTipsOrSlides = "tipsOrSlides"
	// The endings of the names of a limit's two margins where the setup leaves something
	// open.
	worst = ".worst"
	best  = ".best"
)

// Problem returns the problem whose limits are those of the load that are checked where
// every variable has its mean, by their JSON names, then [LimitTips] and [LimitSlides]
// as asked. The margin of a limit of the load is 1 less what is used of it.
//
// Where the setup leaves something open, that is ignorance and no spread. Each limit of
// the load is then two, such as "tipping.worst" and "tipping.best", for the end of what
// is not known that allows least and most, and the chance is between those of both. The
// margin is what is left of it, in kilograms; [LimitTips] and [LimitSlides] are not to
// be had.
//
// Bad fields are errors that wrap [units.ErrInvalid]. A draw that a setup refuses, such
// as a negative mass, ends the study with the setup's error: such a distribution needs
// ends.
func (l Lifting) Problem() (Problem, error) {
	l, err := l.expand()
	if err != nil {
		return Problem{}, err
	}
	p := Problem{Variables: l.Variables, Correlations: l.Correlations, Tracks: l.Tracks, Ranges: l.Ranges}
	c, err := l.bind()
	if err != nil {
		return Problem{}, err
	}
	middle, err := l.middle()
	if err != nil {
		return Problem{}, err
	}
	if err := c.put(middle); err != nil {
		return Problem{}, err
	}
	if _, err := c.e.Check(0, c.load); err == nil {
		if err := c.known(middle); err != nil {
			return Problem{}, err
		}
		p.Margin = c.margins
	} else {
		if err := c.open(); err != nil {
			return Problem{}, err
		}
		if l.Slides || l.Tips {
			return Problem{}, units.NewFieldError("setup", "", "must leave nothing open where slides or tips are asked for")
		}
		if len(l.Ranges) > 0 {
			return Problem{}, units.NewFieldError("ranges", len(l.Ranges), "must be left out where the setup leaves something open: write them into the setup as ranges")
		}
		p.Margin = c.ends
	}
	if err := c.found(); err != nil {
		return Problem{}, err
	}
	p.Limits = c.names
	return p, p.Validate()
}

// middle returns the mean of each value.
func (l Lifting) middle() ([]float64, error) {
	p := Problem{Variables: l.Variables, Correlations: l.Correlations, Tracks: l.Tracks, Ranges: l.Ranges, Limits: []string{"none"},
		Margin: func(x, g []float64) error { return nil }}
	s, err := p.Compile()
	if err != nil {
		return nil, err
	}
	means, _, _ := s.moments()
	for _, r := range l.Ranges {
		means = append(means, r.Low/2+r.High/2)
	}
	return means, nil
}

// lifting is a Lifting whose fields are bound.
type lifting struct {
	l        Lifting
	e        *ballast.Evaluator
	load     units.Mass
	friction units.Fraction
	set      []func(float64)
	kinds    []ballast.LimitKind
	names    []string
	all      []string // the names of what can be checked
	model    stability.Model
}

// bind binds the named fields.
func (l Lifting) bind() (*lifting, error) {
	c := &lifting{l: l, e: ballast.NewEvaluator(l.Setup, l.Lift), load: l.Load, friction: l.Friction}
	var e units.FieldErrors
	seen := map[string]bool{}
	field := func(at, path string) {
		if seen[path] {
			e.Add(at, path, "must be given once only")
			return
		}
		seen[path] = true
		switch path {
		case "load":
			c.set = append(c.set, func(v float64) { c.load = units.Mass(v) })
			return
		case "friction":
			c.set = append(c.set, func(v float64) { c.friction = units.Fraction(v) })
			return
		}
		if rest, ok := strings.CutPrefix(path, "lifts["+itoa(l.lift)+"]."); ok {
			path = "lifts[0]." + rest
		} else if strings.HasPrefix(path, "lifts[") {
			e.Add(at, path, "must be a field of the lift that is asked about")
			return
		}
		b, err := c.e.Bind(path)
		if err != nil {
			e.Add(at, path, "must be load, friction, or the path of a quantity that is given, such as setup.machine.cg.x")
			return
		}
		c.set = append(c.set, func(v float64) { c.e.Set(b, v) })
	}
	for i, v := range l.Variables {
		field(l.from[i], v.Name)
	}
	for i, t := range l.Tracks {
		for j, n := range t.Names {
			field("tracks["+itoa(i)+"].names["+itoa(j)+"]", n)
		}
	}
	for i, r := range l.Ranges {
		field("ranges["+itoa(i)+"].name", r.Name)
	}
	if l.Slides && !l.has("friction") && !(l.Friction > 0 && l.Friction <= 2) {
		e.Add("friction", l.Friction, "must be more than 0 and at most 2 where sliding is asked for")
	} else if l.Friction != 0 && !(l.Friction > 0 && l.Friction <= 2) {
		e.Add("friction", l.Friction, "must be more than 0 and at most 2, or left out")
	}
	return c, e.Err()
}

// has reports whether a quantity varies or is a range.
func (l Lifting) has(name string) bool {
	return slices.ContainsFunc(l.Variables, func(v Variable) bool { return v.Name == name }) ||
		slices.ContainsFunc(l.Ranges, func(r Range) bool { return r.Name == name }) ||
		slices.ContainsFunc(l.Tracks, func(t Track) bool { return slices.Contains(t.Names, name) })
}

// asks reports whether a limit is asked for.
func (l Lifting) asks(name string) bool { return len(l.Limits) == 0 || slices.Contains(l.Limits, name) }

// found reports the limits that are asked for and cannot be checked.
func (c *lifting) found() error {
	var e units.FieldErrors
	for i, want := range c.l.Limits {
		if !slices.Contains(c.names, want) && !slices.Contains(c.names, want+worst) {
			e.Add("limits["+itoa(i)+"]", want, "must be a limit that can be checked here, such as {list}", units.Param{Name: "list", Text: strings.Join(c.plain(), ", ")})
		}
	}
	return e.Err()
}

// plain returns the names of the limits that can be checked, without the ends.
func (c *lifting) plain() []string {
	var out []string
	for _, n := range c.all {
		if n = strings.TrimSuffix(n, worst); !strings.HasSuffix(n, best) {
			out = append(out, n)
		}
	}
	return out
}

// put sets every value.
func (c *lifting) put(x []float64) error {
	for i, set := range c.set {
		set(x[i])
	}
	if !(c.load >= 0 && c.load <= maxLoad) {
		return units.NewFieldError("load", float64(c.load), "must be from 0 to 100 t wherever it is drawn: a distribution that reaches further needs ends")
	}
	return nil
}

// maxLoad is the greatest load that can be asked about.
const maxLoad = 1e5

// known finds the limits of a setup that leaves nothing open.
func (c *lifting) known(middle []float64) error {
	check, err := c.e.Check(0, c.load)
	if err != nil {
		return err
	}
	for _, s := range check.Limits {
		if s.Status == stability.NotChecked {
			continue
		}
		if c.all = append(c.all, s.Kind.String()); c.l.asks(s.Kind.String()) {
			c.kinds = append(c.kinds, s.Kind)
			c.names = append(c.names, s.Kind.String())
		}
	}
	if c.l.Tips {
		c.names = append(c.names, LimitTips)
	}
	if c.l.Slides {
		c.names = append(c.names, LimitSlides)
	}
	if c.l.Tips && c.l.Slides {
		c.names = append(c.names, LimitTipsOrSlides)
	}
	c.all = append(c.all, c.names[len(c.kinds):]...)
	return c.margins(middle, make([]float64, len(c.names)))
}

// margins are those of a setup that leaves nothing open.
func (c *lifting) margins(x, g []float64) error {
	if err := c.put(x); err != nil {
		return err
	}
	if len(c.kinds) > 0 {
		check, err := c.e.Check(0, c.load)
		if err != nil {
			return err
		}
		for i, k := range c.kinds {
			g[i] = 1 - float64(check.Limit(k).Used)
		}
	}
	if !c.l.Tips && !c.l.Slides {
		return nil
	}
	return c.slope(g[len(c.kinds):])
}

// slope writes the margins on the slope.
func (c *lifting) slope(g []float64) error {
	k, err := c.e.Case(0)
	if err != nil {
		return err
	}
	v, err := k.Vehicle(c.load)
	if err != nil {
		return err
	}
	if err := c.model.Recompile(v); err != nil {
		return err
	}
	lift := c.e.Lift(0)
	limits, err := c.model.Limits(stability.Situation{Heading: lift.Heading, Friction: c.friction, Held: c.l.Held})
	if err != nil {
		return err
	}
	grade := math.Tan(float64(lift.Slope))
	at := 0
	if c.l.Tips {
		g[at] = left(limits.FirstTip, grade)
		at++
	}
	if c.l.Slides {
		g[at] = left(limits.FirstSlide, grade)
		if at == 1 {
			g[2] = min(g[0], g[1])
		}
	}
	return nil
}

// steepest stands for the tangent of a limit that cannot occur.
const steepest = 10

// left returns how much steeper the ground may be, as a tangent.
func left(l stability.Limit, grade float64) float64 {
	switch l.Status {
	case stability.Within, stability.Binds:
		return min(steepest, l.Grade) - grade
	case stability.Exceeded:
		return -grade - 1e-9
	}
	return steepest - grade
}

// open finds the limits of a setup that leaves something open.
func (c *lifting) open() error {
	j, err := c.judge()
	if err != nil {
		return err
	}
	for i, v := range j.Limits {
		if j.Usable.Limits[i].Status != stability.NotChecked && v.Verdict != ballast.NeedsRatings {
			if c.all = append(c.all, v.Kind.String()+worst, v.Kind.String()+best); !c.l.asks(v.Kind.String()) {
				continue
			}
			c.kinds = append(c.kinds, v.Kind)
			c.names = append(c.names, v.Kind.String()+worst, v.Kind.String()+best)
		}
	}
	return nil
}

func (c *lifting) judge() (ballast.Judgment, error) { return c.e.Setup().Check(c.e.Lift(0), c.load) }

// ends are the margins of a setup that leaves something open.
func (c *lifting) ends(x, g []float64) error {
	if err := c.put(x); err != nil {
		return err
	}
	j, err := c.judge()
	if err != nil {
		return err
	}
	for i, k := range c.kinds {
		v := j.Limit(k)
		g[2*i], g[2*i+1] = float64(v.Left.Low), float64(v.Left.High)
		switch v.Verdict {
		case ballast.NoLimitExceeded:
			g[2*i], g[2*i+1] = max(1e-9, g[2*i]), max(1e-9, g[2*i+1])
		case ballast.ExceedsLimit:
			g[2*i], g[2*i+1] = min(-1e-9, g[2*i]), min(-1e-9, g[2*i+1])
		}
	}
	return nil
}
