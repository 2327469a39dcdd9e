package bridge

import (
	"encoding/json"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/demo"
	"example.com/steelyard/examples/internal/visible"
	"example.com/steelyard/units"
)

// measure is how a quantity is entered: a number of a unit. Text is the unit as the parsers read it,
// Show as people read it, and Parse reads any text of the quantity.
type measure struct {
	text, show string
	size, zero float64
	parse      func(string) (float64, error)
}

func of[Q units.Quantity](parse func(string) (Q, error)) func(string) (float64, error) {
	return func(s string) (float64, error) { q, err := parse(s); return float64(q), err }
}

// measures are the units of the form: metric, then US customary.
func measures(quantity string, system units.System) (measure, bool) {
	us := system != units.Metric
	pick := func(parse func(string) (float64, error), metric string, m float64, american string, u float64) (measure, bool) {
		out := measure{text: metric, show: metric, size: m, parse: parse}
		if us {
			out.text, out.show, out.size = american, american, u
		}
		out.show = strings.TrimSuffix(strings.NewReplacer("m3", "m³", "m2", "m²", "ft3", "ft³", "deg", "°").Replace(out.show), " gauge")
		return out, true
	}
	switch quantity {
	case "length":
		return pick(of(units.ParseLength), "m", 1, "in", float64(units.Inch))
	case "mass":
		return pick(of(units.ParseMass), "kg", 1, "lb", float64(units.Pound))
	case "gaugePressure":
		return pick(of(units.ParseGaugePressure), "bar gauge", 1e5, "psi gauge", float64(units.GaugePSI))
	case "force":
		return pick(of(units.ParseForce), "kN", 1000, "lbf", float64(units.PoundForce))
	case "angle":
		return pick(of(units.ParseAngle), "deg", float64(units.Degree), "deg", float64(units.Degree))
	case "slope":
		return pick(of(units.ParseSlope), "deg", float64(units.Degree), "deg", float64(units.Degree))
	case "speed":
		return pick(of(units.ParseSpeed), "km/h", float64(units.KilometerPerHour), "mph", float64(units.MilePerHour))
	case "volume":
		return pick(of(units.ParseVolume), "L", float64(units.Liter), "US gal", float64(units.USGallon))
	case "density":
		return pick(of(units.ParseDensity), "kg/m3", 1, "lb/ft3", float64(units.Pound)/math.Pow(float64(units.Foot), 3))
	case "fraction":
		return pick(of(units.ParseFraction), "%", 0.01, "%", 0.01)
	case "massFraction":
		return pick(of(units.ParseMassFraction), "% by mass", 0.01, "% by mass", 0.01)
	case "acceleration":
		return pick(of(units.ParseAcceleration), "m/s2", 1, "m/s2", 1)
	case "inertia":
		return pick(of(units.ParseInertia), "kg m2", 1, "kg m2", 1)
	case "stiffness":
		return pick(of(units.ParseStiffness), "kN/m", 1000, "kN/m", 1000)
	case "temperature":
		m, ok := pick(of(units.ParseTemperature), "degC", 1, "degF", 5./9)
		m.zero, m.show = 273.15, "°C"
		if us {
			m.zero, m.show = 273.15-32*5./9, "°F"
		}
		return m, ok
	}
	return measure{}, false
}

// plain writes a value with five digits, as the parsers read it.
func (a *asker) plain(v float64) string {
	s := strconv.FormatFloat(v, 'g', 5, 64)
	if strings.Contains(s, "e") {
		s = strconv.FormatFloat(v, 'f', -1, 64)
	}
	return s
}

// number writes a value as people enter it.
func (a *asker) number(v float64) string {
	s := a.plain(v)
	if a.Display.Comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}

// Field is one field of the form.
type Field struct {
	Path    string   `json:"path"`
	Type    string   `json:"type"`
	Title   string   `json:"title"`
	Label   string   `json:"label"`
	Help    string   `json:"help"`
	How     string   `json:"how,omitempty"`
	Unit    string   `json:"unit,omitempty"`
	Show    string   `json:"show,omitempty"`
	None    bool     `json:"none,omitempty"`
	Choices []Choice `json:"choices,omitempty"`
	Range   string   `json:"range,omitempty"`
}

// Choice is one text that a field accepts, and what it says.
type Choice struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// Start is what the page is built of.
type Start struct {
	Library string            `json:"library"`
	Words   map[string]string `json:"words"`
	Fields  []Field           `json:"fields"`
	Fluids  []Choice          `json:"fluids"`
	Empty   json.RawMessage   `json:"empty"`
	Length  string            `json:"length"`
	Mass    string            `json:"mass"`
	Speed   string            `json:"speed"`
	Cold    string            `json:"cold"`
	Press   string            `json:"press"`
}

// empty is the document of a machine of which nothing is known. The jobs begin with that of holding
// a load, and the safety basis is that of the handover sheet.
const empty = `{"version":2,"setup":{"machine":{},"loader":{},"attachment":{}},` +
	`"lifts":[{"kind":"hold","basis":{"kind":"rearShare","fraction":"20 %"}}]}`

func (a *asker) start() Start {
	s := Start{Library: units.Version, Words: map[string]string{}, Empty: json.RawMessage(empty)}
	for _, w := range words() {
		s.Words[w.code] = a.Texts[w.code]
	}
	for _, f := range ballast.Fields() {
		if strings.HasPrefix(f.Path, "practice") || strings.HasPrefix(f.Path, "needs") || strings.HasPrefix(f.Path, "stock") ||
			strings.HasPrefix(f.Path, "travels") || strings.Contains(f.Path, ".fill.tire.") && !strings.HasSuffix(f.Path, ".designation") {
			continue
		}
		x := Field{Path: f.Path, Type: f.Type.String(), Title: a.Text(f.Code), Label: a.label(f.Path), Help: a.Text(f.HelpCode), None: f.None}
		if f.HowCode != "" {
			x.How = a.Text(f.HowCode)
		}
		if m, ok := measures(f.Quantity, a.System); ok {
			x.Unit, x.Show = m.text, m.show
		}
		if r, ok := f.Range(); ok {
			x.Range = a.Message(r)
		}
		for _, c := range f.Choices {
			text := c.Name
			if c.Code != "" {
				text = a.Text(c.Code)
			}
			if c.Name != "unknown" {
				x.Choices = append(x.Choices, Choice{c.Name, text})
			}
		}
		s.Fields = append(s.Fields, x)
	}
	for _, k := range []string{"water", "calciumChloride", "magnesiumChloride", "sodiumChloride", "propyleneGlycol", "ethyleneGlycol", "methanol", "potassiumAcetate", "potassiumFormate", "beetMolasses"} {
		s.Fluids = append(s.Fluids, Choice{k, a.T("fluid." + k)})
	}
	unit := func(q string) string { m, _ := measures(q, a.System); return m.text }
	s.Length, s.Mass, s.Speed, s.Cold, s.Press = unit("length"), unit("mass"), unit("speed"), unit("temperature"), unit("gaugePressure")
	return s
}

// Form is a document as the fields of the form show it: numbers of the reader's units by path.
type Form struct {
	Values map[string]string `json:"values"`
}

// form shows the document in the reader's units.
func (a *asker) form() any {
	values, err := a.values(a.Document)
	if err != nil {
		return Failure{err.Error()}
	}
	return Form{values}
}

func (a *asker) values(raw json.RawMessage) (map[string]string, error) {
	var tree any
	if err := json.Unmarshal(raw, &tree); err != nil {
		return nil, err
	}
	values := map[string]string{}
	var walk func(path, field string, v any)
	walk = func(path, field string, v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, e := range v {
				p, f := join(path, k), join(field, k)
				if k == "low" || k == "high" {
					f = field // an end of a range is of the same quantity
				}
				walk(p, f, e)
			}
		case []any:
			for i, e := range v {
				walk(units.Index(path, i), field+"[]", e)
			}
		case string:
			values[path] = visible.Text(v)
			f, ok := ballast.FieldAt(strings.ReplaceAll(field, "[]", "[0]"))
			if !ok {
				return
			}
			m, ok := measures(f.Quantity, a.System)
			if !ok {
				return
			}
			if own, found := strings.CutSuffix(v, " "+m.text); found && !strings.ContainsAny(own, " /") {
				if a.Display.Comma {
					own = strings.Replace(own, ".", ",", 1)
				}
				values[path] = own
			} else if q, err := m.parse(v); err == nil {
				values[path] = a.number((q - m.zero) / m.size)
			}
		case bool:
			values[path] = strconv.FormatBool(v)
		case float64:
			values[path] = strconv.FormatFloat(v, 'g', -1, 64)
		}
	}
	walk("", "", tree)
	return values, nil
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// Opened is a file as the page goes on with it.
type Opened struct {
	Document json.RawMessage `json:"document,omitempty"`
	// Ground is what the file says of the yard, in the units of the page.
	Ground map[string]string `json:"ground,omitempty"`
	// Job is the text of a job file, the input of a handover sheet, and Compare its attachment to
	// compare; saving puts what was changed into it.
	Job     string          `json:"job,omitempty"`
	Compare json.RawMessage `json:"compare,omitempty"`
	Renewed []string        `json:"renewed,omitempty"`
	Wrong   []Problem       `json:"wrong,omitempty"`
}

// open reads a file, and makes every text of it safe to show.
func (a *asker) open() Opened {
	out := a.opened()
	if out.Document == nil {
		return out
	}
	out.Document = safe(out.Document)
	return out
}

// safe is JSON with every text safe to show.
func safe(raw json.RawMessage) json.RawMessage {
	return literal.ReplaceAllFunc(raw, func(text []byte) []byte {
		var s string
		if json.Unmarshal(text, &s) != nil {
			return text
		}
		safe := visible.Clip(visible.Text(s), maxText)
		if safe == s {
			return text
		}
		return marshal(safe)
	})
}

// literal is a text in JSON.
var literal = regexp.MustCompile(`"(?:[^"\\]|\\.)*"`)

// maxText is the longest text that the page takes over from a file, in bytes: a longer name would
// push the answer off the screen.
const maxText = 120

// opened reads a file: a document of any version, or the input of a handover sheet.
func (a *asker) opened() Opened {
	text := strings.TrimPrefix(a.File, "\ufeff")
	switch text {
	case "demo":
		text = string(demo.Handover)
	case "rated":
		text = string(demo.Rated)
	case "compact":
		text = string(demo.Compact)
	}
	var peek map[string]json.RawMessage
	json.Unmarshal([]byte(text), &peek)
	var out Opened
	if _, ok := peek["travelPin"]; ok {
		return a.fromSheet(text, peek["setup"], peek["compare"])
	}
	present := string(peek["version"]) == strconv.Itoa(ballast.DocumentVersion)
	doc, err := ballast.Decode(strings.NewReader(text))
	if err != nil {
		// A machine that was saved before it was complete is opened all the same.
		a.Document = json.RawMessage(text)
		wrong, missing := a.problems(err)
		if len(wrong) == 0 && len(missing) > 0 && present {
			out.Document = json.RawMessage(text)
			return out
		}
		out.Wrong = append(wrong, missing...)
		return out
	}
	for _, r := range doc.Renewed {
		out.Renewed = append(out.Renewed, a.Message(r.Message))
	}
	out.Renewed = slices.Compact(out.Renewed)
	if !present {
		var b strings.Builder
		if err := doc.Encode(&b); err != nil {
			out.Wrong, _ = a.problems(err)
			return out
		}
		text = b.String()
	}
	out.Document = json.RawMessage(text)
	return out
}
