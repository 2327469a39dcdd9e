package svg

import (
	"encoding/xml"
	"io"
	"slices"
	"strings"
	"testing"
)

func TestTicks(t *testing.T) {
	if got := Ticks(0, 10, 5); !slices.Equal(got, []float64{0, 2, 4, 6, 8, 10}) {
		t.Errorf("0 to 10: %v", got)
	}
	if got := Ticks(1, 1, 5); got != nil {
		t.Errorf("empty range: %v", got)
	}
	if got := len(Ticks(-0.013, 0.987, 6)); got > 7 {
		t.Errorf("%d ticks", got)
	}
}

// Whatever the text, the picture is well-formed XML.
func TestWellFormed(t *testing.T) {
	p := Plot{Title: "a < b & \"c\" \x00\x1b[2J\u202e\ufffe\xff", XLabel: "\x01", YLabel: "\x02", Width: 400, Height: 300,
		Series: []Series{{Label: "<line>\x03", X: []float64{0, 1, 2}, Y: []float64{3, 1, 2}}},
		Bands:  []Band{{X: []float64{0, 2}, Low: []float64{0, 0}, High: []float64{1, 1}, Fill: "#eee"}},
		Marks:  []Mark{{X: 1, Y: 1, Label: "m\x04"}}, Vertical: []Mark{{X: 1, Label: "v\x05"}}, Labels: []Label{{Text: "\x06"}}}
	d := xml.NewDecoder(strings.NewReader(p.String()))
	for {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
}
