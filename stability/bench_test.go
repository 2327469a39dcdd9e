package stability

import (
	"testing"

	"example.com/steelyard/units"
)

var (
	sinkLimits    Limits
	sinkLoads     Loads
	sinkTip       Tip
	sinkForces    [NumRows]units.Force
	sinkInfluence Influence
	sinkModel     *Model
)

func benchModel(b *testing.B) (*Model, Case) {
	b.Helper()
	v := loaderTractor(600)
	v.Undercarriage.Axle = Part{Mass: 220, CG: Point{X: 2.1, Z: 0.42}}
	m, err := v.Compile()
	if err != nil {
		b.Fatal(err)
	}
	c, err := Situation{Slope: slope(8), Heading: angle(104), Friction: 0.5}.Compile(0)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	return m, c
}

// All limits of one load case on a compiled model, as loads and tangents.
func BenchmarkLimits(b *testing.B) {
	m, c := benchModel(b)
	for b.Loop() {
		sinkLimits = m.LimitsIn(&c)
	}
}

func BenchmarkLoads(b *testing.B) {
	m, c := benchModel(b)
	for b.Loop() {
		sinkLoads = m.LoadsIn(&c)
	}
}

func BenchmarkInfluenceOf(b *testing.B) {
	m, _ := benchModel(b)
	i, err := m.v.Undercarriage.Influence(Situation{}, 0)
	if err != nil {
		b.Fatal(err)
	}
	p := m.v.Body.Part()
	for b.Loop() {
		sinkForces = i.Of(p)
	}
}

func BenchmarkInfluence(b *testing.B) {
	m, c := benchModel(b)
	for b.Loop() {
		sinkInfluence, _ = m.v.Undercarriage.Influence(c.s, 0)
	}
}

func BenchmarkWorstTip(b *testing.B) {
	m, _ := benchModel(b)
	for b.Loop() {
		sinkTip = m.WorstTip()
	}
}

// The polar curve of 360 headings.
func BenchmarkPolar(b *testing.B) {
	m, _ := benchModel(b)
	points := make([]PolarPoint, 360)
	for b.Loop() {
		m.Polar(points)
	}
}

func BenchmarkCompile(b *testing.B) {
	m, _ := benchModel(b)
	v := m.v
	for b.Loop() {
		sinkModel, _ = v.Compile()
	}
}
