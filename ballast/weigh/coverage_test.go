package weigh_test

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/units"
)

// The figures of the documents come from a long run:
//
//	go test ./ballast/weigh -run Twins -twins 2000 -v
var twins = flag.Int("twins", 40, "how many invented machines are read and estimated in each study; 1000 or more for the figures of the documents")

// An asked is a question and its true answer.
type asked struct {
	name string
	q    weigh.Question
	true float64
}

func (t *trueMachine) asks() []asked {
	mid := (t.low + t.high) / 2
	load := 0.1 * t.nominal
	f, _ := t.pitched(t.points(t.low, []point{{load, 0.7, 0}}), 0)
	q := func(k weigh.QuestionKind, pin float64) weigh.Question {
		return weigh.Question{Kind: k, Pin: units.Length(pin), Ahead: 0.7}
	}
	front := q(weigh.AskFrontLoad, t.low)
	front.Load = units.Mass(load)
	return []asked{
		{"tipping load, low", q(weigh.AskTippingLoad, t.low), t.tips(t.low, 0.7, 0)},
		{"tipping load, arms level", q(weigh.AskTippingLoad, t.pivotZ), t.tips(t.pivotZ, 0.7, 0)},
		{"lift, full height", q(weigh.AskLift, t.high), t.lifts(t.high, 0.7, -1)},
		{"lift, middle", q(weigh.AskLift, mid), t.lifts(mid, 0.7, -1)},
		{"hold, middle", q(weigh.AskHold, mid), t.lifts(mid, 0.7, 0)},
		{"sink, middle", q(weigh.AskSink, mid), t.lifts(mid, 0.7, 1)},
		{"front load", front, f},
		{"slope limit", q(weigh.AskSlopeLimit, t.low), t.slope(t.low)},
	}
}

// stated returns an answer, the ends of its interval, whichever it is of.
func stated(a weigh.Answer) (v, low, high float64) {
	if a.Slope.SD > 0 {
		return float64(a.Slope.Value), float64(a.Slope.Interval.Low), float64(a.Slope.Interval.High)
	}
	return float64(a.Mass.Value), float64(a.Mass.Interval.Low), float64(a.Mass.Interval.High)
}

// A tally is what a study found of one answer.
type tally struct {
	name                  string
	in, of                int
	bias, half, unnoticed []float64
}

func (y *tally) covered() float64 { return 100 * float64(y.in) / float64(y.of) }

func (y *tally) String() string {
	return fmt.Sprintf("%-26s covered %5.1f %%  bias %+5.2f %%  half width %5.1f %%  unnoticed %5.1f %%",
		y.name, y.covered(), 100*median(y.bias), 100*median(y.half), 100*median(y.unnoticed))
}

func median(v []float64) float64 {
	s := slices.Sorted(slices.Values(v))
	if len(s) == 0 {
		return math.NaN()
	}
	return s[len(s)/2]
}

// A study reads many machines.
type study struct {
	seed    uint64
	machine func(*rand.Rand) trueMachine
	plan    plan
	spoil   func(*rand.Rand, *trueMachine, *weigh.Record) // nil is nothing
}

// found is what a study found of one machine.
type found struct {
	m   trueMachine
	rec weigh.Record
	got *weigh.Machine
}

func drawn(r *rand.Rand) trueMachine { return newMachine(r, 1, 1) }

// each reads and estimates every machine of the study.
func (s study) each(t *testing.T, do func(found)) {
	t.Helper()
	r := rand.New(rand.NewPCG(s.seed, 16))
	for range *twins {
		m := s.machine(r)
		rec := m.reads(r, s.plan)
		if s.spoil != nil {
			s.spoil(r, &m, &rec)
		}
		got, err := rec.Fit(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		do(found{m, rec, got})
	}
}

// tallies asks every machine everything.
func (s study) tallies(t *testing.T) (out []tally, steps []int, alarms int) {
	t.Helper()
	s.each(t, func(f found) {
		steps = append(steps, f.got.Steps)
		if len(f.got.Suspects) > 0 || f.got.Doubts != 0 {
			alarms++
		}
		if f.got.Doubts != 0 {
			return
		}
		for i, a := range f.m.asks() {
			if i == len(out) {
				out = append(out, tally{name: a.name})
			}
			ans, err := f.got.Ask(a.q)
			if err != nil {
				t.Fatal(a.name, err)
			}
			v, low, high := stated(ans)
			y := &out[i]
			y.of++
			if low <= a.true && a.true <= high {
				y.in++
			}
			y.bias, y.half, y.unnoticed = append(y.bias, v/a.true-1), append(y.half, float64(ans.HalfWidth)), append(y.unnoticed, float64(ans.Unnoticed))
		}
	})
	slices.Sort(steps)
	return out, steps, alarms
}

// byChance is how far a share of the machines may be off by chance, in percent: three
// standard deviations, less with more machines.
func byChance(percent float64) float64 {
	return 300 * math.Sqrt(percent/100*(1-percent/100)/float64(*twins))
}

// plans are the sets of readings of the table in the documents.
var plans = []struct {
	name string
	plan plan
	half map[string]float64 // greatest median half width, in percent
	more map[string]float64 // least
}{
	{"two axles, empty", plan{weights: true}, map[string]float64{"tipping load, low": 3}, map[string]float64{"lift, full height": 20, "slope limit": 20}},
	{"and two light loads, low", plan{weights: true, loads: true}, map[string]float64{"tipping load, low": 2.2}, map[string]float64{"lift, middle": 20}},
	{"and the same, arms level", plan{weights: true, loads: true, level: true}, nil, map[string]float64{"lift, middle": 20}},
	{"low loads, an axle raised 10 degrees", plan{weights: true, loads: true, raised: true}, map[string]float64{"slope limit": 12}, nil},
	{"and pressures", plan{weights: true, loads: true, raised: true, pressures: true}, nil, map[string]float64{"lift, full height": 20}},
	{"and relief at the stop", plan{weights: true, loads: true, raised: true, pressures: true, relief: true},
		map[string]float64{"tipping load, low": 2, "lift, full height": 5, "lift, middle": 5}, nil},
	{"all of it, taped and weighed twice", everything, map[string]float64{"tipping load, low": 2, "lift, full height": 5, "lift, middle": 5}, nil},
}

// Of machines drawn from the ranges of practice, in yards that slope and on tires
// that give, every answer's interval of 95 % holds the truth in 93 to 97 % of cases,
// whatever was read; its half width is what the documents say.
func TestTwinsAreCovered(t *testing.T) {
	for i, p := range plans {
		got, steps, alarms := study{seed: uint64(i), machine: drawn, plan: p.plan}.tallies(t)
		t.Logf("%s: %d machines, steps %d in half and %d in 99 %%, false alarms %.1f %%", p.name, *twins, steps[len(steps)/2], steps[(len(steps)-1)*99/100], 100*float64(alarms)/float64(*twins))
		for _, y := range got {
			t.Log("  " + y.String())
			luck := byChance(95)
			if *twins >= 1000 {
				luck /= 3 // one standard deviation
			}
			if c := y.covered(); c < 93-luck || c > 97+luck {
				t.Errorf("%s, %s: covered in %.1f %%", p.name, y.name, c)
			}
			half := 100 * median(y.half)
			few := 1 + 2/math.Sqrt(float64(*twins)) // what the median may be off by chance
			if most, ok := p.half[y.name]; ok && half > most*few {
				t.Errorf("%s, %s: half width %.2f %%, at most %v", p.name, y.name, half, most)
			}
			if least, ok := p.more[y.name]; ok && half < least/few {
				t.Errorf("%s, %s: half width %.2f %%, at least %v", p.name, y.name, half, least)
			}
			// The median of so many errors is off by chance by 1.25 standard errors.
			// What nothing reads is biased besides: the simulator draws no machine whose loader
			// cannot lift its own arms, and practice does not leave them out.
			b := 100 * math.Abs(median(y.bias))
			if half > 12 {
				b -= 0.03 * half
			}
			if b > 0.5+3*1.25*half/1.96/math.Sqrt(float64(y.of)) {
				t.Errorf("%s, %s: median bias %.2f %%", p.name, y.name, b)
			}
		}
		if steps[(len(steps)-1)*99/100] > 8 && *twins >= 200 {
			t.Errorf("%s: %d steps in 99 %%", p.name, steps[len(steps)*99/100])
		}
		if a := 100 * float64(alarms) / float64(*twins); a > 4+byChance(4) {
			t.Errorf("%s: %.1f %% false alarms", p.name, a)
		}
	}
}

// Machines half as far again from what practice says are covered in at least 90 %. Where
// the scale, the gauge and the yard are half as far off again as well, axle loads are
// covered in 87 %: an answer that rests on one stated error alone, such as the gain of the
// scale, is covered in 81 % if that error is half as large again, because 1.96/1.5 is 1.31.
func TestTwinsSpreadWider(t *testing.T) {
	for _, x := range []struct{ around, least float64 }{{1, 90}, {1.5, 90}} {
		got, _, alarms := study{seed: 20, machine: func(r *rand.Rand) trueMachine { return newMachine(r, 1.5, x.around) }, plan: everything}.tallies(t)
		t.Logf("scale, gauge and yard %v times as far off: alarms %.1f %%", x.around, 100*float64(alarms)/float64(*twins))
		for _, y := range got {
			t.Log("  " + y.String())
			least := x.least
			if y.name == "front load" && x.around > 1 {
				least = 87
			}
			if y.covered() < least-byChance(least) {
				t.Errorf("%v: %s: covered in %.1f %%", x.around, y.name, y.covered())
			}
		}
	}
}

// With a scale that is 1 % off, tipping load and front load are covered in at least
// 92 %.
func TestTwinsWithAScaleThatIsOff(t *testing.T) {
	off := func(r *rand.Rand) trueMachine {
		m := newMachine(r, 1, 1)
		m.gain = 0.01
		if r.IntN(2) == 0 {
			m.gain = -0.01
		}
		return m
	}
	got, _, _ := study{seed: 21, machine: off, plan: everything}.tallies(t)
	for _, y := range got {
		t.Log("  " + y.String())
		if (strings.HasPrefix(y.name, "tipping") || y.name == "front load") && y.covered() < 92-byChance(92) {
			t.Errorf("%s: covered in %.1f %%", y.name, y.covered())
		}
	}
}

// A mistake is put into a record; it returns the paths that name it.
type mistake struct {
	name    string
	noticed float64 // least share, in percent
	first   float64 // of those, least share in which it is named first
	make    func(*rand.Rand, *weigh.Record) []string
}

var mistakes = []mistake{
	{"one axle reading 50 kg off", 80, 90, func(r *rand.Rand, rec *weigh.Record) []string {
		i := r.IntN(len(rec.Weights))
		off := units.Mass(50)
		if r.IntN(2) == 0 {
			off = -50
		}
		if r.IntN(2) == 0 {
			rec.Weights[i].Front += off
			return []string{fmt.Sprintf("weights[%d].front", i)}
		}
		rec.Weights[i].Rear += off
		return []string{fmt.Sprintf("weights[%d].rear", i)}
	}},
	{"a load labeled 10 % wrong", 97, 0, func(r *rand.Rand, rec *weigh.Record) []string {
		i := r.IntN(len(rec.Loads))
		by := units.Mass(1.1)
		if r.IntN(2) == 0 {
			by = 0.9
		}
		rec.Loads[i].Mass.Value *= by
		return []string{fmt.Sprintf("loads[%d].mass.value", i), "loads"}
	}},
	{"wheelbase 30 mm off in one of two", 75, 0, func(r *rand.Rand, rec *weigh.Record) []string {
		i := r.IntN(2)
		off := units.Length(0.03)
		if r.IntN(2) == 0 {
			off = -0.03
		}
		rec.Tape[i].Value += off
		return []string{"tape[0].value", "tape[1].value"}
	}},
}

// Mistakes are noticed, the wrong reading is named, and what is answered without it
// still holds.
func TestTwinsWithMistakes(t *testing.T) {
	for i, x := range mistakes {
		var noticed, named, dropped, stated int
		var paths []string
		y := tally{name: "tipping load after dropping"}
		study{seed: 30 + uint64(i), machine: drawn, plan: everything, spoil: func(r *rand.Rand, _ *trueMachine, rec *weigh.Record) {
			paths = x.make(r, rec)
		}}.each(t, func(f found) {
			if len(f.got.Suspects) == 0 && f.got.Doubts == 0 {
				return
			}
			noticed++
			if len(f.got.Suspects) > 0 && slices.Contains(paths, f.got.Suspects[0].Path) {
				named++
			}
			if f.got.Doubts == 0 {
				dropped++
				a := f.m.asks()[0]
				ans, err := f.got.Ask(a.q)
				if err != nil {
					t.Fatal(err)
				}
				y.of++
				stated++
				if float64(ans.Mass.Interval.Low) <= a.true && a.true <= float64(ans.Mass.Interval.High) {
					y.in++
				}
			}
		})
		share := func(n, of int) float64 { return 100 * float64(n) / math.Max(1, float64(of)) }
		t.Logf("%-34s noticed %5.1f %%, named first in %5.1f %% of those; answered without it in %5.1f %%, covered then %5.1f %%",
			x.name, share(noticed, *twins), share(named, noticed), share(dropped, noticed), y.covered())
		if n := share(noticed, *twins); n < x.noticed-byChance(x.noticed) {
			t.Errorf("%s: noticed in %.1f %%", x.name, n)
		}
		if n := share(named, noticed); n < x.first-byChance(90) {
			t.Errorf("%s: named first in %.1f %%", x.name, n)
		}
		if y.of > *twins/4 && y.covered() < 90-byChance(90)*math.Sqrt(float64(*twins)/float64(y.of)) {
			t.Errorf("%s: covered in %.1f %% after dropping", x.name, y.covered())
		}
	}
}

// A mistake of the size that external reliability speaks of is noticed in 72 to 88 %.
func TestTwinsWithUnnoticedMistakes(t *testing.T) {
	noticed, of := 0, 0
	r := rand.New(rand.NewPCG(40, 1))
	study{seed: 40, machine: drawn, plan: everything}.each(t, func(f found) {
		if f.got.Doubts != 0 || len(f.got.Suspects) > 0 {
			return
		}
		// Of a reading whose largest mistake is not so great that it is another reading
		// altogether.
		var may []int
		for k, p := range f.got.Residuals {
			if strings.HasPrefix(p.Path, "weights") && p.Read.Mass > 0 && p.Unnoticed > 0 && p.Unnoticed < 0.3 {
				may = append(may, k)
			}
		}
		if len(may) == 0 {
			return
		}
		res := f.got.Residuals[may[r.IntN(len(may))]]
		var i int
		var axle string
		if _, err := fmt.Sscanf(strings.NewReplacer("[", " ", "].", " ").Replace(res.Path), "weights %d %s", &i, &axle); err != nil {
			t.Fatal(err)
		}
		rec := f.rec
		rec.Weights = slices.Clone(rec.Weights)
		off := res.Read.Mass * units.Mass(res.Unnoticed)
		switch axle {
		case "front":
			rec.Weights[i].Front += off
		case "rear":
			rec.Weights[i].Rear += off
		}
		got, err := rec.Fit(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		of++
		if len(got.Suspects) > 0 || got.Doubts != 0 {
			noticed++
		}
	})
	share := 100 * float64(noticed) / float64(of)
	t.Logf("mistakes of the size that goes unnoticed in one of five: noticed in %.1f %% of %d", share, of)
	if share < 72-byChance(80) || share > 88+byChance(80) {
		t.Errorf("noticed in %.1f %%", share)
	}
}
