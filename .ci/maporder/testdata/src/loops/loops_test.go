package loops

import "testing"

// A test in the package does not hide its product from the tool, and is itself free.
func TestFirst(t *testing.T) {
	var out []int
	for k := range map[int]bool{1: true} {
		out = append(out, k)
	}
	if len(out) == 0 {
		t.Fatal("none")
	}
}
