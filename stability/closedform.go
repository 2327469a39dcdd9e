package stability

import (
	"math"
	"math/cmplx"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// WorstRebound is the greatest value of [Rebound] at any speed: 1.716, at a
// frequency ratio of 0.732. A bump of half a sine wave under the rear axle alone
// keeps contact at every speed if it is lower than the tires' static deflection
// over this.
const WorstRebound units.Fraction = 1.7156

// Rebound returns by how much an undamped axle rises above its rest on the tire,
// as a share of the height of a half-sine bump that it has passed, at a frequency
// ratio r = pi v/(w p), with v the speed, w the length of the bump and p the
// axle's circular frequency. It is the larger of the greatest
// (sin s - r sin(s/r))/(1 - r^2) - sin s on the bump, s from 0 to pi, and
// 2 r |cos(pi/(2 r))|/|1 - r^2| after it. Ratios from 0.01 to 100; outside, an
// error. Source: response spectrum of a half-sine pulse, textbooks of shock.
func Rebound(ratio units.Fraction) (units.Fraction, error) {
	r := float64(ratio)
	if !between(r, 0.01, 100) {
		var e units.FieldErrors
		e.Add("ratio", ratio, "must be from 0.01 to 100")
		return 0, e.Err()
	}
	if math.Abs(r-1) < 1e-6 {
		r = 1 + 1e-6
	}
	after := 2 * r * math.Abs(math.Cos(math.Pi/(2*r))) / math.Abs(1-r*r)
	on := func(s float64) float64 { return (math.Sin(s)-r*math.Sin(s/r))/(1-r*r) - math.Sin(s) }
	return units.Fraction(max(after, greatest(on, 0, math.Pi, 64+int(8/r)))), nil
}

// greatest returns the greatest value of a smooth function in an interval, by a
// grid and golden section about its best point.
func greatest(f func(float64) float64, from, to float64, steps int) float64 {
	best, at := math.Inf(-1), from
	d := (to - from) / float64(steps)
	for i := range steps + 1 {
		x := from + d*float64(i)
		if y := f(x); y > best {
			best, at = y, x
		}
	}
	a, b := max(from, at-d), min(to, at+d)
	const golden = 0.6180339887498949
	for range 60 {
		x, y := b-golden*(b-a), a+golden*(b-a)
		if f(x) > f(y) {
			b = y
		} else {
			a = x
		}
	}
	return max(best, f((a+b)/2))
}

// KeepsContact returns the height of a half-sine bump below which the rear tires
// keep contact at every speed if only the rear axle passes it: the static
// deflection of the tires over [WorstRebound]. It counts with the softest and the
// stiffest tires that fit. Damping, the front axle's passage and edges are left
// out, so that it is a rule of thumb beside [PassageModel.At].
func (m *PassageModel) KeepsContact() units.Range[units.Length] {
	var o units.Range[units.Length]
	for i := range m.variants[:m.n] {
		var g motion
		m.set(&g, &m.variants[i], float64(m.p.Load.Mass), 1)
		a := &g.plane.axle[0]
		h := units.Length(a.static / a.k / float64(WorstRebound))
		if i == 0 {
			o = units.Range[units.Length]{Low: h, High: h}
		}
		widen(&o, h)
	}
	return o
}

// neverOver is the highest speed of [PassageModel.StoppedDead].
const neverOver units.Speed = 1000

// StoppedDead returns a lower bound of the speed at which the machine goes over
// its front axle when the front wheels are stopped dead, by a curb or a hole:
//
//	v = sqrt(2 g I (sqrt(d^2 + z^2) - z)/(m z^2))
//
// with d the distance of the center of gravity behind the front contact, z its
// height and I the pitch inertia about the front contact: the turn about that
// contact keeps the angular momentum m v z. It is the range over the inertias that
// fit. The followed motion needed 1.02 to 1.41 times as much on two machines. A machine that stands
// at or past its tipping load has 0; 1000 m/s stands for more. Held by TestStoppedDead.
func (m *PassageModel) StoppedDead() units.Range[units.Speed] {
	var o units.Range[units.Speed]
	for i := range m.variants[:m.n] {
		var g motion
		m.set(&g, &m.variants[i], float64(m.p.Load.Mass), 1)
		p := &g.plane
		z, d := g.after[1], p.axle[1].x
		v := units.Speed(0)
		if d > 0 {
			arm := math.Hypot(d, z)
			v = min(neverOver, units.Speed(math.Sqrt(2*p.g*(p.inertia+p.mass*arm*arm)*(arm-z)/(p.mass*z*z))))
		}
		if i == 0 {
			o = units.Range[units.Speed]{Low: v, High: v}
		}
		widen(&o, v)
	}
	return o
}

// Crawl returns the load on the rear axle at a standstill with the axles on
// ground that is higher or lower than level by front and rear, at most 1 m either
// way, with the squat of the tires: the limit of a passage as the speed goes to
// zero. With a the pitch, nose down positive,
//
//	N = W ((L - x) cos a - (z - rf) sin a)/(L cos a + (rf - rr) sin a)
//
// where W is the weight, L the wheelbase, x and z the place of the center of
// gravity, rf and rr the loaded radii. A load of zero or less means that the
// machine does not stand so. Held by TestCrawl.
func (m *PassageModel) Crawl(front, rear units.Length) (units.Range[units.Force], error) {
	var e units.FieldErrors
	valid.Within(&e, "front", front, -1, 1)
	valid.Within(&e, "rear", rear, -1, 1)
	if err := e.Err(); err != nil {
		return units.Range[units.Force]{}, err
	}
	var o units.Range[units.Force]
	for i := range m.variants[:m.n] {
		var g motion
		m.set(&g, &m.variants[i], float64(m.p.Load.Mass), 1)
		n := units.Force(g.plane.crawl(float64(front), float64(rear)))
		if i == 0 {
			o = units.Range[units.Force]{Low: n, High: n}
		}
		widen(&o, n)
	}
	return o, nil
}

// crawl returns the load on the rear axle at a standstill.
func (p *planar) crawl(front, rear float64) float64 {
	r, f := &p.axle[0], &p.axle[1]
	weight := p.mass * p.g
	base, rise := f.x-r.x, f.z-r.z
	n := r.static
	for range 60 {
		// the fall of the line of the wheels' centers from rear to front
		fall := rear + r.radius - n/r.k - (front + f.radius - (weight-n)/f.k)
		s := math.Asin(min(1, max(-1, fall/math.Hypot(base, rise))))
		sin, cos := math.Sincos(s + math.Atan2(rise, base))
		n = weight * (f.x*cos + f.z*sin) / (base*cos + rise*sin)
	}
	return n
}

// RearOnHalfSine returns the least load on the rear axle when both axles pass the
// passage's half-sine bump at a held speed, by the sum of the two modes of the
// undamped machine, small pitch, front and rear with the lag of the wheelbase, up
// to 1.5 s after the bump. It holds while no tire lifts; a load below zero means that the rear tires do. It is
// the range over the machines that fit, and an error for another obstacle. Source:
// modal superposition, textbooks of vibration.
func (m *PassageModel) RearOnHalfSine(speed units.Speed) (units.Range[units.Force], error) {
	return m.rearOn(ObstacleHalfSine, speed, (*planar).onHalfSine)
}

// modes are the two undamped modes of heave and pitch.
type modes struct {
	omega [2]float64
	shape [2]vec2 // heave and pitch, scaled to unit modal mass
}

func (p *planar) modes() (m modes) {
	r, f := &p.axle[0], &p.axle[1]
	// A wheel's rise is heave - x pitch, nose down positive. With heave scaled by
	// sqrt(m) and pitch by sqrt(I), the matrix of stiffness is symmetric.
	a := (r.k + f.k) / p.mass
	b := -(r.k*r.x + f.k*f.x) / math.Sqrt(p.mass*p.inertia)
	c := (r.k*r.x*r.x + f.k*f.x*f.x) / p.inertia
	turn := math.Atan2(2*b, a-c) / 2
	sin, cos := math.Sincos(turn)
	for i, v := range []vec2{{cos, sin}, {-sin, cos}} {
		m.omega[i] = math.Sqrt(max(0, a*v.x*v.x+2*b*v.x*v.z+c*v.z*v.z))
		m.shape[i] = vec2{v.x / math.Sqrt(p.mass), v.z / math.Sqrt(p.inertia)}
	}
	return m
}

// onHalfSine returns the least load on the rear axle over a half-sine bump.
func (p *planar) onHalfSine() float64 {
	m := p.modes()
	r, f := &p.axle[0], &p.axle[1]
	length := p.to - p.from
	w, d := math.Pi*p.speed/length, length/p.speed // circular frequency and time of the bump
	lag := (f.x - r.x) / p.speed
	load := func(t float64) float64 {
		rise := -p.height * halfSine(w, d, t-lag)
		for i, om := range m.omega {
			s := m.shape[i]
			wheel := [2]float64{s.x - r.x*s.z, s.x - f.x*s.z}
			q := p.height * (r.k*wheel[0]*pulse(om, w, d, t-lag) + f.k*wheel[1]*pulse(om, w, d, t))
			rise += wheel[0] * q
		}
		return r.static - r.k*rise
	}
	end := lag + d + 1.5 // as a passage ends
	fast := max(m.omega[0], m.omega[1], w)
	return -greatest(func(t float64) float64 { return -load(t) }, 0, end, int(12*fast*end/math.Pi)+64)
}

// halfSine is the bump of height 1 under a wheel at a time.
func halfSine(w, d, t float64) float64 {
	if t <= 0 || t >= d {
		return 0
	}
	return math.Sin(w * t)
}

// pulse returns the response of an undamped mode of unit mass to a force of half
// a sine wave.
func pulse(om, w, d, t float64) float64 {
	if t <= 0 {
		return 0
	}
	if math.Abs(om-w) < 1e-7*w {
		om = w * (1 + 1e-7)
	}
	one := func(t float64) float64 { return (math.Sin(w*t) - w/om*math.Sin(om*t)) / (om*om - w*w) }
	if t <= d {
		return one(t)
	}
	// What follows after the bump is the sine that begins at its end, added to the
	// one that began with it.
	return one(t) + one(t-d)
}

// RearOnRandomGround returns the standard deviation of the load on the rear axle
// at a held speed on random ground of the passage's class, by the spectrum of ISO
// 8608 and the transfer functions of the damped machine, small pitch, front and
// rear with the lag of the wheelbase:
//
//	s^2 = integral of |H(2 pi n v)|^2 Gd(n) dn
//
// from 0.011 to 2.83 per meter. The tires are taken never to lift, which is a
// figure to be read with the load at rest: with a standard deviation of a third
// of that load the tires lift about once in a thousand oscillations. It is the
// range over the machines that fit, and an error for another obstacle. Held by
// TestRandomGround.
func (m *PassageModel) RearOnRandomGround(speed units.Speed) (units.Range[units.Force], error) {
	return m.rearOn(ObstacleRandom, speed, func(p *planar) float64 {
		const bands = 2000
		ratio := math.Pow(roughMost/roughLeast, 1.0/bands)
		sum := 0.0
		for j := range bands {
			low := roughLeast * math.Pow(ratio, float64(j))
			n := low * math.Sqrt(ratio)
			h := cmplx.Abs(p.transfer(2 * math.Pi * n * float64(speed)))
			sum += h * h * roughness(m.p.Obstacle.Class, n) * low * (ratio - 1)
		}
		return math.Sqrt(sum)
	})
}

// rearOn returns the range of a force over the machines that fit, for one kind of
// obstacle.
func (m *PassageModel) rearOn(kind ObstacleKind, speed units.Speed, of func(*planar) float64) (o units.Range[units.Force], err error) {
	if err := checkSpeed("speed", speed); err != nil {
		return o, err
	}
	if m.p.Obstacle.Kind != kind {
		var e units.FieldErrors
		e.Add("obstacle.kind", m.p.Obstacle.Kind.String(), "must be {kind} for this form", units.Word("kind", "stability.obstacleKind."+kind.String(), kind.String()))
		return o, e.Err()
	}
	for i := range m.variants[:m.n] {
		var g motion
		m.set(&g, &m.variants[i], float64(m.p.Load.Mass), float64(speed))
		n := units.Force(of(&g.plane))
		if i == 0 {
			o = single(n)
		}
		widen(&o, n)
	}
	return o, nil
}

// transfer returns the amplitude of the rear load for ground that rises and falls
// with an amplitude of 1 under the front axle, and later under the rear.
func (p *planar) transfer(w float64) complex128 {
	r, f := &p.axle[0], &p.axle[1]
	kr, kf := complex(r.k, w*r.c), complex(f.k, w*f.c)
	rear := cmplx.Exp(complex(0, -w*(f.x-r.x)/p.speed))
	xr, xf := complex(r.x, 0), complex(f.x, 0)
	// A wheel's rise is heave - x pitch.
	a := kr + kf - complex(p.mass*w*w, 0)
	b := -(kr*xr + kf*xf)
	d := kr*xr*xr + kf*xf*xf - complex(p.inertia*w*w, 0)
	u, v := kr*rear+kf, -(kr*xr*rear + kf*xf)
	det := a*d - b*b
	heave, pitch := (u*d-b*v)/det, (a*v-b*u)/det
	return kr * (rear - heave + xr*pitch)
}
