package integer

import (
	"cmp"
	"math"
	"slices"
)

// Meeting in the middle.
//
// Two demands may act at opposite ends, such as a least load on the front axle and one on
// the rear axle. Their sum is then the objective itself. The linear program cannot
// distinguish one kilogram from another, and branch and bound would enumerate. A solution
// that is better than the best known one must, however, fall into a narrow window of the
// objective. This is a subset-sum problem: list the choices of each half of the variables,
// sort both lists, and test only the pairs whose sum falls into the window (Horowitz and
// Sahni, Computing partitions with applications to the knapsack problem, Journal of the ACM
// 21 (1974) 277-292).

const (
	maxHalf = 6000   // choices listed for one half
	maxPair = 50_000 // pairs tested at one node
	wideVar = 24     // a variable this wide is solved for, not listed
)

// An item is a variable with its values, or a group with its members.
type item struct {
	j       int   // variable, or -1
	members []int // of a group, those that are free
	count   int
}

// A half lists the choices of half of the items.
type half struct {
	items []item
	list  []choice
	act   []float64 // len(list) x m, by index of the choice
	// The buffers of the list one item ago.
	oldList []choice
	oldAct  []float64
}

// A choice is one combination of values of the items of a half.
type choice struct {
	key, cost, dev float64
	code           int32 // mixed-radix number
	at             int32 // index of its activities
}

// A window is the interval in which the sum of two halves must lie to be better than the
// best known solution. It is an interval of a key: the cost less q times the activity of a
// row or, with a modulus, the remainder of the cost.
type window struct {
	wide      int // the variable to be solved for, or -1
	row       int // the row of the key, or -1
	q         float64
	low, high float64
	modulus   float64 // zero without
	slack     float64 // of the bound
}

// key returns what a unit of a variable adds to the key.
func (s *search) key(w *window, j int) float64 {
	k := s.c[j]
	if w.row >= 0 {
		k -= float64(w.q * s.a[w.row*s.n+j])
	}
	return k
}

// meet tries to finish the node by meeting in the middle, and reports whether
// it did. It needs the multipliers and the bound of the last relax.
func (s *search) meet(f *frame) bool {
	if math.IsInf(s.limit, 1) || math.IsInf(s.last, -1) {
		return false
	}
	w := s.window(f)
	total, spread, ok := s.take(f, &w)
	if !ok {
		return false
	}
	share := s.narrow(&w, spread)
	if w.wide >= 0 && s.c[w.wide] != 0 && w.row < 0 && w.modulus == 0 || total*share > 4*maxPair || !s.halve() {
		return false
	}
	// The base holds the fixed variables, and the wide one at its lower bound.
	s.base = s.act(f, s.base[:0])
	cost := 0.0
	for j := range s.n {
		cost += float64(s.c[j] * f.lo[j])
	}
	if !s.listBoth(f, &w) {
		return true
	}
	s.sortHalves(&w)
	return s.pairs(f, &w, cost)
}

// window returns the window of a node, without the modulus.
func (s *search) window(f *frame) window {
	n := s.n
	w := window{wide: -1, row: -1}
	for j := range n {
		if d := f.hi[j] - f.lo[j]; d > wideVar && (w.wide < 0 || d > f.hi[w.wide]-f.lo[w.wide]) {
			w.wide = j
		}
	}
	// The doubled errors of the residual costs are already in s.last.
	w.slack = math.Max(s.limit-s.last, 0) * (1 + 1e-9)
	w.low, w.high = s.last, s.limit
	if w.wide < 0 || s.c[w.wide] == 0 {
		return w
	}
	// cost - q (activity - bound) is free of the wide variable.
	best := math.Inf(1)
	for i, y := range s.y {
		a := s.a[i*n+w.wide]
		y *= s.rowScale[i] / s.costScale
		// The quotient is infinite or NaN if a or y is zero.
		if d := math.Abs(s.c[w.wide]/a) * w.slack / y; d < best {
			best, w.row = d, i
		}
	}
	if w.row >= 0 {
		w.q = s.c[w.wide] / s.a[w.row*n+w.wide]
		if w.q > 0 {
			w.low -= best
		} else {
			w.high += best
		}
	}
	return w
}

// narrow estimates the share of all pairs that fall into the window, as if the sums were
// spread evenly over two standard deviations; the pairs are counted later. It uses the
// remainders instead if fewer pairs then fall into the window: the wide variable can add
// any multiple of its cost.
func (s *search) narrow(w *window, spread float64) (share float64) {
	share = 1
	if spread > 0 {
		share = min(1, (w.high-w.low+1)/math.Sqrt(spread))
	}
	if w.wide < 0 {
		return share
	}
	cost, first := math.Abs(s.c[w.wide]), math.Ceil(s.last)
	if width := s.limit - first + 1; cost > 1 && (width/cost < share || w.row < 0) && width < cost {
		w.modulus, share = cost, width/cost
		w.low, w.high = first, s.limit
	}
	return share
}

// halve distributes the items over the halves, and reports whether each half is small
// enough to be listed.
func (s *search) halve() bool {
	slices.SortFunc(s.items, func(a, b item) int { return cmp.Compare(b.count, a.count) })
	sizes := [2]int{1, 1}
	for h := range s.halves {
		s.halves[h].items = s.halves[h].items[:0]
	}
	for _, it := range s.items {
		h := 0
		if sizes[1] < sizes[0] {
			h = 1
		}
		s.halves[h].items = append(s.halves[h].items, it)
		sizes[h] *= it.count
		if sizes[h] > maxHalf {
			return false
		}
	}
	return true
}

// listBoth lists both halves, and reports whether each has a choice. s.need is what a
// choice must add to each row because all the rest together cannot.
func (s *search) listBoth(f *frame, w *window) bool {
	n, m := s.n, s.m
	s.need = s.need[:0]
	for i := range m {
		most := s.base[i]
		if w.wide >= 0 {
			if a := s.a[i*n+w.wide]; a > 0 {
				most += a * (f.hi[w.wide] - f.lo[w.wide])
			}
		}
		for _, it := range s.items {
			most += s.most(it, i)
		}
		s.need = append(s.need, -most)
	}
	a, b := &s.halves[0], &s.halves[1]
	if !s.list(a, w) {
		return false
	}
	for i := range m {
		for _, it := range b.items {
			s.need[i] += s.most(it, i)
		}
		most := math.Inf(-1)
		for c := i; c < len(a.act); c += m {
			most = max(most, a.act[c])
		}
		s.need[i] -= most
		for _, it := range b.items {
			s.need[i] -= s.most(it, i)
		}
	}
	return s.list(b, w)
}

// sortHalves sorts the choices of both halves by their keys.
func (s *search) sortHalves(w *window) {
	for h := range s.halves {
		l := s.halves[h].list
		if w.modulus > 0 {
			for c := range l {
				l[c].key = remainder(l[c].cost, w.modulus)
			}
		}
		slices.SortFunc(l, func(x, y choice) int {
			if x.key != y.key {
				return cmp.Compare(x.key, y.key)
			}
			return cmp.Compare(x.code, y.code)
		})
		s.work += int64(30 * len(l))
	}
}

// windows returns the windows of the keys, over the cost of the lower corner:
// one, or those of the remainders, which add up to less than twice the modulus.
func (s *search) windows(w *window, cost float64) (out [3][2]float64, n int) {
	if w.modulus > 0 {
		width := w.high - w.low
		low := remainder(w.low-cost, w.modulus)
		for k := range 3 {
			d := low + float64(k-1)*w.modulus
			out[k] = [2]float64{d, d + width}
		}
		return out, 3
	}
	key := cost
	if w.row >= 0 {
		key -= float64(w.q * s.base[w.row])
	}
	// No cost and no activity exceeds 2^53, and no half has more than a dozen items, so the
	// rounding error of the keys is less than this.
	margin := math.Ldexp(1+math.Abs(w.q), 7)
	out[0] = [2]float64{w.low - key - margin, w.high - key + margin}
	return out, 1
}

// pairs counts the pairs in the windows. Unless there are too many, it tests each pair and
// reports true.
func (s *search) pairs(f *frame, w *window, cost float64) bool {
	windows, count := s.windows(w, cost)
	a, b := &s.halves[0], &s.halves[1]
	pairs := 0
	for pass := range 2 {
		for _, win := range windows[:count] {
			from, to := len(b.list), len(b.list)
			for l := range a.list {
				x := &a.list[l]
				for from > 0 && x.key+b.list[from-1].key >= win[0] {
					from--
				}
				for to > 0 && x.key+b.list[to-1].key > win[1] {
					to--
				}
				if pass == 0 {
					pairs += to - from
					if pairs > maxPair {
						return false
					}
					continue
				}
				for p := from; p < to; p++ {
					if y := &b.list[p]; x.dev+y.dev <= w.slack {
						s.pair(f, x, y, s.base, cost, w.wide)
					}
				}
			}
			s.work += int64(len(a.list) + len(b.list))
		}
	}
	s.work += int64(pairs * (s.m/2 + 4))
	return true
}

// remainder returns x modulo m, from 0 to below m; both are integers.
func remainder(x, m float64) float64 {
	r := math.Mod(x, m)
	if r < 0 {
		r += m
	}
	return r
}

// take fills s.items with the items that a node has left to choose, except the wide
// variable. It returns the number of choices and the sum of the squares of the spans of
// their keys.
func (s *search) take(f *frame, w *window) (total, spread float64, ok bool) {
	s.items, s.members = s.items[:0], s.members[:0]
	total = 1
	for _, members := range s.groups {
		first := len(s.members)
		lo, hi := 0.0, 0.0
		for _, j := range members {
			if f.lo[j] != f.hi[j] {
				s.members = append(s.members, j)
				k := s.key(w, j)
				lo, hi = math.Min(lo, k), math.Max(hi, k)
			}
		}
		if free := s.members[first:]; len(free) > 0 {
			s.items = append(s.items, item{j: -1, members: free, count: len(free) + 1})
			total *= float64(len(free) + 1)
			spread += (hi - lo) * (hi - lo)
		}
	}
	for j := range s.n {
		if d := f.hi[j] - f.lo[j]; d > 0 && j != w.wide && s.groupOf[j] < 0 {
			total *= d + 1
			if total > maxHalf*maxHalf {
				return 0, 0, false
			}
			s.items = append(s.items, item{j: j, count: int(d) + 1})
			r := math.Abs(s.key(w, j)) * d
			spread += r * r
		}
	}
	return total, spread, total <= maxHalf*maxHalf
}

// most is the most that an item can add to row i over the lower corner.
func (s *search) most(it item, i int) float64 {
	a := s.a[i*s.n : i*s.n+s.n]
	if it.j >= 0 {
		return max(0, a[it.j]*float64(it.count-1))
	}
	most := 0.0
	for _, j := range it.members {
		most = max(most, a[j])
	}
	return most
}

// act appends the activities of the lower corner of the box, less the bounds.
func (s *search) act(f *frame, out []float64) []float64 {
	n := s.n
	for i, b := range s.b {
		v := -b
		for j, a := range s.a[i*n : i*n+n] {
			v += float64(a * f.lo[j])
		}
		out = append(out, v)
	}
	return out
}

// list enumerates the choices of a half that may be part of a solution. The rest of the
// items at their best must be able to complete a choice in every row, and its residual
// costs must stay within the slack of the bound. It subtracts what the items can add from
// s.need, and reports whether any choice is left.
func (s *search) list(h *half, w *window) bool {
	m := s.m
	h.list = append(h.list[:0], choice{})
	h.act = h.act[:0]
	for range m {
		h.act = append(h.act, 0)
	}
	radix := int32(1)
	for _, it := range h.items {
		h.list, h.oldList = h.oldList[:0], h.list
		h.act, h.oldAct = h.oldAct[:0], h.act
		for i := range m {
			s.need[i] += s.most(it, i)
		}
		// Find the least residual cost of the item.
		best := 0.0
		if it.j >= 0 {
			best = min(0, s.r[it.j]*float64(it.count-1))
		} else {
			for _, j := range it.members {
				best += min(0, s.r[j])
			}
		}
		for v := range it.count {
			j, times := it.j, float64(v)
			if j < 0 {
				if v == 0 {
					j, times = it.members[0], 0
				} else {
					j, times = it.members[v-1], 1
				}
			}
			dk, dc, dr := s.key(w, j)*times, s.c[j]*times, max(0, s.r[j]*times-best)
			if dr > w.slack {
				continue
			}
			col := s.columns[j*m : j*m+m]
			for _, o := range h.oldList {
				if o.dev+dr > w.slack {
					continue
				}
				at := len(h.act)
				h.act = slices.Grow(h.act, m)[:at+m]
				ok := true
				old, act := h.oldAct[int(o.at)*m:int(o.at)*m+m], h.act[at:at+m]
				for i, d := range col {
					x := old[i] + float64(d*times)
					act[i] = x
					if x < s.need[i] {
						ok = false
						break
					}
				}
				if !ok {
					h.act = h.act[:at]
					continue
				}
				h.list = append(h.list, choice{
					key: o.key + dk, cost: o.cost + dc, dev: o.dev + dr,
					code: o.code + int32(v)*radix, at: int32(at / max(m, 1)),
				})
			}
		}
		s.work += int64((len(h.oldList)*it.count + len(h.list)) * (m/2 + 4))
		radix *= int32(it.count)
	}
	return len(h.list) > 0
}

// pair tests one choice of each half.
func (s *search) pair(f *frame, x, y *choice, base []float64, baseCost float64, wide int) {
	n, m := s.n, s.m
	a, b := &s.halves[0], &s.halves[1]
	cost := baseCost + x.cost + y.cost
	la, ra := a.act[int(x.at)*m:int(x.at)*m+m], b.act[int(y.at)*m:int(y.at)*m+m]
	z := 0.0
	if wide < 0 {
		if cost > s.limit {
			return
		}
		for i, v := range base {
			if v+la[i]+ra[i] < 0 {
				return
			}
		}
	} else {
		// These are quotients of integers up to 2^53. They are never rounded to an integer
		// unless they are that integer.
		zlo, zhi := 0.0, f.hi[wide]-f.lo[wide]
		for i, v := range base {
			v += la[i] + ra[i]
			w := s.a[i*n+wide]
			switch {
			case w > 0:
				zlo = max(zlo, math.Ceil(-v/w))
			case w < 0:
				zhi = min(zhi, math.Floor(v/-w))
			case v < 0:
				return
			}
			if zlo > zhi {
				return
			}
		}
		c := s.c[wide]
		z = zlo
		if c < 0 || s.lex {
			z = zhi
			if s.lex && c > 0 {
				z = min(z, math.Floor((s.limit-cost)/c))
			}
		}
		if z < zlo {
			return
		}
		cost += c * z
		if cost > s.limit {
			return
		}
	}
	copy(s.rx, f.lo)
	for h, code := range [2]int32{x.code, y.code} {
		for _, it := range s.halves[h].items {
			v := int(code) % it.count
			code /= int32(it.count)
			if it.j >= 0 {
				s.rx[it.j] += float64(v)
			} else if v > 0 {
				s.rx[it.members[v-1]] = 1
			}
		}
	}
	if wide >= 0 {
		s.rx[wide] += z
	}
	// The test of the whole rows by exact arithmetic decides.
	if !s.satisfies(s.rx) {
		return
	}
	if s.lex {
		if s.found != nil && !s.larger(s.rx) {
			return
		}
		limit := s.limit
		s.keep(s.rx, cost)
		s.limit = limit
		return
	}
	s.keep(s.rx, cost)
}

// larger reports whether the tie-break prefers x to the solution found.
func (s *search) larger(x []float64) bool {
	for k, j := range s.index {
		if v := int64(x[k]); v != s.found[j] {
			return v > s.found[j]
		}
	}
	return false
}
