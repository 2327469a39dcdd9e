package ballast

import (
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// plain is the machine of the checks K1 to K5 and of the rows L-150 and
// L-empty: loader mass inside the tractor's data, the load on a pin a given
// distance ahead of the front axle and 1.5 m up.
func plain(t *testing.T, in map[string]any, ahead units.Length) Setup {
	t.Helper()
	base := units.Length(number(t, in, "wheelbase_m"))
	m := Machine{
		Mass: units.Mass(number(t, in, "mass_kg")), MassIncludes: MassDry, LoaderIncluded: WithLoader,
		CG:        stability.Point{X: units.Length(number(t, in, "cg_x_m")), Z: units.Length(number(t, in, "cg_h_m"))},
		Wheelbase: base, RearTrack: units.Length(number(t, in, "track_m")), FrontTrack: units.Length(number(t, in, "track_m")),
		PinHeight: units.Length(number(t, in, "pivot_h_m")),
		Operator:  OperatorAsStated, Fuel: Fuel{State: FuelAsStated},
		Rear: Axle{Radius: 0.6}, Front: Axle{Radius: 0.4},
		// The checks take a massless axle.
		AxleMass: 1, AxleHeight: 0.4,
	}
	const x = 1.5
	l := &Loader{Pivot: stability.Point{X: x, Z: 1.5}, Arm: base + ahead - x, LowestPin: 0.5, HighestPin: 2.5}
	return Setup{Machine: m, Loader: l, Attachment: &Attachment{Kind: BarePin}}
}

func hold(basis Basis) Lift {
	return Lift{Height: 1.5, Datum: PinHeight, Factor: 1, Basis: basis}
}

var wholeShare = Basis{Kind: BasisRearShare, Fraction: 0.2}

func use(t *testing.T, s Setup, l Lift) Use {
	t.Helper()
	u, err := s.UsableLoad(l)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

func check(t *testing.T, s Setup, l Lift, m units.Mass) Check {
	t.Helper()
	c, err := s.Check(l, m)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Checks K1 to K5 of checks.csv: moment balances about the front or rear
// contact line, derived there; tolerance 0.1 kg.
func TestTippingChecks(t *testing.T) {
	in, want := publishedRow(t, "checks.csv", "K1")
	ahead := units.Length(number(t, in, "load_ahead_of_front_axle_m"))
	load := units.Mass(number(t, in, "load_kg"))
	mass := units.Mass(number(t, in, "ballast_kg"))
	for name, p := range map[string][]Piece{
		"none":                      nil,
		"rear_tires":                {{Kind: RearLiquid, Mass: mass, Depth: 0.1, RollRise: 0.01}},
		"box_1.2m_behind_rear_axle": {{Kind: HitchBox, Mass: mass, CG: stability.Point{X: -1.2, Z: 0.6}, State: Raised}},
		"front_tires":               {{Kind: FrontLiquid, Mass: mass, Depth: 0.1, RollRise: 0.01}},
	} {
		s := plain(t, in, ahead)
		s.Pieces = p
		tipping := number(t, want["tipping_load_kg"].(map[string]any), name)
		near(t, "K1 tipping load, "+name, float64(use(t, s, hold(wholeShare)).Tipping), tipping, 0.1)
		if name != "front_tires" {
			front := number(t, want["front_axle_kg"].(map[string]any), name)
			near(t, "K1 front axle, "+name, float64(check(t, s, hold(wholeShare), load).Axles.Front), front, 0.1)
		}
	}

	in, want = publishedRow(t, "checks.csv", "K2")
	s := plain(t, in, units.Length(number(t, in, "pin_ahead_of_front_axle_m")))
	s.Attachment = &Attachment{Kind: Forks, Mass: units.Mass(number(t, in, "forks_kg")),
		CG:   Offset{Ahead: units.Length(number(t, in, "forks_cg_ahead_of_pin_m"))},
		Face: units.Length(number(t, in, "face_ahead_of_pin_m")), LoadCenter: units.Length(number(t, in, "load_centre_m")), Tine: -0.1}
	near(t, "K2", float64(use(t, s, hold(wholeShare)).Tipping), number(t, want, "tipping_load_kg"), 0.1)

	in, want = publishedRow(t, "checks.csv", "K3")
	s = plain(t, in, ahead)
	for i, y := range numbers(t, in, "load_y_m") {
		l := hold(wholeShare)
		l.Load.Sideways = units.Length(y)
		near(t, "K3", float64(use(t, s, l).WheelLift), numbers(t, want, "load_kg")[i], 0.1)
		l.Load.Sideways *= -1 // the mirror image
		near(t, "K3 mirrored", float64(use(t, s, l).WheelLift), numbers(t, want, "load_kg")[i], 0.1)
	}

	in, want = publishedRow(t, "checks.csv", "K4")
	s = plain(t, in, ahead)
	s.Pieces = []Piece{
		{Kind: RearLiquid, Mass: units.Mass(number(t, in, "liquid_kg"))},
		{Kind: HitchBox, Mass: units.Mass(number(t, in, "box_kg")), State: Raised,
			CG: stability.Point{X: units.Length(-number(t, in, "box_behind_rear_axle_m")), Z: 0.6}},
	}
	for i, m := range numbers(t, in, "load_kg") {
		c := check(t, s, hold(wholeShare), units.Mass(m))
		near(t, "K4", float64(c.Axles.Rear), numbers(t, want, "rear_axle_kg")[i], 0.1)
	}

	in, want = publishedRow(t, "checks.csv", "K5")
	s = plain(t, in, ahead)
	for name, state := range map[string]HitchState{"raised": Raised, "resting": Resting} {
		s.Pieces = []Piece{{Kind: HitchImplement, Mass: units.Mass(number(t, in, "implement_kg")), State: state,
			CG: stability.Point{X: units.Length(-number(t, in, "behind_rear_axle_m")), Z: 0.6}}}
		near(t, "K5, "+name, float64(use(t, s, hold(wholeShare)).Tipping), number(t, want["tipping_load_kg"].(map[string]any), name), 0.1)
	}
}

// Rows L-150 and L-empty of stability_cases.csv: moments and closed form,
// 0.1 % and 1e-3 degree. The rear-axle share there is of all that the wheels
// carry, and at the tipping load the rear axle carries nothing.
func TestLoaderRows(t *testing.T) {
	in, want := publishedRow(t, "stability_cases.csv", "L-150")
	s := plain(t, in, units.Length(number(t, in, "load_ahead_of_front_axle_m")))
	s.Machine.AxleMass = 0
	load := units.Mass(number(t, in, "load_kg"))
	tipping := number(t, want, "tip_load_level_kg")
	u := use(t, s, hold(wholeShare))
	near(t, "level", float64(u.Tipping), tipping, 1e-3*tipping)
	c := check(t, s, hold(wholeShare), load)
	near(t, "rear share", float64(c.Axles.RearShare()), number(t, want, "rear_axle_share"), 1e-3*0.308)
	near(t, "rear load at the tipping load", float64(check(t, s, hold(wholeShare), u.Tipping).Axles.Rear), 0, 1e-9)

	s.Machine.AxleMass = 1
	down := hold(wholeShare)
	down.Slope, down.Heading = units.Slope(10*units.Degree), 180*units.Degree
	tipping = number(t, want, "tip_load_nose_down_10deg_kg")
	near(t, "nose down", float64(use(t, s, down).Tipping), tipping, 1e-3*tipping)

	// The side-slope limit is the slope where the first rear wheel lifts: the
	// limit of the case is met there and not a hundredth of a degree sooner.
	for _, row := range []struct {
		id   string
		load units.Mass
	}{{"L-150", load}, {"L-empty", 0}} {
		_, want := publishedRow(t, "stability_cases.csv", row.id)
		deg := number(t, want, "side_tip_deg")
		s := plain(t, in, units.Length(number(t, in, "load_ahead_of_front_axle_m")))
		for _, d := range []float64{-0.02, 0.02} {
			side := hold(Basis{Kind: BasisTippingFraction, Fraction: 0.9})
			side.Slope, side.Heading = units.Slope(units.Angle(deg+d)*units.Degree), 90*units.Degree
			u, err := s.UsableLoad(side)
			if err != nil {
				t.Fatal(err)
			}
			if stands := u.WheelLift > row.load && u.WheelLift > 0; stands != (d < 0) {
				t.Errorf("%s: at %v degrees a wheel lifts at %v kg", row.id, deg+d, u.WheelLift)
			}
		}
	}
}

// Check S04 of checks.csv (29 CFR 1910.178 Appendix A): a rating of 3000 lb at
// 24 in allows 2400 lb at 30 in, exact.
func TestAttachmentRating(t *testing.T) {
	in, want := publishedRow(t, "checks.csv", "S04")
	k1, _ := publishedRow(t, "checks.csv", "K2")
	s := plain(t, k1, 1.35)
	s.Attachment = &Attachment{Kind: Forks, Mass: 120, CG: Offset{Ahead: 0.25}, Face: 0.15, Tine: -0.1,
		LoadCenter: units.Length(number(t, in, "rated_centre_in")) * units.Inch, Rating: units.Mass(number(t, in, "rated_lb")) * units.Pound}
	l := hold(wholeShare)
	l.Load.Center = units.Length(number(t, in, "actual_centre_in")) * units.Inch
	u := use(t, s, l)
	near(t, "S04", float64(u.Limit(LimitAttachment).Mass/units.Pound), number(t, want, "allowed_lb"), 1e-9)
	l.Load.Center = 20 * units.Inch // nearer is allowed no more
	u = use(t, s, l)
	near(t, "S04 nearer", float64(u.Limit(LimitAttachment).Mass/units.Pound), number(t, in, "rated_lb"), 1e-9)
}
