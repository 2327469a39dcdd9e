package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"sync/atomic"
	"syscall"

	"example.com/steelyard/examples/internal/cli"
)

// stream evaluates a job and writes its rows to w in their order, or nowhere if w is nil.
// It returns the statistics for the summary unless summary is false.
func stream(ctx context.Context, j *job, chunks []int, workers int, f format, digits int, w io.Writer, summary bool, done *atomic.Int64) (*stats, error) {
	type result struct {
		text  []byte
		stats *stats
	}
	total := j.newStats()
	err := inOrder(ctx, chunks, workers, j.worker,
		func(ctx context.Context, wk *worker, chunk int) (result, error) {
			r := result{stats: j.newStats()}
			var buf bytes.Buffer
			var table tableWriter
			if w != nil {
				table = j.writer(f, &buf, digits, chunk == 0)
			}
			err := wk.run(ctx, chunk, done, func(row int64, cells []float64, refused error) error {
				why := reason(refused)
				if summary {
					r.stats.add(row, cells, why)
				} else if r.stats.rows++; why.is() {
					r.stats.refused++
				}
				if table == nil {
					return nil
				}
				return table.row(row, cells, why)
			})
			if err == nil && table != nil {
				err = table.close()
			}
			r.text = buf.Bytes()
			return r, err
		},
		func(_ int, r result) error {
			total.merge(r.stats)
			if w == nil {
				return nil
			}
			_, err := w.Write(r.text)
			return outOfSpace(err, "")
		})
	return total, err
}

// keep evaluates the chunks that a store lacks.
func keep(ctx context.Context, j *job, st *store, workers int, done *atomic.Int64) error {
	err := inOrder(ctx, st.missing(j.chunks()), workers, j.worker,
		func(ctx context.Context, wk *worker, chunk int) (chunkEntry, error) {
			file, err := st.create(chunk)
			if err != nil {
				return chunkEntry{}, err
			}
			defer file.Discard()
			table := j.writer(st.manifest.Format, file.buf, st.manifest.Digits, true)
			err = wk.run(ctx, chunk, done, func(row int64, cells []float64, refused error) error {
				return table.row(row, cells, reason(refused))
			})
			if err == nil {
				err = table.close()
			}
			if err != nil {
				return chunkEntry{}, err
			}
			return file.finish()
		},
		func(_ int, c chunkEntry) error { return st.add(c) })
	err = outOfSpace(err, st.dir)
	if serr := st.save(); err == nil {
		err = serr
	}
	return err
}

// outOfSpace adds to the error of a full disk what it means for the results.
func outOfSpace(err error, dir string) error {
	if !errors.Is(err, syscall.ENOSPC) {
		return err
	}
	if dir == "" {
		return fmt.Errorf("%w: the rows on the standard output are not complete", cli.Plain(err))
	}
	return fmt.Errorf("%w: the finished rows in %s are safe; make room and run the same command again to continue from there", cli.Plain(err), dir)
}
