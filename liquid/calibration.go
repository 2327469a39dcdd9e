package liquid

import (
	"cmp"
	"math"
	"slices"

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
	// Spread is the half width of the volume's band, above zero and up to half
	// the volume.
	Spread units.Volume `json:"spread"`
}

// Validate reports every field that is out of range, by its JSON path.
func (k KnownVolume) Validate() error {
	var e units.FieldErrors
	checkKnownLevel(&e, k.Level)
	if !(k.Volume > 0 && k.Volume <= 10) {
		e.Add("volume", valid.Show(k.Volume), "must be above 0 and at most 10 m3")
	}
	if !(k.Spread > 0 && k.Spread <= k.Volume/2) {
		e.Add("spread", valid.Show(k.Spread), "must be above zero and at most half the volume")
	}
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

// Calibrate returns the tire with its cavity corrected to measured fills. One
// fill moves the least certain dimension: the one whose band changes the volume
// at that level most, and the next only if the band of the first does not reach.
// Fills at several levels move all dimensions by least squares with the bands as
// priors, which gives the shape. No dimension leaves its band, so that the
// cavity stays within the outer shape of the tire. A tire that was corrected before is
// corrected to all its fills at once: it does not matter in how many calls they come. The level of a fill is that
// of the tire as given, with its deflection.
//
// The corrected tire is a tire like any other. The bands of its fills hold at
// each level what the dimensions could still be while the tire holds the known
// volumes: the bound of the linear program over the bands by its dual, with the
// volume linear in the dimensions. It is narrowest at the levels that were
// measured.
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
		known = append(known, got...)
		answer.Notes |= notes
		answer.Findings = append(answer.Findings, findings...)
	}
	if len(known) > MaxKnown {
		e.Add("readings", len(readings), "must be fewer: a tire keeps at most 20 measured fills")
	}
	if err := e.Err(); err != nil {
		return Calibration{}, err
	}
	if r.Crown == 0 {
		r.Crown, r.CrownSpread = usualCrown, usualCrownSpread
	}
	r.Known = nil
	r.unmoved()
	ks, base := knobs(&r), r
	answer.Findings = append(answer.Findings, contradictions(r, ks, known)...)
	if len(known) == 1 {
		answer.Corrected, _ = r.turn(ks, known[0].Level, float64(known[0].Volume))
	} else {
		answer.Corrected = r.shape(ks, known)
	}
	for i := range ks {
		if ks[i].at != nil && slices.Contains(answer.Corrected, ks[i].name) {
			d := ks[i].at(&r)
			d.Origin, d.Moved = Corrected, d.Value-ks[i].at(&base).Value
			d.Moved = max(-d.Spread, min(d.Spread, d.Moved))
		}
	}
	r.CrownMoved = max(-r.CrownSpread, min(r.CrownSpread, r.Crown-base.Crown))
	r.Known = known
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
	axle := !r.AxleBefore.IsZero() || !r.AxleAfter.IsZero()
	weighed := axle || !r.Mass.IsZero()
	if r.Volume.IsZero() && !weighed {
		e.Add("volume", nil, "must be given, or a mass, or the axle's loads before and after")
	}
	if axle && (r.AxleBefore.IsZero() || r.AxleAfter.IsZero()) {
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
	} else if weighed && r.Hydrometer.IsZero() {
		e.Add("fluid", nil, "must be given where a mass is, unless a hydrometer says the density")
	}
	if err := e.Err(); err != nil {
		return nil, 0, nil, err
	}
	add := func(low, high float64) {
		// Rounding must not make the spread vanish.
		mid := (low + high) / 2
		half := math.Min(math.Max((high-low)/2, 1e-6*mid), mid/2)
		out = append(out, KnownVolume{r.Level, units.Volume(mid), units.Volume(half)})
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
// common, or what the hydrometer says if they disagree, by the share apart.
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
		return hl, hh, gap / float64(p.Density)
	}
	return math.Max(low, hl), math.Min(high, hh), 0
}

// contradictions finds the fills that no tire within the bands holds, and the
// pairs of which none holds both.
func contradictions(t Tire, ks []knob, known []KnownVolume) (out []Finding) {
	for i := range known {
		a := &known[i]
		down, up := t.open(ks, a.Level, nil)
		v := t.volumeAt(a.Level)
		if gap := math.Max(float64(a.Volume-a.Spread)-v-up, v-down-float64(a.Volume+a.Spread)); gap > 0 {
			out = append(out, Finding{OutsideBand, i, i, units.Volume(gap)})
		}
		for j := i + 1; j < len(known); j++ {
			if gap := math.Min(apart(t, ks, a, &known[j]), apart(t, ks, &known[j], a)); gap > 0 {
				out = append(out, Finding{FillsDisagree, i, j, units.Volume(gap)})
			}
		}
	}
	return out
}

// apart returns how far a known volume lies outside what a tire can hold there
// that holds another; it is not positive if it lies inside.
func apart(t Tire, ks []knob, holds, other *KnownVolume) float64 {
	t.turn(ks, holds.Level, float64(holds.Volume))
	down, up := t.open(ks, other.Level, []KnownVolume{*holds})
	v := t.volumeAt(other.Level)
	return math.Max(float64(other.Volume-other.Spread)-v-up, v-down-float64(other.Volume+other.Spread))
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

// volumeAt returns the volume that a tire holds at a level of a known volume.
func (t *Tire) volumeAt(l Level) float64 {
	p := t.profile(0)
	e := end{p: p, whole: 2 * p.cutAt(0).volume}
	if t.Deflection > 0 {
		e.lost = p.cutAt(math.Max(p.rc-float64(t.Deflection), p.rb)).volume
	}
	switch l.Kind {
	case LevelHeight:
		return e.below(float64(l.Height))
	case LevelValveClock, LevelValveAngle, LevelHead:
		return e.below(float64(t.ValveRadius.Value)*l.cos() + float64(l.Head))
	}
	return e.full()
}

// slopes returns the change of the volume at a level with each knob, per half
// of its band.
func (t Tire) slopes(ks []knob, l Level) []float64 {
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
		g[i] = (b.volumeAt(l) - a.volumeAt(l)) / (high - low) * k.half()
	}
	return g
}

// turn moves the least certain dimensions, one after the other, until the tire
// holds the volume at the level or the bands end. It returns the names of those
// it moved, and whether the tire holds the volume.
func (t *Tire) turn(ks []knob, l Level, v float64) (moved []string, holds bool) {
	g := t.slopes(ks, l)
	order := make([]int, 0, len(ks))
	for i := range ks {
		if !ks[i].valve() && g[i] != 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(math.Abs(g[b]), math.Abs(g[a])) })
	moved = []string{}
	for _, i := range order {
		k := &ks[i]
		left := v - t.volumeAt(l)
		if math.Abs(left) <= 1e-9*v {
			return moved, true
		}
		from, to := k.get(t), k.low
		if left*g[i] > 0 {
			to = k.high
		}
		if from == to {
			continue
		}
		moved = append(moved, k.name)
		missing := func(x float64) float64 {
			a := *t
			k.set(&a, x)
			return v - a.volumeAt(l)
		}
		if missing(to)*left > 0 {
			k.set(t, to)
			continue
		}
		a, b := from, to
		for range 60 {
			m := (a + b) / 2
			if missing(m)*left > 0 {
				a = m
			} else {
				b = m
			}
		}
		k.set(t, b)
		return moved, true
	}
	return moved, math.Abs(v-t.volumeAt(l)) <= 1e-9*v
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

// Linearize adds a row for each known volume.
func (s *shaping) Linearize(at []float64, p *fit.Problem) bool {
	s.put(at)
	for _, k := range s.known {
		g := s.t.slopes(s.ks, k.Level)
		copy(p.Row(float64(k.Volume)-s.t.volumeAt(k.Level), float64(k.Spread)/2), g)
	}
	return true
}

// shape moves all dimensions by least squares: a band is two standard
// deviations to either side, of a dimension and of a known volume alike. It
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
				p.Prior(i, (k.get(t)-(k.low+k.high)/2)/k.half(), 0.5)
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

// open returns how far below and above what the tire holds at a level the
// volume could still be, its knobs anywhere in their bands, while it holds the
// known volumes.
func (t Tire) open(ks []knob, l Level, known []KnownVolume) (down, up float64) {
	b := bound{g: t.slopes(ks, l), below: make([]float64, len(ks)), above: make([]float64, len(ks))}
	for i := range ks {
		x := ks[i].get(&t)
		b.below[i], b.above[i] = math.Max(x-ks[i].low, 0)/ks[i].half(), math.Max(ks[i].high-x, 0)/ks[i].half()
	}
	for _, k := range known {
		b.held = append(b.held, t.slopes(ks, k.Level))
		b.slack = append(b.slack, float64(k.Spread)+math.Abs(float64(k.Volume)-t.volumeAt(k.Level)))
	}
	return b.greatest(-1), b.greatest(1)
}

// A bound is the linear program of the greatest g x over a box, while each row
// of held times x stays within its slack. Its dual says that for any weights
//
//	g x <= sum of the greatest (g - weights held) x over the box + |weights| slack
//
// so that every set of weights gives a bound. Weights are sought one at a time
// among those where a term vanishes, from several starts; where the search
// stops early the bound is wide, never false. Held by TestBound.
type bound struct {
	g            []float64
	held         [][]float64
	slack        []float64
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
		u += math.Abs(w[k]) * b.slack[k]
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

// knownBand widens the bands of a fill of a calibrated tire by what its known
// volumes leave open at the level, and downward by the usual deflection if none
// is given.
func (c *Cavity) knownBand(r *Filled, t Tire, f Fluid, l Level, spread units.Fraction) {
	ks := knobs(&t)
	full := FractionOf(1)
	lost := func(Level) float64 { return 0 }
	if t.Deflection == 0 && !t.Unloaded {
		flat := t
		flat.Deflection = units.Length(t.usualDeflection())
		lost = func(l Level) float64 { return t.volumeAt(l) - flat.volumeAt(l) }
	}
	down, up := t.open(ks, full, t.Known)
	down += lost(full)
	lowFull, highFull := math.Max(float64(r.FullVolume)-down, 0), float64(r.FullVolume)+up
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
		down, up := t.open(ks, l, t.Known)
		low, high = math.Max(v-down-lost(l), 0), math.Min(v+up, highFull)
		if l.Kind != LevelHeight {
			s := float64(t.ValveRadius.Spread) * math.Abs(l.cos())
			r.levelBand(float64(r.Level) - s)
			r.levelBand(float64(r.Level) + s)
		}
	}
	if f.Kind != Polyurethane && (l.Kind == LevelFraction || l.Kind == LevelVolume || l.Kind == LevelMass) {
		// The surface stands lower in a larger cavity.
		at := HeightAt(r.Level)
		down, up := t.open(ks, at, t.Known)
		down += lost(at)
		rc := float64(c.CrownRadius())
		r.levelBand(math.Max(float64(c.LevelFor(units.Volume(low-up))), -float64(c.Bottom())))
		r.levelBand(math.Min(float64(c.LevelFor(units.Volume(high+down))), rc))
	}
	r.VolumeBand.Low = min(units.Volume(low), r.Volume)
	r.VolumeBand.High = max(units.Volume(high), r.Volume)
	r.massBand(spread, l, units.Volume(lowFull), units.Volume(highFull))
}
