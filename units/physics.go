package units

import "math"

// The physical methods below are plain float64 arithmetic. As in Go, division by zero
// gives an infinity, and zero divided by zero gives NaN. Check a divisor that a user
// entered before the call.

// Weight returns the force with which gravity pulls the mass: m g.
func (m Mass) Weight(g Acceleration) Force { return Force(float64(m) * float64(g)) }

// Per returns the density of a mass that fills a volume: m / v.
// It is infinite for v = 0, and NaN if m is zero too.
func (m Mass) Per(v Volume) Density { return Density(float64(m) / float64(v)) }

// PerPower returns the mass per power: m / p.
// It is infinite for p = 0, and NaN if m is zero too.
func (m Mass) PerPower(p Power) MassPerPower { return MassPerPower(float64(m) / float64(p)) }

// Volume returns the volume that the mass fills at a density: m / d.
// It is infinite for d = 0, and NaN if m is zero too.
func (m Mass) Volume(d Density) Volume { return Volume(float64(m) / float64(d)) }

// Inertia returns the moment of inertia of a point mass at a radius: m r^2.
func (m Mass) Inertia(r Length) Inertia {
	return Inertia(float64(m) * float64(r) * float64(r))
}

// Force returns the force that gives the mass the acceleration: m a.
func (m Mass) Force(a Acceleration) Force { return Force(float64(m) * float64(a)) }

// Kinetic returns the kinetic energy of the mass at a speed: m v^2 / 2.
func (m Mass) Kinetic(v Speed) Energy { return Energy(float64(m) * float64(v) * float64(v) / 2) }

// Moment returns the static moment of the mass at a lever arm under gravity:
// m g l.
func (m Mass) Moment(l Length, g Acceleration) Moment {
	return Moment(float64(m) * float64(g) * float64(l))
}

// InWater returns the mass per volume of water when the mass is stirred into the
// volume v of water: m / v. It is infinite for v = 0, and NaN if m is zero too.
func (m Mass) InWater(v Volume) MassPerWater { return MassPerWater(float64(m) / float64(v)) }

// InSolution returns the mass per volume of solution when the volume v of the finished
// solution holds the mass: m / v. It is infinite for v = 0, and NaN if m is zero too.
func (m Mass) InSolution(v Volume) MassPerSolution {
	return MassPerSolution(float64(m) / float64(v))
}

// Share returns the mass as a fraction of a whole: m / whole. It is infinite for
// whole = 0, and NaN if m is zero too.
func (m Mass) Share(whole Mass) MassFraction { return MassFraction(float64(m) / float64(whole)) }

// Of returns the mass of the fraction of a whole: f m.
func (f MassFraction) Of(m Mass) Mass { return Mass(float64(f) * float64(m)) }

// Mass returns the mass of product for a volume of water: m v.
func (m MassPerWater) Mass(water Volume) Mass { return Mass(float64(m) * float64(water)) }

// Mass returns the mass of product in a volume of solution: m v.
func (m MassPerSolution) Mass(solution Volume) Mass {
	return Mass(float64(m) * float64(solution))
}

// Mass returns the mass of a volume of this density: d v.
func (d Density) Mass(v Volume) Mass { return Mass(float64(d) * float64(v)) }

// Head returns the pressure under a column of this density and height:
// d g h.
func (d Density) Head(h Length, g Acceleration) Pressure {
	return Pressure(float64(d) * float64(g) * float64(h))
}

// Head returns the height of a column of a density that has this pressure under
// it: p/(d g), the inverse of [Density.Head].
func (p Pressure) Head(d Density, g Acceleration) Length {
	return Length(float64(p) / (float64(d) * float64(g)))
}

// Moment returns the moment of the force about a point at a lever arm: f l.
func (f Force) Moment(l Length) Moment { return Moment(float64(f) * float64(l)) }

// Mass returns the mass whose weight is the force: f / g.
// It is infinite for g = 0, and NaN if f is zero too.
func (f Force) Mass(g Acceleration) Mass { return Mass(float64(f) / float64(g)) }

// Work returns the energy spent by the force along a path: f l.
func (f Force) Work(l Length) Energy { return Energy(float64(f) * float64(l)) }

// Deflection returns the deflection of a spring of the stiffness k: f / k.
// It is infinite for k = 0, and NaN if f is zero too.
func (f Force) Deflection(k Stiffness) Length { return Length(float64(f) / float64(k)) }

// Per returns the pressure of the force on an area: f / a. It is infinite for
// a = 0, and NaN if f is zero too.
func (f Force) Per(a Area) Pressure { return Pressure(float64(f) / float64(a)) }

// PerDeflection returns the stiffness of a spring that deflects by l under the force:
// f / l. It is infinite for l = 0, and NaN if f is zero too.
func (f Force) PerDeflection(l Length) Stiffness { return Stiffness(float64(f) / float64(l)) }

// Power returns the power of the force at a speed: f v.
func (f Force) Power(v Speed) Power { return Power(float64(f) * float64(v)) }

// Acceleration returns the acceleration that the force gives a mass: f / m.
// It is infinite for m = 0, and NaN if f is zero too.
func (f Force) Acceleration(m Mass) Acceleration { return Acceleration(float64(f) / float64(m)) }

// Force returns the force of a spring that deflects by l: k l.
func (s Stiffness) Force(l Length) Force { return Force(float64(s) * float64(l)) }

// Force returns the force whose moment at a lever arm this is: m / l.
// It is infinite for l = 0, and NaN if m is zero too.
func (m Moment) Force(l Length) Force { return Force(float64(m) / float64(l)) }

// Arm returns the lever arm at which the force has the moment: m / f. It is
// infinite for f = 0, and NaN if m is zero too.
func (m Moment) Arm(f Force) Length { return Length(float64(m) / float64(f)) }

// Area returns the area of a rectangle: l w.
func (l Length) Area(w Length) Area { return Area(float64(l) * float64(w)) }

// Volume returns the volume of a prism of this base: a h.
func (a Area) Volume(h Length) Volume { return Volume(float64(a) * float64(h)) }

// Height returns the height of a prism of the volume over the base a: v / a.
// It is infinite for a = 0, and NaN if v is zero too.
func (v Volume) Height(a Area) Length { return Length(float64(v) / float64(a)) }

// Rise returns how far a free surface with the second moment s raises the effective
// center of gravity of a liquid of the volume v: s / v, the metacentric rule for small
// angles. It is infinite for v = 0, and NaN if s is zero too.
func (s SecondMomentOfArea) Rise(v Volume) Length { return Length(float64(s) / float64(v)) }

// Force returns the force of a pressure on an area: p a.
func (p Pressure) Force(a Area) Force { return Force(float64(p) * float64(a)) }

// Absolute returns the absolute pressure if the atmosphere has the pressure atm.
func (p GaugePressure) Absolute(atm AbsolutePressure) AbsolutePressure {
	return AbsolutePressure(float64(p) + float64(atm))
}

// Gauge returns the reading of a gauge if the atmosphere has the pressure atm.
func (p AbsolutePressure) Gauge(atm AbsolutePressure) GaugePressure {
	return GaugePressure(float64(p) - float64(atm))
}

// Add returns the gauge pressure raised by a difference.
func (p GaugePressure) Add(d Pressure) GaugePressure {
	return GaugePressure(float64(p) + float64(d))
}

// CircularAcceleration returns the centripetal acceleration of the speed on a
// radius: v^2 / r.
// It is infinite for r = 0, and NaN if v is zero too.
func (v Speed) CircularAcceleration(r Length) Acceleration {
	return Acceleration(float64(v) * float64(v) / float64(r))
}

// CircularSpeed returns the speed on a radius at which the centripetal
// acceleration is a: sqrt(a r).
// It is NaN if a and r differ in sign.
func (a Acceleration) CircularSpeed(r Length) Speed {
	return Speed(math.Sqrt(float64(a) * float64(r)))
}

// Distance returns the distance covered at the speed in a time: v t.
func (v Speed) Distance(t Duration) Length { return Length(float64(v) * float64(t)) }

// Sin returns the sine of the angle.
func (a Angle) Sin() float64 { return math.Sin(float64(a)) }

// Cos returns the cosine of the angle.
func (a Angle) Cos() float64 { return math.Cos(float64(a)) }

// Tan returns the tangent of the angle.
func (a Angle) Tan() float64 { return math.Tan(float64(a)) }

// Grade returns the slope whose tangent is rise over run: Grade(0.2) is a
// grade of 20 %.
func Grade(tangent float64) Slope { return Slope(math.Atan(tangent)) }

// Slope returns the angle as a slope of the ground.
func (a Angle) Slope() Slope { return Slope(float64(a)) }

// Angle returns the slope as a plane angle.
func (s Slope) Angle() Angle { return Angle(float64(s)) }

// Grade returns the tangent of the slope: rise over run.
func (s Slope) Grade() float64 { return math.Tan(float64(s)) }

// Kelvin returns the temperature of t kelvins.
func Kelvin(t float64) Temperature { return Temperature(t) }

// Celsius returns the temperature of t degrees Celsius.
func Celsius(t float64) Temperature { return Temperature(t + 273.15) }

// Fahrenheit returns the temperature of t degrees Fahrenheit.
func Fahrenheit(t float64) Temperature { return Temperature((t + 459.67) * 5 / 9) }

// Celsius returns the temperature in degrees Celsius.
func (t Temperature) Celsius() float64 { return float64(t) - 273.15 }

// Fahrenheit returns the temperature in degrees Fahrenheit.
func (t Temperature) Fahrenheit() float64 { return float64(t)*9/5 - 459.67 }

// Sub returns the difference t - u.
func (t Temperature) Sub(u Temperature) TemperatureDifference {
	return TemperatureDifference(float64(t) - float64(u))
}

// Add returns the temperature raised by a difference.
func (t Temperature) Add(d TemperatureDifference) Temperature {
	return Temperature(float64(t) + float64(d))
}

// Ratio returns a part as a share of a whole: part / whole. It is infinite for
// whole = 0, and NaN if part is zero too.
func Ratio[Q Quantity](part, whole Q) Fraction { return Fraction(float64(part) / float64(whole)) }

// Share returns the fraction of a whole: f whole.
func Share[Q Quantity](whole Q, f Fraction) Q { return Q(float64(whole) * float64(f)) }
