package liquid_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/steelyard/internal/walk"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// randomFill fills a tire of which everything is known.
func randomFill(r *rand.Rand) liquid.Fill {
	in := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	of := func(v float64) liquid.Dimension {
		return liquid.Dimension{Value: units.Length(v), Spread: units.Length(0.01 * v), Origin: liquid.Measured}
	}
	width, rim := in(0.3, 0.5), in(0.5, 0.8)
	diameter := rim + 2*width*in(0.7, 0.85)
	t := liquid.Tire{
		SectionWidth: of(width), OverallDiameter: of(diameter), RimDiameter: of(rim), RimWidth: of(width * in(0.75, 0.85)),
		LugDepth: of(in(0.025, 0.045)), Undertread: of(in(0.01, 0.02)), Sidewall: of(in(0.01, 0.015)),
		WellDepth: of(in(0.02, 0.04)), WellWidth: of(width * in(0.3, 0.5)), ValveRadius: of(rim/2 - 0.01),
		Crown: in(2.1, 2.9), Deflection: units.Length(in(0.01, 0.04)),
	}
	if r.IntN(3) == 0 {
		d, err := liquid.ParseDesignation("14.9-24 8PR R-1")
		if err != nil {
			panic(err)
		}
		t = liquid.Tire{Designation: d, LugDepth: of(0.04), Sidewall: of(0.013), Deflection: 0.03}
	}
	f := liquid.Fill{Tire: t, Temperature: units.Temperature(in(275, 300))}
	switch kind := []liquid.FluidKind{liquid.Water, liquid.CalciumChloride, liquid.EthyleneGlycol, liquid.OtherFluid}[r.IntN(4)]; kind {
	case liquid.Water:
		f.Fluid = liquid.Fluid{Kind: kind}
	case liquid.OtherFluid:
		f.Fluid = liquid.Fluid{Kind: kind, Density: units.Density(in(900, 1400)), DensitySpread: units.Fraction(in(0.02, 0.1)), Freezing: units.Temperature(in(240, 272))}
	default:
		f.Fluid = liquid.Brine(kind, units.MassFraction(in(0.1, 0.25)))
	}
	switch r.IntN(4) {
	case 0:
		f.Level = liquid.HeightAt(units.Length(in(-0.2, 0.3)))
	case 1:
		f.Level = liquid.FractionOf(units.Fraction(in(0.3, 0.75)))
	default:
		f.Level = liquid.ValveAt(in(3, 12))
	}
	return f
}

// permits is what a fill promises: how heavy it is, how heavy at least, and
// the frost that it stands; and all that is said beside it.
func permits(f liquid.Fill) (claims [3]float64, notes liquid.Notes, cautions liquid.Cautions, err error) {
	r, err := f.Solve()
	frost := -float64(r.Freezing)
	if r.Notes.Has(liquid.NoteFreezingUnknown) {
		frost = math.Inf(-1)
	}
	return [3]float64{float64(r.Mass), float64(r.MassBand.Low), frost}, r.Notes, r.Cautions, err
}

var claimNames = [3]string{"mass", "least mass", "frost"}

// leftOut are the fields that may make a fill heavier when they are left out,
// each with its reason; one that no fill needs is an error.
var leftOut = map[string]string{
	"tire.sidewall": "the default of the designation is thinner than some walls",
	"tire.lugDepth": "the default of the designation is lower than some lugs",
	"level.height":  "zero is a level: the height of the axle",
}

// What is left out of a fill never makes it heavier or safer from frost, unless
// a note or a caution is new beside it.
func TestLeftOutNeverPermits(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 1))
	answered, used := 0, map[string]bool{}
	for i := range 120 {
		f := randomFill(r)
		was, notes, cautions, err := permits(f)
		if err != nil {
			continue
		}
		answered++
		for _, field := range walk.Fields(f) {
			is, n, c, err := permits(walk.Without(f, field))
			if err != nil || n&^notes != 0 || c&^cautions != 0 {
				continue
			}
			for k, v := range is {
				path := field.Path
				if strings.HasSuffix(path, ".spread") {
					path = "tire.*.spread"
				}
				if v > was[k]+1e-9*math.Abs(was[k]) && leftOut[path] != "" {
					used[path] = true
				} else if v > was[k]+1e-9*math.Abs(was[k]) {
					t.Errorf("fill %d, without %s: %s %v, was %v", i, field.Path, claimNames[k], v, was[k])
				}
			}
		}
	}
	for path := range leftOut {
		if !used[path] {
			t.Errorf("%s is no exception: no fill needs it", path)
		}
	}
	if answered < 100 {
		t.Errorf("only %d fills are valid", answered)
	}
}

// A smaller tire, thicker walls, a lower level, a weaker brine and a warmer
// liquid never weigh more.
func TestWorseNeverPermits(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 2))
	tried := map[string]int{}
	worse := map[string]float64{
		"tire.overallDiameter.value": 0.99, "tire.sectionWidth.value": 0.98, "tire.lugDepth.value": 1.1, "tire.undertread.value": 1.2,
		"tire.sidewall.value": 1.2, "tire.wellDepth.value": 0.9, "tire.wellWidth.value": 0.9, "tire.crown": 0.97,
		"fluid.strength": 0.9, "fluid.density": 0.97, "temperature": 1.02, "level.fraction": 0.9,
	}
	for i := range 120 {
		f := randomFill(r)
		was, _, _, err := permits(f)
		if err != nil {
			continue
		}
		for _, field := range walk.Fields(f) {
			by := worse[field.Path]
			if by == 0 {
				continue
			}
			g, _ := walk.Scaled(f, field, by)
			is, _, _, err := permits(g)
			if err != nil {
				continue
			}
			tried[field.Path]++
			for k := range 2 {
				if is[k] > was[k]*(1+1e-9) {
					t.Errorf("fill %d, %s times %v: %s %v, was %v", i, field.Path, by, claimNames[k], is[k], was[k])
				}
			}
		}
	}
	for path := range worse {
		if tried[path] < 10 {
			t.Errorf("%s was made worse %d times only", path, tried[path])
		}
	}
}
