package main

import (
	"fmt"
	"io"
	"sync/atomic"
	"time"
)

// showProgress keeps a line on a terminal up to date until the function that
// it returns is called.
func showProgress(w io.Writer, total int64, done *atomic.Int64) (stop func()) {
	start := time.Now()
	tick := time.NewTicker(500 * time.Millisecond)
	quit, gone := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(gone)
		for {
			select {
			case <-tick.C:
				fmt.Fprintf(w, "\r%s\x1b[K", progressLine(done.Load(), total, time.Since(start)))
			case <-quit:
				fmt.Fprint(w, "\r\x1b[K")
				return
			}
		}
	}()
	return func() {
		tick.Stop()
		close(quit)
		<-gone
	}
}

// progressLine says how far a sweep is, how fast it is, and how long it will take.
func progressLine(done, total int64, elapsed time.Duration) string {
	rate := float64(done) / elapsed.Seconds()
	left := "?"
	if done > 0 {
		left = (time.Duration(float64(total-done)/rate+0.5) * time.Second).String()
	}
	return fmt.Sprintf("%5.1f %%  %s of %s rows  %s rows/s  %s left", 100*float64(done)/float64(total), thousands(done), thousands(total), thousands(int64(rate)), left)
}

// thousands writes a count in groups of three digits.
func thousands(n int64) string {
	s := fmt.Sprint(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + " " + s[i:]
	}
	return s
}
