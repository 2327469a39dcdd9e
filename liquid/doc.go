// Package liquid computes the liquid in a tire: its volume, its mass, its
// centroid, its freezing point and how it is mixed.
//
// A [Tire] is read from its designation ([ParseTire]) or measured. Each
// dimension states its origin, and an answer that depends on an estimate
// carries a band. [Tire.Compile] makes the [Cavity], the inner space as a
// solid of revolution about the axle. A [Fill] puts a [Fluid] into it up to a
// [Level] and solves for a [Filled]. A [Mix] says how the fluid is made, and
// an [Inflation] computes the pressure of the air above it.
//
// Heights are measured from the axle, positive upward, unless they say
// otherwise. A depth below the axle is positive downward.
//
// This package does not deal with vehicles. Volumes are those of a new, inflated and
// unloaded tire unless a deflection is given.
//
// # How good the answers are
//
// The volume of a given section is right to 1e-9 of the whole. The section of
// a real tire is much less certain. The estimates with the valve at 12 o'clock
// were compared with 28 fill volumes of numeric drive sizes, remembered from
// tables of the trade (memory, no document). They run from 3 % above for the
// narrowest size to 15 % below for the widest, on average 6 % below with a
// standard deviation of 5 %. The stated bands, about 16 % to either side, hold
// 24 of the 28; the other four lie within 3 % of the end of the band. No size
// is tuned. Measured dimensions narrow the band.
//
// A fill that somebody measured, by a flow meter, a scale or a row of the tire
// maker's table, narrows it most: [Tire.Calibrate]. Held against cavities of
// another shape, of the sizes in testdata/tire_dimensions.csv, a tire corrected
// by the volume at one level foretells the other levels from 4 o'clock to full
// with a median error of 0.2 % and at worst 2.0 %, where it was 2.4 % and 10 %
// without; against contours of the inflated membrane the median is 0.3 % and the worst
// 2.9 %, where it was 3.3 % and 19 % without. With the valve below 4 o'clock the worst is
// 5.4 and 7.7 %: there the volume hangs on how the section narrows toward the crown and the
// rim, of which one volume says nothing. The best linear rule, fitted to those membranes
// themselves, is still 6.9 % off at 6 o'clock; measure there if it matters, or read a
// column of levels. The bands hold all of these volumes: their half widths are some 3 % for
// fills from 4 o'clock to full and 9 % below.
//
// Densities and freezing points are those of one source for each fluid and
// range, see [FluidKind.Source]. Their spread is the disagreement of the other
// sources: mostly below 0.7 % and 3 K, but up to 10 K near the eutectic of
// calcium chloride.
//
// # Care
//
// Filling a tire can kill: a tire and rim under pressure store much energy,
// and some fluids are corrosive, toxic or flammable. The answers carry
// [Cautions]. The operator's manual, the tire maker's data and local rules come
// first.
package liquid
