package page

import (
	"context"
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"

	"shortfall/cmd/page/queue"
	"shortfall/ingest"
	"shortfall/ingest/store"
)

// shelved is a line of the start page.
type shelved struct {
	ID, Name, Path string
	Gone           bool
	Changed        string
}

func (s *server) start(w http.ResponseWriter, r *http.Request) error {
	list, err := s.shelf.known()
	if err != nil {
		return err
	}
	var lines []shelved
	for _, p := range list {
		line := shelved{ID: p.ID, Name: p.Name, Path: p.Path}
		if info, err := os.Stat(p.Path); err != nil {
			line.Gone = true
		} else {
			line.Changed = info.ModTime().Format(time.DateOnly)
		}
		lines = append(lines, line)
	}
	return s.show(w, r, http.StatusOK, "start", view{Title: "Your practices", Data: map[string]any{"Known": lines, "Folder": s.o.Home.Folder()}})
}

func (s *server) newPractice(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return wrong("this form could not be read")
	}
	p, err := s.shelf.begin(r.Context(), strings.TrimSpace(r.PostForm.Get("name")))
	if err != nil {
		return err
	}
	return s.to(w, r, p.path()+"/read")
}

// elsewhere opens a database that lies outside the folder, by the path that its user
// gives, and lists it from then on.
func (s *server) elsewhere(w http.ResponseWriter, r *http.Request) error {
	path, err := s.shelf.named(r.FormValue("path"))
	if err != nil {
		return err
	}
	p, err := s.shelf.take(path)
	if err != nil {
		return err
	}
	return s.to(w, r, p.path()+"/")
}

// demoName of the practice that the invented sample is read into.
const demoName = "invented sample"

// demo reads the invented practice, the same way as any file; also into one whose reading
// was stopped, of which nothing was kept.
func (s *server) demo(w http.ResponseWriter, r *http.Request) error {
	p, err := s.sample(r.Context())
	if err != nil {
		return err
	}
	p.use.RLock()
	defer p.use.RUnlock()
	if err := p.ready(r.Context()); err != nil {
		return err
	}
	files, err := p.db.Files(r.Context())
	if err != nil {
		return err
	}
	if len(files) > 0 {
		return s.to(w, r, p.path()+"/audit")
	}
	dir, err := os.MkdirTemp(s.folder, "sample-")
	if err != nil {
		return err
	}
	path := filepath.Join(dir, "practice.xlsx")
	if err := os.WriteFile(path, s.o.sample, 0o600); err != nil {
		return err
	}
	const step = "reading the invented sample"
	j, err := s.queue.Put(step, func(ctx context.Context, j *queue.Task) error {
		j.At(step, 0, 0)
		batch, err := ingest.Read(ctx, path, ingest.Options{Progress: func(done, all int) { j.At(step, done, all) }})
		if err != nil {
			return err
		}
		j.At("keeping its records", 0, 0)
		_, err = p.db.Import(ctx, batch, store.Choices{})
		return err
	})
	if err != nil {
		return err
	}
	return s.wait(w, r, p, j, p.path()+"/audit")
}

// sample is the practice that the invented sample is read into, begun where there is none.
func (s *server) sample(ctx context.Context) (*practice, error) {
	list, err := s.shelf.known()
	if err != nil {
		return nil, err
	}
	for _, p := range list {
		if _, err := os.Stat(p.Path); err == nil && p.Name == demoName {
			return p, nil
		}
	}
	return s.shelf.begin(ctx, demoName)
}

// here and gone tell which windows are open; here answers with the state of the
// records, so that a window can say that they changed.
func (s *server) here(w http.ResponseWriter, r *http.Request) error {
	s.life.Here(cut(r.FormValue("window")))
	out := map[string]string{}
	s.shelf.mu.Lock()
	p := s.shelf.all[r.FormValue("practice")]
	s.shelf.mu.Unlock()
	if p != nil {
		out["stamp"], _, _ = p.stamp()
	}
	return writeJSON(w, out)
}

func (s *server) gone(w http.ResponseWriter, r *http.Request) error {
	s.life.Gone(cut(r.FormValue("window")))
	w.WriteHeader(http.StatusNoContent)
	return nil
}

// cut bounds what a window calls itself.
func cut(s string) string { return s[:min(len(s), 40)] }

func (s *server) jobState(w http.ResponseWriter, r *http.Request) error {
	j := s.queue.Find(r.PathValue("job"))
	if j == nil {
		return errNothing
	}
	return writeJSON(w, j.State())
}

func (s *server) jobStop(w http.ResponseWriter, r *http.Request) error {
	j := s.queue.Find(r.PathValue("job"))
	if j == nil {
		return errNothing
	}
	j.Stop()
	j.Within(endTime)
	return s.back(w, r)
}

func writeJSON(w http.ResponseWriter, v any) error {
	w.Header().Set("Content-Type", "application/json")
	return json.NewEncoder(w).Encode(v)
}
