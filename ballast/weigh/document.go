package weigh

import (
	"fmt"
	"io"
	"reflect"

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
	// Entered holds texts of quantities as they were entered, by path, as that of
	// [ballast.Document] does: "76 3/4 in" at "weighing.tape[0].value". Decode keeps every
	// one that is not as Encode would write it; Encode writes it where it still says the
	// same value, to the bit. Where entries of a list change places, [ballast.MoveEntered]
	// moves their texts.
	Entered map[string]string `json:"-"`
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
	data, err := io.ReadAll(io.LimitReader(r, maxDocumentSize+1))
	if err != nil {
		return Document{}, fmt.Errorf("reading the document: %w", err)
	}
	limits := strictjson.Limits{Size: maxDocumentSize, Depth: 32, List: 10000}
	text, err := strictjson.Parse(data, limits)
	if err != nil {
		return Document{}, err
	}
	var d Document
	open := func(*strictjson.Value, any) strictjson.Scope {
		return strictjson.Scope{Entered: func(path, text string) {
			if d.Entered == nil {
				d.Entered = map[string]string{}
			}
			d.Entered[path] = text
		}}
	}
	if err := strictjson.Fill(&text, &d, strictjson.Options{Limits: limits, Type: reflect.TypeFor[Document](), Open: open}); err != nil {
		return Document{}, err
	}
	return d, nil
}

// maxDocumentSize is the greatest size of a document in bytes.
const maxDocumentSize = 1 << 20

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
	encoder := strictjson.Encoder{Entered: d.Entered}
	text, err := encoder.Append(nil, d)
	if err != nil {
		return err
	}
	_, err = w.Write(strictjson.Indent(text))
	return err
}
