// Package ballast answers what a machine may lift, and what weight must go where.
//
// A [Setup] is a [Machine] with its [Loader], an [Attachment] and its ballast
// as [Piece] values. A [Lift] is a load case: at which height, on which
// ground, by which safety basis. [Setup.UsableLoad] finds the greatest load
// with every limit beside it, [Setup.Check] says whether one load may be
// lifted and how much of each limit it uses, [Setup.Chart] makes a load
// chart. To ask often, [Setup.Compile] once: a [Model] and the [Case] values
// it makes are immutable, safe for many goroutines, and [Case.Check]
// allocates nothing. The convenient methods call the compiled ones, and give
// the same bits.
//
// # The physics of a lift
//
// In one case every limit is linear in the load. A limit of which something
// is not known is told as far as it is known: a tire below the lowest pressure
// of its maker's table, a way that leaves the heights for which the loader is
// rated, a tire with a speed symbol and no speed. Its status is then
// [stability.AtMost]: more than its mass exceeds it, less is not checked. Wheel
// loads come from the linear rows of package stability: with the front axle on a
// free pin the body tips about the line from a rear contact to the pin. Tipping
// forward is the rear axle's load falling to zero; on level ground
//
//	tipping load = [sum over everything else of m_i (L - x_i)] / (x_load - L).
//
// Held by TestValidation and TestLimitsOfFreeBodies.
//
// The hydraulic limit is a balance of moments about the arm's pivot, or the
// loader's rated points. What the loader can lift and what the machine may carry
// are different questions, and every answer keeps them apart. The dynamic factor
// multiplies load, attachment and arms where wheels may lift. The lift takes
// none, for a load that is too heavy stays down; static ratings of axles, tires,
// wheels, gross mass, coupler and attachment take none, and neither does a safety
// basis that is a share or a fraction.
//
// # What is not known
//
// Zero means "not given". A rating that nobody gave is [stability.NotChecked]
// and never infinite. What no brochure prints (height of the center of
// gravity, of the front axle's pin, mass of the front axle) is needed on
// slopes and under braking only: without it level answers stay, and slope
// answers are not checked, with [Notes] that say what to measure. Without a
// safety [Basis] no usable load is stated.
//
// # Errors
//
// Bad input is an error that names each bad field by its path in JSON names.
// What is the receiver's stands there as it is ("machine.wheelbase" of a
// setup), what is a parameter's behind the parameter's name ("lift.height"). Of
// the function Plan and of a document all are parameters: "setup.machine.mass".
//
// Every answer carries [Cautions] as data; the short forms (UsableLoad of
// [Case] and [Model], [Setup.UsableBand], the wheel loads) do not: show those
// of the [Use] with them. This is a calculation: operator's manuals, local
// rules and licensed practice come first, and nobody looks for a tipping load
// by lifting.
package ballast
