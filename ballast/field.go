package ballast

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"example.com/steelyard/internal/catalog"
	"example.com/steelyard/internal/choice"
	"example.com/steelyard/units"
)

// Field is one field of a [Document] as data: what it is, what it may be, what it costs to
// leave it out, and how it is measured. A form needs no more to ask for it.
type Field struct {
	// Path is the field by its JSON names, with open places in lists: "setup.pieces[].mass".
	// The fields of [Ground], which is no part of a document, begin with "ground".
	Path string `json:"path"`
	// Type is what stands there in JSON.
	Type FieldType `json:"type"`
	// Quantity is the quantity of a number with a unit, such as "length"; its name in words
	// is the text of the code "units.quantity." and this. It is empty for all else.
	Quantity string `json:"quantity,omitempty"`
	// Bounds are the least and the greatest values. The first entry is the widest and always
	// holds; the others hold beside a choice that they name. Relations to other numbers,
	// such as a pin within reach of its arm, may narrow them further. They are empty where
	// there is no number.
	Bounds []Bounds `json:"bounds,omitempty"`
	// Zero says that a zero may be written even if it is not within Bounds, and then says that
	// nothing is given.
	Zero bool `json:"zero,omitempty"`
	// None says that it may be declared absent, "none".
	None bool `json:"none,omitempty"`
	// Choices are the texts that are accepted, of a choice or a set.
	Choices []NamedChoice `json:"choices,omitempty"`
	// Entries is how many entries a list may have at most, and Least how many at least.
	Entries int `json:"entries,omitempty"`
	// Least is the least number of entries; see Entries.
	Least int `json:"least,omitempty"`

	// Absence is what it costs to leave the field out.
	Absence Absence `json:"absence"`
	// Limits are the limits of a load on which it bears: without the field they are wider,
	// not known, or not answered at all.
	Limits LimitSet `json:"limits,omitempty"`
	// Answers are the answers on which it bears.
	Answers AnswerSet `json:"answers,omitempty"`

	// Instrument is what it is measured with or read from.
	Instrument Instrument `json:"instrument"`
	// Title is its name for a reader, in English, and Code the code of the title in a
	// [units.Catalog]. Fields of different parts may have one title: see [Field.Label].
	Title string `json:"title"`
	// Code is the code of Title.
	Code string `json:"code"`
	// Help says in a sentence what it is, in English, and HelpCode is the sentence's code.
	Help string `json:"help"`
	// HelpCode is the code of Help.
	HelpCode string `json:"helpCode"`
	// How says in a sentence how it is measured or where it stands, as [Question] does; empty
	// where Help says it.
	How string `json:"how,omitempty"`
	// HowCode is the code of How.
	HowCode string `json:"howCode,omitempty"`

	// Labels are the codes of the titles that together name it: see [Field.Label].
	Labels []string `json:"labels,omitempty"`
}

// Bounds are the least and the greatest value of a number, in the SI unit of its quantity.
type Bounds struct {
	// When is the choice beside the field that they go with, such as "kind=forks"; empty for
	// those that always hold.
	When string `json:"when,omitempty"`
	// Low is the least value, in the SI unit of the field's quantity.
	Low float64 `json:"low"`
	// High is the greatest value, in the same unit.
	High float64 `json:"high"`
	// Above says that Low itself is not accepted.
	Above bool `json:"above,omitempty"`
}

// Contains reports whether a value in the SI unit is within the bounds.
func (b Bounds) Contains(v float64) bool {
	return catalog.Bounds(b).Contains(v)
}

// NamedChoice is one text that a field accepts.
type NamedChoice struct {
	// Name is the text in JSON.
	Name string `json:"name"`
	// Title is what it says to a reader, in English; the name itself where that is enough.
	Title string `json:"title"`
	// Code is the code of Title in a [units.Catalog]; empty where Title is the name.
	Code string `json:"code,omitempty"`
}

// FieldType is what stands in a field in JSON. In JSON: "group", "list", "quantity", "input",
// "number", "whole", "choice", "set", "text", "flag" or "marking".
type FieldType uint8

// What stands in a field.
const (
	// FieldGroup is an object with fields of its own.
	FieldGroup FieldType = iota
	// FieldList is a list of entries.
	FieldList
	// FieldQuantity is a number with its unit, in one string: "24 in".
	FieldQuantity
	// FieldInput is a [units.Input]: a quantity, or an object with low and high.
	FieldInput
	// FieldNumber is a number without a unit.
	FieldNumber
	// FieldWhole is a whole number.
	FieldWhole
	// FieldChoice is one of the texts in Choices.
	FieldChoice
	// FieldSet is some of the texts in Choices, joined by commas in one string.
	FieldSet
	// FieldText is any text.
	FieldText
	// FieldFlag is true or false.
	FieldFlag
	// FieldMarking is what is marked on a tire, such as "14.9-24".
	FieldMarking
)

var fieldTypeNames = []string{"group", "list", "quantity", "input", "number", "whole", "choice", "set", "text", "flag", "marking"}

// Absence is what it costs to leave a field out. In JSON: "optional", "practice", "rating",
// "depends" or "required".
type Absence uint8

// What it costs to leave a field out, from little to all.
const (
	// Optional fields may be left out: then there is no such thing, or what their help names
	// stands in.
	Optional Absence = iota
	// TakesPractice fields have a range of practice in their place, and answers are wider:
	// see [Practice].
	TakesPractice
	// NeedsRating fields are ratings: without them the answer is [NeedsRatings] and never yes.
	NeedsRating
	// RequiredInCases fields must be given beside some values of other fields.
	RequiredInCases
	// Required fields must always be given.
	Required
)

var absenceNames = []string{"optional", "practice", "rating", "depends", "required"}

// Title says the cost in a sentence. Its code is "ballast.absence." and the JSON name.
func (a Absence) Title() string { return choice.Name("Absence", absenceTitles, a) }

var absenceTitles = []string{"It may be left out.", "Left out, a range of practice stands in for it, and answers are wider.",
	"Until its plate or manual is read, no answer says yes.", "In some cases it must be given; its error says when.", "It must be given."}

// AnswerSet is a set of answers on which a field bears. In JSON: the names of its answers,
// joined by commas: "load", "slope", "rearLift", "transport", "plan" and "travel".
type AnswerSet uint8

// Answers.
const (
	// AnswerLoad is how much may be lifted: [Envelope.UsableLoad] and [Envelope.Check].
	AnswerLoad AnswerSet = 1 << iota
	// AnswerSlope is [Envelope.SlopeLimit].
	AnswerSlope
	// AnswerRearLift is [Envelope.RearLift].
	AnswerRearLift
	// AnswerTransport is [Transport.Check] and [Setup.Transport].
	AnswerTransport
	// AnswerPlan is [Plan].
	AnswerPlan
	// AnswerTravel is [Envelope.Travel].
	AnswerTravel
	answersEnd
)

var answerText = []choice.Remark{
	{Name: "load", Sentence: "How much may be lifted, and by which limit."},
	{Name: "slope", Sentence: "On which slope the machine tips or slides."},
	{Name: "rearLift", Sentence: "Whether the loader can lift the rear wheels."},
	{Name: "transport", Sentence: "What the axles carry on the road."},
	{Name: "plan", Sentence: "Which ballast meets the needs."},
	{Name: "travel", Sentence: "How much may be carried over an obstacle."},
}

// fieldList is every field in order, and where each is.
type fieldList struct {
	list []Field
	at   map[string]int
}

var allFields = sync.OnceValue(func() *fieldList {
	l := &fieldList{at: map[string]int{}}
	how := fieldHow()
	for _, n := range fieldTree().All() {
		l.at[n.Path] = len(l.list)
		l.list = append(l.list, fieldOf(n, how))
	}
	return l
})

// Fields returns every field of a [Document] in the order of the types, and then those of
// [Ground]. Groups and lists are fields of their own, before what is in them.
func Fields() []Field {
	out := slices.Clone(allFields().list)
	for i := range out {
		out[i] = out[i].own()
	}
	return out
}

// own returns the field with slices of its own.
func (f Field) own() Field {
	f.Bounds, f.Choices, f.Labels = slices.Clone(f.Bounds), slices.Clone(f.Choices), slices.Clone(f.Labels)
	return f
}

var places = regexp.MustCompile(`\[[0-9]*\]`)

// FieldAt returns the field at a path, as errors, questions, assumptions and answers give it:
// of a [Document], of its setup ("machine.wheelbase"), of a lift ("lift.load.above"), of a
// travel ("travel.obstacle.height") or of a ground ("ground.friction"); "load" is the mass
// that a lift is asked for. Places in lists are of no account. The ends of an input are the
// input. It reports false for a path that no field has.
func FieldAt(path string) (Field, bool) {
	all := allFields()
	path = places.ReplaceAllString(path, "[]")
	tries := [2]string{path, "setup." + path}
	switch head, rest, _ := strings.Cut(path, "."); head {
	case "load":
		if rest == "" {
			tries[1] = "lifts[].load.mass"
		}
	case "lift":
		if rest != "" {
			tries[1] = "lifts[]." + rest
		}
	case "travel":
		if rest != "" {
			tries[1] = "travels[]." + rest
		}
	}
	for _, p := range tries {
		p = strings.TrimSuffix(p, "[]")
		if i, ok := all.at[p]; ok {
			return all.list[i].own(), true
		}
		for _, end := range []string{".low", ".high"} {
			if i, ok := all.at[strings.TrimSuffix(p, end)]; ok && strings.HasSuffix(p, end) && all.list[i].Type == FieldInput {
				return all.list[i].own(), true
			}
		}
	}
	return Field{}, false
}

// Label returns the titles that name the field within its part (the tractor, the loader, a
// lift), in the language of a catalog: "front axle, permissible axle load".
func (f Field) Label(c units.Catalog) string {
	var names []string
	for _, code := range f.Labels {
		names = append(names, c.Text(code))
	}
	return strings.Join(names, ", ")
}

// Range returns what the field accepts as a message, in the words of its errors: a catalog
// shows the bounds in the units of its display, rounded inward, so that what is shown is
// accepted. Others are the choices beside the field, such as "kind=forks", of which the first
// that has bounds of its own counts. It reports false where the field is no number.
func (f Field) Range(others ...string) (units.Message, bool) {
	if len(f.Bounds) == 0 || !f.number() {
		return units.Message{}, false
	}
	b := f.Bounds[0]
	for _, o := range f.Bounds[1:] {
		if slices.Contains(others, o.When) {
			b = o
			break
		}
	}
	low, high := f.param("low", b.Low, units.Up), f.param("high", b.High, units.Down)
	if b.Above {
		return units.NewMessage("must be more than {low} and at most {high}", low, high), true
	}
	return units.NewMessage("must be between {low} and {high}", low, high), true
}

// PointText returns a text that a reader typed into the field of a quantity or an input as a
// [Document] holds it: with [units.Display.Comma] "15,7 in" is "15.7 in". The unit and
// fractions stay as they were typed. A text that is not read is an error without a path; of a field that
// is no quantity the text is returned as it is.
func (f Field) PointText(d units.Display, text string) (string, error) {
	if f.None && text == "none" {
		return text, nil
	}
	return catalog.PointText(f.Quantity, d, text)
}

// number reports whether a number stands in the field.
func (f Field) number() bool {
	return f.Type == FieldQuantity || f.Type == FieldInput || f.Type == FieldNumber || f.Type == FieldWhole
}

// param shows a bound of the field. The step of a stock's range is counted in grams: in
// other units what is shown would lie between its steps.
func (f Field) param(name string, v float64, r units.Rounding) units.Param {
	if p, ok := catalog.Param(f.Quantity, name, v, r, f.Path == "stock.items[].range.step"); ok {
		return p
	}
	return units.Param{Name: name, Text: strconv.FormatFloat(v, 'f', -1, 64)}
}
