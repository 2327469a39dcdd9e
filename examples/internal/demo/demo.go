// Package demo holds the invented tractor of the growers' co-operative, which
// lifts picking bins off trailers in a sloping orchard yard. No figure in it
// is that of a real machine.
package demo

import _ "embed"

// Handover is the input of the handover sheet: the tractor with its loader,
// bin forks, a bucket, and ballast.
//
//go:embed handover.json
var Handover []byte

// Compact is the co-operative's second machine, a compact tractor of about 25 hp,
// as its owner knows it: by brochure, tape and one axle scale.
//
//go:embed compact.json
var Compact []byte
