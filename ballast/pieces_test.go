package ballast_test

import (
	"errors"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// Pieces that cannot stand on the machine together are refused by their path,
// and what is odd has a note. The tire 14.9-24 is 1.26 m high over all and its
// static loaded radius about 0.58 m; 710/70R42 is 2.06 m high: 42 in of rim and
// twice 0.7 of 710 mm.
func TestPiecesTogether(t *testing.T) {
	tire := func(s string) *liquid.Fill {
		tire, err := liquid.ParseTire(s)
		if err != nil {
			t.Fatal(err)
		}
		return &liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(12)}
	}
	right := tire("14.9-24")
	measured := tire("14.9-24")
	measured.Tire.OverallDiameter = liquid.Measure(2.4, 0.01)
	fill := func(f *liquid.Fill, n int) ballast.Piece {
		return ballast.Piece{Kind: ballast.RearLiquid, Fill: f, Tires: n}
	}
	mass := ballast.Piece{Kind: ballast.RearLiquid, Mass: units.Is[units.Mass](200)}
	box := orchard().Pieces[1]
	other := box
	other.CG.X = units.Is(other.CG.X.Value() - 0.3)
	resting := other
	resting.State = ballast.Resting
	mower := orchard().Pieces[4]
	for _, c := range []struct {
		name   string
		duals  int
		pieces []ballast.Piece
		path   string
		notes  ballast.Notes
	}{
		{"one fill", 1, []ballast.Piece{fill(right, 2)}, "", 0},
		{"a pair left out", 1, []ballast.Piece{fill(right, 0)}, "", 0},
		{"the same fill twice", 1, []ballast.Piece{fill(right, 0), fill(right, 2)}, "pieces[1].tires", 0},
		{"one tire and then the other", 1, []ballast.Piece{fill(right, 1), fill(right, 1)}, "", ballast.NoteLiquidTwice},
		{"more tires than there are", 1, []ballast.Piece{fill(right, 6)}, "pieces[0].tires", 0},
		{"duals", 2, []ballast.Piece{fill(right, 4)}, "", 0},
		{"a pair of duals left out", 2, []ballast.Piece{fill(right, 0)}, "pieces[0].tires", 0},
		{"duals, the inner ones and the outer ones", 2, []ballast.Piece{fill(right, 2), fill(right, 2)}, "", ballast.NoteLiquidTwice},
		{"duals and more", 2, []ballast.Piece{fill(right, 2), fill(right, 3)}, "pieces[1].tires", 0},
		{"too large a tire", 1, []ballast.Piece{fill(tire("710/70R42"), 2)}, "pieces[0].fill.tire", 0},
		{"too small a tire", 1, []ballast.Piece{fill(tire("9.5-24"), 2)}, "pieces[0].fill.tire", 0},
		{"fill and mass", 1, []ballast.Piece{fill(right, 2), mass}, "pieces[1].kind", 0},
		{"fill of one tire and mass", 1, []ballast.Piece{fill(right, 1), mass}, "", ballast.NoteLiquidTwice},
		{"mass twice", 1, []ballast.Piece{mass, mass}, "", ballast.NoteLiquidTwice},
		{"a box", 1, []ballast.Piece{box}, "", 0},
		{"a box twice", 1, []ballast.Piece{box, box}, "", ballast.NoteHitchTwice},
		{"two boxes", 1, []ballast.Piece{box, other}, "pieces[1].kind", 0},
		{"two boxes, one on the ground", 1, []ballast.Piece{box, resting}, "", 0},
		{"a box and a mower", 1, []ballast.Piece{box, mower}, "", ballast.NoteHitchTwice},
	} {
		s := bareOrchard()
		s.Machine.Rear.TiresPerSide = c.duals
		s.Pieces = c.pieces
		u, err := pointUse(s, binLift(0.8))
		var f *units.FieldError
		if path := ""; errors.As(err, &f) {
			if path = f.Path; path != c.path {
				t.Errorf("%s: %v", c.name, err)
			}
		} else if c.path != "" {
			t.Errorf("%s: no error", c.name)
		}
		if got := u.Notes & (ballast.NoteHitchTwice | ballast.NoteLiquidTwice); got != c.notes {
			t.Errorf("%s: notes %v, want %v", c.name, got, c.notes)
		}
	}
	s := bareOrchard()
	s.Pieces = []ballast.Piece{fill(measured, 2)}
	if err := s.Validate(); err == nil {
		t.Error("a diameter of 2.4 m over an axle 0.58 m high")
	}
	s = bareOrchard()
	for _, c := range []struct {
		piece ballast.Piece
		path  string
	}{{fill(tire("710/70R42"), 2), "stock.items[0].piece.fill.tire"}, {fill(right, 6), "stock.items[0].piece.tires"}} {
		c.piece.Fill.Level = liquid.Level{}
		_, err := ballast.Plan(t.Context(), s, ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedMass, Mass: units.Range[units.Mass]{Low: 1}}}},
			ballast.Stock{Items: []ballast.Item{{Piece: c.piece, Steps: []ballast.Step{{Level: liquid.ValveAt(12)}}}}})
		var f *units.FieldError
		if !errors.As(err, &f) || f.Path != c.path {
			t.Errorf("stock: %v, want %s", err, c.path)
		}
	}
}

// What the stock and its options would put into the tires is held against the
// axles too, with every option on, and the error names it where it stands.
func TestLiquidsOfStock(t *testing.T) {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		t.Fatal(err)
	}
	full := func(n int) ballast.Piece {
		return ballast.Piece{Kind: ballast.RearLiquid, Tires: n, Fill: &liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(12)}}
	}
	item := func(n int) []ballast.Item {
		p := full(n)
		p.Fill.Level = liquid.Level{}
		return []ballast.Item{{Piece: p, Steps: []ballast.Step{{Level: liquid.ValveAt(12)}}}}
	}
	duals := ballast.Option{RearTiresPerSide: 2}
	for _, c := range []struct {
		name  string
		tires int // per side
		setup []ballast.Piece
		stock ballast.Stock
		path  string
	}{
		{"an item", 1, nil, ballast.Stock{Items: item(0)}, ""},
		{"an item and duals", 1, nil, ballast.Stock{Items: item(0), Options: []ballast.Option{duals}}, ""},
		{"an item for duals", 2, nil, ballast.Stock{Items: item(4)}, ""},
		{"an item for a pair of the duals left out", 2, nil, ballast.Stock{Items: item(0)}, "stock.items[0].piece.tires"},
		{"an item for duals that an option takes off", 2, nil, ballast.Stock{Items: item(4), Options: []ballast.Option{{RearTiresPerSide: 1}}}, "stock.items[0].piece.tires"},
		{"an option", 1, nil, ballast.Stock{Options: []ballast.Option{{Pieces: []ballast.Piece{full(0)}}}}, ""},
		{"an option that brings filled duals", 1, []ballast.Piece{full(0)}, ballast.Stock{Options: []ballast.Option{{RearTiresPerSide: 2, Pieces: []ballast.Piece{full(2)}}}}, ""},
		{"the same, of an unknown number", 1, []ballast.Piece{full(0)}, ballast.Stock{Options: []ballast.Option{{RearTiresPerSide: 2, Pieces: []ballast.Piece{full(0)}}}}, "stock.options[0].pieces[0].tires"},
		{"an option of full tires", 1, []ballast.Piece{full(0)}, ballast.Stock{Options: []ballast.Option{{Pieces: []ballast.Piece{full(0)}}}}, "stock.options[0].pieces[0].tires"},
		{"an option of an item's tires", 1, nil, ballast.Stock{Items: item(0), Options: []ballast.Option{{Pieces: []ballast.Piece{full(2)}}}}, "stock.items[0].piece.tires"},
		{"two options of the same tires", 1, nil, ballast.Stock{Options: []ballast.Option{{Pieces: []ballast.Piece{full(0)}}, {Pieces: []ballast.Piece{full(0)}}}}, "stock.options[1].pieces[0].tires"},
		{"two such options in a group", 1, nil, ballast.Stock{Options: []ballast.Option{{Group: "g", Pieces: []ballast.Piece{full(0)}}, {Group: "g", Pieces: []ballast.Piece{full(0)}}}}, ""},
		{"an option of more tires than there are", 1, nil, ballast.Stock{Options: []ballast.Option{{Pieces: []ballast.Piece{full(4)}}}}, "stock.options[0].pieces[0].tires"},
	} {
		s, off := unrated(t)
		s.Machine.Rear.TiresPerSide = c.tires
		s.Pieces = c.setup
		_, err := ballast.Plan(t.Context(), s, massAtLeast(off), c.stock)
		path := ""
		if f := units.Fields(err); len(f) > 0 {
			path = f[0].Path
		}
		// By mass nobody can tell: there is a note, whatever the need.
		if c.name == "an option" {
			mass := ballast.Piece{Kind: ballast.RearLiquid, Mass: units.Is[units.Mass](50)}
			s.Pieces = []ballast.Piece{mass}
			p, err := ballast.Plan(t.Context(), s, massAtLeast(off+100), ballast.Stock{Options: []ballast.Option{{Pieces: []ballast.Piece{mass}}}})
			if err != nil || p.Status != ballast.PlanOptimal || !p.Notes.Has(ballast.NoteLiquidTwice) {
				t.Errorf("liquid by mass: %v, %v, %v", p.Status, p.Notes, err)
			}
		}
		if path != c.path || (err == nil) != (path == "") {
			t.Errorf("%s: %v, want %q", c.name, err, c.path)
		}
	}
}
