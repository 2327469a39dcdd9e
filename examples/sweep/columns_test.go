package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"sync/atomic"
	"testing"
)

// Rows that are worked out together are those that are worked out one by one, to the
// last bit and with the same refusals.
func TestBlocksAreRows(t *testing.T) {
	for name, design := range map[string][]byte{
		"built-in":          usableOnly(),
		"refused and empty": bytes.Replace(usableOnly(), []byte(`"low": "200 kg", "high": "700 kg"`), []byte(`"low": "0 kg", "high": "100001 kg"`), 1),
		"grid of lists":     bytes.Replace(bytes.Replace(usableOnly(), []byte(`"saltelli"`), []byte(`"latin-hypercube"`), 1), []byte(`"setup.attachment.face"`), []byte(`"setup.machine.rearTrack"`), 1),
	} {
		d, err := loadDesign(design, "", overrides{samples: 300})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		j := d.job()
		rows := func(blocks bool) (cells []uint64, why []refusal) {
			w, err := j.worker()
			if err != nil {
				t.Fatal(err)
			}
			if w.block == nil {
				t.Fatalf("%s: no blocks", name)
			}
			if !blocks {
				w.block = nil
			}
			var done atomic.Int64
			if err := w.run(context.Background(), 0, &done, func(_ int64, c []float64, refused error) error {
				for _, v := range c {
					cells = append(cells, math.Float64bits(v))
				}
				why = append(why, reason(refused))
				return nil
			}); err != nil {
				t.Fatal(err)
			}
			if first, end := j.rows(0); done.Load() != end-first {
				t.Errorf("%s: %d rows are counted of %d", name, done.Load(), end-first)
			}
			return cells, why
		}
		one, whyOne := rows(false)
		many, whyMany := rows(true)
		for i := range one {
			if one[i] != many[i] {
				t.Fatalf("%s: cell %d of row %d differs", name, i%len(j.columns), i/len(j.columns))
			}
		}
		for i := range whyOne {
			if fmt.Sprint(whyOne[i]) != fmt.Sprint(whyMany[i]) {
				t.Fatalf("%s: row %d: %v, want %v", name, i, whyMany[i], whyOne[i])
			}
		}
	}
}
