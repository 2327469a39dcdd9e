package weigh

import (
	"math"
	"slices"

	"example.com/steelyard/internal/fit"
	"example.com/steelyard/units"
)

// Suspect is a reading that cannot be right.
type Suspect struct {
	// Path is its place in the record.
	Path string `json:"path"`
	// Cause is what is likely to have happened.
	Cause Cause `json:"cause"`
	// Read is what was read.
	Read Amount `json:"read"`
	// WouldBe is what it would have to be by all other readings. Of a forgotten tare
	// it is the tare, of a load that sat elsewhere how much farther ahead it sat.
	WouldBe Amount `json:"wouldBe"`
	// Sigmas is the difference in its standard deviations.
	Sigmas float64 `json:"sigmas"`
	// Dropped says that the answers do without it.
	Dropped bool `json:"dropped,omitempty"`
}

// odd is a reading and how far it is from all others.
type odd struct {
	row         int
	off, sigmas float64
}

// worst returns the reading that is farthest from all others and the next one;
// a row of -1 is none that is suspicious.
func (e *estimator) worst() (first, second odd) {
	first, second = odd{row: -1, sigmas: suspicious}, odd{row: -1, sigmas: suspicious}
	for k := range e.rows {
		if e.rows[k].dropped {
			continue
		}
		off, sd, ok := e.p.Drop(k)
		s := math.Abs(off / sd)
		switch {
		case !ok:
		case s > first.sigmas*stronger:
			if first.row >= 0 {
				second = first
			}
			first = odd{k, off, s}
		case s > second.sigmas:
			second = odd{k, off, s}
		}
	}
	return first, second
}

// suspect returns what is said of an odd reading.
func (e *estimator) suspect(o odd) Suspect {
	w := &e.rows[o.row]
	return Suspect{
		Path: e.path(o.row), Cause: CauseOutlier, Read: e.amount(w, w.value), WouldBe: e.amount(w, w.value-o.off), Sigmas: o.sigmas,
	}
}

// drop does without an odd reading from now on.
func (e *estimator) drop(o odd) {
	w := &e.rows[o.row]
	w.dropped, w.about = true, w.value-o.off
	if !(w.about > 0) { // a mistake too gross for the estimate of it
		w.about = w.value
	}
}

// restart begins again from the ranges of practice.
func (e *estimator) restart() {
	e.know()
}

// mostTries is how many mistakes are tried to explain one record, and tryWork bounds
// the work of all tries: of a long record fewer are tried.
const (
	mostTries = 200
	tryWork   = 1e9 // multiplications
)

// trialSteps is how many steps a mistake that is tried may take, and soon the step by which
// the readings must have come near to each other.
const (
	trialSteps = 12
	soon       = 4
)

// promising reports whether the steps of a mistake that is tried may still lead to readings
// that fit each other.
func (e *estimator) promising(p *fit.Problem) bool {
	e.trying++
	switch {
	case e.trying > trialSteps+1:
		return false
	case e.trying > soon+1:
		return p.ChiSquare() < 50+3*float64(len(e.rows))
	}
	return true
}

// consistent reports whether the readings fit each other once the values of some
// rows are as given.
func (e *estimator) consistent(rows []int, values []float64) bool {
	if e.tries++; e.tries > mostTries || float64(e.tries*trialSteps*len(e.rows)*e.n*e.n) > tryWork {
		return false
	}
	was := make([]float64, len(rows))
	for i, k := range rows {
		was[i], e.rows[k].value = e.rows[k].value, values[i]
	}
	e.restart()
	e.trying = 1
	ok := e.fit()
	e.trying = 0
	if ok {
		first, _ := e.worst()
		ok = first.row < 0 && !unlikely(&e.p)
	}
	for i, k := range rows {
		e.rows[k].value = was[i]
	}
	return ok
}

// hypothesis tries what often happens where readings cannot be right: axles or rows
// that were swapped, pounds for kilograms in one reading, one weighing, or all loads or
// readings of the scale, a tare that was forgotten, loads that sat elsewhere. It returns what explains all of it, and leaves the fit as it was.
func (e *estimator) hypothesis(fitted bool) (out []Suspect, found bool) {
	var odd []int
	if fitted {
		first, _ := e.worst()
		if first.row < 0 && !unlikely(&e.p) {
			return nil, false
		}
		for k := range e.rows {
			if off, sd, ok := e.p.Drop(k); ok && math.Abs(off/sd) > suspicious {
				odd = append(odd, k)
			}
		}
	}
	be := make([]float64, len(e.rows)) // what each reading would be by all others
	for k := range e.rows {
		be[k] = e.rows[k].value
		if off, _, ok := e.p.Drop(k); ok && fitted {
			be[k] -= off
		}
	}
	// The value of another reading is worth trying if it brings this one at least half of
	// the way. Where there is no fit, all are, and only so many are tried.
	worth := func(k int, v float64) bool {
		return !fitted || math.Abs(v-be[k]) < 0.5*math.Abs(e.rows[k].value-be[k])
	}
	var one Suspect
	var together bool
	if fitted {
		first, _ := e.worst()
		one, together = e.shared(first)
	}
	e.tries = 0
	defer func() {
		e.restart()
		e.fit()
	}()
	if s, ok := e.allMixed(odd, fitted, worth); ok {
		return s, true
	}
	if together {
		return []Suspect{one}, true
	}
	for k := range e.rows {
		if fitted && !slices.Contains(odd, k) {
			continue
		}
		if s, ok := e.exchanged(k, worth); ok {
			return s, true
		}
		if s, ok := e.mixed(k); ok {
			return s, true
		}
	}
	return e.turnedAbout(odd, fitted, worth)
}

// unitMixes are the two ways to mix pounds and kilograms, with the factor that puts it
// right, and the causes by what was mixed.
var unitMixes = []struct {
	by                float64
	row, loads, scale Cause
}{
	{float64(units.Pound), CauseRowInPounds, CauseLoadsInPounds, CauseScaleInPounds},
	{1 / float64(units.Pound), CauseRowInKilograms, CauseLoadsInKilograms, CauseScaleInKilograms},
}

// onScale reports whether a row is a reading of the scale.
func (w *row) onScale() bool { return w.kind >= rowFront && w.kind <= rowRearRight }

// allMixed tries whether pounds were written as kilograms, or the other way round, in all
// loads, in all readings of the scale, or in all readings of one weighing.
func (e *estimator) allMixed(odd []int, fitted bool, worth func(int, float64) bool) ([]Suspect, bool) {
	try := func(cause Cause, by float64, in func(*row) bool) ([]Suspect, bool) {
		var rows []int
		var values []float64
		for k := range e.rows {
			if in(&e.rows[k]) {
				rows, values = append(rows, k), append(values, e.rows[k].value*by)
			}
		}
		if len(rows) < 2 || !e.consistent(rows, values) {
			return nil, false
		}
		return e.would(cause, rows, values), true
	}
	// Loads in kilograms taken as pounds and a scale in pounds look alike, but for what such a
	// machine weighs: the better explanation counts.
	var best []Suspect
	least := math.Inf(1)
	for _, x := range unitMixes {
		for _, all := range []struct {
			cause Cause
			in    func(*row) bool
		}{{x.loads, func(w *row) bool { return w.kind == rowLoad }}, {x.scale, (*row).onScale}} {
			if s, ok := try(all.cause, x.by, all.in); ok && e.p.ChiSquare() < least {
				best, least = s, e.p.ChiSquare()
			}
		}
	}
	if best != nil {
		return best, true
	}
	for i := range e.r.Weights {
		for _, x := range unitMixes {
			if !e.strange(i, odd, fitted, func(k int) bool { return worth(k, e.rows[k].value*x.by) }) {
				continue
			}
			if s, ok := try(x.row, x.by, func(w *row) bool { return w.onScale() && w.i == i }); ok {
				return s, true
			}
		}
	}
	return nil, false
}

// strange reports whether a weighing has an odd reading that would come nearer to what all
// others make of it; all have where there is no fit.
func (e *estimator) strange(i int, odd []int, fitted bool, nearer func(int) bool) bool {
	return !fitted || slices.ContainsFunc(odd, func(k int) bool { return e.rows[k].onScale() && e.rows[k].i == i && nearer(k) })
}

// turnedAbout tries whether two weighings stand in each other's place, with all their
// readings.
func (e *estimator) turnedAbout(odd []int, fitted bool, worth func(int, float64) bool) ([]Suspect, bool) {
	of := func(i int) (rows []int) {
		for k := range e.rows {
			if e.rows[k].onScale() && e.rows[k].i == i {
				rows = append(rows, k)
			}
		}
		return rows
	}
	for i := range e.r.Weights {
		a := of(i)
		for j := i + 1; j < len(e.r.Weights); j++ {
			b := of(j)
			if len(a) < 2 || len(a) != len(b) {
				continue
			}
			other := func(k int) bool {
				from, to := a, b
				if slices.Contains(b, k) {
					from, to = b, a
				}
				return worth(k, e.rows[to[slices.Index(from, k)]].value)
			}
			if !e.strange(i, odd, fitted, other) && !e.strange(j, odd, fitted, other) {
				continue
			}
			same, apart := true, false
			var rows []int
			var values []float64
			for n := range a {
				x, y := &e.rows[a[n]], &e.rows[b[n]]
				same = same && x.kind == y.kind
				apart = apart || math.Abs(x.value-y.value) >= 4*x.sd
				rows, values = append(rows, a[n], b[n]), append(values, y.value, x.value)
			}
			if same && apart && e.consistent(rows, values) {
				return e.would(CauseRowsSwapped, rows, values), true
			}
		}
	}
	return nil, false
}

// would says of rows what they would have to be.
func (e *estimator) would(cause Cause, rows []int, values []float64) (out []Suspect) {
	for n, k := range rows {
		w := &e.rows[k]
		out = append(out, Suspect{Path: e.path(k), Cause: cause, Read: e.amount(w, w.value), WouldBe: e.amount(w, values[n]), Sigmas: math.Abs(w.value-values[n]) / w.sd})
	}
	return out
}

// exchanged tries whether a reading of the scale was exchanged for another one.
func (e *estimator) exchanged(k int, worth func(int, float64) bool) ([]Suspect, bool) {
	w := &e.rows[k]
	if w.kind != rowFront && w.kind != rowRear {
		return nil, false
	}
	for j := range e.rows {
		o := &e.rows[j]
		partner := o.i == w.i && o.kind != w.kind && (o.kind == rowFront || o.kind == rowRear)
		if !partner && o.kind != w.kind || j == k || math.Abs(o.value-w.value) < 4*w.sd || !partner && !worth(k, o.value) {
			continue
		}
		if !e.consistent([]int{k, j}, []float64{o.value, w.value}) {
			continue
		}
		cause := CauseRowsSwapped
		if partner {
			cause = CauseAxlesSwapped
		}
		return e.would(cause, []int{k, j}, []float64{o.value, w.value}), true
	}
	return nil, false
}

// mixed tries whether pounds were written as kilograms or the other way round.
func (e *estimator) mixed(k int) ([]Suspect, bool) {
	w := &e.rows[k]
	var pounds, kilograms Cause
	switch w.kind {
	case rowFront:
		pounds, kilograms = CauseFrontInPounds, CauseFrontInKilograms
	case rowRear:
		pounds, kilograms = CauseRearInPounds, CauseRearInKilograms
	case rowLoad:
		pounds, kilograms = CauseLoadInPounds, CauseLoadInKilograms
	default:
		return nil, false
	}
	for _, t := range []struct {
		cause Cause
		by    float64
	}{{pounds, float64(units.Pound)}, {kilograms, 1 / float64(units.Pound)}} {
		if v := w.value * t.by; e.consistent([]int{k}, []float64{v}) {
			return e.would(t.cause, []int{k}, []float64{v}), true
		}
	}
	return nil, false
}

// shared tries a mistake that several readings share. It must explain the readings clearly
// better than one wrong reading does.
func (e *estimator) shared(first odd) (best Suspect, found bool) {
	best.Sigmas = math.Sqrt(first.sigmas*first.sigmas + undecided)
	for _, s := range e.common() {
		if s.Sigmas > best.Sigmas {
			best, found = s, true
		}
	}
	return best, found
}

// common returns the mistakes that several readings may share, with how far each is from
// none: a tare that was left out of every load, and loads that all sat farther ahead or
// behind.
func (e *estimator) common() (out []Suspect) {
	column := make([]float64, len(e.rows))
	try := func(in func(*row) bool) (value, sd float64, ok bool) {
		count := 0
		for k := range e.rows {
			column[k] = 0
			if in(&e.rows[k]) {
				column[k] = 1
				count++
			}
		}
		if count < 2 {
			return 0, 0, false
		}
		return e.p.Extra(column)
	}
	label := func(w *row) bool { return w.kind == rowLoad }
	if v, sd, ok := try(label); ok && v < 0 {
		out = append(out, Suspect{Path: "loads", Cause: CauseMissingTare, WouldBe: Amount{Mass: units.Mass(-v)}, Sigmas: -v / sd})
	}
	place := func(w *row) bool {
		return w.kind == rowTape && (e.r.Tape[w.i].Length == TapedLoadAhead || e.r.Tape[w.i].Length == TapedReach)
	}
	if v, sd, ok := try(place); ok {
		out = append(out, Suspect{Path: "tape", Cause: CauseLoadElsewhere, WouldBe: Amount{Length: units.Length(-v)}, Sigmas: math.Abs(v / sd)})
	}
	return out
}
