package reliability_test

import (
	"context"
	"math"
	"slices"
	"testing"

	"example.com/steelyard/ballast/reliability"
	"example.com/steelyard/units"
	"gonum.org/v1/gonum/stat/distuv"
)

// TestMisled: the margin leads away from a step, which a few replicates of subset simulation
// meet by luck. Their mean has no interval of Student's: at a chance of 1e-5 a third of
// the answers by subset simulation left it out. The scores are those of the normal
// distribution at the chance.
func TestMisled(t *testing.T) {
	n := reliability.Normal(0, 1)
	for _, want := range []float64{1e-4, 1e-5} {
		at := -distuv.UnitNormal.Quantile(want)
		p := two(n, n, 0, func(x, y float64) float64 {
			if x > at {
				return -1
			}
			return 20 - y
		})
		inside := 0
		for seed := range uint64(30) {
			c := chance(t, p, reliability.Budget{Seed: seed})
			inside += b2i(c.Interval.Contains(units.Fraction(want)))
			if c.Method == reliability.SubsetSimulation {
				t.Errorf("%g, seed %d: subset simulation is trusted: %v to %v", want, seed, c.Interval.Low, c.Interval.High)
			}
			if c.Notes.Has(reliability.NoteBudgetSpent) && c.Calls < 1_900_000 {
				t.Errorf("%g, seed %d: %d calls are said to be all", want, seed, c.Calls)
			}
		}
		if least := leastInside(30); inside < least {
			t.Errorf("%d of 30 intervals hold %g, want %d", inside, want, least)
		}
	}
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// TestRareStep: of a step whose chance is far less than one in the budget the answer is an
// upper end only, which it says in words, and which is no lower than the chance. The scores
// are those of the normal distribution at the chance.
func TestRareStep(t *testing.T) {
	n := reliability.Normal(0, 1)
	for _, want := range []float64{1e-7, 1e-8, 1e-12} {
		at := -distuv.UnitNormal.Quantile(want)
		p := two(n, n, 0, func(x, y float64) float64 {
			if x > at {
				return -1
			}
			return 1
		})
		for seed := range uint64(4) {
			c := chance(t, p, reliability.Budget{Seed: seed, Calls: 200_000})
			if c.Probability > 0 {
				continue // a draw in the step, which has to be noted as too few
			}
			// Wilson's high end for none of n is 3.84/(n + 3.84).
			if c.Interval.Low != 0 || float64(c.Interval.High) < want || float64(c.Interval.High) > 3.85/100_000 || !c.Notes.Has(reliability.NoteNotSeen) {
				t.Errorf("%g: %+v", want, c)
			}
			if !slices.Contains(c.Notes.Lines(), "No draw broke the limit; only the high end of the interval says something.") {
				t.Errorf("%g: %q", want, c.Notes.Lines())
			}
		}
	}
}

// TestAnyUnit: the unit of a margin changes nothing, a design point neither.
func TestAnyUnit(t *testing.T) {
	n := reliability.Normal(0, 1)
	for _, unit := range []float64{1e-60, 1, 1e60} {
		c := chance(t, two(n, n, 0, func(x, y float64) float64 { return unit * (4*math.Sqrt2 - x - y) }), reliability.Budget{Seed: 1})
		if len(c.Points) == 0 || math.Abs(c.Points[0].Distance-4) > 1e-6 {
			t.Errorf("%g: %+v", unit, c)
		}
	}
}

// TestNarrowDip: a dip that neither the grid nor the probe meets is missed, and every answer
// of a problem with ranges says that this may be.
func TestNarrowDip(t *testing.T) {
	p := reliability.Problem{
		Variables: []reliability.Variable{{Name: "x", Distribution: reliability.Normal(0, 1)}},
		Ranges:    []reliability.Range{{Name: "r", Low: -1, High: 1}},
		Limits:    []string{"g"},
		Margin: func(x, g []float64) error {
			g[0] = 3 - x[0]
			if math.Abs(x[1]-0.1234567) < 1e-7 {
				g[0] = -1
			}
			return nil
		},
	}
	s := compile(t, p)
	for _, limit := range []string{"g.worst", "g.best"} {
		c, err := s.Chance(context.Background(), limit, reliability.Budget{Seed: 1})
		if err != nil || !c.Notes.Has(reliability.NoteGridOnly) {
			t.Errorf("%s: %v, %v", limit, c.Notes, err)
		}
	}
	all, err := s.Sample(context.Background(), 1000, 1)
	if err != nil || !all[0].Notes.Has(reliability.NoteGridOnly) || !all[1].Notes.Has(reliability.NoteGridOnly) {
		t.Errorf("%+v, %v", all, err)
	}
	if c := chance(t, line(nil), reliability.Budget{Seed: 1}); c.Notes.Has(reliability.NoteGridOnly) {
		t.Errorf("without ranges: %v", c.Notes)
	}
}
