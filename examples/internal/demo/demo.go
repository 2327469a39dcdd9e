// Package demo holds the invented tractor of the growers' co-operative, which
// lifts picking bins off trailers in a sloping orchard yard. No figure in it
// is that of a real machine.
package demo

import (
	_ "embed"

	"example.com/steelyard/examples/internal/paper"
)

// Handover is the input of the handover sheet: the tractor with its loader,
// bin forks, a bucket, and ballast, before all of its plates were read.
//
//go:embed handover.json
var Handover []byte

// Rated is the same tractor once every plate was read.
//
//go:embed rated.json
var Rated []byte

// Compact is the co-operative's second machine, a compact tractor of about 25 hp,
// as its owner knows it: by brochure, tape and one axle scale.
//
//go:embed compact.json
var Compact []byte

//go:embed papers.json
var papers []byte

//go:embed logo.png
var logo []byte

// Papers is what the co-operative's workshop writes on its sheets.
func Papers() (*paper.Papers, error) {
	return paper.DecodePapers(papers, func(string) ([]byte, error) { return logo, nil })
}
