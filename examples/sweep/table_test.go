package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"

	"example.com/steelyard/units"
)

var tableColumns = []column{
	{name: "machine.mass", unit: "kg"},
	{name: `odd, "name"`, text: []string{"none", "a, b", `say "c"`}},
	{name: "usable", unit: "kg"},
}

// tableRows are rows whose every kind of cell a table must keep.
var tableRows = []struct {
	cells   []float64
	refused refusal
}{
	{[]float64{1234.5, 0, 0.000123}, refusal{}},
	{[]float64{-2, 1, math.NaN()}, refusal{}},
	{[]float64{math.NaN(), 2, math.NaN()}, reason(units.NewFieldError("machine.mass", "-5 kg", "must be given,\nat least 50 kg; \"x\""))},
	{[]float64{math.NaN(), 2, math.NaN()}, reason(units.NewFieldError("machine.mass", nil, "must be given"))},
	{[]float64{math.NaN(), 2, math.NaN()}, reason(errors.New("of no field"))},
	{[]float64{1e7, math.NaN(), 1e-9}, refusal{}},
}

func TestTablesAreReadBack(t *testing.T) {
	for _, f := range []format{formatCSV, formatParquet} {
		var buf bytes.Buffer
		w := f.writer(&buf, tableColumns, 17, true)
		for i, r := range tableRows {
			if err := w.row(int64(i)+7, r.cells, r.refused); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.close(); err != nil {
			t.Fatal(err)
		}
		var r tableReader
		var err error
		if f == formatParquet {
			r, err = newParquetReader(bytes.NewReader(buf.Bytes()), int64(buf.Len()), tableColumns)
		} else {
			r, err = newCSVReader(&buf, tableColumns)
		}
		if err != nil {
			t.Fatal(f, err)
		}
		cells := make([]float64, len(tableColumns))
		for i, want := range tableRows {
			row, refused, err := r.next(cells)
			if err != nil || row != int64(i)+7 || fmt.Sprintf("%#v", refused) != fmt.Sprintf("%#v", want.refused) || strings.Contains(refused.String(), "\n") {
				t.Fatalf("%s: row %d, %#v, want %#v, %v", f, row, refused, want.refused, err)
			}
			for c, v := range cells {
				if v != want.cells[c] && !(math.IsNaN(v) && math.IsNaN(want.cells[c])) {
					t.Errorf("%s: row %d, column %d: got %g, want %g", f, i, c, v, want.cells[c])
				}
			}
		}
		if _, _, err := r.next(cells); err != io.EOF {
			t.Errorf("%s: after the last row: %v", f, err)
		}
	}
}

// What this program writes is CSV to the reader of the standard library, and
// no number has more digits than asked for.
func TestCSVIsBounded(t *testing.T) {
	var buf bytes.Buffer
	w := formatCSV.writer(&buf, tableColumns, 4, true)
	if err := errors.Join(w.row(1, []float64{math.Pi * 1e3, 1, -math.Pi / 1e7}, refusal{}), w.close()); err != nil {
		t.Fatal(err)
	}
	records, err := csv.NewReader(&buf).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{
		{"row", "machine_mass_kg", "odd_name", "usable_kg", "refused", "refused_path", "refused_number", "refused_unit"},
		{"1", "3142", "a, b", "-3.142e-07", "", "", "", ""},
	}
	for i := range want {
		if strings.Join(records[i], "|") != strings.Join(want[i], "|") {
			t.Errorf("got %q, want %q", records[i], want[i])
		}
	}
}

// The cells that a spreadsheet takes for formulas (CWE-1236) are texts with a
// mark before them; numbers are as they were, and all are read back.
func TestCSVHoldsNoFormula(t *testing.T) {
	texts := []string{"=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "  =1", "＝1", "'=1", "'", "", "a=1", "=\"a\",b"}
	columns := []column{{name: "=cmd|' /C calc'!A0", unit: "m"}, {name: "text", text: texts}}
	var buf bytes.Buffer
	w := formatCSV.writer(&buf, columns, 7, true)
	for i := range texts {
		if err := w.row(int64(i), []float64{-1.5, float64(i)}, refusal{code: texts[i], path: texts[i], number: -2, unit: texts[i]}); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.close(); err != nil {
		t.Fatal(err)
	}
	records, err := csv.NewReader(bytes.NewReader(buf.Bytes())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, record := range records {
		for j, cell := range record {
			number := i > 0 && (j < 2 || j == 5)
			if cell = strings.TrimLeft(cell, " "); !number && cell != "" && strings.ContainsAny(cell[:1], "=+-@\t\r\n") {
				t.Errorf("row %d, column %d: %q is a formula", i, j, cell)
			}
		}
		if i > 0 && record[1] != "-1.5" {
			t.Errorf("row %d: the number is %q", i, record[1])
		}
	}
	if records[1][2] != "'=1+1" || records[1][3] != "'=1+1" || records[13][2] != "a=1" {
		t.Errorf("%q", records)
	}
	r, err := newCSVReader(&buf, columns)
	if err != nil {
		t.Fatal(err)
	}
	cells := make([]float64, 2)
	for i, want := range texts {
		// An empty text is an empty cell, as a value that is missing.
		row, refused, err := r.next(cells)
		if err != nil || row != int64(i) || refused.code != want || want != "" && (refused.path != want || refused.unit != want || refused.number != -2) || want != "" && cells[1] != float64(i) {
			t.Errorf("row %d: %v, cells %v, %v", i, refused, cells, err)
		}
	}
}

func TestReaderRefusesAnotherTable(t *testing.T) {
	for name, text := range map[string]string{
		"other column": "row,machine_mass_lb,odd_name,usable_kg,refused,refused_path,refused_number,refused_unit\n",
		"few columns":  "row,refused\n",
		"empty":        "",
	} {
		if _, err := newCSVReader(strings.NewReader(text), tableColumns); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	head := "row,machine_mass_kg,odd_name,usable_kg,refused,refused_path,refused_number,refused_unit\n"
	for _, line := range []string{"1,2,none", "1,2,none,3,,,", "x,2,none,3,,,,", "1,2,other,3,,,,", "1,2,none,3..4,,,,", "1,\"2,none,3,,,,", "1,2,none,,want.x,a.b,4..5,kg"} {
		r, err := newCSVReader(strings.NewReader(head+line), tableColumns)
		if err != nil {
			t.Fatal(err)
		}
		if _, _, err := r.next(make([]float64, 3)); err == nil {
			t.Errorf("%q: no error", line)
		}
	}
	if _, err := newParquetReader(strings.NewReader("PAR1 no"), 7, tableColumns); err == nil {
		t.Error("no Parquet: no error")
	}
}

func FuzzReadCSV(f *testing.F) {
	f.Add("row,machine_mass_kg,odd_name,usable_kg,refused,refused_path,refused_number,refused_unit\n1,2,none,3,want.x,a.b,4,kg\n")
	f.Fuzz(func(t *testing.T, text string) {
		r, err := newCSVReader(strings.NewReader(text), tableColumns)
		cells := make([]float64, len(tableColumns))
		for err == nil {
			_, _, err = r.next(cells)
		}
	})
}

// Names in tables are letters, digits and underscores with a letter first, and each
// is there once.
func TestPlainNames(t *testing.T) {
	columns := []column{{name: "limits.hydraulic", unit: "kg"}, {name: "limits hydraulic", unit: "kg"}, {name: "row"}, {name: "refused"}, {name: "pressure", unit: "Pa gauge"},
		{name: "braking", unit: "m/s2"}, {name: "2nd box", unit: "kg"}, {name: "=cmd|'x'!A0"}, {name: "Öl"}, {name: "…"}, {name: "lifts[1].usable", unit: "kg"}, {name: "row_2"}}
	named(columns)
	want := []string{"limits_hydraulic_kg", "limits_hydraulic_kg_2", "row_2", "refused_2", "pressure_Pa_gauge", "braking_m_s2", "x_2nd_box_kg", "cmd_x_A0", "l", "x", "lifts_1_usable_kg", "row_2_2"}
	for i, c := range columns {
		if c.header() != want[i] {
			t.Errorf("%s: %q, want %q", c.title(), c.header(), want[i])
		}
	}
}

// A Parquet file has its columns in the order of the design.
func TestParquetOrder(t *testing.T) {
	columns := []column{{name: "z", unit: "m"}, {name: "a", text: []string{"x", "y"}}, {name: "m"}}
	var buf bytes.Buffer
	w := formatParquet.writer(&buf, columns, 7, true)
	if err := errors.Join(w.row(3, []float64{1.5, 1, math.NaN()}, refusal{}), w.close()); err != nil {
		t.Fatal(err)
	}
	f, err := parquet.OpenFile(bytes.NewReader(buf.Bytes()), int64(buf.Len()))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, c := range f.Schema().Columns() {
		names = append(names, c[0])
	}
	if want := []string{"row", "z_m", "a", "m", "refused", "refused_path", "refused_number", "refused_unit"}; !slices.Equal(names, want) {
		t.Errorf("columns %q, want %q", names, want)
	}
	r, err := newParquetReader(bytes.NewReader(buf.Bytes()), int64(buf.Len()), columns)
	if err != nil {
		t.Fatal(err)
	}
	cells := make([]float64, 3)
	if row, _, err := r.next(cells); err != nil || row != 3 || cells[0] != 1.5 || cells[1] != 1 || !math.IsNaN(cells[2]) {
		t.Errorf("row %d, %v, %v", row, cells, err)
	}
}
