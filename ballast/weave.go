package ballast

import (
	"math"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// weaver writes the tape of a lift: the sums, the wheel rows and the conditions of
// [loadCase], each for what is a constant or a column in this block. Every product
// and sum stands in the order of the scalar calculation, which TestBlock holds it to.
type weaver struct {
	*tape
	e      *Evaluator
	q      *loadCase
	column map[string]int // the fields that are columns, by their paths
	least  least          // what the conditions say that are constants
	lacks  bool           // something has no form in columns
}

// of returns the cell of a field.
func (w *weaver) of(path string, v float64) cell {
	if n, ok := w.column[path]; ok {
		return w.input(n)
	}
	return number(v)
}

func (w *weaver) input(n int) cell { return w.tape.input(n) }

// isColumn reports whether any of these fields is a column.
func (w *weaver) isColumn(paths ...string) bool {
	for _, p := range paths {
		if _, ok := w.column[p]; ok {
			return true
		}
	}
	return false
}

// cells is sums of cells.
type cells struct{ m, x, y, z, pitch, roll cell }

func constantCells(s *sums) cells {
	return cells{number(s.m), number(s.x), number(s.y), number(s.z), number(s.pitch), number(s.roll)}
}

func (w *weaver) massAt(m, x, y, z cell) cells {
	return cells{m: m, x: w.mul(m, x), y: w.mul(m, y), z: w.mul(m, z), pitch: number(0), roll: number(0)}
}

func (w *weaver) plus(s, t cells) cells {
	return cells{w.add(s.m, t.m), w.add(s.x, t.x), w.add(s.y, t.y), w.add(s.z, t.z), w.add(s.pitch, t.pitch), w.add(s.roll, t.roll)}
}

func (w *weaver) minus(s cells) cells {
	return cells{w.neg(s.m), w.neg(s.x), w.neg(s.y), w.neg(s.z), w.neg(s.pitch), w.neg(s.roll)}
}

// blockSums is what the model sums up of its parts.
type blockSums struct {
	fixed, off, axle                 cells
	unladen                          cell
	hitchLoad, onHitch, onRearWheels cell
}

// sums goes the way of [Setup.parts] and [Model.add].
func (w *weaver) sums() blockSums {
	s, m := &w.e.setup, &w.e.setup.Machine
	zero := number(0)
	none := cells{zero, zero, zero, zero, zero, zero}
	out := blockSums{none, none, none, zero, zero, zero, zero}
	add := func(x cells, with, without, axle, unladen bool) {
		if axle {
			out.axle = w.plus(out.axle, x)
		}
		if with {
			out.fixed = w.plus(out.fixed, x)
		}
		if without {
			out.off = w.plus(out.off, x)
		}
		if unladen && (without || axle) {
			out.unladen = w.add(out.unladen, x.m)
		}
	}
	add(w.massAt(w.of("setup.machine.mass", float64(m.mass())), w.of("setup.machine.cg.x", float64(m.cgX())),
		w.of("setup.machine.cg.y", float64(m.CG.Y.Value())), w.of("setup.machine.cg.z", float64(m.CG.Z.Value()))), true, true, false, true)
	at := m.Seat.Point()
	operator := number(float64(m.operatorChange()))
	if n, ok := w.column["setup.machine.operator"]; ok {
		operator = w.pick(n, w.e.operatorChanges())
	}
	if !operator.fixed() || operator.c != 0 {
		add(w.massAt(operator, number(float64(at.X)), number(float64(at.Y)), number(float64(at.Z))), true, true, false, true)
	}
	if d := m.Fuel.change(m.MassIncludes); d != 0 {
		p := massAtPoint(d, m.Fuel.CG.Point())
		add(constantCells(&p), true, true, false, true)
	}
	if m.Undercarriage == stability.PivotingFront {
		own := massAt(float64(m.AxleMass.Value()), float64(m.Wheelbase.Value()), 0, float64(m.AxleHeight.Value()))
		x := constantCells(&own)
		add(w.minus(x), true, true, false, true)
		add(x, false, false, true, true)
	}
	if l := s.Loader; l != nil {
		f := l.FrameCG.Point()
		frame := w.massAt(w.of("setup.loader.frameMass", float64(l.FrameMass.Value())), w.of("setup.loader.frameCG.x", float64(f.X)),
			w.of("setup.loader.frameCG.y", float64(f.Y)), w.of("setup.loader.frameCG.z", float64(f.Z)))
		if m.LoaderIncluded == WithLoader {
			k := w.q.k.loader
			add(w.minus(w.armAt(k.angle(k.low))), true, true, false, true)
			add(w.minus(frame), false, true, false, true)
		} else {
			add(frame, true, false, false, true)
		}
	}
	for i := range s.Pieces {
		p := &s.Pieces[i]
		x, front := w.piece(i), p.Kind.OnFrontWheels() && m.Undercarriage == stability.PivotingFront
		add(x, !front, !front, front, false)
		switch {
		case p.Kind.OnHitch():
			out.onHitch = w.add(out.onHitch, x.m)
			distance := w.sub(number(float64(m.Hitch.X.Value())), w.of(pieceField(i, "cg.x"), float64(p.CG.X.Value())))
			ratio := w.atLeast(1, w.div(distance, number(float64(hitchRatingDistance))))
			out.hitchLoad = w.add(out.hitchLoad, w.mul(x.m, ratio))
		case p.Kind.OnRearWheels():
			out.onRearWheels = w.add(out.onRearWheels, x.m)
		}
	}
	return out
}

func pieceField(i int, field string) string { return units.Index("setup.pieces", i) + "." + field }

// piece goes the way of [Machine.part].
func (w *weaver) piece(i int) cells {
	s := &w.e.setup
	p, m := &s.Pieces[i], &s.Machine
	if p.Fill != nil {
		if w.isColumn(pieceField(i, "cg.y")) {
			w.lacks = true
		}
		return constantCells(&w.e.list[len(w.e.list)-len(s.Pieces)+i].sums)
	}
	mass := w.of(pieceField(i, "mass"), float64(p.Mass.Value()))
	switch p.State {
	case Resting:
		mass = number(0)
	case Floating:
		mass = w.mul(mass, number(float64(p.Carried)))
	}
	depth := w.of(pieceField(i, "depth"), float64(p.Depth.Value()))
	y := w.of(pieceField(i, "cg.y"), float64(p.CG.Y.Value()))
	var x cells
	switch {
	case p.Kind.OnRearWheels():
		x = w.massAt(mass, number(0), y, w.sub(number(float64(m.Rear.Radius.Value())), depth))
	case p.Kind.OnFrontWheels():
		if !y.fixed() && w.q.k.machine.FrontTrack.Value() == 0 {
			w.lacks = true // the front track matters where the axle's weight is aside
		}
		x = w.massAt(mass, number(float64(m.Wheelbase.Value())), y, w.sub(number(float64(m.Front.Radius.Value())), depth))
	default:
		x = w.massAt(mass, w.of(pieceField(i, "cg.x"), float64(p.CG.X.Value())), y, w.of(pieceField(i, "cg.z"), float64(p.CG.Z.Value())))
	}
	x.pitch = w.mul(mass, depth)
	x.roll = w.mul(mass, w.of(pieceField(i, "rollRise"), float64(p.RollRise.Value())))
	return x
}

func (w *weaver) armMass() cell { return w.of("setup.loader.armMass", w.q.k.loader.armMass) }
func (w *weaver) armCG() cell   { return w.of("setup.loader.armCG", w.q.k.loader.armCG) }

// armAt goes the way of [loaderModel.armAt].
func (w *weaver) armAt(a float64) cells {
	k := w.q.k.loader
	sin, cos := k.trig.sincos(a)
	return w.massAt(w.armMass(), w.add(number(k.px), w.mul(w.armCG(), number(cos))), number(0), w.add(number(k.pz), w.mul(w.armCG(), number(sin))))
}

// attachmentAt goes the way of [Model.attachmentAt].
func (w *weaver) attachmentAt(a float64) cells {
	x, z := w.q.k.loader.pin(a)
	return w.massAt(w.attachment("mass"), w.add(number(x), w.attachment("cg.ahead")), number(0), w.add(number(z), w.attachment("cg.above")))
}

// attachment returns a quantity of the attachment.
func (w *weaver) attachment(field string) cell {
	t := &w.q.k.attachment
	var v float64
	switch field {
	case "mass":
		v = float64(t.Mass.Value())
	case "cg.ahead":
		v = float64(t.CG.Ahead.Value())
	case "cg.above":
		v = float64(t.CG.Above.Value())
	case "face":
		v = float64(t.Face.Value())
	case "loadCenter":
		v = float64(t.LoadCenter.Value())
	case "rating":
		v = float64(t.Rating.Value())
	}
	return w.of("setup.attachment."+field, v)
}

// load returns a quantity of the load's place.
func (w *weaver) load(field string) cell {
	l := &w.q.lift.Load
	var v float64
	switch field {
	case "center":
		v = float64(l.Center.Value())
	case "above":
		v = float64(l.Above.Value())
	case "sideways":
		v = float64(l.Sideways.Value())
	}
	return w.of(units.Index("lifts", w.lift())+".load."+field, v)
}

// lift returns the number of the lift.
func (w *weaver) lift() int {
	for i := range w.e.lifts {
		if &w.e.lifts[i].q == w.q {
			return i
		}
	}
	return -1
}

// center goes the way of [Attachment.center].
func (w *weaver) center() cell {
	if w.q.k.attachment.Kind == Forks && !w.q.lift.Load.Center.Known() {
		return w.attachment("loadCenter")
	}
	return w.load("center")
}

// loadOffset goes the way of [Attachment.loadOffset].
func (w *weaver) loadOffset() (ahead, above cell) {
	t := &w.q.k.attachment
	if w.q.lift.Kind == BreakOut {
		return number(float64(t.Edge.Ahead.Value())), number(float64(t.Edge.Above.Value()))
	}
	above = number(0)
	switch t.Kind {
	case Forks:
		above = w.add(number(float64(t.Tine.Value())), w.load("above"))
	case Bucket:
		above = w.add(number(float64(t.Edge.Above.Value())), w.load("above"))
	}
	return w.add(w.attachment("face"), w.center()), above
}

// rowOf goes the way of the function of this name.
func (w *weaver) rowOf(c *stability.Coefficient, s *cells) cell {
	out := w.mul(number(float64(c.PerMass)), s.m)
	for _, t := range [...]struct {
		c float64
		s cell
	}{{c.X, s.x}, {c.Y, s.y}, {c.Z, s.z}, {c.PitchRise, s.pitch}, {c.RollRise, s.roll}} {
		out = w.add(out, w.mul(number(t.c), t.s))
	}
	return out
}

// blockRows is [wheelRows] of cells.
type blockRows struct {
	fixed, arms, axle, empty, load [stability.NumRows]cell
}

// fixedRows goes the way of [wheelRows.ofFixed] and [wheelRows.ofAxle].
func (w *weaver) fixedRows(r *blockRows, s *blockSums) {
	q, g := w.q, number(w.q.k.g)
	consts := q.in.Constant()
	for i := range r.fixed {
		row := stability.Row(i)
		r.fixed[i] = w.div(w.add(number(float64(consts[i])), w.rowOf(q.in.Body(row), &s.fixed)), g)
		r.axle[i] = number(0)
		if !s.axle.m.fixed() || s.axle.m.c != 0 {
			r.axle[i] = w.div(w.rowOf(q.in.Axle(row), &s.axle), g)
		}
	}
}

// stationRows goes the way of [poses.prepare] and [poses.at], and returns the mass
// of the arms and the attachment.
func (w *weaver) stationRows(r *blockRows, a float64, ahead, above cell) (mass cell) {
	q, g := w.q, number(w.q.k.g)
	x, z := q.k.loader.pin(a)
	arms := w.plus(w.armAt(a), w.attachmentAt(a))
	at := [...]cell{w.add(number(x), ahead), w.load("sideways"), w.add(number(z), above)}
	for i := range r.arms {
		c := q.in.Body(stability.Row(i))
		r.arms[i] = w.div(w.rowOf(c, &arms), g)
		moved := w.add(w.add(w.mul(number(c.X), at[0]), w.mul(number(c.Y), at[1])), w.mul(number(c.Z), at[2]))
		r.load[i] = w.div(w.add(number(float64(c.PerMass)), moved), g)
		r.empty[i] = w.add(w.add(r.fixed[i], r.axle[i]), r.arms[i])
	}
	return arms.m
}

// limit holds a limit: room is what is left of it without load, b0 - a0 of a condition,
// and per what a kilogram of load takes, a1 - b1.
func (w *weaver) limit(limit LimitKind, room, per cell) {
	w.least.checked |= setOf(limit)
	switch {
	case room.fixed() && per.fixed():
		w.least.add([]condition{{b0: room.c, a1: per.c, limit: limit}})
	case per.fixed():
		w.write(tapeStep{op: opLimitPer, x: room.at, c: per.c, limit: limit})
	case room.fixed():
		if !(room.c >= 0) {
			w.least.broken = true
		}
		w.write(tapeStep{op: opLimitOf, x: per.at, c: room.c, limit: limit})
	default:
		w.write(tapeStep{op: opLimit, x: room.at, y: per.at, limit: limit})
	}
}

// conditions takes conditions in which nothing is a column.
func (w *weaver) conditions(list []condition) { w.least.add(list) }

func (w *weaver) atMost(limit LimitKind, e, c, rating cell) {
	if rating.fixed() && !(rating.c > 0) {
		return
	}
	w.limit(limit, w.sub(rating, e), c)
}

func (w *weaver) atLeastOf(limit LimitKind, have, h, need, n cell) {
	w.limit(limit, w.sub(have, need), w.sub(n, h))
}

func (w *weaver) held(r *blockRows, limit LimitKind, row stability.Row, factor float64) {
	f := number(factor)
	w.limit(limit, w.net(r.fixed[row], r.axle[row], w.mul(f, r.arms[row])), w.neg(w.mul(f, r.load[row])))
}

func (w *weaver) heldUnderFactor(r *blockRows, limit LimitKind, row stability.Row) {
	w.held(r, limit, row, 1)
	if w.q.factor != 1 {
		w.held(r, limit, row, w.q.factor)
	}
}

// balance goes the way of [loadCase.balance].
func (w *weaver) balance(r *blockRows) {
	const front, rear = stability.RowFrontAxle, stability.RowRearAxle
	q := w.q
	f := float64(q.lift.Basis.Fraction)
	tipping := func(keeps func(limit LimitKind, row stability.Row, f float64)) {
		keeps(LimitTipping, rear, f)
		for _, row := range q.k.liftRows() {
			keeps(LimitRearWheel, row, f/2)
		}
	}
	switch q.lift.Basis.Kind {
	case BasisRearShare:
		e, c := w.add(r.empty[front], r.empty[rear]), w.add(r.load[front], r.load[rear])
		tipping(func(limit LimitKind, row stability.Row, f float64) {
			w.limit(limit, w.sub(r.empty[row], w.mul(number(f), e)), w.sub(w.mul(number(f), c), r.load[row]))
		})
	case BasisTippingFraction:
		tipping(func(limit LimitKind, row stability.Row, _ float64) {
			held := w.net(r.fixed[row], r.axle[row], r.arms[row])
			w.limit(limit, w.where(r.load[row], w.mul(number(f), r.empty[row]), held), w.neg(r.load[row]))
		})
	case BasisNoWheelUnloaded:
		tipping(func(limit LimitKind, row stability.Row, _ float64) { w.heldUnderFactor(r, limit, row) })
	}
	w.heldUnderFactor(r, LimitFrontWheel, stability.RowFrontLeft)
	w.heldUnderFactor(r, LimitFrontWheel, stability.RowFrontRight)
	w.held(r, LimitRearward, front, 1)
}

// machine returns a rating of the machine.
func (w *weaver) machine(field string, v units.Input[units.Mass]) cell {
	return w.of("setup.machine."+field, float64(v.Value()))
}

// ratings goes the way of [loadCase.ratings].
func (w *weaver) ratings(r *blockRows, s *blockSums) {
	const front, rear = stability.RowFrontAxle, stability.RowRearAxle
	q, m := w.q, &w.q.k.machine
	w.atMost(LimitFrontAxle, r.empty[front], r.load[front], w.machine("front.rating", m.Front.Rating))
	w.atMost(LimitRearAxle, r.empty[rear], r.load[rear], w.machine("rear.rating", m.Rear.Rating))
	place := func(row stability.Row, tire, rim LimitKind, t *tireCapacity, wheel cell) {
		switch t.status {
		case stability.NotChecked:
		case stability.Exceeded:
			w.least.broken = true
		default:
			if t.status == stability.AtMost {
				w.least.bound |= setOf(tire)
			}
			w.limit(tire, w.sub(number(t.load), r.empty[row]), r.load[row])
		}
		w.atMost(rim, r.empty[row], r.load[row], wheel)
	}
	wheel := w.machine("front.wheelRating", m.Front.WheelRating)
	if m.Front.Single {
		place(front, LimitFrontTire, LimitFrontRim, &q.front, wheel)
	} else {
		place(stability.RowFrontLeft, LimitFrontTire, LimitFrontRim, &q.front, wheel)
		place(stability.RowFrontRight, LimitFrontTire, LimitFrontRim, &q.front, wheel)
	}
	wheel = w.machine("rear.wheelRating", m.Rear.WheelRating)
	place(stability.RowRearLeft, LimitRearTire, LimitRearRim, &q.rear, wheel)
	place(stability.RowRearRight, LimitRearTire, LimitRearRim, &q.rear, wheel)
	share := number(float64(m.Steered.Share))
	switch m.Steered.Base {
	case SteeredOfUnladen:
		w.atLeastOf(LimitSteered, r.empty[front], r.load[front], w.mul(share, s.unladen), number(0))
	case SteeredOfLaden:
		w.atLeastOf(LimitSteered, r.empty[front], r.load[front], w.mul(share, w.add(r.empty[front], r.empty[rear])), w.mul(share, w.add(r.load[front], r.load[rear])))
	}
}

// hydraulic goes the way of [loadCase.hydraulicWay].
func (w *weaver) hydraulic(top float64) {
	lift := units.Index("lifts", w.lift())
	if !w.isColumn("setup.loader.cylinders.bore", "setup.loader.cylinders.pressure", "setup.loader.cylinders.friction", "setup.loader.armMass", "setup.loader.armCG",
		"setup.attachment.mass", "setup.attachment.cg.ahead", "setup.attachment.cg.above", "setup.attachment.face", "setup.attachment.loadCenter",
		lift+".load.center", lift+".load.above") {
		list, _ := w.q.hydraulicWay(nil, top)
		w.conditions(list)
		return
	}
	q, k, p := w.q, w.q.k, w.q.k.loader
	if q.lift.Kind == StackHigh && top > p.angle(p.low) {
		w.lacks = true // the least lift of the way is sought
		return
	}
	_, z := p.pin(top)
	_, lever, ok := p.capacity(top, z)
	if !ok || q.hydraulicLacks(lever) != 0 {
		w.conditions([]condition{unknown(LimitHydraulic)})
		return
	}
	var moment cell
	if c := w.e.setup.Loader.Cylinders; p.cyl {
		d := w.of("setup.loader.cylinders.bore", float64(c.Bore.Value()))
		gross := w.mul(w.mul(w.mul(number(float64(c.Count)*(math.Pi/4)), d), d), w.of("setup.loader.cylinders.pressure", float64(c.Pressure.Value())))
		arm, _ := p.cylinder(top)
		push := w.mul(gross, w.sub(number(1), w.of("setup.loader.cylinders.friction", float64(c.Friction.Value()))))
		moment = w.mul(push, number(arm))
	} else {
		at, _ := p.ratedAt(z)
		own := w.mul(w.mul(w.mul(w.armMass(), number(float64(units.StandardGravity))), w.armCG()), number(math.Cos(top)))
		moment = w.add(number(p.r*math.Cos(top)/at.inverse), own)
	}
	s := q.lift.situation()
	sinB, cosB := p.trig.sincos(float64(s.Slope))
	gx := number(-k.g*sinB*math.Cos(float64(s.Heading)) - float64(s.Acceleration))
	gz := number(-k.g * cosB)
	sin, cos := p.trig.sincos(top)
	turn := number(lever)
	work := func(r, ahead, above cell) cell {
		along := w.sub(w.mul(w.neg(r), number(sin)), w.mul(turn, above))
		up := w.add(w.mul(r, number(cos)), w.mul(turn, ahead))
		return w.neg(w.add(w.mul(gx, along), w.mul(gz, up)))
	}
	own := w.add(w.mul(w.armMass(), work(w.armCG(), number(0), number(0))),
		w.mul(w.attachment("mass"), work(number(p.r), w.attachment("cg.ahead"), w.attachment("cg.above"))))
	ahead, above := w.loadOffset()
	if !p.cyl {
		ahead = w.atLeast(0, ahead)
	}
	w.limit(LimitHydraulic, w.sub(moment, own), work(number(p.r), ahead, above))
}

// loader goes the way of [loadCase.loader].
func (w *weaver) loader() {
	q, t := w.q, &w.q.k.attachment
	w.atMost(LimitCoupler, w.attachment("mass"), number(1), w.of("setup.loader.couplerRating", q.k.coupler))
	if q.lift.Kind == BreakOut {
		w.atMost(LimitBreakOut, number(0), number(q.k.g), w.of("setup.loader.breakOut", q.k.breakOut))
		w.conditions([]condition{impossible(LimitAttachment)})
		return
	}
	w.conditions([]condition{impossible(LimitBreakOut)})
	if t.Kind == BarePin {
		w.conditions([]condition{impossible(LimitAttachment)})
		return
	}
	ratio := number(1)
	if t.Kind == Forks {
		ratio = w.atLeast(1, w.div(w.center(), w.attachment("loadCenter")))
	}
	w.atMost(LimitAttachment, number(0), ratio, w.attachment("rating"))
}

// masses goes the way of [Model.masses] and [Model.manualBallast].
func (w *weaver) masses(total cell, s *blockSums) {
	k, m := w.q.k, &w.q.k.machine
	load := number(w.q.loadMass())
	w.atMost(LimitGross, total, load, w.machine("grossRating", m.GrossRating))
	w.atMost(LimitROPS, total, load, w.machine("ropsRating", m.ROPSRating))
	if !k.hitchAny {
		w.conditions([]condition{impossible(LimitHitch)})
	}
	w.atMost(LimitHitch, s.hitchLoad, number(0), w.machine("hitch.rating", m.Hitch.Rating))
	switch k.manual.Kind {
	case ManualBallastNone:
		w.conditions([]condition{impossible(LimitManualBallast)})
	case ManualBallastDemanded:
		for _, d := range [...]struct {
			need float64
			have cell
		}{{float64(k.manual.Hitch), s.onHitch}, {float64(k.manual.RearWheels), s.onRearWheels}} {
			if d.need > 0 {
				w.atLeastOf(LimitManualBallast, d.have, number(0), number(d.need), number(0))
			}
		}
	}
	for kind := LimitKind(1); int(kind) <= NumLimits; kind++ {
		if k.absent.Has(setOf(kind)) {
			w.conditions([]condition{impossible(kind)})
		}
	}
}

// weave writes the tape of a lift that is put to a valid model. It returns false where
// something has no form in columns.
func (e *Evaluator) weave(l *lifted, column map[string]int) (*tape, least, bool) {
	w := &weaver{tape: newTape(), e: e, q: &l.q, column: column, least: least{load: math.Inf(1)}}
	if w.q.lift.Datum == LoadHeight && w.isColumn(units.Index("lifts", w.lift())+".load.above") {
		return nil, least{}, false
	}
	s := w.sums()
	for _, m := range [...]cell{s.fixed.m, s.off.m} {
		if !m.fixed() {
			w.write(tapeStep{op: opPositive, x: m.at})
		}
	}
	var r blockRows
	w.fixedRows(&r, &s)
	ahead, above := w.loadOffset()
	var total cell
	for _, a := range l.poses.angles {
		mass := w.stationRows(&r, a, ahead, above)
		total = w.add(w.add(s.fixed.m, mass), s.axle.m)
		if w.q.rows {
			w.ratings(&r, &s)
			w.balance(&r)
		}
	}
	w.hydraulic(l.top)
	w.loader()
	w.masses(total, &s)
	if w.lacks || w.least.bound.Has(setOf(LimitTipping)) {
		return nil, least{}, false
	}
	w.lay()
	return w.tape, w.least, true
}

// operatorChanges returns what each value that is bound as the operator adds to the
// specification mass.
func (e *Evaluator) operatorChanges() []float64 {
	for i := range e.bound {
		b := &e.bound[i]
		if b.path != "setup.machine.operator" {
			continue
		}
		out := make([]float64, len(b.values))
		m := e.setup.Machine
		for j, v := range b.values {
			m.Operator = v.Interface().(Operator)
			out[j] = float64(m.operatorChange())
		}
		return out
	}
	return nil
}
