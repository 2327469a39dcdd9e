package ballast

import (
	_ "embed"
	"reflect"
	"strings"
	"sync"

	"example.com/steelyard/internal/catalog"
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

// fieldTree returns the root of all fields: the document's and the ground's.
func fieldTree() *catalog.Node {
	specs := fieldSpecs()
	t := catalog.Tables{
		Spec: func(key string) (catalog.Spec, bool) {
			s, ok := specs[key]
			return s.plain(), ok
		},
		Inline: inline,
		Part: func(n *catalog.Node) bool {
			return parts[n.Path] || !strings.Contains(n.Path, ".") && n.Owner == "Document" && (n.Type == catalog.Group || n.Type == catalog.List)
		},
		ZeroOpen: zeroOpen,
		Help: func(n *catalog.Node) string {
			switch {
			case !strings.HasPrefix(n.Owner, "Practice"):
				return ""
			case n.Go == reflect.TypeFor[units.Range[units.Length]]():
				return "help.practice.length"
			}
			return "help.practice.share"
		},
		After: func(n *catalog.Node) {
			if _, ok := costOf(n.Path); !ok && !strings.HasPrefix(n.Path, "ground.") && !neverGiven[n.Owner+"."+n.Key] {
				n.Missing = append(n.Missing, "fieldcosts.tsv:"+n.Path)
			}
		},
	}
	root := &catalog.Node{}
	t.Struct(root, reflect.TypeFor[Document](), "Document", "", "")
	ground := &catalog.Node{Name: "ground"}
	t.Struct(ground, reflect.TypeFor[Ground](), "Ground", "", "ground")
	root.Children = append(root.Children, ground.Children...)
	return root
}

// inline reports whether the fields of a type have entries of their own wherever it is used.
func inline(t reflect.Type) bool {
	return t == reflect.TypeFor[Position]() || t == reflect.TypeFor[Offset]() || t == reflect.TypeFor[liquid.Dimension]() || catalog.OfUnits(t, "Range[")
}

// costOf returns the absence, the limits and the answers of the field at a path.
func costOf(path string) ([]string, bool) {
	cost, ok := allCosts()[path]
	if !ok {
		cost, ok = allCosts()[likePath.Replace(path)]
	}
	return cost, ok
}

var allCosts = sync.OnceValue(func() map[string][]string {
	out := map[string][]string{}
	for line := range strings.Lines(fieldCosts) {
		if cost := strings.Split(strings.TrimSuffix(line, "\n"), "\t"); len(cost) == 4 {
			out[cost[0]] = cost[1:]
		}
	}
	return out
})

// fieldOf returns the field of a node.
func fieldOf(n *catalog.Node, how map[string]string) Field {
	f := Field{
		Path: n.Path, Type: FieldType(n.Type), Quantity: n.Quantity, Zero: n.Zero, Entries: n.Spec.Entries, Least: n.Spec.Least,
		Instrument: Instrument(n.Spec.Instrument), Title: n.Title, Code: n.Code, Help: n.Help, HelpCode: n.HelpCode, Labels: n.Labels,
	}
	for _, b := range n.Bounds {
		f.Bounds = append(f.Bounds, Bounds(b))
	}
	for _, c := range n.Choices {
		f.Choices = append(f.Choices, NamedChoice(c))
	}
	if how := how[n.Path]; how != "" {
		f.How, f.HowCode = how, words.Code(how)
	}
	f.None = f.Type == FieldInput && ratingFields[n.Owner+"."+n.Key]
	cost, ok := costOf(n.Path)
	if !ok {
		return f
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
	return f
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
