package story

import (
	"flag"
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/compare"
	"shortfall/audit/intime"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

var update = flag.Bool("update", false, "rewrite the golden file")

// Every reason of package compare has its few words.
func TestEveryReasonHasWords(t *testing.T) {
	for _, r := range []compare.Reason{compare.OnePatient, compare.OutlyingValues, compare.MissingOutcomes, compare.ManyMissing, compare.OneClinician, compare.LeftUnadjusted, compare.ClassesDiffer, compare.DoubtfulAmounts} {
		assert.NotEmpty(t, unsettled(string(r)), r)
	}
	for _, r := range []compare.Reason{compare.DifferentPatients, compare.NoOverlap, compare.NotAdjusted, compare.FewDF, compare.NotALook, compare.NothingLater} {
		assert.NotEmpty(t, shortReasons[string(r)], r)
	}
	for _, id := range []string{compare.WithoutPatient, compare.Winsorised, compare.MissingAlike, compare.WithoutClinician, compare.FullyAdjusted, compare.WithoutDoubted, compare.WithoutClass} {
		assert.NotEmpty(t, checkWords[id], id)
	}
}

var none = results.Number(math.NaN())

// base is a small practice in which nothing differs.
func base() *results.Results {
	r := &results.Results{
		Provenance: results.Provenance{Settings: results.DefaultSettings(), Invented: true},
		Scope:      results.Scope{Practices: []string{"LARK"}, Clinicians: 2, First: casebook.NewMonth(2025, 1), Last: casebook.NewMonth(2026, 6), Cases: 90, Movements: 2100},
	}
	for _, d := range casebook.Directions() {
		r.Comparisons = append(r.Comparisons, comparison(d, results.NotDistinguishable, 0.02))
		r.Expression = append(r.Expression, cell(results.By{Axis: d.Axis(), Direction: d, Course: results.Initial}, 0.5),
			cell(results.By{Axis: d.Axis(), Direction: d, Style: casebook.SoftwareSuggested, Course: results.Initial}, 0.5),
			cell(results.By{Axis: d.Axis(), Direction: d, Style: casebook.ClinicianDesigned, Course: results.Initial}, 0.5))
	}
	for _, a := range casebook.Axes() {
		r.Expression = append(r.Expression, cell(results.By{Axis: a, Course: results.Initial}, 0.5))
	}
	r.Refinements = results.Refinements{Cases: 70, AtLeastOne: results.Share{Numerator: 50, Denominator: 70, Value: 50. / 70}, Mean: results.Spread{Value: 1.2, Low: 1, High: 1.4}, RateRatio: results.Difference{Difference: 0.9, Low: 0.6, High: 1.3}}
	for i, s := range []casebook.Style{casebook.SoftwareSuggested, casebook.ClinicianDesigned} {
		r.Refinements.ByStyle = append(r.Refinements.ByStyle, results.RefinementRate{Style: s, Cases: 30 + i, Rate: results.Spread{Value: 1.2 + results.Number(i)/10}})
	}
	r.Repeats = []results.MethodError{{Unit: casebook.Millimetre, Pairs: 30, SmallestDetectable: 0.3}, {Unit: casebook.Degree, Pairs: 30, SmallestDetectable: 3.5}}
	r.Losses = []results.Loss{{Style: casebook.SoftwareSuggested, Lost: results.Share{Numerator: 40, Denominator: 400}}, {Style: casebook.ClinicianDesigned, Lost: results.Share{Numerator: 1, Denominator: 2}}}
	return r
}

func cell(by results.By, est results.Number) results.Cell {
	return results.Cell{By: by, Unit: by.Axis.Unit(), Cases: 40, Movements: 120, Estimate: est, Low: est - 0.05, High: est + 0.05, MeanShortfall: 0.1, Pooled: none}
}

func comparison(d casebook.Direction, v results.Verdict, diff results.Number) results.Comparison {
	arm := func(s casebook.Style, sign results.Number) results.Arm {
		return results.Arm{Style: s, Cases: 40, Movements: 80, MeanPlanned: 2, Expression: 0.5 + sign*diff/2, AdjustedRatio: 0.5 + sign*diff/2}
	}
	c := results.Comparison{
		By: results.By{Axis: d.Axis(), Direction: d, Course: results.Initial}, Unit: d.Axis().Unit(), Verdict: v, Detectable: 0.12, Power: 0.62, Both: 30, Reason: "within-chance",
		Arms:     []results.Arm{arm(casebook.SoftwareSuggested, -1), arm(casebook.ClinicianDesigned, 1)},
		Adjusted: results.Difference{Difference: diff, Low: diff - 0.06, High: diff + 0.06, P: 0.001, PAdjusted: 0.01},
		Readings: []results.Reading{{ID: results.SameMouthReading, Cases: 40, Contributing: 30, InUnit: results.Spread{Value: 2 * diff}}},
		Checks:   []results.Check{{ID: compare.WithoutPatient, Applies: true, Decides: true, Holds: true}, {ID: compare.MissingAlike, Applies: true, Decides: true, Holds: true}},
	}
	if v == results.NotComparable {
		c.Reason, c.Both = string(compare.DifferentPatients), 4
	}
	return c
}

// judge turns comparisons over.
func judge(r *results.Results, v results.Verdict, diff results.Number, ds ...casebook.Direction) {
	for i := range r.Comparisons {
		for _, d := range ds {
			if r.Comparisons[i].By.Direction == d {
				r.Comparisons[i] = comparison(d, v, diff)
			}
		}
	}
}

// stricter makes a difference of one whose interval leaves out zero, and whose verdict asks
// for more.
func stricter(c *results.Comparison) {
	*c = comparison(c.By.Direction, results.NotDistinguishable, -0.14)
	c.Adjusted = results.Difference{Difference: -0.14, Low: -0.27, High: -0.01, P: 0.03, PAdjusted: 0.03}
	c.Warnings = []results.Warning{{ID: results.NotAtLevel}}
}

// withhold keeps comparisons back, as between.Withhold does.
func withhold(r *results.Results, ds ...casebook.Direction) {
	r.Provenance.Settings.Shared = true
	judge(r, results.NotComparable, none, ds...)
	for i := range r.Comparisons {
		if c := &r.Comparisons[i]; slices.Contains(ds, c.By.Direction) {
			c.Reason, c.Both, c.Readings = results.Withheld, 0, nil
			for k, a := range c.Arms {
				c.Arms[k] = results.Arm{Style: a.Style, MeanPlanned: none, SDPlanned: none, Expression: none, AdjustedRatio: none}
			}
		}
	}
}

func fellShort(r *results.Results, d casebook.Direction, c casebook.ToothClass, est results.Number) {
	x := cell(results.By{Axis: d.Axis(), Direction: d, ToothClass: c, Course: results.Initial}, est)
	x.MeanShortfall = 5
	r.Expression = append(r.Expression, x)
}

// quarter is a part of the records against the earlier one, with one change beyond
// chance or none.
func quarter(changed bool) *results.InTime {
	change := func(of results.Number, changed bool) results.MeasureChange {
		return results.MeasureChange{Before: 0.4, After: 0.4 + of, Change: of, Low: of - 0.08, High: of + 0.08, Changed: changed}
	}
	t := &results.InTime{SharedCases: 4, Now: results.Stretch{Name: "2026 Q2", Cases: 30, Movements: 700}, Before: results.Stretch{Cases: 60, Movements: 1400}}
	for _, d := range []casebook.Direction{casebook.Extrusion, casebook.MesialOut} {
		t.Cells = append(t.Cells, results.CellChange{By: results.InFirstSets(d), CasesBefore: 50, CasesAfter: 24, MeasureChange: change(0.12, changed && d == casebook.MesialOut), Adjusters: []string{"planned amount"}})
	}
	t.Refined = &results.CohortChange{Months: 18, Before: results.Stretch{Cases: 60}, Now: results.Stretch{Name: "2026 Q2", Cases: 24}, Share: change(-0.04, false)}
	s := results.DefaultSettings()
	intime.Say(t, &s, wording.Names{})
	return t
}

// variants are the audits whose sentences the golden file lists.
var variants = []struct {
	name string
	make func() *results.Results
}{
	{"one clear difference", func() *results.Results {
		r := base()
		judge(r, results.Higher, 0.14, casebook.Extrusion)
		fellShort(r, casebook.MesialOut, casebook.Premolar, 0.32)
		return r
	}},
	{"more of one, less of both directions of another", func() *results.Results {
		r := base()
		judge(r, results.Higher, 0.14, casebook.Extrusion)
		judge(r, results.Lower, -0.16, casebook.MesialIn, casebook.MesialOut)
		fellShort(r, casebook.MesialOut, casebook.Premolar, 0.32)
		fellShort(r, casebook.Intrusion, casebook.Molar, 0.35)
		r.Provenance.Settings.Primary = results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, Course: results.Initial}
		return r
	}},
	{"clear in seven directions, two that cannot be compared", func() *results.Results {
		r := base()
		judge(r, results.Lower, -0.16, casebook.MesialIn, casebook.MesialOut, casebook.TipMesial, casebook.TorqueBuccal, casebook.ShiftDistal, casebook.ShiftLingual, casebook.Intrusion)
		judge(r, results.NotComparable, none, casebook.Extrusion, casebook.ShiftBuccal)
		return r
	}},
	{"less of the plan, of plans that were larger", func() *results.Results {
		r := base()
		judge(r, results.Lower, -0.16, casebook.MesialOut)
		for i := range r.Comparisons {
			if c := &r.Comparisons[i]; c.Verdict == results.Lower {
				c.Amounts = &results.Amounts{
					Planned:  results.ArmAmounts{Software: 11.8, Clinician: 16.4, Difference: results.Difference{Difference: 4.6, Low: 2.1, High: 7.1}},
					Achieved: results.ArmAmounts{Software: 6.9, Clinician: 7.1, Difference: results.Difference{Difference: 0.2, Low: -1.1, High: 1.5}},
				}
			}
		}
		return r
	}},
	{"every direction clear", func() *results.Results {
		r := base()
		judge(r, results.Higher, 0.2, casebook.Directions()...)
		return r
	}},
	{"beyond chance but not settled", func() *results.Results {
		r := base()
		judge(r, results.NotDistinguishable, 0.2, casebook.MesialOut)
		for i := range r.Comparisons {
			if c := &r.Comparisons[i]; c.By.Direction == casebook.MesialOut {
				c.Reason, c.Because = string(compare.ClassesDiffer), "Tooth classes differ (P 0.01), so that one number for all teeth speaks for none; the classes are shown apart."
			}
		}
		return r
	}},
	{"not settled, one reason each", func() *results.Results {
		r := base()
		for i, reason := range []compare.Reason{compare.OnePatient, compare.OutlyingValues, compare.ManyMissing, compare.MissingOutcomes, compare.OneClinician, compare.LeftUnadjusted, compare.DoubtfulAmounts} {
			c := &r.Comparisons[i]
			*c = comparison(c.By.Direction, results.NotDistinguishable, 0.2)
			c.Reason, c.NotAdjusted, c.Because = string(reason), []string{"staging"}, "More than 20 % of outcomes are missing in one of the styles."
		}
		return r
	}},
	{"declared beforehand and called, under three clinicians, outcomes measured in two ways", func() *results.Results {
		r := base()
		judge(r, results.Higher, 0.14, casebook.Extrusion)
		c := &r.Comparisons[0]
		c.Primary, c.Power = true, 0.9
		c.Checks = append(c.Checks, results.Check{ID: compare.WithoutClinician, Applies: true, Decides: true, Holds: true}, results.Check{ID: compare.Winsorised, Applies: true, Decides: true, Holds: true})
		r.Scope.Clinicians = 3
		r.Questions.Measured.Ways = []results.MeasuredWay{{}, {}}
		r.Repeats = append(r.Repeats, results.MethodError{Unit: casebook.Millimetre, MeasuredBy: casebook.Models, Pairs: 30, SmallestDetectable: 0.4})
		r.Provenance.Settings.Primary = c.By
		return r
	}},
	{"a quarter set against what was before, and an earlier audit", func() *results.Results {
		r := base()
		r.Questions.Quarter = quarter(true)
		r.Questions.Since = &results.Since{PreviousDate: "2026-03-31", Sentences: quarter(false).Sentences}
		return r
	}},
	{"one would stand out alone", func() *results.Results {
		r := base()
		for i := range r.Comparisons {
			if c := &r.Comparisons[i]; c.By.Direction == casebook.TipMesial {
				c.Adjusted = results.Difference{Difference: -0.14, Low: -0.27, High: -0.01}
			}
		}
		return r
	}},
	{"one direction compared, not at the stricter level", func() *results.Results {
		r := base()
		judge(r, results.NotComparable, none, casebook.Directions()[1:]...)
		stricter(&r.Comparisons[0])
		return r
	}},
	{"nothing clear", base},
	{"nothing can be compared", func() *results.Results {
		r := base()
		judge(r, results.NotComparable, none, casebook.Directions()...)
		return r
	}},
	{"nothing can be compared, for three reasons", func() *results.Results {
		r := base()
		judge(r, results.NotComparable, none, casebook.Directions()...)
		for i, reason := range []compare.Reason{compare.FewDF, compare.NotEstimable, compare.FewDF} {
			r.Comparisons[i].Reason = string(reason)
		}
		return r
	}},
	{"plans of the styles overlap nowhere", func() *results.Results {
		r := base()
		judge(r, results.NotComparable, none, casebook.Directions()...)
		for i := range r.Comparisons {
			r.Comparisons[i].Reason = string(compare.NoOverlap)
		}
		return r
	}},
	{"every comparison is withheld, one of them declared beforehand", func() *results.Results {
		r := base()
		withhold(r, casebook.Directions()...)
		r.Comparisons[0].Primary = true
		return r
	}},
	{"some comparisons are withheld, the others cannot be made", func() *results.Results {
		r := base()
		judge(r, results.NotComparable, none, casebook.Directions()...)
		withhold(r, casebook.Extrusion, casebook.MesialOut)
		return r
	}},
	{"one clear difference, two comparisons withheld", func() *results.Results {
		r := base()
		judge(r, results.Higher, 0.14, casebook.TipMesial)
		withhold(r, casebook.Extrusion, casebook.MesialOut)
		return r
	}},
	{"nothing can be compared, short in both directions of an axis", func() *results.Results {
		r := base()
		judge(r, results.NotComparable, none, casebook.Directions()...)
		fellShort(r, casebook.TorqueBuccal, casebook.Premolar, 0.32)
		fellShort(r, casebook.TorqueLingual, casebook.Premolar, 0.35)
		return r
	}},
	{"open directions are not equally sure", func() *results.Results {
		r := base()
		r.Comparisons[3].Adjusted.High = 0.35
		return r
	}},
	{"none clinician-designed", func() *results.Results {
		r := base()
		fellShort(r, casebook.MesialIn, casebook.Molar, 0.36)
		fellShort(r, casebook.MesialOut, casebook.Premolar, 0.37)
		r.Comparisons = nil
		r.Expression = without(r.Expression, casebook.ClinicianDesigned)
		return r
	}},
	{"none software-suggested", func() *results.Results {
		r := base()
		r.Comparisons = nil
		r.Expression = without(r.Expression, casebook.SoftwareSuggested)
		return r
	}},
	{"no style recorded", func() *results.Results {
		r := base()
		r.Comparisons = nil
		r.Expression = without(r.Expression, casebook.SoftwareSuggested, casebook.ClinicianDesigned)
		r.Completeness = []results.FieldCount{{Record: "movement", Field: "attachment style", Recorded: 0, Total: 2100}, {Record: "movement", Field: "staging", Recorded: 2100, Total: 2100}}
		r.Repeats = nil
		return r
	}},
	{"no tooth carried an attachment, no completed case a refinement", func() *results.Results {
		r := base()
		r.Comparisons = nil
		r.Expression = without(r.Expression, casebook.SoftwareSuggested, casebook.ClinicianDesigned)
		for _, d := range casebook.Directions() {
			r.Expression = append(r.Expression, cell(results.By{Axis: d.Axis(), Direction: d, Style: casebook.StyleNone, Course: results.Initial}, 0.5))
		}
		r.Refinements = results.Refinements{Cases: 30, AtLeastOne: results.Share{Denominator: 30}, RateRatio: results.Difference{Difference: none, Low: none, High: none}}
		return r
	}},
	{"a handful of completed cases, criteria and actions declared", func() *results.Results {
		r := base()
		r.Refinements = results.Refinements{Cases: 2, AtLeastOne: results.Share{Numerator: 1, Denominator: 2, Value: 0.5}, Mean: results.Spread{Value: 0.5, Low: none, High: none}, RateRatio: results.Difference{Difference: none, Low: none, High: none}}
		r.Questions.Reaudit = results.Reaudit{Criteria: []results.CriterionResult{{Criterion: results.Criterion{Name: "c"}}}, Actions: []results.Action{{What: "review every rotation beyond 20 degrees with a second clinician", Owner: "K2"}}}
		return r
	}},
	{"refinements clearly fewer, switches told apart", func() *results.Results {
		r := base()
		r.Refinements.RateRatio = results.Difference{Difference: 0.6, Low: 0.4, High: 0.9}
		r.Questions.Switches = results.SwitchAnalysis{FellShort: 900, Followed: 500, Paths: []results.SwitchPath{{Axis: casebook.Rotation, Change: results.Spread{Value: 0.1, Low: 0.05, High: 0.15}}}, Contrasts: []results.GroupComparison{{From: casebook.StyleNone, To: casebook.SoftwareSuggested, Verdict: results.Higher}, {From: casebook.StyleNone, To: casebook.ClinicianDesigned, Verdict: results.NotDistinguishable}}}
		return r
	}},
	{"completed cases that say nothing of refinements", func() *results.Results {
		r := base()
		r.Refinements = results.Refinements{Warnings: []results.Warning{{ID: results.RefinementsUnknown, Text: "30 completed cases with neither later courses nor a count of refinements on record: left out, since it is not known whether they had one"}}}
		return r
	}},
	{"nothing on record", func() *results.Results {
		return &results.Results{Provenance: results.Provenance{Settings: results.DefaultSettings()}}
	}},
}

func without(cells []results.Cell, styles ...casebook.Style) (out []results.Cell) {
	for _, c := range cells {
		keep := true
		for _, s := range styles {
			keep = keep && c.By.Style != s
		}
		if keep {
			out = append(out, c)
		}
	}
	return out
}

// told lists every sentence of the first pages.
func told(f results.Front) string {
	var b strings.Builder
	line := func(what, s string) {
		if s != "" {
			fmt.Fprintf(&b, "%-10s %s\n", what, strings.NewReplacer("\u00a0", " ", "\u2009", " ").Replace(s))
		}
	}
	line("over", f.Over)
	line("headline", f.Headline)
	line("under", f.Under)
	line("dots", f.Dots.Title)
	for _, g := range f.Dots.Groups {
		line("  group", fmt.Sprintf("%s (%d)", g.Title, len(g.Rows)))
		for _, r := range g.Rows {
			line("    why", r.Reason)
		}
	}
	line("arches", f.Arches.Title)
	line("", f.Arches.Sub)
	line("by tooth", f.Arches.ByTooth.Title)
	line("directions", f.Directions.Title)
	line("refined", f.Refined.Title)
	line("", f.Refined.Below)
	line("by style", f.ByStyle.Title)
	for _, s := range f.Decide {
		line("decide", s)
	}
	for _, s := range f.Record {
		line("record", s)
	}
	for _, p := range []results.FrontPage{f.Short, f.Choice, f.Cost, f.Change} {
		line("page", p.Title)
		line("", p.Lead)
		for _, s := range p.Statements {
			line("  -", s.Text)
			line("", s.Check)
		}
	}
	if f.Changes.Title != "" {
		line("changes", f.Changes.Title)
		line("", f.Changes.Sub)
		line("", f.Changes.Below)
		for _, r := range f.Changes.Rows {
			line("  row", fmt.Sprintf("%s %.2f to %.2f", r.Name, float64(r.Before), float64(r.Now)))
		}
	}
	line("kept", f.Kept.Title)
	line("", f.Kept.Below)
	return b.String()
}

// The sentences of every variant stand in one file that is meant to be read.
func TestSentences(t *testing.T) {
	var b strings.Builder
	for _, v := range variants {
		r := v.make()
		if r.Scope.Movements > 0 {
			inTheMouth(r)
		}
		Tell(r)
		fmt.Fprintf(&b, "== %s\n%s\n", v.name, told(r.Front))
	}
	const file = "testdata/sentences.txt"
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(file, []byte(b.String()), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, string(want), b.String(), "go test ./audit/story -update, and read the change")
}

// notPlain are terms of statistics that belong into the methods, causal words,
// and the older word for an attachment.
var notPlain = regexp.MustCompile(`(?i)CR2|satterthwaite|winsor|random intercept|benjamini|holm\b|cluster|regression|caused by|led to|because of|due to|feature|significant|expression|covariate|percentile|degrees of freedom|distinguishable|censored|\bP (<|0)|NaN|%!`)

func TestSentencesArePlain(t *testing.T) {
	for _, v := range variants {
		r := v.make()
		Tell(r)
		if m := notPlain.FindString(told(r.Front)); m != "" {
			t.Errorf("%s: %q in the sentences of the first pages", v.name, m)
		}
	}
}

// The headline follows the verdicts and names every clear direction, or their
// number where they are many; a verdict turned over turns it over.
func TestHeadlineFollowsTheVerdicts(t *testing.T) {
	head := func(change func(*results.Results)) string {
		r := base()
		change(r)
		Tell(r)
		return r.Front.Headline
	}
	up := head(func(r *results.Results) { judge(r, results.Higher, 0.2, casebook.TipDistal) })
	down := head(func(r *results.Results) { judge(r, results.Lower, -0.2, casebook.TipDistal) })
	assert.Equal(t, "More distal tip achieved with clinician-designed than software-suggested attachments", up)
	assert.Equal(t, "Less distal tip achieved with clinician-designed than software-suggested attachments", down)
	many := head(func(r *results.Results) { judge(r, results.Lower, -0.2, casebook.Directions()...) })
	assert.NotContains(t, strings.ToLower(many), "more")
}

// An interval without zero under "no clear difference" would be read as a slip: what
// would stand out alone has a group and words of its own.
func TestWhatStandsOutAloneIsNotCalledUnclear(t *testing.T) {
	r := base()
	for i := range r.Comparisons {
		if c := &r.Comparisons[i]; c.By.Direction == casebook.TipMesial {
			c.Adjusted = results.Difference{Difference: -0.14, Low: -0.27, High: -0.01}
		}
	}
	Tell(r)
	require.Len(t, r.Front.Dots.Groups, 2)
	assert.Equal(t, "Not settled: of 12 directions looked at, one may differ like this by chance", r.Front.Dots.Groups[0].Title)
	assert.Equal(t, casebook.TipMesial, r.Front.Dots.Groups[0].Rows[0].By.Direction)
	assert.False(t, r.Front.Dots.Groups[0].Rows[0].Clear)
	assert.Contains(t, r.Front.Under, "In 1\u00a0direction a difference shows that may be chance: 12 were looked at")
	for _, row := range r.Front.Dots.Groups[1].Rows {
		assert.True(t, row.Low <= 0 && row.High >= 0, row.Name)
	}
}

// What may not leave the practice is said to be withheld, in every sentence, and never that
// it cannot be compared, that patients are lacking, or how many.
func TestWithheldIsNeverCalledNotComparable(t *testing.T) {
	r := base()
	withhold(r, casebook.Directions()...)
	r.Comparisons[0].Primary = true
	Tell(r)
	all := told(r.Front)
	for _, wrong := range []string{"cannot be compared", "must carry both", "A comparison needs", "fewer than", "too unlike"} {
		assert.NotContains(t, all, wrong)
	}
	assert.Contains(t, r.Front.Under, "Declared beforehand was extrusion: the comparison is withheld")
	assert.Contains(t, r.Front.Choice.Lead, "In 12\u00a0directions the comparison is withheld")
	require.Len(t, r.Front.Dots.Groups, 1)
	assert.Contains(t, r.Front.Dots.Groups[0].Title, "withheld")

	r = base()
	judge(r, results.NotComparable, none, casebook.Directions()...)
	withhold(r, casebook.Extrusion)
	Tell(r)
	assert.Contains(t, r.Front.Choice.Lead, "In 1\u00a0direction the comparison is withheld")
	assert.Contains(t, r.Front.Choice.Lead, "in each of 11\u00a0directions fewer than 10 patients carry both styles")
	require.Len(t, r.Front.Dots.Groups, 2)
	assert.Len(t, r.Front.Dots.Groups[0].Rows, 1)
	assert.Len(t, r.Front.Dots.Groups[1].Rows, 11)
}

// Why nothing is compared follows the reasons of the comparisons, and so does what would help.
func TestWhyApartFollowsTheReasons(t *testing.T) {
	for _, x := range []struct {
		reason    compare.Reason
		says, not string
	}{
		{compare.DifferentPatients, "in each of 12\u00a0directions fewer than 10 patients carry both styles. To compare the styles, at least 10\u00a0patients must", "overlap"},
		{compare.NoOverlap, "in each of 12\u00a0directions the plans of the two styles hardly overlap in size. To compare the styles, plans of like size must", "fewer than"},
		{compare.FewDF, "a few patients would carry the comparison. To compare the styles, more patients must", "fewer than"},
		{compare.NotEstimable, "the difference cannot be estimated", "fewer than"},
		{compare.NotAdjusted, "too few patients carry both styles to adjust", "fewer than"},
	} {
		r := base()
		judge(r, results.NotComparable, none, casebook.Directions()...)
		for i := range r.Comparisons {
			r.Comparisons[i].Reason, r.Comparisons[i].Both = string(x.reason), 30
		}
		Tell(r)
		assert.Contains(t, r.Front.Choice.Lead, x.says, x.reason)
		assert.NotContains(t, r.Front.Choice.Lead, x.not, x.reason)
	}
}

// Where one direction is compared nothing is said of several: what its verdict asks for is
// a stricter level.
func TestNotAtLevelIsNotOneOfSeveral(t *testing.T) {
	r := base()
	judge(r, results.NotComparable, none, casebook.Directions()[1:]...)
	stricter(&r.Comparisons[0])
	Tell(r)
	text := told(r.Front)
	for _, wrong := range []string{"as one of 1", "since 1 were looked at", "may be chance, as"} {
		assert.NotContains(t, text, wrong)
	}
	assert.Equal(t, "Not settled: not at the stricter level set for the verdict", r.Front.Dots.Groups[0].Title)
	assert.Contains(t, r.Front.Under, "In 1\u00a0direction a difference shows, but not at the stricter level set for its verdict")
	assert.Contains(t, r.Front.Choice.Statements[0].Text, "It is not beyond chance at the stricter level set for its verdict.")
}

// What is drawn is what was judged: every clear comparison has a row, first, and
// its two marks are the difference apart, about their mean.
func TestDotsDrawTheDifference(t *testing.T) {
	r := base()
	judge(r, results.Lower, -0.16, casebook.ShiftLingual, casebook.Intrusion)
	judge(r, results.NotComparable, none, casebook.TipDistal)
	Tell(r)
	g := r.Front.Dots.Groups
	require.Len(t, g, 3)
	assert.Len(t, g[0].Rows, 2)
	rows := 0
	for i, x := range g {
		for _, row := range x.Rows {
			rows++
			assert.Equal(t, i == 0, row.Clear)
			if i < 2 {
				assert.InDelta(t, float64(row.Difference), float64(row.Clinician-row.Software), 1e-12)
				assert.InDelta(t, float64(row.Mean), float64(row.Clinician+row.Software)/2, 1e-12)
			} else {
				assert.False(t, row.Difference.OK())
				assert.NotEmpty(t, row.Reason)
			}
		}
	}
	assert.Equal(t, len(casebook.Directions()), rows, "every direction is there once")
}

// A mean of all teeth without an interval says of how few cases it is; where the styles are
// compared, or the mean has an interval, or lacks one for another reason, nothing is said.
func TestAMeanWithoutAnIntervalSaysWhy(t *testing.T) {
	told := func(v results.Verdict, cases int) string {
		r := base()
		judge(r, v, 0.02, casebook.TipDistal)
		for i := range r.Expression {
			if c := &r.Expression[i]; c.By == results.InFirstSets(casebook.TipDistal) {
				c.Cases, c.Low, c.High = cases, none, none
			}
		}
		Tell(r)
		return r.Front.Dots.NoInterval
	}
	assert.Equal(t, "no CI: mean of under 10\u00a0cases", told(results.NotComparable, 9))
	assert.Empty(t, told(results.NotComparable, 10))
	assert.Empty(t, told(results.NotDistinguishable, 9))
}

// Nothing is advised that is recorded everywhere; where page one has a comparison and a
// count of refinements, no more than to begin with what no record has.
func TestNoAdviceToRecordWhatIsRecorded(t *testing.T) {
	r := base()
	r.Completeness = []results.FieldCount{{Record: "movement", Field: "staging", Recorded: 10, Total: 10}, {Record: "case", Field: "wear", Recorded: 9, Total: 10}, {Record: "case", Field: "clinician", Total: 10}}
	Tell(r)
	assert.Equal(t, []string{"begin to record the clinician of every case"}, r.Front.Record)
	r.Comparisons, r.Completeness = nil, r.Completeness[:2]
	Tell(r)
	require.Len(t, r.Front.Record, 1)
	assert.Contains(t, r.Front.Record[0], "1 of 10 lack it")
	r.Completeness[1] = results.FieldCount{Record: "case", Field: "wear", Recorded: 95, Total: 100}
	Tell(r)
	assert.Empty(t, r.Front.Record, "19 in 20 need no advice")
}

// TestMissingOutcomesAreCountedOnce: what the advice says to record is what the flow says is
// not measured, without what a course cut short leaves open.
func TestMissingOutcomesAreCountedOnce(t *testing.T) {
	r := base()
	r.Comparisons = nil
	r.Completeness = []results.FieldCount{{Record: "movement", Field: "achieved", Recorded: 2100, Total: 3000}}
	r.Excluded = []results.Exclusion{{ID: "outcome-missing", Movements: 300}, {ID: "course-cut-short", Movements: 600}}
	Tell(r)
	require.Len(t, r.Front.Record, 1)
	assert.Contains(t, r.Front.Record[0], "(300 lack it)")
	r.Excluded[0].Movements = 100
	Tell(r)
	assert.Empty(t, r.Front.Record, "19 in 20 are measured")
}

// TestASpanIsOfWhatHasAnInterval: a title that names the least and the most says so where
// other rows below it have too few cases, and may lie outside.
func TestASpanIsOfWhatHasAnInterval(t *testing.T) {
	r := base()
	for i := range r.Expression {
		switch c := &r.Expression[i]; c.By {
		case results.InFirstSets(casebook.Extrusion):
			c.Estimate, c.Low, c.High = 0.40, 0.36, 0.44
		case results.InFirstSets(casebook.TipMesial):
			c.Estimate, c.Low, c.High = 0.60, 0.55, 0.65
		}
	}
	Tell(r)
	assert.Equal(t, "From 40\u00a0% in extrusion to 60\u00a0% in mesial tip", r.Front.Directions.Title)
	for i := range r.Expression {
		if c := &r.Expression[i]; c.By == results.InFirstSets(casebook.ShiftMesial) {
			c.Estimate, c.Low, c.High = 0.65, none, none
		}
	}
	Tell(r)
	assert.Equal(t, "From 40\u00a0% in extrusion to 60\u00a0% in mesial tip, where 10 or more cases are measured", r.Front.Directions.Title)
}

// Where movements on record are not analysed the first line of the report says of how many.
func TestAnalysedOfRecorded(t *testing.T) {
	r := base()
	Tell(r)
	plain := strings.NewReplacer("\u2009", "", "\u00a0", " ")
	assert.Contains(t, plain.Replace(r.Front.Over), "· 90 cases, 2100 movements analysed")
	r.Flow.Steps = []results.FlowStep{{Cases: 95, Movements: 2300}, {Cases: 90, Movements: 2100}}
	Tell(r)
	assert.Contains(t, plain.Replace(r.Front.Over), "· 90 of 95 cases, 2100 of 2300 movements analysed")
	r.Flow.Steps[0].Suppressed = true
	Tell(r)
	assert.NotContains(t, r.Front.Over, " of ", "what is withheld is not said here either")
}

// What the intervals allow for is the end that lies furthest from none, of the surest and
// of the least sure direction without a clear difference, both named; a difference that
// shows and is not called is no part of it.
func TestWhatTheIntervalsAllowForIsDrawn(t *testing.T) {
	r := base()
	set := func(d casebook.Direction, low, high results.Number) {
		for i := range r.Comparisons {
			if c := &r.Comparisons[i]; c.By.Direction == d {
				c.Adjusted = results.Difference{Difference: (low + high) / 2, Low: low, High: high}
			}
		}
	}
	set(casebook.Extrusion, -0.03, 0.06)
	set(casebook.TorqueLingual, -0.33, 0.20)
	Tell(r)
	assert.Contains(t, r.Front.Under, "The attachments may still differ by up\u00a0to\u00a06 points in extrusion, which is known best, and by up\u00a0to\u00a033 points in lingual torque, known least.")
	set(casebook.TipMesial, -0.80, -0.01)
	Tell(r)
	assert.Contains(t, r.Front.Under, "Where no difference shows, the attachments may still differ by up\u00a0to\u00a06 points in extrusion, which is known best, and by up\u00a0to\u00a033 points in lingual torque")
}

// Two directions of one axis are told together, each with its own number, in the order of
// the rows of the figure.
func TestBothDirectionsOfAnAxisHaveTheirNumber(t *testing.T) {
	r := base()
	judge(r, results.Lower, -0.14, casebook.MesialIn)
	judge(r, results.Lower, -0.08, casebook.MesialOut)
	Tell(r)
	assert.Contains(t, r.Front.Under, "14 and 8\u00a0percentage points less of the planned rotation (mesial-in and mesial-out).")
	rows := r.Front.Dots.Groups[0].Rows
	assert.Equal(t, []casebook.Direction{casebook.MesialIn, casebook.MesialOut}, []casebook.Direction{rows[0].By.Direction, rows[1].By.Direction})
	judge(r, results.Lower, -0.14, casebook.MesialOut)
	Tell(r)
	assert.Contains(t, r.Front.Under, "14\u00a0percentage points less of the planned rotation.")
}

// A clear difference is called small on an average plan where its whole interval is less
// than the tolerance; where the estimate alone is, what it may reach is said.
func TestSmallIsSaidOfTheWholeInterval(t *testing.T) {
	for _, c := range []struct {
		value, high results.Number
		want        string
	}{
		{0.15, 0.30, "On an average plan the difference is small, less than the tolerance (0.5\u00a0mm or 2°)."},
		{0.15, 0.55, "On an average plan the difference is estimated at less than the tolerance (0.5\u00a0mm or 2°); it may reach 0.55\u00a0mm in extrusion."},
		{0.15, nan, ""},
		{0.60, 0.90, ""},
	} {
		r := base()
		judge(r, results.Higher, 0.15, casebook.Extrusion)
		for i := range r.Comparisons {
			for j := range r.Comparisons[i].Readings {
				if x := &r.Comparisons[i].Readings[j]; r.Comparisons[i].By.Direction == casebook.Extrusion {
					x.InUnit = results.Spread{Value: c.value, Low: 0.05, High: c.high}
				}
			}
		}
		Tell(r)
		if c.want == "" {
			assert.NotContains(t, r.Front.Under, "average plan")
		} else {
			assert.Contains(t, r.Front.Under, c.want)
		}
	}
}
