package ballast_test

import (
	"reflect"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Each range of practice that an envelope takes is named after the field of Practice that
// changes it, and no other range changes it but through what it is a share of.
func TestAssumptionPractice(t *testing.T) {
	s := orchard()
	s.Machine = ballast.Machine{Mass: units.Is[units.Mass](1500), MassIncludes: ballast.MassDry, LoaderIncluded: ballast.WithoutLoader, Undercarriage: stability.PivotingFront,
		Wheelbase: units.Is[units.Length](1.75), Operator: ballast.HeavyOperator, Fuel: ballast.Fuel{State: ballast.FuelFull, Capacity: units.Is(40 * units.Liter)}, Hitch: s.Machine.Hitch}
	l := ballast.Loader{Rated: s.Loader.Rated}
	l.Rated = nil
	l.Cylinders = &ballast.Cylinders{}
	s.Loader = &l
	s.Pieces = []ballast.Piece{{Kind: ballast.ChassisPiece, Mass: units.Is[units.Mass](40), CG: ballast.Position{X: units.Is[units.Length](1)}}}
	seen := map[string]bool{}
	for _, kind := range []ballast.AttachmentKind{ballast.Forks, ballast.Bucket} {
		s.Attachment = &ballast.Attachment{Kind: kind}
		e, err := s.Envelope(ballast.Practice{})
		if err != nil {
			// A loader's lift may be what is missing, and no range stands for it.
			l.Cylinders = nil
			if e, err = s.Envelope(ballast.Practice{}); err != nil {
				t.Fatal(err)
			}
		}
		for _, a := range e.Assumed() {
			if a.Path == "loader.selfLeveling" {
				continue // from none to all of it
			}
			seen[a.Practice] = true
			p := ballast.UsualPractice()
			v := reflect.ValueOf(&p).Elem()
			found := false
			for i := range v.NumField() {
				name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
				if name != a.Practice {
					continue
				}
				found = true
				high := v.Field(i).FieldByName("High")
				high.SetFloat(high.Float() - 0.001)
			}
			if !found {
				t.Errorf("%s: Practice has no field %q", a.Path, a.Practice)
				continue
			}
			other, err := s.Envelope(p)
			if err != nil {
				t.Fatal(err)
			}
			for _, b := range other.Assumed() {
				if b.Path == a.Path && b == a {
					t.Errorf("%s does not come from %s", a.Path, a.Practice)
				}
			}
		}
	}
	if len(seen) < 25 {
		t.Errorf("%d ranges were seen: %v", len(seen), seen)
	}
}
