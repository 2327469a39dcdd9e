package weigh_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/steelyard/ballast"
	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/units"
)

// A session is read back bit for bit, and its errors come by its path.
func TestDocument(t *testing.T) {
	want := weigh.Document{Version: ballast.DocumentVersion, Weighing: weigh.Session{
		Wheelbase: weigh.Measured[units.Length]{Value: 2.1, SD: 0.005}, Ahead: weigh.Measured[units.Length]{Value: 1.0 / 3 * 5, SD: 0.01},
		Scale: weigh.Scale{SD: 5}, Readings: []weigh.LoadReading{{Rear: 1500}, {Load: 150, Rear: 1375}},
	}}
	var b bytes.Buffer
	if err := want.Encode(&b); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	got, err := weigh.Decode(&b)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Fatal(d)
	}
	for _, c := range []struct{ old, new, want string }{
		{`"rear": "1375 kg"`, `"rear": "-1 kg"`, "weighing.readings[1].rear"},
		{`"version": 1`, `"version": 2`, "version"},
		{`"weighing"`, `"session"`, "session"},
	} {
		if _, err := weigh.Decode(strings.NewReader(strings.Replace(text, c.old, c.new, 1))); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.new, err)
		}
	}
	if err := (weigh.Document{}).Encode(&b); err == nil {
		t.Error("a session without readings is written")
	}
}

// FuzzDecode reads any text as a document: what is read is written, reads back
// as the same, and keeps the promises of its answer.
func FuzzDecode(f *testing.F) {
	for _, s := range []string{
		`{"version":1,"weighing":{"wheelbase":{"value":"2.1 m","sd":"5 mm"},"ahead":{"value":"1.75 m","sd":"10 mm"},"scale":{"sd":"5 kg"},"readings":[{"load":"0 kg","rear":"1486 kg"},{"load":"150 kg","rear":"1361 kg"},{"load":"300 kg","rear":"1236 kg"}]}}`,
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
		if diff := cmp.Diff(d, again); diff != "" {
			t.Fatal(diff)
		}
		checkPrediction(t, d.Weighing)
	})
}
