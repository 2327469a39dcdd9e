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

// words prints quantities for people, with capacities rounded down and requirements
// rounded up.
type words struct{ units.Display }

func (d words) down() units.Display { d.Rounding = units.Down; return d.Display }
func (d words) up() units.Display   { d.Rounding = units.Up; return d.Display }

// capacity is a mass that may be lifted or carried, rounded down.
func (d words) capacity(m units.Mass) string { return units.Format(d.down(), m) }

// carried is a mass that the machine carries, rounded to the nearest.
func (d words) carried(m units.Mass) string { return units.Format(d.Display, m) }

// slope is a limiting slope, rounded down to half a degree's digit.
func (d words) slope(l stability.Limit) string {
	switch l.Status {
	case stability.Within, stability.Binds:
		deg := d.down()
		deg.Precision = units.Decimals(1)
		grade := deg
		grade.Grade, grade.Precision = true, units.Decimals(0)
		return units.Format(deg, l.Slope()) + " (" + units.Format(grade, l.Slope()) + ")"
	case stability.Exceeded:
		return "0 deg (already on level ground)"
	case stability.CannotOccur:
		return "cannot occur"
	}
	return "not checked"
}

// usable is the answer of one column, in words.
func (d words) usable(u ballast.Use) string {
	switch u.Status {
	case stability.Binds:
		return d.capacity(u.Mass)
	case stability.AtMost:
		return "at most " + d.capacity(u.Mass)
	case stability.ExceededWhenEmpty:
		return "nothing"
	}
	return "not checked"
}

// limit is one limit of a use, in words.
func (d words) limit(l ballast.Limit) string {
	switch l.Status {
	case stability.Within, stability.Binds:
		return d.capacity(l.Mass)
	case stability.AtMost:
		return "at most " + d.capacity(l.Mass)
	case stability.ExceededWhenEmpty:
		return "exceeded"
	case stability.CannotOccur:
		return "no limit"
	}
	return "not checked"
}

// verdict is the answer for one load.
func verdict(c ballast.Check) string {
	switch c.Status {
	case stability.Within, stability.Binds:
		return "yes"
	case stability.NotChecked:
		return "not checked"
	}
	return "NO"
}

// tipNames say in words which limit comes first.
var tipNames = map[stability.LimitKind]string{
	stability.RearEdge: "tips backwards", stability.FrontEdge: "tips forwards",
	stability.FrontLeftWheel: "a front wheel lifts", stability.FrontRightWheel: "a front wheel lifts",
	stability.RearLeftWheel: "a rear wheel lifts", stability.RearRightWheel: "a rear wheel lifts",
	stability.TipsRight: "tips sideways", stability.TipsLeft: "tips sideways",
	stability.SlidesRear: "rear wheels slide", stability.SlidesFront: "front wheels slide", stability.SlidesAll: "slides",
}

// bareWarning is printed wherever the columns without ballast are.
const bareWarning = "The columns with NO ballast are for comparison only. Do not use them if the loader's manual requires ballast."

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

// yardCautions belong on every sheet.
var yardCautions = []string{
	"Raise and lock the roll-over protection, and wear the seat belt.",
	"Carry the load as low as the ground allows; lower it before turning and before leaving the seat.",
	"On a slope drive straight up and down, with the heavy end uphill; do not drive across.",
	"Let nobody stand under or on the load, or within its reach.",
	"Take care when the load, the attachment or the loader is taken off: without the loader, rear ballast that was right with it may overload the rear axle or lift the front. Check the tire pressures again.",
	"Never look for the tipping load by trial.",
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
	t.rest()
	_, err := io.WriteString(w, t.b.String())
	return err
}

// A textSheet is a sheet that is being written as plain text.
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
	t.line("Trailer deck:   %s over the ground (height of the tines)", units.Format(t.Display, t.s.Deck))
	t.line("Safety basis:   %s", basisWords(t.s.Basis))
	t.line("Dynamic factor: %.3g on load, attachment and arms where force or moment limits", t.s.Factor)
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
		t.line("%s: %s%s", x.Name, t.carried(x.Mass), note)
	}

	if len(t.s.Fills)+len(t.s.Pieces) == 0 {
		t.line("none")
	}
}

func (t *textSheet) axles() {
	t.head("What the axles carry, level ground")
	t.line("%-44s %9s %9s %9s  %s", "", "total", "front", "rear", "on the rear")
	for _, a := range t.s.Axles {
		low := ""
		if w := lowWords(a); w != "" {
			low = "  " + w
		}
		t.line("%-44s %9s %9s %9s  %6s%s", a.State, t.carried(a.Loads.Total), t.carried(a.Loads.Front), t.carried(a.Loads.Rear),
			nearest(a.Loads.RearShare()), low)
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
		var masses, why []string
		for _, c := range l.Cells {
			masses = append(masses, t.usable(c.Use))
			why = append(why, governing(c.Use))
		}
		t.row(l.Case, masses)
		t.row("  governed by", why)
	}
	for _, l := range t.s.Lifts {
		t.line("Height of %q: pin %s, tines %s over the ground.", l.Case, units.Format(t.Display, l.Pin), units.Format(t.Display, l.Tine))
	}
	t.line("Forks: load center %s ahead of the tines' face.", units.Format(t.Display, t.s.loadCenter()))
	t.line("%s", bareWarning)
}

func (t *textSheet) limits() {
	t.head("Every limit, " + t.s.Lifts[0].Cells[0].Column)
	var names []string
	for _, l := range t.s.Lifts {
		names = append(names, short(l.Case))
	}
	t.row("", names)
	for k := range t.s.Lifts[0].Cells[0].Use.Limits {
		var cells []string
		for _, l := range t.s.Lifts {
			cells = append(cells, t.limit(l.Cells[0].Use.Limits[k]))
		}
		t.row(t.s.Lifts[0].Cells[0].Use.Limits[k].Kind.Title(), cells)
	}
}

func (t *textSheet) checks() {
	t.head("May " + t.carried(t.s.Load) + " be lifted on level ground?")
	for _, c := range t.s.Checks {
		t.line("%-33s %-12s %s", c.Case, verdict(c.Check), usedWords(c.Check))
		if left := leftWords(t.words, c.Check); left != "" {
			t.line("    %s", left)
		}
	}
}

func (t *textSheet) slopes() {
	t.head("How steep the ground may be, at the worst heading")
	for _, r := range t.s.Slopes {
		if !r.Known {
			t.line("%-28s not checked: heights are missing", r.State)
			continue
		}
		t.line("%-28s loses a wheel at %s: %s, %s", r.State, t.slope(r.Tip), tipNames[r.Tip.Kind], compass(r.Heading))
		if t.s.Ground > 0 {
			t.line("    slides at %s with the rear wheels braked, %s with all wheels braked; %s", t.slope(r.Slide), t.slope(r.SlideAll), firstWords(r))
		} else {
			t.line("    slides: NOT CHECKED; it may slide before it loses a wheel")
		}
		t.line("    %s", yardWords(t.words, t.s, r))
	}
	t.line("Coefficient of friction of tires on the ground: %s.", frictionWords(t.s.Ground))
	t.line("This holds for smooth firm ground without speed, ruts or bumps: real ground reduces it greatly.")
}

func (t *textSheet) rest() {
	t.head("Not checked: no rating is given")
	if len(t.s.NotChecked) == 0 {
		t.line("nothing")
	}
	for _, n := range t.s.NotChecked {
		t.line("- %s", n)
	}
	if len(t.s.Broken) > 0 {
		t.head("EXCEEDED WITHOUT ANY LOAD")
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
	if c := s.in.Load.Center; c != 0 {
		return c
	}
	return s.in.Setup.Attachment.LoadCenter
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
		words += "; the label of the product comes first"
	}
	return words
}

// clampedWarning is printed beside a fill that does not fit its tire.
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
	case a.Loads.Rear < 0:
		return "IT TIPS FORWARD"
	case a.Loads.Front < 0:
		return "IT TIPS BACKWARD"
	case a.Low:
		return "less than a fifth"
	}
	return ""
}

// governing says which limit a usable load comes from or, if there is no usable load,
// which limit is not known.
func governing(u ballast.Use) string {
	if u.Status == stability.NotChecked {
		if u.Governing == ballast.LimitTipping {
			return "no safety basis"
		}
		return "the " + u.Governing.Title() + " is not known"
	}
	return u.Governing.Title()
}

// usedWords say which limit is used most.
func usedWords(c ballast.Check) string {
	if c.Status == stability.NotChecked {
		return "because a safety basis or a rating is missing"
	}
	return percent(c.MostUsed.Used) + " of the " + c.MostUsed.Kind.Title() + " used"
}

// leftWords say how much more may be lifted and what then limits it. They are empty if
// the load may not be lifted.
func leftWords(d words, c ballast.Check) string {
	if !c.OK() || c.Nearest.Kind == ballast.NoLimit {
		return ""
	}
	return d.capacity(c.Nearest.Left) + " more until it is limited by the " + c.Nearest.Kind.Title()
}

// yardWords compare the yard's steepest ground with a row.
func yardWords(d words, s *Sheet, r SlopeRow) string {
	switch {
	case s.Slope == 0 && r.Yard == stability.Exceeded:
		return "IT TIPS EVEN ON LEVEL GROUND"
	case s.Slope == 0:
		return "the yard's steepest ground is not given, so it is not compared"
	case r.Yard == stability.Exceeded:
		return "THE YARD'S STEEPEST GROUND, " + groundWords(d, s.Slope) + ", IS TOO STEEP"
	case r.Yard == stability.NotChecked:
		return "the yard's steepest ground, " + groundWords(d, s.Slope) + ", is NOT CHECKED against sliding"
	}
	return "the yard's steepest ground, " + groundWords(d, s.Slope) + ", is within this"
}

// firstWords says which comes first, sliding or losing a wheel.
func firstWords(r SlopeRow) string {
	if before(r.Slide, r.Tip) {
		return "slides first: " + tipNames[r.Slide.Kind] + ", " + compass(r.SlideHead)
	}
	if !occurs(r.Slide) {
		return "sliding is not checked"
	}
	return "loses a wheel first"
}

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

// percent is a share that is used, rounded up.
func percent(f units.Fraction) string {
	return units.Format(units.Display{Precision: units.Decimals(0), Rounding: units.Up}, f)
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
