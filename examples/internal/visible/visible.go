// Package visible makes text that a user typed safe to show. A name may hold characters that a
// reader never sees but a program obeys. An escape sequence can move the cursor of a terminal
// over a figure that is already there. A control character makes an SVG file invalid XML. A mark
// of writing direction shows "12" instead of "21". Each program of the examples passes what a
// user typed through this package, and nothing else cleans text.
package visible

import (
	"fmt"
	"reflect"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// Text returns s as one line without hidden characters. Tabs and line breaks
// become a blank. What a terminal or an XML reader would obey or refuse
// becomes U+FFFD, the replacement character: control characters (C0, delete
// and C1), marks of writing direction, noncharacters, and bytes that are not UTF-8. Other text
// does not change.
func Text(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case breaks(r):
			return ' '
		case hidden(r):
			return utf8.RuneError
		}
		return r
	}, s)
}

// breaks reports whether a character ends a line or moves along it.
func breaks(r rune) bool {
	return r >= '\t' && r <= '\r' || r == '\u0085' || r == '\u2028' || r == '\u2029'
}

// hidden reports whether a character acts instead of being shown. XML 1.0
// forbids some of these in any form (its section 2.2); the others are the
// controls of terminals (ECMA-48) and of writing direction (Unicode UAX 9).
func hidden(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || unicode.Is(unicode.Noncharacter_Code_Point, r)
}

// Clip returns s if it has at most max bytes. Otherwise it returns the first characters of s, at
// most max bytes, and "...". A character is kept whole or left out.
func Clip(s string, max int) string {
	if len(s) <= max {
		return s
	}
	for max > 0 && !utf8.RuneStart(s[max]) {
		max--
	}
	return s[:max] + "..."
}

// Strings passes every text within the value that v points to through [Text]: fields of
// structures and entries of lists. It does not change unexported fields and maps.
func Strings(v any) { clean(reflect.ValueOf(v)) }

func clean(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			clean(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			clean(v.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			clean(v.Index(i))
		}
	case reflect.String:
		if v.CanSet() {
			v.SetString(Text(v.String()))
		}
	}
}

// JSON returns JSON text with each hidden character written as an escape,
// such as \u009b. The value is the same, and the text is safe on a terminal.
// encoding/json escapes the C0 controls only.
func JSON(text []byte) []byte {
	out := make([]byte, 0, len(text))
	for _, r := range string(text) {
		switch {
		case r == '\n' || r == '\t' || !hidden(r) && !breaks(r):
			out = utf8.AppendRune(out, r)
		case r > 0xffff:
			high, low := utf16.EncodeRune(r)
			out = fmt.Appendf(out, `\u%04x\u%04x`, high, low)
		default:
			out = fmt.Appendf(out, `\u%04x`, r)
		}
	}
	return out
}

// formulaStart holds the characters at the start of a text that a spreadsheet takes for a
// formula, including the full-width forms of East Asian keyboards, and the mark of text.
const formulaStart = "=+-@\t\r\n'＝＋－＠"

// Cell puts the mark of text, which spreadsheets know, before a text that a spreadsheet could
// take for a formula, also if the formula follows blanks (CWE-1236).
func Cell(s string) string {
	if t := strings.TrimLeft(s, " "); t != "" && strings.IndexAny(t, formulaStart) == 0 {
		return "'" + s
	}
	return s
}
