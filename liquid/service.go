package liquid

import (
	"strconv"

	"example.com/steelyard/units"
)

// LoadIndex is the load index of a tire's service description, 20 to 279;
// zero means that none was given.
type LoadIndex uint16

// The lowest and the highest load index that this package knows.
const (
	MinLoadIndex LoadIndex = 20
	MaxLoadIndex LoadIndex = 279

	firstListed, lastListed LoadIndex = 60, 180
)

// loadIndexKilograms holds the loads of the indices 60 to 180 in kilograms
// (ISO 4223-1 and ETRTO; two independent transcriptions agree). Beyond them the series goes on with ten times the
// load at 80 indices more, and below them with a tenth at 80 indices less (memory).
var loadIndexKilograms = [lastListed - firstListed + 1]uint16{
	250, 257, 265, 272, 280, 290, 300, 307, 315, 325,
	335, 345, 355, 365, 375, 387, 400, 412, 425, 437,
	450, 462, 475, 487, 500, 515, 530, 545, 560, 580,
	600, 615, 630, 650, 670, 690, 710, 730, 750, 775,
	800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030,
	1060, 1090, 1120, 1150, 1180, 1215, 1250, 1285, 1320, 1360,
	1400, 1450, 1500, 1550, 1600, 1650, 1700, 1750, 1800, 1850,
	1900, 1950, 2000, 2060, 2120, 2180, 2240, 2300, 2360, 2430,
	2500, 2575, 2650, 2725, 2800, 2900, 3000, 3075, 3150, 3250,
	3350, 3450, 3550, 3650, 3750, 3875, 4000, 4125, 4250, 4375,
	4500, 4625, 4750, 4875, 5000, 5150, 5300, 5450, 5600, 5800,
	6000, 6150, 6300, 6500, 6700, 6900, 7100, 7300, 7500, 7750,
	8000,
}

// Valid reports whether the index is known, 20 to 279.
func (i LoadIndex) Valid() bool { return i >= MinLoadIndex && i <= MaxLoadIndex }

// Mass returns the load that one tire of this index carries at the speed of
// its symbol and at the pressure that its maker gives (ISO 4223-1, ETRTO). It
// is zero, meaning unknown, if the index is not [LoadIndex.Valid].
func (i LoadIndex) Mass() units.Mass {
	if !i.Valid() {
		return 0
	}
	switch {
	case i > lastListed:
		return 10 * (i - 80).Mass()
	case i < firstListed:
		return (i + 80).Mass() / 10
	}
	return units.Mass(loadIndexKilograms[i-firstListed])
}

// SpeedSymbol is the speed symbol of a tire's service description. The zero
// value means that none was given. In JSON: the symbol as marked, such as
// "A8"; "" or left out is not given.
type SpeedSymbol uint8

// The speed symbols of ISO 4223-1 and ETRTO, in the order of their speeds:
// 5 km/h for A1, 5 more for each up to 40 for A8, 50 for B, 60 for C; see
// [SpeedSymbol.Speed].
const (
	SpeedUnknown SpeedSymbol = iota
	SpeedA1
	SpeedA2
	SpeedA3
	SpeedA4
	SpeedA5
	SpeedA6
	SpeedA7
	SpeedA8
	SpeedB
	SpeedC
	SpeedD
	SpeedE
	SpeedF
	SpeedG
	SpeedJ
	SpeedK
	SpeedL
	SpeedM
	SpeedN
	SpeedP
	SpeedQ
	SpeedR
	SpeedS
	SpeedT
	SpeedU
	SpeedH
	SpeedV
	SpeedW
	SpeedY
)

var speedSymbols = [...]struct {
	name string
	kmh  uint16
}{
	{"", 0}, {"A1", 5}, {"A2", 10}, {"A3", 15}, {"A4", 20}, {"A5", 25}, {"A6", 30}, {"A7", 35}, {"A8", 40},
	{"B", 50}, {"C", 60}, {"D", 65}, {"E", 70}, {"F", 80}, {"G", 90}, {"J", 100}, {"K", 110}, {"L", 120},
	{"M", 130}, {"N", 140}, {"P", 150}, {"Q", 160}, {"R", 170}, {"S", 180}, {"T", 190}, {"U", 200},
	{"H", 210}, {"V", 240}, {"W", 270}, {"Y", 300},
}

// Speed returns the reference speed of the symbol, zero if it is unknown.
func (s SpeedSymbol) Speed() units.Speed {
	if int(s) >= len(speedSymbols) {
		return 0
	}
	return units.Speed(speedSymbols[s].kmh) * units.KilometerPerHour
}

// String returns the symbol as it is marked on the tire, empty if unknown.
func (s SpeedSymbol) String() string {
	if int(s) >= len(speedSymbols) {
		return "SpeedSymbol(" + strconv.Itoa(int(s)) + ")"
	}
	return speedSymbols[s].name
}

// MarshalText returns the symbol as it is marked on the tire.
func (s SpeedSymbol) MarshalText() ([]byte, error) {
	if int(s) >= len(speedSymbols) {
		return nil, units.NewFieldError("", uint8(s), "must be a speed symbol from A1 to A8, B to H or J to Y")
	}
	return []byte(s.String()), nil
}

// UnmarshalText reads a symbol such as "A8"; empty text means unknown.
func (s *SpeedSymbol) UnmarshalText(text []byte) error {
	for i, x := range speedSymbols {
		if x.name == string(text) {
			*s = SpeedSymbol(i)
			return nil
		}
	}
	return units.NewFieldError("", string(text), "must be a speed symbol from A1 to A8, B to H or J to Y")
}

// Service is one service description: the load index and the speed symbol at
// which it holds, such as 129A8. The zero value means that none was given.
type Service struct {
	// Index is the load index.
	Index LoadIndex `json:"index,omitempty"`
	// Symbol is the speed symbol.
	Symbol SpeedSymbol `json:"symbol,omitempty"`
}

// String returns the description as it is marked, such as "129A8".
func (s Service) String() string {
	if s == (Service{}) {
		return ""
	}
	return strconv.Itoa(int(s.Index)) + s.Symbol.String()
}

// Allowances of ISO 7867-2:2018 (as read in an excerpt) over the load of the
// service description, for front tires of a loader in cyclic service and for
// cyclic field haulage. They hold only if all conditions are met; whoever
// applies them confirms that.
const (
	// LoaderServiceFactor multiplies the basic load. It holds up to
	// LoaderServiceSpeed and LoaderServiceDistance, with LoaderServicePressure
	// added and at low torque.
	LoaderServiceFactor units.Fraction = 1.40
	// LoaderServicePressure is added to the basic pressure.
	LoaderServicePressure units.Pressure = 80 * units.Kilopascal
	// LoaderServiceSpeed is the highest speed of the allowance.
	LoaderServiceSpeed units.Speed = 10 * units.KilometerPerHour
	// LoaderServiceDistance is the longest haul of the allowance.
	LoaderServiceDistance units.Length = 1 * units.Kilometer
	// FieldHaulFreeFactor multiplies the reference load of a free-rolling
	// wheel in cyclic field haulage on A6 or A8 tires.
	FieldHaulFreeFactor units.Fraction = 1.20
	// FieldHaulDriveFactor multiplies the reference load of a driven wheel in
	// cyclic field haulage on A6 or A8 tires.
	FieldHaulDriveFactor units.Fraction = 1.43
	// FieldHaulPressureFactor is the least factor by which the pressure is
	// raised for either of the two.
	FieldHaulPressureFactor units.Fraction = 1.20
)
