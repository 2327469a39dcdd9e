package units

import "testing"

// Each conversion stands beside the bare float64 operation that it must equal.

var (
	floats  [1024]float64
	lengths [1024]Length
)

func init() {
	for i := range floats {
		floats[i] = float64(i) + 0.5
		lengths[i] = Length(i) + 0.5
	}
}

func BenchmarkConvert(b *testing.B) {
	b.Run("quantity", func(b *testing.B) {
		b.ReportAllocs()
		var out [1024]Length
		for b.Loop() {
			for i, n := range floats {
				out[i] = Length(n) * Inch
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
				out[i] = float64(l / Inch)
			}
		}
	})
}

func BenchmarkParse(b *testing.B) {
	b.Run("70_lb", func(b *testing.B) { parseBench(b, ParseMass, "70 lb") })
	b.Run("24_in", func(b *testing.B) { parseBench(b, ParseLength, "24 in") })
	b.Run("1783.25_kg", func(b *testing.B) { parseBench(b, ParseMass, "1783.25 kg") })
	b.Run("5_ft_3_in", func(b *testing.B) { parseBench(b, ParseLength, "5 ft 3 in") })
	b.Run("23_psi_gauge", func(b *testing.B) { parseBench(b, ParseGaugePressure, "23 psi gauge") })
	b.Run("0.6095999999999999_m", func(b *testing.B) { parseBench(b, ParseLength, "0.6095999999999999 m") })
	b.Run("40_US_gallons", func(b *testing.B) { parseBench(b, ParseVolume, "40 US gallons") })
}

func parseBench[Q Quantity](b *testing.B, parse func(string) (Q, error), s string) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := parse(s); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	m := 1783.25 * Kilogram
	buf := make([]byte, 0, 64)
	b.Run("AppendText", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			buf, _ = m.AppendText(buf[:0])
		}
	})
	b.Run("AppendFormat", func(b *testing.B) {
		b.ReportAllocs()
		d := Display{System: USCustomary, Rounding: Down}
		for b.Loop() {
			buf = AppendFormat(buf[:0], d, m)
		}
	})
}
