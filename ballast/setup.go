package ballast

import (
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Setup is a machine as it stands in the yard: with its loader or without,
// an attachment, and pieces of ballast. Its methods compile it and ask; to
// ask often, [Setup.Compile] once.
type Setup struct {
	// Machine is the bare tractor.
	Machine Machine `json:"machine"`
	// Loader is the front loader; nil is none.
	Loader *Loader `json:"loader,omitempty"`
	// Attachment is what hangs on the loader; nil is not given, and a lift
	// needs one: a load on the pin itself has the kind BarePin.
	Attachment *Attachment `json:"attachment,omitempty"`
	// Pieces is the ballast and all else that was added, at most 100. They are
	// held against each other and against the axles: more tires filled than an
	// axle has, a fill of another tire than can stand so high, and two boxes at
	// different places on one hitch are errors; liquid by mass listed twice,
	// and any two pieces on one hitch, have a note.
	Pieces []Piece `json:"pieces,omitempty"`
	// Gravity is the acceleration of free fall, 0.1 to 100 m/s2; zero is
	// units.StandardGravity.
	Gravity units.Acceleration `json:"gravity,omitempty"`
}

// maxPieces is how many pieces a setup may have.
const maxPieces = 100

// Validate reports every bad field by its path, or nil. What was left out and has
// a range of practice is no bad field; [Setup.Compile] asks for it.
func (s Setup) Validate() error {
	p := UsualPractice()
	full, _ := s.supplied(&p)
	if err := full.complete(); err != nil {
		return err
	}
	var c units.FieldErrors
	v := look{errs: &c, open: true}
	full.look(&v)
	return c.Err()
}

// complete reports every bad field by its path, and every one that a single
// machine needs.
func (s *Setup) complete() error {
	var c units.FieldErrors
	c.Join("machine", s.Machine.validate())
	if l := s.Loader; l != nil {
		c.Join("loader", l.validate())
	}
	s.whole(&c)
	if s.Attachment != nil {
		c.Join("attachment", s.Attachment.validate())
	}
	if len(s.Pieces) > maxPieces {
		c.Add("pieces", len(s.Pieces), "must have at most 100 entries")
	} else {
		for i := range s.Pieces {
			valid.JoinAt(&c, "pieces", i, s.Pieces[i].validate())
		}
	}
	valid.Gravity(&c, "gravity", s.Gravity)
	if c.Len() == 0 {
		s.checkPieces(&c, pieceAt)
	}
	return c.Err()
}

// whole holds machine, loader and attachment against each other.
func (s *Setup) whole(c *units.FieldErrors) {
	in := s.Machine.LoaderIncluded
	if l := s.Loader; l != nil {
		if in == WithoutLoader {
			if !given(l.ArmMass) {
				c.Add("loader.armMass", nil, "must be given: the machine's mass is without loader")
			}
			if !given(l.FrameMass) {
				c.Add("loader.frameMass", nil, "must be given: the machine's mass is without loader")
			}
		}
	} else {
		if in == WithLoader {
			c.Add("loader", nil, "must be given: the machine's mass includes it")
		}
		if s.Attachment != nil {
			c.Add("loader", nil, "must be given with attachment")
		}
	}
}
