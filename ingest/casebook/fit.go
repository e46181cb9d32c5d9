package casebook

import "fmt"

// Fit says how the lists of cases and the movements fit together: how many cases are
// listed, how many have movements, and how many both.
type Fit struct{ Listed, Moved, Both int }

// FitOf counts them; a case is whatever names it.
func FitOf[K comparable](listed, moved map[K]bool) Fit {
	f := Fit{Listed: len(listed), Moved: len(moved)}
	for k := range moved { // only counted
		if listed[k] {
			f.Both++
		}
	}
	return f
}

// Apart: there are both, and of neither is more than a tenth in the other (a bound of
// ours, no source). A list says nothing of such movements, in all likelihood since its
// codes are others.
func (f Fit) Apart() bool {
	return f.Listed > 0 && f.Moved > 0 && 10*f.Both < min(f.Listed, f.Moved)
}

// What is said of a list and movements that are apart, and what to do.
const (
	ApartText   = "the list of cases and the movements do not fit together, most likely because their codes differ"
	ApartRemedy = "Use the same codes in both. Where a pseudonymised copy renamed codes, make it again with the codes that identify nobody kept, or make a copy of every sheet"
)

// String is the sentence with its counts.
func (f Fit) String() string {
	listed := "cases"
	if f.Listed == 1 {
		listed = "case"
	}
	return fmt.Sprintf("%s: %d %s listed, %d with movements, %d in both", ApartText, f.Listed, listed, f.Moved, f.Both)
}
