package units

// A Quantity is any of this package's quantity types: a float64 that counts
// the coherent SI unit of its kind. The constraint is sealed: it lists the
// types of this package and admits no other.
type Quantity interface {
	Length | Area | Volume | SecondMomentOfArea | Mass | Inertia | Density |
		Force | Moment | Stiffness | Pressure | GaugePressure | AbsolutePressure |
		Angle | Slope | Temperature | TemperatureDifference | Duration | Speed |
		Acceleration | Power | Energy | MassPerPower |
		Fraction | MassFraction | MassPerWater | MassPerSolution
}

// Length is a length in meters.
type Length float64

// Area is an area in square meters.
type Area float64

// Volume is a volume in cubic meters.
type Volume float64

// SecondMomentOfArea is a second moment of area in meters to the fourth power.
type SecondMomentOfArea float64

// Mass is a mass in kilograms. A mass is not a force: a weight is a [Force].
type Mass float64

// Inertia is a mass moment of inertia in kilogram square meters.
type Inertia float64

// Density is a mass per volume in kilograms per cubic meter.
type Density float64

// Force is a force in newtons.
type Force float64

// Moment is a moment of force, or torque, in newton meters.
type Moment float64

// Stiffness is a force per length in newtons per meter.
type Stiffness float64

// Pressure is a pressure difference in pascals, such as the drop across a
// valve. A pressure that a gauge reads is a [GaugePressure], and a pressure above
// vacuum is an [AbsolutePressure].
type Pressure float64

// GaugePressure is a pressure above that of the atmosphere, in pascals.
type GaugePressure float64

// AbsolutePressure is a pressure above vacuum, in pascals.
type AbsolutePressure float64

// Angle is a plane angle in radians.
type Angle float64

// Slope is the inclination of the ground, held as its angle in radians. It
// is a type of its own because slopes are also written as a percent grade
// (100 times the tangent) and as a ratio of rise to run.
type Slope float64

// Temperature is a thermodynamic temperature in kelvins. Make one with [Celsius],
// [Fahrenheit] or [Kelvin]. The zero value is zero kelvin, which the packages of this
// module read as "not given". [Format] writes it as -273.2 degC, so test for zero
// first.
type Temperature float64

// TemperatureDifference is a difference of two temperatures in kelvins.
type TemperatureDifference float64

// Duration is a span of time in seconds. It is a float64 because the motions
// it measures are computed, not counted; [time.Duration] is for clocks.
type Duration float64

// Speed is a speed in meters per second.
type Speed float64

// Acceleration is an acceleration in meters per second squared.
type Acceleration float64

// Power is a power in watts.
type Power float64

// Energy is an energy in joules.
type Energy float64

// MassPerPower is a machine's mass per power in kilograms per watt.
type MassPerPower float64

// Fraction is a dimensionless share of a whole; 1 is the whole.
type Fraction float64

// MassFraction is the mass of a solute per mass of solution, from 0 to 1.
type MassFraction float64

// MassPerWater is the mass of a product per volume of the water into which it was
// stirred, in kilograms per cubic meter of water. It is not a [MassPerSolution]: the
// solution has a larger volume than its water.
type MassPerWater float64

// MassPerSolution is the mass of a product per volume of the finished
// solution, in kilograms per cubic meter of solution.
type MassPerSolution float64
