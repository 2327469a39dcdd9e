package ballast_test

import (
	"math/rand/v2"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// orchard is the invented compact tractor of the growers' co-operative, with
// every field of it given, its loader, its bin forks and its ballast. The
// loader is of the usual kind, that lifts most from the ground.
func orchard() ballast.Setup {
	table := []ballast.PressureLoad{{120 * units.GaugeKilopascal, 600}, {160 * units.GaugeKilopascal, 760}, {240 * units.GaugeKilopascal, 1040}}
	return ballast.Setup{
		Machine: ballast.Machine{
			Name: "orchard tractor", Mass: units.Is[units.Mass](1500), MassIncludes: ballast.MassFueled, LoaderIncluded: ballast.WithoutLoader,
			CG:            ballast.Position{X: units.Is[units.Length](0.76), Y: units.Is[units.Length](0.01), Z: units.Is[units.Length](0.66)},
			Undercarriage: stability.PivotingFront, Wheelbase: units.Is[units.Length](1.75), RearTrack: units.Is[units.Length](1.2), FrontTrack: units.Is[units.Length](1.15), AxlePinHeight: units.Is[units.Length](0.45), StopAngle: units.Is(9 * units.Degree),
			AxleMass: units.Is[units.Mass](170), AxleHeight: units.Is[units.Length](0.34),
			Front: ballast.Axle{Rating: units.Is[units.Mass](1700), WheelRating: units.Is[units.Mass](1000), Radius: units.Is[units.Length](0.34), TiresPerSide: 1,
				Tire: ballast.TireRating{LoadIndex: 106, SpeedSymbol: liquid.SpeedA8, Table: table, Pressure: units.Is(200 * units.GaugeKilopascal)}},
			Rear: ballast.Axle{Rating: units.Is[units.Mass](2100), WheelRating: units.Is[units.Mass](1200), Radius: units.Is[units.Length](0.58), TiresPerSide: 1,
				Tire: ballast.TireRating{LoadIndex: 112, SpeedSymbol: liquid.SpeedA8}},
			Operator: ballast.HeavyOperator, Seat: ballast.Position{X: units.Is[units.Length](0.35), Y: units.Is[units.Length](0.02), Z: units.Is[units.Length](1.15)},
			Fuel:        ballast.Fuel{State: ballast.FuelHalf, Capacity: units.Is(40 * units.Liter), CG: ballast.Position{X: units.Is[units.Length](0.5), Y: units.Is[units.Length](-0.1), Z: units.Is[units.Length](0.7)}},
			Hitch:       ballast.Hitch{X: units.Is[units.Length](-0.55), Rating: units.Is[units.Mass](900)},
			GrossRating: units.Is[units.Mass](3400), ROPSRating: units.Is[units.Mass](3600),
			Steered: ballast.SteeredRule{Base: ballast.SteeredOfUnladen, Share: 0.2},
		},
		Loader: &ballast.Loader{
			Name: "front loader", Pivot: ballast.Position{X: units.Is[units.Length](0.85), Z: units.Is[units.Length](1.3)}, Arm: units.Is[units.Length](1.75), LowestPin: units.Is[units.Length](0.18), HighestPin: units.Is[units.Length](2.7),
			FrameMass: units.Is[units.Mass](110), FrameCG: ballast.Position{X: units.Is[units.Length](1.1), Y: units.Is[units.Length](0.01), Z: units.Is[units.Length](0.8)}, ArmMass: units.Is[units.Mass](190), ArmCG: units.Is[units.Length](1.1),
			SelfLeveling: units.Is[units.Fraction](0.5),
			Rated:        []ballast.RatedPoint{{0.2, 1150, 0.5, 950}, {1.5, 1000, 0.5, 840}, {2.7, 800, 0.5, 700}},
			BreakOut:     units.Is(14 * units.Kilonewton), CouplerRating: units.Is[units.Mass](1100), ManualBallast: ballast.ManualBallast{Kind: ballast.ManualBallastNone},
		},
		Attachment: &ballast.Attachment{Name: "bin forks", Kind: ballast.Forks, Mass: units.Is[units.Mass](105), CG: ballast.Offset{Ahead: units.Is[units.Length](0.18), Above: units.Is[units.Length](0.05)},
			Face: units.Is[units.Length](0.12), LoadCenter: units.Is[units.Length](0.5), Tine: units.Is[units.Length](-0.12), Rating: units.Is[units.Mass](1000)},
		Pieces: []ballast.Piece{
			{Name: "brine", Kind: ballast.RearLiquid, Mass: units.Is[units.Mass](260), CG: ballast.Position{Y: units.Is[units.Length](0.01)}, Depth: units.Is[units.Length](0.08), RollRise: units.Is[units.Length](0.02)},
			{Name: "box", Kind: ballast.HitchBox, Mass: units.Is[units.Mass](350), CG: ballast.Position{X: units.Is[units.Length](-1.15), Y: units.Is[units.Length](0.01), Z: units.Is[units.Length](0.6)}, State: ballast.Raised},
			{Name: "wheel weights", Kind: ballast.RearWheelWeight, Mass: units.Is[units.Mass](90), CG: ballast.Position{Y: units.Is[units.Length](0.01)}},
			{Name: "front discs", Kind: ballast.FrontWheelWeight, Mass: units.Is[units.Mass](30), CG: ballast.Position{Y: units.Is[units.Length](0.01)}},
			{Name: "mower", Kind: ballast.HitchImplement, Mass: units.Is[units.Mass](200), CG: ballast.Position{X: units.Is[units.Length](-1.4), Z: units.Is[units.Length](0.4)}, State: ballast.Floating, Carried: 0.3},
			{Name: "guard", Kind: ballast.ChassisPiece, Mass: units.Is[units.Mass](25), CG: ballast.Position{X: units.Is[units.Length](2.0), Z: units.Is[units.Length](0.6)}},
		},
		Gravity: 9.81,
	}
}

// bin is a full picking bin held on the forks.
func bin() ballast.Load {
	return ballast.Load{Name: "picking bin", Mass: 420, Above: units.Is[units.Length](0.5), Center: units.Is[units.Length](0.55), Sideways: units.Is[units.Length](0.05)}
}

func binLift(h units.Length) ballast.Lift {
	return ballast.Lift{Height: h, Datum: ballast.TineHeight, Load: bin(), Factor: 1.3, Speed: 1,
		Basis: ballast.Basis{Kind: ballast.BasisRearShare, Fraction: 0.2}}
}

// randomCase varies the orchard setup and the case within what an orchard
// sees and beyond.
func randomCase(r *rand.Rand) (ballast.Setup, ballast.Lift) {
	s := orchard()
	vary := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	m := &s.Machine
	m.Mass = units.Is(m.Mass.Value() * units.Mass(vary(0.8, 1.3)))
	m.CG.X = units.Is(units.Length(vary(0.55, 0.95)))
	m.CG.Z = units.Is(units.Length(vary(0.5, 0.9)))
	m.AxlePinHeight = units.Is(units.Length(vary(0.3, 0.6)))
	m.RearTrack, m.FrontTrack = units.Is(units.Length(vary(1, 1.6))), units.Is(units.Length(vary(0.9, 1.5)))
	m.Undercarriage = []stability.UndercarriageKind{stability.PivotingFront, stability.PivotingFront, stability.Rigid, stability.Tricycle}[r.IntN(4)]
	if r.IntN(2) == 0 {
		m.Front.Tire = ballast.TireRating{LoadIndex: liquid.LoadIndex(100 + r.IntN(30)), SpeedSymbol: liquid.SpeedA6}
	}
	m.Front.Rating = units.Is(units.Mass(vary(1200, 2500)))
	m.GrossRating = units.Is(units.Mass(vary(2900, 5000)))
	m.Steered.Base = ballast.SteeredBase(r.IntN(3))
	if m.Steered.Base == ballast.SteeredUnknown {
		m.Steered.Share = 0
	}
	l := *s.Loader
	l.SelfLeveling = units.Is(units.Fraction(vary(0, 1)))
	if r.IntN(3) == 0 {
		l.Rated = nil
		l.Cylinders = &ballast.Cylinders{Base: ballast.Offset{Ahead: units.Is[units.Length](0.06), Above: units.Is[units.Length](-0.375)}, RodRadius: units.Is[units.Length](0.95), RodAngle: units.Is(units.Angle(vary(-8, 8)) * units.Degree),
			Bore: units.Is[units.Length](0.055), Count: 2, Pressure: units.Is(units.GaugePressure(vary(12e6, 20e6))), Friction: units.Is(units.Fraction(vary(0, 0.15)))}
	}
	s.Loader = &l
	var keep []ballast.Piece
	for _, p := range s.Pieces {
		if r.IntN(2) == 0 {
			p.Mass = units.Is(p.Mass.Value() * units.Mass(vary(0.5, 1.5)))
			keep = append(keep, p)
		}
	}
	s.Pieces = keep
	c := binLift(units.Length(vary(0.1, 2.5)))
	c.Load.Sideways = units.Is(units.Length(vary(-0.3, 0.3)))
	c.Load.Center = units.Is(units.Length(vary(0.3, 0.9)))
	if r.IntN(2) == 0 {
		c.Slope = units.Slope(vary(0, 0.2))
		c.Heading = units.Angle(vary(-3, 3))
	}
	if r.IntN(3) == 0 {
		c.Braking = units.Acceleration(vary(0, 2))
	}
	c.Factor = vary(1, 2)
	c.Kind = []ballast.LiftKind{ballast.Hold, ballast.Hold, ballast.CarryLow, ballast.StackHigh, ballast.TakeOffDeck}[r.IntN(5)]
	switch r.IntN(3) {
	case 0:
		c.Basis = ballast.Basis{Kind: ballast.BasisTippingFraction, Fraction: units.Fraction(vary(0.3, 0.8))}
	case 1:
		c.Basis = ballast.Basis{Kind: ballast.BasisNoWheelUnloaded}
	}
	return s, c
}
