package ballast_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// shortage is how much one demand of a need misses, in kilograms; what it has
// to spare is negative.
type shortage struct {
	kg    float64
	limit ballast.LimitKind
	state ballast.State
}

// shortages returns every demand of a need on a machine with its pieces on,
// written out from the wheel loads that the model tells in public. Lifts are
// of the plain kind: held on level ground, rear share, factor 1.
func shortages(t *testing.T, s ballast.Setup, n *ballast.Need) []shortage {
	t.Helper()
	s.Pieces = slices.Clone(s.Pieces)
	m := &s.Machine
	hitch := 0.0
	for i := range s.Pieces {
		p := &s.Pieces[i]
		if p.Kind.OnHitch() {
			if p.State = n.Hitch; p.State == ballast.Raised {
				hitch += float64(p.Mass.Value()) * max(1, float64(m.Hitch.X.Value()-p.CG.X.Value())/0.610)
			}
		}
	}
	k, err := s.Compile()
	if err != nil {
		t.Fatal(err)
	}
	var out []shortage
	demand := func(w ballast.WheelLoads, st ballast.State) {
		need := func(limit ballast.LimitKind, kg units.Mass) { out = append(out, shortage{float64(kg), limit, st}) }
		most := func(limit ballast.LimitKind, v, rating units.Mass) {
			if rating > 0 {
				need(limit, v-rating)
			}
		}
		axle := func(a *ballast.Axle, whole, left, right units.Mass, kinds ...ballast.LimitKind) {
			most(kinds[0], whole, a.Rating.Value())
			for _, side := range []units.Mass{left, right} {
				most(kinds[1], side, a.Tire.LoadIndex.Mass())
				most(kinds[2], side, a.WheelRating.Value())
			}
		}
		both := w.Front + w.Rear
		axle(&m.Front, w.Front, w.FrontLeft, w.FrontRight, ballast.LimitFrontAxle, ballast.LimitFrontTire, ballast.LimitFrontRim)
		axle(&m.Rear, w.Rear, w.RearLeft, w.RearRight, ballast.LimitRearAxle, ballast.LimitRearTire, ballast.LimitRearRim)
		most(ballast.LimitGross, w.Total, m.GrossRating.Value())
		most(ballast.LimitROPS, w.Total, m.ROPSRating.Value())
		most(ballast.LimitHitch, units.Mass(hitch), m.Hitch.Rating.Value())
		switch m.Steered.Base {
		case ballast.SteeredOfUnladen:
			need(ballast.LimitSteered, k.Unladen()*units.Mass(m.Steered.Share)-w.Front)
		case ballast.SteeredOfLaden:
			need(ballast.LimitSteered, both*units.Mass(m.Steered.Share)-w.Front)
		}
		switch n.Kind {
		case ballast.NeedLift:
			f := units.Mass(n.Lift.Basis.Fraction)
			need(ballast.LimitTipping, f*both-w.Rear)
			need(ballast.LimitRearWheel, f/2*both-w.RearLeft)
			need(ballast.LimitRearWheel, f/2*both-w.RearRight)
			need(ballast.LimitFrontWheel, -w.FrontLeft)
			need(ballast.LimitFrontWheel, -w.FrontRight)
			need(ballast.LimitRearward, -w.Front)
		case ballast.NeedSteeredShare:
			of := both
			if n.Base == ballast.SteeredOfUnladen {
				of = k.Unladen()
			}
			need(ballast.NoLimit, of*units.Mass(n.Share.Low)-w.Front)
		case ballast.NeedAxleSplit:
			need(ballast.NoLimit, both*units.Mass(n.Share.Low)-w.Front)
			need(ballast.NoLimit, w.Front-both*units.Mass(n.Share.High))
		case ballast.NeedMass:
			if n.Mass.Low > 0 {
				need(ballast.NoLimit, n.Mass.Low-w.Total)
			}
			if n.Mass.High > 0 {
				need(ballast.NoLimit, w.Total-n.Mass.High)
			}
		}
	}
	if n.Kind == ballast.NeedLift {
		c, err := k.Case(*n.Lift)
		if err != nil {
			t.Fatal(err)
		}
		load, empty := c.Check(n.Lift.Load.Mass), c.Check(0)
		demand(load.Axles, ballast.StateLoad)
		demand(empty.Axles, ballast.StateEmpty)
	}
	if n.State != ballast.LoaderOff {
		w, err := k.WheelLoads()
		if err != nil {
			t.Fatal(err)
		}
		demand(w, ballast.StateLowered)
	}
	if n.State != ballast.LoaderOn {
		w, err := k.LoaderOff()
		if err != nil {
			t.Fatal(err)
		}
		demand(w, ballast.StateLoaderOff)
	}
	return out
}

// worst returns the greatest shortage, and whether it is clearly the greatest.
func worst(list []shortage) (w shortage, clear bool) {
	w.kg = math.Inf(-1)
	for _, e := range list {
		if e.kg > w.kg {
			w = e
		}
	}
	clear = true
	for _, e := range list {
		clear = clear && (e == w || e.limit == w.limit && e.state == w.state || e.kg < w.kg-1e-6)
	}
	return w, clear
}

// tightPlan draws a plan of plain needs, many of which contradict each other.
// Every rating is given and may be what is short; the loader itself can do
// all.
func tightPlan(r *rand.Rand) (ballast.Setup, ballast.Needs, ballast.Stock) {
	vary := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	s, needs, st := randomPlan(r, 0, true)
	st.Items = st.Items[:min(len(st.Items), 3)]
	m := &s.Machine
	m.Undercarriage = stability.PivotingFront
	m.Front.Rating, m.Front.WheelRating, m.Front.Tire = units.Is(units.Mass(vary(1500, 2400))), units.Is(units.Mass(vary(750, 1200))), ballast.TireRating{LoadIndex: liquid.LoadIndex(100 + r.IntN(20)), SpeedSymbol: liquid.SpeedA8}
	m.Rear.Rating, m.Rear.WheelRating, m.Rear.Tire = units.Is(units.Mass(vary(1200, 2400))), units.Is(units.Mass(vary(600, 1200))), ballast.TireRating{LoadIndex: liquid.LoadIndex(98 + r.IntN(20)), SpeedSymbol: liquid.SpeedA8}
	m.GrossRating, m.ROPSRating, m.Hitch.Rating = units.Is(units.Mass(vary(2700, 4000))), units.Is(units.Mass(vary(2700, 4000))), units.Is(units.Mass(vary(300, 900)))
	m.Steered = []ballast.SteeredRule{{}, {ballast.SteeredOfUnladen, 0.2}, {ballast.SteeredOfLaden, 0.15}}[r.IntN(3)]
	l := *s.Loader
	l.Rated, l.CouplerRating, l.BreakOut = []ballast.RatedPoint{{PinHeight: 0.1, AtPin: 5000}, {PinHeight: 2.8, AtPin: 5000}}, units.Input[units.Mass]{}, units.Input[units.Force]{}
	s.Loader = &l
	a := *s.Attachment
	a.Rating = units.Input[units.Mass]{}
	s.Attachment = &a
	for range 1 + r.IntN(3) {
		n := ballast.Need{Hitch: []ballast.HitchState{ballast.Raised, ballast.Raised, ballast.Resting}[r.IntN(3)]}
		switch n.Kind = ballast.NeedKind(1 + r.IntN(4)); n.Kind {
		case ballast.NeedLift:
			n = liftNeed(units.Length(vary(0.1, 2.4)), units.Mass(vary(300, 800)))
			n.Lift.Factor = 1
			n.Lift.Basis.Fraction = units.Fraction(vary(0.15, 0.25))
			n.Lift.Load.Sideways = units.Is(units.Length(vary(-0.1, 0.1)))
		case ballast.NeedSteeredShare:
			n.Base, n.Share.Low = ballast.SteeredBase(1+r.IntN(2)), units.Fraction(vary(0.3, 0.6))
		case ballast.NeedAxleSplit:
			n.Share.Low = units.Fraction(vary(0.2, 0.6))
			n.Share.High = n.Share.Low + 0.05
		case ballast.NeedMass:
			n.Mass.Low = units.Mass(vary(1700, 2800))
			if r.IntN(2) == 0 {
				n.Mass.High = n.Mass.Low + 50
			}
		}
		if n.Kind != ballast.NeedLift {
			n.State = ballast.NeedState(r.IntN(3))
		}
		needs.List = append(needs.List, n)
	}
	needs.Goal = ballast.Goal(r.IntN(2))
	return s, needs, st
}

// The answers of a selection are the worst demands that the wheel loads show,
// whether it meets the needs or not. Where no choice does, the plan called
// nearest has the least of the largest shortages, counted in steps of 0.1 kg,
// and of all that have it the least by the goal; and each need of the conflict
// is missed by no more than the choices that meet the others make it, to a
// step.
func TestConflictAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 8))
	counts := map[ballast.PlanStatus]int{}
	missed, compared := 0, 0
	for i := range 160 {
		s, needs, st := tightPlan(r)
		p, err := ballast.Plan(t.Context(), s, needs, st)
		if err != nil {
			t.Fatal(err)
		}
		counts[p.Status]++
		sel := &p.Best
		if p.Status == ballast.PlanConflict {
			sel = p.Nearest
		}
		if sel == nil {
			t.Fatalf("plan %d: %v without a selection", i, p.Status)
		}
		on := sel.Setup(s, st)
		for j, a := range sel.Answers {
			n := &needs.List[j]
			w, clear := worst(shortages(t, on, n))
			if a.Met != (w.kg <= 1e-6) || math.Abs(float64(a.Short)-max(0, w.kg)) > 1e-6 ||
				clear && !(a.Met && n.Kind == ballast.NeedLift) && (a.Limit != w.limit || a.State != w.state) {
				t.Errorf("plan %d, need %d: %+v, want %+v", i, j, a, w)
			}
			checkAnswer(t, on, n, &a)
		}
		if p.Status != ballast.PlanConflict {
			continue
		}
		if p.Proof.Programs < 1 || p.Proof.Nodes < 1 || !p.Proof.Proven || !p.Proof.SmallestConflict {
			t.Errorf("plan %d: %+v", i, p.Proof)
		}
		conflict := map[int]bool{}
		for _, m := range p.Conflict {
			conflict[m.Need] = true
		}
		// What every choice makes of the needs.
		type outcome struct {
			trial
			demands []float64
			short   []float64 // of each need
			worse   bool
		}
		var all []outcome
		every(t, s, st, needs.Goal, func(tr trial, full ballast.Setup) {
			o := outcome{trial: tr}
			for j := range needs.List {
				list := shortages(t, full, &needs.List[j])
				for _, d := range list {
					o.demands = append(o.demands, d.kg)
				}
				w, _ := worst(list)
				o.short = append(o.short, max(0, w.kg))
			}
			all = append(all, o)
		})
		for _, m := range p.Conflict {
			least := math.Inf(1)
			for _, o := range all {
				v := o.short[m.Need]
				for j, e := range o.short {
					if j != m.Need && conflict[j] && e > 1e-6 {
						v = math.Inf(1)
					}
				}
				least = min(least, v)
			}
			if m.Hopeless {
				continue
			}
			missed++
			if v := float64(m.Short); v < least-1e-6 || v > least+ballast.Fixed.ShortStep+1e-6 {
				t.Errorf("plan %d: need %d is short of %v kg, want %v and a step at most", i, m.Need, v, least)
			}
		}
		// A demand that no choice with the same options improves is left out,
		// but must not get worse. Options under which there is one count only
		// if there is one under all of them.
		combos := all[len(all)-1].combo + 1
		stuck := make([]map[int]bool, combos)
		free := false
		for combo := range combos {
			var bare, least []float64
			for k := range all {
				o := &all[k]
				if o.combo != combo {
					continue
				}
				if bare == nil {
					bare, least = slices.Clone(o.demands), slices.Clone(o.demands)
				}
				for j, v := range o.demands {
					least[j] = min(least[j], v)
				}
			}
			stuck[combo] = map[int]bool{}
			for j, v := range bare {
				if v > 1e-6 && least[j] > v-1e-9 {
					stuck[combo][j] = true
				}
			}
			for k := range all {
				if o := &all[k]; o.combo == combo {
					for j := range stuck[combo] {
						o.worse = o.worse || o.demands[j] > bare[j]+1e-6
						o.demands[j] = 0
					}
				}
			}
			free = free || len(stuck[combo]) == 0
		}
		all = slices.DeleteFunc(all, func(o outcome) bool { return o.worse || free && len(stuck[o.combo]) > 0 })
		compared++
		least := math.Inf(1)
		for _, o := range all {
			least = min(least, max(0, slices.Max(o.demands)))
		}
		steps := math.Ceil(least / ballast.Fixed.ShortStep)
		var best *outcome
		for j := range all {
			if o := &all[j]; slices.Max(o.demands) <= steps*ballast.Fixed.ShortStep && (best == nil || slices.Compare(o.values[:], best.values[:]) < 0) {
				best = o
			}
		}
		got := []int64{grams(p.Nearest.Mass), p.Nearest.Cents}
		if needs.Goal == ballast.LeastCost {
			slices.Reverse(got)
		}
		if !slices.Equal(got, best.values[:2]) {
			t.Errorf("plan %d: the nearest has %v, of those short of %v kg the least has %v", i, got, least, best.values)
		}
	}
	t.Log(counts, missed, compared)
	if counts[ballast.PlanOptimal] < 20 || counts[ballast.PlanConflict] < 60 || missed < 60 || compared < 40 {
		t.Error("the draw is lopsided")
	}
}

// checkAnswer holds what an answer tells of the machine to the model.
func checkAnswer(t *testing.T, on ballast.Setup, n *ballast.Need, a *ballast.NeedAnswer) {
	t.Helper()
	on.Pieces = slices.Clone(on.Pieces)
	for i := range on.Pieces {
		if on.Pieces[i].Kind.OnHitch() {
			on.Pieces[i].State = n.Hitch
		}
	}
	k, err := on.Compile()
	if err != nil {
		t.Fatal(err)
	}
	var axles ballast.WheelLoads
	var usable units.Mass
	switch {
	case n.Kind == ballast.NeedLift:
		c, err := k.Case(*n.Lift)
		if err != nil {
			t.Fatal(err)
		}
		check := c.Check(n.Lift.Load.Mass)
		axles, usable = check.Axles, c.Use().Mass
		if a.Met && (a.Limit != check.MostUsed.Kind || a.State != ballast.StateLoad) {
			t.Errorf("%v, %v, want %v", a.Limit, a.State, check.MostUsed.Kind)
		}
	case n.State == ballast.LoaderOff:
		axles, err = k.LoaderOff()
	default:
		axles, err = k.WheelLoads()
	}
	if err != nil || a.Axles != axles || a.Usable != usable {
		t.Errorf("%+v, want %+v, %v kg; %v", a, axles, float64(usable), err)
	}
}

// The least shortage counts in whole steps of 0.1 kg, over all combinations of
// options, and of those that have it the least by the goal is taken: by hand.
func TestNearestByHand(t *testing.T) {
	added := func(m units.Mass) []ballast.Piece {
		return []ballast.Piece{{Kind: ballast.RearWheelWeight, Mass: units.Is(m)}}
	}
	either := func(first, second units.Mass, one, two int64) []ballast.Option {
		return []ballast.Option{{Group: "g", RearTrack: 1.3, Pieces: added(first), Cents: one}, {Group: "g", FrontTrack: 1.3, Pieces: added(second), Cents: two}}
	}
	slab := func(m units.Mass, n int, cents int64) ballast.Item {
		return ballast.Item{Piece: ballast.Piece{Kind: ballast.ChassisPiece, Mass: units.Is(m), CG: ballast.Position{X: units.Is[units.Length](1), Z: units.Is[units.Length](0.5)}}, Count: n, Cents: cents}
	}
	gram := []ballast.Item{slab(1e-3, 1, 0)} // so that a piece betters the need at all
	box := ballast.Item{Piece: ballast.Piece{Kind: ballast.HitchBox, Mass: units.Is[units.Mass](10), CG: ballast.Position{X: units.Is[units.Length](-1.2), Z: units.Is[units.Length](0.6)}}, Steps: []ballast.Step{{Mass: 39.92}, {Mass: 40}}}
	for _, c := range []struct {
		name      string
		low, high units.Mass // of what is added
		st        ballast.Stock
		mass      units.Mass
		cents     int64
	}{
		{"50 kg short, not 50.05", 100, 0, ballast.Stock{Items: gram, Options: either(50, 49.95, 5, 1)}, 50, 5},
		{"50 kg short, not 50.08", 100, 0, ballast.Stock{Items: []ballast.Item{box}}, 50, 0},
		{"49.9 kg short, not 50", 100, 0, ballast.Stock{Items: gram, Options: either(50, 50.1, 1, 5)}, 50.1, 5},
		{"the cheaper of equals", 100, 0, ballast.Stock{Items: gram, Options: either(50, 50, 5, 4)}, 50, 4},
		{"the first of equals", 100, 0, ballast.Stock{Items: gram, Options: either(50, 50, 4, 4)}, 50, 4},
		// At most 20 and at least 100 kg asked at once: 60 kg are 40 kg off
		// either way, by an option of 10 kg for 80 cents and five slabs for 35,
		// or by one of 20 kg for 85 cents and four slabs for 28.
		{"between two bounds", 100, 20, ballast.Stock{Items: []ballast.Item{slab(10, 5, 7)}, Options: either(10, 20, 80, 85)}, 60, 113},
	} {
		s, off := unrated(t)
		needs := massAtLeast(off + c.low)
		if c.high > 0 {
			needs.List = append(needs.List, ballast.Need{Kind: ballast.NeedMass, State: ballast.LoaderOff, Mass: units.Range[units.Mass]{High: off + c.high}})
		}
		p := planned(t, s, needs, c.st)
		if p.Status != ballast.PlanConflict || p.Nearest == nil || math.Abs(float64(p.Nearest.Mass-c.mass)) > 1e-9 || p.Nearest.Cents != c.cents {
			t.Errorf("%s: %v, %+v", c.name, p.Status, p.Nearest)
		}
	}
}

// For every choice from a small stock the rows of its program are met where the
// model meets the need.
func TestRowsAgreeWithModel(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 1))
	met, missed := 0, 0
	for i := range 40 {
		s, needs, st := randomPlan(r, 2, true)
		st.Items = st.Items[:min(len(st.Items), 3)]
		p, err := ballast.NewPlanRun(t.Context(), s, &needs, &st)
		if err != nil {
			t.Fatal(err)
		}
		every(t, s, st, ballast.LeastMass, func(tr trial, full ballast.Setup) {
			got := p.Meets(tr.combo, tr.x, len(needs.List))
			for k := range needs.List {
				want := meetsNeed(t, full, &needs.List[k])
				if (got&(1<<k) != 0) != want {
					t.Errorf("plan %d, need %d, %v: met by the rows %v, by the model %v", i, k, tr.x, !want, want)
				}
				if want {
					met++
				} else {
					missed++
				}
			}
		})
	}
	if met < 500 || missed < 500 {
		t.Errorf("%d met, %d missed", met, missed)
	}
}

// A box that may be filled with 90 t in steps of 90 g stands beside a need that
// it does not touch: 10 kg with the hitch resting, of which one gram is to be
// had. Nothing added leaves the same hundred steps.
func TestNearestBesideLargeRange(t *testing.T) {
	s, off := unrated(t)
	needs := massAtLeast(off + 1)
	needs.List = append(needs.List, massAtLeast(off+10).List...)
	needs.List[1].Hitch = ballast.Resting
	p := planned(t, s, needs, ballast.Stock{Items: []ballast.Item{
		{Piece: ballast.Piece{Kind: ballast.HitchBox, Mass: units.Is[units.Mass](90), CG: ballast.Position{X: units.Is[units.Length](-1.2), Z: units.Is[units.Length](0.6)}}, Range: &ballast.MassRange{Most: 9e4, Step: 0.09}},
		{Piece: ballast.Piece{Kind: ballast.ChassisPiece, Mass: units.Is[units.Mass](1e-3), CG: ballast.Position{X: units.Is[units.Length](1), Z: units.Is[units.Length](0.5)}}, Count: 1},
	}})
	if p.Status != ballast.PlanConflict || len(p.Conflict) != 1 || p.Conflict[0].Need != 1 || p.Nearest == nil || p.Nearest.Mass != 0 {
		t.Errorf("%v, %+v, %+v", p.Status, p.Conflict, p.Nearest)
	}
}
