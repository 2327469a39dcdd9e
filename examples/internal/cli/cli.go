// Package cli holds what the example programs have in common: exit codes, messages on the
// standard error stream, and stopping on a signal.
package cli

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"example.com/steelyard/examples/internal/visible"
	"example.com/steelyard/units"
)

// Exit codes. A program that was stopped by a signal returns 128 and the
// signal's number, as shells do.
const (
	OK       = 0
	Failure  = 1 // something failed while running: a full disk, a lost file
	BadInput = 2 // wrong flags, a missing or wrong input file
)

// ErrUsage marks an error that the caller can correct: a wrong flag, or a file that does not
// exist.
var ErrUsage = errors.New("usage")

type usageError struct{ err error }

func (e usageError) Error() string        { return e.err.Error() }
func (e usageError) Unwrap() error        { return e.err }
func (e usageError) Is(target error) bool { return target == ErrUsage }

// Usage marks err as one that the caller can correct: the exit code is 2.
func Usage(err error) error {
	if err == nil {
		return nil
	}
	return usageError{err}
}

// Usagef returns [Usage] of a formatted error.
func Usagef(format string, args ...any) error { return Usage(fmt.Errorf(format, args...)) }

// Stopped is the error of a program that ended because a signal told it to.
type Stopped struct{ Signal syscall.Signal }

func (s Stopped) Error() string {
	if s.Signal == syscall.SIGINT {
		return "stopped by Ctrl-C"
	}
	return "stopped by a signal: " + s.Signal.String()
}

// ExitCode returns the exit code that an error deserves.
func ExitCode(err error) int {
	var stopped Stopped
	switch {
	case err == nil, errors.Is(err, flag.ErrHelp):
		return OK
	case errors.As(err, &stopped):
		return 128 + int(stopped.Signal)
	case errors.Is(err, ErrUsage), errors.Is(err, units.ErrInvalid):
		return BadInput
	}
	return Failure
}

// Main runs a program and returns its exit code. The context ends with a
// [Stopped] as its cause at the first SIGINT or SIGTERM; a second one ends
// the program on the spot.
func Main(name string, stderr io.Writer, run func(ctx context.Context) error) int {
	ctx, cancel := context.WithCancelCause(context.Background())
	defer cancel(nil)
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, syscall.SIGINT, syscall.SIGTERM)
	defer signal.Stop(signals)
	go func() {
		select {
		case s := <-signals:
			signal.Reset(syscall.SIGINT, syscall.SIGTERM)
			cancel(Stopped{s.(syscall.Signal)})
		case <-ctx.Done():
		}
	}()
	err := run(ctx)
	if err != nil && !errors.Is(err, flag.ErrHelp) {
		Report(stderr, name, err)
	}
	return ExitCode(err)
}

// Bounds of a report. They leave room for every error that the library keeps.
const (
	maxReportLines = 200
	maxReportLine  = 2000 // bytes
)

// Report writes an error for people, with the program's name before each line. An error may
// repeat what a user typed. Hidden characters are therefore replaced, a long line is cut, and
// if there are very many lines the rest is only counted.
func Report(w io.Writer, program string, err error) {
	lines := strings.Split(strings.TrimRight(err.Error(), "\n"), "\n")
	for i, line := range lines {
		if i == maxReportLines {
			fmt.Fprintf(w, "%s: and %d more lines\n", program, len(lines)-i)
			return
		}
		fmt.Fprintf(w, "%s: %s\n", program, visible.Text(visible.Clip(line, maxReportLine)))
	}
}

// Parse parses flags and prints their usage when asked with -h. Its errors
// are usage errors, and only [Main] prints them.
func Parse(f *flag.FlagSet, args []string, stderr io.Writer) error {
	usage := f.Usage
	f.SetOutput(io.Discard)
	f.Usage = func() {}
	err := f.Parse(args)
	f.Usage = usage
	f.SetOutput(stderr)
	if errors.Is(err, flag.ErrHelp) {
		if usage == nil {
			f.PrintDefaults()
		} else {
			usage()
		}
		return err
	}
	if err != nil {
		return Usagef("%w (-h lists the flags)", err)
	}
	return nil
}

// ReadFile reads a file that the caller named and that is at most max bytes long; a dash is the
// standard input. It returns a usage error if the file cannot be read.
func ReadFile(name string, max int64) ([]byte, error) {
	var r io.Reader = os.Stdin
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return nil, Usage(Plain(err))
		}
		defer f.Close()
		r = f
	}
	data, err := io.ReadAll(io.LimitReader(r, max+1))
	if err != nil {
		return nil, Usage(Plain(err))
	}
	if int64(len(data)) > max {
		return nil, Usagef("%s: larger than %d bytes", name, max)
	}
	return data, nil
}

// Plain returns an error about a file with the name of the file first, as in
// "rows.csv: no such file or directory".
func Plain(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return fmt.Errorf("%s: %w", pe.Path, pe.Err)
	}
	return err
}

// IsTerminal reports whether f is a terminal, on which a line may be
// rewritten, rather than a pipe or a file.
func IsTerminal(f *os.File) bool {
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0 && os.Getenv("TERM") != "dumb" && f.Name() != os.DevNull
}
