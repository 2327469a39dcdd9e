// Package choice gives closed choices and sets of remarks the same text form in every
// package of this module.
//
// A closed choice is a small number with a name: an undercarriage, a fluid, a
// datum. A remark is one bit of a set, with a name for programs and a
// sentence for people: a note, a caution.
package choice

import (
	"fmt"
	"reflect"
	"strings"
	"unicode"

	"example.com/steelyard/internal/words"
	"example.com/steelyard/units"
)

// Name returns the name of a choice, or its number in parentheses behind kind
// if it has none.
func Name[K ~uint8](kind string, names []string, k K) string {
	if int(k) < len(names) {
		return names[k]
	}
	return fmt.Sprintf("%s(%d)", kind, uint8(k))
}

// Marshal returns the name of a choice as text, or an error if it has none.
func Marshal[K ~uint8](names []string, k K) ([]byte, error) {
	if int(k) < len(names) {
		return []byte(names[k]), nil
	}
	return nil, units.NewFieldError("", int(k), OneOf, Of[K](names))
}

// Unmarshal sets the choice of a name, or returns an error that lists the
// names and leaves k as it is.
func Unmarshal[K ~uint8](names []string, text []byte, k *K) error {
	for i, n := range names {
		if n == string(text) {
			*k = K(i)
			return nil
		}
	}
	return units.NewFieldError("", clip(string(text)), OneOf, Of[K](names))
}

// Known reports whether a choice has a name.
func Known[K ~uint8](names []string, k K) bool { return int(k) < len(names) }

// Given records an error if a choice without a default was not made or is not on the list.
// The first name of the list means that no choice was made.
func Given[K ~uint8](c *units.FieldErrors, path string, k K, names []string) {
	switch {
	case k == 0:
		c.Add(path, nil, OneOf, Of[K](names[1:]))
	case !Known(names, k):
		c.Add(path, Name("choice", names, k), OneOf, Of[K](names[1:]))
	}
}

// OneOf is the message that names what would be accepted; its parameter is [Of].
const OneOf = "must be one of {choices}"

// Of lists the names of a choice that would be accepted. It leaves out an empty name, and
// "unknown", which is the name of a choice that was not made. Errors write the names in JSON,
// and a catalog writes the titles of those that have one.
func Of[K ~uint8](names []string) units.Param {
	prefix := Prefix(reflect.TypeFor[K]())
	var out []units.Param
	for _, n := range names {
		if n == "" || n == "unknown" {
			continue
		}
		code := prefix + n
		if _, ok := words.Text(words.English, code); !ok {
			code = ""
		}
		out = append(out, units.Word("choice", code, n))
	}
	return units.Words("choices", out...)
}

// Prefix is what stands before the names of a choice in the codes of their titles, such as
// "ballast.pieceKind.".
func Prefix(t reflect.Type) string {
	return t.PkgPath()[strings.LastIndexByte(t.PkgPath(), '/')+1:] + "." + LowerFirst(t.Name()) + "."
}

// LowerFirst writes the first word of a name in lower case.
func LowerFirst(s string) string {
	r := []rune(s)
	for i := range r {
		if i > 0 && i+1 < len(r) && !unicode.IsUpper(r[i+1]) || !unicode.IsUpper(r[i]) {
			break
		}
		r[i] = unicode.ToLower(r[i])
	}
	return string(r)
}

// Remark is one bit of a set of notes or cautions.
type Remark struct {
	Name     string // for programs, in lowerCamelCase
	Sentence string // for people
}

// Strict returns an error that wraps a sentinel and names the remarks of a set,
// or nil if it has none.
func Strict[B ~uint8 | ~uint16 | ~uint32 | ~uint64](sentinel error, remarks []Remark, set B) error {
	if set == 0 {
		return nil
	}
	return fmt.Errorf("%w: %s", sentinel, Names(remarks, set))
}

// Names returns the names of the set bits, joined by commas, in the order of
// the remarks. Bits beyond them are left out.
func Names[B ~uint8 | ~uint16 | ~uint32 | ~uint64](remarks []Remark, set B) string {
	var b strings.Builder
	for i, r := range remarks {
		if set&(1<<i) != 0 {
			if b.Len() > 0 {
				b.WriteString(", ")
			}
			b.WriteString(r.Name)
		}
	}
	return b.String()
}

// Sentences returns the sentences of the set bits, in the order of the
// remarks.
func Sentences[B ~uint8 | ~uint16 | ~uint32 | ~uint64](remarks []Remark, set B) []string {
	var out []string
	for i, r := range remarks {
		if set&(1<<i) != 0 {
			out = append(out, r.Sentence)
		}
	}
	return out
}

// Remarks returns the set bits as data, the most pressing first; prefix is the first part
// of their codes.
func Remarks[B ~uint8 | ~uint16 | ~uint32 | ~uint64](prefix string, remarks []Remark, set B) []units.Remark {
	var out []units.Remark
	for i, r := range remarks {
		if set&(1<<i) != 0 {
			code := prefix + "." + r.Name
			rank, subject := words.Rank(code)
			one := units.Remark{Code: code, Text: r.Sentence, Rank: rank}
			_ = one.Subject.UnmarshalText([]byte(subject)) // the file's subjects are held by a test
			out = append(out, one)
		}
	}
	return units.SortRemarks(out)
}

// Said returns sentences as data, in their order, with the codes, ranks and subjects that they
// have in the file of words.
func Said(sentences ...string) []units.Remark {
	out := make([]units.Remark, len(sentences))
	for i, s := range sentences {
		code := words.Code(s)
		rank, subject := words.Rank(code)
		out[i] = units.Remark{Code: code, Text: s, Rank: rank}
		_ = out[i].Subject.UnmarshalText([]byte(subject)) // the file's subjects are held by a test
	}
	return out
}

// Parse sets the bits of names joined by commas; if one is unknown, nothing
// is set and the error lists the names.
func Parse[B ~uint8 | ~uint16 | ~uint32 | ~uint64](remarks []Remark, text []byte, set *B) error {
	var out B
	for word := range strings.SplitSeq(string(text), ",") {
		word = strings.TrimSpace(word)
		if word == "" {
			continue
		}
		found := false
		for i, r := range remarks {
			if r.Name == word {
				out |= 1 << i
				found = true
			}
		}
		if !found {
			names := make([]string, len(remarks))
			for i, r := range remarks {
				names[i] = r.Name
			}
			return units.NewFieldError("", clip(word), OneOf, units.Param{Name: "choices", Text: strings.Join(names, ", ")})
		}
	}
	*set = out
	return nil
}

// clip shortens a text for an error.
func clip(text string) string {
	if len(text) > 40 {
		return strings.ToValidUTF8(text[:40], "") + "..."
	}
	return text
}
