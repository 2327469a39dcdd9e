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
