package reliability

import (
	"math"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Lifting is a load case of a machine in which quantities vary.
type Lifting struct {
	// Setup and Lift are the machine and its load case; what varies may have any value
	// in them.
	Setup ballast.Setup `json:"setup"`
	Lift  ballast.Lift  `json:"lift"`
	// Load is the load asked about.
	Load units.Mass `json:"load"`
	// Slides asks whether the machine slides, on the slope and heading of the lift, and
	// Tips whether a wheel lifts there.
	Slides bool `json:"slides,omitzero"`
	Tips   bool `json:"tips,omitzero"`
	// Friction is the coefficient of friction of the tires on the ground, greater than 0
	// and at most 2 where Slides asks for it.
	Friction units.Fraction `json:"friction,omitzero"`
	// Held says which wheels keep the machine from rolling.
	Held stability.Held `json:"held,omitzero"`
	// Variables, Correlations and Tracks are those of a problem. Their names are paths of
	// a document, such as "setup.machine.cg.z" or "lifts[0].load.center", or "load" or
	// "friction"; values are in SI.
	Variables    []Variable    `json:"variables,omitempty"`
	Correlations []Correlation `json:"correlations,omitempty"`
	Tracks       []Track       `json:"tracks,omitempty"`
}

// The names of limits that are none of a load.
const (
	// LimitTips is the name of the limit at which a wheel lifts on the slope. Its margin
	// is the tangent of the slope at which that happens, less that of the slope.
	LimitTips = "tips"
	// LimitSlides is the name of the limit at which the machine slides; its margin is
	// like that of [LimitTips].
	LimitSlides = "slides"
	// The endings of the names of a limit's two margins where the setup leaves something
	// open.
	worst = ".worst"
	best  = ".best"
)

// Problem returns the problem whose limits are those of the load that are checked where
// every variable has its mean, by their JSON names, then [LimitTips] and [LimitSlides]
// as asked. The margin of a limit of the load is 1 less what is used of it.
//
// Where the setup leaves something open, that is ignorance and no spread. Each limit of
// the load is then two, such as "tipping.worst" and "tipping.best", for the end of what
// is not known that allows least and most, and the chance is between those of both. The
// margin is what is left of it, in kilograms; [LimitTips] and [LimitSlides] are not to
// be had.
//
// Bad fields are errors that wrap [units.ErrInvalid]. A draw that a setup refuses, such
// as a negative mass, ends the study with the setup's error: such a distribution needs
// ends.
func (l Lifting) Problem() (Problem, error) {
	p := Problem{Variables: l.Variables, Correlations: l.Correlations, Tracks: l.Tracks}
	c, err := l.bind()
	if err != nil {
		return Problem{}, err
	}
	middle, err := l.middle()
	if err != nil {
		return Problem{}, err
	}
	c.put(middle)
	if _, err := c.e.Check(0, c.load); err == nil {
		if err := c.known(middle); err != nil {
			return Problem{}, err
		}
		p.Margin = c.margins
	} else {
		if err := c.open(); err != nil {
			return Problem{}, err
		}
		if l.Slides || l.Tips {
			return Problem{}, units.NewFieldError("setup", "", "must leave nothing open where slides or tips are asked for")
		}
		p.Margin = c.ends
	}
	p.Limits = c.names
	return p, p.Validate()
}

// middle returns the mean of each value.
func (l Lifting) middle() ([]float64, error) {
	p := Problem{Variables: l.Variables, Correlations: l.Correlations, Tracks: l.Tracks, Limits: []string{"none"},
		Margin: func(x, g []float64) error { return nil }}
	s, err := p.Compile()
	if err != nil {
		return nil, err
	}
	means, _, _ := s.moments()
	return means, nil
}

// lifting is a Lifting whose fields are bound.
type lifting struct {
	l        Lifting
	e        *ballast.Evaluator
	load     units.Mass
	friction units.Fraction
	set      []func(float64)
	kinds    []ballast.LimitKind
	names    []string
	model    stability.Model
}

// bind binds the named fields.
func (l Lifting) bind() (*lifting, error) {
	c := &lifting{l: l, e: ballast.NewEvaluator(l.Setup, l.Lift), load: l.Load, friction: l.Friction}
	var e units.FieldErrors
	field := func(at, path string) {
		switch path {
		case "load":
			c.set = append(c.set, func(v float64) { c.load = units.Mass(v) })
			return
		case "friction":
			c.set = append(c.set, func(v float64) { c.friction = units.Fraction(v) })
			return
		}
		b, err := c.e.Bind(path)
		if err != nil {
			e.Add(at, path, "must be load, friction, or the path of a quantity that is given, such as setup.machine.cg.x")
			return
		}
		c.set = append(c.set, func(v float64) { c.e.Set(b, v) })
	}
	for i, v := range l.Variables {
		field("variables["+itoa(i)+"].name", v.Name)
	}
	for i, t := range l.Tracks {
		for j, n := range t.Names {
			field("tracks["+itoa(i)+"].names["+itoa(j)+"]", n)
		}
	}
	if l.Slides && !(l.Friction > 0 && l.Friction <= 2) {
		e.Add("friction", l.Friction, "must be more than 0 and at most 2 where sliding is asked for")
	}
	return c, e.Err()
}

func (c *lifting) put(x []float64) {
	for i, set := range c.set {
		set(x[i])
	}
}

// known finds the limits of a setup that leaves nothing open.
func (c *lifting) known(middle []float64) error {
	check, err := c.e.Check(0, c.load)
	if err != nil {
		return err
	}
	for _, s := range check.Limits {
		if s.Status != stability.NotChecked {
			c.kinds = append(c.kinds, s.Kind)
			c.names = append(c.names, s.Kind.String())
		}
	}
	if c.l.Tips {
		c.names = append(c.names, LimitTips)
	}
	if c.l.Slides {
		c.names = append(c.names, LimitSlides)
	}
	return c.margins(middle, make([]float64, len(c.names)))
}

// margins are those of a setup that leaves nothing open.
func (c *lifting) margins(x, g []float64) error {
	c.put(x)
	check, err := c.e.Check(0, c.load)
	if err != nil {
		return err
	}
	for i, k := range c.kinds {
		g[i] = 1 - float64(check.Limit(k).Used)
	}
	if !c.l.Tips && !c.l.Slides {
		return nil
	}
	return c.slope(g[len(c.kinds):])
}

// slope writes the margins on the slope.
func (c *lifting) slope(g []float64) error {
	k, err := c.e.Case(0)
	if err != nil {
		return err
	}
	v, err := k.Vehicle(c.load)
	if err != nil {
		return err
	}
	if err := c.model.Recompile(v); err != nil {
		return err
	}
	lift := c.e.Lift(0)
	limits, err := c.model.Limits(stability.Situation{Heading: lift.Heading, Friction: c.friction, Held: c.l.Held})
	if err != nil {
		return err
	}
	grade := math.Tan(float64(lift.Slope))
	at := 0
	if c.l.Tips {
		g[at] = left(limits.FirstTip, grade)
		at++
	}
	if c.l.Slides {
		g[at] = left(limits.FirstSlide, grade)
	}
	return nil
}

// steepest stands for the tangent of a limit that cannot occur.
const steepest = 10

// left returns how much steeper the ground may be, as a tangent.
func left(l stability.Limit, grade float64) float64 {
	switch l.Status {
	case stability.Within, stability.Binds:
		return min(steepest, l.Grade) - grade
	case stability.Exceeded:
		return -grade - 1e-9
	}
	return steepest - grade
}

// open finds the limits of a setup that leaves something open.
func (c *lifting) open() error {
	j, err := c.judge()
	if err != nil {
		return err
	}
	for i, v := range j.Limits {
		if j.Usable.Limits[i].Status != stability.NotChecked && v.Verdict != ballast.NeedsRatings {
			c.kinds = append(c.kinds, v.Kind)
			c.names = append(c.names, v.Kind.String()+worst, v.Kind.String()+best)
		}
	}
	return nil
}

func (c *lifting) judge() (ballast.Judgment, error) { return c.e.Setup().Check(c.e.Lift(0), c.load) }

// ends are the margins of a setup that leaves something open.
func (c *lifting) ends(x, g []float64) error {
	c.put(x)
	j, err := c.judge()
	if err != nil {
		return err
	}
	for i, k := range c.kinds {
		v := j.Limit(k)
		g[2*i], g[2*i+1] = float64(v.Left.Low), float64(v.Left.High)
		switch v.Verdict {
		case ballast.NoLimitExceeded:
			g[2*i], g[2*i+1] = max(1e-9, g[2*i]), max(1e-9, g[2*i+1])
		case ballast.ExceedsLimit:
			g[2*i], g[2*i+1] = min(-1e-9, g[2*i]), min(-1e-9, g[2*i+1])
		}
	}
	return nil
}
