package ballast

import "example.com/steelyard/internal/valid"

import "example.com/steelyard/units"

// Load is what is lifted: how heavy, and where its center of gravity sits on
// the attachment. A question for the greatest load leaves the mass out.
type Load struct {
	// Name is free text for the reader.
	Name string `json:"name,omitempty"`
	// Mass is the load's mass, 1 g to 100 t; zero leaves it to Density, or to
	// the caller.
	Mass units.Mass `json:"mass,omitempty"`
	// Density is the bulk density of material in a bucket, 1 to 25 000 kg/m3;
	// the mass then is Density x Volume.
	Density units.Density `json:"density,omitempty"`
	// Volume is the volume of that material, 1 mL to 100 m3; zero is the
	// bucket's own heaped volume.
	Volume units.Volume `json:"volume,omitempty"`
	// Center is, on forks, the distance from the face of the tines to the
	// load's center of gravity, up to 5 m. On a bucket or a bare pin it is how far the
	// center of gravity is ahead of where the attachment says, -1 to 5 m. Left out, a
	// load on a bare pin hangs from it; of forks and buckets it is not known: a setup's
	// answer takes the range of [Practice] beyond the attachment's own load center, and a
	// compiled [Model] that center itself.
	Center units.Input[units.Length] `json:"center,omitzero"`
	// Above is the height of the load's center of gravity above the top of
	// the tines or above the bucket's edge: -2 to 5 m; 0.5 to 0.6 m for a
	// picking bin. Left out, it is not known, and answers that need it take the range
	// of [Practice]. A load on a bare pin hangs: it acts at the pin, and Above is left
	// out.
	Above units.Input[units.Length] `json:"above,omitzero"`
	// Sideways is how far the load's center of gravity is to the left of the
	// middle; negative to the right, within 2 m. One rear wheel then lifts
	// before the axle does.
	Sideways units.Input[units.Length] `json:"sideways,omitzero" zero:"value"`
}

// Validate reports every bad field by its path, or nil.
func (l Load) Validate() error { return l.validate() }

// validate is Validate without a copy of the value.
func (l *Load) validate() error {
	var c units.FieldErrors
	valid.ZeroOr(&c, "mass", l.Mass, 1e-3, maxMass)
	valid.ZeroOr(&c, "density", l.Density, 1, 25000)
	valid.ZeroOr(&c, "volume", l.Volume, 1e-6, 100)
	if l.Density == 0 && l.Volume != 0 {
		c.Add("density", nil, "must be given with volume")
	}
	if l.Density != 0 && l.Mass != 0 {
		c.Add("mass", valid.Show(l.Mass), "must be left out when density is given")
	}
	for path, in := range [...]*units.Input[units.Length]{&l.Center, &l.Above, &l.Sideways} {
		if in.Absent() {
			c.Add([...]string{"center", "above", "sideways"}[path], "none", "must not be none: this is no rating")
		}
	}
	valid.Optional(&c, "center", l.Center, -1, 5)
	valid.Optional(&c, "above", l.Above, -2, 5)
	valid.Optional(&c, "sideways", l.Sideways, -maxSideway, maxSideway)
	return c.Err()
}

// MassOn returns the load's mass on an attachment: Mass, or Density times
// Volume, or Density times the attachment's heaped volume; zero if the load
// does not say.
func (l Load) MassOn(a Attachment) units.Mass { return l.massOn(&a) }

func (l *Load) massOn(a *Attachment) units.Mass {
	if l.Density == 0 {
		return l.Mass
	}
	v := l.Volume
	if v == 0 {
		v = a.Volume.Value()
	}
	return l.Density.Mass(v)
}
