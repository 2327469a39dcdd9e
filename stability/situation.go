package stability

import (
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Situation describes where the machine stands and how it moves. Its zero value
// is level ground, at rest or at a steady speed, without a drawbar pull.
type Situation struct {
	// Slope is the inclination of the ground, 0 to 85 degrees.
	Slope units.Slope `json:"slope,omitempty"`
	// Heading is where the nose points: 0 straight uphill, 90 degrees across
	// the slope with downhill on the right, 180 straight downhill, 270 (or
	// -90) across with downhill on the left. It is at most one turn either way.
	Heading units.Angle `json:"heading,omitempty"`
	// Acceleration is that of the machine along its own x axis, parallel to the
	// ground. It is positive when speeding up forward and negative when braking
	// while driving forward, at most 100 m/s2 either way.
	Acceleration units.Acceleration `json:"acceleration,omitempty"`
	// LateralAcceleration is that along the machine's y axis, parallel to the
	// ground. It is positive in a turn to the left, at most 100 m/s2 either way.
	LateralAcceleration units.Acceleration `json:"lateralAcceleration,omitempty"`
	// FrontShare is the share of the longitudinal holding, driving or braking
	// force that the front wheels take, half on each side, 0 to 1. At zero the
	// front wheels roll freely.
	FrontShare units.Fraction `json:"frontShare,omitempty"`
	// RearBias shifts the rear wheels' longitudinal force to one side, -1 to 1:
	// 1 is all on the left, -1 all on the right, and 0 equal, as an open
	// differential shares it. The lift rows ignore it, because the lifting wheel
	// has no longitudinal force.
	RearBias units.Fraction `json:"rearBias,omitempty"`
	// Friction is the coefficient of friction between the wheels and the
	// ground, 0 to 2. Zero means not known: sliding is then not checked.
	Friction units.Fraction `json:"friction,omitempty"`
	// Held says which wheels keep the machine from rolling down the slope. Held
	// affects when the machine slides, and FrontShare when it tips.
	Held Held `json:"held,omitempty"`
	// Drawbar is what pulls at the hitch.
	Drawbar Drawbar `json:"drawbar,omitzero"`
}

// Drawbar is a pull on the body at the hitch. The zero value is none.
type Drawbar struct {
	// Pull is the force with which the load holds the machine back, at most
	// 10 MN either way; a negative pull pushes the machine forward.
	Pull units.Force `json:"pull"`
	// Hitch is the point where the pull acts, within 50 m; X is negative behind
	// the rear axle.
	Hitch Point `json:"hitch"`
	// Inclination is how far the pull points down below the machine's
	// rearward axis, within 90 degrees.
	Inclination units.Angle `json:"inclination,omitempty"`
	// Deflection is how far the pull points to the machine's left of straight
	// back, within 90 degrees.
	Deflection units.Angle `json:"deflection,omitempty"`
}

// Validate reports every field of the situation that is out of range, by its
// JSON name.
func (s Situation) Validate() error {
	var e units.FieldErrors
	valid.Within(&e, "slope", s.Slope, 0, (85 * units.Degree).Slope())
	valid.Heading(&e, "heading", s.Heading)
	valid.Within(&e, "acceleration", s.Acceleration, -100, 100)
	valid.Within(&e, "lateralAcceleration", s.LateralAcceleration, -100, 100)
	valid.Within(&e, "frontShare", s.FrontShare, 0, 1)
	valid.Within(&e, "rearBias", s.RearBias, -1, 1)
	valid.Within(&e, "friction", s.Friction, 0, 2)
	if int(s.Held) >= len(heldNames) {
		e.Add("held", int(s.Held), "must be one of rear, front, all")
	}
	if d := s.Drawbar; d != (Drawbar{}) {
		valid.Within(&e, "drawbar.pull", d.Pull, -1e7, 1e7)
		d.Hitch.validate(&e, "drawbar.hitch")
		valid.Within(&e, "drawbar.inclination", d.Inclination, -units.Turn/4, units.Turn/4)
		valid.Within(&e, "drawbar.deflection", d.Deflection, -units.Turn/4, units.Turn/4)
	}
	return e.Err()
}

// gravity returns g, or standard gravity if g is zero.
func gravity(g units.Acceleration) float64 {
	if g == 0 {
		g = units.StandardGravity
	}
	return float64(g)
}

// headingSincos returns the sine and cosine of a heading. They are exact in the
// four main directions, so that mirror images stay exact mirror images.
func headingSincos(h units.Angle) (sin, cos float64) {
	sin, cos = math.Sincos(float64(h))
	if math.Abs(sin) < 1e-15 {
		sin = 0
	}
	if math.Abs(cos) < 1e-15 {
		cos = 0
	}
	return sin, cos
}

// specificWeight returns the force per mass that acts on every part: gravity
// less the machine's acceleration, in the machine's axes.
func (s *Situation) specificWeight(g float64) [3]float64 {
	sinB, cosB := math.Sincos(float64(s.Slope))
	sinH, cosH := headingSincos(s.Heading)
	return [3]float64{
		-float64(g*sinB*cosH) - float64(s.Acceleration),
		-float64(g*sinB*sinH) - float64(s.LateralAcceleration),
		-g * cosB,
	}
}

// wrench returns the drawbar's force and its moment about the origin.
func (d *Drawbar) wrench() (w [7]float64) {
	if d.Pull == 0 {
		return w
	}
	p := float64(d.Pull)
	sinI, cosI := math.Sincos(float64(d.Inclination))
	sinD, cosD := math.Sincos(float64(d.Deflection))
	fx, fy, fz := -p*cosI*cosD, p*cosI*sinD, -p*sinI
	x, y, z := float64(d.Hitch.X), float64(d.Hitch.Y), float64(d.Hitch.Z)
	return [7]float64{fx, fy, fz,
		float64(y*fz) - float64(z*fy), float64(z*fx) - float64(x*fz), float64(x*fy) - float64(y*fx), 0}
}
