package weigh

import (
	_ "embed"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"sync"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/catalog"
)

// Fields returns every field of a [Document], as [ballast.Fields] does of a document with a
// setup, so that one form asks for both. Paths begin with "weighing". Limits and Answers
// are empty, because every reading has a part in every answer of a machine: what another
// reading is worth is the answer of [Machine.Next].
func Fields() []ballast.Field {
	out := slices.Clone(allFields().list)
	for i := range out {
		out[i] = own(out[i])
	}
	return out
}

// FieldAt returns the field at a path, as errors give it: of a [Document], or of a record
// ("tape[2].value"). Places in lists are of no account, and the ends of an input are the
// input. It reports false for a path that no field has.
func FieldAt(path string) (ballast.Field, bool) {
	path = places.ReplaceAllString(path, "[]")
	for _, p := range []string{path, "weighing." + path} {
		p = strings.TrimSuffix(p, "[]")
		if i, ok := allFields().at[p]; ok {
			return own(allFields().list[i]), true
		}
		for _, end := range []string{".low", ".high"} {
			i, ok := allFields().at[strings.TrimSuffix(p, end)]
			if ok && strings.HasSuffix(p, end) && allFields().list[i].Type == ballast.FieldInput {
				return own(allFields().list[i]), true
			}
		}
	}
	return ballast.Field{}, false
}

var places = regexp.MustCompile(`\[[0-9]*\]`)

// own returns the field with slices of its own.
func own(f ballast.Field) ballast.Field {
	f.Bounds, f.Choices, f.Labels = slices.Clone(f.Bounds), slices.Clone(f.Choices), slices.Clone(f.Labels)
	return f
}

type fieldList struct {
	list []ballast.Field
	at   map[string]int
}

var allFields = sync.OnceValue(func() *fieldList {
	specs := fieldSpecs()
	l := &fieldList{at: map[string]int{}}
	for _, n := range fieldTree().All() {
		f := ballast.Field{
			Path: n.Path, Type: ballast.FieldType(n.Type), Quantity: n.Quantity, Zero: n.Zero, Entries: n.Spec.Entries, Least: n.Spec.Least,
			Absence: specs[n.Owner+"."+n.Key].absence, Instrument: ballast.Instrument(n.Spec.Instrument),
			Title: n.Title, Code: n.Code, Help: n.Help, HelpCode: n.HelpCode, Labels: n.Labels,
		}
		for _, b := range n.Bounds {
			f.Bounds = append(f.Bounds, ballast.Bounds(b))
		}
		for _, c := range n.Choices {
			f.Choices = append(f.Choices, ballast.NamedChoice(c))
		}
		l.at[f.Path] = len(l.list)
		l.list = append(l.list, f)
	}
	return l
})

// fieldTree returns the root of all fields.
func fieldTree() *catalog.Node {
	specs := fieldSpecs()
	t := catalog.Tables{
		Spec: func(key string) (catalog.Spec, bool) {
			if path, ok := strings.CutPrefix(key, "Practice."); ok {
				return practiceSpec(path)
			}
			s, ok := specs[key]
			return s.plain(), ok
		},
		Inline: inline,
		Prefix: "weigh.",
		Part: func(n *catalog.Node) bool {
			return n.Path == "weighing" || n.Type == catalog.List && n.Go.Elem().Kind() == reflect.Struct
		},
		ZeroOpen: func(key string) bool { return zeroOpen[key] || strings.HasPrefix(key, "Practice.") },
		Help: func(n *catalog.Node) string {
			if n.Owner != "Practice" {
				return ""
			}
			f, _ := ballast.FieldAt("practice." + n.Key)
			return f.HelpCode
		},
		After: func(*catalog.Node) {},
	}
	root := &catalog.Node{}
	t.Struct(root, reflect.TypeFor[Document](), "Document", "", "")
	return root
}

// practiceSpec is that of a range of practice, which is a part of both documents.
func practiceSpec(path string) (s catalog.Spec, ok bool) {
	f, ok := ballast.FieldAt("practice." + path)
	for _, b := range f.Bounds {
		s.Bounds = append(s.Bounds, catalog.Bounds(b))
	}
	s.Instrument = uint8(f.Instrument)
	return s, ok
}

// inline reports whether the fields of a type have entries of their own wherever it is used.
func inline(t reflect.Type) bool {
	return t.PkgPath() == reflect.TypeFor[Record]().PkgPath() && strings.HasPrefix(t.Name(), "Measured[") || catalog.OfUnits(t, "Range[")
}

// SchemaID is the identifier in the document that [Schema] returns; it is no place to load it
// from.
const SchemaID = "https://example.com/steelyard/weighing.schema.json"

// Schema returns the JSON Schema (draft 2020-12) of a [Document], written from [Fields] as
// [ballast.Schema] is. What [Decode] takes is valid by it. What is valid by it is taken by
// Decode, unless it breaks what no schema says: what is listed at ballast.Schema of
// quantities and whole numbers, names that must be there or be unique, readings against the
// capacity of the scale, what must be given with other lists, a mass of a machine of which
// an axle was not weighed, and an uncertainty beside a value of zero.
func Schema() []byte {
	return catalog.Schema{ID: SchemaID, Rules: schemaRules, Nodes: fieldTree().Children, Type: reflect.TypeFor[Document](), Inline: inline,
		MustChoose: map[string]bool{"Record.attachment": true, "Taped.length": true, "PressureReading.motion": true, "Figure.kind": true}}.Text()
}

// schemaRules holds what the fields of each type ask of each other.
//
//go:embed schemarules.json
var schemaRules []byte
