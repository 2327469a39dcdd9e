package ballast_test

import (
	"context"
	"errors"
	"reflect"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// wideOpen is the orchard tractor of which hardly anything has been measured.
func wideOpen() ballast.Setup {
	s := orchard()
	m := &s.Machine
	length := units.Input[units.Length]{}
	m.Undercarriage = stability.Tricycle
	m.CG, m.AxlePinHeight, m.AxleMass, m.AxleHeight, m.FrontTrack, m.Front.Radius = ballast.Position{}, length, units.Input[units.Mass]{}, length, length, length
	m.Front.Single, m.Front.TiresPerSide, m.StopAngle = true, 0, units.Input[units.Angle]{}
	m.Seat.Z, m.Fuel.CG.Z = length, length
	l, a := *s.Loader, *s.Attachment
	l.Pivot, l.Arm, l.ArmMass, l.FrameMass = ballast.Position{}, length, units.Input[units.Mass]{}, units.Input[units.Mass]{}
	a.Mass, a.CG, a.Tine = units.Input[units.Mass]{}, ballast.Offset{}, length
	s.Loader, s.Attachment = &l, &a
	return s
}

// What may take longer than 10 ms ends with its context wherever it is, and what it returns
// beside the error is nothing or part of the whole answer.
func TestContexts(t *testing.T) {
	e, err := wideOpen().Envelope(ballast.Practice{})
	if err != nil {
		t.Fatal(err)
	}
	s := orchard()
	s.Machine.CG.Z, s.Machine.AxlePinHeight = units.Input[units.Length]{}, units.Input[units.Length]{}
	few, err := s.Envelope(ballast.Practice{})
	if err != nil {
		t.Fatal(err)
	}
	lift := binLift(1.2)
	lift.Load.Center = units.Input[units.Length]{}
	byHeight := lift
	byHeight.Height = 0
	ground := ballast.Ground{Friction: units.Range[units.Fraction]{Low: 0.4, High: 0.6}}
	heights := []units.Length{0.8, 1, 1.2, 1.4, 1.6}
	for _, c := range []struct {
		name string
		ask  func(context.Context) (any, error)
		part func(whole, got any) bool
	}{
		{"questions", func(ctx context.Context) (any, error) { return e.Questions(ctx, lift, 300) }, fewer},
		{"slope questions", func(ctx context.Context) (any, error) { return few.SlopeQuestions(ctx, lift, 300, ground, 0.2) }, fewer},
		{"slope limit", func(ctx context.Context) (any, error) { return e.SlopeLimit(ctx, lift, 300, ground) }, none},
		{"rear lift", func(ctx context.Context) (any, error) { return e.RearLift(ctx, lift) }, none},
		{"loads by height", func(ctx context.Context) (any, error) { return e.LoadsByHeight(ctx, byHeight, heights, heights[:2]) },
			func(whole, got any) bool {
				w, g := whole.(ballast.LoadsByHeight), got.(ballast.LoadsByHeight)
				return len(g.Heights) == len(g.Cells) && (len(g.Cells) == 0 || reflect.DeepEqual(g.Cells, w.Cells[:len(g.Cells)]))
			}},
	} {
		never := &impatient{t.Context(), 1 << 30}
		whole, err := c.ask(never)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		asked := 1<<30 - never.left
		if asked < 5 {
			t.Errorf("%s: the context is asked %d times", c.name, asked)
		}
		for _, n := range []int{0, 1, asked / 3, asked / 2, asked - 1} {
			got, err := c.ask(&impatient{t.Context(), n})
			if !errors.Is(err, context.DeadlineExceeded) {
				t.Errorf("%s, asked %d of %d times: %v", c.name, n, asked, err)
			}
			if !c.part(whole, got) {
				t.Errorf("%s, asked %d of %d times: %+v, of %+v", c.name, n, asked, got, whole)
			}
		}
		var nobody context.Context
		if got, err := c.ask(nobody); err != nil || !reflect.DeepEqual(got, whole) {
			t.Errorf("%s, without a context: %v", c.name, err)
		}
	}
}

// none reports that an answer is empty.
func none(_, got any) bool { return reflect.ValueOf(got).IsZero() }

// fewer reports that each question is among those of the whole list.
func fewer(whole, got any) bool {
	for _, q := range got.([]ballast.Question) {
		found := false
		for _, w := range whole.([]ballast.Question) {
			found = found || w.How == q.How
		}
		if !found {
			return false
		}
	}
	return true
}
