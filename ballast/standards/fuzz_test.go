package standards_test

import (
	"math"
	"testing"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// FuzzDrawbar throws any numbers at drawbar work: an error, or finite answers.
func FuzzDrawbar(f *testing.F) {
	f.Add(2000.0, 3000.0, 2.5, 20e3, 0.5, 0.0, 0.6, 900e3, 0.2, 0.1, uint8(1))
	f.Add(math.NaN(), math.Inf(-1), 1e308, 1e-308, 0.0, math.Copysign(0, -1), -1.0, 1e308, 1e308, math.NaN(), uint8(200))
	f.Fuzz(func(t *testing.T, front, rear, base, force, height, down, behind, ci, delta, slip float64, kind uint8) {
		p := standards.Pull{units.Mass(front), units.Mass(rear), units.Length(base), units.Force(force), units.Length(height), units.Force(down), units.Length(behind), 0}
		if got, err := p.Solve(); err == nil {
			finiteAnswer(t, p, float64(got.Front), float64(got.Rear), float64(got.Transfer), float64(got.Lift))
		}
		tr := standards.Traction{units.Pressure(ci), units.Force(force), units.Length(height), units.Length(base), units.Fraction(delta), liquid.Construction(kind)}
		for _, solve := range []func() (standards.TractionRatios, error){
			func() (standards.TractionRatios, error) { return tr.At(units.Fraction(slip)) },
			func() (standards.TractionRatios, error) { return tr.SlipFor(units.Force(down)) },
			func() (standards.TractionRatios, error) {
				return standards.TractionAt(base, units.Fraction(slip), liquid.Construction(kind))
			},
		} {
			if got, err := solve(); err == nil {
				finiteAnswer(t, tr, got.Mobility, float64(got.Slip), float64(got.Gross), float64(got.Resistance), float64(got.Net), float64(got.Efficiency), float64(got.Pull))
			}
		}
		if got, err := standards.SlipFromTurns(front, rear); err == nil && !(got >= 0 && got < 1) {
			t.Errorf("slip %v from %v and %v turns", got, front, rear)
		}
		if b, err := standards.MassPerPowerForDrawbarWork(standards.TractorKind(kind), units.Speed(base)); err == nil {
			if m, err := b.Mass(units.Power(ci)); err == nil {
				finiteAnswer(t, b, float64(m.Low), float64(m.High))
			}
		}
		if b, err := standards.BestSlip(standards.TractionSurface(kind)); err == nil {
			if l, err := b.SlipLoss(units.Fraction(slip)); err == nil {
				finiteAnswer(t, b, float64(l))
			}
		}
	})
}

// FuzzFigures throws any numbers at the reference mass, the service brake and the
// required lift of a hitch: an error, or finite answers.
func FuzzFigures(f *testing.F) {
	f.Add(2000.0, 3000.0, 5e4, 6e4, 8.0)
	f.Add(math.NaN(), math.Inf(1), 1e308, 5e-324, math.Copysign(0, -1))
	f.Fuzz(func(t *testing.T, unballasted, gross, pto, engine, speed float64) {
		r := standards.ROPSTest{units.Mass(unballasted), units.Mass(gross), units.Power(pto), units.Power(engine)}
		if got, err := r.Solve(); err == nil {
			finiteAnswer(t, r, float64(got.Mass), float64(got.Front), float64(got.PerPower), float64(got.PerPowerMetric), float64(got.PTOPower))
		}
		if got, err := standards.RequiredServiceBrake(units.Speed(speed)); err == nil {
			finiteAnswer(t, speed, float64(got.Stop), float64(got.Deceleration))
		}
		if got, err := standards.RequiredHitchLift(units.Power(pto)); err == nil {
			finiteAnswer(t, pto, float64(got))
		}
	})
}
