// Package refinements asks how many completed cases needed a refinement, how many,
// and whether that went with the main style.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package refinements

import (
	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/stats/robust"
	"shortfall/ingest/casebook"
)

// barLabels of the refinement distribution.
var barLabels = [...]string{"0", "1", "2", "3", "4+"}

// answer counts the courses after the first, of completed cases only.
func answer(p *rows.Set) results.Refinements {
	cases := p.FinishedCases()
	r := results.Refinements{Cases: len(cases), Mean: measure.NoSpread(), RateRatio: measure.NoDifference(), RateUnadj: measure.NoDifference()}
	r.Distribution = bars(p, cases)
	some, undecided, stated, conflicts := 0, 0, 0, 0
	for _, c := range cases {
		if c.Refinements > 0 {
			some++
		}
		if c.Main == casebook.NoStyle {
			undecided++
		}
		if c.Stated {
			stated++
		}
		conflicts += measure.OneIf(c.Conflict)
	}
	r.Mean, r.Warnings = meanRefinements(p, cases)
	r.AtLeastOne = independentShare(p, some, len(cases))
	for _, s := range []casebook.Style{casebook.SoftwareSuggested, casebook.ClinicianDesigned} {
		r.ByStyle = append(r.ByStyle, refinementRate(p, s, cases))
	}
	rateRatio(p, &r, cases)
	r.Warnings = append(r.Warnings, refinementWarnings(p, undecided, stated, conflicts)...)
	return r
}

// unmeasured counts the completed cases without an analysed movement.
func unmeasured(p *rows.Set) (n int) {
	measured := make([]bool, len(p.Cases))
	for i := range p.Analysed {
		measured[p.Analysed[i].Cluster] = true
	}
	for _, c := range p.FinishedCases() {
		n += measure.OneIf(!measured[c.Patient])
	}
	return n
}

func refinementWarnings(p *rows.Set, undecided, stated, conflicts int) (ws []results.Warning) {
	if len(p.Clinicians) > 1 {
		ws = append(ws, results.Warning{
			ID: "clinicians-share-cases", Text: "cases are taken as independent; those of one clinician may be alike, which would widen the intervals",
			Remedy: "read the figures by clinician before acting on a small difference",
		})
	}
	if n := p.FinishedUnknown(); n > 0 {
		ws = append(ws, results.Warning{
			ID: results.RefinementsUnknown, Text: disclose.SharedCount(&p.Settings, n, "completed case") + " with neither later courses nor a count of refinements on record: left out, since it is not known whether they had one",
			Remedy: "record every course with its number, or the number of refinements of each case, 0 too",
		})
	}
	if n := p.StatusUnknown(); n > 0 {
		who := disclose.SharedCount(&p.Settings, n, "case") + " without a status on record"
		ws = append(ws, results.Warning{
			ID: results.StatusUnknown, Who: who, Text: who + ": left out, since it is not known whether they are completed",
			Remedy: "record how every case stands or ended",
		})
	}
	if n := unmeasured(p); n > 0 {
		who := disclose.SharedCount(&p.Settings, n, "completed case") + " without an analysed movement"
		ws = append(ws, results.Warning{
			ID: results.CompletedUnmeasured, Who: who, Text: who + ": counted here, and not among the cases of which movements are reported",
			Remedy: "record the movements of every completed case",
		})
	}
	if undecided > 0 {
		ws = append(ws, results.Warning{
			ID: "no-main-style", Text: wording.Of(undecided, "completed case") + " without a leading attachment style in the first set: left out of the rates by style",
			Remedy: "record the attachment style of every tooth",
		})
	}
	if stated > 0 {
		ws = append(ws, results.Warning{
			ID: "stated-refinements", Text: wording.Of(stated, "completed case") + " without courses on record: the practice's own count was used",
			Remedy: "record the courses",
		})
	}
	if conflicts > 0 {
		ws = append(ws, results.Warning{
			ID: "refinements-miscounted", Text: wording.Of(conflicts, "completed case") + ": the stated number of refinements differs from the courses on record; the larger counts",
			Remedy: "check the case log against the courses",
		})
	}
	return ws
}

// bars of the distribution, each with its Wilson interval.
func bars(p *rows.Set, cases []rows.FinishedCase) []results.Bar {
	var n [len(barLabels)]int
	for _, c := range cases {
		n[min(c.Refinements, len(n)-1)]++
	}
	var out []results.Bar
	for i, label := range barLabels {
		out = append(out, results.Bar{Label: label, Cases: n[i], Share: independentShare(p, n[i], len(cases))})
	}
	return out
}

// independentShare is a share of cases, with Wilson's interval once there are enough.
func independentShare(p *rows.Set, x, n int) results.Share {
	sh := measure.WilsonShare(x, n, p.Settings.Level)
	if n < p.Settings.MinIntervalCases {
		sh.Low, sh.High, sh.Method = results.NotEstimable, results.NotEstimable, ""
		sh.Warnings = []results.Warning{measure.FewCases(p.Settings.MinIntervalCases)}
	}
	return sh
}

// meanRefinements with the t interval of independent cases.
func meanRefinements(p *rows.Set, cases []rows.FinishedCase) (results.Spread, []results.Warning) {
	x := make([]float64, len(cases))
	for i, c := range cases {
		x[i] = float64(c.Refinements)
	}
	s := measure.NoSpread()
	s.Value = measure.MeanOf(x)
	if len(x) < p.Settings.MinIntervalCases {
		return s, []results.Warning{measure.FewCases(p.Settings.MinIntervalCases)}
	}
	e, err := robust.ClusteredMean(x, nil, p.Settings.Level)
	if err != nil {
		return s, []results.Warning{measure.NotEstimated(err)}
	}
	return measure.Spread(e), measure.Warnings(e.Warnings)
}

func refinementRate(p *rows.Set, s casebook.Style, all []rows.FinishedCase) results.RefinementRate {
	r := results.RefinementRate{Style: s}
	var cases []rows.FinishedCase
	for _, c := range all {
		if c.Main == s {
			cases = append(cases, c)
			r.Refinements += c.Refinements
		}
	}
	r.Cases = len(cases)
	r.Rate, r.Warnings = meanRefinements(p, cases)
	r.Distribution = bars(p, cases)
	return r
}
