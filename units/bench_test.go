package units_test

import (
	"testing"

	"example.com/steelyard/units"
)

// Each conversion stands beside the bare float64 operation that it must equal.

var (
	floats  [1024]float64
	lengths [1024]units.Length
)

func init() {
	for i := range floats {
		floats[i] = float64(i) + 0.5
		lengths[i] = units.Length(i) + 0.5
	}
}

func BenchmarkConvert(b *testing.B) {
	b.Run("quantity", func(b *testing.B) {
		b.ReportAllocs()
		var out [1024]units.Length
		for b.Loop() {
			for i, n := range floats {
				out[i] = units.Length(n) * units.Inch
			}
		}
	})
	b.Run("float64", func(b *testing.B) {
		b.ReportAllocs()
		var out [1024]float64
		for b.Loop() {
			for i, n := range floats {
				out[i] = n * 0.0254
			}
		}
	})
	b.Run("out", func(b *testing.B) {
		b.ReportAllocs()
		var out [1024]float64
		for b.Loop() {
			for i, l := range lengths {
				out[i] = float64(l / units.Inch)
			}
		}
	})
}

func BenchmarkParse(b *testing.B) {
	b.Run("70_lb", func(b *testing.B) { parseBench(b, units.ParseMass, "70 lb") })
	b.Run("24_in", func(b *testing.B) { parseBench(b, units.ParseLength, "24 in") })
	b.Run("1783.25_kg", func(b *testing.B) { parseBench(b, units.ParseMass, "1783.25 kg") })
	b.Run("5_ft_3_in", func(b *testing.B) { parseBench(b, units.ParseLength, "5 ft 3 in") })
	b.Run("23_psi_gauge", func(b *testing.B) { parseBench(b, units.ParseGaugePressure, "23 psi gauge") })
	b.Run("0.6095999999999999_m", func(b *testing.B) { parseBench(b, units.ParseLength, "0.6095999999999999 m") })
	b.Run("40_US_gallons", func(b *testing.B) { parseBench(b, units.ParseVolume, "40 US gallons") })
}

func parseBench[Q units.Quantity](b *testing.B, parse func(string) (Q, error), s string) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := parse(s); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	m := 1783.25 * units.Kilogram
	buf := make([]byte, 0, 64)
	b.Run("AppendText", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			buf, _ = m.AppendText(buf[:0])
		}
	})
	b.Run("AppendFormat", func(b *testing.B) {
		b.ReportAllocs()
		d := units.Display{System: units.USCustomary, Rounding: units.Down}
		for b.Loop() {
			buf = units.AppendFormat(buf[:0], d, m)
		}
	})
}
