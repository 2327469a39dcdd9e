package ballast

import (
	"math"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Block answers for many variants at once: fields of an [Evaluator] get columns
// with a number for each row, and an answer has a column for each of its parts. Its
// answers are those of the evaluator when it is set to each row, to the last bit, at
// a fraction of the price, because sums and conditions are worked out column by
// column, and what is the same in every row once.
//
// A field has a form in columns if all that it moves are sums and products:
//
//   - of the machine: mass, cg, operator (bound to values), the ratings of axles and
//     wheels, grossRating, ropsRating and hitch.rating;
//   - of the loader: frameMass, frameCG, armMass, armCG, breakOut, couplerRating, and
//     bore, pressure and friction of its cylinders;
//   - of the attachment: mass, cg, face, loadCenter and rating;
//   - of a piece that is no fill: mass, cg, depth and rollRise;
//   - of the load: mass, center, above and sideways.
//
// Any other field, such as the wheelbase, the slope or a fill, may differ from one
// block to the next. Where it differs between rows of one block, every row is
// answered alone, as by the evaluator. So is a row in which a field is not valid or
// stands at an end of its range, or a limit is broken without load, and every row
// where the load is stacked high while something differs on which the lift depends.
// The answer says of each row whether it was answered alone: its values and its errors
// are those of any other.
//
// A block allocates nothing while what is no column stays, and rows are valid. It is
// for one goroutine. Held by TestBlock and TestBlockAllocatesNothing.
type Block struct {
	e       *Evaluator
	fields  []Bound
	columns [][]float64
	form    []bool         // of each field: it has a form in columns
	paths   map[string]int // the places of those that have
	lifts   []blockLift
	own     uint64 // how often its own columns changed the evaluator
	loads   Loads
}

// blockLift is what a block knows of a lift.
type blockLift struct {
	changes  uint64 // of the evaluator but for the block's own, when this was found
	known    bool
	columns  bool // there is a form in columns
	tape     *tape
	reel     *reel
	begin    least // what the conditions say that are constants
	withheld LimitKind
	low      []float64 // of each field, the ends between which it is a column
	high     []float64
}

// Loads is the usable load of each row of a [Block]: row i is at index i of each
// slice.
type Loads struct {
	// Mass is the usable load, zero where none is stated; see [Capacity].
	Mass []units.Mass
	// Governing is the limit that it comes from.
	Governing []LimitKind
	// Status says what Mass is; see [Capacity].
	Status []Status
	// Err is why a row has no answer; nil where it has one.
	Err []error
	// Alone says that the row was not answered in columns.
	Alone []bool
}

// Block returns a block of so many rows, at least 1, in which these fields get
// columns. Fields that are not named stay as they are set. Of a field that
// is named twice the last column counts. It panics if a field is not this evaluator's.
func (e *Evaluator) Block(rows int, fields ...Bound) *Block {
	b := &Block{e: e, fields: append([]Bound(nil), fields...), columns: make([][]float64, len(fields)), form: make([]bool, len(fields)), paths: map[string]int{}, lifts: make([]blockLift, len(e.lifts))}
	for i, f := range b.fields {
		of := &e.bound[f]
		b.columns[i] = make([]float64, rows)
		if of.plain != nil && of.plain.path != "lifts.height" {
			b.form[i] = true
			b.paths[of.path] = i
		}
	}
	for i := range b.lifts {
		b.lifts[i].low, b.lifts[i].high = make([]float64, len(fields)), make([]float64, len(fields))
	}
	b.loads = Loads{make([]units.Mass, rows), make([]LimitKind, rows), make([]Status, rows), make([]error, rows), make([]bool, rows)}
	return b
}

// Column returns the column of the field that was named at this place, to be filled
// with what [Evaluator.Set] takes.
func (b *Block) Column(i int) []float64 { return b.columns[i] }

// UsableLoad returns the usable load of the first rows of the block, with errors as
// of [Evaluator.UsableLoad]. The answer belongs to the block and holds until it is
// asked again. Afterward the evaluator's fields are those of one of the rows. It panics
// if there is no such lift, or the block has fewer rows.
func (b *Block) UsableLoad(lift, rows int) Loads {
	out := b.loads
	out = Loads{out.Mass[:rows], out.Governing[:rows], out.Status[:rows], out.Err[:rows], out.Alone[:rows]}
	clear(out.Err)
	l := &b.lifts[lift]
	if rows == 0 {
		return out
	}
	if !b.same(rows) || !b.prepare(l, lift, rows) {
		for i := range rows {
			b.alone(&out, lift, i)
		}
		return out
	}
	for from := 0; from < rows; from += blockChunk {
		b.chunk(&out, l, lift, from, min(rows-from, blockChunk))
	}
	return out
}

// same sets the fields that have no form in columns, and reports whether each is the
// same in every row.
func (b *Block) same(rows int) bool {
	for i := range b.fields {
		if b.form[i] {
			continue
		}
		column := b.columns[i][:rows]
		first := math.Float64bits(column[0])
		for _, v := range column[1:] {
			if math.Float64bits(v) != first {
				return false
			}
		}
	}
	for i, f := range b.fields {
		if !b.form[i] {
			b.e.Set(f, b.columns[i][0])
		}
	}
	return true
}

// setRow sets the evaluator to a row. What this block knows of its lifts stays: it does
// not depend on what its columns are. What others of the evaluator's blocks know does not.
func (b *Block) setRow(i int) {
	for j, f := range b.fields {
		changes := b.e.changes
		b.e.Set(f, b.columns[j][i])
		if b.form[j] {
			b.own += b.e.changes - changes
		}
	}
}

// maxTries is how many rows are tried before all are answered alone.
const maxTries = 8

// prepare brings the tape of a lift up to date, and reports whether there is one. A
// valid row shows what holds of the fields that are no columns.
func (b *Block) prepare(l *blockLift, lift, rows int) bool {
	if l.known && l.changes == b.e.changes-b.own {
		return l.columns
	}
	for i := range min(rows, maxTries) {
		b.setRow(i)
		at, err := b.e.at(lift)
		if err != nil || !b.ends(l, lift, i) {
			continue
		}
		l.known, l.changes = true, b.e.changes-b.own
		if l.tape, l.begin, l.columns = b.e.weave(at, b.paths); l.columns {
			l.reel, l.withheld = newReel(l.tape), b.e.model.withheld()
			if !l.begin.checked.Has(setOf(LimitTipping)) {
				l.withheld = LimitTipping
			}
		}
		return l.columns
	}
	return false
}

// ends notes between what ends the fields are columns, and reports whether a row is
// between them.
func (b *Block) ends(l *blockLift, lift, row int) bool {
	within := true
	for i, f := range b.fields {
		of := &b.e.bound[f]
		l.low[i], l.high[i] = math.Inf(-1), math.Inf(1)
		if !b.form[i] || of.lift >= 0 && of.lift != lift {
			continue
		}
		l.low[i], l.high[i] = of.low, of.high
		if of.plain.path == "lifts.load.center" && b.e.model.attachment.Kind == Forks {
			l.low[i] = max(l.low[i], 0)
		}
		if v := b.columns[i][row]; !(v > l.low[i] && v < l.high[i]) {
			within = false
		}
	}
	return within
}

// chunk answers for n rows.
func (b *Block) chunk(out *Loads, l *blockLift, lift, from, n int) {
	r := l.reel
	load, limit, broken := r.load[:n], r.limit[:n], r.broken[:n]
	bar := r.bar[:n]
	for i := range load {
		load[i], bar[i], limit[i], broken[i] = l.begin.load, l.begin.load*overRounding, l.begin.limit, l.begin.broken
	}
	for i, column := range b.columns {
		low, high := l.low[i], l.high[i]
		if math.IsInf(low, -1) && math.IsInf(high, 1) {
			continue
		}
		for j, v := range column[from : from+n] {
			if !(v > low && v < high) {
				broken[j] = true
			}
		}
	}
	r.play(l.tape, b.columns, from, n)
	masses, governing, status, alone := out.Mass[from:from+n], out.Governing[from:from+n], out.Status[from:from+n], out.Alone[from:from+n]
	for i, m := range load {
		alone[i] = false
		switch k := limit[i]; {
		case broken[i]:
			b.alone(out, lift, from+i)
		case l.withheld != NoLimit || k == NoLimit:
			masses[i], governing[i], status[i] = 0, l.withheld, stability.NotChecked
		case l.begin.bound.Has(setOf(k)):
			masses[i], governing[i], status[i] = units.Mass(m), k, stability.AtMost
		default:
			masses[i], governing[i], status[i] = units.Mass(m), k, stability.Binds
		}
	}
}

// alone answers a row by the evaluator.
func (b *Block) alone(out *Loads, lift, row int) {
	b.setRow(row)
	out.Mass[row], out.Governing[row], out.Status[row], out.Err[row] = b.e.UsableLoad(lift)
	out.Alone[row] = true
}
