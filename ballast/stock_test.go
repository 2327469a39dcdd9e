package ballast_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/steelyard/ballast"
	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// BX1 of checks.csv: a box of 0.9 x 0.6 x 0.7 m full of concrete weighs 997.2
// kg with its 90 kg of steel, to 0.01 kg; BX2 has the densities.
func TestStockBoxFilling(t *testing.T) {
	box := ballast.Piece{Kind: ballast.HitchBox, Mass: units.Is[units.Mass](90), CG: ballast.Position{X: units.Is[units.Length](-1.2), Z: units.Is[units.Length](0.6)}}
	st := ballast.Stock{Items: []ballast.Item{{Piece: box, Cents: 100, Steps: []ballast.Step{
		{Density: standards.ConcreteDensity, Volume: 0.9 * 0.6 * 0.7, Cents: 20}, {Mass: 400}}}}}
	if err := st.Validate(); err != nil {
		t.Fatal(err)
	}
	cols, groups, _, err := st.Columns()
	if err != nil || len(cols) != 2 || len(groups) != 1 {
		t.Fatal(cols, groups, err)
	}
	if math.Abs(float64(cols[0].One.Mass.Value())-997.2) > 0.01 || cols[0].Cents != 120 || cols[1].Grams != 490000 {
		t.Errorf("%+v", cols)
	}
}

// Every field that a stock checks: what is accepted, what is refused and the
// paths of the fields that the error names, and no others.
func TestStockFields(t *testing.T) {
	crate := ballast.Piece{Kind: ballast.HitchBox, Mass: units.Is[units.Mass](90), CG: ballast.Position{X: units.Is[units.Length](-1.2), Z: units.Is[units.Length](0.6)}}
	mower := ballast.Piece{Kind: ballast.HitchImplement, Mass: units.Is[units.Mass](90), CG: ballast.Position{X: units.Is[units.Length](-1.2), Z: units.Is[units.Length](0.6)}}
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		t.Fatal(err)
	}
	fill := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Temperature: units.Celsius(20)}
	leveled := fill
	leveled.Level = liquid.ValveAt(12)
	brine, filled := ballast.Piece{Kind: ballast.RearLiquid}, ballast.Piece{Kind: ballast.RearLiquid, Fill: &fill}
	many := func(n int, it ballast.Item) (out []ballast.Item) {
		for range n {
			out = append(out, it)
		}
		return out
	}
	one := func(it ballast.Item) ballast.Stock {
		return ballast.Stock{Items: []ballast.Item{it}, Mounts: []ballast.Mount{{Name: "m"}}}
	}
	weight := func(m units.Mass, n int) ballast.Stock {
		return one(ballast.Item{Piece: ballast.Piece{Kind: ballast.RearWheelWeight, Mass: units.Is(m)}, Count: n})
	}
	boxed := func(s ...ballast.Step) ballast.Stock { return one(ballast.Item{Piece: crate, Steps: s}) }
	poured := func(s ...ballast.Step) ballast.Stock { return one(ballast.Item{Piece: brine, Steps: s}) }
	level := func(s ...ballast.Step) ballast.Stock { return one(ballast.Item{Piece: filled, Steps: s}) }
	ranged := func(r ballast.MassRange) ballast.Stock { return one(ballast.Item{Piece: crate, Range: &r}) }
	option := func(o ballast.Option) ballast.Stock { return ballast.Stock{Options: []ballast.Option{o}} }
	mounts := func(m ...ballast.Mount) ballast.Stock { return ballast.Stock{Mounts: m} }
	state := func(p ballast.Piece, s ballast.HitchState, carried units.Fraction) ballast.Piece {
		p.State, p.Carried = s, carried
		return p
	}
	valve := liquid.ValveAt(12)
	for _, c := range []struct {
		s    ballast.Stock
		want string // paths; empty: accepted
	}{
		{ballast.Stock{}, ""},
		// How many there may be.
		{ballast.Stock{Items: many(40, ballast.Item{Piece: disc, Count: 1})}, ""},
		{ballast.Stock{Items: many(41, ballast.Item{Piece: disc, Count: 1})}, "items"},
		{ballast.Stock{Mounts: make([]ballast.Mount, 41)}, "mounts"},
		{mounts(places(40)...), ""},
		{ballast.Stock{Options: make([]ballast.Option, 7)}, "options"},
		{ballast.Stock{Options: []ballast.Option{{RearTrack: 1}, {RearTrack: 1}, {RearTrack: 1}, {RearTrack: 1}, {RearTrack: 1}, {RearTrack: 1}}}, ""},
		{ballast.Stock{Items: many(4, ballast.Item{Piece: crate, Steps: repeat(50, ballast.Step{Mass: 1})})}, ""}, // 200 unknowns
		{ballast.Stock{Items: append(many(4, ballast.Item{Piece: crate, Steps: repeat(50, ballast.Step{Mass: 1})}), ballast.Item{Piece: disc, Count: 1})}, "items"},
		{ballast.Stock{Items: append(many(3, ballast.Item{Piece: crate, Steps: repeat(50, ballast.Step{Mass: 1})}), many(25, ballast.Item{Piece: crate, Range: &ballast.MassRange{Most: 1}})...)}, ""},
		{ballast.Stock{Items: append(many(3, ballast.Item{Piece: crate, Steps: repeat(49, ballast.Step{Mass: 1})}), many(27, ballast.Item{Piece: crate, Range: &ballast.MassRange{Most: 1}})...)}, "items"},
		// Mounts.
		{mounts(ballast.Mount{Name: "a"}, ballast.Mount{Name: "b", Slots: 100000, Limit: 1e-3}, ballast.Mount{Name: "c", Limit: 1e5}), ""},
		{mounts(ballast.Mount{Name: "a", Slots: 100001}), "mounts[0].slots"},
		{mounts(ballast.Mount{Name: "a", Slots: -1}), "mounts[0].slots"},
		{mounts(ballast.Mount{Name: "a", Limit: 0.99e-3}), "mounts[0].limit"},
		{mounts(ballast.Mount{Name: "a", Limit: 1.01e5}), "mounts[0].limit"},
		{mounts(ballast.Mount{Name: "a"}, ballast.Mount{}), "mounts[1].name"},
		{mounts(ballast.Mount{Name: "a"}, ballast.Mount{Name: "a"}), "mounts[1].name"},
		{one(ballast.Item{Piece: disc, Count: 1, Mount: "m", Slots: 1000}), ""},
		{one(ballast.Item{Piece: disc, Count: 1, Mount: "m", Slots: 1001}), "items[0].slots"},
		{one(ballast.Item{Piece: disc, Count: 1, Mount: "m", Slots: -1}), "items[0].slots"},
		{one(ballast.Item{Piece: disc, Count: 1, Slots: 1}), "items[0].slots"},
		{one(ballast.Item{Piece: disc, Count: 1, Mount: "n"}), "items[0].mount"},
		// How many of an item, and what they cost.
		{weight(40, 1), ""},
		{weight(0.5, 1), ""},
		{weight(40, 1000), ""},
		{weight(40, 1001), "items[0].count"},
		{weight(40, 0), "items[0].count"},
		{weight(40, -1), "items[0].count"},
		{weight(100, 1000), ""},
		{weight(1e5, 1), ""},
		{one(ballast.Item{Piece: ballast.Piece{Kind: ballast.HitchBox, Mass: units.Is[units.Mass](1e5), CG: crate.CG}}), ""},
		{weight(101, 1000), "items[0].count"},
		{weight(1.01e5, 1), "items[0].piece.mass"},
		{one(ballast.Item{Piece: disc, Count: 1, Cents: 1e9}), ""},
		{one(ballast.Item{Piece: disc, Count: 1, Cents: 1e9 + 1}), "items[0].cents"},
		{one(ballast.Item{Piece: disc, Count: 1, Cents: 1}), ""},
		{one(ballast.Item{Piece: disc, Count: 1, Cents: -1}), "items[0].cents"},
		{one(ballast.Item{Piece: crate}), ""},
		{one(ballast.Item{Piece: crate, Count: 1}), ""},
		{one(ballast.Item{Piece: crate, Count: 2}), "items[0].count"},
		{one(ballast.Item{Piece: mower, Count: 2}), "items[0].count"},
		{one(ballast.Item{Piece: brine, Count: 1, Steps: []ballast.Step{{Mass: 9}}}), ""},
		{one(ballast.Item{Piece: brine, Count: 2, Steps: []ballast.Step{{Mass: 9}}}), "items[0].count"},
		{one(ballast.Item{Piece: crate, Count: 2, Range: &ballast.MassRange{Most: 1}}), "items[0].count"},
		// The state of the hitch is the need's.
		{one(ballast.Item{Piece: state(crate, ballast.Raised, 0)}), "items[0].piece.state"},
		{one(ballast.Item{Piece: state(crate, ballast.HitchUnknown, 0.5)}), "items[0].piece.state"},
		{one(ballast.Item{Piece: state(disc, ballast.Raised, 0), Count: 1}), "items[0].piece.state items[0].piece.state"},
		// Steps belong to liquid and boxes.
		{one(ballast.Item{Piece: disc, Count: 1, Steps: []ballast.Step{{Mass: 9}}}), "items[0].steps"},
		{one(ballast.Item{Piece: mower, Steps: []ballast.Step{{Mass: 9}}}), "items[0].steps"},
		{boxed(repeat(50, ballast.Step{Mass: 9})...), ""},
		{boxed(repeat(51, ballast.Step{Mass: 9})...), "items[0].steps"},
		{one(ballast.Item{Piece: brine}), "items[0].steps items[0].count"},
		// Fillings of a box.
		{boxed(ballast.Step{Mass: 1e-3, Cents: 1e9}), ""},
		{boxed(ballast.Step{Mass: 1e5}), ""},
		{boxed(ballast.Step{Mass: 0.99e-3}), "items[0].steps[0].mass"},
		{boxed(ballast.Step{Mass: 1}, ballast.Step{Mass: 1.01e5}), "items[0].steps[1].mass"},
		{boxed(ballast.Step{Density: 1, Volume: 100}), ""},
		{boxed(ballast.Step{Density: 25000, Volume: 4}), ""},
		{boxed(ballast.Step{Density: 25000, Volume: 1e-6}), ""},
		{boxed(ballast.Step{Density: 25000, Volume: 4.01}), "items[0].steps[0].volume"},
		{boxed(ballast.Step{Density: 25250, Volume: 1}), "items[0].steps[0].density"},
		{boxed(ballast.Step{Density: 0.99, Volume: 1}), "items[0].steps[0].density"},
		{boxed(ballast.Step{Density: 1, Volume: 101}), "items[0].steps[0].volume"},
		{boxed(ballast.Step{Density: 25001, Volume: 90}), "items[0].steps[0].density"},
		{boxed(ballast.Step{Volume: 1}), "items[0].steps[0].density"},
		{boxed(ballast.Step{Density: 1}), "items[0].steps[0].volume"},
		{boxed(ballast.Step{}), "items[0].steps[0].density items[0].steps[0].volume"},
		{boxed(ballast.Step{Mass: 1, Density: 1}), "items[0].steps[0].mass"},
		{boxed(ballast.Step{Mass: 1, Volume: 1}), "items[0].steps[0].mass"},
		{boxed(ballast.Step{Mass: 1, Level: valve}), "items[0].steps[0].level"},
		{boxed(ballast.Step{Mass: 1, Depth: 0.1}), "items[0].steps[0].level"},
		{boxed(ballast.Step{Mass: 1, RollRise: 0.1}), "items[0].steps[0].level"},
		{boxed(ballast.Step{Mass: 1, Cents: -1}), "items[0].steps[0].cents"},
		// Liquid by its mass.
		{poured(ballast.Step{Mass: 1}, ballast.Step{Mass: 5, Depth: 0.1, RollRise: 0.1, Cents: 1e9}), ""},
		{poured(ballast.Step{Mass: 1}, ballast.Step{}), "items[0].steps[1].mass"},
		{poured(ballast.Step{Mass: 1, Depth: 0.1}), "items[0].steps[0].rollRise"},
		{poured(ballast.Step{Mass: 1, RollRise: 0.1}), "items[0].steps[0].depth"},
		{poured(ballast.Step{Mass: 1, Level: valve}), "items[0].steps[0].level"},
		{poured(ballast.Step{Mass: 1, Density: 1}), "items[0].steps[0].density"},
		{poured(ballast.Step{Mass: 1, Volume: 1}), "items[0].steps[0].density"},
		{poured(ballast.Step{Mass: 1, Cents: 1e9 + 1}), "items[0].steps[0].cents"},
		{one(ballast.Item{Piece: ballast.Piece{Kind: ballast.FrontLiquid, Mass: units.Is[units.Mass](1)}, Steps: []ballast.Step{{Mass: 1}}}), "items[0].piece.mass"},
		{one(ballast.Item{Piece: ballast.Piece{Kind: ballast.FrontLiquid, Depth: units.Is[units.Length](1)}, Steps: []ballast.Step{{Mass: 1}}}), "items[0].piece.mass"},
		{one(ballast.Item{Piece: ballast.Piece{Kind: ballast.FrontLiquid, RollRise: units.Is[units.Length](1)}, Steps: []ballast.Step{{Mass: 1}}}), "items[0].piece.mass"},
		{one(ballast.Item{Piece: ballast.Piece{Kind: ballast.FrontLiquid, Tires: 2}, Steps: []ballast.Step{{Mass: 1}}}), "items[0].piece.tires"},
		// Liquid by its level.
		{level(ballast.Step{Level: valve}), ""},
		{level(ballast.Step{Level: valve, Mass: 0.5}), "items[0].steps[0].mass"},
		{level(ballast.Step{Level: valve, Depth: 0.5}), "items[0].steps[0].mass"},
		{level(ballast.Step{Level: valve, RollRise: 0.5}), "items[0].steps[0].mass"},
		{level(ballast.Step{Level: valve, Density: 1}), "items[0].steps[0].density"},
		{one(ballast.Item{Piece: ballast.Piece{Kind: ballast.RearLiquid, Fill: &leveled}, Steps: []ballast.Step{{Level: valve}}}), "items[0].piece.fill.level"},
		// A range of masses.
		{one(ballast.Item{Piece: mower, Range: &ballast.MassRange{Most: 1}}), "items[0].range"},
		{one(ballast.Item{Piece: crate, Steps: []ballast.Step{{Mass: 1}}, Range: &ballast.MassRange{Most: 1}}), "items[0].range"},
		{ranged(ballast.MassRange{Most: 1}), ""},
		{ranged(ballast.MassRange{Most: 0.99}), "items[0].range.step"}, // the step is 1 kg
		{ranged(ballast.MassRange{Most: 1e-3, Step: 1e-3}), ""},
		{ranged(ballast.MassRange{Most: 0.99e-3, Step: 1e-3}), "items[0].range.most"},
		{ranged(ballast.MassRange{Most: 1e5, Step: 1e5, Cents: 1e9}), ""},
		{ranged(ballast.MassRange{Most: 1.01e5, Step: 1}), "items[0].range.most"},
		{ranged(ballast.MassRange{Most: 1e5, Step: 1.01e5}), "items[0].range.step"},
		{ranged(ballast.MassRange{Most: 1000, Step: 1e-3}), ""},
		{ranged(ballast.MassRange{Most: 1001, Step: 1e-3}), "items[0].range.step"},
		{ranged(ballast.MassRange{Most: 10, Step: 11}), "items[0].range.step"},
		{ranged(ballast.MassRange{Most: 10, Step: 0.0104}), "items[0].range.step"},
		{ranged(ballast.MassRange{Most: 10, Step: 0.0106}), "items[0].range.step"},
		{ranged(ballast.MassRange{Most: 10, Step: 0.01, Cents: -1}), "items[0].range.cents"},
		{ranged(ballast.MassRange{Most: 10, Step: 0.99e-3}), "items[0].range.step"},
		// Options.
		{option(ballast.Option{}), "options[0].rearTrack"},
		{option(ballast.Option{Group: "g", Name: "n", Cents: 1}), "options[0].rearTrack"},
		{option(ballast.Option{RearTrack: 0.2}), ""},
		{option(ballast.Option{RearTrack: 6, FrontTrack: 6}), ""},
		{option(ballast.Option{FrontTrack: 0.2}), ""},
		{option(ballast.Option{RearTrack: 0.198}), "options[0].rearTrack"},
		{option(ballast.Option{RearTrack: 6.06}), "options[0].rearTrack"},
		{option(ballast.Option{FrontTrack: 0.198}), "options[0].frontTrack"},
		{option(ballast.Option{FrontTrack: 6.06}), "options[0].frontTrack"},
		{option(ballast.Option{RearTiresPerSide: 1}), ""},
		{option(ballast.Option{RearTiresPerSide: 3}), ""},
		{option(ballast.Option{RearTiresPerSide: 4}), "options[0].rearTiresPerSide"},
		{option(ballast.Option{RearTiresPerSide: -1}), "options[0].rearTiresPerSide"},
		{option(ballast.Option{FrontTiresPerSide: 1}), ""},
		{option(ballast.Option{FrontTiresPerSide: 3}), ""},
		{option(ballast.Option{FrontTiresPerSide: 4}), "options[0].frontTiresPerSide"},
		{option(ballast.Option{FrontTiresPerSide: -1}), "options[0].frontTiresPerSide"},
		{option(ballast.Option{RearTrack: 1, Cents: 1e9}), ""},
		{option(ballast.Option{RearTrack: 1, Cents: -1}), "options[0].cents"},
		{option(ballast.Option{Pieces: []ballast.Piece{disc}}), ""},
		{option(ballast.Option{Pieces: repeat(10, disc)}), ""},
		{option(ballast.Option{Pieces: repeat(11, disc)}), "options[0].pieces"},
		{option(ballast.Option{Pieces: []ballast.Piece{disc, {Kind: ballast.RearWheelWeight}}}), "options[0].pieces[1].mass"},
		{option(ballast.Option{Pieces: []ballast.Piece{state(crate, ballast.Raised, 0)}}), "options[0].pieces[0].kind"},
	} {
		if err := c.s.Validate(); paths(err) != c.want {
			t.Errorf("%+v\n%v\nwant %s", c.s, err, c.want)
		}
	}
	// What an error says of its bound.
	for want, s := range map[string]ballast.Stock{
		"must be between 0 and 1000000000 cents":                       one(ballast.Item{Piece: disc, Count: 1, Cents: -1}),
		"must hold no more than " + units.Mass(1e5).String():           boxed(ballast.Step{Density: 25000, Volume: 90}),
		"must be between 0 and 1000":                                   one(ballast.Item{Piece: disc, Count: 1, Mount: "m", Slots: 2000}),
		"must have at most 50 entries":                                 boxed(make([]ballast.Step, 51)...),
		"must have at most 200 items and steps together":               {Items: many(5, ballast.Item{Piece: crate, Steps: repeat(50, ballast.Step{Mass: 1})})},
		"must be left out or be between 0.2 m and 6 m":                 option(ballast.Option{RearTrack: 7}),
		"must be between 0 kg and 100000 kg":                           weight(500, 1000),
		"must divide the most into 1 to 1000000 steps":                 ranged(ballast.MassRange{Most: 1001, Step: 1e-3}),
		"must be a whole number of grams":                              ranged(ballast.MassRange{Most: 10, Step: 0.0104}),
		"must be left out: the item is neither liquid nor a box":       one(ballast.Item{Piece: mower, Steps: []ballast.Step{{Mass: 9}}}),
		"must be left out unless the item is a box without steps":      one(ballast.Item{Piece: mower, Range: &ballast.MassRange{Most: 1}}),
		"must be given, or anything else that the option changes":      option(ballast.Option{}),
		"must be left out: each need says whether the hitch is raised": one(ballast.Item{Piece: state(crate, ballast.Raised, 0)}),
	} {
		if err := s.Validate(); err == nil || !strings.Contains(strings.ReplaceAll(err.Error(), "+", ""), strings.ReplaceAll(want, "+", "")) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}

// places returns mounts with names of their own.
func places(n int) (out []ballast.Mount) {
	for i := range n {
		out = append(out, ballast.Mount{Name: string(rune('a' + i))})
	}
	return out
}

func repeat[T any](n int, v T) []T { return slices.Repeat([]T{v}, n) }

// An option changes what it gives and leaves the rest; its pieces come after
// those of the setup, which stays as it is.
func TestOptionApplied(t *testing.T) {
	s := orchard()
	s.Machine.Rear.TiresPerSide, s.Machine.Front.TiresPerSide = 2, 3
	before := len(s.Pieces)
	for _, o := range []ballast.Option{{RearTrack: 1.4}, {FrontTrack: 1.3}, {RearTiresPerSide: 1}, {FrontTiresPerSide: 1}, {Pieces: []ballast.Piece{disc, disc}}} {
		got := o.Apply(s)
		or := func(v, old units.Length) units.Length {
			if v == 0 {
				return old
			}
			return v
		}
		orCount := func(v, old int) int { return int(or(units.Length(v), units.Length(old))) }
		m := got.Machine
		if m.RearTrack.Value() != or(o.RearTrack, 1.2) || m.FrontTrack.Value() != or(o.FrontTrack, 1.15) ||
			m.Rear.TiresPerSide != orCount(o.RearTiresPerSide, 2) || m.Front.TiresPerSide != orCount(o.FrontTiresPerSide, 3) ||
			len(got.Pieces) != before+len(o.Pieces) || len(o.Pieces) > 0 && got.Pieces[before] != disc || len(s.Pieces) != before {
			t.Errorf("%+v: %+v, %d pieces", o, m, len(got.Pieces))
		}
	}
}

// The unknowns of a stock, by hand: one for each weight, step, box and
// implement, one more for what is filled into a box freely, none for a level
// that holds nothing; exclusive are all on the hitch, all in the rear tires,
// all in the front tires.
func TestStockUnknowns(t *testing.T) {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		t.Fatal(err)
	}
	fill := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Temperature: units.Celsius(20)}
	crate := ballast.Piece{Kind: ballast.HitchBox, Mass: units.Is[units.Mass](90), CG: ballast.Position{X: units.Is[units.Length](-1.2), Z: units.Is[units.Length](0.6)}}
	st := ballast.Stock{Items: []ballast.Item{
		{Name: "weights", Piece: ballast.Piece{Kind: ballast.ChassisPiece, Mass: units.Is[units.Mass](25.25), CG: ballast.Position{X: units.Is[units.Length](1), Z: units.Is[units.Length](1)}}, Count: 4, Cents: 11},
		{Name: "rear", Piece: ballast.Piece{Kind: ballast.RearLiquid, Tires: 4, CG: ballast.Position{Y: units.Is[units.Length](0.1)}}, Steps: []ballast.Step{{Mass: 10, Depth: 0.3, RollRise: 0.2, Cents: 1}, {Mass: 20, Cents: 2}}, Cents: 100},
		{Name: "empty", Piece: ballast.Piece{Kind: ballast.RearLiquid, Fill: &fill, Tires: 3, CG: ballast.Position{Y: units.Is[units.Length](0.2)}}, Steps: []ballast.Step{{Level: liquid.HeightAt(-1)}, {Level: liquid.ValveAt(12), Cents: 5}}, Cents: 7},
		{Name: "front", Piece: ballast.Piece{Kind: ballast.FrontLiquid}, Steps: []ballast.Step{{Mass: 5}, {Mass: 6}}},
		{Name: "box", Piece: crate, Steps: []ballast.Step{{Mass: 10, Cents: 3}, {Density: 1000, Volume: 0.5}}, Cents: 20},
		{Name: "range", Piece: crate, Range: &ballast.MassRange{Most: 100, Step: 0.3, Cents: 4}, Cents: 30},
		{Name: "mower", Piece: ballast.Piece{Kind: ballast.HitchImplement, Mass: units.Is[units.Mass](150), CG: crate.CG}, Cents: 40},
	}}
	st.Items[1].Piece.Tires = 0
	if err := st.Validate(); err != nil {
		t.Fatal(err)
	}
	cols, groups, notes, err := st.Columns()
	if err != nil || notes != ballast.NoteFill {
		t.Fatal(notes, err)
	}
	water, err := (liquid.Fill{Tire: tire, Fluid: fill.Fluid, Temperature: fill.Temperature, Level: liquid.ValveAt(12)}).Solve()
	if err != nil {
		t.Fatal(err)
	}
	type unknown struct {
		item, step   int
		fill         bool
		upper        int64
		mass         float64
		cents, units int64
	}
	want := []unknown{
		{0, -1, false, 4, 25.25, 11, 1},
		{1, 0, false, 1, 10, 101, 1}, {1, 1, false, 1, 20, 102, 1},
		{2, 1, false, 1, 3 * float64(water.Mass), 12, 1},
		{3, 0, false, 1, 5, 0, 1}, {3, 1, false, 1, 6, 0, 1},
		{4, 0, false, 1, 100, 23, 1}, {4, 1, false, 1, 590, 20, 1},
		{5, -1, false, 1, 90, 30, 1}, {5, -1, true, 333, 0.3, 4, 0},
		{6, -1, false, 1, 150, 40, 1},
	}
	if len(cols) != len(want) {
		t.Fatalf("%d unknowns: %+v", len(cols), cols)
	}
	for i, c := range cols {
		got := unknown{c.Item, c.Step, c.Fill, c.Upper, float64(c.One.Mass.Value()), c.Cents, c.Units}
		if math.Abs(got.mass-want[i].mass) < 1e-12*want[i].mass {
			got.mass = want[i].mass // but for rounding
		}
		if got != want[i] || c.Grams != int64(math.Round(want[i].mass*1000)) {
			t.Errorf("unknown %d: %+v of %d g, want %+v", i, got, c.Grams, want[i])
		}
		if c.One.Kind.OnHitch() != (c.One.State == ballast.Raised) || c.One.Name != st.Items[c.Item].Name || c.One.CG != st.Items[c.Item].Piece.CG {
			t.Errorf("unknown %d: %+v", i, c.One)
		}
	}
	if one := cols[1].One; one.Depth.Value() != 0.3 || one.RollRise.Value() != 0.2 {
		t.Errorf("%+v", one)
	}
	if one := cols[3].One; !sameLength(one.Depth.Value(), water.PitchRise) || !sameLength(one.RollRise.Value(), water.RollRise) || one.Fill != nil {
		t.Errorf("%+v, want %+v", one, water)
	}
	if d := cmp.Diff([][]int{{6, 7, 8, 10}, {1, 2, 3}, {4, 5}}, groups); d != "" {
		t.Error(d)
	}
	// One alone excludes nothing.
	st.Items = st.Items[5:6]
	if cols, groups, notes, err = st.Columns(); err != nil || len(cols) != 2 || len(groups) != 0 || notes != 0 {
		t.Error(cols, groups, notes, err)
	}
}

// sameLength reports whether lengths are equal but for the error of a tabulated
// cavity, 1e-9 of the whole: a stock tabulates one for all its levels.
func sameLength(a, b units.Length) bool { return math.Abs(float64(a-b)) < 1e-7 }

// A fill by level is what package liquid says of it, in a pair of tires.
func TestStockLiquidLevels(t *testing.T) {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		t.Fatal(err)
	}
	fill := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Temperature: units.Celsius(20)}
	it := ballast.Item{Piece: ballast.Piece{Kind: ballast.RearLiquid, Fill: &fill}, Steps: []ballast.Step{{Level: liquid.ValveAt(4)}, {Level: liquid.ValveAt(12)}}}
	st := ballast.Stock{Items: []ballast.Item{it}}
	if err := st.Validate(); err != nil {
		t.Fatal(err)
	}
	cols, groups, notes, err := st.Columns()
	if err != nil || len(cols) != 2 || len(groups) != 1 || !notes.Has(ballast.NoteFill) {
		t.Fatal(cols, groups, notes, err)
	}
	for k, c := range cols {
		one := fill
		one.Level = it.Steps[k].Level
		f, err := one.Solve()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(c.One.Mass.Value()-2*f.Mass)) > 1e-6 || !sameLength(c.One.Depth.Value(), f.PitchRise) || !sameLength(c.One.RollRise.Value(), f.RollRise) {
			t.Errorf("step %d: %+v, want twice %+v", k, c.One, f)
		}
	}
}

// Every bad field is named by its path, all of them at once.
func TestPlanErrors(t *testing.T) {
	lift := binLift(1)
	lift.Load.Mass = 0
	noBasis := binLift(1)
	noBasis.Basis = ballast.Basis{}
	disc := ballast.Piece{Kind: ballast.RearWheelWeight, Mass: units.Is[units.Mass](40)}
	box := ballast.Piece{Kind: ballast.HitchBox, Mass: units.Is[units.Mass](90), CG: ballast.Position{X: units.Is[units.Length](-1.2), Z: units.Is[units.Length](0.6)}}
	fill := liquid.Fill{Level: liquid.ValveAt(12)}
	for _, c := range []struct {
		name  string
		needs ballast.Needs
		stock ballast.Stock
		want  []string
	}{
		{"nothing", ballast.Needs{}, ballast.Stock{}, []string{"needs.list"}},
		{"goal", ballast.Needs{Goal: 9, List: []ballast.Need{{}}}, ballast.Stock{}, []string{"needs.goal", "needs.list[0].kind"}},
		{"lift", ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedLift}, {Kind: ballast.NeedLift, Lift: &lift}, {Kind: ballast.NeedLift, Lift: &noBasis, State: ballast.LoaderOff, Hitch: ballast.Floating}}}, ballast.Stock{},
			[]string{"needs.list[0].lift", "needs.list[1].lift.load.mass", "needs.list[2].lift.basis", "needs.list[2].state", "needs.list[2].hitch"}},
		{"shares", ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedSteeredShare}, {Kind: ballast.NeedAxleSplit}, {Kind: ballast.NeedMass}, {Kind: ballast.NeedMass, Mass: units.Range[units.Mass]{Low: 3000, High: 2000}}}}, ballast.Stock{},
			[]string{"needs.list[0].base", "needs.list[0].share.low", "needs.list[1].share.high", "needs.list[2].mass", "needs.list[3].mass.low"}},
		{"not a number", ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedMass, Mass: units.Range[units.Mass]{Low: units.Mass(math.NaN())}}}}, ballast.Stock{Items: []ballast.Item{{Piece: ballast.Piece{Kind: ballast.RearWheelWeight, Mass: units.Is(units.Mass(math.Inf(1)))}, Count: 1}}},
			[]string{"needs.list[0].mass.low", "stock.items[0].piece.mass"}},
		{"items", ballast.Needs{List: []ballast.Need{liftNeed(1, 300)}}, ballast.Stock{Items: []ballast.Item{
			{Piece: disc},
			{Piece: disc, Count: -1, Cents: -5},
			{Piece: disc, Count: 1, Mount: "nowhere", Slots: 2},
			{Piece: disc, Count: 1, Steps: []ballast.Step{{Mass: 1}}},
			{Piece: ballast.Piece{Kind: ballast.RearLiquid, Mass: units.Is[units.Mass](5)}},
			{Piece: ballast.Piece{Kind: ballast.RearLiquid, Fill: &fill}, Steps: []ballast.Step{{Mass: 100}}},
			{Piece: box, Steps: []ballast.Step{{}, {Mass: 5, Volume: 1}}, Count: 2},
			{Piece: box, Range: &ballast.MassRange{Most: 100, Step: 0.0015}},
			{Piece: box, Range: &ballast.MassRange{Most: 1e5, Step: 1e-3}},
			{Piece: ballast.Piece{Kind: ballast.HitchBox, Mass: units.Is[units.Mass](90), CG: box.CG, State: ballast.Raised}},
		}, Mounts: []ballast.Mount{{}, {Name: "a", Slots: -1}, {Name: "a"}}, Options: []ballast.Option{{}, {RearTrack: 100}}},
			[]string{"stock.items[0].count", "stock.items[1].count", "stock.items[1].cents", "stock.items[2].mount", "stock.items[3].steps",
				"stock.items[4].steps", "stock.items[4].piece.mass", "stock.items[5].piece.fill.level", "stock.items[5].steps[0].mass",
				"stock.items[6].steps[0].density", "stock.items[6].steps[1].mass", "stock.items[6].count", "stock.items[7].range.step",
				"stock.items[8].range.step", "stock.items[9].piece.state", "stock.mounts[0].name", "stock.mounts[1].slots", "stock.mounts[2].name",
				"stock.options[0].rearTrack", "stock.options[1].rearTrack"}},
		{"hitch not said", ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedMass, Mass: units.Range[units.Mass]{Low: 2000}}}}, ballast.Stock{Items: []ballast.Item{{Piece: box}}}, []string{"needs.list[0].hitch"}},
		{"reach", ballast.Needs{List: []ballast.Need{liftNeed(9, 300)}}, ballast.Stock{}, []string{"needs.list[0].lift.height"}},
	} {
		_, err := ballast.Plan(t.Context(), bareOrchard(), c.needs, c.stock)
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
	_, err := ballast.Plan(t.Context(), full, ballast.Needs{List: []ballast.Need{liftNeed(1, 300)}}, ballast.Stock{Items: []ballast.Item{{Piece: box}, {Piece: ballast.Piece{Kind: ballast.RearLiquid}, Steps: []ballast.Step{{Mass: 10}}}}})
	for _, path := range []string{"stock.items[0].piece.kind", "stock.items[1].piece.kind"} {
		if err == nil || !strings.Contains(err.Error(), path) {
			t.Errorf("no error at %s: %v", path, err)
		}
	}
	low := bareOrchard()
	low.Machine.Rear.Radius = units.Input[units.Length]{}
	n := liftNeed(1, 300)
	n.Lift.Slope = 0.1
	if _, err := ballast.Plan(t.Context(), low, ballast.Needs{List: []ballast.Need{n}}, ballast.Stock{Items: []ballast.Item{{Piece: disc, Count: 1}}}); err != nil {
		t.Errorf("a wheel weight whose radius is that of practice, on a slope: %v", err)
	}
	low.Machine.CG.Z = units.Input[units.Length]{}
	// Without a height the plan holds for every height of practice.
	if p, err := ballast.Plan(t.Context(), low, ballast.Needs{List: []ballast.Need{n}}, ballast.Stock{}); err != nil || p.Status == ballast.PlanUndecided {
		t.Errorf("a slope without a CG height: %v, %v", p.Status, err)
	}
}

// A question for a plan survives JSON, and so does its answer's text.
func TestPlanJSON(t *testing.T) {
	for _, d := range []ballast.Document{{}, {Needs: &ballast.Needs{}}} {
		if _, err := d.Plan(t.Context()); !errors.Is(err, units.ErrInvalid) {
			t.Errorf("a plan without needs or stock: %v", err)
		}
	}
	stock := shed()
	stock.Options = []ballast.Option{{Name: "wide", RearTrack: 1.4, Cents: 100, Group: "track"}}
	q := ballast.Document{Version: ballast.DocumentVersion, Setup: bareOrchard(), Stock: &stock, Needs: &ballast.Needs{Goal: ballast.LeastCost, List: []ballast.Need{
		liftNeed(1.6, 420), {Kind: ballast.NeedSteeredShare, Hitch: ballast.Resting, Base: ballast.SteeredOfLaden, Share: units.Range[units.Fraction]{Low: 0.2}},
		{Kind: ballast.NeedAxleSplit, Hitch: ballast.Raised, Share: units.Range[units.Fraction]{Low: 0.2, High: 0.6}},
		{Kind: ballast.NeedMass, Hitch: ballast.Raised, State: ballast.LoaderOn, Mass: units.Range[units.Mass]{High: 4000}},
	}}}
	b, err := json.Marshal(q)
	if err != nil {
		t.Fatal(err)
	}
	back, err := ballast.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(q, back, exact); d != "" {
		t.Error(d)
	}
	p, err := q.Plan(t.Context())
	if err != nil || p.Status != ballast.PlanOptimal {
		t.Fatal(p.Status, err)
	}
	again, err := back.Plan(t.Context())
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
	if _, err := ballast.Decode(strings.NewReader(`{"version":1,"needs":{"list":[{"kind":"lift","lfit":{}}]}}`)); err == nil || !strings.Contains(err.Error(), "needs.list[0].lfit") {
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
			case it.Piece.Kind == ballast.RearWheelWeight:
				it.Piece.Mass, it.Count = units.Is(units.Mass(disc)), number
			default:
				it.Piece.Mass, it.Piece.CG.X = units.Is(units.Mass(suitcase)), units.Is(units.Length(height))
			}
		}
		if bits&1 != 0 {
			st.Options = []ballast.Option{{RearTrack: units.Length(height + 1), Cents: price, Pieces: []ballast.Piece{{Kind: ballast.RearWheelWeight, Mass: units.Is(units.Mass(disc))}}}}
		}
		n := liftNeed(units.Length(height), units.Mass(load))
		n.Lift.Kind = ballast.LiftKind(kind % 6)
		n.Lift.Slope = units.Slope(share / 4)
		needs := ballast.Needs{Goal: ballast.Goal(kind % 4), List: []ballast.Need{n, liftNeed(1.2, 350),
			{Kind: ballast.NeedKind(kind % 6), Hitch: ballast.Resting, Base: ballast.SteeredBase(kind % 4), Share: units.Range[units.Fraction]{Low: units.Fraction(share), High: units.Fraction(share * 2)}},
			{Kind: ballast.NeedMass, Hitch: ballast.Raised, Mass: units.Range[units.Mass]{Low: units.Mass(load), High: 4000}},
		}}
		if needs.List[2].Kind == ballast.NeedSteeredShare {
			needs.List[2].Share.High = 0
		}
		if needs.List[2].Kind != ballast.NeedSteeredShare {
			needs.List[2].Base = 0
		}
		p, err := ballast.Plan(t.Context(), bareOrchard(), needs, st)
		if err != nil {
			if !errors.Is(err, units.ErrInvalid) {
				t.Fatal(err)
			}
			return
		}
		if _, err := json.Marshal(p); err != nil {
			t.Fatal(err)
		}
		if (p.Status == ballast.PlanOptimal || p.Status == ballast.PlanFeasible) && len(p.Best.Answers) != len(needs.List) {
			t.Fatalf("%v without answers", p.Status)
		}
		for i, a := range p.Best.Answers {
			if !a.Met {
				t.Fatalf("need %d is not met: %+v", i, a)
			}
		}
		if p.Status == ballast.PlanConflict && len(p.Conflict) == 0 {
			t.Fatal("a conflict without needs")
		}
	})
}
