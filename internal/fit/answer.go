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

// Freedom returns the degrees of freedom: rows and priors less unknowns. It is
// not positive where nothing checks the rows.
func (p *Problem) Freedom() int { return len(p.y) + p.priors - (p.n - p.fixed) }

// Variance returns the variance of what has this gradient, one number for each
// unknown.
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

// residual returns what is left of the observation k at the estimate, and its
// standard deviation as stated. A prior that is none or exact has no residual
// and a standard deviation of zero.
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

// redundancy returns the share of the observation k that the others check: 0
// if it stands alone, 1 if it does not count.
func (p *Problem) redundancy(k int) float64 {
	if i := k - len(p.y); i >= 0 {
		return 1 - p.Covariance(i, i)/(p.dev[i]*p.dev[i])
	}
	return 1 - p.Variance(p.row(k))/(p.sd[k]*p.sd[k])
}

// Residual returns what is left of the observation k, observed less fitted,
// and the standard deviation that it should have. The latter is less than the
// observation's own, because the fit follows each observation. It is zero for
// a prior that is none or exact.
func (p *Problem) Residual(k int) (e, sd float64) {
	e, sd = p.residual(k)
	if sd == 0 {
		return 0, 0
	}
	return e, sd * math.Sqrt(math.Max(p.redundancy(k), 0))
}

// Drop returns how far the observation k is off the fit of all others, and the
// standard deviation of that. Without the observation the sum of squares is
// less by the square of their ratio. ok is false where the others do not tell
// what the observation should be. A row dropped is one more unknown in that row
// alone, as [Problem.Extra] takes it.
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

// Extra returns the value of one more unknown without prior, whose derivatives
// are the column, one number for each row, and its standard error. With it the
// sum of squares is less by the square of their ratio. ok is false where the
// rows do not tell it from the unknowns there are.
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

// weigh adds to work the weighted product of the derivatives of row k with c,
// and returns those of c with itself and with what is left of the row.
func (p *Problem) weigh(k int, c float64) (square, product float64) {
	e, sd := p.residual(k)
	w := c / (sd * sd)
	for i, v := range p.row(k) {
		p.work[i] += float64(w * v)
	}
	return w * c, w * e
}

// extra solves for an unknown more, of which work holds the products with the
// derivatives.
func (p *Problem) extra(cc, ce, least float64) (value, sd float64, ok bool) {
	left := 1 - p.Variance(p.work)/cc
	if !(cc > 0 && left > least) {
		return 0, 0, false
	}
	value, sd = ce/(cc*left), 1/math.Sqrt(cc*left)
	return value, sd, finite(value) && finite(sd)
}

// Detectable returns the least mistake in the observation k that goes noticed,
// if a mistake of so many standard deviations of what Drop returns does. It is
// infinite where no other observation checks this one.
func (p *Problem) Detectable(k int, sigmas float64) float64 {
	_, sd, ok := p.Drop(k)
	if !ok {
		return math.Inf(1)
	}
	return sigmas * sd
}

// Move writes into moved how far each unknown moves if the observation k is
// greater by the amount. With [Problem.Detectable] for the amount it is the
// external reliability: what a mistake does that just goes unnoticed. With
// less what [Problem.Drop] returns it is what leaving the observation out does.
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
