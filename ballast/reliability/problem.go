package reliability

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"strconv"

	"example.com/steelyard/units"
	"gonum.org/v1/gonum/mat"
)

func itoa(i int) string { return strconv.Itoa(i) }

// Variable is a quantity that varies, with its name.
type Variable struct {
	Name string `json:"name"`
	// Unit is the unit of the distribution's numbers in a [Lifting], such as "cm" or "deg";
	// empty is SI. A problem by itself knows no units and refuses one.
	Unit         string `json:"unit,omitempty"`
	Distribution `json:"distribution"`
}

// Correlation ties two variables together through a Gaussian copula.
type Correlation struct {
	// A and B name two different variables.
	A string `json:"a"`
	B string `json:"b"`
	// Coefficient is the correlation of the normal scores of both, greater than -1 and
	// less than 1. For normal variables it is the ordinary coefficient. From a rank
	// correlation r it is 2 sin(pi r/6).
	Coefficient float64 `json:"coefficient" zero:"value"`
}

// Track is a table of quantities that were measured together, such as the slope and
// the heading along a way. Each of its rows is drawn equally often, and always whole.
type Track struct {
	// Names names the columns.
	Names []string `json:"names"`
	// Units holds the unit of each column in a [Lifting], such as "%" and "deg"; empty is
	// SI. A problem by itself refuses them.
	Units []string `json:"units,omitempty"`
	// Rows holds the measurements, each with one number for each name.
	Rows [][]float64 `json:"rows"`
	// Trips holds the place of the first row of each trip, where the rows are passed one
	// after the other: 0 first, then greater ones. A trip is then drawn instead of a row,
	// each equally often, and a limit is broken on it if it is broken at any of its rows,
	// with the variables as they are for the whole trip. Empty means that each row is by
	// itself. Only one track may have trips.
	Trips []int `json:"trips,omitempty"`
}

// units returns how many trips, or rows by themselves, may be drawn.
func (t Track) units() int {
	if len(t.Trips) > 0 {
		return len(t.Trips)
	}
	return len(t.Rows)
}

// unit returns the rows that are drawn together.
func (t Track) unit(i int) [][]float64 {
	switch {
	case len(t.Trips) == 0:
		return t.Rows[i : i+1]
	case i+1 < len(t.Trips):
		return t.Rows[t.Trips[i]:t.Trips[i+1]]
	}
	return t.Rows[t.Trips[i]:]
}

// Range is a quantity of which only the ends are known: nothing is said of how often it
// has which value between them.
type Range struct {
	// Name is the quantity's name.
	Name string `json:"name"`
	// Unit is the unit of both ends in a [Lifting]; see [Variable].
	Unit string `json:"unit,omitempty"`
	// Low and High are its ends, low < high.
	Low  float64 `json:"low" zero:"value"`
	High float64 `json:"high" zero:"value"`
}

// maxRanges is how many ranges a problem may have, and rangePoints how many values of
// each of one, two, three or four ranges are looked at.
const maxRanges = 4

var rangePoints = [maxRanges + 1]int{1, 9, 5, 3, 3}

// Problem says what varies and when a limit is broken.
type Problem struct {
	// Variables vary each by itself, at most 1000; they may be left out beside a track.
	Variables []Variable `json:"variables,omitempty"`
	// Correlations tie variables together; two that none ties are independent.
	Correlations []Correlation `json:"correlations,omitempty"`
	// Tracks vary by whole rows, independently of the variables and of each other.
	Tracks []Track `json:"tracks,omitempty"`
	// Ranges are quantities that nobody knows, at most four. Each limit is then two in the
	// answers: "g.worst", with the least margin that any value of the ranges gives, and
	// "g.best" with the greatest, and the chance of g is between the chances of both. The
	// margins are looked at in a grid with the ends: 9 values of one range, 5 of each of
	// two, 3 of each of three or four. A worst value that lies between the ends is
	// met only as closely as the grid is fine, which [NoteInsideRange] says. So it does of
	// what 256 more values show at the medians and at the design points; a dip that is
	// narrower than they are close, or only elsewhere, is missed, as [NoteGridOnly] says of
	// every answer with ranges: a margin that may have one needs narrower ranges. In a
	// [Lifting] a quantity of the setup is better left open in the setup itself, which is
	// answered by bounds and not by a grid.
	Ranges []Range `json:"ranges,omitempty"`
	// Limits names the limits, in the order of the margins.
	Limits []string `json:"limits"`
	// Margin writes the margin of each limit at x, in any unit: negative where the limit
	// is broken. x holds the variables, then the columns of the tracks, then the ranges, in
	// their order. Neither slice may be kept. Its error ends the call that asked; so does a
	// margin that is not a number, with [ErrMargin]. An infinite one counts as 1e100 with
	// its sign.
	Margin func(x, margins []float64) error `json:"-"`
}

// ErrMargin says that a margin was not a number.
var ErrMargin = errors.New("reliability: a margin is not a number")

// Bounds on the size of a problem.
const (
	maxVariables = 1000
	maxLimits    = 1000
	maxRows      = 1_000_000
)

// FromCovariance returns normal variables with the given means and covariances, and
// their correlations, such as those of a machine that was estimated from readings.
// The covariance is a square by rows. A variable without variance is an error, which
// wraps [units.ErrInvalid].
func FromCovariance(names []string, mean []float64, covariance [][]float64) ([]Variable, []Correlation, error) {
	var e units.FieldErrors
	n := len(names)
	if len(mean) != n {
		e.Add("mean", len(mean), "must hold one number for each name")
	}
	if len(covariance) != n {
		e.Add("covariance", len(covariance), "must hold one row for each name")
	}
	for i, row := range covariance {
		if len(row) != n {
			e.Add("covariance["+itoa(i)+"]", len(row), "must hold one number for each name")
		}
	}
	if err := e.Err(); err != nil {
		return nil, nil, err
	}
	var vars []Variable
	var ties []Correlation
	for i, name := range names {
		sd := math.Sqrt(covariance[i][i])
		if !(sd > 0) || !finite(sd) {
			e.Add("covariance["+itoa(i)+"]["+itoa(i)+"]", covariance[i][i], "must be positive")
			continue
		}
		vars = append(vars, Variable{Name: name, Distribution: Normal(mean[i], sd)})
		for j := range i {
			if c := covariance[i][j]; c != 0 {
				ties = append(ties, Correlation{A: names[j], B: name, Coefficient: c / sd / math.Sqrt(covariance[j][j])})
			}
		}
	}
	if err := e.Err(); err != nil {
		return nil, nil, err
	}
	return vars, ties, nil
}

// Validate reports every bad field at once. The errors wrap [units.ErrInvalid].
func (p Problem) Validate() error {
	var e units.FieldErrors
	p.check(&e)
	return e.Err()
}

// check validates and returns the place of each name among the values.
func (p Problem) check(e *units.FieldErrors) map[string]int {
	place := map[string]int{}
	name := func(path, s string) {
		if s == "" {
			e.Add(path, s, "must be given")
		} else if _, twice := place[s]; twice {
			e.Add(path, s, "must be given once only")
		}
		place[s] = len(place)
	}
	if len(p.Variables)+len(p.Tracks) == 0 || len(p.Variables) > maxVariables {
		e.Add("variables", len(p.Variables), "must hold from 1 to 1000 variables, or be left out beside a track")
		return place
	}
	for i, v := range p.Variables {
		at := "variables[" + itoa(i) + "]"
		name(at+".name", v.Name)
		noUnit(e, at+".unit", v.Unit)
		e.Join(at+".distribution", v.Distribution.Validate())
	}
	for i, t := range p.Tracks {
		t.check(e, "tracks["+itoa(i)+"]", name)
	}
	if len(p.Ranges) > maxRanges {
		e.Add("ranges", len(p.Ranges), "must hold at most 4 ranges")
	}
	for i, r := range p.Ranges {
		at := "ranges[" + itoa(i) + "]"
		name(at+".name", r.Name)
		noUnit(e, at+".unit", r.Unit)
		switch {
		case !finite(r.Low):
			e.Add(at+".low", r.Low, "must be a number, at most 1e100 in size")
		case !finite(r.High):
			e.Add(at+".high", r.High, "must be a number, at most 1e100 in size")
		case !(r.Low < r.High):
			e.Add(at+".high", r.High, "must be greater than the low end")
		}
	}
	p.checkTrips(e)
	for i, c := range p.Correlations {
		at := "correlations[" + itoa(i) + "]"
		a, okA := place[c.A]
		b, okB := place[c.B]
		if !okA || a >= len(p.Variables) {
			e.Add(at+".a", c.A, "must be the name of a variable")
		}
		if !okB || b >= len(p.Variables) || a == b {
			e.Add(at+".b", c.B, "must be the name of another variable")
		}
		if !(math.Abs(c.Coefficient) < 1) {
			e.Add(at+".coefficient", c.Coefficient, "must be greater than -1 and less than 1")
		}
	}
	if len(p.Limits) == 0 || len(p.Limits) > maxLimits {
		e.Add("limits", len(p.Limits), "must hold from 1 to 1000 limits")
	}
	limits := map[string]bool{}
	for i, l := range p.Limits {
		switch {
		case l == "":
			e.Add("limits["+itoa(i)+"]", l, "must be given")
		case limits[l]:
			e.Add("limits["+itoa(i)+"]", l, "must be given once only")
		}
		limits[l] = true
	}
	if p.Margin == nil {
		e.Add("margin", "", "must be given")
	}
	return place
}

func noUnit(e *units.FieldErrors, path, unit string) {
	if unit != "" {
		e.Add(path, unit, "must be left out: the numbers of a problem have no unit")
	}
}

func (p Problem) checkTrips(e *units.FieldErrors) {
	with := 0
	for i, t := range p.Tracks {
		if len(t.Trips) == 0 {
			continue
		}
		at := "tracks[" + itoa(i) + "].trips"
		if with++; with > 1 {
			e.Add(at, len(t.Trips), "must be left out: another track has trips")
		}
		if t.Trips[0] != 0 {
			e.Add(at+"[0]", t.Trips[0], "must be 0, the first row")
		}
		for j, first := range t.Trips {
			if j > 0 && first <= t.Trips[j-1] || first < 0 || first >= len(t.Rows) {
				e.Add(at+"["+itoa(j)+"]", first, "must be the place of a row, counted from 0, and greater than the one before")
			}
		}
	}
}

func (t Track) check(e *units.FieldErrors, at string, name func(path, s string)) {
	if len(t.Names) == 0 {
		e.Add(at+".names", len(t.Names), "must be given")
	}
	for j, n := range t.Names {
		name(at+".names["+itoa(j)+"]", n)
	}
	if len(t.Units) > 0 {
		noUnit(e, at+".units", t.Units[0])
	}
	if len(t.Rows) == 0 || len(t.Rows) > maxRows {
		e.Add(at+".rows", len(t.Rows), "must hold from 1 to 1000000 rows")
		return
	}
	for j, row := range t.Rows {
		if len(row) != len(t.Names) {
			e.Add(at+".rows["+itoa(j)+"]", len(row), "must hold one number for each name")
			continue
		}
		for k, v := range row {
			if !finite(v) {
				e.Add(at+".rows["+itoa(j)+"]["+itoa(k)+"]", v, "must be a number, at most 1e100 in size")
			}
		}
	}
}

// Study is a compiled problem. It owns its memory, so one goroutine uses it at a time;
// equal problems, budgets and seeds give equal answers.
type Study struct {
	p         Problem
	marginals []marginal
	lower     [][]float64 // the Cholesky factor of the correlation of scores; nil if none
	dim       int         // independent standard normal coordinates: variables, then tracks
	x, g      []float64
	names     []string // of the limits in the answers: two of each where there are ranges
	row, try  []float64
	ends      []float64 // the margins at the ends of the ranges alone
	picked    []int     // the trip or row of each track
	fixed     []int     // not nil: these trips or rows, whatever the coordinates say
	calls     int
	inside    []bool // for each limit in the answers: an end of a range was not the worst
	ctx       context.Context
	stop      bool
	err       error
}

// Compile checks the problem and prepares its study. Correlations that contradict each
// other are an error. The errors wrap [units.ErrInvalid].
func (p Problem) Compile() (*Study, error) {
	var e units.FieldErrors
	place := p.check(&e)
	if err := e.Err(); err != nil {
		return nil, err
	}
	n := len(p.Variables)
	s := &Study{p: p, dim: n + len(p.Tracks), x: make([]float64, len(place)), picked: make([]int, len(p.Tracks)), names: p.Limits, ctx: context.Background()}
	if len(p.Ranges) > 0 {
		s.names = nil
		for _, l := range p.Limits {
			s.names = append(s.names, l+worst, l+best)
		}
	}
	s.g, s.row, s.try = make([]float64, len(s.names)), make([]float64, len(s.names)), make([]float64, len(p.Limits))
	s.inside, s.ends = make([]bool, len(s.names)), make([]float64, len(s.names))
	for _, v := range p.Variables {
		s.marginals = append(s.marginals, v.Distribution.marginal())
	}
	if len(p.Correlations) == 0 {
		return s, nil
	}
	r := mat.NewSymDense(n, nil)
	for i := range n {
		r.SetSym(i, i, 1)
	}
	for i, c := range p.Correlations {
		a, b := place[c.A], place[c.B]
		if r.At(a, b) != 0 {
			e.Add("correlations["+itoa(i)+"]", c.A+", "+c.B, "must be given once only")
		}
		r.SetSym(a, b, c.Coefficient)
	}
	var chol mat.Cholesky
	if e.Len() == 0 && !chol.Factorize(r) {
		e.Add("correlations", len(p.Correlations), "must not contradict each other: as a matrix they must be positive definite")
	}
	if err := e.Err(); err != nil {
		return nil, err
	}
	var l mat.TriDense
	chol.LTo(&l)
	for i := range n {
		row := make([]float64, i+1)
		for j := range row {
			row[j] = l.At(i, j)
		}
		s.lower = append(s.lower, row)
	}
	return s, nil
}

// limit returns the place of a limit.
func (s *Study) limit(name string) (int, error) {
	for i, l := range s.names {
		if l == name {
			return i, nil
		}
	}
	return 0, units.NewFieldError("limit", name, "must be the name of a limit")
}

// values turns independent standard normal coordinates into the variables' values,
// x = F^-1(Phi(L u)); the scores of variables are tied by the Cholesky factor L
// (TestCopula).
func (s *Study) values(u []float64) []float64 {
	for i, f := range s.marginals {
		z := u[i]
		if s.lower != nil {
			z = 0
			for j, l := range s.lower[i] {
				z += float64(l * u[j])
			}
		}
		s.x[i] = clamp(f(z))
	}
	at := len(s.marginals)
	for i, t := range s.p.Tracks {
		n := t.units()
		pick := min(n-1, int(below(u[len(s.marginals)+i])*float64(n)))
		if s.fixed != nil {
			pick = s.fixed[i]
		}
		s.picked[i] = pick
		at += copy(s.x[at:], t.unit(pick)[0])
	}
	return s.x
}

func clamp(v float64) float64 { return max(-maxValue, min(maxValue, v)) }

// margins returns the margins at u. After an error, which s.err keeps, they mean nothing.
func (s *Study) margins(u []float64) []float64 {
	s.values(u)
	s.ask(s.x, s.g)
	at := len(s.marginals)
	for i, t := range s.p.Tracks {
		if len(t.Trips) > 0 {
			for _, row := range t.unit(s.picked[i])[1:] {
				copy(s.x[at:], row)
				s.ask(s.x, s.row)
				for k, g := range s.row {
					s.g[k] = min(s.g[k], g)
				}
			}
		}
		at += len(t.Names)
	}
	return s.g
}

// cost returns how often a draw computes the margins: for each row of a trip of mean length
// and each point of the ranges.
func (s *Study) cost() int {
	out := 1
	for _, t := range s.p.Tracks {
		out = max(out, len(t.Rows)/t.units())
	}
	for range s.p.Ranges {
		out *= rangePoints[len(s.p.Ranges)]
	}
	return out
}

// ask writes the margins at x: where there are ranges, the least and the greatest of each
// limit.
func (s *Study) ask(x, margins []float64) {
	n := len(s.p.Ranges)
	if n == 0 {
		s.askOne(x, margins)
		return
	}
	points, total := rangePoints[n], 1
	for range n {
		total *= points
	}
	at := x[len(x)-n:]
	for i := range total {
		rest, corner := i, true
		for j, r := range s.p.Ranges {
			step := rest % points
			rest /= points
			at[j] = r.Low + float64((r.High-r.Low)*(float64(step)/float64(points-1)))
			if step == points-1 {
				at[j] = r.High
			}
			corner = corner && (step == 0 || step == points-1)
		}
		s.askOne(x, s.try)
		for k, g := range s.try {
			low, high := 2*k, 2*k+1
			if i == 0 {
				margins[low], margins[high] = g, g
			}
			margins[low], margins[high] = min(margins[low], g), max(margins[high], g)
			if !corner {
				continue
			}
			if i == 0 {
				s.ends[low], s.ends[high] = g, g
			}
			s.ends[low], s.ends[high] = min(s.ends[low], g), max(s.ends[high], g)
		}
	}
	for k, g := range margins {
		// It counts only where it decides whether the limit is broken.
		if g < 0 != (s.ends[k] < 0) {
			s.inside[k] = true
		}
	}
}

// askOne writes the margins at one x.
func (s *Study) askOne(x, margins []float64) {
	if s.calls++; s.calls&15 == 0 {
		s.stop = s.ctx.Err() != nil
	}
	if err := s.p.Margin(x, margins); err != nil && s.err == nil {
		s.err = err
	}
	for i, g := range margins {
		if math.IsNaN(g) && s.err == nil {
			s.err = &marginError{limit: s.p.Limits[i]}
		}
		margins[i] = clamp(g)
	}
}

// margin returns the margin of one limit.
func (s *Study) margin(limit int, u []float64) float64 { return s.margins(u)[limit] }

type marginError struct{ limit string }

func (e *marginError) Error() string {
	return "reliability: the margin of " + e.limit + " is not a number"
}
func (e *marginError) Unwrap() error { return ErrMargin }

// begin starts a call: the count of margins and the error are this call's. A nil
// context never ends.
func (s *Study) begin(ctx context.Context) {
	if ctx == nil {
		ctx = context.Background()
	}
	s.calls, s.err, s.ctx, s.stop, s.fixed = 0, nil, ctx, ctx.Err() != nil, nil
	clear(s.inside)
}

// random returns the numbers of one stream of a seed.
func random(seed, stream uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, stream)) }

// draw fills u with standard normal numbers.
func draw(r *rand.Rand, u []float64) {
	for i := range u {
		u[i] = r.NormFloat64()
	}
}
