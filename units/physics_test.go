package units

import (
	"math"
	"testing"
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
	g := StandardGravity
	near("weight of a pound", float64(Pound.Weight(g)), float64(PoundForce))
	near("mass of a pound-force", float64(PoundForce.Mass(g)), float64(Pound))
	near("head of water", float64((1000*KilogramPerCubicMeter).Head(10, g)), 98066.5)
	near("bar on a square centimeter", float64(Bar.Force(SquareCentimeter)), 10)
	near("newtons on a square centimeter", float64((10 * Newton).Per(SquareCentimeter)), 1e5)
	near("pounds per gallon", float64(Pound.Per(USGallon)), float64(PoundPerUSGallon))
	near("density times volume", float64(PoundPerUSGallon.Mass(40*USGallon)), float64(40*Pound))
	near("mass over density", float64((40 * Pound).Volume(PoundPerUSGallon)), float64(40*USGallon))
	near("kg per kW", float64((65 * Kilogram).PerPower(Kilowatt)), 0.065)
	near("inertia", float64((3 * Kilogram).Inertia(2)), 12)
	near("mass times acceleration", float64((3 * Kilogram).Force(2)), 6)
	near("kinetic", float64((3 * Kilogram).Kinetic(4)), 24)
	near("static moment", float64((3*Kilogram).Moment(2, 10)), 60)
	near("in water", float64(Pound.InWater(USGallon)), float64(PoundPerUSGallonOfWater))
	near("in solution", float64(Pound.InSolution(USGallon)), float64(PoundPerUSGallonOfSolution))
	near("of water", float64(PoundPerUSGallonOfWater.Mass(3*USGallon)), float64(3*Pound))
	near("of solution", float64(PoundPerUSGallonOfSolution.Mass(3*USGallon)), float64(3*Pound))
	near("share", float64((3 * Kilogram).Share(12)), 0.25)
	near("fraction of", float64(MassFraction(0.25).Of(12)), 3)
	near("moment", float64(PoundForce.Moment(Foot)), float64(PoundForceFoot))
	near("force of a moment", float64(PoundForceFoot.Force(Foot)), float64(PoundForce))
	near("arm", float64(PoundForceFoot.Arm(PoundForce)), float64(Foot))
	near("work", float64(PoundForce.Work(Foot)), float64(FootPoundForce))
	near("horsepower", float64((550 * PoundForce).Power(FootPerSecond)), float64(MechanicalHorsepower))
	near("acceleration", float64(PoundForce.Acceleration(Pound)), float64(g))
	near("deflection", float64(PoundForce.Deflection(PoundForcePerInch)), float64(Inch))
	near("stiffness", float64(PoundForce.PerDeflection(Inch)), float64(PoundForcePerInch))
	near("spring force", float64(PoundForcePerInch.Force(Inch)), float64(PoundForce))
	near("area", float64(Foot.Area(Foot)), float64(SquareFoot))
	near("volume", float64(SquareFoot.Volume(Foot)), float64(CubicFoot))
	near("height", float64(CubicFoot.Height(SquareFoot)), float64(Foot))
	near("rise", float64(SecondMomentOfArea(0.02).Rise(0.1)), 0.2)
	near("absolute", float64((100 * GaugeKilopascal).Absolute(StandardAtmosphere)), 201325)
	near("gauge", float64(AbsolutePressure(201325).Gauge(StandardAtmosphere)), 1e5)
	near("gauge and a difference", float64((100 * GaugeKilopascal).Add(Kilopascal)), 101000)
	near("circle", float64((6 * MeterPerSecond).CircularAcceleration(12)), 3)
	near("circular speed", float64((3 * MeterPerSecondSquared).CircularSpeed(12)), 6)
	near("distance", float64((36 * KilometerPerHour).Distance(Minute)), 600)
	near("sine", (30 * Degree).Sin(), 0.49999999999999994)
	near("cosine", (60 * Degree).Cos(), 0.5000000000000001)
	near("tangent", (45 * Degree).Tan(), 1)
	near("grade", Grade(0.21).Grade(), 0.21)
	near("slope of an angle", (45 * Degree).Slope().Grade(), 1)
	near("angle of a slope", float64(Grade(1).Angle()), math.Pi/4)
	near("difference", float64(Celsius(20).Sub(Celsius(5))), 15)
	near("sum", Celsius(5).Add(27*FahrenheitDifference).Celsius(), 20)
	near("Fahrenheit", Fahrenheit(23).Celsius(), -5)
	near("to Fahrenheit", Celsius(100).Fahrenheit(), 212)
	near("ratio", float64(Ratio(3*Kilogram, 12)), 0.25)
	near("part", float64(Share(12*Kilogram, 0.25)), 3)
	if !math.IsInf(float64(Kilogram.Per(0)), 1) || !math.IsNaN(float64(Mass(0).Per(0))) {
		t.Error("zero divisors are not as documented")
	}
}
