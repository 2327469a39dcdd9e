// Command release writes what is handed out: the example programs for Linux, Windows and macOS, each
// for amd64 and arm64, the page for phones, the licenses of all that is in them, and checksums.
//
//	go -C examples run ./internal/release -o FOLDER
//
// Equal sources and an equal Go toolchain give equal bytes, in whatever folder and on whatever
// machine they are built: no C compiler, no paths, no times and no version control have a part in
// them. BUILD.txt names the toolchain.
package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/yard/build"
	"example.com/steelyard/units"
)

// programs are the programs of a release, as folders of the examples' module. The program yard is
// left out: it needs the Go toolchain, and what it makes is in the release.
var programs = []string{"fieldserver", "fills", "handover", "options", "passages", "sweep", "tirejob", "weighin"}

// platforms are those of a release.
var platforms = []string{"darwin/amd64", "darwin/arm64", "linux/amd64", "linux/arm64", "windows/amd64", "windows/arm64"}

const pageName = "yard.html"

func main() {
	os.Exit(cli.Main("release", os.Stderr, func(ctx context.Context) error {
		return run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	}))
}

func run(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	f := flag.NewFlagSet("release", flag.ContinueOnError)
	out := f.String("o", "", "the `folder` to write, which must be empty or not exist")
	only := f.String("platforms", strings.Join(platforms, ","), "the platforms, separated by commas")
	if err := cli.Parse(f, args, stderr); err != nil {
		return err
	}
	if f.NArg() > 0 {
		return cli.Usagef("%s: the program takes only flags, no arguments (-h lists them)", f.Arg(0))
	}
	if *out == "" {
		return cli.Usagef("-o: must name a folder")
	}
	chosen := strings.Split(*only, ",")
	for _, p := range chosen {
		if !slices.Contains(platforms, p) {
			return cli.Usagef("-platforms %s: must be of %s", p, strings.Join(platforms, ", "))
		}
	}
	// The go command runs in the folder of the module, so the folder to write is named in full.
	dir, err := filepath.Abs(*out)
	if err != nil {
		return err
	}
	if list, err := os.ReadDir(dir); err == nil && len(list) > 0 {
		return cli.Usagef("-o %s: must be empty or not exist", *out)
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := release(ctx, dir, chosen, stdout); err != nil {
		return err
	}
	fmt.Fprintf(stdout, "%s\n", *out)
	return nil
}

// release writes all of it.
func release(ctx context.Context, dir string, chosen []string, log io.Writer) error {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	page, err := build.Page(ctx, "")
	if err != nil {
		return err
	}
	write := func(name string, data []byte) error {
		return os.WriteFile(filepath.Join(dir, filepath.FromSlash(name)), data, 0o666)
	}
	if err := write(pageName, page); err != nil {
		return err
	}
	fmt.Fprintf(log, "%s: %.1f MB\n", pageName, float64(len(page))/1e6)
	for _, p := range chosen {
		system, processor, _ := strings.Cut(p, "/")
		name := system + "-" + processor
		env := environment(system, processor)
		// One more path element makes the go command write into a folder.
		args := []string{"build", "-trimpath", "-buildvcs=false", "-ldflags", "-s -w -buildid=", "-o", filepath.Join(dir, name) + string(filepath.Separator)}
		if err := os.MkdirAll(filepath.Join(dir, name), 0o777); err != nil {
			return err
		}
		if _, err := build.Go(ctx, "", env, append(args, packages()...)...); err != nil {
			return err
		}
		// The service finds the page beside itself.
		if err := write(path.Join(name, pageName), page); err != nil {
			return err
		}
		fmt.Fprintf(log, "%s: %d programs\n", name, len(programs))
	}
	licenses, err := licenses(ctx, chosen)
	if err != nil {
		return err
	}
	if err := write("LICENSES.txt", licenses); err != nil {
		return err
	}
	version, err := build.Go(ctx, "", os.Environ(), "env", "GOVERSION")
	if err != nil {
		return err
	}
	if err := write("BUILD.txt", fmt.Appendf(nil, "steelyard %s, built with %s", units.Version, version)); err != nil {
		return err
	}
	sums, err := checksums(dir)
	if err != nil {
		return err
	}
	return write("SHA256SUMS", sums)
}

func packages() (list []string) {
	for _, p := range programs {
		list = append(list, "example.com/steelyard/examples/"+p)
	}
	return list
}

// environment is that of a build: what could change the bytes is set, whatever the caller's is.
func environment(system, processor string) []string {
	return append(os.Environ(), "GOOS="+system, "GOARCH="+processor, "CGO_ENABLED=0", "GOFLAGS=", "GOEXPERIMENT=", "GOAMD64=v1", "GOARM64=v8.0", "GOWORK=off")
}

// A dependency is a module, or the Go toolchain, with the files that say under which license it is.
type dependency struct {
	name  string
	files map[string]string // text by the name of the file in the module
}

var licenseFile = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents)([._-].*)?$`)

// take takes the licenses of a folder and of those above it up to the root of its module.
func (d *dependency) take(root, dir string) error {
	for {
		list, err := os.ReadDir(dir)
		if err != nil {
			return err
		}
		for _, e := range list {
			if e.IsDir() || !licenseFile.MatchString(e.Name()) || strings.HasSuffix(e.Name(), ".go") {
				continue
			}
			text, err := os.ReadFile(filepath.Join(dir, e.Name()))
			if err != nil {
				return err
			}
			name, err := filepath.Rel(root, filepath.Join(dir, e.Name()))
			if err != nil {
				return err
			}
			d.files[filepath.ToSlash(name)] = strings.ReplaceAll(string(text), "\r\n", "\n")
		}
		if dir == root || len(dir) <= len(root) {
			return nil
		}
		dir = filepath.Dir(dir)
	}
}

// A module is one as the go command lists it.
type module struct {
	Path, Version, Dir string
	Main               bool
	Replace            *struct{ Dir string }
}

// licenses lists the licenses of everything that is in the programs and in the page: of this
// project, of the Go toolchain, whose runtime, library and glue for browsers are in them, and of
// each module, with those of the folders that are used. A module without one is an error.
func licenses(ctx context.Context, chosen []string) ([]byte, error) {
	found := map[string]*dependency{}
	root, err := build.Go(ctx, "", os.Environ(), "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	toolchain := strings.TrimSpace(string(root))
	std := &dependency{name: "the Go runtime, standard library and wasm_exec.js", files: map[string]string{}}
	if err := std.take(toolchain, toolchain); err != nil {
		return nil, err
	}
	found[" go"] = std
	targets := [][2]string{{"js", "wasm"}}
	for _, p := range chosen {
		system, processor, _ := strings.Cut(p, "/")
		targets = append(targets, [2]string{system, processor})
	}
	for _, t := range targets {
		list := packages()
		if t[0] == "js" {
			list = []string{"example.com/steelyard/examples/yard/library"}
		}
		out, err := build.Go(ctx, "", environment(t[0], t[1]), append([]string{"list", "-deps", "-json=Dir,Module"}, list...)...)
		if err != nil {
			return nil, err
		}
		for d := json.NewDecoder(bytes.NewReader(out)); ; {
			var p struct {
				Dir    string
				Module *module
			}
			if err := d.Decode(&p); err == io.EOF {
				break
			} else if err != nil {
				return nil, err
			}
			m := p.Module
			if m == nil {
				continue
			}
			if m.Main || m.Replace != nil {
				if found[""] == nil {
					found[""] = &dependency{name: "steelyard", files: map[string]string{}}
				}
				// The license of the project stands beside the library's go.mod.
				if m.Replace != nil {
					if err := found[""].take(m.Dir, m.Dir); err != nil {
						return nil, err
					}
				}
				continue
			}
			if found[m.Path] == nil {
				found[m.Path] = &dependency{name: m.Path + " " + m.Version, files: map[string]string{}}
			}
			if err := found[m.Path].take(m.Dir, p.Dir); err != nil {
				return nil, err
			}
		}
	}
	var b bytes.Buffer
	b.WriteString("What is in these programs and in the page, and under which license it is.\n\n")
	keys := slices.Sorted(maps.Keys(found))
	for _, k := range keys {
		if len(found[k].files) == 0 {
			return nil, fmt.Errorf("%s: no license was found", found[k].name)
		}
		fmt.Fprintf(&b, "- %s\n", found[k].name)
	}
	for _, k := range keys {
		for _, name := range slices.Sorted(maps.Keys(found[k].files)) {
			fmt.Fprintf(&b, "\n%s\n%s: %s\n%s\n\n%s\n", strings.Repeat("=", 78), found[k].name, name, strings.Repeat("=", 78), strings.TrimSpace(found[k].files[name]))
		}
	}
	return b.Bytes(), nil
}

// checksums lists the SHA-256 of every file in a folder, as sha256sum -c reads it.
func checksums(dir string) ([]byte, error) {
	var b bytes.Buffer
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		short, err := filepath.Rel(dir, name)
		if err != nil {
			return err
		}
		fmt.Fprintf(&b, "%x  %s\n", sha256.Sum256(data), filepath.ToSlash(short))
		return nil
	})
	return b.Bytes(), err
}
