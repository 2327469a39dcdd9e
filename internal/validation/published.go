package validation

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
)

// Published reads the inputs and the expected values of one row of a shared
// table of reference values, in which the source of each row is named.
func Published(t testing.TB, file, id string) (in, want map[string]any) {
	t.Helper()
	for _, row := range Table(t, file) {
		if row[0] == id {
			if err := json.Unmarshal([]byte(row[2]), &in); err != nil {
				t.Fatal(err)
			}
			if err := json.Unmarshal([]byte(row[3]), &want); err != nil {
				t.Fatal(err)
			}
			return in, want
		}
	}
	t.Fatalf("%s has no row %s", file, id)
	return nil, nil
}

// Table reads a shared table of reference values.
func Table(t testing.TB, file string) [][]string {
	t.Helper()
	for _, up := range []string{".", "..", "../..", "../../.."} {
		f, err := os.Open(filepath.Join(up, "testdata", file))
		if err != nil {
			continue
		}
		defer f.Close()
		r := csv.NewReader(f)
		r.Comment = '#'
		rows, err := r.ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		return rows
	}
	t.Fatalf("testdata/%s is in no folder above", file)
	return nil
}

// Number returns a number of a row of [Published].
func Number(t testing.TB, m map[string]any, key string) float64 {
	t.Helper()
	v, ok := m[key].(float64)
	if !ok {
		t.Fatalf("%q is no number but %v", key, m[key])
	}
	return v
}

// Numbers returns a list of numbers of a row of [Published].
func Numbers(t testing.TB, m map[string]any, key string) []float64 {
	t.Helper()
	list, ok := m[key].([]any)
	if !ok {
		t.Fatalf("%q is no list but %v", key, m[key])
	}
	out := make([]float64, len(list))
	for i, v := range list {
		out[i] = v.(float64)
	}
	return out
}
