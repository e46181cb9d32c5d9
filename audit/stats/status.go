package stats

import (
	"fmt"
)

// Status says how an iterative fit ended.
type Status int

// The ways a fit ends.
const (
	Failed         Status = iota // no estimate could be made
	Converged                    // at a maximum inside the parameter space
	Boundary                     // at the edge: a variance (or overdispersion) of zero, or a correlation of one
	Diverged                     // an estimate runs to infinity: a group without events
	IterationLimit               // stopped before it converged
)

// String is fit for print.
func (s Status) String() string {
	switch s {
	case Failed:
		return "failed"
	case Converged:
		return "converged"
	case Boundary:
		return "at the boundary of the parameter space"
	case Diverged:
		return "diverged: a group without events"
	case IterationLimit:
		return "stopped before convergence"
	}
	return fmt.Sprintf("Status(%d)", int(s))
}

// Usable reports whether the estimates may be read as maximum-likelihood ones.
func (s Status) Usable() bool { return s == Converged || s == Boundary }
