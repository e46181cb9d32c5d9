package page

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/cmd/keep"
	"shortfall/ingest/scratch"
	"shortfall/report"
)

// savedAudit is one audit that was kept with its results.
type savedAudit struct{ Name, Text string }

// savedAudits lists the audits of a practice that were kept, the latest first.
func (p *practice) savedAudits() (out []savedAudit, err error) {
	entries, err := os.ReadDir(p.beside(keep.Audits))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	for _, e := range entries {
		if name := e.Name(); e.Type().IsRegular() && filepath.Ext(name) == ".json" && !strings.HasPrefix(name, ".") {
			out = append(out, savedAudit{name, strings.TrimSuffix(name, ".json")})
		}
	}
	slices.SortFunc(out, func(a, b savedAudit) int { return strings.Compare(b.Name, a.Name) })
	return out, err
}

// saved reads an audit that was kept; only names on the list are opened.
func (p *practice) saved(name string) (*results.Results, error) {
	list, err := p.savedAudits()
	if err != nil {
		return nil, err
	}
	if !slices.ContainsFunc(list, func(a savedAudit) bool { return a.Name == name }) {
		return nil, wrong("this audit was not kept, or was taken away")
	}
	data, err := scratch.Read(filepath.Join(p.beside(keep.Audits), name), largestDeclared)
	if err != nil {
		return nil, err
	}
	return audit.ParsePrevious(name, data)
}

// keepAudit saves the results of an audit under its date and settings.
func (s *server) keepAudit(w http.ResponseWriter, r *http.Request, p *practice) error {
	settings, err := url.ParseQuery(r.FormValue("settings"))
	if err != nil {
		return wrong("this form could not be read")
	}
	want, err := p.wanted(settings)
	if err != nil {
		return err
	}
	a := p.atHand(want)
	if a == nil {
		return wrong("the records have changed since this audit was made; look at it as it is now, and keep that")
	}
	dir := p.beside(keep.Audits)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	base := a.res.Provenance.Date
	if m := a.res.Scope; m.Movements > 0 {
		base += " " + wording.Period(m)
	}
	base = safeName(base)
	for i := 1; ; i++ {
		name := base
		if i > 1 {
			name += fmt.Sprintf(" (%d)", i)
		}
		err := scratch.Create(filepath.Join(dir, name+".json"), func(w io.Writer) error { return report.JSON(w, a.res) })
		if !errors.Is(err, fs.ErrExist) {
			if err != nil {
				return err
			}
			return s.to(w, r, p.path()+"/cycle#kept")
		}
	}
}
