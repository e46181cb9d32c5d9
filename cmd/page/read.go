package page

import (
	"context"
	"errors"
	"io"
	"maps"
	"net/http"
	"path/filepath"
	"strings"

	"shortfall/cmd/job"
	"shortfall/cmd/page/found"
	"shortfall/cmd/page/queue"
	"shortfall/ingest"
	"shortfall/ingest/feedback"
	"shortfall/ingest/look"
	"shortfall/ingest/question"
)

type practiceHandler = func(http.ResponseWriter, *http.Request, *practice) error

func (s *server) readRoutes(on func(string, practiceHandler)) {
	on("GET /p/{practice}/{$}", s.practicePage)
	on("GET /p/{practice}/jobs/{job}", s.waiting)
	on("GET /p/{practice}/read", s.readList)
	on("POST /p/{practice}/files", s.receiveAll)
	on("GET /p/{practice}/read/{sheet}", s.readSheet)
	on("POST /p/{practice}/read/{sheet}/answers", s.answer)
	on("POST /p/{practice}/read/{sheet}/allow", s.allow)
	on("POST /p/{practice}/read/{sheet}/keep", s.keep)
	on("POST /p/{practice}/read/{sheet}/away", s.away)
	on("POST /p/{practice}/without", s.without)
	on("GET /p/{practice}/read/{sheet}/marked.xlsx", s.marked)
	on("GET /p/{practice}/read/{sheet}/pseudonymised.xlsx", s.pseudonymised)
	on("POST /p/{practice}/read/{sheet}/copy", s.pseudonymise)
	on("GET /p/{practice}/read/{sheet}/copy.xlsx", s.savedCopy)
}

// practicePage leads to the audit, and to reading where there is nothing to audit.
func (s *server) practicePage(w http.ResponseWriter, r *http.Request, p *practice) error {
	files, err := p.db.Files(r.Context())
	if err != nil {
		return err
	}
	if len(files) == 0 {
		return s.to(w, r, p.path()+"/read")
	}
	return s.to(w, r, p.path()+"/audit")
}

// read puts the reading of an upload into the queue.
func (s *server) read(p *practice, u *upload) error {
	t, err := s.queue.Put("reading "+u.Name, func(ctx context.Context, t *queue.Task) error { return s.reading(ctx, t, p, u) })
	if err != nil {
		return err
	}
	u.mu.Lock()
	old := u.task
	u.task = t
	u.mu.Unlock()
	if old != nil {
		old.Stop() // a new answer makes an older reading useless
	}
	return nil
}

// reading reads a file with the answers there are. A file that is refused is no
// failure of the task: its page says why and asks.
func (s *server) reading(ctx context.Context, t *queue.Task, p *practice, u *upload) error {
	t.At("reading "+u.Name, 0, 0)
	defer job.Sparing(u.path)()
	o := u.options()
	memory := job.NewMemory(context.WithoutCancel(ctx), p.db) // it is written to after the reading
	memory.At(u.path)
	o.Memory = memory
	o.Progress = func(done, all int) { t.At("reading "+u.Name, done, all) }
	batch, err := ingest.Read(ctx, u.path, o)
	problems := ingest.Problems(err)
	if batch != nil {
		problems = batch.Problems
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	view, verr := look.At(ctx, u.path, o, problems)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	refused, _ := errors.AsType[*ingest.Refused](err)
	var first []question.Question
	u.mu.Lock()
	hidden := u.points.Clone()
	u.mu.Unlock()
	if len(found.Personal(refused)) > 0 {
		first = hidden.BeforeCopy(ctx, u.path, o)
	}
	u.mu.Lock()
	defer u.mu.Unlock()
	u.batch, u.view, u.memory, u.asks, u.spelling = batch, view, memory, nil, ""
	u.refused, u.first, u.points, u.noCopy = refused, first, hidden, ""
	if u.err = nil; u.refused == nil {
		u.err = errors.Join(err, verr)
	}
	return nil
}

func (u *upload) options() ingest.Options {
	u.mu.Lock()
	defer u.mu.Unlock()
	return ingest.Options{AllowIdentifiers: u.allow, Answers: maps.Clone(u.answers), Ask: true}
}

func (s *server) receiveAll(w http.ResponseWriter, r *http.Request, p *practice) error {
	got, err := s.receive(w, r, p)
	if err != nil {
		return err
	}
	if len(got) == 0 {
		return wrong("no file was chosen")
	}
	if len(got) > 1 {
		return s.to(w, r, p.path()+"/read")
	}
	return s.reread(w, r, p, got[0])
}

// reread leads to the page of a file, at once where its reading is done.
func (s *server) reread(w http.ResponseWriter, r *http.Request, p *practice, u *upload) error {
	u.mu.Lock()
	t := u.task
	u.mu.Unlock()
	t.Within(shortWait)
	return s.to(w, r, sheetPath(p, u)+now)
}

// answer takes the answers of a form and reads the file again.
func (s *server) answer(w http.ResponseWriter, r *http.Request, p *practice) error {
	u, err := p.sheetOf(r)
	if err != nil {
		return err
	}
	if err := r.ParseForm(); err != nil {
		return wrong("this form could not be read")
	}
	u.mu.Lock()
	for name, given := range r.PostForm {
		id, ok := strings.CutPrefix(name, "answer ")
		id, word := u.points.Means(id, strings.Join(given, ","))
		switch column := strings.HasPrefix(id, "column "); {
		case ok && word != "":
			u.answers[id] = word
		case ok && !column: // a column beside the one that was changed says nothing anew
			delete(u.answers, id)
		}
	}
	if r.PostForm.Has("forget") {
		id, _ := u.points.Means(r.PostForm.Get("forget"), "")
		delete(u.answers, id)
	}
	u.mu.Unlock()
	if err := s.read(p, u); err != nil {
		return err
	}
	return s.reread(w, r, p, u)
}

// allow reads a file whose findings a person looked at and found harmless.
func (s *server) allow(w http.ResponseWriter, r *http.Request, p *practice) error {
	u, err := p.sheetOf(r)
	if err != nil {
		return err
	}
	if r.FormValue("checked") != "yes" {
		return wrong("say that you looked at every place named, or make a pseudonymised copy instead")
	}
	u.mu.Lock()
	u.allow = true
	u.mu.Unlock()
	if err := s.read(p, u); err != nil {
		return err
	}
	return s.reread(w, r, p, u)
}

func (s *server) away(w http.ResponseWriter, r *http.Request, p *practice) error {
	u, err := p.sheetOf(r)
	if err != nil {
		return err
	}
	p.drop(u)
	return s.to(w, r, p.path()+"/read")
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
