package catalog

import (
	"encoding"
	"encoding/json"
	"reflect"
	"strings"

	"example.com/steelyard/internal/choice"
)

// A Schema is what the JSON Schema (2020-12) of a document is made of.
type Schema struct {
	ID string
	// Rules are what the fields of each type ask of each other, by its name, as parts of a
	// schema, and Defs the names of those that are definitions.
	Rules []byte
	Defs  []string
	// Nodes are the fields of the document, and Type is its type.
	Nodes []*Node
	Type  reflect.Type
	// Inline is that of Tables.
	Inline func(reflect.Type) bool
	// None are the inputs that may be declared absent, and MustChoose the choices that have
	// no default wherever they stand, by key.
	None, MustChoose map[string]bool
	// Numbers is the member that holds numbers beside the texts; "" for none.
	Numbers string
}

// Text writes the schema; nil if the rules are not to be read, which a test sees.
func (s Schema) Text() []byte {
	w := schemaWriter{Schema: s, defs: object{}, rules: map[string]object{}}
	if len(s.Rules) > 0 {
		if err := json.Unmarshal(s.Rules, &w.rules); err != nil {
			return nil
		}
	}
	root := w.object(&Node{Children: s.Nodes, Go: s.Type})
	if s.Numbers != "" {
		// The numbers beside the texts are no field: Decode holds each to its text.
		root["properties"].(object)[s.Numbers] = object{"type": "object", "additionalProperties": object{"type": "number"},
			"title": "numbers", "description": "The number in SI of each quantity, by its path, for a database; the texts alone count."}
	}
	for _, name := range s.Defs {
		w.defs[name] = w.rules[name]
	}
	w.defs["zero"] = object{"type": "string", "pattern": zeroPattern}
	w.defs["minus"] = object{"type": "string", "pattern": minusPattern}
	w.defs["zeroInput"] = object{"anyOf": []any{ref("zero"), object{"type": "object", "properties": object{"low": ref("zero"), "high": ref("zero")}}}}
	out := object{"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": s.ID, "title": "Document", "$defs": w.defs}
	for k, v := range root {
		out[k] = v
	}
	b, err := json.MarshalIndent(out, "", "  ")
	if err != nil {
		return nil // everything in it can be written
	}
	return append(b, '\n')
}

type object = map[string]any

func ref(def string) object { return object{"$ref": "#/$defs/" + def} }

// Texts of quantities that are zero, and those with a minus sign. A text is zero if it has no
// digit but zeros outside an exponent, a denominator and the name of its unit.
const (
	zeroPattern  = "^(?:[^1-9]*(?:[eE][-+]?[0-9]+[^0-9]*|/0*(?:2|4|8|16|32|64)[^0-9]*)?|[ \u00a0\u202f\u2009]*[-+\u2212]?[0., \u00a0\u202f\u2009]*0[0., \u00a0\u202f\u2009]*(?:[eE][-+]?[0-9]+|/[0-9]+)?[ \u00a0\u202f\u2009]*[A-Za-z].*)$"
	minusPattern = "^[ \u00a0\u202f\u2009]*[-\u2212]"
)

type schemaWriter struct {
	Schema
	defs  object
	rules map[string]object
}

// define puts a schema among the definitions and returns a reference to it. Where another
// schema has the name already, it takes one from the field's path.
func (s *schemaWriter) define(name, path string, schema object) object {
	if old, ok := s.defs[name]; ok && !reflect.DeepEqual(old, schema) {
		name = strings.ReplaceAll(strings.ReplaceAll(path, "[]", ""), ".", "-")
	}
	s.defs[name] = schema
	return ref(name)
}

// object returns the schema of a group.
func (s *schemaWriter) object(n *Node) object {
	properties := object{}
	for _, c := range n.Children {
		properties[c.Name] = s.field(c)
	}
	out := object{"type": "object", "properties": properties, "additionalProperties": false}
	if rules, ok := s.rules[n.Go.Name()]; ok {
		out["allOf"] = []any{rules}
	}
	return out
}

// field returns the schema of a field, with its texts.
func (s *schemaWriter) field(n *Node) object {
	f := n
	out := s.value(n)
	out["title"], out["description"] = f.Title, f.Help
	if f.Quantity != "" {
		out["x-bounds"] = f.Bounds
	}
	return out
}

func (s *schemaWriter) value(n *Node) object {
	f, typ := n, elem(n.Go)
	switch f.Type {
	case List:
		if typ.Elem().Kind() == reflect.String {
			return object{"type": "array", "items": object{"type": "string"}, "maxItems": f.Spec.Entries}
		}
		items := s.define(choice.LowerFirst(typ.Elem().Name()), f.Path, s.object(&Node{Children: n.Children, Go: typ.Elem()}))
		out := object{"type": "array", "items": items, "maxItems": f.Spec.Entries}
		if f.Spec.Least > 0 {
			out["minItems"] = f.Spec.Least
		}
		return out
	case Group:
		o := s.object(&Node{Children: n.Children, Go: typ})
		if s.Inline(typ) {
			return o
		}
		return s.define(choice.LowerFirst(typ.Name()), f.Path, o)
	case Quantity:
		return s.quantity(f)
	case Input:
		one := s.quantity(f)
		forms := []any{one, object{"type": "object", "properties": object{"low": one, "high": one}, "required": []string{"low", "high"}, "additionalProperties": false}}
		name := strings.TrimPrefix(one["$ref"].(string), "#/$defs/") + "Input"
		if s.None[f.Owner+"."+f.Key] {
			name += "OrNone"
			forms = append(forms, object{"const": "none"})
		}
		return s.define(name, f.Path, object{"anyOf": forms})
	case Number, Whole:
		out := object{"type": "number"}
		if f.Type == Whole {
			out["type"] = "integer"
		}
		b := f.Bounds[0]
		if out["minimum"] = b.Low; b.Above {
			delete(out, "minimum")
			out["exclusiveMinimum"] = b.Low
		}
		out["maximum"] = b.High
		if !f.Zero && b.Contains(0) {
			out["not"] = object{"const": 0}
		}
		return out
	case Choice:
		names := []string{}
		if zero := zeroName(typ); !s.MustChoose[n.Owner+"."+n.Key] && (zero == "" || zero == "unknown") {
			names = append(names, zero)
		}
		for _, c := range f.Choices {
			names = append(names, c.Name)
		}
		return object{"type": "string", "enum": names}
	case Set:
		var names []string
		for _, c := range f.Choices {
			names = append(names, c.Name)
		}
		one := "\\s*(?:" + strings.Join(names, "|") + ")?\\s*"
		return object{"type": "string", "pattern": "^" + one + "(?:," + one + ")*$"}
	case Flag:
		return object{"type": "boolean"}
	}
	return object{"type": "string"}
}

// zeroName is the text of the zero of a choice.
func zeroName(t reflect.Type) string {
	text, err := reflect.Zero(t).Interface().(encoding.TextMarshaler).MarshalText()
	if err != nil {
		return "-"
	}
	return string(text)
}

// quantity returns the schema of a text of a quantity: its pattern, and what its sign may be.
func (s *schemaWriter) quantity(f *Node) object {
	s.defs[f.Quantity] = object{"type": "string", "maxLength": 128, "pattern": quantities[f.Quantity].pattern()}
	b := f.Bounds[0]
	var not []any
	name := f.Quantity
	switch {
	case f.Quantity == "temperature": // a minus sign and a zero say nothing of it
	case f.Zero && b.Low >= 0:
		name += "NotNegative"
		not = []any{object{"allOf": []any{ref("minus"), object{"not": ref("zero")}}}}
	case !f.Zero && b.Low >= 0:
		name += "Positive"
		not = []any{ref("minus"), ref("zero")}
	case !f.Zero && b.High < 0:
		name += "BelowZero"
		not = []any{object{"not": ref("minus")}, ref("zero")}
	case !f.Zero:
		name += "NotZero"
		not = []any{ref("zero")}
	}
	if not == nil {
		return ref(name)
	}
	s.defs[name] = object{"allOf": []any{ref(f.Quantity), object{"not": object{"anyOf": not}}}}
	return ref(name)
}
