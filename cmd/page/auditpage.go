package page

import (
	"archive/zip"
	"html/template"
	"io"
	"net/http"
	"net/url"
	"slices"

	"shortfall/audit/results"
	"shortfall/cmd/job"
	"shortfall/cmd/page/address"
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
	keep := address.Kept(r.URL.Query())
	full, err := a.whole(p.enter(a, keep))
	if err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "full", view{Title: "Full report", Practice: p, Tab: "audit", Data: map[string]any{"Full": full, "Keep": keepOf(keep)}})
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
	return s.download(w, job.FileName(name, a.res), make.kind, make.write)
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
