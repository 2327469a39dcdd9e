package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

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
	group    string   // rows of one group and size are fills of one tire
	extra    []string // cells of columns that stand at the end
	tire     liquid.Tire
	findings []liquid.Finding
	problem  error
}

// A sheet is a file of tires.
type sheet struct {
	lines []line
	extra []string // names of the columns that stand at the end: those that are not read, and group
	at    []int    // their places
	unit  string   // of the volumes, where the name of their column says it
}

const columns = "tire, valve, volume and group"

// nearNames are the beginnings of column names behind which a measured fill may stand that would
// be lost if the column were not read.
var nearNames = regexp.MustCompile(`^(valve|volume|level|mass|liters?|litres?|gallons?)\b`)

// decoded returns the text of a file in UTF-8, UTF-16 or Latin-1, with a line feed at the end of
// each line.
func decoded(data []byte) string {
	text := string(data)
	switch {
	case strings.HasPrefix(text, "\xff\xfe"), strings.HasPrefix(text, "\xfe\xff"):
		wide := make([]uint16, 0, len(data)/2)
		for i := 2; i+1 < len(data); i += 2 {
			low, high := data[i], data[i+1]
			if data[0] == 0xfe {
				low, high = high, low
			}
			wide = append(wide, uint16(high)<<8|uint16(low))
		}
		text = string(utf16.Decode(wide))
	case !utf8.ValidString(text):
		runes := make([]rune, len(data))
		for i, b := range data {
			runes[i] = rune(b)
		}
		text = string(runes)
	}
	text = strings.ReplaceAll(strings.TrimPrefix(text, "\ufeff"), "\r\n", "\n")
	if !strings.Contains(text, "\n") {
		text = strings.ReplaceAll(text, "\r", "\n")
	}
	return text
}

// records returns the rows of a CSV text and where they stand in it. A quotation mark within a
// cell that does not begin with one is an inch mark.
func records(text string) (rows [][]string, at []int, err error) {
	read := func(lazy bool) error {
		rows, at = nil, nil
		r := csv.NewReader(strings.NewReader(text))
		r.FieldsPerRecord, r.TrimLeadingSpace, r.LazyQuotes = -1, true, lazy
		if first, _, _ := strings.Cut(text, "\n"); strings.Contains(first, ";") {
			r.Comma = ';'
		}
		for {
			record, err := r.Read()
			if err == io.EOF {
				return nil
			}
			if err != nil {
				return err
			}
			row, _ := r.FieldPos(0)
			rows, at = append(rows, record), append(at, row)
		}
	}
	if err = read(false); err == nil || !errors.Is(err, csv.ErrBareQuote) {
		return rows, at, err
	}
	if again := read(true); again != nil {
		return nil, nil, err
	}
	for _, record := range rows {
		if strings.Contains(strings.Join(record, ""), "\n") {
			return nil, nil, err // a mark that nothing closes
		}
	}
	return rows, at, nil
}

// volumeColumn is the name of the column of volumes with their unit.
var volumeColumn = regexp.MustCompile(`^volume ?[(\[] ?(.+?) ?[)\]]$`)

// readTires reads the tires of a CSV file. A tire that cannot be read keeps its place with the
// problem; errors are those of the file itself. Columns that the program does not know are
// kept.
func readTires(data []byte, system units.System) (*sheet, error) {
	rows, rowAt, err := records(decoded(data))
	if err != nil {
		return nil, fmt.Errorf("must be CSV: %w", err)
	}
	if len(rows) == 0 {
		return nil, errors.New("row 1: must name the columns: tire and, for a fill that was measured, valve and volume")
	}
	head := rows[0]
	var s sheet
	place := map[string]int{}
	group := -1
	for i, written := range head {
		h := strings.ToLower(strings.Join(strings.Fields(written), " "))
		if m := volumeColumn.FindStringSubmatch(h); m != nil {
			h, s.unit = "volume", m[1]
		}
		switch h {
		case "tire", "valve", "volume":
			if _, twice := place[h]; twice {
				return nil, fmt.Errorf("row 1, column %d: %.40q: must stand once", i+1, written)
			}
			place[h] = i
		case "":
		default:
			if nearNames.MatchString(h) {
				return nil, fmt.Errorf("row 1, column %d: %.40q: must be valve, volume, or volume with its unit in parentheses, such as volume (L), if a measured fill stands there; otherwise its name must begin with another word, such as note", i+1, written)
			}
			if h == "group" && group < 0 {
				group = i
			}
			s.extra, s.at = append(s.extra, strings.TrimSpace(written)), append(s.at, i)
		}
	}
	if _, ok := place["tire"]; !ok {
		for i, written := range head {
			if h := strings.ToLower(written); strings.Contains(h, "tire") || strings.Contains(h, "tyre") || strings.Contains(h, "size") {
				return nil, fmt.Errorf("row 1, column %d: %.40q: must be named tire if the designations stand there", i+1, written)
			}
		}
		return nil, fmt.Errorf("row 1: column tire is missing; the columns are %.200q, and those that are read are %s", strings.Join(head, ", "), columns)
	}
	for n, record := range rows[1:] {
		row := rowAt[n+1]
		at := func(i int) string {
			if i < len(record) {
				return strings.TrimSpace(record[i])
			}
			return ""
		}
		cell := func(name string) string {
			if i, ok := place[name]; ok {
				return at(i)
			}
			return ""
		}
		if strings.TrimSpace(strings.Join(record, "")) == "" {
			continue
		}
		l := line{row: row, text: cell("tire"), valve: cell("valve"), volume: cell("volume")}
		if group >= 0 {
			l.group = at(group)
		}
		for _, i := range s.at {
			l.extra = append(l.extra, at(i))
		}
		stray := ""
		for i := range record {
			if i >= len(head) || strings.TrimSpace(head[i]) == "" {
				stray = strings.TrimSpace(stray + " " + at(i))
			}
		}
		if stray != "" {
			l.problem = fmt.Errorf("the row has %d cells and the first row names %d columns: %.40q belongs to no column; a cell that holds a comma stands in quotation marks", len(record), len(place)+len(s.extra), stray)
		} else {
			l.tire, l.findings, l.problem = tireOf(l.text, l.valve, l.volume, s.unit, system)
		}
		s.lines = append(s.lines, l)
	}
	s.together(system)
	if len(s.lines) == 0 {
		return nil, errors.New("row 2: must be a tire, such as 14.9-24")
	}
	return &s, nil
}

// together corrects each tire of which several rows of one group hold fills to all of them.
func (s *sheet) together(system units.System) {
	type key struct {
		group string
		tire  liquid.Designation
	}
	groups := map[key][]int{}
	for i, l := range s.lines {
		if l.group != "" && l.problem == nil {
			k := key{strings.ToLower(l.group), l.tire.Designation}
			groups[k] = append(groups[k], i)
		}
	}
	for k, rows := range groups {
		var readings []liquid.Reading
		for _, i := range rows {
			if l := &s.lines[i]; l.valve != "" || l.volume != "" {
				r, err := readingOf(l.valve, l.volume, s.unit, system)
				if err != nil {
					continue // has its problem
				}
				readings = append(readings, r)
			}
		}
		if len(rows) < 2 || len(readings) == 0 {
			continue
		}
		c, err := liquid.Tire{Designation: k.tire}.Calibrate(readings...)
		c.Tire.Unloaded = true
		for _, i := range rows {
			l := &s.lines[i]
			l.tire, l.findings, l.problem = c.Tire, c.Findings, err
		}
	}
}

// volumeUnits are words of the trade for units of volume, in small letters without points;
// a gallon alone is that of the system of units in which the answer is asked for.
var volumeUnits = map[string]string{
	"l": "L", "lt": "L", "lts": "L", "ltr": "L", "ltrs": "L", "liter": "L", "liters": "L", "litre": "L", "litres": "L", "litros": "L",
	"m3": "m3", "m³": "m3", "cbm": "m3", "cubic meters": "m3", "cubic metres": "m3",
	"us gal": "US gal", "usg": "US gal", "usgal": "US gal", "us gals": "US gal", "us gallon": "US gal", "us gallons": "US gal", "gal us": "US gal", "gal (us)": "US gal",
	"imp gal": "imp gal", "impgal": "imp gal", "imp gals": "imp gal", "imp gallon": "imp gal", "imp gallons": "imp gal", "imperial gallon": "imp gal", "imperial gallons": "imp gal", "uk gal": "imp gal", "uk gallons": "imp gal",
	"gal": "gal", "gals": "gal", "gallon": "gal", "gallons": "gal",
}

var (
	exponent     = regexp.MustCompile(`^[0-9.]+[eE][+-]?[0-9]`)
	hours        = regexp.MustCompile(`^(\d{1,2})[:h.](\d\d)(?::\d\d)?(?: ?[ap]m)?$`)
	numberUnit   = regexp.MustCompile(`^([0-9., ]*[0-9]) *([^0-9 ].*)?$`)
	decimalComma = regexp.MustCompile(`^([0-9]+),([0-9]{1,2})$`)
)

// parseVolume reads a volume in words of the trade, with the unit of its column if it has none.
func parseVolume(text, unit string, system units.System) (units.Volume, error) {
	m := numberUnit.FindStringSubmatch(text)
	if m == nil || exponent.MatchString(text) {
		return units.ParseVolume(text)
	}
	if m[2] != "" {
		unit = m[2]
	}
	key := strings.ToLower(strings.ReplaceAll(unit, ".", ""))
	if u, ok := volumeUnits[strings.Join(strings.Fields(key), " ")]; ok {
		unit = u
	}
	if unit == "gal" && system == units.USCustomary {
		unit = "US gal"
	} else if unit == "gal" && system == units.Imperial {
		unit = "imp gal"
	}
	return units.ParseVolume(strings.TrimSpace(decimalComma.ReplaceAllString(m[1], "$1.$2") + " " + unit))
}

// parseLevel reads the position of the valve, or the word full.
func parseLevel(text string) (liquid.Level, error) {
	t := strings.ToLower(text)
	switch t {
	case "full":
		return liquid.FractionOf(1), nil
	case "top":
		return liquid.ValveAt(12), nil
	case "bottom":
		return liquid.ValveAt(6), nil
	}
	// Spreadsheets write a clock position as a time.
	if m := hours.FindStringSubmatch(t); m != nil && !strings.Contains(t, ".") {
		h, _ := strconv.Atoi(m[1])
		minutes, _ := strconv.Atoi(m[2])
		if h >= 1 && h <= 12 && minutes < 60 {
			clock := float64(h) + float64(minutes)/60
			if clock > 12 {
				clock -= 12
			}
			return liquid.ValveAt(clock), nil
		}
	}
	t = strings.TrimSpace(strings.TrimSuffix(t, "o'clock"))
	clock, err := strconv.ParseFloat(decimalComma.ReplaceAllString(t, "$1.$2"), 64)
	if l := liquid.ValveAt(clock); err == nil && l.Validate() == nil {
		return l, nil
	}
	return liquid.Level{}, units.NewFieldError("", fmt.Sprintf("%.20q", text), "must be a clock position above 0 and at most 12, which is the top, or full, beside a volume")
}

// readingOf reads a fill that was measured. Nobody says whether the wheel stood on the ground
// then: the band reaches up for it.
func readingOf(valve, volume, unit string, system units.System) (liquid.Reading, error) {
	var e units.FieldErrors
	level, err := parseLevel(valve)
	e.Join("valve", err)
	v, err := parseVolume(volume, unit, system)
	e.Join("volume", err)
	if err == nil && !(v > 0 && v <= 10) {
		e.Add("volume", fmt.Sprintf("%.20q", volume), "must be above zero and at most 10 m3")
	}
	return liquid.Reading{Level: level, Volume: units.Is(v)}, e.Err()
}

// tireOf reads a tire and, where they are given, corrects it by the position of the valve and
// the volume of a fill that was measured.
func tireOf(text, valve, volume, unit string, system units.System) (liquid.Tire, []liquid.Finding, error) {
	d, err := liquid.ParseDesignation(text)
	if err != nil {
		return liquid.Tire{}, nil, err
	}
	t, err := liquid.Tire{Designation: d}.Resolve()
	if err != nil || valve == "" && volume == "" {
		t.Unloaded = true
		return t, nil, err
	}
	r, err := readingOf(valve, volume, unit, system)
	if err != nil {
		return liquid.Tire{}, nil, err
	}
	c, err := t.Calibrate(r)
	c.Tire.Unloaded = true
	return c.Tire, c.Findings, ofColumns(err)
}

// ofColumns names the columns of the sheet where an error names the fields of a reading.
func ofColumns(err error) error {
	var e units.FieldErrors
	for _, f := range units.Fields(err) {
		g := *f
		switch {
		case strings.HasPrefix(f.Path, "readings[0].level"):
			g.Path = "valve"
		case strings.HasPrefix(f.Path, "readings[0]"):
			g.Path = "volume"
		case strings.HasPrefix(f.Path, "tire"):
			g.Path = "tire"
		}
		e.Join("", &g)
	}
	if e.Len() == 0 {
		return err
	}
	return e.Err()
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

// kept returns a cell that is kept as it is, safe in a spreadsheet: a number stays one.
func kept(s string) string {
	if _, err := strconv.ParseFloat(s, 64); err == nil {
		return s
	}
	return visible.Cell(s)
}

// An outcome is what the reader of the table must know besides.
type outcome struct {
	cautions liquid.Cautions // all together
	unread   int             // tires that have no fill
	disputed int             // tires whose measured fill contradicts them
}

// writeTable writes a line for each tire, fluid and position of the valve, and one for each tire
// that has a problem. The columns that were not read stand at the end.
func writeTable(out io.Writer, in *input, s *sheet, rows []liquid.TableRow) (o outcome, err error) {
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
	own := u.head()
	head := slices.Clone(own)
	for _, name := range s.extra {
		if slices.Contains(head, name) {
			name = "sheet: " + name
		}
		head = append(head, visible.Cell(name))
	}
	put(head...)
	next := 0
	for _, l := range s.lines {
		extra := make([]string, len(s.extra))
		for i := range extra {
			extra[i] = kept(l.extra[i])
		}
		if l.problem != nil {
			o.unread++
			cells := make([]string, len(own))
			cells[0], cells[1], cells[4], cells[5] = strconv.Itoa(l.row), visible.Cell(l.text), visible.Cell(l.valve), visible.Cell(l.volume)
			cells[len(cells)-1] = visible.Cell(l.problem.Error())
			put(append(cells, extra...)...)
			continue
		}
		var findings []units.Remark
		for _, f := range l.findings {
			findings = append(findings, f.Remark())
		}
		findings = units.SortRemarks(findings)
		if len(findings) > 0 {
			o.disputed++
		}
		for range in.fluids {
			r := rows[next]
			next++
			strength := ""
			if r.Fluid.Strength > 0 {
				strength = decimal(100*float64(r.Fluid.Strength), 0)
			}
			for j, f := range r.Filled {
				o.cautions |= f.Cautions
				freezing := ""
				if !f.Notes.Has(liquid.NoteFreezingUnknown) {
					freezing = decimal(u.degrees(f.FreezingBand.High), 1)
				}
				cells := []string{strconv.Itoa(l.row), visible.Cell(l.text), r.Tire.Designation.String(), inWords(f.Family.String()), visible.Cell(l.valve), visible.Cell(l.volume), r.Fluid.Kind.Words(), strength, in.clocks[j],
					decimal(float64(f.Volume/u.liter), 0), decimal(float64(f.VolumeBand.Low/u.liter), -1), decimal(float64(f.VolumeBand.High/u.liter), 1),
					decimal(float64(f.Mass/u.kilogram), 0), decimal(float64(f.MassBand.Low/u.kilogram), -1), decimal(float64(f.MassBand.High/u.kilogram), 1),
					decimal(100*float64(f.Fraction), 0), decimal(float64(f.Level/u.centimeter), 0), freezing, sentences(findings), sentences(f.Cautions.Remarks()), sentences(f.Notes.Remarks()), ""}
				put(append(cells, extra...)...)
			}
		}
	}
	w.Flush()
	if err == nil {
		err = w.Error()
	}
	return o, err
}
