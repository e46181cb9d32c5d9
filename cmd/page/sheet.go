package page

import (
	"context"
	"encoding/json"
	"net/http"
	"slices"

	"shortfall/cmd/job"
	"shortfall/cmd/page/asks"
	"shortfall/cmd/page/found"
	"shortfall/cmd/page/grid"
	"shortfall/cmd/page/queue"
	"shortfall/ingest"
	"shortfall/ingest/feedback"
	"shortfall/ingest/question"
	"shortfall/ingest/store"
)

// mostNamed is how many of the cases that are asked about are named.
const mostNamed = 8

// sheetPage is what the page of one file shows.
type sheetPage struct {
	N          int
	Name       string
	State      string
	Task       *queue.Task
	Error      string
	Personal   []found.Finding
	Leavable   []found.Leaving // columns without which nothing of that is read
	Codes      bool            // one of those named could hold the codes of the cases
	Questions  []asks.Asked
	Answered   []asks.Answered
	Findings   []found.Finding
	Understood *job.Understanding
	Unread     []string // columns of which nothing is kept
	Earlier    bool     // files were read before
	Counts     string
	Asks       *store.Error
	AsksCode   bool     // the practice is not told
	Named      []string // cases asked about
	Unnamed    int      // and how many more
	Spelt      bool     // what is asked is whether codes in another spelling are the same patients'
	Whose      *string
	Initials   bool       // proposed in place of a name that could be a person's
	Apart      string     // how the lists of cases and the movements do not fit together
	Lost       string     // movements on record that this version refuses
	Fewer      string     // how many rows are left out, where that are many
	Open       []openFile // the others, once this one is kept
	Kept       *found.Kept
	NoCopy     string  // why no pseudonymised copy could be made
	Origin     *origin // of a pseudonymised copy
	Grid       *grid.View
}

func (s *server) readSheet(w http.ResponseWriter, r *http.Request, p *practice) error {
	u, err := p.sheetOf(r)
	if err != nil {
		return err
	}
	before, err := p.given(r.Context(), u)
	if err != nil {
		return err
	}
	u.mu.Lock()
	page := u.page(r, sheetPath(p, u))
	asks.Propose(page.Questions, before, &u.points)
	batch := u.batch
	u.mu.Unlock()
	if page.Understood != nil && page.Kept == nil {
		files, err := p.db.Files(r.Context())
		if err != nil {
			return err
		}
		page.Earlier = len(files) > 0
		if page.Whose, err = p.proposes(r.Context(), batch); err != nil {
			return err
		}
		page.Initials = page.Whose != nil && *page.Whose != "" && *page.Whose == codeOf(p.Name) && !job.Harmless(p.Name)
		if page.Apart, err = p.apart(r.Context(), u); err != nil {
			return err
		}
		if page.Lost, err = p.lost(r.Context(), batch, page.Whose); err != nil {
			return err
		}
	}
	if page.Kept != nil {
		page.Open, _ = p.openFiles()
		fit, err := job.FitOf(r.Context(), p.db)
		if err != nil {
			return err
		}
		if fit.Apart() {
			page.Apart = fit.String()
		}
	}
	return s.show(w, r, http.StatusOK, "sheet", view{Title: page.Name, Practice: p, Tab: "read", Wide: true, Data: page, Job: page.Task})
}

// given are the answers to questions of other files of the practice, those that were kept
// and those in work; the last of a question is proposed for this one.
func (p *practice) given(ctx context.Context, of *upload) (map[string]asks.Answer, error) {
	out := map[string]asks.Answer{}
	profiles, err := p.db.Profiles(ctx)
	if err != nil {
		return nil, err
	}
	for _, f := range profiles {
		var a question.Answers
		if json.Unmarshal(f.Content, &a) == nil {
			for id, word := range a {
				out[id] = asks.Answer{Word: word, File: f.Name}
			}
		}
	}
	for _, u := range p.held() {
		if u == of {
			continue
		}
		u.mu.Lock()
		for id, word := range u.answers {
			out[id] = asks.Answer{Word: word, File: u.Name}
		}
		u.mu.Unlock()
	}
	return out, nil
}

// apart says so where the lists of cases and the movements would not fit together with the
// file kept, "" where they do; it is asked before the file is kept.
func (p *practice) apart(ctx context.Context, u *upload) (string, error) {
	u.mu.Lock()
	b := u.batch
	asked := u.asks != nil // another question of the store, put after this one
	u.mu.Unlock()
	if b == nil || asked {
		return "", nil
	}
	fit, err := job.FitWith(ctx, p.db, b)
	if err != nil || !fit.Apart() {
		return "", err
	}
	return fit.String(), nil
}

// page puts together what a file's page shows; the caller holds the lock.
func (u *upload) page(r *http.Request, path string) *sheetPage {
	out := &sheetPage{N: u.N, Name: u.Name, State: u.state(), NoCopy: u.noCopy, Origin: u.origin}
	state := u.task.State()
	if !state.Ended && u.kept == nil {
		out.Task = u.task
		return out
	}
	switch {
	case state.Error != "":
		out.Error = state.Error
	case u.err != nil:
		out.Error = found.InWindow(u.err.Error())
	}
	problems := ingest.Problems(u.err)
	switch {
	case u.refused != nil:
		problems = u.refused.Problems
		out.Questions = asks.Put(append(u.first, u.refused.Questions...), u.answers, &u.points)
	case u.batch != nil:
		problems = u.batch.Problems
		understood := job.Understood(u.batch)
		report := feedback.NewReport(u.Name, u.batch, nil)
		out.Unread = found.Unread(problems, u.view)
		out.Understood, out.Counts, out.Fewer = &understood, job.CountsText(report.Total), job.ManyLeftOut(u.batch)
	}
	out.Answered = asks.Settled(u.answers, out.Questions, problems, &u.points)
	out.Personal, out.Findings = found.List(problems, asks.Rules(out.Questions), path)
	if out.Asks = u.asks; u.asks != nil {
		out.Spelt = u.asks.Kind == store.Spelling
		out.Named = found.Names(u.asks.Cases[:min(len(u.asks.Cases), mostNamed)])
		out.Unnamed = len(u.asks.Cases) - len(out.Named)
		out.AsksCode = u.asks.Kind == store.PracticeOpen || u.asks.Kind == store.Clash
	}
	if u.kept != nil {
		out.Kept = found.Became(*u.kept)
	} else if u.view != nil {
		out.Leavable = found.Leavable(found.Personal(u.refused), u.view)
		if codes := u.points.CodeColumns(u.first); len(out.Leavable) > 0 && len(codes) > 0 {
			out.Leavable = slices.DeleteFunc(out.Leavable, func(l found.Leaving) bool { return codes[l.Letter()] })
			out.Codes = true
		}
		out.Grid = grid.Of(u.view, problems, u.answers, r.URL.Query(), path)
	}
	return out
}
