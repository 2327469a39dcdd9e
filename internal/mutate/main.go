// Command mutate breaks the formulas of a package one at a time and reports
// which faults no test notices.
//
//	go -C internal/mutate run . [flags] PACKAGE...
//	go -C internal/mutate run . -sample 300 liquid stability
//
// A fault is one of these: an arithmetic operator is exchanged (+ with -, * with /); a minus or
// a "not" is left out; a comparison is reversed (and, between integers, moved by one); "and" is
// exchanged with "or"; a constant is 5 % greater (an integer, or zero, is one greater); an index
// is one greater; min is exchanged with max, sin with cos and the like; a root, an absolute value
// or a logarithm is left out.
//
// Some changes are known to have no effect and are not tried: numbers below 1e-5 or that near to
// 1 (tolerances), numbers from 1e6 on (stand-ins for no bound), bounds on the steps of iterations,
// results beside an error or a false, capacities given to make, formats, closed choices and bit
// sets, and functions that only make text, such as String. A zero in a comparison stays; the
// comparison is reversed instead.
//
// The work tree is never changed. All faults of a package are compiled at once into its test
// binary through an overlay, each behind a switch that an environment variable controls. A first
// pass records which test reaches which switch, so that each fault is tried only with the tests
// that could notice it. A fault in a constant's declaration gets a separate build. A fault counts
// as noticed if a test fails, crashes or takes more than ten times as long as before. Tests run in
// their short form.
//
// The answers are appended to a log (-log), and a run reuses the answers in it. Use -again after
// tests were added: it tries the survivors once more. The file survivors.txt gives the reason for
// each fault that is known to survive: "equal" faults change no answer and do not count; "open"
// faults count as not noticed.
package main

import (
	"flag"
	"fmt"
	"hash/fnv"
	"log"
	"os"
	"path/filepath"
	"sort"
	"strings"
)

func main() {
	log.SetFlags(0)
	log.SetPrefix("mutate: ")
	o := options{}
	flag.IntVar(&o.sample, "sample", 0, "faults to try for each package, chosen at random; 0 is all")
	flag.Uint64Var(&o.seed, "seed", 1, "of the sample")
	flag.IntVar(&o.parallel, "parallel", 2, "faults tried at once")
	flag.StringVar(&o.files, "files", "", "base names of the files to break, with commas; all numeric files if empty")
	flag.StringVar(&o.with, "with", "", "other packages whose tests may notice the faults too, with commas")
	flag.StringVar(&o.log, "log", filepath.Join(os.TempDir(), "mutate.log"), "where answers are kept")
	flag.BoolVar(&o.again, "again", false, "try the log's survivors once more")
	flag.BoolVar(&o.report, "report", false, "print what the log answers and try nothing")
	flag.BoolVar(&o.list, "list", false, "print the faults and try none")
	flag.Parse()
	if err := toRoot(); err != nil {
		log.Fatal(err)
	}
	if flag.NArg() == 0 {
		log.Fatal("name a package, such as liquid")
	}
	known, err := readSurvivors(filepath.Join("internal", "mutate", "survivors.txt"))
	if err != nil {
		log.Fatal(err)
	}
	done, err := readLog(o.log)
	if err != nil {
		log.Fatal(err)
	}
	for _, pkg := range flag.Args() {
		if err := o.check(strings.TrimPrefix(pkg, "./"), known, done); err != nil {
			log.Fatal(err)
		}
	}
}

type options struct {
	sample, parallel    int
	seed                uint64
	files, with, log    string
	again, list, report bool
}

// check tries the faults of one package and prints its score.
func (o *options) check(pkg string, known survivors, done map[string]string) error {
	dir, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	var only []string
	if o.files != "" {
		only = strings.Split(o.files, ",")
	}
	w, err := prepare(pkg, dir, only)
	if err != nil {
		return err
	}
	if only == nil {
		for _, key := range known.stale(pkg, w.points) {
			fmt.Printf("survivors.txt names a fault that does not exist: %s\n", key)
		}
	}
	chosen := o.choose(pkg, w.points, done)
	if o.report {
		report(pkg, w.points, known, done)
		return nil
	}
	if o.list {
		for _, p := range chosen {
			fmt.Println(p.key(pkg))
		}
		return nil
	}
	var todo []*point
	for _, p := range chosen {
		key := p.key(pkg)
		if known.kind(key) == "equal" {
			continue
		}
		if had, ok := done[key]; !ok || o.again && had != noticed {
			todo = append(todo, p)
		}
	}
	fmt.Printf("%s: %d faults possible, %d chosen, %d to try\n", pkg, len(w.points), len(chosen), len(todo))
	if len(todo) > 0 {
		var with []string
		if o.with != "" {
			with = strings.Split(o.with, ",")
		}
		if err := w.build(with); err != nil {
			return err
		}
		if err := w.try(todo, o.parallel, o.log, done); err != nil {
			return err
		}
	}
	report(pkg, chosen, known, done)
	return nil
}

// choose returns the sample of faults, and those that the log already answers. The sample is the
// faults that come first by a hash of the seed and their text, so that it hardly changes when the
// package does.
func (o *options) choose(pkg string, points []*point, done map[string]string) []*point {
	if o.sample <= 0 || o.sample >= len(points) {
		return points
	}
	rank := map[*point]uint64{}
	for _, p := range points {
		h := fnv.New64a()
		fmt.Fprintf(h, "%d %s", o.seed, p.key(pkg))
		rank[p] = h.Sum64()
	}
	order := append([]*point(nil), points...)
	sort.Slice(order, func(i, j int) bool { return rank[order[i]] < rank[order[j]] })
	last := rank[order[o.sample-1]]
	var chosen []*point
	for _, p := range points {
		if rank[p] <= last || done[p.key(pkg)] != "" {
			chosen = append(chosen, p)
		}
	}
	return chosen
}

// report prints each survivor and a line for each file.
func report(pkg string, chosen []*point, known survivors, done map[string]string) {
	type score struct{ tried, noticed, equal, explained int }
	files := map[string]*score{}
	var names []string
	total := score{}
	for _, p := range chosen {
		s := files[p.file]
		if s == nil {
			s = new(score)
			files[p.file] = s
			names = append(names, p.file)
		}
		key := p.key(pkg)
		switch why := known.kind(key); {
		case why == "equal":
			s.equal++
			total.equal++
			continue
		case done[key] == "":
			continue
		default:
			s.tried++
			total.tried++
			if done[key] == noticed {
				s.noticed++
				total.noticed++
				break
			}
			note := done[key]
			if why != "" {
				s.explained++
				total.explained++
				note += ", explained"
			}
			fmt.Printf("%s/%s:%d: %s: %s\n", pkg, p.file, p.line, note, key)
		}
	}
	sort.Strings(names)
	line := func(name string, s *score) {
		share := 100.0
		if s.tried > 0 {
			share = 100 * float64(s.noticed) / float64(s.tried)
		}
		fmt.Printf("%-28s %5d tried %5d noticed %6.1f %%  %d open and explained, %d equal\n", name, s.tried, s.noticed, share, s.explained, s.equal)
	}
	for _, n := range names {
		line(pkg+"/"+n, files[n])
	}
	line(pkg, &total)
}

// toRoot changes to the root of the library, two folders above this module's.
func toRoot() error {
	for _, dir := range []string{".", filepath.Join("..", "..")} {
		text, err := os.ReadFile(filepath.Join(dir, "go.mod"))
		if err == nil && strings.HasPrefix(string(text), "module example.com/steelyard\n") {
			return os.Chdir(dir)
		}
	}
	return fmt.Errorf("run this from its own folder or from the root of the library")
}
