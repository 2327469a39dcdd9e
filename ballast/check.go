package ballast

import (
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// checker collects the bad fields of one input.
type checker struct{ units.FieldErrors }

func within[Q units.Quantity](c *checker, path string, v, low, high Q) {
	valid.Within(&c.FieldErrors, path, v, low, high)
}

func zeroOr[Q units.Quantity](c *checker, path string, v, low, high Q) {
	valid.ZeroOr(&c.FieldErrors, path, v, low, high)
}

func given[Q units.Quantity](c *checker, path string, v, low, high Q, hint string) {
	valid.Given(&c.FieldErrors, path, v, low, high, hint)
}

func show[Q units.Quantity](v Q) string { return valid.Show(v) }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
