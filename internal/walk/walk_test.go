package walk

import (
	"reflect"
	"testing"

	"example.com/steelyard/units"
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

	Arm units.Input[units.Length] `json:"arm,omitzero"`
	Tip units.Input[units.Length] `json:"tip,omitzero"`
	Own units.Input[units.Mass]   `json:"own,omitzero"`
}

func TestWalk(t *testing.T) {
	v := tree{Leaf: leaf{Mass: 1, Slope: 2}, Point: &leaf{Mass: 3}, List: []leaf{{Mass: 4}, {Name: "x"}}, Kinds: []uint8{1},
		Arm: units.Is[units.Length](4), Tip: units.Between[units.Length](1, 2)}
	keep := tree{Leaf: leaf{Mass: 1, Slope: 2}, Point: &leaf{Mass: 3}, List: []leaf{{Mass: 4}, {Name: "x"}}, Kinds: []uint8{1},
		Arm: units.Is[units.Length](4), Tip: units.Between[units.Length](1, 2)}
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
		if number := f.Path == "leaf.mass" || f.Path == "leaf.slope" || f.Path == "point.mass" || f.Path == "list[].mass" || f.Path == "arm"; ok != number || reflect.DeepEqual(scaled, v) == number {
			t.Errorf("%s doubled: %+v, %v", f.Path, scaled, ok)
		}
	}
	want := []string{"leaf", "leaf.mass", "leaf.slope", "point", "point.mass", "list", "list[].mass", "list[].name", "kinds", "arm", "tip"}
	if !reflect.DeepEqual(paths, want) {
		t.Errorf("%q, want %q", paths, want)
	}
	if got := Value(v, Fields(v)[1]); got != "1" {
		t.Errorf("%q", got)
	}
	arm := Fields(v)[9]
	if got := Value(v, arm); got != "4" {
		t.Errorf("%q", got)
	}
	if twice, _ := Scaled(v, arm, 2); twice.Arm != units.Is[units.Length](8) {
		t.Errorf("%v", twice.Arm)
	}
	if !IsInput(reflect.TypeFor[units.Input[units.Force]]()) || IsInput(reflect.TypeFor[units.Force]()) || IsInput(reflect.TypeFor[leaf]()) {
		t.Error("what is an input")
	}
}
