package followup

import (
	"context"
	"fmt"

	"shortfall/audit/ask"
	"shortfall/audit/disclose"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Question asks what became of the cases in time.
func Question() ask.Question {
	return ask.Question{
		ID: "followup",
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.FollowUp = answer(p)
			return nil
		},
		Part:     func(r *results.Results) []any { return []any{&r.FollowUp} },
		Withhold: func(p *rows.Set, r *results.Results) { withhold(p, &r.FollowUp) },
		Columns: []results.Column{
			{Field: "follow_up", Definition: "refined-by", Method: "aalen-johansen"},
			{Field: "follow_up.horizons.refinements_per_case", Definition: "refinements-by", Method: "mean-cumulative-count"},
			{Field: "follow_up.curve.refinements_per_case", Definition: "refinements-by", Method: "mean-cumulative-count"},
		},
		Definitions: definitions, Section: section,
	}
}

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "refined-by", Term: "refined by a horizon", Formula: "cumulative incidence of the first refinement since the start of treatment; cases still under way are censored at the last look: the last month in which a case of their practice is known to have ended or a later course to have begun, or the day of the audit where that is earlier; every other ending competes; refined cases without the month of a refinement are left out, and every case of a practice where they are more than a tenth of the refined", Source: "Aalen & Johansen 1978, Scand J Stat 5:141-150"},
		{ID: "refinements-by", Term: "refinements a case by a horizon", Formula: "mean cumulative count; cases still under way are censored, no refinement follows an ending", Source: "Nelson 1995, Technometrics 37:147-157; Ghosh & Lin 2000, Biometrics 56:554-562, equation 2.1"},
	}
}

// withhold gives the horizons alone, without counts of small groups, of cases left out, and without the
// steps of the curve, each of which is one or a few cases; where the cases refined by a
// horizon, or the others, may be few, nothing is given.
func withhold(p *rows.Set, f *results.FollowUp) {
	least := p.Settings.MinCellCases
	f.Curve = nil
	for i := range f.At {
		h := &f.At[i]
		refined := float64(h.Refined.Value) * float64(f.Cases)
		if f.Cases < 2*least || refined < float64(least) || float64(f.Cases)-refined < float64(least) {
			*f = results.FollowUp{Suppressed: true, Warnings: []results.Warning{disclose.TooFewShown(&p.Settings)}}
			return
		}
		h.KnownCases, h.OpenCases = 0, 0
	}
	f.Left, f.Ended = nil, nil
	for i := range f.Warnings {
		if w := &f.Warnings[i]; w.ID == someUndated || w.ID == mostUndated {
			*w = undatedWarning(w.ID, "refined cases")
		}
	}
	if f.Cases < least {
		f.Cases = 0
	}
}

// followedTo names the last look, and the cases that start after it.
func followedTo(f *results.FollowUp) string {
	s := ""
	if f.LastLook != 0 {
		s = fmt.Sprintf("Cases were followed to %v, the last month in which anything is known to have happened. ", f.LastLook)
	}
	for _, l := range f.Left {
		if l.ID == rows.StartAhead {
			s += wording.Capital(wording.Of(l.Cases, "case")) + " with a later start entered ahead are not followed yet. "
		}
	}
	return s
}

func section(r *results.Results) results.Section {
	f, level := &r.FollowUp, wording.Level(r.Provenance.Settings.Level)
	out := results.Section{ID: "followup", Title: "Refinements in time"}
	if f.Suppressed {
		return out
	}
	if len(f.At) == 0 {
		text := "How soon cases need a refinement cannot be told: it takes months of start, end and refinement of at least ten cases."
		if undatedMostly(f.Warnings) {
			text = "How soon cases need a refinement cannot be told: refinements are on record without the month in which they began."
		}
		out.Lines = []results.Line{{Role: results.Missing, Text: text, Warnings: f.Warnings}}
		return out
	}
	for i := range f.At {
		h := &f.At[i]
		out.Lines = append(out.Lines, results.Line{Text: fmt.Sprintf("Within %d months of their start %s of cases had a first refinement (%s CI %s to %s), with %s refinements a case (%s to %s).",
			h.Months, wording.Percent(h.Refined.Value), level, wording.Whole(h.Refined.Low), wording.Whole(h.Refined.High),
			wording.Fixed(h.Count.Value, 1), wording.Fixed(h.Count.Low, 1), wording.Fixed(h.Count.High, 1)), See: []string{"refined-by", "refinements-by"}})
	}
	out.Lines = append(out.Lines, results.Line{Role: results.Caution, Text: followedTo(f) + "Cases still under way count for as long as they were followed; discontinued, switched, transferred and completed cases can have no refinement afterwards.", Warnings: f.Warnings})
	out.Exhibits = []results.Exhibit{{
		ID: "followup.curve", Kind: results.FigureExhibit, Title: fmt.Sprintf("%s had a first refinement within %d months of their start", wording.Percent(f.At[len(f.At)-1].Refined.Value)+" of cases", f.At[len(f.At)-1].Months),
		Notes: []string{"Dashed: " + level + " CI. Cases that have ended count on, since no refinement can follow; below are those still in treatment."}, Denominator: "logged cases with status and months on record, each followed as far as it is known", Method: "aalen-johansen", Definition: "refined-by",
	}}
	return out
}
