package ballast_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/units"
)

const storedLongAgo = `{"version": 1, "setup": {"machine": {
	"mass": "3300 lb", "massIncludes": "fueled", "loaderIncluded": "without", "cg": {"x": "30 in"},
	"wheelbase": "69 1/2 in", "rearTrack": "1.22 m", "pinHeight": "17 in",
	"operator": "none", "fuel": {"state": "asStated"}}}}`

// A document of an older version is read, what was changed is told, and what people entered
// stays as they entered it.
func ExampleDecode_olderVersion() {
	doc, err := ballast.Decode(strings.NewReader(storedLongAgo))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range doc.Renewed {
		fmt.Println(r.Path+":", r.Text)
	}
	doc.Setup.Machine.RearTrack = units.Is(1.25 * units.Meter) // somebody moves the rear wheels
	if err := doc.Encode(os.Stdout); err != nil {
		fmt.Println(err)
	}
	// Output:
	// setup.machine.axlePinHeight: The field was called "pinHeight".
	// setup.machine.undercarriage: The field was left out, which meant "pivotingFront".
	// {
	//   "version": 2,
	//   "setup": {
	//     "machine": {
	//       "mass": "3300 lb",
	//       "massIncludes": "fueled",
	//       "loaderIncluded": "without",
	//       "cg": {
	//         "x": "30 in"
	//       },
	//       "undercarriage": "pivotingFront",
	//       "wheelbase": "69 1/2 in",
	//       "rearTrack": "1.25 m",
	//       "axlePinHeight": "17 in",
	//       "operator": "none",
	//       "fuel": {
	//         "state": "asStated"
	//       }
	//     }
	//   }
	// }
}

// For a database: one hash for all documents that say the same, and numbers by path.
func ExampleDocument_Numbers() {
	doc, err := ballast.Decode(strings.NewReader(storedLongAgo))
	if err != nil {
		fmt.Println(err)
		return
	}
	doc.Setup.Machine.CG.X = units.Between(29*units.Inch, 31*units.Inch)
	numbers, err := doc.Numbers()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, n := range numbers {
		fmt.Printf("%s %.4f %s\n", n.Path, n.Value, n.Unit)
	}
	var metric bytes.Buffer
	if err := (ballast.Encoding{SI: true}).Encode(&metric, doc); err != nil {
		fmt.Println(err)
		return
	}
	again, err := ballast.Decode(&metric)
	if err != nil {
		fmt.Println(err)
		return
	}
	one, _ := doc.Hash()
	two, _ := again.Hash()
	fmt.Println(one == two)
	// Output:
	// setup.machine.mass 1496.8548 kg
	// setup.machine.cg.x.low 0.7366 m
	// setup.machine.cg.x.high 0.7874 m
	// setup.machine.wheelbase 1.7653 m
	// setup.machine.rearTrack 1.2200 m
	// setup.machine.axlePinHeight 0.4318 m
	// true
}

// Answers are stored with their receipt. When they differ later, Explain says why.
func ExampleExplain() {
	ctx := context.Background()
	doc := ballast.Document{Setup: orchardTractor(), Lifts: []ballast.Lift{{
		Datum: ballast.TineHeight, Height: 1 * units.Meter, Speed: 1,
		Load:  ballast.Load{Mass: 400 * units.Kilogram, Center: units.Is(0.5 * units.Meter)},
		Basis: ballast.Basis{Kind: ballast.BasisRearShare, Fraction: 0.2}}}}
	stored, err := doc.Answers(ctx)
	if err != nil {
		fmt.Println(err)
		return
	}
	doc.Setup.Machine.ROPSRating = units.Is(2200 * units.Kilogram) // another plate was read
	today, err := doc.Answers(ctx)
	if err != nil {
		fmt.Println(err)
		return
	}
	why, err := ballast.Explain(ctx, stored, today)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range why.Causes {
		fmt.Printf("%v %s is now %s\n", c.Kind, c.Name, c.After)
		for _, e := range c.Effects {
			if strings.HasSuffix(e.Path, "erdict") {
				fmt.Println("-", e)
			}
		}
	}
	// Output:
	// input setup.machine.ropsRating is now 2200 kg
	// - lifts[0].verdict: needsRatings, now exceedsLimit
	// - lifts[0].limits[rops].verdict: needsRatings, now exceedsLimit
	// - lifts[0].usable.rechecks[empty].verdict: needsRatings, now exceedsLimit
	// - lifts[0].usable.rechecks[lowered].verdict: needsRatings, now exceedsLimit
}
