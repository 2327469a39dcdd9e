package liquid

import (
	"math"
	"slices"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/fit"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// MaxKnown is the greatest number of measured fills that a tire keeps.
const MaxKnown = 20

// KnownVolume is a fill that was measured: the volume of liquid in one tire
// when its surface stood at a level.
type KnownVolume struct {
	// Level at which the surface stood: at the valve, at a height over the axle,
	// a head over the valve, or full, which is a fraction of 1.
	Level Level `json:"level"`
	// Volume of the liquid, up to 10 m3.
	Volume units.Volume `json:"volume"`
	// Spread is the half width of the volume's band, above zero and up to the volume.
	Spread units.Volume `json:"spread"`
	// Deflection of the wheel while the level was read, 0 to 0.5 m. With zero, and
	// without Unloaded, it is not known: the wheel was taken as unloaded, and bands of
	// fills reach up by what a load may have taken.
	Deflection units.Length `json:"deflection,omitzero"`
	// Unloaded says that the wheel carried no load while the level was read.
	Unloaded bool `json:"unloaded,omitempty"`
	// Disputed says that another fill contradicts this one, or that no tire within the
	// bands of the dimensions holds it: a [Finding] named it. Bands of fills rest on no
	// disputed fill and hold what each would say by itself.
	Disputed bool `json:"disputed,omitempty"`
}

// Validate reports every field that is out of range, by its JSON path.
func (k KnownVolume) Validate() error {
	var e units.FieldErrors
	checkKnownLevel(&e, k.Level)
	if !(k.Volume > 0 && k.Volume <= 10) {
		e.Add("volume", valid.Show(k.Volume), "must be above 0 and at most {most}", valid.Most[units.Volume](10))
	}
	if !(k.Spread > 0 && k.Spread <= k.Volume) {
		e.Add("spread", valid.Show(k.Spread), "must be above zero and at most the volume")
	}
	checkDeflection(&e, k.Deflection, k.Unloaded)
	return e.Err()
}

func checkKnownLevel(e *units.FieldErrors, l Level) {
	switch {
	case l.Kind == LevelVolume || l.Kind == LevelMass || l.Kind == LevelFraction && l.Fraction != 1:
		e.Add("level.kind", l.Kind, "must say where the surface stood: valveClock, valveAngle, height, head, or fraction 1 for a full tire")
	default:
		e.Join("level", l.Validate())
	}
}

// checkDeflection holds a deflection against its range and against the word that there
// is none.
func checkDeflection(e *units.FieldErrors, d units.Length, unloaded bool) {
	valid.Within(e, "deflection", d, 0, maxDeflection)
	if unloaded && d != 0 {
		e.Add("unloaded", true, "must be left out where deflection is given")
	}
}

// Reading is what somebody read of a fill: the level and how much liquid was in.
// One of Volume, Mass and the axle's two loads must be given; several are held
// against each other. A mass needs a density, from the fluid or a hydrometer. A
// quantity that is given as a single value is taken as good to 1 %, a
// hydrometer to 0.5 % and an axle load to 0.5 % (common practice, no source),
// with a note; a range says how good it is.
type Reading struct {
	// Level at which the surface stood: at the valve, at a height over the axle,
	// a head over the valve, or full, which is a fraction of 1.
	Level Level `json:"level"`
	// Volume of liquid in one tire, by a flow meter or a row of the tire maker's
	// table, 1 mL to 10 m3.
	Volume units.Input[units.Volume] `json:"volume,omitzero"`
	// Mass of liquid in one tire, 1 g to 20 t.
	Mass units.Input[units.Mass] `json:"mass,omitzero"`
	// AxleBefore is the load of the axle without the liquid, 1 kg to 100 t, all
	// else the same as in AxleAfter.
	AxleBefore units.Input[units.Mass] `json:"axleBefore,omitzero"`
	// AxleAfter is the load of the axle with the liquid in its tires.
	AxleAfter units.Input[units.Mass] `json:"axleAfter,omitzero"`
	// Tires is how many tires of the axle were filled, all equally, 1 to 8; it
	// goes with the axle's loads.
	Tires int `json:"tires,omitempty"`
	// Fluid that is in the tire; it may be left out where no mass is given or
	// the hydrometer says the density.
	Fluid Fluid `json:"fluid,omitzero"`
	// Temperature of the fluid; zero means 20 C.
	Temperature units.Temperature `json:"temperature,omitzero"`
	// Hydrometer is the density that a hydrometer reads, 600 to 3000 kg/m3.
	Hydrometer units.Input[units.Density] `json:"hydrometer,omitzero"`
	// Deflection of the wheel while the level was read, 0 to 0.5 m and at most 40 % of the
	// section height. With zero, and without Unloaded, it is what the tire says of itself, but an axle that was weighed
	// is not taken as lifted. If neither says it, the wheel is taken as unloaded, with a
	// note, and bands of fills reach up by what a load may have taken.
	Deflection units.Length `json:"deflection,omitzero"`
	// Unloaded says that the wheel carried no load while the level was read, as on a
	// stand.
	Unloaded bool `json:"unloaded,omitempty"`
}

// Shares that a single value of a reading is taken to be good to (common
// practice, no source).
const (
	amountGood     = 0.01
	hydrometerGood = 0.005
	axleGood       = 0.005
)

// FindingKind is what is wrong with measured fills. In JSON: "fillsDisagree",
// "outsideBand" or "densitiesDisagree"; "unknown" or left out is none.
type FindingKind uint8

// The kinds of findings.
const (
	// FindingUnknown is the zero value: no finding.
	FindingUnknown FindingKind = iota
	// FillsDisagree says that no tire within the bands of the dimensions holds
	// both volumes, each within its errors: one of the two is wrong.
	FillsDisagree
	// OutsideBand says that no tire within the bands of the dimensions holds
	// the volume: the reading, the level or the designation is wrong.
	OutsideBand
	// DensitiesDisagree says that the hydrometer's density and the fluid's
	// differ beyond their errors: the fluid is not what was named.
	DensitiesDisagree
)

var findingNames = []string{"unknown", "fillsDisagree", "outsideBand", "densitiesDisagree"}

var findingText = []choice.Remark{
	{Name: "fillsDisagree", Sentence: "Two measured fills contradict each other: no tire within the bands of the dimensions holds both, each within its errors. One of the two is wrong; measure again."},
	{Name: "outsideBand", Sentence: "No tire within the bands of the dimensions holds this measured fill: the reading, the level or the designation is wrong."},
	{Name: "densitiesDisagree", Sentence: "The hydrometer and the named fluid differ beyond their errors: the fluid is not what was named, or the hydrometer was misread."},
}

// Finding is a contradiction among measured fills, or between one and the tire.
type Finding struct {
	// Kind says what is wrong.
	Kind FindingKind `json:"kind"`
	// First and Second are the fills, as places in Tire.Known of the corrected
	// tire; they are equal where one fill alone is at fault.
	First  int `json:"first"`
	Second int `json:"second"`
	// Apart is how far the volumes lie apart beyond their errors.
	Apart units.Volume `json:"apart"`
}

// Remark returns the finding as a sentence with its code, such as
// "liquid.finding.fillsDisagree", and a rank; it is empty for a kind that is not known.
func (f Finding) Remark() units.Remark {
	if f.Kind == FindingUnknown || int(f.Kind) >= len(findingNames) {
		return units.Remark{}
	}
	return choice.Remarks("liquid.finding", findingText, uint8(1)<<(f.Kind-1))[0]
}

// Calibration is a tire corrected to what was measured of its fills.
type Calibration struct {
	// Tire is the corrected tire, all its dimensions found. The measured fills
	// stand in its field Known, those of the tire before first.
	Tire Tire `json:"tire"`
	// Corrected holds the names of the dimensions that were moved, as in JSON.
	Corrected []string `json:"corrected"`
	// Findings are the contradictions. With any of them, look for the mistake
	// before the tire is used.
	Findings []Finding `json:"findings,omitempty"`
	// Notes says how the answer was reached.
	Notes Notes `json:"notes"`
}

// Calibrate returns the tire with its cavity corrected to measured fills. The
// dimensions move by least squares, with their bands as priors, so that the tire holds
// the volumes. How wide the section is moves most: the overall diameter, the lugs and
// the undertread, which say where the crown lies and so change how the volume is spread
// over the levels, are taken to be three times as certain within their bands.
// Every fill counts by its error beside the priors: a good one is held nearly exactly, a
// vague one hardly moves anything. Fills at several levels give the shape. No dimension leaves its band, so that the
// cavity stays within the outer shape of the tire. A tire that was corrected before is
// corrected to all its fills at once: it does not matter in how many calls they come.
// The level of a fill is that of the wheel as it stood then; see Reading.Deflection. A
// level that lies above or below every tire within the bands is an error.
//
// The corrected tire is a tire like any other. The bands of its fills hold at
// each level what the dimensions could still be while the tire holds the known
// volumes: the bound of the linear program over the bands by its dual, with the
// volume linear in the dimensions. It is narrowest at the levels that were
// measured. Fills that contradict each other, or the tire, are findings; they are marked
// in Tire.Known, every fill of the tire then has [NoteFillsDisputed] and
// [CautionFillsDisputed], and the bands hold what each of them says.
func (t Tire) Calibrate(readings ...Reading) (Calibration, error) {
	var e units.FieldErrors
	r, err := t.Resolve()
	e.Join("tire", err)
	var answer Calibration
	known := slices.Clone(t.Known)
	if len(readings) == 0 {
		e.Add("readings", nil, "must hold at least one reading")
	}
	for i := range readings {
		if i > MaxKnown {
			break
		}
		got, notes, findings, err := readings[i].known(len(known))
		e.Join(units.Index("readings", i), err)
		for k := range got {
			readings[i].stood(&t, &got[k])
		}
		if err == nil && e.Len() == 0 {
			notes |= r.reaches(&e, units.Index("readings", i), readings[i].Level)
			r.flat(&e, units.Index("readings", i)+".deflection", readings[i].Deflection)
		}
		known = append(known, got...)
		answer.Notes |= notes
		answer.Findings = append(answer.Findings, findings...)
	}
	if len(known) > MaxKnown {
		e.Add("readings", len(readings), "must be fewer: a tire keeps at most {most} measured fills", valid.Text("most", MaxKnown))
	}
	if err := e.Err(); err != nil {
		return Calibration{}, err
	}
	found, corrected := r.correct(known)
	answer.Findings, answer.Corrected = append(answer.Findings, found...), corrected
	if err := r.Validate(); err != nil {
		return Calibration{}, err
	}
	if err := r.fits(); err != nil {
		return Calibration{}, err
	}
	answer.Tire = r
	answer.Notes |= r.Notes()
	return answer, nil
}

// correct moves the dimensions of a resolved tire to known volumes, which it keeps and of which
// it marks those that are disputed.
func (t *Tire) correct(known []KnownVolume) (findings []Finding, corrected []string) {
	if t.Crown == 0 {
		t.Crown, t.CrownSpread = usualCrown, usualCrownSpread
	}
	t.Known = nil
	t.unmoved()
	ks, base := knobs(t), *t
	findings = contradictions(*t, ks, known)
	for i := range known {
		known[i].Disputed = slices.ContainsFunc(findings, func(f Finding) bool { return f.First == i || f.Second == i })
	}
	corrected = t.shape(ks, known)
	for i := range ks {
		if ks[i].at != nil && slices.Contains(corrected, ks[i].name) {
			d := ks[i].at(t)
			d.Origin, d.Moved = Corrected, d.Value-ks[i].at(&base).Value
			d.Moved = max(-d.Spread, min(d.Spread, d.Moved))
		}
	}
	t.CrownMoved = max(-t.CrownSpread, min(t.CrownSpread, t.Crown-base.Crown))
	t.Known = known
	return findings, corrected
}

// apart reports whether a resolved tire does not hold its known volumes: somebody wrote them
// without [Tire.Calibrate]. What is not disputed lies within two spreads of a corrected tire, or
// within a thousandth where the spread is less than what least squares leave.
func (t *Tire) apart() bool {
	for i := range t.Known {
		k := &t.Known[i]
		off := float64(k.Volume) - t.volumeAt(k.Level, k.Deflection)
		if s := math.Max(2*float64(k.Spread), 1e-3*float64(k.Volume)); !k.Disputed && !(off >= -s-t.taken(k) && off <= s) {
			return true
		}
	}
	return false
}

// unmoved puts every dimension back to the middle of its band, so that a tire that was
// corrected before is corrected to all its fills at once.
func (t *Tire) unmoved() {
	for _, f := range dimensionFields {
		d := f.at(t)
		d.Value, d.Moved = d.middle(), 0
	}
	t.Crown, t.CrownMoved = t.Crown-t.CrownMoved, 0
}

// known returns the fills that a reading states. Index is the place of the first
// among all.
func (r *Reading) known(index int) (out []KnownVolume, n Notes, findings []Finding, err error) {
	var e units.FieldErrors
	checkKnownLevel(&e, r.Level)
	valid.Optional(&e, "volume", r.Volume, 1e-6, 10)
	valid.Optional(&e, "mass", r.Mass, 1e-3, 20000)
	valid.Optional(&e, "axleBefore", r.AxleBefore, 1, 100000)
	valid.Optional(&e, "axleAfter", r.AxleAfter, 1, 100000)
	valid.Optional(&e, "hydrometer", r.Hydrometer, 600, 3000)
	checkTemperature(&e, r.Temperature)
	checkDeflection(&e, r.Deflection, r.Unloaded)
	axle := given(r.AxleBefore) || given(r.AxleAfter)
	weighed := axle || given(r.Mass)
	if !given(r.Volume) && !weighed {
		e.Add("volume", nil, "must be given, or a mass, or the axle's loads before and after")
	}
	if axle && !(given(r.AxleBefore) && given(r.AxleAfter)) {
		e.Add("axleAfter", nil, "must be given together with axleBefore")
	}
	if axle != (r.Tires != 0) || r.Tires < 0 || r.Tires > 8 {
		e.Add("tires", r.Tires, "must be from 1 to 8 with the axle's loads, and left out without them")
	}
	if r.Fluid != (Fluid{}) {
		e.Join("fluid", r.Fluid.Validate())
		if r.Fluid.Kind == Polyurethane {
			e.Add("fluid.kind", r.Fluid.Kind, "must be a liquid")
		}
	} else if weighed && !given(r.Hydrometer) {
		e.Add("fluid", nil, "must be given where a mass is, unless a hydrometer says the density")
	}
	if err := e.Err(); err != nil {
		return nil, 0, nil, err
	}
	add := func(low, high float64) {
		// Rounding must not make the spread vanish.
		mid := (low + high) / 2
		half := math.Min(math.Max((high-low)/2, 1e-6*mid), mid)
		out = append(out, KnownVolume{Level: r.Level, Volume: units.Volume(mid), Spread: units.Volume(half)})
	}
	if low, high, given := amount(r.Volume, amountGood, &n); given {
		add(low, high)
	}
	if !weighed {
		return out, n, nil, nil
	}
	lightest, heaviest, apart := r.density(&n)
	mass := func(path string, low, high float64) {
		if !(low > 0) {
			e.Add(path, nil, "must be more than the errors of the readings, so that some liquid is certain")
			return
		}
		add(low/heaviest, high/lightest)
	}
	if low, high, given := amount(r.Mass, amountGood, &n); given {
		mass("mass", low, high)
	}
	if axle {
		bl, bh, _ := amount(r.AxleBefore, axleGood, &n)
		al, ah, _ := amount(r.AxleAfter, axleGood, &n)
		mass("axleAfter", (al-bh)/float64(r.Tires), (ah-bl)/float64(r.Tires))
	}
	if apart > 0 && len(out) > 0 {
		last := index + len(out) - 1
		findings = append(findings, Finding{DensitiesDisagree, last, last, units.Volume(apart * float64(out[len(out)-1].Volume))})
	}
	for _, k := range out {
		if e.Len() == 0 {
			e.Join("", k.Validate())
		}
	}
	return out, n, findings, e.Err()
}

// stood fills in how the wheel stood while the level was read, as far as it is known.
func (r *Reading) stood(t *Tire, k *KnownVolume) {
	weighed := given(r.AxleAfter)
	switch {
	case r.Deflection > 0 || r.Unloaded:
		k.Deflection, k.Unloaded = r.Deflection, r.Unloaded
	case t.Deflection > 0:
		k.Deflection = t.Deflection
	case t.Unloaded && !weighed:
		k.Unloaded = true
	}
}

// reaches reports a level that lies above or below every tire within the bands, and
// notes one that lies above or below this one.
func (t *Tire) reaches(e *units.FieldErrors, path string, l Level) Notes {
	z := float64(l.Height)
	name := ".level.height"
	if l.Kind == LevelHead {
		z, name = float64(t.ValveRadius.Value)*l.cos()+float64(l.Head), ".level.head"
	} else if l.Kind != LevelHeight {
		return 0
	}
	here, large := t.profile(0).rc, t.profile(1).rc
	if !(math.Abs(z) <= large) {
		e.Add(path+name, valid.Show(units.Length(z)), "must lie within the tire, from {low} to {high} over the axle; for a full tire give fraction 1",
			valid.Low(units.Length(-large)), valid.High(units.Length(large)))
	}
	if math.Abs(z) > here {
		return NoteLevelClamped
	}
	return 0
}

// given reports whether a quantity of a reading has a value; one that says there is none has not.
func given[Q units.Quantity](in units.Input[Q]) bool { _, ok := in.Range(); return ok }

// amount returns the ends of a quantity of a reading; a single value is good to
// a share of itself.
func amount[Q units.Quantity](in units.Input[Q], good float64, n *Notes) (low, high float64, given bool) {
	r, given := in.Range()
	if !given {
		return 0, 0, false
	}
	low, high = float64(r.Low), float64(r.High)
	if in.Known() {
		*n |= NoteSpreadAssumed
		low, high = low*(1-good), high*(1+good)
	}
	return low, high, true
}

// density returns the ends of the density: what fluid and hydrometer have in
// common, or all that either says if they disagree, by the share apart.
func (r *Reading) density(n *Notes) (low, high, apart float64) {
	hl, hh, read := amount(r.Hydrometer, hydrometerGood, n)
	if r.Fluid == (Fluid{}) {
		return hl, hh, 0
	}
	p := r.Fluid.properties(r.Temperature)
	*n |= p.Notes &^ (NoteFreezingUnknown | NoteFreezingIsBound | NoteSourcesDisagree)
	low, high = float64(p.Density)*(1-float64(p.DensitySpread)), float64(p.Density)*(1+float64(p.DensitySpread))
	if !read {
		return low, high, 0
	}
	if gap := math.Max(hl-high, low-hh); gap > 0 {
		// Either may be right.
		return math.Min(low, hl), math.Max(high, hh), gap / float64(p.Density)
	}
	return math.Max(low, hl), math.Min(high, hh), 0
}

// contradictions finds the fills that no tire within the bands holds, and the
// pairs of which none holds both.
func contradictions(t Tire, ks []knob, known []KnownVolume) (out []Finding) {
	held := make([]Tire, len(known)) // the tire that holds each
	for i := range known {
		held[i] = t
		if len(known) > 1 {
			held[i].shape(ks, known[i:i+1])
		}
	}
	for i := range known {
		if gap := t.outside(ks, &known[i], nil); gap > 0 {
			out = append(out, Finding{OutsideBand, i, i, units.Volume(gap)})
		}
		for j := i + 1; j < len(known); j++ {
			gap := math.Min(held[i].outside(ks, &known[j], known[i:i+1]), held[j].outside(ks, &known[i], known[j:j+1]))
			if gap > 0 {
				out = append(out, Finding{FillsDisagree, i, j, units.Volume(gap)})
			}
		}
	}
	return out
}

// outside returns how far a known volume lies outside what the tire can hold at its level
// while it holds others; it is not positive if it lies inside.
func (t Tire) outside(ks []knob, k *KnownVolume, holds []KnownVolume) float64 {
	down, up := t.opening(ks, k.Deflection, holds).open(k.Level, k.Deflection)
	v := t.volumeAt(k.Level, k.Deflection)
	return math.Max(float64(k.Volume-k.Spread)-v-up, v-down-float64(k.Volume+k.Spread)-t.taken(k))
}

// lost returns what a deflection takes at most from the volume at a level: all that lies
// below the flat. Sidewalls that bulge make up for a part of it that nobody knows.
func (t *Tire) lost(l Level, deflection units.Length) float64 {
	if deflection == 0 {
		return 0
	}
	return t.volumeAt(l, 0) - t.volumeAt(l, deflection)
}

// taken returns what a load may have taken from a known volume, where nobody said how the
// wheel stood.
func (t *Tire) taken(k *KnownVolume) float64 {
	if k.Unloaded || k.Deflection > 0 {
		return 0
	}
	return t.lost(k.Level, units.Length(t.usualDeflection()))
}

// A knob is a dimension of the cavity that a calibration may turn: its JSON
// name, and how far the tire's band lets it go.
type knob struct {
	name      string
	at        func(*Tire) *Dimension // nil for the crown
	low, high float64
}

func (k *knob) get(t *Tire) float64 {
	if k.at == nil {
		return t.crown()
	}
	return float64(k.at(t).Value)
}

func (k *knob) set(t *Tire, v float64) {
	if k.at == nil {
		t.Crown = v
		return
	}
	k.at(t).Value = units.Length(v)
}

// half returns half of the knob's band.
func (k *knob) half() float64 { return (k.high - k.low) / 2 }

// valve reports whether the knob moves the level and not the cavity. It is
// never turned.
func (k *knob) valve() bool { return k.name == "valveRadius" }

// knobs returns the dimensions of a resolved tire that have a band. Their ranges
// are those that Validate allows.
func knobs(t *Tire) []knob {
	var ks []knob
	if s := t.crownSpread(); s > 0 {
		middle := t.crown() - t.CrownMoved
		ks = append(ks, knob{"crown", nil, math.Max(middle-s, 1.5), math.Min(middle+s, 5)})
	}
	for _, f := range dimensionFields {
		if d := f.at(t); d.Spread > 0 {
			low, high := math.Max(float64(d.middle()-d.Spread), float64(f.min)), math.Min(float64(d.middle()+d.Spread), float64(f.max))
			if low < high {
				ks = append(ks, knob{f.name, f.at, low, high})
			}
		}
	}
	return ks
}

// volumeAt returns the volume that a tire under a deflection holds at a level of a known
// volume.
func (t *Tire) volumeAt(l Level, deflection units.Length) float64 {
	p := t.profile(0).section()
	z := p.rc // full
	switch l.Kind {
	case LevelHeight:
		z = float64(l.Height)
	case LevelValveClock, LevelValveAngle, LevelHead:
		z = float64(t.ValveRadius.Value)*l.cos() + float64(l.Head)
	}
	v := p.cutAt(math.Abs(z)).volume
	if z > 0 {
		v = 2*p.cutAt(0).volume - v
	}
	if deflection > 0 {
		v -= p.cutAt(math.Max(p.rc-float64(deflection), p.rb)).volume
	}
	return math.Max(v, 0)
}

// slopes returns the change of the volume at a level with each knob, per half
// of its band.
func (t Tire) slopes(ks []knob, l Level, deflection units.Length) []float64 {
	g := make([]float64, len(ks))
	for i := range ks {
		k := &ks[i]
		now := k.get(&t)
		low, high := math.Max(now-0.1*k.half(), k.low), math.Min(now+0.1*k.half(), k.high)
		if !(low < high) {
			low, high = k.low, k.high
		}
		a, b := t, t
		k.set(&a, low)
		k.set(&b, high)
		g[i] = (b.volumeAt(l, deflection) - a.volumeAt(l, deflection)) / (high - low) * k.half()
	}
	return g
}

// A shaping is the least-squares model of a tire that holds known volumes: the
// unknowns are the knobs in halves of their bands from the middle. A knob that
// would leave its band is held at its end.
type shaping struct {
	t     Tire
	ks    []knob
	known []KnownVolume
}

func (s *shaping) put(at []float64) {
	for i := range s.ks {
		k := &s.ks[i]
		k.set(&s.t, math.Min(math.Max((k.low+k.high)/2+at[i]*k.half(), k.low), k.high))
	}
}

// Linearize adds a row for each known volume. Its standard deviation is half its spread.
func (s *shaping) Linearize(at []float64, p *fit.Problem) bool {
	s.put(at)
	for i := range s.known {
		k := &s.known[i]
		g := s.t.slopes(s.ks, k.Level, k.Deflection)
		copy(p.Row(float64(k.Volume)-s.t.volumeAt(k.Level, k.Deflection), float64(k.Spread)/2), g)
	}
	return true
}

// Standard deviations of the dimensions, as shares of the half widths of their bands. A
// band is two standard deviations to either side, but six for the dimensions that say
// where the crown lies: what differs from the section that this package has, curved walls
// above all, acts as a wider or narrower section. Held by TestValidation against cavities
// that come from other formulas.
const (
	usualSure = 0.5
	crownSure = 0.5 / 3
)

func (k *knob) sure() float64 {
	switch k.name {
	case "overallDiameter", "lugDepth", "undertread":
		return crownSure
	}
	return usualSure
}

// shape moves the dimensions by least squares, the bands being their priors. It
// returns the names of those it moved.
func (t *Tire) shape(ks []knob, known []KnownVolume) (moved []string) {
	moved = []string{}
	turning := slices.DeleteFunc(slices.Clone(ks), func(k knob) bool { return k.valve() })
	if len(turning) == 0 {
		return moved
	}
	s := shaping{*t, turning, known}
	held := map[int]float64{}
	var p fit.Problem
	at := make([]float64, len(turning))
	for range len(turning) + 1 {
		p.Reset(len(turning))
		for i := range turning {
			if end, ok := held[i]; ok {
				p.Prior(i, end, 0)
			} else {
				k := &turning[i]
				p.Prior(i, (k.get(t)-(k.low+k.high)/2)/k.half(), k.sure())
			}
		}
		if !p.Fit(&s) {
			break
		}
		out := false
		for i := range turning {
			at[i] = p.Estimate(i)
			if _, ok := held[i]; !ok && math.Abs(at[i]) > 1 {
				held[i], out = math.Copysign(1, at[i]), true
			}
		}
		if !out {
			break
		}
	}
	s.put(at)
	for i := range turning {
		k := &turning[i]
		if math.Abs(k.get(&s.t)-k.get(t)) > 1e-6*k.half() {
			k.set(t, k.get(&s.t))
			moved = append(moved, k.name)
		}
	}
	return moved
}

// An opening is what the known volumes of a tire leave open: its knobs may be anywhere in
// their bands while it holds them.
//
// Of what a deflection takes, any share from nothing to all may be lost in truth; volumeAt
// counts all. The share that is not lost is one more unknown from 0 to 1, the same for all
// levels of a wheel that stands under the same deflection.
type opening struct {
	t       *Tire
	ks      []knob
	b       bound
	pressed []units.Length // deflections, each with its unknown after the knobs
}

// opening prepares what is open of volumes under a deflection.
func (t *Tire) opening(ks []knob, deflection units.Length, known []KnownVolume) *opening {
	o := &opening{t: t, ks: ks, b: bound{below: make([]float64, len(ks)), above: make([]float64, len(ks))}}
	for i := range ks {
		x := ks[i].get(t)
		o.b.below[i], o.b.above[i] = math.Max(x-ks[i].low, 0)/ks[i].half(), math.Max(ks[i].high-x, 0)/ks[i].half()
	}
	o.press(deflection)
	for i := range known {
		o.press(known[i].Deflection)
	}
	for i := range known {
		k := &known[i]
		o.b.held = append(o.b.held, o.row(k.Level, k.Deflection))
		off := float64(k.Volume) - t.volumeAt(k.Level, k.Deflection)
		o.b.slack = append(o.b.slack, [2]float64{math.Max(float64(k.Spread)-off, 0), math.Max(float64(k.Spread)+off, 0) + t.taken(k)})
	}
	return o
}

func (o *opening) press(d units.Length) {
	if d > 0 && !slices.Contains(o.pressed, d) {
		o.pressed = append(o.pressed, d)
		o.b.below, o.b.above = append(o.b.below, 0), append(o.b.above, 1)
	}
}

// row returns the change of a volume with each unknown.
func (o *opening) row(l Level, deflection units.Length) []float64 {
	g := o.t.slopes(o.ks, l, deflection)
	for _, d := range o.pressed {
		share := 0.0
		if d == deflection {
			share = o.t.lost(l, d)
		}
		g = append(g, share)
	}
	return g
}

// open returns how far below and above what the tire under a deflection holds at a level
// the volume could still be.
func (o *opening) open(l Level, deflection units.Length) (down, up float64) {
	o.b.g = o.row(l, deflection)
	return o.b.greatest(-1), o.b.greatest(1)
}

// sureKnown returns the known volumes that are not disputed: a disputed one bounds nothing.
func (t *Tire) sureKnown() (sure []KnownVolume) {
	for _, k := range t.Known {
		if !k.Disputed {
			sure = append(sure, k)
		}
	}
	return sure
}

// stillOpen is open for a tire with its known volumes. What a disputed one would say of the
// level by itself, in proportion, stays open.
func (o *opening) stillOpen(l Level) (down, up float64) {
	t := o.t
	down, up = o.open(l, t.Deflection)
	v, free := t.volumeAt(l, t.Deflection), t.volumeAt(l, 0)
	for i := range t.Known {
		k := &t.Known[i]
		if here := t.volumeAt(k.Level, k.Deflection); k.Disputed && here > 0 {
			most := math.Max(t.volumeAt(k.Level, 0), here)
			down = math.Max(down, v-v*float64(k.Volume-k.Spread)/most)
			up = math.Max(up, free*(float64(k.Volume+k.Spread)+t.taken(k))/here-v)
		}
	}
	return down, up
}

// A bound is the linear program of the greatest g x over a box, while each row
// of held times x stays within its slack, downward and upward. Its dual says that for any
// weights
//
//	g x <= sum of the greatest (g - weights held) x over the box + weights times slack
//
// so that every set of weights gives a bound. Weights are sought one at a time
// among those where a term vanishes, from several starts; where the search
// stops early the bound is wide, never false. Held by TestBound.
type bound struct {
	g            []float64
	held         [][]float64
	slack        [][2]float64
	below, above []float64
}

func (b *bound) greatest(sign float64) float64 {
	w := make([]float64, len(b.held))
	best := b.value(sign, w)
	for start := range b.held {
		clear(w)
		for range 3 {
			for step := range b.held {
				b.improve(sign, w, (start+step)%len(b.held))
			}
		}
		best = math.Min(best, b.value(sign, w))
	}
	return best
}

// value returns the bound that the weights give.
func (b *bound) value(sign float64, w []float64) float64 {
	u := 0.0
	for i, c := range b.g {
		for k := range w {
			c -= w[k] * b.held[k][i]
		}
		c *= sign
		u += math.Max(c*b.above[i], -c*b.below[i])
	}
	for k := range w {
		u += math.Max(sign*w[k]*b.slack[k][1], -sign*w[k]*b.slack[k][0])
	}
	return u
}

// improve sets one weight to the best of zero and those where a term vanishes.
// The bound is convex and piecewise linear in it, so that no other is better.
func (b *bound) improve(sign float64, w []float64, k int) {
	best, at := b.value(sign, w), w[k]
	try := func(v float64) {
		w[k] = v
		if u := b.value(sign, w); u < best {
			best, at = u, v
		}
	}
	try(0)
	for i, h := range b.held[k] {
		if h == 0 {
			continue
		}
		rest := b.g[i]
		for q := range w {
			if q != k {
				rest -= w[q] * b.held[q][i]
			}
		}
		try(rest / h)
	}
	w[k] = at
}

// shell returns the outer shape of the tire at the upper ends of its bands: no rubber, and
// the squarest crown.
func (t Tire) shell() profile {
	for _, f := range dimensionFields {
		d := f.at(&t)
		d.Value, d.Moved = d.middle(), 0
	}
	t.LugDepth, t.Undertread, t.Sidewall = Dimension{}, Dimension{}, Dimension{}
	p := t.profile(1)
	p.n = 5
	return p
}

// narrowed returns a range without what lies outside another, where the two meet.
func narrowed(low, high, least, most float64) (float64, float64) {
	if least > high || most < low {
		return low, high
	}
	return math.Max(low, least), math.Min(high, most)
}

// knownBand widens the bands of a fill of a calibrated tire by what its known
// volumes leave open at the level, and downward by the usual deflection if none
// is given. Whatever was measured, no band leaves the outer shape of the tire.
func (c *Cavity) knownBand(r *Filled, t Tire, f Fluid, l Level, spread units.Fraction) {
	still := t.opening(knobs(&t), t.Deflection, t.sureKnown())
	full := FractionOf(1)
	lost := func(Level) float64 { return 0 }
	if t.Deflection == 0 && !t.Unloaded {
		lost = func(l Level) float64 { return t.lost(l, units.Length(t.usualDeflection())) }
	}
	down, up := still.stillOpen(full)
	down += lost(full)
	shell := end{p: t.shell().section()}
	shell.whole = 2 * shell.p.cutAt(0).volume
	lowFull, highFull := math.Max(float64(r.FullVolume)-down, 0), math.Min(float64(r.FullVolume)+up, shell.whole)
	// What was measured widens nothing: the volume is linear here and is not over the whole bands.
	uncorrected := *r
	if !slices.ContainsFunc(t.Known, func(k KnownVolume) bool { return k.Disputed }) {
		u := t
		u.Known = nil
		u.unmoved()
		ends := [2]end{u.end(-1), u.end(1)}
		uncorrected.bandOf(&u, f, l, spread, &ends)
		lowFull, highFull = narrowed(lowFull, highFull, ends[0].full(), ends[1].full())
	}
	v := float64(r.Volume)
	low, high := v, v
	switch {
	case f.Kind == Polyurethane:
		low, high = lowFull, highFull
	case l.Kind == LevelFraction:
		low, high = float64(l.Fraction)*lowFull, float64(l.Fraction)*highFull
	case l.Kind == LevelVolume || l.Kind == LevelMass:
		asked := r.asked(l)
		low, high = math.Min(asked, lowFull), math.Min(asked, highFull)
	default:
		down, up := still.stillOpen(l)
		if b := uncorrected.VolumeBand; b.Low < b.High {
			a, b := narrowed(v-down, v+up, float64(b.Low), float64(b.High))
			down, up = v-a, b-v
		}
		s := float64(t.ValveRadius.Spread) * math.Abs(l.cos())
		low, high = math.Max(v-down-lost(l), 0), math.Min(v+up, math.Min(highFull, shell.below(float64(r.Level)+s)))
		if l.Kind != LevelHeight {
			r.levelBand(math.Max(float64(r.Level)-s, -shell.p.rc))
			r.levelBand(math.Min(float64(r.Level)+s, shell.p.rc))
		}
	}
	switch {
	case f.Kind == Polyurethane:
	case l.Kind == LevelFraction && l.Fraction == 1:
		// A full tire is full whatever it holds.
		r.levelBand(t.profile(-1).rc)
		r.levelBand(t.profile(1).rc)
	case l.Kind == LevelFraction || l.Kind == LevelVolume || l.Kind == LevelMass:
		// The surface stands lower in a larger cavity.
		at := HeightAt(r.Level)
		down, up := still.stillOpen(at)
		down += lost(at)
		rc := float64(c.CrownRadius())
		r.levelBand(math.Max(float64(c.LevelFor(units.Volume(low-up))), -float64(c.Bottom())))
		r.levelBand(math.Min(float64(c.LevelFor(units.Volume(high+down))), rc))
	}
	r.VolumeBand.Low = min(units.Volume(low), r.Volume)
	r.VolumeBand.High = max(units.Volume(high), r.Volume)
	r.massBand(spread, l, units.Volume(lowFull), units.Volume(highFull))
}
