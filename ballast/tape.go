package ballast

import (
	"math"
	"slices"
)

// A cell is a quantity of a block: a constant, or a column with a number for each row.
type cell struct {
	at int32   // the place of what gives the column; constant for a constant
	c  float64 // the constant
}

const constant int32 = -1

func number(v float64) cell { return cell{constant, v} }

func (x cell) fixed() bool { return x.at == constant }

// tapeOp is what a step of a tape does with columns x, y and z and a constant c.
type tapeOp uint8

const (
	opInput    tapeOp = iota // the column of field n
	opPick                   // values[x], the index being a number of a column
	opAdd                    // x + y
	opAddTo                  // x + c
	opSub                    // x - y
	opSubFrom                // c - x
	opMul                    // x y
	opScale                  // c x
	opScaleAdd               // c x + y
	opScaleTo                // c x + d
	opDiv                    // x / y
	opDivBy                  // x / c
	opDivInto                // c / x
	opNeg                    // -x
	opAtLeast                // max(c, x)
	opNet                    // what holds down less what lifts, of x, y and z
	opWhere                  // y where x < 0, and else z
	opFill                   // c in every row
	opLimit                  // a limit: x is the room left without load, y what a kilogram takes of it
	opLimitPer               // the same, y being the constant c
	opLimitOf                // the same, x being the constant c
	opPositive               // x must be positive
)

// A tapeStep is one operation on columns.
type tapeStep struct {
	op      tapeOp
	x, y, z int32
	c, d    float64
	n       int       // of an input: the field
	values  []float64 // of opPick
	limit   LimitKind
	room    int32 // where the column is laid
}

// key is a step without what is found out later.
type stepKey struct {
	op      tapeOp
	x, y, z int32
	c       uint64
	n       int
	limit   LimitKind
}

// A tape is a calculation on columns: its steps in their order. While it is written,
// what holds of constants is worked out at once, and the same step is written once.
// Every operation rounds as the scalar calculation does.
type tape struct {
	steps []tapeStep
	known map[stepKey]int32
	rooms int
}

func newTape() *tape { return &tape{known: make(map[stepKey]int32)} }

// write appends a step, or returns the same one.
func (t *tape) write(s tapeStep) cell {
	k := stepKey{s.op, s.x, s.y, s.z, math.Float64bits(s.c), s.n, s.limit}
	at, ok := t.known[k]
	if !ok {
		at = int32(len(t.steps))
		t.steps = append(t.steps, s)
		t.known[k] = at
	}
	return cell{at: at}
}

func (t *tape) input(field int) cell { return t.write(tapeStep{op: opInput, n: field}) }

func (t *tape) pick(field int, values []float64) cell {
	return t.write(tapeStep{op: opPick, x: t.input(field).at, n: field, values: values})
}

func (t *tape) add(x, y cell) cell {
	switch {
	case x.fixed() && y.fixed():
		return number(x.c + y.c)
	case x.fixed():
		x, y = y, x
	}
	switch {
	case !y.fixed():
		if x.at > y.at {
			x, y = y, x
		}
		return t.write(tapeStep{op: opAdd, x: x.at, y: y.at})
	case y.c == 0:
		return x
	}
	return t.write(tapeStep{op: opAddTo, x: x.at, c: y.c})
}

func (t *tape) sub(x, y cell) cell {
	switch {
	case y.fixed():
		return t.add(x, number(-y.c))
	case x.fixed() && x.c == 0:
		return t.neg(y)
	case x.fixed():
		return t.write(tapeStep{op: opSubFrom, x: y.at, c: x.c})
	}
	return t.write(tapeStep{op: opSub, x: x.at, y: y.at})
}

func (t *tape) mul(x, y cell) cell {
	switch {
	case x.fixed() && y.fixed():
		return number(float64(x.c * y.c))
	case x.fixed():
		x, y = y, x
	}
	switch {
	case !y.fixed():
		if x.at > y.at {
			x, y = y, x
		}
		return t.write(tapeStep{op: opMul, x: x.at, y: y.at})
	case y.c == 0:
		return number(0) // columns are finite
	case y.c == 1:
		return x
	case y.c == -1:
		return t.neg(x)
	}
	return t.write(tapeStep{op: opScale, x: x.at, c: y.c})
}

func (t *tape) div(x, y cell) cell {
	switch {
	case x.fixed() && y.fixed():
		return number(x.c / y.c)
	case x.fixed():
		return t.write(tapeStep{op: opDivInto, x: y.at, c: x.c})
	case y.fixed():
		return t.write(tapeStep{op: opDivBy, x: x.at, c: y.c})
	}
	return t.write(tapeStep{op: opDiv, x: x.at, y: y.at})
}

func (t *tape) neg(x cell) cell {
	if x.fixed() {
		return number(-x.c)
	}
	return t.write(tapeStep{op: opNeg, x: x.at})
}

// atLeast returns max(low, x).
func (t *tape) atLeast(low float64, x cell) cell {
	if x.fixed() {
		return number(max(low, x.c))
	}
	return t.write(tapeStep{op: opAtLeast, x: x.at, c: low})
}

// column returns a cell that is a column.
func (t *tape) column(x cell) int32 {
	if x.fixed() {
		return t.write(tapeStep{op: opFill, c: x.c}).at
	}
	return x.at
}

// net returns the right side less the left one of [positive] of three parts.
func (t *tape) net(x, y, z cell) cell {
	if x.fixed() && y.fixed() && z.fixed() {
		return number(net(x.c, y.c, z.c))
	}
	return t.write(tapeStep{op: opNet, x: t.column(x), y: t.column(y), z: t.column(z)})
}

func net(x, y, z float64) float64 {
	f := positive(NoLimit, -1, x, y, z)
	return f.b0 - f.a0
}

// where returns y where x is negative, and else z.
func (t *tape) where(x, y, z cell) cell {
	if x.fixed() {
		if x.c < 0 {
			return y
		}
		return z
	}
	return t.write(tapeStep{op: opWhere, x: x.at, y: t.column(y), z: t.column(z)})
}

// prune leaves out the steps that nothing depends on, and makes one step of a product
// that is read once, by a sum.
func (t *tape) prune() {
	uses := make([]int, len(t.steps))
	for i := len(t.steps) - 1; i >= 0; i-- {
		s := &t.steps[i]
		if uses[i] == 0 && s.op < opLimit && s.op != opPick {
			continue
		}
		uses[i] += 1 // by being there
		for _, of := range s.operands() {
			uses[of]++
		}
	}
	once := func(at int32) bool { return t.steps[at].op == opScale && uses[at] == 2 }
	for i := range t.steps {
		s := &t.steps[i]
		if uses[i] == 0 {
			continue
		}
		switch {
		case s.op == opAddTo && once(s.x):
			p := &t.steps[s.x]
			uses[s.x] = 0
			*s = tapeStep{op: opScaleTo, x: p.x, c: p.c, d: s.c}
		case s.op == opAdd && s.x != s.y && once(s.x):
			p := &t.steps[s.x]
			uses[s.x] = 0
			*s = tapeStep{op: opScaleAdd, x: p.x, y: s.y, c: p.c}
		case s.op == opAdd && s.x != s.y && once(s.y):
			p := &t.steps[s.y]
			uses[s.y] = 0
			*s = tapeStep{op: opScaleAdd, x: p.x, y: s.x, c: p.c}
		}
	}
	to := make([]int32, len(t.steps))
	kept := t.steps[:0]
	for i, s := range t.steps {
		if uses[i] == 0 {
			continue
		}
		to[i] = int32(len(kept))
		n := len(s.operands())
		if n > 0 {
			s.x = to[s.x]
		}
		if n > 1 {
			s.y = to[s.y]
		}
		if n > 2 {
			s.z = to[s.z]
		}
		kept = append(kept, s)
	}
	t.steps, t.known = kept, nil
}

// lay gives every step a room for its column; one that nobody reads any more is given
// to another. Fills and inputs keep theirs.
func (t *tape) lay() {
	t.prune()
	last := make([]int, len(t.steps))
	for i := range t.steps {
		for _, of := range t.steps[i].operands() {
			last[of] = i
		}
	}
	var free []int32
	for i := range t.steps {
		s := &t.steps[i]
		operands := s.operands()
		for k, of := range operands {
			o := &t.steps[of]
			if last[of] == i && !slices.Contains(operands[:k], of) && o.op != opInput && o.op != opFill {
				free = append(free, o.room)
			}
		}
		switch {
		case s.op == opInput || s.op >= opLimit:
			s.room = -1
		case len(free) > 0 && s.op != opFill:
			s.room = free[len(free)-1]
			free = free[:len(free)-1]
		default:
			s.room = int32(t.rooms)
			t.rooms++
		}
	}
}

// operands returns the steps whose columns a step reads.
func (s *tapeStep) operands() []int32 {
	three := [...]int32{s.x, s.y, s.z}
	switch s.op {
	case opInput, opFill:
		return nil
	case opAdd, opSub, opMul, opScaleAdd, opDiv, opLimit:
		return three[:2]
	case opNet, opWhere:
		return three[:]
	}
	return three[:1]
}
