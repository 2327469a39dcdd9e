package liquid

import (
	"fmt"
	"strings"

	"example.com/steelyard/units"
)

func enumString[E ~uint8](kind string, names []string, e E) string {
	if int(e) >= len(names) {
		return fmt.Sprintf("%s(%d)", kind, uint8(e))
	}
	return names[e]
}

func enumMarshal[E ~uint8](names []string, e E) ([]byte, error) {
	if int(e) >= len(names) {
		return nil, &units.FieldError{Value: fmt.Sprint(uint8(e)), Want: enumWant(names)}
	}
	return []byte(names[e]), nil
}

func enumUnmarshal[E ~uint8](names []string, text []byte, e *E) error {
	for i, n := range names {
		if n == string(text) {
			*e = E(i)
			return nil
		}
	}
	return &units.FieldError{Value: string(text), Want: enumWant(names)}
}

func enumWant(names []string) string {
	var out []string
	for _, n := range names {
		if n != "" {
			out = append(out, n)
		}
	}
	return "must be one of " + strings.Join(out, ", ")
}
