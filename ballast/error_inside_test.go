package ballast

import (
	"strings"
	"testing"
)

// Every choice has a text form that is read back, and nothing else is read.
func TestChoices(t *testing.T) {
	choices[MassIncludes](t, massIncludesNames)
	choices[LoaderIncluded](t, loaderIncludedNames)
	choices[Operator](t, operatorNames)
	choices[FuelState](t, fuelStateNames)
	choices[SteeredBase](t, steeredBaseNames)
	choices[TireService](t, tireServiceNames)
	choices[AttachmentKind](t, attachmentKindNames)
	choices[PieceKind](t, pieceKindNames)
	choices[HitchState](t, hitchStateNames)
	choices[LiftKind](t, liftKindNames)
	choices[Datum](t, datumNames)
	choices[BasisKind](t, basisKindNames)
	choices[LimitKind](t, limitNames)
	choices[State](t, stateNames)
	if len(limitTitles) != len(limitNames) || len(limitNames) != NumLimits+1 || len(stateNames) != 1+NumRechecks {
		t.Error("names and limits differ in number")
	}
}

func choices[K interface {
	~uint8
	MarshalText() ([]byte, error)
	String() string
}, P interface {
	*K
	UnmarshalText([]byte) error
}](t *testing.T, names []string) {
	t.Helper()
	for i, name := range names {
		k := K(i)
		b, err := k.MarshalText()
		if err != nil || string(b) != name || k.String() != name {
			t.Errorf("%d: %q, %v, want %q", i, b, err, name)
		}
		var got K
		if err := P(&got).UnmarshalText(b); err != nil || got != k {
			t.Errorf("%q is read as %v, %v", b, got, err)
		}
	}
	if b, err := K(len(names)).MarshalText(); err == nil {
		t.Errorf("a choice outside the list is written as %q", b)
	}
	for _, text := range []string{"", "nothing of the kind", strings.ToUpper(names[1])} {
		var got K
		if err := P(&got).UnmarshalText([]byte(text)); err == nil {
			t.Errorf("%q is read as %v", text, got)
		}
	}
}
