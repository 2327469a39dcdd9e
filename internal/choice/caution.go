package choice

// The cautions that several packages give, in the same words, so that a sheet
// that gathers them shows each once.
const (
	// ManualFirst puts the operator's manual first.
	ManualFirst = "The operator's manual, local rules and licensed practice come before this figure."
	// NoTippingTest forbids looking for the limit.
	NoTippingTest = "Calculated, not tried out: never approach a tipping limit to check it."
)
