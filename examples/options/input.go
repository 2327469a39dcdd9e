package main

import (
	"math"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/jobs"
	"example.com/steelyard/units"
)

// Input is a machine with what may be put on it.
type Input struct {
	// Version is the version of the file format, 1.
	Version int `json:"version"`
	// Setup is the machine with loader and attachment, and the pieces that stay on whatever is
	// chosen.
	Setup ballast.Setup `json:"setup"`
	// Options are at most 8 choices of ballast.
	Options []Offer `json:"options,omitempty"`
	// Needs and Stock plan further options: those that no other beats in mass and in price.
	Needs *ballast.Needs `json:"needs,omitempty"`
	Stock *ballast.Stock `json:"stock,omitempty"`
	// Attachments are at most 4 others to put on in place of the setup's.
	Attachments []ballast.Attachment `json:"attachments,omitempty"`
	// Loads are at most 20 loads of which to say what they weigh.
	Loads []Weighed `json:"loads,omitempty"`
	// DataSheet is what the loader's data sheet says; nil is not given.
	DataSheet *DataSheet `json:"dataSheet,omitempty"`

	// Load, Deck, Place, TravelPin, Speed, Basis, Factor and Practice are as on a handover sheet;
	// a mass of the load is not needed.
	Load      ballast.Load      `json:"load,omitzero"`
	Deck      units.Length      `json:"deck"`
	Place     units.Length      `json:"place,omitempty"`
	TravelPin units.Length      `json:"travelPin"`
	Speed     units.Speed       `json:"speed"`
	Basis     ballast.Basis     `json:"basis,omitzero"`
	Factor    float64           `json:"factor,omitempty"`
	Practice  *ballast.Practice `json:"practice,omitempty"`
}

// Offer is one choice of ballast with its price.
type Offer struct {
	Name string `json:"name"`
	// Pieces are what it adds; none is the machine as it stands.
	Pieces []ballast.Piece `json:"pieces,omitempty"`
	// Cents is its price in hundredths of the currency.
	Cents int64 `json:"cents,omitempty" zero:"value"`
}

// Weighed is a load by its mass, by density and volume, or by density and the size of a round bale.
type Weighed struct {
	Name string `json:"name"`
	// Mass is that of the load, 1 kg to 100 t.
	Mass units.Input[units.Mass] `json:"mass,omitzero"`
	// Density is that of the material as it lies, 1 to 25 000 kg/m3, mostly a range.
	Density units.Input[units.Density] `json:"density,omitzero"`
	// Volume is that of the material, 1 L to 100 m3.
	Volume units.Input[units.Volume] `json:"volume,omitzero"`
	// Diameter and Width are those of a round bale, 0.2 to 3 m.
	Diameter units.Input[units.Length] `json:"diameter,omitzero"`
	Width    units.Input[units.Length] `json:"width,omitzero"`
}

// DataSheet is what the loader's data sheet says.
type DataSheet struct {
	// Lift is what it says that the loader lifts at the attachment pin, 1 kg to 100 t.
	Lift units.Mass `json:"lift"`
	// PinHeight is the height of the pin for which it says so.
	PinHeight units.Length `json:"pinHeight"`
	// Pressure is the relief pressure that the data sheet counts with; zero where it says none.
	Pressure units.GaugePressure `json:"pressure,omitempty"`
}

// Validate reports every bad field by its path.
func (in *Input) Validate() error {
	var e units.FieldErrors
	if in.Version != 1 {
		e.Add("version", in.Version, "must be 1")
	}
	e.Join("setup", in.Setup.Validate())
	l, a := in.Setup.Loader, in.Setup.Attachment
	if l == nil {
		e.Add("setup.loader", nil, "must be given")
	} else {
		for _, x := range []struct {
			path string
			is   units.Input[units.Length]
		}{{"setup.loader.lowestPin", l.LowestPin}, {"setup.loader.highestPin", l.HighestPin}} {
			if _, ok := x.is.Range(); !ok {
				e.Add(x.path, nil, "must be given: measure with a tape from level ground to the attachment pin, the arms down and up")
			}
		}
	}
	if a == nil || a.Kind == ballast.AttachmentUnknown {
		e.Add("setup.attachment.kind", nil, "must be forks, bucket or barePin")
	}
	if len(in.Options) > 8 {
		e.Add("options", len(in.Options), "must have at most 8 entries")
	}
	if len(in.Options) == 0 && in.Needs == nil {
		e.Add("options", nil, "must be given, or needs with a stock")
	}
	for i, o := range in.Options {
		path := units.Index("options", i)
		if o.Name == "" {
			e.Add(path+".name", nil, "must be given")
		}
		if !(o.Cents >= 0 && o.Cents <= 1e9) {
			e.Add(path+".cents", o.Cents, "must be from 0 to 1000000000 hundredths")
		}
		for k, x := range o.Pieces {
			e.Join(units.JoinPath(path, units.Index("pieces", k)), x.Validate())
		}
	}
	if (in.Needs == nil) != (in.Stock == nil) {
		e.Add("stock", nil, "must be given with needs, and needs with a stock")
	}
	if in.Needs != nil {
		e.Join("needs", in.Needs.Validate())
	}
	if in.Stock != nil {
		e.Join("stock", in.Stock.Validate())
	}
	if len(in.Attachments) > 4 {
		e.Add("attachments", len(in.Attachments), "must have at most 4 entries")
	}
	for i, x := range in.Attachments {
		e.Join(units.Index("attachments", i), x.Validate())
		if x.Kind == ballast.AttachmentUnknown {
			e.Add(units.Index("attachments", i)+".kind", nil, "must be forks, bucket or barePin")
		}
	}
	if len(in.Loads) > 20 {
		e.Add("loads", len(in.Loads), "must have at most 20 entries")
	}
	for i, x := range in.Loads {
		e.Join(units.Index("loads", i), x.validate())
	}
	if d := in.DataSheet; d != nil {
		if !(d.Lift >= units.Kilogram && d.Lift <= 100*units.Tonne) {
			e.Add("dataSheet.lift", d.Lift, "must be from 1 kg to 100 t")
		}
		if d.Pressure != 0 && !(d.Pressure >= units.GaugeBar && d.Pressure <= 1000*units.GaugeBar) {
			e.Add("dataSheet.pressure", d.Pressure, "must be from 0.1 MPa gauge to 100 MPa gauge, or left out")
		}
	}
	e.Join("load", in.Load.Validate())
	for _, x := range []struct {
		path     string
		is, most units.Length
	}{{"deck", in.Deck, 3}, {"travelPin", in.TravelPin, 3}} {
		if !(x.is > 0 && x.is <= x.most) {
			e.Add(x.path, x.is, "must be more than 0 m and at most 3 m")
		}
	}
	if !(in.Speed > 0 && in.Speed <= 12) {
		e.Add("speed", in.Speed, "must be more than 0 km/h and at most 43.2 km/h")
	}
	e.Join("basis", in.Basis.Validate())
	if in.Factor != 0 && !(in.Factor >= 1 && in.Factor <= 5) {
		e.Add("factor", in.Factor, "must be from 1 to 5, or left out for the library's default")
	}
	if in.Practice != nil {
		e.Join("practice", in.Practice.Validate())
	}
	if e.Len() == 0 {
		in.reach(&e)
	}
	return e.Err()
}

// reach reports heights that the loader cannot come to.
func (in *Input) reach(e *units.FieldErrors) {
	l := in.Setup.Loader
	within := func(path string, q, low, high units.Length) {
		if !(q >= low && q <= high) {
			e.Add(path, units.Format(units.Display{}, q), "must be from "+units.Format(units.Display{Rounding: units.Up}, low)+" to "+
				units.Format(units.Display{Rounding: units.Down}, high)+", where the loader reaches")
		}
	}
	low, high := jobs.Middle(l.LowestPin), jobs.Middle(l.HighestPin)
	within("travelPin", in.TravelPin, low, high)
	if d := in.DataSheet; d != nil {
		within("dataSheet.pinHeight", d.PinHeight, low, high)
	}
	list := []*ballast.Attachment{in.Setup.Attachment}
	for i := range in.Attachments {
		list = append(list, &in.Attachments[i])
	}
	for _, a := range list {
		low, high := jobs.Reach(l, a)
		within("deck", in.Deck, low, high)
		if in.Place != 0 {
			within("place", in.Place, low, high)
		}
	}
}

// validate reports bad fields of a load.
func (w *Weighed) validate() error {
	var e units.FieldErrors
	if w.Name == "" {
		e.Add("name", nil, "must be given")
	}
	mass, hasMass := w.Mass.Range()
	density, hasDensity := w.Density.Range()
	volume, hasVolume := w.Volume.Range()
	diameter, hasDiameter := w.Diameter.Range()
	width, hasWidth := w.Width.Range()
	if hasMass && !(mass.Low >= units.Kilogram && mass.High <= 100*units.Tonne) {
		e.Add("mass", w.Mass, "must be from 1 kg to 100 t")
	}
	if hasDensity && !(density.Low >= 1 && density.High <= 25000) {
		e.Add("density", w.Density, "must be from 1 kg/m3 to 25000 kg/m3")
	}
	if hasVolume && !(volume.Low >= units.Liter && volume.High <= 100) {
		e.Add("volume", w.Volume, "must be from 1 L to 100 m3")
	}
	for _, x := range []struct {
		path string
		is   units.Range[units.Length]
		ok   bool
	}{{"diameter", diameter, hasDiameter}, {"width", width, hasWidth}} {
		if x.ok && !(x.is.Low >= 0.2 && x.is.High <= 3) {
			e.Add(x.path, x.is.High, "must be from 0.2 m to 3 m")
		}
	}
	bale := hasDiameter && hasWidth
	if hasDiameter != hasWidth {
		e.Add("width", nil, "must be given with diameter, for a round bale")
	}
	switch {
	case hasMass && (hasDensity || hasVolume || bale):
		e.Add("mass", w.Mass, "must be left out where density is given")
	case !hasMass && !(hasDensity && hasVolume != bale):
		e.Add("mass", nil, "must be given, or density with volume, or density with the diameter and width of a round bale")
	}
	return e.Err()
}

// weight is what a load weighs: of a bale pi/4 d^2 w times the density.
func (w *Weighed) weight() units.Range[units.Mass] {
	if m, ok := w.Mass.Range(); ok {
		return m
	}
	d, _ := w.Density.Range()
	v, ok := w.Volume.Range()
	if !ok {
		di, _ := w.Diameter.Range()
		wi, _ := w.Width.Range()
		cylinder := func(d, w units.Length) units.Volume {
			return units.Volume(math.Pi / 4 * float64(d) * float64(d) * float64(w))
		}
		v = units.Range[units.Volume]{Low: cylinder(di.Low, wi.Low), High: cylinder(di.High, wi.High)}
	}
	return units.Range[units.Mass]{Low: d.Low.Mass(v.Low), High: d.High.Mass(v.High)}
}
