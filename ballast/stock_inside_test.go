package ballast

import (
	"example.com/steelyard/units"
	"testing"
)

// A range is counted in whole steps: 100 kg by 30 kg are three.
func TestMassRangeSteps(t *testing.T) {
	for _, c := range []struct {
		r    MassRange
		want int64
	}{{MassRange{Most: 100, Step: 30}, 3}, {MassRange{Most: 90, Step: 30}, 3}, {MassRange{Most: 250}, 250}, {MassRange{Most: 0.3, Step: 0.1}, 3}} {
		if got := c.r.steps(); got != c.want || c.r.Validate() != nil {
			t.Errorf("%+v: %d steps, want %d; %v", c.r, got, c.want, c.r.Validate())
		}
	}
}

// Two options exclude each other where they share a group or change the same
// field, and in no other case.
func TestOptionsExclude(t *testing.T) {
	disc := Piece{Kind: RearWheelWeight, Mass: units.Is[units.Mass](40)}
	all := []Option{{Group: "a", Pieces: []Piece{disc}}, {RearTrack: 1}, {FrontTrack: 1}, {RearTiresPerSide: 1}, {FrontTiresPerSide: 1}}
	for i := range all {
		for j := range all {
			if got := all[i].excludes(&all[j]); got != (i == j) {
				t.Errorf("%+v and %+v exclude each other: %v", all[i], all[j], got)
			}
		}
	}
	plain := []Option{{Pieces: []Piece{disc}}, {Pieces: []Piece{disc}}, {Group: "b", Pieces: []Piece{disc}}}
	for i := range plain {
		for j := range i {
			if plain[i].excludes(&plain[j]) {
				t.Errorf("%+v excludes %+v", plain[i], plain[j])
			}
		}
		if plain[i].excludes(&all[0]) {
			t.Errorf("%+v excludes %+v", plain[i], all[0])
		}
	}
	grouped := all[1]
	grouped.Group = "a"
	if !grouped.excludes(&all[0]) {
		t.Error("options of one group go together")
	}
}
