package chart

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
)

// No line about a figure ends or begins within a number, its unit or its interval,
// whatever the width.
func TestCaptionsKeepNumbersWhole(t *testing.T) {
	const words = "Extrusion of upper incisors: not met. 61 % outside tolerance (95 % CI 50 to 71 %; 80 movements in 57 cases); target at most 30 %, 0.5 mm."
	within := regexp.MustCompile(`^(%|mm|to \d)|(\d to|CI)$`)
	for w := 60.0; w < 180; w += 7 {
		fig := Captioned(Caption{Title: words, Sub: []string{words}, Foot: "foot"}, w, &Figure{W: w, H: 10})
		for _, x := range fig.Texts() {
			assert.NotRegexp(t, within, x.Text, "%g mm wide", w)
		}
	}
}
