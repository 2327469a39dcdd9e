package main

import (
	"math"
	"strconv"
	"strings"

	"example.com/steelyard/examples/internal/visible"
	"example.com/steelyard/units"
)

// A refusal is why the library refused a variant, in parts that can be counted and
// grouped. The zero value says that it did not.
type refusal struct {
	// code is the stable code of what would be accepted, such as want.betweenLowHigh; of an
	// error that has none, its text.
	code string
	path string // of the field in the document
	// number is the bad value in the unit, NaN where there is none or it is no number.
	number float64
	unit   string
}

// refusedColumns are the columns of a refusal, the last ones of every table.
var refusedColumns = []string{"refused", "refused_path", "refused_number", "refused_unit"}

// maxReason bounds the texts of a refusal in a table.
const maxReason = 300

// shown returns a text in one line of limited length.
func shown(text string) string {
	return visible.Text(visible.Clip(strings.ReplaceAll(text, "\n", "; "), maxReason))
}

// reason returns the first of the reasons of a refusal; of nil, none.
func reason(err error) refusal {
	if err == nil {
		return refusal{}
	}
	fields := units.Fields(err)
	if len(fields) == 0 {
		return refusal{code: shown(err.Error()), number: nan}
	}
	f := fields[0]
	r := refusal{code: f.Code, path: shown(f.Path), number: nan}
	if r.code == "" {
		r.code = shown(f.Want)
	}
	number, unit, _ := strings.Cut(f.Value, " ")
	if v, err := strconv.ParseFloat(number, 64); err == nil && !math.IsNaN(v) {
		r.number, r.unit = v, shown(unit)
	}
	return r
}

func (r refusal) is() bool { return r.code != "" }

// String returns the refusal for a reader.
func (r refusal) String() string {
	text := r.code
	if r.path != "" {
		text = r.path + ": " + text
	}
	if !math.IsNaN(r.number) {
		text += " (" + strings.TrimSpace(short(r.number)+" "+r.unit) + ")"
	}
	return text
}
