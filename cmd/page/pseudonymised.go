package page

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"net/http"
	"os"
	"path/filepath"

	"shortfall/cmd/job"
	"shortfall/cmd/page/found"
	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/pseudonym"
	"shortfall/ingest/scratch"
	"shortfall/ingest/screen"
)

// keyEnding of the file beside a database that holds its key of pseudonyms.
const keyEnding = ".key"

// origin is the file that a pseudonymised copy in work was made of, and what the copy
// says of it: how its codes stand, and what is left out.
type origin struct {
	of   *upload
	Name string
	Said []string
	Left []string
}

// from is the file of which the upload is a copy, nil where it is none.
func (u *upload) from() *origin {
	u.mu.Lock()
	defer u.mu.Unlock()
	return u.origin
}

// copied makes a pseudonymised copy of the file that a request names; where none can be
// made content is nil and the request was sent on to the page of the file, which says why.
func (s *server) copied(w http.ResponseWriter, r *http.Request, p *practice) (u *upload, content []byte, sum pseudonym.Summary, err error) {
	if u, err = p.sheetOf(r); err != nil {
		return nil, nil, sum, err
	}
	content, sum, err = s.anonymised(r.Context(), p, u, r.FormValue("codes"))
	if err == nil && content == nil {
		err = s.to(w, r, sheetPath(p, u))
	}
	return u, content, sum, err
}

// pseudonymise makes a pseudonymised copy of a file and takes it into work at once. What
// keeps it from being made is said on the page of the file, beside what can be done.
func (s *server) pseudonymise(w http.ResponseWriter, r *http.Request, p *practice) error {
	u, content, sum, err := s.copied(w, r, p)
	if err != nil || content == nil {
		return err
	}
	for _, earlier := range p.held() {
		if o := earlier.from(); o != nil && o.of == u && !earlier.isKept() {
			p.drop(earlier) // this copy takes its place
		}
	}
	made, err := p.hold(s.folder, copyName(u.Name), bytes.NewReader(content))
	if err != nil {
		return err
	}
	from := &origin{of: u, Name: u.Name, Said: sum.Said()}
	for _, d := range sum.Dropped {
		from.Left = append(from.Left, d.String())
	}
	made.mu.Lock()
	made.origin = from
	made.mu.Unlock()
	if err := s.read(p, made); err != nil {
		return err
	}
	return s.reread(w, r, p, made)
}

// pseudonymised sends a pseudonymised copy to be saved, for whom it is to be given to.
func (s *server) pseudonymised(w http.ResponseWriter, r *http.Request, p *practice) error {
	u, content, _, err := s.copied(w, r, p)
	if err != nil || content == nil {
		return err
	}
	return s.download(w, copyName(u.Name), workbookType, func(w io.Writer) error {
		_, err := w.Write(content)
		return err
	})
}

// savedCopy sends a copy that is in work as it was made.
func (s *server) savedCopy(w http.ResponseWriter, r *http.Request, p *practice) error {
	u, err := p.sheetOf(r)
	if err != nil {
		return err
	}
	if u.from() == nil {
		return errNothing
	}
	return s.download(w, u.Name, workbookType, func(w io.Writer) error {
		f, err := os.Open(u.path)
		if err != nil {
			return err
		}
		defer f.Close()
		_, err = io.Copy(w, f)
		return err
	})
}

// copyName is the name of the copy of a file: after it, where its name is shown.
func copyName(of string) string {
	name := "copy of " + stem(of) + ".xlsx"
	if screen.Shown(name) != name || stem(of) == screen.NameWithheld {
		return "pseudonymised copy.xlsx"
	}
	return name
}

// anonymised makes a copy with the answers there are, also those remembered. The key lies
// beside the database and never leaves the machine with the copy. Without content the
// page of the file says why there is none.
func (s *server) anonymised(ctx context.Context, p *practice, u *upload, codes string) ([]byte, pseudonym.Summary, error) {
	var sum pseudonym.Summary
	key, _, err := pseudonym.LoadKey(p.beside(keyEnding), scratch.Create)
	if err != nil {
		return nil, sum, err
	}
	dir, err := os.MkdirTemp(s.folder, "copy-")
	if err != nil {
		return nil, sum, err
	}
	defer os.RemoveAll(dir)
	dst := filepath.Join(dir, "copy.xlsx")
	o := u.options()
	o.Memory = job.NewMemory(ctx, p.db)
	sum, err = pseudonym.Copy(ctx, u.path, dst, key, pseudonym.Options{Reading: o, RenameCodes: codes == "renamed", KeepCodes: codes == "kept"})
	if ctx.Err() != nil {
		return nil, sum, ctx.Err()
	}
	u.mu.Lock()
	defer u.mu.Unlock()
	if u.noCopy = u.whyNoCopy(err); u.noCopy != "" {
		return nil, sum, nil
	}
	content, err := os.ReadFile(dst)
	if err != nil {
		return nil, sum, err
	}
	p.madeOf(content, u)
	return content, sum, nil
}

// whyNoCopy says why a copy could not be made and what to do; the caller holds the lock.
func (u *upload) whyNoCopy(err error) string {
	const no = "No pseudonymised copy was made: "
	switch {
	case err == nil:
		return ""
	case u.refused != nil && len(u.first)+len(u.refused.Questions) > 0:
		return no + "the file leaves something open. Answer what is asked below and press “Read it with these answers”, then make the copy"
	case errors.Is(err, pseudonym.ErrNoCase):
		return no + "no column tells the cases apart. In the sheet below choose “case” under “read as” for the column of their codes, press “Read it with these columns”, then make the copy"
	}
	for _, p := range ingest.Problems(err) {
		if p.Severity < casebook.Error {
			continue // what was noted of the reading is no reason
		}
		place := ""
		if p.Cell != "" {
			place = p.Cell + ": "
		}
		return no + place + p.Message + ". " + remedyOr(found.InWindow(p.Remedy))
	}
	return no + found.InWindow(err.Error())
}

// remedyOr is a remedy, and what can be done in any case where there is none.
func remedyOr(remedy string) string {
	if remedy != "" {
		return remedy
	}
	return "Set the columns right under “read as” in the sheet below, or correct the sheet and read it again"
}

// madeOf remembers of which file a copy was made: where the copy is saved and given to
// the page again, its records settle the file.
func (p *practice) madeOf(content []byte, u *upload) {
	sum := sha256.Sum256(content)
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.copied == nil {
		p.copied = map[string]*upload{}
	}
	p.copied[hex.EncodeToString(sum[:])] = u
}

// settled puts the file away of which a copy was made, once the records of the copy are
// kept: nothing of it is left to be decided.
func (p *practice) settled(sha256 string) {
	p.mu.Lock()
	of := p.copied[sha256]
	p.mu.Unlock()
	if of != nil && !of.isKept() {
		p.drop(of)
	}
}
