package ballast

import (
	"encoding"
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/steelyard/units"
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
	for _, s := range []string{"", "raised", "rearLiquid", "hold", "pinHeight", "manual,rops", "mounted", "x", "LiftKind(3)"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		again := textChoices()
		for i, v := range textChoices() {
			if err := v.UnmarshalText([]byte(s)); err != nil {
				if !errors.Is(err, units.ErrInvalid) {
					t.Fatalf("%T: %v", v, err)
				}
				continue
			}
			text, err := v.(encoding.TextMarshaler).MarshalText()
			if err != nil {
				t.Fatalf("%T: %q is read but not written: %v", v, s, err)
			}
			if err := again[i].UnmarshalText(text); err != nil || !cmp.Equal(v, again[i]) {
				t.Fatalf("%T: %q read as %v, written %q, read as %v, %v", v, s, v, text, again[i], err)
			}
		}
	})
}
