package bridge

import (
	"math"
	"strconv"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/units"
)

// Pivot is where the arm's pivot is by a tape reading.
type Pivot struct {
	Wrong []Problem `json:"wrong"`
	// Value is what a document holds at setup.loader.pivot.x, Text the same in words.
	Value map[string]string `json:"value,omitempty"`
	Text  string            `json:"text,omitempty"`
}

// pivot finds the arm's pivot from the tape reading d between the front axle and the pivot pin with
// the arms down: x = wheelbase + d - sqrt(r^2 - (z - h)^2), r being the arm, z the height of its
// pivot and h the lowest height of the pin. What is not known takes the range of practice. Each
// quantity is put in at both ends; z and h enter by the square of their difference alone, whose
// least is at level arms.
func (a *asker) pivot() Pivot {
	out := Pivot{Wrong: []Problem{}}
	const field = "y.pinahead"
	m, _ := measures("length", a.System)
	d, err := m.parse(strings.Replace(strings.TrimSpace(a.Ahead), ",", ".", 1) + " " + m.text)
	if err != nil || !(math.Abs(d) <= 10) {
		for _, f := range units.Fields(err) {
			out.Wrong = append(out.Wrong, Problem{Path: field, Label: a.Text(field), Text: a.Want(f)})
		}
		return out
	}
	doc, _ := a.lax()
	wheelbase, ok := doc.Setup.Machine.Wheelbase.Range()
	if !ok {
		out.Wrong = append(out.Wrong, Problem{Path: "setup.machine.wheelbase", Label: a.label("setup.machine.wheelbase"), Text: a.Text("y.needs.wheelbase")})
		return out
	}
	var l ballast.Loader
	if doc.Setup.Loader != nil {
		l = *doc.Setup.Loader
	}
	p := ballast.UsualPractice()
	known := func(in units.Input[units.Length], usual units.Range[units.Length]) units.Range[units.Length] {
		if r, ok := in.Range(); ok {
			return r
		}
		return usual
	}
	share := func(r units.Range[units.Fraction]) units.Range[units.Length] {
		return units.Range[units.Length]{Low: units.Share(wheelbase.Low, r.Low), High: units.Share(wheelbase.High, r.High)}
	}
	arm, z, h := known(l.Arm, share(p.Arm)), known(l.Pivot.Z, share(p.PivotZ)), known(l.LowestPin, p.LowestPin)
	drop := units.Range[units.Length]{Low: max(0, z.Low-h.High), High: max(0, z.High-h.Low)}
	level := func(r, rise units.Length) float64 {
		return math.Sqrt(math.Max(0, float64(r*r-rise*rise)))
	}
	low := float64(wheelbase.Low) + d - level(arm.High, drop.Low)
	high := float64(wheelbase.High) + d - level(arm.Low, drop.High)
	out.Value = map[string]string{"low": outward(low/m.size, math.Floor) + " " + m.text, "high": outward(high/m.size, math.Ceil) + " " + m.text}
	out.Text = a.T("y.pinahead.done", "range", a.T("range", "low", a.Length(units.Length(low)), "high", a.Length(units.Length(high))))
	return out
}

// outward rounds to three decimals, away from the middle of a range.
func outward(v float64, round func(float64) float64) string {
	return strconv.FormatFloat(round(v*1000)/1000, 'f', -1, 64)
}
