package weigh

import (
	"cmp"
	"context"
	"math"
	"slices"

	"example.com/steelyard/internal/fit"
	"example.com/steelyard/units"
)

// Machine is what a [Record] says of a machine: one estimate of everything, with
// the errors of all of it and how they hang together. It is immutable and safe for
// many goroutines.
type Machine struct {
	// Doubts are those about every answer: readings that contradict each other, or no
	// machine that fits them.
	Doubts Doubts `json:"doubts"`
	// Suspects are the readings that cannot be right, the most suspect first.
	Suspects []Suspect `json:"suspects"`
	// Residuals are the readings against what the estimate makes of them, in the
	// order of the record. They are empty if there is no estimate.
	Residuals []Residual `json:"residuals"`
	// Steps is how many steps the estimate took.
	Steps int `json:"steps"`
	// Cautions go with the readings.
	Cautions Cautions `json:"cautions"`

	e     *estimator
	at    []float64 // the estimate
	cov   []float64
	prior []float64 // variance of each prior that speaks of the machine; zero elsewhere
	hide  []float64 // for each reading, the change of every unknown by the largest mistake that is not noticed
	level float64
}

// Amount is the value of a reading; the field that is not zero says what it is of.
type Amount struct {
	// Mass is that of a scale or of a label.
	Mass units.Mass `json:"mass,omitempty"`
	// Length is that of a tape.
	Length units.Length `json:"length,omitempty"`
	// Angle is that of a level.
	Angle units.Angle `json:"angle,omitempty"`
	// Pressure is that of a gauge.
	Pressure units.GaugePressure `json:"pressure,omitempty"`
}

// Residual is one reading against the estimate.
type Residual struct {
	// Path is its place in the record.
	Path string `json:"path"`
	// Read is the reading.
	Read Amount `json:"read"`
	// Fitted is what the estimate makes of it.
	Fitted Amount `json:"fitted"`
	// WouldBe is what all other readings make of it.
	WouldBe Amount `json:"wouldBe"`
	// Sigmas is the difference between Read and WouldBe in its standard deviations,
	// positive if too much was read. It is zero if nothing else speaks of it.
	Sigmas float64 `json:"sigmas"`
	// Unnoticed is the largest mistake of this reading that would go unnoticed in one
	// case of five, as a share of its Read and at most 10; zero if none would be noticed.
	Unnoticed units.Fraction `json:"unnoticed,omitempty"`
	// Dropped says that the estimate does without it.
	Dropped bool `json:"dropped,omitempty"`
}

const (
	// suspicious is the least difference of a reading from all others, in its
	// standard deviations, that is no chance.
	suspicious = 3.4
	// power is what makes a difference of a mean of suspicious sigmas more be noticed in
	// four cases of five: the quantile of the normal distribution at 0.8.
	power = 0.8416
	// drops is how many readings the estimate may do without.
	drops = 2
	// undecided is how much less another reading may explain, in the sum of squares, to
	// be as likely the wrong one.
	undecided = 5
	// widest is the greatest half width of an answer that may be used, and the greatest
	// mistake that may go unnoticed, as a share of it.
	widest = 0.2
	// mostUnnoticed is the greatest share that is stated of a mistake that nobody notices.
	mostUnnoticed = 10
	// decided is the half width below which it does not matter whether ranges of
	// practice decide an answer.
	decided = 0.05
)

// Fit estimates the machine from all readings at once, by weighted least squares.
//
// The unknowns are masses, centers of gravity, lengths, the geometry of the lift
// cylinders, relief pressure and friction, the true test loads, and what is common
// to many readings: the gains of scale and gauge, the slope of the yard and the give
// of the tires. What nobody read has a range of practice as prior. Each reading
// counts by its standard deviation; the covariance is that of the curvature at the
// estimate.
//
// A reading that differs from what all others make of it by more than 3.4 standard
// deviations cannot be right. First it is tried whether axles or rows were swapped,
// pounds and kilograms were mixed, a tare was forgotten, or the loads sat elsewhere;
// if one of these explains it, that is named and no answer is stated until the
// record is put right. Where single tapes of the machine are as suspect as the place of
// all loads, all of them are named. Otherwise the estimate does without the reading, and without
// a second one at most. If that is not enough, or if two readings are equally
// suspect, no answer is stated.
//
// The error is that of [Record.Validate]; readings that fit nothing are no error but
// a doubt. A Machine that no fit has made answers nothing but an error. Readings of which
// some cannot be right take many fits, some hundred milliseconds for a hundred readings: once
// the context is done there is no machine, and the error wraps ctx.Err(). A nil context
// never ends.
func (r Record) Fit(ctx context.Context) (*Machine, error) {
	if err := r.Validate(); err != nil {
		return nil, err
	}
	r = r.clone()
	m := &Machine{e: new(estimator), level: confidence(r.Confidence), Cautions: weighCautions | CautionNoTippingTest}
	m.e.prepare(&r)
	m.e.ctx = ctx
	for _, w := range r.Weights {
		if w.Raised != 0 {
			m.Cautions |= CautionLift
		}
		if len(w.Loads) > 0 {
			m.Cautions |= CautionJustOffGround
		}
	}
	if len(r.Pressures) > 0 {
		m.Cautions |= CautionPressure
	}
	fitted := m.solve()
	if err := m.e.ended; err != nil {
		return nil, err
	}
	m.e.ctx = nil // the machine answers for longer
	if fitted {
		m.keep()
		m.hold()
	}
	return m, nil
}

// hold cautions where a load of the record is more than DefaultShare of the lower
// bound of its tipping load.
func (m *Machine) hold() {
	for _, w := range m.e.r.Weights {
		var load, moment float64
		for _, n := range w.Loads {
			mass := m.at[m.e.unLoad(m.e.r.load(n))]
			load += mass
			moment += mass * m.at[m.e.unLoad(m.e.r.place(n))+1]
		}
		if load <= 0 {
			continue
		}
		// Also without a stated answer this one is asked for: it is the cautious side.
		doubts := m.Doubts
		m.Doubts = 0
		a, err := m.Ask(Question{Kind: AskTippingLoad, Pin: w.Pin, Ahead: units.Length(moment / load), Without: w.Without})
		m.Doubts = doubts
		if err == nil && load > float64(DefaultShare)*float64(a.Mass.Interval.Low) {
			m.Cautions |= CautionBeyondShare
		}
	}
}

// solve fits, and names or drops what cannot be right. It reports whether there is an
// estimate.
func (m *Machine) solve() (fitted bool) {
	e := m.e
	for round := 0; ; round++ {
		ok := e.fit()
		m.Steps = e.p.Steps()
		if round == 0 {
			if s, found := e.hypothesis(ok); found {
				m.Doubts |= DoubtInconsistent
				m.Suspects = s
				return ok || e.fit()
			}
		}
		if !ok {
			m.Doubts |= DoubtNotConverged
			return false
		}
		worst, next := e.worst()
		if worst.row < 0 {
			if unlikely(&e.p) {
				m.Doubts |= DoubtInconsistent
			}
			return true
		}
		s := e.suspect(worst)
		if next.row >= 0 && next.sigmas*next.sigmas > worst.sigmas*worst.sigmas-undecided {
			dropped := len(m.Suspects)
			m.Suspects = append(m.Suspects, s, e.suspect(next))
			for _, s := range e.common() {
				if s.Sigmas*s.Sigmas > worst.sigmas*worst.sigmas-undecided {
					m.Suspects = append(m.Suspects, s)
				}
			}
			slices.SortStableFunc(m.Suspects[dropped:], func(a, b Suspect) int { return cmp.Compare(b.Sigmas, a.Sigmas) })
			m.Doubts |= DoubtInconsistent
			return true
		}
		if round == drops {
			m.Suspects = append(m.Suspects, s)
			m.Doubts |= DoubtInconsistent
			return true
		}
		s.Dropped = true
		m.Suspects = append(m.Suspects, s)
		e.drop(worst)
		e.restart()
	}
}

// keep takes over what the answers need from the fit.
func (m *Machine) keep() {
	e, n := m.e, m.e.n
	p := &e.p
	m.at, m.cov, m.prior = make([]float64, n), make([]float64, n*n), make([]float64, n)
	m.hide = make([]float64, n*len(e.rows))
	for i := range n {
		m.at[i] = p.Estimate(i)
		for j := range n {
			m.cov[i*n+j] = p.Covariance(i, j)
		}
		if i < unGain || i == int(e.m.side) {
			m.prior[i] = e.dev[i] * e.dev[i]
		}
	}
	e.m.reset(m.at)
	m.Residuals = make([]Residual, len(e.rows))
	for k := range e.rows {
		w := &e.rows[k]
		fitted := e.m.At(e.modelled(w))
		e.m.Cut(e.m.common)
		r := Residual{Path: e.path(k), Read: e.amount(w, w.value), Fitted: e.amount(w, fitted), Dropped: w.dropped}
		r.WouldBe = r.Fitted
		if off, sd, ok := p.Drop(k); ok {
			r.WouldBe, r.Sigmas = e.amount(w, w.value-off), off/sd
			if w.dropped { // its error was made great: state the difference by its own
				r.Sigmas = off / math.Hypot(w.sd, math.Sqrt(math.Max(sd*sd-math.Pow(w.sd*aside, 2), 0)))
			} else {
				hidden := p.Detectable(k, suspicious+power)
				if w.value != 0 {
					r.Unnoticed = units.Fraction(math.Min(math.Abs(hidden/w.value), mostUnnoticed))
				}
				p.Move(k, hidden, m.hide[k*n:(k+1)*n])
			}
		} else if !w.dropped { // nothing else speaks of it: a mistake of all of it
			p.Move(k, math.Abs(w.value), m.hide[k*n:(k+1)*n])
		}
		m.Residuals[k] = r
	}
}

// amount returns a value of the kind that a reading has.
func (e *estimator) amount(w *row, v float64) Amount {
	switch w.kind {
	case rowTape, rowPieceX:
		return Amount{Length: units.Length(v)}
	case rowRaised:
		return Amount{Angle: units.Angle(v)}
	case rowPressure:
		return Amount{Pressure: units.GaugePressure(v * 1e6)}
	case rowFigure:
		if e.r.Figures[w.i].Kind == FigureRelief {
			return Amount{Pressure: units.GaugePressure(v * 1e6)}
		}
	}
	return Amount{Mass: units.Mass(v)}
}

// Answer is the answer to a [Question].
type Answer struct {
	// Mass is a load or a mass, Slope a slope limit and Length the place of the center
	// of gravity, whichever was asked for. All are zero if no answer is stated.
	Mass Estimate[units.Mass] `json:"mass,omitzero"`
	// Slope is a slope limit; see Mass.
	Slope Estimate[units.Slope] `json:"slope,omitzero"`
	// Length is the place of the center of gravity; see Mass.
	Length Estimate[units.Length] `json:"length,omitzero"`
	// HalfWidth is half of the interval, as a share of the answer.
	HalfWidth units.Fraction `json:"halfWidth"`
	// Unnoticed is the external reliability: how far the largest mistake in one
	// reading that would go unnoticed in one case of five moves the answer, as a share
	// of it. The interval says nothing of mistakes. It is at most 10.
	Unnoticed units.Fraction `json:"unnoticed"`
	// Mistake is the path of the reading whose mistake that would be.
	Mistake string `json:"mistake,omitempty"`
	// Doubts say why the answer is not to be relied on. No answer is stated if the
	// readings contradict each other.
	Doubts Doubts `json:"doubts"`
	// Cautions go with the answer.
	Cautions Cautions `json:"cautions"`
	// Library is the version of the library that made the answer; see [units.Version].
	Library string `json:"library"`
}

// Ask answers a question. The interval holds the true value with the probability of
// the record's confidence if all stated standard deviations and ranges of practice
// are true. A load below zero says that it happens without any. An error names what of
// the question this machine cannot answer.
func (m *Machine) Ask(q Question) (Answer, error) {
	if err := m.e.check(&q); err != nil {
		return Answer{}, err
	}
	a := Answer{Library: units.Version, Doubts: m.Doubts, Cautions: m.cautions(&q)}
	if m.Doubts&withheld != 0 {
		return a, nil
	}
	g := make([]float64, m.e.n)
	v, err := m.value(&q, g)
	if err != nil {
		return Answer{}, err
	}
	sd := math.Sqrt(quadratic(m.cov, g))
	if !(math.Abs(v) > 1e-9) || math.IsInf(v, 0) || math.IsNaN(sd) {
		a.Doubts |= DoubtWide
		return a, nil
	}
	switch q.Kind {
	case AskSlopeLimit:
		a.Slope = estimate[units.Slope](v, sd, m.level)
	case AskCGX, AskCGHeight, AskCGY:
		a.Length = estimate[units.Length](v, sd, m.level)
	default:
		a.Mass = estimate[units.Mass](v, sd, m.level)
	}
	a.HalfWidth = units.Fraction(fit.NormalQuantile(m.level) * sd / math.Abs(v))
	worst, k := m.unnoticed(g)
	a.Unnoticed = units.Fraction(math.Min(worst/math.Abs(v), mostUnnoticed))
	if k >= 0 {
		a.Mistake = m.Residuals[k].Path
	}
	if a.HalfWidth > widest {
		a.Doubts |= DoubtWide
	}
	if a.Unnoticed > widest {
		a.Doubts |= DoubtUnchecked
	}
	if a.HalfWidth > decided && m.priors(g) > 0.5*sd*sd {
		a.Doubts |= DoubtPriors
	}
	return a, nil
}

// cautions returns those of an answer.
func (m *Machine) cautions(q *Question) Cautions {
	c := m.Cautions | weighCautions
	switch q.Kind {
	case AskSlopeLimit:
		c &^= CautionLevelGround
	case AskHold, AskSink:
		c |= CautionNoCapacity
	}
	return c
}

// value returns the answer to a question at the estimate, and its derivatives.
func (m *Machine) value(q *Question, g []float64) (float64, error) {
	c := m.calculation()
	y, err := c.ask(q)
	if err != nil {
		return 0, err
	}
	c.Gradient(y, g)
	return c.At(y), nil
}

// unnoticed returns the greatest change of a quantity by a mistake that is not
// noticed, and the reading whose it is; -1 if there is none.
func (m *Machine) unnoticed(g []float64) (worst float64, row int) {
	row = -1
	n := len(g)
	for k := range m.Residuals {
		var d float64
		for i, v := range m.hide[k*n : (k+1)*n] {
			if g[i] != 0 {
				d += float64(g[i] * v)
			}
		}
		if d = math.Abs(d); d > worst {
			worst, row = d, k
		}
	}
	return worst, row
}

// priors returns how much of the variance of a quantity comes from ranges of
// practice of the machine.
func (m *Machine) priors(g []float64) (v float64) {
	n := len(g)
	for i, w := range m.prior {
		if !(w > 0) || math.IsInf(w, 0) {
			continue
		}
		var c float64
		for j, d := range g {
			c += float64(m.cov[i*n+j] * d)
		}
		v += c * c / w
	}
	return v
}

// quadratic returns the variance of a quantity with this gradient.
func quadratic(cov, g []float64) float64 { return math.Max(bilinear(cov, g, g), 0) }

// bilinear returns the covariance of two quantities with these gradients.
func bilinear(cov, g, h []float64) (v float64) {
	n := len(g)
	for i, a := range g {
		if a == 0 {
			continue
		}
		for j, b := range h {
			v += float64(a * b * cov[i*n+j])
		}
	}
	return v
}
