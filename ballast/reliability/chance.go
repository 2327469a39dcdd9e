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
	// million.
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
	// Student's for the others.
	Interval units.Interval[units.Fraction] `json:"interval"`
	Method   Method                         `json:"method"`
	// Calls is how often the margins were computed, the search for design points
	// included.
	Calls int `json:"calls"`
	// Points are the design points that were found, the nearest first.
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
)

// level is that of every interval.
const level = 0.95

// Plain sampling goes on to rareCalls draws, and further where it is cheap enough;
// with fewer failures than rareFailures among the first pilotCalls it is given up.
const (
	pilotCalls  = 20_000
	rareCalls   = 200_000
	batch       = 1000
	highestUsed = 60 // dimensions up to which design points carry importance sampling
)

// Sample returns the chance of every limit by n plain draws, n from 1 to 1e9: the
// share of draws that break it, with Wilson's interval (E. B. Wilson, Probable inference,
// the law of succession, and statistical inference, J. Am. Stat. Assoc. 22, 1927). When
// the context ends it returns what it has, with [NoteStopped].
func (s *Study) Sample(ctx context.Context, n int, seed uint64) ([]Chance, error) {
	if n < 1 || n > 1e9 {
		return nil, units.NewFieldError("n", n, "must be from 1 to 1000000000")
	}
	s.begin()
	failed := make([]int, len(s.p.Limits))
	r := random(seed, streamPlain)
	u := make([]float64, s.dim)
	var notes Notes
	for s.calls < n && s.err == nil {
		if s.calls%batch == 0 && ctx.Err() != nil {
			notes |= NoteStopped
			break
		}
		draw(r, u)
		for k, g := range s.margins(u) {
			if g < 0 {
				failed[k]++
			}
		}
	}
	if s.err != nil {
		return nil, s.err
	}
	out := make([]Chance, len(failed))
	for k, f := range failed {
		out[k] = s.counted(k, f, s.calls)
		out[k].Notes |= notes
	}
	return out, nil
}

// counted returns the chance that f failures in n draws speak for.
func (s *Study) counted(k, f, n int) Chance {
	c := Chance{Limit: s.p.Limits[k], Method: PlainSampling, Calls: n}
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
// [NoteNotSeen]. The design points and
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
	s.begin()
	e := newExplorer(s, k)
	out, enough := s.plain(ctx, k, b, e)
	var sub subsets
	if !enough && s.err == nil && ctx.Err() == nil {
		sub = s.subsets(ctx, k, b, explorations, s.calls+(b.Calls-s.calls)/2, e)
	}
	var points []DesignPoint
	starts := e.starts()
	if s.err == nil && ctx.Err() == nil {
		points = s.designPoints(ctx, k, starts)
	}
	if !enough && s.err == nil && ctx.Err() == nil {
		out = s.rare(ctx, k, b, out, sub, points, starts)
	}
	if s.err != nil {
		return Chance{}, s.err
	}
	out.Calls, out.Points = s.calls, points
	out.remark(ctx, b, points)
	return out, nil
}

// remark notes what an answer is not.
func (c *Chance) remark(ctx context.Context, b Budget, points []DesignPoint) {
	if ctx.Err() != nil {
		c.Notes |= NoteStopped
	}
	if len(points) == 0 {
		c.Notes |= NoteNoDesignPoint
	} else if ratio := float64(points[0].Probability()) / float64(c.Probability); c.Probability > 0 && !(ratio >= 0.85 && ratio <= 1/0.85) {
		c.Notes |= NoteFirstOrderDiffers
	}
	half := float64(c.Interval.High-c.Interval.Low) / 2 / distuv.UnitNormal.Quantile(0.5+level/2)
	if half > 1.5*float64(b.RelativeError)*float64(c.Probability) {
		c.Notes |= NoteBudgetSpent
	}
}

// plain samples until the relative error is reached, and says whether it was. It gives
// up after a pilot in which failures were too rare.
func (s *Study) plain(ctx context.Context, k int, b Budget, e *explorer) (Chance, bool) {
	r := random(b.Seed, streamPlain)
	u := make([]float64, s.dim)
	n, f := 0, 0
	most := min(b.Calls, rareCalls)
	pilot := min(most, pilotCalls)
	need := math.Inf(1)
	for n < most && s.err == nil && ctx.Err() == nil {
		for range batch {
			draw(r, u)
			g := s.margin(k, u)
			e.see(u, g)
			if g < 0 {
				f++
			}
		}
		n += batch
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

// rare returns the better of importance sampling around the design points and subset
// simulation. Importance sampling counts only if subset simulation agrees, because it
// sees nothing of failure far from its points.
func (s *Study) rare(ctx context.Context, k int, b Budget, plain Chance, sub subsets, points []DesignPoint, starts [][]float64) Chance {
	if centers := centers(points, starts); len(centers) > 0 && s.dim <= highestUsed {
		is, spread := s.importanceSampling(ctx, k, b, centers)
		if is.Probability > 0 && s.err == nil && sub.agrees(float64(is.Probability), spread) {
			return is
		}
	}
	sub = s.more(ctx, k, b, sub)
	if c, ok := sub.chance(s.p.Limits[k]); ok {
		return c
	}
	plain.Notes |= NoteNotSeen
	return plain
}
