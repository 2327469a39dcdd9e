package integer

import (
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"
)

// drawn returns the root of a random search and a random box within its own,
// with lower bounds that are not zero.
func drawn(r *rand.Rand, points int64) (*search, *frame) {
	for {
		p := random(r, points)
		cost := make([]int64, len(p.Upper))
		if len(p.Costs) > 0 {
			cost = p.Costs[0]
		}
		s := newSearch(p, p.demands(), cost, &budget{left: DefaultWork})
		if s.rootEmpty || s.n < 2 || s.m < 2 {
			continue
		}
		s.limit = math.Inf(1)
		f := s.frame(0)
		for k, j := range s.index {
			f.lo[k], f.hi[k] = s.fixed[j], s.rootHi[j]
		}
		f.shrink(r)
		s.work = 0
		return s, f
	}
}

// shrink sets f to a random part of its box.
func (f *frame) shrink(r *rand.Rand) {
	for j := range f.lo {
		if r.IntN(5) < 2 {
			f.lo[j] += float64(r.Int64N(int64(f.hi[j]-f.lo[j]) + 1))
			f.hi[j] -= float64(r.Int64N(int64(f.hi[j]-f.lo[j]) + 1))
		}
	}
}

func exactly(x float64) *big.Float { return new(big.Float).SetPrec(600).SetFloat64(x) }

func product(xs ...float64) *big.Float {
	p := exactly(1)
	for _, x := range xs {
		p.Mul(p, exactly(x))
	}
	return p
}

// The formula of the doc comment in arithmetic of 600 bits: the bound lies
// below the exact one, by the rounding error that Higham's section 3.1 allows
// and not by more than half again as much; and so for the residual costs.
func TestLagrange(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	for k := range 400 {
		s, f := drawn(r, 3000)
		w := float64(r.IntN(2))
		terms := 2
		for i := range s.y {
			s.y[i] = 0
			if r.IntN(4) > 0 {
				s.y[i] = r.Float64() * math.Pow(10, float64(r.IntN(4)-2))
				terms++
			}
		}
		got := s.lagrange(f, w)
		if want := int64(s.n * terms); s.work != want {
			t.Fatalf("problem %d: work %d, the loops multiply %d times", k, s.work, want)
		}
		scale := 1.0
		if w == 1 {
			scale = 1 / s.costScale // a power of two
		}
		exact := exactly(0)
		size, wrong := 0.0, 0.0
		for i, b := range s.b {
			p := product(s.y[i], s.rowScale[i], scale, b)
			exact.Add(exact, p)
			v, _ := p.Float64()
			size += math.Abs(v)
		}
		for j := range s.n {
			res, abs := product(w, s.c[j]), math.Abs(w*s.c[j])
			for i := range s.b {
				p := product(s.y[i], s.rowScale[i], scale, s.a[i*s.n+j])
				res.Sub(res, p)
				v, _ := p.Float64()
				abs += math.Abs(v)
			}
			allowed := abs * unit * float64(terms)
			off, _ := new(big.Float).Sub(exactly(s.r[j]), res).Float64()
			if math.Abs(off) > allowed || math.Abs(s.rerr[j]-allowed) > 1e-9*allowed {
				t.Fatalf("problem %d: residual cost %d is off by %g, says at most %g, allowed %g", k, j, off, s.rerr[j], allowed)
			}
			x := f.lo[j]
			if res.Sign() < 0 {
				x = f.hi[j]
			}
			p := res.Mul(res, exactly(x))
			exact.Add(exact, p)
			v, _ := p.Float64()
			size += math.Abs(v)
			wrong += allowed * f.hi[j]
		}
		allowed := wrong + size*unit*float64(terms+s.n)
		gap, _ := exact.Sub(exact, exactly(got)).Float64()
		if gap < allowed/2 || gap > allowed*3/2 {
			t.Fatalf("problem %d: the bound %g lies %g below the exact one, allowed %g", k, got, gap, allowed)
		}
	}
	// Multipliers out of a linear program that broke down prove nothing.
	s, f := drawn(r, 3000)
	for i := range s.y {
		s.y[i] = math.Inf(1)
	}
	if got := s.lagrange(f, 1); !math.IsInf(got, -1) {
		t.Errorf("endless multipliers give a bound of %g, want -Inf", got)
	}
}

// Without rows the residual costs are the costs, and a variable of cost c may
// leave its better bound by slack/|c| steps, rounded down: integers, exactly.
func TestFix(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 24))
	moved := 0
	for k := range 500 {
		s, f := drawn(r, 3000)
		clear(s.y)
		lb := s.lagrange(f, 1)
		low := int64(math.Round(lb))
		slack := r.Int64N(1 + int64(math.Abs(s.c[0])*3))
		wantLo, wantHi, changed := slices.Clone(f.lo), slices.Clone(f.hi), false
		for j, c := range s.c {
			if c == 0 {
				continue
			}
			steps := float64(slack / int64(math.Abs(c)))
			if steps >= f.hi[j]-f.lo[j] {
				continue
			}
			changed = true
			moved++
			if c > 0 {
				wantHi[j] = f.lo[j] + steps
			} else {
				wantLo[j] = f.hi[j] - steps
			}
		}
		got := s.fix(f, float64(low), float64(low+slack))
		if got != changed || !slices.Equal(f.lo, wantLo) || !slices.Equal(f.hi, wantHi) {
			t.Fatalf("problem %d, costs %v, slack %d: %v to %v, changed %v; want %v to %v, %v",
				k, s.c, slack, f.lo, f.hi, got, wantLo, wantHi, changed)
		}
		if s.fix(f, 1, 0) || !slices.Equal(f.lo, wantLo) || !slices.Equal(f.hi, wantHi) {
			t.Fatalf("problem %d: a bound above the limit moved the box", k)
		}
	}
	if moved < 300 {
		t.Errorf("only %d bounds moved", moved)
	}
	// A residual cost known to a quarter may be as small as 3/4 - 1/4: a slack
	// of 10 leaves 20 steps.
	s := &search{n: 2, r: []float64{0.75, -0.75}, rerr: []float64{0.25, 0.25}}
	f := &frame{lo: []float64{5, 5}, hi: []float64{99, 99}}
	if !s.fix(f, 0, 10) || !slices.Equal(f.lo, []float64{5, 79}) || !slices.Equal(f.hi, []float64{25, 99}) {
		t.Errorf("with an error of a quarter: %v to %v, want [5 79] to [25 99]", f.lo, f.hi)
	}
}

// No point of the box that costs at most the limit is cut off by the residual
// costs of any multipliers: by enumeration.
func TestFixKeepsSolutions(t *testing.T) {
	r := rand.New(rand.NewPCG(25, 26))
	for k := range 300 {
		s, f := drawn(r, 3000)
		for i := range s.y {
			s.y[i] = max(0, r.Float64()-0.5)
		}
		lb := s.lagrange(f, 1)
		var keep [][]float64
		limit := math.Inf(1)
		s.points(f, func(x []float64) {
			cost := 0.0
			for j, c := range s.c {
				cost += c * x[j]
			}
			if s.holds(x) {
				if cost < limit {
					keep, limit = nil, cost
				}
				if cost == limit {
					keep = append(keep, slices.Clone(x))
				}
			}
		})
		if keep == nil {
			continue
		}
		s.fix(f, lb, limit)
		for _, x := range keep {
			for j, v := range x {
				if v < f.lo[j] || v > f.hi[j] {
					t.Fatalf("problem %d: the optimum %v of cost %g lies outside %v to %v", k, x, limit, f.lo, f.hi)
				}
			}
		}
	}
}

// points calls with every point of the box, the largest first.
func (s *search) points(f *frame, with func(x []float64)) {
	x := slices.Clone(f.hi)
	for {
		with(x)
		j := s.n - 1
		for ; j >= 0 && x[j] == f.lo[j]; j-- {
			x[j] = f.hi[j]
		}
		if j < 0 {
			return
		}
		x[j]--
	}
}

// holds tells whether x satisfies the rows of the search, whose sums are
// integers below 2^53.
func (s *search) holds(x []float64) bool {
	for i, b := range s.b {
		sum := -b
		for j, v := range x {
			sum += s.a[i*s.n+j] * v
		}
		if sum < 0 {
			return false
		}
	}
	return true
}

// A value of a variable stays in the box exactly if the row at its best, with
// the variable at that value, reaches its bound: tried value by value.
func TestPropagate(t *testing.T) {
	r := rand.New(rand.NewPCG(27, 28))
	empty, tight := 0, 0
	for k := range 1000 {
		s, f := drawn(r, 3000)
		rounds := 1 + r.IntN(4)
		lo, hi := slices.Clone(f.lo), slices.Clone(f.hi)
		ok, rows := true, 0
		best := func(i int) (sum float64) {
			for j, v := range s.a[i*s.n : i*s.n+s.n] {
				sum += max(v*lo[j], v*hi[j])
			}
			return sum - s.b[i]
		}
	all:
		for range rounds {
			changed := false
			for i := range s.b {
				rows++
				if best(i) < 0 {
					ok = false
					break all
				}
				for j := range lo {
					a, b := lo[j], hi[j]
					fits := func(v float64) bool {
						lo[j], hi[j] = v, v
						defer func() { lo[j], hi[j] = a, b }()
						return best(i) >= 0
					}
					from, to := a, b
					for !fits(from) {
						from++
					}
					for !fits(to) {
						to--
					}
					if from != a || to != b {
						lo[j], hi[j], changed = from, to, true
						tight++
					}
				}
			}
			if !changed {
				break
			}
		}
		got := s.propagate(f, rounds)
		if got != ok || ok && (!slices.Equal(f.lo, lo) || !slices.Equal(f.hi, hi)) {
			t.Fatalf("problem %d: %v %v to %v, want %v %v to %v", k, got, f.lo, f.hi, ok, lo, hi)
		}
		if want := int64(rows * s.n); s.work != want {
			t.Fatalf("problem %d: work %d, looked at %d coefficients", k, s.work, want)
		}
		if !ok {
			empty++
		}
	}
	if empty < 100 || tight < 300 {
		t.Errorf("the draw is lopsided: %d empty, %d bounds tightened", empty, tight)
	}
}
