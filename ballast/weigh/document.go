package weigh

import (
	"io"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/strictjson"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// DocumentVersion is the version of the JSON document that this package writes, and the only
// one it reads. It is not that of [ballast.Document].
const DocumentVersion = 1

// Document is the readings of a machine as they are stored and sent: one JSON
// object with the integer "version" at its top, [DocumentVersion]. The
// rules of its text are those of [ballast.Document].
type Document struct {
	// Version is DocumentVersion.
	Version int `json:"version"`
	// Weighing is the record. See Record.Fit.
	Weighing Record `json:"weighing"`
}

// Validate reports every bad field by its path, or nil.
func (d Document) Validate() error {
	var c units.FieldErrors
	if d.Version != DocumentVersion {
		c.Add("version", d.Version, "must be {version}", valid.Text("version", DocumentVersion))
	}
	c.Join("weighing", d.Weighing.Validate())
	return c.Err()
}

// Decode reads one document and nothing after it, as strictly as
// [ballast.Decode] does.
func Decode(r io.Reader) (Document, error) {
	var d Document
	if err := ballast.DecodeInto(r, &d); err != nil {
		return Document{}, err
	}
	return d, nil
}

// Encode writes the document with two spaces of indentation and a newline at
// the end. A version of zero is written as [DocumentVersion]. A document
// that is not valid is an error, and nothing is written.
func (d Document) Encode(w io.Writer) error {
	if d.Version == 0 {
		d.Version = DocumentVersion
	}
	if err := d.Validate(); err != nil {
		return err
	}
	return strictjson.Encode(w, d)
}
