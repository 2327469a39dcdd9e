package weigh_test

import (
	"encoding/json"
	"errors"
	"math"
	"testing"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/units"
)

// answerOK fails unless an answer came with finite numbers only, or a field
// error came instead.
func answerOK(t *testing.T, answer any, err error) {
	t.Helper()
	if err != nil {
		if !errors.Is(err, units.ErrInvalid) {
			t.Fatalf("not a field error: %v", err)
		}
		return
	}
	// Marshaling refuses NaN and infinities.
	if _, err := json.Marshal(answer); err != nil {
		t.Fatalf("%v in %+v", err, answer)
	}
}

func FuzzWeighSession(f *testing.F) {
	for _, s := range []string{
		`{"wheelbase":{"value":"2.1 m","sd":"5 mm"},"ahead":{"value":"1.75 m","sd":"10 mm"},"scale":{"sd":"5 kg"},
		"readings":[{"load":"0 kg","rear":"1486 kg"},{"load":"150 kg","rear":"1361 kg"},{"load":"300 kg","rear":"1236 kg"},{"load":"450 kg","rear":"1111 kg"}]}`,
		`{"wheelbase":{"value":"0.5 m","sd":"0.1 m"},"ahead":{"value":"10 m","sd":"2 m"},"scale":{"sd":"500 kg","gainSD":"0.1","zeroSD":"500 kg","capacity":"10 kg"},"loadSD":"500 kg",
		"readings":[{"load":"100000 kg","rear":"1 kg","front":"1 kg"},{"load":"1 kg","rear":"100000 kg","front":"100000 kg"},{"rear":"3 kg"}]}`,
		`{"wheelbase":{"value":"2 m","sd":"1e-6 m"},"ahead":{"value":"1 m","sd":"1e-6 m"},"scale":{"sd":"10 g"},"share":"0.5","readings":[{"rear":"1 kg"},{"rear":"100000 kg","load":"1 kg"},{"rear":"50 kg","load":"1 kg"}]}`,
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var s weigh.Session
		if json.Unmarshal(data, &s) != nil {
			return
		}
		checkPrediction(t, s)
	})
}

// checkPrediction asks a session and holds the answer against the promises of
// its fields.
func checkPrediction(t *testing.T, s weigh.Session) {
	t.Helper()
	p, err := s.Predict()
	answerOK(t, p, err)
	if err != nil {
		return
	}
	if (p.Refusals == 0) != (p.TippingLoad > 0) {
		t.Fatalf("refusals %v with a load of %v", p.Refusals, p.TippingLoad)
	}
	if p.Refusals == 0 && !(p.Interval.Low > 0 && p.Interval.Low <= p.TippingLoad && p.TippingLoad <= p.Interval.High) {
		t.Fatalf("%v in %v", p.TippingLoad, p.Interval)
	}
	share := s.Share
	if share == 0 {
		share = weigh.DefaultShare
	}
	if p.Next.Load > 0 && (p.Next.Load > units.Mass(share)*p.Main.Interval.Low || p.Next.Load > p.Next.Limit) {
		t.Fatalf("advises %v of a lower bound %v", p.Next.Load, p.Main.Interval.Low)
	}
	moved, err := p.Transfer(weigh.Change{Rear: 100, RearSD: 5, Ahead: 0.1, AheadSD: 0.01})
	answerOK(t, moved, err)
	out, err := s.Expect(1500, 0, 150, 300)
	answerOK(t, out, err)
}

// The same with the numbers themselves, which reaches odd values sooner.
func FuzzWeighNumbers(f *testing.F) {
	f.Add(2.1, 0.005, 1.75, 0.01, 5.0, 0.0, 1486.0, 150.0, 1361.0, 300.0, 1236.0, 450.0, 1111.0, 0.0)
	f.Add(0.5, 0.1, 10.0, 2.0, 500.0, 1e5, 1.0, 1.0, 1e5, 1.0, 1e5, 2.0, 1e5, 1e5)
	f.Add(10.0, 1e-6, 0.1, 1e-6, 0.01, 1.0, 1e5, 1e5, 1.0, 1e5, 1.0, 1e5, 1.0, 0.1)
	f.Fuzz(func(t *testing.T, l, lsd, a, asd, sd, m0, r0, m1, r1, m2, r2, m3, r3, front float64) {
		length := func(v, sd float64) weigh.Measured[units.Length] {
			return weigh.Measured[units.Length]{units.Length(v), units.Length(sd)}
		}
		checkPrediction(t, weigh.Session{Wheelbase: length(l, lsd), Ahead: length(a, asd), Scale: weigh.Scale{SD: units.Mass(sd), ZeroSD: units.Mass(front)},
			Readings: []weigh.LoadReading{{units.Mass(m0), units.Mass(r0), 0}, {units.Mass(m1), units.Mass(r1), units.Mass(front)},
				{units.Mass(m2), units.Mass(r2), units.Mass(front)}, {units.Mass(m3), units.Mass(r3), units.Mass(r0)}}})
	})
}

func FuzzAxleLift(f *testing.F) {
	for _, s := range []string{
		`{"level":{"wheelbase":{"value":"2.4 m","sd":"5 mm"},"front":"1200 kg","rear":"1800 kg","scale":{"sd":"5 kg"}},"rearRadius":{"value":"0.75 m","sd":"4 mm"},"frontRadius":{"value":"0.5 m","sd":"4 mm"},"angleSD":"0.1 deg",
		"lifts":[{"angle":"10 deg","front":"1146 kg"},{"angle":"-10 deg","rear":"1740 kg","lowering":true},{"angle":"20 deg","front":"1085 kg"}]}`,
		`{"level":{"wheelbase":{"value":"0.5 m","sd":"1 m"},"frontLeft":"1 kg","frontRight":"100000 kg","frontTrack":"1 m","rear":"1 kg","scale":{"sd":"500 kg"}},"rearRadius":{"value":"1.5 m","sd":"0.3 m"},"frontRadius":{"value":"0.1 m","sd":"0.3 m"},"angleSD":"2 deg","lifts":[{"angle":"40 deg","rear":"1 kg"}]}`,
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var a weigh.AxleLift
		if json.Unmarshal(data, &a) != nil {
			return
		}
		h, err := a.Solve()
		answerOK(t, h, err)
		level, err := a.Level.Solve()
		answerOK(t, level, err)
		sd, err := a.Expect(0.8)
		answerOK(t, sd, err)
	})
}

func FuzzReconciliation(f *testing.F) {
	r := weigh.Reconciliation{Sheet: orchardSheet(), Scale: weigh.Scale{SD: 5}, Readings: readingsOf(orchardSheet())}
	b, err := json.Marshal(r)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(b)
	f.Add([]byte(`{"sheet":{"wheelbase":{"value":"0.5 m","sd":"2 m"},"parts":[{"name":"a","mass":{"value":"1 g","sd":"20000 kg"},"x":{"value":"-20 m","sd":"4 m"}}]},"scale":{"sd":"10 g","gainSD":"0.1"},"readings":[{"front":"100000 kg","rear":"1 kg"}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var r weigh.Reconciliation
		if json.Unmarshal(data, &r) != nil {
			return
		}
		got, err := r.Solve()
		answerOK(t, got, err)
		if err == nil && got.Agrees && len(got.Suspects()) > 0 {
			t.Fatal("suspects although all agrees")
		}
		change, err := weigh.ChangeBetween(r.Sheet, r.Sheet)
		answerOK(t, change, err)
		if err == nil && change.Rear != 0 {
			t.Fatalf("no change is %+v", change)
		}
	})
}

// Every bad number is refused by its path, and none gets through as NaN.
func TestWeighBadNumbers(t *testing.T) {
	good, rear, _ := l150(t)
	good = withLoads(good, rear, 0, 150, 300, 450, 0)
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e308, -1e308, -1, 5e-324} {
		for _, c := range []struct {
			path string
			set  func(*weigh.Session)
		}{
			{"wheelbase.value", func(s *weigh.Session) { s.Wheelbase.Value = units.Length(v) }},
			{"wheelbase.sd", func(s *weigh.Session) { s.Wheelbase.SD = units.Length(v) }},
			{"ahead.value", func(s *weigh.Session) { s.Ahead.Value = units.Length(v) }},
			{"ahead.sd", func(s *weigh.Session) { s.Ahead.SD = units.Length(v) }},
			{"scale.sd", func(s *weigh.Session) { s.Scale.SD = units.Mass(v) }},
			{"scale.division", func(s *weigh.Session) { s.Scale.Division = units.Mass(v) }},
			{"scale.zeroSD", func(s *weigh.Session) { s.Scale.ZeroSD = units.Mass(v) }},
			{"scale.gainSD", func(s *weigh.Session) { s.Scale.GainSD = units.Fraction(v) }},
			{"scale.capacity", func(s *weigh.Session) { s.Scale.Capacity = units.Mass(v) }},
			{"loadSD", func(s *weigh.Session) { s.LoadSD = units.Mass(v) }},
			{"readings[1].load", func(s *weigh.Session) { s.Readings[1].Load = units.Mass(v) }},
			{"readings[1].rear", func(s *weigh.Session) { s.Readings[1].Rear = units.Mass(v) }},
			{"readings[1].front", func(s *weigh.Session) { s.Readings[1].Front = units.Mass(v) }},
			{"confidence", func(s *weigh.Session) { s.Confidence = v }},
			{"share", func(s *weigh.Session) { s.Share = units.Fraction(v) }},
			{"largestLoad", func(s *weigh.Session) { s.LargestLoad = units.Mass(v) }},
		} {
			s := good
			s.Readings = append([]weigh.LoadReading(nil), good.Readings...)
			c.set(&s)
			_, err := s.Predict()
			var e *units.FieldError
			if !errors.As(err, &e) || e.Path != c.path {
				t.Errorf("%s = %v: %v", c.path, v, err)
			}
		}
	}
	// Zero of a field that has no default is an error, never a default.
	for _, c := range []func(*weigh.Session){
		func(s *weigh.Session) { s.Wheelbase.SD = 0 },
		func(s *weigh.Session) { s.Ahead.SD = 0 },
		func(s *weigh.Session) { s.Scale.SD = 0 },
		func(s *weigh.Session) { s.Readings[0].Rear = 0 },
		func(s *weigh.Session) { s.Readings = nil },
	} {
		s := good
		s.Readings = append([]weigh.LoadReading(nil), good.Readings...)
		c(&s)
		if _, err := s.Predict(); !errors.Is(err, units.ErrInvalid) {
			t.Errorf("a missing number passes: %v", err)
		}
	}
}

func BenchmarkPredict(b *testing.B) {
	s := weigh.Session{Wheelbase: weigh.Measured[units.Length]{2.1, 0.005}, Ahead: weigh.Measured[units.Length]{1.75, 0.01}, Scale: weigh.Scale{SD: 5}, LoadSD: 1}
	s = withLoads(s, 1486, 0, 150, 300, 450, 0)
	b.ReportAllocs()
	for b.Loop() {
		if p, err := s.Predict(); err != nil || p.TippingLoad == 0 {
			b.Fatal(p.Refusals, err)
		}
	}
}

func BenchmarkAxleLift(b *testing.B) {
	a := liftOf(2.4, 0.75, 0.5, 1200, 1800, weigh.LiftReading{Angle: 10 * units.Degree, Front: 1145.892}, weigh.LiftReading{Angle: -10 * units.Degree, Front: 1256})
	a.Level.Scale.SD = 5
	b.ReportAllocs()
	for b.Loop() {
		if _, err := a.Solve(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReconcile(b *testing.B) {
	r := weigh.Reconciliation{Sheet: orchardSheet(), Scale: weigh.Scale{SD: 5}, Readings: readingsOf(orchardSheet())}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := r.Solve(); err != nil {
			b.Fatal(err)
		}
	}
}
