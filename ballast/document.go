package ballast

import (
	"fmt"
	"io"

	"example.com/steelyard/internal/strictjson"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// DocumentVersion is the version of the JSON document that this package
// writes, and the only one it reads.
const DocumentVersion = 1

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
// There is no null. [Document.Encode] writes SI units with the
// shortest digits that are read back bit for bit.
//
// [Decode] is strict. Plain [json.Unmarshal] into a Document works and is
// lax: it takes unknown and repeated keys and null, and stops at the first
// error without its path.
type Document struct {
	// Version is DocumentVersion.
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
}

// Validate reports every bad field by its path, or nil.
func (d Document) Validate() error {
	var c units.FieldErrors
	if d.Version != DocumentVersion {
		c.Add("version", d.Version, "must be 1")
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
// UTF-8 or with a lone surrogate is an error.
func Decode(r io.Reader) (Document, error) {
	var d Document
	if err := DecodeInto(r, &d); err != nil {
		return Document{}, err
	}
	return d, nil
}

// DecodeInto reads one JSON value and nothing after it into v, a pointer to a
// struct, as strictly as [Decode] does: for files of a caller's own that hold
// this package's types. It validates v if that has a method Validate() error.
// On error v holds what could be read; a pointer that is nil, or no pointer, is
// an error.
func DecodeInto(r io.Reader, v any) error {
	data, err := io.ReadAll(io.LimitReader(r, maxDocumentSize+1))
	if err != nil {
		return fmt.Errorf("reading the document: %w", err)
	}
	return strictjson.Decode(data, v, strictjson.Limits{Size: maxDocumentSize, Depth: maxDocumentDepth, List: maxDocumentList})
}

// Encode writes the document with two spaces of indentation and a newline at
// the end. A version of zero is written as [DocumentVersion]. A document that
// is not valid is an error, and nothing is written.
func (d Document) Encode(w io.Writer) error {
	if d.Version == 0 {
		d.Version = DocumentVersion
	}
	if err := d.Validate(); err != nil {
		return err
	}
	return strictjson.Encode(w, d)
}
