package integer

import (
	"cmp"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"
	"unsafe"
)

// point draws one of the box.
func point(r *rand.Rand, upper []int64) []int64 {
	x := make([]int64, len(upper))
	for j, u := range upper {
		x[j] = r.Int64N(u + 1)
	}
	return x
}

// The folded objectives order any two points as the objectives do one after
// the other, and are as few as a span of 2^50 each allows: with spans of
// s objectives of greatest common divisor one, folded they span the product
// of all s+1, less one.
func TestPacks(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 42))
	limit := big.NewInt(1 << 50)
	for k := range 500 {
		p := random(r, 3000)
		for range r.IntN(4) {
			c := make([]int64, len(p.Upper))
			for j := range c {
				c[j] = r.Int64N(2000)*r.Int64N(2000) - 30000
			}
			p.Costs = append(p.Costs, c)
		}
		ps := packs(p)
		for range 20 {
			x, y := point(r, p.Upper), point(r, p.Upper)
			want, got := 0, 0
			for _, c := range p.Costs {
				want = cmp.Or(want, cmp.Compare(dot(c, x), dot(c, y)))
			}
			for _, q := range ps {
				got = cmp.Or(got, cmp.Compare(dot(q.cost, x), dot(q.cost, y)))
			}
			if got != want {
				t.Fatalf("problem %d: folded, %v and %v compare as %d, want %d\n%+v", k, x, y, got, want, p)
			}
		}
		if x := point(r, p.Upper); len(ps) > 0 {
			if got, want := firstBound(float64(dot(ps[0].cost, x)), ps[0]), dot(p.Costs[0], x); got != want {
				t.Fatalf("problem %d: at %v the first objective is %d, unfolded %d\n%+v", k, x, want, got, p)
			}
		}
		want, spans := 0, new(big.Int)
		for _, c := range p.Costs {
			var g, s big.Int
			for j, v := range c {
				g.GCD(nil, nil, &g, new(big.Int).Abs(big.NewInt(v)))
				s.Add(&s, new(big.Int).Abs(big.NewInt(v*p.Upper[j])))
			}
			if g.Sign() > 0 {
				s.Div(&s, &g)
			}
			s.Add(&s, big.NewInt(1))
			if spans.Mul(spans, &s); want == 0 || spans.Cmp(limit) > 0 {
				want++
				spans.Set(&s)
			}
		}
		if len(ps) != want {
			t.Fatalf("problem %d: %d folded objectives, %d are enough\n%+v", k, len(ps), want, p)
		}
	}
	// 2^25 values each just fit; one more does not.
	for _, c := range []struct {
		last int64
		want int
	}{{1<<25 - 2, 1}, {1<<25 - 1, 2}} {
		p := Problem{Upper: []int64{1, 1, 1}, Costs: [][]int64{{1<<25 - 2, 1, 0}, {c.last, 1, 0}}}
		if got := len(packs(&p)); got != c.want {
			t.Errorf("2^25 and %d values are folded into %d objectives, want %d", c.last+2, got, c.want)
		}
	}
	// Spans whose product overflows 64 bits.
	p := Problem{Upper: []int64{1, 1}, Costs: [][]int64{{1<<52 - 1, 1}, {1<<52 - 1, 1}}}
	if got := len(packs(&p)); got != 2 {
		t.Errorf("two spans of 2^52 are folded into %d", got)
	}
}

// A bound of the folded objective is the least value of the first one, times
// its divisor, from which that bound can be reached: value by value.
func TestFirstBound(t *testing.T) {
	for _, weight := range []int64{1, 2, 7} {
		for _, low := range []int64{-9, -3, 0, 4} {
			for first := int64(-4); first <= 4; first++ {
				for rest := low; rest < low+weight; rest++ {
					pk := pack{weight: weight, factor: 6, low: low}
					at := float64(first*weight + rest)
					for _, below := range []float64{0, 0.25, 0.75} {
						if got := firstBound(at-below, pk); got != 6*first {
							t.Errorf("weight %d, rest from %d: the bound %g gives %d, want %d", weight, low, at-below, got, 6*first)
						}
					}
				}
			}
		}
	}
	one := pack{weight: 1, factor: 1}
	for _, c := range []struct {
		bound float64
		want  int64
	}{{math.Inf(-1), -MaxSum}, {-2 * MaxSum, -MaxSum}, {math.Inf(1), MaxSum}, {2 * MaxSum, MaxSum}} {
		if got := firstBound(c.bound, one); got != c.want {
			t.Errorf("the bound %g gives %d, want %d", c.bound, got, c.want)
		}
	}
}

// What is left after the presolve has the same solutions, and holds no row
// that the box or another row implies.
func TestPresolve(t *testing.T) {
	r := rand.New(rand.NewPCG(43, 44))
	fixed, dropped := 0, 0
	for k := range 600 {
		p := random(r, 300)
		n := len(p.Upper)
		for _, q := range slices.Clone(p.Rows) {
			// A weaker row, a multiple, and one that is both.
			kind := r.IntN(4)
			row := Row{Coef: slices.Clone(q.Coef), Bound: q.Bound}
			if kind&1 != 0 {
				for j := range row.Coef {
					row.Coef[j] *= 3
				}
				row.Bound *= 3
			}
			if kind&2 != 0 {
				row.Bound -= r.Int64N(3)
				for j := range row.Coef {
					row.Coef[j] += r.Int64N(3) / 2
				}
			}
			p.Rows = append(p.Rows, row)
		}
		r.Shuffle(len(p.Rows), func(a, b int) { p.Rows[a], p.Rows[b] = p.Rows[b], p.Rows[a] })
		cost := point(r, slices.Repeat([]int64{99}, n))
		s := newSearch(p, p.Rows, cost, new(budget))
		if least := int64(len(p.Rows) * n); !s.rootEmpty && s.work < 2*least+int64(s.m*(s.m-1)*s.n) {
			t.Fatalf("problem %d: work %d for %d coefficients, each looked at twice, and all pairs of %d rows", k, s.work, least, s.m)
		}
		left := map[int]int{}
		f := &frame{lo: make([]float64, s.n), hi: make([]float64, s.n)}
		for q, j := range s.index {
			left[j] = q
			f.lo[q], f.hi[q] = s.fixed[j], s.rootHi[j]
		}
		offset := 0.0
		for j := range n {
			if _, ok := left[j]; !ok {
				fixed++
				offset += float64(cost[j]) * s.fixed[j]
			}
		}
		if !s.rootEmpty && s.offset != offset {
			t.Fatalf("problem %d: the fixed variables cost %g, want %g", k, s.offset, offset)
		}
		dropped += len(p.Rows) - s.m
		// The same solutions.
		all := *p
		all.Groups = nil
		x := make([]int64, n)
		for at := int64(0); ; at++ {
			rest := at
			for j, u := range p.Upper {
				x[j] = rest % (u + 1)
				rest /= u + 1
			}
			if rest > 0 {
				break
			}
			ok := !s.rootEmpty
			y := make([]float64, s.n)
			for j, v := range x {
				ok = ok && float64(v) >= s.fixed[j] && float64(v) <= s.rootHi[j]
				if q, free := left[j]; free {
					y[q] = float64(v)
				}
			}
			if ok = ok && s.holds(y); ok != all.Satisfies(x) {
				t.Fatalf("problem %d: after the presolve %v is a solution: %v\n%+v", k, x, ok, p)
			}
		}
		// No row that is implied: in integers, or where it is clear of rounding.
		least := func(coef func(q int) float64) (sum, size float64) {
			for q := range s.n {
				sum += min(coef(q)*f.lo[q], coef(q)*f.hi[q])
				size += math.Abs(coef(q)) * f.hi[q]
			}
			return sum, size
		}
		for i, b := range s.b {
			a := s.a[i*s.n : i*s.n+s.n]
			if sum, _ := least(func(q int) float64 { return a[q] }); sum >= b {
				t.Fatalf("problem %d: row %d is implied by the box", k, i)
			}
			for h, c := range s.b {
				if h == i {
					continue
				}
				d := s.a[h*s.n : h*s.n+s.n]
				if sum, _ := least(func(q int) float64 { return a[q] - d[q] }); sum >= b-c {
					t.Fatalf("problem %d: row %d is implied by row %d", k, i, h)
				}
				if c == 0 || b/c <= 0 {
					continue
				}
				w := b / c
				sum, size := least(func(q int) float64 { return a[q] - w*d[q] })
				_, one := least(func(q int) float64 { return a[q] })
				if sum > 1e-10*(size+one+math.Abs(b)) {
					t.Fatalf("problem %d: row %d is implied by %g times row %d", k, i, w, h)
				}
			}
		}
	}
	if fixed < 300 || dropped < 1000 {
		t.Errorf("the draw is lopsided: %d variables fixed, %d rows dropped", fixed, dropped)
	}
}

// The scaled rows are the rows times a power of two that brings the largest
// coefficient between a half and one, and so are the costs; columns, weights,
// spreads and groups are what their names say.
func TestScale(t *testing.T) {
	r := rand.New(rand.NewPCG(45, 46))
	groups := 0
	for k := range 300 {
		s, _ := drawn(r, 3000)
		isScale := func(x float64) bool {
			frac, _ := math.Frexp(x)
			return frac == 0.5
		}
		half := func(of []float64, what string, i int) {
			most := 0.0
			for _, v := range of {
				most = max(most, math.Abs(v))
			}
			if most != 0 && (most < 0.5 || most >= 1) {
				t.Fatalf("problem %d: the largest scaled coefficient of %s %d is %g", k, what, i, most)
			}
		}
		half(s.scost, "objective", 0)
		for j, v := range s.scost {
			if !isScale(s.costScale) || v != s.c[j]*s.costScale || s.c[j] != float64(s.costOf(j)) {
				t.Fatalf("problem %d: cost %d is %g, scaled by %g %g", k, j, s.c[j], s.costScale, v)
			}
		}
		for i := range s.m {
			half(s.sa[i*s.n:i*s.n+s.n], "row", i)
			spread := 0.0
			for j := range s.n {
				a := s.a[i*s.n+j]
				if s.sa[i*s.n+j] != a*s.rowScale[i] || s.columns[j*s.m+i] != a {
					t.Fatalf("problem %d: coefficient %d of row %d", k, j, i)
				}
				spread = max(spread, math.Abs(a)*(s.rootHi[s.index[j]]-s.fixed[s.index[j]]))
			}
			if !isScale(s.rowScale[i]) || s.sb[i] != s.b[i]*s.rowScale[i] || s.spread[i] != spread {
				t.Fatalf("problem %d: row %d has scale %g, bound %g, spread %g, want %g", k, i, s.rowScale[i], s.sb[i], s.spread[i], spread)
			}
		}
		for j := range s.n {
			most := 0.0
			for i := range s.m {
				most = max(most, math.Abs(s.sa[i*s.n+j]))
			}
			if s.weight[j] != most {
				t.Fatalf("problem %d: weight %d is %g, want %g", k, j, s.weight[j], most)
			}
		}
		var want [][]int
		of := slices.Repeat([]int{-1}, s.n)
		for _, g := range s.problem.Groups {
			var free []int
			for _, j := range g {
				if q := slices.Index(s.index, j); q >= 0 {
					free = append(free, q)
				}
			}
			if len(free) > 1 {
				for _, q := range free {
					of[q] = len(want)
				}
				want = append(want, free)
				groups++
			}
		}
		if !slices.Equal(s.groupOf, of) || !slices.EqualFunc(s.groups, want, slices.Equal[[]int]) {
			t.Fatalf("problem %d: groups %v, by variable %v; want %v, %v", k, s.groups, s.groupOf, want, of)
		}
	}
	if groups < 40 {
		t.Errorf("only %d groups", groups)
	}
}

// costOf is the first objective's cost of a free variable.
func (s *search) costOf(k int) int64 {
	if len(s.problem.Costs) == 0 {
		return 0
	}
	return s.problem.Costs[0][s.index[k]]
}

// One row implies another only if it does in exact arithmetic, and does if that
// is clear of the rounding error.
func TestImplies(t *testing.T) {
	r := rand.New(rand.NewPCG(47, 48))
	yes, no := 0, 0
	for k := range 3000 {
		n := 1 + r.IntN(5)
		s := &search{n: n}
		f := &frame{}
		draw := func() (a []float64) {
			for range n {
				a = append(a, float64(r.Int64N(1<<46)-1<<45))
			}
			return a
		}
		for j := range n {
			s.index = append(s.index, j)
			lo := r.Int64N(4)
			f.lo, f.hi = append(f.lo, float64(lo)), append(f.hi, float64(lo+r.Int64N(4)))
		}
		ai, ak := draw(), draw()
		bi := float64(r.Int64N(1<<47) - 1<<46)
		w := 4 * r.Float64()
		if r.IntN(4) == 0 {
			w = 1
		}
		// The least of (ak - w ai) x + w bi over the box, exactly.
		least := product(w, bi)
		size := math.Abs(w * bi)
		for j := range n {
			d := new(big.Float).Sub(exactly(ak[j]), product(w, ai[j]))
			x := f.lo[j]
			if d.Sign() < 0 {
				x = f.hi[j]
			}
			least.Add(least, d.Mul(d, exactly(x)))
			size += (math.Abs(w*ai[j]) + math.Abs(ak[j])) * f.hi[j]
		}
		at, _ := least.Float64()
		bk := math.Floor(at) + float64(r.IntN(3)-1)
		if r.IntN(2) == 0 {
			bk = math.Floor(at - size*0x1p-52*float64(n+8)*4*r.Float64())
		}
		size += math.Abs(bk)
		over, _ := least.Sub(least, exactly(bk)).Float64()
		bl, bm := bi, bk // less the lower corner, exact
		for j := range n {
			bl -= ai[j] * f.lo[j]
			bm -= ak[j] * f.lo[j]
		}
		got := s.implies(ai, bl, ak, bm, w, f)
		if got && over < 0 {
			t.Fatalf("pair %d: implied, although by %g too little of %g", k, over, size)
		}
		margin := size * 0x1p-52 * float64(n+8)
		if w == 1 && size < MaxSum {
			margin = 0
		}
		if !got && over >= 1.5*margin {
			t.Fatalf("pair %d: not implied, although by %g of %g to spare, margin %g", k, over, size, margin)
		}
		if got && over < margin/2 {
			t.Fatalf("pair %d: implied by %g of %g, margin %g", k, over, size, margin)
		}
		if got {
			yes++
		} else {
			no++
		}
	}
	if yes < 500 || no < 500 {
		t.Errorf("the draw is lopsided: %d implied, %d not", yes, no)
	}
}

// The frames of the deepest search together stay below the bound on memory,
// and one more would not.
func TestDepth(t *testing.T) {
	for _, size := range [][2]int{{3, 3}, {20, 800}, {256, 70}, {100, 130}} {
		n, m := size[0], size[1]
		p := Problem{Upper: slices.Repeat([]int64{9}, n)}
		for i := range m {
			// Pairs of variables, several slopes each: none implies another.
			row := Row{Coef: make([]int64, n), Bound: 9}
			apart := max(1, n/2-1)
			slope := int64(i / (n * apart))
			row.Coef[i%n], row.Coef[(i+1+i/n%apart)%n] = 1+slope, 12-slope
			p.Rows = append(p.Rows, row)
		}
		s := newSearch(&p, p.Rows, make([]int64, n), new(budget))
		if s.n != n || s.m != m {
			t.Fatalf("%d variables, %d rows left of %d and %d", s.n, s.m, n, m)
		}
		f := s.frame(0)
		one := 8*(len(f.lo)+len(f.hi)+len(f.tabLo)+len(f.tabHi)+len(f.tab.t)+len(f.tab.value)+len(f.tab.reduced)) +
			4*(len(f.tab.basic)+len(f.tab.nonbasic)) + len(f.tab.upper) + int(unsafe.Sizeof(*f)+unsafe.Sizeof(*f.tab))
		// Where a pointer has 4 bytes a frame is a little smaller.
		if want := min(1000, maxMemory/one); s.maxDepth != want && (s.maxDepth != want-1 || strconv.IntSize == 64) {
			t.Errorf("%d variables, %d rows: %d frames of %d bytes, want %d", n, m, s.maxDepth, one, want)
		}
	}
}
