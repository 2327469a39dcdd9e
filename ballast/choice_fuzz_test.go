package ballast_test

import (
	"encoding"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/fieldtest"
)

// textChoices returns a fresh value of every type of this package that is written
// as text.
func textChoices() []encoding.TextUnmarshaler {
	return []encoding.TextUnmarshaler{
		new(ballast.AttachmentKind),
		new(ballast.LiftKind),
		new(ballast.Datum),
		new(ballast.BasisKind),
		new(ballast.LimitKind),
		new(ballast.MassIncludes),
		new(ballast.LoaderIncluded),
		new(ballast.Operator),
		new(ballast.FuelState),
		new(ballast.SteeredBase),
		new(ballast.Goal),
		new(ballast.NeedKind),
		new(ballast.NeedState),
		new(ballast.State),
		new(ballast.Notes),
		new(ballast.Cautions),
		new(ballast.PieceKind),
		new(ballast.HitchState),
		new(ballast.PlanStatus),
		new(ballast.TireService),
	}
}

// FuzzChoices reads any text as each choice and set of remarks: what is taken
// is written in a form that reads back as the same.
func FuzzChoices(f *testing.F) {
	fieldtest.FuzzTexts(f, textChoices, "", "raised", "rearLiquid", "hold", "pinHeight", "manual,rops", "mounted", "x", "LiftKind(3)")
}
