package outlook

import (
	"context"
	"fmt"
	"math"
	"slices"

	"shortfall/audit/ask"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Question asks what past plans suggest and what more data would settle.
func Question() ask.Question {
	return ask.Question{
		ID: "outlook", Share: 2, Reads: true,
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Questions.Outlook = answer(p, r)
			return nil
		},
		Part: func(r *results.Results) []any { return []any{&r.Questions.Outlook} },
		// It is made of tables as they are printed, and of plans with enough cases for
		// an interval: nothing small is left to take out, and the check would find it.
		Withhold: func(*rows.Set, *results.Results) {},
		Columns:  columns(), Definitions: definitions, Section: section,
	}
}

func definitions(s *results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "expected-result-of-a-plan", Term: "expected result of a plan", Formula: fmt.Sprintf("line of achieved on planned, spread growing with a power of the plan; band for %s of 100 new movements on t with cases - 2 degrees of freedom", wording.Fixed(results.Number(100*s.Questions.BandShare), 0)), Source: "Pinheiro & Bates 2000, section 5.2.1; Seber & Lee 2003, section 5.3"},
	}
}

// mostUndecided comparisons are told; the workbook has all.
const mostUndecided = 12

func section(r *results.Results) results.Section {
	o := &r.Questions.Outlook
	out := results.Section{ID: "outlook", Title: "What to expect, and what more cases would settle"}
	if len(o.Expected) == 0 && len(o.Undecided) == 0 {
		return out
	}
	for _, u := range []casebook.Unit{casebook.Millimetre, casebook.Degree} {
		if at := middle(o.Expected, u); len(at) > 0 {
			out.Exhibits = append(out.Exhibits, bands(o, u, at))
		}
	}
	if len(o.Undecided) > 0 {
		out.Lines = append(out.Lines, undecidedLines(o)...)
	}
	return out
}

// middle picks the plan of middle size of each cell, by index: results hold three
// sizes a cell.
func middle(es []results.Expectation, u casebook.Unit) (at []int) {
	for i := 0; i < len(es); {
		j := i
		for j < len(es) && es[j].By == es[i].By {
			j++
		}
		if es[i].Unit == u {
			at = append(at, i+(j-i)/2)
		}
		i = j
	}
	return at
}

func bands(o *results.Outlook, u casebook.Unit, at []int) results.Exhibit {
	return results.Exhibit{
		ID: "outlook.bands-" + u.String(), Kind: results.FigureExhibit, Rows: at, Left: len(o.Expected) - len(at), Sheet: "expected results",
		Title:       fmt.Sprintf("Of 100 movements planned like this, where %s would be expected to end: middle plans, in %s", wording.Fixed(results.Number(100*float64(o.Share)), 0), wording.Unit(u)),
		Denominator: "analysed movements of first sets, by direction and tooth class", Method: "prediction-band", Definition: "expected-result-of-a-plan",
		Notes: append(slices.Clone(o.Cautions),
			"First sets. The upright bar is the plan. Band held: share of the practice's own movements inside the band computed without their case.",
			wording.Sentence(o.Method), "Smaller and larger plans: "+wording.OnSheet("expected results")+".",
		),
	}
}

func undecidedLines(o *results.Outlook) []results.Line {
	pace := "In which months cases start is not on record"
	if o.CasesPerQuarter.OK() {
		pace = "In a usual quarter " + wording.Of(int(math.Round(float64(o.CasesPerQuarter))), "case") + " started that are analysed here"
	}
	var items []results.Line
	all := 0
	for i := range o.Undecided {
		u := &o.Undecided[i]
		if u.By.WholeInFirstSets() {
			if all++; all <= mostUndecided {
				items = append(items, results.Line{Role: results.Item, Text: wording.Sentence(u.Sentence)})
			}
		}
	}
	lead := pace + "."
	if all > 0 {
		lead += " " + leadUndecided(all)
	}
	rest := "How closely each expression is known: " + wording.OnSheet("precision") + "."
	if n := len(o.Undecided) - len(items); n > 0 {
		rest = "Not distinguishable and not listed here are " + wording.Of(n, "comparison") + more(all-len(items)) + ": " + wording.OnSheet("undecided") + ". " + rest
	}
	return append(append([]results.Line{{Text: lead}}, items...), results.Line{Text: rest})
}

// leadUndecided says what the list is of.
func leadUndecided(n int) string {
	if n == 1 {
		return "In one direction over all teeth of first sets the styles are not distinguishable. This is what more cases would settle at the rate so far:"
	}
	return "In " + wording.Of(n, "direction") + " over all teeth of first sets the styles are not distinguishable. This is what more cases would settle at the rate so far:"
}

// more says how many of what is not listed are directions over all teeth.
func more(n int) string {
	if n == 0 {
		return " (refinements and finer cells)"
	}
	return " (" + wording.Of(n, "direction") + " of first sets, refinements and finer cells)"
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "questions.outlook.share", Definition: "expected-result-of-a-plan", Method: "prediction-band"},
		{Field: "questions.outlook.cases_per_quarter", Definition: "more-cases", Method: "count"},
		{Field: "questions.outlook.expected", Definition: "expected-result-of-a-plan", Method: "prediction-band"},
		{Field: "questions.outlook.undecided", Definition: "more-cases", Method: "planning"},
		{Field: "questions.outlook.precision", Definition: "expression", Method: "planning"},
	}
}
