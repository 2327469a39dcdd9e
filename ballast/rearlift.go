package ballast

import (
	"context"
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// RearLift says where the loader is strong enough to lift the rear wheels of its
// own machine.
type RearLift struct {
	// Status is Exceeded where the loader can lift the rear wheels at some
	// height, whatever the setup leaves open; CannotOccur where it can at none,
	// whatever is open; NotChecked where that depends on what is open.
	Status Status `json:"status"`
	// Heights is, of a status Exceeded, the range of pin heights from the lowest to
	// the highest at which it certainly can.
	Heights units.Range[units.Length] `json:"heights,omitzero"`
	// Ratio is the greatest ratio, over the heights, of what the loader lifts to
	// the load at which the rear axle lifts: Low is at least reached, High at
	// most. Below 1 the loader cannot lift the rear wheels on level ground;
	// slope, braking or a rut can still tip the machine.
	Ratio units.Range[units.Fraction] `json:"ratio"`
	// Cautions are what a user of the answer must be shown.
	Cautions Cautions `json:"cautions"`
	// Library is the version of the library that made the answer; see [units.Version].
	Library string `json:"library"`
}

// rearLiftGrid is the width of the steps in which the heights of the arm are walked, in
// meters: the same for every machine, so that a machine of which less is known is asked
// at the same heights.
const rearLiftGrid = 1.0 / 64

// RearLift holds what the loader lifts against the load at which the rear axle
// lifts, at every height of the arm and with the load of the lift, without
// dynamic factor, on its ground. Height, Datum and Kind of the lift do not
// matter, and Basis is not asked for. It is a fact about the machine and no
// permission: where the loader is not strong enough, slope, braking or a rut can
// still tip it, and where it is, nobody tries.
//
// Heights and the low end of Ratio are those of heights 1/64 m apart, the high end holds
// between them as well.
//
// The work takes a tenth of a second where much is open. Once the context is done, the answer is an error that wraps ctx.Err()
// and nothing else: what holds at some heights says nothing of the others. A nil context
// never ends.
func (e *Envelope) RearLift(ctx context.Context, lift Lift) (RearLift, error) {
	if e.k == nil {
		return RearLift{}, noEnvelope()
	}
	lift.Kind, lift.Datum, lift.Basis = Hold, PinHeight, Basis{}
	low, high := e.in[inLowestPin], e.in[inHighestPin]
	lift.Height = units.Length(low.lo)
	v, err := e.spread(&lift)
	if err != nil {
		return RearLift{}, err
	}
	out := RearLift{Library: units.Version, Cautions: CautionManual | CautionNoTippingTest | CautionLevelGround | CautionStandstill}
	if !lift.level() {
		out.Cautions = CautionManual | CautionNoTippingTest | CautionStatedSlope | CautionStatedBraking
	}
	at := func(pin span) (span, error) {
		v.pin = pin
		v.derive()
		var t [1]tally
		if err := v.solve(t[:], 0); err != nil {
			return span{}, err
		}
		lifts, tips := t[0].allows(LimitHydraulic), t[0].allows(bareAxle)
		return span{ratioOf(lifts.low, tips.high), ratioOf(lifts.high, tips.low)}, nil
	}
	never := true
	for i := math.Floor(low.lo / rearLiftGrid); i*rearLiftGrid <= high.hi; i++ {
		here, next := max(low.lo, i*rearLiftGrid), min(high.hi, (i+1)*rearLiftGrid)
		if err := valid.Ended(ctx, "ballast: rearLift"); err != nil {
			return RearLift{}, err
		}
		over, err := at(span{here, next})
		if err != nil {
			return RearLift{}, err
		}
		out.Ratio.High = max(out.Ratio.High, units.Fraction(over.hi))
		never = never && over.hi < 1
		if here < low.hi || here > high.lo {
			continue // not every machine reaches it
		}
		point, err := at(just(here))
		if err != nil {
			return RearLift{}, err
		}
		out.Ratio.Low = max(out.Ratio.Low, units.Fraction(point.lo))
		if point.lo > 1 {
			if out.Status != stability.Exceeded {
				out.Heights.Low = units.Length(here)
			}
			out.Status, out.Heights.High = stability.Exceeded, units.Length(here)
		}
	}
	if out.Status != stability.Exceeded {
		out.Cautions |= CautionUnchecked
		if never {
			out.Status = stability.CannotOccur
		}
	}
	return out, nil
}

// allows returns the ends of what one limit allows; nothing and everything where it
// is not known.
func (t *tally) allows(k LimitKind) allowed {
	if i := k - 1; t.checked[i] {
		return allowed{max(0, t.low[i]), max(0, t.high[i])}
	}
	return allowed{0, math.Inf(1)}
}

// ratioOf returns a over b for loads that may be infinite, at most maxUsed.
func ratioOf(a, b float64) float64 {
	switch {
	case a == 0 || math.IsInf(b, 1):
		return 0
	case b == 0 || math.IsInf(a, 1):
		return maxUsed
	}
	return min(maxUsed, a/b)
}
