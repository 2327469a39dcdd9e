package weigh

import (
	"math"

	"example.com/steelyard/internal/fit"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// LevelWeighing holds the scale readings under a machine that stands level with all
// brakes released. Give each axle's reading, or the readings under its two wheels.
// The sideways place needs the readings under the two rear wheels.
type LevelWeighing struct {
	// Wheelbase is the distance between the contact lines, 0.5 to 10 m.
	Wheelbase Measured[units.Length] `json:"wheelbase"`
	// Front is the reading under both front wheels, 1 kg to 100 t like every
	// reading; leave it out if the wheels are given.
	Front units.Mass `json:"front,omitempty"`
	// Rear is the reading under both rear wheels; leave it out if the wheels
	// are given.
	Rear units.Mass `json:"rear,omitempty"`
	// FrontLeft is the reading under the left front wheel. If FrontLeft and
	// FrontRight are left out, the two wheels are taken as equally loaded, because a
	// free pin carries no roll moment.
	FrontLeft units.Mass `json:"frontLeft,omitempty"`
	// FrontRight is the reading under the right front wheel.
	FrontRight units.Mass `json:"frontRight,omitempty"`
	// RearLeft is the reading under the left rear wheel.
	RearLeft units.Mass `json:"rearLeft,omitempty"`
	// RearRight is the reading under the right rear wheel.
	RearRight units.Mass `json:"rearRight,omitempty"`
	// RearTrack is needed with the wheels of the rear axle, 0.2 to 6 m.
	RearTrack units.Length `json:"rearTrack,omitempty"`
	// FrontTrack is needed with the wheels of the front axle, 0.2 to 6 m.
	FrontTrack units.Length `json:"frontTrack,omitempty"`
	// Scale is the scale.
	Scale Scale `json:"scale"`
	// Confidence is the probability of the intervals, 0.5 to 0.999; zero
	// means DefaultConfidence.
	Confidence float64 `json:"confidence,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (w LevelWeighing) Validate() error {
	var c units.FieldErrors
	measured(&c, "wheelbase", w.Wheelbase, valid.MinWheelbase, valid.MaxWheelbase)
	axle := func(name string, both, left, right units.Mass, track units.Length) {
		if left == 0 && right == 0 {
			valid.Given(&c, name, both, valid.MinMass, valid.MaxMass, "must be given, unless "+name+"Left and "+name+"Right are given")
			return
		}
		if both != 0 {
			c.Add(name, valid.Show(both), "must be left out if "+name+"Left and "+name+"Right are given")
		}
		valid.Given(&c, name+"Left", left, valid.MinMass, valid.MaxMass, "must be given with "+name+"Right")
		valid.Given(&c, name+"Right", right, valid.MinMass, valid.MaxMass, "must be given with "+name+"Left")
		valid.Given(&c, name+"Track", track, valid.MinTrack, valid.MaxTrack, "must be given with the wheels of this axle")
	}
	axle("front", w.Front, w.FrontLeft, w.FrontRight, w.FrontTrack)
	axle("rear", w.Rear, w.RearLeft, w.RearRight, w.RearTrack)
	c.Join("scale", w.Scale.Validate())
	checkConfidence(&c, "confidence", w.Confidence)
	return c.Err()
}

// axles returns the two axle readings, and the number of readings in each sum.
func (w LevelWeighing) axles() (front, rear, numFront, numRear float64) {
	front, rear, numFront, numRear = float64(w.Front), float64(w.Rear), 1, 1
	if w.FrontLeft != 0 {
		front, numFront = float64(w.FrontLeft+w.FrontRight), 2
	}
	if w.RearLeft != 0 {
		rear, numRear = float64(w.RearLeft+w.RearRight), 2
	}
	return front, rear, numFront, numRear
}

// LevelCG is the mass of a machine and the place of its center of gravity in
// plan, from level readings.
type LevelCG struct {
	// Mass is the sum of the readings.
	Mass Estimate[units.Mass] `json:"mass"`
	// X is the distance of the center of gravity ahead of the rear contact line.
	X Estimate[units.Length] `json:"x"`
	// Y is the distance of the center of gravity to the left of the middle. It is
	// zero, and YKnown is false, if the rear wheels were not weighed one by one.
	Y Estimate[units.Length] `json:"y"`
	// YKnown says whether Y was measured.
	YKnown bool `json:"yKnown"`
	// Cautions go with the answer.
	Cautions Cautions `json:"cautions"`
}

// Unknowns of a level weighing. After them come the masses that the scales show:
// front, or front left and right, then rear, or rear left and right.
const (
	levelBase = iota // wheelbase L
	levelZero        // the scale's zero error
	levelGain        // the scale's gain error
	levelReadings
)

// Solve returns mass and center of gravity in plan. Held by TestLevelWeighing.
//
//	x = L F/(F + R)
//	y = [(RL - RR) T/2 + (FL - FR) Tf/2]/(F + R)
//
// These are the balances of moments about the rear contact line and about the
// middle (ISO 789-6 names the procedure). On a machine with a free axle pin the two
// front wheels always carry the same load, so y shows only in the rear scales; it
// is the place of body and axle together. The error of the gain cancels in x and y.
// The error of the zero does not cancel, and counts once for each reading.
func (w LevelWeighing) Solve() (LevelCG, error) {
	if err := w.Validate(); err != nil {
		return LevelCG{}, err
	}
	return w.solve(new(fit.Problem)), nil
}

// solve fits the value that each scale shows to its reading, and computes mass and
// place from these values. The mass on a scale is (value - zero error)/(1 + gain
// error).
func (w LevelWeighing) solve(p *fit.Problem) LevelCG {
	level := confidence(w.Confidence)
	// A pad is one reading, with its place ahead and to the left.
	type pad struct{ mass, ahead, left float64 }
	var pads [4]pad
	l, tf, tr := float64(w.Wheelbase.Value), float64(w.FrontTrack)/2, float64(w.RearTrack)/2
	n := 0
	axle := func(both, left, right units.Mass, ahead, half float64) {
		if left == 0 {
			pads[n], n = pad{float64(both), ahead, 0}, n+1
			return
		}
		pads[n], pads[n+1], n = pad{float64(left), ahead, half}, pad{float64(right), ahead, -half}, n+2
	}
	axle(w.Front, w.FrontLeft, w.FrontRight, l, tf)
	axle(w.Rear, w.RearLeft, w.RearRight, 0, tr)

	var m, x, y float64
	p.Reset(levelReadings + n)
	prior(p, levelBase, w.Wheelbase)
	w.Scale.errors(p, levelZero, levelGain)
	for i, s := range pads[:n] {
		p.Start(levelReadings+i, s.mass)
		p.Row(0, w.Scale.reading())[levelReadings+i] = 1
		m += s.mass
		x += s.mass * s.ahead
		y += s.mass * s.left
	}
	x, y = x/m, y/m
	p.Solve() // each unknown has a reading or a prior of its own
	// These are the derivatives of mass and place with respect to the unknowns.
	var dm, dx, dy [levelReadings + len(pads)]float64
	dm[levelGain], dx[levelBase] = -m, x/l
	for i, s := range pads[:n] {
		j := levelReadings + i
		dm[j], dx[j], dy[j] = 1, (s.ahead-x)/m, (s.left-y)/m
		dm[levelZero] -= dm[j]
		dx[levelZero] -= dx[j]
		dy[levelZero] -= dy[j]
	}
	sd := func(gradient []float64) float64 { return math.Sqrt(p.Variance(gradient[:levelReadings+n])) }
	out := LevelCG{Cautions: weighCautions}
	out.Mass = estimate[units.Mass](m, sd(dm[:]), level)
	out.X = estimate[units.Length](x, sd(dx[:]), level)
	if out.YKnown = w.RearLeft != 0; out.YKnown {
		out.Y = estimate[units.Length](y, sd(dy[:]), level)
	}
	return out
}

// LiftReading is one reading with an axle lifted.
type LiftReading struct {
	// Angle is the pitch of the machine, positive with the nose up, from an
	// inclinometer on the frame; 1 to 40 degrees either way. Do not compute it as the
	// height of the lift divided by the wheelbase.
	Angle units.Angle `json:"angle"`
	// Front is the reading under the front axle, 1 kg to the sum of the level
	// readings; give this or Rear.
	Front units.Mass `json:"front,omitempty"`
	// Rear is the reading under the rear axle, in the same range; give this or Front.
	Rear units.Mass `json:"rear,omitempty"`
	// Lowering says that the axle was lowered to this angle; false means that it was
	// raised to it. The two readings differ if something sticks.
	Lowering bool `json:"lowering,omitempty"`
}

// MaxLifts is the greatest number of lift readings in an [AxleLift].
const MaxLifts = 100

// AxleLift is an axle-lift weighing. The machine stands level on scales, and then
// with one axle raised on a support at one or several angles. Its wheels are free to
// roll, and its springs, if any, are blocked (ISO 789-6 and ISO 10392 name the
// procedure).
type AxleLift struct {
	// Level is the weighing before the lift.
	Level LevelWeighing `json:"level"`
	// RearRadius is the static loaded radius of the rear wheels: the height
	// of the axle, 0.1 to 1.5 m.
	RearRadius Measured[units.Length] `json:"rearRadius"`
	// FrontRadius is the static loaded radius of the front wheels, 0.1 to
	// 1.5 m.
	FrontRadius Measured[units.Length] `json:"frontRadius"`
	// AngleSD is the standard uncertainty of an angle, 1e-5 rad to 2 degrees; it must
	// be given.
	AngleSD units.Angle `json:"angleSD"`
	// Lifts are 1 to MaxLifts readings, in the order in which they were taken.
	Lifts []LiftReading `json:"lifts"`
	// LiquidMass is the mass of all liquid in the tires, at most the sum of the level
	// readings. The height that counts in roll needs it. Zero means dry tires.
	LiquidMass units.Mass `json:"liquidMass,omitempty"`
	// LiquidDepth is how far the centroid of that liquid lies below its axle,
	// 0 to 1.5 m.
	LiquidDepth units.Length `json:"liquidDepth,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (a AxleLift) Validate() error {
	var c units.FieldErrors
	c.Join("level", a.Level.Validate())
	measured(&c, "rearRadius", a.RearRadius, valid.MinRadius, valid.MaxRadius)
	measured(&c, "frontRadius", a.FrontRadius, valid.MinRadius, valid.MaxRadius)
	valid.Given(&c, "angleSD", a.AngleSD, 1e-5, 2*units.Degree, "must be given; it is the standard uncertainty of an angle, such as 0.1 deg")
	if n := len(a.Lifts); n < 1 || n > MaxLifts {
		c.Add("lifts", n, "must be 1 to 100 readings")
	}
	f, r, _, _ := a.Level.axles()
	most := units.Mass(f + r)
	if !(most > valid.MinMass) {
		most = valid.MaxMass // errors of the level readings are reported above
	}
	for i, l := range a.Lifts {
		if i >= MaxLifts {
			break
		}
		p := units.Index("lifts", i)
		if t := math.Abs(float64(l.Angle)); !(t >= float64(units.Degree) && t <= 40*float64(units.Degree)) {
			c.Add(p+".angle", valid.Show(l.Angle), "must be 1 to 40 degrees, positive nose up or negative nose down")
		}
		switch {
		case l.Front != 0 && l.Rear != 0:
			c.Add(p+".rear", valid.Show(l.Rear), "must be left out if front is given")
		case l.Front == 0 && l.Rear == 0:
			c.Add(p+".front", nil, "must be given, unless rear is given")
		case l.Front != 0:
			valid.Within(&c, p+".front", l.Front, valid.MinMass, most)
		default:
			valid.Within(&c, p+".rear", l.Rear, valid.MinMass, most)
		}
	}
	valid.ZeroOr(&c, "liquidMass", a.LiquidMass, 0, most)
	valid.ZeroOr(&c, "liquidDepth", a.LiquidDepth, 0, valid.MaxRadius)
	return c.Err()
}

// CGHeight is the height of a center of gravity from an axle lift.
type CGHeight struct {
	// Level holds the mass and the place in plan, from the level readings.
	Level LevelCG `json:"level"`
	// Pitch is the height over level ground that counts in pitch. Liquid in a tire
	// counts in pitch at the height of its axle, because the tire can turn without
	// moving the liquid.
	Pitch Estimate[units.Length] `json:"pitch"`
	// Roll is the height that counts in roll, where liquid counts at its own
	// centroid. Its error is that of Pitch. It does not include the rise by the free
	// surface.
	Roll Estimate[units.Length] `json:"roll"`
	// Residuals are, for each lift, the reading less the fitted line.
	Residuals []units.Mass `json:"residuals"`
	// Findings are the likely faults of the readings. If there are any, measure again
	// before the answer is used.
	Findings []Finding `json:"findings,omitempty"`
	// Cautions go with the answer.
	Cautions Cautions `json:"cautions"`
}

// Unknowns of an axle lift.
const (
	liftFront = iota // level front axle load F
	liftRear         // level rear axle load R
	liftHeight
	liftBase
	liftRearRadius
	liftFrontRadius
	liftUnknowns
)

// liftModel returns the front axle load at the tangent t of the pitch angle, and its
// derivatives. The ground pushes straight up through each axle. Moments about the
// rear axle of the tilted machine give
//
//	F' (L - (rf - rr) t) = L F - (F + R)(h - rr) t
//
// and so h = L (F - F')/(W t) + rr (1 - F'/W) + rf F'/W. This is exact for unequal
// radii, and linear in t except for the small term with rf - rr. Held by
// TestAxleLiftAgainstFreeBody.
func liftModel(p []float64, t float64) (f float64, jac [liftUnknowns]float64, dt float64) {
	w := p[liftFront] + p[liftRear]
	l, rr := p[liftBase], p[liftRearRadius]
	rho, hr := p[liftFrontRadius]-rr, p[liftHeight]-rr
	d := l - rho*t
	n := l*p[liftFront] - w*hr*t
	jac[liftFront] = (l - hr*t) / d
	jac[liftRear] = -hr * t / d
	jac[liftHeight] = -w * t / d
	jac[liftBase] = (p[liftFront] - n/d) / d
	jac[liftRearRadius] = (w*t - n*t/d) / d
	jac[liftFrontRadius] = n * t / (d * d)
	return n / d, jac, (-w*hr + n*rho/d) / d
}

// liftFit is an axle lift as a model to be fitted.
type liftFit AxleLift

// Linearize adds the readings of the lifts to the fit. An error s of the angle enters
// as an effective variance (dF'/dt (1 + t^2) s)^2.
func (a *liftFit) Linearize(at []float64, p *fit.Problem) bool {
	for _, lift := range a.Lifts {
		t := lift.Angle.Tan()
		y, jac, dt := liftModel(at, t)
		read, sign := float64(lift.Front), 1.0
		if lift.Rear != 0 {
			y, read, sign = at[liftFront]+at[liftRear]-y, float64(lift.Rear), -1
		}
		row := p.Row(read-y, math.Hypot(a.Level.Scale.reading(), dt*(1+t*t)*float64(a.AngleSD)))
		for j, v := range jac {
			row[j] = sign * v
		}
		if sign < 0 {
			row[liftFront]++
			row[liftRear]++
		}
	}
	return true
}

// Solve fits the height of the center of gravity to all readings at once by
// weighted least squares.
//
// The unknowns are the two level axle loads, the height, the wheelbase and the two
// radii; the last three have the tape's reading as prior. Each reading has the
// scale's standard deviation. An error s of the angle enters as an effective
// variance (dF'/dt (1 + t^2) s)^2. The interval is that of the normal distribution,
// because the standard deviations are stated and not estimated. The gain of the
// scale cancels in the height. The error of its zero does not cancel and is not in
// the interval: set the zero before the session. A height below -5 m or above 20 m
// is an error: axles or angles are mixed up.
//
// A reading more than four standard deviations off the line through the others is a
// [CauseOutlier]. A difference of more than 3.5 between raising and lowering is a
// [CauseHysteresis]. If both occur, the stronger is reported. If neither occurs, a
// spread that chance explains only once in 2000 is a [CauseScatter].
func (a AxleLift) Solve() (CGHeight, error) {
	if err := a.Validate(); err != nil {
		return CGHeight{}, err
	}
	var p fit.Problem
	level := a.Level.solve(&p)
	conf := confidence(a.Level.Confidence)
	f, r, nf, nr := a.Level.axles()
	s := a.Level.Scale.reading()
	p.Reset(liftUnknowns) // the height has no prior
	p.Prior(liftFront, f, s*math.Sqrt(nf))
	p.Prior(liftRear, r, s*math.Sqrt(nr))
	prior(&p, liftBase, a.Level.Wheelbase)
	prior(&p, liftRearRadius, a.RearRadius)
	prior(&p, liftFrontRadius, a.FrontRadius)
	if !p.Fit((*liftFit)(&a)) {
		return CGHeight{}, units.NewFieldError("lifts", nil, "must determine a height, but the readings contradict each other")
	}
	h, sh := p.Estimate(liftHeight), p.SD(liftHeight)
	if !(h > -5 && h < 20) {
		return CGHeight{}, units.NewFieldError("lifts", nil, "must fit a center of gravity near the machine: check axles, angles and their signs")
	}
	out := CGHeight{Level: level, Pitch: estimate[units.Length](h, sh, conf), Cautions: weighCautions | CautionLift}
	drop := float64(a.LiquidMass) * float64(a.LiquidDepth) / (f + r)
	out.Roll = estimate[units.Length](h-drop, sh, conf)
	out.Residuals = residuals(&p)
	out.Findings = a.diagnose(&p)
	return out, nil
}

// stronger is the factor by which one explanation must be stronger than another to
// replace it. Without it, rounding would choose between two explanations that the
// readings cannot tell apart.
const stronger = 1 + 1e-9

// diagnose returns the likely faults of the lifts, or nil. Of two readings that are
// equally far off, it names the first.
func (a *AxleLift) diagnose(p *fit.Problem) []Finding {
	odd := Finding{Row: -1, Sigmas: 4}
	side := make([]float64, len(a.Lifts)) // of the lowered readings
	raised := false
	for i, l := range a.Lifts {
		if off, sd, ok := p.Drop(i); ok && math.Abs(off/sd) > odd.Sigmas*stronger {
			odd = Finding{Cause: CauseOutlier, Row: i, Off: units.Mass(off), Sigmas: math.Abs(off / sd)}
		}
		switch {
		case !l.Lowering:
			raised = true
		case (l.Rear != 0) == (l.Angle > 0):
			side[i] = -1
		default:
			side[i] = 1
		}
	}
	// If the two directions disagree, correct readings look like outliers; and one
	// wrong reading moves its whole direction. The stronger explanation is reported,
	// and the single reading if both are equal. Without a lowered reading there is
	// nothing to solve for.
	if raised {
		if off, sd, ok := p.Extra(side); ok && math.Abs(off/sd) > alarm && (odd.Row < 0 || math.Abs(off/sd) > odd.Sigmas*stronger) {
			return []Finding{{Cause: CauseHysteresis, Row: -1, Off: units.Mass(off), Sigmas: math.Abs(off / sd)}}
		}
	}
	if odd.Row >= 0 {
		return []Finding{odd}
	}
	if unlikely(p) {
		return []Finding{{Cause: CauseScatter, Row: -1}}
	}
	return nil
}

// LiftSensitivity returns the error of the height found at one angle that follows
// from an error dW of the load that passes from one axle to the other:
// dh = L dW/(W tan t). The angle is 1 to 40 degrees either way, and mass and
// wheelbase are positive. Nothing is checked, and an angle of 0 gives an infinity.
func LiftSensitivity(wheelbase units.Length, mass units.Mass, angle units.Angle, load units.Mass) units.Length {
	return wheelbase * units.Length(float64(load)/(float64(mass)*angle.Tan()))
}

// Expect returns the standard error of the height that a planned lift would have if
// the center of gravity were at the given height. The readings of the lifts are
// ignored and may be left out.
func (a AxleLift) Expect(height units.Length) (units.Length, error) {
	a.Lifts = append([]LiftReading(nil), a.Lifts...)
	f, r, _, _ := a.Level.axles()
	p := []float64{f, r, float64(height), float64(a.Level.Wheelbase.Value), float64(a.RearRadius.Value), float64(a.FrontRadius.Value)}
	for i := range a.Lifts {
		y, _, _ := liftModel(p, a.Lifts[i].Angle.Tan())
		a.Lifts[i].Front, a.Lifts[i].Rear = units.Mass(y), 0
	}
	got, err := a.Solve()
	return got.Pitch.SD, err
}

// LiftNeeds says what would bring an axle lift to a wanted standard error of the
// height. Each field is a change on its own, with all else as planned. Zero means
// that this change alone is not enough.
type LiftNeeds struct {
	// ScaleSD is the greatest standard deviation of a reading.
	ScaleSD units.Mass `json:"scaleSD"`
	// AngleSD is the greatest standard deviation of an angle.
	AngleSD units.Angle `json:"angleSD"`
	// Stretch is the factor on the tangent of every angle; it is 1 if the plan is
	// already good enough. No angle exceeds 40 degrees.
	Stretch float64 `json:"stretch"`
}

// Needs returns the scale, the inclinometer or the angles that the lift needs for the
// wanted standard error of the height, if the center of gravity is at the given
// height. The plan must state the level readings, as far as they are known, and the
// angles.
func (a AxleLift) Needs(height, wanted units.Length) (LiftNeeds, error) {
	if !(wanted > 0 && wanted < 10) {
		return LiftNeeds{}, units.NewFieldError("wanted", valid.Show(wanted), "must be positive and below 10 m")
	}
	if _, err := a.Expect(height); err != nil {
		return LiftNeeds{}, err
	}
	good := func(b AxleLift) bool {
		got, err := b.Expect(height)
		return err == nil && got <= wanted
	}
	var out LiftNeeds
	out.ScaleSD = units.Mass(greatest(0.01, 500, func(v float64) bool {
		b := a
		b.Level.Scale.SD, b.Level.Scale.Division = units.Mass(v), 0
		return good(b)
	}))
	out.AngleSD = units.Angle(greatest(1e-5, 2*float64(units.Degree), func(v float64) bool {
		b := a
		b.AngleSD = units.Angle(v)
		return good(b)
	}))
	top := 0.0
	for _, l := range a.Lifts {
		top = math.Max(top, math.Abs(l.Angle.Tan()))
	}
	most := math.Tan(40*float64(units.Degree)) / top
	stretch := func(k float64) bool {
		b := a
		b.Lifts = append([]LiftReading(nil), a.Lifts...)
		for i := range b.Lifts {
			b.Lifts[i].Angle = units.Angle(math.Atan(k * b.Lifts[i].Angle.Tan()))
		}
		return good(b)
	}
	switch {
	case good(a):
		out.Stretch = 1
	case most > 1:
		// The least stretch is the inverse of the greatest inverse that is still
		// good.
		if v := greatest(1/most*(1+1e-9), 1, func(v float64) bool { return stretch(1 / v) }); v > 0 {
			out.Stretch = 1 / v
		}
	}
	return out, nil
}

// greatest returns the greatest v between low and high for which good holds, or 0 if
// it holds for none. It must hold for all values below one for which it holds.
func greatest(low, high float64, good func(float64) bool) float64 {
	if !good(low) {
		return 0
	}
	if good(high) {
		return high
	}
	for range 60 {
		if mid := math.Sqrt(low * high); good(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}
