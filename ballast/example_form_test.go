package ballast_test

import (
	"context"
	"fmt"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// A form that begins empty: it shows each error beside its field and asks one question at
// a time, in the reader's language, by codes alone.
func Example_form() {
	say := units.German()
	say.Display.Precision = units.Decimals(0)
	verdict := func(v ballast.Verdict) string { return say.Text("ballast.verdict." + v.String()) }

	var s ballast.Setup
	for _, e := range units.Fields(s.Validate())[:3] {
		fmt.Printf("%s: %s\n", e.Path, say.Want(e))
	}
	// What the owner says, with the readings of a scale and a tape.
	s.Machine = ballast.Machine{
		FrontLoad: units.Is(650 * units.Kilogram), RearLoad: units.Is(1150 * units.Kilogram), Wheelbase: units.Is(1.75 * units.Meter),
		MassIncludes: ballast.MassFueled, LoaderIncluded: ballast.WithLoader, Undercarriage: stability.PivotingFront,
		Operator: ballast.OperatorAsStated, Fuel: ballast.Fuel{State: ballast.FuelAsStated},
	}
	s.Loader = &ballast.Loader{HighestPin: units.Is(27 * units.Meter)} // a slip of the pen
	s.Attachment = &ballast.Attachment{Kind: ballast.Forks}
	for _, e := range units.Fields(s.Validate()) {
		fmt.Printf("%s: %s\n", e.Path, say.Want(e))
	}
	s.Loader.HighestPin = units.Is(2.7 * units.Meter)

	lift := ballast.Lift{Datum: ballast.PinHeight, Height: 1, Speed: 1, Basis: ballast.Basis{Kind: ballast.BasisRearShare, Fraction: 0.2}}
	answers := map[string]func(){
		"loader.rated": func() {
			s.Loader.Rated = []ballast.RatedPoint{{PinHeight: 0.5, AtPin: 700}, {PinHeight: 2.7, AtPin: 500}}
			s.Loader.BreakOut = units.None[units.Force]()
		},
		"loader.couplerRating": func() {
			s.Loader.CouplerRating = units.None[units.Mass]()
			s.Loader.ManualBallast.Kind = ballast.ManualBallastNone
		},
	}
	for range 3 {
		e, err := s.Envelope(ballast.Practice{})
		if err != nil {
			fmt.Println(err)
			return
		}
		check, err := e.Check(lift, 200)
		if err != nil {
			fmt.Println(err)
			return
		}
		questions, err := e.Questions(context.Background(), lift, 200)
		if err != nil {
			fmt.Println(err)
			return
		}
		q := questions[0]
		fmt.Printf("%s, %d Fragen\n  %s %v\n  %s\n", verdict(check.Verdict), len(questions), q.Code, q.Paths, say.Text(q.Code))
		for _, path := range q.Paths {
			if answer := answers[path]; answer != nil {
				answer()
			}
		}
	}
	// Output:
	// machine.mass: muss angegeben werden, und was darin enthalten ist
	// machine.massIncludes: muss eines von dry, fueled, operating sein
	// machine.loaderIncluded: muss eines von without, with sein
	// loader.highestPin: muss zwischen 100 mm und 10 m liegen
	// noch nicht zu sagen, 15 Fragen
	//   ballast.plate.hydraulic [loader.rated]
	//   Was der Frontlader am Gerätedrehpunkt hebt, in einer Höhe oder mehreren, steht in seinem Datenblatt.
	// noch nicht zu sagen, 14 Fragen
	//   question.whetherBallastMustSitBehind [loader.couplerRating loader.manualBallast]
	//   Ob hinten Ballast sein muss, wie viel, und was die Gerätekupplung tragen darf, steht in der Betriebsanleitung des Frontladers.
	// noch nicht zu sagen, 13 Fragen
	//   question.permissibleAxleLoadsPermissibleMass [machine.front.rating machine.rear.rating machine.grossRating]
	//   Die zulässigen Achslasten und die zulässige Gesamtmasse stehen auf dem Typschild der Maschine, in ihren Papieren oder in der Betriebsanleitung.
}
