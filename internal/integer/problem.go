// Package integer finds proven optima of small integer programs: bounded
// counts, exclusive choices, linear rows with integer coefficients, and several
// objectives in lexicographic order. It does not depend on what is counted.
//
// The answer is exact. A solution is accepted only by integer arithmetic. A part of the
// search is cut off only by a bound that holds for all rounding errors of the linear
// programs. The answer and its tie-break therefore depend on the problem alone and not
// on the processor.
package integer

import (
	"errors"
	"fmt"
)

// Limits on the size of a [Problem]. A larger one is an [ErrProblem].
const (
	// MaxVariables is the largest number of variables.
	MaxVariables = 256
	// MaxRows is the largest number of rows.
	MaxRows = 8192
	// MaxLevels is the largest number of objectives.
	MaxLevels = 8
	// MaxSum is the largest sum of |coefficient| times upper bound, plus
	// |bound|, of one row or one objective. Below it every activity is exact
	// in int64 and in float64.
	MaxSum = 1 << 53
)

// DefaultWork is the work limit of [Options] if its Work is zero. It takes one or two
// seconds on a processor of 2020.
const DefaultWork = 2_000_000_000

// ErrProblem is wrapped by every error about a malformed [Problem].
var ErrProblem = errors.New("integer: malformed problem")

// A Row requires that the sum of Coef[j] x[j] is at least Bound.
type Row struct {
	Coef  []int64
	Bound int64
}

// A Problem asks for integers 0 <= x[j] <= Upper[j] that satisfy every row
// and every group and minimize the objectives in order.
type Problem struct {
	// Upper holds the upper bound of each variable; the lower is zero.
	Upper []int64
	// Costs holds the objectives, the most important first: Costs[k][j] is what one unit
	// of variable j adds to objective k. If two solutions are equal in all objectives,
	// the one whose first differing variable is larger wins.
	Costs [][]int64
	// Rows are the linear demands.
	Rows []Row
	// Groups are exclusive choices: at most one variable of each is not zero. Their
	// variables are bounded by 1 and belong to one group only. List them in an order in
	// which neighbors are similar, because the search splits a group into two runs.
	Groups [][]int
}

// Options bound the work of [Solve].
type Options struct {
	// Work is the greatest amount of work, in multiplications of the innermost loops. It
	// is counted and not timed, so the same problem stops at the same place on every
	// processor. Zero or less means [DefaultWork].
	Work int64
	// Any asks only whether there is a solution. The search stops at the first one found
	// and returns it as [Feasible].
	Any bool
	// Stop, if not nil, is called every few milliseconds of work. The first
	// error that it returns ends the search and is what [Solve] returns.
	Stop func() error
}

// A Status says what a [Result] proves.
type Status uint8

// The statuses.
const (
	// Unknown means that the work limit was reached before any solution was found.
	Unknown Status = iota
	// Optimal means that X is the proven optimum, including the tie-break.
	Optimal
	// Infeasible means that it is proven that no solution exists.
	Infeasible
	// Feasible means that X is a solution, but the work limit was reached before it was
	// proven to be the best; Bound says how much better another might be.
	Feasible
)

// String returns the status in lower case.
func (s Status) String() string {
	switch s {
	case Optimal:
		return "optimal"
	case Infeasible:
		return "infeasible"
	case Feasible:
		return "feasible, not proven optimal"
	}
	return "unknown"
}

// A Result is the answer of [Solve].
type Result struct {
	Status Status
	// X is the solution, or nil if there is none.
	X []int64
	// Values holds the objectives at X.
	Values []int64
	// Bound is a proven lower bound of the first objective over all
	// solutions; it equals Values[0] when the status is Optimal. It is zero
	// when the problem is infeasible or has no objective.
	Bound int64
	// Nodes is the number of nodes that the search visited, and Work the work that it
	// spent.
	Nodes int
	Work  int64
}

func (p *Problem) check() error {
	n := len(p.Upper)
	if n > MaxVariables {
		return fmt.Errorf("%w: %d variables, at most %d", ErrProblem, n, MaxVariables)
	}
	if len(p.Rows) > MaxRows {
		return fmt.Errorf("%w: %d rows, at most %d", ErrProblem, len(p.Rows), MaxRows)
	}
	if len(p.Costs) > MaxLevels {
		return fmt.Errorf("%w: %d objectives, at most %d", ErrProblem, len(p.Costs), MaxLevels)
	}
	for j, u := range p.Upper {
		if u < 0 || u > MaxSum {
			return fmt.Errorf("%w: upper bound %d of variable %d, want 0 to 2^53", ErrProblem, u, j)
		}
	}
	for k, c := range p.Costs {
		if err := p.checkSum(c, 0); err != nil {
			return fmt.Errorf("%w: objective %d: %v", ErrProblem, k, err)
		}
	}
	for i, r := range p.Rows {
		if err := p.checkSum(r.Coef, r.Bound); err != nil {
			return fmt.Errorf("%w: row %d: %v", ErrProblem, i, err)
		}
	}
	seen := make([]bool, n)
	for i, g := range p.Groups {
		for _, j := range g {
			if j < 0 || j >= n {
				return fmt.Errorf("%w: group %d: no variable %d", ErrProblem, i, j)
			}
			if p.Upper[j] > 1 {
				return fmt.Errorf("%w: group %d: variable %d has upper bound %d, want 0 or 1", ErrProblem, i, j, p.Upper[j])
			}
			if seen[j] {
				return fmt.Errorf("%w: group %d: variable %d is already in a group", ErrProblem, i, j)
			}
			seen[j] = true
		}
	}
	return nil
}

func (p *Problem) checkSum(coef []int64, bound int64) error {
	if len(coef) != len(p.Upper) {
		return fmt.Errorf("%d coefficients for %d variables", len(coef), len(p.Upper))
	}
	if bound > MaxSum || bound < -MaxSum {
		return errors.New("bound beyond 2^53")
	}
	sum := max(bound, -bound)
	for j, a := range coef {
		if a > MaxSum || a < -MaxSum {
			return errors.New("coefficient beyond 2^53")
		}
		a, u := max(a, -a), p.Upper[j]
		if a != 0 && u > (MaxSum-sum)/a {
			return errors.New("activity may exceed 2^53")
		}
		sum += a * u
	}
	return nil
}

// Satisfies reports whether x lies within the bounds and satisfies every row
// and group, by integer arithmetic.
func (p *Problem) Satisfies(x []int64) bool {
	if len(x) != len(p.Upper) {
		return false
	}
	for j, v := range x {
		if v < 0 || v > p.Upper[j] {
			return false
		}
	}
	for _, r := range p.Rows {
		if dot(r.Coef, x) < r.Bound {
			return false
		}
	}
	for _, g := range p.Groups {
		var count int64
		for _, j := range g {
			count += x[j]
		}
		if count > 1 {
			return false
		}
	}
	return true
}

func dot(a, x []int64) int64 {
	var s int64
	for j, v := range x {
		s += a[j] * v
	}
	return s
}
