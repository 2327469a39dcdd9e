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
)

// Size of the picture and of its two panels.
const (
	pictureWidth = 760
	upperHeight  = 430
	lowerHeight  = 230
)

// picture draws the rear axle load against the load: the readings, the fitted line, and where
// it reaches zero. Below it is the same less the fitted line, because readings and interval
// are too close to the line to be seen.
func picture(in *input, p *weigh.Prediction) string {
	d := words{in.display}
	s := &in.session
	unit := units.DisplayUnit(in.display, units.Mass(1000))
	of := func(m units.Mass) float64 { return unit.Count(m) }
	var most, top units.Mass
	for _, r := range s.Readings {
		most, top = max(most, r.Load), max(top, r.Rear)
	}
	stated := p.Refusals == 0
	end := max(1.3*most, 1.3*p.Next.Limit, 1)
	upper := svg.Plot{
		Title:  "Rear axle load over the load on the attachment",
		YLabel: "rear axle load, " + unit.Symbol(),
		Width:  pictureWidth, Height: upperHeight, YMax: 1.1 * of(top),
	}
	lower := svg.Plot{
		Title:  "The same, less the fitted line",
		XLabel: "load, " + unit.Symbol(), YLabel: "off the line, " + unit.Symbol(),
		Width: pictureWidth, Height: lowerHeight,
	}
	for _, r := range s.Readings {
		upper.Marks = append(upper.Marks, svg.Mark{X: of(r.Load), Y: of(r.Rear)})
	}
	if p.Next.Limit > 0 {
		upper.Vertical = []svg.Mark{{X: of(p.Next.Limit), Label: "no reading beyond " + d.down(p.Next.Limit)}}
	}
	if !stated {
		upper.Title += ": no tipping load is stated"
		upper.XLabel = lower.XLabel
		upper.XMax = of(end)
		return upper.String()
	}

	end = units.Mass(1.06 * float64(p.Interval.High))
	upper.XMax, lower.XMax = of(end), of(end)
	band := svg.Band{Fill: pale}
	off := band
	widest := 0.0
	for i := range 41 {
		m := end * units.Mass(i) / 40
		e := p.RearAt(m)
		half := of(e.Interval.High-e.Interval.Low) / 2
		widest = math.Max(widest, half)
		off.X, off.Low, off.High = append(off.X, of(m)), append(off.Low, -half), append(off.High, half)
		if m <= p.Interval.High {
			band.X = append(band.X, of(m))
			band.Low = append(band.Low, math.Max(0, of(e.Interval.Low)))
			band.High = append(band.High, math.Max(0, of(e.Interval.High)))
		}
	}
	upper.Bands, lower.Bands = []svg.Band{band}, []svg.Band{off}
	line := func(from, to units.Mass, style svg.Style) svg.Series {
		return svg.Series{X: []float64{of(from), of(to)}, Y: []float64{of(p.RearAt(from).Value), of(p.RearAt(to).Value)}, Style: style}
	}
	read, reckoned := svg.Style{Stroke: blue, Width: 2}, svg.Style{Stroke: blue, Width: 2, Dash: "7 5"}
	upper.Series = []svg.Series{
		line(0, most, read), line(most, p.TippingLoad, reckoned),
		{X: []float64{of(p.Interval.Low), of(p.Interval.High)}, Y: []float64{0, 0}, Style: svg.Style{Stroke: orange, Width: 7}},
	}
	middle := (most + p.TippingLoad) / 2
	upper.Labels = []svg.Label{
		{X: of(middle) + 0.02*of(end), Y: of(p.RearAt(middle).Value) + 0.02*of(top), Anchor: svg.Start, Text: "computed, not to be tried"},
		{X: of(p.Interval.Low) - 0.1*of(end), Y: 0.045 * of(top), Anchor: svg.End,
			Text: fmt.Sprintf("rear wheels would lift between %s and %s", d.down(p.Interval.Low), d.up(p.Interval.High))},
	}
	lower.Series = []svg.Series{
		{X: []float64{0, of(most)}, Y: []float64{0, 0}, Style: read},
		{X: []float64{of(most), of(end)}, Y: []float64{0, 0}, Style: reckoned},
	}
	for i, r := range s.Readings {
		v := of(p.Residuals[i])
		widest = math.Max(widest, math.Abs(v))
		lower.Marks = append(lower.Marks, svg.Mark{X: of(r.Load), Y: v})
	}
	lower.YMin, lower.YMax = -1.2*widest, 1.2*widest
	lower.Labels = []svg.Label{{X: 0.7 * of(end), Y: 0.95 * widest, Anchor: svg.End,
		Text: fmt.Sprintf("shaded: %.3g %% interval of the line", 100*p.Interval.Level)}}
	return stack(upper.String(), lower.String())
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
