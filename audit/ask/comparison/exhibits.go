package comparison

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

const denominator = "analysed movements with a software-suggested or clinician-designed attachment"

// exhibits of the comparisons: those over all teeth and the primary one are drawn and
// listed, finer cells that stand out are exploratory, and what could not be compared
// has its reasons.
func exhibits(r *results.Results, judged, not []int) []results.Exhibit {
	level := wording.Level(r.Provenance.Settings.Level)
	shown := chosen(r, judged)
	var out []results.Exhibit
	if len(shown) > 0 {
		out = append(out, results.Exhibit{
			ID: "comparison.figure", Kind: results.FigureExhibit, Title: differenceTitle(r, shown), Rows: shown, Left: len(r.Comparisons) - len(shown), Sheet: "comparisons", See: []string{"comparison.table"},
			Denominator: denominator, Method: "same-mouth", Definition: "difference-adjusted",
			Notes: append([]string{
				fmt.Sprintf("Points of expression, clinician-designed minus software-suggested; %s intervals within patients, CR2 with Satterthwaite degrees of freedom. Bold: higher or lower after correction for multiple comparisons.", level),
				"Drawn is each direction over all teeth, and the primary comparison.",
			}, paleNote(r, shown)...),
		}, results.Exhibit{
			ID: "comparison.table", Kind: results.TableExhibit, Title: "Clinician-designed (CD) against software-suggested (SS), points of expression", Rows: shown, Left: len(r.Comparisons) - len(shown), Sheet: "comparisons", See: []string{"comparison.figure"},
			Columns:     []string{"Movement, course", "Cases CD v SS", "Adjusted (" + level + " CI)", "P, corr.", "Could see", "Power, %", "More cases", "Verdict"},
			Denominator: denominator, Method: "same-mouth", Definition: "difference-adjusted",
			Notes: []string{
				"CD clinician-designed, SS software-suggested. P is corrected within its family of comparisons. Could see: the difference in points that would have been found with 80 % power at the level of the verdict, before its checks. " + fmt.Sprintf("Power: the chance that a difference of %g points would have been called so. More cases: how many more with both styles would make that difference detectable, where none is called.", r.Provenance.Settings.Worth()),
				"With movements, and by tooth class and arch (exploratory): " + wording.OnSheet("comparisons") + ".",
			},
		})
	}
	if len(r.Comparisons) > 0 { // those without a verdict are read between patients all the same
		out = append(out, results.Exhibit{
			ID: "comparison.readings", Kind: results.TableExhibit, Title: "The same comparison, read in three ways", Rows: shown, Left: len(r.Comparisons) - len(shown), Sheet: "comparisons",
			Columns:     []string{"Direction", "Patients with both", "Same patients (" + level + " CI)", "Between patients, adjusted", "As they stand", "Verdict"},
			Denominator: denominator, Method: "same-mouth", Definition: "difference-adjusted",
			Notes: []string{"Points of the plan: clinician-designed minus software-suggested. The verdict rests on the same patients, where what makes one patient respond better than another cancels; it allows for the number of directions."},
		})
	}
	if e := against(r, shown); len(e.Rows) > 0 {
		out = append(out, e)
	}
	if e := exploratory(r, judged, shown, level); e.ID != "" {
		out = append(out, e)
	}
	if len(not) > 0 {
		out = append(out, results.Exhibit{
			ID: "comparison.not-comparable", Kind: results.TableExhibit, Title: "Not comparable: " + wording.Of(len(not), "cell"), Rows: not, Sheet: "comparisons",
			Columns:     []string{"Movement, course", "Teeth: cases clinician-designed v software-suggested (reason)"},
			Denominator: denominator, Method: "count", Definition: "verdict",
		})
	}
	return out
}

// against is what it would take to explain away each difference that is called.
func against(r *results.Results, shown []int) results.Exhibit {
	e := results.Exhibit{
		ID: "comparison.against", Kind: results.TableExhibit, Title: "What it would take to explain each difference away", Sheet: "comparisons", See: []string{"check"},
		Columns:     []string{"Movement, course", "Difference", "Unrecorded factor", "Missing at worst", "Missing at best", "Missing would differ by"},
		Denominator: denominator, Method: "e-value", Definition: "e-value",
		Notes: []string{
			"Points of the plan. Unrecorded factor: how many times as likely something that was not recorded would have to make both the choice of attachment and a good result for the interval to reach no difference (an approximation).",
			"Missing at worst, at best: the difference if every movement without an outcome had gone against clinician-designed attachments, or for them; these bounds never decide. Missing would differ by: how far unmeasured clinician-designed movements would have to fall short of like ones (+) or exceed them (−) for the difference to be within chance.",
		},
	}
	for _, i := range shown {
		if stands(&r.Comparisons[i]) {
			e.Rows = append(e.Rows, i)
		}
	}
	e.Left = len(r.Comparisons) - len(e.Rows)
	return e
}

// chosen are the comparisons that are drawn and told: each direction over all teeth
// and the primary one; where there is no cell over all teeth, every cell.
func chosen(r *results.Results, judged []int) (out []int) {
	margins := false
	for _, i := range judged {
		margins = margins || r.Comparisons[i].By.AllTeeth()
	}
	for _, i := range judged {
		if c := &r.Comparisons[i]; !margins || c.By.AllTeeth() || c.Primary {
			out = append(out, i)
		}
	}
	return out
}

func stands(c *results.Comparison) bool {
	return c.Verdict.Clear()
}

func differenceTitle(r *results.Results, shown []int) string {
	n := map[results.Verdict]int{}
	for _, i := range shown {
		n[r.Comparisons[i].Verdict]++
	}
	return fmt.Sprintf("Clinician-designed against software-suggested: higher in %d, lower in %d, not distinguishable in %d of %s",
		n[results.Higher], n[results.Lower], n[results.NotDistinguishable], wording.Of(len(shown), "comparison"))
}

func paleNote(r *results.Results, shown []int) []string {
	for _, i := range shown {
		if r.Comparisons[i].BelowDetectable {
			return []string{"Pale: below the smallest change the measurement can detect."}
		}
	}
	return nil
}

// exploratory lists the finer cells that stand out: nobody asked for them beforehand.
func exploratory(r *results.Results, judged, shown []int, level string) results.Exhibit {
	var rows []int
	for _, i := range judged {
		if c := &r.Comparisons[i]; stands(c) && !c.By.AllTeeth() && !c.Primary {
			rows = append(rows, i)
		}
	}
	finer := len(judged) - len(shown)
	if len(rows) == 0 || finer == 0 {
		return results.Exhibit{}
	}
	return results.Exhibit{
		ID: "comparison.exploratory", Kind: results.TableExhibit, Rows: rows, Left: finer - len(rows), Sheet: "comparisons",
		Title:       fmt.Sprintf("Exploratory: %d of %s by tooth class and arch stand out after correction. They were not asked for beforehand and need confirming in new cases.", len(rows), wording.Of(finer, "finer cell")),
		Columns:     []string{"Teeth, movement, course", "Cases CD v SS", "Adjusted (" + level + " CI)", "P, corr.", "Verdict"},
		Denominator: denominator, Method: "same-mouth", Definition: "difference-adjusted",
		Notes: []string{"CD clinician-designed, SS software-suggested; points of expression. Every cell: " + wording.OnSheet("comparisons") + "."},
	}
}
