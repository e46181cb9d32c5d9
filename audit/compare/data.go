package compare

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
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
	// Dose, where it is not nil, is what is asked for instead: the change of
	// expression with one more of it. Treated then parts the larger doses from the
	// smaller ones, for the share of missing outcomes and the overlap of plans.
	Dose []float64
	// Class is the tooth class, small and not negative, 0 unknown; Clinician
	// likewise. Either may be nil.
	Class     []int32
	Clinician []int
	// Doubted marks amounts that cannot be right as they stand; nil: none.
	Doubted []bool
	// Covariates follow the planned amount and its square, in order of precedence.
	Covariates []Covariate
	// Arena lends the memory of a Contrast, which is then good until its Reset; nil: its own.
	Arena *stats.Arena

	// dense numbers of patient and mouth, by index.
	patient, mouth   []int
	patients, mouths int
	mouthOf          []int // patient of each mouth
}

// index numbers patients and mouths from 0, in order of appearance.
func (d *Data) index() {
	if d.patient != nil {
		return
	}
	d.patient, d.patients = d.number(d.Patient)
	d.mouth, d.mouths = d.number(d.Mouth)
	d.mouthOf = d.Arena.Places(d.mouths)
	for i, m := range d.mouth {
		d.mouthOf[m] = d.patient[i]
	}
}

// number gives ids numbers from 0, in order of appearance. Ids that come rising, as they
// mostly do, need no look at those before.
func (d *Data) number(ids []int) (dense []int, n int) {
	dense = d.Arena.Places(len(ids))
	order := d.Arena.Places(len(ids))[:0] // the ids by number
	var before map[int]int                // their numbers, once one does not rise
	for i, id := range ids {
		switch {
		case i > 0 && id == ids[i-1]:
			dense[i] = dense[i-1]
			continue
		case before == nil && (n == 0 || id > order[n-1]):
		default:
			if before == nil {
				before = make(map[int]int, n)
				for k, id := range order {
					before[id] = k
				}
			}
			if k, ok := before[id]; ok {
				dense[i] = k
				continue
			}
			before[id] = n
		}
		order, dense[i] = append(order, id), n
		n++
	}
	return dense, n
}

// Covariate is one recorded property of each movement.
type Covariate struct {
	Name   string
	Values []float64
	Codes  []int32 // in their place for one of a few words: from 0, "not recorded"
	// Required: without it there is no comparison.
	Required bool
	// Refines names the covariates before it that it determines, as single teeth do
	// their class: its columns stand for theirs.
	Refines []string
}

// Options of a comparison; there is no useful zero value.
type Options struct {
	Level      float64 // of intervals
	Alpha      float64 // of verdicts
	LeastBoth  int     // patients that must carry both choices
	MaxMissing float64 // share of outcomes missing in either arm
	Root       robust.Root
}

// DefaultOptions: 95 % intervals, verdicts at 5 %, ten patients, a fifth missing, CR2 on
// square-root-weighted rows.
func DefaultOptions() Options {
	return Options{Level: 0.95, Alpha: 0.05, LeastBoth: 10, MaxMissing: 0.20}
}

// check refuses shapes that do not fit and numbers that cannot be.
func (d *Data) check() error {
	n := len(d.Planned)
	for _, of := range []struct {
		name string
		n    int
	}{{"patient", len(d.Patient)}, {"mouth", len(d.Mouth)}, {"achieved", len(d.Achieved)}, {"treated", len(d.Treated)}} {
		if of.n != n {
			return fmt.Errorf("compare: %d values of %s for %d movements", of.n, of.name, n)
		}
	}
	if d.Dose != nil && len(d.Dose) != n {
		return fmt.Errorf("compare: %d doses for %d movements", len(d.Dose), n)
	}
	if d.Doubted != nil && len(d.Doubted) != n {
		return fmt.Errorf("compare: doubts do not fit %d movements", n)
	}
	if d.Class != nil && len(d.Class) != n || d.Clinician != nil && len(d.Clinician) != n {
		return fmt.Errorf("compare: classes or clinicians do not fit %d movements", n)
	}
	for _, c := range d.Covariates {
		if len(c.Values)+len(c.Codes) != n {
			return fmt.Errorf("compare: %d values of %s for %d movements", len(c.Values)+len(c.Codes), c.Name, n)
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
	rows := d.Arena.Places(len(d.Achieved))[:0]
	for i, a := range d.Achieved {
		if !math.IsNaN(a) {
			rows = append(rows, i)
		}
	}
	return rows
}

// undoubted are the movements whose amounts can be right.
func (d *Data) undoubted() *Data {
	rows := slices.DeleteFunc(d.all(), func(i int) bool { return d.Doubted[i] })
	ints, floats := d.Arena.Places, d.Arena.Room
	out := &Data{
		Patient: of(ints, d.Patient, rows), Mouth: of(ints, d.Mouth, rows), Planned: of(floats, d.Planned, rows), Achieved: of(floats, d.Achieved, rows),
		Treated: of(func(n int) []bool { return make([]bool, n) }, d.Treated, rows), Arena: d.Arena,
	}
	if d.Dose != nil {
		out.Dose = of(floats, d.Dose, rows)
	}
	if d.Class != nil {
		out.Class = of(d.Arena.Codes, d.Class, rows)
	}
	if d.Clinician != nil {
		out.Clinician = of(ints, d.Clinician, rows)
	}
	for _, c := range d.Covariates {
		if c.Codes != nil {
			c.Codes = of(d.Arena.Codes, c.Codes, rows)
		} else {
			c.Values = of(floats, c.Values, rows)
		}
		out.Covariates = append(out.Covariates, c)
	}
	return out
}

// all lists every movement.
func (d *Data) all() []int {
	rows := d.Arena.Places(len(d.Planned))
	for i := range rows {
		rows[i] = i
	}
	return rows
}

// expression of every movement, NaN where not measured.
func (d *Data) expression() []float64 {
	y := d.Arena.Room(len(d.Planned))
	for i, a := range d.Achieved {
		y[i] = a / d.Planned[i]
	}
	return y
}

// choice is the column that is asked for.
func (d *Data) choice() column {
	if d.Dose != nil {
		return numbers(Treatment, d.Dose)
	}
	treated := d.Arena.Room(len(d.Treated))
	for i, t := range d.Treated {
		treated[i] = float64(b2i(t))
	}
	return numbers(Treatment, treated)
}

// both marks the mouths that hold both choices (or several doses) among rows and
// counts their patients.
func (d *Data) both(rows []int) (mouths []bool, patients int) {
	defer d.Arena.Release(d.Arena.Mark())
	choice := d.choice().Values
	first, met := d.Arena.Floats(d.mouths), make([]bool, d.mouths)
	mouths = make([]bool, d.mouths)
	seen := make([]bool, d.patients)
	for _, i := range rows {
		m := d.mouth[i]
		if !met[m] {
			met[m], first[m] = true, choice[i]
		}
		if first[m] != choice[i] && !mouths[m] {
			mouths[m] = true
			patients += b2i(!seen[d.mouthOf[m]])
			seen[d.mouthOf[m]] = true
		}
	}
	return mouths, patients
}

// distinct counts the dense numbers, below n, that rows have.
func distinct(numbers []int, n int, rows []int) (count int) {
	seen := make([]bool, n)
	for _, i := range rows {
		count += b2i(!seen[numbers[i]])
		seen[numbers[i]] = true
	}
	return count
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}
