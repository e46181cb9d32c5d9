package page

import (
	"context"
	"encoding/json"
	"errors"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/cmd/job"
	"shortfall/cmd/page/address"
	"shortfall/cmd/page/queue"
	"shortfall/ingest/casebook"
	"shortfall/report/section"
)

// audited is an audit with what was drawn from it. It is made once for a state of the
// records and settings.
type audited struct {
	key   string
	until time.Time // zero: as long as the records stay; else they may have changed unseen
	res   *results.Results
	trail *audit.Trail // nil where the results leave the practice
	front template.HTML
	query url.Values // what it was asked for with

	mu   sync.Mutex
	full template.HTML // drawn when it is first asked for
}

// mostAudits of a practice are kept at hand.
const mostAudits = 4

// wanted is the audit that an address asks for.
type wanted struct {
	s     results.Settings
	since string // name of a saved audit, "" for none
	key   string
	query url.Values
}

func (p *practice) wanted(q url.Values) (wanted, error) {
	s, err := p.settings(q)
	if err != nil {
		return wanted{}, err
	}
	if err := p.declare(&s); err != nil {
		return wanted{}, err
	}
	text, err := json.Marshal(s)
	if err != nil {
		return wanted{}, err
	}
	since := q.Get("since")
	return wanted{s, since, since + " " + string(text), address.Kept(q)}, nil
}

// atHand gives an audit that was made of the records as they are now.
func (p *practice) atHand(w wanted) *audited {
	stamp, _, err := p.stamp()
	if err != nil {
		return nil
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	i := slices.IndexFunc(p.audits, func(a *audited) bool { return a.key == stamp+" "+w.key && good(a.until) })
	if i < 0 {
		return nil
	}
	a := p.audits[i]
	p.audits = append(append(slices.Clone(p.audits[:i]), p.audits[i+1:]...), a) // the last used goes last
	return a
}

// lastAudit is the one looked at last, of the records as they are now; nil where none
// is. One that is good no longer is made anew where it is asked for, and is still the one
// that was on the page.
func (p *practice) lastAudit() *audited {
	stamp, _, err := p.stamp()
	p.mu.Lock()
	defer p.mu.Unlock()
	if err != nil || len(p.audits) == 0 {
		return nil
	}
	if a := p.audits[len(p.audits)-1]; strings.HasPrefix(a.key, stamp+" ") {
		return a
	}
	return nil
}

// audit gives the audit that an address asks for; where it takes a while, the answer is
// a page with a bar and ok is false.
func (s *server) audit(w http.ResponseWriter, r *http.Request, p *practice) (a *audited, ok bool, err error) {
	want, err := p.wanted(r.URL.Query())
	if err != nil {
		return nil, false, err
	}
	if a := p.atHand(want); a != nil {
		return a, true, nil
	}
	t, err := s.auditing(p, want)
	if err != nil {
		return nil, false, err
	}
	if !t.Within(shortWait) {
		return nil, false, s.bar(w, r, p, t, r.URL.RequestURI())
	}
	if err := t.Failed(); err != nil {
		return nil, false, err
	}
	if a := p.atHand(want); a != nil {
		return a, true, nil
	}
	return nil, false, s.wait(w, r, p, t, r.URL.RequestURI()) // changed between the two
}

// auditing puts an audit into the queue, or finds it there: two windows that ask for
// the same wait for one, and one whose failure is untold is there for it, once.
func (s *server) auditing(p *practice, want wanted) (*queue.Task, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if t := p.making[want.key]; t != nil && (!t.State().Ended || t == p.untold) {
		p.untold = nil
		return t, nil
	}
	t, err := s.queue.Put("auditing "+p.Name, func(ctx context.Context, t *queue.Task) error {
		a, err := s.make(ctx, t, p, want)
		if err != nil {
			return err
		}
		p.mu.Lock()
		defer p.mu.Unlock()
		p.audits = append(p.audits, a)
		p.audits = p.audits[max(0, len(p.audits)-mostAudits):]
		return nil
	})
	if err != nil {
		return nil, err
	}
	if p.making == nil {
		p.making = map[string]*queue.Task{}
	}
	for key, old := range p.making {
		if old.State().Ended {
			delete(p.making, key)
		}
	}
	p.making[want.key] = t
	return t, nil
}

// tells says whether the page that was waited for has why a task failed beside its form,
// and leaves that for it. What somebody stopped is no failure to be told there.
func (p *practice) tells(t *queue.Task, to string) bool {
	page, _, _ := strings.Cut(to, "?")
	if page != p.path()+"/audit" || errors.Is(t.Failed(), queue.ErrStopped) {
		return false
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.untold = t
	return true
}

var errNoMovement = &said{http.StatusOK, "there is no movement to audit yet: read a spreadsheet first"}

// make audits the records: the same call as the command line's.
func (s *server) make(ctx context.Context, t *queue.Task, p *practice, want wanted) (*audited, error) {
	rec, res, err := s.compute(ctx, t, p, want)
	if err != nil {
		return nil, err
	}
	a := &audited{key: rec.stamp + " " + want.key, until: rec.until, res: res, query: want.query}
	if !want.s.Shared {
		if a.trail, err = audit.Follow(rec.ds, want.s); err != nil {
			return nil, err
		}
	}
	t.At("drawing", 0, 0)
	doc, err := section.Document(a.res, section.Short)
	if err != nil {
		return nil, err
	}
	a.front, err = drawn(doc, p.enter(a, want.query))
	if a.until != (time.Time{}) {
		a.until = time.Now().Add(coarsest) // long enough to be looked at once
	}
	return a, err
}

// mostTries to find results and records of one moment, while others write.
const mostTries = 3

// compute gives the records and their results, those kept beside the database where
// nothing has changed. Where it changes meanwhile it is done again, the last time from
// the records alone.
func (s *server) compute(ctx context.Context, t *queue.Task, p *practice, want wanted) (rec *records, res *results.Results, err error) {
	var before *results.Results
	if want.since != "" {
		if before, err = p.saved(want.since); err != nil {
			return nil, nil, err
		}
	}
	for try := 1; ; try++ {
		t.At(job.Loading, 0, 0)
		if rec, err = p.load(ctx); err != nil {
			return nil, nil, err
		}
		same := func() bool {
			stamp, _, err := p.stamp()
			return err == nil && stamp == rec.stamp
		}
		task := job.Audit{
			DB: p.db, Settings: want.s, Version: s.o.Version, Before: before, Keep: rec.until.IsZero() && try < mostTries,
			At:   t.At,
			Load: func(context.Context) (*casebook.Dataset, error) { return rec.ds, nil }, Sure: same,
		}
		switch res, _, err = task.Run(ctx); {
		case errors.Is(err, job.ErrNoMovement):
			return nil, nil, errNoMovement
		case err != nil:
			return nil, nil, inWords(err)
		case !task.Keep || same():
			return rec, res, nil
		}
	}
}

// inWords makes an error of what was asked for one that says so.
func inWords(err error) error {
	if errors.Is(err, context.Canceled) {
		return err
	}
	return wrong(strings.TrimPrefix(err.Error(), "audit: "))
}
