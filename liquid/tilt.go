package liquid

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// MaxTilt is the largest tilt of a wheel that the tilted methods take.
const MaxTilt units.Angle = 60 * units.Degree

// Tilted is liquid in a wheel whose axle is not level, by camber or on a side
// slope.
type Tilted struct {
	// Level is the vertical height of the surface over the wheel's center,
	// negative below it.
	Level units.Length
	// Volume of the liquid.
	Volume units.Volume
	// Depth is how far the centroid lies from the axle's line, square to the
	// axle, toward the ground.
	Depth units.Length
	// Offset is how far the centroid lies along the axle from the wheel's
	// center plane, toward the lower side.
	Offset units.Length
}

// CentroidDepth returns the vertical distance of the centroid below the
// wheel's center for the tilt that made the answer.
func (t Tilted) CentroidDepth(tilt units.Angle) units.Length {
	return units.Length(float64(t.Depth)*tilt.Cos() + float64(t.Offset)*math.Abs(tilt.Sin()))
}

// TiltedAt returns the liquid below a level plane at the height z over the
// wheel's center when the axle is tilted out of level by an angle, either
// way, up to [MaxTilt].
//
// The cavity is cut square to the axle into rings. The part of each ring below
// the plane is the difference of two circular segments, whose areas and moments
// are closed forms, so one integral along the axle remains. It is not compiled
// and costs about two thousand times as much as [Cavity.Volume].
func (c *Cavity) TiltedAt(z units.Length, tilt units.Angle) (Tilted, error) {
	if err := checkTilt(tilt); err != nil {
		return Tilted{}, err
	}
	if !(math.Abs(float64(z)) <= 10) {
		return Tilted{}, units.NewFieldError("level", valid.Show(z), "must be between {low} and {high}", valid.Low[units.Length](-10), valid.High[units.Length](10))
	}
	v := c.tilted(float64(z), tilt)
	// This integral and the compiled one differ in the last digits of the full
	// volume.
	t := Tilted{Level: z, Volume: units.Volume(math.Min(math.Max(v[0], 0), float64(c.FullVolume())))}
	if v[0] > 0 {
		t.Depth = units.Length(-v[2] / v[0])
		t.Offset = units.Length(-v[1] / v[0])
	}
	return t, nil
}

// TiltedFor returns where a volume of liquid stands when the axle is tilted:
// the inverse of [Cavity.TiltedAt]. A volume that the cavity cannot hold is
// an error.
func (c *Cavity) TiltedFor(v units.Volume, tilt units.Angle) (Tilted, error) {
	var e units.FieldErrors
	e.Join("", checkTilt(tilt))
	full := float64(c.FullVolume())
	if !(v >= 0 && float64(v) <= full*(1+1e-12)) {
		e.Add("volume", valid.Show(v), "must be from zero to the full volume, {most}", valid.Most(units.Volume(full)))
	}
	if err := e.Err(); err != nil {
		return Tilted{}, err
	}
	reach := c.p.rc + c.p.w // no point of the cavity is higher
	z, err := numeric.Root(func(z float64) float64 { return c.tilted(z, tilt)[0] - float64(v) }, -reach, reach, 1e-12)
	if err != nil {
		// the full volume differs from the integral in the last digits
		z = reach
	}
	return c.TiltedAt(units.Length(z), tilt)
}

func checkTilt(tilt units.Angle) error {
	if !(math.Abs(float64(tilt)) <= float64(MaxTilt)) {
		return units.NewFieldError("tilt", valid.Show(tilt), "must be at most {most} either way", valid.Most(MaxTilt))
	}
	return nil
}

// tilted returns the volume, its moment along the axle toward the raised side,
// and its moment square to the axle away from the ground.
func (c *Cavity) tilted(height float64, tilt units.Angle) [3]float64 {
	p := &c.p.profile
	sin, cos := math.Sincos(math.Abs(float64(tilt)))
	ring := func(y float64) (inner, outer float64) {
		a := math.Abs(y)
		outer = p.rm + (p.rc-p.rm)*math.Pow(math.Max(1-math.Pow(2*a/p.w, p.n), 0), 1/p.n)
		switch {
		case 2*a <= p.ww:
			inner = p.rw
		case 2*a <= p.wb:
			inner = p.rb
		default:
			inner = p.rb + (p.rm-p.rb)*(2*a-p.wb)/(p.w-p.wb)
		}
		return inner, outer
	}
	// The substitution y = side w/2 (1-s^3) removes the superellipse's root
	// singularity from the integrand.
	at := func(side, s float64) [3]float64 {
		y := side * p.w / 2 * (1 - s*s*s)
		dy := p.w / 2 * 3 * s * s
		inner, outer := ring(y)
		z := (height - y*sin) / cos
		if z <= -c.flat {
			return [3]float64{}
		}
		ao, mo := segment(outer, z)
		ai, mi := segment(inner, z)
		if c.flat < p.rc {
			fo, go_ := segment(outer, -c.flat)
			fi, gi := segment(inner, -c.flat)
			ao, mo, ai, mi = ao-fo, mo-go_, ai-fi, mi-gi
		}
		a := ao - ai
		return [3]float64{a * dy, a * y * dy, (mo - mi) * dy}
	}
	breaks := [4]float64{0, math.Cbrt(1 - p.wb/p.w), math.Cbrt(1 - p.ww/p.w), 1}
	var sum [3]float64
	for _, side := range [2]float64{-1, 1} {
		f := func(s float64) [3]float64 { return at(side, s) }
		for i := range 3 {
			a, b := breaks[i], breaks[i+1]
			if b > a {
				adapt(f, a, b, gauss(f, a, b), 1e-12*c.whole, 40, &sum)
			}
		}
	}
	return sum
}

// segment returns the area of a disk of radius r below the height z over its
// center, and the moment of that area about the center's level.
func segment(r, z float64) (area, moment float64) {
	switch {
	case z <= -r:
		return 0, 0
	case z >= r:
		return math.Pi * r * r, 0
	}
	h := math.Sqrt((r - z) * (r + z))
	return r*r*(math.Pi/2+math.Asin(z/r)) + z*h, -2.0 / 3 * h * h * h
}

func gauss(f func(float64) [3]float64, a, b float64) (sum [3]float64) {
	rule := numeric.Legendre(12)
	for i, x := range rule.X {
		v := f((a + b + (b-a)*x) / 2)
		for k := range v {
			sum[k] += rule.W[i] * (b - a) / 2 * v[k]
		}
	}
	return sum
}

// adapt halves the interval until the halves agree with the whole.
func adapt(f func(float64) [3]float64, a, b float64, whole [3]float64, tol float64, depth int, sum *[3]float64) {
	m := (a + b) / 2
	l, r := gauss(f, a, m), gauss(f, m, b)
	good := true
	for k := range whole {
		good = good && math.Abs(l[k]+r[k]-whole[k]) <= tol
	}
	if good || depth == 0 {
		for k := range whole {
			sum[k] += l[k] + r[k]
		}
		return
	}
	adapt(f, a, m, l, tol, depth-1, sum)
	adapt(f, m, b, r, tol, depth-1, sum)
}
