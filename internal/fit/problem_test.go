package fit

import (
	"math"
	"math/rand/v2"
	"testing"
)

// linear is a linear problem as numbers, so that a test can state it in
// another way: other units, another order, a row less, an unknown more.
type linear struct {
	rows  [][]float64
	y, sd []float64
	prior [][2]float64 // value and standard deviation of each unknown
}

func random(r *rand.Rand) linear {
	n := 2 + r.IntN(5)
	var l linear
	for range n + 1 + r.IntN(8) {
		row := make([]float64, n)
		for i := range row {
			row[i] = r.NormFloat64()
		}
		l.rows = append(l.rows, row)
		l.y = append(l.y, 10*r.NormFloat64())
		l.sd = append(l.sd, math.Exp(r.NormFloat64()))
	}
	for range n {
		v := [2]float64{r.NormFloat64(), math.Exp(r.NormFloat64())}
		if r.IntN(2) == 0 {
			v[1] = math.Inf(1)
		}
		l.prior = append(l.prior, v)
	}
	return l
}

// problem states the numbers about the point zero.
func (l linear) problem() *Problem {
	p := problem(len(l.prior))
	for i, v := range l.prior {
		if !math.IsInf(v[1], 1) {
			p.Prior(i, v[0], v[1])
		}
		if v[1] > 0 {
			p.Start(i, 0)
		}
	}
	for k, row := range l.rows {
		y := l.y[k]
		for i, v := range p.At() {
			y -= row[i] * v
		}
		add(p, row, y, l.sd[k])
	}
	return p
}

// Solve of numbers that must have a solution.
func (l linear) solve(t *testing.T) *Problem {
	t.Helper()
	p := l.problem()
	if !p.Solve() {
		t.Fatal("not solved")
	}
	return p
}

func (l linear) without(k int) linear {
	out := l
	out.rows, out.y, out.sd = nil, nil, nil
	for i := range l.rows {
		if i != k {
			out.rows, out.y, out.sd = append(out.rows, l.rows[i]), append(out.y, l.y[i]), append(out.sd, l.sd[i])
		}
	}
	return out
}

// each calls the test with a hundred seeded problems.
func each(t *testing.T, f func(r *rand.Rand, l linear)) {
	for i := range 100 {
		r := rand.New(rand.NewPCG(uint64(i), 7))
		f(r, random(r))
		if t.Failed() {
			t.Fatalf("problem %d", i)
		}
	}
}

func same(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-8*(1+math.Abs(want))) {
		t.Errorf("%s = %v, want %v", what, got, want)
	}
}

// An exact prior does what putting the number in its place does.
func TestExactPriorSubstitutes(t *testing.T) {
	each(t, func(r *rand.Rand, l linear) {
		const value = 0.75
		n := len(l.prior) - 1
		l.prior[n] = [2]float64{value, 0}
		got := l.solve(t)
		less := linear{sd: l.sd, prior: l.prior[:n]}
		for k, row := range l.rows {
			less.rows = append(less.rows, row[:n])
			less.y = append(less.y, l.y[k]-row[n]*value)
		}
		want := less.solve(t)
		for i := range n {
			same(t, "unknown", got.Estimate(i), want.Estimate(i))
			same(t, "standard error", got.SD(i), want.SD(i))
			same(t, "covariance", got.Covariance(i, n), 0)
		}
		same(t, "the exact one", got.Estimate(n), value)
		same(t, "its error", got.SD(n), 0)
		same(t, "sum of squares", got.ChiSquare(), want.ChiSquare())
		if got.Freedom() != want.Freedom() {
			t.Errorf("degrees of freedom %d, want %d", got.Freedom(), want.Freedom())
		}
		// A prior of a billionth is next to exact.
		l.prior[n][1] = 1e-9
		near := l.solve(t)
		for i := range n {
			same(t, "nearly exact", near.Estimate(i), want.Estimate(i))
		}
	})
}

// Another unit of an unknown and another order of the rows change nothing.
func TestUnitsAndOrder(t *testing.T) {
	each(t, func(r *rand.Rand, l linear) {
		want := l.solve(t)
		const unit = 2.2046226218e3
		var other linear
		other.prior = append(other.prior, l.prior...)
		other.prior[0] = [2]float64{l.prior[0][0] * unit, l.prior[0][1] * unit}
		for _, k := range r.Perm(len(l.rows)) {
			row := append([]float64(nil), l.rows[k]...)
			row[0] /= unit
			other.rows, other.y, other.sd = append(other.rows, row), append(other.y, l.y[k]), append(other.sd, l.sd[k])
		}
		got := other.solve(t)
		same(t, "in the other unit", got.Estimate(0)/unit, want.Estimate(0))
		same(t, "its error", got.SD(0)/unit, want.SD(0))
		for i := 1; i < len(l.prior); i++ {
			same(t, "unknown", got.Estimate(i), want.Estimate(i))
		}
		same(t, "sum of squares", got.ChiSquare(), want.ChiSquare())
	})
}

// What a row less, an unknown more or another reading does, by another
// solution.
func TestObservations(t *testing.T) {
	each(t, func(r *rand.Rand, l linear) {
		p := l.solve(t)
		n := len(l.prior)
		k := r.IntN(len(l.rows))
		off, sd, ok := p.Drop(k)
		if !ok {
			t.Fatal("not checked by the others")
		}
		fewer := l.without(k).solve(t)
		fitted := 0.0
		for i, v := range l.rows[k] {
			fitted += v * fewer.Estimate(i)
		}
		same(t, "off", off, l.y[k]-fitted)
		same(t, "its error", sd, math.Hypot(l.sd[k], math.Sqrt(fewer.Variance(l.rows[k]))))
		same(t, "sum of squares without it", p.ChiSquare()-off*off/sd/sd, fewer.ChiSquare())
		moved := make([]float64, n)
		p.Move(k, -off, moved)
		for i, d := range moved {
			same(t, "moved by dropping", p.Estimate(i)+d, fewer.Estimate(i))
		}
		e, dev := p.Residual(k)
		same(t, "residual over its error", e/dev, off/sd)
		same(t, "detectable", p.Detectable(k, 3), 3*sd)

		// An unknown more, in all rows.
		more := linear{y: l.y, sd: l.sd, prior: append(append([][2]float64(nil), l.prior...), [2]float64{0, math.Inf(1)})}
		column := make([]float64, len(l.rows))
		for j, row := range l.rows {
			column[j] = r.NormFloat64()
			more.rows = append(more.rows, append(append([]float64(nil), row...), column[j]))
		}
		value, sd, ok := p.Extra(column)
		if q := more.problem(); q.Solve() != ok {
			t.Errorf("an unknown more: %v", ok)
		} else if ok {
			same(t, "unknown more", value, q.Estimate(n))
			same(t, "its error", sd, q.SD(n))
			same(t, "sum of squares with it", p.ChiSquare()-value*value/sd/sd, q.ChiSquare())
		}

		// Another reading, and another prior.
		l.y[k] += 2
		other := l.solve(t)
		p.Move(k, 2, moved)
		for i, d := range moved {
			same(t, "moved", p.Estimate(i)+d, other.Estimate(i))
		}
		for i := range l.prior {
			prior := len(l.rows) + i
			off, sd, ok := other.Drop(prior)
			if math.IsInf(l.prior[i][1], 1) {
				if ok || !math.IsInf(other.Detectable(prior, 3), 1) {
					t.Error("a prior that is none was dropped")
				}
				continue
			}
			free := l
			free.prior = append([][2]float64(nil), l.prior...)
			free.prior[i][1] = math.Inf(1)
			if q := free.problem(); q.Solve() {
				same(t, "prior off", off, l.prior[i][0]-q.Estimate(i))
				same(t, "sum of squares without the prior", other.ChiSquare()-off*off/sd/sd, q.ChiSquare())
				other.Move(prior, -off, moved)
				same(t, "moved by dropping a prior", other.Estimate(i)+moved[i], q.Estimate(i))
			} else if ok {
				t.Error("a prior that alone determines its unknown was dropped")
			}
		}
	})
}

// decay is y = a exp(-b x) read at some x.
type decay struct{ x, y []float64 }

func (m *decay) Linearize(at []float64, p *Problem) bool {
	for i, x := range m.x {
		e := math.Exp(-at[1] * x)
		row := p.Row(m.y[i]-at[0]*e, 0.01)
		row[0], row[1] = e, -at[0]*x*e
	}
	return true
}

// A model that is not linear ends where the gradient of the sum of squares is
// zero, in few steps, and takes no memory when the problem is used again.
func TestFit(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	p := new(Problem)
	many := 0 // fits of more than eight steps
	for range 1000 {
		a, b := 2+0.2*r.NormFloat64(), 0.8+0.1*r.NormFloat64()
		m := new(decay)
		for i := range 20 {
			m.x = append(m.x, float64(i)/5)
			m.y = append(m.y, a*math.Exp(-b*m.x[i])+0.01*r.NormFloat64())
		}
		solve := func() {
			p.Reset(2)
			p.Start(0, 2)
			p.Prior(1, 0.8, 0.1)
			if !p.Fit(m) || !p.Converged() {
				t.Fatal("no fit")
			}
		}
		solve()
		if p.Steps() > 8 {
			many++
		}
		var ga, gb float64
		for i, x := range m.x {
			e := math.Exp(-p.Estimate(1) * x)
			z := (m.y[i] - p.Estimate(0)*e) / 0.01 / 0.01
			ga += z * e
			gb -= z * p.Estimate(0) * x * e
		}
		gb += (0.8 - p.Estimate(1)) / 0.01
		// In standard errors, which is how far the estimate is off.
		if off := math.Hypot(ga*p.SD(0), gb*p.SD(1)); !(off < 1e-7) {
			t.Fatalf("the gradient is %v off zero", off)
		}
		if math.Abs(p.Estimate(0)-a) > 6*p.SD(0) || math.Abs(p.Estimate(1)-b) > 6*p.SD(1) {
			t.Fatalf("%v and %v, want %v and %v", p.Estimate(0), p.Estimate(1), a, b)
		}
	}
	if many > 10 {
		t.Errorf("%d of 1000 fits take more than 8 steps", many)
	}
	m := &decay{x: []float64{0, 1, 2, 3}, y: []float64{3, 1.5, 0.7, 0.4}}
	if n := testing.AllocsPerRun(100, func() {
		p.Reset(2)
		p.Start(0, 2)
		p.Prior(1, 0.8, 0.1)
		p.Fit(m)
		p.Drop(1)
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// A fit to a tolerance takes fewer steps, and is off by less than the tolerance, in
// standard errors.
func TestFitWithin(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	fewer := 0
	for range 200 {
		m := new(decay)
		for i := range 20 {
			m.x = append(m.x, float64(i)/5)
			m.y = append(m.y, 2*math.Exp(-0.8*m.x[i])+0.01*r.NormFloat64())
		}
		fitted := func(within float64) (x [2]float64, sd [2]float64, steps int) {
			var p Problem
			p.Reset(2)
			p.Start(0, 1.5)
			p.Prior(1, 0.6, 0.1)
			if !p.FitWithin(m, within) {
				t.Fatal("no fit")
			}
			return [2]float64{p.Estimate(0), p.Estimate(1)}, [2]float64{p.SD(0), p.SD(1)}, p.Steps()
		}
		want, sd, most := fitted(1e-9)
		got, _, steps := fitted(1e-2)
		for i := range want {
			if !(math.Abs(got[i]-want[i]) <= 1e-2*sd[i]) {
				t.Errorf("unknown %d is %v standard errors off", i, (got[i]-want[i])/sd[i])
			}
		}
		if steps < most {
			fewer++
		}
	}
	if fewer < 150 {
		t.Errorf("only %d fits took fewer steps", fewer)
	}
}

// jump never comes to an end: each step is as long as the one before.
type jump struct{ sign float64 }

func (m *jump) Linearize(at []float64, p *Problem) bool {
	m.sign = -m.sign
	p.Row(10*m.sign, 1)[0] = 1
	return true
}

// leave leaves its range with the first step.
type leave struct{}

func (leave) Linearize(at []float64, p *Problem) bool {
	p.Row(-5, 1)[0] = 1
	return at[0] > 0
}

func TestNoEnd(t *testing.T) {
	p := problem(1)
	if !p.Fit(&jump{1}) || p.Converged() || p.Steps() != MaxSteps {
		t.Errorf("converged %v after %d steps", p.Converged(), p.Steps())
	}
	p.Start(0, 1)
	if p.Fit(leave{}) {
		t.Error("a fit beyond its range")
	}
	p.Reset(1)
	if !p.Converged() {
		t.Error("an empty problem that came to no end")
	}
}

// Whatever is not a number, infinite or not determined is no answer.
func TestHostile(t *testing.T) {
	bad := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e308, -1e308, 1e-308, 0, -1, 1e200, 5e-324}
	r := rand.New(rand.NewPCG(5, 6))
	solved := 0
	for range 20000 {
		l := random(r)
		for range 1 + r.IntN(3) {
			v := bad[r.IntN(len(bad))]
			k, i := r.IntN(len(l.rows)), r.IntN(len(l.prior))
			switch r.IntN(5) {
			case 0:
				l.rows[k][i] = v
			case 1:
				l.y[k] = v
			case 2:
				l.sd[k] = v
			case 3:
				l.prior[i] = [2]float64{v, 1}
			case 4:
				l.prior[i] = [2]float64{0, v}
			}
		}
		p := l.problem()
		if !p.Solve() {
			continue
		}
		solved++
		for i := range l.prior {
			if !finite(p.Estimate(i)) || !finite(p.SD(i)) || !finite(p.ChiSquare()) {
				t.Fatalf("%v +- %v, sum of squares %v from %+v", p.Estimate(i), p.SD(i), p.ChiSquare(), l)
			}
		}
		for k := range len(l.rows) + len(l.prior) {
			if off, sd, ok := p.Drop(k); ok && (!finite(off) || !finite(sd)) {
				t.Fatalf("observation %d: %v +- %v from %+v", k, off, sd, l)
			}
		}
	}
	if solved < 1000 {
		t.Errorf("only %d solved", solved)
	}
	if problem(2).Solve() {
		t.Error("solved without rows")
	}
}

// The ends of a ratio's interval are where the inequality that defines them is
// an equality.
func TestRatio(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	for range 1000 {
		v := Ratio{Over: 5 + r.Float64(), Under: -1 - r.Float64(), OverVar: r.Float64(), UnderVar: 0.01 * r.Float64()}
		v.Common = math.Sqrt(v.OverVar*v.UnderVar) * (2*r.Float64() - 1)
		x, sd, low, high, ok := v.Interval(1.96)
		if !ok || !(low < x && x < high) || !(sd > 0) {
			t.Fatalf("%v +- %v, %v to %v, %v", x, sd, low, high, ok)
		}
		for _, end := range []float64{low, high} {
			m := v.Over - end*v.Under
			same(t, "at an end", m*m, 1.96*1.96*(v.OverVar-2*end*v.Common+end*end*v.UnderVar))
		}
	}
	for _, v := range []Ratio{{Over: 1, Under: 0}, {Over: math.NaN(), Under: 1}, {Over: 1, Under: 1, UnderVar: 1}, {Over: 1, Under: math.Inf(1)}, {Over: 1e308, Under: 1e-308}} {
		if _, _, low, high, ok := v.Interval(1.96); ok || !math.IsInf(low, -1) || !math.IsInf(high, 1) {
			t.Errorf("%+v: %v to %v", v, low, high)
		}
	}
}

// Some 12 unknowns and 40 rows, as a machine known from all its readings has.
func BenchmarkFit(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	rows := make([][12]float64, 40)
	for k := range rows {
		for i := range rows[k] {
			rows[k][i] = r.NormFloat64()
		}
	}
	m := squares(rows)
	p := new(Problem)
	b.ReportAllocs()
	for b.Loop() {
		p.Reset(12)
		for i := range 12 {
			p.Prior(i, 1, 0.2)
		}
		if !p.Fit(&m) {
			b.Fatal("no fit")
		}
	}
}

type squares [][12]float64

func (m *squares) Linearize(at []float64, p *Problem) bool {
	for k := range *m {
		var y float64
		row := p.Row(0, 0.5)
		for i, v := range (*m)[k] {
			y += v * at[i] * at[i]
			row[i] = 2 * v * at[i]
		}
		p.y[k] = float64(k%5) - y
	}
	return true
}

// A standard deviation that is none is refused; an observation that nothing
// checks cannot be dropped, and a mistake in it goes unnoticed.
func TestUnchecked(t *testing.T) {
	for _, sd := range []float64{0, -1, math.NaN()} {
		p := problem(1)
		add(p, []float64{1}, 1, sd)
		if p.Solve() {
			t.Errorf("solved with a row's standard deviation of %v", sd)
		}
	}
	for _, sd := range []float64{-1, math.NaN()} {
		p := problem(1)
		add(p, []float64{1}, 1, 1)
		p.Prior(0, 1, sd)
		if p.Solve() {
			t.Errorf("solved with a prior's standard deviation of %v", sd)
		}
	}
	// The prior alone says what the second unknown is, the row alone the first.
	p := problem(2)
	add(p, []float64{1, 0}, 1, 1)
	p.Prior(1, 2, 3)
	if !p.Solve() || p.Freedom() != 0 {
		t.Fatalf("not solved, or %d degrees of freedom", p.Freedom())
	}
	for k := range 3 {
		if off, sd, ok := p.Drop(k); ok || !math.IsInf(p.Detectable(k, 3), 1) {
			t.Errorf("observation %d is off by %v +- %v", k, off, sd)
		}
	}
}

// mass is a great number known to a tenth of a milligram, squared: rounding
// moves it by more than the end of a fit asks for.
type mass struct{}

func (mass) Linearize(at []float64, p *Problem) bool {
	p.Row(1e10-at[0]*at[0], 1e-2)[0] = 2 * at[0]
	p.Row(1e5+3e-7-at[0], 1e-7)[0] = 1
	return true
}

// Where rounding is coarser than the end of a fit, the fit ends with it.
func TestRounding(t *testing.T) {
	p := problem(1)
	p.Prior(0, 1e5+1e-7, 1e-7)
	if !p.Fit(mass{}) || !p.Converged() || !(math.Abs(p.Estimate(0)-1e5) < 1e-6) {
		t.Errorf("%v after %d steps, converged %v", p.Estimate(0), p.Steps(), p.Converged())
	}
}
