package liquid

import (
	"math"
	"testing"
)

// Rims of one section code are one width, whole inches from 6 inches up and
// half inches below (common practice, no source); that keeps a slip of the
// table from going unseen.
func TestRimWidths(t *testing.T) {
	type section struct {
		system SizeSystem
		width  uint16
		aspect uint8
		low    bool
	}
	width := map[section]float64{}
	for _, s := range sizes {
		k := section{s.system, s.width, s.aspect, s.low}
		step := 1.0
		if s.rimWidth < 6 {
			step = 0.5
		}
		if w, ok := width[k]; ok && w != s.rimWidth || math.Mod(s.rimWidth, step) != 0 {
			t.Errorf("%+v: rim of %v inches beside %v", s, s.rimWidth, w)
		}
		width[k] = s.rimWidth
	}
}
