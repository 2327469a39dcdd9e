// Package weigh answers what scales, a tape and light test loads say of a
// machine: where its center of gravity lies, at what load it would tip, and
// which reading cannot be right.
//
// Start with [Session], a series of readings of the rear axle with light loads
// just off the ground: [Session.Predict] gives the tipping load with its
// interval, or says why it states none, names the likeliest mistake, and tells
// the next safe load; [Session.Expect] and [Session.Needs] say beforehand what a
// planned session would bring. [LevelWeighing] and [AxleLift] find the center of
// gravity from wheel loads on level ground and with one axle raised.
// [Reconciliation] holds a [SpecSheet], the parts of a machine as its papers
// have them, to readings, and names the part that is wrong. [SpecSheetOf] makes
// a sheet of a [ballast.Setup], and [Prediction.Transfer] carries a prediction
// to another setup by the [Change] between two sheets.
//
// It knows nothing of limits, ratings and plans: those are questions to package
// ballast. Every answer stands on one weighted least-squares fit with what was
// known before ([Measured] values are readings too), and says how sure it is.
//
// The interval of an answer is as good as what is said of the tape and the
// scale; mistakes that no reading contradicts are not seen. Nothing here is to
// be found by raising the rear wheels: answers carry [Cautions] as data, and
// the operator's manual, local rules and licensed practice come first.
package weigh
