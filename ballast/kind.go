package ballast

import (
	"fmt"
	"strings"
)

// A closed choice is a small number with a name. The helpers below give all
// of them the same text form; the zero value of each is its "unknown" or its
// most cautious member.

func kindString[K ~uint8](k K, names []string) string {
	if int(k) < len(names) {
		return names[k]
	}
	return fmt.Sprintf("kind(%d)", uint8(k))
}

func kindMarshal[K ~uint8](k K, names []string) ([]byte, error) {
	if int(k) >= len(names) {
		return nil, fmt.Errorf("kind(%d): must be one of %s", uint8(k), strings.Join(names, ", "))
	}
	return []byte(names[k]), nil
}

func kindUnmarshal[K ~uint8](k *K, text []byte, names []string) error {
	for i, name := range names {
		if string(text) == name {
			*k = K(i)
			return nil
		}
	}
	return fmt.Errorf("must be one of %s", strings.Join(names, ", "))
}

func kindKnown[K ~uint8](k K, names []string) bool { return int(k) < len(names) }

// wantOneOf is what would be accepted where a choice has no default.
func wantOneOf(names []string) string {
	return "must be one of " + strings.Join(names, ", ")
}
