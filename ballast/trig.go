package ballast

import "math"

// trig remembers angles whose sine and cosine, or sines whose angle, were asked
// for, because in a sweep most angles stay: the same bits as those of package
// math, in a third of the time. A nil trig remembers nothing. It is for one
// goroutine.
type trig struct {
	angles [trigRoom]struct {
		of       uint64
		sin, cos float64
	}
	sines [trigRoom]struct {
		of    uint64
		angle float64
	}
}

const (
	trigBits = 5
	trigRoom = 1 << trigBits
)

func newTrig() *trig {
	t := new(trig)
	// Zero bits are looked for at the first place only, which holds what is true of
	// zero; at all other places they stand for nothing.
	t.angles[0].cos = 1
	return t
}

// trigPlace returns where the bits of a number are kept.
func trigPlace(bits uint64) uint64 { return bits * 0x9e3779b97f4a7c15 >> (64 - trigBits) }

func (t *trig) sincos(a float64) (sin, cos float64) {
	if t == nil {
		return math.Sincos(a)
	}
	bits := math.Float64bits(a)
	e := &t.angles[trigPlace(bits)]
	if e.of != bits {
		e.of = bits
		e.sin, e.cos = math.Sincos(a)
	}
	return e.sin, e.cos
}

func (t *trig) asin(x float64) float64 {
	if t == nil {
		return math.Asin(x)
	}
	bits := math.Float64bits(x)
	e := &t.sines[trigPlace(bits)]
	if e.of != bits {
		e.of, e.angle = bits, math.Asin(x)
	}
	return e.angle
}
