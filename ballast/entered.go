package ballast

import (
	"strconv"
	"strings"
)

// MoveEntered moves the texts of [Document.Entered], or of that of a document with readings,
// after the entries of a list have changed places: was holds for each entry of the changed
// list the place that it had before, and -1 for a new one. Entries that are not in it are
// gone, and so are their texts. The list is named by its path, such as "setup.pieces"; a
// text stays with its entry, with all that is in it. After the first of three pieces was
// taken out, was is 1, 2.
//
// Texts are kept by path, so that without this a text stays at its place in the list. No
// wrong value comes of that, because a text is written only where it says the value that
// stands there, to the bit; but the other texts of the list are lost, and of two entries
// with one value one may be written in the other's unit.
func MoveEntered(entered map[string]string, list string, was ...int) {
	moved := map[string]string{}
	for path, text := range entered {
		rest, ok := strings.CutPrefix(path, list+"[")
		if !ok {
			continue
		}
		place, rest, ok := strings.Cut(rest, "]")
		old, err := strconv.Atoi(place)
		if !ok || err != nil {
			continue
		}
		delete(entered, path)
		for now, w := range was {
			if w == old {
				moved[list+"["+strconv.Itoa(now)+"]"+rest] = text
			}
		}
	}
	for path, text := range moved {
		entered[path] = text
	}
}
