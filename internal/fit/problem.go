// Package fit estimates unknowns from observations by weighted least squares.
// It is behind every answer that comes from readings. An observation is a row:
// its residual, its standard deviation and its derivatives. A prior is an
// observation of one unknown. Errors that several observations share, such as the zero
// of a scale, are unknowns with a prior of zero; this is all that correlated readings
// need.
//
// Start reading at [Problem]. A line of two unknowns and its inverse are in [Line];
// intervals are in [Ratio] and in the functions for quantiles.
package fit

import (
	"math"
	"slices"
)

const (
	// MaxUnknowns is the greatest number of unknowns in a [Problem].
	MaxUnknowns = 300
	// MaxSteps is the greatest number of steps of [Problem.Fit].
	MaxSteps = 40
	// converged is the greatest change by the last step, in standard errors.
	converged = 1e-9
	// still is the greatest change by a step, in standard errors, that counts as
	// rounding if the next step is not shorter.
	still = 1e-3
	// determined is the least share of an unknown's weight that must remain after the
	// unknowns before it.
	determined = 1e-12
	// checked is the least share of an observation's weight that the others
	// must check. A smaller one is rounding.
	checked = 1e-9
)

// Problem is a weighted least-squares problem with the memory for its solution. It
// minimizes the sum of (residual/sd)^2 over rows and priors. [Problem.Reset] empties
// it and keeps the memory. The zero value is ready for Reset.
//
// Observations are counted from 0: first the rows in their order, then the
// priors in the order of the unknowns.
type Problem struct {
	n         int
	at        []float64 // point of linearization
	mean, dev []float64 // priors; an infinite dev is none, a zero one is exact
	jac       []float64 // derivatives, row after row
	y, sd     []float64 // of each row: observed less modelled, and its standard deviation
	fixed     int       // how many unknowns are exact
	priors    int       // how many unknowns have a prior that is not exact

	memory []float64 // of all below

	scale []float64 // one over the root of the normal matrix's diagonal
	chol  []float64 // lower Cholesky factor of the scaled normal matrix
	inv   []float64 // its inverse
	cov   []float64 // covariance of the unknowns
	right []float64 // right-hand side, then the step in standard errors
	step  []float64 // from the point of linearization to the least sum of squares
	work  []float64
	chi2  float64 // that sum
	steps int
	open  bool // the steps did not converge
}

// Model is a nonlinear model. Linearize adds all rows at a point with [Problem.Row],
// and reports whether the model holds at that point.
type Model interface {
	Linearize(at []float64, p *Problem) bool
}

// Reset makes this a problem of n unknowns, 1 to [MaxUnknowns], at zero, without rows
// and without priors. It panics for any other n.
func (p *Problem) Reset(n int) {
	if n < 1 || n > MaxUnknowns {
		panic("fit: a problem must have 1 to 300 unknowns")
	}
	p.n, p.fixed, p.priors, p.chi2, p.steps, p.open = n, 0, 0, 0, 0, false
	p.memory = slices.Grow(p.memory[:0], 7*n+3*n*n)[:7*n+3*n*n]
	clear(p.memory)
	rest := p.memory
	take := func(n int) (v []float64) {
		v, rest = rest[:n:n], rest[n:]
		return v
	}
	p.at, p.mean, p.dev, p.scale = take(n), take(n), take(n), take(n)
	p.right, p.step, p.work = take(n), take(n), take(n)
	p.chol, p.inv, p.cov = take(n*n), take(n*n), take(n*n)
	for i := range p.dev {
		p.dev[i] = math.Inf(1)
	}
	p.Clear()
}

// Clear removes all rows.
func (p *Problem) Clear() { p.jac, p.y, p.sd = p.jac[:0], p.y[:0], p.sd[:0] }

// Start sets the starting value of the unknown i. An unknown with a prior starts at the
// value of the prior.
func (p *Problem) Start(i int, value float64) { p.at[i] = value }

// Prior says that the unknown i has the value with the standard deviation sd. An sd of
// zero says that the unknown is exactly the value. Each unknown takes one prior. An sd
// that is neither positive nor zero makes the problem unsolvable.
func (p *Problem) Prior(i int, value, sd float64) {
	p.at[i], p.mean[i], p.dev[i] = value, value, sd
	if sd == 0 {
		p.fixed++
	} else {
		p.priors++
	}
}

// Row adds an observation by its residual, observed less modelled at the point
// of linearization, and its standard deviation, which must be positive. It
// returns the derivatives of the modelled value, all zero, to be filled in
// before the next call.
func (p *Problem) Row(residual, sd float64) (derivatives []float64) {
	p.y, p.sd = append(p.y, residual), append(p.sd, sd)
	k := len(p.jac)
	p.jac = slices.Grow(p.jac, p.n)[:k+p.n]
	clear(p.jac[k:])
	return p.jac[k:]
}

// At returns the point of linearization: the starting point or, after a fit, the point
// at which its last step began. The slice belongs to the problem.
func (p *Problem) At() []float64 { return p.at }

// Rows returns the number of rows.
func (p *Problem) Rows() int { return len(p.y) }

// Steps returns the number of steps of the last fit.
func (p *Problem) Steps() int { return p.steps }

// Converged reports whether the last fit converged within [MaxSteps].
func (p *Problem) Converged() bool { return !p.open }

// row returns the derivatives of row i.
func (p *Problem) row(i int) []float64 { return p.jac[i*p.n : (i+1)*p.n] }

// Solve solves the linear problem of the rows and does not change the point of
// linearization: [Problem.Estimate] is that point plus one step. ok is false if the
// unknowns are not determined, or only to a few digits, or if any number is infinite or
// NaN. The other results of a problem are defined only if ok is true.
func (p *Problem) Solve() (ok bool) { return p.solve() && p.covariance() }

// Fit takes Gauss-Newton steps from the start. It ends when a step changes no linear
// function of the unknowns by more than 1e-9 of its standard error. It also ends when
// steps below a thousandth no longer become shorter, which is rounding. ok is false as
// in [Problem.Solve], and if the model does not hold. Rows that grossly contradict each
// other may need more than [MaxSteps]; the fit then keeps the last step, and
// [Problem.Converged] is false.
func (p *Problem) Fit(m Model) (ok bool) { return p.FitWithin(m, converged) }

// FitWithin is [Problem.Fit] that ends when a step changes no linear function of the
// unknowns by more than the tolerance, in standard errors. The last step is still taken,
// so that the error that is left is much smaller.
func (p *Problem) FitWithin(m Model, tolerance float64) (ok bool) {
	p.open = false
	before := math.Inf(1)
	for p.steps = 1; ; p.steps++ {
		p.Clear()
		if !m.Linearize(p.at, p) || !p.solve() {
			return false
		}
		var long float64
		for _, z := range p.right {
			long += float64(z * z)
		}
		if long = math.Sqrt(long); long <= tolerance || long <= still && long >= before {
			return p.covariance()
		}
		if p.steps == MaxSteps {
			p.open = true
			return p.covariance()
		}
		before = long
		for i, d := range p.step {
			p.at[i] += d
		}
	}
}

// solve finds the step to the least sum of squares, and that sum.
func (p *Problem) solve() bool {
	n := p.n
	if !p.normal() || !p.factor() {
		return false
	}
	// Now right becomes the step in standard errors. Its length does not depend on the
	// choice of unknowns.
	for i := range n {
		p.right[i] *= p.scale[i]
	}
	p.forward(p.right)
	for i := n - 1; i >= 0; i-- {
		sum := p.right[i]
		for j := i + 1; j < n; j++ {
			sum -= float64(p.chol[j*n+i] * p.work[j])
		}
		p.work[i] = sum / p.chol[i*n+i]
	}
	for i := range n {
		p.step[i] = p.work[i] * p.scale[i]
	}
	p.chi2 = 0
	for k := range len(p.y) + n {
		if e, sd := p.residual(k); sd > 0 {
			z := e / sd
			p.chi2 += float64(z * z)
		}
	}
	for i, d := range p.step {
		if !finite(p.at[i]) || !finite(d) {
			return false
		}
	}
	return finite(p.chi2)
}

// normal builds the normal equations: the lower half of the matrix in chol, and the
// right-hand side in right.
func (p *Problem) normal() bool {
	n := p.n
	clear(p.chol)
	clear(p.right)
	for r, y := range p.y {
		row := p.row(r)
		if !(p.sd[r] > 0) {
			return false
		}
		w := 1 / (p.sd[r] * p.sd[r])
		for i, v := range row {
			if v == 0 {
				continue
			}
			p.right[i] += float64(w * v * y)
			for j := range i + 1 {
				p.chol[i*n+j] += float64(w * v * row[j])
			}
		}
	}
	for i, sd := range p.dev {
		switch {
		case sd == 0:
			p.right[i] = 0
			for j := range n {
				p.chol[max(i, j)*n+min(i, j)] = 0
			}
		case !(sd > 0):
			return false
		case sd <= math.MaxFloat64:
			w := 1 / (sd * sd)
			p.chol[i*n+i] += w
			p.right[i] += float64(w * (p.mean[i] - p.at[i]))
		}
	}
	return true
}

// factor scales the matrix to a unit diagonal, so that it may mix unknowns in kilograms
// and in radians, and replaces it by its Cholesky factor. An exact unknown has the scale
// zero, so that it does not move.
func (p *Problem) factor() bool {
	n, l := p.n, p.chol
	for i, sd := range p.dev {
		if sd == 0 {
			p.scale[i], l[i*n+i] = 0, 1
			continue
		}
		d := l[i*n+i]
		if !(d > 0 && d <= math.MaxFloat64) {
			return false
		}
		p.scale[i] = 1 / math.Sqrt(d)
		l[i*n+i] = d * p.scale[i] * p.scale[i]
	}
	for i := range n {
		for j := range i + 1 {
			sum := l[i*n+j]
			if i > j {
				sum *= p.scale[i] * p.scale[j]
			}
			for k := range j {
				sum -= float64(l[i*n+k] * l[j*n+k])
			}
			if i > j {
				l[i*n+j] = sum / l[j*n+j]
				continue
			}
			if !(sum > determined) {
				return false
			}
			l[i*n+i] = math.Sqrt(sum)
		}
	}
	return true
}

// forward solves the lower triangular system for v, in place.
func (p *Problem) forward(v []float64) {
	n := p.n
	for i := range n {
		sum := v[i]
		for k := range i {
			sum -= float64(p.chol[i*n+k] * v[k])
		}
		v[i] = sum / p.chol[i*n+i]
	}
}

// covariance finds the covariance of the unknowns from the inverse of the
// factor.
func (p *Problem) covariance() bool {
	n, l, inv := p.n, p.chol, p.inv
	for j := range n {
		inv[j*n+j] = 1 / l[j*n+j]
		for i := j + 1; i < n; i++ {
			var sum float64
			for k := j; k < i; k++ {
				sum -= float64(l[i*n+k] * inv[k*n+j])
			}
			inv[i*n+j] = sum / l[i*n+i]
		}
	}
	for i := range n {
		for j := i; j < n; j++ {
			var sum float64
			for k := j; k < n; k++ {
				sum += float64(inv[k*n+i] * inv[k*n+j])
			}
			p.cov[i*n+j] = sum * p.scale[i] * p.scale[j]
			p.cov[j*n+i] = p.cov[i*n+j]
		}
		if !finite(p.cov[i*n+i]) {
			return false
		}
	}
	return true
}

func finite(v float64) bool { return math.Abs(v) <= math.MaxFloat64 }
