package ballast_test

import (
	"bytes"
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
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
	// A piece that is not held against its axle is marked.
	_, err = ballast.Decode(strings.NewReader(text))
	for _, f := range units.Fields(err) {
		if f.Code == "want.axlesTireWithOverallDiameter" {
			text = mark(t, text, f.Path)
		}
	}
	return text
}

// mark writes "unheld" into the piece at a path of its fill.
func mark(t *testing.T, text, path string) string {
	t.Helper()
	i, err := strconv.Atoi(strings.TrimSuffix(strings.TrimPrefix(path, "setup.pieces["), "].fill.tire"))
	if err != nil {
		t.Fatal(path)
	}
	var d map[string]any
	if err := json.Unmarshal([]byte(text), &d); err != nil {
		t.Fatal(err)
	}
	d["setup"].(map[string]any)["pieces"].([]any)[i].(map[string]any)["unheld"] = true
	b, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Each of the 200 documents of version 1 is the setup that a person writes in today's
// version, bit for bit, and has its answers; each change is told.
func TestVersion1Renewed(t *testing.T) {
	meant, gone, refused, unheld := 0, 0, 0, 0
	for i, text := range version1(t, "documents.jsonl", false) {
		old, err := ballast.Decode(strings.NewReader(text))
		written := today(t, text)
		now, err2 := ballast.Decode(strings.NewReader(written))
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
		if _, at, ok := strings.Cut(written, `"unheld":true`); ok {
			if strings.Contains(at, "unheld") {
				t.Fatal("two of them")
			}
			unheld++
			for i, p := range now.Setup.Pieces {
				if p.Unheld {
					want[units.Index("setup.pieces", i)+".fill.tire"] = "ballast.renewal.rule"
				}
			}
			e, err := now.Envelope()
			if err != nil {
				t.Fatal(err)
			}
			for _, l := range now.Lifts {
				if u, err := e.UsableLoad(l); err == nil && !u.Notes.Has(ballast.NoteUnheld) {
					t.Errorf("document %d: no note", i)
				}
			}
		}
		got := map[string]string{}
		for _, r := range old.Renewed {
			if r.Version != 2 || r.Text == "" {
				t.Errorf("document %d: %+v", i, r)
			}
			if r.Path == "weighing" {
				var was struct{ Weighing any }
				var kept any
				if json.Unmarshal([]byte(text), &was) != nil || json.Unmarshal(r.Kept, &kept) != nil || cmp.Diff(was.Weighing, kept) != "" || r.Message.Params[0].Text != "weigh.Document" {
					t.Errorf("document %d: readings are lost: %s", i, r.Kept)
				}
			} else if r.Kept != nil {
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
		if i%10 != 0 && !strings.Contains(written, `"unheld":true`) {
			continue
		}
		if d := cmp.Diff(answers(t, written), answers(t, text)); d != "" {
			t.Errorf("document %d: %s", i, d)
		}
		if d := cmp.Diff(answers(t, text), answers(t, b.String())); d != "" {
			t.Errorf("document %d, written again: %s", i, d)
		}
	}
	t.Logf("%d machines had a pivoting front axle without saying so, %d documents held readings, in %d a tire does not go with its axle, %d are refused in either version, as they were", meant, gone, unheld, refused)
	if meant == 0 || gone == 0 || unheld != 17 || refused != 19 {
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

// What else of a document of version 1 later rules refuse is read as well: the stock's
// tires, two tires of four, boxes at two places. In a document of today it is refused.
func TestRenewedRules(t *testing.T) {
	tire, err := liquid.ParseTire("710/70R42")
	if err != nil {
		t.Fatal(err)
	}
	fill := func(tires int) ballast.Piece {
		return ballast.Piece{Kind: ballast.RearLiquid, Tires: tires, Fill: &liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(12), Temperature: units.Celsius(10)}}
	}
	box := func(x units.Length) ballast.Piece {
		return ballast.Piece{Kind: ballast.HitchBox, State: ballast.Raised, Mass: units.Is[units.Mass](100), CG: ballast.Position{X: units.Is(x), Z: units.Is[units.Length](0.6)}}
	}
	for _, c := range []struct {
		name    string
		pieces  []ballast.Piece
		stock   []ballast.Piece
		changes []string
	}{
		{"another tire", []ballast.Piece{fill(2)}, nil, []string{"setup.pieces[0].fill.tire"}},
		{"more tires than there are, and another tire", []ballast.Piece{fill(6)}, nil, []string{"setup.pieces[0].tires", "setup.pieces[0].fill.tire"}},
		{"two boxes", []ballast.Piece{box(-1), box(-1.2)}, nil, []string{"setup.pieces[1].kind"}},
		{"a tire of the stock", nil, []ballast.Piece{fill(2)}, []string{"stock.items[0].piece.fill.tire"}},
	} {
		s := orchard()
		s.Pieces = c.pieces
		d := ballast.Document{Version: 1, Setup: s}
		if c.stock != nil {
			lift := binLift(0.5)
			lift.Load.Mass = 100
			d.Needs = &ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedLift, Hitch: ballast.Raised, Lift: &lift}}}
			d.Stock = &ballast.Stock{}
			for _, p := range c.stock {
				p.Fill.Level = liquid.Level{}
				d.Stock.Items = append(d.Stock.Items, ballast.Item{Piece: p, Steps: []ballast.Step{{Level: liquid.ValveAt(12)}}})
			}
		}
		text, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		got, err := ballast.Decode(bytes.NewReader(text))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var changes []string
		for _, r := range got.Renewed {
			changes = append(changes, r.Path)
			german := units.German().Message(r.Message)
			if r.Message.Code != "ballast.renewal.rule" || !strings.Contains(r.Text, "must") || !strings.Contains(german, ": Es ") || strings.Contains(german, "must") {
				t.Errorf("%s: %+v %s", c.name, r, german)
			}
		}
		if d := cmp.Diff(c.changes, changes); d != "" {
			t.Errorf("%s: %s", c.name, d)
		}
		if _, err := got.Setup.Envelope(ballast.Practice{}); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		if got.Needs != nil {
			if _, err := got.Plan(t.Context()); err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
		}
		var b bytes.Buffer
		if err := got.Encode(&b); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		if again, err := ballast.Decode(&b); err != nil || again.Renewed != nil || cmp.Diff(again.Setup, got.Setup, exact) != "" {
			t.Errorf("%s: written again: %v", c.name, err)
		}
		d.Version = 2
		if text, err = json.Marshal(d); err != nil {
			t.Fatal(err)
		}
		now, err := ballast.Decode(bytes.NewReader(text))
		if err == nil && now.Needs != nil {
			_, err = now.Plan(t.Context())
		}
		if err == nil {
			t.Errorf("%s: a document of today is not refused", c.name)
		}
	}
}
