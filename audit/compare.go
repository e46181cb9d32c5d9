package audit

import (
	"context"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// comparisonGrid lists the cells in which the two feature styles are set
// against each other, with their rows: every direction x tooth class x course
// that holds a feature, the margin of each direction over the classes, and the
// arches apart. Axes are never pooled.
func (p *prepared) comparisonGrid() (by []results.By, rows [][]int32) {
	const arches = 3
	var lists [13][5][arches][2][]int32
	for i := range p.analysed {
		r := &p.analysed[i]
		if !featured(r) {
			continue
		}
		course := 1
		if r.first {
			course = 0
		}
		d := &lists[r.direction]
		for _, at := range [][2]int{{0, 0}, {int(r.class), 0}, {int(r.class), int(r.arch)}} {
			l := &d[at[0]][at[1]][course]
			*l = append(*l, int32(i))
		}
	}
	for _, d := range casebook.Directions() {
		for course, stratum := range []results.CourseStratum{results.Initial, results.Refinement} {
			for class := range 5 {
				for arch := range arches {
					if l := lists[d][class][arch][course]; len(l) > 0 {
						by = append(by, results.By{
							Axis: d.Axis(), Direction: d, ToothClass: casebook.ToothClass(class),
							Arch: casebook.Arch(arch), Course: stratum,
						})
						rows = append(rows, l)
					}
				}
			}
		}
	}
	return by, rows
}

// featured rows carry one of the two styles that are compared.
func featured(r *row) bool {
	return r.style == casebook.SoftwareSuggested || r.style == casebook.ClinicianDesigned
}

// comparisons fills the grid, corrects for multiplicity and gives each cell
// its verdict. The primary comparison is tested on its own, outside the grid's
// family, at the full alpha: that is what declaring it beforehand buys.
func (p *prepared) comparisons(ctx context.Context) ([]results.Comparison, error) {
	by, rows := p.comparisonGrid()
	if primary := p.settings.Primary; primary != (results.By{}) {
		by, rows = p.placePrimary(by, rows)
	}
	out := make([]results.Comparison, len(by))
	err := inParallel(ctx, len(by), func() func(int) {
		return func(i int) { out[i] = p.compare(by[i], rows[i]) }
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
	p.judge(kept)
	return kept, nil
}

// placePrimary adds the pre-declared comparison where the grid lacks it.
func (p *prepared) placePrimary(by []results.By, rows [][]int32) ([]results.By, [][]int32) {
	primary := primaryCell(p.settings.Primary)
	for _, b := range by {
		if b == primary {
			return by, rows
		}
	}
	var l []int32
	for i := range p.analysed {
		if r := &p.analysed[i]; featured(r) && cellHolds(primary, r) {
			l = append(l, int32(i))
		}
	}
	return append([]results.By{primary}, by...), append([][]int32{l}, rows...)
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

// cellHolds reports whether a movement belongs to the cell.
func cellHolds(b results.By, r *row) bool {
	return (b.Axis == casebook.NoAxis || b.Axis == r.axis) &&
		(b.Direction == casebook.NoDirection || b.Direction == r.direction) &&
		(b.Tooth == 0 || b.Tooth == r.tooth) &&
		(b.ToothClass == casebook.NoClass || b.ToothClass == r.class) &&
		(b.Arch == casebook.NoArch || b.Arch == r.arch) &&
		(b.Style == casebook.NoStyle || b.Style == r.style) &&
		(b.Course == "" || b.Course == r.stratum())
}

// compare sets clinician-designed against software-suggested within rows of
// one cell. The verdict is provisional: not comparable, or not distinguishable
// until judge has corrected for multiplicity.
func (p *prepared) compare(by results.By, rows []int32) results.Comparison {
	c := results.Comparison{
		By: by, Unit: by.Axis.Unit(), Primary: p.settings.Primary != (results.By{}) && by == primaryCell(p.settings.Primary),
		Verdict: results.NotDistinguishable, Unadjusted: noDifference(), Adjusted: noDifference(),
		Detectable: results.NotEstimable, MoreCases: results.NotEstimable,
		EValue: results.EValue{Estimate: results.NotEstimable, Limit: results.NotEstimable},
	}
	treated := func(r *row) bool { return r.style == casebook.ClinicianDesigned }
	c.Arms = p.arms(rows, treated)
	c.Arms[0].Style, c.Arms[1].Style = casebook.SoftwareSuggested, casebook.ClinicianDesigned
	software, clinician := &c.Arms[0], &c.Arms[1]
	c.Unadjusted.Difference = orMissing(float64(clinician.Expression - software.Expression))
	c.Balance = p.balance(rows, treated)
	c.Overlap = p.overlap(rows, treated)
	need := p.settings.MinIntervalCases
	switch {
	case software.Cases < need || clinician.Cases < need:
		notComparable(&c, fewInArms(need))
	default:
		p.fill(&c, rows, treated)
	}
	return c
}

// fill fits the models of a cell whose arms are large enough.
func (p *prepared) fill(c *results.Comparison, rows []int32, treated func(*row) bool) {
	fit := p.fitGroups(rows, &grouping{group: treated})
	c.Unadjusted, c.Adjusted = fit.unadjusted, fit.adjusted
	c.Adjusters, c.NotAdjusted, c.FitStatus = fit.adjusters, fit.left, fit.status
	c.Warnings = append(c.Warnings, fit.warnings...)
	c.Arms[0].AdjustedRatio, c.Arms[1].AdjustedRatio = fit.means[0], fit.means[1]
	switch {
	case fit.failed != nil:
		notComparable(c, *fit.failed)
	case !c.Overlap.Enough:
		notComparable(c, results.Warning{ID: "no-overlap", Text: c.Overlap.Reason, Remedy: "compare plans of like size, or record more of them in both styles"})
	default:
		c.EValue, c.Equivalence = p.eValue(c, rows), p.equivalence(c)
		c.Detectable, c.MoreCases = p.planning(c)
	}
}

// notComparable sets the verdict with its reason and withdraws the P values.
func notComparable(c *results.Comparison, why results.Warning) {
	c.Verdict = results.NotComparable
	c.Adjusted.P, c.Unadjusted.P = results.NotEstimable, results.NotEstimable
	c.Warnings = append(c.Warnings, why)
}

// arms counts and describes the two arms; the untreated one comes first.
func (p *prepared) arms(rows []int32, treated func(*row) bool) []results.Arm {
	arms := []results.Arm{{AdjustedRatio: results.NotEstimable}, {AdjustedRatio: results.NotEstimable}}
	var planned [2][]float64
	var achieved, total [2]float64
	last := [2]int{-1, -1}
	for _, i := range rows {
		r := &p.analysed[i]
		k := 0
		if treated(r) {
			k = 1
		}
		if last[k] != r.cluster {
			arms[k].Cases++
			last[k] = r.cluster
		}
		planned[k] = append(planned[k], r.planned)
		achieved[k] += r.achieved
		total[k] += r.planned
	}
	for k := range arms {
		arms[k].Movements = len(planned[k])
		mean, sd := meanSD(planned[k])
		arms[k].MeanPlanned, arms[k].SDPlanned = orMissing(mean), orMissing(sd)
		arms[k].Expression = orMissing(achieved[k] / total[k])
	}
	return arms
}
