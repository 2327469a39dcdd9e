package main

import (
	"bytes"
	"encoding/csv"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/golden"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

func write(t *testing.T, args ...string) string {
	t.Helper()
	var out bytes.Buffer
	if err := run(args, &out, io.Discard); err != nil {
		t.Fatalf("%q: %v", args, err)
	}
	return out.String()
}

// The demo's sheets do not change unseen.
func TestGolden(t *testing.T) {
	for name, args := range map[string][]string{
		"metric.txt":      {"-currency", "EUR"},
		"usCustomary.txt": {"-units", "usCustomary", "-currency", "USD"},
		"german.txt":      {"-lang", "de", "-currency", "EUR"},
		"metric.csv":      {"-form", "csv"},
		"usCustomary.csv": {"-form", "csv", "-units", "usCustomary"},
		"page.html":       {"-form", "page", "-lang", "de"},
	} {
		golden.Check(t, name, write(t, args...))
	}
}

// What is mixed has the strength that was asked for, by the balance of its masses, and costs its
// product: the numbers are those of the file.
func TestMixBalance(t *testing.T) {
	list, err := readJobs([]byte("tire,fluid,purity,price,count\n14.9-24,calciumChloride 25 % by mass,78 %,0.55 per kg,2\n9.5-16,beetMolasses,,0.95 per L,1\n"))
	if err != nil {
		t.Fatal(err)
	}
	j := &list[0]
	if j.problem != nil {
		t.Fatal(j.problem)
	}
	m := j.mixture
	if got := 0.78 * float64(m.Product) / float64(m.Product+m.WaterMass); math.Abs(got-0.25) > 1e-9 {
		t.Errorf("the mixture has %v of salt by mass, want 0.25", got)
	}
	if got := float64(m.Product + m.WaterMass - j.filled.Mass); math.Abs(got) > 1e-6*float64(j.filled.Mass) {
		t.Errorf("mixed is %v more than is filled", got)
	}
	if c, ok := j.cost(); !ok || math.Abs(c-0.55*float64(m.Product)) > 0.01 {
		t.Errorf("cost %v", c)
	}
	if c, ok := list[1].cost(); !ok || math.Abs(c-0.95*1000*float64(list[1].filled.Volume)) > 0.01 {
		t.Errorf("cost of molasses %v", c)
	}
}

// A strength that is left out is chosen for the coldest temperature, and a fill that may freeze
// there is said to.
func TestFrost(t *testing.T) {
	list, err := readJobs([]byte("tire,fluid,coldest\n14.9-24,magnesiumChloride,-12 degC\n14.9-24,water,-5 degC\n14.9-24,methanol,\n"))
	if err != nil {
		t.Fatal(err)
	}
	if j := &list[0]; j.problem != nil || j.fill.Fluid.Strength <= 0 || j.frost() {
		t.Errorf("strength %v, may freeze %v: %v", j.fill.Fluid.Strength, j.frost(), j.problem)
	}
	if !list[1].frost() {
		t.Error("water does not freeze at -5 C")
	}
	if list[2].problem == nil {
		t.Error("methanol without a strength is worked out")
	}
}

// Every caution of every part of an answer stands on its page, and so does every step.
func TestNothingIsLeftOut(t *testing.T) {
	list, err := readJobs(demoJobs)
	if err != nil {
		t.Fatal(err)
	}
	w, _ := paper.Speak("en", units.Metric)
	for i := range list {
		p := &speaker{w, &paper.Papers{}, list[i : i+1], ""}
		text := strings.Join(strings.Fields(p.sheet().Text()), " ")
		for _, r := range list[i].cautions() {
			if strings.Count(text, r.Text) != 1 {
				t.Errorf("row %d: %d times: %s", list[i].row, strings.Count(text, r.Text), r.Text)
			}
		}
		if list[i].remove {
			continue
		}
		for _, s := range list[i].fill.Steps() {
			if !strings.Contains(text, s.Text) {
				t.Errorf("row %d lacks %s", list[i].row, s.Text)
			}
		}
	}
}

const hostile = "=cmd|x\x1b[2J\u202e<script>&'"

// Names and cells are shown and not obeyed, in every form.
func TestHostileCells(t *testing.T) {
	file := filepath.Join(t.TempDir(), "jobs.csv")
	var b bytes.Buffer
	c := csv.NewWriter(&b)
	for _, row := range [][]string{{"machine", "wheel", "tire", "fluid", "valve"}, {hostile, hostile, "14.9-24", "water", "12"}, {hostile, hostile, hostile, hostile, hostile}} {
		if err := c.Write(row); err != nil {
			t.Fatal(err)
		}
	}
	c.Flush()
	if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, form := range []string{"text", "page", "csv"} {
		text := write(t, "-file", file, "-form", form, "-currency", hostile)
		if strings.ContainsAny(text, "\x1b\u202e") || form == "page" && strings.Contains(text, "<script") {
			t.Errorf("%s: a name is obeyed", form)
		}
		if form != "csv" {
			continue
		}
		rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
		if err != nil || len(rows) != 3 {
			t.Fatalf("%d rows, %v", len(rows), err)
		}
		for _, row := range rows {
			for _, cell := range row {
				if strings.HasPrefix(cell, "=") {
					t.Errorf("a spreadsheet takes %q for a formula", cell)
				}
			}
		}
	}
}

// A bad cell keeps its line and says what would be accepted; a bad file is a usage error.
func TestBadInput(t *testing.T) {
	for row, want := range map[string]string{
		"14.9-24,water,,,,,,,9,":                                               "count",
		"14.9-24,water,,,,,,,,pour":                                            "action",
		"14.9-24,water,,,,,,12 per bucket,,":                                   "price",
		"14.9-24,water,,13,,,,,,":                                              "valve",
		"14.9-24,water,,,3 kg,,,,,":                                            "volume",
		"14.9-24,water,,,,20,,,,":                                              "coldest",
		"14.9-24,water,,,,,7,,,":                                               "pressure",
		"14.9-24,calciumChloride 25 % by mass,300 %,,,,,,,":                    "purity",
		"14.9-24,calciumChloride 25 % by mass,,,,,,1 per kg,,":                 "purity",
		"14.9-24,honey,,,,,,,,":                                                "fluid",
		"tire,water,,,,,,,,":                                                   "tire",
		"14.9-24,polyurethane,,,,,,,,remove":                                   "action",
		"14.9-24,calciumChloride 25 % by mass,78 %,12,,-15 degC,,NaN per kg,,": "price",
	} {
		list, err := readJobs([]byte("tire,fluid,purity,valve,volume,coldest,pressure,price,count,action\n" + row + "\n"))
		if err != nil {
			t.Errorf("%s: %v", row, err)
			continue
		}
		if p := list[0].problem; p == nil || !strings.Contains(p.Error(), want) {
			t.Errorf("%s: %v, want %s named", row, p, want)
		}
	}
	dir := t.TempDir()
	for name, text := range map[string]string{"empty": "", "names": "a,b\n", "twice": "tire,tire,fluid\n", "none": "tire,fluid\n", "quote": "tire,fluid\n\"x\n"} {
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if err := run([]string{"-file", file}, io.Discard, io.Discard); cli.ExitCode(err) != cli.BadInput {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, args := range [][]string{{"x"}, {"-form", "scroll"}, {"-lang", "xx"}, {"-file", filepath.Join(dir, "lost")}} {
		if err := run(args, io.Discard, io.Discard); cli.ExitCode(err) != cli.BadInput {
			t.Errorf("%q: %v", args, err)
		}
	}
}

// FuzzJobs: no file makes the reader panic, and what it reads can be printed without a NaN.
func FuzzJobs(f *testing.F) {
	f.Add(demoJobs)
	f.Add([]byte("tire;fluid\n14.9-24;water\n"))
	w, _ := paper.Speak("de", units.USCustomary)
	f.Fuzz(func(t *testing.T, data []byte) {
		list, err := readJobs(data)
		if err != nil || len(list) > 20 {
			return
		}
		p := &speaker{w, &paper.Papers{}, list, ""}
		text := p.sheet().Text()
		for i := range list {
			if list[i].problem == nil && (strings.Contains(text, "NaN") || strings.Contains(text, "Inf ")) && list[i].fill.Fluid.Kind != liquid.OtherFluid {
				t.Errorf("not a number: %s", text)
			}
		}
		if err := p.table(io.Discard); err != nil {
			t.Error(err)
		}
	})
}
