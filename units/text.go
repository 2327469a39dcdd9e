package units

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

//go:generate go run example.com/steelyard/internal/gen/quantity -o quantity_text.go

// read is the generic core of the Parse functions.
func read[Q Quantity](k *kind, s string) (Q, error) {
	v, p := k.parse(s)
	if p.fault != okay {
		return 0, k.explain(strings.Clone(s), p)
	}
	return Q(v), nil
}

// Parse reads a quantity as a display writes it: with [Display.Comma] a comma is the decimal
// sign, and points separate groups of three digits ("15,7 in", "1.234,5 lb"); without it, it
// is the parser of the quantity, such as [ParseLength]. A text that a reader of either kind
// could take for another number is refused: "1.234 kg" beside a decimal comma, as "1,234 kg"
// is beside a decimal point. The error is a [*FieldError] that says what would be accepted.
func Parse[Q Quantity](d Display, s string) (Q, error) {
	if !d.Comma {
		return read[Q](kindOf[Q](), s)
	}
	k := kindOf[Q]()
	v, p := k.parse(swapped(s))
	if p.fault != okay {
		return 0, k.explainComma(strings.Clone(s), p)
	}
	return Q(v), nil
}

// PointText returns a text that [Parse] reads as the parser of the quantity reads it, and as
// a document holds it: "15,7 in" is "15.7 in". A text that Parse does not read is its error.
func PointText[Q Quantity](d Display, s string) (string, error) {
	if _, err := Parse[Q](d, s); err != nil {
		return "", err
	}
	if d.Comma {
		s = swapped(s)
	}
	return s, nil
}

// swapped returns a text with points and commas of its numbers in each other's place.
func swapped(s string) string {
	if len(s) > maxText || !strings.ContainsAny(s, ".,") {
		return s
	}
	b := []byte(s)
	for i, c := range b {
		if c != '.' && c != ',' || !isDigit(s, i+1) && (i == 0 || !isDigit(s, i-1)) {
			continue
		}
		b[i] = '.' + ',' - c
	}
	return string(b)
}

// explainComma is explain for a text with a decimal comma.
func (k *kind) explainComma(s string, p problem) *FieldError {
	want, params := k.want(swapped(s), p)
	switch p.fault {
	case decimalComma:
		want = `write the decimal comma as ","; a point may only separate groups of three digits`
	case ambiguousComma:
		want = "the point may be read as a decimal point: write {whole} or {decimal}"
	}
	for i, one := range params {
		switch one.Name {
		case "whole", "decimal", "example", "compound":
			params[i].Text = swapped(one.Text)
		}
	}
	return NewFieldError("", shown(s), want, params...)
}

// readText is the generic core of the UnmarshalText methods.
func readText[Q Quantity](k *kind, q *Q, text []byte) error {
	v, p := k.parse(string(text))
	if p.fault != okay {
		return k.explain(string(text), p)
	}
	*q = Q(v)
	return nil
}

// appendNumber appends v with the fewest digits that read back as v.
func appendNumber(b []byte, v float64) []byte {
	if a := math.Abs(v); a != 0 && (a < 1e-6 || a >= 1e21) {
		return strconv.AppendFloat(b, v, 'e', -1, 64)
	}
	return strconv.AppendFloat(b, v, 'f', -1, 64)
}

// appendSymbol appends the SI unit of the kind behind a number.
func (k *kind) appendSymbol(b []byte) []byte {
	if s := k.units[0].symbol; s != "" {
		b = append(b, ' ')
		b = append(b, s...)
	}
	return b
}

// text returns the default form of v.
func (k *kind) text(v float64) string {
	var buf [48]byte
	return string(k.appendSymbol(appendNumber(buf[:0], v)))
}

// appendText appends the default form of v, which must be finite.
func (k *kind) appendText(b []byte, v float64) ([]byte, error) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return b, NewFieldError("", k.text(v), "must be finite to be written as {quantity}", k.named())
	}
	return k.appendSymbol(appendNumber(b, v)), nil
}

// format implements fmt.Formatter for v.
func (k *kind) format(f fmt.State, verb rune, v float64) {
	var buf [64]byte
	b := buf[:0]
	switch verb {
	case 'v':
		if f.Flag('#') {
			b = append(b, "units."...)
			b = append(b, k.typ...)
			b = append(b, '(')
			b = strconv.AppendFloat(b, v, 'g', -1, 64)
			b = append(b, ')')
			break
		}
		fallthrough
	case 's':
		if f.Flag('+') && v >= 0 {
			b = append(b, '+')
		}
		if prec, ok := f.Precision(); ok {
			b = strconv.AppendFloat(b, v, 'g', prec, 64)
		} else {
			b = appendNumber(b, v)
		}
		b = k.appendSymbol(b)
	case 'q':
		b = strconv.AppendQuote(b, k.text(v))
	case 'e', 'E', 'f', 'F', 'g', 'G':
		prec, ok := f.Precision()
		switch {
		case ok:
		case verb == 'g' || verb == 'G':
			prec = -1
		default:
			prec = 6
		}
		if f.Flag('+') && v >= 0 {
			b = append(b, '+')
		} else if f.Flag(' ') && v >= 0 {
			b = append(b, ' ')
		}
		c := byte(verb)
		if c == 'F' {
			c = 'f'
		}
		b = k.appendSymbol(strconv.AppendFloat(b, v, c, prec, 64))
	default:
		fmt.Fprintf(f, "%%!%c(units.%s=%s)", verb, k.typ, k.text(v))
		return
	}
	width, ok := f.Width()
	pad := width - utf8.RuneCount(b)
	if !ok || pad <= 0 {
		_, _ = f.Write(b)
		return
	}
	fill := strings.Repeat(" ", pad)
	if f.Flag('-') {
		_, _ = f.Write(append(b, fill...))
		return
	}
	_, _ = f.Write(append([]byte(fill), b...))
}
