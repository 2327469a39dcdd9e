package weigh_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/ballast/weigh"
)

// walkPosterior samples the posterior and returns mean and standard deviation of each
// answer, and the share of samples that were taken. Between samples a point glides over
// the posterior with a random push, in the metric of the estimate, and stays where the
// energy is kept well enough (S. Duane et al., Phys. Lett. B 195 (1987) 216).
//
// The scale knows the moment of all masses far better than it knows arms, attachment and
// body: to keep to that knowledge, the center of the body moves so that the moment goes
// straight on. The density counts how that stretches space.
func walkPosterior(r *rand.Rand, e *weigh.Estimator, qs []weigh.Question, samples int) (sd []float64, taken float64) {
	step := 0.22
	center, cov := e.Estimate()
	n := len(center)
	l := cholesky(cov, n)
	vec := func() []float64 { return make([]float64, n) }
	z, there, push, at, plain, slope, force := vec(), vec(), vec(), vec(), vec(), vec(), vec()
	// density returns the log of the density at a place, and sets its slope there.
	density := func(z []float64) float64 {
		for i := range plain {
			plain[i] = center[i]
			for j := range i + 1 {
				plain[i] += l[i*n+j] * z[j]
			}
		}
		copy(at, plain)
		stretch, ok := straight(center, at)
		if !ok {
			return math.Inf(-1)
		}
		p := e.LogPosterior(at, slope)
		// Back through what moved the body.
		body, place := slope[0], slope[1]
		slope[0], slope[1] = 0, 0
		for _, i := range []int{0, 1, 7, 8, 9, 10, 12, 13, 14, 15} {
			const d = 1e-6
			copy(force, plain)
			force[i] += d
			up, _ := straight(center, force)
			slope[i] += (body*(force[0]-at[0]) + place*(force[1]-at[1]) + up - stretch) / d
		}
		for j := range force {
			force[j] = 0
			for i := j; i < n; i++ {
				force[j] += l[i*n+j] * slope[i]
			}
		}
		return p + stretch
	}
	half := func(v []float64) (h float64) {
		for _, x := range v {
			h += x * x / 2
		}
		return h
	}
	mean, square, count := make([]float64, len(qs)), make([]float64, len(qs)), make([]float64, len(qs))
	warm := samples / 20
	for k := -warm; k < samples; k++ {
		if k < 0 && k%10 == 0 || k == 0 { // shorter steps until most are taken
			if k > -warm && taken < 7 {
				step *= 0.75
			}
			taken = 0
		}
		for i := range push {
			push[i] = r.NormFloat64()
		}
		copy(there, z)
		before := density(there) - half(push)
		var after float64
		for range 5 + r.IntN(6) {
			for i := range push {
				push[i] += step / 2 * force[i]
				there[i] += step * push[i]
			}
			after = density(there)
			for i := range push {
				push[i] += step / 2 * force[i]
			}
		}
		if math.Log(r.Float64()) < after-half(push)-before {
			taken++
			copy(z, there)
		}
		if k < 0 {
			continue
		}
		density(z) // sets the place
		for i, q := range qs {
			v, err := e.Answer(at, q)
			if err != nil {
				continue
			}
			count[i]++
			mean[i] += v
			square[i] += v * v
		}
	}
	for i := range qs {
		m := mean[i] / count[i]
		sd = append(sd, math.Sqrt(square[i]/count[i]-m*m))
	}
	return sd, taken / float64(samples)
}

// straight moves the place of the body, the second unknown, so that the moment of all
// masses about the rear contact line is what the changes from the center make it to first
// order; their sum is a sum of unknowns and goes straight by itself. It returns the
// logarithm of how much that stretches space.
func straight(center, at []float64) (float64, bool) {
	places := func(u []float64) (armX, hungX float64) {
		base, low := u[12], 0.35-u[14]
		c := math.Sqrt(math.Max(0.01, 1-low*low/(u[15]*u[15])))
		return (u[13] + u[8]*u[15]*c) / base, (u[13] + u[15]*c + u[10]) / base
	}
	ax0, hx0 := places(center)
	ax, hx := places(at)
	b0, a0, h0, b, a, h := center[0], center[7], center[9], at[0], at[7], at[9]
	moment := b*center[1] + b0*(at[1]-center[1]) + a*ax0 + a0*(ax-ax0) + h*hx0 + h0*(hx-hx0)
	if !(b > 0.1*b0) {
		return 0, false
	}
	at[1] = (moment - a*ax - h*hx) / b
	return math.Log(b0) - math.Log(b), true
}

// cholesky returns the lower factor of a covariance; an unknown that is exact has a
// row of zeros.
func cholesky(a []float64, n int) []float64 {
	l := make([]float64, n*n)
	for i := range n {
		for j := range i + 1 {
			s := a[i*n+j]
			for k := range j {
				s -= l[i*n+k] * l[j*n+k]
			}
			switch {
			case i == j:
				l[i*n+i] = math.Sqrt(math.Max(s, 0))
			case l[j*n+j] > 0:
				l[i*n+j] = s / l[j*n+j]
			}
		}
	}
	return l
}

// The standard deviations of the answers are those of samples of the posterior: the
// curvature at the estimate tells them. In a short run the samples themselves are too
// few for more than a fifth.
func TestTwinsAgainstSampling(t *testing.T) {
	machines, steps, low, high := 2, 400, 0.8, 1.25
	if *twins >= 1000 {
		machines, steps, low, high = 24, 20000, 0.93, 1.08
	}
	r := rand.New(rand.NewPCG(50, 1))
	least, most := math.Inf(1), 0.0
	for i := range machines {
		m := newMachine(r, 1, 1)
		p := everything
		if i%2 == 1 {
			p = plan{weights: true, loads: true}
		}
		rec := m.reads(r, p)
		var e weigh.Estimator
		if _, ok := e.Fit(&rec); !ok {
			t.Fatal("no estimate")
		}
		got, err := rec.Fit(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if got.Doubts != 0 || len(got.Suspects) > 0 {
			continue
		}
		asks := m.asks()
		var qs []weigh.Question
		for _, a := range asks {
			if p.relief || a.q.Kind == weigh.AskTippingLoad || a.q.Kind == weigh.AskFrontLoad {
				qs = append(qs, a.q)
			}
		}
		sd, taken := walkPosterior(r, &e, qs, steps)
		if taken < 0.5 {
			t.Errorf("machine %d: %.0f %% of the samples taken", i, 100*taken)
		}
		for j, q := range qs {
			a, err := got.Ask(q)
			if err != nil {
				t.Fatal(err)
			}
			ratio := float64(a.Mass.SD) / sd[j]
			if q.Kind == weigh.AskSlopeLimit {
				ratio = float64(a.Slope.SD) / sd[j]
			}
			least, most = math.Min(least, ratio), math.Max(most, ratio)
			if ratio < low || ratio > high {
				t.Errorf("machine %d, %v: standard deviation %.3f of that of the samples", i, q.Kind, ratio)
			}
		}
	}
	t.Logf("%d machines: standard deviations %.3f to %.3f of those of the samples", machines, least, most)
}
