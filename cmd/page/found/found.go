// Package found is what the page says of a file besides its questions: kinds of problems
// with what can be done in a window, what may identify a person, the columns that can be
// left out, rows that were rejected, and what became of the records.
//
// Place in the pipeline: below cmd/page, beside its questions and its grid; it reads
// problems, a look at the sheet and what the store did, and knows no requests.
package found

import (
	"strconv"
	"strings"

	"shortfall/cmd/page/address"
	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/feedback"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// Personal are the findings of the screen among the reasons of a refusal; those that
// somebody allowed are remarks.
func Personal(refused *ingest.Refused) (out []casebook.Problem) {
	if refused == nil {
		return nil
	}
	for _, p := range refused.Problems {
		if rules.Identifies(p.Rule) && p.Severity == casebook.Error {
			out = append(out, p)
		}
	}
	return out
}

// Finding is a group of problems as the page lists it.
type Finding struct {
	feedback.Finding
	Remedy string
	Link   string // to the first of them in the grid
	Only   string // the grid with these rows alone
}

// List puts problems by kind, those of the screen apart. What is a question, of one of the
// rules asked, stands with the questions. path is the address of the file's page.
func List(problems []casebook.Problem, asked map[string]bool, path string) (personal, others []Finding) {
	var list []casebook.Problem
	for _, p := range problems {
		if asked[p.Rule] && p.Severity == casebook.Error && !rules.Identifies(p.Rule) {
			continue
		}
		list = append(list, p)
	}
	for _, f := range feedback.Across(feedback.Groups(list)) {
		if f.Count > 1 && (f.Rule == string(rules.MovementDuplicate) || f.Rule == string(rules.CaseConflict)) {
			f.Message = f.Title // the message names the other row of the first alone
		}
		if f.Severity == casebook.Info && !rules.Identifies(f.Rule) {
			continue // said under what was understood
		}
		x := Finding{Finding: f, Remedy: remedyOf(f), Only: path + "?" + address.Query("rule", f.Rule) + "#grid"}
		for _, p := range list {
			if row, _ := sheet.Place(p.Cell); p.Rule == f.Rule && p.Row+row > 0 {
				x.Link = path + "?" + address.Query("sheet", p.Sheet, "row", strconv.Itoa(max(p.Row, row))) + "#" + anchor(p)
				break
			}
		}
		if rules.Identifies(f.Rule) && f.Severity == casebook.Error {
			personal = append(personal, x)
		} else {
			others = append(others, x)
		}
	}
	return personal, others
}

// remedyOf says what can be done, in the window too.
func remedyOf(f feedback.Finding) string {
	out := InWindow(f.Remedy)
	if f.Rule == string(rules.CaseConflict) {
		out += "; or, where a column is not one of the case, choose “not to be read” for it in the sheet below"
	}
	return out
}

func anchor(p casebook.Problem) string {
	if p.Cell != "" {
		return p.Cell
	}
	return "row" + strconv.Itoa(p.Row)
}

// InWindow leaves out of a remedy what only a command line can do: the page has
// buttons for it.
func InWindow(remedy string) string {
	var keep []string
	for _, part := range strings.Split(remedy, "; ") {
		var sentences []string
		for _, s := range strings.Split(part, ". ") {
			if !strings.Contains(s, "--") && !strings.Contains(s, "shortfall ") && !strings.Contains(s, "mapping file") && !strings.Contains(s, "waiver") {
				sentences = append(sentences, s)
			}
		}
		if len(sentences) > 0 {
			keep = append(keep, strings.Join(sentences, ". "))
		}
	}
	return strings.Join(keep, "; ")
}
