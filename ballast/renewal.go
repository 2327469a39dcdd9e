package ballast

import (
	"encoding/json"
	"strconv"
	"strings"

	"example.com/steelyard/internal/strictjson"
	"example.com/steelyard/units"
)

// A Renewal is one change that the step from one version of the document to the next made
// when an older document was read.
type Renewal struct {
	// Version is the version that the step led to.
	Version int `json:"version"`
	// Path is the field in the present document, or in the older one where the field has
	// gone.
	Path string `json:"path"`
	// Message says what was changed.
	Message units.Message `json:"-"`
	// Text is the message in English.
	Text string `json:"text"`
	// Kept is what stood in a field that has gone, in the canonical form of RFC 8785: the
	// document does not hold it any more, and Encode does not write it.
	Kept json.RawMessage `json:"kept,omitempty"`
}

// What a step does.
const (
	renewedField  = "The field was called {old}."
	renewedText   = "The text {old} is written {new}."
	renewedNumber = "The share was written as a number."
	renewedMeant  = "The field was left out, which meant {new}."
	renewedRule   = "A later rule is broken: it {rule}. A document of today would be refused; the piece is marked unheld and counts as before."
	renewedGone   = "Readings are no part of this document any more: their place is {place}, which asks for the height of the pin with each of them. The old text is kept beside this note."
)

// A fieldChange is a field that a version renamed; new is empty where it has gone.
type fieldChange struct {
	version  int
	at       string // the path of the object that holds it, list entries left open
	old, new string
	place    string // of a field that has gone, where its values belong now
}

var fieldChanges = []fieldChange{
	{2, "setup.machine", "pinHeight", "axlePinHeight", ""},
	{2, "", "weighing", "", "weigh.Document"},
}

// A textChange is a text of a choice that a version renamed, wherever the path ends like
// this.
type textChange struct {
	version  int
	end      string
	old, new string
}

var textChanges = []textChange{
	{2, "steered.base", "notChosen", "unknown"},
	{2, "basis.kind", "notChosen", "unknown"},
	{2, "list[].base", "notChosen", "unknown"},
	{2, "fluid.kind", "", "unknown"},
	{2, "level.kind", "", "unknown"},
	{2, "tire.system", "", "unknown"},
	{2, "tire.construction", "", "unknown"},
	{2, "tire.tread", "", "unknown"},
}

// shares1 are ends of the paths of shares, which the first documents held as numbers.
var shares1 = []string{"steered.share", "share.low", "share.high", "basis.fraction", "loader.selfLeveling", "carried"}

// presentName returns what took the place of an old name.
func presentName(path, old string) (strictjson.Old, bool) {
	for _, c := range fieldChanges {
		if c.at == path && c.old == old {
			return strictjson.Old{New: c.new, Version: c.version}, true
		}
	}
	for _, c := range textChanges {
		if c.old == old && ends(path, c.end) {
			return strictjson.Old{New: c.new, Version: c.version}, true
		}
	}
	return strictjson.Old{}, false
}

// ends reports whether a path ends in whole steps like end.
func ends(path, end string) bool {
	return path == end || strings.HasSuffix(path, end) && path[len(path)-len(end)-1] == '.'
}

func versionParam() units.Param {
	return units.Param{Name: "version", Text: strconv.Itoa(DocumentVersion)}
}

// versionOf returns the version that a document says it has.
func versionOf(text *strictjson.Value) (int, bool) {
	v := text.Member("version")
	if v == nil || v.Kind != strictjson.Number {
		return 0, false
	}
	n, err := strconv.Atoi(v.Text)
	return n, err == nil
}

// renew takes a document through the steps from its version to the present one. A document
// without a version, or of no version that there was, is left as it is.
func renew(text *strictjson.Value) []Renewal {
	n, ok := versionOf(text)
	if !ok || n < 1 || n >= DocumentVersion {
		return nil
	}
	r := renewer{root: text}
	for ; n < DocumentVersion; n++ {
		r.to = n + 1
		r.renames(text, "", "")
		if n == 1 {
			r.from1()
		}
	}
	text.Member("version").Text = strconv.Itoa(DocumentVersion)
	return r.done
}

type renewer struct {
	root *strictjson.Value
	to   int
	done []Renewal
}

// tell records a change.
func (r *renewer) tell(path, text string, params ...units.Param) {
	m := units.NewMessage(text, params...)
	r.done = append(r.done, Renewal{Version: r.to, Path: path, Message: m, Text: m.Text})
}

func nameParam(name, v string) units.Param { return units.Param{Name: name, Text: strconv.Quote(v)} }

// renames makes the renames of a step in a value and all in it. Open is its path with list
// entries left open.
func (r *renewer) renames(v *strictjson.Value, path, open string) {
	switch v.Kind {
	case strictjson.String:
		for _, c := range textChanges {
			if c.version == r.to && c.old == v.Text && ends(open, c.end) {
				v.Text = c.new
				r.tell(path, renewedText, nameParam("old", c.old), nameParam("new", c.new))
			}
		}
	case strictjson.List:
		for i := range v.Items {
			r.renames(&v.Items[i], units.Index(path, i), open+"[]")
		}
	case strictjson.Object:
		for _, c := range fieldChanges {
			if c.version != r.to || c.at != open || v.Member(c.old) == nil {
				continue
			}
			if c.new == "" {
				text, err := v.Member(c.old).Canonical(nil)
				if err != nil {
					continue // it cannot be kept, and is refused where it stands
				}
				takeMember(v, c.old)
				r.tell(units.JoinPath(path, c.old), renewedGone, units.Param{Name: "place", Text: c.place})
				r.done[len(r.done)-1].Kept = text
			} else if v.Member(c.new) == nil {
				v.Member(c.old).Key = c.new
				r.tell(units.JoinPath(path, c.new), renewedField, nameParam("old", c.old))
			}
		}
		for i := range v.Items {
			e := &v.Items[i]
			r.renames(e, units.JoinPath(path, e.Key), units.JoinPath(open, e.Key))
		}
	}
}

// unheld marks the pieces of an older document that break a rule of today, which was none
// when they were written: the document is answered as before.
func (d *Document) unheld() {
	tell := func(path string, f *units.FieldError) {
		m := units.NewMessage(renewedRule, units.Saying("rule", f.Message()))
		d.Renewed = append(d.Renewed, Renewal{Version: 2, Path: units.JoinPath(path, f.Path), Message: m, Text: m.Text})
	}
	d.Setup.unheld(func(f *units.FieldError) { tell("setup", f) })
	if d.Stock == nil {
		return
	}
	stocked := func(p *Piece, path string) {
		if p.Fill == nil || p.Kind != RearLiquid && p.Kind != FrontLiquid {
			return
		}
		axle, _ := d.Setup.Machine.axleOf(p)
		for _, f := range units.Fields(axle.checkFill(p, nil)) {
			p.Unheld = true
			tell(path, f)
		}
	}
	for i := range d.Stock.Items {
		stocked(&d.Stock.Items[i].Piece, units.Index("stock.items", i)+".piece")
	}
	for i := range d.Stock.Options {
		for j := range d.Stock.Options[i].Pieces {
			stocked(&d.Stock.Options[i].Pieces[j], units.Index(units.Index("stock.options", i)+".pieces", j))
		}
	}
}

func (s *Setup) unheld(tell func(*units.FieldError)) {
	if len(s.Pieces) > maxPieces {
		return
	}
	for i := range s.Pieces {
		if s.Pieces[i].Validate() != nil {
			return // what is wrong with it is told elsewhere
		}
	}
	p := UsualPractice()
	full, _ := s.supplied(&p)
	for range s.Pieces {
		var c units.FieldErrors
		full.checkPieces(&c, pieceAt)
		if c.Len() == 0 {
			return
		}
		for _, f := range units.Fields(c.Err()) {
			tell(f)
			for i := range s.Pieces {
				if strings.HasPrefix(f.Path, pieceAt(i)+".") {
					s.Pieces[i].Unheld, full.Pieces[i].Unheld = true, true
				}
			}
		}
	}
}

// from1 is what else changed from version 1 to version 2: a machine that did not say so had
// a pivoting front axle, and the first documents held shares as numbers.
func (r *renewer) from1() {
	setup := r.root.Member("setup")
	if setup != nil {
		if m := setup.Member("machine"); m != nil && m.Kind == strictjson.Object && m.Member("undercarriage") == nil {
			m.Items = append(m.Items, strictjson.Value{Key: "undercarriage", Kind: strictjson.String, Text: "pivotingFront"})
			r.tell("setup.machine.undercarriage", renewedMeant, nameParam("new", "pivotingFront"))
		}
	}
	r.shares(r.root, "")
}

func (r *renewer) shares(v *strictjson.Value, path string) {
	for i := range v.Items {
		e := &v.Items[i]
		at := units.JoinPath(path, e.Key)
		if v.Kind == strictjson.List {
			at = units.Index(path, i)
		}
		if e.Kind == strictjson.Number {
			for _, end := range shares1 {
				if ends(at, end) {
					e.Kind = strictjson.String
					r.tell(at, renewedNumber)
				}
			}
		}
		r.shares(e, at)
	}
}
