package weigh_test

import (
	"encoding"
	"testing"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/internal/fieldtest"
)

// textChoices returns a fresh value of every type of this package that is written
// as text.
func textChoices() []encoding.TextUnmarshaler {
	return []encoding.TextUnmarshaler{new(weigh.Cause), new(weigh.Cautions), new(weigh.Doubts),
		new(weigh.FigureKind), new(weigh.Motion), new(weigh.QuestionKind), new(weigh.TapedLength)}
}

// FuzzChoices reads any text as each choice and set of remarks: what is taken
// is written in a form that reads back as the same.
func FuzzChoices(f *testing.F) {
	fieldtest.FuzzTexts(f, textChoices, "", "outlier", "raising", "wheelbase", "tooWide", "manual,axleLift", "x", "Cause(3)")
}
