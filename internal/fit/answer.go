package fit

import "math"

// Estimate returns the unknown i.
func (p *Problem) Estimate(i int) float64 { return p.at[i] + p.step[i] }

// SD returns the standard error of the unknown i; zero if it is exact.
func (p *Problem) SD(i int) float64 { return math.Sqrt(p.Covariance(i, i)) }

// Covariance returns the covariance of the unknowns i and j.
func (p *Problem) Covariance(i, j int) float64 { return p.cov[i*p.n+j] }

// ChiSquare returns the least sum of squares, rows and priors together.
func (p *Problem) ChiSquare() float64 { return p.chi2 }

// Freedom returns the degrees of freedom: rows and priors less unknowns. It is not
// positive if nothing checks the rows.
func (p *Problem) Freedom() int { return len(p.y) + p.priors - (p.n - p.fixed) }

// Variance returns the variance of the quantity with this gradient, which has one
// number for each unknown.
func (p *Problem) Variance(gradient []float64) float64 {
	for i, g := range gradient {
		p.work[i] = g * p.scale[i]
	}
	p.forward(p.work)
	var v float64
	for _, z := range p.work {
		v += float64(z * z)
	}
	return v
}

// residual returns the residual of the observation k at the estimate, and its stated
// standard deviation. Both are zero for a prior that is absent or exact.
func (p *Problem) residual(k int) (e, sd float64) {
	if i := k - len(p.y); i >= 0 {
		if sd = p.dev[i]; sd == 0 || math.IsInf(sd, 1) {
			return 0, 0
		}
		return p.mean[i] - p.at[i] - p.step[i], sd
	}
	e = p.y[k]
	for i, v := range p.row(k) {
		e -= float64(v * p.step[i])
	}
	return e, p.sd[k]
}

// redundancy returns the share of the observation k that the others check: 0 if no
// other observation checks it, 1 if it does not affect the fit.
func (p *Problem) redundancy(k int) float64 {
	if i := k - len(p.y); i >= 0 {
		return 1 - p.Covariance(i, i)/(p.dev[i]*p.dev[i])
	}
	return 1 - p.Variance(p.row(k))/(p.sd[k]*p.sd[k])
}

// Residual returns the residual of the observation k, observed less fitted, and its
// expected standard deviation. The latter is less than the observation's own, because
// the fit follows each observation. It is zero for a prior that is absent or exact.
func (p *Problem) Residual(k int) (e, sd float64) {
	e, sd = p.residual(k)
	if sd == 0 {
		return 0, 0
	}
	return e, sd * math.Sqrt(math.Max(p.redundancy(k), 0))
}

// Drop returns the difference of the observation k from the fit of all others, and the
// standard deviation of the difference. Without the observation the sum of squares is
// less by the square of their ratio. ok is false if the others do not determine the
// observation. To drop a row is the same as one more unknown in that row alone; see
// [Problem.Extra].
func (p *Problem) Drop(k int) (off, sd float64, ok bool) {
	e, sd := p.residual(k)
	if sd == 0 {
		return 0, 0, false
	}
	if k < len(p.y) {
		clear(p.work)
		cc, ce := p.weigh(k, 1)
		return p.extra(cc, ce, checked)
	}
	r := p.redundancy(k)
	if !(r > checked) {
		return 0, 0, false
	}
	return e / r, sd / math.Sqrt(r), true
}

// Extra returns the value of one more unknown without prior, and its standard error. The
// column holds its derivatives, one number for each row. With it the sum of squares is
// less by the square of their ratio. ok is false if the rows cannot separate it from the
// existing unknowns.
func (p *Problem) Extra(column []float64) (value, sd float64, ok bool) {
	clear(p.work)
	var cc, ce float64
	for k, c := range column {
		if c != 0 {
			square, product := p.weigh(k, c)
			cc += square
			ce += product
		}
	}
	return p.extra(cc, ce, determined)
}

// weigh adds to work the weighted product of the derivatives of row k with c, and returns
// the products of c with itself and with the residual of the row.
func (p *Problem) weigh(k int, c float64) (square, product float64) {
	e, sd := p.residual(k)
	w := c / (sd * sd)
	for i, v := range p.row(k) {
		p.work[i] += float64(w * v)
	}
	return w * c, w * e
}

// extra solves for one more unknown; work holds its products with the derivatives.
func (p *Problem) extra(cc, ce, least float64) (value, sd float64, ok bool) {
	left := 1 - p.Variance(p.work)/cc
	if !(cc > 0 && left > least) {
		return 0, 0, false
	}
	value, sd = ce/(cc*left), 1/math.Sqrt(cc*left)
	return value, sd, finite(value) && finite(sd)
}

// Detectable returns the least mistake in the observation k that is noticed, if a
// mistake is noticed from the given number of standard deviations of Drop's difference.
// It is infinite if no other observation checks this one.
func (p *Problem) Detectable(k int, sigmas float64) float64 {
	_, sd, ok := p.Drop(k)
	if !ok {
		return math.Inf(1)
	}
	return sigmas * sd
}

// Move writes into moved the change of each unknown if the observation k is greater by
// the amount. With [Problem.Detectable] as the amount it is the external reliability: the
// effect of the largest mistake that is not noticed. With minus the difference that
// [Problem.Drop] returns, it is the effect of leaving the observation out.
func (p *Problem) Move(k int, amount float64, moved []float64) {
	_, sd := p.residual(k)
	clear(moved)
	if sd == 0 {
		return
	}
	w := amount / (sd * sd)
	if i := k - len(p.y); i >= 0 {
		for j := range p.n {
			moved[j] = w * p.Covariance(j, i)
		}
		return
	}
	for i, v := range p.row(k) {
		if v == 0 {
			continue
		}
		for j := range p.n {
			moved[j] += float64(w * v * p.Covariance(j, i))
		}
	}
}
