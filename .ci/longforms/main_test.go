package main

import (
	"slices"
	"testing"
)

// Of the tests of testdata those are named that read the variable, by whatever way.
func TestLongForms(t *testing.T) {
	got, err := longForms("testdata")
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"./asked TestFromOutside", "./asked TestItself", "./asked TestThroughAList", "./asked TestThroughAMethod", "./asked TestThroughAType", "./asked TestThroughAnother",
	}
	if !slices.Equal(got, want) {
		t.Errorf("\n got %q\nwant %q", got, want)
	}
}
