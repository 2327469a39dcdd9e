package stability

import "math"

// vec is a vector in the machine's axes.
type vec [3]float64

func (a vec) plus(b vec) vec      { return vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a vec) minus(b vec) vec     { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func (a vec) times(f float64) vec { return vec{a[0] * f, a[1] * f, a[2] * f} }
func (a vec) dot(b vec) float64   { return float64(a[0]*b[0]) + float64(a[1]*b[1]) + float64(a[2]*b[2]) }
func (a vec) norm() float64       { return math.Sqrt(a.dot(a)) }
func (a vec) unit() vec           { return a.times(1 / a.norm()) }
func (a vec) across(axis vec) vec { return a.minus(axis.times(a.dot(axis))) }
func (p Point) vec() vec          { return vec{float64(p.X), float64(p.Y), float64(p.Z)} }
func (a vec) mirrored(b bool) vec {
	if b {
		a[1] = -a[1]
	}
	return a
}

func (a vec) cross(b vec) vec {
	return vec{
		float64(a[1]*b[2]) - float64(a[2]*b[1]),
		float64(a[2]*b[0]) - float64(a[0]*b[2]),
		float64(a[0]*b[1]) - float64(a[1]*b[0]),
	}
}

// turn returns the vector a turned by an angle about a unit axis (Rodrigues'
// formula).
func (a vec) turn(axis vec, angle float64) vec {
	sin, cos := math.Sincos(angle)
	return a.times(cos).plus(axis.cross(a).times(sin)).plus(axis.times(axis.dot(a) * (1 - cos)))
}

// attitude is a turn by roll, then pitch, then yaw about fixed axes.
type attitude struct{ roll, pitch, yaw float64 }

func (t attitude) of(a vec) vec {
	return a.turn(vec{1}, t.roll).turn(vec{0, 1}, t.pitch).turn(vec{0, 0, 1}, t.yaw)
}

// tensor is an inertia tensor in the machine's axes.
type tensor [3]vec

func (t tensor) of(a vec) vec { return vec{t[0].dot(a), t[1].dot(a), t[2].dot(a)} }

func (i Inertia) tensor(mirrored bool) tensor {
	xy, yz := float64(i.XY), float64(i.YZ)
	if mirrored {
		xy, yz = -xy, -yz
	}
	return tensor{
		{float64(i.XX), xy, float64(i.XZ)},
		{xy, float64(i.YY), yz},
		{float64(i.XZ), yz, float64(i.ZZ)},
	}
}

// lineEdge returns the edge at which masses with the summed moment d = sum of
// m (r - o) tip about the line through o along w, to the right of w.
func lineEdge(w, d vec) edge {
	return edge{
		a: float64(w[0]*d[1]) - float64(w[1]*d[0]),
		s: float64(w[0]*d[2]) - float64(w[2]*d[0]),
		c: float64(w[2]*d[1]) - float64(w[1]*d[2]),
	}
}

// weightAt returns the vector of gravity on a slope, in the machine's axes.
func weightAt(g, slope, sin, cos float64) vec {
	sinB, cosB := math.Sincos(slope)
	return vec{-g * sinB * cos, -g * sinB * sin, -g * cosB}
}
