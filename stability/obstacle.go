package stability

import (
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// ObstacleKind is the shape of an obstacle along the way, as it is measured with
// a tape. In JSON: "unknown", "level", "box", "rut", "stepUp", "drop",
// "hump", "halfSine" or "random".
type ObstacleKind uint8

// The kinds of obstacle.
const (
	// ObstacleUnknown is the zero value: the kind was not given, which is an error.
	ObstacleUnknown ObstacleKind = iota
	// ObstacleLevel is firm level ground without an obstacle, as for braking.
	ObstacleLevel
	// ObstacleBox stands up from the ground with two upright edges: a beam, a curb with a
	// far side.
	ObstacleBox
	// ObstacleRut is a hole with two upright edges: a drain, a washed-out channel.
	ObstacleRut
	// ObstacleStepUp is an upright edge up to ground that goes on at that height.
	ObstacleStepUp
	// ObstacleDrop is an upright edge down to ground that goes on at that depth.
	ObstacleDrop
	// ObstacleHump is an arc of a circle that stands on the ground: a speed hump.
	ObstacleHump
	// ObstacleHalfSine is a bump of half a sine wave. It acts under the wheel's center,
	// which holds for a bump that is much longer than the tire's contact.
	ObstacleHalfSine
	// ObstacleRandom is random ground of a class of ISO 8608, which acts under the
	// wheel's center.
	ObstacleRandom
)

var obstacleNames = []string{"unknown", "level", "box", "rut", "stepUp", "drop", "hump", "halfSine", "random"}

// Obstacle is what the wheels pass over. The ground is firm and level before it,
// and firm at its bottom.
type Obstacle struct {
	// Kind is the shape. It must be given.
	Kind ObstacleKind `json:"kind"`
	// Height is how high the obstacle stands above the ground or, of a rut or a
	// drop, how deep it goes: 1 mm to 1 m. A hump is at most half as high as it is
	// long. A level way and random ground have none.
	Height units.Length `json:"height,omitempty"`
	// Length is how long it is in the direction of travel, 1 cm to 20 m. A step
	// up, a drop and a level way have none; of random ground it is the length of the
	// way, 5 to 200 m.
	Length units.Length `json:"length,omitempty"`
	// Class is the class of random ground.
	Class GroundClass `json:"class,omitempty"`
	// Seed chooses one of the random grounds of the class; equal seeds give equal
	// grounds.
	Seed uint64 `json:"seed,omitempty"`
}

// Validate reports every field of the obstacle that is out of range, by its JSON
// name.
func (o Obstacle) Validate() error {
	var e units.FieldErrors
	if o.Kind == ObstacleUnknown || int(o.Kind) >= len(obstacleNames) {
		e.Add("kind", o.Kind.String(), "must be one of level, box, rut, stepUp, drop, hump, halfSine, random")
		return e.Err()
	}
	const none = "must be left out for this kind of obstacle"
	switch o.Kind {
	case ObstacleLevel, ObstacleRandom:
		if o.Height != 0 {
			e.Add("height", valid.Show(o.Height), none)
		}
	default:
		valid.Within(&e, "height", o.Height, 0.001, 1)
	}
	switch o.Kind {
	case ObstacleLevel, ObstacleStepUp, ObstacleDrop:
		if o.Length != 0 {
			e.Add("length", valid.Show(o.Length), none)
		}
	case ObstacleRandom:
		valid.Within(&e, "length", o.Length, 5, 200)
	default:
		valid.Within(&e, "length", o.Length, 0.01, 20)
		if o.Kind == ObstacleHump && o.Height > o.Length/2 && e.Len() == 0 {
			e.Add("height", valid.Show(o.Height), "must be at most half of the length, {most}", valid.Most(o.Length/2))
		}
	}
	if o.Kind != ObstacleRandom {
		if o.Class != 0 {
			e.Add("class", o.Class.String(), none)
		}
		if o.Seed != 0 {
			e.Add("seed", o.Seed, none)
		}
	} else if o.Class == GroundClassUnknown || int(o.Class) >= len(groundClassNames) {
		e.Add("class", o.Class.String(), "must be one of A, B, C, D, E, F, G, H")
	}
	return e.Err()
}

// GroundClass is a class of road or ground roughness of ISO 8608, from A, very
// good, to H. In JSON: "unknown", "A", "B", "C", "D", "E", "F", "G" or "H".
type GroundClass uint8

// The classes of ground roughness.
const (
	// GroundClassUnknown is the zero value: no class was given.
	GroundClassUnknown GroundClass = iota
	// GroundA is a very good road.
	GroundA
	// GroundB is a good road.
	GroundB
	// GroundC is an average road.
	GroundC
	// GroundD is a poor road.
	GroundD
	// GroundE is a very poor road, or a farm track.
	GroundE
	// GroundF is rougher than E by a factor of 2 in height.
	GroundF
	// GroundG is rougher than F by a factor of 2 in height.
	GroundG
	// GroundH is rougher than G by a factor of 2 in height.
	GroundH
)

var groundClassNames = []string{"unknown", "A", "B", "C", "D", "E", "F", "G", "H"}
