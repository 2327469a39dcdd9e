package main

import (
	"context"
	"encoding/json"
	"io"
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
	// Travel is what may be carried over the roughest place of the yard; empty
	// where it is not given.
	Travel        []TravelRow         `json:"travel,omitempty"`
	Obstacle      *stability.Obstacle `json:"obstacle,omitempty"`
	ObstacleSpeed units.Speed         `json:"obstacleSpeed,omitempty"`

	// Plates are what the plates that nobody has read must say at least, for the
	// load asked about.
	Plates []PlateRow `json:"plates"`
	// Questions are what is worth finding out, the best first.
	Questions []ballast.Question `json:"questions"`
	// Assumed is what nobody gave and was taken from practice.
	Assumed []ballast.Assumption `json:"assumed"`
	// Rear says where the loader can lift the rear wheels.
	Rear ballast.RearLift `json:"rearLift"`
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
	Name string                  `json:"name"`
	Mass units.Range[units.Mass] `json:"mass"`
	Note string                  `json:"note"`
}

// AxleRow is what the axles carry in one state on level ground.
type AxleRow struct {
	State string                  `json:"state"`
	Loads ballast.WheelLoadRanges `json:"loads"`
	Low   bool                    `json:"low"` // the rear axle carries less than a fifth
}

// LiftRow is one height: what may be lifted there, in each column.
type LiftRow struct {
	Case   string       `json:"case"`
	Height string       `json:"-"`
	Pin    units.Length `json:"pin"`
	Tine   units.Length `json:"tine"`
	Cells  []LiftCell   `json:"cells"`
}

// LiftCell is the usable load in one column.
type LiftCell struct {
	Column string         `json:"column"`
	Usable ballast.Usable `json:"usable"`
}

// CheckRow is the answer for the load asked about.
type CheckRow struct {
	Case  string           `json:"case"`
	Check ballast.Judgment `json:"check"`
}

// PlateRow is what one plate must say at least.
type PlateRow struct {
	Limit ballast.LimitKind `json:"limit"`
	// Mass is the least, zero where it is not a mass that must be found out.
	Mass units.Mass `json:"mass"`
}

// exceeds reports whether the load asked for exceeds a limit in some case, whatever is
// not known.
func (s *Sheet) exceeds() bool {
	return slices.ContainsFunc(s.Checks, func(r CheckRow) bool { return r.Check.Verdict == ballast.ExceedsLimit })
}

// checkRow asks whether the load may be lifted in a case.
func (s *Sheet) checkRow(e *ballast.Envelope, lift ballast.Lift) (CheckRow, error) {
	c, err := e.Check(lift, s.in.Load.Mass)
	if err != nil {
		return CheckRow{}, err
	}
	for _, l := range c.Limits {
		if l.Verdict != ballast.NeedsRatings {
			continue
		}
		i := slices.IndexFunc(s.Plates, func(p PlateRow) bool { return p.Limit == l.Kind })
		if i < 0 {
			s.Plates = append(s.Plates, PlateRow{Limit: l.Kind})
			i = len(s.Plates) - 1
		}
		s.Plates[i].Mass = max(s.Plates[i].Mass, l.Required)
	}
	if s.Questions == nil && !c.Verdict.OK() {
		if s.Questions, err = e.Questions(context.Background(), lift, s.in.Load.Mass); err != nil {
			return CheckRow{}, err
		}
	}
	return CheckRow{Case: lift.Name, Check: c}, nil
}

// SlopeRow is the slope limit in one state.
type SlopeRow struct {
	Limit ballast.SlopeLimit `json:"limit"` // as far as the setup says
	State string             `json:"state"`
	// Standing says that the load is too high to drive with.
	Standing  bool              `json:"standing"`
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
	for _, part := range []func() error{s.fills, s.axles, s.lifts, s.slopes, s.travel} {
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
			s.Pieces = append(s.Pieces, PieceRow{Name: p.Name, Mass: massOf(p.Mass), Note: note})
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
		var steps []string
		for _, r := range p.Fill.Steps() {
			steps = append(steps, r.Text)
		}
		if !f.Flows() {
			permanent = steps
		} else if len(steps) > len(s.Steps) {
			s.Steps = steps
		}
	}
	s.Steps = addOnce(s.Steps, permanent...)
	return nil
}

func massOf(in units.Input[units.Mass]) units.Range[units.Mass] {
	r, _ := in.Range()
	return r
}

// hitchNotes say when ballast on the hitch counts.
var hitchNotes = map[ballast.HitchState]string{
	ballast.Raised:   "counts only while it is raised",
	ballast.Resting:  "rests on the ground and does not count",
	ballast.Floating: "floats and counts only for the part that is carried",
}

// axles lists what the axles carry, bare, with loader, with load.
func (s *Sheet) axles() error {
	noBallast := s.in.Setup
	noBallast.Pieces = nil
	bare, err := noBallast.Envelope(s.in.practice())
	if err != nil {
		return err
	}
	e, err := s.in.Setup.Envelope(s.in.practice())
	if err != nil {
		return err
	}
	type state struct {
		name  string
		of    *ballast.Envelope
		state ballast.State
	}
	states := []state{
		{"tractor, no ballast, loader off", bare, ballast.StateLoaderOff},
		{"tractor with ballast, loader off", e, ballast.StateLoaderOff},
		{"loader and forks on, NO ballast", bare, ballast.StateLowered},
		{"loader and forks on, with ballast", e, ballast.StateLowered},
	}
	if !s.Ballasted() {
		states = []state{states[0], states[2]}
	}
	for _, state := range states {
		w, err := state.of.WheelLoads(state.state)
		if err != nil {
			return err
		}
		s.addAxles(state.name, w)
	}
	s.Assumed = e.Assumed()
	for _, lift := range s.in.lifts(s.in.Setup.Attachment) {
		row, err := s.checkRow(e, lift)
		if err != nil {
			return err
		}
		s.Checks = append(s.Checks, row)
	}
	// The arm passes its greatest reach on the way; that is the row to show.
	reach := ballast.Lift{Datum: ballast.PinHeight, Load: s.in.Load, Basis: s.in.Basis, Factor: s.in.Factor, Speed: s.in.Speed,
		Height: s.reach()}
	c, err := e.Check(reach, s.in.Load.Mass)
	if err != nil {
		return err
	}
	s.addAxles("with the load, arms level (greatest reach)", c.Axles)
	s.Rear, err = e.RearLift(context.Background(), reach)
	return err
}

func (s *Sheet) addAxles(name string, w ballast.WheelLoadRanges) {
	s.Axles = append(s.Axles, AxleRow{State: name, Loads: w, Low: w.Rear.Low < 0.2*w.Total.High})
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
		e, err := setup.Envelope(s.in.practice())
		if err != nil {
			return err
		}
		for i, lift := range s.in.lifts(c.attach) {
			u, err := e.UsableLoad(lift)
			if err != nil {
				return err
			}
			if k == 0 {
				pin := lift.Height
				if lift.Datum == ballast.TineHeight {
					pin -= middle(c.attach.Tine)
				}
				s.Lifts = append(s.Lifts, LiftRow{Case: lift.Name, Pin: pin, Tine: pin + middle(c.attach.Tine)})
				s.note(u.Notes.Lines())
				s.caution(u.Cautions.Lines())
				s.Factor = u.Factor
				s.rechecked(&u)
			}
			s.Lifts[i].Cells = append(s.Lifts[i].Cells, LiftCell{Column: c.name, Usable: u})
		}
	}
	return nil
}

// rechecked lists what is broken without the load.
func (s *Sheet) rechecked(u *ballast.Usable) {
	states := map[ballast.State]string{
		ballast.StateEmpty: "attachment empty", ballast.StateLowered: "attachment empty and lowered",
		ballast.StateLoaderOff: "loader off",
	}
	for _, r := range u.Rechecks {
		for _, l := range u.Limits {
			switch set := ballast.LimitSet(1) << (l.Kind - 1); {
			case r.Exceeded.Has(set):
				s.Broken = addOnce(s.Broken, states[r.State]+": "+l.Kind.Title())
			case r.Open.Has(set):
				s.Broken = addOnce(s.Broken, states[r.State]+": "+l.Kind.Title()+", which it may or may not exceed")
			}
		}
	}
}

// headingSteps is the number of headings of the slope curve.
const headingSteps = 72

// slopes finds how steep the ground may be, with the load low and high.
func (s *Sheet) slopes() error {
	model, single := s.in.Setup.Compile() // for the curves, of a single machine
	e, err := s.in.Setup.Envelope(s.in.practice())
	if err != nil {
		return err
	}
	ground := ballast.Ground{Friction: units.Range[units.Fraction]{Low: s.in.Friction, High: s.in.Friction}, Margin: s.in.SlopeMargin, Manual: s.in.SlopeManual}
	for _, state := range []struct {
		name string
		pin  units.Length
		load units.Mass
	}{
		{"forks empty, low", s.in.TravelPin, 0},
		{"with the load, low", s.in.TravelPin, s.in.Load.Mass},
		{"with the load, full height", middle(s.in.Setup.Loader.HighestPin), s.in.Load.Mass},
	} {
		lift := ballast.Lift{Kind: ballast.Hold, Datum: ballast.PinHeight, Height: state.pin, Load: s.in.Load, Basis: s.in.Basis, Factor: s.in.Factor, Speed: s.in.Speed}
		row := SlopeRow{State: state.name, Standing: state.pin > s.in.TravelPin}
		if row.Limit, err = e.SlopeLimit(context.Background(), lift, state.load, ground); err != nil {
			return err
		}
		s.caution(row.Limit.Cautions.Lines())
		if single == nil {
			if err := s.curve(&row, model, lift, state.load); err != nil {
				return err
			}
		}
		row.yard(s.in)
		s.Slopes = append(s.Slopes, row)
	}
	return nil
}

// reach is the pin height at which the arm is level, or the nearest to it.
func (s *Sheet) reach() units.Length {
	l := s.in.Setup.Loader
	return min(max(middle(l.Pivot.Z), middle(l.LowestPin)), middle(l.HighestPin))
}

// middle is the value of an input, or the middle of its range.
func middle(in units.Input[units.Length]) units.Length {
	r, _ := in.Range()
	return r.Low + (r.High-r.Low)/2
}

// curve fills in the tipping limit by heading of a single machine.
func (s *Sheet) curve(row *SlopeRow, model *ballast.Model, lift ballast.Lift, load units.Mass) error {
	one, err := model.Case(lift)
	if err != nil {
		return err
	}
	vehicle, err := one.Vehicle(load)
	if err != nil {
		return nil // a height is missing
	}
	return s.slopeOf(row, vehicle)
}

// slopeOf fills a row from the vehicle that the load makes of the setup.
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
	return nil
}

// yard holds the steepest ground of the yard against what the row says: it is
// within only where nothing that is open could make it too steep.
func (row *SlopeRow) yard(in *Input) {
	l := &row.Limit
	most := l.Tip.High
	if l.Slide.High > 0 {
		most = min(most, l.Slide.High)
	}
	switch {
	case l.Status == stability.Exceeded, l.Status != stability.NotChecked && in.Slope > 0 && in.Slope >= most:
		row.Yard = stability.Exceeded
	case l.Status == stability.Within && in.Slope > 0 && in.Slope <= l.Operator:
		row.Yard = stability.Within
	}
}

// occurs reports whether a limit has a slope at which it comes.
func occurs(l stability.Limit) bool {
	return l.Status == stability.Within || l.Status == stability.Binds || l.Status == stability.Exceeded
}

// before reports whether limit a comes at a lesser slope than b.
func before(a, b stability.Limit) bool {
	return occurs(a) && (!occurs(b) || a.Grade < b.Grade)
}

func (s *Sheet) note(lines []string)    { s.Notes = addOnce(s.Notes, lines...) }
func (s *Sheet) caution(lines []string) { s.Cautions = addOnce(s.Cautions, lines...) }

// addOnce appends the lines that the list does not hold.
func addOnce(list []string, lines ...string) []string {
	for _, l := range lines {
		if !slices.Contains(list, l) {
			list = append(list, l)
		}
	}
	return list
}

// writeJSON writes the sheet as data; the display does not matter to it.
func writeJSON(w io.Writer, s *Sheet, _ units.Display) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(s)
}
