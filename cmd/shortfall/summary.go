package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
)

// grouped is one line of the summary: a rule met in one column of one sheet.
type grouped struct {
	casebook.Problem
	places []string
}

// shownPlaces bounds how many cells a line names.
const shownPlaces = 5

// group gathers problems of the same rule, file, sheet and column, errors
// first, in the order found.
func group(problems []casebook.Problem) []*grouped {
	type key struct{ rule, file, sheet, column string }
	index := map[key]*grouped{}
	var out []*grouped
	for _, p := range problems {
		k := key{p.Rule, p.File, p.Sheet, p.Column}
		g := index[k]
		if g == nil {
			g = &grouped{Problem: p}
			index[k] = g
			out = append(out, g)
		}
		g.places = append(g.places, place(p))
	}
	slices.SortStableFunc(out, func(a, b *grouped) int { return cmp.Compare(b.Severity, a.Severity) })
	return out
}

func place(p casebook.Problem) string {
	switch {
	case p.Cell != "":
		return p.Cell
	case p.Row > 0:
		return fmt.Sprintf("row %d", p.Row)
	}
	return ""
}

// printProblems writes one block a group: what, where, what to do.
func printProblems(w io.Writer, problems []casebook.Problem) {
	for _, g := range group(problems) {
		where := g.File
		if g.Sheet != "" {
			where += ", sheet " + g.Sheet
		}
		if at := g.where(); at != "" {
			where += ", " + at
		}
		fmt.Fprintf(w, "  %s [%s] %s: %s\n", g.Severity, g.Rule, where, strings.TrimSuffix(g.Message, "."))
		if g.Remedy != "" && g.Severity >= casebook.Warning {
			fmt.Fprintf(w, "      %s.\n", strings.TrimSuffix(g.Remedy, "."))
		}
	}
}

// where names the first cells and says how many more there are.
func (g *grouped) where() string {
	places := slices.DeleteFunc(slices.Clone(g.places), func(s string) bool { return s == "" })
	if len(places) == 0 {
		return ""
	}
	text := strings.Join(places[:min(len(places), shownPlaces)], ", ")
	if more := len(places) - shownPlaces; more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return text
}

// worst is the highest severity among problems.
func worst(problems []casebook.Problem) casebook.Severity {
	var s casebook.Severity
	for _, p := range problems {
		s = max(s, p.Severity)
	}
	return s
}

// shownProblems adds the reasons of rejected rows, which a batch keeps apart.
func shownProblems(b *casebook.Batch) []casebook.Problem {
	all := slices.Clone(b.Problems)
	for _, r := range b.Rejected {
		for _, p := range r.Reasons {
			if p.Sheet == "" {
				p.Sheet, p.Row = r.Source.Sheet, r.Source.Row
			}
			if p.File == "" {
				p.File = b.File.Name
			}
			if !slices.Contains(b.Problems, p) {
				all = append(all, p)
			}
		}
	}
	return all
}
