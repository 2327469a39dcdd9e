package stability

import (
	"math"
	"slices"

	"example.com/steelyard/units"
)

// A footing is the contacts of an undercarriage whose wheels are asked to share
// the longitudinal force in one way: its rows, and what the wheels carry under
// every other way.
//
// What a share does: along with the force of all wheels, X, the wheels of an
// axle make a couple about the vertical, X times the sum over the axles of half
// its track times its part of the force times its bias. With x0 the loads at
// equal shares and u those of a unit couple, a couple of k X gives, by the
// balance of forces and moments (Sherman and Morrison, Annals of Mathematical
// Statistics 21:124, 1950),
//
//	x = x0 - u k X0/(1 + k uX).
//
// On a machine that is not bent uX is zero: no couple changes what goes along.
// Held by TestFreeBodies and TestShift.
type footing struct {
	rows  response
	kind  UndercarriageKind
	bent  bool
	asked [2]float64 // bias of the front and of the rear axle
	lever [2]float64 // couple per bias and X; zero where the axle does not push
	equal [numForces][7]float64
	turn  [numForces]float64 // u
}

// The forces that a footing gives: the loads of the four wheels in the order of
// the rows, and the longitudinal force.
const (
	forceAlong = 4
	numForces  = 5
)

// wheelRow is the row of the first of the forces.
const wheelRow = int(RowFrontLeft)

// footing returns the footing of an undercarriage under a split.
func (u *Undercarriage) footing(s split) (f footing, err error) {
	inv, ok := invert(u.balance(split{front: s.front}, bothStand))
	f.kind, f.bent = u.Kind, u.bent()
	for i := range f.equal {
		from := unFrontLeft + i
		if i == forceAlong {
			from = unAlong
		}
		for j := range f.equal[i] {
			f.equal[i][j] = -inv[from][j]
		}
		f.turn[i] = -inv[from][5] // the left wheel, pushing, turns the machine to the right
	}
	f.asked = [2]float64{0, s.rearBias}
	f.lever = [2]float64{u.halfFront() * s.front, float64(u.RearTrack) / 2 * (1 - s.front)}
	// The couple of the wheels may be any between those of the four corners.
	most := f.lever[0] + f.lever[1]
	ok = ok && !(math.Abs(f.turn[forceAlong])*most > 1-1e-9)
	f.put(f.rows[:], f.couple(f.asked))
	if u.Kind != Rigid {
		f.putOthers()
	}
	// With both wheels of a side lifted the tires no longer share.
	for side := 0; ok && u.Kind == Rigid && side < 2; side++ {
		inv, ok = invert(u.balance(s, leftLifts<<side))
		for j := range f.rows[0] {
			f.rows[int(RowLiftLeft)+side][j] = -inv[unRearLeft+side][j]
		}
	}
	if !ok {
		var e units.FieldErrors
		e.Add("undercarriage", nil, "must have contacts that can carry the machine")
		return footing{}, e.Err()
	}
	return f, nil
}

// put fills in the rows of both axles and of the four wheels, in the order of
// Row, under a couple.
func (f *footing) put(rows [][7]float64, couple float64) {
	for i := range 4 {
		rows[wheelRow+i] = f.row(i, couple)
	}
	for axle := range 2 {
		left, right := &rows[wheelRow+2*axle], &rows[wheelRow+2*axle+1]
		for j := range left {
			rows[axle][j] = left[j] + right[j]
		}
	}
}

// putOthers fills in the rows of wheels that have no longitudinal force.
func (f *footing) putOthers() {
	own := f.kind.own()
	pusher, one := f.pusher()
	for side := range 2 {
		without := func(axle int) float64 {
			bias := f.asked
			bias[axle] = float64(2*side - 1)
			return f.couple(bias)
		}
		f.rows[int(RowLiftLeft)+side] = f.row(2*own+side, without(own))
		f.rows[rowPivotLeft+side] = f.row(2*(1-own)+side, without(1-own))
		if one {
			f.put(f.rows[rowAlone+numAlone*side:], without(pusher))
		}
	}
}

// own returns the axle that the body itself stands on, 0 the front one and 1
// the rear one.
func (k UndercarriageKind) own() int {
	if k == PivotingRear {
		return 0
	}
	return 1
}

// pusher returns the axle that alone takes the longitudinal force, if one does.
func (f *footing) pusher() (int, bool) {
	switch {
	case f.lever[0] == 0 && f.lever[1] > 0:
		return 1, true
	case f.lever[1] == 0 && f.lever[0] > 0:
		return 0, true
	}
	return 0, false
}

// couple returns the couple per longitudinal force of biased axles.
func (f *footing) couple(bias [2]float64) float64 {
	return float64(f.lever[0]*bias[0]) + float64(f.lever[1]*bias[1])
}

// row returns the row of a force under a couple.
func (f *footing) row(i int, couple float64) (r [7]float64) {
	k := f.turn[i] * couple / (1 + couple*f.turn[forceAlong])
	for j := range r {
		r[j] = f.equal[i][j] - float64(k*f.equal[forceAlong][j])
	}
	return r
}

// A sharing is how the wheels of a machine share under what acts on it: the loads
// at equal shares, the couple and the biases that it takes.
type sharing struct {
	f      *footing
	at     [numForces]float64 // with equal shares
	bias   [2]float64
	couple float64
	byLoad [2]bool       // the wheels of the axle share by their loads
	span   [2][2]float64 // least and greatest bias of an axle
}

// wheel returns the load of a wheel under a couple.
func (s *sharing) wheel(i int, couple float64) float64 {
	along := s.at[forceAlong] / (1 + float64(couple*s.f.turn[forceAlong]))
	return s.at[i] - float64(s.f.turn[i]*couple*along)
}

// stand returns the rows of the machine under an outside load. The wheels of an
// axle share its longitudinal force as asked. Where that would take all its
// load from a wheel that would stand without a force, those of its axle share
// by their loads. A wheel that would not stand without a force has lifted: it
// has none.
func (f *footing) stand(w *[7]float64) (rows [NumRows]float64, s sharing) {
	s = sharing{f: f, bias: f.asked, couple: f.couple(f.asked)}
	for i := range s.at {
		s.at[i] = dot7(&f.equal[i], w)
	}
	for axle := range 2 {
		s.span[axle] = [2]float64{f.asked[axle], f.asked[axle]}
	}
	// The second axle may ask for it only once the first one shares by loads.
	for range 2 {
		if !s.yield() {
			break
		}
		s.solve()
	}
	own := f.kind.own()
	var lifts [2][2]float64
	for axle := range 2 {
		for side := range 2 {
			lifts[axle][side] = s.alone(axle, side)
		}
	}
	for axle := range 2 {
		side := 0
		if lifts[axle][1] < lifts[axle][0] {
			side = 1
		}
		if f.lever[axle] > 0 && lifts[axle][side] < 0 {
			s.bias[axle] = float64(2*side - 1)
		}
	}
	s.couple = f.couple(s.bias)
	for i := range 4 {
		rows[wheelRow+i] = s.wheel(i, s.couple)
	}
	for axle := range 2 {
		at := wheelRow + 2*axle
		rows[axle] = rows[at] + rows[at+1]
		if b := s.bias[axle]; s.byLoad[axle] && b > s.span[axle][0] && b < s.span[axle][1] {
			rows[at], rows[at+1] = rows[axle]*(1+b)/2, rows[axle]*(1-b)/2
		}
	}
	rows[RowLiftLeft], rows[RowLiftRight] = lifts[own][0], lifts[own][1]
	return rows, s
}

// alone returns the load of a wheel that has no longitudinal force.
func (s *sharing) alone(axle, side int) float64 {
	bias := s.bias
	bias[axle] = float64(2*side - 1)
	return s.wheel(2*axle+side, s.f.couple(bias))
}

// yield makes the axles share by loads that must, and reports whether one does
// that did not before.
func (s *sharing) yield() (more bool) {
	for axle := range 2 {
		if s.byLoad[axle] || !(s.f.lever[axle] > 0) {
			continue
		}
		left, right := s.wheel(2*axle, s.couple) < 0, s.wheel(2*axle+1, s.couple) < 0
		if left == right {
			continue // both stand, or the axle is lost
		}
		s.byLoad[axle], more = true, true
		if left {
			s.span[axle][0] = -1
		} else {
			s.span[axle][1] = 1
		}
	}
	return more
}

// solve finds the couple under which the axles that share by their loads do.
func (s *sharing) solve() {
	low, high := 0.0, 0.0
	for axle := range 2 {
		low += s.f.lever[axle] * s.span[axle][0]
		high += s.f.lever[axle] * s.span[axle][1]
	}
	// By the loads under a couple the couple would be another one: that less the
	// couple is not negative at the low end and not positive at the high one.
	over := func(couple float64) float64 {
		for axle := range 2 {
			if !s.byLoad[axle] {
				continue
			}
			left, right := s.wheel(2*axle, couple), s.wheel(2*axle+1, couple)
			bias := (left - right) / (left + right)
			if !(left+right > 0) {
				bias = math.Copysign(1, left-right)
			}
			s.bias[axle] = min(max(bias, s.span[axle][0]), s.span[axle][1])
		}
		return s.f.couple(s.bias) - couple
	}
	// False position, an end that stays twice halved (Dowell and Jarratt, BIT
	// 11:168, 1971). Without a bend, and with one axle by loads, it is there at
	// once.
	a, b := over(low), over(high)
	small := 1e-15 * (s.f.lever[0] + s.f.lever[1])
	last := 0
	for range 100 {
		if !(a > 0) || !(b < 0) || high-low <= small {
			break
		}
		x := (low*b - high*a) / (b - a)
		if !(x > low && x < high) {
			x = (low + high) / 2
		}
		switch y := over(x); {
		case math.Abs(y) <= small:
			low, high = x, x
		case y > 0:
			if low, a = x, y; last > 0 {
				b /= 2
			}
			last = 1
		default:
			if high, b = x, y; last < 0 {
				a /= 2
			}
			last = -1
		}
	}
	switch {
	case !(a > 0):
		s.couple = low
	case !(b < 0):
		s.couple = high
	default:
		s.couple = (low + high) / 2
	}
	over(s.couple)
}

// lost returns the first limit that rows are beyond, if they are beyond one.
func (k UndercarriageKind) lost(rows *[NumRows]float64) (LimitKind, bool) {
	checked := k.edges()
	for i := range LimitKind(NumEdges) {
		if checked>>i&1 == 0 {
			continue
		}
		load := rows[i]
		if i >= TipsRight {
			load = min(load, rows[wheelRow+2*k.own()+int(i-TipsRight)])
		}
		if load < 0 {
			return i, true
		}
	}
	return NoLimit, false
}

// A course is a machine as something grows from zero: the tangent of the slope,
// an acceleration, a pull.
type course struct {
	load  func(x float64) [7]float64               // what acts on it from outside
	end   func(row int) (x float64, status Status) // where a row of the footing reaches zero
	scale float64                                  // a size of x that matters
	most  float64                                  // beyond what anybody asks for
}

// parts is how finely a footing is looked at between two ends of its rows.
const parts = 6

// seek returns the least x of a course, from one up to which the machine
// stands, at which it stands no longer. It looks between the ends of all rows,
// which is where wheels begin to share by their loads.
func (f *footing) seek(c *course, from float64) Limit {
	lost := func(x float64) (LimitKind, bool) {
		w := c.load(x)
		rows, _ := f.stand(&w)
		return f.kind.lost(&rows)
	}
	if kind, yes := lost(from); yes {
		if from == 0 {
			return Limit{Kind: kind, Status: Exceeded}
		}
		return Limit{Kind: kind, Status: Binds, Grade: from}
	}
	var ends [numResponses + 1]float64
	n := 0
	for row := range numResponses {
		if x, s := c.end(row); s == Within && x > from && x < c.most {
			ends[n] = x
			n++
		}
	}
	ends[n] = c.most
	slices.Sort(ends[:n])
	low, angle := from, math.Atan(from/c.scale)
	for _, end := range ends[:n+1] {
		if end <= low*(1+1e-9) {
			continue
		}
		next := math.Atan(end / c.scale)
		for part := range parts {
			high := end * (1 + 1e-12)
			if part < parts-1 {
				high = c.scale * math.Tan(angle+(next-angle)*float64(part+1)/parts)
			}
			if kind, yes := lost(high); yes {
				for range 100 {
					mid := (low + high) / 2
					if !(mid > low && mid < high) {
						break
					}
					if k, yes := lost(mid); yes {
						high, kind = mid, k
					} else {
						low = mid
					}
				}
				// An axle that ends takes its wheels with it.
				w := c.load(low)
				rows, _ := f.stand(&w)
				for axle, edge := range []LimitKind{RearEdge, FrontEdge} {
					if rows[axle] <= 1e-6*(rows[0]+rows[1]) {
						kind = edge
					}
				}
				if x, s := c.end(f.kind.row(kind)); s == Within && math.Abs(x-low) <= 1e-9*x {
					low = x
				}
				return Limit{Kind: kind, Status: Binds, Grade: low}
			}
			low = max(low, high)
		}
		angle = next
	}
	return Limit{Kind: NoLimit, Status: CannotOccur}
}

// limits fills in the ends of all limits along a course, and returns the first
// of them.
func (f *footing) limits(l *[NumEdges]Limit, c *course) Limit {
	checked := f.kind.edges()
	for i := range l {
		l[i] = Limit{Kind: LimitKind(i), Status: CannotOccur}
		if checked>>i&1 != 0 {
			l[i].Grade, l[i].Status = c.end(f.kind.row(LimitKind(i)))
		}
	}
	asked := *l
	first := rank(asked[:])
	from := math.Inf(1)
	if f.kind.pinned() {
		from = f.begin(c, first)
	}
	if math.IsInf(from, 1) || first.Status == Exceeded && from > 0 {
		*l = asked
		return first
	}
	first = f.seek(c, from)
	settle(l[:], first)
	return first
}

// within returns how large what grows along a course may become: the first of
// the limits, in the words of an answer that has only one.
func (f *footing) within(c *course) Limit {
	var all [NumEdges]Limit
	first := f.limits(&all, c)
	if first.Status == Binds {
		first.Status = Within
	}
	return first
}

// begin returns from where along a course other shares than those asked for may
// move the first limit, which without them is given: infinity if they do not.
func (f *footing) begin(c *course, first Limit) float64 {
	from := math.Inf(1)
	pusher, one := f.pusher()
	moved := !one || first.Status != CannotOccur && f.shares(first.Kind)
	for axle := range 2 {
		if !(f.lever[axle] > 0) {
			continue
		}
		for side := range 2 {
			at := 0.0
			switch x, s := c.end(wheelRow + 2*axle + side); {
			case s == Within:
				at = x
			case s != Exceeded:
				continue
			}
			if first.Status == Binds && at >= first.Grade {
				continue
			}
			from = min(from, at)
			if !one {
				continue
			}
			for _, row := range f.shared(pusher, side) {
				x, s := c.end(row)
				moved = moved || s == Exceeded || s == Within && (first.Status != Binds || x < first.Grade)
			}
		}
	}
	if !moved {
		return math.Inf(1)
	}
	return from
}

// settle brings limits, each found as if the wheels shared as asked, to the
// first one: what would come before it is put off to it.
func settle(l []Limit, first Limit) {
	for i := range l {
		o := &l[i]
		switch {
		case first.Status == Exceeded:
		case first.Status == CannotOccur:
			o.Status = CannotOccur
		case o.Status == Exceeded || o.Status == Within && o.Grade < first.Grade:
			o.Status, o.Grade = Within, first.Grade
		}
		if o.Kind == first.Kind {
			*o = first
		}
	}
}
