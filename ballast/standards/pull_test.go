package standards_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/internal/validation"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// TestPull is checks.csv WT1, a moment balance; then closure over random
// pulls, and the lift-off pull put on lifts the axle exactly.
func TestPull(t *testing.T) {
	in, want := validation.Published(t, "checks.csv", "WT1")
	p := standards.Pull{
		FrontLoad: 2000, RearLoad: 3000, Wheelbase: units.Length(validation.Number(t, in, "L_m")),
		Height: units.Length(validation.Number(t, in, "h_m")),
	}
	rest, err := p.Solve()
	if err != nil {
		t.Fatal(err)
	}
	p.Force = units.Force(validation.Number(t, in, "P_kN")) * units.Kilonewton
	got, err := p.Solve()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "WT1 rear", float64((got.Rear-rest.Rear)/units.Kilonewton), validation.Number(t, want, "rear_add_kN"), 1e-9)
	near(t, "WT1 front", float64((got.Front-rest.Front)/units.Kilonewton), validation.Number(t, want, "front_add_kN"), 1e-9)

	// Standing, the axles press with their weight.
	near(t, "standing front", float64(rest.Front), 2000*9.80665, 1e-9)
	near(t, "standing rear", float64(rest.Rear), 3000*9.80665, 1e-9)
	// A heavy drawbar lifts the front without a pull: 2000 kg against 60 kN
	// behind the axle by a third of the wheelbase and more.
	heavy := p
	heavy.Force, heavy.Down, heavy.Behind = 0, 60e3, p.Wheelbase/2
	if got, err := heavy.Solve(); err != nil || got.Lift != 0 || !got.FrontLifts {
		t.Errorf("a drawbar that lifts the front: %+v, %v", got, err)
	}
	heavy.Down = 100
	fieldtest.Ends(t, "behind", heavy, func(p *standards.Pull, v float64) { p.Behind = units.Length(v) }, 0.001, 5)

	r := rand.New(rand.NewPCG(8, 1))
	for range 1000 {
		u := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
		p := standards.Pull{
			FrontLoad: units.Mass(u(300, 4000)), RearLoad: units.Mass(u(300, 6000)), Wheelbase: units.Length(u(1.4, 3)),
			Force: units.Force(u(0, 50e3)), Height: units.Length(u(0.3, 1)), Down: units.Force(u(-5e3, 5e3)), Behind: units.Length(u(0.3, 1.5)),
			Gravity: units.Acceleration(u(9.7, 9.9)),
		}
		got, err := p.Solve()
		if err != nil {
			t.Fatal(err)
		}
		sum := float64((p.FrontLoad + p.RearLoad).Weight(p.Gravity) + p.Down)
		near(t, "sum", float64(got.Front+got.Rear), sum, 1e-9*sum)
		// Moments about the rear contact line, all of them at once.
		near(t, "moment", float64(got.Front.Moment(p.Wheelbase)+p.Force.Moment(p.Height)+p.Down.Moment(p.Behind)),
			float64(p.FrontLoad.Weight(p.Gravity).Moment(p.Wheelbase)), 1e-6)
		if got.Lift > 0 && got.Lift < 1e6 {
			p.Force = got.Lift
			at, err := p.Solve()
			if err != nil {
				t.Fatal(err)
			}
			near(t, "at lift-off", float64(at.Front), 0, 1e-6)
		}
		if got.FrontLifts != !(got.Front > 0) {
			t.Errorf("%+v", got)
		}
	}
}

// What package stability answers too, it answers alike: the axle forces under a
// pull with any inclination, and on a pull that is level where the front axle
// lifts. It needs a height of the center of gravity and tracks, which change
// nothing on level ground.
func TestPullAgreesWithStability(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 2))
	lifts := 0
	for range 500 {
		u := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
		p := standards.Pull{
			FrontLoad: units.Mass(u(300, 4000)), RearLoad: units.Mass(u(300, 6000)), Wheelbase: units.Length(u(1.4, 3)),
			Force: units.Force(u(1e3, 50e3)), Height: units.Length(u(0.3, 1)), Down: units.Force(u(-5e3, 5e3)), Behind: units.Length(u(0.3, 1.5)),
			Gravity: units.Acceleration(u(9.7, 9.9)),
		}
		mass := p.FrontLoad + p.RearLoad
		m, err := stability.Vehicle{
			Body: stability.Body{Mass: mass, CG: stability.Point{X: units.Length(float64(p.Wheelbase) * float64(p.FrontLoad/mass)), Z: units.Length(u(0.4, 1.2))}},
			Undercarriage: stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: p.Wheelbase,
				RearTrack: units.Length(u(1, 2)), FrontTrack: units.Length(u(1, 2)), PinHeight: units.Length(u(0.3, 0.6))},
			Gravity: p.Gravity,
		}.Compile()
		if err != nil {
			t.Fatal(err)
		}
		at := stability.Situation{Drawbar: stability.Drawbar{
			Pull:        units.Force(math.Hypot(float64(p.Force), float64(p.Down))),
			Inclination: units.Angle(math.Atan2(float64(p.Down), float64(p.Force))),
			Hitch:       stability.Point{X: -p.Behind, Z: p.Height},
		}}
		got, err := p.Solve()
		if err != nil {
			t.Fatal(err)
		}
		want, err := m.Loads(at)
		if err != nil {
			t.Fatal(err)
		}
		scale := float64(mass) * 10
		near(t, "front", float64(got.Front), float64(want.Of(stability.RowFrontAxle)), 1e-9*scale)
		near(t, "rear", float64(got.Rear), float64(want.Of(stability.RowRearAxle)), 1e-9*scale)

		p.Down, at.Drawbar.Inclination = 0, 0
		if got, err = p.Solve(); err != nil {
			t.Fatal(err)
		}
		limit, err := m.PullToLift(at)
		if err != nil {
			t.Fatal(err)
		}
		// A rear wheel lifts first only under pulls that no tractor has the grip
		// for.
		if limit.Status == stability.Within && limit.Kind != stability.RearEdge {
			if limit.Pull < mass.Weight(p.Gravity) {
				t.Errorf("%+v: %v at %v", p, limit.Kind, limit.Pull)
			}
		} else if limit.Status == stability.Within {
			lifts++
			near(t, "lift", float64(limit.Pull), float64(got.Lift), 1e-9*float64(got.Lift))
		}
	}
	if lifts < 400 {
		t.Errorf("the front axle lifted %d times", lifts)
	}
}
