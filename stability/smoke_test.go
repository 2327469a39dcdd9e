package stability

import (
	"math"
	"testing"

	"example.com/steelyard/units"
)

func TestSmoke(t *testing.T) {
	v := Vehicle{Body: Body{Mass: 3000, CG: Point{0.96, 0, 0.9}}, Undercarriage: Undercarriage{Wheelbase: 2.4, RearTrack: 1.5, FrontTrack: 1.5, PinHeight: 0.5}}
	m, err := v.Compile()
	if err != nil {
		t.Fatal(err)
	}
	for _, h := range []float64{15, 30, 75, 105, 150, 180} {
		tip, _ := m.Tip(units.Angle(h) * units.Degree)
		t.Log(h, tip.Limits[TipsRight].Slope()*180/math.Pi, tip.First)
	}
	w := m.WorstTip()
	t.Log(w.Heading/units.Degree, float64(w.First.Slope())*180/math.Pi)
	l, _ := m.Loads(Situation{Slope: units.Slope(15 * units.Degree), Heading: 60 * units.Degree})
	t.Log(l)
	l, _ = m.Loads(Situation{Slope: units.Slope(15 * units.Degree), Heading: 60 * units.Degree, RearBias: -1})
	t.Log(l)
	for i := range l.Rows {
		t.Log(Row(i), float64(l.Rows[i])/9.80665)
	}
	for _, f := range []units.Fraction{0, .2, .4, .6} {
		tip, _ := m.TipHolding(150*units.Degree, f)
		t.Log(tip.Limits[TipsRight].Slope() * 180 / math.Pi)
	}
}
