// Package catalog walks the types of a document and makes a catalog of their fields: what
// the types say of each, and what the tables of a room add to that.
package catalog

import (
	"encoding"
	"reflect"
	"slices"
	"strings"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/words"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// A Type is what stands in a field in JSON, in the order of ballast.FieldType.
type Type uint8

// What stands in a field.
const (
	Group Type = iota
	List
	Quantity
	Input
	Number
	Whole
	Choice
	Set
	Text
	Flag
	Marking
)

// Bounds are the least and the greatest value of a number, as those of ballast.
type Bounds struct {
	When  string  `json:"when,omitempty"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Above bool    `json:"above,omitempty"`
}

// Contains reports whether a value is within the bounds.
func (b Bounds) Contains(v float64) bool {
	return v >= b.Low && v <= b.High && !(b.Above && v == b.Low)
}

// A Named is one text that a field accepts, as ballast.NamedChoice.
type Named struct{ Name, Title, Code string }

// A Spec is what the types do not say of a field.
type Spec struct {
	Instrument uint8
	Bounds     []Bounds
	Entries    int // of a list, at most
	Least      int // and at least
	Refused    []string
}

// A Node is a field with what is in it.
type Node struct {
	Path           string
	Type           Type
	Quantity       string
	Zero           bool
	Spec           Spec
	Bounds         []Bounds
	Choices        []Named
	Title, Code    string
	Help, HelpCode string
	Labels         []string

	// Owner is the type whose entries name the field, and Key its path there: "Machine" and
	// "cg.x".
	Owner, Key string
	Go         reflect.Type
	Name       string // the JSON name
	Children   []*Node
	Missing    []string // what the tables lack of it, as table:entry
}

// All returns the nodes below a node in their order.
func (n *Node) All() (out []*Node) {
	for _, c := range n.Children {
		out = append(append(out, c), c.All()...)
	}
	return out
}

// Tables are what a room says of the fields of its documents.
type Tables struct {
	// Spec returns what the types do not say of the field at a key such as "Machine.cg.x".
	Spec func(key string) (Spec, bool)
	// Inline reports whether the fields of a type have entries of their own wherever it is
	// used.
	Inline func(reflect.Type) bool
	// Prefix stands before a key in the codes of titles and helps: "field." and Prefix.
	Prefix string
	// Part reports whether a reader sees a field as a thing of its own: labels do not repeat
	// its title.
	Part func(n *Node) bool
	// ZeroOpen reports whether a zero outside the bounds says that nothing is given.
	ZeroOpen func(key string) bool
	// Help returns the code of the help of a field that has none of its own; "" for none.
	Help func(n *Node) string
	// After sees every field when all else is known of it.
	After func(n *Node)
}

var textMarshaler = reflect.TypeFor[encoding.TextMarshaler]()

// OfUnits reports whether a type is a generic one of package units.
func OfUnits(t reflect.Type, name string) bool {
	return t.PkgPath() == reflect.TypeFor[units.Length]().PkgPath() && strings.HasPrefix(t.Name(), name)
}

// Struct adds the fields of a struct to a node.
func (t *Tables) Struct(n *Node, typ reflect.Type, owner, key, path string) {
	for i := range typ.NumField() {
		f := typ.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if !f.IsExported() || name == "-" || name == "" {
			continue
		}
		c := &Node{Owner: owner, Key: units.JoinPath(key, name), Go: f.Type, Name: name, Path: units.JoinPath(path, name), Labels: n.Labels}
		c.Zero = !strings.Contains(options, "omit") || f.Tag.Get("zero") == "value"
		t.fill(c)
		n.Children = append(n.Children, c)
	}
}

// elem returns what a pointer points at.
func elem(t reflect.Type) reflect.Type {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	return t
}

// fill works out a field, and the fields in it.
func (t *Tables) fill(c *Node) {
	typ := elem(c.Go)
	below, at := c.shape(typ)
	t.look(c)
	if below == nil || below.Kind() != reflect.Struct {
		return
	}
	owner, key := below.Name(), ""
	if t.Inline(below) {
		owner, key = c.Owner, c.Key
	}
	t.Struct(c, below, owner, key, at)
}

// shape finds what the type of a field says, and the type that is in it.
func (c *Node) shape(typ reflect.Type) (below reflect.Type, at string) {
	at = c.Path
	switch {
	case OfUnits(typ, "Input["):
		m, _ := typ.MethodByName("Value")
		c.Type, c.Quantity, c.Zero = Input, choice.LowerFirst(m.Type.Out(0).Name()), false
	case typ == reflect.TypeFor[liquid.Designation]():
		c.Type, c.Zero = Marking, false
	case typ == reflect.TypeFor[liquid.Traits]():
		c.Type, c.Zero = Set, false
		for i := range 8 {
			if name := (liquid.Traits(1) << i).String(); name != "" {
				c.Choices = append(c.Choices, ChoiceOf("liquid.trait", name))
			}
		}
	case typ.Kind() == reflect.Float64 && typ.Implements(textMarshaler):
		c.Type, c.Quantity = Quantity, choice.LowerFirst(typ.Name())
	case typ.Kind() == reflect.Float64:
		c.Type = Number
	case typ.Kind() == reflect.Uint8 && typ.Implements(textMarshaler):
		c.Type, c.Choices, c.Zero = Choice, choicesOf(typ), false
	case typ.Kind() == reflect.Uint8, typ.Kind() == reflect.Uint16, typ.Kind() == reflect.Uint64, typ.Kind() == reflect.Int, typ.Kind() == reflect.Int64:
		c.Type = Whole
	case typ.Kind() == reflect.String:
		c.Type, c.Zero = Text, false
	case typ.Kind() == reflect.Bool:
		c.Type, c.Zero = Flag, false
	case typ.Kind() == reflect.Slice:
		c.Type, c.Zero = List, false
		below, at = typ.Elem(), at+"[]"
	case typ.Kind() == reflect.Struct:
		c.Type, c.Zero = Group, false
		below = typ
	default:
		c.Missing = append(c.Missing, "type:"+typ.String())
	}
	return below, at
}

// notMeasured are fields of which the reader decides or sees: they have no entry because
// there is nothing to say of them beside their texts.
func notMeasured(t Type) bool { return t == Group || t == Choice || t == Text || t == Flag }

// sharedKey is the entry of a type that is used in many places.
func sharedKey(full, key string) string {
	i := strings.LastIndexByte(key, '.')
	if i < 0 {
		return full
	}
	switch last := key[i+1:]; last {
	case "x", "y", "z":
		return "Position." + last
	case "ahead", "above":
		return "Offset." + last
	case "low", "high":
		return "Range." + last
	case "sd":
		return "Measured." + last
	default:
		return "Dimension." + last
	}
}

// look finds what the tables say of a field.
func (t *Tables) look(c *Node) {
	full := c.Owner + "." + c.Key
	shared := sharedKey(full, c.Key)
	s, ok := t.Spec(full)
	if !ok {
		s, ok = t.Spec(shared)
	}
	if !ok && !notMeasured(c.Type) {
		c.Missing = append(c.Missing, "fieldSpecs:"+full)
	}
	c.Spec, c.Bounds = s, s.Bounds
	number := c.Type == Quantity || c.Type == Input || c.Type == Number || c.Type == Whole
	if number && len(c.Bounds) > 0 {
		// A number that may be left out has no zero unless its tag says so, and a zero must be
		// within the bounds, but where it says that an end is open.
		c.Zero = (c.Zero || c.Type == Input) && (c.Bounds[0].Contains(0) || t.ZeroOpen(full))
	}
	if c.Type == Quantity && c.Owner != "Ground" && !c.Zero && len(c.Bounds) > 0 && c.Bounds[0].Low == 0 {
		// The bounds are accepted as they are shown: a zero that is written would say that
		// nothing is given.
		c.Bounds = slices.Clone(c.Bounds)
		c.Bounds[0].Above = true
	}
	c.Choices = slices.DeleteFunc(c.Choices, func(c Named) bool { return slices.Contains(s.Refused, c.Name) })
	if c.Quantity != "" && !Known(c.Quantity) {
		c.Missing = append(c.Missing, "quantities:"+c.Quantity)
	}
	if number && len(c.Bounds) == 0 {
		c.Missing = append(c.Missing, "bounds:"+full)
	}
	c.Code, c.Title = t.text(c, "field", full, shared)
	c.HelpCode, c.Help = t.text(c, "help", full, shared)
	switch {
	case t.Part(c):
		c.Labels = nil
	case strings.Contains(c.Path, "."):
		c.Labels = append(slices.Clone(c.Labels), c.Code)
	default:
		c.Labels = []string{c.Code}
	}
	t.After(c)
}

// text finds a text of a field.
func (t *Tables) text(c *Node, kind string, keys ...string) (code, english string) {
	for _, key := range keys {
		for _, prefix := range []string{t.Prefix, ""} {
			code = kind + "." + prefix + choice.LowerFirst(key)
			if english, ok := words.Text(words.English, code); ok {
				return code, english
			}
		}
	}
	if kind == "help" {
		if code = t.Help(c); code != "" {
			english, _ = words.Text(words.English, code)
			return code, english
		}
	}
	c.Missing = append(c.Missing, "words.tsv:"+kind+"."+t.Prefix+choice.LowerFirst(keys[0]))
	return "", ""
}

// choicesOf lists the names of a closed choice but "unknown" and the empty one, which are not
// made.
func choicesOf(t reflect.Type) (out []Named) {
	for i := range 256 {
		v := reflect.New(t).Elem()
		v.SetUint(uint64(i))
		text, err := v.Interface().(encoding.TextMarshaler).MarshalText()
		if err != nil {
			break // the names are in a row
		}
		if name := string(text); name != "" && name != "unknown" {
			out = append(out, ChoiceOf(strings.TrimSuffix(choice.Prefix(t), "."), name))
		}
	}
	return out
}

// ChoiceOf returns a text of a closed choice with its title, by the prefix of its code.
func ChoiceOf(prefix, name string) Named {
	code := prefix + "." + name
	if title, ok := words.Text(words.English, code); ok {
		return Named{Name: name, Title: title, Code: code}
	}
	return Named{Name: name, Title: name}
}
