package job

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"runtime/debug"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// Records is the part of a store.Store that is audited.
type Records interface {
	Load(ctx context.Context) (*casebook.Dataset, error)
	MovementsOf(ctx context.Context, sha256 string) ([]casebook.MovementKey, error)
	Path() string
}

// Audit is one audit of the records of a database.
type Audit struct {
	DB       Records
	Settings results.Settings
	Version  string           // of the program
	Before   *results.Results // an earlier audit to compare with; nil: none
	// Keep answers from the results of the last audits where nothing has changed, and
	// keeps those of this one beside the database, or in it where that is a server.
	Keep bool
	// At hears of the steps, from several goroutines, done of all where that is known;
	// nil: nobody asks.
	At func(step string, done, all int)
	// Load gives the records where they are at hand; nil: from the database. Sure then
	// reports whether they are still those of the database.
	Load func(context.Context) (*casebook.Dataset, error)
	Sure func() bool
}

// The steps of an audit; behind Auditing stands how much.
const (
	Loading  = "loading the records"
	Auditing = "auditing "
)

// ErrNoMovement says that there is nothing to audit.
var ErrNoMovement = errors.New("there is no movement to audit yet")

// Run gives the results, and the day on which they were computed where they are those
// of an earlier run, "" else.
func (a *Audit) Run(ctx context.Context) (res *results.Results, day string, err error) {
	state, key := a.key(ctx)
	if res, day = kept(ctx, a.DB, key); res != nil {
		return res, day, nil
	}
	a.at(Loading, 0, 0)
	load := a.Load
	if load == nil {
		load = a.DB.Load
	}
	ds, err := load(ctx)
	if err != nil {
		return nil, "", err
	}
	if len(ds.Movements) == 0 {
		return nil, "", ErrNoMovement
	}
	step := Auditing + Plural(len(ds.Movements), "movement")
	a.at(step, 0, 0)
	earlier, err := audit.EarlierIn(ctx, a.DB, a.Before)
	if err != nil {
		return nil, "", err
	}
	defer debug.SetGCPercent(debug.SetGCPercent(collectionOf(len(ds.Movements))))
	told := audit.Told(ctx, func(done, all int) { a.at(step, done, all) })
	if res, err = audit.RunSince(told, ds, a.Settings, a.Version, earlier); err != nil {
		return nil, "", err
	}
	// Else the records may be of another moment than the key.
	if key != "" && (a.Sure == nil || a.Sure()) {
		if _, now := a.key(ctx); now == key {
			keep(ctx, a.DB, state, key, res)
		}
	}
	return res, "", nil
}

// manyMovements are those from which memory is collected twice as often: an audit of a
// million then stays at 1.1 GB. One of 200,000 takes 7 % less of processor time without, for 20 MB
// of 320.
const manyMovements = 500_000

// collectionOf is by how much, in hundredths, memory may grow before it is collected
// (runtime/debug.SetGCPercent).
func collectionOf(movements int) int {
	if movements >= manyMovements {
		return 50
	}
	return 100
}

func (a *Audit) at(step string, done, all int) {
	if a.At != nil {
		a.At(step, done, all)
	}
}

// fingerprinted is a database that can tell whether anything in it has changed.
type fingerprinted interface {
	Fingerprint(context.Context) (string, error)
}

// key names all that the results depend on: every byte of the database, the settings,
// the earlier audit, the schema and the program itself, of which a version number
// would tell releases apart and not builds. state is the part of the records. "" where
// results are not kept or it cannot be told.
func (a *Audit) key(ctx context.Context) (state, key string) {
	db, ok := a.DB.(fingerprinted)
	if !a.Keep || !ok {
		return "", ""
	}
	state, err := db.Fingerprint(ctx)
	if err != nil {
		return "", ""
	}
	program, err := self()
	if err != nil {
		return "", ""
	}
	return state, keyOf(state, a.Settings, a.Before, a.Version, results.SchemaVersion, program)
}

func keyOf(parts ...any) string {
	h := sha256.New()
	for _, part := range parts {
		text, err := json.Marshal(part)
		if err != nil {
			return ""
		}
		h.Write(append(text, '\n'))
	}
	return hex.EncodeToString(h.Sum(nil))
}
