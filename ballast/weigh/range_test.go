package weigh_test

import (
	"testing"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/internal/fieldtest"
)

// The range of every number of every input, as its error states it.
func TestRanges(t *testing.T) {
	fieldtest.Ranges(t, "testdata/ranges.txt",
		weigh.AxleLift{},
		weigh.Change{},
		weigh.Document{},
		weigh.LevelWeighing{},
		weigh.Question{},
		weigh.Reconciliation{},
		weigh.Record{},
		weigh.Scale{},
		weigh.Session{},
		weigh.SpecSheet{},
		weigh.SpecTolerance{},
	)
}
