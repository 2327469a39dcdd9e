package reliability

import (
	"context"
	"math"

	"example.com/steelyard/units"
	"gonum.org/v1/gonum/stat/distuv"
)

// Method says how a chance was found. In JSON: "sampling", "importance" or "subset";
// "unknown" is that of an answer that was never computed.
type Method uint8

// The methods.
const (
	// MethodUnknown is the zero value.
	MethodUnknown Method = iota
	// PlainSampling counts failures in draws of the variables.
	PlainSampling
	// ImportanceSampling draws around the design points and weights each draw.
	ImportanceSampling
	// SubsetSimulation goes to failure through more and more unfavorable subsets.
	SubsetSimulation
)

var methodNames = []string{"unknown", "sampling", "importance", "subset"}

// Budget says how exact a chance has to be and what it may cost. The zero value is
// usable.
type Budget struct {
	// RelativeError is the relative standard error that ends the work, from 0.005 to
	// 0.5; zero means 0.05.
	RelativeError units.Fraction `json:"relativeError,omitzero"`
	// Calls is how often the margins may be computed, from 1000 to 1e9; zero means two
	// million. The search for design points may begin its last one when they are spent, and
	// a few thousand draws are always made.
	Calls int `json:"calls,omitzero"`
	// Seed is that of the random numbers. Every seed is good.
	Seed uint64 `json:"seed"`
}

// Validate reports every bad field at once. The errors wrap [units.ErrInvalid].
func (b Budget) Validate() error {
	var e units.FieldErrors
	if b.RelativeError != 0 && !(b.RelativeError >= 0.005 && b.RelativeError <= 0.5) {
		e.Add("relativeError", float64(b.RelativeError), "must be from 0.005 to 0.5, or left out")
	}
	if b.Calls != 0 && (b.Calls < 1000 || b.Calls > 1e9) {
		e.Add("calls", b.Calls, "must be from 1000 to 1000000000, or left out")
	}
	return e.Err()
}

func (b Budget) full() Budget {
	if b.RelativeError == 0 {
		b.RelativeError = 0.05
	}
	if b.Calls == 0 {
		b.Calls = 2_000_000
	}
	return b
}

// square returns the square of the relative error.
func (b Budget) square() float64 { return float64(b.RelativeError) * float64(b.RelativeError) }

// Chance is the probability that one limit is broken.
type Chance struct {
	Limit string `json:"limit"`
	// Probability is the estimate, from 0 to 1.
	Probability units.Fraction `json:"probability"`
	// Interval holds the probability in 95 % of seeds: Wilson's for plain sampling,
	// Student's for the others. Those of the others rest on a margin that leads to failure:
	// where a second way to fail is a step to which nothing leads, and so rare that none of
	// some 30 000 draws meets it, it is not counted, and nothing tells so. [Study.Sample]
	// leaves out no such step.
	Interval units.Interval[units.Fraction] `json:"interval"`
	Method   Method                         `json:"method"`
	// Calls is how often the margins were computed, the search for design points
	// included.
	Calls int `json:"calls"`
	// FirstOrder is the chance to first order: Phi(-distance) of the nearest design point,
	// and where there are tracks the mean of that over their rows or trips; zero where no
	// design point was found.
	FirstOrder units.Fraction `json:"firstOrder"`
	// Points are the design points that were found, the nearest first, at most 32.
	Points []DesignPoint `json:"points,omitempty"`
	Notes  Notes         `json:"notes"`
}

// The streams of random numbers of a seed.
const (
	streamPlain uint64 = iota
	streamStarts
	streamImportance
	streamSobol
	streamPropagate
	streamSubset // and those after it, one a replicate

	streamTracks  uint64 = 1 << 40
	streamPatient uint64 = 1<<40 + 1
)

// level is that of every interval.
const level = 0.95

// Plain sampling goes on to rareCalls draws, and further where it is cheap enough;
// with fewer failures than rareFailures among the first pilotCalls it is given up.
const (
	pilotCalls  = 20_000
	rareCalls   = 200_000
	batch       = 1000
	heavy       = 1.3 // times the error asked for, above which weights have too heavy tails
	highestUsed = 60  // dimensions up to which design points carry importance sampling
)

// Sample returns the chance of every limit by n plain draws, n from 1 to 1e9: the
// share of draws that break it, with Wilson's interval (E. B. Wilson, Probable inference,
// the law of succession, and statistical inference, J. Am. Stat. Assoc. 22, 1927). When
// the context ends it returns what it has, with [NoteStopped].
func (s *Study) Sample(ctx context.Context, n int, seed uint64) ([]Chance, error) {
	if n < 1 || n > 1e9 {
		return nil, units.NewFieldError("n", n, "must be from 1 to 1000000000")
	}
	s.begin(ctx)
	failed := make([]int, len(s.names))
	done := 0
	r := random(seed, streamPlain)
	u := make([]float64, s.dim)
	var notes Notes
	for done < n && s.err == nil && !s.stop {
		draw(r, u)
		for k, g := range s.margins(u) {
			if g < 0 {
				failed[k]++
			}
		}
		done++
	}
	if done < n {
		notes |= NoteStopped
	}
	if s.err != nil {
		return nil, s.err
	}
	out := make([]Chance, len(failed))
	for k, f := range failed {
		out[k] = s.counted(k, f, done)
		out[k].Calls = s.calls
		out[k].Notes |= notes | s.rangeNotes(k)
	}
	return out, nil
}

// counted returns the chance that f failures in n draws speak for.
func (s *Study) counted(k, f, n int) Chance {
	c := Chance{Limit: s.names[k], Method: PlainSampling, Calls: n}
	if n > 0 {
		c.Probability = units.Fraction(float64(f) / float64(n))
	}
	if f == 0 {
		c.Notes |= NoteNotSeen
	}
	low, high := wilson(f, n)
	c.Interval = units.Interval[units.Fraction]{Low: units.Fraction(low), High: units.Fraction(high), Level: level}
	return c
}

// wilson returns the ends (f + z^2/2 -+ z sqrt(f (n-f)/n + z^2/4))/(n + z^2)
// (TestWilson).
func wilson(f, n int) (low, high float64) {
	z := distuv.UnitNormal.Quantile(0.5 + level/2)
	k, m := float64(f), float64(n)
	if n == 0 {
		return 0, 1
	}
	half := z * math.Sqrt(k*(m-k)/m+z*z/4)
	low, high = (k+z*z/2-half)/(m+z*z), (k+z*z/2+half)/(m+z*z)
	if f == 0 {
		low = 0
	}
	if f == n {
		high = 1
	}
	return low, high
}

// Chance returns the chance that one limit is broken. It samples; where failures are
// too rare for that, it explores by subset simulation, looks for design points, draws
// around them, and keeps that result if both agree. A chance of less than 1e-10 is not
// looked for: the answer then is 0 with the high end of the plain sample, and
// [NoteNotSeen]. So is the answer of a step rarer than about one in the calls of the budget,
// to which no margin leads (TestRareStep). The design points and
// [NoteFirstOrderDiffers] compare the answer with first order. When the context ends it
// returns what it has, with [NoteStopped].
func (s *Study) Chance(ctx context.Context, limit string, b Budget) (Chance, error) {
	k, err := s.limit(limit)
	if err != nil {
		return Chance{}, err
	}
	if err := b.Validate(); err != nil {
		return Chance{}, err
	}
	b = b.full()
	s.begin(ctx)
	e := newExplorer(s, k)
	out, enough := s.plain(k, b, e)
	var sub subsets
	if !enough && s.err == nil && !s.stop {
		sub = s.subsets(k, b, explorations, s.calls+(b.Calls-s.calls)/2, e)
	}
	var points []DesignPoint
	var first float64
	starts := e.starts()
	if s.err == nil && !s.stop {
		points, first = s.designPoints(k, starts, s.calls+b.Calls/4)
	}
	if !enough && s.err == nil && !s.stop {
		out = s.rare(k, b, out, sub, points, starts, e.fails)
	}
	s.probe(k, points)
	if s.err != nil {
		return Chance{}, s.err
	}
	out.Calls, out.Points, out.FirstOrder = s.calls, points, units.Fraction(first)
	out.remark(b)
	out.Notes |= s.rangeNotes(k)
	if s.stop {
		out.Notes |= NoteStopped
	}
	return out, nil
}

// Deciding returns the place of the variable that decides, which has the greatest share in
// the direction of the design points towards failure, and that share from 0 to 1. Each
// point counts by the density of what varies there, so that rows of a track on which all is
// decided say little. Without design points the place is -1.
func (c Chance) Deciding() (variable int, share units.Fraction) {
	var shares []float64
	sum := 0.0
	for _, p := range c.Points {
		if shares == nil {
			shares = make([]float64, len(p.Importance))
		}
		weight := math.Exp(-p.Distance*p.Distance/2) + 1e-300
		sum += weight
		for i, v := range p.Importance {
			shares[i] += weight * math.Abs(v)
		}
	}
	variable = -1
	for i, v := range shares {
		if variable < 0 || v > shares[variable] {
			variable = i
		}
	}
	if variable < 0 {
		return -1, 0
	}
	return variable, units.Fraction(min(1, shares[variable]/sum))
}

// rangeNotes says that there are ranges, and that a margin was at its least or greatest
// between the ends of one.
func (s *Study) rangeNotes(k int) Notes {
	var n Notes
	if len(s.p.Ranges) > 0 {
		n = NoteGridOnly
	}
	if s.inside[k] {
		n |= NoteInsideRange
	}
	return n
}

// probePoints is at how many values of the ranges probe looks, and probePlaces at how many
// design points.
const (
	probePoints = 256
	probePlaces = 3
)

// probe looks between the values of the ranges that the grid looks at, where every variable
// has its median and at the nearest design points, and marks the limit where a margin there
// is worse, or better, than the grid knows. The values are those of an additive recurrence
// with powers of the root of a^(d+1) = a + 1 (TestProbe).
func (s *Study) probe(k int, points []DesignPoint) {
	n := len(s.p.Ranges)
	if n == 0 {
		return
	}
	root := 1.5
	for range 60 {
		root = math.Pow(1+root, 1/float64(n+1))
	}
	places := [][]float64{make([]float64, s.dim)}
	for _, p := range points[:min(probePlaces, len(points))] {
		places = append(places, s.place(p))
	}
	least := 0.0
	for i, u := range places {
		s.ask(s.values(u), s.g)
		known := s.g[k]
		if i == 0 {
			least = math.Abs(known) / 1000
		}
		for j := range probePoints {
			for d, r := range s.p.Ranges {
				_, at := math.Modf(0.5 + float64(j)*math.Pow(root, -float64(d+1)))
				s.x[len(s.x)-n+d] = r.Low + float64((r.High-r.Low)*at)
			}
			if s.stop || s.err != nil {
				return
			}
			s.askOne(s.x, s.try)
			if g := s.try[k/2]; k%2 == 0 && g < known-least || k%2 == 1 && g > known+least {
				s.inside[k] = true
				return
			}
		}
	}
}

// remark notes what an answer is not.
func (c *Chance) remark(b Budget) {
	if len(c.Points) == 0 {
		c.Notes |= NoteNoDesignPoint
	} else if ratio := float64(c.FirstOrder) / float64(c.Probability); c.Probability > 0 && !(ratio >= 0.85 && ratio <= 1/0.85) {
		c.Notes |= NoteFirstOrderDiffers
	}
	half := float64(c.Interval.High-c.Interval.Low) / 2 / distuv.UnitNormal.Quantile(0.5+level/2)
	if c.Probability > 0 && half > 1.5*float64(b.RelativeError)*float64(c.Probability) || c.Probability == 0 && c.Calls >= b.Calls {
		c.Notes |= NoteBudgetSpent
	}
}

// plain samples until the relative error is reached, and says whether it was. It gives
// up after a pilot in which failures were too rare.
func (s *Study) plain(k int, b Budget, e *explorer) (Chance, bool) {
	r := random(b.Seed, streamPlain)
	u := make([]float64, s.dim)
	n, f := 0, 0
	cost := s.cost()
	most := max(batch, min(b.Calls/cost, rareCalls))
	pilot := max(batch, min(most, max(2000, pilotCalls/cost))/batch*batch)
	need := math.Inf(1)
	// A draw counts the rows of a trip and the points of ranges.
	for n < most && s.err == nil && !s.stop && s.calls < b.Calls {
		for range batch {
			if draw(r, u); s.stop {
				break
			}
			g := s.margin(k, u)
			e.see(u, g)
			if g < 0 {
				f++
			}
			n++
		}
		if n == pilot {
			// A relative error re of a share p takes (1 - p)/(p re^2) draws.
			p := (float64(f) + 0.5) / float64(n)
			need = (1 - p) / p / b.square()
			if f == 0 || need > float64(most) {
				break
			}
		}
		if float64(n) >= need {
			return s.counted(k, f, n), true
		}
	}
	return s.counted(k, f, n), false
}

// patient samples plainly until the relative error is reached or the budget is spent: where
// the margin leads nowhere, as at a step, nothing else is honest (TestStep).
func (s *Study) patient(k int, b Budget) Chance {
	r := random(b.Seed, streamPatient)
	u := make([]float64, s.dim)
	n, f := 0, 0
	for s.err == nil && !s.stop && s.calls < b.Calls && float64(f) < 1/b.square() {
		if draw(r, u); s.margin(k, u) < 0 {
			f++
		}
		n++
	}
	return s.counted(k, f, n)
}

// rare returns the better of importance sampling around the design points and subset
// simulation. Importance sampling counts only if subset simulation agrees, because it
// sees nothing of failure far from its points.
func (s *Study) rare(k int, b Budget, plain Chance, sub subsets, points []DesignPoint, starts, fails [][]float64) Chance {
	if sub.flat {
		return s.patient(k, b)
	}
	if centers := s.centers(points, starts); len(centers) > 0 && s.dim <= highestUsed {
		is, spread := s.importanceSampling(k, b, centers, fails)
		if is.Probability > 0 && s.err == nil && !(spread > heavy*float64(b.RelativeError) && s.calls+batch <= b.Calls || spread >= 1) && sub.agrees(float64(is.Probability), spread) {
			return is
		}
	}
	sub = s.more(k, b, sub)
	if mean, _ := sub.mean(); sub.flat || !sub.led() && (mean > 0 || plain.Probability > 0) {
		return s.patient(k, b)
	}
	if c, ok := sub.chance(s.names[k]); ok {
		return c
	}
	return plain
}
