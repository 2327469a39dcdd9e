package walk

import (
	"reflect"
	"testing"
)

type leaf struct {
	Mass  float64 `json:"mass,omitempty"`
	Slope float64 `json:"slope,omitempty" zero:"value"`
	Name  string  `json:"name,omitempty"`
}

type tree struct {
	Leaf  leaf    `json:"leaf,omitzero"`
	Point *leaf   `json:"point,omitempty"`
	List  []leaf  `json:"list,omitempty"`
	Kinds []uint8 `json:"kinds,omitempty"`
}

func TestWalk(t *testing.T) {
	v := tree{Leaf: leaf{Mass: 1, Slope: 2}, Point: &leaf{Mass: 3}, List: []leaf{{Mass: 4}, {Name: "x"}}, Kinds: []uint8{1}}
	keep := tree{Leaf: leaf{Mass: 1, Slope: 2}, Point: &leaf{Mass: 3}, List: []leaf{{Mass: 4}, {Name: "x"}}, Kinds: []uint8{1}}
	var paths []string
	for _, f := range Fields(v) {
		paths = append(paths, f.Path)
		if f.Zero != (f.Path == "leaf.slope") {
			t.Errorf("%s: zero is a value: %v", f.Path, f.Zero)
		}
		without := Without(v, f)
		if len(Fields(without)) >= len(Fields(v)) || !reflect.DeepEqual(v, keep) {
			t.Errorf("without %s: %+v, and %+v left behind", f.Path, without, v)
		}
		scaled, ok := Scaled(v, f, 2)
		if number := f.Path == "leaf.mass" || f.Path == "leaf.slope" || f.Path == "point.mass" || f.Path == "list[].mass"; ok != number || reflect.DeepEqual(scaled, v) == number {
			t.Errorf("%s doubled: %+v, %v", f.Path, scaled, ok)
		}
	}
	want := []string{"leaf", "leaf.mass", "leaf.slope", "point", "point.mass", "list", "list[].mass", "list[].name", "kinds"}
	if !reflect.DeepEqual(paths, want) {
		t.Errorf("%q, want %q", paths, want)
	}
	if got := Value(v, Fields(v)[1]); got != "1" {
		t.Errorf("%q", got)
	}
}
