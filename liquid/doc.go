// Package liquid answers what goes into a tire: how much, how heavy, where it
// sits, when it freezes and how it is mixed.
//
// A [Tire] is read from its designation ([ParseTire]) or measured. Each of its
// dimensions says where it came from, and an answer that leans on an estimate
// carries a band. [Tire.Compile] makes the [Cavity], the inner space as a
// solid of revolution about the axle; a [Fill] puts a [Fluid] into it up to a
// [Level] and solves for a [Filled]. A [Mix] says how the fluid is made, and
// an [Inflation] what the air above it does.
//
// Heights are measured from the axle, positive upward, unless they say
// otherwise. A depth below the axle is positive downward.
//
// Nothing here knows of vehicles. Volumes are those of a new, inflated and
// unloaded tire unless a deflection is given.
//
// # How good the answers are
//
// The volume of a given section is right to 1e-9 of the whole; the section of
// a real tire is the trouble. Against 28 fill volumes of numeric drive sizes
// remembered from tables of the trade (memory, no document) the estimates
// with the valve at 12 o'clock run from 3 % above for the narrowest to 15 %
// below for the widest, on average 6 % below with a standard deviation of 5 %;
// the stated bands, about 16 % to either side, hold 24 of them, and the other
// four lie within 3 % of the band's end. No size is tuned. Measured dimensions
// narrow the band. Densities and freezing points are those of one pinned
// source for each fluid and range, see [FluidKind.Source], with the
// disagreement of the others as their spread: mostly below 0.7 % and 3 K, but
// up to 10 K near the eutectic of calcium chloride.
//
// # Care
//
// Filling a tire can kill: a tire and rim under pressure store much energy,
// and the fluids corrode, poison or burn. The answers carry [Cautions]; the
// operator's manual, the tire maker's data and local rules come first.
package liquid
