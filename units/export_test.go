package units

// MaxText is the longest text that a parser reads, in bytes.
const MaxText = maxText

// KindTypes are the names of the quantity types in the order of their tables.
func KindTypes() []string {
	var out []string
	for i := range kinds {
		out = append(out, kinds[i].typ)
	}
	return out
}

// KindOf returns the type that the table of a quantity names, and its example.
func KindOf[Q Quantity]() (typ, example string) {
	k := kindOf[Q]()
	return k.typ, k.example
}

// NamesOf returns the other spellings of a unit that are read.
func NamesOf[Q Quantity](u Unit[Q]) []string { return u.unit().names }
