package report

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/paper"
	"shortfall/report/section"
)

// Options of a PDF. The zero value is A4.
type Options struct {
	Paper paper.Size
	Pages section.Pages
}

// PDF writes the audit report. The same results and options give the same
// bytes; the date in the file is the one in the results.
func PDF(w io.Writer, r *results.Results, o Options) error {
	if o.Pages != old {
		return writeFront(w, r, o)
	}
	d, err := compose(r, o)
	if err != nil {
		return err
	}
	if err := d.Write(w); err != nil {
		return fmt.Errorf("writing the PDF: %w", err)
	}
	return nil
}

// layout carries what every page needs.
type layout struct {
	d   *paper.Doc
	r   *results.Results
	set results.Settings
	at  map[results.By]int // where each cell of the grid is in the results
}

// old are the pages as they were, until they are gone.
const old section.Pages = -1

func compose(r *results.Results, o Options) (*paper.Doc, error) {
	date, err := documentDate(r.Provenance.Date)
	if err != nil {
		return nil, err
	}
	if o.Paper == (paper.Size{}) {
		o.Paper = paper.A4
	}
	meta := paper.Meta{
		Title: title(r) + ", " + wording.Period(r.Scope), Subject: kindOfStudy,
		Author: wording.Practices(r.Scope.Practices), Creator: r.Provenance.Tool + " " + r.Provenance.Version,
		Lang: "en-GB", Date: date, FootLeft: foot(r),
	}
	at := make(map[results.By]int, len(r.Expression))
	for i := range r.Expression {
		at[r.Expression[i].By] = i
	}
	return paper.Compose(o.Paper, meta, func(d *paper.Doc) {
		l := &layout{d: d, r: r, set: r.Provenance.Settings, at: at}
		l.summary()
		l.whoIsIn()
		l.expressed()
		l.compared()
		l.switches()
		l.staging()
		l.fit()
		l.caseMix()
		l.refined()
		l.lossRates()
		l.changed()
		l.units()
		l.outlook()
		l.quality()
		l.methods()
		l.tables()
	})
}

// noDate stands in files of an audit that has no date: the first that PDF
// readers show without complaint. Never the clock.
var noDate = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// documentDate reads YYYY-MM-DD or YYYY-MM.
func documentDate(s string) (time.Time, error) {
	if s == "" {
		return noDate, nil
	}
	for _, form := range []string{"2006-01-02", "2006-01"} {
		if t, err := time.Parse(form, s); err == nil {
			return t, nil
		}
	}
	return time.Time{}, fmt.Errorf("date of the results: expected YYYY-MM-DD or YYYY-MM; correct provenance.date or run the audit again")
}

// kindOfStudy is how the report names itself (STROBE item 1a, SQUIRE item 1).
const kindOfStudy = "Clinical audit / service evaluation, retrospective observational"

func title(r *results.Results) string {
	if t := r.Provenance.Settings.Title; t != "" {
		return t
	}
	return "Clear aligners: planned and achieved tooth movement"
}

// foot is the running foot: practice code, period, and whether it is invented.
func foot(r *results.Results) string {
	parts := []string{}
	if r.Provenance.Invented {
		parts = append(parts, "invented data")
	}
	parts = append(parts, wording.Period(r.Scope))
	switch n := len(r.Scope.Practices); {
	case n > 3:
		parts = append(parts, wording.Of(n, "practice"))
	default:
		parts = append(parts, wording.Practices(r.Scope.Practices))
	}
	return strings.Join(parts, " · ")
}

// notes registers warnings as footnotes and gives their numbers.
func (l *layout) notes(lists ...[]results.Warning) []int {
	var out []int
	for _, ws := range lists {
		for _, w := range ws {
			if n := l.d.Note(wording.Warning(w)); !slices.Contains(out, n) {
				out = append(out, n)
			}
		}
	}
	return out
}

// cell finds a cell of the grid.
func (l *layout) cell(by results.By) (results.Cell, bool) {
	i, ok := l.at[by]
	if !ok {
		return results.Cell{}, false
	}
	return l.r.Expression[i], true
}

// level of the intervals, "95 %".
func (l *layout) level() string { return wording.Level(l.set.Level) }

// directions lists the two directions of an axis.
func directions(a casebook.Axis) []casebook.Direction {
	return []casebook.Direction{casebook.DirectionOf(a, 1), casebook.DirectionOf(a, -1)}
}
