package main

import (
	_ "embed"
	"html/template"
	"io"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

//go:embed page.html
var pageSource string

// writePage writes the sheet as one HTML file that needs no other file and prints on
// two pages.
func writePage(w io.Writer, s *Sheet, display units.Display) error {
	d := words{display}
	pictures, tires, err := s.pictures(d)
	if err != nil {
		return err
	}
	page, err := template.New("page").Funcs(template.FuncMap{
		"carried":  d.carried,
		"weighs":   d.weighs,
		"share":    rearShare,
		"left":     func(c ballast.Judgment) string { return leftWords(d, s.Basis, c) },
		"length":   func(l units.Length) string { return units.Format(d.Display, l) },
		"ground":   func(x units.Slope) string { return groundWords(d, x) },
		"lifts":    d.raises,
		"carries":  d.carries,
		"plate":    func(p PlateRow) string { return plateWords(d, s, p) },
		"question": questionWords,
		"care":     careWords,
		"assumed":  func(a ballast.Assumption) string { return assumedWords(d, a) },
		"rear":     func() string { return rearWords(d, s.Rear) },
		"title":    s.Basis.Title,
		"operator": func(l ballast.SlopeLimit) string { return operatorWords(d, l) },
		"tipAt":    func(l ballast.SlopeLimit) string { return d.angles(l.Tip, l.Status) },
		"slideAt":  func(l ballast.SlopeLimit) string { return d.angles(l.Slide, l.Status) },
		"limit":    d.limit,
		"holds":    d.holds,
		"verdict":  verdict,
		"basis":    basisWords,
		"nearest":  nearest,
		"freezing": func(f liquid.Filled) string { return freezing(d, f) },
		"tires":    tireWords,
		"low":      lowWords,
		"why":      func(u ballast.Usable) string { return limitedBy(s.Basis, u) },
		"yard":     func(r SlopeRow) string { return yardWords(d, s, r) },
		"fill":     fillLine,
		"volume":   func(v units.Volume) string { return units.Format(d.Display, v) },
		"least":    func(v units.Volume) string { return units.Format(d.down(), v) },
		"most":     func(v units.Volume) string { return units.Format(d.up(), v) },
		"all":      func(f FillRow) string { return d.carried(units.Mass(f.Tires) * f.Filled.Mass) },
		"friction": frictionWords,
		"obstacle": func() string {
			return obstacleWords(d, s.Obstacle) + ", at up to " + units.Format(d.Display, s.ObstacleSpeed)
		},
		"over":  func(r TravelRow) string { return overWords(d, r) },
		"alone": func(r TravelRow) string { return d.between(r.Use.Usable.IfRated) },
		"steep": func(r SlopeRow) bool { return r.Yard != stability.Within },
	}).Parse(pageSource)
	if err != nil {
		return err
	}
	return page.Execute(w, map[string]any{
		"Sheet": s, "Pictures": pictures, "Tires": tires,
		"YardCautions": yardCautions, "BareWarning": bareWarning, "ClampedWarning": clampedWarning, "NotYet": notYet, "HoldsWarning": holdsWarning, "SlopesOnly": slopesOnly, "TravelNot": travelNot,
		"PlatesTitle": platesTitle(s), "QuestionsTitle": questionsTitle(s),
	})
}
