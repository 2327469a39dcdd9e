package reliability_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"example.com/steelyard/ballast/reliability"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/units"
)

// specification reads the example of a specification in testdata: picking bins off a
// trailer (invented).
func specification(t testing.TB) []byte {
	t.Helper()
	text, err := os.ReadFile("testdata/specification.json")
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// TestSpecification holds the answer to what the same lifting gives by hand.
func TestSpecification(t *testing.T) {
	s, err := reliability.DecodeSpecification(bytes.NewReader(specification(t)))
	if err != nil {
		t.Fatal(err)
	}
	s.Ranges, s.Limits, s.Indices = nil, []string{"tipping"}, 160
	got, err := s.Answer(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	l := reliability.Lifting{Setup: s.Base.Setup, Lift: s.Base.Lifts[0], Load: s.Load, Limits: s.Limits, Variables: []reliability.Variable{
		{Name: "load", Distribution: reliability.Normal(590, 25)},
		{Name: "lifts[0].load.center", Distribution: reliability.Triangular(0.45, 0.57, 0.75)},
		{Name: "setup.machine.cg.x", Distribution: reliability.Normal(0.86, 0.01)},
		{Name: "setup.loader.cylinders.pressure", Distribution: reliability.Empirical(17.4e6, 17.7e6, 17.9e6, 18.1e6, 18.2e6, 18.6e6)},
		{Name: "setup.pieces[0].mass", Distribution: reliability.Rectangular(190, 210)},
	}, Correlations: s.Correlations}
	c, err := lift(t, l).Chance(context.Background(), "tipping", s.Budget)
	if err != nil {
		t.Fatal(err)
	}
	o := got.Limits[0]
	if len(got.Limits) != 1 || o.Limit != "tipping" || o.Best != nil || o.Low != o.High || o.Deciding != "load" || len(o.Indices) != 4 {
		t.Errorf("%+v", o)
	}
	if math.Abs(float64(o.High/c.Probability)-1) > 0.02 {
		t.Errorf("%v, by hand %v", o.High, c.Probability)
	}
}

// TestSpecificationRefuses: each bad field is named by its path, at the reading or at the
// answer.
func TestSpecificationRefuses(t *testing.T) {
	good := string(specification(t))
	for path, c := range map[string][2]string{
		"variables[0].distribution.kind": {`"kind": "normal"`, `"kind": "gauss"`},
		"variables[0].distribution.sd":   {`"sd": 25`, `"sd": 0`},
		"variables[0].distribution.wide": {`"sd": 25`, `"wide": 25`},
		"variables[0].unit":              {`"unit": "kg"`, `"unit": "m"`},
		"variables[1].name":              {`"name": "lifts[0].load.center"`, `"name": "lifts[0].load.centre"`},
		"correlations[0].coefficient":    {`"coefficient": 0.5`, `"coefficient": 1.5`},
		"correlations[0].b":              {`"b": "lifts[0].load.center"`, `"b": "x"`},
		"marked[0]":                      {`"setup.pieces[0].mass"`, `"setup.pieces[7].mass"`},
		"ranges[0].high":                 {`"high": 16`, `"high": 1`},
		"budget.seed":                    {`"seed": 1`, `"seed": -1`},
		"budget.relativeError":           {`"relativeError": "5 %"`, `"relativeError": "90 %"`},
		"indices":                        {`"indices": 512`, `"indices": 513`},
		"limits[1]":                      {`"frontAxle"`, `"rear"`},
		"lift":                           {`"version": 1,`, `"version": 1, "lift": 3,`},
		"version":                        {`"version": 1,`, `"version": 2,`},
		"load":                           {`"load": "590 kg"`, `"load": "-1 kg"`},
		"base.setup.machine.wheelbase":   {`"wheelbase": "1.95 m"`, `"wheelbase": "-1.95 m"`},
		"tracks[0].trips[1]":             {`"marked"`, `"tracks": [{"names": ["lifts[0].slope"], "rows": [[0], [0.1]], "trips": [0, 2]}], "marked"`},
		"tracks[0].units":                {`"marked"`, `"tracks": [{"names": ["lifts[0].slope"], "units": ["deg", "deg"], "rows": [[0], [0.1]]}], "marked"`},
		"tracks[0].rows[1]":              {`"marked"`, `"tracks": [{"names": ["lifts[0].slope"], "rows": [[0], [0.1, 3]]}], "marked"`},
		"estimates[0].covariance":        {`"marked"`, `"estimates": [{"paths": ["machine.mass"], "mean": [2250], "covariance": [1, 2]}], "marked"`},
		"estimates[0].covariance[2]":     {`"marked"`, `"estimates": [{"paths": ["machine.mass", "machine.cg.z"], "mean": [2250, 0.7], "covariance": [1, 2, 2, 1]}], "marked"`},
		"variables[4].unit":              {`"correlations"`, `"nothing": 1, "correlations"`},
	} {
		text := strings.Replace(good, c[0], c[1], 1)
		if text == good {
			t.Errorf("%s: %s is not there", path, c[0])
			continue
		}
		s, err := reliability.DecodeSpecification(strings.NewReader(text))
		if err == nil {
			_, err = s.Answer(context.Background())
		}
		if path == "variables[4].unit" {
			path = "nothing"
		}
		if !errors.Is(err, units.ErrInvalid) {
			t.Errorf("%s: %v", path, err)
			continue
		}
		fieldtest.Names(t, path, err, path)
	}
}

// TestEstimate: inputs of an estimate vary together, and what has no variance stands still.
func TestEstimate(t *testing.T) {
	l := bins()
	l.Variables, l.Correlations, l.Limits = nil, nil, []string{"tipping"}
	l.Estimates = []reliability.Estimate{{
		Paths: []string{"machine.mass", "machine.cg.x", "machine.cg.z"}, Mean: []float64{2250, 0.86, 0.74},
		Covariance: []float64{400, 0.1, 0, 0.1, 25e-6, 0, 0, 0, 0},
	}}
	p, err := l.Problem()
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Variables) != 2 || len(p.Correlations) != 1 || math.Abs(p.Correlations[0].Coefficient-1) > 1e-8 {
		t.Errorf("%+v %+v", p.Variables, p.Correlations)
	}
	if p.Variables[1].Mean != 0.86 || math.Abs(p.Variables[1].SD-0.005) > 1e-12 {
		t.Errorf("%+v", p.Variables[1])
	}
	s := compile(t, p)
	// Fully correlated, the spread of the margin is the sum of both parts.
	spread := linear(t, s)[0]
	if want := math.Abs(spread.Parts[0] + spread.Parts[1]); math.Abs(spread.SD-want) > 1e-6*want {
		t.Errorf("spread %v, want %v", spread.SD, want)
	}
}

// line is a margin u - x - slope over trips, of which the chance is known: with a normal x
// a trip is broken with Phi(greatest slope - u).
func line(trips []int) reliability.Problem {
	rows := [][]float64{{0}, {1}, {0.5}, {2}, {0}, {-1}}
	return reliability.Problem{
		Variables: []reliability.Variable{{Name: "x", Distribution: reliability.Normal(0, 1)}, {Name: "y", Distribution: reliability.Normal(0, 1)}},
		Tracks:    []reliability.Track{{Names: []string{"slope"}, Rows: rows, Trips: trips}},
		Limits:    []string{"g"},
		Margin:    func(x, g []float64) error { g[0] = 6 - x[0] - x[2]; return nil },
	}
}

// TestTrackPoints: a row has a design point, a trip that of its worst row, and the chance
// is the mean of both in closed form.
func TestTrackPoints(t *testing.T) {
	tail := func(x float64) float64 { return 0.5 * math.Erfc(x/math.Sqrt2) }
	for _, c := range []struct {
		trips []int
		want  float64
		near  int
	}{
		{nil, (2*tail(6) + tail(5) + tail(5.5) + tail(4) + tail(7)) / 6, 3},
		{[]int{0, 3, 5}, (tail(5) + tail(4) + tail(7)) / 3, 1},
	} {
		s := compile(t, line(c.trips))
		inside := 0
		for seed := range uint64(20) {
			got, err := s.Chance(context.Background(), "g", reliability.Budget{Seed: seed})
			if err != nil {
				t.Fatal(err)
			}
			if got.Interval.Contains(units.Fraction(c.want)) {
				inside++
			}
			if math.Abs(float64(got.FirstOrder)/c.want-1) > 1e-6 || got.Points[0].Units[0] != c.near || math.Abs(got.Points[0].Distance-4) > 1e-6 || got.Notes != 0 {
				t.Errorf("%v: first order %v, want %v; %+v, %v", c.trips, got.FirstOrder, c.want, got.Points[0], got.Notes)
			}
			if i, share := got.Deciding(); i != 0 || math.Abs(float64(share)-1) > 1e-6 {
				t.Errorf("variable %d decides with %v", i, share)
			}
		}
		if inside < 16 {
			t.Errorf("%v: %d of 20 intervals hold %g", c.trips, inside, c.want)
		}
	}
	p := line([]int{1, 3})
	p.Tracks = append(p.Tracks, reliability.Track{Names: []string{"b"}, Rows: [][]float64{{0}}, Trips: []int{0}})
	_, err := p.Compile()
	fieldtest.Names(t, "trips", err, "tracks[0].trips[0]")
	fieldtest.Names(t, "trips", err, "tracks[1].trips")
	_, err = compile(t, line([]int{0})).Linear(context.Background())
	fieldtest.Names(t, "linear", err, "tracks[0].trips")
}

// TestRanges: the chance at the worst and at the best of a range, in closed form, and the
// note where the worst lies between its ends.
func TestRanges(t *testing.T) {
	tail := func(x float64) float64 { return 0.5 * math.Erfc(x/math.Sqrt2) }
	for _, c := range []struct {
		name        string
		g           func(x, r float64) float64
		worst, best float64
		inside      bool
	}{
		{"monotone", func(x, r float64) float64 { return 3 - x - r }, tail(2), tail(4), false},
		{"hump", func(x, r float64) float64 { return 2 + r*r - x }, tail(2), tail(3), true},
	} {
		p := reliability.Problem{
			Variables: []reliability.Variable{{Name: "x", Distribution: reliability.Normal(0, 1)}},
			Ranges:    []reliability.Range{{Name: "r", Low: -1, High: 1}},
			Limits:    []string{"g"},
			Margin:    func(x, g []float64) error { g[0] = c.g(x[0], x[1]); return nil },
		}
		s := compile(t, p)
		for limit, want := range map[string]float64{"g.worst": c.worst, "g.best": c.best} {
			got, err := s.Chance(context.Background(), limit, reliability.Budget{Seed: 3, RelativeError: 0.02})
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(float64(got.Probability)/want-1) > 0.08 {
				t.Errorf("%s %s: %+v, want %v", c.name, limit, got, want)
			}
			if got.Notes.Has(reliability.NoteInsideRange) != (c.inside && limit == "g.worst") {
				t.Errorf("%s %s: %v", c.name, limit, got.Notes)
			}
		}
	}
}

// TestSobolGroups: correlated variables are one group, whose index is the share of its
// variance.
func TestSobolGroups(t *testing.T) {
	p := two(reliability.Normal(0, 1), reliability.Normal(0, 1), 0.5, nil)
	p.Variables = append(p.Variables, reliability.Variable{Name: "c", Distribution: reliability.Normal(0, 1)})
	p.Margin = func(x, g []float64) error { g[0] = 100 + x[0] + x[1] + x[2]; return nil }
	got, err := compile(t, p).Sobol(context.Background(), 16384, 1)
	if err != nil {
		t.Fatal(err)
	}
	// variance of a + b with r = 0.5 is 3, of c 1
	if len(got) != 2 || got[0].Variable != "a + b" || math.Abs(got[0].First-0.75) > 0.02 || math.Abs(got[0].Total-0.75) > 0.02 || math.Abs(got[1].First-0.25) > 0.02 {
		t.Errorf("%+v", got)
	}
}

// TestContext: what takes long ends with its context, also between the rows of trips.
func TestContext(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	p := line([]int{0, 3})
	calls := 0
	p.Margin = func(x, g []float64) error {
		if calls++; calls == 500 {
			stop()
		}
		g[0] = 6 - x[0] - x[2]
		return nil
	}
	s := compile(t, p)
	if _, err := s.DesignPoints(ctx, "g", 1); !errors.Is(err, context.Canceled) || calls > 1000 {
		t.Errorf("%v after %d calls", err, calls)
	}
	if _, err := compile(t, two(reliability.Normal(0, 1), reliability.Normal(0, 1), 0, func(x, y float64) float64 { return x })).Linear(ctx); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

func FuzzDecodeSpecification(f *testing.F) {
	text := specification(f)
	f.Add(text)
	f.Add([]byte(`{"version": 1, "tracks": [{"names": ["a"], "rows": [[1]], "trips": [0, 5]}]}`))
	f.Add(bytes.Replace(text, []byte(`"mean": 590`), []byte(`"mean": 1e99`), 1))
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := reliability.DecodeSpecification(bytes.NewReader(text))
		if err != nil {
			return
		}
		if len(s.Variables) > 20 || len(s.Tracks) > 3 {
			return
		}
		s.Budget.Calls, s.Indices = 1000, 0
		ctx, stop := context.WithTimeout(context.Background(), 2*time.Second)
		defer stop()
		r, err := s.Answer(ctx)
		if err != nil {
			return
		}
		if _, err := json.Marshal(r); err != nil {
			t.Error(err) // a number that is none
		}
		for _, o := range r.Limits {
			if !(o.Low >= 0 && o.Low <= o.High && o.High <= 1) || !(o.Interval.Low <= o.Interval.High) {
				t.Errorf("%+v", o)
			}
		}
	})
}

// TestStep: at a step the margin leads nowhere; the interval still holds the chance.
func TestStep(t *testing.T) {
	n := reliability.Normal(0, 1)
	want := 0.5 * math.Erfc(3.5/math.Sqrt2)
	for name, g := range map[string]func(x, y float64) float64{
		"two values": func(x, y float64) float64 {
			if x > 3.5 {
				return -1
			}
			return 1
		},
		"flat until near": func(x, y float64) float64 {
			if x > 3 {
				return 3.5 - x
			}
			return 0.5
		},
	} {
		inside := 0
		for seed := range uint64(10) {
			if c := chance(t, two(n, n, 0, g), reliability.Budget{Seed: seed}); c.Interval.Contains(units.Fraction(want)) {
				inside++
			}
		}
		if inside < 8 {
			t.Errorf("%s: %d of 10 intervals hold %g", name, inside, want)
		}
	}
}
