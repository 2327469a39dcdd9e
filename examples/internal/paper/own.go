package paper

import (
	"regexp"
	"strings"
)

// Marks around what a user wrote from right to left; what a user types of them is dropped.
const (
	begin = "\ue000"
	end   = "\ue001"
	// mayBreak is a place where a word that is too long for a column may break.
	mayBreak = '\ue002'
)

// toLeft is a character of a writing that runs from right to left (the blocks whose unassigned
// characters Unicode's DerivedBidiClass gives the classes R and AL).
const toLeft = `[\x{0590}-\x{08ff}\x{fb1d}-\x{fdff}\x{fe70}-\x{fefe}\x{10800}-\x{10fff}\x{1e800}-\x{1efff}]`

var (
	leftward = regexp.MustCompile(toLeft)
	words    = regexp.MustCompile(toLeft + `+(?:[ '"-]` + toLeft + `+)*`)
	long     = regexp.MustCompile(`\S{25,}`)
	marked   = regexp.MustCompile(begin + "[^" + begin + end + "]*" + end)
	marks    = strings.NewReplacer(begin, "", end, "", string(mayBreak), "")
)

// Own marks what a user wrote, such as a name, before it goes into a sentence or a cell. Where it
// is written from right to left a page isolates it, so that the figures beside it keep their
// order. Other text does not change.
func Own(s string) string {
	s = bare(s)
	if !leftward.MatchString(s) {
		return s
	}
	return begin + s + end
}

// breakable lets a word of more than 24 characters, such as a name that somebody typed without
// blanks, break in every column of a table.
func breakable(s string) string {
	return long.ReplaceAllStringFunc(bare(s), func(word string) string {
		var b strings.Builder
		for i, r := range []rune(word) {
			if i > 0 && i%12 == 0 {
				b.WriteRune(mayBreak)
			}
			b.WriteRune(r)
		}
		return b.String()
	})
}

// bare is text without the marks.
func bare(s string) string { return marks.Replace(s) }

// A piece is part of a text; one that a user wrote from right to left stands isolated.
type piece struct {
	text string
	own  bool
}

// pieces cuts a text into what is isolated and the rest. What nobody has marked is cut by words.
func pieces(s string) (out []piece) {
	each(s, marked, func(s string) { out = append(out, piece{s, true}) }, func(s string) {
		each(s, words, func(s string) { out = append(out, piece{s, true}) }, func(s string) { out = append(out, piece{s, false}) })
	})
	return out
}

// each calls found for what a pattern matches and rest for what stands between.
func each(s string, pattern *regexp.Regexp, found, rest func(string)) {
	at := 0
	for _, m := range pattern.FindAllStringIndex(s, -1) {
		if m[0] > at {
			rest(s[at:m[0]])
		}
		found(s[m[0]:m[1]])
		at = m[1]
	}
	if at < len(s) {
		rest(s[at:])
	}
}
