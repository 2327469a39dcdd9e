package ballast

// blockChunk is how many rows go through a tape at a time, so that its columns stay in
// the nearest cache.
const blockChunk = 128

// reel is what a tape is played on: room for its columns, and what its limits leave.
type reel struct {
	cols   [][]float64 // of each step, for the chunk at hand
	rooms  []float64
	load   [blockChunk]float64
	bar    [blockChunk]float64 // load, and more than rounding moves it
	limit  [blockChunk]LimitKind
	broken [blockChunk]bool
}

func newReel(t *tape) *reel {
	r := &reel{cols: make([][]float64, len(t.steps)), rooms: make([]float64, t.rooms*blockChunk)}
	for i := range t.steps {
		s := &t.steps[i]
		if s.room < 0 {
			continue
		}
		col := r.rooms[int(s.room)*blockChunk:][:blockChunk:blockChunk]
		r.cols[i] = col
		if s.op == opFill {
			for j := range col {
				col[j] = s.c
			}
		}
	}
	return r
}

// play works out n rows, at most a chunk, of fields whose columns begin at from.
// The rows that are broken already stay so.
func (r *reel) play(t *tape, fields [][]float64, from, n int) {
	for i := range t.steps {
		s := &t.steps[i]
		switch s.op {
		case opInput:
			r.cols[i] = fields[s.n][from : from+n]
			continue
		case opFill:
			continue
		}
		x := r.cols[s.x][:n]
		switch s.op {
		case opLimit:
			r.limits(x, r.cols[s.y][:n], s.limit)
			continue
		case opLimitPer:
			r.limitsPer(x, s.c, s.limit)
			continue
		case opLimitOf:
			r.limitsOf(s.c, x, s.limit)
			continue
		case opPositive:
			for j, v := range x {
				if !(v > 0) {
					r.broken[j] = true
				}
			}
			continue
		}
		out := r.cols[i][:len(x)]
		switch s.op {
		case opPick:
			r.pick(out, x, s.values)
		case opAdd, opSub, opMul, opScaleAdd, opDiv:
			pairs(s.op, out, x, r.cols[s.y][:len(x)], s.c)
		case opNet:
			nets(out, x, r.cols[s.y][:len(x)], r.cols[s.z][:len(x)])
		case opWhere:
			y, z := r.cols[s.y][:len(x)], r.cols[s.z][:len(x)]
			for j, v := range x {
				if v < 0 {
					out[j] = y[j]
				} else {
					out[j] = z[j]
				}
			}
		default:
			singly(s.op, out, x, s.c, s.d)
		}
	}
}

// pick looks the values of indices up. What is no index breaks its row.
func (r *reel) pick(out, x, values []float64) {
	for j, v := range x {
		if k := int(v); k >= 0 && k < len(values) && float64(k) == v {
			out[j] = values[k]
		} else {
			r.broken[j], out[j] = true, 0
		}
	}
}

// singly works out an operation on one column.
func singly(op tapeOp, out, x []float64, c, d float64) {
	out = out[:len(x)]
	switch op {
	case opAddTo:
		for j, v := range x {
			out[j] = v + c
		}
	case opSubFrom:
		for j, v := range x {
			out[j] = c - v
		}
	case opScale:
		for j, v := range x {
			out[j] = c * v
		}
	case opScaleTo:
		for j, v := range x {
			out[j] = float64(c*v) + d
		}
	case opDivBy:
		for j, v := range x {
			out[j] = v / c
		}
	case opDivInto:
		for j, v := range x {
			out[j] = c / v
		}
	case opNeg:
		for j, v := range x {
			out[j] = -v
		}
	case opAtLeast:
		for j, v := range x {
			if !(v > c) {
				v = c
			}
			out[j] = v
		}
	}
}

// pairs works out an operation on two columns.
func pairs(op tapeOp, out, x, y []float64, c float64) {
	out, y = out[:len(x)], y[:len(x)]
	switch op {
	case opAdd:
		for j, v := range x {
			out[j] = v + y[j]
		}
	case opSub:
		for j, v := range x {
			out[j] = v - y[j]
		}
	case opMul:
		for j, v := range x {
			out[j] = v * y[j]
		}
	case opScaleAdd:
		for j, v := range x {
			out[j] = float64(c*v) + y[j]
		}
	case opDiv:
		for j, v := range x {
			out[j] = v / y[j]
		}
	}
}

// nets works out what holds down less what lifts of three columns, as [net] does.
func nets(out, x, y, z []float64) {
	out, y, z = out[:len(x)], y[:len(x)], z[:len(x)]
	for j, v := range x {
		var up, down float64
		if v < 0 {
			up = -v
		} else {
			down = v
		}
		if w := y[j]; w < 0 {
			up -= w
		} else {
			down += w
		}
		if w := z[j]; w < 0 {
			up -= w
		} else {
			down += w
		}
		out[j] = down - up
	}
}

// limits holds a limit in every row, as [least] does: room is what is left of it
// without load, per what a kilogram of load takes.
func (r *reel) limits(room, per []float64, limit LimitKind) {
	per = per[:len(room)]
	bar, broken := r.bar[:len(room)], r.broken[:len(room)]
	for j, v := range room {
		p := per[j]
		if v > bar[j]*p && v >= 0 {
			continue // the least load is less, or more load does not use the limit up
		}
		if !(v >= 0) {
			broken[j] = true
		}
		r.least(j, v, p, limit)
	}
}

// limitsPer is limits where a kilogram takes the same in every row.
func (r *reel) limitsPer(room []float64, p float64, limit LimitKind) {
	bar, broken := r.bar[:len(room)], r.broken[:len(room)]
	for j, v := range room {
		if v > bar[j]*p && v >= 0 {
			continue
		}
		if !(v >= 0) {
			broken[j] = true
		}
		r.least(j, v, p, limit)
	}
}

// limitsOf is limits where the same room is left in every row.
func (r *reel) limitsOf(v float64, per []float64, limit LimitKind) {
	bar := r.bar[:len(per)]
	for j, p := range per {
		if v > bar[j]*p {
			continue
		}
		r.least(j, v, p, limit)
	}
}

// least takes the load that a limit allows in row j, if it is less than that of the
// others.
func (r *reel) least(j int, v, p float64, limit LimitKind) {
	if !(p > 0) {
		return
	}
	if m := v / p; m < r.load[j] || m == r.load[j] && limit < r.limit[j] {
		r.load[j], r.bar[j], r.limit[j] = m, m*overRounding, limit
	}
}
