package bridge

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/jobs"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Saved is a job file, the input of a handover sheet, as it is saved again.
type Saved struct {
	// Text is the file. What was not changed stands in it as it was read.
	Text string `json:"text"`
	// Lines say what the file holds beyond the page, and what of the page it does not hold.
	Lines []string `json:"lines"`
}

// yardKeys are what the page asks of the yard, each with its field of a job file.
var yardKeys = [][2]string{
	{"slope", "slope"}, {"friction", "friction"}, {"margin", "slopeMargin"}, {"manual", "slopeManual"}, {"travel", "travelPin"}, {"place", "place"}, {"loadIs", "loadIs"}, {"rating", "loaderRating"},
}

// save puts what was changed on the page into the job file that was opened.
func (a *asker) save() (any, error) {
	out := Saved{Lines: []string{a.Text("y.job")}}
	was, err := parse([]byte(strings.TrimPrefix(a.File, "\ufeff")))
	if err != nil {
		return nil, err
	}
	file, ok := was.(*object)
	if !ok {
		return nil, errors.New("file: must be a job file")
	}
	docs := [2]*object{}
	for i, raw := range []json.RawMessage{a.Before, a.Document} {
		v, err := parse(raw)
		if err != nil {
			return nil, err
		}
		if docs[i], ok = full(v).(*object); !ok {
			return nil, errors.New("document: must be an object")
		}
	}
	before, now := docs[0], docs[1]
	put := func(key string, old, new any) { file.set(key, merge(file.get(key), old, new)) }
	put("setup", before.get("setup"), now.get("setup"))
	put("practice", before.get("practice"), now.get("practice"))
	compare, err := parse(a.Compare)
	if err != nil {
		return nil, err
	}
	if old, err := a.compare(); err != nil {
		return nil, err
	} else if old, _ := parse(old); !equal(old, compare) {
		file.set("compare", compare)
	}
	first, then := lift(before), lift(now)
	for _, key := range []string{"load", "basis", "factor", "speed"} {
		put(key, first.get(key), then.get(key))
	}
	if then.get("kind") == "takeOffDeck" && then.get("datum") == natural(now) {
		put("deck", first.get("height"), then.get("height"))
	} else {
		out.Lines = append(out.Lines, a.Text("y.job.other"))
	}
	a.saveYard(file, &out)
	if t, ok := file.get("title").(string); ok && t != "" {
		out.Lines = append(out.Lines, a.T("y.job.title"))
	}
	var b bytes.Buffer
	if err := json.Indent(&b, marshal(file), "", "  "); err != nil {
		return nil, err
	}
	out.Text = b.String() + "\n"
	return out, nil
}

// saveYard puts into the file what was changed of the yard.
func (a *asker) saveYard(file *object, out *Saved) {
	text := func(m map[string]string, key string) any {
		if v := m[key]; v != "" {
			return v
		}
		return nil
	}
	for _, x := range yardKeys {
		old, new := text(a.YardBefore, x[0]), text(a.Yard, x[0])
		if x[0] == "friction" && new == nil {
			// A surface has a range of frictions, the file has one: the least of them permits least.
			if r, ok := surfaces[a.Yard["surface"]]; ok {
				new = a.plain(float64(r.Low))
				out.Lines = append(out.Lines, a.T("y.job.surface", "friction", a.Number(float64(r.Low))))
			}
		}
		if x[0] == "travel" && old != nil && new == nil {
			// The file cannot do without: it says the height that the page counts with.
			if v, _, _ := a.read(a.Document); v != nil {
				new = a.plain(float64(v.travel())) + " m"
			} else {
				new = old
			}
		}
		if old != new {
			file.set(x[1], new)
		}
	}
	o, _ := file.get("obstacle").(*object)
	hole := []any{text(a.Yard, "hole"), text(a.Yard, "holeLength"), text(a.Yard, "speed")}
	switch {
	case o != nil && o.get("kind") != "rut":
		out.Lines = append(out.Lines, a.Text("y.job.obstacle"))
	case slices.Equal(hole, []any{text(a.YardBefore, "hole"), text(a.YardBefore, "holeLength"), text(a.YardBefore, "speed")}):
	case !slices.Contains(hole, nil):
		if o == nil {
			o = &object{}
			o.set("kind", "rut")
		}
		o.set("height", hole[0])
		o.set("length", hole[1])
		file.set("obstacle", o)
		file.set("obstacleSpeed", hole[2])
	default:
		file.set("obstacle", nil)
		file.set("obstacleSpeed", nil)
		if !slices.Equal(hole, []any{nil, nil, nil}) {
			out.Lines = append(out.Lines, a.Text("y.job.hole"))
		}
	}
}

// compare is the attachment to compare in the file of a request.
func (a *asker) compare() (json.RawMessage, error) {
	var s struct {
		Compare json.RawMessage `json:"compare"`
	}
	err := json.Unmarshal([]byte(strings.TrimPrefix(a.File, "\ufeff")), &s)
	return safe(s.Compare), err
}

// natural is what a deck's height is the height of, with the attachment of a document.
func natural(doc *object) string {
	setup, _ := doc.get("setup").(*object)
	at, _ := setup.get("attachment").(*object)
	switch at.get("kind") {
	case "forks":
		return "tine"
	case "bucket":
		return "edge"
	}
	return "pin"
}

// lift is the first lift of a document, which may be nil.
func lift(doc *object) *object {
	list, _ := doc.get("lifts").([]any)
	if len(list) == 0 {
		return nil
	}
	o, _ := list[0].(*object)
	return o
}

// fromSheet is a job file as the page goes on with it. The texts stay as they were written: the
// setup is taken over as it is.
func (a *asker) fromSheet(text string, setup, compare json.RawMessage) (out Opened) {
	var s jobs.Sheet
	if err := ballast.DecodeInto(strings.NewReader(text), &s); err != nil {
		a.Document = json.RawMessage(text)
		wrong, missing := a.problems(err)
		return Opened{Wrong: append(wrong, missing...)}
	}
	lift := ballast.Lift{Kind: ballast.TakeOffDeck, Datum: ballast.PinHeight, Height: s.Deck, Load: s.Load, Basis: s.Basis, Factor: s.Factor, Speed: s.Speed}
	if x := s.Setup.Attachment; x != nil {
		switch x.Kind {
		case ballast.Forks:
			lift.Datum = ballast.TineHeight
		case ballast.Bucket:
			lift.Datum = ballast.EdgeHeight
		}
	}
	doc := ballast.Document{Version: ballast.DocumentVersion, Setup: s.Setup, Practice: s.Practice, Lifts: []ballast.Lift{lift}}
	var b strings.Builder
	if err := doc.Encode(&b); err != nil {
		out.Wrong, _ = a.problems(err)
		return out
	}
	var whole map[string]json.RawMessage
	json.Unmarshal([]byte(b.String()), &whole)
	whole["setup"] = setup
	out.Document, _ = json.Marshal(whole)
	out.Job, out.Compare = text, safe(compare)
	out.Ground = map[string]string{}
	put := func(key string, v float64, unit string) {
		if v > 0 {
			out.Ground[key] = a.plain(v) + unit
		}
	}
	put("slope", float64(s.Slope)/float64(units.Degree), " deg")
	put("margin", float64(s.SlopeMargin)/float64(units.Degree), " deg")
	put("manual", float64(s.SlopeManual)/float64(units.Degree), " deg")
	put("travel", float64(s.TravelPin), " m")
	put("place", float64(s.Place), " m")
	put("rating", float64(s.LoaderRating), " kg")
	put("friction", float64(s.Friction), "")
	if s.LoadIs != "" {
		out.Ground["loadIs"] = s.LoadIs
	}
	if o := s.Obstacle; o != nil && o.Kind == stability.ObstacleRut {
		put("hole", float64(o.Height)*100, " cm")
		put("holeLength", float64(o.Length)*100, " cm")
		put("speed", float64(s.ObstacleSpeed)*3.6, " km/h")
	}
	return out
}

// object is an object of JSON with its members in their order; nil is one without any.
type object struct{ members []member }

type member struct {
	key   string
	value any
}

func (o *object) index(key string) int {
	if o == nil {
		return -1
	}
	return slices.IndexFunc(o.members, func(m member) bool { return m.key == key })
}

// get is the value of a member, nil where there is none.
func (o *object) get(key string) any {
	if i := o.index(key); i >= 0 {
		return o.members[i].value
	}
	return nil
}

// set gives a member another value; nil takes it away.
func (o *object) set(key string, v any) {
	i := o.index(key)
	switch {
	case i < 0 && v != nil:
		o.members = append(o.members, member{key, v})
	case i >= 0 && v == nil:
		o.members = slices.Delete(o.members, i, i+1)
	case i >= 0:
		o.members[i].value = v
	}
}

// MarshalJSON writes the members in their order.
func (o *object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, m := range o.members {
		if i > 0 {
			b.WriteByte(',')
		}
		value, err := json.Marshal(m.value)
		if err != nil {
			return nil, err
		}
		b.Write(marshal(m.key))
		b.WriteByte(':')
		b.Write(value)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// parse reads JSON whose objects keep their order; nothing is nil.
func parse(raw json.RawMessage) (any, error) {
	if len(raw) == 0 {
		return nil, nil
	}
	if !json.Valid(raw) {
		return nil, errors.New("file: must be JSON")
	}
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	return value(d)
}

func value(d *json.Decoder) (any, error) {
	t, err := d.Token()
	if err != nil {
		return nil, err
	}
	switch t {
	case json.Delim('{'):
		o := &object{}
		for d.More() {
			key, err := d.Token()
			if err != nil {
				return nil, err
			}
			v, err := value(d)
			if err != nil {
				return nil, err
			}
			o.members = append(o.members, member{key.(string), v})
		}
		_, err = d.Token()
		return o, err
	case json.Delim('['):
		list := []any{}
		for d.More() {
			v, err := value(d)
			if err != nil {
				return nil, err
			}
			list = append(list, v)
		}
		_, err = d.Token()
		return list, err
	}
	return t, nil
}

// full is a value without objects that say nothing.
func full(v any) any {
	switch v := v.(type) {
	case *object:
		out := &object{}
		for _, m := range v.members {
			out.set(m.key, full(m.value))
		}
		if len(out.members) == 0 {
			return nil
		}
		return out
	case []any:
		list := make([]any, len(v))
		for i, e := range v {
			list[i] = full(e)
		}
		return list
	}
	return v
}

// equal reports whether two values say the same; the order of members says nothing.
func equal(a, b any) bool {
	switch a := a.(type) {
	case *object:
		b, ok := b.(*object)
		if !ok || len(a.members) != len(b.members) {
			return false
		}
		return !slices.ContainsFunc(a.members, func(m member) bool { return b.index(m.key) < 0 || !equal(m.value, b.get(m.key)) })
	case []any:
		b, ok := b.([]any)
		return ok && slices.EqualFunc(a, b, equal)
	}
	switch b.(type) {
	case *object, []any:
		return false
	}
	return a == b
}

// merge is a value of the file with what was changed on the page from old to new.
func merge(file, old, new any) any {
	if equal(old, new) {
		return file
	}
	switch n := new.(type) {
	case *object:
		f, ok1 := file.(*object)
		o, ok2 := old.(*object)
		if !ok1 || !ok2 {
			return new
		}
		for _, m := range o.members {
			if n.index(m.key) < 0 {
				f.set(m.key, nil)
			}
		}
		for _, m := range n.members {
			f.set(m.key, merge(f.get(m.key), o.get(m.key), m.value))
		}
		return f
	case []any:
		f, ok1 := file.([]any)
		o, ok2 := old.([]any)
		if !ok1 || !ok2 || len(f) != len(n) || len(o) != len(n) {
			return new
		}
		for i := range n {
			f[i] = merge(f[i], o[i], n[i])
		}
		return f
	}
	return new
}
