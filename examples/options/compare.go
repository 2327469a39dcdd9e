package main

import (
	"context"
	"slices"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/jobs"
	"example.com/steelyard/units"
)

// Answer is the comparison as data.
type Answer struct {
	Machine    string `json:"machine"`
	Attachment string `json:"attachment"`
	// Options are the choices in the order of the file, planned ones behind.
	Options []Option `json:"options"`
	// Unplanned says that the needs are met by nothing in stock.
	Unplanned bool `json:"unplanned"`
	// Swaps are the other attachments, on the first option.
	Swaps []Swap `json:"swaps"`
	// Sheet says why the loader lifts less than its data sheet says.
	Sheet []Step `json:"sheet"`
	// Loads are what loads weigh.
	Loads []LoadRow `json:"loads"`
	// Rear says where the loader can lift the rear wheels, on the first option.
	Cautions []units.Remark `json:"cautions"`
	Notes    []units.Remark `json:"notes"`

	in *Input
}

// Option is one choice.
type Option struct {
	Name    string        `json:"name"`
	Planned bool          `json:"planned"`
	Cents   int64         `json:"cents"`
	Setup   ballast.Setup `json:"-"`
	// Added is the mass that it adds.
	Added units.Range[units.Mass] `json:"added"`
	// Jobs are the three jobs.
	Jobs []JobRow `json:"jobs"`
	// With and Without are the axle loads with the loader on, lowered and empty, and with the
	// loader off.
	With    ballast.WheelLoadRanges `json:"with"`
	Without ballast.WheelLoadRanges `json:"without"`
	// Broken are limits that are exceeded without the load, or may be.
	Broken []Broken `json:"broken"`
	// Rear says where the loader can lift the rear wheels.
	Rear ballast.RearLift `json:"rearLift"`
}

// JobRow is what may be carried on a job.
type JobRow struct {
	Job    jobs.Job       `json:"job"`
	Usable ballast.Usable `json:"usable"`
}

// Broken is a limit that is exceeded without the load, or may be.
type Broken struct {
	State ballast.State     `json:"state"`
	Limit ballast.LimitKind `json:"limit"`
	Open  bool              `json:"open"`
}

// Swap is another attachment in place of the setup's.
type Swap struct {
	Name string   `json:"name"`
	Jobs []JobRow `json:"jobs"`
}

// Step is one reason why the loader lifts less than its data sheet says.
type Step struct {
	Kind string `json:"kind"` // sheet, pressure, mass, distance or height
	// Lift is what it lifts then.
	Lift units.Range[units.Mass] `json:"lift"`
}

// LoadRow is what a load weighs, and which options carry it on all three jobs.
type LoadRow struct {
	Name     string                  `json:"name"`
	Mass     units.Range[units.Mass] `json:"mass"`
	Verdicts []ballast.Verdict       `json:"verdicts"`
}

// three are the jobs that are compared.
var three = []jobs.Kind{jobs.Clear, jobs.Lower, jobs.Place}

func (in *Input) practice() ballast.Practice {
	if in.Practice == nil {
		return ballast.Practice{}
	}
	return *in.Practice
}

// jobs are the three jobs with an attachment; one of another kind carries the load where it sits
// on it.
func (in *Input) jobs(a *ballast.Attachment) []jobs.Job {
	y := jobs.Yard{Deck: in.Deck, Travel: in.TravelPin, Speed: in.Speed, Place: in.Place, Load: in.Load, Basis: in.Basis, Factor: in.Factor}
	y.Load.Mass, y.Load.Density, y.Load.Volume = 0, 0, 0
	if a.Kind != in.Setup.Attachment.Kind {
		y.Load = ballast.Load{}
	}
	return slices.DeleteFunc(jobs.Of(in.Setup.Loader, a, y), func(j jobs.Job) bool { return !slices.Contains(three, j.Kind) })
}

// compare asks all questions.
func compare(ctx context.Context, in *Input) (*Answer, error) {
	a := &Answer{Machine: in.Setup.Machine.Name, Attachment: in.Setup.Attachment.Name, in: in}
	for i, o := range in.Options {
		setup := in.Setup
		setup.Pieces = slices.Concat(in.Setup.Pieces, o.Pieces)
		one, err := a.option(setup, o.Pieces)
		if err != nil {
			return nil, at(units.Index("options", i), err)
		}
		one.Name, one.Cents = o.Name, o.Cents
		a.Options = append(a.Options, one)
	}
	if err := a.plan(ctx); err != nil {
		return nil, err
	}
	if len(a.Options) == 0 {
		return a, nil
	}
	base := a.Options[0].Setup
	for i := range in.Attachments {
		setup := base
		setup.Attachment = &in.Attachments[i]
		rows, err := a.rows(setup)
		if err != nil {
			return nil, at(units.Index("attachments", i), err)
		}
		a.Swaps = append(a.Swaps, Swap{in.Attachments[i].Name, rows})
	}
	if err := a.sheet(base); err != nil {
		return nil, err
	}
	if err := a.loads(); err != nil {
		return nil, err
	}
	a.Cautions, a.Notes = units.SortRemarks(a.Cautions), units.SortRemarks(a.Notes)
	return a, nil
}

// at puts an error at a place of the file.
func at(path string, err error) error {
	var e units.FieldErrors
	e.Join(path, err)
	return e.Err()
}

// rows asks about the three jobs.
func (a *Answer) rows(setup ballast.Setup) ([]JobRow, error) {
	e, err := setup.Envelope(a.in.practice())
	if err != nil {
		return nil, err
	}
	var rows []JobRow
	for _, j := range a.in.jobs(setup.Attachment) {
		u, err := e.UsableLoad(j.Lift)
		if err != nil {
			return nil, err
		}
		rows = append(rows, JobRow{j, u})
		a.Cautions = append(a.Cautions, u.Cautions.Remarks()...)
		a.Notes = append(a.Notes, u.Notes.Remarks()...)
		a.Notes = append(a.Notes, u.FillNotes.Remarks()...)
	}
	return rows, nil
}

// option asks about a machine with its pieces.
func (a *Answer) option(setup ballast.Setup, added []ballast.Piece) (o Option, err error) {
	o.Setup = setup
	if o.Jobs, err = a.rows(setup); err != nil {
		return o, err
	}
	for _, j := range o.Jobs {
		for _, r := range j.Usable.Rechecks {
			for _, l := range j.Usable.Limits {
				set := ballast.LimitSet(1) << (l.Kind - 1)
				b := Broken{r.State, l.Kind, !r.Exceeded.Has(set)}
				if (r.Exceeded.Has(set) || r.Open.Has(set)) && !slices.Contains(o.Broken, b) {
					o.Broken = append(o.Broken, b)
				}
			}
		}
	}
	e, err := setup.Envelope(a.in.practice())
	if err != nil {
		return o, err
	}
	if o.With, err = e.WheelLoads(ballast.StateLowered); err != nil {
		return o, err
	}
	if o.Without, err = e.WheelLoads(ballast.StateLoaderOff); err != nil {
		return o, err
	}
	if o.Rear, err = e.RearLift(context.Background(), o.Jobs[0].Job.Lift); err != nil {
		return o, err
	}
	a.Cautions = append(a.Cautions, o.Rear.Cautions.Remarks()...)
	for _, x := range added {
		x, err := x.Solve()
		if err != nil {
			return o, err
		}
		if m, ok := x.Mass.Range(); ok {
			o.Added.Low, o.Added.High = o.Added.Low+m.Low, o.Added.High+m.High
		}
	}
	return o, nil
}

// most is how many planned options are shown.
const most = 3

// plan adds the plans that no other beats in mass and price.
func (a *Answer) plan(ctx context.Context) error {
	in := a.in
	if in.Needs == nil {
		return nil
	}
	needs := *in.Needs
	needs.Goal = ballast.LeastBoth
	p, err := ballast.Plan(ctx, in.Setup, needs, *in.Stock)
	if err != nil {
		return err
	}
	a.Cautions = append(a.Cautions, p.Cautions.Remarks()...)
	a.Notes = append(a.Notes, p.Notes.Remarks()...)
	if p.Status != ballast.PlanOptimal && p.Status != ballast.PlanFeasible {
		a.Unplanned = true
		return nil
	}
	list := p.Frontier
	if len(list) == 0 {
		list = []ballast.Selection{p.Best}
	}
	for _, s := range list[:min(most, len(list))] {
		o, err := a.option(s.Setup(in.Setup, *in.Stock), nil)
		if err != nil {
			return err
		}
		o.Planned, o.Cents, o.Added = true, s.Cents, units.Range[units.Mass]{Low: s.Mass, High: s.Mass}
		for _, c := range s.Pieces() {
			if o.Name != "" {
				o.Name += ", "
			}
			o.Name += c.Name
		}
		a.Options = append(a.Options, o)
	}
	return nil
}

// sheet finds one reason after the other why the loader lifts less than its data sheet says: at the
// sheet's pressure with the bare pin; with the pressure of this machine; less the attachment; with
// the load where it sits; at the height of the last job.
func (a *Answer) sheet(setup ballast.Setup) error {
	d := a.in.DataSheet
	if d == nil {
		return nil
	}
	ask := func(setup ballast.Setup, attachment *ballast.Attachment, load ballast.Load, pin units.Length) (units.Range[units.Mass], error) {
		setup.Attachment = attachment
		e, err := setup.Envelope(a.in.practice())
		if err != nil {
			return units.Range[units.Mass]{}, err
		}
		u, err := e.UsableLoad(ballast.Lift{Datum: ballast.PinHeight, Height: pin, Load: load, Speed: a.in.Speed, Basis: a.in.Basis, Factor: a.in.Factor})
		return u.Lift.IfRated, err
	}
	a.Sheet = append(a.Sheet, Step{"sheet", units.Range[units.Mass]{Low: d.Lift, High: d.Lift}})
	bare := &ballast.Attachment{Kind: ballast.BarePin}
	if l := setup.Loader; l.Cylinders != nil {
		if d.Pressure != 0 {
			at := setup
			loader, cylinders := *l, *l.Cylinders
			cylinders.Pressure = units.Is(d.Pressure)
			loader.Cylinders = &cylinders
			at.Loader = &loader
			r, err := ask(at, bare, ballast.Load{}, d.PinHeight)
			if err != nil {
				return err
			}
			a.Sheet = append(a.Sheet, Step{"calculated", r})
		}
		r, err := ask(setup, bare, ballast.Load{}, d.PinHeight)
		if err != nil {
			return err
		}
		a.Sheet = append(a.Sheet, Step{"pressure", r})
	} else {
		r, err := ask(setup, bare, ballast.Load{}, d.PinHeight)
		if err != nil {
			return err
		}
		a.Sheet = append(a.Sheet, Step{"calculated", r})
	}
	last := a.Sheet[len(a.Sheet)-1].Lift
	if m, ok := setup.Attachment.Mass.Range(); ok {
		a.Sheet = append(a.Sheet, Step{"mass", units.Range[units.Mass]{Low: max(0, last.Low-m.High), High: max(0, last.High-m.Low)}})
	}
	load := a.in.jobs(setup.Attachment)[0].Lift.Load
	r, err := ask(setup, setup.Attachment, load, d.PinHeight)
	if err != nil {
		return err
	}
	a.Sheet = append(a.Sheet, Step{"distance", r})
	list := a.in.jobs(setup.Attachment)
	place := list[len(list)-1]
	if r, err = ask(setup, setup.Attachment, load, place.Pin); err != nil {
		return err
	}
	a.Sheet = append(a.Sheet, Step{"height", r})
	return nil
}

// loads says what the loads weigh and which options carry them on all three jobs; of a load that is
// known as a range its high end counts.
func (a *Answer) loads() error {
	for i := range a.in.Loads {
		w := &a.in.Loads[i]
		row := LoadRow{Name: w.Name, Mass: w.weight()}
		for _, o := range a.Options {
			e, err := o.Setup.Envelope(a.in.practice())
			if err != nil {
				return err
			}
			worst := ballast.NoLimitExceeded
			if slices.ContainsFunc(o.Broken, func(b Broken) bool { return !b.Open }) {
				worst = ballast.ExceedsLimit // it is not for use with any load
			}
			for _, j := range o.Jobs {
				c, err := e.Check(j.Job.Lift, row.Mass.High)
				if err != nil {
					return at(units.Index("loads", i), err)
				}
				if order[c.Verdict] < order[worst] {
					worst = c.Verdict
				}
			}
			row.Verdicts = append(row.Verdicts, worst)
		}
		a.Loads = append(a.Loads, row)
	}
	return nil
}

// order puts the worst verdict first.
var order = map[ballast.Verdict]int{ballast.ExceedsLimit: 0, ballast.CannotSay: 1, ballast.NeedsRatings: 2, ballast.NoLimitExceeded: 3}
