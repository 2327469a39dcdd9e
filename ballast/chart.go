package ballast

import (
	"context"
	"example.com/steelyard/internal/valid"
	"fmt"

	"example.com/steelyard/units"
)

// Chart is a load chart: the usable load over the height and the load center.
type Chart struct {
	// Lift is the case charted; its Height and Load.Center are those of the
	// chart.
	Lift Lift `json:"lift"`
	// Heights are the heights of the rows, of Lift.Datum.
	Heights []units.Length `json:"heights"`
	// Centers are the load centers of the columns.
	Centers []units.Length `json:"centers"`
	// Cells holds a row for each height with a cell for each center.
	Cells [][]Cell `json:"cells"`
	// Notes says how the cells were reached, all of them together.
	Notes Notes `json:"notes,omitempty"`
	// Cautions are what a user of the chart must be shown.
	Cautions Cautions `json:"cautions"`
}

// Cell is one usable load of a chart, as in [Use].
type Cell struct {
	// Capacity is the usable load.
	Capacity
	// Lift is what the loader can lift.
	Lift Capacity `json:"lift"`
	// Carry is what the machine may carry.
	Carry Capacity `json:"carry"`
}

// MaxChartCells is how many cells a chart may have.
const MaxChartCells = 10000

// Chart compiles the setup and charts a case; see [Model.Chart].
func (s Setup) Chart(ctx context.Context, lift Lift, heights, centers []units.Length) (Chart, error) {
	k, err := s.Compile()
	if err != nil {
		return Chart{}, err
	}
	return k.Chart(ctx, lift, heights, centers)
}

// Chart returns the usable load of a case at every height and load center.
// The case's own Height and Load.Center must be left out; any value but zero
// is an error. Heights that the arm does not reach are an error that names
// them, and so is a chart of more than [MaxChartCells] cells.
//
// The work ends when the context does, with an error that wraps its cause and
// no chart. A nil context never ends.
func (k *Model) Chart(ctx context.Context, lift Lift, heights, centers []units.Length) (Chart, error) {
	if ctx == nil {
		ctx = context.Background()
	}
	var c units.FieldErrors
	if lift.Kind == BreakOut {
		c.Add("lift.kind", lift.Kind, "must not be breakOut: it has one height only")
	}
	if lift.Height != 0 {
		c.Add("lift.height", valid.Show(lift.Height), "must be left out: the chart has its own heights")
	}
	if stated(lift.Load.Center) {
		c.Add("lift.load.center", valid.ShowInput(lift.Load.Center), "must be left out: the chart has its own centers")
	}
	if n := len(heights); n < 1 || n > MaxChartCells {
		c.Add("heights", n, "must have 1 to 10000 entries")
	}
	if n := len(centers); n < 1 || n > MaxChartCells/max(1, len(heights)) {
		c.Add("centers", n, "must have at least one entry and make no more than 10000 cells")
	}
	if err := c.Err(); err != nil {
		return Chart{}, err
	}
	out := Chart{Lift: lift, Heights: append([]units.Length(nil), heights...), Centers: append([]units.Length(nil), centers...)}
	cells := make([]Cell, len(heights)*len(centers))
	for i, h := range heights {
		row := cells[i*len(centers) : (i+1)*len(centers)]
		out.Cells = append(out.Cells, row)
		for j, center := range centers {
			if err := ctx.Err(); err != nil {
				return Chart{}, fmt.Errorf("charting: %w", err)
			}
			l := lift
			l.Height, l.Load.Center = h, unlessZero(center)
			one, err := k.Case(l)
			if err != nil {
				chartError(&c, err, i, j)
				if c.Len() >= units.MaxFieldErrors {
					return Chart{}, c.Err()
				}
				continue
			}
			row[j] = Cell{one.use.Capacity, one.use.Lift, one.use.Carry}
			out.Notes |= one.use.Notes
			out.Cautions |= one.use.Cautions
		}
	}
	if err := c.Err(); err != nil {
		return Chart{}, err
	}
	return out, nil
}

// chartError names the bad fields of one cell by the chart's own paths, each
// once.
func chartError(c *units.FieldErrors, err error, i, j int) {
	for _, f := range units.Fields(err) {
		switch {
		case f.Path == "lift.height":
			if j == 0 {
				c.Add(units.Index("heights", i), f.Value, f.Want)
			}
		case f.Path == "lift.load.center":
			if i == 0 {
				c.Add(units.Index("centers", j), f.Value, f.Want)
			}
		case i == 0 && j == 0:
			c.Join("", f)
		}
	}
}
