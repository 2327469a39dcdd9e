package main

import (
	"slices"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/jobs"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Input is what the sheet is made of.
type Input jobs.Sheet

// handlings are how a load can lie.
var handlings = []string{"resting", "loose", "roundBale", "hanging"}

// Validate reports every field that the sheet cannot do without, by its path.
func (in *Input) Validate() error {
	var e units.FieldErrors
	if in.Version != 1 {
		e.Add("version", in.Version, "must be 1")
	}
	e.Join("setup", in.Setup.Validate())
	l, a := in.Setup.Loader, in.Setup.Attachment
	if l == nil {
		e.Add("setup.loader", nil, "must be given")
	} else {
		for _, x := range []struct {
			path string
			is   units.Input[units.Length]
		}{{"setup.loader.lowestPin", l.LowestPin}, {"setup.loader.highestPin", l.HighestPin}} {
			if _, ok := x.is.Range(); !ok {
				e.Add(x.path, nil, "must be given: measure with a tape from level ground to the attachment pin, the arms down and up")
			}
		}
	}
	if a == nil || a.Kind == ballast.AttachmentUnknown {
		e.Add("setup.attachment.kind", nil, "must be forks, bucket or barePin")
	}
	if b := in.Compare; b != nil {
		e.Join("compare", b.Validate())
		if b.Kind == ballast.AttachmentUnknown {
			e.Add("compare.kind", nil, "must be forks, bucket or barePin")
		}
	}
	e.Join("load", in.Load.Validate())
	if a != nil && in.mass() == 0 {
		e.Add("load.mass", nil, "must be given, or the density of what is in a bucket")
	}
	if in.LoadIs != "" && !slices.Contains(handlings, in.LoadIs) {
		e.Add("loadIs", in.LoadIs, "must be "+strings.Join(handlings, ", ")+" or left out")
	}
	positive(&e, "deck", in.Deck, 3)
	positive(&e, "travelPin", in.TravelPin, 3)
	positive(&e, "speed", in.Speed, 12)
	for _, x := range []struct {
		path string
		is   units.Slope
	}{{"slope", in.Slope}, {"slopeMargin", in.SlopeMargin}, {"slopeManual", in.SlopeManual}} {
		if !(x.is >= 0 && x.is <= units.Grade(1)) {
			e.Add(x.path, x.is, "must be from 0 to 45 deg")
		}
	}
	if o := in.Obstacle; o != nil {
		e.Join("obstacle", o.Validate())
		if o.Kind == stability.ObstacleLevel || o.Kind == stability.ObstacleRandom {
			e.Add("obstacle.kind", o.Kind, "must be box, rut, stepUp, drop, hump or halfSine: the roughest place as a tape measures it")
		}
		if v := in.ObstacleSpeed; !(v >= units.KilometerPerHour && v <= 12) {
			e.Add("obstacleSpeed", v, "must be from 1 km/h to "+units.Format(units.Display{}, units.Speed(12)))
		}
	} else if in.ObstacleSpeed != 0 {
		e.Add("obstacle", nil, "must be given with obstacleSpeed")
	}
	if !(in.Friction >= 0 && in.Friction <= 2) {
		e.Add("friction", in.Friction, "must be from 0 to 2; 0 means not known")
	}
	if !(in.LoaderRating >= 0 && in.LoaderRating <= 200*units.Tonne) {
		e.Add("loaderRating", in.LoaderRating, "must be from 1 kg to 200 t, or left out")
	}
	if in.Practice != nil {
		e.Join("practice", in.Practice.Validate())
	}
	if e.Len() == 0 {
		in.reach(&e)
	}
	e.Join("basis", in.Basis.Validate())
	if in.Factor != 0 && !(in.Factor >= 1 && in.Factor <= 5) {
		e.Add("factor", in.Factor, "must be from 1 to 5, or left out for the library's default")
	}
	return e.Err()
}

// mass is the mass of the load asked about.
func (in *Input) mass() units.Mass { return in.Load.MassOn(*in.Setup.Attachment) }

// practice returns the ranges of what the setup leaves out.
func (in *Input) practice() ballast.Practice {
	if in.Practice == nil {
		return ballast.Practice{}
	}
	return *in.Practice
}

// reach reports heights that the loader cannot come to.
func (in *Input) reach(e *units.FieldErrors) {
	l := in.Setup.Loader
	within := func(path, of string, q, low, high units.Length) {
		if !(q >= low && q <= high) {
			e.Add(path, units.Format(units.Display{}, q), "must be from "+units.Format(units.Display{Rounding: units.Up}, low)+" to "+
				units.Format(units.Display{Rounding: units.Down}, high)+", where the loader takes "+of)
		}
	}
	within("travelPin", "the attachment pin", in.TravelPin, jobs.Middle(l.LowestPin), jobs.Middle(l.HighestPin))
	for _, a := range []*ballast.Attachment{in.Setup.Attachment, in.Compare} {
		if a == nil {
			continue
		}
		low, high := jobs.Reach(l, a)
		of := "the top of the tines"
		if a.Kind == ballast.Bucket {
			of = "the edge of the bucket"
		}
		within("deck", of, in.Deck, low, high)
		if in.Place != 0 {
			within("place", of, in.Place, low, high)
		}
	}
}

func positive[Q units.Quantity](e *units.FieldErrors, path string, q, most Q) {
	if !(q > 0 && q <= most) {
		e.Add(path, q, "must be more than 0 and at most "+units.Format(units.Display{}, most))
	}
}

// jobs returns the jobs of the sheet for an attachment. An attachment of another kind than the
// setup's is loaded where it carries its own load.
func (in *Input) jobs(a *ballast.Attachment) []jobs.Job {
	y := in.yard()
	if a.Kind != in.Setup.Attachment.Kind {
		y.Load = ballast.Load{}
	}
	return jobs.Of(in.Setup.Loader, a, y)
}

func (in *Input) yard() jobs.Yard {
	return jobs.Yard{Deck: in.Deck, Travel: in.TravelPin, Speed: in.Speed, Place: in.Place, Load: in.Load, Basis: in.Basis, Factor: in.Factor}
}
