package main

import (
	"encoding/json"
	"net/http"

	"example.com/steelyard/examples/internal/visible"
	"example.com/steelyard/units"
)

// problem is an error in the form of RFC 9457. Its type is "about:blank", because the status
// says all that a type would.
type problem struct {
	Type   string `json:"type"`
	Title  string `json:"title"`
	Status int    `json:"status"`
	Detail string `json:"detail,omitempty"`
	// Errors names every bad field of the body.
	Errors []fieldProblem `json:"errors,omitempty"`
}

// fieldProblem says which field of a body is bad, what its value was, and what would be
// accepted.
type fieldProblem struct {
	Path  string `json:"path"`
	Value string `json:"value,omitempty"`
	Want  string `json:"want"`
	// Code is the stable code of Want, for a program that has the text in another language.
	Code string `json:"code,omitempty"`
	// Params are the values in Want.
	Params []fieldParam `json:"params,omitempty"`
}

// fieldParam is one value in what would be accepted.
type fieldParam struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// maxValue is the number of bytes of a bad value that a problem repeats.
const maxValue = 100

// newProblem returns the problem of a status.
func newProblem(status int, detail string) *problem {
	return &problem{Type: "about:blank", Title: http.StatusText(status), Status: status, Detail: detail}
}

// invalid returns the problem of a body that the library refuses.
func invalid(err error) *problem {
	p := newProblem(http.StatusUnprocessableEntity, "the body has fields that must be corrected")
	for _, f := range units.Fields(err) {
		one := fieldProblem{Path: f.Path, Value: visible.Clip(f.Value, maxValue), Want: f.Want, Code: f.Code}
		for _, v := range f.Params {
			one.Params = append(one.Params, fieldParam{v.Name, visible.Clip(v.Text, maxValue)})
		}
		p.Errors = append(p.Errors, one)
	}
	if len(p.Errors) == 0 {
		p.Detail = err.Error()
	}
	return p
}

func (p *problem) write(w http.ResponseWriter) {
	writeJSON(w, p.Status, "application/problem+json", p)
}

// writeJSON answers with a value. It marshals the value first, so that the answer is complete
// or is a problem. It escapes hidden characters in names, because an answer may be shown on a
// terminal.
func writeJSON(w http.ResponseWriter, status int, contentType string, v any) {
	body, err := json.Marshal(v)
	if err != nil {
		status, contentType = http.StatusInternalServerError, "application/problem+json"
		body, _ = json.Marshal(newProblem(status, "the answer cannot be written as JSON"))
	}
	h := w.Header()
	h.Set("Content-Type", contentType)
	h.Set("Cache-Control", "no-store")
	h.Set("X-Content-Type-Options", "nosniff")
	w.WriteHeader(status)
	w.Write(append(visible.JSON(body), '\n'))
}
