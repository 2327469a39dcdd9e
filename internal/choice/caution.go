package choice

// The cautions that several packages give. They have the same words, so that a sheet that
// collects them shows each once.
const (
	// ManualFirst puts the operator's manual first.
	ManualFirst = "The operator's manual, local rules and licensed practice come before this figure."
	// LevelGround says where the figure holds.
	LevelGround = "This figure holds on firm, level ground; slopes and soft ground reduce it."
	// Standstill says how the machine moves.
	Standstill = "This figure holds at a standstill or at very low speed; speed, bumps and braking reduce it."
	// EmptyAgain asks for a check without the load.
	EmptyAgain = "Ballast that is right under this load may be wrong without it: check again with the load off."
	// RaisedOnly says when an implement counts.
	RaisedOnly = "An implement counts as ballast only while it is raised and carried in full."
	// NeverRaise forbids raising the rear wheels to find where they lift.
	NeverRaise = "Never raise the rear wheels to find out at which load they lift: the figure is calculated so that nobody has to do this."
	// NoTippingTest forbids looking for the limit.
	NoTippingTest = "The figure is calculated and was not tried out: never approach a tipping limit to check it."
	// RoadRules says that road law has limits of its own.
	RoadRules = "Road law has its own limits for axle loads, the steered axle, width, overhang and lighting."
	// ROPS says what a roll-over protective structure protects.
	ROPS = "A roll-over protective structure protects only up to the mass for which it is certified, and only with the seat belt on."
)
