package draw_test

import (
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/draw"
	"example.com/steelyard/examples/internal/demo"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// setup is the co-operative's tractor.
func setup(t testing.TB) ballast.Setup {
	t.Helper()
	var in struct {
		Setup ballast.Setup `json:"setup"`
	}
	if err := json.Unmarshal(demo.Rated, &in); err != nil {
		t.Fatal(err)
	}
	return in.Setup
}

func Example() {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		fmt.Println(err)
		return
	}
	svg, err := draw.Tire{Title: "rear tire", Fill: liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(12)}}.SVG()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(strings.HasPrefix(svg, "<svg"), strings.Count(svg, "<circle"))
	// Output: true 4
}

const hostile = "a\x1b\u202e</title></svg><script>alert(1)</script>&\"'\n"

// Texts of the caller are shown and not obeyed, and a picture is XML.
func TestHostileTexts(t *testing.T) {
	s := setup(t)
	m, err := draw.Machine{Title: hostile, Setup: s, Pin: 1, Scale: 1, ScaleText: hostile}.SVG()
	if err != nil {
		t.Fatal(err)
	}
	p, err := draw.Tire{Title: hostile, Valve: hostile, Fill: *s.Pieces[0].Fill}.SVG()
	if err != nil {
		t.Fatal(err)
	}
	for _, svg := range []string{m, p} {
		if strings.Contains(svg, "<script") || strings.ContainsAny(svg, "\x1b\u202e") || strings.Count(svg, "</svg>") != 1 {
			t.Error("a text is obeyed")
		}
		if err := xml.Unmarshal([]byte(svg), &struct{}{}); err != nil {
			t.Error(err)
		}
	}
}

// Wheels and arms are to scale: distances in the picture are in the ratio of the setup's own
// lengths, which are those of the input.
func TestToScale(t *testing.T) {
	s := setup(t)
	svg, err := draw.Machine{Title: "x", Setup: s, Pin: 1.42, Scale: 1, ScaleText: "1 m"}.SVG() // arms level
	if err != nil {
		t.Fatal(err)
	}
	circles := regexp.MustCompile(`<circle cx="([0-9.]+)" cy="([0-9.]+)" r="([0-9.]+)"`).FindAllStringSubmatch(svg, -1)
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	// rear wheel, its hub, front wheel, its hub, pivot, pin
	if len(circles) != 6 {
		t.Fatalf("%d circles", len(circles))
	}
	rear, front, pivot, pin := circles[0], circles[2], circles[4], circles[5]
	scale := (number(front[1]) - number(rear[1])) / 1.95 // the wheelbase
	for _, x := range []struct {
		what      string
		got, want float64
	}{
		{"rear radius", number(rear[3]), 0.58 * scale},
		{"front radius", number(front[3]), 0.37 * scale},
		{"arm", number(pin[1]) - number(pivot[1]), 2.30 * scale},
		{"level", number(pin[2]) - number(pivot[2]), 0},
		{"pivot", number(pivot[1]) - number(rear[1]), 1.15 * scale},
	} {
		if d := x.got - x.want; d > 0.05 || d < -0.05 { // coordinates have two decimals
			t.Errorf("%s: %v, want %v", x.what, x.got, x.want)
		}
	}
}

// What cannot be drawn is named by its path.
func TestUnknown(t *testing.T) {
	s := setup(t)
	l := *s.Loader
	l.Pivot.Z, l.Arm = units.Input[units.Length]{}, units.Input[units.Length]{}
	s.Loader = &l
	_, err := draw.Machine{Setup: s, Pin: 1}.SVG()
	if !errors.Is(err, units.ErrInvalid) || !strings.Contains(err.Error(), "setup.loader.pivot.z") || !strings.Contains(err.Error(), "setup.loader.arm") {
		t.Errorf("%v", err)
	}
	if _, err := (draw.Machine{Setup: setup(t), Pin: 9}).SVG(); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("a pin out of reach: %v", err)
	}
	if _, err := (draw.Machine{}).SVG(); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("nothing: %v", err)
	}
	if _, err := (draw.Tire{}).SVG(); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("no tire: %v", err)
	}
}

// Whatever the lengths are, there is a picture without NaN or an error, and no panic.
func FuzzMachine(f *testing.F) {
	f.Add(1.95, 1.15, 1.42, 2.3, 0.14, 0.55, 0.5, -1.25, 0.6, 1.0, 430.0, 700.0, uint8(2))
	f.Add(0.0, -5.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, -1.0, 0.0, uint8(3))
	base := setup(f)
	f.Fuzz(func(t *testing.T, wheelbase, px, pz, arm, face, center, above, hx, hz, pin, asked, low float64, kind uint8) {
		s := base
		l, a := *s.Loader, *s.Attachment
		is := func(v float64) units.Input[units.Length] { return units.Is(units.Length(v)) }
		s.Machine.Wheelbase, l.Pivot.X, l.Pivot.Z, l.Arm, a.Face = is(wheelbase), is(px), is(pz), is(arm), is(face)
		a.Kind = ballast.AttachmentKind(kind % 5)
		s.Loader, s.Attachment = &l, &a
		box := s.Pieces[1]
		box.CG.X, box.CG.Z = is(hx), is(hz)
		s.Pieces = []ballast.Piece{box}
		svg, err := draw.Machine{Setup: s, Pin: units.Length(pin), Load: ballast.Load{Center: is(center), Above: is(above)},
			Bar: &draw.Bar{Asked: units.Mass(asked), Low: units.Mass(low)}}.SVG()
		if err != nil {
			return
		}
		if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") || len(svg) > 1<<20 {
			t.Errorf("not a picture: %.200s", svg)
		}
	})
}
