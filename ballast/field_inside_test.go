package ballast

import (
	"strings"
	"testing"

	"example.com/steelyard/internal/words"
)

// lacking says what to do where a table has no entry.
var lacking = map[string]string{
	"fieldSpecs":     "put an entry {} into fieldSpecs (fieldtable.go): what it is measured with, and its bounds as Validate holds them",
	"bounds":         "put bounds into the entry {} of fieldSpecs (fieldtable.go), as Validate holds them",
	"words.tsv":      "put a line {} into internal/words/words.tsv, in English and German",
	"fieldcosts.tsv": "put the field into a document of wholeDocuments (field_cost_test.go) and run go test ./ballast -run 'TestFieldCosts|TestWholeDocuments' -update-costs",
	"quantities":     "put the quantity {} into quantities (internal/catalog/quantity.go)",
	"type":           "teach shape (internal/catalog/catalog.go) the type {}",
}

// Every field of the document has its entry in the tables: a field that is added to a type
// fails here, with what it lacks.
func TestFieldsComplete(t *testing.T) {
	n := 0
	for _, f := range fieldTree().All() {
		n++
		for _, what := range f.Missing {
			table, entry, _ := strings.Cut(what, ":")
			t.Errorf("%s: %s", f.Path, strings.ReplaceAll(lacking[table], "{}", entry))
		}
	}
	t.Logf("%d fields", n)
}

// No entry is left of a field that is gone.
func TestFieldSpecsUsed(t *testing.T) {
	used := map[string]bool{}
	for _, n := range fieldTree().All() {
		used[n.Owner+"."+n.Key] = true
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
		if (strings.HasPrefix(code, "field.") || strings.HasPrefix(code, "help.")) && !strings.Contains(code, ".weigh.") && !used[code] {
			t.Errorf("words.tsv: no field has the text %s", code)
		}
	}
}
