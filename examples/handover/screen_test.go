package main

import (
	"context"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/examples/internal/demo"
	"example.com/steelyard/examples/internal/jobs"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/examples/yard/bridge"
	"example.com/steelyard/units"
)

// screen asks the page for phones.
func screen[A any](t *testing.T, what string, o *paper.Options, more map[string]any) (a A) {
	t.Helper()
	language := "en"
	if o.Words.Display.Comma {
		language = "de"
	}
	request := map[string]any{"ask": what, "language": language, "system": o.Words.Display.System, "milliseconds": 600000}
	for k, v := range more {
		request[k] = v
	}
	in, err := json.Marshal(request)
	if err != nil {
		t.Fatal(err)
	}
	out := bridge.Answer(in)
	if strings.HasPrefix(string(out), `{"failure"`) {
		t.Fatalf("%s: %s", what, out)
	}
	if err := json.Unmarshal(out, &a); err != nil {
		t.Fatal(err)
	}
	return a
}

// The page for phones and the sheet say the same of one job file, in every figure that both show:
// what may be lifted, every limit, axle loads, slopes, fills and pieces, the roughest place of the
// yard, the three pictures, and what was assumed. Both are asked in both languages and systems.
func TestSameAsPage(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of a short run: nothing of it depends on what runs beside")
	}
	placed := strings.Replace(string(demo.Rated), `"deck": "1.05 m"`, `"deck": "1.05 m", "place": "2.2 m", "slopeManual": "9 deg"`, 1)
	low := strings.Replace(string(demo.Compact), `"travelPin": "0.40 m"`, `"travelPin": "0.95 m"`, 1)
	for name, file := range map[string]string{"demo": string(demo.Handover), "rated": string(demo.Rated), "compact": string(demo.Compact), "placed": placed, "carried high": low} {
		in, err := decode([]byte(file))
		if err != nil {
			t.Fatal(err)
		}
		s, err := makeSheet(in)
		if err != nil {
			t.Fatal(err)
		}
		for _, language := range []string{"en", "de"} {
			for _, system := range []units.System{units.Metric, units.USCustomary} {
				w, _ := paper.Speak(language, system)
				o := &paper.Options{Words: w, Size: paper.A4, Papers: &paper.Papers{Version: 1}}
				p := &speaker{o.Words, s, o.Papers}
				same := func(what, page, sheet string) {
					t.Helper()
					if page != sheet {
						t.Errorf("%s, %s, %v: %s: the page says %q, the sheet %q", name, language, system, what, page, sheet)
					}
				}
				has := func(what string, page []string, sheet string) {
					t.Helper()
					if !slices.Contains(page, sheet) {
						t.Errorf("%s, %s, %v: %s: the page says %q, the sheet %q", name, language, system, what, page, sheet)
					}
				}
				opened := screen[bridge.Opened](t, "open", o, map[string]any{"file": file})
				more := map[string]any{"document": opened.Document, "ground": opened.Ground}
				got := screen[bridge.Answered](t, "answer", o, more)

				// The page asks about the job at the trailer deck.
				i := slices.IndexFunc(s.Checks, func(c CheckRow) bool { return c.Job.Kind == jobs.Reverse })
				c := &s.Checks[i].Check
				u := &c.Usable
				same("the verdict", got.Verdict, c.Verdict.String())
				same("what the loader can lift", got.Lift, p.part(u.Lift))
				same("what the machine may carry", got.Carry, p.part(u.Carry))
				same("from", got.Low, p.Most(u.IfRated.Low))
				same("to", got.High, p.Least(u.IfRated.High))
				same("what limits", got.Limit, p.limit(u.Governing))
				same("the load asked about", got.Asked, p.T("hand.asked", "load", p.load(), "mass", p.Mass(s.Load), "attachment", p.attachment()))
				same("the rear wheels", got.Rear, p.rear())
				limits := 0
				for _, l := range c.Limits {
					k := int(l.Kind) - 1
					for _, row := range got.Limits {
						if row[0] == p.limit(l.Kind) {
							limits++
							same(row[0], row[1], p.Stands(u.Limits[k]))
							same(row[0], row[2], p.T("ballast.verdict."+l.Verdict.String()))
						}
					}
				}
				if limits != len(got.Limits) || limits < 8 {
					t.Errorf("%s: %d limits of the sheet are the page's %d", name, limits, len(got.Limits))
				}
				// What the axles carry is that with the arms level in both.
				axles := s.Axles[len(s.Axles)-1]
				same("the axles", got.AxlesOf, p.T("axle."+axles.State))
				for i, r := range []units.Range[units.Mass]{axles.Loads.Front, axles.Loads.Rear, axles.Loads.Total} {
					same(got.Axles[i][0], got.Axles[i][1], p.There(r))
				}
				for i, a := range s.Assumed {
					same("what was assumed", got.Assumed[i], p.T("hand.assumed", "what", p.what(a.Path), "range", p.assumed(a)))
				}

				slope := screen[bridge.Slope](t, "slope", o, more)
				blocks, err := p.slopes()
				if err != nil {
					t.Fatal(err)
				}
				box := blocks[1].(paper.Box)
				same("the slope", slope.Title, box.Title)
				for _, l := range box.Lines {
					has("the yard's slope", slope.Lines, l)
				}
				if why, ok := blocks[len(blocks)-1].(paper.Paragraph); ok {
					has("why this slope", slope.Lines, why.Text)
				}

				pictures := screen[bridge.Pictures](t, "pictures", o, more)
				blocks, err = p.pictures()
				if err != nil {
					t.Fatal(err)
				}
				figures, _ := blocks[1].(paper.Figures) // none where a length is missing
				for i, f := range figures.List {
					same("a picture", pictures.Poses[i].Title, f.Title)
					same("a picture", strings.Join(pictures.Poses[i].Lines, " "), strings.Join(f.Lines, " "))
				}

				fills, pieces := 0, 0
				for i, x := range in.Setup.Pieces {
					if x.Fill == nil {
						same("a piece", got.Pieces[i].Text, p.There(s.Pieces[pieces].Mass))
						pieces++
						continue
					}
					f := s.Fills[fills]
					fills++
					for _, part := range []string{p.Fluid(f.Fill.Fluid), p.Level(f.Fill.Level, f.Filled), p.Mass(units.Mass(f.Tires) * f.Filled.Mass)} {
						if !strings.Contains(got.Pieces[i].Text, part) {
							t.Errorf("%s: of a fill of %s the page says %q", name, part, got.Pieces[i].Text)
						}
					}
				}
				rated := ""
				if m := in.LoaderRating; m > 0 {
					rated = p.T("hand.rating", "mass", p.Most(m), "left", p.Most(s.left(m)))
				}
				same("the maker's rating", got.Rated, rated)
				if fills != len(s.Fills) || pieces != len(s.Pieces) {
					t.Errorf("%s: %d fills and %d pieces on the page", name, fills, pieces)
				}

				if s.Obstacle != nil {
					hole := screen[bridge.Slope](t, "hole", o, more)
					blocks, err := p.over()
					if err != nil {
						t.Fatal(err)
					}
					same("the roughest place", hole.Title, blocks[1].(paper.Paragraph).Text)
					has("the roughest place", hole.Lines, p.Message(s.Travel[0].Use.LoadLine()))
				}
			}
		}
	}
}

// The slope for whoever drives is said of every height of the pin up to that while driving: carried
// lower, no invented machine is allowed less.
func TestSlopeBelowTravelPin(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of a short run: nothing of it depends on what runs beside")
	}
	for name, file := range map[string][]byte{"demo": demo.Handover, "rated": demo.Rated, "compact": demo.Compact} {
		in, err := decode(file)
		if err != nil {
			t.Fatal(err)
		}
		s := &Sheet{in: in, Load: in.mass()}
		e, err := in.Setup.Envelope(in.practice())
		if err != nil {
			t.Fatal(err)
		}
		lowest := jobs.Middle(in.Setup.Loader.LowestPin)
		for _, load := range []units.Mass{0, s.Load} {
			at := func(pin units.Length) units.Slope {
				l, err := e.SlopeLimit(context.Background(), s.hold(pin), load, s.ground())
				if err != nil {
					t.Fatal(err)
				}
				return l.Operator
			}
			figure := at(in.TravelPin)
			for i := range 8 {
				pin := lowest + (in.TravelPin-lowest)*units.Length(i)/8
				if got := at(pin); !(got >= figure-1e-9) {
					t.Errorf("%s, %v: at %v the slope is %v, less than the %v at %v", name, load, pin, got, figure, in.TravelPin)
				}
			}
		}
	}
}
