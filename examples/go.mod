module example.com/steelyard/examples

go 1.24.9

require (
	example.com/steelyard v0.0.0
	github.com/parquet-go/parquet-go v0.32.0
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3
)

require (
	github.com/andybalholm/brotli v1.1.1 // indirect
	github.com/google/uuid v1.6.0 // indirect
	github.com/klauspost/compress v1.17.9 // indirect
	github.com/parquet-go/bitpack v1.0.0 // indirect
	github.com/parquet-go/jsonlite v1.0.0 // indirect
	github.com/pierrec/lz4/v4 v4.1.21 // indirect
	github.com/twpayne/go-geom v1.6.1 // indirect
	golang.org/x/sys v0.38.0 // indirect
	golang.org/x/text v0.23.0 // indirect
	gonum.org/v1/gonum v0.17.0 // indirect
	google.golang.org/protobuf v1.34.2 // indirect
)

replace example.com/steelyard => ../
