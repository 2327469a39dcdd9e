package standards

// What the tests hold of the tables against the published files.
const (
	NumSplits = len(splits)
	NumSlips  = len(slips)
)

// SplitRow returns row i of the published front axle shares, in percent.
func SplitRow(i int) (k TractorKind, m ImplementKind, low, high float64) {
	s := &splits[i]
	return s.kind, s.implement, s.row.low, s.row.high
}

// SlipRow returns row i of the published slips, in percent.
func SlipRow(i int) (s TractionSurface, low, high float64) {
	return slips[i].surface, slips[i].row.low, slips[i].row.high
}
