package ballast_test

import (
	"slices"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Of a machine without a swinging axle whose tracks nobody measured no wheel load
// is told. The answer then still names each rating that is missing, and the tape
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
	list, err := e.Questions(binLift(1), 300)
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
	list, err := e.Questions(binLift(1), 300)
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
