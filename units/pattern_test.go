package units_test

import (
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"example.com/steelyard/units"
)

// A patterned is the pattern and the parser of one quantity.
type patterned struct {
	name    string
	pattern *regexp.Regexp
	parse   func(string) error
	names   []string
}

func patternOf[Q units.Quantity](name string, parse func(string) (Q, error)) patterned {
	p := patterned{name: name, pattern: regexp.MustCompile(units.Pattern[Q]()), parse: func(s string) error { _, err := parse(s); return err }}
	for _, u := range units.Units[Q]() {
		p.names = append(p.names, u.Symbol())
	}
	return p
}

func patterns() []patterned {
	return []patterned{
		patternOf("length", units.ParseLength), patternOf("area", units.ParseArea), patternOf("volume", units.ParseVolume), patternOf("second moment", units.ParseSecondMomentOfArea),
		patternOf("mass", units.ParseMass), patternOf("inertia", units.ParseInertia), patternOf("density", units.ParseDensity), patternOf("force", units.ParseForce),
		patternOf("moment", units.ParseMoment), patternOf("stiffness", units.ParseStiffness), patternOf("pressure", units.ParsePressure),
		patternOf("gauge pressure", units.ParseGaugePressure), patternOf("absolute pressure", units.ParseAbsolutePressure), patternOf("angle", units.ParseAngle),
		patternOf("slope", units.ParseSlope), patternOf("temperature", units.ParseTemperature), patternOf("temperature difference", units.ParseTemperatureDifference),
		patternOf("duration", units.ParseDuration), patternOf("speed", units.ParseSpeed), patternOf("acceleration", units.ParseAcceleration), patternOf("power", units.ParsePower),
		patternOf("energy", units.ParseEnergy), patternOf("mass per power", units.ParseMassPerPower), patternOf("fraction", units.ParseFraction),
		patternOf("mass fraction", units.ParseMassFraction), patternOf("mass per water", units.ParseMassPerWater), patternOf("mass per solution", units.ParseMassPerSolution),
	}
}

var patternNumbers = []string{"1", "0", "12.5", ".5", "5.", "1e3", "1.5E-2", "3/4", "5 3/4", "5 3/3", "1 2/5", "12 500", "1,250,000", "1,250", "1,250.5", "0,5", "12 5000", "012 500", "1e400", "", ".", "1.2.3", "7 064/064", "2/064", "\u00be", "5\u00be", "5 \u215d", "5-3/4", "5-3/2", "5 3\u20444", "5-", "0\u00bd", "5.\u00bd", "\u00bd\u00bd"}

// What the parser reads matches the pattern, in every unit and with every kind of number,
// typography and British ending; and what matches is read, apart from what the documentation
// of Pattern names.
func TestPattern(t *testing.T) {
	r := rand.New(rand.NewPCG(18, 6))
	spaces := []string{"", " ", "  ", "\u00a0", "\u202f", "\u2009"}
	typography := strings.NewReplacer("2", "²", "3", "³", "4", "⁴", " ", "·", "'", "′", `"`, "″", "°", "º", "eter", "etre", "iter", "itre")
	read, beyond := 0, 0
	for _, p := range patterns() {
		for range 4000 {
			one := func() string {
				name := p.names[r.IntN(len(p.names))]
				switch r.IntN(6) {
				case 0:
					name = typography.Replace(name)
				case 1:
					name = strings.NewReplacer("2", "^2", "3", "^3", " ", "-").Replace(name)
				case 2:
					name = "x" + name
				}
				return patternNumbers[r.IntN(len(patternNumbers))] + spaces[r.IntN(len(spaces))] + name
			}
			s := []string{"", "-", "+", "\u2212", "--"}[r.IntN(5)] + one()
			switch r.IntN(8) {
			case 0:
				s += spaces[r.IntN(len(spaces))] + one()
			case 1:
				s += ":" + patternNumbers[r.IntN(len(patternNumbers))]
			}
			s = spaces[r.IntN(len(spaces))] + s + spaces[r.IntN(len(spaces))]
			ok, matches := p.parse(s) == nil, p.pattern.MatchString(s)
			if ok {
				read++
			}
			if ok && !matches {
				t.Errorf("%s: %q is read and does not match", p.name, s)
			}
			if !ok && matches {
				beyond++
				if err := p.parse(s).Error(); !regexp.MustCompile(`fraction|compound|too large|ratio|same separator`).MatchString(err) {
					t.Errorf("%s: %q matches and is refused: %s", p.name, s, err)
				}
			}
		}
	}
	t.Logf("%d texts were read; %d more matched", read, beyond)
	if read < 20000 || beyond > 4000 {
		t.Errorf("%d read, %d matched and were refused", read, beyond)
	}
}

// No text is read that does not match.
func FuzzPattern(f *testing.F) {
	list := patterns()
	for _, s := range []string{"24 in", "5 ft 3 in", "12 deg 30 arcmin", "1:5", "21 %", "3.5 lb/US gal of water", "-5 °C", "1,250,000 kg", "5 3/4 in"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if strings.Contains(s, "^") {
			return
		}
		for _, p := range list {
			if p.parse(s) == nil && !p.pattern.MatchString(s) {
				t.Errorf("%s: %q", p.name, s)
			}
		}
	})
}
