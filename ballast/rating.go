package ballast

import (
	"example.com/steelyard/internal/valid"
	"fmt"

	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// TireRating is what one tire may carry. With neither a load index nor a
// load-pressure table its rating is missing: the answers of a [Setup] say what it would
// have to be, and a compiled [Model] does not check the tire.
type TireRating struct {
	// LoadIndex is the load index of ISO 4223-1, 20 to 279; 0 means not
	// given. It holds at the reference pressure and speed that the tire maker
	// states.
	LoadIndex liquid.LoadIndex `json:"loadIndex,omitempty"`
	// SpeedSymbol is the speed symbol that stands beside the load index, such
	// as "A8", and must be given with it. A speed beyond it is not rated.
	SpeedSymbol liquid.SpeedSymbol `json:"speedSymbol,omitempty"`
	// Table is the tire maker's load-pressure table for the speed of the
	// work: both columns rising, at most 100 rows. The library brings none
	// along.
	Table []PressureLoad `json:"table,omitempty"`
	// Pressure is the inflation pressure now, 10 kPa to 1 MPa, needed with
	// Table: what the tire may carry is read off the table, and above its last
	// row is that of the last row. Below the first row the maker gives no
	// load: the tire then carries at most the first row, at least nothing, and
	// no load is stated as usable until it is inflated. Without a pressure it
	// carries at most the last row, with the same consequence.
	Pressure units.Input[units.GaugePressure] `json:"pressure,omitzero"`
}

// PressureLoad is one column of a load-pressure table.
type PressureLoad struct {
	// Pressure is the inflation pressure by gauge, 10 kPa to 1 MPa.
	Pressure units.GaugePressure `json:"pressure"`
	// Load is the load of one tire at that pressure, 1 kg to 200 t.
	Load units.Mass `json:"load"`
}

// Validate reports every bad field by its path, or nil.
func (r TireRating) Validate() error { return r.validate() }

// validate is Validate without a copy of the value.
func (r *TireRating) validate() error {
	var c units.FieldErrors
	if r.LoadIndex != 0 && !r.LoadIndex.Valid() {
		c.Add("loadIndex", uint16(r.LoadIndex), "must be left out or be between 20 and 279")
	}
	if r.SpeedSymbol != liquid.SpeedUnknown && r.SpeedSymbol.Speed() == 0 { // no symbol has this number
		c.Add("speedSymbol", r.SpeedSymbol, "must be left out or be a speed symbol such as A8")
	} else if r.LoadIndex != 0 && r.SpeedSymbol == liquid.SpeedUnknown {
		c.Add("speedSymbol", nil, "must be given with loadIndex, such as A8")
	}
	if r.LoadIndex == 0 && r.SpeedSymbol != liquid.SpeedUnknown {
		c.Add("loadIndex", nil, "must be given with speedSymbol")
	}
	valid.Optional(&c, "pressure", r.Pressure, 10*units.GaugeKilopascal, units.GaugeMegapascal)
	if len(r.Table) > 100 {
		c.Add("table", len(r.Table), "must have at most 100 entries")
		return c.Err()
	}
	for i, e := range r.Table {
		var row units.FieldErrors
		valid.Within(&row, "pressure", e.Pressure, 10*units.GaugeKilopascal, units.GaugeMegapascal)
		valid.Within(&row, "load", e.Load, minMass, maxRating)
		if i > 0 && !(e.Pressure > r.Table[i-1].Pressure) {
			row.Add("pressure", valid.Show(e.Pressure), "must be more than the one before")
		}
		if i > 0 && !(e.Load > r.Table[i-1].Load) {
			row.Add("load", valid.Show(e.Load), "must be more than the one before")
		}
		valid.JoinAt(&c, "table", i, row.Err())
	}
	if stated(r.Pressure) && len(r.Table) == 0 {
		c.Add("table", nil, "must be given with pressure: the tire maker's load-pressure table")
	}
	return c.Err()
}

// PressureFor returns the least inflation pressure of the table at which one
// tire carries the load: linear between entries, the first entry below it,
// and an error without a table or beyond its last entry. Round it up.
func (r TireRating) PressureFor(load units.Mass) (units.GaugePressure, error) {
	if err := r.Validate(); err != nil {
		return 0, err
	}
	if err := singles(&r); err != nil {
		return 0, err
	}
	if len(r.Table) == 0 {
		return 0, fmt.Errorf("table: must be given: the tire maker's load-pressure table: %w", units.ErrInvalid)
	}
	last := r.Table[len(r.Table)-1]
	if !(load >= 0 && load <= last.Load) {
		return 0, units.NewFieldError("load", valid.Show(load), "must be between 0 and the last entry of the table, {most}", valid.Most(last.Load))
	}
	if load <= r.Table[0].Load {
		return r.Table[0].Pressure, nil
	}
	i := 1
	for load > r.Table[i].Load {
		i++
	}
	a, b := r.Table[i-1], r.Table[i]
	t := float64(load-a.Load) / float64(b.Load-a.Load)
	return a.Pressure + units.GaugePressure(t*float64(b.Pressure-a.Pressure)), nil
}

// loadAt returns what the table allows at a pressure, linear between rows and
// that of the last row above it. Below the first row and without a pressure,
// which is zero, the maker gives no load: most is true, and the load is an
// upper bound only.
func (r *TireRating) loadAt(p units.GaugePressure) (load units.Mass, most bool) {
	n := len(r.Table)
	switch {
	case p == 0 || p >= r.Table[n-1].Pressure:
		return r.Table[n-1].Load, p == 0
	case p < r.Table[0].Pressure:
		return r.Table[0].Load, true
	}
	i := 1
	for p > r.Table[i].Pressure {
		i++
	}
	a, b := r.Table[i-1], r.Table[i]
	t := float64(p-a.Pressure) / float64(b.Pressure-a.Pressure)
	return a.Load + units.Mass(t*float64(b.Load-a.Load)), false
}

// tireLimit is what the tires of one wheel place may carry.
type tireLimit struct {
	load  float64 // kg at the pressure now, 0 not rated
	most  bool    // load is an upper bound only: see loadAt
	haul  bool    // of speed symbol A6 or A8
	speed float64 // m/s, 0 unknown
	notes Notes
	// What the factor of a service multiplies: the basic load at the pressure
	// before it was raised for that service; 0 unknown.
	before [HaulageService + 1]float64
}

func compileTire(a *Axle) (t tireLimit) {
	r := &a.Tire
	t.speed = float64(r.SpeedSymbol.Speed())
	t.haul = r.SpeedSymbol == liquid.SpeedA6 || r.SpeedSymbol == liquid.SpeedA8
	place := func(p units.GaugePressure) (load float64, most bool) {
		load = float64(r.LoadIndex.Mass())
		if len(r.Table) > 0 {
			var at units.Mass
			if at, most = r.loadAt(p); load == 0 || float64(at) < load {
				load = float64(at)
			}
		}
		return load * dualFactor(a.TiresPerSide), most
	}
	t.load, t.most = place(r.Pressure.Value())
	switch {
	case t.load == 0:
		return t
	case t.most && r.Pressure.Value() == 0:
		t.notes |= NotePressureUnknown
	case t.most:
		t.notes |= NoteBelowLowestPressure
	}
	if a.TiresPerSide > 1 {
		t.notes |= NoteDuals
	}
	if t.most {
		return t // and no allowance: at a lower pressure still less is known
	}
	before := func(p units.GaugePressure) float64 {
		if load, most := place(p); !most {
			return load
		}
		return 0
	}
	t.before[LoaderService] = before(r.Pressure.Value().Add(-liquid.LoaderServicePressure))
	t.before[HaulageService] = before(units.GaugePressure(float64(r.Pressure.Value()) / float64(liquid.FieldHaulPressureFactor)))
	return t
}

// capacity returns what the tires of one wheel place may carry at a speed, by
// a service whose conditions are confirmed and give the factor. The status is
// NotChecked where nothing rates them, Exceeded beyond the speed of their
// symbol, where no load is rated, AtMost where the load is an upper bound
// only, because of the pressure or because the speed is not known, and
// otherwise Within.
func (t *tireLimit) capacity(speed units.Speed, service TireService, factor float64) (load float64, status Status, notes Notes) {
	notes = t.notes
	if service == HaulageService && factor > 1 && !t.haul {
		notes |= NoteAllowanceRefused
		factor = 1
	}
	if t.load == 0 {
		return 0, stability.NotChecked, notes
	}
	if t.speed > 0 && float64(speed) > t.speed {
		return 0, stability.Exceeded, notes | NoteOverSpeed
	}
	load, status = t.load, stability.Within
	if factor > 1 {
		switch before := t.before[service]; {
		case before == 0:
			notes |= NoteAllowanceRefused
		case before*factor > load:
			notes |= NoteAllowanceUsed
			load = before * factor
		}
	}
	if t.speed > 0 && speed == 0 {
		status = stability.AtMost
		notes |= NoteSpeedUnknown
	}
	if t.most {
		status = stability.AtMost
	}
	return load, status, notes
}

// TireService names a service for which a standard allows a tire more, or
// demands more pressure, than its load index says. In JSON: "basic", "loader"
// or "haulage".
type TireService uint8

// Services of a tire.
const (
	// BasicService takes the load index as it stands.
	BasicService TireService = iota
	// LoaderService is front-loader work in cycles: up to 10 km/h, no more
	// than 1 km, low torque, and the pressure 80 kPa above that of the basic
	// load. The front tires may then carry 140 % (ISO 7867-2:2018).
	LoaderService
	// HaulageService is cyclic field haulage with tires of speed symbol A6 or
	// A8 and at least 20 % more pressure: 120 % on free-rolling wheels, 143 %
	// on drive wheels (ISO 7867-2:2018). The library takes 143 % for the rear
	// and 120 % for the front.
	HaulageService
)

var tireServiceNames = []string{"basic", "loader", "haulage"}

// Allowance asks for a tire service and confirms its conditions one by one. An
// allowance that is asked for and not confirmed is not given, and a note says
// so.
type Allowance struct {
	// Kind is the service; zero is the basic one.
	Kind TireService `json:"kind,omitempty"`
	// PressureRaised confirms that the tires are inflated as the service
	// demands: Pressure of [TireRating] is the raised one, and the factor
	// multiplies what the table says of the pressure before it was raised. The
	// tires carry that or what the table says of the pressure now, whichever
	// is more; where the table does not reach down to the pressure before, the
	// allowance is refused.
	PressureRaised bool `json:"pressureRaised,omitempty"`
	// ShortCycles confirms work in cycles over no more than 1 km.
	ShortCycles bool `json:"shortCycles,omitempty"`
	// LowTorque confirms that the tires do not pull hard.
	LowTorque bool `json:"lowTorque,omitempty"`
}

// Factor returns by how much the front and the rear tires' basic loads are
// multiplied at the speed, and whether an allowance that was asked for is
// refused for want of a condition. A speed of zero is "not given" and
// confirms nothing.
func (a Allowance) Factor(speed units.Speed) (front, rear float64, refused bool) {
	switch a.Kind {
	case LoaderService:
		if a.PressureRaised && a.ShortCycles && a.LowTorque && speed > 0 && speed <= liquid.LoaderServiceSpeed {
			return float64(liquid.LoaderServiceFactor), 1, false
		}
		return 1, 1, true
	case HaulageService:
		if a.PressureRaised && a.ShortCycles && speed > 0 {
			return float64(liquid.FieldHaulFreeFactor), float64(liquid.FieldHaulDriveFactor), false
		}
		return 1, 1, true
	}
	return 1, 1, false
}

// dualFactor is what each tire of a dual pair carries of its rating alone
// (ETRTO rule for duals; memory). Triples: 0.82.
func dualFactor(n int) float64 {
	switch n {
	case 2:
		return 2 * 0.88
	case 3:
		return 3 * 0.82
	}
	return 1
}
