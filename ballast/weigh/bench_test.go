package weigh_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/ballast/weigh"
)

// One estimate from all that a workshop reads, in memory that is there already.
func BenchmarkEstimate(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 3))
	m := newMachine(r, 1, 1)
	rec := m.reads(r, everything)
	var e weigh.Estimator
	if _, ok := e.Fit(&rec); !ok {
		b.Fatal("no estimate")
	}
	b.ReportAllocs()
	for b.Loop() {
		e.Fit(&rec)
	}
}

// The same with its checks and all that answers need.
func BenchmarkFit(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 3))
	m := newMachine(r, 1, 1)
	rec := m.reads(r, everything)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := rec.Fit(context.Background()); err != nil {
			b.Fatal(err)
		}
	}
}

// A prepared estimate allocates nothing.
func TestEstimateAllocatesNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 3))
	m := newMachine(r, 1, 1)
	rec := m.reads(r, everything)
	var e weigh.Estimator
	e.Fit(&rec)
	if n := testing.AllocsPerRun(20, func() { e.Fit(&rec) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// A hundred weighings of which three cannot be right: many hypotheses are fitted.
func BenchmarkFitContradicting(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 3))
	m := newMachine(r, 1, 1)
	rec := m.reads(r, everything)
	w := rec.Weights
	for len(rec.Weights)+len(w) <= 100 {
		rec.Weights = append(rec.Weights, w...)
	}
	for _, i := range []int{1, 3, 5} {
		rec.Weights[i].Front += 400
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := rec.Fit(context.Background()); err != nil {
			b.Fatal(err)
		}
	}
}
