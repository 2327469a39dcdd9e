package weigh

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// The factor of a covariance gives it back, also where some of what it speaks of is a sum of the
// rest or exact.
func TestRoot(t *testing.T) {
	r := rand.New(rand.NewPCG(91, 1))
	for try := range 200 {
		n, rank := 1+r.IntN(7), 0
		if rank = n; try%2 == 1 {
			rank = 1 + r.IntN(n)
		}
		a := make([]float64, n*rank)
		for i := range a {
			a[i] = r.NormFloat64()
		}
		if try%4 == 3 { // one of them is exact
			for k := range rank {
				a[k] = 0
			}
		}
		cov := make([]float64, n*n)
		for i := range n {
			for j := range n {
				for k := range rank {
					cov[i*n+j] += a[i*rank+k] * a[j*rank+k]
				}
			}
		}
		l := root(cov, n)
		for i := range n {
			for j := range n {
				var sum float64
				for k := range n {
					sum += l[i*n+k] * l[j*n+k]
				}
				if math.Abs(sum-cov[i*n+j]) > 1e-5*(1+math.Sqrt(cov[i*n+i]*cov[j*n+j])) {
					t.Fatalf("try %d, %d of %d: %v, want %v", try, rank, n, sum, cov[i*n+j])
				}
				if j > i && l[i*n+j] != 0 {
					t.Fatalf("try %d: the factor is not lower", try)
				}
			}
		}
	}
}

// lifted is a record of a machine with lift cylinders.
func lifted() Record {
	tape := func(l TapedLength, v units.Length) Taped { return Taped{Length: l, Value: v, SD: 0.005} }
	return Record{
		Mass: 2600, Attachment: ballast.Forks, Undercarriage: stability.PivotingFront, Cylinders: 2, Scale: Scale{SD: 3, Division: 2},
		Tape:    []Taped{tape(TapedWheelbase, 2.05), tape(TapedPivotX, 1.05), tape(TapedPivotZ, 1.55), tape(TapedArm, 2.2)},
		Weights: []AxleReading{{Pin: 0.4, Front: 1120, Rear: 1542}},
	}
}

// The friction of a setup is what is left of the relief pressure after both parts of it, as a share,
// and no more than a setup takes.
func TestFrictionOfTheSetup(t *testing.T) {
	for _, high := range []units.Fraction{0.14, 0.9} {
		r := lifted()
		if high > 0.5 {
			r.Practice.Friction = units.Range[units.Fraction]{Low: 0.28, High: 0.3}
		}
		m, err := r.Fit(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		relief := math.Exp(m.at[unRelief])
		want := m.at[unDrag] + m.at[unStick]/relief
		s, err := m.Setup(0.3, 2.9)
		if err != nil {
			t.Fatal(err)
		}
		if got := float64(s.Loader.Cylinders.Friction.Value()); math.Abs(got-math.Min(0.3, want)) > 1e-9 || got < 0.05 {
			t.Errorf("%v, want %v", got, want)
		}
	}
}

// The pins of a setup are as far from the pivot as the arms reach at a sine of 0.98, from a
// centimeter over the ground, the highest at least 10 cm over the lowest.
func TestPinsOfTheSetup(t *testing.T) {
	r := lifted()
	m, err := r.Fit(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	pivot, arm := m.at[unPivotZ], m.at[unArm]
	low, high := units.Length(math.Max(0.011, pivot-0.979*arm)), units.Length(pivot+0.979*arm)
	for _, c := range []struct {
		lowest, highest units.Length
		ok              bool
	}{
		{low, high, true}, {0.3, units.Length(pivot + 0.981*arm), false}, {0.3, 0.4001, true}, {0.3, 0.399, false},
		{0.0099, 2, false}, {0.0101, 2, true}, {3.2, 10.1, false}, {0.3, 0.3, false}, {2, 1, false},
	} {
		if _, err := m.Setup(c.lowest, c.highest); (err == nil) != c.ok {
			t.Errorf("%v to %v: %v", c.lowest, c.highest, err)
		}
	}
	// A question reaches as far as 0.99.
	for sine, ok := range map[float64]bool{0.989: true, 0.991: false} {
		q := Question{Kind: AskTippingLoad, Pin: units.Length(pivot + sine*arm), Ahead: 0.7}
		if _, err := m.Ask(q); (err == nil) != ok {
			t.Errorf("a sine of %v: %v", sine, err)
		}
	}
	// So it does below the pivot.
	short := lifted()
	short.Tape[2].Value, short.Tape[3].Value = 1.7, 1.6
	if m, err = short.Fit(t.Context()); err != nil {
		t.Fatal(err)
	}
	if m.Doubts != 0 {
		t.Fatal(m.Doubts)
	}
	pivot, arm = m.at[unPivotZ], m.at[unArm]
	for sine, ok := range map[float64]bool{0.989: true, 0.991: false} {
		q := Question{Kind: AskTippingLoad, Pin: units.Length(pivot - sine*arm), Ahead: 2.5}
		if _, err := m.Ask(q); (err == nil) != ok {
			t.Errorf("a sine of -%v: %v", sine, err)
		}
	}
}

// The pressure of a setup is the relief pressure, from which the setup takes the friction off again:
// that of the joint estimate is the estimate itself, and the range has it in its middle.
func TestPressureOfTheSetup(t *testing.T) {
	r := lifted()
	r.Gauge = Gauge{SD: 150000}
	r.Figures = []Figure{{Kind: FigureRelief, Pressure: 16e6, SD: 0.02}}
	for length, v := range map[TapedLength]units.Length{TapedCylinderAhead: 0.11, TapedCylinderAbove: -0.37, TapedRodAlong: 0.88, TapedRodAbove: -0.11, TapedBore: 0.06} {
		r.Tape = append(r.Tape, Taped{Length: length, Value: v, SD: 0.002})
	}
	m, err := r.Fit(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	relief := 1e6 * math.Exp(m.at[unRelief])
	j, err := m.Joint(0.3, 2.9)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.Index(j.Paths, "loader.cylinders.pressure")
	if i < 0 || math.Abs(j.Mean[i]/relief-1) > 1e-9 {
		t.Fatalf("%v of %v, want a pressure of %v", j.Mean, j.Paths, relief)
	}
	drawn := j.Draw(func() float64 { return 0 })
	if p := float64(drawn.Loader.Cylinders.Pressure.Value()); math.Abs(p/relief-1) > 1e-9 {
		t.Errorf("drawn %v, want %v", p, relief)
	}
	s, err := m.Setup(0.3, 2.9)
	if err != nil {
		t.Fatal(err)
	}
	low, high, ok := ends(s.Loader.Cylinders.Pressure)
	if !ok || math.Abs((low+high)/2/relief-1) > 0.005 || !(low < relief && relief < high) {
		t.Errorf("%v to %v, want %v in the middle", low, high, relief)
	}
}

func ends(in units.Input[units.GaugePressure]) (low, high float64, ok bool) {
	r, ok := in.Range()
	return float64(r.Low), float64(r.High), ok
}
