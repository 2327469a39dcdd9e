package stability_test

import (
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// What a model assumes goes by its fields, one by one.
func TestModelNotes(t *testing.T) {
	plain := loaderTractor(300)
	plain.Undercarriage.RearTireStiffness, plain.Undercarriage.StopAngle = 4e5, angle(8)
	plain.Undercarriage.Axle = stability.Part{Mass: 200, CG: stability.Point{X: 2.1, Z: 0.4}}
	const always = stability.NoteFirmGround | stability.NoteQuasiStatic
	const pinned = always | stability.NotePinFree | stability.NoteLiftingWheelFree | stability.NoteFrontRollsFree | stability.NoteEqualRearSplit
	for name, c := range map[string]struct {
		set  func(*stability.Vehicle)
		want stability.Notes
	}{
		"all known":         {func(v *stability.Vehicle) {}, pinned},
		"no tire stiffness": {func(v *stability.Vehicle) { v.Undercarriage.RearTireStiffness = 0 }, pinned | stability.NoteRigidTires},
		"no stop angle":     {func(v *stability.Vehicle) { v.Undercarriage.StopAngle = 0 }, pinned | stability.NoteStopUnknown},
		"no pin height":     {func(v *stability.Vehicle) { v.Undercarriage.PinHeight = 0 }, pinned | stability.NotePinHeightUnknown},
		"no axle mass":      {func(v *stability.Vehicle) { v.Undercarriage.Axle.Mass = 0 }, pinned | stability.NoteAxleMassless},
		"pitch rise":        {func(v *stability.Vehicle) { v.Body.PitchRise = 0.1 }, pinned | stability.NoteSurfaceFirstOrder},
		"roll rise":         {func(v *stability.Vehicle) { v.Body.RollRise = 0.1 }, pinned | stability.NoteSurfaceFirstOrder},
		"axle pitch rise":   {func(v *stability.Vehicle) { v.Undercarriage.Axle.PitchRise = 0.1 }, pinned | stability.NoteSurfaceFirstOrder},
		"axle roll rise":    {func(v *stability.Vehicle) { v.Undercarriage.Axle.RollRise = 0.1 }, pinned | stability.NoteSurfaceFirstOrder},
		"articulated": {func(v *stability.Vehicle) {
			v.Undercarriage.Kind, v.Undercarriage.Straight = stability.Articulated, true
		}, pinned},
		"rigid": {func(v *stability.Vehicle) { v.Undercarriage.Kind = stability.Rigid }, always | stability.NoteEqualTires},
		"rigid, nothing": {func(v *stability.Vehicle) {
			v.Undercarriage = stability.Undercarriage{Kind: stability.Rigid, Wheelbase: 2, RearTrack: 1, FrontTrack: 1}
		}, always | stability.NoteEqualTires | stability.NoteRigidTires},
		"tricycle": {func(v *stability.Vehicle) { v.Undercarriage.Kind = stability.Tricycle }, always},
		"pivoting rear axle": {func(v *stability.Vehicle) {
			v.Undercarriage.Kind = stability.PivotingRear
			v.Undercarriage.Axle.CG.X = 0
		}, pinned},
	} {
		v := plain
		c.set(&v)
		m := compile(t, v)
		if m.Notes() != c.want {
			t.Errorf("%s: %v, want %v", name, m.Notes(), c.want)
		}
		if tip, _ := m.Tip(1); tip.Notes != c.want {
			t.Errorf("%s: a limit notes %v, want %v", name, tip.Notes, c.want)
		}
	}
}

// What an answer assumes beyond its model goes by the situation: friction not
// known, and front wheels that roll freely unless they hold.
func TestSituationNotes(t *testing.T) {
	v := loaderTractor(300)
	v.Undercarriage.RearAxleHeight = 0.6
	m := compile(t, v)
	base := m.Notes()
	if !base.Has(stability.NoteFrontRollsFree) || base.Has(stability.NoteFrictionUnknown) {
		t.Fatalf("the model notes %v", base)
	}
	for _, s := range []stability.Situation{{}, {Friction: 0.6}, {FrontShare: 0.3}, {Friction: 0.6, FrontShare: 0.3}} {
		want := base
		if s.FrontShare > 0 {
			want &^= stability.NoteFrontRollsFree
		}
		holding := want
		if s.Friction == 0 {
			want |= stability.NoteFrictionUnknown
		}
		l, err := m.Limits(s)
		if err != nil || l.Notes != want {
			t.Errorf("%+v: limits note %v, want %v; %v", s, l.Notes, want, err)
		}
		b, err := m.Braking(s)
		if err != nil || b.Notes != want || b.Cautions != stability.SlopeCautions {
			t.Errorf("%+v: braking notes %v, want %v; %v", s, b.Notes, want, err)
		}
		if known := s.Friction > 0; (b.Slides.Status != stability.NotChecked) != known || (l.FirstSlide.Status != stability.NotChecked) != known {
			t.Errorf("%+v: slides %v and %v", s, b.Slides, l.FirstSlide)
		}
		tip, err := m.TipHolding(1, s.FrontShare)
		if err != nil || tip.Notes != holding {
			t.Errorf("%+v: holding notes %v, want %v; %v", s, tip.Notes, holding, err)
		}
		turn, err := m.Turn(s, 10)
		unknown := want & stability.NoteFrictionUnknown
		if err != nil || turn.Notes != base|stability.NoteParallelAcceleration|stability.NoteHorizontalAcceleration|unknown {
			t.Errorf("%+v: a turn notes %v; %v", s, turn.Notes, err)
		}
		if known := s.Friction > 0; (turn.Left.Slides.Status != stability.NotChecked) != known || (turn.Left.SlideSpeed > 0) != known {
			t.Errorf("%+v: a turn slides %+v", s, turn.Left)
		}
		g, err := m.Margin(s)
		if err != nil || g.Notes != holding || g.Cautions != stability.SlopeCautions {
			t.Errorf("%+v: a margin notes %v and %v; %v", s, g.Notes, g.Cautions, err)
		}
	}
	// A drawbar or a bent joint leaves the braked axle's slide unchecked.
	b, err := m.Braking(stability.Situation{Friction: 0.6, Drawbar: stability.Drawbar{Pull: 100, Hitch: stability.Point{X: -0.5, Z: 0.5}}})
	if err != nil || b.Slides != (stability.AccelerationLimit{Kind: stability.SlidesRear}) {
		t.Errorf("pulling: %+v, %v", b.Slides, err)
	}
	bent := v
	bent.Undercarriage.Kind, bent.Undercarriage.JointX, bent.Undercarriage.JointAngle = stability.Articulated, 1, 0.2
	for held, kind := range map[stability.Held]stability.LimitKind{stability.HeldRear: stability.SlidesRear, stability.HeldFront: stability.SlidesFront} {
		b, err = compile(t, bent).Braking(stability.Situation{Friction: 0.6, Held: held})
		if err != nil || b.Slides != (stability.AccelerationLimit{Kind: kind}) {
			t.Errorf("bent: %+v, %v", b.Slides, err)
		}
	}
	// A body without inertia is a point mass in motion, and says so.
	for _, i := range []stability.Inertia{{}, {XX: 500, YY: 1500, ZZ: 1500}} {
		w := v
		w.Body.Inertia = i
		m := compile(t, w)
		point := i == stability.Inertia{}
		r, err := m.Rear(stability.Rearing{Torque: 1e4})
		if err != nil || r.Notes.Has(stability.NotePointMass) != point || !r.Notes.Has(stability.NoteStartStated|stability.NoteAxleBlocked) || r.Notes.Has(stability.NoteQuasiStatic) {
			t.Errorf("rearing notes %v, %v", r.Notes, err)
		}
		o, err := m.Rollover(stability.Rolling{Heading: 1, Rate: 1})
		if err != nil || o.Notes.Has(stability.NotePointMass) != point || !o.Notes.Has(stability.NoteStartStated|stability.NoteNoLossAtStop) || o.Notes.Has(stability.NoteQuasiStatic) {
			t.Errorf("a rollover notes %v, %v", o.Notes, err)
		}
	}
	soft := v
	soft.Undercarriage.RearTireStiffness = 3e5
	for stiffness, want := range map[units.Stiffness]bool{0: true, 3e5: false} {
		soft.Undercarriage.RearTireStiffness = stiffness
		tip, err := compile(t, soft).TipOnTires(angle(90))
		if err != nil || tip.Notes.Has(stability.NoteRigidTires) != want || (tip.Limit.Status == stability.NotChecked) != want {
			t.Errorf("stiffness %v: %+v, %v", stiffness, tip, err)
		}
	}
	rigid := v
	rigid.Undercarriage.Kind, rigid.Undercarriage.RearTireStiffness = stability.Rigid, 3e5
	if tip, err := compile(t, rigid).TipOnTires(angle(90)); err != nil || tip.Limit.Status != stability.NotChecked || !tip.Notes.Has(stability.NoteRigidTires) {
		t.Errorf("rigid on tires: %+v, %v", tip, err)
	}
}
