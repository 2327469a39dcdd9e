package stability

import (
	"math"

	"example.com/steelyard/units"
)

// Recompile prepares the model for another vehicle, in its own place: the answers
// then are those of the vehicle's [Vehicle.Compile], to the last bit. What follows
// from the contacts alone is kept while they stay, which makes it several times as
// fast, and nothing is allocated unless a bend is not known. The zero model can be
// recompiled. On error the model answers nothing.
//
// It is for one goroutine that asks about many vehicles; no other may ask the model
// meanwhile.
func (m *Model) Recompile(v Vehicle) error {
	if err := v.Validate(); err != nil {
		*m = Model{}
		return err
	}
	if m.g == 0 || m.bends != nil || v.Undercarriage.bendUnknown() || m.v.Undercarriage.contactBits() != v.Undercarriage.contactBits() {
		*m = Model{}
		return m.compile(&v)
	}
	m.v, m.g, m.notes = v, gravity(v.Gravity), v.notes()
	m.weigh()
	return nil
}

// contactBits is all that a footing depends on, bit for bit.
func (u *Undercarriage) contactBits() [8]uint64 {
	b := func(v units.Length) uint64 { return math.Float64bits(float64(v)) }
	straight := uint64(0)
	if u.Straight {
		straight = 1
	}
	return [8]uint64{uint64(u.Kind), b(u.Wheelbase), b(u.RearTrack), b(u.FrontTrack), b(u.PinHeight), b(u.JointX),
		math.Float64bits(float64(u.JointAngle)), straight}
}
