package main

import (
	"fmt"
	"io"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// words prints quantities for people: capacities down, requirements up.
type words struct{ units.Display }

func (d words) down() units.Display { d.Rounding = units.Down; return d.Display }
func (d words) up() units.Display   { d.Rounding = units.Up; return d.Display }

// capacity is a mass that may be lifted or carried, rounded down.
func (d words) capacity(m units.Mass) string { return units.Format(d.down(), m) }

// carried is a mass that is there, to the nearest.
func (d words) carried(m units.Mass) string { return units.Format(d.Display, m) }

// between is a range of loads, its low end rounded down and its high end up.
func (d words) between(r units.Range[units.Mass]) string {
	low, high := d.capacity(r.Low), units.Format(d.up(), r.High)
	switch {
	case d.capacity(r.High) == low || float64(r.High-r.Low) <= 1e-9*float64(r.High):
		return low
	case r.High >= ballast.MaxLoad:
		return low + " or more"
	}
	return low + " to " + high
}

// part is what one question allows, in words.
func (d words) part(c ballast.CapacityRange) string {
	if c.Governing == ballast.NoLimit {
		if c.Missing != 0 {
			return "not known"
		}
		return "no limit"
	}
	if c.IfRated.High == 0 {
		return "nothing"
	}
	return d.between(c.IfRated)
}

// weighs is a mass that is there, or its range.
func (d words) weighs(r units.Range[units.Mass]) string {
	low, high := d.carried(r.Low), d.carried(r.High)
	if low == high {
		return low
	}
	return low + " to " + high
}

// share is the rear axle's part of what the wheels carry, or its range.
func rearShare(w ballast.WheelLoadRanges) string {
	at := func(rear, front units.Mass) units.Fraction {
		if sum := rear + front; sum > 0 {
			return units.Fraction(rear / sum)
		}
		return 0
	}
	low, high := nearest(at(w.Rear.Low, w.Front.High)), nearest(at(w.Rear.High, w.Front.Low))
	if low == high {
		return low
	}
	return low + " to " + high
}

// raises is what the loader can lift.
func (d words) raises(u ballast.Usable) string { return d.part(u.Lift) }

// carries is what the machine may carry.
func (d words) carries(u ballast.Usable) string { return d.part(u.Carry) }

// limit is one limit, in words.
func (d words) limit(l ballast.LimitRange) string {
	switch l.Status {
	case stability.Within, stability.Binds:
		return d.between(l.Mass)
	case stability.AtMost:
		return "at most " + d.capacity(l.Mass.High)
	case stability.ExceededWhenEmpty:
		return "exceeded"
	case stability.CannotOccur:
		if l.Kind == ballast.LimitManualBallast {
			return "fulfilled"
		}
		return "no load reaches it"
	}
	return "not known"
}

// holds is the load under which raised arms begin to sink.
func (d words) holds(u ballast.Usable) string {
	if u.Holds.High == 0 {
		return "not known"
	}
	return d.between(u.Holds)
}

// holdsWarning stands wherever that load does.
const holdsWarning = "Raised arms stand still under somewhat more than they lift. It is no capacity: nothing is put on raised arms that the loader does not lift there."

// verdict is the answer for one load.
func verdict(c ballast.Judgment) string { return c.Verdict.Title() }

// notYet stands beside the loads while plates are missing.
const notYet = "NOT YET: nothing of this may be lifted before the plates listed below have been read and suffice. Where a figure is \"nothing\", no plate changes that."

// bareWarning stands wherever the columns without ballast do.
const bareWarning = "The columns with NO ballast are for comparison only. They are not for use where the loader's manual demands ballast."

// basisWords says what the safety basis is.
func basisWords(b ballast.Basis) string {
	share := units.Format(units.Display{Precision: units.Decimals(0)}, b.Fraction)
	switch b.Kind {
	case ballast.BasisRearShare:
		return "at least " + share + " of the total mass stays on the rear axle"
	case ballast.BasisTippingFraction:
		return share + " of the tipping load (borrowed from earth-moving loaders, ISO 14397-1)"
	case ballast.BasisNoWheelUnloaded:
		return "no wheel unloads under the dynamic factor"
	}
	return "not chosen, so tipping is not checked"
}

// yardCautions belong on the sheet whatever the numbers.
var yardCautions = []string{
	"Roll-over protection up and locked, seat belt on.",
	"Carry the load as low as the ground allows; lower it before turning and before leaving the seat.",
	"On a slope drive straight up and down, the heavy end uphill; do not drive across.",
	"Nobody under or on the load, and nobody within its reach.",
	"Take care when the load, the attachment or the loader comes off: rear ballast that was right with the loader may overload the rear axle or lift the front without it. Check tire pressures again.",
	"Never look for the tipping load by trying.",
}

func writeText(w io.Writer, s *Sheet, display units.Display) error {
	t := textSheet{words: words{display}, s: s}
	t.top()
	t.ballast()
	t.axles()
	t.lifts()
	t.limits()
	t.checks()
	t.slopes()
	t.travel()
	t.rest()
	_, err := io.WriteString(w, t.b.String())
	return err
}

// A textSheet is a sheet on its way to plain text.
type textSheet struct {
	words
	s *Sheet
	b strings.Builder
}

func (t *textSheet) line(format string, args ...any) { fmt.Fprintf(&t.b, format+"\n", args...) }

func (t *textSheet) head(title string) {
	t.line("\n%s\n%s", title, strings.Repeat("-", len(title)))
}

func (t *textSheet) row(first string, cells []string) {
	line := fmt.Sprintf("%-33s", first)
	for _, c := range cells {
		line += fmt.Sprintf(" %-19s", c)
	}
	t.line("%s", strings.TrimRight(line, " "))
}

func (t *textSheet) list(title string, lines []string) {
	t.head(title)
	for _, l := range lines {
		t.line("%s", wrap(l, 94))
	}
}

func (t *textSheet) top() {
	t.line("%s", t.s.Title)
	t.line("%s", strings.Repeat("=", len(t.s.Title)))
	t.line("Machine:        %s", t.s.Machine)
	t.line("Load asked for: %s", t.carried(t.s.Load))
	t.line("Trailer deck:   %s over the ground (a height of the tines)", units.Format(t.Display, t.s.Deck))
	t.line("Safety basis:   %s", basisWords(t.s.Basis))
	t.line("Dynamic factor: %.3g on load, attachment and arms where wheels may lift", t.s.Factor)
}

func (t *textSheet) ballast() {
	t.head("Ballast")
	for _, f := range t.s.Fills {
		t.line("%s", fillLine(f))
		r := f.Filled
		t.line("    each tire: %s (between %s and %s) weighing %s; %s: %s",
			units.Format(t.Display, r.Volume), units.Format(t.down(), f.Band.Low), units.Format(t.up(), f.Band.High),
			t.carried(r.Mass), tireWords(f.Tires), t.carried(units.Mass(f.Tires)*r.Mass))
		t.line("    %s full; %s", nearest(r.Fraction), freezing(t.words, r))
		if f.Clamped {
			t.line("    %s", clampedWarning)
		}
	}
	for _, x := range t.s.Pieces {
		note := ""
		if x.Note != "" {
			note = " (" + x.Note + ")"
		}
		t.line("%s: %s%s", x.Name, t.weighs(x.Mass), note)
	}

	if len(t.s.Fills)+len(t.s.Pieces) == 0 {
		t.line("none")
	}
}

func (t *textSheet) axles() {
	t.head("What the axles carry, level ground")
	t.line("%-44s %-18s %-18s %-18s %s", "", "total", "front", "rear", "on the rear")
	for _, a := range t.s.Axles {
		low := ""
		if w := lowWords(a); w != "" {
			low = "  " + w
		}
		t.line("%-44s %-18s %-18s %-18s %s%s", a.State, t.weighs(a.Loads.Total), t.weighs(a.Loads.Front), t.weighs(a.Loads.Rear),
			rearShare(a.Loads), low)
	}
}

func (t *textSheet) lifts() {
	t.head("What may be lifted, level ground")
	for i, l := range t.s.Lifts {
		if i == 0 {
			var names []string
			for _, c := range l.Cells {
				names = append(names, c.Column)
			}
			t.row("", names)
		}
		var lifts, carries, why []string
		for _, c := range l.Cells {
			lifts = append(lifts, t.raises(c.Usable))
			carries = append(carries, t.carries(c.Usable))
			why = append(why, limitedBy(t.s.Basis, c.Usable))
		}
		t.line("%s", l.Case)
		t.row("  the loader can lift", lifts)
		t.row("  the machine may carry", carries)
		t.row("  limited by", why)
	}
	if len(t.s.Plates) > 0 {
		t.line("%s", notYet)
	}
	t.line("%s", rearWords(t.words, t.s.Rear))
	for _, l := range t.s.Lifts {
		t.line("Height of %q: pin %s, tines %s over the ground.", l.Case, units.Format(t.Display, l.Pin), units.Format(t.Display, l.Tine))
	}
	if t.s.in.Load.Center.Unknown() {
		t.line("Forks: where the load's center lies nobody said; it counts from %s ahead of the tines' face, as the forks are rated, to %s beyond.", units.Format(t.Display, t.s.loadCenter()), units.Format(t.Display, ballast.UsualPractice().LoadBeyond.High))
	} else {
		t.line("Forks: load center %s ahead of the tines' face.", units.Format(t.Display, t.s.loadCenter()))
	}
	t.line("%s", bareWarning)
}

func (t *textSheet) limits() {
	t.head("Every limit, " + t.s.Lifts[0].Cells[0].Column)
	var names []string
	for _, l := range t.s.Lifts {
		names = append(names, short(l.Case))
	}
	t.row("", names)
	for k, first := range t.s.Lifts[0].Cells[0].Usable.Limits {
		var cells []string
		for _, l := range t.s.Lifts {
			cells = append(cells, t.limit(l.Cells[0].Usable.Limits[k]))
		}
		t.row(t.s.Basis.Title(first.Kind), cells)
	}
	var cells []string
	for _, l := range t.s.Lifts {
		cells = append(cells, t.holds(l.Cells[0].Usable))
	}
	t.row("raised arms begin to sink under", cells)
	t.line("%s", holdsWarning)
}

func (t *textSheet) checks() {
	t.head("May " + t.carried(t.s.Load) + " be lifted on level ground?")
	for _, c := range t.s.Checks {
		t.line("%-33s %s", c.Case, verdict(c.Check))
		t.line("    can the loader lift it: %s; may the machine carry it: %s", c.Check.Lift.Title(), c.Check.Carry.Title())
		if left := leftWords(t.words, t.s.Basis, c.Check); left != "" {
			t.line("    %s", left)
		}
	}
	if len(t.s.Plates) > 0 {
		t.head(platesTitle(t.s))
		for _, p := range t.s.Plates {
			t.line("- %s", plateWords(t.words, t.s, p))
		}
	}
	if len(t.s.Questions) > 0 {
		t.head(questionsTitle(t.s))
		for i, q := range t.s.Questions {
			if i == 8 {
				break
			}
			t.line("%s", wrap(questionWords(q), 94))
		}
		for _, c := range careWords(t.s.Questions) {
			t.line("%s", wrap(c, 94))
		}
	}
}

func (t *textSheet) slopes() {
	t.head("How steep the ground may be, at the worst heading")
	for _, r := range t.s.Slopes {
		if r.Standing {
			t.line("%-28s standing only: full height is no way to drive", r.State)
		} else {
			t.line("%-28s for whoever drives: %s", r.State, operatorWords(t.words, r.Limit))
		}
		t.line("    loses a wheel at %s; slides at %s", t.angles(r.Limit.Tip, r.Limit.Status), t.angles(r.Limit.Slide, r.Limit.Status))
		if yard := yardWords(t.words, t.s, r); yard != "" {
			t.line("    %s", yard)
		}
	}
	t.line("%s", slopesOnly)
	t.line("Coefficient of friction of tires on the ground: %s.", frictionWords(t.s.Ground))
	t.line("Smooth firm ground, no speed, no rut or bump: real ground takes a large part of this away.")
}

func (t *textSheet) rest() {
	if len(t.s.Assumed) > 0 {
		t.head("Taken from practice, because nobody gave it")
		for _, a := range t.s.Assumed {
			t.line("- %s", assumedWords(t.words, a))
		}
	}
	if len(t.s.Broken) > 0 {
		t.head("EXCEEDED, OR PERHAPS EXCEEDED, WITHOUT ANY LOAD")
		for _, n := range t.s.Broken {
			t.line("- %s", n)
		}
	}
	t.list("Before you lift", append(append([]string{}, yardCautions...), t.s.Cautions...))
	if len(t.s.Steps) > 0 {
		t.list("Filling the tires", t.s.Steps)
	}
	t.list("How these figures were reached", t.s.Notes)
}

// wrap breaks a list item into lines of a width.
func wrap(text string, width int) string {
	var b strings.Builder
	b.WriteString("-")
	n := 1
	for _, f := range strings.Fields(text) {
		if n+1+len(f) > width {
			b.WriteString("\n ")
			n = 1
		}
		b.WriteString(" " + f)
		n += 1 + len(f)
	}
	return b.String()
}

// short is a case's name in a narrow column.
func short(name string) string {
	if len(name) <= 19 {
		return name
	}
	return name[:strings.LastIndex(name[:20], " ")]
}

func (s *Sheet) loadCenter() units.Length {
	if c := s.in.Load.Center.Value(); c != 0 {
		return c
	}
	return middle(s.in.Setup.Attachment.LoadCenter)
}

// freezing says when a fill freezes.
func freezing(d words, f liquid.Filled) string {
	switch {
	case !f.Flows():
		return "sets solid"
	case f.Freezing == 0:
		return "freezes at an unknown temperature"
	}
	up := d.up()
	up.Precision = units.Decimals(0)
	words := "freezes no warmer than " + units.Format(up, f.FreezingBand.High)
	if f.Notes.Has(liquid.NoteFreezingIsBound) {
		words += "; what its label says counts"
	}
	return words
}

// clampedWarning stands beside a fill that does not fit its tire.
const clampedWarning = "THE LEVEL ASKED FOR LIES OUTSIDE THE TIRE; it is taken as full or empty"

func tireWords(n int) string {
	if n == 1 {
		return "1 tire"
	}
	return fmt.Sprintf("%d tires", n)
}

// lowWords say what is wrong with an axle load.
func lowWords(a AxleRow) string {
	switch {
	case a.Loads.Rear.High < 0:
		return "IT TIPS FORWARD"
	case a.Loads.Rear.Low < 0:
		return "IT MAY TIP FORWARD"
	case a.Loads.Front.Low < 0:
		return "IT MAY TIP BACKWARD"
	case a.Low:
		return "less than a fifth"
	}
	return ""
}

// limitedBy says which limit the answer comes from.
func limitedBy(b ballast.Basis, u ballast.Usable) string {
	if u.Governing == ballast.LimitTipping && b.Kind == ballast.BasisUnknown {
		return "no safety basis"
	}
	return b.Title(u.Governing)
}

// leftWords say how much more may be lifted and what then limits it; empty
// where a limit is exceeded.
func leftWords(d words, b ballast.Basis, c ballast.Judgment) string {
	u := &c.Usable
	switch {
	case c.Verdict == ballast.ExceedsLimit:
		return "limited by: " + b.Title(u.Governing) + ", " + d.between(u.IfRated)
	case c.Verdict == ballast.CannotSay:
		return "from " + d.between(u.IfRated) + " it depends on what is not known: " + b.Title(u.Governing)
	case u.Governing == ballast.NoLimit || c.Verdict == ballast.NeedsRatings:
		return "" // what is left is not there before the plates are read
	}
	return d.capacity(u.IfRated.Low-c.Mass) + " more until it is limited by: " + b.Title(u.Governing)
}

// rearWords say whether the loader can lift the rear wheels.
func rearWords(d words, r ballast.RearLift) string {
	switch r.Status {
	case stability.Exceeded:
		return "The loader is strong enough to lift the machine's own rear wheels, from pin height " + units.Format(d.Display, r.Heights.Low) + " to " + units.Format(d.Display, r.Heights.High) + "."
	case stability.CannotOccur:
		return "The loader is not strong enough to lift the machine's own rear wheels on level ground. Slope, braking or a rut can still tip it."
	}
	return "Whether the loader can lift the machine's own rear wheels depends on what is not known."
}

// platesTitle stands over the plates that nobody has read.
func platesTitle(s *Sheet) string {
	if s.exceeds() {
		return "Plates that nobody has read; none of them makes this load right"
	}
	return "For this load the plates must say at least"
}

// questionsTitle stands over what is worth finding out.
func questionsTitle(s *Sheet) string {
	if s.exceeds() {
		return "What to find out next for a lesser load, the best first"
	}
	return "What to find out next, the best first"
}

// plateWords say what one plate must say.
func plateWords(d words, s *Sheet, p PlateRow) string {
	switch {
	case p.Limit == ballast.LimitManualBallast:
	case s.exceeds():
		return p.Limit.Title()
	case p.Mass == 0:
		return p.Limit.Title() + ": what it must say cannot be said before the tracks are measured"
	}
	switch p.Limit {
	case ballast.LimitManualBallast:
		return "look up in the loader's manual whether it demands ballast, and how much"
	case ballast.LimitHydraulic:
		return "what the loader lifts at the attachment pin at this height: " + units.Format(d.up(), p.Mass)
	case ballast.LimitFrontTire, ballast.LimitRearTire:
		return p.Limit.Title() + ", each tire: " + units.Format(d.up(), p.Mass)
	case ballast.LimitFrontRim, ballast.LimitRearRim:
		return p.Limit.Title() + ", each wheel: " + units.Format(d.up(), p.Mass)
	}
	return p.Limit.Title() + ": " + units.Format(d.up(), p.Mass)
}

// questionWords say what to find out and what it is good for.
func questionWords(q ballast.Question) string {
	switch {
	case q.Rates != 0:
		return q.How
	case q.Decides > 0.005:
		return fmt.Sprintf("%s It decides this load with a chance of %s.", q.How, nearest(q.Decides))
	}
	return fmt.Sprintf("%s It takes %s off the width of the answer.", q.How, nearest(q.Narrows))
}

// careWords say what to heed while it is found out.
func careWords(list []ballast.Question) (out []string) {
	for _, q := range list[:min(8, len(list))] {
		if q.Care != "" {
			out = addOnce(out, q.Care)
		}
	}
	return out
}

// assumedWords say what was taken from practice.
func assumedWords(d words, a ballast.Assumption) string {
	if a.Mass != (units.Range[units.Mass]{}) {
		return a.Path + ": " + units.Format(d.Display, a.Mass.Low) + " to " + units.Format(d.Display, a.Mass.High)
	}
	if a.Share != (units.Range[units.Fraction]{}) {
		return a.Path + ": " + nearest(a.Share.Low) + " to " + nearest(a.Share.High)
	}
	return a.Path + ": " + units.Format(d.Display, a.Length.Low) + " to " + units.Format(d.Display, a.Length.High)
}

// angles is a range of slopes in words.
func (d words) angles(r units.Range[units.Slope], status stability.Status) string {
	if status == stability.NotChecked || r == (units.Range[units.Slope]{}) {
		return "an unknown slope"
	}
	deg := d.down()
	deg.Precision = units.Decimals(1)
	low := units.Format(deg, r.Low)
	deg.Rounding = units.Up
	if high := units.Format(deg, r.High); r.High-r.Low > 0.05*units.Slope(units.Degree) {
		return low + " to " + high
	}
	return low
}

// operatorWords is the one figure for whoever drives.
func operatorWords(d words, l ballast.SlopeLimit) string {
	switch l.Status {
	case stability.Within:
		deg := d.down()
		deg.Precision = units.Decimals(1)
		grade := deg
		grade.Grade, grade.Precision = true, units.Decimals(0)
		return "no steeper than " + units.Format(deg, l.Operator) + " (" + units.Format(grade, l.Operator) + ")"
	case stability.Exceeded:
		return "IT MAY BE TIPPED ON LEVEL GROUND"
	case stability.AtMost:
		return "not stated, because the friction of the ground is not given"
	}
	return "not stated, because too much is not known"
}

// yardWords hold the yard's steepest ground against a row.
func yardWords(d words, s *Sheet, r SlopeRow) string {
	switch {
	case s.Slope == 0 && r.Yard == stability.Exceeded:
		return "IT DOES NOT STAND EVEN ON THE LEVEL"
	case s.Slope == 0:
		return "the yard's steepest ground is not given, so it is not compared"
	case r.Yard == stability.Exceeded:
		return "THE YARD'S STEEPEST GROUND, " + groundWords(d, s.Slope) + ", IS TOO STEEP"
	case r.Yard == stability.NotChecked && r.Limit.Status == stability.Within:
		return "the yard's steepest ground, " + groundWords(d, s.Slope) + ", is STEEPER THAN WHOEVER DRIVES MAY GO"
	case r.Yard == stability.NotChecked:
		return "whether the yard's steepest ground, " + groundWords(d, s.Slope) + ", is too steep CANNOT BE SAID YET"
	}
	if r.Standing {
		return "" // nobody drives like this
	}
	return "the yard's steepest ground, " + groundWords(d, s.Slope) + ", is no steeper than that"
}

// slopesOnly stands wherever slopes do.
const slopesOnly = "These are slopes and nothing else: whether a load may be lifted at all stands above."

// groundWords is the slope of the yard's ground, rounded up.
func groundWords(d words, x units.Slope) string {
	up := d.up()
	up.Precision = units.Decimals(1)
	return units.Format(up, x)
}

// nearest is a share to the nearest percent.
func nearest(f units.Fraction) string {
	return units.Format(units.Display{Precision: units.Decimals(0)}, f)
}

func frictionWords(f units.Fraction) string {
	if f == 0 {
		return "not given"
	}
	return fmt.Sprintf("%.2g", float64(f))
}

// fillLine says what is in a pair of tires.
func fillLine(f FillRow) string {
	fluid := f.Fill.Fluid.Kind.Words()
	if f.Strength > 0 {
		fluid += " " + units.Format(units.Display{Precision: units.Decimals(0)}, f.Strength)
	}
	return fmt.Sprintf("%s: %d x %s, %s, %s", f.Name, f.Tires, f.Fill.Tire.Designation, fluid, levelWords(f))
}

func levelWords(f FillRow) string {
	if c := f.Fill.Level.Clock; c != 0 {
		return fmt.Sprintf("to the valve at %g o'clock", c)
	}
	return "to " + nearest(f.Filled.Fraction) + " of the tire"
}
