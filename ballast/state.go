package ballast

// State is a state of the machine in which its limits are checked. In JSON:
// "load", "empty", "lowered" or "loaderOff".
type State uint8

// States of the machine.
const (
	// StateLoad is with the load on.
	StateLoad State = iota
	// StateEmpty is with the attachment empty, where the load is lifted.
	StateEmpty
	// StateLowered is with the attachment empty and the arms down.
	StateLowered
	// StateLoaderOff is with the loader off.
	StateLoaderOff
)

var stateNames = []string{"load", "empty", "lowered", "loaderOff"}
