package liquid

import (
	"errors"
	"fmt"

	"example.com/steelyard/internal/choice"
)

// Notes says how an answer was reached: a set of bits, empty when nothing was
// assumed. In JSON: one string of names joined by commas, each that of the
// constant without its prefix, such as "levelClamped"; but "freezingBound" is
// [NoteFreezingIsBound]. The sentences are [Notes.Lines].
type Notes uint32

// The notes of this package.
const (
	// NoteEstimatedDimension says that a dimension came from the designation
	// rule or from a default.
	NoteEstimatedDimension Notes = 1 << iota
	// NoteRememberedDimension says that a dimension came from the built-in
	// table, which was written from memory of the standards.
	NoteRememberedDimension
	// NoteLevelClamped says that the level lay outside the cavity and was
	// taken as empty or full.
	NoteLevelClamped
	// NoteAssumedTemperature says that no temperature was given and 20 C was
	// taken.
	NoteAssumedTemperature
	// NoteTemperatureClamped says that the temperature lies outside the range
	// of the density's source, which was read at the end of its range.
	NoteTemperatureClamped
	// NoteBelowFreezing says that the fluid is at or below its freezing point:
	// the density is that of the liquid, read at the freezing point, and ice
	// or salt will have formed.
	NoteBelowFreezing
	// NoteBeyondEutectic says that the brine is stronger than its eutectic:
	// it freezes at a higher temperature than a weaker one, and salt crystals
	// fall out first.
	NoteBeyondEutectic
	// NoteSourcesDisagree says that published freezing points of this
	// strength differ by more than 3 K.
	NoteSourcesDisagree
	// NoteFixedDensity says that the fluid's density does not follow the
	// temperature here.
	NoteFixedDensity
	// NoteFreezingUnknown says that the fluid has no known freezing point.
	NoteFreezingUnknown
	// NoteFreezingIsBound says that the freezing point is the highest that a
	// published tender allows, not a measurement.
	NoteFreezingIsBound
	// NoteRememberedProperty says that a property of the fluid was written
	// from memory, without a document.
	NoteRememberedProperty
	// NoteDeflected says that the cavity was flattened at the ground by the
	// stated model.
	NoteDeflected
	// NoteSolidFill says that the fill is a solid elastomer that fills the
	// whole cavity and moves with the wheel.
	NoteSolidFill
	// NoteThinMargin says that the margin below the design temperature is
	// smaller than the disagreement of the published freezing points.
	NoteThinMargin
	// NoteDeflectionUnknown says that nobody says how far the loaded tire is
	// pressed in: the band reaches down to what a fifth of the section height
	// takes away.
	NoteDeflectionUnknown
	// NoteSpreadAssumed says that nobody says how far a dimension or a density
	// may be off: a dimension was taken as exact, a density as good to 1 %.
	NoteSpreadAssumed

	noteEnd
)

var noteText = []choice.Remark{
	{Name: "estimatedDimension", Sentence: "A dimension of the tire is estimated from its designation or by a default; the band shows what that may change."},
	{Name: "rememberedDimension", Sentence: "A dimension of the tire comes from a table written from memory of the standards; measure the tire where it matters."},
	{Name: "levelClamped", Sentence: "The wanted level lies outside the cavity; it was taken as empty or full."},
	{Name: "assumedTemperature", Sentence: "No temperature was given; 20 C was taken."},
	{Name: "temperatureClamped", Sentence: "The temperature lies outside the range of the density's source; the density is that at the end of the range."},
	{Name: "belowFreezing", Sentence: "The fluid is at or below its freezing point: ice or salt will have formed, and the density is that of the liquid."},
	{Name: "beyondEutectic", Sentence: "The brine is stronger than its eutectic: it freezes at a higher temperature than a weaker one."},
	{Name: "sourcesDisagree", Sentence: "Published freezing points of this strength differ by more than 3 K; one source is used, and the warm end of the band counts against frost."},
	{Name: "fixedDensity", Sentence: "The density of this fluid is a fixed figure, whatever its temperature."},
	{Name: "freezingUnknown", Sentence: "The freezing point of this fluid is not known."},
	{Name: "freezingBound", Sentence: "The liquid freezes no warmer than this, which a published tender demands of such liquids; it is no measurement, and the label of what is bought counts."},
	{Name: "rememberedProperty", Sentence: "A property of the fluid was written from memory, without a document."},
	{Name: "deflected", Sentence: "The tire is taken as flattened at the ground: what lies below the flat is lost to the cavity, and the sidewalls give nothing back."},
	{Name: "solidFill", Sentence: "The fill is solid: it fills the whole cavity and turns with the wheel, so it has no free surface."},
	{Name: "thinMargin", Sentence: "The margin below the design temperature is smaller than the disagreement of the published freezing points."},
	{Name: "deflectionUnknown", Sentence: "How far the loaded tire is pressed in at the ground is not given: it was taken as unloaded, and the band reaches down to a deflection of a fifth of the section height (common practice, no source)."},
	{Name: "spreadAssumed", Sentence: "How far a dimension or a density may be off is not given: the dimension was taken as exact, the density as good to 1 %."},
}

// ErrNote is the sentinel that the error of [Notes.Err] wraps.
var ErrNote = errors.New("answer leans on an assumption")

// OverfillFraction is the share of the cavity above which a fill leaves too
// little air: with the valve at 12 o'clock the sizes of drive tires are filled
// to 0.71 to 0.81 of it (common practice, no source).
const OverfillFraction = 0.80

// Cautions is a set of warnings that belong to an answer. In JSON: one string
// of names joined by commas, each that of the constant without its prefix,
// such as "pressure". The sentences are [Cautions.Lines].
type Cautions uint32

// The cautions of this package.
const (
	// CautionPressure warns of the energy in a tire under pressure.
	CautionPressure Cautions = 1 << iota
	// CautionProfessional says who may do the work.
	CautionProfessional
	// CautionAirOut says that the air is let out before the valve core.
	CautionAirOut
	// CautionTireMaker defers to the tire maker for pressure and fill.
	CautionTireMaker
	// CautionRadial warns of the fill limits of radial tires.
	CautionRadial
	// CautionOverfill warns of a fill above OverfillFraction.
	CautionOverfill
	// CautionCorrosive warns of a fluid that corrodes steel.
	CautionCorrosive
	// CautionHarmful warns of a fluid that harms livestock, pets or people.
	CautionHarmful
	// CautionFlammable warns of a fluid that burns.
	CautionFlammable
	// CautionFreezes warns of a fluid that is at or below its freezing point,
	// or that freezes at -5 C or above as water nearly does.
	CautionFreezes
	// CautionBeyondEutectic warns of a brine that is too strong.
	CautionBeyondEutectic
	// CautionHeat warns of the heat of solution and of the order of mixing.
	CautionHeat
	// CautionStiffer says that a filled tire springs less and that its
	// pressure rises faster.
	CautionStiffer
	// CautionGauge says where the gauge must be read.
	CautionGauge
	// CautionManual puts the operator's manual and local rules first.
	CautionManual
	// CautionSpill says that fluid and rinsings are kept off soil and water.
	CautionSpill

	cautionEnd
)

var cautionText = []choice.Remark{
	{Name: "pressure", Sentence: "A tire under pressure stores enough energy to kill; never work on one that is not secured, and stand clear of the sidewall while it is inflated."},
	{Name: "professional", Sentence: "Filling, mounting and inflating are for trained people with the right equipment."},
	{Name: "airOut", Sentence: "Support the axle and let all air out before the valve core is taken out; never loosen anything under pressure."},
	{Name: "tireMaker", Sentence: "The inflation pressure and the highest fill are those of the tire maker for this tire, load and speed; no figure here replaces them."},
	{Name: "radial", Sentence: "Many makers of radial tires advise against liquid or allow no more than 40 % (common practice, no source); ask the maker before filling."},
	{Name: "overfill", Sentence: fmt.Sprintf("More than %.0f %% leaves too little air for the tire to spring: the trade fills no higher than the valve at 12 o'clock (common practice, no source).", 100*OverfillFraction)},
	{Name: "corrosive", Sentence: "This fluid corrodes steel: use a tube or a maker-approved lining, and rinse spills from the rim."},
	{Name: "harmful", Sentence: "This fluid harms livestock, pets and people: keep it out of drinking water, and mend leaks at once."},
	{Name: "flammable", Sentence: "This fluid or its vapor burns: no flame, no spark, and no welding on the rim, ever."},
	{Name: "freezes", Sentence: "Frozen fill turns out of balance and can ruin the tire; do not drive on it."},
	{Name: "beyondEutectic", Sentence: "The brine is stronger than its eutectic: add water, not salt, to lower its freezing point."},
	{Name: "heat", Sentence: "Dissolving gives off heat: add the product to the water slowly, never water to the product, with eyes and hands protected."},
	{Name: "stiffer", Sentence: "A filled tire is stiffer: shocks grow, and the pressure rises faster under load than in a tire with air alone."},
	{Name: "gauge", Sentence: "Read the pressure with the valve at the top, or take off the head of liquid, with a gauge that stands the fluid."},
	{Name: "manual", Sentence: choice.ManualFirst},
	{Name: "spill", Sentence: "Catch fluid and rinsings; keep them off soil and out of water, and follow local rules for disposal."},
}
