package weigh

import (
	"cmp"
	"math"
	"slices"

	"example.com/steelyard/internal/fit"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Limits of a reconciliation.
const (
	// MaxSpecParts is the greatest number of parts in a SpecSheet.
	MaxSpecParts = 120
	// MaxSpecReadings is the greatest number of readings in a Reconciliation.
	MaxSpecReadings = 50
)

// SpecPart is one line of a spec sheet: a mass and its place.
type SpecPart struct {
	// Name is unique in the sheet; readings refer to it.
	Name string `json:"name"`
	// Mass is the mass of the part, 1 g to 100 t, and its uncertainty.
	Mass Measured[units.Mass] `json:"mass"`
	// X is the distance of its center of gravity ahead of the rear contact line, at
	// most 20 m either way.
	X Measured[units.Length] `json:"x"`
}

// SpecSheet is a machine as its papers describe it.
type SpecSheet struct {
	// Wheelbase is the distance between the contact lines, 0.5 to 10 m.
	Wheelbase Measured[units.Length] `json:"wheelbase"`
	// Parts are all parts, 1 to MaxSpecParts.
	Parts []SpecPart `json:"parts"`
	// LoadX is how far a load is ahead of the rear contact line, 0.1 to 20 m.
	// It is needed if loads are weighed.
	LoadX Measured[units.Length] `json:"loadX,omitzero"`
}

// Validate reports every bad field by its path, or nil.
func (s SpecSheet) Validate() error {
	var c units.FieldErrors
	measured(&c, "wheelbase", s.Wheelbase, valid.MinWheelbase, valid.MaxWheelbase)
	if n := len(s.Parts); n < 1 || n > MaxSpecParts {
		c.Add("parts", n, "must be 1 to 120 parts")
		return c.Err()
	}
	seen := map[string]bool{}
	for i, p := range s.Parts {
		at := units.Index("parts", i)
		if p.Name == "" || seen[p.Name] {
			c.Add(at+".name", p.Name, "must be given and differ from the names before it")
		}
		seen[p.Name] = true
		measured(&c, at+".mass", p.Mass, 1e-3, valid.MaxMass)
		measured(&c, at+".x", p.X, -valid.MaxLength, valid.MaxLength)
	}
	if s.LoadX != (Measured[units.Length]{}) {
		measured(&c, "loadX", s.LoadX, 0.1, valid.MaxLength)
	}
	return c.Err()
}

// SpecReading holds the scale readings in a known state.
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

// Reconciliation compares a spec sheet with readings. It finds which numbers of
// the sheet are wrong, and by how much.
type Reconciliation struct {
	// Sheet is the spec sheet. The uncertainties in it decide which numbers are
	// corrected.
	Sheet SpecSheet `json:"sheet"`
	// Scale is the scale.
	Scale Scale `json:"scale"`
	// LoadSD is the standard uncertainty of each load, 1 g to 500 kg; zero means
	// that of one reading of the scale.
	LoadSD units.Mass `json:"loadSD,omitempty"`
	// Readings are 1 to MaxSpecReadings readings.
	Readings []SpecReading `json:"readings"`
	// Confidence is the probability of the intervals, 0.5 to 0.999; zero
	// means DefaultConfidence.
	Confidence float64 `json:"confidence,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (r Reconciliation) Validate() error {
	var c units.FieldErrors
	c.Join("sheet", r.Sheet.Validate())
	c.Join("scale", r.Scale.Validate())
	valid.ZeroOr(&c, "loadSD", r.LoadSD, 1e-3, 500)
	checkConfidence(&c, "confidence", r.Confidence)
	if n := len(r.Readings); n < 1 || n > MaxSpecReadings {
		c.Add("readings", n, "must be 1 to 50 readings")
		return c.Err()
	}
	for i, x := range r.Readings {
		at := units.Index("readings", i)
		valid.ZeroOr(&c, at+".load", x.Load, 1, valid.MaxMass)
		if x.Load != 0 && r.Sheet.LoadX.Value == 0 {
			c.Add("sheet.loadX", nil, "must be given if a load is weighed")
		}
		valid.ZeroOr(&c, at+".front", x.Front, valid.MinMass, valid.MaxMass)
		valid.ZeroOr(&c, at+".rear", x.Rear, valid.MinMass, valid.MaxMass)
		if x.Front == 0 && x.Rear == 0 {
			c.Add(at+".rear", nil, "must be given, unless front is given")
		}
		if len(x.Without) > MaxSpecParts {
			c.Add(at+".without", len(x.Without), "must name each part at most once")
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

// Adjusted is one number of a spec sheet after its adjustment to the readings.
type Adjusted[Q units.Quantity] struct {
	// Path is the place of the number in the sheet, such as "parts[1].mass".
	Path string `json:"path"`
	// Name is the part's name; empty for wheelbase and load.
	Name string `json:"name,omitempty"`
	// Stated is what the sheet says.
	Stated Measured[Q] `json:"stated"`
	// Fitted is the value from sheet and readings together.
	Fitted Estimate[Q] `json:"fitted"`
	// Pull is the correction divided by its expected standard deviation. Beyond 3
	// either way, the number was probably wrong. It is zero if the readings say
	// nothing about this number.
	Pull float64 `json:"pull"`
	// Alone is the correction that fits the readings best if this number is free and
	// all other numbers keep their uncertainties. The sum of squares then falls by
	// Pull squared.
	Alone Q `json:"alone"`
	// Suspect says that sheet and readings disagree and that this number alone can
	// explain it about as well as the best candidate.
	Suspect bool `json:"suspect"`
}

// Reconciled is the result of a reconciliation.
type Reconciled struct {
	// Agrees says that sheet and readings agree within their uncertainties.
	Agrees bool `json:"agrees"`
	// Explained says that they do not agree and that a single wrong number can be the
	// reason: see Suspect in Masses and Places. If both Agrees and Explained are
	// false, several numbers or the readings are wrong.
	Explained bool `json:"explained"`
	// Masses are the masses of the parts.
	Masses []Adjusted[units.Mass] `json:"masses"`
	// Places are the wheelbase, the places of the parts and that of the load.
	Places []Adjusted[units.Length] `json:"places"`
	// Sheet is the sheet with the fitted numbers and their standard errors.
	// The errors are correlated, which a sheet cannot state.
	Sheet SpecSheet `json:"sheet"`
	// Cautions go with the answer.
	Cautions Cautions `json:"cautions"`
}

// specFit is a spec sheet and readings as a model to be fitted. Its unknowns are,
// in this order: the wheelbase, the masses of the parts, their places, the place of
// the load, zero and gain of the scale, and the error of each load.
type specFit struct {
	*Reconciliation
	parts int
	on    [][]bool // for each reading: which parts were on
	p     fit.Problem
}

const specBase = 0 // wheelbase

func (f *specFit) mass(part int) int  { return 1 + part }
func (f *specFit) place(part int) int { return 1 + f.parts + part }
func (f *specFit) loadX() int         { return 1 + 2*f.parts }
func (f *specFit) zero() int          { return f.loadX() + 1 }
func (f *specFit) gain() int          { return f.loadX() + 2 }
func (f *specFit) load(n int) int     { return f.loadX() + 3 + n }

// newFit returns the fit with the prior knowledge, without readings.
func (r *Reconciliation) newFit() *specFit {
	parts := r.Sheet.Parts
	f := &specFit{Reconciliation: r, parts: len(parts), on: make([][]bool, len(r.Readings))}
	loaded := 0
	for i, x := range r.Readings {
		if x.Load > 0 {
			loaded++
		}
		f.on[i] = make([]bool, len(parts))
		for j, p := range parts {
			f.on[i][j] = !slices.Contains(x.Without, p.Name)
		}
	}
	f.p.Reset(f.load(loaded))
	prior(&f.p, specBase, r.Sheet.Wheelbase)
	for j, p := range parts {
		prior(&f.p, f.mass(j), p.Mass)
		prior(&f.p, f.place(j), p.X)
	}
	prior(&f.p, f.loadX(), r.Sheet.LoadX) // exactly zero if no load is weighed
	r.Scale.errors(&f.p, f.zero(), f.gain())
	for i := range loaded {
		f.p.Prior(f.load(i), 0, r.Scale.loadSD(r.LoadSD))
	}
	return f
}

// Linearize adds the readings to the fit. The model holds for a positive wheelbase.
func (f *specFit) Linearize(at []float64, p *fit.Problem) bool {
	l, g, zero, one := at[specBase], 1+at[f.gain()], at[f.zero()], f.Scale.reading()
	loads := 0
	for i, x := range f.Readings {
		// These are the mass and the moment on the scales.
		var m, moment float64
		each := func(use func(mass, place int, of float64)) {
			for j, on := range f.on[i] {
				if on {
					use(f.mass(j), f.place(j), at[f.mass(j)])
				}
			}
			if x.Load > 0 {
				use(f.load(loads), f.loadX(), float64(x.Load)+at[f.load(loads)])
			}
		}
		each(func(_, place int, of float64) {
			m += of
			moment += float64(of * at[place])
		})
		front := moment / l
		if x.Front > 0 {
			row := p.Row(float64(x.Front)-g*front-zero, one)
			each(func(mass, place int, of float64) {
				row[mass] = g * at[place] / l
				row[place] = g * of / l
			})
			row[specBase], row[f.zero()], row[f.gain()] = -g*front/l, 1, front
		}
		if x.Rear > 0 {
			row := p.Row(float64(x.Rear)-g*(m-front)-zero, one)
			each(func(mass, place int, of float64) {
				row[mass] = g * (1 - at[place]/l)
				row[place] = -g * of / l
			})
			row[specBase], row[f.zero()], row[f.gain()] = g*front/l, 1, m-front
		}
		if x.Load > 0 {
			loads++
		}
	}
	return l > 0 && l < 1e6
}

// adjusted returns the number of the sheet that belongs to the unknown i.
func adjusted[Q units.Quantity](f *specFit, i int, path, name string, stated Measured[Q]) (Adjusted[Q], Measured[Q]) {
	out := Adjusted[Q]{Path: path, Name: name, Stated: stated, Fitted: estimated[Q](&f.p, i, confidence(f.Confidence))}
	// The error of the stated number is the correction with the opposite sign.
	if off, sd, ok := f.p.Drop(f.p.Rows() + i); ok {
		out.Pull, out.Alone = -off/sd, Q(-off)
	}
	return out, Measured[Q]{out.Fitted.Value, out.Fitted.SD}
}

// Solve adjusts all numbers of the sheet at once to the readings by least squares.
// Each number has its stated value and uncertainty as prior, and each reading has
// the uncertainty of the scale:
//
//	front = (1 + g) sum over parts on (m x/L) + load X/L, plus z
//	rear  = (1 + g) (sum over parts on m + load - the same), plus z
//
// The scale's gain g and zero z and the error of each load are unknowns as well. A
// number that the readings do not determine stays as stated. If the sum of squares
// is beyond chance (1 in 2000), or a pull is beyond 3.5, sheet and readings
// disagree. The suspects are then the numbers each of which alone explains the
// disagreement, to within 4 of the best. Freeing one number from its prior needs no
// second fit: it removes one observation, which lowers the sum of squares by the
// pull squared. Held by TestReconcileAgainstLevers.
func (r Reconciliation) Solve() (Reconciled, error) {
	if err := r.Validate(); err != nil {
		return Reconciled{}, err
	}
	f := r.newFit()
	if !f.p.Fit(f) {
		return Reconciled{}, units.NewFieldError("readings", nil, "must be closer to the values of the sheet: they contradict it so far that no fit converges")
	}
	out := Reconciled{Sheet: SpecSheet{Parts: slices.Clone(r.Sheet.Parts)}, Cautions: weighCautions}
	length := func(i int, path, name string, stated Measured[units.Length]) Measured[units.Length] {
		a, now := adjusted(f, i, path, name, stated)
		out.Places = append(out.Places, a)
		return now
	}
	out.Sheet.Wheelbase = length(specBase, "wheelbase", "", r.Sheet.Wheelbase)
	for j, p := range r.Sheet.Parts {
		path := units.Index("parts", j)
		a, now := adjusted(f, f.mass(j), path+".mass", p.Name, p.Mass)
		out.Masses = append(out.Masses, a)
		out.Sheet.Parts[j].Mass = now
		out.Sheet.Parts[j].X = length(f.place(j), path+".x", p.Name, p.X)
	}
	if r.Sheet.LoadX.Value != 0 {
		out.Sheet.LoadX = length(f.loadX(), "loadX", "", r.Sheet.LoadX)
	}
	out.judge(&f.p)
	return out, nil
}

// judge says whether sheet and readings agree, and names the suspects.
func (r *Reconciled) judge(p *fit.Problem) {
	most := 0.0
	for _, a := range r.Masses {
		most = math.Max(most, math.Abs(a.Pull))
	}
	for _, a := range r.Places {
		most = math.Max(most, math.Abs(a.Pull))
	}
	r.Agrees = !unlikely(p) && most <= alarm
	r.Explained = !r.Agrees && fit.ChiSquareTail(p.ChiSquare()-most*most, p.Freedom()-1) > plausible
	if !r.Explained {
		return
	}
	suspect := func(pull float64) bool { return pull*pull >= most*most-4 }
	for i := range r.Masses {
		r.Masses[i].Suspect = suspect(r.Masses[i].Pull)
	}
	for i := range r.Places {
		r.Places[i].Suspect = suspect(r.Places[i].Pull)
	}
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
