package ballast_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

var (
	disc  = ballast.Piece{Kind: ballast.RearWheelWeight, Mass: units.Is[units.Mass](40)}
	crate = ballast.Piece{Kind: ballast.HitchBox, Mass: units.Is[units.Mass](90), CG: ballast.Position{X: units.Is[units.Length](-1.2), Z: units.Is[units.Length](0.6)}}
)

// atLeast needs so much mass with the loader off, whatever else.
func massAtLeast(m units.Mass) ballast.Needs {
	return ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedMass, Hitch: ballast.Raised, State: ballast.LoaderOff, Mass: units.Range[units.Mass]{Low: m}}}}
}

// unrated is the orchard tractor with no ballast and no rating but the hitch's,
// whose mass without loader is off.
func unrated(t testing.TB) (s ballast.Setup, off units.Mass) {
	t.Helper()
	s = bareOrchard()
	m := &s.Machine
	m.Front.Rating, m.Front.WheelRating, m.Front.Tire = units.Input[units.Mass]{}, units.Input[units.Mass]{}, ballast.TireRating{}
	m.Rear.Rating, m.Rear.WheelRating, m.Rear.Tire = units.Input[units.Mass]{}, units.Input[units.Mass]{}, ballast.TireRating{}
	m.GrossRating, m.ROPSRating, m.Hitch.Rating, m.Steered = units.Input[units.Mass]{}, units.Input[units.Mass]{}, units.Input[units.Mass]{}, ballast.SteeredRule{}
	k, err := s.Compile()
	if err != nil {
		t.Fatal(err)
	}
	return s, k.Unladen()
}

func planned(t *testing.T, s ballast.Setup, needs ballast.Needs, st ballast.Stock) ballast.Proposal {
	t.Helper()
	p, err := ballast.Plan(t.Context(), s, needs, st)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// An option that the stock does not have changes nothing.
func TestSelectionOfOtherStock(t *testing.T) {
	st := ballast.Stock{Options: []ballast.Option{{RearTrack: 1.5}, {FrontTrack: 1.4}}}
	for _, c := range []struct {
		options     []int
		rear, front units.Length
	}{{nil, 1.2, 1.15}, {[]int{0}, 1.5, 1.15}, {[]int{1}, 1.2, 1.4}, {[]int{0, 1}, 1.5, 1.4}, {[]int{-1, 2}, 1.2, 1.15}} {
		got := (&ballast.Selection{Options: c.options}).Setup(bareOrchard(), st).Machine
		if got.RearTrack.Value() != c.rear || got.FrontTrack.Value() != c.front {
			t.Errorf("options %v: tracks %v, %v", c.options, got.RearTrack.Value(), got.FrontTrack.Value())
		}
	}
}

// A setup and its stock have room for a hundred pieces: one for each item, ten
// for each option.
func TestPlanRoom(t *testing.T) {
	for _, c := range []struct{ pieces, items, options, room int }{
		{100, 0, 0, 100}, {99, 1, 0, 99}, {98, 2, 0, 98}, {90, 0, 1, 90}, {77, 3, 2, 77},
	} {
		for more := range 2 {
			s, off := unrated(t)
			st := ballast.Stock{}
			for range c.pieces + more {
				s.Pieces = append(s.Pieces, ballast.Piece{Kind: ballast.ChassisPiece, Mass: units.Is[units.Mass](1), CG: ballast.Position{X: units.Is[units.Length](1), Z: units.Is[units.Length](0.5)}})
			}
			for range c.items {
				st.Items = append(st.Items, ballast.Item{Piece: disc, Count: 1})
			}
			for i := range c.options {
				st.Options = append(st.Options, ballast.Option{RearTrack: 1.3 + units.Length(i)/10})
			}
			_, err := ballast.Plan(t.Context(), s, massAtLeast(off), st)
			if more == 0 && err != nil {
				t.Errorf("%+v: %v", c, err)
			}
			if more == 1 && c.pieces < ballast.Fixed.Pieces && (err == nil || !strings.Contains(err.Error(), "setup.pieces: ") || !strings.Contains(err.Error(), fmt.Sprintf("at most %d pieces", c.room))) {
				t.Errorf("%+v and one more: %v", c, err)
			}
		}
	}
}

// A piece of the setup that the hitch carries leaves no place there, one that
// rests on the ground does; liquid in some tires leaves the others free.
func TestPlanBesidePieces(t *testing.T) {
	hung := func(state ballast.HitchState, carried units.Fraction) ballast.Piece {
		return ballast.Piece{Kind: ballast.HitchImplement, Mass: units.Is[units.Mass](100), CG: ballast.Position{X: units.Is[units.Length](-1.2), Z: units.Is[units.Length](0.5)}, State: state, Carried: carried}
	}
	front, rear := ballast.Piece{Kind: ballast.FrontLiquid, Mass: units.Is[units.Mass](10)}, ballast.Piece{Kind: ballast.RearLiquid, Mass: units.Is[units.Mass](10)}
	liquid := func(k ballast.PieceKind) ballast.Item {
		return ballast.Item{Piece: ballast.Piece{Kind: k}, Steps: []ballast.Step{{Mass: 20}}}
	}
	for _, c := range []struct {
		there ballast.Piece
		item  ballast.Item
		bad   bool
	}{
		{hung(ballast.Raised, 0), ballast.Item{Piece: crate}, true},
		{hung(ballast.Floating, 0.5), ballast.Item{Piece: crate}, true},
		{hung(ballast.Resting, 0), ballast.Item{Piece: crate}, false},
		{hung(ballast.Raised, 0), ballast.Item{Piece: disc, Count: 1}, false},
		{hung(ballast.Raised, 0), liquid(ballast.RearLiquid), false},
		{front, liquid(ballast.FrontLiquid), true},
		{front, liquid(ballast.RearLiquid), false},
		{rear, liquid(ballast.RearLiquid), true},
		{rear, liquid(ballast.FrontLiquid), false},
		{rear, ballast.Item{Piece: crate}, false},
		{disc, liquid(ballast.RearLiquid), false},
	} {
		s, off := unrated(t)
		s.Pieces = []ballast.Piece{c.there}
		_, err := ballast.Plan(t.Context(), s, massAtLeast(off), ballast.Stock{Items: []ballast.Item{{Piece: disc, Count: 1}, c.item}})
		if (err != nil) != c.bad || c.bad && !strings.Contains(err.Error(), "stock.items[1].piece.kind") {
			t.Errorf("%v %v in the setup, %v in stock: %v", c.there.Kind, c.there.State, c.item.Piece.Kind, err)
		}
	}
	// Only an item for the hitch asks each need for the state of the hitch.
	for kind, bad := range map[ballast.PieceKind]bool{ballast.HitchBox: true, ballast.HitchImplement: true, ballast.RearWheelWeight: false} {
		s, off := unrated(t)
		needs := massAtLeast(off)
		needs.List = append(needs.List, needs.List[0])
		needs.List[1].Hitch = ballast.HitchUnknown
		item := ballast.Item{Piece: ballast.Piece{Kind: kind, Mass: units.Is[units.Mass](10)}, Count: 1}
		if kind.OnHitch() {
			item.Piece.CG = crate.CG
		}
		_, err := ballast.Plan(t.Context(), s, needs, ballast.Stock{Items: []ballast.Item{item}})
		if (err != nil) != bad || bad && !strings.Contains(err.Error(), "needs.list[1].hitch") {
			t.Errorf("%v with a need that does not say: %v", kind, err)
		}
	}
}

// A mount holds so many slots and so much mass; what is filled into a box
// weighs and takes no slot. The masses are by hand: the least that the mount
// allows and that is enough, or none.
func TestPlanMounts(t *testing.T) {
	slab := ballast.Piece{Kind: ballast.ChassisPiece, Mass: units.Is[units.Mass](25), CG: ballast.Position{X: units.Is[units.Length](1), Z: units.Is[units.Length](0.5)}}
	discs := ballast.Item{Piece: disc, Count: 5, Slots: 2, Mount: "m"}
	slabs := ballast.Item{Piece: slab, Count: 5, Mount: "m"}
	filled := ballast.Item{Piece: crate, Range: &ballast.MassRange{Most: 50}, Mount: "m"}
	for _, c := range []struct {
		mount ballast.Mount
		items []ballast.Item
		need  units.Mass
		want  units.Mass // 0: no plan
	}{
		{ballast.Mount{Slots: 3}, []ballast.Item{discs, slabs}, 60, 65}, // one disc, one slab
		{ballast.Mount{Slots: 3}, []ballast.Item{discs, slabs}, 66, 75}, // three slabs
		{ballast.Mount{Slots: 3}, []ballast.Item{discs, slabs}, 76, 0},
		{ballast.Mount{Slots: 4}, []ballast.Item{discs, slabs}, 76, 80},
		{ballast.Mount{}, []ballast.Item{discs, slabs}, 201, 205},
		{ballast.Mount{Slots: 1}, []ballast.Item{slabs}, 25, 25},
		{ballast.Mount{Slots: 1}, []ballast.Item{slabs}, 26, 0},
		{ballast.Mount{Limit: 0.5}, []ballast.Item{slabs}, 20, 0},
		{ballast.Mount{Limit: 100}, []ballast.Item{discs, slabs}, 86, 90},  // 40 + 2 25
		{ballast.Mount{Limit: 100}, []ballast.Item{discs, slabs}, 91, 100}, // 4 25
		{ballast.Mount{Limit: 100}, []ballast.Item{discs, slabs}, 101, 0},
		{ballast.Mount{Limit: 100, Slots: 3}, []ballast.Item{discs, slabs}, 76, 0},
		{ballast.Mount{Slots: 1}, []ballast.Item{filled}, 100, 100},
		{ballast.Mount{Slots: 1}, []ballast.Item{filled}, 140, 140},
		{ballast.Mount{Slots: 1}, []ballast.Item{filled}, 141, 0},
		{ballast.Mount{Limit: 120}, []ballast.Item{filled}, 120, 120},
		{ballast.Mount{Limit: 120}, []ballast.Item{filled}, 121, 0},
		{ballast.Mount{Limit: 80}, []ballast.Item{filled}, 20, 0}, // no filling without the box
	} {
		s, off := unrated(t)
		c.mount.Name = "m"
		p := planned(t, s, massAtLeast(off+c.need), ballast.Stock{Mounts: []ballast.Mount{{Name: "other", Slots: 1, Limit: 1}, c.mount}, Items: c.items})
		if got := p.Best.Mass; (p.Status == ballast.PlanOptimal) != (c.want > 0) || math.Abs(float64(got-c.want)) > 1e-9 {
			t.Errorf("%+v: %v kg of %v: %v, %v kg, want %v", c.mount, float64(c.need), len(c.items), p.Status, float64(got), float64(c.want))
		}
	}
}

// Equals are ordered as the plan documents: mass, cost, fewest pieces, the
// combination of options (none, the first, the second, both), then as many as
// possible of the first item.
func TestPlanTies(t *testing.T) {
	weight := func(m units.Mass, n int, cents int64) ballast.Item {
		return ballast.Item{Piece: ballast.Piece{Kind: ballast.ChassisPiece, Mass: units.Is(m), CG: ballast.Position{X: units.Is[units.Length](1), Z: units.Is[units.Length](0.5)}}, Count: n, Cents: cents}
	}
	option := func(m units.Mass, cents int64, front bool) ballast.Option {
		o := ballast.Option{RearTrack: 1.3, Cents: cents}
		if front {
			o = ballast.Option{FrontTrack: 1.3, Cents: cents}
		}
		if m > 0 {
			o.Pieces = []ballast.Piece{{Kind: ballast.RearWheelWeight, Mass: units.Is(m)}}
		}
		return o
	}
	for _, c := range []struct {
		name    string
		goal    ballast.Goal
		items   []ballast.Item
		options []ballast.Option
		counts  []int64 // of each item
		chosen  []int
	}{
		{"mass before cost", ballast.LeastMass, []ballast.Item{weight(61, 1, 1), weight(20, 3, 900)}, nil, []int64{0, 3}, nil},
		{"cost before mass", ballast.LeastCost, []ballast.Item{weight(61, 1, 1), weight(20, 3, 900)}, nil, []int64{1, 0}, nil},
		{"among masses, cost", ballast.LeastMass, []ballast.Item{weight(60, 1, 100), weight(20, 3, 30)}, nil, []int64{0, 3}, nil},
		{"among costs, mass", ballast.LeastCost, []ballast.Item{weight(61, 1, 90), weight(20, 3, 30)}, nil, []int64{0, 3}, nil},
		{"fewest pieces", ballast.LeastMass, []ballast.Item{weight(20, 3, 30), weight(60, 1, 90)}, nil, []int64{0, 1}, nil},
		{"first item", ballast.LeastMass, []ballast.Item{weight(30, 1, 5), weight(30, 2, 5), weight(30, 2, 5)}, nil, []int64{1, 1, 0}, nil},
		{"no option", ballast.LeastMass, []ballast.Item{weight(60, 1, 0)}, []ballast.Option{option(0, 0, false), option(0, 0, true)}, []int64{1}, nil},
		{"first option", ballast.LeastMass, []ballast.Item{weight(60, 1, 7)}, []ballast.Option{option(60, 7, false), option(60, 7, true)}, []int64{0}, []int{0}},
		{"second option", ballast.LeastMass, []ballast.Item{weight(60, 1, 7)}, []ballast.Option{option(60, 8, false), option(60, 6, true)}, []int64{0}, []int{1}},
		{"both options", ballast.LeastMass, []ballast.Item{weight(60, 1, 9)}, []ballast.Option{option(30, 3, false), option(30, 3, true)}, []int64{0}, []int{0, 1}},
		{"both options cost least", ballast.LeastCost, []ballast.Item{weight(60, 1, 9)}, []ballast.Option{option(30, 3, false), option(30, 5, true)}, []int64{0}, []int{0, 1}},
		{"an option and a dear piece", ballast.LeastMass, []ballast.Item{weight(61, 1, 1), weight(20, 1, 30000)}, []ballast.Option{option(40, 1, false)}, []int64{0, 1}, []int{0}},
		{"an option is lighter and dear", ballast.LeastMass, []ballast.Item{weight(61, 1, 1)}, []ballast.Option{option(60, 900, false)}, []int64{0}, []int{0}},
		{"an option is cheaper and heavy", ballast.LeastCost, []ballast.Item{weight(60, 1, 9)}, []ballast.Option{option(900, 8, false)}, []int64{0}, []int{0}},
		{"an option costs too much", ballast.LeastCost, []ballast.Item{weight(60, 1, 9)}, []ballast.Option{option(60, 10, false)}, []int64{1}, nil},
		{"an option weighs too much", ballast.LeastMass, []ballast.Item{weight(60, 1, 9)}, []ballast.Option{option(61, 0, false)}, []int64{1}, nil},
		{"an option and a piece", ballast.LeastMass, []ballast.Item{weight(20, 3, 9)}, []ballast.Option{option(40, 1, false)}, []int64{1}, []int{0}},
	} {
		s, off := unrated(t)
		needs := massAtLeast(off + 60)
		needs.Goal = c.goal
		p := planned(t, s, needs, ballast.Stock{Items: c.items, Options: c.options})
		counts := make([]int64, len(c.items))
		for _, e := range p.Best.Choices {
			counts[e.Item] = e.Count
		}
		if p.Status != ballast.PlanOptimal || !slices.Equal(counts, c.counts) || !slices.Equal(p.Best.Options, c.chosen) {
			t.Errorf("%s: %v, %v with options %v", c.name, p.Status, counts, p.Best.Options)
		}
		var kg units.Mass
		var cost int64
		for i, n := range counts {
			kg += units.Mass(n) * c.items[i].Piece.Mass.Value()
			cost += n * c.items[i].Cents
		}
		for _, i := range c.chosen {
			cost += c.options[i].Cents
			for _, e := range c.options[i].Pieces {
				kg += e.Mass.Value()
			}
		}
		if p.Best.Mass != kg || p.Best.Cents != cost || p.Proof.Bound != map[bool]int64{false: int64(math.Round(float64(kg) * 1000)), true: cost}[c.goal == ballast.LeastCost] || !p.Proof.Proven {
			t.Errorf("%s: %v kg, %v cents, %+v", c.name, float64(p.Best.Mass), p.Best.Cents, p.Proof)
		}
	}
}

// An option's pieces may be tires filled by level; their liquid counts as what
// is added.
func TestPlanOptionWithFill(t *testing.T) {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		t.Fatal(err)
	}
	fill := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Temperature: units.Celsius(20), Level: liquid.ValveAt(12)}
	one, err := fill.Solve()
	if err != nil {
		t.Fatal(err)
	}
	s, off := unrated(t)
	st := ballast.Stock{Options: []ballast.Option{{Pieces: []ballast.Piece{{Kind: ballast.RearLiquid, Fill: &fill}, disc}}}}
	p := planned(t, s, massAtLeast(off+100), st)
	want := 2*float64(one.Mass) + 40
	if p.Status != ballast.PlanOptimal || math.Abs(float64(p.Best.Mass)-want) > 1e-9 || p.Proof.Bound != int64(math.Round(want*1000)) {
		t.Errorf("%v, %v kg, bound %d g, want %v kg", p.Status, float64(p.Best.Mass), p.Proof.Bound, want)
	}
	if got := p.Best.Answers[0].Axles.Total; math.Abs(float64(got-off)-want) > 1e-9 {
		t.Errorf("the machine weighs %v kg more", float64(got-off))
	}
}

// From heavy and free to light and dear: each free piece of 1.01 kg saves a
// piece of 1 kg for 100 cents, so that the frontier has 100 + 0.01 k kg for
// 10000 - 100 k cents (hand calculation). It ends at maxFrontier plans.
func TestPlanFrontierEnds(t *testing.T) {
	weight := func(m units.Mass, cents int64) ballast.Item {
		return ballast.Item{Piece: ballast.Piece{Kind: ballast.ChassisPiece, Mass: units.Is(m), CG: ballast.Position{X: units.Is[units.Length](1), Z: units.Is[units.Length](0.5)}}, Count: 200, Cents: cents}
	}
	for _, c := range []struct {
		need units.Mass
		want int
		cut  bool
	}{{10, 11, false}, {49, 50, false}, {50, 50, true}, {52, 50, true}} {
		s, off := unrated(t)
		needs := massAtLeast(off + c.need)
		needs.Goal = ballast.LeastBoth
		p := planned(t, s, needs, ballast.Stock{Items: []ballast.Item{weight(1, 100), weight(1.01, 0)}})
		if p.Status != ballast.PlanOptimal || len(p.Frontier) != c.want || p.FrontierCut != c.cut || !p.Proof.Proven {
			t.Fatalf("%v kg: %v, %d plans, cut %v", float64(c.need), p.Status, len(p.Frontier), p.FrontierCut)
		}
		for k, f := range p.Frontier {
			if kg := float64(c.need) + 0.01*float64(k); math.Abs(float64(f.Mass)-kg) > 1e-9 || f.Cents != 100*int64(c.need)-100*int64(k) {
				t.Errorf("%v kg: plan %d: %v kg, %d cents", float64(c.need), k, float64(f.Mass), f.Cents)
			}
		}
	}
}

// A frontier across options, by hand: to weights of 1 kg for 10 cents there
// are options of 101, 102 and 103 kg, and a slab of 150 kg that is owned.
func TestPlanFrontierOfOptions(t *testing.T) {
	s, off := unrated(t)
	needs := massAtLeast(off + 100)
	needs.Goal = ballast.LeastBoth
	added := func(m units.Mass) []ballast.Piece {
		return []ballast.Piece{{Kind: ballast.RearWheelWeight, Mass: units.Is(m)}}
	}
	p := planned(t, s, needs, ballast.Stock{
		Items: []ballast.Item{
			{Piece: ballast.Piece{Kind: ballast.ChassisPiece, Mass: units.Is[units.Mass](1), CG: ballast.Position{X: units.Is[units.Length](1), Z: units.Is[units.Length](0.5)}}, Count: 200, Cents: 10},
			{Piece: ballast.Piece{Kind: ballast.ChassisPiece, Mass: units.Is[units.Mass](150), CG: ballast.Position{X: units.Is[units.Length](1), Z: units.Is[units.Length](0.5)}}, Count: 1},
		},
		Options: []ballast.Option{
			{RearTrack: 1.3, Pieces: added(101), Cents: 999},
			{FrontTrack: 1.3, Pieces: added(102), Cents: 100},
			{RearTiresPerSide: 2, Pieces: added(103), Cents: 101},
			{FrontTiresPerSide: 2, Pieces: added(60), Cents: 500},
		},
	})
	type point struct {
		kg    units.Mass
		cents int64
	}
	var got []point
	for _, f := range p.Frontier {
		got = append(got, point{f.Mass, f.Cents})
	}
	// 60 kg for 500 cents and 40 kg for 400 cents make 100 kg for 900.
	if want := []point{{100, 900}, {102, 100}, {150, 0}}; !slices.Equal(got, want) || p.FrontierCut {
		t.Errorf("%v, want %v", got, want)
	}
	// The last cent counts.
	p = planned(t, s, needs, ballast.Stock{Options: []ballast.Option{{RearTrack: 1.3, Pieces: added(101), Cents: 1}, {FrontTrack: 1.3, Pieces: added(102)}}})
	if len(p.Frontier) != 2 || p.Frontier[0].Cents != 1 || p.Frontier[1].Cents != 0 {
		t.Errorf("%+v", p.Frontier)
	}
	if needs.List[0].Mass.Low += 1; true {
		p = planned(t, s, needs, ballast.Stock{Items: []ballast.Item{{Piece: disc, Count: 3, Cents: 400}}, Options: []ballast.Option{{RearTrack: 1.3, Pieces: added(121), Cents: 1199}, {FrontTrack: 1.3, Pieces: added(122), Cents: 1198}}})
	}
	if len(p.Frontier) != 3 || p.Frontier[1].Cents != 1199 || p.Frontier[2].Cents != 1198 {
		t.Errorf("%+v", p.Frontier)
	}
}

// What a plan must say is not checked, and what its choices ask of the user.
func TestPlanCautions(t *testing.T) {
	s := bareOrchard()
	need := func(m units.Mass) ballast.Needs {
		n := massAtLeast(m)
		n.List[0].State = ballast.LoaderOn
		return n
	}
	w, err := s.WheelLoads()
	if err != nil {
		t.Fatal(err)
	}
	always := ballast.CautionManual | ballast.CautionLevelGround | ballast.CautionStandstill | ballast.CautionEmptyAgain | ballast.CautionROPS | ballast.CautionNoTippingTest
	check := func(name string, s ballast.Setup, needs ballast.Needs, st ballast.Stock, more ballast.Cautions) {
		t.Helper()
		p := planned(t, s, needs, st)
		if p.Status != ballast.PlanOptimal || p.Cautions&(always|ballast.CautionUnchecked|ballast.CautionSlope|ballast.CautionRaisedOnly|ballast.CautionTireMaker|ballast.CautionPressure) != always|more {
			t.Errorf("%s: %v, %v", name, p.Status, p.Cautions)
		}
	}
	st := ballast.Stock{Items: []ballast.Item{{Piece: disc, Count: 5}}}
	check("all rated", s, need(w.Total), st, 0)
	for name, drop := range map[string]func(*ballast.Machine){
		"front axle": func(m *ballast.Machine) { m.Front.Rating = units.Input[units.Mass]{} },
		"rear axle":  func(m *ballast.Machine) { m.Rear.Rating = units.Input[units.Mass]{} },
		"gross":      func(m *ballast.Machine) { m.GrossRating = units.Input[units.Mass]{} },
		"structure":  func(m *ballast.Machine) { m.ROPSRating = units.Input[units.Mass]{} },
		"front tire": func(m *ballast.Machine) { m.Front.Tire = ballast.TireRating{} },
		"rear tire":  func(m *ballast.Machine) { m.Rear.Tire = ballast.TireRating{} },
	} {
		x := s
		drop(&x.Machine)
		check(name, x, need(w.Total), st, ballast.CautionUnchecked)
	}
	x := s
	x.Machine.Front.Tire.LoadIndex, x.Machine.Front.Tire.SpeedSymbol = 0, 0
	check("a tire rated by its table", x, need(w.Total), st, 0)
	x.Machine.Front.Tire.Table = x.Machine.Front.Tire.Table[2:]
	x.Machine.Front.Tire.Pressure = units.Is(x.Machine.Front.Tire.Table[0].Pressure)
	check("a tire rated by one line", x, need(w.Total), st, 0)
	x = s
	x.Machine.Hitch.Rating = units.Input[units.Mass]{}
	box := ballast.Stock{Items: []ballast.Item{{Piece: crate}}}
	check("no box chosen", x, need(w.Total), box, 0)
	check("a box chosen", s, need(w.Total+50), box, ballast.CautionRaisedOnly)
	check("a box chosen for a hitch without rating", x, need(w.Total+50), box, ballast.CautionRaisedOnly|ballast.CautionUnchecked)
	for _, k := range []ballast.PieceKind{ballast.RearLiquid, ballast.FrontLiquid} {
		check("liquid", s, need(w.Total+50), ballast.Stock{Items: []ballast.Item{{Piece: ballast.Piece{Kind: k}, Steps: []ballast.Step{{Mass: 60}}}}}, ballast.CautionTireMaker|ballast.CautionPressure)
	}
	slope := need(w.Total)
	l := binLift(0.5)
	l.Load.Mass, l.Factor = 50, 1
	slope.List = append(slope.List, ballast.Need{Kind: ballast.NeedLift, Hitch: ballast.Raised, Lift: &l})
	check("level lift", s, slope, st, 0)
	l.Slope = 0.02
	check("lift on a slope", s, slope, st, ballast.CautionSlope)
}

// Limits of the loader, the attachment and the speed are beyond any ballast;
// how much the load is too heavy for them is what the model says.
func TestPlanBeyondBallast(t *testing.T) {
	for _, c := range []struct {
		name  string
		limit ballast.LimitKind
		set   func(*ballast.Setup, *ballast.Lift)
		short bool
	}{
		{"hydraulics", ballast.LimitHydraulic, func(s *ballast.Setup, _ *ballast.Lift) {
			s.Loader.Rated = []ballast.RatedPoint{{PinHeight: 0.1, AtPin: 400}, {PinHeight: 2.8, AtPin: 400}}
		}, true},
		{"coupler", ballast.LimitCoupler, func(s *ballast.Setup, _ *ballast.Lift) { s.Loader.CouplerRating = units.Is[units.Mass](300) }, true},
		{"attachment", ballast.LimitAttachment, func(s *ballast.Setup, _ *ballast.Lift) { s.Attachment.Rating = units.Is[units.Mass](250) }, true},
		{"the worse of two", ballast.LimitAttachment, func(s *ballast.Setup, _ *ballast.Lift) {
			s.Attachment.Rating, s.Loader.CouplerRating = units.Is[units.Mass](250), units.Is[units.Mass](390)
		}, true},
		{"the other way round", ballast.LimitCoupler, func(s *ballast.Setup, _ *ballast.Lift) {
			s.Attachment.Rating, s.Loader.CouplerRating = units.Is[units.Mass](290), units.Is[units.Mass](300)
		}, true},
		{"front tires too slow", ballast.LimitFrontTire, func(s *ballast.Setup, l *ballast.Lift) { l.Speed = 20; s.Machine.Rear.Tire.SpeedSymbol = liquid.SpeedF }, false},
		{"rear tires too slow", ballast.LimitRearTire, func(s *ballast.Setup, l *ballast.Lift) {
			l.Speed = 20
			s.Machine.Front.Tire.SpeedSymbol = liquid.SpeedF
		}, false},
	} {
		s := bareOrchard()
		loader, attach := *s.Loader, *s.Attachment
		s.Loader, s.Attachment = &loader, &attach
		n := liftNeed(0.8, 300)
		c.set(&s, n.Lift)
		st := shed()
		st.Options = []ballast.Option{{RearTrack: 1.4}}
		p := planned(t, s, ballast.Needs{List: []ballast.Need{liftNeed(0.5, 50), n}}, st)
		check, err := pointCheck(s, *n.Lift, 300)
		if err != nil {
			t.Fatal(err)
		}
		left := check.Limit(c.limit).Left
		if !c.short {
			left = 0
		}
		if p.Status != ballast.PlanConflict || len(p.Conflict) != 1 {
			t.Errorf("%s: %v, %+v", c.name, p.Status, p.Conflict)
			continue
		}
		if m := p.Conflict[0]; m.Need != 1 || !m.Hopeless || m.Limit != c.limit || m.State != ballast.StateLoad || math.Abs(float64(m.Short+left)) > 1e-9 || c.short && m.Short <= 0 {
			t.Errorf("%s: %+v, the model leaves %v kg", c.name, m, float64(left))
		}
		if a := p.Nearest.Answers[1]; a.Met || a.Limit != c.limit || a.State != ballast.StateLoad || a.Short != 0 {
			t.Errorf("%s: %+v", c.name, a)
		}
	}
	// With the arms down nothing is lifted: forks that the loader does not lift from the
	// ground do not stand in the way of a load that it holds up high.
	weak := bareOrchard()
	loader := *weak.Loader
	loader.Rated = []ballast.RatedPoint{{PinHeight: 0.1, AtPin: 60}, {PinHeight: 0.3, AtPin: 60}, {PinHeight: 1, AtPin: 900}, {PinHeight: 2.8, AtPin: 900}}
	weak.Loader = &loader
	if low := planned(t, weak, ballast.Needs{List: []ballast.Need{liftNeed(1.5, 100)}}, shed()); low.Status != ballast.PlanOptimal {
		t.Fatalf("%v", low.Status)
	}
	// Forks that are too heavy for the coupler with nothing on.
	loader = *bareOrchard().Loader
	loader.CouplerRating = units.Is[units.Mass](50)
	weak.Loader = &loader
	p := planned(t, weak, ballast.Needs{List: []ballast.Need{liftNeed(1.5, 100)}}, shed())
	if p.Status != ballast.PlanConflict || !p.Conflict[0].Hopeless || p.Conflict[0].Limit != ballast.LimitCoupler || p.Conflict[0].State != ballast.StateLoad {
		t.Errorf("%v, %+v", p.Status, p.Conflict)
	}
	// What an option mends is not beyond help.
	s := bareOrchard()
	s.Machine.Rear.Tire.LoadIndex, s.Machine.Rear.WheelRating = 60, units.Input[units.Mass]{} // 250 kg
	st := ballast.Stock{Options: []ballast.Option{{FrontTrack: 1.3}, {RearTiresPerSide: 2}}}
	p = planned(t, s, ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedMass, State: ballast.LoaderOff, Mass: units.Range[units.Mass]{Low: 1000}}}}, st)
	if p.Status != ballast.PlanConflict || p.Conflict[0].Hopeless || !p.Conflict[0].Unstocked || p.Conflict[0].Limit != ballast.LimitRearTire {
		t.Errorf("%v, %+v", p.Status, p.Conflict)
	}
	s.Machine.Rear.Tire.LoadIndex = 93 // 650 kg, twice 0.88 of it with duals
	if p = planned(t, s, ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedMass, State: ballast.LoaderOff, Mass: units.Range[units.Mass]{Low: 1000}}}}, st); p.Status != ballast.PlanOptimal {
		t.Errorf("%v, %+v", p.Status, p.Conflict)
	}
}

// Whatever the work, what is said is true: a plan meets the needs and its bound
// is no more than the least; a conflict is one, and smallest where it says so;
// with work enough all is proven.
func TestPlanWork(t *testing.T) {
	r := rand.New(rand.NewPCG(18, 2))
	seen := map[ballast.PlanStatus]int{}
	cut, loose := 0, 0
	for i := range 60 {
		s, needs, st := randomPlan(r, 3, i%3 > 0)
		needs.Goal = ballast.Goal(i % 3)
		full := planned(t, s, needs, st)
		for _, work := range []int64{-1, 0, 1, 100, 1000, 3000, 10000, 30000, 100000} {
			p, err := ballast.NewPlanRun(t.Context(), s, &needs, &st)
			if err != nil {
				t.Fatal(err)
			}
			*p.Left = work
			got, err := p.Search()
			if err != nil {
				t.Fatal(err)
			}
			seen[got.Status]++
			if got.Proof.Programs > 0 && work <= 0 || work > 0 && *p.Left >= work {
				t.Errorf("plan %d, work %d: %+v, %d left", i, work, got.Proof, *p.Left)
			}
			if done := got.Proof.Proven && (got.Status != ballast.PlanConflict || got.Proof.SmallestConflict && got.Nearest != nil); !done && !got.Proof.Exhausted {
				t.Errorf("plan %d, work %d: %v, %+v, and the work is not said to have run out", i, work, got.Status, got.Proof)
			}
			switch got.Status {
			case ballast.PlanUndecided:
				if got.Proof.Proven || got.Best.Choices != nil || got.Nearest != nil {
					t.Errorf("plan %d, work %d: %+v", i, work, got)
				}
			case ballast.PlanOptimal, ballast.PlanFeasible:
				if full.Status != ballast.PlanOptimal || got.Proof.Bound > first(&full) || first(&got) < first(&full) ||
					(got.Status == ballast.PlanOptimal) != got.Proof.Proven || needs.Goal != ballast.LeastBoth && got.Proof.Proven && got.Proof.Bound != first(&full) {
					t.Errorf("plan %d, work %d: %v, %d, %+v; in full %v, %d", i, work, got.Status, first(&got), got.Proof, full.Status, first(&full))
				}
				for _, a := range got.Best.Answers {
					if !a.Met {
						t.Errorf("plan %d, work %d: %+v", i, work, a)
					}
				}
				if needs.Goal == ballast.LeastBoth && len(got.Frontier) < len(full.Frontier) {
					if cut++; !got.FrontierCut {
						t.Errorf("plan %d, work %d: a frontier of %d, in full %d", i, work, len(got.Frontier), len(full.Frontier))
					}
				}
			case ballast.PlanConflict:
				few := needs
				few.List = nil
				for _, m := range got.Conflict {
					few.List = append(few.List, needs.List[m.Need])
				}
				if !got.Proof.Proven || planned(t, s, few, st).Status != ballast.PlanConflict {
					t.Errorf("plan %d, work %d: %+v is no conflict", i, work, got.Conflict)
				}
				if !got.Proof.SmallestConflict {
					loose++
				} else if len(got.Conflict) != len(full.Conflict) {
					t.Errorf("plan %d, work %d: a smallest conflict of %d needs, in full %d", i, work, len(got.Conflict), len(full.Conflict))
				}
			}
			if full.Status == ballast.PlanConflict && got.Status != ballast.PlanConflict && got.Status != ballast.PlanUndecided {
				t.Errorf("plan %d, work %d: %v, in full a conflict", i, work, got.Status)
			}
		}
	}
	t.Log(seen, cut, loose)
	if len(seen) != 4 || seen[ballast.PlanFeasible] < 10 {
		t.Error("the draw is lopsided")
	}
}

// Where the model refuses what the rows allow, which the tolerances should
// never let happen, the rows are tightened and the search is repeated; at the
// end nothing is proposed.
func TestPlanTightens(t *testing.T) {
	for _, c := range []struct {
		loose int64 // by how many steps of the tightening the rows are off
		found bool
	}{{0, true}, {1, true}, {3, true}, {4, false}} {
		s, off := unrated(t)
		// A step of the tightening is 0.004 g here; the grams of the filling
		// are 0.003 g short of the need.
		needs := massAtLeast(off + 100.000003)
		needs.List = append(needs.List, massAtLeast(off+5).List...)
		st := ballast.Stock{Items: []ballast.Item{{Piece: crate, Range: &ballast.MassRange{Most: 50, Step: 1e-3}}}}
		p, err := ballast.NewPlanRun(t.Context(), s, &needs, &st)
		if err != nil {
			t.Fatal(err)
		}
		rows := p.Rows
		if len(rows) != 2 {
			t.Fatalf("%d rows", len(rows))
		}
		before := rows[1].Row.Bound
		rows[0].Row.Bound -= c.loose << 24
		got, err := p.Search()
		if err != nil {
			t.Fatal(err)
		}
		if (got.Status == ballast.PlanOptimal) != c.found || !c.found && got.Status != ballast.PlanUndecided {
			t.Errorf("%d steps off: %v", c.loose, got.Status)
		}
		if c.found && (!got.Best.Answers[0].Met || grams(got.Best.Mass) != 100001) {
			t.Errorf("%d steps off: %+v", c.loose, got.Best)
		}
		if rows[1].Row.Bound != before {
			t.Errorf("%d steps off: the other need's row moved", c.loose)
		}
	}
}

// The rows of a plan are exact integers that forbid no less than the
// conditions they come from: scaled by a power of two that leaves them 49 to
// 50 bits, what helps is rounded down, and what is asked for up.
func TestPlanRowsRoundedAgainstIt(t *testing.T) {
	r := rand.New(rand.NewPCG(19, 4))
	rows := 0
	for range 20 {
		s, needs, st := randomPlan(r, 3, false)
		p, err := ballast.NewPlanRun(t.Context(), s, &needs, &st)
		if err != nil {
			t.Fatal(err)
		}
		cols, _, _, err := st.Columns()
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range p.Rows {
			rows++
			total := math.Abs(e.Base)
			for j, a := range e.Coef {
				total += math.Abs(a) * float64(cols[j].Upper)
			}
			scale := math.Exp2(math.Floor(math.Log2(math.Exp2(50) / total)))
			check := func(what string, got int64, exact, low, high float64) {
				t.Helper()
				if d := float64(got) - exact*scale; d < low || d > high {
					t.Errorf("%s: %d for %v, scale %v", what, got, exact, scale)
				}
			}
			check("bound", e.Row.Bound, -e.Base, 0, 1)
			for j, a := range e.Coef {
				check("coefficient", e.Row.Coef[j], a, -1, 0)
			}
		}
	}
	if rows < 100 {
		t.Errorf("only %d rows", rows)
	}
}
