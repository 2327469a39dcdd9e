// Command units times package units beside other unit libraries, in one run,
// and prints ratios: bcicen/go-units in this process, and mathjs and
// js-quantities under node.
//
// Run ./compare in this folder; it needs go, node and npm.
package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	peer "github.com/bcicen/go-units"

	"example.com/steelyard/units"
)

var (
	in       [1024]float64
	out      [1024]float64
	lengths  [1024]units.Length
	mass     units.Mass
	pounds   float64
	peerMass peer.Value
)

func main() {
	for i := range in {
		in[i] = float64(i) + 0.5
	}
	// One row is one conversion of inches to meters; a loop does 1024.
	multiply := bench(1024, func() {
		for i, n := range in {
			out[i] = n * 0.0254
		}
	})
	convert := bench(1024, func() {
		for i, n := range in {
			lengths[i] = units.Length(n) * units.Inch
		}
	})
	peerConvert := bench(64, func() {
		for i, n := range in[:64] {
			out[i] = peer.MustConvertFloat(n, peer.Inch, peer.Meter).Float()
		}
	})
	parse := bench(1, func() { mass, _ = units.ParseMass("70 lb") })
	// The peer does not read text, so the number and the unit are cut for it.
	peerParse := bench(1, func() {
		number, name, _ := strings.Cut("70 lb", " ")
		pounds, _ = strconv.ParseFloat(number, 64)
		u, err := peer.Find(name)
		if err != nil {
			panic(err)
		}
		peerMass = peer.NewValue(pounds, u)
	})

	row("convert", "a float64 multiplication", multiply, convert)
	row("convert", "bcicen/go-units", peerConvert, convert)
	row(`read "70 lb"`, "bcicen/go-units, text cut by strings.Cut", peerParse, parse)
	if len(os.Args) < 2 {
		fmt.Println("no folder with node_modules given: the peers under node are left out")
		return
	}
	cmd := exec.Command("node", "peers.cjs", os.Args[1])
	cmd.Stderr = os.Stderr
	text, err := cmd.Output()
	if err != nil {
		fmt.Fprintln(os.Stderr, "node:", err)
		os.Exit(1)
	}
	var list []struct {
		Name           string
		Convert, Parse float64
	}
	if err := json.Unmarshal(text, &list); err != nil {
		fmt.Fprintln(os.Stderr, "node:", err)
		os.Exit(1)
	}
	for _, p := range list {
		row("convert", p.Name, p.Convert, convert)
		row(`read "70 lb"`, p.Name, p.Parse, parse)
	}
}

// bench returns the nanoseconds for one of n operations. It takes the least of five runs,
// because other work on the machine only adds time.
func bench(n int, f func()) float64 {
	best := 0.0
	for i := range 5 {
		r := testing.Benchmark(func(b *testing.B) {
			for b.Loop() {
				f()
			}
		})
		if ns := float64(r.T.Nanoseconds()) / float64(r.N) / float64(n); i == 0 || ns < best {
			best = ns
		}
	}
	return best
}

func row(what, name string, peer, own float64) {
	fmt.Printf("%-14s %-42s takes %8.2f times as long as package units\n", what, name, peer/own)
}
