package weigh

import (
	"cmp"
	"math"
	"slices"

	"example.com/steelyard/internal/fit"
	"example.com/steelyard/units"
)

// poundsPerKilogram is the number of pounds in a kilogram: the factor by which a
// number is off if the two units are mixed.
const poundsPerKilogram = 1 / float64(units.Pound)

// candidate is one explanation of readings that do not fit: one more unknown in
// the model, and the fall of the sum of squares that it brings.
type candidate struct {
	cause Cause
	row   int
	off   float64 // in kilograms
	z     float64
}

// diagnose looks for contradictions among the readings and returns the likeliest
// causes, or nil.
//
// Every cause is one more column in the same least-squares problem: a step
// between empty and loaded readings (tare), a ramp over the order of reading
// (drift of the scale) or over order times load (drift of the reach), a parabola
// (bend), a free slope (geometry), or a single row on its own. The scale's
// standard deviation is known, so each value divided by its own is a normal test.
// If one of them or the sum of squares raises the alarm, all causes are compared
// by the sum of squares that remains. Those within four of the best one are
// named, because the readings cannot tell them apart. A single wrong row is named
// after what its numbers show: the other axle's reading, pounds for kilograms, or
// the end of the scale. If the front axle was read too, the sum of both axles
// less the load must be the same in all rows; this finds mistakes that the line
// does not show.
func (s *Session) diagnose(f *sessionFit) []Finding {
	// The rows are linearized at the start, which a wrong row has not moved.
	ok := f.p.Solve()
	bad := !ok || unlikely(&f.p)
	if d, ok := s.whole(f, bad); ok {
		return []Finding{d}
	}
	line, out := s.line(f, ok, bad), s.totals()
	if len(line) > 0 && len(out) > 0 && out[0].Cause == CauseScatter {
		out = nil // the findings about the line say more
	}
	if len(out) > 0 {
		t := out[0]
		named := t.Row >= 0 && t.Cause != CauseOutlier
		line = slices.DeleteFunc(line, func(d Finding) bool {
			// If a row has a reason of its own, it also explains the other
			// contradictions.
			if named && (d.Row < 0 || d.Cause == CauseOutlier) {
				return true
			}
			return d.Row == t.Row && (d.Row >= 0 || d.Cause == t.Cause)
		})
	}
	out = append(out, line...)
	// A scale at its end shows one number in several rows. This bends the line,
	// so the bend is not reported as well.
	if sat, stated := s.saturated(f); len(sat) > 0 && (stated || len(out) > 0) {
		out = append(sat, slices.DeleteFunc(out, func(d Finding) bool {
			return d.Row < 0 || d.Cause == CauseOutlier || slices.ContainsFunc(sat, func(t Finding) bool { return t.Row == d.Row })
		})...)
	}
	return out
}

// whole looks for mistakes that affect all rows.
func (s *Session) whole(f *sessionFit, bad bool) (Finding, bool) {
	if !bad {
		return Finding{}, false
	}
	try := func(times float64) bool {
		t := *s
		t.Readings = slices.Clone(s.Readings)
		for i := range t.Readings {
			t.Readings[i].Load *= units.Mass(times)
		}
		p := &t.newFit().p
		return p.Solve() && fit.ChiSquareTail(p.ChiSquare(), p.Freedom()) > plausible
	}
	line, ok := fit.FitLine(f.load, f.rear)
	if !ok {
		return Finding{}, false
	}
	k := f.slope
	// The front axle gains the load and the transfer by its moment.
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

// line compares the explanations of a line that does not fit.
func (s *Session) line(f *sessionFit, ok, bad bool) []Finding {
	if !ok {
		return []Finding{{Cause: CauseScatter, Row: -1}}
	}
	n := len(f.load)
	k := f.slope
	top := slices.Max(f.load)
	col := make([]float64, n)
	try := func(cause Cause, row int, unit float64, column func(i int) float64) (candidate, bool) {
		for i := range col {
			col[i] = column(i)
		}
		v, sd, ok := f.p.Extra(col)
		return candidate{cause, row, v * unit, v / sd}, ok
	}
	var all []candidate
	add := func(c candidate, ok bool) {
		if ok {
			all = append(all, c)
			bad = bad || math.Abs(c.z) > alarm
		}
	}
	// A cause that the rows cannot tell from another empty rear axle load is not
	// determined, so it is no candidate.
	add(try(CauseGeometryOff, -1, top, func(i int) float64 { return f.load[i] }))
	add(try(CauseCurvature, -1, 1, func(i int) float64 { return f.load[i] * f.load[i] / (top * top) }))
	// Loads that are heavier than stated lower the line of all loaded readings.
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
			off, sd, ok := f.p.Drop(row)
			add(candidate{CauseOutlier, row, off, off / sd}, ok)
		}
	}
	slices.SortStableFunc(all, func(a, b candidate) int { return cmp.Compare(math.Abs(b.z), math.Abs(a.z)) })
	// Check the sum of squares that remains under the best explanation.
	if len(all) == 0 || fit.ChiSquareTail(f.p.ChiSquare()-all[0].z*all[0].z, f.p.Freedom()-1) < plausible {
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

// nameRow looks for a reason in the numbers of a row that is off the line through
// the others by c.off.
func (s *Session) nameRow(f *sessionFit, c candidate) Cause {
	r := s.Readings[c.row]
	k := f.slope
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
func (s *Session) totals() []Finding {
	var rows []int
	for i, r := range s.Readings {
		if r.Front > 0 {
			rows = append(rows, i)
		}
	}
	if len(rows) < 2 {
		return nil
	}
	// The one unknown is the common value of all sums; it starts at the first.
	var p fit.Problem
	p.Reset(1)
	sum := func(r LoadReading) float64 { return float64(r.Front + r.Rear - r.Load) }
	first := sum(s.Readings[rows[0]])
	p.Start(0, first)
	loaded := make([]float64, len(rows))
	for k, i := range rows {
		r := s.Readings[i]
		sd := math.Sqrt2 * s.Scale.reading()
		if r.Load > 0 {
			sd, loaded[k] = math.Hypot(sd, s.Scale.loadSD(s.LoadSD)), 1
		}
		p.Row(sum(r)-first, sd)[0] = 1
	}
	p.Solve() // one unknown and finite readings: always determined
	// A missing tare moves all loaded rows by the same amount against the empty
	// ones.
	tare, tareSD, told := p.Extra(loaded)
	step := told && tare/tareSD > alarm
	if !unlikely(&p) && !step {
		return nil
	}
	if len(rows) < 3 {
		return []Finding{{Cause: CauseScatter, Row: -1}} // two rows cannot say which one is wrong
	}
	if step && fit.ChiSquareTail(p.ChiSquare()-tare/tareSD*tare/tareSD, p.Freedom()-1) > plausible {
		return []Finding{{Cause: CauseMissingTare, Row: -1, Off: units.Mass(tare), Sigmas: tare / tareSD}}
	}
	// Find the one row without which the others agree.
	at, off, offSD := 0, 0.0, 1.0
	for k := range rows {
		if v, sd, ok := p.Drop(k); ok && math.Abs(v/sd) > math.Abs(off/offSD) {
			at, off, offSD = k, v, sd
		}
	}
	if fit.ChiSquareTail(p.ChiSquare()-off/offSD*off/offSD, p.Freedom()-1) <= plausible {
		return []Finding{{Cause: CauseScatter, Row: -1}}
	}
	r := s.Readings[rows[at]]
	others := sum(r) - off
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

// saturated returns the rows whose reading is at the scale's end. A reading is
// there if it equals the stated capacity to the last division. Two or more
// readings are there if they show the same highest number although their loads
// should change it by more than six standard deviations.
func (s *Session) saturated(f *sessionFit) (out []Finding, stated bool) {
	end := s.Scale.Capacity - s.Scale.Division
	for i, r := range s.Readings {
		if s.Scale.Capacity > 0 && (r.Rear >= end || r.Front >= end) {
			out = append(out, Finding{Cause: CauseSaturated, Row: i})
		}
	}
	if len(out) > 0 {
		return out, true
	}
	k := f.slope
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
