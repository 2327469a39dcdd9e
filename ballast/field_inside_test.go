package ballast

import (
	"strings"
	"testing"

	"example.com/steelyard/internal/words"
)

// Every field of the document has its entry in the tables: a field that is added to a type
// fails here, with what it lacks.
func TestFieldsComplete(t *testing.T) {
	n := 0
	for _, f := range fieldTree().all() {
		n++
		for _, what := range f.missing {
			t.Errorf("%s needs %s", f.field.Path, what)
		}
	}
	t.Logf("%d fields", n)
}

// No entry is left of a field that is gone.
func TestFieldSpecsUsed(t *testing.T) {
	used := map[string]bool{}
	for _, n := range fieldTree().all() {
		used[n.owner+"."+n.key] = true
	}
	for key := range fieldSpecs() {
		if !used[key] && key != "Dimension.moved" {
			t.Errorf("%s: no field has this entry", key)
		}
	}
}

// No text is left of a field that is gone.
func TestFieldTextsUsed(t *testing.T) {
	used := map[string]bool{}
	for _, f := range Fields() {
		used[f.Code], used[f.HelpCode] = true, true
	}
	for _, code := range words.Codes() {
		if (strings.HasPrefix(code, "field.") || strings.HasPrefix(code, "help.")) && !used[code] {
			t.Errorf("words.tsv: no field has the text %s", code)
		}
	}
}
