package ballast

import (
	"context"
	"example.com/steelyard/internal/valid"

	"example.com/steelyard/units"
)

// LoadsByHeight is the usable load over the height and the load center, as far as
// the setup says.
type LoadsByHeight struct {
	// Lift is the case asked about; its Height and Load.Center are those of the
	// rows and columns.
	Lift Lift `json:"lift"`
	// Heights are the heights of the rows, of Lift.Datum.
	Heights []units.Length `json:"heights"`
	// Centers are the load centers of the columns.
	Centers []units.Length `json:"centers"`
	// Cells holds a row for each height with a cell for each center.
	Cells [][]Cell `json:"cells"`
	// Notes says how the cells were reached, all of them together.
	Notes Notes `json:"notes,omitempty"`
	// Cautions are what a user of the cells must be shown.
	Cautions Cautions `json:"cautions"`
	// Library is the version of the library that made the answer; see [units.Version].
	Library string `json:"library"`
}

// Cell is the usable load at one height and load center, as in [Usable].
type Cell struct {
	// CapacityRange is the usable load.
	CapacityRange
	// Lift is what the loader can lift.
	Lift CapacityRange `json:"lift"`
	// Carry is what the machine may carry.
	Carry CapacityRange `json:"carry"`
}

// MaxCells is how many cells loads by height may have.
const MaxCells = 10000

// LoadsByHeight returns the usable load of a case at every height and load center;
// see [Envelope.LoadsByHeight].
func (s Setup) LoadsByHeight(ctx context.Context, lift Lift, heights, centers []units.Length) (LoadsByHeight, error) {
	e, err := s.Envelope(Practice{})
	if err != nil {
		return LoadsByHeight{}, err
	}
	return e.LoadsByHeight(ctx, lift, heights, centers)
}

// LoadsByHeight returns the usable load of a case at every height and load center.
// The case's own Height and Load.Center must be left out; any value but zero
// is an error. Heights that the arm does not reach are an error that names
// them, and so are more than [MaxCells] cells.
//
// Once the context is done, the answer holds the heights that were worked out whole by then, with an
// error that wraps ctx.Err(). A nil context never ends.
func (e *Envelope) LoadsByHeight(ctx context.Context, lift Lift, heights, centers []units.Length) (LoadsByHeight, error) {
	var c units.FieldErrors
	if lift.Kind == BreakOut {
		c.Add("lift.kind", lift.Kind, "must not be breakOut: it has one height only")
	}
	if lift.Height != 0 {
		c.Add("lift.height", valid.Show(lift.Height), "must be left out: heights are given apart")
	}
	if stated(lift.Load.Center) {
		c.Add("lift.load.center", valid.ShowInput(lift.Load.Center), "must be left out: centers are given apart")
	}
	if n := len(heights); n < 1 || n > MaxCells {
		c.Add("heights", n, "must have 1 to 10000 entries")
	}
	if n := len(centers); n < 1 || n > MaxCells/max(1, len(heights)) {
		c.Add("centers", n, "must have at least one entry and make no more than 10000 cells")
	}
	if err := c.Err(); err != nil {
		return LoadsByHeight{}, err
	}
	out := LoadsByHeight{Library: units.Version, Lift: lift, Heights: append([]units.Length(nil), heights...), Centers: append([]units.Length(nil), centers...)}
	cells := make([]Cell, len(heights)*len(centers))
	for i, h := range heights {
		row := cells[i*len(centers) : (i+1)*len(centers)]
		out.Cells = append(out.Cells, row)
		for j, center := range centers {
			if err := valid.Ended(ctx, "ballast: loadsByHeight"); err != nil {
				if c.Len() > 0 || i == 0 {
					return LoadsByHeight{}, err
				}
				out.Heights, out.Cells = out.Heights[:i], out.Cells[:i]
				return out, err
			}
			l := lift
			l.Height, l.Load.Center = h, unlessZero(center)
			u, err := e.UsableLoad(l)
			if err != nil {
				cellError(&c, err, i, j)
				if c.Len() >= units.MaxFieldErrors {
					return LoadsByHeight{}, c.Err()
				}
				continue
			}
			row[j] = Cell{u.CapacityRange, u.Lift, u.Carry}
			out.Notes |= u.Notes
			out.Cautions |= u.Cautions
		}
	}
	if err := c.Err(); err != nil {
		return LoadsByHeight{}, err
	}
	return out, nil
}

// cellError names the bad fields of one cell by its row and column, each
// once.
func cellError(c *units.FieldErrors, err error, i, j int) {
	for _, f := range units.Fields(err) {
		switch {
		case f.Path == "lift.height":
			if j == 0 {
				c.Join("", f.At(units.Index("heights", i)))
			}
		case f.Path == "lift.load.center":
			if i == 0 {
				c.Join("", f.At(units.Index("centers", j)))
			}
		case i == 0 && j == 0:
			c.Join("", f)
		}
	}
}
