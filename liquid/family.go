package liquid

import (
	"math"
	"slices"
)

// Family is the kind of size whose rule gives the outline of a tire that is
// known by its designation alone: section width, section height, rim and usual
// tread. In JSON: "standardSection", "steering", "lowSectionDrive",
// "lowSectionIndustrial", "lowSectionImplement", "taperedRimIndustrial",
// "taperedRimRoad", "aspectMarked", "metric", "flotation", "wideFlotation",
// "wideBaseEarthmover" or "lowSectionSmall";
// "unknown" or left out is not given.
type Family uint8

// The families of sizes; [Tire.Resolve] has their rules.
const (
	// FamilyUnknown is the zero value: the tire has no designation.
	FamilyUnknown Family = iota
	// FamilyStandard is that of numeric drive sizes: 14.9-24.
	FamilyStandard
	// FamilySteering is that of numeric sizes with two decimals: 7.50-16.
	FamilySteering
	// FamilyLowDrive is that of low-section drive sizes, L from 25 inches on:
	// 28L-26.
	FamilyLowDrive
	// FamilyLowIndustrial is that of low-section industrial sizes, L on rims
	// from 18 inches on: 17.5L-24.
	FamilyLowIndustrial
	// FamilyLowImplement is that of low-section implement sizes, L on smaller
	// rims: 11L-15.
	FamilyLowImplement
	// FamilyTaperedIndustrial is that of industrial sizes on half-inch rims,
	// whose bead seats taper by 15 degrees: 12-16.5.
	FamilyTaperedIndustrial
	// FamilyTaperedRoad is that of truck sizes on such rims, up to 12.5 inches
	// wide on rims other than 16.5: 11R22.5.
	FamilyTaperedRoad
	// FamilyAspect is that of numeric sizes that state their aspect ratio:
	// 12.5/80-18.
	FamilyAspect
	// FamilyMetric is that of metric sizes: 320/85R24.
	FamilyMetric
	// FamilyFlotation is that of flotation sizes: 31x15.50-15.
	FamilyFlotation
	// FamilyWideFlotation is that of flotation sizes from 20 inches of width
	// on: 66x43.00-25.
	FamilyWideFlotation
	// FamilyWideBase is that of wide-base earthmover sizes, whose widths end in
	// half and quarter inches on rims from 25 inches on: 20.5-25, 33.25-29.
	FamilyWideBase
	// FamilyLowSmall is that of low-section sizes of trailers, carts and former
	// cars, with two decimals that are not whole or half inches on rims up to 15
	// inches: 4.80/4.00-8, 8.15-15.
	FamilyLowSmall
)

var familyNames = []string{"unknown", "standardSection", "steering", "lowSectionDrive", "lowSectionIndustrial", "lowSectionImplement",
	"taperedRimIndustrial", "taperedRimRoad", "aspectMarked", "metric", "flotation", "wideFlotation", "wideBaseEarthmover", "lowSectionSmall"}

// Family returns the family of the size.
func (d Designation) Family() Family {
	k := d.sized()
	return k.family()
}

// sized is a designation with its row of the built-in table, if it has one.
type sized struct {
	Designation
	size
	found bool
}

func (d Designation) sized() (k sized) {
	k.Designation = d
	for i := range sizes {
		z := &sizes[i]
		if z.system == d.System && z.width == d.Width && z.aspect == d.Aspect && z.low == d.Low && z.rim == d.Rim {
			k.size, k.found = *z, true
		}
	}
	return k
}

func (k *sized) family() Family {
	d := &k.Designation
	halfInch := d.Rim%10 == 5
	switch {
	case d.System == SystemUnknown:
		return FamilyUnknown
	case d.System == Metric:
		return FamilyMetric
	case d.System == Flotation && d.Width >= 2000:
		return FamilyWideFlotation
	case d.System == Flotation:
		return FamilyFlotation
	case d.Aspect != 0:
		return FamilyAspect
	case d.Low && d.Width >= 2500:
		return FamilyLowDrive
	case d.Low && d.Rim >= 180:
		return FamilyLowIndustrial
	case d.Low:
		return FamilyLowImplement
	case halfInch && d.Rim != 165 && d.Width <= 1250:
		return FamilyTaperedRoad
	case halfInch:
		return FamilyTaperedIndustrial
	case d.wideBase():
		return FamilyWideBase
	case d.lowSmall():
		return FamilyLowSmall
	case d.steering():
		return FamilySteering
	}
	return FamilyStandard
}

// A rule gives the outline of a family's sizes from the width that is marked.
type rule struct {
	section, sectionSpread float64   // section width as a share of the marked width, and its spread as a share of itself
	height                 float64   // section height as a share of the section width by the rule
	diameterSpread         float64   // of the overall diameter, as a share of itself
	rim, rimSpread         float64   // rim width as a share of the section width by the rule, and its spread
	rims                   []float64 // the rim widths in inches that are made, the nearest is taken; none where every width is
	tread                  Tread     // the usual one
}

// Rim widths in inches that are made with tapered bead seats, and for sizes
// with a marked aspect ratio (memory).
var (
	taperedRims = []float64{5.25, 6, 6.75, 7.5, 8.25, 9, 9.75, 10.5, 11.75, 12.25, 13, 14, 15}
	oddRims     = []float64{5, 7, 9, 11, 13, 15, 17}
)

// rules holds what each family has, all from memory and common practice without
// a document. The heights of the low sections and of the tapered rims are the
// means of what testdata/tire_more.csv remembers of each family, or, of
// implement sizes, between the ends; no size has a figure of its own. Those rows are within
// about 2 %, and the rules lie up to 1.9 % from them for implement sizes and 1.0 % for
// industrial sizes on tapered rims: the bands of the diameter, 3.5 and 2.5 %, hold both errors
// nearly added. Memories of the
// narrow implement sizes differ by 6 % of the diameter, and their band holds both.
var rules = [...]rule{
	FamilyStandard:          {section: 1, sectionSpread: 0.03, height: 0.84, diameterSpread: 0.02, rim: 0.85, rimSpread: 0.07, tread: TreadR1},
	FamilySteering:          {section: 1.07, sectionSpread: 0.03, height: 0.98, diameterSpread: 0.02, rim: 0.70, rimSpread: 0.07, tread: TreadF2},
	FamilyLowDrive:          {section: 1, sectionSpread: 0.03, height: 0.66, diameterSpread: 0.02, rim: 0.85, rimSpread: 0.07, tread: TreadR1},
	FamilyLowIndustrial:     {section: 1, sectionSpread: 0.03, height: 0.71, diameterSpread: 0.02, rim: 0.85, rimSpread: 0.07, tread: TreadR4},
	FamilyLowImplement:      {section: 1, sectionSpread: 0.03, height: 0.72, diameterSpread: 0.035, rim: 0.80, rimSpread: 0.10, tread: TreadI1},
	FamilyTaperedIndustrial: {section: 1.01, sectionSpread: 0.03, height: 0.68 / 1.01, diameterSpread: 0.025, rim: usualRim / 1.01, rimSpread: 0.07, rims: taperedRims, tread: TreadR4},
	FamilyTaperedRoad:       {section: 1, sectionSpread: 0.03, height: 0.84, diameterSpread: 0.03, rim: 0.75, rimSpread: 0.07, rims: taperedRims, tread: TreadF2},
	FamilyAspect:            {section: 1, sectionSpread: 0.03, diameterSpread: 0.02, rim: usualRim, rimSpread: 0.10, rims: oddRims, tread: TreadR4},
	FamilyMetric:            {section: 1, sectionSpread: 0.025, diameterSpread: 0.015, rim: 0.85, rimSpread: 0.07, tread: TreadR1},
	FamilyFlotation:         {section: 1, sectionSpread: 0.04, diameterSpread: 0.025, rim: 0.82, rimSpread: 0.07, tread: TreadR4},
	FamilyWideFlotation:     {section: 1, sectionSpread: 0.04, diameterSpread: 0.025, rim: 0.83, rimSpread: 0.07, tread: TreadR4},
	FamilyWideBase:          {section: 1, sectionSpread: 0.03, height: 0.81, diameterSpread: 0.025, rim: 0.82, rimSpread: 0.07, tread: TreadL3},
	FamilyLowSmall:          {section: 1, sectionSpread: 0.05, height: 0.85, diameterSpread: 0.05, rim: 0.74, rimSpread: 0.15, tread: TreadF2},
}

const (
	// implementHeight is the section height of implement sizes on rims of 16.1
	// inches, as a share of the section width.
	implementHeight = 0.7835
	// hugeSteering is the marked width from which sizes with two decimals are those of
	// earthmovers: remembered diameters differ by up to 4.5 % from the rule, 18.00R33 with deep
	// treads the most.
	hugeSteering = 1600
	// carHeight and lowCarHeight are the section heights of former car sizes on
	// rims from 13 to 15 inches, as shares of the width: in whole tenths (6.70-15)
	// and the later lower series (8.15-15).
	carHeight, lowCarHeight = 0.95, 0.78
	// usualRim is the rim width to which a marked width belongs, as a share of
	// it, where the rims that are made come in wide steps.
	usualRim = 0.79
	// widening is how much wider the section is on a rim that is wider by one
	// unit of length (common practice, no source).
	widening = 0.4
)

// rule returns the rule of the family for this size: what the marks say stands
// in it. A narrow rim for a low metric section, a half-inch rim for a flotation
// size, the heights of implement and of former car sizes, and the band of forklift sizes are
// the exceptions.
func (k *sized) rule() rule {
	f := k.family()
	r := rules[f]
	d := &k.Designation
	switch {
	case d.Aspect != 0:
		r.height = float64(d.Aspect) / 100
		if f == FamilyMetric && d.Aspect < 80 {
			r.rim = 0.79
		}
		if d.Type == TypeTemporary {
			// T125 to T155 have rims of 4 inches (memory).
			r.rim, r.rimSpread, r.diameterSpread = 0.75, 0.16, 0.02
		}
		if d.Aspect == unmarkedIndustrial {
			r.diameterSpread = 0.03
		}
	case f == FamilyLowSmall && d.Rim >= 130:
		r.height, r.diameterSpread = carHeight, 0.03
		if d.Width%10 != 0 {
			r.height = lowCarHeight
		}
	case f == FamilyLowImplement && d.Rim == 161:
		r.height = implementHeight
	case f == FamilyLowImplement && d.Width < 1100:
		// Narrow ones are as high as former car sizes: 7.60L-15 is 29.4 inches, as 7.60-15.
		const narrow, middle = 760.0, 950.0
		w := math.Max(float64(d.Width), narrow)
		r.height, r.diameterSpread = 0.755-(w-middle)/(1100-middle)*(0.755-r.height), 0.04
		if w < middle {
			r.height = carHeight - (w-narrow)/(middle-narrow)*(carHeight-0.755)
		}
		if d.Width <= 800 {
			// Remembered sections are 1.0 to 1.1 of the marked width.
			r.section, r.sectionSpread = 1.05, 0.06
			r.height /= r.section
		}
	case f == FamilySteering && d.Rim < 80:
		// 3.50-6 and 4.00-6 are 12.4 and 13.2 inches (memory).
		r.height, r.diameterSpread, r.sectionSpread = 0.91/r.section, 0.05, 0.06
	case f == FamilySteering && d.Width >= hugeSteering:
		r.diameterSpread, r.tread = 0.05, TreadL3
	case f == FamilyStandard && d.Width >= 2310:
		r.diameterSpread = 0.03
	case f == FamilyStandard && d.multi():
		// By the rule 14.5-20 is 3.1 % higher than 365/80R20, its later name.
		r.diameterSpread = 0.035
	case f == FamilyFlotation && d.Rim%10 == 5:
		r.rim, r.rims = usualRim, taperedRims
	}
	return r
}

// width returns the marked width in meters.
func (d *Designation) width() float64 {
	if d.System == Metric {
		return float64(d.Width) / 1000
	}
	return float64(d.Width) / 100 * 0.0254
}

// section returns the section width and the rim width in meters. Where the rims
// come in wide steps the section follows the rim, except that a flotation size
// states it.
func (k *sized) section(r *rule) (section, rim float64) {
	marked := k.Designation.width()
	section = r.section * marked
	rim = r.rim * section
	if len(r.rims) == 0 {
		return section, rim
	}
	want := rim
	inches := slices.MinFunc(r.rims, func(a, b float64) int {
		if math.Abs(a*0.0254-want) < math.Abs(b*0.0254-want) {
			return -1
		}
		return 1
	})
	if math.Abs(inches*0.0254-want) > 0.15*want {
		return section, rim // narrower or wider than any in the list
	}
	rim = inches * 0.0254
	if k.System == Numeric {
		section += widening * (rim - want)
	}
	return section, rim
}

// outline fills in the rim diameter, the section width and the overall
// diameter from the designation.
func (t *Tire) outline(k *sized) {
	d := &k.Designation
	if d.System == SystemUnknown {
		return
	}
	rim := math.Round(float64(d.Rim)/10*25.4) / 1000
	t.RimDiameter.set(rim, 0.002, FromDesignation)
	if k.found && k.System == Numeric {
		w, od := float64(k.size.section)/1000, float64(k.od)/1000
		t.SectionWidth.set(w, 0.02*w, FromTable)
		t.OverallDiameter.set(od, 0.01*od, FromTable)
		return
	}
	r := k.rule()
	w, _ := k.section(&r)
	t.SectionWidth.set(w, r.sectionSpread*w, FromDesignation)
	od := rim + 2*r.height*r.section*d.width()
	if d.System == Flotation {
		od = float64(d.Overall) / 100 * 0.0254
	}
	t.OverallDiameter.set(od, r.diameterSpread*od, FromDesignation)
}

// defaults fills in the dimensions that no designation states.
func (t *Tire) defaults(k *sized) {
	w := float64(t.SectionWidth.Value)
	rim := float64(t.RimDiameter.Value)
	r := rules[FamilyStandard]
	if k.System != SystemUnknown {
		r = k.rule()
	}
	rimWidth := r.rim * w
	if _, made := k.section(&r); len(r.rims) > 0 {
		rimWidth = math.Min(made, 0.95*w)
	}
	if k.found {
		t.RimWidth.set(k.rimWidth*0.0254, 0.0127, FromTable)
	} else {
		t.RimWidth.set(rimWidth, r.rimSpread*rimWidth, ByDefault)
	}
	lug := 0.010 + 0.06*w
	if k.Tread == TreadUnknown {
		lug = k.tread(&r, w)
		t.LugDepth.set(lug, 0.30*lug, ByDefault)
	} else {
		lug *= lugFactor[k.Tread]
		t.LugDepth.set(lug, 0.15*lug, ByDefault)
	}
	under := math.Min(0.05*w, 0.018)
	t.Undertread.set(under, 0.2*under, ByDefault)
	wall := math.Min(math.Max(0.032*w, 0.008), 0.012)
	t.Sidewall.set(wall, 0.35*wall, ByDefault)
	well := math.Min(0.065*rim, 0.040)
	t.WellDepth.set(well, 0.5*well, ByDefault)
	ww := 0.45 * float64(t.RimWidth.Value)
	t.WellWidth.set(ww, 0.2*ww, ByDefault)
	t.ValveRadius.set(0.98*rim/2, 0.02*rim/2, ByDefault)
}
