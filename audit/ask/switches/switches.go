// Package switches asks what came of changing the style of an attachment after a
// shortfall, against keeping it.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package switches

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"shortfall/audit/between"
	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/agree"
	"shortfall/audit/stats/nonpar"
	"shortfall/audit/stats/robust"
	"shortfall/ingest/casebook"
)

// switchPath names one way from style to style along one axis.
type switchPath struct {
	axis     casebook.Axis
	from, to casebook.Style
}

// Answer follows every movement that fell short into the next course: the
// paths with their change within the tooth, and each switch against the
// movements that fell short under the same style and kept it.
func Answer(ctx context.Context, p *rows.Set) results.SwitchAnalysis {
	pairing := pairCourses(p)
	out := results.SwitchAnalysis{
		FellShort: pairing.fellShort, Followed: len(pairing.pairs), NotPaired: pairing.left,
		Definition: "Followed are movements that were short by more than the tolerance in any course and were planned again in the same direction in the next one; " +
			"its expression is achieved / planned of the new plan.",
		Cautions: switchCautions(),
	}
	byPath := map[switchPath][]pair{}
	for _, x := range pairing.pairs {
		k := switchPath{x.first.Axis, x.first.Style, x.next.Style}
		byPath[k] = append(byPath[k], x)
	}
	paths := make([]switchPath, 0, len(byPath))
	for k := range byPath {
		paths = append(paths, k)
	}
	slices.SortFunc(paths, comparePaths)
	errors := errorSDs(p)
	for _, k := range paths {
		out.Paths = append(out.Paths, describePath(p, k, byPath[k], errors))
	}
	var f between.Family
	asked := slices.DeleteFunc(paths, func(k switchPath) bool { return k.from == k.to })
	for _, k := range asked {
		switchContrast(&f, p, k, byPath[k], byPath[switchPath{k.axis, k.from, k.from}])
	}
	out.Contrasts = f.Judge(ctx, p)
	for i := range out.Contrasts {
		out.Contrasts[i].From, out.Contrasts[i].To = asked[i].from, asked[i].to
	}
	return out
}

// Withhold keeps small paths back, and every contrast that would tell one.
func Withhold(p *rows.Set, a *results.SwitchAnalysis) {
	withholdPaths(p, a.Paths)
	between.WithholdGroups(&p.Settings, a.Contrasts)
	withholdContrasts(a, p)
}

// withholdContrasts keeps back every contrast that prints the numbers of a path
// that is kept back, be it only to protect another.
func withholdContrasts(a *results.SwitchAnalysis, p *rows.Set) {
	hidden := map[switchPath]bool{}
	for _, x := range a.Paths {
		hidden[switchPath{x.Axis, x.From, x.To}] = x.Suppressed
	}
	for i := range a.Contrasts {
		c := &a.Contrasts[i]
		if hidden[switchPath{c.By.Axis, c.From, c.To}] || hidden[switchPath{c.By.Axis, c.From, c.From}] {
			between.KeepBack(c, &p.Settings)
		}
	}
}

// names of those who switched and of those who kept.
func (k switchPath) names() [2]string {
	return [2]string{
		fmt.Sprintf("switched from %s to %s", wording.Style(k.from), wording.Style(k.to)), "kept " + wording.Style(k.from),
	}
}

func comparePaths(a, b switchPath) int {
	kept := func(k switchPath) int { return 1 - measure.OneIf(k.from == k.to) }
	return cmp.Or(cmp.Compare(a.axis, b.axis), cmp.Compare(a.from, b.from), cmp.Compare(kept(a), kept(b)), cmp.Compare(a.to, b.to))
}

func switchCautions() []string {
	return []string{
		"These movements were chosen because they fell short. Part of any shortfall is chance and measurement, so the next result is nearer the average " +
			"whatever is done (regression to the mean: Bland & Altman 1994, BMJ 308:1499; Barnett, van der Pols & Dobson 2005, Int J Epidemiol 34:215-220). " +
			"A change within the tooth is therefore no evidence that the switch worked; only the comparison with those that kept their style is, and it too shows association.",
		"The scan that ends one course begins the next: an error that made the first result look short makes the next look long.",
	}
}

// describePath describes one path.
func describePath(p *rows.Set, k switchPath, pairs []pair, errors map[measured]float64) results.SwitchPath {
	out := results.SwitchPath{
		Axis: k.axis, From: k.from, To: k.to, Movements: len(pairs), Cases: countPairCases(pairs),
		First: measure.NoSpread(), Next: measure.NoSpread(), Change: measure.NoSpread(), PairedP: results.NotEstimable,
		Expected: regressionToMean(p, k, pairs, errors),
	}
	s := &p.Settings
	pathEstimates(p, &out, pairs)
	if out.Cases < s.MinIntervalCases {
		for _, x := range []*results.Spread{&out.First, &out.Next, &out.Change} {
			*x = results.Spread{Value: x.Value, SE: results.NotEstimable, DF: results.NotEstimable, Low: results.NotEstimable, High: results.NotEstimable}
		}
		out.PairedP = results.NotEstimable
		out.Warnings = append(out.Warnings, measure.FewCases(s.MinIntervalCases))
	}
	return out
}

// withholdPaths keeps small paths back; their number of
// movements adds up to a printed total, so never one alone.
func withholdPaths(p *rows.Set, paths []results.SwitchPath) {
	s := &p.Settings
	all := disclose.Pick(paths, func(*results.SwitchPath) bool { return true })
	for _, x := range disclose.WithheldOf(all, s.MinCellCases, func(x *results.SwitchPath) int { return x.Cases }) {
		*x = results.SwitchPath{
			Axis: x.Axis, From: x.From, To: x.To, First: measure.NoSpread(), Next: measure.NoSpread(), Change: measure.NoSpread(), PairedP: results.NotEstimable,
			Expected: noRegression(), Suppressed: true, Warnings: []results.Warning{disclose.TooFewShown(s)},
		}
	}
}

// pathEstimates fits expression on course over the stacked pairs with planned
// amounts as weights: the intercept is the first course's ratio of sums, the
// slope the change of the ratio. CR2 by case makes it a paired comparison.
func pathEstimates(p *rows.Set, out *results.SwitchPath, pairs []pair) {
	n := 2 * len(pairs)
	m := stats.LinearModel{
		Names: []string{"first", "change"}, X: make([]float64, 0, 2*n), Y: make([]float64, 0, n), Weights: make([]float64, 0, n), Cluster: make([]int, 0, n),
	}
	changes, cluster := make([]float64, 0, len(pairs)), make([]int, 0, len(pairs))
	for i := range pairs {
		for j, r := range []*rows.Row{pairs[i].first, pairs[i].next} {
			m.X = append(m.X, 1, float64(j))
			m.Y, m.Weights, m.Cluster = append(m.Y, r.Expression()), append(m.Weights, r.Planned), append(m.Cluster, r.Cluster)
		}
		changes = append(changes, pairs[i].next.Expression()-pairs[i].first.Expression())
		cluster = append(cluster, pairs[i].first.Cluster)
	}
	fit, err := robust.FitLinear(m, stats.CR2)
	if err != nil {
		out.Warnings = append(out.Warnings, measure.NotEstimated(err))
		return
	}
	level := p.Settings.Level
	out.First = measure.Spread(fit.Contrast([]float64{1, 0}, level))
	out.Next = measure.Spread(fit.Contrast([]float64{1, 1}, level))
	out.Change = measure.Spread(fit.Contrast([]float64{0, 1}, level))
	if t, err := nonpar.ClusteredSignedRank(changes, cluster); err == nil {
		out.PairedP = measure.OrMissing(t.P)
	}
}

// switchContrast sets a switch against those that kept the same first style:
// the next course's expression, adjusted for the first course's (analysis of
// covariance, as Barnett et al. 2005 advise), for the amount that was left and
// its square, and for the recorded covariates. Without room for those three,
// or where the amounts left hardly overlap, there is no comparison.
func switchContrast(f *between.Family, p *rows.Set, k switchPath, switched, kept []pair) {
	which := make([]int32, 0, len(switched)+len(kept))
	index := func(r *rows.Row) int32 { return int32(indexOf(p, r)) }
	for _, x := range slices.Concat(switched, kept) {
		which = append(which, index(x.next))
	}
	slices.Sort(which)
	g := &between.Grouping{
		Group: func(r *rows.Row) bool { return r.Style == k.to },
		Names: k.names(),
		// Attachments follow the size of what is left, and so does the next result:
		// the amount planned again and its square always enter, and the tooth's own
		// expression in the course before.
		Also: []between.Covariate{{
			Name: "expression of the course before", Required: true,
			Value: func(r *rows.Row) float64 { return p.Before(r).Expression() },
		}},
	}
	f.Ask(results.By{Axis: k.axis}, which, g)
}

// indexOf finds an analysed row by its address, among those of its case.
func indexOf(p *rows.Set, r *rows.Row) int {
	c := &p.Cases[r.Cluster]
	for i := c.From; i < c.To; i++ {
		if &p.Analysed[i] == r {
			return i
		}
	}
	return -1
}

func countPairCases(pairs []pair) int {
	seen := map[int]bool{}
	for i := range pairs {
		seen[pairs[i].first.Cluster] = true
	}
	return len(seen)
}

func noRegression() results.RegressionToMean {
	n := results.NotEstimable
	return results.RegressionToMean{MeanAll: n, MeanSelected: n, BetweenSD: n, ErrorSD: n, Reliability: n, Change: n, AtMost: n}
}

// measured is what has an error of its own: a unit, measured in one way.
type measured struct {
	unit   casebook.Unit
	method casebook.Method
}

// errorSDs is the error of each way of measuring: the standard deviation of one
// measurement by the method of moments, from the repeats.
func errorSDs(p *rows.Set) map[measured]float64 {
	first, second := map[measured][]float64{}, map[measured][]float64{}
	methods := p.RepeatMethods()
	for i, r := range p.Dataset.Repeats {
		u := measured{r.Axis.Unit(), methods[i]}
		first[u], second[u] = append(first[u], r.First), append(second[u], r.Second)
	}
	out := map[measured]float64{}
	for u := range first {
		if a, err := agree.Agreement(first[u], second[u], p.Settings.Level); err == nil && !math.IsNaN(a.MethodOfMoments.Value) {
			out[u] = a.MethodOfMoments.Value
		}
	}
	return out
}

// regressionToMean is what selecting movements for their shortfall does to the
// next result by itself. With mean m of all movements of the axis and style,
// mean s of the selected, and reliability R = between-tooth variance / total
// variance, the expected change is (1-R)(m-s) (Bland & Altman 1994, BMJ
// 308:1499; Barnett et al. 2005, Int J Epidemiol 34:215-220, equation 1 with
// the observed selection in place of a cut-off). All means and variances are
// weighted by planned amount; the method error of a ratio is the error of the
// measurement over the plan. Half of that error comes from the scan that ends
// the course and begins the next: it enters the next result with the opposite
// sign, which adds (1-R)/2 (m-s) sum P1 / sum P2.
func regressionToMean(p *rows.Set, k switchPath, pairs []pair, errors map[measured]float64) results.RegressionToMean {
	var w, sum, square, noise float64
	known := true // the error of every way that enters
	for i := range p.Analysed {
		r := &p.Analysed[i]
		if r.Axis == k.axis && r.Style == k.from {
			e := r.Expression()
			sd, ok := errors[measured{r.Unit(), r.Method}]
			known = known && ok
			// P (sd/P)^2: the error of a ratio is that of the measurement over the plan
			w, sum, square, noise = w+r.Planned, sum+r.Planned*e, square+r.Planned*e*e, noise+sd*sd/r.Planned
		}
	}
	var p1, p2, a1 float64
	for i := range pairs {
		p1, a1, p2 = p1+pairs[i].first.Planned, a1+pairs[i].first.Achieved, p2+pairs[i].next.Planned
	}
	all, selected := sum/w, a1/p1
	total := square/w - all*all
	out := noRegression()
	out.MeanAll, out.MeanSelected = measure.OrMissing(all), measure.OrMissing(selected)
	shared := func(unreliable float64) results.Number {
		return measure.OrMissing(unreliable*(all-selected) + unreliable/2*(all-selected)*p1/p2)
	}
	out.AtMost = shared(1)
	if !known || !(total > 0) {
		return out
	}
	errorVariance := min(noise/w, total)
	out.ErrorSD, out.BetweenSD = results.Number(math.Sqrt(errorVariance)), results.Number(math.Sqrt(total-errorVariance))
	out.Reliability = results.Number(1 - errorVariance/total)
	out.Change = shared(errorVariance / total)
	return out
}
