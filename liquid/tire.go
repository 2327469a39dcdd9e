package liquid

import (
	"math"
	"slices"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Origin says where a dimension came from. In JSON: "measured",
// "designation", "table", "default" or "corrected"; "unknown" or left out is not
// given.
type Origin uint8

// Where a dimension may come from.
const (
	// OriginUnknown is the zero value: the dimension is found from the
	// designation.
	OriginUnknown Origin = iota
	// Measured dimensions were taken from the tire or its maker's data.
	Measured
	// FromDesignation dimensions follow from the designation by its rule.
	FromDesignation
	// FromTable dimensions come from the built-in table, which was written
	// from memory of the standards.
	FromTable
	// ByDefault dimensions are estimates from the size and the tread code.
	ByDefault
	// Corrected dimensions follow from fills that somebody measured; see
	// [Tire.Calibrate].
	Corrected
)

var originNames = []string{"unknown", "measured", "designation", "table", "default", "corrected"}

// Dimension is a length with its origin and its spread. The zero value is "not
// given".
type Dimension struct {
	// Value is the length itself.
	Value units.Length `json:"value"`
	// Spread is the half width of the band: the true value is taken to lie
	// from Value - Spread to Value + Spread. It is 0 to half of Value.
	Spread units.Length `json:"spread,omitempty" zero:"value"`
	// Origin says where Value came from.
	Origin Origin `json:"origin,omitempty"`
	// Moved is, of a corrected dimension, by how much measured fills moved Value from the
	// middle of its band, at most Spread either way. The band stays where it was: from
	// Value - Moved - Spread to Value - Moved + Spread.
	Moved units.Length `json:"moved,omitempty"`
}

// middle returns the middle of the band.
func (d *Dimension) middle() units.Length { return d.Value - d.Moved }

// Measure returns a measured dimension.
func Measure(value, spread units.Length) Dimension {
	return Dimension{Value: value, Spread: spread, Origin: Measured}
}

// Tire is a tire on its rim, described by the dimensions of the new, inflated
// and unloaded tire. A dimension that is not given is found from the designation
// or by default when the tire is compiled. Without a designation the section
// width, the overall diameter and the rim diameter must be given.
type Tire struct {
	// Designation is what is marked on the tire; it may be left out if the
	// first three dimensions are given.
	Designation Designation `json:"designation,omitzero"`
	// SectionWidth is the outer width of the section, without lettering, 0.06
	// to 1.6 m.
	SectionWidth Dimension `json:"sectionWidth,omitzero"`
	// OverallDiameter is measured over the lugs, 0.2 to 2.6 m.
	OverallDiameter Dimension `json:"overallDiameter,omitzero"`
	// RimDiameter is the nominal diameter of the rim at the bead seats, 0.1
	// to 1.55 m.
	RimDiameter Dimension `json:"rimDiameter,omitzero"`
	// RimWidth is measured between the flanges, 0.04 to 1.4 m.
	RimWidth Dimension `json:"rimWidth,omitzero"`
	// LugDepth is the height of the lugs at the center of the tread, 0 to
	// 0.12 m.
	LugDepth Dimension `json:"lugDepth,omitzero"`
	// Undertread is the thickness of rubber and plies under the tread between
	// the lugs, 0 to 0.08 m.
	Undertread Dimension `json:"undertread,omitzero"`
	// Sidewall is the thickness of the sidewall, 0 to 0.06 m.
	Sidewall Dimension `json:"sidewall,omitzero"`
	// WellDepth is how far the bottom of the rim well, or drop center, lies
	// within the bead seats, 0 to 0.15 m.
	WellDepth Dimension `json:"wellDepth,omitzero"`
	// WellWidth is the mean width of the rim well, 0 to 1.2 m.
	WellWidth Dimension `json:"wellWidth,omitzero"`
	// ValveRadius is the distance of the valve hole from the axle, 0.03 to
	// 0.9 m.
	ValveRadius Dimension `json:"valveRadius,omitzero"`
	// Crown is the exponent of the superellipse from the widest line to the
	// crown: 2 is an ellipse, and more is squarer. Zero means 2.5, with a band
	// from 2 to 3. From 1.5 to 5.
	Crown float64 `json:"crown,omitzero"`
	// CrownSpread is the half width of the band of a crown that is given, 0 to 2.
	CrownSpread float64 `json:"crownSpread,omitzero" zero:"value"`
	// CrownMoved is by how much measured fills moved the crown from the middle of its
	// band, at most CrownSpread either way; see [Dimension].
	CrownMoved float64 `json:"crownMoved,omitzero" zero:"value"`
	// Deflection is half the overall diameter less the loaded radius, 0 to
	// 0.5 m. The model cuts the cavity off at the flat of the contact and counts
	// no bulging of the sidewalls, so the volume lost is an upper bound; bands of
	// fills reach up to where nothing is lost. Zero is
	// "not given" unless Unloaded is set. If it is not given, the fill is that of
	// the unloaded tire, and its band reaches down to a deflection of a fifth of
	// the section height, with a note.
	Deflection units.Length `json:"deflection,omitzero"`
	// Unloaded says that the tire carries no load while it is filled, as on a
	// stand: its deflection is zero.
	Unloaded bool `json:"unloaded,omitempty"`
	// Known holds fills that were measured and to which the dimensions were
	// corrected, at most MaxKnown; see [Tire.Calibrate], which writes it. Bands
	// of fills are narrow near the levels of these. Where the dimensions do not hold
	// a fill that is not disputed within twice its spread, as in a tire that was written by
	// hand, Resolve corrects them to the fills.
	Known []KnownVolume `json:"known,omitempty"`
}

// maxDeflection is the greatest deflection that is taken.
const maxDeflection units.Length = 0.5

// ParseTire reads a tire designation, see [ParseDesignation], and finds the
// dimensions, each with its origin and spread.
func ParseTire(s string) (Tire, error) {
	d, err := ParseDesignation(s)
	if err != nil {
		return Tire{}, err
	}
	return Tire{Designation: d}.Resolve()
}

// A dimensionField is a field of a tire: its JSON name, its place and the range
// in meters outside which it is an error.
type dimensionField struct {
	name     string
	at       func(*Tire) *Dimension
	min, max units.Length
}

var dimensionFields = [...]dimensionField{
	{"sectionWidth", func(t *Tire) *Dimension { return &t.SectionWidth }, 0.06, 1.6},
	{"overallDiameter", func(t *Tire) *Dimension { return &t.OverallDiameter }, 0.2, 2.6},
	{"rimDiameter", func(t *Tire) *Dimension { return &t.RimDiameter }, 0.1, 1.55},
	{"rimWidth", func(t *Tire) *Dimension { return &t.RimWidth }, 0.04, 1.4},
	{"lugDepth", func(t *Tire) *Dimension { return &t.LugDepth }, 0, 0.12},
	{"undertread", func(t *Tire) *Dimension { return &t.Undertread }, 0, 0.08},
	{"sidewall", func(t *Tire) *Dimension { return &t.Sidewall }, 0, 0.06},
	{"wellDepth", func(t *Tire) *Dimension { return &t.WellDepth }, 0, 0.15},
	{"wellWidth", func(t *Tire) *Dimension { return &t.WellWidth }, 0, 1.2},
	{"valveRadius", func(t *Tire) *Dimension { return &t.ValveRadius }, 0.03, 0.9},
}

// Validate reports every field that is out of range, by its JSON path. It does
// not check that the dimensions which are not given can be found; [Tire.Resolve]
// does.
func (t Tire) Validate() error {
	var e units.FieldErrors
	if t.Designation != (Designation{}) {
		e.JoinText("designation", t.Designation.Validate())
	}
	for _, f := range dimensionFields {
		d := f.at(&t)
		if int(d.Origin) >= len(originNames) {
			e.Add(f.name+".origin", uint8(d.Origin), choice.OneOf, choice.Of[Origin](originNames))
			continue
		}
		if d.Origin == OriginUnknown {
			if d.Value != 0 || d.Spread != 0 {
				e.Add(f.name+".origin", nil, "must be given with a value, such as measured")
			}
			continue
		}
		valid.Within(&e, f.name+".value", d.Value, f.min, f.max)
		if d.Moved != 0 && (d.Origin != Corrected || !(math.Abs(float64(d.Moved)) <= float64(d.Spread)*(1+1e-9))) {
			e.Add(f.name+".moved", valid.Show(d.Moved), "must be left out, or be at most the spread of a corrected dimension")
		}
		if !(d.Spread >= 0 && d.Spread <= d.middle()/2) {
			e.Add(f.name+".spread", valid.Show(d.Spread), "must be from zero to half the value")
		}
	}
	if t.Crown != 0 && !(t.Crown >= 1.5 && t.Crown <= 5) {
		e.Add("crown", t.Crown, "must be from 1.5 to 5, or zero for 2.5")
	}
	switch {
	case !(t.CrownSpread >= 0 && t.CrownSpread <= 2):
		e.Add("crownSpread", t.CrownSpread, "must be from 0 to 2")
	case t.CrownSpread != 0 && t.Crown == 0:
		e.Add("crownSpread", t.CrownSpread, "must be left out where crown is not given")
	}
	if !(math.Abs(t.CrownMoved) <= t.CrownSpread*(1+1e-9)) {
		e.Add("crownMoved", t.CrownMoved, "must be at most crownSpread either way")
	}
	checkDeflection(&e, t.Deflection, t.Unloaded)
	if len(t.Known) > MaxKnown {
		e.Add("known", len(t.Known), "must hold at most {most} fills", valid.Text("most", MaxKnown))
	} else {
		for i, k := range t.Known {
			e.Join(units.Index("known", i), k.Validate())
		}
	}
	return e.Err()
}

// Resolve returns the tire with all its dimensions. Those that were not given
// are found from the designation, the built-in table or a default, each with its
// spread. It reports every dimension that is out of range, cannot be found, or
// contradicts another, by its JSON path.
//
// The rules, all but the first two from memory and common practice:
//
//   - metric: section width as marked, overall diameter d + 2 S a/100 (UN
//     Regulation 106), d the rim code in inches rounded to the millimeter;
//   - flotation: overall diameter, section width and rim as marked;
//   - numeric: the built-in table; else the section width as marked and the
//     section height as a share of it by the [Family]: the marked aspect ratio;
//     0.84 for standard sections and truck sizes on tapered rims; 0.66, 0.71
//     and 0.72 for low-section drive, industrial and implement sizes, the last
//     0.78 on rims of 16.1 inches, and below 11 inches of width rising to 0.95 at
//     7.6; 0.68 for industrial sizes on tapered
//     rims; 0.81 for wide-base earthmover sizes; 0.85 for low sections with two
//     decimals on rims up to 12 inches, on rims of former cars 0.95 or, where the
//     width ends in 5, 0.78; 0.98 for other codes with two decimals, whose section
//     is 1.07 times the width as marked;
//   - rim width 0.70 to 0.85 times the section width by the family. Tapered
//     rims, and rims for sizes with a marked aspect ratio, come in steps: the
//     nearest to 0.79 times the width is taken, and a numeric section is wider
//     than marked by 0.4 times what the rim is wider than that;
//   - lug depth 10 mm + 6 % of the section width for tread R-1, times a
//     factor for other treads; without a tread code that of the family, of the
//     type (P, ST, LT, C, AT, IMP, MPT, T), or of a metric size what is made on such
//     a rim: 8 to 10 mm for road treads;
//   - undertread 5 % of the section width, at most 18 mm, and sidewall 3.2 %,
//     at most 12 mm;
//   - widest line halfway from the rim to the outer diameter, and from there
//     inward a straight taper to the rim;
//   - rim well as deep as 6.5 % of the rim diameter, at most 40 mm, and as
//     wide as 45 % of the rim; the valve at 98 % of the rim radius.
func (t Tire) Resolve() (Tire, error) {
	if err := t.Validate(); err != nil {
		return Tire{}, err
	}
	given := t
	k := t.Designation.sized()
	t.outline(&k)
	var e units.FieldErrors
	given.contradicts(&e)
	for _, f := range dimensionFields[:3] {
		if f.at(&t).Origin == OriginUnknown {
			e.Add(f.name, nil, "must be given, unless a designation states it")
		}
	}
	if e.Len() > 0 {
		return Tire{}, e.Err()
	}

	t.defaults(&k)
	// A found dimension may be as far out of range as a given one.
	for _, f := range dimensionFields {
		if v := f.at(&t).Value; f.at(&given).Origin == OriginUnknown && given.Designation.System != SystemUnknown && !(v >= f.min && v <= f.max) {
			e.Add("designation", given.Designation.String(), "must be a size whose {dimension} lies between {low} and {high}; by the rule of its family it is {value}",
				valid.Text("dimension", f.name), valid.Low(f.min), valid.High(f.max), valid.Value("value", units.Length(math.Round(float64(v)*1000)/1000)))
			return Tire{}, e.Err()
		}
	}
	if err := t.Validate(); err != nil {
		return Tire{}, err
	}
	if err := t.fits(); err != nil {
		return Tire{}, err
	}
	if len(t.Known) > 0 {
		u := t
		u.unmoved() // as when they were measured
		for i := range t.Known {
			u.reaches(&e, units.Index("known", i), t.Known[i].Level)
		}
	}
	if e.Len() > 0 {
		return Tire{}, e.Err()
	}
	if t.apart() {
		t.correct(slices.Clone(t.Known))
		if err := t.fits(); err != nil {
			return Tire{}, err
		}
	}
	return t, nil
}

// set fills in a dimension that was not given.
func (d *Dimension) set(value, spread float64, o Origin) {
	if d.Origin == OriginUnknown {
		*d = Dimension{Value: units.Length(value), Spread: units.Length(spread), Origin: o}
	}
}

// Limits within which a given dimension agrees with the designation, as shares
// of the value by the designation. New tires of one designation differ by some
// percent from maker to maker. Lugs wear by up to 5 % of the diameter. The
// designation fixes the rim. Where the size does not state its dimension and no table has it,
// what was measured outranks the rule of the family, and more is taken (common practice, no
// source).
const (
	diameterAgrees = 0.12
	widthAgrees    = 0.20
	rimAgrees      = 0.04
	ruleAgrees     = 0.25
)

// contradicts reports given dimensions that do not fit the designation.
func (t Tire) contradicts(e *units.FieldErrors) {
	none := t.SectionWidth.Origin == OriginUnknown && t.OverallDiameter.Origin == OriginUnknown && t.RimDiameter.Origin == OriginUnknown
	if t.Designation.System == SystemUnknown || none {
		return
	}
	said, err := Tire{Designation: t.Designation}.Resolve()
	if err != nil {
		return
	}
	for _, f := range []struct {
		name        string
		given, said Dimension
		share       float64
	}{
		{"sectionWidth", t.SectionWidth, said.SectionWidth, widthAgrees},
		{"overallDiameter", t.OverallDiameter, said.OverallDiameter, diameterAgrees},
		{"rimDiameter", t.RimDiameter, said.RimDiameter, rimAgrees},
	} {
		if t.Designation.System == Numeric && t.Designation.Aspect == 0 && f.share != rimAgrees && f.said.Origin == FromDesignation {
			f.share = ruleAgrees
		}
		if f.given.Origin != OriginUnknown && !(math.Abs(float64(f.given.Value/f.said.Value)-1) <= f.share) {
			e.Add(f.name+".value", valid.Show(f.given.Value), "must be within {share} % of what the designation says, {value}", valid.Text("share", math.Round(100*f.share)), valid.Value("value", f.said.Value))
		}
	}
}

// lugFactor is the lug depth of each tread divided by that of R-1 of the same
// width, from memory and common practice without a document.
var lugFactor = [...]float64{
	TreadR1: 1, TreadR1W: 1.2, TreadR2: 1.8, TreadR3: 0.4, TreadR4: 0.65,
	TreadF1: 0.7, TreadF2: 0.4, TreadF2M: 0.5, TreadF3: 0.4,
	TreadI1: 0.4, TreadI2: 0.4, TreadI3: 0.6, TreadG1: 0.5, TreadG2: 0.5,
	TreadHF1: 0.4, TreadHF2: 0.5, TreadHF3: 0.7, TreadHF4: 0.8,
	TreadG3: 0.65, TreadG4: 1, TreadE1: 0.5, TreadE2: 0.65, TreadE3: 0.65, TreadE4: 1, TreadE7: 0.3,
	TreadL2: 0.65, TreadL3: 0.65, TreadL4: 1, TreadL5: 1.6, TreadLS1: 0.65, TreadLS2: 1, TreadLS3: 1, TreadC1: 0.3, TreadC2: 0.5, TreadL3S: 0.65, TreadL4S: 1, TreadL5S: 1.6,
}

// Treads of the road do not deepen with the width: new ones have 7 to 11 mm (common practice,
// no source).
const (
	carTread = 0.008
	vanTread = 0.010
	// Those of temporary use have 3 to 6 mm (memory).
	spareTread = 0.0045
)

// tread returns the depth of the tread in meters that is usual for a size without a tread
// code. The type decides; without one, of metric sizes, what is made on such rims: widths that
// end in 5 are those of cars and vans on rims below 20 inches, of trucks on half-inch rims and
// of multi-purpose vehicles on others, except for rims of earthmovers; widths that end in 0 are those of tractors from 16
// inches on if radial, of industrial vehicles if bias with 70 to 80 % on rims from 18 to 28
// inches, and of implements on smaller rims, on half-inch rims and if bias. Numeric
// multi-purpose sizes have the treads of their metric names
// (memory and common practice).
func (k *sized) tread(r *rule, section float64) float64 {
	d := &k.Designation
	share := func(t Tread) float64 { return (0.010 + 0.06*section) * lugFactor[t] }
	switch d.Type {
	case TypePassenger, TypeTrailer:
		return carTread
	case TypeTemporary:
		return spareTread
	case TypeLightTruck, TypeCommercial:
		return vanTread
	case TypeATV, TypeMultiPurpose:
		return share(TreadR4)
	case TypeImplement:
		return share(TreadI1)
	}
	if d.Aspect != 0 && d.Rim == 153 {
		return share(TreadI1) // 10.0/75-15.3
	}
	if d.multi() {
		return share(TreadR4) // 12.5-20, which is 335/80R20
	}
	if d.System != Metric {
		return share(r.tread)
	}
	fast := d.Service[0].Symbol >= SpeedJ
	halfInch := d.Rim%10 != 0
	switch {
	case d.Aspect == unmarkedIndustrial:
		return share(TreadR4)
	case slices.Contains(earthRims, d.Rim):
		return share(TreadL3)
	case d.Aspect == unmarkedAspect, d.Width%10 == 5 && d.Width <= 305 && d.Rim < 200 && !halfInch, fast && d.Rim <= 180:
		return vanTread
	case d.Width%10 == 5 && halfInch, fast:
		return share(TreadF2M)
	case d.Width%10 == 5:
		return share(TreadR4)
	case d.Construction == Bias && !halfInch && d.Aspect >= 70 && d.Aspect <= 80 && d.Rim >= 180 && d.Rim <= 280:
		return share(TreadR4) // 280/80-18, which is 10.5/80-18, and 440/80-28
	case halfInch, d.Rim < 160, d.Construction != Radial && d.Rim <= 180, d.Aspect <= 55 && d.Rim <= 170:
		return share(TreadI1)
	}
	return share(r.tread)
}

// fits reports dimensions of a resolved tire that leave no cavity.
func (t Tire) fits() error {
	var e units.FieldErrors
	rb := t.RimDiameter.Value / 2
	height := t.OverallDiameter.Value/2 - rb
	if height < 0.03 {
		e.Add("overallDiameter.value", valid.Show(t.OverallDiameter.Value), "must exceed the rim diameter by at least {least}", valid.Least[units.Length](0.06))
	} else if t.LugDepth.Value+t.Undertread.Value > 0.45*height {
		e.Add("lugDepth.value", valid.Show(t.LugDepth.Value), "must be at most 45 % of the section height, together with the undertread")
	}
	if t.RimWidth.Value > t.SectionWidth.Value {
		e.Add("rimWidth.value", valid.Show(t.RimWidth.Value), "must be at most the section width")
	}
	if t.Sidewall.Value > 0.25*t.RimWidth.Value {
		e.Add("sidewall.value", valid.Show(t.Sidewall.Value), "must be at most a quarter of the rim width")
	}
	if t.WellWidth.Value > t.RimWidth.Value {
		e.Add("wellWidth.value", valid.Show(t.WellWidth.Value), "must be at most the rim width")
	}
	if t.WellDepth.Value > 0.6*rb {
		e.Add("wellDepth.value", valid.Show(t.WellDepth.Value), "must be at most 60 % of the rim radius")
	}
	if v := t.ValveRadius.Value; v < rb-t.WellDepth.Value-0.03 || v > rb+0.05 {
		e.Add("valveRadius.value", valid.Show(v), "must be near the rim radius")
	}
	t.flat(&e, "deflection", t.Deflection)
	for i := range t.Known {
		t.flat(&e, units.Index("known", i)+".deflection", t.Known[i].Deflection)
	}
	return e.Err()
}

// flat reports a deflection that no tire stands.
func (t *Tire) flat(e *units.FieldErrors, path string, deflection units.Length) {
	if deflection > 0.4*(t.OverallDiameter.middle()-t.RimDiameter.middle())/2 {
		e.Add(path, valid.Show(deflection), "must be at most 40 % of the section height")
	}
}

// profile returns the section of a resolved tire with each dimension moved to
// one end of its band: side -1 makes the cavity small, 1 makes it large, and 0
// leaves it. Wide bands are clamped: no thickness is negative, the outer radius
// is at least 20 mm above the rim's, the crown is at least 2 % of that height
// above the widest line, the well is no wider than the taper at the rim and that
// no wider than the section, and the well is no deeper than 70 % of the rim
// radius.
func (t Tire) profile(side float64) profile {
	at := func(d Dimension, side float64) float64 {
		return float64(d.Value) + side*float64(d.Spread)
	}
	rb := at(t.RimDiameter, -side) / 2
	wall := math.Max(at(t.Sidewall, -side), 0)
	outer := math.Max(at(t.OverallDiameter, side)/2, rb+0.02)
	p := profile{
		rb: rb,
		rm: rb + (outer-rb)/2,
		rc: outer - math.Max(at(t.LugDepth, -side), 0) - math.Max(at(t.Undertread, -side), 0),
		w:  at(t.SectionWidth, side) - 2*wall,
		wb: at(t.RimWidth, side) - 2*wall,
		n:  math.Min(math.Max(t.crown()+side*t.crownSpread(), 1.2), 8),
	}
	p.rc = math.Max(p.rc, p.rm+0.02*(outer-rb))
	p.wb = math.Min(p.wb, p.w)
	p.rw = rb - math.Min(math.Max(at(t.WellDepth, side), 0), 0.7*rb)
	p.ww = math.Min(at(t.WellWidth, side), p.wb)
	return p
}

// The crown of a tire that does not give one, and its band.
const (
	usualCrown       = 2.5
	usualCrownSpread = 0.5
)

func (t *Tire) crown() float64 {
	if t.Crown == 0 {
		return usualCrown
	}
	return t.Crown
}

func (t *Tire) crownSpread() float64 {
	if t.Crown == 0 {
		return usualCrownSpread
	}
	return t.CrownSpread
}

// Notes returns where the dimensions of the tire came from.
func (t Tire) Notes() Notes {
	var n Notes
	if t.Crown == 0 {
		n |= NoteEstimatedDimension
	}
	for _, f := range dimensionFields {
		if d := f.at(&t); d.Origin == Measured && d.Spread == 0 {
			n |= NoteSpreadAssumed
		}
		switch f.at(&t).Origin {
		case FromDesignation, ByDefault:
			n |= NoteEstimatedDimension
		case FromTable:
			n |= NoteRememberedDimension
		}
	}
	for i := range t.Known {
		k := &t.Known[i]
		n |= NoteCalibrated
		if k.Disputed {
			n |= NoteFillsDisputed
		}
		if !k.Unloaded && k.Deflection == 0 {
			n |= NoteReadingLoadUnknown
		}
	}
	switch {
	case t.Deflection > 0:
		n |= NoteDeflected
	case !t.Unloaded:
		n |= NoteDeflectionUnknown
	}
	return n
}

// Compile resolves the tire and tabulates its cavity. It costs about ten
// thousand times as much as one call of [Cavity.Volume], so compile a tire once
// if many levels are wanted, and call [Fill.Solve] or [Table] for a few.
func (t Tire) Compile() (*Cavity, error) {
	t, err := t.Resolve()
	if err != nil {
		return nil, err
	}
	c := t.cavity()
	c.tabulate()
	return c, nil
}

// cavity returns the cavity of a resolved tire without its table.
func (t *Tire) cavity() *Cavity {
	c := openCavity(t.profile(0), float64(t.Deflection))
	c.valve = float64(t.ValveRadius.Value)
	c.notes = t.Notes()
	c.family, c.plies = t.Designation.Family(), t.Designation.Construction
	return c
}
