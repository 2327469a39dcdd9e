package units

import (
	"math"
	"slices"
	"strings"

	"example.com/steelyard/internal/words"
)

// A Param is one value in a message, such as the low end of a range that would be
// accepted. Its name stands in braces in the text of a catalog: "must be between {low}
// and {high}".
type Param struct {
	// Name is the name in the text.
	Name string
	// Text is the value as English messages write it.
	Text string

	show func(Display) string // how a display writes it; nil for a text
	code string               // of a text that has a translation of its own
	own  []Message            // of messages within a message
	list []string             // of texts of which one may be chosen
	of   []Param              // of words in a row
}

// Saying returns a message as the value of another message, such as the rule that a note
// speaks of: a catalog writes it in its own language.
func Saying(name string, said ...Message) Param {
	texts := make([]string, len(said))
	for i, m := range said {
		texts[i] = m.Text
	}
	return Param{Name: name, Text: strings.Join(texts, " "), own: said}
}

// Word returns a word of the library as the value of a message, such as the name of a fluid:
// a catalog writes its own text of the code, which is one of [Remark] or of a choice with a
// title. Text is how English messages write it.
func Word(name, code, text string) Param { return Param{Name: name, Text: text, code: code} }

// Words returns words in a row as one value of a message, such as the choices of a field:
// English messages write the text of each, which may be its name in JSON, and a catalog writes
// its own text of each code, with semicolons between them where one has a comma in it.
func Words(name string, of ...Param) Param {
	return Param{Name: name, Text: rowOf(of, func(p Param) string { return p.Text }), of: of}
}

func rowOf(of []Param, say func(Param) string) string {
	texts, between := make([]string, len(of)), ", "
	for i, p := range of {
		if texts[i] = say(p); strings.Contains(texts[i], ",") {
			between = "; "
		}
	}
	return strings.Join(texts, between)
}

// orParam is a list of which one may be chosen, in quotation marks.
func orParam(name string, list []string) Param {
	return Param{Name: name, Text: orList(list, "or"), list: list}
}

// Parameter returns a quantity as the value of a message: text is how English messages
// write it, and rounding the direction in which another display rounds it. A low bound is
// rounded up and a high bound down, so that what is shown is accepted: where the text reads
// back beyond v by the last bit ("1400 mm" is more than 1.4 m), the next step inward is shown.
func Parameter[Q Quantity](name, text string, v Q, rounding Rounding) Param {
	return Param{Name: name, Text: text, show: func(d Display) string {
		d.Rounding = rounding
		plain := d
		plain.Comma = false
		got, p := kindOf[Q]().parse(Format(plain, v))
		switch inward := Q(1e-9 * math.Abs(float64(v))); {
		case p.fault != okay:
		case rounding == Up && Q(got) < v:
			return Format(d, v+inward)
		case rounding == Down && Q(got) > v:
			return Format(d, v-inward)
		}
		return Format(d, v)
	}}
}

// MetricParameter is Parameter for a quantity that is counted in a metric unit, such as whole
// grams: every display shows it in metric units, because in others it has no round number.
func MetricParameter[Q Quantity](name, text string, v Q, rounding Rounding) Param {
	p := Parameter(name, text, v, rounding)
	show := p.show
	p.show = func(d Display) string {
		d.System, d.FeetInches = Metric, false
		return show(d)
	}
	return p
}

// param returns a value as the catalog writes it.
func (c Catalog) param(p Param) string {
	switch {
	case p.code != "":
		return c.Text(p.code)
	case p.of != nil:
		return rowOf(p.of, c.param)
	case p.own != nil:
		texts := make([]string, len(p.own))
		for i, m := range p.own {
			texts[i] = c.Message(m)
		}
		return strings.Join(texts, " ")
	case p.list != nil:
		return orList(p.list, c.Text("units.or"))
	case p.show != nil:
		return p.show(c.Display)
	}
	return p.Text
}

// A Message is a text as data.
type Message struct {
	// Code is its stable code; "" for a text that is not the library's.
	Code string
	// Params are the values in it.
	Params []Param
	// Text is the text in English.
	Text string
}

// NewMessage returns the message of an English text of the library, with the names of its
// parameters in braces.
func NewMessage(text string, params ...Param) Message {
	return Message{Code: words.Code(text), Params: params, Text: filled(text, params, func(p Param) string { return p.Text })}
}

// A Catalog is the language in which a program speaks to people: the text of each
// message by its code, and how quantities are written. [English] and [German] return the
// library's own; a program can change their texts or make a catalog of another language.
//
// Codes are stable: they do not change when a text does. Those of field errors are in
// [FieldError].Code. Those of remarks (notes, cautions and the like) are in [Remark].Code.
// Those of choices with a title are the package, the choice and its JSON name, such as
// "ballast.verdict.needsRatings"; for what has such a code, Text is its title.
type Catalog struct {
	// Language is the language as BCP 47 writes it, such as "de".
	Language string
	// Texts holds the texts by code, with the names of parameters in braces.
	Texts map[string]string
	// Display is how quantities are written.
	Display Display
}

// English returns the library's own texts, with metric units.
func English() Catalog { return Catalog{Language: "en", Texts: words.Texts(words.English)} }

// German returns the library's texts in German, with metric units and a decimal comma.
func German() Catalog {
	return Catalog{Language: "de", Texts: words.Texts(words.German), Display: Display{Comma: true}}
}

// Text returns the text of a code with its parameters. A code that the catalog lacks has
// the library's English text, and one that the library lacks is returned as it is.
func (c Catalog) Text(code string, params ...Param) string {
	text, ok := c.Texts[code]
	if !ok {
		if text, ok = words.Text(words.English, code); !ok {
			return code
		}
	}
	return filled(text, params, c.param)
}

// Message returns a message in the language of the catalog.
func (c Catalog) Message(m Message) string {
	if m.Code == "" {
		return m.Text
	}
	return c.Text(m.Code, m.Params...)
}

// Want returns what would be accepted in the place of a bad field. An error without a
// code, such as one of another library, has its own text.
func (c Catalog) Want(e *FieldError) string {
	if e.Code == "" {
		return e.Want
	}
	text := c.Text(e.Code, e.Params...)
	if e.Part != "" {
		text = e.Part + " " + text
	}
	return text
}

// Missing returns the codes of the library that the catalog has no text for, in order: what
// is still to be translated.
func (c Catalog) Missing() []string {
	var out []string
	for _, code := range words.Codes() {
		if c.Texts[code] == "" {
			out = append(out, code)
		}
	}
	return out
}

// filled returns a text with its parameters in the place of their names.
func filled(text string, params []Param, show func(Param) string) string {
	if len(params) == 0 {
		return text
	}
	pairs := make([]string, 0, 2*len(params))
	for _, p := range params {
		pairs = append(pairs, "{"+p.Name+"}", show(p))
	}
	return strings.NewReplacer(pairs...).Replace(text)
}

// A Subject is what a remark is about. In JSON: "general", "lifting", "slopes", "travel",
// "ballast", "tires", "filling" or "weighing".
type Subject uint8

// Subjects of remarks.
const (
	// SubjectGeneral is anything, and what has no other subject.
	SubjectGeneral Subject = iota
	// SubjectLifting is before and while a load is lifted.
	SubjectLifting
	// SubjectSlopes is ground that is not level.
	SubjectSlopes
	// SubjectTravel is driving, with a load or on the road.
	SubjectTravel
	// SubjectBallast is what sits behind or in front to balance a load.
	SubjectBallast
	// SubjectTires is tires, their pressure and what they carry.
	SubjectTires
	// SubjectFilling is filling and emptying tires.
	SubjectFilling
	// SubjectWeighing is weighing and measuring.
	SubjectWeighing
)

var subjectNames = []string{"general", "lifting", "slopes", "travel", "ballast", "tires", "filling", "weighing"}

// String returns the JSON name.
func (s Subject) String() string { return enumString(subjectNames, int(s)) }

// MarshalText returns the JSON name; a value outside the list is an error.
func (s Subject) MarshalText() ([]byte, error) { return enumText(subjectNames, int(s)) }

// UnmarshalText accepts the JSON names only.
func (s *Subject) UnmarshalText(text []byte) error {
	i, err := enumIndex(subjectNames, text)
	if err == nil {
		*s = Subject(i)
	}
	return err
}

// A Remark is one note or caution of an answer as data.
type Remark struct {
	// Code is its stable code, such as "ballast.caution.manual".
	Code string `json:"code"`
	// Text is the sentence in English; [Catalog.Text] has it in other languages.
	Text string `json:"text"`
	// Rank orders remarks that are shown together: 1 is what somebody may be hurt by at
	// once, 2 what breaks or tips the machine later, 3 what the figure rests on, 4 how it
	// was reached. Lower ranks come first, and none may be left out.
	Rank int `json:"rank"`
	// Subject is what it is about.
	Subject Subject `json:"subject"`
}

// SortRemarks puts remarks in the order of their rank and then of their subject, keeps the
// order of equals, and of remarks with the same code or the same text keeps one, that of the
// lowest rank.
func SortRemarks(list []Remark) []Remark {
	out := make([]Remark, 0, len(list))
	for _, r := range list {
		i := slices.IndexFunc(out, func(o Remark) bool { return o.Code == r.Code || o.Text == r.Text && r.Text != "" })
		switch {
		case i < 0:
			out = append(out, r)
		case r.Rank < out[i].Rank:
			out[i] = r // the more pressing of two that say the same
		}
	}
	slices.SortStableFunc(out, func(a, b Remark) int {
		if a.Rank != b.Rank {
			return a.Rank - b.Rank
		}
		return int(a.Subject) - int(b.Subject)
	})
	return out
}
