package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/parquet-go/parquet-go"

	"example.com/steelyard/examples/internal/visible"
)

// A column of the result holds numbers, or texts from a short list.
type column struct {
	name string
	unit string   // SI, in the header
	text []string // not nil: the values are places in it
	head string   // its name in a table, from named
}

// title returns the column's name for a reader.
func (c column) title() string {
	if c.unit == "" {
		return c.name
	}
	return c.name + " [" + c.unit + "]"
}

// header returns the column's name in a table.
func (c column) header() string {
	if c.head == "" {
		return plain(c.name, c.unit)
	}
	return c.head
}

// plain returns a name with its unit that R, pandas and SQL take without quotes:
// letters, digits and single underscores, with a letter first.
func plain(name, unit string) string {
	var b strings.Builder
	gap := false
	for _, r := range name + " " + strings.ReplaceAll(unit, "%", "percent") {
		if !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9') {
			gap = true
			continue
		}
		switch {
		case b.Len() == 0 && r >= '0' && r <= '9':
			b.WriteString("x_")
		case gap && b.Len() > 0:
			b.WriteByte('_')
		}
		gap = false
		b.WriteRune(r)
	}
	if b.Len() == 0 {
		return "x"
	}
	return b.String()
}

// named gives each column a name in a table that no other has.
func named(columns []column) {
	taken := map[string]bool{rowHeader: true}
	for _, name := range refusedColumns {
		taken[name] = true
	}
	for i := range columns {
		c := &columns[i]
		first := plain(c.name, c.unit)
		c.head = first
		for n := 2; taken[c.head]; n++ {
			c.head = first + "_" + strconv.Itoa(n)
		}
		taken[c.head] = true
	}
}

// rowHeader is the first column of a result, the row number. The factors, the outputs and
// the refusal follow.
const rowHeader = "row"

// A tableWriter writes rows. A cell is empty if its value is NaN: the library did not check
// it, or refused the variant.
type tableWriter interface {
	row(row int64, cells []float64, refused refusal) error
	// close writes the end of the table; it leaves the underlying file open.
	close() error
}

// A tableReader reads back what a tableWriter wrote.
type tableReader interface {
	// next fills cells and returns io.EOF after the last row.
	next(cells []float64) (row int64, refused refusal, err error)
}

// format is how a result is written.
type format string

// The formats.
const (
	formatCSV     format = "csv"
	formatParquet format = "parquet"
)

func (f format) valid() bool { return f == formatCSV || f == formatParquet }

// writer returns a writer of a table. The header is written only if asked
// for; Parquet always has it.
func (f format) writer(w io.Writer, columns []column, digits int, header bool) tableWriter {
	if f == formatParquet {
		return newParquetWriter(w, columns)
	}
	c := &csvWriter{w: w, columns: columns, digits: digits}
	if header {
		c.head()
	}
	return c
}

// csvWriter writes CSV by RFC 4180, but with the line ends of Unix. Numbers have at most the
// given number of significant digits.
type csvWriter struct {
	w       io.Writer
	columns []column
	digits  int
	buf     []byte
	err     error
}

func (c *csvWriter) head() {
	c.buf = append(c.buf, rowHeader...)
	for _, col := range c.columns {
		c.buf = append(c.buf, ',')
		c.text(col.header())
	}
	for _, name := range refusedColumns {
		c.buf = append(c.buf, ',')
		c.buf = append(c.buf, name...)
	}
	c.buf = append(c.buf, '\n')
}

// original undoes visible.Cell, because only that puts the mark at the start of a text.
func original(s string) string { return strings.TrimPrefix(s, "'") }

func (c *csvWriter) text(s string) {
	s = visible.Cell(s)
	if !strings.ContainsAny(s, ",\"\r\n") {
		c.buf = append(c.buf, s...)
		return
	}
	c.buf = append(c.buf, '"')
	c.buf = append(c.buf, strings.ReplaceAll(s, `"`, `""`)...)
	c.buf = append(c.buf, '"')
}

func (c *csvWriter) row(row int64, cells []float64, refused refusal) error {
	c.buf = strconv.AppendInt(c.buf, row, 10)
	for i, v := range cells {
		c.buf = append(c.buf, ',')
		switch {
		case math.IsNaN(v):
		case c.columns[i].text != nil:
			c.text(c.columns[i].text[int(v)])
		default:
			c.buf = strconv.AppendFloat(c.buf, v, 'g', c.digits, 64)
		}
	}
	if c.buf = append(c.buf, ','); !refused.is() {
		c.buf = append(c.buf, ",,"...)
	} else {
		c.text(refused.code)
		c.buf = append(c.buf, ',')
		c.text(refused.path)
		c.buf = append(c.buf, ',')
		if !math.IsNaN(refused.number) {
			c.buf = strconv.AppendFloat(c.buf, refused.number, 'g', c.digits, 64)
		}
	}
	c.buf = append(c.buf, ',')
	c.text(refused.unit)
	c.buf = append(c.buf, '\n')
	if len(c.buf) > 1<<16 {
		return c.flush()
	}
	return nil
}

func (c *csvWriter) flush() error {
	if c.err == nil {
		_, c.err = c.w.Write(c.buf)
	}
	c.buf = c.buf[:0]
	return c.err
}

func (c *csvWriter) close() error { return c.flush() }

type csvReader struct {
	r       *csv.Reader
	columns []column
	index   []map[string]float64
}

// newCSVReader reads the header and compares it with the columns.
func newCSVReader(r io.Reader, columns []column) (*csvReader, error) {
	c := &csvReader{r: csv.NewReader(r), columns: columns, index: make([]map[string]float64, len(columns))}
	c.r.ReuseRecord = true
	c.r.FieldsPerRecord = len(columns) + 1 + len(refusedColumns)
	head, err := c.r.Read()
	if err != nil {
		return nil, err
	}
	for i, col := range columns {
		if got := original(head[i+1]); got != col.header() {
			return nil, fmt.Errorf("column %d is %q, not %q", i+2, got, col.header())
		}
		if col.text != nil {
			c.index[i] = make(map[string]float64, len(col.text))
			for j, t := range col.text {
				c.index[i][t] = float64(j)
			}
		}
	}
	return c, nil
}

func (c *csvReader) next(cells []float64) (row int64, refused refusal, err error) {
	rec, err := c.r.Read()
	if err != nil {
		return 0, refused, err
	}
	if row, err = strconv.ParseInt(rec[0], 10, 64); err != nil {
		return 0, refused, err
	}
	for i := range cells {
		s := rec[i+1]
		switch {
		case s == "":
			cells[i] = math.NaN()
		case c.columns[i].text != nil:
			v, ok := c.index[i][original(s)]
			if !ok {
				return 0, refused, fmt.Errorf("row %d: %s: %q is not one of its values", row, c.columns[i].name, s)
			}
			cells[i] = v
		default:
			if cells[i], err = strconv.ParseFloat(s, 64); err != nil {
				return 0, refused, err
			}
		}
	}
	last := rec[len(cells)+1:]
	if last[0] == "" {
		return row, refused, nil
	}
	refused = refusal{code: original(last[0]), path: original(last[1]), number: nan, unit: original(last[3])}
	if last[2] != "" {
		if refused.number, err = strconv.ParseFloat(last[2], 64); err != nil {
			return 0, refusal{}, err
		}
	}
	return row, refused, nil
}

// ordered is a group whose columns come in an order of their own; the Parquet library
// sorts those of a group by name.
type ordered struct {
	parquet.Group
	names []string
}

// Fields returns the columns in their order.
func (o ordered) Fields() []parquet.Field {
	at := make(map[string]parquet.Field, len(o.names))
	for _, f := range o.Group.Fields() {
		at[f.Name()] = f
	}
	fields := make([]parquet.Field, len(o.names))
	for i, name := range o.names {
		fields[i] = at[name]
	}
	return fields
}

// schema returns the Parquet schema of a table, with the columns in the order of the
// design, and the places of the columns.
func schema(columns []column) (s *parquet.Schema, leaf []int) {
	names := []string{rowHeader}
	group := parquet.Group{rowHeader: parquet.Leaf(parquet.Int64Type)}
	for i, name := range refusedColumns {
		if group[name] = parquet.Optional(parquet.Encoded(parquet.String(), &parquet.RLEDictionary)); i == 2 {
			group[name] = parquet.Optional(parquet.Leaf(parquet.DoubleType))
		}
	}
	for _, c := range columns {
		n := parquet.Optional(parquet.Leaf(parquet.DoubleType))
		if c.text != nil {
			n = parquet.Optional(parquet.Encoded(parquet.String(), &parquet.RLEDictionary))
		}
		group[c.header()] = n
		names = append(names, c.header())
	}
	s = parquet.NewSchema("sweep", ordered{group, append(names, refusedColumns...)})
	at := map[string]int{}
	for i, f := range s.Fields() {
		at[f.Name()] = i
	}
	leaf = append(leaf, at[rowHeader])
	for _, c := range columns {
		leaf = append(leaf, at[c.header()])
	}
	for _, name := range refusedColumns {
		leaf = append(leaf, at[name])
	}
	return s, leaf
}

// parquetBatch is the number of rows that go to the Parquet library at a time.
const parquetBatch = 256

type parquetWriter struct {
	w       *parquet.GenericWriter[any]
	columns []column
	leaf    []int
	text    [][]parquet.Value
	rows    []parquet.Row
}

func newParquetOutput(w io.Writer, s *parquet.Schema) *parquet.GenericWriter[any] {
	return parquet.NewGenericWriter[any](w, s, parquet.Compression(&parquet.Zstd), parquet.CreatedBy("steelyard sweep", "1", ""))
}

func newParquetWriter(w io.Writer, columns []column) *parquetWriter {
	s, leaf := schema(columns)
	p := &parquetWriter{w: newParquetOutput(w, s), columns: columns, leaf: leaf, text: make([][]parquet.Value, len(columns))}
	for i, c := range columns {
		for _, t := range c.text {
			p.text[i] = append(p.text[i], parquet.ByteArrayValue([]byte(t)).Level(0, 1, leaf[i+1]))
		}
	}
	return p
}

func (p *parquetWriter) row(row int64, cells []float64, refused refusal) error {
	n := len(p.leaf)
	if len(p.rows) < cap(p.rows) {
		p.rows = p.rows[:len(p.rows)+1]
	} else {
		p.rows = append(p.rows, nil)
	}
	r := &p.rows[len(p.rows)-1]
	if cap(*r) < n {
		*r = make(parquet.Row, n)
	}
	v := (*r)[:n]
	*r = v
	v[p.leaf[0]] = parquet.Int64Value(row).Level(0, 0, p.leaf[0])
	for i, x := range cells {
		l := p.leaf[i+1]
		switch {
		case math.IsNaN(x):
			v[l] = parquet.NullValue().Level(0, 0, l)
		case p.text[i] != nil:
			v[l] = p.text[i][int(x)]
		default:
			v[l] = parquet.DoubleValue(x).Level(0, 1, l)
		}
	}
	for i, l := range p.leaf[n-len(refusedColumns):] {
		text := [...]string{refused.code, refused.path, "", refused.unit}[i]
		switch {
		case i == 2 && refused.is() && !math.IsNaN(refused.number):
			v[l] = parquet.DoubleValue(refused.number).Level(0, 1, l)
		case text != "":
			v[l] = parquet.ByteArrayValue([]byte(text)).Level(0, 1, l)
		default:
			v[l] = parquet.NullValue().Level(0, 0, l)
		}
	}
	if len(p.rows) == parquetBatch {
		return p.flush()
	}
	return nil
}

func (p *parquetWriter) flush() error {
	_, err := p.w.WriteRows(p.rows)
	p.rows = p.rows[:0]
	return err
}

func (p *parquetWriter) close() error { return errors.Join(p.flush(), p.w.Close()) }

type parquetReader struct {
	rows    *parquet.GenericReader[any]
	columns []column
	leaf    []int
	index   []map[string]float64
	batch   []parquet.Row
	n, at   int
}

func newParquetReader(r io.ReaderAt, size int64, columns []column) (*parquetReader, error) {
	f, err := parquet.OpenFile(r, size)
	if err != nil {
		return nil, err
	}
	s, leaf := schema(columns)
	if !parquet.EqualNodes(s, f.Schema()) {
		return nil, fmt.Errorf("its columns are not those of the design")
	}
	p := &parquetReader{rows: parquet.NewGenericReader[any](f), columns: columns, leaf: leaf, index: make([]map[string]float64, len(columns)), batch: make([]parquet.Row, parquetBatch)}
	for i, col := range columns {
		if col.text != nil {
			p.index[i] = make(map[string]float64, len(col.text))
			for j, t := range col.text {
				p.index[i][t] = float64(j)
			}
		}
	}
	return p, nil
}

func (p *parquetReader) next(cells []float64) (row int64, refused refusal, err error) {
	if p.at == p.n {
		n, err := p.rows.ReadRows(p.batch)
		if n == 0 {
			if err == nil {
				err = io.ErrNoProgress
			}
			return 0, refused, err
		}
		p.n, p.at = n, 0
	}
	v := p.batch[p.at]
	p.at++
	row = v[p.leaf[0]].Int64()
	for i := range cells {
		x := v[p.leaf[i+1]]
		switch {
		case x.IsNull():
			cells[i] = math.NaN()
		case p.index[i] != nil:
			j, ok := p.index[i][string(x.ByteArray())]
			if !ok {
				return 0, refused, fmt.Errorf("row %d: %s: %q is not one of its values", row, p.columns[i].name, x.ByteArray())
			}
			cells[i] = j
		default:
			cells[i] = x.Double()
		}
	}
	last := p.leaf[len(cells)+1:]
	text := func(i int) string {
		if x := v[last[i]]; !x.IsNull() {
			return string(x.ByteArray())
		}
		return ""
	}
	if refused.code = text(0); refused.is() {
		refused.path, refused.number, refused.unit = text(1), nan, text(3)
		if x := v[last[2]]; !x.IsNull() {
			refused.number = x.Double()
		}
	}
	return row, refused, nil
}
