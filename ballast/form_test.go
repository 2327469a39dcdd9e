package ballast_test

import (
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Wheelbase and axle loads, with what is chosen and not measured, are enough for
// an answer on level ground, and each question that is answered narrows it.
func TestEmptyForm(t *testing.T) {
	s := ballast.Setup{
		Machine: ballast.Machine{
			FrontLoad: units.Is[units.Mass](650), RearLoad: units.Is[units.Mass](1150), Wheelbase: units.Is[units.Length](1.75),
			MassIncludes: ballast.MassFueled, LoaderIncluded: ballast.WithLoader, Undercarriage: stability.PivotingFront,
			Operator: ballast.OperatorAsStated, Fuel: ballast.Fuel{State: ballast.FuelAsStated},
		},
		Loader: &ballast.Loader{}, Attachment: &ballast.Attachment{Kind: ballast.Forks},
	}
	lift := ballast.Lift{Datum: ballast.PinHeight, Height: 1, Speed: 1, Basis: ballast.Basis{Kind: ballast.BasisRearShare, Fraction: 0.2}}
	j, err := s.Check(lift, 300)
	if err != nil {
		t.Fatal(err)
	}
	c := j.Usable.Carry
	if !(c.IfRated.Low > 0 && c.IfRated.High > c.IfRated.Low) || c.Mass.Low != 0 || j.Verdict.OK() {
		t.Errorf("%+v, %v", c, j.Verdict)
	}
	e, err := s.Envelope(ballast.Practice{})
	if err != nil {
		t.Fatal(err)
	}
	questions, err := e.Questions(t.Context(), lift, 300)
	if err != nil || len(questions) < 10 {
		t.Fatalf("%d questions, %v", len(questions), err)
	}
	measured := false
	for _, q := range questions {
		text := strings.ToLower(q.How + q.Care)
		if strings.Contains(text, "test port") || strings.Contains(text, "lift the axle") || strings.Contains(text, "lift an axle") {
			t.Errorf("unsafe: %s", q.How)
		}
		if q.Rates == 0 {
			measured = true
		} else if measured {
			t.Errorf("a rating is asked for behind a measurement: %v", q.Paths)
		}
	}
	// The first measurement, at the middle of what was open, narrows the answer.
	s.Loader.ArmMass = units.Is[units.Mass](150)
	s.Attachment.Mass = units.Is[units.Mass](100)
	more, err := s.Check(lift, 300)
	if err != nil {
		t.Fatal(err)
	}
	if n := more.Usable.Carry.IfRated; !(n.Low > c.IfRated.Low && n.High < c.IfRated.High) {
		t.Errorf("%v with two masses more, %v without", n, c.IfRated)
	}
}
