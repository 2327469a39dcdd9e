package main

import (
	"context"
	"fmt"
	"math"
	"sync/atomic"
	"testing"
)

// function makes an evaluator of a function of the factors.
type function func(x, y []float64) error

func (f function) evaluate(x, y []float64) error { return f(x, y) }

// ishigami is the function of Ishigami and Homma (1990) with a = 7, b = 0.1.
func ishigami(x, y []float64) error {
	s := math.Sin(x[1])
	y[0] = math.Sin(x[0]) + 7*s*s + 0.1*math.Pow(x[2], 4)*math.Sin(x[0])
	return nil
}

func ishigamiJob(t testing.TB, kind planKind, samples int64) *job {
	factors := unitFactors(3)
	for i := range factors {
		factors[i].quantile = between(-math.Pi, math.Pi)
	}
	return newJob(mustPlan(t, kind, samples, 1, nil, 3), factors, []output{{name: "f"}},
		func() (evaluator, error) { return function(ishigami), nil })
}

func allChunks(j *job) []int {
	var c []int
	for i := range j.chunks() {
		c = append(c, i)
	}
	return c
}

func runStats(t testing.TB, j *job, workers int) *stats {
	t.Helper()
	var done atomic.Int64
	s, err := stream(context.Background(), j, allChunks(j), workers, formatCSV, 7, nil, true, &done)
	if err != nil {
		t.Fatal(err)
	}
	if done.Load() != j.plan.rows || s.rows != j.plan.rows {
		t.Errorf("%d rows counted, %d in the summary, of %d", done.Load(), s.rows, j.plan.rows)
	}
	return s
}

// The analytic values are those of the closed form. With 2^16 blocks the
// estimates are good to about 0.005; their own standard errors must cover the
// difference four times.
func TestSobolIndicesOfTheIshigamiFunction(t *testing.T) {
	want := readReference(t).Ishigami
	s := runStats(t, ishigamiJob(t, planSaltelli, 1<<16), 2)
	first, total := s.outputs[0].sobol()
	for f := range 3 {
		for _, c := range []struct {
			name string
			got  estimate
			want float64
		}{{"first", first[f], want.First[f]}, {"total", total[f], want.Total[f]}} {
			if d := math.Abs(c.got.value - c.want); d > 0.01 || d > 4*c.got.se+1e-9 || c.got.se > 0.01 {
				t.Errorf("%s index %d: got %.4f, standard error %.4f; want %.4f", c.name, f, c.got.value, c.got.se, c.want)
			}
		}
	}
	if v := s.outputs[0].variance(); math.Abs(v/want.Variance-1) > 0.02 {
		t.Errorf("variance %g, want %g", v, want.Variance)
	}
}

func TestSobolIndicesDoNotSeeTheOrigin(t *testing.T) {
	j := ishigamiJob(t, planSaltelli, 1<<10)
	plain, _ := runStats(t, j, 1).outputs[0].sobol()
	j.evaluator = func() (evaluator, error) {
		return function(func(x, y []float64) error { err := ishigami(x, y); y[0] += 1e6; return err }), nil
	}
	moved, _ := runStats(t, j, 1).outputs[0].sobol()
	for f := range plain {
		if math.Abs(plain[f].value-moved[f].value) > 1e-6 {
			t.Errorf("factor %d: %g, then %g", f, plain[f].value, moved[f].value)
		}
	}
}

// An output that follows one factor alone has the indices 1 and 0, and none
// if it does not vary.
func TestSobolIndicesOfOneFactor(t *testing.T) {
	factors := unitFactors(2)
	j := newJob(mustPlan(t, planSaltelli, 1<<12, 1, nil, 2), factors, []output{{name: "x"}, {name: "constant"}},
		func() (evaluator, error) {
			return function(func(x, y []float64) error { y[0], y[1] = 3*x[0], 5; return nil }), nil
		})
	s := runStats(t, j, 2)
	first, total := s.outputs[0].sobol()
	if math.Abs(first[0].value-1) > 0.03 || math.Abs(total[0].value-1) > 0.03 || first[1].value != 0 || total[1].value != 0 {
		t.Errorf("first %v, total %v", first, total)
	}
	if f, _ := s.outputs[1].sobol(); f != nil {
		t.Errorf("constant output: %v", f)
	}
}

func TestRankCorrelationAgreesWithSciPy(t *testing.T) {
	for i, c := range readReference(t).Ranks {
		if got := rankCorrelation(c.X, c.Y); math.Abs(got-c.Rho) > 1e-12 {
			t.Errorf("case %d: got %.15g, want %.15g", i, got, c.Rho)
		}
	}
	if got := rankCorrelation([]float64{1, 1, 1}, []float64{1, 2, 3}); !math.IsNaN(got) {
		t.Errorf("constant: %g", got)
	}
	if got := rankCorrelation([]float64{1, 2, math.NaN(), 3}, []float64{5, 6, 0, 7}); got != 1 {
		t.Errorf("with a gap: %g", got)
	}
}

// The sums are those of one pass over all the rows, in the same bits on any
// number of workers.
func TestStatsDoNotDependOnTheWorkers(t *testing.T) {
	text := func(workers int) string {
		s := runStats(t, ishigamiJob(t, planSaltelli, 20000), workers)
		first, total := s.outputs[0].sobol()
		return fmt.Sprint(s.outputs[0].moments, first, total, s.sample[:12], len(s.sample))
	}
	want := text(1)
	for _, workers := range []int{2, 3, 8} {
		if got := text(workers); got != want {
			t.Errorf("%d workers: %s, 1 worker: %s", workers, got, want)
		}
	}
}

func TestLargeSweepsAreSampled(t *testing.T) {
	s := runStats(t, ishigamiJob(t, planLatin, rankedRows+1000), 2)
	if n := len(s.sample) / 4; n != rankedRows {
		t.Errorf("%d rows in the sample", n)
	}
}

// A refused row leaves its block out and is counted.
func TestRefusedRows(t *testing.T) {
	j := ishigamiJob(t, planSaltelli, 1<<12)
	j.evaluator = func() (evaluator, error) {
		return function(func(x, y []float64) error {
			if x[0] > 3 {
				return fmt.Errorf("a: %g: must be at most 3", x[0])
			}
			return ishigami(x, y)
		}), nil
	}
	s := runStats(t, j, 2)
	if s.refused == 0 || int64(s.outputs[0].n) != s.rows-s.refused || len(s.reasons) != maxReasons {
		t.Errorf("%d refused, %g of %d rows, reasons %q", s.refused, s.outputs[0].n, s.rows, s.reasons)
	}
	if first, _ := s.outputs[0].sobol(); math.IsNaN(first[0].value) {
		t.Error("no index")
	}
}

func TestInOrderStopsAtTheFirstError(t *testing.T) {
	chunks := make([]int, 1000)
	for i := range chunks {
		chunks[i] = i
	}
	bad := fmt.Errorf("bad chunk")
	var last int
	err := inOrder(context.Background(), chunks, 4,
		func() (int, error) { return 0, nil },
		func(_ context.Context, _ int, chunk int) (int, error) {
			if chunk == 500 {
				return 0, bad
			}
			return chunk, nil
		},
		func(chunk, got int) error {
			if got != chunk || chunk != last {
				t.Errorf("chunk %d: result %d where %d was due", chunk, got, last)
			}
			last++
			return nil
		})
	if err != bad || last != 500 {
		t.Errorf("error %v after %d chunks", err, last)
	}
}
