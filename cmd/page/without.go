package page

import "net/http"

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
