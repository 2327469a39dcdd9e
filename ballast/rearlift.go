package ballast

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// RearLift says where the loader is strong enough to lift the rear wheels of its
// own machine.
type RearLift struct {
	// Status is Exceeded where the loader can lift the rear wheels at some
	// height, CannotOccur where it can at none, and NotChecked where it can at
	// none of the heights for which its lift is known, or where something else
	// is not known that the answer needs.
	Status Status `json:"status"`
	// Heights are the ranges of pin heights at which it can, lowest first.
	Heights []units.Range[units.Length] `json:"heights,omitempty"`
	// Most is the greatest ratio of what the loader lifts to the load at which
	// the rear axle lifts, and At the pin height where it is found. Where the
	// ratio is below 1 the loader cannot lift the rear wheels on level ground;
	// slope, braking or a rut can still tip the machine.
	Most float64 `json:"most,omitempty"`
	// At is the pin height of Most.
	At units.Length `json:"at,omitempty"`
	// Cautions are what a user of the answer must be shown.
	Cautions Cautions `json:"cautions"`
}

// rearLiftSteps is how many steps of the arm's arc are held against each other.
const rearLiftSteps = 64

// RearLift holds what the loader lifts against the load at which the rear axle
// lifts, at every height of the arm and with the load of the lift, without
// dynamic factor, on its ground. Height, Datum and Kind of the lift do not
// matter, and Basis is not asked for. It is a fact about the machine and no
// permission: where the loader is not strong enough, slope, braking or a rut can
// still tip it, and where it is, nobody tries.
func (k *Model) RearLift(lift Lift) (RearLift, error) {
	lift.Kind, lift.Datum, lift.Basis = Hold, PinHeight, Basis{}
	if k.hasLoader {
		lift.Height = units.Length(k.loader.low)
	}
	q, low, err := k.loadCase(&lift)
	if err != nil {
		return RearLift{}, err
	}
	out := RearLift{Cautions: CautionManual | CautionNoTippingTest | CautionLevelGround | CautionStandstill}
	if !lift.level() {
		out.Cautions = CautionManual | CautionNoTippingTest | CautionStatedSlope | CautionStatedBraking
	}
	if !q.rows {
		return out, nil
	}
	high := k.loader.angle(k.loader.high)
	// excess is the loader's lift over the tipping load, less one: -1 for a load
	// that cannot tip the machine, and where the lift is not known.
	unknown, known := false, false
	excess := func(a float64) float64 {
		f, lacks := q.hydraulic(a)
		if lacks != 0 {
			unknown = true
			return -1
		}
		known = true
		p := q.pose(a)
		r := q.wheelRows(&p)
		axle, _ := q.tipping(&r)
		switch lifts := f.allows(); {
		case math.IsInf(axle, 1) || lifts <= 0:
			return -1
		case axle <= 0 || math.IsInf(lifts, 1):
			return maxUsed
		default:
			return min(maxUsed, lifts/axle-1)
		}
	}
	height := func(a float64) units.Length {
		_, z := k.loader.pin(a)
		return units.Length(z)
	}
	step := (high - low) / rearLiftSteps
	at := func(i int) float64 {
		if i == rearLiftSteps {
			return high
		}
		return low + step*float64(i)
	}
	most, place := math.Inf(-1), low
	var before float64
	for i := range rearLiftSteps + 1 {
		a := at(i)
		e := excess(a)
		if e > most {
			most, place = e, a
		}
		if i > 0 && (e > 0) != (before > 0) {
			edge, _ := numeric.Root(excess, at(i-1), a, 1e-9)
			if e > 0 {
				out.Heights = append(out.Heights, units.Range[units.Length]{Low: height(edge)})
			} else {
				out.Heights[len(out.Heights)-1].High = height(edge)
			}
		} else if i == 0 && e > 0 {
			out.Heights = append(out.Heights, units.Range[units.Length]{Low: height(a)})
		}
		before = e
	}
	if n := len(out.Heights); before > 0 {
		out.Heights[n-1].High = height(high)
	}
	if unknown {
		out.Cautions |= CautionUnchecked
	}
	if known {
		out.Most, out.At = most+1, height(place)
	}
	switch {
	case len(out.Heights) > 0:
		out.Status = stability.Exceeded
	case !unknown:
		out.Status = stability.CannotOccur
	}
	return out, nil
}
