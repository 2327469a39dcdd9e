package svg

import (
	"math"
	"strconv"
)

// Series is a line of a plot. Its label is in the legend, beside a sample of its dash.
type Series struct {
	Label string
	X, Y  []float64
	Style Style
}

// Band is the area between two lines over the same x.
type Band struct {
	X, Low, High []float64
	Fill         string
}

// Mark is a labeled point of a plot.
type Mark struct {
	X, Y  float64
	Label string
}

// Label is text in a plot.
type Label struct {
	X, Y   float64
	Anchor Anchor
	Text   string
}

// Plot is a picture with two linear axes. Ranges that are zero are taken from the data.
type Plot struct {
	Title, XLabel, YLabel  string
	Width, Height          float64
	XMin, XMax, YMin, YMax float64
	Series                 []Series
	Bands                  []Band
	Marks                  []Mark
	Horizontal, Vertical   []Mark // lines across at Y, or upright at X, with their labels
	Labels                 []Label
}

// String returns the plot as one SVG element.
func (p Plot) String() string {
	const left, right, bottom, rowHeight = 62, 16, 46, 17
	top := 30.0
	for _, s := range p.Series {
		if s.Label != "" {
			top += rowHeight
		}
	}
	c := New(p.Width, p.Height, p.Title)
	x0, x1, y0, y1 := p.ranges()
	place := func(x, y float64) Point {
		return Point{
			left + (x-x0)/(x1-x0)*(p.Width-left-right),
			p.Height - bottom - (y-y0)/(y1-y0)*(p.Height-top-bottom),
		}
	}
	c.Text(Point{left, 20}, 14, Start, p.Title)
	for _, b := range p.Bands {
		var pts []Point
		for i, x := range b.X {
			pts = append(pts, place(x, b.High[i]))
		}
		for i := len(b.X) - 1; i >= 0; i-- {
			pts = append(pts, place(b.X[i], b.Low[i]))
		}
		c.Polygon(pts, Style{Stroke: "none", Fill: b.Fill})
	}
	grid := Style{Stroke: "#ddd"}
	for _, t := range Ticks(x0, x1, 6) {
		a := place(t, y0)
		c.Line(a, place(t, y1), grid)
		c.Text(Point{a.X, a.Y + 16}, 12, Middle, label(t))
	}
	for _, t := range Ticks(y0, y1, 6) {
		a := place(x0, t)
		c.Line(a, place(x1, t), grid)
		c.Text(Point{a.X - 6, a.Y + 4}, 12, End, label(t))
	}
	c.Line(place(x0, y0), place(x1, y0), Style{})
	c.Line(place(x0, y0), place(x0, y1), Style{})
	c.Text(Point{(left + p.Width - right) / 2, p.Height - 10}, 12, Middle, p.XLabel)
	c.text(Point{16, (top + p.Height - bottom) / 2}, 12, Middle, -90, p.YLabel)
	for _, m := range p.Horizontal {
		c.Line(place(x0, m.Y), place(x1, m.Y), Style{Dash: "2 3"})
		a := place(x1, m.Y)
		c.Text(Point{a.X - 4, a.Y - 4}, 11, End, m.Label)
	}
	for _, m := range p.Vertical {
		c.Line(place(m.X, y0), place(m.X, y1), Style{Dash: "2 3"})
		a := place(m.X, y1)
		c.Text(Point{a.X + 4, a.Y + 12}, 11, Start, m.Label)
	}
	legend := 34.0
	for _, s := range p.Series {
		var pts []Point
		for i, x := range s.X {
			pts = append(pts, place(x, s.Y[i]))
		}
		c.Polyline(pts, s.Style)
		if s.Label != "" {
			c.Line(Point{left, legend}, Point{left + 34, legend}, s.Style)
			c.Text(Point{left + 42, legend + 4}, 12, Start, s.Label)
			legend += rowHeight
		}
	}
	for _, m := range p.Marks {
		a := place(m.X, m.Y)
		c.Circle(a, 3.5, Style{Fill: "#fff", Width: 1.5})
		c.Text(Point{a.X + 7, a.Y - 5}, 11, Start, m.Label)
	}
	for _, l := range p.Labels {
		c.Text(place(l.X, l.Y), 12, l.Anchor, l.Text)
	}
	return c.String()
}

func (p Plot) ranges() (x0, x1, y0, y1 float64) {
	x0, x1, y0, y1 = p.XMin, p.XMax, p.YMin, p.YMax
	fit := func(lo, hi *float64, get func(yield func(float64))) {
		if *lo != *hi {
			return
		}
		*lo, *hi = math.Inf(1), math.Inf(-1)
		get(func(v float64) { *lo, *hi = math.Min(*lo, v), math.Max(*hi, v) })
		switch {
		case math.IsInf(*lo, 1):
			*lo, *hi = 0, 1
		case *lo == *hi:
			*lo, *hi = *lo-1, *hi+1
		}
	}
	fit(&x0, &x1, func(yield func(float64)) {
		for _, s := range p.Series {
			for _, v := range s.X {
				yield(v)
			}
		}
		for _, b := range p.Bands {
			for _, v := range b.X {
				yield(v)
			}
		}
	})
	fit(&y0, &y1, func(yield func(float64)) {
		for _, s := range p.Series {
			for _, v := range s.Y {
				yield(v)
			}
		}
		for _, b := range p.Bands {
			for i := range b.X {
				yield(b.Low[i])
				yield(b.High[i])
			}
		}
	})
	return
}

// Ticks returns round numbers from low to high, at most n + 1 of them.
func Ticks(low, high float64, n int) []float64 {
	if !(high > low) || n < 1 || math.IsInf(high-low, 0) {
		return nil
	}
	step := math.Pow(10, math.Floor(math.Log10((high-low)/float64(n))))
	for _, f := range []float64{1, 2, 5, 10} {
		if step*f*float64(n) >= high-low {
			step *= f
			break
		}
	}
	var t []float64
	for k := math.Ceil(low/step - 1e-9); k*step <= high+step*1e-9; k++ {
		t = append(t, k*step)
	}
	return t
}

func label(x float64) string {
	return strconv.FormatFloat(math.Round(x*1e6)/1e6+0, 'f', -1, 64) // + 0: no negative zero
}
