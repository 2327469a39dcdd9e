package units_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// A bound that is shown in another unit is still accepted: a low end is rounded up, a
// high end down.
func TestBoundsShownAreAccepted(t *testing.T) {
	for _, d := range []units.Display{{}, {System: units.USCustomary}, {System: units.Imperial, FeetInches: true}, {System: units.USCustomary, Precision: units.Decimals(0)}} {
		for _, r := range [][2]units.Length{{0.4, 1.33}, {0.001, 10}, {0.05, 3}, {0.16, 2.7}} {
			var c units.FieldErrors
			valid.Within(&c, "wheelbase", r[1]*2, r[0], r[1])
			e := units.Fields(c.Err())[0]
			catalog := units.English()
			catalog.Display = d
			text := catalog.Want(e)
			low, high, ok := strings.Cut(strings.TrimPrefix(text, "must be between "), " and ")
			if !ok {
				t.Fatalf("%q", text)
			}
			for _, shown := range []string{low, high} {
				v, err := units.ParseLength(shown)
				if err != nil {
					t.Fatalf("%q: %v", shown, err)
				}
				var again units.FieldErrors
				if valid.Within(&again, "wheelbase", v, r[0], r[1]); again.Len() > 0 {
					t.Errorf("%+v: %q of %q is not accepted: %v", d, shown, text, again.Err())
				}
			}
		}
	}
}

// Texts come from the catalog by code alone, with the values that the error holds.
func TestCatalog(t *testing.T) {
	german := units.German()
	if german.Language != "de" || units.English().Language != "en" {
		t.Errorf("%q, %q", german.Language, units.English().Language)
	}
	_, err := units.ParseMass("70 lbf")
	e := units.Fields(err)[0]
	if got, want := german.Want(e), `"lbf" ist eine Einheit der Kraft; für eine Masse „kg“ oder „lb“ schreiben`; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	_, err = units.ParseLength("7")
	if got, want := german.Want(units.Fields(err)[0]), `die Einheit fehlt; eine Länge wird geschrieben wie "24 in" (Einheiten: m, mm, cm, km, in, ft, yd, mi)`; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	var c units.FieldErrors
	valid.Within(&c, "speed", 40*units.MeterPerSecond, 0, 30*units.MeterPerSecond)
	if got, want := german.Want(units.Fields(c.Err())[0]), "muss zwischen 0 km/h und 108 km/h liegen"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	// An error keeps its code on its way up, and a text that is not the library's has none.
	var up units.FieldErrors
	up.Join("lift", c.Err())
	up.Join("other", errors.New("must be blue"))
	list := units.Fields(up.Err())
	if list[0].Path != "lift.speed" || list[0].Code == "" || len(list[0].Params) != 2 {
		t.Errorf("%+v", list[0])
	}
	if list[1].Code != "" || german.Want(list[1]) != "must be blue" {
		t.Errorf("%+v", list[1])
	}
	// A catalog from outside may lack texts: the English one stands in, and Missing says so.
	own := units.Catalog{Language: "nl", Texts: map[string]string{list[0].Code: "moet tussen {low} en {high} liggen"}}
	if got := own.Want(list[0]); !strings.HasPrefix(got, "moet tussen 0") {
		t.Errorf("%q", got)
	}
	if got := own.Text("units.quantity.mass"); got != "a mass" || own.Text("no.such.code") != "no.such.code" {
		t.Errorf("%q", got)
	}
	if n := len(own.Missing()); n < 500 || n != len(units.English().Texts)-1 {
		t.Errorf("%d texts are missing", n)
	}
}

func TestPrinted(t *testing.T) {
	for _, c := range []struct {
		d    units.Display
		got  func(d units.Display) string
		want string
	}{
		{units.Display{Comma: true}, func(d units.Display) string { return units.Format(d, 1.5*units.Meter) }, "1500 mm"},
		{units.Display{Comma: true}, func(d units.Display) string { return units.Format(d, 12.25*units.Kilogram) }, "12,3 kg"},
		{units.Display{Signs: true}, func(d units.Display) string { return units.Format(d, units.Celsius(21.5)) }, "21.5\u00a0°C"},
		{units.Display{Signs: true, System: units.USCustomary}, func(d units.Display) string { return units.Format(d, units.Celsius(-5)) }, "23.0\u00a0°F"},
		{units.Display{Signs: true, Comma: true}, func(d units.Display) string { return units.Format(d, 8.25*units.Degree) }, "8,25°"},
		{units.Display{Signs: true}, func(d units.Display) string { return units.Format(d, units.Inertia(850)) }, "850 kg m²"},
		{units.Display{Signs: true, System: units.USCustomary}, func(d units.Display) string { return units.Format(d, units.SecondMomentOfArea(1e-6)) }, "2.40 in⁴"},
	} {
		if got := c.got(c.d); got != c.want {
			t.Errorf("%+v: %q, want %q", c.d, got, c.want)
		}
	}
}

func TestSortRemarks(t *testing.T) {
	list := units.SortRemarks([]units.Remark{{"c", "third", 2, units.SubjectTires}, {"a", "first", 1, units.SubjectLifting}, {"b", "second", 2, units.SubjectSlopes}, {"x.a", "first", 3, units.SubjectGeneral}})
	got := ""
	for _, r := range list {
		got += r.Code
	}
	if got != "abc" {
		t.Errorf("%s: %+v", got, list)
	}
	for s := units.SubjectGeneral; s <= units.SubjectWeighing; s++ {
		var back units.Subject
		b, err := s.MarshalText()
		if err != nil || back.UnmarshalText(b) != nil || back != s || s.String() != string(b) {
			t.Errorf("%v: %v", s, err)
		}
	}
	if _, err := units.Subject(99).MarshalText(); err == nil || new(units.Subject).UnmarshalText([]byte("x")) == nil {
		t.Error("no error for a subject outside the list")
	}
}

// A form shows an error beside its field in the reader's language and units, by its code
// and its values.
func ExampleCatalog() {
	catalog := units.German()
	var c units.FieldErrors
	valid.Within(&c, "wheelbase", 72*units.Meter, 0.5*units.Meter, 10*units.Meter)
	for _, e := range units.Fields(c.Err()) {
		fmt.Println(e.Path, e.Code)
		fmt.Println(catalog.Want(e))
	}
	catalog.Display.System = units.USCustomary
	fmt.Println(catalog.Want(units.Fields(c.Err())[0]))
	// Output:
	// wheelbase want.betweenLowHigh
	// muss zwischen 500 mm und 10,0 m liegen
	// muss zwischen 19,7 in und 32,8 ft liegen
}

// TestSortRemarksKeepsTheMorePressing: of two remarks that say the same the lower rank stays,
// and remarks known by their codes alone all stay.
func TestSortRemarksKeepsTheMorePressing(t *testing.T) {
	got := units.SortRemarks([]units.Remark{{Code: "a", Text: "t", Rank: 3}, {Code: "b", Text: "t", Rank: 1}, {Code: "c", Rank: 2}, {Code: "d", Rank: 2}})
	if len(got) != 3 || got[0].Code != "b" {
		t.Errorf("%+v", got)
	}
}
