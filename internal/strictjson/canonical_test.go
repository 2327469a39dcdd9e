package strictjson

import (
	"encoding/hex"
	"encoding/json"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"
)

func canonical(t *testing.T, text string) string {
	t.Helper()
	v, err := Parse([]byte(text), limits)
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	b, err := v.Canonical(nil)
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	return string(b)
}

// The example of RFC 8785, 3.2.2, with the bytes of 3.2.4, and that of the order of
// members, 3.2.3 (memory: the text of the RFC could not be looked up here).
func TestCanonical(t *testing.T) {
	got := canonical(t, `{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}`)
	want := "7b226c69746572616c73223a5b6e756c6c2c747275652c66616c73655d2c226e756d62657273223a5b3333333333333333332e333333333333332c31652b33302c342e352c302e3030322c31652d32375d2c22737472696e67223a22e282ac245c75303030665c6e412742" +
		"5c225c5c5c5c5c222f227d"
	if hex.EncodeToString([]byte(got)) != want {
		t.Errorf("%s\n%x", got, got)
	}
	got = canonical(t, `{
  "\u20ac": "Euro Sign",
  "\r": "Carriage Return",
  "\ufb33": "Hebrew Letter Dalet With Dagesh",
  "1": "One",
  "\ud83d\ude00": "Emoji: Grinning Face",
  "\u0080": "Control",
  "\u00f6": "Latin Small Letter O With Diaeresis"
}`)
	at := 0
	for _, name := range []string{"Carriage Return", "One", "Control", "Latin Small", "Euro Sign", "Emoji", "Hebrew"} {
		i := strings.Index(got, name)
		if i < at {
			t.Errorf("%s is out of order in %s", name, got)
		}
		at = i
	}
	for _, text := range []string{`{"a": 1, "b": 2, "a": 3}`, `[1e400]`} {
		v, err := Parse([]byte(text), limits)
		if err != nil {
			t.Fatal(err)
		}
		if b, err := v.Canonical(nil); err == nil {
			t.Errorf("%s is %s", text, b)
		}
	}
}

// Numbers of RFC 8785, appendix B (memory), and as an engine of ECMAScript writes them: see
// internal/crosscheck/ecmascript.
func TestNumbers(t *testing.T) {
	file, err := os.ReadFile("testdata/ecmascript.txt")
	if err != nil {
		t.Fatal(err)
	}
	rows := `0000000000000000 0
8000000000000000 0
0000000000000001 5e-324
8000000000000001 -5e-324
7fefffffffffffff 1.7976931348623157e+308
ffefffffffffffff -1.7976931348623157e+308
4340000000000000 9007199254740992
c340000000000000 -9007199254740992
4430000000000000 295147905179352830000
44b52d02c7e14af5 9.999999999999997e+22
44b52d02c7e14af6 1e+23
44b52d02c7e14af7 1.0000000000000001e+23
444b1ae4d6e2ef4e 999999999999999700000
444b1ae4d6e2ef4f 999999999999999900000
444b1ae4d6e2ef50 1e+21
3eb0c6f7a0b5ed8c 9.999999999999997e-7
3eb0c6f7a0b5ed8d 0.000001
41b3de4355555553 333333333.3333332
41b3de4355555554 333333333.33333325
41b3de4355555555 333333333.3333333
41b3de4355555556 333333333.3333334
41b3de4355555557 333333333.33333343
becbf647612f3696 -0.0000033333333333333333
43143ff3c1cb0959 1424953923781206.2
` + string(file)
	n := 0
	for line := range strings.Lines(rows) {
		bits, want, ok := strings.Cut(strings.TrimSpace(line), " ")
		if !ok || strings.HasPrefix(line, "#") {
			continue
		}
		u, err := strconv.ParseUint(bits, 16, 64)
		if err != nil {
			t.Fatal(err)
		}
		if got := string(AppendNumber(nil, math.Float64frombits(u))); got != want {
			t.Errorf("%s: %s, want %s", bits, got, want)
		}
		n++
	}
	if n < 4000 {
		t.Errorf("%d rows", n)
	}
}

// The order of keys is that of their UTF-16 code units.
func TestByUnits(t *testing.T) {
	keys := []string{"", "a", "aa", "b", "é", "€", "\ue000", "\uffff", "😀", "😁", "a😀", "a\uffff", "\U0010ffff", "é€"}
	for _, a := range keys {
		for _, b := range keys {
			want := slices.Compare(utf16.Encode([]rune(a)), utf16.Encode([]rune(b)))
			if got := byUnits(a, b); (got < 0) != (want < 0) || (got > 0) != (want > 0) {
				t.Errorf("%q, %q: %d, want %d", a, b, got, want)
			}
		}
	}
}

// The parser takes what encoding/json takes, with the same values, but for what the package
// refuses beyond it. The canonical form says the same, and its own is the same bytes.
func FuzzParse(f *testing.F) {
	for _, s := range []string{`{"a": [1, 2.5e3, -0, "x\n\u00e9\ud83d\ude00", true, false, null, {}, []]}`, `01`, `1.`, `-`, `"\x"`, `[1,]`, `{"a":1,}`, `tru`, `[[[[`, `{"a"`, `{"a":`, `nullx`, ` 1 `, "\"\x7f\"", `{"a":1 "b":2}`, `[1 2]`, `{,}`, `[,]`, `"\u12"`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		l := Limits{Size: 1 << 16, Depth: 32, List: 1 << 16}
		v, err := Parse(data, l)
		var std any
		errStd := json.Unmarshal(data, &std)
		if err != nil {
			text := err.Error()
			if errStd == nil && !strings.Contains(text, "must be UTF-8") && !strings.Contains(text, "lone surrogate") && !strings.Contains(text, "must nest") && !strings.Contains(text, "must be at most") {
				t.Fatalf("%q: %v", data, err)
			}
			return
		}
		if errStd != nil && !strings.Contains(errStd.Error(), "cannot unmarshal number") {
			t.Fatalf("%q: taken, but %v", data, errStd)
		}
		b, err := v.Canonical(nil)
		if err != nil {
			return // a repeated key, or a number that is too large
		}
		w, err := Parse(b, Limits{Size: len(b), Depth: 32, List: 1 << 16})
		if err != nil {
			t.Fatalf("%q: %v", b, err)
		}
		if again, err := w.Canonical(nil); err != nil || string(again) != string(b) {
			t.Fatalf("%q: %q %v", b, again, err)
		}
		var one, two any
		if json.Unmarshal(data, &one) == nil && json.Unmarshal(b, &two) == nil {
			x, _ := json.Marshal(one)
			y, _ := json.Marshal(two)
			if strings.ReplaceAll(string(x), "-0", "0") != strings.ReplaceAll(string(y), "-0", "0") {
				t.Fatalf("%s is not %s", y, x)
			}
		}
	})
}

// Encode writes what encoding/json writes.
func TestEncodeAsJSON(t *testing.T) {
	type all struct {
		S string   `json:"s,omitempty"`
		B bool     `json:"b"`
		U uint8    `json:"u,omitempty"`
		F float64  `json:"f"`
		L []string `json:"l"`
		P *part    `json:"p"`
		X any      `json:"x,omitempty"`
	}
	for _, v := range []all{{}, {S: "<a & \"b\"> \\ \b\f\n\r\t\x01é😀", B: true, U: 3, F: 1e-7, L: []string{"a", ""}, P: &part{Name: "p", Mass: 70, Height: 1.0 / 3, Parts: []part{{}, {Count: 3}}}, X: map[string]int{"k": 1}}} {
		var got, want strings.Builder
		if err := Encode(&got, v); err != nil {
			t.Fatal(err)
		}
		e := json.NewEncoder(&want)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		if err := e.Encode(v); err != nil {
			t.Fatal(err)
		}
		if got.String() != want.String() {
			t.Errorf("%s, want %s", got.String(), want.String())
		}
	}
	if err := Encode(&strings.Builder{}, part{Height: 1, Mass: 0, Factor: math.NaN()}); err == nil {
		t.Error("NaN was written")
	}
}
