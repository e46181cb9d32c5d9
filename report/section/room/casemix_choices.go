package room

import (
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// mostChoices comparisons stand side by side; the workbook has all.
const mostChoices = 4

// choicesTable sets comparisons side by side, a choice a row: those of page one
// first.
func choicesTable(m *Maker, e *results.Exhibit) document.Block {
	all := slices.Clone(m.Results.Questions.CaseMix.Sensitivity)
	slices.SortStableFunc(all, func(a, b results.Sensitivity) int { return rank(a) - rank(b) })
	all = all[:min(mostChoices, len(all))]
	t := document.Table{ID: Anchor(e.ID), Title: e.Title, Columns: []document.Column{{Title: e.Columns[0]}}}
	var ids []string
	label := map[string]string{}
	for _, s := range all {
		name := wording.Capital(m.Names.Movement(s.By))
		if s.By.Course != results.Initial {
			name += ", " + wording.Course(s.By.Course)
		}
		if !s.By.AllTeeth() {
			name += ", " + wording.Place(s.By, m.Settings.Notation)
		}
		t.Columns = append(t.Columns, document.Column{Title: name, Number: true})
		for _, r := range s.Rows {
			if label[r.ID] == "" {
				ids, label[r.ID] = append(ids, r.ID), r.Choice
			}
			if label[r.ID] != r.Choice { // whom a check leaves out differs
				label[r.ID], _, _ = strings.Cut(r.Choice, " (")
			}
		}
	}
	head := 0
	for i, id := range ids {
		if next := headOf(e, all, i, id); next > head {
			head = next
			t.Rows = append(t.Rows, document.Row{Group: document.Strong(e.Heads[head-1])})
		}
		row := document.Row{Cells: []document.Cell{Words(wording.Capital(label[id]))}}
		for _, s := range all {
			row.Cells = append(row.Cells, choiceCell(s, id))
		}
		t.Rows = append(t.Rows, row)
	}
	return orNil(t)
}

// headOf is which of the heads the rows of a choice stand under, from 1: checks that
// decide, other choices; 0 for the first row, which is no choice.
func headOf(e *results.Exhibit, all []results.Sensitivity, at int, id string) int {
	if at == 0 || len(e.Heads) < 2 {
		return 0
	}
	for _, s := range all {
		for _, r := range s.Rows {
			if r.ID == id && r.Decides {
				return 1
			}
		}
	}
	return 2
}

// rank puts comparisons that are told apart first.
func rank(s results.Sensitivity) int {
	if len(s.Rows) > 0 && s.Rows[0].Verdict.Clear() {
		return 0
	}
	return 1
}

// choiceCell is what one choice gives; bold where the sentence of the comparison names it.
func choiceCell(s results.Sensitivity, id string) document.Cell {
	for _, r := range s.Rows {
		if r.ID == id && r.Adjusted.Difference.OK() {
			return document.Cell{Text: Points(r.Adjusted), Strong: r.Named}
		}
	}
	return Words(wording.Dash)
}
