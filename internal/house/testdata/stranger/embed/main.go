// A record of a tire comes in as JSON, what is in it goes out as JSON, and bad
// input comes back by its path.
package main

import (
	"encoding/json"
	"fmt"

	"example.com/steelyard/liquid"
)

func main() {
	for _, clock := range []string{"12", "13"} {
		var fill liquid.Fill
		in := `{"tire": {"designation": "14.9-24 R-1"}, "fluid": {"kind": "water"}, "level": {"kind": "valveClock", "clock": ` + clock + `}}`
		if err := json.Unmarshal([]byte(in), &fill); err != nil {
			fmt.Println(err)
		}
		filled, err := fill.Solve()
		if err != nil {
			fmt.Println(err)
			continue
		}
		out, err := json.Marshal(filled)
		var answer struct{ Fraction, Freezing string }
		fmt.Println(err, json.Unmarshal(out, &answer), answer.Fraction[:4], answer.Freezing)
	}
}
