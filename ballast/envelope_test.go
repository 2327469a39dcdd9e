package ballast_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/walk"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// How much is tried: DEVELOPERS.md has the figures of a long run.
var (
	openPairs    = flag.Int("pairs", 5000, "how many nested pairs of knowledge TestEnvelopeInclusion tries")
	openMachines = flag.Int("machines", 100000, "how many machines TestEnvelopeHoldsItsMachines tries")
)

// hasFill reports whether a setup has a fill, whose mass is a band.
func hasFill(s *ballast.Setup) bool {
	for i := range s.Pieces {
		if s.Pieces[i].Fill != nil {
			return true
		}
	}
	return false
}

// wide returns the setup with the field open.
func (o opened) wide(s ballast.Setup) ballast.Setup {
	out, _ := walk.Widened(s, o.field, o.low, o.high)
	return out
}

// Where everything is known, either end of the envelope is what the compiled case
// says: the sums by parts and the conditions by rows are two routes.
func TestEnvelopeOfPoints(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 1))
	practice := ballast.UsualPractice()
	for i := range 3000 {
		s, l := walkedCase(r)
		if hasFill(&s) {
			continue
		}
		e, err := s.Envelope(practice)
		if err != nil {
			t.Fatal(err)
		}
		got, err := e.Ends(l)
		if err != nil {
			t.Fatal(err)
		}
		k, err := s.Compile()
		if err != nil {
			t.Fatal(err)
		}
		c, err := k.Case(l)
		if err != nil {
			t.Fatal(err)
		}
		for _, limit := range c.Use().Limits {
			is := got[limit.Kind-1]
			switch limit.Status {
			case stability.NotChecked:
				if is.Status != stability.NotChecked && limit.Kind != ballast.LimitHydraulic {
					t.Errorf("case %d, %v: %+v, the case has it not checked", i, limit.Kind, is)
				}
			case stability.Within, stability.Binds:
				want := min(float64(limit.Mass), float64(ballast.MaxLoad))
				if is.Status != stability.Within || math.Abs(float64(is.Mass.Low)-want) > 1e-7*(1+want) || math.Abs(float64(is.Mass.High)-want) > 1e-7*(1+want) {
					t.Errorf("case %d, %v: %v to %v (%v), the case has %v (%v)", i, limit.Kind, float64(is.Mass.Low), float64(is.Mass.High), is.Status, want, limit.Status)
				}
			case stability.AtMost:
				if limit.Kind != ballast.LimitHydraulic && (is.Status != stability.AtMost || math.Abs(float64(is.Mass.High-limit.Mass)) > 1e-7*float64(limit.Mass)) {
					t.Errorf("case %d, %v: %+v, the case has %+v", i, limit.Kind, is, limit)
				}
			default:
				if is.Status != limit.Status {
					t.Errorf("case %d, %v: %+v, the case has %v", i, limit.Kind, is, limit.Status)
				}
			}
		}
		if t.Failed() {
			t.Logf("%+v\n%+v", s.Loader, l)
			return
		}
	}
}

// openCase is a walked case of more kinds: a load on the bare pin, and a bucket
// that breaks out.
func openCase(r *rand.Rand) (ballast.Setup, ballast.Lift) {
	s, l := walkedCase(r)
	switch a := *s.Attachment; {
	case r.IntN(8) == 0:
		s.Attachment = &ballast.Attachment{Kind: ballast.BarePin}
		l.Datum, l.Load.Above, l.Height = ballast.PinHeight, units.Input[units.Length]{}, units.Length(0.2+2.4*r.Float64())
	case a.Kind == ballast.Bucket && r.IntN(2) == 0:
		l.Kind, l.Datum, l.Height, l.Load = ballast.BreakOut, ballast.DatumUnknown, 0, ballast.Load{}
	}
	return s, l
}

// openLift makes ranges of where the load is, and returns a lift inside them.
func openLift(r *rand.Rand, l ballast.Lift) (narrow, wide ballast.Lift, inside func() ballast.Lift) {
	narrow, wide = l, l
	type of struct {
		narrow, wide, is *units.Input[units.Length]
	}
	inner := l
	for _, f := range []of{{&narrow.Load.Center, &wide.Load.Center, &inner.Load.Center}, {&narrow.Load.Above, &wide.Load.Above, &inner.Load.Above},
		{&narrow.Load.Sideways, &wide.Load.Sideways, &inner.Load.Sideways}} {
		if !f.is.Known() || r.IntN(2) == 0 {
			continue
		}
		v := f.is.Value()
		a, b, c, d := units.Length(0.05*r.Float64()), units.Length(0.05*r.Float64()), units.Length(0.05*r.Float64()), units.Length(0.05*r.Float64())
		*f.narrow, *f.wide = units.Between(v-a, v+b), units.Between(v-a-c, v+b+d)
	}
	return narrow, wide, func() ballast.Lift {
		out := narrow
		for _, in := range []*units.Input[units.Length]{&out.Load.Center, &out.Load.Above, &out.Load.Sideways} {
			if g, ok := in.Range(); ok {
				*in = units.Is(g.Low + units.Length(math.Round(2*r.Float64())/2)*(g.High-g.Low))
			}
		}
		return out
	}
}

// opened is a field of a setup, and by which factors its ends are away from what
// is true.
type opened struct {
	field     walk.Field
	low, high float64
}

// openable reports whether an envelope knows ranges of a field.
func openable(s *ballast.Setup, path string) bool {
	switch {
	case path == "gravity", strings.Contains(path, "table[]"), strings.HasSuffix(path, ".share"), strings.HasSuffix(path, "carried"),
		strings.HasSuffix(path, "stopAngle"), strings.HasSuffix(path, "capacity"), strings.HasSuffix(path, "volume"),
		strings.HasPrefix(path, "loader.manualBallast"):
		return false
	case strings.HasPrefix(path, "loader.cylinders.base"), strings.HasPrefix(path, "loader.cylinders.rod"), path == "loader.rated[].pinHeight", path == "loader.rated[].ahead":
		return false
	case strings.HasPrefix(path, "pieces[].fill"):
		return false
	case s.Machine.Undercarriage == stability.Rigid && (strings.HasSuffix(path, "Track") || path == "machine.wheelbase"):
		return false
	}
	return true
}

// openFields picks up to n fields of a setup and takes ends for each.
func openFields(r *rand.Rand, s ballast.Setup, n int, width float64) []opened {
	var fields []walk.Field
	for _, f := range walk.Fields(s) {
		if _, ok := walk.Widened(s, f, 1, 2); ok && openable(&s, f.Path) {
			fields = append(fields, f)
		}
	}
	var out []opened
	for _, i := range r.Perm(len(fields)) {
		if len(out) == n {
			break
		}
		out = append(out, opened{fields[i], 1 - width*r.Float64(), 1 + width*r.Float64()})
	}
	return out
}

// at returns the setup with each field at a place between its ends, 0 to 1.
func (o opened) at(s ballast.Setup, place float64) ballast.Setup {
	out, _ := walk.Scaled(s, o.field, o.low+(o.high-o.low)*place)
	return out
}

// ends returns the ends of what a limit allows: -1 where it is broken without
// load, infinity where no load reaches it.
func ends(l ballast.LimitRange) (low, high float64) {
	low, high = float64(l.Mass.Low), float64(l.Mass.High)
	if l.Mass.High >= ballast.MaxLoad {
		high = math.Inf(1)
	}
	switch l.Status {
	case stability.NotChecked:
		return 1, 0 // nothing is between
	case stability.CannotOccur:
		return math.Inf(1), math.Inf(1)
	case stability.ExceededWhenEmpty:
		return -1, -1
	case stability.AtMost:
		return -1, high
	}
	return low, high
}

// Every machine that an envelope leaves open has each of its limits between the
// ends.
func TestEnvelopeHoldsItsMachines(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 2))
	practice := ballast.UsualPractice()
	machines := 0
	var overshoot []float64
	for i := 0; machines < inShort(*openMachines); i++ {
		s, known := openCase(r)
		l, _, inside := openLift(r, known)
		if hasFill(&s) {
			continue
		}
		fields := openFields(r, s, 1+r.IntN(6), 0.15)
		wide := s
		for _, o := range fields {
			wide = o.wide(wide)
		}
		e, err := wide.Envelope(practice)
		if err != nil {
			continue // the ends contradict each other
		}
		got, err := e.Ends(l)
		if err != nil {
			continue
		}
		var most [ballast.NumLimits]float64
		for n := range 150 {
			one := s
			for _, o := range fields {
				place := r.Float64()
				if n%2 == 0 { // corners, where the ends are
					place = math.Round(place)
				}
				one = o.at(one, place)
			}
			k, err := one.Compile()
			if err != nil {
				continue
			}
			c, err := k.Case(inside())
			if err != nil {
				continue
			}
			machines++
			for j, limit := range c.Use().Limits {
				var is float64
				switch limit.Status {
				case stability.NotChecked, stability.AtMost:
					continue
				case stability.ExceededWhenEmpty:
					is = -1
				case stability.CannotOccur:
					is = math.Inf(1)
				default:
					is = float64(limit.Mass)
				}
				most[j] = max(most[j], is)
				tol := 1e-6 * (1 + math.Abs(is))
				if low, high := ends(got[j]); low > is+tol || high < is-tol {
					t.Errorf("case %d, %v: %v (%v) is outside %v to %v", i, limit.Kind, is, limit.Status, low, high)
				}
			}
			if t.Failed() {
				for _, o := range fields {
					t.Log(o.field.Path, o.low, o.high, walk.Value(one, o.field))
				}
				t.Logf("%+v\n%+v", l, s.Machine.Undercarriage)
				return
			}
		}
		for j := range most {
			if _, high := ends(got[j]); most[j] > 50 && !math.IsInf(high, 1) && high > 0 {
				overshoot = append(overshoot, high/most[j]-1)
			}
		}
	}
	large := 0
	for _, o := range overshoot {
		if o > 0.02 {
			large++
		}
	}
	t.Logf("%d machines; the high end of a limit is more than 2 %% above the greatest seen in %.1f %% of %d", machines, 100*float64(large)/float64(len(overshoot)), len(overshoot))
}

// forgettable are the fields that may be left out, for an envelope to take from
// practice or to say that a rating is missing.
var forgettable = map[string]bool{
	"machine.cg.x": true, "machine.cg.z": true, "machine.rearTrack": true, "machine.seat.x": true,
	"loader.pivot.x": true, "loader.pivot.z": true, "loader.arm": true, "loader.lowestPin": true, "loader.highestPin": true, "loader.armMass": true, "loader.armCG": true,
	"loader.frameMass": true, "loader.frameCG.x": true, "loader.selfLeveling": true, "attachment.mass": true, "attachment.cg.ahead": true, "attachment.face": true, "attachment.tine": true,
	"machine.axlePinHeight": true, "machine.axleMass": true, "machine.axleHeight": true,
	"machine.frontTrack": true, "machine.front.radius": true, "machine.rear.radius": true, "machine.seat.z": true, "machine.fuel.cg.z": true,
	"loader.frameCG.z": true, "attachment.cg.above": true, "pieces[].cg.z": true,
	"machine.front.rating": true, "machine.front.wheelRating": true, "machine.front.tire": true, "machine.front.tire.pressure": true,
	"machine.rear.rating": true, "machine.rear.wheelRating": true, "machine.rear.tire": true, "machine.rear.tire.pressure": true,
	"machine.grossRating": true, "machine.ropsRating": true, "machine.hitch.rating": true,
	"loader.couplerRating": true, "loader.manualBallast": true, "loader.breakOut": true, "loader.cylinders": true, "loader.rated": true, "attachment.rating": true,
}

// beyond says where the answer with less known does not hold the one with more
// known, or "".
func beyond(was, is *ballast.Judgment) (why string) {
	complain := func(what string, was, is any) {
		if why == "" {
			why = fmt.Sprintf("%s: %+v with more known, %+v with less", what, was, is)
		}
	}
	holds := func(what string, was, is units.Range[units.Mass]) {
		tol := units.Mass(1e-7 * (1 + math.Abs(float64(was.High))))
		if is.Low > was.Low+tol || is.High < was.High-tol {
			complain(what, was, is)
		}
	}
	verdict := func(what string, was, is ballast.Verdict) {
		// NeedsRatings is no kind of yes: the rating that is missing may be the
		// one that is exceeded.
		if is != was && (is == ballast.NoLimitExceeded || is == ballast.ExceedsLimit) {
			complain(what, was, is)
		}
	}
	holds("usable", was.Usable.Mass, is.Usable.Mass)
	holds("lift", was.Usable.Lift.Mass, is.Usable.Lift.Mass)
	holds("carry", was.Usable.Carry.Mass, is.Usable.Carry.Mass)
	verdict("verdict", was.Verdict, is.Verdict)
	verdict("lift", was.Lift, is.Lift)
	verdict("carry", was.Carry, is.Carry)
	for k := range was.Limits {
		verdict(was.Limits[k].Kind.String(), was.Limits[k].Verdict, is.Limits[k].Verdict)
	}
	for k, w := range was.Usable.Rechecks {
		verdict(w.State.String(), w.Verdict, is.Usable.Rechecks[k].Verdict)
	}
	for _, x := range []struct {
		what    string
		was, is units.Range[units.Mass]
	}{
		{"front axle", was.Axles.Front, is.Axles.Front}, {"rear axle", was.Axles.Rear, is.Axles.Rear},
		{"rear left", was.Axles.RearLeft, is.Axles.RearLeft}, {"front right", was.Axles.FrontRight, is.Axles.FrontRight}, {"total", was.Axles.Total, is.Axles.Total},
	} {
		if x.is != (units.Range[units.Mass]{}) {
			holds(x.what, x.was, x.is)
		}
	}
	return why
}

// Leaving out any one field of a setup gives an answer that holds that of the
// setup, or an error: without a list of exceptions but those of what is not
// knowledge.
func TestLeftOutFieldWidens(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 7))
	allowed := exceptions{list: []exception{
		{"gravity", "zero is the standard gravity, by which scales and ratings are read"},
		{"pieces", "a piece that is not listed is not there, which makes it another machine"},
		{"machine.steered", "a rule that is not chosen is not held"},
		{"pieces[].cg", "a sideways position that is left out is the middle"},
		{"machine.front.tiresPerSide", "one tire a side is the machine's own, and two are another machine"},
		{"machine.rear.tiresPerSide", "the same"},
	}}
	tried := 0
	for i := range 250 {
		s, l := walkedCase(r)
		a, err := s.Envelope(ballast.Practice{})
		if err != nil {
			t.Fatal(err)
		}
		load := units.Mass(1000 * r.Float64())
		was, err := a.Check(l, load)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range walk.Fields(s) {
			if f.Zero || strings.HasPrefix(f.Path, "pieces[].fill.") {
				continue // zero is a value; what a fill leaves open is a matter of package liquid
			}
			b, err := walk.Without(s, f).Envelope(ballast.Practice{})
			if err != nil || !b.Holds(a) {
				continue
			}
			is, err := b.Check(l, load)
			if err != nil {
				continue
			}
			tried++
			if why := beyond(&was, &is); why != "" && !allowed.covers(f.Path) {
				t.Errorf("case %d, without %s: %s", i, f.Path, why)
			}
		}
	}
	t.Logf("%d fields left out", tried)
	allowed.unused(t)
}

// Of two envelopes, one of which leaves open all that the other does and more, the
// answers of the wider hold those of the narrower: whoever knows less is never
// permitted more, nor told more surely that a limit is exceeded.
func TestEnvelopeInclusion(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 3))
	practice := ballast.UsualPractice()
	pairs, forgot := 0, 0
	for i := 0; pairs < inShort(*openPairs) && !t.Failed(); i++ {
		s, known := openCase(r)
		l, wide, _ := openLift(r, known)
		if hasFill(&s) {
			continue
		}
		fields := openFields(r, s, r.IntN(7), 0.1)
		narrow, wider := s, s
		for _, o := range fields {
			narrow = o.wide(narrow)
			wider = opened{o.field, o.low - 0.1*r.Float64(), o.high + 0.1*r.Float64()}.wide(wider)
		}
		for _, f := range walk.Fields(s) {
			if forgettable[f.Path] && r.IntN(6) == 0 {
				wider = walk.Without(wider, f)
				forgot++
			}
		}
		a, err := narrow.Envelope(practice)
		if err != nil {
			continue
		}
		b, err := wider.Envelope(practice)
		if err != nil || !b.Holds(a) {
			continue
		}
		load := units.Mass(1000 * r.Float64())
		was, err := a.Check(l, load)
		if err != nil {
			continue
		}
		is, err := b.Check(wide, load)
		if err != nil {
			continue
		}
		pairs++
		if why := beyond(&was, &is); why != "" {
			t.Errorf("pair %d, %s", i, why)
		}
	}
	t.Logf("%d pairs, %d fields left out", pairs, forgot)
}

// Every machine that an envelope leaves open tips and slides, in its worst
// heading, between the ends of the slope limit.
func TestSlopeLimitHoldsItsMachines(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 4))
	practice := ballast.UsualPractice()
	machines := 0
	for i := 0; i < 150 && !t.Failed(); i++ {
		s, l := walkedCase(r)
		if hasFill(&s) || l.Kind == ballast.BreakOut {
			continue
		}
		l.Slope, l.Heading, l.Braking = 0, 0, 0
		fields := openFields(r, s, 1+r.IntN(8), 0.15)
		wide := s
		for _, o := range fields {
			wide = o.wide(wide)
		}
		e, err := wide.Envelope(practice)
		if err != nil {
			continue
		}
		load := units.Mass(400 * r.Float64())
		ground := ballast.Ground{Friction: units.Range[units.Fraction]{Low: 0.4, High: 0.6}}
		got, err := e.SlopeLimit(t.Context(), l, load, ground)
		if err != nil {
			continue // out of reach at one end
		}
		if got.Status == stability.NotChecked {
			continue
		}
		for n := range 60 {
			one := s
			for _, o := range fields {
				place := r.Float64()
				if n%2 == 0 {
					place = math.Round(place)
				}
				one = o.at(one, place)
			}
			k, err := one.Compile()
			if err != nil {
				continue
			}
			c, err := k.Case(l)
			if err != nil {
				continue
			}
			v, err := c.Vehicle(load)
			if err != nil {
				continue
			}
			m, err := v.Compile()
			if err != nil {
				continue
			}
			machines++
			tip := m.WorstTip().First
			is := tip.Slope()
			switch tip.Status {
			case stability.Exceeded:
				is = 0
			case stability.CannotOccur:
				is = units.Grade(math.Inf(1))
			}
			if is < got.Tip.Low-1e-7 || is > got.Tip.High+1e-3 {
				t.Errorf("case %d: tips at %v, told %v", i, is, got.Tip)
			}
			at := stability.Situation{Heading: units.Angle(r.IntN(72)) * units.Turn / 72, Friction: units.Fraction(0.4 + 0.2*r.Float64())}
			limits, err := m.Limits(at)
			if err != nil {
				t.Fatal(err)
			}
			if s := limits.FirstSlide; (s.Status == stability.Within || s.Status == stability.Binds) && s.Slope() < got.Slide.Low-1e-7 {
				t.Errorf("case %d: slides at %v, told %v", i, s.Slope(), got.Slide)
			}
		}
	}
	t.Logf("%d machines", machines)
	if machines < 1000 {
		t.Error("too few machines")
	}
}

// An envelope answers again and again without allocating.
func TestEnvelopeAllocatesNothing(t *testing.T) {
	s := orchard()
	s.Machine.CG.Z, s.Machine.AxlePinHeight, s.Machine.FrontTrack = units.Input[units.Length]{}, units.Input[units.Length]{}, units.Input[units.Length]{}
	s.Machine.CG.X = units.Between[units.Length](0.7, 0.8)
	e, err := s.Envelope(ballast.Practice{})
	if err != nil {
		t.Fatal(err)
	}
	for _, slope := range []units.Slope{0, 0.1} {
		l := binLift(1.2)
		l.Slope = slope
		if n := testing.AllocsPerRun(20, func() {
			if _, err := e.UsableLoad(l); err != nil {
				t.Fatal(err)
			}
			if _, err := e.Check(l, 300); err != nil {
				t.Fatal(err)
			}
		}); n != 0 {
			t.Errorf("at a slope of %v: %v allocations", slope, n)
		}
	}
}

// The slope limit of a setup of which less is known holds that of one of which
// more is known, and whoever drives is never permitted more.
func TestSlopeLimitInclusion(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 9))
	pairs := 0
	for i := range inShort(500) {
		s, known := openCase(r)
		known.Slope, known.Heading, known.Braking = 0, 0, 0
		if known.Kind == ballast.BreakOut {
			continue
		}
		l, wide, _ := openLift(r, known)
		narrow, wider := s, s
		for _, o := range openFields(r, s, r.IntN(4), 0.1) {
			narrow = o.wide(narrow)
			wider = opened{o.field, o.low - 0.1*r.Float64(), o.high + 0.1*r.Float64()}.wide(wider)
		}
		fields := walk.Fields(s)
		for k := len(fields) - 1; k >= 0; k-- {
			if forgettable[fields[k].Path] && r.IntN(8) == 0 {
				wider = walk.Without(wider, fields[k])
			}
		}
		a, err := narrow.Envelope(ballast.Practice{})
		if err != nil {
			continue
		}
		b, err := wider.Envelope(ballast.Practice{})
		if err != nil || !b.Holds(a) {
			continue
		}
		load := units.Mass(400 * r.Float64())
		was, err := a.SlopeLimit(t.Context(), l, load, ballast.Ground{Friction: units.Range[units.Fraction]{Low: 0.4, High: 0.45}})
		if err != nil {
			continue
		}
		is, err := b.SlopeLimit(t.Context(), wide, load, ballast.Ground{Friction: units.Range[units.Fraction]{Low: 0.35, High: 0.5}})
		if err != nil {
			continue
		}
		if is.Status == stability.NotChecked || was.Status == stability.NotChecked {
			if was.Status == stability.NotChecked && is.Status != stability.NotChecked {
				t.Errorf("pair %d: %v with less known, %v with more", i, is.Status, was.Status)
			}
			continue
		}
		pairs++
		const tol = 1e-7
		for _, x := range []struct {
			what    string
			was, is units.Range[units.Slope]
		}{{"tip", was.Tip, is.Tip}, {"slide", was.Slide, is.Slide}} {
			if x.is.Low > x.was.Low+tol || x.is.High < x.was.High-tol {
				t.Errorf("pair %d, %s: %v with more known, %v with less", i, x.what, x.was, x.is)
			}
		}
		if is.Operator > was.Operator+tol {
			t.Errorf("pair %d: %v with more known, %v with less", i, was.Operator, is.Operator)
		}
	}
	t.Logf("%d pairs", pairs)
	if pairs < 80 {
		t.Error("too few pairs")
	}
}

// A pin may be as far from the pivot as the longest arm that is possible reaches, at a sine of
// 0.98, and no farther: 1.3 m and 0.98 times 1.75 m are 3.015 m.
func TestEnvelopeReach(t *testing.T) {
	s := orchard()
	s.Loader.Arm = units.Between[units.Length](1.7, 1.75)
	s.Loader.HighestPin = units.Is[units.Length](3.01)
	if _, err := s.Envelope(ballast.Practice{}); err != nil {
		t.Error(err)
	}
	s.Loader.HighestPin = units.Is[units.Length](3.02)
	if _, err := s.Envelope(ballast.Practice{}); err == nil || !strings.Contains(err.Error(), "loader.highestPin") {
		t.Errorf("%v", err)
	}
}
