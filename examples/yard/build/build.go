// Package build makes the page for a phone: one HTML file with the library, compiled to WebAssembly
// and packed, in it. Equal sources and an equal Go toolchain make equal bytes.
package build

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

//go:embed page
var page embed.FS

// library is the program that the browser runs.
const library = "example.com/steelyard/examples/yard/library"

// Page makes the page. It calls the go command in a folder of the examples' module or below it.
func Page(ctx context.Context, dir string) ([]byte, error) {
	tmp, err := os.MkdirTemp("", "yard")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(tmp)
	file := filepath.Join(tmp, "library.wasm")
	env := append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	if _, err := Go(ctx, dir, env, "build", "-trimpath", "-buildvcs=false", "-ldflags", "-s -w -buildid=", "-o", file, library); err != nil {
		return nil, err
	}
	program, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	root, err := Go(ctx, dir, os.Environ(), "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	glue, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return nil, fmt.Errorf("the Go toolchain has no lib/wasm/wasm_exec.js: %w", err)
	}
	return assemble(program, glue)
}

// Policy is the content security policy of a page: nothing is loaded from anywhere, and only the
// script and the style that are in the page are used.
func policy(script, style string) string {
	return "default-src 'none'; script-src " + hash(script) + " 'wasm-unsafe-eval'; style-src " + hash(style) + "; img-src data:; base-uri 'none'; form-action 'none'"
}

func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// assemble puts program, glue and page into one file.
func assemble(program, glue []byte) ([]byte, error) {
	part := map[string]string{}
	for _, name := range []string{"page.html", "page.css", "page.js"} {
		data, err := page.ReadFile("page/" + name)
		if err != nil {
			return nil, err
		}
		part[name] = string(data)
	}
	var packed bytes.Buffer
	w, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(program); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	script, style := string(glue)+part["page.js"], part["page.css"]
	for _, s := range []string{script, style} {
		if low := strings.ToLower(s); strings.Contains(low, "</script") || strings.Contains(low, "</style") || strings.Contains(s, "<!--") || strings.Contains(s, "\r") {
			return nil, errors.New("a script or style cannot stand in the page as it is")
		}
	}
	out := part["page.html"]
	for _, x := range [][2]string{{"policy", policy(script, style)}, {"style", style}, {"script", script}, {"library", base64.StdEncoding.EncodeToString(packed.Bytes())}} {
		mark := "{{" + x[0] + "}}"
		if strings.Count(part["page.html"], mark) != 1 {
			return nil, fmt.Errorf("page.html must have %s once", mark)
		}
		before, after, _ := strings.Cut(out, mark)
		out = before + x[1] + after
	}
	return []byte(out), nil
}

// Go runs the go command in a folder, empty for this one, and returns what it wrote.
func Go(ctx context.Context, dir string, env []string, args ...string) ([]byte, error) {
	c := exec.CommandContext(ctx, "go", args...)
	c.Dir, c.Env = dir, env
	var said bytes.Buffer
	c.Stderr = &said
	out, err := c.Output()
	if err != nil {
		return nil, fmt.Errorf("go %s: %w\n%s", args[0], err, said.Bytes())
	}
	return out, nil
}
