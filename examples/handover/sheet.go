package main

import (
	"context"
	"encoding/json"
	"io"
	"slices"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/jobs"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Sheet is the whole content of the sheet as data.
type Sheet struct {
	Title      string         `json:"title"`
	Machine    string         `json:"machine"`
	Attachment string         `json:"attachment"`
	LoadName   string         `json:"loadName"`
	Load       units.Mass     `json:"load"`
	Basis      ballast.Basis  `json:"basis"`
	Factor     float64        `json:"factor"`
	Slope      units.Slope    `json:"slope"`
	Ground     units.Fraction `json:"friction"`

	// Checks are the answers for the load asked about, job by job.
	Checks []CheckRow `json:"checks"`
	// Poses are low, arms level and high.
	Poses []PoseRow `json:"poses"`
	// Columns are the attachments with and without ballast, Lifts what may be lifted.
	Columns []Column   `json:"columns"`
	Lifts   []LiftRow  `json:"lifts"`
	Slopes  []SlopeRow `json:"slopes"`

	// Obstacle is the roughest place of the yard, Travel what may be carried over it at
	// ObstacleSpeed; nil where nobody has measured it.
	Obstacle      *stability.Obstacle `json:"obstacle,omitempty"`
	ObstacleSpeed units.Speed         `json:"obstacleSpeed,omitempty"`
	Travel        []TravelRow         `json:"travel,omitempty"`

	Fills  []FillRow  `json:"fills"`
	Pieces []PieceRow `json:"pieces"`
	Axles  []AxleRow  `json:"axles"`

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
	Broken []BrokenRow `json:"broken"`
	// First are the cautions that this answer triggers, Rest all others.
	First []units.Remark `json:"first"`
	Rest  []units.Remark `json:"rest"`
	Notes []units.Remark `json:"notes"`

	in       *Input
	cautions []units.Remark
}

// CheckRow is the answer for the load asked about, for one job.
type CheckRow struct {
	Job   jobs.Job         `json:"job"`
	Check ballast.Judgment `json:"check"`
}

// PoseRow is what may be lifted with the arms at one height.
type PoseRow struct {
	Kind  string           `json:"kind"` // low, level or high
	Pin   units.Length     `json:"pin"`
	Edge  units.Length     `json:"edge"`
	Check ballast.Judgment `json:"check"`
}

// Column is an attachment with ballast or without.
type Column struct {
	Attachment string `json:"attachment"`
	Ballast    bool   `json:"ballast"`
}

// LiftRow is one job: what may be lifted, in each column.
type LiftRow struct {
	Job   jobs.Kind        `json:"job"`
	Cells []ballast.Usable `json:"cells"`
}

// FillRow is the liquid in one tire of a pair.
type FillRow struct {
	Name   string        `json:"name"`
	Fill   liquid.Fill   `json:"fill"`
	Tires  int           `json:"tires"`
	Filled liquid.Filled `json:"filled"`
}

// PieceRow is a piece of ballast that is not liquid.
type PieceRow struct {
	Name  string                  `json:"name"`
	Mass  units.Range[units.Mass] `json:"mass"`
	Hitch bool                    `json:"hitch"`
	State ballast.HitchState      `json:"state"`
}

// AxleRow is what the axles carry in one state on level ground.
type AxleRow struct {
	State string                  `json:"state"` // loaderOff, lowered or reach
	Bare  bool                    `json:"bare"`  // without ballast
	Loads ballast.WheelLoadRanges `json:"loads"`
}

// PlateRow is what one plate must say at least.
type PlateRow struct {
	Limit ballast.LimitKind `json:"limit"`
	// Mass is the least, zero where it is not a mass that must be found out.
	Mass units.Mass `json:"mass"`
}

// BrokenRow is a limit that is exceeded without the load, or may be.
type BrokenRow struct {
	State ballast.State     `json:"state"`
	Limit ballast.LimitKind `json:"limit"`
	Open  bool              `json:"open"` // it may be
}

// SlopeRow is the slope limit in one state.
type SlopeRow struct {
	State string             `json:"state"` // empty, low or high
	Limit ballast.SlopeLimit `json:"limit"` // as far as the setup says
	Yard  stability.Status   `json:"yard"`  // at the yard's steepest ground
}

func makeSheet(in *Input) (*Sheet, error) {
	s := &Sheet{
		Title: in.Title, Machine: in.Setup.Machine.Name, Attachment: in.Setup.Attachment.Name, LoadName: in.Load.Name, Load: in.mass(),
		Basis: in.Basis, Slope: in.Slope, Ground: in.Friction, in: in,
	}
	for _, part := range []func() error{s.fills, s.answers, s.axles, s.lifts, s.slopes, s.travel} {
		if err := part(); err != nil {
			return nil, err
		}
	}
	s.Notes = units.SortRemarks(s.Notes)
	s.rank()
	return s, nil
}

// Ballasted reports whether the setup has any ballast.
func (s *Sheet) Ballasted() bool { return len(s.in.Setup.Pieces) > 0 }

// answers asks about the load, job by job and at three heights.
func (s *Sheet) answers() error {
	e, err := s.in.Setup.Envelope(s.in.practice())
	if err != nil {
		return err
	}
	s.Assumed = e.Assumed()
	for _, j := range s.in.jobs(s.in.Setup.Attachment) {
		c, err := e.Check(j.Lift, s.Load)
		if err != nil {
			return err
		}
		s.Checks = append(s.Checks, CheckRow{j, c})
		s.caution(c.Usable.Cautions.Remarks())
		s.note(c.Usable.Notes.Remarks())
		s.note(c.Usable.FillNotes.Remarks())
		s.Factor = c.Usable.Factor
		s.rechecked(&c.Usable)
		s.plates(&c)
		if s.Questions == nil && !c.Verdict.OK() {
			if s.Questions, err = e.Questions(context.Background(), j.Lift, s.Load); err != nil {
				return err
			}
		}
	}
	// With the load low counts what carrying it allows, with the arms up what placing it allows:
	// the way there passes the greatest reach.
	level, err := e.Check(s.hold(s.reach()), s.Load)
	if err != nil {
		return err
	}
	carry, place := s.Checks[3], s.Checks[4]
	below := jobs.Below(s.in.Setup.Attachment)
	s.Poses = []PoseRow{
		{"low", carry.Job.Pin, carry.Job.Edge, carry.Check},
		{"level", s.reach(), s.reach() + below, level},
		{"high", place.Job.Pin, place.Job.Edge, place.Check},
	}
	s.Rear, err = e.RearLift(context.Background(), s.hold(s.reach()))
	if err != nil {
		return err
	}
	s.caution(s.Rear.Cautions.Remarks())
	return nil
}

// hold is the case of holding the load with the pin at a height.
func (s *Sheet) hold(pin units.Length) ballast.Lift {
	return ballast.Lift{Datum: ballast.PinHeight, Height: pin, Load: s.in.Load, Basis: s.in.Basis, Factor: s.in.Factor, Speed: s.in.Speed}
}

// reach is the pin height at which the arm is level, or the nearest to it.
func (s *Sheet) reach() units.Length {
	return jobs.Level(s.in.Setup.Loader, s.Assumed)
}

// place is the pin height at which the load is placed.
func (s *Sheet) place() units.Length {
	if s.in.Place != 0 {
		return s.in.Place - jobs.Below(s.in.Setup.Attachment)
	}
	return jobs.Middle(s.in.Setup.Loader.HighestPin)
}

// plates collects what the plates that nobody has read must say.
func (s *Sheet) plates(c *ballast.Judgment) {
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
}

// exceeds reports whether the load asked for exceeds a limit in some job, whatever is
// not known.
func (s *Sheet) exceeds() bool {
	return slices.ContainsFunc(s.Checks, func(r CheckRow) bool { return r.Check.Verdict == ballast.ExceedsLimit })
}

// missing reports whether a rating is missing in some job.
func (s *Sheet) missing() bool { return len(s.Plates) > 0 }

// fills solves the fills and lists the other pieces.
func (s *Sheet) fills() error {
	for i, p := range s.in.Setup.Pieces {
		if p.Fill == nil {
			r, _ := p.Mass.Range()
			s.Pieces = append(s.Pieces, PieceRow{Name: p.Name, Mass: r, Hitch: p.Kind.OnHitch(), State: p.State})
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
		s.Fills = append(s.Fills, FillRow{Name: p.Name, Fill: *p.Fill, Tires: n, Filled: f})
		s.note(f.Notes.Remarks())
		s.caution(f.Cautions.Remarks())
	}
	return nil
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
	for _, x := range []struct {
		name  string
		state ballast.State
	}{{"loaderOff", ballast.StateLoaderOff}, {"lowered", ballast.StateLowered}} {
		for _, without := range []bool{true, false} {
			of := e
			if without {
				of = bare
			} else if !s.Ballasted() {
				continue
			}
			w, err := of.WheelLoads(x.state)
			if err != nil {
				return err
			}
			s.Axles = append(s.Axles, AxleRow{x.name, without, w})
		}
	}
	// The arm passes its greatest reach on the way; that is the row to show.
	s.Axles = append(s.Axles, AxleRow{"reach", !s.Ballasted(), s.Poses[1].Check.Axles})
	return nil
}

// lifts fills the table of usable loads.
func (s *Sheet) lifts() error {
	for _, j := range s.Checks {
		s.Lifts = append(s.Lifts, LiftRow{Job: j.Job.Kind})
	}
	for _, a := range []*ballast.Attachment{s.in.Setup.Attachment, s.in.Compare} {
		if a == nil {
			continue
		}
		for _, with := range []bool{true, false} {
			setup := s.in.Setup
			setup.Attachment = a
			if !with {
				setup.Pieces = nil
			} else if !s.Ballasted() {
				continue
			}
			e, err := setup.Envelope(s.in.practice())
			if err != nil {
				return err
			}
			s.Columns = append(s.Columns, Column{a.Name, with})
			for i, j := range s.in.jobs(a) {
				u, err := e.UsableLoad(j.Lift)
				if err != nil {
					return err
				}
				s.Lifts[i].Cells = append(s.Lifts[i].Cells, u)
			}
		}
	}
	return nil
}

// rechecked lists what is broken without the load.
func (s *Sheet) rechecked(u *ballast.Usable) {
	for _, r := range u.Rechecks {
		for _, l := range u.Limits {
			set := ballast.LimitSet(1) << (l.Kind - 1)
			row := BrokenRow{State: r.State, Limit: l.Kind, Open: !r.Exceeded.Has(set)}
			if (r.Exceeded.Has(set) || r.Open.Has(set)) && !slices.Contains(s.Broken, row) {
				s.Broken = append(s.Broken, row)
			}
		}
	}
}

// slopes finds how steep the ground may be, with the load low and high.
func (s *Sheet) slopes() error {
	model, single := s.in.Setup.Compile() // of a single machine there is more to say
	e, err := s.in.Setup.Envelope(s.in.practice())
	if err != nil {
		return err
	}
	for _, x := range []struct {
		state string
		pin   units.Length
		load  units.Mass
	}{
		{"empty", s.in.TravelPin, 0},
		{"low", s.in.TravelPin, s.Load},
		{"high", s.place(), s.Load},
	} {
		lift := s.hold(x.pin)
		row := SlopeRow{State: x.state}
		if row.Limit, err = e.SlopeLimit(context.Background(), lift, x.load, s.ground()); err != nil {
			return err
		}
		s.caution(row.Limit.Cautions.Remarks())
		s.note(row.Limit.Notes.Remarks())
		if single == nil {
			if err := s.rigid(model, lift, x.load); err != nil {
				return err
			}
		}
		row.yard(s.in)
		s.Slopes = append(s.Slopes, row)
	}
	return nil
}

func (s *Sheet) ground() ballast.Ground {
	return ballast.Ground{Friction: units.Range[units.Fraction]{Low: s.in.Friction, High: s.in.Friction}, Margin: s.in.SlopeMargin, Manual: s.in.SlopeManual}
}

// rigid collects what the balance of a single machine has to say of slopes.
func (s *Sheet) rigid(model *ballast.Model, lift ballast.Lift, load units.Mass) error {
	one, err := model.Case(lift)
	if err != nil {
		return err
	}
	vehicle, err := one.Vehicle(load)
	if err != nil {
		return nil // a height is missing
	}
	m, err := vehicle.Compile()
	if err != nil {
		return err
	}
	tip := m.WorstTip()
	s.note(tip.Notes.Remarks())
	s.caution(tip.Cautions.Remarks())
	return nil
}

// operator is the one figure for whoever drives, empty or with the load low.
func (s *Sheet) operator() (units.Slope, stability.Status) {
	a, b := &s.Slopes[0].Limit, &s.Slopes[1].Limit
	for _, bad := range []stability.Status{stability.Exceeded, stability.NotChecked, stability.AtMost} {
		if a.Status == bad || b.Status == bad {
			return 0, bad
		}
	}
	return min(a.Operator, b.Operator), stability.Within
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

func (s *Sheet) note(list []units.Remark)    { s.Notes = append(s.Notes, list...) }
func (s *Sheet) caution(list []units.Remark) { s.cautions = append(s.cautions, list...) }

// writeJSON writes the sheet as data.
func writeJSON(w io.Writer, s *Sheet) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(s)
}
