package page

import (
	"net/http"

	"shortfall/cmd/job"
	"shortfall/cmd/page/found"
	"shortfall/cmd/page/queue"
)

// line is one file in the list of those in work.
type line struct {
	N           int
	Name, State string
	Came        string // when it was dropped, where another of its name was too
	Settled     bool   // nothing can be gone on with
	Task        *queue.Task
}

func (s *server) readList(w http.ResponseWriter, r *http.Request, p *practice) error {
	files, err := p.db.Files(r.Context())
	if err != nil {
		return err
	}
	var lines []line
	for _, u := range p.held() {
		u.mu.Lock()
		if u.kept != nil {
			u.mu.Unlock()
			continue // its records are among the files read
		}
		l := line{N: u.N, Name: u.Name, State: u.state()}
		if !u.task.State().Ended {
			l.Task = u.task
		}
		u.mu.Unlock()
		l.Settled = l.State == "unreadable"
		for _, other := range p.held() {
			if other != u && other.Name == u.Name && !other.isKept() {
				l.Came = "dropped at " + u.came.Format("15:04:05")
			}
		}
		lines = append(lines, l)
	}
	return s.show(w, r, http.StatusOK, "read", view{Title: "Read spreadsheets", Practice: p, Tab: "read", Data: map[string]any{
		"Lines": lines, "Files": len(files), "Most": mostFiles,
	}})
}

// State of an upload in a word; the caller holds its lock.
func (u *upload) state() string {
	switch {
	case u.kept != nil:
		return "kept"
	case !u.task.State().Ended:
		return "being read"
	case u.task.State().Error != "":
		return "stopped"
	case u.err != nil:
		return "unreadable"
	case u.refused != nil && len(found.Personal(u.refused)) > 0:
		return "may identify a person"
	case u.refused != nil && len(u.refused.Questions) > 0:
		return "has questions for you"
	case u.refused != nil:
		return "refused"
	case u.asks != nil:
		return "open: whose cases these are"
	case job.ManyLeftOut(u.batch) != "":
		return "much of it is left out: look at it first"
	}
	return "ready to accept"
}

// openFile is a file that was dropped and whose records are not kept.
type openFile struct{ Name, State, Link string }

// openFiles lists the files that are no part of an audit, and reports whether somebody still
// has to decide about one of them.
func (p *practice) openFiles() (list []openFile, undecided bool) {
	for _, u := range p.held() {
		if f, open, decided := u.standing(p); open {
			list = append(list, f)
			undecided = undecided || !decided
		}
	}
	return list, undecided
}

func (u *upload) standing(p *practice) (f openFile, open, decided bool) {
	u.mu.Lock()
	defer u.mu.Unlock()
	return openFile{u.Name, u.state(), sheetPath(p, u)}, u.kept == nil, u.left
}

// decided shows what is still open before an audit is shown or given out, once: a file
// that was dropped and forgotten would be missing from it without a word.
func (s *server) decided(w http.ResponseWriter, r *http.Request, p *practice) (bool, error) {
	list, undecided := p.openFiles()
	if !undecided {
		return true, nil
	}
	return false, s.show(w, r, http.StatusOK, "without", view{Title: "Files still open", Practice: p, Tab: "audit", Data: map[string]any{
		"Open": list, "To": r.URL.RequestURI(),
	}})
}

// without goes on to the audit without the files that are open.
func (s *server) without(w http.ResponseWriter, r *http.Request, p *practice) error {
	for _, u := range p.held() {
		u.mu.Lock()
		u.left = true
		u.mu.Unlock()
	}
	return s.back(w, r)
}
