package jobs

import (
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// StrengthFor is the least strength, to half a kelvin, at which no source says that the fluid
// freezes at a temperature.
func StrengthFor(kind liquid.FluidKind, coldest units.Temperature) (liquid.Fluid, error) {
	for margin := units.TemperatureDifference(0); ; margin += 0.5 {
		f, err := liquid.StrengthFor(kind, coldest, margin)
		if err != nil {
			return f, err
		}
		p, err := f.Properties(0)
		if err != nil || p.FreezingBand.High <= coldest {
			return f, err
		}
	}
}
