package ballast

import (
	"cmp"
	"math"
	"slices"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/units"
)

// Limits of a reconciliation.
const (
	// MaxSpecParts is how many parts a SpecSheet may have.
	MaxSpecParts = 120
	// MaxSpecReadings is how many readings a Reconciliation may have.
	MaxSpecReadings = 50
)

// SpecPart is one line of a spec sheet: a mass and where it sits.
type SpecPart struct {
	// Name is unique in the sheet; readings refer to it.
	Name string `json:"name"`
	// Mass is the mass of the part, 1 g to 100 t, and how well it is known.
	Mass Measured[units.Mass] `json:"mass"`
	// X is how far its center of gravity is ahead of the rear contact line,
	// within 20 m.
	X Measured[units.Length] `json:"x"`
}

// SpecSheet is a machine as its papers describe it.
type SpecSheet struct {
	// Wheelbase is the distance between the contact lines, 0.5 to 10 m.
	Wheelbase Measured[units.Length] `json:"wheelbase"`
	// Parts are all parts, 1 to MaxSpecParts.
	Parts []SpecPart `json:"parts"`
	// LoadX is how far a load is ahead of the rear contact line, 0.1 to 20 m.
	// It is needed where loads are weighed.
	LoadX Measured[units.Length] `json:"loadX,omitzero"`
}

// Validate reports every bad field by its path, or nil.
func (s SpecSheet) Validate() error {
	var c checker
	measured(&c, "wheelbase", s.Wheelbase, minBase, maxBase)
	if n := len(s.Parts); n < 1 || n > MaxSpecParts {
		c.Add("parts", n, "must be 1 to 120 parts")
		return c.Err()
	}
	seen := map[string]bool{}
	for i, p := range s.Parts {
		at := units.Index("parts", i)
		if p.Name == "" || seen[p.Name] {
			c.Add(at+".name", p.Name, "must be given and differ from those before")
		}
		seen[p.Name] = true
		measured(&c, at+".mass", p.Mass, 1e-3, maxMass)
		measured(&c, at+".x", p.X, -maxLength, maxLength)
	}
	if s.LoadX != (Measured[units.Length]{}) {
		measured(&c, "loadX", s.LoadX, 0.1, maxLength)
	}
	return c.Err()
}

// SpecReading is what scales read in a known state.
type SpecReading struct {
	// Without names the parts that were off; all others were on.
	Without []string `json:"without,omitempty"`
	// Load is the load on the attachment, 1 kg to 100 t; zero is none.
	Load units.Mass `json:"load,omitempty"`
	// Front is the reading under the front axle, 1 kg to 100 t; zero is not
	// read.
	Front units.Mass `json:"front,omitempty"`
	// Rear is the reading under the rear axle, 1 kg to 100 t; zero is not
	// read. At least one of the two must be given.
	Rear units.Mass `json:"rear,omitempty"`
}

// Reconciliation holds a spec sheet against readings: which numbers of the
// sheet were wrong, and by how much?
type Reconciliation struct {
	// Sheet is the spec sheet; the uncertainties in it decide which numbers
	// give way.
	Sheet SpecSheet `json:"sheet"`
	// Scale is the scale.
	Scale Scale `json:"scale"`
	// LoadSD is how well each load is known, 1 g to 500 kg; zero means as
	// well as one reading of the scale.
	LoadSD units.Mass `json:"loadSD,omitempty"`
	// Readings are 1 to MaxSpecReadings readings.
	Readings []SpecReading `json:"readings"`
	// Confidence is the probability of the intervals, 0.5 to 0.999; zero
	// means DefaultConfidence.
	Confidence float64 `json:"confidence,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (r Reconciliation) Validate() error {
	var c checker
	c.Join("sheet", r.Sheet.Validate())
	c.Join("scale", r.Scale.Validate())
	zeroOr(&c, "loadSD", r.LoadSD, 1e-3, 500)
	c.confidence("confidence", r.Confidence)
	if n := len(r.Readings); n < 1 || n > MaxSpecReadings {
		c.Add("readings", n, "must be 1 to 50 readings")
		return c.Err()
	}
	for i, x := range r.Readings {
		at := units.Index("readings", i)
		zeroOr(&c, at+".load", x.Load, 1, maxMass)
		if x.Load != 0 && r.Sheet.LoadX.Value == 0 {
			c.Add("sheet.loadX", nil, "must be given where a load is weighed")
		}
		zeroOr(&c, at+".front", x.Front, minMass, maxMass)
		zeroOr(&c, at+".rear", x.Rear, minMass, maxMass)
		if x.Front == 0 && x.Rear == 0 {
			c.Add(at+".rear", nil, "must be given, or front")
		}
		if len(x.Without) > MaxSpecParts {
			c.Add(at+".without", len(x.Without), "must name each part once at most")
			continue
		}
		for j, name := range x.Without {
			if !slices.ContainsFunc(r.Sheet.Parts, func(p SpecPart) bool { return p.Name == name }) {
				c.Add(units.Index(at+".without", j), name, "must be the name of a part of the sheet")
			}
		}
		if len(x.Without) > 0 && len(x.Without) >= len(r.Sheet.Parts) {
			c.Add(at+".without", len(x.Without), "must leave a part on the scales")
		}
	}
	return c.Err()
}

// Adjusted is one number of a spec sheet after the readings had their say.
type Adjusted[Q units.Quantity] struct {
	// Path is the number by its place in the sheet, such as "parts[1].mass".
	Path string `json:"path"`
	// Name is the part's name; empty for wheelbase and load.
	Name string `json:"name,omitempty"`
	// Stated is what the sheet says.
	Stated Measured[Q] `json:"stated"`
	// Fitted is what sheet and readings together say.
	Fitted Estimate[Q] `json:"fitted"`
	// Pull is the correction over the standard deviation that it should have:
	// beyond 3 either way the number was probably wrong. Zero where the
	// readings say nothing about this number.
	Pull float64 `json:"pull"`
	// Alone is the correction to this number that fits the readings best if
	// its own uncertainty is set aside while those of all others stand. The
	// sum of squares then falls by Pull squared.
	Alone Q `json:"alone"`
	// Suspect says that sheet and readings disagree and that this number
	// alone can be the cause, or cannot be told from the one that is.
	Suspect bool `json:"suspect"`
}

// Reconciled is a spec sheet held against readings.
type Reconciled struct {
	// Agrees says that sheet and readings agree within their uncertainties.
	Agrees bool `json:"agrees"`
	// Explained says that they do not and that a single wrong number can be
	// why: see Suspect in Masses and Places. If neither, several numbers or
	// the readings are wrong.
	Explained bool `json:"explained"`
	// Masses are the masses of the parts.
	Masses []Adjusted[units.Mass] `json:"masses"`
	// Places are the wheelbase, the places of the parts and that of the load.
	Places []Adjusted[units.Length] `json:"places"`
	// Sheet is the sheet with the fitted numbers and their standard errors.
	// The errors are correlated, which a sheet does not say.
	Sheet SpecSheet `json:"sheet"`
	// Cautions go with the answer.
	Cautions Cautions `json:"cautions"`
}

// Solve adjusts all numbers of the sheet at once by least squares, each with
// its stated value and uncertainty as prior, to readings with the scale's own:
//
//	front = (1 + g) sum over parts on (m x/L) + load X/L, plus z
//	rear  = (1 + g) (sum over parts on m + load - the same), plus z
//
// with the scale's gain g and zero z and the error of each load as nuisances.
// What the readings do not determine stays as stated. If the sum of squares
// is beyond chance (1 in 2000), or a pull is beyond 3.5, sheet and readings
// disagree; the suspects are then the numbers each of which alone
// explains it, to within 4 of the best. To set aside the prior of one number
// needs no second fit: it is the removal of one observation, which lowers the
// sum of squares by the pull squared.
func (r Reconciliation) Solve() (Reconciled, error) {
	if err := r.Validate(); err != nil {
		return Reconciled{}, err
	}
	level := confidence(r.Confidence)
	parts := r.Sheet.Parts
	k := len(parts)
	loaded := 0
	for _, x := range r.Readings {
		if x.Load > 0 {
			loaded++
		}
	}
	// Order: wheelbase, masses, places, load place, zero, gain, load errors.
	const base = 0
	mass, place := 1, 1+k
	loadX := 1 + 2*k
	zero, gain, errs := loadX+1, loadX+2, loadX+3
	n := errs + loaded
	mean, dev := make([]float64, n), make([]float64, n)
	exact := func(v float64) float64 { return math.Max(v, 1e-9) }
	set := func(i int, value, sd float64) { mean[i], dev[i] = value, exact(sd) }
	set(base, float64(r.Sheet.Wheelbase.Value), float64(r.Sheet.Wheelbase.SD))
	for i, p := range parts {
		set(mass+i, float64(p.Mass.Value), float64(p.Mass.SD))
		set(place+i, float64(p.X.Value), float64(p.X.SD))
	}
	set(loadX, float64(r.Sheet.LoadX.Value), float64(r.Sheet.LoadX.SD))
	set(zero, 0, float64(r.Scale.ZeroSD))
	set(gain, 0, float64(r.Scale.GainSD))
	one := r.Scale.reading()
	loadSD := float64(r.LoadSD)
	if loadSD == 0 {
		loadSD = one
	}
	for i := range loaded {
		set(errs+i, 0, loadSD)
	}
	on := make([][]bool, len(r.Readings))
	for i, x := range r.Readings {
		on[i] = make([]bool, k)
		for j, p := range parts {
			on[i][j] = !slices.Contains(x.Without, p.Name)
		}
	}

	at := slices.Clone(mean)
	var rows []weighRow
	linearize := func() {
		rows = rows[:0]
		l, g := at[base], 1+at[gain]
		next := errs
		for i, x := range r.Readings {
			front, rear := make([]float64, n), make([]float64, n)
			var m, moment float64
			add := func(mi, xi int, massOf float64) {
				m += massOf
				moment += float64(massOf * at[xi])
				front[mi], rear[mi] = g*at[xi]/l, g*(1-at[xi]/l)
				front[xi] = g * massOf / l
				rear[xi] = -front[xi]
			}
			for j := range parts {
				if on[i][j] {
					add(mass+j, place+j, at[mass+j])
				}
			}
			if x.Load > 0 {
				add(next, loadX, float64(x.Load)+at[next])
				next++
			}
			f := moment / l
			front[base], rear[base] = -g*f/l, g*f/l
			front[zero], rear[zero] = 1, 1
			front[gain], rear[gain] = f, m-f
			if x.Front > 0 {
				rows = append(rows, weighRow{front, float64(x.Front) - g*f - at[zero], one})
			}
			if x.Rear > 0 {
				rows = append(rows, weighRow{rear, float64(x.Rear) - g*(m-f) - at[zero], one})
			}
		}
	}
	rel := make([]float64, n)
	relative := func() []float64 {
		for i := range rel {
			rel[i] = mean[i] - at[i]
		}
		return rel
	}
	bad := &units.FieldError{Path: "readings", Want: "must be near what the sheet says: they contradict it beyond repair"}
	var cov []float64
	var chi2 float64
	for range 40 {
		linearize()
		d, v, c, ok := solveRows(rows, relative(), dev, nil)
		if !ok {
			return Reconciled{}, bad
		}
		step := 0.0
		for i := range d {
			at[i] += d[i]
			step = math.Max(step, math.Abs(d[i])/dev[i])
		}
		cov, chi2 = v, c
		if !(at[base] > 0 && at[base] < 1e6) {
			return Reconciled{}, bad
		}
		if step < 1e-9 {
			break
		}
	}
	linearize()

	out := Reconciled{Agrees: numeric.ChiSquareTail(chi2, len(rows)) >= omnibus, Cautions: weighCautions}
	most := 0.0
	sheet := SpecSheet{Parts: slices.Clone(parts)}
	adjust := func(i int) (sd, pull, alone float64) {
		v := cov[i*n+i]
		sd = math.Sqrt(v)
		// w is the share of the prior that the readings take away; nothing is
		// known beyond rounding where it is nil.
		if w := 1 - v/(dev[i]*dev[i]); w > 1e-9 {
			pull = (at[i] - mean[i]) / (dev[i] * math.Sqrt(w))
			alone = (at[i] - mean[i]) / w
		}
		most = math.Max(most, math.Abs(pull))
		return sd, pull, alone
	}
	length := func(i int, path, name string, stated Measured[units.Length]) Measured[units.Length] {
		sd, pull, alone := adjust(i)
		out.Places = append(out.Places, Adjusted[units.Length]{Path: path, Name: name, Stated: stated,
			Fitted: estimate[units.Length](at[i], sd, level), Pull: pull, Alone: units.Length(alone)})
		return Measured[units.Length]{units.Length(at[i]), units.Length(sd)}
	}
	sheet.Wheelbase = length(base, "wheelbase", "", r.Sheet.Wheelbase)
	for j, p := range parts {
		at1 := units.Index("parts", j)
		sd, pull, alone := adjust(mass + j)
		out.Masses = append(out.Masses, Adjusted[units.Mass]{Path: at1 + ".mass", Name: p.Name, Stated: p.Mass,
			Fitted: estimate[units.Mass](at[mass+j], sd, level), Pull: pull, Alone: units.Mass(alone)})
		sheet.Parts[j].Mass = Measured[units.Mass]{units.Mass(at[mass+j]), units.Mass(sd)}
		sheet.Parts[j].X = length(place+j, at1+".x", p.Name, p.X)
	}
	if r.Sheet.LoadX.Value != 0 {
		sheet.LoadX = length(loadX, "loadX", "", r.Sheet.LoadX)
	}
	out.Sheet = sheet
	out.Agrees = out.Agrees && most <= alarm
	out.Explained = !out.Agrees && numeric.ChiSquareTail(chi2-most*most, len(rows)-1) > plausible
	if out.Explained {
		suspect := func(pull float64) bool { return pull*pull >= most*most-4 }
		for i := range out.Masses {
			out.Masses[i].Suspect = suspect(out.Masses[i].Pull)
		}
		for i := range out.Places {
			out.Places[i].Suspect = suspect(out.Places[i].Pull)
		}
	}
	return out, nil
}

// Suspects returns the paths of the suspected numbers, the one that explains
// most first.
func (r Reconciled) Suspects() []string {
	type one struct {
		path string
		pull float64
	}
	var all []one
	for _, a := range r.Masses {
		if a.Suspect {
			all = append(all, one{a.Path, math.Abs(a.Pull)})
		}
	}
	for _, a := range r.Places {
		if a.Suspect {
			all = append(all, one{a.Path, math.Abs(a.Pull)})
		}
	}
	slices.SortStableFunc(all, func(a, b one) int { return cmp.Compare(b.pull, a.pull) })
	var out []string
	for _, a := range all {
		out = append(out, a.path)
	}
	return out
}
