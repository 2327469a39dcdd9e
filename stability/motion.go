package stability

import "math"

// maxStates is the largest number of states of a motion.
const maxStates = 13

// state is what a motion is at one time: places, then their rates.
type state [maxStates]float64

// motion follows a motion by the explicit method of order 5(4) of Dormand
// and Prince (A family of embedded Runge-Kutta formulae, Journal of Computational
// and Applied Mathematics 6, 1980), whose last stage is the first of the next
// step. Between the ends of a step it interpolates by cubic Hermite polynomials.
// Kinks of the forces, where a tire meets the ground or another edge of it, are
// met by shorter steps: a step that spans one fails its error estimate. The
// result depends on nothing but the inputs.
//
// The motion is a value of its own, which no interface hides, so that following it
// allocates nothing.
type motion struct {
	plane         planar
	space         spatial
	inSpace       bool // the motion is that of space, not that of plane
	n             int  // number of states
	least, most   float64
	absolute      state // tolerances of the states
	k             [7]state
	before, after state
	h, next       float64
	steps         int
}

// rate says how fast each state changes.
func (g *motion) rate(s, into *state) {
	if g.inSpace {
		g.space.rate(s, into)
		return
	}
	g.plane.rate(s, into)
}

// start sets the first state.
func (g *motion) start(s *state, n int, h float64) {
	g.n, g.after, g.next, g.steps = n, *s, h, 0
	g.rate(s, &g.k[6])
}

// step moves the motion by one step, which is shorter than asked for where the
// error estimate demands it, and returns its length.
func (g *motion) step(longest float64) float64 {
	g.before, g.k[0] = g.after, g.k[6]
	h := min(g.next, g.most, longest)
	for {
		err := g.try(h)
		g.steps++
		grow := 5.0
		if err > 0 {
			grow = min(5, max(0.2, 0.9*math.Pow(err, -0.2)))
		}
		if !(err > 1) || h <= g.least {
			g.h = h
			g.next = max(g.least, h*grow)
			return h
		}
		h = max(g.least, h*min(grow, 0.8))
	}
}

// try takes one step of length h and returns its error over the tolerance.
func (g *motion) try(h float64) float64 {
	k, s := &g.k, &g.before
	var y state
	for i := range g.n {
		y[i] = s[i] + h*(1.0/5)*k[0][i]
	}
	g.rate(&y, &k[1])
	for i := range g.n {
		y[i] = s[i] + h*(3.0/40*k[0][i]+9.0/40*k[1][i])
	}
	g.rate(&y, &k[2])
	for i := range g.n {
		y[i] = s[i] + h*(44.0/45*k[0][i]-56.0/15*k[1][i]+32.0/9*k[2][i])
	}
	g.rate(&y, &k[3])
	for i := range g.n {
		y[i] = s[i] + h*(19372.0/6561*k[0][i]-25360.0/2187*k[1][i]+64448.0/6561*k[2][i]-212.0/729*k[3][i])
	}
	g.rate(&y, &k[4])
	for i := range g.n {
		y[i] = s[i] + h*(9017.0/3168*k[0][i]-355.0/33*k[1][i]+46732.0/5247*k[2][i]+49.0/176*k[3][i]-5103.0/18656*k[4][i])
	}
	g.rate(&y, &k[5])
	for i := range g.n {
		y[i] = s[i] + h*(35.0/384*k[0][i]+500.0/1113*k[2][i]+125.0/192*k[3][i]-2187.0/6784*k[4][i]+11.0/84*k[5][i])
	}
	g.rate(&y, &k[6])
	g.after = y
	var worst float64
	for i := range g.n {
		e := h * (71.0/57600*k[0][i] - 71.0/16695*k[2][i] + 71.0/1920*k[3][i] - 17253.0/339200*k[4][i] + 22.0/525*k[5][i] - 1.0/40*k[6][i])
		worst = max(worst, math.Abs(e)/g.absolute[i])
	}
	return worst
}

// at returns the state at a share of the last step, 0 to 1.
func (g *motion) at(share float64, s *state) {
	a, b := share, 1-share
	for i := range g.n {
		d := g.after[i] - g.before[i]
		s[i] = b*g.before[i] + a*g.after[i] - a*b*((1-2*a)*d+g.h*(a*g.k[6][i]-b*g.k[0][i]))
	}
}
