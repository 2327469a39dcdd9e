package ballast

import (
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Layout is what sits where on a setup with the loader at one height.
type Layout struct {
	// Parts are machine, loader frame and arms, attachment and pieces, named
	// by their JSON paths: "machine", "loader.frame", "loader.arm",
	// "attachment", "pieces[0]" and so on. Where the machine's figures have the
	// loader in them, it is one part with them. A part without mass is left
	// out. A height of zero is not known.
	Parts []stability.Part `json:"parts"`
	// Load is where the load's center sits; zero without an attachment. Its
	// height is left out where that of the load is not known.
	Load stability.Point `json:"load"`
}

// Layout returns what sits where with the attachment pin at a height over level
// ground. Without a loader pinHeight must be zero. The sum of the parts is what
// [Setup.Compile] balances with that pin height.
func (s Setup) Layout(pinHeight units.Length, load Load) (Layout, error) {
	var c units.FieldErrors
	c.Join("", s.Validate())
	c.Join("load", load.Validate())
	if c.Len() == 0 {
		c.Join("", singles(&s))
		c.Join("load", singles(&load))
	}
	if c.Len() == 0 {
		if l := s.Loader; l == nil {
			if pinHeight != 0 {
				c.Add("pinHeight", valid.Show(pinHeight), "must be left out without a loader")
			}
		} else {
			valid.Within(&c, "pinHeight", pinHeight, l.LowestPin.Value(), l.HighestPin.Value())
		}
	}
	if err := c.Err(); err != nil {
		return Layout{}, err
	}
	var loader *loaderModel
	var angle float64
	if l := s.Loader; l != nil {
		loader = l.compile()
		angle = loader.angle(float64(pinHeight))
	}
	list, _, err := s.parts(loader, nil, nil, 0)
	if err != nil {
		return Layout{}, err
	}
	var out Layout
	add := func(name string, p sums) {
		if p.m != 0 {
			out.Parts = append(out.Parts, stability.Part{
				Name: name, Mass: units.Mass(p.m),
				CG:        stability.Point{X: units.Length(p.x / p.m), Y: units.Length(p.y / p.m), Z: units.Length(p.z / p.m)},
				PitchRise: units.Length(p.pitch / p.m), RollRise: units.Length(p.roll / p.m),
			})
		}
	}
	var machine sums
	for _, p := range list {
		if p.owner == ofMachine {
			machine = machine.plus(p.sums)
		}
	}
	if loader != nil {
		arm := loader.armAt(angle)
		if s.Machine.LoaderIncluded == WithLoader {
			machine = machine.plus(arm)
		} else {
			add("loader.frame", massAtPoint(s.Loader.FrameMass.Value(), s.Loader.FrameCG.Point()))
			add("loader.arm", arm)
		}
	}
	add("machine", machine)
	if a := s.Attachment; a != nil {
		x, z := loader.pin(angle)
		add("attachment", massAt(float64(a.Mass.Value()), x+float64(a.CG.Ahead.Value()), 0, z+float64(a.CG.Above.Value())))
		ahead, above := a.loadOffset(&Lift{Load: load})
		out.Load = stability.Point{X: units.Length(x + ahead), Y: load.Sideways.Value()}
		if load.Above.Known() || a.Kind == BarePin {
			out.Load.Z = units.Length(z + above)
		}
	}
	for _, p := range list {
		if p.owner == ofPiece {
			add(units.Index("pieces", p.piece), p.sums)
		}
	}
	return out, nil
}
