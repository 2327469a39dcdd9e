package ballast

import (
	"math"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// condition is one linear condition on the load m: a0 + a1 m <= b0 + b1 m.
// The part of a limit that is used is the left side over the right one.
type condition struct {
	a0, a1, b0, b1 float64
	limit          LimitKind
	// bound says that the right side is an upper bound of what is allowed, or
	// that another condition of this limit is not known.
	bound bool
}

// impossible is the condition of a limit that is checked and cannot be reached.
func impossible(limit LimitKind) condition { return condition{b0: math.Inf(1), limit: limit} }

// unknown is the condition of a limit that cannot be checked in full: it holds
// for every load, and marks what else is known of the limit as an upper bound.
func unknown(limit LimitKind) condition {
	return condition{b0: math.Inf(1), limit: limit, bound: true}
}

// atMost appends the condition that e + c m is at most a rating. A rating of
// zero was not given, and the limit is not checked.
func atMost(out []condition, limit LimitKind, e, c, rating float64) []condition {
	if rating > 0 {
		out = append(out, condition{a0: e, a1: c, b0: rating, limit: limit})
	}
	return out
}

// atLeast returns the condition that have + h m is at least need + n m.
func atLeast(limit LimitKind, have, h, need, n float64) condition {
	if h < 0 {
		n, h = n-h, 0
	}
	return condition{a0: need, a1: n, b0: have, b1: h, limit: limit}
}

// positive returns the condition that a wheel row, c m and these parts
// together, is not negative: what holds it down stands on the right, what
// lifts it on the left.
func positive(limit LimitKind, c float64, parts ...float64) condition {
	var up, down float64
	for _, p := range parts {
		if p < 0 {
			up -= p
		} else {
			down += p
		}
	}
	if c < 0 {
		return condition{a0: up, a1: -c, b0: down, limit: limit}
	}
	return condition{a0: up, b0: down, b1: c, limit: limit}
}

// allows returns the greatest load that keeps the condition, +Inf if there is
// none. It is negative if the condition is broken without load.
func (f *condition) allows() float64 {
	if f.a1 > f.b1 {
		return (f.b0 - f.a0) / (f.a1 - f.b1)
	}
	return math.Inf(1)
}

// maxUsed stands for "nothing holds at all" in a share used.
const maxUsed = 1e6

func (f *condition) used(m float64) float64 {
	a, b := f.a0+float64(f.a1*m), f.b0+float64(f.b1*m)
	switch {
	case b > 0:
		return min(maxUsed, max(0, a/b))
	case a > b:
		return maxUsed
	case a == b:
		return 1
	}
	return 0
}

// implies reports whether a load that keeps f keeps g as well, term by term.
func (f *condition) implies(g *condition) bool {
	return f.a0 >= g.a0 && f.a1 >= g.a1 && f.b0 <= g.b0 && f.b1 <= g.b1
}

// strictest adds conditions to a list, leaving out those that others of their
// limit imply. That a limit is known as an upper bound only is kept.
func strictest(list, more []condition) []condition {
next:
	for _, f := range more {
		for i := len(list) - 1; i >= 0; i-- {
			e := &list[i]
			switch {
			case e.limit != f.limit:
			case e.implies(&f):
				e.bound = e.bound || f.bound
				continue next
			case f.implies(e):
				f.bound = e.bound || f.bound
				list = append(list[:i], list[i+1:]...)
			}
		}
		list = append(list, f)
	}
	return list
}

// Relative tolerance within which a limit binds.
const bindTolerance = 1e-9

// standing is how every limit stands in one state of the machine: what the
// conditions say together.
type standing struct {
	checked, bound [NumLimits]bool
	allows         [NumLimits]float64 // the load that each allows; +Inf if none
	empty          [NumLimits]float64 // how much of each is used without load
}

// stand sums the conditions up by limit.
func stand(list []condition) (s standing) {
	s.clear()
	s.add(list)
	return s
}

// clear takes all conditions away.
func (s *standing) clear() {
	*s = standing{}
	for i := range s.allows {
		s.allows[i] = math.Inf(1)
	}
}

// add adds conditions. One that another implies changes nothing, but for what a
// limit allows that is broken without load.
func (s *standing) add(list []condition) {
	for i := range list {
		f := &list[i]
		n := f.limit - 1
		s.checked[n] = true
		s.bound[n] = s.bound[n] || f.bound
		s.allows[n] = min(s.allows[n], f.allows())
		s.empty[n] = max(s.empty[n], f.used(0))
	}
}

// most returns what capacity makes of limits, for all limits together.
func (s *standing) most(withheld LimitKind) Capacity {
	governing, least := -1, math.Inf(1)
	for i := range s.allows {
		if !s.checked[i] {
			continue
		}
		if s.empty[i] > 1+bindTolerance || s.allows[i] < 0 {
			return Capacity{0, LimitKind(i + 1), stability.ExceededWhenEmpty}
		}
		if s.allows[i] < least {
			governing, least = i, s.allows[i]
		}
	}
	const tipping = LimitTipping - 1
	if !s.checked[tipping] || s.bound[tipping] && math.IsInf(s.allows[tipping], 1) {
		withheld = LimitTipping
	}
	switch {
	case withheld != NoLimit || governing < 0:
		return Capacity{0, withheld, stability.NotChecked}
	case s.bound[governing]:
		return Capacity{units.Mass(least), LimitKind(governing + 1), stability.AtMost}
	}
	return Capacity{units.Mass(least), LimitKind(governing + 1), stability.Binds}
}

// least is the least load that conditions allow and the limit that it comes from,
// where the conditions of every limit hold without load. Where one may not, it is
// broken, and a standing says what holds.
type least struct {
	load           float64
	limit          LimitKind
	checked, bound LimitSet
	tips           bool // the tipping limit allows no load beyond some
	broken         bool
}

// overRounding is more than rounding moves a product.
const overRounding = 1 + 1e-12

// add adds conditions.
func (s *least) add(list []condition) {
	load, limit := s.load, s.limit
	for i := range list {
		f := &list[i]
		set := setOf(f.limit)
		s.checked |= set
		if f.bound {
			s.bound |= set
		}
		if !(f.a0 <= f.b0) {
			s.broken = true
			return
		}
		if !(f.a1 > f.b1) {
			continue
		}
		s.tips = s.tips || f.limit == LimitTipping
		room, per := f.b0-f.a0, f.a1-f.b1
		if room > load*per*overRounding {
			continue // without the division
		}
		if m := room / per; m < load || m == load && f.limit < limit {
			load, limit = m, f.limit
		}
	}
	s.load, s.limit = load, limit
}

// most returns what [standing.most] does.
func (s *least) most(withheld LimitKind) Capacity {
	if !s.checked.Has(setOf(LimitTipping)) || s.bound.Has(setOf(LimitTipping)) && !s.tips {
		withheld = LimitTipping
	}
	switch {
	case withheld != NoLimit || s.limit == NoLimit:
		return Capacity{0, withheld, stability.NotChecked}
	case s.bound.Has(setOf(s.limit)):
		return Capacity{units.Mass(s.load), s.limit, stability.AtMost}
	}
	return Capacity{units.Mass(s.load), s.limit, stability.Binds}
}

// limits returns what each limit allows.
func (s *standing) limits() (out [NumLimits]Limit) {
	least := math.Inf(1)
	for i := range out {
		l := &out[i]
		l.Kind = LimitKind(i + 1)
		unlimited := math.IsInf(s.allows[i], 1)
		switch {
		case !s.checked[i]:
			l.Status = stability.NotChecked
		case s.empty[i] > 1+bindTolerance || s.allows[i] < 0:
			l.Status = stability.ExceededWhenEmpty
		case unlimited && s.bound[i]:
			l.Status = stability.NotChecked
		case unlimited:
			l.Status = stability.CannotOccur
		default:
			l.Status = stability.Within
			if s.bound[i] {
				l.Status = stability.AtMost
			}
			l.Mass = units.Mass(s.allows[i])
			least = min(least, s.allows[i])
		}
	}
	for i := range out {
		if l := &out[i]; l.Status == stability.Within && float64(l.Mass) <= least*(1+bindTolerance) {
			l.Status = stability.Binds
		}
	}
	return out
}

// A question is a group of limits that are answered together.
type question uint8

const (
	ofAll   question = iota
	ofLift           // can the loader lift it?
	ofCarry          // may the machine carry it?
)

func (q question) asks(k LimitKind) bool { return q == ofAll || (q == ofLift) == k.OfLift() }

// capacity returns the greatest load that the limits of a question allow, the
// limit it comes from and the status. No load is stated where a limit is
// withheld; see [Model.withheld].
func (q question) capacity(limits *[NumLimits]Limit, withheld LimitKind) Capacity {
	governing := NoLimit
	for i := range limits {
		l := &limits[i]
		if !q.asks(l.Kind) {
			continue
		}
		switch l.Status {
		case stability.ExceededWhenEmpty:
			return Capacity{0, l.Kind, l.Status}
		case stability.Within, stability.Binds, stability.AtMost:
			if governing == NoLimit || l.Mass < limits[governing-1].Mass {
				governing = l.Kind
			}
		}
	}
	if limits[LimitTipping-1].Status == stability.NotChecked { // and with it LimitRearWheel
		withheld = LimitTipping
	}
	if withheld != NoLimit && !q.asks(withheld) {
		withheld = NoLimit
	}
	if withheld != NoLimit || governing == NoLimit {
		return Capacity{0, withheld, stability.NotChecked}
	}
	l := &limits[governing-1]
	out := Capacity{l.Mass, governing, l.Status}
	if out.Status == stability.Within { // the least of its question only
		out.Status = stability.Binds
	}
	return out
}

// recheck returns how much of each limit is used without load.
func (s *standing) recheck(state State) Recheck {
	r := Recheck{State: state}
	worst, bound := math.Inf(-1), false
	for i := range r.Limits {
		l := &r.Limits[i]
		l.Kind = LimitKind(i + 1)
		used := s.empty[i]
		if !s.checked[i] || s.bound[i] && used == 0 {
			continue
		}
		l.Used = units.Fraction(used)
		switch {
		case used > 1+bindTolerance:
			l.Status = stability.Exceeded
		case s.bound[i]:
			l.Status = stability.AtMost
			bound = true
		case used >= 1-bindTolerance:
			l.Status = stability.Binds
		case used == 0:
			l.Status = stability.CannotOccur
		default:
			l.Status = stability.Within
		}
		if used > worst {
			worst, r.Governing, r.Status = used, l.Kind, l.Status
		}
	}
	if bound && r.Status != stability.Exceeded {
		r.Status = stability.AtMost
	}
	return r
}
