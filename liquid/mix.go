package liquid

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// StrengthFor returns the least strength of a kind of solution that freezes no
// higher than a temperature less a margin of 0 to 40 K. The temperature less
// the margin must be below 0 C. No strength beyond the eutectic is returned; if
// none below it is enough, the error states the lowest freezing point.
func StrengthFor(k FluidKind, t units.Temperature, margin units.TemperatureDifference) (Fluid, error) {
	var e units.FieldErrors
	if !k.IsSolution() {
		e.Add("kind", k, "must be a solution in water")
	}
	valid.Within(&e, "designTemperature", t, MinTemperature, MaxTemperature)
	valid.Within(&e, "margin", margin, 0, 40)
	if err := e.Err(); err != nil {
		return Fluid{}, err
	}
	s := solutions[k]
	target := float64(t) - float64(margin)
	if target >= 273.15 {
		e.Add("designTemperature", number3(target-273.15)+" C", "must be below {high} after the margin is subtracted; warmer water needs no additive", valid.High(units.Celsius(0)))
		return Fluid{}, e.Err()
	}
	at := func(x float64) float64 {
		kelvin, _, _ := Brine(k, units.MassFraction(x)).freezing()
		return kelvin - target
	}
	highest := s.max
	if s.eutectic > 0 {
		highest = s.eutectic
	}
	// At zero strength the solution freezes at 0 C, above the target. If it
	// still freezes above the target at the highest strength, there is no root.
	x, err := numeric.Root(at, 0, highest, 1e-12)
	if err != nil {
		e.Add("designTemperature", number3(target-273.15)+" C", "must be warmer: {fluid} freezes no lower than {least}, and no strength reaches this with the margin",
			fluidParam(k), valid.Least(units.Temperature(at(highest)+target)))
		return Fluid{}, e.Err()
	}
	// Root may end slightly on the warm side.
	x = math.Min(x+1e-10, highest)
	return Brine(k, units.MassFraction(x)), nil
}

// OfWater returns the solution that results when a product of the given purity
// is dissolved in water; product is its mass per volume of WATER at 20 C.
func OfWater(k FluidKind, product units.MassPerWater, purity units.Fraction) (Fluid, error) {
	if err := checkProduct(k, float64(product), purity); err != nil {
		return Fluid{}, err
	}
	p := float64(product)
	f := Brine(k, units.MassFraction(p*float64(purity)/(p+waterDensity(20))))
	return f, f.Validate()
}

// OfSolution returns the solution that holds a product of the given purity;
// product is its mass per volume of finished SOLUTION at 20 C.
func OfSolution(k FluidKind, product units.MassPerSolution, purity units.Fraction) (Fluid, error) {
	if err := checkProduct(k, float64(product), purity); err != nil {
		return Fluid{}, err
	}
	solute := float64(product) * float64(purity)
	s := solutions[k]
	// The solute per volume grows with x. If there is no root, the strongest
	// solution holds too little.
	holds := func(x float64) float64 { return x * s.density(293.15, x) }
	x, err := numeric.Root(func(x float64) float64 { return holds(x) - solute }, 0, s.max, 1e-14)
	if err != nil {
		return Fluid{}, units.NewFieldError("product", valid.Show(units.MassPerSolution(six(float64(product)))), "must be at most {most}, that of the strongest solution known",
			valid.Most(units.MassPerSolution(six(holds(s.max)/float64(purity)))))
	}
	r := Brine(k, units.MassFraction(x))
	return r, r.Validate()
}

func checkProduct(k FluidKind, product float64, purity units.Fraction) error {
	var e units.FieldErrors
	if !k.IsSolution() {
		e.Add("kind", k, "must be a solution in water")
	}
	if !(product > 0 && product <= 5000) {
		e.Add("product", number3(product)+" kg/m3", "must be above 0 and at most {most}", valid.Most[units.Density](5000))
	}
	checkPurity(&e, purity)
	return e.Err()
}

func checkPurity(e *units.FieldErrors, purity units.Fraction) {
	if !(purity >= 0.05 && purity <= 1) {
		e.Add("purity", float64(purity), "must be from 0.05 to 1; it is the mass of pure substance per mass of product, such as 0.77 for flake")
	}
}

// Mix is the question how a solution is made.
type Mix struct {
	// Kind of the solution.
	Kind FluidKind `json:"kind"`
	// Strength is the wanted strength. Give it or DesignTemperature, not both.
	Strength units.MassFraction `json:"strength,omitzero"`
	// DesignTemperature is the lowest temperature at which the solution must
	// not freeze. The least strength that meets it is chosen.
	DesignTemperature units.Temperature `json:"designTemperature,omitzero"`
	// Margin is subtracted from the design temperature, 0 to 40 K; zero is no
	// margin. A margin smaller than the disagreement of the sources gives a
	// note.
	Margin units.TemperatureDifference `json:"margin,omitzero"`
	// Volume is that of the finished solution at Temperature, 1 mL to 100 m3.
	Volume units.Volume `json:"volume"`
	// Purity is the mass of pure substance per mass of the product as it is
	// sold, from 0.05 to 1: flake of CaCl2 0.77 to 0.80, pellets 0.94 to 0.97
	// (common practice). The rest is counted as water. It must be given for
	// every kind; a pure product, such as a pure glycol, has 1.
	Purity units.Fraction `json:"purity"`
	// Temperature is that at which the volumes are measured, 0 to 70 C; zero
	// means 20 C.
	Temperature units.Temperature `json:"temperature,omitzero"`
}

// Mixture says how a solution is made and gives its properties.
type Mixture struct {
	// Fluid is the solution by its kind and strength.
	Fluid Fluid `json:"fluid"`
	// Product is the mass of product as it is sold.
	Product units.Mass `json:"product"`
	// Water is the volume of water.
	Water units.Volume `json:"water"`
	// WaterMass is the mass of that water.
	WaterMass units.Mass `json:"waterMass"`
	// Volume of the finished solution; it is not the sum of the parts.
	Volume units.Volume `json:"volume"`
	// Mass of the finished solution.
	Mass units.Mass `json:"mass"`
	// Density of the finished solution.
	Density units.Density `json:"density"`
	// Freezing point of the finished solution, zero if unknown.
	Freezing units.Temperature `json:"freezing"`
	// FreezingBand is the range of the published freezing points. Use its high
	// end when the solution must not freeze.
	FreezingBand units.Range[units.Temperature] `json:"freezingBand"`
	// PerWater is the product per volume of water. Do not confuse it with
	// PerSolution, which is less.
	PerWater units.MassPerWater `json:"perWater"`
	// PerSolution is the product per volume of finished solution.
	PerSolution units.MassPerSolution `json:"perSolution"`
	// Notes says how the answer was reached.
	Notes Notes `json:"notes"`
	// Cautions belong to the answer and must be shown with it.
	Cautions Cautions `json:"cautions"`
}

// Validate reports every field that is out of range, by its JSON path.
func (m Mix) Validate() error {
	var e units.FieldErrors
	_, err := wanted(m.Kind, m.Strength, m.DesignTemperature, m.Margin)
	e.Join("", err)
	valid.Within(&e, "volume", m.Volume, 1e-6, 100)
	checkPurity(&e, m.Purity)
	valid.ZeroOr(&e, "temperature", m.Temperature, 273.15, MaxTemperature)
	return e.Err()
}

func wanted(k FluidKind, x units.MassFraction, t units.Temperature, margin units.TemperatureDifference) (Fluid, error) {
	var e units.FieldErrors
	switch {
	case !k.IsSolution():
		e.Add("kind", k, "must be a solution in water")
	case x != 0 && t != 0:
		e.Add("strength", float64(x), "must be left out if a design temperature is given")
	case x != 0:
		if margin != 0 {
			e.Add("margin", valid.Show(margin), "must be left out without a design temperature")
		}
		f := Brine(k, x)
		e.Join("", f.Validate())
		return f, e.Err()
	case t != 0:
		return StrengthFor(k, t, margin)
	default:
		e.Add("strength", nil, "must be given, unless a design temperature is given")
	}
	return Fluid{}, e.Err()
}

// Solve returns how the solution is made: mass of product = volume x density x
// strength / purity. The water is the rest of the mass.
func (m Mix) Solve() (Mixture, error) {
	if err := m.Validate(); err != nil {
		return Mixture{}, err
	}
	f, err := wanted(m.Kind, m.Strength, m.DesignTemperature, m.Margin)
	if err != nil {
		return Mixture{}, err
	}
	if float64(f.Strength) > float64(m.Purity) {
		return Mixture{}, units.NewFieldError("purity", number3(float64(m.Purity)), "must be at least the strength, {least}", valid.Text("least", number3(float64(f.Strength))))
	}
	p := f.properties(m.Temperature)
	r := Mixture{Fluid: f, Volume: m.Volume, Mass: p.Density.Mass(m.Volume), Density: p.Density, Freezing: p.Freezing, FreezingBand: p.FreezingBand, Notes: p.Notes}
	r.Product = units.Mass(float64(r.Mass) * float64(f.Strength) / float64(m.Purity))
	r.add(m.Temperature)
	r.Cautions = p.mixing(m.Kind)
	if m.DesignTemperature != 0 && m.Margin < p.FreezingSpread {
		r.Notes |= NoteThinMargin
	}
	return r, nil
}

// add finds the water that goes with the product, and the two ratios.
func (r *Mixture) add(t units.Temperature) {
	r.WaterMass = max(r.Mass-r.Product, 0)
	r.Water = r.WaterMass.Volume(Fluid{Kind: Water}.properties(t).Density)
	r.PerSolution = units.MassPerSolution(float64(r.Product) / float64(r.Volume))
	if r.Water > 1e-9*r.Volume {
		r.PerWater = units.MassPerWater(float64(r.Product) / float64(r.Water))
	}
}

// mixing returns the cautions that belong to mixing.
func (p Properties) mixing(k FluidKind) Cautions {
	c := p.cautions() &^ (CautionStiffer | CautionGauge | CautionAirOut | CautionPressure | CautionTireMaker)
	switch k {
	case CalciumChloride, MagnesiumChloride, PotassiumAcetate, PotassiumFormate, Methanol:
		c |= CautionHeat
	}
	return c
}

// Adjust asks how to change the solution that a tire already holds.
type Adjust struct {
	// Present is the solution in the tire: water, or the same kind as Wanted.
	Present Fluid `json:"present"`
	// PresentVolume is how much of it there is at Wanted.Temperature, 0 to
	// 100 m3.
	PresentVolume units.Volume `json:"presentVolume"`
	// Wanted is the solution that the tire shall hold.
	Wanted Mix `json:"wanted"`
}

// Adjusted is how to change the solution in a tire.
type Adjusted struct {
	// Drain is the volume of the present solution to take out first.
	Drain units.Volume `json:"drain"`
	// Add is what to mix outside the tire and then pump in. If its mass is
	// zero, nothing is added.
	Add Mixture `json:"add"`
	// Result is what the tire then holds.
	Result Mixture `json:"result"`
	// Notes says how the answer was reached.
	Notes Notes `json:"notes"`
	// Cautions belong to the answer and must be shown with it.
	Cautions Cautions `json:"cautions"`
}

// Validate reports every field that is out of range, by its JSON path.
func (a Adjust) Validate() error {
	var e units.FieldErrors
	e.Join("wanted", a.Wanted.Validate())
	e.Join("present", a.Present.Validate())
	if a.Present.Kind != Water && a.Present.Kind != a.Wanted.Kind {
		e.Add("present.kind", a.Present.Kind, "must be water or {fluid}; do not mix other fluids, but drain and rinse the tire first", fluidParam(a.Wanted.Kind))
	}
	valid.Within(&e, "presentVolume", a.PresentVolume, 0, 100)
	return e.Err()
}

// Solve keeps as much of the present solution as possible and says what to
// drain and what to add. Only liquid is added. A salt solution is never added
// stronger than what stays dissolved 10 K below the temperature of mixing,
// unless the wanted solution itself is stronger. In that case the notes and
// cautions of the answer say so.
func (a Adjust) Solve() (Adjusted, error) {
	if err := a.Validate(); err != nil {
		return Adjusted{}, err
	}
	w := a.Wanted
	goal, err := w.Solve()
	if err != nil {
		return Adjusted{}, err
	}
	have := a.Present.properties(w.Temperature)
	m1, x1 := float64(have.Density.Mass(a.PresentVolume)), float64(a.Present.Strength)
	m2, x2 := float64(goal.Mass), float64(goal.Fluid.Strength)
	strongest := float64(w.Purity)
	switch w.Kind {
	case EthyleneGlycol, PropyleneGlycol, Methanol: // miscible in any ratio
	default:
		strongest = math.Max(x2, math.Min(strongest, dissolved(w.Kind, w.Temperature)))
	}
	// If the share k is kept, the added mass m2 - k m1 holds x2 m2 - k x1 m1
	// of solute.
	k := 1.0
	if m1 > 0 {
		if x1 > 0 { // what is added is at least water
			k = math.Min(k, x2*m2/(x1*m1))
		}
		if x1 < strongest { // what is added is at most the strongest solution
			k = math.Min(k, (strongest-x2)*m2/((strongest-x1)*m1))
		}
	}
	r := Adjusted{Drain: units.Volume((1 - k) * float64(a.PresentVolume)), Result: goal, Notes: goal.Notes | have.Notes, Cautions: goal.Cautions | CautionPressure | CautionAirOut}
	mass := m2 - k*m1
	solute := math.Max(x2*m2-k*x1*m1, 0)
	if mass <= 1e-9*m2 {
		return r, nil
	}
	x := math.Min(solute/mass, strongest)
	add := Mixture{Mass: units.Mass(mass), Fluid: Fluid{Kind: Water}}
	known := solutions[w.Kind].max
	if x > 1e-9 {
		add.Fluid = Brine(w.Kind, units.MassFraction(x))
	}
	add.Product = units.Mass(mass * x / float64(w.Purity))
	if x <= known {
		p := add.Fluid.properties(w.Temperature)
		add.Density, add.Freezing, add.FreezingBand = p.Density, p.Freezing, p.FreezingBand
		add.Notes, add.Cautions = p.Notes, p.mixing(w.Kind)
	} else {
		// A glycol or alcohol may be stronger than its fit covers. The volume to
		// add then follows from what the tire holds before and after.
		v := float64(goal.Volume) - k*float64(a.PresentVolume)
		add.Density = units.Density(mass / v)
		if !(add.Density >= 700 && add.Density <= 1300) {
			add.Density = Brine(w.Kind, units.MassFraction(known)).properties(w.Temperature).Density
		}
		add.Notes = NoteFreezingUnknown
		add.Cautions = goal.Cautions
	}
	add.Volume = add.Mass.Volume(add.Density)
	add.add(w.Temperature)
	r.Add = add
	return r, nil
}

// dissolved returns the highest strength of a salt that stays dissolved 10 K
// below a temperature; zero means 20 C. It is never less than the eutectic.
func dissolved(k FluidKind, t units.Temperature) float64 {
	if t == 0 {
		t = units.Celsius(20)
	}
	s := solutions[k]
	above := func(x float64) float64 {
		kelvin, _, _ := Brine(k, units.MassFraction(x)).freezing()
		return kelvin - (float64(t) - 10)
	}
	if above(s.max) <= 0 {
		return s.max
	}
	x, err := numeric.Root(above, s.eutectic, s.max, 1e-9)
	if err != nil {
		return s.eutectic
	}
	return x
}
