package units_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/units"
)

func TestFieldErrors(t *testing.T) {
	var part units.FieldErrors
	if part.Err() != nil || part.Len() != 0 {
		t.Error("the zero value has errors")
	}
	part.Add("mass", units.Mass(-2), "must be positive")
	part.Add("[2]", nil, "is missing")
	var whole units.FieldErrors
	whole.Join("pieces", nil)
	whole.Join(units.Index("pieces", 2), part.Err())
	whole.Join("loader", &units.FieldError{Path: "arm", Want: "must be positive"})
	whole.Join("file", errors.New("cannot be read"))
	err := whole.Err()
	want := "pieces[2].mass: -2 kg: must be positive\npieces[2][2]: is missing\nloader.arm: must be positive\nfile: cannot be read"
	if err.Error() != want || whole.Len() != 4 || !errors.Is(err, units.ErrInvalid) {
		t.Errorf("got %d errors:\n%v\nwant\n%s", whole.Len(), err, want)
	}
	var field *units.FieldError
	if !errors.As(err, &field) || field.Path != "pieces[2].mass" || field.Value != "-2 kg" {
		t.Errorf("got %#v", field)
	}
}

func TestFieldErrorsAreCapped(t *testing.T) {
	var e, outer units.FieldErrors
	for i := range 250 {
		e.Add(units.Index("x", i), i, "must be less")
	}
	if n := len(e.Err().(interface{ Unwrap() []error }).Unwrap()); n != units.MaxFieldErrors || e.Len() != 250 {
		t.Errorf("%d kept, %d counted", n, e.Len())
	}
	outer.Add("y", nil, "must be set")
	outer.Join("part", e.Err())
	list := outer.Err().(interface{ Unwrap() []error }).Unwrap()
	if len(list) != units.MaxFieldErrors || outer.Len() != 251 || !strings.HasSuffix(outer.Err().Error(), fmt.Sprintf("\nand %d more", 251-units.MaxFieldErrors)) {
		t.Errorf("%d kept, %d counted", len(list), outer.Len())
	}
}

func TestPaths(t *testing.T) {
	for _, c := range []struct{ part, field, want string }{
		{"", "", ""}, {"a", "", "a"}, {"", "b", "b"}, {"a", "b", "a.b"}, {"a", "[1]", "a[1]"}, {"a", "[1].b", "a[1].b"},
	} {
		if got := units.JoinPath(c.part, c.field); got != c.want {
			t.Errorf("JoinPath(%q, %q) is %q", c.part, c.field, got)
		}
	}
	for _, c := range []struct {
		err  units.FieldError
		want string
	}{
		{units.FieldError{Path: "a", Value: "b", Want: "c"}, "a: b: c"}, {units.FieldError{Path: "a", Want: "c"}, "a: c"}, {units.FieldError{Value: "b", Want: "c"}, "b: c"}, {units.FieldError{Want: "c"}, "c"},
	} {
		if got := c.err.Error(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestBands(t *testing.T) {
	r := units.Range[units.Mass]{Low: 10, High: 20}
	i := units.Interval[units.Mass]{Low: 10, High: 20, Level: 0.95}
	for _, c := range []struct {
		m  units.Mass
		in bool
	}{{9.99, false}, {10, true}, {15, true}, {20, true}, {20.01, false}} {
		if r.Contains(c.m) != c.in || i.Contains(c.m) != c.in {
			t.Errorf("%v in the band: %t", c.m, r.Contains(c.m))
		}
	}
}

// Errors of a call are put where its parameters and its receiver stand, those
// of a text at the text, and all of them come out again in their order.
func TestJoinCall(t *testing.T) {
	var inner, out units.FieldErrors
	inner.Add("lift.height", "9 m", "must be less")
	inner.Add("lift", nil, "must be given")
	inner.Add("lifted", nil, "is another field")
	inner.Add("heights[2]", nil, "must be less")
	inner.Add("machine.mass", nil, "must be given")
	out.JoinCall(inner.Err(), "setup", map[string]string{"lift": "lifts[3]", "heights": "rows"})
	out.JoinCall(errors.New("no field"), "setup", nil)
	out.JoinText("tire", inner.Err())
	var got []string
	for _, f := range units.Fields(out.Err()) {
		got = append(got, f.Path)
	}
	want := []string{"lifts[3].height", "lifts[3]", "setup.lifted", "rows[2]", "setup.machine.mass", "setup", "tire", "tire", "tire", "tire", "tire"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if f := units.Fields(out.Err())[6]; f.Value != "9 m" || f.Want != "lift.height must be less" {
		t.Errorf("%+v", f)
	}
	if units.Fields(nil) != nil || units.Fields(errors.New("no field")) != nil {
		t.Error("fields of what has none")
	}
}
