package bridge

import (
	_ "embed"
	"strings"
	"sync"

	"example.com/steelyard/units"
)

//go:embed words.tsv
var file string

type word struct{ code, english, german, rank string }

var words = sync.OnceValue(func() []word {
	var list []word
	for line := range strings.Lines(file) {
		line = strings.TrimSuffix(line, "\n")
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		p := strings.Split(line, "\t")
		for len(p) < 4 {
			p = append(p, "")
		}
		list = append(list, word{p[0], p[1], p[2], p[3]})
	}
	return list
})

// texts are the page's own texts in a language.
func texts(language string) map[string]string {
	m := map[string]string{}
	for _, w := range words() {
		m[w.code] = w.english
		if language == "de" {
			m[w.code] = w.german
		}
	}
	return m
}

// remark is a caution of the page.
func remark(code string) units.Remark {
	for _, w := range words() {
		if w.code == code {
			return units.Remark{Code: code, Text: w.english, Rank: len(w.rank), Subject: units.SubjectLifting}
		}
	}
	return units.Remark{Code: code, Text: code, Rank: 1}
}
