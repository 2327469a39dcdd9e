package stability

import (
	"math"

	"example.com/steelyard/units"
)

// Margin measures how far a machine is from its first tipping limit in three
// ways.
type Margin struct {
	// Status is Within if there is a margin, else Exceeded. It is also Exceeded
	// if the machine stands in this situation but would tip on level ground, at
	// rest or under the same pull and acceleration. Angle or LoadShare may then be
	// positive.
	Status Status `json:"status"`
	// First is the limit to which the margin is measured.
	First Limit `json:"first"`
	// Angle is the limit's slope less the situation's slope; it is negative past
	// the limit. If no limit can occur, it is the angle up to the vertical.
	Angle units.Angle `json:"angle"`
	// LoadShare is the least ratio, over all wheels and axles, of the load to the
	// load on level ground at rest. It is 1 or more if no wheel loses load,
	// negative past the limit, and -1 if the wheel carries nothing on level
	// ground either. The body's own wheels count by their lift rows.
	LoadShare units.Fraction `json:"loadShare"`
	// Wheel is the row of the wheel or axle with that ratio.
	Wheel Row `json:"wheel"`
	// Energy is the energy that is still needed to overturn the machine sideways
	// at rest. Only the situation's slope and heading count.
	Energy units.Energy `json:"energy"`
	// EnergyStatus says whether Energy was computed.
	EnergyStatus Status `json:"energyStatus"`
	// Notes are what the margin assumes.
	Notes Notes `json:"notes"`
	// Cautions belong beside it.
	Cautions Cautions `json:"cautions"`
}

// Margin returns the margin in a situation. If the bend of a joint is not known,
// angle and load share are each the least over all bends.
func (m *Model) Margin(s Situation) (Margin, error) {
	if m.bends != nil {
		if err := s.Validate(); err != nil {
			return Margin{}, err
		}
		at := func(of func(*Margin) float64) Margin {
			return leastOver(m, func(b *Model) (Margin, float64) {
				one, _ := b.Margin(s) // its input is checked
				one.Energy, one.EnergyStatus = 0, NotChecked
				return one, of(&one)
			})
		}
		o := at(func(o *Margin) float64 { return float64(o.Angle) })
		share := at(func(o *Margin) float64 { return float64(max(0, o.LoadShare)) }) // all shares below zero mean the same: the wheel is lost
		o.LoadShare, o.Wheel = share.LoadShare, share.Wheel
		if share.Status == Exceeded {
			o.Status = Exceeded
		}
		return o, nil
	}
	l, err := m.Limits(s)
	if err != nil {
		return Margin{}, err
	}
	level, err := m.Loads(Situation{})
	if err != nil {
		return Margin{}, err
	}
	e, err := m.EnergyToOverturn(s)
	if err != nil {
		return Margin{}, err
	}
	o := Margin{Status: Within, First: l.FirstTip, Notes: l.Notes &^ NoteFrictionUnknown, Cautions: l.Cautions &^ CautionSlidesFirst}
	switch {
	case l.FirstTip.reached():
		o.Angle = (l.FirstTip.Slope() - s.Slope).Angle()
	case l.FirstTip.Status == Exceeded:
		o.Angle = -s.Slope.Angle()
	default:
		o.Angle = units.Turn/4 - s.Slope.Angle()
	}
	share := math.Inf(1)
	checked := m.v.Undercarriage.Kind.edges()
	for i := range level.Rows {
		if checked>>i&1 == 0 {
			continue
		}
		was, is := float64(level.Rows[i]), float64(l.Loads.Rows[i])
		one := -1.0
		if was > 0 {
			one = is / was
		}
		if one < share {
			share, o.Wheel = one, Row(i)
		}
	}
	o.LoadShare = units.Fraction(share)
	o.Energy, o.EnergyStatus = e.Barrier, e.Status
	if l.FirstTip.Status == Exceeded || o.Angle <= 0 || share <= 0 {
		o.Status = Exceeded
	}
	return o, nil
}
