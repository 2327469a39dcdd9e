package reliability_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"example.com/steelyard/ballast/reliability"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/units"
)

// TestManyRegions: where failure has more regions than there are starts for design points,
// importance sampling around some of them leaves out a part, and has to give way. The
// chance that one of n independent planes at the distance b is crossed is
// 1 - (1 - Phi(-b))^n. The last problem has a second region that first order does not see.
func TestManyRegions(t *testing.T) {
	tail := func(x float64) float64 { return 0.5 * math.Erfc(x/math.Sqrt2) }
	for _, c := range []struct {
		name string
		n    int
		g    func(x []float64) float64
		want float64
	}{
		{"ten planes", 10, func(x []float64) float64 {
			g := math.Inf(1)
			for _, v := range x {
				g = min(g, 4-v)
			}
			return g
		}, -math.Expm1(10 * math.Log1p(-tail(4)))},
		{"twelve planes on both sides", 12, func(x []float64) float64 {
			g := math.Inf(1)
			for _, v := range x {
				g = min(g, 3.8-math.Abs(v))
			}
			return g
		}, -math.Expm1(12 * math.Log1p(-2*tail(3.8)))},
		{"a plane and a corner", 3, func(x []float64) float64 {
			return min(4-x[0], max(3.2-x[1], 1-x[2]))
		}, tail(4) + tail(3.2)*tail(1) - tail(4)*tail(3.2)*tail(1)},
	} {
		p := reliability.Problem{Limits: []string{"g"}, Margin: func(x, g []float64) error { g[0] = c.g(x); return nil }}
		for i := range c.n {
			p.Variables = append(p.Variables, reliability.Variable{Name: string(rune('a' + i)), Distribution: reliability.Normal(0, 1)})
		}
		inside := 0
		for seed := range uint64(20) {
			if got := chance(t, p, reliability.Budget{Seed: seed}); got.Interval.Contains(units.Fraction(c.want)) {
				inside++
			}
		}
		if least := leastInside(20); inside < least {
			t.Errorf("%s: %d of 20 intervals hold %g, want %d", c.name, inside, c.want, least)
		}
	}
}

// TestProbe: a dip between the values of a range that the grid looks at is noted, at the
// medians and at a design point; a margin without one is not noted.
func TestProbe(t *testing.T) {
	for _, c := range []struct {
		name string
		g    func(x, r, q float64) float64
		two  bool
		want bool
	}{
		{"none", func(x, r, q float64) float64 { return 3 - x - r }, false, false},
		{"everywhere", func(x, r, q float64) float64 { return 3 - x - math.Exp(-math.Pow((r-0.3)/0.02, 2)) }, false, true},
		{"near failure only", func(x, r, q float64) float64 { return 3 - x - math.Exp(-math.Pow((r-0.3)/0.02, 2))*max(0, x-2) }, false, true},
		{"none in two", func(x, r, q float64) float64 { return 3 - x - r*q }, true, false},
		{"in two", func(x, r, q float64) float64 {
			return 3 - x - math.Exp(-math.Pow((r-0.3)/0.1, 2)-math.Pow((q+0.2)/0.1, 2))
		}, true, true},
	} {
		p := reliability.Problem{
			Variables: []reliability.Variable{{Name: "x", Distribution: reliability.Normal(0, 1)}},
			Ranges:    []reliability.Range{{Name: "r", Low: -1, High: 1}},
			Limits:    []string{"g"},
			Margin: func(x, g []float64) error {
				q := 0.0
				if c.two {
					q = x[2]
				}
				g[0] = c.g(x[0], x[1], q)
				return nil
			},
		}
		if c.two {
			p.Ranges = append(p.Ranges, reliability.Range{Name: "q", Low: -1, High: 1})
		}
		got, err := compile(t, p).Chance(context.Background(), "g.worst", reliability.Budget{Seed: 1})
		if err != nil || got.Notes.Has(reliability.NoteInsideRange) != c.want {
			t.Errorf("%s: %v, %v", c.name, got.Notes, err)
		}
	}
}

// TestNotSeen: a limit that no draw breaks has not used up its calls, and is not said to.
func TestNotSeen(t *testing.T) {
	n := reliability.Normal(0, 1)
	c := chance(t, two(n, n, 0, func(x, y float64) float64 { return 40 - x - y }), reliability.Budget{})
	if c.Probability != 0 || !c.Notes.Has(reliability.NoteNotSeen) || c.Notes.Has(reliability.NoteBudgetSpent) {
		t.Errorf("%+v", c)
	}
}

// TestSpecificationIncomplete: numbers that are forgotten are not zero, names that are given
// twice are named where they stand, and loads that cannot be are refused.
func TestSpecificationIncomplete(t *testing.T) {
	good := string(specification(t))
	estimate := `"marked": ["setup.pieces[0].mass"], "estimates": [{"paths": ["machine.mass", "X"], "mean": [2250, 0.5], "covariance": [100, 0, 0, V]}]`
	inEstimate := func(path, variance string) string {
		return strings.NewReplacer("X", path, "V", variance).Replace(estimate)
	}
	marked := "\"marked\": [\n    \"setup.pieces[0].mass\"\n  ]"
	for _, c := range []struct{ path, old, new string }{
		{"variables[0].distribution.mean", `"mean": 590,`, ``},
		{"variables[1].distribution.low", `"low": 45,`, ``},
		{"variables[1].distribution.mode", `"mode": 57,`, ``},
		{"correlations[1].coefficient", `"b": "lifts[0].load.center",`, `"b": "lifts[0].load.center"}, {"a": "load", "b": "setup.machine.cg.x"}, {"a": "setup.machine.cg.x", "b": "lifts[0].load.center",`},
		{"ranges[0].low", `"low": 12,`, ``},
		{"variables[2].name", `"name": "setup.machine.cg.x"`, `"name": "lifts[0].load.center"`},
		{"ranges[0].name", `"setup.attachment.face"`, `"setup.machine.cg.x"`},
		{"marked[1]", marked, `"marked": ["setup.pieces[0].mass", "setup.pieces[0].mass"]`},
		{"estimates[0].paths[1]", marked, inEstimate("machine.cg.x", "1e-4")},
		{"estimates[0].paths[1]", marked, inEstimate("machine.cg.x", "0")},
		{"estimates[0].paths[1]", marked, inEstimate("machine.cgx", "1e-4")},
		{"estimates[0].paths[1]", marked, inEstimate("machine.mass", "1e-4")},
		{"friction", `"version": 1,`, `"version": 1, "friction": "-1 %",`},
		{"friction", `"version": 1,`, `"version": 1, "friction": "900 %",`},
		{"load", `"mean": 590`, `"mean": 1e99`},
		{"load", `"sd": 25`, `"sd": 400`},
	} {
		text := strings.Replace(good, c.old, c.new, 1)
		if text == good {
			t.Errorf("%s: %s is not there", c.path, c.old)
			continue
		}
		s, err := reliability.DecodeSpecification(strings.NewReader(text))
		if err == nil {
			_, err = s.Answer(context.Background())
		}
		if !errors.Is(err, units.ErrInvalid) {
			t.Errorf("%s: %v", c.path, err)
			continue
		}
		fieldtest.Names(t, c.path, err, c.path)
	}
}

// TestCallsAreKept: trips of many rows do not cost more than they may, apart from a last
// design point and the first draws.
func TestCallsAreKept(t *testing.T) {
	rows := make([][]float64, 40)
	for i := range rows {
		rows[i] = []float64{math.Sin(float64(i))}
	}
	p := line(nil)
	p.Tracks = []reliability.Track{{Names: []string{"slope"}, Rows: rows, Trips: []int{0, 20}}}
	for _, most := range []int{60_000, 200_000, 2_000_000} {
		c := chance(t, p, reliability.Budget{Calls: most, Seed: 1})
		if float64(c.Calls) > 1.1*float64(most) {
			t.Errorf("%d calls of %d: %v", c.Calls, most, c.Method)
		}
	}
}
