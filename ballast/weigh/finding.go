package weigh

import (
	"fmt"
	"strings"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/units"
)

// Cause is what a set of readings looks like when something went wrong. In
// JSON: "unknown", "outlier", "axlesSwapped", "rearInPounds",
// "rearInKilograms", "frontInPounds", "frontInKilograms", "loadInPounds",
// "loadInKilograms", "saturated", "missingTare", "scaleDrift", "loaderDrift",
// "curvature", "geometryOff", "scatter" or "hysteresis".
type Cause uint8

// The causes that weighing recognizes.
const (
	// CauseUnknown is no cause; it stands in no finding.
	CauseUnknown Cause = iota
	// CauseOutlier is a row that the others do not bear out, for no reason that
	// its numbers give away.
	CauseOutlier
	// CauseAxlesSwapped is the front reading in the place of the rear one.
	CauseAxlesSwapped
	// CauseRearInPounds is a rear reading whose number is one of pounds, read as
	// kilograms.
	CauseRearInPounds
	// CauseRearInKilograms is a rear reading whose number is one of kilograms,
	// read as pounds.
	CauseRearInKilograms
	// CauseFrontInPounds is a front reading whose number is one of pounds, read as
	// kilograms.
	CauseFrontInPounds
	// CauseFrontInKilograms is a front reading whose number is one of kilograms,
	// read as pounds.
	CauseFrontInKilograms
	// CauseLoadInPounds is a load whose number is one of pounds, read as
	// kilograms.
	CauseLoadInPounds
	// CauseLoadInKilograms is a load whose number is one of kilograms, read as
	// pounds.
	CauseLoadInKilograms
	// CauseSaturated is a scale at the end of its range.
	CauseSaturated
	// CauseMissingTare is a mass that every load brings and no load counts, such
	// as the bin or the pallet.
	CauseMissingTare
	// CauseScaleDrift is a reading that changes with time.
	CauseScaleDrift
	// CauseLoaderDrift is a reach that changes with time: the loader sinks, or the
	// loads are taken up differently.
	CauseLoaderDrift
	// CauseCurvature is a line that bends: the reach, the tires or the ground give
	// under the load.
	CauseCurvature
	// CauseGeometryOff is a slope that the tape's reach and wheelbase do not
	// explain.
	CauseGeometryOff
	// CauseScatter is more spread than the scale's standard deviation explains.
	CauseScatter
	// CauseHysteresis is a difference between raising and lowering.
	CauseHysteresis

	causeEnd
)

var causeNames = []string{
	"unknown", "outlier", "axlesSwapped", "rearInPounds", "rearInKilograms", "frontInPounds", "frontInKilograms",
	"loadInPounds", "loadInKilograms", "saturated", "missingTare", "scaleDrift", "loaderDrift", "curvature",
	"geometryOff", "scatter", "hysteresis",
}

var causeText = [causeEnd]string{
	"something is wrong",
	"the other readings do not bear this one out",
	"front and rear readings look swapped",
	"the rear reading looks like pounds written as kilograms",
	"the rear reading looks like kilograms written as pounds",
	"the front reading looks like pounds written as kilograms",
	"the front reading looks like kilograms written as pounds",
	"the load looks like pounds written as kilograms",
	"the load looks like kilograms written as pounds",
	"the scale looks like it has reached its end",
	"every load looks heavier than stated by the same amount: bin or pallet not counted",
	"the readings wander with time: scale or ground",
	"the reach wanders with time: the loader sinks, or the loads sit differently",
	"the readings bend away from a straight line",
	"the slope of the readings does not fit the measured reach and wheelbase",
	"the readings spread more than the stated scale explains",
	"raising and lowering do not agree: something sticks",
}

// Finding is one thing that is odd about a set of readings.
type Finding struct {
	// Cause is what it looks like.
	Cause Cause `json:"cause"`
	// Row is the reading that it is about, counted from 0; -1 if it is about
	// all of them.
	Row int `json:"row"`
	// Off is by how much: how far a reading is off, the uncounted tare, the
	// drift over the session, the bend at the largest load. Zero where a mass
	// does not say it.
	Off units.Mass `json:"off,omitempty"`
	// Sigmas is how many standard deviations that is; zero where it was not
	// counted so.
	Sigmas float64 `json:"sigmas,omitempty"`
}

// String returns the finding as one sentence, with rows counted from 1.
func (f Finding) String() string {
	text := causeText[CauseUnknown]
	if int(f.Cause) < len(causeText) {
		text = causeText[f.Cause]
	}
	var b strings.Builder
	if f.Row >= 0 {
		fmt.Fprintf(&b, "reading %d: ", f.Row+1)
	}
	b.WriteString(text)
	if f.Off != 0 {
		fmt.Fprintf(&b, " (%+.0f kg)", float64(f.Off))
	}
	return b.String()
}

// Refusals says why a tipping load is not stated: a set of bits, empty when
// it is. The zero value refuses nothing; only an answer carries it. In JSON:
// one string of names joined by commas: "fewLoads", "smallLoads",
// "closeLoads", "noEmptyReading", "wrongRow", "axlesSwapped", "unitsMixed",
// "scaleSaturated", "missingTare", "drift", "curved", "geometryDisagrees",
// "scatter", "wideInterval"; the sentences are [Refusals.Lines].
type Refusals uint32

// The reasons for which a tipping load is not stated.
const (
	// RefusedFewLoads: fewer than LeastLoads different loads. Three leave a
	// free line one degree of freedom and no power against curvature.
	RefusedFewLoads Refusals = 1 << iota
	// RefusedSmallLoads: the largest load is less than a tenth of the tipping
	// load that the geometry gives, so that the readings prove nothing.
	RefusedSmallLoads
	// RefusedCloseLoads: the loads are so close together, for this scale,
	// that the readings alone would not know their own slope to 3 %; then a
	// wrong reach would pass unseen.
	RefusedCloseLoads
	// RefusedNoEmpty: no reading with the attachment empty, so that a tare
	// left out would pass unseen.
	RefusedNoEmpty
	// RefusedRow: a single reading is wrong; see the findings.
	RefusedRow
	// RefusedSwapped: front and rear readings are swapped.
	RefusedSwapped
	// RefusedUnits: pounds and kilograms are mixed.
	RefusedUnits
	// RefusedSaturated: the scale has reached its end.
	RefusedSaturated
	// RefusedTare: a tare is missing.
	RefusedTare
	// RefusedDrift: scale or loader drifts.
	RefusedDrift
	// RefusedCurved: the line is not straight.
	RefusedCurved
	// RefusedGeometry: readings and measured geometry disagree.
	RefusedGeometry
	// RefusedScatter: the readings spread more than the scale explains.
	RefusedScatter
	// RefusedWide: the interval is unbounded or wider than a fifth of the
	// estimate to either side: measure reach and wheelbase better.
	RefusedWide

	refusalEnd
)

// RefusedData are the refusals that say that the data contradict themselves, so
// that no fit to them means anything; the others ask for more or better data.
const RefusedData = RefusedRow | RefusedSwapped | RefusedUnits | RefusedSaturated | RefusedTare | RefusedDrift |
	RefusedCurved | RefusedGeometry | RefusedScatter

var refusalText = []choice.Remark{
	{Name: "fewLoads", Sentence: "Fewer than four different loads were read: take four or five, the empty attachment among them."},
	{Name: "smallLoads", Sentence: "The loads are too small to check the measured geometry."},
	{Name: "closeLoads", Sentence: "The loads are too close together for this scale."},
	{Name: "noEmptyReading", Sentence: "There is no reading with the attachment empty."},
	{Name: "wrongRow", Sentence: "One reading does not fit the others."},
	{Name: "axlesSwapped", Sentence: "Front and rear readings look swapped."},
	{Name: "unitsMixed", Sentence: "Pounds and kilograms look mixed."},
	{Name: "scaleSaturated", Sentence: "The scale looks like it has reached its end."},
	{Name: "missingTare", Sentence: "The loads look heavier than stated by a constant amount."},
	{Name: "drift", Sentence: "The readings drift with time."},
	{Name: "curved", Sentence: "The readings do not lie on a straight line."},
	{Name: "geometryDisagrees", Sentence: "The readings do not fit the measured reach and wheelbase."},
	{Name: "scatter", Sentence: "The readings spread more than the stated scale explains."},
	{Name: "wideInterval", Sentence: "The interval is too wide: measure reach and wheelbase better, or use a better scale."},
}

func (k Cause) refusal() Refusals {
	switch k {
	case CauseOutlier:
		return RefusedRow
	case CauseAxlesSwapped:
		return RefusedSwapped
	case CauseRearInPounds, CauseRearInKilograms, CauseFrontInPounds, CauseFrontInKilograms, CauseLoadInPounds, CauseLoadInKilograms:
		return RefusedUnits
	case CauseSaturated:
		return RefusedSaturated
	case CauseMissingTare:
		return RefusedTare
	case CauseScaleDrift, CauseLoaderDrift:
		return RefusedDrift
	case CauseCurvature:
		return RefusedCurved
	case CauseGeometryOff:
		return RefusedGeometry
	}
	return RefusedScatter
}
