package integer

import "math"

// A tableau is the state of a bounded dual simplex method over the rows
// slack[i] = sum a[i][j] x[j] - b[i] >= 0, all scaled by powers of two. Each
// basic variable is an affine function of the nonbasic ones:
//
//	x[basic[i]] = value[i] + sum_j t[i][j] (x[nonbasic[j]] - its bound)
//
// Variables 0..n-1 are those of the problem, and n..n+m-1 are the slacks. No proof depends
// on its digits: see bound.go. Held by TestDual.
type tableau struct {
	t        []float64 // m x n
	value    []float64 // of the basic variables
	reduced  []float64 // reduced costs of the nonbasic variables
	basic    []int32
	nonbasic []int32
	upper    []bool // nonbasic variable is at its upper bound
}

func newTableau(n, m int) *tableau {
	return &tableau{
		t: make([]float64, n*m), value: make([]float64, m), reduced: make([]float64, n),
		basic: make([]int32, m), nonbasic: make([]int32, n), upper: make([]bool, n),
	}
}

func (t *tableau) copyFrom(o *tableau) {
	copy(t.t, o.t)
	copy(t.value, o.value)
	copy(t.reduced, o.reduced)
	copy(t.basic, o.basic)
	copy(t.nonbasic, o.nonbasic)
	copy(t.upper, o.upper)
}

// lpStatus is the unproven result of the simplex method.
type lpStatus uint8

const (
	lpOptimal    lpStatus = iota
	lpInfeasible          // s.ray holds multipliers that should prove it
	lpStuck               // gave up; the multipliers still give a bound
)

const (
	pivotTolerance    = 1e-8
	feasibleTolerance = 1e-9
	tiny              = 1e-100 // multipliers below it are dropped, which is always allowed
)

// reset puts all slacks in the basis and each variable at the bound that its
// cost prefers, which is dual feasible.
func (s *search) reset(f *frame) {
	t := f.tab
	copy(t.t, s.sa)
	for j := range s.n {
		t.nonbasic[j] = int32(j)
		t.reduced[j] = s.scost[j]
		t.upper[j] = s.scost[j] < 0
	}
	for i := range s.m {
		t.basic[i] = int32(s.n + i)
		v := -s.sb[i]
		for j := range s.n {
			x := f.lo[j]
			if t.upper[j] {
				x = f.hi[j]
			}
			v += float64(s.sa[i*s.n+j] * x)
		}
		t.value[i] = v
	}
	copy(f.tabLo, f.lo)
	copy(f.tabHi, f.hi)
	s.work += int64(2 * s.n * s.m)
}

// move changes the tableau from the bounds tabLo and tabHi to the bounds lo and hi.
func (s *search) move(f *frame) {
	t := f.tab
	for k, j := range t.nonbasic {
		if int(j) >= s.n {
			continue
		}
		var d float64
		if t.upper[k] {
			d = f.hi[j] - f.tabHi[j]
		} else {
			d = f.lo[j] - f.tabLo[j]
		}
		if d != 0 {
			s.shift(t, k, d)
		}
	}
	copy(f.tabLo, f.lo)
	copy(f.tabHi, f.hi)
}

// shift moves nonbasic variable k by d.
func (s *search) shift(t *tableau, k int, d float64) {
	for i := range s.m {
		t.value[i] += float64(t.t[i*s.n+k] * d)
	}
	s.work += int64(s.m)
}

// lower returns the lower bound of a variable or a slack.
func (s *search) lower(f *frame, v int32) float64 {
	if int(v) < s.n {
		return f.lo[v]
	}
	return 0
}

// dual runs the dual simplex method with bound flipping.
func (s *search) dual(f *frame) lpStatus {
	t := f.tab
	n, m := s.n, s.m
	for iter := 0; iter < 20+4*(n+m) && !s.spent(); iter++ {
		s.work += int64(m)
		row, below := s.leaving(f)
		if row < 0 {
			return lpOptimal
		}
		enter := s.entering(f, row, below)
		if enter < 0 {
			s.flip = s.flip[:0]
			s.rayOf(t, row, below)
			return lpInfeasible
		}
		for _, k := range s.flip {
			j := t.nonbasic[k]
			d := f.hi[j] - f.lo[j]
			if t.upper[k] {
				d = -d
			}
			t.upper[k] = !t.upper[k]
			s.shift(t, int(k), d)
		}
		s.flip = s.flip[:0]
		s.pivot(f, row, enter, below)
	}
	return lpStuck
}

// leaving returns the row of the variable with the largest violation, and whether it is
// below its lower bound. The row is below zero if there is none.
func (s *search) leaving(f *frame) (row int, below bool) {
	t, n := f.tab, s.n
	row = -1
	worst := 0.0
	for i := range s.m {
		v := t.basic[i]
		x := t.value[i]
		if int(v) >= n {
			if d := -x; d > feasibleTolerance && d > worst {
				row, worst, below = i, d, true
			}
			continue
		}
		tol := feasibleTolerance * (1 + math.Abs(x))
		if d := f.lo[v] - x; d > tol && d*s.weight[v] > worst {
			row, worst, below = i, d*s.weight[v], true
		}
		if d := x - f.hi[v]; d > tol && d*s.weight[v] > worst {
			row, worst, below = i, d*s.weight[v], false
		}
	}
	return row, below
}

// entering returns the place of the variable with the smallest ratio at which the slope of
// the dual objective changes sign, or less than zero if there is none. The variables passed
// on the way are in s.flip.
func (s *search) entering(f *frame, row int, below bool) int {
	t, n := f.tab, s.n
	leaving := t.basic[row]
	var gap float64
	if below {
		gap = s.lower(f, leaving) - t.value[row]
	} else {
		gap = t.value[row] - f.hi[leaving]
	}
	tr := t.t[row*n : row*n+n]
	cand := s.cand[:0]
	for k := range n {
		j := t.nonbasic[k]
		p := tr[k]
		if !below {
			p = -p
		}
		if t.upper[k] {
			p = -p
		}
		if p <= pivotTolerance {
			continue
		}
		if int(j) < n && f.lo[j] == f.hi[j] {
			continue
		}
		d := t.reduced[k]
		if t.upper[k] {
			d = -d
		}
		cand = append(cand, candidate{k: k, ratio: d / p, pivot: p})
	}
	s.cand = cand
	for len(cand) > 0 {
		b := 0
		for i := 1; i < len(cand); i++ {
			if cand[i].ratio < cand[b].ratio ||
				cand[i].ratio == cand[b].ratio && cand[i].pivot > cand[b].pivot {
				b = i
			}
		}
		c := cand[b]
		j := t.nonbasic[c.k]
		room := math.Inf(1)
		if int(j) < n {
			room = c.pivot * (f.hi[j] - f.lo[j])
		}
		if room >= gap {
			return c.k
		}
		gap -= room
		s.flip = append(s.flip, int32(c.k))
		cand[b] = cand[len(cand)-1]
		cand = cand[:len(cand)-1]
	}
	return -1
}

type candidate struct {
	k            int
	ratio, pivot float64
}

// pivot exchanges the basic variable of a row, which goes to its lower or
// upper bound, with nonbasic variable k.
func (s *search) pivot(f *frame, row, k int, below bool) {
	t := f.tab
	n := s.n
	s.work += int64(s.m * n)
	leaving, entering := t.basic[row], t.nonbasic[k]
	target := f.boundOf(s, leaving, below)
	tr := t.t[row*n : row*n+n]
	p := tr[k]
	step := (target - t.value[row]) / p
	var start float64
	if t.upper[k] {
		start = f.hi[entering] // a slack has no upper bound
	} else {
		start = s.lower(f, entering)
	}
	for i := range s.m {
		t.value[i] += float64(t.t[i*n+k] * step)
	}
	t.value[row] = start + step
	inv := 1 / p
	for j := range tr {
		tr[j] = -(tr[j] * inv)
	}
	tr[k] = inv
	for i := range s.m {
		if i == row {
			continue
		}
		ti := t.t[i*n : i*n+n]
		q := ti[k]
		if q == 0 {
			continue
		}
		ti[k] = 0
		for j, r := range tr {
			ti[j] += float64(q * r)
		}
	}
	q := t.reduced[k]
	t.reduced[k] = 0
	if q != 0 {
		for j, r := range tr {
			t.reduced[j] += float64(q * r)
		}
	}
	t.basic[row], t.nonbasic[k] = entering, leaving
	t.upper[k] = !below
}

func (f *frame) boundOf(s *search, v int32, below bool) float64 {
	if below {
		return s.lower(f, v)
	}
	return f.hi[v]
}

// rayOf sets s.y to the multipliers of the rows that should prove that a basic variable
// cannot reach its bound.
func (s *search) rayOf(t *tableau, row int, below bool) {
	clear(s.y)
	n := s.n
	sign := -1.0
	if !below {
		sign = 1
	}
	for k, j := range t.nonbasic {
		if int(j) >= n {
			if y := sign * t.t[row*n+k]; y > tiny {
				s.y[int(j)-n] = y
			}
		}
	}
	if v := int(t.basic[row]); v >= n && below {
		s.y[v-n] = 1
	}
}

// duals sets s.y to the multipliers of the rows at the present basis.
func (s *search) duals(t *tableau) {
	clear(s.y)
	for k, j := range t.nonbasic {
		if int(j) >= s.n && t.reduced[k] > tiny {
			s.y[int(j)-s.n] = t.reduced[k]
		}
	}
}
