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
			Name: "orchard tractor", Mass: 1500, MassIncludes: ballast.MassFueled, LoaderIncluded: ballast.WithoutLoader,
			CG:            stability.Point{X: 0.76, Y: 0.01, Z: 0.66},
			Undercarriage: stability.PivotingFront, Wheelbase: 1.75, RearTrack: 1.2, FrontTrack: 1.15, AxlePinHeight: 0.45, StopAngle: 9 * units.Degree,
			AxleMass: 170, AxleHeight: 0.34,
			Front: ballast.Axle{Rating: 1700, WheelRating: 1000, Radius: 0.34, TiresPerSide: 1,
				Tire: ballast.TireRating{LoadIndex: 106, SpeedSymbol: liquid.SpeedA8, Table: table, Pressure: 200 * units.GaugeKilopascal}},
			Rear: ballast.Axle{Rating: 2100, WheelRating: 1200, Radius: 0.58, TiresPerSide: 1,
				Tire: ballast.TireRating{LoadIndex: 112, SpeedSymbol: liquid.SpeedA8}},
			Operator: ballast.HeavyOperator, Seat: stability.Point{X: 0.35, Y: 0.02, Z: 1.15},
			Fuel:        ballast.Fuel{State: ballast.FuelHalf, Capacity: 40 * units.Liter, CG: stability.Point{X: 0.5, Y: -0.1, Z: 0.7}},
			Hitch:       ballast.Hitch{X: -0.55, Rating: 900},
			GrossRating: 3400, ROPSRating: 3600,
			Steered: ballast.SteeredRule{Base: ballast.SteeredOfUnladen, Share: 0.2},
		},
		Loader: &ballast.Loader{
			Name: "front loader", Pivot: stability.Point{X: 0.85, Z: 1.3}, Arm: 1.75, LowestPin: 0.18, HighestPin: 2.7,
			FrameMass: 110, FrameCG: stability.Point{X: 1.1, Y: 0.01, Z: 0.8}, ArmMass: 190, ArmCG: 1.1,
			SelfLeveling: 0.5,
			Rated:        []ballast.RatedPoint{{0.2, 1150, 0.5, 950}, {1.5, 1000, 0.5, 840}, {2.7, 800, 0.5, 700}},
			BreakOut:     14 * units.Kilonewton, CouplerRating: 1100, ManualBallast: ballast.ManualBallast{Kind: ballast.ManualBallastNone},
		},
		Attachment: &ballast.Attachment{Name: "bin forks", Kind: ballast.Forks, Mass: 105, CG: ballast.Offset{0.18, 0.05},
			Face: 0.12, LoadCenter: 0.5, Tine: -0.12, Volume: 0, Rating: 1000},
		Pieces: []ballast.Piece{
			{Name: "brine", Kind: ballast.RearLiquid, Mass: 260, CG: stability.Point{Y: 0.01}, Depth: 0.08, RollRise: 0.02},
			{Name: "box", Kind: ballast.HitchBox, Mass: 350, CG: stability.Point{X: -1.15, Y: 0.01, Z: 0.6}, State: ballast.Raised},
			{Name: "wheel weights", Kind: ballast.RearWheelWeight, Mass: 90, CG: stability.Point{Y: 0.01}},
			{Name: "front discs", Kind: ballast.FrontWheelWeight, Mass: 30, CG: stability.Point{Y: 0.01}},
			{Name: "mower", Kind: ballast.HitchImplement, Mass: 200, CG: stability.Point{X: -1.4, Z: 0.4}, State: ballast.Floating, Carried: 0.3},
			{Name: "guard", Kind: ballast.ChassisPiece, Mass: 25, CG: stability.Point{X: 2.0, Z: 0.6}},
		},
		Gravity: 9.81,
	}
}

// bin is a full picking bin held on the forks.
func bin() ballast.Load {
	return ballast.Load{Name: "picking bin", Mass: 420, Above: 0.5, Center: 0.55, Sideways: 0.05}
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
	m.Mass *= units.Mass(vary(0.8, 1.3))
	m.CG.X = units.Length(vary(0.55, 0.95))
	m.CG.Z = units.Length(vary(0.5, 0.9))
	m.AxlePinHeight = units.Length(vary(0.3, 0.6))
	m.RearTrack, m.FrontTrack = units.Length(vary(1, 1.6)), units.Length(vary(0.9, 1.5))
	m.Undercarriage = []stability.UndercarriageKind{stability.PivotingFront, stability.PivotingFront, stability.Rigid, stability.Tricycle}[r.IntN(4)]
	if r.IntN(2) == 0 {
		m.Front.Tire = ballast.TireRating{LoadIndex: liquid.LoadIndex(100 + r.IntN(30)), SpeedSymbol: liquid.SpeedA6}
	}
	m.Front.Rating = units.Mass(vary(1200, 2500))
	m.GrossRating = units.Mass(vary(2900, 5000))
	m.Steered.Base = ballast.SteeredBase(r.IntN(3))
	if m.Steered.Base == ballast.SteeredUnknown {
		m.Steered.Share = 0
	}
	l := *s.Loader
	l.SelfLeveling = units.Fraction(vary(0, 1))
	if r.IntN(3) == 0 {
		l.Rated = nil
		l.Cylinders = &ballast.Cylinders{Base: ballast.Offset{0.06, -0.375}, RodRadius: 0.95, RodAngle: units.Angle(vary(-8, 8)) * units.Degree,
			Bore: 0.055, Count: 2, Pressure: units.GaugePressure(vary(12e6, 20e6))}
	}
	s.Loader = &l
	var keep []ballast.Piece
	for _, p := range s.Pieces {
		if r.IntN(2) == 0 {
			p.Mass *= units.Mass(vary(0.5, 1.5))
			keep = append(keep, p)
		}
	}
	s.Pieces = keep
	c := binLift(units.Length(vary(0.1, 2.5)))
	c.Load.Sideways = units.Length(vary(-0.3, 0.3))
	c.Load.Center = units.Length(vary(0.3, 0.9))
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
