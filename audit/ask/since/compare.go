package since

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/intime"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Answer says what changed between an earlier audit and this one.
func Answer(p *rows.Set, now *results.Results, e *Earlier) *results.Since {
	before := e.Results
	out := &results.Since{
		PreviousDate: before.Provenance.Date, PreviousCases: before.Scope.Cases, EarlierFiles: len(before.Provenance.Inputs),
		SettingsChanged: SettingsChanged(&before.Provenance.Settings, &now.Provenance.Settings),
		Actions:         before.Questions.Reaudit.Actions,
	}
	for _, f := range before.Provenance.Inputs {
		if f.SHA256 != "" && slices.ContainsFunc(p.Dataset.Files, func(g casebook.ImportedFile) bool { return g.SHA256 == f.SHA256 }) {
			out.FilesHere++
		}
	}
	compareRecords(p, out, before, now, e)
	CompareVerdicts(out, before, now)
	compareCriteria(out, before, now)
	warnings(out, before, now)
	Say(out, &p.Settings, p.Names)
	return out
}

// compareRecords compares what is new with what the earlier audit had seen: told by the
// files that it read, else by its last month, else not told at all.
func compareRecords(p *rows.Set, out *results.Since, before, now *results.Results, e *Earlier) {
	last := before.Scope.Last
	horizon := casebook.Month(intime.Horizon(p))
	cohort := func(h *rows.History) intime.Side {
		if h.Start+horizon > last {
			return intime.Now
		}
		return intime.Before
	}
	if last == 0 {
		cohort = nil
	}
	switch {
	case out.FilesHere > 0 && e.Given != nil:
		out.Told = results.ToldByFiles
		out.Records = intime.Set(p, "the new records", func(r *rows.Row) intime.Side {
			if e.Given[r.Movement.Key()] {
				return intime.Before
			}
			return intime.Now
		}, cohort)
	case SharedPeriod(&before.Scope, &now.Scope):
		out.Told = results.ToldByMonths
		out.Records = intime.SetFrom(p, "courses that ended after "+last.String(), last+1, cohort)
	default:
		out.Told, out.Records = results.NotTold, saved(before, now)
		compareRefinements(out, before, now)
	}
}

// SettingsChanged names the settings that make the two audits differ by rule
// rather than by result.
func SettingsChanged(a, b *results.Settings) []string {
	var out []string
	note := func(name, was, is string) {
		if was != is {
			out = append(out, fmt.Sprintf("%s %s, now %s", name, was, is))
		}
	}
	number := func(name string, was, is float64, unit string) {
		note(name, wording.Setting(was)+unit, wording.Setting(is)+unit)
	}
	number("tolerance", a.ToleranceMM, b.ToleranceMM, " mm")
	number("tolerance", a.ToleranceDeg, b.ToleranceDeg, "°")
	number("smallest plan", a.SmallestMM, b.SmallestMM, " mm")
	number("smallest plan", a.SmallestDeg, b.SmallestDeg, "°")
	note("confidence level", wording.Level(a.Level), wording.Level(b.Level))
	number("alpha", a.Alpha, b.Alpha, "")
	note("correction for many comparisons", a.Multiplicity, b.Multiplicity)
	note("period", periodWords(a.Period), periodWords(b.Period))
	note("clinician", clinicianWords(a.Period), clinicianWords(b.Period))
	note("comparison declared beforehand", primaryWords(a), primaryWords(b))
	return out
}

// periodWords name the months that were looked at.
func periodWords(p results.Period) string {
	var parts []string
	if p.From != 0 {
		parts = append(parts, "from "+p.From.String())
	}
	if p.Quarter != 0 {
		parts = append(parts, p.Quarter.Quarter()+" against all before")
	} else if p.To != 0 {
		parts = append(parts, "to "+p.To.String())
	}
	if len(parts) == 0 {
		return "all months"
	}
	return strings.Join(parts, " ")
}

func clinicianWords(p results.Period) string {
	if p.Clinician == "" {
		return "all"
	}
	return p.Clinician
}

func primaryWords(s *results.Settings) string {
	if s.Primary == (results.By{}) {
		return "none"
	}
	return wording.Names{Notation: s.Notation}.Cell(s.Primary)
}

// CompareVerdicts lists the comparisons whose verdict is another than before.
func CompareVerdicts(s *results.Since, before, now *results.Results) {
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

func compareCriteria(s *results.Since, before, now *results.Results) {
	old := map[string]results.Answer{}
	for _, c := range before.Questions.Reaudit.Criteria {
		old[c.Criterion.Name] = c.Answer
	}
	for _, c := range now.Questions.Reaudit.Criteria {
		s.Criteria = append(s.Criteria, results.AnswerChange{Name: c.Criterion.Name, Before: old[c.Criterion.Name], After: c.Answer})
	}
}

// warnings say what stands between the two audits.
func warnings(s *results.Since, before, now *results.Results) {
	warn := func(id, text, remedy string) {
		s.Warnings = append(s.Warnings, results.Warning{ID: id, Text: text, Remedy: remedy})
	}
	if s.Told == results.ToldByFiles && s.FilesHere < s.EarlierFiles {
		warn("files-not-here", fmt.Sprintf("%d of %s of the earlier audit are not among the files read here: what they gave is not compared", s.EarlierFiles-s.FilesHere, wording.Of(s.EarlierFiles, "file")), "read all of them into one database")
	}
	if s.Told == results.NotTold {
		warn("cases-in-both-unknown", "none of the files of the earlier audit is read here, so nobody can tell which cases both share: the two are compared as independent, and where they share cases a real change looks smaller and less certain than it is",
			"keep all files in one database, and give that to the audit")
	}
	if len(s.SettingsChanged) > 0 {
		warn("settings-changed", "settings differ from the earlier audit: "+strings.Join(s.SettingsChanged, "; "), "repeat the earlier audit under today's settings before reading a change as one of practice")
	}
	if before.Provenance.Invented != now.Provenance.Invented {
		warn("invented", "one of the two audits is of invented data", "compare like with like")
	}
	if major(before) == oldMajor {
		warn("older-schema", "the earlier results are of schema 1: their verdicts rested on comparisons between patients and are left out", "make them anew from the earlier records")
	}
}

// SharedPeriod reports that both audits cover the same months of one practice: a workbook
// that grows is given whole each time, and its file is another one then.
func SharedPeriod(a, b *results.Scope) bool {
	same := slices.ContainsFunc(b.Practices, func(p string) bool { return slices.Contains(a.Practices, p) })
	if len(a.Practices) == 0 && len(b.Practices) == 0 {
		same = true
	}
	if !same || a.First == 0 || b.First == 0 {
		return false
	}
	return max(a.First, b.First) <= min(a.Last, b.Last)
}

// Say writes the sentences.
func Say(s *results.Since, set *results.Settings, n wording.Names) {
	s.Sentences = nil
	t := s.Records
	intime.Say(t, set, n)
	if t.Now.Movements == 0 && s.Told != results.NotTold {
		s.Sentences = append(s.Sentences, "No measured movement is new since then.")
	}
	s.Sentences = append(s.Sentences, t.Sentences...)
	if t.SharedCases > 0 {
		s.Sentences = append(s.Sentences, wording.Of(t.SharedCases, "case")+" have movements in both parts; the intervals allow for it.")
	}
	if r := s.Refinements; r != nil {
		word := "no clear change"
		if r.Changed {
			word = "a change beyond chance"
		}
		s.Sentences = append(s.Sentences, fmt.Sprintf("Refinements a completed case: %s, %s last time: %s (%s, %s %s to %s).",
			wording.Fixed(r.After, 1), wording.Fixed(r.Before, 1), word, wording.SignedDecimal(float64(r.Change), 1), wording.CI(set.Level), wording.SignedDecimal(float64(r.Low), 1), wording.SignedDecimal(float64(r.High), 1)))
	}
	for _, c := range s.Criteria {
		if c.Before != "" && c.Before != c.After {
			s.Sentences = append(s.Sentences, fmt.Sprintf("%s: %s last time, %s now.", c.Name, c.Before, c.After))
		}
	}
}
