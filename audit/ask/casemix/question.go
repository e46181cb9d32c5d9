// Package casemix asks whether the answer of a style comparison hangs on how it was
// made: inside strata of like movements, and under other choices.
//
// Place in the pipeline: one question of audit/ask; it reads the comparisons as they
// are printed and fills its part of results.Results.
package casemix

import (
	"context"

	"shortfall/audit/ask"
	"shortfall/audit/between"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Question asks whether the answer hangs on how it was computed.
func Question() ask.Question {
	return ask.Question{
		ID: "casemix", Share: 9, Reads: true, Answer: answer,
		Part:     func(r *results.Results) []any { return []any{&r.Questions.CaseMix} },
		Withhold: func(p *rows.Set, r *results.Results) { between.WithholdSensitivity(p, r.Questions.CaseMix.Sensitivity) },
		Columns:  columns(), Definitions: definitions, Section: section,
	}
}

func answer(ctx context.Context, p *rows.Set, r *results.Results) (err error) {
	c := &r.Questions.CaseMix
	if c.Matched, err = between.MatchedAll(ctx, p, r.Comparisons); err != nil {
		return err
	}
	c.Sensitivity, err = between.Sensitivity(ctx, p, r.Comparisons)
	return err
}

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "matched-strata", Term: "matched strata", Formula: "difference inside strata of tooth class, plan size by doublings and wear (where it was recorded before the outcome) that hold both styles; strata weigh as w1 w0 / (w1 + w0), w the planned totals", Source: "our own; estimate as with stratum indicators in the weighted model"},
		{ID: "overlap-weights", Term: "overlap weights", Formula: "between patients, of directions over all teeth: movements weigh as planned amount times the chance, by a logistic regression on the covariates of the model, of the other style; the covariates are then balanced, as the balance table shows; CR2 variance by case, the weights taken as known", Source: "Li, Morgan & Zaslavsky 2018, J Am Stat Assoc 113:390-400"},
	}
}

func section(r *results.Results) results.Section {
	c, set := &r.Questions.CaseMix, &r.Provenance.Settings
	out := results.Section{ID: "casemix", Title: "Does the answer hang on how it was computed?"}
	if len(c.Matched) > 0 {
		out.Lines = append(out.Lines, matchedLine(c.Matched))
		e := results.Exhibit{
			ID: "casemix.matched", Kind: results.TableExhibit, Title: "Matched strata beside the model (supplementary), clinician-designed minus software-suggested, points",
			Columns:     []string{"Movement, course", "Strata with both / all", "Movements inside / left out", "Cases", "Matched (" + wording.CI(set.Level) + ")", "Model (" + wording.CI(set.Level) + ")", "Overlap weights (" + wording.CI(set.Level) + ")"},
			Denominator: "analysed movements with a software-suggested or clinician-designed attachment", Method: "model-cr2", Definition: "matched-strata", Sheet: "matched strata",
			Notes: []string{"Strata: tooth class, size of the plan by doublings of the smallest meaningful plan, wear where it was recorded before the outcome. Plans inside one doubling still differ in size: some confounding stays. Intervals are each cell's own, not corrected."},
		}
		for i := range c.Matched {
			if by := c.Matched[i].By; by.AllTeeth() || by == set.Primary {
				e.Rows = append(e.Rows, i)
			}
		}
		if e.Left = len(c.Matched) - len(e.Rows); len(e.Rows) > 0 {
			out.Exhibits = append(out.Exhibits, e)
		}
	}
	if len(c.Sensitivity) == 0 {
		return out
	}
	out.Lines = append(out.Lines, Repeated(r))
	quiet := 0
	for i := range c.Sensitivity {
		s := &c.Sensitivity[i]
		if s.Reading == between.SameThroughout(s, wording.NamesOf(r)) {
			quiet++
			continue
		}
		text := wording.Sentence(s.Reading)
		if !s.By.AllTeeth() && s.By != set.Primary {
			text = "Exploratory: " + wording.Lower(text)
		}
		out.Lines = append(out.Lines, results.Line{Role: results.Item, Text: text})
	}
	if quiet > 0 {
		out.Lines = append(out.Lines, results.Line{Role: results.Item, Text: wording.Of(quiet, "other comparison") + ": not distinguishable as reported and under every choice."})
	}
	out.Exhibits = append(out.Exhibits, results.Exhibit{
		ID: "casemix.choices", Kind: results.TableExhibit, Title: "The same comparison under other choices, clinician-designed minus software-suggested, points (" + wording.CI(set.Level) + ")",
		Columns: []string{"Choice"}, Heads: []string{"Checks that decide: where one does not hold, no difference is called", "Other choices, which decide nothing"}, Denominator: "analysed movements with a software-suggested or clinician-designed attachment, as the choice leaves them", Method: "model-cr2", Definition: "difference-adjusted", Sheet: "sensitivity",
		Notes: []string{"Bold: a check that does not hold, or a choice whose interval stands otherwise to zero than that of the first row. A check holds where sign and interval stay; for the tooth class set apart, where enough of the difference stays. Other comparisons, and with cases, movements and the share outside tolerance: " + wording.OnSheet("sensitivity") + "."},
	})
	return out
}

// Repeated says which comparisons were repeated, of those that have a verdict.
func Repeated(r *results.Results) results.Line {
	first, judged := 0, 0
	for i := range r.Comparisons {
		if c := &r.Comparisons[i]; c.Verdict != results.NotComparable {
			judged++ // a declared one may be of a whole direction too
			first += measure.OneIf(!c.Primary && c.Adjusted.Difference.OK() && c.By.WholeInFirstSets())
		}
	}
	others := len(r.Questions.CaseMix.Sensitivity) - first
	what := "every direction over all teeth of first sets (" + wording.Count(first) + ")"
	switch {
	case first == 0:
		what = wording.Of(others, "comparison")
	case others > 0:
		what += " and " + wording.Of(others, "other comparison") + ", declared or called"
	}
	return results.Line{
		Text: "Of " + wording.Of(judged, "comparison") + " with a verdict, repeated under other choices of threshold, of whom to count and of what is missing: " + what + ".",
		See:  []string{"casemix.choices"},
	}
}

func matchedLine(ms []results.Matched) results.Line {
	agree, made := 0, 0
	for i := range ms {
		m := &ms[i]
		if m.Matched.Difference.OK() && m.Matched.Low.OK() {
			made++
			agree += measure.OneIf(m.Model.Difference >= m.Matched.Low && m.Model.Difference <= m.Matched.High)
		}
	}
	return results.Line{Text: "Beside the model stands a plainer comparison inside strata of like movements (tooth class, size of plan by doublings, wear where it was recorded before the outcome). " +
		"Inside a doubling the plans of the styles still differ in size, so the strata leave some confounding by size of plan: they are supplementary and settle nothing by themselves. " +
		"The model's difference lies inside the matched interval in " + wording.Count(agree) + " of " + wording.Of(made, "cell") + ".", See: []string{"casemix.matched", "matched-strata"}}
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "questions.case_mix.matched", Definition: "matched-strata", Method: "model-cr2"},
		{Field: "questions.case_mix.matched.overlap_weighted", Definition: "overlap-weights", Method: "model-cr2"},
		{Field: "questions.case_mix.sensitivity.rows.adjusted", Definition: "difference-adjusted", Method: "same-mouth"},
		{Field: "questions.case_mix.sensitivity.rows.outside_tolerance", Definition: "outside-tolerance", Method: "model-cr2"},
	}
}
