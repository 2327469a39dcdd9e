package main

import (
	_ "embed"
	"encoding/json"
)

// description is the OpenAPI description of the service. It is made from the
// Go types by the test of this package: go -C examples test ./fieldserver -run OpenAPI -update.
//
//go:embed openapi.json
var description []byte

func openAPI() json.RawMessage { return description }
