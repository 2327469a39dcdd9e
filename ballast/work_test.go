package ballast_test

import (
	"context"
	"encoding/json"
	"errors"
	"math/rand/v2"
	"reflect"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// A planTask is a plan with a name.
type planTask struct {
	name  string
	setup ballast.Setup
	needs ballast.Needs
	stock ballast.Stock
}

// widened returns a stock with as much as its limits leave room for: 40 items,
// liquids in 50 steps and six options that go together, ten pieces each.
func widened(r *rand.Rand, st ballast.Stock) ballast.Stock {
	st.Items = append([]ballast.Item(nil), st.Items...)
	for i := range st.Items {
		it := &st.Items[i]
		old := it.Steps
		if len(old) == 0 {
			continue
		}
		it.Steps = nil
		for k := range ballast.Fixed.Steps {
			e := old[k%len(old)]
			e.Mass *= units.Mass(0.5 + r.Float64())
			e.Cents += r.Int64N(10000)
			it.Steps = append(it.Steps, e)
		}
	}
	for len(st.Items) < ballast.Fixed.Items {
		st.Items = append(st.Items, ballast.Item{Count: 1 + r.IntN(5), Cents: r.Int64N(20000), Piece: ballast.Piece{Kind: ballast.ChassisPiece,
			Mass: units.Is(units.Mass(1 + 40*r.Float64())), CG: ballast.Position{X: units.Is(units.Length(-0.6 + 3*r.Float64())), Z: units.Is[units.Length](0.5)}}})
	}
	st.Options = nil
	for k := range ballast.Fixed.Options {
		o := ballast.Option{Cents: 1000 + r.Int64N(9000)}
		for range 10 {
			o.Pieces = append(o.Pieces, ballast.Piece{Kind: ballast.ChassisPiece, Mass: units.Is(units.Mass(0.1 + r.Float64())), CG: ballast.Position{X: units.Is(0.9 - units.Length(k)/5), Z: units.Is[units.Length](0.5)}})
		}
		st.Options = append(st.Options, o)
	}
	return st
}

// worstPlans are plans of the largest size that is allowed: a frontier, twelve
// ways of a loader with a hundred rated points, tires filled one by one, and
// needs that conflict only all together.
func worstPlans(t testing.TB) []planTask {
	r := rand.New(rand.NewPCG(31, 1))
	var out []planTask
	randomPlan(r, ballast.Fixed.Needs, false)
	s, n, st := randomPlan(r, ballast.Fixed.Needs, false)
	n.Goal = ballast.LeastBoth
	st = widened(r, st)
	out = append(out, planTask{"frontier", s, n, st})

	n = ballast.Needs{Goal: ballast.LeastBoth}
	for k := range ballast.Fixed.Needs {
		l := liftNeed(units.Length(0.1+0.2*float64(k)), 420)
		l.Lift.Kind = ballast.StackHigh
		l.Lift.Slope, l.Lift.Heading = 0.05, units.Angle(k)/2
		n.List = append(n.List, l)
	}
	s = bareOrchard()
	l := *s.Loader
	l.Rated, l.BreakOut, l.CouplerRating = nil, units.Input[units.Force]{}, units.Input[units.Mass]{}
	for i := range 100 {
		l.Rated = append(l.Rated, ballast.RatedPoint{PinHeight: units.Length(0.18 + 0.025*float64(i)), AtPin: 5000})
	}
	s.Loader = &l
	out = append(out, planTask{"ways", s, n, st})

	s, off := unrated(t)
	s.Machine.Rear.TiresPerSide, s.Machine.Front.TiresPerSide = 3, 3
	for i := range 12 {
		name, kind := "14.9-24", ballast.RearLiquid
		if i >= 6 {
			name, kind = "7.50-16", ballast.FrontLiquid
		}
		tire, err := liquid.ParseTire(name)
		if err != nil {
			t.Fatal(err)
		}
		s.Pieces = append(s.Pieces, ballast.Piece{Kind: kind, Tires: 1,
			Fill: &liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(12)}})
	}
	few := st
	few.Items = st.Items[12:32]
	out = append(out, planTask{"fills", s, massAtLeast(off), few})

	// Pieces of whole pairs of kilograms, for 101 kg.
	s, off = unrated(t)
	n = ballast.Needs{}
	for k := range ballast.Fixed.Needs {
		n.List = append(n.List, massAtLeast(off + 100 + units.Mass(k)/10).List[0])
	}
	n.List[0].Mass = units.Range[units.Mass]{High: off + 100.7}
	even := widened(r, ballast.Stock{})
	for i := range even.Items {
		even.Items[i].Piece.Mass = units.Is(2 * units.Mass(1+i%3))
	}
	for i := range even.Options {
		for k := range even.Options[i].Pieces {
			even.Options[i].Pieces[k].Mass = units.Is[units.Mass](2)
		}
	}
	return append(out, planTask{"conflict", s, n, even})
}

func BenchmarkPlanWorst(b *testing.B) {
	for _, k := range worstPlans(b) {
		b.Run(k.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := ballast.Plan(b.Context(), k.setup, k.needs, k.stock); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// The work of a plan is bounded whatever its size: it ends within a tenth of
// its budget and what laying one combination costs, says that it ran out, and
// says the same each time.
func TestPlanWorkBounded(t *testing.T) {
	out := 0
	for _, k := range worstPlans(t) {
		for _, work := range []int{1, 20, 60} {
			k.needs.Work = work
			p, err := ballast.Plan(t.Context(), k.setup, k.needs, k.stock)
			if err != nil {
				t.Fatal(err)
			}
			if most := work + work/10 + 12; p.Proof.Work < 1 || p.Proof.Work > most {
				t.Errorf("%s: %d million steps, %d are allowed", k.name, p.Proof.Work, work)
			}
			if done := p.Proof.Proven && (p.Status != ballast.PlanConflict || p.Proof.SmallestConflict && p.Nearest != nil); !done && !p.Proof.Exhausted {
				t.Errorf("%s, work %d: %v, %+v", k.name, work, p.Status, p.Proof)
			}
			if p.Status == ballast.PlanOptimal != (len(p.Best.Answers) > 0 && p.Proof.Proven) {
				t.Errorf("%s, work %d: %v, %+v", k.name, work, p.Status, p.Proof)
			}
			if p.Proof.Exhausted {
				out++
			}
			again, err := ballast.Plan(t.Context(), k.setup, k.needs, k.stock)
			if err != nil {
				t.Fatal(err)
			}
			a, _ := json.Marshal(p)
			b, _ := json.Marshal(again)
			if string(a) != string(b) {
				t.Errorf("%s, work %d: two answers", k.name, work)
			}
		}
	}
	if out < 6 {
		t.Errorf("the work ran out %d times", out)
	}
	s, needs, st := bareOrchard(), massAtLeast(1), ballast.Stock{}
	for work, ok := range map[int]bool{-1: false, 0: true, 1: true, ballast.Fixed.PlanWork: true, ballast.Fixed.PlanWork + 1: false} {
		needs.Work = work
		_, err := ballast.Plan(t.Context(), s, needs, st)
		var f *units.FieldError
		if (err == nil) != ok || !ok && (!errors.As(err, &f) || f.Path != "needs.work") {
			t.Errorf("work %d: %v", work, err)
		}
	}
}

// impatient is a context that is done once it has been asked so many times.
type impatient struct {
	context.Context
	left int
}

func (c *impatient) Err() error {
	if c.left--; c.left < 0 {
		return context.DeadlineExceeded
	}
	return nil
}

// Wherever a plan is when its context is done, the answer is the context's
// error, with the plan if one was found by then. It is asked often enough: at least once in
// four million steps.
func TestPlanContext(t *testing.T) {
	for _, k := range worstPlans(t) {
		k.needs.Work = 60
		all := &impatient{t.Context(), 1 << 30}
		p, err := ballast.Plan(all, k.setup, k.needs, k.stock)
		if err != nil {
			t.Fatal(err)
		}
		asked := 1<<30 - all.left
		if asked*4 < p.Proof.Work {
			t.Errorf("%s: asked %d times in %d million steps", k.name, asked, p.Proof.Work)
		}
		for _, n := range []int{0, 1, asked / 3, asked / 2, asked - 1} {
			got, err := ballast.Plan(&impatient{t.Context(), n}, k.setup, k.needs, k.stock)
			found := (got.Status == ballast.PlanOptimal || got.Status == ballast.PlanFeasible) && len(got.Best.Answers) > 0
			if !errors.Is(err, context.DeadlineExceeded) || !found && !reflect.DeepEqual(got, ballast.Proposal{}) {
				t.Errorf("%s, asked %d times: %v, %v", k.name, n, got.Status, err)
			}
			if found && p.Status == ballast.PlanOptimal && got.Best.Mass < p.Best.Mass {
				t.Errorf("%s, asked %d times: %v is less than the least, %v", k.name, n, got.Best.Mass, p.Best.Mass)
			}
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	needs, st := massAtLeast(1), ballast.Stock{}
	if _, err := (ballast.Document{Setup: bareOrchard(), Needs: &needs, Stock: &st}).Plan(ctx); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	var none context.Context
	if _, err := ballast.Plan(none, bareOrchard(), needs, st); err != nil {
		t.Error(err)
	}
}
