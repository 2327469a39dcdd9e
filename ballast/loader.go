package ballast

import (
	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"math"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// maxArmSine keeps the arm within 78 degrees of the horizontal, where a
// height still says where the pin is.
const maxArmSine = 0.98

// reachSlack is how far a height may be beyond an end of a range because of
// rounding.
const reachSlack = 1e-9

// Offset is a position in the plane of the loader, relative to a point that
// its user names.
type Offset struct {
	// Ahead is positive forward.
	Ahead units.Input[units.Length] `json:"ahead,omitzero"`
	// Above is positive up.
	Above units.Input[units.Length] `json:"above,omitzero"`
}

// Loader is a front loader: an arm on a pivot that carries the attachment
// pin. With the arm at angle a to the horizontal the pin is at pivot +
// r (cos a, sin a), a from -90 to 90 degrees.
//
// What it lifts is given by Cylinders or by Rated; with neither, the answers of a
// setup say what a rating would have to be, and a compiled [Model] does not check the
// hydraulic limit. "Must be given" in the comments below is said of a model: see
// [Machine].
type Loader struct {
	// Name is free text for the reader.
	Name string `json:"name,omitempty"`
	// Pivot is the arm's pivot on the machine; x, within 20 m, and z, 0.2 to
	// 10 m, must be given; y is 0.
	Pivot Position `json:"pivot,omitzero"`
	// Arm is the distance r from the pivot to the attachment pin, in a
	// straight line, 0.3 to 20 m.
	Arm units.Input[units.Length] `json:"arm,omitzero"`
	// LowestPin is the height of the attachment pin over level ground with
	// the arms down, 0.01 to 10 m and no more than 0.98 of Arm from the
	// pivot's height.
	LowestPin units.Input[units.Length] `json:"lowestPin,omitzero"`
	// HighestPin is that height with the arms up, 0.1 to 10 m, as near to the
	// pivot's height and above LowestPin.
	HighestPin units.Input[units.Length] `json:"highestPin,omitzero"`

	// FrameMass is the mass of what the loader bolts to the machine and does
	// not move, 1 kg to 100 t, FrameCG where it sits. They must be given when
	// the machine's mass is without loader.
	FrameMass units.Input[units.Mass] `json:"frameMass,omitzero"`
	// FrameCG is the center of gravity of FrameMass: x, within 20 m, y within
	// 2 m, z 0 to 10 m; z matters on slopes only, and zero is unknown there.
	FrameCG Position `json:"frameCG,omitzero"`
	// ArmMass is the mass of arms and carrier, which moves with height, 1 kg
	// to 100 t. It must be given when the machine's mass is without loader.
	// Without it a model does not check the lift from cylinders, slopes, and the
	// machine with the loader off.
	ArmMass units.Input[units.Mass] `json:"armMass,omitzero"`
	// ArmCG is the distance of the center of gravity of ArmMass from the
	// pivot, along the line to the pin, 0.01 to 20 m and at most 1.5 times
	// Arm; it must be given with ArmMass.
	ArmCG units.Input[units.Length] `json:"armCG,omitzero"`

	// SelfLeveling is how far the carrier keeps its attitude while the arm
	// turns: 0 for a carrier locked to the arm, 1 for an ideal parallel
	// linkage, or anything between. With 1 the load only translates and the
	// lift does not depend on how far ahead of the pin it is; with 0 it falls
	// as x/(x + e). Left out it is not known; a compiled [Model] takes 0.
	SelfLeveling units.Input[units.Fraction] `json:"selfLeveling,omitzero" zero:"value"`
	// Cylinders is the lift geometry. Give Cylinders or Rated, not both.
	Cylinders *Cylinders `json:"cylinders,omitempty"`
	// Rated is what the loader is rated to lift, at rising pin heights, at
	// most 100 points. Each holds at its own height. Between two of them 1/F
	// is linear in the pin height, F being the lift at the pin or a distance
	// ahead of it: that lies below the straight line between the points, and a
	// lower point gives no more anywhere. Outside their heights a setup's answer
	// widens by e^d either way at d meters from the nearest point; a model does not
	// check the lift there. On a way up, a model holds the load to each point that is
	// passed, and knows the limit as an upper bound only if the way leaves the rated
	// heights. Behind the pin a rating is that at the pin.
	Rated []RatedPoint `json:"rated,omitempty"`

	// BreakOut is the rated break-out force at the bucket's edge, with the
	// edge on the ground, 10 N to 10 MN; left out, it is not checked.
	BreakOut units.Input[units.Force] `json:"breakOut,omitzero"`
	// ManualBallast is what the loader's manual demands behind: look it up. Where
	// it demands some, nothing is lifted without it.
	ManualBallast ManualBallast `json:"manualBallast,omitzero"`
	// CouplerRating is the greatest mass of attachment and load together that
	// the coupler may carry, 1 kg to 200 t; left out, it is not checked.
	CouplerRating units.Input[units.Mass] `json:"couplerRating,omitzero"`
}

// ManualBallast is the ballast behind that a loader's manual demands.
type ManualBallast struct {
	// Kind says whether the manual demands any. Unknown is not looked up yet, and
	// no load is then stated without saying so.
	Kind ManualBallastKind `json:"kind,omitempty"`
	// Hitch is the least mass that the rear hitch must carry, raised: up to 100 t,
	// zero where the manual demands none there.
	Hitch units.Mass `json:"hitch,omitempty" zero:"value"`
	// RearWheels is the least mass of liquid in the rear tires and of weights on
	// the rear wheels together, up to 100 t, zero where it demands none there.
	RearWheels units.Mass `json:"rearWheels,omitempty" zero:"value"`
}

// ManualBallastKind says whether a loader's manual demands ballast. In JSON:
// "none" or "demanded"; "unknown" or left out is not looked up.
type ManualBallastKind uint8

// Whether the manual demands ballast.
const (
	// ManualBallastUnknown means that nobody has looked it up.
	ManualBallastUnknown ManualBallastKind = iota
	// ManualBallastNone means that the manual demands none.
	ManualBallastNone
	// ManualBallastDemanded means that it demands what the fields say.
	ManualBallastDemanded
)

var manualBallastNames = []string{"unknown", "none", "demanded"}

// Validate reports every bad field by its path, or nil.
func (b ManualBallast) Validate() error { return b.validate() }

// validate is Validate without a copy of the value.
func (b *ManualBallast) validate() error {
	var c units.FieldErrors
	if !choice.Known(manualBallastNames, b.Kind) {
		c.Add("kind", b.Kind, choice.OneOf, choice.Of[ManualBallastKind](manualBallastNames))
	}
	valid.Within(&c, "hitch", b.Hitch, 0, maxMass)
	valid.Within(&c, "rearWheels", b.RearWheels, 0, maxMass)
	switch any := b.Hitch != 0 || b.RearWheels != 0; {
	case b.Kind == ManualBallastDemanded && !any:
		c.Add("hitch", nil, "must be given, or rearWheels: how much the manual demands")
	case b.Kind != ManualBallastDemanded && any:
		c.Add("kind", b.Kind, "must be demanded where a mass is given")
	}
	return c.Err()
}

// Cylinders is the geometry and the pressure of the lift cylinders.
type Cylinders struct {
	// Base is where the cylinder is pinned to the loader frame, relative to
	// the arm's pivot: ahead and above, both within 5 m, at least 2 cm away in
	// all.
	Base Offset `json:"base"`
	// RodRadius is the distance from the pivot to the rod's pin on the arm,
	// 0.05 to 20 m.
	RodRadius units.Input[units.Length] `json:"rodRadius,omitzero"`
	// RodAngle is the angle from the line pivot to attachment pin up to the
	// line pivot to rod pin; negative if the rod pin is below that line.
	// Within 90 degrees either way.
	RodAngle units.Input[units.Angle] `json:"rodAngle,omitzero"`
	// Bore is the inner diameter of the cylinder, 10 to 500 mm.
	Bore units.Input[units.Length] `json:"bore,omitzero"`
	// Count is the number of lift cylinders, 1 to 4.
	Count int `json:"count"`
	// Pressure is the relief pressure of the loader's circuit, 0.1 to 100
	// MPa.
	Pressure units.Input[units.GaugePressure] `json:"pressure,omitzero"`
	// Friction is the part of the force at that pressure that the seals and pins
	// take while the arms rise, 0 to 0.3. They take it the other way while the arms
	// sink: between the two the arms stand still. Left out it is not known; a
	// compiled [Model] takes 0, and says so.
	Friction units.Input[units.Fraction] `json:"friction,omitzero" zero:"value"`
}

// RatedPoint is one line of a loader's data sheet.
type RatedPoint struct {
	// PinHeight is the height of the attachment pin over level ground, 0.01
	// to 10 m, within the arm's reach and at least 1 cm above the point
	// before.
	PinHeight units.Length `json:"pinHeight"`
	// AtPin is what the loader lifts at the attachment pin, without
	// attachment, 1 kg to 200 t.
	AtPin units.Mass `json:"atPin"`
	// Ahead is how far ahead of the pin AheadMass is rated, 0.05 to 5 m; zero
	// when the data sheet says nothing of it, at every point or at none. Then
	// Loader.SelfLeveling decides.
	Ahead units.Length `json:"ahead,omitempty"`
	// AheadMass is what the loader lifts at that distance, 1 kg or more and
	// no more than AtPin.
	AheadMass units.Mass `json:"aheadMass,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (l Loader) Validate() error { return l.validate() }

// validate is Validate without a copy of the value.
func (l *Loader) validate() error {
	if err := l.fields(); err != nil {
		return err
	}
	return l.raises()
}

// fields reports every bad field.
func (l *Loader) fields() error {
	var c units.FieldErrors
	valid.Required(&c, "pivot.x", l.Pivot.X, -maxLength, maxLength, "must be given; for a pivot over the rear axle give 0 m")
	if given(l.Pivot.Y) {
		c.Add("pivot.y", valid.ShowInput(l.Pivot.Y), "must be 0: the pivot is on the middle plane")
	}
	valid.Required(&c, "pivot.z", l.Pivot.Z, 0.2, maxHeight, "must be given: height of the arm's pivot over level ground")
	valid.Required(&c, "arm", l.Arm, 0.3, maxLength, "must be given: pivot to attachment pin")
	valid.Required(&c, "lowestPin", l.LowestPin, 0.01, maxHeight, "must be given: pin height with the arms down")
	valid.Required(&c, "highestPin", l.HighestPin, 0.1, maxHeight, "must be given: pin height with the arms up")
	if l.Arm.Value() > 0 && l.Pivot.Z.Value() > 0 {
		for _, e := range []struct {
			path string
			h    units.Length
		}{{"lowestPin", l.LowestPin.Value()}, {"highestPin", l.HighestPin.Value()}} {
			if e.h > 0 && !(math.Abs(float64(e.h-l.Pivot.Z.Value())) <= maxArmSine*float64(l.Arm.Value())) {
				c.Add(e.path, valid.Show(e.h), "must be within reach of the arm: no more than 0.98 of arm above or below pivot.z")
			}
		}
	}
	if l.LowestPin.Value() > 0 && l.HighestPin.Value() > 0 && !(l.HighestPin.Value() > l.LowestPin.Value()) {
		c.Add("highestPin", valid.Show(l.HighestPin.Value()), "must be more than lowestPin")
	}
	valid.Optional(&c, "frameMass", l.FrameMass, minMass, maxMass)
	positionRange(&c, "frameCG", &l.FrameCG, maxLength)
	if given(l.FrameMass) && l.FrameCG.X.Unknown() {
		c.Add("frameCG.x", nil, "must be given with frameMass")
	}
	if !given(l.FrameMass) && l.FrameCG.given() {
		c.Add("frameMass", nil, "must be given with frameCG")
	}
	valid.Optional(&c, "armMass", l.ArmMass, minMass, maxMass)
	switch {
	case given(l.ArmMass):
		valid.Required(&c, "armCG", l.ArmCG, 0.01, maxLength, "must be given with armMass: distance from the pivot")
		if l.ArmCG.Value() > 0 && l.Arm.Value() > 0 && !(l.ArmCG.Value() <= 1.5*l.Arm.Value()) {
			c.Add("armCG", valid.Show(l.ArmCG.Value()), "must be at most 1.5 times arm")
		}
	case stated(l.ArmCG):
		c.Add("armMass", nil, "must be given with armCG")
	}
	valid.Optional(&c, "selfLeveling", l.SelfLeveling, 0, 1)
	if l.Cylinders != nil {
		c.Join("cylinders", l.Cylinders.validate())
		if len(l.Rated) > 0 {
			c.Add("rated", nil, "must be left out when cylinders is given")
		}
	}
	validateRated(&c, l)
	valid.Optional(&c, "breakOut", l.BreakOut, 10, 1e7)
	c.Join("manualBallast", l.ManualBallast.validate())
	valid.Optional(&c, "couplerRating", l.CouplerRating, minMass, maxRating)
	return c.Err()
}

// raises reports cylinders that do not push the arm up, of a loader whose fields
// are valid by themselves.
func (l *Loader) raises() error {
	var c units.FieldErrors
	if l.Cylinders != nil && singles(l) == nil {
		var k loaderModel
		l.compileInto(&k)
		for _, h := range []units.Length{l.LowestPin.Value(), l.HighestPin.Value()} {
			a := k.angle(float64(h))
			if arm, _ := k.cylinder(a); !(arm > 0) {
				c.Add("cylinders", nil, "must push the arm up from lowestPin to highestPin; at {height} they have no upward moment", valid.Value("height", h))
				break
			}
		}
	}
	return c.Err()
}

func validateRated(c *units.FieldErrors, l *Loader) {
	if len(l.Rated) > 100 {
		c.Add("rated", len(l.Rated), "must have at most 100 points")
		return
	}
	for i := range l.Rated {
		valid.JoinAt(c, "rated", i, l.checkRated(i))
	}
}

// checkRated reports the bad fields of a rated point.
func (l *Loader) checkRated(i int) error {
	var c units.FieldErrors
	p := &l.Rated[i]
	valid.Within(&c, "pinHeight", p.PinHeight, 0.01, maxHeight)
	if i > 0 && !(p.PinHeight >= l.Rated[i-1].PinHeight+0.01) {
		c.Add("pinHeight", valid.Show(p.PinHeight), "must be at least {least} above the one before", valid.Least(units.Centimeter))
	}
	if l.Arm.Value() > 0 && l.Pivot.Z.Known() && p.PinHeight > 0 && !(math.Abs(float64(p.PinHeight-l.Pivot.Z.Value())) <= maxArmSine*float64(l.Arm.Value())) {
		c.Add("pinHeight", valid.Show(p.PinHeight), "must be within reach of the arm")
	}
	valid.Within(&c, "atPin", p.AtPin, minMass, maxRating)
	valid.ZeroOr(&c, "ahead", p.Ahead, 0.05, 5)
	valid.ZeroOr(&c, "aheadMass", p.AheadMass, minMass, maxRating)
	switch {
	case p.Ahead == 0 && p.AheadMass != 0:
		c.Add("ahead", nil, "must be given with aheadMass")
	case p.Ahead != 0 && p.AheadMass == 0:
		c.Add("aheadMass", nil, "must be given with ahead")
	case p.AheadMass > p.AtPin:
		c.Add("aheadMass", valid.Show(p.AheadMass), "must be no more than atPin")
	case (p.Ahead != 0) != (l.Rated[0].Ahead != 0):
		c.Add("ahead", nil, "must be given at every rated point or at none")
	}
	return c.Err()
}

// Validate reports every bad field by its path, or nil.
func (k Cylinders) Validate() error { return k.validate() }

// validate is Validate without a copy of the value.
func (k *Cylinders) validate() error {
	var c units.FieldErrors
	valid.Required(&c, "base.ahead", k.Base.Ahead, -5, 5, "must be given; for a cylinder pinned straight below the arm's pivot give 0 m")
	valid.Required(&c, "base.above", k.Base.Above, -5, 5, "must be given: negative below the arm's pivot, as usual")
	if b := math.Hypot(float64(k.Base.Ahead.Value()), float64(k.Base.Above.Value())); b < 0.02 && singles(&k.Base) == nil {
		c.Add("base", nil, "must be at least {least} from the arm's pivot", valid.Least(2*units.Centimeter))
	}
	valid.Required(&c, "rodRadius", k.RodRadius, 0.05, maxLength, "must be given: pivot to rod pin")
	valid.Required(&c, "rodAngle", k.RodAngle, -90*units.Degree, 90*units.Degree, "must be given; for a rod pin on the line from the pivot to the attachment pin give 0 degrees")
	valid.Required(&c, "bore", k.Bore, 0.01, 0.5, "must be given: inner diameter of the cylinder")
	if k.Count < 1 || k.Count > 4 {
		c.Add("count", k.Count, "must be the number of lift cylinders, 1 to 4")
	}
	valid.Required(&c, "pressure", k.Pressure, units.GaugeBar, 1000*units.GaugeBar, "must be given: relief pressure")
	valid.Optional(&c, "friction", k.Friction, 0, maxFriction)
	return c.Err()
}

// maxFriction is the greatest share of the cylinders' force that is accepted as
// friction.
const maxFriction = 0.3

// Push returns what all cylinders together push with at relief pressure while the
// arms rise, F = n (pi/4) D^2 p (1 - f), with the friction f, 0 where it is not
// given. Held by TestPush and TestFriction.
func (k Cylinders) Push() units.Force {
	return units.Force(k.gross() * (1 - float64(k.Friction.Value())))
}

// gross is the force of the cylinders without friction.
func (k *Cylinders) gross() float64 {
	d := float64(k.Bore.Value())
	return float64(k.Count) * (math.Pi / 4) * d * d * float64(k.Pressure.Value())
}

// Pose says where the loader is and what it lifts there.
type Pose struct {
	// Angle is the arm's angle, positive up from the horizontal.
	Angle units.Angle
	// Pin is the attachment pin in the machine's frame.
	Pin stability.Point
	// CylinderLength is the distance between the cylinder's pins; zero
	// without cylinder geometry.
	CylinderLength units.Length
	// MomentArm is the cylinder's lever about the pivot; zero without
	// cylinder geometry.
	MomentArm units.Length
	// Lift is what the loader lifts at the pin on level ground, without
	// attachment, arms and carrier already taken off; zero if not rated at
	// this height.
	Lift units.Force
	// Reach is the effective reach X from the pivot side: a load z ahead of
	// the pin is lifted with Lift X/(X + z). Zero means that the lift does
	// not depend on z.
	Reach units.Length
}

// LiftAhead returns the lift z ahead of the pin: F X/(X + z), or F where the
// carrier only translates. z behind the pin counts as at the pin.
func (a Pose) LiftAhead(z units.Length) units.Force {
	if a.Reach == 0 || !(z > 0) {
		return a.Lift
	}
	return units.Force(float64(a.Lift) * float64(a.Reach) / float64(a.Reach+z))
}

// At returns the loader with the pin at a height over level ground, which
// must be from LowestPin to HighestPin. Lift from cylinders is
// (F m - m_arm g x_arm)/x_pin, with m = B C sin f / Lc and Lc^2 = B^2 + C^2 -
// 2 B C cos f (identity: m = dLc/da); an arm mass of zero counts as
// weightless here.
func (l Loader) At(pinHeight units.Length) (Pose, error) {
	if err := l.Validate(); err != nil {
		return Pose{}, err
	}
	if err := singles(&l); err != nil {
		return Pose{}, err
	}
	if !(pinHeight >= l.LowestPin.Value() && pinHeight <= l.HighestPin.Value()) {
		return Pose{}, units.NewFieldError("pinHeight", valid.Show(pinHeight), "must be between lowestPin and highestPin, {low} and {high}", valid.Low(l.LowestPin.Value()), valid.High(l.HighestPin.Value()))
	}
	k := l.compile()
	a := k.angle(float64(pinHeight))
	x, z := k.pin(a)
	out := Pose{Angle: units.Angle(a), Pin: stability.Point{X: units.Length(x), Z: units.Length(z)}}
	if k.cyl {
		m, length := k.cylinder(a)
		out.MomentArm, out.CylinderLength = units.Length(m), units.Length(length)
	}
	if moment, lever, ok := k.capacity(a, z); ok {
		r := x - k.px
		moment -= k.armMoment(a)
		out.Lift = units.Force(moment / r)
		if lever > 0 {
			out.Reach = units.Length(r / lever)
		}
	}
	return out, nil
}

// loaderModel is a loader compiled: float64 SI only.
type loaderModel struct {
	px, pz, r      float64
	low, high      float64
	armMass, armCG float64
	selfLeveling   float64
	cyl            bool
	b, baseAngle   float64 // pivot to cylinder base
	c, rodAngle    float64 // pivot to rod pin
	push           float64
	rated          []ratedLift
	hasReach       bool  // the rated points say how the lift falls ahead of the pin
	trig           *trig // of an evaluator; nil remembers nothing
}

// ratedLift is a rated point as one over the lift z ahead of the pin, which is
// inverse + slope z: the lift falls as X/(X + z), with X = e Fq/(Fp - Fq) from
// the lifts Fp at the pin and Fq e ahead of it.
type ratedLift struct {
	height, angle  float64 // of the pin and of the arm
	inverse, slope float64 // 1/N, 1/(N m)
}

func (l *Loader) compile() *loaderModel {
	k := new(loaderModel)
	l.compileInto(k)
	return k
}

// compileInto is compile in the place of another loader, whose room it takes.
func (l *Loader) compileInto(k *loaderModel) {
	*k = loaderModel{
		rated: k.rated[:0], trig: k.trig,
		px: float64(l.Pivot.X.Value()), pz: float64(l.Pivot.Z.Value()), r: float64(l.Arm.Value()),
		low: float64(l.LowestPin.Value()), high: float64(l.HighestPin.Value()),
		armMass: float64(l.ArmMass.Value()), armCG: float64(l.ArmCG.Value()),
		selfLeveling: float64(l.SelfLeveling.Value()),
	}
	if c := l.Cylinders; c != nil {
		k.cyl = true
		k.b = math.Hypot(float64(c.Base.Ahead.Value()), float64(c.Base.Above.Value()))
		k.baseAngle = math.Atan2(float64(c.Base.Above.Value()), float64(c.Base.Ahead.Value()))
		k.c = float64(c.RodRadius.Value())
		k.rodAngle = float64(c.RodAngle.Value())
		k.push = float64(c.Push())
	}
	for _, p := range l.Rated {
		at := ratedLift{height: float64(p.PinHeight), inverse: 1 / float64(p.AtPin.Weight(units.StandardGravity))}
		at.angle = k.angle(at.height)
		if p.Ahead != 0 {
			k.hasReach = true
			at.slope = (1/float64(p.AheadMass.Weight(units.StandardGravity)) - at.inverse) / float64(p.Ahead)
		}
		k.rated = append(k.rated, at)
	}
}

// armMoment returns the moment of the arm's own weight about the pivot on
// level ground, where lifts are rated.
func (k *loaderModel) armMoment(a float64) float64 {
	return float64(k.armMass * float64(units.StandardGravity) * k.armCG * math.Cos(a))
}

// angle returns the arm's angle with the pin at height z, which lies within
// its reach.
func (k *loaderModel) angle(z float64) float64 { return k.trig.asin((z - k.pz) / k.r) }

// pin returns the attachment pin with the arm at angle a.
func (k *loaderModel) pin(a float64) (x, z float64) {
	sin, cos := k.trig.sincos(a)
	return k.px + k.r*cos, k.pz + k.r*sin
}

// cylinder returns the cylinders' lever about the pivot, positive where
// pushing raises the arm, and their length.
func (k *loaderModel) cylinder(a float64) (arm, length float64) {
	sin, cos := k.trig.sincos(a + k.rodAngle - k.baseAngle)
	length = math.Sqrt(max(0, k.b*k.b+k.c*k.c-2*k.b*k.c*cos))
	if length < 1e-6 {
		return 0, length
	}
	return k.b * k.c * sin / length, length
}

// ratedAt returns one over the rated lift with the pin at height z; ok is false
// where the points do not say.
func (k *loaderModel) ratedAt(z float64) (at ratedLift, ok bool) {
	for i := range k.rated {
		p := &k.rated[i]
		switch {
		case math.Abs(z-p.height) <= reachSlack:
			return *p, true
		case i > 0 && z > k.rated[i-1].height && z < p.height:
			low := &k.rated[i-1]
			t := (z - low.height) / (p.height - low.height)
			at.inverse = float64((1-t)*low.inverse) + float64(t*p.inverse)
			at.slope = float64((1-t)*low.slope) + float64(t*p.slope)
			return at, true
		}
	}
	return at, false
}

// capacity returns the moment about the pivot that the lift can hold with
// the arm at angle a and the pin at height z, the arm's own weight included,
// and the lever: how much of a distance ahead of the pin counts, 1 for a
// locked carrier and 0 for one that only translates. ok is false where
// nothing says what the loader lifts.
func (k *loaderModel) capacity(a, z float64) (moment, lever float64, ok bool) {
	lever = 1 - k.selfLeveling
	if k.cyl {
		arm, _ := k.cylinder(a)
		return k.push * arm, lever, true
	}
	at, ok := k.ratedAt(z)
	if !ok {
		return 0, lever, false
	}
	x := k.r * math.Cos(a)
	if k.hasReach {
		lever = max(0, x*at.slope/at.inverse)
	}
	return x/at.inverse + k.armMoment(a), lever, true
}
