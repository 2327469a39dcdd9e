// How fast the tipping limit on a side slope falls as the center of gravity
// rises.
package main

import (
	"fmt"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

func main() {
	machine := stability.Vehicle{
		Body:          stability.Body{Mass: 3000, CG: stability.Point{X: 1}},
		Undercarriage: stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: 2.4, RearTrack: 1.5, FrontTrack: 1.5, PinHeight: 0.45},
	}
	for _, height := range []units.Length{0.8, 0.9, 1.0} {
		machine.Body.CG.Z = height
		model, err := machine.Compile()
		if err != nil {
			fmt.Println(err)
			return
		}
		tip, err := model.Tip(90 * units.Degree)
		fmt.Printf("%.4f %v %v\n", tip.First.Grade, tip.First.Kind, err)
	}
}
