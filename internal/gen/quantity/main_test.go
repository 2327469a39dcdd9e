package main

import (
	"bytes"
	"os"
	"testing"
)

// The file in package units must be what this program writes.
func TestGeneratedFileIsCurrent(t *testing.T) {
	want, err := source()
	if err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile("../../../units/quantity_text.go")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Error("units/quantity_text.go is stale: run go generate ./units")
	}
}
