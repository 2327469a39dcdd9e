// Package svg writes small pictures: shapes and text on a canvas, and plots with two axes. Lines
// differ by their dash and their label, never by their color alone.
package svg

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"

	"example.com/steelyard/examples/internal/visible"
)

// Point is a place on the canvas: x to the right, y down.
type Point struct{ X, Y float64 }

// Style is how a shape is drawn. The zero value draws a thin black line
// without a fill.
type Style struct {
	Stroke string  // color of the line; empty is #222, "none" draws none
	Fill   string  // color of the inside; empty is none
	Width  float64 // of the line; zero is 1
	Dash   string  // such as "4 3"; empty is solid
}

func (s Style) attributes() string {
	if s.Stroke == "" {
		s.Stroke = "#222"
	}
	if s.Fill == "" {
		s.Fill = "none"
	}
	if s.Width == 0 {
		s.Width = 1
	}
	a := fmt.Sprintf(`stroke="%s" fill="%s" stroke-width="%s"`, s.Stroke, s.Fill, number(s.Width))
	if s.Dash != "" {
		a += ` stroke-dasharray="` + s.Dash + `"`
	}
	return a
}

// Anchor is the side of a text that is at its point.
type Anchor string

// The sides.
const (
	Start  Anchor = "start"
	Middle Anchor = "middle"
	End    Anchor = "end"
)

// Canvas collects shapes. Make one with [New].
type Canvas struct {
	width, height float64
	title         string
	body          strings.Builder
}

// New returns an empty canvas with a title, which screen readers read aloud.
func New(width, height float64, title string) *Canvas {
	return &Canvas{width: width, height: height, title: title}
}

// Line draws a line from a to b.
func (c *Canvas) Line(a, b Point, s Style) {
	fmt.Fprintf(&c.body, `<line x1="%s" y1="%s" x2="%s" y2="%s" %s/>`+"\n",
		number(a.X), number(a.Y), number(b.X), number(b.Y), s.attributes())
}

// Circle draws a circle.
func (c *Canvas) Circle(center Point, radius float64, s Style) {
	fmt.Fprintf(&c.body, `<circle cx="%s" cy="%s" r="%s" %s/>`+"\n",
		number(center.X), number(center.Y), number(radius), s.attributes())
}

// Rect draws a rectangle by two opposite corners.
func (c *Canvas) Rect(a, b Point, s Style) {
	fmt.Fprintf(&c.body, `<rect x="%s" y="%s" width="%s" height="%s" %s/>`+"\n",
		number(math.Min(a.X, b.X)), number(math.Min(a.Y, b.Y)),
		number(math.Abs(b.X-a.X)), number(math.Abs(b.Y-a.Y)), s.attributes())
}

// Polyline draws a line through points.
func (c *Canvas) Polyline(p []Point, s Style) { c.points("polyline", p, s) }

// Polygon draws a closed line through points.
func (c *Canvas) Polygon(p []Point, s Style) { c.points("polygon", p, s) }

func (c *Canvas) points(element string, p []Point, s Style) {
	fmt.Fprintf(&c.body, `<%s points="`, element)
	for i, q := range p {
		if i > 0 {
			c.body.WriteByte(' ')
		}
		c.body.WriteString(number(q.X) + "," + number(q.Y))
	}
	fmt.Fprintf(&c.body, `" %s/>`+"\n", s.attributes())
}

// Arrow draws a line from a to b with a head at b.
func (c *Canvas) Arrow(a, b Point, s Style) {
	c.Line(a, b, s)
	d := math.Hypot(b.X-a.X, b.Y-a.Y)
	if d == 0 {
		return
	}
	ux, uy := (b.X-a.X)/d, (b.Y-a.Y)/d
	h := math.Min(7, d)
	if s.Stroke == "" {
		s.Stroke = "#222"
	}
	s.Fill, s.Dash = s.Stroke, ""
	c.Polygon([]Point{b,
		{b.X - h*ux + h*uy/2.5, b.Y - h*uy - h*ux/2.5},
		{b.X - h*ux - h*uy/2.5, b.Y - h*uy + h*ux/2.5}}, s)
}

// Text writes text of a size in canvas units.
func (c *Canvas) Text(at Point, size float64, anchor Anchor, text string) {
	c.text(at, size, anchor, 0, text)
}

func (c *Canvas) text(at Point, size float64, anchor Anchor, turn float64, text string) {
	rotate := ""
	if turn != 0 {
		rotate = fmt.Sprintf(` transform="rotate(%s %s %s)"`, number(turn), number(at.X), number(at.Y))
	}
	fmt.Fprintf(&c.body, `<text x="%s" y="%s" font-size="%s" text-anchor="%s"%s>%s</text>`+"\n",
		number(at.X), number(at.Y), number(size), anchor, rotate, escape(text))
}

// escape turns any text into the content of an XML element. XML cannot express most control
// characters, so they are replaced.
func escape(text string) string { return html.EscapeString(visible.Text(text)) }

// String returns the picture as one SVG element.
func (c *Canvas) String() string {
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" role="img" font-family="sans-serif" fill="#222">
<title>%s</title>
<rect width="100%%" height="100%%" fill="#fff"/>
%s</svg>
`, number(c.width), number(c.height), escape(c.title), c.body.String())
}

// number prints a coordinate with at most two decimals, so that a picture is the same on every
// processor.
func number(x float64) string {
	x = math.Round(x*100) / 100
	if x == 0 {
		x = 0 // no negative zero
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}
