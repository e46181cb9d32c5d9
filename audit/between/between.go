// Package between sets two groups of movements against each other: the styles
// over the grid, and the two-group questions. A verdict rests on the difference
// within mouths (audit/compare); beside it stand the unadjusted difference and one
// between patients, by a weighted linear model adjusted for what was recorded.
//
// Place in the pipeline: it reads a rows.Set and gives results.Comparison and
// results.GroupComparison values, with balance, overlap, matched strata and
// sensitivity beside them.
package between

import (
	"context"

	"shortfall/audit/compare"
	"shortfall/audit/measure"
	"shortfall/audit/parallel"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/ingest/casebook"
)

// gridCell is one cell of the grid of comparisons.
type gridCell struct {
	by      results.By
	primary bool
	cell
}

// near is the cell among its own movements, side by side in memory.
func (g *gridCell) near(p *rows.Set, memory *rows.Near) (*rows.Set, *gridCell) {
	out := *g
	p, out.measured, out.missing = p.Near(g.measured, g.missing, memory)
	return p, &out
}

// comparisonGrid lists the cells in which the two styles are set against each
// other, with their rows: every direction x tooth class x course that holds an
// attachment, the margin of each direction over the classes, and the arches
// apart. Axes are never pooled.
func comparisonGrid(p *rows.Set) []gridCell {
	var of [casebook.DirectionCount + 1][2][casebook.ToothClassCount + 1][casebook.ArchCount + 1]cell
	add := func(r *rows.Row, put func(*cell)) {
		if rows.Featured(r) {
			in := &of[r.Direction][1-measure.OneIf(r.First)]
			put(&in[casebook.NoClass][casebook.NoArch])
			put(&in[r.Class][casebook.NoArch])
			put(&in[r.Class][r.Arch])
		}
	}
	for i := range p.Analysed {
		add(&p.Analysed[i], func(c *cell) { c.measured = append(c.measured, int32(i)) })
	}
	for i := range p.Missing {
		add(&p.Missing[i], func(c *cell) { c.missing = append(c.missing, int32(i)) })
	}
	var out []gridCell
	for _, d := range casebook.Directions() {
		for course, stratum := range []results.CourseStratum{results.Initial, results.Refinement} {
			for _, class := range append([]casebook.ToothClass{casebook.NoClass}, casebook.ToothClasses()...) {
				for _, arch := range append([]casebook.Arch{casebook.NoArch}, casebook.Arches()...) {
					by := results.By{Axis: d.Axis(), Direction: d, ToothClass: class, Arch: arch, Course: stratum}
					if c := of[d][course][class][arch]; len(c.measured) > 0 {
						out = append(out, gridCell{by: by, cell: c})
					}
				}
			}
		}
	}
	return out
}

// Comparisons fills the grid, corrects for multiplicity and gives each cell its
// verdict. The declared comparison comes first and is tested on its own.
func Comparisons(ctx context.Context, p *rows.Set) ([]results.Comparison, error) {
	cells := comparisonGrid(p)
	for i := range cells {
		p.Notes.Keep(rowsOfCell(cells[i].by), &cells[i].cell)
	}
	if p.Settings.Primary != (results.By{}) {
		cells = append([]gridCell{primaryCell(p)}, cells...)
	}
	out := make([]results.Comparison, len(cells))
	candidates := make([]compare.Candidate, len(cells))
	err := parallel.Do(ctx, len(cells), func() func(int) {
		var near rows.Near
		return func(i int) { out[i], candidates[i] = compareStyles(p, &cells[i], &near) }
	})
	if err != nil {
		return nil, err
	}
	kept, judged := out[:0], candidates[:0]
	for i, c := range out {
		// An arch apart is shown only where it can be judged by itself.
		if c.By.Arch == casebook.NoArch || c.Primary || candidates[i].Failed == "" {
			kept, judged = append(kept, c), append(judged, candidates[i])
		}
	}
	judge(p, kept, judged)
	return kept, nil
}

// styleTreated is the choice that is compared.
func styleTreated(r *rows.Row) bool { return r.Style == casebook.ClinicianDesigned }

// compareStyles sets clinician-designed against software-suggested in one cell.
// What it gives has no verdict yet: judge corrects for multiplicity first.
func compareStyles(p *rows.Set, g *gridCell, memory *rows.Near) (results.Comparison, compare.Candidate) {
	inSet := g.measured
	p, g = g.near(p, memory)
	c := results.Comparison{
		By: g.by, Unit: g.by.Axis.Unit(), Primary: g.primary, Exploratory: !g.primary && !g.by.WholeInFirstSets(),
		Unadjusted: measure.NoDifference(), Adjusted: measure.NoDifference(),
		Detectable: results.NotEstimable, Power: results.NotEstimable, MoreCases: results.NotEstimable, VerdictLevel: results.NotEstimable,
		EValue:  results.EValue{Estimate: results.NotEstimable, Limit: results.NotEstimable},
		Overlap: results.Overlap{ShareInside: results.NotEstimable},
	}
	arena := borrow(p)
	defer giveBack(p, arena)
	c.Arms = arms(p, g.measured, styleTreated, arena)
	c.Arms[0].Style, c.Arms[1].Style = casebook.SoftwareSuggested, casebook.ClinicianDesigned
	apart, weights := betweenPatients(p, g, c.Arms, inSet, arena)
	c.Balance = balance(p, g.measured, styleTreated, weights)
	same, list := contrastOf(p, g, arena)
	fill(p, &c, g, apart, same, list)
	return c, same.Candidate()
}

// betweenPatients makes the model between patients of one cell, and for a whole direction
// the overlap weights, from one list of candidates; nil where an arm is small, and no weights
// where there can be none: then there is no balance after them. inSet are the places of the
// measured movements in the whole set, by which the weights are noted.
func betweenPatients(p *rows.Set, g *gridCell, arms []results.Arm, inSet []int32, arena *stats.Arena) (fit *armsFit, weights []float64) {
	if min(arms[0].Cases, arms[1].Cases) < p.Settings.MinIntervalCases {
		return nil, nil
	}
	defer arena.Release(arena.Mark())
	choice := &Grouping{Group: styleTreated}
	of := candidates(p, g.measured, choice, arena)
	if g.by.WholeDirection() || g.primary {
		var err error
		weights, err = overlapWeights(p, g.measured, styleTreated, of, arena)
		if !g.primary { // its movements are not those of the cell
			p.Notes.Keep(weightsOfCell(g.by), &cellWeights{inSet, weights, err})
		}
	}
	f := fitGroups(p, g.measured, choice, of, arena)
	return &f, weights
}

// contrastOf makes the contrast within mouths of one cell, and lists the movements
// it is made of.
func contrastOf(p *rows.Set, g *gridCell, arena *stats.Arena) (*compare.Contrast, []*rows.Row) {
	list, covariates := g.rows(p), withinMouth("")
	if g.by.Course == results.Refinement {
		list, covariates = refined(p, list), append(ofBefore(p), covariates...)
	}
	same, err := compare.New(data(p, list, styleTreated, covariates, g.by.ToothClass == casebook.NoClass, arena), options(p))
	if err != nil { // rows.Set holds no movement that New refuses
		panic(err)
	}
	if g.by.Course == results.Refinement && len(list) == 0 {
		same.Failed = compare.NoEarlierCourse
	}
	if g.primary && len(list) == 0 {
		same.Failed = compare.NothingLater
	}
	if g.primary && !p.Settings.IsLook() {
		same.Failed = compare.NotALook
	}
	return same, list
}

// fill writes what a contrast found into a comparison.
func fill(p *rows.Set, c *results.Comparison, g *gridCell, apart *armsFit, same *compare.Contrast, list []*rows.Row) {
	c.Readings = readings(p, g.measured, c.Arms, apart, same)
	c.Unadjusted, c.Adjusted, c.Both = c.Readings[0].Difference, withinMouths(same), same.Both
	c.Adjusters, c.NotAdjusted = same.Adjusters, same.Left
	if c.Adjusters == nil {
		c.Adjusters = []string{}
	}
	c.Warnings = append(c.Warnings, measure.Warnings(same.Estimate.Warnings)...)
	if len(c.NotAdjusted) > 0 {
		c.Warnings = append(c.Warnings, leftOutWithin())
	}
	c.Reason = string(same.Failed)
	c.Overlap = overlapOf(same)
	if same.Failed != "" {
		c.Adjusted.P, c.Unadjusted.P = results.NotEstimable, results.NotEstimable
		c.Because = whyNotComparable(p, same)
		c.Warnings = append(c.Warnings, results.Warning{ID: c.Reason, Text: c.Because, Remedy: remedyOf(same.Failed)})
		return
	}
	half := same.Estimate.Value / 2
	c.Arms[0].AdjustedRatio, c.Arms[1].AdjustedRatio = results.Number(same.Mean-half), results.Number(same.Mean+half)
	c.FitStatus = fitStatus(nil)
	c.Checks = checks(p, same, list)
	c.Missing, c.Amounts = missingOutcomes(same), amounts(c, same)
	c.EValue, c.Equivalence = eValue(p, c, g.measured), equivalence(p, c)
}

// arms counts and describes the two arms; the untreated one comes first.
func arms(p *rows.Set, rows []int32, treated func(*rows.Row) bool, arena *stats.Arena) []results.Arm {
	arms := []results.Arm{{AdjustedRatio: results.NotEstimable}, {AdjustedRatio: results.NotEstimable}}
	var planned [2][]float64
	var achieved, total [2]float64
	defer arena.Release(arena.Mark())
	for k := range planned {
		planned[k] = arena.Room(len(rows))[:0]
	}
	last := [2]int{-1, -1}
	for _, i := range rows {
		r := &p.Analysed[i]
		k := measure.OneIf(treated(r))
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
