// Package units holds quantities in SI and reads and writes them in the user's units.
//
// A quantity is a defined float64 type that counts SI units, and a unit is a
// constant of that type, as with [time.Duration]:
//
//	height := 36 * units.Inch             // a Length
//	inches := float64(height / units.Inch) // a plain number again
//	mass := units.Mass(n) * units.Pound   // n of a float64 variable
//
// Constants carry the exact factors of NIST SP 811 (2008), Appendix B; the
// file UNITS.md lists every unit with its factor, its source and its
// spellings. A product of two quantities that is a third one is a method:
// [Density.Mass], [Mass.Weight], [Force.Moment]. Types that differ do not mix: a mass
// is not a force, a gauge pressure is not an absolute pressure, a temperature is not a
// difference, and a mass per volume of water is not a mass per volume of solution.
// Conversions between concentrations need a density, so they are in package liquid.
//
// # Promises
//
//   - The text that String, MarshalText or JSON writes is read back bit for bit.
//   - A parser reads n of a unit as exactly n times the unit's constant:
//     ParseLength("24 in") == 24*Inch.
//   - Ambiguous text is refused, and so is a number that is not finite, in reading and
//     in marshaling. An error says what would be accepted. A value is unchanged if
//     reading into it fails.
//   - Reading allocates nothing when it succeeds.
//   - There is no package state to change.
//
// # What the parsers read
//
// One grammar serves every kind:
//
//   - A text is a sign (+, - or the minus sign U+2212), a number, any spaces, and a
//     unit: "24 in", "24in", "-5 degC". Spaces before and after it are ignored. The
//     plain space, the no-break spaces (U+00A0, U+202F) and the thin space (U+2009)
//     count as spaces.
//   - A point is always the decimal point, so "7.000 kg" is seven kilograms.
//     Instruments, spreadsheets and this package itself write three decimals
//     ("1.234 kg"). A point that separates thousands must be removed first. A decimal
//     comma is refused with a hint; [Parse] reads it.
//   - Digits may be grouped by threes with spaces ("12 500 kg"). They may be grouped
//     with commas if no reader could take one for a decimal comma, which is so if a
//     decimal point or another comma follows: "1,234.5 lb" and "1,234,567 lb" are
//     read, and "1,234 lb" is refused.
//   - Powers of ten ("1e3 mm"), and fractions of the tape measure with a
//     denominator of 2, 4, 8, 16, 32 or 64 ("3/4 in", "23 1/2 in", "23-1/2 in", "23½ in").
//   - Compounds: "5 ft 3 in", 5'3", "5 lb 3 oz", "1 h 30 min",
//     "12° 30′". Each part except the last is a whole number, and each part is
//     smaller than one of the unit before it. A sign counts for all parts.
//     "5 ft 3 in" is 63 in.
//   - A unit is required, except for a [Fraction], and its case matters. Raised
//     digits, "^", "·" and British endings are read as well: "m³", "N·m", "litre".
//   - A [Slope] is "12 deg", "21 %" (a grade) or "1:5" (rise to run, no steeper
//     than 1:1). A [Temperature] is "-5 degC", "23 degF" or "268.15 K".
//   - Ambiguous units are refused, and the error names the exact ones: ton, gal, qt,
//     pt, fl oz and hp; pounds and kilograms for a force; psi, bar and Pa for a gauge
//     or an absolute pressure; % for a mass fraction; a mass per volume that does not
//     say whether it is of water or of solution.
//
// Errors are [*FieldError] values, with what would be accepted as Want, and
// wrap [ErrInvalid].
//
// # Writing
//
// The default form, that of %v, String and MarshalText, is the fewest digits that read
// back, followed by the SI unit. The verbs %e %f %g %E %F %G take flags, width and
// precision as for a float64, and the unit follows: %.2f of a length prints "0.61 m".
// %q quotes, and %#v prints Go syntax. To print a number in another unit, divide:
// fmt.Printf("%.1f in", float64(l/units.Inch)).
//
// For people, use [Format] with a [Display]. It writes the trade's unit in a [System]
// of units, rounded to significant digits or decimals: down for a capacity and up for
// a requirement.
//
// Each type implements [encoding.TextMarshaler] and
// [encoding.TextUnmarshaler], so JSON holds it as a string with its unit
// ("24 in"), and [flag.TextVar] makes it a flag.
//
// # What is not known
//
// An [Input] is what somebody knows of a quantity: a value ([Is]), a range
// ([Between]), that there is none ([None]), or nothing, its zero value.
//
// # Limits of the compiler
//
// To the Go compiler a Length times a Length is a Length, and Mass(f) of a Force
// compiles. A test checks that the module's own source does neither. In your code
// write float64(a / b) for a ratio, and use the methods for the rest.
package units
