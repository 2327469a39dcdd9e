package units

import (
	"regexp"
	"strings"
)

// Parts of a pattern: the spaces that the parser skips, a sign, a number without its sign,
// and what may stand between the words of a unit.
const (
	patternSpaces = "[ \u00a0\u202f\u2009]*"
	patternSign   = "[-+\u2212]?"
	patternPower  = "(?:[eE][-+]?[0-9]+)?"
	patternNumber = "(?:" +
		"(?:[0-9]+(?:\\.[0-9]*)?|\\.[0-9]+|" + // 12, 12.5, .5
		"[1-9][0-9]{0,2}(?:[ \u00a0\u202f\u2009][0-9]{3})+(?:\\.[0-9]*)?|" + // 12 500.5
		"[1-9][0-9]{0,2}(?:,[0-9]{3}){2,}(?:\\.[0-9]*)?|[1-9][0-9]{0,2},[0-9]{3}\\.[0-9]*)" + patternPower + "|" + // 1,250,000 and 1,250.5
		"[0-9]+(?:(?:[ \u00a0\u202f\u2009]+|-)[0-9]{1,2})?[/\u2044]0*(?:2|4|8|16|32|64)|" + // 3/4, 5 3/4 and 5-3/4
		"(?:[0-9]+[ \u00a0\u202f\u2009]*)?[\u00bc\u00bd\u00be\u215b-\u215e])" // 5 and three quarters in one character
	patternBetween = "[ \u00a0\u202f\u2009\u00b7\u22c5*-]+"
)

// Pattern returns a regular expression for the texts that the parser of a quantity reads, as
// a JSON Schema writes one (ECMA-262, which the syntax of package regexp includes).
// Every text that the parser reads matches it, but for a caret inside the name of a unit
// that does not stand before a raised digit. A text that matches it is read, unless it is
// longer than 128 bytes, its number is too large or too small, a fraction is not less than one, a part
// of a compound is not whole or too great for its place, a ratio is steeper than 1:1, or
// kinds of spaces are mixed between the groups of digits.
func Pattern[Q Quantity]() string { return kindOf[Q]().pattern() }

func (k *kind) pattern() string {
	var all, chain []string
	for i := range k.units {
		u := &k.units[i]
		names := append([]string{u.symbol}, u.names...)
		for _, n := range names {
			if n == "" {
				continue
			}
			p := namePattern(n)
			all = append(all, p)
			if u.chain > 0 {
				chain = append(chain, p)
			}
		}
	}
	unit := patternSpaces + "(?:" + strings.Join(all, "|") + ")"
	if k.bare {
		unit = "(?:" + unit + ")?"
	}
	forms := []string{patternNumber + unit}
	if len(chain) > 0 {
		part := patternSpaces + "(?:" + strings.Join(chain, "|") + ")"
		later := strings.Replace(patternNumber, "|\\.[0-9]+", "", 1) // it begins with a digit
		forms = append(forms, patternNumber+"(?:"+part+patternSpaces+later+")+"+part)
	}
	if k.ratio {
		forms = append(forms, patternNumber+":"+patternNumber)
	}
	return "^" + patternSpaces + patternSign + "(?:" + strings.Join(forms, "|") + ")" + patternSpaces + "$"
}

// namePattern returns the expression for the spellings of a name that [plainName] makes the
// same.
func namePattern(name string) string {
	var b strings.Builder
	for _, r := range name {
		switch {
		case r == ' ':
			b.WriteString(patternBetween)
		case r == '2':
			b.WriteString("\\^?[2\u00b2]")
		case r == '3':
			b.WriteString("\\^?[3\u00b3]")
		case r == '4':
			b.WriteString("\\^?[4\u2074]")
		case r == '\'':
			b.WriteString("['\u2032\u2019]")
		case r == '"':
			b.WriteString("[\"\u2033\u201d]")
		case r == '°':
			b.WriteString("[\u00b0\u00ba]")
		default:
			b.WriteString(regexp.QuoteMeta(string(r)))
		}
	}
	return strings.NewReplacer("eter", "et(?:er|re)", "iter", "it(?:er|re)").Replace(b.String()) // British endings
}
