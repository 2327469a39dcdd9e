package ballast

import (
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// RequiredPressure asks what pressure the tires of one axle need for its load, by
// the load-pressure table that their maker gives. The library brings no table
// along and makes none up from a load index.
type RequiredPressure struct {
	// AxleLoad is what a scale under the axle reads, up to 100 t.
	AxleLoad units.Mass `json:"axleLoad"`
	// Axle has the tires: Tire.Table must be given. TiresPerSide of duals
	// counts. Tire.Pressure, if given, is the pressure now.
	Axle Axle `json:"axle"`
	// Speed is the speed of the work, up to 80 km/h; zero means unknown.
	Speed units.Speed `json:"speed,omitempty"`
	// TableSpeed is the speed for which the table holds; zero means that it
	// does not say, and a note repeats that.
	TableSpeed units.Speed `json:"tableSpeed,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (in RequiredPressure) Validate() error {
	var c units.FieldErrors
	valid.Within(&c, "axleLoad", in.AxleLoad, 0, maxMass)
	c.Join("axle", in.Axle.Validate())
	if len(in.Axle.Tire.Table) == 0 {
		c.Add("axle.tire.table", nil, "must be given: the tire maker's load-pressure table")
	}
	valid.ZeroOr(&c, "tableSpeed", in.TableSpeed, 0.01, 80*units.KilometerPerHour)
	valid.ZeroOr(&c, "speed", in.Speed, 0.01, 80*units.KilometerPerHour)
	if in.TableSpeed > 0 && in.Speed > in.TableSpeed {
		c.Add("speed", valid.Show(in.Speed), "must be at most tableSpeed, {most}: take the table for this speed", valid.Most(in.TableSpeed))
	}
	return c.Err()
}

// RequiredPressureAnswer is the least inflation pressure for a load.
type RequiredPressureAnswer struct {
	// Pressure is the least pressure, read with a gauge in the cold tire.
	// Round it up when shown.
	Pressure units.GaugePressure `json:"pressure"`
	// TireLoad is the load of one tire that was looked up. Each tire of a dual
	// pair counts as carrying 1/0.88 of its half, of a triple 1/0.82 of its
	// third (ETRTO rule for duals; memory).
	TireLoad units.Mass `json:"tireLoad"`
	// Now says whether the pressure that the tires have now suffices: within,
	// exceeded, or not checked if it was not given.
	Now stability.Status `json:"now"`
	// Notes say how the answer was reached.
	Notes Notes `json:"notes"`
	// Cautions belong to the answer.
	Cautions Cautions `json:"cautions"`
	// Library is the version of the library that made the answer; see [units.Version].
	Library string `json:"library"`
}

// Solve returns the least pressure of the table at which each tire carries
// its part of the axle load. Between two rows the pressure is interpolated
// linearly, which errs upward: the load that a tire may carry grows more
// slowly than its pressure, so the line lies below the true curve. Below the
// first row the first pressure stays, and a note says so: nothing is
// extrapolated downward. A load beyond the last row is an error.
func (in RequiredPressure) Solve() (RequiredPressureAnswer, error) {
	if err := in.Validate(); err != nil {
		return RequiredPressureAnswer{}, err
	}
	if err := singles(&in.Axle); err != nil {
		var c units.FieldErrors
		c.Join("axle", err)
		return RequiredPressureAnswer{}, c.Err()
	}
	out := RequiredPressureAnswer{
		Library:  units.Version,
		TireLoad: units.Mass(float64(in.AxleLoad) / (in.Axle.places() * dualFactor(in.Axle.TiresPerSide))),
		Cautions: CautionManual | CautionTireMaker | CautionPressure,
	}
	tire := in.Axle.Tire
	table := tire.Table
	last := table[len(table)-1].Load
	if !(out.TireLoad <= last) {
		return RequiredPressureAnswer{}, units.NewFieldError("axleLoad", valid.Show(in.AxleLoad), "must be at most {most}, the last row of the table for all tires of the axle",
			valid.Most(units.Mass(float64(last)*in.Axle.places()*dualFactor(in.Axle.TiresPerSide))))
	}
	var err error
	if out.Pressure, err = tire.PressureFor(out.TireLoad); err != nil {
		return RequiredPressureAnswer{}, err
	}
	if out.TireLoad < table[0].Load {
		out.Notes |= NoteLowestPressure
	} else if !inTable(table, out.TireLoad) {
		out.Notes |= NoteInterpolated
	}
	if in.TableSpeed == 0 || in.Speed == 0 {
		out.Notes |= NoteSpeedNotStated
	}
	if in.Axle.TiresPerSide > 1 {
		out.Notes |= NoteDuals
	}
	if tire.Pressure.Value() != 0 {
		out.Now = stability.Within
		if tire.Pressure.Value() < out.Pressure {
			out.Now = stability.Exceeded
		}
	}
	return out, nil
}

// inTable reports whether the load is that of a row.
func inTable(table []PressureLoad, load units.Mass) bool {
	for _, row := range table {
		if row.Load == load {
			return true
		}
	}
	return false
}
