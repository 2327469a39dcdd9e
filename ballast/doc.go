// Package ballast answers what a machine may lift, and what weight must go where.
//
// A [Setup] is a [Machine] with its [Loader], an [Attachment] and its ballast
// as [Piece] values. A [Lift] is a load case: at which height, on which
// ground, by which safety basis. [Setup.UsableLoad] says how much may be lifted
// and [Setup.Check] whether one load may be, as far as the setup says: their
// answers are ranges, and what nobody gave widens them. [Setup.Envelope] compiles
// that for many questions, among them [Envelope.SlopeLimit] and what is worth
// measuring next, [Envelope.Questions].
//
// Where everything is known, [Setup.Compile] once: a [Model] and the [Case] values
// it makes answer with single numbers, are immutable, safe for many goroutines,
// and [Case.Check] allocates nothing. They are for sweeps and plans; what
// is not known they leave unchecked, and say so. Both ways of asking agree where
// nothing is open: limits and tipping loads to the last bit, wheel loads to rounding.
//
// # Two questions
//
// What the loader can lift and what the machine may carry are different
// questions, and every answer keeps them apart. The first is a balance of forces:
// a load that is too heavy stays down, and no dynamic factor belongs to it. The
// second has tipping by the chosen safety basis, axles, tires, wheels, gross mass
// and ratings. The dynamic factor multiplies load, attachment and arms where
// wheels may lift. Static ratings take none, and neither does a safety basis that
// is a share or a fraction.
//
// # The physics of a lift
//
// In one case every limit is linear in the load. Wheel
// loads come from the linear rows of package stability: with the front axle on a
// free pin the body tips about the line from a rear contact to the pin. Tipping
// forward is the rear axle's load falling to zero; on level ground
//
//	tipping load = [sum over everything else of m_i (L - x_i)] / (x_load - L).
//
// Held by TestValidation and TestLimitsOfFreeBodies.
//
// The hydraulic limit is a balance of moments about the arm's pivot, or the
// loader's rated points.
//
// # Over an obstacle
//
// A [Travel] carries a load over the roughest place that a tape has measured.
// [Setup.Travel] says up to which load no lift-off was found, at every speed up to
// one: the least of the lift's own answer, of statics on the obstacle and of the passage as
// package stability follows it. A stated obstacle lowers a load below the answer with the
// default factor and never raises one above it, because the hidden rut is on no form.
// Where a wheel lifts there is no load figure.
//
// # What is not known
//
// Zero means "not given". What no brochure prints (height of the center of
// gravity, of the front axle's pin, mass of the front axle) takes the range of
// [UsualPractice], or one of the caller's own, and every answer names it. A rating
// that nobody gave takes no range: the verdict is then [NeedsRatings], and the
// answer says what the plate would have to say at least. Less knowledge never
// permits more: the answer of a setup of which less is known holds that of one of
// which more is known. Only gravity, sideways positions (then in the middle plane), the
// dynamic factor and the safety basis have a meaning when they are left out; without a
// safety [Basis] no load is stated.
//
// Of a [Model] a rating that nobody gave is [stability.NotChecked]
// and never infinite, and a limit of which only an upper bound is known is
// [stability.AtMost]: more than its mass exceeds it, less is not checked.
//
// # Errors
//
// Bad input is an error that names each bad field by its path in JSON names.
// What is the receiver's stands there as it is ("machine.wheelbase" of a
// setup), what is a parameter's behind the parameter's name ("lift.height"). Of
// the function Plan and of a document all are parameters: "setup.machine.mass".
//
// Every answer carries [Cautions] as data; the short forms (UsableLoad of
// [Case] and [Model], the wheel loads) do not: show those
// of the [Use] with them. This is a calculation: operator's manuals, local
// rules and licensed practice come first, and nobody looks for a tipping load
// by lifting.
package ballast
