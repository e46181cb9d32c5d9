package page

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"regexp"
	"runtime/debug"
	"strings"

	"shortfall/cmd/page/guard"
	"shortfall/cmd/page/life"
	"shortfall/cmd/page/queue"
	"shortfall/ingest/store"
)

// server is one opening of the page.
type server struct {
	o      Options
	root   string // path before all addresses; handlers and templates write them without it
	folder string // private, for what the browser sends; gone at the end
	shelf  *shelf
	queue  *queue.Queue
	life   *life.Life
}

func newServer(ctx context.Context, o Options, folder string) *server {
	o = o.filled()
	return &server{o: o, root: "/" + guard.Secret(), folder: folder, shelf: newShelf(o.Home), queue: queue.New(ctx), life: o.life}
}

// announce says where the next window is opened; without it a second start of the
// program finds no page, which it says.
func (s *server) announce(address string) {
	if s.o.Announce != nil {
		if err := s.o.Announce(address); err != nil {
			fmt.Fprintf(s.o.Out, "shortfall: a second start will not find this page: %v\n", err)
		}
	}
}

// close waits for what was being done to stop, and closes the databases.
func (s *server) close() {
	s.queue.Wait()
	s.shelf.close()
}

// practicePath is the address of a practice.
var practicePath = regexp.MustCompile(`^/p/[0-9a-f]{12}/$`)

// routes of the page. A handler gives an error and fail says it.
func (s *server) routes() http.Handler {
	m := http.NewServeMux()
	on := func(pattern string, f func(http.ResponseWriter, *http.Request) error) {
		m.HandleFunc(pattern, func(w http.ResponseWriter, r *http.Request) {
			defer s.panicked(w, r)
			if !strings.HasSuffix(pattern, "/files") { // a form with files in it would be written to the disk, to any size
				r.Body = http.MaxBytesReader(w, r.Body, mostForm)
			}
			if err := f(w, r); err != nil {
				s.fail(w, r, err)
			}
		})
	}
	practice := func(pattern string, f func(http.ResponseWriter, *http.Request, *practice) error) {
		on(pattern, func(w http.ResponseWriter, r *http.Request) error {
			p, err := s.shelf.find(r.PathValue("practice"))
			if err != nil {
				return err
			}
			p.use.RLock()
			defer p.use.RUnlock()
			if err := p.ready(r.Context()); err != nil {
				return err
			}
			return f(w, r, p)
		})
	}
	on("GET /{$}", s.start)
	on("POST /practices", s.newPractice)
	on("POST /demo", s.demo)
	on("POST /elsewhere", s.elsewhere)
	on("GET /jobs/{job}", s.jobState)
	on("POST /jobs/{job}/stop", s.jobStop)
	on("POST /here", s.here)
	on("POST /gone", s.gone)
	on("GET /assets/{name}", s.asset)
	on("/", func(http.ResponseWriter, *http.Request) error { return errNothing })
	s.readRoutes(practice)
	s.auditRoutes(practice)
	s.cycleRoutes(practice)
	s.recordRoutes(practice)
	s.copyRoutes(practice)
	return m
}

// mostForm bytes of a form without files.
const mostForm = 1 << 20

var errNothing = errors.New("there is nothing at this address")

// said is an error that tells the person what to do; it is no fault of the program.
type said struct {
	code int
	text string
}

func (e *said) Error() string { return e.text }

func wrong(text string) error { return &said{http.StatusBadRequest, text} }

// fail shows an error as a page.
func (s *server) fail(w http.ResponseWriter, r *http.Request, err error) {
	code := http.StatusInternalServerError
	var known *said
	var db *store.Error
	switch {
	case errors.Is(err, errNothing):
		code = http.StatusNotFound
	case errors.As(err, &known):
		code = known.code
	case errors.Is(err, queue.ErrStopped):
		code = http.StatusConflict
	case errors.Is(err, queue.ErrBusy):
		code = http.StatusServiceUnavailable
	case errors.As(err, &db):
		code = http.StatusConflict
	case errors.Is(err, context.Canceled):
		return // whoever asked has gone
	}
	v := view{Title: "This could not be done", Data: err.Error()}
	if p, err := s.shelf.find(r.PathValue("practice")); err == nil {
		v.Practice = p // its menu leads on
	}
	s.show(w, r, code, "failed", v)
}

// panicked answers for a handler that broke down; what it holds is not shown.
func (s *server) panicked(w http.ResponseWriter, r *http.Request) {
	p := recover()
	if p == nil || p == http.ErrAbortHandler {
		return
	}
	_, _ = s.o.Out.Write(append([]byte("shortfall: internal error in the page; please report it, the lines below hold no data\n"), debug.Stack()...))
	s.fail(w, r, errors.New("internal error; nothing was changed by this step. Please report it"))
}
