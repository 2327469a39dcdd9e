package standards

import (
	"example.com/steelyard/units"
)

// ShareBand is a band of a share with the sources behind it.
type ShareBand struct {
	// Band includes every figure of the sources.
	Band units.Range[units.Fraction] `json:"band"`
	// Agreed is the part on which all sources agree. If there is none, Low is above
	// High.
	Agreed units.Range[units.Fraction] `json:"agreed"`
	// Sources are the publications of the figures.
	Sources Sources `json:"sources"`
	// Notes say how well the band is known.
	Notes Notes `json:"notes"`
}

// published is one published band of a share in percent.
type published struct {
	low, high float64
	source    Sources
}

func (p published) band() units.Range[units.Fraction] {
	return units.Range[units.Fraction]{Low: units.Fraction(p.low) * units.Percent, High: units.Fraction(p.high) * units.Percent}
}

// band combines published bands: it finds their envelope and their intersection.
func band(rows []published) ShareBand {
	b := ShareBand{Band: rows[0].band(), Agreed: rows[0].band()}
	for _, r := range rows {
		one := r.band()
		if one != b.Band {
			b.Notes |= NoteSourcesDisagree
		}
		b.Band.Low, b.Band.High = min(b.Band.Low, one.Low), max(b.Band.High, one.High)
		b.Agreed.Low, b.Agreed.High = max(b.Agreed.Low, one.Low), min(b.Agreed.High, one.High)
		b.Sources |= r.source
	}
	if b.Sources&(b.Sources-1) == 0 {
		b.Notes |= NoteOneSource
	}
	if b.Sources&SourceIowa != 0 {
		b.Notes |= NoteMemory
	}
	return b
}
