package main

import "example.com/steelyard/ballast"

// blockRows is how many rows are worked out together where the library answers in
// columns.
const blockRows = 512

// A blockEvaluator computes the outputs of many variants together: each is put in its
// row, all are solved, and each row is asked for.
type blockEvaluator interface {
	put(row int, x []float64)
	solve(rows int)
	// row fills x with what was put there, and y as an evaluator does.
	row(row int, x, y []float64) error
}

// A blockVariant evaluates variants by blocks of the library, which answer the usable
// load, the limit that governs and the status, and nothing else.
type blockVariant struct {
	*variant
	block *ballast.Block
	x     []float64 // the values of the factors, row by row
	loads []ballast.Loads
}

// blocks returns the evaluator of blocks, or nil if the outputs need more than the
// library answers in columns.
func (v *variant) blocks() blockEvaluator {
	var bound []ballast.Bound
	for _, fields := range v.fields {
		for _, f := range fields {
			bound = append(bound, f.at)
		}
	}
	asked := 0
	for _, n := range v.need {
		if n&^needLoad != 0 {
			return nil
		}
		if n != 0 {
			asked++
		}
	}
	if asked != 1 {
		return nil // an answer belongs to the block until it is asked again
	}
	return &blockVariant{variant: v, block: v.evaluator.Block(blockRows, bound...), x: make([]float64, blockRows*len(v.fields)), loads: make([]ballast.Loads, len(v.need))}
}

func (b *blockVariant) put(row int, x []float64) {
	copy(b.x[row*len(x):], x)
	n := 0
	for i, fields := range b.fields {
		for j := range fields {
			b.block.Column(n)[row] = fields[j].number(x[i])
			n++
		}
	}
}

func (b *blockVariant) solve(rows int) {
	for i, n := range b.need {
		if n != 0 {
			b.loads[i] = b.block.UsableLoad(i, rows)
		}
	}
}

func (b *blockVariant) row(row int, x, y []float64) error {
	copy(x, b.x[row*len(x):])
	for i, n := range b.need {
		if n == 0 {
			continue
		}
		l, a := &b.loads[i], &b.answers[i]
		if l.Err[row] != nil {
			return ofLift(l.Err[row], i)
		}
		a.load, a.governing, a.status = l.Mass[row], l.Governing[row], l.Status[row]
	}
	b.write(y)
	return nil
}
