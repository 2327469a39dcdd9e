package stability

import (
	"fmt"
	"strings"
)

// enumText returns the name of a closed choice, or its number if it has none.
func enumText(names []string, i int, kind string) string {
	if i < len(names) {
		return names[i]
	}
	return fmt.Sprintf("%s(%d)", kind, i)
}

// marshalEnum returns the name of a closed choice, or an error if it has none.
func marshalEnum(names []string, i int, kind string) ([]byte, error) {
	if i < len(names) {
		return []byte(names[i]), nil
	}
	return nil, fmt.Errorf("stability: %s %d has no name", kind, i)
}

// unmarshalEnum returns the place of a name, or an error that lists them all.
func unmarshalEnum(names []string, text []byte, kind string) (int, error) {
	for i, n := range names {
		if n == string(text) {
			return i, nil
		}
	}
	return 0, fmt.Errorf("stability: %s %q: want one of %s", kind, clip(text), strings.Join(names, ", "))
}

// clip keeps an error message short whatever the input.
func clip(text []byte) string {
	if len(text) > 40 {
		return string(text[:40]) + "..."
	}
	return string(text)
}

// bitNames returns the names of the set bits, joined by commas.
func bitNames(names []string, bits uint32) string {
	var b strings.Builder
	for i := 0; bits != 0; i, bits = i+1, bits>>1 {
		if bits&1 == 0 {
			continue
		}
		if b.Len() > 0 {
			b.WriteByte(',')
		}
		b.WriteString(enumText(names, i, "bit"))
	}
	return b.String()
}

// bitLines returns the sentences of the set bits in their fixed order.
func bitLines(lines []string, bits uint32) []string {
	var out []string
	for i, l := range lines {
		if bits&(1<<i) != 0 {
			out = append(out, l)
		}
	}
	return out
}
