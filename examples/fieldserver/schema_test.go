package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"os"
	"slices"
	"sort"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"example.com/steelyard/ballast"
	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/units"
)

var documents = flag.Int("documents", 2000, "how many valid and how many mutated documents the schema is held against")

// compiled returns a schema as a general-purpose validator reads it.
func compiled(t testing.TB, text []byte, at string) *jsonschema.Schema {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource(ballast.SchemaID, v); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(ballast.SchemaID + at)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// seeds are documents of the present version in which every field stands somewhere, as
// Encode writes them.
func seeds(t testing.TB) (out []string) {
	for _, name := range []string{"../../ballast/testdata/whole.jsonl", "../../ballast/testdata/version1/documents.jsonl"} {
		f, err := os.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		s := bufio.NewScanner(f)
		s.Buffer(nil, 1<<20)
		for s.Scan() {
			d, err := ballast.Decode(strings.NewReader(s.Text()))
			if err != nil {
				continue
			}
			var b bytes.Buffer
			if err := d.Encode(&b); err != nil {
				t.Fatal(err)
			}
			out = append(out, b.String())
		}
	}
	return out
}

// A mutator changes values of a document as parsed JSON.
type mutator struct {
	r      *rand.Rand
	fields map[string]ballast.Field
	rate   float64
	hard   bool // types, keys and texts as well
}

func (m *mutator) walk(v any, path string) any {
	switch x := v.(type) {
	case object:
		for _, key := range slices.Sorted(maps.Keys(x)) {
			at := strings.TrimPrefix(path+"."+key, ".")
			switch {
			case m.r.Float64() < m.rate/2:
				delete(x, key)
			case m.hard && m.r.Float64() < m.rate/8:
				x[key+"s"] = x[key]
				delete(x, key)
			default:
				x[key] = m.walk(x[key], at)
			}
		}
		if m.hard && m.r.Float64() < m.rate/4 {
			m.add(x, path)
		}
		return x
	case []any:
		for i := range x {
			x[i] = m.walk(x[i], path+"[]")
		}
		if m.r.Float64() < m.rate/2 && len(x) > 0 {
			return x[:len(x)-1]
		}
		return x
	}
	if m.r.Float64() >= m.rate {
		return v
	}
	return m.leaf(v, path)
}

// add adds a field of the catalog to a group.
func (m *mutator) add(x object, path string) {
	var in []ballast.Field
	for at, f := range m.fields {
		if name, ok := strings.CutPrefix(at, path+"."); ok && !strings.ContainsAny(name, ".[") {
			in = append(in, f)
		}
	}
	if len(in) == 0 {
		return
	}
	sort.Slice(in, func(i, j int) bool { return in[i].Path < in[j].Path })
	f := in[m.r.IntN(len(in))]
	x[f.Path[strings.LastIndexByte(f.Path, '.')+1:]] = m.leaf(nil, f.Path)
}

// leaf returns another value of a field: within its bounds, at their ends or just beyond.
func (m *mutator) leaf(v any, path string) any {
	f, ok := m.fields[path]
	if !ok {
		return v
	}
	if m.hard && m.r.IntN(6) == 0 {
		return []any{nil, 1.0, -1.0, 0.0, 2.5, "", "none", "unknown", "12", "1.2.3 m", "five kg", "1,5 m", true, object{}, []any{}, object{"low": "1 m"}, object{"low": "2 m", "high": "1 m"}, "0 m", "0 kg", "-3 kg", "1 ft 2 in"}[m.r.IntN(21)]
	}
	switch f.Type {
	case ballast.FieldChoice:
		if len(f.Choices) > 0 {
			return f.Choices[m.r.IntN(len(f.Choices))].Name
		}
	case ballast.FieldFlag:
		return m.r.IntN(2) == 0
	case ballast.FieldText:
		return []string{"", "a bin", "ü\u2009"}[m.r.IntN(3)]
	case ballast.FieldQuantity, ballast.FieldInput:
		one := m.quantity(f)
		if f.Type == ballast.FieldInput && m.r.IntN(4) == 0 {
			return object{"low": one, "high": m.quantity(f)}
		}
		if f.None && m.r.IntN(4) == 0 {
			return "none"
		}
		return one
	case ballast.FieldNumber, ballast.FieldWhole:
		b := f.Bounds[0]
		x := b.Low + (min(b.High, b.Low+20)-b.Low)*m.r.Float64()
		if m.hard {
			x += float64(m.r.IntN(5) - 2)
		}
		if f.Type == ballast.FieldWhole {
			return float64(int64(x))
		}
		return x
	}
	return v
}

func (m *mutator) quantity(f ballast.Field) string {
	b := f.Bounds[m.r.IntN(len(f.Bounds))]
	x := b.Low + (b.High-b.Low)*m.r.Float64()*[]float64{1, 0.1, 0.01}[m.r.IntN(3)]
	if m.hard {
		x = []float64{x, b.Low, b.High, 1.5*b.High + 1, b.Low - 1, 0}[m.r.IntN(6)]
	}
	in := map[string][]func(float64) string{
		"length":        {of[units.Length]("m"), of[units.Length]("in"), of[units.Length]("mm"), of[units.Length]("feet")},
		"mass":          {of[units.Mass]("kg"), of[units.Mass]("lb"), of[units.Mass]("t")},
		"volume":        {of[units.Volume]("L"), of[units.Volume]("US gal"), of[units.Volume]("m³")},
		"density":       {of[units.Density]("kg/m3"), of[units.Density]("lb/US gal")},
		"force":         {of[units.Force]("kN"), of[units.Force]("lbf")},
		"gaugePressure": {of[units.GaugePressure]("kPa gauge"), of[units.GaugePressure]("psig"), of[units.GaugePressure]("bar gauge")},
		"angle":         {of[units.Angle]("deg"), of[units.Angle]("°")},
		"slope":         {of[units.Slope]("%"), of[units.Slope]("deg")},
		"temperature":   {of[units.Temperature]("degC"), of[units.Temperature]("°F"), of[units.Temperature]("K")},
		"speed":         {of[units.Speed]("km/h"), of[units.Speed]("mph")},
		"acceleration":  {of[units.Acceleration]("m/s2"), of[units.Acceleration]("m/s²")},
		"inertia":       {of[units.Inertia]("kg m2")},
		"stiffness":     {of[units.Stiffness]("kN/m"), of[units.Stiffness]("lbf/in")},
		"fraction":      {of[units.Fraction]("%"), func(x float64) string { return fmt.Sprintf("%.4f", x) }},
		"massFraction":  {of[units.MassFraction]("% by mass"), of[units.MassFraction]("kg/kg")},
	}[f.Quantity]
	if len(in) == 0 {
		return "1"
	}
	return in[m.r.IntN(len(in))](x)
}

// of writes a quantity in a unit.
func of[Q units.Quantity](name string) func(float64) string {
	u, err := units.UnitNamed[Q](name)
	if err != nil {
		panic(err)
	}
	return func(x float64) string { return fmt.Sprintf("%.10g %s", u.Count(Q(x)), name) }
}

// beyondSchema are the errors of documents that the schema takes: what no schema says.
// The codes are those of the errors, and "" is an obstacle, whose errors have none yet.
var beyondSchema = map[string]string{
	"": "relations of an obstacle's numbers",

	"want.betweenLowHigh":        "bounds of a quantity",
	"want.leftOutBetweenLowHigh": "bounds of a quantity",

	"want.above0Most10M3":       "bounds of a quantity",
	"want.above0MostMostRange":  "bounds of a quantity",
	"want.above0Most12Which":    "bounds of a quantity",
	"want.mostOneTurnEitherWay": "bounds of a quantity",
	"want.2M2M":                 "bounds of a quantity",
	"want.01":                   "bounds of a quantity",
	"want.010M3":                "bounds of a quantity",
	"want.020000Kg":             "bounds of a quantity",
	"want.02M":                  "bounds of a quantity",
	"want.155Zero2":             "bounds of a quantity",
	"want.02":                   "bounds of a quantity",
	"want.speedOfTravel":        "bounds of a quantity",
	"want.decelerationGiven":    "bounds of a quantity",

	"want.leftOutMostSpreadCorrected":     "relations of a tire's numbers",
	"want.zeroHalfValue":                  "relations of a tire's numbers",
	"want.mostCrownSpreadEitherWay":       "relations of a tire's numbers",
	"want.withinShareWhatDesignationSays": "relations of a tire's numbers",
	"want.exceedRimDiameterByLeast":       "relations of a tire's numbers",
	"want.most45SectionHeightTogether":    "relations of a tire's numbers",
	"want.mostSectionWidth":               "relations of a tire's numbers",
	"want.mostQuarterRimWidth":            "relations of a tire's numbers",
	"want.mostRimWidth":                   "relations of a tire's numbers",
	"want.most60RimRadius":                "relations of a tire's numbers",
	"want.nearRimRadius":                  "relations of a tire's numbers",
	"want.most40SectionHeight":            "relations of a tire's numbers",
	"want.aboveZeroMostVolume":            "relations of a tire's numbers",
	"want.lieWithinTireLowHigh":           "relations of a tire's numbers",
	"want.leftOutOrTravelSpeed":           "relations of numbers",

	"want.noLessThanLow":        "ends of a range",
	"want.noLessThanLowLeast":   "ends of a range",
	"want.notMoreThanMassHigh":  "ends of a range",
	"want.notMoreThanShareHigh": "ends of a range",

	"want.atLeast1CmAbove":   "rising rows",
	"want.moreThanOneBefore": "rising rows",
	"want.moreThanLowestPin": "rising rows",

	"want.atMost15Times":              "relations of numbers",
	"want.atMostHalfMass":             "relations of numbers",
	"want.lieBetweenRearFrontContact": "relations of numbers",
	"want.noMoreThanAtPin":            "relations of numbers",
	"want.withinReachArm":             "relations of numbers",
	"want.withinReachArmNoMoreThan":   "relations of numbers",
	"want.leftOutAgreeWithFrontLoad":  "relations of numbers",
	"want.atLeast2CmFrom":             "relations of numbers",
	"want.wholeNumberGrams":           "relations of numbers",
	"want.divideMostInto11000000":     "relations of numbers",
	"want.holdNoMoreThanMost":         "relations of numbers",
	"want.pushArmUpFromLowestPin":     "relations of numbers",

	"want.givenAxleHasTiresTires":       "pieces against axles",
	"want.noMoreThanAxlesTires":         "pieces against axles",
	"want.leaveRoomForOtherAxle":        "pieces against axles",
	"want.axlesTireWithOverallDiameter": "pieces against axles",
	"want.anotherRestOnGroundOther":     "pieces against each other",
	"want.anotherOtherLiquidInAll":      "pieces against each other",

	"want.nameOneOfList":          "names of loads",
	"want.nameOneOfListOnce":      "names of loads",
	"want.holdWheelbase":          "readings against each other",
	"want.leftOutOrUndercarriage": "an undercarriage that no record of readings has",
	"want.beGivenUnlessBothAxles": "readings against each other",

	"want.nameMountStock":        "names of places",
	"want.givenDifferFromOthers": "names of places",
	"want.haveAtMost200Items":    "items and steps together",

	"want.fractionMustLessThan1":   "numbers in texts",
	"want.finiteButNumberTooLarge": "numbers in texts",
	"want.zeroAtLeast1e300":        "numbers in texts",
}

// older reports whether a text says that it is of an older version, of which the schema knows
// nothing.
func older(text []byte, version int) bool {
	var d struct {
		Version any `json:"version"`
	}
	if json.Unmarshal(text, &d) != nil {
		return false
	}
	v, ok := d.Version.(float64)
	return ok && v < float64(version)
}

// Random documents are valid by the schema exactly when Decode takes them, but for what is
// named in beyondSchema. No document that Decode takes is refused by the schema.
func TestSchemaAgainstDecode(t *testing.T) {
	t.Run("ballast", func(t *testing.T) {
		schemaAgainst(t, compiled(t, ballast.Schema(), ""), ballast.DocumentVersion, ballast.Fields(), seeds(t), func(text []byte, w io.Writer) error {
			d, err := ballast.Decode(bytes.NewReader(text))
			if err != nil || w == nil {
				return err
			}
			return ballast.Encoding{Numbers: true}.Encode(w, d)
		})
	})
	t.Run("weigh", func(t *testing.T) {
		var request struct {
			Weighing json.RawMessage `json:"weighing"`
		}
		if err := json.Unmarshal([]byte(body(t, "/weighing")), &request); err != nil {
			t.Fatal(err)
		}
		seed := `{"version":1,"weighing":` + string(request.Weighing) + `}`
		schemaAgainst(t, compiled(t, weigh.Schema(), ""), weigh.DocumentVersion, weigh.Fields(), []string{seed}, func(text []byte, w io.Writer) error {
			d, err := weigh.Decode(bytes.NewReader(text))
			if err != nil || w == nil {
				return err
			}
			return d.Encode(w)
		})
	})
}

// schemaAgainst holds a schema against decode, which writes a document that it takes anew
// where it gets a writer.
func schemaAgainst(t *testing.T, s *jsonschema.Schema, version int, catalog []ballast.Field, list []string, decode func([]byte, io.Writer) error) {
	fields := map[string]ballast.Field{}
	for _, f := range catalog {
		fields[f.Path] = f
	}
	if testing.Short() {
		*documents = min(*documents, 200)
	}
	r := rand.New(rand.NewPCG(18, 2000))
	valid := func(text []byte) error {
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		return s.Validate(v)
	}
	next := func(m *mutator) []byte {
		var v any
		if err := json.Unmarshal([]byte(list[r.IntN(len(list))]), &v); err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal(m.walk(v, ""))
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	taken, tried := 0, 0
	for ; taken < *documents; tried++ {
		text := next(&mutator{r: r, fields: fields, rate: 0.03 * r.Float64()})
		if older(text, version) || decode(text, nil) != nil {
			continue
		} else if taken%20 == 0 {
			var b bytes.Buffer
			if err := decode(text, &b); err != nil {
				t.Fatal(err)
			}
			text = b.Bytes()
		}
		taken++
		if err := valid(text); err != nil {
			t.Errorf("Decode takes it, and the schema does not: %v\n%s", err, text)
		}
		if t.Failed() && taken > 20 {
			t.FailNow()
		}
	}
	both, refused, differ := 0, 0, map[string]int{}
	example := map[string]string{}
	for range *documents {
		text := next(&mutator{r: r, fields: fields, rate: 0.05 * r.Float64() * r.Float64(), hard: true})
		if older(text, version) {
			continue
		}
		bad := decode(text, nil)
		err := valid(text)
		switch {
		case bad == nil && err != nil:
			t.Errorf("Decode takes it, and the schema does not: %v\n%s", err, text)
		case bad == nil:
			both++
		case err != nil:
			refused++
		default:
			for _, e := range units.Fields(bad) {
				if f, ok := ballast.FieldAt(e.Path); ok && f.Quantity == "temperature" && e.Code == "want.notZeroLeaveFieldOut" {
					continue // 0 K, which a text says in any scale: a bound of a quantity
				}
				differ[e.Code]++
				example[e.Code] = e.Error()
			}
		}
	}
	t.Logf("%d valid of %d; of %d mutated both take %d and both refuse %d", taken, tried, *documents, both, refused)
	for _, code := range slices.Sorted(maps.Keys(differ)) {
		t.Logf("%4d %s: %s", differ[code], code, example[code])
		if _, ok := beyondSchema[code]; !ok {
			t.Errorf("%s is said by Decode alone, and is not named: %s", code, example[code])
		}
	}
}
