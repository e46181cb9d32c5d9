package page

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"shortfall/cmd/job"
	"shortfall/cmd/page/address"
	"shortfall/cmd/page/found"
	"shortfall/cmd/page/trail"
	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

func (s *server) recordRoutes(on func(string, practiceHandler)) {
	on("GET /p/{practice}/records", s.recordsPage)
	on("GET /p/{practice}/records/rejected", s.rejectedPage)
	on("GET /p/{practice}/records/case", s.recordsOfCase)
	on("POST /p/{practice}/records/file", s.removeFile)
	on("POST /p/{practice}/records/case", s.removeCase)
}

// fileLine is one file that was read.
type fileLine struct {
	Name, SHA, Counts, Later string
	Invented                 bool
	Resting                  []string // later files that rest on it
}

// recordLine is one case of the list.
type recordLine struct {
	Name, Practice, ID, Link, Counts string
	Removed                          string
	IsRemoved                        bool
}

// mostCases of a list are on one page.
const mostCases = 500

func (s *server) recordsPage(w http.ResponseWriter, r *http.Request, p *practice) error {
	files, err := p.db.Files(r.Context())
	if err != nil {
		return err
	}
	resting, err := p.db.RestingOn(r.Context())
	if err != nil {
		return err
	}
	gone, err := p.db.RemovedFiles(r.Context())
	if err != nil {
		return err
	}
	names := map[string]string{}
	for _, f := range files {
		names[f.SHA256] = f.Name
	}
	gone = slices.DeleteFunc(gone, func(f store.RemovedFile) bool { return names[f.SHA256] != "" }) // read again since
	var lines []fileLine
	rejected := 0
	for _, f := range files {
		lines = append(lines, fileLine{Name: f.Name, SHA: f.SHA256, Counts: job.CountsText(f.Counts()), Later: names[f.LaterVersion], Invented: f.Invented, Resting: resting[f.SHA256]})
		rejected += f.Counts().Rejected
	}
	list, err := p.db.Cases(r.Context())
	if err != nil {
		return err
	}
	find := strings.ToLower(strings.TrimSpace(r.URL.Query().Get("find")))
	var cases []recordLine
	more := 0
	for _, c := range list {
		if find != "" && !strings.Contains(strings.ToLower(c.String()), find) {
			continue
		}
		if len(cases) == mostCases {
			more++
			continue
		}
		cases = append(cases, caseRecord(p, c))
	}
	copies, err := s.copies(p)
	if err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "records", view{Title: "Records", Practice: p, Tab: "records", Data: map[string]any{
		"Files": lines, "Rejected": rejected, "Cases": cases, "More": more, "All": len(list), "Find": r.URL.Query().Get("find"),
		"Path": p.Path, "Copies": copies, "Notices": p.notices, "Gone": gone, "Undo": p.undoable(), "Back": r.URL.Query().Get("undone") == "yes",
	}})
}

func caseRecord(p *practice, c store.CaseCount) recordLine {
	l := recordLine{Name: c.String(), Practice: c.Practice, ID: c.ID, Removed: c.Removed.Value, IsRemoved: c.Removed.OK}
	l.Link = p.path() + "/records/case?" + address.OfCase(c.CaseKey)
	var counts []string
	for _, k := range casebook.Kinds()[1:] {
		if n := c.Records[k]; n > 0 {
			counts = append(counts, job.Plural(n, k.String()))
		}
	}
	if c.Records[casebook.CaseKind] == 0 {
		counts = append(counts, "not in a list of cases")
	}
	if c.Unsettled != "" {
		counts = append(counts, "recorded under several practices: "+c.Unsettled)
	}
	l.Counts = strings.Join(counts, ", ")
	return l
}

func (s *server) rejectedPage(w http.ResponseWriter, r *http.Request, p *practice) error {
	list, err := p.db.Rejected(r.Context())
	if err != nil {
		return err
	}
	lines := found.RejectedRows(list[:min(len(list), mostCases)])
	return s.show(w, r, http.StatusOK, "rejected", view{Title: "Rejected rows", Practice: p, Tab: "records", Data: map[string]any{"Lines": lines, "More": max(0, len(list)-mostCases)}})
}

// versionLine is one state of a record of a case.
type versionLine struct{ Kind, Text, From, How string }

func (s *server) recordsOfCase(w http.ResponseWriter, r *http.Request, p *practice) error {
	k := address.CaseOf(r.URL.Query())
	current, err := p.db.Current(r.Context(), k)
	if err != nil {
		return err
	}
	history, err := p.db.History(r.Context(), k)
	if err != nil {
		return err
	}
	if len(current)+len(history) == 0 {
		return errNothing
	}
	lines := func(list []store.Version) (out []versionLine, err error) {
		for _, v := range list {
			text, err := job.DescribeIn(p.teeth(), v.Kind, v.Value)
			if err != nil {
				return nil, err
			}
			l := versionLine{Kind: v.Kind.String(), Text: text, From: v.File.Name + ", sheet " + v.Source.Sheet + ", row " + strconv.Itoa(v.Source.Row)}
			switch v.How {
			case store.Corrected:
				l.How = "corrected or completed by " + v.ReplacedBy.Name
			case store.Retired:
				l.How = "not taken from its later version " + v.ReplacedBy.Name + ": no longer in it, or refused there"
			case store.Removed:
				l.How = "taken out with its file"
			}
			out = append(out, l)
		}
		return out, nil
	}
	now, err := lines(current)
	if err != nil {
		return err
	}
	before, err := lines(history)
	if err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "recordcase", view{Title: "Records of case " + k.String(), Practice: p, Tab: "records", Data: map[string]any{
		"Now": now, "Before": before, "Sheet": trail.CaseLink(p.path(), k),
	}})
}
