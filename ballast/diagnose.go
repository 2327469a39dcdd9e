package ballast

import (
	"cmp"
	"math"
	"slices"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/units"
)

// poundsPerKilogram is how many pounds a kilogram is, the factor by which a
// number is off when the two are mixed.
const poundsPerKilogram = 1 / float64(units.Pound)

// candidate is one explanation of odd readings: one more unknown in the
// model, and how far the sum of squares falls with it.
type candidate struct {
	cause Cause
	row   int
	off   float64 // in kilograms
	z     float64
}

// diagnose looks for contradictions among the readings, and names the likeliest
// causes, or returns nil.
//
// Every cause is one more column in the same least-squares problem: a step
// between empty and loaded readings (tare), a ramp over the order of reading
// (drift of the scale) or over order times load (drift of the reach), a
// parabola (bend), a free slope (geometry), a single row on its own. The value
// over its standard deviation is a normal test, the scale's standard deviation
// being known. If any of them, or the sum of squares, raises the alarm, all
// causes are compared by what is left of the sum of squares, and those within
// four of the best one are named: they cannot be told apart. A row that stands
// alone is named after what its numbers give away: the other axle's reading,
// pounds for kilograms, the end of the scale. Where fronts were read too, the
// sum of both axles less the load must be the same in all rows, which finds
// mistakes that leave the line alone.
func (s *WeighSession) diagnose(f *sessionFit) []Finding {
	if d, ok := s.whole(f); ok {
		return []Finding{d}
	}
	line, out := s.line(f), s.totals()
	if len(line) > 0 && len(out) > 0 && out[0].Cause == CauseScatter {
		out = nil // the line says more
	}
	if len(out) > 0 {
		t := out[0]
		named := t.Row >= 0 && t.Cause != CauseOutlier
		line = slices.DeleteFunc(line, func(d Finding) bool {
			// A row is named with its reason: what else the row upset is its
			// doing.
			if named && (d.Row < 0 || d.Cause == CauseOutlier) {
				return true
			}
			return d.Row == t.Row && (d.Row >= 0 || d.Cause == t.Cause)
		})
	}
	out = append(out, line...)
	// A scale at its end makes several rows stick to one number; it bends
	// the line, so the bend goes without saying.
	if sat, stated := s.saturated(f); len(sat) > 0 && (stated || len(out) > 0) {
		out = append(sat, slices.DeleteFunc(out, func(d Finding) bool {
			return d.Row < 0 || d.Cause == CauseOutlier || slices.ContainsFunc(sat, func(t Finding) bool { return t.Row == d.Row })
		})...)
	}
	return out
}

// odd reports whether the readings f contradict the model, and returns the sum
// of squares.
func odd(rows []weighRow, mean, dev []float64) (bool, float64) {
	_, _, chi2, ok := solveRows(rows, mean, dev, nil)
	return !ok || numeric.ChiSquareTail(chi2, len(rows)-1) < omnibus, chi2
}

// whole looks for mistakes that run through all rows.
func (s *WeighSession) whole(f *sessionFit) (Finding, bool) {
	mean, dev := f.priors()
	bad, _ := odd(f.rows, mean, dev)
	if !bad {
		return Finding{}, false
	}
	try := func(times float64) bool {
		t := *s
		t.Readings = slices.Clone(s.Readings)
		for i := range t.Readings {
			t.Readings[i].Load *= units.Mass(times)
		}
		g := t.newFit()
		m, d := g.priors()
		_, _, chi2, ok := solveRows(g.rows, m, d, nil)
		return ok && numeric.ChiSquareTail(chi2, len(g.rows)-1) > plausible
	}
	line, ok := numeric.FitLine(f.load, f.rear)
	if !ok {
		return Finding{}, false
	}
	k := f.mean[fitAhead] / f.mean[fitBase]
	// A front axle gains what the load and its moment bring.
	if math.Abs(line.Slope-(1+k)) < 0.2*(1+k) {
		return Finding{Cause: CauseAxlesSwapped, Row: -1}, true
	}
	for _, h := range []struct {
		cause Cause
		times float64
	}{{CauseLoadInPounds, 1 / poundsPerKilogram}, {CauseLoadInKilograms, poundsPerKilogram}} {
		if try(h.times) {
			return Finding{Cause: h.cause, Row: -1}, true
		}
	}
	return Finding{}, false
}

// line compares the explanations of a line that is not as it should be.
func (s *WeighSession) line(f *sessionFit) []Finding {
	n := len(f.rows)
	mean, dev := f.priors()
	bad, chi2 := odd(f.rows, mean, dev)
	k := f.mean[fitAhead] / f.mean[fitBase]
	top := slices.Max(f.load)
	try := func(cause Cause, row int, unit float64, column func(i int) float64) (candidate, bool) {
		col := make([]float64, n)
		for i := range col {
			col[i] = column(i)
		}
		v, sd, ok := extraUnknown(f.rows, mean, dev, col)
		return candidate{cause, row, v * unit, v / sd}, ok
	}
	var all []candidate
	add := func(c candidate, ok bool) {
		if ok {
			all = append(all, c)
			bad = bad || math.Abs(c.z) > alarm
		}
	}
	// What the rows cannot tell from another empty rear axle load is not
	// determined, and no candidate.
	add(try(CauseGeometryOff, -1, top, func(i int) float64 { return f.load[i] }))
	add(try(CauseCurvature, -1, 1, func(i int) float64 { return f.load[i] * f.load[i] / (top * top) }))
	// The line of loads that are heavier than stated lies lower, once they are
	// loads at all.
	if c, ok := try(CauseMissingTare, -1, -1/k, func(i int) float64 {
		if f.load[i] > 0 {
			return 1
		}
		return 0
	}); c.off > 0 {
		add(c, ok)
	}
	if n > 2 {
		last := float64(n - 1)
		add(try(CauseScaleDrift, -1, 1, func(i int) float64 { return float64(i) / last }))
		add(try(CauseLoaderDrift, -1, 1, func(i int) float64 { return f.load[i] / top * float64(i) / last }))
	}
	if !bad {
		return nil
	}
	if n > 2 {
		for row := range n {
			add(try(CauseOutlier, row, 1, func(i int) float64 {
				if i == row {
					return 1
				}
				return 0
			}))
		}
	}
	slices.SortStableFunc(all, func(a, b candidate) int { return cmp.Compare(math.Abs(b.z), math.Abs(a.z)) })
	// What is left of the sum of squares under the best explanation.
	if len(all) == 0 || numeric.ChiSquareTail(chi2-all[0].z*all[0].z, n-2) < plausible {
		return []Finding{{Cause: CauseScatter, Row: -1}}
	}
	var out, named []Finding
	for _, c := range all {
		if c.z*c.z < all[0].z*all[0].z-4 {
			break
		}
		d := Finding{Cause: c.cause, Row: c.row, Off: units.Mass(c.off), Sigmas: math.Abs(c.z)}
		if c.row >= 0 {
			if d.Cause = s.nameRow(f, c); d.Cause != CauseOutlier {
				named = append(named, d)
			}
		}
		out = append(out, d)
	}
	if len(named) > 0 {
		return named
	}
	return out
}

// nameRow looks for a reason in the numbers of a row that stands off the line
// through the others by c.off.
func (s *WeighSession) nameRow(f *sessionFit, c candidate) Cause {
	r := s.Readings[c.row]
	k := f.mean[fitAhead] / f.mean[fitBase]
	want := float64(r.Rear) - c.off // the line of the others at this load
	tol := 4 * math.Abs(c.off/c.z)
	near := func(v float64) bool { return math.Abs(v-want) <= tol }
	switch {
	case r.Front > 0 && near(float64(r.Front)):
		return CauseAxlesSwapped
	case near(float64(r.Rear) / poundsPerKilogram):
		return CauseRearInPounds
	case near(float64(r.Rear) * poundsPerKilogram):
		return CauseRearInKilograms
	case r.Load > 0 && near(float64(r.Rear)-k*(float64(r.Load)-float64(r.Load)/poundsPerKilogram)):
		return CauseLoadInPounds
	case r.Load > 0 && near(float64(r.Rear)-k*(float64(r.Load)-float64(r.Load)*poundsPerKilogram)):
		return CauseLoadInKilograms
	}
	return CauseOutlier
}

// totals checks that front and rear together, less the load, are the same in
// all rows that have both. It returns one finding at most.
func (s *WeighSession) totals() []Finding {
	one := s.Scale.reading()
	loadSD := float64(s.LoadSD)
	if loadSD == 0 {
		loadSD = one
	}
	var rows []int
	var sums, sds []float64
	for i, r := range s.Readings {
		if r.Front == 0 {
			continue
		}
		sd := math.Sqrt2 * one
		if r.Load > 0 {
			sd = math.Hypot(sd, loadSD)
		}
		rows = append(rows, i)
		sums = append(sums, float64(r.Front+r.Rear-r.Load))
		sds = append(sds, sd)
	}
	// mean returns the weighted mean of some of the sums, its standard
	// deviation, infinite for none of them, and the sum of squares about it.
	mean := func(counts func(i int) bool) (v, sd, chi2 float64) {
		var weight, sum float64
		for i, t := range sums {
			if counts(i) {
				w := 1 / (sds[i] * sds[i])
				weight += w
				sum += float64(w * t)
			}
		}
		v = sum / weight
		for i, t := range sums {
			if counts(i) {
				z := (t - v) / sds[i]
				chi2 += float64(z * z)
			}
		}
		return v, 1 / math.Sqrt(weight), chi2
	}
	loaded := func(i int) bool { return s.Readings[rows[i]].Load > 0 }
	_, _, chi2 := mean(func(int) bool { return true })
	// A tare moves all loaded rows against the empty ones alike.
	bare, bareSD, bareChi := mean(func(i int) bool { return !loaded(i) })
	full, fullSD, fullChi := mean(loaded)
	tare, tareSD := full-bare, math.Hypot(bareSD, fullSD)
	step := tare/tareSD > alarm
	if numeric.ChiSquareTail(chi2, len(rows)-1) >= omnibus && !step {
		return nil
	}
	if len(rows) < 3 {
		return []Finding{{Cause: CauseScatter, Row: -1}} // which one is beyond two rows to say
	}
	if step && numeric.ChiSquareTail(bareChi+fullChi, len(rows)-2) > plausible {
		return []Finding{{Cause: CauseMissingTare, Row: -1, Off: units.Mass(tare), Sigmas: tare / tareSD}}
	}
	// One row that makes the others agree by its absence.
	best, at, others, sd := math.Inf(1), 0, 0.0, 0.0
	for i := range rows {
		if v, e, c := mean(func(j int) bool { return j != i }); c < best {
			best, at, others, sd = c, i, v, e
		}
	}
	if numeric.ChiSquareTail(best, len(rows)-2) <= plausible {
		return []Finding{{Cause: CauseScatter, Row: -1}}
	}
	r := s.Readings[rows[at]]
	off, offSD := sums[at]-others, math.Hypot(sd, sds[at])
	near := func(front, rear, load float64) bool { return math.Abs(front+rear-load-others) <= 4*offSD }
	fr, re, lo := float64(r.Front), float64(r.Rear), float64(r.Load)
	cause := CauseOutlier
	switch {
	case near(fr, re/poundsPerKilogram, lo):
		cause = CauseRearInPounds
	case near(fr, re*poundsPerKilogram, lo):
		cause = CauseRearInKilograms
	case near(fr/poundsPerKilogram, re, lo):
		cause = CauseFrontInPounds
	case near(fr*poundsPerKilogram, re, lo):
		cause = CauseFrontInKilograms
	case lo > 0 && near(fr, re, lo/poundsPerKilogram):
		cause = CauseLoadInPounds
	case lo > 0 && near(fr, re, lo*poundsPerKilogram):
		cause = CauseLoadInKilograms
	}
	return []Finding{{Cause: cause, Row: rows[at], Off: units.Mass(off), Sigmas: math.Abs(off) / offSD}}
}

// saturated returns the rows whose reading is at the scale's end: at its
// stated capacity, to the last division, or, two or more of them, at one and
// the same highest number although their loads should move it by more than six
// standard deviations.
func (s *WeighSession) saturated(f *sessionFit) (out []Finding, stated bool) {
	end := s.Scale.Capacity - s.Scale.Division
	for i, r := range s.Readings {
		if s.Scale.Capacity > 0 && (r.Rear >= end || r.Front >= end) {
			out = append(out, Finding{Cause: CauseSaturated, Row: i})
		}
	}
	if len(out) > 0 {
		return out, true
	}
	k := f.mean[fitAhead] / f.mean[fitBase]
	one := s.Scale.reading()
	stuck := func(value func(LoadReading) units.Mass, slope float64) {
		var top units.Mass
		for _, r := range s.Readings {
			top = max(top, value(r))
		}
		var rows []int
		low, high := math.Inf(1), 0.0
		for i, r := range s.Readings {
			if top > 0 && math.Abs(float64(value(r)-top)) <= 1e-6*float64(top) {
				rows = append(rows, i)
				low, high = math.Min(low, float64(r.Load)), math.Max(high, float64(r.Load))
			}
		}
		if slope*(high-low) > 6*one {
			for _, i := range rows {
				out = append(out, Finding{Cause: CauseSaturated, Row: i})
			}
		}
	}
	stuck(func(r LoadReading) units.Mass { return r.Rear }, k)
	stuck(func(r LoadReading) units.Mass { return r.Front }, 1+k)
	slices.SortFunc(out, func(a, b Finding) int { return a.Row - b.Row })
	return slices.Compact(out), false
}
