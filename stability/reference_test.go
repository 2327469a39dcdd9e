package stability_test

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"strconv"
	"testing"

	"example.com/steelyard/internal/validation"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// machine is the inputs of a row of stability_cases.csv or checks.csv.
type machine struct {
	AxleMass    float64  `json:"axle_mass_kg"`
	AxleCG      float64  `json:"axle_cg_h_m"`
	BodyMass    float64  `json:"body_mass_kg"`
	Mass        float64  `json:"mass_kg"`
	CGX         float64  `json:"cg_x_from_rear_axle_m"`
	X           float64  `json:"cg_x_m"`
	CGY         float64  `json:"cg_y_m"`
	CGH         float64  `json:"cg_h_m"`
	Heading     *float64 `json:"heading_deg"`
	Slope       float64  `json:"slope_deg"`
	PivotHeight float64  `json:"pivot_height_m"`
	PivotH      float64  `json:"pivot_h_m"`
	Stop        float64  `json:"stop_deg"`
	TrackFront  float64  `json:"track_front_m"`
	TrackRear   float64  `json:"track_rear_m"`
	Track       float64  `json:"track_m"`
	Wheelbase   float64  `json:"wheelbase_m"`
	K           float64  `json:"k_N_per_m"`
	Radius      float64  `json:"turn_radius_m"`
	HitchH      float64  `json:"hitch_h_m"`
	N           float64  `json:"n"`
	Chassis     float64  `json:"chassis_mass_kg"`
	AboveAxle   float64  `json:"cg_above_axle_m"`
	K2          float64  `json:"k2_m2"`
	Ahead       float64  `json:"load_ahead_of_front_axle_m"`
	LoadH       float64  `json:"load_h_m"`
	Load        float64  `json:"load_kg"`
}

func (c machine) vehicle() stability.Vehicle {
	or := func(a, b float64) float64 {
		if a == 0 {
			return b
		}
		return a
	}
	track := or(c.TrackRear, c.Track)
	l := or(c.Wheelbase, 2.4)
	return stability.Vehicle{
		Body: stability.Body{
			Mass: units.Mass(or(c.BodyMass, c.Mass)),
			CG:   stability.Point{X: units.Length(or(c.CGX, c.X)), Y: units.Length(c.CGY), Z: units.Length(c.CGH)},
		},
		Undercarriage: stability.Undercarriage{
			Kind: stability.PivotingFront, Wheelbase: units.Length(l), RearTrack: units.Length(or(track, 1.5)), FrontTrack: units.Length(or(c.TrackFront, or(track, 1.5))),
			PinHeight:         units.Length(or(c.PivotHeight, c.PivotH)),
			StopAngle:         units.Angle(c.Stop) * units.Degree,
			RearTireStiffness: units.Stiffness(c.K),
			Axle:              stability.Part{Mass: units.Mass(c.AxleMass), CG: stability.Point{X: units.Length(l), Z: units.Length(c.AxleCG)}},
		},
	}
}

func compile(t testing.TB, v stability.Vehicle) *stability.Model {
	t.Helper()
	m, err := v.Compile()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func deg(s units.Slope) float64 { return float64(s) / float64(units.Degree) }

// degreesOf returns the slope of a limit in degrees, or NaN if it cannot occur.
func degreesOf(l stability.Limit) float64 {
	if !reached(l) {
		return math.NaN()
	}
	return deg(l.Slope())
}

// near compares with an expected value of any JSON form: a number, or "none"
// for a limit that cannot occur.
func near(t *testing.T, id string, got float64, want any, tol float64) {
	t.Helper()
	switch w := want.(type) {
	case string:
		if w != "none" || !math.IsNaN(got) {
			t.Errorf("%s: %v, want %v", id, got, want)
		}
	case float64:
		validation.Relative(t, got, w)
		if !(math.Abs(got-w) <= tol) {
			t.Errorf("%s: %.6g, want %.6g +- %.2g", id, got, w, tol)
		}
	default:
		t.Errorf("%s: no expected value", id)
	}
}

func readCSV(t *testing.T, name string) map[string][]string {
	t.Helper()
	f, err := os.Open("../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]string{}
	for _, r := range rows[1:] {
		out[r[0]] = r
	}
	return out
}

// row reads a row's inputs and expected values.
func row(t *testing.T, rows map[string][]string, id string) (in machine, want map[string]any) {
	t.Helper()
	r := rows[id]
	if r == nil {
		t.Fatalf("no row %s", id)
	}
	if err := json.Unmarshal([]byte(r[2]), &in); err != nil {
		var typ *json.UnmarshalTypeError
		if !asType(err, &typ) {
			t.Fatal(err)
		}
	}
	if err := json.Unmarshal([]byte(r[3]), &want); err != nil {
		t.Fatal(err)
	}
	return in, want
}

func asType(err error, target **json.UnmarshalTypeError) bool {
	e, ok := err.(*json.UnmarshalTypeError)
	*target = e
	return ok
}

const kgf = float64(units.StandardGravity)

// Every row of stability_cases.csv that is about a machine on its wheels. The
// rows were computed by closed form, two-body equilibrium and potential
// energy, independently of this package; the tolerances are the file's own.
// Rows M (weighing) and N (implements) belong to other packages.
func stabilityCases(t *testing.T) {
	rows := readCSV(t, "stability_cases.csv")
	seen := 0
	use := func(id string) (machine, map[string]any) {
		seen++
		return row(t, rows, id)
	}
	num := func(v any) float64 { f, _ := v.(float64); return f }

	for _, id := range []string{"A015", "A030", "A075", "A105", "A120", "A135", "A150", "A180"} {
		in, want := use(id)
		tip, _ := compile(t, in.vehicle()).Tip(units.Angle(*in.Heading) * units.Degree)
		near(t, id+" right", degreesOf(tip.Limits[stability.TipsRight]), want["tip_right_deg"], 1e-3)
		near(t, id+" front", degreesOf(tip.Limits[stability.FrontEdge]), want["tip_front_deg"], 1e-3)
		near(t, id+" rear", degreesOf(tip.Limits[stability.RearEdge]), want["tip_rear_deg"], 1e-3)
		// The file's governing edge leaves the axle's own event out.
		best, name := math.Inf(1), ""
		for k, n := range map[stability.LimitKind]string{stability.TipsRight: "right", stability.FrontEdge: "front", stability.RearEdge: "rear"} {
			if d := degreesOf(tip.Limits[k]); d < best {
				best, name = d, n
			}
		}
		near(t, id+" governing", best, want["governing_deg"], 1e-3)
		if name != want["governing"] {
			t.Errorf("%s: governing %s, want %v", id, name, want["governing"])
		}
	}

	in, want := use("A-worst")
	w := compile(t, in.vehicle()).WorstTip()
	near(t, "A-worst heading", float64(w.Heading/units.Degree), want["heading_deg"], 1e-2)
	near(t, "A-worst", degreesOf(w.First), want["tip_deg"], 1e-4)

	for _, id := range []string{"B02", "B12", "B20", "D-50", "D-75"} {
		in, want := use(id)
		m := compile(t, in.vehicle())
		tip, _ := m.Tip(90 * units.Degree)
		near(t, id+" stage 1", degreesOf(tip.Limits[stability.TipsRight]), want["stage1_deg"], 1e-3)
		stop, err := m.OnStop(90 * units.Degree)
		if err != nil {
			t.Fatal(err)
		}
		near(t, id+" stage 2", degreesOf(stop.Limit), want["stage2_deg"], 0.02)
		if v, ok := want["full_overturn_static_deg"]; ok {
			near(t, id+" static", degreesOf(stop.Static), v, 0.02)
			near(t, id+" lift", float64(stop.WheelLift), want["left_rear_lift_at_stop_m"], 1e-4)
			cg := want["cg_at_stop_m"].([]any)
			near(t, id+" x", float64(stop.CG.X), cg[0], 1e-4)
			near(t, id+" y", float64(stop.CG.Y), cg[1], 1e-4)
			near(t, id+" z", float64(stop.CG.Z), cg[2], 1e-4)
		}
	}

	in, want = use("B-rect")
	v := in.vehicle()
	v.Undercarriage.Kind = stability.Rigid
	tip, _ := compile(t, v).Tip(90 * units.Degree)
	near(t, "B-rect", degreesOf(tip.Limits[stability.TipsRight]), want["tip_deg"], 1e-3)

	in, want = use("C-400-45")
	v = in.vehicle()
	m := compile(t, v)
	tip, _ = m.Tip(90 * units.Degree)
	near(t, "C 90", degreesOf(tip.Limits[stability.TipsRight]), want["tip_90_deg"], 1e-3)
	tip, _ = m.Tip(120 * units.Degree)
	near(t, "C 120", degreesOf(tip.Limits[stability.TipsRight]), want["tip_120_deg"], 1e-3)
	whole, err := stability.Assemble(v.Body.Part(), v.Undercarriage.Axle)
	if err != nil {
		t.Fatal(err)
	}
	v.Body, v.Undercarriage.Axle = whole, stability.Part{}
	tip, _ = compile(t, v).Tip(90 * units.Degree)
	near(t, "C total", degreesOf(tip.Limits[stability.TipsRight]), want["tip_if_total_cg_used_90_deg"], 1e-3)

	for _, id := range []string{"E-5", "E+5", "E+10"} {
		in, want := use(id)
		tip, _ := compile(t, in.vehicle()).Tip(90 * units.Degree)
		near(t, id, degreesOf(tip.Limits[stability.TipsRight]), want["tip_right_deg"], 1e-3)
	}

	for _, id := range []string{"F05", "F10", "F15", "F25", "F30", "F-up05", "F-up10", "F-up30"} {
		in, want := use(id)
		s := stability.Situation{Slope: units.Slope(units.Angle(in.Slope) * units.Degree), Heading: units.Angle(*in.Heading) * units.Degree}
		l, err := compile(t, in.vehicle()).Loads(s)
		if err != nil {
			t.Fatal(err)
		}
		for name, r := range map[string]stability.Row{"fl": stability.RowFrontLeft, "fr": stability.RowFrontRight, "rl": stability.RowRearLeft, "rr": stability.RowRearRight, "front": stability.RowFrontAxle, "rear": stability.RowRearAxle} {
			if v, ok := want[name]; ok {
				near(t, id+" "+name, float64(l.Rows[r])/kgf, v, 0.05)
			}
		}
	}

	in, want = use("F-obl")
	m = compile(t, in.vehicle())
	for name, bias := range map[string]units.Fraction{"all_on_right_rear": -1, "equal_split": 0} {
		s := stability.Situation{Slope: units.Slope(units.Angle(in.Slope) * units.Degree), Heading: 60 * units.Degree, RearBias: bias}
		l, _ := m.Loads(s)
		w := want[name].(map[string]any)
		for key, r := range map[string]stability.Row{"fl": stability.RowFrontLeft, "fr": stability.RowFrontRight, "rl": stability.RowRearLeft, "rr": stability.RowRearRight} {
			near(t, "F-obl "+name+" "+key, float64(l.Rows[r])/kgf, w[key], 0.05)
		}
	}

	for _, id := range []string{"G030", "G060", "G150"} {
		in, want := use(id)
		m := compile(t, in.vehicle())
		for i, share := range []units.Fraction{0, 0.2, 0.4, 0.6} {
			tip, err := m.TipHolding(units.Angle(*in.Heading)*units.Degree, share)
			if err != nil {
				t.Fatal(err)
			}
			near(t, id, degreesOf(tip.Limits[stability.TipsRight]), want["tip_right_deg"].([]any)[i], 1e-3)
		}
	}

	for _, id := range []string{"H00", "H05", "H15", "H25", "H30"} {
		in, want := use(id)
		e, err := compile(t, in.vehicle()).EnergyToOverturn(stability.Situation{Slope: units.Slope(units.Angle(in.Slope) * units.Degree), Heading: 90 * units.Degree})
		if err != nil {
			t.Fatal(err)
		}
		// 0.2 percent, but the file prints a tenth of a joule.
		tol := func(v any) float64 { return 0.002*num(v) + 0.05 }
		near(t, id+" no stop", float64(e.NoStop), want["pivot_axis_only_no_stop_J"], tol(want["pivot_axis_only_no_stop_J"]))
		near(t, id+" rigid", float64(e.NoPin), want["rigid_rectangle_J"], tol(want["rigid_rectangle_J"]))
		near(t, id+" with stop", float64(e.Barrier), want["with_stop_J"], tol(want["with_stop_J"]))
		if peak := map[string]stability.Stage{"stage1": stability.PinStage, "stage2": stability.StopStage}[want["peak_in"].(string)]; e.Peak != peak {
			t.Errorf("%s: peak in %v, want %v", id, e.Peak, peak)
		}
	}

	for _, id := range []string{"I-1000", "I-400", "I-300"} {
		in, want := use(id)
		v := in.vehicle()
		v.Gravity = 9.81 // as the file says
		soft, err := compile(t, v).TipOnTires(90 * units.Degree)
		if err != nil {
			t.Fatal(err)
		}
		near(t, id, degreesOf(soft.Limit), want["tip_deg"], 0.02)
		near(t, id+" first order", degreesOf(soft.FirstOrder), want["first_order_tip_deg"], 0.02)
		near(t, id+" roll", float64(soft.Roll/units.Degree), want["roll_at_tip_deg"], 0.02)
	}

	for _, id := range []string{"J-R4", "J-R10"} {
		in, want := use(id)
		v := in.vehicle()
		check := func(v stability.Vehicle, a, speed string) {
			// The source has the acceleration across the machine, which it is on
			// a wide circle only.
			turn, err := compile(t, v).Turn(stability.Situation{}, wide)
			if err != nil {
				t.Fatal(err)
			}
			near(t, id+" "+a, float64(turn.Left.Parallel.Acceleration)/kgf, want[a], 1e-3)
			on := units.Speed(math.Sqrt(in.Radius / wide))
			near(t, id+" "+speed, float64(turn.Left.ParallelSpeed*on)*3.6, want[speed], 1e-3)
			near(t, id+" "+speed, float64(turn.Right.HorizontalSpeed*on)*3.6, want[speed], 1e-3)
			tight, err := compile(t, v).Turn(stability.Situation{}, units.Length(in.Radius))
			if err != nil {
				t.Fatal(err)
			}
			if got := float64(tight.Left.ParallelSpeed) * 3.6; !(got < want[speed].(float64)) {
				t.Errorf("%s: %v km/h on the circle itself, across only %v", id, got, want[speed])
			}
		}
		check(v, "a_lat_g_pivot", "v_pivot_kmh")
		// The rectangle loses both wheels of a side at once only if each axle
		// carries half.
		v.Undercarriage.Kind, v.Body.CG.X = stability.Rigid, v.Undercarriage.Wheelbase/2
		check(v, "a_lat_g_rect", "v_rect_kmh")
	}

	for _, id := range []string{"J-S05", "J-S10", "J-S15"} {
		in, want := use(id)
		turn, err := compile(t, in.vehicle()).Turn(stability.Situation{Slope: units.Slope(units.Angle(in.Slope) * units.Degree), Heading: 90 * units.Degree}, wide)
		if err != nil {
			t.Fatal(err)
		}
		// Downhill is on the right, so the center uphill is on the left.
		near(t, id+" parallel", float64(turn.Left.Parallel.Acceleration)/kgf, want["accel_parallel_to_slope_g"], 1e-4)
		near(t, id+" horizontal", float64(turn.Left.Horizontal.Acceleration)/kgf, want["accel_horizontal_g"], 1e-4)
	}

	for _, id := range []string{"K-pull00", "K-pull10", "K-pull20"} {
		in, want := use(id)
		p, err := compile(t, in.vehicle()).PullToLift(stability.Situation{
			Slope:   units.Slope(units.Angle(in.Slope) * units.Degree),
			Drawbar: stability.Drawbar{Hitch: stability.Point{X: -0.4, Z: units.Length(in.HitchH)}},
		})
		if err != nil {
			t.Fatal(err)
		}
		near(t, id, float64(p.Pull), want["pull_N"], 0.001*num(want["pull_N"]))
		if p.Kind != stability.RearEdge {
			t.Errorf("%s: %v", id, p.Kind)
		}
	}

	for _, id := range []string{"K-time105", "K-time150", "K-time200", "K-time300"} {
		in, want := use(id)
		const r = 0.7 // the rows count heights from the axle; any radius will do
		m := compile(t, stability.Vehicle{
			Body: stability.Body{
				Mass: units.Mass(in.Chassis), CG: stability.Point{X: units.Length(in.X), Z: units.Length(in.AboveAxle + r)},
				Inertia: stability.Inertia{YY: units.Inertia(in.Chassis * in.K2)},
			},
			Undercarriage: stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: 2.4, RearTrack: 1.5, FrontTrack: 1.5, RearAxleHeight: r},
			Gravity:       9.81,
		})
		rear, err := m.Rear(stability.Rearing{Torque: units.Moment(in.N * in.Chassis * 9.81 * in.X)})
		if err != nil {
			t.Fatal(err)
		}
		near(t, id+" balance", float64(rear.Balance/units.Degree), want["pitch_balance_deg"], 0.01)
		near(t, id+" no return", float64(rear.NoReturn/units.Degree), want["pitch_pnr_deg"], 0.01)
		near(t, id+" t balance", float64(rear.BalanceTime), want["t_balance_s"], 0.01*num(want["t_balance_s"]))
		near(t, id+" t no return", float64(rear.NoReturnTime), want["t_pnr_s"], 0.01*num(want["t_pnr_s"]))
	}

	in, want = use("L-empty")
	tip, _ = compile(t, in.vehicle()).Tip(90 * units.Degree)
	near(t, "L-empty", degreesOf(tip.Limits[stability.TipsRight]), want["side_tip_deg"], 1e-3)

	in, want = use("L-150")
	empty := in.vehicle()
	load := stability.Part{Mass: units.Mass(in.Load), CG: stability.Point{X: units.Length(in.Wheelbase + in.Ahead), Z: units.Length(in.LoadH)}}
	body, err := stability.Assemble(empty.Body.Part(), load)
	if err != nil {
		t.Fatal(err)
	}
	v = empty
	v.Body = body
	m = compile(t, v)
	tip, _ = m.Tip(90 * units.Degree)
	near(t, "L-150 side", degreesOf(tip.Limits[stability.TipsRight]), want["side_tip_deg"], 1e-3)
	near(t, "L-150 x", float64(body.CG.X), want["cg_x_m"], 1e-5)
	near(t, "L-150 z", float64(body.CG.Z), want["cg_h_m"], 1e-5)
	l, _ := m.Loads(stability.Situation{})
	near(t, "L-150 share", float64(l.Of(stability.RowRearAxle)/(l.Of(stability.RowRearAxle)+l.Of(stability.RowFrontAxle))), want["rear_axle_share"], 1e-5)
	v.Undercarriage.Kind = stability.Rigid
	tip, _ = compile(t, v).Tip(90 * units.Degree)
	near(t, "L-150 rigid", degreesOf(tip.Limits[stability.TipsRight]), want["rigid_rectangle_deg"], 1e-3)
	tipping := func(s stability.Situation) float64 {
		i, err := empty.Undercarriage.Influence(s, 0)
		if err != nil {
			t.Fatal(err)
		}
		c := i.Body(stability.RowRearAxle)
		b := empty.Body.Part()
		return -float64(c.Of(&b)) / float64(c.At(load.CG))
	}
	near(t, "L-150 level", tipping(stability.Situation{}), want["tip_load_level_kg"], 0.01)
	near(t, "L-150 nose down", tipping(stability.Situation{Slope: units.Slope(10 * units.Degree), Heading: 180 * units.Degree}), want["tip_load_nose_down_10deg_kg"], 0.01)

	// 59 lines with the head: the rest are rows M (3) and N (2).
	if want := len(rows) - 5; seen != want {
		t.Errorf("%d rows used, want %d", seen, want)
	}
}

// The stability rows of checks.csv, whose sources stand in its source column.
func textbookChecks(t *testing.T) {
	rows := readCSV(t, "checks.csv")
	read := func(id string) (in, want map[string]any) {
		t.Helper()
		if err := json.Unmarshal([]byte(rows[id][2]), &in); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal([]byte(rows[id][3]), &want); err != nil {
			t.Fatal(err)
		}
		return in, want
	}
	f := func(m map[string]any, k string) float64 {
		v, ok := m[k].(float64)
		if !ok {
			t.Fatalf("no number %s", k)
		}
		return v
	}
	inch, lb := float64(units.Inch), float64(units.Pound)
	// axles returns the axle loads of parts on a machine with any tracks.
	frame := func(l float64) stability.Undercarriage {
		return stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: units.Length(l), RearTrack: 1.2, FrontTrack: 1.2}
	}
	axles := func(u stability.Undercarriage, g units.Acceleration, s stability.Situation, parts ...stability.Part) (front, rear float64) {
		t.Helper()
		b, err := stability.Assemble(parts...)
		if err != nil {
			t.Fatal(err)
		}
		l, err := compile(t, stability.Vehicle{Body: b, Undercarriage: u, Gravity: g}).Loads(s)
		if err != nil {
			t.Fatal(err)
		}
		return float64(l.Of(stability.RowFrontAxle)), float64(l.Of(stability.RowRearAxle))
	}
	at := func(mass, x, z float64) stability.Part {
		return stability.Part{Mass: units.Mass(mass), CG: stability.Point{X: units.Length(x), Z: units.Length(z)}}
	}
	tipping := func(u stability.Undercarriage, load stability.Point, parts ...stability.Part) float64 {
		t.Helper()
		i, err := u.Influence(stability.Situation{}, 0)
		if err != nil {
			t.Fatal(err)
		}
		var have float64
		for _, p := range parts {
			have += float64(i.Of(p)[stability.RowRearAxle])
		}
		return -have / float64(i.Body(stability.RowRearAxle).At(load))
	}

	in, want := read("S01")
	v := stability.Vehicle{
		Body:          stability.Body{Mass: 1000, CG: stability.Point{X: 1, Z: units.Length(f(in, "h_m"))}},
		Undercarriage: stability.Undercarriage{Kind: stability.Rigid, Wheelbase: 2, RearTrack: units.Length(f(in, "track_m")), FrontTrack: units.Length(f(in, "track_m"))},
		Gravity:       units.Acceleration(f(in, "g")),
	}
	turn, err := compile(t, v).Turn(stability.Situation{}, wide)
	if err != nil {
		t.Fatal(err)
	}
	speed := units.Speed(f(in, "v_kmh")) * units.KilometerPerHour
	near(t, "S01", float64(speed*speed)/float64(turn.Left.Parallel.Acceleration), want["R_m"], 0.01)

	in, want = read("S03")
	l := f(in, "wheelbase_in") * inch
	truck := at(f(in, "truck_lb")*lb, l-f(in, "cg_behind_front_in")*inch, 0.8)
	load := at(f(in, "load_lb")*lb, l+f(in, "load_ahead_front_in")*inch, 0.5)
	front, rear := axles(frame(l), 0, stability.Situation{}, truck, load)
	near(t, "S03 front", front/kgf/lb/2, want["front_wheel_each_lb"], 1)
	near(t, "S03 rear", rear/kgf/lb/2, want["rear_wheel_each_lb"], 1)
	near(t, "S03 tipping", tipping(frame(l), load.CG, truck)/lb, want["tipping_load_lb"], 1)

	in, want = read("S08")
	front, rear = axles(frame((f(in, "rear_to_cg_cm")+f(in, "front_to_cg_cm"))/100), 0, stability.Situation{}, at(f(in, "W_kgf"), f(in, "rear_to_cg_cm")/100, 0.7))
	near(t, "S08 front", front/kgf, want["front_kgf"], 0.1)
	near(t, "S08 rear", rear/kgf, want["rear_kgf"], 0.1)

	in, want = read("S10")
	v.Body.CG.Z = units.Length(f(in, "h_m"))
	v.Undercarriage.RearTrack, v.Undercarriage.FrontTrack = units.Length(f(in, "width_m")), units.Length(f(in, "width_m"))
	tip, _ := compile(t, v).Tip(90 * units.Degree)
	near(t, "S10", degreesOf(tip.First), want["tip_deg"], 0.02)

	in, want = read("S11")
	l = (f(in, "rear_to_cg_in") + f(in, "cg_to_front_in")) * inch
	tractor := at(f(in, "tractor_lb")*lb, f(in, "rear_to_cg_in")*inch, 0.7)
	load = at(f(in, "load_lb")*lb, l+f(in, "front_to_load_in")*inch, 1)
	front, rear = axles(frame(l), 0, stability.Situation{}, tractor, load)
	near(t, "S11 front", front/kgf/lb/2, want["front_wheel_each_lb"], 1e-9*1175)
	near(t, "S11 rear", rear/kgf/lb/2, want["rear_wheel_each_lb"], 1e-9*325)
	near(t, "S11 tipping", tipping(frame(l), load.CG, tractor)/lb, want["tipping_load_lb"], 1e-9*1680)

	in, want = read("LD1")
	l = f(in, "axle_spacing_AB_m")
	front, rear = axles(frame(l), units.Acceleration(f(in, "g")), stability.Situation{},
		at(f(in, "machine_kg"), l-f(in, "machine_cg_from_A_toward_B_m"), 0.8), at(f(in, "load_kg"), l+f(in, "load_ahead_of_A_m"), 1))
	near(t, "LD1 A", front, want["N_A_N"], 1)
	near(t, "LD1 B", rear, want["N_B_N"], 1)

	in, want = read("WT1")
	u := frame(f(in, "L_m"))
	p := at(3000, 1, 0.9)
	f0, r0 := axles(u, 0, stability.Situation{}, p)
	f1, r1 := axles(u, 0, stability.Situation{Drawbar: stability.Drawbar{Pull: units.Force(f(in, "P_kN") * 1e3), Hitch: stability.Point{X: -0.5, Z: units.Length(f(in, "h_m"))}}}, p)
	near(t, "WT1 rear", (r1-r0)/1e3, want["rear_add_kN"], 1e-9)
	near(t, "WT1 front", (f1-f0)/1e3, want["front_add_kN"], 1e-9)

	in, want = read("BR4")
	u = frame(f(in, "L_m"))
	p = at(f(in, "m_kg"), 1, f(in, "cg_h_m"))
	f0, _ = axles(u, 0, stability.Situation{}, p)
	f1, _ = axles(u, 0, stability.Situation{Acceleration: units.Acceleration(-f(in, "a"))}, p)
	near(t, "BR4", (f1-f0)/kgf, want["front_add_kg"], 0.01)

	in, want = read("DY2")
	n, err := stability.DropFactor(units.Length(f(in, "drop_m")), units.Length(f(in, "static_deflection_m")))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "DY2", float64(n), want["n"], 1e-3)

	base := func(in map[string]any) (stability.Undercarriage, stability.Part) {
		u := stability.Undercarriage{
			Kind: stability.PivotingFront, Wheelbase: units.Length(f(in, "wheelbase_m")), RearTrack: units.Length(f(in, "track_m")),
			FrontTrack: units.Length(f(in, "track_m")), PinHeight: units.Length(f(in, "pivot_h_m")),
		}
		return u, at(f(in, "mass_kg"), f(in, "cg_x_m"), f(in, "cg_h_m"))
	}
	in, want = read("K1")
	u, p = base(in)
	reach := f(in, "wheelbase_m") + f(in, "load_ahead_of_front_axle_m")
	load = at(f(in, "load_kg"), reach, 1.5)
	for name, x := range map[string]float64{"none": math.NaN(), "rear_tires": 0, "box_1.2m_behind_rear_axle": -1.2, "front_tires": f(in, "wheelbase_m")} {
		parts := []stability.Part{p}
		if !math.IsNaN(x) {
			parts = append(parts, at(f(in, "ballast_kg"), x, 0.6))
		}
		if w, ok := want["tipping_load_kg"].(map[string]any)[name]; ok {
			near(t, "K1 tipping "+name, tipping(u, load.CG, parts...), w, 0.1)
		}
		if w, ok := want["front_axle_kg"].(map[string]any)[name]; ok {
			front, _ := axles(u, 0, stability.Situation{}, append(parts, load)...)
			near(t, "K1 front "+name, front/kgf, w, 0.1)
		}
	}

	in, want = read("K2")
	u, p = base(in)
	pin := f(in, "wheelbase_m") + f(in, "pin_ahead_of_front_axle_m")
	forks := at(f(in, "forks_kg"), pin+f(in, "forks_cg_ahead_of_pin_m"), 1)
	x := pin + f(in, "face_ahead_of_pin_m") + f(in, "load_centre_m")
	near(t, "K2", tipping(u, stability.Point{X: units.Length(x)}, p, forks), want["tipping_load_kg"], 0.1)

	// Off center, a rear wheel lifts before the axle does.
	in, want = read("K3")
	u, p = base(in)
	infl, err := u.Influence(stability.Situation{}, 0)
	if err != nil {
		t.Fatal(err)
	}
	for i, y := range in["load_y_m"].([]any) {
		least := math.Inf(1)
		for _, r := range []stability.Row{stability.RowRearAxle, stability.RowLiftLeft, stability.RowLiftRight} {
			c := infl.Body(r)
			per := float64(c.At(stability.Point{X: units.Length(reach), Y: units.Length(y.(float64)), Z: 1.5}))
			if per < 0 {
				least = min(least, -float64(c.Of(&p))/per)
			}
		}
		near(t, "K3 "+strconv.Itoa(i), least, want["load_kg"].([]any)[i], 0.1)
	}

	in, want = read("K4")
	u, p = base(in)
	for i, m := range in["load_kg"].([]any) {
		_, rear := axles(u, 0, stability.Situation{}, p, at(f(in, "liquid_kg"), 0, 0.6), at(f(in, "box_kg"), -f(in, "box_behind_rear_axle_m"), 0.7), at(m.(float64), reach, 1))
		near(t, "K4 "+strconv.Itoa(i), rear/kgf, want["rear_axle_kg"].([]any)[i], 0.1)
	}

	in, want = read("K5")
	u, p = base(in)
	k5 := want["tipping_load_kg"].(map[string]any)
	near(t, "K5 raised", tipping(u, load.CG, p, at(f(in, "implement_kg"), -f(in, "behind_rear_axle_m"), 0.7)), k5["raised"], 0.1)
	near(t, "K5 resting", tipping(u, load.CG, p), k5["resting"], 0.1)
}

// wide is the radius of a circle on which the acceleration is across the
// machine.
const wide = 1e5
