package integer

import (
	"math"
	"math/bits"
	"slices"
)

// Solve returns the optimum of p, which is proven unless the work limit is reached. Its
// error wraps [ErrProblem] if p is malformed; otherwise it is that of [Options.Stop].
func Solve(p *Problem, opt Options) (Result, error) {
	if err := p.check(); err != nil {
		return Result{}, err
	}
	b := &budget{left: opt.Work, stop: opt.Stop}
	if b.left <= 0 {
		b.left = DefaultWork
	}
	total := b.left
	if b.halted() {
		return Result{}, b.err
	}
	if opt.Any {
		p = &Problem{Upper: p.Upper, Rows: p.Rows, Groups: p.Groups}
		b.any = true
	}
	res := solve(p, b)
	if b.err != nil {
		return Result{}, b.err
	}
	res.Nodes, res.Work = b.nodes, total-b.left
	if res.X != nil {
		res.Values = make([]int64, len(p.Costs))
		for k, c := range p.Costs {
			res.Values[k] = dot(c, res.X)
		}
	}
	return res, nil
}

// A budget is the work that is left.
type budget struct {
	left  int64
	nodes int
	any   bool // the first solution is enough
	alone bool // branch and bound without meeting in the middle, for tests
	stop  func() error
	err   error // of stop
}

// halted asks stop, and reports whether the search must end.
func (b *budget) halted() bool {
	if b.err == nil && b.stop != nil {
		b.err = b.stop()
	}
	return b.err != nil
}

// stopEvery is the work after which stop is asked again.
const stopEvery = 1_000_000

// packLimit is the largest span of several objectives folded into one.
const packLimit = 1 << 50

// A pack is one objective that orders solutions as the objectives from .. to
// do lexicographically.
type pack struct {
	cost []int64
	// The first objective is (cost - rest)/weight with 0 <= rest < weight,
	// times factor, plus offset.
	weight, factor int64
	low            int64 // smallest value of what was folded below the first
}

func gcd(a, b int64) int64 {
	a = max(a, -a)
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// span returns the least and the largest value of c over the box.
func span(c, upper []int64) (lo, hi int64) {
	for j, v := range c {
		lo += min(0, v*upper[j])
		hi += max(0, v*upper[j])
	}
	return lo, hi
}

// packs folds the objectives into as few as possible.
func packs(p *Problem) []pack {
	var out []pack
	for k := 0; k < len(p.Costs); {
		c := slices.Clone(p.Costs[k])
		pk := pack{cost: c, weight: 1, factor: reduce(c)}
		for k++; k < len(p.Costs); k++ {
			d := slices.Clone(p.Costs[k])
			reduce(d)
			lo, hi := span(d, p.Upper)
			clo, chi := span(pk.cost, p.Upper)
			width := hi - lo + 1
			over, most := bits.Mul64(uint64(chi-clo+1), uint64(width))
			if over != 0 || most > packLimit {
				break
			}
			for j := range pk.cost {
				pk.cost[j] = pk.cost[j]*width + d[j]
			}
			pk.weight *= width
			pk.low = pk.low*width + lo
		}
		out = append(out, pk)
	}
	return out
}

// reduce divides c by the greatest common divisor of its entries and returns the
// divisor.
func reduce(c []int64) int64 {
	var g int64
	for _, v := range c {
		g = gcd(v, g)
	}
	if g == 0 {
		return 1
	}
	for j := range c {
		c[j] /= g
	}
	return g
}

// demands returns the rows of the problem and one more for each group.
func (p *Problem) demands() []Row {
	rows := slices.Clone(p.Rows)
	for _, g := range p.Groups {
		r := Row{Coef: make([]int64, len(p.Upper)), Bound: -1}
		for _, j := range g {
			r.Coef[j] = -1
		}
		rows = append(rows, r)
	}
	return rows
}

func solve(p *Problem, b *budget) Result {
	rows := p.demands()
	var best []int64
	ps := packs(p)
	if len(ps) == 0 {
		ps = []pack{{cost: make([]int64, len(p.Upper))}}
	}
	res := Result{}
	for k, pk := range ps {
		s := newSearch(p, rows, pk.cost, b)
		s.adopt(best)
		bound, done := s.minimize()
		if k == 0 && len(p.Costs) > 0 {
			res.Bound = firstBound(bound, pk)
		}
		if s.found == nil {
			if done && k == 0 {
				return Result{Status: Infeasible}
			}
			if best == nil {
				return Result{Status: Unknown, Bound: res.Bound}
			}
		} else {
			best = s.found
		}
		if !done || b.any {
			res.Status, res.X = Feasible, best
			return res
		}
		value := dot(pk.cost, best)
		neg := make([]int64, len(pk.cost))
		for j, v := range pk.cost {
			neg[j] = -v
		}
		if k == len(ps)-1 {
			// Break ties with the same linear programs, and accept no worse solution.
			if !s.largest(float64(value)) {
				res.Status, res.X = Feasible, best
				return res
			}
			best = s.found
			break
		}
		rows = append(rows, Row{Coef: neg, Bound: -value})
	}
	res.Status, res.X = Optimal, best
	return res
}

// firstBound turns a bound of the folded objective into one of the first.
func firstBound(bound float64, pk pack) int64 {
	if bound < -MaxSum {
		return -MaxSum
	}
	if bound > MaxSum {
		bound = MaxSum
	}
	// cost = weight first + rest with low <= rest <= low + weight - 1.
	v := int64(math.Ceil(bound)) - pk.low - (pk.weight - 1)
	q := v / pk.weight
	if q*pk.weight < v { // never if v is negative, because q is rounded to zero
		q++
	}
	return q * pk.factor
}

// A frame is one node of the search: its box and its linear program.
type frame struct {
	lo, hi       []float64
	tabLo, tabHi []float64
	tab          *tableau
	lb           float64
}

// A search is one run of branch and bound over a presolved problem.
type search struct {
	n, m   int
	a      []float64 // integers, m x n
	b      []float64
	c      []float64
	spread []float64 // largest |a[j]| times width of row i

	sa, sb, scost []float64 // scaled
	rowScale      []float64
	costScale     float64
	weight        []float64
	groups        [][]int
	groupOf       []int
	y, r, rerr    []float64
	cand          []candidate
	splits        []split
	flip          []int32
	frames        []*frame
	maxDepth      int
	work          int64
	asked         int64 // work when stop was last asked
	budget        *budget
	full          int // number of variables before presolve
	index         []int
	fixed         []float64
	rootEmpty     bool
	found         []int64
	bestCost      float64 // of found, in the presolved objective
	offset        float64 // objective of the fixed variables
	open          float64 // least bound of a node left open
	stopped       bool
	lex           bool
	limit         float64
	problem       *Problem
	rootHi        []float64 // as fixed, of all variables
	columns       []float64 // of a, n x m
	items         []item
	members       []int
	halves        [2]half
	base, need    []float64
	x, rx         []float64
	last          float64 // the last bound that lagrange gave
}

// maxMemory bounds the frames of one search, in bytes.
const maxMemory = 128 << 20

// maxPresolve bounds the work spent on finding implied rows.
const maxPresolve = 30_000_000

func newSearch(p *Problem, rows []Row, cost []int64, b *budget) *search {
	s := &search{budget: b, problem: p, full: len(p.Upper)}
	lo, hi := make([]float64, s.full), make([]float64, s.full)
	for j, u := range p.Upper {
		hi[j] = float64(u)
	}
	s.bestCost = math.Inf(1)
	s.open = math.Inf(1)
	// Presolve the whole rows: propagate, drop the fixed variables, and drop the rows that
	// the box or another row implies.
	whole := &search{n: s.full, m: len(rows)}
	whole.load(rows, hi)
	f := &frame{lo: lo, hi: hi}
	if !whole.propagate(f, 10) {
		s.rootEmpty = true
	}
	s.work += whole.work
	s.fixed = lo
	for j := range lo {
		if lo[j] < hi[j] {
			s.index = append(s.index, j)
		} else {
			s.offset += float64(cost[j]) * lo[j]
		}
	}
	s.n = len(s.index)
	s.c = make([]float64, s.n)
	for k, j := range s.index {
		s.c[k] = float64(cost[j])
	}
	if !s.rootEmpty {
		s.takeRows(whole, f)
	}
	s.scale(hi)
	n, m := s.n, s.m
	s.y = make([]float64, m)
	s.r, s.rerr = make([]float64, n), make([]float64, n)
	s.x, s.rx = make([]float64, n), make([]float64, n)
	s.group(p.Groups)
	// The divisor is the size of a frame in bytes: see frame and newTableau.
	s.maxDepth = min(1000, maxMemory/(8*n*m+12*m+45*n+256))
	s.rootHi = hi
	return s
}

// scale makes the rows and the cost similar in size, by powers of two. Here upper is the
// upper corner of the box.
func (s *search) scale(upper []float64) {
	n, m := s.n, s.m
	buf := make([]float64, 2*n*m)
	s.sa = buf[:n*m]
	s.sb = make([]float64, m)
	s.rowScale = make([]float64, m)
	s.weight = make([]float64, n)
	s.spread = make([]float64, m)
	for i := range m {
		biggest := 0.0
		for k, v := range s.a[i*n : i*n+n] {
			biggest = math.Max(biggest, math.Abs(v))
			j := s.index[k]
			s.spread[i] = math.Max(s.spread[i], math.Abs(v)*(upper[j]-s.fixed[j]))
		}
		s.rowScale[i] = powerOfTwo(biggest)
		for k, v := range s.a[i*n : i*n+n] {
			w := v * s.rowScale[i]
			s.sa[i*n+k] = w
			s.weight[k] = math.Max(s.weight[k], math.Abs(w))
		}
		s.sb[i] = s.b[i] * s.rowScale[i]
	}
	s.columns = make([]float64, n*m)
	for i := range m {
		for j := range n {
			s.columns[j*m+i] = s.a[i*n+j]
		}
	}
	biggest := 0.0
	for _, v := range s.c {
		biggest = math.Max(biggest, math.Abs(v))
	}
	s.costScale = powerOfTwo(biggest)
	s.scost = make([]float64, n)
	for k, v := range s.c {
		s.scost[k] = v * s.costScale
	}
}

// group finds the variables of each group that are left.
func (s *search) group(groups [][]int) {
	s.groupOf = make([]int, s.n)
	back := make([]int, s.full)
	for j := range back {
		back[j] = -1
	}
	for k, j := range s.index {
		back[j] = k
		s.groupOf[k] = -1
	}
	for _, g := range groups {
		var members []int
		for _, j := range g {
			if back[j] >= 0 {
				members = append(members, back[j])
			}
		}
		if len(members) > 1 {
			for _, k := range members {
				s.groupOf[k] = len(s.groups)
			}
			s.groups = append(s.groups, members)
		}
	}
}

// load takes rows without change.
func (s *search) load(rows []Row, upper []float64) {
	s.a = make([]float64, s.n*s.m)
	s.b = make([]float64, s.m)
	s.spread = make([]float64, s.m)
	for i, r := range rows {
		s.b[i] = float64(r.Bound)
		for j, v := range r.Coef {
			s.a[i*s.n+j] = float64(v)
			s.spread[i] = math.Max(s.spread[i], math.Abs(float64(v))*upper[j])
		}
	}
}

// takeRows keeps the rows of whole that the box f does not imply and that no
// other row implies within it.
func (s *search) takeRows(whole *search, f *frame) {
	n := s.n
	var a [][]float64
	var b, short []float64 // short is what the lower corner of the box misses of b
	for i := range whole.m {
		row := whole.a[i*whole.n : (i+1)*whole.n]
		bound := whole.b[i]
		least, low := 0.0, 0.0
		for j, v := range row {
			if f.lo[j] == f.hi[j] {
				bound -= v * f.lo[j]
				continue
			}
			low += v * f.lo[j]
			if v > 0 {
				least += v * f.lo[j]
			} else {
				least += v * f.hi[j]
			}
		}
		if least >= bound {
			continue
		}
		short = append(short, bound-low)
		kept := make([]float64, n)
		for k, j := range s.index {
			kept[k] = row[j]
		}
		a = append(a, kept)
		b = append(b, bound)
	}
	s.work += int64(whole.m * whole.n)
	// Row i implies row k if a[k] x - b[k] >= w (a[i] x - b[i]) over the box for some
	// w >= 0. The values w = 1 and the ratio of the bounds are tried; the arithmetic
	// subtracts its own error. A problem with very many rows keeps the rows that a bounded
	// effort has not compared.
	dead := make([]bool, len(a))
	for i := range a {
		if dead[i] || s.work > maxPresolve {
			continue
		}
		for k := range a {
			if k == i || dead[k] {
				continue
			}
			s.work += int64(n)
			w := b[k] / b[i] // implies nothing if it is infinite or NaN
			dead[k] = s.implies(a[i], short[i], a[k], short[k], 1, f) || w > 0 && s.implies(a[i], short[i], a[k], short[k], w, f)
		}
	}
	for i := range a {
		if !dead[i] {
			s.a = append(s.a, a[i]...)
			s.b = append(s.b, b[i])
		}
	}
	s.m = len(s.b)
}

// implies reports whether, everywhere in the box, row k exceeds its bound by at least w
// times the excess of row i. The shortfalls of the lower corner of the box are bi and bk.
// Every term is zero or less, so the first few terms decide most pairs.
func (s *search) implies(ai []float64, bi float64, ak []float64, bk, w float64, f *frame) bool {
	least := float64(w*bi) - bk
	if !(least >= 0) {
		return false
	}
	for k, j := range s.index {
		if d := ak[k] - float64(w*ai[k]); d < 0 {
			if least += float64(d * (f.hi[j] - f.lo[j])); least < 0 {
				return false
			}
		}
	}
	size := math.Abs(float64(w*bi)) + math.Abs(bk)
	for k, j := range s.index {
		size += (math.Abs(float64(w*ai[k])) + math.Abs(ak[k])) * f.hi[j]
	}
	if w == 1 && size < MaxSum {
		return least >= 0 // sums of integers, exact
	}
	return least-size*unit*float64(s.n+8) >= 0
}

func powerOfTwo(x float64) float64 {
	if x == 0 {
		return 1
	}
	_, e := math.Frexp(x)
	return math.Ldexp(1, -e)
}

func (s *search) frame(d int) *frame {
	for len(s.frames) <= d {
		n := s.n
		s.frames = append(s.frames, &frame{
			lo: make([]float64, n), hi: make([]float64, n), tabLo: make([]float64, n), tabHi: make([]float64, n),
			tab: newTableau(n, s.m), lb: math.Inf(-1),
		})
	}
	return s.frames[d]
}

// adopt starts from a known solution.
func (s *search) adopt(x []int64) {
	if x == nil {
		return
	}
	s.found = slices.Clone(x)
	v := 0.0
	for k, j := range s.index {
		v += float64(s.c[k] * float64(x[j]))
	}
	s.bestCost = v
}

// minimize runs the search and returns a lower bound of the whole objective
// and whether the search is complete.
func (s *search) minimize() (bound float64, done bool) {
	s.charge()
	if s.rootEmpty {
		return math.Inf(1), true
	}
	s.limit = math.Inf(1)
	if s.found != nil {
		s.limit = s.bestCost - 1
	}
	s.run()
	s.charge()
	b := math.Min(s.open, s.bestCost)
	return b + s.offset, !s.stopped
}

// largest finds the lexicographically largest solution whose objective is at
// most value, given that one exists.
func (s *search) largest(value float64) bool {
	s.charge()
	s.lex = true
	s.limit = value - s.offset
	keep := s.found
	s.found = nil
	if !s.rootEmpty {
		s.run()
	}
	s.charge()
	if s.found == nil {
		s.found = keep
		return false
	}
	return true
}

// run visits the whole tree.
func (s *search) run() {
	root := s.frame(0)
	for k, j := range s.index {
		root.lo[k], root.hi[k] = s.fixed[j], s.rootHi[j]
	}
	root.lb = math.Inf(-1)
	s.reset(root)
	s.visit(0)
}

func (s *search) charge() {
	s.budget.left -= s.work
	s.work, s.asked = 0, 0
}

// spent reports whether the work is spent or the search must stop.
func (s *search) spent() bool {
	if s.budget.err != nil || s.budget.left < s.work {
		return true
	}
	if s.work-s.asked < stopEvery {
		return false
	}
	s.asked = s.work
	return s.budget.halted()
}

// visit explores the node in frame d.
func (s *search) visit(d int) {
	f := s.frames[d]
	s.budget.nodes++
	s.work += 50
	if s.spent() || d >= s.maxDepth {
		s.stopped = true
		s.open = math.Min(s.open, f.lb)
		return
	}
	for round := 0; ; round++ {
		if !s.propagate(f, 3) || !s.relax(f) {
			return
		}
		if s.point(f) {
			s.accept(f)
			return
		}
		if !s.lex {
			s.accept(f)
			if f.lb > s.limit {
				return
			}
		}
		if round < 4 && s.fix(f, s.last, s.limit) {
			continue
		}
		break
	}
	if !s.budget.alone && s.meet(f) {
		return
	}
	if s.lex {
		s.descend(d, f)
	} else {
		s.branch(d, f)
	}
}

// relax solves the linear program of f, leaves its solution in s.x, and reports whether
// the node may hold a better solution.
func (s *search) relax(f *frame) bool {
	s.move(f)
	if s.dual(f) == lpInfeasible && s.lagrange(f, 0) > 0 {
		return false
	}
	s.duals(f.tab)
	s.last = s.lagrange(f, 1)
	f.lb = math.Max(f.lb, s.last)
	if f.lb > s.limit {
		return false
	}
	t := f.tab
	for k, j := range t.nonbasic {
		if int(j) < s.n {
			if t.upper[k] {
				s.x[j] = f.hi[j]
			} else {
				s.x[j] = f.lo[j]
			}
		}
	}
	for i, j := range t.basic {
		if int(j) < s.n {
			// The solution of a stuck or unstable program may lie outside its box.
			x := t.value[i]
			if !(x >= f.lo[j]) {
				x = f.lo[j]
			} else if x > f.hi[j] {
				x = f.hi[j]
			}
			s.x[j] = x
		}
	}
	return true
}

// point reports whether the box holds only one point.
func (s *search) point(f *frame) bool {
	for j := range s.n {
		if f.lo[j] != f.hi[j] {
			return false
		}
	}
	return true
}

// accept rounds s.x and keeps it if it is a better solution, by exact
// arithmetic.
func (s *search) accept(f *frame) {
	cost := 0.0
	for j, v := range s.x {
		v = math.Round(v)
		s.rx[j] = v
		cost += float64(s.c[j] * v)
	}
	if cost > s.limit || !s.satisfies(s.rx) {
		return
	}
	s.keep(s.rx, cost)
}

func (s *search) keep(x []float64, cost float64) {
	if s.found == nil {
		s.found = make([]int64, s.full)
	}
	for j, v := range s.fixed {
		s.found[j] = int64(v)
	}
	for k, j := range s.index {
		s.found[j] = int64(x[k])
	}
	s.bestCost = cost
	s.limit = cost - 1
}

func (s *search) satisfies(x []float64) bool {
	n := s.n
	s.work += int64(n * s.m)
	for i, b := range s.b {
		v := 0.0
		for j, a := range s.a[i*n : i*n+n] {
			v += float64(a * x[j])
		}
		if v < b {
			return false
		}
	}
	return true
}

// child makes frame d+1 a copy of frame d.
func (s *search) child(d int) *frame {
	f, g := s.frames[d], s.frame(d+1)
	copy(g.lo, f.lo)
	copy(g.hi, f.hi)
	copy(g.tabLo, f.tabLo)
	copy(g.tabHi, f.tabHi)
	g.tab.copyFrom(f.tab)
	g.lb = f.lb
	s.work += int64(s.n*s.m) / 4
	return g
}

// descend visits the box in the order of the tie-break.
func (s *search) descend(d int, f *frame) {
	j := 0
	for f.lo[j] == f.hi[j] {
		j++
	}
	mid := math.Floor((f.lo[j] + f.hi[j]) / 2)
	s.child(d).lo[j] = mid + 1
	s.visit(d + 1)
	if s.found != nil || s.stopped {
		return
	}
	s.child(d).hi[j] = mid
	s.visit(d + 1)
}

// A split divides a node into two. Either variable j is at most at in one part and more
// than at in the other, or, for j < 0, the group loses the members from position at in
// one part and those before it in the other.
type split struct {
	j, group, at int
	bound        float64
}

func (s *search) apply(sp split, f *frame, up bool) {
	if sp.j >= 0 {
		if up {
			f.lo[sp.j] = sp.bound + 1
		} else {
			f.hi[sp.j] = sp.bound
		}
		return
	}
	g := s.groups[sp.group]
	if up {
		g = g[:sp.at]
	} else {
		g = g[sp.at:]
	}
	for _, j := range g {
		f.lo[j], f.hi[j] = 0, 0
	}
}

const (
	integral  = 1e-7
	maxSplits = 16 // compared at one node
)

// branch divides the node and explores both parts.
func (s *search) branch(d int, f *frame) {
	splits := s.splits[:0]
	for g, members := range s.groups {
		weight, mean, inside := 0.0, 0.0, 0
		for p, j := range members {
			if x := s.x[j]; x > integral {
				weight += x
				mean += x * float64(p)
				if x < 1-integral {
					inside++
				}
			}
		}
		if inside >= 2 {
			splits = append(splits, split{j: -1, group: g, at: int(mean/weight) + 1})
		}
	}
	for j, x := range s.x {
		fl := math.Floor(x)
		if x-fl > integral && x-fl < 1-integral {
			splits = append(splits, split{j: j, bound: fl})
		}
	}
	if len(splits) == 0 {
		// The solution is integral within rounding, but the node is not finished: divide
		// the widest variable.
		wide := 0
		for j := range s.n {
			if f.hi[j]-f.lo[j] > f.hi[wide]-f.lo[wide] {
				wide = j
			}
		}
		b := math.Round(s.x[wide])
		if b >= f.hi[wide] {
			b = f.hi[wide] - 1
		}
		splits = append(splits, split{j: wide, bound: b})
	}
	s.splits = splits
	splits = splits[:min(len(splits), maxSplits)]
	best := splits[0]
	upFirst := false
	if len(splits) > 1 {
		score := -1.0
		base := f.lb
		for _, sp := range splits {
			var lb [2]float64
			for up := range 2 {
				g := s.child(d)
				s.apply(sp, g, up == 1)
				if s.quick(g) {
					lb[up] = g.lb
				} else {
					lb[up] = math.Inf(1)
				}
			}
			lim := math.Max(s.limit-base, 1)
			a := math.Min(math.Max(lb[0]-base, 1e-3), lim)
			b := math.Min(math.Max(lb[1]-base, 1e-3), lim)
			if v := a * b; v > score {
				score, best, upFirst = v, sp, lb[1] < lb[0]
			}
			if math.IsInf(lb[0], 1) || math.IsInf(lb[1], 1) {
				best, upFirst = sp, !math.IsInf(lb[1], 1)
				break
			}
		}
	}
	for k := range 2 {
		g := s.child(d)
		s.apply(best, g, (k == 0) == upFirst)
		s.visit(d + 1)
		if s.stopped {
			if k == 0 {
				s.open = math.Min(s.open, f.lb)
			}
			return
		}
	}
}

// quick solves the linear program of a child for its bound only.
func (s *search) quick(f *frame) bool {
	s.move(f)
	if s.dual(f) == lpInfeasible && s.lagrange(f, 0) > 0 {
		return false
	}
	s.duals(f.tab)
	f.lb = math.Max(f.lb, s.lagrange(f, 1))
	return f.lb <= s.limit
}
