package liquid

import "testing"

// The compiled form of a usual tire is small: nine polynomials, 4 kB. More
// would cost time and memory and show in nothing else.
func TestTableSize(t *testing.T) {
	for _, s := range []string{"14.9-24", "7.50-16", "31x15.50-15", "380/85R24", "800/65R32"} {
		tire, err := ParseTire(s)
		if err != nil {
			t.Fatal(err)
		}
		c, err := tire.Compile()
		if err != nil {
			t.Fatal(err)
		}
		if n := len(c.t.coef); n > 9 {
			t.Errorf("%s: %d polynomials", s, n)
		}
	}
}
