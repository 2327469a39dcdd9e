package ballast

import (
	"bytes"
	"encoding"
	"encoding/json"
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
		new(TractorKind),
		new(ImplementKind),
		new(Surface),
		new(Construction),
		new(Cause),
		new(Refusals),
		new(LiftKind),
		new(Datum),
		new(BasisKind),
		new(LimitKind),
		new(RecheckKind),
		new(MassIncludes),
		new(LoaderIncluded),
		new(Operator),
		new(FuelState),
		new(SteeredBase),
		new(Goal),
		new(NeedKind),
		new(NeedState),
		new(PlanState),
		new(Notes),
		new(Cautions),
		new(PieceKind),
		new(HitchState),
		new(PlanStatus),
		new(NextKind),
		new(TireService),
		new(BallastNeed),
		new(TransportLimit),
		new(HitchCategory),
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

// FuzzDecodePlanRequest reads any bytes: an error, or a request that survives
// being written.
func FuzzDecodePlanRequest(f *testing.F) {
	q := PlanRequest{Version: DocumentVersion, Setup: bareOrchard(), Stock: shed(), Needs: Needs{Goal: LeastCost, List: []Need{liftNeed(1.6, 420)}}}
	b, err := json.Marshal(q)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(b)
	f.Add([]byte("{}"))
	f.Add([]byte(`{"version":1,"needs":{"list":[{"kind":"lift"}]}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		q, err := DecodePlanRequest(bytes.NewReader(data))
		if err != nil {
			return
		}
		b, err := json.Marshal(q)
		if err != nil {
			t.Fatalf("read but not written: %v", err)
		}
		back, err := DecodePlanRequest(bytes.NewReader(b))
		if err != nil {
			t.Fatalf("written but not read: %v", err)
		}
		if d := cmp.Diff(q, back); d != "" {
			t.Fatal(d)
		}
	})
}
