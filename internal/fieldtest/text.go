package fieldtest

import (
	"encoding"
	"errors"
	"math/bits"
	"reflect"
	"testing"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/units"
)

// FuzzTexts reads any text as each choice and set of remarks that fresh returns. A text that
// is accepted must be written in a form that reads back as the same.
func FuzzTexts(f *testing.F, fresh func() []encoding.TextUnmarshaler, seeds ...string) {
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		again := fresh()
		for i, v := range fresh() {
			if err := v.UnmarshalText([]byte(s)); err != nil {
				if !errors.Is(err, units.ErrInvalid) {
					t.Fatalf("%T: %v", v, err)
				}
				continue
			}
			text, err := v.(encoding.TextMarshaler).MarshalText()
			if err != nil {
				t.Fatalf("%T: %q is read but not written: %v", v, s, err)
			}
			if err := again[i].UnmarshalText(text); err != nil || !reflect.DeepEqual(v, again[i]) {
				t.Fatalf("%T: %q read as %v, written %q, read as %v, %v", v, s, v, text, again[i], err)
			}
		}
	})
}

// Remarks checks that every bit of a set below its end has a name and a sentence.
func Remarks[B interface {
	~uint8 | ~uint16 | ~uint32 | ~uint64
	Lines() []string
}](t *testing.T, text []choice.Remark, end B) {
	t.Helper()
	if got, want := len(text), bits.TrailingZeros64(uint64(end)); got != want {
		t.Errorf("%T: %d have a text, %d are declared", end, got, want)
	}
	if all := end - 1; len(all.Lines()) != len(text) {
		t.Errorf("%T: %d lines for %d bits", end, len(all.Lines()), len(text))
	}
}
