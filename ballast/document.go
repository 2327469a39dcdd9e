package ballast

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strconv"

	"example.com/steelyard/internal/strictjson"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// DocumentVersion is the version of the JSON document that this package
// writes. It reads documents of every version from 1 up to this one.
const DocumentVersion = 2

// Limits of a document that [Decode] reads.
const (
	// maxDocumentSize is the greatest size of a document in bytes.
	maxDocumentSize = 1 << 20
	// maxDocumentDepth is how deep objects and lists may nest.
	maxDocumentDepth = 32
	// maxDocumentList is how many entries a list may have.
	maxDocumentList = 10000
)

// Document is a setup with its questions, as it is stored and sent: one JSON
// object with the integer "version" at its top.
//
// The schema is that of the Go types: an object for each struct, its keys the
// JSON names of the fields in their own documentation. A quantity is a string
// with its unit, such as "24 in" or "1.5 m", and a fraction is one too,
// without unit or in percent: "0.2" or "20 %"; a choice is a string such as
// "forks". An input is a string as well, or an object with low and high, or
// "none"; left out, it is unknown, and a zero that is written is a known one.
// Any other field that is left out is zero, and what zero means is said at each
// field; where that is "not given", a zero that is written is an error.
// There is no null. [Document.Encode] writes a quantity as it was entered, or else in SI
// units with the shortest digits that are read back bit for bit.
//
// A document of an older version is read through the steps from each version to the next,
// and Renewed says what they did. In a document of this version an old name is an error
// that tells the new one.
//
// [Decode] is strict. Plain [json.Unmarshal] into a Document works and is
// lax: it takes unknown and repeated keys and null, and stops at the first
// error without its path.
type Document struct {
	// Version is DocumentVersion, also of a document that was read in an older version.
	Version int `json:"version"`
	// Setup is the machine with loader, attachment and ballast.
	Setup Setup `json:"setup"`
	// Practice holds ranges for what the setup leaves out, in place of the usual
	// ones; nil is the usual practice.
	Practice *Practice `json:"practice,omitempty"`
	// Lifts are load cases to ask about, at most 1000.
	Lifts []Lift `json:"lifts,omitempty"`
	// Travels are ways over an obstacle to ask about, at most 100.
	Travels []Travel `json:"travels,omitempty"`
	// Needs is what a plan must meet; nil is no plan. See the function Plan.
	Needs *Needs `json:"needs,omitempty"`
	// Stock is what a plan may choose from; it must be given with Needs.
	Stock *Stock `json:"stock,omitempty"`
	// Transport is a road or field transport to check; nil is none.
	Transport *Transport `json:"transport,omitempty"`
	// Entered holds texts of quantities and tire designations as they were entered, by path: "76 3/4 in" at
	// "setup.machine.wheelbase". Decode keeps every one that is not as Encode would write it.
	// Encode writes it where it still says the same value, to the bit, and SI where it does
	// not; a program may put the texts of a form here. It has no part in any answer. A text
	// belongs to a place: see [MoveEntered] where entries of a list change theirs.
	Entered map[string]string `json:"-"`
	// Renewed is what the steps from an older version changed when the document was read.
	Renewed []Renewal `json:"-"`
}

// Validate reports every bad field by its path, or nil.
func (d Document) Validate() error {
	var c units.FieldErrors
	if d.Version != DocumentVersion {
		c.Add("version", d.Version, "must be {version}", versionParam())
	}
	c.Join("setup", d.Setup.Validate())
	if d.Practice != nil {
		c.Join("practice", d.Practice.Validate())
	}
	if len(d.Lifts) > 1000 {
		c.Add("lifts", len(d.Lifts), "must have at most 1000 entries")
	} else {
		for i, l := range d.Lifts {
			valid.JoinAt(&c, "lifts", i, l.Validate())
		}
	}
	if len(d.Travels) > 100 {
		c.Add("travels", len(d.Travels), "must have at most 100 entries")
	} else {
		for i, t := range d.Travels {
			valid.JoinAt(&c, "travels", i, t.Validate())
		}
	}
	if d.Needs != nil {
		c.Join("needs", d.Needs.Validate())
	}
	if d.Stock != nil {
		c.Join("stock", d.Stock.Validate())
	}
	switch {
	case d.Needs != nil && d.Stock == nil:
		c.Add("stock", nil, "must be given with needs; empty if there is nothing to choose from")
	case d.Needs == nil && d.Stock != nil:
		c.Add("needs", nil, "must be given with stock")
	}
	if d.Transport != nil {
		c.Join("transport", d.Transport.Validate())
	}
	return c.Err()
}

// Envelope compiles what the document's setup leaves open, with its practice: see
// [Setup.Envelope].
func (d Document) Envelope() (*Envelope, error) {
	var c units.FieldErrors
	var p Practice
	if d.Practice != nil {
		p = *d.Practice
	}
	e, err := d.Setup.Envelope(p)
	c.JoinCall(err, "setup", map[string]string{"practice": "practice"})
	return e, c.Err()
}

// Decode reads one document and nothing after it, and validates it. Unknown
// and repeated keys, wrong types, null, bad text, a written zero where zero
// says "not given", and trailing data are errors by their JSON path, all of
// them at once with those of [Document.Validate], up to
// [units.MaxFieldErrors]; only where the text is no JSON does it stop at the
// first, which then names the place. A document too large, too deep, not in
// UTF-8 or with a lone surrogate is an error. So is one of a later version than
// [DocumentVersion].
func Decode(r io.Reader) (Document, error) {
	var d Document
	if err := DecodeInto(r, &d); err != nil {
		return Document{}, err
	}
	return d, nil
}

// DecodeInto reads one JSON value and nothing after it into v, a pointer to a
// struct, as strictly as [Decode] does: for files of a caller's own that hold
// this package's types. A [Document] in it may be of an older version. It validates v if
// that has a method Validate() error.
// On error v holds what could be read; a pointer that is nil, or no pointer, is
// an error.
func DecodeInto(r io.Reader, v any) error {
	data, err := io.ReadAll(io.LimitReader(r, maxDocumentSize+1))
	if err != nil {
		return fmt.Errorf("reading the document: %w", err)
	}
	limits := strictjson.Limits{Size: maxDocumentSize, Depth: maxDocumentDepth, List: maxDocumentList}
	text, err := strictjson.Parse(data, limits)
	if err != nil {
		return err
	}
	if _, ok := v.(*Document); ok {
		if n, ok := versionOf(&text); ok && n > DocumentVersion {
			return units.NewFieldError("version", n, "must be at most {version}: a later version of the library wrote this document", versionParam())
		}
	}
	return strictjson.Fill(&text, v, strictjson.Options{Limits: limits, Type: reflect.TypeFor[Document](), Open: openDocument})
}

// openDocument readies the text of a document to be read.
func openDocument(text *strictjson.Value, target any) strictjson.Scope {
	d := target.(*Document)
	version, _ := versionOf(text)
	d.Renewed = renew(text)
	numbers := takeMember(text, numbersKey)
	scope := strictjson.Scope{Names: presentName, Entered: func(path, text string) {
		if d.Entered == nil {
			d.Entered = map[string]string{}
		}
		d.Entered[path] = text
	}}
	scope.Close = func() error {
		if version == 1 {
			d.unheld()
		}
		if numbers != nil {
			return checkNumbers(numbers, *d)
		}
		return nil
	}
	return scope
}

// Encode writes the document with two spaces of indentation and a newline at
// the end; see [Encoding.Encode].
func (d Document) Encode(w io.Writer) error { return Encoding{}.Encode(w, d) }

// An Encoding says how a document is written. The zero value is how people read it.
type Encoding struct {
	// SI writes every quantity in SI, also where Document.Entered has a text for it.
	SI bool
	// Numbers adds the member "numbers" at the end of the document: the number in SI of
	// every quantity by its path, as in "setup.machine.wheelbase": 1.94945, for a database.
	// Decode takes it and holds it to the texts, which alone count.
	Numbers bool
}

// Encode writes a document with two spaces of indentation and a newline at
// the end. A version of zero is written as [DocumentVersion]. A document that
// is not valid is an error, and nothing is written.
func (e Encoding) Encode(w io.Writer, d Document) error {
	text, err := e.appendDocument(d)
	if err != nil {
		return err
	}
	_, err = w.Write(strictjson.Indent(text))
	return err
}

// appendDocument returns the text of a document without space.
func (e Encoding) appendDocument(d Document) ([]byte, error) {
	if d.Version == 0 {
		d.Version = DocumentVersion
	}
	if err := d.Validate(); err != nil {
		return nil, err
	}
	var encoder strictjson.Encoder
	if !e.SI {
		encoder.Entered = d.Entered
	}
	var numbers []byte
	if e.Numbers {
		encoder.Number = func(path, number, _ string) {
			numbers = append(append(strictjson.AppendString(append(numbers, ','), path), ':'), number...)
		}
	}
	b, err := encoder.Append(make([]byte, 0, 8192), d)
	if err != nil || len(numbers) == 0 {
		return b, err
	}
	b = strictjson.AppendString(append(b[:len(b)-1], ','), numbersKey)
	b = append(append(b, ":{"...), numbers[1:]...)
	return append(b, "}}"...), nil
}

// numbersKey is the member that holds numbers beside the texts.
const numbersKey = "numbers"

// takeMember removes a member of an object and returns it; nil if there is none.
func takeMember(text *strictjson.Value, key string) *strictjson.Value {
	for i := range text.Items {
		if text.Items[i].Key == key {
			v := text.Items[i]
			text.Items = slices.Delete(text.Items, i, i+1)
			return &v
		}
	}
	return nil
}

// checkNumbers holds the numbers beside the texts to them.
func checkNumbers(numbers *strictjson.Value, d Document) error {
	var c units.FieldErrors
	if numbers.Kind != strictjson.Object {
		c.Add(numbersKey, nil, "must be an object")
		return c.Err()
	}
	is := map[string]string{}
	list, err := d.numbers()
	if err != nil {
		return nil // what is wrong with the document is told elsewhere
	}
	for _, n := range list {
		is[n.Path] = n.text
	}
	for i := range numbers.Items {
		n := &numbers.Items[i]
		at := units.JoinPath(numbersKey, n.Key)
		want, ok := is[n.Key]
		v, err := strconv.ParseFloat(n.Text, 64)
		switch {
		case !ok:
			c.Add(at, nil, "must be left out: no quantity has this path")
		case n.Kind != strictjson.Number || err != nil || string(strictjson.AppendNumber(nil, v)) != want:
			c.Add(at, n.Text, "must be {number}, which the text says; leave it out if it is not needed", units.Param{Name: "number", Text: want})
		}
	}
	return c.Err()
}

// A Number is a quantity of a document as a plain number, for a table of a database.
type Number struct {
	// Path is where the quantity stands, such as "setup.machine.wheelbase"; the ends of a
	// range are at "low" and "high" of its path.
	Path string
	// Value is the quantity in its SI unit, and the degree Celsius for a temperature.
	Value float64
	// Unit is that unit as the texts write it, such as "m"; "" of a share.
	Unit string

	text string
}

// Numbers returns every quantity of the document as a number, in the order in which Encode
// writes them. A document that is not valid is an error.
func (d Document) Numbers() ([]Number, error) {
	if d.Version == 0 {
		d.Version = DocumentVersion
	}
	if err := d.Validate(); err != nil {
		return nil, err
	}
	return d.numbers()
}

func (d Document) numbers() (list []Number, err error) {
	encoder := strictjson.Encoder{Number: func(path, number, unit string) {
		v, _ := strconv.ParseFloat(number, 64)
		list = append(list, Number{Path: path, Value: v, Unit: unit, text: number})
	}}
	_, err = encoder.Append(nil, d)
	return list, err
}

// Canonical returns the one text of all documents that say the same: in SI, without what
// was entered, in the canonical form of RFC 8785 (JSON Canonicalization Scheme). Two
// documents have the same one exactly if every field is the same, quantities to the bit.
//
// The RFC is kept in full for JSON: order of members, escapes, plain numbers. It says nothing
// of what a string means, so that it would tell "24 in" from "0.6096 m"; here each quantity
// is first written in SI with the fewest digits that are read back as the same value, and is a string with its
// unit, also of a document whose numbers were added. Minus zero is 0 as a plain number and
// "-0 m" as a quantity. The form is that of [DocumentVersion]: a later version of
// the document may have another. A document that is not valid is an error.
func (d Document) Canonical() ([]byte, error) {
	text, err := Encoding{SI: true}.appendDocument(d)
	if err != nil {
		return nil, err
	}
	v, err := strictjson.Parse(text, strictjson.Limits{Size: len(text), Depth: maxDocumentDepth, List: len(text)})
	if err != nil {
		return nil, err
	}
	return v.Canonical(make([]byte, 0, len(text)))
}

// Hash returns the SHA-256 of [Document.Canonical] as 64 hexadecimal digits: the same for
// documents that say the same, in whatever units, where the values are the same to the bit:
// "30 in" and "0.762 m" are, and "700 mm" is one bit more than "0.7 m". It is for finding
// what has changed, and no signature.
func (d Document) Hash() (string, error) {
	text, err := d.Canonical()
	if err != nil {
		return "", err
	}
	return hashOf(text), nil
}

func hashOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}
