package ballast

import (
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/internal/valid"
	"testing"

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
		Attachment{},
		Attachment{Kind: Forks},
		Attachment{Kind: Bucket},
		Axle{},
		Basis{},
		Basis{Kind: BasisRearShare},
		Basis{Kind: BasisTippingFraction},
		Counterweight{},
		Cylinders{},
		Document{},
		Fuel{},
		Inflation{},
		Item{},
		Lift{},
		Load{},
		Loader{},
		Loader{ArmMass: 100},
		Machine{},
		Machine{FrontLoad: 1000, RearLoad: 1000},
		MassRange{},
		Need{},
		Needs{},
		Option{},
		Piece{},
		Piece{Kind: HitchBox, State: Floating},
		Setup{},
		SteeredRule{},
		SteeredRule{Base: SteeredOfLaden},
		Stock{},
		TireRating{},
		Transport{},
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
	point := func(x, z units.Length) stability.Point { return stability.Point{X: x, Z: z} }
	kpa := func(p float64) units.GaugePressure { return units.GaugePressure(p) * units.GaugeKilopascal }
	rows := func(n int) (out []PressureLoad) {
		for i := range n {
			out = append(out, PressureLoad{kpa(20 + float64(i)), units.Mass(100 + i)})
		}
		return out
	}
	rated := func(n int) (out []RatedPoint) {
		for i := range n {
			out = append(out, RatedPoint{PinHeight: 0.02 + units.Length(i)*0.02, AtPin: 100})
		}
		return out
	}
	arm := func(change func(*Loader)) Loader {
		l := Loader{Pivot: point(0.85, 1.5), Arm: 2, LowestPin: 0.2, HighestPin: 2.7}
		change(&l)
		return l
	}
	two := func(a, b RatedPoint) Loader { return arm(func(l *Loader) { l.Rated = []RatedPoint{a, b} }) }
	low := RatedPoint{PinHeight: 1, AtPin: 900, Ahead: 0.5, AheadMass: 800}
	high := func(change func(*RatedPoint)) RatedPoint {
		p := RatedPoint{PinHeight: 2, AtPin: 900, Ahead: 0.5, AheadMass: 800}
		change(&p)
		return p
	}
	fill := &liquid.Fill{}
	for _, c := range []struct {
		path      string
		good, bad valid
	}{
		{"kind", Attachment{Kind: BarePin, Name: "pin"}, Attachment{Kind: BarePin, Mass: 1}},
		{"kind", Attachment{Kind: Bucket}, Attachment{}},
		{"kind", Attachment{Kind: Bucket}, Attachment{Kind: Bucket + 1}},
		{"mass", Attachment{Kind: BarePin}, Attachment{Kind: Bucket}},
		{"face", Attachment{Kind: Forks, Face: 0.1}, Attachment{Kind: Forks}},
		{"edge", Attachment{Kind: Forks}, Attachment{Kind: Forks, Edge: Offset{Above: 1}}},
		{"loadCenter", Attachment{Kind: Bucket}, Attachment{Kind: Bucket, LoadCenter: 0.5}},
		{"tine", Attachment{Kind: Bucket}, Attachment{Kind: Bucket, Tine: -0.1}},

		{"axle.tire.table", Inflation{Axle: Axle{Tire: TireRating{Table: rows(1)}}}, Inflation{}},
		{"speed", Inflation{Speed: 5, TableSpeed: 5}, Inflation{Speed: 5.05, TableSpeed: 5}},
		{"speed", Inflation{Speed: 5}, Inflation{Speed: 5, TableSpeed: 4.95}},

		{"kind", Basis{}, Basis{Fraction: 0.2}},
		{"kind", Basis{Kind: BasisNoWheelUnloaded}, Basis{Kind: BasisNoWheelUnloaded + 1}},
		{"fraction", Basis{Kind: BasisNoWheelUnloaded}, Basis{Kind: BasisNoWheelUnloaded, Fraction: 0.2}},
		{"kind", Lift{Kind: TakeOffDeck}, Lift{Kind: TakeOffDeck + 1}},
		{"height", Lift{Kind: BreakOut}, Lift{Kind: BreakOut, Height: 0.1}},
		{"height", Lift{Datum: PinHeight}, Lift{Kind: BreakOut, Datum: PinHeight}},
		{"datum", Lift{Kind: BreakOut}, Lift{}},
		{"speed", Lift{Kind: CarryLow, Speed: 1}, Lift{Kind: CarryLow}},
		{"speed", Lift{}, Lift{Speed: -1}},
		{"factor", Lift{}, Lift{Factor: 0.99}},
		{"factor", Lift{Factor: 1}, Lift{Factor: -1}},
		{"factor", Lift{Factor: 5}, Lift{Factor: 5.05}},
		{"factor", Lift{Factor: 1.01, Basis: Basis{Kind: BasisNoWheelUnloaded}}, Lift{Factor: 1, Basis: Basis{Kind: BasisNoWheelUnloaded}}},
		{"factor", Lift{Basis: Basis{Kind: BasisNoWheelUnloaded}}, Lift{Factor: 1, Basis: Basis{Kind: BasisNoWheelUnloaded}}},
		{"basis.fraction", Lift{Basis: wholeShare}, Lift{Basis: Basis{Kind: BasisRearShare}}},
		{"tires.kind", Lift{Tires: Allowance{Kind: HaulageService}}, Lift{Tires: Allowance{Kind: HaulageService + 1}}},

		{"density", Load{Density: 1500, Volume: 1}, Load{Volume: 1}},
		{"density", Load{}, Load{Volume: 1}},
		{"mass", Load{Density: 1500}, Load{Density: 1500, Mass: 1}},
		{"mass", Load{Mass: 1}, Load{Density: 1500, Mass: 1}},

		{"pivot.y", Loader{}, Loader{Pivot: stability.Point{Y: 0.01}}},
		{"pivot.x", Loader{Pivot: point(0.001, 0)}, Loader{}},
		// Within 0.98 of the arm's length of 2 m above and below the pivot.
		{"lowestPin", arm(func(l *Loader) { l.Pivot.Z, l.LowestPin = 2, 0.041 }), arm(func(l *Loader) { l.Pivot.Z, l.LowestPin = 2, 0.039 })},
		{"highestPin", arm(func(l *Loader) { l.HighestPin = 3.459 }), arm(func(l *Loader) { l.HighestPin = 3.461 })},
		{"lowestPin", arm(func(l *Loader) { l.LowestPin, l.HighestPin = 3.4, 3.45 }), arm(func(l *Loader) { l.LowestPin = 3.47 })},
		{"lowestPin", Loader{LowestPin: 5, Arm: 1}, Loader{LowestPin: 5, Arm: 1, Pivot: point(1, 1)}},
		{"lowestPin", Loader{LowestPin: 5, Pivot: point(1, 1)}, Loader{LowestPin: 5, Arm: 1, Pivot: point(1, 1)}},
		{"highestPin", arm(func(l *Loader) { l.HighestPin = 0.201 }), arm(func(l *Loader) { l.HighestPin = 0.2 })},
		{"frameCG.x", arm(func(l *Loader) { l.FrameMass, l.FrameCG.X = 9, -1 }), arm(func(l *Loader) { l.FrameMass = 9 })},
		{"frameCG.x", arm(func(l *Loader) { l.FrameCG.Z = 1 }), arm(func(l *Loader) { l.FrameMass, l.FrameCG.Z = 9, 1 })},
		{"frameMass", arm(func(l *Loader) { l.FrameMass, l.FrameCG.X = 9, 1 }), arm(func(l *Loader) { l.FrameCG.X = 1 })},
		{"frameMass", arm(func(*Loader) {}), arm(func(l *Loader) { l.FrameCG.X = 1 })},
		{"armCG", arm(func(l *Loader) { l.ArmMass, l.ArmCG = 90, 3 }), arm(func(l *Loader) { l.ArmMass, l.ArmCG = 90, 3.03 })},
		{"armCG", Loader{ArmMass: 90, ArmCG: 3}, Loader{ArmMass: 90}},
		{"armCG", Loader{}, Loader{ArmMass: 90}},
		{"armMass", Loader{}, Loader{ArmCG: 1}},
		{"armMass", Loader{ArmMass: 90, ArmCG: 1}, Loader{ArmCG: 1}},
		{"rated", Loader{Cylinders: &Cylinders{}}, Loader{Cylinders: &Cylinders{}, Rated: rated(1)}},
		{"rated", Loader{Rated: rated(100)}, Loader{Rated: rated(101)}},
		{"rated[1].pinHeight", two(low, high(func(p *RatedPoint) { p.PinHeight = 1.0101 })), two(low, high(func(p *RatedPoint) { p.PinHeight = 1.0099 }))},
		{"rated[1].pinHeight", two(low, high(func(p *RatedPoint) { p.PinHeight = 3.459 })), two(low, high(func(p *RatedPoint) { p.PinHeight = 3.461 }))},
		{"rated[0].pinHeight", arm(func(l *Loader) { l.Pivot.Z, l.Rated = 2, []RatedPoint{{PinHeight: 0.041}} }), arm(func(l *Loader) { l.Pivot.Z, l.Rated = 2, []RatedPoint{{PinHeight: 0.039}} })},
		{"rated[0].pinHeight", Loader{Rated: []RatedPoint{{PinHeight: 3}}}, arm(func(l *Loader) { l.Arm, l.Rated = 0.5, []RatedPoint{{PinHeight: 3}} })},
		{"rated[1].ahead", two(low, high(func(*RatedPoint) {})), two(low, high(func(p *RatedPoint) { p.Ahead = 0 }))},
		{"rated[1].ahead", two(RatedPoint{PinHeight: 1, AtPin: 900}, high(func(p *RatedPoint) { p.Ahead, p.AheadMass = 0, 0 })), two(RatedPoint{PinHeight: 1, AtPin: 900}, high(func(*RatedPoint) {}))},
		{"rated[1].ahead", two(low, high(func(*RatedPoint) {})), two(low, high(func(p *RatedPoint) { p.Ahead, p.AheadMass = 0, 0 }))},
		{"rated[1].aheadMass", two(low, high(func(*RatedPoint) {})), two(low, high(func(p *RatedPoint) { p.AheadMass = 0 }))},
		{"rated[1].aheadMass", two(low, high(func(p *RatedPoint) { p.AheadMass = 900 })), two(low, high(func(p *RatedPoint) { p.AheadMass = 900.1 }))},
		{"base", Cylinders{Base: Offset{0.012, -0.0161}}, Cylinders{Base: Offset{0.012, -0.0159}}},
		{"count", Cylinders{Count: 1}, Cylinders{Count: 0}},
		{"count", Cylinders{Count: 4}, Cylinders{Count: 5}},

		{"cg.x", Machine{CG: point(1, 0)}, Machine{CG: point(1, 0), FrontLoad: 9, RearLoad: 9}},
		{"cg.x", Machine{FrontLoad: 9, RearLoad: 9}, Machine{}},
		{"cg.x", Machine{FrontLoad: 9}, Machine{CG: point(1, 0), RearLoad: 9}},
		{"cg.x", Machine{CG: point(1.99, 0), Undercarriage: stability.PivotingFront, Wheelbase: 2}, Machine{CG: point(2, 0), Undercarriage: stability.PivotingFront, Wheelbase: 2}},
		{"cg.x", Machine{CG: point(0.01, 0), Undercarriage: stability.PivotingFront, Wheelbase: 2}, Machine{CG: point(-0.01, 0), Undercarriage: stability.PivotingFront, Wheelbase: 2}},
		{"cg.x", Machine{CG: point(3, 0)}, Machine{CG: point(3, 0), Undercarriage: stability.PivotingFront, Wheelbase: 2}},
		{"frontLoad", Machine{FrontLoad: 9, RearLoad: 9}, Machine{RearLoad: 9}},
		{"rearLoad", Machine{}, Machine{FrontLoad: 9}},
		{"mass", Machine{FrontLoad: 400, RearLoad: 600}, Machine{}},
		{"mass", Machine{FrontLoad: 400, RearLoad: 600, Mass: 1009.9}, Machine{FrontLoad: 400, RearLoad: 600, Mass: 1010.1}},
		{"mass", Machine{FrontLoad: 400, RearLoad: 600, Mass: 990.1}, Machine{FrontLoad: 400, RearLoad: 600, Mass: 989.9}},
		{"undercarriage", Machine{Undercarriage: stability.Tricycle}, Machine{Undercarriage: stability.Articulated}},
		{"undercarriage", Machine{Undercarriage: stability.PivotingFront}, Machine{}},
		{"axleMass", Machine{Mass: 1000, AxleMass: 500}, Machine{Mass: 1000, AxleMass: 501}},
		{"axleMass", Machine{AxleMass: 500}, Machine{FrontLoad: 300, RearLoad: 600, AxleMass: 451}},
		{"seat.x", Machine{Operator: OperatorAsStated}, Machine{Operator: HeavyOperator}},
		{"seat.x", Machine{Operator: NoOperator}, Machine{Operator: NoOperator, MassIncludes: MassOperating}},
		{"seat.x", Machine{Operator: LightOperator, Seat: point(0.1, 1)}, Machine{Operator: LightOperator, MassIncludes: MassOperating}},
		{"hitch.x", Machine{}, Machine{Hitch: Hitch{Rating: 900}}},
		{"hitch.x", Machine{Hitch: Hitch{X: -0.5, Rating: 900}}, Machine{Hitch: Hitch{Rating: 900}}},
		{"fuel.capacity", Machine{Fuel: Fuel{State: FuelAsStated}}, Machine{Fuel: Fuel{State: FuelEmpty}}},
		{"fuel.capacity", Machine{Fuel: Fuel{State: FuelFull, Capacity: 0.05}}, Machine{Fuel: Fuel{State: FuelFull}}},
		{"fuel.cg.x", Machine{Fuel: Fuel{State: FuelFull, Capacity: 0.05}, MassIncludes: MassFueled}, Machine{Fuel: Fuel{State: FuelFull, Capacity: 0.05}, MassIncludes: MassDry}},
		{"fuel.cg.x", Machine{Fuel: Fuel{State: FuelEmpty, Capacity: 0.05}, MassIncludes: MassDry}, Machine{Fuel: Fuel{State: FuelEmpty, Capacity: 0.05}, MassIncludes: MassOperating}},
		{"fuel.cg.x", Machine{Fuel: Fuel{State: FuelHalf, Capacity: 0.05, CG: point(0.1, 0)}}, Machine{Fuel: Fuel{State: FuelHalf, Capacity: 0.05}}},
		{"tiresPerSide", Axle{TiresPerSide: 0}, Axle{TiresPerSide: -1}},
		{"tiresPerSide", Axle{TiresPerSide: 3}, Axle{TiresPerSide: 4}},
		{"base", SteeredRule{}, SteeredRule{Share: 0.2}},
		{"base", SteeredRule{Base: SteeredOfLaden}, SteeredRule{Base: SteeredOfLaden + 1}},
		{"share", SteeredRule{}, SteeredRule{Base: SteeredOfLaden}},

		{"tires", Piece{Fill: fill, Kind: RearLiquid, Tires: 1}, Piece{Tires: 1}},
		{"tires", Piece{}, Piece{Tires: -1}},
		{"tires", Piece{Fill: fill, Kind: RearLiquid}, Piece{Fill: fill, Kind: RearLiquid, Tires: -1}},
		{"tires", Piece{Fill: fill, Kind: RearLiquid, Tires: 6}, Piece{Fill: fill, Kind: RearLiquid, Tires: 7}},
		{"mass", Piece{Fill: fill, Kind: RearLiquid}, Piece{Kind: RearLiquid}},
		{"fill", Piece{Fill: fill, Kind: FrontLiquid}, Piece{Fill: fill, Kind: FrontWheelWeight}},
		{"fill", Piece{Fill: fill, Kind: RearLiquid}, Piece{Fill: fill, Kind: RearLiquid, Mass: 1}},
		{"fill", Piece{Fill: fill, Kind: RearLiquid}, Piece{Fill: fill, Kind: RearLiquid, Depth: 0.1}},
		{"fill", Piece{Fill: fill, Kind: RearLiquid}, Piece{Fill: fill, Kind: RearLiquid, RollRise: 0.1}},
		{"rollRise", Piece{Kind: RearLiquid, Depth: 0.1, RollRise: 0.01}, Piece{Kind: RearLiquid, Depth: 0.1}},
		{"rollRise", Piece{Kind: FrontLiquid}, Piece{Kind: FrontLiquid, Depth: 0.1}},
		{"depth", Piece{Kind: FrontLiquid, Depth: 0.1, RollRise: 0.01}, Piece{Kind: FrontLiquid, RollRise: 0.01}},
		{"depth", Piece{Kind: RearLiquid}, Piece{Kind: RearLiquid, RollRise: 0.01}},
		{"depth", Piece{Kind: ChassisPiece}, Piece{Kind: ChassisPiece, Depth: 0.1}},
		{"depth", Piece{Depth: 0.1}, Piece{Kind: HitchBox, Depth: 0.1}},
		{"rollRise", Piece{Kind: RearWheelWeight}, Piece{Kind: RearWheelWeight, RollRise: 0.1}},
		{"cg", Piece{Kind: RearLiquid, CG: stability.Point{Y: 0.1}}, Piece{Kind: RearLiquid, CG: point(0.1, 0)}},
		{"cg", Piece{Kind: ChassisPiece, CG: point(1, 1)}, Piece{Kind: FrontWheelWeight, CG: point(0, 0.1)}},
		{"cg.x", Piece{Kind: HitchBox, CG: point(-0.5, 0)}, Piece{Kind: HitchBox, CG: point(0.5, 0)}},
		{"cg.x", Piece{Kind: RearWheelWeight}, Piece{Kind: HitchImplement}},
		{"cg.x", Piece{Kind: ChassisPiece, CG: point(0.001, 0)}, Piece{Kind: ChassisPiece}},
		{"state", Piece{Kind: HitchBox, State: Resting}, Piece{Kind: HitchBox}},
		{"state", Piece{Kind: ChassisPiece}, Piece{Kind: ChassisPiece, State: Resting}},
		{"state", Piece{Kind: RearLiquid}, Piece{Kind: RearLiquid, State: Raised}},
		{"carried", Piece{Kind: HitchBox, State: Raised}, Piece{Kind: HitchBox, State: Floating}},
		{"carried", Piece{Kind: HitchBox, State: Floating, Carried: 0.5}, Piece{Kind: HitchBox, State: Raised, Carried: 0.5}},

		{"loadIndex", TireRating{LoadIndex: 60}, TireRating{LoadIndex: 59}},
		{"loadIndex", TireRating{LoadIndex: 180}, TireRating{LoadIndex: 181}},
		{"loadIndex", TireRating{}, TireRating{SpeedSymbol: liquid.SpeedA8}},
		{"speedSymbol", TireRating{}, TireRating{LoadIndex: 100}},
		{"speedSymbol", TireRating{LoadIndex: 100, SpeedSymbol: liquid.SpeedA8}, TireRating{LoadIndex: 100}},
		{"table", TireRating{Table: rows(100)}, TireRating{Table: rows(101)}},
		{"table", TireRating{}, TireRating{Pressure: kpa(100)}},
		{"table", TireRating{Table: rows(1), Pressure: kpa(100)}, TireRating{Pressure: kpa(100)}},
		{"table[1].pressure", TireRating{Table: rows(3)}, TireRating{Table: []PressureLoad{{kpa(100), 100}, {kpa(100), 110}}}},
		{"table[1].load", TireRating{Table: rows(3)}, TireRating{Table: []PressureLoad{{kpa(100), 100}, {kpa(110), 100}}}},
		{"table[0].load", TireRating{Table: rows(3)}, TireRating{Table: []PressureLoad{{kpa(100), 0}}}},

		{"loader.armMass", Setup{Loader: &Loader{ArmMass: 9}, Machine: Machine{LoaderIncluded: WithoutLoader}}, Setup{Loader: &Loader{}, Machine: Machine{LoaderIncluded: WithoutLoader}}},
		{"loader.armMass", Setup{Loader: &Loader{}, Machine: Machine{LoaderIncluded: WithLoader}}, Setup{Loader: &Loader{}, Machine: Machine{LoaderIncluded: WithoutLoader}}},
		{"loader.frameMass", Setup{Loader: &Loader{FrameMass: 9}, Machine: Machine{LoaderIncluded: WithoutLoader}}, Setup{Loader: &Loader{}, Machine: Machine{LoaderIncluded: WithoutLoader}}},
		{"loader", Setup{Machine: Machine{LoaderIncluded: WithoutLoader}}, Setup{Machine: Machine{LoaderIncluded: WithLoader}}},
		{"loader", Setup{}, Setup{Attachment: &Attachment{}}},
		{"pieces", Setup{Pieces: make([]Piece, maxPieces)}, Setup{Pieces: make([]Piece, maxPieces+1)}},
	} {
		if err := c.good.Validate(); fieldtest.Named(err, c.path) {
			t.Errorf("%T: %s of %+v: %v", c.good, c.path, c.good, err)
		}
		if err := c.bad.Validate(); !fieldtest.Named(err, c.path) {
			t.Errorf("%T: %s of %+v is accepted: %v", c.bad, c.path, c.bad, err)
		}
	}
}
