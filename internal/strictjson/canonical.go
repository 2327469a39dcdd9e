package strictjson

import (
	"math"
	"slices"
	"strconv"
	"unicode/utf16"
	"unicode/utf8"

	"example.com/steelyard/units"
)

// Canonical appends a JSON value in the canonical form of RFC 8785: without space, members
// in the order of the UTF-16 code units of their keys, numbers and strings as ECMAScript
// writes them. A number beyond the range of a double and a repeated key are errors.
func (v *Value) Canonical(b []byte) ([]byte, error) {
	switch v.Kind {
	case Null:
		return append(b, "null"...), nil
	case Bool:
		return append(b, v.Text...), nil
	case Number:
		n, err := strconv.ParseFloat(v.Text, 64)
		if err != nil || math.IsInf(n, 0) {
			return nil, units.NewFieldError("", clip(v.Text), "must be a number")
		}
		return AppendNumber(b, n), nil
	case String:
		return AppendString(b, v.Text), nil
	case List:
		b = append(b, '[')
		for i := range v.Items {
			if i > 0 {
				b = append(b, ',')
			}
			var err error
			if b, err = v.Items[i].Canonical(b); err != nil {
				return nil, at(units.Index("", i), err)
			}
		}
		return append(b, ']'), nil
	}
	order := make([]int, len(v.Items))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return byUnits(v.Items[i].Key, v.Items[j].Key) })
	b = append(b, '{')
	for n, i := range order {
		if n > 0 {
			if v.Items[order[n-1]].Key == v.Items[i].Key {
				return nil, units.NewFieldError(clip(v.Items[i].Key), nil, "duplicate key")
			}
			b = append(b, ',')
		}
		b = append(AppendString(b, v.Items[i].Key), ':')
		var err error
		if b, err = v.Items[i].Canonical(b); err != nil {
			return nil, at(clip(v.Items[i].Key), err)
		}
	}
	return append(b, '}'), nil
}

// at puts the path of a part before that of an error.
func at(path string, err error) error {
	var e units.FieldErrors
	e.Join(path, err)
	return units.Fields(e.Err())[0]
}

// byUnits compares strings by their UTF-16 code units.
func byUnits(a, b string) int {
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	if i == len(a) || i == len(b) {
		return len(a) - len(b)
	}
	for i > 0 && !utf8.RuneStart(a[i]) {
		i--
	}
	x, _ := utf8.DecodeRuneInString(a[i:])
	y, _ := utf8.DecodeRuneInString(b[i:])
	first := func(r rune) rune {
		if r >= 0x10000 {
			r, _ = utf16.EncodeRune(r)
		}
		return r
	}
	if p, q := first(x), first(y); p != q {
		return int(p - q)
	}
	return int(x - y)
}
