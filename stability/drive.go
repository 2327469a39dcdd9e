package stability

// Drive is what the wheels do along the ground during a passage. In JSON:
// "coasting", "held", "brakeRear" or "brakeAll".
type Drive uint8

// What the wheels do.
const (
	// Coasting: the wheels roll freely. It is the zero value.
	Coasting Drive = iota
	// DriveHeld: the rear wheels hold the speed, as a governed engine or a
	// hydrostatic transmission does. What is held is the horizontal speed of the
	// machine's own center of gravity, without the load.
	DriveHeld
	// BrakeRear: the rear wheels are braked from the start on.
	BrakeRear
	// BrakeAll: all wheels are braked from the start on, in proportion to their
	// loads.
	BrakeAll
	// heldAtCG: a force at the center of gravity holds the speed, as the closed
	// forms assume.
	heldAtCG
)

var driveNames = []string{"coasting", "held", "brakeRear", "brakeAll"}
