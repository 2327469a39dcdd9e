package numeric

import "math"

// MaxUnknowns is the most unknowns a [Normal] takes.
const MaxUnknowns = 300

// Normal collects the normal equations of a weighted linear least-squares
// problem: minimize the sum of ((y - row . x)/sd)^2 over x. A prior on an
// unknown is a row with a single 1. The zero value is of no use; see
// [NewNormal].
type Normal struct {
	n   int
	a   []float64 // upper triangle, row by row, of the full n x n matrix
	b   []float64
	chi float64 // sum of (y/sd)^2
}

// NewNormal returns empty normal equations of n unknowns, 1 to
// [MaxUnknowns]; any other n panics.
func NewNormal(n int) *Normal {
	if n < 1 || n > MaxUnknowns {
		panic("numeric: normal equations of other than 1 to 300 unknowns")
	}
	return &Normal{n: n, a: make([]float64, n*n), b: make([]float64, n)}
}

// Add adds the observation y = row . x with the standard deviation sd, which
// must be positive.
func (m *Normal) Add(row []float64, y, sd float64) {
	w := 1 / (sd * sd)
	for i, r := range row {
		if r == 0 {
			continue
		}
		m.b[i] += float64(w * r * y)
		for j := i; j < m.n; j++ {
			m.a[i*m.n+j] += float64(w * r * row[j])
		}
	}
	m.chi += float64(w * y * y)
}

// Prior adds the observation that unknown i is y with the standard deviation
// sd, which must be positive.
func (m *Normal) Prior(i int, y, sd float64) {
	w := 1 / (sd * sd)
	m.b[i] += float64(w * y)
	m.a[i*m.n+i] += w
	m.chi += float64(w * y * y)
}

// Solve returns the unknowns, their covariance matrix (row by row) and the
// minimum of the sum of squares. ok is false if the unknowns are not
// determined, or not to more than a few digits. The equations stay usable.
func (m *Normal) Solve() (x, cov []float64, chi2 float64, ok bool) {
	n := m.n
	// Scale to a unit diagonal, so that unknowns in kilograms and in radians
	// may stand side by side; then Cholesky.
	s := make([]float64, n)
	for i := range s {
		d := m.a[i*n+i]
		if !(d > 0) {
			return nil, nil, 0, false
		}
		s[i] = 1 / math.Sqrt(d)
	}
	l := make([]float64, n*n)
	for j := range n {
		for i := j; i < n; i++ {
			sum := m.a[j*n+i] * s[i] * s[j]
			for k := range j {
				sum -= float64(l[i*n+k] * l[j*n+k])
			}
			if i > j {
				l[i*n+j] = sum / l[j*n+j]
				continue
			}
			if !(sum > 1e-12) {
				return nil, nil, 0, false
			}
			l[j*n+j] = math.Sqrt(sum)
		}
	}
	// Invert the factor, then cov = s L^-T L^-1 s.
	inv := make([]float64, n*n)
	for j := range n {
		inv[j*n+j] = 1 / l[j*n+j]
		for i := j + 1; i < n; i++ {
			var sum float64
			for k := j; k < i; k++ {
				sum -= float64(l[i*n+k] * inv[k*n+j])
			}
			inv[i*n+j] = sum / l[i*n+i]
		}
	}
	cov = make([]float64, n*n)
	for i := range n {
		for j := i; j < n; j++ {
			var sum float64
			for k := j; k < n; k++ {
				sum += float64(inv[k*n+i] * inv[k*n+j])
			}
			cov[i*n+j] = sum * s[i] * s[j]
			cov[j*n+i] = cov[i*n+j]
		}
	}
	x = make([]float64, n)
	chi2 = m.chi
	for i := range n {
		for j := range n {
			x[i] += float64(cov[i*n+j] * m.b[j])
		}
		chi2 -= float64(x[i] * m.b[i])
	}
	for _, v := range x {
		if !(math.Abs(v) <= math.MaxFloat64) {
			return nil, nil, 0, false
		}
	}
	return x, cov, math.Max(chi2, 0), !math.IsNaN(chi2)
}
