package ballast

import (
	"math"

	"example.com/steelyard/stability"
)

// maxStations is room for the stations of a way: both ends, and one for each row.
const maxStations = 10

// poses are the wheel rows of a lift at its stations, one after the other, without
// a list of conditions of them all.
type poses struct {
	angles      []float64
	rows        wheelRows
	axle, wheel float64 // the bare tipping loads, as in loadCase.tipping

	kept bool // the influence and the stations are those that arms are of
	of   [8]float64
	arms [maxStations]armRows
}

// armRows is what a station asks of arms and attachment: where the pin is, the mass
// and the wheel rows.
type armRows struct {
	x, z, mass float64
	rows       [stability.NumRows]float64
}

// prepare works out what comes from arms and attachment, unless it is known: while
// the influence, the stations and these numbers stay, so do the rows.
func (w *poses) prepare(q *loadCase) {
	p, t := q.k.loader, &q.k.attachment
	of := [...]float64{p.px, p.pz, p.r, p.armMass, p.armCG,
		float64(t.Mass.Value()), float64(t.CG.Ahead.Value()), float64(t.CG.Above.Value())}
	if w.kept && of == w.of {
		return
	}
	w.kept, w.of = true, of
	for i, a := range w.angles {
		s := &w.arms[i]
		s.x, s.z = p.pin(a)
		arms := p.armAt(a).plus(q.k.attachmentAt(a))
		s.mass = arms.m
		w.rows.ofArms(q, &arms)
		s.rows = w.rows.arms
	}
}

// begin fills in what all stations share.
func (w *poses) begin(q *loadCase) {
	w.prepare(q)
	w.rows.ofFixed(q, &q.k.fixed)
	w.rows.ofAxle(q)
}

// at fills in the rows of a station, of a load so far ahead of the pin and above it,
// and returns the mass without load.
func (w *poses) at(i int, q *loadCase, ahead, above float64) (mass float64) {
	s, r := &w.arms[i], &w.rows
	r.arms = s.rows
	r.ofLoad(q, &place{s.x + ahead, float64(q.lift.Load.Sideways.Value()), s.z + above})
	r.sum()
	return q.k.fixed.m + s.mass + q.k.axle.m
}

// stand sums up every condition with the load, as the standing of
// [loadCase.loaded] does; the conditions of one pose are laid in room.
func (w *poses) stand(s *standing, q *loadCase, top float64, room []condition) []condition {
	s.clear()
	w.axle, w.wheel = math.Inf(1), math.Inf(1)
	w.begin(q)
	ahead, above := q.k.attachment.loadOffset(q.lift)
	var mass float64
	for i := range w.angles {
		mass = w.at(i, q, ahead, above) // the last station is the end
		room = q.wheels(room[:0], &w.rows)
		s.add(room)
		axle, wheel := q.tipping(&w.rows)
		w.axle, w.wheel = min(w.axle, axle), min(w.wheel, wheel)
	}
	room, _ = q.apartFromWheels(room[:0], top, mass)
	s.add(room)
	return room
}

// lead finds the least load that the same conditions allow; see [least].
func (w *poses) lead(s *least, q *loadCase, top float64, room []condition) []condition {
	w.begin(q)
	ahead, above := q.k.attachment.loadOffset(q.lift)
	var mass float64
	for i := range w.angles {
		mass = w.at(i, q, ahead, above)
		room = q.wheels(room[:0], &w.rows)
		if s.add(room); s.broken {
			return room
		}
	}
	room, _ = q.apartFromWheels(room[:0], top, mass)
	s.add(room)
	return room
}
