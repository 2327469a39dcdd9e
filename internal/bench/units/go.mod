module example.com/steelyard/internal/bench/units

go 1.24.0

require (
	example.com/steelyard v0.0.0
	github.com/bcicen/go-units v1.0.5
)

require (
	github.com/Knetic/govaluate v3.0.0+incompatible // indirect
	github.com/bcicen/bfstree v1.0.0 // indirect
)

replace example.com/steelyard => ../../..
