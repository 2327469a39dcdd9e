//go:build unix

// Command plan prints the time that the integer optimizer takes for each ballast problem on
// its standard input, one line per problem. It prints the processor seconds for the first
// objective alone, and for both with the tie-break; each is the best of five runs. Run it
// with GOMAXPROCS=1.
package main

import (
	"fmt"
	"log"
	"os"
	"syscall"
	"time"

	"example.com/steelyard/internal/crosscheck/plan/instances"
	"example.com/steelyard/internal/integer"
)

func main() {
	ps, err := instances.Read(os.Stdin)
	if err != nil {
		log.Fatal(err)
	}
	for _, p := range ps {
		one := *p
		one.Costs = one.Costs[:1]
		fmt.Printf("%.7f,%.7f\n", best(&one), best(p))
	}
}

func best(p *integer.Problem) float64 {
	least := time.Duration(1<<63 - 1)
	for range 5 {
		start := processor()
		if _, err := integer.Solve(p, integer.Options{}); err != nil {
			log.Fatal(err)
		}
		least = min(least, processor()-start)
	}
	return least.Seconds()
}

func processor() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		log.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
