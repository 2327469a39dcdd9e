package weigh

import "example.com/steelyard/units"

// What the tests put to steps of an answer that no answer shows alone.
var (
	FreeLine  = freeLine
	LiftModel = liftModel
	Tipping   = tipping
)

// OneReading is the standard deviation of one reading.
func (s Scale) OneReading() float64 { return s.reading() }

// Wide reports whether nothing may be stated of an estimate.
func (e LoadEstimate) Wide() bool { return e.wide() }

// ExpectAny is Expect of loads that need not be those of a whole session.
func (s Session) ExpectAny(rearEmpty units.Mass, loads []units.Mass) (Outlook, error) {
	return s.expect(rearEmpty, loads)
}

// Diagnose returns what is found to be wrong with the readings.
func (s Session) Diagnose() []Finding { return s.diagnose(s.newFit()) }

// Saturated returns the readings at the end of the scale, and whether that end
// was stated.
func (s Session) Saturated() ([]Finding, bool) { return s.saturated(s.newFit()) }

// FitStart is the load of the empty rear axle from which the fit starts.
func (s Session) FitStart() float64 { return s.newFit().at[fitRear] }
