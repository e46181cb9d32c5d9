package measuredby

import (
	"context"
	"strings"

	"shortfall/audit/ask"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Question asks how outcomes were measured.
func Question() ask.Question {
	return ask.Question{
		ID: "measuredby",
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Questions.Measured = answer(p)
			return nil
		},
		Part:     func(r *results.Results) []any { return []any{&r.Questions.Measured} },
		Withhold: withhold,
		Columns: []results.Column{
			{Field: "questions.measured.cells", Definition: "way-of-measuring", Method: "ratio-cr2"},
		},
		Definitions: definitions, Section: section,
	}
}

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{{
		ID: "way-of-measuring", Term: "way of measuring",
		Formula: "how achieved was measured, as recorded of the movement, else of its course; expression is given for each way apart, the styles are compared among teeth of one course measured in one way, and the error of measurement belongs to its way. A movement without an outcome counts with the way of most of its course",
		Source:  "convention of this audit",
	}}
}

// section says how outcomes were measured; where in several ways, what each has.
func section(r *results.Results) results.Section {
	a := &r.Questions.Measured
	out := results.Section{ID: "measuredby", Title: "How outcomes were measured"}
	if len(a.Ways) == 0 {
		return out
	}
	line := results.Line{Text: "How outcomes were measured: " + Ways(a.Ways) + ".", See: []string{"way-of-measuring"}}
	if len(a.Ways) == 1 {
		out.Lines = []results.Line{line}
		return out
	}
	line.Role = results.Caution
	line.Text += " What one way calls 2° another may call 3°. Tables of expression that take them together say so at the cell; below each way stands apart. Styles are compared only among teeth of one course measured in one way."
	out.Lines = []results.Line{line}
	e := results.Exhibit{
		ID: "measuredby.table", Kind: results.TableExhibit, Title: "Expression by the way in which outcomes were measured", Sheet: "ways of measuring",
		Columns:     []string{"Movement, measured by", "Cases / movements", "Expression, % (" + wording.CI(r.Provenance.Settings.Level) + ")"},
		Denominator: "analysed movements", Method: "ratio-cr2", Definition: "way-of-measuring",
		Notes: []string{"A difference between ways is no difference between treatments: other cases were measured in other ways."},
	}
	for i := range a.Cells {
		e.Rows = append(e.Rows, i)
	}
	if len(e.Rows) > 0 {
		out.Exhibits = []results.Exhibit{e}
	}
	return out
}

// Ways tells how many movements were measured how.
func Ways(ways []results.MeasuredWay) string {
	var parts []string
	for _, w := range ways {
		n := wording.Of(w.Movements, "movement") + " in " + wording.Of(w.Cases, "case")
		if w.Suppressed {
			n = "few cases"
		}
		parts = append(parts, wording.Way(w.Method)+" ("+n+")")
	}
	return strings.Join(parts, ", ")
}
