package units

import "math"

// Units of length. All are exact (NIST SP 811:2008, Appendix B.8; the
// international foot of 1959).
const (
	Meter      Length = 1
	Millimeter Length = 1e-3
	Centimeter Length = 1e-2
	Kilometer  Length = 1e3
	Inch       Length = 0.0254
	Foot       Length = 0.3048
	Yard       Length = 0.9144
	Mile       Length = 1609.344
)

// Units of area. All are exact (NIST SP 811:2008, Appendix B.8).
const (
	SquareMeter      Area = 1
	SquareMillimeter Area = 1e-6
	SquareCentimeter Area = 1e-4
	SquareInch       Area = 0.0254 * 0.0254
	SquareFoot       Area = 0.3048 * 0.3048
)

// Units of volume. All are exact (NIST SP 811:2008, Appendix B.8). There is
// no plain gallon: the US and the imperial gallon differ by a fifth.
const (
	CubicMeter      Volume = 1
	Liter           Volume = 1e-3
	Milliliter      Volume = 1e-6
	CubicCentimeter Volume = 1e-6
	CubicInch       Volume = 0.0254 * 0.0254 * 0.0254
	CubicFoot       Volume = 0.3048 * 0.3048 * 0.3048
	CubicYard       Volume = 0.9144 * 0.9144 * 0.9144
	USGallon        Volume = 231 * 0.0254 * 0.0254 * 0.0254
	USQuart         Volume = USGallon / 4
	USPint          Volume = USGallon / 8
	USFluidOunce    Volume = USGallon / 128
	ImperialGallon  Volume = 4.54609e-3
	ImperialQuart   Volume = ImperialGallon / 4
	ImperialPint    Volume = ImperialGallon / 8
)

// Units of second moment of area. All are exact.
const (
	MeterToTheFourth SecondMomentOfArea = 1
	InchToTheFourth  SecondMomentOfArea = 0.0254 * 0.0254 * 0.0254 * 0.0254
)

// Units of mass. All are exact (NIST SP 811:2008, Appendix B.8). There is no
// plain ton: the tonne, the short and the long ton are three masses.
const (
	Kilogram Mass = 1
	Gram     Mass = 1e-3
	Tonne    Mass = 1e3
	Pound    Mass = 0.45359237
	Ounce    Mass = Pound / 16
	ShortTon Mass = 0.45359237 * 2000
	LongTon  Mass = 0.45359237 * 2240
)

// Units of moment of inertia. All are exact.
const (
	KilogramSquareMeter Inertia = 1
	PoundSquareFoot     Inertia = 0.45359237 * 0.3048 * 0.3048
)

// Units of density. All are exact (NIST SP 811:2008, Appendix B.8).
const (
	KilogramPerCubicMeter  Density = 1
	KilogramPerLiter       Density = 1e3
	GramPerCubicCentimeter Density = 1e3
	PoundPerCubicFoot      Density = 0.45359237 / (0.3048 * 0.3048 * 0.3048)
	PoundPerUSGallon       Density = 0.45359237 / (231 * 0.0254 * 0.0254 * 0.0254)
	PoundPerImperialGallon Density = 0.45359237 / 4.54609e-3
)

// Units of force. All are exact (NIST SP 811:2008, Appendix B.8).
const (
	Newton        Force = 1
	Decanewton    Force = 10
	Kilonewton    Force = 1e3
	KilogramForce Force = 9.80665
	PoundForce    Force = 0.45359237 * 9.80665
)

// Units of moment of force. All are exact (NIST SP 811:2008, Appendix B.8).
const (
	NewtonMeter        Moment = 1
	KilonewtonMeter    Moment = 1e3
	PoundForceFoot     Moment = 0.45359237 * 9.80665 * 0.3048
	PoundForceInch     Moment = 0.45359237 * 9.80665 * 0.0254
	KilogramForceMeter Moment = 9.80665
)

// Units of stiffness. All are exact.
const (
	NewtonPerMeter      Stiffness = 1
	KilonewtonPerMeter  Stiffness = 1e3
	NewtonPerMillimeter Stiffness = 1e3
	PoundForcePerInch   Stiffness = 0.45359237 * 9.80665 / 0.0254
)

// Units of pressure difference. All are exact (NIST SP 811:2008, Appendix
// B.8). For a gauge or an absolute pressure convert the constant:
// GaugePressure(1.6) * GaugeBar.
const (
	Pascal     Pressure = 1
	Kilopascal Pressure = 1e3
	Megapascal Pressure = 1e6
	Bar        Pressure = 1e5
	PSI        Pressure = 0.45359237 * 9.80665 / (0.0254 * 0.0254)
)

// Units of gauge pressure. All are exact.
const (
	GaugePascal     GaugePressure = 1
	GaugeKilopascal GaugePressure = 1e3
	GaugeMegapascal GaugePressure = 1e6
	GaugeBar        GaugePressure = 1e5
	GaugePSI        GaugePressure = 0.45359237 * 9.80665 / (0.0254 * 0.0254)
)

// Units of absolute pressure. All are exact.
const (
	AbsolutePascal      AbsolutePressure = 1
	AbsoluteHectopascal AbsolutePressure = 100
	AbsoluteKilopascal  AbsolutePressure = 1e3
	AbsoluteBar         AbsolutePressure = 1e5
	AbsolutePSI         AbsolutePressure = 0.45359237 * 9.80665 / (0.0254 * 0.0254)
	// StandardAtmosphere is 101 325 Pa, exact (ISO 2533).
	StandardAtmosphere AbsolutePressure = 101325
)

// Units of angle. The radian is exact; the others are rounded only because
// pi is.
const (
	Radian    Angle = 1
	Degree    Angle = math.Pi / 180
	ArcMinute Angle = math.Pi / 10800
	ArcSecond Angle = math.Pi / 648000
	Turn      Angle = 2 * math.Pi
)

// Units of temperature difference. All are exact.
const (
	KelvinDifference     TemperatureDifference = 1
	CelsiusDifference    TemperatureDifference = 1
	FahrenheitDifference TemperatureDifference = 5.0 / 9
)

// Units of time. All are exact.
const (
	Second Duration = 1
	Minute Duration = 60
	Hour   Duration = 3600
)

// Units of speed. All are exact (NIST SP 811:2008, Appendix B.8).
const (
	MeterPerSecond   Speed = 1
	KilometerPerHour Speed = 1 / 3.6
	MilePerHour      Speed = 0.44704
	FootPerSecond    Speed = 0.3048
)

// Units of acceleration. All are exact.
const (
	MeterPerSecondSquared Acceleration = 1
	FootPerSecondSquared  Acceleration = 0.3048
	// StandardGravity is the conventional 9.80665 m/s2, exact (3rd CGPM,
	// 1901). Packages of this module use it where a field for gravity is zero.
	StandardGravity Acceleration = 9.80665
)

// Units of power. All are exact (NIST SP 811:2008, Appendix B.8). There is
// no plain horsepower: the mechanical (550 ft lbf/s) and the metric
// (75 kgf m/s) differ by 1.4 %.
const (
	Watt                 Power = 1
	Kilowatt             Power = 1e3
	MechanicalHorsepower Power = 550 * 0.3048 * 0.45359237 * 9.80665
	MetricHorsepower     Power = 75 * 9.80665
)

// Units of energy. All are exact (NIST SP 811:2008, Appendix B.8).
const (
	Joule          Energy = 1
	Kilojoule      Energy = 1e3
	FootPoundForce Energy = 0.3048 * 0.45359237 * 9.80665
)

// Units of mass per power. All are exact.
const (
	KilogramPerWatt              MassPerPower = 1
	KilogramPerKilowatt          MassPerPower = 1e-3
	PoundPerMechanicalHorsepower MassPerPower = 1 / (550 * 0.3048 * 9.80665)
	KilogramPerMetricHorsepower  MassPerPower = 1 / (75 * 9.80665)
)

// Units of a share.
const (
	Whole   Fraction = 1
	Percent Fraction = 0.01
)

// Units of mass fraction.
const (
	KilogramPerKilogram MassFraction = 1
	MassPercent         MassFraction = 0.01
)

// Units of product per volume of water. All are exact.
const (
	KilogramPerCubicMeterOfWater  MassPerWater = 1
	KilogramPerLiterOfWater       MassPerWater = 1e3
	PoundPerUSGallonOfWater       MassPerWater = 0.45359237 / (231 * 0.0254 * 0.0254 * 0.0254)
	PoundPerImperialGallonOfWater MassPerWater = 0.45359237 / 4.54609e-3
)

// Units of product per volume of solution. All are exact.
const (
	KilogramPerCubicMeterOfSolution  MassPerSolution = 1
	KilogramPerLiterOfSolution       MassPerSolution = 1e3
	PoundPerUSGallonOfSolution       MassPerSolution = 0.45359237 / (231 * 0.0254 * 0.0254 * 0.0254)
	PoundPerImperialGallonOfSolution MassPerSolution = 0.45359237 / 4.54609e-3
)
