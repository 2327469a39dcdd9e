package ballast_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"sync"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/walk"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// With exactly the usable load on, the governing limit binds, none is
// exceeded, and one more kilogram breaks it.
func TestUsableLoadBinds(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	governing := map[ballast.LimitKind]int{}
	statuses := map[ballast.Status]int{}
	for i := range 4000 {
		s, l := randomCase(r)
		_, c := compiled(t, s, l)
		u := c.Use()
		statuses[u.Status]++
		if u.Status == stability.AtMost {
			over := c.Check(u.Mass + 1)
			if l := u.Limit(u.Governing); l.Status != stability.AtMost || l.Mass != u.Mass || over.Status != stability.Exceeded {
				t.Errorf("case %d: at most %v kg, %+v; a kilogram more %v", i, float64(u.Mass), l, over.Status)
			}
			continue
		}
		if u.Status != stability.Binds {
			if u.Mass != 0 {
				t.Errorf("case %d: status %v with a usable load of %v kg", i, u.Status, float64(u.Mass))
			}
			if u.Status == stability.ExceededWhenEmpty {
				if e := c.Check(0); e.Status != stability.ExceededWhenEmpty || e.Limit(u.Governing).Used <= 1 {
					t.Errorf("case %d: %v exceeded when empty, but with no load: %+v", i, u.Governing, e.Limit(u.Governing))
				}
			}
			continue
		}
		governing[u.Governing]++
		at := c.Check(u.Mass)
		if got := at.Limit(u.Governing); got.Status != stability.Binds || math.Abs(float64(got.Used)-1) > 1e-9 {
			t.Errorf("case %d: %v at the usable load: %+v", i, u.Governing, got)
		}
		if !at.OK() || at.Status != stability.Binds {
			t.Errorf("case %d: status at the usable load %v", i, at.Status)
		}
		for _, e := range at.Limits {
			if e.Status == stability.Exceeded || float64(e.Used) > 1+1e-9 {
				t.Errorf("case %d: %v exceeded at the usable load: %+v", i, e.Kind, e)
			}
		}
		over := c.Check(u.Mass + 1)
		if e := over.Limit(u.Governing); over.OK() || e.Status != stability.Exceeded || e.Used <= 1 || e.Left >= 0 {
			t.Errorf("case %d: one more kilogram: %v %+v", i, over.Status, e)
		}
		// The answer is independent of how the limits are stored: bisect on
		// Check for the greatest load that is allowed.
		low, high := 0.0, float64(u.Mass)+1
		for range 60 {
			mid := (low + high) / 2
			if e := c.Check(units.Mass(mid)); e.OK() {
				low = mid
			} else {
				high = mid
			}
		}
		near(t, fmt.Sprintf("case %d: bisection", i), low, float64(u.Mass), 2e-9*float64(u.Mass)+1e-9)
	}
	t.Log(governing, statuses)
	for _, k := range []ballast.LimitKind{ballast.LimitHydraulic, ballast.LimitTipping, ballast.LimitRearWheel, ballast.LimitFrontAxle, ballast.LimitFrontTire, ballast.LimitGross} {
		if governing[k] == 0 {
			t.Errorf("no random case was governed by %v", k)
		}
	}
}

// The wheel loads of a check are what package stability finds for the same
// parts put together another way.
func TestWheelLoadsAgainstVehicle(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 2))
	for range 300 {
		s, l := randomCase(r)
		_, c := compiled(t, s, l)
		v, err := c.Vehicle(300)
		if err != nil {
			t.Fatal(err)
		}
		in, err := v.Undercarriage.Influence(stability.Situation{Slope: l.Slope, Heading: l.Heading, Acceleration: -l.Braking}, v.Gravity)
		if err != nil {
			t.Fatal(err)
		}
		body, axle := in.Of(v.Body.Part()), in.OfAxle(v.Undercarriage.Axle)
		got := c.WheelLoads(300)
		for row, m := range map[stability.Row]units.Mass{stability.RowFrontAxle: got.Front, stability.RowRearLeft: got.RearLeft, stability.RowFrontRight: got.FrontRight} {
			near(t, row.String(), float64(m)*float64(v.Gravity), float64(body[row]+axle[row]), 1e-6)
		}
		near(t, "total", float64(got.Total), float64(v.Body.Mass+v.Undercarriage.Axle.Mass), 1e-9)
	}
}

// The hydraulic limit is the load at which the work of the cylinders over a
// small turn of the arm equals what load, attachment and arms gain in
// potential energy, on any ground and with any share of self-leveling. Both
// works are taken by differences of positions here.
func TestHydraulicByVirtualWork(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 7))
	for range 500 {
		s, l := randomCase(r)
		lo := *s.Loader
		lo.Rated = nil
		lo.Cylinders = &ballast.Cylinders{Base: ballast.Offset{Ahead: units.Is[units.Length](0.06), Above: units.Is[units.Length](-0.375)}, RodRadius: units.Is[units.Length](0.95), RodAngle: units.Is[units.Angle](0.05), Bore: units.Is[units.Length](0.055), Count: 2, Pressure: units.Is[units.GaugePressure](17e6)}
		s.Loader = &lo
		l.Kind = ballast.Hold
		_, c := compiled(t, s, l)
		g := float64(s.Gravity)
		along := g*math.Sin(float64(l.Slope))*math.Cos(float64(l.Heading)) - float64(l.Braking)
		up := g * math.Cos(float64(l.Slope))
		rise := func(x, z float64) float64 { return along*x + up*z }
		a0 := float64(c.Place().Arm)
		locked := 1 - float64(lo.SelfLeveling.Value())
		// Energy per kilogram of a point that is ahead and above of the pin
		// with the arm at a0 and turns by the share of the arm's turn.
		at := func(a, ahead, above float64) float64 {
			sin, cos := math.Sincos(locked * (a - a0))
			return rise(float64(lo.Arm.Value())*math.Cos(a)+ahead*cos-above*sin, float64(lo.Arm.Value())*math.Sin(a)+ahead*sin+above*cos)
		}
		energy := func(a, load float64) float64 {
			f := s.Attachment
			e := float64(lo.ArmMass.Value()) * rise(float64(lo.ArmCG.Value())*math.Cos(a), float64(lo.ArmCG.Value())*math.Sin(a))
			e += float64(f.Mass.Value()) * at(a, float64(f.CG.Ahead.Value()), float64(f.CG.Above.Value()))
			return e + load*at(a, float64(f.Face.Value()+l.Load.Center.Value()), float64(f.Tine.Value()+l.Load.Above.Value()))
		}
		length := func(a float64) float64 {
			p := lo.Cylinders
			rod := a + float64(p.RodAngle.Value())
			return math.Hypot(float64(p.RodRadius.Value())*math.Cos(rod)-float64(p.Base.Ahead.Value()), float64(p.RodRadius.Value())*math.Sin(rod)-float64(p.Base.Above.Value()))
		}
		const d = 1e-4
		work := float64(lo.Cylinders.Push()) * (length(a0+d) - length(a0-d))
		u := c.Use()
		h := u.Limit(ballast.LimitHydraulic)
		if h.Status == stability.ExceededWhenEmpty {
			continue
		}
		near(t, "work", energy(a0+d, float64(h.Mass))-energy(a0-d, float64(h.Mass)), work, 1e-5*work)
	}
}

// A mirror image has mirrored wheel loads and the same limits.
func TestMirror(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 3))
	for range 300 {
		s, l := randomCase(r)
		n, ml := s, l
		n.Machine.CG.Y = units.Is(n.Machine.CG.Y.Value() * -1)
		n.Machine.Seat.Y = units.Is(n.Machine.Seat.Y.Value() * -1)
		n.Machine.Fuel.CG.Y = units.Is(n.Machine.Fuel.CG.Y.Value() * -1)
		loader := *n.Loader
		loader.FrameCG.Y = units.Is(loader.FrameCG.Y.Value() * -1)
		n.Loader = &loader
		n.Pieces = append([]ballast.Piece(nil), s.Pieces...)
		for i := range n.Pieces {
			n.Pieces[i].CG.Y = units.Is(n.Pieces[i].CG.Y.Value() * -1)
		}
		ml.Load.Sideways = units.Is(ml.Load.Sideways.Value() * -1)
		ml.Heading *= -1
		a, b := use(t, s, l), use(t, n, ml)
		if a.Status != b.Status {
			t.Fatalf("status %v, mirrored %v", a.Status, b.Status)
		}
		near(t, "mirrored usable load", float64(b.Mass), float64(a.Mass), 1e-7)
		ca, cb := check(t, s, l, 200), check(t, n, ml, 200)
		near(t, "mirrored wheel", float64(cb.Axles.RearLeft), float64(ca.Axles.RearRight), 1e-7)
		near(t, "mirrored wheel", float64(cb.Axles.FrontLeft), float64(ca.Axles.FrontRight), 1e-7)
	}
}

// The two layers give the same bits, and many goroutines the same as one.
func TestLayersAgree(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 4))
	for range 50 {
		s, l := randomCase(r)
		k, c := compiled(t, s, l)
		wantUse, wantCheck := use(t, s, l), check(t, s, l, 250)
		if got := c.Use(); got != wantUse {
			t.Fatalf("compiled:\n%+v\nconvenient:\n%+v", got, wantUse)
		}
		if m, g, st, err := k.UsableLoad(l); err != nil || m != wantUse.Mass || g != wantUse.Governing || st != wantUse.Status {
			t.Fatalf("in short %v, %v, %v, %v; in full %v, %v, %v", m, g, st, err, wantUse.Mass, wantUse.Governing, wantUse.Status)
		}
		var wg sync.WaitGroup
		for range 8 {
			wg.Add(1)
			go func() {
				defer wg.Done()
				for range 20 {
					again, err := k.Case(l)
					if err != nil || again.Use() != wantUse || c.Check(250) != wantCheck || again.Check(250) != wantCheck {
						t.Error("the answer differs between goroutines")
						return
					}
				}
			}()
		}
		wg.Wait()
	}
}

// Nothing that the caller still holds changes a compiled model.
func TestModelIsImmutable(t *testing.T) {
	s, l := orchard(), binLift(1)
	k, err := s.Compile()
	if err != nil {
		t.Fatal(err)
	}
	before, err := k.Case(l)
	if err != nil {
		t.Fatal(err)
	}
	s.Loader.Arm, s.Loader.Rated[0].AtPin = units.Is[units.Length](3), 1
	s.Attachment.Mass, s.Pieces[0].Mass = units.Is[units.Mass](900), units.Is[units.Mass](1)
	s.Machine.Front.Tire.Table[0].Load = 1
	after, err := k.Case(l)
	if err != nil || before.Use() != after.Use() {
		t.Errorf("the model changed with its setup: %v", err)
	}
}

// zeroKept are the fields whose zero is a measured value and not "not given".
var zeroKept = map[string]string{
	"Y":            "zero is the middle plane",
	"Name":         "free text",
	"TiresPerSide": "zero is one",
	"Gravity":      "zero is standard gravity",
	"Pieces":       "a piece that is not there is not there",
	"StopAngle":    "no limit of this package rests on it",
	"RodAngle":     "a rod pin on the line to the attachment pin",
}

// Zeroing any field of a valid setup never raises a usable load nor widens a
// limit without an error or a not-checked status beside it.
func TestZeroIsCautious(t *testing.T) {
	var cases []ballast.Lift
	for _, basis := range []ballast.Basis{{ballast.BasisRearShare, 0.2}, {ballast.BasisTippingFraction, 0.5}, {Kind: ballast.BasisNoWheelUnloaded}} {
		for _, slope := range []float64{0, 5} {
			for _, heading := range []float64{0, 90, 180, -90} {
				for _, h := range []units.Length{0.3, 1.2, 2.4} {
					l := binLift(h)
					l.Basis = basis
					l.Slope, l.Heading = units.Slope(slope*float64(units.Degree)), units.Angle(heading)*units.Degree
					cases = append(cases, l)
				}
			}
		}
	}
	setups := []func() ballast.Setup{orchard, func() ballast.Setup {
		s := orchard()
		s.Loader.Rated = nil
		s.Loader.Cylinders = &ballast.Cylinders{Base: ballast.Offset{Ahead: units.Is[units.Length](0.06), Above: units.Is[units.Length](-0.375)}, RodRadius: units.Is[units.Length](0.95), RodAngle: units.Is(2 * units.Degree), Bore: units.Is[units.Length](0.055), Count: 2, Pressure: units.Is(17 * units.GaugeMegapascal)}
		return s
	}, func() ballast.Setup {
		s := orchard()
		s.Machine.CG.X = units.Input[units.Length]{}
		s.Machine.Mass = units.Input[units.Mass]{}
		s.Machine.FrontLoad, s.Machine.RearLoad = units.Is[units.Mass](900), units.Is[units.Mass](1000)
		s.Machine.LoaderIncluded = ballast.WithLoader
		s.Machine.MassIncludes = ballast.MassOperating
		s.Attachment = &ballast.Attachment{Kind: ballast.Bucket, Mass: units.Is[units.Mass](140), CG: ballast.Offset{Ahead: units.Is[units.Length](0.3), Above: units.Is[units.Length](0.1)}, Face: units.Is[units.Length](0.45), Edge: ballast.Offset{Ahead: units.Is[units.Length](0.8), Above: units.Is[units.Length](-0.15)}, Volume: units.Is[units.Volume](0.3), Rating: units.Is[units.Mass](800)}
		s.Pieces = append(s.Pieces, ballast.Piece{Kind: ballast.FrontLiquid, Mass: units.Is[units.Mass](60), Depth: units.Is[units.Length](0.05), RollRise: units.Is[units.Length](0.01)})
		return s
	}}
	for n, build := range setups {
		fields := 0
		base := build()
		if base.Attachment.Kind == ballast.Bucket {
			for i := range cases {
				cases[i].Datum = ballast.EdgeHeight
				cases[i].Load.Center = units.Is[units.Length](0.05)
			}
		}
		if _, err := base.Compile(); err != nil {
			t.Fatal(err)
		}
		var each func(path []int, v reflect.Value, name string)
		each = func(path []int, v reflect.Value, name string) {
			kind := v.Kind()
			if walk.IsInput(v.Type()) {
				kind = reflect.Float64
			}
			switch kind {
			case reflect.Pointer:
				if !v.IsNil() {
					zeroAt(t, build, path, name, cases)
					each(append(path, -1), v.Elem(), name)
				}
			case reflect.Slice:
				if name != "Setup.Pieces" {
					zeroAt(t, build, path, name, cases)
				}
				for i := range v.Len() {
					each(append(path, i), v.Index(i), fmt.Sprintf("%s[%d]", name, i))
				}
			case reflect.Struct:
				for i := range v.NumField() {
					f := v.Type().Field(i)
					if _, ok := zeroKept[f.Name]; ok && f.Name != "Pieces" {
						continue
					}
					each(append(append([]int(nil), path...), i), v.Field(i), name+"."+f.Name)
				}
				// A point has a coordinate whose zero is a value.
				if _, point := v.Interface().(ballast.Position); !point && len(path) > 0 {
					zeroAt(t, build, path, name, cases)
				}
			default:
				fields++
				if !v.IsZero() {
					zeroAt(t, build, path, name, cases)
				}
			}
		}
		each(nil, reflect.ValueOf(base), "Setup")
		t.Logf("setup %d: %d fields, %d cases", n, fields, len(cases))
	}
}

// follow walks to a field; -1 is through a pointer.
func follow(v reflect.Value, path []int) reflect.Value {
	for _, i := range path {
		switch {
		case i == -1:
			v = v.Elem()
		case v.Kind() == reflect.Slice:
			v = v.Index(i)
		default:
			v = v.Field(i)
		}
	}
	return v
}

func zeroAt(t *testing.T, build func() ballast.Setup, path []int, name string, cases []ballast.Lift) {
	t.Helper()
	s := build()
	v := follow(reflect.ValueOf(&s).Elem(), path)
	v.SetZero()
	zeroed, err := s.Compile()
	if err != nil {
		return
	}
	full, err := build().Compile()
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range cases {
		a, err := full.Case(l)
		if err != nil {
			t.Fatal(err)
		}
		b, err := zeroed.Case(l)
		if err != nil {
			return
		}
		before, after := a.Use(), b.Use()
		if beside(&before, &after) {
			continue
		}
		if after.Mass > before.Mass*(1+1e-12) {
			t.Errorf("%s zeroed: usable load %v kg, was %v kg, at %v on %v, heading %v", name, float64(after.Mass), float64(before.Mass), l.Height, l.Slope, l.Heading)
			return
		}
		for i, e := range after.Limits {
			was := before.Limits[i]
			if rank(e.Status) > rank(was.Status) || rank(e.Status) == 1 && rank(was.Status) == 1 && e.Mass > was.Mass*(1+1e-12) {
				t.Errorf("%s zeroed: %v is %v %v kg, was %v %v kg", name, e.Kind, e.Status, float64(e.Mass), was.Status, float64(was.Mass))
				return
			}
		}
		for n := range after.Rechecks {
			for i, e := range after.Rechecks[n].Limits {
				if was := before.Rechecks[n].Limits[i]; e.Status != stability.Exceeded && was.Status == stability.Exceeded {
					t.Errorf("%s zeroed: %v, %v is %v, was %v", name, after.Rechecks[n].State, e.Kind, e.Status, was.Status)
					return
				}
			}
		}
	}
}

// beside reports whether a limit that was checked is now marked as not
// checked or as an upper bound only, here or in a recheck.
func beside(before, after *ballast.Use) bool {
	lost := func(was, is ballast.Status) bool {
		open := is == stability.NotChecked || is == stability.AtMost
		return open && was != stability.NotChecked && was != stability.AtMost
	}
	for i := range after.Limits {
		if lost(before.Limits[i].Status, after.Limits[i].Status) {
			return true
		}
	}
	for n := range after.Rechecks {
		for i := range after.Rechecks[n].Limits {
			if lost(before.Rechecks[n].Limits[i].Status, after.Rechecks[n].Limits[i].Status) {
				return true
			}
		}
	}
	return false
}

// rank orders statuses by how much they allow.
func rank(s ballast.Status) int {
	switch s {
	case stability.ExceededWhenEmpty, stability.Exceeded:
		return 0
	case stability.CannotOccur:
		return 2
	}
	return 1
}

// compiled returns the model of a setup and the case of a lift; neither may
// fail.
func compiled(t *testing.T, s ballast.Setup, l ballast.Lift) (*ballast.Model, *ballast.Case) {
	t.Helper()
	k, err := s.Compile()
	if err != nil {
		t.Fatal(err)
	}
	c, err := k.Case(l)
	if err != nil {
		t.Fatal(err)
	}
	return k, c
}
