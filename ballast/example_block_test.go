package ballast_test

import (
	"fmt"
	"log"

	"example.com/steelyard/ballast"
)

// A block answers for many variants at once: here, how much the ballast box at the rear
// and the place of the load on the forks change what may be lifted off a trailer.
func ExampleEvaluator_Block() {
	lift := binLift(1.1)
	lift.Kind = ballast.TakeOffDeck
	e := ballast.NewEvaluator(orchard(), lift)
	box, err := e.Bind("setup.pieces[1].mass")
	if err != nil {
		log.Fatal(err)
	}
	center, err := e.Bind("lifts[0].load.center")
	if err != nil {
		log.Fatal(err)
	}
	b := e.Block(512, box, center)
	rows := 0
	for _, mass := range []float64{200, 350, -1} { // kg
		for _, at := range []float64{0.5, 0.7} { // m
			b.Column(0)[rows], b.Column(1)[rows] = mass, at
			rows++
		}
	}
	use := b.UsableLoad(0, rows)
	for i := range rows {
		if use.Err[i] != nil {
			fmt.Println(use.Err[i])
			continue
		}
		fmt.Printf("%.0f kg, %v\n", float64(use.Mass[i]), use.Governing[i])
	}
	fmt.Println("None of these is a load to lift by: the operator's manual comes first.")
	// Output:
	// 385 kg, frontAxle
	// 362 kg, frontAxle
	// 438 kg, frontAxle
	// 413 kg, frontAxle
	// pieces[1].mass: -1 kg: must be between 0.001 kg and 100000 kg
	// pieces[1].mass: -1 kg: must be between 0.001 kg and 100000 kg
	// None of these is a load to lift by: the operator's manual comes first.
}
