package weigh_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/units"
)

// taken puts a proposal into a record as it comes, with errors.
func (t *trueMachine) taken(r *rand.Rand, rec weigh.Record, p weigh.Proposal) (weigh.Record, bool) {
	n := func(sd float64) float64 { return sd * r.NormFloat64() }
	out := rec
	places := map[string]point{}
	for i, l := range rec.Loads {
		places[l.Name] = point{float64(l.Mass.Value), float64(rec.Tape[len(rec.Tape)-len(rec.Loads)+i].Value), 0.2}
	}
	pile := func(names []string) (ls []point) {
		for _, n := range names {
			ls = append(ls, places[n])
		}
		return ls
	}
	switch {
	case p.Taped != nil:
		x := *p.Taped
		is := map[weigh.TapedLength]float64{
			weigh.TapedWheelbase: t.base, weigh.TapedPivotX: t.pivotX, weigh.TapedPivotZ: t.pivotZ, weigh.TapedArm: t.arm,
			weigh.TapedRearRadius: t.rearRadius, weigh.TapedFrontRadius: t.frontRadius, weigh.TapedRearTrack: t.track, weigh.TapedAxlePin: t.pin,
			weigh.TapedAttachmentAhead: t.hungX, weigh.TapedAttachmentAbove: t.hungZ, weigh.TapedCylinderAhead: t.cylX,
			weigh.TapedCylinderAbove: t.cylZ, weigh.TapedRodAlong: t.rodX, weigh.TapedRodAbove: t.rodZ, weigh.TapedBore: t.bore,
		}
		v, ok := is[x.Length]
		if !ok {
			return out, false
		}
		x.Value = units.Length(v + n(float64(x.SD)))
		out.Tape = append(append([]weigh.Taped(nil), rec.Tape...), x)
	case p.Pressure != nil:
		x := *p.Pressure
		v := t.relief
		if x.Motion == weigh.Raising {
			v = t.pressure(float64(x.Pin), pile(x.Loads), true)
		}
		x.Pressure = units.GaugePressure((v*(1+t.gauge) + n(0.1)) * 1e6)
		out.Pressures = append(append([]weigh.PressureReading(nil), rec.Pressures...), x)
	case p.Weight != nil && p.Load == nil:
		x := *p.Weight
		yard := t.yard
		if x.Turned {
			yard = -yard
		}
		front, rear := t.pitched(t.points(float64(x.Pin), pile(x.Loads)), yard)
		if x.Raised != 0 {
			front, rear = t.stands(t.points(float64(x.Pin), nil), yard, float64(x.Raised)+n(0.2*math.Pi/180), x.Raised < 0, t.held[1])
		}
		x.Front, x.Rear = units.Mass(front*(1+t.gain)+n(2)), units.Mass(rear*(1+t.gain)+n(2))
		out.Weights = append(append([]weigh.AxleReading(nil), rec.Weights...), x)
	default:
		return out, false
	}
	return out, true
}

// What a proposal says of the width after it is what comes, within 5 %.
func TestProposalsComeTrue(t *testing.T) {
	r := rand.New(rand.NewPCG(60, 1))
	var off []float64
	compared, within := 0, 0
	for i := range max(10, *twins/4) {
		m := newMachine(r, 1, 1)
		p := plans[[]int{0, 1, 3, 4}[i%4]].plan
		rec := m.reads(r, p)
		got, err := rec.Fit(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if got.Doubts != 0 || len(got.Suspects) > 0 {
			continue
		}
		asks := m.asks()
		q := asks[[]int{0, 2, 7}[i%3]].q
		list, err := got.Next(t.Context(), q, 0.005, true)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range list[:min(3, len(list))] {
			next, ok := m.taken(r, rec, p)
			if !ok {
				continue
			}
			after, err := next.Fit(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			if after.Doubts != 0 || len(after.Suspects) > 0 {
				continue
			}
			a, err := after.Ask(q)
			if err != nil {
				t.Fatal(err)
			}
			e := math.Abs(float64(a.HalfWidth/p.HalfWidth) - 1)
			off = append(off, e)
			compared++
			if e <= 0.05 {
				within++
			}
		}
	}
	t.Logf("%d proposals: off by %.2f %% in half; within 5 %% in %.1f %%", compared, 100*median(off), 100*float64(within)/float64(compared))
	if compared < 8 || median(off) > 0.05 {
		t.Errorf("off by %.1f %% in half of %d", 100*median(off), compared)
	}
}

// In the yard nobody is asked to raise an axle, to read a pressure, or to lift a load
// with the arms up; no load is more than 30 % of the lower bound of the tipping load;
// and every reading that can hurt says what to heed.
func TestProposalsAreSafe(t *testing.T) {
	r := rand.New(rand.NewPCG(61, 1))
	loads, raised := 0, 0
	for i := range 16 {
		m := newMachine(r, 1, 1)
		p := plans[i%4].plan
		p.onePressure = true
		rec := m.reads(r, p)
		got, err := rec.Fit(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range m.asks() {
			for _, workshop := range []bool{false, true} {
				list, err := got.Next(t.Context(), a.q, 0.005, workshop)
				if err != nil {
					t.Fatal(err)
				}
				for _, p := range list {
					if p.Instrument == ballast.FromWorkshop != (p.Pressure != nil || p.Weight != nil && p.Weight.Raised != 0) {
						t.Errorf("%s is for the yard", p.How)
					}
					if p.Instrument == ballast.FromWorkshop && !workshop {
						t.Errorf("in the yard: %s", p.How)
					}
					if p.Instrument != ballast.FromManual && p.Care == "" {
						t.Errorf("nothing to heed: %s", p.How)
					}
					if p.Code == "" || (p.Care != "") != (p.CareCode != "") || (p.Again != "") != (p.AgainCode != "") {
						t.Errorf("no code: %+v", p)
					}
					german := units.German().Text(p.Code, p.Params...)
					if german == p.How || strings.Contains(german, "{") {
						t.Errorf("in German: %s", german)
					}
					if p.How == "" || strings.Contains(p.How, "tip it") {
						t.Errorf("%+v", p)
					}
					var lifted float64
					if p.Weight != nil {
						if p.Weight.Pin > units.Length(m.low) {
							t.Errorf("with the arms up: %s", p.How)
						}
						if math.Abs(float64(p.Weight.Raised)) > 10*math.Pi/180+1e-9 {
							t.Errorf("raised by %v", p.Weight.Raised)
						}
						if p.Weight.Raised != 0 {
							raised++
						}
						for _, n := range p.Weight.Loads {
							for _, l := range rec.Loads {
								if l.Name == n {
									lifted += float64(l.Mass.Value)
								}
							}
						}
					}
					if p.Load != nil {
						lifted += float64(p.Load.Mass.Value)
					}
					if lifted > 0 {
						loads++
						if !strings.Contains(p.Care, "just clear of the ground") {
							t.Errorf("%s: %s", p.How, p.Care)
						}
						low, err := got.Ask(weigh.Question{Kind: weigh.AskTippingLoad, Pin: units.Length(m.low), Ahead: 0.7})
						if err != nil {
							t.Fatal(err)
						}
						if lifted > 0.3*float64(low.Mass.Interval.Low) {
							t.Errorf("%v kg of %v", lifted, low.Mass.Interval.Low)
						}
					}
				}
			}
		}
	}
	if loads == 0 || raised == 0 {
		t.Errorf("%d loads and %d raised axles asked for", loads, raised)
	}
}

// The order that was found to serve: for the lift the relief pressure first, for the
// slope limit a raised axle, for the tipping load of the yard a load or the tape.
func TestProposalsInOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(62, 1))
	relief, axle, tried := 0, 0, 0
	for range 10 {
		m := newMachine(r, 1, 1)
		rec := m.reads(r, plan{weights: true, loads: true, pressures: true})
		got, err := rec.Fit(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if got.Doubts != 0 {
			continue
		}
		tried++
		best := func(i int) weigh.Proposal {
			list, err := got.Next(t.Context(), m.asks()[i].q, 0.005, true)
			if err != nil || len(list) == 0 {
				t.Fatal(err, len(list))
			}
			best := list[0]
			for _, p := range list {
				if p.HalfWidth < best.HalfWidth {
					best = p
				}
			}
			return best
		}
		if p := best(2); p.Pressure != nil && p.Pressure.Motion == weigh.AtStop {
			relief++
		}
		if p := best(7); p.Weight != nil && p.Weight.Raised != 0 {
			axle++
		}
	}
	if relief < tried*8/10 || axle < tried*8/10 {
		t.Errorf("of %d, relief narrows the lift most in %d, a raised axle the slope limit in %d", tried, relief, axle)
	}
}

// The best comes first: what narrows the interval most, or once that is narrow enough makes a mistake
// noticed, for its effort. Efforts are the trade's order of what can go wrong, as numbers of our own
// (common practice, no source). What is to be read says how well it can be: a tape to 5 mm, a center
// of gravity by balance to 3 cm, the parts list's bore to 2 %, a plate to 3 %, a data sheet to 5 %,
// a relief pressure to 10 %, a test load to half a percent.
func TestProposalsByEffort(t *testing.T) {
	r := rand.New(rand.NewPCG(67, 1))
	seen := map[string]int{}
	for range 6 {
		m := newMachine(r, 1, 1)
		rec := m.reads(r, plan{weights: true, loads: true, pressures: true})
		rec.Tape = slices.DeleteFunc(rec.Tape, func(x weigh.Taped) bool { return x.Length != weigh.TapedWheelbase && x.Load == "" })
		got, err := rec.Fit(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if got.Doubts != 0 {
			continue
		}
		for _, a := range m.asks() {
			for _, wanted := range []units.Fraction{0.005, 0.5} {
				now, err := got.Ask(a.q)
				if err != nil {
					t.Fatal(err)
				}
				list, err := got.Next(t.Context(), a.q, wanted, true)
				if err != nil {
					t.Fatal(err)
				}
				last := math.Inf(1)
				for _, p := range list {
					effort, kind := 0.0, ""
					var sd, want float64
					switch {
					case p.Figure != nil:
						effort, kind, sd = 1, "figure", float64(p.Figure.SD)
						want = map[weigh.FigureKind]float64{weigh.FigureArmMass: 0.05, weigh.FigureAttachmentMass: 0.03, weigh.FigureRelief: 0.1}[p.Figure.Kind]
					case p.Taped != nil:
						effort, kind, sd, want = 1, "tape", float64(p.Taped.SD), 0.005
						switch p.Taped.Length {
						case weigh.TapedAttachmentAhead, weigh.TapedAttachmentAbove:
							want = 0.03
						case weigh.TapedLoadAhead:
							want = 0.01
						case weigh.TapedBore:
							if !(sd > 0.02*0.03 && sd < 0.02*0.09) { // of the bore that is expected
								t.Errorf("a bore to %v m", sd)
							}
							want, kind = sd, "bore"
						case weigh.TapedWheelbase:
							want = float64(rec.Tape[0].SD)
						}
					case p.Pressure != nil:
						effort, kind = 20, "pressure"
					case p.Weight.Raised != 0:
						effort, kind, sd, want = 40, "raised", float64(p.Weight.Raised), 10*math.Pi/180
					case p.Weight.Turned:
						effort, kind = 6, "turned"
					case len(p.Weight.Loads) > 0:
						effort, kind = 10, "load"
						if p.Load != nil {
							kind, sd, want = "next load", float64(p.Load.Mass.SD), math.Max(1, 0.005*float64(p.Load.Mass.Value))
						}
					default:
						effort, kind = 4, "empty"
					}
					seen[kind]++
					if p.Effort() != effort || math.Abs(sd-want) > 1e-12 {
						t.Errorf("%s: effort %v, want %v; %v, want %v", p.How, p.Effort(), effort, sd, want)
					}
					gain := math.Log(float64(now.HalfWidth / p.HalfWidth))
					if now.HalfWidth <= wanted {
						gain = math.Log(float64(now.Unnoticed / p.Unnoticed))
					}
					if gain <= 0.01 || gain/effort > last*(1+1e-12) {
						t.Errorf("%s: gains %v, behind what gains %v for its effort", p.How, gain, last)
					}
					last = gain / effort
				}
			}
		}
	}
	for _, kind := range []string{"figure", "tape", "pressure", "raised", "turned", "load", "next load", "empty", "bore"} {
		if seen[kind] == 0 {
			t.Errorf("no %s was proposed: %v", kind, seen)
		}
	}
}

// The share that is wanted may be from half a percent to a half, and is five percent where it is left
// out.
func TestProposalsWanted(t *testing.T) {
	r := rand.New(rand.NewPCG(68, 1))
	m := newMachine(r, 1, 1)
	got, err := m.reads(r, plan{weights: true, loads: true}).Fit(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	q := m.asks()[0].q
	for wanted, ok := range map[units.Fraction]bool{0.0049: false, 0.005: true, 0.5: true, 0.51: false, -1: false} {
		_, err := got.Next(t.Context(), q, wanted, false)
		if (err == nil) != ok || !ok && !strings.HasSuffix(err.Error(), "between 0.005 and 0.5") {
			t.Errorf("%v: %v", wanted, err)
		}
	}
	a, err := got.Next(t.Context(), q, 0, false)
	if err != nil {
		t.Fatal(err)
	}
	b, err := got.Next(t.Context(), q, 0.05, false)
	if err != nil || len(a) != len(b) {
		t.Errorf("%d proposals where nothing is wanted, %d for 5 %%, %v", len(a), len(b), err)
	}
}

// Where nothing was weighed, the empty machine is weighed first, with the arms down; the
// height of the pin is yet to be taped.
func TestProposalsBeginWithAxles(t *testing.T) {
	r := rand.New(rand.NewPCG(66, 1))
	for range 10 {
		m := newMachine(r, 1, 1)
		rec := m.reads(r, plan{})
		got, err := rec.Fit(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		for i, a := range m.asks()[:2] {
			list, err := got.Next(t.Context(), a.q, 0, i == 0)
			if err != nil || len(list) == 0 {
				t.Fatal(err, len(list))
			}
			p := list[0]
			if p.Instrument != ballast.FromScale || p.Effort() != 4 || p.Weight == nil || p.Weight.Pin != 0 || len(p.Weight.Loads) > 0 || p.Weight.Raised != 0 || p.Load != nil {
				t.Errorf("%s: first %s", a.name, p.How)
			}
			if german := units.German().Text(p.Code, p.Params...); p.Care == "" || german == p.How {
				t.Errorf("%q, in German %q", p.Care, german)
			}
			for _, p := range list[1:] {
				if p.Weight != nil {
					t.Errorf("%s: also %s", a.name, p.How)
				}
			}
			// Taken where the arms are down, it brings about what was foreseen.
			p.Weight.Pin = units.Length(m.low)
			next, _ := m.taken(r, rec, p)
			after, err := next.Fit(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			if ans, err := after.Ask(a.q); err != nil || after.Doubts == 0 && math.Abs(math.Log(float64(ans.HalfWidth/p.HalfWidth))) > 0.4 {
				t.Errorf("%s: half width %v, foreseen %v, %v", a.name, ans.HalfWidth, p.HalfWidth, err)
			}
		}
	}
}

// Once the width is met, a check is asked for: what was taped once is taped again.
func TestProposalsCheckTheTape(t *testing.T) {
	r := rand.New(rand.NewPCG(63, 1))
	m := newMachine(r, 1, 1)
	rec := m.reads(r, plan{weights: true, loads: true})
	got, err := rec.Fit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	q := m.asks()[0].q
	now, err := got.Ask(q)
	if err != nil {
		t.Fatal(err)
	}
	var hangs int
	if n, err := fmt.Sscanf(now.Mistake, "tape[%d].value", &hangs); n != 1 || err != nil {
		t.Fatalf("the tipping load hangs on %s", now.Mistake)
	}
	list, err := got.Next(t.Context(), q, now.HalfWidth+0.001, false)
	if err != nil || len(list) == 0 {
		t.Fatal(err, len(list))
	}
	if p := list[0]; p.Taped == nil || p.Unnoticed > now.Unnoticed*0.99 {
		t.Errorf("%+v; now %v by %s", p, now.Unnoticed, now.Mistake)
	}
	if _, err := got.Next(t.Context(), q, 0.6, false); err == nil {
		t.Error("a wanted width of 60 % is taken")
	}
	rec = m.reads(r, everything)
	got, err = rec.Fit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if list, err = got.Next(t.Context(), q, 0.1, true); err != nil || len(list) != 0 {
		t.Errorf("%v, and still %d to do", err, len(list))
	}
}

// A load of the record that is too heavy is not asked for again, on the scale or with
// the gauge.
func TestHeavyLoadIsNotAskedFor(t *testing.T) {
	r := rand.New(rand.NewPCG(64, 1))
	for range 4 {
		m := newMachine(r, 1, 1)
		rec := m.reads(r, plan{weights: true, loads: true, onePressure: true})
		rec.Loads = append(rec.Loads, weigh.TestLoad{Name: "heavy", Like: "small", Mass: weigh.Measured[units.Mass]{Value: units.Mass(m.tips(m.low, 0.7, 0) / 2), SD: 2}})
		got, err := rec.Fit(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range m.asks()[:3] {
			list, err := got.Next(t.Context(), a.q, 0.005, true)
			if err != nil {
				t.Fatal(err)
			}
			for _, p := range list {
				if p.Weight != nil && slices.Contains(p.Weight.Loads, "heavy") || p.Pressure != nil && slices.Contains(p.Pressure.Loads, "heavy") {
					t.Errorf("%s", p.How)
				}
			}
		}
	}
}

// A context of which the number of questions is counted, and that is done after some.
type counted struct {
	context.Context
	asked, ends int
}

func (c *counted) Err() error {
	if c.asked++; c.ends > 0 && c.asked > c.ends {
		return context.Canceled
	}
	return nil
}

// Next stops soon after its context is done and hands over what it weighed by then, which
// are proposals of the whole list; a context that is done from the start brings none.
func TestNextIsCanceled(t *testing.T) {
	m, err := orchardTractor().Fit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	q := weigh.Question{Kind: weigh.AskTippingLoad, Pin: 0.40, Ahead: 0.70}
	whole := &counted{Context: context.Background()}
	all, err := m.Next(whole, q, 0.005, true)
	if err != nil || len(all) < 3 || whole.asked < 10 {
		t.Fatalf("%d proposals, %d times asked: %v", len(all), whole.asked, err)
	}
	texts := map[string]bool{}
	for _, p := range all {
		texts[p.How] = true
	}
	for ends := 1; ends < whole.asked; ends++ {
		c := &counted{Context: context.Background(), ends: ends}
		some, err := m.Next(c, q, 0.005, true)
		if !errors.Is(err, context.Canceled) || c.asked > ends+1 || len(some) > ends {
			t.Fatalf("done after %d: %d proposals, asked %d times: %v", ends, len(some), c.asked, err)
		}
		for _, p := range some {
			if !texts[p.How] {
				t.Errorf("%q is not in the whole list", p.How)
			}
		}
	}
	done, cancel := context.WithCancel(context.Background())
	cancel()
	if list, err := m.Next(done, q, 0.005, true); !errors.Is(err, context.Canceled) || len(list) > 0 {
		t.Errorf("%d proposals, %v", len(list), err)
	}
	//lint:ignore SA1012 a nil context never ends, as the documentation says
	if list, err := m.Next(nil, q, 0.005, true); err != nil || len(list) != len(all) {
		t.Errorf("%d proposals, %v", len(list), err)
	}
}

// Fit stops before the next of its fits once its context is done, also where readings
// contradict each other; whatever it is done after, the next fit is the same.
func TestFitIsCanceled(t *testing.T) {
	r := orchardTractor()
	r.Weights[0].Front += 400
	whole := &counted{Context: context.Background()}
	want, err := r.Fit(whole)
	if err != nil || whole.asked < 3 {
		t.Fatalf("asked %d times: %v", whole.asked, err)
	}
	for ends := 1; ends < whole.asked; ends++ {
		c := &counted{Context: context.Background(), ends: ends}
		if m, err := r.Fit(c); m != nil || !errors.Is(err, context.Canceled) || c.asked > ends+1 {
			t.Fatalf("done after %d: %v, asked %d times: %v", ends, m, c.asked, err)
		}
	}
	done, cancel := context.WithCancel(context.Background())
	m, err := r.Fit(done)
	cancel() // the machine answers for longer than its context
	if err != nil || m.Steps != want.Steps || len(m.Suspects) != len(want.Suspects) {
		t.Errorf("%+v, want %+v: %v", m, want, err)
	}
	if _, err := r.Fit(done); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}
