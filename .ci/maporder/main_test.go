package main

import (
	"testing"

	"golang.org/x/tools/go/analysis/analysistest"
)

// The loops of testdata that bear a remark are named, and no other is.
func TestLoops(t *testing.T) {
	analysistest.Run(t, analysistest.TestData(), analyzer, "loops")
}
