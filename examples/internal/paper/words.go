package paper

import (
	_ "embed"
	"math"
	"strconv"
	"strings"
	"sync"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

//go:embed words.tsv
var file string

// Words is a language with a system of units.
type Words struct {
	units.Catalog
}

type own struct {
	english, german map[string]string
	remarks         map[string]units.Remark // rank and subject
}

var load = sync.OnceValue(func() *own {
	o := &own{map[string]string{}, map[string]string{}, map[string]units.Remark{}}
	for line := range strings.Lines(file) {
		line = strings.TrimSuffix(line, "\n")
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		p := strings.Split(line, "\t")
		if len(p) != 3 && len(p) != 5 {
			panic("words.tsv: " + line)
		}
		o.english[p[0]], o.german[p[0]] = p[1], p[2]
		if len(p) == 5 {
			r := units.Remark{Code: p[0], Text: p[1]}
			var err error
			if r.Rank, err = strconv.Atoi(p[3]); err != nil {
				panic("words.tsv: " + line)
			}
			if err := r.Subject.UnmarshalText([]byte(p[4])); err != nil {
				panic("words.tsv: " + line)
			}
			o.remarks[p[0]] = r
		}
	}
	return o
})

// Languages are the languages that can be asked for.
var languages = map[string]func() (units.Catalog, map[string]string){
	"en": func() (units.Catalog, map[string]string) { return units.English(), load().english },
	"de": func() (units.Catalog, map[string]string) { return units.German(), load().german },
}

// Speak returns a language, "en" or "de", with a system of units; false for another language.
func Speak(language string, system units.System) (Words, bool) {
	f, ok := languages[language]
	if !ok {
		return Words{}, false
	}
	c, texts := f()
	for code, text := range texts {
		c.Texts[code] = text
	}
	c.Display.System, c.Display.Signs = system, true
	return Words{c}, true
}

// T returns the text of a code; pairs are names in braces and what stands for them. In US
// English a code with ".us" behind it goes before.
func (w Words) T(code string, pairs ...string) string {
	var params []units.Param
	for i := 0; i+1 < len(pairs); i += 2 {
		text := pairs[i+1]
		if !strings.Contains(text, begin) {
			text = Own(text)
		}
		params = append(params, units.Param{Name: pairs[i], Text: text})
	}
	if w.Language == "en" && w.Display.System == units.USCustomary {
		if _, ok := w.Texts[code+".us"]; ok {
			code += ".us"
		}
	}
	return w.Text(code, params...)
}

// Remark is a caution of our own, with its rank and subject.
func Remark(code string) units.Remark { return load().remarks[code] }

// Say returns the texts of remarks.
func (w Words) Say(list []units.Remark) []string {
	var out []string
	for _, r := range list {
		out = append(out, w.T(r.Code))
	}
	return out
}

// Down is a display of what may be lifted or carried, Up of what is needed, both beside the
// nearest, which is Display.
func (w Words) Down() units.Display { d := w.Display; d.Rounding = units.Down; return d }

// Up is the display of what is needed.
func (w Words) Up() units.Display { d := w.Display; d.Rounding = units.Up; return d }

// Mass is a mass to the nearest.
func (w Words) Mass(m units.Mass) string { return units.Format(w.Display, m) }

// Most is a mass that may be lifted or carried, rounded down.
func (w Words) Most(m units.Mass) string { return units.Format(w.Down(), m) }

// Least is a mass that is needed, rounded up.
func (w Words) Least(m units.Mass) string { return units.Format(w.Up(), m) }

// Length is a length to the nearest, in meters or in feet and inches where it is long.
func (w Words) Length(l units.Length) string {
	d := w.Display
	if d.System == units.Metric {
		d.Precision = units.Decimals(2)
		s := strconv.FormatFloat(float64(l), 'f', 2, 64)
		if d.Comma {
			s = strings.Replace(s, ".", ",", 1)
		}
		return s + " m"
	}
	d.FeetInches, d.Precision = true, units.Decimals(0)
	return units.Format(d, l)
}

// NoLonger is a length that is not exceeded, rounded down.
func (w Words) NoLonger(l units.Length) string {
	if w.Display.System == units.Metric {
		return w.Length(units.Length(math.Floor(float64(l)*100+1e-9) / 100))
	}
	return w.Length(units.Length(math.Floor(float64(l/units.Inch)+1e-9)) * units.Inch)
}

// Percent is a share in whole percent.
func (w Words) Percent(f units.Fraction) string {
	d := w.Display
	d.Precision = units.Decimals(0)
	return units.Format(d, f)
}

// Number is a number with at most so many digits.
func (w Words) Number(v float64) string {
	s := strconv.FormatFloat(v, 'g', 3, 64)
	if w.Display.Comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}

// Degrees is a slope in degrees, to the nearest: a margin, of which percents are no part.
func (w Words) Degrees(s units.Slope) string {
	d := w.Display
	d.Precision = units.Decimals(1)
	return units.Format(d, s)
}

// Steep is a slope in degrees and percent, rounded down or up.
func (w Words) Steep(s units.Slope, rounding units.Rounding) string {
	d := w.Display
	d.Rounding, d.Precision = rounding, units.Decimals(1)
	grade := d
	grade.Grade, grade.Precision = true, units.Decimals(1)
	return units.Format(d, s) + " (" + units.Format(grade, s) + ")"
}

// Range is a range of masses that may be lifted, rounded outwards.
func (w Words) Range(r units.Range[units.Mass]) string {
	low, high := w.Most(r.Low), w.Least(r.High)
	if w.Most(r.High) == low || float64(r.High-r.Low) <= 1e-9*float64(r.High) {
		return low
	}
	return w.T("range", "low", low, "high", high)
}

// Stands is how one limit stands, in words.
func (w Words) Stands(l ballast.LimitRange) string {
	switch l.Status {
	case stability.Within, stability.Binds:
		return w.Range(l.Mass)
	case stability.AtMost:
		return w.T("atmost", "mass", w.Most(l.Mass.High))
	case stability.ExceededWhenEmpty:
		return w.T("exceeded")
	case stability.CannotOccur:
		if l.Kind == ballast.LimitManualBallast {
			return w.T("fulfilled")
		}
		return w.T("noload")
	}
	return w.T("notknown")
}

// There is a mass that is there, or its range.
func (w Words) There(r units.Range[units.Mass]) string {
	low, high := w.Mass(r.Low), w.Mass(r.High)
	if low == high {
		return low
	}
	return w.T("range", "low", low, "high", high)
}

// Fluid is a fluid with its strength.
func (w Words) Fluid(f liquid.Fluid) string {
	fluid := w.T("fluid." + f.Kind.String())
	if f.Strength > 0 {
		return w.T("fluid.strength", "fluid", fluid, "strength", w.T("strength.mass", "share", w.Percent(units.Fraction(f.Strength))))
	}
	return fluid
}

// Level is how full a tire is.
func (w Words) Level(l liquid.Level, f liquid.Filled) string {
	if l.Kind == liquid.LevelValveClock {
		return w.T("level.clock", "clock", w.Number(l.Clock))
	}
	return w.T("level.share", "share", w.Percent(f.Fraction))
}

// Freezes says when a fill freezes.
func (w Words) Freezes(f liquid.Filled) string {
	switch {
	case !f.Flows():
		return w.T("freezes.solid")
	case f.Freezing == 0:
		return w.T("freezes.unknown")
	}
	d := w.Up()
	d.Precision = units.Decimals(0)
	return w.T("freezes", "temperature", units.Format(d, f.FreezingBand.High))
}

// Limit is the name of a limit under a safety basis.
func (w Words) Limit(b ballast.Basis, k ballast.LimitKind) string {
	m := b.Name(k)
	var pairs []string
	for _, p := range m.Params {
		text := p.Text // as English writes it, "20 %"
		if w.Display.Comma {
			text = strings.Replace(text, ".", ",", 1)
		}
		pairs = append(pairs, p.Name, text)
	}
	return w.T(m.Code, pairs...)
}

// Pressure is a pressure as a gauge reads it.
func (w Words) Pressure(g units.GaugePressure) string {
	return strings.TrimSuffix(units.Format(w.Display, g), " gauge")
}

// Speed is a speed that is not exceeded, rounded down.
func (w Words) Speed(v units.Speed) string {
	d := w.Down()
	d.Precision = units.Decimals(1)
	return units.Format(d, v)
}
