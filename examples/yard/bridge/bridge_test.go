package bridge_test

import (
	"encoding/json"
	"fmt"
	"testing"

	"example.com/steelyard/examples/yard/bridge"
)

func ask(t testing.TB, request map[string]any) map[string]any {
	t.Helper()
	for k, v := range map[string]any{"language": "en", "system": "metric"} {
		if _, ok := request[k]; !ok {
			request[k] = v
		}
	}
	in, err := json.Marshal(request)
	if err != nil {
		t.Fatal(err)
	}
	var out map[string]any
	if err := json.Unmarshal(bridge.Answer(in), &out); err != nil {
		t.Fatal(err)
	}
	if f, ok := out["failure"]; ok {
		t.Fatal(f)
	}
	return out
}

func TestTry(t *testing.T) {
	for _, f := range []string{"demo", "rated", "compact"} {
		o := ask(t, map[string]any{"ask": "open", "file": f})
		d := o["document"]
		if d == nil {
			t.Fatal(o)
		}
		for _, q := range []string{"form", "answer", "questions", "pictures", "slope", "plan"} {
			a := ask(t, map[string]any{"ask": q, "document": d, "ground": o["ground"]})
			b, _ := json.MarshalIndent(a, "", " ")
			fmt.Printf("== %s %s\n%.3500s\n", f, q, b)
		}
	}
	s := ask(t, map[string]any{"ask": "start"})
	a := ask(t, map[string]any{"ask": "answer", "document": s["empty"]})
	b, _ := json.MarshalIndent(a, "", " ")
	fmt.Printf("== empty\n%.3500s\n", b)
}
