package ballast_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

var blocks = flag.Int("blocks", 300, "how many setups TestBlock varies")

// columnFields returns the fields of a list that have a form in columns.
func columnFields(fields []boundField) []boundField {
	return slices.DeleteFunc(slices.Clone(fields), func(f boundField) bool {
		return !ballast.HasColumnForm(f.path) || f.value == 0
	})
}

// blockRow is what an answer says of one row.
type blockRow struct {
	mass      uint64
	governing ballast.LimitKind
	status    ballast.Status
	err       string
}

func rowOfLoads(l ballast.Loads, i int) blockRow {
	return blockRow{math.Float64bits(float64(l.Mass[i])), l.Governing[i], l.Status[i], text(l.Err[i])}
}

// The answers and errors of a block are those of an evaluator that is set to each row,
// to the last bit, whatever stands in whatever columns; and what can be is answered in
// columns.
func TestBlock(t *testing.T) {
	n := *blocks
	if testing.Short() {
		n /= 6
	}
	r := rand.New(rand.NewPCG(72, 1))
	bad := []float64{0, math.Copysign(0, -1), math.NaN(), math.Inf(1), math.Inf(-1), -1, 1e9, 1e308}
	var inColumns, alone, refused int
	governing := map[ballast.LimitKind]int{}
	for round := range n {
		s, l := []func(*rand.Rand) (ballast.Setup, ballast.Lift){randomCase, limitsCase, walkedCase}[round%3](r)
		other := l
		other.Height *= 0.9
		doc := ballast.Document{Setup: s, Lifts: []ballast.Lift{l, other}}
		var fields []boundField
		boundFields(reflect.ValueOf(&doc.Setup).Elem(), "setup", &fields)
		boundFields(reflect.ValueOf(&doc.Lifts[0]).Elem(), "lifts[0]", &fields)
		boundFields(reflect.ValueOf(&doc.Lifts[1]).Elem(), "lifts[1]", &fields)
		if round%4 > 0 {
			fields = columnFields(fields)
		}
		if len(fields) == 0 {
			continue
		}
		one, many := ballast.NewEvaluator(s, l, other), ballast.NewEvaluator(s, l, other)
		var set []boundField
		var at []ballast.Bound
		for range 1 + r.IntN(9) {
			f := fields[r.IntN(len(fields))]
			var values []any
			for v := range 12 {
				if f.choice {
					values = append(values, reflect.ValueOf(uint8(v)).Convert(f.typ).Interface())
				}
			}
			if f.choice && ballast.HasColumnForm(f.path) {
				values = values[1:5]
			}
			bind := func(e *ballast.Evaluator) (ballast.Bound, error) {
				if f.choice {
					return e.BindValues(f.path, values...)
				}
				return e.Bind(f.path)
			}
			b, err := bind(many)
			if err != nil {
				continue // it is bound already
			}
			if _, err := bind(one); err != nil {
				t.Fatal(err)
			}
			set, at = append(set, f), append(at, b)
		}
		rows := 1 + r.IntN(300)
		b := many.Block(rows, at...)
		for turn := range 3 {
			for i, f := range set {
				column, same := b.Column(i), !ballast.HasColumnForm(f.path) && r.IntN(8) > 0
				for j := range column {
					v := f.value * (0.9 + 0.2*r.Float64())
					switch {
					case f.choice && ballast.HasColumnForm(f.path):
						v = float64(r.IntN(4))
					case f.choice:
						v = min(11, f.value)
					case r.IntN(60) == 0:
						v = bad[r.IntN(len(bad))]
					case f.value == 0:
						v = r.Float64()
					}
					if column[j] = v; same {
						column[j] = column[0]
					}
				}
			}
			lift, rows := r.IntN(2), 1+r.IntN(rows)
			got := b.UsableLoad(lift, rows)
			for j := range rows {
				for i := range set {
					one.Set(at[i], b.Column(i)[j])
				}
				m, k, st, err := one.UsableLoad(lift)
				want := blockRow{math.Float64bits(float64(m)), k, st, text(err)}
				if have := rowOfLoads(got, j); have != want {
					t.Fatalf("round %d, turn %d, lift %d, row %d (alone %v) of %v: %+v (%v), want %+v (%v)", round, turn, lift, j, got.Alone[j], set, have, got.Mass[j], want, m)
				}
				if err != nil {
					refused++
				}
				if got.Alone[j] {
					alone++
				} else {
					inColumns++
					governing[k]++
				}
			}
		}
	}
	t.Logf("%d rows in columns, %d alone, %d refused; governing in columns: %v", inColumns, alone, refused, governing)
	if inColumns < alone/3 || refused == 0 || len(governing) < 7 && !testing.Short() {
		t.Error("the test does not look at enough rows in columns")
	}
}

// The built-in kind of sweep: eight fields, of which one is a choice, all in columns;
// every row is answered in them, but for those that are made invalid or broken.
func TestBlockAlone(t *testing.T) {
	e, at, from := blockCase(t)
	b := e.Block(600, at...)
	r := rand.New(rand.NewPCG(73, 1))
	fill(b, from, r)
	b.Column(0)[100] = math.NaN()
	b.Column(1)[200] = -1  // kg
	b.Column(7)[300] = 0.5 // the index of a value is cut to a whole number
	got := b.UsableLoad(0, 600)
	for i, alone := range got.Alone {
		if want := i == 100 || i == 200 || i == 300; alone != want || (got.Err[i] != nil) != (i == 100 || i == 200) {
			t.Errorf("row %d: alone %v, error %v", i, alone, got.Err[i])
		}
	}
	for row, want := range map[int]string{100: "machine.cg.x", 200: "pieces[1].mass"} {
		if bad := units.Fields(got.Err[row]); len(bad) == 0 || bad[0].Path != want {
			t.Errorf("row %d: %v, want an error of %s", row, got.Err[row], want)
		}
	}
	got = b.UsableLoad(0, 0)
	if len(got.Mass) != 0 {
		t.Errorf("%d answers of no rows", len(got.Mass))
	}
}

func TestBlockAllocatesNothing(t *testing.T) {
	e, at, from := blockCase(t)
	b := e.Block(512, at...)
	r := rand.New(rand.NewPCG(74, 1))
	var sum units.Mass
	if n := testing.AllocsPerRun(20, func() {
		fill(b, from, r)
		got := b.UsableLoad(0, 512)
		sum += got.Mass[0]
		for i, alone := range got.Alone {
			if alone || got.Status[i] != stability.Binds {
				t.Fatal("a row is not answered in columns")
			}
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// blockCase is an evaluator with eight fields that have a form in columns, and what
// they vary about.
func blockCase(tb testing.TB) (e *ballast.Evaluator, at []ballast.Bound, from []float64) {
	l := binLift(1.1)
	l.Kind = ballast.TakeOffDeck
	s := orchard()
	s.Loader.Rated, s.Loader.Cylinders = nil, &ballast.Cylinders{Base: ballast.Offset{Ahead: units.Is[units.Length](0.06), Above: units.Is[units.Length](-0.375)}, RodRadius: units.Is[units.Length](0.95),
		RodAngle: units.Is(2 * units.Degree), Bore: units.Is[units.Length](0.055), Count: 2, Pressure: units.Is[units.GaugePressure](18e6), Friction: units.Is[units.Fraction](0.1)}
	e = ballast.NewEvaluator(s, l)
	for _, f := range []struct {
		path string
		from float64
	}{
		{"setup.machine.cg.x", 0.76}, {"setup.pieces[1].mass", 350}, {"setup.attachment.face", 0.12}, {"lifts[0].load.center", 0.55},
		{"lifts[0].load.sideways", 0.05}, {"setup.loader.cylinders.pressure", 18e6}, {"setup.pieces[0].mass", 200},
	} {
		b, err := e.Bind(f.path)
		if err != nil {
			tb.Fatal(err)
		}
		at, from = append(at, b), append(from, f.from)
	}
	b, err := e.BindValues("setup.machine.operator", ballast.NoOperator, ballast.LightOperator, ballast.HeavyOperator)
	if err != nil {
		tb.Fatal(err)
	}
	return e, append(at, b), from
}

func fill(b *ballast.Block, from []float64, r *rand.Rand) {
	for i, v := range from {
		column := b.Column(i)
		for j := range column {
			column[j] = v * (0.95 + 0.1*r.Float64())
		}
	}
	operators := b.Column(len(from))
	for j := range operators {
		operators[j] = float64(r.IntN(3))
	}
}

// Of a field that is named twice the last column counts.
func TestBlockNamedTwice(t *testing.T) {
	e, at, _ := blockCase(t)
	once, twice := e.Block(2, at[0]), e.Block(2, at[0], at[0])
	copy(twice.Column(0), []float64{0.7, -1})
	for _, column := range [][]float64{once.Column(0), twice.Column(1)} {
		copy(column, []float64{0.76, 0.78})
	}
	want := fmt.Sprint(once.UsableLoad(0, 2).Mass)
	if got := fmt.Sprint(twice.UsableLoad(0, 2).Mass); got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// Two blocks of one evaluator with columns for other fields: what one of them leaves in its
// fields counts for the other.
func TestBlocksOfOneEvaluator(t *testing.T) {
	e, at, _ := blockCase(t)
	first, second := e.Block(1, at[0]), e.Block(1, at[1])
	for i, x := range []float64{0.76, 0.70, math.NaN(), 0.72, -1, 0.78} {
		first.Column(0)[0], second.Column(0)[0] = x, 300+float64(i)
		first.UsableLoad(0, 1)
		e.Set(at[0], x)
		got := second.UsableLoad(0, 1)
		one, bound, _ := blockCase(t)
		one.Set(bound[0], x)
		one.Set(bound[1], 300+float64(i))
		m, k, st, err := one.UsableLoad(0)
		want := blockRow{math.Float64bits(float64(m)), k, st, text(err)}
		if have := rowOfLoads(got, 0); have != want {
			t.Errorf("center of gravity at %v m: %v, %v, want %v, %v", x, got.Mass[0], got.Err[0], m, err)
		}
	}
}

// BenchmarkBlock is the price of a row of a block of 512.
func BenchmarkBlock(b *testing.B) {
	e, at, from := blockCase(b)
	block := e.Block(512, at...)
	fill(block, from, rand.New(rand.NewPCG(75, 1)))
	b.ReportAllocs()
	for b.Loop() {
		if got := block.UsableLoad(0, 512); got.Err[0] != nil {
			b.Fatal(got.Err[0])
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/512, "ns/row")
}

// Loads behind the pin of a loader with rated points, and boxes so heavy and so far out
// that the hitch is at its rating, are answered as the evaluator answers them.
func TestBlockEdges(t *testing.T) {
	s, l := orchard(), binLift(1.1)
	s.Pieces[4].State = ballast.Resting
	s.Pieces[4].Carried = 0
	m := &s.Machine
	m.Rear.Rating, m.Rear.WheelRating, m.Rear.Tire.LoadIndex = units.Is[units.Mass](9000), units.Is[units.Mass](5000), 160
	m.GrossRating, m.ROPSRating, m.Steered = units.Is[units.Mass](20000), units.Is[units.Mass](20000), ballast.SteeredRule{}
	m.Hitch.Rating = units.Is[units.Mass](800)
	s.Loader.Rated[0].AtPin, s.Loader.Rated[1].AtPin, s.Loader.Rated[2].AtPin = 400, 350, 300
	s.Loader.Rated[0].AheadMass, s.Loader.Rated[1].AheadMass, s.Loader.Rated[2].AheadMass = 300, 250, 200
	l.Load.Center, l.Load.Sideways = units.Is[units.Length](0.05), units.Is[units.Length](0)
	one, many := ballast.NewEvaluator(s, l), ballast.NewEvaluator(s, l)
	var at []ballast.Bound
	for _, path := range []string{"setup.attachment.face", "setup.pieces[1].mass", "setup.pieces[1].cg.x"} {
		b, err := many.Bind(path)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := one.Bind(path); err != nil {
			t.Fatal(err)
		}
		at = append(at, b)
	}
	const rows = 500
	b := many.Block(rows, at...)
	r := rand.New(rand.NewPCG(76, 1))
	for j := range rows {
		b.Column(0)[j], b.Column(1)[j], b.Column(2)[j] = -0.9+r.Float64(), 400+500*r.Float64(), -0.6-0.9*r.Float64()
	}
	got := b.UsableLoad(0, rows)
	behind, hitch := 0, 0
	for j := range rows {
		for i := range at {
			one.Set(at[i], b.Column(i)[j])
		}
		m, k, st, err := one.UsableLoad(0)
		want := blockRow{math.Float64bits(float64(m)), k, st, text(err)}
		if have := rowOfLoads(got, j); have != want {
			t.Fatalf("row %d (alone %v): %+v, want %+v", j, got.Alone[j], have, want)
		}
		if k == ballast.LimitHydraulic && b.Column(0)[j]+0.05 < 0 && !got.Alone[j] {
			behind++
		}
		if k == ballast.LimitHitch {
			hitch++
		}
	}
	if behind < 20 || hitch < 20 {
		t.Errorf("%d loads behind the pin and %d of a hitch beyond its rating", behind, hitch)
	}
}
