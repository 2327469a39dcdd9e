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
		if strings.Join(record, "") == "" {
			continue
		}
		l := line{row: row, text: cell("tire")}
		l.tire, l.findings, l.problem = tireOf(l.text, cell("valve"), cell("volume"))
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
	t, err := liquid.Tire{Designation: d, Unloaded: true}.Resolve()
	if err != nil || valve == "" && volume == "" {
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
	c, err := t.Calibrate(liquid.Reading{Level: liquid.ValveAt(clock), Volume: units.Is(v)})
	return c.Tire, c.Findings, err
}

// The units of the columns by system of units.
type columnUnits struct {
	volume, mass, temperature string
	liter                     units.Volume
	kilogram                  units.Mass
}

func unitsOf(s units.System) columnUnits {
	switch s {
	case units.USCustomary:
		return columnUnits{"US gal", "lb", "F", units.USGallon, units.Pound}
	case units.Imperial:
		return columnUnits{"imp gal", "lb", "C", units.ImperialGallon, units.Pound}
	}
	return columnUnits{"L", "kg", "C", units.Liter, units.Kilogram}
}

func (u columnUnits) degrees(t units.Temperature) float64 {
	c := float64(t) - 273.15
	if u.temperature == "F" {
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
	put("row", "tire", "standard form", "family", "fluid", "strength %", "valve at", "volume "+u.volume, "volume low "+u.volume, "volume high "+u.volume,
		"mass "+u.mass, "mass low "+u.mass, "mass high "+u.mass, "full %", "freezes at most "+u.temperature, "findings", "notes", "cautions", "problem")
	next := 0
	for _, l := range lines {
		if l.problem != nil {
			unread++
			put(strconv.Itoa(l.row), visible.Cell(l.text), "", "", "", "", "", "", "", "", "", "", "", "", "", "", "", "", visible.Cell(l.problem.Error()))
			continue
		}
		var findings []string
		for _, f := range l.findings {
			findings = append(findings, f.Kind.String())
		}
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
				put(strconv.Itoa(l.row), visible.Cell(l.text), r.Tire.Designation.String(), f.Family.String(), r.Fluid.Kind.Words(), strength, in.clocks[j],
					decimal(float64(f.Volume/u.liter), 0), decimal(float64(f.VolumeBand.Low/u.liter), -1), decimal(float64(f.VolumeBand.High/u.liter), 1),
					decimal(float64(f.Mass/u.kilogram), 0), decimal(float64(f.MassBand.Low/u.kilogram), -1), decimal(float64(f.MassBand.High/u.kilogram), 1),
					decimal(100*float64(f.Fraction), 0), freezing, strings.Join(findings, " "), f.Notes.String(), f.Cautions.String(), "")
			}
		}
	}
	w.Flush()
	if err == nil {
		err = w.Error()
	}
	return all, unread, err
}
