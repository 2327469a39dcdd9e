package units

import (
	"encoding/csv"
	"flag"
	"fmt"
	"go/constant"
	"go/parser"
	"go/token"
	"go/types"
	"math"
	"math/big"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.com/steelyard/internal/validation"
)

var update = flag.Bool("update", false, "rewrite UNITS.md")

// table reads a file of test data whose comment lines begin with #.
func table(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, head := range rows[0] {
			m[head] = row[i]
		}
		out = append(out, m)
	}
	return out
}

// unitOf finds the unit of a row of test data.
func unitOf(t *testing.T, row map[string]string) *unit {
	t.Helper()
	for i := range kinds {
		if k := &kinds[i]; k.typ == row["kind"] {
			if u := k.find(row["symbol"]); u != nil {
				return u
			}
		}
	}
	t.Fatalf("no unit %q of %s", row["symbol"], row["kind"])
	return nil
}

// exact evaluates an expression of decimal numbers and pi with rational
// arithmetic, and says whether pi stood in it. Pi is given to 60 digits.
func exact(t *testing.T, expr string) (*big.Rat, bool) {
	t.Helper()
	const pi = "3.14159265358979323846264338327950288419716939937510582097494"
	irrational := strings.Contains(expr, "pi")
	// Untyped integers would divide as integers.
	src := strings.ReplaceAll(expr, "pi", pi)
	var b strings.Builder
	for i := 0; i < len(src); {
		j := i
		for j < len(src) && (src[j] >= '0' && src[j] <= '9' || src[j] == '.') {
			j++
		}
		if j == i {
			b.WriteByte(src[i])
			i++
			continue
		}
		b.WriteString(src[i:j])
		if !strings.Contains(src[i:j], ".") {
			b.WriteString(".0")
		}
		i = j
	}
	tv, err := types.Eval(token.NewFileSet(), nil, token.NoPos, b.String())
	if err != nil {
		t.Fatalf("%s: %v", expr, err)
	}
	r, ok := new(big.Rat).SetString(constant.ToFloat(tv.Value).ExactString())
	if !ok {
		t.Fatalf("%s: %s is not rational", expr, tv.Value)
	}
	return r, irrational
}

// The factor of each unit must be the float64 nearest to its definition, to
// the last bit; those with pi to the last but one.
func factorsByDefinition(t *testing.T) {
	for i := range kinds {
		for j := range kinds[i].units {
			u := &kinds[i].units[j]
			if u.form == percent {
				continue // arctan(n/100); see slopeForms
			}
			r, irrational := exact(t, u.exact)
			want, _ := r.Float64()
			if u.factor != want && !(irrational && math.Abs(u.factor-want) <= math.Nextafter(want, 2*want)-want) {
				t.Errorf("%s %q: %v, but %s is %v", kinds[i].typ, u.symbol, u.factor, u.exact, want)
			}
		}
	}
}

// NIST SP 811 (2008), Appendix B.8, printed values from memory. The tolerance
// is half of the last printed digit, and nothing where the value is printed
// as exact. The definitions beside them must give the factor to the last bit.
func factorsOfNIST(t *testing.T) {
	rows := table(t, "nist_sp811.csv")
	for _, row := range rows {
		u := unitOf(t, row)
		printed, err := strconv.ParseFloat(row["factor"], 64)
		if err != nil {
			t.Fatal(err)
		}
		if row["exact"] != "" {
			if u.factor != printed {
				t.Errorf("%s: factor %v, printed as exactly %s", row["name"], u.factor, row["factor"])
			}
			continue
		}
		// "4.535924E-01" has six digits behind the point.
		mantissa, exp, _ := strings.Cut(row["factor"], "E")
		e, _ := strconv.Atoi(exp)
		half := 0.5 * math.Pow(10, float64(e-len(mantissa)+2))
		validation.Relative(t, u.factor, printed)
		if math.Abs(u.factor-printed) > half*(1+1e-9) {
			t.Errorf("%s: factor %v, printed %s", row["name"], u.factor, row["factor"])
		}
		r, irrational := exact(t, row["definition"])
		want, _ := r.Float64()
		if u.factor != want && !irrational {
			t.Errorf("%s: factor %v, but %s is %v", row["name"], u.factor, row["definition"], want)
		}
	}
	if len(rows) < 50 {
		t.Errorf("only %d rows", len(rows))
	}
}

// GNU units prints 15 significant digits; the tolerance is half of the last.
// Every unit must stand in the file.
func factorsOfGNUUnits(t *testing.T) {
	seen := map[*unit]bool{}
	for _, row := range table(t, "gnu_units.csv") {
		u := unitOf(t, row)
		seen[u] = true
		n, err := strconv.ParseFloat(row["n"], 64)
		if err != nil {
			t.Fatal(err)
		}
		want, err := strconv.ParseFloat(row["value"], 64)
		if err != nil {
			t.Fatal(err)
		}
		got := u.value(n)
		validation.Relative(t, got, want)
		if math.Abs(got-want) > 5.1e-15*math.Abs(want) {
			t.Errorf("%s %q: %v, GNU units %s", row["kind"], row["symbol"], got, row["value"])
		}
	}
	for i := range kinds {
		for j := range kinds[i].units {
			// Slopes are angles, and the kelvin has no affine scale.
			if i != slopeKind && i != temperatureKind && !seen[&kinds[i].units[j]] {
				t.Errorf("%s %q is not in the file", kinds[i].typ, kinds[i].units[j].symbol)
			}
		}
	}
}

// Fixed points of the scales: ITS-90 and the definition of the degree Celsius
// (273.15 K), of the degree Fahrenheit (32 and 212 at ice and steam), and the
// point where both agree.
func temperatureScales(t *testing.T) {
	for _, c := range []struct {
		text string
		want Temperature
	}{
		{"0 degC", 273.15}, {"-5 degC", 268.15}, {"23 degF", 268.15}, {"268.15 K", 268.15},
		{"32 degF", 273.15}, {"212 degF", 373.15}, {"-40 degF", 233.15}, {"-40 degC", 233.15},
		{"-459.67 degF", 0}, {"-273.15 degC", 0},
	} {
		got, err := ParseTemperature(c.text)
		validation.Off(t, float64(got-c.want), "K")
		if err != nil || math.Abs(float64(got-c.want)) > 1e-13*300 {
			t.Errorf("%s is %v, %v; want %v", c.text, got, err, c.want)
		}
	}
}

// Trigonometry: a 100 % grade is 45 degrees, 1:1 too; 57.735 % is 30 degrees.
func slopeForms(t *testing.T) {
	for _, c := range []struct {
		text    string
		degrees float64
		within  float64
	}{
		{"100 %", 45, 1e-13}, {"1:1", 45, 1e-13}, {"1:2", 26.565051177078, 1e-12}, {"50 %", 26.565051177078, 1e-12},
		{"12 deg", 12, 1e-13}, {"57.735026919 %", 30, 1e-9}, {"-1:2", -26.565051177078, 1e-12},
	} {
		got, err := ParseSlope(c.text)
		validation.Off(t, float64(got.Angle()/Degree)-c.degrees, "degree")
		if err != nil || math.Abs(float64(got.Angle()/Degree)-c.degrees) > c.within {
			t.Errorf("%s is %v, %v; want %v deg", c.text, float64(got.Angle()/Degree), err, c.degrees)
		}
	}
}

// Every exported unit constant must stand in the tables and the other way
// round, under its own name and with its own value; and no spelling may mean
// two units of a kind, nor be both read and refused.
func TestTablesAreWhole(t *testing.T) {
	fset := token.NewFileSet()
	f, err := parser.ParseFile(fset, "unit.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	listed := map[string]bool{}
	for i := range kinds {
		k := &kinds[i]
		if k.units[0].factor != 1 || k.units[0].form != linear {
			t.Errorf("%s: the first unit is not that of SI", k.typ)
		}
		if _, p := k.parse(k.example); p.fault != okay {
			t.Errorf("%s: the example %q is refused", k.typ, k.example)
		}
		spelled := map[string]bool{}
		for j := range k.units {
			u := &k.units[j]
			listed[u.constant] = true
			for _, n := range append([]string{u.symbol}, u.names...) {
				if spelled[n] {
					t.Errorf("%s: %q stands twice", k.typ, n)
				}
				spelled[n] = true
				if got := k.lookup(n); got != u {
					t.Errorf("%s: %q is not read as %q", k.typ, n, u.symbol)
				}
			}
		}
		for _, r := range k.refused {
			if strings.Count(r.why, "%") > strings.Count(r.why, "%q")+strings.Count(r.why, "% ") {
				t.Errorf("%s: stray verb in %q", k.typ, r.why)
			}
			for _, n := range r.names {
				if k.lookup(n) != nil {
					t.Errorf("%s: %q is both refused and read", k.typ, n)
				}
			}
		}
	}
	for name := range f.Scope.Objects {
		if !listed[name] {
			t.Errorf("the constant %s is in no table", name)
		}
	}
}

// UNITS.md must show the tables as they are: go test ./units -update writes it.
func TestDocumentedTable(t *testing.T) {
	want := unitsTable(t)
	if *update {
		if err := os.WriteFile("UNITS.md", []byte(want), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile("UNITS.md")
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Error("UNITS.md is stale: go test ./units -run DocumentedTable -update")
	}
}

func unitsTable(t *testing.T) string {
	nist := map[*unit]bool{}
	for _, row := range table(t, "nist_sp811.csv") {
		nist[unitOf(t, row)] = true
	}
	var b strings.Builder
	b.WriteString(`# Units

Every unit that package units reads, kept true by a test. A quantity counts SI
units; one of the unit is the factor shown. *Exact* says that the definition is
exact and the constant is the float64 nearest to it, to the last bit; *rounded*
that the factor itself is irrational (pi) or that the unit is not a multiple.

Sources: **SI** is the SI brochure (9th edition): units of the SI, their
prefixes and products, and units accepted for use with it. **NIST** is NIST SP
811 (2008), Appendix B.8, whose printed digits were checked from memory. **Parts** are
products and quotients of units that stand in one of them. The code is the common code of
UN/CEFACT Recommendation 20, from memory; where there is none here, no code is
known. A code does not tell gauge from absolute pressure.

The symbol is what is written; the other spellings are read too, and so are
raised digits, carets, multiplication dots and hyphens, and the British endings
-metre and -litre.

`)
	for i := range kinds {
		k := &kinds[i]
		fmt.Fprintf(&b, "## %s\n\n%s%s; SI unit: %s.\n\n", k.typ, strings.ToUpper(k.noun[:1]), k.noun[1:], orDash(k.units[0].symbol))
		b.WriteString("| symbol | constant | factor | | source | code | also read |\n|---|---|---|---|---|---|---|\n")
		for j := range k.units {
			u := &k.units[j]
			standing := "exact"
			switch {
			case strings.Contains(u.exact, "pi"):
				standing = "rounded"
			case u.form == percent:
				standing = "rounded"
			}
			source := "Parts"
			if nist[u] {
				source = "NIST"
			} else if u.form == celsius || u.form == linear && powerOfTen(u.factor) {
				source = "SI"
			}
			var names []string
			for _, n := range u.names {
				names = append(names, "`"+n+"`")
			}
			fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s | %s |\n", orDash(code(u.symbol)), code(u.constant), definition(t, u), standing, source, u.code, strings.Join(names, " "))
		}
		if len(k.refused) > 0 {
			b.WriteString("\nRefused, with a reason:")
			for _, r := range k.refused {
				for _, n := range r.names {
					b.WriteString(" `" + n + "`")
				}
			}
			b.WriteString("\n")
		}
		b.WriteString("\n")
	}
	return strings.TrimSuffix(b.String(), "\n")
}

func definition(t *testing.T, u *unit) string {
	switch u.form {
	case celsius:
		return "n + 273.15"
	case fahrenheit:
		return "(n + 459.67) × 5/9"
	case percent:
		return "arctan(n/100)"
	}
	s := strings.ReplaceAll(u.exact, "*", " × ")
	approx := strconv.FormatFloat(u.factor, 'g', 7, 64)
	if s == approx || !strings.ContainsAny(s, "×/") {
		return s
	}
	if r, irrational := exact(t, u.exact); !irrational {
		if a, _ := new(big.Rat).SetString(approx); a.Cmp(r) == 0 {
			return s + " = " + approx
		}
	}
	return s + " ≈ " + approx
}

func powerOfTen(f float64) bool {
	digits, _, _ := strings.Cut(strconv.FormatFloat(f, 'e', -1, 64), "e")
	return digits == "1"
}

func code(s string) string {
	if s == "" {
		return ""
	}
	return "`" + s + "`"
}

func orDash(s string) string {
	if s == "" {
		return "(none)"
	}
	return s
}

// Into a unit and out of it again is the same number to the last bits, the
// sign turns with the quantity where the unit is a multiple, and a greater
// number is a greater quantity.
func TestUnitsInvert(t *testing.T) {
	for i := range kinds {
		for j := range kinds[i].units {
			u := &kinds[i].units[j]
			last := math.Inf(-1)
			for _, n := range []float64{-80, -1.5, 0, 0.3, 24, 63.5, 1783.25} {
				v := u.value(n)
				if back := u.count(v); math.Abs(back-n) > 1e-12*math.Max(1, math.Abs(n)) {
					t.Errorf("%s: %v %s comes back as %v", kinds[i].typ, n, u.symbol, back)
				}
				if u.form == linear && u.value(-n) != -v {
					t.Errorf("%s: %v %s has another size below zero", kinds[i].typ, n, u.symbol)
				}
				if !(v > last) {
					t.Errorf("%s: %v %s is no more than what came before", kinds[i].typ, n, u.symbol)
				}
				last = v
			}
		}
	}
}
