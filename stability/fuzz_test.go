package stability_test

import (
	"math"
	"reflect"
	"testing"

	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

func mustBeFinite(t *testing.T, name string, result any, err error) {
	t.Helper()
	if err != nil {
		return
	}
	if p := fieldtest.NotFinite(reflect.ValueOf(result), name); p != "" {
		t.Errorf("%s is not finite and there is no error: %+v", p, result)
	}
}

func FuzzAssemble(f *testing.F) {
	f.Add(2600.0, 0.9, 0.0, 0.78, 0.0, 0.0, 900.0, 600.0, 3.85, 1.5)
	f.Add(math.NaN(), math.Inf(1), -1e308, 0.0, 1e308, 0.0, 1.0, 0.0, 0.0, 0.0)
	f.Fuzz(func(t *testing.T, m, x, y, z, kp, kr, i, m2, x2, z2 float64) {
		b, err := stability.Assemble(
			stability.Part{Mass: units.Mass(m), CG: stability.Point{X: units.Length(x), Y: units.Length(y), Z: units.Length(z)},
				PitchRise: units.Length(kp), RollRise: units.Length(kr), Inertia: stability.Inertia{XX: units.Inertia(i), YY: units.Inertia(i), XY: units.Inertia(i)}},
			stability.Part{Mass: units.Mass(m2), CG: stability.Point{X: units.Length(x2), Z: units.Length(z2)}},
		)
		mustBeFinite(t, "body", b, err)
		if err == nil && b.Validate() != nil {
			t.Errorf("an assembled body is refused: %v", b.Validate())
		}
	})
}

func FuzzModel(f *testing.F) {
	f.Add(uint8(1), 3000.0, 1.45, 0.0, 0.915, 2.1, 1.4, 1.4, 0.48, 0.0, 0.0, 0.0, 0.1, 1.8, 0.0, 0.0, 0.0, 0.0)
	f.Add(uint8(3), 1800.0, 0.4, 0.02, 0.9, 2.0, 1.1, 1.1, 0.6, 0.2, 900.0, 0.4, 0.2, 3.0, 0.5, 1.0, 2000.0, 0.5)
	f.Add(uint8(2), 1e6, -50.0, 50.0, -50.0, 30.0, 15.0, 0.1, 5.0, 0.78, 1e6, 1.0, 1.48, 12.0, 100.0, -100.0, 1e7, 1.0)
	f.Fuzz(func(t *testing.T, kind uint8, mass, x, y, z, l, tr, tf, p, stop, axle, bend, slope, heading, ax, ay, pull, share float64) {
		u := stability.Undercarriage{
			Kind: stability.UndercarriageKind(kind), Wheelbase: units.Length(l), RearTrack: units.Length(tr), FrontTrack: units.Length(tf), PinHeight: units.Length(p),
			StopAngle: units.Angle(stop), Axle: stability.Part{Mass: units.Mass(axle), CG: stability.Point{X: units.Length(l), Y: units.Length(y), Z: units.Length(p)}},
			JointX: units.Length(l / 2), JointAngle: units.Angle(bend), RearAxleHeight: units.Length(p), RearTireStiffness: units.Stiffness(mass * 100),
		}
		v := stability.Vehicle{Body: stability.Body{Mass: units.Mass(mass), CG: stability.Point{X: units.Length(x), Y: units.Length(y), Z: units.Length(z)}, PitchRise: units.Length(share / 10), RollRise: units.Length(share / 100)}, Undercarriage: u}
		s := stability.Situation{Slope: units.Slope(slope), Heading: units.Angle(heading), Acceleration: units.Acceleration(ax), LateralAcceleration: units.Acceleration(ay),
			FrontShare: units.Fraction(share), RearBias: units.Fraction(share), Friction: units.Fraction(share), Held: stability.Held(kind % 4),
			Drawbar: stability.Drawbar{Pull: units.Force(pull), Hitch: stability.Point{X: units.Length(-x), Z: units.Length(p)}, Inclination: units.Angle(bend)}}
		in, err := u.Influence(s, 0)
		mustBeFinite(t, "influence", in, err)
		m, err := v.Compile()
		if err != nil {
			return
		}
		tip, err := m.Tip(s.Heading)
		mustBeFinite(t, "tip", tip, err)
		tip, err = m.TipHolding(s.Heading, s.FrontShare)
		mustBeFinite(t, "tip holding", tip, err)
		mustBeFinite(t, "worst", m.WorstTip(), nil)
		points := make([]stability.PolarPoint, 7)
		m.Polar(points)
		mustBeFinite(t, "polar", points, nil)
		loads, err := m.Loads(s)
		mustBeFinite(t, "loads", loads, err)
		limits, err := m.Limits(s)
		mustBeFinite(t, "limits", limits, err)
		stops, err := m.OnStop(s.Heading)
		mustBeFinite(t, "stop", stops, err)
		soft, err := m.TipOnTires(s.Heading)
		mustBeFinite(t, "tires", soft, err)
		turn, err := m.Turn(s, units.Length(mass))
		mustBeFinite(t, "turn", turn, err)
		brake, err := m.Braking(s)
		mustBeFinite(t, "brake", brake, err)
		lift, err := m.PullToLift(s)
		mustBeFinite(t, "pull", lift, err)
		back, err := m.Rearward(s)
		mustBeFinite(t, "rearward", back, err)
		e, err := m.EnergyToOverturn(s)
		mustBeFinite(t, "energy", e, err)
		g, err := m.Margin(s)
		mustBeFinite(t, "margin", g, err)
		mustBeFinite(t, "sensitivity", m.Sensitivity(), nil)
	})
}

func FuzzMotion(f *testing.F) {
	f.Add(0.3, 1.8, 0.02, 0.05, 0.3, -0.6, 2.3, 20000.0, 0.1, uint8(0))
	f.Add(0.0, 4.0, 0.0, 0.1, 0.0, 0.0, 0.0, 40000.0, -0.3, uint8(3))
	f.Add(math.NaN(), 1e308, -1.0, math.Inf(1), 0.0, 0.0, 0.0, -5.0, 9.0, uint8(9))
	f.Fuzz(func(t *testing.T, slope, heading, offset, rate, x, y, z, torque, height float64, wheel uint8) {
		v := loaderTractor(400)
		v.Undercarriage.StopAngle, v.Undercarriage.RearAxleHeight = units.Angle(math.Abs(height)), 0.6
		v.Body.Inertia = stability.Inertia{XX: 600, YY: 1500, ZZ: 1500}
		m, err := v.Compile()
		if err != nil {
			return
		}
		r, err := m.Rollover(stability.Rolling{Slope: units.Slope(slope), Heading: units.Angle(heading), Offset: units.Angle(offset), Rate: rate, Contact: stability.Point{units.Length(x), units.Length(y), units.Length(z)}})
		mustBeFinite(t, "rollover", r, err)
		rear, err := m.Rear(stability.Rearing{Torque: units.Moment(torque), Offset: units.Angle(offset), Rate: rate, Slope: units.Slope(slope)})
		mustBeFinite(t, "rear", rear, err)
		u, err := m.OnUneven(units.Angle(heading), stability.Rut{Wheel: stability.WheelInRut(wheel), Height: units.Length(height)})
		mustBeFinite(t, "uneven", u, err)
		b, err := m.Band(stability.Tolerances{CG: stability.Point{X: units.Length(x), Z: units.Length(z)}, RearTrack: units.Length(offset), PinHeight: units.Length(height)}, 100, uint64(wheel))
		mustBeFinite(t, "band", b, err)
		n, err := stability.DropFactor(units.Length(x), units.Length(y))
		mustBeFinite(t, "drop", n, err)
	})
}

func FuzzNames(f *testing.F) {
	f.Add([]byte("pivotingFront"))
	f.Add([]byte("tipsRight"))
	f.Add([]byte("\xff\x00"))
	f.Fuzz(func(t *testing.T, text []byte) {
		for _, e := range []interface {
			UnmarshalText([]byte) error
			MarshalText() ([]byte, error)
		}{new(stability.Status), new(stability.LimitKind), new(stability.UndercarriageKind), new(stability.Row), new(stability.Held), new(stability.Stage), new(stability.Input), new(stability.WheelInRut), new(stability.Drive), new(stability.GroundClass), new(stability.ObstacleKind), new(stability.PassageStatus), new(stability.PassageWheels), new(stability.Differential), new(stability.RollingLine), new(stability.RollingVerdict)} {
			if e.UnmarshalText(text) == nil {
				if b, err := e.MarshalText(); err != nil || string(b) != string(text) {
					t.Errorf("%q became %q, %v", text, b, err)
				}
			}
		}
	})
}
