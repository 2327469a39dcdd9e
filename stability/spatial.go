package stability

import "math"

// spatial is a machine in space that holds its speed, with wheels of one side on an
// obstacle. The body, with the load rigid on it and the front axle's mass at the
// pin, stands on three points that are fixed in it: the rear contacts and the pin.
// Its states are the place of its center of gravity against the steady motion, and
// yaw, pitch (nose down positive) and roll (to the right positive), turned in this
// order. Each point stands on a vertical spring and damper, the pin on those of both
// front tires, and is held along and across by springs of a share of that stiffness
// while it carries load. With an open differential the rear wheels are held along
// together and the front wheels not at all, so that nothing but the forces across
// resists yaw. What gravity pulls along, the rear wheels hold in proportion
// to their loads. The dampers feel the body's speed alone. The ground under a wheel is
// the envelope of the obstacle by the wheel, as if a rigid circle of its loaded radius
// rolled over it. The front axle has no inertia: it lies on the ground under the front
// wheels until it meets its stop, and from there on turns with the body and compresses
// one front tire.
type spatial struct {
	terrain
	mass      float64
	weight    vec // of a kilogram
	tensor    tensor
	inverse   tensor
	cg        vec
	point     [3]vec // rear left, rear right, pin
	arm       [3]vec // the same from the center of gravity
	wheelbase float64
	half      [2]float64 // half of the tracks, rear and front
	radius    [2]float64 // loaded radii, rear and front
	k, c      [2]float64 // of a rear tire, of both front tires
	static    [2]float64 // load of a rear tire and of the pin at rest on level ground
	passes    [4]bool    // rear left, rear right, front left, front right
	stop      float64    // +Inf where there is none
	speed     float64
	open      bool // the differential
	pulls     bool // for a test: a front tire on the stop pulls as well as it presses
	// what the last call of rate saw
	force [3]float64
	gap   [2]float64 // between a rear tire and the ground
	axes  axes
	held  float64 // moment of the stop on the body
}

// heldShare is the stiffness and damping with which a wheel is held along and
// across, as a share of the radial ones (common practice, no source).
const heldShare = 0.6

// The states of a motion in space: places, then rates.
const (
	atWay = iota // how far the ground has moved back
	atX          // from where the steady motion puts it
	atY
	atZ
	atRoll
	atPitch
	atYaw
	rateX
	rateY
	rateZ
	spinX // about the body's own axes
	spinY
	spinZ
	numSpatial
)

// axes are the body's axes as seen from the ground.
type axes [3]vec

// rate is the balance of forces and of moments about the center of gravity.
func (p *spatial) rate(s, into *state) {
	sr, cr := math.Sincos(s[atRoll])
	sp, cp := math.Sincos(s[atPitch])
	sy, cy := math.Sincos(s[atYaw])
	m := axes{
		{cy * cp, sy * cp, -sp},
		{cy*sp*sr - sy*cr, sy*sp*sr + cy*cr, cp * sr},
		{cy*sp*cr + sy*sr, sy*sp*cr - cy*sr, cp * cr},
	}
	p.axes = m
	u, v, w := s[spinX], s[spinY], s[spinZ]
	omega := vec{m[0][0]*u + m[1][0]*v + m[2][0]*w, m[0][1]*u + m[1][1]*v + m[2][1]*w, m[0][2]*u + m[1][2]*v + m[2][2]*w}
	var height [4]float64
	for i, on := range p.passes {
		if on {
			ax := i >> 1
			height[i] = p.under(s[atWay]+float64(ax)*p.wheelbase, p.radius[ax])
		}
	}
	fx, fy, fz := p.mass*p.weight[0], p.mass*p.weight[1], p.mass*p.weight[2]
	var mx, my, mz, rearX, rearY, rearZ float64 // contacts of the rear wheels, times their loads
	for i := range p.point {
		ax, under := i>>1, (height[2]+height[3])/2
		if i < 2 {
			under = height[i]
		}
		q := &p.arm[i]
		x := m[0][0]*q[0] + m[1][0]*q[1] + m[2][0]*q[2]
		y := m[0][1]*q[0] + m[1][1]*q[1] + m[2][1]*q[2]
		z := m[0][2]*q[0] + m[1][2]*q[1] + m[2][2]*q[2]
		k, c := p.k[ax], p.c[ax]
		press := p.static[ax] + k*(under-s[atZ]-z+q[2])
		n := 0.0
		if press > 0 {
			n = max(0, press-c*(s[rateZ]+omega[0]*y-omega[1]*x))
		}
		p.force[i] = n
		if i < 2 {
			p.gap[i] = -press / k
		}
		if n == 0 {
			continue
		}
		hx := 0.0
		if !p.open {
			hx = -heldShare * (k*(s[atX]+x-q[0]) + c*(s[rateX]+omega[1]*z-omega[2]*y))
		}
		hy := -heldShare * (k*(s[atY]+y-q[1]) + c*(s[rateY]+omega[2]*x-omega[0]*z))
		fx, fy, fz = fx+hx, fy+hy, fz+n
		mx, my, mz = mx+y*n-z*hy, my+z*hx-x*n, mz+x*hy-y*hx
		if i < 2 {
			rearX, rearY, rearZ = rearX+n*x, rearY+n*y, rearZ+n*z
		}
	}
	if load := p.force[0] + p.force[1]; load > 0 {
		x, y, z := rearX/load, rearY/load, rearZ/load
		hold := -p.mass * p.weight[0]
		if p.open {
			hold -= 2 * heldShare * (p.k[0]*(s[atX]+x-p.arm[0][0]) + p.c[0]*(s[rateX]+omega[1]*z-omega[2]*y))
		}
		fx, my, mz = fx+hold, my+z*hold, mz-y*hold
	}
	p.held = 0
	tilt := (height[2] - height[3]) / (2 * p.half[1])
	if past := math.Abs(s[atRoll]-tilt) - p.stop; past > 0 {
		// One front tire takes load from the other, all of it at most.
		most := p.force[2] * p.half[1]
		if p.pulls {
			most = math.Inf(1)
		}
		p.held = -math.Copysign(min(p.k[1]*square(p.half[1])*past, most), s[atRoll]-tilt)
		mx, my, mz = mx+m[0][0]*p.held, my+m[0][1]*p.held, mz+m[0][2]*p.held
	}
	yaw := (v*sr + w*cr) / cp
	into[atWay], into[atX], into[atY], into[atZ] = p.speed, s[rateX], s[rateY], s[rateZ]
	into[atYaw], into[atPitch], into[atRoll] = yaw, v*cr-w*sr, u+yaw*sp
	into[rateX], into[rateY], into[rateZ] = fx/p.mass, fy/p.mass, fz/p.mass
	// the moment about the body's own axes, less what the spin takes
	t := &p.tensor
	lx, ly, lz := t[0][0]*u+t[0][1]*v+t[0][2]*w, t[1][0]*u+t[1][1]*v+t[1][2]*w, t[2][0]*u+t[2][1]*v+t[2][2]*w
	x := m[0][0]*mx + m[0][1]*my + m[0][2]*mz - (v*lz - w*ly)
	y := m[1][0]*mx + m[1][1]*my + m[1][2]*mz - (w*lx - u*lz)
	z := m[2][0]*mx + m[2][1]*my + m[2][2]*mz - (u*ly - v*lx)
	t = &p.inverse
	into[spinX] = t[0][0]*x + t[0][1]*y + t[0][2]*z
	into[spinY] = t[1][0]*x + t[1][1]*y + t[1][2]*z
	into[spinZ] = t[2][0]*x + t[2][1]*y + t[2][2]*z
}

// under returns the height of the ground under a wheel: for rigid profiles the
// envelope of a circle of the wheel's radius less that radius, for the others the
// height below the wheel's center.
func (t *terrain) under(x, r float64) (height float64) {
	switch t.kind {
	case ObstacleLevel:
		return 0
	case ObstacleHalfSine, ObstacleRandom:
		return -t.at(x, 0).distance
	}
	height = math.Inf(-1)
	// corners lift the circle where they are within its radius
	corner := func(at, h float64) {
		if d := x - at; math.Abs(d) < r {
			up := math.Sqrt(r*r - d*d)
			height = max(height, h+up-r)
		}
	}
	switch h := t.floor; t.kind {
	case ObstacleHump:
		if x <= t.from || x >= t.to {
			height = max(height, 0)
		}
		d := x - t.arc.x
		if px := t.arc.x + d/(t.radius+r)*t.radius; px >= t.from && px <= t.to {
			up := math.Sqrt(square(t.radius+r) - d*d)
			height = max(height, t.arc.z+up-r)
		} else {
			height = max(height, 0)
		}
	default:
		if x > t.from && x < t.to {
			height = max(height, h)
		} else {
			height = max(height, 0)
		}
		high := max(h, 0)
		corner(t.from, high)
		if t.kind == ObstacleBox || t.kind == ObstacleRut {
			corner(t.to, high)
		}
	}
	return height
}
