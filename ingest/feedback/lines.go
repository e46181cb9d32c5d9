package feedback

import (
	"cmp"
	"slices"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/casebook"
)

// line is one row of the input as it is written again.
type line struct {
	source   casebook.Source
	cells    []casebook.Cell
	rejected bool
	reasons  []string
}

// collect lists each row of the input once, in order.
func collect(b *casebook.Batch) []line {
	seen := map[casebook.Source]bool{}
	var out []line
	add := func(s casebook.Source, o casebook.Original) {
		if !seen[s] {
			seen[s] = true
			out = append(out, line{source: s, cells: o.Cells()})
		}
	}
	for _, r := range b.Rejected {
		seen[r.Source] = true
		l := line{source: r.Source, cells: r.Original.Cells(), rejected: true}
		for _, p := range r.Reasons {
			l.reasons = append(l.reasons, p.Message+" ["+p.Rule+"]")
		}
		out = append(out, l)
	}
	for _, r := range b.Movements {
		add(r.Source, r.Original)
	}
	for _, r := range b.Cases {
		add(r.Source, r.Original)
	}
	for _, r := range b.Courses {
		add(r.Source, r.Original)
	}
	for _, r := range b.Repeats {
		add(r.Source, r.Original)
	}
	slices.SortStableFunc(out, func(x, y line) int {
		return cmp.Or(cmp.Compare(x.source.Sheet, y.source.Sheet), cmp.Compare(x.source.Row, y.source.Row))
	})
	return out
}

// mark is what is said about one cell.
type mark struct {
	severity casebook.Severity
	texts    []string
}

func (a *annotator) marks() map[string]*mark {
	m := map[string]*mark{}
	for _, p := range a.batch.Problems {
		if p.Cell == "" {
			continue
		}
		k := p.Sheet + "!" + p.Cell
		if m[k] == nil {
			m[k] = &mark{}
		}
		m[k].severity = max(m[k].severity, p.Severity)
		m[k].texts = append(m[k].texts, p.Message+". "+p.Remedy)
	}
	return m
}

// marksOf finds the marks of a row, of blank cells too.
func marksOf(l line, marks map[string]*mark) map[string]*mark {
	out := map[string]*mark{}
	for col := 1; col <= 400; col++ {
		ref, err := excelize.CoordinatesToCellName(col, l.source.Row)
		if err != nil {
			break
		}
		if m := marks[l.source.Sheet+"!"+ref]; m != nil {
			out[ref] = m
		}
	}
	return out
}
