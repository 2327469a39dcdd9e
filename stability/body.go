package stability

import (
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Point is a place on the machine as it stands on level ground: x forward
// from the rear contact line, y to the left of the middle, z up from the
// ground (the axes of ISO 8855). The zero value is the ground midway between
// the rear contacts.
type Point struct {
	// X is the distance ahead of the rear contact line; behind it is negative.
	X units.Length `json:"x"`
	// Y is the distance to the left of the machine's middle plane.
	Y units.Length `json:"y" zero:"value"`
	// Z is the height above level ground.
	Z units.Length `json:"z"`
}

// Inertia is the inertia tensor of a part about its own center of gravity,
// in the machine's axes. XY, XZ and YZ are the tensor's off-diagonal elements
// with their sign (minus the integral of x y dm). The zero value is a point
// mass.
type Inertia struct {
	// XX is the moment of inertia in roll.
	XX units.Inertia `json:"xx"`
	// YY is the moment of inertia in pitch.
	YY units.Inertia `json:"yy"`
	// ZZ is the moment of inertia in yaw.
	ZZ units.Inertia `json:"zz"`
	// XY is the off-diagonal element between roll and pitch.
	XY units.Inertia `json:"xy"`
	// XZ is the off-diagonal element between roll and yaw.
	XZ units.Inertia `json:"xz"`
	// YZ is the off-diagonal element between pitch and yaw.
	YZ units.Inertia `json:"yz"`
}

// Part is a mass with a place: a tractor, an arm, a load, the liquid of a
// tire. Its zero value weighs nothing.
type Part struct {
	// Name is for the reader and changes no answer.
	Name string `json:"name,omitempty"`
	// Mass is the part's mass, 0 to 1000 t.
	Mass units.Mass `json:"mass"`
	// CG is the part's center of gravity with the machine on level ground,
	// within 50 m of the origin along each axis.
	CG Point `json:"cg"`
	// PitchRise is how much higher the center of gravity counts in pitch
	// because the part is a liquid with a free surface, 0 to 5 m: the second
	// moment of the surface about the lateral axis through it, divided by the
	// volume. For liquid in a tire it is the depth of the liquid's centroid
	// below the axle. The liquid then counts at axle height in pitch, because
	// the wheel can turn without moving it.
	PitchRise units.Length `json:"pitchRise,omitempty"`
	// RollRise is the same in roll: the second moment of the surface about its
	// longitudinal axis, divided by the volume, 0 to 5 m.
	RollRise units.Length `json:"rollRise,omitempty"`
	// Inertia is the part's own inertia, up to 1e9 kg m2 for each element;
	// zero is a point mass. Motions in time use all of it, and turns use the
	// elements XZ and YZ. Tipping limits at rest do not use it.
	Inertia Inertia `json:"inertia,omitzero"`
}

// Body is several parts combined into one. Its fields have the same meaning as
// in [Part].
type Body struct {
	// Mass is the sum of the parts' masses, above 0 and up to 1000 t.
	Mass units.Mass `json:"mass"`
	// CG is the common center of gravity.
	CG Point `json:"cg"`
	// PitchRise is the mean of the parts' pitch rises, weighted by mass.
	PitchRise units.Length `json:"pitchRise,omitempty"`
	// RollRise is the mean of the parts' roll rises, weighted by mass.
	RollRise units.Length `json:"rollRise,omitempty"`
	// Inertia is the inertia about the common center of gravity.
	Inertia Inertia `json:"inertia,omitzero"`
}

// The ranges outside which an input is an error. They are wider than any tractor
// or loader needs, and narrow enough to catch a length in the wrong unit.
const (
	maxMass    = 1e6 // kg
	maxReach   = 50  // m, of a center of gravity from the origin
	maxRise    = 5   // m
	maxInertia = 1e9 // kg m2
)

// between reports whether v is a number from lo to hi.
func between[Q ~float64](v, lo, hi Q) bool { return v >= lo && v <= hi }

func (p Point) validate(e *units.FieldErrors, path string) {
	if !between(p.X, -maxReach, maxReach) {
		beyondReach(e, units.JoinPath(path, "x"), p.X)
	}
	if !between(p.Y, -maxReach, maxReach) {
		beyondReach(e, units.JoinPath(path, "y"), p.Y)
	}
	if !between(p.Z, -maxReach, maxReach) {
		beyondReach(e, units.JoinPath(path, "z"), p.Z)
	}
}

func beyondReach(e *units.FieldErrors, path string, v units.Length) {
	e.Add(path, v, "must be between {low} and {high}", valid.Low[units.Length](-maxReach), valid.High[units.Length](maxReach))
}

func validateMass(e *units.FieldErrors, mass units.Mass, cg Point, pitch, roll units.Length, in Inertia, least units.Mass) {
	if !between(mass, least, maxMass) {
		if least > 0 {
			e.Add("mass", mass, "must be above 0 and at most {most}", valid.Most[units.Mass](maxMass))
		} else {
			e.Add("mass", mass, "must be between {low} and {high}", valid.Low[units.Mass](0), valid.High[units.Mass](maxMass))
		}
	}
	cg.validate(e, "cg")
	valid.Within(e, "pitchRise", pitch, 0, maxRise)
	valid.Within(e, "rollRise", roll, 0, maxRise)
	for _, v := range []struct {
		name  string
		value units.Inertia
		least units.Inertia
	}{
		{"xx", in.XX, 0}, {"yy", in.YY, 0}, {"zz", in.ZZ, 0},
		{"xy", in.XY, -maxInertia}, {"xz", in.XZ, -maxInertia}, {"yz", in.YZ, -maxInertia},
	} {
		if !between(v.value, v.least, maxInertia) {
			e.Add("inertia."+v.name, v.value, "must be between {low} and {high}", valid.Low(v.least), valid.High[units.Inertia](maxInertia))
		}
	}
	// The principal moments of a real body are not negative. The minors check
	// this without eigenvalues.
	xx, yy, zz := float64(in.XX), float64(in.YY), float64(in.ZZ)
	xy, xz, yz := float64(in.XY), float64(in.XZ), float64(in.YZ)
	if xy*xy > xx*yy*(1+1e-9) || xz*xz > xx*zz*(1+1e-9) || yz*yz > yy*zz*(1+1e-9) ||
		xx*yz*yz+yy*xz*xz+zz*xy*xy-2*xy*xz*yz > xx*yy*zz*(1+1e-9) {
		e.Add("inertia", nil, "must have off-diagonal elements that are small enough for the moments of inertia")
	}
}

// Validate reports every field of the part that is out of range, by its JSON
// name.
func (p Part) Validate() error {
	var e units.FieldErrors
	validateMass(&e, p.Mass, p.CG, p.PitchRise, p.RollRise, p.Inertia, 0)
	return e.Err()
}

// Validate reports every field of the body that is out of range, by its JSON
// name. A body must have mass.
func (b Body) Validate() error {
	var e units.FieldErrors
	validateMass(&e, b.Mass, b.CG, b.PitchRise, b.RollRise, b.Inertia, math.SmallestNonzeroFloat64)
	return e.Err()
}

// Part returns the body as a part without a name.
func (b Body) Part() Part {
	return Part{Mass: b.Mass, CG: b.CG, PitchRise: b.PitchRise, RollRise: b.RollRise, Inertia: b.Inertia}
}

// Assemble returns the body made of the parts: the sum of the masses, the
// common center of gravity, the mean free-surface rises weighted by mass, and
// the inertia about the common center of gravity by the parallel-axis
// theorem. The order of the parts changes only the last digits. A part out of
// range is an error whose path begins with "parts[i]". It is also an error if no
// part has mass.
func Assemble(parts ...Part) (Body, error) {
	var e units.FieldErrors
	var m, x, y, z, kp, kr float64
	for i := range parts {
		p := &parts[i]
		if err := p.Validate(); err != nil {
			e.Join(units.Index("parts", i), err)
			continue
		}
		w := float64(p.Mass)
		m += w
		x += float64(w * float64(p.CG.X))
		y += float64(w * float64(p.CG.Y))
		z += float64(w * float64(p.CG.Z))
		kp += float64(w * float64(p.PitchRise))
		kr += float64(w * float64(p.RollRise))
	}
	if e.Len() == 0 && !between(m, math.SmallestNonzeroFloat64, maxMass) {
		e.Add("parts", m, "must have a total mass above 0 and at most {most}", valid.Most[units.Mass](maxMass))
	}
	if err := e.Err(); err != nil {
		return Body{}, err
	}
	b := Body{
		Mass:      units.Mass(m),
		CG:        Point{X: units.Length(x / m), Y: units.Length(y / m), Z: units.Length(z / m)},
		PitchRise: units.Length(kp / m),
		RollRise:  units.Length(kr / m),
	}
	for i := range parts {
		p := &parts[i]
		w := float64(p.Mass)
		dx, dy, dz := float64(p.CG.X-b.CG.X), float64(p.CG.Y-b.CG.Y), float64(p.CG.Z-b.CG.Z)
		b.Inertia.XX += p.Inertia.XX + units.Inertia(w*(float64(dy*dy)+float64(dz*dz)))
		b.Inertia.YY += p.Inertia.YY + units.Inertia(w*(float64(dx*dx)+float64(dz*dz)))
		b.Inertia.ZZ += p.Inertia.ZZ + units.Inertia(w*(float64(dx*dx)+float64(dy*dy)))
		b.Inertia.XY += p.Inertia.XY - units.Inertia(w*dx*dy)
		b.Inertia.XZ += p.Inertia.XZ - units.Inertia(w*dx*dz)
		b.Inertia.YZ += p.Inertia.YZ - units.Inertia(w*dy*dz)
	}
	return b, nil
}
