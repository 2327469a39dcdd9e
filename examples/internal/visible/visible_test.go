package visible

import (
	"encoding/json"
	"encoding/xml"
	"strings"
	"testing"
	"unicode/utf8"
)

// The controls of ECMA-48 that move a cursor or change a title, in both their
// forms; the marks of Unicode UAX 9; what XML 1.0 section 2.2 forbids.
func TestTextIsVisible(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"Orchard tractor, 45 kW", "Orchard tractor, 45 kW"},
		{"Obstbaumschnitt à l'été — 木", "Obstbaumschnitt à l'été — 木"},
		{"a\x1b[2Ab", "a\ufffd[2Ab"},
		{"a\u009b2Ab", "a\ufffd2Ab"},
		{"a\x1b]0;t\x07b", "a\ufffd]0;t\ufffdb"},
		{"a\rb\nc\td\u0085e\u2028f", "a b c d e f"},
		{"\x00\x08\x7f\u0080", strings.Repeat("\ufffd", 4)},
		{"\u202e21\u202c\u2066\u2069\u200f\u061c", "\ufffd21" + strings.Repeat("\ufffd", 5)},
		{"\ufffe\uffff\U0001ffff", strings.Repeat("\ufffd", 3)},
		{"a\xff\xfeb", "a\ufffd\ufffdb"},
	} {
		if got := Text(c.in); got != c.want {
			t.Errorf("%q: got %q, want %q", c.in, got, c.want)
		}
	}
}

func TestClipKeepsCharactersWhole(t *testing.T) {
	for _, c := range []struct {
		in   string
		max  int
		want string
	}{{"abc", 3, "abc"}, {"abcd", 3, "abc..."}, {"aéé", 4, "aé..."}, {"木", 2, "..."}, {"", 0, ""}, {"\x80\x80", 1, "..."}} {
		if got := Clip(c.in, c.max); got != c.want {
			t.Errorf("%q, %d: got %q, want %q", c.in, c.max, got, c.want)
		}
	}
}

func TestStringsReachesEveryField(t *testing.T) {
	type inner struct {
		Name  string
		other string
	}
	type outer struct {
		Title string
		List  []inner
		Array [1]string
		One   *inner
		None  *inner
		Any   any
		N     int
	}
	v := outer{Title: "\x1b", List: []inner{{"\x1b", "\x1b"}}, Array: [1]string{"\x1b"}, One: &inner{Name: "\x1b"}, Any: &inner{Name: "\x1b"}, N: 27}
	Strings(&v)
	for _, got := range []string{v.Title, v.List[0].Name, v.Array[0], v.One.Name, v.Any.(*inner).Name} {
		if got != "\ufffd" {
			t.Errorf("%q", got)
		}
	}
	if v.List[0].other != "\x1b" {
		t.Errorf("an unexported field was changed: %q", v.List[0].other)
	}
}

// JSON says the same value, and nothing hidden stands in it.
func TestJSONKeepsTheValue(t *testing.T) {
	const want = "a\u009b2A\u202eb\x7f\u0085\u2028\U0001ffff\U0001f69c é\n"
	plain, err := json.MarshalIndent(map[string]string{"name": want}, "", "\t")
	if err != nil {
		t.Fatal(err)
	}
	got := JSON(plain)
	var v map[string]string
	if err := json.Unmarshal(got, &v); err != nil || v["name"] != want {
		t.Errorf("%q, %v", v["name"], err)
	}
	if i := strings.IndexFunc(strings.NewReplacer("\n", "", "\t", "").Replace(string(got)), hidden); i >= 0 {
		t.Errorf("hidden characters in %q", got)
	}
}

func FuzzText(f *testing.F) {
	f.Add("a\x1b[2Ab")
	f.Add("\u202e\ufffe\xff")
	f.Fuzz(func(t *testing.T, s string) {
		got := Text(s)
		if !utf8.ValidString(got) || strings.ContainsAny(got, "\n\r\t\x1b") || Text(got) != got {
			t.Fatalf("%q: %q", s, got)
		}
		var b strings.Builder
		b.WriteString("<a>")
		xml.EscapeText(&b, []byte(got))
		b.WriteString("</a>")
		var v string
		if err := xml.Unmarshal([]byte(b.String()), &v); err != nil || v != got {
			t.Fatalf("%q: %q, %v", got, v, err)
		}
	})
}
