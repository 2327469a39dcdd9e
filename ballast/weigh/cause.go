package weigh

// Cause is what is likely to have happened to a reading that cannot be right. In
// JSON: "outlier", "axlesSwapped", "rowsSwapped", "rearInPounds",
// "rearInKilograms", "frontInPounds", "frontInKilograms", "loadInPounds",
// "loadInKilograms", "missingTare", "loadElsewhere", "rowInPounds", "rowInKilograms",
// "loadsInPounds", "loadsInKilograms", "scaleInPounds" or "scaleInKilograms"; "unknown" is
// none.
type Cause uint8

// The causes that are tried.
const (
	// CauseUnknown is no cause; no suspect has it.
	CauseUnknown Cause = iota
	// CauseOutlier is a reading that does not fit the others, for no reason that its
	// numbers show.
	CauseOutlier
	// CauseAxlesSwapped is the front reading in the place of the rear one.
	CauseAxlesSwapped
	// CauseRowsSwapped is two readings of one axle, or of both axles, in each other's
	// place.
	CauseRowsSwapped
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
	// CauseMissingTare is a mass that every load includes but that was not counted,
	// such as the bin or the pallet.
	CauseMissingTare
	// CauseLoadElsewhere is test loads that sat farther ahead or behind than was
	// taped.
	CauseLoadElsewhere
	// CauseRowInPounds is all readings of one weighing in pounds that were taken as
	// kilograms.
	CauseRowInPounds
	// CauseRowInKilograms is all readings of one weighing in kilograms that were taken
	// as pounds.
	CauseRowInKilograms
	// CauseLoadsInPounds is all loads in pounds that were taken as kilograms.
	CauseLoadsInPounds
	// CauseLoadsInKilograms is all loads in kilograms that were taken as pounds.
	CauseLoadsInKilograms
	// CauseScaleInPounds is all readings of the scale in pounds that were taken as
	// kilograms.
	CauseScaleInPounds
	// CauseScaleInKilograms is all readings of the scale in kilograms that were taken as
	// pounds.
	CauseScaleInKilograms

	causeEnd
)

var causeNames = []string{
	"unknown", "outlier", "axlesSwapped", "rowsSwapped", "rearInPounds", "rearInKilograms", "frontInPounds", "frontInKilograms",
	"loadInPounds", "loadInKilograms", "missingTare", "loadElsewhere", "rowInPounds", "rowInKilograms",
	"loadsInPounds", "loadsInKilograms", "scaleInPounds", "scaleInKilograms",
}

var causeTitles = [causeEnd]string{
	"something is wrong",
	"this reading does not fit the others",
	"front and rear readings look swapped",
	"two readings look exchanged",
	"the rear reading looks like pounds written as kilograms",
	"the rear reading looks like kilograms written as pounds",
	"the front reading looks like pounds written as kilograms",
	"the front reading looks like kilograms written as pounds",
	"the load looks like pounds written as kilograms",
	"the load looks like kilograms written as pounds",
	"every load looks heavier than stated by the same amount: the bin or pallet may not be counted",
	"the loads seem to have sat elsewhere than was taped",
	"all readings of this weighing look like pounds written as kilograms",
	"all readings of this weighing look like kilograms written as pounds",
	"all loads look like pounds written as kilograms",
	"all loads look like kilograms written as pounds",
	"all readings of the scale look like pounds written as kilograms",
	"all readings of the scale look like kilograms written as pounds",
}

// Title returns the cause for a reader, such as "this reading does not fit the
// others". In a [units.Catalog] its code is "weigh.cause." and the JSON name.
func (k Cause) Title() string {
	if k >= causeEnd {
		k = CauseUnknown
	}
	return causeTitles[k]
}
