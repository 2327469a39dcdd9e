package liquid_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/internal/validation"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// randomSection returns a section as odd as Validate lets one be.
func randomSection(r *rand.Rand) liquid.Section {
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	rb := in(0.08, 0.6)
	h := in(0.2, 1.2)*rb + 0.05
	w := in(0.4, 1.5)*h + 0.05
	wb := w * in(0.5, 1)
	return liquid.Section{
		RW: rb * in(0.6, 1), RB: rb, RM: rb + h*in(0.2, 0.6), RC: rb + h*in(0.65, 1),
		WW: wb * in(0.1, 1), WB: wb, W: w, N: []float64{1.5, 2, 2.5, 3, 5, in(1.5, 5)}[r.IntN(6)],
	}
}

type volumeCases struct {
	Cases []struct {
		Section struct{ RW, RB, RM, RC, WW, WB, W, N float64 }
		Upright [][5]float64
		Tilted  [][5]float64
		Count   [][4]float64
	}
}

func readVolumes(t testing.TB) volumeCases {
	t.Helper()
	b, err := os.ReadFile("../testdata/volumes.json")
	if err != nil {
		t.Fatal(err)
	}
	var v volumeCases
	if err := json.Unmarshal(b, &v); err != nil {
		t.Fatal(err)
	}
	if len(v.Cases) < 10 {
		t.Fatal("too few cases")
	}
	return v
}

// SciPy's adaptive quadrature of the definition, and Sobol points counted:
// testdata/volumes.json. Tolerance 1e-9 of the whole volume for the first, and
// five standard errors for the second.
func volumesAgainstSciPy(t *testing.T) {
	worst := map[string]float64{}
	whole := 0.0
	note := func(what string, got, want, scale, tol float64) {
		d := math.Abs(got-want) / scale
		if !(d <= tol) {
			t.Errorf("%s: %.15g, want %.15g (off by %.1e of the scale)", what, got, want, d)
		}
		worst[what] = math.Max(worst[what], d)
		if scale == whole {
			validation.Off(t, 100*d, "% of the volume")
		}
	}
	for _, k := range readVolumes(t).Cases {
		p := liquid.Section(k.Section)
		c := p.Cavity(0)
		ref := p.Cut(0)
		whole = float64(c.FullVolume())
		for _, u := range k.Upright {
			z := units.Length(u[0])
			note("compiled volume", float64(c.Volume(z)), u[1], whole, 1e-9)
			note("direct volume", float64(c.VolumeDirect(z)), u[1], whole, 1e-9)
			f := c.FreeSurface(z)
			note("area", float64(f.Area), u[2], ref.Area, 1e-7)
			note("pitch moment", float64(f.Pitch), u[3], ref.Pitch, 1e-9)
			note("roll moment", float64(f.Roll), u[4], ref.Roll, 1e-7)
			if u[1] > 1e-6*whole && u[1] < whole {
				// The level's error follows from the volume's by the area.
				back := c.Volume(c.LevelFor(units.Volume(u[1])))
				note("level", float64(back), u[1], whole, 1e-9)
			}
		}
		for _, u := range k.Tilted {
			v := c.Tilted(u[0], units.Angle(u[1]))
			note("tilted volume", v[0], u[2], whole, 1e-9)
			note("tilted moment along", v[1], u[3], whole*p.W, 1e-9)
			note("tilted moment square", v[2], u[4], whole*p.RC, 1e-9)
		}
		for _, u := range k.Count {
			v := c.Tilted(u[0], units.Angle(u[1]))
			note("counted", v[0], u[2], u[3], 5)
		}
	}
	t.Log(worst)
}

// The identities of a solid of revolution cut by a plane, for random
// sections.
func TestCavityIdentities(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 60 {
		p := randomSection(r)
		c := p.Cavity(0)
		whole := float64(c.FullVolume())
		near := func(what string, got, want, tol float64) {
			t.Helper()
			if !(math.Abs(got-want) <= tol) {
				t.Errorf("%s: %.15g, want %.15g for %+v", what, got, want, p)
			}
		}
		// Pappus: area times the path of its centroid, by the trapezoid rule.
		pappus := 0.0
		rule := numeric.Legendre(64)
		for _, s := range [][2]float64{{p.RW, p.RB}, {p.RB, p.RM}} {
			for i, x := range rule.X {
				q := (s[0] + s[1] + (s[1]-s[0])*x) / 2
				pappus += rule.W[i] * (s[1] - s[0]) / 2 * p.Width(q) * q
			}
		}
		for i, x := range rule.X { // q = rc - h s^5 smooths the crown's root
			s := (x + 1) / 2
			q := p.RC - (p.RC-p.RM)*math.Pow(s, 5)
			pappus += rule.W[i] / 2 * 5 * math.Pow(s, 4) * (p.RC - p.RM) * p.Width(q) * q
		}
		near("Pappus", whole, 2*math.Pi*pappus, 1e-7*whole)
		near("half at the axle", float64(c.Volume(0)), whole/2, 1e-10*whole)

		last := 0.0
		for i := range 400 {
			z := units.Length(p.RC * (-1 + float64(i)/199.5))
			v := float64(c.Volume(z))
			near("closure", v+float64(c.Volume(-z)), whole, 1e-15*whole)
			if v < last-1e-12*whole {
				t.Errorf("volume falls from %v to %v at %v of %+v", last, v, z, p)
			}
			last = v
			if v > 0 && v < whole {
				near("level of volume", float64(c.Volume(c.LevelFor(units.Volume(v)))), v, 1e-12*whole)
			}
		}

		// Centroid depth = I/V, against the moment of the volume itself: the
		// integral of z A(z), by the direct quadrature, on both sides.
		z := p.RC * (2*r.Float64() - 1)
		moment, volume := 0.0, 0.0
		cuts := []float64{-p.RC, -p.RM, -p.RB, -p.RW, p.RW, p.RB, p.RM, p.RC}
		for i := 0; i+1 < len(cuts); i++ {
			a, b := cuts[i], math.Min(cuts[i+1], z)
			if b <= a {
				continue
			}
			for j, x := range numeric.Legendre(96).X {
				// s(3-2s) .. 3s^2-2s^3 smooths the roots at both ends
				s := (x + 1) / 2
				q := a + (b-a)*s*s*(3-2*s)
				dq := numeric.Legendre(96).W[j] / 2 * (b - a) * 6 * s * (1 - s)
				area := p.Cut(math.Abs(q)).Area
				moment += dq * q * area
				volume += dq * area
			}
		}
		near("volume from areas", float64(c.Volume(units.Length(z))), volume, 1e-8*whole)
		if volume > 1e-4*whole {
			near("centroid", float64(c.CentroidDepth(units.Length(z))), -moment/volume, 1e-7*p.RC*whole/volume)
		}
	}
}

// The tilted method knows nothing of the compiled form: upright they agree,
// and tilted by little the centroid moves along the axle by the angle times
// I_roll/V, the definition of the free-surface rise.
func TestTiltAgainstUpright(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 40 {
		p := randomSection(r)
		c := p.Cavity(0)
		whole := float64(c.FullVolume())
		z := units.Length(p.RC * (1.8*r.Float64() - 0.9))
		u, err := c.TiltedAt(z, 0)
		if err != nil {
			t.Fatal(err)
		}
		v := c.Volume(z)
		if d := math.Abs(float64(u.Volume-v)) / whole; d > 1e-10 {
			t.Errorf("upright: %v, compiled %v: %v of the whole", u.Volume, v, d)
		}
		if d := math.Abs(float64(u.Depth - c.CentroidDepth(z))); d > 1e-8*whole/float64(v) {
			t.Errorf("upright: depth %v, compiled %v", u.Depth, c.CentroidDepth(z))
		}
		const small = 1e-5
		s, err := c.TiltedFor(v, small)
		if err != nil {
			t.Fatal(err)
		}
		rise := float64(c.FreeSurface(z).Roll) / float64(v)
		if d := math.Abs(float64(s.Offset)/small - rise); d > 1e-3*rise+1e-6 {
			t.Errorf("rise %v by tilting, %v from the surface", float64(s.Offset)/small, rise)
		}
		// Mirror: the same tilt the other way.
		m, err := c.TiltedFor(v, -0.3)
		if err != nil {
			t.Fatal(err)
		}
		o, _ := c.TiltedFor(v, 0.3)
		if m != o {
			t.Errorf("tilted left %+v, right %+v", m, o)
		}
		// Closure about the center: below at z and above at -z are one.
		a, _ := c.TiltedAt(z, 0.4)
		b, _ := c.TiltedAt(-z, 0.4)
		if d := math.Abs(float64(a.Volume+b.Volume)/whole - 1); d > 1e-10 {
			t.Errorf("closure tilted: off by %v", d)
		}
	}
	c := liquid.Section{0.25, 0.3, 0.45, 0.58, 0.15, 0.3, 0.35, 2.5}.Cavity(0)
	for _, bad := range []units.Angle{units.Angle(math.NaN()), 1.2, units.Angle(math.Inf(1))} {
		if _, err := c.TiltedAt(0, bad); err == nil {
			t.Errorf("tilt %v: no error", bad)
		}
		if _, err := c.TiltedFor(0.01, bad); err == nil {
			t.Errorf("tilt %v: no error", bad)
		}
	}
	for _, bad := range []units.Volume{units.Volume(math.NaN()), -1, 1e308} {
		if _, err := c.TiltedFor(bad, 0.1); err == nil {
			t.Errorf("volume %v: no error", bad)
		}
	}
	if v, err := c.TiltedFor(c.FullVolume(), 0.1); err != nil || math.Abs(float64(v.Volume/c.FullVolume())-1) > 1e-9 {
		t.Errorf("full and tilted: %+v, %v", v, err)
	}
}

// A flattened tire: what lies below the flat is lost, the rest is the
// undeflected cavity's, and a volume stands higher than in the round tire.
func TestDeflection(t *testing.T) {
	p := liquid.Section{0.25, 0.3, 0.45, 0.58, 0.15, 0.3, 0.35, 2.5}
	round, flat := p.Cavity(0), p.Cavity(0.06)
	lost := round.Volume(-0.52)
	for i := range 100 {
		z := units.Length(-0.52 + 1.1*float64(i)/99)
		want := max(round.Volume(z)-lost, 0)
		if d := math.Abs(float64(flat.Volume(z) - want)); d > 1e-10 {
			t.Errorf("at %v: %v, want %v", z, flat.Volume(z), want)
		}
		a, err := flat.TiltedAt(z, 0)
		if err != nil || math.Abs(float64(a.Volume-flat.Volume(z))) > 1e-10 {
			t.Errorf("at %v: tilted by nothing %v, %v; want %v", z, a.Volume, err, flat.Volume(z))
		}
		if v := flat.Volume(z); v > 0.001 {
			if d := math.Abs(float64(a.Depth - flat.CentroidDepth(z))); d > 1e-8 {
				t.Errorf("at %v: depth %v, tilted %v", z, flat.CentroidDepth(z), a.Depth)
			}
		}
	}
	if a, b := flat.LevelFor(0.05), round.LevelFor(0.05); a <= b {
		t.Errorf("level %v in the flat tire, %v in the round", a, b)
	}
	if got := flat.LevelFor(0); got != -0.52 {
		t.Errorf("empty level %v", got)
	}
	if flat.Volume(-0.53) != 0 || flat.CentroidDepth(-0.6) != 0.52 || flat.FreeSurface(-0.53) != (liquid.Surface{}) {
		t.Error("below the flat")
	}
}

// Beyond the cavity, and what is not a number.
func TestCavityEnds(t *testing.T) {
	c := liquid.Section{0.25, 0.3, 0.45, 0.58, 0.15, 0.3, 0.35, 2.5}.Cavity(0)
	full := c.FullVolume()
	if c.Volume(1) != full || c.Volume(-1) != 0 || c.Volume(0.58) != full || c.Volume(units.Length(math.Inf(1))) != full {
		t.Error("volume beyond the crown")
	}
	if c.LevelFor(-1) != -0.58 || c.LevelFor(2*full) != 0.58 || c.LevelFor(full) != 0.58 {
		t.Error("level beyond the volume")
	}
	if c.CentroidDepth(1) != 0 && math.Abs(float64(c.CentroidDepth(1))) > 1e-15 || c.CentroidDepth(-1) != 0.58 {
		t.Errorf("centroid beyond the crown: %v, %v", c.CentroidDepth(1), c.CentroidDepth(-1))
	}
	if c.FreeSurface(1) != (liquid.Surface{}) {
		t.Error("surface beyond the crown")
	}
	nan := units.Length(math.NaN())
	if c.Volume(nan) == c.Volume(nan) || c.LevelFor(units.Volume(nan)) == c.LevelFor(units.Volume(nan)) {
		t.Error("NaN must give NaN")
	}
	for _, tiny := range []float64{0, 1e-15, 1e-9, 1e-5, 1e-3} {
		z := units.Length(-0.58 + tiny)
		if d := float64(c.CentroidDepth(z)); !(d >= 0.57 && d <= 0.58) {
			t.Errorf("centroid of almost nothing: %v at %v", d, z)
		}
	}
}

// The least liquid lies between its surface and the bottom. Near the crown the
// surface grows with the power q = 1/2 + 1/n of the distance y from it, so the
// centroid lies there at the integral of y y^q over that of y^q (closed form):
// from the crown itself in the round tire, from the flat in a loaded one, where
// a thin sheet has it halfway.
func TestCentroidOfLittle(t *testing.T) {
	for _, n := range []float64{1.5, 2, 2.5, 4} {
		p := liquid.Section{0.25, 0.3, 0.45, 0.58, 0.15, 0.3, 0.35, n}
		q := 0.5 + 1/n
		for _, deflection := range []float64{0, 1e-4, 0.03, 0.06, 0.11} {
			c := p.Cavity(deflection)
			if got := float64(c.Bottom()); math.Abs(got-(0.58-deflection)) > 1e-15 {
				t.Errorf("bottom %v of a deflection of %v", got, deflection)
			}
			bottom := 0.58 - deflection
			for k := range 60 {
				h := 1e-4 * math.Pow(0.7, float64(k))
				depth := float64(c.CentroidDepth(units.Length(h - bottom)))
				if !(depth >= bottom-h-1e-15 && depth <= bottom+1e-15) {
					t.Errorf("exponent %v, deflected by %v, %v deep: centroid at %v", n, deflection, h, depth)
				}
				// The digits that the moments lose show below: there the test
				// above is all.
				y := deflection + h
				over := (q+1)/(q+2)*(math.Pow(y, q+2)-math.Pow(deflection, q+2))/(math.Pow(y, q+1)-math.Pow(deflection, q+1)) - deflection
				if got, want := (bottom-depth)/h, over/h; h > 1e-5 && math.Abs(got-want) > 3e-3 {
					t.Errorf("exponent %v, deflected by %v, %v deep: centroid at %v of that, want %v", n, deflection, h, got, want)
				}
			}
			if got := float64(c.CentroidDepth(units.Length(-bottom))); got != float64(c.Bottom()) {
				t.Errorf("nothing lies at %v", got)
			}
		}
	}
}

// How far the centroid lies below the center of a tilted wheel, whatever the
// shape: the integral of the volume up to the surface over the volume, less
// the surface's height (integration by parts of the moment of dV/dz).
func TestTiltedCentroid(t *testing.T) {
	rule := numeric.Legendre(32)
	c := liquid.Section{0.25, 0.3, 0.45, 0.58, 0.15, 0.3, 0.35, 2.5}.Cavity(0.05)
	for _, tilt := range []units.Angle{-0.7, 0.3} {
		for _, z := range []float64{-0.3, 0.2} {
			got, err := c.TiltedAt(units.Length(z), tilt)
			if err != nil {
				t.Fatal(err)
			}
			sum := 0.0
			const bottom = -0.75
			for i, x := range rule.X {
				v, err := c.TiltedAt(units.Length(bottom+(z-bottom)*(x+1)/2), tilt)
				if err != nil {
					t.Fatal(err)
				}
				sum += rule.W[i] * (z - bottom) / 2 * float64(v.Volume)
			}
			want := sum/float64(got.Volume) - z
			if depth := float64(got.CentroidDepth(tilt)); !(math.Abs(depth-want) <= 2e-4) {
				t.Errorf("tilted by %v, at %v: %v below the center, want %v", tilt, z, depth, want)
			}
		}
	}
}

// What each kind of level means, and where it is taken as empty or full.
func TestLevels(t *testing.T) {
	c := liquid.Section{0.25, 0.3, 0.45, 0.58, 0.15, 0.3, 0.35, 2.5}.Cavity(0.06)
	c.SetValve(0.29)
	full := c.FullVolume()
	for _, k := range []struct {
		l    liquid.Level
		want float64
		note liquid.Notes
	}{
		// hand calculation: 0.29 m times the cosine of 30 degrees an hour
		{liquid.ValveAt(12), 0.29, 0}, {liquid.ValveAt(0), 0.29, 0}, {liquid.ValveAt(1), 0.251147367097, 0}, {liquid.ValveAt(2), 0.145, 0}, {liquid.ValveAt(3), 0, 0}, {liquid.ValveAt(4), -0.145, 0},
		{liquid.ValveAt(5), -0.251147367097, 0}, {liquid.ValveAt(6), -0.29, 0}, {liquid.ValveAt(7), -0.251147367097, 0}, {liquid.ValveAt(8), -0.145, 0}, {liquid.ValveAt(9), 0, 0},
		{liquid.ValveAt(10), 0.145, 0}, {liquid.ValveAt(11), 0.251147367097, 0}, {liquid.ValveAt(2.5), 0.0750575231, 0},
		{liquid.ValveAtAngle(-60 * units.Degree), 0.145, 0}, {liquid.ValveAtAngle(150 * units.Degree), -0.251147367097, 0},
		{liquid.HeightAt(0.58), 0.58, 0}, {liquid.HeightAt(0.581), 0.58, liquid.NoteLevelClamped}, {liquid.HeightAt(-0.52), -0.52, 0}, {liquid.HeightAt(-0.521), -0.52, liquid.NoteLevelClamped}, {liquid.HeightAt(0.1), 0.1, 0},
		{liquid.FractionOf(0), -0.52, 0}, {liquid.FractionOf(1), 0.58, 0},
		{liquid.VolumeOf(0), -0.52, 0}, {liquid.VolumeOf(full), 0.58, 0}, {liquid.VolumeOf(full * 1.001), 0.58, liquid.NoteLevelClamped}, {liquid.VolumeOf(c.Volume(0.2)), 0.2, 0},
		{liquid.MassOf(0), -0.52, 0}, {liquid.MassOf(1100 * units.Mass(full) * 1.001), 0.58, liquid.NoteLevelClamped}, {liquid.MassOf(1100 * units.Mass(c.Volume(-0.2))), -0.2, 0},
		{liquid.FractionOf(units.Fraction(c.Volume(0.3) / full)), 0.3, 0},
		{liquid.Level{}, -0.52, liquid.NoteLevelClamped},
	} {
		z, n := c.Level(k.l, 1100)
		if math.Abs(float64(z)-k.want) > 1e-10 || n != k.note {
			t.Errorf("%+v: %v with %v, want %v with %v", k.l, z, n, k.want, k.note)
		}
	}
	for _, h := range []float64{3, 9} {
		if z, _ := c.Level(liquid.ValveAt(h), 0); z != 0 {
			t.Errorf("%v o'clock is %v over the axle", h, z)
		}
	}
	if err := (liquid.Level{Kind: liquid.LevelMass + 1}).Validate(); err == nil {
		t.Error("a kind that does not exist is taken")
	}
}

// Kernels for sweeps allocate nothing.
func TestCavityAllocatesNothing(t *testing.T) {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		t.Fatal(err)
	}
	c, err := tire.Compile()
	if err != nil {
		t.Fatal(err)
	}
	f := liquid.Brine(liquid.CalciumChloride, 0.25)
	sum := 0.0
	if n := testing.AllocsPerRun(100, func() {
		z := c.LevelForMass(150, 1230)
		sum += float64(c.Volume(z)) + float64(c.CentroidDepth(z)) + float64(c.FreeSurface(z).Roll)
		r, err := c.Fill(f, liquid.ValveAt(12), 273.15)
		if err != nil {
			sum = math.NaN()
		}
		sum += float64(r.Mass)
	}); n != 0 || math.IsNaN(sum) {
		t.Errorf("%v allocations, sum %v", n, sum)
	}
}

// valve_fill.csv gives the fraction for a section of constant width and for
// an elliptic one, between r and R, to four digits.
func valveFill(t *testing.T) {
	for _, r := range rows(t, "valve_fill.csv") {
		ratio, h := parse(t, r["R_over_r"]), parse(t, r["level_h_over_r"])
		fill := func(p liquid.Section) float64 {
			c := p.Cavity(0)
			return float64(c.Volume(units.Length(h)) / c.FullVolume())
		}
		// A crown close above the widest line makes the width constant.
		flat := liquid.Section{RW: 1, RB: 1, RM: ratio - 1e-7, RC: ratio, WW: 1, WB: 1, W: 1, N: 2}
		got, want := fill(flat), parse(t, r["fraction_constant_width_section"])
		validation.Off(t, 100*(got-want), "% of the volume")
		if math.Abs(got-want) > 6e-5 {
			t.Errorf("R/r %v, level %v: constant width %.5f, want %v", ratio, h, got, want)
		}
	}
}
