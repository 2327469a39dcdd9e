package ballast

import (
	"math"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Sources is a set of the publications behind a figure of practice. They
// disagree, so an answer is a band and names them. In JSON: one string of
// names joined by commas, each that of the constant without its prefix, such
// as "iowa". The citations are [Sources.Lines].
type Sources uint8

// The sources of this package's figures of practice. A source marked memory
// was not at hand when the figure was written.
const (
	// SourceWisconsin is a Wisconsin Extension chart, as reprinted in an AGEN
	// 105 laboratory sheet.
	SourceWisconsin Sources = 1 << iota
	// SourceIowa is Iowa State University Extension PM 2089B, "Ballasting
	// tractors for fuel efficiency", 2010 (memory).
	SourceIowa
	// SourceMechanics is a column by an Iowa State extension engineer,
	// Progressive Dairy, "Mechanics Corner".
	SourceMechanics
	// SourceMissouri is University of Missouri Extension G1235, "Tractor Tire
	// and Ballast Management".
	SourceMissouri
	// SourceOklahoma is an Oklahoma State University extension specialist,
	// farm radio page.
	SourceOklahoma
	// SourceCornell is Cornell Cooperative Extension (Oneida), local radio
	// page, 2015.
	SourceCornell
	// SourceLaboratory is the AGEN 105 laboratory sheet itself.
	SourceLaboratory

	sourceEnd
)

var sourceText = []choice.Remark{
	{Name: "wisconsin", Sentence: "Wisconsin Extension chart, reprinted in an AGEN 105 laboratory sheet"},
	{Name: "iowa", Sentence: "Iowa State University Extension PM 2089B, Ballasting tractors for fuel efficiency, 2010 (memory)"},
	{Name: "mechanics", Sentence: "column by an Iowa State extension engineer, Progressive Dairy, Mechanics Corner"},
	{Name: "missouri", Sentence: "University of Missouri Extension G1235, Tractor Tire and Ballast Management"},
	{Name: "oklahoma", Sentence: "Oklahoma State University extension specialist, farm radio page"},
	{Name: "cornell", Sentence: "Cornell Cooperative Extension (Oneida), local radio page, 2015"},
	{Name: "laboratory", Sentence: "AGEN 105 laboratory sheet"},
}

// String returns the names of the sources, joined by commas.
func (s Sources) String() string { return choice.Names(sourceText, s) }

// MarshalText returns the names, joined by commas, as String does.
func (s Sources) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads names joined by commas.
func (s *Sources) UnmarshalText(text []byte) error { return choice.Parse(sourceText, text, s) }

// Lines returns the citations, in a fixed order.
func (s Sources) Lines() []string {
	return choice.Sentences(sourceText, s)
}

// TractorKind is the kind of a tractor by its driven axles. In JSON:
// "rearDrive", "frontAssist", "articulated" or "skidSteer"; "unknown" or left
// out is not given.
type TractorKind uint8

// The kinds of tractors.
const (
	// TractorUnknown means not given, which is an error.
	TractorUnknown TractorKind = iota
	// RearDrive drives the rear axle only.
	RearDrive
	// FrontAssist has a driven front axle with smaller wheels.
	FrontAssist
	// ArticulatedDrive has four equal driven wheels and an articulated frame.
	ArticulatedDrive
	// SkidSteer steers by the speeds of its two sides.
	SkidSteer
)

var tractorKindNames = []string{"unknown", "rearDrive", "frontAssist", "articulated", "skidSteer"}

// ImplementKind says how an implement hangs on the tractor. In JSON:
// "trailed", "semiMounted" or "fullyMounted"; "unknown" or left out is not
// given.
type ImplementKind uint8

// How an implement hangs on the tractor.
const (
	// ImplementUnknown means not given; the band then takes in all kinds.
	ImplementUnknown ImplementKind = iota
	// Trailed is pulled from the drawbar and carries itself.
	Trailed
	// SemiMounted hangs on the hitch and has wheels of its own.
	SemiMounted
	// FullyMounted is carried by the hitch.
	FullyMounted
)

var implementKindNames = []string{"unknown", "trailed", "semiMounted", "fullyMounted"}

// ShareBand is a band of a share with the sources behind it.
type ShareBand struct {
	// Band takes in every figure of the sources.
	Band units.Range[units.Fraction] `json:"band"`
	// Agreed is the part on which all sources agree; Low is above High if
	// there is none.
	Agreed units.Range[units.Fraction] `json:"agreed"`
	// Sources are where the figures come from.
	Sources Sources `json:"sources"`
	// Notes say how well the band is known.
	Notes Notes `json:"notes"`
}

// published is one published band of a share in percent.
type published struct {
	low, high float64
	source    Sources
}

func (p published) band() units.Range[units.Fraction] {
	return units.Range[units.Fraction]{Low: units.Fraction(p.low) * units.Percent, High: units.Fraction(p.high) * units.Percent}
}

// band puts published bands together: their envelope, and what is in all.
func band(rows []published) ShareBand {
	b := ShareBand{Band: rows[0].band(), Agreed: rows[0].band()}
	for _, r := range rows {
		one := r.band()
		if one != b.Band {
			b.Notes |= NoteSourcesDisagree
		}
		b.Band.Low, b.Band.High = min(b.Band.Low, one.Low), max(b.Band.High, one.High)
		b.Agreed.Low, b.Agreed.High = max(b.Agreed.Low, one.Low), min(b.Agreed.High, one.High)
		b.Sources |= r.source
	}
	if b.Sources&(b.Sources-1) == 0 {
		b.Notes |= NoteOneSource
	}
	if b.Sources&SourceIowa != 0 {
		b.Notes |= NoteMemory
	}
	return b
}

// splits has the published front axle shares. A general figure stands for
// every kind of implement.
var splits = [...]struct {
	kind      TractorKind
	implement ImplementKind // ImplementUnknown: general
	row       published
}{
	{RearDrive, Trailed, published{25, 25, SourceWisconsin}},
	{RearDrive, Trailed, published{25, 25, SourceIowa}},
	{RearDrive, SemiMounted, published{30, 30, SourceWisconsin}},
	{RearDrive, SemiMounted, published{30, 30, SourceIowa}},
	{RearDrive, FullyMounted, published{35, 35, SourceWisconsin}},
	{RearDrive, FullyMounted, published{35, 35, SourceIowa}},
	{FrontAssist, ImplementUnknown, published{40, 40, SourceWisconsin}},
	{FrontAssist, Trailed, published{35, 40, SourceIowa}},
	{FrontAssist, FullyMounted, published{40, 45, SourceIowa}},
	{ArticulatedDrive, ImplementUnknown, published{60, 60, SourceWisconsin}},
	{ArticulatedDrive, Trailed, published{55, 55, SourceIowa}},
	{ArticulatedDrive, FullyMounted, published{60, 60, SourceIowa}},
	{SkidSteer, ImplementUnknown, published{30, 30, SourceWisconsin}},
}

// FrontShareForDrawbarWork returns the band of published front axle shares of
// the static total mass for drawbar work; the rear axle has the rest. It is a
// figure of practice for pulling, not a limit, and never stands in for the
// least steered share. A tractor kind that is unknown is an error; an unknown
// implement takes in all kinds.
func FrontShareForDrawbarWork(tractor TractorKind, implement ImplementKind) (ShareBand, error) {
	var c units.FieldErrors
	known(&c, "tractor", tractor, tractorKindNames)
	if !choice.Known(implementKindNames, implement) {
		c.Add("implement", implement, choice.Want(implementKindNames))
	}
	if err := c.Err(); err != nil {
		return ShareBand{}, err
	}
	var rows []published
	for _, s := range splits {
		if s.kind == tractor && (implement == ImplementUnknown || s.implement == ImplementUnknown || s.implement == implement) {
			rows = append(rows, s.row)
		}
	}
	return band(rows), nil
}

// MassPerPowerBand is a band of total mass per power for drawbar work.
type MassPerPowerBand struct {
	// Band is the mass per power at the power take-off.
	Band units.Range[units.MassPerPower] `json:"band"`
	// Sources are where the figures come from.
	Sources Sources `json:"sources"`
	// Notes say how well the band is known.
	Notes Notes `json:"notes"`
}

// Mass returns the total mass that the band asks of a tractor with the given
// power at the power take-off, 0 to 1 MW. The band's ends must be in order and
// from 0 to 1 kg/W.
func (b MassPerPowerBand) Mass(pto units.Power) (units.Range[units.Mass], error) {
	var c units.FieldErrors
	valid.Within(&c, "ptoPower", pto, 0, 1e6)
	valid.Within(&c, "band.low", b.Band.Low, 0, 1)
	valid.Within(&c, "band.high", b.Band.High, b.Band.Low, 1)
	if err := c.Err(); err != nil {
		return units.Range[units.Mass]{}, err
	}
	return units.Range[units.Mass]{
		Low:  units.Mass(float64(b.Band.Low) * float64(pto)),
		High: units.Mass(float64(b.Band.High) * float64(pto)),
	}, nil
}

// MassPerPowerForDrawbarWork returns the band of total mass per power at the
// power take-off for drawbar work at a speed, 0.1 m/s to 25 km/h. The source has
// one figure below 4.5 mile/h, one at 5 and one above 5.5; between them the
// band takes in both neighbors (Iowa State University Extension PM 2089B;
// memory). In lb/hp: 130, 115 and 100, for an articulated tractor 110, 100
// and 90. A skid steer loader has no figure and is an error.
func MassPerPowerForDrawbarWork(tractor TractorKind, speed units.Speed) (MassPerPowerBand, error) {
	var c units.FieldErrors
	known(&c, "tractor", tractor, tractorKindNames)
	if tractor == SkidSteer {
		c.Add("tractor", tractor, choice.Want(tractorKindNames[1:SkidSteer]))
	}
	valid.Within(&c, "speed", speed, 0.1, 25*units.KilometerPerHour)
	if err := c.Err(); err != nil {
		return MassPerPowerBand{}, err
	}
	slow, middle, fast := 130.0, 115.0, 100.0
	if tractor == ArticulatedDrive {
		slow, middle, fast = 110, 100, 90
	}
	var low, high float64
	switch {
	case speed < 4.5*units.MilePerHour:
		low, high = slow, slow
	case speed < 5*units.MilePerHour:
		low, high = middle, slow
	case speed == 5*units.MilePerHour:
		low, high = middle, middle
	case speed <= 5.5*units.MilePerHour:
		low, high = fast, middle
	default:
		low, high = fast, fast
	}
	const unit = units.PoundPerMechanicalHorsepower
	return MassPerPowerBand{
		Band:    units.Range[units.MassPerPower]{Low: units.MassPerPower(low) * unit, High: units.MassPerPower(high) * unit},
		Sources: SourceIowa, Notes: NoteMemory | NoteOneSource,
	}, nil
}

// Surface is what the drive wheels stand on. In JSON: "concrete", "firmSoil",
// "tilledSoil" or "anySoil"; "unknown" or left out is not given.
type Surface uint8

// Surfaces.
const (
	// SurfaceUnknown means not given, which is an error.
	SurfaceUnknown Surface = iota
	// Concrete is a hard, dry track.
	Concrete
	// FirmSoil is firm, untilled soil.
	FirmSoil
	// TilledSoil is tilled soil; sand takes slightly more slip.
	TilledSoil
	// AnySoil is soil in general.
	AnySoil
)

var surfaceNames = []string{"unknown", "concrete", "firmSoil", "tilledSoil", "anySoil"}

// slips has the published slips at which a tractor pulls best.
var slips = [...]struct {
	surface Surface
	row     published
}{
	{Concrete, published{4, 8, SourceMechanics}},
	{FirmSoil, published{6, 13, SourceMechanics}},
	{TilledSoil, published{8, 16, SourceMechanics}},
	{AnySoil, published{8, 15, SourceMissouri}},
	{AnySoil, published{8, 15, SourceOklahoma}},
	{AnySoil, published{10, 20, SourceCornell}},
	{AnySoil, published{5, 20, SourceLaboratory}},
}

// BestSlip returns the band of slip at which a tractor is said to pull best.
// Less means too much ballast for the pull, more means too little. A surface
// that is unknown is an error.
func BestSlip(surface Surface) (ShareBand, error) {
	var c units.FieldErrors
	known(&c, "surface", surface, surfaceNames)
	if err := c.Err(); err != nil {
		return ShareBand{}, err
	}
	var rows []published
	for _, s := range slips {
		if s.surface == surface {
			rows = append(rows, s.row)
		}
	}
	return band(rows), nil
}

// SlipLoss returns the share of work and energy lost to slip beyond the band:
// 1 % for each 1 % of slip above its high end (Oklahoma State University
// extension specialist). Slip from 0 to 1; anything else is an error. It
// means something for a band of [BestSlip] only.
func (b ShareBand) SlipLoss(slip units.Fraction) (units.Fraction, error) {
	var c units.FieldErrors
	valid.Within(&c, "slip", slip, 0, 1)
	valid.Within(&c, "band.high", b.Band.High, 0, 1)
	if err := c.Err(); err != nil {
		return 0, err
	}
	return max(0, slip-b.Band.High), nil
}

// SlipFromTurns returns the slip of a drive wheel from its turns over the
// same distance, pulling and not pulling: s = 1 - n0/n (ASAE S296). Both are
// above 0 and at most 1e6. Fewer turns pulling than not is an error: the
// counts were swapped or not taken over the same distance.
func SlipFromTurns(pulling, free float64) (units.Fraction, error) {
	var c units.FieldErrors
	if !(pulling > 0 && pulling <= 1e6) {
		c.Add("pulling", pulling, "must be above 0 and at most 1e6 turns")
	}
	if !(free > 0 && free <= 1e6) {
		c.Add("free", free, "must be above 0 and at most 1e6 turns")
	} else if free > pulling {
		c.Add("free", free, "must be at most the turns pulling, over the same distance")
	}
	if err := c.Err(); err != nil {
		return 0, err
	}
	return units.Fraction((pulling - free) / pulling), nil
}

// Pull is a tractor that pulls from its drawbar on level ground at a steady
// speed.
type Pull struct {
	// FrontLoad is the front axle load at rest, as a scale reads it, 1 kg to
	// 100 t.
	FrontLoad units.Mass `json:"frontLoad"`
	// RearLoad is the rear axle load at rest, 1 kg to 100 t.
	RearLoad units.Mass `json:"rearLoad"`
	// Wheelbase is the distance between the axles (L), 0.5 m to 10 m.
	Wheelbase units.Length `json:"wheelbase"`
	// Force is the horizontal pull (P), 0 to 1 MN.
	Force units.Force `json:"force"`
	// Height is the height of the drawbar's hitch point over level ground
	// (h), 0.05 to 2 m.
	Height units.Length `json:"height"`
	// Down is the vertical force with which the implement presses on the
	// drawbar, positive down, from -200 kN to 200 kN.
	Down units.Force `json:"down,omitempty"`
	// Behind is how far the hitch point is behind the rear axle, 1 mm to 5 m;
	// it must be given with Down.
	Behind units.Length `json:"behind,omitempty"`
	// Gravity is the acceleration of free fall, 0.1 to 100 m/s2; zero means
	// units.StandardGravity.
	Gravity units.Acceleration `json:"gravity,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (p Pull) Validate() error {
	var c units.FieldErrors
	valid.Given(&c, "frontLoad", p.FrontLoad, minMass, maxMass, "must be given: the front axle on a scale")
	valid.Given(&c, "rearLoad", p.RearLoad, minMass, maxMass, "must be given: the rear axle on a scale")
	valid.Given(&c, "wheelbase", p.Wheelbase, minBase, maxBase, "must be given: rear to front axle")
	valid.Within(&c, "force", p.Force, 0, 1e6)
	valid.Given(&c, "height", p.Height, 0.05, 2, "must be given: the hitch point over the ground")
	valid.Within(&c, "down", p.Down, -200e3, 200e3)
	if p.Down != 0 {
		valid.Given(&c, "behind", p.Behind, 0.001, 5, "must be given with down: the hitch point behind the rear axle")
	} else {
		valid.ZeroOr(&c, "behind", p.Behind, 0.001, 5)
	}
	valid.Gravity(&c, "gravity", p.Gravity)
	return c.Err()
}

// PullAnswer is what a pull does to the axles.
type PullAnswer struct {
	// Transfer is the force that the pull moves from the front axle to the
	// rear: P h/L.
	Transfer units.Force `json:"transfer"`
	// Front is the front axle's force on the ground while pulling. A negative
	// one means that the front axle has lifted: the tractor does not stand
	// like this.
	Front units.Force `json:"front"`
	// Rear is the rear axle's force on the ground while pulling.
	Rear units.Force `json:"rear"`
	// Lift is the horizontal pull at which the front axle would lift, with
	// Down as given; a lighter front or a higher hitch makes it less.
	Lift units.Force `json:"lift"`
	// FrontLifts says that Front is not positive.
	FrontLifts bool `json:"frontLifts"`
	// Cautions belong to the answer.
	Cautions Cautions `json:"cautions"`
}

// Solve returns the axle forces while pulling (a moment balance about the
// rear contact line, in any tractor text):
//
//	front = W_f - P h/L - V c/L
//	rear  = W_r + P h/L + V (L + c)/L
//
// with V the downward force and c its distance behind the rear axle. Held by
// TestPull.
func (p Pull) Solve() (PullAnswer, error) {
	if err := p.Validate(); err != nil {
		return PullAnswer{}, err
	}
	g := p.Gravity
	if g == 0 {
		g = units.StandardGravity
	}
	l := float64(p.Wheelbase)
	transfer := float64(p.Force) * float64(p.Height) / l
	lever := float64(p.Down) * float64(p.Behind) / l
	out := PullAnswer{
		Transfer: units.Force(transfer),
		Front:    p.FrontLoad.Weight(g) - units.Force(transfer) - units.Force(lever),
		Rear:     p.RearLoad.Weight(g) + p.Down + units.Force(transfer) + units.Force(lever),
		Cautions: CautionManual | CautionLevelGround | CautionDrawbarOnly,
	}
	out.Lift = max(0, units.Force((float64(p.FrontLoad.Weight(g))-lever)*l/float64(p.Height)))
	out.FrontLifts = !(out.Front > 0)
	return out, nil
}

// Construction is how a tire's carcass is built. In JSON: "bias" or "radial".
type Construction uint8

// Constructions of a tire. The zero value is the one that pulls less.
const (
	// BiasPly is a cross-ply tire.
	BiasPly Construction = iota
	// RadialPly is a radial tire.
	RadialPly
)

var constructionNames = []string{"bias", "radial"}

// Traction is one drive wheel on soil, for the equations of ASABE D497 (W. W.
// Brixius, Traction prediction equations for bias ply tires, ASAE paper
// 87-1622, 1987; for radial tires F. M. Zoz and R. D. Grisso, Traction and
// tractor performance, ASAE, 2003). All their constants are from memory until
// somebody reads them in the source; every answer says so.
type Traction struct {
	// ConeIndex is the soil's cone index (CI), 50 kPa to 10 MPa. Remembered
	// values: 1800 kPa hard, 1200 firm, 900 tilled, 450 soft soil.
	ConeIndex units.Pressure `json:"coneIndex"`
	// Load is the wheel's force on the ground while pulling (W), 100 N to 500 kN.
	Load units.Force `json:"load"`
	// Width is the unloaded tire's section width (b), 0.05 m to 2 m.
	Width units.Length `json:"width"`
	// Diameter is the unloaded tire's overall diameter (d), 0.2 m to 3 m.
	Diameter units.Length `json:"diameter"`
	// Deflection is how far the loaded tire is pressed in on hard ground, as a
	// share of its section height (delta/h), 0.01 to 0.5.
	Deflection units.Fraction `json:"deflection"`
	// Construction is bias (zero) or radial.
	Construction Construction `json:"construction,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (t Traction) Validate() error {
	var c units.FieldErrors
	valid.Given(&c, "coneIndex", t.ConeIndex, 50e3, 10e6, "must be given: the soil's cone index")
	valid.Given(&c, "load", t.Load, 100, 500e3, "must be given: the wheel's force on the ground")
	valid.Given(&c, "width", t.Width, 0.05, 2, "must be given: section width")
	valid.Given(&c, "diameter", t.Diameter, 0.2, 3, "must be given: overall diameter")
	valid.Given(&c, "deflection", t.Deflection, 0.01, 0.5, "must be given: deflection per section height, such as 0.2")
	if !choice.Known(constructionNames, t.Construction) {
		c.Add("construction", t.Construction, choice.Want(constructionNames))
	}
	return c.Err()
}

// TractionAnswer is what a drive wheel does at one slip. The ratios are
// shares of the wheel's load.
type TractionAnswer struct {
	// Mobility is the mobility number B_n, without a unit.
	Mobility float64 `json:"mobility"`
	// Slip is the slip it was computed for.
	Slip units.Fraction `json:"slip"`
	// Gross is the gross traction ratio.
	Gross units.Fraction `json:"gross"`
	// Resistance is the motion resistance ratio.
	Resistance units.Fraction `json:"resistance"`
	// Net is the net traction ratio, Gross - Resistance. A negative one means
	// that the wheel has to be pushed.
	Net units.Fraction `json:"net"`
	// Efficiency is the tractive efficiency, (1 - Slip) Net/Gross; negative
	// with Net.
	Efficiency units.Fraction `json:"efficiency"`
	// Pull is the wheel's net pull, Net times its load; 0 from TractionAt,
	// which knows no load.
	Pull units.Force `json:"pull"`
	// Notes say how the answer was reached: always from memory.
	Notes Notes `json:"notes"`
}

// tractionConstants are those of the two equations of [TractionAt].
type tractionConstants struct{ grip, slip, rolling, base float64 }

// constants are, for both constructions, from memory.
func (k Construction) constants() tractionConstants {
	if k == RadialPly {
		return tractionConstants{grip: 0.88, slip: 9.5, rolling: 0.9, base: 0.0325}
	}
	return tractionConstants{grip: 0.88, slip: 7.5, rolling: 1, base: 0.04}
}

// Mobility returns the mobility number of the wheel. Held by TestValidation.
//
//	B_n = (CI b d/W) (1 + 5 delta/h)/(1 + 3 b/d).
func (t Traction) Mobility() (float64, error) {
	if err := t.Validate(); err != nil {
		return 0, err
	}
	return t.mobility(), nil
}

func (t *Traction) mobility() float64 {
	area := float64(t.Width) * float64(t.Diameter)
	return float64(t.ConeIndex) * area / float64(t.Load) *
		(1 + float64(5*t.Deflection)) / (1 + float64(3*float64(t.Width/t.Diameter)))
}

// At returns what the wheel does at a slip from 0 to 1; see [TractionAt] for
// the equations. A note marks a tire, load or slip outside the range of the
// fit: b/d 0.1 to 0.7, delta/h 0.1 to 0.3, W/(b d) 15 to 55 kPa (memory),
// slip up to 0.3 (the range of its charts; memory).
func (t Traction) At(slip units.Fraction) (TractionAnswer, error) {
	var c units.FieldErrors
	c.Join("", t.Validate())
	valid.Within(&c, "slip", slip, 0, 1)
	if err := c.Err(); err != nil {
		return TractionAnswer{}, err
	}
	return t.at(slip), nil
}

func (t *Traction) at(slip units.Fraction) TractionAnswer {
	out := traction(t.mobility(), slip, t.Construction)
	out.Pull = units.Force(float64(out.Net) * float64(t.Load))
	shape := float64(t.Width / t.Diameter)
	pressure := float64(t.Load) / (float64(t.Width) * float64(t.Diameter))
	if shape < 0.1 || shape > 0.7 || t.Deflection < 0.1 || t.Deflection > 0.3 || pressure < 15e3 || pressure > 55e3 {
		out.Notes |= NoteOutsideRange
	}
	return out
}

// SlipFor returns the least slip at which the wheel's net pull is the given
// one, 0 to 500 kN, and all else at that slip. A pull that the wheel cannot
// give at any slip is an error that names the greatest.
func (t Traction) SlipFor(pull units.Force) (TractionAnswer, error) {
	var c units.FieldErrors
	c.Join("", t.Validate())
	valid.Within(&c, "pull", pull, 0, 500e3)
	if err := c.Err(); err != nil {
		return TractionAnswer{}, err
	}
	// The net ratio is concave in the slip: dNet/ds = grip A k e^(-k s) -
	// 0.5/sqrt(B_n) falls, so its zero, or the end of the range, is the top.
	bn, k := t.mobility(), t.Construction.constants()
	rise := k.grip * -math.Expm1(-0.1*bn) * k.slip * math.Sqrt(bn) / 0.5
	top := units.Fraction(min(1, max(0, math.Log(rise)/k.slip)))
	best := t.at(top)
	if !(pull <= best.Pull) {
		return TractionAnswer{}, &units.FieldError{Path: "pull", Value: valid.Show(pull), Want: "must be at most " + valid.Show(max(0, best.Pull)) + ", the most this wheel pulls here"}
	}
	if least := t.at(0); pull <= least.Pull {
		return least, nil
	}
	s, err := numeric.Root(func(s float64) float64 { return float64(t.at(units.Fraction(s)).Pull - pull) }, 0, float64(top), 1e-15)
	if err != nil {
		return TractionAnswer{}, err
	}
	return t.at(units.Fraction(s)), nil
}

// TractionAt returns the ratios of a wheel with the mobility number B_n,
// 0.01 to 1e4, at a slip s from 0 to 1. Bias ply:
//
//	Gross      = 0.88 (1 - e^(-0.1 B_n)) (1 - e^(-7.5 s)) + 0.04
//	Resistance = 1/B_n + 0.04 + 0.5 s/sqrt(B_n)
//
// and for a radial tire 9.5 for 7.5, 0.0325 for 0.04 and 0.9/B_n for 1/B_n.
// The constants are from memory; see [Traction]. Held by TestValidation.
func TractionAt(mobility float64, slip units.Fraction, k Construction) (TractionAnswer, error) {
	var c units.FieldErrors
	if !(mobility >= 0.01 && mobility <= 1e4) {
		c.Add("mobility", mobility, "must be between 0.01 and 1e4")
	}
	valid.Within(&c, "slip", slip, 0, 1)
	if !choice.Known(constructionNames, k) {
		c.Add("construction", k, choice.Want(constructionNames))
	}
	if err := c.Err(); err != nil {
		return TractionAnswer{}, err
	}
	return traction(mobility, slip, k), nil
}

func traction(bn float64, slip units.Fraction, kind Construction) TractionAnswer {
	k, s := kind.constants(), float64(slip)
	gross := float64(k.grip*math.Expm1(-0.1*bn)*math.Expm1(-k.slip*s)) + k.base
	resistance := k.rolling/bn + k.base + 0.5*s/math.Sqrt(bn)
	net := gross - resistance
	out := TractionAnswer{
		Mobility: bn, Slip: slip,
		Gross: units.Fraction(gross), Resistance: units.Fraction(resistance), Net: units.Fraction(net),
		Efficiency: units.Fraction((1 - s) * net / gross),
		Notes:      NoteMemory,
	}
	if s > 0.3 {
		out.Notes |= NoteOutsideRange
	}
	return out
}
