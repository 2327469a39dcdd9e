package main

import (
	"fmt"
	"math"
	"strings"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/examples/internal/svg"
	"example.com/steelyard/units"
)

// Colors of the picture: blue and orange of a palette that color-blind readers can
// distinguish (M. Okabe and K. Ito, 2008; memory). No information is in color alone.
const (
	blue   = "#0072b2"
	pale   = "#cfe3f1"
	orange = "#d55e00"
	light  = "#f8dcc8"
)

// Size of the picture and of its two panels.
const (
	pictureWidth = 760
	upperHeight  = 460
	lowerHeight  = 230
)

// picture draws what the loader lifts, holds and sinks under, and the tipping load, over the
// height of the pivot pin, with intervals. Below it are the readings, each by how far it is
// from all others.
func picture(in *input, rec *record, m *weigh.Machine, curve []station) string {
	unit := units.DisplayUnit(in.display, units.Mass(1000))
	tall := units.DisplayUnit(in.display, in.high)
	margin := 0.02 * tall.Count(in.high-in.low)
	upper := svg.Plot{
		Title:  "Loads over the height of the pivot pin",
		XLabel: "height of the pivot pin, " + tall.Symbol(), YLabel: "load, " + unit.Symbol(),
		Width: pictureWidth, Height: upperHeight, XMin: tall.Count(in.low) - margin, XMax: tall.Count(in.high) + margin,
	}
	if m.Doubts != 0 {
		upper.Title += ": none is stated"
		upper.YMax = 1
		return upper.String()
	}
	tipping := line(curve, unit.Count, tall.Count, func(s station) weigh.Answer { return s.tipping })
	lift := line(curve, unit.Count, tall.Count, func(s station) weigh.Answer { return s.lift })
	upper.Bands = append(upper.Bands, tipping.band(light))
	top := slicesMax(tipping.high)
	add := func(c plotted, label string, style svg.Style) {
		upper.Series = append(upper.Series, svg.Series{Label: label, X: c.x, Y: c.y, Style: style})
		top = math.Max(top, slicesMax(c.y))
	}
	if len(lift.x) > 0 {
		upper.Bands = append(upper.Bands, lift.band(pale))
		add(lift, "lifts; shaded: 95 % sure", svg.Style{Stroke: blue, Width: 2})
		add(line(curve, unit.Count, tall.Count, func(s station) weigh.Answer { return s.hold }), "holds, without friction (no capacity)", svg.Style{Stroke: blue, Width: 1.5, Dash: "2 4"})
		add(line(curve, unit.Count, tall.Count, func(s station) weigh.Answer { return s.sink }), "sinks under (no capacity)", svg.Style{Stroke: blue, Width: 1.5, Dash: "7 5"})
	}
	add(tipping, "rear wheels would lift, not to be tried; shaded: 95 % sure", svg.Style{Stroke: orange, Width: 2, Dash: "12 4"})
	upper.YMax = 1.12 * top
	mark := func(pin units.Length, names []string) {
		var load units.Mass
		for _, n := range names {
			for _, l := range rec.Loads {
				if l.Name == n {
					load += l.Mass.Value
				}
			}
		}
		if load > 0 {
			upper.Marks = append(upper.Marks, svg.Mark{X: tall.Count(pin), Y: unit.Count(load)})
		}
	}
	for _, w := range rec.Weights {
		mark(w.Pin, w.Loads)
	}
	for _, p := range rec.Pressures {
		mark(p.Pin, p.Loads)
	}
	if len(upper.Marks) > 0 {
		at := upper.Marks[len(upper.Marks)-1]
		upper.Labels = append(upper.Labels, svg.Label{X: at.X + margin, Y: at.Y, Anchor: svg.Start, Text: "loads that were weighed or gauged"})
	}
	return stack(upper.String(), residuals(rec, m))
}

// residuals draws each reading by how far it is from all others, over the row of the file in
// which it stands.
func residuals(rec *record, m *weigh.Machine) string {
	last := 0
	for _, line := range rec.lines {
		last = max(last, line)
	}
	p := svg.Plot{
		Title: "Readings against all others, in standard deviations", XLabel: "row of the file", YLabel: "off, sd",
		Width: pictureWidth, Height: lowerHeight, YMin: -4.5, YMax: 4.5, XMax: float64(last + 1),
		Horizontal: []svg.Mark{{Y: 3.4, Label: "beyond: 1 in 1500 by chance"}, {Y: -3.4}},
	}
	for _, r := range m.Residuals {
		row, _ := rec.row(r.Path)
		p.Marks = append(p.Marks, svg.Mark{X: float64(row), Y: math.Max(-4.3, math.Min(4.3, r.Sigmas))})
	}
	return p.String()
}

// plotted is a curve with its interval.
type plotted struct{ x, y, low, high []float64 }

func (p plotted) band(fill string) svg.Band {
	return svg.Band{X: p.x, Low: p.low, High: p.high, Fill: fill}
}

// line returns an answer over the height; stations without it are left out.
func line(curve []station, mass func(units.Mass) float64, length func(units.Length) float64, of func(station) weigh.Answer) (p plotted) {
	for _, s := range curve {
		a := of(s).Mass
		if a.SD == 0 {
			continue
		}
		p.x, p.y = append(p.x, length(s.pin)), append(p.y, mass(a.Value))
		p.low, p.high = append(p.low, mass(max(0, a.Interval.Low))), append(p.high, mass(max(0, a.Interval.High)))
	}
	return p
}

func slicesMax(v []float64) (top float64) {
	for _, x := range v {
		top = math.Max(top, x)
	}
	return top
}

// stack puts two pictures below each other.
func stack(upper, lower string) string {
	at := func(y, height int) string {
		return fmt.Sprintf(`<svg x="0" y="%d" width="%d" height="%d" `, y, pictureWidth, height)
	}
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img">`+"\n", pictureWidth, upperHeight+lowerHeight) +
		strings.Replace(upper, "<svg ", at(0, upperHeight), 1) +
		strings.Replace(lower, "<svg ", at(upperHeight, lowerHeight), 1) + "</svg>\n"
}
