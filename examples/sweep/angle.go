package main

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"

	"example.com/steelyard/units"
)

// An angleUnit is the unit in which slopes and angles stand in a table: that in which the
// design gives them. The zero value is the radian, in which the library counts.
type angleUnit struct {
	name string
	one  float64 // in radians; 0 for a grade
}

var (
	inDegrees = angleUnit{"deg", float64(units.Degree)}
	inPercent = angleUnit{"%", 0}
)

// of returns an angle in the unit.
func (u angleUnit) of(rad float64) float64 {
	switch u {
	case angleUnit{}:
		return rad
	case inPercent:
		return 100 * math.Tan(rad)
	}
	return rad / u.one
}

// angleUnitOf returns the unit of a slope or an angle as it is written in a design.
func angleUnitOf(raw json.RawMessage, t reflect.Type) angleUnit {
	text := strings.Trim(strings.TrimSpace(string(raw)), `"`)
	slope := t == reflect.TypeFor[units.Slope]()
	switch {
	case !slope && t != reflect.TypeFor[units.Angle]() || strings.HasSuffix(text, "rad"):
	case slope && (strings.HasSuffix(text, "%") || strings.Contains(text, ":")):
		return inPercent
	case strings.Contains(text, "deg") || strings.HasSuffix(text, "°"):
		return inDegrees
	}
	return angleUnit{}
}

// first returns what a factor gives first.
func (s *factorSpec) first() json.RawMessage {
	switch {
	case s.Range != nil:
		return s.Range.Low
	case s.Normal != nil:
		return s.Normal.Mean
	case s.Triangular != nil:
		return s.Triangular.Low
	case len(s.List) > 0:
		return s.List[0]
	}
	return nil
}

// angles gives slope and heading the units in which the design gives a slope and a heading:
// in a factor, or else in its base document. Where only the slope is given, a heading is in
// degrees.
func (d *design) angles() {
	var slope, heading angleUnit
	var base struct {
		Lifts []struct{ Slope, Heading json.RawMessage }
	}
	if json.Unmarshal(d.file.Base, &base) == nil {
		for _, l := range base.Lifts {
			if slope == (angleUnit{}) {
				slope = angleUnitOf(l.Slope, reflect.TypeFor[units.Slope]())
			}
			if heading == (angleUnit{}) {
				heading = angleUnitOf(l.Heading, reflect.TypeFor[units.Angle]())
			}
		}
	}
	for _, f := range d.factors {
		switch {
		case f.angle == (angleUnit{}):
		case strings.HasSuffix(f.paths[0], ".slope"):
			slope = f.angle
		case strings.HasSuffix(f.paths[0], ".heading"):
			heading = f.angle
		}
	}
	if heading == (angleUnit{}) && slope != (angleUnit{}) {
		heading = inDegrees
	}
	for i := range d.outputs {
		o := &d.outputs[i]
		switch {
		case o.unit != "rad":
			continue
		case strings.HasSuffix(o.name, ".heading"):
			o.angle = heading
		default:
			o.angle = slope
		}
		if o.angle != (angleUnit{}) {
			o.unit = o.angle.name
		}
	}
}
