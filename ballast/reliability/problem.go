package reliability

import (
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
	Distribution
}

// Correlation ties two variables together through a Gaussian copula.
type Correlation struct {
	// A and B name two different variables.
	A string `json:"a"`
	B string `json:"b"`
	// Coefficient is the correlation of the normal scores of both, greater than -1 and
	// less than 1. For normal variables it is the ordinary coefficient. From a rank
	// correlation r it is 2 sin(pi r/6).
	Coefficient float64 `json:"coefficient"`
}

// Track is a table of quantities that were measured together, such as the slope and
// the heading along a way. Each of its rows is drawn equally often, and always whole.
type Track struct {
	// Names names the columns.
	Names []string `json:"names"`
	// Rows holds the measurements, each with one number for each name.
	Rows [][]float64 `json:"rows"`
}

// Problem says what varies and when a limit is broken.
type Problem struct {
	// Variables vary each by itself, at most 1000; they may be left out beside a track.
	Variables []Variable `json:"variables,omitempty"`
	// Correlations tie variables together; two that none ties are independent.
	Correlations []Correlation `json:"correlations,omitempty"`
	// Tracks vary by whole rows, independently of the variables and of each other.
	Tracks []Track `json:"tracks,omitempty"`
	// Limits names the limits, in the order of the margins.
	Limits []string `json:"limits"`
	// Margin writes the margin of each limit at x, in any unit: negative where the limit
	// is broken. x holds the variables and then the columns of the tracks, in their
	// order. Neither slice may be kept. Its error ends the call that asked; so does a
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
		e.Join(at, v.Distribution.Validate())
	}
	for i, t := range p.Tracks {
		t.check(e, "tracks["+itoa(i)+"]", name)
	}
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

func (t Track) check(e *units.FieldErrors, at string, name func(path, s string)) {
	if len(t.Names) == 0 {
		e.Add(at+".names", len(t.Names), "must be given")
	}
	for j, n := range t.Names {
		name(at+".names["+itoa(j)+"]", n)
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
	z, x, g   []float64
	calls     int
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
	s := &Study{p: p, dim: n + len(p.Tracks), z: make([]float64, n), g: make([]float64, len(p.Limits)), x: make([]float64, len(place))}
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
	for i, l := range s.p.Limits {
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
		n := len(t.Rows)
		row := min(n-1, int(below(u[len(s.marginals)+i])*float64(n)))
		at += copy(s.x[at:], t.Rows[row])
	}
	return s.x
}

func clamp(v float64) float64 { return max(-maxValue, min(maxValue, v)) }

// margins returns the margins at u. After an error, which s.err keeps, they mean nothing.
func (s *Study) margins(u []float64) []float64 {
	s.ask(s.values(u), s.g)
	return s.g
}

// ask writes the margins at x.
func (s *Study) ask(x, margins []float64) {
	s.calls++
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

// begin starts a call: the count of margins and the error are this call's.
func (s *Study) begin() { s.calls, s.err = 0, nil }

// random returns the numbers of one stream of a seed.
func random(seed, stream uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, stream)) }

// draw fills u with standard normal numbers.
func draw(r *rand.Rand, u []float64) {
	for i := range u {
		u[i] = r.NormFloat64()
	}
}
