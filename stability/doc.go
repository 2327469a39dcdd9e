// Package stability computes when a machine on its wheels tips, slides or
// overturns, and what load each wheel carries.
//
// A machine is a [Vehicle]: a [Body] assembled from parts ([Assemble]) on an
// [Undercarriage]. [Vehicle.Compile] prepares it as a [Model], whose methods
// answer the questions:
//
//   - [Model.Loads]: the load on every wheel on any slope and heading, with
//     acceleration, drawbar pull and a share of the holding force on the front
//     wheels.
//   - [Model.WorstTip]: the tipping limit to show, the least over all headings.
//     [Model.Tip] gives that of one heading, [Model.Polar] that of many, and
//     [Model.Limits] includes sliding.
//   - [Model.Turn], [Model.Braking], [Model.PullToLift], [Model.Rearward],
//     [Model.Rear]: speed, deceleration, pull and torque.
//   - [Model.Margin], [Model.EnergyToOverturn], [Model.OnStop],
//     [Model.Rollover]: the margin to the limit, and the motion past it.
//   - [Model.TipOnTires], [Model.OnUneven], [Model.Sensitivity],
//     [Model.Band]: the effect of elastic tires, ruts and uncertain inputs.
//   - [Passage] and its [PassageModel]: what an obstacle, a speed and the brakes do
//     to a machine with a load: least rear load, lifting, going over.
//     [RollPassage] is the same with the wheels of one side, on a slope.
//   - [NarrowTractor.Continuous], [NarrowTractor.TiltTest]: what Regulation (EU)
//     No 1322/2014 calculates of a narrow tractor that has overturned sideways, and
//     the tilt at which it balances.
//
// [Undercarriage.Influence] gives the wheel loads as linear functions of the
// masses, for planning where to put weight.
//
// # Promises
//
// A pivoting front axle carries no roll moment until it meets its stop. The body
// therefore tips about the line from the downhill rear contact to the pin, much
// earlier than a rigid machine would. The limit shown is the first loss of any
// wheel; it never counts on the stop.
//
// Every limit has a kind, a status and a value. The status [NotChecked] means
// that something is not known; it never means that the machine is safe. A
// machine whose center of gravity is outside its wheels gets the status
// [Exceeded]. Bad input gives an error that names each field
// ([units.FieldError]). No result holds a NaN or an infinity.
//
// A wheel that lifts carries no longitudinal force. If an equal share would make
// a wheel lose its load, the wheels of its axle share in proportion to their
// loads. Limits and loads follow this one rule.
//
// A missing input permits no more than its true value could, or the answer says
// in its [Notes] that the input is missing. These are the height of the pin and
// the mass of the axle, which may lower or raise the limit, and the bend of an
// articulated machine, where the worst bend counts. The kind of undercarriage
// must be given.
//
// Answers carry their assumptions ([Notes]) and the warnings to show with them
// ([Cautions]). The short forms ([Loads], [PolarPoint], [Sensitivity],
// [TipBand]) do not: show those of the limit, such as [Model.WorstTip], with
// them. Answers are calculated for firm, even ground and slow change. The
// operator's manual and local rules come first. Never try a limit out on a
// machine.
//
// # Frame
//
// x points forward from the rear contact line, y to the left, z up from level
// ground (ISO 8855). A heading of 0 points the nose straight uphill, 90
// degrees across the slope with downhill on the right, 180 downhill.
//
// # Physics
//
// All loads follow from the six balances of force and moment of the machine and
// a seventh equation of its kind: for a pivot, no roll moment crosses the pin.
// The balance is linear in the masses and in the specific weight, which is
// gravity less acceleration. At rest a load divided by g cos b is
// a - tan b (s sin h + c cos h), where a, s and c are constants of the machine.
// Every tipping limit and the worst heading therefore have a closed form; a
// limit is searched for only if wheels share in proportion to their loads. The
// results were compared with a rigid-body engine, with free bodies and with
// separately computed potential energies; see the package's tests.
//
// Units are SI, in the types of package units.
package stability
