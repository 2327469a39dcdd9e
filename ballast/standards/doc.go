// Package standards answers what standards, tests and handbooks say of
// tractors: figures that somebody published, each with its source.
//
//   - How a tractor is weighted for drawbar work, and how much it may slip:
//     [FrontShareForDrawbarWork], [MassPerPowerForDrawbarWork], [BestSlip],
//     [SlipFromTurns].
//   - What a drive wheel pulls on soil: [Traction].
//   - What a pull does to the axles: [Pull].
//   - What goes with a hitch: [RequiredHitchLift], [HitchCategory].
//   - For which mass a roll-over protective structure is tested: [ROPSTest].
//   - What is asked of the service brake: [RequiredServiceBrake].
//   - What fills a ballast box or a bucket: [ConcreteDensity] and its like.
//
// Start at [BestSlip] for the figures of practice, and at [Traction.SlipFor]
// for a computed answer; both stand in one example.
//
// An input with several fields is a struct and answers by Solve, or by At and
// SlipFor where one number more is asked; its answer is named after what it
// is. A figure that a source tabulates is a function of what the table asks.
//
// The package knows nothing of a machine with its loader and ballast: what
// such a machine may lift and which weight it needs is for package ballast,
// and when it tips or slides for package stability. The figures here are not
// limits. A share of practice for pulling never stands in for the least
// steered share, and a test mass never for a permissible one.
//
// Where sources disagree an answer is a band that takes in all of them and
// names its [Sources]. [Notes] say how well a figure is known; constants from
// memory say so. Answers on which somebody's safety hangs carry [Cautions]:
// the operator's manual, local rules and licensed practice come first.
//
// Bad input is an error that names each bad field by its path in JSON names,
// and of a function each bad parameter by its name.
package standards
