package units

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
)

func TestInput(t *testing.T) {
	type row struct {
		in             Input[Length]
		value          Length
		known          bool
		low, high      Length
		ranged         bool
		unknown, none  bool
		text, document string
	}
	for _, c := range []row{
		{Input[Length]{}, 0, false, 0, 0, false, true, false, "unknown", "null"},
		{Is[Length](0.74), 0.74, true, 0.74, 0.74, true, false, false, "0.74 m", `"0.74 m"`},
		{Is[Length](0), 0, true, 0, 0, true, false, false, "0 m", `"0 m"`},
		{Between[Length](0.7, 0.8), 0, false, 0.7, 0.8, true, false, false, "0.7 m to 0.8 m", `{"low":"0.7 m","high":"0.8 m"}`},
		{Between[Length](-1, 0), 0, false, -1, 0, true, false, false, "-1 m to 0 m", `{"low":"-1 m","high":"0 m"}`},
		{Between[Length](2, 2), 2, true, 2, 2, true, false, false, "2 m", `"2 m"`},
		{None[Length](), 0, false, 0, 0, false, false, true, "none", `"none"`},
	} {
		r, ok := c.in.Range()
		if got := (row{c.in, c.in.Value(), c.in.Known(), r.Low, r.High, ok, c.in.Unknown(), c.in.Absent(), c.in.String(), c.document}); got != c {
			t.Errorf("%v, want %v", got, c)
		}
		if c.in.IsZero() != c.unknown || (c.in == Input[Length]{}) != c.unknown {
			t.Errorf("%v is the zero value: %v", c.in, c.in.IsZero())
		}
		b, err := json.Marshal(c.in)
		if err != nil || string(b) != c.document {
			t.Errorf("%v is written %s, %v, want %s", c.in, b, err, c.document)
		}
		var back Input[Length]
		if err := json.Unmarshal(b, &back); err != nil || back != c.in {
			t.Errorf("%s is read as %v, %v", b, back, err)
		}
	}
	if Between[Mass](3, 3) != Is[Mass](3) || Is[Mass](0) == (Input[Mass]{}) || Is[Mass](0) == None[Mass]() || Is[Mass](1) == Between[Mass](1, 2) {
		t.Error("inputs are equal where they say the same, and only there")
	}
	type part struct {
		Mass Input[Mass]   `json:"mass,omitzero"`
		Arm  Input[Length] `json:"arm,omitzero"`
	}
	if b, err := json.Marshal(part{Arm: Is[Length](0)}); err != nil || string(b) != `{"arm":"0 m"}` {
		t.Errorf("%s, %v", b, err)
	}
}

// What is no input is refused, and the input is left as it was.
func TestInputRefused(t *testing.T) {
	for text, want := range map[string]string{
		`3`:                             `3: must be a string with its unit, such as "1 m", an object with low and high, or "none"`,
		`true`:                          "true: must be a string",
		`[]`:                            "must be a string",
		`"3"`:                           "the unit is missing",
		`"None"`:                        "None: ",
		`"1 kg"`:                        "is a unit of a mass",
		`{}`:                            "low: must be given\nhigh: must be given",
		`{"low": "1 m"}`:                "high: must be given",
		`{"high": "1 m", "low": null}`:  "low: must be given",
		`{"low": "1 kg", "high": "1"}`:  "low: ",
		`{"low": "2 m", "high": "1 m"}`: "high: 1 m: must be no less than low, 2 m",
		`{"low": "1 m", "high": "2 m", "best": "1.5 m"}`: "must be a string",
		`{"low": 1, "high": 2}`:                          "must be a string",
	} {
		in := Is[Length](7)
		err := json.Unmarshal([]byte(text), &in)
		if !errors.Is(err, ErrInvalid) || !strings.HasPrefix(err.Error(), want) && !strings.Contains(err.Error(), want) || in != Is[Length](7) {
			t.Errorf("%s: %v, %v, want %s", text, in, err, want)
		}
	}
	if err := new(Input[Length]).UnmarshalJSON(nil); !errors.Is(err, ErrInvalid) {
		t.Errorf("no text: %v", err)
	}
	for _, in := range []Input[Length]{Is(Length(math.NaN())), Is(Length(math.Inf(1))), Between[Length](0, Length(math.Inf(1))), Between(Length(math.NaN()), 1), Between[Length](2, 1)} {
		if b, err := json.Marshal(in); err == nil {
			t.Errorf("%v is written %s", in, b)
		}
	}
	for _, null := range []Input[Mass]{{}, Is[Mass](2)} {
		in := null
		if err := json.Unmarshal([]byte("null"), &in); err != nil || in != null {
			t.Errorf("null: %v, %v", in, err)
		}
	}
}

// Whatever the text, what is read is finite, in order, and written in a form
// that is read as the same.
func FuzzInput(f *testing.F) {
	for _, s := range []string{`"0.74 m"`, `"none"`, `null`, `{"low": "0.7 m", "high": "0.8 m"}`, `{"low": "8 ft", "high": "1 m"}`, `{"low": "1 m"}`, `{}`, `"-0 in"`, `{"high":"1 m","low":"1 m"}`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var in Input[Length]
		if err := in.UnmarshalJSON([]byte(text)); err != nil {
			if !errors.Is(err, ErrInvalid) || in != (Input[Length]{}) {
				t.Fatalf("%q: %v, %v", text, in, err)
			}
			return
		}
		if r, ok := in.Range(); ok && (!(r.Low <= r.High) || math.IsInf(float64(r.Low), 0) || math.IsInf(float64(r.High), 0) || in.Known() != (r.Low == r.High)) {
			t.Fatalf("%q: %v", text, in)
		}
		b, err := json.Marshal(in)
		var back Input[Length]
		if err != nil || json.Unmarshal(b, &back) != nil || back != in {
			t.Fatalf("%q: %v, written %s, %v, read %v", text, in, b, err, back)
		}
	})
}
