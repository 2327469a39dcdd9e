package ballast

import (
	_ "embed"
	"encoding"
	"reflect"
	"slices"
	"strings"
	"unicode"

	"example.com/steelyard/internal/words"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// fieldCosts is what it costs to leave each field out: path, absence, limits and answers. It
// is calculated by TestFieldCosts, which leaves each field out of documents that have it and
// compares the answers.
//
//go:embed fieldcosts.tsv
var fieldCosts string

// A fieldNode is a field with what is in it.
type fieldNode struct {
	field Field
	// owner is the type whose entries name the field, and key its path there: "Machine" and
	// "cg.x".
	owner, key string
	typ        reflect.Type
	name       string // the JSON name
	children   []*fieldNode
	missing    []string // what the tables lack of it, as table:entry
}

// all returns the nodes below a node in their order.
func (n *fieldNode) all() (out []*fieldNode) {
	for _, c := range n.children {
		out = append(append(out, c), c.all()...)
	}
	return out
}

// fieldTree returns the root of all fields: the document's and the ground's.
func fieldTree() *fieldNode {
	t := fieldTables{specs: fieldSpecs(), how: fieldHow(), costs: map[string][]string{}}
	for line := range strings.Lines(fieldCosts) {
		if cost := strings.Split(strings.TrimSuffix(line, "\n"), "\t"); len(cost) == 4 {
			t.costs[cost[0]] = cost[1:]
		}
	}
	root := &fieldNode{}
	t.struc(root, reflect.TypeFor[Document](), "Document", "", "")
	ground := &fieldNode{name: "ground"}
	t.struc(ground, reflect.TypeFor[Ground](), "Ground", "", "ground")
	root.children = append(root.children, ground.children...)
	return root
}

// fieldTables are where the entries of fields are looked up.
type fieldTables struct {
	specs map[string]spec
	how   map[string]string
	costs map[string][]string
}

var fieldText = reflect.TypeFor[encoding.TextMarshaler]()

// inline reports whether the fields of a type have entries of their own wherever it is used.
func inline(t reflect.Type) bool {
	return t == reflect.TypeFor[Position]() || t == reflect.TypeFor[Offset]() || t == reflect.TypeFor[liquid.Dimension]() || ofUnits(t, "Range[")
}

// ofUnits reports whether a type is a generic one of package units.
func ofUnits(t reflect.Type, name string) bool {
	return t.PkgPath() == reflect.TypeFor[units.Length]().PkgPath() && strings.HasPrefix(t.Name(), name)
}

// struc adds the fields of a struct to a node.
func (t *fieldTables) struc(n *fieldNode, typ reflect.Type, owner, key, path string) {
	for i := range typ.NumField() {
		f := typ.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if !f.IsExported() || name == "-" || name == "" {
			continue
		}
		c := &fieldNode{owner: owner, key: units.JoinPath(key, name), typ: f.Type, name: name}
		c.field = Field{Path: units.JoinPath(path, name), label: n.field.label}
		c.field.Zero = !strings.Contains(options, "omit") || f.Tag.Get("zero") == "value"
		t.fill(c)
		n.children = append(n.children, c)
	}
}

// fill works out a field, and the fields in it.
func (t *fieldTables) fill(c *fieldNode) {
	f, typ := &c.field, c.typ
	for typ.Kind() == reflect.Pointer {
		typ = typ.Elem()
	}
	var below reflect.Type
	at := f.Path
	switch {
	case ofUnits(typ, "Input["):
		m, _ := typ.MethodByName("Value")
		f.Type = FieldInput
		f.quantity(m.Type.Out(0))
		f.Zero = false
	case typ == reflect.TypeFor[liquid.Designation]():
		f.Type, f.Zero = FieldMarking, false
	case typ == reflect.TypeFor[liquid.Traits]():
		f.Type, f.Zero = FieldSet, false
		for i := range 8 {
			if name := (liquid.Traits(1) << i).String(); name != "" {
				f.Choices = append(f.Choices, choiceOf("liquid.trait", name))
			}
		}
	case typ.Kind() == reflect.Float64 && typ.Implements(fieldText):
		f.Type = FieldQuantity
		f.quantity(typ)
	case typ.Kind() == reflect.Float64:
		f.Type, f.param = FieldNumber, plainParam
	case typ.Kind() == reflect.Uint8 && typ.Implements(fieldText):
		f.Type, f.Choices, f.Zero = FieldChoice, choicesOf(typ), false
	case typ.Kind() == reflect.Uint8, typ.Kind() == reflect.Uint16, typ.Kind() == reflect.Uint64, typ.Kind() == reflect.Int, typ.Kind() == reflect.Int64:
		f.Type, f.param = FieldWhole, plainParam
	case typ.Kind() == reflect.String:
		f.Type, f.Zero = FieldText, false
	case typ.Kind() == reflect.Bool:
		f.Type, f.Zero = FieldFlag, false
	case typ.Kind() == reflect.Slice:
		f.Type, f.Zero = FieldList, false
		below, at = typ.Elem(), at+"[]"
	case typ.Kind() == reflect.Struct:
		f.Type, f.Zero = FieldGroup, false
		below = typ
	default:
		c.missing = append(c.missing, "type:"+typ.String())
	}
	t.look(c, typ)
	if below == nil {
		return
	}
	owner, key := below.Name(), ""
	if inline(below) {
		owner, key = c.owner, c.key
	}
	t.struc(c, below, owner, key, at)
}

// look finds what the tables say of a field.
func (t *fieldTables) look(c *fieldNode, typ reflect.Type) {
	f := &c.field
	full := c.owner + "." + c.key
	shared := full // the entry of a type that is used in many places
	if i := strings.LastIndexByte(c.key, '.'); i >= 0 {
		last := c.key[i+1:]
		switch last {
		case "x", "y", "z":
			shared = "Position." + last
		case "ahead", "above":
			shared = "Offset." + last
		case "low", "high":
			shared = "Range." + last
		default:
			shared = "Dimension." + last
		}
	}
	s, ok := t.specs[full]
	if !ok {
		s, ok = t.specs[shared]
	}
	if !ok && !notMeasured(f.Type) {
		c.missing = append(c.missing, "fieldSpecs:"+full)
	}
	f.Instrument, f.Bounds, f.Entries, f.Least = s.instrument, s.bounds, s.entries, s.least
	if f.param != nil && len(f.Bounds) > 0 {
		// A number that may be left out has no zero unless its tag says so, and a zero must be
		// within the bounds, but where it says that an end is open.
		f.Zero = (f.Zero || f.Type == FieldInput) && (f.Bounds[0].Contains(0) || zeroOpen(full))
	}
	c.shown(full)
	f.Choices = slices.DeleteFunc(f.Choices, func(c NamedChoice) bool { return slices.Contains(s.refused, c.Name) })
	if f.Quantity != "" && patterns[f.Quantity] == nil {
		c.missing = append(c.missing, "patterns:"+f.Quantity)
	}
	if f.Quantity != "" && f.param == nil {
		c.missing = append(c.missing, "quantityForms:"+f.Quantity)
	}
	if f.param != nil && len(f.Bounds) == 0 {
		c.missing = append(c.missing, "bounds:"+full)
	}
	text := func(kind string) (code, english string) {
		for _, key := range []string{full, shared} {
			code = kind + "." + lowerFirst(key)
			if english, ok := words.Text(words.English, code); ok {
				return code, english
			}
		}
		if kind == "help" && strings.HasPrefix(full, "Practice.") {
			code = "help.practice.share"
			if typ.Kind() == reflect.Struct && typ == reflect.TypeFor[units.Range[units.Length]]() {
				code = "help.practice.length"
			}
			english, _ = words.Text(words.English, code)
			return code, english
		}
		c.missing = append(c.missing, "words.tsv:"+kind+"."+lowerFirst(full))
		return "", ""
	}
	f.Code, f.Title = text("field")
	f.HelpCode, f.Help = text("help")
	if how := t.how[f.Path]; how != "" {
		f.How, f.HowCode = how, words.Code(how)
	}
	if named := strings.Count(f.Path, ".") > 0; named && !parts[f.Path] {
		f.label = append(slices.Clone(f.label), f.Code)
	} else if !named {
		f.label = []string{f.Code}
	}
	if parts[f.Path] || !strings.Contains(f.Path, ".") && c.owner == "Document" && (f.Type == FieldGroup || f.Type == FieldList) {
		f.label = nil
	}
	cost, ok := t.costs[f.Path]
	if !ok {
		cost, ok = t.costs[likePath.Replace(f.Path)]
	}
	if !ok {
		if !strings.HasPrefix(f.Path, "ground.") && !neverGiven[full] {
			c.missing = append(c.missing, "fieldcosts.tsv:"+f.Path)
		}
		return
	}
	// A test reads every line.
	_ = f.Absence.UnmarshalText([]byte(cost[0]))
	_ = f.Limits.UnmarshalText([]byte(cost[1]))
	_ = f.Answers.UnmarshalText([]byte(cost[2]))
	if strings.HasPrefix(f.Path, "stock") || strings.HasPrefix(f.Path, "needs") {
		f.Limits, f.Answers = 0, AnswerPlan
	}
	if strings.HasPrefix(f.Path, "travels") {
		f.Limits, f.Answers = 0, AnswerTravel
	}
	f.None = f.Type == FieldInput && ratingFields[full]
}

// neverGiven are the fields of random ground, which is no obstacle of a travel: they must be
// left out wherever a document has an obstacle.
var neverGiven = map[string]bool{"Obstacle.class": true, "Obstacle.seed": true}

// zeroOpen reports whether a zero outside the bounds says that nothing is given.
func zeroOpen(key string) bool {
	switch key {
	case "Need.mass.low", "Need.mass.high", "Machine.cg.z", "Ground.friction.low", "Ground.friction.high":
		return true
	}
	return strings.HasPrefix(key, "Practice.")
}

// likePath finds the place whose cost a field has that stands in no document of TestFieldCosts
// where it is: the same type at another place.
var likePath = strings.NewReplacer("stock.items[].piece.fill.tire.known[].level", "setup.pieces[].fill.level", "stock.options[].pieces[].fill.tire.known[].level", "setup.pieces[].fill.level",
	"setup.pieces[].fill.tire.known[].level", "setup.pieces[].fill.level", "stock.items[].steps[].level", "setup.pieces[].fill.level",
	"stock.items[].piece.", "setup.pieces[].", "stock.options[].pieces[].", "setup.pieces[].", "needs.list[].lift.", "lifts[].", "needs.list[].travel.lift.", "lifts[].", "travels[].lift.", "lifts[].", "needs.list[].travel.", "travels[].", "needs.list[].travel", "needs.list[].lift",
	"setup.machine.rear.single", "setup.machine.front.single", "transport.front.single", "setup.machine.front.single", "transport.rear.single", "setup.machine.front.single")

// parts are the groups that a reader sees as things of their own: a label does not repeat
// their titles.
var parts = map[string]bool{"setup.machine": true, "setup.loader": true, "setup.attachment": true, "setup.pieces": true,
	"needs.list": true, "stock.items": true, "stock.mounts": true, "stock.options": true}

// ratingFields are the inputs that may be declared absent; TestFieldNone tries each.
var ratingFields = map[string]bool{"Axle.rating": true, "Axle.wheelRating": true, "Machine.grossRating": true, "Machine.ropsRating": true, "Hitch.rating": true,
	"Loader.breakOut": true, "Loader.couplerRating": true, "Attachment.rating": true, "Transport.grossRating": true}

func lowerFirst(s string) string {
	r := []rune(s)
	for i := range r {
		if i > 0 && i+1 < len(r) && !unicode.IsUpper(r[i+1]) || !unicode.IsUpper(r[i]) {
			break
		}
		r[i] = unicode.ToLower(r[i])
	}
	return string(r)
}

// choicesOf lists the names of a closed choice but "unknown" and the empty one, which are not
// made.
func choicesOf(t reflect.Type) (out []NamedChoice) {
	pkg := t.PkgPath()[strings.LastIndexByte(t.PkgPath(), '/')+1:]
	for i := range 256 {
		v := reflect.New(t).Elem()
		v.SetUint(uint64(i))
		text, err := v.Interface().(encoding.TextMarshaler).MarshalText()
		if err != nil {
			break // the names are in a row
		}
		if name := string(text); name != "" && name != "unknown" {
			out = append(out, choiceOf(pkg+"."+lowerFirst(t.Name()), name))
		}
	}
	return out
}

func choiceOf(prefix, name string) NamedChoice {
	code := prefix + "." + name
	if title, ok := words.Text(words.English, code); ok {
		return NamedChoice{Name: name, Title: title, Code: code}
	}
	return NamedChoice{Name: name, Title: name}
}

// shown sees to it that the bounds of the field are accepted as they are shown: a zero that
// is written would say that nothing is given, and what is counted in grams is shown in metric
// units.
func (c *fieldNode) shown(key string) {
	f := &c.field
	if f.Type == FieldQuantity && c.owner != "Ground" && !f.Zero && len(f.Bounds) > 0 && f.Bounds[0].Low == 0 {
		f.Bounds = slices.Clone(f.Bounds)
		f.Bounds[0].Above = true
	}
	if key == "MassRange.step" {
		f.param = metricParam[units.Mass]
	}
}

// A quantityForm is how a quantity is shown in messages and read from a reader's text.
type quantityForm struct {
	param func(string, float64, units.Rounding) units.Param
	point func(units.Display, string) (string, error)
}

func formOfQuantity[Q units.Quantity]() quantityForm {
	return quantityForm{quantityParam[Q], units.PointText[Q]}
}

// quantity makes the field one of a quantity.
func (f *Field) quantity(t reflect.Type) {
	form := quantityForms[t]
	f.Quantity, f.param, f.point = lowerFirst(t.Name()), form.param, form.point
}

var quantityForms = map[reflect.Type]quantityForm{
	reflect.TypeFor[units.Length]():        formOfQuantity[units.Length](),
	reflect.TypeFor[units.Volume]():        formOfQuantity[units.Volume](),
	reflect.TypeFor[units.Mass]():          formOfQuantity[units.Mass](),
	reflect.TypeFor[units.Inertia]():       formOfQuantity[units.Inertia](),
	reflect.TypeFor[units.Density]():       formOfQuantity[units.Density](),
	reflect.TypeFor[units.Force]():         formOfQuantity[units.Force](),
	reflect.TypeFor[units.Stiffness]():     formOfQuantity[units.Stiffness](),
	reflect.TypeFor[units.GaugePressure](): formOfQuantity[units.GaugePressure](),
	reflect.TypeFor[units.Angle]():         formOfQuantity[units.Angle](),
	reflect.TypeFor[units.Slope]():         formOfQuantity[units.Slope](),
	reflect.TypeFor[units.Temperature]():   formOfQuantity[units.Temperature](),
	reflect.TypeFor[units.Duration]():      formOfQuantity[units.Duration](),
	reflect.TypeFor[units.Speed]():         formOfQuantity[units.Speed](),
	reflect.TypeFor[units.Acceleration]():  formOfQuantity[units.Acceleration](),
	reflect.TypeFor[units.Power]():         formOfQuantity[units.Power](),
	reflect.TypeFor[units.Fraction]():      formOfQuantity[units.Fraction](),
	reflect.TypeFor[units.MassFraction]():  formOfQuantity[units.MassFraction](),
}
