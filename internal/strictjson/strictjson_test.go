package strictjson

import (
	"errors"
	"strings"
	"testing"

	"example.com/steelyard/units"
)

type part struct {
	Name   string         `json:"name,omitempty"`
	Mass   units.Mass     `json:"mass,omitempty"`
	Count  int            `json:"count,omitempty"`
	Slope  units.Slope    `json:"slope,omitempty" zero:"value"`
	Height units.Length   `json:"height"`
	Factor float64        `json:"factor,omitempty"`
	Parts  []part         `json:"parts,omitempty"`
	Limit  *units.Mass    `json:"limit,omitempty"`
	Share  units.Fraction `json:"share,omitempty"`

	Arm    units.Input[units.Length] `json:"arm,omitzero"`
	Rating units.Input[units.Mass]   `json:"rating,omitzero"`
}

func (p *part) Validate() error {
	var e units.FieldErrors
	if p.Height == 0 {
		e.Add("height", nil, "must be given")
	}
	if p.Mass == 0 {
		e.Add("mass", nil, "must be given")
	}
	return e.Err()
}

var limits = Limits{Size: 1 << 16, Depth: 8, List: 100}

// Each text with every error that it gives, in order.
func TestDecode(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string
	}{
		{`{"mass": "70 kg", "height": "1 m"}`, nil},
		{`{"mass": "0 kg", "height": "1 m"}`, []string{"mass: 0 kg: must not be zero; leave the field out if the value is not given"}},
		{`{"mass": "-0 lb", "height": "1 m"}`, []string{"mass: -0 lb: must not be zero; leave the field out if the value is not given"}},
		{`{"mass": "1e-999 kg", "height": "1 m"}`, []string{"mass: "}},
		{`{"mass": "1 kg", "height": "0 ft"}`, []string{"height: 0 ft: must be given"}},
		{`{"mass": "1 kg", "height": "1 m", "slope": "0 %", "factor": 0, "count": 0, "share": "0 %", "limit": "0 kg"}`,
			[]string{"factor: 0: must not be zero", "count: 0: must not be zero", "share: 0 %: must not be zero", "limit: 0 kg: must not be zero"}},
		{`{"mass": "1 kg", "height": "1 m", "factor": 1e-400}`, []string{"factor: 1e-400: must not be zero"}},
		{`{"mass": "1 kg", "height": "1 m", "parts": [{"mass": "0 kg"}, {"count": -0}]}`, []string{"parts[0].mass: 0 kg", "parts[1].count: -0"}},
		{`{"mass": "much", "height": 3}`, []string{"mass: ", "height: 3: must be a string with its unit"}},
		{`{"mass": null}`, []string{"mass: null: must be a value, or left out", "height: must be given"}},
		{`{"mass": "1 kg", "mass": "2 kg", "height": "1 m"}`, []string{"mass: duplicate key"}},
		{`{"mass": "1 kg", "height": "1 m", "Count": 1}`, []string{"Count: unknown field; did you mean count?"}},
		{`{"mass": "1 kg", "height": "1 m", "name": "\ud83d\ude9c \\ud800"}`, nil},
		{`{"name": "\ud83d"}`, []string{`document: must have no lone surrogate, but has \ud83d at byte 10`}},
		{`{"name": "\ude9c"}`, []string{"lone surrogate"}},
		{`{"name": "\ud83dx\ude9c"}`, []string{"lone surrogate"}},
		{`{"name": "\ud83d\ud83d"}`, []string{"lone surrogate"}},
		{`{"\udc00": 1}`, []string{"lone surrogate"}},
		{`{"name": "\u0041\\\ud83d\ude9c", "mass": "1 kg", "height": "1 m"}`, nil},
		{`{"mass": "1 kg", "height": "1 m", "arm": "0 m", "rating": "none"}`, nil},
		{`{"mass": "1 kg", "height": "1 m", "arm": {"high": "3 ft", "low": "0.7 m"}}`, nil},
		{`{"mass": "1 kg", "height": "1 m", "arm": null, "rating": 3}`, []string{"arm: null: must be a value, or left out", `rating: 3: must be a string with its unit, such as "1 kg", an object with low and high, or "none"`}},
		{`{"mass": "1 kg", "height": "1 m", "arm": "short", "rating": ["none"]}`, []string{"arm: short: ", "rating: must be a string"}},
		{`{"mass": "1 kg", "height": "1 m", "arm": {}}`, []string{"arm.low: must be given", "arm.high: must be given"}},
		{`{"mass": "1 kg", "height": "1 m", "arm": {"low": 3, "high": null}}`, []string{"arm.low: 3: must be a string with its unit", "arm.high: null: must be a value"}},
		{`{"mass": "1 kg", "height": "1 m", "arm": {"low": "1 m", "high": "2 lb"}}`, []string{"arm.high: "}},
		{`{"mass": "1 kg", "height": "1 m", "arm": {"low": "1 m", "high": "2 m", "low": "1 m"}}`, []string{"arm.low: duplicate key"}},
		{`{"mass": "1 kg", "height": "1 m", "arm": {"low": "1 m", "High": "2 m"}}`, []string{"arm.High: unknown field; did you mean high?", "arm.high: must be given"}},
		{`{"mass": "1 kg", "height": "1 m", "parts": [{"rating": {"low": "2 t", "high": "900 kg"}}]}`, []string{"parts[0].rating.high: 900 kg: must be no less than low, 2000 kg"}},
		{`{"mass": "1 kg", "height": "1 m", "arm": {"low": "1 m"`, []string{"arm: must be JSON: the text ends too soon"}},
		{`{"mass": "1 kg"`, []string{"must be JSON: the text ends too soon"}},
	} {
		var p part
		err := Decode([]byte(c.text), &p, limits)
		var got []string
		var all interface{ Unwrap() []error }
		if errors.As(err, &all) {
			for _, e := range all.Unwrap() {
				got = append(got, e.Error())
			}
		}
		if len(got) != len(c.want) {
			t.Errorf("%s: %q, want %q", c.text, got, c.want)
			continue
		}
		for i := range got {
			if !strings.HasPrefix(got[i], c.want[i]) && !strings.Contains(got[i], c.want[i]) {
				t.Errorf("%s: %q, want %q", c.text, got[i], c.want[i])
			}
		}
	}
}

// What is no place to decode into is an error.
func TestDecodeTarget(t *testing.T) {
	for _, v := range []any{nil, part{}, (*part)(nil), 3, "x", new(any), map[string]int{}} {
		if err := Decode([]byte(`{"mass": "1 kg"}`), v, limits); err == nil {
			t.Errorf("%T: no error", v)
		}
	}
}

// Whatever the text, nothing panics, and what is accepted has no zero that
// says something else than was written.
func FuzzDecode(f *testing.F) {
	f.Add(`{"mass": "0 kg", "parts": [{"count": 0}]}`)
	f.Add(`{"name": "\ud83d\ude9c"}`)
	f.Add(`{"arm": {"low": "0.7 m", "high": "0.8 m"}, "rating": "none"}`)
	f.Fuzz(func(t *testing.T, text string) {
		var p part
		if err := Decode([]byte(text), &p, limits); err != nil && !errors.Is(err, units.ErrInvalid) {
			t.Errorf("%q: %v", text, err)
		}
	})
}

// A fault of the text is told by place and character, without words of another language, and
// a byte order mark is passed over.
func TestDecodeSyntax(t *testing.T) {
	for _, c := range []struct{ text, code, german string }{
		{`{"mass": 1 kg}`, "want.jsonFaultAtByteByte", "muss JSON sein: 'k' gehört nicht an Byte 12"},
		{"\ufeff" + `{"mass": 1 kg}`, "want.jsonFaultAtByteByte", "muss JSON sein: 'k' gehört nicht an Byte 15"},
		{`{"mass": "1 kg",}`, "want.jsonFaultAtByteByte", "muss JSON sein: '}' gehört nicht an Byte 17"},
		{"{\u201cmass\u201d: 1}", "want.jsonFaultAtByteByte", "muss JSON sein: '\u201c' gehört nicht an Byte 2"},
		{"{\"name\": \"a\nb\"}", "want.jsonFaultAtByteByte", `muss JSON sein: '\n' gehört nicht an Byte 12`},
		{`{"name": "\q"}`, "want.jsonFaultAtByteByte", "muss JSON sein: 'q' gehört nicht an Byte 12"},
		{`{"mass": 01}`, "want.jsonFaultAtByteByte", ""},
		{``, "want.jsonTextEndsTooSoon", "muss JSON sein: Der Text endet zu früh"},
		{"\ufeff", "want.jsonTextEndsTooSoon", ""},
		{`{"mass": `, "want.jsonTextEndsTooSoon", ""},
		{"\ufeff" + `{"name": "\ud83d"}`, "want.documentMustHaveNoLone", `Dokument: darf kein einzelnes Ersatzzeichen haben, hat aber \ud83d bei Byte 13`},
	} {
		var p part
		all := units.Fields(Decode([]byte(c.text), &p, limits))
		if len(all) != 1 || all[0].Code != c.code || c.german != "" && units.German().Want(all[0]) != c.german {
			t.Errorf("%q: %v", c.text, all)
			if len(all) > 0 {
				t.Log(units.German().Want(all[0]))
			}
		}
	}
	var p part
	if err := Decode([]byte("\ufeff"+`{"mass": "1 kg", "height": "1 m"}`), &p, limits); err != nil || p.Mass != 1 {
		t.Errorf("a byte order mark: %v", err)
	}
}
