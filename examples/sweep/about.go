package main

import (
	"encoding/json"
	"runtime/debug"
	"slices"
)

// aboutName is the file that says what the columns of a folder of results are. A merged
// file of CSV has one beside it, and Parquet holds the same text in its metadata under
// aboutKey.
const (
	aboutName = "about.json"
	aboutKey  = "steelyard.sweep"
)

// about is what a reader of a table needs to know of it.
type about struct {
	Version int    `json:"version"`
	Title   string `json:"title,omitempty"`
	// Design is the SHA-256 of the design with its base document.
	Design  string   `json:"design"`
	Library string   `json:"library"`
	Plan    planKind `json:"plan"`
	Samples int64    `json:"samples,omitempty"`
	Seed    uint64   `json:"seed"`
	Rows    int64    `json:"rows"`
	// Columns are those of the table in their order.
	Columns []aboutColumn `json:"columns"`
	Notes   []string      `json:"notes"`
}

// aboutColumn says what a column of a table is.
type aboutColumn struct {
	Column string `json:"column"`
	// Name is that of the factor or the output in the design.
	Name   string   `json:"name,omitempty"`
	Kind   string   `json:"kind"` // row, factor, output or refused
	Unit   string   `json:"unit,omitempty"`
	Paths  []string `json:"paths,omitempty"`
	Values []string `json:"values,omitempty"`
}

// aboutTable returns what is to be known of the tables of a job, as JSON. The same design
// and program give the same bytes.
func (d *design) aboutTable(j *job) []byte {
	a := about{Version: 1, Title: d.file.Title, Design: d.id, Library: libraryVersion(), Plan: j.plan.kind, Samples: j.plan.samples, Seed: j.plan.seed, Rows: j.plan.rows}
	a.Columns = append(a.Columns, aboutColumn{Column: rowHeader, Kind: "row"})
	for i, c := range j.columns {
		col := aboutColumn{Column: c.header(), Name: c.name, Kind: "output", Unit: c.unit, Values: c.text}
		if i < len(j.factors) {
			col.Kind, col.Paths = "factor", j.factors[i].paths
		}
		a.Columns = append(a.Columns, col)
	}
	for _, name := range refusedColumns {
		a.Columns = append(a.Columns, aboutColumn{Column: name, Kind: "refused"})
	}
	a.Notes = append([]string{
		"A cell is empty where a limit was not checked or cannot occur, and where the library refused the variant; the last columns then say by a code what it would have accepted, of which field, and which number in which unit it refused.",
		"Numbers are in the units of the International System; slopes and angles are in the unit in which the design gives them, where it does.",
	}, d.cautions()...)
	text, err := json.MarshalIndent(a, "", "  ")
	if err != nil {
		return nil // there is nothing in it that JSON cannot hold
	}
	return append(text, '\n')
}

// libraryVersion returns the version of the library in this program, "(devel)" where it
// was built from a working copy.
func libraryVersion() string {
	const path = "example.com/steelyard"
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	if i := slices.IndexFunc(info.Deps, func(m *debug.Module) bool { return m.Path == path }); i >= 0 {
		if info.Deps[i].Replace != nil {
			return "(devel)"
		}
		return info.Deps[i].Version
	}
	return "(devel)"
}
