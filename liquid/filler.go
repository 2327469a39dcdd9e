package liquid

import (
	"slices"

	"example.com/steelyard/units"
)

// fillerTires is how many tires a [Filler] remembers.
const fillerTires = 4

// A Filler fills tires one after the other, as [Fill.Solve] does, to the last bit and
// with its errors. It remembers the last four tires, so that another fluid, level or
// temperature in one of them costs a twentieth as much and allocates nothing. The
// zero value is ready to use. It is for one goroutine. Held by TestFiller.
type Filler struct {
	tires [fillerTires]*filledTire
	next  int // the place of the next tire that is not known
}

// filledTire is a tire with what follows from it alone.
type filledTire struct {
	given, tire Tire
	cavity      Cavity
	cuts        cuts
	ends        [2]end
	ended       bool
}

// cuts remembers the last cut of a cavity, and that of its flat.
type cuts struct {
	z             float64
	at, atFlat    cut
	known, flatOK bool
}

// cut returns what a plane at the distance z >= 0 from the axle cuts off.
func (c *Cavity) cut(z float64) cut {
	m := c.cuts
	switch {
	case m == nil:
		return c.p.cutAt(z)
	case z == c.flat:
		if !m.flatOK {
			m.atFlat, m.flatOK = c.p.cutAt(z), true
		}
		return m.atFlat
	case !m.known || m.z != z:
		m.z, m.at, m.known = z, c.p.cutAt(z), true
	}
	return m.at
}

// equal reports whether two tires have the same fields.
func (t *Tire) equal(o *Tire) bool {
	return t.Designation == o.Designation && t.SectionWidth == o.SectionWidth && t.OverallDiameter == o.OverallDiameter &&
		t.RimDiameter == o.RimDiameter && t.RimWidth == o.RimWidth && t.LugDepth == o.LugDepth && t.Undertread == o.Undertread &&
		t.Sidewall == o.Sidewall && t.WellDepth == o.WellDepth && t.WellWidth == o.WellWidth && t.ValveRadius == o.ValveRadius &&
		t.Crown == o.Crown && t.CrownSpread == o.CrownSpread && t.CrownMoved == o.CrownMoved &&
		t.Deflection == o.Deflection && t.Unloaded == o.Unloaded && slices.Equal(t.Known, o.Known)
}

// known returns what is known of a tire.
func (k *Filler) known(t *Tire) (*filledTire, error) {
	for _, one := range k.tires {
		if one != nil && one.given.equal(t) {
			return one, nil
		}
	}
	tire, err := t.Resolve()
	if err != nil {
		return nil, err
	}
	one := k.tires[k.next]
	if one == nil {
		one = new(filledTire)
		k.tires[k.next] = one
	}
	k.next = (k.next + 1) % fillerTires
	*one = filledTire{given: *t, tire: tire}
	one.given.Known = slices.Clone(t.Known)
	one.cavity = *one.tire.cavity()
	one.cavity.cuts = &one.cuts
	return one, nil
}

// Resolve returns the tire with all its dimensions, as [Tire.Resolve] does.
func (k *Filler) Resolve(t Tire) (Tire, error) {
	one, err := k.known(&t)
	if err != nil {
		return Tire{}, err
	}
	return one.tire, nil
}

// Validate reports every field of a fill that is out of range, as [Fill.Validate]
// does.
func (k *Filler) Validate(f Fill) error {
	_, err := k.valid(&f)
	return err
}

func (k *Filler) valid(f *Fill) (*filledTire, error) {
	var e units.FieldErrors
	one, err := k.known(&f.Tire)
	if err == nil {
		if checkFill(&e, f.Fluid, f.Level, f.Temperature); e.Len() == 0 {
			return one, nil
		}
	}
	return nil, f.Validate()
}

// Fill fills a tire as [Cavity.Fill] does: the bands of the answer include only the
// spread of the density.
func (k *Filler) Fill(f Fill) (Filled, error) {
	one, err := k.valid(&f)
	if err != nil {
		return Filled{}, err
	}
	return one.fill(&f), nil
}

// Solve fills a tire as [Fill.Solve] does.
func (k *Filler) Solve(f Fill) (Filled, error) {
	one, err := k.valid(&f)
	if err != nil {
		return Filled{}, err
	}
	r := one.fill(&f)
	if !one.ended {
		one.ends, one.ended = [2]end{one.tire.end(-1), one.tire.end(1)}, true
	}
	one.cavity.bandWithin(&r, &one.tire, f.Fluid, f.Level, f.Temperature, &one.ends)
	return r, nil
}

func (one *filledTire) fill(f *Fill) Filled {
	r := one.cavity.fill(f.Fluid, f.Level, f.Temperature)
	r.Cautions |= f.Tire.Designation.cautions(r.Fraction)
	return r
}
