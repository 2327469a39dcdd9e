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

	"example.com/steelyard/examples/internal/jobs"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// A job is one line of the file: tires that are filled alike, or emptied.
type job struct {
	row                  int
	machine, wheel, tire string // as written
	count                int
	remove               bool
	fill                 liquid.Fill
	coldest              units.Temperature
	pressure             units.GaugePressure
	purity               units.Fraction
	price                price
	filled               liquid.Filled
	mixture              *liquid.Mixture // nil where nothing is mixed
	mix                  liquid.Mix
	inflated             *liquid.Inflated // nil without a pressure
	problem              error
}

// A price is an amount per mass of the product as it is sold, or per volume of the finished fluid.
type price struct {
	amount float64
	mass   units.Mass
	volume units.Volume
}

var columns = []string{"machine", "wheel", "tire", "count", "action", "fluid", "purity", "valve", "volume", "coldest", "pressure", "price"}

const maxJobs = 1000

// readJobs reads the jobs of a CSV file. A job that cannot be worked out keeps its place with the
// problem; errors are those of the file itself.
func readJobs(data []byte) ([]job, error) {
	text := strings.TrimPrefix(string(data), "\ufeff")
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = true
	if first, _, _ := strings.Cut(text, "\n"); strings.Contains(first, ";") {
		r.Comma = ';'
	}
	head, err := r.Read()
	if err != nil {
		return nil, errors.New("row 1: must name the columns: tire, fluid and any of " + strings.Join(columns, ", "))
	}
	place := map[string]int{}
	for i, h := range head {
		h = strings.ToLower(strings.TrimSpace(h))
		if _, twice := place[h]; twice || !slices.Contains(columns, h) {
			return nil, fmt.Errorf("row 1, column %d: %.40q: must be one of %s, each once", i+1, h, strings.Join(columns, ", "))
		}
		place[h] = i
	}
	for _, c := range []string{"tire", "fluid"} {
		if _, ok := place[c]; !ok {
			return nil, errors.New("row 1: column " + c + " is missing")
		}
	}
	var list []job
	for {
		record, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("must be CSV: %w", err)
		}
		if strings.Join(record, "") == "" {
			continue
		}
		if len(list) == maxJobs {
			return nil, fmt.Errorf("must have at most %d jobs", maxJobs)
		}
		row, _ := r.FieldPos(0)
		cell := func(name string) string {
			if i, ok := place[name]; ok && i < len(record) {
				return strings.TrimSpace(record[i])
			}
			return ""
		}
		j := job{row: row, machine: cell("machine"), wheel: cell("wheel"), tire: cell("tire"), count: 1}
		if j.problem = j.read(cell); j.problem == nil {
			j.problem = j.solve()
		}
		list = append(list, j)
	}
	if len(list) == 0 {
		return nil, errors.New("row 2: must be a job, such as 14.9-24, water")
	}
	return list, nil
}

// read reads the cells of a job.
func (j *job) read(cell func(string) string) error {
	var e units.FieldErrors
	d, err := liquid.ParseDesignation(cell("tire"))
	if err != nil {
		e.JoinText("tire", err)
	} else {
		j.fill.Tire, err = liquid.Tire{Designation: d, Unloaded: true}.Resolve()
		e.Join("tire", err)
	}
	if s := cell("count"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil || n < 1 || n > 8 {
			e.Add("count", fmt.Sprintf("%.20q", s), "must be how many tires are filled alike, 1 to 8")
		}
		j.count = n
	}
	switch s := cell("action"); s {
	case "", "fill":
	case "remove":
		j.remove = true
	default:
		e.Add("action", fmt.Sprintf("%.20q", s), "must be fill or remove")
	}
	kind, strength, _ := strings.Cut(cell("fluid"), " ")
	e.Join("fluid", j.fill.Fluid.Kind.UnmarshalText([]byte(kind)))
	if strength = strings.TrimSpace(strength); strength != "" {
		e.Join("fluid", j.fill.Fluid.Strength.UnmarshalText([]byte(strength)))
	}
	if j.fill.Fluid.Kind == liquid.OtherFluid {
		e.Add("fluid", nil, "must be a fluid whose density is known here; a fluid of one's own is worked out from its label by the library")
	}
	if s := cell("purity"); s != "" {
		if err := j.purity.UnmarshalText([]byte(s)); err != nil {
			e.Join("purity", err)
		} else if !(j.purity >= 0.05 && j.purity <= 1) {
			e.Add("purity", s, "must be from 5 % to 100 %")
		}
	}
	if s := cell("coldest"); s != "" {
		e.Join("coldest", j.coldest.UnmarshalText([]byte(s)))
	}
	if s := cell("pressure"); s != "" {
		e.Join("pressure", j.pressure.UnmarshalText([]byte(s)))
	}
	if j.fill.Fluid.Kind != liquid.Polyurethane {
		clock := 12.0
		if s := cell("valve"); s != "" {
			if clock, err = strconv.ParseFloat(s, 64); err != nil || liquid.ValveAt(clock).Validate() != nil {
				e.Add("valve", fmt.Sprintf("%.20q", s), "must be a clock position above 0 and at most 12, which is the top")
			}
		}
		j.fill.Level = liquid.ValveAt(clock)
		if s := cell("volume"); s != "" {
			v, err := units.ParseVolume(s)
			e.Join("volume", err)
			j.fill.Level = liquid.VolumeOf(v)
		}
	}
	if s := cell("price"); s != "" {
		if j.price, err = parsePrice(s); err != nil {
			e.Join("price", err)
		}
	}
	return e.Err()
}

// parsePrice reads an amount per mass or volume, such as "0.55 per kg".
func parsePrice(s string) (price, error) {
	bad := units.NewFieldError("", s, "must be an amount per kg, lb, L, US gal or imp gal, such as 0.55 per kg")
	amount, unit, ok := strings.Cut(s, " per ")
	v, err := strconv.ParseFloat(strings.TrimSpace(amount), 64)
	if !ok || err != nil || !(v >= 0 && v <= 1e6) {
		return price{}, bad
	}
	p := price{amount: v}
	switch strings.TrimSpace(unit) {
	case "kg":
		p.mass = units.Kilogram
	case "lb":
		p.mass = units.Pound
	case "L":
		p.volume = units.Liter
	case "US gal":
		p.volume = units.USGallon
	case "imp gal":
		p.volume = units.ImperialGallon
	default:
		return price{}, bad
	}
	return p, nil
}

// solve works the job out.
func (j *job) solve() error {
	kind := j.fill.Fluid.Kind
	var err error
	if kind.IsSolution() && j.fill.Fluid.Strength == 0 {
		if j.coldest == 0 || j.remove {
			return units.NewFieldError("fluid", kind.String(), "must have a strength, such as "+kind.String()+" 25 % by mass, or of a fill the coldest temperature beside it")
		}
		if j.fill.Fluid, err = jobs.StrengthFor(kind, j.coldest); err != nil {
			return at("coldest", err)
		}
	}
	if j.filled, err = j.fill.Solve(); err != nil {
		return err
	}
	if j.remove && !j.filled.Flows() {
		return units.NewFieldError("action", "remove", "must be fill: this fill hardens and cannot be taken out")
	}
	if kind.IsSolution() && !j.remove && j.purity > 0 && j.filled.Volume > 0 {
		j.mix = liquid.Mix{Kind: kind, Strength: j.fill.Fluid.Strength, Volume: j.filled.Volume, Purity: j.purity}
		m, err := j.mix.Solve()
		if err != nil {
			return at("fluid", err)
		}
		j.mixture = &m
	}
	if j.pressure != 0 && !j.remove && j.filled.Flows() {
		in, err := liquid.Inflation{Fill: j.fill, Pressure: j.pressure, Valve: liquid.ValveAt(12)}.Solve()
		if err != nil {
			return err
		}
		j.inflated = &in
	}
	if _, ok := j.cost(); !ok && j.price.mass != 0 && kind.IsSolution() && !j.remove {
		return units.NewFieldError("purity", nil, "must be given where the price is per mass of the product")
	}
	return nil
}

// at puts an error at a column.
func at(column string, err error) error {
	var e units.FieldErrors
	e.Join(column, err)
	return e.Err()
}

// cost is that of one wheel, rounded up to hundredths, so that several wheels cost what is written;
// false where there is no price.
func (j *job) cost() (float64, bool) {
	v, ok := j.exact()
	return math.Ceil(v*100-1e-7) / 100, ok
}

func (j *job) exact() (float64, bool) {
	switch {
	case j.remove:
		return 0, false
	case j.price.volume != 0:
		return j.price.amount * float64(j.filled.Volume/j.price.volume), true
	case j.price.mass != 0 && j.mixture != nil:
		return j.price.amount * float64(j.mixture.Product/j.price.mass), true
	case j.price.mass != 0 && !j.fill.Fluid.Kind.IsSolution():
		return j.price.amount * float64(j.filled.Mass/j.price.mass), true
	}
	return 0, false
}

// frost reports whether the fill may freeze at the coldest temperature that is named.
func (j *job) frost() bool {
	return j.coldest != 0 && j.filled.Flows() && (j.filled.Freezing == 0 || j.filled.FreezingBand.High > j.coldest)
}

// cautions are all of the job.
func (j *job) cautions() []units.Remark {
	c := j.filled.Cautions
	if j.mixture != nil {
		c |= j.mixture.Cautions
	}
	if j.inflated != nil {
		c |= j.inflated.Cautions
	}
	return c.Remarks()
}

// notes say how the figures were reached.
func (j *job) notes() []units.Remark {
	n := j.filled.Notes
	if j.mixture != nil {
		n |= j.mixture.Notes
	}
	if j.inflated != nil {
		n |= j.inflated.Notes
	}
	return n.Remarks()
}

// round rounds to a number of decimals, down or up where direction is -1 or 1.
func round(v float64, decimals, direction int) string {
	p := math.Pow10(decimals)
	switch v *= p; {
	case direction < 0:
		v = math.Floor(v)
	case direction > 0:
		v = math.Ceil(v)
	default:
		v = math.Round(v)
	}
	return strconv.FormatFloat(v/p, 'f', decimals, 64)
}
