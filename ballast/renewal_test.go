package ballast_test

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/steelyard/ballast"
	"example.com/steelyard/units"
)

// today writes a document of version 1 in today's version as a person would by hand: the
// undercarriage is said, and the readings are in a document of their own.
func today(t *testing.T, text string) string {
	t.Helper()
	var keys map[string]json.RawMessage
	if err := json.Unmarshal([]byte(text), &keys); err != nil {
		t.Fatal(err)
	}
	delete(keys, "weighing")
	keys["version"] = json.RawMessage("2")
	b, err := json.Marshal(keys)
	if err != nil {
		t.Fatal(err)
	}
	text = string(b)
	if !strings.Contains(text, `"undercarriage"`) {
		text = strings.Replace(text, `"machine":{`, `"machine":{"undercarriage":"pivotingFront",`, 1)
	}
	return text
}

// Each of the 200 documents of version 1 is the setup that a person writes in today's
// version, bit for bit, and has its answers; each change is told.
func TestVersion1Renewed(t *testing.T) {
	meant, gone, refused := 0, 0, 0
	for i, text := range version1(t, "documents.jsonl", false) {
		old, err := ballast.Decode(strings.NewReader(text))
		now, err2 := ballast.Decode(strings.NewReader(today(t, text)))
		if (err == nil) != (err2 == nil) || err != nil && err.Error() != err2.Error() {
			t.Fatalf("document %d: %v, written today: %v", i, err, err2)
		}
		if err != nil {
			refused++
			continue
		}
		if now.Renewed != nil {
			t.Errorf("document %d: a document of today's version was changed: %v", i, now.Renewed)
		}
		want := map[string]string{}
		if !strings.Contains(text, `"undercarriage"`) {
			want["setup.machine.undercarriage"] = "ballast.renewal.meant"
			meant++
		}
		if strings.Contains(text, `"weighing"`) {
			want["weighing"] = "ballast.renewal.gone"
			gone++
		}
		got := map[string]string{}
		for _, r := range old.Renewed {
			if r.Version != 2 || r.Text == "" {
				t.Errorf("document %d: %+v", i, r)
			}
			got[r.Path] = r.Message.Code
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("document %d: %s", i, d)
		}
		old.Renewed = nil
		if d := cmp.Diff(now, old, exact); d != "" {
			t.Fatalf("document %d: %s", i, d)
		}
		var b bytes.Buffer
		if err := old.Encode(&b); err != nil {
			t.Fatal(err)
		}
		if i%10 != 0 {
			continue
		}
		if d := cmp.Diff(answers(t, today(t, text)), answers(t, text)); d != "" {
			t.Errorf("document %d: %s", i, d)
		}
		if d := cmp.Diff(answers(t, text), answers(t, b.String())); d != "" {
			t.Errorf("document %d, written again: %s", i, d)
		}
	}
	t.Logf("%d machines had a pivoting front axle without saying so, %d documents held readings, %d are refused in either version", meant, gone, refused)
	if meant == 0 || gone == 0 {
		t.Error("the documents hold nothing that changed")
	}
}

// What else the step knows: names and texts of the first documents.
func TestRenewed(t *testing.T) {
	var b bytes.Buffer
	if err := (ballast.Document{Setup: orchard(), Lifts: []ballast.Lift{binLift(1)}}).Encode(&b); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ now, then, path, code string }{
		{`"axlePinHeight": "0.45 m"`, `"pinHeight": "0.45 m"`, "setup.machine.axlePinHeight", "ballast.renewal.field"},
		{`"share": "0.2"`, `"share": 0.2`, "setup.machine.steered.share", "ballast.renewal.number"},
		{`"selfLeveling": "0.5"`, `"selfLeveling": 0.5`, "setup.loader.selfLeveling", "ballast.renewal.number"},
		{`"undercarriage": "pivotingFront",`, ``, "setup.machine.undercarriage", "ballast.renewal.meant"},
	} {
		if !strings.Contains(b.String(), c.now) {
			t.Fatalf("the document has no %s:\n%s", c.now, b.String())
		}
		then := strings.Replace(strings.Replace(b.String(), c.now, c.then, 1), `"version": 2`, `"version": 1`, 1)
		d, err := ballast.Decode(strings.NewReader(then))
		if err != nil {
			t.Errorf("%s: %v", c.then, err)
			continue
		}
		if len(d.Renewed) != 1 || d.Renewed[0].Path != c.path || d.Renewed[0].Message.Code != c.code {
			t.Errorf("%s: %+v", c.then, d.Renewed)
		}
		var again bytes.Buffer
		if err := d.Encode(&again); err != nil || again.String() != b.String() {
			t.Errorf("%s: written again: %v\n%s", c.then, err, cmp.Diff(b.String(), again.String()))
		}
	}
}

// In a document of today's version an old name is answered with the new one, by a code with
// both as parameters, and so is an old text of a choice.
func TestOldNames(t *testing.T) {
	for _, c := range []struct{ text, path, code, param, german string }{
		{`{"version": 2, "setup": {"machine": {"pinHeight": "0.45 m"}}}`, "setup.machine.pinHeight", "want.renamed", "axlePinHeight", "heißt seit Version 2 axlePinHeight"},
		{`{"version": 2, "setup": {"machine": {"steered": {"base": "notChosen"}}}}`, "setup.machine.steered.base", "want.renamed", "unknown", "heißt seit Version 2 unknown"},
		{`{"version": 2, "lifts": [{"basis": {"kind": "notChosen"}}]}`, "lifts[0].basis.kind", "want.renamed", "unknown", "heißt seit Version 2 unknown"},
		{`{"version": 2, "weighing": {"scale": 3}}`, "weighing", "want.goneSinceVersion", "2", "muss seit Version 2 fehlen"},
		{`{"version": 3, "setup": {"future": 1}}`, "version", "want.laterVersion", "2", "darf höchstens 2 sein: Eine spätere Version der Bibliothek hat dieses Dokument geschrieben"},
		{`{"version": 0}`, "version", "want.version", "2", "muss 2 sein"},
		{`{"version": -1}`, "version", "want.version", "2", "muss 2 sein"},
	} {
		_, err := ballast.Decode(strings.NewReader(c.text))
		all := units.Fields(err)
		i := slices.IndexFunc(all, func(f *units.FieldError) bool { return f.Path == c.path })
		if i < 0 {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		f := all[i]
		if f.Code != c.code || len(f.Params) == 0 || f.Params[0].Text != c.param || units.German().Want(f) != c.german {
			t.Errorf("%s: %q %v %q", c.text, f.Code, f.Params, units.German().Want(f))
		}
	}
	// A later version is the only thing that is told of such a document.
	if _, err := ballast.Decode(strings.NewReader(`{"version": 3, "setup": {"future": 1}}`)); len(units.Fields(err)) != 1 {
		t.Error(err)
	}
}
