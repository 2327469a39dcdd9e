package liquid_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// fillerFill returns one of a few tires with a random fill, now and then a bad one.
func fillerFill(r *rand.Rand, tires []liquid.Tire) liquid.Fill {
	f := liquid.Fill{Tire: tires[r.IntN(len(tires))], Fluid: liquid.Fluid{Kind: liquid.Water}}
	switch r.IntN(4) {
	case 0:
		f.Fluid = liquid.Brine(liquid.CalciumChloride, units.MassFraction(0.3*r.Float64()))
	case 1:
		f.Fluid = liquid.Fluid{Kind: liquid.Polyurethane}
	}
	switch r.IntN(6) {
	case 0, 1:
		f.Level = liquid.ValveAt(6 + 6*r.Float64())
	case 2:
		f.Level = liquid.HeightAt(units.Length(r.Float64() - 0.5))
	case 3:
		f.Level = liquid.FractionOf(units.Fraction(1.05 * r.Float64()))
	case 4:
		f.Level = liquid.Level{Kind: liquid.LevelMass, Mass: units.Mass(400 * r.Float64())}
	case 5:
		f.Level = liquid.Level{Kind: liquid.LevelHead, Clock: 9, Head: units.Length(0.2 * r.Float64())}
	}
	if f.Fluid.Kind == liquid.Polyurethane && r.IntN(4) > 0 {
		f.Level = liquid.Level{}
	}
	switch r.IntN(12) {
	case 0:
		f.Level.Clock = math.NaN()
	case 1:
		f.Tire.Deflection = units.Length(0.1 * r.Float64())
	case 2:
		f.Tire.SectionWidth.Value *= 3
	}
	return f
}

// A filler answers as the fill itself does, to the last bit and with the same
// errors, in whatever order tires come.
func TestFiller(t *testing.T) {
	r := rand.New(rand.NewPCG(73, 1))
	var tires []liquid.Tire
	for _, text := range []string{"14.9-24", "12.4-28", "16.9-30", "9.5-24", "18.4-34"} {
		tire, err := liquid.ParseTire(text)
		if err != nil {
			t.Fatal(err)
		}
		tires = append(tires, tire, liquid.Tire{Designation: tire.Designation})
	}
	flat := tires[0]
	flat.Deflection = 0.06
	known, err := tires[2].Calibrate(liquid.Reading{Level: liquid.ValveAt(12), Volume: units.Is(150 * units.Liter)})
	if err != nil {
		t.Fatal(err)
	}
	tires = append(tires, flat, known.Tire)
	var k liquid.Filler
	refused := 0
	n := 400
	if testing.Short() {
		n = 60
	}
	for i := range n {
		f := fillerFill(r, tires)
		want, wantErr := f.Solve()
		got, err := k.Solve(f)
		if fmt.Sprint(err) != fmt.Sprint(wantErr) || !reflect.DeepEqual(got, want) {
			t.Fatalf("%d: %+v, %v, want %+v, %v", i, got, err, want, wantErr)
		}
		if fmt.Sprint(k.Validate(f)) != fmt.Sprint(f.Validate()) {
			t.Errorf("%d: valid %v, want %v", i, k.Validate(f), f.Validate())
		}
		if err != nil {
			refused++
			continue
		}
		bare, err := k.Fill(f)
		if err != nil || bare.Volume != want.Volume || bare.Mass != want.Mass || bare.RollRise != want.RollRise || bare.PitchRise != want.PitchRise || bare.Notes != want.Notes || bare.Cautions != want.Cautions {
			t.Fatalf("%d: %+v, %v, want %+v", i, bare, err, want)
		}
		one, err := k.Resolve(f.Tire)
		if two, _ := f.Tire.Resolve(); err != nil || !reflect.DeepEqual(one, two) {
			t.Errorf("%d: resolved %+v, %v", i, one, err)
		}
	}
	if refused == 0 || refused > n/2 {
		t.Errorf("%d of %d refused", refused, n)
	}
	f := liquid.Fill{Tire: tires[0], Fluid: liquid.Fluid{Kind: liquid.Water}}
	i := 0
	if n := testing.AllocsPerRun(20, func() {
		i++
		f.Level = liquid.ValveAt(6 + 0.1*float64(i%50))
		if _, err := k.Solve(f); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// BenchmarkFiller fills one tire to one level after the other: the whole answer, and
// without the bands of the tire.
func BenchmarkFiller(b *testing.B) {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		b.Fatal(err)
	}
	f := liquid.Fill{Tire: tire, Fluid: liquid.Brine(liquid.CalciumChloride, 0.25)}
	for _, c := range []struct {
		name string
		fill func(*liquid.Filler, liquid.Fill) (liquid.Filled, error)
	}{{"Solve", (*liquid.Filler).Solve}, {"Fill", (*liquid.Filler).Fill}} {
		b.Run(c.name, func(b *testing.B) {
			var k liquid.Filler
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				f.Level = liquid.ValveAt(8 + 0.01*float64(i%300))
				if _, err := c.fill(&k, f); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// A filler tells apart tires that differ in any one field.
func TestFillerTellsTiresApart(t *testing.T) {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		t.Fatal(err)
	}
	v := reflect.ValueOf(&tire).Elem()
	for i := range v.NumField() {
		other := tire
		field := reflect.ValueOf(&other).Elem().Field(i)
		switch field.Kind() {
		case reflect.Struct:
			if d, ok := field.Addr().Interface().(*liquid.Dimension); ok {
				d.Value *= 1.001
				d.Origin = liquid.Measured
			} else {
				other.Designation.Tread = liquid.TreadR2
			}
		case reflect.Float64:
			field.SetFloat(0.03)
			if v.Type().Field(i).Name == "Crown" {
				field.SetFloat(2.2)
			}
		case reflect.Bool:
			field.SetBool(true)
		case reflect.Slice:
			field.Set(reflect.MakeSlice(field.Type(), 1, 1))
		}
		var k liquid.Filler
		if _, err := k.Resolve(tire); err != nil {
			t.Fatal(err)
		}
		want, wantErr := other.Resolve()
		got, gotErr := k.Resolve(other)
		if !reflect.DeepEqual(got, want) || fmt.Sprint(gotErr) != fmt.Sprint(wantErr) {
			t.Errorf("%s: %+v, %v, want %+v, %v", v.Type().Field(i).Name, got, gotErr, want, wantErr)
		}
	}
}
