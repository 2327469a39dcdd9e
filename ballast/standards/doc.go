// Package standards gives what standards, tests and handbooks say about tractors:
// published figures, each with its source.
//
//   - How a tractor is weighted for drawbar work, and how much it may slip:
//     [FrontShareForDrawbarWork], [MassPerPowerForDrawbarWork], [BestSlip],
//     [SlipFromTurns].
//   - What a drive wheel pulls on soil: [Traction].
//   - How a pull changes the axle loads: [Pull].
//   - How mounted implements and a loader's counterweight load the axles, and the
//     least ballast by the standard's and the manuals' formulas: [MountedImplements],
//     [Counterweight].
//   - The lift force and the dimensions of a hitch: [RequiredHitchLift],
//     [HitchCategory].
//   - The mass for which a roll-over protective structure is tested: [ROPSTest].
//   - What is required of the service brake: [RequiredServiceBrake].
//   - How a tractor compares with named rules: [Figures].
//   - What fills a ballast box or a bucket: [ConcreteDensity] and its like.
//
// Start with [BestSlip] for the figures of practice, and with [Traction.SlipFor] for
// a computed answer; one example shows both.
//
// An input with several fields is a struct with a method Solve, or with methods of
// other names if it has several answers, or with At and
// SlipFor if one more number is needed. A figure that a source tabulates is a
// function of the table's arguments.
//
// This package does not deal with a machine with its loader and ballast. Package
// ballast computes what such a machine may lift and which weight it needs; package
// stability computes when it tips or slides. The figures here are not limits. A
// share of practice for pulling never replaces the least steered share, and a test
// mass never replaces a permissible one.
//
// If sources disagree, an answer is a band that includes all of them and names its
// [Sources]. [Notes] say how well a figure is known and whether a constant is from
// memory. Answers that affect safety carry [Cautions]: the operator's manual, local
// rules and licensed practice come first.
//
// Bad input is an error. It names each bad field by its path in JSON names, and each
// bad parameter of a function by its name.
package standards
