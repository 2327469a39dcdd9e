package ballast

import (
	"context"
	"math"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// traveler is a quantity of the machines that a setup leaves open, as the motion over an
// obstacle depends on it. Lengths are shares of the wheelbase, so that the same motion has
// the same numbers; the wheelbase itself says how large the obstacle is.
type traveler uint8

const (
	travelBase    traveler = iota // logarithm of the wheelbase
	travelX                       // center of gravity ahead of the rear contact, without load
	travelZ                       // height of it
	travelLoadX                   // load ahead of the rear contact
	travelLoadZ                   // height of it
	travelInertia                 // logarithm of the pitch inertia over mass and wheelbase squared
	travelRear                    // logarithm of the rear axle's stiffness over its mass
	travelFront                   // the same of the front axle
	travelDamping                 // logarithm of the damping ratio
	travelRearRadius
	travelFrontRadius
	numTravelers
)

// travelSlope is by how much, at most, the load that is just short of a lift-off changes
// with each quantity, as a share of the tipping load. They are measured: between pairs of
// random machines the change was within the sum over the quantities but for one pair in
// some hundred. They are no proof.
var travelSlope = [numTravelers]float64{
	travelBase: 1.0, travelX: 1.0, travelZ: 0.6, travelLoadX: 0.3, travelLoadZ: 0.4, travelInertia: 0.35,
	travelRear: 0.5, travelFront: 0.3, travelDamping: 0.12, travelRearRadius: 2.0, travelFrontRadius: 2.0,
}

// travelJump is added where anything is open: at another height of an obstacle another
// passage counts.
const travelJump = 0.02

// movers are the machines that a setup leaves open, as they move.
type movers struct {
	of   [numTravelers]span
	mass float64
	g    float64
	// What the tires give way by at a standstill depends on these.
	ratio   float64 // the greatest ratio of the rear axle's load to the front axle's
	tipping units.Range[units.Mass]
}

// slack returns by how much the share of the tipping load may differ from that of the
// machine in the middle.
func (m *movers) slack() float64 {
	sum := 0.0
	for i, s := range m.of {
		sum += travelSlope[i] * (s.hi - s.lo) / 2
	}
	if sum > 0 {
		sum += travelJump
	}
	return sum
}

// passage returns the machine in the middle as it passes over the obstacle, with its load
// at its place and no mass.
func (m *movers) passage(t *Travel) stability.Passage {
	at := func(i traveler) float64 { return (m.of[i].lo + m.of[i].hi) / 2 }
	base := math.Exp(at(travelBase))
	of := func(i traveler) units.Length { return units.Length(base * at(i)) }
	share := at(travelX)
	stiffness := func(i traveler, mass float64) units.Input[units.Stiffness] {
		return units.Is(units.Stiffness(mass * math.Exp(at(i))))
	}
	return stability.Passage{
		Machine:      stability.Body{Mass: units.Mass(m.mass), CG: stability.Point{X: of(travelX), Z: of(travelZ)}},
		PitchInertia: units.Is(units.Inertia(m.mass * base * base * math.Exp(at(travelInertia)))),
		Load:         stability.Part{CG: stability.Point{X: of(travelLoadX), Z: of(travelLoadZ)}},
		Wheelbase:    units.Length(base),
		Rear:         stability.Tires{Radius: of(travelRearRadius), Stiffness: stiffness(travelRear, m.mass*(1-share))},
		Front:        stability.Tires{Radius: of(travelFrontRadius), Stiffness: stiffness(travelFront, m.mass*share)},
		Damping:      units.Is(units.Fraction(math.Exp(at(travelDamping)))),
		Obstacle:     t.Obstacle, Drive: t.Drive, Deceleration: t.Deceleration, Friction: t.Friction,
		Gravity: units.Acceleration(m.g),
	}
}

// lifted is what a search over loads and speeds came upon.
type lifted struct {
	share  float64 // of the tipping load, up to which no rear tire left the ground
	status stability.PassageStatus
	speed  units.Speed
	stalls bool // at some speed it does not get over the obstacle
}

// Steps of the search for a lift-off.
const (
	firstSpeed = 1 * units.KilometerPerHour
	speedStep  = units.KilometerPerHour / 2
	shareStep  = 1.0 / 16
	shareMost  = 15 * shareStep
	shareFine  = 1.0 / 4096
)

// speeds returns the speeds that are looked at: the same for every machine.
func (t *Travel) speeds() []units.Speed {
	var out []units.Speed
	for i := 0; ; i++ {
		v := firstSpeed + units.Speed(i)*speedStep
		if v >= t.Speed {
			return append(out, t.Speed)
		}
		out = append(out, v)
	}
}

// lift finds the load, as a share of the tipping load, up to which the rear tires stay on
// the ground at every speed that is looked at: in steps of a sixteenth from no load on,
// and then by halving the step in which they first did not. A motion that could not be
// followed to its end counts as one in which they did not.
func lift(ctx context.Context, p stability.Passage, speeds []units.Speed) (lifted, error) {
	var out lifted
	tipping := float64(p.Machine.Mass) * float64((p.Wheelbase-p.Machine.CG.X)/(p.Load.CG.X-p.Wheelbase))
	at := func(share float64) (*stability.PassageModel, error) {
		p.Load.Mass = units.Mass(share * tipping)
		return p.Compile()
	}
	status := func(m *stability.PassageModel, v units.Speed) (stability.PassageStatus, error) {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		c, err := m.At(v)
		if c.Status == stability.PassageStalls {
			out.stalls = true
			return stability.PassageWithin, err
		}
		return c.Status, err
	}
	good := 0.0
	for i := 0; ; i++ {
		share := float64(i) * shareStep
		if share > shareMost {
			out.share = 1
			return out, nil
		}
		m, err := at(share)
		if err != nil {
			return out, err
		}
		var lifts []units.Speed
		for _, v := range speeds {
			s, err := status(m, v)
			if err != nil {
				return out, err
			}
			if s != stability.PassageWithin {
				lifts = append(lifts, v)
				out.status, out.speed = s, v
			}
			if i == 0 && len(lifts) > 0 {
				return out, nil // without load: there is no figure
			}
		}
		if len(lifts) == 0 {
			good = share
			continue
		}
		least := share
		for _, v := range lifts {
			low, high := good, least
			for try := least - shareFine; high-low > shareFine; try = (low + high) / 2 {
				if m, err = at(try); err != nil {
					return out, err
				}
				s, err := status(m, v)
				if err != nil {
					return out, err
				}
				if s != stability.PassageWithin {
					high, out.status, out.speed = try, s, v
				} else if low = try; high == least {
					break // another speed comes first
				}
			}
			least = high
		}
		out.share = max(good, least-shareFine)
		return out, nil
	}
}
