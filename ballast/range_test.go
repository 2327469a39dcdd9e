package ballast_test

import (
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// TestRanges holds the range of every number of every input, as its error
// states it, to testdata/ranges.txt: a range that moves is a change that
// callers notice, and its line is to be read against the field's
// documentation.
func TestRanges(t *testing.T) {
	fieldtest.Ranges(t, "testdata/ranges.txt",
		ballast.Attachment{},
		ballast.Attachment{Kind: ballast.Forks},
		ballast.Attachment{Kind: ballast.Bucket},
		ballast.Axle{},
		ballast.Basis{},
		ballast.Basis{Kind: ballast.BasisRearShare},
		ballast.Basis{Kind: ballast.BasisTippingFraction},
		ballast.Cylinders{},
		ballast.Document{},
		ballast.Fuel{},
		ballast.RequiredPressure{},
		ballast.Item{},
		ballast.Lift{},
		ballast.Load{},
		ballast.Loader{},
		ballast.Loader{ArmMass: units.Is[units.Mass](100)},
		ballast.Machine{},
		ballast.Machine{FrontLoad: units.Is[units.Mass](1000), RearLoad: units.Is[units.Mass](1000)},
		ballast.MassRange{},
		ballast.Need{},
		ballast.Needs{},
		ballast.Option{},
		ballast.Piece{},
		ballast.Piece{Kind: ballast.HitchBox, State: ballast.Floating},
		ballast.Setup{},
		ballast.SteeredRule{},
		ballast.SteeredRule{Base: ballast.SteeredOfLaden},
		ballast.Stock{},
		ballast.TireRating{},
		ballast.Transport{},
		ballast.Travel{},
	)
}

// The ends of a range are inside it.
func TestWithin(t *testing.T) {
	for v, ok := range map[units.Length]bool{1: true, 2: true, 0.99: false, 2.01: false, 0: false, -1: false} {
		var c units.FieldErrors
		valid.Within(&c, "x", v, 1, 2)
		if (c.Len() == 0) != ok {
			t.Errorf("%v within 1 to 2: %v", float64(v), c.Err())
		}
		var z units.FieldErrors
		valid.ZeroOr(&z, "x", v, 1, 2)
		if (z.Len() == 0) != (ok || v == 0) {
			t.Errorf("%v zero or within 1 to 2: %v", float64(v), z.Err())
		}
	}
}

// What is accepted and what is refused beside it, where a field's
// documentation ties it to another one or counts entries: the first value is
// not named at the path, the second is.
func TestEdges(t *testing.T) {
	type valid interface{ Validate() error }
	point := func(x, z units.Length) ballast.Position { return position(stability.Point{X: x, Z: z}) }
	kpa := func(p float64) units.GaugePressure { return units.GaugePressure(p) * units.GaugeKilopascal }
	rows := func(n int) (out []ballast.PressureLoad) {
		for i := range n {
			out = append(out, ballast.PressureLoad{kpa(20 + float64(i)), units.Mass(100 + i)})
		}
		return out
	}
	rated := func(n int) (out []ballast.RatedPoint) {
		for i := range n {
			out = append(out, ballast.RatedPoint{PinHeight: 0.02 + units.Length(i)*0.02, AtPin: 100})
		}
		return out
	}
	arm := func(change func(*ballast.Loader)) ballast.Loader {
		l := ballast.Loader{Pivot: point(0.85, 1.5), Arm: units.Is[units.Length](2), LowestPin: units.Is[units.Length](0.2), HighestPin: units.Is[units.Length](2.7)}
		change(&l)
		return l
	}
	two := func(a, b ballast.RatedPoint) ballast.Loader {
		return arm(func(l *ballast.Loader) { l.Rated = []ballast.RatedPoint{a, b} })
	}
	low := ballast.RatedPoint{PinHeight: 1, AtPin: 900, Ahead: 0.5, AheadMass: 800}
	high := func(change func(*ballast.RatedPoint)) ballast.RatedPoint {
		p := ballast.RatedPoint{PinHeight: 2, AtPin: 900, Ahead: 0.5, AheadMass: 800}
		change(&p)
		return p
	}
	fill := &liquid.Fill{}
	for _, c := range []struct {
		path      string
		good, bad valid
	}{
		{"kind", ballast.Attachment{Kind: ballast.BarePin, Name: "pin"}, ballast.Attachment{Kind: ballast.BarePin, Mass: units.Is[units.Mass](1)}},
		{"kind", ballast.Attachment{Kind: ballast.Bucket}, ballast.Attachment{}},
		{"kind", ballast.Attachment{Kind: ballast.Bucket}, ballast.Attachment{Kind: ballast.Bucket + 1}},
		{"mass", ballast.Attachment{Kind: ballast.BarePin}, ballast.Attachment{Kind: ballast.Bucket}},
		{"face", ballast.Attachment{Kind: ballast.Forks, Face: units.Is[units.Length](0.1)}, ballast.Attachment{Kind: ballast.Forks}},
		{"edge", ballast.Attachment{Kind: ballast.Forks}, ballast.Attachment{Kind: ballast.Forks, Edge: ballast.Offset{Above: units.Is[units.Length](1)}}},
		{"loadCenter", ballast.Attachment{Kind: ballast.Bucket}, ballast.Attachment{Kind: ballast.Bucket, LoadCenter: units.Is[units.Length](0.5)}},
		{"tine", ballast.Attachment{Kind: ballast.Bucket}, ballast.Attachment{Kind: ballast.Bucket, Tine: units.Is[units.Length](-0.1)}},

		{"axle.tire.table", ballast.RequiredPressure{Axle: ballast.Axle{Tire: ballast.TireRating{Table: rows(1)}}}, ballast.RequiredPressure{}},
		{"speed", ballast.RequiredPressure{Speed: 5, TableSpeed: 5}, ballast.RequiredPressure{Speed: 5.05, TableSpeed: 5}},
		{"speed", ballast.RequiredPressure{Speed: 5}, ballast.RequiredPressure{Speed: 5, TableSpeed: 4.95}},

		{"kind", ballast.Basis{}, ballast.Basis{Fraction: 0.2}},
		{"kind", ballast.Basis{Kind: ballast.BasisNoWheelUnloaded}, ballast.Basis{Kind: ballast.BasisNoWheelUnloaded + 1}},
		{"fraction", ballast.Basis{Kind: ballast.BasisNoWheelUnloaded}, ballast.Basis{Kind: ballast.BasisNoWheelUnloaded, Fraction: 0.2}},
		{"kind", ballast.Lift{Kind: ballast.TakeOffDeck}, ballast.Lift{Kind: ballast.TakeOffDeck + 1}},
		{"height", ballast.Lift{Kind: ballast.BreakOut}, ballast.Lift{Kind: ballast.BreakOut, Height: 0.1}},
		{"height", ballast.Lift{Datum: ballast.PinHeight}, ballast.Lift{Kind: ballast.BreakOut, Datum: ballast.PinHeight}},
		{"datum", ballast.Lift{Kind: ballast.BreakOut}, ballast.Lift{}},
		{"speed", ballast.Lift{Kind: ballast.CarryLow, Speed: 1}, ballast.Lift{Kind: ballast.CarryLow}},
		{"speed", ballast.Lift{}, ballast.Lift{Speed: -1}},
		{"factor", ballast.Lift{}, ballast.Lift{Factor: 0.99}},
		{"factor", ballast.Lift{Factor: 1}, ballast.Lift{Factor: -1}},
		{"factor", ballast.Lift{Factor: 5}, ballast.Lift{Factor: 5.05}},
		{"factor", ballast.Lift{Factor: 1.01, Basis: ballast.Basis{Kind: ballast.BasisNoWheelUnloaded}}, ballast.Lift{Factor: 1, Basis: ballast.Basis{Kind: ballast.BasisNoWheelUnloaded}}},
		{"factor", ballast.Lift{Basis: ballast.Basis{Kind: ballast.BasisNoWheelUnloaded}}, ballast.Lift{Factor: 1, Basis: ballast.Basis{Kind: ballast.BasisNoWheelUnloaded}}},
		{"basis.fraction", ballast.Lift{Basis: wholeShare}, ballast.Lift{Basis: ballast.Basis{Kind: ballast.BasisRearShare}}},
		{"tires.kind", ballast.Lift{Tires: ballast.Allowance{Kind: ballast.HaulageService}}, ballast.Lift{Tires: ballast.Allowance{Kind: ballast.HaulageService + 1}}},

		{"density", ballast.Load{Density: 1500, Volume: 1}, ballast.Load{Volume: 1}},
		{"density", ballast.Load{}, ballast.Load{Volume: 1}},
		{"mass", ballast.Load{Density: 1500}, ballast.Load{Density: 1500, Mass: 1}},
		{"mass", ballast.Load{Mass: 1}, ballast.Load{Density: 1500, Mass: 1}},

		{"pivot.y", ballast.Loader{}, ballast.Loader{Pivot: ballast.Position{Y: units.Is[units.Length](0.01)}}},
		{"pivot.x", ballast.Loader{Pivot: point(0.001, 0)}, ballast.Loader{}},
		// Within 0.98 of the arm's length of 2 m above and below the pivot.
		{"lowestPin", arm(func(l *ballast.Loader) {
			l.Pivot.Z, l.LowestPin = units.Is[units.Length](2), units.Is[units.Length](0.041)
		}), arm(func(l *ballast.Loader) {
			l.Pivot.Z, l.LowestPin = units.Is[units.Length](2), units.Is[units.Length](0.039)
		})},
		{"highestPin", arm(func(l *ballast.Loader) { l.HighestPin = units.Is[units.Length](3.459) }), arm(func(l *ballast.Loader) { l.HighestPin = units.Is[units.Length](3.461) })},
		{"lowestPin", arm(func(l *ballast.Loader) {
			l.LowestPin, l.HighestPin = units.Is[units.Length](3.4), units.Is[units.Length](3.45)
		}), arm(func(l *ballast.Loader) { l.LowestPin = units.Is[units.Length](3.47) })},
		{"lowestPin", ballast.Loader{LowestPin: units.Is[units.Length](5), Arm: units.Is[units.Length](1)}, ballast.Loader{LowestPin: units.Is[units.Length](5), Arm: units.Is[units.Length](1), Pivot: point(1, 1)}},
		{"lowestPin", ballast.Loader{LowestPin: units.Is[units.Length](5), Pivot: point(1, 1)}, ballast.Loader{LowestPin: units.Is[units.Length](5), Arm: units.Is[units.Length](1), Pivot: point(1, 1)}},
		{"highestPin", arm(func(l *ballast.Loader) { l.HighestPin = units.Is[units.Length](0.201) }), arm(func(l *ballast.Loader) { l.HighestPin = units.Is[units.Length](0.2) })},
		{"frameCG.x", arm(func(l *ballast.Loader) {
			l.FrameMass, l.FrameCG.X = units.Is[units.Mass](9), units.Is[units.Length](-1)
		}), arm(func(l *ballast.Loader) { l.FrameMass = units.Is[units.Mass](9) })},
		{"frameCG.x", arm(func(l *ballast.Loader) { l.FrameCG.Z = units.Is[units.Length](1) }), arm(func(l *ballast.Loader) { l.FrameMass, l.FrameCG.Z = units.Is[units.Mass](9), units.Is[units.Length](1) })},
		{"frameMass", arm(func(l *ballast.Loader) { l.FrameMass, l.FrameCG.X = units.Is[units.Mass](9), units.Is[units.Length](1) }), arm(func(l *ballast.Loader) { l.FrameCG.X = units.Is[units.Length](1) })},
		{"frameMass", arm(func(*ballast.Loader) {}), arm(func(l *ballast.Loader) { l.FrameCG.X = units.Is[units.Length](1) })},
		{"armCG", arm(func(l *ballast.Loader) { l.ArmMass, l.ArmCG = units.Is[units.Mass](90), units.Is[units.Length](3) }), arm(func(l *ballast.Loader) { l.ArmMass, l.ArmCG = units.Is[units.Mass](90), units.Is[units.Length](3.03) })},
		{"armCG", ballast.Loader{ArmMass: units.Is[units.Mass](90), ArmCG: units.Is[units.Length](3)}, ballast.Loader{ArmMass: units.Is[units.Mass](90)}},
		{"armCG", ballast.Loader{}, ballast.Loader{ArmMass: units.Is[units.Mass](90)}},
		{"armMass", ballast.Loader{}, ballast.Loader{ArmCG: units.Is[units.Length](1)}},
		{"armMass", ballast.Loader{ArmMass: units.Is[units.Mass](90), ArmCG: units.Is[units.Length](1)}, ballast.Loader{ArmCG: units.Is[units.Length](1)}},
		{"rated", ballast.Loader{Cylinders: &ballast.Cylinders{}}, ballast.Loader{Cylinders: &ballast.Cylinders{}, Rated: rated(1)}},
		{"rated", ballast.Loader{Rated: rated(100)}, ballast.Loader{Rated: rated(101)}},
		{"rated[1].pinHeight", two(low, high(func(p *ballast.RatedPoint) { p.PinHeight = 1.0101 })), two(low, high(func(p *ballast.RatedPoint) { p.PinHeight = 1.0099 }))},
		{"rated[1].pinHeight", two(low, high(func(p *ballast.RatedPoint) { p.PinHeight = 3.459 })), two(low, high(func(p *ballast.RatedPoint) { p.PinHeight = 3.461 }))},
		{"rated[0].pinHeight", arm(func(l *ballast.Loader) {
			l.Pivot.Z, l.Rated = units.Is[units.Length](2), []ballast.RatedPoint{{PinHeight: 0.041}}
		}), arm(func(l *ballast.Loader) {
			l.Pivot.Z, l.Rated = units.Is[units.Length](2), []ballast.RatedPoint{{PinHeight: 0.039}}
		})},
		{"rated[0].pinHeight", ballast.Loader{Rated: []ballast.RatedPoint{{PinHeight: 3}}}, arm(func(l *ballast.Loader) {
			l.Arm, l.Rated = units.Is[units.Length](0.5), []ballast.RatedPoint{{PinHeight: 3}}
		})},
		{"rated[1].ahead", two(low, high(func(*ballast.RatedPoint) {})), two(low, high(func(p *ballast.RatedPoint) { p.Ahead = 0 }))},
		{"rated[1].ahead", two(ballast.RatedPoint{PinHeight: 1, AtPin: 900}, high(func(p *ballast.RatedPoint) { p.Ahead, p.AheadMass = 0, 0 })), two(ballast.RatedPoint{PinHeight: 1, AtPin: 900}, high(func(*ballast.RatedPoint) {}))},
		{"rated[1].ahead", two(low, high(func(*ballast.RatedPoint) {})), two(low, high(func(p *ballast.RatedPoint) { p.Ahead, p.AheadMass = 0, 0 }))},
		{"rated[1].aheadMass", two(low, high(func(*ballast.RatedPoint) {})), two(low, high(func(p *ballast.RatedPoint) { p.AheadMass = 0 }))},
		{"rated[1].aheadMass", two(low, high(func(p *ballast.RatedPoint) { p.AheadMass = 900 })), two(low, high(func(p *ballast.RatedPoint) { p.AheadMass = 900.1 }))},
		{"base", ballast.Cylinders{Base: ballast.Offset{Ahead: units.Is[units.Length](0.012), Above: units.Is[units.Length](-0.0161)}}, ballast.Cylinders{Base: ballast.Offset{Ahead: units.Is[units.Length](0.012), Above: units.Is[units.Length](-0.0159)}}},
		{"count", ballast.Cylinders{Count: 1}, ballast.Cylinders{Count: 0}},
		{"count", ballast.Cylinders{Count: 4}, ballast.Cylinders{Count: 5}},

		{"cg.x", ballast.Machine{CG: point(1, 0)}, ballast.Machine{CG: point(1, 0), FrontLoad: units.Is[units.Mass](9), RearLoad: units.Is[units.Mass](9)}},
		{"cg.x", ballast.Machine{FrontLoad: units.Is[units.Mass](9), RearLoad: units.Is[units.Mass](9)}, ballast.Machine{}},
		{"cg.x", ballast.Machine{FrontLoad: units.Is[units.Mass](9)}, ballast.Machine{CG: point(1, 0), RearLoad: units.Is[units.Mass](9)}},
		{"cg.x", ballast.Machine{CG: point(1.99, 0), Undercarriage: stability.PivotingFront, Wheelbase: units.Is[units.Length](2)}, ballast.Machine{CG: point(2, 0), Undercarriage: stability.PivotingFront, Wheelbase: units.Is[units.Length](2)}},
		{"cg.x", ballast.Machine{CG: point(0.01, 0), Undercarriage: stability.PivotingFront, Wheelbase: units.Is[units.Length](2)}, ballast.Machine{CG: point(-0.01, 0), Undercarriage: stability.PivotingFront, Wheelbase: units.Is[units.Length](2)}},
		{"cg.x", ballast.Machine{CG: point(3, 0)}, ballast.Machine{CG: point(3, 0), Undercarriage: stability.PivotingFront, Wheelbase: units.Is[units.Length](2)}},
		{"frontLoad", ballast.Machine{FrontLoad: units.Is[units.Mass](9), RearLoad: units.Is[units.Mass](9)}, ballast.Machine{RearLoad: units.Is[units.Mass](9)}},
		{"rearLoad", ballast.Machine{}, ballast.Machine{FrontLoad: units.Is[units.Mass](9)}},
		{"mass", ballast.Machine{FrontLoad: units.Is[units.Mass](400), RearLoad: units.Is[units.Mass](600)}, ballast.Machine{}},
		{"mass", ballast.Machine{FrontLoad: units.Is[units.Mass](400), RearLoad: units.Is[units.Mass](600), Mass: units.Is[units.Mass](1009.9)}, ballast.Machine{FrontLoad: units.Is[units.Mass](400), RearLoad: units.Is[units.Mass](600), Mass: units.Is[units.Mass](1010.1)}},
		{"mass", ballast.Machine{FrontLoad: units.Is[units.Mass](400), RearLoad: units.Is[units.Mass](600), Mass: units.Is[units.Mass](990.1)}, ballast.Machine{FrontLoad: units.Is[units.Mass](400), RearLoad: units.Is[units.Mass](600), Mass: units.Is[units.Mass](989.9)}},
		{"undercarriage", ballast.Machine{Undercarriage: stability.Tricycle}, ballast.Machine{Undercarriage: stability.Articulated}},
		{"undercarriage", ballast.Machine{Undercarriage: stability.PivotingFront}, ballast.Machine{}},
		{"axleMass", ballast.Machine{Mass: units.Is[units.Mass](1000), AxleMass: units.Is[units.Mass](500)}, ballast.Machine{Mass: units.Is[units.Mass](1000), AxleMass: units.Is[units.Mass](501)}},
		{"axleMass", ballast.Machine{AxleMass: units.Is[units.Mass](500)}, ballast.Machine{FrontLoad: units.Is[units.Mass](300), RearLoad: units.Is[units.Mass](600), AxleMass: units.Is[units.Mass](451)}},
		{"seat.x", ballast.Machine{Operator: ballast.OperatorAsStated}, ballast.Machine{Operator: ballast.HeavyOperator}},
		{"seat.x", ballast.Machine{Operator: ballast.NoOperator}, ballast.Machine{Operator: ballast.NoOperator, MassIncludes: ballast.MassOperating}},
		{"seat.x", ballast.Machine{Operator: ballast.LightOperator, Seat: point(0.1, 1)}, ballast.Machine{Operator: ballast.LightOperator, MassIncludes: ballast.MassOperating}},
		{"hitch.x", ballast.Machine{}, ballast.Machine{Hitch: ballast.Hitch{Rating: units.Is[units.Mass](900)}}},
		{"hitch.x", ballast.Machine{Hitch: ballast.Hitch{X: units.Is[units.Length](-0.5), Rating: units.Is[units.Mass](900)}}, ballast.Machine{Hitch: ballast.Hitch{Rating: units.Is[units.Mass](900)}}},
		{"fuel.capacity", ballast.Machine{Fuel: ballast.Fuel{State: ballast.FuelAsStated}}, ballast.Machine{Fuel: ballast.Fuel{State: ballast.FuelEmpty}}},
		{"fuel.capacity", ballast.Machine{Fuel: ballast.Fuel{State: ballast.FuelFull, Capacity: units.Is[units.Volume](0.05)}}, ballast.Machine{Fuel: ballast.Fuel{State: ballast.FuelFull}}},
		{"fuel.cg.x", ballast.Machine{Fuel: ballast.Fuel{State: ballast.FuelFull, Capacity: units.Is[units.Volume](0.05)}, MassIncludes: ballast.MassFueled}, ballast.Machine{Fuel: ballast.Fuel{State: ballast.FuelFull, Capacity: units.Is[units.Volume](0.05)}, MassIncludes: ballast.MassDry}},
		{"fuel.cg.x", ballast.Machine{Fuel: ballast.Fuel{State: ballast.FuelEmpty, Capacity: units.Is[units.Volume](0.05)}, MassIncludes: ballast.MassDry}, ballast.Machine{Fuel: ballast.Fuel{State: ballast.FuelEmpty, Capacity: units.Is[units.Volume](0.05)}, MassIncludes: ballast.MassOperating}},
		{"fuel.cg.x", ballast.Machine{Fuel: ballast.Fuel{State: ballast.FuelHalf, Capacity: units.Is[units.Volume](0.05), CG: point(0.1, 0)}}, ballast.Machine{Fuel: ballast.Fuel{State: ballast.FuelHalf, Capacity: units.Is[units.Volume](0.05)}}},
		{"tiresPerSide", ballast.Axle{TiresPerSide: 0}, ballast.Axle{TiresPerSide: -1}},
		{"tiresPerSide", ballast.Axle{TiresPerSide: 3}, ballast.Axle{TiresPerSide: 4}},
		{"base", ballast.SteeredRule{}, ballast.SteeredRule{Share: 0.2}},
		{"base", ballast.SteeredRule{Base: ballast.SteeredOfLaden}, ballast.SteeredRule{Base: ballast.SteeredOfLaden + 1}},
		{"share", ballast.SteeredRule{}, ballast.SteeredRule{Base: ballast.SteeredOfLaden}},

		{"tires", ballast.Piece{Fill: fill, Kind: ballast.RearLiquid, Tires: 1}, ballast.Piece{Tires: 1}},
		{"tires", ballast.Piece{}, ballast.Piece{Tires: -1}},
		{"tires", ballast.Piece{Fill: fill, Kind: ballast.RearLiquid}, ballast.Piece{Fill: fill, Kind: ballast.RearLiquid, Tires: -1}},
		{"tires", ballast.Piece{Fill: fill, Kind: ballast.RearLiquid, Tires: 6}, ballast.Piece{Fill: fill, Kind: ballast.RearLiquid, Tires: 7}},
		{"mass", ballast.Piece{Fill: fill, Kind: ballast.RearLiquid}, ballast.Piece{Kind: ballast.RearLiquid}},
		{"fill", ballast.Piece{Fill: fill, Kind: ballast.FrontLiquid}, ballast.Piece{Fill: fill, Kind: ballast.FrontWheelWeight}},
		{"fill", ballast.Piece{Fill: fill, Kind: ballast.RearLiquid}, ballast.Piece{Fill: fill, Kind: ballast.RearLiquid, Mass: units.Is[units.Mass](1)}},
		{"fill", ballast.Piece{Fill: fill, Kind: ballast.RearLiquid}, ballast.Piece{Fill: fill, Kind: ballast.RearLiquid, Depth: units.Is[units.Length](0.1)}},
		{"fill", ballast.Piece{Fill: fill, Kind: ballast.RearLiquid}, ballast.Piece{Fill: fill, Kind: ballast.RearLiquid, RollRise: units.Is[units.Length](0.1)}},
		{"rollRise", ballast.Piece{Kind: ballast.RearLiquid, Depth: units.Is[units.Length](0.1), RollRise: units.Is[units.Length](0.01)}, ballast.Piece{Kind: ballast.RearLiquid, Depth: units.Is[units.Length](0.1)}},
		{"rollRise", ballast.Piece{Kind: ballast.FrontLiquid}, ballast.Piece{Kind: ballast.FrontLiquid, Depth: units.Is[units.Length](0.1)}},
		{"depth", ballast.Piece{Kind: ballast.FrontLiquid, Depth: units.Is[units.Length](0.1), RollRise: units.Is[units.Length](0.01)}, ballast.Piece{Kind: ballast.FrontLiquid, RollRise: units.Is[units.Length](0.01)}},
		{"depth", ballast.Piece{Kind: ballast.RearLiquid}, ballast.Piece{Kind: ballast.RearLiquid, RollRise: units.Is[units.Length](0.01)}},
		{"depth", ballast.Piece{Kind: ballast.ChassisPiece}, ballast.Piece{Kind: ballast.ChassisPiece, Depth: units.Is[units.Length](0.1)}},
		{"depth", ballast.Piece{Depth: units.Is[units.Length](0.1)}, ballast.Piece{Kind: ballast.HitchBox, Depth: units.Is[units.Length](0.1)}},
		{"rollRise", ballast.Piece{Kind: ballast.RearWheelWeight}, ballast.Piece{Kind: ballast.RearWheelWeight, RollRise: units.Is[units.Length](0.1)}},
		{"cg", ballast.Piece{Kind: ballast.RearLiquid, CG: ballast.Position{Y: units.Is[units.Length](0.1)}}, ballast.Piece{Kind: ballast.RearLiquid, CG: point(0.1, 0)}},
		{"cg", ballast.Piece{Kind: ballast.ChassisPiece, CG: point(1, 1)}, ballast.Piece{Kind: ballast.FrontWheelWeight, CG: point(0, 0.1)}},
		{"cg.x", ballast.Piece{Kind: ballast.HitchBox, CG: point(-0.5, 0)}, ballast.Piece{Kind: ballast.HitchBox, CG: point(0.5, 0)}},
		{"cg.x", ballast.Piece{Kind: ballast.RearWheelWeight}, ballast.Piece{Kind: ballast.HitchImplement}},
		{"cg.x", ballast.Piece{Kind: ballast.ChassisPiece, CG: point(0.001, 0)}, ballast.Piece{Kind: ballast.ChassisPiece}},
		{"state", ballast.Piece{Kind: ballast.HitchBox, State: ballast.Resting}, ballast.Piece{Kind: ballast.HitchBox}},
		{"state", ballast.Piece{Kind: ballast.ChassisPiece}, ballast.Piece{Kind: ballast.ChassisPiece, State: ballast.Resting}},
		{"state", ballast.Piece{Kind: ballast.RearLiquid}, ballast.Piece{Kind: ballast.RearLiquid, State: ballast.Raised}},
		{"carried", ballast.Piece{Kind: ballast.HitchBox, State: ballast.Raised}, ballast.Piece{Kind: ballast.HitchBox, State: ballast.Floating}},
		{"carried", ballast.Piece{Kind: ballast.HitchBox, State: ballast.Floating, Carried: 0.5}, ballast.Piece{Kind: ballast.HitchBox, State: ballast.Raised, Carried: 0.5}},

		{"loadIndex", ballast.TireRating{LoadIndex: 20}, ballast.TireRating{LoadIndex: 19}},
		{"loadIndex", ballast.TireRating{LoadIndex: 279}, ballast.TireRating{LoadIndex: 280}},
		{"loadIndex", ballast.TireRating{}, ballast.TireRating{SpeedSymbol: liquid.SpeedA8}},
		{"speedSymbol", ballast.TireRating{}, ballast.TireRating{LoadIndex: 100}},
		{"speedSymbol", ballast.TireRating{LoadIndex: 100, SpeedSymbol: liquid.SpeedA8}, ballast.TireRating{LoadIndex: 100}},
		{"table", ballast.TireRating{Table: rows(100)}, ballast.TireRating{Table: rows(101)}},
		{"table", ballast.TireRating{}, ballast.TireRating{Pressure: units.Is(kpa(100))}},
		{"table", ballast.TireRating{Table: rows(1), Pressure: units.Is(kpa(100))}, ballast.TireRating{Pressure: units.Is(kpa(100))}},
		{"table[1].pressure", ballast.TireRating{Table: rows(3)}, ballast.TireRating{Table: []ballast.PressureLoad{{kpa(100), 100}, {kpa(100), 110}}}},
		{"table[1].load", ballast.TireRating{Table: rows(3)}, ballast.TireRating{Table: []ballast.PressureLoad{{kpa(100), 100}, {kpa(110), 100}}}},
		{"table[0].load", ballast.TireRating{Table: rows(3)}, ballast.TireRating{Table: []ballast.PressureLoad{{kpa(100), 0}}}},

		{"loader.armMass", single{ballast.Setup{Loader: &ballast.Loader{ArmMass: units.Is[units.Mass](9)}, Machine: ballast.Machine{LoaderIncluded: ballast.WithoutLoader}}}, single{ballast.Setup{Loader: &ballast.Loader{}, Machine: ballast.Machine{LoaderIncluded: ballast.WithoutLoader}}}},
		{"loader.armMass", single{ballast.Setup{Loader: &ballast.Loader{}, Machine: ballast.Machine{LoaderIncluded: ballast.WithLoader}}}, single{ballast.Setup{Loader: &ballast.Loader{}, Machine: ballast.Machine{LoaderIncluded: ballast.WithoutLoader}}}},
		{"loader.frameMass", single{ballast.Setup{Loader: &ballast.Loader{FrameMass: units.Is[units.Mass](9)}, Machine: ballast.Machine{LoaderIncluded: ballast.WithoutLoader}}}, single{ballast.Setup{Loader: &ballast.Loader{}, Machine: ballast.Machine{LoaderIncluded: ballast.WithoutLoader}}}},
		{"loader", ballast.Setup{Machine: ballast.Machine{LoaderIncluded: ballast.WithoutLoader}}, ballast.Setup{Machine: ballast.Machine{LoaderIncluded: ballast.WithLoader}}},
		{"loader", ballast.Setup{}, ballast.Setup{Attachment: &ballast.Attachment{}}},
		{"pieces", ballast.Setup{Pieces: make([]ballast.Piece, ballast.Fixed.Pieces)}, ballast.Setup{Pieces: make([]ballast.Piece, ballast.Fixed.Pieces+1)}},
	} {
		if err := c.good.Validate(); fieldtest.Named(err, c.path) {
			t.Errorf("%T: %s of %+v: %v", c.good, c.path, c.good, err)
		}
		if err := c.bad.Validate(); !fieldtest.Named(err, c.path) {
			t.Errorf("%T: %s of %+v is accepted: %v", c.bad, c.path, c.bad, err)
		}
	}
}

// single is a setup of which a single machine is asked for.
type single struct{ ballast.Setup }

func (s single) Validate() error {
	_, err := s.Compile()
	return err
}
