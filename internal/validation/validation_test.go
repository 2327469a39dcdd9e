package validation

import "testing"

func TestStated(t *testing.T) {
	for _, c := range []struct {
		w    worst
		text string
	}{
		{worst{0.0123, "%"}, "0.013 %"}, {worst{0.012, "%"}, "0.012 %"}, {worst{1.5, "K"}, "1.5 K"},
		{worst{12.3, "kg"}, "13 kg"}, {worst{2e-7, "%"}, "below 0.000001 %"}, {worst{0, "%"}, "below 0.000001 %"},
	} {
		if got := c.w.String(); got != c.text || !agrees(got, c.w, true) {
			t.Errorf("%v is %q, want %q", c.w, got, c.text)
		}
	}
	for _, cell := range []string{"", "exact", "0.011 %", "0.020 %", "0.013 K", "below 0.000001 %"} {
		if agrees(cell, worst{0.0123, "%"}, true) {
			t.Errorf("%q passes for 0.0123 %%", cell)
		}
	}
	if agrees("0.1 %", worst{}, false) || !agrees("exact", worst{}, false) {
		t.Error("an exact comparison")
	}
}
