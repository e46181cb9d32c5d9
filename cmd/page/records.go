package page

import (
	"context"
	"net/http"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"shortfall/cmd/job"
	"shortfall/cmd/page/address"
	"shortfall/cmd/page/found"
	"shortfall/cmd/page/queue"
	"shortfall/cmd/page/trail"
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
	"shortfall/ingest/store"
	"shortfall/ingest/values"
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
	l.Link = p.path() + "/records/case?" + address.Query("practice", c.Practice, "id", c.ID)
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

// rejectedLine is one row that was read and not accepted, with one reason.
type rejectedLine struct{ Place, Of, Rule, Reason, Remedy string }

func (s *server) rejectedPage(w http.ResponseWriter, r *http.Request, p *practice) error {
	list, err := p.db.Rejected(r.Context())
	if err != nil {
		return err
	}
	var lines []rejectedLine
	for _, row := range list[:min(len(list), mostCases)] {
		for _, reason := range row.Reasons {
			lines = append(lines, rejectedOf(row, reason))
		}
	}
	return s.show(w, r, http.StatusOK, "rejected", view{Title: "Rejected rows", Practice: p, Tab: "records", Data: map[string]any{"Lines": lines, "More": max(0, len(list)-mostCases)}})
}

func rejectedOf(row store.RejectedRow, reason casebook.Problem) rejectedLine {
	l := rejectedLine{Place: row.File.Name + ", sheet " + row.Source.Sheet + ", row " + strconv.Itoa(row.Source.Row), Rule: reason.Rule, Reason: reason.Rule}
	if reason.Cell != "" {
		l.Place += ", " + reason.Cell
	}
	if rule, ok := rules.Find(rules.ID(reason.Rule)); ok { // the database keeps no words of a sheet
		l.Reason, l.Remedy = rule.Title, found.InWindow(rule.Remedy)
	}
	several := 0 // movements in the row: the amounts of the first are not those of the reason
	for _, c := range row.Original.Cells() {
		if c.Kept == columns.Planned.String() {
			several++
		}
	}
	var of []string
	for _, c := range []struct {
		f    columns.Field
		name string
	}{{columns.Case, "case "}, {columns.Tooth, "tooth "}, {columns.Axis, ""}, {columns.Direction, ""}, {columns.Planned, "planned "}, {columns.Achieved, "achieved "}} {
		amount := c.f == columns.Planned || c.f == columns.Achieved
		if text := keptText(row.Original, c.f); text != "" && !(amount && several > 1) {
			of = append(of, c.name+text)
		}
	}
	l.Of = strings.Join(of, ", ")
	return l
}

// keptText is what a row says in a column that was read, "" where it says nothing.
func keptText(o casebook.Original, f columns.Field) string {
	for _, c := range o.Cells() {
		if c.Kept == f.String() {
			return c.Text
		}
	}
	return ""
}

// refusedOf are the rows of a case that were read and not accepted, as far as their case
// could be read.
func (p *practice) refusedOf(ctx context.Context, k casebook.CaseKey) (out []rejectedLine, err error) {
	list, err := p.db.Rejected(ctx)
	if err != nil {
		return nil, err
	}
	for _, row := range list {
		code := values.TypedCode(keptText(row.Original, columns.Case))
		if code != k.ID {
			continue
		}
		for _, reason := range row.Reasons {
			out = append(out, rejectedOf(row, reason))
		}
	}
	return out, nil
}

// versionLine is one state of a record of a case.
type versionLine struct{ Kind, Text, From, How string }

func (s *server) recordsOfCase(w http.ResponseWriter, r *http.Request, p *practice) error {
	k := casebook.CaseKey{Practice: r.URL.Query().Get("practice"), ID: r.URL.Query().Get("id")}
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

// reason that is kept with a removal.
func reason(r *http.Request) (string, error) {
	why := strings.TrimSpace(r.FormValue("reason"))
	if why == "" {
		return "", wrong("say why: the reason is kept with the records")
	}
	return why, nil
}

// undo leads back to before the last removal of a file.
type undo struct {
	copy  string // name of the copy made just before it
	stamp string // state of the records just after it
}

// undoable names the copy made before the last removal of a file, "" once anything has
// changed since, which putting it back would lose.
func (p *practice) undoable() string {
	stamp, _, err := p.stamp()
	p.mu.Lock()
	defer p.mu.Unlock()
	if err != nil || p.undo.stamp != stamp {
		return ""
	}
	return p.undo.copy
}

// removeFile undoes an import; a copy of the records as they were is made before.
func (s *server) removeFile(w http.ResponseWriter, r *http.Request, p *practice) error {
	why, err := reason(r)
	if err != nil {
		return err
	}
	sha := r.FormValue("sha")
	resting, err := p.db.RestingOn(r.Context())
	if err != nil {
		return err
	}
	if names := resting[sha]; len(names) > 0 {
		return wrong("records of this file were given again or corrected by " + strings.Join(names, ", ") + ", read later. Remove " + strings.Join(names, ", ") + " first; it can be read again afterwards")
	}
	t, err := s.queue.Put("taking a file out of "+p.Name, func(ctx context.Context, t *queue.Task) error {
		made, err := s.o.Home.BackUp(ctx, p.db, time.Now(), func(done, all int) { t.At("copying the records as they are", done, all) })
		if err != nil {
			return err
		}
		if _, err := p.db.RemoveFile(ctx, sha, why); err != nil {
			return err
		}
		stamp, _, err := p.stamp()
		p.mu.Lock()
		defer p.mu.Unlock()
		p.undo = undo{filepath.Base(made.Path), stamp}
		return err
	})
	if err != nil {
		return err
	}
	return s.wait(w, r, p, t, p.path()+"/records")
}

// removeCase takes a case out of the audit, or back into it.
func (s *server) removeCase(w http.ResponseWriter, r *http.Request, p *practice) error {
	k := casebook.CaseKey{Practice: r.FormValue("practice"), ID: r.FormValue("id")}
	if r.FormValue("restore") != "" {
		if err := p.db.RestoreCase(r.Context(), k); err != nil {
			return err
		}
		return s.to(w, r, p.path()+"/records#cases")
	}
	why, err := reason(r)
	if err != nil {
		return err
	}
	if r.FormValue("erase") == "yes" {
		err = job.Erase(p.db, func() error { return p.db.EraseCase(r.Context(), k) })
	} else {
		err = p.db.RemoveCase(r.Context(), k, why)
	}
	if err != nil {
		return err
	}
	return s.to(w, r, p.path()+"/records#cases")
}
