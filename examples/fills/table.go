package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/steelyard/examples/internal/visible"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// A line is one tire of the file.
type line struct {
	row      int
	text     string // as written
	valve    string // of a fill that was measured, as written
	volume   string
	tire     liquid.Tire
	findings []liquid.Finding
	problem  error
}

var columns = []string{"tire", "valve", "volume"}

// readTires reads the tires of a CSV file. A tire that cannot be read keeps its place with the
// problem; errors are those of the file itself.
func readTires(data []byte) ([]line, error) {
	text := strings.TrimPrefix(string(data), "\ufeff")
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = true
	if first, _, _ := strings.Cut(text, "\n"); strings.Contains(first, ";") {
		r.Comma = ';'
	}
	head, err := r.Read()
	if err != nil {
		return nil, errors.New("row 1: must name the columns: tire and, for a fill that was measured, valve and volume")
	}
	place := map[string]int{}
	for i, h := range head {
		h = strings.ToLower(strings.TrimSpace(h))
		if _, twice := place[h]; twice || !slices.Contains(columns, h) {
			return nil, fmt.Errorf("row 1, column %d: %.40q: must be tire, valve or volume, each once", i+1, h)
		}
		place[h] = i
	}
	if _, ok := place["tire"]; !ok {
		return nil, errors.New("row 1: column tire is missing")
	}
	var lines []line
	for {
		record, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("must be CSV: %w", err)
		}
		row, _ := r.FieldPos(0)
		cell := func(name string) string {
			if i, ok := place[name]; ok && i < len(record) {
				return strings.TrimSpace(record[i])
			}
			return ""
		}
		if strings.TrimSpace(strings.Join(record, "")) == "" {
			continue
		}
		l := line{row: row, text: cell("tire"), valve: cell("valve"), volume: cell("volume")}
		if extra := strings.TrimSpace(strings.Join(record[min(len(head), len(record)):], " ")); extra != "" {
			l.problem = fmt.Errorf("the row has %d cells and the first row names %d columns: %.40q belongs to no column; a cell that holds a comma stands in quotation marks", len(record), len(head), extra)
		} else {
			l.tire, l.findings, l.problem = tireOf(l.text, l.valve, l.volume)
		}
		lines = append(lines, l)
	}
	if len(lines) == 0 {
		return nil, errors.New("row 2: must be a tire, such as 14.9-24")
	}
	return lines, nil
}

// tireOf reads a tire and, where they are given, corrects it by the position of the valve and
// the volume of a fill that was measured.
func tireOf(text, valve, volume string) (liquid.Tire, []liquid.Finding, error) {
	d, err := liquid.ParseDesignation(text)
	if err != nil {
		return liquid.Tire{}, nil, err
	}
	t, err := liquid.Tire{Designation: d}.Resolve()
	if err != nil || valve == "" && volume == "" {
		t.Unloaded = true
		return t, nil, err
	}
	var e units.FieldErrors
	clock, err := strconv.ParseFloat(valve, 64)
	if err != nil {
		e.Add("valve", fmt.Sprintf("%.20q", valve), "must be a clock position, such as 12, beside a volume")
	}
	v, err := units.ParseVolume(volume)
	e.Join("volume", err)
	if err := e.Err(); err != nil {
		return liquid.Tire{}, nil, err
	}
	// Nobody says whether the wheel stood on the ground then: the band reaches up for it.
	c, err := t.Calibrate(liquid.Reading{Level: liquid.ValveAt(clock), Volume: units.Is(v)})
	c.Tire.Unloaded = true
	return c.Tire, c.Findings, err
}

// The units of the columns by system of units.
type columnUnits struct {
	volume, mass, temperature, length string
	liter                             units.Volume
	kilogram                          units.Mass
	centimeter                        units.Length
}

func unitsOf(s units.System) columnUnits {
	switch s {
	case units.USCustomary:
		return columnUnits{"US gal", "lb", "deg F", "in", units.USGallon, units.Pound, units.Inch}
	case units.Imperial:
		return columnUnits{"imp gal", "lb", "deg C", "in", units.ImperialGallon, units.Pound, units.Inch}
	}
	return columnUnits{"L", "kg", "deg C", "cm", units.Liter, units.Kilogram, units.Centimeter}
}

func (u columnUnits) degrees(t units.Temperature) float64 {
	c := float64(t) - 273.15
	if u.temperature == "deg F" {
		return c*9/5 + 32
	}
	return c
}

// decimal writes a number with one decimal, rounded up or down where direction is 1 or -1.
func decimal(v float64, direction int) string {
	v *= 10
	switch {
	case direction < 0:
		v = math.Floor(v)
	case direction > 0:
		v = math.Ceil(v)
	default:
		v = math.Round(v)
	}
	return strconv.FormatFloat(v/10, 'f', 1, 64)
}

// inWords writes a name such as lowSectionDrive as low section drive.
func inWords(name string) string {
	var b strings.Builder
	for _, r := range name {
		if r >= 'A' && r <= 'Z' {
			b.WriteByte(' ')
			r += 'a' - 'A'
		}
		b.WriteRune(r)
	}
	return b.String()
}

// sentences writes remarks as one text, the most pressing first.
func sentences(list []units.Remark) string {
	text := make([]string, len(list))
	for i, r := range list {
		text[i] = r.Text
	}
	return strings.Join(text, " ")
}

// head returns the names of the columns.
func (u columnUnits) head() []string {
	of := func(name, unit string) string { return name + " (" + unit + ")" }
	return []string{"row", "tire", "standard form", "family of sizes", "measured: valve at (o'clock)", "measured: volume", "fluid", of("strength", "% by mass"), of("valve at", "o'clock"),
		of("volume", u.volume), of("volume, low end", u.volume), of("volume, high end", u.volume),
		of("mass", u.mass), of("mass, low end", u.mass), of("mass, high end", u.mass),
		of("full", "% of the cavity"), of("surface over axle", u.length), of("freezes at no more than", u.temperature), "findings", "cautions", "notes", "problem"}
}

// writeTable writes a line for each tire, fluid and position of the valve, and one for each tire
// that has a problem. It returns all cautions together and how many tires have no fill.
func writeTable(out io.Writer, in *input, lines []line, rows []liquid.TableRow) (all liquid.Cautions, unread int, err error) {
	u := unitsOf(in.system)
	w := csv.NewWriter(out)
	put := func(cells ...string) {
		for i := range cells {
			cells[i] = visible.Text(cells[i])
		}
		if e := w.Write(cells); err == nil {
			err = e
		}
	}
	head := u.head()
	put(head...)
	next := 0
	for _, l := range lines {
		if l.problem != nil {
			unread++
			cells := make([]string, len(head))
			cells[0], cells[1], cells[4], cells[5] = strconv.Itoa(l.row), visible.Cell(l.text), visible.Cell(l.valve), visible.Cell(l.volume)
			cells[len(cells)-1] = visible.Cell(l.problem.Error())
			put(cells...)
			continue
		}
		var findings []units.Remark
		for _, f := range l.findings {
			findings = append(findings, f.Remark())
		}
		findings = units.SortRemarks(findings)
		for range in.fluids {
			r := rows[next]
			next++
			strength := ""
			if r.Fluid.Strength > 0 {
				strength = decimal(100*float64(r.Fluid.Strength), 0)
			}
			for j, f := range r.Filled {
				all |= f.Cautions
				freezing := ""
				if !f.Notes.Has(liquid.NoteFreezingUnknown) {
					freezing = decimal(u.degrees(f.FreezingBand.High), 1)
				}
				put(strconv.Itoa(l.row), visible.Cell(l.text), r.Tire.Designation.String(), inWords(f.Family.String()), visible.Cell(l.valve), visible.Cell(l.volume), r.Fluid.Kind.Words(), strength, in.clocks[j],
					decimal(float64(f.Volume/u.liter), 0), decimal(float64(f.VolumeBand.Low/u.liter), -1), decimal(float64(f.VolumeBand.High/u.liter), 1),
					decimal(float64(f.Mass/u.kilogram), 0), decimal(float64(f.MassBand.Low/u.kilogram), -1), decimal(float64(f.MassBand.High/u.kilogram), 1),
					decimal(100*float64(f.Fraction), 0), decimal(float64(f.Level/u.centimeter), 0), freezing, sentences(findings), sentences(f.Cautions.Remarks()), sentences(f.Notes.Remarks()), "")
			}
		}
	}
	w.Flush()
	if err == nil {
		err = w.Error()
	}
	return all, unread, err
}
