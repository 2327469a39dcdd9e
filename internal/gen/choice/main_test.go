package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// The committed files are what the command writes.
func TestGenerated(t *testing.T) {
	for name := range choices {
		want, err := source(name)
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(filepath.Join("..", "..", "..", name, "choice_text.go"))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s/choice_text.go is not what internal/gen/choice writes", name)
		}
	}
}
