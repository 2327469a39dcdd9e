package choice

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/units"
)

type fruit uint8

var fruits = []string{"", "apple", "pear"}

func TestChoice(t *testing.T) {
	for k := range fruit(3) {
		text, err := Marshal(fruits, k)
		if err != nil || string(text) != Name("fruit", fruits, k) {
			t.Errorf("%d: %q, %v", k, text, err)
		}
		back := fruit(9)
		if err := Unmarshal(fruits, text, &back); err != nil || back != k {
			t.Errorf("%q read back as %d, %v", text, back, err)
		}
	}
	if Name("fruit", fruits, fruit(7)) != "fruit(7)" || Known(fruits, fruit(7)) || !Known(fruits, fruit(2)) {
		t.Error("a choice of no name")
	}
	if _, err := Marshal(fruits, fruit(7)); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("marshal: %v", err)
	}
	k := fruit(1)
	err := Unmarshal(fruits, []byte(strings.Repeat("x", 1000)), &k)
	if k != 1 || !errors.Is(err, units.ErrInvalid) || !strings.HasSuffix(err.Error(), "must be one of apple, pear") || len(err.Error()) > 100 {
		t.Errorf("unmarshal: %d, %v", k, err)
	}
}

func TestRemarks(t *testing.T) {
	remarks := []Remark{{"first", "One."}, {"second", "Two."}, {"third", "Three."}}
	const set = uint32(0b1101) // a bit beyond the remarks
	if got := Names(remarks, set); got != "first, third" {
		t.Errorf("names %q", got)
	}
	if got := Sentences(remarks, set); !slices.Equal(got, []string{"One.", "Three."}) {
		t.Errorf("sentences %q", got)
	}
	var back uint32
	if err := Parse(remarks, []byte("first,third "), &back); err != nil || back != 0b101 {
		t.Errorf("parse: %b, %v", back, err)
	}
	if err := Parse(remarks, []byte("first, fourth"), &back); err == nil || back != 0b101 {
		t.Errorf("unknown: %b, %v", back, err)
	}
	if err := Parse(remarks, nil, &back); err != nil || back != 0 {
		t.Errorf("empty: %b, %v", back, err)
	}
}
