package between

import (
	"slices"

	"shortfall/audit/compare"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
	"shortfall/ingest/casebook"
)

// Covariate is a recorded property of a movement, to adjust for within mouths.
type Covariate struct {
	Name     string
	Value    func(*rows.Row) float64
	Words    bool     // a small whole number that stands for a word, 0 for "not recorded"
	Required bool     // without it there is no comparison
	Refines  []string // names of those before it that it determines
}

// StyleCovariate is for questions other than that of the style.
func StyleCovariate() Covariate {
	return Covariate{Name: "style", Words: true, Value: func(r *rows.Row) float64 { return float64(r.Style) }}
}

// withinMouth lists what is recorded of single movements, in order of
// precedence after the planned amount and its square. What belongs to the case
// or the course does not differ within a mouth and is left to the absorbed
// levels. A lost attachment is a consequence of the choice and never an adjuster.
func withinMouth(without string) (out []Covariate) {
	for _, c := range []Covariate{
		{Name: "direction", Value: func(r *rows.Row) float64 { return float64(r.Direction) }},
		{Name: "tooth class", Value: func(r *rows.Row) float64 { return float64(r.Class) }},
		{Name: "arch", Value: func(r *rows.Row) float64 { return float64(r.Arch) }},
		{Name: "tooth within class", Value: func(r *rows.Row) float64 { return float64(toothWithinClass(r)) }},
		{Name: "staging", Value: func(r *rows.Row) float64 { return float64(r.Staging) }},
		{Name: "side", Value: func(r *rows.Row) float64 {
			return float64(1 + measure.OneIf(r.Tooth.Quadrant() == 2 || r.Tooth.Quadrant() == 3))
		}},
		{Name: "tooth", Value: toothOfArch, Refines: []string{"tooth class", "arch", "tooth within class"}},
	} {
		if c.Words = true; c.Name != without {
			out = append(out, c)
		}
	}
	return out
}

// toothOfArch numbers the teeth of a side, upper and lower apart: what
// single teeth are hard, and designed by clinicians for that, is neither class nor arch.
func toothOfArch(r *rows.Row) float64 {
	return float64(10*int(r.Arch) + r.Tooth.Position())
}

// mostCourses of one case: the number of a mouth counts cases, courses and ways of
// measuring.
const mostCourses = 1 << 10

// mouthOf numbers one patient's teeth in one course, measured in one way. What one
// way of measuring adds to every result is the mouth's and cancels; taking the
// commonest way alone would throw the other patients away for the same answer.
func mouthOf(r *rows.Row) int {
	course := min(int(r.Course), mostCourses-1)
	return (r.Cluster*mostCourses+course)*(casebook.MethodCount+1) + int(r.Method)
}

// data makes the movements of a cell ready for a comparison within mouths, in memory
// of the arena.
func data(p *rows.Set, list []*rows.Row, treated func(*rows.Row) bool, covariates []Covariate, classes bool, arena *stats.Arena) *compare.Data {
	n := len(list)
	d := &compare.Data{
		Patient: arena.Places(n), Mouth: arena.Places(n), Planned: arena.Room(n), Achieved: arena.Room(n),
		Treated: make([]bool, n), Clinician: arena.Places(n), Doubted: make([]bool, n), Arena: arena,
	}
	if classes {
		d.Class = arena.Codes(n)
	}
	for _, c := range covariates {
		of := compare.Covariate{Name: c.Name, Required: c.Required, Refines: c.Refines}
		if c.Words {
			of.Codes = arena.Codes(n)
		} else {
			of.Values = arena.Room(n)
		}
		d.Covariates = append(d.Covariates, of)
	}
	for i, r := range list {
		d.Patient[i], d.Mouth[i] = r.Cluster, mouthOf(r)
		d.Planned[i], d.Achieved[i] = r.Planned, r.Achieved
		d.Treated[i], d.Clinician[i], d.Doubted[i] = treated(r), p.Clinician(r), r.Doubt != casebook.NoDoubt
		if classes {
			d.Class[i] = int32(r.Class)
		}
		for k := range covariates {
			if v := covariates[k].Value(r); covariates[k].Words {
				d.Covariates[k].Codes[i] = int32(v)
			} else {
				d.Covariates[k].Values[i] = v
			}
		}
	}
	return d
}

// options of a comparison from the settings.
func options(p *rows.Set) compare.Options {
	o := compare.DefaultOptions()
	o.Level, o.Alpha = p.Settings.Level, p.Settings.Alpha
	o.LeastBoth, o.MaxMissing = p.Settings.MinBothCases, p.Settings.MaxMissing
	if p.Settings.CR2Root == results.EqualVariances {
		o.Root = robust.IdentityTarget
	}
	return o
}

// cell is a set of movements with and without an outcome.
type cell struct {
	measured []int32 // of the analysed rows
	missing  []int32 // of the rows without an outcome
}

// rowsOfCell is what the movements of a cell that carry an attachment are noted by, once the
// comparisons have listed them.
type rowsOfCell results.By

// featured are the movements of a cell that carry an attachment of either style. They are
// not to be changed.
func featured(p *rows.Set, by results.By) *cell {
	if found, ok := p.Notes.Found(rowsOfCell(by)).(*cell); ok {
		return found
	}
	return &cell{
		measured: slices.DeleteFunc(p.AnalysedIn(by), func(i int32) bool { return !rows.Featured(&p.Analysed[i]) }),
		missing:  slices.DeleteFunc(p.MissingIn(by), func(i int32) bool { return !rows.Featured(&p.Missing[i]) }),
	}
}

// rows of both lists in their order, so that those of a patient are neighbours.
func (c *cell) rows(p *rows.Set) []*rows.Row {
	out := make([]*rows.Row, 0, len(c.measured)+len(c.missing))
	missing := c.missing
	for _, i := range c.measured {
		r := &p.Analysed[i]
		for len(missing) > 0 && rows.Compare(&p.Missing[missing[0]], r) < 0 {
			out, missing = append(out, &p.Missing[missing[0]]), missing[1:]
		}
		out = append(out, r)
	}
	for _, i := range missing {
		out = append(out, &p.Missing[i])
	}
	return out
}

// before finds the same movement of the course before, as it was measured, in
// the same direction and with its style on record; nil where there is none.
func before(p *rows.Set, r *rows.Row) *rows.Row {
	b := p.Before(r)
	if b == nil || b.Direction != r.Direction || b.Style == casebook.NoStyle {
		return nil
	}
	return b
}

// refined keeps the movements with an earlier course on record: a tooth is in a
// refinement because it fell short, so it is compared only given what it did
// before.
func refined(p *rows.Set, list []*rows.Row) []*rows.Row {
	out := make([]*rows.Row, 0, len(list))
	for _, r := range list {
		if before(p, r) != nil {
			out = append(out, r)
		}
	}
	return out
}

// ofBefore are covariates of a refinement: the tooth's own earlier expression and
// style; what was left of the plan is the amount planned again. Without them no
// comparison.
func ofBefore(p *rows.Set) []Covariate {
	return []Covariate{
		{Name: "expression of the course before", Required: true, Value: func(r *rows.Row) float64 { return before(p, r).Expression() }},
		{Name: "style of the course before", Required: true, Words: true, Value: func(r *rows.Row) float64 { return float64(before(p, r).Style) }},
	}
}
