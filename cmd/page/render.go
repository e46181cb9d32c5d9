package page

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"net/http"
	"net/url"
	"path"
	"strings"
	"time"

	"shortfall/cmd/page/queue"
	"shortfall/report/web"
)

var (
	//go:embed templates
	templateFiles embed.FS
	//go:embed assets
	assetFiles embed.FS
)

var pages = parsePages()

// parsePages reads each page with the frame around it.
func parsePages() map[string]*template.Template {
	out := map[string]*template.Template{}
	names, err := templateFiles.ReadDir("templates")
	if err != nil {
		panic(err) // embedded: it is there or the program was not built
	}
	for _, n := range names {
		base := strings.TrimSuffix(n.Name(), ".html")
		if base == "frame" {
			continue
		}
		out[base] = template.Must(template.New("frame.html").Funcs(words).ParseFS(templateFiles, "templates/frame.html", "templates/"+n.Name()))
	}
	return out
}

// view is what a page shows.
type view struct {
	Title    string
	Practice *practice
	Tab      string // which part of the practice is open
	Stamp    string // state of the records that the page shows
	Wide     bool
	Data     any
	Version  string
	Job      *queue.Task // what the page waits for
}

// show writes a page.
func (s *server) show(w http.ResponseWriter, r *http.Request, code int, name string, v view) error {
	v.Version = s.o.Version
	if v.Practice != nil && v.Stamp == "" {
		v.Stamp, _, _ = v.Practice.stamp()
	}
	var b bytes.Buffer
	if err := pages[name].Execute(&b, v); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(code)
	_, _ = w.Write(rooted(b.Bytes(), s.root)) // whoever asked may have gone
	return nil
}

// rooted puts the root before the addresses of a page. Nothing but an attribute of ours
// is written so: in a text and in a value the quotation mark is escaped.
func rooted(page []byte, root string) []byte {
	for _, attribute := range []string{"href", "action", "src"} {
		page = bytes.ReplaceAll(page, []byte(attribute+`="/`), []byte(attribute+`="`+root+"/"))
	}
	return page
}

// shortWait is how long a page waits for a job before it shows a bar instead.
const shortWait = 700 * time.Millisecond

// wait leads to where the result of a job is, or shows how far it is.
func (s *server) wait(w http.ResponseWriter, r *http.Request, p *practice, j *queue.Task, to string) error {
	if j.Within(shortWait) {
		if err := j.Failed(); err != nil {
			return err
		}
		return s.to(w, r, to)
	}
	return s.bar(w, r, p, j, to)
}

// bar leads to the page that shows how far a job is, whose end leads on.
func (s *server) bar(w http.ResponseWriter, r *http.Request, p *practice, j *queue.Task, to string) error {
	q := url.Values{"to": {to}}
	return s.to(w, r, p.path()+"/jobs/"+j.ID+"?"+q.Encode())
}

// waiting shows how far a job is; its end leads on.
func (s *server) waiting(w http.ResponseWriter, r *http.Request, p *practice) error {
	j := s.queue.Find(r.PathValue("job"))
	to := r.URL.Query().Get("to")
	if !strings.HasPrefix(to, p.path()+"/") || path.Clean(to) != to && !strings.Contains(to, "?") {
		to = p.path() + "/"
	}
	switch {
	case j == nil:
		return errNothing
	case !j.State().Ended:
		return s.show(w, r, http.StatusOK, "waiting", view{Title: j.Title, Practice: p, Job: j})
	case j.Failed() != nil && !p.tells(j, to):
		return j.Failed()
	}
	return s.to(w, r, to)
}

// back leads to the page that a form was on.
func (s *server) back(w http.ResponseWriter, r *http.Request) error {
	to := "/"
	if u, err := url.Parse(r.FormValue("back")); err == nil && u.Host == "" && u.Scheme == "" && strings.HasPrefix(u.Path, "/p/") {
		to = u.RequestURI()
	}
	return s.to(w, r, to)
}

// asset serves one embedded file by its name; there is no folder to look into.
func (s *server) asset(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	if name == "report.css" {
		w.Header().Set("Content-Type", "text/css; charset=utf-8")
		_, err := w.Write([]byte(web.Style))
		return err
	}
	kind := map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml"}[path.Ext(name)]
	b, err := assetFiles.ReadFile("assets/" + name)
	if err != nil || kind == "" {
		return errNothing
	}
	w.Header().Set("Content-Type", kind)
	_, err = w.Write(b)
	return err
}

// to leads on after a form.
func (s *server) to(w http.ResponseWriter, r *http.Request, where string) error {
	http.Redirect(w, r, s.root+where, http.StatusSeeOther)
	return nil
}

// Kinds of the files that are given to the browser.
const (
	workbookType = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
	pdfType      = "application/pdf"
	jsonType     = "application/json"
	htmlType     = "text/html; charset=utf-8"
)

// download sends a whole file to be saved: it is made first, so that a fault is
// said and no half of it arrives.
func (s *server) download(w http.ResponseWriter, name, kind string, write func(io.Writer) error) error {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return err
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", fmt.Sprintf(`attachment; filename="%s"`, asciiName(name)))
	w.Header().Set("Content-Length", fmt.Sprint(b.Len()))
	_, _ = w.Write(b.Bytes()) // whoever asked may have gone
	return nil
}

// asciiName is a name that stands in a header as it is.
func asciiName(name string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' || strings.ContainsRune(`"\/;`, r) {
			return '_'
		}
		return r
	}, name)
}
