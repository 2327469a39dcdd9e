package main

import (
	"context"
	"errors"
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
func (w words) length(l units.Length) string {
	return units.Format(w.Display, l)
}

// percent writes a share.
func percent(f units.Fraction) string {
	if f >= 1 {
		return "more than all of it"
	}
	return fmt.Sprintf("%.1f %%", 100*float64(f))
}

// amount writes a reading, of whatever it is.
func (w words) amount(a weigh.Amount) string {
	switch {
	case a.Mass != 0:
		w.Precision = units.Decimals(0)
		return units.Format(w.Display, a.Mass)
	case a.Length != 0:
		return units.Format(w.Display, a.Length)
	case a.Angle != 0:
		w.Precision = units.Decimals(1)
		return units.Format(w.Display, a.Angle)
	}
	w.Precision = units.Significant(3)
	return units.Format(w.Display, a.Pressure)
}

// between writes an interval, with a mark if there are doubts about it.
func (w words) between(a weigh.Answer) string {
	if a.Mass.SD == 0 {
		return "-"
	}
	low, high := w.down(max(0, a.Mass.Interval.Low)), w.up(max(0, a.Mass.Interval.High))
	if number, unit, ok := strings.Cut(low, " "); ok && strings.HasSuffix(high, " "+unit) {
		low = number // the unit stands once
	}
	text := low + " to " + high
	if a.Doubts != 0 {
		text += "?"
	}
	return text
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

// writePage writes the result.
func writePage(w io.Writer, in *input, rec *record, m *weigh.Machine, curve []station) error {
	d := words{in.display}
	fmt.Fprintln(w, "A MACHINE KNOWN BY SCALE, TAPE AND GAUGE")
	if in.file == "" {
		fmt.Fprintln(w, "Invented demo of the growers' co-operative: a loader tractor with bin forks")
	}
	fmt.Fprintln(w)
	writeSuspects(w, d, rec, m)
	stated := m.Doubts == 0
	if stated {
		writeTipping(w, d, in, rec, curve)
		writeLoads(w, d, curve)
		writeReadings(w, d, rec, m)
		if err := writeNext(w, d, in, m, curve); err != nil {
			return err
		}
	}
	fmt.Fprintln(w, "\nMind")
	cautions := m.Cautions
	for _, s := range curve {
		cautions |= s.lift.Cautions | s.hold.Cautions | s.tipping.Cautions
	}
	for _, line := range cautions.Lines() {
		paragraph(w, "  - ", line)
	}
	return nil
}

// writeSuspects says which readings cannot be right.
func writeSuspects(w io.Writer, d words, rec *record, m *weigh.Machine) {
	if m.Doubts != 0 {
		fmt.Fprintln(w, "  NO LOAD IS STATED")
		for _, line := range m.Doubts.Lines() {
			paragraph(w, "  ", line)
		}
		fmt.Fprintln(w)
	}
	for i, s := range m.Suspects {
		if i == 0 {
			fmt.Fprintln(w, "What cannot be right, the likeliest first")
		}
		text := s.Cause.Title()
		if line, _ := rec.row(s.Path); line > 0 {
			text = rec.named(s.Path) + ": " + text
		}
		text = strings.ToUpper(text[:1]) + text[1:]
		switch {
		case s.Read == weigh.Amount{}:
			text += fmt.Sprintf(", by about %s.", d.amount(s.WouldBe))
		default:
			text += fmt.Sprintf("; it was %s and would be %s.", d.amount(s.Read), d.amount(s.WouldBe))
		}
		if s.Dropped {
			text += " The figures below do without it."
		}
		paragraph(w, "  - ", text)
	}
	if len(m.Suspects) > 0 && m.Doubts == 0 {
		fmt.Fprintln(w)
	}
}

// writeTipping says the tipping load low and with the arms level, side by side.
func writeTipping(w io.Writer, d words, in *input, rec *record, curve []station) {
	low, flat := curve[0], level(curve)
	fmt.Fprintf(w, "%-36s%18s%22s\n", "The rear wheels would lift", "arms low", "arms level")
	fmt.Fprintf(w, "%-36s%18s%22s\n", "with the pivot pin at", d.length(low.pin), d.length(flat.pin))
	fmt.Fprintf(w, "%-36s%18s%22s\n", "under a load of, 95 % sure", d.between(low.tipping), d.between(flat.tipping))
	fmt.Fprintf(w, "%-36s%18s%22s\n", "an unnoticed mistake may move it by", percent(low.tipping.Unnoticed), percent(flat.tipping.Unnoticed))
	if in.box != 0 {
		paragraph(w, "", fmt.Sprintf("This is with a box of %s, its center %s behind the rear axle.", d.down(in.box), d.length(-in.boxX)))
	}
	if flat.tipping.Mistake != "" {
		paragraph(w, "", fmt.Sprintf("The mistake that would do most unnoticed is one in %s.", rec.named(flat.tipping.Mistake)))
	}
	paragraph(w, "", "This is the load at which the machine tips. The load that it may lift is far less.")
	seen := low.tipping.Doubts | flat.tipping.Doubts
	for _, line := range seen.Lines() {
		paragraph(w, "  ? ", line)
	}
}

// writeLoads prints what the loader lifts, holds and sinks under over the height.
func writeLoads(w io.Writer, d words, curve []station) {
	fmt.Fprintf(w, "\n%9s %16s %16s %16s %16s\n", "pivot pin", "lifts", "holds", "sinks under", "tips at")
	var doubts weigh.Doubts
	for i := 0; i < len(curve); i += steps / 6 {
		s := curve[i]
		fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf("%9s %16s %16s %16s %16s", d.length(s.pin), d.between(s.lift), d.between(s.hold), d.between(s.sink), d.between(s.tipping)), " "))
		doubts |= s.lift.Doubts | s.hold.Doubts | s.sink.Doubts
	}
	for _, line := range doubts.Lines() {
		paragraph(w, "  ? ", line)
	}
	stronger := false
	for _, s := range curve {
		stronger = stronger || s.lift.Mass.Interval.High > s.tipping.Mass.Interval.Low
	}
	if stronger {
		paragraph(w, "", "The loader may be strong enough to lift the rear wheels of its own machine: what it lifts is no measure of what the machine may carry.")
	}
}

// writeReadings prints the readings of scale and gauge, what the estimate makes of them, and
// how far they are from all others.
func writeReadings(w io.Writer, d words, rec *record, m *weigh.Machine) {
	fmt.Fprintf(w, "\n%5s  %-18s %16s %16s %10s\n", "row", "reading", "read", "by all others", "off by")
	quiet := 0.0
	count := 0
	for _, r := range m.Residuals {
		line, _ := rec.row(r.Path)
		if !strings.HasPrefix(r.Path, "weights") && !strings.HasPrefix(r.Path, "pressures") && math.Abs(r.Sigmas) < 2.5 {
			quiet = math.Max(quiet, math.Abs(r.Sigmas))
			count++
			continue
		}
		_, text, _ := strings.Cut(rec.named(r.Path), ", ")
		if r.Dropped {
			text += " (dropped)"
		}
		fmt.Fprintf(w, "%5d  %-18s %16s %16s %+7.1f sd\n", line, text, d.amount(r.Read), d.amount(r.WouldBe), r.Sigmas)
	}
	if count > 0 {
		paragraph(w, "", fmt.Sprintf("The other %d readings, of tape, loads and papers, are off by at most %.1f sd. Chance alone takes one reading in 1500 beyond 3.4 sd.", count, quiet))
	}
}

// writeNext says what to read next for the tipping load with the arms level, and for the lift.
func writeNext(w io.Writer, d words, in *input, m *weigh.Machine, curve []station) error {
	fmt.Fprintln(w, "\nWhat to read next")
	flat := level(curve)
	for _, x := range []struct {
		title string
		kind  weigh.QuestionKind
		now   weigh.Answer
	}{{"the tipping load, arms level", weigh.AskTippingLoad, flat.tipping}, {"the lift at that height", weigh.AskLift, flat.lift}} {
		if x.now.Mass.SD == 0 {
			continue
		}
		list, err := m.Next(context.Background(), in.question(x.kind, flat.pin), in.wanted, in.workshop)
		if errors.Is(err, weigh.ErrWithheld) {
			paragraph(w, "  - ", "Take the suspected readings again before any other.")
			continue
		}
		if err != nil {
			return err
		}
		paragraph(w, "  ", fmt.Sprintf("For %s, now give or take %s, and a mistake might move it by %s:", x.title, percent(x.now.HalfWidth), percent(x.now.Unnoticed)))
		if len(list) == 0 {
			paragraph(w, "  - ", "Nothing that this place can read.")
		}
		if x.now.HalfWidth <= in.wanted && x.now.Unnoticed <= in.wanted {
			paragraph(w, "  - ", "It is known well enough.")
		}
		for _, p := range list[:min(2, len(list))] {
			catalog := units.English()
			catalog.Display = in.display
			text := catalog.Text(p.Code, p.Params...)
			if p.Again != "" {
				text += " " + p.Again
			}
			paragraph(w, "  - ", fmt.Sprintf("%s Then give or take %s, and %s. %s", text, percent(p.HalfWidth), percent(p.Unnoticed), p.Care))
		}
	}
	return nil
}
