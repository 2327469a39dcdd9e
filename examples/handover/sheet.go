package main

import (
	"encoding/json"
	"io"
	"math"
	"slices"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Sheet is the whole content of the sheet as data.
type Sheet struct {
	Title   string         `json:"title"`
	Machine string         `json:"machine"`
	Load    units.Mass     `json:"load"`
	Basis   ballast.Basis  `json:"basis"`
	Factor  float64        `json:"factor"`
	Deck    units.Length   `json:"deck"`
	Slope   units.Slope    `json:"slope"`
	Ground  units.Fraction `json:"friction"`

	Fills  []FillRow  `json:"fills"`
	Pieces []PieceRow `json:"pieces"`
	Axles  []AxleRow  `json:"axles"`
	Lifts  []LiftRow  `json:"lifts"`
	Checks []CheckRow `json:"checks"`
	Slopes []SlopeRow `json:"slopes"`

	// NotChecked are the limits for which no rating is given, or of which only an upper
	// bound is known.
	NotChecked []string `json:"notChecked"`
	// Broken are the limits that are exceeded with the attachment empty,
	// lowered, or with the loader off.
	Broken   []string `json:"broken"`
	Notes    []string `json:"notes"`
	Cautions []string `json:"cautions"`
	Steps    []string `json:"steps"`

	in *Input
}

// FillRow is the liquid in one tire of a pair.
type FillRow struct {
	Name     string                    `json:"name"`
	Fill     liquid.Fill               `json:"fill"`
	Tires    int                       `json:"tires"`
	Filled   liquid.Filled             `json:"filled"`
	Strength units.MassFraction        `json:"strength"`
	Band     units.Range[units.Volume] `json:"band"`
	Clamped  bool                      `json:"clamped"` // the level asked for lies outside the tire
}

// PieceRow is a piece of ballast that is not liquid.
type PieceRow struct {
	Name string     `json:"name"`
	Mass units.Mass `json:"mass"`
	Note string     `json:"note"`
}

// AxleRow is what the axles carry in one state on level ground.
type AxleRow struct {
	State string             `json:"state"`
	Loads ballast.WheelLoads `json:"loads"`
	Low   bool               `json:"low"` // the rear axle carries less than a fifth
}

// LiftRow says what may be lifted at one height, in each column.
type LiftRow struct {
	Case   string       `json:"case"`
	Height string       `json:"-"`
	Pin    units.Length `json:"pin"`
	Tine   units.Length `json:"tine"`
	Cells  []LiftCell   `json:"cells"`
}

// LiftCell is the usable load in one column.
type LiftCell struct {
	Column string      `json:"column"`
	Use    ballast.Use `json:"use"`
}

// CheckRow is the answer for the load asked about.
type CheckRow struct {
	Case  string        `json:"case"`
	Check ballast.Check `json:"check"`
}

// checkRow returns whether the load may be lifted in a case.
func (s *Sheet) checkRow(lift ballast.Lift) (CheckRow, error) {
	c, err := s.in.Setup.Check(lift, s.in.Load.Mass)
	return CheckRow{Case: lift.Name, Check: c}, err
}

// SlopeRow is the slope limit in one state.
type SlopeRow struct {
	State     string            `json:"state"`
	Tip       stability.Limit   `json:"tip"`
	Heading   units.Angle       `json:"heading"`
	Slide     stability.Limit   `json:"slide"`
	SlideHead units.Angle       `json:"slideHeading"`
	SlideAll  stability.Limit   `json:"slideAllBraked"`
	First     stability.Limit   `json:"first"`
	Yard      stability.Status  `json:"yard"` // at the yard's steepest ground
	Known     bool              `json:"known"`
	Curve     []stability.Limit `json:"-"` // tipping limit by heading, in steps of 5 degrees
}

// Columns of the table of usable loads.
const (
	withBallast    = "forks, ballast on"
	withoutBallast = "forks, NO ballast"
	bucketBallast  = "bucket, ballast on"
	bucketBare     = "bucket, NO ballast"
)

func makeSheet(in *Input) (*Sheet, error) {
	s := &Sheet{
		Title: in.Title, Machine: in.Setup.Machine.Name, Load: in.Load.Mass,
		Basis: in.Basis, Deck: in.Deck, Slope: in.Slope, Ground: in.Friction, in: in,
	}
	for _, part := range []func() error{s.fills, s.axles, s.lifts, s.slopes} {
		if err := part(); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// Ballasted reports whether the setup has any ballast.
func (s *Sheet) Ballasted() bool { return len(s.in.Setup.Pieces) > 0 }

// fills solves the fills and lists the other pieces.
func (s *Sheet) fills() error {
	var permanent []string
	for i, p := range s.in.Setup.Pieces {
		if p.Fill == nil {
			note := ""
			if p.Kind.OnHitch() {
				note = hitchNotes[p.State]
			}
			s.Pieces = append(s.Pieces, PieceRow{Name: p.Name, Mass: p.Mass, Note: note})
			continue
		}
		f, err := p.Fill.Solve()
		if err != nil {
			var e units.FieldErrors
			e.Join(units.Index("setup.pieces", i)+".fill", err)
			return e.Err()
		}
		n := p.Tires
		if n == 0 {
			n = 2
		}
		s.Fills = append(s.Fills, FillRow{Name: p.Name, Fill: *p.Fill, Tires: n, Filled: f,
			Strength: p.Fill.Fluid.Strength, Band: f.VolumeBand, Clamped: f.Notes.Has(liquid.NoteLevelClamped)})
		s.note(f.Notes.Lines())
		s.caution(f.Cautions.Lines())
		// The steps for a brine include those for water.
		if steps := p.Fill.Steps(); !f.Flows() {
			permanent = steps
		} else if len(steps) > len(s.Steps) {
			s.Steps = steps
		}
	}
	s.Steps = addOnce(s.Steps, permanent...)
	return nil
}

// hitchNotes say when ballast on the hitch counts.
var hitchNotes = map[ballast.HitchState]string{
	ballast.Raised:   "counts only while it is raised",
	ballast.Resting:  "rests on the ground and does not count",
	ballast.Floating: "floats and counts only for the part that is carried",
}

// axles lists what the axles carry: without ballast, with the loader, with the load.
func (s *Sheet) axles() error {
	bare := s.in.Setup
	bare.Loader, bare.Attachment, bare.Pieces = nil, nil, nil
	ballasted := bare
	ballasted.Pieces = s.in.Setup.Pieces
	noBallast := s.in.Setup
	noBallast.Pieces = nil
	type state struct {
		name  string
		setup ballast.Setup
	}
	states := []state{
		{"tractor, no ballast, loader off", bare},
		{"tractor with ballast, loader off", ballasted},
		{"loader and forks on, NO ballast", noBallast},
		{"loader and forks on, with ballast", s.in.Setup},
	}
	if !s.Ballasted() {
		states = []state{states[0], states[2]}
	}
	for _, state := range states {
		w, err := state.setup.WheelLoads()
		if err != nil {
			return err
		}
		s.addAxles(state.name, w)
	}
	for _, lift := range s.in.lifts(s.in.Setup.Attachment) {
		row, err := s.checkRow(lift)
		if err != nil {
			return err
		}
		s.Checks = append(s.Checks, row)
	}
	// Show the row of the arm's greatest reach, which it passes on the way up.
	reach := ballast.Lift{Datum: ballast.PinHeight, Load: s.in.Load, Basis: s.in.Basis, Factor: s.in.Factor, Speed: s.in.Speed,
		Height: min(max(s.in.Setup.Loader.Pivot.Z, s.in.Setup.Loader.LowestPin), s.in.Setup.Loader.HighestPin)}
	c, err := s.in.Setup.Check(reach, s.in.Load.Mass)
	if err != nil {
		return err
	}
	s.addAxles("with the load, arms level (greatest reach)", c.Axles)
	return nil
}

func (s *Sheet) addAxles(name string, w ballast.WheelLoads) {
	s.Axles = append(s.Axles, AxleRow{State: name, Loads: w, Low: w.RearShare() < 0.2})
}

// lifts fills the table of usable loads.
func (s *Sheet) lifts() error {
	type column struct {
		name   string
		attach *ballast.Attachment
		pieces []ballast.Piece
	}
	var columns []column
	add := func(on, off string, a *ballast.Attachment) {
		if s.Ballasted() {
			columns = append(columns, column{on, a, s.in.Setup.Pieces})
		}
		columns = append(columns, column{off, a, nil})
	}
	add(withBallast, withoutBallast, s.in.Setup.Attachment)
	if b := s.in.Bucket; b != nil {
		add(bucketBallast, bucketBare, b)
	}
	for k, c := range columns {
		setup := s.in.Setup
		setup.Attachment, setup.Pieces = c.attach, c.pieces
		model, err := setup.Compile()
		if err != nil {
			return err
		}
		for i, lift := range s.in.lifts(c.attach) {
			one, err := model.Case(lift)
			if err != nil {
				return err
			}
			use := one.Use()
			if k == 0 {
				pin := lift.Height
				if lift.Datum == ballast.TineHeight {
					pin -= c.attach.Tine
				}
				s.Lifts = append(s.Lifts, LiftRow{Case: lift.Name, Pin: pin, Tine: pin + c.attach.Tine})
				s.note(use.Notes.Lines())
				s.caution(use.Cautions.Lines())
				s.Factor = use.Factor
				s.unchecked(&use)
				s.rechecked(&use)
			}
			s.Lifts[i].Cells = append(s.Lifts[i].Cells, LiftCell{Column: c.name, Use: use})
		}
	}
	return nil
}

// unchecked lists the limits that are not checked at any height.
func (s *Sheet) unchecked(u *ballast.Use) {
	var now []string
	for _, l := range u.Limits {
		if (l.Status == stability.NotChecked || l.Status == stability.AtMost) && l.Kind != ballast.LimitBreakOut {
			now = append(now, l.Kind.Title())
		}
	}
	if s.NotChecked == nil {
		s.NotChecked = now
		return
	}
	for _, n := range now {
		s.NotChecked = addOnce(s.NotChecked, n)
	}
}

// rechecked lists what is broken without the load.
func (s *Sheet) rechecked(u *ballast.Use) {
	states := map[ballast.State]string{
		ballast.StateEmpty: "attachment empty", ballast.StateLowered: "attachment empty and lowered",
		ballast.StateLoaderOff: "loader off",
	}
	for _, r := range u.Rechecks {
		for _, l := range r.Limits {
			if l.Status == stability.Exceeded || l.Status == stability.ExceededWhenEmpty {
				s.Broken = addOnce(s.Broken, states[r.State]+": "+l.Kind.Title())
			}
		}
	}
}

// headingSteps is the number of headings of the slope curve.
const headingSteps = 72

// slopes finds how steep the ground may be, with the load low and high.
func (s *Sheet) slopes() error {
	model, err := s.in.Setup.Compile()
	if err != nil {
		return err
	}
	for _, state := range []struct {
		name string
		pin  units.Length
		load units.Mass
	}{
		{"forks empty, low", s.in.TravelPin, 0},
		{"with the load, low", s.in.TravelPin, s.in.Load.Mass},
		{"with the load, full height", s.in.Setup.Loader.HighestPin, s.in.Load.Mass},
	} {
		lift := ballast.Lift{Kind: ballast.Hold, Datum: ballast.PinHeight, Height: state.pin, Load: s.in.Load, Basis: s.in.Basis, Factor: s.in.Factor, Speed: s.in.Speed}
		one, err := model.Case(lift)
		if err != nil {
			return err
		}
		row := SlopeRow{State: state.name}
		if vehicle, err := one.Vehicle(state.load); err == nil {
			if err := s.slopeOf(&row, vehicle); err != nil {
				return err
			}
		} else {
			s.note([]string{err.Error()})
		}
		s.Slopes = append(s.Slopes, row)
	}
	return nil
}

// slopeOf fills a row from the vehicle that is the setup with the load.
func (s *Sheet) slopeOf(row *SlopeRow, vehicle stability.Vehicle) error {
	m, err := vehicle.Compile()
	if err != nil {
		return err
	}
	tip := m.WorstTip()
	row.Known, row.Tip, row.Heading = true, tip.First, tip.Heading
	s.note(tip.Notes.Lines())
	s.caution(tip.Cautions.Lines())
	for i := range headingSteps {
		at := stability.Situation{Heading: units.Angle(float64(i)/headingSteps) * units.Turn, Friction: s.in.Friction}
		l, err := m.Limits(at)
		if err != nil {
			return err
		}
		row.Curve = append(row.Curve, l.FirstTip)
		if before(l.FirstSlide, row.Slide) {
			row.Slide, row.SlideHead = l.FirstSlide, at.Heading
		}
		at.Held = stability.HeldAll
		if l, err = m.Limits(at); err != nil {
			return err
		}
		if before(l.FirstSlide, row.SlideAll) {
			row.SlideAll = l.FirstSlide
		}
	}
	row.First = row.Tip
	if before(row.Slide, row.Tip) {
		row.First = row.Slide
	}
	switch {
	case row.First.Status == stability.Exceeded,
		s.in.Slope > 0 && occurs(row.First) && float64(row.First.Slope()) <= float64(s.in.Slope):
		row.Yard = stability.Exceeded
	case s.in.Slope > 0 && s.in.Friction > 0:
		row.Yard = stability.Within
	}
	return nil
}

// occurs reports whether there is a slope at which a limit is reached.
func occurs(l stability.Limit) bool {
	return l.Status == stability.Within || l.Status == stability.Binds || l.Status == stability.Exceeded
}

// before reports whether limit a is reached at a lesser slope than b.
func before(a, b stability.Limit) bool {
	return occurs(a) && (!occurs(b) || a.Grade < b.Grade)
}

func (s *Sheet) note(lines []string)    { s.Notes = addOnce(s.Notes, lines...) }
func (s *Sheet) caution(lines []string) { s.Cautions = addOnce(s.Cautions, lines...) }

// addOnce appends the lines that the list does not have yet.
func addOnce(list []string, lines ...string) []string {
	for _, l := range lines {
		if !slices.Contains(list, l) {
			list = append(list, l)
		}
	}
	return list
}

// writeJSON writes the sheet as data; it ignores the display.
func writeJSON(w io.Writer, s *Sheet, _ units.Display) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(s)
}

// compass says a heading in words.
func compass(a units.Angle) string {
	d := math.Mod(float64(a/units.Degree)+360, 360)
	switch {
	case d < 5 || d > 355:
		return "nose uphill"
	case math.Abs(d-90) < 2.5 || math.Abs(d-270) < 2.5:
		return "across the slope"
	case math.Abs(d-180) < 5:
		return "nose downhill"
	case d < 90 || d > 270:
		return "across, nose partly uphill"
	}
	return "across, nose slightly downhill"
}
