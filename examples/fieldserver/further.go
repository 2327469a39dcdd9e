package main

import (
	"context"
	"errors"

	"example.com/steelyard/ballast"
	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

type planAnswer struct {
	Plan ballast.Proposal `json:"plan"`
	// Notes says in sentences how the plan was reached.
	Notes []string `json:"notes"`
	// Cautions must be shown with the plan.
	Cautions []string `json:"cautions"`
}

// maxWork bounds the work of a plan, in millions of steps, beside the time of a request.
const maxWork = 3000

func plan(ctx context.Context, d *ballast.Document) (planAnswer, error) {
	var bad units.FieldErrors
	if d.Needs == nil {
		bad.Add("needs", nil, "must be given for a plan")
	} else if d.Needs.Work > maxWork {
		bad.Add("needs.work", d.Needs.Work, "must be at most 3000 here")
	}
	if err := bad.Err(); err != nil {
		return planAnswer{}, err
	}
	p, err := d.Plan(ctx)
	if err != nil {
		return planAnswer{}, err
	}
	return planAnswer{Plan: p, Notes: list(p.Notes.Lines()), Cautions: list(p.Cautions.Lines())}, nil
}

// fillRequest asks what goes into tires.
type fillRequest struct {
	// Version is 2, that of documents.
	Version int `json:"version"`
	// Fills are 1 to 20 fills, each of one tire.
	Fills []liquid.Fill `json:"fills"`
}

// fillAnswers answers the fills in their order.
type fillAnswers struct {
	Answers []fillAnswer `json:"answers"`
}

type fillAnswer struct {
	Filled liquid.Filled `json:"filled"`
	// Steps are the steps of the work in their order; each is a caution too.
	Steps []string `json:"steps"`
	// Notes says in sentences how the answer was reached.
	Notes []string `json:"notes"`
	// Cautions must be shown with the answer.
	Cautions []string `json:"cautions"`
}

// maxFills bounds the fills of a request, because each tire is compiled.
const maxFills = 20

func fill(ctx context.Context, q *fillRequest) (fillAnswers, error) {
	var bad units.FieldErrors
	if q.Version != ballast.DocumentVersion {
		bad.Add("version", q.Version, "must be 2")
	}
	if n := len(q.Fills); n < 1 || n > maxFills {
		bad.Add("fills", n, "must hold 1 to 20 fills")
	}
	if err := bad.Err(); err != nil {
		return fillAnswers{}, err
	}
	var a fillAnswers
	for i, f := range q.Fills {
		if ctx.Err() != nil {
			return fillAnswers{}, ctx.Err()
		}
		got, err := f.Solve()
		bad.Join(units.Index("fills", i), err)
		var steps []string
		for _, r := range f.Steps() {
			steps = append(steps, r.Text)
		}
		a.Answers = append(a.Answers, fillAnswer{Filled: got, Steps: list(steps), Notes: list(got.Notes.Lines()), Cautions: list(got.Cautions.Lines())})
	}
	return a, bad.Err()
}

// slopeRequest asks how steep the ground may be.
type slopeRequest struct {
	// Version is 2, that of documents.
	Version int           `json:"version"`
	Setup   ballast.Setup `json:"setup"`
	// Practice holds ranges for what the setup leaves out, in place of the usual ones.
	Practice *ballast.Practice `json:"practice,omitempty"`
	// Lift is how the load is held, without slope, heading and braking; the mass of its load is the
	// load that is asked about, and without one the attachment is empty.
	Lift ballast.Lift `json:"lift"`
	// Ground is what is known of the ground.
	Ground ballast.Ground `json:"ground,omitzero"`
}

type slopeAnswer struct {
	Slope ballast.SlopeLimit `json:"slope"`
	// Assumed is what nobody gave and was taken from practice.
	Assumed []ballast.Assumption `json:"assumed"`
	// Notes says in sentences how the answer was reached.
	Notes []string `json:"notes"`
	// Cautions must be shown with the answer.
	Cautions []string `json:"cautions"`
}

func slope(ctx context.Context, q *slopeRequest) (slopeAnswer, error) {
	var bad units.FieldErrors
	if q.Version != ballast.DocumentVersion {
		bad.Add("version", q.Version, "must be 2")
	}
	bad.Join("lift", q.Lift.Validate())
	bad.Join("ground", q.Ground.Validate())
	var practice ballast.Practice
	if q.Practice != nil {
		practice = *q.Practice
	}
	e, err := q.Setup.Envelope(practice)
	bad.JoinCall(err, "setup", map[string]string{"practice": "practice"})
	if err := bad.Err(); err != nil {
		return slopeAnswer{}, err
	}
	var load units.Mass
	if q.Setup.Attachment != nil {
		load = q.Lift.Load.MassOn(*q.Setup.Attachment)
	}
	s, err := e.SlopeLimit(ctx, q.Lift, load, q.Ground)
	if errors.Is(err, units.ErrInvalid) {
		bad.JoinCall(err, "setup", map[string]string{"lift": "lift", "load": "lift.load.mass", "ground": "ground"})
		err = bad.Err()
	}
	if err != nil {
		return slopeAnswer{}, err
	}
	return slopeAnswer{Slope: s, Assumed: list(e.Assumed()), Notes: list(s.Notes.Lines()), Cautions: list(s.Cautions.Lines())}, nil
}

// weighingRequest asks what readings say of a machine.
type weighingRequest struct {
	// Version is 1, that of weighings.
	Version int `json:"version"`
	// Weighing is what was read.
	Weighing weigh.Record `json:"weighing"`
	// Questions are 1 to 20 questions to the machine.
	Questions []weigh.Question `json:"questions"`
}

type weighingAnswer struct {
	Machine *weigh.Machine `json:"machine"`
	// Answers are those to the questions, in their order.
	Answers []weigh.Answer `json:"answers"`
	// Doubts says in sentences why an answer is not to be relied on.
	Doubts []string `json:"doubts"`
	// Cautions must be shown with the answers.
	Cautions []string `json:"cautions"`
}

// maxQuestions and maxReadings bound the work of a weighing.
const (
	maxQuestions = 20
	maxReadings  = 60
)

func weighing(ctx context.Context, q *weighingRequest) (weighingAnswer, error) {
	var bad units.FieldErrors
	if q.Version != weigh.DocumentVersion {
		bad.Add("version", q.Version, "must be 1")
	}
	if n := len(q.Questions); n < 1 || n > maxQuestions {
		bad.Add("questions", n, "must hold 1 to 20 questions")
	}
	w := &q.Weighing
	if n := len(w.Tape) + len(w.Weights) + len(w.Pressures) + len(w.Loads) + len(w.Figures); n > maxReadings {
		bad.Add("weighing", n, "must hold at most 60 readings, test loads and figures here")
	}
	if err := bad.Err(); err != nil {
		return weighingAnswer{}, err
	}
	m, err := w.Fit(ctx)
	if ctx.Err() != nil {
		return weighingAnswer{}, ctx.Err()
	}
	if err != nil {
		bad.Join("weighing", err)
		return weighingAnswer{}, bad.Err()
	}
	shown := *m
	shown.Suspects, shown.Residuals = list(m.Suspects), list(m.Residuals)
	a := weighingAnswer{Machine: &shown}
	doubts, cautions := m.Doubts, m.Cautions
	for i, question := range q.Questions {
		if ctx.Err() != nil {
			return weighingAnswer{}, ctx.Err()
		}
		got, err := m.Ask(question)
		if errors.Is(err, weigh.ErrWithheld) {
			err = nil // the doubts say so
		}
		bad.Join(units.Index("questions", i), err)
		doubts, cautions = doubts|got.Doubts, cautions|got.Cautions
		a.Answers = append(a.Answers, got)
	}
	a.Doubts, a.Cautions = list(doubts.Lines()), list(cautions.Lines())
	return a, bad.Err()
}
