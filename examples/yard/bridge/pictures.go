package bridge

import (
	"math"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/draw"
	"example.com/steelyard/examples/internal/jobs"
	"example.com/steelyard/units"
)

// Pictures are drawings as SVG elements.
type Pictures struct {
	// Poses are the machine low, with the arms level and high, each with a bar.
	Poses []Picture `json:"poses"`
	// Tape is the machine with arrows where the tape goes, and what each letter is.
	Tape Picture `json:"tape"`
	Key  string  `json:"key,omitempty"`
	// Sketched lists what nobody has measured and what usual lengths were drawn for.
	Sketched string `json:"sketched,omitempty"`
}

// Picture is one drawing with its words.
type Picture struct {
	Title  string   `json:"title"`
	SVG    string   `json:"svg,omitempty"`
	Lines  []string `json:"lines"`
	Arrows []Arrow  `json:"arrows,omitempty"`
}

// Arrow says what one letter of the picture is.
type Arrow struct {
	Letter string `json:"letter"`
	Path   string `json:"path"`
	Label  string `json:"label"`
	Value  string `json:"value,omitempty"`
}

// span is a length of the setup, or the range of practice that stands in for it.
func (v *view) span(path string, in units.Input[units.Length]) units.Range[units.Length] {
	if r, ok := in.Range(); ok {
		return r
	}
	for _, a := range v.e.Assumed() {
		if a.Path == path {
			return a.Length
		}
	}
	return units.Range[units.Length]{}
}

// pins are the heights of the attachment pin that are certainly within reach.
func (v *view) pins() (low, high units.Length) {
	l := v.doc.Setup.Loader
	low = v.span("loader.lowestPin", l.LowestPin).High
	high = v.span("loader.highestPin", l.HighestPin).Low
	return low, max(high, low)
}

// level is the pin height with the arms level, or the nearest to it.
func (v *view) level() units.Length {
	low, high := v.pins()
	return min(max(jobs.Level(v.doc.Setup.Loader, v.e.Assumed()), low), high)
}

// place is the pin height at which the load is placed: as it was said, or with the arms up.
func (v *view) place() units.Length {
	_, high := v.pins()
	if h := v.Ground.Place; h > 0 {
		return h - jobs.Below(v.doc.Setup.Attachment)
	}
	return high
}

// sketched is a setup with usual lengths in the place of what is not known, for a picture only.
type sketched struct {
	setup ballast.Setup
	usual []string
	label func(string) string
}

func (s *sketched) put(in *units.Input[units.Length], path string, r units.Range[units.Length]) units.Length {
	if have, ok := in.Range(); ok {
		return have.Low + (have.High-have.Low)/2
	}
	mid := r.Low + (r.High-r.Low)/2
	*in = units.Is(units.Length(math.Round(float64(mid)*1000) / 1000))
	s.usual = append(s.usual, s.label("setup."+path))
	return mid
}

func shareOf(r units.Range[units.Fraction], of units.Length) units.Range[units.Length] {
	return units.Range[units.Length]{Low: units.Share(of, r.Low), High: units.Share(of, r.High)}
}

// sketch fills in what a picture needs.
func sketch(setup ballast.Setup, label func(string) string) *sketched {
	s := &sketched{setup: setup, label: label}
	p := ballast.UsualPractice()
	wheelbase := s.put(&s.setup.Machine.Wheelbase, "machine.wheelbase", units.Range[units.Length]{Low: 1.8, High: 1.8})
	l, a := ballast.Loader{}, ballast.Attachment{}
	if setup.Loader != nil {
		l = *setup.Loader
	}
	if setup.Attachment != nil {
		a = *setup.Attachment
	}
	if a.Kind == ballast.AttachmentUnknown {
		a.Kind = ballast.Forks
	}
	s.put(&l.Pivot.X, "loader.pivot.x", shareOf(p.PivotX, wheelbase))
	s.put(&l.Pivot.Z, "loader.pivot.z", shareOf(p.PivotZ, wheelbase))
	s.put(&l.Arm, "loader.arm", shareOf(p.Arm, wheelbase))
	s.put(&l.LowestPin, "loader.lowestPin", p.LowestPin)
	s.put(&l.HighestPin, "loader.highestPin", shareOf(p.HighestPin, wheelbase))
	switch a.Kind {
	case ballast.Forks:
		s.put(&a.Face, "attachment.face", p.ForkFace)
		s.put(&a.LoadCenter, "attachment.loadCenter", p.LoadCenter)
		s.put(&a.Tine, "attachment.tine", p.Tine)
	case ballast.Bucket:
		s.put(&a.Face, "attachment.face", p.BucketFace)
		s.put(&a.Edge.Ahead, "attachment.edge.ahead", p.EdgeAhead)
		s.put(&a.Edge.Above, "attachment.edge.above", p.EdgeAbove)
	}
	s.setup.Loader, s.setup.Attachment = &l, &a
	return s
}

func middle(in units.Input[units.Length]) units.Length {
	r, _ := in.Range()
	return r.Low + (r.High-r.Low)/2
}

// reachable is a pin height within the sketched arm.
func (s *sketched) reachable(h units.Length) units.Length {
	l := s.setup.Loader
	z, r := middle(l.Pivot.Z), middle(l.Arm)
	return min(max(h, z-0.97*r, 0.05), z+0.97*r)
}

func (a *asker) pictures() Pictures {
	out := Pictures{Poses: []Picture{}}
	scale, text := units.Meter, "1 m"
	if a.Display.System != units.Metric {
		scale, text = 3*units.Foot, "3 ft"
	}
	v, _, _ := a.read(a.Document)
	var setup ballast.Setup
	var load ballast.Load
	if v != nil {
		setup, load = v.doc.Setup, v.lift.Load
	} else if doc, err := a.lax(); err == nil {
		setup = doc.Setup
		if len(doc.Lifts) > 0 {
			load = doc.Lifts[0].Load
		}
	}
	s := sketch(setup, a.label)
	l := s.setup.Loader
	low, high := s.reachable(middle(l.LowestPin)), s.reachable(middle(l.HighestPin))
	level := min(max(middle(l.Pivot.Z), low), high)
	if v != nil {
		// They ask what the handover sheet asks: carrying and placing the load, and holding it where
		// the arm reaches farthest.
		carry := ballast.CarryLow
		if v.lift.Speed == 0 {
			carry = ballast.Hold
		}
		poses := []struct {
			name string
			kind ballast.LiftKind
			pin  units.Length
		}{{"low", carry, v.travel()}, {"level", ballast.Hold, v.level()}, {"high", ballast.StackHigh, v.place()}}
		type answer struct {
			u       ballast.Usable
			verdict ballast.Verdict
			ok      bool
		}
		answers := make([]answer, len(poses))
		full := v.load
		for i, p := range poses {
			lift := v.lift
			lift.Kind, lift.Datum, lift.Height = p.kind, ballast.PinHeight, p.pin
			if v.load > 0 {
				if j, err := v.e.Check(lift, v.load); err == nil {
					answers[i] = answer{j.Usable, j.Verdict, true}
				}
			} else if u, err := v.e.UsableLoad(lift); err == nil {
				answers[i] = answer{u, ballast.CannotSay, true}
			}
			if r := answers[i].u.IfRated; r.Low < ballast.MaxLoad {
				full = max(full, r.Low)
			}
		}
		for i, p := range poses {
			x := answers[i]
			title := a.T("pose." + p.name)
			pic := Picture{Title: title + ", " + v.at(p.pin), Lines: []string{}}
			m := draw.Machine{Title: title, Setup: s.setup, Pin: s.reachable(p.pin), Load: load, Scale: scale, ScaleText: text, NoLoad: v.load == 0, Top: high + 1.2}
			if x.ok {
				m.Bar = &draw.Bar{Asked: v.load, Low: min(x.u.IfRated.Low, full), Full: full, Open: !x.verdict.OK() && x.verdict != ballast.ExceedsLimit}
				code := map[ballast.Verdict]string{ballast.ExceedsLimit: "bar.no", ballast.NeedsRatings: "bar.notyet", ballast.CannotSay: "bar.open", ballast.NoLimitExceeded: "bar.none"}[x.verdict]
				if code == "bar.open" && x.u.IfRated.Low < units.Kilogram {
					code = "bar.open.nothing"
				}
				if v.load == 0 {
					pic.Lines = append(pic.Lines, v.part(x.u.CapacityRange)+"; "+v.limit(x.u.Governing))
				} else {
					pic.Lines = append(pic.Lines, a.T(code, "asked", v.Mass(v.load), "low", v.Most(x.u.IfRated.Low), "limit", v.limit(x.u.Governing)))
				}
			} else {
				pic.Lines = append(pic.Lines, a.Text("y.pose.open"))
			}
			if svg, err := m.SVG(); err == nil {
				pic.SVG = svg
			}
			out.Poses = append(out.Poses, pic)
		}
		out.Key = a.T("hand.key")
	}
	out.Tape = a.tape(s, load, level)
	if len(s.usual) > 0 {
		out.Sketched = a.T("y.sketched", "list", a.list(s.usual))
	}
	return out
}

// at says a height of the pin as people see it: that of tines, edge or pin.
func (v *view) at(pin units.Length) string {
	at := v.doc.Setup.Attachment
	below, known := jobs.Below(at), true
	switch at.Kind {
	case ballast.Forks:
		_, known = at.Tine.Range()
	case ballast.Bucket:
		_, known = at.Edge.Above.Range()
	}
	if !known {
		return v.T("at.barePin", "height", v.Length(pin))
	}
	return v.T("at."+at.Kind.String(), "height", v.Length(pin+below))
}

// lax reads what can be read of an unfinished document.
func (a *asker) lax() (ballast.Document, error) {
	var d ballast.Document
	err := jsonInto(a.Document, &d)
	return d, err
}

// tape is the machine with arrows where the tape goes.
func (a *asker) tape(s *sketched, load ballast.Load, level units.Length) Picture {
	m, l, at := &s.setup.Machine, s.setup.Loader, s.setup.Attachment
	base, px, pz, arm := middle(m.Wheelbase), middle(l.Pivot.X), middle(l.Pivot.Z), middle(l.Arm)
	low := s.reachable(middle(l.LowestPin))
	// The arms are drawn down, where the tape reaches the pivot pin from the ground.
	pin := px + units.Length(math.Sqrt(math.Max(0, float64(arm*arm-(low-pz)*(low-pz)))))
	rear := middle(m.Rear.Radius)
	if rear == 0 {
		rear = 0.3 * base
	}
	front := middle(m.Front.Radius)
	if front == 0 {
		front = 0.2 * base
	}
	axle := middle(m.AxlePinHeight)
	if axle == 0 {
		axle = 0.25 * base
	}
	top := max(pz, rear*2) + 0.45
	type arrow struct {
		path           string
		x1, z1, x2, z2 units.Length
	}
	list := []arrow{
		{"setup.machine.wheelbase", 0, -0.22, base, -0.22},
		{"y.pinahead", base, -0.22, pin, -0.22},
		{"setup.loader.pivot.x", 0, top, px, top},
		{"setup.loader.pivot.z", px, 0, px, pz},
		{"setup.loader.arm", px, pz, pin, low},
		{"setup.loader.lowestPin", pin, 0, pin, low},
		{"setup.machine.rear.radius", 0, 0, 0, rear},
		{"setup.machine.front.radius", base - front - 0.12, 0, base - front - 0.12, front},
		{"setup.machine.axlePinHeight", base + front + 0.1, 0, base + front + 0.1, axle},
	}
	if at.Kind != ballast.BarePin {
		face := middle(at.Face)
		list = append(list, arrow{"setup.attachment.face", pin, low + 0.5, pin + face, low + 0.5})
		if at.Kind == ballast.Forks {
			c := middle(at.LoadCenter)
			if r, ok := load.Center.Range(); ok {
				c = r.Low + (r.High-r.Low)/2
			}
			list = append(list, arrow{"lifts[0].load.center", pin + face, low + 0.95, pin + face + c, low + 0.95})
		}
	}
	back := units.Length(0)
	if x, ok := m.Hitch.X.Range(); ok {
		list = append(list, arrow{"setup.machine.hitch.x", 0, -0.5, x.Low, -0.5})
		back = -x.Low
	}
	for i, p := range s.setup.Pieces {
		if x, ok := p.CG.X.Range(); ok && p.Kind.OnHitch() {
			list = append(list, arrow{units.Index("setup.pieces", i) + ".cg.x", 0, -0.82, x.Low, -0.82})
			break
		}
	}
	pic := Picture{Title: a.Text("y.tape.title"), Lines: []string{a.Text("y.tape.how")}, Arrows: []Arrow{}}
	drawing := draw.Machine{Title: pic.Title, Setup: s.setup, Pin: low, Load: load, NoLoad: true, Back: back, Top: top + 0.35}
	values, _ := a.values(a.Document)
	for i, x := range list {
		letter := string(rune('A' + i))
		drawing.Arrows = append(drawing.Arrows, draw.Arrow{Text: letter, FromX: x.x1, FromZ: x.z1, ToX: x.x2, ToZ: x.z2})
		one := Arrow{Letter: letter, Path: x.path, Label: a.label(x.path)}
		if text, ok := a.Texts[x.path]; ok {
			one.Label = text
		}
		if text, ok := values[x.path]; ok {
			one.Value = text
		} else if text, ok := values[x.path+".low"]; ok {
			one.Value = a.T("range", "low", text, "high", values[x.path+".high"])
		}
		if one.Value != "" {
			unit, _ := measures("length", a.System)
			one.Value += " " + unit.show
		}
		if strings.HasPrefix(x.path, "setup.pieces") {
			one.Label = a.Text("y.behind.x")
		}
		pic.Arrows = append(pic.Arrows, one)
	}
	if svg, err := drawing.SVG(); err == nil {
		pic.SVG = svg
	}
	return pic
}
