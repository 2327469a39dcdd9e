package reliability_test

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/steelyard/ballast/reliability"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/units"
	"gonum.org/v1/gonum/stat/distuv"
)

// value returns the value of one variable where the standard normal share is p.
func quantile(t *testing.T, d reliability.Distribution, p float64) float64 {
	t.Helper()
	return reliability.Quantile(d, distuv.UnitNormal.Quantile(p))
}

// TestQuantiles holds the distributions to gonum's.
func TestQuantiles(t *testing.T) {
	variance := math.Log1p(0.04)
	for _, c := range []struct {
		name string
		d    reliability.Distribution
		want interface{ Quantile(float64) float64 }
	}{
		{"normal", reliability.Normal(3, 2), distuv.Normal{Mu: 3, Sigma: 2}},
		{"lognormal", reliability.Lognormal(50, 10), distuv.LogNormal{Mu: math.Log(50) - variance/2, Sigma: math.Sqrt(variance)}},
		{"triangular", reliability.Triangular(-1, 2, 4), distuv.NewTriangle(-1, 4, 2, nil)},
		{"triangular, mode at the low end", reliability.Triangular(0, 0, 1), distuv.NewTriangle(0, 1, 0, nil)},
		{"rectangular", reliability.Rectangular(-2, 5), distuv.Uniform{Min: -2, Max: 5}},
		{"exponential", reliability.Exponential(4), distuv.Exponential{Rate: 0.25}},
	} {
		for _, p := range []float64{1e-9, 1e-4, 0.02, 0.3, 0.5, 0.6, 0.9, 0.999, 1 - 1e-9} {
			if got, want := quantile(t, c.d, p), c.want.Quantile(p); math.Abs(got-want) > 1e-6*max(1, math.Abs(want)) {
				t.Errorf("%s at %v: %v, gonum %v", c.name, p, got, want)
			}
		}
	}
	// An exponential tail: a score of 10 leaves 7.62e-24 above it.
	if got, want := reliability.Quantile(reliability.Exponential(1), 10), 53.2313; math.Abs(got-want) > 1e-3 {
		t.Errorf("exponential at a score of 10: %v, want %v", got, want)
	}
	e := reliability.Empirical(4, 1, 2)
	for _, c := range []struct{ p, want float64 }{{0.01, 1}, {1.0 / 6, 1}, {1.0 / 3, 1.5}, {0.5, 2}, {2.0 / 3, 3}, {0.99, 4}} {
		if got := quantile(t, e, c.p); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("empirical at %v: %v, want %v", c.p, got, c.want)
		}
	}
}

// TestMoments holds means and standard deviations to those of draws.
func TestMoments(t *testing.T) {
	for _, d := range []reliability.Distribution{
		reliability.Normal(3, 2), reliability.Lognormal(50, 10), reliability.Triangular(-1, 2, 4), reliability.Rectangular(-2, 5),
		reliability.Exponential(4), reliability.Empirical(4, 1, 2, 2, 9),
	} {
		s := compile(t, reliability.Problem{Variables: []reliability.Variable{{Name: "x", Distribution: d}}, Limits: []string{"y"}, Margin: func(x, g []float64) error { g[0] = x[0]; return nil }})
		l, o := linear(t, s)[0], sampled(t, s, 400_000)[0]
		if math.Abs(l.Value-o.Mean) > 5*o.SD/math.Sqrt(400_000) || math.Abs(l.SD/o.SD-1) > 0.02 || o.Notes != 0 {
			t.Errorf("%v: mean %v and %v, sd %v and %v, %v", d.Kind, l.Value, o.Mean, l.SD, o.SD, o.Notes)
		}
	}
}

// TestWilson holds the interval to rows of table I of R. G. Newcombe, Two-sided
// confidence intervals for the single proportion, Statistics in Medicine 17, 1998 (from
// memory).
func TestWilson(t *testing.T) {
	for _, c := range []struct {
		f, n      int
		low, high float64
	}{{81, 263, 0.2553, 0.3662}, {15, 148, 0.0624, 0.1605}, {0, 20, 0, 0.1611}, {1, 29, 0.0061, 0.1718}, {20, 20, 1 - 0.1611, 1}} {
		low, high := reliability.Wilson(c.f, c.n)
		if math.Abs(low-c.low) > 5.1e-5 || math.Abs(high-c.high) > 5.1e-5 {
			t.Errorf("%d of %d: %.4f to %.4f, printed %.4f to %.4f", c.f, c.n, low, high, c.low, c.high)
		}
	}
}

// two returns a problem of two variables.
func two(a, b reliability.Distribution, r float64, margin func(x, y float64) float64) reliability.Problem {
	p := reliability.Problem{
		Variables: []reliability.Variable{{Name: "a", Distribution: a}, {Name: "b", Distribution: b}},
		Limits:    []string{"g"}, Margin: func(x, g []float64) error { g[0] = margin(x[0], x[1]); return nil },
	}
	if r != 0 {
		p.Correlations = []reliability.Correlation{{A: "a", B: "b", Coefficient: r}}
	}
	return p
}

func chance(t *testing.T, p reliability.Problem, b reliability.Budget) reliability.Chance {
	t.Helper()
	c, err := compile(t, p).Chance(context.Background(), "g", b)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// TestCopula: with correlated scores both variables lie below their medians in the share
// 1/4 + asin(r)/(2 pi), whatever their distributions (W. F. Sheppard, Phil. Trans. A 192,
// 1899).
func TestCopula(t *testing.T) {
	for _, r := range []float64{-0.7, 0.3, 0.9} {
		p := two(reliability.Exponential(1), reliability.Rectangular(-1, 1), r, func(x, y float64) float64 { return max(x-math.Ln2, y) })
		c := chance(t, p, reliability.Budget{RelativeError: 0.01, Seed: 3})
		want := 0.25 + math.Asin(r)/(2*math.Pi)
		if math.Abs(float64(c.Probability)/want-1) > 0.04 {
			t.Errorf("r %v: %v, want %v", r, c.Probability, want)
		}
	}
}

// TestImportanceOfCorrelated: the margin of a plane a x + b y of correlated normal
// variables has the deviation of the sum, and its importance is that of the terms
// along the scores.
func TestImportanceOfCorrelated(t *testing.T) {
	r := 0.6
	p := two(reliability.Normal(0, 2), reliability.Normal(0, 1), r, func(x, y float64) float64 { return 9 - x - y })
	points, err := compile(t, p).DesignPoints(t.Context(), "g", 1)
	if err != nil || len(points) != 1 {
		t.Fatal(points, err)
	}
	sd := math.Sqrt(4 + 1 + 2*r*2)
	if d := points[0].Distance; math.Abs(d-9/sd) > 1e-8 {
		t.Errorf("distance %v, want %v", d, 9/sd)
	}
	// The gradient along the scores is (2, 1).
	if i := points[0].Importance; math.Abs(i[0]-0.8) > 1e-6 || math.Abs(i[1]-0.2) > 1e-6 {
		t.Errorf("importance %v, want 0.8 and 0.2", i)
	}
	if c := chance(t, p, reliability.Budget{Seed: 1}); c.Method != reliability.ImportanceSampling || math.Abs(float64(c.Probability)/(0.5*math.Erfc(9/sd/math.Sqrt2))-1) > 0.15 {
		t.Errorf("chance %+v", c)
	}
}

// TestTracks: a track is drawn by whole rows. Slope and heading of one row belong
// together, so that the sum is 1 in every row.
func TestTracks(t *testing.T) {
	rows := make([][]float64, 100)
	for i := range rows {
		rows[i] = []float64{float64(i) / 100, 1 - float64(i)/100}
	}
	p := reliability.Problem{
		Variables: []reliability.Variable{{Name: "v", Distribution: reliability.Normal(0, 1)}},
		Tracks:    []reliability.Track{{Names: []string{"slope", "heading"}, Rows: rows}},
		Limits:    []string{"g", "whole"},
		Margin: func(x, g []float64) error {
			g[0] = x[1] - 0.255 // 26 of 100 rows
			g[1] = 0.01 - math.Abs(x[1]+x[2]-1)
			return nil
		},
	}
	s := compile(t, p)
	all, err := s.Sample(context.Background(), 100_000, 1)
	if err != nil {
		t.Fatal(err)
	}
	if !all[0].Interval.Contains(0.26) || all[1].Probability != 0 || !all[1].Notes.Has(reliability.NoteNotSeen) {
		t.Errorf("%+v", all)
	}
	c, err := s.Chance(context.Background(), "g", reliability.Budget{Seed: 1})
	if err != nil || !c.Interval.Contains(0.26) || !c.Notes.Has(reliability.NoteNoDesignPoint) {
		t.Errorf("%+v, %v", c, err)
	}
	l := linear(t, s)[1]
	if l.SD > 1e-9 { // the column's spreads cancel to the margin's kink
		t.Errorf("a sum that never varies has the spread %v", l.SD)
	}
}

// TestMirrored: turning every variable and the margin's signs round changes no chance.
func TestMirrored(t *testing.T) {
	g := func(x, y float64) float64 { return 5 - x - y*y/4 }
	a := chance(t, two(reliability.Normal(1, 1), reliability.Normal(0, 1), 0.4, g), reliability.Budget{Seed: 1})
	b := chance(t, two(reliability.Normal(-1, 1), reliability.Normal(0, 1), -0.4, func(x, y float64) float64 { return g(-x, y) }), reliability.Budget{Seed: 2})
	if math.Abs(a.Points[0].Distance-b.Points[0].Distance) > 1e-7 || a.Interval.Low > b.Interval.High || b.Interval.Low > a.Interval.High {
		t.Errorf("%+v\n%+v", a, b)
	}
}

// TestEqual: equal problems, budgets and seeds give equal answers; another seed another.
func TestEqual(t *testing.T) {
	p := two(reliability.Lognormal(10, 2), reliability.Exponential(1), 0.5, func(x, y float64) float64 { return x - 2*y })
	show := func(seed uint64) string {
		b, err := json.Marshal(chance(t, p, reliability.Budget{Seed: seed}))
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	first, again, other := show(1), show(1), show(2)
	if first != again || first == other {
		t.Errorf("%s\n%s\n%s", first, again, other)
	}
}

// TestExtremes: what never fails, what always fails and what has no gradient ends with
// an answer that says so.
func TestExtremes(t *testing.T) {
	n := reliability.Normal(0, 1)
	never := chance(t, two(n, n, 0, func(x, y float64) float64 { return 1 }), reliability.Budget{Seed: 1})
	if never.Probability != 0 || never.Interval.Low != 0 || never.Interval.High > 1e-3 || !never.Notes.Has(reliability.NoteNotSeen|reliability.NoteNoDesignPoint) {
		t.Errorf("never: %+v", never)
	}
	always := chance(t, two(n, n, 0, func(x, y float64) float64 { return math.Inf(-1) }), reliability.Budget{Seed: 1})
	if always.Probability != 1 || always.Interval.High != 1 {
		t.Errorf("always: %+v", always)
	}
	mostly := chance(t, two(n, n, 0, func(x, y float64) float64 { return -1 - x }), reliability.Budget{Seed: 1})
	if len(mostly.Points) == 0 || math.Abs(mostly.Points[0].Distance+1) > 1e-9 || mostly.Notes != 0 {
		t.Errorf("mostly: %+v", mostly)
	}
	steps := chance(t, two(n, n, 0, func(x, y float64) float64 { return 4 - math.Floor(x) }), reliability.Budget{Seed: 1})
	if want := 0.5 * math.Erfc(5/math.Sqrt2); !(float64(steps.Interval.Low) <= want && want <= float64(steps.Interval.High)) {
		t.Errorf("steps: %+v, want %v", steps, want)
	}
	_, err := compile(t, two(n, n, 0, func(x, y float64) float64 { return math.NaN() })).Chance(context.Background(), "g", reliability.Budget{})
	if !errors.Is(err, reliability.ErrMargin) {
		t.Errorf("not a number: %v", err)
	}
}

// TestStopped: an ended context gives what there is, or its error.
func TestStopped(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	calls := 0
	n := reliability.Normal(0, 1)
	p := two(n, n, 0, func(x, y float64) float64 {
		if calls++; calls == 2500 {
			stop()
		}
		return 1 - x
	})
	s := compile(t, p)
	c, err := s.Chance(ctx, "g", reliability.Budget{Seed: 1})
	if err != nil || !c.Notes.Has(reliability.NoteStopped) || c.Calls < 2500 || c.Calls > 3500 || !c.Interval.Contains(0.16) {
		t.Errorf("%+v, %v", c, err)
	}
	all, err := s.Sample(ctx, 1000, 1)
	if err != nil || len(all) != 1 || all[0].Calls != 0 || all[0].Interval.High != 1 || !all[0].Notes.Has(reliability.NoteStopped) {
		t.Errorf("%+v, %v", all, err)
	}
	if _, err := s.Propagate(ctx, 1000, 1); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	if _, err := s.Sobol(ctx, 160, 1); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// TestBadFields: each bad field is named by its path.
func TestBadFields(t *testing.T) {
	n := reliability.Normal(0, 1)
	good := func() reliability.Problem { return two(n, n, 0.5, func(x, y float64) float64 { return x }) }
	for path, spoil := range map[string]func(p *reliability.Problem){
		"variables":                           func(p *reliability.Problem) { p.Variables = nil; p.Correlations = nil },
		"variables[1].name":                   func(p *reliability.Problem) { p.Variables[1].Name = "a"; p.Correlations = nil },
		"variables[0].distribution.kind":      func(p *reliability.Problem) { p.Variables[0].Kind = 0 },
		"variables[0].distribution.mean":      func(p *reliability.Problem) { p.Variables[0].Mean = math.NaN() },
		"variables[0].distribution.sd":        func(p *reliability.Problem) { p.Variables[0].SD = -1 },
		"variables[0].distribution.low":       func(p *reliability.Problem) { p.Variables[0].Low = 1 },
		"variables[0].distribution.high":      func(p *reliability.Problem) { p.Variables[0].Distribution = reliability.Rectangular(2, 2) },
		"variables[0].distribution.mode":      func(p *reliability.Problem) { p.Variables[0].Distribution = reliability.Triangular(0, 3, 2) },
		"variables[0].distribution.values":    func(p *reliability.Problem) { p.Variables[0].Distribution = reliability.Empirical(1, 1) },
		"variables[0].distribution.values[1]": func(p *reliability.Problem) { p.Variables[0].Distribution = reliability.Empirical(1, math.Inf(1)) },
		"correlations[0].a":                   func(p *reliability.Problem) { p.Correlations[0].A = "c" },
		"correlations[0].b":                   func(p *reliability.Problem) { p.Correlations[0].B = "a" },
		"correlations[0].coefficient":         func(p *reliability.Problem) { p.Correlations[0].Coefficient = 1 },
		"correlations[1]":                     func(p *reliability.Problem) { p.Correlations = append(p.Correlations, p.Correlations[0]) },
		"tracks[0].rows":                      func(p *reliability.Problem) { p.Tracks = []reliability.Track{{Names: []string{"t"}}} },
		"tracks[0].names":                     func(p *reliability.Problem) { p.Tracks = []reliability.Track{{Rows: [][]float64{{}}}} },
		"tracks[0].rows[1]": func(p *reliability.Problem) {
			p.Tracks = []reliability.Track{{Names: []string{"t"}, Rows: [][]float64{{1}, {}}}}
		},
		"tracks[0].rows[0][0]": func(p *reliability.Problem) {
			p.Tracks = []reliability.Track{{Names: []string{"t"}, Rows: [][]float64{{math.NaN()}}}}
		},
		"limits":    func(p *reliability.Problem) { p.Limits = nil },
		"limits[1]": func(p *reliability.Problem) { p.Limits = []string{"g", "g"} },
		"margin":    func(p *reliability.Problem) { p.Margin = nil },
	} {
		p := good()
		spoil(&p)
		_, err := p.Compile()
		if !errors.Is(err, units.ErrInvalid) {
			t.Errorf("%s: %v", path, err)
		}
		fieldtest.Names(t, path, err, path)
	}
	p := good()
	p.Variables = append(p.Variables, reliability.Variable{Name: "c", Distribution: n})
	p.Correlations = []reliability.Correlation{{A: "a", B: "b", Coefficient: 0.9}, {A: "b", B: "c", Coefficient: 0.9}, {A: "a", B: "c", Coefficient: -0.9}}
	_, err := p.Compile()
	fieldtest.Names(t, "contradicting correlations", err, "correlations")
	s := compile(t, good())
	_, err = s.Chance(context.Background(), "none", reliability.Budget{})
	fieldtest.Names(t, "limit", err, "limit")
	_, err = s.Chance(context.Background(), "g", reliability.Budget{RelativeError: 2, Calls: 1})
	fieldtest.Names(t, "budget", err, "relativeError")
	fieldtest.Names(t, "budget", err, "calls")
	_, err = s.Sobol(context.Background(), 161, 1)
	fieldtest.Names(t, "sobol", err, "n")
	_, _, err = reliability.FromCovariance([]string{"a", "b"}, []float64{1, 2}, [][]float64{{1, 0}, {0, 0}})
	fieldtest.Names(t, "covariance", err, "covariance[1][1]")
}

// FuzzChance: whatever the distributions, no answer holds a number that is none.
func FuzzChance(f *testing.F) {
	f.Add(uint8(1), 1.0, 2.0, 0.0, 0.0, 0.0, 0.5, 3.0, uint64(1))
	f.Add(uint8(3), 0.0, 0.0, 1.0, 4.0, 2.0, -0.9, -1.0, uint64(2))
	f.Add(uint8(6), 1e90, 1e-90, 1.0, 4.0, 2.0, 0.0, 1e99, uint64(3))
	f.Fuzz(func(t *testing.T, kind uint8, mean, sd, low, high, mode, r, c float64, seed uint64) {
		d := reliability.Distribution{Kind: reliability.DistributionKind(kind % 8)}
		switch d.Kind {
		case reliability.NormalKind, reliability.LognormalKind:
			d.Mean, d.SD = mean, sd
		case reliability.ExponentialKind:
			d.Mean = mean
		case reliability.TriangularKind:
			d.Low, d.Mode, d.High = low, mode, high
		case reliability.RectangularKind:
			d.Low, d.High = low, high
		case reliability.EmpiricalKind:
			d.Values = []float64{mean, sd, low, high, mode}
		}
		p := two(d, reliability.Normal(0, 1), r, func(x, y float64) float64 { return c - x*y })
		s, err := p.Compile()
		if err != nil {
			if !errors.Is(err, units.ErrInvalid) {
				t.Fatal(err)
			}
			return
		}
		got, err := s.Chance(context.Background(), "g", reliability.Budget{Calls: 2000, Seed: seed})
		if err != nil {
			if !errors.Is(err, reliability.ErrMargin) {
				t.Fatal(err)
			}
			return
		}
		if got.Probability < 0 || got.Probability > 1 || got.Interval.Low > got.Probability || got.Interval.High < got.Probability {
			t.Fatalf("%+v", got)
		}
		l, err := s.Linear(context.Background())
		if err != nil && !errors.Is(err, reliability.ErrMargin) {
			t.Fatal(err)
		}
		for _, v := range []any{got, l} {
			if _, err := json.Marshal(v); err != nil {
				t.Fatalf("%v: %+v", err, v)
			}
		}
	})
}

func BenchmarkChance(b *testing.B) {
	n := rand.New(rand.NewPCG(1, 1))
	for name, g := range benchmarks() {
		b.Run(name, func(b *testing.B) {
			s := g.study(b)
			for b.Loop() {
				if _, err := s.Chance(context.Background(), "g", reliability.Budget{Seed: n.Uint64()}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// A context that is done ends everything with an error that wraps its cause; a nil context
// never ends.
func TestContexts(t *testing.T) {
	s := compile(t, two(reliability.Normal(0, 1), reliability.Normal(0, 1), 0, func(x, y float64) float64 { return 3 - x - y }))
	calls := map[string]func(context.Context) error{
		"designPoints": func(ctx context.Context) error { _, err := s.DesignPoints(ctx, "g", 1); return err },
		"linear":       func(ctx context.Context) error { _, err := s.Linear(ctx); return err },
		"sobol":        func(ctx context.Context) error { _, err := s.Sobol(ctx, 160, 1); return err },
	}
	done, cancel := context.WithCancel(t.Context())
	cancel()
	for name, call := range calls {
		if err := call(done); !errors.Is(err, context.Canceled) || !strings.HasPrefix(err.Error(), "reliability: ") {
			t.Errorf("%s: %v", name, err)
		}
		if err := call(nil); err != nil {
			t.Errorf("%s without a context: %v", name, err)
		}
	}
	var none context.Context
	if c, err := s.Chance(none, "g", reliability.Budget{}); err != nil || !(c.Probability > 0) {
		t.Error(c, err)
	}
}
