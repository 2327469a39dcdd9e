package ballast_test

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Every cell of a chart is the usable load of its case.
func TestLoadsByHeightCells(t *testing.T) {
	s, l := orchard(), binLift(0)
	l.Load.Center = units.Input[units.Length]{}
	heights := []units.Length{0.2, 0.9, 1.5, 2.4}
	centers := []units.Length{0.4, 0.5, 0.7}
	c, err := s.LoadsByHeight(t.Context(), l, heights, centers)
	if err != nil {
		t.Fatal(err)
	}
	for i, h := range heights {
		last := units.Mass(1e9)
		for j, e := range centers {
			one := l
			one.Height, one.Load.Center = h, known(e)
			want, err := s.UsableLoad(one)
			if err != nil {
				t.Fatal(err)
			}
			u := use(t, s, one)
			if got := c.Cells[i][j]; got != (ballast.Cell{want.CapacityRange, want.Lift, want.Carry}) || u.Status == stability.Binds && got.IfRated.Low != u.Mass {
				t.Errorf("%v, %v: %+v, want %v by %v", h, e, got, u.Mass, u.Governing)
			}
			// Forks with the load farther out carry less: common practice, no
			// source, and a moment balance.
			if u.Mass > last {
				t.Errorf("%v: %v farther out, %v is more than %v", h, e, u.Mass, last)
			}
			last = u.Mass
		}
	}
}

func TestLoadsByHeightErrors(t *testing.T) {
	s, l := orchard(), binLift(0)
	l.Load.Center = units.Input[units.Length]{}
	_, err := s.LoadsByHeight(t.Context(), l, []units.Length{1, 9, 0.5, 8}, []units.Length{0.5, 99, -1})
	if err == nil {
		t.Fatal("no error")
	}
	for _, want := range []string{"heights[1]", "heights[3]", "centers[1]", "centers[2]"} {
		if strings.Count(err.Error(), want) != 1 {
			t.Errorf("%s is not named once:\n%v", want, err)
		}
	}
	// At most 10000 cells and at least one. The places are out of reach, so
	// that a chart that is accepted is none.
	out := func(n int) []units.Length { return slices.Repeat([]units.Length{99}, n) }
	for _, c := range []struct {
		heights, centers int
		want             string // "" where the size is accepted
	}{
		{0, 1, "heights"}, {1, 0, "centers"}, {0, 0, "heights"}, {0, 0, "centers"}, {1, 1, ""},
		{1, 10000, ""}, {1, 10001, "centers"}, {10000, 1, ""}, {10001, 1, "heights"}, {0, 10001, "centers"},
		{100, 100, ""}, {100, 101, "centers"}, {101, 100, "centers"}, {3, 3333, ""}, {3, 3334, "centers"},
		{200, 200, "centers"},
	} {
		_, err := s.LoadsByHeight(t.Context(), l, out(c.heights), out(c.centers))
		if c.want != "" {
			fieldtest.Names(t, "size", err, c.want)
		} else if fieldtest.Named(err, "heights") || fieldtest.Named(err, "centers") {
			t.Errorf("%d heights, %d centers: %v", c.heights, c.centers, err)
		}
	}
	// What the chart has of its own is left out of the case, and what is wrong
	// with the case itself is said once.
	for path, spoil := range map[string]func(*ballast.Lift){
		"lift.kind":        func(l *ballast.Lift) { l.Kind, l.Datum = ballast.BreakOut, ballast.DatumUnknown },
		"lift.height":      func(l *ballast.Lift) { l.Height = 1 },
		"lift.load.center": func(l *ballast.Lift) { l.Load.Center = units.Is[units.Length](0.5) },
		"lift.speed":       func(l *ballast.Lift) { l.Speed = -1 },
	} {
		l := l
		spoil(&l)
		for _, n := range []int{1, 3} {
			_, err := s.LoadsByHeight(t.Context(), l, []units.Length{0.9, 1, 1.1}[:n], []units.Length{0.4, 0.5, 0.6}[:n])
			fieldtest.Names(t, "case", err, path)
			if err != nil && strings.Count(err.Error(), path+":") != 1 {
				t.Errorf("%d by %d cells: %s is not named once:\n%v", n, n, path, err)
			}
		}
	}
	_, err = s.LoadsByHeight(t.Context(), l, []units.Length{1}, []units.Length{99})
	fieldtest.Names(t, "one cell", err, "centers[0]")
	_, err = s.LoadsByHeight(t.Context(), l, []units.Length{99}, []units.Length{0.5})
	fieldtest.Names(t, "one cell", err, "heights[0]")
	// As many as an error keeps, and no look at the rest.
	_, err = s.LoadsByHeight(t.Context(), l, out(2*units.MaxFieldErrors), []units.Length{0.5})
	var all interface{ Unwrap() []error }
	if !errors.As(err, &all) || len(all.Unwrap()) != units.MaxFieldErrors || strings.Contains(err.Error(), "more") {
		t.Errorf("200 heights out of reach: %v", err)
	}
}

// Facts of the trade (common practice, no source).
func TestTradeFacts(t *testing.T) {
	s := orchard()
	hydraulic := func(h units.Length) units.Mass {
		l := binLift(h)
		u := use(t, s, l)
		return u.Limit(ballast.LimitHydraulic).Mass
	}
	// The usual loader lifts at least as much from the ground as at 0.9 m,
	// and there at least as much as at full height.
	if low, mid, high := hydraulic(0.08), hydraulic(0.9), hydraulic(2.5); !(low >= mid && mid >= high && high > 0) {
		t.Errorf("hydraulic lift %v, %v, %v", low, mid, high)
	}
	// Forks with the load farther out tip earlier than a bucket of equal mass
	// and center of gravity.
	forks := use(t, s, binLift(1)).Tipping
	bucket := s
	b := *s.Attachment
	b.Kind, b.Edge, b.Face, b.LoadCenter, b.Tine = ballast.Bucket, ballast.Offset{Ahead: units.Is[units.Length](0.7), Above: units.Is[units.Length](-0.12)}, units.Is[units.Length](0.35), units.Input[units.Length]{}, units.Input[units.Length]{}
	bucket.Attachment = &b
	l := binLift(1)
	l.Datum, l.Load.Center = ballast.EdgeHeight, units.Input[units.Length]{}
	if got := use(t, bucket, l).Tipping; got <= forks {
		t.Errorf("bucket tips at %v, forks at %v", got, forks)
	}
	// Filled rear tires raise the tipping load.
	dry := s
	dry.Pieces = append([]ballast.Piece(nil), s.Pieces[1:]...)
	if got := use(t, dry, binLift(1)).Tipping; got >= forks {
		t.Errorf("tipping load %v without liquid, %v with it", got, forks)
	}
	// On the front axle as fulcrum the rear axle's load is zero exactly at the
	// tipping load.
	u := use(t, s, binLift(1))
	near(t, "rear axle at the tipping load", float64(check(t, s, binLift(1), u.Tipping).Axles.Rear), 0, 1e-9)
	if u.Limit(ballast.LimitTipping).Mass >= u.Tipping {
		t.Error("the safety basis leaves no margin")
	}
}

// The way to full height passes the arm's greatest reach: what may be stacked
// high is no more than what may be held at any height on the way. What may be
// taken off a deck is lifted at the deck only.
func TestKindsOfCases(t *testing.T) {
	s := orchard()
	top := binLift(2.4)
	top.Kind = ballast.StackHigh
	stack := use(t, s, top)
	top.Kind = ballast.TakeOffDeck
	deck := use(t, s, top)
	top.Kind = ballast.Hold
	hold := use(t, s, top)
	for h := units.Length(0.08); h <= 2.4; h += 0.04 {
		l := binLift(h)
		u := use(t, s, l)
		for _, k := range []ballast.LimitKind{ballast.LimitTipping, ballast.LimitRearWheel, ballast.LimitFrontAxle, ballast.LimitFrontTire, ballast.LimitHydraulic} {
			if got := stack.Limit(k).Mass; got > u.Limit(k).Mass*(1+1e-3) || k != ballast.LimitHydraulic && got > u.Limit(k).Mass*(1+1e-9) {
				t.Errorf("stacking allows %v kg by %v, holding at %v only %v", got, k, h, u.Limit(k).Mass)
			}
		}
	}
	if stack.Limit(ballast.LimitTipping).Mass >= hold.Limit(ballast.LimitTipping).Mass {
		t.Error("the way to the top is no worse than the top")
	}
	if deck.Limit(ballast.LimitHydraulic).Mass != hold.Limit(ballast.LimitHydraulic).Mass || deck.Limit(ballast.LimitTipping).Mass != stack.Limit(ballast.LimitTipping).Mass {
		t.Error("taking off a deck: hydraulic at the deck, tipping on the way")
	}
	if stack.Notes&ballast.NotePath == 0 {
		t.Error("no note of the way")
	}

	// Breaking out is by the bucket's edge and the rated force.
	a := ballast.Attachment{Kind: ballast.Bucket, Mass: units.Is[units.Mass](140), CG: ballast.Offset{Ahead: units.Is[units.Length](0.3), Above: units.Is[units.Length](0.1)}, Face: units.Is[units.Length](0.45), Edge: ballast.Offset{Ahead: units.Is[units.Length](0.8), Above: units.Is[units.Length](-0.2)}}
	s.Attachment = &a
	u := use(t, s, ballast.Lift{Kind: ballast.BreakOut, Factor: 1, Basis: wholeShare})
	near(t, "break-out", float64(u.Limit(ballast.LimitBreakOut).Mass), 14000/9.81, 1e-9)
	if u.Limit(ballast.LimitGross).Status != stability.CannotOccur {
		t.Errorf("a force has no mass, but the gross mass is %v", u.Limit(ballast.LimitGross).Status)
	}
	carry := binLift(0.2)
	carry.Kind, carry.Speed, carry.Datum = ballast.CarryLow, 0, ballast.PinHeight
	if _, err := pointUse(s, carry); err == nil || !strings.Contains(err.Error(), "speed") {
		t.Errorf("carrying low without a speed: %v", err)
	}
}

// A chart whose context has ended is no chart, and the error says why.
func TestLoadsByHeightStops(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	l := binLift(0)
	l.Load.Center = units.Input[units.Length]{}
	c, err := orchard().LoadsByHeight(ctx, l, []units.Length{1}, []units.Length{0.5})
	if !errors.Is(err, context.Canceled) || c.Cells != nil {
		t.Errorf("%v, %d rows", err, len(c.Cells))
	}
	var none context.Context
	if c, err := orchard().LoadsByHeight(none, l, []units.Length{1}, []units.Length{0.5}); err != nil || len(c.Cells) != 1 {
		t.Errorf("without a context: %v, %d rows", err, len(c.Cells))
	}
}
