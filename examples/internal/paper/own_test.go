package paper

import (
	"strings"
	"testing"

	"example.com/steelyard/units"
)

// A name from right to left stands isolated, as HTML 5 asks for text of unknown direction (its
// element bdi, Unicode UAX 9 section 2.7), and no figure of ours stands inside.
func TestNamesFromRightToLeft(t *testing.T) {
	const name = "מכל 12 פירות"
	w, _ := Speak("en", units.Metric)
	for _, c := range []struct{ in, want string }{
		{w.T("hand.piece", "name", name, "mass", "430 kg"), "<bdi>" + name + "</bdi>: 430\u00a0kg"},
		{w.T("hand.piece", "name", "box", "mass", "430 kg"), "box: 430\u00a0kg"},
		{"fill: " + Own(name+"<b>") + ", 2", "fill: <bdi>" + name + "&lt;b&gt;</bdi>, 2"},
		{"جرار אב, 99 kg", "<bdi>جرار אב</bdi>, 99\u00a0kg"},   // nobody has marked it
		{"\ue000</bdi>\ue001<", "<bdi>&lt;/bdi&gt;</bdi>&lt;"}, // marks that a user typed do no harm
		{"\ue001a\ue000\ue002", "a"},
	} {
		if got := esc(c.in); got != c.want {
			t.Errorf("%q: %s, want %s", c.in, got, c.want)
		}
	}
	if got := safe(Own(name)); got != name {
		t.Errorf("plain text: %q", got)
	}
	s := Sheet{Title: name}
	s.Add(Table{Head: []string{"", Own(name)}, Rows: [][]string{{"a", "b"}}}, Figure{SVG: "<svg><title>" + Own(name) + "</title></svg>"})
	page := s.Page("en", A4, nil)
	for _, want := range []string{"<title>" + name + "</title>", `data-name="` + name + `"`, "<svg><title>" + name + "</title></svg>"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
}

// A name without blanks breaks in a column.
func TestLongWordsBreak(t *testing.T) {
	if got := esc(strings.Repeat("W", 25)); strings.Count(got, "<wbr>") != 2 {
		t.Error(got)
	}
	if got := esc("Lastschwerpunktabstände"); strings.Contains(got, "<wbr>") {
		t.Error(got)
	}
}
