package ballast

import (
	"context"
	"encoding/json"
	"strconv"
	"strings"

	"example.com/steelyard/internal/strictjson"
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

// Answers are what the setup of a document answers to its lifts, its travels and its
// transport, and the plan for its needs, with their receipt.
type Answers struct {
	// Receipt says what the answers were made of.
	Receipt Receipt `json:"receipt"`
	// Lifts holds the answer to each lift of the document: whether its load may be lifted.
	// A load without a mass is no load: the attachment is empty.
	Lifts []Judgment `json:"lifts,omitempty"`
	// Travels holds the answer to each travel of the document.
	Travels []TravelJudgment `json:"travels,omitempty"`
	// Transport is the answer to the document's transport; nil without one.
	Transport *TransportAnswer `json:"transport,omitempty"`
	// Plan is the plan for the document's needs; nil without needs.
	Plan *Proposal `json:"plan,omitempty"`
}

// Answers answers a document and gives the receipt. What cannot be answered is an error
// that names the field. Lifts and a transport take well under a millisecond, a travel and a
// plan up to seconds.
//
// Once the context is done, the answer holds what was answered by then, a plan not
// at all, with an error that wraps ctx.Err(). A nil context never ends.
func (d Document) Answers(ctx context.Context) (Answers, error) {
	if err := valid.Ended(ctx, "ballast: answers"); err != nil {
		return Answers{}, err
	}
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
	travels, err := d.answerTravels(ctx, e, out, &c)
	if err != nil {
		return err
	}
	notes, cautions = notes|travels.notes, cautions|travels.cautions
	if d.Needs != nil && c.Len() == 0 {
		p, err := d.Plan(ctx)
		if ended := valid.Ended(ctx, "ballast: answers"); ended != nil {
			return ended
		}
		c.Join("", err)
		out.Plan = &p
		notes, cautions = notes|p.Notes, cautions|p.Cautions
	}
	out.Receipt.Remarks = units.SortRemarks(append(append(cautions.Remarks(), notes.Remarks()...), remarks...))
	return c.Err()
}

// said is what answers say of themselves.
type said struct {
	notes    Notes
	cautions Cautions
}

// answerTravels answers the travels of a document; errors of a travel go into c.
func (d *Document) answerTravels(ctx context.Context, e *Envelope, out *Answers, c *units.FieldErrors) (s said, err error) {
	for i, t := range d.Travels {
		load := t.Lift.Load.Mass
		if a := d.Setup.Attachment; a != nil {
			load = t.Lift.Load.MassOn(*a)
		}
		j, err := e.CheckTravel(ctx, t, load)
		if ended := valid.Ended(ctx, "ballast: answers"); ended != nil {
			return s, ended
		}
		if err != nil {
			at := units.Index("travels", i)
			c.JoinCall(err, "setup", map[string]string{"travel": at, "lift": at + ".lift", "load": at + ".lift.load.mass"})
			continue
		}
		out.Travels = append(out.Travels, j)
		s.notes, s.cautions = s.notes|j.Travel.Notes, s.cautions|j.Travel.Cautions
	}
	return s, nil
}

// Validate reports what does not agree in a receipt that was stored: its input must be a
// document, and its hash that of the input. Nil is agreement. It is no signature: whoever
// changes both is not found out.
func (r Receipt) Validate() error {
	var c units.FieldErrors
	if r.Library == "" {
		c.Add("library", nil, "must be given")
	}
	v, err := strictjson.Parse(r.Input, strictjson.Limits{Size: maxDocumentSize, Depth: maxDocumentDepth, List: maxDocumentList})
	if err != nil {
		c.Join("input", err)
		return c.Err()
	}
	text, err := v.Canonical(nil)
	if err != nil {
		c.Join("input", err)
		return c.Err()
	}
	if n, ok := versionOf(&v); !ok || n < 1 {
		c.Add("input.version", nil, "must be given")
	}
	if hash := hashOf(text); r.Hash != hash {
		c.Add("hash", strconv.Quote(r.Hash), "must be that of the input, {hash}", units.Param{Name: "hash", Text: hash})
	}
	return c.Err()
}

// Validate reports what does not agree in answers that were stored: the receipt, as
// [Receipt.Validate] does, and answers to what the input does not ask. Answers that ended
// with their context may be fewer.
func (a Answers) Validate() error {
	var c units.FieldErrors
	c.Join("receipt", a.Receipt.Validate())
	if c.Len() > 0 {
		return c.Err()
	}
	v, err := strictjson.Parse(a.Receipt.Input, strictjson.Limits{Size: maxDocumentSize, Depth: maxDocumentDepth, List: maxDocumentList})
	if err != nil {
		return err
	}
	asked := func(key string) int {
		if m := v.Member(key); m != nil {
			return len(m.Items)
		}
		return 0
	}
	for _, list := range []struct {
		key     string
		entries int
	}{{"lifts", len(a.Lifts)}, {"travels", len(a.Travels)}} {
		if n := asked(list.key); list.entries > n {
			c.Add(list.key, list.entries, "must have at most {entries} entries", valid.Text("entries", n))
		}
	}
	const unasked = "must be left out: the input of the receipt does not ask for it"
	if a.Transport != nil && v.Member("transport") == nil {
		c.Add("transport", nil, unasked)
	}
	if a.Plan != nil && v.Member("needs") == nil {
		c.Add("plan", nil, unasked)
	}
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
