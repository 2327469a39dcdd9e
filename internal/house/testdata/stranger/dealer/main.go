// Which weight a customer needs in front for an implement behind.
package main

import (
	"fmt"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/units"
)

func main() {
	need, err := standards.MountedImplements{
		FrontLoad: 1100 * units.Kilogram, RearLoad: 1700 * units.Kilogram, Wheelbase: 2.1 * units.Meter,
		Hitch:  0.9 * units.Meter,
		Ahead:  standards.Implement{Distance: 1.2 * units.Meter},
		Behind: standards.Implement{Mass: 1100 * units.Kilogram, Distance: 0.8 * units.Meter},
	}.FrontBallast()
	if err != nil {
		fmt.Println(err)
		return
	}
	show := units.Display{System: units.USCustomary, Rounding: units.Up} // a requirement
	fmt.Printf("%.2f %s\n", float64(need.Mass), units.Format(show, need.Mass))
}
