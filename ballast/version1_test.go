package ballast_test

import (
	"bufio"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/units"
)

// version1Change is why answers to documents of version 1 are no longer those
// of the revision that wrote them down.
type version1Change struct {
	path   string // a pattern of the paths that the change touches first
	reason string
}

// version1Changes are tried in their order.
var version1Changes = []version1Change{
	{`^check0\.(governing|left)$`, "Governing and Left of a check, which spoke of two limits, are MostUsed and Nearest"},
	{`refused: (height|kind)$`, "the path of an error of a call begins with the name of the parameter"},
	{`hydraulic|^plan\.best\.answers\.[0-9]+\.usable$`, "1/F of the lift is linear between rated points; one rated point counts; a way that leaves the rated heights has an upper bound; a height of the attachment that is not given counts on a slope"},
	{`^plan\.best\.answers\.[0-9]+\.limit$`, "a plan holds for every machine that its setup and its lifts leave open, among them those of another load center"},
	{`(frontTire|rearTire)s?\b`, "a tire's limit without a pressure, below its table, or without a speed is an upper bound"},
}

// version1Follows are paths of what follows from another change in the same
// answer.
var version1Follows = regexp.MustCompile(`^(use0|check0)\.(mass|governing|status)$|^use0\.limits\.[a-zA-Z]+\.status$|^use0\.rechecks\.[a-zA-Z]+\.(governing|status)$|^plan\.`)

// version1 returns the lines of a file of version 1.
func version1(t *testing.T, name string, packed bool) (lines []string) {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", "version1", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	scan := bufio.NewScanner(f)
	if packed {
		z, err := gzip.NewReader(f)
		if err != nil {
			t.Fatal(err)
		}
		scan = bufio.NewScanner(z)
	}
	scan.Buffer(nil, 1<<20)
	for scan.Scan() {
		lines = append(lines, scan.Text())
	}
	if err := scan.Err(); err != nil {
		t.Fatal(err)
	}
	return lines
}

// fieldPaths lists the paths of an error.
func fieldPaths(err error) []any {
	out := []any{}
	for _, f := range units.Fields(err) {
		out = append(out, f.Path)
	}
	return out
}

// transportKinds are the limits of a transport by the names of version 1, which were
// not those of a lift.
var transportKinds = map[string]ballast.LimitKind{
	"frontLifts": ballast.LimitRearward, "rearLifts": ballast.LimitTipping, "steeredShare": ballast.LimitSteered, "frontAxle": ballast.LimitFrontAxle, "rearAxle": ballast.LimitRearAxle,
	"frontWheels": ballast.LimitFrontRim, "rearWheels": ballast.LimitRearRim, "frontTires": ballast.LimitFrontTire, "rearTires": ballast.LimitRearTire, "gross": ballast.LimitGross, "hitchLift": ballast.LimitHitch,
}

// transportThen is what is compared of the answer to a transport, as it was then: the
// axle loads, and which limits were exceeded.
func transportThen(was any) any {
	old, ok := was.(map[string]any)
	if !ok || old["refused"] != nil {
		return was
	}
	loads := old["loads"].(map[string]any)
	out := map[string]any{"front": loads["front"], "rear": loads["rear"]}
	for _, l := range old["limits"].([]any) {
		l := l.(map[string]any)
		out[l["kind"].(string)] = l["status"] == "exceeded"
	}
	return out
}

// transportNow is the same of the answer now.
func transportNow(a *ballast.TransportAnswer) any {
	out := map[string]any{"front": a.Axles.Front.Low, "rear": a.Axles.Rear.Low}
	for name, k := range transportKinds {
		out[name] = a.Of(k).Verdict == ballast.ExceedsLimit
	}
	return out
}

// answers gives the answers to a document as JSON trees, as version 1 did.
func answers(t *testing.T, text string) map[string]any {
	t.Helper()
	out := map[string]any{}
	d, err := ballast.Decode(strings.NewReader(text))
	if err != nil {
		out["refused"] = fieldPaths(err)
		return out
	}
	put := func(key string, v any, err error) {
		if err != nil {
			out[key] = map[string]any{"refused": fieldPaths(err)}
			return
		}
		b, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		var tree any
		if err := json.Unmarshal(b, &tree); err != nil {
			t.Fatal(err)
		}
		out[key] = tree
	}
	w, err := d.Setup.WheelLoads()
	put("wheels", w, err)
	for i, l := range d.Lifts {
		k, err := d.Setup.Compile()
		if err != nil {
			put(fmt.Sprintf("use%d", i), nil, err)
			continue
		}
		c, err := k.Case(l)
		if err != nil {
			put(fmt.Sprintf("use%d", i), nil, err)
			continue
		}
		put(fmt.Sprintf("use%d", i), c.Use(), nil)
		put(fmt.Sprintf("check%d", i), c.Check(l.Load.Mass), nil)
	}
	if d.Needs != nil {
		p, err := d.Plan(t.Context())
		put("plan", p, err)
	}
	if d.Transport != nil {
		a, err := d.Transport.Check()
		put("transport", transportNow(&a), err)
	}
	return out
}

var version1Number = regexp.MustCompile(`^([-+]?[0-9.]+(?:e[-+]?[0-9]+)?)(.*)$`)

// differ calls f for every value of the old tree that the new one does not
// have. Entries of a list that name their kind are matched by it.
func differ(path string, old, now any, f func(path, old, now string)) {
	text := func(v any) string {
		b, _ := json.Marshal(v)
		return string(b)
	}
	switch o := old.(type) {
	case map[string]any:
		n, ok := now.(map[string]any)
		if !ok {
			f(path, text(old), text(now))
			return
		}
		keys := make([]string, 0, len(o))
		for k := range o {
			keys = append(keys, k)
		}
		slices.Sort(keys)
		for _, k := range keys {
			if k == "notes" || k == "cautions" || k == "name" || k == "work" {
				continue
			}
			at := strings.TrimPrefix(path+"."+k, ".")
			if k == "refused" {
				// All errors are told at once now: there may be more.
				for _, e := range o[k].([]any) {
					if now, ok := n[k].([]any); !ok || !slices.Contains(now, e) {
						f(at+": "+fmt.Sprint(e), text(e), text(n[k]))
					}
				}
				continue
			}
			if v, ok := n[k]; ok {
				differ(at, o[k], v, f)
			} else {
				f(at, text(o[k]), "")
			}
		}
	case []any:
		n, ok := now.([]any)
		if !ok {
			f(path, text(old), text(now))
			return
		}
		for i, e := range o {
			name := strconv.Itoa(i)
			var other any
			if i < len(n) {
				other = n[i]
			}
			if m, ok := e.(map[string]any); ok && m["kind"] != nil {
				name = fmt.Sprint(m["kind"])
				for _, x := range n {
					if y, ok := x.(map[string]any); ok && y["kind"] == m["kind"] {
						other = x
					}
				}
			}
			differ(path+"."+name, e, other, f)
		}
		if len(n) < len(o) {
			f(path, text(old), text(now))
		}
	default:
		a, b := text(old), text(now)
		if a == b {
			return
		}
		ma, mb := version1Number.FindStringSubmatch(strings.Trim(a, `"`)), version1Number.FindStringSubmatch(strings.Trim(b, `"`))
		if ma != nil && mb != nil && ma[2] == mb[2] {
			x, _ := strconv.ParseFloat(ma[1], 64)
			y, _ := strconv.ParseFloat(mb[1], 64)
			if math.Abs(x-y) <= 1e-9*math.Abs(x)+1e-7 {
				return
			}
		}
		f(path, a, b)
	}
}

// The 200 documents of version 1 are answered as they were when they were
// written, but for the changes that are named above with their reason and what
// follows from them in the same answer; none of them is without use.
func TestVersion1(t *testing.T) {
	documents, old := version1(t, "documents.jsonl", false), version1(t, "answers.jsonl.gz", true)
	if len(documents) != 200 || len(old) != 200 {
		t.Fatalf("%d documents, %d answers", len(documents), len(old))
	}
	var patterns []*regexp.Regexp
	for _, c := range version1Changes {
		patterns = append(patterns, regexp.MustCompile(c.path))
	}
	used := make([]int, len(patterns))
	unchanged := 0
	for i, text := range documents {
		var was map[string]any
		if err := json.Unmarshal([]byte(old[i]), &was); err != nil {
			t.Fatal(err)
		}
		if was["transport"] != nil {
			was["transport"] = transportThen(was["transport"])
		}
		is := answers(t, text)
		if is["refused"] != nil && was["refused"] == nil {
			t.Errorf("document %d is refused: %v", i, is["refused"])
		}
		delete(was, "weighing") // a record of another form, in a document of its own
		if refused, ok := was["refused"].([]any); ok {
			was["refused"] = slices.DeleteFunc(refused, func(e any) bool { return strings.HasPrefix(fmt.Sprint(e), "weighing") })
		}
		type difference struct{ path, now, before string }
		var rest []difference
		causes := map[int]bool{}
		differ("", was, is, func(path, before, now string) {
			for k, p := range patterns {
				if p.MatchString(path) {
					causes[k] = true
					return
				}
			}
			rest = append(rest, difference{path, now, before})
		})
		for _, d := range rest {
			if len(causes) == 0 || !version1Follows.MatchString(d.path) {
				t.Errorf("document %d: %s: %s, was %s", i, d.path, d.now, d.before)
			}
		}
		changed := false
		for k := range causes {
			used[k]++
			changed = changed || k != 0 // which is a new name only
		}
		if !changed {
			unchanged++
		}
	}
	for k, c := range version1Changes {
		if used[k] == 0 {
			t.Errorf("no answer changed because %s (%s)", c.reason, c.path)
		}
		t.Logf("%d documents: %s", used[k], c.reason)
	}
	t.Logf("%d documents are answered as before", unchanged)
}
