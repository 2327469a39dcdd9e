package weigh

import (
	"math"
	"slices"

	"example.com/steelyard/internal/fit"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Thresholds of the checks. A check that is one of many raises its alarm
// beyond 3.5 standard deviations (1 in 2000 by chance), the sum of squares
// beyond 1 in 2000.
const (
	alarm   = 3.5
	omnibus = 5e-4
	// plausible is the probability down to which an explanation of odd
	// readings counts as one.
	plausible = 1e-3
)

// Rules of a weighing session.
const (
	// LeastLoads is how many different loads a tipping load must rest on, the
	// empty attachment among them.
	LeastLoads = 4
	// MaxReadings is how many readings a Session takes.
	MaxReadings = 100
	// DefaultShare is the share of the lower bound that no load goes beyond,
	// where none is stated.
	DefaultShare units.Fraction = 0.3
	// MaxShare is the greatest share that may be stated.
	MaxShare units.Fraction = 0.5
	// closeSlope is the standard error of the free slope, as a share of the
	// slope, above which the loads are too close together. At 3 %, a reach
	// that is wrong by 13 % raises the alarm in 8 sessions of 10.
	closeSlope = 0.03
	// smallLoads is the share of the tipping load that the largest load must
	// reach.
	smallLoads = 0.1
	// wideInterval is the half width, as a share of the estimate, beyond
	// which no tipping load is stated.
	wideInterval = 0.2
)

// LoadReading is what scales read with one load on the attachment, just off the
// ground.
type LoadReading struct {
	// Load is the mass of the load, bin and pallet included, 1 kg to 100 t;
	// zero is the empty attachment.
	Load units.Mass `json:"load"`
	// Rear is the reading under both rear wheels, 1 kg to 100 t. Must be
	// given.
	Rear units.Mass `json:"rear"`
	// Front is the reading under both front wheels, 1 kg to 100 t; zero means
	// not read. It is not needed for the answer and makes mistakes easier to
	// name.
	Front units.Mass `json:"front,omitempty"`
}

// Session is a weighing session: the same machine on the same scales with
// several light loads, each lifted to the same height just off the ground,
// arms and attachment otherwise alike. The attachment is part of the machine
// here: its reading without load is the empty reading.
type Session struct {
	// Wheelbase is the distance between the contact lines, by tape: Value 0.5
	// to 10 m, SD at most a quarter of it.
	Wheelbase Measured[units.Length] `json:"wheelbase"`
	// Ahead is how far the load's center is ahead of the front axle while the
	// readings are taken, by tape: Value 0.1 to 10 m, SD at most a quarter of
	// it.
	Ahead Measured[units.Length] `json:"ahead"`
	// Scale is the scale under the rear wheels.
	Scale Scale `json:"scale"`
	// LoadSD is how well each load's mass is known, one standard deviation,
	// 1 g to 500 kg. Zero means not stated: each load is then taken to be as
	// uncertain as one reading of the scale.
	LoadSD units.Mass `json:"loadSD,omitempty"`
	// Readings are the readings in the order taken, 1 to MaxReadings.
	Readings []LoadReading `json:"readings"`
	// Confidence is the probability of the interval, 0.5 to 0.999; zero means
	// DefaultConfidence.
	Confidence float64 `json:"confidence,omitempty"`
	// Share is the share of the interval's lower end that the next load may
	// be, 0.01 to MaxShare; zero means DefaultShare.
	Share units.Fraction `json:"share,omitempty"`
	// LargestLoad is what the loader may lift by its manual and ratings, 1 kg
	// to 100 t. Zero means not given: no limit but Share is then kept.
	LargestLoad units.Mass `json:"largestLoad,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (s Session) Validate() error {
	var c units.FieldErrors
	s.validate(&c)
	if n := len(s.Readings); n < 1 || n > MaxReadings {
		c.Add("readings", n, "must be 1 to 100 readings")
	}
	for i, r := range s.Readings {
		if i >= MaxReadings {
			break
		}
		p := units.Index("readings", i)
		valid.ZeroOr(&c, p+".load", r.Load, 1, valid.MaxMass)
		valid.Within(&c, p+".rear", r.Rear, valid.MinMass, valid.MaxMass)
		valid.ZeroOr(&c, p+".front", r.Front, valid.MinMass, valid.MaxMass)
	}
	return c.Err()
}

func (s Session) validate(c *units.FieldErrors) {
	measured(c, "wheelbase", s.Wheelbase, valid.MinWheelbase, valid.MaxWheelbase)
	measured(c, "ahead", s.Ahead, 0.1, valid.MaxWheelbase)
	if s.Ahead.SD > s.Ahead.Value/4 {
		c.Add("ahead.sd", valid.Show(s.Ahead.SD), "must be at most a quarter of ahead.value")
	}
	if s.Wheelbase.SD > s.Wheelbase.Value/4 {
		c.Add("wheelbase.sd", valid.Show(s.Wheelbase.SD), "must be at most a quarter of wheelbase.value")
	}
	c.Join("scale", s.Scale.Validate())
	valid.ZeroOr(c, "loadSD", s.LoadSD, 1e-3, 500)
	checkConfidence(c, "confidence", s.Confidence)
	valid.ZeroOr(c, "share", s.Share, 0.01, MaxShare)
	valid.ZeroOr(c, "largestLoad", s.LargestLoad, 1, valid.MaxMass)
}

// RearLeftWheel returns the session of the left rear wheel alone, for readings
// in which Rear is what the scale under that wheel showed. Its Predict then
// answers at which load that wheel would lift; the lesser of the two wheels is
// the load at which the machine tips.
//
// track is the rear track, sideways how far the load's center is left of the
// middle (negative: right), with how well that is known; a load meant to hang
// in the middle has the value 0 and the SD of a careful eye. On a machine whose
// front axle swings on a free pin, or with a single front wheel, the rear
// wheels alone resist roll, and a load m takes from the left one m (A/(2 L) -
// y/T), from the right one m (A/(2 L) + y/T). The session returned says that
// by its Ahead: L times this, A/2 - y L/T. Do not use it for a rigid front
// axle.
func (s Session) RearLeftWheel(track, sideways Measured[units.Length]) (Session, error) {
	return s.rearWheel(track, sideways, -1)
}

// RearRightWheel is [Session.RearLeftWheel] for the right rear wheel;
// sideways is positive to the left here too.
func (s Session) RearRightWheel(track, sideways Measured[units.Length]) (Session, error) {
	return s.rearWheel(track, sideways, 1)
}

func (s Session) rearWheel(track, sideways Measured[units.Length], side float64) (Session, error) {
	var c units.FieldErrors
	if err := s.Validate(); err != nil {
		c.Join("", err)
	}
	measured(&c, "track", track, valid.MinTrack, valid.MaxTrack)
	measured(&c, "sideways", sideways, -valid.MaxSideway, valid.MaxSideway)
	l, a, t, y := float64(s.Wheelbase.Value), float64(s.Ahead.Value), float64(track.Value), float64(sideways.Value)
	ahead := a/2 + side*y*l/t
	if c.Len() == 0 && !(ahead >= 0.1) {
		c.Add("sideways.value", valid.Show(sideways.Value), "must be nearer the middle: this wheel would hardly lift")
	}
	if err := c.Err(); err != nil {
		return Session{}, err
	}
	// The wheelbase moves A/2 - y L/T as well, by next to nothing.
	da, dy, dt := float64(s.Ahead.SD)/2, float64(sideways.SD)*l/t, y*l/t*float64(track.SD)/t
	s.Ahead = Measured[units.Length]{units.Length(ahead), units.Length(math.Sqrt(da*da + dy*dy + dt*dt))}
	s.Readings = slices.Clone(s.Readings)
	for i := range s.Readings {
		s.Readings[i].Front = 0
	}
	return s, s.Validate()
}

// LoadEstimate is a tipping load by one way of reckoning.
type LoadEstimate struct {
	// Known is false where this way gives nothing, for want of readings.
	Known bool `json:"known"`
	// Load is the estimate, and SD its standard error.
	Load units.Mass `json:"load"`
	SD   units.Mass `json:"sd"`
	// Bounded is false if the interval has no end; Interval is then zero.
	Bounded bool `json:"bounded"`
	// Interval holds the true tipping load with its probability.
	Interval units.Interval[units.Mass] `json:"interval"`
}

// Prediction is what a session says about the load that would lift the rear
// wheels on firm level ground, at the height of the readings.
type Prediction struct {
	// TippingLoad is the estimate; zero if it is refused.
	TippingLoad units.Mass `json:"tippingLoad"`
	// Interval holds the true tipping load with its probability; zero if it
	// is refused.
	Interval units.Interval[units.Mass] `json:"interval"`
	// Refusals says why no tipping load is stated; zero if one is.
	Refusals Refusals `json:"refusals"`
	// Findings are what is odd about the readings, the likeliest first.
	Findings []Finding `json:"findings,omitempty"`
	// Next says which reading to take next.
	Next NextReading `json:"next"`
	// Main is the estimate with the tape's geometry as prior, before any
	// refusal. It is for choosing loads and for finding mistakes; what may be
	// shown as an answer is TippingLoad.
	Main LoadEstimate `json:"main"`
	// Free is the cross-check that knows no geometry: the free straight line
	// with inverse prediction, before any refusal.
	Free LoadEstimate `json:"free"`
	// RearEmpty, Ahead and Wheelbase are the fitted empty rear axle load and
	// the geometry as the readings correct it.
	RearEmpty Estimate[units.Mass]   `json:"rearEmpty"`
	Ahead     Estimate[units.Length] `json:"ahead"`
	Wheelbase Estimate[units.Length] `json:"wheelbase"`
	// Residuals are, for each reading, rear reading less fitted line.
	Residuals []units.Mass `json:"residuals"`
	// Notes says how the answer was reached.
	Notes Notes `json:"notes"`
	// Cautions go with the answer.
	Cautions Cautions `json:"cautions"`

	confidence float64
	fit        [3]float64    // rear empty, ahead, wheelbase
	cov        [3][3]float64 // their covariance
}

// Unknowns of the main estimator.
const (
	fitRear  = iota // rear axle load with the attachment empty, R0
	fitAhead        // the load's distance ahead of the front axle, A
	fitBase         // wheelbase, L
	fitZero         // the scale's zero error, z
	fitGain         // the scale's gain error, g
	fitUnknowns
)

// sessionFit is one session as a model to be fitted, and its fit.
type sessionFit struct {
	load, rear []float64
	sd         []float64 // of each rear reading, load error included
	slope      float64   // A/L by the tape
	at         []float64 // the unknowns where the fit is, at first where it starts
	p          fit.Problem
}

// newFit states the statistical model. Held by TestPredictAgainstReference.
//
//	rear_i = (1 + g)(R0 - (A/L) m_i) + z + e_i
//
// R0 is what is asked for and has no prior. Ahead A and wheelbase L have the
// tape's reading as prior: they are nuisances that the readings may correct.
// Zero z and gain g have the prior 0 with the scale's ZeroSD and GainSD; they
// are common to all readings, which is why more readings do not average them
// away. e_i is the reading's own error, and the error of the load's mass,
// which moves the reading by A/L times itself, is added to its variance.
// Assumed: errors normal and independent but for z and g; the reach the same
// in all readings; level firm ground; nothing but the load changes.
func (s *Session) newFit() *sessionFit {
	n := len(s.Readings)
	f := &sessionFit{load: make([]float64, n), rear: make([]float64, n), sd: make([]float64, n), slope: s.slope()}
	f.p.Reset(fitUnknowns)
	prior(&f.p, fitAhead, s.Ahead)
	prior(&f.p, fitBase, s.Wheelbase)
	s.Scale.errors(&f.p, fitZero, fitGain)
	guess := make([]float64, n)
	for i, r := range s.Readings {
		f.load[i], f.rear[i] = float64(r.Load), float64(r.Rear)
		f.sd[i] = s.rowSD(r.Load)
		guess[i] = f.rear[i] + f.slope*f.load[i]
	}
	// Start from the median, which one wrong row does not move far.
	slices.Sort(guess)
	f.p.Start(fitRear, guess[n/2])
	f.at = f.p.At()
	f.Linearize(f.at, &f.p)
	return f
}

// slope returns by how much less the rear axle carries for a unit of load, by
// the tape.
func (s *Session) slope() float64 { return float64(s.Ahead.Value) / float64(s.Wheelbase.Value) }

// rowSD returns the standard deviation of a rear reading under a load, that of
// the load's mass included.
func (s *Session) rowSD(load units.Mass) float64 {
	if load == 0 {
		return s.Scale.reading()
	}
	return math.Hypot(s.Scale.reading(), s.slope()*s.Scale.loadSD(s.LoadSD))
}

// Linearize states the rear readings. The model holds while the load is ahead
// of the front axle and that axle ahead of the rear one.
func (f *sessionFit) Linearize(at []float64, p *fit.Problem) bool {
	a, l, g := at[fitAhead], at[fitBase], 1+at[fitGain]
	for i, m := range f.load {
		line := at[fitRear] - a/l*m
		row := p.Row(f.rear[i]-(g*line+at[fitZero]), f.sd[i])
		row[fitRear], row[fitAhead], row[fitBase], row[fitZero], row[fitGain] = g, -g*m/l, g*a/l*m/l, 1, line
	}
	return a > 0 && l > 0
}

// geometry returns rear axle load, ahead and wheelbase as fitted, and their
// covariance.
func (f *sessionFit) geometry() (p [3]float64, cov [3][3]float64) {
	for i := range p {
		p[i] = f.p.Estimate(i)
		for j := range p {
			cov[i][j] = f.p.Covariance(i, j)
		}
	}
	return p, cov
}

// tipping returns the load M for which R0 L - A M = 0, the balance about the
// front axle, with its interval: the set of M for which that moment is within
// z standard errors of zero. That is Fieller's construction with a known
// covariance; it is exact where the moment is normal, keeps the skew of a
// ratio, and says by itself when there is no upper end.
func tipping(p [3]float64, cov [3][3]float64, level float64) LoadEstimate {
	r, a, l := p[0], p[1], p[2]
	// The gradient of the moment with respect to r, a, l is (l, -M, r).
	ratio := fit.Ratio{
		Over: r * l, Under: a,
		OverVar: l*l*cov[0][0] + r*r*cov[2][2] + 2*l*r*cov[0][2], UnderVar: cov[1][1],
		Common: l*cov[0][1] + r*cov[1][2],
	}
	return loadEstimate(level)(ratio.Interval(fit.NormalQuantile(level)))
}

// loadEstimate returns the estimate of this level from a ratio's interval.
func loadEstimate(level float64) func(load, sd, low, high float64, bounded bool) LoadEstimate {
	return func(load, sd, low, high float64, bounded bool) LoadEstimate {
		out := LoadEstimate{Known: true, Load: units.Mass(load), SD: units.Mass(sd), Bounded: bounded}
		if bounded {
			out.Interval = units.Interval[units.Mass]{Low: units.Mass(low), High: units.Mass(high), Level: level}
		}
		return out
	}
}

// freeLine is the estimator without geometry: ordinary least squares on rear
// reading against load, with Student's t on n - 2 degrees of freedom and the
// spread taken from the readings themselves.
func freeLine(load, rear []float64, level float64) LoadEstimate {
	line, ok := fit.FitLine(load, rear)
	if !ok || line.N < 3 || !(line.Slope < 0) {
		return LoadEstimate{}
	}
	return loadEstimate(level)(line.Inverse(0, fit.StudentQuantile(level, line.N-2)))
}

// Predict returns the tipping load that the session's readings support, or
// why none can be stated, and which reading to take next.
//
// On level ground at fixed height and reach the rear axle load falls in a
// straight line with the load m: R0 - (A/L) m, and the rear wheels would lift
// at R0 L/A. The main estimator (see the fields Main and TippingLoad) takes
// that line with the tape's A and L as priors and the scale's own standard
// deviation; the free line with inverse prediction is its cross-check. The
// answer is refused when a row, a unit, the scale, a tare, a drift, a bend or
// the geometry contradicts the rest, and when the readings are too few, too
// small, too close or too uncertain to have noticed.
//
// No reading comes near tipping: every load that Next names is at most Share
// of the lower end of the interval, and of LargestLoad.
func (s Session) Predict() (Prediction, error) {
	if err := s.Validate(); err != nil {
		return Prediction{}, err
	}
	level := confidence(s.Confidence)
	out := Prediction{confidence: level, Cautions: weighCautions | CautionNoTippingTest | CautionJustOffGround}
	if s.LoadSD == 0 {
		out.Notes |= NoteLoadSDAssumed
	}
	if s.Scale.ZeroSD == 0 || s.Scale.GainSD == 0 || s.Scale.Division == 0 {
		out.Notes |= NoteScaleTrusted
	}
	f := s.newFit()
	out.Findings = s.diagnose(f)
	for _, d := range out.Findings {
		out.Refusals |= d.Cause.refusal()
	}
	if !f.p.Fit(f) {
		// Only data that contradict each other beyond any fit come here.
		out.Refusals |= RefusedScatter
		return out, nil
	}
	if !f.p.Converged() && out.Refusals == 0 {
		out.Refusals |= RefusedScatter
	}
	out.fit, out.cov = f.geometry()
	out.Main = tipping(out.fit, out.cov, level)
	out.Free = freeLine(f.load, f.rear, level)
	out.RearEmpty = estimated[units.Mass](&f.p, fitRear, level)
	out.Ahead = estimated[units.Length](&f.p, fitAhead, level)
	out.Wheelbase = estimated[units.Length](&f.p, fitBase, level)
	out.Residuals = residuals(&f.p)
	out.Refusals |= s.design(f.load, out.Main)
	if out.Refusals == 0 {
		out.TippingLoad, out.Interval = out.Main.Load, out.Main.Interval
	}
	out.Next = s.next(out.Refusals, out.Main)
	if low := out.Main.Interval.Low; slices.Max(f.load) > float64(s.share())*float64(low)*1.02 {
		out.Cautions |= CautionBeyondShare
	}
	return out, nil
}

// RearAt returns the rear axle load that the fitted line gives for a load, with
// its interval; negative beyond the tipping load. It is zero for a prediction
// that has no fit, and for a load that is not from -100 to 100 t.
func (p Prediction) RearAt(load units.Mass) Estimate[units.Mass] {
	if p.confidence == 0 || !p.Main.Known || !(load >= -valid.MaxMass && load <= valid.MaxMass) {
		return Estimate[units.Mass]{}
	}
	m, r, a, l := float64(load), p.fit[fitRear], p.fit[fitAhead], p.fit[fitBase]
	d := [3]float64{1, -m / l, a * m / (l * l)}
	var v float64
	for i := range d {
		for j := range d {
			v += d[i] * d[j] * p.cov[i][j]
		}
	}
	return estimate[units.Mass](r-a/l*m, math.Sqrt(math.Max(v, 0)), p.confidence)
}

// design returns the refusals that come from which loads were read and from
// how wide the answer is, whatever the readings say.
func (s *Session) design(load []float64, main LoadEstimate) Refusals {
	var r Refusals
	if different(load) < LeastLoads {
		r |= RefusedFewLoads
	}
	if slices.Min(load) > 0 {
		r |= RefusedNoEmpty
	}
	if !(slices.Max(load) >= smallLoads*float64(main.Load)) {
		r |= RefusedSmallLoads
	}
	if !(s.slopeError(load) <= closeSlope) {
		r |= RefusedCloseLoads
	}
	if main.wide() {
		r |= RefusedWide
	}
	return r
}

// wide reports whether the estimate is too uncertain to be stated.
func (e LoadEstimate) wide() bool {
	half := (e.Interval.High - e.Interval.Low) / 2
	return !e.Bounded || !(half <= wideInterval*e.Load)
}

// slopeError returns the standard error that the slope of a free line through
// these loads has with this scale, as a share of the slope; infinite for
// fewer than two different loads.
func (s *Session) slopeError(load []float64) float64 {
	line, ok := fit.FitLine(load, load)
	if !ok {
		return math.Inf(1)
	}
	return s.rowSD(1) / math.Sqrt(line.Sxx) / s.slope() // any load's
}

// different returns how many different loads there are; loads within 1 % of
// the largest count as one.
func different(load []float64) int {
	v := slices.Clone(load)
	slices.Sort(v)
	tol := 0.01 * v[len(v)-1]
	n, last := 1, v[0]
	for _, m := range v[1:] {
		if m-last > tol {
			n, last = n+1, m
		}
	}
	return n
}

// share returns the share of the lower bound that no load goes beyond.
func (s *Session) share() units.Fraction {
	if s.Share == 0 {
		return DefaultShare
	}
	return s.Share
}

// NextKind says what to do next in a weighing session. In JSON: "stop",
// "empty", "load", "repeatEmpty" or "done".
type NextKind uint8

// What to do next.
const (
	// NextStop: do not load further; the readings contradict themselves or
	// the geometry, or nothing safe is left to try. Find out why first.
	NextStop NextKind = iota
	// NextEmpty: read the scale with the attachment empty.
	NextEmpty
	// NextLoad: read the scale with the load that Next names.
	NextLoad
	// NextRepeatEmpty: read the scale with the attachment empty once more,
	// against drift.
	NextRepeatEmpty
	// NextDone: nothing more is needed.
	NextDone
)

var nextNames = []string{"stop", "empty", "load", "repeatEmpty", "done"}

// NextReading is the advice for the next reading of a session.
type NextReading struct {
	// Kind is what to do.
	Kind NextKind `json:"kind"`
	// Load is the most that the next load may be, rounded down to whole
	// kilograms; zero unless Kind is NextLoad. A lighter one is as good where
	// none is at hand.
	Load units.Mass `json:"load,omitempty"`
	// Limit is Share of the lower end of the interval, or LargestLoad if that
	// is less: no load of the session goes beyond it.
	Limit units.Mass `json:"limit,omitempty"`
}

// next chooses the next reading: empty first, then loads in four equal steps
// up to the limit, which follows the lower bound as it becomes known; then
// empty again. Where the scale is too coarse for loads that far apart, the two
// ends are read again, up to a dozen readings in all.
func (s *Session) next(refused Refusals, main LoadEstimate) NextReading {
	var out NextReading
	if refused&RefusedData != 0 || !(main.Interval.Low > 0) {
		return out
	}
	limit := float64(s.share()) * float64(main.Interval.Low)
	if s.LargestLoad > 0 {
		limit = math.Min(limit, float64(s.LargestLoad))
	}
	out.Limit = units.Mass(math.Floor(limit))
	largest, empty := 0.0, false
	for _, r := range s.Readings {
		largest = math.Max(largest, float64(r.Load))
		empty = empty || r.Load == 0
	}
	if !empty {
		out.Kind = NextEmpty
		return out
	}
	more := refused&(RefusedFewLoads|RefusedSmallLoads|RefusedCloseLoads) != 0
	step := float64(out.Limit) / 4
	if next := math.Floor(math.Min(largest+step, float64(out.Limit))); more && next >= largest+step/2 && next >= 1 {
		out.Kind, out.Load = NextLoad, units.Mass(next)
		return out
	}
	atEnd := s.Readings[len(s.Readings)-1].Load > 0
	switch {
	case refused == RefusedCloseLoads && len(s.Readings) < 12:
		// The loads may go no farther apart: read both ends again, in turn.
		if out.Kind, out.Load = NextLoad, units.Mass(math.Floor(math.Min(largest, limit))); atEnd {
			out.Kind, out.Load = NextRepeatEmpty, 0
		}
	case refused != 0:
		// More of the same would not help: better tape, better scale.
	case atEnd:
		out.Kind = NextRepeatEmpty
	default:
		out.Kind = NextDone
	}
	return out
}

// Outlook is what a session would buy, before anyone starts.
type Outlook struct {
	// Load is the tipping load that the given geometry and rear axle load
	// make; it is an assumption here and no answer.
	Load units.Mass `json:"load"`
	// Main is the half width of the main estimator's interval; zero if it
	// would be unbounded.
	Main units.Mass `json:"main"`
	// Free is the half width that the free line's interval has in half of
	// all such sessions; zero if it would be unbounded or for fewer than
	// three readings.
	Free units.Mass `json:"free"`
	// SlopeError is the standard error of the free slope as a share of it.
	SlopeError units.Fraction `json:"slopeError"`
	// Refusals are those that these loads earn however well the readings fit.
	Refusals Refusals `json:"refusals"`
	// Limit is the greatest load that the session would advise.
	Limit units.Mass `json:"limit"`
}

// Expect returns what a session with these loads would buy if the empty rear
// axle load were as given: from a brochure, or from a first empty reading.
// The session's readings are not looked at. A load beyond Limit is refused
// with an error: it is no part of a safe session.
func (s Session) Expect(rearEmpty units.Mass, loads ...units.Mass) (Outlook, error) {
	out, err := s.expect(rearEmpty, loads)
	if err != nil {
		return Outlook{}, err
	}
	for i, m := range loads {
		if m > out.Limit {
			return Outlook{}, &units.FieldError{Path: units.Index("loads", i), Value: valid.Show(m), Want: "must be at most the session's limit of " + valid.Show(out.Limit)}
		}
	}
	return out, nil
}

func (s Session) expect(rearEmpty units.Mass, loads []units.Mass) (Outlook, error) {
	var c units.FieldErrors
	s.validate(&c)
	valid.Within(&c, "rearEmpty", rearEmpty, 10, valid.MaxMass)
	if n := len(loads); n < 1 || n > MaxReadings {
		c.Add("loads", n, "must be 1 to 100 loads")
	}
	for i, m := range loads {
		if i < MaxReadings {
			valid.ZeroOr(&c, units.Index("loads", i), m, 1, valid.MaxMass)
		}
	}
	if err := c.Err(); err != nil {
		return Outlook{}, err
	}
	k := s.slope()
	level := confidence(s.Confidence)
	s.Readings = make([]LoadReading, len(loads))
	load := make([]float64, len(loads))
	for i, m := range loads {
		load[i] = float64(m)
		s.Readings[i] = LoadReading{Load: m, Rear: rearEmpty - units.Mass(k)*m}
	}
	f := s.newFit()
	if !f.p.Fit(f) {
		return Outlook{}, &units.FieldError{Path: "loads", Want: "must determine a tipping load"}
	}
	p, cov := f.geometry()
	main := tipping(p, cov, level)
	out := Outlook{Load: main.Load, Refusals: s.design(load, main)}
	if main.Bounded {
		out.Main = (main.Interval.High - main.Interval.Low) / 2
		s.Readings = s.Readings[:1]
		out.Limit = s.next(0, main).Limit
	}
	if e := s.slopeError(load); !math.IsInf(e, 0) {
		out.SlopeError = units.Fraction(e)
	}
	if line, ok := fit.FitLine(load, load); ok && line.N > 2 {
		df := line.N - 2
		line.Slope, line.Intercept = -k, float64(rearEmpty)
		line.Residual = s.slopeError(load) * k * math.Sqrt(line.Sxx) * math.Sqrt(fit.ChiSquareMedian(df)/float64(df))
		if _, _, low, high, bounded := line.Inverse(0, fit.StudentQuantile(level, df)); bounded {
			out.Free = units.Mass(high-low) / 2
		}
	}
	return out, nil
}

// SessionNeeds says what would bring a session's main interval to a wanted
// half width, each alone with all else as planned. Zero means that this alone
// cannot do it.
type SessionNeeds struct {
	// ScaleSD is the greatest standard deviation of a reading.
	ScaleSD units.Mass `json:"scaleSD"`
	// AheadSD is the greatest standard uncertainty of the load's distance.
	AheadSD units.Length `json:"aheadSD"`
	// WheelbaseSD is the greatest standard uncertainty of the wheelbase.
	WheelbaseSD units.Length `json:"wheelbaseSD"`
	// Repeats is how often the whole set of loads would have to be read, up
	// to MaxReadings in all.
	Repeats int `json:"repeats"`
}

// Needs returns what scale, what tape or how many repeats the session needs
// for the wanted half width of the main interval, if the empty rear axle load
// is as given. More repeats do not help against the tape's error; a better
// tape does.
func (s Session) Needs(rearEmpty, wanted units.Mass, loads ...units.Mass) (SessionNeeds, error) {
	if !(wanted >= 0.01 && wanted <= valid.MaxMass) {
		return SessionNeeds{}, &units.FieldError{Path: "wanted", Value: valid.Show(wanted), Want: "must be between 10 g and 100 t"}
	}
	if _, err := s.Expect(rearEmpty, loads...); err != nil {
		return SessionNeeds{}, err
	}
	good := func(b Session, loads []units.Mass) bool {
		got, err := b.expect(rearEmpty, loads)
		return err == nil && got.Main > 0 && got.Main <= wanted
	}
	var out SessionNeeds
	out.ScaleSD = units.Mass(greatest(0.01, 500, func(v float64) bool {
		b := s
		b.LoadSD = units.Mass(s.Scale.loadSD(s.LoadSD))
		b.Scale.SD, b.Scale.Division = units.Mass(v), 0
		return good(b, loads)
	}))
	out.AheadSD = units.Length(greatest(1e-6, float64(s.Ahead.Value)/4, func(v float64) bool {
		b := s
		b.Ahead.SD = units.Length(v)
		return good(b, loads)
	}))
	out.WheelbaseSD = units.Length(greatest(1e-6, float64(s.Wheelbase.Value)/4, func(v float64) bool {
		b := s
		b.Wheelbase.SD = units.Length(v)
		return good(b, loads)
	}))
	var many []units.Mass
	for n := 1; len(many)+len(loads) <= MaxReadings; n++ {
		many = append(many, loads...)
		if good(s, many) {
			out.Repeats = n
			break
		}
	}
	return out, nil
}
