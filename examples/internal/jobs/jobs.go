// Package jobs is the list of what is done with a load in the yard, each with the height that is
// meant: clear the ground, take it off a trailer and reverse, lower it, carry it, place it; the
// input of a sheet about it; and how strong a fluid must be for the winter.
package jobs

import (
	"example.com/steelyard/ballast"
	"example.com/steelyard/units"
)

// Kind names a job; as text it is the code of its words, such as "job.lower".
type Kind string

// The jobs, in the order of the work.
const (
	Clear   Kind = "clear"
	Reverse Kind = "reverse"
	Lower   Kind = "lower"
	Carry   Kind = "carry"
	Place   Kind = "place"
)

// Job is one of them with its load case.
type Job struct {
	Kind Kind `json:"kind"`
	// Pin is the height of the attachment pin over the ground, Edge that of the tines or of the
	// bucket's edge; of a bare pin both are the same.
	Pin  units.Length `json:"pin"`
	Edge units.Length `json:"edge"`
	// Lift is what is put to the library.
	Lift ballast.Lift `json:"-"`
}

// Yard is where and how the work is done.
type Yard struct {
	// Deck is the height of the trailer's deck over the ground, of the tines or the edge.
	Deck units.Length
	// Travel is the height of the attachment pin while carrying, at Speed.
	Travel units.Length
	Speed  units.Speed
	// Place is the height of tines or edge at which the load is placed; zero is full height.
	Place  units.Length
	Load   ballast.Load
	Basis  ballast.Basis
	Factor float64
}

// Middle is the value of an input, or the middle of its range.
func Middle(in units.Input[units.Length]) units.Length {
	r, _ := in.Range()
	return r.Low + (r.High-r.Low)/2
}

// Below is how far tines or edge are above the attachment pin, mostly negative.
func Below(a *ballast.Attachment) units.Length {
	switch a.Kind {
	case ballast.Forks:
		return Middle(a.Tine)
	case ballast.Bucket:
		return Middle(a.Edge.Above)
	}
	return 0
}

// Level is the pin height at which the arm is level, or the nearest to it. What the loader leaves
// out is taken from what was assumed for it.
func Level(l *ballast.Loader, assumed []ballast.Assumption) units.Length {
	at := func(in units.Input[units.Length], path string) units.Length {
		for _, a := range assumed {
			if a.Path == path {
				return a.Length.Low + (a.Length.High-a.Length.Low)/2
			}
		}
		return Middle(in)
	}
	low, high := at(l.LowestPin, "loader.lowestPin"), at(l.HighestPin, "loader.highestPin")
	return min(max(at(l.Pivot.Z, "loader.pivot.z"), low), high)
}

// Reach is the lowest and the highest of tines, edge or pin.
func Reach(l *ballast.Loader, a *ballast.Attachment) (low, high units.Length) {
	return Middle(l.LowestPin) + Below(a), Middle(l.HighestPin) + Below(a)
}

// Of lists the jobs for a loader with an attachment.
func Of(l *ballast.Loader, a *ballast.Attachment, y Yard) []Job {
	below := Below(a)
	place := Middle(l.HighestPin)
	if y.Place != 0 {
		place = y.Place - below
	}
	// What is taken off a trailer must come down again: both jobs are held to the whole way.
	list := []Job{
		{Kind: Clear, Pin: Middle(l.LowestPin), Lift: ballast.Lift{Kind: ballast.Hold}},
		{Kind: Reverse, Pin: y.Deck - below, Lift: ballast.Lift{Kind: ballast.TakeOffDeck}},
		{Kind: Lower, Pin: y.Deck - below, Lift: ballast.Lift{Kind: ballast.TakeOffDeck}},
		{Kind: Carry, Pin: y.Travel, Lift: ballast.Lift{Kind: ballast.CarryLow}},
		{Kind: Place, Pin: place, Lift: ballast.Lift{Kind: ballast.StackHigh}},
	}
	for i := range list {
		j := &list[i]
		j.Edge = j.Pin + below
		j.Lift.Name, j.Lift.Datum, j.Lift.Height = string(j.Kind), ballast.PinHeight, j.Pin
		j.Lift.Load, j.Lift.Speed, j.Lift.Basis, j.Lift.Factor = y.Load, y.Speed, y.Basis, y.Factor
	}
	return list
}
