package units

// The tables of all kinds. The factors are in unit.go. The field exact repeats each
// factor as an expression for the table in the documentation, and a test checks that
// the two agree.

const (
	defPound = "0.45359237"
	defLbf   = "0.45359237*9.80665"
	defUSGal = "(231*0.0254*0.0254*0.0254)"
	defPSI   = "0.45359237*9.80665/(0.0254*0.0254)"
)

// The places of the kinds in their table, in the order of the Quantity
// constraint.
const (
	lengthKind = iota
	areaKind
	volumeKind
	secondMomentOfAreaKind
	massKind
	inertiaKind
	densityKind
	forceKind
	momentKind
	stiffnessKind
	pressureKind
	gaugePressureKind
	absolutePressureKind
	angleKind
	slopeKind
	temperatureKind
	temperatureDifferenceKind
	durationKind
	speedKind
	accelerationKind
	powerKind
	energyKind
	massPerPowerKind
	fractionKind
	massFractionKind
	massPerWaterKind
	massPerSolutionKind
)

const wantOf = `say "of water" or "of solution": a mass per volume "of water" is less concentrated than the same "of solution"; here it must be "of `

var (
	gaugeNames = []string{"Pa gauge", "kPa gauge", "MPa gauge", "bar gauge", "psi gauge",
		"psig", "barg", "kPag", "Pa(g)", "kPa(g)", "MPa(g)", "bar(g)", "psi(g)"}
	absoluteNames = []string{"Pa absolute", "hPa absolute", "kPa absolute", "bar absolute", "psi absolute",
		"psia", "bara", "kPaa", "Pa(a)", "kPa(a)", "bar(a)", "psi(a)", "kPa abs", "bar abs", "psi abs"}
)

// kinds holds every kind.
var kinds = [...]kind{
	lengthKind: {
		typ: "Length", noun: "a length", example: "24 in",
		units: []unit{
			{symbol: "m", factor: float64(Meter), constant: "Meter", exact: "1", code: "MTR", names: []string{"meter", "meters"}},
			{symbol: "mm", factor: float64(Millimeter), constant: "Millimeter", exact: "0.001", code: "MMT", names: []string{"millimeter", "millimeters"}},
			{symbol: "cm", factor: float64(Centimeter), constant: "Centimeter", exact: "0.01", code: "CMT", names: []string{"centimeter", "centimeters"}},
			{symbol: "km", factor: float64(Kilometer), constant: "Kilometer", exact: "1000", code: "KMT", names: []string{"kilometer", "kilometers"}},
			{symbol: "in", factor: float64(Inch), constant: "Inch", exact: "0.0254", code: "INH", chain: 1, names: []string{"inch", "inches", `"`, "in."}},
			{symbol: "ft", factor: float64(Foot), constant: "Foot", exact: "0.3048", code: "FOT", chain: 12, names: []string{"foot", "feet", "'", "ft."}},
			{symbol: "yd", factor: float64(Yard), constant: "Yard", exact: "0.9144", code: "YRD", names: []string{"yard", "yards"}},
			{symbol: "mi", factor: float64(Mile), constant: "Mile", exact: "1609.344", code: "SMI", names: []string{"mile", "miles"}},
		},
	},
	areaKind: {
		typ: "Area", noun: "an area", example: "12.5 in2",
		units: []unit{
			{symbol: "m2", factor: float64(SquareMeter), constant: "SquareMeter", exact: "1", code: "MTK", names: []string{"square meter", "square meters", "sq m"}},
			{symbol: "mm2", factor: float64(SquareMillimeter), constant: "SquareMillimeter", exact: "0.000001", code: "MMK", names: []string{"square millimeter", "square millimeters", "sq mm"}},
			{symbol: "cm2", factor: float64(SquareCentimeter), constant: "SquareCentimeter", exact: "0.0001", code: "CMK", names: []string{"square centimeter", "square centimeters", "sq cm"}},
			{symbol: "in2", factor: float64(SquareInch), constant: "SquareInch", exact: "0.0254*0.0254", code: "INK", names: []string{"square inch", "square inches", "sq in"}},
			{symbol: "ft2", factor: float64(SquareFoot), constant: "SquareFoot", exact: "0.3048*0.3048", code: "FTK", names: []string{"square foot", "square feet", "sq ft"}},
		},
	},
	volumeKind: {
		typ: "Volume", noun: "a volume", example: "40 US gal",
		units: []unit{
			{symbol: "m3", factor: float64(CubicMeter), constant: "CubicMeter", exact: "1", code: "MTQ", names: []string{"cubic meter", "cubic meters", "cu m"}},
			{symbol: "L", factor: float64(Liter), constant: "Liter", exact: "0.001", code: "LTR", names: []string{"l", "liter", "liters"}},
			{symbol: "mL", factor: float64(Milliliter), constant: "Milliliter", exact: "0.000001", code: "MLT", names: []string{"ml", "milliliter", "milliliters"}},
			{symbol: "cm3", factor: float64(CubicCentimeter), constant: "CubicCentimeter", exact: "0.000001", code: "CMQ", names: []string{"cubic centimeter", "cubic centimeters", "cc", "cu cm"}},
			{symbol: "US gal", factor: float64(USGallon), constant: "USGallon", exact: defUSGal, code: "GLL", names: []string{"USgal", "US gallon", "US gallons", "gal US", "gal (US)"}},
			{symbol: "imp gal", factor: float64(ImperialGallon), constant: "ImperialGallon", exact: "0.00454609", code: "GLI", names: []string{"impgal", "imperial gallon", "imperial gallons", "UK gal", "UK gallon", "UK gallons", "imperial gal", "gal imp", "gal (imp)", "gal (UK)"}},
			{symbol: "US qt", factor: float64(USQuart), constant: "USQuart", exact: defUSGal + "/4", code: "QTL", names: []string{"US quart", "US quarts"}},
			{symbol: "US pt", factor: float64(USPint), constant: "USPint", exact: defUSGal + "/8", code: "PTL", names: []string{"US pint", "US pints"}},
			{symbol: "US fl oz", factor: float64(USFluidOunce), constant: "USFluidOunce", exact: defUSGal + "/128", code: "OZA", names: []string{"US fluid ounce", "US fluid ounces"}},
			{symbol: "imp qt", factor: float64(ImperialQuart), constant: "ImperialQuart", exact: "0.00454609/4", code: "QTI", names: []string{"imperial quart", "imperial quarts", "UK qt"}},
			{symbol: "imp pt", factor: float64(ImperialPint), constant: "ImperialPint", exact: "0.00454609/8", code: "PTI", names: []string{"imperial pint", "imperial pints", "UK pt"}},
			{symbol: "in3", factor: float64(CubicInch), constant: "CubicInch", exact: "0.0254*0.0254*0.0254", code: "INQ", names: []string{"cubic inch", "cubic inches", "cu in"}},
			{symbol: "ft3", factor: float64(CubicFoot), constant: "CubicFoot", exact: "0.3048*0.3048*0.3048", code: "FTQ", names: []string{"cubic foot", "cubic feet", "cu ft"}},
			{symbol: "yd3", factor: float64(CubicYard), constant: "CubicYard", exact: "0.9144*0.9144*0.9144", code: "YDQ", names: []string{"cubic yard", "cubic yards", "cu yd"}},
		},
		refused: []refusal{
			{[]string{"gal", "gallon", "gallons", "gals"}, `the US and the imperial gallon differ by a fifth: write "US gal" or "imp gal"`},
			{[]string{"qt", "quart", "quarts"}, `the US and the imperial quart differ by a fifth: write "US qt" or "imp qt"`},
			{[]string{"pt", "pint", "pints"}, `the US and the imperial pint differ by a fifth: write "US pt" or "imp pt"`},
			{[]string{"fl oz", "floz", "fluid ounce", "fluid ounces"}, `the US and the imperial fluid ounce differ: write "US fl oz" or "mL"`},
			{[]string{"oz", "ounce", "ounces"}, `an ounce is a mass; for a volume write "US fl oz" or "mL"`},
		},
	},
	secondMomentOfAreaKind: {
		typ: "SecondMomentOfArea", noun: "a second moment of area", example: "3.2 in4",
		units: []unit{
			{symbol: "m4", factor: float64(MeterToTheFourth), constant: "MeterToTheFourth", exact: "1", code: "D27"},
			{symbol: "in4", factor: float64(InchToTheFourth), constant: "InchToTheFourth", exact: "0.0254*0.0254*0.0254*0.0254", code: "D69"},
		},
	},
	massKind: {
		typ: "Mass", noun: "a mass", example: "70 lb",
		units: []unit{
			{symbol: "kg", factor: float64(Kilogram), constant: "Kilogram", exact: "1", code: "KGM", names: []string{"kilogram", "kilograms"}},
			{symbol: "lb", factor: float64(Pound), constant: "Pound", exact: defPound, code: "LBR", chain: 16, names: []string{"lbs", "lbm", "pound", "pounds", "lb."}},
			{symbol: "t", factor: float64(Tonne), constant: "Tonne", exact: "1000", code: "TNE", names: []string{"tonne", "tonnes", "metric ton", "metric tons"}},
			{symbol: "g", factor: float64(Gram), constant: "Gram", exact: "0.001", code: "GRM", names: []string{"gram", "grams"}},
			{symbol: "oz", factor: float64(Ounce), constant: "Ounce", exact: defPound + "/16", code: "ONZ", chain: 1, names: []string{"ounce", "ounces", "oz."}},
			{symbol: "short ton", factor: float64(ShortTon), constant: "ShortTon", exact: defPound + "*2000", code: "STN", names: []string{"short tons", "US ton", "US tons"}},
			{symbol: "long ton", factor: float64(LongTon), constant: "LongTon", exact: defPound + "*2240", code: "LTN", names: []string{"long tons", "UK ton", "UK tons", "imperial ton", "imperial tons"}},
		},
		refused: []refusal{
			{[]string{"ton", "tons", "tn", "T"}, `three masses are called ton: write "t" (1000 kg), "short ton" (2000 lb) or "long ton" (2240 lb)`},
			{[]string{"cwt", "hundredweight"}, `the US and the imperial hundredweight differ: write it in "lb" or "kg"`},
			{[]string{"N", "kN", "daN", "newton", "newtons", "lbf", "kgf", "kp"}, `{unit} is a unit of force; for a mass write "kg" or "lb"`},
			{[]string{"#"}, `write "lb"`},
			{[]string{"fl oz", "US fl oz"}, `a fluid ounce is a volume; for a mass write "oz"`},
		},
	},
	inertiaKind: {
		typ: "Inertia", noun: "a moment of inertia", example: "850 kg m2",
		units: []unit{
			{symbol: "kg m2", factor: float64(KilogramSquareMeter), constant: "KilogramSquareMeter", exact: "1", code: "B32", names: []string{"kgm2"}},
			{symbol: "lb ft2", factor: float64(PoundSquareFoot), constant: "PoundSquareFoot", exact: defPound + "*0.3048*0.3048", names: []string{"lbft2"}},
		},
		refused: []refusal{
			{[]string{"lbf ft2", "slug ft2", "kgf m2"}, `write "kg m2" or "lb ft2"`},
		},
	},
	densityKind: {
		typ: "Density", noun: "a density", example: "10.7 lb/US gal",
		units: []unit{
			{symbol: "kg/m3", factor: float64(KilogramPerCubicMeter), constant: "KilogramPerCubicMeter", exact: "1", code: "KMQ"},
			{symbol: "kg/L", factor: float64(KilogramPerLiter), constant: "KilogramPerLiter", exact: "1000", code: "B35", names: []string{"kg/l", "kg/dm3"}},
			{symbol: "g/cm3", factor: float64(GramPerCubicCentimeter), constant: "GramPerCubicCentimeter", exact: "1000", code: "23", names: []string{"g/mL", "g/ml", "t/m3"}},
			{symbol: "lb/ft3", factor: float64(PoundPerCubicFoot), constant: "PoundPerCubicFoot", exact: defPound + "/(0.3048*0.3048*0.3048)", code: "87", names: []string{"pcf", "lb/cu ft"}},
			{symbol: "lb/US gal", factor: float64(PoundPerUSGallon), constant: "PoundPerUSGallon", exact: defPound + "/" + defUSGal, code: "GE", names: []string{"lb/USgal"}},
			{symbol: "lb/imp gal", factor: float64(PoundPerImperialGallon), constant: "PoundPerImperialGallon", exact: defPound + "/0.00454609", code: "K71", names: []string{"lb/impgal", "lb/UK gal"}},
		},
		refused: []refusal{
			{[]string{"lb/gal", "lbs/gal", "ppg"}, `the US and the imperial gallon differ by a fifth: write "lb/US gal" or "lb/imp gal"`},
			{[]string{"SG", "sg", "°Be", "Be", "API"}, `write a density such as "1.28 kg/L"`},
			{[]string{"kg/m3 of water", "kg/m3 of solution", "kg/L of water", "kg/L of solution", "lb/US gal of water", "lb/US gal of solution", "lb/imp gal of water", "lb/imp gal of solution"}, `that is a concentration; for a density leave out "of water" or "of solution"`},
		},
	},
	forceKind: {
		typ: "Force", noun: "a force", example: "12 kN",
		units: []unit{
			{symbol: "N", factor: float64(Newton), constant: "Newton", exact: "1", code: "NEW", names: []string{"newton", "newtons"}},
			{symbol: "kN", factor: float64(Kilonewton), constant: "Kilonewton", exact: "1000", code: "B47", names: []string{"kilonewton", "kilonewtons"}},
			{symbol: "daN", factor: float64(Decanewton), constant: "Decanewton", exact: "10", names: []string{"decanewton", "decanewtons"}},
			{symbol: "lbf", factor: float64(PoundForce), constant: "PoundForce", exact: defLbf, code: "C78", names: []string{"pound force", "pounds force"}},
			{symbol: "kgf", factor: float64(KilogramForce), constant: "KilogramForce", exact: "9.80665", code: "B37", names: []string{"kilogram force", "kp"}},
		},
		refused: []refusal{
			{[]string{"lb", "lbs", "lbm", "pound", "pounds"}, `{unit} is a mass; for a force write "lbf"`},
			{[]string{"kg", "kilogram", "kilograms"}, `{unit} is a mass; for a force write "kgf" or "N"`},
			{[]string{"t", "tonne", "tonnes", "ton", "tons", "short ton", "long ton", "g", "oz"}, `{unit} is a mass; for a force write "kN" or "lbf"`},
		},
	},
	momentKind: {
		typ: "Moment", noun: "a moment of force", example: "95 N m",
		units: []unit{
			{symbol: "N m", factor: float64(NewtonMeter), constant: "NewtonMeter", exact: "1", code: "NU", names: []string{"Nm", "newton meter", "newton meters"}},
			{symbol: "kN m", factor: float64(KilonewtonMeter), constant: "KilonewtonMeter", exact: "1000", code: "B48", names: []string{"kNm"}},
			{symbol: "lbf ft", factor: float64(PoundForceFoot), constant: "PoundForceFoot", exact: defLbf + "*0.3048", code: "M92", names: []string{"ft lbf", "foot pound force", "pound force foot"}},
			{symbol: "lbf in", factor: float64(PoundForceInch), constant: "PoundForceInch", exact: defLbf + "*0.0254", code: "F22", names: []string{"in lbf", "inch pound force", "pound force inch"}},
			{symbol: "kgf m", factor: float64(KilogramForceMeter), constant: "KilogramForceMeter", exact: "9.80665", code: "B38", names: []string{"m kgf"}},
		},
		refused: []refusal{
			{[]string{"lb ft", "ft lb", "ft lbs", "lbs ft", "lbft", "ftlb"}, `"lb" is a mass; for a moment of force write "lbf ft"`},
			{[]string{"lb in", "in lb", "in lbs", "lbs in"}, `"lb" is a mass; for a moment of force write "lbf in"`},
			{[]string{"kg m", "kgm"}, `"kg" is a mass; for a moment of force write "kgf m" or "N m"`},
			{[]string{"J", "kJ"}, `{unit} is a unit of energy; for a moment of force write "N m"`},
		},
	},
	stiffnessKind: {
		typ: "Stiffness", noun: "a stiffness", example: "350 N/mm",
		units: []unit{
			{symbol: "N/m", factor: float64(NewtonPerMeter), constant: "NewtonPerMeter", exact: "1", code: "4P"},
			{symbol: "kN/m", factor: float64(KilonewtonPerMeter), constant: "KilonewtonPerMeter", exact: "1000", code: "B31"},
			{symbol: "N/mm", factor: float64(NewtonPerMillimeter), constant: "NewtonPerMillimeter", exact: "1000", code: "F47"},
			{symbol: "lbf/in", factor: float64(PoundForcePerInch), constant: "PoundForcePerInch", exact: defLbf + "/0.0254", code: "F48"},
		},
		refused: []refusal{
			{[]string{"lb/in", "lbs/in"}, `"lb" is a mass; for a stiffness write "lbf/in"`},
			{[]string{"kg/mm", "kg/cm", "kg/m"}, `"kg" is a mass; for a stiffness write "N/mm"`},
		},
	},
	pressureKind: {
		typ: "Pressure", noun: "a pressure difference", example: "14 psi",
		units: []unit{
			{symbol: "Pa", factor: float64(Pascal), constant: "Pascal", exact: "1", code: "PAL", names: []string{"pascal", "pascals"}},
			{symbol: "kPa", factor: float64(Kilopascal), constant: "Kilopascal", exact: "1000", code: "KPA", names: []string{"kilopascal", "kilopascals"}},
			{symbol: "MPa", factor: float64(Megapascal), constant: "Megapascal", exact: "1000000", code: "MPA", names: []string{"megapascal", "megapascals"}},
			{symbol: "bar", factor: float64(Bar), constant: "Bar", exact: "100000", code: "BAR", names: []string{"bars"}},
			{symbol: "psi", factor: float64(PSI), constant: "PSI", exact: defPSI, code: "PS", names: []string{"PSI", "lbf/in2", "lbf/sq in"}},
		},
		refused: []refusal{
			{gaugeNames, "a pressure difference is neither gauge nor absolute: write the unit alone, such as \"kPa\", \"bar\" or \"psi\""},
			{absoluteNames, "a pressure difference is neither gauge nor absolute: write the unit alone, such as \"kPa\", \"bar\" or \"psi\""},
			{[]string{"kg/cm2", "kgf/cm2", "at", "atm"}, `write "bar" or "kPa"`},
			{[]string{"N", "kN", "lbf"}, `{unit} is a unit of force; for a pressure write "kPa" or "psi"`},
		},
	},
	gaugePressureKind: {
		typ: "GaugePressure", noun: "a gauge pressure", example: "23 psi gauge",
		units: []unit{
			{symbol: "Pa gauge", factor: float64(GaugePascal), constant: "GaugePascal", exact: "1", code: "PAL", names: []string{"Pa(g)", "Pag"}},
			{symbol: "kPa gauge", factor: float64(GaugeKilopascal), constant: "GaugeKilopascal", exact: "1000", code: "KPA", names: []string{"kPa(g)", "kPag"}},
			{symbol: "MPa gauge", factor: float64(GaugeMegapascal), constant: "GaugeMegapascal", exact: "1000000", code: "MPA", names: []string{"MPa(g)", "MPag"}},
			{symbol: "bar gauge", factor: float64(GaugeBar), constant: "GaugeBar", exact: "100000", code: "BAR", names: []string{"bar(g)", "barg"}},
			{symbol: "psi gauge", factor: float64(GaugePSI), constant: "GaugePSI", exact: defPSI, code: "PS", names: []string{"psi(g)", "psig", "PSIG"}},
		},
		refused: []refusal{
			{[]string{"Pa", "kPa", "MPa", "bar", "psi", "PSI", "bars"}, `say whether the pressure is gauge or absolute; here it must be gauge: write "kPa gauge", "bar gauge" or "psi gauge" ("psig")`},
			{absoluteNames, `this must be a gauge pressure: write "kPa gauge", "bar gauge" or "psi gauge"`},
			{[]string{"kg/cm2", "kgf/cm2", "at", "atm"}, `write "bar gauge" or "kPa gauge"`},
		},
	},
	absolutePressureKind: {
		typ: "AbsolutePressure", noun: "an absolute pressure", example: "101.325 kPa absolute",
		units: []unit{
			{symbol: "Pa absolute", factor: float64(AbsolutePascal), constant: "AbsolutePascal", exact: "1", code: "PAL", names: []string{"Pa(a)", "Pa abs", "Paa"}},
			{symbol: "hPa absolute", factor: float64(AbsoluteHectopascal), constant: "AbsoluteHectopascal", exact: "100", code: "A97", names: []string{"hPa(a)", "hPa abs"}},
			{symbol: "kPa absolute", factor: float64(AbsoluteKilopascal), constant: "AbsoluteKilopascal", exact: "1000", code: "KPA", names: []string{"kPa(a)", "kPa abs", "kPaa"}},
			{symbol: "bar absolute", factor: float64(AbsoluteBar), constant: "AbsoluteBar", exact: "100000", code: "BAR", names: []string{"bar(a)", "bar abs", "bara"}},
			{symbol: "psi absolute", factor: float64(AbsolutePSI), constant: "AbsolutePSI", exact: defPSI, code: "PS", names: []string{"psi(a)", "psi abs", "psia", "PSIA"}},
			{symbol: "atm", factor: float64(StandardAtmosphere), constant: "StandardAtmosphere", exact: "101325", code: "ATM", names: []string{"atmosphere", "atmospheres"}},
		},
		refused: []refusal{
			{[]string{"Pa", "hPa", "kPa", "MPa", "bar", "mbar", "psi", "PSI", "bars"}, `say whether the pressure is gauge or absolute; here it must be absolute: write "kPa absolute", "bar absolute" or "psi absolute" ("psia")`},
			{gaugeNames, `this must be an absolute pressure: write "kPa absolute", "bar absolute" or "psi absolute"`},
			{[]string{"inHg", "mmHg", "torr"}, `write "hPa absolute" or "kPa absolute"`},
		},
	},
	angleKind: {
		typ: "Angle", noun: "an angle", example: "12.5 deg",
		units: []unit{
			{symbol: "rad", factor: float64(Radian), constant: "Radian", exact: "1", code: "C81", names: []string{"radian", "radians"}},
			{symbol: "deg", factor: float64(Degree), constant: "Degree", exact: "pi/180", code: "DD", chain: 3600, names: []string{"°", "degree", "degrees"}},
			{symbol: "arcmin", factor: float64(ArcMinute), constant: "ArcMinute", exact: "pi/10800", code: "D61", chain: 60, names: []string{"'", "minute of arc", "minutes of arc"}},
			{symbol: "arcsec", factor: float64(ArcSecond), constant: "ArcSecond", exact: "pi/648000", code: "D62", chain: 1, names: []string{`"`, "second of arc", "seconds of arc"}},
			{symbol: "turn", factor: float64(Turn), constant: "Turn", exact: "2*pi", code: "M44", names: []string{"turns"}},
		},
		refused: []refusal{
			{[]string{"%"}, `a percent grade is a slope, not an angle: write "deg"`},
			{[]string{"grad", "gon", "grd"}, `write "deg"`},
			{[]string{"min", "sec"}, `write "arcmin" or "arcsec"`},
		},
	},
	slopeKind: {
		typ: "Slope", noun: "a slope", example: `21 %`, ratio: true,
		units: []unit{
			{symbol: "rad", factor: 1, constant: "Radian.Slope", exact: "1", code: "C81", names: []string{"radian", "radians"}},
			{symbol: "deg", factor: float64(Degree), constant: "Degree.Slope", exact: "pi/180", code: "DD", names: []string{"°", "degree", "degrees"}},
			{symbol: "%", constant: "Grade", exact: "arctan(1/100)", form: percent, code: "P1", names: []string{"percent", "% grade", "percent grade"}},
		},
	},
	temperatureKind: {
		typ: "Temperature", noun: "a temperature", example: "-5 degC",
		units: []unit{
			{symbol: "K", factor: 1, constant: "Kelvin", exact: "1", code: "KEL", names: []string{"kelvin", "kelvins"}},
			{symbol: "degC", factor: 1, constant: "Celsius", exact: "1", form: celsius, code: "CEL", names: []string{"°C", "C", "deg C", "degree Celsius", "degrees Celsius", "Celsius"}},
			{symbol: "degF", factor: 5.0 / 9, constant: "Fahrenheit", exact: "5/9", form: fahrenheit, code: "FAH", names: []string{"°F", "F", "deg F", "degree Fahrenheit", "degrees Fahrenheit", "Fahrenheit"}},
		},
		refused: []refusal{
			{[]string{"deg", "°", "degrees", "degree"}, `say which degrees: write "degC", "degF" or "K"`},
			{[]string{"°K", "degK"}, `write "K"`},
		},
	},
	temperatureDifferenceKind: {
		typ: "TemperatureDifference", noun: "a temperature difference", example: "5 K",
		units: []unit{
			{symbol: "K", factor: float64(KelvinDifference), constant: "KelvinDifference", exact: "1", code: "KEL", names: []string{"kelvin", "kelvins"}},
			{symbol: "degC", factor: float64(CelsiusDifference), constant: "CelsiusDifference", exact: "1", code: "CEL", names: []string{"°C", "C", "deg C", "degree Celsius", "degrees Celsius"}},
			{symbol: "degF", factor: float64(FahrenheitDifference), constant: "FahrenheitDifference", exact: "5/9", code: "FAH", names: []string{"°F", "F", "deg F", "degree Fahrenheit", "degrees Fahrenheit"}},
		},
		refused: []refusal{
			{[]string{"deg", "°", "degrees", "degree"}, `say which degrees: write "degC", "degF" or "K"`},
		},
	},
	durationKind: {
		typ: "Duration", noun: "a span of time", example: "2.5 s",
		units: []unit{
			{symbol: "s", factor: float64(Second), constant: "Second", exact: "1", code: "SEC", chain: 1, names: []string{"sec", "second", "seconds"}},
			{symbol: "min", factor: float64(Minute), constant: "Minute", exact: "60", code: "MIN", chain: 60, names: []string{"minute", "minutes"}},
			{symbol: "h", factor: float64(Hour), constant: "Hour", exact: "3600", code: "HUR", chain: 3600, names: []string{"hr", "hour", "hours"}},
		},
		refused: []refusal{
			{[]string{"m"}, `"m" is the meter; write "min" for minutes`},
		},
	},
	speedKind: {
		typ: "Speed", noun: "a speed", example: "8 km/h",
		units: []unit{
			{symbol: "m/s", factor: float64(MeterPerSecond), constant: "MeterPerSecond", exact: "1", code: "MTS"},
			{symbol: "km/h", factor: float64(KilometerPerHour), constant: "KilometerPerHour", exact: "1/3.6", code: "KMH", names: []string{"kph", "kmh", "km/hr"}},
			{symbol: "mph", factor: float64(MilePerHour), constant: "MilePerHour", exact: "0.44704", code: "HM", names: []string{"mi/h", "MPH"}},
			{symbol: "ft/s", factor: float64(FootPerSecond), constant: "FootPerSecond", exact: "0.3048", code: "FS", names: []string{"fps"}},
		},
	},
	accelerationKind: {
		typ: "Acceleration", noun: "an acceleration", example: "9.81 m/s2",
		units: []unit{
			{symbol: "m/s2", factor: float64(MeterPerSecondSquared), constant: "MeterPerSecondSquared", exact: "1", code: "MSK"},
			{symbol: "ft/s2", factor: float64(FootPerSecondSquared), constant: "FootPerSecondSquared", exact: "0.3048", code: "A73"},
			{symbol: "g0", factor: float64(StandardGravity), constant: "StandardGravity", exact: "9.80665", code: "K40", names: []string{"gn", "standard gravity"}},
		},
		refused: []refusal{
			{[]string{"g", "G"}, `"g" is the gram; for the standard acceleration of free fall write "g0"`},
		},
	},
	powerKind: {
		typ: "Power", noun: "a power", example: "75 kW",
		units: []unit{
			{symbol: "W", factor: float64(Watt), constant: "Watt", exact: "1", code: "WTT", names: []string{"watt", "watts"}},
			{symbol: "kW", factor: float64(Kilowatt), constant: "Kilowatt", exact: "1000", code: "KWT", names: []string{"kilowatt", "kilowatts"}},
			{symbol: "mechanical hp", factor: float64(MechanicalHorsepower), constant: "MechanicalHorsepower", exact: "550*0.3048*" + defLbf, code: "BHP", names: []string{"mechanical horsepower", "hp(mechanical)", "hp (mechanical)"}},
			{symbol: "metric hp", factor: float64(MetricHorsepower), constant: "MetricHorsepower", exact: "75*9.80665", code: "HJ", names: []string{"PS", "metric horsepower", "hp(metric)", "hp (metric)"}},
		},
		refused: []refusal{
			{[]string{"hp", "HP", "bhp", "horsepower", "cv", "CV", "ch", "pk"}, `several powers are called horsepower: write "kW", "mechanical hp" (550 ft lbf/s) or "metric hp" (75 kgf m/s)`},
		},
	},
	energyKind: {
		typ: "Energy", noun: "an energy", example: "12 kJ",
		units: []unit{
			{symbol: "J", factor: float64(Joule), constant: "Joule", exact: "1", code: "JOU", names: []string{"joule", "joules"}},
			{symbol: "kJ", factor: float64(Kilojoule), constant: "Kilojoule", exact: "1000", code: "KJO", names: []string{"kilojoule", "kilojoules"}},
			{symbol: "ft lbf", factor: float64(FootPoundForce), constant: "FootPoundForce", exact: "0.3048*" + defLbf, code: "85", names: []string{"foot pound force", "lbf ft"}},
		},
		refused: []refusal{
			{[]string{"ft lb", "lb ft"}, `"lb" is a mass; for an energy write "ft lbf"`},
			{[]string{"N m", "Nm"}, `"N m" is written for a moment of force; for an energy write "J"`},
		},
	},
	massPerPowerKind: {
		typ: "MassPerPower", noun: "a mass per power", example: "65 kg/kW",
		units: []unit{
			{symbol: "kg/W", factor: float64(KilogramPerWatt), constant: "KilogramPerWatt", exact: "1"},
			{symbol: "kg/kW", factor: float64(KilogramPerKilowatt), constant: "KilogramPerKilowatt", exact: "0.001"},
			{symbol: "lb/mechanical hp", factor: float64(PoundPerMechanicalHorsepower), constant: "PoundPerMechanicalHorsepower", exact: "1/(550*0.3048*9.80665)"},
			{symbol: "kg/metric hp", factor: float64(KilogramPerMetricHorsepower), constant: "KilogramPerMetricHorsepower", exact: "1/(75*9.80665)", names: []string{"kg/PS"}},
		},
		refused: []refusal{
			{[]string{"lb/hp", "kg/hp"}, `several powers are called horsepower: write "kg/kW", "lb/mechanical hp" or "kg/metric hp"`},
		},
	},
	fractionKind: {
		typ: "Fraction", noun: "a share", example: "25 %", bare: true,
		units: []unit{
			{symbol: "", factor: float64(Whole), constant: "Whole", exact: "1", code: "C62"},
			{symbol: "%", factor: float64(Percent), constant: "Percent", exact: "0.01", code: "P1", names: []string{"percent"}},
		},
	},
	massFractionKind: {
		typ: "MassFraction", noun: "a mass fraction", example: "30 % by mass",
		units: []unit{
			{symbol: "kg/kg", factor: float64(KilogramPerKilogram), constant: "KilogramPerKilogram", exact: "1", code: "3H"},
			{symbol: "% by mass", factor: float64(MassPercent), constant: "MassPercent", exact: "0.01", code: "60", names: []string{"%m/m", "% m/m", "wt%", "wt %", "% by weight", "% w/w", "%w/w", "percent by mass"}},
		},
		refused: []refusal{
			{[]string{"%", "percent"}, `say that the percentage is by mass: write "% by mass"; a percentage by volume needs a density to convert`},
			{[]string{"% by volume", "vol%", "% v/v", "%v/v"}, `a percentage by volume needs a density to convert: write "% by mass"`},
			{[]string{"lb/gal", "lb/US gal", "kg/L", "kg/m3"}, `that is a mass per volume; for a mass fraction write "% by mass" or "kg/kg"`},
		},
	},
	massPerWaterKind: {
		typ: "MassPerWater", noun: "a mass per volume of water", example: "3.5 lb/US gal of water",
		units: []unit{
			{symbol: "kg/m3 of water", factor: float64(KilogramPerCubicMeterOfWater), constant: "KilogramPerCubicMeterOfWater", exact: "1"},
			{symbol: "kg/L of water", factor: float64(KilogramPerLiterOfWater), constant: "KilogramPerLiterOfWater", exact: "1000", names: []string{"kg/l of water"}},
			{symbol: "lb/US gal of water", factor: float64(PoundPerUSGallonOfWater), constant: "PoundPerUSGallonOfWater", exact: defPound + "/" + defUSGal, names: []string{"lb/USgal of water"}},
			{symbol: "lb/imp gal of water", factor: float64(PoundPerImperialGallonOfWater), constant: "PoundPerImperialGallonOfWater", exact: defPound + "/0.00454609", names: []string{"lb/impgal of water"}},
		},
		refused: []refusal{
			{[]string{"kg/m3", "kg/L", "kg/l", "lb/US gal", "lb/imp gal"}, wantOf + `water"`},
			{[]string{"lb/gal", "lb/gal of water"}, `the US and the imperial gallon differ by a fifth: write "lb/US gal of water" or "lb/imp gal of water"`},
			{[]string{"kg/m3 of solution", "kg/L of solution", "lb/US gal of solution", "lb/imp gal of solution"}, `the mass per volume of solution is another quantity; here it must be "of water"`},
		},
	},
	massPerSolutionKind: {
		typ: "MassPerSolution", noun: "a mass per volume of solution", example: "3.5 lb/US gal of solution",
		units: []unit{
			{symbol: "kg/m3 of solution", factor: float64(KilogramPerCubicMeterOfSolution), constant: "KilogramPerCubicMeterOfSolution", exact: "1"},
			{symbol: "kg/L of solution", factor: float64(KilogramPerLiterOfSolution), constant: "KilogramPerLiterOfSolution", exact: "1000", names: []string{"kg/l of solution"}},
			{symbol: "lb/US gal of solution", factor: float64(PoundPerUSGallonOfSolution), constant: "PoundPerUSGallonOfSolution", exact: defPound + "/" + defUSGal, names: []string{"lb/USgal of solution"}},
			{symbol: "lb/imp gal of solution", factor: float64(PoundPerImperialGallonOfSolution), constant: "PoundPerImperialGallonOfSolution", exact: defPound + "/0.00454609", names: []string{"lb/impgal of solution"}},
		},
		refused: []refusal{
			{[]string{"kg/m3", "kg/L", "kg/l", "lb/US gal", "lb/imp gal"}, wantOf + `solution"`},
			{[]string{"lb/gal", "lb/gal of solution"}, `the US and the imperial gallon differ by a fifth: write "lb/US gal of solution" or "lb/imp gal of solution"`},
			{[]string{"kg/m3 of water", "kg/L of water", "lb/US gal of water", "lb/imp gal of water"}, `the mass per volume of water is another quantity; here it must be "of solution"`},
		},
	},
}
