package bridge

import (
	"slices"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Ground is what is said of the place and the day.
type Ground struct {
	// Slope is the steepest ground.
	Slope units.Slope `json:"slope,omitempty"`
	// Surface is dry, gravel, wetGrass or mud; Friction is a coefficient in its place.
	Surface  string         `json:"surface,omitempty"`
	Friction units.Fraction `json:"friction,omitempty"`
	// Margin is taken off the slope limit; Manual is the steepest slope of the operator's manual.
	Margin units.Slope `json:"margin,omitempty"`
	Manual units.Slope `json:"manual,omitempty"`
	// Hole is how deep the worst hole is, HoleLength how long it is in the way, Speed how fast the
	// machine passes it.
	Hole       units.Length `json:"hole,omitempty"`
	HoleLength units.Length `json:"holeLength,omitempty"`
	Speed      units.Speed  `json:"speed,omitempty"`
	// Travel is how high the attachment pin is while driving, zero for a usual height; Place how
	// high tines or edge, or the pin where there are none, are where the load is placed, zero with
	// the arms up.
	Travel units.Length `json:"travel,omitempty"`
	Place  units.Length `json:"place,omitempty"`
	// LoadIs is how the load lies: resting, loose, roundBale or hanging; empty is any of them.
	LoadIs string `json:"loadIs,omitempty"`
	// Rating is what the maker of the loader rates it to lift at the attachment pin, as a job file
	// says it; zero is not said.
	Rating units.Mass `json:"rating,omitempty"`
	// Rops is up, folded or none; Belt is worn or not.
	Rops string `json:"rops,omitempty"`
	Belt string `json:"belt,omitempty"`
}

// surfaces are the friction between tires and ground that is counted with: ranges of common
// practice, no source.
var surfaces = map[string]units.Range[units.Fraction]{
	"dry": {Low: 0.5, High: 0.8}, "gravel": {Low: 0.4, High: 0.6}, "wetGrass": {Low: 0.2, High: 0.4}, "mud": {Low: 0.1, High: 0.3},
}

// Slope is how steep the ground may be.
type Slope struct {
	Title string   `json:"title"`
	Lines []string `json:"lines"`
	// Radians is the figure as a number, where there is one.
	Radians float64 `json:"radians,omitempty"`
	// Bad says that the title is a warning.
	Bad bool `json:"bad"`
	// Late says that the time ran out.
	Late bool `json:"late,omitempty"`
}

// travel is how high the attachment pin is while driving: as it was said, or a quarter of a meter
// above the lowest height that is certainly within reach.
func (v *view) travel() units.Length {
	if h := v.Ground.Travel; h > 0 {
		return h
	}
	low, high := v.pins()
	return min(low+0.25, (low+high)/2)
}

// carry is the load carried low.
func (v *view) carry() ballast.Lift {
	l := v.lift
	l.Kind, l.Slope, l.Heading, l.Braking, l.Name = ballast.Hold, 0, 0, 0, ""
	l.Datum = ballast.PinHeight
	l.Height = v.travel()
	return l
}

func (a *asker) slope() Slope {
	out := Slope{Lines: []string{}}
	v, _, _ := a.read(a.Document)
	if v == nil {
		out.Title = a.T("slope.open")
		return out
	}
	g := a.Ground
	if g.Rops == "folded" || g.Rops == "none" {
		out.Title, out.Bad = a.Text("y.slope.rops"), true
		return out
	}
	ground := ballast.Ground{Friction: surfaces[g.Surface], Margin: g.Margin, Manual: g.Manual}
	if g.Friction > 0 {
		ground.Friction = units.Range[units.Fraction]{Low: g.Friction, High: g.Friction}
	}
	var limits []ballast.SlopeLimit
	ctx := v.bounded()
	for _, load := range []units.Mass{0, v.load} {
		if load == 0 && len(limits) > 0 {
			continue
		}
		l, err := v.e.SlopeLimit(ctx, v.carry(), load, ground)
		if err != nil {
			out.Title, out.Late = a.T("slope.open"), late(err)
			if out.Late {
				out.Title = a.Text("y.slope.late")
				out.Lines = append(out.Lines, a.Text("y.late"))
			} else {
				out.Lines = append(out.Lines, a.troubles(err)...)
			}
			out.Lines = append(out.Lines, v.heights()...)
			return out
		}
		limits = append(limits, l)
	}
	status, least, most := stability.Within, limits[0].Operator, limits[0].Tip.High
	for _, l := range limits {
		if l.Status != stability.Within && status == stability.Within || l.Status == stability.Exceeded {
			status = l.Status
		}
		least, most = min(least, l.Operator), min(most, l.Tip.High)
		if l.Slide.High > 0 {
			most = min(most, l.Slide.High)
		}
	}
	switch status {
	case stability.Within:
		out.Title, out.Radians = a.T("slope.figure", "slope", a.Steep(least, units.Down)), float64(least)
	case stability.Exceeded:
		out.Title, out.Bad = a.T("slope.tips"), true
	case stability.AtMost:
		out.Title = a.T("slope.friction")
	default:
		out.Title = a.T("slope.open")
	}
	yard := a.Steep(g.Slope, units.Up)
	switch {
	case g.Slope == 0:
		out.Lines = append(out.Lines, a.T("slope.yard.unknown"))
	case status == stability.Exceeded || status != stability.NotChecked && g.Slope >= most || status == stability.Within && g.Slope > least:
		out.Lines, out.Bad = append(out.Lines, a.T("slope.yard.steep", "slope", yard)), true
	case status == stability.Within:
		out.Lines = append(out.Lines, a.T("slope.yard.ok", "slope", yard))
	default:
		out.Lines = append(out.Lines, a.T("slope.yard.open", "slope", yard))
	}
	if status == stability.Within {
		out.Lines = append(out.Lines, a.T("slope.pin", "height", a.NoLonger(v.travel())))
	}
	out.Lines = append(out.Lines, a.T("slope.only"))
	if status == stability.Within {
		if g.Rops != "up" || g.Belt != "worn" {
			out.Lines = append(out.Lines, a.Text("y.slope.only.rops"))
		}
		if g.Manual == 0 {
			out.Lines = append(out.Lines, a.T("slope.manual"))
		}
	}
	if f := ground.Friction; f.Low > 0 && status == stability.Within {
		friction := a.T("range", "low", a.Number(float64(f.Low)), "high", a.Number(float64(f.High)))
		if f.Low == f.High {
			friction = a.Number(float64(f.Low))
		}
		margin := a.T("slope.margin.none")
		if g.Margin > 0 {
			margin = a.T("slope.margin", "margin", a.Degrees(g.Margin))
		}
		out.Lines = append(out.Lines, a.T("slope.why", "friction", friction, "margin", margin))
	}
	out.Lines = append(out.Lines, v.heights()...)
	return out
}

// troubles says a line for each field that an answer refused.
func (a *asker) troubles(err error) []string {
	var out []string
	wrong, missing := a.problems(err)
	for _, p := range append(wrong, missing...) {
		out = append(out, a.T("tire.problem.line", "column", p.Label, "want", p.Text))
	}
	return out
}

// heights says which heights nobody has measured.
func (v *view) heights() []string {
	var heights []string
	for _, x := range v.e.Assumed() {
		if strings.HasSuffix(x.Path, ".z") || strings.HasSuffix(x.Path, ".above") || strings.HasSuffix(x.Path, "radius") || x.Path == "machine.axlePinHeight" || x.Path == "machine.axleHeight" {
			heights = append(heights, v.label("setup."+x.Path))
		}
	}
	if len(heights) > 0 {
		return []string{v.T("slope.banner.list", "list", v.list(slices.Compact(heights)))}
	}
	return nil
}

// hole is what may be carried over the worst hole.
func (a *asker) hole() Slope {
	out := Slope{Lines: []string{}}
	v, _, _ := a.read(a.Document)
	g := a.Ground
	if v == nil || g.Hole == 0 || g.HoleLength == 0 || g.Speed == 0 {
		return out
	}
	lift := v.carry()
	lift.Kind, lift.Speed = ballast.CarryLow, g.Speed
	use, err := v.e.Travel(v.bounded(), ballast.Travel{Obstacle: stability.Obstacle{Kind: stability.ObstacleRut, Height: g.Hole, Length: g.HoleLength}, Speed: g.Speed, Drive: stability.DriveHeld, Lift: lift})
	if err != nil {
		if late(err) {
			out.Title, out.Late = a.Text("y.late"), true
			return out
		}
		out.Lines = append(out.Lines, a.troubles(err)...)
		return out
	}
	size := func(l units.Length) string { return units.Format(a.Display, l) }
	out.Title = capital(a.T("over.where", "place", a.T("obstacle.rut", "height", size(g.Hole), "length", size(g.HoleLength)), "speed", a.Speed(g.Speed)))
	out.Lines = append(out.Lines, a.Message(use.LoadLine()))
	if use.Missing != 0 {
		out.Lines = append(out.Lines, a.Text("y.plates"))
	}
	out.Lines = append(out.Lines, a.T("over.not"))
	out.Lines = append(out.Lines, a.Say(use.Cautions.Remarks())...)
	out.Bad = v.load > 0 && use.IfRated.Low < v.load
	return out
}
