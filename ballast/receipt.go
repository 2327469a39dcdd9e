package ballast

import (
	"context"
	"encoding/json"
	"strings"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// A Receipt says what answers were made of, so that they can be made again and compared
// years later.
type Receipt struct {
	// Library is the version of the library; see [units.Version].
	Library string `json:"library"`
	// Hash is that of the document; see [Document.Hash].
	Hash string `json:"hash"`
	// Input is the document in its canonical form; see [Document.Canonical].
	Input json.RawMessage `json:"input"`
	// Constants are what the library put in the place of what the document leaves open,
	// and its other figures that have a part in the answers.
	Constants []Constant `json:"constants,omitempty"`
	// Renewed is what the steps from an older version of the document changed.
	Renewed []Renewal `json:"renewed,omitempty"`
	// Remarks are the notes and cautions of all answers, the gravest first.
	Remarks []units.Remark `json:"remarks,omitempty"`
}

// A Constant is a figure of the library that has a part in an answer.
type Constant struct {
	// Name is its name: "gravity", "factor", "operator.light", "operator.heavy",
	// "operator.operating", "dieselDensity", "hitchRatingDistance", or "practice." and the
	// field of Practice.
	Name string `json:"name"`
	// Value is its value; of a range of practice "low to high".
	Value string `json:"value"`
}

// Answers are what the setup of a document answers to its lifts and its transport, with
// their receipt.
type Answers struct {
	// Receipt says what the answers were made of.
	Receipt Receipt `json:"receipt"`
	// Lifts holds the answer to each lift of the document: whether its load may be lifted.
	// A load without a mass is no load: the attachment is empty.
	Lifts []Judgment `json:"lifts,omitempty"`
	// Transport is the answer to the document's transport; nil without one.
	Transport *TransportAnswer `json:"transport,omitempty"`
}

// Answers answers a document and gives the receipt. A plan is no part of it; see
// [Document.Plan]. A lift that cannot be answered is an error that names the field.
//
// Once the context is done, the answer holds the lifts that were answered by then, with an
// error that wraps ctx.Err(). A nil context never ends.
func (d Document) Answers(ctx context.Context) (Answers, error) {
	text, err := d.Canonical()
	if err != nil {
		return Answers{}, err
	}
	out := Answers{Receipt: Receipt{Library: units.Version, Hash: hashOf(text), Input: text, Renewed: d.Renewed}}
	if err := d.answer(ctx, &out); err != nil {
		if valid.Ended(ctx, "ballast: answers") != nil {
			return out, err
		}
		return Answers{}, err
	}
	return out, nil
}

// answer answers a document that is valid.
func (d *Document) answer(ctx context.Context, out *Answers) error {
	e, err := d.Envelope()
	if err != nil {
		return err
	}
	out.Receipt.Constants = d.constants(e)
	var remarks []units.Remark
	var notes Notes
	var cautions Cautions
	var c units.FieldErrors
	for i, l := range d.Lifts {
		if err := valid.Ended(ctx, "ballast: answers"); err != nil {
			return err
		}
		load := l.Load.Mass
		if a := d.Setup.Attachment; a != nil {
			load = l.Load.MassOn(*a)
		}
		j, err := e.Check(l, load)
		if err != nil {
			at := units.Index("lifts", i)
			c.JoinCall(err, "setup", map[string]string{"lift": at, "load": at + ".load.mass"})
			continue
		}
		out.Lifts = append(out.Lifts, j)
		notes, cautions = notes|j.Usable.Notes, cautions|j.Usable.Cautions
		if j.Usable.FillNotes != 0 && i == 0 {
			remarks = append(remarks, j.Usable.FillNotes.Remarks()...)
		}
	}
	if d.Transport != nil {
		a, err := d.Transport.Check()
		c.Join("transport", err)
		out.Transport = &a
		notes, cautions = notes|a.Notes, cautions|a.Cautions
	}
	out.Receipt.Remarks = units.SortRemarks(append(append(cautions.Remarks(), notes.Remarks()...), remarks...))
	return c.Err()
}

// practiceOf names the range of practice that stands in for a field of a setup.
func practiceOf(path string) string {
	switch path {
	case "machine.cg.x":
		return "cgX"
	case "machine.cg.z":
		return "cgHeight"
	case "machine.front.radius":
		return "frontRadius"
	case "machine.rear.radius":
		return "rearRadius"
	case "machine.seat.x":
		return "seatX"
	case "machine.seat.z":
		return "seatHeight"
	case "machine.fuel.cg.x":
		return "fuelX"
	case "machine.fuel.cg.z":
		return "fuelHeight"
	case "loader.pivot.x":
		return "pivotX"
	case "loader.pivot.z":
		return "pivotZ"
	case "loader.frameCG.x":
		return "frameX"
	case "loader.frameCG.z":
		return "frameHeight"
	case "loader.cylinders.friction":
		return "friction"
	case "attachment.face": // of forks
		return "forkFace"
	case "attachment.mass":
		return "attachmentMass"
	case "attachment.cg.ahead":
		return "attachmentAhead"
	case "attachment.cg.above":
		return "attachmentAbove"
	case "attachment.edge.ahead":
		return "edgeAhead"
	case "attachment.edge.above":
		return "edgeAbove"
	}
	if strings.HasPrefix(path, "pieces[") {
		return "pieceHeight"
	}
	return path[strings.LastIndexByte(path, '.')+1:] // the others have the name of their field
}

// constants lists the figures of the library that have a part in the answers.
func (d *Document) constants(e *Envelope) []Constant {
	var out []Constant
	add := func(name, value string) {
		for _, c := range out {
			if c.Name == name {
				return
			}
		}
		out = append(out, Constant{Name: name, Value: value})
	}
	s := &d.Setup
	if s.Gravity == 0 {
		add("gravity", units.StandardGravity.String())
	}
	for _, l := range d.Lifts {
		if l.Factor == 0 {
			add("factor", formatNumber(DefaultFactor))
		}
	}
	m := &s.Machine
	switch m.Operator {
	case LightOperator, HeavyOperator:
		add("operator."+m.Operator.String(), m.Operator.Mass().String())
	}
	if m.MassIncludes == MassOperating {
		add("operator.operating", operatingOperator.String())
	}
	if m.Fuel.counts(m.MassIncludes) {
		add("dieselDensity", dieselDensity.String())
	}
	if m.Hitch.Rating.Known() || d.Transport != nil && d.Transport.Hitch.Rating.Known() {
		add("hitchRatingDistance", hitchRatingDistance.String())
	}
	practice := func(name string) {
		for _, r := range e.practice.shares() {
			if r.path == name {
				add("practice."+name, r.is.Low.String()+" to "+r.is.High.String())
			}
		}
		for _, r := range e.practice.lengths() {
			if r.path == name {
				add("practice."+name, r.is.Low.String()+" to "+r.is.High.String())
			}
		}
	}
	for _, a := range e.assumed {
		practice(a.Practice)
	}
	if e.hasLoader && s.Loader.Cylinders == nil {
		practice("friction")
	}
	for _, l := range d.Lifts {
		if s.Attachment == nil || s.Attachment.Kind == BarePin || l.Kind == BreakOut {
			continue
		}
		if l.Load.Center.Unknown() {
			practice("loadBeyond")
		}
		if l.Load.Above.Unknown() {
			practice("loadAbove")
		}
	}
	return out
}
