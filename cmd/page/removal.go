package page

import (
	"context"
	"net/http"
	"path/filepath"
	"strings"
	"time"

	"shortfall/cmd/job"
	"shortfall/cmd/page/address"
	"shortfall/cmd/page/queue"
	"shortfall/ingest/casebook"
)

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
	if err := r.ParseForm(); err != nil {
		return err
	}
	k := address.CaseOf(r.Form)
	if r.FormValue("restore") != "" {
		if err := p.db.RestoreCase(r.Context(), k); err != nil {
			return err
		}
		return s.to(w, r, p.path()+"/records#cases")
	}
	if err := takeOut(r, p, k); err != nil {
		return err
	}
	return s.to(w, r, p.path()+"/records#cases")
}

// takeOut removes a case with a reason, or erases it, of which no reason is kept.
func takeOut(r *http.Request, p *practice, k casebook.CaseKey) error {
	if r.FormValue("erase") == "yes" {
		return job.Erase(p.db, func() error { return p.db.EraseCase(r.Context(), k) })
	}
	why, err := reason(r)
	if err != nil {
		return err
	}
	return p.db.RemoveCase(r.Context(), k, why)
}
