package ballast

import (
	"encoding"
	"encoding/json"
	"math"
	"reflect"
	"strconv"
	"strings"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// A Bound is a field of an [Evaluator] that was bound: see [Evaluator.Bind].
type Bound int

// binding is one bound field.
type binding struct {
	path   string
	last   uint64 // the bits of the value, once it is set
	set    func(float64)
	values []reflect.Value // of a field that is set to one of these
	was    bool            // it has been set

	touched touched
	rest    restTouched
	lift    int // -1 for a field of the setup
	piece   int // -1 for none
	fill    bool

	plain     *plainField // nil for a field that is not
	low, high float64     // between them a number changes nothing of what is valid
	between   bool        // the value is
}

// Bind returns the quantity at a path of a document, such as
// "setup.machine.cg.x" or "lifts[0].load.center", to be set by numbers. The path
// must lead through what the evaluator was made with: a loader that is not there has
// no fields. A field that is no quantity is bound by [Evaluator.BindValues].
//
// An error names the path.
func (e *Evaluator) Bind(path string) (Bound, error) {
	v, b, err := e.find(path)
	if err != nil {
		return 0, err
	}
	switch set := setInput(v); {
	case set != nil:
		b.set = set
	case v.Kind() == reflect.Float64:
		b.set = v.SetFloat
	default:
		return 0, units.NewFieldError(path, nil, "must be a quantity; the values of any other field are given when it is bound")
	}
	return e.add(b), nil
}

// BindValues returns the field at a path, to be set to one of these values by its
// index. The values must be of the field's type, such as [Operator] or
// [liquid.Fluid]; the evaluator keeps copies.
func (e *Evaluator) BindValues(path string, values ...any) (Bound, error) {
	v, b, err := e.find(path)
	if err != nil {
		return 0, err
	}
	list := make([]reflect.Value, len(values))
	for i, value := range values {
		if value == nil || reflect.TypeOf(value) != v.Type() {
			return 0, units.NewFieldError(path, nil, "must be given values of its own type, {type}", valid.Text("type", v.Type()))
		}
		list[i] = clone(reflect.ValueOf(value))
	}
	b.set = func(i float64) { v.Set(list[int(i)]) }
	b.values = list
	return e.add(b), nil
}

// Set sets a field to a number of SI units, or to the value of this index where values
// were bound. Whatever the number is, answers say what is wrong with it. It panics
// if the field is not this evaluator's, or there is no value of this index.
func (e *Evaluator) Set(field Bound, value float64) {
	b := &e.bound[field]
	bits := math.Float64bits(value)
	if b.was && bits == b.last {
		return
	}
	b.set(value)
	b.last = bits
	e.changes++
	between := value > b.low && value < b.high
	if between && b.between {
		if b.lift >= 0 {
			e.lifts[b.lift].moved = true
			return
		}
		e.moved |= b.plain.moves
		e.rest |= restSetup
		return
	}
	if b.between = between; !b.was {
		b.was = true
		e.rest |= restSingles | restGeometry
	}
	if b.lift >= 0 {
		e.lifts[b.lift].touched = true
		return
	}
	e.touched |= b.touched | touchedSums
	e.moved |= b.touched | touchedSums
	e.rest |= b.rest | restSetup
	if b.piece >= 0 && b.piece < len(e.pieces) {
		p := &e.pieces[b.piece]
		p.touched = true
		p.fill = p.fill || b.fill
	}
}

func (e *Evaluator) add(b binding) Bound {
	if plainValues(b.values) {
		b.plain = plainOf(b.path)
	}
	e.bound = append(e.bound, b)
	// It is said between what numbers the field is plain when all has been validated.
	if e.rest, e.whole = e.rest|restSetup, false; b.lift >= 0 {
		e.lifts[b.lift].touched = true
	}
	return Bound(len(e.bound) - 1)
}

// find returns the field at a path, and what setting it touches.
func (e *Evaluator) find(path string) (v reflect.Value, b binding, err error) {
	b = binding{path: path, lift: -1, piece: -1}
	for i := range e.bound {
		if other := e.bound[i].path; under(path, other) || under(other, path) {
			return v, b, units.NewFieldError(path, nil, "must be another: {other} is bound already", valid.Text("other", other))
		}
	}
	first, rest := firstStep(path)
	switch first {
	case "setup":
		v = reflect.ValueOf(&e.setup).Elem()
		b.touch(rest)
	case "lifts":
		var i int
		if i, rest, err = index(rest, len(e.lifts)); err != nil {
			return v, b, units.NewFieldError(path, nil, noSuchEntry, valid.Text("entries", len(e.lifts)))
		}
		b.lift = i
		v = reflect.ValueOf(&e.lifts[i].lift).Elem()
	default:
		return v, b, units.NewFieldError(path, nil, "must begin with setup or with lifts and an index, such as lifts[0].height")
	}
	for rest != "" {
		for v.Kind() == reflect.Pointer {
			if v.IsNil() {
				return v, b, units.NewFieldError(path, nil, "must lead to a field of what is given; a part on the way is not")
			}
			v = v.Elem()
		}
		if rest[0] == '[' {
			if v.Kind() != reflect.Slice {
				return v, b, units.NewFieldError(path, nil, noSuchField)
			}
			var i int
			if i, rest, err = index(rest, v.Len()); err != nil {
				return v, b, units.NewFieldError(path, nil, noSuchEntry, valid.Text("entries", v.Len()))
			}
			v = v.Index(i)
			continue
		}
		var name string
		name, rest = firstStep(strings.TrimPrefix(rest, "."))
		ok := false
		if v.Kind() == reflect.Struct && !v.Addr().Type().Implements(jsonReader) && !v.Addr().Type().Implements(textReader) {
			v, ok = jsonField(v, name)
		}
		if !ok {
			return v, b, units.NewFieldError(path, nil, noSuchField)
		}
	}
	return v, b, nil
}

// A type that reads itself has no fields to bind.
var (
	jsonReader = reflect.TypeFor[json.Unmarshaler]()
	textReader = reflect.TypeFor[encoding.TextUnmarshaler]()
)

const (
	noSuchField = "must be a field of a document; there is none of this name"
	noSuchEntry = "must have an index within its list, which has {entries} entries counted from 0"
)

// touch says what a field of the setup touches.
func (b *binding) touch(path string) {
	path = strings.TrimPrefix(path, ".")
	first, rest := firstStep(path)
	rest = strings.TrimPrefix(rest, ".")
	switch {
	case first == "gravity":
	case rest == "" && first != "machine":
		b.rest = restWhole
	case first == "machine":
		b.touched = touchedMachine
		if rest == "" || under(rest, "front") || under(rest, "rear") {
			b.touched |= touchedAxles
		}
	case first == "loader":
		b.touched = touchedLoader
		if !apartFromGeometry(rest) {
			b.rest = restGeometry
		}
	case first == "attachment":
		b.touched = touchedAttachment
	case first == "pieces":
		i, of, err := index(rest, maxPieces+1)
		if err != nil {
			b.rest = restWhole
			return
		}
		b.piece, b.fill = i, of == "" || under(strings.TrimPrefix(of, "."), "fill")
	default:
		b.rest = restWhole
	}
}

// apartFromGeometry reports whether a field of the loader has no part in whether the
// cylinders push the arm up.
func apartFromGeometry(path string) bool {
	for _, of := range [...]string{"frameMass", "frameCG", "armMass", "armCG", "selfLeveling", "breakOut", "couplerRating", "manualBallast",
		"cylinders.bore", "cylinders.pressure", "cylinders.friction", "cylinders.count"} {
		if under(path, of) {
			return true
		}
	}
	return false
}

// under reports whether a path is another one or leads into it.
func under(path, other string) bool {
	rest, ok := strings.CutPrefix(path, other)
	return ok && (rest == "" || rest[0] == '.' || rest[0] == '[')
}

// firstStep cuts a path behind its first name.
func firstStep(path string) (name, rest string) {
	if i := strings.IndexAny(path, ".["); i >= 0 {
		return path[:i], path[i:]
	}
	return path, ""
}

// index reads an index in brackets at the beginning of a path.
func index(path string, entries int) (i int, rest string, err error) {
	inner, rest, ok := strings.Cut(strings.TrimPrefix(path, "["), "]")
	if i, err = strconv.Atoi(inner); err != nil || !ok || path[0] != '[' || i < 0 || i >= entries {
		return 0, rest, strconv.ErrRange
	}
	return i, rest, nil
}

// jsonField returns the field of a struct with this name in JSON.
func jsonField(v reflect.Value, name string) (reflect.Value, bool) {
	for i := range v.NumField() {
		f := v.Type().Field(i)
		tag, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.IsExported() && tag == name && name != "" && tag != "-" {
			return v.Field(i), true
		}
	}
	return v, false
}

// setInput returns what makes an input a known value, and nil for any other field.
func setInput(v reflect.Value) func(float64) {
	if !v.CanAddr() {
		return nil
	}
	switch in := v.Addr().Interface().(type) {
	case *units.Input[units.Length]:
		return known(in)
	case *units.Input[units.Mass]:
		return known(in)
	case *units.Input[units.Volume]:
		return known(in)
	case *units.Input[units.Angle]:
		return known(in)
	case *units.Input[units.Force]:
		return known(in)
	case *units.Input[units.GaugePressure]:
		return known(in)
	case *units.Input[units.Fraction]:
		return known(in)
	case *units.Input[units.Inertia]:
		return known(in)
	case *units.Input[units.Stiffness]:
		return known(in)
	}
	return nil
}

func known[Q units.Quantity](in *units.Input[Q]) func(float64) {
	return func(v float64) { *in = units.Is(Q(v)) }
}

// cloned returns a copy that shares no memory with the value.
func cloned[T any](v T) T { return clone(reflect.ValueOf(&v).Elem()).Interface().(T) }

func clone(v reflect.Value) reflect.Value {
	out := reflect.New(v.Type()).Elem()
	out.Set(v)
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			out.Set(reflect.New(v.Type().Elem()))
			out.Elem().Set(clone(v.Elem()))
		}
	case reflect.Slice:
		if !v.IsNil() {
			out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
			for i := range v.Len() {
				out.Index(i).Set(clone(v.Index(i)))
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				out.Field(i).Set(clone(v.Field(i)))
			}
		}
	}
	return out
}
