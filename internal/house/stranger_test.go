package house

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// TestStranger builds three short programs, one for each kind of user, in a
// module of its own that only names this one, as a stranger would: nothing
// they need may be internal, and what they print is known from elsewhere.
func TestStranger(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles a module from nothing")
	}
	home, err := filepath.Abs(root)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("testdata", "stranger"))); err != nil {
		t.Fatal(err)
	}
	mod := "module example.org/orchard\n\ngo 1.24.0\n\nrequire " + module + " v0.0.0\n\nrequire gonum.org/v1/gonum v0.17.0 // indirect\n\nreplace " + module + " => " + home + "\n"
	for name, text := range map[string]string{"go.mod": mod, "go.sum": read(t, "go.sum")} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct{ program, want string }{
		// Filled to the valve at 12 o'clock: about 75 % (common practice, no
		// source); water freezes at 273.15 K.
		{"embed", "<nil> <nil> 0.75 273.15 K\nlevel.clock: 13: must be above 0 and at most 12, which is the top\n"},
		// tan b = (T/2)(L - x)/(L h - h_p x), by hand: 0.75 x 1.4/(2.4 h - 0.45).
		{"research", "0.7143 tipsRight <nil>\n0.6140 tipsRight <nil>\n0.5385 tipsRight <nil>\n"},
		// ISO 4254-10 Annex B, by hand: (1100 x 1.7 - 1100 x 2.1 + 0.2 x 2800 x 2.1)/3.3
		// = 223.03 kg = 491.7 lb, a requirement and so rounded up.
		{"dealer", "223.03 492 lb\n"},
	} {
		run := exec.Command("go", "run", "./"+c.program)
		run.Dir = dir
		run.Env = append(os.Environ(), "GOWORK=off", "GOFLAGS=-mod=mod", "GOPROXY=off")
		out, err := run.CombinedOutput()
		if err != nil || string(out) != c.want {
			t.Errorf("%s: %v\n%s\nwant\n%s", c.program, err, out, c.want)
		}
	}
}
