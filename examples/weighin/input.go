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
	"example.com/steelyard/units"
)

// maxColumns is the greatest number of columns that are read. It is more than there can be, so
// that a few wrong names are each reported.
const maxColumns = 20

// readCSV puts the readings of a CSV file into a session and returns the line of each in the
// file. Its errors name row and column; the row is the line number that an editor shows.
func readCSV(data []byte, s *weigh.Session) (lines []int, err error) {
	r := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(data), "\ufeff")))
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = true
	head, err := r.Read()
	if err == io.EOF {
		return nil, errors.New("row 1: must name the columns: load, rear and, if read, front")
	}
	if err != nil {
		return nil, plainCSV(err)
	}
	columns := []string{"load", "rear", "front"}
	place := map[string]int{}
	if len(head) > maxColumns {
		return nil, fmt.Errorf("row 1: has %d columns: must name load, rear and, if read, front", len(head))
	}
	var all units.FieldErrors
	for i, h := range head {
		h = strings.ToLower(strings.TrimSpace(h))
		switch _, twice := place[h]; {
		case !slices.Contains(columns, h):
			all.Add(cell(1, strconv.Itoa(i+1)), quoted(h), "must be load, rear or front")
		case twice:
			all.Add(cell(1, strconv.Itoa(i+1)), quoted(h), "must appear only once")
		default:
			place[h] = i
		}
	}
	for _, must := range columns[:2] {
		if _, ok := place[must]; !ok && all.Len() == 0 {
			all.Add(cell(1, must), nil, "is missing: columns are load, rear and, if read, front")
		}
	}
	if err := all.Err(); err != nil {
		return nil, err
	}
	for {
		row, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, plainCSV(err)
		}
		line, _ := r.FieldPos(0)
		if len(row) == 1 && strings.TrimSpace(row[0]) == "" {
			continue
		}
		if len(s.Readings) == weigh.MaxReadings {
			all.Add(cell(line, head[0]), nil, fmt.Sprintf("is one too many: at most %d readings are taken", weigh.MaxReadings))
			break
		}
		if len(row) > len(head) {
			all.Add(cell(line, strconv.Itoa(len(head)+1)), quoted(row[len(head)]), "has no column name")
		}
		var reading weigh.LoadReading
		for _, c := range []struct {
			name string
			into *units.Mass
		}{{"load", &reading.Load}, {"rear", &reading.Rear}, {"front", &reading.Front}} {
			at, ok := place[c.name]
			if !ok {
				continue
			}
			text := ""
			if at < len(row) {
				text = strings.TrimSpace(row[at])
			}
			if text == "" {
				if c.name != "front" {
					all.Add(cell(line, c.name), nil, "is empty: must be a mass with its unit, such as 146 kg")
				}
				continue
			}
			m, err := units.ParseMass(text)
			if err != nil {
				all.Join(cell(line, c.name), err)
				continue
			}
			*c.into = m
		}
		s.Readings = append(s.Readings, reading)
		lines = append(lines, line)
	}
	if err := all.Err(); err != nil {
		return nil, err
	}
	if len(s.Readings) == 0 {
		return nil, errors.New("row 2: must be a reading, such as 0 kg,1542 kg")
	}
	return lines, nil
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

// flags are the fields of a session that have a flag.
var flags = map[string]string{
	"wheelbase.value": "-wheelbase", "wheelbase.sd": "-wheelbase-sd", "ahead.value": "-ahead", "ahead.sd": "-ahead-sd",
	"scale.sd": "-scale-sd", "scale.division": "-scale-division", "scale.zeroSD": "-scale-zero-sd", "scale.gainSD": "-scale-gain-sd",
	"scale.capacity": "-scale-capacity", "loadSD": "-load-sd", "largestLoad": "-largest-load", "share": "-share", "confidence": "-confidence",
}

// inFile returns the library's field errors with the row and column of the file, or with the
// flag.
func inFile(err error, lines []int) error {
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
		var row int
		var column string
		if n, _ := fmt.Sscanf(e.Path, "readings[%d].%s", &row, &column); n == 2 && row < len(lines) {
			told.Path = cell(lines[row], column)
		} else if name := flags[e.Path]; name != "" {
			told.Path = name
		}
		out = append(out, &told)
	}
	return errors.Join(out...)
}

// prefixed puts the file's name before each line of an error about the file. A line about a
// flag does not change.
func prefixed(name string, err error) error {
	var b strings.Builder
	for line := range strings.Lines(err.Error()) {
		if !strings.HasPrefix(line, "-") {
			b.WriteString(name + ": ")
		}
		b.WriteString(line)
	}
	return errors.New(b.String())
}
