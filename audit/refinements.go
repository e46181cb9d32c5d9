package audit

import (
	"shortfall/audit/results"
	"shortfall/audit/stats/robust"
	"shortfall/ingest/casebook"
)

// barLabels of the refinement distribution.
var barLabels = [...]string{"0", "1", "2", "3", "4+"}

// finishedCase is one completed case with what the refinement analyses need.
type finishedCase struct {
	patient     int // index into prepared.cases
	refinements int
	stated      bool           // taken from the practice's own count: no course is on record
	main        casebook.Style // the style most of its initial features have; NoStyle where none leads
}

// finishedCases lists the completed cases. Cases under treatment, switched,
// transferred and discontinued ones may have refinements still to come or cut
// short, so they would bias the count downwards.
func (p *prepared) finishedCases() []finishedCase {
	courses := p.courseCounts()
	main := p.mainStyles()
	var out []finishedCase
	for i := range p.cases {
		c := p.cases[i].log
		if c == nil || c.Status != casebook.Completed {
			continue
		}
		f := finishedCase{patient: i, refinements: max(courses[i]-1, 0), main: main[i]}
		if courses[i] == 0 {
			if !c.StatedRefinements.OK {
				continue
			}
			f.refinements, f.stated = c.StatedRefinements.Value, true
		}
		out = append(out, f)
	}
	return out
}

// courseCounts is the highest course number on record of each case, from the
// courses and the movements; 0 where neither is there.
func (p *prepared) courseCounts() []int {
	n := make([]int, len(p.cases))
	for i := range p.cases {
		for _, c := range p.cases[i].courses {
			n[i] = max(n[i], c.Number)
		}
	}
	for i, m := range p.order {
		n[p.clusterOf[i]] = max(n[p.clusterOf[i]], m.Course)
	}
	return n
}

// mainStyles is the style that most teeth with a feature carry in the initial
// course, case by case; every tooth counts once.
func (p *prepared) mainStyles() []casebook.Style {
	votes := make([][2]int, len(p.cases))
	for i, m := range p.order {
		if m.Course > 1 || m.Style != casebook.SoftwareSuggested && m.Style != casebook.ClinicianDesigned {
			continue
		}
		if i > 0 && sameTooth(p.order[i-1], m) && p.order[i-1].Style == m.Style {
			continue
		}
		votes[p.clusterOf[i]][m.Style-casebook.SoftwareSuggested]++
	}
	main := make([]casebook.Style, len(p.cases))
	for i, v := range votes {
		switch {
		case v[0] > v[1]:
			main[i] = casebook.SoftwareSuggested
		case v[1] > v[0]:
			main[i] = casebook.ClinicianDesigned
		}
	}
	return main
}

func sameTooth(a, b *casebook.Movement) bool {
	return a.Case == b.Case && a.Course == b.Course && a.Tooth == b.Tooth
}

// refinements counts the courses after the first, of completed cases only.
func (p *prepared) refinements() results.Refinements {
	cases := p.finishedCases()
	r := results.Refinements{Cases: len(cases), Mean: noSpread(), RateRatio: noDifference(), RateUnadj: noDifference()}
	r.Distribution = p.bars(cases)
	some, undecided, stated := 0, 0, 0
	for _, c := range cases {
		if c.refinements > 0 {
			some++
		}
		if c.main == casebook.NoStyle {
			undecided++
		}
		if c.stated {
			stated++
		}
	}
	r.Mean, r.Warnings = p.meanRefinements(cases)
	r.AtLeastOne = p.independentShare(some, len(cases))
	for _, s := range []casebook.Style{casebook.SoftwareSuggested, casebook.ClinicianDesigned} {
		r.ByStyle = append(r.ByStyle, p.refinementRate(s, cases))
	}
	p.rateRatio(&r, cases)
	r.Warnings = append(r.Warnings, p.refinementWarnings(undecided, stated)...)
	return r
}

func (p *prepared) refinementWarnings(undecided, stated int) (ws []results.Warning) {
	if len(p.clinicians) > 1 {
		ws = append(ws, results.Warning{
			ID: "clinicians-share-cases", Text: "cases are taken as independent; those of one clinician may be alike, which would widen the intervals",
			Remedy: "read the figures by clinician before acting on a small difference",
		})
	}
	if undecided > 0 {
		ws = append(ws, results.Warning{
			ID: "no-main-style", Text: count(undecided, "completed case") + " without a leading feature style in the initial course: left out of the rates by style",
			Remedy: "record the feature style of every tooth",
		})
	}
	if stated > 0 {
		ws = append(ws, results.Warning{
			ID: "stated-refinements", Text: count(stated, "completed case") + " without courses on record: the practice's own count was used",
			Remedy: "record the courses",
		})
	}
	if n := p.miscounted(); n > 0 {
		ws = append(ws, results.Warning{
			ID: "refinements-miscounted", Text: count(n, "case") + ": the stated number of refinements differs from the courses on record; the courses were used",
			Remedy: "check the case log against the courses",
		})
	}
	return ws
}

// miscounted cases state another number of refinements than their courses show.
func (p *prepared) miscounted() int {
	n := 0
	for i, courses := range p.courseCounts() {
		if c := p.cases[i].log; c != nil && courses > 0 && c.StatedRefinements.OK && c.StatedRefinements.Value != courses-1 {
			n++
		}
	}
	return n
}

// bars of the distribution, each with its Wilson interval.
func (p *prepared) bars(cases []finishedCase) []results.Bar {
	var n [len(barLabels)]int
	for _, c := range cases {
		n[min(c.refinements, len(n)-1)]++
	}
	var out []results.Bar
	for i, label := range barLabels {
		out = append(out, results.Bar{Label: label, Cases: n[i], Share: p.independentShare(n[i], len(cases))})
	}
	return out
}

// independentShare is a share of cases, with Wilson's interval once there are enough.
func (p *prepared) independentShare(x, n int) results.Share {
	sh := wilsonShare(x, n, p.settings.Level)
	if n < p.settings.MinIntervalCases {
		sh.Low, sh.High, sh.Method = results.NotEstimable, results.NotEstimable, ""
		sh.Warnings = []results.Warning{fewCases(p.settings.MinIntervalCases)}
	}
	return sh
}

// meanRefinements with the t interval of independent cases.
func (p *prepared) meanRefinements(cases []finishedCase) (results.Spread, []results.Warning) {
	x := make([]float64, len(cases))
	for i, c := range cases {
		x[i] = float64(c.refinements)
	}
	s := noSpread()
	s.Value = meanOf(x)
	if len(x) < p.settings.MinIntervalCases {
		return s, []results.Warning{fewCases(p.settings.MinIntervalCases)}
	}
	e, err := robust.ClusteredMean(x, nil, p.settings.Level)
	if err != nil {
		return s, []results.Warning{notEstimated(err)}
	}
	return spread(e), warnings(e.Warnings)
}

func (p *prepared) refinementRate(s casebook.Style, all []finishedCase) results.RefinementRate {
	r := results.RefinementRate{Style: s}
	var cases []finishedCase
	for _, c := range all {
		if c.main == s {
			cases = append(cases, c)
			r.Refinements += c.refinements
		}
	}
	r.Cases = len(cases)
	r.Rate, r.Warnings = p.meanRefinements(cases)
	r.Distribution = p.bars(cases)
	return r
}
