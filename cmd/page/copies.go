package page

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"path/filepath"
	"strings"

	"shortfall/ingest/feedback"
)

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

// marked is a copy of the file with its problems marked, as ingest --annotate writes.
func (s *server) marked(w http.ResponseWriter, r *http.Request, p *practice) error {
	u, err := p.sheetOf(r)
	if err != nil {
		return err
	}
	u.mu.Lock()
	b := u.batch
	u.mu.Unlock()
	if b == nil {
		return wrong("a file that could not be read has no marked copy; answer its questions first")
	}
	return s.download(w, "marked "+stem(u.Name)+".xlsx", workbookType, func(w io.Writer) error { return feedback.Annotate(w, b) })
}

func stem(name string) string { return strings.TrimSuffix(name, filepath.Ext(name)) }
