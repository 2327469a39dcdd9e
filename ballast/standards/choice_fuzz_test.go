package standards_test

import (
	"encoding"
	"testing"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/internal/fieldtest"
)

// textChoices returns a fresh value of every type of this package that is
// written as text.
func textChoices() []encoding.TextUnmarshaler {
	return []encoding.TextUnmarshaler{
		new(standards.TractorKind),
		new(standards.ImplementKind),
		new(standards.TractionSurface),
		new(standards.HitchCategory),
		new(standards.Rule),
		new(standards.Outcome),
		new(standards.Sources),
		new(standards.Notes),
		new(standards.Cautions),
	}
}

// FuzzChoices reads any text as each choice and set of remarks: what is taken
// is written in a form that reads back as the same.
func FuzzChoices(f *testing.F) {
	fieldtest.FuzzTexts(f, textChoices, "", "unknown", "trailed", "radial", "IV", "iowa", "manual,rops", "x", "Surface(3)")
}
