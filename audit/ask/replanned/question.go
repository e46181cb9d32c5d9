package replanned

import (
	"context"
	"strings"

	"shortfall/audit/ask"
	"shortfall/audit/disclose"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Question asks which planned movements had to be planned again.
func Question() ask.Question {
	return ask.Question{
		ID: "replanned",
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Replanned, r.Questions.PlannedAgain = Answer(p), SameMouth(p)
			return nil
		},
		Part: func(r *results.Results) []any { return []any{&r.Replanned, &r.Questions.PlannedAgain} },
		Withhold: func(p *rows.Set, r *results.Results) {
			withhold(p, r.Replanned)
			if x := r.Questions.PlannedAgain; x != nil && disclose.Small(&p.Settings, x.Both) {
				r.Questions.PlannedAgain = nil
			}
		},
		Columns: columns(), Definitions: definitions, Section: section,
	}
}

// denominator of the shares; Answer counts exactly these, and so do caption and
// definition.
const denominator = "movements planned to a meaningful amount in the first set of completed cases, style recorded"

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "planned-again", Term: "planned again", Formula: "share of the " + denominator + ", whose tooth and axis were planned again so in the same direction in the next course; cases without a next course count, as not planned again", Source: "convention of this audit"},
		{
			ID: "planned-again-difference", Term: "planned again, same patients", Source: "the model is that of the style difference; the linear model of a share: Battey, Cox & Jackson 2019, R Soc Open Sci 6:190067",
			Formula: "coefficient of style in a linear model of planned again (1 or 0), case absorbed, so that only patients with both styles count; every movement weighs the same; adjusted for direction, the planned amount in multiples of the smallest that counts, its square and what else varies within a patient, as named; CR2 variance by case, Satterthwaite degrees of freedom, the checks of a style comparison; first sets of completed cases, not cut short",
		},
	}
}

func section(r *results.Results) results.Section {
	out := results.Section{ID: "replanned", Title: "Planned again"}
	if len(r.Replanned) == 0 {
		return out
	}
	out.Exhibits = []results.Exhibit{{
		ID: "replanned.table", Kind: results.TableExhibit, Title: "Planned again: movements asked for again, in the same direction, in the next course",
		Columns: []string{"Axis"}, Denominator: denominator, Method: "share-clustered", Definition: "planned-again",
		Notes: []string{"Movements planned again / " + denominator + "."},
	}}
	if x := r.Questions.PlannedAgain; x != nil {
		out.Lines = []results.Line{{Text: strings.TrimSpace(x.Reading + " " + AsCounted(r.Replanned)), See: []string{"planned-again-difference"}}}
	}
	return out
}

// AsCounted tells why shares as they are counted may lie apart where the styles do not
// differ within patients; it is empty where a share is withheld or has no base.
func AsCounted(rs []results.Replanned) string {
	share := map[casebook.Style]string{}
	for i := range rs {
		if x := &rs[i]; x.Axis == casebook.NoAxis && !x.Suppressed && x.Again.Denominator > 0 {
			share[x.Style] = wording.Share(x.Again.Numerator, x.Again.Denominator)
		}
	}
	software, clinician := share[casebook.SoftwareSuggested], share[casebook.ClinicianDesigned]
	if software == "" || clinician == "" {
		return ""
	}
	return "Counted as they stand, " + clinician + " of clinician-designed and " + software + " of software-suggested ones were. Both are right: the styles were used in other directions, for plans of other sizes and in other patients, which the difference within patients leaves out and a plain count does not."
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "questions.planned_again", Definition: "planned-again-difference", Method: "same-mouth"},
		{Field: "replanned.again", Definition: "planned-again", Method: "share-clustered"},
	}
}
