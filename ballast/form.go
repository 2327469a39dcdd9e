package ballast

import (
	"math"

	"example.com/steelyard/stability"
)

// coef is what a kilogram adds to a form, as a linear function of where it is:
// in kilograms of wheel load per kilogram.
type coef struct{ one, x, y, z, pitch, roll float64 }

func coefOf(c *stability.Coefficient, g float64) coef {
	return coef{float64(c.PerMass) / g, c.X / g, c.Y / g, c.Z / g, c.PitchRise / g, c.RollRise / g}
}

func (c coef) plus(k float64, d coef) coef {
	return coef{c.one + k*d.one, c.x + k*d.x, c.y + k*d.y, c.z + k*d.z, c.pitch + k*d.pitch, c.roll + k*d.roll}
}

func (c *coef) times(k float64) coef {
	return coef{k * c.one, k * c.x, k * c.y, k * c.z, k * c.pitch, k * c.roll}
}

// weights is what a kilogram of the body and one of the front axle add to a form.
type weights struct{ body, axle coef }

func (w weights) plus(k float64, d weights) weights {
	return weights{w.body.plus(k, d.body), w.axle.plus(k, d.axle)}
}

func (w *weights) times(k float64) weights {
	return weights{w.body.times(k), w.axle.times(k)}
}

// The bare tipping loads are counted beside the limits: that of the axle and that
// of the first wheel.
const (
	bareAxle = LimitManualBallast + 1 + LimitKind(iota)
	bareWheel
	numTallied = int(bareWheel)
)

// everything weighs every kilogram alike.
var everything = weights{coef{one: 1}, coef{one: 1}}

// form is what a limit asks of a state of the machine, less what it allows: a sum
// over everything on the machine that must not be positive. With the load m it is
// A + C m, and both are linear in each mass and in each place.
type form struct {
	weights
	limit   LimitKind
	moving  float64 // factor on arms and attachment
	load    float64 // and on the load
	unladen float64 // weight of a kilogram that belongs to the unladen mass
	rating  span    // what is allowed
	missing bool    // nobody gave what is allowed: rating is zero
	shares  int     // above zero, forms with the same number are the same but for the rating
}

// numShared is how many forms without rating several limits share: wheel rows, and their
// opposites. On a way the sums of a form are not those of its opposite.
const numShared = 2 * int(stability.NumRows)

// forms are the forms of the wheel loads at one corner of wheelbase, tracks and
// pin height, in an order that does not depend on the corner.
type forms struct {
	list [maxConditions]form
	n    int
}

func (l *forms) add(f form) {
	l.list[l.n] = f
	l.n++
}

// at lays the forms of a lift where the influence is in.
func (l *forms) at(v *spread, in *stability.Influence) {
	l.n = 0
	rows := rowWeights(in, v.q.k.g)
	l.ratings(v, &rows)
	l.balance(v, &rows)
	l.held(&rows, bareAxle, stability.RowRearAxle, 1)
	for _, row := range v.q.k.liftRows() {
		l.held(&rows, bareWheel, row, 1)
	}
}

// held asks that a row does not become negative, with a factor on all that moves.
func (l *forms) held(rows *[stability.NumRows]weights, limit LimitKind, row stability.Row, factor float64) {
	f := form{weights: rows[row].times(-1), limit: limit, moving: factor, load: factor}
	if factor == 1 {
		f.shares = 1 + int(stability.NumRows) + int(row)
	}
	l.add(f)
}

// rowWeights returns the wheel rows in kilograms.
func rowWeights(in *stability.Influence, g float64) (rows [stability.NumRows]weights) {
	for r := range rows {
		rows[r] = weights{coefOf(in.Body(stability.Row(r)), g), coefOf(in.Axle(stability.Row(r)), g)}
	}
	return rows
}

// ratings has the ratings of axles, wheels and tires and the steered axle: see
// loadCase.ratings.
func (l *forms) ratings(v *spread, rows *[stability.NumRows]weights) {
	const front, rear = stability.RowFrontAxle, stability.RowRearAxle
	e := v.e
	rated := func(limit LimitKind, row stability.Row, rating span) {
		l.add(form{weights: rows[row], limit: limit, moving: 1, load: 1, rating: rating, missing: rating == span{}, shares: 1 + int(row)})
	}
	rated(LimitFrontAxle, front, e.in[inFrontRating])
	rated(LimitRearAxle, rear, e.in[inRearRating])
	place := func(row stability.Row, tire, rim LimitKind, t, wheel span) {
		rated(tire, row, t)
		rated(rim, row, wheel)
	}
	m := &v.q.k.machine
	if m.Front.Single {
		place(front, LimitFrontTire, LimitFrontRim, v.front, e.in[inFrontRim])
	} else {
		place(stability.RowFrontLeft, LimitFrontTire, LimitFrontRim, v.front, e.in[inFrontRim])
		place(stability.RowFrontRight, LimitFrontTire, LimitFrontRim, v.front, e.in[inFrontRim])
	}
	place(stability.RowRearLeft, LimitRearTire, LimitRearRim, v.rear, e.in[inRearRim])
	place(stability.RowRearRight, LimitRearTire, LimitRearRim, v.rear, e.in[inRearRim])
	share := float64(m.Steered.Share)
	switch m.Steered.Base {
	case SteeredOfUnladen:
		l.add(form{weights: rows[front].times(-1), limit: LimitSteered, moving: 1, load: 1, unladen: share})
	case SteeredOfLaden:
		all := rows[front].plus(1, rows[rear])
		l.add(form{weights: all.times(share).plus(-1, rows[front]), limit: LimitSteered, moving: 1, load: 1})
	}
}

// balance keeps the wheels on the ground by the safety basis: see
// loadCase.balance.
func (l *forms) balance(v *spread, rows *[stability.NumRows]weights) {
	const front, rear = stability.RowFrontAxle, stability.RowRearAxle
	basis := v.q.lift.Basis
	f := float64(basis.Fraction)
	lifts := v.q.k.liftRows()
	underFactor := func(limit LimitKind, row stability.Row) {
		l.held(rows, limit, row, 1)
		if v.q.factor != 1 {
			l.held(rows, limit, row, v.q.factor)
		}
	}
	switch basis.Kind {
	case BasisRearShare:
		all := rows[front].plus(1, rows[rear])
		l.add(form{weights: all.times(f).plus(-1, rows[rear]), limit: LimitTipping, moving: 1, load: 1})
		for _, row := range lifts {
			l.add(form{weights: all.times(f/2).plus(-1, rows[row]), limit: LimitRearWheel, moving: 1, load: 1})
		}
	case BasisTippingFraction:
		// Where the load relieves the row, this asks that the row is positive
		// without load, as the row itself does.
		l.add(form{weights: rows[rear].times(-f), limit: LimitTipping, moving: 1, load: 1 / f})
		for _, row := range lifts {
			l.add(form{weights: rows[row].times(-f), limit: LimitRearWheel, moving: 1, load: 1 / f})
		}
	case BasisNoWheelUnloaded:
		underFactor(LimitTipping, rear)
		for _, row := range lifts {
			underFactor(LimitRearWheel, row)
		}
	}
	underFactor(LimitFrontWheel, stability.RowFrontLeft)
	underFactor(LimitFrontWheel, stability.RowFrontRight)
	l.held(rows, LimitRearward, front, 1)
}

// allowed is what conditions allow: the load that keeps them whatever is open,
// and the load beyond which one is broken whatever it is. A load of -1 says that
// the condition is broken without any.
type allowed struct{ low, high float64 }

// unlimited is what a condition allows that no load reaches.
var unlimited = allowed{math.Inf(1), math.Inf(1)}

// roots returns what the form allows when it is between a.lo + c.lo m and a.hi +
// c.hi m; tiny is what rounding leaves.
func roots(a, c span, tiny float64) allowed {
	one := func(a, c float64) float64 {
		switch {
		case a > tiny:
			return -1
		case c <= 0:
			return math.Inf(1)
		}
		return max(0, -a) / c
	}
	return allowed{one(a.hi, c.hi), one(a.lo, c.lo)}
}
