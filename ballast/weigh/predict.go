package weigh

import (
	"math"
	"slices"

	"example.com/steelyard/internal/fit"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Thresholds of the checks. Each of several checks raises the alarm beyond 3.5
// standard deviations (1 in 2000 by chance), and the sum of squares beyond 1 in
// 2000.
const (
	alarm   = 3.5
	omnibus = 5e-4
	// plausible is the least probability at which an explanation of the readings is
	// accepted.
	plausible = 1e-3
)

// Rules of a weighing session.
const (
	// LeastLoads is the least number of different loads for a tipping load,
	// including the empty attachment.
	LeastLoads = 4
	// MaxReadings is the greatest number of readings in a Session.
	MaxReadings = 100
	// DefaultShare is the share of the lower bound that no load may exceed, if no
	// share is stated.
	DefaultShare units.Fraction = 0.3
	// MaxShare is the greatest share that may be stated.
	MaxShare units.Fraction = 0.5
	// closeSlope is the standard error of the free slope, as a share of the slope,
	// above which the loads are too close together. At 3 %, a reach that is wrong by
	// 13 % raises the alarm in 8 of 10 sessions.
	closeSlope = 0.03
	// smallLoads is the share of the tipping load that the largest load must
	// reach.
	smallLoads = 0.1
	// wideInterval is the half width, as a share of the estimate, beyond
	// which no tipping load is stated.
	wideInterval = 0.2
)

// LoadReading holds the scale readings with one load on the attachment, just off
// the ground.
type LoadReading struct {
	// Load is the mass of the load, bin and pallet included, 1 kg to 100 t;
	// zero is the empty attachment.
	Load units.Mass `json:"load"`
	// Rear is the reading under both rear wheels, 1 kg to 100 t. It must be given.
	Rear units.Mass `json:"rear"`
	// Front is the reading under both front wheels, 1 kg to 100 t; zero means
	// not read. The answer does not need it, but it makes mistakes easier to name.
	Front units.Mass `json:"front,omitempty"`
}

// Session is a weighing session: the same machine on the same scales with several
// light loads. Each load is lifted to the same height just off the ground, with
// arms and attachment in the same position. The attachment counts as part of the
// machine: the reading without load is the empty reading.
type Session struct {
	// Wheelbase is the distance between the contact lines by tape: Value 0.5 to
	// 10 m, SD at most a quarter of Value.
	Wheelbase Measured[units.Length] `json:"wheelbase"`
	// Ahead is the distance by tape of the load's center ahead of the front axle
	// while the readings are taken: Value 0.1 to 10 m, SD at most a quarter of
	// Value.
	Ahead Measured[units.Length] `json:"ahead"`
	// Scale is the scale under the rear wheels.
	Scale Scale `json:"scale"`
	// LoadSD is the standard uncertainty of each load's mass, 1 g to 500 kg. Zero
	// means not given: it is then taken as that of one reading of the scale.
	LoadSD units.Mass `json:"loadSD,omitempty"`
	// Readings are 1 to MaxReadings readings, in the order in which they were taken.
	Readings []LoadReading `json:"readings"`
	// Confidence is the probability of the interval, 0.5 to 0.999; zero means
	// DefaultConfidence.
	Confidence float64 `json:"confidence,omitempty"`
	// Share is the greatest next load, as a share of the interval's lower end, 0.01
	// to MaxShare; zero means DefaultShare.
	Share units.Fraction `json:"share,omitempty"`
	// LargestLoad is what the loader may lift by its manual and ratings, 1 kg to
	// 100 t. Zero means not given: Share is then the only limit.
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

// RearLeftWheel returns the session of the left rear wheel alone, for readings in
// which Rear is the reading under that wheel. Its Predict then returns the load at
// which that wheel would lift. The machine tips at the lesser of the loads for the
// two wheels.
//
// The rear track is track. The distance of the load's center to the left of the
// middle (negative: right) is sideways; a load that is meant to hang in the middle
// has the value 0 and the SD of a careful eye. If the front axle swings on a free
// pin, or if there is a single front wheel, the rear wheels alone resist roll. A
// load m then takes m (A/(2 L) - y/T) from the left wheel and m (A/(2 L) + y/T)
// from the right one. The Ahead of the returned session is therefore A/2 - y L/T,
// which is L times the left share. Do not use it for a rigid front axle.
func (s Session) RearLeftWheel(track, sideways Measured[units.Length]) (Session, error) {
	return s.rearWheel(track, sideways, -1)
}

// RearRightWheel returns the session of the right rear wheel, as
// [Session.RearLeftWheel] does for the left one; sideways is positive to the left
// here too.
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
		c.Add("sideways.value", valid.Show(sideways.Value), "must be nearer to the middle: this wheel would hardly lift")
	}
	if err := c.Err(); err != nil {
		return Session{}, err
	}
	// The wheelbase also changes A/2 - y L/T, but by a negligible amount.
	da, dy, dt := float64(s.Ahead.SD)/2, float64(sideways.SD)*l/t, y*l/t*float64(track.SD)/t
	s.Ahead = Measured[units.Length]{units.Length(ahead), units.Length(math.Sqrt(da*da + dy*dy + dt*dt))}
	s.Readings = slices.Clone(s.Readings)
	for i := range s.Readings {
		s.Readings[i].Front = 0
	}
	return s, s.Validate()
}

// LoadEstimate is a tipping load by one method of estimation.
type LoadEstimate struct {
	// Known is false if there are too few readings for this method.
	Known bool `json:"known"`
	// Load is the estimate, and SD its standard error.
	Load units.Mass `json:"load"`
	SD   units.Mass `json:"sd"`
	// Bounded is false if the interval has no end; Interval is then zero.
	Bounded bool `json:"bounded"`
	// Interval holds the true tipping load with its probability.
	Interval units.Interval[units.Mass] `json:"interval"`
}

// Prediction is the answer of a session about the load that would lift the rear
// wheels on firm level ground, at the height of the readings.
type Prediction struct {
	// TippingLoad is the estimate; zero if it is refused.
	TippingLoad units.Mass `json:"tippingLoad"`
	// Interval holds the true tipping load with its probability; zero if it
	// is refused.
	Interval units.Interval[units.Mass] `json:"interval"`
	// Refusals says why no tipping load is stated; it is zero if one is stated.
	Refusals Refusals `json:"refusals"`
	// Findings are the likely faults of the readings, the likeliest first.
	Findings []Finding `json:"findings,omitempty"`
	// Next says which reading to take next.
	Next NextReading `json:"next"`
	// Main is the estimate with the tape's geometry as prior, before any refusal.
	// Use it to choose loads and to find mistakes. Only TippingLoad may be shown as
	// an answer.
	Main LoadEstimate `json:"main"`
	// Free is the cross-check without the geometry: the free straight line with
	// inverse prediction, before any refusal.
	Free LoadEstimate `json:"free"`
	// RearEmpty is the fitted empty rear axle load. Ahead and Wheelbase are the
	// geometry as corrected by the readings.
	RearEmpty Estimate[units.Mass]   `json:"rearEmpty"`
	Ahead     Estimate[units.Length] `json:"ahead"`
	Wheelbase Estimate[units.Length] `json:"wheelbase"`
	// Residuals are, for each reading, the rear reading less the fitted line.
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
	at         []float64 // the unknowns at the present point of the fit
	p          fit.Problem
}

// newFit states the statistical model. Held by TestPredictAgainstReference.
//
//	rear_i = (1 + g)(R0 - (A/L) m_i) + z + e_i
//
// R0 is wanted and has no prior. Ahead A and wheelbase L have the tape's reading
// as prior, and the readings may correct them. Zero z and gain g have the prior 0
// with the scale's ZeroSD and GainSD. They are common to all readings, so more
// readings do not average them out. e_i is the reading's own error; its variance
// includes the error of the load's mass, which changes the reading by A/L times
// itself. The model assumes that errors are normal and, except for z and g,
// independent; that the reach is the same in all readings; that the ground is
// level and firm; and that only the load changes.
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
	// Start from the median, because one wrong row does not move it far.
	slices.Sort(guess)
	f.p.Start(fitRear, guess[n/2])
	f.at = f.p.At()
	f.Linearize(f.at, &f.p)
	return f
}

// slope returns the fall of the rear axle load per unit of load, by the tape.
func (s *Session) slope() float64 { return float64(s.Ahead.Value) / float64(s.Wheelbase.Value) }

// rowSD returns the standard deviation of a rear reading under a load, including
// that of the load's mass.
func (s *Session) rowSD(load units.Mass) float64 {
	if load == 0 {
		return s.Scale.reading()
	}
	return math.Hypot(s.Scale.reading(), s.slope()*s.Scale.loadSD(s.LoadSD))
}

// Linearize adds the rear readings to the fit. The model holds while the load is
// ahead of the front axle and the front axle is ahead of the rear one.
func (f *sessionFit) Linearize(at []float64, p *fit.Problem) bool {
	a, l, g := at[fitAhead], at[fitBase], 1+at[fitGain]
	for i, m := range f.load {
		line := at[fitRear] - a/l*m
		row := p.Row(f.rear[i]-(g*line+at[fitZero]), f.sd[i])
		row[fitRear], row[fitAhead], row[fitBase], row[fitZero], row[fitGain] = g, -g*m/l, g*a/l*m/l, 1, line
	}
	return a > 0 && l > 0
}

// geometry returns the fitted rear axle load, ahead and wheelbase, and their
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

// tipping returns the load M for which R0 L - A M = 0, the balance about the front
// axle, with its interval: the set of M for which that moment is within z standard
// errors of zero. This is Fieller's construction with a known covariance. It is
// exact if the moment is normal, keeps the skew of a ratio, and shows whether there
// is an upper end.
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

// loadEstimate returns the function that makes an estimate of this level from a
// ratio's interval.
func loadEstimate(level float64) func(load, sd, low, high float64, bounded bool) LoadEstimate {
	return func(load, sd, low, high float64, bounded bool) LoadEstimate {
		out := LoadEstimate{Known: true, Load: units.Mass(load), SD: units.Mass(sd), Bounded: bounded}
		if bounded {
			out.Interval = units.Interval[units.Mass]{Low: units.Mass(low), High: units.Mass(high), Level: level}
		}
		return out
	}
}

// freeLine is the estimator without geometry: ordinary least squares of rear
// reading against load. It uses Student's t with n - 2 degrees of freedom and takes
// the spread from the readings themselves.
func freeLine(load, rear []float64, level float64) LoadEstimate {
	line, ok := fit.FitLine(load, rear)
	if !ok || line.N < 3 || !(line.Slope < 0) {
		return LoadEstimate{}
	}
	return loadEstimate(level)(line.Inverse(0, fit.StudentQuantile(level, line.N-2)))
}

// Predict returns the tipping load that the session's readings support, or why
// none can be stated, and the reading to take next.
//
// On level ground, at fixed height and reach, the rear axle load falls in a
// straight line with the load m: R0 - (A/L) m. The rear wheels would lift at
// R0 L/A. The main estimator (see the fields Main and TippingLoad) fits that line
// with the tape's A and L as priors and the scale's own standard deviation. The
// free line with inverse prediction is its cross-check. The answer is refused if a
// row, a unit, the scale, a tare, a drift, a bend or the geometry contradicts the
// rest. It is also refused if the readings are too few or the loads too small, too
// close or too uncertain to show such a contradiction.
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
		// This happens only if the data contradict each other so far that no fit
		// converges.
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

// RearAt returns the rear axle load that the fitted line gives for a load, with its
// interval. It is negative beyond the tipping load. It is zero for a prediction
// that has no fit, and for a load outside -100 to 100 t.
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

// design returns the refusals that depend only on the choice of loads and on the
// width of the interval.
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

// slopeError returns the standard error of the slope of a free line through these
// loads with this scale, as a share of the slope. It is infinite for fewer than two
// different loads.
func (s *Session) slopeError(load []float64) float64 {
	line, ok := fit.FitLine(load, load)
	if !ok {
		return math.Inf(1)
	}
	return s.rowSD(1) / math.Sqrt(line.Sxx) / s.slope() // the same for any load
}

// different returns the number of different loads; loads that differ by less than
// 1 % of the largest count as one.
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

// share returns the share of the lower bound that no load may exceed.
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
	// NextStop: lift no further load. The readings contradict each other or the
	// geometry, or no safe load is left to try. Find the reason first.
	NextStop NextKind = iota
	// NextEmpty: read the scale with the attachment empty.
	NextEmpty
	// NextLoad: read the scale with the load that Next names.
	NextLoad
	// NextRepeatEmpty: read the scale with the attachment empty once more, to
	// detect drift.
	NextRepeatEmpty
	// NextDone: nothing more is needed.
	NextDone
)

var nextNames = []string{"stop", "empty", "load", "repeatEmpty", "done"}

// NextReading is the advice for the next reading of a session.
type NextReading struct {
	// Kind is what to do.
	Kind NextKind `json:"kind"`
	// Load is the greatest next load, rounded down to whole kilograms; it is zero
	// unless Kind is NextLoad. A lighter load also serves if none of that mass is at
	// hand.
	Load units.Mass `json:"load,omitempty"`
	// Limit is Share of the lower end of the interval, or LargestLoad if that is
	// less. No load of the session may exceed it.
	Limit units.Mass `json:"limit,omitempty"`
}

// next chooses the next reading: the empty attachment first, then loads in four
// equal steps up to the limit, then the empty attachment again. The limit follows
// the lower bound as it becomes known. If the scale is too coarse for loads that
// are so far apart, the two ends are read again, up to a dozen readings in all.
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
		// The loads cannot be farther apart: read both ends again, by turns.
		if out.Kind, out.Load = NextLoad, units.Mass(math.Floor(math.Min(largest, limit))); atEnd {
			out.Kind, out.Load = NextRepeatEmpty, 0
		}
	case refused != 0:
		// More readings would not help; a better tape or scale would.
	case atEnd:
		out.Kind = NextRepeatEmpty
	default:
		out.Kind = NextDone
	}
	return out
}

// Outlook is the precision that a planned session would have.
type Outlook struct {
	// Load is the tipping load that follows from the given geometry and rear axle
	// load. It is an assumption here and not an answer.
	Load units.Mass `json:"load"`
	// Main is the half width of the main estimator's interval; zero if it
	// would be unbounded.
	Main units.Mass `json:"main"`
	// Free is the median half width of the free line's interval over all such
	// sessions. It is zero if the interval would be unbounded, and for fewer than
	// three readings.
	Free units.Mass `json:"free"`
	// SlopeError is the standard error of the free slope as a share of the slope.
	SlopeError units.Fraction `json:"slopeError"`
	// Refusals are those that these loads cause even if the readings fit well.
	Refusals Refusals `json:"refusals"`
	// Limit is the greatest load that the session would advise.
	Limit units.Mass `json:"limit"`
}

// Expect returns the precision that a session with these loads would have. The
// empty rear axle load comes from a brochure or from a first empty reading. The
// session's readings are ignored. A load above Limit is an error, because it has no
// place in a safe session.
func (s Session) Expect(rearEmpty units.Mass, loads ...units.Mass) (Outlook, error) {
	out, err := s.expect(rearEmpty, loads)
	if err != nil {
		return Outlook{}, err
	}
	for i, m := range loads {
		if m > out.Limit {
			return Outlook{}, units.NewFieldError(units.Index("loads", i), valid.Show(m), "must be at most the session's limit of "+valid.Show(out.Limit))
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
		return Outlook{}, units.NewFieldError("loads", nil, "must determine a tipping load")
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

// SessionNeeds says what would bring a session's main interval to a wanted half
// width. Each field is a change on its own, with all else as planned. Zero means
// that this change alone is not enough.
type SessionNeeds struct {
	// ScaleSD is the greatest standard deviation of a reading.
	ScaleSD units.Mass `json:"scaleSD"`
	// AheadSD is the greatest standard uncertainty of the load's distance.
	AheadSD units.Length `json:"aheadSD"`
	// WheelbaseSD is the greatest standard uncertainty of the wheelbase.
	WheelbaseSD units.Length `json:"wheelbaseSD"`
	// Repeats is the number of times that the whole set of loads must be read, up to
	// MaxReadings readings in all.
	Repeats int `json:"repeats"`
}

// Needs returns the scale, the tape or the number of repeats that the session needs
// for the wanted half width of the main interval, if the empty rear axle load is as
// given. More repeats do not reduce the tape's error; a better tape does.
func (s Session) Needs(rearEmpty, wanted units.Mass, loads ...units.Mass) (SessionNeeds, error) {
	if !(wanted >= 0.01 && wanted <= valid.MaxMass) {
		return SessionNeeds{}, units.NewFieldError("wanted", valid.Show(wanted), "must be between 10 g and 100 t")
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
