package stability

// Status says how an answer relates to one limit. In JSON: "notChecked",
// "within", "binds", "exceeded", "exceededWhenEmpty", "cannotOccur" or
// "atMost".
type Status uint8

// The statuses of a limit.
const (
	// NotChecked: something that the limit needs is not known. It is the zero
	// value, and never means that the machine is safe.
	NotChecked Status = iota
	// Within: the limit can occur, but another one comes first.
	Within
	// Binds: this is the first of the limits that were checked.
	Binds
	// Exceeded: the limit is broken in the state asked about; for a tipping
	// limit, the machine is already tipped on level ground.
	Exceeded
	// ExceededWhenEmpty: the limit is broken even without a load.
	ExceededWhenEmpty
	// CannotOccur: no value of the quantity reaches the limit.
	CannotOccur
	// AtMost: only an upper bound of the limit is known. A value above the bound
	// exceeds the limit; a value below it is not checked.
	AtMost
)

var statusNames = []string{"notChecked", "within", "binds", "exceeded", "exceededWhenEmpty", "cannotOccur", "atMost"}
