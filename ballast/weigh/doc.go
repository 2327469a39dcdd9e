// Package weigh computes what a tape, scales, light test loads, a pressure gauge and
// papers say about a machine with a front loader: at what load it would tip, what it
// lifts, what its axles carry, and which reading cannot be right.
//
// Start with [Record], all that was read at one machine in whatever poses.
// [Record.Fit] makes one estimate of the [Machine] from it, and [Machine.Ask] answers
// a [Question]: the tipping load at any height, lift, hold and sink through the arc,
// axle loads, the slope limit, the effect of ballast. Each [Answer] has its interval,
// its external reliability, which is how far a mistake that nobody notices could move
// it, and its [Doubts]. [Machine.Next] says which reading to take next, and
// [Machine.Setup] makes a [ballast.Setup] of ranges.
//
// Limits, ratings and plans are questions for package ballast. Every answer comes from
// one weighted least-squares fit, in which what nobody read has a range of practice.
//
// An interval is only as good as what is stated of the instruments, and it says
// nothing of mistakes: external reliability does. Never look for a tipping load by
// raising the rear wheels. Answers carry [Cautions] as data. The operator's manual,
// local rules and licensed practice come first.
package weigh
