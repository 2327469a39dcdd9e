// Package reliability computes the chance that a limit is broken, given what varies.
//
// Start with [Problem]: variables with their distributions and correlations, measured
// tracks of quantities that go together, the names of the limits, and a function that
// gives the margin of each limit, negative where it is broken. [Problem.Compile] checks
// it and returns a [Study].
//
// [Study.Chance] answers for one limit by itself: it samples, looks for the design
// points of first order, and takes importance sampling or subset simulation where
// failure is rare. Every answer has an interval. [Study.Sample] is plain sampling of all
// limits at once. [Study.Sobol] says which variable the spread of a margin comes from,
// [Study.Linear] propagates as the GUM does, and [Study.Propagate] by sampling.
//
// Spread and ignorance are different things. A distribution says how often; a range of
// what nobody measured says nothing of the kind, and no distribution belongs to it. For
// such a range the margins of both of its ends are two limits, and the chance is
// between theirs.
//
// The figures are for engineers. A chance of one in a million rests on the tails of
// distributions that nobody has seen. The operator's manual, local rules and licensed
// practice come first, and no chance replaces a limit.
package reliability
