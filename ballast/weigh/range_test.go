package weigh

import (
	"testing"

	"example.com/steelyard/internal/fieldtest"
)

// The range of every number of every input, as its error states it.
func TestRanges(t *testing.T) {
	fieldtest.Ranges(t, "testdata/ranges.txt",
		AxleLift{},
		Change{},
		Document{},
		LevelWeighing{},
		Reconciliation{},
		Scale{},
		Session{},
		SpecSheet{},
		SpecTolerance{},
	)
}
