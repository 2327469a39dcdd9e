// Package bridge answers the page of a phone: a request as JSON in, an answer as JSON out, with
// every text in the reader's language and units. It is the same code in a browser, where it is
// compiled to WebAssembly, and in a Go program; it reads and writes no file and keeps nothing.
//
// A machine is the text of a ballast.Document, which the page edits field by field. What the
// ground is like, and whether the roll-over structure is up, belongs to the day and the place and
// is no part of the document.
package bridge

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/units"
)

// Request is one question of the page.
type Request struct {
	// Ask is what is asked: start, open, save, form, answer, questions, pictures, slope, hole, plan, tire or pivot.
	Ask string `json:"ask"`
	// Language is "en" or "de", System "metric" or "usCustomary".
	Language string       `json:"language"`
	System   units.System `json:"system"`
	// Document is the machine with its question.
	Document json.RawMessage `json:"document,omitempty"`
	// Before is the document before the last change, to say what changed.
	Before json.RawMessage `json:"before,omitempty"`
	// File is the text of a file that the user opens.
	File string `json:"file,omitempty"`
	// Of save, File is the job file that was opened, Before and YardBefore are the document and the
	// yard as they were opened, Document and Yard as they are now, and Compare is the attachment to
	// compare as it is now.
	Yard       map[string]string `json:"yard,omitempty"`
	YardBefore map[string]string `json:"yardBefore,omitempty"`
	Compare    json.RawMessage   `json:"compare,omitempty"`
	// Ground is what is said of the ground and of the protection of whoever drives.
	Ground Ground `json:"ground,omitzero"`
	// Ahead is a tape reading from the front axle to the pivot pin, arms down, for pivot.
	Ahead string `json:"ahead,omitempty"`
	// Tire is a job of filling a tire.
	Tire Tire `json:"tire,omitzero"`
	// Milliseconds bounds what may take long; zero is 1500. What is not found by then is left out,
	// and the answer says so.
	Milliseconds int `json:"milliseconds,omitempty"`
}

// maxRequest bounds a request, because a file that is opened may be anything.
const maxRequest = 4 << 20

// asker is a request on its way to its answer.
type asker struct {
	paper.Words
	Request
}

// Failure is the answer to a request that cannot be answered.
type Failure struct {
	Failure string `json:"failure"`
}

// Answer answers one request. It never panics: what went wrong is a Failure.
func Answer(request []byte) (answer []byte) {
	defer func() {
		if r := recover(); r != nil {
			answer = marshal(Failure{fmt.Sprintf("the library stopped: %v", r)})
		}
	}()
	if len(request) > maxRequest {
		return marshal(Failure{"the request is too large"})
	}
	var a asker
	d := json.NewDecoder(bytes.NewReader(request))
	d.DisallowUnknownFields()
	if err := d.Decode(&a.Request); err != nil {
		return marshal(Failure{err.Error()})
	}
	var ok bool
	if a.Words, ok = paper.Speak(a.Language, a.System); !ok {
		return marshal(Failure{"language: must be en or de"})
	}
	for code, text := range texts(a.Language) {
		a.Texts[code] = text
	}
	switch a.Ask {
	case "start":
		return marshal(a.start())
	case "open":
		return marshal(a.open())
	case "save":
		out, err := a.save()
		if err != nil {
			out = Failure{err.Error()}
		}
		return marshal(out)
	case "form":
		return marshal(a.form())
	case "answer":
		return marshal(a.answer())
	case "questions":
		return marshal(a.questions())
	case "pictures":
		return marshal(a.pictures())
	case "slope":
		return marshal(a.slope())
	case "hole":
		return marshal(a.hole())
	case "plan":
		return marshal(a.plan())
	case "tire":
		return marshal(a.tire())
	case "pivot":
		return marshal(a.pivot())
	}
	return marshal(Failure{"ask: must be start, open, save, form, answer, questions, pictures, slope, hole, plan, tire or pivot"})
}

func marshal(v any) []byte {
	out, err := json.Marshal(v)
	if err != nil {
		out, _ = json.Marshal(Failure{err.Error()})
	}
	return out
}

// clock is a context that ends at a time. A browser runs one thing at a time, so a timer would not
// end a calculation there; asking the clock does.
type clock struct {
	context.Context
	end time.Time
}

func (c clock) Err() error {
	if time.Now().After(c.end) {
		return context.DeadlineExceeded
	}
	return nil
}

// bounded is the context of a calculation that may take long.
func (a *asker) bounded() context.Context {
	ms := a.Milliseconds
	if ms <= 0 {
		ms = 1500
	}
	return clock{context.Background(), time.Now().Add(time.Duration(ms) * time.Millisecond)}
}

// Problem is a field that is missing or wrong.
type Problem struct {
	Path  string `json:"path"`
	Label string `json:"label"`
	Text  string `json:"text"`
}

// problems says an error in the reader's words: what is wrong, and what is not given yet but needed
// before there is any figure.
func (a *asker) problems(err error) (wrong, missing []Problem) {
	list := units.Fields(err)
	var tree any
	json.Unmarshal(a.Document, &tree)
	if len(list) == 0 && err != nil {
		return []Problem{{Text: err.Error()}}, nil
	}
	for _, f := range list {
		p := Problem{Path: f.Path, Label: a.label(f.Path), Text: a.Want(f)}
		if !has(tree, f.Path) {
			if x, ok := ballast.FieldAt(f.Path); ok {
				p.Text = a.Text(x.HelpCode)
			}
			missing = append(missing, p)
			continue
		}
		wrong = append(wrong, p)
	}
	return wrong, missing
}

// has reports whether a document holds anything at a path.
func has(tree any, path string) bool {
	for _, key := range strings.FieldsFunc(path, func(r rune) bool { return r == '.' || r == '[' || r == ']' }) {
		switch v := tree.(type) {
		case map[string]any:
			next, ok := v[key]
			if !ok {
				return false
			}
			tree = next
		case []any:
			i, err := strconv.Atoi(key)
			if err != nil || i < 0 || i >= len(v) {
				return false
			}
			tree = v[i]
		default:
			return false
		}
	}
	if m, ok := tree.(map[string]any); ok && len(m) == 0 {
		return false
	}
	return true
}

// label is the name of a field for a reader.
func (a *asker) label(path string) string {
	bare := strings.TrimPrefix(path, "setup.")
	if _, field, ok := strings.Cut(bare, "]."); ok && strings.HasPrefix(bare, "pieces[") {
		bare = "pieces." + field
	}
	if text, ok := a.Texts["path."+bare]; ok && !strings.HasPrefix(bare, "machine.motion.") {
		return text
	}
	if f, ok := ballast.FieldAt(path); ok {
		return f.Label(a.Catalog)
	}
	return path
}

// document reads the machine of a request. An empty one is a document without a setup.
func (a *asker) document(raw json.RawMessage) (ballast.Document, error) {
	return ballast.Decode(bytes.NewReader(raw))
}

// late reports whether an error is that of the time.
func late(err error) bool { return errors.Is(err, context.DeadlineExceeded) }
