package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"net/http"

	"example.com/steelyard/ballast"
	"example.com/steelyard/units"
)

// operation is one question that the service answers.
type operation struct {
	path, summary string
	request       any // a value of the type of the body
	response      any // a value of the type of the answer
	answer        answer
}

var operations = []operation{
	{"/usable-load", "How much may be lifted in each lift of a document, and which limit comes first.",
		ballast.Document{}, usableAnswers{}, handle(usableLoad)},
	{"/check", "Whether the load that each lift of a document names may be lifted, and what is left.",
		ballast.Document{}, checkAnswers{}, handle(check)},
	{"/loads-by-height", "How much may be lifted at each of some heights and load centers.",
		heightsRequest{}, heightsAnswer{}, handle(loadsByHeight)},
	{"/plan", "Which ballast of a document's stock meets its needs with the least weight or cost.",
		ballast.Document{}, planAnswer{}, handle(plan)},
	{"/fill", "What liquid goes into a tire, how heavy it is, when it freezes, and the steps of the work.",
		fillRequest{}, fillAnswers{}, handle(fill)},
	{"/slope", "How steep the ground may be with a load, in the worst heading.",
		slopeRequest{}, slopeAnswer{}, handle(slope)},
	{"/weighing", "What readings of scale, tape and gauge say of a machine, and which of them cannot be right.",
		weighingRequest{}, weighingAnswer{}, handle(weighing)},
}

// usableAnswers answers the lifts of a document in their order.
type usableAnswers struct {
	Answers []usableAnswer `json:"answers"`
}

type usableAnswer struct {
	// Name is that of the lift.
	Name   string         `json:"name,omitempty"`
	Usable ballast.Usable `json:"usable"`
	// Assumed is what nobody gave and was taken from practice.
	Assumed []ballast.Assumption `json:"assumed"`
	// Notes says in sentences how the answer was reached.
	Notes []string `json:"notes"`
	// Cautions must be shown with the answer.
	Cautions []string `json:"cautions"`
}

// checkAnswers answers the lifts of a document in their order.
type checkAnswers struct {
	Answers []checkAnswer `json:"answers"`
}

type checkAnswer struct {
	// Name is that of the lift.
	Name  string           `json:"name,omitempty"`
	Check ballast.Judgment `json:"check"`
	// Questions are what is worth finding out, the best first.
	Questions []ballast.Question `json:"questions"`
	// Assumed is what nobody gave and was taken from practice.
	Assumed []ballast.Assumption `json:"assumed"`
	// Notes says in sentences how the answer was reached.
	Notes []string `json:"notes"`
	// Cautions must be shown with the answer.
	Cautions []string `json:"cautions"`
}

// heightsRequest asks for loads by height.
type heightsRequest struct {
	// Version is 2, that of documents.
	Version int           `json:"version"`
	Setup   ballast.Setup `json:"setup"`
	// Lift is the lift, without height and load center.
	Lift ballast.Lift `json:"lift"`
	// Heights are the rows, of the lift's datum.
	Heights []units.Length `json:"heights"`
	// Centers are the columns.
	Centers []units.Length `json:"centers"`
}

type heightsAnswer struct {
	Loads ballast.LoadsByHeight `json:"loads"`
	// Notes says in sentences how the answer was reached.
	Notes []string `json:"notes"`
	// Cautions must be shown with the answer.
	Cautions []string `json:"cautions"`
}

// handle makes an answer from a function of a request of one type. It reads the body as
// strictly as package ballast reads documents.
func handle[Q, A any](f func(context.Context, *Q) (A, error)) answer {
	return func(ctx context.Context, body []byte) (any, *problem) {
		var q Q
		if err := ballast.DecodeInto(bytes.NewReader(body), &q); err != nil {
			p := invalid(err)
			if !json.Valid(body) {
				p.Status, p.Title, p.Detail = http.StatusBadRequest, http.StatusText(http.StatusBadRequest), "the body is not JSON"
			}
			return nil, p
		}
		a, err := f(ctx, &q)
		switch {
		case errors.Is(ctx.Err(), context.Canceled):
			// Only the log reads this.
			return nil, newProblem(http.StatusServiceUnavailable, "the client went away")
		case ctx.Err() != nil:
			return nil, newProblem(http.StatusServiceUnavailable, "the answer took too long: ask for less at a time")
		case err != nil:
			return nil, invalid(err)
		}
		return a, nil
	}
}

// maxLifts bounds the lifts of a request, because each answer takes some kilobytes.
const maxLifts = 100

// eachLift compiles what the setup of a document leaves open and hands its lifts
// on in their order.
func eachLift(ctx context.Context, d *ballast.Document, f func(int, *ballast.Envelope, ballast.Lift) error) error {
	if err := d.Validate(); err != nil {
		return err
	}
	var bad units.FieldErrors
	if n := len(d.Lifts); n < 1 || n > maxLifts {
		bad.Add("lifts", n, "must hold 1 to 100 lifts")
		return bad.Err()
	}
	e, err := d.Envelope()
	if err != nil {
		return err
	}
	for i, l := range d.Lifts {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err := f(i, e, l); err != nil {
			bad.JoinCall(err, "setup", map[string]string{"lift": units.Index("lifts", i), "load": units.Index("lifts", i) + ".load.mass"})
		}
	}
	return bad.Err()
}

func usableLoad(ctx context.Context, d *ballast.Document) (usableAnswers, error) {
	a := usableAnswers{}
	err := eachLift(ctx, d, func(_ int, e *ballast.Envelope, l ballast.Lift) error {
		u, err := e.UsableLoad(l)
		a.Answers = append(a.Answers, usableAnswer{Name: l.Name, Usable: u, Assumed: list(e.Assumed()), Notes: list(u.Notes.Lines()), Cautions: list(u.Cautions.Lines())})
		return err
	})
	return a, err
}

func check(ctx context.Context, d *ballast.Document) (checkAnswers, error) {
	a := checkAnswers{}
	err := eachLift(ctx, d, func(i int, e *ballast.Envelope, l ballast.Lift) error {
		var load units.Mass
		if d.Setup.Attachment != nil {
			load = l.Load.MassOn(*d.Setup.Attachment)
		}
		if load == 0 {
			return &units.FieldError{Path: "load", Want: "must be given to check it"}
		}
		got, err := e.Check(l, load)
		if err != nil {
			return err
		}
		questions, err := e.Questions(ctx, l, load)
		a.Answers = append(a.Answers, checkAnswer{Name: l.Name, Check: got, Questions: list(questions), Assumed: list(e.Assumed()),
			Notes: list(got.Usable.Notes.Lines()), Cautions: list(got.Usable.Cautions.Lines())})
		return err
	})
	return a, err
}

// maxCells bounds the cells of loads by height, because each is a load case.
const maxCells = 2500

func loadsByHeight(ctx context.Context, q *heightsRequest) (heightsAnswer, error) {
	var bad units.FieldErrors
	if q.Version != ballast.DocumentVersion {
		bad.Add("version", q.Version, "must be 2")
	}
	if n := len(q.Heights) * len(q.Centers); n < 1 || n > maxCells {
		bad.Add("heights", n, "must make from 1 to 2500 cells with centers")
	}
	e, err := q.Setup.Envelope(ballast.Practice{})
	bad.Join("setup", err)
	if err := bad.Err(); err != nil {
		return heightsAnswer{}, err
	}
	c, err := e.LoadsByHeight(ctx, q.Lift, q.Heights, q.Centers)
	if errors.Is(err, units.ErrInvalid) {
		bad.JoinCall(err, "setup", map[string]string{"lift": "lift", "heights": "heights", "centers": "centers"})
		err = bad.Err()
	}
	if err != nil {
		return heightsAnswer{}, err
	}
	return heightsAnswer{Loads: c, Notes: list(c.Notes.Lines()), Cautions: list(c.Cautions.Lines())}, nil
}

// list is never null in JSON.
func list[T any](l []T) []T {
	if l == nil {
		return []T{}
	}
	return l
}
