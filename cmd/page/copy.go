package page

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"shortfall/cmd/job"
	"shortfall/cmd/keep"
	"shortfall/cmd/page/queue"
	"shortfall/ingest/store/sqlite"
)

// copyLine is one copy of a database.
type copyLine struct{ Name, Made, Size, Holds, Link string }

func (s *server) copyRoutes(on func(string, practiceHandler)) {
	on("POST /p/{practice}/backup", s.backUp)
	on("POST /p/{practice}/putback", s.putBack)
	on("GET /p/{practice}/copies/{name}", s.packed)
	on("POST /p/{practice}/copy/files", s.takeIn)
}

func (s *server) copies(p *practice) (out []copyLine, err error) {
	list, err := s.o.Home.Copies(p.Path)
	for _, c := range list {
		l := copyLine{Name: filepath.Base(c.Path), Made: c.Made.Format("2006-01-02 15:04"), Size: fmt.Sprintf("%d kB", (c.Bytes+1023)/1024), Holds: "records"}
		if c.Targets {
			l.Holds += ", targets and changes"
		}
		if c.Audits > 0 {
			l.Holds += ", " + job.Plural(c.Audits, "kept audit")
		}
		l.Link = p.path() + "/copies/" + url.PathEscape(l.Name)
		out = append(out, l)
	}
	return out, err
}

// copyOf finds a copy of the list by its name.
func (s *server) copyOf(p *practice, name string) (string, error) {
	list, err := s.o.Home.Copies(p.Path)
	if err != nil {
		return "", err
	}
	for _, c := range list {
		if filepath.Base(c.Path) == name {
			return c.Path, nil
		}
	}
	return "", wrong("this copy is not there any more")
}

// packed gives a copy out as one file, to be kept elsewhere.
func (s *server) packed(w http.ResponseWriter, r *http.Request, p *practice) error {
	from, err := s.copyOf(p, r.PathValue("name"))
	if err != nil {
		return err
	}
	f, err := os.CreateTemp(s.folder, "packed-")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	defer f.Close()
	if err := keep.Pack(f, from, p.Name); err != nil {
		return err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	name := strings.TrimSuffix(filepath.Base(from), ".backup") + ".zip"
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", fmt.Sprintf(`attachment; filename="%s"`, asciiName(name)))
	_, _ = io.Copy(w, f) // whoever asked may have gone
	return nil
}

// takeIn makes a copy that was kept elsewhere one of the list; the records stay as they
// are until it is put back.
func (s *server) takeIn(w http.ResponseWriter, r *http.Request, p *practice) error {
	r.Body = &patient{http.MaxBytesReader(w, r.Body, keep.MostCopy), http.NewResponseController(w)}
	parts, err := r.MultipartReader()
	if err != nil {
		return wrong("this form holds no file")
	}
	part, err := parts.NextPart()
	if err != nil || part.FileName() == "" {
		return wrong("no file was chosen")
	}
	f, err := os.CreateTemp(s.folder, "copy-")
	if err != nil {
		return err
	}
	_, err = io.Copy(f, part)
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		os.Remove(f.Name())
		return wrong("the upload broke off; send the copy again")
	}
	t, err := s.queue.Put("reading a copy of "+p.Name, func(ctx context.Context, t *queue.Task) error {
		defer os.Remove(f.Name())
		err := s.o.Home.TakeIn(ctx, f.Name(), p.Path, time.Now(), func(done, all int) { t.At("reading the copy through", done, all) })
		if errors.Is(err, keep.ErrNoCopy) {
			return wrong(keep.ErrNoCopy.Error())
		}
		return err
	})
	if err != nil {
		os.Remove(f.Name())
		return err
	}
	return s.wait(w, r, p, t, p.path()+"/records#copies")
}

func (s *server) backUp(w http.ResponseWriter, r *http.Request, p *practice) error {
	t, err := s.queue.Put("copying "+p.Name, func(ctx context.Context, t *queue.Task) error {
		_, err := s.o.Home.BackUp(ctx, p.db, time.Now(), func(done, all int) { t.At("copying, and reading the copy back", done, all) })
		return err
	})
	if err != nil {
		return err
	}
	return s.wait(w, r, p, t, p.path()+"/records#copies")
}

// putBack puts a copy of the list in the place of the database; what was there is
// copied aside first. The database is closed meanwhile, and whoever asks for it waits.
func (s *server) putBack(w http.ResponseWriter, r *http.Request, p *practice) error {
	from, err := s.copyOf(p, r.FormValue("copy"))
	if err != nil {
		return err
	}
	undoing := r.FormValue("undo") == "yes"
	if undoing && p.undoable() != filepath.Base(from) { // a page that was left open
		return wrong("the records have changed since that removal, and undoing it would lose what came after. A copy made just before it is in the list under Records: put it back there if that is meant")
	}
	t, err := s.queue.Put("putting a copy of "+p.Name+" back", func(ctx context.Context, t *queue.Task) error {
		p.use.Lock()
		defer p.use.Unlock()
		p.open.Lock()
		defer p.open.Unlock()
		if p.db != nil {
			p.db.Close()
			p.db = nil
		}
		done, err := sqlite.Restore(ctx, from, p.Path, func(n, all int) { t.At("putting the copy back", n, all) })
		if err == nil {
			err = keep.PutBack(from, p.Path, done.Aside)
		}
		db, openErr := sqlite.Open(context.WithoutCancel(ctx), p.Path) // what waits behind this task uses it
		if openErr == nil {
			p.db = db
		}
		return errors.Join(err, openErr)
	})
	if err != nil {
		return err
	}
	to := "/records#copies"
	if undoing {
		to = "/records?undone=yes"
	}
	return s.wait(w, r, p, t, p.path()+to)
}
