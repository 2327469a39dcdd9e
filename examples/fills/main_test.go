package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/golden"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// list runs the program on a file of the text, or on the demo for none.
func list(t *testing.T, text string, args ...string) (out, said string, err error) {
	t.Helper()
	if text != "" {
		name := filepath.Join(t.TempDir(), "tires.csv")
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		args = append(args, "-file", name)
	}
	var o, e bytes.Buffer
	err = run(args, &o, &e)
	return o.String(), e.String(), err
}

func table(t *testing.T, out string) []map[string]string {
	t.Helper()
	all, err := csv.NewReader(strings.NewReader(out)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, r := range all[1:] {
		m := map[string]string{}
		for i, h := range all[0] {
			m[h] = r[i]
		}
		rows = append(rows, m)
	}
	return rows
}

// nearly reports whether a cell is a measured volume within the 1 % that it is good to.
func nearly(cell string, want float64) bool {
	v, err := strconv.ParseFloat(cell, 64)
	return err == nil && math.Abs(v/want-1) <= 0.01
}

func TestGolden(t *testing.T) {
	for name, args := range map[string][]string{
		"metric.csv":    {"-fluid", "water", "-fluid", "calciumChloride 25 % by mass", "-valve", "12,10,8,4"},
		"customary.csv": {"-units", "usCustomary"},
	} {
		out, said, err := list(t, "", args...)
		if err == nil || !strings.Contains(err.Error(), "1 of 6 tires have no fill") || cli.ExitCode(err) != 1 {
			t.Fatal(err)
		}
		if !strings.Contains(said, "manual") {
			t.Errorf("%s: the error stream says %q", name, said)
		}
		golden.Check(t, name, out)
	}
}

// A European sheet: semicolons, decimal commas, a byte order mark.
func TestEuropeanSheet(t *testing.T) {
	out, _, err := list(t, "\ufeffTire;Valve;Volume\n14,9-24;;\n31x15,50-15;12;60 L\n;;\n")
	if err != nil {
		t.Fatal(err)
	}
	rows := table(t, out)
	if len(rows) != 4 || rows[0]["standard form"] != "14.9-24" || rows[2]["standard form"] != "31x15.50-15" || !nearly(rows[2]["volume (L)"], 60) || rows[0]["row"] != "2" || rows[2]["row"] != "3" {
		t.Errorf("%v", rows)
	}
}

// A tire with a bad cell has a line of its own; the others keep theirs. What a
// user typed is no formula.
func TestProblems(t *testing.T) {
	out, said, err := list(t, "tire,valve,volume\n=1+1,,\n14.9-24,,\n14.9-24,12,\n14.9-24,12,5 m3\n14.9-24,13,200 L\n14.9-24,12,320 L\n14.9-24,12,200 L,8\n", "-valve", "12")
	if err == nil || !strings.Contains(err.Error(), "4 of 7 tires") || cli.ExitCode(err) != 1 {
		t.Fatal(said, err)
	}
	rows := table(t, out)
	for i, want := range []string{"construction", "", "volume", "", "valve: \"13\"", "", "belongs to no column"} {
		if got := rows[i]["problem"]; want == "" && got != "" || !strings.Contains(got, want) {
			t.Errorf("line %d: %q, want one of %q", i, got, want)
		}
	}
	const outside = "the reading, the level or the designation is wrong"
	if rows[0]["tire"] != "'=1+1" || !strings.Contains(rows[5]["findings"], outside) || !strings.HasPrefix(rows[1]["cautions"], "The operator's manual") {
		t.Errorf("%v", rows)
	}
	if !strings.Contains(rows[5]["cautions"], "find the mistake") || strings.Contains(rows[1]["cautions"], "find the mistake") || rows[5]["measured: volume"] != "320 L" {
		t.Errorf("%v", rows[5])
	}
}

// A measured fill that contradicts its tire is a finding and fails the run; its band stays
// within the outer shape: a ring 1.27 m wide outside and 0.55 m inside, 0.39 m thick, holds 400 L.
func TestContradiction(t *testing.T) {
	out, _, err := list(t, "tire,valve,volume\n14.9-24,12,9999 L\n14.9-24,12,198 L\n14.9-24,12,9 L\n", "-valve", "12")
	if err == nil || !strings.Contains(err.Error(), "2 of 3 tires have a measured fill that contradicts them") || cli.ExitCode(err) != 1 {
		t.Fatal(err)
	}
	for i, r := range table(t, out) {
		high, err := strconv.ParseFloat(r["volume, high end (L)"], 64)
		if err != nil || high > 400 || (r["findings"] != "") != (i != 1) || r["problem"] != "" {
			t.Errorf("%v", r)
		}
	}
}

// Columns that are not read are kept, in rows that have a problem too.
func TestOtherColumns(t *testing.T) {
	out, said, err := list(t, "Customer,tire,price,volume (L),valve,row,,\nInvented Orchard,14.9-24,-12.5,,,7,,\n=2,nothing,3,,,8,,\n\"a,b\",14.9-24,4,198,12,9,,\n", "-valve", "12")
	if err == nil || !strings.Contains(err.Error(), "1 of 3 tires have no fill") || !strings.Contains(said, `["Customer" "price" "row"]`) {
		t.Fatal(said, err)
	}
	rows := table(t, out)
	for i, want := range [][3]string{{"Invented Orchard", "-12.5", "7"}, {"'=2", "3", "8"}, {"a,b", "4", "9"}} {
		if r := rows[i]; r["Customer"] != want[0] || r["price"] != want[1] || r["sheet: row"] != want[2] {
			t.Errorf("%v, want %v", r, want)
		}
	}
	if !nearly(rows[2]["volume (L)"], 198) {
		t.Errorf("%v", rows[2])
	}
}

// Units in the words of the trade; the gallons by definition: 3.785411784 and 4.54609 L.
func TestVolumeWords(t *testing.T) {
	for _, c := range []struct {
		text, unit string
		system     units.System
		want       float64
	}{
		{"198 Liter", "", units.Metric, 198}, {"198 liters", "", units.Metric, 198}, {"198 litres", "", units.Metric, 198}, {"198ltr.", "", units.Metric, 198}, {"198,5 Lt", "", units.Metric, 198.5}, {"198", "Liter", units.Metric, 198},
		{"0,2 cbm", "", units.Metric, 200}, {"0.2 m³", "", units.Metric, 200}, {"52 gal", "", units.USCustomary, 52 * 3.785411784}, {"52 Gallons", "", units.Imperial, 52 * 4.54609}, {"52 U.S. gal", "", units.Metric, 52 * 3.785411784},
		{"52", "US gal", units.Metric, 52 * 3.785411784}, {"52 imperial gallons", "", units.Metric, 52 * 4.54609}, {"200 L", "US gal", units.Metric, 200},
		{"52 gal", "", units.Metric, 0}, {"198", "", units.Metric, 0}, {"1,198 L", "", units.Metric, 0}, {"much", "L", units.Metric, 0}, {"198 fingers", "", units.Metric, 0},
	} {
		v, err := parseVolume(c.text, c.unit, c.system)
		if (err == nil) != (c.want > 0) || math.Abs(float64(v/units.Liter)-c.want) > 1e-9 {
			t.Errorf("%q in a column of %q: %v, %v; want %v L", c.text, c.unit, v, err, c.want)
		}
	}
	for text, want := range map[string]liquid.Level{"12": liquid.ValveAt(12), "4 o'clock": liquid.ValveAt(4), "10,5": liquid.ValveAt(10.5), "12:00": liquid.ValveAt(12), "4:30": liquid.ValveAt(4.5), "04:30:00": liquid.ValveAt(4.5), "12:30": liquid.ValveAt(0.5), "12:00 PM": liquid.ValveAt(12), "top": liquid.ValveAt(12), "Bottom": liquid.ValveAt(6), "Full": liquid.FractionOf(1)} {
		if l, err := parseLevel(text); err != nil || l != want {
			t.Errorf("%q: %v, %v", text, l, err)
		}
	}
	// Errors name the columns of the sheet.
	_, _, err := tireOf("14.9-24", "13", "198 fingers", "", units.Metric)
	_, _, other := tireOf("14.9-24", "12", "50 m3", "", units.Metric)
	for _, e := range []error{err, other} {
		if e == nil || strings.Contains(e.Error(), "readings") || !strings.Contains(e.Error(), "volume: ") {
			t.Error(e)
		}
	}
}

func TestBadInput(t *testing.T) {
	for _, c := range []struct {
		text string
		args []string
		says string
	}{
		{"wheel\n14.9-24\n", nil, "\"wheel\", and those that are read are tire, valve, volume and group"},
		{"valve\n12\n", nil, "tire is missing"},
		{"Tire size,valve\n14.9-24,12\n", nil, "must be named tire"},
		{"size\n14.9-24\n", nil, "must be named tire"},
		{"tire,valve position,volume\n14.9-24,12,198 L\n", nil, "\"valve position\": must be valve"},
		{"tire,valve,volume L\n14.9-24,12,198\n", nil, "\"volume L\": must be valve, volume"},
		{"tire,level,volume\n14.9-24,12,198 L\n", nil, "\"level\": must be"},
		{"tire,valve,mass kg\n14.9-24,12,198\n", nil, "\"mass kg\": must be"},
		{"tire,note\n14.9-24,15\" rim\n\"14.9-28,\n12.4-24,\n", nil, "CSV"},
		{"tire,tire\n", nil, "must stand once"},
		{"tire\n", nil, "such as 14.9-24"},
		{"tire\n\"14.9\n", nil, "CSV"},
		{"", []string{"-valve", "13"}, "clock position"},
		{"", []string{"-fluid", "oil"}, "must be"},
		{"", []string{"-fluid", "calciumChloride"}, "strength"},
		{"", []string{"-fluid", "polyurethane"}, "must be a liquid"},
		{"", []string{"more"}, "only flags"},
	} {
		_, _, err := list(t, c.text, c.args...)
		if err == nil || !errors.Is(err, cli.ErrUsage) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q %q: %v, want an error that says %q", c.text, c.args, err, c.says)
		}
	}
}

func FuzzReadTires(f *testing.F) {
	f.Add(string(demoTires))
	f.Add("tire,field,volume (gal),valve\n14.9-24,=3,52,full\n")
	f.Add("tire;valve\n14,9-24;12\n")
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 2000 {
			return
		}
		file, err := readTires([]byte(text), units.USCustomary)
		if err != nil {
			return
		}
		for _, l := range file.lines {
			if l.problem == nil && l.tire.Designation.String() == "" {
				t.Fatalf("%+v", l)
			}
		}
		in := input{}
		if err := in.valves("12"); err != nil {
			t.Fatal(err)
		}
		if _, err := writeTable(io.Discard, &in, file, nil); err != nil {
			t.Fatal(err)
		}
	})
}

// Files as spreadsheets of several makes write them: UTF-16 of both orders, Latin-1, old line
// ends, and inch marks that nobody quoted.
func TestEncodings(t *testing.T) {
	const text = "tire,note\r\n14.9\u00d724 R-1,the 24\" one\r\n12.4-28,\r\n"
	wide := func(bom string, high, low int) string {
		b := []byte(bom)
		for _, c := range text {
			pair := [2]byte{}
			pair[high], pair[low] = byte(c>>8), byte(c)
			b = append(b, pair[:]...)
		}
		return string(b)
	}
	for name, file := range map[string]string{
		"UTF-8": text, "UTF-16 little": wide("\xff\xfe", 1, 0), "UTF-16 big": wide("\xfe\xff", 0, 1),
		"Latin-1": strings.ReplaceAll(text, "\u00d7", "\xd7"), "old line ends": strings.ReplaceAll(text, "\r\n", "\r"),
	} {
		out, _, err := list(t, file, "-valve", "12")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if rows := table(t, out); len(rows) != 2 || rows[0]["standard form"] != "14.9-24 R-1" || rows[0]["note"] != "the 24\" one" {
			t.Errorf("%s: %v", name, rows)
		}
	}
}

// Rows of one group and size are fills of one tire: each is answered by all of them, and one that
// contradicts the others is found. Rows without a group, of another group or size stay alone.
func TestGroups(t *testing.T) {
	out, said, err := list(t, "tire,valve,volume,group\n14.9-24,12,198 L,a\n14.9-24,8,101 L,A\n14.9-24,,,a\n14.9-24,,,\n12.4-28,,,a\n14.9-24,12,190 L,b\n14.9-24,8,150 L,b\n", "-valve", "12,8")
	if err == nil || !strings.Contains(err.Error(), "2 of 7 tires have a measured fill") || cli.ExitCode(err) != 1 {
		t.Fatal(said, err)
	}
	rows := table(t, out)
	volume := func(i int) string { return rows[i]["volume (L)"] }
	if volume(0) != volume(2) || volume(0) != volume(4) || volume(1) != volume(3) || volume(1) != volume(5) || volume(0) == volume(6) || rows[0]["group"] != "a" {
		t.Errorf("%v", rows)
	}
	for i, r := range rows {
		v, err := strconv.ParseFloat(r["volume (L)"], 64)
		if err != nil || i < 6 && math.Abs(v-[]float64{198, 101}[i%2]) > 3 || (r["findings"] != "") != (i >= 10) {
			t.Errorf("%d: %v", i, r)
		}
	}
}

// Volumes that are none have the column's own words.
func TestNoVolume(t *testing.T) {
	for text, says := range map[string]string{"-5 L": "\"-5 L\"", "1e308 L": "\"1e308 L\"", "0 L": "above zero"} {
		if _, _, err := tireOf("14.9-24", "12", text, "", units.Metric); err == nil || !strings.Contains(err.Error(), says) || strings.Contains(err.Error(), "m3\"") {
			t.Errorf("%q: %v", text, err)
		}
	}
}
