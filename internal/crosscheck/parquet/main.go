//go:build ignore

// Command parquet reads a Parquet file of examples/sweep with another implementation of the
// format, that of Apache Arrow for Go (module github.com/apache/arrow-go), and holds it to
// the CSV file of the same rows and the JSON beside that: the names and the order of the
// columns, what is written about them, and each cell, numbers to the last bit.
//
//	sweep -digits 17 -format csv -out a && sweep merge -out rows.csv a
//	sweep -format parquet -out b && sweep merge -out rows.parquet b
//	internal/crosscheck/parquet/run rows.parquet rows.csv
//
// Not part of CI, and no module of its own: that reader takes minutes to compile.
package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"reflect"
	"strconv"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet/file"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"
)

func main() {
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "usage: parquet ROWS.parquet ROWS.csv")
		os.Exit(2)
	}
	if err := check(os.Args[1], os.Args[2]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func check(name, csvName string) error {
	f, err := os.Open(csvName)
	if err != nil {
		return err
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return err
	}
	r, err := file.OpenParquetFile(name, false)
	if err != nil {
		return err
	}
	defer r.Close()
	if err := sameAbout(r.MetaData().KeyValueMetadata().FindValue("steelyard.sweep"), csvName+".json"); err != nil {
		return err
	}
	reader, err := pqarrow.NewFileReader(r, pqarrow.ArrowReadProperties{}, memory.DefaultAllocator)
	if err != nil {
		return err
	}
	table, err := reader.ReadTable(context.Background())
	if err != nil {
		return err
	}
	defer table.Release()
	if int(table.NumRows()) != len(rows)-1 || int(table.NumCols()) != len(rows[0]) {
		return fmt.Errorf("%d rows of %d columns, the CSV has %d of %d", table.NumRows(), table.NumCols(), len(rows)-1, len(rows[0]))
	}
	empty := 0
	for c := range int(table.NumCols()) {
		if got := table.Schema().Field(c).Name; got != rows[0][c] {
			return fmt.Errorf("column %d is %s, the CSV has %s", c, got, rows[0][c])
		}
		row := 1
		for _, chunk := range table.Column(c).Data().Chunks() {
			for i := range chunk.Len() {
				want := rows[row][c]
				if chunk.IsNull(i) {
					empty++
				}
				if err := same(chunk, i, want); err != nil {
					return fmt.Errorf("row %d, %s: %v", row, rows[0][c], err)
				}
				row++
			}
		}
	}
	fmt.Printf("%d rows of %d columns read, %d cells empty; every cell, name and remark is that of the CSV\n", table.NumRows(), table.NumCols(), empty)
	return nil
}

// same holds one cell to the text in the CSV.
func same(a arrow.Array, i int, want string) error {
	if a.IsNull(i) {
		if want != "" {
			return fmt.Errorf("empty, the CSV has %s", want)
		}
		return nil
	}
	if d, ok := a.(*array.Dictionary); ok {
		return same(d.Dictionary(), d.GetValueIndex(i), want)
	}
	switch a := a.(type) {
	case *array.String:
		if got := a.Value(i); got != want {
			return fmt.Errorf("%q, the CSV has %q", got, want)
		}
		return nil
	case *array.Float64:
		v, err := strconv.ParseFloat(want, 64)
		if got := a.Value(i); err != nil || math.Float64bits(got) != math.Float64bits(v) {
			return fmt.Errorf("%v, the CSV has %s", got, want)
		}
		return nil
	case *array.Int64:
		if got := strconv.FormatInt(a.Value(i), 10); got != want {
			return fmt.Errorf("%s, the CSV has %s", got, want)
		}
		return nil
	}
	if got := a.ValueStr(i); got != want {
		return fmt.Errorf("%s of type %v, the CSV has %s", got, a.DataType(), want)
	}
	return nil
}

// sameAbout holds what the file says of itself to the JSON beside the CSV.
func sameAbout(text *string, name string) error {
	if text == nil {
		return fmt.Errorf("its metadata has no steelyard.sweep")
	}
	beside, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	var a, b any
	if err := json.Unmarshal([]byte(*text), &a); err != nil {
		return err
	}
	if err := json.Unmarshal(beside, &b); err != nil {
		return err
	}
	if !reflect.DeepEqual(a, b) {
		return fmt.Errorf("its metadata is not what stands in %s", name)
	}
	return nil
}
