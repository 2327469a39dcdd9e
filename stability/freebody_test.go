package stability_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// This file holds the loads and the limits to free bodies: every body of a
// machine by itself, with the forces on it and the reactions of its pin as
// unknowns, written down from the balance of forces and moments and solved
// anew for each situation. Nothing of it is shared with the package, whose
// response takes the whole machine and one moment about the pin.

// freeBody is a machine and what acts on it.
type freeBody struct {
	v           stability.Vehicle
	w           vec // force per mass
	d           stability.Drawbar
	front, bias float64
	frontBias   float64
	// Which wheel of each side carries no longitudinal force: 0 none, 1 the
	// left, 2 the right one about to lift.
	lifts  int
	circle circling
	dry    bool // no yaw of free surfaces
}

// contactForces are what the ground does.
type contactForces struct {
	load                [4]float64 // front left, front right, rear left, rear right
	frontSide, rearSide float64    // to the left of the axle's rolling direction
	along               float64    // of all wheels together

}

// forcesAt returns gravity less an acceleration in the machine's axes.
func forcesAt(slope, heading, ax, ay float64) vec {
	down := vec{-math.Cos(heading) * math.Sin(slope), -math.Sin(heading) * math.Sin(slope), -math.Cos(slope)}
	return vec{kgf*down[0] - ax, kgf*down[1] - ay, kgf * down[2]}
}

// solveLinear solves the first n of the equations a x = b by elimination.
func solveLinear(a *[12][12]float64, b *[12]float64, n int) {
	for c := range n {
		p := c
		for i := c; i < n; i++ {
			if math.Abs(a[i][c]) > math.Abs(a[p][c]) {
				p = i
			}
		}
		a[c], a[p], b[c], b[p] = a[p], a[c], b[p], b[c]
		for i := c + 1; i < n; i++ {
			f := a[i][c] / a[c][c]
			if f == 0 {
				continue
			}
			for j := c; j < n; j++ {
				a[i][j] -= f * a[c][j]
			}
			b[i] -= f * b[c]
		}
	}
	for c := n - 1; c >= 0; c-- {
		for j := c + 1; j < n; j++ {
			b[c] -= a[c][j] * b[j]
		}
		b[c] /= a[c][c]
	}
}

// solve balances the bodies.
func (m freeBody) solve() contactForces {
	u := m.v.Undercarriage
	l, ht, hf := float64(u.Wheelbase), float64(u.RearTrack)/2, float64(u.FrontTrack)/2
	if u.Kind == stability.Tricycle {
		hf = 0
	}
	at := [4]vec{{l, hf, 0}, {l, -hf, 0}, {0, ht, 0}, {0, -ht, 0}}
	rolls := [4]vec{{1, 0, 0}, {1, 0, 0}, {1, 0, 0}, {1, 0, 0}}
	axle := u.Axle
	if u.Kind == stability.Articulated {
		j, s, c := float64(u.JointX), math.Sin(float64(u.JointAngle)), math.Cos(float64(u.JointAngle))
		bend := func(p vec) vec { return vec{j + (p[0]-j)*c - p[1]*s, (p[0]-j)*s + p[1]*c, p[2]} }
		p := bend(vec{float64(axle.CG.X), float64(axle.CG.Y), float64(axle.CG.Z)})
		axle.CG = stability.Point{units.Length(p[0]), units.Length(p[1]), units.Length(p[2])}
		for i := range 2 {
			at[i], rolls[i] = bend(at[i]), vec{c, s, 0}
		}
	}
	// Each wheel's share of the longitudinal force.
	share := [4]float64{m.front * (1 + m.frontBias) / 2, m.front * (1 - m.frontBias) / 2, (1 - m.front) * (1 + m.bias) / 2, (1 - m.front) * (1 - m.bias) / 2}
	if m.lifts != 0 {
		free, stand := m.lifts-1, 2-m.lifts
		if u.Kind == stability.Rigid || u.Kind == stability.PivotingRear {
			share[free], share[stand] = 0, m.front
		}
		if u.Kind != stability.PivotingRear {
			share[2+free], share[2+stand] = 0, 1-m.front
		}
	}
	const ( // unknowns after the four loads
		frontSide = 4 + iota
		rearSide
		along
		pinX
		pinY
		pinZ
		pinMY
		pinMZ
	)
	pinned := u.Kind == stability.PivotingFront || u.Kind == stability.Articulated || u.Kind == stability.PivotingRear
	n := 12
	if !pinned {
		n = 7
	}
	var a [12][12]float64
	var b [12]float64
	// carrier is the first row of the body that a wheel belongs to.
	carrier := [4]int{}
	if pinned {
		switch u.Kind {
		case stability.PivotingRear:
			carrier[2], carrier[3] = 6, 6
		default:
			carrier[0], carrier[1] = 6, 6
		}
	}
	force := func(row, unknown int, f, at vec) {
		mom := vec{at[1]*f[2] - at[2]*f[1], at[2]*f[0] - at[0]*f[2], at[0]*f[1] - at[1]*f[0]}
		for i := range 3 {
			a[row+i][unknown] += f[i]
			a[row+3+i][unknown] += mom[i]
		}
	}
	for i, p := range at {
		force(carrier[i], i, vec{0, 0, 1}, p)
		d := rolls[i]
		force(carrier[i], along, vec{share[i] * d[0], share[i] * d[1]}, p)
		side := frontSide
		if i >= 2 {
			side = rearSide
		}
		force(carrier[i], side, vec{-d[1] / 2, d[0] / 2}, p) // half by each wheel
	}
	if pinned {
		pin := vec{l, 0, float64(u.PinHeight)}
		switch u.Kind {
		case stability.Articulated:
			pin[0] = float64(u.JointX)
		case stability.PivotingRear:
			pin[0] = 0
		}
		for i, d := range []vec{{1}, {0, 1}, {0, 0, 1}} {
			force(0, pinX+i, d, pin)
			force(6, pinX+i, vec{-d[0], -d[1], -d[2]}, pin)
		}
		// The pin carries moments in pitch and in yaw and none in roll.
		a[4][pinMY], a[10][pinMY] = 1, -1
		a[5][pinMZ], a[11][pinMZ] = 1, -1
	} else {
		switch {
		case u.Kind == stability.Tricycle:
			a[6][0], a[6][1] = 1, -1
		case m.lifts != 0:
			a[6][m.lifts-1] = 1 // the front wheel of that side has lifted too
		default:
			// Equal springs under a stiff body: the loads lie in a plane, so
			// that they differ across both axles by the same slope.
			a[6][0], a[6][1], a[6][2], a[6][3] = 1/(2*hf), -1/(2*hf), -1/(2*ht), 1/(2*ht)
		}
	}
	outside := func(row int, f, mom vec) {
		for i := range 3 {
			b[row+i] -= f[i]
			b[row+3+i] -= mom[i]
		}
	}
	weight := func(row int, p stability.Part, push vec, yz, xz float64) {
		mass, x, y, z := float64(p.Mass), float64(p.CG.X), float64(p.CG.Y), float64(p.CG.Z)
		kp, kr := float64(p.PitchRise), float64(p.RollRise)
		f := m.w.minus(push).times(mass)
		mom := vec{y*f[2] - (z+kr)*f[1], (z+kp)*f[0] - x*f[2], x*f[1] - y*f[0]}
		if !m.dry {
			// The liquid has moved by kp and kr times the slope along and
			// across, and the forces in the ground turn it in yaw.
			w := m.w.minus(m.circle.whole)
			mom[2] += (kp - kr) * mass * w[0] * w[1] / -w[2]
		}
		// A body that turns at the rate w pulls at its bearings with w^2 times
		// the sums of -y z and of x z over its mass.
		mom[0] += m.circle.rate2 * yz
		mom[1] -= m.circle.rate2 * xz
		outside(row, f, mom)
	}
	in := m.v.Body.Inertia
	weight(0, m.v.Body.Part(), m.circle.body, float64(in.YZ), float64(in.XZ))
	sin, cos := 0.0, 1.0
	if u.Kind == stability.Articulated {
		sin, cos = math.Sincos(float64(u.JointAngle))
	}
	yz := float64(axle.Inertia.YZ)*cos + float64(axle.Inertia.XZ)*sin
	xz := float64(axle.Inertia.XZ)*cos - float64(axle.Inertia.YZ)*sin
	if pinned {
		weight(6, axle, m.circle.axle, yz, xz)
	} else {
		weight(0, axle, m.circle.axle, yz, xz)
	}
	p := float64(m.d.Pull)
	i, d := float64(m.d.Inclination), float64(m.d.Deflection)
	f := vec{-p * math.Cos(i) * math.Cos(d), p * math.Cos(i) * math.Sin(d), -p * math.Sin(i)}
	h := vec{float64(m.d.Hitch.X), float64(m.d.Hitch.Y), float64(m.d.Hitch.Z)}
	outside(0, f, vec{h[1]*f[2] - h[2]*f[1], h[2]*f[0] - h[0]*f[2], h[0]*f[1] - h[1]*f[0]})
	solveLinear(&a, &b, n)
	return contactForces{load: [4]float64(b[:4]), frontSide: b[frontSide], rearSide: b[rearSide], along: b[along]}
}

// circling is the acceleration of a body, an axle and the common center of
// gravity on a circle, and the square of the rate at which they turn.
type circling struct {
	body, axle, whole vec
	rate2             float64
}

// round returns the free bodies on a circle of a radius, to the left for the
// sign 1, with an acceleration of the center of gravity that is at right angles
// to a direction.
func (m freeBody) round(radius, sign float64, normal vec, x float64) freeBody {
	u := m.v.Undercarriage
	b, a := m.v.Body.CG, u.Axle.CG
	if u.Kind == stability.Articulated {
		j, s, c := float64(u.JointX), math.Sin(float64(u.JointAngle)), math.Cos(float64(u.JointAngle))
		x, y := float64(a.X)-j, float64(a.Y)
		a.X, a.Y = units.Length(j+x*c-y*s), units.Length(x*s+y*c)
	}
	mb, ma := float64(m.v.Body.Mass), float64(u.Axle.Mass)
	gx, gy := (mb*float64(b.X)+ma*float64(a.X))/(mb+ma), (mb*float64(b.Y)+ma*float64(a.Y))/(mb+ma)
	// The center lies on the rear axle's line, at the radius from the center of
	// gravity; an articulated machine's is where the lines of both axles meet.
	center := gy + sign*math.Sqrt(radius*radius-gx*gx)
	to := func(px, py float64) vec {
		v := vec{-px, center - py, 0}
		v[2] = -(v[0]*normal[0] + v[1]*normal[1]) / normal[2]
		return v
	}
	g := to(gx, gy)
	k := x / math.Sqrt(g[0]*g[0]+g[1]*g[1]+g[2]*g[2])
	m.circle = circling{
		body: to(float64(b.X), float64(b.Y)).times(k), axle: to(float64(a.X), float64(a.Y)).times(k),
		whole: g.times(k), rate2: k,
	}
	return m
}

// row returns a row of the package.
func (m freeBody) row(r stability.Row) float64 {
	m.lifts = 0
	if r >= stability.RowLiftLeft {
		m.lifts = 1 + int(r-stability.RowLiftLeft)
		load := m.solve().load
		if m.v.Undercarriage.Kind == stability.PivotingRear {
			return load[m.lifts-1]
		}
		return load[2+m.lifts-1]
	}
	load := m.solve().load
	switch r {
	case stability.RowFrontAxle:
		return load[0] + load[1]
	case stability.RowRearAxle:
		return load[2] + load[3]
	}
	return load[r-stability.RowFrontLeft]
}

// pivot returns the load of a wheel of the pivoting axle, 0 the left and 1 the
// right one, that has no longitudinal force.
func (m freeBody) pivot(wheel int) float64 { return m.alone(2-m.own(), wheel) }

// alone returns the load of a wheel, 0 the left and 1 the right one of the axle
// whose first wheel is given, that has no longitudinal force.
func (m freeBody) alone(first, wheel int) float64 {
	*m.biasOf(first) = float64(2*wheel - 1)
	return m.solve().load[first+wheel]
}

// biasOf returns the bias of the axle whose first wheel is given.
func (m *freeBody) biasOf(first int) *float64 {
	if first == 0 {
		return &m.frontBias
	}
	return &m.bias
}

// own returns the first wheel of the body's own axle.
func (m freeBody) own() int {
	if m.v.Undercarriage.Kind == stability.PivotingRear {
		return 0
	}
	return 2
}

// stand returns the free bodies with the biases that the rule of the package
// gives, found by bisection, and the least load of what must not be lost. An
// axle that pushes, and one of whose wheels would be lost, shares by its loads; a
// wheel that is lost without a force is lost.
func (m freeBody) stand() (by freeBody, least float64, kind stability.LimitKind) {
	by = m
	if pinned(m.v.Undercarriage.Kind) || m.v.Undercarriage.Kind == stability.Tricycle {
		var low, high [2]float64 // of the bias of front and rear
		asked := [2]float64{m.frontBias, m.bias}
		low, high = asked, asked
		for range 2 {
			load := by.solve().load
			for axle := range 2 {
				if !m.pushes(axle) || low[axle] < high[axle] || (load[2*axle] < 0) == (load[2*axle+1] < 0) {
					continue
				}
				if load[2*axle] < 0 {
					low[axle] = -1
				} else {
					high[axle] = 1
				}
			}
			by = m.byLoads(low, high)
		}
	}
	lose := func(k stability.LimitKind, load float64) {
		least = min(least, load)
		if load < 0 && kind == stability.NoLimit {
			kind = k
		}
	}
	least, kind = math.Inf(1), stability.NoLimit
	load := by.solve().load
	for _, k := range edgesOf[m.v.Undercarriage.Kind] {
		switch k {
		case stability.RearEdge:
			lose(k, load[0]+load[1])
		case stability.FrontEdge:
			lose(k, load[2]+load[3])
		case stability.TipsRight, stability.TipsLeft:
			side := int(k - stability.TipsRight)
			if m.v.Undercarriage.Kind == stability.Rigid {
				lose(k, m.row(stability.RowLiftLeft+stability.Row(side)))
				continue
			}
			lose(k, load[m.own()+side])
			lose(k, by.alone(m.own(), side))
		default:
			wheel := int(k - stability.FrontLeftWheel)
			lose(k, load[wheel])
			if axle := wheel / 2; m.v.Undercarriage.Kind != stability.Rigid && m.pushes(axle) {
				lose(k, by.alone(2*axle, wheel%2))
			}
		}
	}
	return by, least, kind
}

// pushes reports whether an axle, 0 the front one, takes a part of the
// longitudinal force that it can share.
func (m freeBody) pushes(axle int) bool {
	if axle == 0 {
		return m.front > 0 && m.v.Undercarriage.Kind != stability.Tricycle
	}
	return m.front < 1
}

// byLoads returns the free bodies with the biases, between bounds that a wheel
// in proportion to its load gives.
func (m freeBody) byLoads(low, high [2]float64) freeBody {
	find := func(m freeBody, axle int, inner func(freeBody) freeBody) freeBody {
		lo, hi := low[axle], high[axle]
		for range 52 {
			mid := (lo + hi) / 2
			*m.biasOf(2 * axle) = mid
			load := inner(m).solve().load
			left, right := load[2*axle], load[2*axle+1]
			if left-right > mid*(left+right) {
				lo = mid
			} else {
				hi = mid
			}
		}
		*m.biasOf(2 * axle) = (lo + hi) / 2
		return inner(m)
	}
	front := func(m freeBody) freeBody { return m }
	if low[0] < high[0] {
		front = func(m freeBody) freeBody { return find(m, 0, func(m freeBody) freeBody { return m }) }
	}
	if low[1] < high[1] {
		return find(m, 1, front)
	}
	return front(m)
}

// rows returns all rows of the package.
func (m freeBody) rows() (f [stability.NumRows]float64) {
	for i := range f {
		f[i] = m.row(stability.Row(i))
	}
	return f
}

// full returns a machine whose every field counts.
func full(r *rand.Rand, kind stability.UndercarriageKind) stability.Vehicle {
	v := odd(r, kind)
	in := func(lo, hi float64) units.Length { return units.Length(lo + (hi-lo)*r.Float64()) }
	u := &v.Undercarriage
	u.PinHeight = in(0.1, 1)
	u.Axle.Mass = units.Mass(in(100, 900))
	u.Axle.CG.X += in(-0.2, 0.2)
	u.Axle.PitchRise, u.Axle.RollRise = in(0.02, 0.3), in(0.01, 0.1)
	v.Body.CG.X = u.Wheelbase * in(0.25, 0.6)
	v.Body.CG.Y = u.RearTrack * in(-0.1, 0.1)
	v.Body.PitchRise, v.Body.RollRise = in(0.01, 0.1), in(0.01, 0.05)
	v.Body.Inertia, u.Axle.Inertia = tilted(v.Body.Mass), tilted(u.Axle.Mass)
	return v
}

// tilted returns an inertia about axes that are not those of the machine.
func tilted(mass units.Mass) stability.Inertia {
	r := rand.New(rand.NewPCG(math.Float64bits(float64(mass)), 0))
	k := func(lo, hi float64) units.Inertia { return units.Inertia((lo + (hi-lo)*r.Float64()) * float64(mass)) }
	return stability.Inertia{XX: k(0.5, 1), YY: k(0.5, 1), ZZ: k(0.5, 1), XY: k(-0.1, 0.1), XZ: k(-0.2, 0.2), YZ: k(-0.1, 0.1)}
}

// busy returns a situation in which everything acts.
func busy(r *rand.Rand) stability.Situation {
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	return stability.Situation{
		Slope: units.Slope(in(0.02, 0.3)), Heading: units.Angle(in(-6, 6)),
		Acceleration: units.Acceleration(in(-2, 2)), LateralAcceleration: units.Acceleration(in(-2, 2)),
		FrontShare: units.Fraction(in(0, 1)), RearBias: units.Fraction(in(-1, 1)),
		Drawbar: stability.Drawbar{Pull: units.Force(in(-3000, 6000)), Hitch: stability.Point{X: units.Length(in(-1, -0.3)), Y: units.Length(in(-0.3, 0.3)), Z: units.Length(in(0.3, 0.8))},
			Inclination: units.Angle(in(-0.3, 0.3)), Deflection: units.Angle(in(-0.5, 0.5))},
	}
}

// freely returns the free bodies of a vehicle in a situation.
func freely(v stability.Vehicle, s stability.Situation) freeBody {
	return freeBody{
		v: v, d: s.Drawbar, front: float64(s.FrontShare), bias: float64(s.RearBias),
		w: forcesAt(float64(s.Slope), float64(s.Heading), float64(s.Acceleration), float64(s.LateralAcceleration)),
	}
}

// eachFull calls f with full machines of every kind.
func eachFull(t *testing.T, n int, f func(t *testing.T, r *rand.Rand, v stability.Vehicle)) {
	t.Helper()
	eachOf(t, full, 41, n, f)
}

// The rows of the influence are the loads of the free bodies.
func TestFreeBodies(t *testing.T) {
	eachFull(t, 100, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		s := busy(r)
		i, err := v.Undercarriage.Influence(s, 0)
		if err != nil {
			t.Fatal(err)
		}
		m := freely(v, s)
		want := m.rows()
		body, axle, rest := i.Of(v.Body.Part()), i.OfAxle(v.Undercarriage.Axle), i.Constant()
		size := float64(v.Body.Mass) * kgf
		p := v.Body.Part()
		for k := range want {
			row := stability.Row(k)
			if got := float64(body[k] + axle[k] + rest[k]); math.Abs(got-want[k]) > 1e-9*size {
				t.Errorf("%v: %v, free bodies %v\n%+v\n%+v", row, got, want[k], v, s)
			}
			if a := v.Undercarriage.Axle; i.Axle(row).Of(&a) != axle[k] || i.Body(row).Of(&p) != body[k] {
				t.Errorf("%v: the coefficients differ from what the parts add", row)
			}
		}
		// The wheels near lifting share otherwise: TestShift.
		model := compile(t, v)
		l, err := model.Loads(s)
		if err != nil {
			t.Fatal(err)
		}
		shifts := false
		for wheel := range 2 {
			shifts = shifts || want[stability.RowFrontLeft+stability.Row(m.own()+wheel)] < 0 || want[stability.RowLiftLeft+stability.Row(wheel)] < 0
			if pinned(v.Undercarriage.Kind) {
				shifts = shifts || want[stability.RowFrontLeft+stability.Row(2-m.own()+wheel)] < 0 || m.pivot(wheel) < 0
			}
		}
		if v.Undercarriage.Kind == stability.Rigid || !shifts {
			for k := range want {
				if math.Abs(float64(l.Rows[k])-want[k]) > 1e-9*size {
					t.Errorf("%v: the model %v, free bodies %v", stability.Row(k), l.Rows[k], want[k])
				}
			}
		}
		// The wheels of the pivoting axle without a force of their own.
		if !pinned(v.Undercarriage.Kind) {
			return
		}
		own, _ := model.Unforced(s, float64(s.FrontShare), float64(s.RearBias))
		for wheel := range 2 {
			if want := m.pivot(wheel); math.Abs(own[wheel]-want) > 1e-9*size {
				t.Errorf("pivoting wheel %d: %v, free bodies %v", wheel, own[wheel], want)
			}
		}
		// Everything while a wheel of the one axle that pushes has no force.
		m.front = float64(r.IntN(2))
		_, alone := model.Unforced(s, m.front, m.bias)
		for side := range 2 {
			*m.biasOf(2 - 2*int(m.front)) = float64(2*side - 1)
			load := m.solve().load
			want := [6]float64{load[0] + load[1], load[2] + load[3], load[0], load[1], load[2], load[3]}
			for i, want := range want {
				if got := alone[side][i]; math.Abs(got-want) > 1e-9*size {
					t.Errorf("%d while a wheel on side %d has no force: %v, free bodies %v", i, side, got, want)
				}
			}
		}
	})
}

// A wheel near lifting pushes in proportion to its load, and one that has lifted
// not at all, on both axles at once, bent or not: the loads are those of the
// free bodies that do.
func TestShift(t *testing.T) {
	seen := map[string]int{}
	for _, kind := range []stability.UndercarriageKind{stability.PivotingFront, stability.PivotingRear, stability.Articulated, stability.Tricycle} {
		r := rand.New(rand.NewPCG(uint64(kind), 43))
		for n := range 4000 {
			v := full(r, kind)
			v.Body.CG.Y *= 4
			s := busy(r)
			s.Slope *= 2
			switch n % 4 {
			case 0:
				s.FrontShare = 0
			case 1:
				s.FrontShare, s.RearBias = 0, 0
			}
			m := freely(v, s)
			by, least, _ := m.stand()
			if by.bias == m.bias && by.frontBias == m.frontBias && least >= 0 {
				continue
			}
			l, err := compile(t, v).Loads(s)
			if err != nil {
				t.Fatal(err)
			}
			size := float64(v.Body.Mass) * kgf
			if math.Abs(least) > 1e-9*size && (least < 0) != (l.Status == stability.Exceeded) {
				t.Fatalf("%v: %v, but the free bodies' least load is %v\n%+v\n%+v", kind, l.Status, least, v, s)
			}
			both := ""
			if by.bias != m.bias && by.frontBias != m.frontBias {
				both = ", both axles"
			}
			if least < 0 {
				seen["lost"+both]++
				continue
			}
			seen["stands"+both]++
			want := by.rows()
			for k := range want {
				if math.Abs(float64(l.Rows[k])-want[k]) > 1e-8*size {
					t.Fatalf("%v %v: %v, free bodies with %v %v: %v\n%+v\n%+v", kind, stability.Row(k), l.Rows[k], by.frontBias, by.bias, want[k], v, s)
				}
			}
		}
	}
	for _, name := range []string{"lost", "stands", "lost, both axles", "stands, both axles"} {
		if seen[name] < 3 {
			t.Errorf("%s: %d times only", name, seen[name])
		}
	}
}

// slopeEvent is the loss of a load as the ground gets steeper.
type slopeEvent struct {
	m     freeBody
	s     stability.Situation
	row   stability.Row
	pivot int // the wheel of the pivoting axle that it is, or -1
}

// at returns the load that the event is the end of.
func (e slopeEvent) at(slope float64) float64 {
	m := e.m
	m.w = forcesAt(slope, float64(e.s.Heading), float64(e.s.Acceleration), float64(e.s.LateralAcceleration))
	if e.pivot >= 0 {
		return m.pivot(e.pivot)
	}
	return m.row(e.row)
}

// check checks that a limit is where the load ends.
func (e slopeEvent) check(t *testing.T, l stability.Limit) {
	t.Helper()
	size := 1e-9 * float64(e.m.v.Body.Mass) * kgf
	fail := func(why string, slope float64) {
		t.Errorf("%v: %v, but %s: %v at %.9g\n%+v\n%+v", e.row, l, why, e.at(slope), slope, e.m.v, e.s)
	}
	// What frees no wheel on any slope ends where it would without the yaw of
	// free surfaces.
	last := 89.9 * math.Pi / 180
	end := last
	if reached(l) {
		end = min(last, float64(l.Slope()))
	}
	switch {
	case l.Status == stability.Exceeded:
		if e.at(0) > size {
			fail("it carries load on level ground", 0)
		}
		return
	case e.at(0) < -size:
		fail("it is lost on level ground", 0)
		return
	}
	for i := range 8 {
		b := end * float64(i) / 8
		if e.at(b) < -size {
			fail("it is lost before", b)
			return
		}
	}
	if !reached(l) || end >= last {
		return
	}
	if math.Abs(e.at(end)) <= size || e.at(end*(1-1e-7)) >= -size && e.at(end*(1+1e-7)) < 0 {
		return
	}
	for b := end; b < last; b += 0.01 {
		if e.at(b) < 0 {
			fail("it is lost later", end)
			return
		}
	}
	e.m.dry = true
	if math.Abs(e.at(end)) > size {
		fail("it carries load there, with and without the yaw of free surfaces", end)
	}
}

// first returns the limit that comes first by what its documentation says.
func firstOf(l []stability.Limit) stability.Limit {
	first := stability.Limit{Kind: stability.NoLimit, Status: stability.CannotOccur}
	for _, one := range l {
		if one.Status == stability.Exceeded {
			return one
		}
		if reached(one) && (!reached(first) || one.Grade < first.Grade*(1-1e-12)) {
			first = one
		}
	}
	return first
}

// pinned reports whether an axle of the machine pivots about a pin.
func pinned(k stability.UndercarriageKind) bool {
	return k == stability.PivotingFront || k == stability.Articulated || k == stability.PivotingRear
}

// pivotOf returns which wheel of a pivoting axle is lost at a limit, left 0 and
// right 1, or -1 for a limit of another kind.
func pivotOf(k stability.UndercarriageKind, l stability.LimitKind) int {
	left := stability.FrontLeftWheel
	if k == stability.PivotingRear {
		left = stability.RearLeftWheel
	}
	if wheel := int(l) - int(left); pinned(k) && (wheel == 0 || wheel == 1) {
		return wheel
	}
	return -1
}

func checkLimits(t *testing.T, v stability.Vehicle, s stability.Situation, limits []stability.Limit, first stability.Limit) {
	t.Helper()
	has := edgesOf[v.Undercarriage.Kind]
	n := 0
	for k, l := range limits {
		if l.Kind != stability.LimitKind(k) {
			t.Errorf("%v in the place of %v", l.Kind, stability.LimitKind(k))
		}
		if n == len(has) || has[n] != stability.LimitKind(k) {
			if l.Status != stability.CannotOccur {
				t.Errorf("%v, which the kind has not", l)
			}
			continue
		}
		n++
		// Past the first limit, those with the shares asked for.
		e := slopeEvent{m: freely(v, s), s: s, row: stability.Row(k), pivot: pivotOf(v.Undercarriage.Kind, l.Kind)}
		if l.Status == stability.Within && l.Grade > first.Grade {
			e.check(t, l)
		}
	}
	at := func(grade float64) freeBody {
		m := freely(v, s)
		m.w = forcesAt(math.Atan(grade), float64(s.Heading), float64(s.Acceleration), float64(s.LateralAcceleration))
		return m
	}
	status := first.Status
	if status == stability.Binds {
		status = stability.Within
	}
	checkGrowing(t, "slope", at, first.Kind, status, first.Grade)
	want := firstOf(limits)
	if first.Kind != want.Kind && first.Status != stability.Exceeded || !alike(first.Grade, want.Grade) || (first.Status == stability.Exceeded) != (want.Status == stability.Exceeded) || first.Status == stability.Within {
		t.Errorf("first %v, want %v of %v", first, want, limits)
	}
}

// At rest, while the front holds a share, and in motion, every tipping limit
// is where the free bodies lose that load.
func TestLimitsByFreeBodies(t *testing.T) {
	eachFull(t, 25, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		m := compile(t, v)
		s := busy(r)
		rest := stability.Situation{Heading: s.Heading}
		tip, err := m.Tip(s.Heading)
		if err != nil {
			t.Fatal(err)
		}
		checkLimits(t, v, rest, tip.Limits[:], tip.First)
		rest.FrontShare = s.FrontShare
		if tip, err = m.TipHolding(s.Heading, s.FrontShare); err != nil {
			t.Fatal(err)
		}
		checkLimits(t, v, rest, tip.Limits[:], tip.First)
		rest.RearBias = s.RearBias
		l, err := m.Limits(rest)
		if err != nil {
			t.Fatal(err)
		}
		checkLimits(t, v, rest, l.Tip[:], l.FirstTip)
		// Pulled and shaken, some so hard that more than one wheel is lost on
		// level ground, or held down.
		if r.IntN(3) == 0 {
			s.Acceleration *= 5
			s.LateralAcceleration *= 5
			s.Drawbar.Pull *= 10
		}
		if l, err = m.Limits(s); err != nil {
			t.Fatal(err)
		}
		checkLimits(t, v, s, l.Tip[:], l.FirstTip)
	})
}

// edgesOf are the limits that each kind has.
var edgesOf = map[stability.UndercarriageKind][]stability.LimitKind{
	stability.PivotingFront: {stability.RearEdge, stability.FrontEdge, stability.FrontLeftWheel, stability.FrontRightWheel, stability.TipsRight, stability.TipsLeft},
	stability.Articulated:   {stability.RearEdge, stability.FrontEdge, stability.FrontLeftWheel, stability.FrontRightWheel, stability.TipsRight, stability.TipsLeft},
	stability.Rigid:         {stability.RearEdge, stability.FrontEdge, stability.FrontLeftWheel, stability.FrontRightWheel, stability.RearLeftWheel, stability.RearRightWheel, stability.TipsRight, stability.TipsLeft},
	stability.Tricycle:      {stability.RearEdge, stability.FrontEdge, stability.TipsRight, stability.TipsLeft},
	stability.PivotingRear:  {stability.RearEdge, stability.FrontEdge, stability.RearLeftWheel, stability.RearRightWheel, stability.TipsRight, stability.TipsLeft},
}

// checkGrowing checks that the first wheel is lost at a size of what grows,
// where at gives the free bodies under it.
func checkGrowing(t *testing.T, name string, at func(x float64) freeBody, kind stability.LimitKind, status stability.Status, x float64) {
	t.Helper()
	v := at(0).v
	size := 1e-9 * float64(v.Body.Mass) * kgf
	lost := func(x float64, slack float64) (stability.LimitKind, bool) {
		m := at(x)
		if m.w[2]-m.circle.whole[2] >= 0 {
			return stability.NoLimit, false // nothing holds it on the ground
		}
		_, least, k := m.stand()
		return k, least < slack
	}
	switch status {
	case stability.Exceeded:
		if k, ok := lost(0, size); !ok || x != 0 {
			t.Errorf("%s: %v exceeded at %v, free bodies %v", name, kind, x, k)
		}
	case stability.Within:
		for i := range 12 {
			if k, ok := lost(x*float64(i)/12, -size); ok {
				t.Errorf("%s: %v at %v, but %v is lost at %d/12 of it", name, kind, x, k, i)
			}
		}
		if k, ok := lost(x*(1-1e-7), -size); ok {
			t.Errorf("%s: %v at %v, where %v is lost before", name, kind, x, k)
		}
		if _, ok := lost(x*(1+1e-7), 0); !ok {
			t.Errorf("%s: %v at %v, but it stands beyond", name, kind, x)
		}
		if k, _ := lost(x*(1+1e-7), 0); k != kind {
			t.Logf("%s: %v at %v, free bodies %v", name, kind, x, k)
		}
	case stability.CannotOccur:
		for _, x := range []float64{0, 0.1, 1, 3, 10, 30, 100, 1000} {
			if k, ok := lost(x, -size); ok {
				t.Errorf("%s cannot occur, but %v is lost at %v", name, k, x)
			}
		}
	default:
		t.Errorf("%s: %v", name, status)
	}
}

// Braking, turning parallel to the ground and at one height, and pulling: each
// limit is where the free bodies lose their first wheel.
func TestAccelerationsByFreeBodies(t *testing.T) {
	seen := map[stability.Status]int{}
	eachFull(t, 60, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		m := compile(t, v)
		s := busy(r)
		if r.IntN(2) == 0 {
			// Held down hard behind, or on the level.
			s.Slope, s.Acceleration, s.LateralAcceleration = 0, 0, 0
		}
		under := func(v stability.Vehicle, d vec, s stability.Situation) func(x float64) freeBody {
			return func(x float64) freeBody {
				m := freely(v, s)
				m.w = m.w.minus(d.times(x))
				return m
			}
		}
		brake, err := m.Braking(s)
		if err != nil {
			t.Fatal(err)
		}
		free := s
		free.Acceleration = 0
		seen[brake.Lifts.Status]++
		checkGrowing(t, "braking", under(v, vec{-1}, free), brake.Lifts.Kind, brake.Lifts.Status, float64(brake.Lifts.Acceleration))
		down := forcesAt(float64(s.Slope), float64(s.Heading), 0, 0)
		radius := 3 + 15*r.Float64()
		turn, err := m.Turn(s, units.Length(radius))
		if err != nil {
			return // the joint bends no further
		}
		for _, c := range []struct {
			name string
			side stability.TurnSide
			sign float64
		}{{"left", turn.Left, 1}, {"right", turn.Right, -1}} {
			p, h := c.side.Parallel, c.side.Horizontal
			bent := circled(v, radius, c.sign)
			along := func(normal vec) func(x float64) freeBody {
				return func(x float64) freeBody { return freely(bent, s).round(radius, c.sign, normal, x) }
			}
			checkGrowing(t, c.name+", parallel", along(vec{0, 0, 1}), p.Kind, p.Status, float64(p.Acceleration))
			checkGrowing(t, c.name+", level", along(down), h.Kind, h.Status, float64(h.Acceleration))
			seen[p.Status]++
			seen[h.Status]++
		}
		pull, err := m.PullToLift(s)
		if err != nil {
			t.Fatal(err)
		}
		pulling := func(x float64) freeBody {
			m := freely(v, s)
			m.d.Pull = units.Force(x)
			return m
		}
		checkGrowing(t, "pull", pulling, pull.Kind, pull.Status, float64(pull.Pull))
		back, err := m.Rearward(s)
		if err != nil {
			t.Fatal(err)
		}
		// The front axle's load, as the wheels share under it.
		axle := func(m freeBody) float64 {
			by, _, _ := m.stand()
			load := by.solve().load
			return load[0] + load[1]
		}
		size := float64(v.Body.Mass) * kgf
		slope := func(x float64) float64 {
			m := freely(v, stability.Situation{})
			m.w = forcesAt(math.Atan(x), 0, 0, 0)
			return axle(m)
		}
		free.FrontShare, free.RearBias = 0, 0 // only the sum of the front wheels counts
		for _, one := range []struct {
			name   string
			at     func(x float64) float64
			kind   stability.LimitKind
			status stability.Status
			x      float64
		}{
			{"static slope", slope, back.StaticSlope.Kind, back.StaticSlope.Status, back.StaticSlope.Grade},
			{"free acceleration", func(x float64) float64 { return axle(under(v, vec{1}, free)(x)) },
				back.FreeAcceleration.Kind, back.FreeAcceleration.Status, float64(back.FreeAcceleration.Acceleration)},
		} {
			// Of a bent machine that has lost another wheel before nothing is held
			// to free bodies.
			before := stability.Situation{Slope: units.Slope(math.Atan(one.x * (1 - 1e-6)))}
			if one.name != "static slope" {
				before = free
				before.Acceleration = units.Acceleration(one.x * (1 - 1e-6))
			}
			if l, err := m.Loads(before); v.Undercarriage.JointAngle != 0 && (err != nil || l.Status == stability.Exceeded) {
				continue
			}
			switch load := one.at(0); {
			case one.kind != stability.RearEdge || (load <= 0) != (one.status == stability.Exceeded):
				t.Errorf("rearward, %s: %v %v with %v on the front", one.name, one.kind, one.status, load)
			case one.status == stability.Within && (one.at(one.x*(1-1e-7)) < -1e-9*size || one.at(one.x*(1+1e-7)) > 1e-9*size):
				t.Errorf("rearward, %s: the front carries %v before and %v beyond %v", one.name, one.at(one.x*(1-1e-7)), one.at(one.x*(1+1e-7)), one.x)
			}
		}
		if (back.Status == stability.Exceeded) != (back.FreeAcceleration.Status == stability.Exceeded) {
			t.Errorf("rearward: %+v", back)
		}
	})
	if seen[stability.Exceeded] < 10 || seen[stability.Within] < 500 {
		t.Errorf("limits seen: %v", seen)
	}
}

// The forces along and across at the axles are those of the free bodies, and
// an axle slides where they are together its load times the friction.
func TestSlidingByFreeBodies(t *testing.T) {
	for _, kind := range kinds {
		r := rand.New(rand.NewPCG(uint64(kind), 47))
		for n := range 60 {
			v := full(r, kind)
			bendTo(&v.Undercarriage, 0)
			// Liquid that turns the machine in yaw is not in the lateral forces.
			v.Body.PitchRise = v.Body.RollRise
			v.Undercarriage.Axle.PitchRise = v.Undercarriage.Axle.RollRise
			m := compile(t, v)
			s := stability.Situation{Heading: units.Angle(6.28 * r.Float64()), Friction: units.Fraction(0.2 + 0.7*r.Float64()), Held: stability.Held(n % 3)}
			mu := float64(s.Friction)
			at := func(slope, a float64) (rear, front, whole float64) {
				free := freely(v, s)
				free.w = forcesAt(slope, float64(s.Heading), a, 0)
				f := free.solve()
				nf, nr := f.load[0]+f.load[1], f.load[2]+f.load[3]
				spare := func(n, side float64) float64 { return math.Sqrt(max(0, mu*n*mu*n-side*side)) }
				whole = spare(nf, f.frontSide) + spare(nr, f.rearSide) - math.Abs(f.along)
				rear, front = f.rearSide, f.frontSide
				switch s.Held {
				case stability.HeldRear:
					rear = math.Hypot(rear, f.along)
				case stability.HeldFront:
					front = math.Hypot(front, f.along)
				}
				return mu*nr - math.Abs(rear), mu*nf - math.Abs(front), whole
			}
			l, err := m.Limits(s)
			if err != nil {
				t.Fatal(err)
			}
			weight := float64(v.Body.Mass) * kgf
			least := math.Inf(1)
			for i, one := range l.Slide {
				if one.Kind != stability.SlidesRear+stability.LimitKind(i) {
					t.Fatalf("%v in the place of %v", one.Kind, stability.SlidesRear+stability.LimitKind(i))
				}
				grip := func(slope float64) float64 {
					rear, front, whole := at(slope, 0)
					switch one.Kind {
					case stability.SlidesRear:
						return rear
					case stability.SlidesFront:
						return front
					}
					if s.Held == stability.HeldAll {
						return min(whole, rear, front)
					}
					// Whoever holds it: the force along the slope is the
					// friction of all the weight.
					return (mu*math.Cos(slope) - math.Sin(slope)) * weight
				}
				end := math.Pi/2 - 1e-6
				if reached(one) {
					end = float64(one.Slope())
					least = min(least, one.Grade)
					if got := grip(end); math.Abs(got) > 2e-9*weight && !(s.Held == stability.HeldAll && one.Kind == stability.SlidesAll && math.Abs(got) < 1e-5*weight) {
						t.Fatalf("%v %d: %v, spare %v of %v\n%+v", kind, n, one, got, weight, s)
					}
				} else if one.Status != stability.CannotOccur {
					t.Fatalf("%v %d: %v", kind, n, one)
				}
				for i := range 10 {
					if got := grip(end * float64(i) / 10); got < -1e-9*weight {
						t.Fatalf("%v %d: %v, slides before", kind, n, one)
					}
				}
			}
			if l.FirstSlide.Grade != least || l.FirstSlide.Status != stability.Binds {
				t.Fatalf("%v %d: first %v of %v", kind, n, l.FirstSlide, l.Slide)
			}
			if tips := l.FirstTip; tips.Grade < least != (l.First == tips) || l.Cautions.Has(stability.CautionSlidesFirst) != (l.First == l.FirstSlide) {
				t.Fatalf("%v %d: first %v of %v and %v, %v", kind, n, l.First, tips, l.FirstSlide, l.Cautions)
			}
			if s.Held == stability.HeldAll {
				continue // TestBraking
			}
			// The braked axle, on a slope too small to slide on.
			s.Slope = units.Slope(0.5 * math.Atan(least))
			b, err := m.Braking(s)
			if err != nil {
				t.Fatal(err)
			}
			braked := func(a float64) float64 {
				rear, front, _ := at(float64(s.Slope), -a)
				if s.Held == stability.HeldFront {
					return front
				}
				return rear
			}
			a := float64(b.Slides.Acceleration)
			if got := braked(a); b.Slides.Status != stability.Within || math.Abs(got) > 1e-8*weight {
				t.Fatalf("%v %d: braking %v, spare %v of %v", kind, n, b.Slides, got, weight)
			}
			for i := range 10 {
				if braked(a*float64(i)/10) < -1e-9*weight {
					t.Fatalf("%v %d: braking %v, slides before", kind, n, b.Slides)
				}
			}
		}
	}
}
