// Package outlook asks what past plans suggest about the next ones and what more
// data would settle.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package outlook

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"shortfall/audit/grid"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
	"shortfall/ingest/casebook"
)

// answer says what past plans suggest about the next ones and what more data
// would settle. It never tells anyone to plan more.
func answer(p *rows.Set, res *results.Results) results.Outlook {
	share := p.Settings.Questions.BandShare
	out := results.Outlook{
		Share: results.Number(share),
		Method: "achieved on planned amount, spread growing with a power of the plan chosen by likelihood; " +
			"band for one new movement of a new case on t",
		Cautions: []string{
			"These figures describe what happened to plans of this practice. They are not a prediction for a patient and not a reason to plan more than is wanted: " +
				"a larger plan also loads the tooth, its root and its neighbours more, and its results vary more.",
			"A band is for plans like those on record; it says nothing about larger ones, other appliances or other hands.",
		},
	}
	out.CasesPerQuarter, out.Quarters = CaseRate(p)
	Expectations(p, &out)
	Undecided(p, &out, res)
	Precision(p, &out, res)
	return out
}

// CaseRate is the number of analysed cases begun in a usual quarter: the median of the
// quarters in which any began, and how many these are. The latest quarters hold few, since
// what began lately has no outcome yet; a mistyped year makes a quarter of one.
func CaseRate(p *rows.Set) (results.Number, int) {
	begun := map[casebook.Month]float64{}
	for i := range p.Cases {
		if c := &p.Cases[i]; c.Log != nil && c.Log.Start != 0 && c.To > c.From {
			begun[c.Log.Start/3]++
		}
	}
	if len(begun) == 0 {
		return results.NotEstimable, 0
	}
	return results.Number(stats.Quantiles(slices.Sorted(maps.Values(begun)), 0.5)[0]), len(begun)
}

// Expectations fits one line a direction and tooth class, initial courses, and
// gives the result to be expected at the quartiles of what was planned.
func Expectations(p *rows.Set, out *results.Outlook) {
	var lists [casebook.DirectionCount + 1][casebook.ToothClassCount + 1][]int32
	for i := range p.Analysed {
		if r := &p.Analysed[i]; r.First {
			l := &lists[r.Direction][r.Class]
			*l = append(*l, int32(i))
		}
	}
	for _, d := range casebook.Directions() {
		for _, class := range casebook.ToothClasses() {
			by := results.By{Axis: d.Axis(), Direction: d, ToothClass: class, Course: results.Initial}
			out.Expected = append(out.Expected, expectation(p, by, lists[d][class])...)
		}
	}
}

func expectation(p *rows.Set, by results.By, rows []int32) []results.Expectation {
	x, y, cluster := make([]float64, len(rows)), make([]float64, len(rows)), make([]int, len(rows))
	for j, i := range rows {
		r := &p.Analysed[i]
		x[j], y[j], cluster[j] = r.Planned, r.Achieved, r.Cluster
	}
	cases := measure.CountRuns(cluster)
	if cases < p.Settings.MinIntervalCases {
		return nil
	}
	share := p.Settings.Questions.BandShare
	fit, err := robust.FitPrediction(x, y, cluster)
	if err != nil {
		return nil
	}
	held, total := fit.HeldOut(share)
	var out []results.Expectation
	for _, size := range stats.Quantiles(x, 0.25, 0.5, 0.75) {
		size = measure.RoundPlan(size, by.Axis.Unit())
		band := fit.At(size, share)
		e := results.Expectation{
			By: by, Unit: by.Axis.Unit(), Cases: cases, Movements: len(rows), Planned: results.Number(size),
			Expected: measure.OrMissing(band.Value), Low: measure.OrMissing(band.Low), High: measure.OrMissing(band.High), DF: measure.OrMissing(band.DF),
			Held:     results.Share{Numerator: held, Denominator: total, Value: measure.OrMissing(float64(held) / float64(total)), Low: results.NotEstimable, High: results.NotEstimable},
			Warnings: measure.Warnings(band.Warnings),
		}
		if e.Low.OK() && e.High.OK() {
			e.Sentence = expectSentence(p, &e)
			out = append(out, e)
		}
	}
	return out
}

func expectSentence(p *rows.Set, e *results.Expectation) string {
	f := func(x results.Number) string { return wording.Amount(x, e.Unit) }
	return fmt.Sprintf("%s: of 100 planned like this at %s, %s would be expected to end between %s and %s, around %s (%s in %s).",
		wording.Capital(p.Names.Cell(e.By)), f(e.Planned), wording.Fixed(results.Number(100*p.Settings.Questions.BandShare), 0), f(e.Low), f(e.High), f(e.Expected),
		wording.Of(e.Movements, "movement"), wording.Of(e.Cases, "case"))
}

// Undecided lists the comparisons that more cases could sharpen to the difference
// worth knowing, and how many quarters that takes at the present rate of cases with
// both styles in one mouth.
func Undecided(p *rows.Set, out *results.Outlook, res *results.Results) {
	quarters := float64(out.Quarters)
	for i := range res.Comparisons {
		c := &res.Comparisons[i]
		if c.Verdict != results.NotDistinguishable || !c.Detectable.OK() {
			continue
		}
		u := results.Undecided{
			By: c.By, Difference: c.Adjusted.Difference, Low: c.Adjusted.Low, High: c.Adjusted.High,
			Detectable: c.Detectable, MoreCases: c.MoreCases,
			CasesPerQuarter: measure.OrMissing(float64(c.Both) / quarters), Quarters: results.NotEstimable,
		}
		if u.MoreCases.OK() && u.CasesPerQuarter.OK() && u.CasesPerQuarter > 0 {
			u.Quarters = results.Number(math.Ceil(float64(u.MoreCases / u.CasesPerQuarter)))
		}
		u.Sentence = undecidedSentence(&u, wording.Capital(p.Names.Cell(c.By)), wording.InPoints(p.Settings.Worth()))
		out.Undecided = append(out.Undecided, u)
	}
}

// longWait: more quarters than this are not worth waiting for.
const longWait = 20

// undecidedSentence speaks of a difference the reader names, never of the one
// that was seen.
func undecidedSentence(u *results.Undecided, where, named string) string {
	s := fmt.Sprintf("%s: a difference under about %s could have been missed", where, wording.InPoints(100*float64(u.Detectable)))
	switch {
	case u.MoreCases.OK() && u.MoreCases < 1:
		return s + fmt.Sprintf(", so one of %s would have been found.", named)
	case !u.Quarters.OK():
		return s + fmt.Sprintf("; how long it would take to find one of %s cannot be told.", named)
	case u.Quarters > longWait:
		return s + fmt.Sprintf("; to find one of %s would take more than five years at the present rate.", named)
	}
	return s + fmt.Sprintf("; about %s more cases with both styles would find one of %s: about %s at %s a quarter.",
		wording.Fixed(u.MoreCases, 0), named, wording.Of(int(u.Quarters), "quarter"), wording.Fixed(u.CasesPerQuarter, 1))
}

// fivePoints is the precision the table works towards.
const fivePoints = 0.05

// Precision reached in each direction over all teeth, and the cases that five
// points either way would take (error falls with the square root of cases).
func Precision(p *rows.Set, out *results.Outlook, res *results.Results) {
	for i := range res.Expression {
		c := &res.Expression[i]
		if !grid.AllTeethAndStyles(c) {
			continue
		}
		half := float64(c.High-c.Low) / 2
		out.Precision = append(out.Precision, results.Precision{
			By: c.By, HalfWidth: measure.OrMissing(half), Cases: c.Cases,
			CasesForFive: results.Number(math.Ceil(float64(c.Cases) * half * half / (fivePoints * fivePoints))),
		})
	}
}
