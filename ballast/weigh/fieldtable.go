package weigh

import (
	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/catalog"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// A spec is what the types do not say of a field.
type spec struct {
	instrument ballast.Instrument
	absence    ballast.Absence
	bounds     []ballast.Bounds
	entries    int
	least      int
}

func (s spec) plain() catalog.Spec {
	out := catalog.Spec{Instrument: uint8(s.instrument), Entries: s.entries, Least: s.least}
	for _, b := range s.bounds {
		out.Bounds = append(out.Bounds, catalog.Bounds(b))
	}
	return out
}

func asked(k ballast.Instrument, a ballast.Absence, bounds ...ballast.Bounds) spec {
	return spec{instrument: k, absence: a, bounds: bounds}
}

func inside[Q ~float64](low, high Q) ballast.Bounds {
	return ballast.Bounds{Low: float64(low), High: float64(high)}
}

// list is the entry of a list.
func list(a ballast.Absence, least, most int) spec {
	return spec{absence: a, least: least, entries: most}
}

// zeroOpen are the fields of which a zero that is written says that nothing is given, though
// it is outside the bounds.
var zeroOpen = map[string]bool{
	"Record.liquid.sd": true, "Record.yard.sd": true, "Record.squat.sd": true, "Record.levelSD": true, "Record.pinSD": true,
	"Scale.division": true, "Scale.zeroSD": true, "Scale.gainSD": true, "Gauge.gainSD": true, "Figure.sd": true,
}

// fieldSpecs holds each field by the type that it is in and its path there. The bounds are
// those that Validate holds; TestFieldBounds tries each of them there.
func fieldSpecs() map[string]spec {
	const (
		tape, scale, gauge, level = ballast.FromTape, ballast.FromScale, ballast.FromWorkshop, ballast.FromInclinometer
		may, must, depends, usual = ballast.Optional, ballast.Required, ballast.RequiredInCases, ballast.TakesPractice
	)
	ofMass, ofLoad := inside(valid.MinMass, valid.MaxMass), inside(valid.MinMass, 20000)
	ofLoadSD, ofPin := inside(1e-3, units.Mass(5000)), inside(0.01, units.Length(10))
	ofAngleSD := inside(1e-5, units.Degree)
	return map[string]spec{
		"Document.version":  asked(ballast.Stated, must, inside(DocumentVersion, float64(DocumentVersion))),
		"Document.weighing": asked(ballast.Stated, must),

		"Record.mass":         asked(ballast.FromManual, depends, inside(50, valid.MaxMass)),
		"Record.attachment":   asked(ballast.Stated, must),
		"Record.selfLeveling": asked(ballast.FromManual, usual, inside(0, 1.0)),
		"Record.cylinders":    asked(ballast.Stated, depends, inside(1, 4.0)),
		"Record.liquid.value": asked(scale, may, inside(0, 10000.0)),
		"Record.liquid.sd":    asked(ballast.Stated, depends, inside(1e-3, 2000)),
		"Record.scale":        asked(ballast.Stated, depends),
		"Record.gauge":        asked(ballast.Stated, depends),
		"Record.levelSD":      asked(ballast.Stated, may, inside(1e-5, 2*units.Degree)),
		"Record.pinSD":        asked(ballast.Stated, may, inside(1e-5, 0.2)),
		"Record.yard":         asked(ballast.Stated, usual),
		"Record.yard.value":   asked(level, may, inside(-5*units.Degree, 5*units.Degree)),
		"Record.yard.sd":      asked(ballast.Stated, depends, ofAngleSD),
		"Record.squat":        asked(ballast.Stated, usual),
		"Record.squat.value":  asked(level, may, inside(-3*units.Degree, 3*units.Degree)),
		"Record.squat.sd":     asked(ballast.Stated, depends, ofAngleSD),
		"Record.tape":         list(must, 1, MaxReadings),
		"Record.loads":        list(may, 0, maxTestLoads),
		"Record.pieces":       list(may, 0, maxPieces),
		"Record.weights":      list(may, 0, MaxReadings),
		"Record.pressures":    list(may, 0, MaxReadings),
		"Record.figures":      list(may, 0, maxFigures),
		"Record.practice":     asked(ballast.Stated, usual),
		"Record.confidence":   asked(ballast.Stated, may, inside(0.5, 0.999)),

		"Scale.sd":       asked(ballast.Stated, must, inside(0.01, 500.0)),
		"Scale.division": asked(ballast.FromPlate, may, inside(1e-3, 500)),
		"Scale.zeroSD":   asked(ballast.Stated, may, inside(1e-3, 500)),
		"Scale.gainSD":   asked(ballast.Stated, may, inside(1e-6, 0.1)),
		"Scale.capacity": asked(ballast.FromPlate, may, inside(10, valid.MaxMass)),
		"Gauge.sd":       asked(ballast.Stated, must, inside(1e3, 5e6)),
		"Gauge.gainSD":   asked(ballast.Stated, may, inside(1e-6, 0.1)),

		"Taped.length": asked(ballast.Stated, must),
		"Taped.value":  asked(tape, depends, ofTaped()...),
		"Taped.sd":     asked(ballast.Stated, must, inside(1e-5, 0.5)),
		"Taped.load":   asked(ballast.Stated, depends),
		"Taped.pin":    asked(tape, depends, ofPin),

		"TestLoad.name":         asked(ballast.Stated, must),
		"TestLoad.mass":         asked(scale, must),
		"TestLoad.mass.value":   asked(scale, must, ofLoad),
		"TestLoad.mass.sd":      asked(ballast.Stated, must, ofLoadSD),
		"TestLoad.above":        asked(tape, may, inside(-3, 3.0)),
		"LoosePiece.name":       asked(ballast.Stated, must),
		"LoosePiece.mass":       asked(scale, must),
		"LoosePiece.mass.value": asked(scale, must, ofLoad),
		"LoosePiece.mass.sd":    asked(ballast.Stated, must, ofLoadSD),
		"LoosePiece.x":          asked(tape, must),
		"LoosePiece.x.value":    asked(tape, may, inside(-valid.MaxLength, valid.MaxLength)),
		"LoosePiece.x.sd":       asked(ballast.Stated, must, inside(1e-6, 2.0)),
		"LoosePiece.z":          asked(tape, may, inside(0, 5.0)),

		"AxleReading.pin":       asked(tape, must, ofPin),
		"AxleReading.loads":     list(may, 0, maxTestLoads),
		"AxleReading.without":   list(may, 0, maxPieces),
		"AxleReading.front":     asked(scale, depends, ofMass),
		"AxleReading.rear":      asked(scale, depends, ofMass),
		"AxleReading.rearLeft":  asked(scale, depends, ofMass),
		"AxleReading.rearRight": asked(scale, depends, ofMass),
		"AxleReading.raised":    asked(level, may, inside(-40*units.Degree, 40*units.Degree)),

		"PressureReading.motion":   asked(ballast.Stated, must),
		"PressureReading.pressure": asked(gauge, must, inside(1e4, 1e8)),
		"PressureReading.pin":      asked(tape, depends, ofPin),
		"PressureReading.loads":    list(may, 0, maxTestLoads),

		"Figure.kind":     asked(ballast.FromManual, must),
		"Figure.mass":     asked(ballast.FromManual, depends, ofMass),
		"Figure.pressure": asked(ballast.FromManual, depends, inside(units.GaugeBar, 1000*units.GaugeBar)),
		"Figure.pin":      asked(ballast.FromManual, depends, ofPin),
		"Figure.ahead":    asked(ballast.FromManual, may, inside(0, 5.0)),
		"Figure.sd":       asked(ballast.Stated, may, inside(1e-3, 0.5)),
	}
}

// ofTaped are the bounds of each length, after the widest.
func ofTaped() []ballast.Bounds {
	out := []ballast.Bounds{{}}
	for k := TapedWheelbase; k < tapedEnd; k++ {
		r := tapedRange[k]
		out[0].Low, out[0].High = min(out[0].Low, float64(r[0])), max(out[0].High, float64(r[1]))
		out = append(out, ballast.Bounds{When: "length=" + tapedNames[k], Low: float64(r[0]), High: float64(r[1])})
	}
	return out
}
