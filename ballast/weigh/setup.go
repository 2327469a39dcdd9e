package weigh

import (
	"errors"
	"math"
	"slices"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/derive"
	"example.com/steelyard/internal/fit"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// ErrWithheld is the error of what cannot be made of readings that contradict each
// other.
var ErrWithheld = errors.New("the readings contradict each other")

// liftHeights is how many heights the pressure of a setup is held to.
const liftHeights = 9

// Setup returns the machine as a [ballast.Setup] whose inputs are ranges: the
// intervals of the estimate, each by itself. It is the machine as it was weighed,
// with fuel and operator, without the loose pieces, for arms that reach from the
// lowest to the highest pin. What no reading says is left out, so that a range of
// practice takes its place: the ratings, where an attachment carries its load, and
// whatever was not taped.
//
// Cylinders have the relief pressure and the friction of the estimate. The range of the
// pressure takes in the errors of friction, bore and lever, which the other fields state
// as single values, so that what is left to raise a load is as the estimate has it.
//
// A range of the record's confidence is a statement about probability, and a setup
// of such ranges is no proof. [Machine.Ask] keeps how errors hang together and has
// narrower answers. An error wraps [ErrWithheld], or names lowest or highest.
func (m *Machine) Setup(lowest, highest units.Length) (ballast.Setup, error) {
	if m.Doubts&withheld != 0 {
		return ballast.Setup{}, ErrWithheld
	}
	var c units.FieldErrors
	valid.Within(&c, "lowest", lowest, 0.01, 10)
	valid.Within(&c, "highest", highest, lowest+0.1, 10)
	for _, x := range []struct {
		path string
		pin  units.Length
	}{{"lowest", lowest}, {"highest", highest}} {
		if s := (float64(x.pin) - m.at[unPivotZ]) / m.at[unArm]; !(math.Abs(s) <= 0.98) {
			c.Add(x.path, valid.Show(x.pin), "must be within reach of the arms")
		}
	}
	if err := c.Err(); err != nil {
		return ballast.Setup{}, err
	}
	k := m.calculation()
	s := ballast.Setup{Machine: m.tractor(&k, lowest), Loader: m.loader(&k, lowest, highest)}
	r := m.e.r
	s.Attachment = &ballast.Attachment{Kind: r.Attachment}
	if k.hasHung {
		s.Attachment.Mass = interval[units.Mass](m, &k, k.hung)
		s.Attachment.CG = ballast.Offset{Ahead: interval[units.Length](m, &k, unHungX), Above: interval[units.Length](m, &k, unHungZ)}
	}
	return s, nil
}

// calculation returns the model at the estimate.
func (m *Machine) calculation() model {
	k := model{r: m.e.r, loads: m.e.m.loads, pieces: m.e.m.pieces, raised: m.e.m.raised, held: m.e.m.held, pins: m.e.m.pins, side: m.e.m.side, cross: m.e.m.cross}
	k.reset(m.at)
	return k
}

// spread returns a quantity and its standard error.
func (m *Machine) spread(k *model, y derive.Value) (v, sd float64) {
	g := make([]float64, len(m.at))
	k.Gradient(y, g)
	return k.At(y), math.Sqrt(quadratic(m.cov, g))
}

// interval returns the interval of a quantity as an input.
func interval[Q units.Quantity](m *Machine, k *model, y derive.Value) units.Input[Q] {
	v, sd := m.spread(k, y)
	z := fit.NormalQuantile(m.level)
	return units.Between(Q(v-z*sd), Q(v+z*sd))
}

// tractor returns the machine with its loader on, arms down and nothing on them.
func (m *Machine) tractor(k *model, lowest units.Length) ballast.Machine {
	r := m.e.r
	pin := float64(lowest)
	sin, cos := k.arm(pin)
	all := make([]string, len(r.Pieces))
	for i, p := range r.Pieces {
		all[i] = p.Name
	}
	hung := k.hasHung
	k.hasHung = false
	s := k.empty(pin, sin, cos, all)
	k.hasHung = hung
	front := k.Div(s.x, unBase)
	out := ballast.Machine{
		MassIncludes: ballast.MassFueled, LoaderIncluded: ballast.WithLoader, Operator: ballast.OperatorAsStated,
		Fuel:      ballast.Fuel{State: ballast.FuelAsStated},
		FrontLoad: interval[units.Mass](m, k, front), RearLoad: interval[units.Mass](m, k, k.Sub(s.w, front)),
		CG:            ballast.Position{Z: interval[units.Length](m, k, k.Div(s.z, s.w))},
		Undercarriage: r.Undercarriage,
		Wheelbase:     interval[units.Length](m, k, unBase),
	}
	for _, x := range []struct {
		length TapedLength
		in     *units.Input[units.Length]
	}{
		{TapedRearTrack, &out.RearTrack}, {TapedAxlePin, &out.AxlePinHeight}, {TapedFrontRadius, &out.Front.Radius}, {TapedRearRadius, &out.Rear.Radius},
	} {
		if slices.ContainsFunc(r.Tape, func(t Taped) bool { return t.Length == x.length }) {
			*x.in = interval[units.Length](m, k, derive.Value(directly[x.length]))
		}
	}
	return out
}

// loader returns arms and cylinders.
func (m *Machine) loader(k *model, lowest, highest units.Length) *ballast.Loader {
	r := m.e.r
	l := &ballast.Loader{
		Pivot: ballast.Position{X: interval[units.Length](m, k, unPivotX), Z: interval[units.Length](m, k, unPivotZ)},
		Arm:   interval[units.Length](m, k, unArm), LowestPin: units.Is(lowest), HighestPin: units.Is(highest),
		ArmMass: interval[units.Mass](m, k, k.arms), ArmCG: interval[units.Length](m, k, k.armsAt),
		SelfLeveling: r.SelfLeveling,
	}
	if r.Cylinders == 0 {
		return l
	}
	x, z := m.at[unRodX], m.at[unRodZ]
	l.Cylinders = &ballast.Cylinders{
		Base:      ballast.Offset{Ahead: units.Is(units.Length(m.at[unCylX])), Above: units.Is(units.Length(m.at[unCylZ]))},
		RodRadius: units.Is(units.Length(math.Hypot(x, z))), RodAngle: units.Is(units.Angle(math.Atan2(z, x))),
		Bore: units.Is(units.Length(math.Exp(m.at[unBore]))), Count: r.Cylinders,
	}
	var low, high float64
	quantile := fit.NormalQuantile(m.level)
	push := k.Sub(k.relief, k.Add(k.Mul(k.relief, unDrag), unStick))
	for i := range liftHeights {
		h := float64(lowest) + float64(highest-lowest)*float64(i)/(liftHeights-1)
		sin, cos := k.arm(h)
		// The pressure that raises, times area and lever over what is stated of them.
		work := k.Mul(k.area, k.lever(sin, cos))
		v, sd := m.spread(k, k.Scale(k.Mul(push, work), 1/k.At(work)))
		if i == 0 || v-quantile*sd < low {
			low = v - quantile*sd
		}
		high = math.Max(high, v+quantile*sd)
	}
	// The setup takes the friction off again, so that what raises a load is as it was.
	friction := math.Min(0.3, math.Max(0, 1-k.At(push)/k.At(k.relief)))
	l.Cylinders.Friction = units.Is(units.Fraction(friction))
	l.Cylinders.Pressure = units.Between(units.GaugePressure(low*1e6/(1-friction)), units.GaugePressure(high*1e6/(1-friction)))
	return l
}
