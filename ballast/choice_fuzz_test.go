package ballast

import (
	"encoding"
	"testing"

	"example.com/steelyard/internal/fieldtest"
)

// textChoices returns a fresh value of every type of this package that is written
// as text.
func textChoices() []encoding.TextUnmarshaler {
	return []encoding.TextUnmarshaler{
		new(AttachmentKind),
		new(LiftKind),
		new(Datum),
		new(BasisKind),
		new(LimitKind),
		new(MassIncludes),
		new(LoaderIncluded),
		new(Operator),
		new(FuelState),
		new(SteeredBase),
		new(Goal),
		new(NeedKind),
		new(NeedState),
		new(State),
		new(Notes),
		new(Cautions),
		new(PieceKind),
		new(HitchState),
		new(PlanStatus),
		new(TireService),
		new(BallastNeed),
	}
}

// FuzzChoices reads any text as each choice and set of remarks: what is taken
// is written in a form that reads back as the same.
func FuzzChoices(f *testing.F) {
	fieldtest.FuzzTexts(f, textChoices, "", "raised", "rearLiquid", "hold", "pinHeight", "manual,rops", "mounted", "x", "LiftKind(3)")
}
