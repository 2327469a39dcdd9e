package ballast

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"example.com/steelyard/internal/strictjson"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// An Explanation says how answers differ from earlier ones, and why.
type Explanation struct {
	// Effects are all differences between the answers, in their order.
	Effects []Effect `json:"effects,omitempty"`
	// Causes are what is different in what the answers were made of: fields of the document
	// first, then constants of the library, then its rules.
	Causes []Cause `json:"causes,omitempty"`
	// Together are differences that no cause makes by itself.
	Together []Effect `json:"together,omitempty"`
}

// Same reports whether nothing differs, neither the answers nor what they were made of.
func (e *Explanation) Same() bool { return len(e.Effects) == 0 && len(e.Causes) == 0 }

// A Cause is one thing that differs in what answers were made of.
type Cause struct {
	// Kind says what it is.
	Kind CauseKind `json:"kind"`
	// Name is the path of a field, the name of a [Constant], or of a rule the limit, such
	// as "tipping", whose own figures have changed, and "other" for what belongs to no limit.
	Name string `json:"name"`
	// Before and After are the values, or of a rule the versions of the library; "" where
	// there was none.
	Before string `json:"before,omitempty"`
	// After is the later value; see Before.
	After string `json:"after,omitempty"`
	// Alone reports whether the cause was tried by itself. It is false where the document
	// would be invalid with this change alone, where a constant cannot be given, and beyond
	// the first 100 fields.
	Alone bool `json:"alone,omitempty"`
	// Effects are what it changes by itself; none where it changes nothing or was not
	// tried.
	Effects []Effect `json:"effects,omitempty"`
}

// An Effect is one figure of the answers that differs.
type Effect struct {
	// Path is where it stands in Answers: "lifts[0].usable.mass.low". A limit is named by
	// its kind: "lifts[0].limits[tipping].verdict". Lifts and travels have the place of their
	// entry in the later document, in which they are found by their names; "lifts[1] removed"
	// is one of the earlier document that is not there any more.
	Path string `json:"path"`
	// Before and After are the figure in JSON; "" where there was none.
	Before string `json:"before,omitempty"`
	// After is the later figure; see Before.
	After string `json:"after,omitempty"`
}

// CauseKind says what a cause is. In JSON: "input", "constant" or "rule".
type CauseKind uint8

// Kinds of causes.
const (
	// CauseInput is a field of the document.
	CauseInput CauseKind = iota
	// CauseConstant is a figure of the library, such as a range of practice.
	CauseConstant
	// CauseRule is how the library calculates.
	CauseRule
)

var causeKindNames = []string{"input", "constant", "rule"}

// maxTried is how many changed fields an explanation tries one by one.
const maxTried = 100

// Explain says how answers differ from earlier ones to the same machine, and which field of
// its document, which constant or which rule of the library changed what. The later ones
// must be of this version of the library; the earlier ones may be of any.
//
// It answers the earlier document anew with each change by itself. Answers that
// do not differ cost a comparison, and those with one changed field one answer more, so that
// a fleet can be explained after each update of the library.
//
// Once the context is done, the explanation is what is known by then, with an error that
// wraps ctx.Err(): all effects, and the causes that were tried. A nil context never ends.
func Explain(ctx context.Context, before, after Answers) (Explanation, error) {
	var out Explanation
	if v := after.Receipt.Library; v != units.Version {
		return out, units.NewFieldError("after.receipt.library", strconv.Quote(v), "must be {version}, this version of the library", units.Param{Name: "version", Text: units.Version})
	}
	var c units.FieldErrors
	c.Join("before", before.Validate())
	c.Join("after", after.Validate())
	if c.Len() > 0 {
		return out, c.Err()
	}
	sameInput := before.Receipt.Hash == after.Receipt.Hash
	if sameInput && slices.Equal(before.Receipt.Constants, after.Receipt.Constants) && sameAnswers(&before, &after) {
		return out, nil
	}
	for _, a := range []struct {
		path string
		is   *Answers
	}{{"before", &before}, {"after", &after}} {
		if _, err := json.Marshal(a.is); err != nil {
			return out, units.NewFieldError(a.path, nil, "must be answers as the library gives them: something in them cannot be written")
		}
	}
	x := explainer{ctx: ctx, out: &out}
	old, err := parseInput(before.Receipt.Input)
	if err != nil {
		return out, at("before.receipt.input", err)
	}
	next := old
	if !sameInput {
		if next, err = parseInput(after.Receipt.Input); err != nil {
			return out, at("after.receipt.input", err)
		}
		match(old, next, "")
	}
	was, now := flatten(&before, old), flatten(&after, next)
	out.Effects = effects(was, now)
	// What the library of today answers to the document of then.
	base := after
	if !sameInput {
		if base, err = x.answer(old); err != nil {
			if e := valid.Ended(ctx, "ballast: explain"); e != nil {
				return out, e
			}
			return out, at("before.receipt.input", err)
		}
	}
	middle := now
	if !sameInput {
		middle = flatten(&base, old)
		if err := x.inputs(old, next, middle, now); err != nil {
			return out, err
		}
	}
	if err := x.library(&before, &base, old, was, middle); err != nil {
		return out, err
	}
	x.together()
	return out, nil
}

// at puts the path of a part before those of an error.
func at(path string, err error) error {
	var c units.FieldErrors
	c.Join(path, err)
	return c.Err()
}

// sameAnswers reports whether answers are the same but for the version of the library.
func sameAnswers(a, b *Answers) bool {
	if len(a.Lifts) != len(b.Lifts) || (a.Transport == nil) != (b.Transport == nil) || len(a.Travels)+len(b.Travels) > 0 || a.Plan != nil || b.Plan != nil {
		return false // or compared figure by figure
	}
	for i := range a.Lifts {
		x, y := a.Lifts[i], b.Lifts[i]
		x.Library, x.Usable.Library = y.Library, y.Usable.Library
		if x != y {
			return false
		}
	}
	if a.Transport == nil {
		return true
	}
	x, y := *a.Transport, *b.Transport
	x.Library = y.Library
	return reflect.DeepEqual(x, y)
}

type explainer struct {
	ctx context.Context
	out *Explanation
}

// parseInput reads the input of a receipt and takes it to the present version.
func parseInput(input []byte) (*strictjson.Value, error) {
	v, err := strictjson.Parse(input, strictjson.Limits{Size: maxDocumentSize, Depth: maxDocumentDepth, List: maxDocumentList})
	if err != nil {
		return nil, err
	}
	if n, ok := versionOf(&v); ok && n < DocumentVersion {
		d, err := Decode(bytes.NewReader(input))
		if err != nil {
			return nil, err
		}
		if input, err = d.Canonical(); err != nil {
			return nil, err
		}
		return parseInput(input)
	}
	return &v, nil
}

// document returns the document of a text.
func documentOf(v *strictjson.Value) (Document, error) {
	text, err := v.Canonical(nil)
	if err != nil {
		return Document{}, err
	}
	return Decode(bytes.NewReader(text))
}

// answer answers the document of a text.
func (x *explainer) answer(v *strictjson.Value) (Answers, error) {
	d, err := documentOf(v)
	if err != nil {
		return Answers{}, err
	}
	var out Answers
	return out, x.ask(&d, &out)
}

func (x *explainer) ask(d *Document, out *Answers) error {
	if err := valid.Ended(x.ctx, "ballast: explain"); err != nil {
		return err
	}
	return d.answer(x.ctx, out)
}

// inputs finds the fields that differ, and what each of them does by itself.
func (x *explainer) inputs(old, next *strictjson.Value, base, now []leaf) error {
	var changes []change
	compare(old, next, "", &changes)
	for i, c := range changes {
		cause := Cause{Kind: CauseInput, Name: c.path, Before: textOf(c.before), After: textOf(c.after)}
		switch {
		case len(changes) == 1:
			cause.Alone, cause.Effects = true, effects(base, now)
		case i < maxTried:
			one := copyOf(old)
			c.apply(one)
			a, err := x.answer(one)
			if e := valid.Ended(x.ctx, "ballast: explain"); e != nil {
				return e
			}
			if err == nil {
				cause.Alone, cause.Effects = true, effects(base, flatten(&a, one))
			}
		}
		x.out.Causes = append(x.out.Causes, cause)
	}
	return nil
}

// library finds what changed in the library itself: base is its answer of today to the
// document of then.
func (x *explainer) library(before, base *Answers, old *strictjson.Value, was, now []leaf) error {
	d, err := documentOf(old)
	if err != nil {
		return at("before.receipt.input", err)
	}
	value := func(list []Constant, name string) string {
		for _, c := range list {
			if c.Name == name {
				return c.Value
			}
		}
		return ""
	}
	var names []string
	for _, list := range [][]Constant{before.Receipt.Constants, base.Receipt.Constants} {
		for _, c := range list {
			if !slices.Contains(names, c.Name) {
				names = append(names, c.Name)
			}
		}
	}
	restored, fixed := d, []int{}
	changed := false
	for _, name := range names {
		cause := Cause{Kind: CauseConstant, Name: name, Before: value(before.Receipt.Constants, name), After: value(base.Receipt.Constants, name)}
		if cause.Before == cause.After {
			continue
		}
		one := d
		if one.restore(name, cause.Before) {
			restored.restore(name, cause.Before)
			changed = true
			var a Answers
			err := x.ask(&one, &a)
			if e := valid.Ended(x.ctx, "ballast: explain"); e != nil {
				return e
			}
			if err == nil {
				cause.Alone, cause.Effects = true, effects(flatten(&a, old), now)
			}
		} else {
			fixed = append(fixed, len(x.out.Causes))
		}
		x.out.Causes = append(x.out.Causes, cause)
	}
	// What remains with the constants of then is due to the rules.
	rest := effects(was, now)
	if changed {
		var a Answers
		err := x.ask(&restored, &a)
		if e := valid.Ended(x.ctx, "ballast: explain"); e != nil {
			return e
		}
		if err == nil {
			rest = effects(was, flatten(&a, old))
		}
	}
	if len(rest) == 0 {
		return nil
	}
	if len(fixed) > 0 {
		for _, i := range fixed {
			x.out.Causes[i].Effects = rest
		}
		return nil
	}
	x.rules(before.Receipt.Library, rest)
	return nil
}

// rules names the rules behind effects that nothing else has.
func (x *explainer) rules(library string, rest []Effect) {
	by := map[string][]Effect{}
	var order []string
	for _, e := range rest {
		if i := strings.Index(e.Path, "limits["); i >= 0 {
			name := e.Path[i+len("limits["):]
			name = name[:strings.IndexByte(name, ']')]
			if by[name] == nil {
				order = append(order, name)
			}
			by[name] = append(by[name], e)
		}
	}
	if len(order) == 0 {
		order, by["other"] = []string{"other"}, rest
	}
	for _, name := range order {
		x.out.Causes = append(x.out.Causes, Cause{Kind: CauseRule, Name: name, Before: library, After: units.Version, Alone: len(order) == 1, Effects: by[name]})
	}
	// What belongs to no limit follows from a limit; where one changed alone, from that.
	if len(order) == 1 && order[0] != "other" {
		x.out.Causes[len(x.out.Causes)-1].Effects = rest
	}
}

// together lists the effects that no cause has.
func (x *explainer) together() {
	paths := map[string]bool{}
	rules := 0
	for _, c := range x.out.Causes {
		for _, e := range c.Effects {
			paths[e.Path] = true
		}
		if c.Kind == CauseRule {
			rules++
		}
	}
	for _, e := range x.out.Effects {
		if !paths[e.Path] {
			x.out.Together = append(x.out.Together, e)
		}
	}
}

// restore puts a constant of an earlier library into a document, and reports whether that
// can be done.
func (d *Document) restore(name, value string) bool {
	switch name {
	case "gravity":
		g, err := units.ParseAcceleration(value)
		if err != nil {
			return false
		}
		d.Setup.Gravity = g
		return true
	case "factor":
		f, err := strconv.ParseFloat(value, 64)
		if err != nil {
			return false
		}
		d.Lifts = slices.Clone(d.Lifts)
		for i := range d.Lifts {
			if d.Lifts[i].Factor == 0 {
				d.Lifts[i].Factor = f
			}
		}
		return true
	}
	field, ok := strings.CutPrefix(name, "practice.")
	low, high, two := strings.Cut(value, " to ")
	if !ok || !two {
		return false
	}
	var p Practice
	if d.Practice != nil {
		p = *d.Practice
	}
	d.Practice = &p
	for _, r := range p.shares() {
		if r.path == field {
			return r.is.Low.UnmarshalText([]byte(low)) == nil && r.is.High.UnmarshalText([]byte(high)) == nil
		}
	}
	for _, r := range p.lengths() {
		if r.path == field {
			return r.is.Low.UnmarshalText([]byte(low)) == nil && r.is.High.UnmarshalText([]byte(high)) == nil
		}
	}
	return false
}

// A change is one difference between two documents.
type change struct {
	path          string
	steps         []string // keys, or "[" and an index
	before, after *strictjson.Value
	entry         entryChange
}

// An entryChange is what a change does to an entry of a list.
type entryChange uint8

const (
	entryKept entryChange = iota
	entryAdded
	entryRemoved
)

// match pairs the entries of the lists of two documents: by their names where each name is
// there once, then those that say the same but for a name, then those without a name by their
// order. Each pair gets
// the path of the later entry as its key; an entry without a partner keeps that of its own
// list, marked as removed if it is the earlier one.
func match(a, b *strictjson.Value, path string) {
	switch {
	case a.Kind == strictjson.Object && b.Kind == strictjson.Object:
		for i := range a.Items {
			if e := b.Member(a.Items[i].Key); e != nil {
				match(&a.Items[i], e, units.JoinPath(path, e.Key))
			}
		}
	case a.Kind == strictjson.List && b.Kind == strictjson.List:
		for i := range a.Items {
			a.Items[i].Key = units.Index(path, i) + " removed"
		}
		for j := range b.Items {
			b.Items[j].Key = units.Index(path, j)
		}
		for i, j := range partners(a.Items, b.Items) {
			if j >= 0 {
				a.Items[i].Key = b.Items[j].Key
				match(&a.Items[i], &b.Items[j], b.Items[j].Key)
			}
		}
	}
}

// partners returns for each entry of a list its place in another, or -1.
func partners(a, b []strictjson.Value) []int {
	out := make([]int, len(a))
	for i := range out {
		out[i] = -1
	}
	taken := make([]bool, len(b))
	pair := func(of func(*strictjson.Value) string) {
		places := map[string][]int{} // in b
		for j := range b {
			if k := of(&b[j]); k != "" && !taken[j] {
				places[k] = append(places[k], j)
			}
		}
		count := map[string]int{}
		for i := range a {
			if out[i] < 0 {
				count[of(&a[i])]++
			}
		}
		for i := range a {
			if out[i] >= 0 {
				continue
			}
			if k := of(&a[i]); len(places[k]) == 1 && count[k] == 1 {
				out[i] = places[k][0]
				taken[out[i]] = true
			}
		}
	}
	named := 0
	name := func(v *strictjson.Value) string {
		if m := v.Member("name"); m != nil && m.Kind == strictjson.String {
			return m.Text
		}
		return ""
	}
	pair(name)
	for _, j := range out {
		if j >= 0 {
			named++
		}
	}
	if named == 0 && len(a) == len(b) {
		for i := range out {
			out[i] = i
		}
		return out
	}
	pair(textOf)
	pair(func(v *strictjson.Value) string { // another name for the same
		one := copyOf(v)
		takeMember(one, "name")
		return textOf(one)
	})
	// The others in their order; what has two names is two things.
	j := 0
	for i := range a {
		if out[i] >= 0 {
			continue
		}
		for j < len(b) && taken[j] {
			j++
		}
		if j == len(b) {
			break
		}
		if n, m := name(&a[i]), name(&b[j]); n == "" || m == "" {
			out[i], taken[j] = j, true
		}
	}
	return out
}

// compare lists the differences of two values whose lists are matched: fields, and entries of
// lists that are there once only.
func compare(a, b *strictjson.Value, path string, out *[]change) { compareAt(a, b, path, nil, out) }

func compareAt(a, b *strictjson.Value, path string, steps []string, out *[]change) {
	down := func(step string) []string { return append(slices.Clone(steps), step) }
	switch {
	case a != nil && b != nil && a.Kind == strictjson.Object && b.Kind == strictjson.Object:
		for i := range a.Items {
			k := a.Items[i].Key
			compareAt(&a.Items[i], b.Member(k), units.JoinPath(path, k), down(k), out)
		}
		for i := range b.Items {
			if k := b.Items[i].Key; a.Member(k) == nil {
				compareAt(nil, &b.Items[i], units.JoinPath(path, k), down(k), out)
			}
		}
	case a != nil && b != nil && a.Kind == strictjson.List && b.Kind == strictjson.List:
		compareLists(a, b, path, steps, out)
	case a == nil || b == nil || textOf(a) != textOf(b):
		*out = append(*out, change{path: path, steps: steps, before: a, after: b})
	}
}

func compareLists(a, b *strictjson.Value, path string, steps []string, out *[]change) {
	down := func(step string) []string { return append(slices.Clone(steps), step) }
	of := map[string]*strictjson.Value{}
	for j := range b.Items {
		of[b.Items[j].Key] = &b.Items[j]
	}
	index := map[string]int{}
	ordered, last := true, -1
	for i := range a.Items {
		e := &a.Items[i]
		index[e.Key] = i
		step := down("[" + strconv.Itoa(i))
		other := of[e.Key]
		if other == nil {
			*out = append(*out, change{path: strings.TrimSuffix(e.Key, " removed"), steps: step, before: e, entry: entryRemoved})
			continue
		}
		place := slices.IndexFunc(b.Items, func(v strictjson.Value) bool { return v.Key == e.Key })
		ordered, last = ordered && place > last, place
		compareAt(e, other, e.Key, step, out)
	}
	after := 0 // the place in a behind the partner of the entry before
	for j := range b.Items {
		e := &b.Items[j]
		if i, ok := index[e.Key]; ok {
			after = i + 1
			continue
		}
		*out = append(*out, change{path: e.Key, steps: down("[" + strconv.Itoa(after)), after: e, entry: entryAdded})
	}
	if ordered {
		return
	}
	// The same entries in another order.
	sorted := copyOf(a)
	slices.SortStableFunc(sorted.Items, func(x, y strictjson.Value) int {
		place := func(v *strictjson.Value) int {
			return slices.IndexFunc(b.Items, func(o strictjson.Value) bool { return o.Key == v.Key })
		}
		return place(&x) - place(&y)
	})
	*out = append(*out, change{path: path, steps: steps, before: a, after: sorted})
}

// textOf returns a value as an explanation shows it.
func textOf(v *strictjson.Value) string {
	switch {
	case v == nil:
		return ""
	case v.Kind == strictjson.String:
		return v.Text
	}
	b, err := v.Canonical(nil)
	if err != nil {
		return ""
	}
	return string(b)
}

// apply makes the change in a document.
func (c *change) apply(root *strictjson.Value) {
	v := root
	for i, step := range c.steps {
		last := i == len(c.steps)-1
		if index, ok := strings.CutPrefix(step, "["); ok {
			n, _ := strconv.Atoi(index)
			switch {
			case !last || c.entry == entryKept:
				if v = &v.Items[n]; last {
					key := v.Key
					*v = *c.after
					v.Key = key
				}
			case c.entry == entryAdded:
				v.Items = slices.Insert(v.Items, n, *copyOf(c.after))
			default:
				v.Items = slices.Delete(v.Items, n, n+1)
			}
			continue
		}
		m := v.Member(step)
		switch {
		case !last:
			v = m
		case c.after == nil:
			takeMember(v, step)
		case m == nil:
			v.Items = append(v.Items, *c.after)
		default:
			*m = *c.after
		}
	}
}

func copyOf(v *strictjson.Value) *strictjson.Value {
	out := *v
	out.Items = slices.Clone(v.Items)
	for i := range out.Items {
		out.Items[i] = *copyOf(&out.Items[i])
	}
	return &out
}

// A leaf is one figure of answers.
type leaf struct{ path, text string }

// flatten lists the figures of answers, without receipt and version of the library. What
// answers an entry of a list of the input has the path of that entry, which match gave it.
func flatten(a *Answers, input *strictjson.Value) (out []leaf) {
	one := *a
	one.Receipt = Receipt{}
	text, err := json.Marshal(one)
	if err != nil {
		return []leaf{{"answers", err.Error()}}
	}
	v, err := strictjson.Parse(text, strictjson.Limits{Size: len(text), Depth: maxDocumentDepth, List: len(text), Values: len(text)})
	if err != nil {
		return []leaf{{"answers", err.Error()}}
	}
	takeMember(&v, "receipt")
	for _, key := range []string{"lifts", "travels"} {
		answers, asked := v.Member(key), input.Member(key)
		if answers == nil || asked == nil {
			continue
		}
		for i := range min(len(answers.Items), len(asked.Items)) {
			answers.Items[i].Key = asked.Items[i].Key
		}
	}
	leaves(&v, "", &out)
	return out
}

func leaves(v *strictjson.Value, path string, out *[]leaf) {
	switch v.Kind {
	case strictjson.Object:
		for i := range v.Items {
			e := &v.Items[i]
			if e.Key != "library" && e.Key != "work" {
				leaves(e, units.JoinPath(path, e.Key), out)
			}
		}
	case strictjson.List:
		for i := range v.Items {
			e := &v.Items[i]
			if e.Key != "" {
				leaves(e, e.Key, out)
				continue
			}
			name := strconv.Itoa(i)
			for _, key := range []string{"kind", "state"} {
				if k := e.Member(key); k != nil && k.Kind == strictjson.String {
					name = k.Text
				}
			}
			leaves(e, path+"["+name+"]", out)
		}
	default:
		*out = append(*out, leaf{path, v.Text})
	}
}

// effects lists what differs between the figures of two answers.
func effects(a, b []leaf) (out []Effect) {
	// Mostly the same figures stand at the same places.
	is := map[string]string{}
	for i, l := range b {
		if i >= len(a) || a[i].path != l.path {
			is = make(map[string]string, len(b))
			for _, l := range b {
				is[l.path] = l.text
			}
			break
		}
	}
	if len(is) == 0 && len(a) == len(b) {
		for i, l := range a {
			if l.text != b[i].text {
				out = append(out, Effect{Path: l.path, Before: l.text, After: b[i].text})
			}
		}
		return out
	}
	if len(is) == 0 {
		for _, l := range b {
			is[l.path] = l.text
		}
	}
	was := make(map[string]bool, len(a))
	for _, l := range a {
		was[l.path] = true
		if text, ok := is[l.path]; !ok || text != l.text {
			out = append(out, Effect{Path: l.path, Before: l.text, After: text})
		}
	}
	for _, l := range b {
		if !was[l.path] {
			out = append(out, Effect{Path: l.path, After: l.text})
		}
	}
	return out
}

func formatNumber(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// String returns the effect as "path: before, now after".
func (e Effect) String() string { return fmt.Sprintf("%s: %s, now %s", e.Path, e.Before, e.After) }
