package stability

import "example.com/steelyard/units"

// PullLimit is the pull at the hitch at which a wheel is lost.
type PullLimit struct {
	// Kind is what happens at the limit.
	Kind LimitKind `json:"kind"`
	// Status says whether the limit can occur.
	Status Status `json:"status"`
	// Pull is the limiting pull, 0 or more. It means something only with the
	// statuses Within and Binds.
	Pull units.Force `json:"pull"`
	// Notes are what the limit assumes.
	Notes Notes `json:"notes"`
	// Cautions belong beside the limit.
	Cautions Cautions `json:"cautions"`
}

// PullToLift returns the steady pull at the situation's drawbar, in its
// direction, at which the first wheel is lost. The situation's own Pull is
// ignored. Straight up a slope, with the pull parallel to it at the height zh,
// the front lifts at m g (x cos b - z sin b)/zh.
func (m *Model) PullToLift(s Situation) (PullLimit, error) {
	s.Drawbar.Pull = 1
	if err := s.Validate(); err != nil {
		return PullLimit{}, err
	}
	if m.bends != nil {
		return leastOver(m, func(b *Model) (PullLimit, float64) {
			one, _ := b.PullToLift(s) // its input is checked
			return one, size(one.Status, float64(one.Pull))
		}), nil
	}
	c := s.compile(m.g)
	var apart footing
	f := m.under(&c, &apart)
	unit := s.Drawbar.wrench()
	here := m.whole.wrench(c.w)
	g := growing{start: f.rows.all(&here), rise: f.rows.all(&unit)}
	way := course{
		load:  func(x float64) [7]float64 { return grown(&here, &unit, x) },
		end:   g.end,
		scale: m.whole.m * m.g, most: 1e8,
	}
	first := f.within(&way)
	return PullLimit{Kind: first.Kind, Status: first.Status, Pull: units.Force(first.Grade), Notes: m.notes, Cautions: SlopeCautions}, nil
}

// grown returns start + x rise.
func grown(start, rise *[7]float64, x float64) (w [7]float64) {
	for i := range w {
		w[i] = start[i] + float64(x*rise[i])
	}
	return w
}
