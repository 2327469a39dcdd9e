package standards

import (
	"example.com/steelyard/internal/choice"
)

// Sources is the set of publications from which a figure of practice comes. They
// disagree, so an answer is a band and names them. In JSON it is one string of names
// joined by commas, such as "iowa". Each name is that of the constant without its
// prefix. [Sources.Lines] returns the citations.
type Sources uint8

// The sources of this package's figures of practice. A source marked memory
// was not at hand when the figure was written.
const (
	// SourceWisconsin is a Wisconsin Extension chart, as reprinted in an AGEN
	// 105 laboratory sheet.
	SourceWisconsin Sources = 1 << iota
	// SourceIowa is Iowa State University Extension PM 2089B, "Ballasting
	// tractors for fuel efficiency", 2010 (memory).
	SourceIowa
	// SourceMechanics is a column by an Iowa State extension engineer,
	// Progressive Dairy, "Mechanics Corner".
	SourceMechanics
	// SourceMissouri is University of Missouri Extension G1235, "Tractor Tire
	// and Ballast Management".
	SourceMissouri
	// SourceOklahoma is an Oklahoma State University extension specialist,
	// farm radio page.
	SourceOklahoma
	// SourceCornell is Cornell Cooperative Extension (Oneida), local radio
	// page, 2015.
	SourceCornell
	// SourceLaboratory is the AGEN 105 laboratory sheet itself.
	SourceLaboratory

	sourceEnd
)

var sourceText = []choice.Remark{
	{Name: "wisconsin", Sentence: "Wisconsin Extension chart, reprinted in an AGEN 105 laboratory sheet"},
	{Name: "iowa", Sentence: "Iowa State University Extension PM 2089B, Ballasting tractors for fuel efficiency, 2010 (memory)"},
	{Name: "mechanics", Sentence: "column by an Iowa State extension engineer, Progressive Dairy, Mechanics Corner"},
	{Name: "missouri", Sentence: "University of Missouri Extension G1235, Tractor Tire and Ballast Management"},
	{Name: "oklahoma", Sentence: "Oklahoma State University extension specialist, farm radio page"},
	{Name: "cornell", Sentence: "Cornell Cooperative Extension (Oneida), local radio page, 2015"},
	{Name: "laboratory", Sentence: "AGEN 105 laboratory sheet"},
}
