package weigh_test

import (
	"bytes"
	"context"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/units"
)

// A record is read back bit for bit, and its errors come by its path.
func TestDocument(t *testing.T) {
	m := newMachine(rand.New(rand.NewPCG(1, 1)), 1, 1)
	want := weigh.Document{Version: weigh.DocumentVersion, Weighing: m.reads(rand.New(rand.NewPCG(2, 2)), workshop)}
	want.Weighing.Yard.SD = 0.01 // of a level yard: the value zero is written and read
	var b bytes.Buffer
	if err := want.Encode(&b); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	got, err := weigh.Decode(&b)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if d := cmp.Diff(want, got, inputOfFractions); d != "" {
		t.Fatal(d)
	}
	for _, c := range []struct{ old, new, want string }{
		{`"length": "pivotZ"`, `"length": "pivot"`, "weighing.tape[2].length"},
		{`"motion": "atStop"`, `"motion": "still"`, "weighing.pressures"},
		{`"version": 1`, `"version": 2`, "version"},
		{`"weighing"`, `"session"`, "session"},
	} {
		if _, err := weigh.Decode(strings.NewReader(strings.Replace(text, c.old, c.new, 1))); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.new, err)
		}
	}
	if err := (weigh.Document{}).Encode(&b); err == nil {
		t.Error("an empty record is written")
	}
}

// FuzzDecode reads any text as a document: what is read is written, reads back
// as the same, and has an estimate or doubts.
func FuzzDecode(f *testing.F) {
	m := newMachine(rand.New(rand.NewPCG(1, 1)), 1, 1)
	var b bytes.Buffer
	if err := (weigh.Document{Weighing: m.reads(rand.New(rand.NewPCG(2, 2)), plan{weights: true, loads: true, relief: true})}).Encode(&b); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	for _, s := range []string{
		`{"version":1,"weighing":{"mass":"2000 kg","attachment":"forks","tape":[{"length":"wheelbase","value":"2.1 m","sd":"5 mm"}]}}`,
		`{"version":1,"version":2,"weighing":{"scale":{"sd":"1e308 kg"}}}`,
		`{"version":1,"weighing":null}`,
		`[[[[`,
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := weigh.Decode(bytes.NewReader(data))
		if err != nil {
			return
		}
		var b bytes.Buffer
		if err := d.Encode(&b); err != nil {
			t.Fatalf("a document that was read cannot be written: %v", err)
		}
		again, err := weigh.Decode(&b)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(d, again, inputOfFractions); diff != "" {
			t.Fatal(diff)
		}
		got, err := d.Weighing.Fit(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if a, err := got.Ask(weigh.Question{Kind: weigh.AskTippingLoad, Pin: 1, Ahead: 1}); err == nil {
			if v := float64(a.Mass.Value); v != v || got.Doubts == 0 && v == 0 && a.Doubts == 0 {
				t.Fatalf("%+v", a)
			}
		}
	})
}

// What was entered stays as it was, where it still says the same value.
func TestEntered(t *testing.T) {
	var b strings.Builder
	d := weigh.Document{Weighing: orchardTractor()}
	if err := d.Encode(&b); err != nil {
		t.Fatal(err)
	}
	plain := b.String()
	first := d.Weighing.Tape[0].Value.String()
	entered := units.Length(76.75 * float64(units.Inch))
	d.Weighing.Tape[0].Value = entered
	text := strings.Replace(plain, `"`+first+`"`, `"76 3/4 in"`, 1)
	got, err := weigh.Decode(strings.NewReader(text))
	if err != nil || got.Weighing.Tape[0].Value != entered || got.Entered["weighing.tape[0].value"] != "76 3/4 in" {
		t.Fatalf("%v: %v", err, got.Entered)
	}
	b.Reset()
	if err := got.Encode(&b); err != nil || b.String() != text {
		t.Errorf("%v\n%s", err, b.String())
	}
	got.Weighing.Tape[0].Value = 2
	b.Reset()
	if err := got.Encode(&b); err != nil || strings.Contains(b.String(), "3/4") {
		t.Errorf("%v\n%s", err, b.String())
	}
}
