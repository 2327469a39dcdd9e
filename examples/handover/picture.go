package main

import (
	"errors"
	"fmt"
	"html/template"
	"math"
	"slices"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/svg"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Colors of the pictures. What they tell apart is also told by dash or label,
// so that they can be read without color vision and from a gray print.
const (
	ink    = "#222"
	gray   = "#888"
	pale   = "#e8e8e8"
	strong = "#0b4f8a" // what stands or is allowed
	warn   = "#b4500a" // what tips or limits
	wet    = "#bcd7ee" // liquid
)

// pose is the machine with the load at one height, for drawing.
type pose struct {
	place   ballast.Place
	vehicle stability.Vehicle
	loads   ballast.WheelLoads
}

// poseAt puts the load on and the arm to where the pin has a height.
func (s *Sheet) poseAt(pin units.Length) (pose, error) {
	m, err := s.in.Setup.Compile()
	if err != nil {
		return pose{}, err
	}
	c, err := m.Case(ballast.Lift{Datum: ballast.PinHeight, Height: pin, Load: s.in.Load, Basis: s.in.Basis, Factor: s.in.Factor, Speed: s.in.Speed})
	if err != nil {
		return pose{}, err
	}
	v, err := c.Vehicle(s.in.Load.Mass)
	return pose{c.Place(), v, c.WheelLoads(s.in.Load.Mass)}, err
}

// whole returns the common center of gravity of body and front axle.
func (p *pose) whole() stability.Point {
	b, err := stability.Assemble(p.vehicle.Body.Part(), p.vehicle.Undercarriage.Axle)
	if err != nil {
		return p.vehicle.Body.CG
	}
	return b.CG
}

// sideView draws the machine to scale from its right, nose to the right, with
// the arms level, where tipping forward is nearest.
func (s *Sheet) sideView(d words) (string, error) {
	l, m := s.in.Setup.Loader, &s.in.Setup.Machine
	p, err := s.poseAt(min(max(l.Pivot.Z.Value(), l.LowestPin.Value()), l.HighestPin.Value()))
	if err != nil {
		return "", err
	}
	const width, height, margin = 760, 400, 24
	x0, x1 := -1.9, float64(p.place.Load.X)+1.0
	scale := (width - 2*margin) / (x1 - x0)
	ground := height - 70.0
	at := func(x, z units.Length) svg.Point {
		return svg.Point{X: margin + (float64(x)-x0)*scale, Y: ground - float64(z)*scale}
	}
	c := svg.New(width, height, "Side view to scale, arms level, with the load")
	c.Line(svg.Point{X: margin, Y: ground}, svg.Point{X: width - margin, Y: ground}, svg.Style{Width: 2})
	wheel := func(x, r units.Length) {
		if r > 0 {
			c.Circle(at(x, r), float64(r)*scale, svg.Style{Fill: pale, Width: 1.5})
			c.Circle(at(x, r), float64(r)*scale*0.45, svg.Style{Stroke: gray})
		}
	}
	wheel(0, m.Rear.Radius.Value())
	wheel(m.Wheelbase.Value(), m.Front.Radius.Value())
	for _, x := range s.in.Setup.Pieces {
		if x.Kind.OnHitch() {
			a := at(x.CG.X.Value(), x.CG.Z.Value())
			c.Rect(svg.Point{X: a.X - 22, Y: a.Y - 22}, svg.Point{X: a.X + 22, Y: a.Y + 22}, svg.Style{Fill: pale, Width: 1.5})
			c.Text(svg.Point{X: a.X, Y: a.Y - 30}, 12, svg.Middle, x.Name+" "+d.carried(x.Mass.Value()))
			c.Line(svg.Point{X: a.X + 22, Y: a.Y}, at(-0.1, x.CG.Z.Value()), svg.Style{Stroke: gray})
		}
	}
	pivot, pin, load := at(l.Pivot.X.Value(), l.Pivot.Z.Value()), at(p.place.Pin.X, p.place.Pin.Z), at(p.place.Load.X, p.place.Load.Z)
	c.Line(at(l.Pivot.X.Value(), l.Pivot.Z.Value()-0.75), pivot, svg.Style{Stroke: gray, Width: 4})
	c.Line(pivot, pin, svg.Style{Stroke: gray, Width: 5})
	c.Circle(pivot, 4, svg.Style{Fill: "#fff"})
	c.Circle(pin, 4, svg.Style{Fill: "#fff"})
	a := s.in.Setup.Attachment
	heel, tip := at(p.place.Pin.X+a.Face.Value(), p.place.Pin.Z+a.Tine.Value()), at(p.place.Pin.X+a.Face.Value()+2*s.loadCenter(), p.place.Pin.Z+a.Tine.Value())
	c.Line(heel, tip, svg.Style{Width: 3})
	c.Line(heel, at(p.place.Pin.X+a.Face.Value(), p.place.Pin.Z+0.4), svg.Style{Width: 3})
	half := 2 * float64(s.loadCenter()) * scale / 2
	c.Rect(svg.Point{X: load.X - half, Y: heel.Y - 2}, svg.Point{X: load.X + half, Y: 2*load.Y - heel.Y + 2}, svg.Style{Stroke: strong, Width: 1.5, Dash: "5 3"})
	c.Text(svg.Point{X: load.X, Y: 2*load.Y - heel.Y - 6}, 12, svg.Middle, d.carried(s.Load))
	cross(c, load, strong)
	// The tipping line: what is ahead of the front contact lifts the rear.
	c.Line(at(m.Wheelbase.Value(), 0), at(m.Wheelbase.Value(), p.place.Pin.Z+0.9), svg.Style{Stroke: warn, Dash: "8 4", Width: 1.5})
	top := at(m.Wheelbase.Value(), p.place.Pin.Z+0.9)
	c.Text(svg.Point{X: top.X, Y: top.Y - 6}, 12, svg.Middle, "tipping line")
	g := p.whole()
	cg := at(g.X, g.Z)
	cross(c, cg, ink)
	c.Text(svg.Point{X: cg.X + 10, Y: cg.Y - 6}, 12, svg.Start, "CG of all, "+d.carried(p.loads.Total))
	for _, axle := range []struct {
		x units.Length
		m units.Mass
	}{{0, p.loads.Rear}, {m.Wheelbase.Value(), p.loads.Front}} {
		foot := at(axle.x, 0)
		c.Arrow(svg.Point{X: foot.X, Y: foot.Y + 38}, svg.Point{X: foot.X, Y: foot.Y + 4}, svg.Style{Stroke: strong, Width: 2})
		c.Text(svg.Point{X: foot.X, Y: foot.Y + 54}, 13, svg.Middle, d.carried(axle.m))
	}
	bar := svg.Point{X: width - margin, Y: height - 12}
	c.Line(svg.Point{X: bar.X - scale, Y: bar.Y}, bar, svg.Style{Width: 2})
	c.Text(svg.Point{X: bar.X - scale/2, Y: bar.Y - 5}, 11, svg.Middle, units.Format(d.Display, 1*units.Meter))
	return c.String(), nil
}

func cross(c *svg.Canvas, p svg.Point, color string) {
	s := svg.Style{Stroke: color, Width: 1.5}
	c.Circle(p, 6, s)
	c.Line(svg.Point{X: p.X - 9, Y: p.Y}, svg.Point{X: p.X + 9, Y: p.Y}, s)
	c.Line(svg.Point{X: p.X, Y: p.Y - 9}, svg.Point{X: p.X, Y: p.Y + 9}, s)
}

// planView draws the contacts, the triangle that the body stands on, and the
// body's center of gravity empty and loaded, from above, nose to the right.
func (s *Sheet) planView(d words) (string, error) {
	const width, height, margin = 560, 330, 40
	m := &s.in.Setup.Machine
	l := float64(m.Wheelbase.Value())
	t, f := float64(m.RearTrack.Value()), float64(m.FrontTrack.Value())
	scale := min((width-2*margin)/(l+1.0), (height-2*margin)/max(t, f, 1))
	at := func(x, y float64) svg.Point { return svg.Point{X: margin + (x+0.4)*scale, Y: height/2 - y*scale} }
	c := svg.New(width, height, "Plan view to scale: the triangle that the body stands on")
	wheel := func(x, y, long, wide float64) {
		a, b := at(x-long/2, y+wide/2), at(x+long/2, y-wide/2)
		c.Rect(a, b, svg.Style{Fill: pale, Stroke: gray})
	}
	for _, side := range []float64{1, -1} {
		wheel(0, side*t/2, 0.7, 0.3)
		wheel(l, side*f/2, 0.5, 0.22)
	}
	c.Polygon([]svg.Point{at(0, t/2), at(0, -t/2), at(l, 0)}, svg.Style{Stroke: strong, Width: 2})
	c.Text(svg.Point{X: at(l, 0).X + 8, Y: at(l, 0).Y + 4}, 12, svg.Start, "axle pin")
	empty, err := s.bodyCG(s.in.TravelPin, 0)
	if err != nil {
		return "", err
	}
	loaded, err := s.bodyCG(s.in.TravelPin, s.in.Load.Mass)
	if err != nil {
		return "", err
	}
	for _, p := range []struct {
		g     stability.Point
		label string
		up    float64
	}{{empty, "forks empty", -14}, {loaded, "with " + d.carried(s.Load), 22}} {
		q := at(float64(p.g.X), float64(p.g.Y))
		cross(c, q, ink)
		c.Text(svg.Point{X: q.X, Y: q.Y + p.up}, 12, svg.Middle, p.label)
	}
	c.Text(svg.Point{X: margin, Y: height - 10}, 12, svg.Start, "The nearer the body's CG is to a side of the triangle, the less slope tips it over that side.")
	return c.String(), nil
}

func (s *Sheet) bodyCG(pin units.Length, load units.Mass) (stability.Point, error) {
	m, err := s.in.Setup.Compile()
	if err != nil {
		return stability.Point{}, err
	}
	c, err := m.Case(ballast.Lift{Datum: ballast.PinHeight, Height: pin, Load: s.in.Load, Basis: s.in.Basis, Factor: s.in.Factor, Speed: s.in.Speed})
	if err != nil {
		return stability.Point{}, err
	}
	v, err := c.Vehicle(load)
	return v.Body.CG, err
}

// tireSection draws a filled tire from its side, with the level and the valve.
func tireSection(d words, f *FillRow) (string, error) {
	cavity, err := f.Fill.Tire.Compile()
	if err != nil {
		return "", err
	}
	tire, err := f.Fill.Tire.Resolve()
	if err != nil {
		return "", err
	}
	const size = 260
	outer := float64(tire.OverallDiameter.Value) / 2
	scale := 105 / outer
	center := svg.Point{X: size / 2, Y: 130}
	c := svg.New(size, 300, "Tire with its liquid: "+f.Name)
	crown, rim, level := float64(cavity.CrownRadius())*scale, float64(cavity.RimRadius())*scale, float64(f.Filled.Level)*scale
	c.Circle(center, outer*scale, svg.Style{Fill: gray})
	c.Circle(center, crown, svg.Style{Fill: "#fff"})
	c.Polygon(segment(center, crown, level), svg.Style{Stroke: strong, Fill: wet})
	c.Circle(center, rim, svg.Style{Fill: "#fff"})
	y := center.Y - level
	c.Line(svg.Point{X: 8, Y: y}, svg.Point{X: size - 8, Y: y}, svg.Style{Stroke: strong, Dash: "6 3"})
	if k := f.Fill.Level.Clock; k != 0 {
		r := float64(tire.ValveRadius.Value) * scale
		turn := k * math.Pi / 6
		v := svg.Point{X: center.X + r*math.Sin(turn), Y: center.Y - r*math.Cos(turn)}
		c.Circle(v, 4, svg.Style{Stroke: warn, Fill: "#fff", Width: 2})
		c.Text(svg.Point{X: center.X, Y: center.Y - 4}, 12, svg.Middle, fmt.Sprintf("valve at %g", k))
	}
	c.Text(svg.Point{X: center.X, Y: center.Y + 14}, 12, svg.Middle, units.Format(d.Display, f.Filled.Volume))
	c.Text(svg.Point{X: center.X, Y: 262}, 13, svg.Middle, f.Fill.Tire.Designation.Size()+": "+d.carried(f.Filled.Mass)+" each")
	c.Text(svg.Point{X: center.X, Y: 282}, 12, svg.Middle, freezing(d, f.Filled))
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

// loadChart draws the usable load over the height of the tines.
func (s *Sheet) loadChart(d words) (string, error) {
	l, a := s.in.Setup.Loader, s.in.Setup.Attachment
	length, unit, mass := units.Meter, "m", units.Kilogram
	massUnit := "kg"
	if d.System != units.Metric {
		length, unit, mass, massUnit = units.Foot, "ft", units.Pound, "lb"
	}
	p := svg.Plot{Title: "What may be held at each height", XLabel: "height of the tines over the ground, " + unit, YLabel: "usable load, " + massUnit,
		Width: 560, Height: 330}
	for _, col := range []struct {
		label  string
		pieces []ballast.Piece
		style  svg.Style
	}{
		{"ballast on", s.in.Setup.Pieces, svg.Style{Stroke: strong, Width: 2}},
		{"NO ballast", nil, svg.Style{Stroke: warn, Width: 2, Dash: "6 3"}},
	} {
		setup := s.in.Setup
		setup.Pieces = col.pieces
		e, err := setup.Envelope(s.in.practice())
		if err != nil {
			return "", err
		}
		line, up := svg.Series{Label: col.label, Style: col.style}, svg.Series{Style: svg.Style{Stroke: gray, Dash: "1 3"}}
		low, high := middle(l.LowestPin), middle(l.HighestPin)
		const n = 60
		for i := 0; i <= n; i++ {
			pin := low + units.Length(float64(i)/n)*(high-low)
			u, err := e.UsableLoad(ballast.Lift{Datum: ballast.PinHeight, Height: pin, Load: s.in.Load, Basis: s.in.Basis, Factor: s.in.Factor, Speed: s.in.Speed})
			if err != nil {
				return "", err
			}
			x := float64((pin + middle(a.Tine)) / length)
			line.X, line.Y = append(line.X, x), append(line.Y, float64(u.IfRated.Low/mass))
			up.X, up.Y = append(up.X, x), append(up.Y, float64(u.IfRated.High/mass))
			p.YMax = max(p.YMax, float64(u.IfRated.High/mass))
		}
		p.Series = append(p.Series, line)
		if !slices.Equal(line.Y, up.Y) {
			up.Label = col.label + ", if all that is open is at its best"
			p.Series = append(p.Series, up)
		}
	}
	p.YMax = 1.15 * max(p.YMax, float64(s.Load/mass))
	p.Horizontal = []svg.Mark{{Y: float64(s.Load / mass), Label: "load asked for"}}
	p.Vertical = []svg.Mark{{X: float64(s.Deck / length), Label: "deck"}}
	return p.String(), nil
}

// slopeChart draws the tipping limits over the headings.
func (s *Sheet) slopeChart() string {
	p := svg.Plot{Title: "Slope at which a wheel lifts, by heading", XLabel: "heading, degrees: 0 nose uphill, 90 across, 180 nose downhill", YLabel: "slope, degrees",
		Width: 560, Height: 330, YMin: 0, YMax: 60, XMin: 0, XMax: 360}
	styles := []svg.Style{{Stroke: gray, Width: 2, Dash: "2 3"}, {Stroke: strong, Width: 2}, {Stroke: warn, Width: 2, Dash: "6 3"}}
	for i, r := range s.Slopes {
		line := svg.Series{Label: r.State, Style: styles[i%len(styles)]}
		for k, l := range r.Curve {
			line.X = append(line.X, 360*float64(k)/headingSteps)
			deg := 60.0
			if occurs(l) {
				deg = min(deg, float64(l.Slope()/units.Slope(units.Degree)))
			}
			line.Y = append(line.Y, deg)
		}
		if len(line.X) > 0 {
			line.X, line.Y = append(line.X, 360), append(line.Y, line.Y[0])
			p.Series = append(p.Series, line)
		}
	}
	p.Horizontal = []svg.Mark{{Y: float64(s.Slope / units.Slope(units.Degree)), Label: "steepest ground of the yard"}}
	return p.String()
}

// pictures draws all of them, for the page.
func (s *Sheet) pictures(d words) (map[string]template.HTML, []template.HTML, error) {
	out := map[string]template.HTML{}
	for name, draw := range map[string]func(words) (string, error){"side": s.sideView, "plan": s.planView, "chart": s.loadChart} {
		one, err := draw(d)
		if errors.Is(err, units.ErrInvalid) {
			// A height that the drawing needs is missing; the notes say which.
			one, err = "<p>Not drawn: heights are missing.</p>", nil
		}
		if err != nil {
			return nil, nil, err
		}
		out[name] = template.HTML(one) // our own drawing; its texts are escaped
	}
	out["slope"] = template.HTML(s.slopeChart())
	var tires []template.HTML
	for i := range s.Fills {
		one, err := tireSection(d, &s.Fills[i])
		if err != nil {
			return nil, nil, err
		}
		tires = append(tires, template.HTML(one))
	}
	return out, tires, nil
}
