package weigh_test

import (
	"testing"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/internal/fieldtest"
)

// The range of every number of every input, as its error states it.
func TestRanges(t *testing.T) {
	fieldtest.Ranges(t, "testdata/ranges.txt",
		weigh.Document{},
		weigh.Gauge{},
		weigh.Question{},
		weigh.Record{},
		weigh.Scale{},
	)
}
