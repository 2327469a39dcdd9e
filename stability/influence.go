package stability

import (
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Row names one linear answer of a machine on its contacts. In JSON:
// "frontAxle", "rearAxle", "frontLeft", "frontRight", "rearLeft",
// "rearRight", "liftLeft" or "liftRight".
type Row uint8

// The rows. The first six are normal loads on the ground; the last two are
// loads under the rule of tipping.
const (
	// RowFrontAxle is the load on both front wheels.
	RowFrontAxle Row = iota
	// RowRearAxle is the load on both rear wheels.
	RowRearAxle
	// RowFrontLeft is the load on the front left wheel; on a tricycle, half
	// that of the front wheel.
	RowFrontLeft
	// RowFrontRight is the load on the front right wheel.
	RowFrontRight
	// RowRearLeft is the load on the rear left wheel.
	RowRearLeft
	// RowRearRight is the load on the rear right wheel.
	RowRearRight
	// RowLiftLeft is the load that the left wheel of the body's own axle would
	// carry without a longitudinal force, as when it lifts. That axle is the
	// rear one, except with a pivoting rear axle. The machine tips to the right
	// when this load is zero: about the line from the right rear contact to the
	// pin or, without a pin, to the front contact.
	RowLiftLeft
	// RowLiftRight is the same for the right wheel; the machine tips to the left
	// when this load is zero.
	RowLiftRight
	// NumRows is the number of rows.
	NumRows = iota
)

var rowNames = []string{"frontAxle", "rearAxle", "frontLeft", "frontRight", "rearLeft", "rearRight", "liftLeft", "liftRight"}

// A Coefficient gives what one kilogram adds to a row, as a linear function of
// its place: PerMass + X x + Y y + Z z + PitchRise kp + RollRise kr.
type Coefficient struct {
	// PerMass is the constant part, in N/kg.
	PerMass units.Acceleration
	// X, Y and Z are per meter of the center of gravity, in N/(kg m).
	X, Y, Z float64
	// PitchRise and RollRise are per meter of free-surface rise, in N/(kg m).
	PitchRise, RollRise float64
}

// At returns what a kilogram at a point without a free surface adds, in N/kg.
func (c *Coefficient) At(p Point) units.Acceleration {
	return c.PerMass + units.Acceleration(float64(c.X*float64(p.X))+float64(c.Y*float64(p.Y))+float64(c.Z*float64(p.Z)))
}

// Of returns what a part adds to the row.
func (c *Coefficient) Of(p *Part) units.Force {
	a := float64(c.At(p.CG)) + float64(c.PitchRise*float64(p.PitchRise)) + float64(c.RollRise*float64(p.RollRise))
	return units.Force(float64(p.Mass) * a)
}

// An Influence is the wheel loads of an undercarriage in one situation as
// linear functions of the masses on it: every row is Constant plus the sum of
// what each part adds. It is immutable, and safe for many goroutines.
//
// The linearity is exact, because forces and moments of rigid bodies balance
// linearly at a fixed attitude. A free surface counts to first order, as the
// metacenter does: PitchRise and RollRise raise the arms of pitch and roll, and
// their difference adds the yaw moment (kp - kr) Gx Gy / -Gz.
type Influence struct {
	body, axle [NumRows]Coefficient
	constant   [NumRows]units.Force
	g          units.Acceleration
}

// Influence returns the linear rows of the undercarriage in a situation under
// the gravity g (0.1 to 100 m/s2, 0 for [units.StandardGravity]). They do not
// include the undercarriage's own Axle: add it with [Influence.OfAxle].
// Bad input is an error that names its fields.
func (u Undercarriage) Influence(s Situation, g units.Acceleration) (Influence, error) {
	var e units.FieldErrors
	e.Join("undercarriage", u.Validate())
	if u.bendUnknown() {
		e.Add("undercarriage.jointAngle", nil, "must be given, unless straight is set: the rows hold for one bend")
	}
	e.Join("situation", s.Validate())
	valid.Gravity(&e, "gravity", g)
	if err := e.Err(); err != nil {
		return Influence{}, err
	}
	f, err := u.footing(s.split())
	if err != nil {
		return Influence{}, err
	}
	return u.influence(&f.rows, &s, gravity(g)), nil
}

func (u *Undercarriage) influence(r *response, s *Situation, g float64) Influence {
	in := Influence{g: units.Acceleration(g)}
	w := s.specificWeight(g)
	x, y, z := w[0], w[1], w[2]
	yaw := surfaceYaw(w)
	h := float64(u.PinHeight)
	for i := range in.body {
		k := &r[i]
		b := &in.body[i]
		b.PerMass = units.Acceleration(float64(k[0]*x) + float64(k[1]*y) + float64(k[2]*z))
		b.X = float64(k[5]*y) - float64(k[4]*z)
		b.Y = float64(k[3]*z) - float64(k[5]*x)
		b.Z = float64(k[4]*x) - float64(k[3]*y)
		b.PitchRise = float64(k[4]*x) + float64(k[5]*yaw)
		b.RollRise = -float64(k[3]*y) - float64(k[5]*yaw)
		a := &in.axle[i]
		*a = *b
		if u.pinned() {
			a.PerMass += units.Acceleration(k[6] * h * y)
			a.Y += float64(k[6] * z)
			a.Z -= float64(k[6] * y)
			a.RollRise -= float64(k[6] * y)
			if u.bent() {
				a.turn(u)
			}
		}
	}
	if s.Drawbar.Pull != 0 {
		d := s.Drawbar.wrench()
		c := r.loads(&d)
		for i := range c {
			in.constant[i] = units.Force(c[i])
		}
	}
	return in
}

// turn changes a coefficient so that it takes a point of the front half at its
// place when the joint is straight.
func (c *Coefficient) turn(u *Undercarriage) {
	j := float64(u.JointX)
	sin, cos := math.Sincos(float64(u.JointAngle))
	x, y := c.X, c.Y
	c.PerMass += units.Acceleration(float64(x*j*(1-cos)) - float64(y*j*sin))
	c.X = float64(x*cos) + float64(y*sin)
	c.Y = float64(y*cos) - float64(x*sin)
}

// Constant returns the rows without any mass, which is what the drawbar adds.
func (i *Influence) Constant() [NumRows]units.Force { return i.constant }

// Body returns what a kilogram of the body adds to a row. It panics if the row
// has no name.
func (i *Influence) Body(r Row) *Coefficient { return &i.body[r] }

// Axle returns what a kilogram of the pivoting axle, or of the pivoting half,
// adds to a row. Without a pivot it equals [Influence.Body]. It panics if the
// row has no name.
func (i *Influence) Axle(r Row) *Coefficient { return &i.axle[r] }

// Gravity returns the gravity for which the rows hold.
func (i *Influence) Gravity() units.Acceleration { return i.g }

// Of returns what a part of the body adds to each row. It checks nothing: a
// part that [Part.Validate] accepts gives finite forces.
func (i *Influence) Of(p Part) (f [NumRows]units.Force) {
	for r := range f {
		f[r] = i.body[r].Of(&p)
	}
	return f
}

// OfAxle returns what a part of the pivoting axle, or of an articulated
// machine's front half, adds to each row.
func (i *Influence) OfAxle(p Part) (f [NumRows]units.Force) {
	for r := range f {
		f[r] = i.axle[r].Of(&p)
	}
	return f
}

// surfaceYaw returns the yaw moment per kilogram and meter of difference
// between pitch and roll rise.
func surfaceYaw(w [3]float64) float64 { return -w[0] * w[1] / w[2] }

// A response holds, for each row, its change per unit of each outside load: the
// forces along x, y, z, their moments about the axes through the origin, and the
// moment about the roll axis of what pivots. The further rows are the load of a
// pivoting axle's wheel without a longitudinal force, as when it lifts. If one
// axle takes all of the longitudinal force, they are also the loads of all wheels
// and axles while its left or its right wheel has none.
type response [numResponses][7]float64

const (
	rowPivotLeft = NumRows + iota
	rowPivotRight
	rowAlone     // both axles and the four wheels: first with no force on the left wheel, then on the right
	numAlone     = 6
	numResponses = rowAlone + 2*numAlone
)

// loads returns the rows under an outside load.
func (r *response) loads(w *[7]float64) (f [NumRows]float64) {
	for i := range f {
		f[i] = dot7(&r[i], w)
	}
	return f
}

// all returns the same as loads, with the further rows.
func (r *response) all(w *[7]float64) (f [numResponses]float64) {
	for i := range f {
		f[i] = dot7(&r[i], w)
	}
	return f
}

func dot7(k, w *[7]float64) float64 {
	return float64(k[0]*w[0]) + float64(k[1]*w[1]) + float64(k[2]*w[2]) + float64(k[3]*w[3]) +
		float64(k[4]*w[4]) + float64(k[5]*w[5]) + float64(k[6]*w[6])
}

// The rules under which the contact forces are solved, as bits. They combine,
// because both wheels of a side of a rigid machine may be about to lift.
const (
	bothStand = 0
	leftLifts = 1 << (iota - 1)
	rightLifts
)

// The unknowns of the equations of balance.
const (
	unFrontLeft = iota // normal loads
	unFrontRight
	unRearLeft
	unRearRight
	unFrontSide // lateral force of an axle
	unRearSide
	unAlong // longitudinal force of all wheels
	numUnknowns
)

// A split says how the wheels share the longitudinal force: the front wheels'
// share, and how far the rear axle's force is shifted to its left wheel.
type split struct{ front, rearBias float64 }

// split returns how the situation shares the longitudinal force.
func (s *Situation) split() split {
	return split{front: float64(s.FrontShare), rearBias: float64(s.RearBias)}
}

// shares returns each wheel's share of the longitudinal force. A wheel that lifts
// has none; the other wheel of its axle then takes the force of both.
func (u *Undercarriage) shares(by split, rule int) (s [4]float64) {
	total := [2]float64{by.front, 1 - by.front}
	for axle, bias := range [2]float64{0, by.rearBias} {
		switch rule {
		case leftLifts:
			bias = -1
		case rightLifts:
			bias = 1
		}
		s[2*axle], s[2*axle+1] = total[axle]*(1+bias)/2, total[axle]*(1-bias)/2
	}
	return s
}

// balance returns the six equations of forces and moments and a seventh of the
// kind: no roll moment crosses the pin; the tires are equal (rigid); one wheel
// stands in the middle (tricycle). A rule shares the longitudinal force, so
// seven unknowns remain.
func (u *Undercarriage) balance(s split, rule int) (a [numUnknowns][7]float64) {
	c, rolling := u.contacts()
	h := float64(u.PinHeight)
	share := u.shares(s, rule)
	// Fill in column by column what a unit of each unknown adds to each equation.
	for i, p := range c {
		a[2][i] = 1
		a[3][i] = p[1]
		a[4][i] = -p[0]
		d := [2]float64{1, 0}
		if i < 2 {
			d = rolling
		}
		a[0][unAlong] += share[i] * d[0]
		a[1][unAlong] += share[i] * d[1]
		a[5][unAlong] += share[i] * (float64(p[0]*d[1]) - float64(p[1]*d[0]))
		a[6][unAlong] += share[i] * d[1] * h // from the front wheels ahead of a bent joint
	}
	side := [2]float64{-rolling[1], rolling[0]}
	mid := [2]float64{(c[0][0] + c[1][0]) / 2, (c[0][1] + c[1][1]) / 2}
	a[0][unFrontSide], a[1][unFrontSide] = side[0], side[1]
	a[5][unFrontSide] = float64(mid[0]*side[1]) - float64(mid[1]*side[0])
	a[1][unRearSide] = 1
	switch u.Kind {
	case PivotingFront, Articulated:
		a[6][unFrontLeft], a[6][unFrontRight] = c[0][1], c[1][1]
		a[6][unFrontSide] = side[1] * h
	case PivotingRear:
		a[6][unRearLeft], a[6][unRearRight] = c[2][1], c[3][1]
		a[6][unRearSide] = h
	case Tricycle:
		a[6][unFrontLeft], a[6][unFrontRight] = 1, -1
	case Rigid:
		switch rule {
		case bothStand:
			a[6][unFrontLeft], a[6][unFrontRight] = c[2][1], -c[2][1]
			a[6][unRearLeft], a[6][unRearRight] = -c[0][1], c[0][1]
		case leftLifts:
			a[6][unFrontLeft] = 1
		case rightLifts:
			a[6][unFrontRight] = 1
		}
	}
	return a
}

// invert returns the inverse of a by Gauss-Jordan elimination with partial
// pivoting, and false if a is singular.
func invert(a [numUnknowns][7]float64) (inv [numUnknowns][7]float64, ok bool) {
	for i := range inv {
		inv[i][i] = 1
	}
	for c := range a {
		p := c
		for i := c; i < numUnknowns; i++ {
			if math.Abs(a[i][c]) > math.Abs(a[p][c]) {
				p = i
			}
		}
		if !(math.Abs(a[p][c]) > 1e-9) {
			return inv, false
		}
		a[c], a[p] = a[p], a[c]
		inv[c], inv[p] = inv[p], inv[c]
		f := 1 / a[c][c]
		for j := range a[c] {
			a[c][j] *= f
			inv[c][j] *= f
		}
		for i := range a {
			if f := a[i][c]; i != c && f != 0 {
				for j := range a[i] {
					a[i][j] -= float64(f * a[c][j])
					inv[i][j] -= float64(f * inv[c][j])
				}
			}
		}
	}
	return inv, true
}
