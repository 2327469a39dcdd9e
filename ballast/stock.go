package ballast

import (
	"example.com/steelyard/internal/valid"
	"math"
	"strings"

	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// Stock is what a plan may choose from: pieces at hand or on offer, where
// they may be mounted, and changes of the machine's geometry. The zero value
// is an empty stock.
type Stock struct {
	// Items are the pieces, at most 40.
	Items []Item `json:"items,omitempty"`
	// Mounts are the places with a limit of their own, such as a front rack
	// with so many slots; at most 40.
	Mounts []Mount `json:"mounts,omitempty"`
	// Options are changes of the geometry beside weight, at most 6.
	// Every allowed combination of them is planned on its own.
	Options []Option `json:"options,omitempty"`
}

// Limits on the size of a [Stock] and of a [Needs].
const (
	// maxItems is how many items, and how many mounts, a stock may have.
	maxItems = 40
	// maxSteps is how many steps an item may have.
	maxSteps = 50
	// maxOptions is how many options a stock may have.
	maxOptions = 6
	// maxNeeds is how many needs a plan may have.
	maxNeeds = 12
)

const (
	maxCents = 1_000_000_000
	maxCount = 1000
	// maxRange is how many steps a mass range may be divided into.
	maxRange = 1_000_000
	// maxColumns is how many unknowns a plan may have.
	maxColumns = 200
)

// Item is one kind of piece in stock. What it is and where it goes stands in
// Piece; how it is counted follows from the other fields:
//
//   - weights have Count pieces alike; wheel weights are counted in pairs,
//     and Piece.Mass is that of a pair;
//   - liquid, and a box with discrete fillings, have Steps, of which at most
//     one is taken;
//   - a box may instead have a Range of mass to be filled in;
//   - an implement, or a box as it is, is taken or not.
//
// Liquids for the same tires exclude each other, and so do all items on the
// hitch.
type Item struct {
	// Name is free text for the reader.
	Name string `json:"name,omitempty"`
	// Piece is the piece: one weight, one pair of wheel weights, the empty
	// box, the implement. Piece.State is left out, because each Need says
	// whether the hitch is raised. For liquid Piece.Fill names tire, fluid
	// and temperature without a level, or is left out when the steps give
	// masses; Piece.Mass, Depth and RollRise are left out.
	Piece Piece `json:"piece"`
	// Count is how many pieces there are, for items without steps and range;
	// at most 1000. An item on the hitch may leave it out: it is one.
	Count int `json:"count,omitempty"`
	// Steps are the levels of a liquid or the fillings of a box, at most
	// 50. A box with steps is not taken empty: list the empty box as an
	// item of its own where that is meant.
	Steps []Step `json:"steps,omitempty"`
	// Range is the mass that a box may be filled with.
	Range *MassRange `json:"range,omitempty"`
	// Mount is the name of the mount that the pieces take place on, if any.
	Mount string `json:"mount,omitempty"`
	// Slots is how many slots of the mount one piece takes, up to 1000; zero
	// means 1.
	Slots int `json:"slots,omitempty"`
	// Cents is what one piece costs, or the item as soon as it is used, in
	// whole hundredths of the user's currency, 0 to 1e9. Zero is a piece that
	// is owned.
	Cents int64 `json:"cents,omitempty" zero:"value"`
}

// Step is one level of a liquid or one filling of a box.
type Step struct {
	// Name is free text for the reader.
	Name string `json:"name,omitempty"`
	// Level is, for liquid with a fill, how full the tires are.
	Level liquid.Level `json:"level,omitzero"`
	// Mass is the mass of the liquid in all tires of the item together, or of
	// the filling of a box, 1 g to 100 t.
	Mass units.Mass `json:"mass,omitempty"`
	// Density and Volume give the filling of a box in place of Mass, such as
	// the density of concrete (package standards has some) in the volume of the
	// box; 1 to 25 000 kg/m3.
	Density units.Density `json:"density,omitempty"`
	// Volume goes with Density, 1 mL to 100 m3.
	Volume units.Volume `json:"volume,omitempty"`
	// Depth is, for liquid given by its mass, how far its centroid is below
	// the axle, 0 to 1.5 m.
	Depth units.Length `json:"depth,omitempty" zero:"value"`
	// RollRise goes with Depth; see Piece.
	RollRise units.Length `json:"rollRise,omitempty" zero:"value"`
	// Cents is what the step costs beside the item's own cents, 0 to 1e9.
	Cents int64 `json:"cents,omitempty" zero:"value"`
}

// MassRange is a mass that may be chosen freely up to a most, in steps.
type MassRange struct {
	// Most is the largest mass that may be filled in, 1 g to 100 t.
	Most units.Mass `json:"most"`
	// Step is what the mass is counted in, a whole number of grams; Most is
	// divided into at most a million. Zero means one kilogram.
	Step units.Mass `json:"step,omitempty"`
	// Cents is what each step costs, 0 to 1e9.
	Cents int64 `json:"cents,omitempty" zero:"value"`
}

// Mount is a place for pieces with a limit of its own: a front rack, the
// disc of the rear wheels, the hitch.
type Mount struct {
	// Name is what the items call it by.
	Name string `json:"name"`
	// Slots is how many slots there are, up to 100 000; zero means that they
	// are not limited.
	Slots int `json:"slots,omitempty"`
	// Limit is the most mass that may be mounted, 1 g to 100 t; zero means
	// not limited.
	Limit units.Mass `json:"limit,omitempty"`
}

// Option is a change of the machine beside weight: a wider track, spacers,
// reversed discs, duals.
type Option struct {
	// Name is free text for the reader.
	Name string `json:"name,omitempty"`
	// RearTrack is the rear track with the option, 0.2 to 6 m; zero leaves
	// it.
	RearTrack units.Length `json:"rearTrack,omitempty"`
	// FrontTrack is the front track with the option, 0.2 to 6 m; zero leaves
	// it.
	FrontTrack units.Length `json:"frontTrack,omitempty"`
	// RearTiresPerSide is 1 to 3, 2 for duals, as in Axle.TiresPerSide; zero
	// leaves it.
	RearTiresPerSide int `json:"rearTiresPerSide,omitempty"`
	// FrontTiresPerSide is the same in front.
	FrontTiresPerSide int `json:"frontTiresPerSide,omitempty"`
	// Pieces is what the option adds to the machine, such as the spacers or
	// the outer wheels; its mass counts as added mass. At most 10.
	Pieces []Piece `json:"pieces,omitempty"`
	// Group names options of which at most one may be chosen; options without
	// a group go with any other, but two options that change the same field
	// never go together.
	Group string `json:"group,omitempty"`
	// Cents is what the option costs, 0 to 1e9.
	Cents int64 `json:"cents,omitempty" zero:"value"`
}

// Validate reports every bad field by its path, or nil.
func (s Stock) Validate() error {
	var c units.FieldErrors
	mounts := map[string]bool{}
	if len(s.Mounts) > maxItems {
		c.Add("mounts", len(s.Mounts), "must have at most 40 entries")
		return c.Err()
	}
	if len(s.Items) > maxItems {
		c.Add("items", len(s.Items), "must have at most 40 entries")
		return c.Err()
	}
	if len(s.Options) > maxOptions {
		c.Add("options", len(s.Options), "must have at most 6 entries")
		return c.Err()
	}
	for i, m := range s.Mounts {
		at := units.Index("mounts", i)
		if m.Name == "" || mounts[m.Name] {
			c.Add(at+".name", m.Name, "must be given and differ from the others")
		}
		mounts[m.Name] = true
		count(&c, at+".slots", m.Slots, 0, 100000)
		valid.ZeroOr(&c, at+".limit", m.Limit, 1e-3, maxMass)
	}
	columns := 0
	for i := range s.Items {
		it := &s.Items[i]
		at := units.Index("items", i)
		c.Join(at, it.Validate())
		if it.Mount != "" && !mounts[it.Mount] {
			c.Add(at+".mount", it.Mount, "must be the name of a mount of the stock")
		}
		columns += max(1, len(it.Steps))
		if it.Range != nil {
			columns++
		}
	}
	if columns > maxColumns {
		c.Add("items", columns, "must have at most 200 items and steps together")
	}
	for i := range s.Options {
		valid.JoinAt(&c, "options", i, s.Options[i].Validate())
	}
	if c.Len() == 0 {
		s.look(&look{errs: &c, open: true})
	}
	return c.Err()
}

func count(c *units.FieldErrors, path string, v, low, high int) {
	valid.Within(c, path, units.Fraction(v), units.Fraction(low), units.Fraction(high))
}

func cents(c *units.FieldErrors, path string, v int64) {
	if v < 0 || v > maxCents {
		c.Add(path, v, "must be between 0 and 1000000000 cents")
	}
}

// Validate reports every bad field by its path, or nil.
func (it Item) Validate() error {
	var c units.FieldErrors
	p := it.Piece
	k := p.Kind
	if p.State != HitchUnknown || p.Carried != 0 {
		c.Add("piece.state", p.State, "must be left out: each need says whether the hitch is raised")
	}
	if k.OnHitch() {
		p.State, p.Carried = Raised, 0
	}
	count(&c, "slots", it.Slots, 0, 1000)
	if it.Slots != 0 && it.Mount == "" {
		c.Add("slots", it.Slots, "must be left out without a mount")
	}
	cents(&c, "cents", it.Cents)
	if len(it.Steps) > maxSteps {
		c.Add("steps", len(it.Steps), "must have at most 50 entries")
		return c.Err()
	}
	switch {
	case k.Liquid():
		if len(it.Steps) == 0 {
			c.Add("steps", nil, "must be given: the levels to choose from")
		}
		if stated(p.Mass) || given(p.Depth) || given(p.RollRise) {
			c.Add("piece.mass", valid.ShowInput(p.Mass), "must be left out, with depth and rollRise: the steps say")
		}
		if p.Fill != nil && p.Fill.Level != (liquid.Level{}) {
			c.Add("piece.fill.level", nil, "must be left out: the steps say")
		}
		for i := range it.Steps {
			it.liquidStep(&c, i)
		}
	default:
		c.Join("piece", p.Validate())
		if k != HitchBox && len(it.Steps) > 0 {
			c.Add("steps", len(it.Steps), "must be left out: the item is neither liquid nor a box")
			break
		}
		for i := range it.Steps {
			c.Join(units.Index("steps", i), it.Steps[i].fillingError())
		}
	}
	if r := it.Range; r != nil {
		if k != HitchBox || len(it.Steps) > 0 {
			c.Add("range", nil, "must be left out unless the item is a box without steps")
		}
		c.Join("range", r.Validate())
	}
	switch {
	case len(it.Steps) > 0 || it.Range != nil || k.OnHitch():
		count(&c, "count", it.Count, 0, 1)
	case it.Count == 0:
		c.Add("count", nil, "must be given: how many there are")
	default:
		count(&c, "count", it.Count, 1, maxCount)
	}
	if c.Len() == 0 && !k.Liquid() {
		// Together no heavier than any machine.
		valid.Within(&c, "count", units.Mass(float64(max(1, it.Count))*float64(p.Mass.Value())), 0, maxMass)
	}
	return c.Err()
}

// liquidStep reports what is wrong with a step and with the piece that it
// makes: mass, depth, rise and level stand at the step, all else at the piece,
// and is said once.
func (it *Item) liquidStep(c *units.FieldErrors, i int) {
	s := &it.Steps[i]
	at := units.Index("steps", i) + "."
	cents(c, at+"cents", s.Cents)
	if s.Density != 0 || s.Volume != 0 {
		c.Add(at+"density", valid.Show(s.Density), "must be left out with volume: the step is not the filling of a box")
	}
	p := it.Piece
	if p.Fill == nil {
		if s.Level != (liquid.Level{}) {
			c.Add(at+"level", nil, "must be left out unless piece.fill names tire and fluid")
		}
		p.Mass, p.Depth, p.RollRise = unlessZero(s.Mass), units.Is(s.Depth), units.Is(s.RollRise)
	} else {
		if s.Mass != 0 || s.Depth != 0 || s.RollRise != 0 {
			c.Add(at+"mass", valid.Show(s.Mass), "must be left out, with depth and rollRise: the level and the fill say")
			return
		}
		f := *p.Fill
		f.Level = s.Level
		p.Fill, p.Mass, p.Depth, p.RollRise = &f, units.Input[units.Mass]{}, units.Input[units.Length]{}, units.Input[units.Length]{}
	}
	for _, e := range units.Fields(p.Validate()) {
		rest, level := strings.CutPrefix(e.Path, "fill.level")
		switch {
		case level:
			c.Join("", e.At(at+"level"+rest))
		case e.Path == "mass" || e.Path == "depth" || e.Path == "rollRise":
			c.Join("", e.At(at+e.Path))
		case i == 0:
			c.Join("", e.At("piece."+e.Path))
		}
	}
}

func (s *Step) fillingError() error {
	var c units.FieldErrors
	cents(&c, "cents", s.Cents)
	if s.Level != (liquid.Level{}) || s.Depth != 0 || s.RollRise != 0 {
		c.Add("level", nil, "must be left out, with depth and rollRise: the step is the filling of a box")
	}
	switch {
	case s.Mass != 0 && (s.Density != 0 || s.Volume != 0):
		c.Add("mass", valid.Show(s.Mass), "must be left out when density and volume are given")
	case s.Mass != 0:
		valid.Within(&c, "mass", s.Mass, 1e-3, maxMass)
	default:
		valid.Given(&c, "density", s.Density, 1, 25000, "must be given with volume, or mass")
		valid.Given(&c, "volume", s.Volume, 1e-6, 100, "must be given with density, or mass")
		if m := s.filling(); c.Len() == 0 && m > maxMass {
			c.Add("volume", valid.Show(s.Volume), "must hold no more than {most} at this density", valid.Most(maxMass))
		}
	}
	return c.Err()
}

// filling returns the mass of a box's filling.
func (s *Step) filling() units.Mass {
	if s.Mass != 0 {
		return s.Mass
	}
	return s.Density.Mass(s.Volume)
}

// Validate reports every bad field by its path, or nil.
func (r MassRange) Validate() error {
	var c units.FieldErrors
	valid.Within(&c, "most", r.Most, 1e-3, maxMass)
	cents(&c, "cents", r.Cents)
	valid.ZeroOr(&c, "step", r.Step, 1e-3, maxMass)
	if c.Len() > 0 {
		return c.Err()
	}
	if g := float64(r.step()) * 1000; math.Abs(g-math.Round(g)) > 1e-6 {
		c.Add("step", valid.Show(r.Step), "must be a whole number of grams")
	}
	if n := float64(r.Most) / float64(r.step()); !(n >= 1 && n <= maxRange) {
		c.Add("step", valid.Show(r.Step), "must divide the most into 1 to 1000000 steps")
	}
	return c.Err()
}

func (r *MassRange) step() units.Mass {
	if r.Step == 0 {
		return 1
	}
	return r.Step
}

// steps returns how many whole steps the range has.
func (r *MassRange) steps() int64 {
	return int64(math.Floor(float64(r.Most)/float64(r.step()) + 1e-9))
}

// Validate reports every bad field by its path, or nil.
func (o Option) Validate() error {
	var c units.FieldErrors
	valid.ZeroOr(&c, "rearTrack", o.RearTrack, minTrack, maxTrack)
	valid.ZeroOr(&c, "frontTrack", o.FrontTrack, minTrack, maxTrack)
	count(&c, "rearTiresPerSide", o.RearTiresPerSide, 0, 3)
	count(&c, "frontTiresPerSide", o.FrontTiresPerSide, 0, 3)
	cents(&c, "cents", o.Cents)
	if len(o.Pieces) > 10 {
		c.Add("pieces", len(o.Pieces), "must have at most 10 entries")
		return c.Err()
	}
	for i, p := range o.Pieces {
		valid.JoinAt(&c, "pieces", i, p.Validate())
		if p.Kind.OnHitch() {
			c.Add(units.Index("pieces", i)+".kind", p.Kind, "must not be on the hitch: give an item")
		}
	}
	if o.RearTrack == 0 && o.FrontTrack == 0 && o.RearTiresPerSide == 0 && o.FrontTiresPerSide == 0 && len(o.Pieces) == 0 {
		c.Add("rearTrack", nil, "must be given, or anything else that the option changes")
	}
	return c.Err()
}

// excludes reports whether two options cannot be chosen together.
func (o *Option) excludes(p *Option) bool {
	return o.Group != "" && o.Group == p.Group ||
		o.RearTrack != 0 && p.RearTrack != 0 ||
		o.FrontTrack != 0 && p.FrontTrack != 0 ||
		o.RearTiresPerSide != 0 && p.RearTiresPerSide != 0 ||
		o.FrontTiresPerSide != 0 && p.FrontTiresPerSide != 0
}

// apply returns the setup with the option chosen.
func (o *Option) apply(s Setup) Setup {
	m := &s.Machine
	if o.RearTrack != 0 {
		m.RearTrack = units.Is(o.RearTrack)
	}
	if o.FrontTrack != 0 {
		m.FrontTrack = units.Is(o.FrontTrack)
	}
	if o.RearTiresPerSide != 0 {
		m.Rear.TiresPerSide = o.RearTiresPerSide
	}
	if o.FrontTiresPerSide != 0 {
		m.Front.TiresPerSide = o.FrontTiresPerSide
	}
	s.Pieces = append(s.Pieces[:len(s.Pieces):len(s.Pieces)], o.Pieces...)
	for i := range s.Pieces {
		if p := &s.Pieces[i]; p.Fill != nil {
			p.Tires = p.filledTires() // the pair of the machine without the option
		}
	}
	return s
}

// grams returns a mass in whole grams, rounded to the nearest, as the
// objective counts it; the physics keeps the mass itself.
func grams(m units.Mass) int64 { return int64(math.Round(float64(m) * 1000)) }

// A column is one integer unknown of a plan.
type column struct {
	item  int
	step  int // of the item, -1 if it has none
	fill  bool
	upper int64
	one   Piece // one unit, state raised if on the hitch
	grams int64
	cents int64
	units int64 // pieces that one unit counts for in the tie-break
}

// columns returns the unknowns of the stock, with every fill worked out, and
// the groups of those that exclude each other.
func (s *Stock) columns() (cols []column, groups [][]int, notes Notes, err error) {
	var hitch, rear, front []int
	for i := range s.Items {
		it := &s.Items[i]
		p := it.Piece
		p.Name = it.Name
		if p.Kind.OnHitch() {
			p.State = Raised
		}
		add := func(c column) int {
			c.item = i
			c.grams = grams(c.one.Mass.Value())
			cols = append(cols, c)
			return len(cols) - 1
		}
		switch {
		case p.Kind.Liquid():
			var cavity *liquid.Cavity
			for k := range it.Steps {
				st := &it.Steps[k]
				one := p
				if p.Fill == nil {
					one.Mass, one.Depth, one.RollRise = units.Is(st.Mass), units.Is(st.Depth), units.Is(st.RollRise)
				} else {
					one, err = liquidAt(&p, st.Level, &cavity)
					if err != nil {
						var c units.FieldErrors
						c.Join(units.Index("items", i)+"."+units.Index("steps", k), err)
						return nil, nil, 0, c.Err()
					}
					notes |= NoteFill
				}
				if !(one.Mass.Value() > 0) {
					continue // a level below the tire's bottom holds nothing
				}
				j := add(column{step: k, upper: 1, one: one, cents: it.Cents + st.Cents, units: 1})
				if p.Kind == RearLiquid {
					rear = append(rear, j)
				} else {
					front = append(front, j)
				}
			}
		case len(it.Steps) > 0:
			for k := range it.Steps {
				st := &it.Steps[k]
				one := p
				one.Mass = units.Is(one.Mass.Value() + st.filling())
				hitch = append(hitch, add(column{step: k, upper: 1, one: one, cents: it.Cents + st.Cents, units: 1}))
			}
		case it.Range != nil:
			hitch = append(hitch, add(column{step: -1, upper: 1, one: p, cents: it.Cents, units: 1}))
			one := p
			one.Mass = units.Is(it.Range.step())
			add(column{step: -1, fill: true, upper: it.Range.steps(), one: one, cents: it.Range.Cents})
		case p.Kind.OnHitch():
			hitch = append(hitch, add(column{step: -1, upper: 1, one: p, cents: it.Cents, units: 1}))
		default:
			add(column{step: -1, upper: int64(it.Count), one: p, cents: it.Cents, units: 1})
		}
	}
	for _, g := range [][]int{hitch, rear, front} {
		if len(g) > 1 {
			groups = append(groups, g)
		}
	}
	return cols, groups, notes, nil
}

// filled is how many items have a fill to be worked out.
func (s *Stock) filled() (n int) {
	for i := range s.Items {
		if s.Items[i].Piece.Fill != nil {
			n++
		}
	}
	return n
}

// liquidAt works out a fill at a level. The cavity is compiled once for all
// levels of an item.
func liquidAt(p *Piece, level liquid.Level, cavity **liquid.Cavity) (Piece, error) {
	if *cavity == nil {
		t, err := p.Fill.Tire.Resolve()
		if err != nil {
			return Piece{}, err
		}
		if *cavity, err = t.Compile(); err != nil {
			return Piece{}, err
		}
	}
	f, err := (*cavity).Fill(p.Fill.Fluid, level, p.Fill.Temperature)
	if err != nil {
		return Piece{}, err
	}
	return p.filled(f), nil
}
