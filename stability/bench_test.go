package stability_test

import (
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

var (
	sinkLimits    stability.Limits
	sinkLoads     stability.Loads
	sinkTip       stability.Tip
	sinkForces    [stability.NumRows]units.Force
	sinkInfluence stability.Influence
	sinkModel     *stability.Model
)

var benchSituation = stability.Situation{Slope: slope(8), Heading: angle(104), Friction: 0.5}

func benchModel(b *testing.B) (*stability.Model, stability.Vehicle, stability.Case) {
	b.Helper()
	v := loaderTractor(600)
	v.Undercarriage.Axle = stability.Part{Mass: 220, CG: stability.Point{X: 2.1, Z: 0.42}}
	m, err := v.Compile()
	if err != nil {
		b.Fatal(err)
	}
	c, err := benchSituation.Compile(0)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	return m, v, c
}

// All limits of one load case on a compiled model, as loads and tangents.
func BenchmarkLimits(b *testing.B) {
	m, _, c := benchModel(b)
	for b.Loop() {
		sinkLimits = m.LimitsIn(&c)
	}
}

func BenchmarkLoads(b *testing.B) {
	m, _, c := benchModel(b)
	for b.Loop() {
		sinkLoads = m.LoadsIn(&c)
	}
}

func BenchmarkInfluenceOf(b *testing.B) {
	_, v, _ := benchModel(b)
	i, err := v.Undercarriage.Influence(stability.Situation{}, 0)
	if err != nil {
		b.Fatal(err)
	}
	p := v.Body.Part()
	for b.Loop() {
		sinkForces = i.Of(p)
	}
}

func BenchmarkInfluence(b *testing.B) {
	_, v, _ := benchModel(b)
	for b.Loop() {
		sinkInfluence, _ = v.Undercarriage.Influence(benchSituation, 0)
	}
}

func BenchmarkWorstTip(b *testing.B) {
	m, _, _ := benchModel(b)
	for b.Loop() {
		sinkTip = m.WorstTip()
	}
}

// The polar curve of 360 headings.
func BenchmarkPolar(b *testing.B) {
	m, _, _ := benchModel(b)
	points := make([]stability.PolarPoint, 360)
	for b.Loop() {
		m.Polar(points)
	}
}

func BenchmarkCompile(b *testing.B) {
	_, v, _ := benchModel(b)
	for b.Loop() {
		sinkModel, _ = v.Compile()
	}
}
