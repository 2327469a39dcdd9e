package ballast_test

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/walk"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

var updateCosts = flag.Bool("update-costs", false, "rewrite fieldcosts.tsv")

// wholeDocuments are documents of the growers' co-operative in which every field of the
// catalog stands somewhere, but those that have the entry of another place.
func wholeDocuments() []ballast.Document {
	length, mass := units.Is[units.Length], units.Is[units.Mass]
	document := func(s ballast.Setup, lifts ...ballast.Lift) ballast.Document {
		return ballast.Document{Version: ballast.DocumentVersion, Setup: s, Lifts: lifts}
	}
	onSlope := func(l ballast.Lift) ballast.Lift {
		l.Name, l.Slope, l.Heading, l.Braking = "bin off the trailer", (4 * units.Degree).Slope(), 70*units.Degree, 0.4
		return l
	}
	// Forks, rated points, practice of its own, a plan and a transport.
	a := document(orchard(), onSlope(binLift(1)), binLift(0.5))
	a.Lifts[1].Kind, a.Lifts[1].Tires = ballast.CarryLow, ballast.Allowance{Kind: ballast.LoaderService, PressureRaised: true, ShortCycles: true, LowTorque: true}
	p := ballast.UsualPractice()
	p.LoadAbove.Low, p.LoadBeyond.Low = 0.1, 0.05 // a zero is not given
	a.Practice = &p
	plan := a
	a.Lifts = append(a.Lifts, ballast.Lift{Kind: ballast.Hold, Height: 0.9, Datum: ballast.TineHeight, Load: bin(), Speed: 1, Basis: ballast.Basis{Kind: ballast.BasisTippingFraction, Fraction: 0.5}})
	m := &a.Setup.Machine
	a.Transport = &ballast.Transport{FrontLoad: mass(800), RearLoad: mass(1000), Wheelbase: length(1.75), Hitch: m.Hitch,
		Ahead: ballast.Mounted{Mass: mass(100), Distance: length(0.6)}, Behind: ballast.Mounted{Mass: mass(400), Distance: length(0.6)},
		Steered: m.Steered, Front: m.Front, Rear: m.Rear, GrossRating: mass(3400), Speed: 8}
	a.Transport.Rear.Tire = a.Transport.Front.Tire
	a.Transport.Front.TiresPerSide, a.Transport.Rear.TiresPerSide = 2, 2

	// A bare machine and what could be bought for it.
	plan.Setup.Pieces, plan.Lifts = nil, nil
	plan.Setup.Machine.Rear.Tire.LoadIndex, plan.Setup.Machine.Front.Tire.LoadIndex = 140, 140
	plan.Setup.Machine.Front.Tire.Table, plan.Setup.Machine.Front.Tire.Pressure = nil, units.Input[units.GaugePressure]{}
	plan.Setup.Machine.Front.Rating, plan.Setup.Machine.Rear.Rating, plan.Setup.Machine.Front.WheelRating, plan.Setup.Machine.Rear.WheelRating = mass(4000), mass(4000), mass(3000), mass(3000)
	plan.Setup.Machine.GrossRating, plan.Setup.Machine.ROPSRating = mass(6000), mass(6000)
	lift := binLift(0.8)
	lift.Load.Mass = 300
	plan.Needs = &ballast.Needs{Goal: ballast.LeastCost, Work: 5, List: []ballast.Need{
		{Name: "bins", Kind: ballast.NeedLift, Hitch: ballast.Raised, Lift: &lift},
		{Kind: ballast.NeedSteeredShare, Hitch: ballast.Raised, State: ballast.LoaderOn, Base: ballast.SteeredOfUnladen, Share: units.Range[units.Fraction]{Low: 0.2}},
		{Kind: ballast.NeedAxleSplit, Hitch: ballast.Resting, State: ballast.LoaderOn, Share: units.Range[units.Fraction]{Low: 0.2, High: 0.9}},
		{Kind: ballast.NeedMass, Hitch: ballast.Resting, Mass: units.Range[units.Mass]{Low: 1700, High: 4000}},
	}}
	plan.Stock = &ballast.Stock{
		Mounts: []ballast.Mount{{Name: "wheels", Slots: 4, Limit: 300}},
		Items: []ballast.Item{
			{Name: "weights", Piece: ballast.Piece{Name: "pair", Kind: ballast.RearWheelWeight, Mass: mass(70)}, Count: 3, Mount: "wheels", Slots: 1, Cents: 26000},
			{Name: "box", Piece: ballast.Piece{Kind: ballast.HitchBox, Mass: mass(90), CG: ballast.Position{X: length(-1.15), Y: length(0.01), Z: length(0.6)}}, Range: &ballast.MassRange{Most: 400, Step: 10, Cents: 100}, Cents: 40000},
			{Name: "brine", Piece: ballast.Piece{Kind: ballast.RearLiquid}, Steps: []ballast.Step{{Name: "half", Mass: 150, Depth: 0.1, RollRise: 0.02, Cents: 9000}}},
		},
		Options: []ballast.Option{{Name: "wide", RearTrack: 1.5, FrontTrack: 1.3, RearTiresPerSide: 1, FrontTiresPerSide: 1, Group: "track", Cents: 1000,
			Pieces: []ballast.Piece{{Kind: ballast.RearWheelWeight, Mass: mass(20)}}}},
	}
	steps := plan
	steps.Stock = &ballast.Stock{Items: []ballast.Item{
		{Name: "box of concrete", Piece: ballast.Piece{Kind: ballast.HitchBox, Mass: mass(90), CG: ballast.Position{X: length(-1.15), Z: length(0.6)}}, Steps: []ballast.Step{{Density: 2300, Volume: 0.2}}},
		{Name: "water", Piece: ballast.Piece{Kind: ballast.RearLiquid, Fill: fillOf(liquid.Level{})}, Steps: []ballast.Step{{Level: liquid.ValveAt(12)}}},
	}}

	// Cylinders, axle loads from scales, a rigid machine.
	b := document(orchard(), onSlope(binLift(1.2)))
	bm := &b.Setup.Machine
	bm.FrontLoad, bm.RearLoad, bm.CG.X, bm.MassIncludes = mass(650), mass(850), units.Input[units.Length]{}, ballast.MassOperating
	bm.Undercarriage, bm.AxlePinHeight, bm.StopAngle, bm.AxleMass, bm.AxleHeight = stability.Rigid, units.Input[units.Length]{}, units.Input[units.Angle]{}, units.Input[units.Mass]{}, units.Input[units.Length]{}
	bm.Rear.Tire = bm.Front.Tire
	bl := *b.Setup.Loader
	bl.Rated, bl.Pivot.Y = nil, length(0)
	bl.Cylinders = &ballast.Cylinders{Base: ballast.Offset{Ahead: length(0.06), Above: length(-0.375)}, RodRadius: length(0.95), RodAngle: units.Is(2 * units.Degree), Bore: length(0.055), Count: 2,
		Pressure: units.Is[units.GaugePressure](15e6), Friction: units.Is[units.Fraction](0.08)}
	bl.ManualBallast = ballast.ManualBallast{Kind: ballast.ManualBallastDemanded, Hitch: 200, RearWheels: 100}
	b.Setup.Loader = &bl

	// It goes over the drain in the yard, and so does one with a front axle on a pin.
	bm.Motion = rolling().Machine.Motion
	b.Travels = []ballast.Travel{overDrain()}
	over := document(rolling())
	way := overDrain()
	way.Lift.Height, way.Obstacle.Height = 0.5, 0.06
	way.Drive, way.Deceleration, way.Slope, way.Friction = stability.BrakeRear, 1, (2 * units.Degree).Slope(), 0.6
	over.Travels = []ballast.Travel{way}

	// A tricycle machine with a bucket.
	c := document(orchard(), ballast.Lift{Kind: ballast.BreakOut, Speed: 1, Factor: 1.2, Basis: ballast.Basis{Kind: ballast.BasisRearShare, Fraction: 0.2}},
		ballast.Lift{Height: 0.6, Datum: ballast.EdgeHeight, Factor: 1.2, Basis: ballast.Basis{Kind: ballast.BasisNoWheelUnloaded}, Load: ballast.Load{Name: "sand", Density: 1500, Volume: 0.2, Center: length(0.02), Above: length(0.1)}})
	c.Setup.Machine.Undercarriage, c.Setup.Machine.Front.Single = stability.Tricycle, true
	c.Setup.Attachment = &ballast.Attachment{Name: "bucket", Kind: ballast.Bucket, Mass: mass(120), CG: ballast.Offset{Ahead: length(0.3), Above: length(0.05)}, Face: length(0.4),
		Edge: ballast.Offset{Ahead: length(0.8), Above: length(-0.3)}, Volume: units.Is(250 * units.Liter), Rating: mass(900)}

	// Tires filled in every way that a level can be given.
	out := []ballast.Document{a, plan, steps, b, c, over}
	for i, level := range []liquid.Level{liquid.ValveAt(11), liquid.ValveAtAngle(40 * units.Degree), liquid.HeightAt(0.2), liquid.FractionOf(0.7), liquid.VolumeOf(0.15), liquid.MassOf(150), liquid.HeadAt(0.3, 6)} {
		d := document(orchard(), onSlope(binLift(1)))
		d.Setup.Pieces = []ballast.Piece{{Name: "fill", Kind: ballast.RearLiquid, Fill: fillOf(level), Tires: 2}}
		d.Setup.Machine.Rear.Radius = length(0.6)
		f := d.Setup.Pieces[0].Fill
		switch i {
		case 1:
			f.Fluid = liquid.Fluid{Kind: liquid.OtherFluid, Density: 1150, DensitySpread: 0.02, Freezing: 255, Traits: liquid.CorrosiveToSteel}
		case 2:
			f.Tire.Deflection, f.Tire.Unloaded = 0, true
			f.Tire.Known[0].Deflection, f.Tire.Known[0].Unloaded, f.Tire.Known[0].Disputed = 0, true, true
		case 3:
			d.Setup.Pieces[0].Unheld = true
		}
		out = append(out, d)
	}
	return out
}

// The whole documents are committed, so that other modules test what they read with them.
func TestWholeDocuments(t *testing.T) {
	var b bytes.Buffer
	for _, d := range wholeDocuments() {
		text, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := ballast.Decode(bytes.NewReader(text)); err != nil {
			t.Errorf("%v\n%s", err, text)
		}
		b.Write(append(text, '\n'))
	}
	const name = "testdata/whole.jsonl"
	if *updateCosts {
		if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if want, err := os.ReadFile(name); err != nil || !bytes.Equal(want, b.Bytes()) {
		t.Errorf("%s is not what the test makes: go test ./ballast -run TestWholeDocuments -update-costs; %v", name, err)
	}
}

// fillOf is a fill of a tire of which every dimension was measured.
func fillOf(l liquid.Level) *liquid.Fill {
	t, err := liquid.ParseTire("12.4-24")
	if err != nil {
		panic(err)
	}
	for _, d := range []*liquid.Dimension{&t.SectionWidth, &t.OverallDiameter, &t.RimDiameter, &t.RimWidth, &t.LugDepth, &t.Undertread, &t.Sidewall, &t.WellDepth, &t.WellWidth, &t.ValveRadius} {
		d.Origin, d.Spread, d.Moved = liquid.Corrected, 0.002, 0.001
	}
	t.Crown, t.CrownSpread, t.CrownMoved, t.Deflection = 2.4, 0.2, 0.05, 0.03
	t.Known = []liquid.KnownVolume{{Level: liquid.ValveAt(12), Volume: 0.17, Spread: 0.01, Deflection: 0.02}}
	return &liquid.Fill{Tire: t, Fluid: liquid.Brine(liquid.CalciumChloride, 0.2), Level: l, Temperature: units.Celsius(10)}
}

// validDocuments are valid documents in which many fields are left out.
func validDocuments() (out []ballast.Document) {
	r := rand.New(rand.NewPCG(18, 2))
	for range 60 {
		s, l := randomCase(r)
		out = append(out, ballast.Document{Version: ballast.DocumentVersion, Setup: s, Lifts: []ballast.Lift{l}})
	}
	s := orchard()
	s.Machine.Front.Tire.LoadIndex, s.Machine.Front.Tire.SpeedSymbol = 0, liquid.SpeedUnknown
	s.Machine.Fuel, s.Machine.Steered, s.Loader, s.Attachment, s.Pieces = ballast.Fuel{State: ballast.FuelAsStated}, ballast.SteeredRule{}, nil, nil, nil
	out = append(out, ballast.Document{Version: ballast.DocumentVersion, Setup: s, Transport: &ballast.Transport{FrontLoad: units.Is[units.Mass](700), RearLoad: units.Is[units.Mass](900), Wheelbase: units.Is[units.Length](1.75)}})
	bare := orchard()
	bare.Machine.Mass, bare.Machine.CG, bare.Machine.FrontLoad, bare.Machine.RearLoad = units.Input[units.Mass]{}, ballast.Position{}, units.Is[units.Mass](700), units.Is[units.Mass](800)
	bare.Machine.Rear.Tire = ballast.TireRating{Table: bare.Machine.Front.Tire.Table}
	l := *bare.Loader
	l.Rated = []ballast.RatedPoint{{PinHeight: 0.5, AtPin: 900}}
	bare.Loader, bare.Attachment = &l, &ballast.Attachment{Kind: ballast.Bucket}
	out = append(out, ballast.Document{Version: ballast.DocumentVersion, Setup: bare, Lifts: []ballast.Lift{{Kind: ballast.BreakOut}}})
	out = append(out, wholeDocuments()...)
	return slices.DeleteFunc(out, func(d ballast.Document) bool { return d.Validate() != nil })
}

// withAnswers is all that is answered of a document, by the answer: each limit on its own.
type withAnswers struct {
	limits                                   [ballast.NumLimits]string
	missing                                  ballast.LimitSet
	slope, rearLift, transport, plan, travel string
	assumed                                  int
	badSetup, badTransport                   bool
	err                                      error
}

func answered(d ballast.Document) (a withAnswers) {
	if err := d.Validate(); err != nil {
		for _, e := range units.Fields(err) {
			switch {
			case strings.HasPrefix(e.Path, "transport"):
				a.badTransport = true
			default:
				a.badSetup = true
			}
		}
	}
	if !a.badTransport && d.Transport != nil {
		t, err := d.Transport.Check()
		a.badTransport = err != nil
		a.transport = fmt.Sprintf("%.9g %v", t.Axles, t.Missing)
		for _, l := range t.Limits {
			a.transport += fmt.Sprintf("%v %.9g", l.Verdict, l.Allowed)
		}
	}
	if a.badSetup {
		return a
	}
	if d.Needs != nil && d.Stock != nil {
		p, err := ballast.Plan(context.Background(), d.Setup, *d.Needs, *d.Stock)
		a.badSetup = err != nil
		a.plan = fmt.Sprintf("%v %.9g %d %v", p.Status, float64(p.Best.Mass), p.Best.Cents, p.Proof)
	}
	e, err := d.Envelope()
	if err != nil {
		a.badSetup = true
		return a
	}
	a.assumed = len(e.Assumed())
	for _, way := range d.Travels {
		u, err := e.Travel(context.Background(), way)
		if err != nil {
			a.badSetup, a.err = true, err
			return a
		}
		a.travel += fmt.Sprintf("%.7g %.7g %v %v", u.IfRated, u.Obstacle, u.Governs, u.Found)
		a.assumed += len(u.Assumed)
	}
	for _, l := range d.Lifts {
		u, err := e.UsableLoad(l)
		if err != nil {
			a.badSetup, a.err = true, err
			return a
		}
		a.missing |= u.Missing
		for k, limit := range u.Limits {
			a.limits[k] += fmt.Sprintf("%v %.9g;", limit.Status, limit.Mass)
			for _, again := range u.Rechecks {
				mask := ballast.LimitSet(1) << k
				a.limits[k] += fmt.Sprint(again.Exceeded&mask, again.Open&mask)
			}
		}
		if load := l.Load.MassOn(*d.Setup.Attachment); load > 0 {
			check, err := e.Check(l, load)
			if err != nil {
				a.badSetup, a.err = true, err
				return a
			}
			for k := range check.Limits {
				a.limits[k] += fmt.Sprintf("%v;", check.Limits[k].Verdict)
			}
		}
		r, err := e.RearLift(context.Background(), l)
		if err != nil {
			r.Status = 99
		}
		a.rearLift += fmt.Sprintf("%v %.9g", r.Status, r.Ratio)
		s, err := e.SlopeLimit(context.Background(), l, l.Load.MassOn(*d.Setup.Attachment), ballast.Ground{Friction: units.Range[units.Fraction]{Low: 0.4, High: 0.6}})
		a.slope += fmt.Sprintf("%v %.7g %.7g %v", s.Status, s.Tip, s.Slide, err != nil)
	}
	return a
}

// A fieldCost is what it costs to leave a field out.
type fieldCost struct {
	given, refused bool // somewhere it may be left out, somewhere not
	absence        ballast.Absence
	limits         ballast.LimitSet
	answers        ballast.AnswerSet
}

// What it costs to leave a field out is what happens: each is left out of documents that have
// it, and the answers are compared.
func TestFieldCosts(t *testing.T) {
	if testing.Short() {
		t.Skip("many answers")
	}
	costs := map[string]*fieldCost{}
	for i, d := range wholeDocuments() {
		was := answered(d)
		if was.badSetup || was.badTransport {
			_, err := d.Envelope()
			t.Fatalf("document %d: %v %v %v", i, d.Validate(), err, was.err)
		}
		for _, f := range walk.Fields(d) {
			if i == 5 && !strings.HasPrefix(f.Path, "setup.machine.motion") && !strings.HasPrefix(f.Path, "travels") {
				continue // a document of a travel
			}
			if i > 5 && !strings.HasPrefix(f.Path, "setup.pieces[].") {
				continue // documents of fills
			}
			c := costs[f.Path]
			if c == nil {
				c = &fieldCost{}
				costs[f.Path] = c
			}
			is := answered(walk.Without(d, f))
			// Where it cannot be left out alone, the whole that it is part of is.
			whole := f.Path
			for is.badSetup || is.badTransport {
				c.refused = true
				if whole = whole[:max(0, strings.LastIndexByte(whole, '.'))]; whole == "" {
					break
				}
				whole = strings.TrimSuffix(whole, "[]")
				for _, g := range walk.Fields(d) {
					if g.Path == whole {
						is = answered(walk.Without(d, g))
						break
					}
				}
			}
			c.add(f.Path, &d, &was, &is)
		}
	}
	for _, d := range validDocuments() {
		has := map[string]bool{}
		for _, f := range walk.Fields(d) {
			has[f.Path] = true
		}
		for path, c := range costs {
			group := strings.TrimSuffix(path[:max(0, strings.LastIndexByte(path, '.'))], "[]")
			c.given = c.given || !has[path] && (group == "" || has[group])
		}
	}
	var b bytes.Buffer
	for _, f := range ballast.Fields() {
		c := costs[f.Path]
		if c == nil {
			continue
		}
		if c.refused {
			c.absence = ballast.RequiredInCases
			if !c.given {
				c.absence = ballast.Required
			}
		}
		fmt.Fprintf(&b, "%s\t%v\t%v\t%v\n", f.Path, c.absence, c.limits, c.answers)
	}
	if *updateCosts {
		if err := os.WriteFile("fieldcosts.tsv", b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile("fieldcosts.tsv")
	if err != nil {
		t.Fatal(err)
	}
	have, is := strings.Split(string(want), "\n"), strings.Split(b.String(), "\n")
	for _, line := range is {
		if !slices.Contains(have, line) {
			t.Errorf("%q is not in fieldcosts.tsv: go test ./ballast -run TestFieldCosts -update-costs", line)
		}
	}
	for _, line := range have {
		if !slices.Contains(is, line) {
			t.Errorf("%q in fieldcosts.tsv is no longer so: go test ./ballast -run TestFieldCosts -update-costs", line)
		}
	}
}

// add adds what happened when a field was left out.
func (c *fieldCost) add(path string, d *ballast.Document, was, is *withAnswers) {
	if is.badTransport {
		c.answers |= ballast.AnswerTransport
		return
	}
	if is.badSetup {
		switch {
		case strings.HasPrefix(path, "needs"), strings.HasPrefix(path, "stock"):
			c.answers |= ballast.AnswerPlan
			return
		case strings.HasPrefix(path, "travels"):
			c.answers |= ballast.AnswerTravel
			return
		case d.Needs != nil:
			c.answers |= ballast.AnswerPlan
		}
		if len(d.Travels) > 0 {
			c.answers |= ballast.AnswerTravel
		}
		if len(d.Lifts) > 0 {
			c.answers |= ballast.AnswerLoad | ballast.AnswerSlope | ballast.AnswerRearLift
			for k := range was.limits {
				c.limits |= 1 << k
			}
		}
		return
	}
	c.given = c.given || !c.refused
	for k := range was.limits {
		if was.limits[k] != is.limits[k] {
			c.limits |= 1 << k
			c.answers |= ballast.AnswerLoad
		}
	}
	for _, one := range []struct {
		answer  ballast.AnswerSet
		was, is string
	}{{ballast.AnswerSlope, was.slope, is.slope}, {ballast.AnswerRearLift, was.rearLift, is.rearLift}, {ballast.AnswerTransport, was.transport, is.transport}, {ballast.AnswerPlan, was.plan, is.plan}, {ballast.AnswerTravel, was.travel, is.travel}} {
		if one.was != one.is {
			c.answers |= one.answer
		}
	}
	switch {
	case c.refused:
	case is.missing&^was.missing != 0:
		c.absence = ballast.NeedsRating
	case is.assumed > was.assumed:
		c.absence = max(c.absence, ballast.TakesPractice)
	}
}
