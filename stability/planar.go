package stability

import "math"

// planar is a machine in its middle plane that passes over a terrain. The body,
// with the load rigid on it, moves forward (X), up (Z) and in pitch (q, nose down
// positive); its axles are fixed to it. Each tire is a radial spring and damper on
// the nearest point of the ground: with R0 the radius of the unloaded tire, d = R0
// less the distance, f = max(0, k d + c dd/dt) along the contact normal. A drive
// or a brake acts along the ground, and is limited by friction.
type planar struct {
	terrain
	mass, inertia  float64
	g              float64
	ahead, above   float64 // the machine's own center of gravity, without its load, from the common one
	axle           [2]axle // rear, front
	speed, tau, mu float64
	braking        float64 // deceleration asked for
	drive          Drive
	// what the last call of rate saw
	sin, cos float64
	touch    [2]touch
	force    [2]float64
}

// axle is one axle and its tires.
type axle struct {
	x, z   float64 // of the wheel's center, from the center of gravity
	radius float64 // R0
	k, c   float64 // stiffness and damping of the axle
	static float64 // load at rest on level ground
}

// wheel returns the center of a wheel and its velocity.
func (p *planar) wheel(i int, s *state, sin, cos float64) (x, z, vx, vz float64) {
	a := &p.axle[i]
	dx, dz := a.x*cos+a.z*sin, a.z*cos-a.x*sin
	return s[0] + dx, s[1] + dz, s[3] + s[5]*dz, s[4] - s[5]*dx
}

// contact finds where a wheel touches the ground and with what force.
func (p *planar) contact(i int, s *state, sin, cos float64) {
	x, z, vx, vz := p.wheel(i, s, sin, cos)
	t := p.at(x, z)
	a := &p.axle[i]
	d := a.radius - t.distance
	f := 0.0
	if d > 0 {
		f = max(0, a.k*d-a.c*(vx*t.nx+vz*t.nz-t.rise*vx))
	}
	p.touch[i], p.force[i] = t, f
}

// along returns the force along the ground on each axle, forward positive.
func (p *planar) along(s *state) (rear, front float64) {
	grip := [2]float64{p.mu * p.force[0], p.mu * p.force[1]}
	switch p.drive {
	case DriveHeld:
		want := p.mass * (p.speed - p.pace(s)) / p.tau
		return min(grip[0], max(-grip[0], want)), 0
	case BrakeRear:
		want := p.mass * min(p.braking, max(-p.braking, s[3]/brakeRelease))
		return -min(grip[0], max(-grip[0], want)), 0
	case BrakeAll:
		want := p.mass * min(p.braking, max(-p.braking, s[3]/brakeRelease))
		if sum := p.force[0] + p.force[1]; sum > 0 {
			want = min(p.mu, max(-p.mu, want/sum))
			return -want * p.force[0], -want * p.force[1]
		}
	}
	return 0, 0
}

// pace is the speed that the drive goes by: that of the machine's own center
// of gravity, without the load.
func (p *planar) pace(s *state) float64 {
	return s[3] + s[5]*(p.above*p.cos-p.ahead*p.sin)
}

// rate is the balance of forces and of moments about the center of gravity.
func (p *planar) rate(s, into *state) {
	sin, cos := math.Sincos(s[2])
	p.sin, p.cos = sin, cos
	p.contact(0, s, sin, cos)
	p.contact(1, s, sin, cos)
	var along [2]float64
	if p.drive != Coasting {
		along[0], along[1] = p.along(s)
	}
	var fx, fz, moment float64
	for i := range 2 {
		f, t := p.force[i], &p.touch[i]
		if f == 0 {
			continue
		}
		a := &p.axle[i]
		tx, tz := t.nz, -t.nx
		x, z := f*t.nx+along[i]*tx, f*t.nz+along[i]*tz
		// the point of contact, from the center of gravity
		dx, dz := a.x*cos+a.z*sin-t.nx*t.distance, a.z*cos-a.x*sin-t.nz*t.distance
		fx, fz = fx+x, fz+z
		moment += dz*x - dx*z
	}
	into[0], into[1], into[2] = s[3], s[4], s[5]
	if p.drive == heldAtCG {
		fx = 0
	}
	into[3], into[4], into[5] = fx/p.mass, fz/p.mass-p.g, moment/p.inertia
}
