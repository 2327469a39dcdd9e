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
	// What one wheel's passage depends on besides.
	travelRoll       // logarithm of the roll inertia over mass and rear track squared
	travelRearTrack  // rear track
	travelFrontTrack // front track
	travelPin        // height of the axle's pin
	travelAxle       // mass of the front axle over all
	travelAxleHeight // height of its center of gravity
	travelSide       // load to the left of the middle
	travelStop       // swing of the axle to its stop, radians
	numTravelers
)

// travelSlope is by how much the load that is just short of a lift-off changes with each
// quantity, as a share of the tipping load. They are measured on random machines and are
// no proof: see [Envelope.Travel].
var travelSlope = [numTravelers]float64{
	travelBase: 1.0, travelX: 2.0, travelZ: 0.8, travelLoadX: 0.3, travelLoadZ: 0.3, travelInertia: 0.3,
	travelRear: 0.4, travelFront: 0.5, travelDamping: 0.25, travelRearRadius: 1.5, travelFrontRadius: 2.5,
	travelRoll: 0.35, travelRearTrack: 1.0, travelFrontTrack: 0.3, travelPin: 1.0, travelAxle: 1.0, travelAxleHeight: 0.3, travelSide: 2.0, travelStop: 0.5,
}

// travelJump is added where anything is open: at another height of an obstacle another
// passage counts.
const travelJump = 0.03

// movers are the machines that a setup leaves open, as they move.
type movers struct {
	of   [numTravelers]span
	mass float64
	g    float64
	// rolls says that the front axle swings on a pin.
	rolls bool
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

// at returns the middle of a quantity.
func (m *movers) at(i traveler) float64 { return (m.of[i].lo + m.of[i].hi) / 2 }

// length returns the middle of a length.
func (m *movers) length(i traveler) units.Length {
	return units.Length(math.Exp(m.at(travelBase)) * m.at(i))
}

// tires returns the tires of the machine in the middle, rear and front.
func (m *movers) tires() (rear, front stability.Tires) {
	share := m.at(travelX)
	rear = stability.Tires{Radius: m.length(travelRearRadius), Stiffness: units.Is(units.Stiffness(m.mass * (1 - share) * math.Exp(m.at(travelRear))))}
	front = stability.Tires{Radius: m.length(travelFrontRadius), Stiffness: units.Is(units.Stiffness(m.mass * share * math.Exp(m.at(travelFront))))}
	return rear, front
}

// load returns the place of the load, with a share of the tipping load as its mass.
func (m *movers) load(share float64) stability.Part {
	x, ahead := m.at(travelX), m.at(travelLoadX)
	return stability.Part{Mass: units.Mass(share * m.mass * (1 - x) / (ahead - 1)),
		CG: stability.Point{X: m.length(travelLoadX), Y: m.length(travelSide), Z: m.length(travelLoadZ)}}
}

// passage returns the machine in the middle as both axles pass over the obstacle, with a
// share of the tipping load.
func (m *movers) passage(t *Travel, share float64) stability.Passage {
	base := math.Exp(m.at(travelBase))
	p := stability.Passage{
		Machine:      stability.Body{Mass: units.Mass(m.mass), CG: stability.Point{X: m.length(travelX), Z: m.length(travelZ)}},
		PitchInertia: units.Is(units.Inertia(m.mass * base * base * math.Exp(m.at(travelInertia)))),
		Load:         m.load(share),
		Wheelbase:    units.Length(base),
		Damping:      units.Is(units.Fraction(math.Exp(m.at(travelDamping)))),
		Obstacle:     t.Obstacle, Drive: t.Drive, Deceleration: t.Deceleration, Friction: t.Friction,
		Gravity: units.Acceleration(m.g),
	}
	p.Rear, p.Front = m.tires()
	return p
}

// roll returns the same machine as the wheels of one side pass, on the travel's slope.
func (m *movers) roll(t *Travel, share float64) stability.RollPassage {
	base := math.Exp(m.at(travelBase))
	axle := m.at(travelAxle)
	track := m.length(travelRearTrack)
	body := m.mass * (1 - axle)
	p := stability.RollPassage{
		Vehicle: stability.Vehicle{
			Body: stability.Body{Mass: units.Mass(body), CG: stability.Point{
				X: units.Length(base * (m.at(travelX) - axle) / (1 - axle)),
				Z: units.Length(base * (m.at(travelZ) - axle*m.at(travelAxleHeight)) / (1 - axle)),
			}, Inertia: stability.Inertia{YY: units.Inertia(m.mass * base * base * math.Exp(m.at(travelInertia)))}},
			Undercarriage: stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: units.Length(base),
				RearTrack: track, FrontTrack: m.length(travelFrontTrack), PinHeight: m.length(travelPin), StopAngle: units.Angle(m.at(travelStop)),
				Axle: stability.Part{Mass: units.Mass(m.mass * axle), CG: stability.Point{X: units.Length(base), Z: m.length(travelAxleHeight)}}},
			Gravity: units.Acceleration(m.g),
		},
		RollInertia: units.Is(units.Inertia(m.mass * float64(track) * float64(track) * math.Exp(m.at(travelRoll)))),
		Load:        m.load(share),
		Damping:     units.Is(units.Fraction(math.Exp(m.at(travelDamping)))),
		Obstacle:    t.Obstacle, Slope: t.Slope, Heading: units.Turn / 4, Friction: t.Friction,
	}
	p.Rear, p.Front = m.tires()
	return p
}

// liftOff is what a search over loads and speeds came upon.
type liftOff struct {
	share  float64 // of the tipping load, up to which no rear tire left the ground
	status stability.PassageStatus
	speed  units.Speed
	roll   bool // one wheel passed
	stalls bool // at some speed it does not get over the obstacle
	beyond bool // nothing was found up to the end of the search
}

// Steps of the search for a lift-off.
const (
	firstSpeed = 1 * units.KilometerPerHour
	speedStep  = units.KilometerPerHour / 4
	topSpeed   = 15 * units.MeterPerSecond
	shareSteps = 50 // up to the tipping load
	rollSteps  = 3  // of them are one step of a wheel's passage
	shareFine  = 1.0 / 4096
)

// passing is a passage at one speed.
type passing struct {
	roll  bool
	speed units.Speed
}

// passings returns what is looked at, the same for every machine: speeds 0.25 km/h apart
// of both axles, and 0.5 km/h apart of one wheel, up to the first that is no less than the
// travel's. The speeds of a slower travel are therefore among those of a faster one, and
// it is never allowed less (TestTravelSpeeds).
func (t *Travel) passings(rolls bool) []passing {
	var out []passing
	for _, roll := range []bool{false, true} {
		step := speedStep
		if roll {
			step *= 2
		}
		if roll && !rolls {
			break
		}
		for i := 0; ; i++ {
			v := firstSpeed + units.Speed(i)*step
			out = append(out, passing{roll, min(v, topSpeed)})
			if v >= t.Speed*(1-1e-12) {
				break
			}
		}
	}
	return out
}

// passes says what the machine in the middle does in a passage with a share of the tipping
// load.
func (m *movers) passes(t *Travel, p passing, share float64) (stability.PassageStatus, error) {
	if p.roll {
		k, err := m.roll(t, share).Compile()
		if err != nil {
			return 0, err
		}
		c, err := k.At(p.speed)
		return c.Status, err
	}
	k, err := m.passage(t, share).Compile()
	if err != nil {
		return 0, err
	}
	c, err := k.At(p.speed)
	return c.Status, err
}

// lift finds the load, as a share of the tipping load, up to which the rear tires stay on
// the ground in every passage that is looked at: in steps of 2 % from no load on, of 6 % for
// one wheel, and then by halving the step in which they first did not. Loads at which they
// leave it are islands as speeds are, so the search begins at no load and never in the middle. A motion that could not be
// followed to its end counts as one in which they did not. The search ends at the share
// most.
func (m *movers) lift(ctx context.Context, t *Travel, most float64) (liftOff, error) {
	var out liftOff
	list := t.passings(m.rolls)
	stays := func(p passing, share float64) (bool, error) {
		if err := ctx.Err(); err != nil {
			return false, err
		}
		s, err := m.passes(t, p, share)
		switch s {
		case stability.PassageStalls:
			out.stalls = true
			return true, err
		case stability.PassageWithin:
			return true, err
		}
		out.status, out.speed, out.roll = s, p.speed, p.roll
		return false, err
	}
	var good [2]float64 // of both axles and of one wheel
	for i := 0; ; i++ {
		share := float64(i) / shareSteps
		if i == shareSteps || i > 0 && good[0] >= most && (!m.rolls || good[1] >= most) {
			out.share, out.beyond = good[0], true
			if m.rolls {
				out.share = min(good[0], good[1])
			}
			if i == shareSteps {
				out.share = 1
			}
			return out, nil
		}
		least := share
		for _, p := range list {
			kind := 0
			if p.roll {
				kind = 1
			}
			if p.roll && least == share && i%rollSteps != 0 {
				continue
			}
			try := least
			if least < share {
				try -= shareFine // it counts if it lifts at less than another passage
			}
			ok, err := stays(p, try)
			if err != nil {
				return out, err
			}
			if ok {
				continue
			}
			if i == 0 {
				return out, nil // without load: there is no figure
			}
			low, high := good[kind], try
			for high-low > shareFine {
				mid := (low + high) / 2
				if ok, err = stays(p, mid); err != nil {
					return out, err
				}
				if ok {
					low = mid
				} else {
					high = mid
				}
			}
			least = high
		}
		if least == share {
			good[0] = share
			if i%rollSteps == 0 {
				good[1] = share
			}
			continue
		}
		out.share = max(0, least-shareFine)
		return out, nil
	}
}
