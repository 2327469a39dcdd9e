package ballast

import (
	"context"
	"fmt"
)

// Bounds of the work of one plan; see [Needs].
const (
	// defaultPlanWork is the work of a plan whose Needs name none.
	defaultPlanWork = 600
	// maxPlanWork is the most that Needs may name.
	maxPlanWork = 100_000
)

const (
	// workStep is how many multiplications are one unit of a plan's work.
	workStep = 1_000_000
	// cavityWork is what compiling a tire costs, and demandWork one condition
	// of a need at one point of the stock, as many multiplications as take the
	// same time.
	cavityWork = 500_000
	demandWork = 12
	// answerWork is what it costs to have the model answer one need.
	answerWork = 15_000
)

// planWork is the work that a plan may do, counted and not timed, so that
// equal inputs give equal answers on every processor.
type planWork struct {
	ctx   context.Context
	total int64
	left  int64
	keep  int64 // of it, for what comes later
}

func newPlanWork(ctx context.Context, n *Needs) planWork {
	if ctx == nil {
		ctx = context.Background()
	}
	w := int64(n.Work)
	if w == 0 {
		w = defaultPlanWork
	}
	return planWork{ctx: ctx, total: w * workStep, left: w * workStep}
}

// spend takes work done off what is left.
func (w *planWork) spend(n int) { w.left -= int64(n) }

// free is the work that may be done now; nothing is if it is not positive.
func (w *planWork) free() int64 { return w.left - w.keep }

// err is not nil once the context is done.
func (w *planWork) err() error {
	if err := w.ctx.Err(); err != nil {
		return fmt.Errorf("ballast: plan: %w", err)
	}
	return nil
}

// done is the work that was done, in millions of steps, rounded up.
func (w *planWork) done() int { return int((w.total - w.left + workStep - 1) / workStep) }
