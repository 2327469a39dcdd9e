package main

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/golden"
)

func TestPassages(t *testing.T) {
	var out bytes.Buffer
	picture := filepath.Join(t.TempDir(), "passages.svg")
	if err := run([]string{"-picture", picture}, &out, io.Discard); err != nil {
		t.Fatal(err)
	}
	golden.Check(t, "passages.txt", out.String())
	drawn, err := os.ReadFile(picture)
	if err != nil {
		t.Fatal(err)
	}
	golden.Check(t, "passages.svg", string(drawn))
	for d := xml.NewDecoder(bytes.NewReader(drawn)); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	for _, part := range []string{"goes over its front axle", "pitch, degrees", "rear axle at rest"} {
		if !strings.Contains(string(drawn), part) {
			t.Errorf("the picture has no %q", part)
		}
	}
	if s := out.String(); !strings.Contains(s, "For engineers") || strings.Contains(s, "comes to rest") {
		t.Error(s)
	}
}

func TestUsage(t *testing.T) {
	for _, args := range [][]string{{"more"}, {"-wrong"}} {
		if err := run(args, io.Discard, io.Discard); !errors.Is(err, cli.ErrUsage) {
			t.Errorf("%q: %v", args, err)
		}
	}
}
