package report

import (
	"context"
	"fmt"
	"maps"
	"math"
	"runtime/debug"
	"sync"
	"testing"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// TestMain lets garbage stand longer than a program would: tests make much of it, and
// collecting it took a sixth of their time.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

// fixtures are the results every layout test runs over, made once; none is to
// be changed. Everyday they are those that differ most: everything, nothing, more notes than
// a page holds, what leaves the practice, a real audit, every question, a quarter.
var fixtures = sync.OnceValue(func() map[string]*results.Results {
	out := map[string]*results.Results{
		"practice":      practice(),
		"empty quarter": emptyQuarter(),
		mostNotes:       manyWarnings(),
		"shared":        shared(),
		"sample data":   sample(),
	}
	if long {
		out["one clinician"], out["no comparison"], out["60 clinicians"] = oneClinician(), noComparison(), sixtyClinicians()
	}
	for name, r := range out {
		if name != "sample data" {
			audit.Tell(r)
		}
	}
	if !testing.Short() { // whole audits: too slow under the race detector
		maps.Copy(out, questioned())
	}
	return out
})

// sample is the invented practice of package sampledata as audit sees it: real
// results, with every warning audit can give. It is computed once and not to be
// changed.
var sample = sync.OnceValue(func() *results.Results {
	ds, _ := sampledata.Generate(sampledata.Default(), 1)
	r, err := audit.Run(context.Background(), ds, results.DefaultSettings(), "0.1.0")
	if err != nil {
		panic(err)
	}
	return r
})

// practice is the invented practice with everything a page can hold.
func practice() *results.Results {
	r := build(126, 4, results.DefaultSettings())
	audit.Tell(r)
	return r
}

func build(n, clinicians int, s results.Settings) *results.Results {
	s.Primary = results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, ToothClass: casebook.Premolar, Course: results.Initial}
	ms := invent(n, 11)
	r := &results.Results{
		SchemaVersion: results.SchemaVersion,
		Provenance: results.Provenance{
			Tool: "shortfall", Version: "0.1.0", Settings: s, Date: "2026-06-30", Invented: true,
			Inputs: []casebook.ImportedFile{{
				File: casebook.File{Name: "cases-invented.xlsx", SHA256: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08", Size: 481234}, Invented: true,
				Sheets: []casebook.SheetCounts{{Sheet: "movements", Kind: casebook.MovementKind, Counts: casebook.Counts{Read: len(ms) + 221, Accepted: len(ms) + 180, Rejected: 29, Blank: 12}}},
			}},
		},
		Scope: results.Scope{
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
	r.Excluded = []results.Exclusion{
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
	r.Warnings = []results.Warning{{ID: "ascertainment", Text: "11 of 137 started cases contribute no analysed movement", Remedy: "complete the case log and measure every finished case"}}
	return r
}

func flowOf(r *results.Results, n, cases int) results.Flow {
	in := r.Provenance.Inputs[0].Sheets[0].Counts
	return results.Flow{
		Rows: in, Superseded: 13, CasesLogged: cases + 11,
		CasesByStatus: []results.StatusCount{{Status: casebook.Completed, Cases: cases - 8}, {Status: casebook.Discontinued, Cases: 6}, {Status: casebook.Switched, Cases: 7}, {Status: casebook.Transferred, Cases: 2}, {Status: casebook.UnderTreatment, Cases: 3}, {Cases: 1}},
		Steps: []results.FlowStep{
			{Title: "Movements on record", Movements: n + 167, Cases: cases + 8, Excluded: []results.Exclusion{{ID: "below-smallest-plan", Reason: "Plan below the smallest meaningful amount (0.2 mm, 2°)", Movements: 96, Cases: 3}}},
			{Title: "Planned, of meaningful size", Movements: n + 71, Cases: cases + 5, Excluded: []results.Exclusion{{ID: "outcome-missing", Reason: "Outcome not measured", Movements: 71, Cases: 5}}},
			{Title: "Analysed: planned and outcome measured", Movements: n, Cases: cases, Excluded: []results.Exclusion{{ID: "style-not-recorded", Reason: "Attachment style not recorded", Movements: 37, Cases: 0}}},
			{Title: "Analysed, attachment style recorded", Movements: n - 37, Cases: cases},
		},
		Ascertained: share(cases, cases+11),
	}
}

func completeness(n, cases int) []results.FieldCount {
	return []results.FieldCount{
		{Record: "case", Field: "start month", Recorded: cases + 11, Total: cases + 11},
		{Record: "case", Field: "age band", Recorded: cases - 4, Total: cases + 11},
		{Record: "case", Field: "wear rating", Recorded: max(0, cases-39), Total: cases + 11},
		{Record: "course", Field: "aligners used", Recorded: 211, Total: 240},
		{Record: "movement", Field: "achieved", Recorded: n, Total: n + 71},
		{Record: "movement", Field: "attachment style", Recorded: n - 37, Total: n},
		{Record: "movement", Field: "shape", Recorded: n / 2, Total: n},
		{Record: "movement", Field: "lost or not", Recorded: n / 3, Total: n},
		{Record: "movement", Field: "staging", Recorded: 1, Total: n},
	}
}

func comparisons(ms []move) []results.Comparison {
	out := []results.Comparison{}
	s := results.DefaultSettings()
	for _, a := range casebook.Axes() {
		for _, d := range []casebook.Direction{casebook.DirectionOf(a, 1), casebook.DirectionOf(a, -1)} {
			for _, cl := range casebook.ToothClasses() {
				by := results.By{Axis: a, Direction: d, ToothClass: cl, Course: results.Initial}
				out = append(out, compareOne(ms, by, s))
			}
		}
	}
	return out
}

func compareOne(ms []move, by results.By, s results.Settings) results.Comparison {
	arm := func(st casebook.Style) results.Cell {
		b := by
		b.Style = st
		c, _ := cellOf(ms, b, s)
		return c
	}
	sw, cl := arm(casebook.SoftwareSuggested), arm(casebook.ClinicianDesigned)
	c := results.Comparison{By: by, Unit: by.Axis.Unit(), Adjusters: []string{"planned amount", "wear rating", "age band"}, Detectable: results.NotEstimable, MoreCases: results.NotEstimable, EValue: results.EValue{Estimate: results.NotEstimable, Limit: results.NotEstimable}, Overlap: results.Overlap{ShareInside: 0.87, Enough: true}}
	c.Primary = by == results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, ToothClass: casebook.Premolar, Course: results.Initial}
	for _, a := range []results.Cell{sw, cl} {
		c.Arms = append(c.Arms, results.Arm{Style: a.By.Style, Cases: a.Cases, Movements: a.Movements, Expression: a.Estimate, AdjustedRatio: a.Estimate - 0.02, MeanPlanned: a.PlannedTotal / results.Number(max(1, a.Movements)), SDPlanned: 3})
	}
	c.Arms[0].Style, c.Arms[1].Style = casebook.SoftwareSuggested, casebook.ClinicianDesigned
	if sw.Cases < 10 || cl.Cases < 10 {
		c.Verdict = results.NotComparable
		none := results.Difference{Difference: results.NotEstimable, SE: results.NotEstimable, DF: results.NotEstimable, Low: results.NotEstimable, High: results.NotEstimable, P: results.NotEstimable, PAdjusted: results.NotEstimable}
		c.Unadjusted, c.Adjusted = none, none
		c.Overlap = results.Overlap{ShareInside: results.NotEstimable, Reason: "too few cases in one arm"}
		c.Warnings = []results.Warning{few(10, min(sw.Cases, cl.Cases))}
		return c
	}
	return finishComparison(c, sw, cl)
}

func finishComparison(c results.Comparison, sw, cl results.Cell) results.Comparison {
	se := results.Number(math.Hypot(float64(sw.SE), float64(cl.SE)))
	diff := func(d results.Number) results.Difference {
		z := math.Abs(float64(d / se))
		p := results.Number(math.Erfc(z / math.Sqrt2))
		return results.Difference{Difference: d, SE: se, DF: 31, Low: d - 2*se, High: d + 2*se, P: p, PAdjusted: results.Number(math.Min(1, 2.5*float64(p))), Method: "CR2, Satterthwaite"}
	}
	c.Unadjusted = diff(cl.Estimate - sw.Estimate)
	c.Unadjusted.PAdjusted = results.NotEstimable
	c.Adjusted = diff(cl.Estimate - sw.Estimate - 0.02)
	c.Verdict, c.FitStatus = results.NotDistinguishable, "solved"
	c.Detectable, c.MoreCases = 2.8*se, results.Number(math.Round(float64(se)*400))
	c.Balance = []results.Balance{{Covariate: "planned amount", Software: sw.MeanAbsError * 2, Clinician: cl.MeanAbsError * 2.2, SMD: 0.31}, {Covariate: "wear rating good", Software: 0.61, Clinician: 0.58, SMD: -0.06}, {Covariate: "age band 18-29", Software: 0.4, Clinician: 0.37, SMD: -0.05}}
	if c.Adjusted.PAdjusted < 0.05 {
		c.Verdict = results.Higher
		if c.Adjusted.Difference < 0 {
			c.Verdict = results.Lower
		}
		c.EValue = results.EValue{Estimate: 1.9, Limit: 1.3, Sentence: "A recorded nothing that made both the choice of style and the outcome 1.9 times as likely could explain this difference away; 1.3 times could make it indistinguishable."}
		c.Reading = fmt.Sprintf("Of each 100° planned, clinician-designed features gave %.0f° %s than software-suggested ones, at like plans.", math.Abs(float64(c.Adjusted.Difference))*100, map[bool]string{true: "more", false: "less"}[c.Adjusted.Difference > 0])
	}
	return c
}

func bars(counts [5]int) ([]results.Bar, int) {
	total := 0
	for _, n := range counts {
		total += n
	}
	out := make([]results.Bar, 5)
	for i, n := range counts {
		out[i] = results.Bar{Label: []string{"0", "1", "2", "3", "4+"}[i], Cases: n, Share: share(n, max(1, total))}
	}
	return out, total
}

func refinements(ms []move, n int) results.Refinements {
	most := map[int]int{}
	for _, m := range ms {
		most[m.cs] = max(most[m.cs], m.course)
	}
	var counts [5]int
	for c := range n {
		counts[max(0, min(4, most[c]-1))]++
	}
	r := results.Refinements{Model: "negative binomial, CR2", Adjusters: []string{"planned aligners", "wear rating"}}
	r.Distribution, r.Cases = bars(counts)
	r.Mean = results.Spread{Value: 1.1, Low: 0.9, High: 1.3, SE: 0.1, DF: results.Number(n - 1)}
	r.AtLeastOne = share(n-counts[0], max(1, n))
	for i, st := range casebook.Styles() {
		part := [5]int{}
		for k, v := range counts {
			part[k] = v * []int{1, 3, 2}[i] / 6
		}
		b, total := bars(part)
		r.ByStyle = append(r.ByStyle, results.RefinementRate{Style: st, Cases: total, Refinements: total + 4, Rate: results.Spread{Value: 1.2, Low: 0.9, High: 1.5}, Distribution: b})
	}
	r.RateRatio = results.Difference{Difference: 0.91, Low: 0.7, High: 1.18, P: 0.47, PAdjusted: results.NotEstimable, SE: 0.1, DF: 60}
	r.RateUnadj = results.Difference{Difference: 0.84, Low: 0.66, High: 1.07, P: 0.16, PAdjusted: results.NotEstimable, SE: 0.1, DF: 60}
	return r
}

func replanned(ms []move) []results.Replanned {
	out := []results.Replanned{}
	for _, st := range casebook.Styles() {
		out = append(out, results.Replanned{Style: st, Cases: 40, Movements: len(ms) / 4, Again: share(len(ms)/12, max(1, len(ms)/4))})
		for _, a := range casebook.Axes() {
			out = append(out, results.Replanned{Axis: a, Style: st, Cases: 20, Movements: len(ms) / 20, Again: share(len(ms)/70, max(1, len(ms)/20))})
		}
	}
	return out
}

func losses() []results.Loss {
	out := []results.Loss{}
	for _, st := range casebook.Styles()[1:] {
		out = append(out, results.Loss{Style: st, Cases: 61, Features: 240, Lost: share(33, 240)})
		for _, c := range casebook.ToothClasses() {
			out = append(out, results.Loss{Style: st, ToothClass: c, Cases: 31, Features: 60, Lost: share(7, 60)})
		}
	}
	return out
}

func repeats() []results.MethodError {
	return []results.MethodError{
		{Unit: casebook.Millimetre, Pairs: 32, Cases: 11, Bias: results.Spread{Value: 0.01, Low: -0.03, High: 0.05}, BiasP: 0.61, Dahlberg: 0.08, MethodOfMoments: 0.079, ICC: results.Spread{Value: 0.93, Low: 0.87, High: 0.97}, SmallestDetectable: 0.22, LowerAgreement: -0.21, UpperAgreement: 0.23},
		{Unit: casebook.Degree, Pairs: 33, Cases: 12, Bias: results.Spread{Value: -0.1, Low: -0.5, High: 0.3}, BiasP: 0.58, Dahlberg: 0.9, MethodOfMoments: 0.88, ICC: results.Spread{Value: 0.95, Low: 0.9, High: 0.98}, SmallestDetectable: 2.4, LowerAgreement: -2.4, UpperAgreement: 2.3, Warnings: []results.Warning{{ID: "method-error-large", Text: "the smallest detectable change is above the tolerance of 2°", Remedy: "measure twice and use the mean, or widen the tolerance"}}},
	}
}

func unplanned() []results.Unplanned {
	out := []results.Unplanned{}
	for _, a := range casebook.Axes() {
		out = append(out, results.Unplanned{Axis: a, Unit: a.Unit(), Cases: 14, Movements: 31, MeanAbs: map[casebook.Unit]results.Number{casebook.Millimetre: 0.2, casebook.Degree: 1.4}[a.Unit()], Outside: share(9, 31)})
	}
	return out
}

func bounds(cs []results.Cell) []results.Bound {
	out := []results.Bound{}
	for _, c := range cs {
		if c.By == (results.By{Axis: c.By.Axis, Direction: c.By.Direction, Course: results.Initial}) && c.By.Direction != 0 {
			out = append(out, results.Bound{By: c.By, Unit: c.Unit, Cases: c.Cases, Movements: c.Movements + 9, Missing: 9, Observed: c.Estimate, Worst: c.Estimate - 0.05, Best: c.Estimate + 0.03})
		}
	}
	return out
}

func findings(*results.Results) []results.Finding {
	return []results.Finding{
		{Kind: "short", Text: "Extrusion fell furthest short: 46 % of what was planned was achieved (95 % CI 41 to 51; 118 movements in 71 cases); six in ten ended more than 0.5 mm away.", Limits: "It does not show why: size of plan, wear and tooth differ between movements.", Action: "Should extrusion of upper incisors be staged before other movements of the same tooth?"},
		{Kind: "style", Text: "In rotation of premolars, mesial side inward, clinician-designed features were followed by 14 points more expression than software-suggested ones at like plans (95 % CI 5 to 23; 34 against 41 cases; P = 0.012 after correction for 48 comparisons).", Limits: "It is an association: the clinician chose, and what was not recorded may explain it.", Action: "Should clinician-designed features be the practice's first choice for premolar rotation, and be audited again in six months?", Warnings: []results.Warning{{ID: "unmeasured", Text: "tooth crowding was not recorded and could not be adjusted for", Remedy: "record it from now on"}}},
		{Kind: "refinements", Text: "Cases needed 1.1 refinements on average (95 % CI 0.9 to 1.3; 126 finished cases); 64 % needed at least one.", Limits: "The style of the feature made no distinguishable difference (rate ratio 0.91, 95 % CI 0.70 to 1.18).", Action: "Which planned movements were asked for again most often?"},
		{Kind: "quality", Text: "The outcome of 71 planned movements was not measured, and 11 of 137 started cases contribute nothing.", Limits: "If all of these had failed, extrusion would stand at 41 %; if all had succeeded, at 49 %.", Action: "Who measures the outcome when a case is discontinued or transferred?"},
	}
}

func definitions() []results.Definition {
	return []results.Definition{
		{ID: "expression", Term: "Expression", Formula: "sum of achieved along the plan / sum of planned, in one cell; interval on t with cases − 1 degrees of freedom, clustered by case", Source: "Cochran, Sampling Techniques, 3rd ed. 1977, ch. 6"},
		{ID: "percentage-accuracy", Term: "Percentage accuracy", Formula: "mean of 100 − 100·|planned − achieved| / |planned|; capped at 100", Source: "Kravitz et al., Am J Orthod Dentofacial Orthop 2009;135:27-35"},
		{ID: "outside-tolerance", Term: "Share outside tolerance", Formula: "movements with |achieved − planned| > tolerance / all movements"},
		{ID: "smallest-detectable", Term: "Smallest detectable change", Formula: "1.96·√2·standard error of measurement", Source: "Springate, Eur J Orthod 2012;34:158-163"},
		{ID: "e-value", Term: "E-value", Formula: "RR + √(RR·(RR − 1))", Source: "VanderWeele & Ding, Ann Intern Med 2017;167:268-274"},
	}
}
