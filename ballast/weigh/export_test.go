package weigh

// Estimator fits records one after the other with the same memory.
type Estimator struct{ e estimator }

// Fit estimates a valid record and reports the steps, and whether there is an
// estimate.
func (e *Estimator) Fit(r *Record) (steps int, ok bool) {
	e.e.prepare(r)
	ok = e.e.fit()
	return e.e.p.Steps(), ok
}

// Modelled returns what each reading of a record would be at the given unknowns, in
// the order of the list of unknowns.
func (e *Estimator) Modelled(r *Record, at []float64) []float64 {
	e.e.prepare(r)
	e.e.m.reset(at)
	out := make([]float64, len(e.e.rows))
	for k := range e.e.rows {
		out[k] = e.e.m.At(e.e.modelled(&e.e.rows[k]))
		e.e.m.Cut(e.e.m.common)
	}
	return out
}

// Read returns the readings of a record in the same order and units.
func (e *Estimator) Read() []float64 {
	out := make([]float64, len(e.e.rows))
	for k, w := range e.e.rows {
		out[k] = w.value
	}
	return out
}

// AskAt returns the answer to a question at the given unknowns, a slope in radians.
func (e *Estimator) AskAt(r *Record, at []float64, q Question) (float64, error) {
	e.e.prepare(r)
	e.e.m.reset(at)
	y, err := e.e.m.ask(&q)
	if err != nil {
		return 0, err
	}
	return e.e.m.At(y), nil
}

// LogPosterior returns the logarithm of the density of the unknowns given the record
// that was fitted, but for a constant, and writes its slope.
func (e *Estimator) LogPosterior(at, slope []float64) float64 {
	var sum float64
	for i, sd := range e.e.dev {
		slope[i] = 0
		if sd > 0 {
			z := (at[i] - e.e.mean[i]) / sd
			sum += z * z
			slope[i] = -z / sd
		}
	}
	e.e.m.reset(at)
	g := make([]float64, len(at))
	for k := range e.e.rows {
		w := &e.e.rows[k]
		y := e.e.modelled(w)
		z := (w.value - e.e.m.At(y)) / w.sd
		sum += z * z
		e.e.m.Gradient(y, g)
		for i, d := range g {
			slope[i] += z / w.sd * d
		}
		e.e.m.Cut(e.e.m.common)
	}
	return -sum / 2
}

// Estimate returns the unknowns of the record that was fitted, and their covariance.
func (e *Estimator) Estimate() (at, cov []float64) {
	n := e.e.n
	for i := range n {
		at = append(at, e.e.p.Estimate(i))
		for j := range n {
			cov = append(cov, e.e.p.Covariance(i, j))
		}
	}
	return at, cov
}

// Answer returns the answer to a question at any unknowns.
func (e *Estimator) Answer(at []float64, q Question) (float64, error) {
	e.e.m.reset(at)
	y, err := e.e.m.ask(&q)
	if err != nil {
		return 0, err
	}
	return e.e.m.At(y), nil
}

// Effort returns what a proposal's gain is divided by.
func (p *Proposal) Effort() float64 { return p.effort }
