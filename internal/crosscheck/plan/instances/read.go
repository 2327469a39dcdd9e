// Package instances reads the random ballast problems of instances.py, which
// describes their format, and builds the integer programs that the solvers of
// the parent folder were given.
package instances

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"

	"example.com/steelyard/internal/integer"
)

type instance struct {
	Columns [][7]int64          `json:"columns"`
	Rows    [][5]int64          `json:"rows"`
	Extra   [][]json.RawMessage `json:"extra"`
}

// Read returns the problems of a file of instances.py. Their objectives are
// grams, then cents.
func Read(r io.Reader) ([]*integer.Problem, error) {
	var out []*integer.Problem
	sc := bufio.NewScanner(r)
	sc.Buffer(nil, 1<<20)
	for sc.Scan() {
		var in instance
		if err := json.Unmarshal(sc.Bytes(), &in); err != nil {
			return nil, fmt.Errorf("line %d: %w", len(out)+1, err)
		}
		p, err := in.problem()
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", len(out)+1, err)
		}
		out = append(out, p)
	}
	return out, sc.Err()
}

func (in *instance) problem() (*integer.Problem, error) {
	n := len(in.Columns)
	p := &integer.Problem{Upper: make([]int64, n), Costs: [][]int64{make([]int64, n), make([]int64, n)}}
	place := map[int64]int{}
	for j, c := range in.Columns {
		p.Upper[j], p.Costs[0][j], p.Costs[1][j] = c[0], c[1], c[2]
		if g := c[6]; g > 0 {
			if _, ok := place[g]; !ok {
				place[g] = len(p.Groups)
				p.Groups = append(p.Groups, nil)
			}
			p.Groups[place[g]] = append(p.Groups[place[g]], j)
		}
	}
	for _, r := range in.Rows {
		row := integer.Row{Coef: make([]int64, n), Bound: r[3]}
		for j, c := range in.Columns {
			if c[5] == 0 || r[4] == 0 {
				row.Coef[j] = c[1] * (r[0] + r[1]*c[3] + r[2]*c[4])
			}
		}
		p.Rows = append(p.Rows, row)
	}
	for _, e := range in.Extra {
		var terms [][2]int64
		row := integer.Row{Coef: make([]int64, n)}
		if len(e) != 2 {
			return nil, fmt.Errorf("an extra row has %d parts", len(e))
		}
		if err := json.Unmarshal(e[0], &terms); err != nil {
			return nil, err
		}
		if err := json.Unmarshal(e[1], &row.Bound); err != nil {
			return nil, err
		}
		for _, t := range terms {
			row.Coef[t[0]] = t[1]
		}
		p.Rows = append(p.Rows, row)
	}
	return p, nil
}
