package main

import (
	"context"
	"fmt"
	"strings"

	"example.com/steelyard/examples/internal/svg"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Colors of a palette that color-blind readers can distinguish (M. Okabe and K. Ito,
// 2008; memory). No information is in color alone.
const (
	blue   = "#0072b2"
	orange = "#d55e00"
	pale   = "#f8dcc8"
	dark   = "#b3541e"
)

const (
	width       = 760
	loadsHeight = 330
	pitchHeight = 250
	mapHeight   = 420
)

// pictures draws one passage over its way, and the map of speed against depth.
func pictures(m *stability.PassageModel) (string, error) {
	points := make([]stability.TracePoint, 400)
	n, err := m.Trace(points, shown)
	if err != nil {
		return "", err
	}
	c, err := m.At(shown)
	if err != nil {
		return "", err
	}
	way, pitch, onRear, onFront := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i, p := range points[:n] {
		way[i], pitch[i] = float64(p.Way), float64(p.Pitch/units.Degree)
		onRear[i], onFront[i] = float64(p.Rear)/1e3, float64(p.Front)/1e3
	}
	start := float64(wheelbase+front.Radius) + 0.8
	edges := []svg.Mark{
		{X: start - float64(wheelbase), Label: "front on"}, {X: start - float64(wheelbase) + float64(drain)},
		{X: start, Label: "rear on"}, {X: start + float64(drain)},
	}
	loads := svg.Plot{
		Title:  fmt.Sprintf("Axle loads over a root %.0f cm high and %.0f cm long, at %.0f km/h", 100*float64(hump), 100*float64(drain), float64(shown/units.KilometerPerHour)),
		XLabel: "way of the rear axle, m", YLabel: "load, kN", Width: width, Height: loadsHeight, Vertical: edges,
		Series: []svg.Series{
			{Label: "rear axle", X: way, Y: onRear, Style: svg.Style{Stroke: blue, Width: 2}},
			{Label: "front axle", X: way, Y: onFront, Style: svg.Style{Stroke: orange, Width: 2, Dash: "7 4"}},
		},
		Horizontal: []svg.Mark{{Y: float64(c.RearAtRest) / 1e3, Label: "rear axle at rest"}},
	}
	turn := svg.Plot{
		Title: "Pitch, nose down positive", XLabel: "way of the rear axle, m", YLabel: "pitch, degrees", Width: width, Height: pitchHeight, Vertical: edges,
		YMin: -12, YMax: 1.15 * float64(c.Balance/units.Degree),
		Series:     []svg.Series{{X: way, Y: pitch, Style: svg.Style{Stroke: blue, Width: 2}}},
		Horizontal: []svg.Mark{{Y: float64(c.Balance / units.Degree), Label: "balance over the front axle"}},
	}
	drawn, err := overSpeed()
	if err != nil {
		return "", err
	}
	return stack([]string{loads.String(), turn.String(), drawn}, []int{loadsHeight, pitchHeight, mapHeight}), nil
}

// overSpeed draws where the machine stays down, lifts and goes over.
func overSpeed() (string, error) {
	const left, right, top, bottom = 62.0, 16.0, 66.0, 50.0
	c := svg.New(width, mapHeight, "What a drain 60 cm long does, by speed and depth")
	c.Text(svg.Point{X: left, Y: 20}, 14, svg.Start, fmt.Sprintf("What a drain %.0f cm long does, by speed and depth", 100*float64(drain)))
	cell := func(i, j float64) svg.Point {
		return svg.Point{X: left + i/speeds*(width-left-right), Y: mapHeight - bottom - j/heights*(mapHeight-top-bottom)}
	}
	box := func(a, b svg.Point, s stability.PassageStatus) {
		fill := "#ffffff"
		switch s {
		case stability.PassageLifts:
			fill = pale
		case stability.PassageOver:
			fill = dark
		case stability.PassageNotChecked, stability.PassageStalls:
			fill = "#bbbbbb"
		}
		c.Rect(a, b, svg.Style{Stroke: "#cccccc", Fill: fill, Width: 0.5})
		switch s {
		case stability.PassageOver:
			c.Line(a, b, svg.Style{Stroke: "#ffffff", Width: 1.2})
			c.Line(svg.Point{X: a.X, Y: b.Y}, svg.Point{X: b.X, Y: a.Y}, svg.Style{Stroke: "#ffffff", Width: 1.2})
		case stability.PassageLifts:
			c.Line(svg.Point{X: a.X, Y: b.Y}, svg.Point{X: b.X, Y: a.Y}, svg.Style{Stroke: dark, Width: 0.8})
		}
	}
	points := make([]stability.PassagePoint, speeds)
	for j := range heights {
		m, err := passage(stability.Obstacle{Kind: stability.ObstacleRut, Height: units.Length(j+1) * 0.02, Length: drain})
		if err != nil {
			return "", err
		}
		if err := m.Scan(context.Background(), points, mapLow, mapHigh); err != nil {
			return "", err
		}
		for i, p := range points {
			box(cell(float64(i), float64(j)), cell(float64(i+1), float64(j+1)), p.Crossing.Status)
		}
		at := cell(0, float64(j)+0.5)
		c.Text(svg.Point{X: at.X - 6, Y: at.Y + 4}, 12, svg.End, fmt.Sprint(2*(j+1)))
	}
	for i := 0; i < speeds; i += 4 {
		at := cell(float64(i)+0.5, 0)
		c.Text(svg.Point{X: at.X, Y: at.Y + 16}, 12, svg.Middle, fmt.Sprint(1+i/2))
	}
	c.Text(svg.Point{X: (left + width - right) / 2, Y: mapHeight - 12}, 12, svg.Middle, "speed, km/h")
	c.Text(svg.Point{X: left - 30, Y: top - 10}, 12, svg.Start, "depth, cm")
	x := left + 70
	for _, l := range []struct {
		status stability.PassageStatus
		text   string
	}{{stability.PassageWithin, "rear tires stay down"}, {stability.PassageLifts, "rear tires lift"}, {stability.PassageOver, "goes over its front axle"}, {stability.PassageStalls, "stalls"}} {
		box(svg.Point{X: x, Y: 34}, svg.Point{X: x + 22, Y: 48}, l.status)
		c.Text(svg.Point{X: x + 28, Y: 46}, 12, svg.Start, l.text)
		x += 175
	}
	return c.String(), nil
}

// stack puts pictures of given heights under each other.
func stack(parts []string, heights []int) string {
	var b strings.Builder
	total := 0
	for _, h := range heights {
		total += h
	}
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img">`+"\n", width, total)
	y := 0
	for i, p := range parts {
		b.WriteString(strings.Replace(p, "<svg ", fmt.Sprintf(`<svg x="0" y="%d" width="%d" height="%d" `, y, width, heights[i]), 1))
		y += heights[i]
	}
	b.WriteString("</svg>\n")
	return b.String()
}
