package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/examples/internal/visible"
	"example.com/steelyard/units"
)

// columns are the names of the columns of a file. A cell that its kind of row does not use is
// left empty.
var columns = []string{"kind", "what", "value", "sd", "pin", "load", "front", "rear", "raised"}

const (
	// maxColumns is the greatest number of columns that are read. It is more than there can
	// be, so that a few wrong names are each reported.
	maxColumns = 20
	// maxRows is the greatest number of rows that are read.
	maxRows = 500
)

// A row is one row of the file with its cells by name.
type row struct {
	line  int
	cells map[string]string
	used  map[string]bool
	errs  *units.FieldErrors
}

// record is what a file says, and where each entry of it stands in the file.
type record struct {
	weigh.Record
	lines map[string]int    // line of each list entry by its path, such as "tape[0]"
	names map[string]string // what stands there, such as "tape wheelbase"
	seen  map[string]bool
}

// readCSV returns the record of a CSV file. Its errors name row and column; the row is the
// line number that an editor shows.
func readCSV(data []byte) (*record, error) {
	r := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(data), "\ufeff")))
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = true
	place, err := readHead(r)
	if err != nil {
		return nil, err
	}
	out := &record{lines: map[string]int{}, names: map[string]string{}, seen: map[string]bool{}}
	var all units.FieldErrors
	for rows := 0; ; rows++ {
		cells, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, plainCSV(err)
		}
		line, _ := r.FieldPos(0)
		if rows == maxRows {
			all.Add(cell(line, "kind"), nil, fmt.Sprintf("is one too many: at most %d rows are read", maxRows))
			break
		}
		if len(cells) == 1 && strings.TrimSpace(cells[0]) == "" {
			continue
		}
		out.take(&row{line: line, cells: named(cells, place, line, &all), used: map[string]bool{}, errs: &all})
	}
	if err := all.Err(); err != nil {
		return nil, err
	}
	if len(out.lines) == 0 {
		return nil, errors.New(`row 2: must be a reading, such as "tape,wheelbase,2.05 m,5 mm"`)
	}
	return out, nil
}

// readHead returns the place of each column.
func readHead(r *csv.Reader) (map[string]int, error) {
	want := "must name the columns, of " + strings.Join(columns, ", ")
	head, err := r.Read()
	if err == io.EOF {
		return nil, errors.New("row 1: " + want)
	}
	if err != nil {
		return nil, plainCSV(err)
	}
	if len(head) > maxColumns {
		return nil, fmt.Errorf("row 1: has %d columns: %s", len(head), want)
	}
	place := map[string]int{}
	var all units.FieldErrors
	for i, h := range head {
		h = strings.ToLower(strings.TrimSpace(h))
		switch _, twice := place[h]; {
		case !slices.Contains(columns, h):
			all.Add(cell(1, strconv.Itoa(i+1)), quoted(h), "must be one of "+strings.Join(columns, ", "))
		case twice:
			all.Add(cell(1, strconv.Itoa(i+1)), quoted(h), "must appear only once")
		default:
			place[h] = i
		}
	}
	for _, must := range columns[:3] {
		if _, ok := place[must]; !ok && all.Len() == 0 {
			all.Add(cell(1, must), nil, "is missing")
		}
	}
	return place, all.Err()
}

// named returns the cells of a row by column.
func named(cells []string, place map[string]int, line int, all *units.FieldErrors) map[string]string {
	out := map[string]string{}
	for name, at := range place {
		if at < len(cells) {
			out[name] = strings.TrimSpace(cells[at])
		}
	}
	if len(cells) > len(place) {
		all.Add(cell(line, strconv.Itoa(len(place)+1)), quoted(cells[len(place)]), "has no column name")
	}
	return out
}

// text returns a cell and marks it as used.
func (r *row) text(column string) string {
	r.used[column] = true
	return r.cells[column]
}

// read parses a cell; an empty one is left as it is, unless it must be there.
func read[Q any](r *row, column string, must bool, parse func(string) (Q, error)) (q Q) {
	text := r.text(column)
	if text == "" {
		if must {
			r.errs.Add(cell(r.line, column), nil, "is empty: must be given in this kind of row")
		}
		return q
	}
	q, err := parse(text)
	if err != nil {
		r.errs.Join(cell(r.line, column), err)
	}
	return q
}

// choose reads a choice by its name in the library.
func choose(r *row, into interface{ UnmarshalText([]byte) error }) {
	if err := into.UnmarshalText([]byte(r.text("what"))); err != nil {
		r.errs.Join(cell(r.line, "what"), err)
	}
}

// names reads names joined by plus signs.
func (r *row) names(column string) (out []string) {
	for n := range strings.SplitSeq(r.text(column), "+") {
		if n = strings.TrimSpace(n); n != "" {
			out = append(out, n)
		}
	}
	return out
}

// kinds are the kinds of rows.
var kinds = map[string]func(*record, *row){
	"machine": (*record).machine, "scale": (*record).scale, "gauge": (*record).gauge, "yard": (*record).yard, "tape": (*record).tape,
	"load": (*record).load, "weigh": (*record).weigh, "pressure": (*record).pressure, "papers": (*record).papers,
}

// take puts a row into the record.
func (c *record) take(r *row) {
	kind := strings.ToLower(r.text("kind"))
	do := kinds[kind]
	if do == nil {
		r.errs.Add(cell(r.line, "kind"), quoted(kind), "must be machine, scale, gauge, yard, tape, load, weigh, pressure or papers")
		return
	}
	do(c, r)
	for _, name := range columns {
		if r.cells[name] != "" && !r.used[name] {
			r.errs.Add(cell(r.line, name), quoted(r.cells[name]), "must be empty in this row")
		}
	}
}

// once reports a row that stands twice.
func (c *record) once(r *row, key string) {
	if c.seen[key] {
		r.errs.Add(cell(r.line, "what"), quoted(r.cells["what"]), "must appear only once")
	}
	c.seen[key] = true
	c.lines[key] = r.line
}

func (c *record) machine(r *row) {
	what := r.text("what")
	switch what {
	case "mass":
		c.Mass = read(r, "value", true, units.ParseMass)
	case "attachment":
		if err := c.Attachment.UnmarshalText([]byte(r.text("value"))); err != nil {
			r.errs.Join(cell(r.line, "value"), err)
		}
	case "undercarriage":
		if err := c.Undercarriage.UnmarshalText([]byte(r.text("value"))); err != nil {
			r.errs.Join(cell(r.line, "value"), err)
		}
	case "cylinders":
		c.Cylinders = read(r, "value", true, strconv.Atoi)
	case "selfLeveling":
		c.SelfLeveling = units.Is(read(r, "value", true, units.ParseFraction))
	case "liquid":
		c.Liquid = weigh.Measured[units.Mass]{Value: read(r, "value", true, units.ParseMass), SD: read(r, "sd", true, units.ParseMass)}
	case "level":
		c.LevelSD = read(r, "sd", true, units.ParseAngle)
	default:
		r.errs.Add(cell(r.line, "what"), quoted(what), "must be mass, attachment, undercarriage, cylinders, selfLeveling, liquid or level")
		return
	}
	c.once(r, what)
}

func (c *record) scale(r *row) {
	what := r.text("what")
	switch what {
	case "reading":
		c.Scale.SD = read(r, "sd", true, units.ParseMass)
	case "zero":
		c.Scale.ZeroSD = read(r, "sd", true, units.ParseMass)
	case "gain":
		c.Scale.GainSD = read(r, "sd", true, units.ParseFraction)
	case "division":
		c.Scale.Division = read(r, "value", true, units.ParseMass)
	case "capacity":
		c.Scale.Capacity = read(r, "value", true, units.ParseMass)
	default:
		r.errs.Add(cell(r.line, "what"), quoted(what), "must be reading, zero, gain, division or capacity")
		return
	}
	c.once(r, "scale."+what)
}

func (c *record) gauge(r *row) {
	what := r.text("what")
	switch what {
	case "reading":
		c.Gauge.SD = read(r, "sd", true, units.ParseGaugePressure)
	case "gain":
		c.Gauge.GainSD = read(r, "sd", true, units.ParseFraction)
	default:
		r.errs.Add(cell(r.line, "what"), quoted(what), "must be reading or gain")
		return
	}
	c.once(r, "gauge."+what)
}

func (c *record) yard(r *row) {
	is := weigh.Measured[units.Angle]{Value: read(r, "value", true, units.ParseAngle), SD: read(r, "sd", true, units.ParseAngle)}
	switch what := r.text("what"); what {
	case "slope":
		c.Yard = is
	case "squat":
		c.Squat = is
	default:
		r.errs.Add(cell(r.line, "what"), quoted(what), "must be slope or squat")
		return
	}
	c.once(r, "yard."+r.cells["what"])
}

// at notes the line of the next entry of a list.
func (c *record) at(list string, n int, r *row) {
	c.lines[units.Index(list, n)] = r.line
	c.names[units.Index(list, n)] = strings.TrimSpace(r.cells["kind"] + " " + visible.Text(r.cells["what"]))
}

// named says where a path of the library is in the file, such as "row 9, tape wheelbase".
func (c *record) named(path string) string {
	line, rest := c.row(path)
	if line == 0 {
		return path
	}
	list, _, _ := strings.Cut(path, "]")
	text := fmt.Sprintf("row %d, %s", line, c.names[list+"]"])
	switch rest {
	case "front", "rear", "raised":
		text += " " + rest
	case "rearLeft":
		text += " rear left"
	case "rearRight":
		text += " rear right"
	}
	return text
}

func (c *record) tape(r *row) {
	var t weigh.Taped
	choose(r, &t.Length)
	t.Value, t.SD = read(r, "value", true, units.ParseLength), read(r, "sd", true, units.ParseLength)
	t.Pin, t.Load = read(r, "pin", false, units.ParseLength), r.text("load")
	c.at("tape", len(c.Tape), r)
	c.Tape = append(c.Tape, t)
}

func (c *record) load(r *row) {
	l := weigh.TestLoad{Name: r.text("what"), Like: r.text("load")}
	l.Mass = weigh.Measured[units.Mass]{Value: read(r, "value", true, units.ParseMass), SD: read(r, "sd", true, units.ParseMass)}
	c.at("loads", len(c.Loads), r)
	c.Loads = append(c.Loads, l)
}

func (c *record) weigh(r *row) {
	a := weigh.AxleReading{Pin: read(r, "pin", true, units.ParseLength), Loads: r.names("load")}
	for _, what := range r.names("what") {
		switch what {
		case "turned":
			a.Turned = true
		case "brakes":
			a.Held = weigh.HeldByBrakes
		case "chocks":
			a.Held = weigh.HeldByChocks
		default:
			r.errs.Add(cell(r.line, "what"), quoted(what), "must be empty, or turned where the machine stood the other way round, or brakes or chocks for what kept it from rolling, joined by +")
		}
	}
	a.Front = read(r, "front", false, units.ParseMass)
	if left, right, both := strings.Cut(r.text("rear"), "+"); both {
		r.cells["rear"] = strings.TrimSpace(left)
		a.RearLeft = read(r, "rear", true, units.ParseMass)
		r.cells["rear"] = strings.TrimSpace(right)
		a.RearRight = read(r, "rear", true, units.ParseMass)
	} else {
		a.Rear = read(r, "rear", false, units.ParseMass)
	}
	a.Raised = read(r, "raised", false, units.ParseAngle)
	c.at("weights", len(c.Weights), r)
	c.Weights = append(c.Weights, a)
}

func (c *record) pressure(r *row) {
	var p weigh.PressureReading
	choose(r, &p.Motion)
	p.Pressure, p.Pin, p.Loads = read(r, "value", true, units.ParseGaugePressure), read(r, "pin", false, units.ParseLength), r.names("load")
	c.at("pressures", len(c.Pressures), r)
	c.Pressures = append(c.Pressures, p)
}

func (c *record) papers(r *row) {
	var f weigh.Figure
	choose(r, &f.Kind)
	if f.Kind == weigh.FigureRelief {
		f.Pressure = read(r, "value", true, units.ParseGaugePressure)
	} else {
		f.Mass = read(r, "value", true, units.ParseMass)
	}
	f.SD, f.Pin = read(r, "sd", false, units.ParseFraction), read(r, "pin", false, units.ParseLength)
	c.at("figures", len(c.Figures), r)
	c.Figures = append(c.Figures, f)
}

// cell names the place of a cell in the file.
func cell(line int, column string) string { return fmt.Sprintf("row %d, column %s", line, column) }

// quoted is the text of a cell, or its beginning.
func quoted(text string) string { return fmt.Sprintf("%.40q", text) }

// plainCSV returns an error of the CSV form with row and column.
func plainCSV(err error) error {
	var p *csv.ParseError
	if errors.As(err, &p) {
		return fmt.Errorf("row %d, column %d: %w", p.Line, p.Column, p.Err)
	}
	return err
}

// row returns the line of the entry that a path of the library begins with, or 0, and the rest
// of the path.
func (c *record) row(path string) (line int, rest string) {
	list, rest, found := strings.Cut(path, "]")
	if found {
		return c.lines[list+"]"], strings.TrimPrefix(rest, ".")
	}
	return c.lines[path], ""
}

// inFile returns the library's field errors with the row of the file where there is one.
func (c *record) inFile(err error) error {
	all := []error{err}
	if many, ok := err.(interface{ Unwrap() []error }); ok {
		all = many.Unwrap()
	}
	var out []error
	for _, one := range all {
		var e *units.FieldError
		if !errors.As(one, &e) {
			out = append(out, one)
			continue
		}
		told := *e
		if line, rest := c.row(e.Path); line > 0 {
			told.Path = fmt.Sprintf("row %d", line)
			if rest != "" {
				told.Path += ", " + rest
			}
		}
		out = append(out, &told)
	}
	return errors.Join(out...)
}

// prefixed puts the file's name before each line of an error about the file.
func prefixed(name string, err error) error {
	var b strings.Builder
	for line := range strings.Lines(err.Error()) {
		b.WriteString(name + ": " + line)
	}
	return errors.New(b.String())
}
