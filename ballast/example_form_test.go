package ballast_test

import (
	"context"
	"fmt"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// A form that begins empty: the catalog of fields gives it labels, help and bounds in the
// reader's language and units, errors stand beside their fields, and it asks one question at a
// time. No text is parsed: all of it goes by codes and paths.
func Example_form() {
	german := units.German()
	english := units.English()
	english.Display.System = units.USCustomary
	// ask shows a field as a form does: its label, what it may be, and what leaving it out costs.
	ask := func(say units.Catalog, path string) {
		f, ok := ballast.FieldAt(path)
		if !ok {
			fmt.Println("no field", path)
			return
		}
		fmt.Printf("%s: %s\n", f.Label(say), say.Text(f.HelpCode))
		if want, ok := f.Range(); ok {
			fmt.Printf("  %s\n", say.Message(want))
		}
		for _, c := range f.Choices {
			fmt.Printf("  ( ) %s\n", say.Text(c.Code))
		}
		fmt.Printf("  %s, %s\n", say.Text("ballast.instrument."+f.Instrument.String()), say.Text("ballast.absence."+f.Absence.String()))
	}
	// errors shows each error beside its field.
	errors := func(say units.Catalog, err error, most int) {
		list := units.Fields(err)
		for _, e := range list[:min(most, len(list))] {
			f, _ := ballast.FieldAt(e.Path)
			fmt.Printf("! %s: %s\n", f.Label(say), say.Want(e))
		}
	}

	var s ballast.Setup
	errors(german, s.Validate(), 3)
	ask(german, "machine.wheelbase")
	ask(english, "machine.wheelbase")
	ask(english, "machine.operator")
	// What the owner says, with the readings of a scale and a tape.
	s.Machine = ballast.Machine{
		FrontLoad: units.Is(650 * units.Kilogram), RearLoad: units.Is(1150 * units.Kilogram), Wheelbase: units.Is(1.75 * units.Meter),
		MassIncludes: ballast.MassFueled, LoaderIncluded: ballast.WithLoader, Undercarriage: stability.PivotingFront,
		Operator: ballast.OperatorAsStated, Fuel: ballast.Fuel{State: ballast.FuelAsStated},
	}
	s.Loader = &ballast.Loader{HighestPin: units.Is(27 * units.Meter)} // a slip of the pen
	s.Attachment = &ballast.Attachment{Kind: ballast.Forks}
	errors(german, s.Validate(), 3)
	errors(english, s.Validate(), 3)
	s.Loader.HighestPin = units.Is(2.7 * units.Meter)

	lift := ballast.Lift{Datum: ballast.PinHeight, Height: 1, Speed: 1, Basis: ballast.Basis{Kind: ballast.BasisRearShare, Fraction: 0.2}}
	// What the owner answers to each question, by its code.
	rated := units.Is[units.Mass]
	answers := map[string]func(){
		"loader.rated": func() {
			s.Loader.Rated, s.Loader.BreakOut = []ballast.RatedPoint{{PinHeight: 0.5, AtPin: 700}, {PinHeight: 2.7, AtPin: 500}}, units.None[units.Force]()
		},
		"loader.couplerRating": func() {
			s.Loader.CouplerRating, s.Loader.ManualBallast.Kind = units.None[units.Mass](), ballast.ManualBallastNone
		},
		"machine.front.rating": func() {
			s.Machine.Front.Rating, s.Machine.Rear.Rating, s.Machine.GrossRating = rated(2200), rated(2600), rated(3900)
		},
		"machine.front.tire": func() {
			s.Machine.Front.Tire.LoadIndex, s.Machine.Front.Tire.SpeedSymbol = 119, 8
			s.Machine.Rear.Tire.LoadIndex, s.Machine.Rear.Tire.SpeedSymbol = 124, 8
		},
		"machine.front.wheelRating": func() { s.Machine.Front.WheelRating, s.Machine.Rear.WheelRating = rated(1500), rated(1700) },
		"machine.ropsRating":        func() { s.Machine.ROPSRating = rated(4000) },
		"attachment.rating":         func() { s.Attachment.Rating = rated(900) },
		"loader.arm":                func() { s.Loader.Arm = units.Is(2.05 * units.Meter) },
	}
	for asked := 1; ; asked++ {
		e, err := s.Envelope(ballast.Practice{})
		if err != nil {
			errors(german, err, 9)
			return
		}
		check, err := e.Check(lift, 100)
		if err != nil {
			errors(german, err, 9)
			return
		}
		verdict := "ballast.verdict." + check.Verdict.String()
		if check.Verdict != ballast.NeedsRatings && check.Verdict != ballast.CannotSay {
			fmt.Printf("%s (%s)\n", german.Text(verdict), english.Text(verdict))
			return
		}
		questions, err := e.Questions(context.Background(), lift, 100)
		if err != nil || len(questions) == 0 || asked > 20 {
			fmt.Println(german.Text(verdict), len(questions), err)
			return
		}
		q := questions[0]
		unlocked, _ := ballast.FieldAt(q.Paths[0])
		fmt.Printf("%s\n%d. %s\n   %s: %v\n", german.Text(verdict), asked, german.Text(q.Code), unlocked.Label(german), q.Paths)
		answer := answers[q.Paths[0]]
		if answer == nil {
			fmt.Println("nobody knows", q.Paths)
			return
		}
		answer()
	}
	// Output:
	// ! Masse: muss angegeben werden, und was darin enthalten ist
	// ! Masse enthält: muss eines davon sein: weder Kraftstoff noch Fahrer; voller Tank, kein Fahrer; voller Tank und ein Fahrer von 75 kg
	// ! Frontlader in diesen Angaben: muss eines davon sein: ohne Frontlader; mit angebautem Frontlader, Schwinge unten, ohne Gerät
	// Radstand: Der Abstand von der hinteren zur vorderen Aufstandslinie.
	//   muss zwischen 500 mm und 10,0 m liegen
	//   Bandmaß, Muss angegeben werden.
	// wheelbase: The distance from the rear to the front contact line.
	//   must be between 19.7 in and 32.8 ft
	//   tape, It must be given.
	// operator: Who sits on the machine.
	//   ( ) as the stated mass has it
	//   ( ) nobody
	//   ( ) a person of 55 kg
	//   ( ) a person of 98 kg
	//   decided or seen, It must be given.
	// ! größte Höhe des Gerätedrehpunkts: muss zwischen 100 mm und 10,0 m liegen
	// ! greatest height of the pin: must be between 3.94 in and 32.8 ft
	// noch nicht zu sagen
	// 1. Was der Frontlader am Gerätedrehpunkt hebt, in einer Höhe oder mehreren, steht in seinem Datenblatt.
	//    Hubkraft nach Datenblatt: [loader.rated]
	// noch nicht zu sagen
	// 2. Ob hinten Ballast sein muss, wie viel, und was die Gerätekupplung tragen darf, steht in der Betriebsanleitung des Frontladers.
	//    zulässige Masse an der Gerätekupplung: [loader.couplerRating loader.manualBallast]
	// noch nicht zu sagen
	// 3. Die zulässigen Achslasten und die zulässige Gesamtmasse stehen auf dem Typschild der Maschine, in ihren Papieren oder in der Betriebsanleitung.
	//    Vorderachse, zulässige Achslast: [machine.front.rating machine.rear.rating machine.grossRating]
	// noch nicht zu sagen
	// 4. Tragfähigkeitsindex und Geschwindigkeitssymbol stehen auf den Seitenwänden der Reifen; die Tabelle ihres Herstellers nennt die Last bei jedem Druck.
	//    Vorderachse, Reifen: [machine.front.tire machine.rear.tire]
	// noch nicht zu sagen
	// 5. Die zulässige Last eines Rads ist vorn wie hinten in seine Scheibe geprägt oder steht in der Betriebsanleitung.
	//    Vorderachse, zulässige Radlast: [machine.front.wheelRating machine.rear.wheelRating]
	// noch nicht zu sagen
	// 6. Die Masse, für die der Überrollschutz geprüft ist, steht auf seinem Schild.
	//    geprüfte Masse des Überrollschutzes: [machine.ropsRating]
	// noch nicht zu sagen
	// 7. Was Gabel oder Schaufel bei welchem Lastabstand tragen dürfen, steht auf ihrem Schild.
	//    zulässige Last: [attachment.rating]
	// noch nicht zu sagen
	// 8. Mit dem Bandmaß vom Drehpunkt der Schwinge gerade zum Gerätedrehpunkt messen.
	//    Länge der Schwinge: [loader.arm]
	// keine überschrittene Grenze gefunden (no limit found exceeded)
}
