package units

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
)

func TestFieldErrors(t *testing.T) {
	var part FieldErrors
	if part.Err() != nil || part.Len() != 0 {
		t.Error("the zero value has errors")
	}
	part.Add("mass", Mass(-2), "must be positive")
	part.Add("[2]", nil, "is missing")
	var whole FieldErrors
	whole.Join("pieces", nil)
	whole.Join(Index("pieces", 2), part.Err())
	whole.Join("loader", &FieldError{Path: "arm", Want: "must be positive"})
	whole.Join("file", errors.New("cannot be read"))
	err := whole.Err()
	want := "pieces[2].mass: -2 kg: must be positive\npieces[2][2]: is missing\nloader.arm: must be positive\nfile: cannot be read"
	if err.Error() != want || whole.Len() != 4 || !errors.Is(err, ErrInvalid) {
		t.Errorf("got %d errors:\n%v\nwant\n%s", whole.Len(), err, want)
	}
	var field *FieldError
	if !errors.As(err, &field) || field.Path != "pieces[2].mass" || field.Value != "-2 kg" {
		t.Errorf("got %#v", field)
	}
}

func TestFieldErrorsAreCapped(t *testing.T) {
	var e, outer FieldErrors
	for i := range 250 {
		e.Add(Index("x", i), i, "must be less")
	}
	if n := len(e.Err().(interface{ Unwrap() []error }).Unwrap()); n != MaxFieldErrors || e.Len() != 250 {
		t.Errorf("%d kept, %d counted", n, e.Len())
	}
	outer.Add("y", nil, "must be set")
	outer.Join("part", e.Err())
	list := outer.Err().(interface{ Unwrap() []error }).Unwrap()
	if len(list) != MaxFieldErrors || outer.Len() != 251 || !strings.HasSuffix(outer.Err().Error(), fmt.Sprintf("\nand %d more", 251-MaxFieldErrors)) {
		t.Errorf("%d kept, %d counted", len(list), outer.Len())
	}
}

func TestPaths(t *testing.T) {
	for _, c := range []struct{ part, field, want string }{
		{"", "", ""}, {"a", "", "a"}, {"", "b", "b"}, {"a", "b", "a.b"}, {"a", "[1]", "a[1]"}, {"a", "[1].b", "a[1].b"},
	} {
		if got := JoinPath(c.part, c.field); got != c.want {
			t.Errorf("JoinPath(%q, %q) is %q", c.part, c.field, got)
		}
	}
	for _, c := range []struct {
		err  FieldError
		want string
	}{
		{FieldError{"a", "b", "c"}, "a: b: c"}, {FieldError{"a", "", "c"}, "a: c"}, {FieldError{"", "b", "c"}, "b: c"}, {FieldError{"", "", "c"}, "c"},
	} {
		if got := c.err.Error(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestBands(t *testing.T) {
	r := Range[Mass]{Low: 10, High: 20}
	i := Interval[Mass]{Low: 10, High: 20, Level: 0.95}
	for _, c := range []struct {
		m  Mass
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
	var inner, out FieldErrors
	inner.Add("lift.height", "9 m", "must be less")
	inner.Add("lift", nil, "must be given")
	inner.Add("lifted", nil, "is another field")
	inner.Add("heights[2]", nil, "must be less")
	inner.Add("machine.mass", nil, "must be given")
	out.JoinCall(inner.Err(), "setup", map[string]string{"lift": "lifts[3]", "heights": "rows"})
	out.JoinCall(errors.New("no field"), "setup", nil)
	out.JoinText("tire", inner.Err())
	var got []string
	for _, f := range Fields(out.Err()) {
		got = append(got, f.Path)
	}
	want := []string{"lifts[3].height", "lifts[3]", "setup.lifted", "rows[2]", "setup.machine.mass", "setup", "tire", "tire", "tire", "tire", "tire"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if f := Fields(out.Err())[6]; f.Value != "9 m" || f.Want != "lift.height must be less" {
		t.Errorf("%+v", f)
	}
	if Fields(nil) != nil || Fields(errors.New("no field")) != nil {
		t.Error("fields of what has none")
	}
}
