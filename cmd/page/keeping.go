package page

import (
	"context"
	"errors"
	"net/http"
	"os"
	"path/filepath"

	"shortfall/cmd/job"
	"shortfall/cmd/page/queue"
	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// keep puts the records of a file into the database, all or none, and remembers
// the answers for the next file of its layout.
func (s *server) keep(w http.ResponseWriter, r *http.Request, p *practice) error {
	u, err := p.sheetOf(r)
	if err != nil {
		return err
	}
	if err := r.ParseForm(); err != nil {
		return wrong("this form could not be read")
	}
	c, err := u.choices(p, r)
	if err != nil {
		return err
	}
	u.mu.Lock()
	ready := u.batch != nil && u.kept == nil
	left := ""
	if ready && u.asks == nil {
		left = job.ManyLeftOut(u.batch)
	}
	u.mu.Unlock()
	if ready && r.PostForm.Get("apart") != "yes" {
		apart, err := p.apart(r.Context(), u)
		if err != nil {
			return err
		}
		if apart != "" {
			return wrong(apart + ": say that the records are to be kept all the same, or correct the codes first")
		}
	}
	if left != "" && r.PostForm.Get("fewer") != "yes" {
		return wrong(left + ": say that the others are to be kept all the same, or correct the sheet first")
	}
	if !ready {
		return s.to(w, r, sheetPath(p, u)) // kept in another window meanwhile, or being read again
	}
	t, err := s.queue.Put("keeping the records of "+u.Name, func(ctx context.Context, t *queue.Task) error {
		t.At("keeping the records of "+u.Name, 0, 0)
		if err := u.keeping(ctx, p, c); err != nil {
			return err
		}
		s.readAlike(p, u)
		p.dropRefused(u)
		return nil
	})
	if err != nil {
		return err
	}
	return s.wait(w, r, p, t, sheetPath(p, u)+now)
}

// now is where on the page of a file the keyboard goes on after a step.
const now = "#now"

// dropRefused takes from the list what was dropped before under the name of a file that
// was kept, and was refused: it was dropped again corrected. One that only asks stays: two
// folders may hold files of one name.
func (p *practice) dropRefused(kept *upload) {
	if !kept.isKept() {
		return
	}
	for _, u := range p.held() {
		if u == kept || u.Name != kept.Name || u.N > kept.N {
			continue
		}
		u.mu.Lock()
		refused := u.kept == nil && (u.err != nil || u.refused != nil && !job.OnlyQuestions(u.refused))
		u.mu.Unlock()
		if refused {
			p.drop(u)
		}
	}
}

// readAlike reads once more the files in work with the headers of one that was kept, so
// that its answers are taken for them too: they came together, before it was answered.
// Where the queue is full a file asks, as it did.
func (s *server) readAlike(p *practice, kept *upload) {
	kept.mu.Lock()
	done, like := kept.kept != nil, kept.memory.Headers()
	kept.mu.Unlock()
	if !done || like == "" {
		return
	}
	for _, u := range p.held() {
		u.mu.Lock()
		alike := u != kept && u.kept == nil && u.memory != nil && u.memory.Headers() == like
		u.mu.Unlock()
		if alike {
			_ = s.read(p, u)
		}
	}
}

// choices are what the person said where keeping the records asked something.
func (u *upload) choices(p *practice, r *http.Request) (store.Choices, error) {
	c := store.Choices{Whole: r.PostForm.Get("whole") == "yes", Beside: p.named()}
	var err error
	if c.Practice, err = job.PracticeCode(r.PostForm.Get("code")); err != nil {
		return c, wrong(err.Error())
	}
	if c.Practice != "" {
		c.Beside = nil // a person was asked: other files do not answer for them
	}
	u.mu.Lock()
	defer u.mu.Unlock()
	if s := r.PostForm.Get("spelling"); s == store.SameSpelt || s == store.DifferentSpelt {
		u.spelling = s // holds for what is asked next, too
	}
	c.Spelling = u.spelling
	if u.asks == nil {
		return c, nil
	}
	for _, k := range u.asks.Cases {
		switch r.PostForm.Get("cases") {
		case "corrected":
			c.Correct = append(c.Correct, k.ID)
		case "others":
			c.Distinct = append(c.Distinct, k.ID)
		}
	}
	return c, nil
}

// keeping imports the batch of an upload. What the import asks is shown on the page
// of the file and is no failure.
func (u *upload) keeping(ctx context.Context, p *practice, c store.Choices) error {
	u.mu.Lock()
	b, memory := u.batch, u.memory
	done := u.kept != nil
	u.mu.Unlock()
	if done || b == nil {
		return nil
	}
	end := job.Keeping(u.path)
	outcome, err := p.db.Import(ctx, b, c)
	end()
	if job.RefusesFile(err) {
		u.mu.Lock()
		defer u.mu.Unlock()
		u.asks, _ = errors.AsType[*store.Error](err)
		return nil
	}
	if err == nil {
		err = memory.Kept(u.path)
	}
	if err == nil && p.teeth() == casebook.NoNotation && b.Notation != casebook.FDI {
		err = p.showTeeth(b.Notation)
	}
	if err != nil {
		return err
	}
	u.mu.Lock()
	defer u.mu.Unlock()
	u.kept, u.asks, u.view, u.batch = &outcome, nil, nil, nil
	os.RemoveAll(filepath.Dir(u.path)) // at the latest with the private folder around it
	p.settled(b.File.SHA256)
	return nil
}
