package walk

import (
	"fmt"
	"reflect"
	"strings"

	"example.com/steelyard/units"
)

// An Input is a units.Input of any quantity as plain numbers.
type Input struct {
	Value float64
	Known bool
	// Set makes it a known value, SetRange a range.
	Set      func(v float64)
	SetRange func(low, high float64)
}

// InputOf returns the input that v is, which can be set; false if v is none.
func InputOf(v reflect.Value) (Input, bool) {
	if v.Kind() != reflect.Struct || !strings.HasPrefix(v.Type().Name(), "Input[") {
		return Input{}, false
	}
	p := v.Addr().Interface()
	for _, of := range quantities {
		if in, ok := of(p); ok {
			return in, true
		}
	}
	panic(fmt.Sprintf("%T is of no quantity that is known here", p))
}

// IsInput reports whether a type is a units.Input.
func IsInput(t reflect.Type) bool {
	_, ok := InputOf(reflect.New(t).Elem())
	return ok
}

var quantities = []func(any) (Input, bool){
	input[units.Length], input[units.Area], input[units.Volume], input[units.SecondMomentOfArea], input[units.Mass], input[units.Inertia], input[units.Density],
	input[units.Force], input[units.Moment], input[units.Stiffness], input[units.Pressure], input[units.GaugePressure], input[units.AbsolutePressure],
	input[units.Angle], input[units.Slope], input[units.Temperature], input[units.TemperatureDifference], input[units.Duration], input[units.Speed],
	input[units.Acceleration], input[units.Power], input[units.Energy], input[units.MassPerPower],
	input[units.Fraction], input[units.MassFraction], input[units.MassPerWater], input[units.MassPerSolution],
}

func input[Q units.Quantity](p any) (Input, bool) {
	in, ok := p.(*units.Input[Q])
	if !ok {
		return Input{}, false
	}
	return Input{
		Value: float64(in.Value()), Known: in.Known(),
		Set:      func(v float64) { *in = units.Is(Q(v)) },
		SetRange: func(low, high float64) { *in = units.Between(Q(low), Q(high)) },
	}, true
}
