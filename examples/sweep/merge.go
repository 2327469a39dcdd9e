package main

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/parquet-go/parquet-go"

	"example.com/steelyard/examples/internal/atomicfile"
	"example.com/steelyard/examples/internal/cli"
)

// results is a finished table, stored as chunks in one or more folders.
type results struct {
	design   *design
	job      *job
	manifest manifest
	files    []string // of each chunk
	entries  []chunkEntry
}

// openResults finds every chunk of a table in folders that runs of its
// shards have filled. It is an error if a chunk is missing.
func openResults(dirs []string) (*results, error) {
	if len(dirs) == 0 {
		return nil, cli.Usagef("name the folders that hold the results")
	}
	var r results
	var shards []string
	for _, dir := range dirs {
		text, err := cli.ReadFile(filepath.Join(dir, designName), maxKeptDesign)
		if err != nil {
			return nil, fmt.Errorf("%w: is %s a folder of results?", err, dir)
		}
		d, err := loadDesign(text, dir, overrides{})
		if err != nil {
			return nil, cli.Usagef("%s: %w", filepath.Join(dir, designName), err)
		}
		if r.design == nil {
			r.design = d
			r.job = d.job()
			r.files = make([]string, r.job.chunks())
			r.entries = make([]chunkEntry, r.job.chunks())
		}
		names, err := filepath.Glob(filepath.Join(dir, "manifest-*.json"))
		if err != nil || len(names) == 0 {
			return nil, cli.Usagef("%s: there is no manifest in it", dir)
		}
		for _, name := range names {
			m, err := readManifest(name)
			if err != nil {
				return nil, err
			}
			if r.manifest.Version == 0 {
				r.manifest = *m
				r.manifest.Design, r.manifest.Rows, r.manifest.ChunkRows = r.design.id, r.job.plan.rows, r.job.chunkRows
			}
			if err := m.sameTable(&r.manifest); err != nil {
				return nil, cli.Usagef("%s: %w", name, err)
			}
			shards = append(shards, m.Shard)
			for _, c := range m.Chunks {
				file := filepath.Join(dir, m.file(c.Chunk))
				switch {
				case c.Chunk < 0 || c.Chunk >= len(r.files):
					return nil, cli.Usagef("%s: it names chunk %d of %d", name, c.Chunk, len(r.files))
				case r.files[c.Chunk] == "":
					r.files[c.Chunk], r.entries[c.Chunk] = file, c
				case r.entries[c.Chunk] != c:
					return nil, cli.Usagef("%s and %s hold the same rows but differ: they come from different programs", r.files[c.Chunk], file)
				}
			}
		}
	}
	if i := slices.Index(r.files, ""); i >= 0 {
		n := 0
		for _, f := range r.files {
			if f == "" {
				n++
			}
		}
		first, _ := r.job.rows(i)
		slices.Sort(shards)
		return nil, cli.Usagef("%d of %d chunks are missing, the first from row %d: there are results of shard %s; run what is missing, then merge again",
			n, len(r.files), first, strings.Join(slices.Compact(shards), ", "))
	}
	return &r, nil
}

// merge writes the whole table as one file, which appears only when it is complete.
func (r *results) merge(ctx context.Context, path string) error {
	out, err := atomicfile.Create(path)
	if err != nil {
		return cli.Usage(cli.Plain(err))
	}
	defer out.Discard()
	buf := bufio.NewWriterSize(out, 1<<18)
	if r.manifest.Format == formatParquet {
		err = r.mergeParquet(ctx, buf)
	} else {
		err = r.mergeCSV(ctx, buf)
	}
	if err == nil {
		err = buf.Flush()
	}
	if err == nil {
		err = out.Commit()
	}
	if err == nil && r.manifest.Format == formatCSV {
		err = atomicfile.Write(path+".json", r.job.about)
	}
	return cli.Plain(err)
}

func (r *results) mergeCSV(ctx context.Context, w io.Writer) error {
	var head bytes.Buffer
	c := r.manifest.Format.writer(&head, r.job.columns, r.manifest.Digits, true)
	if err := c.close(); err != nil {
		return err
	}
	for i, name := range r.files {
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
		f, err := os.Open(name)
		if err != nil {
			return err
		}
		skip := 0
		if i > 0 {
			skip = head.Len()
		}
		err = r.entries[i].copyTo(&skipper{w, skip}, f, name)
		if cerr := f.Close(); err == nil {
			err = cerr
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// skipper drops the first bytes that are written to it.
type skipper struct {
	w io.Writer
	n int
}

func (s *skipper) Write(p []byte) (int, error) {
	drop := min(s.n, len(p))
	s.n -= drop
	if drop == len(p) {
		return drop, nil
	}
	n, err := s.w.Write(p[drop:])
	return drop + n, err
}

func (r *results) mergeParquet(ctx context.Context, w io.Writer) error {
	s, _ := schema(r.job.columns)
	out := newParquetOutput(w, s)
	out.SetKeyValueMetadata(aboutKey, string(r.job.about))
	for i, name := range r.files {
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
		if err := r.entries[i].verify(name); err != nil {
			return err
		}
		// Each chunk is one row group, so that only one is in memory.
		if err := appendParquet(out, name); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	return out.Close()
}

func appendParquet(out *parquet.GenericWriter[any], name string) error {
	f, err := os.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	in, err := parquet.OpenFile(f, info.Size())
	if err != nil {
		return err
	}
	rows := parquet.NewGenericReader[any](in)
	_, err = parquet.CopyRows(out, rows)
	return errors.Join(err, rows.Close(), out.Flush())
}

// stats reads the whole table back for the summary, which therefore describes exactly what
// is in the files.
func (r *results) stats(ctx context.Context, workers int) (*stats, error) {
	total := r.job.newStats()
	chunks := make([]int, len(r.files))
	for i := range chunks {
		chunks[i] = i
	}
	err := inOrder(ctx, chunks, workers,
		func() (struct{}, error) { return struct{}{}, nil },
		func(ctx context.Context, _ struct{}, chunk int) (*stats, error) {
			part, err := r.readChunk(chunk)
			if err != nil && !errors.Is(err, cli.ErrUsage) {
				err = cli.Usagef("%s: %w", r.files[chunk], cli.Plain(err))
			}
			return part, err
		},
		func(_ int, part *stats) error { total.merge(part); return nil })
	return total, err
}

func (r *results) readChunk(chunk int) (*stats, error) {
	name := r.files[chunk]
	if err := r.entries[chunk].verify(name); err != nil {
		return nil, err
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var table tableReader
	if r.manifest.Format == formatParquet {
		info, err := f.Stat()
		if err != nil {
			return nil, err
		}
		table, err = newParquetReader(f, info.Size(), r.job.columns)
		if err != nil {
			return nil, err
		}
	} else if table, err = newCSVReader(bufio.NewReaderSize(f, 1<<16), r.job.columns); err != nil {
		return nil, err
	}
	part := r.job.newStats()
	cells := make([]float64, len(r.job.columns))
	first, end := r.job.rows(chunk)
	for row := first; row < end; row++ {
		got, refused, err := table.next(cells)
		if err == io.EOF {
			return nil, fmt.Errorf("it ends before row %d", row)
		}
		if err != nil {
			return nil, err
		}
		if got != row {
			return nil, fmt.Errorf("row %d is in the place of row %d", got, row)
		}
		part.add(row, cells, refused)
	}
	return part, nil
}
