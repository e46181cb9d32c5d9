package page

import (
	"archive/zip"
	"fmt"
	"html/template"
	"io"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/cmd/job"
	"shortfall/cmd/page/address"
	"shortfall/cmd/page/found"
	"shortfall/ingest/casebook"
	"shortfall/report"
	"shortfall/report/section"
)

func (s *server) auditRoutes(on func(string, practiceHandler)) {
	on("GET /p/{practice}/audit", s.auditPage)
	on("GET /p/{practice}/audit/full", s.fullPage)
	on("GET /p/{practice}/audit/behind", s.behindPage)
	on("GET /p/{practice}/audit/flow", s.flowPage)
	on("GET /p/{practice}/audit/cases", s.casesPage)
	on("GET /p/{practice}/audit/files/{name}", s.rendering)
	on("POST /p/{practice}/paper", s.paperForm)
	on("GET /p/{practice}/case", s.casePage)
	on("GET /p/{practice}/case.pdf", s.caseFile)
}

// auditView is the page of an audit.
type auditView struct {
	Query      url.Values
	Keep       template.URL // the settings as a query, to go on with
	Settings   results.Settings
	Clinicians []string
	Quarters   []string // in which cases ended, the last first
	Nothing    string   // that nothing ended in the quarter asked for
	Saved      []savedAudit
	Error      string
	Shared     bool
	Front      template.HTML
	Files      []rendered
	Paper      string     // size of its pages
	Open       []openFile // dropped and not in it
}

// rendered is a file that an audit is given out as.
type rendered struct{ Name, Text string }

var renderings = []rendered{
	{"one-page.pdf", "PDF, one page for the wall"},
	{"report.pdf", "PDF for a meeting"},
	{"full-report.pdf", "PDF with annexes"},
	{"report.html", "Web page"},
	{"tables.xlsx", "Workbook"},
	{"results.json", "Numbers (JSON)"},
	{"figures.zip", "Figures"},
}

func (s *server) auditPage(w http.ResponseWriter, r *http.Request, p *practice) error {
	if on, err := s.decided(w, r, p); err != nil || !on {
		return err
	}
	if chosen, err := address.Settings(r.URL.Query()); err == nil && r.URL.Query().Get("teeth") != "" {
		if err := p.showTeeth(chosen.Notation); err != nil {
			return err
		}
	}
	a, ok, err := s.audit(w, r, p)
	v := auditView{Query: r.URL.Query(), Keep: keepOf(r.URL.Query()), Files: renderings, Paper: p.paper().Name}
	switch {
	case err != nil:
		v.Error = err.Error()
		if a := p.lastAudit(); a != nil { // what was on the page stays there
			v.Front, v.Shared, v.Keep = a.front, a.trail == nil, keepOf(a.query)
		}
	case !ok:
		return nil
	default:
		v.Front, v.Shared = a.front, a.trail == nil
	}
	if v.Settings, _ = p.settings(r.URL.Query()); v.Settings.Level == 0 {
		v.Settings = results.DefaultSettings()
	}
	if v.Saved, err = p.savedAudits(); err != nil {
		return err
	}
	v.Open, _ = p.openFiles()
	if rec, err := p.load(r.Context()); err == nil {
		v.Clinicians, v.Quarters = clinicians(rec.ds), quarters(rec.ds)
	}
	if q := a.quarter(); q != nil && q.Now.Cases == 0 && q.Now.Name != "" && !v.Shared {
		v.Nothing = "No course with a measured outcome ended in " + q.Now.Name
		if len(v.Quarters) > 0 {
			v.Nothing += "; the last quarter in which a case ended is " + v.Quarters[0]
		}
		v.Nothing += "."
	}
	return s.show(w, r, http.StatusOK, "audit", view{Title: "Audit", Practice: p, Tab: "audit", Data: v})
}

// quarter is what was compared of a quarter, nil where none was.
func (a *audited) quarter() *results.InTime {
	if a == nil || a.res == nil {
		return nil
	}
	return a.res.Questions.Quarter
}

// quarters are those in which a case ended, the last first.
func quarters(ds *casebook.Dataset) (out []string) {
	for i := range ds.Cases {
		if end := ds.Cases[i].End; end != 0 {
			out = append(out, end.Quarter())
		}
	}
	slices.Sort(out)
	slices.Reverse(out)
	return slices.Compact(out)
}

// clinicians are the codes on record.
func clinicians(ds *casebook.Dataset) (out []string) {
	for i := range ds.Cases {
		if c := ds.Cases[i].Clinician; c != "" {
			out = append(out, c)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func (s *server) fullPage(w http.ResponseWriter, r *http.Request, p *practice) error {
	if on, err := s.decided(w, r, p); err != nil || !on {
		return err
	}
	a, ok, err := s.audit(w, r, p)
	if err != nil || !ok {
		return err
	}
	want, err := p.wanted(r.URL.Query())
	if err != nil {
		return err
	}
	full, err := a.whole(p.enter(a, want))
	if err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "full", view{Title: "Full report", Practice: p, Tab: "audit", Data: map[string]any{"Full": full, "Keep": keepOf(want.query)}})
}

// mostSteps of movements are on one page.
const mostSteps = 300

// step is one movement as a table has it.
type step struct {
	Case, CaseLink    string
	Course, Tooth     string
	Movement, Style   string
	Planned, Achieved string
	Expression        string
	Tolerance         string
	Outside           bool
}

// behindView is what stands behind a number.
type behindView struct {
	What    string
	Begun   string
	Twice   bool // each movement in two courses
	Count   int
	Cases   int
	Steps   []step
	From    int
	Before  string
	After   string
	Verdict template.HTML
	Back    string
	Keep    string
}

func (s *server) behindPage(w http.ResponseWriter, r *http.Request, p *practice) error {
	a, ok, err := s.inside(w, r, p)
	if err != nil || !ok {
		return err
	}
	q := r.URL.Query()
	by, err := address.Cell(q)
	if err != nil {
		return errNothing
	}
	v := behindView{What: wording.Capital(wording.NamesOf(a.res).Cell(by)), Begun: q.Get("begun")}
	var steps []audit.Step
	if had := q.Get("had"); had != "" {
		from, err := casebook.ParseStyle(had)
		if err != nil {
			return errNothing
		}
		steps, v.Cases = a.trail.Path(by.Axis, from, by.Style)
		v.What, v.Twice = wording.Capital(by.Axis.String())+": fell short with "+wording.Style(from)+", next course "+wording.Style(by.Style), true
		v.Count = len(steps) / 2
	} else {
		if q.Has("planned-from") || q.Has("planned-below") {
			steps, v.Cases = a.trail.Sized(by, address.Size(q, "planned-from"), address.Size(q, "planned-below"))
			v.What += ", plans of one size"
		} else {
			steps, v.Cases = a.trail.Movements(by, q.Get("begun"))
		}
		v.Count = len(steps)
	}
	v.lists(p, a, steps, q)
	if doc, ok, err := section.Verdict(a.res, by); err != nil {
		return err
	} else if ok && !v.Twice {
		if v.Verdict, err = drawn(doc, nil); err != nil {
			return err
		}
	}
	return s.show(w, r, http.StatusOK, "behind", view{Title: v.What, Practice: p, Tab: "audit", Data: v})
}

// flowPage lists the movements at a step of the flow, or those that leave it there.
func (s *server) flowPage(w http.ResponseWriter, r *http.Request, p *practice) error {
	a, ok, err := s.inside(w, r, p)
	if err != nil || !ok {
		return err
	}
	q := r.URL.Query()
	if !a.inFlow(q) {
		return errNothing
	}
	step, leave := address.FlowStep(q)
	of := a.res.Flow.Steps[step]
	v := behindView{What: of.Title}
	if leave {
		v.What = of.Excluded[0].Reason
	}
	var steps []audit.Step
	steps, v.Cases = a.trail.Flow(step, leave)
	v.Count = len(steps)
	v.lists(p, a, steps, q)
	return s.show(w, r, http.StatusOK, "behind", view{Title: v.What, Practice: p, Tab: "audit", Data: v})
}

// inFlow reports a step of the flow of which the movements can be listed.
func (a *audited) inFlow(q url.Values) bool {
	step, leave := address.FlowStep(q)
	return a.trail != nil && step < len(a.res.Flow.Steps) && a.trail.InFlow(step, leave)
}

// lists puts a page of the movements into the view.
func (v *behindView) lists(p *practice, a *audited, steps []audit.Step, q url.Values) {
	set := a.res.Provenance.Settings
	v.Back = "/p/" + p.ID + "/audit?" + address.Kept(q).Encode()
	from, _ := strconv.Atoi(q.Get("from-row"))
	v.From = max(0, min(from, len(steps)))
	for _, x := range steps[v.From:min(len(steps), v.From+mostSteps)] {
		v.Steps = append(v.Steps, stepOf(p, a, x, set.Notation))
	}
	turn := func(to int) string {
		q.Set("from-row", strconv.Itoa(to))
		return "?" + q.Encode()
	}
	if v.From > 0 {
		v.Before = turn(max(0, v.From-mostSteps))
	}
	if v.From+mostSteps < len(steps) {
		v.After = turn(v.From + mostSteps)
	}
}

// inside gives an audit whose cases may be looked at.
func (s *server) inside(w http.ResponseWriter, r *http.Request, p *practice) (*audited, bool, error) {
	a, ok, err := s.audit(w, r, p)
	if ok && a.trail == nil {
		return nil, false, wrong("these results are made to leave the practice: the cases behind them are not shown. Take the mark from “to leave the practice”")
	}
	return a, ok, err
}

// nameIn is the name of a case in a list of an audit: its practice is said where the
// audit is of several.
func nameIn(a *audited, k casebook.CaseKey) string {
	if in := a.res.Scope.Practices; len(in) == 1 && in[0] == k.Practice {
		return k.ID
	}
	return k.String()
}

func stepOf(p *practice, a *audited, x audit.Step, n casebook.Notation) step {
	u := x.Unit()
	out := step{
		Case: nameIn(a, x.Case), CaseLink: caseLink(p, x.Case), Course: courseName(x.Course), Tooth: x.Tooth.In(n), Movement: x.Direction.String(), Style: wording.Style(x.Style),
		Planned: wording.Fine(results.Number(x.Planned), u), Achieved: "not measured", Expression: wording.Dash, Tolerance: wording.Dash,
	}
	if x.Direction == casebook.NoDirection {
		out.Movement = x.Axis.String()
	}
	if math.IsNaN(x.Achieved) {
		return out
	}
	out.Achieved, out.Tolerance, out.Outside = wording.Fine(results.Number(x.Achieved), u), "within", x.Outside
	if x.Outside {
		out.Tolerance = "outside"
	}
	if x.Planned > 0 {
		out.Expression = wording.Whole(results.Number(x.Achieved / x.Planned))
	}
	return out
}

func courseName(n int) string {
	if n <= 1 {
		return "initial"
	}
	return fmt.Sprintf("refinement %d", n-1)
}

func caseLink(p *practice, k casebook.CaseKey) string {
	return "/p/" + p.ID + "/case?" + address.Query("practice", k.Practice, "id", k.ID)
}

// caseLine is one case of a list.
type caseLine struct {
	Name, Link, Start, Status, Refinements string
}

func (s *server) casesPage(w http.ResponseWriter, r *http.Request, p *practice) error {
	a, ok, err := s.inside(w, r, p)
	if err != nil || !ok {
		return err
	}
	q := r.URL.Query()
	what, list := "Cases", a.trail.Cases(q.Get("quarter"))
	if q.Has("followed") {
		what, list = "Cases followed from their start", a.trail.Followed()
	}
	if c, in := q.Get("of-clinician"), q.Get("of-practice"); c != "" || in != "" {
		what, list = strings.TrimSpace("Cases of "+c+in), a.trail.Of(c, in)
	}
	if v := q.Get("quarter"); v != "" {
		what = "Cases begun in " + v
	}
	if v := q.Get("refinements"); v != "" {
		n, err := strconv.Atoi(strings.TrimSuffix(v, "+"))
		if err != nil {
			return errNothing
		}
		style := casebook.NoStyle
		what = "Completed cases by refinements: " + v
		if main := q.Get("mainly"); main != "" {
			if style, err = casebook.ParseStyle(main); err != nil {
				return errNothing
			}
			what += ", first attachments mainly " + wording.Style(style)
		}
		list = a.trail.Finished(n, strings.HasSuffix(v, "+"), style)
	}
	var lines []caseLine
	for _, c := range list {
		l := caseLine{Name: nameIn(a, c.Case), Link: caseLink(p, c.Case), Start: c.Start.String(), Refinements: "not known"}
		if c.Status != casebook.NoStatus {
			l.Status = c.Status.String()
		}
		if c.Known {
			l.Refinements = strconv.Itoa(c.Refinements)
		}
		lines = append(lines, l)
	}
	return s.show(w, r, http.StatusOK, "cases", view{Title: what, Practice: p, Tab: "audit", Data: map[string]any{
		"Lines": lines, "Back": "/p/" + p.ID + "/audit?" + address.Kept(q).Encode(),
	}})
}

// caseSheets makes the sheet of the case that an address names.
func (s *server) caseSheets(r *http.Request, p *practice, shared bool) (*results.CaseSheets, casebook.CaseKey, error) {
	k := casebook.CaseKey{Practice: r.URL.Query().Get("practice"), ID: r.URL.Query().Get("id")}
	rec, err := p.load(r.Context())
	if err != nil {
		return nil, k, err
	}
	set, err := p.settings(nil)
	if err != nil {
		return nil, k, err
	}
	set.Shared = shared
	sheets, err := audit.MakeCaseSheets(rec.ds, []casebook.CaseKey{k}, set, s.o.Version)
	if err != nil {
		return nil, k, &said{http.StatusNotFound, "there is no such case in the audit: it may have been removed"}
	}
	return sheets, k, nil
}

func (s *server) casePage(w http.ResponseWriter, r *http.Request, p *practice) error {
	sheets, k, err := s.caseSheets(r, p, false)
	if err != nil {
		return err
	}
	doc, err := section.Cases(sheets)
	if err != nil {
		return err
	}
	body, err := drawn(doc, nil)
	if err != nil {
		return err
	}
	refused, err := p.refusedOf(r.Context(), k)
	if err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "case", view{Title: "Case " + k.String(), Practice: p, Tab: "audit", Data: map[string]any{
		"Body": body, "Refused": refused, "File": "/p/" + p.ID + "/case.pdf?" + address.Query("practice", k.Practice, "id", k.ID), "Records": "/p/" + p.ID + "/records/case?" + address.Query("practice", k.Practice, "id", k.ID),
	}})
}

// caseFile is the sheet of a case for a study club: made to leave the practice.
func (s *server) caseFile(w http.ResponseWriter, r *http.Request, p *practice) error {
	sheets, _, err := s.caseSheets(r, p, true)
	if err != nil {
		return err
	}
	if err := job.ScreenSheets(sheets); err != nil {
		return wrong(found.InWindow(err.Error()))
	}
	return s.download(w, "case.pdf", pdfType, func(w io.Writer) error { return report.CasePDF(w, sheets, report.Options{Paper: p.paper()}) })
}

// rendering gives an audit out as a file, the same bytes as the command line writes.
func (s *server) rendering(w http.ResponseWriter, r *http.Request, p *practice) error {
	if on, err := s.decided(w, r, p); err != nil || !on {
		return err
	}
	a, ok, err := s.audit(w, r, p)
	if err != nil || !ok {
		return err
	}
	pdf := func(pages section.Pages) func(io.Writer) error {
		return func(w io.Writer) error { return report.PDF(w, a.res, report.Options{Pages: pages, Paper: p.paper()}) }
	}
	name := r.PathValue("name")
	make := map[string]struct {
		kind  string
		write func(io.Writer) error
	}{
		"one-page.pdf": {pdfType, pdf(section.One)}, "report.pdf": {pdfType, pdf(section.Short)}, "full-report.pdf": {pdfType, pdf(section.Full)},
		"report.html":  {htmlType, func(w io.Writer) error { return report.HTML(w, a.res) }},
		"tables.xlsx":  {workbookType, func(w io.Writer) error { return report.Workbook(w, a.res) }},
		"results.json": {jsonType, func(w io.Writer) error { return report.JSON(w, a.res) }},
		"figures.zip":  {"application/zip", func(w io.Writer) error { return zipped(w, a.res) }},
	}[name]
	if make.write == nil {
		return errNothing
	}
	return s.download(w, name, make.kind, make.write)
}

// keepOf is the settings of an audit as a part of the addresses that go on with them.
func keepOf(q url.Values) template.URL {
	return template.URL(address.Kept(q).Encode()) //nolint:gosec // encoded
}

// zipped are the figures of an audit, each a picture of its own, in one file.
func zipped(w io.Writer, r *results.Results) error {
	list, err := report.Figures(r)
	if err != nil {
		return err
	}
	z := zip.NewWriter(w)
	for _, f := range list {
		one, err := z.Create(f.Name)
		if err != nil {
			return err
		}
		if err := f.Write(one); err != nil {
			return err
		}
	}
	return z.Close()
}
