package page

import (
	"errors"
	"html/template"
	"io"
	"io/fs"
	"net/http"
	"net/url"
	"path/filepath"

	"shortfall/audit/declare"
	"shortfall/audit/results"
	"shortfall/cmd/job"
	"shortfall/cmd/keep"
	"shortfall/cmd/page/targets"
	"shortfall/ingest/scratch"
	"shortfall/report/section"
)

// largestDeclared of these files, bytes.
const largestDeclared = 256 << 20

func (p *practice) beside(ending string) string { return keep.Beside(p.Path, ending) }

func (s *server) cycleRoutes(on func(string, practiceHandler)) {
	on("GET /p/{practice}/cycle", s.cyclePage)
	on("POST /p/{practice}/cycle", s.declareForm)
	on("POST /p/{practice}/audits", s.keepAudit)
}

// criteria are what the practice declared; nil where it declared nothing.
func (p *practice) criteria() ([]byte, error) {
	data, err := scratch.Read(p.beside(keep.Criteria), largestDeclared)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return data, err
}

// declare takes the criteria of the practice into the settings.
func (p *practice) declare(set *results.Settings) error {
	data, err := p.criteria()
	if err != nil || data == nil {
		return err
	}
	if err := job.Declare(set, filepath.Base(p.beside(keep.Criteria)), data); err != nil {
		return wrong(err.Error())
	}
	return nil
}

// cycleView is the page of targets and changes.
type cycleView struct {
	File     string
	Criteria *results.Criteria
	Error    string // of what was sent, or of the file
	Written  bool   // what was sent stands in the file
	Example  bool
	Saved    []savedAudit
	Standing template.HTML // how the practice stands against them
	Measures []targets.Measure
	Options  map[string][]string
}

// blankRows of each kind that a form offers beyond those that are filled in.
const blankRows = 2

func (s *server) cyclePage(w http.ResponseWriter, r *http.Request, p *practice) error {
	v := cycleView{Criteria: &results.Criteria{Version: 1}}
	data, err := p.criteria()
	if err != nil {
		return err
	}
	if data != nil {
		c, err := declare.ParseCriteria(filepath.Base(p.beside(keep.Criteria)), data)
		if err != nil {
			v.Error = err.Error()
		} else {
			v.Criteria = c
		}
	}
	if v.Error == "" && data != nil {
		if v.Standing, err = s.standing(r, p); err != nil {
			return err
		}
	}
	v.Written = v.Error == "" && r.URL.Query().Get("saved") == "yes"
	return s.showCycle(w, r, p, v)
}

// standing is the part of the audit that answers the criteria, where the audit is at
// hand already.
func (s *server) standing(r *http.Request, p *practice) (template.HTML, error) {
	want, err := p.wanted(url.Values{})
	if err != nil {
		return "", nil //nolint:nilerr // the audit itself says it
	}
	a := p.atHand(want)
	if a == nil {
		return "", nil
	}
	doc, err := section.Document(a.res, section.Everything)
	if err != nil {
		return "", err
	}
	return drawn(doc.Part("annex-cycle"), p.enter(a, want.query))
}

func (s *server) showCycle(w http.ResponseWriter, r *http.Request, p *practice, v cycleView) error {
	var err error
	if v.Saved, err = p.savedAudits(); err != nil {
		return err
	}
	v.File = filepath.Base(p.beside(keep.Criteria))
	for range blankRows {
		v.Criteria.Criteria = append(v.Criteria.Criteria, results.Criterion{})
	}
	v.Criteria.Changes = append(v.Criteria.Changes, results.ProtocolChange{})
	v.Criteria.ActionsOf = append(v.Criteria.ActionsOf, results.Action{})
	v.Measures = targets.Measures()
	v.Options = targets.Options()
	return s.show(w, r, http.StatusOK, "cycle", view{Title: "Targets and changes", Practice: p, Tab: "cycle", Wide: true, Data: v})
}

// declareForm writes the criteria of a form into the file, the earlier one aside.
func (s *server) declareForm(w http.ResponseWriter, r *http.Request, p *practice) error {
	if err := r.ParseForm(); err != nil {
		return wrong("this form could not be read")
	}
	before, err := p.criteria()
	if err != nil {
		return err
	}
	c, err := targets.Of(r.PostForm)
	if err == nil {
		_, err = declare.ParseCriteria("The form", declare.WriteCriteria(c))
	}
	if err != nil {
		return s.showCycle(w, r, p, cycleView{Criteria: c, Error: err.Error()})
	}
	if before != nil {
		if err := scratch.Replace(p.beside(keep.Earlier), func(w io.Writer) error { _, err := w.Write(before); return err }); err != nil {
			return err
		}
	}
	if err := scratch.Replace(p.beside(keep.Criteria), func(w io.Writer) error { _, err := w.Write(declare.WriteCriteria(c)); return err }); err != nil {
		return err
	}
	return s.to(w, r, p.path()+"/cycle?saved=yes")
}
