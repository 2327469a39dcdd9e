// Package words holds every sentence that the library says to people, by a stable code
// and in each language. It is data: the file words.tsv, one line a sentence, with the rank and
// the subject of a remark.
//
// The English sentence stands in the code where it is said, so that a reader of the code
// sees it; its code is looked up by the sentence. A test of the whole module holds that
// every sentence of the code is in the file, and none is in the file that no code says.
package words

import (
	_ "embed"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"
)

//go:embed words.tsv
var file string

// Language is a column of the file.
type Language int

// The languages.
const (
	English Language = iota
	German
	numLanguages
)

type table struct {
	texts [numLanguages]map[string]string // by code
	codes map[string]string               // by English text
	ranks map[string]rank                 // by code
}

type rank struct {
	rank    int
	subject string
}

var load = sync.OnceValue(func() *table {
	t := &table{codes: map[string]string{}, ranks: map[string]rank{}}
	for i := range t.texts {
		t.texts[i] = map[string]string{}
	}
	for line := range strings.Lines(file) {
		line = strings.TrimSuffix(line, "\n")
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		parts := strings.Split(line, "\t")
		if len(parts) != 3+int(numLanguages) {
			panic("words.tsv: " + line)
		}
		for i := range t.texts {
			if parts[1+i] != "" {
				t.texts[i][parts[0]] = parts[1+i]
			}
		}
		if _, ok := t.codes[parts[1]]; !ok {
			t.codes[parts[1]] = parts[0]
		}
		if n, err := strconv.Atoi(parts[3]); err == nil {
			t.ranks[parts[0]] = rank{n, parts[4]}
		}
	}
	return t
})

// Code returns the code of an English sentence; "" if it is none of the library's.
func Code(english string) string { return load().codes[english] }

// Rank returns the rank and the subject of a remark: 4 and "general" where the file gives
// none.
func Rank(code string) (int, string) {
	if r, ok := load().ranks[code]; ok {
		return r.rank, r.subject
	}
	return 4, "general"
}

// Text returns the sentence of a code.
func Text(l Language, code string) (string, bool) {
	text, ok := load().texts[l][code]
	return text, ok
}

// Texts returns a copy of all sentences of a language, by code.
func Texts(l Language) map[string]string { return maps.Clone(load().texts[l]) }

// Codes returns all codes, sorted.
func Codes() []string { return slices.Sorted(maps.Keys(load().texts[English])) }
