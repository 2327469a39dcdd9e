package stability

// Status says where an answer stands toward one limit. In JSON: "notChecked",
// "within", "binds", "exceeded", "exceededWhenEmpty", "cannotOccur" or
// "atMost".
type Status uint8

// The statuses of a limit.
const (
	// NotChecked: something the limit needs is not known. It is the zero
	// value, and never means that all is well.
	NotChecked Status = iota
	// Within: the limit can occur, and another one comes first.
	Within
	// Binds: of the limits that were checked this one comes first.
	Binds
	// Exceeded: the limit is broken in the state asked about; for a tipping
	// limit, the machine is already tipped on level ground.
	Exceeded
	// ExceededWhenEmpty: the limit is broken even without a load.
	ExceededWhenEmpty
	// CannotOccur: no value of the quantity reaches the limit.
	CannotOccur
	// AtMost: of the limit only an upper bound is known. More than the bound
	// exceeds the limit; less than the bound is not checked.
	AtMost
)

var statusNames = []string{"notChecked", "within", "binds", "exceeded", "exceededWhenEmpty", "cannotOccur", "atMost"}
