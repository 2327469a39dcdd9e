package ballast_test

import (
	"encoding"
	"reflect"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
)

// A zero that is written is never read as "not given". Of every number of a
// document that may be left out it is decided, at the field, whether zero is a
// value; of all others a written zero is an error at its path. A zero that is
// written for an input is a known one, and refused where it is out of range.
func TestWrittenZero(t *testing.T) {
	values := map[string]bool{ // fields whose zero means what it says
		"selfLeveling": true, "depth": true, "rollRise": true, "hitch": true, "rearWheels": true, "cents": true, "height": true, "slope": true,
		"heading": true, "braking": true, "sideways": true, "division": true, "zeroSD": true, "gainSD": true, "angle": true,
		"fraction": true, "volume": true, "mass": true, "spread": true, "crownSpread": true, "crownMoved": true, "head": true,
	}
	known := map[string]bool{ // inputs that may be zero
		"x": true, "y": true, "z": true, "ahead": true, "above": true, "sideways": true, "center": true,
		"face": true, "tine": true, "rodAngle": true, "selfLeveling": true, "depth": true, "rollRise": true,
		// Of these the range shows only with the kind of attachment, and the arms' mass.
		"loadCenter": true, "friction": true,
	}
	tested := 0
	text := reflect.TypeFor[encoding.TextUnmarshaler]()
	var walk func(typ reflect.Type, path, open, end string, depth int)
	walk = func(typ reflect.Type, path, open, end string, depth int) {
		if depth > 12 {
			return
		}
		for i := range typ.NumField() {
			f := typ.Field(i)
			name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
			if !f.IsExported() || name == "" || name == "-" {
				continue
			}
			at, o, e := path+name, open+`"`+name+`": `, end
			for elem := f.Type; ; elem = elem.Elem() {
				switch elem.Kind() {
				case reflect.Pointer:
					continue
				case reflect.Slice:
					at, o, e = at+"[0]", o+"[", "]"+e
					continue
				}
				zero := ""
				switch k := elem.Kind(); {
				case k == reflect.Float64 && reflect.PointerTo(elem).Implements(text):
					zero = `"0"`
					if m, ok := reflect.Zero(elem).Interface().(encoding.TextMarshaler); ok {
						b, _ := m.MarshalText()
						zero = `"` + string(b) + `"`
					}
				case strings.HasPrefix(elem.Name(), "Input["):
					b, _ := reflect.New(elem).MethodByName("Value").Call(nil)[0].Interface().(encoding.TextMarshaler).MarshalText()
					_, err := ballast.Decode(strings.NewReader("{" + o + `"` + string(b) + `"` + e + "}"))
					if err == nil {
						t.Errorf("%s: no error", at)
						break
					}
					tested++
					// The hitch is behind the rear axle, the pivot above the ground.
					out := strings.HasSuffix(at, "hitch.x") || at == "setup.loader.pivot.z"
					if strings.HasPrefix(at, "transport.") && name == "mass" {
						break // nothing is mounted there
					}
					if refused := strings.Contains(err.Error(), at+": "+string(b)+": must "); refused == (known[name] && !out) {
						t.Errorf("%s: %s: %v", at, b, err)
					}
				case k == reflect.Float64 || k == reflect.Int || k == reflect.Int64:
					zero = "0"
				case k == reflect.Struct && !reflect.PointerTo(elem).Implements(text):
					walk(elem, at+".", o+"{", "}"+e, depth+1)
				}
				if zero == "" || !strings.Contains(options, "omit") {
					break
				}
				tested++
				_, err := ballast.Decode(strings.NewReader(open[:0] + "{" + o + zero + e + "}"))
				refused := err != nil && strings.Contains(err.Error(), at+": ") && strings.Contains(err.Error(), "must not be zero")
				if value := f.Tag.Get("zero") == "value"; refused == value {
					t.Errorf("%s: %s: %v", at, zero, err)
				} else if value && !values[name] {
					t.Errorf("%s is a zero that is a value, and not on the list of this test", at)
				}
				break
			}
		}
	}
	walk(reflect.TypeFor[ballast.Document](), "", "", "", 0)
	if tested < 150 {
		t.Errorf("only %d numbers", tested)
	}
}
