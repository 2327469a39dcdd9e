package ballast

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// BX1 of checks.csv: a box of 0.9 x 0.6 x 0.7 m full of concrete weighs 997.2
// kg with its 90 kg of steel, to 0.01 kg; BX2 has the densities.
func TestStockBoxFilling(t *testing.T) {
	box := Piece{Kind: HitchBox, Mass: 90, CG: stability.Point{X: -1.2, Z: 0.6}}
	st := Stock{Items: []Item{{Piece: box, Cents: 100, Steps: []Step{
		{Density: ConcreteDensity, Volume: 0.9 * 0.6 * 0.7, Cents: 20}, {Mass: 400}}}}}
	if err := st.Validate(); err != nil {
		t.Fatal(err)
	}
	cols, groups, _, err := st.columns()
	if err != nil || len(cols) != 2 || len(groups) != 1 {
		t.Fatal(cols, groups, err)
	}
	if math.Abs(float64(cols[0].one.Mass)-997.2) > 0.01 || cols[0].cents != 120 || cols[1].grams != 490000 {
		t.Errorf("%+v", cols)
	}
}

// A range is counted in whole steps: 100 kg by 30 kg are three.
func TestMassRangeSteps(t *testing.T) {
	for _, c := range []struct {
		r    MassRange
		want int64
	}{{MassRange{Most: 100, Step: 30}, 3}, {MassRange{Most: 90, Step: 30}, 3}, {MassRange{Most: 250}, 250}, {MassRange{Most: 0.3, Step: 0.1}, 3}} {
		if got := c.r.steps(); got != c.want || c.r.Validate() != nil {
			t.Errorf("%+v: %d steps, want %d; %v", c.r, got, c.want, c.r.Validate())
		}
	}
}

// The ends of every range are accepted, and what lies beyond is not.
func TestStockRanges(t *testing.T) {
	disc := Piece{Kind: RearWheelWeight, Mass: 40}
	box := Piece{Kind: HitchBox, Mass: 90, CG: stability.Point{X: -1.2, Z: 0.6}}
	for _, c := range []struct {
		s  Stock
		ok bool
	}{
		{Stock{Items: []Item{{Piece: disc, Count: 1000, Cents: 1e9}}}, true},
		{Stock{Items: []Item{{Piece: disc, Count: 1001}}}, false},
		{Stock{Items: []Item{{Piece: disc, Count: 1, Cents: 1e9 + 1}}}, false},
		{Stock{Items: []Item{{Piece: Piece{Kind: RearWheelWeight, Mass: 101}, Count: 1000}}}, false},
		{Stock{Items: []Item{{Piece: box, Steps: []Step{{Density: 25000, Volume: 4}, {Density: 1000, Volume: 100}}}}}, true},
		{Stock{Items: []Item{{Piece: box, Steps: []Step{{Density: 25000, Volume: 4.01}}}}}, false},
		{Stock{Items: []Item{{Piece: box, Steps: []Step{{Density: 25001, Volume: 1}}}}}, false},
		{Stock{Items: []Item{{Piece: box, Steps: []Step{{Density: 1, Volume: 101}}}}}, false},
		{Stock{Items: []Item{{Piece: box, Steps: make([]Step, MaxSteps+1)}}}, false},
		{Stock{Items: []Item{{Piece: box, Range: &MassRange{Most: 1000, Step: 1e-3}}}}, true},
		{Stock{Items: []Item{{Piece: box, Range: &MassRange{Most: 1001, Step: 1e-3}}}}, false},
		{Stock{Items: []Item{{Piece: box, Range: &MassRange{Most: 10, Step: 10}}}}, true},
		{Stock{Items: []Item{{Piece: box, Range: &MassRange{Most: 10, Step: 11}}}}, false},
		{Stock{Mounts: []Mount{{Name: "a", Slots: 100000, Limit: 1e-3}}}, true},
		{Stock{Mounts: []Mount{{Name: "a", Slots: 100001}}}, false},
		{Stock{Options: []Option{{RearTiresPerSide: 3}}}, true},
		{Stock{Options: []Option{{RearTiresPerSide: 4}}}, false},
		{Stock{Options: make([]Option, MaxOptions+1)}, false},
		{Stock{Items: make([]Item, MaxItems+1)}, false},
		{Stock{Mounts: make([]Mount, MaxItems+1)}, false},
	} {
		if err := c.s.Validate(); (err == nil) != c.ok {
			t.Errorf("%+v: %v", c.s, err)
		}
	}
}

// A fill by level is what package liquid says of it, in a pair of tires.
func TestStockLiquidLevels(t *testing.T) {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		t.Fatal(err)
	}
	fill := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Temperature: units.Celsius(20)}
	it := Item{Piece: Piece{Kind: RearLiquid, Fill: &fill}, Steps: []Step{{Level: liquid.ValveAt(4)}, {Level: liquid.ValveAt(12)}}}
	st := Stock{Items: []Item{it}}
	if err := st.Validate(); err != nil {
		t.Fatal(err)
	}
	cols, groups, notes, err := st.columns()
	if err != nil || len(cols) != 2 || len(groups) != 1 || !notes.Has(NoteFill) {
		t.Fatal(cols, groups, notes, err)
	}
	for k, c := range cols {
		one := fill
		one.Level = it.Steps[k].Level
		f, err := one.Solve()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(c.one.Mass-2*f.Mass)) > 1e-9 || c.one.Depth != f.PitchRise || c.one.RollRise != f.RollRise {
			t.Errorf("step %d: %+v, want twice %+v", k, c.one, f)
		}
	}
}

// Every bad field is named by its path, all of them at once.
func TestPlanErrors(t *testing.T) {
	lift := binLift(1)
	lift.Load.Mass = 0
	noBasis := binLift(1)
	noBasis.Basis = Basis{}
	disc := Piece{Kind: RearWheelWeight, Mass: 40}
	box := Piece{Kind: HitchBox, Mass: 90, CG: stability.Point{X: -1.2, Z: 0.6}}
	fill := liquid.Fill{Level: liquid.ValveAt(12)}
	for _, c := range []struct {
		name  string
		needs Needs
		stock Stock
		want  []string
	}{
		{"nothing", Needs{}, Stock{}, []string{"needs.list"}},
		{"goal", Needs{Goal: 9, List: []Need{{}}}, Stock{}, []string{"needs.goal", "needs.list[0].kind"}},
		{"lift", Needs{List: []Need{{Kind: NeedLift}, {Kind: NeedLift, Lift: &lift}, {Kind: NeedLift, Lift: &noBasis, State: LoaderOff, Hitch: Floating}}}, Stock{},
			[]string{"needs.list[0].lift", "needs.list[1].lift.load.mass", "needs.list[2].lift.basis", "needs.list[2].state", "needs.list[2].hitch"}},
		{"shares", Needs{List: []Need{{Kind: NeedSteeredShare}, {Kind: NeedAxleSplit}, {Kind: NeedMass}, {Kind: NeedMass, Mass: units.Range[units.Mass]{Low: 3000, High: 2000}}}}, Stock{},
			[]string{"needs.list[0].base", "needs.list[0].share.low", "needs.list[1].share.high", "needs.list[2].mass", "needs.list[3].mass.low"}},
		{"not a number", Needs{List: []Need{{Kind: NeedMass, Mass: units.Range[units.Mass]{Low: units.Mass(math.NaN())}}}}, Stock{Items: []Item{{Piece: Piece{Kind: RearWheelWeight, Mass: units.Mass(math.Inf(1))}, Count: 1}}},
			[]string{"needs.list[0].mass.low", "stock.items[0].piece.mass"}},
		{"items", Needs{List: []Need{liftNeed(1, 300)}}, Stock{Items: []Item{
			{Piece: disc},
			{Piece: disc, Count: -1, Cents: -5},
			{Piece: disc, Count: 1, Mount: "nowhere", Slots: 2},
			{Piece: disc, Count: 1, Steps: []Step{{Mass: 1}}},
			{Piece: Piece{Kind: RearLiquid, Mass: 5}},
			{Piece: Piece{Kind: RearLiquid, Fill: &fill}, Steps: []Step{{Mass: 100}}},
			{Piece: box, Steps: []Step{{}, {Mass: 5, Volume: 1}}, Count: 2},
			{Piece: box, Range: &MassRange{Most: 100, Step: 0.0015}},
			{Piece: box, Range: &MassRange{Most: 1e5, Step: 1e-3}},
			{Piece: Piece{Kind: HitchBox, Mass: 90, CG: box.CG, State: Raised}},
		}, Mounts: []Mount{{}, {Name: "a", Slots: -1}, {Name: "a"}}, Options: []Option{{}, {RearTrack: 100}}},
			[]string{"stock.items[0].count", "stock.items[1].count", "stock.items[1].cents", "stock.items[2].mount", "stock.items[3].steps",
				"stock.items[4].steps", "stock.items[4].piece.mass", "stock.items[5].piece.fill.level", "stock.items[5].steps[0].mass",
				"stock.items[6].steps[0].density", "stock.items[6].steps[1].mass", "stock.items[6].count", "stock.items[7].range.step",
				"stock.items[8].range.step", "stock.items[9].piece.state", "stock.mounts[0].name", "stock.mounts[1].slots", "stock.mounts[2].name",
				"stock.options[0].rearTrack", "stock.options[1].rearTrack"}},
		{"hitch not said", Needs{List: []Need{{Kind: NeedMass, Mass: units.Range[units.Mass]{Low: 2000}}}}, Stock{Items: []Item{{Piece: box}}}, []string{"needs.list[0].hitch"}},
		{"reach", Needs{List: []Need{liftNeed(9, 300)}}, Stock{}, []string{"needs.list[0].lift.height"}},
	} {
		_, err := Plan(bareOrchard(), c.needs, c.stock)
		if !errors.Is(err, units.ErrInvalid) {
			t.Errorf("%s: %v, want an invalid input", c.name, err)
			continue
		}
		for _, path := range c.want {
			if !strings.Contains("\n"+err.Error(), "\n"+path+": ") {
				t.Errorf("%s: no error at %s:\n%v", c.name, path, err)
			}
		}
	}
	// What the setup leaves no place for, or lacks.
	full := orchard()
	_, err := Plan(full, Needs{List: []Need{liftNeed(1, 300)}}, Stock{Items: []Item{{Piece: box}, {Piece: Piece{Kind: RearLiquid}, Steps: []Step{{Mass: 10}}}}})
	for _, path := range []string{"stock.items[0].piece.kind", "stock.items[1].piece.kind"} {
		if err == nil || !strings.Contains(err.Error(), path) {
			t.Errorf("no error at %s: %v", path, err)
		}
	}
	low := bareOrchard()
	low.Machine.Rear.Radius = 0
	n := liftNeed(1, 300)
	n.Lift.Slope = 0.1
	if _, err := Plan(low, Needs{List: []Need{n}}, Stock{Items: []Item{{Piece: disc, Count: 1}}}); err == nil || !strings.Contains(err.Error(), "stock.items[0]: cannot be counted on a slope") {
		t.Errorf("a wheel weight without a radius on a slope: %v", err)
	}
	low.Machine.CG.Z = 0
	if _, err := Plan(low, Needs{List: []Need{n}}, Stock{}); err == nil || !strings.Contains(err.Error(), "needs.list[0].lift") {
		t.Errorf("a slope without a CG height: %v", err)
	}
}

// A question for a plan survives JSON, and so does its answer's text.
func TestPlanJSON(t *testing.T) {
	for _, d := range []Document{{}, {Needs: &Needs{}}} {
		if _, err := d.Plan(); !errors.Is(err, units.ErrInvalid) {
			t.Errorf("a plan without needs or stock: %v", err)
		}
	}
	stock := shed()
	stock.Options = []Option{{Name: "wide", RearTrack: 1.4, Cents: 100, Group: "track"}}
	q := Document{Version: DocumentVersion, Setup: bareOrchard(), Stock: &stock, Needs: &Needs{Goal: LeastCost, List: []Need{
		liftNeed(1.6, 420), {Kind: NeedSteeredShare, Hitch: Resting, Base: SteeredOfLaden, Share: units.Range[units.Fraction]{Low: 0.2}},
		{Kind: NeedAxleSplit, Hitch: Raised, Share: units.Range[units.Fraction]{Low: 0.2, High: 0.6}},
		{Kind: NeedMass, Hitch: Raised, State: LoaderOn, Mass: units.Range[units.Mass]{High: 4000}},
	}}}
	b, err := json.Marshal(q)
	if err != nil {
		t.Fatal(err)
	}
	back, err := Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(q, back); d != "" {
		t.Error(d)
	}
	p, err := q.Plan()
	if err != nil || p.Status != PlanOptimal {
		t.Fatal(p.Status, err)
	}
	again, err := back.Plan()
	if err != nil {
		t.Fatal(err)
	}
	x, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	if y, _ := json.Marshal(again); !bytes.Equal(x, y) {
		t.Errorf("%s\n%s", x, y)
	}
	if _, err := Decode(strings.NewReader(`{"version":1,"needs":{"list":[{"kind":"lift","lfit":{}}]}}`)); err == nil || !strings.Contains(err.Error(), "needs.list[0].lfit") {
		t.Errorf("an unknown field: %v", err)
	}
}

// Whatever the numbers in needs and stock, the plan is an answer or an invalid
// input; it does not panic or hang, and what it proposes is finite.
func FuzzPlan(f *testing.F) {
	f.Add(0.3, 420.0, 68.0, 25.0, 360.0, 0.2, 5.0, int64(24000), 2, uint8(0), uint8(3))
	f.Add(-1.0, math.NaN(), math.Inf(1), 0.0, 1e308, -0.5, 1e-3, int64(-1), 1001, uint8(1), uint8(8))
	f.Add(1.6, 9e4, 9e4, 1e-3, 5e4, 0.9, 1e5, int64(1e9), 1000, uint8(2), uint8(255))
	f.Fuzz(func(t *testing.T, height, load, disc, suitcase, brine, share, step float64, price int64, number int, kind, bits uint8) {
		st := shed()
		for i := range st.Items {
			if bits&(1<<(i%8)) == 0 {
				continue
			}
			it := &st.Items[i]
			it.Cents = price
			switch {
			case it.Range != nil:
				it.Range.Step, it.Range.Most = units.Mass(step), units.Mass(brine)
			case len(it.Steps) > 0:
				it.Steps = it.Steps[:3]
				it.Steps[0].Mass, it.Steps[1].Depth, it.Steps[2].Cents = units.Mass(brine), units.Length(share), price
			case it.Piece.Kind == RearWheelWeight:
				it.Piece.Mass, it.Count = units.Mass(disc), number
			default:
				it.Piece.Mass, it.Piece.CG.X = units.Mass(suitcase), units.Length(height)
			}
		}
		if bits&1 != 0 {
			st.Options = []Option{{RearTrack: units.Length(height + 1), Cents: price, Pieces: []Piece{{Kind: RearWheelWeight, Mass: units.Mass(disc)}}}}
		}
		n := liftNeed(units.Length(height), units.Mass(load))
		n.Lift.Kind = LiftKind(kind % 6)
		n.Lift.Slope = units.Slope(share / 4)
		needs := Needs{Goal: Goal(kind % 4), List: []Need{n, liftNeed(1.2, 350),
			{Kind: NeedKind(kind % 6), Hitch: Resting, Base: SteeredBase(kind % 4), Share: units.Range[units.Fraction]{Low: units.Fraction(share), High: units.Fraction(share * 2)}},
			{Kind: NeedMass, Hitch: Raised, Mass: units.Range[units.Mass]{Low: units.Mass(load), High: 4000}},
		}}
		if needs.List[2].Kind == NeedSteeredShare {
			needs.List[2].Share.High = 0
		}
		if needs.List[2].Kind != NeedSteeredShare {
			needs.List[2].Base = 0
		}
		p, err := Plan(bareOrchard(), needs, st)
		if err != nil {
			if !errors.Is(err, units.ErrInvalid) {
				t.Fatal(err)
			}
			return
		}
		if _, err := json.Marshal(p); err != nil {
			t.Fatal(err)
		}
		if (p.Status == PlanOptimal || p.Status == PlanFeasible) && len(p.Best.Answers) != len(needs.List) {
			t.Fatalf("%v without answers", p.Status)
		}
		for i, a := range p.Best.Answers {
			if !a.Met {
				t.Fatalf("need %d is not met: %+v", i, a)
			}
		}
		if p.Status == PlanConflict && len(p.Conflict) == 0 {
			t.Fatal("a conflict without needs")
		}
	})
}
