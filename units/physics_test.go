package units_test

import (
	"math"
	"testing"

	"example.com/steelyard/units"
)

// Worked by hand from the definitions in the comments: the weight of 1 lb is
// 1 lbf, 1 hp lifts 550 lb by 1 ft in 1 s, a water column of 10 m presses
// with 98.0665 kPa (1000 kg/m3 at standard gravity), 1 bar is 10 N on 1 cm2.
func TestPhysics(t *testing.T) {
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-14*math.Abs(want) {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	g := units.StandardGravity
	near("weight of a pound", float64(units.Pound.Weight(g)), float64(units.PoundForce))
	near("mass of a pound-force", float64(units.PoundForce.Mass(g)), float64(units.Pound))
	near("height of water", float64(units.Pressure(98066.5).Head(1000*units.KilogramPerCubicMeter, g)), 10)
	near("head of water", float64((1000*units.KilogramPerCubicMeter).Head(10, g)), 98066.5)
	near("bar on a square centimeter", float64(units.Bar.Force(units.SquareCentimeter)), 10)
	near("newtons on a square centimeter", float64((10 * units.Newton).Per(units.SquareCentimeter)), 1e5)
	near("pounds per gallon", float64(units.Pound.Per(units.USGallon)), float64(units.PoundPerUSGallon))
	near("density times volume", float64(units.PoundPerUSGallon.Mass(40*units.USGallon)), float64(40*units.Pound))
	near("mass over density", float64((40 * units.Pound).Volume(units.PoundPerUSGallon)), float64(40*units.USGallon))
	near("kg per kW", float64((65 * units.Kilogram).PerPower(units.Kilowatt)), 0.065)
	near("inertia", float64((3 * units.Kilogram).Inertia(2)), 12)
	near("mass times acceleration", float64((3 * units.Kilogram).Force(2)), 6)
	near("kinetic", float64((3 * units.Kilogram).Kinetic(4)), 24)
	near("static moment", float64((3*units.Kilogram).Moment(2, 10)), 60)
	near("in water", float64(units.Pound.InWater(units.USGallon)), float64(units.PoundPerUSGallonOfWater))
	near("in solution", float64(units.Pound.InSolution(units.USGallon)), float64(units.PoundPerUSGallonOfSolution))
	near("of water", float64(units.PoundPerUSGallonOfWater.Mass(3*units.USGallon)), float64(3*units.Pound))
	near("of solution", float64(units.PoundPerUSGallonOfSolution.Mass(3*units.USGallon)), float64(3*units.Pound))
	near("share", float64((3 * units.Kilogram).Share(12)), 0.25)
	near("fraction of", float64(units.MassFraction(0.25).Of(12)), 3)
	near("moment", float64(units.PoundForce.Moment(units.Foot)), float64(units.PoundForceFoot))
	near("force of a moment", float64(units.PoundForceFoot.Force(units.Foot)), float64(units.PoundForce))
	near("arm", float64(units.PoundForceFoot.Arm(units.PoundForce)), float64(units.Foot))
	near("work", float64(units.PoundForce.Work(units.Foot)), float64(units.FootPoundForce))
	near("horsepower", float64((550 * units.PoundForce).Power(units.FootPerSecond)), float64(units.MechanicalHorsepower))
	near("acceleration", float64(units.PoundForce.Acceleration(units.Pound)), float64(g))
	near("deflection", float64(units.PoundForce.Deflection(units.PoundForcePerInch)), float64(units.Inch))
	near("stiffness", float64(units.PoundForce.PerDeflection(units.Inch)), float64(units.PoundForcePerInch))
	near("spring force", float64(units.PoundForcePerInch.Force(units.Inch)), float64(units.PoundForce))
	near("area", float64(units.Foot.Area(units.Foot)), float64(units.SquareFoot))
	near("volume", float64(units.SquareFoot.Volume(units.Foot)), float64(units.CubicFoot))
	near("height", float64(units.CubicFoot.Height(units.SquareFoot)), float64(units.Foot))
	near("rise", float64(units.SecondMomentOfArea(0.02).Rise(0.1)), 0.2)
	near("absolute", float64((100 * units.GaugeKilopascal).Absolute(units.StandardAtmosphere)), 201325)
	near("gauge", float64(units.AbsolutePressure(201325).Gauge(units.StandardAtmosphere)), 1e5)
	near("gauge and a difference", float64((100 * units.GaugeKilopascal).Add(units.Kilopascal)), 101000)
	near("circle", float64((6 * units.MeterPerSecond).CircularAcceleration(12)), 3)
	near("circular speed", float64((3 * units.MeterPerSecondSquared).CircularSpeed(12)), 6)
	near("distance", float64((36 * units.KilometerPerHour).Distance(units.Minute)), 600)
	near("sine", (30 * units.Degree).Sin(), 0.49999999999999994)
	near("cosine", (60 * units.Degree).Cos(), 0.5000000000000001)
	near("tangent", (45 * units.Degree).Tan(), 1)
	near("grade", units.Grade(0.21).Grade(), 0.21)
	near("slope of an angle", (45 * units.Degree).Slope().Grade(), 1)
	near("angle of a slope", float64(units.Grade(1).Angle()), math.Pi/4)
	near("difference", float64(units.Celsius(20).Sub(units.Celsius(5))), 15)
	near("sum", units.Celsius(5).Add(27*units.FahrenheitDifference).Celsius(), 20)
	near("Fahrenheit", units.Fahrenheit(23).Celsius(), -5)
	near("to Fahrenheit", units.Celsius(100).Fahrenheit(), 212)
	near("ratio", float64(units.Ratio(3*units.Kilogram, 12)), 0.25)
	near("part", float64(units.Share(12*units.Kilogram, 0.25)), 3)
	if !math.IsInf(float64(units.Kilogram.Per(0)), 1) || !math.IsNaN(float64(units.Mass(0).Per(0))) {
		t.Error("zero divisors are not as documented")
	}
}
