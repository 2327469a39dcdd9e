// Package stability answers when a body on its contacts tips, slides or
// overturns, and what each wheel carries.
//
// A machine is a [Vehicle]: a [Body] assembled from parts ([Assemble]) on an
// [Undercarriage]. [Vehicle.Compile] prepares it as a [Model], whose methods
// answer the questions:
//
//   - [Model.Loads]: the load on every wheel on any slope and heading, with
//     acceleration, drawbar pull and a share of the holding force in front.
//   - [Model.WorstTip]: the tipping limit to show, the least over all
//     headings; [Model.Tip], [Model.Polar] and [Model.Limits] for one heading,
//     for all, and with sliding beside.
//   - [Model.Turn], [Model.Braking], [Model.PullToLift], [Model.Rearward],
//     [Model.Rear]: speed, deceleration, pull and torque.
//   - [Model.Margin], [Model.EnergyToOverturn], [Model.OnStop],
//     [Model.Rollover]: how far it is to the limit, and what happens past it.
//   - [Model.TipOnTires], [Model.OnUneven], [Model.Sensitivity],
//     [Model.Band]: what giving tires, ruts and uncertain inputs do.
//
// [Undercarriage.Influence] gives the wheel loads as linear functions of the
// masses, for whoever plans where weight goes.
//
// # Promises
//
// A pivoting front axle carries no roll moment until its stop. The body
// therefore tips about the line from the downhill rear contact to the pin,
// much earlier than a rigid machine would; the limit shown is the first loss
// of any wheel, never what the stop may still hold.
//
// Every limit is a kind, a status and a value. A status of [NotChecked] means
// that something is not known, and never that all is well. A machine whose
// center of gravity is outside its wheels is answered with [Exceeded], bad
// input with an error that names each field ([units.FieldError]). No result
// holds a NaN or an infinity.
//
// A wheel that lifts carries no longitudinal force, the wheels of an axle share
// by their loads where an equal share would lose one of them, and limits and
// loads go by this one rule. What is not given permits no more than what could be
// true, or the answer says in its [Notes] that it was not given: the height of
// the pin and the mass of the axle, which may lower the limit or raise it, and
// the bend of an articulated machine, of which the worst counts. The kind of
// undercarriage must be given.
//
// Answers carry what they assume ([Notes]) and what must be said beside them
// ([Cautions]); the short forms ([Loads], [PolarPoint], [Sensitivity],
// [TipBand]) do not: show those of the limit, such as [Model.WorstTip], with
// them. Answers are calculated for firm, even ground and slow change; the
// operator's manual and local rules come first, and nothing here is to be
// tried out on a machine.
//
// # Frame
//
// x points forward from the rear contact line, y to the left, z up from level
// ground (ISO 8855). A heading of 0 points the nose straight uphill, 90
// degrees across the slope with downhill on the right, 180 downhill.
//
// # Physics
//
// All loads follow from the six balances of force and moment of the machine
// and the one of its kind: no roll moment crosses the pin. The balance is
// linear in the masses and in the specific weight, gravity less acceleration.
// At rest a load over g cos b is a - tan b (s sin h + c cos h), with constants
// for the machine, so that every tipping limit has a closed form and the worst
// heading too; only where wheels share by their loads is a limit sought. What
// rests on it was compared with a rigid-body engine, with free bodies and with
// potential energies computed apart; see the package's tests.
//
// Units are SI, in the types of package units.
package stability
