package units_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/steelyard/units"
)

// A reader with a decimal comma writes and reads his own numbers, and what could be another
// number is refused with both.
func TestParseComma(t *testing.T) {
	comma := units.Display{Comma: true}
	for _, c := range []struct {
		text string
		want units.Length
	}{
		{"15,7 in", 15.7 * units.Inch}, {"1.234,5 in", 1234.5 * units.Inch}, {"1.234.567 mm", 1234567 * units.Millimeter}, {"1 234,5 mm", 1234.5 * units.Millimeter},
		{"0,5 m", 0.5}, {",5 m", 0.5}, {"5, m", 5}, {"24 in", 24 * units.Inch}, {"24 in.", 24 * units.Inch}, {"5 ft. 3,5 in.", 63.5 * units.Inch}, {"76 3/4 in", 76.75 * units.Inch}, {"1,5e3 mm", 1.5},
	} {
		if got, err := units.Parse[units.Length](comma, c.text); err != nil || got != c.want {
			t.Errorf("%q: %v, %v; want %v", c.text, got, err, c.want)
		}
		text, err := units.PointText[units.Length](comma, c.text)
		if got, err2 := units.ParseLength(text); err != nil || err2 != nil || got != c.want {
			t.Errorf("%q with a point is %q: %v %v", c.text, text, err, err2)
		}
	}
	for _, c := range []struct{ text, code, german string }{
		{"15.7 in", "want.writeDecimalCommaAsPoint", `das Dezimalzeichen als „,“ schreiben; ein Punkt darf nur Gruppen von drei Ziffern trennen`},
		{"1.234 in", "want.pointMayReadAsDecimal", `der Punkt kann als Dezimalpunkt gelesen werden: "1234" oder "1,234" schreiben`},
		{"1,2.3 in", "want.writeDecimalCommaAsPoint", ""},
		{"", "want.startWithNumber", ""},
	} {
		_, err := units.Parse[units.Length](comma, c.text)
		all := units.Fields(err)
		if len(all) != 1 || all[0].Code == "" || c.german != "" && (all[0].Code != c.code || units.German().Want(all[0]) != c.german) {
			t.Errorf("%q: %+v", c.text, err)
		}
	}
	_, err := units.Parse[units.Area](comma, "x")
	if want := units.German().Want(units.Fields(err)[0]); !strings.Contains(want, "12,5 in2") {
		t.Errorf("the example has a point: %s", want)
	}
	if _, err := units.Parse[units.Length](units.Display{}, "15,7 in"); err == nil {
		t.Error("a comma is read without being asked for")
	}
}

// What a display writes for people is read with the same display.
func TestParseShown(t *testing.T) {
	r := rand.New(rand.NewPCG(18, 7))
	for _, d := range []units.Display{{Comma: true}, {Comma: true, System: units.USCustomary}, {Comma: true, Signs: true, System: units.Imperial, FeetInches: true}, {Signs: true}, {System: units.USCustomary}} {
		for range 2000 {
			v := units.Length(r.Float64() * 20)
			d.Precision = units.Significant(12)
			text := units.Format(d, v)
			if got, err := units.Parse[units.Length](d, text); err != nil || float64(got-v) > 1e-9 || float64(v-got) > 1e-9 {
				t.Fatalf("%v shown as %q: %v %v", v, text, got, err)
			}
			c := units.Celsius(r.Float64()*60 - 30)
			text = units.Format(d, c)
			if got, err := units.Parse[units.Temperature](d, text); err != nil || float64(got-c) > 1e-9 || float64(c-got) > 1e-9 {
				t.Fatalf("%v shown as %q: %v %v", c, text, got, err)
			}
		}
	}
}

// With point and comma exchanged, the reader with a comma reads what the one with a point
// reads.
func FuzzParseComma(f *testing.F) {
	for _, s := range []string{"15.7 in", "1,234.5 in", "24 in.", "5 ft. 3.5 in.", ".5 m", "1,234,567 mm", "-.5m", "1:5"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, err := units.ParseLength(s)
		if err != nil || strings.ContainsAny(s, ".,") && !plainDots(s) {
			return
		}
		swap := strings.NewReplacer(".", ",", ",", ".").Replace(s)
		if got, err := units.Parse[units.Length](units.Display{Comma: true}, swap); err != nil || got != v {
			t.Errorf("%q is %v, %q is %v %v", s, v, swap, got, err)
		}
	})
}

// plainDots reports whether every point and comma of a text stands beside a digit.
func plainDots(s string) bool {
	digit := func(i int) bool { return i >= 0 && i < len(s) && s[i] >= '0' && s[i] <= '9' }
	for i := range len(s) {
		if (s[i] == '.' || s[i] == ',') && !digit(i-1) && !digit(i+1) {
			return false
		}
	}
	return true
}
