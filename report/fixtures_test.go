package report

import (
	"context"
	"fmt"
	"maps"
	"math"
	"sync"
	"testing"

	"shortfall/audit"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// fixtures are the results every layout test runs over, made once; none is to
// be changed.
var fixtures = sync.OnceValue(func() map[string]*audit.Results {
	out := map[string]*audit.Results{
		"practice":      practice(),
		"one clinician": oneClinician(),
		"no comparison": noComparison(),
		"empty quarter": emptyQuarter(),
		"many warnings": manyWarnings(),
		"60 clinicians": sixtyClinicians(),
		"shared":        shared(),
		"sample data":   sample(),
	}
	if !testing.Short() { // whole audits: too slow under the race detector
		maps.Copy(out, questioned())
	}
	return out
})

// sample is the invented practice of package sampledata as audit sees it: real
// results, with every warning audit can give. It is computed once and not to be
// changed.
var sample = sync.OnceValue(func() *audit.Results {
	ds, _ := sampledata.Generate(sampledata.Default(), 1)
	r, err := audit.Run(context.Background(), ds, audit.DefaultSettings(), "0.1.0")
	if err != nil {
		panic(err)
	}
	return r
})

// practice is the invented practice with everything a page can hold.
func practice() *audit.Results { return build(126, 4, audit.DefaultSettings()) }

func build(n, clinicians int, s audit.Settings) *audit.Results {
	s.Primary = audit.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, ToothClass: casebook.Premolar, Course: audit.Initial}
	ms := invent(n, 11)
	r := &audit.Results{
		SchemaVersion: audit.SchemaVersion,
		Provenance: audit.Provenance{
			Tool: "shortfall", Version: "0.1.0", Settings: s, Date: "2026-06-30", Invented: true,
			Inputs: []casebook.ImportedFile{{
				File: casebook.File{Name: "cases-invented.xlsx", SHA256: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08", Size: 481234}, Invented: true,
				Sheets: []casebook.SheetCounts{{Sheet: "movements", Kind: casebook.MovementKind, Counts: casebook.Counts{Read: len(ms) + 221, Accepted: len(ms) + 180, Rejected: 29, Blank: 12}}},
			}},
		},
		Scope: audit.Scope{
			Practices: []string{"Ορθοδοντικό Ιατρείο Άγιος Νικόλαος – Cabinet Élodie Çelik & Søn"}, Clinicians: clinicians,
			First: casebook.NewMonth(2025, 1), Last: casebook.NewMonth(2026, 6), Cases: n, Movements: len(ms), Teeth: len(ms) * 4 / 5,
		},
		Expression: cells(ms, s),
	}
	r.Flow = flowOf(r, len(ms), n)
	r.Completeness = completeness(len(ms), n)
	r.Comparisons = comparisons(ms)
	r.Refinements = refinements(ms, n)
	r.Replanned, r.Losses = replanned(ms), losses()
	r.Repeats = repeats()
	r.Unplanned = unplanned()
	r.Bounds = bounds(r.Expression)
	r.Excluded = []audit.Exclusion{
		{ID: "below-smallest-plan", Reason: "Plan below the smallest meaningful amount (0.2 mm, 2°)", Movements: 96, Cases: 3},
		{ID: "outcome-missing", Reason: "Outcome not measured", Movements: 71, Cases: 5},
	}
	r.Findings = findings(r)
	r.Cautions = []string{
		"A retrospective audit shows association, not cause.",
		"It supports, and never replaces, the judgement of a licensed clinician, local clinical-governance and data-protection rules.",
		"It is not a prediction for a patient and not a device for planning treatment.",
	}
	r.Definitions = definitions()
	r.Warnings = []audit.Warning{{ID: "ascertainment", Text: "11 of 137 started cases contribute no analysed movement", Remedy: "complete the case log and measure every finished case"}}
	return r
}

func flowOf(r *audit.Results, n, cases int) audit.Flow {
	in := r.Provenance.Inputs[0].Sheets[0].Counts
	return audit.Flow{
		Rows: in, Superseded: 13, CasesLogged: cases + 11,
		CasesByStatus: []audit.StatusCount{{Status: casebook.Completed, Cases: cases - 8}, {Status: casebook.Discontinued, Cases: 6}, {Status: casebook.Switched, Cases: 7}, {Status: casebook.Transferred, Cases: 2}, {Status: casebook.UnderTreatment, Cases: 3}, {Cases: 1}},
		Steps: []audit.FlowStep{
			{Title: "Movements on record", Movements: n + 167, Cases: cases + 8, Excluded: []audit.Exclusion{{ID: "below-smallest-plan", Reason: "Plan below the smallest meaningful amount (0.2 mm, 2°)", Movements: 96, Cases: 3}}},
			{Title: "Planned, of meaningful size", Movements: n + 71, Cases: cases + 5, Excluded: []audit.Exclusion{{ID: "outcome-missing", Reason: "Outcome not measured", Movements: 71, Cases: 5}}},
			{Title: "Analysed: planned and outcome measured", Movements: n, Cases: cases, Excluded: []audit.Exclusion{{ID: "style-not-recorded", Reason: "Feature style not recorded", Movements: 37, Cases: 0}}},
			{Title: "Analysed, feature style recorded", Movements: n - 37, Cases: cases},
		},
		Ascertained: share(cases, cases+11),
	}
}

func completeness(n, cases int) []audit.FieldCount {
	return []audit.FieldCount{
		{Record: "case", Field: "start month", Recorded: cases + 11, Total: cases + 11},
		{Record: "case", Field: "age band", Recorded: cases - 4, Total: cases + 11},
		{Record: "case", Field: "wear rating", Recorded: max(0, cases-39), Total: cases + 11},
		{Record: "course", Field: "aligners used", Recorded: 211, Total: 240},
		{Record: "movement", Field: "achieved", Recorded: n, Total: n + 71},
		{Record: "movement", Field: "feature style", Recorded: n - 37, Total: n},
		{Record: "movement", Field: "shape", Recorded: n / 2, Total: n},
		{Record: "movement", Field: "lost or not", Recorded: n / 3, Total: n},
		{Record: "movement", Field: "staging", Recorded: 1, Total: n},
	}
}

func comparisons(ms []move) []audit.Comparison {
	out := []audit.Comparison{}
	s := audit.DefaultSettings()
	for _, a := range casebook.Axes() {
		for _, d := range []casebook.Direction{casebook.DirectionOf(a, 1), casebook.DirectionOf(a, -1)} {
			for _, cl := range casebook.ToothClasses() {
				by := audit.By{Axis: a, Direction: d, ToothClass: cl, Course: audit.Initial}
				out = append(out, compareOne(ms, by, s))
			}
		}
	}
	return out
}

func compareOne(ms []move, by audit.By, s audit.Settings) audit.Comparison {
	arm := func(st casebook.Style) audit.Cell {
		b := by
		b.Style = st
		c, _ := cellOf(ms, b, s)
		return c
	}
	sw, cl := arm(casebook.SoftwareSuggested), arm(casebook.ClinicianDesigned)
	c := audit.Comparison{By: by, Unit: by.Axis.Unit(), Adjusters: []string{"planned amount", "wear rating", "age band"}, Detectable: audit.NotEstimable, MoreCases: audit.NotEstimable, EValue: audit.EValue{Estimate: audit.NotEstimable, Limit: audit.NotEstimable}, Overlap: audit.Overlap{ShareInside: 0.87, Enough: true}}
	c.Primary = by == audit.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, ToothClass: casebook.Premolar, Course: audit.Initial}
	for _, a := range []audit.Cell{sw, cl} {
		c.Arms = append(c.Arms, audit.Arm{Style: a.By.Style, Cases: a.Cases, Movements: a.Movements, Expression: a.Estimate, AdjustedRatio: a.Estimate - 0.02, MeanPlanned: a.PlannedTotal / audit.Number(max(1, a.Movements)), SDPlanned: 3})
	}
	c.Arms[0].Style, c.Arms[1].Style = casebook.SoftwareSuggested, casebook.ClinicianDesigned
	if sw.Cases < 10 || cl.Cases < 10 {
		c.Verdict = audit.NotComparable
		none := audit.Difference{Difference: audit.NotEstimable, SE: audit.NotEstimable, DF: audit.NotEstimable, Low: audit.NotEstimable, High: audit.NotEstimable, P: audit.NotEstimable, PAdjusted: audit.NotEstimable}
		c.Unadjusted, c.Adjusted = none, none
		c.Overlap = audit.Overlap{ShareInside: audit.NotEstimable, Reason: "too few cases in one arm"}
		c.Warnings = []audit.Warning{few(10, min(sw.Cases, cl.Cases))}
		return c
	}
	return finishComparison(c, sw, cl)
}

func finishComparison(c audit.Comparison, sw, cl audit.Cell) audit.Comparison {
	se := audit.Number(math.Hypot(float64(sw.SE), float64(cl.SE)))
	diff := func(d audit.Number) audit.Difference {
		z := math.Abs(float64(d / se))
		p := audit.Number(math.Erfc(z / math.Sqrt2))
		return audit.Difference{Difference: d, SE: se, DF: 31, Low: d - 2*se, High: d + 2*se, P: p, PAdjusted: audit.Number(math.Min(1, 2.5*float64(p))), Method: "CR2, Satterthwaite"}
	}
	c.Unadjusted = diff(cl.Estimate - sw.Estimate)
	c.Unadjusted.PAdjusted = audit.NotEstimable
	c.Adjusted = diff(cl.Estimate - sw.Estimate - 0.02)
	c.Verdict, c.FitStatus = audit.NotDistinguishable, "solved"
	c.Detectable, c.MoreCases = 2.8*se, audit.Number(math.Round(float64(se)*400))
	c.Balance = []audit.Balance{{Covariate: "planned amount", Software: sw.MeanAbsError * 2, Clinician: cl.MeanAbsError * 2.2, SMD: 0.31}, {Covariate: "wear rating good", Software: 0.61, Clinician: 0.58, SMD: -0.06}, {Covariate: "age band 18-29", Software: 0.4, Clinician: 0.37, SMD: -0.05}}
	if c.Adjusted.PAdjusted < 0.05 {
		c.Verdict = audit.Higher
		if c.Adjusted.Difference < 0 {
			c.Verdict = audit.Lower
		}
		c.EValue = audit.EValue{Estimate: 1.9, Limit: 1.3, Sentence: "A recorded nothing that made both the choice of style and the outcome 1.9 times as likely could explain this difference away; 1.3 times could make it indistinguishable."}
		c.Reading = fmt.Sprintf("Of each 100° planned, clinician-designed features gave %.0f° %s than software-suggested ones, at like plans.", math.Abs(float64(c.Adjusted.Difference))*100, map[bool]string{true: "more", false: "less"}[c.Adjusted.Difference > 0])
	}
	return c
}

func bars(counts [5]int) ([]audit.Bar, int) {
	total := 0
	for _, n := range counts {
		total += n
	}
	out := make([]audit.Bar, 5)
	for i, n := range counts {
		out[i] = audit.Bar{Label: []string{"0", "1", "2", "3", "4+"}[i], Cases: n, Share: share(n, max(1, total))}
	}
	return out, total
}

func refinements(ms []move, n int) audit.Refinements {
	most := map[int]int{}
	for _, m := range ms {
		most[m.cs] = max(most[m.cs], m.course)
	}
	var counts [5]int
	for c := range n {
		counts[max(0, min(4, most[c]-1))]++
	}
	r := audit.Refinements{Model: "negative binomial, CR2", Adjusters: []string{"planned aligners", "wear rating"}}
	r.Distribution, r.Cases = bars(counts)
	r.Mean = audit.Spread{Value: 1.1, Low: 0.9, High: 1.3, SE: 0.1, DF: audit.Number(n - 1)}
	r.AtLeastOne = share(n-counts[0], max(1, n))
	for i, st := range casebook.Styles() {
		part := [5]int{}
		for k, v := range counts {
			part[k] = v * []int{1, 3, 2}[i] / 6
		}
		b, total := bars(part)
		r.ByStyle = append(r.ByStyle, audit.RefinementRate{Style: st, Cases: total, Refinements: total + 4, Rate: audit.Spread{Value: 1.2, Low: 0.9, High: 1.5}, Distribution: b})
	}
	r.RateRatio = audit.Difference{Difference: 0.91, Low: 0.7, High: 1.18, P: 0.47, PAdjusted: audit.NotEstimable, SE: 0.1, DF: 60}
	r.RateUnadj = audit.Difference{Difference: 0.84, Low: 0.66, High: 1.07, P: 0.16, PAdjusted: audit.NotEstimable, SE: 0.1, DF: 60}
	return r
}

func replanned(ms []move) []audit.Replanned {
	out := []audit.Replanned{}
	for _, st := range casebook.Styles() {
		out = append(out, audit.Replanned{Style: st, Cases: 40, Movements: len(ms) / 4, Again: share(len(ms)/12, max(1, len(ms)/4))})
		for _, a := range casebook.Axes() {
			out = append(out, audit.Replanned{Axis: a, Style: st, Cases: 20, Movements: len(ms) / 20, Again: share(len(ms)/70, max(1, len(ms)/20))})
		}
	}
	return out
}

func losses() []audit.Loss {
	out := []audit.Loss{}
	for _, st := range casebook.Styles()[1:] {
		out = append(out, audit.Loss{Style: st, Cases: 61, Features: 240, Lost: share(33, 240)})
		for _, c := range casebook.ToothClasses() {
			out = append(out, audit.Loss{Style: st, ToothClass: c, Cases: 31, Features: 60, Lost: share(7, 60)})
		}
	}
	return out
}

func repeats() []audit.MethodError {
	return []audit.MethodError{
		{Unit: casebook.Millimetre, Pairs: 32, Cases: 11, Bias: audit.Spread{Value: 0.01, Low: -0.03, High: 0.05}, BiasP: 0.61, Dahlberg: 0.08, MethodOfMoments: 0.079, ICC: audit.Spread{Value: 0.93, Low: 0.87, High: 0.97}, SmallestDetectable: 0.22, LowerAgreement: -0.21, UpperAgreement: 0.23},
		{Unit: casebook.Degree, Pairs: 33, Cases: 12, Bias: audit.Spread{Value: -0.1, Low: -0.5, High: 0.3}, BiasP: 0.58, Dahlberg: 0.9, MethodOfMoments: 0.88, ICC: audit.Spread{Value: 0.95, Low: 0.9, High: 0.98}, SmallestDetectable: 2.4, LowerAgreement: -2.4, UpperAgreement: 2.3, Warnings: []audit.Warning{{ID: "method-error-large", Text: "the smallest detectable change is above the tolerance of 2°", Remedy: "measure twice and use the mean, or widen the tolerance"}}},
	}
}

func unplanned() []audit.Unplanned {
	out := []audit.Unplanned{}
	for _, a := range casebook.Axes() {
		out = append(out, audit.Unplanned{Axis: a, Unit: a.Unit(), Cases: 14, Movements: 31, MeanAbs: map[casebook.Unit]audit.Number{casebook.Millimetre: 0.2, casebook.Degree: 1.4}[a.Unit()], Outside: share(9, 31)})
	}
	return out
}

func bounds(cs []audit.Cell) []audit.Bound {
	out := []audit.Bound{}
	for _, c := range cs {
		if c.By == (audit.By{Axis: c.By.Axis, Direction: c.By.Direction, Course: audit.Initial}) && c.By.Direction != 0 {
			out = append(out, audit.Bound{By: c.By, Unit: c.Unit, Cases: c.Cases, Movements: c.Movements + 9, Missing: 9, Observed: c.Estimate, Worst: c.Estimate - 0.05, Best: c.Estimate + 0.03})
		}
	}
	return out
}

func findings(*audit.Results) []audit.Finding {
	return []audit.Finding{
		{Kind: "short", Text: "Extrusion fell furthest short: 46 % of what was planned was achieved (95 % CI 41 to 51; 118 movements in 71 cases); six in ten ended more than 0.5 mm away.", Limits: "It does not show why: size of plan, wear and tooth differ between movements.", Action: "Should extrusion of upper incisors be staged before other movements of the same tooth?"},
		{Kind: "style", Text: "In rotation of premolars, mesial side inward, clinician-designed features were followed by 14 points more expression than software-suggested ones at like plans (95 % CI 5 to 23; 34 against 41 cases; P = 0.012 after correction for 48 comparisons).", Limits: "It is an association: the clinician chose, and what was not recorded may explain it.", Action: "Should clinician-designed features be the practice's first choice for premolar rotation, and be audited again in six months?", Warnings: []audit.Warning{{ID: "unmeasured", Text: "tooth crowding was not recorded and could not be adjusted for", Remedy: "record it from now on"}}},
		{Kind: "refinements", Text: "Cases needed 1.1 refinements on average (95 % CI 0.9 to 1.3; 126 finished cases); 64 % needed at least one.", Limits: "The style of the feature made no distinguishable difference (rate ratio 0.91, 95 % CI 0.70 to 1.18).", Action: "Which planned movements were asked for again most often?"},
		{Kind: "quality", Text: "The outcome of 71 planned movements was not measured, and 11 of 137 started cases contribute nothing.", Limits: "If all of these had failed, extrusion would stand at 41 %; if all had succeeded, at 49 %.", Action: "Who measures the outcome when a case is discontinued or transferred?"},
	}
}

func definitions() []audit.Definition {
	return []audit.Definition{
		{Term: "Expression", Formula: "sum of achieved along the plan / sum of planned, in one cell; interval on t with cases − 1 degrees of freedom, clustered by case", Source: "Cochran, Sampling Techniques, 3rd ed. 1977, ch. 6"},
		{Term: "Percentage accuracy", Formula: "mean of 100 − 100·|planned − achieved| / |planned|; capped at 100", Source: "Kravitz et al., Am J Orthod Dentofacial Orthop 2009;135:27-35"},
		{Term: "Share outside tolerance", Formula: "movements with |achieved − planned| > tolerance / all movements"},
		{Term: "Smallest detectable change", Formula: "1.96·√2·standard error of measurement", Source: "Springate, Eur J Orthod 2012;34:158-163"},
		{Term: "E-value", Formula: "RR + √(RR·(RR − 1))", Source: "VanderWeele & Ding, Ann Intern Med 2017;167:268-274"},
	}
}
