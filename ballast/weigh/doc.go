// Package weigh computes what scales, a tape and light test loads say about a
// machine: where its center of gravity lies, at what load it would tip, and which
// reading cannot be right.
//
// Start with [Session], a series of readings of the rear axle with light loads
// just off the ground: [Session.Predict] gives the tipping load with its
// interval, or says why it states none. It also names the likeliest mistake and
// the next safe load. [Session.Expect] and [Session.Needs] say beforehand how
// precise a planned session would be. [LevelWeighing] and [AxleLift] find the
// center of gravity from wheel loads on level ground and with one axle raised.
// [Reconciliation] compares a [SpecSheet], the parts of a machine by its papers,
// with readings and names the part that is wrong. [SpecSheetOf] makes a sheet of
// a [ballast.Setup], and [Prediction.Transfer] carries a prediction to another
// setup by the [Change] between two sheets.
//
// Limits, ratings and plans are questions for package ballast. Every answer comes
// from one weighted least-squares fit, in which [Measured] values count as
// readings too, and states its uncertainty.
//
// The interval of an answer is only as good as the stated uncertainties of the
// tape and the scale. A mistake that no reading contradicts is not found. Never
// look for a tipping load by raising the rear wheels. Answers carry [Cautions] as
// data. The operator's manual, local rules and licensed practice come first.
package weigh
