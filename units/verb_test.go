package units_test

import (
	"flag"
	"fmt"
	"io"
	"strings"
	"testing"

	"example.com/steelyard/units"
)

// The verbs do with the number what they do with a float64, and the unit
// follows.
func TestVerbs(t *testing.T) {
	l := units.Length(0.61)
	for _, c := range []struct {
		format string
		value  any
		want   string
	}{
		{"%v", l, "0.61 m"}, {"%s", l, "0.61 m"}, {"%q", l, `"0.61 m"`}, {"%+v", l, "+0.61 m"}, {"%#v", l, "units.Length(0.61)"},
		{"%.1f", l, "0.6 m"}, {"%f", l, "0.610000 m"}, {"%F", l, "0.610000 m"}, {"%+.2f", l, "+0.61 m"}, {"% .2f", l, " 0.61 m"}, {"%.2e", l, "6.10e-01 m"}, {"%E", l, "6.100000E-01 m"},
		{"%g", l, "0.61 m"}, {"%.1g", l, "0.6 m"}, {"%G", units.Length(1e-7), "1E-07 m"}, {"%.3v", units.Length(1.23456), "1.23 m"},
		{"%10v|", l, "    0.61 m|"}, {"%-10v|", l, "0.61 m    |"}, {"%10.1f|", l, "     0.6 m|"}, {"%3v", l, "0.61 m"}, {"%12q|", l, `    "0.61 m"|`},
		{"%d", l, "%!d(units.Length=0.61 m)"}, {"%x", l, "%!x(units.Length=0.61 m)"},
		{"%v", units.Fraction(0.25), "0.25"}, {"%v", units.Length(1e21), "1e+21 m"}, {"%v", units.Length(-1e-7), "-1e-07 m"}, {"%v", []units.Length{1, 2}, "[1 m 2 m]"},
		{"%v", units.GaugePressure(160000), "160000 Pa gauge"}, {"%v", units.Range[units.Mass]{1, 2}, "{1 kg 2 kg}"},
	} {
		if got := fmt.Sprintf(c.format, c.value); got != c.want {
			t.Errorf("%s: got %q, want %q", c.format, got, c.want)
		}
	}
}

// A quantity is a flag through flag.TextVar.
func TestFlag(t *testing.T) {
	set := flag.NewFlagSet("", flag.ContinueOnError)
	set.SetOutput(io.Discard)
	var height units.Length
	set.TextVar(&height, "height", 36*units.Inch, "how high to lift")
	if err := set.Parse([]string{"-height", "5 ft 3 in"}); err != nil || height != 63*units.Inch {
		t.Errorf("%v, %v", height, err)
	}
	if err := set.Parse([]string{"-height", "5 lb"}); err == nil || !strings.Contains(err.Error(), "unit of a mass") || height != 63*units.Inch {
		t.Errorf("%v, %v", height, err)
	}
}
