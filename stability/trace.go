package stability

import "example.com/steelyard/units"

// TracePoint is a moment of a passage.
type TracePoint struct {
	// Way is how far the rear axle has come from where it started.
	Way units.Length `json:"way" zero:"value"`
	// Pitch is the pitch against level ground, nose down positive.
	Pitch units.Angle `json:"pitch" zero:"value"`
	// Rear is the load on the rear axle.
	Rear units.Force `json:"rear" zero:"value"`
	// Front is the load on the front axle.
	Front units.Force `json:"front" zero:"value"`
}

// Trace fills points with what a passage at a speed, 0.05 to 15 m/s, does at equal
// times, from its start until 1.5 s after the rear tires would be over the obstacle, or
// until the machine goes over. It follows the machine in the middle of what is known
// and returns how many points it filled. It is for a picture: extremes are those of
// [PassageModel.At]. It allocates nothing.
func (m *PassageModel) Trace(points []TracePoint, speed units.Speed) (int, error) {
	if err := checkSpeed("speed", speed); err != nil {
		return 0, err
	}
	var g motion
	over := m.set(&g, &m.variants[m.n-1], float64(m.p.Load.Mass), float64(speed)) + pastBalance
	p := &g.plane
	start := g.after[0] + p.axle[0].x
	end := m.way/p.speed + 1.5
	var t float64
	s, unused := g.after, state{}
	for i := range points {
		at := end * float64(i) / max(1, float64(len(points)-1))
		for t < at && g.steps < mostSteps {
			t += g.step(end)
		}
		if i > 0 {
			g.at(max(0, 1-(t-at)/g.h), &s)
		}
		if s[2] > over && s[5] > 0 || t < at {
			return i, nil
		}
		p.rate(&s, &unused)
		points[i] = TracePoint{
			Way: units.Length(s[0] + p.axle[0].x*p.cos + p.axle[0].z*p.sin - start), Pitch: units.Angle(s[2]),
			Rear: units.Force(p.force[0]), Front: units.Force(p.force[1]),
		}
	}
	return len(points), nil
}
