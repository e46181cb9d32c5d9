package switches

import (
	"context"
	"fmt"
	"strings"

	"shortfall/audit/ask"
	"shortfall/audit/between"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Question asks what came of changing the style after a shortfall.
func Question() ask.Question {
	return ask.Question{
		ID: "switches", Share: 6,
		Answer: func(ctx context.Context, p *rows.Set, r *results.Results) error {
			r.Questions.Switches = Answer(ctx, p)
			return ctx.Err()
		},
		Part:     func(r *results.Results) []any { return []any{&r.Questions.Switches} },
		Withhold: func(p *rows.Set, r *results.Results) { Withhold(p, &r.Questions.Switches) },
		Columns:  columns(), Definitions: definitions, Findings: findings, Section: section,
	}
}

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "switch", Term: "switch", Formula: "a movement short by more than the tolerance and planned again, in the same direction, in the next course under another style; set against those that kept theirs, adjusted for the amount planned again, its square and the expression of the course before, then for the recorded covariates; not comparable where the amounts planned again hardly overlap", Source: "analysis of covariance: Barnett et al. 2005, Int J Epidemiol 34:215-220"},
		{ID: "expected-change-without-effect", Term: "expected change without effect", Formula: "(1 - reliability) x (mean of all - mean of the selected) x (1 + half of planned first / planned next); reliability = between-tooth variance / total variance; the second term is the scan both courses share", Source: "Bland & Altman 1994, BMJ 308:1499; Barnett et al. 2005; the second term is our own"},
	}
}

// section says it in words; a figure shows the paths with an interval, the tables
// have all that may be shown.
func section(r *results.Results) results.Section {
	s, set := &r.Questions.Switches, &r.Provenance.Settings
	out := results.Section{ID: "switches", Title: "After a shortfall: change the attachment, or keep it?"}
	if s.FellShort == 0 {
		return out
	}
	out.Lines = append(out.Lines, results.Line{Text: fellShortText(s) + " " + s.Definition, See: []string{"switch"}})
	if len(s.Paths) == 0 {
		out.Lines = append(out.Lines, results.Line{Role: results.Missing, Text: "Not followed: " + leftText(s.NotPaired) + "."})
		return out
	}
	for _, c := range s.Cautions {
		out.Lines = append(out.Lines, results.Line{Role: results.Caution, Text: c})
	}
	drawn := pathsShown(s.Paths)
	sheet := wording.OnSheet("switch paths")
	if len(drawn) == 0 {
		out.Lines = append(out.Lines, results.Line{Role: results.Missing, Text: "No path has enough cases for an interval yet; all of them are " + sheet + "."})
	} else {
		out.Exhibits = append(out.Exhibits, figure(drawn, len(s.Paths)), pathTable(s, set, drawn))
	}
	out.Lines = append(out.Lines, contrastLines(s)...)
	out.Exhibits = append(out.Exhibits, between.GroupTable("switches.contrasts", "Switched against kept: expression of the next course, points",
		"Each against those that kept the style they had.", "switched against kept", "switch", s.Contrasts, set.Level))
	return out
}

// fellShortText says how many fell short, and how many of them can be followed: those
// planned again and measured, with the style of both courses on record.
func fellShortText(s *results.SwitchAnalysis) string {
	measured := s.Followed
	for _, e := range s.NotPaired {
		if e.ID == styleMissing {
			measured += e.Movements
		}
	}
	out := fmt.Sprintf("%s fell short by more than the tolerance; %s were planned again in the next course and measured", wording.Of(s.FellShort, "movement"), wording.Count(measured))
	switch {
	case s.Followed == 0 && measured > 0:
		out += ", none of them with the attachment style of both courses on record"
	case measured > s.Followed:
		out += ", " + wording.Count(s.Followed) + " of them with the attachment style of both courses on record"
	}
	return out + "."
}

// pathsShown are the paths with an interval, by index.
func pathsShown(ps []results.SwitchPath) (at []int) {
	for i := range ps {
		if !ps[i].Suppressed && ps[i].Change.Low.OK() {
			at = append(at, i)
		}
	}
	return at
}

func figure(drawn []int, all int) results.Exhibit {
	return results.Exhibit{
		ID: "switches.figure", Kind: results.FigureExhibit, Rows: drawn, Left: all - len(drawn), Sheet: "switch paths", See: []string{"switches.paths"},
		Title:       "Expression of movements that fell short: in that course and in the next, by what was done about the attachment",
		Denominator: "movements that fell short and were planned again in the next course", Method: "ratio-cr2", Definition: "expected-change-without-effect",
		Notes: []string{"The upright bar is the range in which the next course would stand if nothing had any effect: regression to the mean, from the method error alone to nothing of the first result being the tooth's own. Ratio of sums, CR2 intervals by case."},
	}
}

func pathTable(s *results.SwitchAnalysis, set *results.Settings, drawn []int) results.Exhibit {
	level := wording.Level(set.Level)
	return results.Exhibit{
		ID: "switches.paths", Kind: results.TableExhibit, Rows: drawn, Left: len(s.Paths) - len(drawn), Sheet: "switch paths", See: []string{"switches.figure"},
		Title:       "Movements that fell short and were planned again, by axis and style path",
		Columns:     []string{"Path", "Cases / movements", "First %", "Next %", "Change (" + level + " CI)", "Expected without effect", "P"},
		Denominator: "movements that fell short and were planned again in the next course", Method: "paired-cr2", Definition: "expected-change-without-effect",
		Notes: []string{
			"Expected without effect: a range, from the method error alone (from no change where nothing was measured twice) to nothing of the first result being the tooth's own.",
			"P: clustered signed rank (Datta & Satten 2008, Biometrics 64:501-507), not corrected. It ranks movements, each counting alike, where the change weighs them by their plans: so it may lie below 0.05 beside an interval that includes zero, and the other way round.",
			"Not followed: " + leftText(s.NotPaired) + ".",
			"Paths with too few cases for an interval: " + wording.OnSheet("switch paths") + ".",
		},
	}
}

// leftText lists what left, "3 not measured; 5 not planned again".
func leftText(es []results.Exclusion) string {
	var parts []string
	for _, e := range es {
		parts = append(parts, wording.Count(e.Movements)+" "+wording.Lower(e.Reason))
	}
	if len(parts) == 0 {
		return "none"
	}
	return strings.Join(parts, "; ")
}

// contrastLines say what the comparison with those that kept their style gave, and
// which contrasts stand out.
func contrastLines(s *results.SwitchAnalysis) (lines []results.Line) {
	var told []int
	compared := 0
	for i := range s.Contrasts {
		if c := &s.Contrasts[i]; c.Verdict != results.NotComparable && !c.Suppressed {
			compared++
			if c.Verdict != results.NotDistinguishable {
				told = append(told, i)
			}
		}
	}
	const alone = " A change in the figure alone says nothing about the switch."
	if compared == 0 {
		return []results.Line{{Text: "Against those that kept their style: no switch has enough cases on both sides to compare." + alone}}
	}
	lines = append(lines, results.Line{Text: "Against those that kept their style: " + toldWords(len(told), compared) + ", adjusted for the amount left, the first course's expression and the recorded covariates." + alone, See: []string{"switches.contrasts"}})
	for _, i := range told {
		c := &s.Contrasts[i]
		lines = append(lines, results.Line{Role: results.Item, Text: wording.Sentence(c.Reading), Warnings: c.Warnings, See: []string{"switches.contrasts"}})
	}
	return lines
}

// toldWords say in how many comparisons a switch went otherwise than keeping.
func toldWords(told, compared int) string {
	const apart = " told apart from keeping the style"
	switch {
	case told == 0 && compared == 1:
		return "in the one comparison a switch could not be" + apart
	case told == 0:
		return "in none of " + wording.Of(compared, "comparison") + " a switch could be" + apart
	}
	return "in " + wording.SomeOf(told, compared, "comparison") + " a switch could be" + apart
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "questions.switches.paths", Definition: "switch", Method: "paired-cr2"},
		{Field: "questions.switches.paths.expected_without_effect", Definition: "expected-change-without-effect", Method: "regression-to-mean"},
		{Field: "questions.switches.contrasts", Definition: "switch", Method: "same-mouth"},
	}
}
