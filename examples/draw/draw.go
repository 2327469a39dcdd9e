// Package draw makes pictures of a setup and of a filled tire: data in, one SVG element out. It
// reads and writes no file, keeps nothing, and a program can put its pictures into a page of its
// own. A picture has no words but those that the caller gives, so that it fits any language; they
// are escaped, and hidden characters in them are replaced. Lines and areas differ by dash,
// thickness and hatching, never by color alone, and print in black and white.
//
// Pictures show where things are. They are no answer: what may be lifted, with its cautions, comes
// from package ballast and belongs beside them.
package draw

import (
	"math"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/svg"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// Grays of the pictures.
const (
	ink    = "#111"
	middle = "#777"
	pale   = "#e4e4e4"
	white  = "#fff"
)

// Machine is a picture of a setup from its right side, nose to the right, on level ground. Wheels,
// arms, attachment, load and ballast on the hitch are to scale; where a length is a range its
// middle is drawn. Hood, frame and the roll-over bar are sketched, because no setup says how
// they look.
type Machine struct {
	// Title is read aloud by screen readers.
	Title string
	// Setup is the machine; it must have a loader and an attachment.
	Setup ballast.Setup
	// Pin is the height of the attachment pin over the ground, within reach of the loader.
	Pin units.Length
	// Load is drawn as a box; its center and its height are taken as Setup's attachment and
	// half a meter say where they are left out. NoLoad leaves it out.
	Load   ballast.Load
	NoLoad bool
	// Back is how far behind the rear axle the picture begins at least, so that pictures of one
	// machine with several pieces on the hitch have one scale; zero is the machine's own.
	Back units.Length
	// Top is a height that the picture reaches at least, so that pictures of one machine at
	// several heights have one scale; zero is the machine's own.
	Top units.Length
	// Scale is the length of the scale bar, such as 1 m, and ScaleText what stands on it; zero
	// draws none.
	Scale     units.Length
	ScaleText string
	// Bar is drawn below the ground; nil is none.
	Bar *Bar
	// Arrows show where a tape goes. A scale and a bar are drawn in the place of those that go
	// below the ground.
	Arrows []Arrow
}

// Bar compares the load asked about with the low end of what may be lifted.
type Bar struct {
	// Asked is the load asked about, Low the low end of what may be lifted.
	Asked, Low units.Mass
	// Full is what the whole length of the bar stands for; zero is the greater of the two.
	Full units.Mass
	// Open says that Low is no permission, because a rating is missing or something is not
	// measured: the bar is then hatched and has no end line.
	Open bool
}

// value is an input or the middle of its range.
func value(e *units.FieldErrors, path string, in units.Input[units.Length]) units.Length {
	r, ok := in.Range()
	if !ok {
		e.Add(path, nil, "must be given for a picture")
	}
	return r.Low + (r.High-r.Low)/2
}

// or is an input, or what usually stands in for it.
func or(in units.Input[units.Length], usual units.Length) (l units.Length, known bool) {
	r, ok := in.Range()
	if !ok {
		return usual, false
	}
	return r.Low + (r.High-r.Low)/2, true
}

// SVG returns the picture. A length that it cannot do without is an error that names the field:
// wheelbase, the arm's pivot, length and reach, and how far the attachment's load is from the pin.
// A radius of a wheel that is left out is drawn dashed, with a usual size (common practice, no
// source).
func (p Machine) SVG() (string, error) {
	v, err := p.view()
	if err != nil {
		return "", err
	}
	v.c.Line(svg.Point{X: 0, Y: v.ground}, svg.Point{X: width, Y: v.ground}, svg.Style{Stroke: ink, Width: 2})
	v.sketch()
	v.wheel(0, v.rear, v.rearKnown)
	v.wheel(v.base, v.front, v.frontKnown)
	for _, x := range p.Setup.Pieces {
		if x.Kind.OnHitch() {
			v.hitched(x.CG)
		}
	}
	v.loader()
	for _, a := range p.Arrows {
		a.draw(v)
	}
	y := v.ground + 16
	if p.Scale > 0 {
		long := float64(p.Scale) * v.scale
		v.c.Line(svg.Point{X: 2, Y: y}, svg.Point{X: 2 + long, Y: y}, svg.Style{Stroke: ink, Width: 1.5})
		for _, x := range []float64{2, 2 + long} {
			v.c.Line(svg.Point{X: x, Y: y - 5}, svg.Point{X: x, Y: y + 5}, svg.Style{Stroke: ink, Width: 1.5})
		}
		v.c.Text(svg.Point{X: 10 + long, Y: y + 10}, 31, svg.Start, p.ScaleText)
		y += 30
	}
	if p.Bar != nil {
		p.Bar.draw(v.c, 2, width-2, y+2)
	}
	return v.c.String(), nil
}

// width is that of the picture, in its own units.
const width = 480.0

// A view is a machine on its way into a picture.
type view struct {
	Machine
	c                              *svg.Canvas
	base, rear, front, hood, above units.Length
	rearKnown, frontKnown          bool
	pivot, pin                     place
	face, center, tine, edge       units.Length
	back                           units.Length
	scale, ground                  float64
}

// view finds the lengths and what the picture must hold.
func (p Machine) view() (*view, error) {
	var e units.FieldErrors
	m, l, a := &p.Setup.Machine, p.Setup.Loader, p.Setup.Attachment
	if l == nil {
		e.Add("setup.loader", nil, "must be given for a picture")
	}
	if a == nil {
		e.Add("setup.attachment", nil, "must be given for a picture")
	}
	if e.Len() > 0 {
		return nil, e.Err()
	}
	v := &view{Machine: p}
	v.base = value(&e, "setup.machine.wheelbase", m.Wheelbase)
	v.pivot = place{value(&e, "setup.loader.pivot.x", l.Pivot.X), value(&e, "setup.loader.pivot.z", l.Pivot.Z)}
	arm := value(&e, "setup.loader.arm", l.Arm)
	if a.Kind != ballast.BarePin {
		v.face = value(&e, "setup.attachment.face", a.Face)
	}
	if err := e.Err(); err != nil {
		return nil, err
	}
	rise := p.Pin - v.pivot.z
	if !(v.base > 0.1 && arm > 0.1) || math.Abs(float64(rise)) > float64(arm) || p.Pin > 20 {
		e.Add("pin", p.Pin, "must be within reach of the loader")
		return nil, e.Err()
	}
	v.rear, v.rearKnown = or(m.Rear.Radius, v.base*0.3)
	v.front, v.frontKnown = or(m.Front.Radius, v.base*0.2)
	v.hood = max(v.rear*1.05, v.front*1.2, v.pivot.z*0.55)
	v.pin = place{v.pivot.x + units.Length(math.Sqrt(float64(arm*arm-rise*rise))), p.Pin}
	v.back = min(-v.rear, -0.6, -p.Back)
	for _, x := range p.Setup.Pieces {
		if at, known := or(x.CG.X, 0); known && x.Kind.OnHitch() {
			v.back = min(v.back, at-0.35)
		}
	}
	v.center, _ = or(p.Load.Center, 0)
	if v.center == 0 {
		v.center, _ = or(a.LoadCenter, 0.3)
	}
	if !(v.center > 0.05) {
		v.center = 0.3
	}
	v.edge, _ = or(a.Edge.Ahead, v.face+0.3)
	v.above, _ = or(p.Load.Above, 0.5)
	v.tine, _ = or(a.Tine, 0)
	reach := v.pivot.x + arm + v.face + 2*v.center
	if a.Kind == ballast.Bucket {
		reach = max(v.pivot.x+arm+v.edge, v.pivot.x+arm+v.face+0.4)
	}
	top := max(p.Top, v.pivot.z+0.9, p.Pin+v.tine+2*v.above+0.1)
	v.scale = width / float64(reach-v.back+0.2)
	foot := 16.0
	if p.Bar != nil {
		foot += 34
	}
	if p.Scale > 0 {
		foot += 30
	}
	if low := under(p.Arrows); low > 0 {
		foot = max(foot, float64(low)*v.scale+14)
	}
	height := float64(top)*v.scale + foot + 6
	v.ground = height - foot
	v.c = svg.New(width, height, p.Title)
	return v, nil
}

// at is a place of the machine in the picture.
func (v *view) at(q place) svg.Point {
	return svg.Point{X: float64(q.x-v.back+0.1) * v.scale, Y: v.ground - float64(q.z)*v.scale}
}

// sketch draws frame, hood, roll-over bar, seat and steering wheel, whose looks no setup knows.
func (v *view) sketch() {
	base, hood := v.base, v.hood
	v.c.Polygon([]svg.Point{v.at(place{-0.1 * base, v.rear * 0.8}), v.at(place{base * 1.05, v.front * 0.9}), v.at(place{base * 1.05, hood * 1.35}),
		v.at(place{base * 0.42, hood * 1.65}), v.at(place{base * 0.4, hood * 1.1}), v.at(place{-0.1 * base, hood * 1.15})}, svg.Style{Stroke: middle, Fill: pale, Width: 1})
	for _, line := range []struct {
		from, to place
		width    float64
	}{
		{place{-0.02 * base, hood * 1.1}, place{-0.04 * base, hood*1.65 + 0.7}, 4},
		{place{0.05 * base, hood * 1.4}, place{0.27 * base, hood * 1.4}, 5},
		{place{0.07 * base, hood * 1.4}, place{0.04 * base, hood*1.4 + 0.4}, 5},
		{place{0.44 * base, hood * 1.6}, place{0.34 * base, hood*1.6 + 0.15}, 3},
	} {
		v.c.Line(v.at(line.from), v.at(line.to), svg.Style{Stroke: middle, Width: line.width})
	}
}

// wheel draws a wheel; one whose size is not known is dashed.
func (v *view) wheel(x, r units.Length, known bool) {
	s := svg.Style{Stroke: ink, Fill: white, Width: 2}
	if !known {
		s.Dash = "5 4"
	}
	v.c.Circle(v.at(place{x, r}), float64(r)*v.scale, s)
	v.c.Circle(v.at(place{x, r}), float64(r)*v.scale*0.5, svg.Style{Stroke: middle, Fill: pale})
}

// hitched draws a piece on the hitch as a box of half a meter.
func (v *view) hitched(cg ballast.Position) {
	x, known := or(cg.X, 0)
	if !known {
		return
	}
	z, high := or(cg.Z, v.rear)
	if z <= 0 {
		z, high = v.rear, false
	}
	s := svg.Style{Stroke: ink, Fill: pale, Width: 2}
	if !high {
		s.Dash = "5 4"
	}
	v.c.Line(v.at(place{x, z}), v.at(place{-0.1, v.rear}), svg.Style{Stroke: middle, Width: 3})
	v.c.Rect(v.at(place{x - 0.25, z - 0.22}), v.at(place{x + 0.25, z + 0.22}), s)
}

var dashed = svg.Style{Stroke: ink, Fill: white, Width: 1.5, Dash: "7 4"}

// cross marks the center of the load.
func (v *view) cross(q place) {
	at := v.at(q)
	s := svg.Style{Stroke: ink, Width: 1.5}
	v.c.Line(svg.Point{X: at.X - 7, Y: at.Y}, svg.Point{X: at.X + 7, Y: at.Y}, s)
	v.c.Line(svg.Point{X: at.X, Y: at.Y - 7}, svg.Point{X: at.X, Y: at.Y + 7}, s)
}

// box draws the load from its lower corner next to the machine.
func (v *view) box(heel place, long, high units.Length) {
	if !v.NoLoad {
		v.c.Rect(v.at(heel), v.at(place{heel.x + long, heel.z + high}), dashed)
		v.cross(place{heel.x + long/2, heel.z + high/2})
	}
}

// loader draws arms, attachment and load.
func (v *view) loader() {
	a := v.Setup.Attachment
	v.c.Line(v.at(place{v.pivot.x, v.hood * 0.9}), v.at(v.pivot), svg.Style{Stroke: ink, Width: 5})
	v.c.Line(v.at(v.pivot), v.at(v.pin), svg.Style{Stroke: ink, Width: 7})
	v.c.Line(v.at(v.pivot), v.at(v.pin), svg.Style{Stroke: white, Width: 3})
	v.c.Circle(v.at(v.pivot), 5, svg.Style{Stroke: ink, Fill: white, Width: 2})
	thick := svg.Style{Stroke: ink, Width: 4}
	pin := v.pin
	switch a.Kind {
	case ballast.Bucket:
		below, _ := or(a.Edge.Above, -0.2)
		lip, heel := place{pin.x + v.edge, pin.z + below}, place{pin.x + 0.08, pin.z + below}
		if !v.NoLoad {
			v.c.Polygon([]svg.Point{v.at(heel), v.at(lip), v.at(place{pin.x + v.face, pin.z + 0.35}), v.at(place{pin.x, pin.z + 0.2})}, dashed)
			v.cross(place{pin.x + v.face, pin.z + below + max(0.05, v.above)})
		}
		v.c.Polyline([]svg.Point{v.at(lip), v.at(heel), v.at(pin), v.at(place{pin.x, pin.z + 0.3})}, thick)
	case ballast.BarePin:
		hang := place{pin.x, pin.z - 0.5}
		v.c.Line(v.at(pin), v.at(hang), svg.Style{Stroke: ink, Width: 1.5})
		v.box(place{hang.x - 0.3, hang.z - 0.5}, 0.6, 0.5)
	default:
		heel := place{pin.x + v.face, pin.z + v.tine}
		v.box(heel, 2*v.center, 2*max(v.above, 0.1))
		v.c.Line(v.at(pin), v.at(place{heel.x, pin.z}), thick)
		v.c.Polyline([]svg.Point{v.at(place{heel.x + 2*v.center, heel.z}), v.at(heel), v.at(place{heel.x, heel.z + 0.45})}, thick)
	}
	v.c.Circle(v.at(pin), 5, svg.Style{Stroke: ink, Fill: white, Width: 2})
}

// place is a point of the machine's middle plane: x ahead of the rear axle, z over the ground.
type place struct{ x, z units.Length }

// draw draws the bar from x0 to x1: a frame as long as the low end, in it the load asked about,
// black and, beyond the low end, crossed out.
func (b *Bar) draw(c *svg.Canvas, x0, x1, y float64) {
	full := float64(max(b.Full, b.Asked, b.Low))
	if !(full > 0) {
		return
	}
	to := func(m units.Mass) float64 { return x0 + (x1-x0)*float64(max(m, 0))/full }
	const high = 22
	low, asked := to(b.Low), to(b.Asked)
	frame := svg.Style{Stroke: ink, Fill: white, Width: 2}
	if b.Open {
		frame.Dash = "6 4"
	}
	c.Rect(svg.Point{X: x0, Y: y}, svg.Point{X: low, Y: y + high}, frame)
	fill := svg.Style{Stroke: "none", Fill: ink}
	if b.Open {
		fill.Fill = middle
	}
	c.Rect(svg.Point{X: x0, Y: y + 6}, svg.Point{X: min(asked, low), Y: y + high - 6}, fill)
	if asked > low {
		c.Rect(svg.Point{X: low, Y: y + 6}, svg.Point{X: asked, Y: y + high - 6}, svg.Style{Stroke: ink, Fill: white, Width: 2})
		for x := low; x < asked-1; x += 9 {
			end := min(x+9, asked)
			c.Line(svg.Point{X: x, Y: y + high - 6}, svg.Point{X: end, Y: y + 6}, svg.Style{Stroke: ink, Width: 2})
		}
	}
	if b.Open {
		for x := x0 + 8; x < low; x += 14 {
			c.Line(svg.Point{X: x, Y: y + high}, svg.Point{X: min(x+8, low), Y: y}, svg.Style{Stroke: white, Width: 2})
		}
		return
	}
	c.Line(svg.Point{X: low, Y: y - 4}, svg.Point{X: low, Y: y + high + 4}, svg.Style{Stroke: ink, Width: 4})
}

// Tire is a picture of a filled tire from its side, to scale, with the level of the liquid and the
// place of the valve where the fill names one.
type Tire struct {
	// Title is read aloud by screen readers.
	Title string
	// Fill is the tire with its fluid and level.
	Fill liquid.Fill
	// Valve is what stands beside the valve, such as "valve"; empty leaves it out.
	Valve string
}

// SVG returns the picture. A fill that cannot be worked out is an error that names the field.
func (p Tire) SVG() (string, error) {
	filled, err := p.Fill.Solve()
	if err != nil {
		return "", err
	}
	cavity, err := p.Fill.Tire.Compile()
	if err != nil {
		return "", err
	}
	tire, err := p.Fill.Tire.Resolve()
	if err != nil {
		return "", err
	}
	const size, margin = 260.0, 10.0
	outer := float64(tire.OverallDiameter.Value) / 2
	scale := (size/2 - margin) / outer
	center := svg.Point{X: size / 2, Y: size / 2}
	c := svg.New(size, size, p.Title)
	crown, rim, level := float64(cavity.CrownRadius())*scale, float64(cavity.RimRadius())*scale, float64(filled.Level)*scale
	if !filled.Flows() {
		level = crown
	}
	c.Circle(center, outer*scale, svg.Style{Stroke: ink, Fill: middle})
	c.Circle(center, crown, svg.Style{Stroke: ink, Fill: white})
	c.Polygon(segment(center, crown, level), svg.Style{Stroke: ink, Fill: "#c4c4c4"})
	c.Circle(center, rim, svg.Style{Stroke: ink, Fill: white})
	if filled.Flows() {
		y := center.Y - level
		c.Line(svg.Point{X: 0, Y: y}, svg.Point{X: size, Y: y}, svg.Style{Stroke: ink, Width: 2, Dash: "8 4"})
	}
	if k := p.Fill.Level.Clock; k != 0 {
		r := float64(tire.ValveRadius.Value) * scale
		turn := k * math.Pi / 6
		v := svg.Point{X: center.X + r*math.Sin(turn), Y: center.Y - r*math.Cos(turn)}
		c.Circle(v, 6, svg.Style{Stroke: ink, Fill: white, Width: 3})
		if p.Valve != "" {
			c.Line(center, v, svg.Style{Stroke: middle, Dash: "3 3"})
			c.Text(svg.Point{X: center.X, Y: center.Y + 26}, 20, svg.Middle, p.Valve)
		}
	}
	return c.String(), nil
}

// segment is the part of a disk below a level over its center.
func segment(center svg.Point, r, level float64) []svg.Point {
	level = min(r, max(-r, level))
	start := math.Asin(level / r)
	var p []svg.Point
	const n = 60
	for i := 0; i <= n; i++ {
		a := start + (-math.Pi-2*start)*float64(i)/n
		p = append(p, svg.Point{X: center.X + r*math.Cos(a), Y: center.Y - r*math.Sin(a)})
	}
	return p
}
