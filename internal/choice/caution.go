package choice

// The cautions that several packages give, in the same words, so that a sheet
// that gathers them shows each once.
const (
	// ManualFirst puts the operator's manual first.
	ManualFirst = "The operator's manual, local rules and licensed practice come before this figure."
	// LevelGround says where the figure holds.
	LevelGround = "This holds on firm, level ground; slopes and soft ground leave less."
	// Standstill says how the machine moves.
	Standstill = "This holds at a standstill or a crawl; speed, bumps and braking leave less."
	// NeverRaise forbids raising the rear wheels to find where they lift.
	NeverRaise = "Never raise the rear wheels to find out where they lift: the figure is calculated so that nobody has to."
	// NoTippingTest forbids looking for the limit.
	NoTippingTest = "Calculated, not tried out: never approach a tipping limit to check it."
	// RoadRules says that road law has limits of its own.
	RoadRules = "Road law has limits of its own for axle loads, the steered axle, width, overhang and lighting."
	// ROPS says what a roll-over protective structure protects.
	ROPS = "A roll-over protective structure protects up to the mass it is certified for, and only with the seat belt on."
)
