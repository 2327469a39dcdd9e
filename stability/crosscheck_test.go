package stability_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"example.com/steelyard/internal/validation"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

func readJSON(t *testing.T, name string, into any) {
	t.Helper()
	b, err := os.ReadFile("../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, into); err != nil {
		t.Fatal(err)
	}
}

// A rigid-body engine loses the same wheel at the same slope. The engine's
// machines hold on the standing rear wheel alone, so the loads that it sees
// before the limit are those of a bias to that side.
func engineTilt(t *testing.T) {
	var doc struct {
		Cases []struct {
			Kind                                        stability.UndercarriageKind
			L, T, Tf, Hp, M, X, Y, Z, Mf, Hf, Ml, Dl, R float64
			Heading                                     float64
			Slope                                       float64 `json:"slope_deg"`
			Event                                       string
		}
	}
	readJSON(t, "tilt_ode.json", &doc)
	if len(doc.Cases) < 24 {
		t.Fatalf("%d cases", len(doc.Cases))
	}
	for i, c := range doc.Cases {
		body, err := stability.Assemble(
			stability.Part{Mass: units.Mass(c.M), CG: stability.Point{X: units.Length(c.X), Y: units.Length(c.Y), Z: units.Length(c.Z)}},
			stability.Part{Mass: units.Mass(c.Ml), CG: stability.Point{Z: units.Length(c.R - c.Dl)}, PitchRise: units.Length(c.Dl)},
		)
		if err != nil {
			t.Fatal(err)
		}
		v := stability.Vehicle{Body: body, Undercarriage: stability.Undercarriage{
			Kind: c.Kind, Wheelbase: units.Length(c.L), RearTrack: units.Length(c.T), FrontTrack: units.Length(c.Tf), PinHeight: units.Length(c.Hp),
			Axle: stability.Part{Mass: units.Mass(c.Mf), CG: stability.Point{X: units.Length(c.L), Z: units.Length(c.Hf)}},
		}}
		right := math.Sin(c.Heading*math.Pi/180) >= 0
		lift, front, bias := stability.RowLiftLeft, stability.RowFrontLeft, units.Fraction(-1)
		if !right {
			lift, front, bias = stability.RowLiftRight, stability.RowFrontRight, 1
		}
		r, ok := map[string]stability.Row{"rear": lift, "side": lift, "front": front, "rearaxle": stability.RowRearAxle, "frontaxle": stability.RowFrontAxle}[c.Event]
		if !ok {
			t.Errorf("case %d: event %q", i, c.Event)
			continue
		}
		straight := math.Abs(math.Sin(c.Heading*math.Pi/180)) < 1e-9
		if straight {
			bias = 0 // both rear wheels hold
			if c.Event == "rear" {
				r = stability.RowRearAxle
			}
		}
		grade, status := v.TipAbout(r, float64(bias), angle(c.Heading))
		if c.Event == "front" {
			// One rear wheel alone may turn the other front wheel off first.
			other := stability.RowFrontLeft + stability.RowFrontRight - front
			if t, s := v.TipAbout(other, float64(bias), angle(c.Heading)); s == stability.Within && (status != stability.Within || t < grade) {
				grade, status = t, s
			}
		}
		got := math.Atan(grade) * 180 / math.Pi
		diff := got - c.Slope
		validation.Off(t, diff, "degree")
		if status != stability.Within || math.Abs(diff) > 0.5 {
			t.Errorf("case %d, %v heading %.0f: %v at %.3f, engine %s at %.3f", i, c.Kind, c.Heading, r, got, c.Event, c.Slope)
		}
		// The public answer with the same wheel holding, whose first limit may
		// be the axle's own event.
		tip, _ := compile(t, v).Tip(angle(c.Heading))
		held, err := compile(t, v).Limits(stability.Situation{Heading: angle(c.Heading), RearBias: units.Fraction(bias)})
		if err != nil {
			t.Fatal(err)
		}
		k := stability.LimitKind(r)
		if r != front && !straight && math.Abs(degreesOf(tip.Limits[k])-got) > 1e-9 {
			t.Errorf("case %d: %v, by its row %v", i, degreesOf(tip.Limits[k]), got)
		}
		if d := degreesOf(held.FirstTip); c.Kind != stability.Rigid && d > c.Slope+0.5 {
			t.Errorf("case %d: shown %.3f, the engine loses a wheel at %.3f", i, d, c.Slope)
		}
		t.Logf("%v %.0f %s %.3f %+.3f", c.Kind, c.Heading, c.Event, c.Slope, diff)
	}
}

// Slopes, energies and motions that SciPy finds by minimising and following
// the potential energy of the two bodies.
func potentialEnergy(t *testing.T) {
	var doc struct {
		Cases []struct {
			L, T, Tf, Hp, Stop, M, X, Y, Z, Mf, Hf float64
			Ixx, Iyy, Izz, Ixz, Heading            float64
			Tip                                    float64 `json:"tip_deg"`
			Second                                 any     `json:"second_deg"`
			Slope                                  float64 `json:"slope_deg"`
			Barrier                                float64 `json:"barrier_J"`
			FallSlope                              float64 `json:"fall_slope_deg"`
			FallRate                               float64 `json:"fall_rate"`
			Fall                                   struct {
				Falls, Over bool
				StopTime    float64 `json:"stop_time"`
				StopRate    float64 `json:"stop_rate"`
				StopEnergy  float64 `json:"stop_energy"`
				GroundTime  float64 `json:"ground_time"`
				GroundRate  float64 `json:"ground_rate"`
			}
		}
		Rear []struct {
			M, X, Z, R, K2, Offset, Rate, Slope, Torque float64
			Balance                                     float64 `json:"balance_deg"`
			BalanceTime                                 float64 `json:"balance_s"`
			Lost                                        float64 `json:"lost_deg"`
			LostTime                                    float64 `json:"lost_s"`
		}
	}
	readJSON(t, "tip_scipy.json", &doc)
	if len(doc.Cases) < 20 || len(doc.Rear) < 4 {
		t.Fatalf("%d and %d cases", len(doc.Cases), len(doc.Rear))
	}
	for i, c := range doc.Cases {
		name := func(s string) string { return s + " of case " + string(rune('A'+i)) }
		m := compile(t, stability.Vehicle{
			Body: stability.Body{
				Mass: units.Mass(c.M), CG: stability.Point{X: units.Length(c.X), Y: units.Length(c.Y), Z: units.Length(c.Z)},
				Inertia: stability.Inertia{XX: units.Inertia(c.Ixx), YY: units.Inertia(c.Iyy), ZZ: units.Inertia(c.Izz), XZ: units.Inertia(c.Ixz)},
			},
			Undercarriage: stability.Undercarriage{
				Kind: stability.PivotingFront, Wheelbase: units.Length(c.L), RearTrack: units.Length(c.T), FrontTrack: units.Length(c.Tf), PinHeight: units.Length(c.Hp),
				StopAngle: angle(c.Stop), Axle: stability.Part{Mass: units.Mass(c.Mf), CG: stability.Point{X: units.Length(c.L), Z: units.Length(c.Hf)}},
			},
		})
		tip, _ := m.Tip(angle(c.Heading))
		// The rise is looked for over a roll of 1e-4.
		near(t, name("tip"), degreesOf(tip.Limits[stability.TipsRight]), c.Tip, 0.01)
		stop, err := m.OnStop(angle(c.Heading))
		if err != nil {
			t.Fatal(err)
		}
		if c.Second == nil {
			if stop.Limit.Status != stability.Exceeded {
				t.Errorf("%s: %v", name("stop"), stop.Limit)
			}
		} else {
			near(t, name("stop"), degreesOf(stop.Limit), c.Second, 1e-4)
		}
		e, err := m.EnergyToOverturn(stability.Situation{Slope: slope(c.Slope), Heading: angle(c.Heading)})
		if err != nil {
			t.Fatal(err)
		}
		near(t, name("barrier"), float64(e.Barrier), c.Barrier, 1e-4*c.Barrier)
		f, err := m.Rollover(stability.Rolling{Slope: slope(c.FallSlope), Heading: angle(c.Heading), Rate: c.FallRate, Contact: stability.Point{X: 0.3, Y: -0.6, Z: 2.3}})
		if err != nil {
			t.Fatal(err)
		}
		if (f.StopTime > 0) != c.Fall.Falls {
			t.Errorf("%s: %+v", name("fall"), f)
			continue
		}
		if !c.Fall.Falls {
			continue
		}
		near(t, name("stop time"), float64(f.StopTime), c.Fall.StopTime, 1e-3*c.Fall.StopTime)
		near(t, name("stop rate"), f.StopRate, c.Fall.StopRate, 1e-3*c.Fall.StopRate)
		near(t, name("stop energy"), float64(f.StopEnergy), c.Fall.StopEnergy, 1e-3*c.Fall.StopEnergy)
		if (f.Status == stability.Exceeded) != c.Fall.Over || (f.Arrest == stability.Exceeded) != c.Fall.Over {
			t.Errorf("%s: %+v", name("fall"), f)
		}
		if f.Arrest == stability.Within && f.DeadArrest != stability.Within {
			t.Errorf("%s: a dead stop holds less than a lossless one: %+v", name("fall"), f)
		}
		if c.Fall.Over {
			near(t, name("ground time"), float64(f.GroundTime), c.Fall.GroundTime, 1e-3*c.Fall.GroundTime)
			near(t, name("ground rate"), f.GroundRate, c.Fall.GroundRate, 1e-3*c.Fall.GroundRate)
		}
	}
	for _, c := range doc.Rear {
		m := compile(t, stability.Vehicle{
			Body:          stability.Body{Mass: units.Mass(c.M), CG: stability.Point{X: units.Length(c.X), Z: units.Length(c.Z)}, Inertia: stability.Inertia{YY: units.Inertia(c.M * c.K2)}},
			Undercarriage: stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: 2.3, RearTrack: 1.5, FrontTrack: 1.5, RearAxleHeight: units.Length(c.R)},
		})
		r, err := m.Rear(stability.Rearing{Torque: units.Moment(c.Torque), Offset: angle(c.Offset), Rate: c.Rate, Slope: slope(c.Slope)})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "balance", float64(r.Balance/units.Degree), c.Balance, 1e-9)
		near(t, "balance time", float64(r.BalanceTime), c.BalanceTime, 1e-4)
		near(t, "no return", float64(r.NoReturn/units.Degree), c.Lost, 1e-2)
		near(t, "no return time", float64(r.NoReturnTime), c.LostTime, 1e-4)
	}
}
