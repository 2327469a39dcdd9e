package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/units"
)

// width is the width of the page in characters.
const width = 78

// words writes quantities for people, with capacities rounded down and requirements rounded
// up.
type words struct{ units.Display }

func (w words) down(m units.Mass) string { w.Rounding = units.Down; return units.Format(w.Display, m) }
func (w words) up(m units.Mass) string   { w.Rounding = units.Up; return units.Format(w.Display, m) }
func (w words) whole(m units.Mass) string {
	w.Precision = units.Decimals(0)
	return units.Format(w.Display, m)
}
func (w words) length(l units.Length) string { return units.Format(w.Display, l) }

// spread writes a standard deviation with two digits, because more have no meaning.
func spread[Q units.Quantity](w words, q Q) string {
	w.Precision = units.Significant(2)
	return units.Format(w.Display, q)
}

// signed writes a difference with its sign.
func (w words) signed(m units.Mass) string {
	w.Precision = units.Decimals(1)
	text := units.Format(w.Display, units.Mass(math.Abs(float64(m))))
	if m < 0 {
		return "-" + text
	}
	return "+" + text
}

// paragraph writes text in lines of at most width characters. The first line has a mark, and
// the other lines are indented to its text.
func paragraph(w io.Writer, mark, text string) {
	indent := strings.Repeat(" ", len(mark))
	line := mark
	empty := true
	for word := range strings.FieldsSeq(text) {
		switch {
		case empty:
			line += word
		case len(line)+1+len(word) > width:
			fmt.Fprintln(w, line)
			line = indent + word
		default:
			line += " " + word
		}
		empty = false
	}
	fmt.Fprintln(w, line)
}

// writePage writes the result on one page.
func writePage(w io.Writer, in *input, p *weigh.Prediction, lines []int) {
	d := words{in.display}
	s := &in.session
	level := s.Confidence
	if level == 0 {
		level = weigh.DefaultConfidence
	}
	percent := fmt.Sprintf("%.3g %%", 100*level)

	fmt.Fprintln(w, "TIPPING LOAD FROM LIGHT READINGS")
	if in.file == "" {
		fmt.Fprintln(w, "Invented demo of the growers' co-operative: a loader tractor with bin forks")
	}
	fmt.Fprintln(w)
	if p.Refusals == 0 {
		paragraph(w, "  ", fmt.Sprintf("The rear wheels would lift at %s (%s sure: between %s and %s).",
			d.down(p.TippingLoad), percent, d.down(p.Interval.Low), d.up(p.Interval.High)))
		paragraph(w, "  ", fmt.Sprintf("This holds on firm level ground at a standstill, with the load %s ahead of the front axle.", d.length(s.Ahead.Value)))
		paragraph(w, "  ", "This is the load at which the machine tips. The load that it may lift is far less.")
	} else {
		fmt.Fprintln(w, "  NO TIPPING LOAD IS STATED, because:")
		for _, line := range p.Refusals.Lines() {
			paragraph(w, "  - ", line)
		}
	}
	for i, f := range p.Findings {
		if i == 0 {
			fmt.Fprintln(w, "\nWhat does not fit, the likeliest first:")
		}
		text := f.String()
		if f.Row >= 0 {
			row := lines[f.Row]
			f.Row = -1
			text = fmt.Sprintf("row %d: %s", row, f.String())
		}
		paragraph(w, "  - ", text+".")
	}

	// A fit to readings that contradict each other has no meaning.
	fits := p.Main.Known && p.Refusals&weigh.RefusedData == 0
	writeReadings(w, d, s, p, lines, fits)

	fmt.Fprintln(w, "\nHow it was calculated")
	tape := func(what string, m weigh.Measured[units.Length], fit weigh.Estimate[units.Length]) {
		text := fmt.Sprintf("%s by tape %s, give or take %s", what, d.length(m.Value), spread(d, m.SD))
		if fits {
			text += fmt.Sprintf("; with the readings %s, give or take %s", d.length(fit.Value), spread(d, fit.SD))
		}
		paragraph(w, "  - ", text+".")
	}
	tape("Load ahead of the front axle", s.Ahead, p.Ahead)
	tape("Wheelbase", s.Wheelbase, p.Wheelbase)
	paragraph(w, "  - ", fmt.Sprintf("The uncertainty of one reading is %s (one standard deviation).", spread(d, s.Scale.SD)))
	switch {
	case p.Free.Bounded && p.Refusals == 0:
		paragraph(w, "  - ", fmt.Sprintf("Cross-check without the tape, a free line through the readings: %s, between %s and %s.",
			d.down(p.Free.Load), d.down(p.Free.Interval.Low), d.up(p.Free.Interval.High)))
	case p.Refusals == 0:
		paragraph(w, "  - ", "A free line through the readings, without the tape, gives no bounds.")
	}

	if text := better(d, s, p); text != "" {
		paragraph(w, "  - ", text)
	}

	fmt.Fprintln(w, "\nNext")
	limit := fmt.Sprintf("No load of this session may exceed %s, whatever the loader could lift.", d.down(p.Next.Limit))
	switch p.Next.Kind {
	case weigh.NextStop:
		paragraph(w, "  ", "Stop here: find out what is wrong, or measure better, before another load is lifted.")
	case weigh.NextEmpty:
		paragraph(w, "  ", "Read the scale with the attachment empty.")
	case weigh.NextLoad:
		paragraph(w, "  ", fmt.Sprintf("Read the scale with a load of at most %s, just off the ground. %s", d.down(p.Next.Load), limit))
	case weigh.NextRepeatEmpty:
		paragraph(w, "  ", "Read the scale with the attachment empty once more, to detect drift.")
	case weigh.NextDone:
		paragraph(w, "  ", "Nothing more is needed. "+limit)
	}

	fmt.Fprintln(w, "\nMind")
	for _, line := range p.Notes.Lines() {
		paragraph(w, "  - ", line)
	}
	for _, line := range p.Cautions.Lines() {
		paragraph(w, "  - ", line)
	}
}

// better says what would halve the interval.
func better(d words, s *weigh.Session, p *weigh.Prediction) string {
	if p.Refusals != 0 {
		return ""
	}
	var loads []units.Mass
	for _, r := range s.Readings {
		loads = append(loads, min(r.Load, p.Next.Limit))
	}
	half := (p.Interval.High - p.Interval.Low) / 4
	need, err := s.Needs(p.RearEmpty.Value, half, loads...)
	if err != nil {
		return ""
	}
	var ways []string
	if need.AheadSD > 0 && need.AheadSD < s.Ahead.SD {
		ways = append(ways, "the load's distance ahead known to "+spread(d, need.AheadSD))
	}
	if need.ScaleSD > 0 && need.ScaleSD < s.Scale.SD {
		ways = append(ways, "a scale good to "+spread(d, need.ScaleSD))
	}
	if need.Repeats > 1 {
		ways = append(ways, fmt.Sprintf("%d times as many readings", need.Repeats))
	}
	if len(ways) == 0 {
		return "No single improvement would halve the interval."
	}
	return "The interval would be half as wide with " + strings.Join(ways, ", or ") + "."
}

// writeReadings prints the readings, with the fitted values beside them if the fit is valid.
func writeReadings(w io.Writer, d words, s *weigh.Session, p *weigh.Prediction, lines []int, fits bool) {
	if fits {
		fmt.Fprintf(w, "\n%5s %14s %14s %14s %14s\n", "row", "load", "rear read", "rear fitted", "off")
	} else {
		fmt.Fprintf(w, "\n%5s %14s %14s %14s\n", "row", "load", "rear read", "front read")
	}
	for i, r := range s.Readings {
		third, fourth := "", ""
		if fits {
			third, fourth = d.whole(r.Rear-p.Residuals[i]), d.signed(p.Residuals[i])
		} else if r.Front > 0 {
			third = d.whole(r.Front)
		}
		fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf("%5d %14s %14s %14s %14s", lines[i], d.whole(r.Load), d.whole(r.Rear), third, fourth), " "))
	}
}
