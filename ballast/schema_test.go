package ballast_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
)

var updateSchema = flag.Bool("update-schema", false, "rewrite testdata/document.schema.json")

// The schema is the one that is committed, so that a change of it is seen.
func TestSchema(t *testing.T) {
	const name = "testdata/document.schema.json"
	is := ballast.Schema()
	var schema map[string]any
	if err := json.Unmarshal(is, &schema); err != nil {
		t.Fatal(err)
	}
	if *updateSchema {
		if err := os.WriteFile(name, is, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(is, want) {
		t.Error(name + " is no longer the schema: go test ./ballast -run TestSchema -update-schema")
	}
	// Every reference leads to a definition.
	defs := schema["$defs"].(map[string]any)
	for _, part := range strings.Split(string(is), `"#/$defs/`)[1:] {
		if def := part[:strings.IndexByte(part, '"')]; defs[def] == nil {
			t.Errorf("no definition %s", def)
		}
	}
}
