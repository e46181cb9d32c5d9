package job

import (
	"context"
	"encoding/json"
	"path/filepath"
	"strings"

	"shortfall/ingest/privacy"
	"shortfall/ingest/question"
	"shortfall/ingest/store"
)

// Memory keeps the answers about files in the database, by the hash of their
// headers. What is told of a file waits until its records are in.
type Memory struct {
	db      Profiles
	ctx     context.Context //nolint:containedctx // lives as long as one reading
	waiting map[string]store.Profile
	name    string // of the file being read
	header  string // of the file read last
}

// Profiles is the part of a store.Store that keeps answers.
type Profiles interface {
	Profiles(ctx context.Context) ([]store.Profile, error)
	PutProfile(ctx context.Context, p store.Profile) error
}

// NewMemory remembers in a database.
func NewMemory(ctx context.Context, db Profiles) *Memory {
	return &Memory{db: db, ctx: ctx, waiting: map[string]store.Profile{}}
}

// Recall reads the answers of an earlier file. A profile that cannot be read is
// none: the questions are asked again.
func (m *Memory) Recall(header string) question.Answers {
	m.header = header
	all, err := m.db.Profiles(m.ctx)
	if err != nil {
		return nil
	}
	for _, p := range all {
		var a question.Answers
		if p.Header == header && json.Unmarshal(p.Content, &a) == nil {
			return a
		}
	}
	return nil
}

// Keep notes the answers that a file was read with.
func (m *Memory) Keep(header string, a question.Answers) {
	content, err := json.Marshal(a)
	if err != nil {
		return
	}
	m.waiting[m.name] = store.Profile{Header: header, Name: shownName(m.name), Content: content}
}

// Headers is the hash of the headers of the file read last, "" where it has none.
func (m *Memory) Headers() string { return m.header }

// At names the file that is read next.
func (m *Memory) At(path string) { m.name = path }

// shownName is the name of a file as it may be kept.
func shownName(path string) string {
	base := filepath.Base(path)
	if privacy.LabelRule(strings.TrimSuffix(base, filepath.Ext(base))) != "" {
		return "(name withheld)"
	}
	return base
}

// Kept writes the answers about a file whose records are in the database.
func (m *Memory) Kept(path string) error {
	p, ok := m.waiting[path]
	if !ok {
		return nil
	}
	delete(m.waiting, path)
	return m.db.PutProfile(m.ctx, p)
}
