package reliability

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"example.com/steelyard/units"
	"gonum.org/v1/gonum/stat/distuv"
)

// Subset simulation of one replicate: levelDraws draws a level, of which the worst
// levelShare lead to the next, through at most maxLevels.
const (
	levelDraws   = 2000
	levelShare   = 0.1
	maxLevels    = 10  // a chance of less than 1e-10 is not looked for
	explorations = 6   // replicates before importance sampling
	replicates   = 200 // at most
	reachedShare = 10  // one replicate of so many may end without failure
)

// subsets holds the probabilities of independent replicates.
type subsets struct {
	p    []float64
	next uint64 // stream of the next replicate
	flat bool   // the margin is the same over much of a subset, so that it leads nowhere
}

// subsets runs n replicates, while the calls stay below most.
func (s *Study) subsets(k int, b Budget, n, most int, e *explorer) subsets {
	var out subsets
	for range n {
		if s.err != nil || s.stop || s.calls > most || out.flat {
			break
		}
		s.replicate(k, b, &out, e)
	}
	return out
}

// more adds replicates until the relative error is reached or the budget is spent. How
// many it takes is settled once, as with importance sampling: to stop where the error
// happens to look small makes the intervals too narrow (TestManyRegions).
func (s *Study) more(k int, b Budget, out subsets) subsets {
	need := replicates
	for !out.flat && (out.led() || len(out.p) < explorations) && len(out.p) < need && s.err == nil && !s.stop && s.calls < b.Calls {
		s.replicate(k, b, &out, nil)
		if mean, spread := out.mean(); len(out.p) == 2*explorations && mean > 0 {
			ratio := spread / float64(b.RelativeError)
			need = min(replicates, max(2*explorations, int(math.Ceil(1.1*ratio*ratio*float64(len(out.p))))))
		}
	}
	return out
}

func (s *Study) replicate(k int, b Budget, out *subsets, e *explorer) {
	p, flat := s.subset(k, random(b.Seed, streamSubset+out.next), b.Calls, e)
	out.flat = out.flat || flat
	if s.stop || s.calls >= b.Calls {
		return // one that was not finished says nothing
	}
	out.p = append(out.p, p)
	out.next++
}

// mean returns the mean of the replicates and its relative standard error.
func (o subsets) mean() (mean, spread float64) {
	var first, second float64
	for _, p := range o.p {
		first += p
		second += p * p
	}
	if len(o.p) == 0 {
		return 0, math.Inf(1)
	}
	return first / float64(len(o.p)), relativeError(first, second, len(o.p))
}

// agrees reports whether a probability with its relative error is that of the
// replicates, within three standard errors of both; few replicates count as 15 %
// uncertain at least.
func (o subsets) agrees(p, spread float64) bool {
	mean, own := o.mean()
	if mean == 0 {
		return false // nothing to hold it against
	}
	own = max(own, 0.15)
	return math.Abs(math.Log(p/mean)) <= 3*math.Hypot(spread, own)
}

// led reports whether the margin led the replicates to failure. Where more than one of
// reachedShare of them ended without it, it leads elsewhere, and what the others found by
// luck has no interval of Student's (TestMisled).
func (o subsets) led() bool {
	missed := 0
	for _, p := range o.p {
		missed += b2i(p == 0)
	}
	return missed*reachedShare <= len(o.p)
}

// chance returns the probability with Student's interval; false if there are too few
// replicates.
func (o subsets) chance(limit string) (Chance, bool) {
	mean, spread := o.mean()
	if mean == 0 || len(o.p) < 2 {
		return Chance{}, false
	}
	half := student(len(o.p)-1) * spread * mean
	c := Chance{Limit: limit, Method: SubsetSimulation, Probability: units.Fraction(mean)}
	c.Interval = units.Interval[units.Fraction]{Low: units.Fraction(max(0, mean-half)), High: units.Fraction(min(1, mean+half)), Level: level}
	return c, true
}

// student returns the quantile of Student's distribution for a two-sided interval.
func student(freedom int) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(freedom)}.Quantile(0.5 + level/2)
}

// A state is a point with its margin.
type state struct {
	u []float64
	g float64
}

// subset is one replicate of subset simulation (S.-K. Au, J. L. Beck, Estimation of small
// failure probabilities in high dimensions by subset simulation, Probabilistic
// Engineering Mechanics 16, 2001), with the conditional sampling of I. Papaioannou et al.
// (MCMC algorithms for subset simulation, ibid. 41, 2015): from u a chain goes to
// r u + sqrt(1 - r^2) e, with e standard normal, and stays where that leaves the subset.
// The width is adapted after each tenth of the chains to the acceptance 0.44. Once that
// many calls were made as most says, it ends unfinished.
func (s *Study) subset(k int, r *rand.Rand, most int, e *explorer) (p float64, flat bool) {
	states := make([]state, levelDraws)
	for i := range states {
		if s.stop || s.calls >= most {
			return 0, false
		}
		u := make([]float64, s.dim)
		draw(r, u)
		states[i] = state{u, s.margin(k, u)}
	}
	seeds := int(levelShare * levelDraws)
	p = 1
	width := 0.6
	last := math.Inf(1)
	for range maxLevels {
		slices.SortStableFunc(states, func(a, b state) int { return cmp.Compare(a.g, b.g) })
		failed := 0
		for failed < len(states) && states[failed].g < 0 {
			failed++
		}
		threshold := (states[seeds-1].g + states[seeds].g) / 2
		if failed >= seeds || threshold >= last || s.err != nil || s.stop || s.calls >= most {
			if e != nil {
				for _, st := range states[:failed] {
					e.see(st.u, st.g)
				}
				e.keep(states[:failed])
			}
			return p * float64(failed) / float64(len(states)), flat
		}
		if states[min(2*seeds, len(states)-1)].g <= threshold {
			return p * float64(failed) / float64(len(states)), true
		}
		inside := seeds
		for inside > 0 && states[inside-1].g > threshold {
			inside--
		}
		p *= float64(seeds) / float64(len(states))
		last = threshold
		states = s.chains(k, r, states[:inside], threshold, &width, most)
	}
	return 0, false
}

// chains grows a chain from each seed, so that all of them together hold levelDraws
// states within the threshold.
func (s *Study) chains(k int, r *rand.Rand, seeds []state, threshold float64, width *float64, most int) []state {
	r.Shuffle(len(seeds), func(i, j int) { seeds[i], seeds[j] = seeds[j], seeds[i] })
	out := make([]state, 0, levelDraws)
	tenth := max(1, len(seeds)/10)
	accepted, tried, batches := 0.0, 0.0, 0.0
	next := make([]float64, s.dim)
	for i, at := range seeds {
		length := levelDraws/len(seeds) + b2i(i < levelDraws%len(seeds))
		for step := range length {
			if step > 0 && !s.stop && s.calls < most {
				keep := math.Sqrt(1 - *width**width)
				for j := range next {
					next[j] = float64(keep*at.u[j]) + float64(*width*r.NormFloat64())
				}
				tried++
				if g := s.margin(k, next); g <= threshold {
					at = state{slices.Clone(next), g}
					accepted++
				}
			}
			out = append(out, at)
		}
		if (i+1)%tenth == 0 && tried > 0 {
			batches++
			*width = max(0.01, min(1, *width*math.Exp((accepted/tried-0.44)/math.Sqrt(batches))))
			accepted, tried = 0, 0
		}
	}
	return out
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}
