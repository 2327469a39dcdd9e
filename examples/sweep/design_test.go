package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/units"
)

// changed returns the built-in design with one replacement.
func changed(t *testing.T, old, new string) []byte {
	t.Helper()
	if !strings.Contains(string(demo), old) {
		t.Fatalf("no %q in the built-in design", old)
	}
	return []byte(strings.Replace(string(demo), old, new, 1))
}

// paths lists the fields that an error names.
func paths(err error) []string {
	var list []string
	if many, ok := err.(interface{ Unwrap() []error }); ok {
		for _, one := range many.Unwrap() {
			list = append(list, paths(one)...)
		}
		return list
	}
	var f *units.FieldError
	if errors.As(err, &f) {
		list = append(list, f.Path)
	}
	return list
}

// Whatever is wrong in a design is told by its path.
func TestWrongDesigns(t *testing.T) {
	const box = `{"name": "box", "path": "setup.pieces[0].mass", "range": {"low": "200 kg", "high": "700 kg"}}`
	factor := func(s string) []byte { return changed(t, box, s) }
	for _, c := range []struct {
		design []byte
		path   string
	}{
		{changed(t, `"version": 1`, `"version": 2`), "version"},
		{changed(t, `"kind": "saltelli"`, `"kind": "sobol"`), "plan.kind"},
		{changed(t, `"samples": 1024`, `"samples": 0`), "plan.samples"},
		{changed(t, `"samples": 1024`, `"samples": 999999999999999`), "plan"},
		{changed(t, `"kind": "saltelli", "samples": 1024`, `"kind": "grid", "samples": 5`), "plan.samples"},
		{changed(t, `"kind": "saltelli", "samples": 1024`, `"kind": "grid"`), "factors[0]"},
		{changed(t, `"usable",`, `"usabel",`), "outputs[0]"},
		{changed(t, `"usable",`, `"lifts[1].usable",`), "outputs[0]"},
		{changed(t, `"usable",`, `"lifts[x].usable",`), "outputs[0]"},
		{changed(t, `"usable",`, `"governing",`), "outputs[1]"},
		{changed(t, `"wheelbase": "1.95 m"`, `"wheelbase": "95 m"`), "base.setup.machine.wheelbase"},
		{factor(`{}`), "factors[0].path"},
		{factor(`{"path": ""}`), "factors[0].path"},
		{factor(`{"path": "setup.pieces[9].mass", "list": ["1 kg"]}`), "factors[0].path"},
		{factor(`{"path": "setup.pieces[x].mass", "list": ["1 kg"]}`), "factors[0].path"},
		{factor(`{"path": "setup.pieces[0.mass", "list": ["1 kg"]}`), "factors[0].path"},
		{factor(`{"path": "setup.pieces.mass", "list": ["1 kg"]}`), "factors[0].path"},
		{factor(`{"path": "setup.machine.wheelbaes", "list": ["1 m"]}`), "factors[0].path"},
		{factor(`{"path": "setup.machine.mass[0]", "list": ["1 kg"]}`), "factors[0].path"},
		{factor(`{"path": "setup.machine.mass.x", "list": ["1 kg"]}`), "factors[0].path"},
		{factor(`{"path": "setup.machine.mass"}`), "factors[0]"},
		{factor(`{"path": "setup.machine.mass", "list": ["1 kg"], "range": {"low": "1 kg", "high": "2 kg"}}`), "factors[0]"},
		{factor(`{"path": "setup.machine.mass", "list": []}`), "factors[0].list"},
		{factor(`{"path": "setup.machine.mass", "list": ["1 m"]}`), "factors[0].list[0]"},
		{factor(`{"path": "setup.machine.mass", "list": [2]}`), "factors[0].list[0]"},
		{factor(`{"path": "setup.machine.mass", "list": [null]}`), "factors[0].list[0]"},
		{factor(`{"path": "setup.machine.mass", "list": ["1 kg"], "weights": [1, 2]}`), "factors[0].weights"},
		{factor(`{"path": "setup.machine.mass", "list": ["1 kg"], "weights": [-1]}`), "factors[0].weights[0]"},
		{factor(`{"path": "setup.machine.mass", "list": ["1 kg"], "labels": ["a", "b"]}`), "factors[0].labels"},
		{factor(`{"path": "setup.machine.operator", "list": ["giant"]}`), "factors[0].list[0]"},
		{factor(`{"path": "setup.machine.operator", "range": {"low": "light", "high": "heavy"}}`), "factors[0].path"},
		{factor(`{"path": "setup.machine.mass", "range": {"low": "2 kg"}}`), "factors[0].range.high"},
		{factor(`{"path": "setup.machine.mass", "range": {"low": "2 kg", "high": "1 kg"}}`), "factors[0].range.high"},
		{factor(`{"path": "setup.machine.mass", "range": {"low": "1 kg", "high": "2 kg", "steps": 1}}`), "factors[0].range.steps"},
		{factor(`{"path": "setup.machine.mass", "normal": {"mean": "1 kg", "sd": "-1 kg"}}`), "factors[0].normal.sd"},
		{factor(`{"path": "setup.machine.mass", "normal": {"mean": "1 kg", "sd": "1 kg", "low": "99 kg"}}`), "factors[0].normal"},
		{factor(`{"path": "setup.machine.mass", "triangular": {"low": "1 kg", "mode": "5 kg", "high": "3 kg"}}`), "factors[0].triangular.mode"},
		{factor(`{"path": "setup.machine.mass", "lognormal": {"median": "1 kg", "sigma": 0}}`), "factors[0].lognormal.sigma"},
		{factor(`{"path": "setup.machine.mass", "lognormal": {"median": "-1 kg", "sigma": 1}}`), "factors[0].lognormal.median"},
		{factor(`{"path": "setup.machine.mass", "uniform": {}}`), "factors[0]"},
		{factor(`{"path": "setup.machine.cg.x", "list": ["1 m"]}`), "factors[2].path"},
		{factor(`{"path": "setup.machine.cg", "list": [{"x": "1 m"}]}`), "factors[2].path"},
		{changed(t, `"path": "setup.machine.operator", "list": ["none", "light", "heavy"]`, `"path": "setup.machine.cg", "list": [{"x": "1 m"}]`), "factors[7].path"},
		{factor(`{"paths": ["setup.machine.mass", "setup.machine.wheelbase"], "list": ["1 m"]}`), "factors[0].paths"},
	} {
		_, err := loadDesign(c.design, "", overrides{})
		if cli.ExitCode(err) != cli.BadInput || !slices.Contains(paths(err), c.path) {
			t.Errorf("want an error at %s, got exit code %d, %v", c.path, cli.ExitCode(err), err)
		}
	}
}

func mustLoad(t testing.TB, design []byte) *design {
	t.Helper()
	d, err := loadDesign(design, "", overrides{})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// A row is what the library answers to the same document written by hand.
func TestRowsAreTheLibrarysAnswers(t *testing.T) {
	d := mustLoad(t, demo)
	j := d.job()
	w, err := j.worker()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []int64{0, 1, 7, 4711} {
		w.sampler.row(row, w.factors, w.cells)
		x := map[string]float64{}
		for i, f := range d.factors {
			x[f.name] = w.cells[i]
		}
		y := make([]float64, len(d.outputs))
		if err := w.eval.evaluate(w.cells[:len(d.factors)], y); err != nil {
			t.Fatal(err)
		}
		doc, err := ballast.Decode(bytes.NewReader(d.file.Base))
		if err != nil {
			t.Fatal(err)
		}
		s, l := doc.Setup, doc.Lifts[0]
		s.Pieces[0].Mass, s.Pieces[1].Mass = units.Is(units.Mass(x["box"])), units.Is(units.Mass(x["brine"]))
		s.Machine.CG.X, s.Attachment.Face = units.Is(units.Length(x["cgX"])), units.Is(units.Length(x["face"]))
		s.Loader.Cylinders.Pressure = units.Is(units.GaugePressure(x["pressure"]))
		l.Load.Center, l.Load.Sideways = units.Is(units.Length(x["loadCenter"])), units.Is(units.Length(x["sideways"]))
		s.Machine.Operator = []ballast.Operator{ballast.NoOperator, ballast.LightOperator, ballast.HeavyOperator}[int(x["operator"])]
		model, err := s.Compile()
		if err != nil {
			t.Fatal(err)
		}
		one, err := model.Case(l)
		if err != nil {
			t.Fatal(err)
		}
		use, check := one.Use(), one.Check(l.Load.Mass)
		want := []float64{float64(use.Mass), float64(use.Governing), float64(use.Tipping), float64(use.Limit(ballast.LimitHydraulic).Mass),
			float64(use.Limit(ballast.LimitFrontAxle).Mass), float64(check.Axles.Rear)}
		for i := range want {
			if y[i] != want[i] {
				t.Errorf("row %d: %s is %g, want %g", row, d.outputs[i].name, y[i], want[i])
			}
		}
		c, err := func() (*ballast.Case, error) {
			m, err := s.Compile()
			if err != nil {
				return nil, err
			}
			return m.Case(l)
		}()
		if err != nil {
			t.Fatal(err)
		}
		v, err := c.Vehicle(l.Load.Mass)
		if err != nil {
			t.Fatal(err)
		}
		m, err := v.Compile()
		if err != nil {
			t.Fatal(err)
		}
		if got, want := y[6], float64(m.WorstTip().First.Slope()); got != want {
			t.Errorf("row %d: slope is %g, want %g", row, got, want)
		}
	}
}

// The short way to the usable load gives the rows of the long one.
func TestOutputsDoNotDependOnEachOther(t *testing.T) {
	few := mustLoad(t, changed(t, `["usable", "governing", "tipping", "limits.hydraulic", "limits.frontAxle", "axles.rear", "slope"]`, `["usable", "governing", "status"]`))
	many := mustLoad(t, changed(t, `["usable", "governing", "tipping",`, `["usable", "governing", "status",`))
	a, err := few.job().worker()
	if err != nil {
		t.Fatal(err)
	}
	b, err := many.job().worker()
	if err != nil {
		t.Fatal(err)
	}
	k := len(few.factors)
	for row := range int64(500) {
		for _, w := range []*worker{a, b} {
			w.sampler.row(row, w.factors, w.cells)
			if err := w.eval.evaluate(w.cells[:k], w.cells[k:]); err != nil {
				t.Fatal(err)
			}
		}
		if !slices.Equal(a.cells, b.cells[:k+3]) {
			t.Fatalf("row %d: %v, then %v", row, a.cells, b.cells)
		}
	}
}

// One number can be set in several places; a list may hold whole objects and
// things that are no numbers; a grid has its levels.
func TestFactorsOfEveryKind(t *testing.T) {
	design := string(demo)
	from, to := strings.Index(design, `  "plan"`), strings.Index(design, `  "outputs"`)
	design = design[:from] + `
		"plan": {"kind": "grid", "seed": 0},
		"factors": [
			{"name": "ratings", "paths": ["setup.machine.front.rating", "setup.machine.rear.rating"], "range": {"low": "2 t", "high": "4 t", "steps": 3}},
			{"name": "box", "path": "setup.pieces[0]", "labels": ["none", "box"], "list": [
				{"kind": "hitchBox", "mass": "1 kg", "cg": {"x": "-1 m"}, "state": "raised"},
				{"kind": "hitchBox", "mass": "500 kg", "cg": {"x": "-1.2 m", "z": "60 cm"}, "state": "raised"}]},
			{"path": "setup.machine.front.tire.loadIndex", "list": [110, 120]}
		],
	` + design[to:]
	d := mustLoad(t, []byte(design))
	if d.plan.rows != 12 {
		t.Fatalf("%d rows", d.plan.rows)
	}
	j := d.job()
	w, err := j.worker()
	if err != nil {
		t.Fatal(err)
	}
	for row := range d.plan.rows {
		w.sampler.row(row, w.factors, w.cells)
		if err := w.eval.evaluate(w.cells[:3], w.cells[3:]); err != nil {
			t.Fatal(err)
		}
		setup := w.eval.(*variant).evaluator.Setup()
		m := &setup.Machine
		rating := units.Mass(2000 + 1000*float64(row/4))
		index := []uint8{110, 120}[row%2]
		box := []units.Mass{1, 500}[row/2%2]
		if m.Front.Rating.Value() != rating || m.Rear.Rating.Value() != rating || uint8(m.Front.Tire.LoadIndex) != index || setup.Pieces[0].Mass.Value() != box {
			t.Errorf("row %d: ratings %v and %v, index %d, box %v", row, m.Front.Rating.Value(), m.Rear.Rating.Value(), m.Front.Tire.LoadIndex, setup.Pieces[0].Mass.Value())
		}
	}
	if text := j.columns[1].text; !slices.Equal(text, []string{"none", "box"}) {
		t.Errorf("box is written as %q", text)
	}
	if h := j.columns[0].header(); h != "ratings_kg" {
		t.Errorf("header %q", h)
	}
}

// A variant that the library refuses has its reason in the table and no
// numbers; the next one is answered again.
func TestRefusedVariants(t *testing.T) {
	d := mustLoad(t, changed(t, `"range": {"low": "200 kg", "high": "700 kg"}`, `"list": ["-5 kg", "300 kg"]`))
	j := d.job()
	w, err := j.worker()
	if err != nil {
		t.Fatal(err)
	}
	x, y := make([]float64, len(d.factors)), make([]float64, len(d.outputs))
	w.sampler.row(0, w.factors, x)
	for i, box := range []float64{-5, 300, -5, -5, 300} {
		x[0] = box
		err := w.eval.evaluate(x, y)
		if (err != nil) != (box < 0) {
			t.Errorf("%d: box %g: %v", i, box, err)
		}
		if err != nil && !slices.Contains(paths(err), "setup.pieces[0].mass") {
			t.Errorf("%d: %v", i, err)
		}
	}
	x[5] = -1 // the lift's load center
	if err := w.eval.evaluate(x, y); !slices.Contains(paths(err), "lifts[0].load.center") {
		t.Errorf("%v", err)
	}
}

// Every output has a name of its own, and a number or one of its texts.
func TestEveryOutput(t *testing.T) {
	var all []string
	for _, m := range measures {
		if slices.Contains(all, m.name) {
			t.Errorf("%s: twice", m.name)
		}
		all = append(all, m.name)
	}
	list, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	design := string(demo)
	from := strings.Index(design, `"outputs": `) + len(`"outputs": `)
	to := from + strings.Index(design[from:], "]") + 1
	d := mustLoad(t, []byte(design[:from]+string(list)+design[to:]))
	j := d.job()
	w, err := j.worker()
	if err != nil {
		t.Fatal(err)
	}
	k := len(d.factors)
	w.sampler.row(3, w.factors, w.cells)
	if err := w.eval.evaluate(w.cells[:k], w.cells[k:]); err != nil {
		t.Fatal(err)
	}
	answered := 0
	for i, c := range j.columns[k:] {
		v := w.cells[k+i]
		switch {
		case math.IsInf(v, 0):
			t.Errorf("%s: %g", c.name, v)
		case c.text != nil && !(v >= 0 && int(v) < len(c.text)):
			t.Errorf("%s: %g is none of its %d texts", c.name, v, len(c.text))
		case !math.IsNaN(v):
			answered++
		}
	}
	if answered < 20 {
		t.Errorf("%d of %d outputs have an answer", answered, len(all))
	}
}

// A limit that was not checked has no number in the table.
func TestUnknownIsEmpty(t *testing.T) {
	d := mustLoad(t, changed(t, `"limits.hydraulic"`, `"limits.rops"`))
	j := d.job()
	w, err := j.worker()
	if err != nil {
		t.Fatal(err)
	}
	k := len(d.factors)
	w.sampler.row(3, w.factors, w.cells)
	if err := w.eval.evaluate(w.cells[:k], w.cells[k:]); err != nil {
		t.Fatal(err)
	}
	if v := w.cells[k+3]; !math.IsNaN(v) {
		t.Errorf("limits.rops is %g, and no rating is given", v)
	}
}

func TestBaseFile(t *testing.T) {
	dir := t.TempDir()
	design := string(demo)
	at := strings.Index(design, `  "base": `)
	base := strings.TrimSuffix(strings.TrimSpace(design[at+len(`  "base": `):]), "}")
	if err := os.WriteFile(filepath.Join(dir, "machine.json"), []byte(base), 0o644); err != nil {
		t.Fatal(err)
	}
	apart, err := loadDesign([]byte(design[:at]+`"baseFile": "machine.json"}`), dir, overrides{})
	if err != nil {
		t.Fatal(err)
	}
	if whole := mustLoad(t, demo); whole.id != apart.id || !bytes.Equal(whole.text, apart.text) {
		t.Error("a base file makes another design than the same base in place")
	}
}

// A design that was written out is read back as the same design.
func TestDesignIsReadBack(t *testing.T) {
	d := mustLoad(t, demo)
	if again := mustLoad(t, d.text); again.id != d.id {
		t.Error("design.json is another design")
	}
}

func FuzzDesign(f *testing.F) {
	f.Add(demo)
	f.Add([]byte(`{"version":1,"base":{"version":1},"plan":{"kind":"grid"},"factors":[{"path":"setup.machine.mass","list":["1 kg"]}],"outputs":["usable"]}`))
	f.Fuzz(func(t *testing.T, in []byte) {
		d, err := loadDesign(in, "/nowhere", overrides{})
		if err != nil {
			if cli.ExitCode(err) != cli.BadInput {
				t.Errorf("exit code %d: %v", cli.ExitCode(err), err)
			}
			return
		}
		j := d.job()
		w, err := j.worker()
		if err != nil {
			t.Fatal(err)
		}
		k := len(d.factors)
		for _, row := range []int64{0, d.plan.rows / 2, d.plan.rows - 1} {
			w.sampler.row(row, w.factors, w.cells)
			for i, v := range w.cells[:k] {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Errorf("row %d: %s is %g", row, d.factors[i].name, v)
				}
			}
			if w.eval.evaluate(w.cells[:k], w.cells[k:]) != nil {
				continue
			}
			for i, v := range w.cells[k:] {
				if math.IsInf(v, 0) {
					t.Errorf("row %d: %s is %g", row, d.outputs[i].name, v)
				}
			}
		}
	})
}

// FuzzFactor draws from any factor that is accepted: every value is finite and
// within its bounds.
func FuzzFactor(f *testing.F) {
	for _, s := range []string{
		`{"path": "setup.machine.mass", "range": {"low": "1 kg", "high": "2 kg", "steps": 3}}`,
		`{"path": "setup.machine.mass", "range": {"low": "-1e308 kg", "high": "1e308 kg"}}`,
		`{"path": "setup.machine.mass", "normal": {"mean": "1 kg", "sd": "1e-300 kg", "low": "0 kg", "high": "1 t"}}`,
		`{"path": "setup.machine.mass", "triangular": {"low": "1 kg", "mode": "1 kg", "high": "2 kg"}}`,
		`{"path": "setup.machine.mass", "lognormal": {"median": "1e99 kg", "sigma": 10}}`,
		`{"path": "lifts[0].factor", "list": [1, 2e308], "weights": [1e-300, 0]}`,
		`{"path": "setup.machine.mass", "list": ["1 kg", "2 lb"], "weights": [1, 1e12]}`,
	} {
		f.Add(s)
	}
	doc, err := decodeBase(mustLoad(f, demo).file.Base)
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var bad units.FieldErrors
		list := readFactors(&designFile{Factors: []json.RawMessage{json.RawMessage(text)}}, doc, &bad)
		if bad.Err() != nil {
			return
		}
		check := func(v float64) {
			if math.IsNaN(v) || math.IsInf(v, 0) || list[0].list != nil && (v < 0 || int(v) >= len(list[0].list)) {
				t.Errorf("%s: %g", text, v)
			}
		}
		for _, u := range []float64{0x1p-53, 1e-9, 0.3, 0.5, 0.9, 1 - 0x1p-53} {
			check(list[0].quantile(u))
		}
		if n := list[0].levels; n > 0 {
			for _, i := range []int64{0, n / 2, n - 1} {
				check(list[0].level(i))
			}
		}
	})
}

func FuzzResolve(f *testing.F) {
	for _, s := range []string{"setup.pieces[0].mass", "setup.loader.rated[1]", "a..b", "[", "[0]", "setup.pieces[-1]", "setup.machine.cg.x"} {
		f.Add(s)
	}
	doc, err := decodeBase(mustLoad(f, demo).file.Base)
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, path string) {
		v, err := resolve(doc, path)
		if err == nil && (!v.CanSet() || v.Kind() == reflect.Invalid) {
			t.Errorf("%q: cannot be set", path)
		}
	})
}

// Every input of a document is set by numbers of its quantity.
func TestEveryInputHasItsNumber(t *testing.T) {
	seen := map[reflect.Type]bool{}
	var walk func(typ reflect.Type)
	walk = func(typ reflect.Type) {
		switch typ.Kind() {
		case reflect.Pointer, reflect.Slice:
			walk(typ.Elem())
			return
		case reflect.Struct:
		default:
			return
		}
		if seen[typ] {
			return
		}
		seen[typ] = true
		if !strings.HasPrefix(typ.Name(), "Input[") {
			for i := range typ.NumField() {
				walk(typ.Field(i).Type)
			}
			return
		}
		if got := numberOf(reflect.New(typ).Elem()); got.Kind() != reflect.Float64 || !strings.Contains(typ.Name(), got.Name()) {
			t.Errorf("%v is set by %v", typ, got)
		}
	}
	walk(reflect.TypeFor[ballast.Document]())
	if len(seen) < 20 {
		t.Errorf("%d types", len(seen))
	}
}
