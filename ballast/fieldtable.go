package ballast

import (
	"maps"

	"example.com/steelyard/internal/catalog"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// A spec is what the types do not say of a field.
type spec struct {
	instrument Instrument
	bounds     []Bounds
	entries    int // of a list, at most
	least      int // and at least
	refused    []string
}

// plain returns the spec in the types of the walk.
func (s spec) plain() catalog.Spec {
	out := catalog.Spec{Instrument: uint8(s.instrument), Entries: s.entries, Least: s.least, Refused: s.refused}
	for _, b := range s.bounds {
		out.Bounds = append(out.Bounds, catalog.Bounds(b))
	}
	return out
}

func asked(k Instrument, bounds ...Bounds) spec { return spec{instrument: k, bounds: bounds} }

func inside[Q ~float64](low, high Q) Bounds { return Bounds{Low: float64(low), High: float64(high)} }

func beyond[Q ~float64](low, high Q) Bounds {
	return Bounds{Low: float64(low), High: float64(high), Above: true}
}

func (b Bounds) beside(when string) Bounds {
	b.When = when
	return b
}

func entries(least, most int) spec { return spec{least: least, entries: most} }

// Bounds that several fields have.
var (
	ofMass      = inside(minMass, maxMass)
	ofRating    = inside(minMass, maxRating)
	ofPieces    = inside(units.Gram, maxMass)
	ofBulk      = inside(1, 25000.0)
	ofHeap      = inside(units.Milliliter, 100)
	along       = inside(-maxLength, maxLength)
	sideways    = inside(-maxSideway, maxSideway)
	upward      = inside(0, maxHeight)
	ofTrack     = inside(minTrack, maxTrack)
	ofRadius    = inside(minRadius, maxRadius)
	ofPressure  = inside(10*units.GaugeKilopascal, units.GaugeMegapascal)
	ofCents     = inside(0, float64(maxCents))
	ofTires     = inside(1, 3.0)
	ofIncline   = inside(0, (45 * units.Degree).Slope())
	onHitch     = inside(-maxLength, -0.01)
	ofRoadSpeed = inside(0.01, 80*units.KilometerPerHour)
)

// fieldSpecs holds each field by the type that it is in and its path there. A position and an
// offset, a range and a dimension have no entry of their own: they have one for each of their
// fields wherever they are used. The bounds are those that Validate holds;
// TestFieldBounds tries each of them there.
func fieldSpecs() map[string]spec {
	out := machineSpecs()
	maps.Copy(out, loaderSpecs())
	maps.Copy(out, pieceSpecs())
	maps.Copy(out, caseSpecs())
	practiceSpecs(out)
	return out
}

// machineSpecs are those of the setup and the machine.
func machineSpecs() map[string]spec {
	return map[string]spec{
		"Document.version": asked(Stated, inside(DocumentVersion, float64(DocumentVersion))),
		"Document.lifts":   entries(0, 1000),
		"Document.travels": entries(0, 100),
		"Setup.pieces":     entries(0, maxPieces),
		"Setup.gravity":    asked(Stated, inside(valid.MinGravity, valid.MaxGravity)),

		"Machine.mass":           asked(FromScale, inside(50, maxMass)),
		"Machine.massIncludes":   asked(FromManual),
		"Machine.loaderIncluded": asked(Stated),
		"Machine.cg.x":           asked(FromScale, along),
		"Machine.cg.y":           asked(FromScale, sideways),
		"Machine.cg.z":           asked(FromWorkshop, inside(0.1, maxHeight)),
		"Machine.frontLoad":      asked(FromScale, ofMass),
		"Machine.rearLoad":       asked(FromScale, ofMass),
		"Machine.undercarriage":  {refused: []string{"articulated", "pivotingRear"}},
		"Machine.wheelbase":      asked(FromTape, inside(minBase, maxBase)),
		"Machine.rearTrack":      asked(FromTape, ofTrack),
		"Machine.frontTrack":     asked(FromTape, ofTrack),
		"Machine.axlePinHeight":  asked(FromTape, inside(0.05, 3.0)),
		"Machine.stopAngle":      asked(FromInclinometer, inside(0.5*units.Degree, 45*units.Degree)),
		"Machine.axleMass":       asked(FromManual, ofMass),
		"Machine.axleHeight":     asked(FromTape, ofRadius),
		"Machine.seat.x":         asked(FromTape, along),
		"Machine.seat.y":         asked(FromTape, sideways),
		"Machine.seat.z":         asked(FromTape, upward),
		"Machine.grossRating":    asked(FromPlate, ofRating),
		"Machine.ropsRating":     asked(FromPlate, ofRating),

		"Motion.pitchInertia":   asked(FromManual, inside(minInertia, maxInertia)),
		"Motion.rollInertia":    asked(FromManual, inside(minInertia, maxInertia)),
		"Motion.frontStiffness": asked(FromManual, inside(minStiffness, maxStiffness)),
		"Motion.rearStiffness":  asked(FromManual, inside(minStiffness, maxStiffness)),
		"Motion.damping":        asked(FromWorkshop, inside(minDamping, maxDamping)),

		"Axle.rating":            asked(FromPlate, ofRating),
		"Axle.wheelRating":       asked(FromPlate, ofRating),
		"Axle.tiresPerSide":      asked(Stated, ofTires),
		"Axle.radius":            asked(FromTape, ofRadius),
		"TireRating.loadIndex":   asked(FromPlate, inside(float64(liquid.MinLoadIndex), float64(liquid.MaxLoadIndex))),
		"TireRating.speedSymbol": asked(FromPlate),
		"TireRating.table":       {instrument: FromManual, entries: 100},
		"TireRating.pressure":    asked(FromTireGauge, ofPressure),
		"PressureLoad.pressure":  asked(FromManual, ofPressure),
		"PressureLoad.load":      asked(FromManual, ofRating),
		"Fuel.capacity":          asked(FromManual, inside(units.Liter, 5*units.CubicMeter)),
		"Fuel.cg.x":              asked(FromTape, along),
		"Fuel.cg.y":              asked(FromTape, sideways),
		"Fuel.cg.z":              asked(FromTape, upward),
		"Hitch.x":                asked(FromTape, inside(-5, -0.01)),
		"Hitch.rating":           asked(FromManual, ofRating),
		"SteeredRule.share":      asked(Stated, inside(0.01, 0.9)),
	}
}

// loaderSpecs are those of the loader and the attachment.
func loaderSpecs() map[string]spec {
	return map[string]spec{
		"Loader.pivot.x":           asked(FromTape, along),
		"Loader.pivot.y":           asked(FromTape, inside(0, 0.0)),
		"Loader.pivot.z":           asked(FromTape, inside(0.2, maxHeight)),
		"Loader.arm":               asked(FromTape, inside(0.3, maxLength)),
		"Loader.lowestPin":         asked(FromTape, inside(0.01, maxHeight)),
		"Loader.highestPin":        asked(FromManual, inside(0.1, maxHeight)),
		"Loader.frameMass":         asked(FromManual, ofMass),
		"Loader.frameCG.x":         asked(FromTape, along),
		"Loader.frameCG.y":         asked(FromTape, sideways),
		"Loader.frameCG.z":         asked(FromTape, upward),
		"Loader.armMass":           asked(FromManual, ofMass),
		"Loader.armCG":             asked(FromManual, inside(0.01, maxLength)),
		"Loader.selfLeveling":      asked(FromManual, inside(0, 1.0)),
		"Loader.rated":             {instrument: FromManual, entries: 100},
		"Loader.breakOut":          asked(FromManual, inside(10, 1e7)),
		"Loader.couplerRating":     asked(FromManual, ofRating),
		"ManualBallast.kind":       asked(FromManual),
		"ManualBallast.hitch":      asked(FromManual, inside(0, maxMass)),
		"ManualBallast.rearWheels": asked(FromManual, inside(0, maxMass)),
		"Cylinders.base.ahead":     asked(FromTape, inside(-5, 5.0)),
		"Cylinders.base.above":     asked(FromTape, inside(-5, 5.0)),
		"Cylinders.rodRadius":      asked(FromTape, inside(0.05, maxLength)),
		"Cylinders.rodAngle":       asked(FromTape, inside(-90*units.Degree, 90*units.Degree)),
		"Cylinders.bore":           asked(FromManual, inside(0.01, 0.5)),
		"Cylinders.count":          asked(Stated, inside(1, 4.0)),
		"Cylinders.pressure":       asked(FromManual, inside(units.GaugeBar, 1000*units.GaugeBar)),
		"Cylinders.friction":       asked(FromWorkshop, inside(0, maxFriction)),
		"RatedPoint.pinHeight":     asked(FromManual, inside(0.01, maxHeight)),
		"RatedPoint.atPin":         asked(FromManual, ofRating),
		"RatedPoint.ahead":         asked(FromManual, inside(0.05, 5)),
		"RatedPoint.aheadMass":     asked(FromManual, ofRating),
		"Attachment.mass":          asked(FromScale, ofMass),
		"Attachment.cg.ahead":      asked(FromTape, inside(-2, 10.0)),
		"Attachment.cg.above":      asked(FromTape, inside(-3, 5.0)),
		"Attachment.face":          asked(FromTape, inside(-1, 5.0), inside(-1, 3.0).beside("kind=forks")),
		"Attachment.loadCenter":    asked(FromPlate, inside(0.05, 3)),
		"Attachment.tine":          asked(FromTape, inside(-3, 3.0)),
		"Attachment.edge.ahead":    asked(FromTape, inside(0.05, 5)),
		"Attachment.edge.above":    asked(FromTape, inside(-3, 3.0)),
		"Attachment.volume":        asked(FromManual, inside(units.Liter, 20*units.CubicMeter)),
		"Attachment.rating":        asked(FromPlate, ofRating),
	}
}

// pieceSpecs are those of pieces and fills.
func pieceSpecs() map[string]spec {
	return map[string]spec{
		"Piece.mass":                  asked(FromScale, ofPieces),
		"Piece.tires":                 asked(Stated, inside(1, 6.0)),
		"Piece.cg.x":                  asked(FromTape, along, onHitch.beside("kind=hitchBox"), onHitch.beside("kind=hitchImplement")),
		"Piece.cg.y":                  asked(FromTape, sideways),
		"Piece.cg.z":                  asked(FromTape, upward),
		"Piece.depth":                 asked(Stated, inside(0, maxRadius)),
		"Piece.rollRise":              asked(Stated, inside(0, maxRadius)),
		"Piece.carried":               asked(FromScale, inside(0.01, 1)),
		"Piece.unheld":                asked(Stated),
		"Fill.temperature":            asked(Stated, inside(liquid.MinTemperature, liquid.MaxTemperature)),
		"Tire.designation":            asked(FromPlate),
		"Tire.sectionWidth.value":     asked(FromTape, inside(0.06, 1.6)),
		"Tire.sectionWidth.spread":    asked(FromTape, inside(0, 0.8)),
		"Tire.overallDiameter.value":  asked(FromTape, inside(0.2, 2.6)),
		"Tire.overallDiameter.spread": asked(FromTape, inside(0, 1.3)),
		"Tire.rimDiameter.value":      asked(FromTape, inside(0.1, 1.55)),
		"Tire.rimDiameter.spread":     asked(FromTape, inside(0, 0.775)),
		"Tire.rimWidth.value":         asked(FromTape, inside(0.04, 1.4)),
		"Tire.rimWidth.spread":        asked(FromTape, inside(0, 0.7)),
		"Tire.lugDepth.value":         asked(FromTape, inside(0, 0.12)),
		"Tire.lugDepth.spread":        asked(FromTape, inside(0, 0.06)),
		"Tire.undertread.value":       asked(FromManual, inside(0, 0.08)),
		"Tire.undertread.spread":      asked(FromManual, inside(0, 0.04)),
		"Tire.sidewall.value":         asked(FromManual, inside(0, 0.06)),
		"Tire.sidewall.spread":        asked(FromManual, inside(0, 0.03)),
		"Tire.wellDepth.value":        asked(FromManual, inside(0, 0.15)),
		"Tire.wellDepth.spread":       asked(FromManual, inside(0, 0.075)),
		"Tire.wellWidth.value":        asked(FromManual, inside(0, 1.2)),
		"Tire.wellWidth.spread":       asked(FromManual, inside(0, 0.6)),
		"Tire.valveRadius.value":      asked(FromTape, inside(0.03, 0.9)),
		"Tire.valveRadius.spread":     asked(FromTape, inside(0, 0.45)),
		"Dimension.moved":             asked(Stated, inside(-1.3, 1.3)),
		"Tire.crown":                  asked(Stated, inside(1.5, 5)),
		"Tire.crownSpread":            asked(Stated, inside(0, 2.0)),
		"Tire.crownMoved":             asked(Stated, inside(-2, 2.0)),
		"Tire.deflection":             asked(FromTape, inside(0, 0.5)),
		"Tire.known":                  entries(0, liquid.MaxKnown),
		"KnownVolume.volume":          asked(Stated, beyond(0, 10.0)),
		"KnownVolume.spread":          asked(Stated, beyond(0, 5.0)),
		"KnownVolume.deflection":      asked(FromTape, inside(0, 0.5)),
		"Level.clock":                 asked(Stated, beyond(0, 12.0)),
		"Level.angle":                 asked(FromInclinometer, inside(-units.Turn, units.Turn)),
		"Level.height":                asked(FromTape, inside(-2, 2.0)),
		"Level.fraction":              asked(Stated, inside(0, 1.0)),
		"Level.volume":                asked(Stated, inside(0, 10.0)),
		"Level.mass":                  asked(FromScale, inside(0, 20000.0)),
		"Level.head":                  asked(FromTape, inside(0, 2.0)),
		"Fluid.strength":              {instrument: FromManual, bounds: strengths()},
		"Fluid.density":               asked(FromManual, inside(600, 3000.0)),
		"Fluid.densitySpread":         asked(FromManual, beyond(0, 0.5)),
		"Fluid.freezing":              asked(FromManual, inside(150, 400.0)),
		"Fluid.traits":                asked(FromManual),
	}
}

// caseSpecs are those of load cases, plans and transport.
func caseSpecs() map[string]spec {
	return map[string]spec{
		"Lift.height":   asked(FromTape, inside(-1, maxHeight)),
		"Lift.slope":    asked(FromInclinometer, ofIncline),
		"Lift.heading":  asked(Stated, inside(-units.Turn, units.Turn)),
		"Lift.braking":  asked(Stated, inside(0, 10.0)),
		"Lift.speed":    asked(Stated, beyond(0, 30.0)),
		"Lift.factor":   asked(Stated, inside(1, 5.0), beyond(1, 5.0).beside("basis.kind=noWheelUnloaded")),
		"Load.mass":     asked(FromScale, ofPieces),
		"Load.density":  asked(FromManual, ofBulk),
		"Load.volume":   asked(Stated, ofHeap),
		"Load.center":   asked(FromTape, inside(-1, 5.0)),
		"Load.above":    asked(FromTape, inside(-2, 5.0)),
		"Load.sideways": asked(FromTape, sideways),
		"Basis.kind":    asked(FromManual),
		"Basis.fraction": asked(FromManual, inside(0.05, 0.9), inside(0.05, 0.5).beside("kind=rearShare"),
			inside(0.1, 0.9).beside("kind=tippingFraction")),

		"Travel.speed":        asked(Stated, inside(firstSpeed, 15)),
		"Travel.deceleration": asked(Stated, beyond(0, 20.0)),
		"Travel.slope":        asked(FromInclinometer, inside(0, (30*units.Degree).Slope())),
		"Travel.friction":     asked(Stated, inside(0.05, 5)),
		"Obstacle.kind":       {refused: []string{"random"}},
		"Obstacle.height":     asked(FromTape, inside(0.001, 1)),
		"Obstacle.length":     asked(FromTape, inside(0.01, 20.0)),
		"Obstacle.class":      {refused: []string{"A", "B", "C", "D", "E", "F", "G", "H"}},
		"Obstacle.seed":       asked(Stated, inside(0, 0.0)),

		"Needs.list":      entries(1, maxNeeds),
		"Needs.work":      asked(Stated, inside(1, float64(maxPlanWork))),
		"Need.hitch":      {refused: []string{"floating"}},
		"Need.share.low":  asked(Stated, inside(0, 1.0), inside(0.01, 0.9).beside("kind=steeredShare")),
		"Need.share.high": asked(Stated, inside(0, 1.0), inside(0, 0.0).beside("kind=steeredShare"), inside(0.01, 1).beside("kind=axleSplit")),
		"Need.mass.low":   asked(Stated, ofMass),
		"Need.mass.high":  asked(Stated, ofMass),

		"Stock.items":              entries(0, maxItems),
		"Stock.mounts":             entries(0, maxItems),
		"Stock.options":            entries(0, maxOptions),
		"Item.count":               asked(Stated, inside(1, float64(maxCount))),
		"Item.steps":               entries(0, maxSteps),
		"Item.slots":               asked(Stated, inside(1, 1000.0)),
		"Item.cents":               asked(Stated, ofCents),
		"Step.mass":                asked(FromScale, ofPieces),
		"Step.density":             asked(FromManual, ofBulk),
		"Step.volume":              asked(FromManual, ofHeap),
		"Step.depth":               asked(Stated, inside(0, maxRadius)),
		"Step.rollRise":            asked(Stated, inside(0, maxRadius)),
		"Step.cents":               asked(Stated, ofCents),
		"MassRange.most":           asked(FromScale, ofPieces),
		"MassRange.step":           asked(Stated, ofPieces),
		"MassRange.cents":          asked(Stated, ofCents),
		"Mount.slots":              asked(Stated, inside(1, 100000.0)),
		"Mount.limit":              asked(FromManual, ofPieces),
		"Option.rearTrack":         asked(FromTape, ofTrack),
		"Option.frontTrack":        asked(FromTape, ofTrack),
		"Option.rearTiresPerSide":  asked(Stated, ofTires),
		"Option.frontTiresPerSide": asked(Stated, ofTires),
		"Option.pieces":            entries(0, 10),
		"Option.cents":             asked(Stated, ofCents),

		"Transport.frontLoad":   asked(FromScale, ofMass),
		"Transport.rearLoad":    asked(FromScale, ofMass),
		"Transport.wheelbase":   asked(FromTape, inside(minBase, maxBase)),
		"Transport.grossRating": asked(FromPlate, ofRating),
		"Transport.speed":       asked(Stated, ofRoadSpeed),
		"Mounted.mass":          asked(FromScale, inside(0, maxMass)),
		"Mounted.distance":      asked(FromTape, inside(0.001, 10)),

		"Ground.friction.low":  asked(Stated, inside(0.01, 2)),
		"Ground.friction.high": asked(Stated, inside(0.01, 2)),
		"Ground.margin":        asked(Stated, ofIncline),
		"Ground.manual":        asked(FromManual, ofIncline),
	}
}

// strengths are the bounds of the strength of each solution.
func strengths() []Bounds {
	out := []Bounds{beyond(0, 0.0)}
	for k := liquid.Water; k <= liquid.OtherFluid; k++ {
		if k.IsSolution() {
			most, _ := k.MaxStrength()
			out = append(out, beyond(0, most).beside("kind="+k.String()))
			out[0].High = max(out[0].High, float64(most))
		}
	}
	return out
}

// practiceSpecs are those of the ranges of practice.
func practiceSpecs(out map[string]spec) {
	var p Practice
	for _, r := range p.shares() {
		out["Practice."+r.path+".low"] = asked(Stated, inside(r.low, r.high))
		out["Practice."+r.path+".high"] = asked(Stated, inside(r.low, r.high))
	}
	for _, r := range p.lengths() {
		out["Practice."+r.path+".low"] = asked(Stated, inside(r.low, r.high))
		out["Practice."+r.path+".high"] = asked(Stated, inside(r.low, r.high))
	}
}

// fieldHow says how fields are measured, by path in a setup or a lift: the sentences of
// [Question].
func fieldHow() map[string]string {
	out := map[string]string{
		"setup.machine.front.tire.pressure": howPressure,
		"setup.machine.rear.tire.pressure":  howPressure,
		"setup.pieces[].cg.z":               howPieceHeight,
		"setup.pieces[].mass":               howPieceMass,
		"lifts[].load.above":                howLoadAbove,
		"lifts[].speed":                     howSpeed,
		"ground.friction":                   howFriction,
	}
	for _, m := range measurements {
		out["setup."+m.path] = m.how
	}
	for k, path := range ratingPaths {
		if path != "" {
			out["setup."+path] = plateText[k-1].Sentence
		}
	}
	return out
}
