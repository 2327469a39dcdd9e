package standards

import (
	"encoding"
	"testing"

	"example.com/steelyard/internal/fieldtest"
)

// textChoices returns a fresh value of every type of this package that is
// written as text.
func textChoices() []encoding.TextUnmarshaler {
	return []encoding.TextUnmarshaler{
		new(TractorKind),
		new(ImplementKind),
		new(Surface),
		new(Construction),
		new(HitchCategory),
		new(Sources),
		new(Notes),
		new(Cautions),
	}
}

// FuzzChoices reads any text as each choice and set of remarks: what is taken
// is written in a form that reads back as the same.
func FuzzChoices(f *testing.F) {
	fieldtest.FuzzTexts(f, textChoices, "", "unknown", "trailed", "radial", "IV", "iowa", "manual,rops", "x", "Surface(3)")
}
