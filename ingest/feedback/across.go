package feedback

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// Finding is what a person reads: one group, or the groups that say the same
// about several sheets, such as those of a workbook with a sheet for each case.
type Finding struct {
	Group
	// Sheets are the sheets in the order of the groups; Sheet and Where of the
	// group hold for the first.
	Sheets []string
	places []string
}

// fewestSheets is from how many sheets on errors are joined: up to there each
// is worth a line of its own.
const fewestSheets = 4

// Across joins groups that differ in nothing but the sheet, worst first. Findings of one rule and column with different counts are
// joined under the title of the rule.
func Across(groups []Group) []Finding {
	out := rejoin(join(groups))
	slices.SortStableFunc(out, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(b.Severity, a.Severity), cmp.Compare(b.Count, a.Count))
	})
	return out
}

type alike struct {
	rule, column, text, remedy string
	severity                   casebook.Severity
}

func join(groups []Group) []Finding {
	at := map[alike]int{}
	many := map[alike]int{}
	key := func(g Group) alike { return alike{g.Rule, g.Column, g.Message, g.Remedy, g.Severity} }
	for _, g := range groups {
		many[key(g)]++
	}
	var out []Finding
	for _, g := range groups {
		k := key(g)
		i, seen := at[k]
		if !seen || g.Sheet == "" || g.Severity == casebook.Error && many[k] < fewestSheets {
			at[k] = len(out)
			out = append(out, Finding{Group: g, Sheets: []string{g.Sheet}, places: []string{g.Where}})
			continue
		}
		out[i].Count += g.Count
		out[i].Sheets, out[i].places = append(out[i].Sheets, g.Sheet), append(out[i].places, g.Where)
	}
	return out
}

// rejoin joins notes of a column whose messages count differently.
func rejoin(fs []Finding) []Finding {
	at := map[alike]int{}
	var out []Finding
	for _, f := range fs {
		k := alike{f.Rule, f.Column, f.Title, f.Remedy, f.Severity}
		i, seen := at[k]
		if !seen || f.Column == "" || f.Severity != casebook.Info || f.Rule == string(rules.QuestionAnswered) {
			at[k] = len(out)
			out = append(out, f)
			continue
		}
		o := &out[i]
		o.Message = strings.ToLower(f.Title[:1]) + f.Title[1:]
		o.Count += f.Count
		o.Sheets, o.places = append(o.Sheets, f.Sheets...), append(o.places, f.places...)
	}
	return out
}

// Place names where the finding is: "sheet Data, column "Tooth", C4".
func (f Finding) Place() string {
	var parts []string
	same := !slices.ContainsFunc(f.places, func(p string) bool { return p != f.Where })
	switch n := len(f.Sheets); {
	case n == 1 && f.Sheet != "":
		parts = append(parts, "sheet "+f.Sheet)
	case n > 1:
		parts = append(parts, fmt.Sprintf("%d sheets (%s)", n, f.named(!same)))
	}
	if f.Column != "" {
		parts = append(parts, fmt.Sprintf("column %q", f.Column))
	}
	if same && f.Where != "" {
		parts = append(parts, f.Where)
	}
	return strings.Join(parts, ", ")
}

// named lists the first sheets, with their places where these differ.
func (f Finding) named(places bool) string {
	sep := ", "
	if places {
		sep = "; "
	}
	var out []string
	for i, s := range f.Sheets {
		if i == mostNamed-1 && len(f.Sheets) > mostNamed {
			return strings.Join(out, sep) + fmt.Sprintf(" and %d more", len(f.Sheets)-i)
		}
		if places && f.places[i] != "" {
			s += ": " + f.places[i]
		}
		out = append(out, s)
	}
	return strings.Join(out, sep)
}
