// Package feedback says what was found in a file: grouped lines for a person,
// JSON for a program, and a fresh workbook in which the cells are marked.
//
// Place in the pipeline: it reads what ingest gave and decides nothing. The
// user's own file is never written.
package feedback

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// Group is all problems of one rule in one column of one sheet.
type Group struct {
	Rule     string            `json:"rule"`
	Severity casebook.Severity `json:"severity"`
	Title    string            `json:"title"`
	File     string            `json:"file"`
	Sheet    string            `json:"sheet,omitempty"`
	Column   string            `json:"column,omitempty"`
	Count    int               `json:"count"`
	Where    string            `json:"where,omitempty"` // "C2:C48" or "C2, C9 and 12 more"
	Message  string            `json:"message"`         // of the first
	Remedy   string            `json:"remedy"`
}

// toldOnce leaves out a word that was read as one of ours where what was assumed of its
// column names both already.
func toldOnce(problems []casebook.Problem) []casebook.Problem {
	return slices.DeleteFunc(slices.Clone(problems), func(p casebook.Problem) bool {
		return p.Rule == casebook.WordsRead && slices.ContainsFunc(problems, func(q casebook.Problem) bool {
			return q.Rule == string(rules.LayoutAssumed) && q.File == p.File && strings.Contains(q.Message, strconv.Quote(p.Word.Said)) && strings.Contains(q.Message, p.Word.Means)
		})
	})
}

// Groups groups problems, errors first, then by number.
func Groups(problems []casebook.Problem) []Group {
	type key struct {
		rule, file, sheet, column, message string
		severity                           casebook.Severity
	}
	at := map[key]int{}
	var groups []Group
	var places [][]casebook.Problem
	for _, p := range toldOnce(problems) {
		k := key{p.Rule, p.File, p.Sheet, p.Column, "", p.Severity}
		if p.Cell == "" && p.Row == 0 || p.Severity == casebook.Info {
			k.message = p.Message // no place to group by, or already a group
		}
		i, ok := at[k]
		if !ok {
			i = len(groups)
			at[k] = i
			r, _ := rules.Find(rules.ID(p.Rule))
			groups = append(groups, Group{
				Rule: p.Rule, Severity: p.Severity, Title: r.Title, File: p.File, Sheet: p.Sheet,
				Column: p.Column, Message: p.Message, Remedy: p.Remedy,
			})
			places = append(places, nil)
		}
		groups[i].Count++
		places[i] = append(places[i], p)
	}
	for i := range groups {
		groups[i].Where = where(places[i])
	}
	slices.SortStableFunc(groups, func(a, b Group) int {
		return cmp.Or(cmp.Compare(b.Severity, a.Severity), cmp.Compare(b.Count, a.Count))
	})
	return groups
}

const mostNamed = 4 // places named one by one

// where lists the places of a group: a range where they follow one another.
func where(ps []casebook.Problem) string {
	var named []string
	rows, col, run := []int{}, 0, true
	for _, p := range ps {
		c, row, err := excelize.CellNameToCoordinates(p.Cell)
		if err != nil {
			if p.Row == 0 {
				continue
			}
			c, row = 0, p.Row
		}
		run = run && (len(rows) == 0 || row == rows[len(rows)-1]+1 && c == col)
		col = c
		rows = append(rows, row)
		if p.Cell != "" {
			named = append(named, p.Cell)
		} else {
			named = append(named, fmt.Sprint("row ", p.Row))
		}
	}
	switch {
	case len(named) > 2 && run && col > 0:
		return named[0] + ":" + named[len(named)-1]
	case len(named) > 2 && run:
		return fmt.Sprintf("rows %d to %d", rows[0], rows[len(rows)-1])
	case len(named) > mostNamed:
		return fmt.Sprintf("%s and %d more", strings.Join(named[:mostNamed-1], ", "), len(named)-mostNamed+1)
	}
	return strings.Join(named, ", ")
}

// Line is one line of the summary.
func (g Group) Line() string {
	var sb strings.Builder
	fmt.Fprintf(&sb, "%-7s %s", g.Severity, g.File)
	if g.Sheet != "" {
		fmt.Fprintf(&sb, ", sheet %s", g.Sheet)
	}
	if g.Column != "" {
		fmt.Fprintf(&sb, ", column %q", g.Column)
	}
	sb.WriteString(": ")
	switch {
	case g.Count > 1:
		fmt.Fprintf(&sb, "%d times: %s", g.Count, g.Message)
	default:
		sb.WriteString(g.Message)
	}
	if g.Where != "" && !strings.Contains(g.Message, g.Where) {
		sb.WriteString(", " + g.Where)
	}
	if g.Severity > casebook.Info {
		fmt.Fprintf(&sb, ". %s", g.Remedy)
	}
	fmt.Fprintf(&sb, " [%s]", g.Rule)
	return sb.String()
}
