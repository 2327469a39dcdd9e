package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/steelyard/examples/internal/golden"
)

// typed are the answers of a session about the demo's machine, one a line; one has no unit,
// one is out of range, and both are asked for again.
const typed = `2600 kg
forks
3 kg
2.046
2.046 m
2.047 m
1.052 m
50 m
1.542 m
2.249 m
0.672 m
0.444 m
0.40 m
1354 kg
1172 kg
`

// session holds a session and returns what it printed and the file that it wrote.
func held(t *testing.T, name, answers string) (page, written string) {
	t.Helper()
	var out bytes.Buffer
	if err := run([]string{"-guide", name}, strings.NewReader(answers), &out, io.Discard); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return out.String(), string(data)
}

// A session asks until each reading can be read, writes the file, says how well the tipping
// load is known and what to read next, and goes on with the same file.
func TestGuide(t *testing.T) {
	name := filepath.Join(t.TempDir(), "mine.csv")
	page, written := held(t, name, typed)
	golden.Check(t, "guide.txt", page)
	for _, want := range []string{"tape,wheelbase,2.046 m,5 mm", "tape,wheelbase,2.047 m,5 mm", "tape,pivotZ,1.542 m,5 mm", "weigh,,,,0.40 m,,1354 kg,1172 kg,"} {
		if !strings.Contains(written, want) {
			t.Errorf("%q is not in the file:\n%s", want, written)
		}
	}
	for _, want := range []string{"must be between 0.2 m and 5 m", "rear wheels would lift under", "What to read next, the best first:", "THE REAR WHEELS"} {
		if !strings.Contains(strings.ToUpper(page), strings.ToUpper(want)) {
			t.Errorf("%q is not in the page:\n%s", want, page)
		}
	}
	// The first reading that is proposed is taken, whatever it asks for.
	again, longer := held(t, name, "1\nbin\n146 kg\n1 kg\n0.69 m\n1616 kg\n1062 kg\nend\n")
	if len(longer) <= len(written) || !strings.HasPrefix(longer, strings.TrimRight(written, "\n")) {
		t.Errorf("the file was\n%s and is\n%s\n%s", written, longer, again)
	}
}

// A session that is ended before anything was typed says so, and writes no file.
func TestGuideEndedAtOnce(t *testing.T) {
	for _, answers := range []string{"end\n", ""} {
		name := filepath.Join(t.TempDir(), "mine.csv")
		err := run([]string{"-guide", name}, strings.NewReader(answers), io.Discard, io.Discard)
		if err == nil || !strings.Contains(err.Error(), "nothing was typed") {
			t.Error(err)
		}
		if _, err := os.Stat(name); err == nil {
			t.Error("there is a file")
		}
	}
}

// Where the axles were left out they are proposed first, and the height of the pin is asked
// for with them.
func TestGuideProposesTheAxles(t *testing.T) {
	name := filepath.Join(t.TempDir(), "mine.csv")
	without := strings.TrimSuffix(typed, "0.40 m\n1354 kg\n1172 kg\n") + "\n\n\n"
	page, written := held(t, name, without+"1\n0.41 m\n1354 kg\n1172 kg\nend\n")
	if page = strings.Join(strings.Fields(page), " "); !strings.Contains(page, "1 Weigh both axles, empty and with the arms down") {
		t.Error(page)
	}
	if !strings.Contains(written, "weigh,,,,0.41 m,,1354 kg,1172 kg,") {
		t.Error(written)
	}
}

// A reading that cannot be right is taken again in its place.
func TestGuideTakesASuspectAgain(t *testing.T) {
	name := filepath.Join(t.TempDir(), "mine.csv")
	bad := strings.Replace(string(demoReadings), "1616 kg,1062 kg", "1616 kg,2341 kg", 1)
	if err := os.WriteFile(name, []byte(bad), 0o600); err != nil {
		t.Fatal(err)
	}
	page, written := held(t, name, "30\n1616 kg\n1062 kg\nend\n")
	page = strings.Join(strings.Fields(page), " ") // without line breaks
	if !strings.Contains(page, "pounds written as kilograms") || !strings.Contains(page, "rear wheels would lift under") {
		t.Error(page)
	}
	if strings.Contains(written, "2341") || strings.Count(written, "\n") != strings.Count(bad, "\n") {
		t.Errorf("%s", written)
	}
}

// Whatever is typed, a session ends, and what it wrote can be read.
func FuzzGuide(f *testing.F) {
	f.Add(typed)
	f.Add(typed + "1\n\n\nend\n")
	f.Add("end\n")
	f.Add("\n\n\n1 kg, \"\n")
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, answers string) {
		file, err := os.CreateTemp(dir, "*.csv")
		if err != nil {
			t.Fatal(err)
		}
		name := file.Name()
		file.Close()
		os.Remove(name)
		defer os.Remove(name)
		_ = run([]string{"-guide", name}, strings.NewReader(answers), io.Discard, io.Discard)
		if data, err := os.ReadFile(name); err == nil {
			if _, err := readCSV(data); err != nil {
				t.Fatalf("%v\n%s", err, data)
			}
		}
	})
}
