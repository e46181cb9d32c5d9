package page

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"path/filepath"
	"time"

	"shortfall/ingest/store/sqlite"
)

// copyLine is one copy of a database.
type copyLine struct{ Name, Made, Size string }

func (s *server) copyRoutes(on func(string, practiceHandler)) {
	on("POST /p/{practice}/backup", s.backUp)
	on("POST /p/{practice}/putback", s.putBack)
}

func (s *server) copies(p *practice) (out []copyLine, err error) {
	list, err := s.o.Home.Copies(p.Path)
	for _, c := range list {
		out = append(out, copyLine{filepath.Base(c.Path), c.Made.Format("2006-01-02 15:04"), fmt.Sprintf("%d kB", (c.Bytes+1023)/1024)})
	}
	return out, err
}

func (s *server) backUp(w http.ResponseWriter, r *http.Request, p *practice) error {
	t, err := s.queue.put("copying "+p.Name, func(ctx context.Context, t *task) error {
		_, err := s.o.Home.BackUp(ctx, p.db, time.Now(), func(done, all int) { t.at("copying, and reading the copy back", done, all) })
		return err
	})
	if err != nil {
		return err
	}
	return s.wait(w, r, p, t, "/p/"+p.ID+"/records#copies")
}

// putBack puts a copy of the list in the place of the database; what was there is
// copied aside first. The database is closed meanwhile, and whoever asks for it waits.
func (s *server) putBack(w http.ResponseWriter, r *http.Request, p *practice) error {
	list, err := s.o.Home.Copies(p.Path)
	if err != nil {
		return err
	}
	from := ""
	for _, c := range list {
		if filepath.Base(c.Path) == r.FormValue("copy") {
			from = c.Path
		}
	}
	if from == "" {
		return wrong("this copy is not there any more")
	}
	t, err := s.queue.put("putting a copy of "+p.Name+" back", func(ctx context.Context, t *task) error {
		p.use.Lock()
		defer p.use.Unlock()
		p.open.Lock()
		defer p.open.Unlock()
		if p.db != nil {
			p.db.Close()
			p.db = nil
		}
		_, err := sqlite.Restore(ctx, from, p.Path, func(done, all int) { t.at("putting the copy back", done, all) })
		db, openErr := sqlite.Open(context.WithoutCancel(ctx), p.Path) // what waits behind this task uses it
		if openErr == nil {
			p.db = db
		}
		return errors.Join(err, openErr)
	})
	if err != nil {
		return err
	}
	return s.wait(w, r, p, t, "/p/"+p.ID+"/records#copies")
}
