package ballast_test

import (
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Of a machine without a swinging axle whose tracks nobody measured no wheel load
// is told; the axles are, for on the level they do not depend on tracks. The answer then still names each rating that is missing, and the tape
// comes first.
func TestQuestionsOfUnknownTracks(t *testing.T) {
	s := orchard()
	m := &s.Machine
	m.Undercarriage, m.AxlePinHeight, m.StopAngle = stability.Rigid, units.Input[units.Length]{}, units.Input[units.Angle]{}
	m.AxleMass, m.AxleHeight = units.Input[units.Mass]{}, units.Input[units.Length]{}
	m.RearTrack = units.Between[units.Length](1.1, 1.3)
	m.Front.Rating, m.Rear.WheelRating = units.Input[units.Mass]{}, units.Input[units.Mass]{}
	e, err := s.Envelope(ballast.Practice{})
	if err != nil {
		t.Fatal(err)
	}
	is, err := e.Check(binLift(1), 300)
	if err != nil {
		t.Fatal(err)
	}
	if is.Verdict != ballast.CannotSay {
		t.Errorf("the verdict is %v", is.Verdict)
	}
	for _, k := range []ballast.LimitKind{ballast.LimitFrontAxle, ballast.LimitRearRim} {
		if got := is.Limit(k).Verdict; got != ballast.NeedsRatings || !is.Usable.Missing.Has(1<<(k-1)) {
			t.Errorf("%v: %v, missing are %v", k, got, is.Usable.Missing)
		}
	}
	known := s
	known.Machine.RearTrack = units.Is[units.Length](1.2)
	want, err := known.Check(binLift(1), 300)
	if err != nil {
		t.Fatal(err)
	}
	for what, v := range map[string][2]units.Range[units.Mass]{
		"front": {is.Axles.Front, want.Axles.Front}, "rear": {is.Axles.Rear, want.Axles.Rear}, "tipping": {is.Usable.Limit(ballast.LimitTipping).Mass, want.Usable.Limit(ballast.LimitTipping).Mass},
		"rear axle": {is.Usable.Limit(ballast.LimitRearAxle).Mass, want.Usable.Limit(ballast.LimitRearAxle).Mass}, "bare": {is.Usable.Tipping, want.Usable.Tipping},
	} {
		near(t, what+", low", float64(v[0].Low), float64(v[1].Low), 1e-6)
		near(t, what+", high", float64(v[0].High), float64(v[1].High), 1e-6)
	}
	near(t, "required of the front axle", float64(is.Limit(ballast.LimitFrontAxle).Required), float64(want.Limit(ballast.LimitFrontAxle).Required), 1e-6)
	if is.Axles.RearLeft != (units.Range[units.Mass]{}) || is.Limit(ballast.LimitRearRim).Required != 0 || is.Limit(ballast.LimitRearTire).Verdict != ballast.CannotSay {
		t.Errorf("%+v, %+v", is.Axles, is.Limit(ballast.LimitRearTire))
	}
	list, err := e.Questions(t.Context(), binLift(1), 300)
	if err != nil {
		t.Fatal(err)
	}
	if len(list) < 3 || list[0].Instrument != ballast.FromTape || !slices.Equal(list[0].Paths, []string{"machine.rearTrack"}) {
		t.Errorf("the questions are %+v", list)
	}
}

// What stands on one plate is one question.
func TestQuestionsOfOnePlate(t *testing.T) {
	s := orchard()
	m := &s.Machine
	m.Front.Rating, m.Rear.Rating, m.GrossRating, m.ROPSRating = units.Input[units.Mass]{}, units.Input[units.Mass]{}, units.Input[units.Mass]{}, units.Input[units.Mass]{}
	e, err := s.Envelope(ballast.Practice{})
	if err != nil {
		t.Fatal(err)
	}
	list, err := e.Questions(t.Context(), binLift(1), 300)
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"machine.front.rating", "machine.rear.rating", "machine.grossRating"}; !slices.ContainsFunc(list, func(q ballast.Question) bool { return slices.Equal(q.Paths, want) }) {
		t.Errorf("no question for the machine's plate: %+v", list)
	}
	if !slices.ContainsFunc(list, func(q ballast.Question) bool { return slices.Equal(q.Paths, []string{"machine.ropsRating"}) }) {
		t.Errorf("no question for the structure's plate: %+v", list)
	}
}

// A height of the load's center of gravity with a load whose height over the tines
// nobody gave is answered with the range of practice, and holds the answer of each
// height in it.
func TestLoadHeightUnknown(t *testing.T) {
	s := orchard()
	l := binLift(1.6)
	l.Datum, l.Load.Above = ballast.LoadHeight, units.Input[units.Length]{}
	wide, err := s.UsableLoad(l)
	if err != nil {
		t.Fatal(err)
	}
	for _, above := range []units.Length{0, 0.4, 0.8, 1.2} {
		l.Load.Above = units.Is(above)
		is, err := s.UsableLoad(l)
		if err != nil {
			t.Fatal(err)
		}
		if is.Mass.Low < wide.Mass.Low-1e-9 || is.Mass.High > wide.Mass.High+1e-9 {
			t.Errorf("%v above: %v, of an unknown height %v", above, is.Mass, wide.Mass)
		}
	}
}

// Of an answer that one quantity leaves open, the chance to decide a load is the share of
// the values of that quantity, seven at equal chances, with which the load is decided once
// it has been measured; and what it narrows is the mean over them.
func TestQuestionDecides(t *testing.T) {
	const half = 0.005 // of a scale, as a share
	for _, c := range []struct {
		low, high units.Mass
		height    units.Length
	}{{1500, 2600, 1}, {1700, 1900, 0.3}, {1200, 2000, 1.6}} {
		s := orchard()
		s.Machine.Mass = units.Between(c.low, c.high)
		l := binLift(c.height)
		e, err := s.Envelope(ballast.Practice{})
		if err != nil {
			t.Fatal(err)
		}
		whole, err := e.UsableLoad(l)
		if err != nil {
			t.Fatal(err)
		}
		for i := range 9 {
			load := whole.Mass.Low + (whole.Mass.High-whole.Mass.Low)*units.Mass(float64(i)-0.5)/8
			if load < 0 {
				continue
			}
			decides, narrows := 0.0, 0.0
			for k := range 7 {
				at := float64(c.low) + float64(c.high-c.low)*(float64(k)+0.5)/7
				w := half * float64(c.low+c.high) / 2
				one := s
				one.Machine.Mass = units.Between(units.Mass(at-w), units.Mass(at+w))
				is, err := one.UsableLoad(l)
				if err != nil {
					t.Fatal(err)
				}
				if load <= is.Mass.Low || load > is.Mass.High {
					decides += 1.0 / 7
				}
				narrows += (1 - float64((is.Mass.High-is.Mass.Low)/(whole.Mass.High-whole.Mass.Low))) / 7
			}
			if load <= whole.Mass.Low || load > whole.Mass.High {
				decides = 0
			}
			list, err := e.Questions(t.Context(), l, load)
			if err != nil {
				t.Fatal(err)
			}
			found := false
			for _, q := range list {
				if slices.Equal(q.Paths, []string{"machine.mass"}) {
					found = true
					near(t, "decides", float64(q.Decides), decides, 1e-9)
					near(t, "narrows", float64(q.Narrows), narrows, 1e-9)
					if q.Instrument != ballast.FromScale || q.Care == "" || q.Code == "" || q.CareCode == "" {
						t.Errorf("%+v", q)
					}
				}
			}
			if !found {
				t.Errorf("load %v: nobody asks for the mass: %+v", load, list)
			}
		}
	}
}

// Questions of a slope ask for the friction where nobody gave it, and for what is open
// on a slope.
func TestSlopeQuestionsAsked(t *testing.T) {
	s := orchard()
	s.Machine.CG.Z = units.Input[units.Length]{}
	e, err := s.Envelope(ballast.Practice{})
	if err != nil {
		t.Fatal(err)
	}
	l := binLift(0.4)
	asked := func(g ballast.Ground, slope units.Slope) (paths []string) {
		list, err := e.SlopeQuestions(t.Context(), l, 300, g, slope)
		if err != nil {
			t.Fatal(err)
		}
		for _, q := range list {
			paths = append(paths, q.Paths...)
			if q.Narrows < 0 || q.Narrows > 1 || q.Decides < 0 || q.Decides > 1 {
				t.Errorf("%+v", q)
			}
		}
		return paths
	}
	limit, err := e.SlopeLimit(t.Context(), l, 300, ballast.Ground{})
	if err != nil {
		t.Fatal(err)
	}
	middle := (limit.Tip.Low + limit.Tip.High) / 2
	with := asked(ballast.Ground{}, middle)
	if !slices.Contains(with, "ground.friction") || !slices.Contains(with, "machine.cg.z") {
		t.Errorf("asked for %v", with)
	}
	if got := asked(ballast.Ground{Friction: units.Range[units.Fraction]{Low: 0.9, High: 0.9}}, middle); slices.Contains(got, "ground.friction") || !slices.Contains(got, "machine.cg.z") {
		t.Errorf("with a friction that is given: %v", got)
	}
}

// A limit outside the list is the zero value.
func TestLimitOutsideList(t *testing.T) {
	s := orchard()
	j, err := s.Check(binLift(1), 300)
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range []ballast.LimitKind{ballast.NoLimit, ballast.LimitKind(ballast.NumLimits + 1), 255} {
		if j.Limit(k) != (ballast.LimitVerdict{}) || j.Usable.Limit(k) != (ballast.LimitRange{}) {
			t.Errorf("limit %d: %+v, %+v", k, j.Limit(k), j.Usable.Limit(k))
		}
	}
	last := ballast.LimitKind(ballast.NumLimits)
	if j.Limit(last).Kind != last || j.Usable.Limit(last).Kind != last {
		t.Errorf("%+v", j.Limit(last))
	}
}

// A height that no machine of an envelope reaches names the reach of the one that reaches
// farthest.
func TestReachOfRange(t *testing.T) {
	s := orchard()
	s.Loader.LowestPin, s.Loader.HighestPin = units.Between[units.Length](0.15, 0.25), units.Between[units.Length](2.5, 2.7)
	s.Attachment.Tine = units.Between[units.Length](-0.15, -0.1)
	for h, ok := range map[units.Length]bool{-0.01: false, 0.01: true, 2.59: true, 2.61: false} {
		l := binLift(h)
		_, err := s.UsableLoad(l)
		if ok != (err == nil) || !ok && !strings.Contains(err.Error(), "must be between 0 m and 2.6 m over the top of the tines") {
			t.Errorf("%v: %v", h, err)
		}
	}
}

// Axle loads that are ranges and a mass that is their sum supply shares of the whole.
func TestSuppliedShares(t *testing.T) {
	s := orchard()
	m := &s.Machine
	m.Mass, m.CG.X = units.Input[units.Mass]{}, units.Input[units.Length]{}
	m.FrontLoad, m.RearLoad = units.Between[units.Mass](700, 800), units.Is[units.Mass](1200)
	s.Loader.FrameMass = units.Input[units.Mass]{}
	e, err := s.Envelope(ballast.Practice{FrameMass: units.Range[units.Fraction]{Low: 0.05, High: 0.1}})
	if err != nil {
		t.Fatal(err)
	}
	found := false
	for _, a := range e.Assumed() {
		if a.Path == "loader.frameMass" {
			found = true
			near(t, "low", float64(a.Mass.Low), 0.05*1900, 1e-9)
			near(t, "high", float64(a.Mass.High), 0.1*2000, 1e-9)
		}
		if strings.HasPrefix(a.Path, "machine.axle") {
			t.Errorf("%s is known", a.Path)
		}
	}
	if !found {
		t.Errorf("%+v", e.Assumed())
	}
	m.Undercarriage, m.AxlePinHeight, m.StopAngle, m.AxleMass, m.AxleHeight = stability.Rigid, units.Input[units.Length]{}, units.Input[units.Angle]{}, units.Input[units.Mass]{}, units.Input[units.Length]{}
	if e, err = s.Envelope(ballast.Practice{}); err != nil {
		t.Fatal(err)
	}
	for _, a := range e.Assumed() {
		if strings.HasPrefix(a.Path, "machine.axle") {
			t.Errorf("a rigid machine has no %s", a.Path)
		}
	}
}
