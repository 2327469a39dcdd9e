// Package paper makes sheets for people: a sheet is a list of blocks, and is written as plain text
// or as one HTML page that needs no other file, reads on a phone and prints on A4 or Letter. Words
// and quantities are those of a language and a system of units.
package paper

import (
	"fmt"
	"strings"

	"example.com/steelyard/examples/internal/visible"
)

// A Sheet is what is printed.
type Sheet struct {
	Title string
	// Large is for what is read from the driver's seat.
	Large  bool
	Blocks []Block
}

// Add appends blocks.
func (s *Sheet) Add(blocks ...Block) { s.Blocks = append(s.Blocks, blocks...) }

// A Block is a part of a sheet.
type Block interface {
	text(*textWriter)
	html(*htmlWriter)
}

// Heading begins a section. Level 2 is a section, 3 a part of it.
type Heading struct {
	Text  string
	Level int
}

// Paragraph is plain text.
type Paragraph struct{ Text string }

// Box is what nobody may overlook, in a thick frame.
type Box struct {
	Title string
	Lines []string
}

// Sign is the kind of an answer. Signs differ by word and frame, never by color.
type Sign int

// The signs.
const (
	Open   Sign = iota // nobody can say yet
	NotYet             // something must be read first
	No
	None // no limit was found exceeded
)

// signCodes are the codes of the signs' words.
var signCodes = [...]string{Open: "sign.open", NotYet: "sign.notyet", No: "sign.no", None: "sign.none"}

// Mark is the word of a sign, which stands in front of an answer and can be read aloud.
func (w Words) Mark(s Sign) string { return w.T(signCodes[s]) }

// Answer is one answer with its reasons.
type Answer struct {
	Sign  Sign
	Mark  string // the word of the sign; empty leaves it out
	About string // what was asked
	Word  string // the answer
	Lines []string
}

// List is a list of points. It is never folded.
type List struct {
	Points []string
	// Short points stand in two columns in print.
	Short bool
}

// Steps is a list that is done in its order.
type Steps struct{ Points []string }

// Label is cut out and fixed somewhere.
type Label struct {
	Title string
	Lines []string
}

// Table has a line of names and rows of as many cells.
type Table struct {
	Head []string
	Rows [][]string
	// Numbers says which columns are set to the right.
	Numbers []bool
}

// Figure is a picture with words below it; as text only the words are written.
type Figure struct {
	SVG   string // our own drawing; its texts are escaped
	Title string
	Lines []string
	// Beside is a small picture beside the text that follows, where there is room.
	Beside bool
}

// Figures are pictures side by side where there is room.
type Figures struct{ List []Figure }

// Fields are names with what was written of each; an empty one is a line to write on.
type Fields struct{ List [][2]string }

// Signatures are places to sign.
type Signatures struct{ For []string }

// Together are blocks that stay on one page: a label, which in print stands on the left of the rest,
// with what is filled in and signed.
type Together struct{ List []Block }

// Break begins a new page in print.
type Break struct{}

func safe(s string) string { return visible.Text(bare(s)) }

// A textWriter writes plain text.
type textWriter struct {
	b strings.Builder
}

func (t *textWriter) line(s string) { t.b.WriteString(strings.TrimRight(s, " ") + "\n") }

const textWidth = 94

// wrapped writes text in lines, the first after a mark and the next ones below it.
func (t *textWriter) wrapped(mark, s string) {
	line, blank := mark, strings.Repeat(" ", len([]rune(mark)))
	n, begun := len([]rune(mark)), false
	for _, f := range strings.Fields(safe(s)) {
		w := len([]rune(f))
		if begun && n+1+w > textWidth {
			t.line(line)
			line, n, begun = blank, len(blank), false
		}
		if begun {
			line += " "
			n++
		}
		line += f
		n += w
		begun = true
	}
	if begun {
		t.line(line)
	}
}

// Text returns the sheet as plain text.
func (s *Sheet) Text() string {
	var t textWriter
	t.line(safe(s.Title))
	t.line(strings.Repeat("=", len([]rune(safe(s.Title)))))
	for _, b := range s.Blocks {
		b.text(&t)
	}
	return t.b.String()
}

func (h Heading) text(t *textWriter) {
	rule := "-"
	if h.Level > 2 {
		rule = "."
	}
	t.line("")
	t.line(safe(h.Text))
	t.line(strings.Repeat(rule, len([]rune(safe(h.Text)))))
}

func (p Paragraph) text(t *textWriter) { t.wrapped("", p.Text) }

func (b Box) text(t *textWriter) {
	t.line("")
	if b.Title != "" {
		t.wrapped("! ", b.Title)
	}
	for _, l := range b.Lines {
		t.wrapped("! ", l)
	}
	t.line("")
}

func (a Answer) text(t *textWriter) {
	word, mark := a.Word, ""
	if a.About != "" {
		word = a.About + ": " + word
	}
	if a.Mark != "" {
		mark = "[" + safe(a.Mark) + "] "
	}
	t.wrapped(mark, word)
	for _, l := range a.Lines {
		t.wrapped("      ", l)
	}
}

func (l List) text(t *textWriter) {
	for _, p := range l.Points {
		t.wrapped("- ", p)
	}
}

func (l Steps) text(t *textWriter) {
	for i, p := range l.Points {
		t.wrapped(fmt.Sprintf("%2d. ", i+1), p)
	}
}

func (l Label) text(t *textWriter) {
	t.line("")
	t.line("+" + strings.Repeat("-", 60))
	t.wrapped("| ", l.Title)
	for _, x := range l.Lines {
		t.wrapped("| ", x)
	}
	t.line("+" + strings.Repeat("-", 60))
	t.line("")
}

func (x Table) text(t *textWriter) {
	width := make([]int, len(x.Head))
	rows := append([][]string{x.Head}, x.Rows...)
	for _, r := range rows {
		for i, c := range r {
			width[i] = max(width[i], len([]rune(safe(c))))
		}
	}
	total := 0
	for _, w := range width {
		total += w + 2
	}
	if total > textWidth+10 { // too wide for a terminal: a row is a list
		for _, r := range x.Rows {
			t.wrapped("* ", r[0])
			for i, c := range r[1:] {
				if c != "" {
					t.wrapped("    "+safe(x.Head[i+1])+": ", c)
				}
			}
		}
		return
	}
	for _, r := range rows {
		line := ""
		for i, c := range r {
			c = safe(c)
			pad := strings.Repeat(" ", width[i]-len([]rune(c)))
			if i < len(x.Numbers) && x.Numbers[i] {
				line += pad + c
			} else {
				line += c + pad
			}
			line += "  "
		}
		t.line(line)
	}
}

func (f Figure) text(t *textWriter) {
	t.line(safe(f.Title))
	for _, l := range f.Lines {
		t.wrapped("    ", l)
	}
}

func (f Figures) text(t *textWriter) {
	for _, one := range f.List {
		one.text(t)
	}
}

func (f Fields) text(t *textWriter) {
	width := 0
	for _, x := range f.List {
		width = max(width, len([]rune(safe(x[0]))))
	}
	for _, x := range f.List {
		name, value := safe(x[0]), safe(x[1])
		if value == "" {
			value = "____________________"
		}
		t.wrapped(name+":"+strings.Repeat(" ", width-len([]rune(name))+1), value)
	}
}

func (s Signatures) text(t *textWriter) {
	for _, f := range s.For {
		t.line("")
		t.line("____________________  " + safe(f))
	}
}

func (x Together) text(t *textWriter) {
	for _, b := range x.List {
		b.text(t)
	}
}

func (Break) text(*textWriter) {}
