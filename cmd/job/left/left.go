// Package left says how long a step that is under way will still take.
//
// Place in the pipeline: below the terminal and the page, which both show it; it looks at
// no clock.
package left

import (
	"fmt"
	"math"
	"time"
)

// fewestSeconds of a step before anything is said of its end: what is over sooner needs
// no word, and the first moments tell little.
const fewestSeconds = 2

// Counted says how long a step will still take that has done so many parts of all in a
// time, "" while that cannot be told: "about 40 seconds left".
func Counted(elapsed time.Duration, done, all int) string {
	if elapsed < fewestSeconds*time.Second || done <= 0 || all <= 0 {
		return ""
	}
	return text(time.Duration(float64(elapsed) / float64(done) * float64(max(0, all-done))))
}

// AsBefore says the same of a step whose parts are not counted, by how long it took
// the last time; once it takes longer nothing is said.
func AsBefore(elapsed, before time.Duration) string {
	if before < fewestSeconds*time.Second || elapsed > before {
		return ""
	}
	return text(before - elapsed)
}

// text rounds so that the number does not dance: to seconds below ten, to five below
// a minute, to minutes above.
func text(d time.Duration) string {
	s := math.Ceil(d.Seconds())
	switch {
	case s <= 1:
		return "about a second left"
	case s < 10:
		return fmt.Sprintf("about %d seconds left", int(math.RoundToEven(s)))
	case s <= 55:
		return fmt.Sprintf("about %d seconds left", int(math.Ceil(s/5))*5)
	case s <= 60:
		return "about a minute left"
	}
	return fmt.Sprintf("about %d minutes left", int(math.Ceil(s/60)))
}
