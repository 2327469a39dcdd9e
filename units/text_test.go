package units_test

import (
	"encoding/json"
	"errors"
	"math"
	"testing"

	"example.com/steelyard/units"
)

func TestJSONRoundTrip(t *testing.T) {
	type part struct {
		Mass units.Mass `json:"mass"`
	}
	var p part
	if err := json.Unmarshal([]byte(`{"mass":"70 lb"}`), &p); err != nil || p.Mass != 70*units.Pound {
		t.Fatalf("got %v, %v", p.Mass, err)
	}
	b, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	var back part
	if err := json.Unmarshal(b, &back); err != nil || back != p {
		t.Fatalf("%s read back as %v, %v", b, back, err)
	}
	// The value is unchanged on error.
	if err := json.Unmarshal([]byte(`{"mass":"70 N"}`), &back); !errors.Is(err, units.ErrInvalid) || back != p {
		t.Fatalf("got %v, %v", back, err)
	}
	if _, err := json.Marshal(part{units.Mass(math.NaN())}); !errors.Is(err, units.ErrInvalid) {
		t.Fatalf("NaN was written: %v", err)
	}
}
