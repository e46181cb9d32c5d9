package compare

import (
	"fmt"
	"math"
)

// Data are the movements of one cell. All slices have one entry a movement.
type Data struct {
	// Patient is the unit of inference; Mouth is what is compared within, part
	// of one patient: a course, measured in one way.
	Patient, Mouth []int
	// Planned is positive; Achieved is along the plan, same unit, NaN where the
	// outcome was not measured.
	Planned, Achieved []float64
	// Treated marks the choice whose difference is asked for.
	Treated []bool
	// Class is the tooth class, small and not negative, 0 unknown; Clinician
	// likewise. Either may be nil.
	Class, Clinician []int
	// Covariates follow the planned amount and its square, in order of precedence.
	Covariates []Covariate
}

// Covariate is one recorded property of each movement.
type Covariate struct {
	Name   string
	Values []float64 // whole numbers from 0 where Words, 0 for "not recorded"
	Words  bool      // one of a few words, not a number
	// Required: without it there is no comparison.
	Required bool
}

// Options of a comparison; there is no useful zero value.
type Options struct {
	Level      float64 // of intervals
	LeastBoth  int     // patients that must carry both choices
	MaxMissing float64 // share of outcomes missing in either arm
	ClassAlpha float64 // below it tooth classes differ
}

// DefaultOptions: 95 % intervals, ten patients, a fifth missing, 5 %.
func DefaultOptions() Options {
	return Options{Level: 0.95, LeastBoth: 10, MaxMissing: 0.20, ClassAlpha: 0.05}
}

// check refuses shapes that do not fit and numbers that cannot be.
func (d *Data) check() error {
	n := len(d.Planned)
	for name, got := range map[string]int{
		"patient": len(d.Patient), "mouth": len(d.Mouth), "achieved": len(d.Achieved), "treated": len(d.Treated),
	} {
		if got != n {
			return fmt.Errorf("compare: %d values of %s for %d movements", got, name, n)
		}
	}
	if d.Class != nil && len(d.Class) != n || d.Clinician != nil && len(d.Clinician) != n {
		return fmt.Errorf("compare: classes or clinicians do not fit %d movements", n)
	}
	for _, c := range d.Covariates {
		if len(c.Values) != n {
			return fmt.Errorf("compare: %d values of %s for %d movements", len(c.Values), c.Name, n)
		}
	}
	for i, p := range d.Planned {
		if !(p > 0) || math.IsInf(p, 0) || math.IsInf(d.Achieved[i], 0) {
			return fmt.Errorf("compare: movement %d has no planned amount above 0, or one that is not finite", i+1)
		}
	}
	return nil
}

// observed lists the movements with an outcome.
func (d *Data) observed() []int {
	var rows []int
	for i, a := range d.Achieved {
		if !math.IsNaN(a) {
			rows = append(rows, i)
		}
	}
	return rows
}

// expression of every movement, NaN where not measured.
func (d *Data) expression() []float64 {
	y := make([]float64, len(d.Planned))
	for i, a := range d.Achieved {
		y[i] = a / d.Planned[i]
	}
	return y
}

// both marks the mouths among rows that hold both choices and counts their patients.
func (d *Data) both(rows []int) (mouths map[int]bool, patients int) {
	arms := map[int]int{}
	of := map[int]int{}
	for _, i := range rows {
		arms[d.Mouth[i]] |= 1 + b2i(d.Treated[i])
		of[d.Mouth[i]] = d.Patient[i]
	}
	mouths = map[int]bool{}
	seen := map[int]bool{}
	for m, a := range arms {
		if a == 3 {
			mouths[m] = true
			seen[of[m]] = true
		}
	}
	return mouths, len(seen)
}

// patients counts the distinct patients of rows.
func (d *Data) patients(rows []int) int {
	seen := map[int]bool{}
	for _, i := range rows {
		seen[d.Patient[i]] = true
	}
	return len(seen)
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}
