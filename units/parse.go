package units

import (
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxText is the longest text that a parser reads, in bytes.
const maxText = 128

// A fault is why a text was refused; the zero value says that it was not.
type fault uint8

const (
	okay fault = iota
	tooLong
	noNumber
	badNumber
	decimalComma
	ambiguousComma
	badGroups
	badFraction
	noUnit
	unknownUnit
	badCompound
	badRatio
	tooLarge
	tooSmall
)

// A problem is a fault and the part of the text that has it.
type problem struct {
	fault    fault
	from, to int
}

var pow10 = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// space returns the length of the space at s[i:], or zero.
func space(s string, i int) int {
	if i >= len(s) || s[i] < 0x80 && s[i] != ' ' {
		return 0
	}
	return anySpace(s, i)
}

// anySpace does the work of space after its shortcut. The spaces are the
// plain space, the two no-break spaces and the thin space.
func anySpace(s string, i int) int {
	switch {
	case s[i] == ' ':
		return 1
	case strings.HasPrefix(s[i:], "\u00a0"):
		return 2
	case strings.HasPrefix(s[i:], "\u202f"), strings.HasPrefix(s[i:], "\u2009"):
		return 3
	}
	return 0
}

func skipSpaces(s string, i int) int {
	for {
		n := space(s, i)
		if n == 0 {
			return i
		}
		i += n
	}
}

// trimSpaces returns the length of s without the spaces at its end.
func trimSpaces(s string) int {
	end := len(s)
	for end > 0 {
		switch c := s[end-1]; {
		case c == ' ':
			end--
		case c < 0x80:
			return end
		case end >= 2 && space(s, end-2) == 2:
			end -= 2
		case end >= 3 && space(s, end-3) == 3:
			end -= 3
		default:
			return end
		}
	}
	return 0
}

func isDigit(s string, i int) bool { return i < len(s) && s[i]-'0' <= 9 }

func isLetter(s string, i int) bool { return i < len(s) && s[i]|0x20-'a' < 26 }

// group reports whether exactly three digits are at s[i:].
func group(s string, i int) bool {
	return isDigit(s, i) && isDigit(s, i+1) && isDigit(s, i+2) && !isDigit(s, i+3)
}

// number reads the unsigned number at s[i:] and returns it and the index behind it.
func number(s string, i int) (v float64, end int, f fault) {
	start := i
	if num, den, width := vulgar(s, i); width > 0 {
		return float64(num) / float64(den), i + width, okay
	}
	var mant uint64
	// Most numbers are a few digits before a unit.
	for ; isDigit(s, i) && i < start+15; i++ {
		mant = mant*10 + uint64(s[i]-'0')
	}
	if i > start && i < len(s) && (s[i]|0x20 != 'e' && isLetter(s, i) || s[i] == ' ' && isLetter(s, i+1)) {
		return float64(mant), i, okay
	}
	n := numeral{start: start, exact: true}
	if i, f = n.whole(s, start); f != okay {
		return 0, i, f
	}
	integer := i
	if i, f = n.decimals(s, i); f != okay {
		return 0, i, f
	}
	if n.digits == 0 {
		return 0, i, noNumber
	}
	i = n.power(s, i)
	if i == integer && n.groups == 0 && n.exact && i < len(s) {
		// There are only digits so far, so a fraction may follow, as in "3/4",
		// "5 3/4", "5-3/4" and "5\u00be".
		if sp := space(s, i); s[i] == '/' || s[i] == '-' || s[i] >= 0x80 && sp == 0 || sp > 0 && !isLetter(s, i+sp) {
			if v, end, f := fraction(s, i, n.mant); f != okay || end > i {
				return v, end, f
			}
		}
	}
	v, f = n.value(s, i)
	return v, i, f
}

// A numeral is a number that is being read.
type numeral struct {
	start       int
	mant        uint64
	digits, sig int // all digits, and those from the first that is not zero
	exp         int
	exact       bool // mant and exp hold the whole number
	sep         byte // the first byte of the separator of groups
	groups      int
}

// digit adds a digit and reports whether mant holds it.
func (n *numeral) digit(c byte) bool {
	n.digits++
	if n.mant != 0 || c != '0' {
		n.sig++
	}
	if n.sig > 18 {
		n.exact = false
		return false
	}
	n.mant = n.mant*10 + uint64(c-'0')
	return true
}

// whole reads the digits before a decimal point, in groups of three or not.
func (n *numeral) whole(s string, i int) (end int, f fault) {
	for {
		if isDigit(s, i) {
			n.digit(s[i])
			i++
			continue
		}
		// A separator of groups follows one to three digits, of which the first is not
		// zero, and precedes exactly three.
		if i >= len(s) || n.digits == 0 {
			return i, okay
		}
		width := 1
		if s[i] != ',' {
			if width = space(s, i); width == 0 {
				return i, okay
			}
		}
		if !group(s, i+width) {
			if s[i] == ',' {
				return i, decimalComma
			}
			return i, okay
		}
		if n.groups == 0 && (n.digits > 3 || s[n.start] == '0') {
			if s[i] == ',' {
				return i, decimalComma
			}
			return i, badGroups
		}
		if n.sep != 0 && n.sep != s[i] {
			return i, badGroups
		}
		n.sep = s[i]
		n.groups++
		i += width
	}
}

// decimals reads a decimal point and the digits behind it.
func (n *numeral) decimals(s string, i int) (end int, f fault) {
	if i >= len(s) || s[i] != '.' {
		if n.sep == ',' && n.groups == 1 {
			return i, ambiguousComma
		}
		return i, okay
	}
	for i++; isDigit(s, i); i++ {
		if n.digit(s[i]) {
			n.exp--
		}
	}
	if i < len(s) && s[i] == ',' {
		return i, decimalComma
	}
	if i < len(s) && s[i] == '.' {
		return i, badNumber
	}
	return i, okay
}

// power reads a power of ten, as in 1e3, if there is one.
func (n *numeral) power(s string, i int) (end int) {
	if i >= len(s) || s[i]|0x20 != 'e' {
		return i
	}
	j := i + 1
	neg := false
	if j < len(s) && (s[j] == '+' || s[j] == '-') {
		neg = s[j] == '-'
		j++
	}
	if !isDigit(s, j) {
		return i
	}
	e := 0
	for ; isDigit(s, j); j++ {
		if e < 100000 {
			e = e*10 + int(s[j]-'0')
		}
	}
	if neg {
		e = -e
	}
	n.exp += e
	return j
}

// value returns the number that ends at s[:end].
func (n *numeral) value(s string, end int) (v float64, f fault) {
	if n.exact && n.mant < 1<<53 {
		switch exp := n.exp; {
		case exp == 0:
			return float64(n.mant), okay
		case 0 < exp && exp < len(pow10):
			return float64(n.mant) * pow10[exp], okay
		case exp < 0 && -exp < len(pow10):
			return float64(n.mant) / pow10[-exp], okay
		}
	}
	text := s[n.start:end]
	var buf [32]byte
	if n.groups > 0 {
		bare := buf[:0]
		for j := 0; j < len(text); {
			if sp := space(text, j); sp > 0 {
				j += sp
				continue
			}
			if text[j] != ',' {
				if len(bare) == len(buf) {
					return 0, badNumber
				}
				bare = append(bare, text[j])
			}
			j++
		}
		text = string(bare)
	}
	v, err := strconv.ParseFloat(text, 64)
	switch {
	case err != nil:
		return 0, tooLarge
	case v == 0 && n.sig > 0:
		return 0, tooSmall
	}
	return v, okay
}

// vulgar returns the fraction that is one character at s[i:], such as "\u00be", and its
// length, or a length of zero.
func vulgar(s string, i int) (num, den uint64, width int) {
	switch {
	case i >= len(s) || s[i] < 0x80:
	case strings.HasPrefix(s[i:], "\u00bc"):
		return 1, 4, 2
	case strings.HasPrefix(s[i:], "\u00bd"):
		return 1, 2, 2
	case strings.HasPrefix(s[i:], "\u00be"):
		return 3, 4, 2
	case strings.HasPrefix(s[i:], "\u215b"):
		return 1, 8, 3
	case strings.HasPrefix(s[i:], "\u215c"):
		return 3, 8, 3
	case strings.HasPrefix(s[i:], "\u215d"):
		return 5, 8, 3
	case strings.HasPrefix(s[i:], "\u215e"):
		return 7, 8, 3
	}
	return 0, 0, 0
}

// slash returns the length of a fraction's slash at s[i:], or zero.
func slash(s string, i int) int {
	switch {
	case i < len(s) && s[i] == '/':
		return 1
	case strings.HasPrefix(s[min(i, len(s)):], "\u2044"):
		return 3
	}
	return 0
}

// fraction reads what follows the whole number at s[:i]: with "/4" the number is the
// numerator, and " 3/4", "-3/4" and "\u00be" are added to it. It returns end i if none
// follows.
func fraction(s string, i int, whole uint64) (v float64, end int, f fault) {
	num, j := whole, i
	mixed := false
	sp := skipSpaces(s, i)
	if n, den, width := vulgar(s, sp); width > 0 {
		if whole >= 1<<40 {
			return 0, sp, badFraction
		}
		return float64(whole) + float64(n)/float64(den), sp + width, okay
	}
	if sp == i && i < len(s) && s[i] == '-' {
		sp++
	}
	if sp > i {
		num, j = 0, sp
		for ; isDigit(s, j) && j < sp+3; j++ {
			num = num*10 + uint64(s[j]-'0')
		}
		if j == sp {
			return 0, i, okay
		}
		mixed = true
	}
	width := slash(s, j)
	if width == 0 || !isDigit(s, j+width) {
		return 0, i, okay
	}
	den := uint64(0)
	first := j + width
	k := first
	for ; isDigit(s, k) && k < first+3; k++ {
		den = den*10 + uint64(s[k]-'0')
	}
	switch den {
	case 2, 4, 8, 16, 32, 64:
	default:
		return 0, k, badFraction
	}
	if isDigit(s, k) || mixed && num >= den || num >= 1<<40 || whole >= 1<<40 {
		return 0, k, badFraction
	}
	v = float64(num) / float64(den)
	if mixed {
		v += float64(whole)
	}
	return v, k, okay
}

// parse reads a quantity of the kind. It does not keep s.
func (k *kind) parse(s string) (float64, problem) {
	if len(s) > maxText {
		return 0, problem{tooLong, 0, len(s)}
	}
	end := len(s)
	if end == 0 {
		return 0, problem{noNumber, 0, 0}
	}
	if c := s[end-1]; c == ' ' || c >= 0x80 {
		end = trimSpaces(s)
		s = s[:end]
	}
	i := skipSpaces(s, 0)
	neg := false
	switch {
	case i >= end:
		return 0, problem{noNumber, 0, end}
	case s[i] == '-':
		neg = true
		i++
	case s[i] == '+':
		i++
	case s[i] == 0xe2 && strings.HasPrefix(s[i:], "\u2212"): // the minus sign
		neg = true
		i += 3
	}
	start := i
	n, i, f := number(s, i)
	if f != okay {
		return 0, problem{f, start, i}
	}
	if k.ratio && i < end && s[i] == ':' {
		run, j, f := number(s, i+1)
		if f != okay {
			return 0, problem{f, i + 1, j}
		}
		if j != end || !(n <= run) || run == 0 {
			return 0, problem{badRatio, start, end}
		}
		v := float64(Grade(n / run))
		if neg {
			v = -v
		}
		return v, problem{}
	}
	i = skipSpaces(s, i)
	var u *unit
	if i == end {
		if !k.bare {
			return 0, problem{noUnit, start, end}
		}
		u = &k.units[0]
	} else if u = k.lookup(s[i:]); u == nil {
		if n, u, f = k.compound(s, i, n); f != okay {
			return 0, problem{f, i, end}
		}
	}
	if neg {
		n = -n
	}
	v := u.value(n)
	switch {
	case math.IsInf(v, 0):
		return 0, problem{tooLarge, start, end}
	case v == 0 && n != 0 && math.Abs(n) < 1e-200:
		return 0, problem{tooSmall, start, end}
	}
	return v, problem{}
}

// compound reads "ft 3 in" at s[i:] behind the number n. It returns the whole as a
// number of the last unit, and that unit.
func (k *kind) compound(s string, i int, n float64) (float64, *unit, fault) {
	u, j := k.part(s, i)
	if u == nil || j == len(s) {
		return 0, nil, unknownUnit
	}
	for j < len(s) {
		// Another part follows, so this part must be a whole number and the next must
		// be smaller than one of this unit.
		part, end, f := number(s, j)
		if f != okay {
			return 0, nil, badCompound
		}
		var next *unit
		next, j = k.part(s, skipSpaces(s, end))
		if next == nil {
			return 0, nil, unknownUnit
		}
		if next.chain == 0 || next.chain >= u.chain || n != math.Trunc(n) || n >= 1<<40 {
			return 0, nil, badCompound
		}
		ratio := float64(u.chain / next.chain)
		if part >= ratio {
			return 0, nil, badCompound
		}
		n = float64(n*ratio) + part
		u = next
	}
	return n, u, okay
}

// part reads the name of a unit within a compound, up to the next number.
func (k *kind) part(s string, i int) (*unit, int) {
	j := i
	for j < len(s) && !isDigit(s, j) {
		if _, _, width := vulgar(s, j); width > 0 {
			break
		}
		j++
	}
	name := s[i:j]
	return k.lookup(name[:trimSpaces(name)]), j
}

// explain makes the error for a text that parse refused. It keeps s.
func (k *kind) explain(s string, p problem) *FieldError {
	want, params := k.want(s, p)
	return NewFieldError("", shown(s), want, params...)
}

// like ends a message with an example; its parameters are those of [kind.like].
const like = "{quantity} is written like {example}"

// like returns the parameters of the message with more of them.
func (k *kind) like(more ...Param) []Param {
	return append([]Param{k.named(), {Name: "example", Text: strconv.Quote(k.example)}}, more...)
}

// named returns the quantity's name, with its article in English.
func (k *kind) named() Param {
	return Param{Name: "quantity", Text: k.noun, code: "units.quantity." + strings.ToLower(k.typ[:1]) + k.typ[1:]}
}

// shown returns s in the form in which an error prints it.
func shown(s string) string {
	if len(s) > maxText {
		cut := 40
		for cut > 0 && !utf8.RuneStart(s[cut]) {
			cut--
		}
		return strconv.Quote(s[:cut] + "...")
	}
	if s == "" {
		return `""`
	}
	for _, r := range s {
		if r == utf8.RuneError || !unicode.IsPrint(r) && r != '\u00a0' && r != '\u202f' && r != '\u2009' {
			return strconv.Quote(s)
		}
	}
	return s
}

// want says what would be accepted in the place of a text that parse refused.
func (k *kind) want(s string, p problem) (string, []Param) {
	switch p.fault {
	case tooLong:
		return "the text is too long; " + like, k.like()
	case noNumber:
		word := strings.ToLower(strings.Trim(s, " +-\u2212\u00a0"))
		for _, w := range []string{"nan", "inf", "infinity", "∞"} {
			if word == w || strings.HasPrefix(word, w+" ") {
				return "must be finite; " + like, k.like()
			}
		}
		return "must start with a number; " + like, k.like()
	case decimalComma:
		return `write the decimal point as "."; a comma may only separate groups of three digits`, nil
	case ambiguousComma:
		digits := s[p.from:p.to]
		return "the comma may be read as a decimal comma: write {whole} or {decimal}", []Param{
			{Name: "whole", Text: strconv.Quote(strings.Replace(digits, ",", "", 1))},
			{Name: "decimal", Text: strconv.Quote(strings.Replace(digits, ",", ".", 1))},
		}
	case badGroups:
		return "use the same separator before each group of exactly three digits, or no separator", nil
	case badFraction:
		return `a fraction must be less than 1 and have the denominator 2, 4, 8, 16, 32 or 64; otherwise write decimals`, nil
	case noUnit:
		if k.ratio {
			return "the unit is missing; " + like + `, "12 deg" or "1:5"`, k.like()
		}
		return "the unit is missing; " + like + " (units: {units})", k.like(k.written())
	case badCompound:
		return "in a compound each part except the last must be whole and each must be smaller than one of the unit before it, as in {compound}; otherwise " + like,
			k.like(Param{Name: "compound", Text: strconv.Quote(k.compoundExample())})
	case badRatio:
		return `a slope ratio is rise:run, such as "1:5", and no steeper than 1:1; write a steeper one as "50 deg"`, nil
	case tooLarge:
		return "must be finite, but the number is too large", nil
	case tooSmall:
		return "must be zero or at least 1e-300; the number is too small and would be read as zero", nil
	case unknownUnit:
		name := s[p.from:]
		return k.unknown(name[:trimSpaces(name)])
	}
	return like, k.like()
}

// written lists the units that the parser reads.
func (k *kind) written() Param { return Param{Name: "units", Text: k.symbols()} }

func (k *kind) compoundExample() string {
	switch k {
	case &kinds[lengthKind]:
		return "5 ft 3 in"
	case &kinds[massKind]:
		return "5 lb 3 oz"
	case &kinds[angleKind]:
		return "12 deg 30 arcmin"
	case &kinds[durationKind]:
		return "1 h 30 min"
	}
	return k.example
}

// symbols lists the units that the parser reads.
func (k *kind) symbols() string {
	var list []string
	for i := range k.units {
		if s := k.units[i].symbol; s != "" {
			list = append(list, s)
		}
	}
	return strings.Join(list, ", ")
}

// unknown explains why name is not a unit of the kind.
func (k *kind) unknown(name string) (string, []Param) {
	plain := name
	var buf [48]byte
	if n, ok := plainName(&buf, name); ok {
		plain = string(buf[:n])
	}
	for _, r := range k.refused {
		for _, n := range r.names {
			if n == name || n == plain {
				return r.why, []Param{{Name: "unit", Text: strconv.Quote(name)}}
			}
		}
	}
	near, d := k.nearest(plain)
	unit := Param{Name: "unit", Text: strconv.Quote(name)}
	if d > 0 {
		for i := range kinds {
			if other := &kinds[i]; other != k && other.lookup(name) != nil {
				of := other.named()
				of.Name = "other"
				return "{unit} is a unit of {other}, not of {quantity}; write one of {units}", []Param{unit, of, k.named(), k.written()}
			}
		}
	}
	if len(near) > 0 {
		return "unknown unit {unit} of {quantity}; did you mean {near}?", []Param{unit, k.named(), orParam("near", near)}
	}
	return "unknown unit {unit} of {quantity}; write one of {units}", []Param{unit, k.named(), k.written()}
}

// nearest returns the symbols of the units whose spelling is closest to name, and the
// distance. It returns none if all are far from it.
func (k *kind) nearest(name string) ([]string, int) {
	best := 1 + len(name)/4
	var list []string
	for i := range k.units {
		u := &k.units[i]
		d := distance(name, u.symbol)
		for _, n := range u.names {
			d = min(d, distance(name, n))
		}
		if u.symbol == "" || d > best {
			continue
		}
		if d < best {
			best, list = d, nil
		}
		list = append(list, u.symbol)
	}
	return list, best
}

func orList(list []string, or string) string {
	var b strings.Builder
	for i, s := range list {
		switch {
		case i > 0 && i == len(list)-1:
			b.WriteString(" " + or + " ")
		case i > 0:
			b.WriteString(", ")
		}
		b.WriteString(strconv.Quote(s))
	}
	return b.String()
}

// distance returns the number of letters that must be changed, added or removed to
// turn a into b. The case of letters does not count, so names that differ only in case
// have the distance 0. Names of one letter are near only in that way.
func distance(a, b string) int {
	a, b = strings.ToLower(a), strings.ToLower(b)
	if a == b {
		return 0
	}
	if len(a) < 2 || len(b) < 2 {
		return maxText
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diag := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := diag
			if a[i-1] != b[j-1] {
				cost++
			}
			diag = row[j]
			row[j] = min(cost, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}
