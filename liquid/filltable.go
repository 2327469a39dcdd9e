package liquid

import (
	"context"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Bounds of a [Table].
const (
	maxTableTires   = 10000
	maxTableFluids  = 100
	maxTableLevels  = 1000
	maxTableAnswers = 1000000
)

// A TableRow is one tire of a fill table, filled with one fluid.
type TableRow struct {
	// Tire with all its dimensions found.
	Tire Tire `json:"tire"`
	// Fluid that goes in.
	Fluid Fluid `json:"fluid"`
	// Filled holds the answers, one for each level asked for.
	Filled []Filled `json:"filled"`
}

// Table fills each of several tires with each of several fluids to each of
// several levels, such as positions of the valve. It returns a row for each tire
// and fluid, all fluids of the first tire first, with an answer for each level,
// as data for a spreadsheet. Tires of the same shape are worked out once. At most
// 10000 tires, 100 fluids, 1000 levels and a million answers are taken. All bad
// inputs are reported at once, as tires[i], fluids[k] and levels[j]; of a list
// that is too long only the length is reported. Once the context is done, the rows of the
// tires that were worked out by then come with an error that wraps ctx.Err(). A nil context
// never ends.
func Table(ctx context.Context, tires []Tire, fluids []Fluid, t units.Temperature, levels ...Level) ([]TableRow, error) {
	resolved, err := checkTable(tires, fluids, t, levels)
	if err != nil {
		return nil, err
	}
	rows := make([]TableRow, 0, len(tires)*len(fluids))
	done := shapes{levels: levels, fluids: fluids, at: t, most: maxKept}
	for i := range resolved {
		if err := valid.Ended(ctx, "liquid: table"); err != nil {
			return rows, err
		}
		r := &resolved[i]
		for k, answers := range done.fill(r) {
			filled := append(make([]Filled, 0, len(answers)), answers...)
			for j := range filled {
				filled[j].Cautions |= r.Designation.cautions(filled[j].Fraction)
			}
			rows = append(rows, TableRow{*r, fluids[k], filled})
		}
	}
	return rows, nil
}

func checkTable(tires []Tire, fluids []Fluid, t units.Temperature, levels []Level) ([]Tire, error) {
	var e units.FieldErrors
	checkTemperature(&e, t)
	solid := false
	switch {
	case len(fluids) == 0:
		e.Add("fluids", nil, "must hold at least one fluid")
	case len(fluids) > maxTableFluids:
		e.Add("fluids", len(fluids), "must have at most {entries} entries", valid.Text("entries", maxTableFluids))
	default:
		for k, f := range fluids {
			e.Join(units.Index("fluids", k), f.Validate())
			solid = solid || f.Kind == Polyurethane
		}
	}
	switch {
	case len(levels) > maxTableLevels:
		e.Add("levels", len(levels), "must have at most {entries} entries", valid.Text("entries", maxTableLevels))
	case solid && len(levels) > 0:
		e.Add("levels", nil, "must be left out for polyurethane, which fills the whole cavity")
	case len(tires) <= maxTableTires && len(tires)*len(fluids)*len(levels) > maxTableAnswers:
		e.Add("levels", len(levels), "must be fewer: tires, fluids and levels make at most {most} answers", valid.Text("most", maxTableAnswers))
	default:
		for i, l := range levels {
			e.Join(units.Index("levels", i), l.Validate())
		}
	}
	if len(tires) > maxTableTires {
		e.Add("tires", len(tires), "must have at most {entries} entries", valid.Text("entries", maxTableTires))
		return nil, e.Err()
	}
	resolved := make([]Tire, len(tires))
	for i := range tires {
		r, err := tires[i].Resolve()
		e.Join(units.Index("tires", i), err)
		resolved[i] = r
	}
	return resolved, e.Err()
}

// A shape is all of a tire that its answers depend on, but for its cautions.
type shape struct {
	middle, small, large profile
	deflection, smallest units.Length
	valve                Dimension
	notes                Notes
	family               Family
}

// shapes keeps the answers of the shapes that came before, in bounded memory:
// where they are too many it starts again. A tire with known volumes is worked out by itself.
type shapes struct {
	levels []Level
	fluids []Fluid
	at     units.Temperature
	most   int // answers that are kept
	by     map[shape][][]Filled
	kept   int
}

const (
	// maxKept is the number of answers that are kept, about 20 megabytes.
	maxKept = 50000
	// tableFrom is the number of levels from which on the table of a cavity
	// costs less than it saves.
	tableFrom = 40
)

// fill returns the answers of a resolved tire, a list for each fluid.
func (s *shapes) fill(t *Tire) [][]Filled {
	key := shape{
		middle: t.profile(0), small: t.profile(-1), large: t.profile(1), deflection: t.Deflection,
		valve: t.ValveRadius, notes: t.Notes(), family: t.Designation.Family(),
	}
	if t.Deflection == 0 && !t.Unloaded {
		key.smallest = units.Length(t.usualDeflection())
	}
	plain := len(t.Known) == 0
	if plain {
		if got, ok := s.by[key]; ok {
			return got
		}
	}
	c := t.cavity()
	if len(s.levels)*len(s.fluids) >= tableFrom {
		c.tabulate()
	}
	ends := [2]end{t.end(-1), t.end(1)}
	out := make([][]Filled, len(s.fluids))
	for k, f := range s.fluids {
		levels := s.levels
		if f.Kind == Polyurethane {
			levels = []Level{{}}
		}
		out[k] = make([]Filled, len(levels))
		for j, l := range levels {
			if k > 0 && l.Kind != LevelMass && l.Kind != LevelUnknown && s.fluids[0].Kind != Polyurethane {
				out[k][j] = out[0][j].of(f, l, s.at, c.notes)
				continue
			}
			x := c.fill(f, l, s.at)
			c.bandWithin(&x, t, f, l, s.at, &ends)
			out[k][j] = x
		}
	}
	if plain {
		n := len(s.fluids) * max(len(s.levels), 1)
		if s.by == nil || s.kept+n > s.most {
			s.by, s.kept = map[shape][][]Filled{}, 0
		}
		s.kept += n
		s.by[key] = out
	}
	return out
}

// of returns the answer for another fluid at the same level, which must not be
// given as a mass: volumes and places are the same.
func (r Filled) of(f Fluid, l Level, at units.Temperature, tire Notes) Filled {
	p := f.properties(at)
	r.Mass, r.Density = p.Density.Mass(r.Volume), p.Density
	r.Freezing, r.FreezingBand, r.Traits = p.Freezing, p.FreezingBand, p.Traits
	r.Notes = tire | p.Notes | r.Notes&NoteLevelClamped
	r.Cautions = p.cautions() | tire.cautions()
	r.massBand(p.DensitySpread, l, r.FullVolume, r.FullVolume)
	return r
}
