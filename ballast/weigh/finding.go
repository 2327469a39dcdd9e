package weigh

import (
	"fmt"
	"strings"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/units"
)

// Cause is the likely cause of readings that do not fit. In
// JSON: "unknown", "outlier", "axlesSwapped", "rearInPounds",
// "rearInKilograms", "frontInPounds", "frontInKilograms", "loadInPounds",
// "loadInKilograms", "saturated", "missingTare", "scaleDrift", "loaderDrift",
// "curvature", "geometryOff", "scatter", "hysteresis",
// "rowsSwapped" or "loadElsewhere".
type Cause uint8

// The causes that weighing recognizes.
const (
	// CauseUnknown is no cause; no finding has it.
	CauseUnknown Cause = iota
	// CauseOutlier is a row that does not fit the others, for no reason that its
	// numbers show.
	CauseOutlier
	// CauseAxlesSwapped is the front reading in the place of the rear one.
	CauseAxlesSwapped
	// CauseRearInPounds is a rear reading in pounds that was taken as kilograms.
	CauseRearInPounds
	// CauseRearInKilograms is a rear reading in kilograms that was taken as pounds.
	CauseRearInKilograms
	// CauseFrontInPounds is a front reading in pounds that was taken as kilograms.
	CauseFrontInPounds
	// CauseFrontInKilograms is a front reading in kilograms that was taken as
	// pounds.
	CauseFrontInKilograms
	// CauseLoadInPounds is a load in pounds that was taken as kilograms.
	CauseLoadInPounds
	// CauseLoadInKilograms is a load in kilograms that was taken as pounds.
	CauseLoadInKilograms
	// CauseSaturated is a scale at the end of its range.
	CauseSaturated
	// CauseMissingTare is a mass that every load includes but that was not counted,
	// such as the bin or the pallet.
	CauseMissingTare
	// CauseScaleDrift is a reading that changes with time.
	CauseScaleDrift
	// CauseLoaderDrift is a reach that changes with time: the loader sinks, or the
	// loads do not sit at the same place.
	CauseLoaderDrift
	// CauseCurvature is a line that is not straight: the reach, the tires or the
	// ground change under the load.
	CauseCurvature
	// CauseGeometryOff is a slope that does not fit the reach and the wheelbase by
	// tape.
	CauseGeometryOff
	// CauseScatter is more spread than the scale's standard deviation explains.
	CauseScatter
	// CauseHysteresis is a difference between raising and lowering.
	CauseHysteresis
	// CauseRowsSwapped is two readings of one axle in each other's place.
	CauseRowsSwapped
	// CauseLoadElsewhere is test loads that sat farther ahead or behind than was
	// taped.
	CauseLoadElsewhere

	causeEnd
)

var causeNames = []string{
	"unknown", "outlier", "axlesSwapped", "rearInPounds", "rearInKilograms", "frontInPounds", "frontInKilograms",
	"loadInPounds", "loadInKilograms", "saturated", "missingTare", "scaleDrift", "loaderDrift", "curvature",
	"geometryOff", "scatter", "hysteresis", "rowsSwapped", "loadElsewhere",
}

var causeText = [causeEnd]string{
	"something is wrong",
	"this reading does not fit the others",
	"front and rear readings look swapped",
	"the rear reading looks like pounds written as kilograms",
	"the rear reading looks like kilograms written as pounds",
	"the front reading looks like pounds written as kilograms",
	"the front reading looks like kilograms written as pounds",
	"the load looks like pounds written as kilograms",
	"the load looks like kilograms written as pounds",
	"the scale seems to have reached its end",
	"every load looks heavier than stated by the same amount: the bin or pallet may not be counted",
	"the readings drift with time: check the scale and the ground",
	"the reach drifts with time: the loader sinks, or the loads do not sit at the same place",
	"the readings bend away from a straight line",
	"the slope of the readings does not fit the measured reach and wheelbase",
	"the readings spread more than the stated scale error explains",
	"the readings differ between raising and lowering: something sticks",
	"two readings look exchanged",
	"the loads seem to have sat elsewhere than was taped",
}

// Finding is one thing that does not fit in a set of readings.
type Finding struct {
	// Cause is the likely cause.
	Cause Cause `json:"cause"`
	// Row is the reading concerned, counted from 0; -1 means all readings.
	Row int `json:"row"`
	// Off is the size of the fault: the error of a reading, the tare that was not
	// counted, the drift over the session, or the bend at the largest load. It is
	// zero if the fault is not a mass.
	Off units.Mass `json:"off,omitempty"`
	// Sigmas is the fault in standard deviations; zero if it was not measured that
	// way.
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

// Refusals says why a tipping load is not stated. It is a set of bits, empty if
// the load is stated, and only answers carry it. In JSON it is one string of
// names joined by commas: "fewLoads", "smallLoads",
// "closeLoads", "noEmptyReading", "wrongRow", "axlesSwapped", "unitsMixed",
// "scaleSaturated", "missingTare", "drift", "curved", "geometryDisagrees",
// "scatter", "wideInterval". [Refusals.Lines] returns the sentences.
type Refusals uint32

// The reasons for which a tipping load is not stated.
const (
	// RefusedFewLoads: there are fewer than LeastLoads different loads. With three
	// loads a free line has one degree of freedom and cannot show curvature.
	RefusedFewLoads Refusals = 1 << iota
	// RefusedSmallLoads: the largest load is less than a tenth of the tipping load
	// that the geometry gives, so the readings do not check the geometry.
	RefusedSmallLoads
	// RefusedCloseLoads: the loads are too close together for this scale. The
	// readings alone do not give their slope to 3 %, so a wrong reach would not be
	// noticed.
	RefusedCloseLoads
	// RefusedNoEmpty: there is no reading with the attachment empty, so a missing
	// tare would not be noticed.
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
	// RefusedScatter: the readings spread more than the stated scale error
	// explains.
	RefusedScatter
	// RefusedWide: the interval is unbounded, or its half width is more than a
	// fifth of the estimate. Measure reach and wheelbase better.
	RefusedWide

	refusalEnd
)

// RefusedData are the refusals for data that contradict each other, so that no
// fit to them is valid. The other refusals ask for more or better data.
const RefusedData = RefusedRow | RefusedSwapped | RefusedUnits | RefusedSaturated | RefusedTare | RefusedDrift |
	RefusedCurved | RefusedGeometry | RefusedScatter

var refusalText = []choice.Remark{
	{Name: "fewLoads", Sentence: "Fewer than four different loads were read: take four or five, including the empty attachment."},
	{Name: "smallLoads", Sentence: "The loads are too small to check the measured geometry."},
	{Name: "closeLoads", Sentence: "The loads are too close together for this scale."},
	{Name: "noEmptyReading", Sentence: "There is no reading with the attachment empty."},
	{Name: "wrongRow", Sentence: "One reading does not fit the others."},
	{Name: "axlesSwapped", Sentence: "Front and rear readings look swapped."},
	{Name: "unitsMixed", Sentence: "Pounds and kilograms look mixed."},
	{Name: "scaleSaturated", Sentence: "The scale seems to have reached its end."},
	{Name: "missingTare", Sentence: "The loads look heavier than stated by a constant amount."},
	{Name: "drift", Sentence: "The readings drift with time."},
	{Name: "curved", Sentence: "The readings do not lie on a straight line."},
	{Name: "geometryDisagrees", Sentence: "The readings do not fit the measured reach and wheelbase."},
	{Name: "scatter", Sentence: "The readings spread more than the stated scale error explains."},
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
