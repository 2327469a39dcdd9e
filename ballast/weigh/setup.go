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

// What a setup takes as a relief pressure.
const (
	leastRelief = units.GaugeBar
	mostRelief  = 1000 * units.GaugeBar
)

// liftHeights is how many heights the pressure of a setup is held to.
const liftHeights = 9

// Setup returns the machine as a [ballast.Setup] whose inputs are ranges: the
// intervals of the estimate, each by itself. It is the machine as it was weighed,
// with fuel and operator, without the loose pieces, for arms that reach from the
// lowest to the highest pin. What no reading says is left out, so that a range of
// practice takes its place: the ratings, where an attachment carries its load, and
// whatever was not taped. The arms of a setup have their center of gravity on the line
// from pivot to pin, so that how far it is above that line is left out as well.
//
// Cylinders have the relief pressure and the friction of the estimate. The range of the
// pressure takes in the errors of friction, bore and lever, which the other fields state
// as single values, so that what is left to raise a load is as the estimate has it. Where
// hardly any reading speaks of the cylinders that range is held within what a setup takes,
// from 0.1 MPa.
//
// A range of the record's confidence is a statement about probability, and a setup
// of such ranges is no proof. [Machine.Ask] keeps how errors hang together and has
// narrower answers, and so has [Machine.Joint]. An error wraps [ErrWithheld], or names
// lowest or highest.
func (m *Machine) Setup(lowest, highest units.Length) (ballast.Setup, error) {
	k, parts, err := m.parts(lowest, highest)
	if err != nil {
		return ballast.Setup{}, err
	}
	z := fit.NormalQuantile(m.level)
	s := m.frame(k, lowest, highest)
	for _, p := range parts {
		v, sd := m.spread(k, p.y)
		p.set(&s, math.Max(p.least, v-z*sd), math.Max(p.least, v+z*sd))
	}
	if s.Loader.Cylinders != nil {
		m.pressures(k, s.Loader.Cylinders, lowest, highest)
	}
	return s, nil
}

// Joint is the machine as a [ballast.Setup] whose inputs hang together: the values of
// all that the estimate says of it, and the covariance of their errors. Use it where many
// setups are drawn, such as for the chance that a load is too much. It is immutable but
// for what a caller changes.
type Joint struct {
	// Paths are the inputs by their JSON names, such as "machine.frontLoad".
	Paths []string `json:"paths"`
	// Mean holds the estimate of each, in the SI unit of its kind.
	Mean []float64 `json:"mean"`
	// Covariance holds the covariance of each pair, row after row.
	Covariance []float64 `json:"covariance"`

	frame ballast.Setup
	parts []part
	root  []float64 // lower Cholesky factor of the covariance
}

// Joint returns the machine as values with their covariance, of the same inputs as
// [Machine.Setup] has ranges of. The pressure is the one that is left with the pin at its
// highest. Errors are those of Setup.
func (m *Machine) Joint(lowest, highest units.Length) (Joint, error) {
	k, parts, err := m.parts(lowest, highest)
	if err != nil {
		return Joint{}, err
	}
	j := Joint{frame: m.frame(k, lowest, highest)}
	if c := j.frame.Loader.Cylinders; c != nil {
		sin, cos := k.arm(float64(highest))
		share := 1 - float64(c.Friction.Value())
		parts = append(parts, whole("loader.cylinders.pressure", k.Scale(m.raises(k, sin, cos), 1e6/share), 1e5,
			func(s *ballast.Setup) *units.Input[units.GaugePressure] { return &s.Loader.Cylinders.Pressure }))
	}
	n := len(parts)
	slopes := make([][]float64, n)
	for i, p := range parts {
		slopes[i] = make([]float64, len(m.at))
		k.Gradient(p.y, slopes[i])
		j.Paths, j.Mean = append(j.Paths, p.path), append(j.Mean, k.At(p.y))
	}
	j.parts, j.Covariance = parts, make([]float64, n*n)
	for a := range n {
		for b := range n {
			j.Covariance[a*n+b] = bilinear(m.cov, slopes[a], slopes[b])
		}
	}
	j.root = root(j.Covariance, n)
	return j, nil
}

// Draw returns one setup with every input of the joint estimate at a value. Normal returns
// independent values of the normal distribution with mean 0 and standard deviation 1; one
// that always returns 0 gives the estimate itself. A mass or a length that would be drawn
// below what a setup takes is put at that.
func (j *Joint) Draw(normal func() float64) ballast.Setup {
	n := len(j.parts)
	z := make([]float64, n)
	for i := range z {
		z[i] = normal()
	}
	s := j.frame
	// What the setup points to is copied, so that no two draws share it.
	if s.Loader != nil {
		l := *s.Loader
		if l.Cylinders != nil {
			c := *l.Cylinders
			l.Cylinders = &c
		}
		s.Loader = &l
	}
	if s.Attachment != nil {
		a := *s.Attachment
		s.Attachment = &a
	}
	for i, p := range j.parts {
		v := j.Mean[i]
		for k := range i + 1 {
			v += float64(j.root[i*n+k] * z[k])
		}
		v = math.Max(p.least, v)
		p.set(&s, v, v)
	}
	return s
}

// root returns the lower Cholesky factor of a covariance. What is a sum of others, or
// exact, has no variance of its own left.
func root(cov []float64, n int) []float64 {
	l := make([]float64, n*n)
	for i := range n {
		for j := range i + 1 {
			sum := cov[i*n+j]
			for k := range j {
				sum -= float64(l[i*n+k] * l[j*n+k])
			}
			switch {
			case i == j:
				if sum > 1e-12*cov[i*n+i] {
					l[i*n+i] = math.Sqrt(sum)
				}
			case l[j*n+j] > 0:
				l[i*n+j] = sum / l[j*n+j]
			}
		}
	}
	return l
}

// part is an input of a setup that the estimate speaks of.
type part struct {
	path  string
	y     derive.Value
	least float64 // what a setup takes
	set   func(s *ballast.Setup, low, high float64)
}

// whole returns the part of a setup that is in this place.
func whole[Q units.Quantity](path string, y derive.Value, least float64, in func(*ballast.Setup) *units.Input[Q]) part {
	return part{path, y, least, func(s *ballast.Setup, low, high float64) { *in(s) = units.Between(Q(low), Q(high)) }}
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

// frame returns the setup with what is no estimate.
func (m *Machine) frame(k *model, lowest, highest units.Length) ballast.Setup {
	r := m.e.r
	s := ballast.Setup{
		Machine: ballast.Machine{
			MassIncludes: ballast.MassFueled, LoaderIncluded: ballast.WithLoader, Operator: ballast.OperatorAsStated,
			Fuel: ballast.Fuel{State: ballast.FuelAsStated}, Undercarriage: r.Undercarriage,
		},
		Loader:     &ballast.Loader{LowestPin: units.Is(lowest), HighestPin: units.Is(highest), SelfLeveling: r.SelfLeveling},
		Attachment: &ballast.Attachment{Kind: r.Attachment},
	}
	if r.Cylinders > 0 {
		x, z := m.at[unRodX], m.at[unRodZ]
		s.Loader.Cylinders = &ballast.Cylinders{
			Base:      ballast.Offset{Ahead: units.Is(units.Length(m.at[unCylX])), Above: units.Is(units.Length(m.at[unCylZ]))},
			RodRadius: units.Is(units.Length(math.Hypot(x, z))), RodAngle: units.Is(units.Angle(math.Atan2(z, x))),
			Bore: units.Is(units.Length(math.Exp(m.at[unBore]))), Count: r.Cylinders,
			Friction: units.Is(units.Fraction(math.Min(0.3, math.Max(0, 1-k.At(m.left(k))/k.At(k.relief))))),
		}
	}
	return s
}

// parts returns the inputs of a setup that the estimate speaks of, but for the pressure.
func (m *Machine) parts(lowest, highest units.Length) (*model, []part, error) {
	if m.e == nil {
		return nil, nil, units.NewFieldError("machine", nil, "must come from Record.Fit")
	}
	if m.Doubts&withheld != 0 {
		return nil, nil, ErrWithheld
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
		return nil, nil, err
	}
	k := m.calculation()
	r := m.e.r
	all := make([]string, len(r.Pieces))
	for i, p := range r.Pieces {
		all[i] = p.Name
	}
	// The machine with its loader on, arms down and nothing on them.
	sin, cos := k.arm(float64(lowest))
	hung := k.hasHung
	k.hasHung = false
	s := k.empty(float64(lowest), sin, cos, all)
	k.hasHung = hung
	front := k.Div(s.x, unBase)
	type input = func(*ballast.Setup) *units.Input[units.Length]
	parts := []part{
		whole("machine.frontLoad", front, 1, func(s *ballast.Setup) *units.Input[units.Mass] { return &s.Machine.FrontLoad }),
		whole("machine.rearLoad", k.Sub(s.w, front), 1, func(s *ballast.Setup) *units.Input[units.Mass] { return &s.Machine.RearLoad }),
		whole("loader.armMass", k.arms, 1, func(s *ballast.Setup) *units.Input[units.Mass] { return &s.Loader.ArmMass }),
	}
	anywhere := math.Inf(-1)
	length := func(path string, y derive.Value, least float64, in input) {
		parts = append(parts, whole(path, y, least, in))
	}
	length("machine.cg.z", k.Div(s.z, s.w), 0.1, func(s *ballast.Setup) *units.Input[units.Length] { return &s.Machine.CG.Z })
	length("machine.wheelbase", unBase, float64(valid.MinWheelbase), func(s *ballast.Setup) *units.Input[units.Length] { return &s.Machine.Wheelbase })
	if k.side != 0 {
		length("machine.cg.y", k.Div(k.Mul(k.body, k.side), s.w), anywhere, func(s *ballast.Setup) *units.Input[units.Length] { return &s.Machine.CG.Y })
	}
	for _, x := range []struct {
		length TapedLength
		path   string
		in     input
	}{
		{TapedRearTrack, "machine.rearTrack", func(s *ballast.Setup) *units.Input[units.Length] { return &s.Machine.RearTrack }},
		{TapedAxlePin, "machine.axlePinHeight", func(s *ballast.Setup) *units.Input[units.Length] { return &s.Machine.AxlePinHeight }},
		{TapedFrontRadius, "machine.front.radius", func(s *ballast.Setup) *units.Input[units.Length] { return &s.Machine.Front.Radius }},
		{TapedRearRadius, "machine.rear.radius", func(s *ballast.Setup) *units.Input[units.Length] { return &s.Machine.Rear.Radius }},
	} {
		if slices.ContainsFunc(r.Tape, func(t Taped) bool { return t.Length == x.length }) {
			length(x.path, derive.Value(directly[x.length]), float64(tapedRange[x.length][0]), x.in)
		}
	}
	length("loader.pivot.x", unPivotX, anywhere, func(s *ballast.Setup) *units.Input[units.Length] { return &s.Loader.Pivot.X })
	length("loader.pivot.z", unPivotZ, 0.2, func(s *ballast.Setup) *units.Input[units.Length] { return &s.Loader.Pivot.Z })
	length("loader.arm", unArm, 0.3, func(s *ballast.Setup) *units.Input[units.Length] { return &s.Loader.Arm })
	length("loader.armCG", k.armsAt, 0.01, func(s *ballast.Setup) *units.Input[units.Length] { return &s.Loader.ArmCG })
	if hung {
		parts = append(parts, whole("attachment.mass", k.hung, 1, func(s *ballast.Setup) *units.Input[units.Mass] { return &s.Attachment.Mass }))
		length("attachment.cg.ahead", unHungX, anywhere, func(s *ballast.Setup) *units.Input[units.Length] { return &s.Attachment.CG.Ahead })
		length("attachment.cg.above", unHungZ, anywhere, func(s *ballast.Setup) *units.Input[units.Length] { return &s.Attachment.CG.Above })
	}
	return &k, parts, nil
}

// left returns the pressure that is left to raise a load after friction, in megapascals.
func (m *Machine) left(k *model) derive.Value {
	return k.Sub(k.relief, k.Add(k.Mul(k.relief, unDrag), unStick))
}

// raises returns the pressure that raises, times area and lever over what is stated of
// them.
func (m *Machine) raises(k *model, sin, cos derive.Value) derive.Value {
	work := k.Mul(k.area, k.lever(sin, cos))
	return k.Scale(k.Mul(m.left(k), work), 1/k.At(work))
}

// pressures gives the cylinders of a setup the range of the pressure that raises, over the
// way of the arms. The setup takes the friction off again.
func (m *Machine) pressures(k *model, c *ballast.Cylinders, lowest, highest units.Length) {
	var low, high float64
	quantile := fit.NormalQuantile(m.level)
	for i := range liftHeights {
		h := float64(lowest) + float64(highest-lowest)*float64(i)/(liftHeights-1)
		sin, cos := k.arm(h)
		v, sd := m.spread(k, m.raises(k, sin, cos))
		if i == 0 || v-quantile*sd < low {
			low = v - quantile*sd
		}
		high = math.Max(high, v+quantile*sd)
	}
	share := 1 - float64(c.Friction.Value())
	within := func(v float64) units.GaugePressure {
		return min(max(units.GaugePressure(v*1e6/share), leastRelief), mostRelief)
	}
	c.Pressure = units.Between(within(low), within(high))
}
