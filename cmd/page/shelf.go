package page

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"shortfall/cmd/keep"
	"shortfall/cmd/page/queue"
	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlite"
)

// practice is one database, open from its first use to the end of the program.
type practice struct {
	ID, Name, Path string

	// use is held by every request for as long as it lasts, and alone by what puts
	// another database in the place of this one. Tasks need none: one is done at a time.
	use  sync.RWMutex
	open sync.Mutex
	db   store.Store

	mu      sync.Mutex
	sheets  []*upload
	number  int
	records *records
	audits  []*audited
	making  map[string]*queue.Task // audits under way, by what they are of
	untold  *queue.Task            // one that failed while a page waited, which the audit's is to tell
	notices []string
	copied  map[string]*upload // files of which pseudonymised copies were made, by the hash of the copy
	undo    undo
}

// path is the address of its page.
func (p *practice) path() string { return "/p/" + p.ID }

// shelf holds the practices by id, a hash of the path: requests never carry paths.
type shelf struct {
	home *keep.Home
	mu   sync.Mutex
	all  map[string]*practice
}

func newShelf(h *keep.Home) *shelf { return &shelf{home: h, all: map[string]*practice{}} }

func (s *shelf) close() {
	s.mu.Lock()
	defer s.mu.Unlock()
	// any order: none is open to another
	for _, p := range s.all {
		p.shut()
	}
}

func (p *practice) shut() {
	p.open.Lock()
	defer p.open.Unlock()
	if p.db != nil {
		p.db.Close()
		p.db = nil
	}
}

// At is what an address of the page has behind it to open with a database, by its whole path.
func At(database string) string { return "&at=/p/" + idOf(database) + "/" }

func idOf(path string) string {
	h := sha256.Sum256([]byte(path))
	return hex.EncodeToString(h[:6])
}

// take puts a database on the shelf, existing yet or not, and remembers it.
func (s *shelf) take(path string) (*practice, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	if err := s.home.Remember(abs); err != nil {
		return nil, fmt.Errorf("the list of databases could not be written: %w", err)
	}
	return s.put(abs), nil
}

func (s *shelf) put(abs string) *practice {
	s.mu.Lock()
	defer s.mu.Unlock()
	id := idOf(abs)
	if s.all[id] == nil {
		name := filepath.Base(abs)
		s.all[id] = &practice{ID: id, Name: strings.TrimSuffix(name, filepath.Ext(name)), Path: abs}
	}
	return s.all[id]
}

// named checks a path that a person typed: a database of this program that is there, and
// nothing else, is opened. Nothing is read of one that is open already: closing it would
// drop SQLite's locks.
func (s *shelf) named(typed string) (string, error) {
	typed = strings.Trim(strings.TrimSpace(typed), `"`) // as a file manager copies it
	if !filepath.IsAbs(typed) {
		return "", wrong("give the whole path of the database, from the drive or the root on")
	}
	real, err := filepath.EvalSymlinks(typed)
	if err != nil {
		return "", wrong("there is no file at this path, or it may not be read: " + typed)
	}
	info, err := os.Stat(real)
	if err != nil || !info.Mode().IsRegular() {
		return "", wrong("this is no file that holds records: " + typed)
	}
	list, err := s.known()
	if err != nil {
		return "", err
	}
	for _, p := range list {
		if other, err := os.Stat(p.Path); err == nil && os.SameFile(info, other) {
			return p.Path, nil
		}
	}
	if !sqlite.IsOurs(real) {
		return "", wrong("this file is no database of this program: " + typed + ". Spreadsheets are read in a practice, under Read")
	}
	return real, nil
}

// known lists the databases opened before.
func (s *shelf) known() ([]*practice, error) {
	paths, err := s.home.Known()
	if err != nil {
		return nil, err
	}
	var out []*practice
	for _, path := range paths {
		out = append(out, s.put(path))
	}
	return out, nil
}

// find gives the practice with the id. Only databases that were opened before have one.
func (s *shelf) find(id string) (*practice, error) {
	s.mu.Lock()
	p := s.all[id]
	s.mu.Unlock()
	if p == nil {
		if _, err := s.known(); err != nil {
			return nil, err
		}
		s.mu.Lock()
		p = s.all[id]
		s.mu.Unlock()
	}
	if p == nil {
		return nil, errNothing
	}
	return p, nil
}

// ready opens the database. One that was there before and is gone is not made anew.
func (p *practice) ready(ctx context.Context) error {
	p.open.Lock()
	defer p.open.Unlock()
	if _, err := os.Stat(p.Path); errors.Is(err, fs.ErrNotExist) {
		if p.db != nil {
			p.db.Close()
			p.db = nil
		}
		return &store.Error{Kind: store.CannotOpen, Path: p.Path, Message: "the database is not there any more", Remedy: "Put it back, or begin a new practice"}
	}
	if p.db != nil {
		return nil
	}
	db, err := sqlite.Open(context.WithoutCancel(ctx), p.Path)
	if err != nil {
		return err
	}
	p.db, p.notices = db, db.Notices()
	return nil
}

// begin makes the database of a new practice.
func (s *shelf) begin(ctx context.Context, name string) (*practice, error) {
	path, err := s.home.New(name)
	if err != nil {
		return nil, wrong(err.Error())
	}
	db, err := sqlite.Open(ctx, path)
	if err != nil {
		return nil, err
	}
	p, err := s.take(path)
	if err != nil {
		db.Close()
		return nil, err
	}
	p.open.Lock()
	defer p.open.Unlock()
	p.db = db
	return p, nil
}
