package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strconv"
	"strings"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/examples/internal/atomicfile"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/units"
)

// A wanted row is what the session asks for at its beginning. The cell that is asked for is
// empty in it.
type wanted struct {
	ask   string
	cells [9]string // in the order of the columns
	at    []int     // the cells that are asked for
}

// Places of the columns.
const (
	atKind = iota
	atWhat
	atValue
	atSD
	atPin
	atLoad
	atFront
	atRear
	atRaised
)

// begin lists what is asked for before anything can be said.
var begin = []wanted{
	{"About what does the machine weigh with loader and attachment?", [9]string{"machine", "mass"}, []int{atValue}},
	{"What hangs on the pivot pin: barePin, forks or bucket?", [9]string{"machine", "attachment"}, []int{atValue}},
	{"How far apart are readings of the scale that are repeated, as a standard deviation, such as 3 kg?", [9]string{"scale", "reading"}, []int{atSD}},
	{"Tape the wheelbase, on both sides: from the middle of the rear hub to the middle of the front hub.", [9]string{"tape", "wheelbase", "", "5 mm"}, []int{atValue}},
	{"Tape the wheelbase once more, with another eye: nothing else finds a mistake of the tape.", [9]string{"tape", "wheelbase", "", "5 mm"}, []int{atValue}},
	{"Tape how far the arms' pivot is ahead of the middle of the rear hub.", [9]string{"tape", "pivotX", "", "5 mm"}, []int{atValue}},
	{"Tape the height of the arms' pivot over level ground.", [9]string{"tape", "pivotZ", "", "5 mm"}, []int{atValue}},
	{"Tape from the arms' pivot straight to the pivot pin of the attachment.", [9]string{"tape", "arm", "", "5 mm"}, []int{atValue}},
	{"Tape from level ground to the middle of the rear hub.", [9]string{"tape", "rearRadius", "", "5 mm"}, []int{atValue}},
	{"Tape from level ground to the middle of the front hub.", [9]string{"tape", "frontRadius", "", "5 mm"}, []int{atValue}},
	{"Weigh both axles one after the other, on level ground, with the arms down and the attachment empty; drive onto the scale slowly, and let nobody stand near.", [9]string{"weigh"}, []int{atPin, atFront, atRear}},
}

// asked says what is to be typed for a cell.
var asked = map[int]string{
	atWhat: "name", atValue: "value", atSD: "standard deviation", atPin: "height of the pivot pin", atFront: "under the front axle", atRear: "under the rear axle",
}

// errEnded is the end of the input.
var errEnded = errors.New("the session was ended")

// A session asks for readings and writes them into a file.
type session struct {
	in   *input
	from *bufio.Scanner
	to   io.Writer
	rows [][]string
}

// guide holds a session and returns the file that it wrote.
func guide(in *input, stdin io.Reader, stdout io.Writer) ([]byte, error) {
	s := &session{in: in, from: bufio.NewScanner(stdin), to: stdout, rows: [][]string{columns}}
	if _, err := os.Stat(in.guide); err == nil {
		data, err := cli.ReadFile(in.guide, maxFile)
		if err != nil {
			return nil, err
		}
		if _, err := readCSV(data); err != nil {
			return nil, cli.Usage(prefixed(in.guide, err))
		}
		if s.rows, err = tableOf(data); err != nil {
			return nil, cli.Usage(prefixed(in.guide, err))
		}
	} else if !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("cannot read the session: %w", cli.Plain(err))
	}
	paragraph(s.to, "", "Type each reading with its unit, such as 2.05 m or 1354 kg, and nothing to leave one out. Type end to stop: what was typed is in the file.")
	err := s.hold()
	if err != nil && !errors.Is(err, errEnded) {
		return nil, err
	}
	fmt.Fprintln(s.to)
	if len(s.rows) == 1 {
		return nil, cli.Usagef("-guide: nothing was typed, and there is nothing to say about the machine")
	}
	return s.text(), nil
}

// tableOf returns the rows of a file with the columns in this program's order. The rows
// keep their lines.
func tableOf(data []byte) ([][]string, error) {
	r := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(data), "\ufeff")))
	r.FieldsPerRecord, r.TrimLeadingSpace = -1, true
	all, err := r.ReadAll()
	if err != nil {
		return nil, plainCSV(err)
	}
	out := [][]string{columns}
	for _, cells := range all[1:] {
		row := make([]string, len(columns))
		for i, name := range all[0] {
			if at := slices.Index(columns, strings.ToLower(strings.TrimSpace(name))); at >= 0 && i < len(cells) {
				row[at] = strings.TrimSpace(cells[i])
			}
		}
		out = append(out, row)
	}
	return out, nil
}

// text returns the file.
func (s *session) text() []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.WriteAll(s.rows) // into memory, where nothing can fail
	return b.Bytes()
}

// hold asks until the session is ended.
func (s *session) hold() error {
	taken := map[[2]string]int{} // what the file holds already
	for _, r := range s.rows[1:] {
		taken[[2]string{r[atKind], r[atWhat]}]++
	}
	for _, w := range begin {
		key := [2]string{w.cells[atKind], w.cells[atWhat]}
		if taken[key] > 0 {
			taken[key]--
			continue
		}
		if _, err := s.take(w); err != nil {
			return err
		}
	}
	for {
		if more, err := s.next(); err != nil || !more {
			return err
		}
	}
}

// line asks for one line. It returns errEnded at the end.
func (s *session) line(prompt string) (string, error) {
	fmt.Fprintf(s.to, "  %s: ", prompt)
	if !s.from.Scan() {
		fmt.Fprintln(s.to)
		return "", errEnded
	}
	text := strings.TrimSpace(s.from.Text())
	if strings.EqualFold(text, "end") {
		return "", errEnded
	}
	return text, nil
}

// take asks for the cells of a new row until they are right, and writes the file. It reports
// whether the row was given.
func (s *session) take(w wanted) (bool, error) { return s.takeAt(w, len(s.rows)) }

// takeAt does the same for a row in the place of another one.
func (s *session) takeAt(w wanted, place int) (bool, error) {
	fmt.Fprintln(s.to)
	paragraph(s.to, "", w.ask)
	for {
		row := w.cells
		given := false
		for _, at := range w.at {
			text, err := s.line(asked[at])
			if err != nil {
				return false, err
			}
			row[at] = text
			given = given || text != ""
		}
		if !given {
			return false, nil
		}
		if err := s.put(row[:], place); err != nil {
			paragraph(s.to, "  ! ", err.Error())
			continue
		}
		return true, s.save()
	}
}

// put puts a row into the table, unless it cannot be read.
func (s *session) put(row []string, place int) error {
	was := s.rows
	s.rows = append(slices.Clone(was[:place]), row)
	if place < len(was) {
		s.rows = append(s.rows, was[place+1:]...)
	}
	rec, err := readCSV(s.text())
	if err == nil {
		// What is still missing is no mistake of this row.
		var bad []error
		for _, f := range units.Fields(rec.Validate()) {
			if line, _ := rec.row(f.Path); line == place+1 {
				bad = append(bad, f)
			}
		}
		if len(bad) > 0 {
			err = rec.inFile(errors.Join(bad...))
		}
	}
	if err != nil {
		s.rows = was
	}
	return err
}

// save writes the file.
func (s *session) save() error {
	if err := atomicfile.Write(s.in.guide, s.text()); err != nil {
		return fmt.Errorf("cannot write the session: %w", cli.Plain(err))
	}
	return nil
}

// next says how well the tipping load is known and offers the readings that are worth
// taking. It reports whether the session goes on.
func (s *session) next() (bool, error) {
	rec, err := readCSV(s.text())
	if err != nil {
		return false, cli.Usage(prefixed(s.in.guide, err))
	}
	m, err := rec.Fit(context.Background())
	if err != nil {
		return false, cli.Usage(prefixed(s.in.guide, rec.inFile(err)))
	}
	d := words{s.in.display}
	if m.Doubts != 0 {
		fmt.Fprintln(s.to)
		writeSuspects(s.to, d, rec, m)
		return s.again(rec)
	}
	q := s.in.question(weigh.AskTippingLoad, s.in.low)
	now, err := m.Ask(q)
	if err != nil {
		return false, cli.Usage(ofFlags(err))
	}
	fmt.Fprintln(s.to)
	paragraph(s.to, "", fmt.Sprintf("With the pivot pin at %s the rear wheels would lift under %s, 95 %% sure, give or take %s; a mistake that nobody notices might move it by %s. This is no load to lift.",
		d.length(s.in.low), d.between(now), percent(now.HalfWidth), percent(now.Unnoticed)))
	for _, line := range now.Doubts.Lines() {
		paragraph(s.to, "  ? ", line)
	}
	list, err := m.Next(context.Background(), q, s.in.wanted, s.in.workshop)
	if err != nil {
		return false, cli.Usage(ofFlags(err))
	}
	list = list[:min(3, len(list))]
	if len(list) == 0 {
		paragraph(s.to, "", "Nothing more is worth reading for it.")
		return false, nil
	}
	fmt.Fprintln(s.to, "What to read next, the best first:")
	catalog := units.English()
	catalog.Display = s.in.display
	for i, p := range list {
		paragraph(s.to, fmt.Sprintf("  %d ", i+1), fmt.Sprintf("%s %s Then give or take %s, and a mistake might move it by %s. %s",
			catalog.Text(p.Code, p.Params...), p.Again, percent(p.HalfWidth), percent(p.Unnoticed), p.Care))
	}
	n, err := s.number("number of the reading that you take", len(list))
	if err != nil || n == 0 {
		return false, err
	}
	return true, s.proposed(&list[n-1])
}

// number asks for a number from 1; 0 is none.
func (s *session) number(prompt string, most int) (int, error) {
	for {
		text, err := s.line(prompt)
		if err != nil || text == "" {
			return 0, err
		}
		if n, err := strconv.Atoi(text); err == nil && n >= 1 && n <= most {
			return n, nil
		}
		fmt.Fprintf(s.to, "  ! must be a number from 1 to %d\n", most)
	}
}

// proposed asks for what a proposal reads.
func (s *session) proposed(p *weigh.Proposal) error {
	sd := func(v fmt.Stringer) string { return v.String() }
	w := wanted{ask: "What did it show?", at: []int{atValue}}
	switch {
	case p.Taped != nil:
		w.cells = [9]string{"tape", p.Taped.Length.String(), "", sd(p.Taped.SD), "", p.Taped.Load}
	case p.Figure != nil:
		w.cells = [9]string{"papers", p.Figure.Kind.String(), "", sd(p.Figure.SD)}
	case p.Pressure != nil:
		w.cells = [9]string{"pressure", p.Pressure.Motion.String(), "", "", "", strings.Join(p.Pressure.Loads, "+")}
		if p.Pressure.Pin != 0 {
			w.cells[atPin] = p.Pressure.Pin.String()
		}
	default:
		names := strings.Join(p.Weight.Loads, "+")
		if p.Load != nil {
			before := len(s.rows)
			load := wanted{ask: "Which load is it, and what does it weigh by its own scale?", cells: [9]string{"load"}, at: []int{atWhat, atValue, atSD}}
			if given, err := s.take(load); err != nil || !given {
				return err
			}
			names = s.rows[before][atWhat]
			ahead := wanted{ask: "Tape how far its center is ahead of the pivot pin.", cells: [9]string{"tape", "loadAhead", "", "10 mm", "", names}, at: []int{atValue}}
			if given, err := s.take(ahead); err != nil || !given {
				return err
			}
		}
		w.cells = [9]string{"weigh", "", "", "", p.Weight.Pin.String(), names}
		if p.Weight.Turned {
			w.cells[atWhat] = "turned"
		}
		if p.Weight.Raised != 0 {
			w.cells[atRaised] = fmt.Sprintf("%.3g deg", float64(p.Weight.Raised/units.Degree))
		}
		w.at = []int{atFront, atRear}
		if p.Weight.Pin == 0 {
			w.cells[atPin], w.at = "", []int{atPin, atFront, atRear}
		}
	}
	_, err := s.take(w)
	return err
}

// again asks for a row that is taken once more in place of a suspect.
func (s *session) again(rec *record) (bool, error) {
	n, err := s.number("row of the file that you take again", len(s.rows))
	if err != nil || n == 0 {
		return false, err
	}
	if n == 1 {
		return true, nil // the names of the columns
	}
	w := wanted{ask: "What does it show now?", at: []int{atValue}}
	copy(w.cells[:], s.rows[n-1])
	if w.cells[atKind] == "weigh" {
		w.at = []int{atFront, atRear}
	}
	_, err = s.takeAt(w, n-1)
	return true, err
}
