package page

import (
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"shortfall/cmd/job"
	"shortfall/cmd/page/asks"
	"shortfall/cmd/page/queue"
	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/look"
	"shortfall/ingest/question"
	"shortfall/ingest/screen"
	"shortfall/ingest/sheet"
	"shortfall/ingest/store"
)

// upload is a file that the browser sent, until its records are kept or it is put
// away. It lies in a private folder of its own under the name it came with.
type upload struct {
	N    int
	came time.Time
	Name string // as it may be shown
	path string

	mu       sync.Mutex
	task     *queue.Task // the last reading of it
	memory   *job.Memory
	answers  question.Answers
	allow    bool // identifiers were looked at and allowed
	view     *look.View
	batch    *casebook.Batch // nil where the file was refused
	refused  *ingest.Refused
	first    []question.Question // what a pseudonymised copy needs to know
	points   asks.Hidden
	err      error          // it could not be read
	kept     *store.Outcome // its records are in the database
	asks     *store.Error   // keeping it asks something
	spelling string         // what was said of codes that stand in another spelling
	left     bool           // the audit goes on without it, as somebody decided
	noCopy   string         // why no pseudonymised copy could be made
	origin   *origin        // of a pseudonymised copy that the page made
}

// mostFiles at once, and mostHeld in work of one practice.
const (
	mostFiles = 50
	mostHeld  = 200
)

// hold writes a file that came into a private folder of its own.
func (p *practice) hold(folder, name string, from io.Reader) (*upload, error) {
	dir, err := os.MkdirTemp(folder, "sheet-")
	if err != nil {
		return nil, err
	}
	base := safeName(name)
	u := &upload{came: time.Now(), Name: screen.Shown(base), path: filepath.Join(dir, base), answers: question.Answers{}}
	if err := writeBounded(u.path, from); err != nil {
		os.RemoveAll(dir)
		return nil, err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.sheets = slices.DeleteFunc(p.sheets, func(x *upload) bool { return len(p.sheets) >= mostHeld/2 && x.isKept() })
	if len(p.sheets) >= mostHeld {
		os.RemoveAll(dir)
		return nil, wrong(fmt.Sprintf("%d files are in work already; put some away first", mostHeld))
	}
	p.number++
	u.N = p.number
	p.sheets = append(p.sheets, u)
	return u, nil
}

func (u *upload) isKept() bool {
	u.mu.Lock()
	defer u.mu.Unlock()
	return u.kept != nil
}

func writeBounded(path string, from io.Reader) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	most := sheet.DefaultLimits().FileBytes
	n, err := io.Copy(f, io.LimitReader(from, most+1))
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err == nil && n > most {
		err = wrong(fmt.Sprintf("a file is larger than the %d MB that a spreadsheet may have", most>>20))
	}
	return err
}

// safeName keeps of the name of a file what can be a name in a folder of ours.
func safeName(name string) string {
	name = name[strings.LastIndexAny(name, `/\`)+1:]
	name = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || strings.ContainsRune(`<>:"|?*`, r) {
			return '_'
		}
		return r
	}, name)
	name = strings.TrimLeft(strings.TrimRight(name, ". "), ".")
	for len(name) > 120 { // from the front, so that the ending stays
		_, n := firstRune(name)
		name = name[n:]
	}
	if name == "" {
		return "spreadsheet"
	}
	return name
}

func firstRune(s string) (rune, int) {
	for i := range s {
		if i > 0 {
			return rune(s[0]), i
		}
	}
	return rune(s[0]), len(s)
}

// drop forgets an upload and removes its file.
func (p *practice) drop(u *upload) {
	p.mu.Lock()
	p.sheets = slices.DeleteFunc(p.sheets, func(x *upload) bool { return x == u })
	p.mu.Unlock()
	u.mu.Lock()
	j := u.task
	u.mu.Unlock()
	if j != nil {
		j.Stop()
	}
	os.RemoveAll(filepath.Dir(u.path))
}

// held lists the files in work.
func (p *practice) held() []*upload {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Clone(p.sheets)
}

// sheetOf finds the upload that a request names by number.
func (p *practice) sheetOf(r *http.Request) (*upload, error) {
	n, err := strconv.Atoi(r.PathValue("sheet"))
	if err == nil {
		for _, u := range p.held() {
			if u.N == n {
				return u, nil
			}
		}
	}
	return nil, &said{http.StatusNotFound, "this file is not in work any more: its records were kept, or it was put away"}
}

// patient reads the body of an upload and puts off the time limit as long as bytes
// come.
type patient struct {
	io.ReadCloser
	c *http.ResponseController
}

func (p *patient) Read(b []byte) (int, error) {
	_ = p.c.SetReadDeadline(time.Now().Add(bodyTime)) // a connection without deadlines has none to put off
	return p.ReadCloser.Read(b)
}

// receive takes the files of a request one by one; what came before a fault stays.
func (s *server) receive(w http.ResponseWriter, r *http.Request, p *practice) ([]*upload, error) {
	r.Body = &patient{http.MaxBytesReader(w, r.Body, mostFiles*sheet.DefaultLimits().FileBytes), http.NewResponseController(w)}
	parts, err := r.MultipartReader()
	if err != nil {
		return nil, wrong("this form holds no file")
	}
	var out []*upload
	for {
		part, err := parts.NextPart()
		switch {
		case errors.Is(err, io.EOF):
			return out, nil
		case err != nil:
			return out, wrong("the upload broke off; send the files that are missing again")
		case part.FileName() == "":
			continue
		case len(out) == mostFiles:
			return out, wrong(fmt.Sprintf("that is more than %d files at once; send the rest after these", mostFiles))
		}
		u, err := s.take(p, part)
		if err != nil {
			return out, err
		}
		out = append(out, u)
	}
}

func (s *server) take(p *practice, part *multipart.Part) (*upload, error) {
	defer part.Close()
	u, err := p.hold(s.folder, part.FileName(), part)
	if err != nil {
		return nil, err
	}
	return u, s.read(p, u)
}

// named are the cases that the files in work name.
func (p *practice) named() (out []casebook.CaseKey) {
	for _, u := range p.held() {
		u.mu.Lock()
		if u.batch != nil {
			for i := range u.batch.Cases {
				out = append(out, u.batch.Cases[i].Value.Key())
			}
		}
		u.mu.Unlock()
	}
	return out
}

func sheetPath(p *practice, u *upload) string { return fmt.Sprintf("%s/read/%d", p.path(), u.N) }
