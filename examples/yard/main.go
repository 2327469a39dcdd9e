// Command yard writes the page for a phone: one HTML file that works without a network, with the
// whole library in it. It needs the Go toolchain; whoever opens the page needs a browser only.
//
//	go -C examples run ./yard                     writes examples/yard.html
//	go -C examples run ./yard -o /tmp/yard.html
//
// Copy the file to the phone and open it there. Phones that do not run a file of their own get the
// same page from fieldserver.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"

	"example.com/steelyard/examples/internal/atomicfile"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/yard/build"
)

func main() {
	os.Exit(cli.Main("yard", os.Stderr, func(ctx context.Context) error {
		return run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	}))
}

func run(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	f := flag.NewFlagSet("yard", flag.ContinueOnError)
	name := f.String("o", "yard.html", "the `file` to write")
	if err := cli.Parse(f, args, stderr); err != nil {
		return err
	}
	if f.NArg() > 0 {
		return cli.Usagef("%s: the program takes only flags, no arguments (-h lists them)", f.Arg(0))
	}
	page, err := build.Page(ctx, "")
	if err != nil {
		return err
	}
	if err := atomicfile.Write(*name, page); err != nil {
		return err
	}
	fmt.Fprintf(stdout, "%s: %.1f MB\n", *name, float64(len(page))/1e6)
	return nil
}
