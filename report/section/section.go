// Package section turns the results of an audit into a document: the first
// pages, and one builder a question for the annexes.
//
// Place in the pipeline: results in, document.Document out; report/paper and
// report/web render it. A builder places what the results say and decide; it
// writes no finding of its own and holds no millimetres.
package section

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
	"shortfall/report/section/room"
)

// Pages says how much of the report is wanted.
type Pages int

// One page for the wall, the four that persuade, or those with their annexes.
const (
	Short Pages = iota
	One
	Full
	// Everything is Full with what paper leaves to the workbook.
	Everything
)

// maker makes the first pages and what holds the report together.
type maker struct {
	*room.Maker
	front *results.Front
	pages Pages
	there map[string]bool // ids of what is made so far
}

func newMaker(r *results.Results) *maker {
	return &maker{Maker: room.NewMaker(r), front: &r.Front}
}

// newDocument is a document of the results with nothing in it yet.
func newDocument(r *results.Results) (*document.Document, error) {
	date, err := Date(r.Provenance.Date)
	if err != nil {
		return nil, err
	}
	return &document.Document{
		Title: Title(r) + ", " + wording.Period(r.Scope), Subject: KindOfStudy,
		Author: wording.Capital(wording.Practices(r.Scope.Practices)), Creator: r.Provenance.Tool + " " + r.Provenance.Version,
		Lang: "en-GB", Date: date, Foot: Foot(r),
	}, nil
}

// annexed is true of a report with annexes, to which a number can lead.
func (m *maker) annexed() bool { return m.pages == Full || m.pages == Everything }

// Document makes the report.
func Document(r *results.Results, pages Pages) (*document.Document, error) {
	d, err := newDocument(r)
	if err != nil {
		return nil, err
	}
	m := newMaker(r)
	m.pages = pages
	before := func(sections ...document.Section) {
		d.Sections = slices.Concat(sections, d.Sections)
		m.there = ids(d)
	}
	// The last first: what stands before leads to what comes after.
	if m.annexed() {
		before(m.annexes(pages == Full))
	}
	if pages != One {
		four := []document.Section{m.shortPage(), m.choicePage(), m.costPage(pages)}
		if m.nothingMeasured() { // page one says so, and why
			four = four[2:]
		}
		if change, ok := m.changePage(pages); ok {
			four = append(four, change)
		}
		before(four...)
	}
	before(m.pageOne(pages))
	return d, d.Check()
}

// noDate stands in files of an audit that has no date: the first that PDF
// readers show without complaint. Never the clock.
var noDate = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// Date reads YYYY-MM-DD or YYYY-MM.
func Date(s string) (time.Time, error) {
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

// KindOfStudy is how the report names itself (STROBE item 1a, SQUIRE item 1).
const KindOfStudy = "Clinical audit / service evaluation, retrospective observational"

// Title of the report: the practice's own, or one for all.
func Title(r *results.Results) string {
	if t := r.Provenance.Settings.Title; t != "" {
		return t
	}
	return "Clear aligners: planned and achieved tooth movement"
}

// Foot is the running foot: practice code, period, and whether it is invented.
func Foot(r *results.Results) string {
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

// interval is the name of the intervals, "95 % CI".
func (m *maker) interval() string { return wording.CI(m.Settings.Level) }
