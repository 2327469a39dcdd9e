package main

import (
	"context"
	"io"
	"math"
	"sync/atomic"
)

var nan = math.NaN()

// An evaluator computes the outputs of one variant. It belongs to one
// goroutine. An error means that the library refused the variant; the cells
// of y are then not read.
type evaluator interface {
	evaluate(x, y []float64) error
}

// A job is a plan with an evaluator of its rows, cut into chunks. It depends only on the
// design and never on the number of workers, so the written bytes do so too.
type job struct {
	plan      *plan
	factors   []factor
	outputs   []output
	columns   []column
	angles    []angleColumn // that are not in radians
	evaluator func() (evaluator, error)
	chunkRows int64
	about     []byte // what is to be known of its tables, as JSON
}

// An angleColumn is a column of angles in a unit of the design.
type angleColumn struct {
	column int
	unit   angleUnit
}

// writer returns a writer of a table of the job; see format.writer.
func (j *job) writer(f format, w io.Writer, digits int, header bool) tableWriter {
	t := f.writer(w, j.columns, digits, header)
	if p, ok := t.(*parquetWriter); ok && j.about != nil {
		p.w.SetKeyValueMetadata(aboutKey, string(j.about))
	}
	return t
}

func newJob(p *plan, factors []factor, outputs []output, evaluator func() (evaluator, error)) *job {
	j := &job{plan: p, factors: factors, outputs: outputs, evaluator: evaluator}
	for _, f := range factors {
		if f.angle != (angleUnit{}) {
			j.angles = append(j.angles, angleColumn{len(j.columns), f.angle})
		}
		j.columns = append(j.columns, column{name: f.name, unit: f.unit, text: f.text})
	}
	for _, o := range outputs {
		if o.angle != (angleUnit{}) {
			j.angles = append(j.angles, angleColumn{len(j.columns), o.angle})
		}
		j.columns = append(j.columns, column{name: o.name, unit: o.unit, text: o.text})
	}
	named(j.columns)
	// Chunks are small enough that every worker has several and that a kill loses little.
	// They are large enough to keep the number of files low. They hold whole blocks.
	j.chunkRows = min(max(p.rows/256, 1<<10), 1<<16)
	j.chunkRows += (p.block() - j.chunkRows%p.block()) % p.block()
	return j
}

// chunks returns how many chunks the job has.
func (j *job) chunks() int { return int((j.plan.rows + j.chunkRows - 1) / j.chunkRows) }

// rows returns the rows of a chunk: first to end-1.
func (j *job) rows(chunk int) (first, end int64) {
	first = int64(chunk) * j.chunkRows
	return first, min(first+j.chunkRows, j.plan.rows)
}

// A worker evaluates chunks of a job.
type worker struct {
	*job
	sampler *sampler
	eval    evaluator
	block   blockEvaluator // nil where rows are worked out one by one
	cells   []float64
}

func (j *job) worker() (*worker, error) {
	e, err := j.evaluator()
	if err != nil {
		return nil, err
	}
	w := &worker{job: j, sampler: j.plan.sampler(), eval: e, cells: make([]float64, len(j.columns))}
	if v, ok := e.(*variant); ok {
		w.block = v.blocks()
	}
	return w, nil
}

// stopEvery is the number of rows after which a worker checks whether it must stop and
// reports its progress, where it does not work out a block of them together.
const stopEvery = 128

// run evaluates a chunk and hands each row to each.
func (w *worker) run(ctx context.Context, chunk int, done *atomic.Int64, each func(row int64, cells []float64, refused error) error) error {
	first, end := w.rows(chunk)
	k := len(w.factors)
	x, y := w.cells[:k], w.cells[k:]
	step := int64(stopEvery)
	if w.block != nil {
		step = blockRows
	}
	for from := first; from < end; from += step {
		if from > first && ctx.Err() != nil {
			return context.Cause(ctx)
		}
		rows := min(step, end-from)
		if w.block != nil {
			for i := range rows {
				w.sampler.row(from+i, w.factors, x)
				w.block.put(int(i), x)
			}
			w.block.solve(int(rows))
		}
		for i := range rows {
			var refused error
			if w.block != nil {
				refused = w.block.row(int(i), x, y)
			} else {
				w.sampler.row(from+i, w.factors, x)
				refused = w.eval.evaluate(x, y)
			}
			if refused != nil {
				for i := range y {
					y[i] = nan
				}
			}
			for _, a := range w.angles {
				w.cells[a.column] = a.unit.of(w.cells[a.column])
			}
			if err := each(from+i, w.cells, refused); err != nil {
				return err
			}
		}
		done.Add(rows)
	}
	return nil
}

// inOrder does work for each of the chunks on several workers, and hands the
// results to emit in the order of the chunks, on the caller's goroutine. Only
// a few results wait at a time, so memory does not grow with the number of
// chunks. The first error ends it.
func inOrder[W, T any](ctx context.Context, chunks []int, workers int, start func() (W, error), work func(context.Context, W, int) (T, error), emit func(chunk int, result T) error) error {
	type outcome struct {
		chunk  int
		result T
		err    error
	}
	type task struct {
		chunk int
		out   chan outcome
	}
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	workers = max(1, min(workers, len(chunks)))
	tasks := make(chan task)
	queue := make(chan chan outcome, 4*workers)
	go func() {
		defer close(queue)
		defer close(tasks)
		for _, chunk := range chunks {
			t := task{chunk, make(chan outcome, 1)}
			select {
			case queue <- t.out:
			case <-ctx.Done():
				return
			}
			select {
			case tasks <- t:
			case <-ctx.Done():
				t.out <- outcome{err: context.Cause(ctx)}
				return
			}
		}
	}()
	for range workers {
		go func() {
			w, err := start()
			for t := range tasks {
				o := outcome{chunk: t.chunk, err: err}
				if err == nil {
					o.result, o.err = work(ctx, w, t.chunk)
				}
				t.out <- o
			}
		}()
	}
	var first error
	for out := range queue {
		o := <-out
		if first == nil && o.err == nil {
			o.err = emit(o.chunk, o.result)
		}
		if first == nil && o.err != nil {
			first = o.err
			cancel(first)
		}
	}
	if first == nil {
		// The run was stopped between two chunks.
		first = context.Cause(ctx)
	}
	return first
}
