package liquid

import "math"

// A table is a compiled cut: each of its four quantities as piecewise
// polynomials of the distance z from the axle.
//
// The width has kinks at the rim well, the rim and the widest line. They make
// the quantities singular in z, but only from below and only in the square
// root of the distance to the kink. Between two kinks a and b the variable is
// therefore y = sqrt((b-z)/(b-a)), in which the quantities are smooth. At the
// crown the width falls as the distance to the power 1/n, and each quantity is
// a power of the distance times a smooth function. There y = (b-z)/(b-a), and
// the smooth function is tabulated. The range of y from 0 to 1 is divided into
// equal pieces with one polynomial each.
type table struct {
	spans [4]span
	n     int
	coef  []poly    // of all spans, piece by piece
	bound []float64 // volume at each piece's larger y
}

type span struct {
	a, b   float64
	scale  float64 // 1/(b-a)
	first  int     // index of the first piece
	pieces float64
	crown  bool
	power  [4]float64 // of y, for each quantity; zero except at the crown
}

// place returns the y of a distance, and distance the reverse.
func (s *span) place(z float64) float64 {
	y := (s.b - z) * s.scale
	if s.crown {
		return y
	}
	return math.Sqrt(y)
}

func (s *span) distance(y float64) float64 {
	if s.crown {
		return s.b - (s.b-s.a)*y
	}
	return s.b - (s.b-s.a)*y*y
}

const (
	degree    = 12
	maxPieces = 16
)

// tableError is the accepted error of each quantity, as a share of its value at
// the axle. Pieces are halved until the error is below it.
var tableError = [4]float64{5e-11, 1e-8, 5e-11, 1e-8}

// A poly holds, for the powers of t from -1 to 1 over a piece, the
// coefficients of volume, area, pitch and roll.
type poly [4][degree + 1]float64

func (p *poly) at(k int, t float64) float64 {
	c := &p[k]
	s := c[degree]
	for i := degree - 1; i >= 0; i-- {
		s = s*t + c[i]
	}
	return s
}

func (c cut) vector() [4]float64 { return [4]float64{c.volume, c.area, c.pitch, c.roll} }

// toPower holds the matrix that turns values at the Chebyshev points into
// coefficients of powers: first a discrete cosine transform, then the
// recurrence of the Chebyshev polynomials.
var toPower = func() (m [degree + 1][degree + 1]float64) {
	var cheb [degree + 1][degree + 1]float64 // powers of T_k
	cheb[0][0], cheb[1][1] = 1, 1
	for k := 2; k <= degree; k++ {
		for i := 0; i <= degree; i++ {
			if i > 0 {
				cheb[k][i] = 2 * cheb[k-1][i-1]
			}
			cheb[k][i] -= cheb[k-2][i]
		}
	}
	const n = degree + 1
	for j := range n {
		for k := range n {
			w := 2.0 / n
			if k == 0 {
				w = 1.0 / n
			}
			w *= math.Cos(math.Pi * float64(k) * (float64(j) + 0.5) / n)
			for i := range n {
				m[i][j] += w * cheb[k][i]
			}
		}
	}
	return m
}()

func chebyshevPoint(j int) float64 {
	return math.Cos(math.Pi * (float64(j) + 0.5) / (degree + 1))
}

// compile tabulates the section.
func (p *section) compile() table {
	var t table
	ref := p.cutAt(0).vector()
	last := 0.0
	for _, b := range [4]float64{p.rw, p.rb, p.rm, p.rc} {
		if b <= last {
			continue
		}
		s := span{a: last, b: b, scale: 1 / (b - last), first: len(t.coef), crown: b == p.rc}
		if s.crown {
			s.power = [4]float64{1.5 + 1/p.n, 0.5 + 1/p.n, 1.5 + 1/p.n, 0.5 + 3/p.n}
		}
		for n := 1; ; n *= 2 {
			t.coef = t.coef[:s.first]
			good := true
			for i := 0; i < n && (good || n == maxPieces); i++ {
				f, ok := p.piece(&s, i, n, ref)
				t.coef = append(t.coef, f)
				good = good && ok
			}
			if good || n == maxPieces {
				s.pieces = float64(n)
				break
			}
		}
		t.spans[t.n] = s
		t.n++
		last = b
	}
	for i := range t.spans[:t.n] {
		s := &t.spans[i]
		for k := range int(s.pieces) {
			y := float64(k+1) / s.pieces
			t.bound = append(t.bound, t.value(s, k, 0, 1, y))
		}
	}
	return t
}

// piece fits piece i of n of a span and reports whether it is good.
func (p *section) piece(s *span, i, n int, ref [4]float64) (f poly, ok bool) {
	at := func(t float64) (v, scale [4]float64) {
		y := (float64(i) + (t+1)/2) / float64(n)
		v = p.cutAt(s.distance(y)).vector()
		for k := range v {
			scale[k] = math.Pow(y, s.power[k])
			v[k] /= scale[k]
		}
		return v, scale
	}
	var v [degree + 1][4]float64
	for j := range v {
		v[j], _ = at(chebyshevPoint(j))
	}
	for k := range f {
		for r := range f[k] {
			for j := range v {
				f[k][r] += toPower[r][j] * v[j][k]
			}
		}
	}
	for _, t := range [...]float64{-0.998, -0.35, 0.35, 0.998} {
		x, scale := at(t)
		for k := range x {
			if !(math.Abs(f.at(k, t)-x[k])*scale[k] <= tableError[k]*ref[k]) {
				return f, false
			}
		}
	}
	return f, true
}

// value returns quantity k from a piece of a span at the piece's coordinate x,
// which is the span's y.
func (t *table) value(s *span, piece, k int, x, y float64) float64 {
	return t.coef[s.first+piece].at(k, x) * math.Pow(y, s.power[k])
}

// at returns quantity k of the cut at the distance z >= 0.
func (t *table) at(k int, z float64) float64 {
	for i := range t.spans[:t.n] {
		s := &t.spans[i]
		if z < s.b {
			y := s.place(z)
			x := y * s.pieces
			piece := min(int(x), int(s.pieces)-1)
			return math.Max(t.value(s, piece, k, 2*(x-float64(piece))-1, y), 0)
		}
	}
	return 0
}

// distance returns the distance z at which the cut has the volume v, from 0
// to what it has at the axle.
func (t *table) distance(v float64) float64 {
	// The volume falls from span to span. Take the last span that reaches v.
	i := t.n - 1
	for i > 0 && v >= t.bound[t.spans[i].first+int(t.spans[i].pieces)-1] {
		i--
	}
	s := &t.spans[i]
	// The volume grows with y. Take the first piece whose upper bound reaches v.
	piece := 0
	for piece+1 < int(s.pieces) && t.bound[s.first+piece] < v {
		piece++
	}
	x := t.coef[s.first+piece].solve(v, float64(piece), s.pieces, s.power[0])
	return s.distance((float64(piece) + (x+1)/2) / s.pieces)
}

// solve returns t from -1 to 1 where the volume is v, by Newton's method kept
// within a shrinking bracket. The volume is the polynomial times a power of
// y = (first + (t+1)/2)/pieces, and does not fall with t.
func (p *poly) solve(v, first, pieces, power float64) float64 {
	c := &p[0]
	lo, hi, t := -1.0, 1.0, 0.0
	for range 60 {
		g, d := c[degree], 0.0
		for i := degree - 1; i >= 0; i-- {
			d = d*t + g
			g = g*t + c[i]
		}
		y := (first + (t+1)/2) / pieces
		w := math.Pow(y, power)
		f := w*g - v
		if f < 0 {
			lo = t
		} else {
			hi = t
		}
		next := t - f/(w*(d+g*power/(2*pieces*y)))
		if !(next >= lo && next <= hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-t) <= 1e-14 {
			return next
		}
		t = next
	}
	return t
}
