package stability

import (
	"math"
	"slices"

	"example.com/steelyard/units"
)

// A footing is the contacts of an undercarriage and the way in which its wheels
// share the longitudinal force as asked. It holds the rows of that way, and
// gives the wheel loads of every other way.
//
// Unequal shares make a couple about the vertical. With X the longitudinal force
// of all wheels, the couple is X times the sum, over the axles, of half the track
// times the axle's part of the force times its bias. With x0 the loads at equal
// shares and u those of a unit couple, a couple of k X gives, by the balance of
// forces and moments (Sherman and Morrison, Annals of Mathematical Statistics
// 21:124, 1950),
//
//	x = x0 - u k X0/(1 + k uX).
//
// On a machine that is not bent uX is zero: no couple changes the longitudinal
// force. Held by TestFreeBodies and TestShift.
type footing struct {
	rows  response
	kind  UndercarriageKind
	bent  bool
	asked [2]float64 // bias of the front and of the rear axle
	lever [2]float64 // couple per bias and X; zero if the axle takes no longitudinal force
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
		f.turn[i] = -inv[from][5] // a forward force on the left wheel turns the machine to the right
	}
	f.asked = [2]float64{0, s.rearBias}
	f.lever = [2]float64{u.halfFront() * s.front, float64(u.RearTrack) / 2 * (1 - s.front)}
	// The couple may lie anywhere between its values at the four corners.
	most := f.lever[0] + f.lever[1]
	ok = ok && !(math.Abs(f.turn[forceAlong])*most > 1-1e-9)
	f.put(f.rows[:], f.couple(f.asked))
	if u.Kind != Rigid {
		f.putOthers()
	}
	// If both wheels of a side have lifted, the tires no longer share the load.
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

// put fills in the rows of both axles and of the four wheels under a couple, in
// the order of Row.
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

// own returns the axle on which the body itself stands: 0 is the front axle and
// 1 the rear axle.
func (k UndercarriageKind) own() int {
	if k == PivotingRear {
		return 0
	}
	return 1
}

// pusher returns the axle that takes all of the longitudinal force, if there is
// one.
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

// A sharing says how the wheels share the longitudinal force under one outside
// load: the loads at equal shares, the couple and the biases that make it.
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
// axle share its longitudinal force as asked. If a wheel would lose its load that
// way but would keep it without a longitudinal force, the wheels of its axle
// share in proportion to their loads. If a wheel would lose its load even without
// a longitudinal force, it has lifted and has no force.
func (f *footing) stand(w *[7]float64) (rows [NumRows]float64, s sharing) {
	s = sharing{f: f, bias: f.asked, couple: f.couple(f.asked)}
	for i := range s.at {
		s.at[i] = dot7(&f.equal[i], w)
	}
	for axle := range 2 {
		s.span[axle] = [2]float64{f.asked[axle], f.asked[axle]}
	}
	// The second axle may have to share by loads only after the first one does.
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

// yield finds the axles whose wheels must share by their loads, and reports
// whether there is a new one.
func (s *sharing) yield() (more bool) {
	for axle := range 2 {
		if s.byLoad[axle] || !(s.f.lever[axle] > 0) {
			continue
		}
		left, right := s.wheel(2*axle, s.couple) < 0, s.wheel(2*axle+1, s.couple) < 0
		if left == right {
			continue // both wheels carry load, or the whole axle is lost
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

// solve finds the couple that agrees with the loads of the axles whose wheels
// share by their loads.
func (s *sharing) solve() {
	low, high := 0.0, 0.0
	for axle := range 2 {
		low += s.f.lever[axle] * s.span[axle][0]
		high += s.f.lever[axle] * s.span[axle][1]
	}
	// The loads under a couple call for a couple of their own. The couple called
	// for less the couple assumed is not negative at the low end and not positive
	// at the high end.
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
	// This is false position in which the value at an end that stays twice is
	// halved (Dowell and Jarratt, BIT 11:168, 1971). Without a bend and with one
	// axle sharing by loads, the first step is exact.
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

// lost returns the first limit that the rows exceed, if they exceed one.
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

// A course describes a machine while one quantity x grows from zero: the tangent
// of the slope, an acceleration or a pull.
type course struct {
	load  func(x float64) [7]float64               // the outside load
	end   func(row int) (x float64, status Status) // where a row of the footing reaches zero
	scale float64                                  // the typical size of x
	most  float64                                  // larger than any x that is asked for
}

// parts is the number of steps in which a footing is examined between two ends
// of its rows.
const parts = 6

// seek returns the least x of a course at which the machine no longer stands. It
// starts at an x up to which the machine stands, and examines the intervals
// between the ends of all rows, where wheels begin to share by their loads.
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
				// When an axle loses its load, so do its wheels.
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

// limits fills in the value of every limit along a course and returns the first.
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

// within returns how large the growing quantity of a course may become: the
// first of the limits, with the status for an answer that has only one limit.
func (f *footing) within(c *course) Limit {
	var all [NumEdges]Limit
	first := f.limits(&all, c)
	if first.Status == Binds {
		first.Status = Within
	}
	return first
}

// begin returns the x from which shares other than those asked for may move the
// first limit of a course, or infinity if they cannot. The argument first is the
// limit with the shares asked for.
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

// settle makes limits, each found with the shares asked for, agree with the
// first limit: a limit that would come before it is moved to it.
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
