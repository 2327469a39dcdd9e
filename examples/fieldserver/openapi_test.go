package main

import (
	"bytes"
	"encoding"
	"encoding/json"
	"flag"
	"fmt"
	"go/ast"
	"go/doc"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

var update = flag.Bool("update", false, "rewrite openapi.json and the golden files")

type object = map[string]any

// describe returns the OpenAPI description of the operations, from their Go
// types and the comments on them.
func describe(t *testing.T) object {
	s := &schemas{t: t, components: object{}, comments: map[string]*comments{}}
	headers := map[int]object{
		405: {"Allow": header("The methods that the path takes.")},
		415: {"Accept-Post": header("The media type of a body.")},
		503: {"Retry-After": header("After how many seconds to ask again, where the service is busy.")},
	}
	problems := func(codes ...int) object {
		out := object{}
		for _, c := range codes {
			one := object{
				"description": newProblem(c, "").Title,
				"content":     object{"application/problem+json": object{"schema": s.of(reflect.TypeFor[problem]())}},
			}
			if h, ok := headers[c]; ok {
				one["headers"] = h
			}
			out[fmt.Sprint(c)] = one
		}
		return out
	}
	simple := func(text string, schema object) object {
		responses := problems(405, 421, 500, 503)
		responses["200"] = object{"description": text, "content": object{"application/json": object{"schema": schema}}}
		return object{"get": object{"summary": text, "responses": responses}}
	}
	paths := object{
		"/health":       simple("Says that the service is up.", s.of(reflect.TypeFor[health]())),
		"/openapi.json": simple("This description.", object{"type": "object"}),
	}
	page := problems(404, 405, 421, 500, 503)
	page["200"] = object{"description": "The page.", "content": object{"text/html": object{"schema": object{"type": "string"}}}}
	paths["/yard"] = object{"get": object{"summary": "The page for phones, if the service was started with it.", "responses": page}}
	s.inputs()
	for _, op := range operations {
		responses := problems(400, 405, 408, 413, 415, 421, 422, 500, 503)
		responses["200"] = object{
			"description": "The answers.",
			"content":     object{"application/json": object{"schema": s.of(reflect.TypeOf(op.response))}},
		}
		paths[op.path] = object{"post": object{
			"summary":     op.summary,
			"operationId": strings.Trim(op.path, "/"),
			"requestBody": object{"required": true, "content": object{"application/json": object{
				"schema": s.request(reflect.TypeOf(op.request)),
			}}},
			"responses": responses,
		}}
	}
	return object{
		"openapi":    "3.1.0",
		"info":       object{"title": "fieldserver", "version": "1", "description": serviceText},
		"paths":      paths,
		"components": object{"schemas": s.components},
	}
}

const serviceText = "What a tractor with a front loader may lift, and which limit comes first. " +
	"A quantity is a string with its unit, such as \"24 in\". Unknown fields are errors. " +
	"Answers defer to the operator's manual and to local rules, and carry cautions that a program shows with them."

func header(text string) object {
	return object{"description": text, "schema": object{"type": "string"}}
}

// schemas makes JSON Schemas of Go types, the named structs and quantities
// among them as components.
type schemas struct {
	t          *testing.T
	components object
	comments   map[string]*comments
	reading    bool // the type is that of a body
}

// comments are the doc comments of a package's types and fields.
type comments struct {
	types  map[string]string
	fields map[string]string // by "Type.Field"
}

// inputs puts the schema of documents among the components, as the library has it.
func (s *schemas) inputs() {
	var doc object
	if err := json.Unmarshal(bytes.ReplaceAll(ballast.Schema(), []byte(`"#/$defs/`), []byte(`"#/components/schemas/input.`)), &doc); err != nil {
		s.t.Fatal(err)
	}
	for name, def := range doc["$defs"].(object) {
		s.components["input."+name] = def
	}
	for _, key := range []string{"$schema", "$id", "$defs"} {
		delete(doc, key)
	}
	s.components["input.document"] = doc
}

// request returns the schema of the type of a body: what the library reads in it has the
// library's schema.
func (s *schemas) request(t reflect.Type) object {
	s.reading = true
	defer func() { s.reading = false }()
	return s.of(t)
}

// read are the types that have a schema of the library in a body.
var read = map[reflect.Type]string{
	reflect.TypeFor[ballast.Document](): "document", reflect.TypeFor[ballast.Setup](): "setup", reflect.TypeFor[ballast.Lift](): "lift", reflect.TypeFor[units.Length](): "length",
	reflect.TypeFor[ballast.Practice](): "practice", reflect.TypeFor[liquid.Fill](): "leveledFill",
}

func (s *schemas) of(t reflect.Type) object {
	if name, ok := read[t]; ok && s.reading {
		return object{"$ref": "#/components/schemas/input." + name}
	}
	switch {
	case t.Kind() == reflect.Pointer:
		return s.of(t.Elem())
	case t == reflect.TypeFor[json.RawMessage]():
		return object{}
	case t.Name() != "" && t.PkgPath() != "":
		name := path.Base(t.PkgPath()) + "." + clean(t.Name())
		if t.PkgPath() == "main" || strings.HasSuffix(t.PkgPath(), "/fieldserver") {
			name = clean(t.Name())
		}
		if _, ok := s.components[name]; !ok {
			s.components[name] = nil // ends a recursion
			s.components[name] = s.define(t)
		}
		return object{"$ref": "#/components/schemas/" + name}
	}
	return s.define(t)
}

var notInName = regexp.MustCompile(`[^A-Za-z0-9._-]+`)

func clean(name string) string { return strings.Trim(notInName.ReplaceAllString(name, "_"), "_") }

func (s *schemas) define(t reflect.Type) object {
	out := object{}
	if text := s.comment(t, ""); text != "" {
		out["description"] = text
	}
	if t.Implements(reflect.TypeFor[encoding.TextMarshaler]()) {
		out["type"] = "string"
		switch t.Kind() {
		case reflect.Float64:
			if zero, err := json.Marshal(reflect.Zero(t).Interface()); err == nil {
				out["examples"] = []any{strings.Replace(strings.Trim(string(zero), `"`), "0", "1", 1)}
			}
		case reflect.Uint8:
			if names := s.names(t); names != nil {
				out["enum"] = names
			}
		}
		return out
	}
	if t.PkgPath() == reflect.TypeFor[units.Length]().PkgPath() && strings.HasPrefix(t.Name(), "Input[") {
		method := func(name string) reflect.Type {
			m, _ := t.MethodByName(name)
			return m.Type.Out(0)
		}
		out["anyOf"] = []any{s.of(method("Value")), s.of(method("Range")), object{"type": "string", "enum": []any{"none"}}}
		return out
	}
	switch t.Kind() {
	case reflect.Bool:
		out["type"] = "boolean"
	case reflect.String:
		out["type"] = "string"
	case reflect.Float64, reflect.Float32:
		out["type"] = "number"
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64, reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		out["type"] = "integer"
	case reflect.Slice:
		out["type"], out["items"] = "array", s.of(t.Elem())
	case reflect.Array:
		out["type"], out["items"] = "array", s.of(t.Elem())
		out["minItems"], out["maxItems"] = t.Len(), t.Len()
	case reflect.Struct:
		properties, required := object{}, []any{}
		var fields func(t reflect.Type)
		fields = func(t reflect.Type) {
			for i := range t.NumField() {
				f := t.Field(i)
				name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
				switch {
				case f.Anonymous && name == "":
					fields(f.Type)
					continue
				case !f.IsExported() || name == "-":
					continue
				case name == "":
					s.t.Fatalf("%v.%s has no JSON name", t, f.Name)
				}
				p := s.of(f.Type)
				if text := s.comment(t, f.Name); text != "" {
					p["description"] = text
				}
				properties[name] = p
				if !strings.Contains(options, "omit") {
					required = append(required, name)
				}
			}
		}
		fields(t)
		out["type"], out["properties"], out["additionalProperties"] = "object", properties, false
		if len(required) > 0 {
			out["required"] = required
		}
	default:
		s.t.Fatalf("%v: no schema for it", t)
	}
	return out
}

// names lists the texts of a closed choice: the values that can be marshaled.
func (s *schemas) names(t reflect.Type) []any {
	var names []any
	for i := range 256 {
		v := reflect.New(t).Elem()
		v.SetUint(uint64(i))
		text, err := v.Interface().(encoding.TextMarshaler).MarshalText()
		if err == nil {
			names = append(names, string(text))
		}
	}
	if len(names) > 100 {
		return nil
	}
	return names
}

// comment returns the doc comment of a type or of a field of it.
func (s *schemas) comment(t reflect.Type, field string) string {
	if t.Name() == "" || t.PkgPath() == "" {
		return ""
	}
	c, ok := s.comments[t.PkgPath()]
	if !ok {
		c = readComments(s.t, t.PkgPath())
		s.comments[t.PkgPath()] = c
	}
	name, _, _ := strings.Cut(t.Name(), "[")
	if field == "" {
		return c.types[name]
	}
	return c.fields[name+"."+field]
}

func readComments(t *testing.T, pkg string) *comments {
	t.Helper()
	c := &comments{types: map[string]string{}, fields: map[string]string{}}
	if pkg == "main" {
		pkg = "."
	}
	out, err := exec.Command("go", "list", "-f", `{{.Dir}}{{range .GoFiles}}
{{.}}{{end}}`, pkg).Output()
	if err != nil {
		t.Fatalf("go list %s: %v", pkg, err)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	fset := token.NewFileSet()
	var files []*ast.File
	for _, name := range lines[1:] {
		f, err := parser.ParseFile(fset, path.Join(lines[0], name), nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	p, err := doc.NewFromFiles(fset, files, pkg, doc.AllDecls|doc.PreserveAST)
	if err != nil {
		t.Fatal(err)
	}
	for _, typ := range p.Types {
		c.types[typ.Name] = oneLine(typ.Doc)
		for _, spec := range typ.Decl.Specs {
			ts := spec.(*ast.TypeSpec)
			st, ok := ts.Type.(*ast.StructType)
			if !ok {
				continue
			}
			for _, f := range st.Fields.List {
				for _, n := range f.Names {
					c.fields[ts.Name.Name+"."+n.Name] = oneLine(f.Doc.Text())
				}
			}
		}
	}
	return c
}

// oneLine makes one line of a comment and takes the marks of links off.
func oneLine(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	return strings.NewReplacer("[", "", "]", "").Replace(s)
}

// without returns a value without its descriptions and summaries.
func without(v any) any {
	switch v := v.(type) {
	case object:
		out := object{}
		for k, e := range v {
			if _, text := e.(string); text && (k == "description" || k == "summary") {
				continue
			}
			out[k] = without(e)
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i, e := range v {
			out[i] = without(e)
		}
		return out
	}
	return v
}

// The description says what the Go types say. Its texts may lag behind the
// comments in the source until the next -update; its structure may not.
func TestOpenAPIIsTrue(t *testing.T) {
	made, err := json.MarshalIndent(describe(t), "", "\t")
	if err != nil {
		t.Fatal(err)
	}
	made = append(made, '\n')
	if *update {
		if err := os.WriteFile("openapi.json", made, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	var want, got any
	if err := json.Unmarshal(made, &want); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(description, &got); err != nil {
		t.Fatal(err)
	}
	a, _ := json.MarshalIndent(without(want), "", "\t")
	b, _ := json.MarshalIndent(without(got), "", "\t")
	if !bytes.Equal(a, b) {
		t.Error("openapi.json no longer describes the types: run go -C examples test ./fieldserver -run OpenAPI -update")
	}
}

// compiledAt are the schemas of the description that were compiled.
var compiledAt = map[string]*jsonschema.Schema{}

// conforms holds a JSON value against a schema of the description with a general-purpose
// validator.
func conforms(root object, schema object, v any, at string) error {
	key, err := json.Marshal(schema)
	if err != nil {
		return err
	}
	s := compiledAt[string(key)]
	if s == nil {
		doc := object{"$schema": "https://json-schema.org/draft/2020-12/schema", "components": root["components"]}
		for k, v := range schema {
			doc[k] = v
		}
		c := jsonschema.NewCompiler()
		if err := c.AddResource("https://example.com/description", doc); err != nil {
			return err
		}
		if s, err = c.Compile("https://example.com/description"); err != nil {
			return err
		}
		compiledAt[string(key)] = s
	}
	if err := s.Validate(v); err != nil {
		return fmt.Errorf("%s: %w", at, err)
	}
	return nil
}

// What a body may hold is the schema of the library, with its bounds, and the texts of its
// catalog of fields.
func TestOpenAPIHasTheSchema(t *testing.T) {
	if *update {
		t.Skip("the program still holds the description before")
	}
	var doc, want object
	if err := json.Unmarshal(description, &doc); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(bytes.ReplaceAll(ballast.Schema(), []byte(`"#/$defs/`), []byte(`"#/components/schemas/input.`)), &want); err != nil {
		t.Fatal(err)
	}
	has := doc["components"].(object)["schemas"].(object)
	for name, def := range want["$defs"].(object) {
		if !reflect.DeepEqual(has["input."+name], def) {
			t.Errorf("input.%s differs from the schema of the library", name)
		}
	}
	wheelbase := has["input.machine"].(object)["properties"].(object)["wheelbase"].(object)
	bounds, _ := wheelbase["x-bounds"].([]any)
	if f, _ := ballast.FieldAt("machine.wheelbase"); len(bounds) != 1 || bounds[0].(object)["low"] != f.Bounds[0].Low || wheelbase["title"] != f.Title {
		t.Errorf("the wheelbase is described as %v", wheelbase)
	}
}
