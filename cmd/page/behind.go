package page

import (
	"io"
	"net/http"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/cmd/job"
	"shortfall/cmd/page/address"
	"shortfall/cmd/page/found"
	"shortfall/cmd/page/trail"
	"shortfall/ingest/casebook"
	"shortfall/report"
	"shortfall/report/section"
)

// inside gives an audit whose cases may be looked at.
func (s *server) inside(w http.ResponseWriter, r *http.Request, p *practice) (*audited, bool, error) {
	a, ok, err := s.audit(w, r, p)
	if ok && a.trail == nil {
		return nil, false, wrong("these results are made to leave the practice: the cases behind them are not shown. Take the mark from “to leave the practice”")
	}
	return a, ok, err
}

func (s *server) behindPage(w http.ResponseWriter, r *http.Request, p *practice) error {
	a, ok, err := s.inside(w, r, p)
	if err != nil || !ok {
		return err
	}
	v, by, err := a.lists(p).Movements(r.URL.Query())
	if err != nil {
		return errNothing
	}
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
	v, ok := a.lists(p).Flow(r.URL.Query())
	if !ok {
		return errNothing
	}
	return s.show(w, r, http.StatusOK, "behind", view{Title: v.What, Practice: p, Tab: "audit", Data: v})
}

func (s *server) casesPage(w http.ResponseWriter, r *http.Request, p *practice) error {
	a, ok, err := s.inside(w, r, p)
	if err != nil || !ok {
		return err
	}
	lists := a.lists(p)
	what, lines, err := lists.Cases(r.URL.Query())
	if err != nil {
		return errNothing
	}
	return s.show(w, r, http.StatusOK, "cases", view{Title: what, Practice: p, Tab: "audit", Data: map[string]any{
		"Lines": lines, "Back": lists.Back(r.URL.Query()),
	}})
}

// lists are those of what stands behind its numbers.
func (a *audited) lists(p *practice) *trail.Lists {
	return &trail.Lists{Results: a.res, Trail: a.trail, Practice: p.path()}
}

// caseSheets makes the sheet of the case that an address names.
func (s *server) caseSheets(r *http.Request, p *practice, shared bool) (*results.CaseSheets, casebook.CaseKey, error) {
	k := address.CaseOf(r.URL.Query())
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
	rejected, err := p.db.Rejected(r.Context())
	if err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "case", view{Title: "Case " + k.String(), Practice: p, Tab: "audit", Data: map[string]any{
		"Body": body, "Refused": found.RejectedRows(found.OfCase(rejected, k.ID)), "File": p.path() + "/case.pdf?" + address.OfCase(k), "Records": p.path() + "/records/case?" + address.OfCase(k),
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
