package stability

import "math"

// spatial is a machine in space that holds its speed along x, with wheels of one
// side on an obstacle. The body, with the load rigid on it and the front axle's mass
// at the pin, has the states of its center of gravity, and yaw, pitch (nose down
// positive) and roll (to the right positive), turned in this order. The axle rolls
// about the pin by an angle of its own against the ground, up to its stop, which is
// a stiff spring. Each tire is a spring and a damper along the normal of the ground
// at the lowest point of a thin disk; sideways it is another, from the line that the
// wheel follows, limited by friction. The ground under a wheel is the envelope of
// the obstacle by the wheel, as if a rigid circle of its loaded radius rolled over it. What gravity pulls
// along x the rear wheels hold, in proportion to their loads.
type spatial struct {
	terrain
	mass       float64
	weight     vec // of a kilogram
	tensor     tensor
	inverse    tensor
	cg, pin    vec        // in the machine's axes
	half       [2]float64 // half of the tracks, rear and front
	radius     [2]float64 // of the unloaded tires
	center     [2]float64 // height of the wheels' centers at rest on level ground
	k, c       [2]float64 // of one tire
	passes     [4]bool    // rear left, rear right, front left, front right
	axle       float64    // roll inertia of the axle about the pin
	axleMoment float64    // mass of the axle times the height of its center above the pin
	stop       float64    // +Inf where there is none
	stopK      float64
	stopC      float64
	speed, mu  float64
	locked     bool // horizontal springs at the rear contacts and the pin hold the machine
	// what the last call of rate saw
	force [4]float64
	gap   [4]float64 // between tire and ground
	held  float64    // moment of the stop on the body
}

// lateralShare is the lateral stiffness and damping of a tire as a share of the
// radial one (common practice, no source).
const lateralShare = 0.6

// The states of a motion in space: places, then rates.
const (
	atWay = iota // of the ground under the machine
	atX          // from where the held speed puts it
	atY
	atZ
	atRoll
	atPitch
	atYaw
	atAxle
	rateX
	rateY
	rateZ
	spinX // about the body's own axes
	spinY
	spinZ
	rateAxle
	numSpatial
)

// axes returns the body's axes as seen from the ground.
func axes(roll, pitch, yaw float64) (m [3]vec) {
	sr, cr := math.Sincos(roll)
	sp, cp := math.Sincos(pitch)
	sy, cy := math.Sincos(yaw)
	return [3]vec{
		{cy * cp, sy * cp, -sp},
		{cy*sp*sr - sy*cr, sy*sp*sr + cy*cr, cp * sr},
		{cy*sp*cr + sy*sr, sy*sp*cr - cy*sr, cp * cr},
	}
}

// out returns a vector of the body as seen from the ground, in the opposite of in.
func out(m *[3]vec, a vec) vec {
	return m[0].times(a[0]).plus(m[1].times(a[1])).plus(m[2].times(a[2]))
}

func in(m *[3]vec, a vec) vec { return vec{m[0].dot(a), m[1].dot(a), m[2].dot(a)} }

// rate is the balance of forces and of moments about the center of gravity, and of
// the axle's moments about the pin.
func (p *spatial) rate(s, into *state) {
	m := axes(s[atRoll], s[atPitch], s[atYaw])
	spin := vec{s[spinX], s[spinY], s[spinZ]}
	omega := out(&m, spin)
	at, v := vec{p.cg[0] + s[atWay] + s[atX], s[atY], s[atZ]}, vec{p.speed + s[rateX], s[rateY], s[rateZ]}
	force, moment := p.weight.times(p.mass), vec{}
	var load float64 // on the rear tires
	var where vec    // their common point, times load
	// the rear wheels are fixed to the body
	for i := range 2 {
		side := p.half[0] * float64(1-2*i)
		arm := out(&m, vec{0, side, p.center[0]}.minus(p.cg))
		arm, f, gap := p.contact(i, s, arm, m[1], omega, v, at, side)
		p.force[i], p.gap[i] = f[2], gap
		if f[2] == 0 {
			continue
		}
		if p.locked {
			f = p.lock(0, vec{s[atX] + p.cg[0] + arm[0], at[1] + arm[1] - side}, v.plus(omega.cross(arm)), f)
		}
		force, moment = force.plus(f), moment.plus(arm.cross(f))
		load, where = load+f[2], where.plus(arm.times(f[2]))
	}
	if load > 0 && !p.locked {
		hold := vec{-p.mass * p.weight[0]}
		moment = moment.plus(where.times(1 / load).cross(hold))
	}
	// the front wheels are fixed to the axle
	arm := out(&m, p.pin.minus(p.cg))
	sa, ca := math.Sincos(s[atAxle])
	sy, cy := math.Sincos(s[atYaw])
	side, up, ahead := vec{-sy * ca, cy * ca, sa}, vec{sy * sa, -cy * sa, ca}, vec{cy, sy, 0}
	yaw := (spin[1]*math.Sin(s[atRoll]) + spin[2]*math.Cos(s[atRoll])) / math.Cos(s[atPitch])
	turn := ahead.times(s[rateAxle]).plus(vec{0, 0, yaw})
	pin, pinV := at.plus(arm), v.plus(omega.cross(arm))
	onAxle := p.axleMoment * (up[1]*p.weight[2] - up[2]*p.weight[1])
	for i := range 2 {
		y := p.half[1] * float64(1-2*i)
		from := side.times(y).plus(up.times(p.center[1] - p.pin[2]))
		from, f, gap := p.contact(2+i, s, from, side, turn, pinV, pin, y)
		p.force[2+i], p.gap[2+i] = f[2], gap
		if f[2] == 0 {
			continue
		}
		if p.locked {
			f = p.lock(1, vec{s[atX] + p.cg[0] + arm[0] - p.pin[0], pin[1]}, pinV, f)
			force, moment = force.plus(f), moment.plus(arm.cross(f))
			onAxle += y * f[2]
			continue
		}
		force, moment = force.plus(f), moment.plus(arm.cross(f))
		onAxle += from.cross(f).dot(ahead)
	}
	// The stop acts about the body's own axis.
	p.held = 0
	if rel := s[atRoll] - s[atAxle]; math.Abs(rel) > p.stop {
		rollRate := spin[0] + yaw*math.Sin(s[atPitch])
		past := rel - math.Copysign(p.stop, rel)
		p.held = -p.stopK*past - p.stopC*(rollRate-s[rateAxle])
		if p.held*rel > 0 {
			p.held = 0 // a stop does not pull
		}
		moment = moment.plus(m[0].times(p.held))
		onAxle -= p.held
	}
	sr, cr := math.Sincos(s[atRoll])
	into[atWay], into[atX], into[atY], into[atZ] = p.speed, s[rateX], s[rateY], s[rateZ]
	into[atYaw] = yaw
	into[atPitch] = spin[1]*cr - spin[2]*sr
	into[atRoll] = spin[0] + yaw*math.Sin(s[atPitch])
	into[atAxle] = s[rateAxle]
	into[rateX] = 0
	if p.locked {
		into[rateX] = force[0] / p.mass
	}
	into[rateY], into[rateZ] = force[1]/p.mass, force[2]/p.mass
	about := p.inverse.of(in(&m, moment).minus(spin.cross(p.tensor.of(spin))))
	into[spinX], into[spinY], into[spinZ] = about[0], about[1], about[2]
	into[rateAxle] = onAxle / p.axle
}

// lock replaces the horizontal force on a wheel by that of springs.
func (p *spatial) lock(ax int, d, v, f vec) vec {
	return vec{-lateralShare * (p.k[ax]*d[0] + p.c[ax]*(v[0]-p.speed)), -lateralShare * (p.k[ax]*d[1] + p.c[ax]*v[1]), f[2]}
}

// contact returns the point at which a wheel touches the ground, from the point that
// from starts at, the force of the ground on it, and the gap between them. The
// wheel turns about the axis a; base is the place of that point and v its velocity.
func (p *spatial) contact(wheel int, s *state, from, a, omega, v, base vec, line float64) (arm, f vec, gap float64) {
	ax := wheel >> 1
	center := base.plus(from)
	flat := math.Sqrt(max(1e-6, 1-a[2]*a[2]))
	height, rise := 0.0, 0.0
	if p.passes[wheel] {
		height, rise = p.under(center[0], p.center[ax])
	}
	gap = center[2] - p.radius[ax]*flat - height
	if gap >= 0 {
		return from, vec{}, gap
	}
	centerV := v.plus(omega.cross(from))
	tilt := omega.cross(a)[2]
	closing := rise*centerV[0] - centerV[2] - p.radius[ax]*a[2]*tilt/flat
	n := p.c[ax]*closing - p.k[ax]*gap
	if n <= 0 {
		return from, vec{}, gap
	}
	// down in the plane of the wheel, to the ground
	down := vec{a[0] * a[2], a[1] * a[2], a[2]*a[2] - 1}.times((center[2] - height) / (flat * flat))
	arm = from.plus(down)
	slip := v[1] + omega.cross(arm)[1]
	grip := p.mu * n
	lateral := -lateralShare * (p.k[ax]*(base[1]+arm[1]-line) + p.c[ax]*slip)
	return arm, vec{0, min(grip, max(-grip, lateral)), n}, gap
}

// under returns the height of the ground under a wheel and how fast it rises along
// the way: for rigid profiles the envelope of a circle of the wheel's radius less
// that radius, for the others the height below the wheel's center.
func (t *terrain) under(x, r float64) (height, rise float64) {
	switch t.kind {
	case ObstacleLevel:
		return 0, 0
	case ObstacleHalfSine, ObstacleRandom:
		c := t.at(x, 0)
		return -c.distance, c.rise
	}
	height = math.Inf(-1)
	see := func(h, slope float64) {
		if h > height {
			height, rise = h, slope
		}
	}
	// corners lift the circle where they are within its radius
	corner := func(at, h float64) {
		if d := x - at; math.Abs(d) < r {
			up := math.Sqrt(r*r - d*d)
			see(h+up-r, -d/up)
		}
	}
	switch h := t.floor; t.kind {
	case ObstacleHump:
		if x <= t.from || x >= t.to {
			see(0, 0)
		}
		d := x - t.arc.x
		if px := t.arc.x + d/(t.radius+r)*t.radius; px >= t.from && px <= t.to {
			up := math.Sqrt(square(t.radius+r) - d*d)
			see(t.arc.z+up-r, -d/up)
		} else {
			see(0, 0)
		}
	default:
		if x > t.from && x < t.to {
			see(h, 0)
		} else {
			see(ground(t, x), 0)
		}
		high := max(h, 0)
		corner(t.from, high)
		if t.kind == ObstacleBox || t.kind == ObstacleRut {
			corner(t.to, high)
		}
	}
	return height, rise
}

func ground(t *terrain, x float64) float64 {
	if x >= t.to && (t.kind == ObstacleStepUp || t.kind == ObstacleDrop) {
		return t.floor
	}
	return 0
}
