package liquid

import (
	"fmt"
	"strconv"
	"strings"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/units"
)

// SizeSystem is the way in which a tire size is written. In JSON: "numeric",
// "metric" or "flotation"; "unknown" or left out is not given.
type SizeSystem uint8

// The ways to write a tire size.
const (
	// SystemUnknown is the zero value: no size was given.
	SystemUnknown SizeSystem = iota
	// Numeric sizes give the section width and the rim diameter in inches:
	// 14.9-24, 7.50-16, 16.9R30, 17.5L-24. Some also give the aspect ratio in
	// percent: 12.5/80-18.
	Numeric
	// Metric sizes give the section width in millimeters, the aspect ratio
	// in percent and the rim diameter in inches: 320/85R24. Tires of cars and vans that mark
	// no aspect ratio, 195R14, have 82 (memory).
	Metric
	// Flotation sizes give the overall diameter, the section width and the
	// rim diameter in inches: 31x15.50-15.
	Flotation
)

var systemNames = []string{"unknown", "numeric", "metric", "flotation"}

// Construction is how the plies of a tire's carcass run. In JSON: "bias",
// "radial" or "biasBelted"; "unknown" or left out is not given.
type Construction uint8

// The constructions of a carcass.
const (
	// ConstructionUnknown is the zero value.
	ConstructionUnknown Construction = iota
	// Bias plies cross at an angle; marked with a hyphen.
	Bias
	// Radial plies run from bead to bead; marked R.
	Radial
	// BiasBelted carcasses are bias with a belt; marked B.
	BiasBelted
)

var constructionNames = []string{"unknown", "bias", "radial", "biasBelted"}

// Flexion is the mark of a tire that carries more than the standard tire of its
// size at the same pressure. In JSON: "IF" or "VF"; "" or left out is the
// standard tire.
type Flexion uint8

// The marks of flexion.
const (
	// FlexionStandard has no mark.
	FlexionStandard Flexion = iota
	// FlexionIF is improved flexion: 20 % more load at the same pressure
	// (memory).
	FlexionIF
	// FlexionVF is very high flexion: 40 % more load at the same pressure
	// (memory).
	FlexionVF
)

var flexionNames = []string{"", "IF", "VF"}

// Tread is the tread code of the Tire and Rim Association, which states the use
// and the tread (from memory; ISO 4251-4 has the same codes). In JSON, with or
// without the hyphen: "R-1", "R-1W", "R-2", "R-3", "R-4", "F-1", "F-2",
// "F-2M", "F-3", "I-1", "I-2", "I-3", "G-1", "G-2", "HF-1", "HF-2", "HF-3",
// "HF-4", "G-3", "G-4", "E-1", "E-2", "E-3", "E-4", "E-7", "L-2", "L-3", "L-4",
// "L-5", "LS-1", "LS-2", "LS-3", "C-1", "C-2", "L-3S", "L-4S" or "L-5S"; "unknown" or left out is not given.
type Tread uint8

// The tread codes; the zero value means that none was given. R is for drive
// wheels (R-1 regular, R-1W for wet soil, R-2 deep, R-3 shallow, R-4
// industrial), F for steered wheels (F-1 with one rib, F-2 and F-2M with
// several, F-3 industrial), I for implements (I-1 ribbed, I-2 and I-3 with
// more traction), G for garden tractors and graders, HF for high flotation, where a
// higher number means a deeper tread, E for earthmovers on the road, L for loaders and
// dozers (both: 2 traction, 3 rock, 4 deep, 5 extra deep, 7 flotation; S smooth), LS for log
// skidders, C for compactors (all from memory).
const (
	TreadUnknown Tread = iota
	TreadR1
	TreadR1W
	TreadR2
	TreadR3
	TreadR4
	TreadF1
	TreadF2
	TreadF2M
	TreadF3
	TreadI1
	TreadI2
	TreadI3
	TreadG1
	TreadG2
	TreadHF1
	TreadHF2
	TreadHF3
	TreadHF4
	TreadG3
	TreadG4
	TreadE1
	TreadE2
	TreadE3
	TreadE4
	TreadE7
	TreadL2
	TreadL3
	TreadL4
	TreadL5
	TreadLS1
	TreadLS2
	TreadLS3
	TreadC1
	TreadC2
	TreadL3S
	TreadL4S
	TreadL5S
)

var treadNames = []string{"unknown", "R-1", "R-1W", "R-2", "R-3", "R-4", "F-1", "F-2", "F-2M", "F-3", "I-1", "I-2", "I-3", "G-1", "G-2",
	"HF-1", "HF-2", "HF-3", "HF-4", "G-3", "G-4", "E-1", "E-2", "E-3", "E-4", "E-7", "L-2", "L-3", "L-4", "L-5", "LS-1", "LS-2", "LS-3", "C-1", "C-2", "L-3S", "L-4S", "L-5S"}

// TireType is the mark of the vehicles for which a tire of this size is made, which the size
// may share with other tires of deeper treads. In JSON it is part of the designation.
type TireType uint8

// The marks of a type (memory).
const (
	// TypeUnknown has no mark.
	TypeUnknown TireType = iota
	// TypePassenger is P, for cars: P205/75R15.
	TypePassenger
	// TypeLightTruck is LT, for light trucks: LT235/75R15.
	TypeLightTruck
	// TypeTrailer is ST, for special trailers: ST205/75R15.
	TypeTrailer
	// TypeATV is AT, for all-terrain vehicles: AT25x8-12.
	TypeATV
	// TypeCommercial is C after the rim, for vans: 195R14C.
	TypeCommercial
	// TypeImplement is IMP after the size, for implements: 400/60-15.5 IMP.
	TypeImplement
	// TypeMultiPurpose is MPT after the size, for vehicles on road and field:
	// 335/80R20 MPT.
	TypeMultiPurpose
	// TypeTemporary is T before a metric size, for spare wheels of temporary use:
	// T125/80D16.
	TypeTemporary
)

// typeNames are the marks in the order of the constants.
var typeNames = []string{"", "P", "LT", "ST", "AT", "C", "IMP", "MPT", "T"}

// String returns the mark, such as "ST", empty if there is none.
func (t TireType) String() string { return choice.Name("TireType", typeNames, t) }

// String returns the code, such as "R-1W", empty if unknown.
func (t Tread) String() string { return choice.Name("Tread", treadNames, t) }

// MarshalText returns the code.
func (t Tread) MarshalText() ([]byte, error) { return choice.Marshal(treadNames, t) }

// UnmarshalText reads a code, with or without its hyphen.
func (t *Tread) UnmarshalText(b []byte) error {
	if c, ok := treadOf(strings.ToUpper(string(b))); ok {
		*t = c
		return nil
	}
	return choice.Unmarshal(treadNames, b, t)
}

func treadOf(s string) (Tread, bool) {
	for i, n := range treadNames {
		if i > 0 && (s == n || s == strings.Replace(n, "-", "", 1)) {
			return Tread(i), true
		}
	}
	return 0, false
}

// Designation is a tire's size and service description as marked on it. Two
// designations are equal with == if every mark is; see [Designation.SameSize].
// The zero value means that none was given.
type Designation struct {
	// System is how the size is written.
	System SizeSystem
	// Width is the section width as written, in hundredths of an inch for
	// numeric and flotation sizes, in millimeters for metric ones.
	Width uint16
	// Overall is the overall diameter of a flotation size in hundredths of an
	// inch, else zero.
	Overall uint16
	// Aspect is the section height in percent of the width, for metric sizes
	// and for the numeric sizes that have it; else zero.
	Aspect uint8
	// Low is the L of a numeric low-section size.
	Low bool
	// ExtraLow is the LL of a flotation size, as in 41x18LL-22.5.
	ExtraLow bool
	// Decimals is how many decimals the width is written with.
	Decimals uint8
	// OverallDecimals is how many decimals the overall diameter is written
	// with.
	OverallDecimals uint8
	// Rim is the nominal rim diameter in tenths of an inch.
	Rim uint16
	// Construction is how the plies run.
	Construction Construction
	// Flexion is the mark IF or VF, if any.
	Flexion Flexion
	// CyclicField is the mark CFO, for cyclic field operation.
	CyclicField bool
	// Service holds the service description and, for a double marking, the
	// additional one.
	Service [2]Service
	// PlyRating is the ply rating, an index of strength and not a count of
	// plies; zero if none is given.
	PlyRating uint8
	// Tread is the tread code, zero if none is given.
	Tread Tread
	// Type is the mark of the type, if any.
	Type TireType
}

const serviceWant = "must be a load index from 20 to 279 and a speed symbol, such as 129A8"

func parseService(s string) (Service, error) {
	n, _, rest, ok := number(s, 0)
	if !ok || n > int(MaxLoadIndex) || n < int(MinLoadIndex) {
		return Service{}, units.NewFieldError("service.index", s, serviceWant)
	}
	var sym SpeedSymbol
	if rest == "" || sym.UnmarshalText([]byte(rest)) != nil {
		return Service{}, units.NewFieldError("service.symbol", s, "must end in a speed symbol from A1 to A8, B to H or J to Y")
	}
	return Service{LoadIndex(n), sym}, nil
}

// Validate reports every part that is out of range, by its name. Sizes that nobody makes are
// out of range as well, because they are old names or slips of the pen that would give the
// wrong shape: 14-30 (now 16.9-30), 9.0-16 (9.00-16), 24-14.9, 28.1-26 (28L-26). The error
// names the sizes that may be meant.
func (d Designation) Validate() error {
	var e units.FieldErrors
	in := func(part string, v uint16, lo, hi uint16, unit float64, want string) {
		if v < lo || v > hi {
			e.Add(part, float64(v)/unit, want)
		}
	}
	switch d.System {
	case Numeric:
		in("width", d.Width, 250, 5000, 100, "must be a section width from 2.5 to 50 inches")
		if d.Aspect != 0 {
			in("aspect", uint16(d.Aspect), 25, 110, 1, "must be an aspect ratio from 25 to 110 percent")
			if d.Low || d.Width > 2500 {
				e.Add("aspect", d.Aspect, "must be given only with a width in inches up to 25 that has no L")
			}
		}
		if d.Overall != 0 || d.ExtraLow {
			e.Add("system", d.System, "must have no overall diameter and no LL")
		}
	case Metric:
		in("width", d.Width, 80, 1400, 1, "must be a section width from 80 to 1400 millimeters")
		in("aspect", uint16(d.Aspect), 25, 110, 1, "must be an aspect ratio from 25 to 110 percent")
		if d.Overall != 0 || d.Low || d.ExtraLow {
			e.Add("system", d.System, "must have no overall diameter, no L and no LL")
		}
	case Flotation:
		in("width", d.Width, 300, 8000, 100, "must be a section width from 3 to 80 inches")
		if d.Width > d.Overall {
			e.Add("width", float64(d.Width)/100, "must be at most the overall diameter")
		}
		in("overall", d.Overall, 800, 10000, 100, "must be an overall diameter from 8 to 100 inches")
		if int(d.Overall) < int(d.Rim)*10+400 {
			e.Add("overall", float64(d.Overall)/100, "must exceed the rim diameter by at least 4 inches")
		}
		if d.Aspect != 0 || d.Low {
			e.Add("system", d.System, "must have no aspect ratio and no L")
		}
	default:
		e.Add("system", d.System, "must be numeric, metric or flotation")
	}
	in("rim", d.Rim, 40, 600, 10, "must be a rim diameter from 4 to 60 inches")
	if d.Construction == ConstructionUnknown || int(d.Construction) >= len(constructionNames) {
		e.Add("construction", d.Construction, "must be bias, radial or bias-belted")
	}
	if int(d.Flexion) >= len(flexionNames) {
		e.Add("flexion", d.Flexion, "must be IF, VF or none")
	}
	if int(d.Tread) >= len(treadNames) {
		e.Add("tread", d.Tread, "must be a tread code such as R-1")
	}
	if int(d.Type) >= len(typeNames) {
		e.Add("type", uint8(d.Type), "must be P, LT, ST, AT, C, IMP, MPT, T or none")
	}
	if d.Type == TypeTemporary && d.System != Metric {
		e.Add("type", d.Type.String(), "must be left out unless the width is in millimeters")
	}
	if d.Decimals > 2 || d.OverallDecimals > 2 {
		e.Add("width", nil, "must be written with at most 2 decimals")
	}
	for i, s := range d.Service {
		if s != (Service{}) && (!s.Index.Valid() || s.Symbol == SpeedUnknown || int(s.Symbol) >= len(speedSymbols)) {
			e.Add(units.Index("service", i), nil, serviceWant)
		}
	}
	if d.Service[0] == (Service{}) && d.Service[1] != (Service{}) {
		e.Add("service[0]", nil, "must be given before the additional one")
	}
	if e.Len() == 0 {
		d.shapeMade(&e)
	}
	return e.Err()
}

// SameSize reports whether two designations name the same size and the same
// construction. The decimals written and the marks after the size do not matter.
func (d Designation) SameSize(o Designation) bool {
	return d.System == o.System && d.Width == o.Width && d.Overall == o.Overall && d.Aspect == o.Aspect &&
		d.Low == o.Low && d.ExtraLow == o.ExtraLow && d.Rim == o.Rim && d.Construction == o.Construction
}

// Size returns the size alone, such as "14.9-24".
func (d Designation) Size() string {
	if d.System == SystemUnknown {
		return ""
	}
	var b strings.Builder
	switch d.System {
	case Flotation:
		b.WriteString(hundredths(d.Overall, d.OverallDecimals))
		b.WriteByte('x')
		b.WriteString(hundredths(d.Width, d.Decimals))
		if d.ExtraLow {
			b.WriteString("LL")
		}
	case Metric:
		b.WriteString(strconv.Itoa(int(d.Width)))
		if d.Aspect != unmarkedAspect && d.Aspect != unmarkedIndustrial {
			fmt.Fprintf(&b, "/%d", d.Aspect)
		}
	default:
		b.WriteString(hundredths(d.Width, d.Decimals))
		if d.Low {
			b.WriteByte('L')
		}
		if d.Aspect != 0 {
			fmt.Fprintf(&b, "/%d", d.Aspect)
		}
	}
	switch d.Construction {
	case Radial:
		b.WriteByte('R')
	case BiasBelted:
		b.WriteByte('B')
	default:
		b.WriteByte('-')
	}
	b.WriteString(strconv.FormatFloat(float64(d.Rim)/10, 'f', -1, 64))
	return b.String()
}

func hundredths(v uint16, decimals uint8) string {
	n := strconv.FormatFloat(float64(v)/100, 'f', -1, 64)
	f := strconv.FormatFloat(float64(v)/100, 'f', int(min(decimals, 2)), 64)
	if len(n) > len(f) {
		return n // never drop a digit that matters
	}
	return f
}

// String returns the designation in the order of the standards: flexion mark,
// type, size, CFO, service descriptions, ply rating, tread code; of the types IMP
// and MPT stand last, C at the rim, and so LT of sizes in inches.
// [ParseDesignation] reads it back.
func (d Designation) String() string {
	if d.System == SystemUnknown {
		return ""
	}
	var parts []string
	if d.Flexion != FlexionStandard {
		parts = append(parts, d.Flexion.String())
	}
	size := d.Size()
	switch d.Type {
	case TypePassenger, TypeTrailer, TypeATV, TypeTemporary:
		size = d.Type.String() + size
	case TypeLightTruck:
		if d.System == Metric {
			size = d.Type.String() + size
		} else {
			size += d.Type.String()
		}
	case TypeCommercial:
		size += d.Type.String()
	}
	parts = append(parts, size)
	if d.CyclicField {
		parts = append(parts, "CFO")
	}
	if d.Service[0] != (Service{}) {
		s := d.Service[0].String()
		if d.Service[1] != (Service{}) {
			s += "/" + d.Service[1].String()
		}
		parts = append(parts, s)
	}
	if d.PlyRating != 0 {
		parts = append(parts, strconv.Itoa(int(d.PlyRating))+"PR")
	}
	if d.Tread != TreadUnknown {
		parts = append(parts, d.Tread.String())
	}
	if d.Type == TypeImplement || d.Type == TypeMultiPurpose {
		parts = append(parts, d.Type.String())
	}
	return strings.Join(parts, " ")
}

// MarshalText returns the designation as String does.
func (d Designation) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads a designation as [ParseDesignation] does; empty text
// means none.
func (d *Designation) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*d = Designation{}
		return nil
	}
	x, err := ParseDesignation(string(text))
	if err != nil {
		return err
	}
	*d = x
	return nil
}
