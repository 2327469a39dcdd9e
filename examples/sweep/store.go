package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"example.com/steelyard/examples/internal/atomicfile"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/lockfile"
)

// A folder of results holds
//
//	design.json                the design, with its base document
//	about.json                 what the columns are: units, paths, seed, notes
//	manifest-0001-of-0004.json what the run of a shard has finished
//	chunk-00000017.csv         the rows of a chunk
//	lock-0001-of-0004          the process that works on a shard at this moment
//
// A chunk gets its name when it is complete and on the disk, and only then enters the
// manifest. If the program is stopped at any point, every file in the manifest is
// complete, and a run that resumes evaluates all other chunks again. Shards may share a
// folder; two processes that would write the same chunks may not.

// shard is the part of the chunks that a run evaluates: part k of n.
type shard struct{ k, n int }

func (s shard) String() string { return fmt.Sprintf("%d/%d", s.k, s.n) }

// span returns the chunks of the shard: first to end-1 of all.
func (s shard) span(chunks int) (first, end int) {
	return int(int64(chunks) * int64(s.k-1) / int64(s.n)), int(int64(chunks) * int64(s.k) / int64(s.n))
}

// manifest lists what a run of a shard has finished.
type manifest struct {
	Version   int          `json:"version"`
	Design    string       `json:"design"` // SHA-256 of design.json
	Shard     string       `json:"shard"`
	Format    format       `json:"format"`
	Digits    int          `json:"digits"`
	Rows      int64        `json:"rows"`
	ChunkRows int64        `json:"chunkRows"`
	Chunks    []chunkEntry `json:"chunks"`
}

// chunkEntry is a chunk that is finished.
type chunkEntry struct {
	Chunk int    `json:"chunk"`
	Bytes int64  `json:"bytes"`
	CRC   uint32 `json:"crc32c"`
}

const designName = "design.json"

func manifestName(s shard) string     { return fmt.Sprintf("manifest-%04d-of-%04d.json", s.k, s.n) }
func lockName(s shard) string         { return fmt.Sprintf("lock-%04d-of-%04d", s.k, s.n) }
func (m *manifest) file(c int) string { return fmt.Sprintf("chunk-%08d.%s", c, m.Format) }

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// store is a folder in which a run of a shard keeps what it has finished.
type store struct {
	dir      string
	shard    shard
	lock     *lockfile.Lock
	manifest manifest
	saved    time.Time
	dirty    bool
}

// openStore prepares a folder for a run, or finds in it what an earlier run of the same
// design and shard has finished. It reports on warn which chunks were damaged since and
// will be evaluated again. The folder's chunks of this shard belong to the store until it
// is closed.
func openStore(dir string, d *design, j *job, s shard, f format, digits int, warn io.Writer) (*store, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, cli.Usage(cli.Plain(err))
	}
	lock, err := lockShard(dir, s, j.chunks())
	if err != nil {
		return nil, err
	}
	st, err := openLocked(dir, d, j, s, f, digits, warn)
	if err != nil {
		lock.Release()
		return nil, err
	}
	st.lock = lock
	return st, nil
}

// close releases the folder for other processes.
func (st *store) close() error { return cli.Plain(st.lock.Release()) }

// lockShard takes the lock of a shard in a folder. No run may be active whose shard has
// another number of parts and chunks in common with it. Two runs that start at the same
// moment may find each other; then both are refused.
func lockShard(dir string, s shard, chunks int) (*lockfile.Lock, error) {
	refused := func(err error) error {
		var held *lockfile.HeldError
		if errors.As(err, &held) {
			return fmt.Errorf("%w: it writes the same chunks; wait until it ends, or choose another folder", err)
		}
		return cli.Plain(err)
	}
	lock, err := lockfile.Acquire(filepath.Join(dir, lockName(s)))
	if err != nil {
		return nil, refused(err)
	}
	first, end := s.span(chunks)
	names, _ := filepath.Glob(filepath.Join(dir, "lock-*"))
	for _, name := range names {
		var o shard
		if n, _ := fmt.Sscanf(filepath.Base(name), "lock-%d-of-%d", &o.k, &o.n); n != 2 || o.n == s.n || o.k < 1 || o.k > o.n {
			continue
		}
		if from, to := o.span(chunks); from >= end || to <= first {
			continue
		}
		other, err := lockfile.Acquire(filepath.Join(dir, lockName(o)))
		if err == nil {
			err = other.Release()
		}
		if err != nil {
			lock.Release()
			return nil, refused(err)
		}
	}
	return lock, nil
}

func openLocked(dir string, d *design, j *job, s shard, f format, digits int, warn io.Writer) (*store, error) {
	st := &store{dir: dir, shard: s, manifest: manifest{
		Version: manifestVersion, Design: d.id, Shard: s.String(), Format: f, Digits: digits, Rows: j.plan.rows, ChunkRows: j.chunkRows,
	}}
	text, err := cli.ReadFile(filepath.Join(dir, designName), maxKeptDesign)
	switch {
	case err == nil && !bytes.Equal(text, d.text):
		return nil, cli.Usagef("%s holds the results of another design, seed or number of samples: choose another folder", dir)
	case errors.Is(err, fs.ErrNotExist):
		if err := onlyOurs(dir); err != nil {
			return nil, err
		}
		if err := atomicfile.Write(filepath.Join(dir, aboutName), j.about); err != nil {
			return nil, cli.Plain(err)
		}
		if err := atomicfile.Write(filepath.Join(dir, designName), d.text); err != nil {
			return nil, cli.Plain(err)
		}
	case err != nil:
		return nil, cli.Plain(err)
	}
	old, err := readManifest(filepath.Join(dir, manifestName(s)))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return st, st.save()
	case err != nil:
		return nil, err
	}
	if err := old.sameTable(&st.manifest); err != nil {
		return nil, cli.Usagef("%s: %w: choose another folder, or the same flags", dir, err)
	}
	first, end := s.span(j.chunks())
	for _, c := range old.Chunks {
		if c.Chunk < first || c.Chunk >= end {
			continue
		}
		if err := c.verify(filepath.Join(dir, old.file(c.Chunk))); err != nil {
			cli.Report(warn, "sweep", fmt.Errorf("%w: its rows are evaluated again", err))
			st.dirty = true
			continue
		}
		st.manifest.Chunks = append(st.manifest.Chunks, c)
	}
	st.removeUnfinished(first, end)
	return st, st.save()
}

// onlyOurs refuses a folder that holds something else, such as a home folder
// named by mistake.
func onlyOurs(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return cli.Usage(cli.Plain(err))
	}
	for _, e := range entries {
		// Another shard may be starting in the same folder at this moment.
		ours := e.Name() == designName || e.Name() == aboutName
		for _, prefix := range []string{atomicfile.TempPrefix, "manifest-", "chunk-", "lock-"} {
			ours = ours || strings.HasPrefix(e.Name(), prefix)
		}
		if !ours {
			return cli.Usagef("%s holds other files, such as %s: give a new or an empty folder", dir, e.Name())
		}
	}
	return nil
}

// removeUnfinished removes the unfinished files of a killed run of this shard.
func (st *store) removeUnfinished(first, end int) {
	left, _ := filepath.Glob(filepath.Join(st.dir, atomicfile.TempPrefix+"chunk-*"))
	for _, name := range left {
		var c int
		rest := strings.TrimPrefix(filepath.Base(name), atomicfile.TempPrefix)
		if n, _ := fmt.Sscanf(rest, "chunk-%d.", &c); n == 1 && c >= first && c < end {
			os.Remove(name)
		}
	}
}

// missing returns the chunks of the shard that are not finished.
func (st *store) missing(chunks int) []int {
	have := map[int]bool{}
	for _, c := range st.manifest.Chunks {
		have[c.Chunk] = true
	}
	var list []int
	first, end := st.shard.span(chunks)
	for c := first; c < end; c++ {
		if !have[c] {
			list = append(list, c)
		}
	}
	return list
}

// add enters a chunk in the manifest. The manifest on the disk is at most one second
// behind, so a kill loses only the chunks of that second.
func (st *store) add(c chunkEntry) error {
	st.manifest.Chunks = append(st.manifest.Chunks, c)
	st.dirty = true
	if time.Since(st.saved) < time.Second {
		return nil
	}
	return st.save()
}

func (st *store) save() error {
	if !st.dirty && !st.saved.IsZero() {
		return nil
	}
	text, err := json.MarshalIndent(&st.manifest, "", "\t")
	if err != nil {
		return err
	}
	if err := atomicfile.Write(filepath.Join(st.dir, manifestName(st.shard)), append(text, '\n')); err != nil {
		return cli.Plain(err)
	}
	st.dirty, st.saved = false, time.Now()
	return nil
}

// chunkFile is a chunk that is being written; it counts the bytes and computes their checksum.
type chunkFile struct {
	*atomicfile.File
	buf   *bufio.Writer
	entry chunkEntry
}

func (st *store) create(chunk int) (*chunkFile, error) {
	f, err := atomicfile.Create(filepath.Join(st.dir, st.manifest.file(chunk)))
	if err != nil {
		return nil, cli.Plain(err)
	}
	c := &chunkFile{File: f, entry: chunkEntry{Chunk: chunk}}
	c.buf = bufio.NewWriterSize(writerFunc(func(p []byte) (int, error) {
		n, err := f.Write(p)
		c.entry.Bytes += int64(n)
		c.entry.CRC = crc32.Update(c.entry.CRC, castagnoli, p[:n])
		return n, err
	}), 1<<16)
	return c, nil
}

// finish gives the chunk its name.
func (c *chunkFile) finish() (chunkEntry, error) {
	if err := c.buf.Flush(); err != nil {
		return c.entry, err
	}
	return c.entry, c.Commit()
}

type writerFunc func([]byte) (int, error)

func (f writerFunc) Write(p []byte) (int, error) { return f(p) }

// maxManifestBytes bounds a manifest.
const maxManifestBytes = 256 << 20

// manifestVersion is the version of the tables and of what is said of them: 2 has
// refusals in four columns and slopes in the unit of the design.
const manifestVersion = 2

func readManifest(path string) (*manifest, error) {
	data, err := cli.ReadFile(path, maxManifestBytes)
	if err != nil {
		return nil, err
	}
	var m manifest
	if err := json.Unmarshal(data, &m); err != nil {
		return nil, cli.Usagef("%s: %w: it is damaged; delete it and run the sweep again", path, err)
	}
	if m.Version > 0 && m.Version != manifestVersion {
		return nil, cli.Usagef("%s: it is of version %d, and this program writes version %d, whose tables have other columns; finish it with the program that began it, or run it anew", path, m.Version, manifestVersion)
	}
	if m.Version != manifestVersion || !m.Format.valid() || m.Rows < 1 || m.ChunkRows < 1 {
		return nil, cli.Usagef("%s: it is not the manifest of a sweep", path)
	}
	return &m, nil
}

// sameTable reports how the tables of two manifests differ.
func (m *manifest) sameTable(o *manifest) error {
	switch {
	case m.Design != o.Design:
		return fmt.Errorf("its results are of another design")
	case m.Format != o.Format:
		return fmt.Errorf("its results are in %s, not in %s", m.Format, o.Format)
	case m.Digits != o.Digits:
		return fmt.Errorf("its numbers have %d digits, not %d", m.Digits, o.Digits)
	case m.Rows != o.Rows || m.ChunkRows != o.ChunkRows:
		return fmt.Errorf("its results were cut into chunks by another version of this program")
	}
	return nil
}

// verify reads a finished chunk and compares it with its entry.
func (c chunkEntry) verify(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return cli.Plain(err)
	}
	defer f.Close()
	return c.copyTo(io.Discard, f, path)
}

// copyTo copies a chunk and reports at the end whether it was damaged.
func (c chunkEntry) copyTo(w io.Writer, r io.Reader, path string) error {
	sum := crc32.New(castagnoli)
	n, err := io.Copy(io.MultiWriter(w, sum), io.LimitReader(r, c.Bytes+1))
	if err != nil {
		return err
	}
	if n != c.Bytes {
		return cli.Usagef("%s: its size is not the %d bytes that were written: it was cut short or changed since", path, c.Bytes)
	}
	if sum.Sum32() != c.CRC {
		return cli.Usagef("%s: its bytes were changed after it was written", path)
	}
	return nil
}
