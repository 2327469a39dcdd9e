package ballast

import (
	_ "embed"
	"reflect"

	"example.com/steelyard/internal/catalog"
)

// schemaRules holds what the fields of each type ask of each other, as parts of its schema.
//
//go:embed schemarules.json
var schemaRules []byte

// SchemaID is the identifier in the document that [Schema] returns; it is no place to load it
// from.
const SchemaID = "https://example.com/steelyard/document.schema.json"

// Schema returns the JSON Schema (draft 2020-12) of a [Document], written from [Fields]. Its
// $defs hold a schema for each type, such as "setup", "machine" and "lift", and for each
// quantity: a pattern of the texts that are read, see [units.Pattern]. The bounds of numbers
// without a unit are in the schema. Those of quantities stand beside them as "x-bounds", in
// the SI unit, for programs that look: the value of a text is beyond what a schema can say.
//
// It is that of [DocumentVersion]: a document of an older version is not valid by it, and
// [Document.Encode] writes what Decode read of one in the present version.
//
// What [Decode] takes of this version is valid by the schema, but for spellings that nobody writes: a caret
// inside the name of a unit, or an empty object in the place of a level that is left out.
// What is valid by the schema is taken by Decode, unless it breaks what no schema says:
//
//   - a quantity is within its bounds, and its number is one (see [units.Pattern]);
//   - a low end is not above a high one; rows of tables and rated points rise;
//   - relations of numbers: reach of the arm, axle loads against mass, spreads against values;
//   - pieces against each other, against the axles and against the tires, and items against
//     the places that they name;
//   - what is known of a tire's marking, and whether the outline of a tire is possible;
//   - what a setup asks of quantities together, such as cylinders that push the arm up;
//   - whole numbers are written without a point and an exponent, and no key twice; size,
//     depth and encoding of the text.
func Schema() []byte {
	return catalog.Schema{
		ID: SchemaID, Rules: schemaRules, Defs: []string{"pieceRules", "leveledFill", "liftRules"}, Nodes: documentNodes(), Type: reflect.TypeFor[Document](),
		Inline: inline, None: ratingFields, MustChoose: mustChoose, Numbers: numbersKey,
	}.Text()
}

// documentNodes are the fields of a document, without those of a ground.
func documentNodes() (out []*catalog.Node) {
	for _, n := range fieldTree().Children {
		if n.Owner == "Document" {
			out = append(out, n)
		}
	}
	return out
}

// mustChoose are the choices that have no default wherever they stand.
var mustChoose = map[string]bool{"Machine.massIncludes": true, "Machine.loaderIncluded": true, "Machine.undercarriage": true, "Machine.operator": true, "Fuel.state": true,
	"Attachment.kind": true, "Piece.kind": true, "Fluid.kind": true, "Level.kind": true, "Need.kind": true}
