package liquid

import (
	"errors"

	"example.com/steelyard/internal/choice"
)

// Notes says how an answer was reached. It is a set of bits, empty when nothing
// was assumed. In JSON it is one string of names joined by commas, such as
// "levelClamped". Each name is that of the constant without its prefix, except
// that [NoteFreezingIsBound] is "freezingBound". [Notes.Lines] returns the
// sentences.
type Notes uint32

// The notes of this package.
const (
	// NoteEstimatedDimension says that a dimension came from the designation
	// rule or from a default.
	NoteEstimatedDimension Notes = 1 << iota
	// NoteRememberedDimension says that a dimension came from the built-in
	// table, which was written from memory of the standards.
	NoteRememberedDimension
	// NoteLevelClamped says that the level lay outside the cavity; the cavity
	// was taken as empty or full.
	NoteLevelClamped
	// NoteAssumedTemperature says that no temperature was given and 20 C was
	// taken.
	NoteAssumedTemperature
	// NoteTemperatureClamped says that the temperature lies outside the range
	// of the density's source; the density is that at the end of the range.
	NoteTemperatureClamped
	// NoteBelowFreezing says that the fluid is at or below its freezing point:
	// ice or salt will have formed, and the density is that of the liquid at
	// the freezing point.
	NoteBelowFreezing
	// NoteBeyondEutectic says that the brine is stronger than its eutectic:
	// it freezes at a higher temperature than a weaker one, and salt crystals
	// form first.
	NoteBeyondEutectic
	// NoteSourcesDisagree says that published freezing points of this
	// strength differ by more than 3 K.
	NoteSourcesDisagree
	// NoteFixedDensity says that the fluid's density is taken as the same at
	// every temperature.
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
	// NoteDeflectionUnknown says that the deflection of the loaded tire is not
	// given: the band reaches down to the volume at a deflection of a fifth of
	// the section height.
	NoteDeflectionUnknown
	// NoteSpreadAssumed says that the spread of a dimension or of a density is
	// not given: the dimension was taken as exact, the density as good to 1 %.
	NoteSpreadAssumed
	// NoteCalibrated says that the cavity was corrected to fills that somebody
	// measured.
	NoteCalibrated
	// NoteFillsDisputed says that the fills to which the cavity was corrected contradict
	// each other or the tire.
	NoteFillsDisputed
	// NoteReadingLoadUnknown says that nobody told how the wheel stood while the level of a
	// measured fill was read: it was taken as unloaded, and the band reaches up by what a
	// load takes.
	NoteReadingLoadUnknown
	// NoteNearFreezing says that the fluid is above its freezing point by one source and
	// not by another: its temperature lies within the band of the freezing point.
	NoteNearFreezing

	noteEnd
)

var noteText = []choice.Remark{
	{Name: "estimatedDimension", Sentence: "A dimension of the tire is estimated from its designation or by a default; the band shows the possible effect."},
	{Name: "rememberedDimension", Sentence: "A dimension of the tire comes from a table that was written from memory of the standards; measure the tire if the result depends on it."},
	{Name: "levelClamped", Sentence: "The wanted level lies outside the cavity; the cavity was taken as empty or full."},
	{Name: "assumedTemperature", Sentence: "No temperature was given; 20 degrees Celsius (68 degrees Fahrenheit) were taken."},
	{Name: "temperatureClamped", Sentence: "The temperature lies outside the range of the density's source; the density is that at the end of the range."},
	{Name: "belowFreezing", Sentence: "The fluid is at or below its freezing point: ice or salt will have formed, and the density is that of the liquid."},
	{Name: "beyondEutectic", Sentence: "The brine is stronger than its eutectic: it freezes at a higher temperature than a weaker one."},
	{Name: "sourcesDisagree", Sentence: "Published freezing points of this strength differ by more than 3 K; one source is used, and the warm end of the band counts against frost."},
	{Name: "fixedDensity", Sentence: "The density of this fluid is a fixed figure and does not change with the temperature."},
	{Name: "freezingUnknown", Sentence: "The freezing point of this fluid is not known."},
	{Name: "freezingBound", Sentence: "The freezing point is the highest that a published tender allows for such liquids, not a measurement; the label of the product comes first."},
	{Name: "rememberedProperty", Sentence: "A property of the fluid was written from memory, without a document."},
	{Name: "deflected", Sentence: "The tire is taken as flattened at the ground, and the volume below the flat as lost; the band reaches up to where bulging sidewalls make up for all of it."},
	{Name: "solidFill", Sentence: "The fill is solid: it fills the whole cavity and turns with the wheel, so it has no free surface."},
	{Name: "thinMargin", Sentence: "The margin below the design temperature is smaller than the disagreement of the published freezing points."},
	{Name: "deflectionUnknown", Sentence: "The deflection of the loaded tire is not given: the tire was taken as unloaded, and the band reaches down to a deflection of a fifth of the section height (common practice, no source)."},
	{Name: "spreadAssumed", Sentence: "The spread of a dimension or of a density is not given: the dimension was taken as exact, the density as good to 1 %."},
	{Name: "calibrated", Sentence: "The cavity was corrected to fills that somebody measured; the band is as narrow as these allow at this level."},
	{Name: "fillsDisputed", Sentence: "The measured fills contradict each other or the tire; the band holds what each of them says, within the outer shape of the tire."},
	{Name: "readingLoadUnknown", Sentence: "It is not said whether the wheel stood under load while the level of a measured fill was read: it was taken as unloaded, and the band reaches up by what a load takes (common practice, no source)."},
	{Name: "nearFreezing", Sentence: "The temperature lies within the band of the freezing point: by some published sources ice or salt will have formed."},
}

// ErrNote is the sentinel that the error of [Notes.Err] wraps.
var ErrNote = errors.New("answer rests on an assumption")

// OverfillFraction is the share of the cavity above which a fill leaves too
// little air. With the valve at 12 o'clock, drive tires are filled to 0.71 to
// 0.81 of the cavity, depending on their size (common practice, no source).
const OverfillFraction = 0.80

// Cautions is a set of warnings that belong to an answer. In JSON it is one
// string of names joined by commas, such as "pressure". Each name is that of
// the constant without its prefix. [Cautions.Lines] returns the sentences.
type Cautions uint32

// The cautions of this package.
const (
	// CautionPressure warns of the energy in a tire under pressure.
	CautionPressure Cautions = 1 << iota
	// CautionProfessional says who may do the work.
	CautionProfessional
	// CautionAirOut says that all air must be let out before the valve core
	// is removed.
	CautionAirOut
	// CautionTireMaker says that the tire maker sets the pressure and the fill.
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
	// CautionFreezes warns of a fluid that is at or below its freezing point by any
	// source, that freezes at -5 C or above, nearly as water does, or whose freezing point is
	// not known.
	CautionFreezes
	// CautionBeyondEutectic warns of a brine that is too strong.
	CautionBeyondEutectic
	// CautionHeat warns of the heat of solution and of the order of mixing.
	CautionHeat
	// CautionStiffer says that a filled tire is stiffer and that its pressure
	// rises faster under load.
	CautionStiffer
	// CautionGauge says where the gauge must be read.
	CautionGauge
	// CautionManual puts the operator's manual and local rules first.
	CautionManual
	// CautionSpill says that fluid and rinsings must be kept off soil and out
	// of water.
	CautionSpill
	// CautionFillsDisputed warns of measured fills that contradict each other or the tire.
	CautionFillsDisputed

	cautionEnd
)

var cautionText = []choice.Remark{
	{Name: "pressure", Sentence: "A tire under pressure stores enough energy to kill; never work on one that is not secured, and stand clear of the sidewall while it is inflated."},
	{Name: "professional", Sentence: "Filling, mounting and inflating are for trained people with the right equipment."},
	{Name: "airOut", Sentence: "Support the axle and let all air out before the valve core is removed; never loosen anything under pressure."},
	{Name: "tireMaker", Sentence: "Use the inflation pressure and the highest fill that the tire maker gives for this tire, load and speed; no figure here replaces them."},
	{Name: "radial", Sentence: "Many makers of radial tires advise against liquid or allow no more than 40 % (common practice, no source); ask the maker before filling."},
	{Name: "overfill", Sentence: "More than 80 % liquid leaves too little air for the tire to act as a spring: the trade fills no higher than the valve at 12 o'clock (common practice, no source)."},
	{Name: "corrosive", Sentence: "This fluid corrodes steel: use a tube or a lining that the maker approves, and rinse spills from the rim."},
	{Name: "harmful", Sentence: "This fluid harms livestock, pets and people: keep it out of drinking water, and repair leaks at once."},
	{Name: "flammable", Sentence: "This fluid or its vapor burns: keep flames and sparks away, and never weld on the rim."},
	{Name: "freezes", Sentence: "A frozen fill puts the wheel out of balance and can ruin the tire; do not drive on it."},
	{Name: "beyondEutectic", Sentence: "The brine is stronger than its eutectic: add water, not salt, to lower its freezing point."},
	{Name: "heat", Sentence: "Dissolving gives off heat: add the product to the water slowly, never water to the product, and protect eyes and hands."},
	{Name: "stiffer", Sentence: "A filled tire is stiffer: shocks grow, and the pressure rises faster under load than in a tire with air alone."},
	{Name: "gauge", Sentence: "Read the pressure with the valve at the top, or subtract the head of liquid; use a gauge that withstands the fluid."},
	{Name: "manual", Sentence: choice.ManualFirst},
	{Name: "spill", Sentence: "Catch fluid and rinsings; keep them off soil and out of water, and follow local rules for disposal."},
	{Name: "fillsDisputed", Sentence: "Measured fills contradict each other or the tire: find the mistake before this figure is used."},
}
