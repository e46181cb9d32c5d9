// Package between sets two groups of movements against each other between
// patients, by a weighted linear model adjusted for what was recorded: the styles
// over the grid, and the two-group questions.
//
// Place in the pipeline: it reads a rows.Set and gives results.Comparison and
// results.GroupComparison values, with balance, overlap, matched strata and
// sensitivity beside them.
package between

import (
	"context"

	"shortfall/audit/measure"
	"shortfall/audit/parallel"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// comparisonGrid lists the cells in which the two feature styles are set
// against each other, with their rows: every direction x tooth class x course
// that holds a feature, the margin of each direction over the classes, and the
// arches apart. Axes are never pooled.
func comparisonGrid(p *rows.Set) (by []results.By, which [][]int32) {
	var lists [casebook.DirectionCount + 1][casebook.ToothClassCount + 1][casebook.ArchCount + 1][2][]int32
	for i := range p.Analysed {
		r := &p.Analysed[i]
		if !rows.Featured(r) {
			continue
		}
		course := 1
		if r.First {
			course = 0
		}
		d := &lists[r.Direction]
		for _, at := range [][2]int{{0, 0}, {int(r.Class), 0}, {int(r.Class), int(r.Arch)}} {
			l := &d[at[0]][at[1]][course]
			*l = append(*l, int32(i))
		}
	}
	for _, d := range casebook.Directions() {
		for course, stratum := range []results.CourseStratum{results.Initial, results.Refinement} {
			for class := range lists[d] {
				for arch := range lists[d][class] {
					if l := lists[d][class][arch][course]; len(l) > 0 {
						by = append(by, results.By{
							Axis: d.Axis(), Direction: d, ToothClass: casebook.ToothClass(class),
							Arch: casebook.Arch(arch), Course: stratum,
						})
						which = append(which, l)
					}
				}
			}
		}
	}
	return by, which
}

// Comparisons fills the grid, corrects for multiplicity and gives each cell
// its verdict. The primary comparison is tested on its own, outside the grid's
// family, at the full alpha: that is what declaring it beforehand buys.
func Comparisons(ctx context.Context, p *rows.Set) ([]results.Comparison, error) {
	by, rows := comparisonGrid(p)
	if primary := p.Settings.Primary; primary != (results.By{}) {
		by, rows = placePrimary(p, by, rows)
	}
	out := make([]results.Comparison, len(by))
	err := parallel.Do(ctx, len(by), func() func(int) {
		return func(i int) { out[i] = Compare(p, by[i], rows[i]) }
	})
	if err != nil {
		return nil, err
	}
	kept := out[:0]
	for _, c := range out {
		// An arch apart is shown only where it can be judged by itself.
		if c.By.Arch == casebook.NoArch || c.Primary || c.Verdict != results.NotComparable {
			kept = append(kept, c)
		}
	}
	judge(p, kept)
	return kept, nil
}

// placePrimary adds the pre-declared comparison where the grid lacks it.
func placePrimary(p *rows.Set, by []results.By, which [][]int32) ([]results.By, [][]int32) {
	primary := primaryCell(p.Settings.Primary)
	for _, b := range by {
		if b == primary {
			return by, which
		}
	}
	var l []int32
	for i := range p.Analysed {
		if r := &p.Analysed[i]; rows.Featured(r) && rows.Holds(primary, r) {
			l = append(l, int32(i))
		}
	}
	return append([]results.By{primary}, by...), append([][]int32{l}, which...)
}

// primaryCell completes a declared cell: its axis from its direction, the
// initial course where none is named, and no style.
func primaryCell(b results.By) results.By {
	if b.Direction != casebook.NoDirection {
		b.Axis = b.Direction.Axis()
	}
	if b.Course == "" {
		b.Course = results.Initial
	}
	b.Style = casebook.NoStyle
	return b
}

// Compare sets clinician-designed against software-suggested within rows of
// one cell. The verdict is provisional: not comparable, or not distinguishable
// until judge has corrected for multiplicity.
func Compare(p *rows.Set, by results.By, which []int32) results.Comparison {
	c := results.Comparison{
		By: by, Unit: by.Axis.Unit(), Primary: p.Settings.Primary != (results.By{}) && by == primaryCell(p.Settings.Primary),
		Verdict: results.NotDistinguishable, Unadjusted: measure.NoDifference(), Adjusted: measure.NoDifference(),
		Detectable: results.NotEstimable, MoreCases: results.NotEstimable,
		EValue: results.EValue{Estimate: results.NotEstimable, Limit: results.NotEstimable},
	}
	treated := func(r *rows.Row) bool { return r.Style == casebook.ClinicianDesigned }
	c.Arms = arms(p, which, treated)
	c.Arms[0].Style, c.Arms[1].Style = casebook.SoftwareSuggested, casebook.ClinicianDesigned
	software, clinician := &c.Arms[0], &c.Arms[1]
	c.Unadjusted.Difference = measure.OrMissing(float64(clinician.Expression - software.Expression))
	c.Balance = balance(p, which, treated)
	c.Overlap = overlap(p, which, treated)
	need := p.Settings.MinIntervalCases
	switch {
	case software.Cases < need || clinician.Cases < need:
		notComparable(&c, FewInArms(need))
	default:
		fill(p, &c, which, treated)
	}
	return c
}

// fill fits the models of a cell whose arms are large enough.
func fill(p *rows.Set, c *results.Comparison, rows []int32, treated func(*rows.Row) bool) {
	fit := FitGroups(p, rows, &Grouping{Group: treated})
	c.Unadjusted, c.Adjusted = fit.unadjusted, fit.adjusted
	c.Adjusters, c.NotAdjusted, c.FitStatus = fit.adjusters, fit.left, fit.status
	c.Warnings = append(c.Warnings, fit.warnings...)
	c.Arms[0].AdjustedRatio, c.Arms[1].AdjustedRatio = fit.means[0], fit.means[1]
	switch {
	case fit.Failed != nil:
		notComparable(c, *fit.Failed)
	case !c.Overlap.Enough:
		notComparable(c, results.Warning{ID: "no-overlap", Text: c.Overlap.Reason, Remedy: "compare plans of like size, or record more of them in both styles"})
	default:
		c.EValue, c.Equivalence = eValue(p, c, rows), equivalence(p, c)
		c.Detectable, c.MoreCases = planFor(p, c)
	}
}

// notComparable sets the verdict with its reason and withdraws the P values.
func notComparable(c *results.Comparison, why results.Warning) {
	c.Verdict = results.NotComparable
	c.Adjusted.P, c.Unadjusted.P = results.NotEstimable, results.NotEstimable
	c.Warnings = append(c.Warnings, why)
}

// arms counts and describes the two arms; the untreated one comes first.
func arms(p *rows.Set, rows []int32, treated func(*rows.Row) bool) []results.Arm {
	arms := []results.Arm{{AdjustedRatio: results.NotEstimable}, {AdjustedRatio: results.NotEstimable}}
	var planned [2][]float64
	var achieved, total [2]float64
	last := [2]int{-1, -1}
	for _, i := range rows {
		r := &p.Analysed[i]
		k := 0
		if treated(r) {
			k = 1
		}
		if last[k] != r.Cluster {
			arms[k].Cases++
			last[k] = r.Cluster
		}
		planned[k] = append(planned[k], r.Planned)
		achieved[k] += r.Achieved
		total[k] += r.Planned
	}
	for k := range arms {
		arms[k].Movements = len(planned[k])
		mean, sd := measure.MeanSD(planned[k])
		arms[k].MeanPlanned, arms[k].SDPlanned = measure.OrMissing(mean), measure.OrMissing(sd)
		arms[k].Expression = measure.OrMissing(achieved[k] / total[k])
	}
	return arms
}
