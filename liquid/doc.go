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
// Filling a tire can kill: a tire and rim under pressure store much energy,
// and the fluids corrode, poison or burn. The answers carry [Cautions]; the
// operator's manual, the tire maker's data and local rules come first.
package liquid
