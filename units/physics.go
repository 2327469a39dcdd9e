package units

import "math"

// Weight returns the force with which gravity pulls the mass: m g.
func (m Mass) Weight(g Acceleration) Force { return Force(float64(m) * float64(g)) }

// Per returns the density of a mass that fills a volume: m / v.
func (m Mass) Per(v Volume) Density { return Density(float64(m) / float64(v)) }

// PerPower returns the mass per power: m / p.
func (m Mass) PerPower(p Power) MassPerPower { return MassPerPower(float64(m) / float64(p)) }

// Volume returns the volume that the mass fills at a density: m / d.
func (m Mass) Volume(d Density) Volume { return Volume(float64(m) / float64(d)) }

// Inertia returns the moment of inertia of a point mass at a radius: m r^2.
func (m Mass) Inertia(r Length) Inertia {
	return Inertia(float64(m) * float64(r) * float64(r))
}

// Mass returns the mass of a volume of this density: d v.
func (d Density) Mass(v Volume) Mass { return Mass(float64(d) * float64(v)) }

// Head returns the pressure under a column of this density and height:
// d g h.
func (d Density) Head(h Length, g Acceleration) Pressure {
	return Pressure(float64(d) * float64(g) * float64(h))
}

// Moment returns the moment of the force about a point at a lever arm: f l.
func (f Force) Moment(l Length) Moment { return Moment(float64(f) * float64(l)) }

// Mass returns the mass whose weight is the force: f / g.
func (f Force) Mass(g Acceleration) Mass { return Mass(float64(f) / float64(g)) }

// Work returns the energy spent by the force along a path: f l.
func (f Force) Work(l Length) Energy { return Energy(float64(f) * float64(l)) }

// Deflection returns how far a spring of the stiffness gives: f / k.
func (f Force) Deflection(k Stiffness) Length { return Length(float64(f) / float64(k)) }

// Force returns the force whose moment at a lever arm this is: m / l.
func (m Moment) Force(l Length) Force { return Force(float64(m) / float64(l)) }

// Area returns the area of a rectangle: l w.
func (l Length) Area(w Length) Area { return Area(float64(l) * float64(w)) }

// Volume returns the volume of a prism of this base: a h.
func (a Area) Volume(h Length) Volume { return Volume(float64(a) * float64(h)) }

// Force returns the force of a pressure on an area: p a.
func (p Pressure) Force(a Area) Force { return Force(float64(p) * float64(a)) }

// Absolute returns the absolute pressure where the atmosphere has the
// pressure atm.
func (p GaugePressure) Absolute(atm AbsolutePressure) AbsolutePressure {
	return AbsolutePressure(float64(p) + float64(atm))
}

// Gauge returns what a gauge reads where the atmosphere has the pressure atm.
func (p AbsolutePressure) Gauge(atm AbsolutePressure) GaugePressure {
	return GaugePressure(float64(p) - float64(atm))
}

// Add returns the gauge pressure raised by a difference.
func (p GaugePressure) Add(d Pressure) GaugePressure {
	return GaugePressure(float64(p) + float64(d))
}

// CircularAcceleration returns the centripetal acceleration of the speed on a
// radius: v^2 / r.
func (v Speed) CircularAcceleration(r Length) Acceleration {
	return Acceleration(float64(v) * float64(v) / float64(r))
}

// CircularSpeed returns the speed on a radius at which the centripetal
// acceleration is a: sqrt(a r).
func (a Acceleration) CircularSpeed(r Length) Speed {
	return Speed(math.Sqrt(float64(a) * float64(r)))
}

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
