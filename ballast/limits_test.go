package ballast_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// handDemand is what one condition asks and what stands against it, as straight
// lines over the load: up0 + up1 m over down0 + down1 m is what is used.
type handDemand struct{ up0, up1, down0, down1 float64 }

func (d handDemand) used(m float64) float64 {
	up, down := d.up0+d.up1*m, d.down0+d.down1*m
	switch {
	case down > 0:
		return max(0, min(1e6, up/down))
	case up > down:
		return 1e6
	}
	return 0
}

// allows returns the load at which it is all used, infinite if none is.
func (d handDemand) allows() float64 {
	if grows := d.up1 - d.down1; grows > 0 {
		return (d.down0 - d.up0) / grows
	}
	return math.Inf(1)
}

// A bench has every part of a setup put on it one by one, as package
// stability takes parts, and reads each wheel row: the conditions of a case
// written out from free bodies and not from sums.
type bench struct {
	s  ballast.Setup
	l  ballast.Lift
	in stability.Influence
	g  float64
}

type handRows [stability.NumRows]float64 // kg

func newBench(t *testing.T, s ballast.Setup, l ballast.Lift) *bench {
	t.Helper()
	m := &s.Machine
	under := stability.Undercarriage{Kind: m.Undercarriage, Wheelbase: m.Wheelbase.Value(), RearTrack: m.RearTrack.Value(), FrontTrack: m.FrontTrack.Value(),
		PinHeight: m.AxlePinHeight.Value(), StopAngle: m.StopAngle.Value(), RearAxleHeight: m.Rear.Radius.Value()}
	in, err := under.Influence(stability.Situation{Slope: l.Slope, Heading: l.Heading, Acceleration: -l.Braking}, s.Gravity)
	if err != nil {
		t.Fatal(err)
	}
	return &bench{s, l, in, float64(s.Gravity)}
}

// add puts a mass at a point on the rows; negative takes it off.
func (b *bench) add(rows *handRows, onAxle bool, mass units.Mass, at stability.Point, depth, rise units.Length) {
	p := stability.Part{Mass: mass, CG: at, PitchRise: depth, RollRise: rise}
	of := b.in.Of(p)
	if onAxle {
		of = b.in.OfAxle(p)
	}
	for i := range rows {
		rows[i] += float64(of[i]) / b.g
	}
}

// fixed returns the rows of what stays where it is, body and pivoting axle
// apart, its mass, and that of the machine without ballast and loader.
func (b *bench) fixed(loader bool) (body, axle handRows, mass, unladen units.Mass) {
	m := &b.s.Machine
	pivots := m.Undercarriage == stability.PivotingFront
	put := func(onAxle bool, kg units.Mass, at stability.Point, depth, rise units.Length) {
		if onAxle {
			b.add(&axle, true, kg, at, depth, rise)
		} else {
			b.add(&body, false, kg, at, depth, rise)
		}
		mass += kg
	}
	put(false, m.Mass.Value(), m.CG.Point(), 0, 0)
	if pivots {
		at := stability.Point{X: m.Wheelbase.Value(), Z: m.AxleHeight.Value()}
		put(false, -m.AxleMass.Value(), at, 0, 0)
		put(true, m.AxleMass.Value(), at, 0, 0)
	}
	put(false, 98, m.Seat.Point(), 0, 0)            // a heavy operator
	put(false, -0.020*835, m.Fuel.CG.Point(), 0, 0) // half of a full tank of 40 l is missing
	unladen = mass
	for i := range b.s.Pieces {
		p := &b.s.Pieces[i]
		kg := p.Mass.Value()
		switch p.State {
		case ballast.Resting:
			kg = 0
		case ballast.Floating:
			kg *= units.Mass(p.Carried)
		}
		at := p.CG.Point()
		switch p.Kind {
		case ballast.RearLiquid, ballast.RearWheelWeight:
			at.Z = m.Rear.Radius.Value() - p.Depth.Value()
		case ballast.FrontLiquid, ballast.FrontWheelWeight:
			at.X, at.Z = m.Wheelbase.Value(), m.Front.Radius.Value()-p.Depth.Value()
		}
		put(pivots && (p.Kind == ballast.FrontLiquid || p.Kind == ballast.FrontWheelWeight), kg, at, p.Depth.Value(), p.RollRise.Value())
	}
	if loader {
		put(false, b.s.Loader.FrameMass.Value(), b.s.Loader.FrameCG.Point(), 0, 0)
	}
	return body, axle, mass, unladen
}

// moving returns the rows of arms and attachment and of a kilogram of load
// with the pin so high, and the mass of arms and attachment.
func (b *bench) moving(pin float64) (arms, load handRows, mass units.Mass) {
	lo, at := b.s.Loader, b.s.Attachment
	sin := (pin - float64(lo.Pivot.Z.Value())) / float64(lo.Arm.Value())
	cos := math.Sqrt(1 - sin*sin)
	along := func(r units.Length) stability.Point {
		return stability.Point{X: lo.Pivot.X.Value() + r*units.Length(cos), Z: lo.Pivot.Z.Value() + r*units.Length(sin)}
	}
	tip := along(lo.Arm.Value())
	from := func(o ballast.Offset) stability.Point {
		return stability.Point{X: tip.X + o.Ahead.Value(), Y: 0, Z: tip.Z + o.Above.Value()}
	}
	b.add(&arms, false, lo.ArmMass.Value(), along(lo.ArmCG.Value()), 0, 0)
	b.add(&arms, false, at.Mass.Value(), from(at.CG), 0, 0)
	held := at.Face.Value() + b.l.Load.Center.Value()
	if at.Kind == ballast.Forks && b.l.Load.Center.Value() == 0 {
		held = at.Face.Value() + at.LoadCenter.Value()
	}
	where := from(ballast.Offset{Ahead: units.Is(held), Above: units.Is(b.l.Load.Above.Value() + map[ballast.AttachmentKind]units.Length{ballast.Forks: at.Tine.Value(), ballast.Bucket: at.Edge.Above.Value()}[at.Kind])})
	if b.l.Kind == ballast.BreakOut {
		where = from(at.Edge)
	}
	where.Y = b.l.Load.Sideways.Value()
	b.add(&load, false, 1, where, 0, 0)
	return arms, load, lo.ArmMass.Value() + at.Mass.Value()
}

// demands returns every condition of every limit in one state of the machine:
// the pin so high with a load, or the loader off. What a load does to the
// loader itself is left out.
func (b *bench) demands(pin float64, loader bool) map[ballast.LimitKind][]handDemand {
	m := &b.s.Machine
	out := map[ballast.LimitKind][]handDemand{}
	fixed, axle, mass, unladen := b.fixed(loader)
	var arms, load handRows
	perLoad := 1.0
	if loader {
		var moving units.Mass
		arms, load, moving = b.moving(pin)
		mass += moving
	}
	if !loader || b.l.Kind == ballast.BreakOut {
		perLoad = 0
	}
	if !loader {
		// The load stands at the origin of nothing here; no load is asked for.
		load = handRows{}
	}
	var all handRows
	for i := range all {
		all[i] = fixed[i] + axle[i] + arms[i]
	}
	most := func(kind ballast.LimitKind, v0, v1 float64, rating units.Mass) {
		if rating > 0 {
			out[kind] = append(out[kind], handDemand{v0, v1, float64(rating), 0})
		}
	}
	const front, rear = stability.RowFrontAxle, stability.RowRearAxle
	sides := func(a *ballast.Axle, service float64, tire, rim ballast.LimitKind, rows ...stability.Row) {
		single := []float64{1, 1, 2 * 0.88, 3 * 0.82}[a.TiresPerSide]
		for _, r := range rows {
			most(tire, all[r], load[r], a.Tire.LoadIndex.Mass()*units.Mass(single*service))
			most(rim, all[r], load[r], a.WheelRating.Value())
		}
	}
	most(ballast.LimitFrontAxle, all[front], load[front], m.Front.Rating.Value())
	most(ballast.LimitRearAxle, all[rear], load[rear], m.Rear.Rating.Value())
	frontWheels := []stability.Row{stability.RowFrontLeft, stability.RowFrontRight}
	if m.Undercarriage == stability.Tricycle {
		frontWheels = []stability.Row{front} // one wheel place carries it all
	}
	sides(&m.Front, 1, ballast.LimitFrontTire, ballast.LimitFrontRim, frontWheels...)
	sides(&m.Rear, 1, ballast.LimitRearTire, ballast.LimitRearRim, stability.RowRearLeft, stability.RowRearRight)
	most(ballast.LimitGross, float64(mass), perLoad, m.GrossRating.Value())
	most(ballast.LimitROPS, float64(mass), perLoad, m.ROPSRating.Value())
	hitch, any := 0.0, false
	for i := range b.s.Pieces {
		p := &b.s.Pieces[i]
		if kg := map[ballast.HitchState]float64{ballast.Raised: 1, ballast.Floating: float64(p.Carried)}[p.State] * float64(p.Mass.Value()); p.Kind.OnHitch() {
			hitch += kg * max(1, float64(m.Hitch.X.Value()-p.CG.X.Value())/0.61)
			any = any || kg > 0
		}
	}
	if most(ballast.LimitHitch, hitch, 0, m.Hitch.Rating.Value()); !any {
		out[ballast.LimitHitch] = []handDemand{}
	}
	// keep asks that a row of the machine is at least as much as is needed:
	// what the load takes off the row counts as asked for.
	keep := func(kind ballast.LimitKind, need0, need1, have0, have1 float64) {
		out[kind] = append(out[kind], handDemand{need0, need1 + max(0, -have1), have0, max(0, have1)})
	}
	share := float64(m.Steered.Share)
	switch m.Steered.Base {
	case ballast.SteeredOfUnladen:
		keep(ballast.LimitSteered, share*float64(unladen), 0, all[front], load[front])
	case ballast.SteeredOfLaden:
		keep(ballast.LimitSteered, share*(all[front]+all[rear]), share*(load[front]+load[rear]), all[front], load[front])
	}
	// parts holds a row positive: every part that lifts against every part
	// that holds down, what moves times a factor.
	parts := func(kind ballast.LimitKind, r stability.Row, factor float64) {
		d := handDemand{}
		for _, v := range []float64{fixed[r], axle[r], factor * arms[r]} {
			d.up0 += max(0, -v)
			d.down0 += max(0, v)
		}
		d.up1, d.down1 = max(0, -factor*load[r]), max(0, factor*load[r])
		out[kind] = append(out[kind], d)
	}
	both := func(kind ballast.LimitKind, r stability.Row) {
		parts(kind, r, 1)
		parts(kind, r, b.l.Factor)
	}
	f := float64(b.l.Basis.Fraction)
	tipping := map[ballast.LimitKind][]stability.Row{ballast.LimitTipping: {rear}, ballast.LimitRearWheel: liftRows(m.Undercarriage)}
	for kind, rows := range tipping {
		for _, r := range rows {
			switch b.l.Basis.Kind {
			case ballast.BasisRearShare:
				part := f
				if kind == ballast.LimitRearWheel {
					part /= 2
				}
				out[kind] = append(out[kind], handDemand{part * (all[front] + all[rear]), part*(load[front]+load[rear]) - load[r], all[r], 0})
			case ballast.BasisTippingFraction:
				if load[r] < 0 {
					out[kind] = append(out[kind], handDemand{0, -load[r], f * all[r], 0})
				} else {
					parts(kind, r, 1)
				}
			case ballast.BasisNoWheelUnloaded:
				both(kind, r)
			}
		}
	}
	both(ballast.LimitFrontWheel, stability.RowFrontLeft)
	both(ballast.LimitFrontWheel, stability.RowFrontRight)
	parts(ballast.LimitRearward, front, 1)
	return out
}

// liftRows are the rows in which a rear wheel lifts. On a rigid axle the lift
// rows mean both wheels of a side, and one of them may go first.
func liftRows(k stability.UndercarriageKind) []stability.Row {
	rows := []stability.Row{stability.RowLiftLeft, stability.RowLiftRight}
	if k == stability.Rigid {
		rows = append(rows, stability.RowRearLeft, stability.RowRearRight)
	}
	return rows
}

// limitsCase is a random case with every field at work.
func limitsCase(r *rand.Rand) (ballast.Setup, ballast.Lift) {
	s, l := randomCase(r)
	vary := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	maybe := func(v float64) units.Mass { return units.Mass(v * math.Ceil(r.Float64()-0.2)) }
	m := &s.Machine
	m.Front.Tire = ballast.TireRating{LoadIndex: liquid.LoadIndex(100 + r.IntN(30)), SpeedSymbol: liquid.SpeedA8}
	m.Front.TiresPerSide, m.Rear.TiresPerSide = 1+r.IntN(3), r.IntN(3)
	m.Front.Rating, m.Rear.Rating = known(maybe(vary(1200, 2500))), known(maybe(vary(1500, 2500)))
	m.Front.WheelRating, m.Rear.WheelRating = known(maybe(vary(600, 1300))), known(maybe(vary(700, 1300)))
	m.GrossRating, m.ROPSRating, m.Hitch.Rating = known(maybe(vary(2500, 5000))), known(maybe(vary(2500, 5000))), known(maybe(vary(300, 900)))
	if m.Steered.Base != ballast.SteeredUnknown {
		m.Steered.Share = units.Fraction(vary(0.1, 0.3))
	}
	for i := range s.Pieces {
		p := &s.Pieces[i]
		p.CG.Y = units.Is(units.Length(vary(-0.1, 0.1)))
		if p.State == ballast.Floating && r.IntN(2) == 0 {
			p.State, p.Carried = ballast.Resting, 0
		}
	}
	if r.IntN(2) == 0 {
		s.Pieces = append(s.Pieces, ballast.Piece{Kind: ballast.FrontLiquid, Mass: units.Is(units.Mass(vary(20, 90))), CG: ballast.Position{Y: units.Is(units.Length(vary(-0.05, 0.05)))}, Depth: units.Is[units.Length](0.06), RollRise: units.Is[units.Length](0.015)})
	}
	switch r.IntN(5) {
	case 0, 1:
		s.Attachment = &ballast.Attachment{Kind: ballast.Bucket, Mass: units.Is[units.Mass](130), CG: ballast.Offset{Ahead: units.Is[units.Length](0.3), Above: units.Is[units.Length](0.1)}, Face: units.Is[units.Length](0.45), Edge: ballast.Offset{Ahead: units.Is[units.Length](0.8), Above: units.Is[units.Length](-0.19)}}
		l.Datum, l.Load.Center = ballast.EdgeHeight, units.Is(units.Length(vary(-0.1, 0.1)))
		if r.IntN(2) == 0 {
			l.Kind, l.Height, l.Datum = ballast.BreakOut, 0, ballast.DatumUnknown
		}
	case 2:
		s.Attachment = &ballast.Attachment{Kind: ballast.BarePin}
		l.Datum, l.Height, l.Load.Above, l.Load.Center = ballast.PinHeight, l.Height+0.2, units.Input[units.Length]{}, units.Input[units.Length]{}
	case 3:
		l.Datum, l.Load.Center = ballast.LoadHeight, units.Input[units.Length]{}
		l.Height += 0.5
	}
	if l.Kind == ballast.Hold && r.IntN(4) == 0 {
		// A short loader high up on a slope that is far too steep: the load
		// may take weight off the front axle.
		lo := *s.Loader
		lo.Arm, lo.ArmCG, lo.Rated, lo.Cylinders = units.Is[units.Length](0.9), units.Is[units.Length](0.5), nil, nil
		lo.Pivot.X, lo.Pivot.Z, lo.LowestPin, lo.HighestPin = units.Is[units.Length](0.5), units.Is[units.Length](1.6), units.Is[units.Length](0.8), units.Is[units.Length](2.4)
		s.Loader = &lo
		l.Height, l.Datum = units.Length(vary(1.6, 2.4)), ballast.PinHeight
		l.Slope, l.Heading = units.Slope(vary(0.4, 0.78)), units.Angle(vary(-0.5, 0.5))
	}
	l.Speed, l.Factor = 2, vary(1.1, 2)
	if l.Basis.Kind == ballast.BasisRearShare {
		l.Basis.Fraction = units.Fraction(vary(0.1, 0.3))
	}
	return s, l
}

// pinOf returns the pin's height in a lift, by what its datum is.
func pinOf(s *ballast.Setup, l *ballast.Lift) float64 {
	a := s.Attachment
	switch {
	case l.Kind == ballast.BreakOut:
		return -float64(a.Edge.Above.Value())
	case l.Datum == ballast.PinHeight || a.Kind == ballast.BarePin:
		return float64(l.Height)
	case l.Datum == ballast.LoadHeight && a.Kind == ballast.Forks:
		return float64(l.Height - l.Load.Above.Value() - a.Tine.Value())
	case l.Datum == ballast.LoadHeight:
		return float64(l.Height - l.Load.Above.Value() - a.Edge.Above.Value())
	case l.Datum == ballast.TineHeight:
		return float64(l.Height - a.Tine.Value())
	}
	return float64(l.Height - a.Edge.Above.Value())
}

// Every limit of a case is what free bodies give: the load it allows, what is
// used with and without a load, and what is used empty, lowered and with the
// loader off. On a way, the worst of three hundred positions is.
func TestLimitsOfFreeBodies(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 8))
	seen := map[ballast.Status]int{}
	for i := range 400 {
		s, l := limitsCase(r)
		k, c := compiled(t, s, l)
		b := newBench(t, s, l)
		top, low := pinOf(&s, &l), float64(s.Loader.LowestPin.Value())
		states := [4]map[ballast.LimitKind][]handDemand{b.demands(top, true), nil, b.demands(low, true), b.demands(0, false)}
		tol := 1e-9
		if l.Kind == ballast.StackHigh || l.Kind == ballast.TakeOffDeck {
			tol = 2e-5
			p := s.Loader
			angle := func(z float64) float64 { return math.Asin((z - float64(p.Pivot.Z.Value())) / float64(p.Arm.Value())) }
			for j := range 300 {
				a := angle(low) + (angle(top)-angle(low))*float64(j)/300
				for kind, list := range b.demands(float64(p.Pivot.Z.Value())+float64(p.Arm.Value())*math.Sin(a), true) {
					switch kind {
					case ballast.LimitGross, ballast.LimitROPS, ballast.LimitHitch:
					default:
						states[0][kind] = append(states[0][kind], list...)
					}
				}
			}
		}
		states[1] = states[0]
		if _, _, mass, _ := b.fixed(true); math.Abs(float64(k.Mass()-mass-s.Loader.ArmMass.Value()-s.Attachment.Mass.Value())) > 1e-9 {
			t.Errorf("case %d: mass %v", i, float64(k.Mass()))
		}
		u := c.Use()
		loads := []float64{0, 300 * r.Float64(), 1500 * r.Float64()}
		for kind := ballast.LimitTipping; kind <= ballast.LimitHitch; kind++ {
			if kind == ballast.LimitCoupler || kind == ballast.LimitAttachment {
				continue
			}
			list, checked := states[0][kind]
			got := u.Limit(kind)
			seen[got.Status]++
			if checked != (got.Status != stability.NotChecked) {
				t.Errorf("case %d: %v is %v", i, kind, got.Status)
				continue
			}
			if !checked {
				continue
			}
			// Where a load lifts a wheel in some positions of a way and holds
			// it down in others, a fraction of the tipping load is used in
			// another sense in each; only the load allowed compares.
			mixed := tol > 1e-9 && l.Basis.Kind == ballast.BasisTippingFraction && (kind == ballast.LimitTipping || kind == ballast.LimitRearWheel)
			allows, empty := math.Inf(1), 0.0
			for _, d := range list {
				allows, empty = min(allows, d.allows()), max(empty, d.used(0))
			}
			want := stability.Within
			switch {
			case allows < 0 || empty > 1:
				want = stability.ExceededWhenEmpty
			case math.IsInf(allows, 1):
				want = stability.CannotOccur
			}
			if status := got.Status; status != want && !(status == stability.Binds && want == stability.Within) && math.Abs(allows) > 1 {
				t.Errorf("case %d: %v is %v, want %v: allows %v, empty %v", i, kind, status, want, allows, empty)
				continue
			}
			if want == stability.Within && math.Abs(float64(got.Mass)-allows) > tol*(1000+allows) {
				t.Errorf("case %d: %v allows %v, want %v", i, kind, float64(got.Mass), allows)
			}
			for _, m := range loads {
				check := c.Check(units.Mass(m))
				used := 0.0
				for _, d := range list {
					used = max(used, d.used(m))
				}
				if want == stability.ExceededWhenEmpty {
					used = max(used, empty)
				}
				share := check.Limit(kind)
				if !mixed && math.Abs(float64(share.Used)-used) > tol*100*(1+used*used) {
					t.Errorf("case %d: %v with %v kg uses %v, want %v", i, kind, m, share.Used, used)
				}
				if want == stability.Within && (math.Abs(float64(share.Left)-(allows-m)) > tol*(1000+allows) ||
					math.Abs(allows-m) > 1 && share.Status != map[bool]ballast.Status{true: stability.Within, false: stability.Exceeded}[m < allows]) {
					t.Errorf("case %d: %v with %v kg: %+v, allows %v", i, kind, m, share, allows)
				}
			}
			for st := ballast.StateEmpty; st <= ballast.StateLoaderOff; st++ {
				used := 0.0
				for _, d := range states[st][kind] {
					used = max(used, d.used(0))
				}
				if g := u.Rechecks[st-1].Limits[kind-1]; !mixed && math.Abs(float64(g.Used)-used) > tol*100*(1+used*used) || math.Abs(used-1) > 1e-4 && (g.Status == stability.Exceeded) != (used > 1) {
					t.Errorf("case %d: %v, %v: %+v, want %v", i, st, kind, g, used)
				}
			}
		}
		// The bare loads, without factor and basis.
		fixed, axle, _, _ := b.fixed(true)
		arms, load, _ := b.moving(top)
		bare := func(rows ...stability.Row) (m float64) {
			m = math.Inf(1)
			for _, r := range rows {
				if load[r] < 0 {
					m = min(m, (fixed[r]+axle[r]+arms[r])/-load[r])
				}
			}
			if m < 0 || math.IsInf(m, 1) {
				return 0
			}
			return m
		}
		if l.Kind != ballast.StackHigh && l.Kind != ballast.TakeOffDeck {
			near(t, "tipping", float64(u.Tipping), bare(stability.RowRearAxle), 1e-6)
			near(t, "wheel lift", float64(u.WheelLift), bare(liftRows(s.Machine.Undercarriage)...), 1e-6)
		}
		if t.Failed() {
			t.Fatalf("%+v\n%+v", s.Machine, l)
		}
	}
	t.Log(seen)
	for _, st := range []ballast.Status{stability.NotChecked, stability.Within, stability.Binds, stability.ExceededWhenEmpty, stability.CannotOccur} {
		if seen[st] < 20 {
			t.Errorf("%v: only %d", st, seen[st])
		}
	}
}
