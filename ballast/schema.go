package ballast

import (
	_ "embed"
	"encoding"
	"encoding/json"
	"reflect"
	"strings"

	"example.com/steelyard/units"
)

// schemaRules holds what the fields of each type ask of each other, as parts of its schema.
//
//go:embed schemarules.json
var schemaRules []byte

// SchemaID is the identifier in the document that [Schema] returns; it is no place to load it
// from.
const SchemaID = "https://example.com/steelyard/document.schema.json"

// Schema returns the JSON Schema (draft 2020-12) of a [Document], written from [Fields]. Its
// $defs hold a schema for each type, such as "setup", "machine" and "lift", and for each
// quantity: a pattern of the texts that are read, see [units.Pattern]. The bounds of numbers
// without a unit are in the schema. Those of quantities stand beside them as "x-bounds", in
// the SI unit, for programs that look: the value of a text is beyond what a schema can say.
//
// It is that of [DocumentVersion]: a document of an older version is not valid by it, and
// [Document.Encode] writes what Decode read of one in the present version.
//
// What [Decode] takes of this version is valid by the schema, but for spellings that nobody writes: a caret
// inside the name of a unit, or an empty object in the place of a level that is left out.
// What is valid by the schema is taken by Decode, unless it breaks what no schema says:
//
//   - a quantity is within its bounds, and its number is one (see [units.Pattern]);
//   - a low end is not above a high one; rows of tables and rated points rise;
//   - relations of numbers: reach of the arm, axle loads against mass, spreads against values;
//   - pieces against each other, against the axles and against the tires, and items against
//     the places that they name;
//   - what is known of a tire's marking, and whether the outline of a tire is possible;
//   - what a setup asks of quantities together, such as cylinders that push the arm up;
//   - whole numbers are written without a point and an exponent, and no key twice; size,
//     depth and encoding of the text.
func Schema() []byte {
	s := schemaWriter{defs: object{}, rules: map[string]object{}}
	if err := json.Unmarshal(schemaRules, &s.rules); err != nil {
		return nil // a test reads it
	}
	root := s.object(&fieldNode{children: documentNodes(), typ: reflect.TypeFor[Document]()})
	// The numbers beside the texts are no field: Decode holds each to its text.
	root["properties"].(object)[numbersKey] = object{"type": "object", "additionalProperties": object{"type": "number"},
		"title": "numbers", "description": "The number in SI of each quantity, by its path, for a database; the texts alone count."}
	s.defs["pieceRules"], s.defs["leveledFill"] = s.rules["pieceRules"], s.rules["leveledFill"]
	s.defs["liftRules"] = s.rules["liftRules"]
	s.defs["zero"] = object{"type": "string", "pattern": zeroPattern}
	s.defs["minus"] = object{"type": "string", "pattern": minusPattern}
	s.defs["zeroInput"] = object{"anyOf": []any{ref("zero"), object{"type": "object", "properties": object{"low": ref("zero"), "high": ref("zero")}}}}
	out := object{"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": SchemaID, "title": "Document", "$defs": s.defs}
	for k, v := range root {
		out[k] = v
	}
	b, err := json.MarshalIndent(out, "", "  ")
	if err != nil {
		return nil // everything in it can be written
	}
	return append(b, '\n')
}

// documentNodes are the fields of a document, without those of a ground.
func documentNodes() (out []*fieldNode) {
	for _, n := range fieldTree().children {
		if n.owner == "Document" {
			out = append(out, n)
		}
	}
	return out
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
func (s *schemaWriter) object(n *fieldNode) object {
	properties := object{}
	for _, c := range n.children {
		properties[c.name] = s.field(c)
	}
	out := object{"type": "object", "properties": properties, "additionalProperties": false}
	if rules, ok := s.rules[n.typ.Name()]; ok {
		out["allOf"] = []any{rules}
	}
	return out
}

// field returns the schema of a field, with its texts.
func (s *schemaWriter) field(n *fieldNode) object {
	f := &n.field
	out := s.value(n)
	out["title"], out["description"] = f.Title, f.Help
	if f.Quantity != "" {
		out["x-bounds"] = f.Bounds
	}
	return out
}

func (s *schemaWriter) value(n *fieldNode) object {
	f, typ := &n.field, n.typ
	for typ.Kind() == reflect.Pointer {
		typ = typ.Elem()
	}
	switch f.Type {
	case FieldList:
		items := s.define(lowerFirst(typ.Elem().Name()), f.Path, s.object(&fieldNode{children: n.children, typ: typ.Elem()}))
		out := object{"type": "array", "items": items, "maxItems": f.Entries}
		if f.Least > 0 {
			out["minItems"] = f.Least
		}
		return out
	case FieldGroup:
		o := s.object(&fieldNode{children: n.children, typ: typ})
		if inline(typ) {
			return o
		}
		return s.define(lowerFirst(typ.Name()), f.Path, o)
	case FieldQuantity:
		return s.quantity(f)
	case FieldInput:
		one := s.quantity(f)
		forms := []any{one, object{"type": "object", "properties": object{"low": one, "high": one}, "required": []string{"low", "high"}, "additionalProperties": false}}
		name := strings.TrimPrefix(one["$ref"].(string), "#/$defs/") + "Input"
		if f.None {
			name += "OrNone"
			forms = append(forms, object{"const": "none"})
		}
		return s.define(name, f.Path, object{"anyOf": forms})
	case FieldNumber, FieldWhole:
		out := object{"type": "number"}
		if f.Type == FieldWhole {
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
	case FieldChoice:
		names := []string{}
		if zero := zeroName(typ); !mustChoose[n.owner+"."+n.key] && (zero == "" || zero == "unknown") {
			names = append(names, zero)
		}
		for _, c := range f.Choices {
			names = append(names, c.Name)
		}
		return object{"type": "string", "enum": names}
	case FieldSet:
		var names []string
		for _, c := range f.Choices {
			names = append(names, c.Name)
		}
		one := "\\s*(?:" + strings.Join(names, "|") + ")?\\s*"
		return object{"type": "string", "pattern": "^" + one + "(?:," + one + ")*$"}
	case FieldFlag:
		return object{"type": "boolean"}
	}
	return object{"type": "string"}
}

// mustChoose are the choices that have no default wherever they stand.
var mustChoose = map[string]bool{"Machine.massIncludes": true, "Machine.loaderIncluded": true, "Machine.undercarriage": true, "Machine.operator": true, "Fuel.state": true,
	"Attachment.kind": true, "Piece.kind": true, "Fluid.kind": true, "Level.kind": true, "Need.kind": true}

// zeroName is the text of the zero of a choice.
func zeroName(t reflect.Type) string {
	text, err := reflect.Zero(t).Interface().(encoding.TextMarshaler).MarshalText()
	if err != nil {
		return "-"
	}
	return string(text)
}

// quantity returns the schema of a text of a quantity: its pattern, and what its sign may be.
func (s *schemaWriter) quantity(f *Field) object {
	s.defs[f.Quantity] = object{"type": "string", "maxLength": 128, "pattern": patterns[f.Quantity]()}
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

// patterns are those of the quantities of the catalog.
var patterns = map[string]func() string{
	"length": units.Pattern[units.Length], "volume": units.Pattern[units.Volume], "mass": units.Pattern[units.Mass], "inertia": units.Pattern[units.Inertia],
	"density": units.Pattern[units.Density], "force": units.Pattern[units.Force], "stiffness": units.Pattern[units.Stiffness],
	"gaugePressure": units.Pattern[units.GaugePressure], "angle": units.Pattern[units.Angle], "slope": units.Pattern[units.Slope],
	"temperature": units.Pattern[units.Temperature], "duration": units.Pattern[units.Duration], "speed": units.Pattern[units.Speed],
	"acceleration": units.Pattern[units.Acceleration], "power": units.Pattern[units.Power], "fraction": units.Pattern[units.Fraction],
	"massFraction": units.Pattern[units.MassFraction],
}
