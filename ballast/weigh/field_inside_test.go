package weigh

import (
	"strings"
	"testing"

	"example.com/steelyard/internal/words"
	"example.com/steelyard/units"
)

// Every field of the document has its entry in the tables, and no entry and no text is left
// of a field that is gone.
func TestFieldsComplete(t *testing.T) {
	keys, codes := map[string]bool{}, map[string]bool{}
	n := 0
	for _, f := range fieldTree().All() {
		n++
		for _, what := range f.Missing {
			t.Errorf("%s lacks %s: put it into fieldSpecs (fieldtable.go) or internal/words/words.tsv", f.Path, what)
		}
		keys[f.Owner+"."+f.Key] = true
		codes[f.Code], codes[f.HelpCode] = true, true
		for _, code := range []string{f.Code, f.HelpCode} {
			for _, c := range []units.Catalog{units.English(), units.German()} {
				if text := c.Text(code); text == "" || text == code {
					t.Errorf("%s: %s has no text", f.Path, code)
				}
			}
		}
	}
	for key := range fieldSpecs() {
		if !keys[key] {
			t.Errorf("%s: no field has this entry", key)
		}
	}
	for key := range zeroOpen {
		if !keys[key] {
			t.Errorf("%s: no field has this key", key)
		}
	}
	for _, code := range words.Codes() {
		if (strings.HasPrefix(code, "field.weigh.") || strings.HasPrefix(code, "help.weigh.")) && !codes[code] {
			t.Errorf("words.tsv: no field has the text %s", code)
		}
	}
	t.Logf("%d fields", n)
}
