// Package ask puts questions to the analysed rows. A question is a folder below it:
// its computation, its part of the results, its small-number rule, its definitions,
// its sentences and what is drawn of it.
//
// Place in the pipeline: audit.Run puts the questions of one ordered list through
// here. The small-number rule is applied here, to every question and always: no
// question decides whether results leave the practice, and one that forgets a small
// count gives no shared results at all.
package ask

import (
	"context"
	"errors"
	"fmt"

	"shortfall/audit/parallel"
	"shortfall/audit/results"
	"shortfall/audit/rows"
)

// Question is one question with all that belongs to it.
type Question struct {
	// ID names it in results, in report/section and in the list: "switches".
	ID string
	// Reads: it reads tables of other questions, as they will be printed.
	Reads bool
	// Answer fills its part of the results, as if nothing ever left the practice. No
	// question is told whether its results do: neither this set nor Withhold's says so.
	Answer func(context.Context, *rows.Set, *results.Results) error
	// Part gives pointers to its part of the results, on which the rule is checked.
	Part func(*results.Results) []any
	// Withhold takes out every count below the minimum and what would tell it; it is
	// called for results that leave the practice, and for no others.
	Withhold func(*rows.Set, *results.Results)
	// Share of the time of an audit, in hundredths, where it is more than one; progress
	// goes by it (BenchmarkQuestions).
	Share int
	// Open names the counts, "Type.Field", that are printed whatever their size.
	Open []string
	// Columns give the numbers of its part their definition and method.
	Columns []results.Column
	// Definitions of its measures.
	Definitions func(*results.Settings) []results.Definition
	// Findings are its sentences for page one, if it has any to say.
	Findings func(*results.Results) []results.Finding
	// Section is its words: made from the results as they are printed.
	Section func(*results.Results) results.Section
}

// Check refuses a question that lacks a part.
func (q *Question) Check() error {
	switch {
	case q.ID == "":
		return errors.New("a question without an id")
	case q.Answer == nil, q.Part == nil, q.Withhold == nil, q.Section == nil, q.Definitions == nil, len(q.Columns) == 0:
		return fmt.Errorf("question %s: needs answer, part, withhold, columns, definitions and section", q.ID)
	}
	return nil
}

// Answers lets every question fill its part. A question writes its own part only, so
// they are shared out over the processors.
func Answers(ctx context.Context, p *rows.Set, r *results.Results, qs []Question) error {
	open := unshared(p)
	errs := make([]error, len(qs))
	parts := newParts(ctx, qs)
	err := parallel.Do(parallel.Told(ctx, nil), len(qs), func() func(int) {
		return func(i int) {
			errs[i] = qs[i].Answer(parts.of(ctx, i), open, r)
			parts.done(i, 1, 1)
		}
	})
	return errors.Join(append(errs, err)...)
}

// unshared is the set as every question gets it, which cannot tell whether results are
// shared.
func unshared(p *rows.Set) *rows.Set {
	open := *p
	open.Settings.Shared = false
	return &open
}

// Withhold applies the small-number rule to results that leave the practice, question
// after question, and looks at what is left. A small count that is still there is an
// error: such results are not given away.
func Withhold(p *rows.Set, r *results.Results, qs []Question) error {
	if !p.Settings.Shared {
		return nil
	}
	open := unshared(p)
	for i := range qs {
		qs[i].Withhold(open, r)
	}
	for i := range qs {
		for _, part := range qs[i].Part(r) {
			if at := SmallCount(part, p.Settings.MinCellCases, qs[i].Open); at != "" {
				return fmt.Errorf("question %s would give away a count of fewer than %d cases (%s): nothing was written; report this", qs[i].ID, p.Settings.MinCellCases, at)
			}
		}
	}
	return nil
}
