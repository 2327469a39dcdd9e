package stability

import (
	"math"
	"math/rand/v2"
)

// terrain is the ground along a wheel's path. Edges and steps are rigid lines,
// touched by the tire's circle at the point that is nearest to its center. A base
// is a height under the wheel's center, to which the tire's lowest point refers.
type terrain struct {
	kind             ObstacleKind
	from, to, height float64
	floor            float64 // height of the ground between from and to
	arc              vec2    // center of a round hump
	radius           float64 // of the hump
	waves            []wave  // of random ground
	corners          [6]vec2 // of a rigid profile, along the way
	n                int
}

// wave is one sine of random ground: amplitude sin(number x + phase).
type wave struct{ amplitude, number, phase float64 }

// vec2 is a point along the way: x forward, z up.
type vec2 struct{ x, z float64 }

// touch is where a wheel may touch the ground: the distance of the wheel's
// center from it, the direction from the ground to the center, and how fast the
// ground rises along the way under the center.
type touch struct {
	distance, nx, nz, rise float64
}

// far is where a profile begins and ends.
const far = 1e4

// profile sets the corners of a rigid profile.
func (t *terrain) profile() {
	add := func(x, z float64) {
		t.corners[t.n] = vec2{x, z}
		t.n++
	}
	t.n = 0
	add(-far, 0)
	t.floor = t.height
	if t.kind == ObstacleRut || t.kind == ObstacleDrop {
		t.floor = -t.height
	}
	switch h := t.floor; t.kind {
	case ObstacleBox, ObstacleRut:
		add(t.from, 0)
		add(t.from, h)
		add(t.to, h)
		add(t.to, 0)
		add(far, 0)
	case ObstacleStepUp, ObstacleDrop:
		add(t.from, 0)
		add(t.from, h)
		add(far, h)
		t.to = far
	case ObstacleHump:
		w := t.to - t.from
		t.radius = (w*w/4 + h*h) / (2 * h)
		t.arc = vec2{(t.from + t.to) / 2, h - t.radius}
	default:
		add(far, 0)
	}
}

// at returns the touch of a wheel whose center is at x, z.
func (t *terrain) at(x, z float64) touch {
	switch t.kind {
	case ObstacleLevel:
		return touch{z, 0, 1, 0}
	case ObstacleHalfSine:
		if x > t.from && x < t.to {
			n := math.Pi / (t.to - t.from)
			sin, cos := math.Sincos(n * (x - t.from))
			return touch{z - t.height*sin, 0, 1, t.height * n * cos}
		}
		return touch{z, 0, 1, 0}
	case ObstacleRandom:
		return t.atRandom(x, z)
	case ObstacleHump:
		return t.atHump(x, z)
	}
	ground := 0.0
	if x > t.from && x < t.to {
		ground = t.floor
	}
	if z -= ground; math.Abs(x-t.from) > z && math.Abs(x-t.to) > z {
		return touch{z, 0, 1, 0} // no edge is nearer than the ground below
	}
	z += ground
	best, dx, dz := math.Inf(1), 0.0, 0.0
	for i := 1; i < t.n; i++ {
		a, b := t.corners[i-1], t.corners[i]
		if a.x > x+best || b.x < x-best {
			continue
		}
		// A side of a profile is level or upright.
		ux, uz := x-min(max(x, a.x), b.x), z-min(max(z, min(a.z, b.z)), max(a.z, b.z))
		if d := ux*ux + uz*uz; d < best*best {
			best, dx, dz = math.Sqrt(d), ux, uz
		}
	}
	if !(best > 1e-9) {
		return touch{0, 0, 1, 0}
	}
	return touch{best, dx / best, dz / best, 0}
}

func (t *terrain) atHump(x, z float64) touch {
	// the level ground before and behind the hump
	flat := x
	if x > t.from && x < t.to {
		if flat = t.from; t.to-x < x-t.from {
			flat = t.to
		}
	}
	best, dx, dz := math.Hypot(x-flat, z), x-flat, z
	cx, cz := x-t.arc.x, z-t.arc.z
	if r := math.Hypot(cx, cz); r > 0 {
		// the arc reaches from end to end, where it stands on the ground
		if px := t.arc.x + cx/r*t.radius; px >= t.from && px <= t.to && cz > 0 && r-t.radius < best {
			best, dx, dz = r-t.radius, cx/r, cz/r
			return touch{best, dx, dz, 0}
		}
	}
	if !(best > 1e-9) {
		return touch{0, 0, 1, 0}
	}
	return touch{best, dx / best, dz / best, 0}
}

// The spectrum of ISO 8608: displacement power spectral density Gd(n) of
// Gd(n0) (n/n0)^-2, n0 = 0.1 per meter, from 0.011 to 2.83 per meter; Gd(n0) is
// 16e-6 m3 for class A and four times as much for each further class (geometric
// means of the classes).
const (
	roughReference = 0.1
	roughLeast     = 0.011
	roughMost      = 2.83
	roughClassA    = 16e-6
	roughRamp      = 2.0 // m, on which the roughness sets in
	numWaves       = 96
)

// roughness returns Gd(n) of a class.
func roughness(c GroundClass, n float64) float64 {
	return roughClassA * math.Pow(4, float64(c)-float64(GroundA)) * square(roughReference/n)
}

// prepare sets what follows from an obstacle. Random ground is a sum of sines, one
// in each of 96 bands of equal ratio, with phases by the seed.
func (t *terrain) prepare(o *Obstacle) {
	t.profile()
	if o.Kind != ObstacleRandom {
		return
	}
	random := rand.New(rand.NewPCG(o.Seed, 8608))
	t.waves = make([]wave, numWaves)
	ratio := math.Pow(roughMost/roughLeast, 1.0/numWaves)
	for i := range t.waves {
		low := roughLeast * math.Pow(ratio, float64(i))
		n := low * math.Sqrt(ratio)
		t.waves[i] = wave{
			amplitude: math.Sqrt(2 * roughness(o.Class, n) * low * (ratio - 1)),
			number:    2 * math.Pi * n,
			phase:     2 * math.Pi * random.Float64(),
		}
	}
}

// atRandom returns the touch on random ground.
func (t *terrain) atRandom(x, z float64) touch {
	ramp := min(1, (x-t.from)/roughRamp)
	if ramp <= 0 || x >= t.to {
		return touch{z, 0, 1, 0}
	}
	slope := 0.0
	if ramp < 1 {
		slope = 1 / roughRamp
	}
	var height, rise float64
	for i := range t.waves {
		w := &t.waves[i]
		sin, cos := math.Sincos(w.number*(x-t.from) + w.phase)
		height += w.amplitude * sin
		rise += w.amplitude * w.number * cos
	}
	// At the far end the ground goes back to level as it set in.
	if left := (t.to - x) / roughRamp; left < 1 {
		ramp, slope = ramp*left, slope*left-ramp/roughRamp
	}
	return touch{z - ramp*height, 0, 1, ramp*rise + slope*height}
}
