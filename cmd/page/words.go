package page

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"shortfall/audit/results/wording"
	"shortfall/cmd/page/address"
	"shortfall/cmd/page/targets"
	"shortfall/ingest/casebook"
)

// tab is one part of a practice.
type tab struct{ Path, Name string }

var tabs = []tab{{"read", "Read"}, {"audit", "Audit"}, {"cycle", "Targets and changes"}, {"records", "Records"}}

// words are what the templates say numbers and choices with.
var words = template.FuncMap{
	"count":       wording.Of,
	"target":      targets.Text,
	"capital":     wording.Capital,
	"apartRemedy": func() string { return casebook.ApartRemedy },
	"tabs":        func() []tab { return tabs },
	"notations":   func() []string { return []string{"fdi", "universal", "palmer"} },
	"text":        enumText,
	"join":        func(list []string) string { return strings.Join(list, ", ") },
	"has":         func(list []string, s string) bool { return slices.Contains(list, s) },
	"since":       func(name string) template.URL { return template.URL(address.Query("since", name)) }, //nolint:gosec // encoded
	"months": func(list []casebook.Month) string {
		var out []string
		for _, m := range list {
			out = append(out, m.String())
		}
		return strings.Join(out, ", ")
	},
	"dict": func(pairs ...any) map[string]any {
		out := map[string]any{}
		for i := 0; i+1 < len(pairs); i += 2 {
			out[fmt.Sprint(pairs[i])] = pairs[i+1]
		}
		return out
	},
}

// enumText is the word of a choice, "" where none was made.
func enumText(v interface{ MarshalText() ([]byte, error) }) string {
	b, err := v.MarshalText()
	if err != nil {
		return ""
	}
	return string(b)
}
