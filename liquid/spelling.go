package liquid

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// ParseDesignation reads a tire designation as it is marked, or as people write
// it. The size comes first. One or two service descriptions, a ply rating or a
// load range, a tread code and words for the type may follow in any order.
//
//	14.9-24 6PR R-1
//	IF 600/70R30 159D
//	VF 380/85R34 CFO 151D/148E
//	31x15.50-15 R-4
//	480/80R42 (18.4R42)
//	ST205/75R15
//	20.5-25 L-3
//
// These spellings are read as well: an x or a D for the hyphen of a bias tire
// (12.4x28, 11.5/80x15.3, 355/80D20), the old width beside the new one (16.9/14-28), a
// decimal comma where it cannot mean anything else (14,9-24), and any case and spacing.
// The letters P, LT, ST, AT and T before the size, and C, LT, IMP and MPT after it, say the
// type. The first size of a double marking is taken, in parentheses, after a slash, an equals
// sign or a word such as "replaces". The second must fit it: the same rim, the diameter within
// 5 %, the width within 12 % (6 % of one system, 16 % of wide-base sizes), or, of the older
// size that a low metric section replaces, up to 32 % narrower, and bias if the first is
// radial. An error says how high and wide the two are. Words and marks that do
// not change the cavity, such as TL, NHS, SL, TG, MH or a number of stars, are read
// and left out. Turf is read as R-3, industrial or IND as R-4, and a load range
// as its ply rating (memory). [Designation.String] writes the standard form.
//
// Widths with two decimals may lack their point where no metric size can be meant (750-16),
// tires of cars and vans their aspect ratio (195R14, which is 82), and so those of forklifts
// (300-15, about 74).
//
// What can be read in two ways is refused: 14.9/24 does not say whether the tire
// is bias or radial. So is a size that nobody makes, because it is an old name or a slip
// that would give another shape: 14-30 is now 16.9-30, 9.0-16 may be 9.00-16,
// 125/80-18 may be 12.5/80-18, unless a T, another type or the speed symbol of a road tire says that it is not. So is a solid band that holds no fluid, 22x12x16. The error is a
// [units.FieldError] that names the part that is wrong and says what would be
// accepted.
func ParseDesignation(s string) (Designation, error) {
	if len(s) > 80 {
		return Designation{}, units.NewFieldError("designation", nil, "must be a tire designation of at most 80 characters")
	}
	if pattern().counted.MatchString(s) {
		return Designation{}, refuse("designation", s, "must be one tire; how many there are is no part of a designation, and a ply rating is written 6PR")
	}
	t := plain(s)
	if t == "" {
		return Designation{}, refuse("designation", s, "must be a tire designation such as 14.9-24, 320/85R24 or 31x15.50-15")
	}
	var d Designation
	rest, err := d.prefix(t)
	if err != nil {
		return Designation{}, err
	}
	r := reader{rest: rest}
	if err := d.size(&r); err != nil {
		return Designation{}, err
	}
	fields, err := r.fields()
	if err != nil {
		return Designation{}, err
	}
	if err := d.marks(fields); err != nil {
		return Designation{}, err
	}
	d.usual()
	if err := d.Validate(); err != nil {
		return Designation{}, err
	}
	return d, nil
}

func refuse(part, value, want string, params ...units.Param) error {
	return units.NewFieldError(part, value, want, params...)
}

var spellings = strings.NewReplacer("×", "X", "✕", "X", "∗", "*", "★", "*", "–", "-", "—", "-", "−", "-", "‐", "-", "‑", "-", "‒", "-", "―", "-", "﹣", "-", "－", "-", "½", ".5",
	"(", " ", ")", " ", "[", " ", "]", " ", "{", " ", "}", " ", "（", " ", "）", " ", "=", " ", "＝", " ", "≈", " ", "≅", " ", "≙", " ", "≡", " ", "→", " ",
	"⁄", "/", "∕", "/", "／", "/", "，", ",", ";", " ", "\"", " ", "″", " ", "”", " ", "“", " ", "\u00a0", " ", "\u202f", " ")

// patterns are what a spelling is searched for.
type patterns struct {
	// A decimal comma stands in the first number, in the second of three, or in
	// a rim diameter that is made with this decimal. Any other comma separates.
	firstComma  *regexp.Regexp
	secondComma *regexp.Regexp
	// The second size of a double marking with spaces: (16.9 R 34). Its width has a decimal or
	// an aspect ratio, so that it is no load index or ply rating.
	spacedSize *regexp.Regexp
	// A decimal comma in the second size of a double marking: (18,4R42).
	otherComma *regexp.Regexp
	// How many tires there are: (2) 14.9-24, 2x 14.9-24, 14.9-24 (2).
	counted *regexp.Regexp
	// A half written as a fraction: 4 1/2.
	fraction *regexp.Regexp
	// A size without a sign for the plies, which a word says: 14.9/24 radial.
	saidPlies *regexp.Regexp
	// N.H.S. is NHS.
	dottedWord *regexp.Regexp
	rimComma   *regexp.Regexp
}

// pattern compiles them when the first spelling is read.
var pattern = sync.OnceValue(func() *patterns {
	return &patterns{
		firstComma:  regexp.MustCompile(`^([A-Z -]*\d{1,3}),(\d{1,2})( ?[-RBDXL/])`),
		secondComma: regexp.MustCompile(`^([A-Z -]*\d+(?:\.\d+)? ?[X/] ?\d{1,2}),(\d{1,2})( ?[-RBDXL])`),
		spacedSize:  regexp.MustCompile(`(?:\b)(\d{1,3}(?:\.\d{1,2}|/\d{2,3})) ?(R|-|X|L-|LR) ?(\d{2}(?:\.\d)?)( |$)`),
		otherComma:  regexp.MustCompile(`([\s/]\d{1,2}),(\d{1,2})((?:/\d{2})?\s?(?:R|-|X|L-|LR)\s?\d{2}(?:[.,\s/]|$))`),
		counted:     regexp.MustCompile(`^\s*(?:\(\s*\d\s*\)|\d\s?[xX×]\s+\d+(?:[.,]\d+)?(?:/\d+)?\s?[-R])|\(\s*[1-8]\s*[xX×]?\s*\)\s*$`),
		fraction:    regexp.MustCompile(`(\d)\s1/2\b`),
		saidPlies:   regexp.MustCompile(`^(\d+(?:\.\d{1,2})?)((?:/\d{2,3})?)(\s?[X/]\s?|\s)(\d{2}(?:\.\d)?)(\s(?:.*\s)?(?:RADIAL|BIAS|DIAGONAL|CROSSPLY)(?:\s.*)?)$`),
		dottedWord:  regexp.MustCompile(`\b(?:[A-Za-z]\.){2,}`),
		rimComma:    regexp.MustCompile(`([-RBDXL] ?|^\d{1,2}(?:\.\d{1,2})? )(\d{1,2},5|15,3|16,1)( |$|NHS|SL|FI|TL|TT)`),
	}
})

// plain returns the text in capitals with one sign for each meaning, single
// spaces and a decimal point.
func plain(s string) string {
	s = pattern().dottedWord.ReplaceAllStringFunc(s, func(w string) string { return strings.ReplaceAll(w, ".", "") })
	t := strings.Join(strings.Fields(spellings.Replace(strings.ToUpper(s))), " ")
	t = pattern().firstComma.ReplaceAllString(t, "$1.$2$3")
	t = pattern().secondComma.ReplaceAllString(t, "$1.$2$3")
	t = pattern().otherComma.ReplaceAllString(t, "$1.$2$3")
	t = pattern().fraction.ReplaceAllString(t, "$1.5")
	if m := pattern().rimComma.FindStringSubmatchIndex(t); m != nil {
		t = t[:m[4]] + strings.Replace(t[m[4]:m[5]], ",", ".", 1) + t[m[5]:]
	}
	if m := pattern().saidPlies.FindStringSubmatch(t); m != nil {
		width, _ := strconv.ParseFloat(m[1], 64)
		rim, _ := strconv.ParseFloat(m[4], 64)
		switch radial := strings.Contains(m[5], "RADIAL"); {
		case m[2] == "" && !(width < rim), radial && bothPlies(m[5]):
		case radial:
			t = m[1] + m[2] + "R" + m[4] + m[5]
		default:
			t = m[1] + m[2] + "-" + m[4] + m[5]
		}
	}
	return t
}

// bothPlies reports words that say both.
func bothPlies(words string) bool {
	radial, bias := false, false
	for _, w := range strings.Fields(words) {
		c := pliesWords[w]
		radial, bias = radial || c == Radial, bias || c == Bias
	}
	return radial && bias
}

// prefix reads the letters before the size and returns what follows them.
func (d *Designation) prefix(t string) (string, error) {
	for {
		i := 0
		for i < len(t) && t[i] >= 'A' && t[i] <= 'Z' {
			i++
		}
		if i == 0 {
			return t, nil
		}
		word := t[:i]
		if f, ok := flexionOf(word); ok && d.Flexion == FlexionStandard {
			d.Flexion = f
		} else if k := prefixes[word]; k != TypeUnknown && d.Type == TypeUnknown {
			d.Type = k
		} else if !(k != TypeUnknown && k == d.Type || dropped[word] && i < len(t) && t[i] == ' ') {
			return "", refuse("width", t, "must be a section width in inches or millimeters, such as 14.9, 7.50 or 320; only IF, VF, P, LT, ST, AT or T may stand before the size")
		}
		t = strings.TrimLeft(t[i:], " ")
		if len(t) > 1 && t[0] == '-' && isDigit(t[1]) {
			t = t[1:]
		}
		if t == "" {
			return "", refuse("designation", word, "must have a size after {word}", valid.Text("word", word))
		}
	}
}

// prefixes are the letters before a size that say its type.
var prefixes = map[string]TireType{"P": TypePassenger, "LT": TypeLightTruck, "ST": TypeTrailer, "AT": TypeATV, "T": TypeTemporary}

// typeWords are the marks and words after a size that say its type. AT after a size is one on
// small rims only.
var typeWords = map[string]TireType{"P": TypePassenger, "LT": TypeLightTruck, "LIGHT": TypeLightTruck, "ST": TypeTrailer, "ATV": TypeATV, "UTV": TypeATV, "C": TypeCommercial,
	"IMP": TypeImplement, "IMP.": TypeImplement, "IMPL": TypeImplement, "IMPL.": TypeImplement, "IMPLEMENT": TypeImplement, "MPT": TypeMultiPurpose}

func flexionOf(word string) (Flexion, bool) {
	for i, m := range flexionNames {
		if i > 0 && m == word {
			return Flexion(i), true
		}
	}
	return 0, false
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// number reads a decimal number at the front of s. It returns the value in
// units of 10^-places, the count of decimals written and the rest of s. It
// returns false if s does not begin with a digit or has too many digits or
// decimals.
func number(s string, places int) (value, decimals int, rest string, ok bool) {
	i := 0
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	if i == 0 || i > 4 {
		return 0, 0, s, false
	}
	value, _ = strconv.Atoi(s[:i])
	rest = s[i:]
	if len(rest) > 1 && rest[0] == '.' && isDigit(rest[1]) {
		j := 1
		for j < len(rest) && isDigit(rest[j]) {
			j++
		}
		decimals = j - 1
		if decimals > places {
			return 0, 0, s, false
		}
		frac, _ := strconv.Atoi(rest[1:j])
		for range decimals {
			value *= 10
		}
		value += frac
		rest = rest[j:]
	}
	for range places - decimals {
		value *= 10
	}
	return value, decimals, rest, true
}

// A reader reads the numbers of a size and what stands between them.
type reader struct{ rest string }

// A figure is a number of a size in hundredths.
type figure struct {
	value, decimals int
	text            string
}

func (f figure) whole() int { return f.value / 100 }

func (r *reader) figure() (f figure, ok bool) {
	v, d, rest, ok := number(r.rest, 2)
	if !ok {
		return figure{text: r.rest}, false
	}
	f = figure{v, d, r.rest[:len(r.rest)-len(rest)]}
	r.rest = rest
	return f, true
}

// between reads the signs up to the next number and returns them without
// spaces. It reads nothing and returns false if no number follows.
func (r *reader) between() (string, bool) {
	i := 0
	for i < len(r.rest) && strings.IndexByte(" RBDXL/-", r.rest[i]) >= 0 {
		i++
	}
	if i == 0 || i == len(r.rest) || !isDigit(r.rest[i]) {
		return "", false
	}
	sign := strings.ReplaceAll(r.rest[:i], " ", "")
	r.rest = r.rest[i:]
	return sign, true
}

// fields returns the words after the size. A word may stand at the rim diameter
// without a space if it is a mark.
func (r *reader) fields() ([]string, error) {
	tail := r.rest
	if tail == "" {
		return nil, nil
	}
	if tail[0] == '.' || tail[0] >= 'A' && tail[0] <= 'Z' {
		word, _, _ := strings.Cut(tail, " ")
		word, _, _ = strings.Cut(word, ",")
		if word != "R" && word != "L" && !isMark(strings.TrimRight(word, "*")) {
			return nil, refuse("rim", tail, "must end after the rim diameter in inches, such as 24 or 22.5, or go on with a mark such as NHS")
		}
	}
	if len(tail) > 1 && (tail[0] == '-' || tail[0] == '/') && tail[1] != ' ' {
		tail = tail[1:]
	}
	tail = pattern().spacedSize.ReplaceAllString(tail, "$1$2$3$4")
	return strings.Fields(strings.ReplaceAll(strings.ReplaceAll(tail, ",", " "), "*", " * ")), nil
}

// Ways to ask for what the size leaves open.
const (
	widthWant = "must be a section width in inches or millimeters, such as 14.9, 7.50 or 320"
	rimWant   = "must be the rim diameter in inches, such as 24 or 22.5"
	pliesWant = "must be followed by - (bias), R (radial) or B (bias-belted) and the rim diameter"
)

// pliesAsked asks how the plies run, naming the sizes that may be meant.
func pliesAsked(value, width, rim string) error {
	return refuse("construction", value, "must say how the plies run: {bias} if it is bias, {radial} if it is radial",
		valid.Text("bias", width+"-"+rim), valid.Text("radial", width+"R"+rim))
}

// size reads the size. What is first decides between the systems: a number and
// the sign that follows it.
func (d *Designation) size(r *reader) error {
	all := r.rest
	first, ok := r.figure()
	if !ok {
		return refuse("width", all, widthWant)
	}
	sign, ok := r.between()
	if !ok {
		return halfSize(r.rest, all)
	}
	second, ok := r.figure()
	if !ok {
		return refuse("width", r.rest, widthWant)
	}
	metric := first.decimals == 0 && first.whole() >= 80
	switch {
	case sign[:min(1, len(sign))] == "/" && sign != "/":
		return refuse("aspect", sign[1:]+second.text, "must be the section height in percent of the width, such as 85")
	case sign[:min(1, len(sign))] == "X" && sign != "X":
		return refuse("width", sign[1:]+second.text, "must be the section width in inches, such as 15.50")
	case sign == "/", sign == "X" && metric && first.whole() > 100 && !undottedSize(first, second):
		return d.slashed(first, second, r, all)
	case sign == "X" && (first.value >= second.value || undotted(second)) && !undottedSize(first, second):
		return d.flotation(first, second, r, all)
	case sign == "-" || sign == "":
		// 340-85R24, 340 85R24, 27-10.50-15: three numbers. A tread code or a
		// ply rating after the rim is none.
		before := *r
		if next, ok := r.between(); ok {
			if third, ok := r.figure(); ok && third.value >= 400 && !strings.HasPrefix(r.rest, "P") && !strings.HasPrefix(r.rest, " P") {
				*r = before
				aspect := second.decimals == 0 && second.whole() >= 25 && second.whole() <= 110
				switch {
				case sign == "-" && next == "-" && first.decimals == 2 && second.decimals == 2 && 4*second.value >= 3*first.value && second.value < first.value:
					// 4.80-4.00-8
					return refuse("width", all, sizesWant, sizesParam([]string{first.text + "/" + second.text + "-" + third.text}))
				case metric && aspect && sign == "-" && next == "-" && third.value%100 == 0:
					// Whoever writes the slash as a hyphen may write R as one.
					return pliesAsked(all, first.text+"/"+second.text, third.text)
				case metric && aspect:
					return d.slashed(first, second, r, all)
				case sign == "-" && first.decimals == 0 && (next == "-" || next == "X") && first.value >= second.value && first.value > third.value:
					return d.flotation(first, second, r, all)
				}
			}
		}
		*r = before
		if sign == "" {
			return pliesAsked(all, first.text, second.text)
		}
	}
	if first.decimals == 0 && first.whole() >= 100 && second.decimals == 0 && second.whole() >= 300 {
		return refuse("rim", second.text, rimWant) // 370-508, both in millimeters
	}
	d.System = Numeric
	d.Width, d.Decimals = uint16(min(first.value, 65535)), uint8(first.decimals)
	if first.decimals == 0 && first.value > 5000 {
		whole := first.whole()
		radial := strings.Contains(sign, "R")
		switch {
		case undottedSize(first, second):
			d.Width, d.Decimals = uint16(whole), 2
		case sign == "-" && forklift(whole, second.value/10):
			d.System, d.Width, d.Aspect, d.Decimals = Metric, uint16(whole), unmarkedIndustrial, 0
		case radial && unmarked(whole, second.value/10):
			d.System, d.Width, d.Aspect, d.Decimals = Metric, uint16(whole), unmarkedAspect, 0
		default:
			return refuse("width", first.text, "must be {inches} if it is in inches, or have an aspect ratio if it is in millimeters, such as {size}",
				valid.Text("inches", pointed(whole)), valid.Text("size", first.text+"/65"+sign+second.text))
		}
	}
	return d.plies(sign, second, all)
}

// pointed shows what a width without its decimal point may be: 7.50 for 750.
func pointed(v int) string {
	if slices.Contains(driveWidths, uint16(min(10*v, 65535))) {
		return strconv.FormatFloat(float64(v)/10, 'f', -1, 64)
	}
	return strconv.FormatFloat(float64(v)/100, 'f', 2, 64)
}

// undotted reports whether the decimal point of a width in inches was left out,
// as in 18x850-8: no tire is 300 inches wide.
func undotted(width figure) bool { return width.decimals == 0 && width.whole() >= 300 }

// undottedSize reports whether a width with two decimals was written without its point, as in
// 750-16: no metric size is so wide on so small a rim.
func undottedSize(width, rim figure) bool {
	w, r := width.whole(), rim.value/10
	return width.decimals == 0 && w <= 1200 && slices.Contains(undottedWidths, uint16(w)) && rim.value%100 == 0 && r <= 200 && slices.Contains(undottedRims, uint16(r)) && (w >= 600 || r != 200)
}

// halfSize says what is missing where no further number follows.
func halfSize(rest, all string) error {
	trimmed := strings.TrimLeft(rest, " ")
	switch {
	case rest == "":
		return refuse("construction", all, pliesWant)
	case trimmed == "" || strings.IndexByte("RBD-L", trimmed[0]) >= 0:
		return refuse("rim", strings.TrimLeft(trimmed, "RBDL-"), rimWant)
	case trimmed[0] == 'X':
		return refuse("width", trimmed[1:], "must be the section width in inches, such as 15.50")
	case trimmed[0] == '/':
		return refuse("aspect", trimmed[1:], "must be the section height in percent of the width, such as 85")
	case rest[0] == '.' || rest[0] == ',':
		return refuse("width", all, widthWant+", with at most 2 decimals")
	}
	return refuse("construction", trimmed, "must be - (bias), R (radial) or B (bias-belted)")
}

// slashed reads a size whose first two numbers are a width and an aspect
// ratio, the new and the old width of one size, or, with decimals in the second,
// an overall diameter and a width.
func (d *Designation) slashed(first, second figure, r *reader, all string) error {
	if first.decimals == 0 && second.decimals == 0 && second.whole() > 110 && second.value < first.value && second.whole()%5 == 0 && first.whole() < 1300 {
		// 480/400-8 is 4.80/4.00-8 without its points.
		rest := *r
		if sign, ok := rest.between(); ok && sign == "-" {
			if rim, ok := rest.figure(); ok && rim.value <= 1800 {
				return refuse("width", all, sizesWant, sizesParam([]string{pointed(first.whole()) + "/" + pointed(second.whole()) + "-" + rim.text}))
			}
		}
	}
	inches := first.decimals > 0 || first.whole() <= 25
	old := inches && (second.whole() < 25 || second.decimals > 0)
	if second.decimals > 0 && first.value >= second.value && first.decimals == 0 {
		return d.flotation(first, second, r, all)
	}
	// Old codes are 0.78 to 0.96 of the new ones: 23.1/18, 8.3/8 (memory).
	if old && !(float64(second.value) >= 0.75*float64(first.value) && second.value <= first.value) {
		if _, ok := r.between(); ok || second.decimals > 0 {
			return refuse("aspect", second.text, "must be the section height in percent of the width, such as 85, or the older width of the same size, as in 16.9/14-28")
		}
		return pliesAsked(all, first.text, second.text)
	}
	before := r.rest
	sign, ok := r.between()
	var third figure
	if ok {
		third, ok = r.figure()
	}
	switch {
	case !ok && inches && second.decimals == 0 && strings.TrimSpace(before) == "":
		return pliesAsked(all, first.text, second.text)
	case !ok && strings.TrimSpace(before) == "":
		return refuse("construction", all, pliesWant)
	case !ok:
		return halfSize(before, all)
	}
	width := first.text
	d.Width, d.Decimals = uint16(min(first.value, 65535)), uint8(first.decimals)
	d.System = Numeric
	if !old {
		width += "/" + second.text
		d.Aspect = uint8(min(second.whole(), 255))
		if !inches {
			d.System, d.Width, d.Decimals = Metric, uint16(min(first.whole(), 65535)), 0
		}
		if second.decimals > 0 || second.whole() > 255 {
			return refuse("aspect", second.text, "must be the section height in percent of the width, such as 85")
		}
		if first.value > 2500 && first.value < 8000 || inches && first.value > 2500 {
			return refuse("width", first.text, "must be a section width from 80 to 1400 whole millimeters, or in inches up to 25")
		}
		// Rims of 15.3 and 15.5 inches are those of implements, whose tires are bias.
		if sign == "/" || sign == "X" && !inches && third.value != 1530 && third.value != 1550 || sign == "" {
			return pliesAsked(all, width, third.text)
		}
	}
	return d.plies(sign, third, all)
}

// flotation reads the rest of a size whose first two numbers are the overall
// diameter and the width.
func (d *Designation) flotation(overall, width figure, r *reader, all string) error {
	twice := !strings.ContainsAny(overall.text+width.text, ".") // an x before the rim as well
	d.System = Flotation
	d.Overall, d.OverallDecimals = uint16(min(overall.value, 65535)), uint8(overall.decimals)
	if undotted(width) {
		width.value, width.decimals = width.whole(), 2
	}
	d.Width, d.Decimals = uint16(min(width.value, 65535)), uint8(width.decimals)
	before := r.rest
	sign, ok := r.between()
	if ok && sign == "/" {
		// 18x8.50/9.50-8 names two sizes.
		rest := *r
		if other, ok := rest.figure(); ok && other.value >= 300 {
			if sign, ok := rest.between(); ok && sign == "-" {
				if rim, ok := rest.figure(); ok {
					one, two := overall.text+"x"+width.text+"-"+rim.text, overall.text+"x"+other.text+"-"+rim.text
					return refuse("width", all, sizesWant, sizesParam([]string{one, two}))
				}
			}
		}
	}
	if !ok {
		if strings.TrimSpace(before) == "" || before[0] == ' ' {
			return refuse("construction", all, "must end with the rim diameter, as in 31x15.50-15; with two numbers an x stands for the hyphen only where the rim is the larger one, as in 12.4x28")
		}
		return halfSize(before, all)
	}
	rim, ok := r.figure()
	if !ok {
		return refuse("rim", r.rest, rimWant)
	}
	if sign == "" {
		return pliesAsked(all, overall.text+"x"+width.text, rim.text)
	}
	if height := float64(overall.value-rim.value) / 2; twice && sign == "X" && height < 0.5*float64(width.value) {
		return refuse("construction", all, "must be written {size} if it holds air; with an x before the rim it may be a solid band that is pressed on, which holds no fluid",
			valid.Text("size", overall.text+"x"+width.text+"-"+rim.text))
	}
	return d.plies(sign, rim, all)
}

// plies reads how the plies run from the sign before the rim diameter.
func (d *Designation) plies(sign string, rim figure, all string) error {
	s := sign
	if low, ok := strings.CutPrefix(s, "LL"); ok {
		d.ExtraLow, s = true, low
	} else if low, ok := strings.CutPrefix(s, "L"); ok {
		d.Low, s = true, low
	}
	switch s {
	case "-", "D", "-D", "D-", "X":
		d.Construction = Bias
	case "R", "-R", "R-":
		d.Construction = Radial
	case "B", "-B", "B-":
		d.Construction = BiasBelted
	case "":
		if d.Low || d.ExtraLow {
			d.Construction = Bias
			break
		}
		fallthrough
	default:
		return refuse("construction", sign, "must be - (bias), R (radial) or B (bias-belted)")
	}
	if rim.value%10 != 0 || rim.decimals > 1 {
		return refuse("rim", rim.text, rimWant)
	}
	d.Rim = uint16(min(rim.value/10, 65535))
	return nil
}

// dropped are words and marks that do not change the cavity.
var dropped = func() map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(`TL TT T/L T/T TUBELESS TUBETYPE TUBE TYPE NHS SL FI HD TG MH SS NRO CHO STUBBLE M+S
		AG AS AW AGRI AGRICULTURAL FARM TRACTOR TRACTION LUG RIB FRONT REAR DRIVE STEER STEERING FREE ROLLING TRAILER LAWN GARDEN SKID SKIDSTEER
		TRUCK HIGHWAY SPECIAL GRADER BACKHOE FRONTLOADER INDUSTRY AGRICULTURE AGRO COMPACT MOWER WAGON HARVESTER COMBINE RIBBED SMOOTH BAR GRIP NYLON
		RADIALS XL EXTRA HEAVY DUTY NEW EM OTR INCH IN MOBILE HOME GRADER
		SKS LP TR TT/TL TL/TT TUBES W/TUBE W/TUBES WITH
		EX REPLACES REPLACING EQUIV EQUIV. EQUIVALENT TO FORMERLY
		LOADER FLOTATION FORKLIFT AT A/T MT M/T STEEL BELTED BELT TIRE TYRE RATED RATING * OR`) {
		m[w] = true
	}
	return m
}()

// typeTreads are words for a type that has a tread code.
var typeTreads = map[string]Tread{"TURF": TreadR3, "IND": TreadR4, "IND.": TreadR4, "INDUSTRIAL": TreadR4}

// loadRanges are the ply ratings of the load ranges A to N (memory).
var loadRanges = map[string]uint8{"A": 2, "B": 4, "C": 6, "D": 8, "E": 10, "F": 12, "G": 14, "H": 16, "J": 18, "L": 20, "M": 22, "N": 24}

// pliesWords are words that repeat how the plies run.
var pliesWords = map[string]Construction{"BIAS": Bias, "DIAGONAL": Bias, "CROSSPLY": Bias, "RADIAL": Radial}

func isMark(word string) bool {
	if _, ok := treadOf(word); ok {
		return true
	}
	_, isFlexion := flexionOf(word)
	_, isRange := loadRanges[strings.TrimPrefix(word, "LR")]
	return dropped[word] || word == "" || isFlexion || word == "CFO" || typeWords[word] != 0 || typeTreads[word] != 0 || pliesWords[word] != 0 || strings.HasPrefix(word, "LR") && isRange
}

// marks reads the words after the size.
func (d *Designation) marks(fields []string) error {
	var usual Tread
	services := 0
	for i := 0; i < len(fields); i++ {
		f := fields[i]
		next := ""
		if i+1 < len(fields) {
			next = fields[i+1]
		}
		if f == "/" && next != "" {
			if done, err := d.otherSize(next); err != nil {
				return err
			} else if done || services == 1 {
				continue // the next word is read in its turn
			}
		}
		if size, ok := strings.CutPrefix(f, "/"); ok && size != "" {
			if done, err := d.otherSize(size); err != nil {
				return err
			} else if done {
				continue // 650/65R38 /20.8R38
			}
		}
		if _, ok := treadOf(f); ok && next == "/" && i+2 < len(fields) {
			f, next = f+"/"+fields[i+2], "" // E-3 / L-3
			fields[i+2] = f
			i += 2
		}
		if len(f) == 1 && strings.Contains("RFIGLEC", f) && next != "" {
			if _, ok := treadOf(f + next); ok {
				f, next = f+next, "" // R 1
				fields[i+1] = f
				i++
			}
		}
		n, err := d.word(f, next, &usual)
		if err != nil {
			return err
		}
		if n > 0 {
			i += n - 1
			continue
		}
		if !isDigit(f[0]) {
			return refuse("marks", f, "must be a service description such as 129A8, a ply rating such as 6PR, a load range such as LRD, a tread code such as R-1 or L-3, CFO, or a word such as IND, IMP, TURF or NHS")
		}
		// "129 A8", "6 PR"
		if _, _, rest, ok := number(f, 0); ok && rest == "" && next != "" && !isDigit(next[0]) && next != "/" {
			i++
			f += next
		}
		if done, err := d.ply(f); err != nil {
			return err
		} else if done {
			continue
		}
		if done, err := d.otherSize(f); err != nil {
			return err
		} else if done {
			continue
		}
		if services, err = d.services(f, services); err != nil {
			return err
		}
	}
	// Turf R-1 says two things; 11L-15 F-3 IND says where the wheel runs.
	if drive := func(t Tread) bool { return t >= TreadR1 && t <= TreadR4 }; drive(usual) && drive(d.Tread) && usual != d.Tread {
		return refuse("tread", d.Tread.String(), "must be given once")
	}
	if d.Tread == TreadUnknown {
		d.Tread = usual
	}
	return nil
}

// word reads a mark that is a word and returns how many fields it took, zero
// for none.
func (d *Designation) word(f, next string, usual *Tread) (taken int, err error) {
	if a, b, two := strings.Cut(f, "/"); two {
		// E-3/L-3 is one tread with two codes.
		x, okX := treadOf(a)
		y, okY := treadOf(b)
		earth := func(s string) bool { return strings.IndexByte("EGL", s[0]) >= 0 }
		if okX && okY && (lugFactor[x] == lugFactor[y] || earth(a) && earth(b)) {
			f = a
		}
	}
	if c, ok := treadOf(f); ok {
		if d.Tread != TreadUnknown {
			return 0, refuse("tread", f, "must be given once")
		}
		d.Tread = c
		return 1, nil
	}
	if x, ok := flexionOf(f); ok {
		if d.Flexion != FlexionStandard && d.Flexion != x {
			return 0, refuse("flexion", f, "must be given once")
		}
		d.Flexion = x
		return 1, nil
	}
	if c, ok := pliesWords[f]; ok {
		if c != d.Construction {
			return 0, refuse("construction", f, "must agree with the sign in the size, which says {construction}: - is bias, R is radial", units.Word("construction", "liquid.construction."+d.Construction.String(), d.Construction.String()))
		}
		return 1, nil
	}
	if c, ok := typeTreads[f]; ok {
		if *usual != TreadUnknown && *usual != c {
			return 0, refuse("tread", f, "must be given once")
		}
		*usual = c
		return 1, nil
	}
	if ply := loadRanges[f]; ply != 0 && d.System == Metric && d.Type == TypeUnknown && d.Width%10 == 5 && d.Construction == Radial && f >= "D" && f <= "H" {
		return 1, d.setPly(f, int(ply)) // 245/75R16 E; a C alone is the mark of vans
	}
	if ply := loadRanges[f]; ply != 0 && (d.Type == TypeLightTruck || d.Type == TypeTrailer) {
		return 1, d.setPly(f, int(ply)) // ST205/75R15 C
	}
	k, ok := typeWords[f]
	if f == "AT" && d.System == Flotation && d.Rim <= 140 {
		k, ok = TypeATV, true // on larger rims a tread for all terrain
	}
	if ok {
		if d.Type != TypeUnknown && d.Type != k {
			return 0, refuse("type", f, "must be given once")
		}
		d.Type = k
		return 1, nil
	}
	switch {
	case f == "CFO":
		d.CyclicField = true
		return 1, nil
	case f == "LR":
		f, taken = f+next, 1
	case f == "LOAD" && next == "RANGE":
		return 1, nil // the letter follows
	case f == "RANGE":
		f, taken = "LR"+next, 1
	case dropped[f]:
		return 1, nil
	}
	if ply := loadRanges[strings.TrimPrefix(strings.TrimPrefix(f, "LR"), "-")]; ply != 0 && strings.HasPrefix(f, "LR") {
		return taken + 1, d.setPly(f, int(ply))
	}
	return 0, nil
}

func (d *Designation) setPly(f string, n int) error {
	if d.PlyRating != 0 && d.PlyRating != uint8(min(n, 255)) {
		return refuse("plyRating", f, "must be given once")
	}
	if n < 2 || n > 40 || n%2 != 0 {
		return refuse("plyRating", f, "must be an even number from 2 to 40")
	}
	d.PlyRating = uint8(n)
	return nil
}

// ply reads a ply rating and reports whether the word is one.
func (d *Designation) ply(f string) (bool, error) {
	n, _, rest, ok := number(f, 0)
	if !ok {
		return false, nil
	}
	switch strings.TrimPrefix(strings.ReplaceAll(rest, ".", ""), "-") {
	case "P":
		if n > 40 {
			return false, nil // the speed symbol
		}
		return true, d.setPly(f, n)
	case "PR", "PLY", "PLIES":
		return true, d.setPly(f, n)
	case "RIB", "RIBS": // of the tread
		if n <= 12 {
			return true, nil
		}
	case "":
		if n >= 2 && n <= 40 {
			return true, refuse("marks", f, "must be {size} if it is the ply rating", valid.Text("size", strconv.Itoa(n)+"PR"))
		}
	}
	return false, nil
}

// otherSize reads the second size of a double marking, such as the 18.4R42 of
// 480/80R42 (18.4R42), and reports whether the word is one. It must fit the first
// within what the sizes of two series differ. A low metric section, which has its own width in
// its name, may be as much wider than the older size that it replaces as such sections are.
func (d *Designation) otherSize(f string) (bool, error) {
	var o Designation
	r := reader{rest: f}
	if err := o.size(&r); err != nil || r.rest != "" || o.Validate() != nil {
		return false, nil
	}
	a, errA := Tire{Designation: *d}.Resolve()
	b, errB := Tire{Designation: o}.Resolve()
	later := d.System == Metric && o.System == Numeric && o.Aspect == 0
	if errA != nil || errB != nil || o.Rim != d.Rim || o.Construction != d.Construction && !(later && d.Construction == Radial && o.Construction == Bias) {
		return true, refuse("marks", f, "must be another marking of the same size, with the same rim diameter and plies, or be left out; two tires are two designations")
	}
	width := otherWidth
	switch {
	case d.System == o.System:
		width = sameSystem // 14.9-38 is no other name of 16.9-38
	case d.wideBase() || o.wideBase():
		width = otherWideBase
	}
	wider := float64(a.SectionWidth.Value/b.SectionWidth.Value) - 1
	higher := float64(a.OverallDiameter.Value/b.OverallDiameter.Value) - 1
	switch {
	case math.Abs(higher) <= otherDiameter && math.Abs(wider) <= width, math.Abs(higher) <= otherDiameter && later && d.low() && wider > 0 && wider <= otherLow:
		return true, nil
	case math.Abs(higher) <= otherDiameter && o.System == Metric && d.System == Numeric && d.Aspect == 0 && o.low() && wider < 0 && 1/(1+wider)-1 <= otherLow:
		// The older size first: which of the two is on the wheel decides a quarter of the volume.
		return true, refuse("marks", f, sizesWant, sizesParam([]string{d.Size(), o.Size()}))
	}
	mm := func(d Dimension) units.Length { return units.Length(math.Round(1000*float64(d.Value)) / 1000) }
	return true, refuse("marks", f, "must be another marking of the same tire; {first} is {diameter} high and {width} wide, {other} is {otherDiameter} high and {otherWidth} wide: write the one that is on the tire, alone",
		valid.Text("first", d.Size()), valid.Value("diameter", mm(a.OverallDiameter)), valid.Value("width", mm(a.SectionWidth)),
		valid.Text("other", o.Size()), valid.Value("otherDiameter", mm(b.OverallDiameter)), valid.Value("otherWidth", mm(b.SectionWidth)))
}

// low reports whether a size marks a section height below that of standard sections.
func (d *Designation) low() bool { return d.Aspect != 0 && d.Aspect < 80 }

// Limits within which two markings are of one size, as shares (common practice,
// no source): sizes that replace each other differ by up to 6 % in width, of forklifts
// 11 %, of wide-base earthmover sizes and the metric ones 16 %, and 5 % in diameter. Sizes of
// one system follow each other by 12 %. Low metric sections are named beside older sizes of the
// same diameter than which they are up to 30 % wider: 540/65R28 (16.9R28), 650/65R25 (20.5R25).
const (
	otherWidth    = 0.12
	otherWideBase = 0.16
	otherLow      = 0.32
	sameSystem    = 0.06
	otherDiameter = 0.05
)

// services reads one or two service descriptions in one word.
func (d *Designation) services(f string, have int) (int, error) {
	parts := strings.Split(strings.Trim(f, "/"), "/")
	for j, part := range parts {
		// "129/126A8": one symbol for both load indices
		if _, _, rest, ok := number(part, 0); ok && rest == "" && j+1 < len(parts) {
			_, _, sym, _ := number(parts[j+1], 0)
			part += sym
		}
		// "147A8/B": one load index for both symbols
		if j > 0 && have > 0 && part != "" && !isDigit(part[0]) {
			part = strconv.Itoa(int(d.Service[have-1].Index)) + part
		}
		if have == 2 {
			return 0, refuse("service", part, "must be at most two service descriptions")
		}
		s, err := parseService(part)
		if err != nil {
			return 0, err
		}
		d.Service[have] = s
		have++
	}
	return have, nil
}
