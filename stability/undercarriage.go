package stability

import (
	"math"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// UndercarriageKind says how a machine stands on its wheels. In JSON:
// "pivotingFront", "rigid", "articulated", "tricycle" or "pivotingRear"; the
// zero value is "unknown", which no undercarriage may keep.
type UndercarriageKind uint8

// The kinds of undercarriage.
const (
	// UndercarriageUnknown is the zero value: the kind was not given, which is an
	// error. No kind is the least stable in every case, so none can serve as a
	// cautious default.
	UndercarriageUnknown UndercarriageKind = iota
	// PivotingFront is a front axle that rolls freely about a pin on the
	// machine's middle plane, between stops: the usual tractor.
	PivotingFront
	// Rigid is four wheels without any freedom between them.
	Rigid
	// Articulated is two halves with a joint, which steer and roll against each
	// other. The front half, with its wheels, is the undercarriage's Axle. The
	// roll axis is longitudinal in the rear half at PinHeight.
	Articulated
	// Tricycle is two rear wheels and one front wheel, or two close together
	// on one fork, in the middle plane.
	Tricycle
	// PivotingRear is a rear axle that rolls freely about a pin, under a body
	// that stands on its front wheels.
	PivotingRear
)

var undercarriageNames = []string{"unknown", "pivotingFront", "rigid", "articulated", "tricycle", "pivotingRear"}

// Undercarriage describes the contacts of a machine with the ground and the
// freedom of motion between them. Kind, wheelbase and tracks must be given. For
// every other field zero means "not known": the answer then says so, or the
// limits that need the field are not checked.
type Undercarriage struct {
	// Kind is how the machine stands. It must be given.
	Kind UndercarriageKind `json:"kind"`
	// Wheelbase is the distance from the rear to the front contact line, 0.5
	// to 10 m.
	Wheelbase units.Length `json:"wheelbase"`
	// RearTrack is the distance between the middles of the rear contacts, 0.2
	// to 6 m.
	RearTrack units.Length `json:"rearTrack"`
	// FrontTrack is the same at the front, 0.2 to 6 m; a tricycle ignores it.
	FrontTrack units.Length `json:"frontTrack"`
	// PinHeight is the height of the axle's pin, or of an articulated machine's
	// roll axis, above level ground, 0 to 5 m. Zero means not known: the pin is
	// then taken as on the ground, the answer says so, and the true limit may be
	// lower. Rigid machines and tricycles ignore it.
	PinHeight units.Length `json:"pinHeight"`
	// StopAngle is how far the pivoting axle, or the pivoting half, may roll to
	// either side before it meets its stop, 0 to 45 degrees. Zero means not known;
	// it does not mean rigid. What depends on the stop is then not checked.
	StopAngle units.Angle `json:"stopAngle,omitempty"`
	// Axle is the mass that rolls with the pivoting axle and not with the body:
	// the axle, its wheels and their ballast, or the front half of an articulated
	// machine, at its place when the joint is straight. A mass of zero means not
	// known: all mass is then taken to roll with the body, the answer says so, and
	// the true limit may be lower. For a rigid machine or a tricycle it counts with
	// the body.
	Axle Part `json:"axle,omitzero"`
	// JointX is how far an articulated machine's joint lies ahead of the rear
	// contact line, 0 to the wheelbase. It must be given, above 0, unless the
	// machine is Straight. Other kinds ignore it.
	JointX units.Length `json:"jointX,omitempty"`
	// JointAngle is how far an articulated machine's front half points to the
	// left of the rear half, at most 60 degrees either way. Zero means not known,
	// unless the machine is Straight: the least of the limits over all bends then
	// counts, and the answer says so. Other kinds ignore it.
	JointAngle units.Angle `json:"jointAngle,omitempty"`
	// Straight says that an articulated machine's joint is not bent. Other
	// kinds ignore it.
	Straight bool `json:"straight,omitempty"`
	// MaxJointAngle is how far an articulated machine's joint can bend to
	// either side, 0 to 60 degrees. Zero means not known: 45 degrees are then
	// taken where needed (common practice, no source), and the answer says so.
	MaxJointAngle units.Angle `json:"maxJointAngle,omitempty"`
	// RearAxleHeight is the height of the rear wheels' centers above level
	// ground, their static loaded radius, 0 to 2 m. Zero means not known:
	// what depends on it is then not checked.
	RearAxleHeight units.Length `json:"rearAxleHeight,omitempty"`
	// RearTireStiffness is the radial stiffness of one rear tire, 10 to
	// 100 000 kN/m. Zero means not known: tires are then taken as rigid, and
	// the answer says so.
	RearTireStiffness units.Stiffness `json:"rearTireStiffness,omitempty"`
}

// Validate reports every field of the undercarriage that is out of range, by
// its JSON name.
func (u Undercarriage) Validate() error {
	var e units.FieldErrors
	if u.Kind == UndercarriageUnknown {
		e.Add("kind", nil, choice.OneOf, choice.Of[UndercarriageKind](undercarriageNames))
	} else if !choice.Known(undercarriageNames, u.Kind) {
		e.Add("kind", u.Kind, choice.OneOf, choice.Of[UndercarriageKind](undercarriageNames))
	}
	valid.Within(&e, "wheelbase", u.Wheelbase, valid.MinWheelbase, valid.MaxWheelbase)
	valid.Within(&e, "rearTrack", u.RearTrack, valid.MinTrack, valid.MaxTrack)
	least := valid.MinTrack
	if u.Kind == Tricycle {
		least = 0
	}
	valid.Within(&e, "frontTrack", u.FrontTrack, least, valid.MaxTrack)
	valid.Within(&e, "pinHeight", u.PinHeight, 0, 5)
	valid.Within(&e, "stopAngle", u.StopAngle, 0, 45*units.Degree)
	e.Join("axle", u.Axle.Validate())
	if u.Axle.Mass > 0 {
		if u.Axle.CG.Z <= 0 {
			e.Add("axle.cg.z", u.Axle.CG.Z, "must be above the ground")
		}
		x, l := u.Axle.CG.X, u.Wheelbase
		switch u.Kind {
		case PivotingFront:
			if !between(x, l/2, 3*l/2) {
				e.Add("axle.cg.x", x, "must be near the front axle, at half to one and a half wheelbases")
			}
		case PivotingRear:
			if !between(x, -l/2, l/2) {
				e.Add("axle.cg.x", x, "must be near the rear axle, within half a wheelbase of it")
			}
		}
	}
	if !between(u.JointX, 0, u.Wheelbase) {
		e.Add("jointX", u.JointX, "must be from 0 to the wheelbase")
	}
	valid.Within(&e, "jointAngle", u.JointAngle, -60*units.Degree, 60*units.Degree)
	valid.Within(&e, "maxJointAngle", u.MaxJointAngle, 0, 60*units.Degree)
	if u.Kind == Articulated {
		if u.JointX == 0 && !u.Straight {
			e.Add("jointX", nil, "must be given; it is the joint's distance ahead of the rear contact line")
		}
		if u.Straight && u.JointAngle != 0 {
			e.Add("jointAngle", u.JointAngle, "must be 0 if straight is set")
		}
		if most := u.MaxJointAngle; most > 0 && !between(u.JointAngle, -most, most) {
			e.Add("jointAngle", u.JointAngle, "must be at most maxJointAngle, either way")
		}
	}
	valid.Within(&e, "rearAxleHeight", u.RearAxleHeight, 0, 2)
	if u.RearTireStiffness != 0 && !between(u.RearTireStiffness, 1e4, 1e8) {
		e.Add("rearTireStiffness", u.RearTireStiffness, "must be left out or be between {low} and {high}", valid.Low[units.Stiffness](1e4), valid.High[units.Stiffness](1e8))
	}
	return e.Err()
}

// bent reports whether the contacts are not on two parallel axles.
func (u *Undercarriage) bent() bool { return u.Kind == Articulated && u.JointAngle != 0 }

// pinned reports whether an axle or a half rolls freely against the body.
func (u *Undercarriage) pinned() bool { return u.Kind.pinned() }

func (k UndercarriageKind) pinned() bool {
	return k == PivotingFront || k == Articulated || k == PivotingRear
}

// halfFront returns half of the front track for the equations: zero if one wheel
// stands in the middle.
func (u *Undercarriage) halfFront() float64 {
	if u.Kind == Tricycle {
		return 0
	}
	return float64(u.FrontTrack) / 2
}

// contacts returns the ground contacts in the order front left, front right, rear
// left, rear right, and the front wheels' rolling direction.
func (u *Undercarriage) contacts() (c [4][2]float64, rolling [2]float64) {
	l, t, f := float64(u.Wheelbase), float64(u.RearTrack)/2, u.halfFront()
	rolling = [2]float64{1, 0}
	c[0], c[1] = [2]float64{l, f}, [2]float64{l, -f}
	if u.bent() {
		j := float64(u.JointX)
		sin, cos := math.Sincos(float64(u.JointAngle))
		rolling = [2]float64{cos, sin}
		c[0] = [2]float64{j + (l-j)*cos - f*sin, (l-j)*sin + f*cos}
		c[1] = [2]float64{j + (l-j)*cos + f*sin, (l-j)*sin - f*cos}
	}
	c[2], c[3] = [2]float64{0, t}, [2]float64{0, -t}
	return c, rolling
}
