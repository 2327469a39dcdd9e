package ballast

import "math"

// maxStations is room for the stations of a way: both ends, and one for each row.
const maxStations = 10

// poses are the wheel rows of a lift at its stations, one after the other, without
// a list of conditions.
type poses struct {
	angles      []float64
	rows        wheelRows
	axle, wheel float64 // the bare tipping loads, as in loadCase.tipping
}

// stand sums up every condition with the load, as the standing of
// [loadCase.loaded] does; the conditions of one pose are laid in room.
func (w *poses) stand(s *standing, q *loadCase, top float64, room []condition) []condition {
	s.clear()
	w.axle, w.wheel = math.Inf(1), math.Inf(1)
	r := &w.rows
	r.ofFixed(q, &q.k.fixed)
	r.ofAxle(q)
	var mass float64
	for _, a := range w.angles {
		p := q.pose(a)
		r.ofArms(q, &p.arms)
		r.ofLoad(q, &p.load)
		r.sum()
		room = q.wheels(room[:0], r)
		s.add(room)
		axle, wheel := q.tipping(r)
		w.axle, w.wheel = min(w.axle, axle), min(w.wheel, wheel)
		mass = q.mass(&p) // the last station is the end
	}
	room, _ = q.apartFromWheels(room[:0], top, mass)
	s.add(room)
	return room
}
