package stats

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

// Usable reports whether the estimates may be read as maximum-likelihood ones.
func (s Status) Usable() bool { return s == Converged || s == Boundary }
