package draw

import (
	"example.com/steelyard/examples/internal/svg"
	"example.com/steelyard/units"
)

// Arrow shows where a tape goes: a line between two places of the middle plane with a head at both
// ends and a text, such as a letter that is explained beside the picture. X is ahead of the rear
// axle and Z over the ground; below the ground it is drawn under the wheels.
type Arrow struct {
	FromX, FromZ, ToX, ToZ units.Length
	Text                   string
}

// draw draws the arrow with its text on a white ground, so that it can be read over the machine.
func (a Arrow) draw(v *view) {
	from, to := v.at(place{a.FromX, a.FromZ}), v.at(place{a.ToX, a.ToZ})
	s := svg.Style{Stroke: ink, Width: 1.5}
	v.c.Arrow(from, to, s)
	v.c.Arrow(to, from, s)
	if a.Text == "" {
		return
	}
	middle := svg.Point{X: (from.X + to.X) / 2, Y: (from.Y + to.Y) / 2}
	v.c.Circle(middle, 13, svg.Style{Stroke: ink, Fill: white, Width: 1.5})
	v.c.Text(svg.Point{X: middle.X, Y: middle.Y + 7}, 21, svg.Middle, a.Text)
}

// under is how far below the ground the lowest arrow goes.
func under(list []Arrow) units.Length {
	low := units.Length(0)
	for _, a := range list {
		low = min(low, a.FromZ, a.ToZ)
	}
	return -low
}
