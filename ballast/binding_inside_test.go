package ballast

import (
	"reflect"
	"strings"
	"testing"
)

// Every input of a document can be set by a number.
func TestEveryInputIsSet(t *testing.T) {
	seen := map[reflect.Type]bool{}
	var walk func(typ reflect.Type)
	walk = func(typ reflect.Type) {
		switch typ.Kind() {
		case reflect.Pointer, reflect.Slice:
			walk(typ.Elem())
			return
		case reflect.Struct:
		default:
			return
		}
		if seen[typ] {
			return
		}
		seen[typ] = true
		if !strings.HasPrefix(typ.Name(), "Input[") {
			for i := range typ.NumField() {
				walk(typ.Field(i).Type)
			}
			return
		}
		v := reflect.New(typ).Elem()
		set := setInput(v)
		if set == nil {
			t.Errorf("%v cannot be set", typ)
			return
		}
		set(2.5)
		if got := v.MethodByName("Value").Call(nil)[0]; got.Float() != 2.5 || !v.MethodByName("Known").Call(nil)[0].Bool() {
			t.Errorf("%v is set to %v", typ, v)
		}
	}
	walk(reflect.TypeFor[Document]())
	if len(seen) < 20 {
		t.Errorf("%d types", len(seen))
	}
}
