package audit

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"shortfall/audit/grid"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/stats"
	"shortfall/audit/stats/decide"
	"shortfall/audit/stats/robust"
	"shortfall/ingest/casebook"
)

// ParsePrevious reads the results file of an earlier audit. name is used in
// errors; a file of another major schema version is refused.
func ParsePrevious(name string, data []byte) (*results.Results, error) {
	var r results.Results
	if err := json.Unmarshal(data, &r); err != nil {
		return nil, fmt.Errorf("%s: not a results file of this program: %w", name, err)
	}
	major, _, _ := strings.Cut(r.SchemaVersion, ".")
	mine, _, _ := strings.Cut(results.SchemaVersion, ".")
	switch {
	case r.SchemaVersion == "" || r.Provenance.Tool == "":
		return nil, fmt.Errorf("%s: not a results file of this program: schema version or provenance is missing; give the --json output of an earlier audit", name)
	case major != mine:
		return nil, fmt.Errorf("%s: results of schema version %s, this program reads %s.x: make them anew from the earlier data", name, r.SchemaVersion, mine)
	}
	return &r, nil
}

// Compare says what changed between an earlier audit and this one. Cells are
// compared over all teeth by direction and course, as two independent
// estimates; where the audits share cases that understates the certainty of a
// change, and a warning says so.
func Compare(before, now *results.Results) *results.Since {
	out := &results.Since{
		PreviousDate: before.Provenance.Date, PreviousCases: before.Scope.Cases,
		SettingsChanged: settingsChanged(&before.Provenance.Settings, &now.Provenance.Settings),
		Actions:         now.Provenance.Settings.Owned(before.Questions.Reaudit.Actions),
	}
	compareCells(out, before, now)
	compareVerdicts(out, before, now)
	compareRefinements(out, before, now)
	compareCriteria(out, before, now)
	sinceWarnings(out, before, now)
	sinceSentences(out, now)
	return out
}

// settingsChanged names the settings that make the two audits differ by rule
// rather than by result.
func settingsChanged(a, b *results.Settings) []string {
	var out []string
	note := func(name string, was, is any) {
		if was != is {
			out = append(out, fmt.Sprintf("%s: %v, now %v", name, was, is))
		}
	}
	note("tolerance, mm", a.ToleranceMM, b.ToleranceMM)
	note("tolerance, degrees", a.ToleranceDeg, b.ToleranceDeg)
	note("smallest plan, mm", a.SmallestMM, b.SmallestMM)
	note("smallest plan, degrees", a.SmallestDeg, b.SmallestDeg)
	note("confidence level", a.Level, b.Level)
	note("alpha", a.Alpha, b.Alpha)
	note("multiplicity", a.Multiplicity, b.Multiplicity)
	note("primary comparison", a.Primary, b.Primary)
	return out
}

func compareCells(s *results.Since, before, now *results.Results) {
	old := map[results.By]*results.Cell{}
	for i := range before.Expression {
		if c := &before.Expression[i]; grid.AllTeethAndStyles(c) {
			old[c.By] = c
		}
	}
	var ps []float64
	for i := range now.Expression {
		c := &now.Expression[i]
		was := old[c.By]
		if was == nil || !grid.AllTeethAndStyles(c) {
			continue
		}
		m := measureChange(was.Estimate, was.SE, was.DF, c.Estimate, c.SE, c.DF, now.Provenance.Settings.Level)
		s.Cells = append(s.Cells, results.CellChange{By: c.By, CasesBefore: was.Cases, CasesAfter: c.Cases, MeasureChange: m})
		ps = append(ps, float64(m.P))
	}
	if len(ps) == 0 {
		return
	}
	for i, p := range decide.BenjaminiHochberg(ps) {
		s.Cells[i].Changed = p < now.Provenance.Settings.Alpha
	}
}

// measureChange is the difference of two independent estimates.
func measureChange(a, seA, dfA, b, seB, dfB results.Number, level float64) results.MeasureChange {
	out := results.MeasureChange{Before: a, After: b, Change: b - a, Low: results.NotEstimable, High: results.NotEstimable, P: results.NotEstimable}
	e, err := robust.WelchDifference(
		stats.Estimate{Value: float64(b), SE: float64(seB), DF: float64(dfB)},
		stats.Estimate{Value: float64(a), SE: float64(seA), DF: float64(dfA)}, level)
	if err != nil {
		return out
	}
	out.Low, out.High, out.P = measure.OrMissing(e.Low), measure.OrMissing(e.High), measure.OrMissing(e.P)
	return out
}

func compareVerdicts(s *results.Since, before, now *results.Results) {
	old := map[results.By]results.Verdict{}
	for i := range before.Comparisons {
		old[before.Comparisons[i].By] = before.Comparisons[i].Verdict
	}
	for i := range now.Comparisons {
		c := &now.Comparisons[i]
		if was, ok := old[c.By]; ok && was != c.Verdict && was != "" && c.Verdict != "" {
			s.Verdicts = append(s.Verdicts, results.VerdictChange{By: c.By, Before: was, After: c.Verdict})
		}
	}
}

func compareRefinements(s *results.Since, before, now *results.Results) {
	a, b := before.Refinements.Mean, now.Refinements.Mean
	if !a.Value.OK() || !b.Value.OK() || !a.SE.OK() || !b.SE.OK() {
		return
	}
	m := measureChange(a.Value, a.SE, a.DF, b.Value, b.SE, b.DF, now.Provenance.Settings.Level)
	m.Changed = m.P.OK() && float64(m.P) < now.Provenance.Settings.Alpha
	s.Refinements = &m
}

func compareCriteria(s *results.Since, before, now *results.Results) {
	old := map[string]results.Answer{}
	for _, c := range before.Questions.Reaudit.Criteria {
		old[c.Criterion.Name] = c.Answer
	}
	for _, c := range now.Questions.Reaudit.Criteria {
		s.Criteria = append(s.Criteria, results.AnswerChange{Name: c.Criterion.Name, Before: old[c.Criterion.Name], After: c.Answer})
	}
}

func sinceWarnings(s *results.Since, before, now *results.Results) {
	switch from, to, overlap := sharedPeriod(&before.Scope, &now.Scope); {
	case sharesInput(before.Provenance.Inputs, now.Provenance.Inputs):
		s.Warnings = append(s.Warnings, results.Warning{
			ID: "shared-input", Text: "both audits read some of the same files, so they share cases: a real change looks smaller and less certain than it is",
			Remedy: "read the run charts, or audit only courses begun since",
		})
	case overlap:
		s.Warnings = append(s.Warnings, results.Warning{
			ID: "shared-period", Text: fmt.Sprintf("both audits hold %v to %v of the same practice, and where they share cases a real change looks smaller and less certain than it is", from, to),
			Remedy: "read the run charts, or audit only courses begun since",
		})
	}
	if len(s.SettingsChanged) > 0 {
		s.Warnings = append(s.Warnings, results.Warning{
			ID: "settings-changed", Text: "settings differ from the earlier audit: " + strings.Join(s.SettingsChanged, "; "),
			Remedy: "repeat the earlier audit under today's settings before reading a change as one of practice",
		})
	}
	if before.Provenance.Invented != now.Provenance.Invented {
		s.Warnings = append(s.Warnings, results.Warning{ID: "invented", Text: "one of the two audits is of invented data", Remedy: "compare like with like"})
	}
}

func sharesInput(before, now []casebook.ImportedFile) bool {
	return slices.ContainsFunc(now, func(f casebook.ImportedFile) bool {
		return slices.ContainsFunc(before, func(g casebook.ImportedFile) bool { return f.SHA256 != "" && f.SHA256 == g.SHA256 })
	})
}

// sharedPeriod is the time both audits of one practice cover: a workbook that
// grows is given whole each time, and its file is another one then.
func sharedPeriod(a, b *results.Scope) (from, to casebook.Month, ok bool) {
	same := slices.ContainsFunc(b.Practices, func(p string) bool { return slices.Contains(a.Practices, p) })
	if len(a.Practices) == 0 && len(b.Practices) == 0 {
		same = true
	}
	if !same || a.First == 0 || b.First == 0 {
		return 0, 0, false
	}
	from, to = max(a.First, b.First), min(a.Last, b.Last)
	return from, to, from <= to
}

func sinceSentences(s *results.Since, now *results.Results) {
	set := &now.Provenance.Settings
	changed := 0
	for i := range s.Cells {
		c := &s.Cells[i]
		if !c.Changed {
			continue
		}
		changed++
		word := "more"
		if c.Change < 0 {
			word = "less"
		}
		s.Sentences = append(s.Sentences, fmt.Sprintf("%s: %s of the plan, %s last time (%s %s, %.4g %% CI %s to %s).",
			wording.Cell(c.By, set.Notation), wording.InPercent(c.After), wording.InPercent(c.Before), wording.InPoints(100*math.Abs(float64(c.Change))), word,
			100*set.Level, wording.SignedDecimal(100*float64(c.Low), 0), wording.SignedDecimal(100*float64(c.High), 0)))
	}
	if len(s.Cells) > 0 && changed == 0 {
		s.Sentences = append(s.Sentences, fmt.Sprintf("none of %s of expression changed by more than chance allows.",
			wording.Counted(len(s.Cells), "cell")))
	}
	if r := s.Refinements; r != nil {
		word := "no clear change"
		if r.Changed {
			word = "a change beyond chance"
		}
		s.Sentences = append(s.Sentences, fmt.Sprintf("Refinements per case: %.1f, %.1f last time: %s (%s, %.4g %% CI %s to %s).",
			float64(r.After), float64(r.Before), word, wording.SignedDecimal(float64(r.Change), 1), 100*set.Level, wording.SignedDecimal(float64(r.Low), 1), wording.SignedDecimal(float64(r.High), 1)))
	}
	for _, c := range s.Criteria {
		if c.Before != "" && c.Before != c.After {
			s.Sentences = append(s.Sentences, fmt.Sprintf("%s: %s last time, %s now.", c.Name, c.Before, c.After))
		}
	}
}
