package stability

import "example.com/steelyard/units"

// Brake holds the limits of braking in the direction of travel.
type Brake struct {
	// Lifts is the deceleration at which the first wheel is lost, as a positive
	// number. On level ground, straight ahead, the rear axle lifts at
	// g (sum m (L - x)) / (sum m z).
	Lifts AccelerationLimit `json:"lifts"`
	// Slides is the deceleration at which the braked wheels slide. It is not
	// checked without a friction coefficient.
	Slides AccelerationLimit `json:"slides"`
	// Notes are what the limits assume.
	Notes Notes `json:"notes"`
	// Cautions belong beside the limits.
	Cautions Cautions `json:"cautions"`
}

// Braking returns how hard the machine may brake while it drives forward in a
// situation. The situation's own Acceleration is ignored. A raised load lowers
// the limit considerably.
func (m *Model) Braking(s Situation) (Brake, error) {
	s.Acceleration = 0
	if err := s.Validate(); err != nil {
		return Brake{}, err
	}
	if m.bends != nil {
		return leastOver(m, func(b *Model) (Brake, float64) {
			one, _ := b.Braking(s) // its input is checked
			one.Slides = AccelerationLimit{Kind: one.Slides.Kind}
			return one, size(one.Lifts.Status, float64(one.Lifts.Acceleration))
		}), nil
	}
	c := s.compile(m.g)
	var apart footing
	f := m.under(&c, &apart)
	b := Brake{Notes: m.notes, Cautions: SlopeCautions}
	if c.s.FrontShare > 0 {
		b.Notes &^= NoteFrontRollsFree
	}
	b.Lifts = m.accelerate(f, &c, straight(vec{-1}))
	b.Slides = m.slideBraking(&c)
	if s.Friction == 0 {
		b.Notes |= NoteFrictionUnknown
	}
	return b, nil
}

// slideBraking returns the deceleration at which the braked axle, or with all
// wheels braked the whole machine, slides.
func (m *Model) slideBraking(c *Case) AccelerationLimit {
	mu := float64(c.s.Friction)
	l := AccelerationLimit{Kind: SlidesRear}
	switch c.s.Held {
	case HeldAll:
		return m.slideOff(c, vec{-1})
	case HeldFront:
		l.Kind = SlidesFront
	}
	if mu == 0 || c.s.Drawbar.Pull != 0 || m.v.Undercarriage.bent() {
		return l
	}
	w := &m.whole
	unit := w.linear(vec{1})
	here := w.linear(c.w)
	row := RowRearAxle
	if l.Kind == SlidesFront {
		row = RowFrontAxle
	}
	n, rise := m.foot.rows.loads(&here)[row], m.foot.rows.loads(&unit)[row]
	// The lateral forces follow from the moments about the vertical, with equal
	// longitudinal forces on both wheels of an axle.
	base := float64(m.v.Undercarriage.Wheelbase)
	front, frontRise := -here[5]/base, w.y/base
	side, sideRise := front, frontRise
	if l.Kind == SlidesRear {
		side, sideRise = -w.m*c.w[1]-front, -frontRise
	}
	if !(n > 0) {
		l.Status = Exceeded
		return l
	}
	// (m (Gx + a))^2 + (side + sideRise a)^2 = mu^2 (n + rise a)^2
	mm, gx := w.m, c.w[0]
	a, s := leastRoot(
		mm*mm+sideRise*sideRise-mu*mu*rise*rise,
		2*(mm*mm*gx+side*sideRise-mu*mu*n*rise),
		mm*mm*gx*gx+side*side-mu*mu*n*n)
	l.Acceleration, l.Status = units.Acceleration(a), s
	return l
}
