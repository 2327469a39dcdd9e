package ballast

import (
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/liquid"

	"example.com/steelyard/units"
)

// A tire that carries its axle is less than half its overall diameter from the
// axle to the ground, and not much less: agricultural tires deflect by up to a
// quarter of their section height, which is up to a quarter of the diameter
// (common practice, no source). The limits leave room for a dimension that is
// estimated, and for a tire that is almost flat.
const (
	leastLoadedRadius = 0.40 // of the overall diameter
	mostLoadedRadius  = 0.52
)

// tires returns how many tires the axle has.
func (a *Axle) tires() int { return int(a.places()) * max(1, a.TiresPerSide) }

// checkFill reports a fill that the tires of the axle cannot hold: of more
// tires than there are, or of another size of tire than one that stands so
// high. The piece's own fields are valid.
func (a *Axle) checkFill(p *Piece, k *liquid.Filler) error {
	var c units.FieldErrors
	switch n := a.tires(); {
	case p.Tires == 0 && n != 2:
		c.Add("tires", nil, "must be given: the axle has {tires} tires", valid.Text("tires", n))
	case p.Tires > n:
		c.Add("tires", p.Tires, "must be no more than the axle's tires, {tires}", valid.Text("tires", n))
	}
	if a.Radius.Value() == 0 {
		return c.Err()
	}
	var tire liquid.Tire
	var err error
	if k != nil {
		tire, err = k.Resolve(p.Fill.Tire)
	} else {
		tire, err = p.Fill.Tire.Resolve()
	}
	if err != nil {
		return c.Err() // it is reported where the fill is
	}
	d := tire.OverallDiameter.Value
	if low, high := leastLoadedRadius*d, mostLoadedRadius*d; !(a.Radius.Value() >= low && a.Radius.Value() <= high) {
		c.Add("fill.tire", valid.Show(d), "must be the axle's tire: with this overall diameter its static loaded radius is from {low} to {high}, and the axle's is {radius}",
			valid.Low(low), valid.High(high), valid.Value("radius", a.Radius.Value()))
	}
	return c.Err()
}

// axleOf returns the axle that a piece on wheels sits on, and its index: 0 the
// rear one, 1 the front one.
func (m *Machine) axleOf(p *Piece) (axle Axle, index int) {
	if p.Kind.OnFrontWheels() {
		return m.front(), 1
	}
	return m.Rear, 0
}

// checkPieces holds the pieces against each other and against the axles. Their
// own fields are valid. The path of piece i is at(i).
func (s *Setup) checkPieces(c *units.FieldErrors, at func(i int) string) {
	s.checkPiecesKnown(c, at, nil)
}

// checkPiecesKnown is checkPieces with a filler that may know the tires of the fills;
// nil knows none.
func (s *Setup) checkPiecesKnown(c *units.FieldErrors, at func(i int) string, k *liquid.Filler) {
	box := -1
	var filled [2]int // tires of the rear and the front axle that fills name
	var first [2]int  // the first fill of each
	for i := range s.Pieces {
		p := &s.Pieces[i]
		if p.Unheld {
			continue
		}
		if p.Kind == HitchBox && p.State != Resting {
			if box >= 0 && s.Pieces[box].CG != p.CG {
				c.Add(at(i)+".kind", p.Kind, "must be another, or rest on the ground: {other} is a box on the same hitch at another place", valid.Text("other", at(box)))
			}
			box = i
		}
		if p.Fill == nil {
			continue
		}
		axle, n := s.Machine.axleOf(p)
		before := c.Len()
		if err := axle.checkFill(p, k); err != nil {
			c.Join(at(i), err)
		}
		if filled[n] == 0 {
			first[n] = i
		}
		if filled[n] += p.filledTires(); filled[n] > axle.tires() && c.Len() == before {
			c.Add(at(i)+".tires", p.filledTires(), "must leave room for {other}: the axle has {tires} tires, and {filled} are filled",
				valid.Text("other", at(first[n])), valid.Text("tires", axle.tires()), valid.Text("filled", filled[n]))
		}
	}
	for i := range s.Pieces {
		p := &s.Pieces[i]
		if !p.Kind.Liquid() || p.Fill != nil || p.Unheld {
			continue
		}
		if axle, n := s.Machine.axleOf(p); filled[n] >= axle.tires() {
			c.Add(at(i)+".kind", p.Kind, "must be another: {other} is the liquid in all tires of the axle", valid.Text("other", at(first[n])))
		}
	}
}

// pieceAt is the path of piece i of a setup.
func pieceAt(i int) string { return units.Index("pieces", i) }

// together returns what is odd about pieces that stand on the machine at once:
// liquid that may be listed twice, two things on one hitch, and pieces that are not held
// against anything.
func (s *Setup) together() (n Notes) {
	var hitch, rear, front int
	for i := range s.Pieces {
		p := &s.Pieces[i]
		if p.Unheld {
			n |= NoteUnheld
		}
		switch {
		case p.Kind.OnHitch() && p.State != Resting:
			hitch++
		case p.Kind == RearLiquid:
			rear++
		case p.Kind == FrontLiquid:
			front++
		}
	}
	if hitch > 1 {
		n |= NoteHitchTwice
	}
	if rear > 1 || front > 1 {
		n |= NoteLiquidTwice
	}
	return n
}
