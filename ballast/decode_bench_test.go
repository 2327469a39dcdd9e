package ballast_test

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
)

// benchDocument is a stored document of a whole machine with ballast and a lift.
func benchDocument(b *testing.B) string {
	b.Helper()
	var out bytes.Buffer
	if err := (ballast.Document{Setup: orchard(), Lifts: []ballast.Lift{binLift(1)}}).Encode(&out); err != nil {
		b.Fatal(err)
	}
	return out.String()
}

func BenchmarkDecode(b *testing.B) {
	text := benchDocument(b)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ballast.Decode(strings.NewReader(text)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkEncode(b *testing.B) {
	d, err := ballast.Decode(strings.NewReader(benchDocument(b)))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if err := d.Encode(io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}
