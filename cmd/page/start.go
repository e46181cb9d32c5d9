package page

import (
	"context"
	"encoding/json"
	"net/http"
	"os"
	"strings"
	"time"

	"shortfall/cmd/page/queue"
	"shortfall/ingest"
	"shortfall/ingest/store"
	"shortfall/sampledata"
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

// demo reads the invented practice, the same way as any file.
func (s *server) demo(w http.ResponseWriter, r *http.Request) error {
	list, err := s.shelf.known()
	if err != nil {
		return err
	}
	for _, p := range list {
		if _, err := os.Stat(p.Path); err == nil && p.Name == demoName {
			return s.to(w, r, p.path()+"/audit")
		}
	}
	p, err := s.shelf.begin(r.Context(), demoName)
	if err != nil {
		return err
	}
	u, err := p.hold(s.folder, "practice.xlsx", strings.NewReader(string(sampledata.Workbook)))
	if err != nil {
		return err
	}
	j, err := s.queue.Put("reading the invented sample", func(ctx context.Context, j *queue.Task) error {
		j.At("reading the invented sample", 0, 0)
		batch, err := ingest.Read(ctx, u.path, ingest.Options{Progress: func(done, all int) { j.At("reading the invented sample", done, all) }})
		if err != nil {
			return err
		}
		j.At("keeping its records", 0, 0)
		_, err = p.db.Import(ctx, batch, store.Choices{})
		p.drop(u)
		return err
	})
	if err != nil {
		return err
	}
	return s.wait(w, r, p, j, p.path()+"/audit")
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
