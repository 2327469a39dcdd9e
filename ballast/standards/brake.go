package standards

import (
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// ServiceBrake is what a regulation requires of the service brake. Package stability
// answers how hard a machine may brake before it tips or slides.
type ServiceBrake struct {
	// Stop is the longest stopping distance from the test speed.
	Stop units.Length `json:"stop"`
	// Deceleration is the least mean fully developed deceleration.
	Deceleration units.Acceleration `json:"deceleration"`
	// Notes say how well the figures are known.
	Notes Notes `json:"notes"`
	// Cautions belong to the answer.
	Cautions Cautions `json:"cautions"`
}

// RequiredServiceBrake returns what is required of a tractor whose greatest design
// speed is v, up to 60 km/h, tested from that speed on level ground. The formulas
// take v in km/h and give the distance in meters (Commission Delegated Regulation
// (EU) 2015/68, Annex II). Held by TestValidation.
//
//	v <= 30: 0.15 v + v^2/92,  3.55 m/s2
//	v >  30: 0.15 v + v^2/130, 5.0 m/s2 (memory)
func RequiredServiceBrake(design units.Speed) (ServiceBrake, error) {
	var c units.FieldErrors
	valid.Within(&c, "designSpeed", design, 1*units.KilometerPerHour, 60.001*units.KilometerPerHour)
	if err := c.Err(); err != nil {
		return ServiceBrake{}, err
	}
	v := float64(design / units.KilometerPerHour)
	// A speed of 30 km/h converted from m/s may be off in its last bit.
	if v <= 30+1e-9 {
		return ServiceBrake{Stop: units.Length(float64(0.15*v) + v*v/92), Deceleration: 3.55, Cautions: CautionManual | CautionRoadRules}, nil
	}
	return ServiceBrake{Stop: units.Length(float64(0.15*v) + v*v/130), Deceleration: 5, Notes: NoteMemory, Cautions: CautionManual | CautionRoadRules}, nil
}
