package liquid

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// What is made and how it was named (all from memory of the standards' tables). A size that
// nobody makes is a slip of the pen or an old name, and would give the wrong shape without a
// word; it is refused with the sizes that may be meant. Widths are in hundredths of an inch,
// rims in tenths.
var (
	// driveWidths are the widths of standard drive sizes.
	driveWidths = []uint16{720, 830, 950, 1120, 1240, 1360, 1390, 1490, 1550, 1690, 1840, 2080, 2310, 2450}
	// earthWidths and earthRims are those of wide-base earth-mover sizes.
	earthWidths = []uint16{1550, 1750, 2050, 2350, 2650, 2950, 3325, 3725}
	earthRims   = []uint16{250, 290, 330, 350, 390, 490, 510, 570}
	// multiWidths and multiRims are those of multi-purpose sizes.
	multiWidths = []uint16{1050, 1250, 1450}
	multiRims   = []uint16{180, 200, 220, 240}
	// shortWidths are widths with two decimals that are often written with one: 7.5-16.
	shortWidths = []uint16{550, 650, 750}
	// undottedWidths are widths with two decimals that are often written without their point,
	// on rims on which no metric size of that width is made: 750-16, 825-20.
	undottedWidths = []uint16{500, 550, 600, 650, 700, 750, 825, 900, 1000, 1100, 1200}
	undottedRims   = []uint16{150, 160, 190, 200}
	// oldNames are widths by the former code, whole inches, and by the present one.
	oldNames = [][2]uint16{{800, 830}, {900, 950}, {1000, 1120}, {1100, 1240}, {1200, 1360}, {1300, 1490}, {1400, 1690}, {1500, 1840}, {1800, 2310}}
	// lowSizes are width and rim of low sections.
	lowSizes = [][2]uint16{{950, 140}, {950, 150}, {1100, 140}, {1100, 150}, {1100, 160}, {1250, 150}, {1250, 160}, {1400, 161}, {1650, 161}, {1900, 161}, {2150, 161},
		{1750, 240}, {1950, 240}, {2100, 240}, {2100, 280}, {2800, 260}, {3050, 320}, {3550, 320}}
	// noRims are whole inches between 4 and 60 for which no rims are made.
	noRims = []uint16{230, 270, 310, 370, 410, 470, 530, 550, 560, 580, 590}
)

// unmarkedAspect is the aspect ratio of metric sizes that mark none: 195R14 (memory).
const unmarkedAspect = 82

// unmarkedIndustrial is the aspect ratio of metric sizes of forklifts that mark none, 250-15
// and 300-15, the mean of the two (memory).
const unmarkedIndustrial = 74

// forklift reports whether a metric size is one of those.
func forklift(width, rim int) bool { return (width == 250 || width == 300) && rim == 150 }

// unmarked reports whether a metric size is of the kind that marks no aspect ratio: tires of
// cars and vans.
func unmarked(width, rim int) bool { return width >= 125 && width <= 245 && rim >= 100 && rim <= 170 }

// pointLost reports whether a metric size is an implement or industrial size in inches that has
// lost its decimal point, 125/80-18 for 12.5/80-18: no metric tires of machines are so narrow
// with bias plies on rims from 17 inches on, or on 16 inches with the aspect ratios of
// implements; radial on rims of 18 and 20 inches with those of multi-purpose sizes, or above 20
// inches; or on the rims of 15.3 and 16.1 inches; nor are the two widths on the rim of 12 inches
// (memory). The marks of implements and of carts say nothing here: they stand beside either. Road
// tires are so narrow: their types, or a speed symbol from J (100 km/h) on, say so.
func (d *Designation) pointLost() bool {
	if d.Width < 80 || d.Width > 190 || d.Aspect > 85 || d.Aspect == unmarkedAspect {
		return false
	}
	switch d.Type {
	case TypePassenger, TypeLightTruck, TypeTrailer, TypeTemporary:
		return false
	}
	switch {
	case d.Rim == 153 || d.Rim == 161:
		return true
	case d.Service[0].Symbol >= SpeedJ:
		return false
	case d.Rim == 120:
		return d.Construction == Bias && (d.Aspect == 75 || d.Aspect == 80) && d.Width <= 105
	case d.Construction == Radial:
		return d.Rim > 200 || (d.Rim == 180 || d.Rim == 200) && d.Aspect >= 70 && d.Aspect <= 80
	case d.Rim == 160:
		return d.Construction == Bias && d.Aspect >= 50 && d.Aspect <= 75
	}
	return d.Rim >= 170
}

// rimMade reports whether rims of this diameter are made.
func rimMade(rim uint16) bool {
	switch rim % 10 {
	case 0:
		return !slices.Contains(noRims, rim)
	case 5:
		return rim >= 145 && rim <= 305
	}
	return rim == 153 || rim == 161
}

// shapeMade reports a size that is not made, with what may be meant.
func (d *Designation) shapeMade(e *units.FieldErrors) {
	before := e.Len()
	if !rimMade(d.Rim) {
		if list := d.meant(); len(list) > 0 {
			e.Add("rim", float64(d.Rim)/10, sizesWant, sizesParam(list))
		} else {
			e.Add("rim", float64(d.Rim)/10, "must be a rim diameter that is made: whole inches, 15.3, 16.1, or half inches such as 16.5 or 22.5")
		}
	}
	switch d.System {
	case Metric:
		if d.pointLost() {
			o := *d
			o.System, o.Width, o.Decimals = Numeric, 10*d.Width, 1
			if o.Validate() == nil {
				if d.Rim%10 != 0 { // no spare wheel has such a rim
					e.Add("width", d.Width, sizesWant, sizesParam([]string{o.Size()}))
					return
				}
				m := *d
				m.Type, m.Service, m.Tread, m.PlyRating = TypeTemporary, [2]Service{}, TreadUnknown, 0
				e.Add("width", d.Width, "must be {inches} if the width is in inches; if it is in millimeters, write {metric}, as of a spare wheel, or leave the designation out and give section width, overall diameter and rim diameter",
					valid.Text("inches", o.Size()), valid.Text("metric", m.String()))
				return
			}
		}
		if d.Width%5 != 0 {
			e.Add("width", d.Width, "must be a section width that is made; in millimeters they end in 0 or 5")
		}
		if d.Aspect%5 != 0 && !(d.Aspect == unmarkedAspect && d.Construction == Radial && unmarked(int(d.Width), int(d.Rim))) &&
			!(d.Aspect == unmarkedIndustrial && d.Construction == Bias && forklift(int(d.Width), int(d.Rim))) {
			e.Add("aspect", d.Aspect, "must be an aspect ratio that is made: whole steps of 5 percent")
		}
	case Flotation:
		height := (float64(d.Overall) - 10*float64(d.Rim)) / 2
		if share := height / float64(d.Width); !(share >= 0.2 && share <= 1.3) {
			e.Add("width", float64(d.Width)/100, "must fit the overall diameter and the rim: the section height is from 0.2 to 1.3 of the width")
		}
	case Numeric:
		switch {
		case d.Aspect%5 != 0:
			e.Add("aspect", d.Aspect, "must be an aspect ratio that is made: whole steps of 5 percent")
		case d.Aspect > 80 && !(d.Aspect <= 90 && d.Width >= 1200 && d.Width <= 1800):
			// 16.5/85-24 and 14/90-20 are made (memory).
			e.Add("aspect", d.Aspect, "must be at most 80 percent beside a width in inches; a width in millimeters has three digits or four, as in 320/85R24")
		case d.Aspect == 0 && e.Len() == before && !d.widthMade():
			if list := d.meant(); len(list) > 0 {
				e.Add("width", d.Size(), sizesWant, sizesParam(list))
			} else {
				e.Add("width", d.Size(), "must be a width that is made, or leave the designation out and give section width, overall diameter and rim diameter")
			}
		}
	}
}

const sizesWant = "must be written as the tire that is meant, which may be {sizes}"

func sizesParam(list []string) units.Param { return valid.Text("sizes", strings.Join(list, ", ")) }

// widthMade reports whether the width of a numeric size without an aspect ratio is made for
// its rim as it is written.
func (d *Designation) widthMade() bool {
	in := func(list []uint16, v uint16) bool { return slices.Contains(list, v) }
	switch {
	case d.Low:
		return !in(driveWidths, d.Width) || d.Width == 950 && d.Rim <= 150
	case d.Rim%10 == 5:
		return d.Width < 1120 || !in(driveWidths, d.Width)
	case d.Rim == 153:
		return false
	case d.whole():
		// Small compact sizes are marked so. With the tread code of a drive wheel they are no
		// other size's short form.
		return d.Decimals == 0 && d.Width <= 900 && d.Rim <= 180 && d.Tread >= TreadR1 && d.Tread <= TreadR4
	case d.Rim == 161:
		return in(driveWidths, d.Width)
	case d.Decimals == 2 || d.Width%10 != 0:
		return true
	case in(driveWidths, d.Width):
		return d.Rim >= 160
	case in(earthWidths, d.Width) && in(earthRims, d.Rim), d.multi():
		return true
	}
	return in(shortWidths, d.Width)
}

// whole reports whether the width is written in whole inches, or with a decimal that is zero.
func (d *Designation) whole() bool { return d.Width%100 == 0 && d.Decimals <= 1 }

// meant lists the sizes that a size may be meant for.
func (d *Designation) meant() (list []string) {
	add := func(width float64, decimals int, mark string, rim uint16) {
		o := *d
		o.Rim = rim
		o.Width, o.Decimals, o.Low, o.Aspect = uint16(math.Round(100*width)), uint8(decimals), mark == "L", 0
		if n, err := strconv.Atoi(strings.TrimPrefix(mark, "/")); err == nil {
			o.Aspect = uint8(n)
		}
		if rimMade(rim) && rim >= 40 && rim <= 600 && (o.Aspect != 0 || o.widthMade()) && !slices.Contains(list, o.Size()) {
			list = append(list, o.Size())
		}
	}
	w := float64(d.Width) / 100
	if d.System != Numeric || d.Aspect != 0 {
		return nil
	}
	// The rim first: 24-14.9, 16.5-10.
	if rim := d.Width / 10; d.Width%10 == 0 && !d.Low {
		switch {
		case d.Rim%10 == 0 && d.Rim <= 200 && rim%10 == 5 && rim >= 165:
			add(float64(d.Rim)/10, 0, "", rim)
		case slices.Contains(driveWidths, 10*d.Rim) && rim%10 == 0:
			add(float64(d.Rim)/10, 1, "", rim)
		}
	}
	if !rimMade(d.Rim) {
		return list
	}
	if d.whole() && d.Rim >= 200 {
		for _, n := range oldNames {
			if n[0] == d.Width {
				add(float64(n[1])/100, 1, "", d.Rim)
			}
		}
	}
	for _, z := range lowSizes {
		// 28.1-26 is an older name of 28L-26.
		if z[1] == d.Rim && (z[0] == d.Width || z[0] == 2800 && d.Width == 2810) {
			decimals := 1
			if z[0]%100 == 0 {
				decimals = 0
			}
			add(float64(z[0])/100, decimals, "L", d.Rim)
		}
	}
	if d.Low {
		add(w, 1, "", d.Rim)
		return list
	}
	if d.Width >= 400 && d.Width <= 1600 && !slices.Contains(driveWidths, d.Width) && d.Rim%10 == 0 {
		add(w, 2, "", d.Rim)
	}
	switch {
	case d.Rim == 153:
		add(w, max(1, int(d.Decimals)), "/75", d.Rim)
		add(w, max(1, int(d.Decimals)), "/80", d.Rim)
	case d.Rim%10 == 5:
		add(w, int(d.Decimals), "", d.Rim-5)
	case d.whole() && d.Width >= 800 && (d.Rim == 160 || d.Rim == 170 || d.Rim == 190 || d.Rim == 220):
		add(w, 0, "", d.Rim+5)
	}
	if d.whole() && d.Width <= 900 && d.Rim <= 180 && d.Tread == TreadUnknown {
		o := *d
		o.Decimals = 0
		list = append(list, o.Size()+" R-1")
	}
	return list
}

// usual gives a width the decimals with which it is marked: 7.50 for 7.5, 14.9 for 14.90.
func (d *Designation) usual() {
	if d.System != Numeric || d.Low || d.Aspect != 0 || d.Rim%10 != 0 {
		return
	}
	switch {
	case d.Decimals == 1 && slices.Contains(shortWidths, d.Width):
		d.Decimals = 2
	case d.Decimals == 2 && d.Rim >= 160 && slices.Contains(driveWidths, d.Width):
		d.Decimals = 1
	}
}

// wideBase reports whether a numeric size is a wide-base earthmover size.
func (d *Designation) wideBase() bool {
	return slices.Contains(earthWidths, d.Width) && slices.Contains(earthRims, d.Rim)
}

// multi reports whether a numeric size is a multi-purpose size.
func (d *Designation) multi() bool {
	return d.System == Numeric && d.Aspect == 0 && !d.Low && slices.Contains(multiWidths, d.Width) && slices.Contains(multiRims, d.Rim)
}

// lowSmall reports whether a numeric size belongs to the low sections of trailers, carts and
// former cars. Whole and half inches, and 8.25, are those of the older, narrow sections.
func (d *Designation) lowSmall() bool {
	return d.Decimals == 2 && d.Width%50 != 0 && d.Width != 825 && d.Rim <= 150
}

// steering reports whether a numeric size belongs to those with two decimals.
func (d *Designation) steering() bool {
	if d.Rim >= 160 && slices.Contains(driveWidths, d.Width) {
		return false
	}
	return d.Decimals == 2 || slices.Contains(shortWidths, d.Width)
}
