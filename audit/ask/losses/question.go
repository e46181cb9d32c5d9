package losses

import (
	"context"
	"fmt"
	"strings"

	"shortfall/audit/ask"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Question asks which attachments were lost: as a share, and by the month worn.
func Question() ask.Question {
	return ask.Question{
		ID: "losses", Share: 3,
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Losses, r.Questions.LossRates = answer(p), Rates(p)
			return nil
		},
		Part: func(r *results.Results) []any { return []any{&r.Losses, &r.Questions.LossRates} },
		Withhold: func(p *rows.Set, r *results.Results) {
			withhold(p, r.Losses)
			withholdRates(p, &r.Questions.LossRates)
		},
		Columns: columns(), Definitions: definitions, Section: section,
	}
}

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "attachments-lost", Term: "attachments lost", Formula: "share of bonded attachments (one tooth in one course) recorded as lost; never adjusted for, because it follows the choice of attachment", Source: "convention of this audit"},
		{ID: "loss-rate", Term: "loss rate", Formula: "attachments lost / months worn, months from aligners used x change interval, else from course dates; Poisson with exposure, clustered by case", Source: "McCullagh & Nelder 1989; McCaffrey & Bell 2006, Stat Med 25:4081-4098"},
	}
}

const after = "A loss comes after the choice of the attachment: it is shown beside the comparisons and never adjusted for."

func section(r *results.Results) results.Section {
	out := results.Section{ID: "losses", Title: "Attachments lost"}
	if len(r.Losses) > 0 {
		out.Exhibits = append(out.Exhibits, results.Exhibit{
			ID: "losses.table", Kind: results.TableExhibit, Title: "Attachments lost during the course", Columns: []string{"Teeth"},
			Denominator: "attachments, one a tooth and course, with the loss recorded", Method: "share-clustered", Definition: "attachments-lost",
			Notes: []string{"Lost / attachments with the loss recorded. " + after},
		})
	}
	x, level := &r.Questions.LossRates, wording.Level(r.Provenance.Settings.Level)
	if len(x.Rates) == 0 {
		return out
	}
	out.Exhibits = append(out.Exhibits, results.Exhibit{
		ID: "losses.rates", Kind: results.TableExhibit, Title: "Attachments lost by the month worn",
		Columns:     []string{"Attachments", "Cases", "Lost / attachments", "Months worn", "Lost in 100 months (" + level + " CI)"},
		Denominator: "attachments with the loss recorded and the months worn known", Method: "poisson-cr2", Definition: "loss-rate", Sheet: "loss rates",
		Notes: append([]string{"Months worn: " + exposureText(x.Exposure)}, append(leftOut(x.Excluded), after)...),
	})
	if q := x.Ratio; q != nil && q.Low.OK() {
		out.Lines = append(out.Lines, results.Line{
			Text: wording.TidyP(fmt.Sprintf("Clinician-designed attachments were lost at %s times the rate of software-suggested ones on like teeth (%s CI %s to %s; P = %s).",
				wording.Fixed(q.Ratio, 2), level, wording.Fixed(q.Low, 2), wording.Fixed(q.High, 2), wording.P(q.P))), Warnings: q.Warnings, See: []string{"losses.rates", "loss-rate"},
		})
	}
	return out
}

func exposureText(es []results.Exclusion) string {
	var parts []string
	for _, e := range es {
		parts = append(parts, fmt.Sprintf("%s (%s)", wording.Lower(e.Reason), wording.Of(e.Movements, "attachment")))
	}
	return strings.Join(parts, "; ") + "."
}

func leftOut(es []results.Exclusion) (out []string) {
	for _, e := range es {
		out = append(out, fmt.Sprintf("Left out, %s: %s.", wording.Lower(e.Reason), wording.Of(e.Movements, "attachment")))
	}
	return out
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "losses.lost", Definition: "attachments-lost", Method: "share-clustered"},
		{Field: "questions.loss_rates", Definition: "loss-rate", Method: "poisson-cr2"},
	}
}
