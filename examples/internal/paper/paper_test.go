package paper

import (
	"encoding/base64"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// Every sentence has both languages with the same parameters, and a program says it.
func TestWords(t *testing.T) {
	var source strings.Builder
	err := filepath.WalkDir("../..", func(name string, d os.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(name, ".go") && !strings.HasSuffix(name, "_test.go") {
			data, err := os.ReadFile(name)
			source.Write(data)
			return err
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	param := regexp.MustCompile(`\{[a-z]+\}`)
	names := func(s string) []string {
		list := param.FindAllString(s, -1)
		slices.Sort(list)
		return slices.Compact(list)
	}
	o := load()
	for code, english := range o.english {
		german := o.german[code]
		if strings.HasSuffix(code, ".us") {
			if german != "" {
				t.Errorf("%s has a German text", code)
			}
			continue
		}
		if english == "" || german == "" {
			t.Errorf("%s lacks a language", code)
		}
		if !slices.Equal(names(english), names(german)) {
			t.Errorf("%s: the parameters of %q and %q differ", code, english, german)
		}
		said := strings.Contains(source.String(), `"`+code+`"`)
		for at := strings.LastIndex(code, "."); at > 0 && !said; at = strings.LastIndex(code[:at], ".") {
			said = strings.Contains(source.String(), `"`+code[:at+1]+`"`) || strings.Contains(source.String(), `"`+code[:at]+`"`)
		}
		if !said && !strings.HasPrefix(code, "step.") {
			t.Errorf("no program says %s", code)
		}
	}
	for code := range o.remarks {
		if r := Remark(code); r.Rank < 1 || r.Rank > 4 {
			t.Errorf("%s has the rank %d", code, r.Rank)
		}
	}
}

// Every step of a fill and every fluid has its German words.
func TestStepsAndFluids(t *testing.T) {
	german, _ := Speak("de", units.Metric)
	for k := liquid.Water; k <= liquid.OtherFluid; k++ {
		if code := "fluid." + k.String(); german.T(code) == code {
			t.Errorf("%s has no words", k)
		}
		for _, s := range (liquid.Fill{Fluid: liquid.Fluid{Kind: k}}).Steps() {
			if text := german.Text(s.Code); text == s.Code || text == s.Text {
				t.Errorf("not in German: %s", s.Text)
			}
		}
	}
}

const hostile = "a\x1b[2J\u202eb\n</p><script>&\"'"

// Whatever stands in a block is shown and not obeyed, as text and as a page.
func TestHostileBlocks(t *testing.T) {
	s := Sheet{Title: hostile}
	s.Add(Heading{hostile, 2}, Paragraph{hostile}, Box{hostile, []string{hostile}}, Answer{No, hostile, hostile, hostile, []string{hostile}},
		List{Points: []string{hostile}}, Table{Head: []string{hostile, hostile}, Rows: [][]string{{hostile, hostile}}, Numbers: []bool{true}},
		Figures{[]Figure{{SVG: "<svg/>", Title: hostile, Lines: []string{hostile}}}}, Fields{[][2]string{{hostile, hostile}}}, Signatures{[]string{hostile}}, Break{})
	p := &Papers{Shop: Shop{Name: hostile, Lines: []string{hostile}}}
	s.Add(p.Head()...)
	for name, text := range map[string]string{"text": s.Text(), "page": s.Page("en", A4, p)} {
		if strings.ContainsAny(text, "\x1b\u202e") {
			t.Errorf("%s: a hidden character", name)
		}
		if strings.Contains(text, "\n</p><script>") {
			t.Errorf("%s: a line of its own", name)
		}
		if name == "page" && (strings.Contains(text, "<script") || strings.Contains(text, `"'`)) {
			t.Errorf("%s: a mark is obeyed", name)
		}
	}
}

// FuzzPapers: no file of papers makes the decoder panic, and what it takes can be printed.
func FuzzPapers(f *testing.F) {
	f.Add([]byte(`{"version": 1, "shop": {"name": "x", "logo": "l.png"}, "date": "2026-09-14"}`))
	f.Add([]byte(`{"version": 1, "rechecks": [{"what": "x", "by": "2026-13-01"}]}`))
	logo, _ := base64.StdEncoding.DecodeString("iVBORw0KGgo=")
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := DecodePapers(data, func(string) ([]byte, error) { return logo, nil })
		if err != nil {
			return
		}
		s := Sheet{Title: "x"}
		s.Add(p.Head()...)
		if page := s.Page("en", A4, p); !strings.HasSuffix(page, "</html>\n") {
			t.Error("the page is not whole")
		}
	})
}
