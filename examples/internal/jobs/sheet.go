package jobs

import (
	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Sheet is what a handover sheet is made of, as a JSON file holds it: the tractor as it is handed
// over, an attachment to compare, the load, and the yard.
type Sheet struct {
	// Version is the version of the file format, 1.
	Version int `json:"version"`
	// Title is the heading of the sheet; without it a heading in the reader's language.
	Title string `json:"title,omitempty"`
	// Setup is the machine with its loader, its attachment and its ballast.
	Setup ballast.Setup `json:"setup"`
	// Compare is an attachment that the one of the setup is compared with; nil is none.
	Compare *ballast.Attachment `json:"compare,omitempty"`
	// Load is what the machine is to lift, with its mass, or of material in a bucket its density.
	Load ballast.Load `json:"load"`
	// LoadIs says how the load lies: resting, loose, roundBale or hanging. Left out, the cautions
	// of all of them are shown first.
	LoadIs string `json:"loadIs,omitempty"`
	// Deck is the height of the trailer's deck over the ground.
	Deck units.Length `json:"deck"`
	// Place is how high the tines or the edge are where the load is placed; left out, with the
	// arms up.
	Place units.Length `json:"place,omitempty"`
	// Slope is the steepest ground of the yard; zero means not known, and then
	// it is not held against the limits.
	Slope units.Slope `json:"slope,omitempty"`
	// Friction is the coefficient of friction between tires and ground.
	Friction units.Fraction `json:"friction,omitempty"`
	// SlopeMargin is taken off every slope limit for whoever drives.
	SlopeMargin units.Slope `json:"slopeMargin,omitempty"`
	// SlopeManual is the steepest ground that the operator's manual allows; zero
	// where it gives none.
	SlopeManual units.Slope `json:"slopeManual,omitempty"`
	// Practice holds ranges for what the setup leaves out, in place of the usual
	// ones.
	Practice *ballast.Practice `json:"practice,omitempty"`
	// TravelPin is the height of the attachment pin while traveling.
	TravelPin units.Length `json:"travelPin"`
	// Speed is the travel speed with a load.
	Speed units.Speed `json:"speed"`
	// Obstacle is the roughest place of the yard that the machine passes over with its load, as a
	// tape measures it; nil is not given.
	Obstacle *stability.Obstacle `json:"obstacle,omitempty"`
	// ObstacleSpeed is how fast it passes over it; given with Obstacle.
	ObstacleSpeed units.Speed `json:"obstacleSpeed,omitempty"`
	// Basis is the safety basis against tipping.
	Basis ballast.Basis `json:"basis,omitzero"`
	// Factor is the dynamic factor; zero is the library's default.
	Factor float64 `json:"factor,omitempty"`
	// LoaderRating is what the maker of the loader rates it to lift at the attachment pin, at
	// the height where that is least. A card needs it where the loader is known by its cylinders.
	LoaderRating units.Mass `json:"loaderRating,omitempty"`
}
