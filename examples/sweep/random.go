package main

import "math/bits"

// philox returns four random words that depend only on the key and the counter. Row
// 9 000 000 therefore needs no rows before it, and every worker, shard and resumed run
// draws the same numbers. It is Philox4x64-10
// of Salmon et al., Parallel random numbers: as easy as 1, 2, 3, SC11 (2011),
// doi:10.1145/2063384.2063405.
func philox(key [2]uint64, counter [4]uint64) [4]uint64 {
	const (
		m0, m1 = 0xD2E7470EE14C6C93, 0xCA5A826395121157
		w0, w1 = 0x9E3779B97F4A7C15, 0xBB67AE8584CAA73B
	)
	c, k0, k1 := counter, key[0], key[1]
	for range 10 {
		h0, l0 := bits.Mul64(m0, c[0])
		h1, l1 := bits.Mul64(m1, c[2])
		c = [4]uint64{h1 ^ c[1] ^ k0, l1, h0 ^ c[3] ^ k1, l0}
		k0 += w0
		k1 += w1
	}
	return c
}

// stream numbers keep draws for different purposes apart.
const (
	streamDraw   = iota // one number per row and column
	streamOrder         // the keys of the orders of a Latin hypercube
	streamSample        // which rows the summary ranks
)

// unit turns a random word into a number inside (0, 1), ends excluded.
func unit(w uint64) float64 { return (float64(w>>12) + 0.5) * 0x1p-52 }

// uniform fills u with one number in (0, 1) per column of a row.
func uniform(u []float64, seed uint64, row int64) {
	for i := 0; i < len(u); i += 4 {
		w := philox([2]uint64{seed, streamDraw}, [4]uint64{uint64(row), uint64(i / 4)})
		for j := 0; j < 4 && i+j < len(u); j++ {
			u[i+j] = unit(w[j])
		}
	}
}

// order is a random order of the numbers 0 to n-1. It is computed and not stored, so that a
// Latin hypercube of any size needs no memory. It is a Feistel network on the next even
// number of bits, applied again until the result is below n (Black and Rogaway, Ciphers with
// arbitrary finite domains, CT-RSA 2002, doi:10.1007/3-540-45760-7_9).
type order struct {
	n    uint64
	half uint
	keys [6]uint64
}

// newOrder returns one of the orders of n >= 1 numbers. Each column and purpose has its own
// order.
func newOrder(n int64, seed, stream, column uint64) order {
	o := order{n: uint64(n), half: uint(bits.Len64(uint64(n-1))+1) / 2}
	for i := range o.keys {
		o.keys[i] = philox([2]uint64{seed, stream}, [4]uint64{column, uint64(i)})[0]
	}
	return o
}

// at returns the number at a place of the order.
func (o *order) at(place int64) int64 {
	x := uint64(place)
	mask := uint64(1)<<o.half - 1
	for {
		l, r := x>>o.half, x&mask
		for _, k := range o.keys {
			// The round function only needs to scramble; it is the finalizer of
			// SplitMix64.
			f := (r ^ k) * 0xBF58476D1CE4E5B9
			f ^= f >> 27
			f *= 0x94D049BB133111EB
			f ^= f >> 31
			l, r = r, l^f&mask
		}
		x = l<<o.half | r
		if x < o.n {
			return int64(x)
		}
	}
}
