package audit

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"shortfall/audit/results"
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

// switches follows every movement that fell short into the next course: the
// paths with their change within the tooth, and each switch against the
// movements that fell short under the same style and kept it.
func (p *prepared) switches() results.SwitchAnalysis {
	pairing := pairCourses(p)
	out := results.SwitchAnalysis{
		FellShort: pairing.fellShort, Followed: len(pairing.pairs), NotPaired: pairing.left,
		Definition: "Followed are movements that were short by more than the tolerance in any course and were planned again in the same direction in the next one; " +
			"its expression is achieved / planned of the new plan.",
		Cautions: switchCautions(),
	}
	byPath := map[switchPath][]pair{}
	for _, x := range pairing.pairs {
		k := switchPath{x.first.axis, x.first.style, x.next.style}
		byPath[k] = append(byPath[k], x)
	}
	paths := make([]switchPath, 0, len(byPath))
	for k := range byPath {
		paths = append(paths, k)
	}
	slices.SortFunc(paths, comparePaths)
	errors := p.errorSDs()
	for _, k := range paths {
		out.Paths = append(out.Paths, p.switchPath(k, byPath[k], errors))
	}
	p.withholdPaths(out.Paths)
	for _, k := range paths {
		if k.from != k.to {
			kept := byPath[switchPath{k.axis, k.from, k.from}]
			out.Contrasts = append(out.Contrasts, p.switchContrast(k, byPath[k], kept))
		}
	}
	p.judgeGroups(out.Contrasts)
	withholdContrasts(&out, p)
	return out
}

// withholdContrasts keeps back every contrast that prints the numbers of a path
// that is kept back, be it only to protect another.
func withholdContrasts(a *results.SwitchAnalysis, p *prepared) {
	hidden := map[switchPath]bool{}
	for _, x := range a.Paths {
		hidden[switchPath{x.Axis, x.From, x.To}] = x.Suppressed
	}
	at := 0
	for _, x := range a.Paths {
		if x.From == x.To {
			continue
		}
		if k := (switchPath{x.Axis, x.From, x.To}); hidden[k] || hidden[switchPath{k.axis, k.from, k.from}] {
			keepBack(&a.Contrasts[at], &p.settings)
		}
		at++
	}
}

func comparePaths(a, b switchPath) int {
	kept := func(k switchPath) int { return 1 - oneIf(k.from == k.to) }
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

// switchPath describes one path.
func (p *prepared) switchPath(k switchPath, pairs []pair, errors map[casebook.Unit]float64) results.SwitchPath {
	out := results.SwitchPath{
		Axis: k.axis, From: k.from, To: k.to, Movements: len(pairs), Cases: countPairCases(pairs),
		First: noSpread(), Next: noSpread(), Change: noSpread(), PairedP: results.NotEstimable,
		Expected: p.regressionToMean(k, pairs, errors),
	}
	s := &p.settings
	p.pathEstimates(&out, pairs)
	if out.Cases < s.MinIntervalCases {
		for _, x := range []*results.Spread{&out.First, &out.Next, &out.Change} {
			*x = results.Spread{Value: x.Value, SE: results.NotEstimable, DF: results.NotEstimable, Low: results.NotEstimable, High: results.NotEstimable}
		}
		out.PairedP = results.NotEstimable
		out.Warnings = append(out.Warnings, fewCases(s.MinIntervalCases))
	}
	return out
}

// withholdPaths keeps small paths back in shared results; their number of
// movements adds up to a printed total, so never one alone.
func (p *prepared) withholdPaths(paths []results.SwitchPath) {
	s := &p.settings
	if !s.Shared {
		return
	}
	all := pick(paths, func(*results.SwitchPath) bool { return true })
	for _, x := range withheldOf(all, s.MinCellCases, func(x *results.SwitchPath) int { return x.Cases }) {
		*x = results.SwitchPath{
			Axis: x.Axis, From: x.From, To: x.To, First: noSpread(), Next: noSpread(), Change: noSpread(), PairedP: results.NotEstimable,
			Expected: noRegression(), Suppressed: true, Warnings: []results.Warning{tooFewShown(s)},
		}
	}
}

// pathEstimates fits expression on course over the stacked pairs with planned
// amounts as weights: the intercept is the first course's ratio of sums, the
// slope the change of the ratio. CR2 by case makes it a paired comparison.
func (p *prepared) pathEstimates(out *results.SwitchPath, pairs []pair) {
	m := stats.LinearModel{Names: []string{"first", "change"}}
	var changes []float64
	var cluster []int
	for i := range pairs {
		for j, r := range []*row{pairs[i].first, pairs[i].next} {
			m.X = append(m.X, 1, float64(j))
			m.Y, m.Weights, m.Cluster = append(m.Y, r.expression()), append(m.Weights, r.planned), append(m.Cluster, r.cluster)
		}
		changes = append(changes, pairs[i].next.expression()-pairs[i].first.expression())
		cluster = append(cluster, pairs[i].first.cluster)
	}
	fit, err := robust.FitLinear(m, stats.CR2)
	if err != nil {
		out.Warnings = append(out.Warnings, notEstimated(err))
		return
	}
	level := p.settings.Level
	out.First = spread(fit.Contrast([]float64{1, 0}, level))
	out.Next = spread(fit.Contrast([]float64{1, 1}, level))
	out.Change = spread(fit.Contrast([]float64{0, 1}, level))
	if t, err := nonpar.ClusteredSignedRank(changes, cluster); err == nil {
		out.PairedP = orMissing(t.P)
	}
}

// switchContrast sets a switch against those that kept the same first style:
// the next course's expression, adjusted for the first course's (analysis of
// covariance, as Barnett et al. 2005 advise), for the amount that was left and
// its square, and for the recorded covariates. Without room for those three,
// or where the amounts left hardly overlap, there is no comparison.
func (p *prepared) switchContrast(k switchPath, switched, kept []pair) results.GroupComparison {
	firstOf := map[*row]*row{}
	var rows []int32
	index := func(r *row) int32 { return int32(p.indexOf(r)) }
	for _, x := range slices.Concat(switched, kept) {
		firstOf[x.next] = x.first
		rows = append(rows, index(x.next))
	}
	slices.Sort(rows)
	g := &grouping{
		group: func(r *row) bool { return r.style == k.to },
		names: [2]string{
			fmt.Sprintf("switched from %s to %s", styleWords(k.from), styleWords(k.to)), "kept " + styleWords(k.from),
		},
		adjusters: func(rows []int32) []adjuster {
			b := &adjusterBuilder{p: p, rows: rows}
			// Features follow the size of what is left, and so does the next
			// result: the residual and its square always enter.
			b.number("planned amount", func(r *row) (float64, bool) { return r.planned, true })
			b.square("planned amount squared")
			b.number("expression of the course before", func(r *row) (float64, bool) { return firstOf[r].expression(), true })
			return b.out
		},
		required: true,
	}
	return p.compareGroups(results.By{Axis: k.axis}, rows, g)
}

// indexOf finds an analysed row by its address, among those of its case.
func (p *prepared) indexOf(r *row) int {
	c := &p.cases[r.cluster]
	for i := c.from; i < c.to; i++ {
		if &p.analysed[i] == r {
			return i
		}
	}
	return -1
}

func countPairCases(pairs []pair) int {
	seen := map[int]bool{}
	for i := range pairs {
		seen[pairs[i].first.cluster] = true
	}
	return len(seen)
}

func noRegression() results.RegressionToMean {
	n := results.NotEstimable
	return results.RegressionToMean{MeanAll: n, MeanSelected: n, BetweenSD: n, ErrorSD: n, Reliability: n, Change: n, AtMost: n}
}

// errorSDs is the method error of each unit: the standard deviation of one
// measurement by the method of moments, from the repeats.
func (p *prepared) errorSDs() map[casebook.Unit]float64 {
	first, second := map[casebook.Unit][]float64{}, map[casebook.Unit][]float64{}
	for _, r := range p.ds.Repeats {
		u := r.Axis.Unit()
		first[u], second[u] = append(first[u], r.First), append(second[u], r.Second)
	}
	out := map[casebook.Unit]float64{}
	for u := range first {
		if a, err := agree.Agreement(first[u], second[u], p.settings.Level); err == nil && !math.IsNaN(a.MethodOfMoments.Value) {
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
func (p *prepared) regressionToMean(k switchPath, pairs []pair, errors map[casebook.Unit]float64) results.RegressionToMean {
	var w, sum, square, perPlan float64
	for i := range p.analysed {
		r := &p.analysed[i]
		if r.axis == k.axis && r.style == k.from {
			e := r.expression()
			w, sum, square, perPlan = w+r.planned, sum+r.planned*e, square+r.planned*e*e, perPlan+1/r.planned
		}
	}
	var p1, p2, a1 float64
	for i := range pairs {
		p1, a1, p2 = p1+pairs[i].first.planned, a1+pairs[i].first.achieved, p2+pairs[i].next.planned
	}
	all, selected := sum/w, a1/p1
	total := square/w - all*all
	out := noRegression()
	out.MeanAll, out.MeanSelected = orMissing(all), orMissing(selected)
	shared := func(unreliable float64) results.Number {
		return orMissing(unreliable*(all-selected) + unreliable/2*(all-selected)*p1/p2)
	}
	out.AtMost = shared(1)
	sd, ok := errors[k.axis.Unit()]
	if !ok || !(total > 0) {
		return out
	}
	// sum P (sd/P)^2 / sum P = sd^2 sum(1/P) / sum P
	errorVariance := min(sd*sd*perPlan/w, total)
	out.ErrorSD, out.BetweenSD = results.Number(math.Sqrt(errorVariance)), results.Number(math.Sqrt(total-errorVariance))
	out.Reliability = results.Number(1 - errorVariance/total)
	out.Change = shared(errorVariance / total)
	return out
}
