package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
)

// The text about a table names its columns in their order, in the folder, beside a merged
// table of CSV and inside Parquet.
func TestAbout(t *testing.T) {
	at := func(name string) string { return filepath.Join(t.TempDir(), name) }
	read := func(name string) []byte {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	rows, table := at("rows"), at("rows.csv")
	mustRun(t, "-samples", "4", "-seed", "7", "-out", rows)
	mustRun(t, "merge", "-out", table, rows)
	text := read(table + ".json")
	if !bytes.Equal(text, read(filepath.Join(rows, aboutName))) {
		t.Error("the folder and the merged table say different things")
	}
	var a about
	if err := json.Unmarshal(text, &a); err != nil {
		t.Fatal(err)
	}
	head, _, _ := strings.Cut(string(read(table)), "\n")
	var columns []string
	for _, c := range a.Columns {
		columns = append(columns, c.Column)
	}
	if got := strings.Join(columns, ","); got != head {
		t.Errorf("columns %s, and the table has %s", got, head)
	}
	if a.Seed != 7 || a.Rows != 40 || a.Library == "" || len(a.Notes) < 4 || a.Columns[1].Unit != "kg" || !slices.Equal(a.Columns[1].Paths, []string{"setup.pieces[0].mass"}) {
		t.Errorf("%+v", a)
	}

	rows, table = at("rows"), at("rows.parquet")
	mustRun(t, "-samples", "4", "-seed", "7", "-format", "parquet", "-out", rows)
	mustRun(t, "merge", "-out", table, rows)
	data := read(table)
	f, err := parquet.OpenFile(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	if got, ok := f.Lookup(aboutKey); !ok || got != string(text) {
		t.Errorf("Parquet has %.200q", got)
	}
}

// What is used and left of a limit, and its ends, are those of the library.
func TestLimitOutputs(t *testing.T) {
	var names []string
	limits := []ballast.LimitKind{ballast.LimitHydraulic, ballast.LimitTipping, ballast.LimitHitch, ballast.LimitFrontRim, ballast.LimitFrontTire}
	for _, k := range limits {
		for _, of := range []string{"used", "left", "low", "high"} {
			names = append(names, "limits."+k.String()+"."+of)
		}
	}
	list, err := json.Marshal(names)
	if err != nil {
		t.Fatal(err)
	}
	from, to := bytes.Index(demo, []byte(`"outputs": [`)), bytes.Index(demo, []byte(`"base"`))
	d := mustLoad(t, slices.Concat(demo[:from], []byte(`"outputs": `), list, []byte(","), demo[to:]))
	w, err := d.job().worker()
	if err != nil {
		t.Fatal(err)
	}
	k := len(d.factors)
	for row := range int64(20) {
		w.sampler.row(row, w.factors, w.cells)
		if err := w.eval.evaluate(w.cells[:k], w.cells[k:]); err != nil {
			t.Fatal(err)
		}
		e := w.eval.(*variant).evaluator
		setup, lift := e.Setup(), e.Lift(0)
		model, err := setup.Compile()
		if err != nil {
			t.Fatal(err)
		}
		c, err := model.Case(lift)
		if err != nil {
			t.Fatal(err)
		}
		check := c.Check(lift.Load.Mass)
		use, err := setup.UsableLoad(lift)
		if err != nil {
			t.Fatal(err)
		}
		empty := func(v float64, is bool) float64 {
			if is {
				return math.NaN()
			}
			return v
		}
		for i, limit := range limits {
			s, l := check.Limit(limit), use.Limits[limit-1]
			open := l.Status != stability.Within && l.Status != stability.Binds && l.Status != stability.AtMost
			want := []float64{
				empty(float64(s.Used), s.Status == stability.NotChecked),
				empty(float64(s.Left), s.Status == stability.NotChecked || s.Status == stability.CannotOccur),
				empty(float64(l.Mass.Low), open), empty(float64(l.Mass.High), open),
			}
			for j, v := range want {
				if got := w.cells[k+4*i+j]; got != v && !(math.IsNaN(got) && math.IsNaN(v)) {
					t.Errorf("row %d, %s: %v, want %v", row, names[4*i+j], got, v)
				}
			}
		}
	}
}
