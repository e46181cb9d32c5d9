package store

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
)

// Lone holds the records of one file for an audit that keeps nothing: what an empty database
// would hold and load, decided by Decide and held to the checks of its schema, without the
// database. Import comes once, before everything else; it is for one goroutine.
type Lone struct {
	name     string // for messages
	sha256   string
	records  *casebook.Dataset
	profiles []Profile
}

// NewLone holds nothing yet; name stands for a path in messages.
func NewLone(name string) *Lone { return &Lone{name: name} }

// Import takes the records of the file. The batch is changed as by Decide.
func (l *Lone) Import(ctx context.Context, b *casebook.Batch, c Choices) (Outcome, error) {
	if l.records != nil {
		return Outcome{}, New(Other, l.name, errors.New("only one file was expected"))
	}
	p, err := Decide(b, &Known{Path: l.name}, c)
	if err != nil {
		return Outcome{}, err
	}
	if err = ctx.Err(); err == nil {
		err = sound(b, p, l.name)
	}
	if err != nil {
		p.Undo()
		return Outcome{}, err
	}
	l.sha256, l.records = b.File.SHA256, newDataset(b, p)
	return p.Outcome, nil
}

// Load gives the records; they are the caller's.
func (l *Lone) Load(ctx context.Context) (*casebook.Dataset, error) {
	if l.records == nil {
		return &casebook.Dataset{}, ctx.Err()
	}
	return l.records, ctx.Err()
}

// MovementsOf lists the movements of the file, none of another one.
func (l *Lone) MovementsOf(ctx context.Context, sha256 string) ([]casebook.MovementKey, error) {
	keys := []casebook.MovementKey{}
	if l.records != nil && sha256 == l.sha256 {
		for i := range l.records.Movements {
			keys = append(keys, l.records.Movements[i].Key())
		}
	}
	return keys, ctx.Err()
}

// Profiles are those that were put here.
func (l *Lone) Profiles(ctx context.Context) ([]Profile, error) { return l.profiles, ctx.Err() }

// PutProfile keeps a profile in the place of one of the same header.
func (l *Lone) PutProfile(ctx context.Context, p Profile) error {
	l.profiles = append(slices.DeleteFunc(l.profiles, func(q Profile) bool { return q.Header == p.Header }), p)
	return ctx.Err()
}

// Path is the name.
func (l *Lone) Path() string { return l.name }

// Close lets go of nothing: there is nothing but memory.
func (l *Lone) Close() error { return nil }

// newDataset is what Store.Load gives of a batch in a database where nothing else is.
func newDataset(b *casebook.Batch, p *Plan) *casebook.Dataset {
	ds := &casebook.Dataset{
		Cases: added(b.Cases, p.Cases.Add, casebook.Case.Key, casebook.CaseKey.Compare),
		Courses: added(b.Courses, p.Courses.Add, casebook.Course.Key, func(a, b casebook.CourseKey) int {
			return cmp.Or(a.Case.Compare(b.Case), cmp.Compare(a.Number, b.Number))
		}),
		Movements: added(b.Movements, p.Movements.Add, casebook.Movement.Key, compareMovements),
		Repeats:   added(b.Repeats, p.Repeats.Add, casebook.Repeat.Key, compareMovements),
		Files:     []casebook.ImportedFile{{File: b.File, Sheets: slices.Clone(b.Sheets), Invented: b.Invented}},
		Rejected:  rejectedCounts(b.Rejected),
		Unchanged: p.Outcome.Total().Unchanged,
		Invented:  b.Invented,
	}
	ds.RefusedAlone, ds.Words = toldBy(b.Problems)
	ofItsOwn(ds)
	return ds
}

// ofItsOwn gives the movements texts of their own, one a case, so that they hold nothing of the
// file they were read from, and amounts as a database gives them back, whose zeros have no sign
// (https://www.sqlite.org/floatingpoint.html).
func ofItsOwn(ds *casebook.Dataset) {
	var last casebook.CaseKey
	for i := range ds.Movements {
		m := &ds.Movements[i]
		if m.Case != last {
			last = casebook.CaseKey{Practice: strings.Clone(m.Case.Practice), ID: strings.Clone(m.Case.ID)}
		}
		m.Case = last
		m.Planned += 0
		m.Achieved.Value += 0
		m.StatedPercent.Value += 0
		m.SizeMM.Value += 0
	}
	for i := range ds.Repeats {
		ds.Repeats[i].First += 0
		ds.Repeats[i].Second += 0
	}
}

// rejectedCounts counts rejected rows by the word of their kind and their first reason, in
// that order.
func rejectedCounts(rejected []casebook.Rejected) []casebook.RejectedCount {
	rows := map[casebook.RejectedCount]int{}
	for i := range rejected {
		r := casebook.RejectedCount{Kind: rejected[i].Kind, Rule: "unknown"}
		if len(rejected[i].Reasons) > 0 {
			r.Rule = rejected[i].Reasons[0].Rule
		}
		rows[r]++
	}
	var out []casebook.RejectedCount
	for r, n := range rows {
		r.Rows = n
		out = append(out, r)
	}
	slices.SortFunc(out, func(a, b casebook.RejectedCount) int {
		return cmp.Or(cmp.Compare(a.Kind.String(), b.Kind.String()), cmp.Compare(a.Rule, b.Rule))
	})
	return out
}

// toldBy sums the movements refused in rows that are kept, and the words of the sheets.
func toldBy(problems []casebook.Problem) (refusedAlone int, words []casebook.WordRead) {
	rows := map[casebook.WordRead]int{}
	for i := range problems {
		switch p := &problems[i]; p.Rule {
		case casebook.MovementsRefused:
			refusedAlone += p.Count
		case casebook.WordsRead:
			w := p.Word
			w.Rows = 0
			rows[w] += p.Word.Rows
		}
	}
	for w, n := range rows {
		w.Rows = n
		words = append(words, w)
	}
	slices.SortFunc(words, casebook.CompareWords)
	return refusedAlone, words
}

// compareMovements orders movements and repeats as Load does.
func compareMovements(a, b casebook.MovementKey) int {
	return cmp.Or(a.Case.Compare(b.Case), cmp.Compare(a.Course, b.Course), cmp.Compare(a.Tooth, b.Tooth), cmp.Compare(a.Axis, b.Axis))
}

// added are the values of the records that are new, in the order of their keys.
func added[T, K any](records []casebook.Record[T], add []int, key func(T) K, compare func(a, b K) int) []T {
	if len(add) == 0 {
		return nil
	}
	order := slices.SortedFunc(slices.Values(add), func(i, j int) int { return compare(key(records[i].Value), key(records[j].Value)) })
	out := make([]T, 0, len(add))
	for _, i := range order {
		out = append(out, records[i].Value)
	}
	return out
}
