package ballast_test

import (
	"context"
	"fmt"
	"math"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// The co-operative's yard has a drain, 10 cm deep and 40 cm wide. How much may be carried
// over it at walking pace, with the arms low and with the arms level? The tires' maker
// gave their stiffness, within a tenth.
func ExampleSetup_Travel() {
	s := orchard()
	s.Pieces = s.Pieces[:2]
	s.Machine.Motion = ballast.Motion{
		RearStiffness:  units.Between[units.Stiffness](250e3, 290e3),
		FrontStiffness: units.Between[units.Stiffness](180e3, 220e3),
		Damping:        units.Between[units.Fraction](0.06, 0.08),
		PitchInertia:   units.Between[units.Inertia](650, 750),
		RollInertia:    units.Between[units.Inertia](200, 250),
	}
	for _, arms := range []struct {
		name   string
		height units.Length
	}{{"low", 0.25}, {"level", 1.2}} {
		way := ballast.Travel{
			Lift: ballast.Lift{Kind: ballast.CarryLow, Height: arms.height, Datum: ballast.TineHeight, Load: bin(),
				Basis: ballast.Basis{Kind: ballast.BasisNoWheelUnloaded}},
			Obstacle: stability.Obstacle{Kind: stability.ObstacleRut, Height: 10 * units.Centimeter, Length: 40 * units.Centimeter},
			Speed:    4 * units.KilometerPerHour,
			Drive:    stability.DriveHeld,
		}
		u, err := s.Travel(context.Background(), way)
		if err != nil {
			fmt.Println(err)
			return
		}
		tens := func(m units.Mass) float64 { return 10 * math.Floor(float64(m)/10) }
		fmt.Printf("arms %s: no lift-off found up to %.0f kg; without the drain %.0f kg\n", arms.name, tens(u.IfRated.Low), tens(u.Usable.IfRated.Low))
	}
	fmt.Println(ballast.CautionHiddenGround.Lines()[0])
	// Output:
	// arms low: no lift-off found up to 120 kg; without the drain 490 kg
	// arms level: no lift-off found up to 0 kg; without the drain 430 kg
	// Hidden holes, soft ground and braking in a turn are not covered.
}
