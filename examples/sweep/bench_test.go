package main

import (
	"bytes"
	"context"
	"io"
	"slices"
	"sync/atomic"
	"testing"
)

// BenchmarkRows evaluates rows of the built-in design and drops them: with all
// its outputs, and with the usable load alone.
func BenchmarkRows(b *testing.B) {
	b.Run("All", func(b *testing.B) { benchmarkRows(b, demo) })
	b.Run("Usable", func(b *testing.B) { benchmarkRows(b, usableOnly()) })
}

func benchmarkRows(b *testing.B, design []byte) {
	d, err := loadDesign(design, "", overrides{samples: 1 << 20})
	if err != nil {
		b.Fatal(err)
	}
	j := d.job()
	w, err := j.worker()
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	x, y := w.cells[:len(w.factors)], w.cells[len(w.factors):]
	for i := 0; b.Loop(); i++ {
		w.sampler.row(int64(i)%j.plan.rows, w.factors, x)
		if err := w.eval.evaluate(x, y); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkBlocks evaluates whole chunks of the built-in design, with the usable load
// alone, and drops them.
func BenchmarkBlocks(b *testing.B) {
	d, err := loadDesign(usableOnly(), "", overrides{samples: 1 << 20})
	if err != nil {
		b.Fatal(err)
	}
	w, err := d.job().worker()
	if err != nil {
		b.Fatal(err)
	}
	if w.block == nil {
		b.Fatal("no blocks")
	}
	b.ReportAllocs()
	var done atomic.Int64
	chunk := 0
	for b.Loop() {
		if err := w.run(context.Background(), chunk%w.chunks(), &done, func(int64, []float64, error) error { return nil }); err != nil {
			b.Fatal(err)
		}
		chunk++
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(done.Load()), "ns/row")
}

// usableOnly is the built-in design with the usable load alone.
func usableOnly() []byte {
	from, to := bytes.Index(demo, []byte(`"outputs": [`)), bytes.Index(demo, []byte(`"base"`))
	return slices.Concat(demo[:from], []byte(`"outputs": ["usable", "governing"], `), demo[to:])
}

// BenchmarkSampler computes rows of a plan and nothing else.
func BenchmarkSampler(b *testing.B) {
	d, err := loadDesign(demo, "", overrides{samples: 1 << 20})
	if err != nil {
		b.Fatal(err)
	}
	s, x := d.plan.sampler(), make([]float64, len(d.factors))
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		s.row(int64(i)%d.plan.rows, d.factors, x)
	}
}

// BenchmarkCSV writes rows of numbers and a text as CSV.
func BenchmarkCSV(b *testing.B) {
	w := formatCSV.writer(io.Discard, tableColumns, 7, true)
	cells := []float64{1234.5678901, 1, 0.0001234567891}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if err := w.row(int64(i), cells, refusal{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkStream runs whole chunks of a cheap function on all processors:
// what a sweep costs besides the library.
func BenchmarkStream(b *testing.B) {
	j := ishigamiJob(b, planSaltelli, 1<<16)
	var done atomic.Int64
	for b.Loop() {
		if _, err := stream(context.Background(), j, allChunks(j), 2, formatCSV, 7, nil, true, &done); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(done.Load()), "ns/row")
}
