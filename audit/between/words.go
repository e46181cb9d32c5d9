package between

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

// GroupWords sums the verdicts of a family up in one sentence.
func GroupWords(cs []results.GroupComparison, group, reference string) results.Line {
	n := map[results.Verdict]int{}
	compared := 0
	for i := range cs {
		if c := &cs[i]; !c.Suppressed && c.Verdict != results.NotComparable {
			n[c.Verdict]++
			compared++
		}
	}
	if compared == 0 {
		return results.Line{Role: results.Missing, Text: wording.Capital(group) + " and " + reference + " cannot be compared yet: no movement has enough patients with both."}
	}
	said := "no clear difference in " + wording.AnyOf(compared, "comparison")
	if clear := n[results.Higher] + n[results.Lower]; clear > 0 {
		said = "a clear difference in " + wording.SomeOf(clear, compared, "comparison")
		switch {
		case clear == 1 && n[results.Lower] == 0:
			said += ", with more of the plan achieved"
		case clear == 1:
			said += ", with less of the plan achieved"
		case n[results.Lower] == 0:
			said += ", each with more of the plan achieved"
		case n[results.Higher] == 0:
			said += ", each with less of the plan achieved"
		default:
			said += fmt.Sprintf(", more of the plan achieved in %d and less in %d", n[results.Higher], n[results.Lower])
		}
	}
	return results.Line{Text: wording.Capital(group) + " set against " + reference + ", within the same patients and adjusted: " + said + ". Association only: clinicians chose how to plan."}
}

// GroupExhibits are the figure of a family and the table behind it; none where
// nothing could be compared. The figure draws first sets, and refinements that
// stand out.
func GroupExhibits(id, title, sheet, definition string, cs []results.GroupComparison, level float64) []results.Exhibit {
	var drawn, judged []int
	told := 0
	for i := range cs {
		c := &cs[i]
		if c.Suppressed || c.Verdict == results.NotComparable {
			continue
		}
		judged = append(judged, i)
		stands := c.Verdict != results.NotDistinguishable
		if stands {
			told++
		}
		if c.By.Course != results.Refinement || stands {
			drawn = append(drawn, i)
		}
	}
	if len(judged) == 0 {
		return nil
	}
	title += ": " + toldApart(told, len(judged))
	table := GroupTable(id+".table", title, "", sheet, definition, cs, level)
	if len(drawn) == 0 {
		return []results.Exhibit{table}
	}
	return []results.Exhibit{{
		ID: id + ".figure", Kind: results.FigureExhibit, Title: title, Rows: drawn, Left: len(cs) - len(drawn), Sheet: sheet, See: []string{table.ID},
		Denominator: groupDenominator, Method: "same-mouth", Definition: definition,
		Notes: []string{"Points of expression. Drawn are first sets, and refinements that stand out. Verdicts after correction over this family of comparisons."},
	}, table}
}

func toldApart(told, compared int) string {
	if told == 0 && compared == 1 {
		return "the one comparison could not be told apart"
	}
	return wording.SomeOf(told, compared, "comparison") + " told apart"
}

const groupDenominator = "analysed movements with what is compared on record"

// GroupTable holds the comparisons of a family that were judged; all are on a sheet
// of the workbook.
func GroupTable(id, title, note, sheet, definition string, cs []results.GroupComparison, level float64) results.Exhibit {
	e := results.Exhibit{
		ID: id, Kind: results.TableExhibit, Title: title, Sheet: sheet,
		Columns:     []string{"Movement, course", "Cases", "Unadjusted", "Adjusted (" + wording.CI(level) + ")", "P, corr.", "Verdict"},
		Denominator: groupDenominator, Method: "same-mouth", Definition: definition,
	}
	for i := range cs {
		if c := &cs[i]; !c.Suppressed && c.Verdict != results.NotComparable {
			e.Rows = append(e.Rows, i)
		}
	}
	e.Left = len(cs) - len(e.Rows)
	if names := groupNames(cs, e.Rows); names != "" {
		e.Notes = append(e.Notes, names)
	}
	if note != "" {
		e.Notes = append(e.Notes, note)
	}
	e.Notes = append(e.Notes, "P is corrected over this family of comparisons.")
	if e.Left == 0 {
		e.Notes = append(e.Notes, "With movements: "+wording.OnSheet(sheet)+".")
	} else {
		e.Notes = append(e.Notes, "With movements, and "+wording.Of(e.Left, "comparison")+" with too few cases: "+wording.OnSheet(sheet)+".")
	}
	return e
}

// groupNames says once what is set against what where it is the same in every row.
func groupNames(cs []results.GroupComparison, rows []int) string {
	for _, i := range rows {
		if first := &cs[rows[0]]; cs[i].Group.Name != first.Group.Name || cs[i].Reference.Name != first.Reference.Name {
			return ""
		}
	}
	if len(rows) == 0 {
		return ""
	}
	return wording.Capital(cs[rows[0]].Group.Name) + " v " + cs[rows[0]].Reference.Name + "."
}
