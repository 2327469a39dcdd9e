package weigh_test

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/units"
)

// Quantiles of chi-square on 1, 2, ... degrees of freedom that are exceeded by
// chance 1 in 2000 and 1 in 1000 (SciPy, chi2.isf).
var (
	chance2000 = []float64{12.1156651, 15.2018049, 17.7299962, 19.997355, 22.1053268, 24.102799, 26.0177677, 27.8680464}
	chance1000 = []float64{10.8275662, 13.8155106, 16.2662362, 18.466827, 20.5150057, 22.4577445, 24.3218863, 26.1244816}
)

// beyond reports whether a sum of squares is beyond its quantile; on no degree
// of freedom it never is.
func beyond(chi2 float64, df int, quantile []float64) bool {
	return df > 0 && chi2 > quantile[df-1]
}

// doctor is the diagnosis of a session by another route: the nuisances are not
// fitted but stand in the covariance of the readings,
//
//	V = sd^2 on the diagonal + sum over nuisances of dev^2 J J'
//
// (generalized least squares), and the empty rear axle load is projected out.
type doctor struct {
	s    *weigh.Session
	k    float64
	load []float64
	y    []float64   // rear reading + k load: the empty rear axle load, but for errors
	inv  [][]float64 // of V
	sums float64     // 1' V^-1 1
}

func newDoctor(s *weigh.Session) *doctor {
	a, l := float64(s.Ahead.Value), float64(s.Wheelbase.Value)
	d := &doctor{s: s, k: a / l}
	n := len(s.Readings)
	for _, r := range s.Readings {
		d.load = append(d.load, float64(r.Load))
		d.y = append(d.y, float64(r.Rear)+d.k*float64(r.Load))
	}
	sorted := slices.Sorted(slices.Values(d.y))
	middle := sorted[n/2]
	one := math.Sqrt(float64(s.Scale.SD*s.Scale.SD) + float64(s.Scale.Division*s.Scale.Division)/12)
	loadSD := one
	if s.LoadSD != 0 {
		loadSD = float64(s.LoadSD)
	}
	v := make([][]float64, n)
	for i, m := range d.load {
		v[i] = make([]float64, n)
		for j, q := range d.load {
			ahead, base := float64(s.Ahead.SD), float64(s.Wheelbase.SD)*d.k
			zero, gain := float64(s.Scale.ZeroSD), float64(s.Scale.GainSD)
			v[i][j] = (ahead*ahead+base*base)*m*q/(l*l) + zero*zero + gain*gain*(middle-d.k*m)*(middle-d.k*q)
			if i == j {
				v[i][j] += one * one
				if m > 0 {
					v[i][j] += d.k * d.k * loadSD * loadSD
				}
			}
		}
	}
	d.inv = inverse(v)
	for i := range v {
		for j := range v {
			d.sums += d.inv[i][j]
		}
	}
	return d
}

// inverse returns the inverse of a small matrix (Gauss and Jordan's way).
func inverse(a [][]float64) [][]float64 {
	n := len(a)
	for i := range a {
		one := make([]float64, n)
		one[i] = 1
		a[i] = append(a[i], one...)
	}
	for i := range a {
		for p := i + 1; p < n; p++ {
			if math.Abs(a[p][i]) > math.Abs(a[i][i]) {
				a[i], a[p] = a[p], a[i]
			}
		}
		pivot := a[i][i]
		for j := range a[i] {
			a[i][j] /= pivot
		}
		for p := range a {
			if f := a[p][i]; p != i {
				for j := range a[p] {
					a[p][j] -= f * a[i][j]
				}
			}
		}
	}
	for i := range a {
		a[i] = a[i][n:]
	}
	return a
}

// dot returns a' P b, where P is V^-1 without the direction of the empty load;
// full is a' V^-1 b.
func (d *doctor) dot(a, b []float64) (v, full float64) {
	var left, right float64
	for i := range a {
		for j := range b {
			full += a[i] * d.inv[i][j] * b[j]
			left += a[i] * d.inv[i][j]
			right += b[j] * d.inv[i][j]
		}
	}
	return full - left*right/d.sums, full
}

// explain returns the coefficient of a column and it over its standard
// deviation.
func (d *doctor) explain(column func(i int) float64) (v, z float64, ok bool) {
	c := make([]float64, len(d.y))
	for i := range c {
		c[i] = column(i)
	}
	cc, full := d.dot(c, c)
	if !(cc > 1e-9*full) {
		return 0, 0, false
	}
	cy, _ := d.dot(c, d.y)
	return cy / cc, cy / math.Sqrt(cc), true
}

func (d *doctor) chi2() float64 {
	v, _ := d.dot(d.y, d.y)
	return v
}

const lbPerKg = 1 / 0.45359237

// whole returns what is wrong with all rows at once: both axles in each
// other's place (the line rises as a front axle's does, to a fifth), or all
// loads in the other unit.
func (d *doctor) whole() []weigh.Finding {
	n := len(d.y)
	if !beyond(d.chi2(), n-1, chance2000) {
		return nil
	}
	var xy, xx float64
	for i := range n {
		for j := range i {
			dx := d.load[i] - d.load[j]
			xy += dx * float64(d.s.Readings[i].Rear-d.s.Readings[j].Rear)
			xx += dx * dx
		}
	}
	if xx == 0 {
		return nil
	}
	if rise := xy / xx / (1 + d.k); rise > 0.8 && rise < 1.2 {
		return []weigh.Finding{{Cause: weigh.CauseAxlesSwapped, Row: -1}}
	}
	for _, u := range []struct {
		cause weigh.Cause
		unit  float64
	}{{weigh.CauseLoadInPounds, 1 / lbPerKg}, {weigh.CauseLoadInKilograms, lbPerKg}} {
		t := *d.s
		t.Readings = slices.Clone(t.Readings)
		for i := range t.Readings {
			t.Readings[i].Load *= units.Mass(u.unit)
		}
		if !beyond(newDoctor(&t).chi2(), n-1, chance1000) {
			return []weigh.Finding{{Cause: u.cause, Row: -1}}
		}
	}
	return nil
}

// line returns what is wrong with the line of rear readings.
func (d *doctor) line() []weigh.Finding {
	n := len(d.y)
	top := slices.Max(d.load)
	time := func(i int) float64 { return float64(i) / float64(n-1) }
	var all []weigh.Finding // Sigmas with their sign
	add := func(cause weigh.Cause, row int, unit float64, column func(i int) float64) {
		if v, z, ok := d.explain(column); ok && !(cause == weigh.CauseMissingTare && v > 0) {
			all = append(all, weigh.Finding{cause, row, units.Mass(v * unit), z})
		}
	}
	if top > 0 {
		add(weigh.CauseGeometryOff, -1, 1, func(i int) float64 { return d.load[i] / top })
		add(weigh.CauseCurvature, -1, 1, func(i int) float64 { return math.Pow(d.load[i]/top, 2) })
		add(weigh.CauseMissingTare, -1, -1/d.k, func(i int) float64 { return math.Ceil(d.load[i] / top) })
	}
	if n > 2 {
		add(weigh.CauseScaleDrift, -1, 1, time)
		if top > 0 {
			add(weigh.CauseLoaderDrift, -1, 1, func(i int) float64 { return time(i) * d.load[i] / top })
		}
	}
	bad := beyond(d.chi2(), n-1, chance2000)
	for _, c := range all {
		bad = bad || math.Abs(c.Sigmas) > 3.5
	}
	if !bad {
		return nil
	}
	for row := range n {
		if n > 2 {
			add(weigh.CauseOutlier, row, 1, func(i int) float64 { return map[bool]float64{true: 1}[i == row] })
		}
	}
	most := 0.0
	for _, c := range all {
		most = max(most, c.Sigmas*c.Sigmas)
	}
	if len(all) == 0 || beyond(d.chi2()-most, n-2, chance1000) {
		return []weigh.Finding{{Cause: weigh.CauseScatter, Row: -1}}
	}
	var out, named []weigh.Finding
	for _, c := range all {
		if most-c.Sigmas*c.Sigmas > 4 {
			continue
		}
		sd := float64(c.Off) / c.Sigmas
		c.Sigmas = math.Abs(c.Sigmas)
		if c.Row >= 0 {
			if c.Cause = d.named(c.Row, float64(c.Off), sd); c.Cause != weigh.CauseOutlier {
				named = append(named, c)
			}
		}
		out = append(out, c)
	}
	if len(named) > 0 {
		out = named
	}
	slices.SortStableFunc(out, func(a, b weigh.Finding) int { return cmp.Compare(b.Sigmas, a.Sigmas) })
	return out
}

// named returns the first change of a row that brings it to within four
// standard deviations of the others.
func (d *doctor) named(row int, off, sd float64) weigh.Cause {
	r := d.s.Readings[row]
	rear, front, load := float64(r.Rear), float64(r.Front), float64(r.Load)
	for _, c := range []struct {
		cause weigh.Cause
		given float64 // what must have been read
		by    float64 // how the row's distance changes
	}{
		{weigh.CauseAxlesSwapped, front, front - rear},
		{weigh.CauseRearInPounds, rear, rear/lbPerKg - rear},
		{weigh.CauseRearInKilograms, rear, rear*lbPerKg - rear},
		{weigh.CauseLoadInPounds, load, d.k * (load/lbPerKg - load)},
		{weigh.CauseLoadInKilograms, load, d.k * (load*lbPerKg - load)},
	} {
		if c.given > 0 && math.Abs(off+c.by) <= 4*sd {
			return c.cause
		}
	}
	return weigh.CauseOutlier
}

// totals returns what is wrong with front and rear together, by sums over
// pairs: the weighted sum of squares about the mean of some rows is the sum
// over their pairs of w w' (difference)^2 over the sum of weights.
func (d *doctor) totals() []weigh.Finding {
	var rows []int
	var sum, w []float64
	for i, r := range d.s.Readings {
		if r.Front > 0 {
			one := float64(d.s.Scale.SD*d.s.Scale.SD) + float64(d.s.Scale.Division*d.s.Scale.Division)/12
			v := 2 * one
			if r.Load > 0 && d.s.LoadSD > 0 {
				v += float64(d.s.LoadSD * d.s.LoadSD)
			} else if r.Load > 0 {
				v += one
			}
			rows, sum, w = append(rows, i), append(sum, float64(r.Front+r.Rear-r.Load)), append(w, 1/v)
		}
	}
	squares := func(in func(i int) bool) (chi2, mean, weight float64) {
		for i := range rows {
			for j := range i {
				if in(i) && in(j) {
					chi2 += w[i] * w[j] * math.Pow(sum[i]-sum[j], 2)
				}
			}
			if in(i) {
				weight += w[i]
				mean += w[i] * sum[i]
			}
		}
		return chi2 / weight, mean / weight, weight
	}
	n := len(rows)
	if n < 2 {
		return nil
	}
	chi2, _, _ := squares(func(int) bool { return true })
	c0, m0, w0 := squares(func(i int) bool { return d.load[rows[i]] == 0 })
	c1, m1, w1 := squares(func(i int) bool { return d.load[rows[i]] > 0 })
	step := w0 > 0 && w1 > 0 && m1-m0 > 3.5*math.Sqrt(1/w0+1/w1)
	scatter := []weigh.Finding{{Cause: weigh.CauseScatter, Row: -1}}
	switch {
	case !step && !beyond(chi2, n-1, chance2000):
		return nil
	case n == 2:
		return scatter
	case step && !beyond(c0+c1, n-2, chance1000):
		return []weigh.Finding{{weigh.CauseMissingTare, -1, units.Mass(m1 - m0), (m1 - m0) / math.Sqrt(1/w0+1/w1)}}
	}
	least, at, off, sd := math.Inf(1), 0, 0.0, 0.0
	for i := range rows {
		if c, m, ww := squares(func(j int) bool { return j != i }); c < least {
			least, at, off, sd = c, i, sum[i]-m, math.Sqrt(1/w[i]+1/ww)
		}
	}
	if beyond(least, n-2, chance1000) {
		return scatter
	}
	r := d.s.Readings[rows[at]]
	rear, front, load := float64(r.Rear), float64(r.Front), float64(r.Load)
	cause := weigh.CauseOutlier
	for _, c := range []struct {
		cause    weigh.Cause
		new, old float64
	}{
		{weigh.CauseRearInPounds, rear / lbPerKg, rear}, {weigh.CauseRearInKilograms, rear * lbPerKg, rear},
		{weigh.CauseFrontInPounds, front / lbPerKg, front}, {weigh.CauseFrontInKilograms, front * lbPerKg, front},
		{weigh.CauseLoadInPounds, -load / lbPerKg, -load}, {weigh.CauseLoadInKilograms, -load * lbPerKg, -load},
	} {
		if c.old != 0 && math.Abs(off+c.new-c.old) <= 4*sd {
			cause = c.cause
			break
		}
	}
	return []weigh.Finding{{cause, rows[at], units.Mass(off), math.Abs(off) / sd}}
}

// saturated returns the rows at the scale's end, and whether that end is
// stated.
func (d *doctor) saturated() (out []weigh.Finding, stated bool) {
	sc := d.s.Scale
	for i, r := range d.s.Readings {
		if sc.Capacity > 0 && max(r.Rear, r.Front) >= sc.Capacity-sc.Division {
			out = append(out, weigh.Finding{Cause: weigh.CauseSaturated, Row: i})
		}
	}
	if len(out) > 0 {
		return out, true
	}
	one := math.Sqrt(float64(sc.SD*sc.SD) + float64(sc.Division*sc.Division)/12)
	at := map[int]bool{}
	for axle, slope := range []float64{d.k, 1 + d.k} {
		read := func(i int) units.Mass {
			return []units.Mass{d.s.Readings[i].Rear, d.s.Readings[i].Front}[axle]
		}
		top := units.Mass(0)
		for i := range d.y {
			top = max(top, read(i))
		}
		for i := range d.y {
			for j := range d.y {
				// Any two rows of the group that are far enough apart do.
				if top > 0 && read(i) == top && read(j) == top && slope*math.Abs(d.load[i]-d.load[j]) > 6*one {
					for e := range d.y {
						at[e] = at[e] || read(e) == top
					}
				}
			}
		}
	}
	for i := range d.y {
		if at[i] {
			out = append(out, weigh.Finding{Cause: weigh.CauseSaturated, Row: i})
		}
	}
	return out, false
}

// diagnose puts the parts together.
func (d *doctor) diagnose() []weigh.Finding {
	if all := d.whole(); all != nil {
		return all
	}
	line, totals := d.line(), d.totals()
	var out []weigh.Finding
	for _, t := range totals {
		if t.Cause == weigh.CauseScatter && len(line) > 0 {
			continue // the line says more
		}
		out = append(out, t)
	}
	for _, l := range line {
		keep := true
		for _, t := range out {
			// The same row, or the same cause, is told once.
			if t.Row == l.Row && (t.Row != -1 || t.Cause == l.Cause) {
				keep = false
			}
			// A row that is named with its reason explains what else is odd.
			if t.Row != -1 && t.Cause != weigh.CauseOutlier && (l.Row == -1 || l.Cause == weigh.CauseOutlier) {
				keep = false
			}
		}
		if keep {
			out = append(out, l)
		}
	}
	end, stated := d.saturated()
	if len(end) == 0 || len(out) == 0 && !stated {
		return out
	}
	for _, l := range out {
		// The end of the scale explains what is wrong with all rows, with no
		// row in particular, and with the rows at the end.
		if l.Row != -1 && l.Cause != weigh.CauseOutlier && !slices.ContainsFunc(end, func(e weigh.Finding) bool { return e.Row == l.Row }) {
			end = append(end, l)
		}
	}
	return end
}

// sameDiagnosis reports whether two lists say the same in the same order; what
// is as likely to a millionth may stand either way.
func sameDiagnosis(got, want []weigh.Finding) bool {
	want = slices.Clone(want)
	for i, g := range got {
		found := false
		for j := i; j < len(want) && !found; j++ {
			w := want[j]
			if g.Cause == w.Cause && g.Row == w.Row && math.Abs(w.Sigmas-want[i].Sigmas) < 1e-6 &&
				math.Abs(g.Sigmas-w.Sigmas) <= 1e-6*(1+w.Sigmas) && math.Abs(float64(g.Off-w.Off)) <= 1e-6*(1+math.Abs(float64(w.Off))) {
				want[i], want[j] = want[j], want[i]
				found = true
			}
		}
		if !found {
			return false
		}
	}
	return len(got) == len(want)
}

// spoiled is a random session with up to two things wrong, many of them just
// about visible.
func spoiled(rng *rand.Rand) weigh.Session {
	s, _ := simulated(rng)
	k := float64(s.Ahead.Value) / float64(s.Wheelbase.Value)
	one := s.Scale.OneReading()
	switch rng.IntN(8) {
	case 0:
		s.LoadSD = 0
	case 1: // no empty reading
		for i := range s.Readings {
			s.Readings[i].Load += 100
			s.Readings[i].Rear -= units.Mass(100 * k)
			s.Readings[i].Front += units.Mass(100 * (1 + k))
		}
	case 2: // all alike
		for i := range s.Readings {
			s.Readings[i] = s.Readings[0]
			s.Readings[i].Rear += units.Mass(one * rng.NormFloat64())
		}
	case 3:
		for i := range s.Readings {
			if rng.IntN(2) == 0 {
				s.Readings[i].Front = 0
			}
		}
	}
	if rng.IntN(2) == 0 {
		for i := range s.Readings {
			s.Readings[i].Front = 0
		}
	}
	s.Readings = s.Readings[:min(len(s.Readings), 1+rng.IntN(10))]
	n := len(s.Readings)
	top := 1.0
	for _, r := range s.Readings {
		top = max(top, float64(r.Load))
	}
	for range rng.IntN(3) {
		row := &s.Readings[rng.IntN(n)]
		size := one * (2 + 6*rng.Float64())
		if rng.IntN(2) == 0 {
			size = -size
		}
		each := func(f func(i int, r *weigh.LoadReading)) {
			for i := range s.Readings {
				f(i, &s.Readings[i])
			}
		}
		unit := units.Mass(lbPerKg)
		if rng.IntN(2) == 0 {
			unit = 1 / unit
		}
		front := row.Front > 0
		switch rng.IntN(16) {
		case 0:
			row.Rear += units.Mass(size)
		case 1:
			if front {
				row.Front += units.Mass(size)
			}
		case 2:
			row.Rear *= unit
		case 3:
			row.Front *= unit
		case 4:
			row.Load *= unit
		case 5:
			if front {
				row.Front, row.Rear = row.Rear, row.Front
			}
		case 6:
			each(func(_ int, r *weigh.LoadReading) { r.Load *= unit })
		case 7:
			if front {
				each(func(_ int, r *weigh.LoadReading) {
					if r.Front > 0 {
						r.Front, r.Rear = r.Rear, r.Front
					}
				})
			}
		case 8:
			each(func(i int, r *weigh.LoadReading) { r.Rear += units.Mass(size * float64(i) / float64(n)) })
		case 9:
			each(func(i int, r *weigh.LoadReading) { r.Rear += units.Mass(size*float64(i)/float64(n)/top) * r.Load })
		case 10:
			each(func(_ int, r *weigh.LoadReading) { r.Rear += units.Mass(2*size/top/top) * r.Load * r.Load })
		case 11:
			each(func(_ int, r *weigh.LoadReading) { r.Rear += units.Mass(2*size/top) * r.Load })
		case 12, 13:
			each(func(_ int, r *weigh.LoadReading) {
				if tare := units.Mass(math.Abs(size)); r.Load > tare {
					r.Load -= tare
				}
			})
		case 14:
			end := s.Readings[rng.IntN(n)].Rear
			if rng.IntN(2) == 0 {
				each(func(_ int, r *weigh.LoadReading) { r.Rear = min(r.Rear, end) })
			} else if end := row.Front; front {
				each(func(_ int, r *weigh.LoadReading) { r.Front = min(r.Front, end) })
			}
		case 15:
			s.Scale.Capacity = row.Rear + units.Mass(one*rng.NormFloat64())
		}
	}
	return s
}

// The diagnosis of random sessions is what the doctor finds by another route:
// the same causes in the same order, with the same numbers.
func TestDiagnosisByAnotherRoute(t *testing.T) {
	rng := newWeighRand(11)
	seen := map[string]int{}
	for i := range 12000 {
		s := spoiled(rng)
		if s.Validate() != nil {
			continue
		}
		got, want := s.Diagnose(), newDoctor(&s).diagnose()
		if !sameDiagnosis(got, want) {
			t.Fatalf("session %d: %+v\n got %+v\nwant %+v", i, s, got, want)
		}
		for _, d := range got {
			seen[fmt.Sprint(d.Cause, " ", min(d.Row, 0))]++
		}
	}
	t.Log(seen)
	for _, c := range []string{"outlier 0", "axlesSwapped -1", "axlesSwapped 0", "rearInPounds 0", "rearInKilograms 0", "frontInPounds 0",
		"frontInKilograms 0", "loadInPounds -1", "loadInPounds 0", "loadInKilograms -1", "loadInKilograms 0", "saturated 0",
		"missingTare -1", "scaleDrift -1", "loaderDrift -1", "curvature -1", "geometryOff -1", "scatter -1"} {
		if seen[c] < 20 {
			t.Errorf("%s: only %d", c, seen[c])
		}
	}
}

// Two empty readings that differ by more than chance contradict each other,
// and so do two with one load; nothing but the spread can be blamed.
func TestTwoReadingsThatDiffer(t *testing.T) {
	s, rear, _ := l150(t)
	for _, c := range []struct {
		load, apart units.Mass
		cause       weigh.Cause
	}{{0, 24.58, weigh.CauseUnknown}, {0, 24.65, weigh.CauseScatter}, {300, 24.9, weigh.CauseUnknown}, {300, 25.0, weigh.CauseScatter}} {
		// 5 kg twice: 3.4808 standard deviations (1 in 2000) are 24.61 kg, with
		// 0.83 kg of a load's kilogram each 24.95 kg.
		x := withLoads(s, rear, float64(c.load), float64(c.load))
		x.Readings[1].Rear -= c.apart
		p, err := x.Predict()
		if err != nil {
			t.Fatal(err)
		}
		var want []weigh.Finding
		if c.cause != weigh.CauseUnknown {
			want = []weigh.Finding{{Cause: c.cause, Row: -1}}
		}
		if !sameDiagnosis(p.Findings, want) || (p.Refusals&weigh.RefusedData != 0) != (want != nil) {
			t.Errorf("%v kg apart with %v kg on: %v, %v", float64(c.apart), float64(c.load), p.Findings, p.Refusals)
		}
	}
	// With a load on one of them, reach, bend and tare are one and the same.
	x := withLoads(s, rear, 0, 300)
	x.Readings[1].Rear -= 60
	p, err := x.Predict()
	if err != nil || len(p.Findings) != 3 {
		t.Fatalf("%v, %v", p.Findings, err)
	}
	for _, d := range p.Findings {
		if d.Row != -1 || d.Cause != weigh.CauseGeometryOff && d.Cause != weigh.CauseCurvature && d.Cause != weigh.CauseMissingTare {
			t.Errorf("%v", d)
		}
		if off := map[weigh.Cause]float64{weigh.CauseMissingTare: 60 / 1.75 * 2.1}[d.Cause]; off == 0 {
			weighNear(t, d.Cause.String(), float64(d.Off), -60, 1e-9)
		} else {
			weighNear(t, d.Cause.String(), float64(d.Off), off, 1e-9)
		}
	}
	// The other way round no tare is left out.
	x.Readings[1].Rear += 120
	if p, err = x.Predict(); err != nil || len(p.Findings) != 2 || p.Findings[0].Cause == weigh.CauseMissingTare || p.Findings[1].Cause == weigh.CauseMissingTare {
		t.Errorf("%v, %v", p.Findings, err)
	}
}

// An empty reading just beyond chance is not explained by the unit of a load
// that is not there.
func TestEmptyRowHasNoLoadUnit(t *testing.T) {
	s, rear, _ := l150(t)
	k := float64(s.Ahead.Value) / float64(s.Wheelbase.Value)
	s = withLoads(s, rear, 0, 150, 300)
	for i := range s.Readings {
		s.Readings[i].Front = units.Mass(2600-rear+(1+k)*float64(s.Readings[i].Load)) + []units.Mass{0, 1, -1}[i]
	}
	// Sum of both axles: 7.07 kg a reading, 8.73 kg against the two others;
	// 3.95 times that is beyond 1 in 2000 on two degrees of freedom.
	s.Readings[0].Front += 34.5
	p, err := s.Predict()
	if err != nil || len(p.Findings) != 1 || p.Findings[0].Cause != weigh.CauseOutlier || p.Findings[0].Row != 0 {
		t.Errorf("%+v, %v", p.Findings, err)
	}
	weighNear(t, "off", float64(p.Findings[0].Off), 34.5, 1e-9)
}

// Rows that show one and the same highest number although their loads should
// move it by more than six standard deviations: 30 kg by a scale of 5 kg, so
// 36 kg of load on the rear axle (A/L = 1.75/2.1) and 16.36 kg on the front
// one (1 + A/L).
func TestStuckScale(t *testing.T) {
	s, _, _ := l150(t)
	for _, c := range []struct {
		name string
		sd   units.Mass
		rows []weigh.LoadReading
		want []int
	}{
		{"rear by 36.1 kg", 5, []weigh.LoadReading{{Load: 0, Rear: 1400}, {Load: 36.1, Rear: 1400}, {Load: 300, Rear: 1200}}, []int{0, 1}},
		{"rear by 35.9 kg", 5, []weigh.LoadReading{{Load: 0, Rear: 1400}, {Load: 35.9, Rear: 1400}, {Load: 300, Rear: 1200}}, nil},
		{"a number below the highest", 5, []weigh.LoadReading{{Load: 0, Rear: 1500}, {Load: 100, Rear: 1400}, {Load: 300, Rear: 1400}}, nil},
		{"front by 16.4 kg", 5, []weigh.LoadReading{{Load: 0, Rear: 1500, Front: 900}, {Load: 100, Rear: 1400, Front: 1100}, {Load: 116.4, Rear: 1390, Front: 1100}}, []int{1, 2}},
		{"front by 16.3 kg", 5, []weigh.LoadReading{{Load: 0, Rear: 1500, Front: 900}, {Load: 100, Rear: 1400, Front: 1100}, {Load: 116.3, Rear: 1390, Front: 1100}}, nil},
		{"both", 5, []weigh.LoadReading{{Load: 0, Rear: 1400, Front: 900}, {Load: 60, Rear: 1400, Front: 1100}, {Load: 100, Rear: 1300, Front: 1100}}, []int{0, 1, 2}},
		{"no front", 5, []weigh.LoadReading{{Load: 0, Rear: 1500}, {Load: 300, Rear: 1300}}, nil},
		{"the same load", 0.05, []weigh.LoadReading{{Load: 0, Rear: 1500}, {Load: 0, Rear: 1500}}, nil},
		{"the same number but for rounding", 5, []weigh.LoadReading{{Load: 0, Rear: 1400}, {Load: 100, Rear: 1400 * (1 + 1e-12)}}, []int{0, 1}},
	} {
		s.Scale.SD, s.Readings = c.sd, c.rows
		got, stated := s.Saturated()
		var rows []int
		for _, d := range got {
			rows = append(rows, d.Row)
			if d.Cause != weigh.CauseSaturated {
				t.Errorf("%s: %v", c.name, d)
			}
		}
		if !slices.Equal(rows, c.want) || stated {
			t.Errorf("%s: rows %v, want %v, stated %v", c.name, rows, c.want, stated)
		}
	}
	// The stated end, to the last division.
	s.Scale = weigh.Scale{SD: 5, Division: 10, Capacity: 1500}
	for rear, want := range map[units.Mass]bool{1500: true, 1490: true, 1489.9: false} {
		s.Readings = []weigh.LoadReading{{Rear: rear, Front: 100}, {Rear: 100, Front: rear}}
		if got, stated := s.Saturated(); stated != want || want && len(got) != 2 {
			t.Errorf("%v kg of 1500: %v, %v", float64(rear), got, stated)
		}
	}
}

// Readings that rise with the load as a front axle's do, by 1 + A/L of it, to a
// fifth, are those of the front axle.
func TestAllRowsOfTheOtherAxle(t *testing.T) {
	s, _, _ := l150(t)
	for rise, want := range map[float64]bool{0.797: false, 0.803: true, 1: true, 1.197: true, 1.203: false} {
		s.Readings = nil
		for _, m := range []float64{0, 150, 300, 450} {
			s.Readings = append(s.Readings, weigh.LoadReading{Load: units.Mass(m), Rear: units.Mass(1000 + rise*(1+1.75/2.1)*m)})
		}
		got := s.Diagnose()
		if swapped := len(got) == 1 && got[0].Cause == weigh.CauseAxlesSwapped && got[0].Row == -1; swapped != want {
			t.Errorf("a rise of %v of a front axle's: %v", rise, got)
		}
	}
}
