package standards_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/steelyard/internal/validation"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	validation.Relative(t, got, want)
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.10g, want %.10g within %g", what, got, want, tol)
	}
}

// roundTrip writes an input as JSON and wants it back bit for bit.
func roundTrip[T any](t *testing.T, in T) {
	t.Helper()
	b, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	var out T
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatalf("%s: %v", b, err)
	}
	if diff := cmp.Diff(in, out); diff != "" {
		t.Errorf("%s reads back otherwise (-wrote +read):\n%s", b, diff)
	}
}

// finiteAnswer fails on a number in an answer that is none.
func finiteAnswer(t *testing.T, in any, values ...float64) {
	t.Helper()
	for i, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Errorf("%+v: value %d of the answer is %v", in, i, v)
		}
	}
}
