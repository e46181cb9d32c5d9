package sqlite

import (
	"context"
	"maps"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
	"shortfall/ingest/store/storetest"
)

func temp(t testing.TB) *DB {
	t.Helper()
	db, err := OpenTemp(context.Background())
	require.NoError(t, err)
	t.Cleanup(func() { _ = db.Close() })
	return db
}

// loneBatches are files that an empty database takes.
func loneBatches() map[string]*casebook.Batch {
	axes := storetest.Practice("axes", storetest.Everyday(60, 6), 12)
	axes.Movements[1].Value = axes.Movements[0].Value // along axes whose words have another order
	axes.Movements[0].Value.Axis, axes.Movements[1].Value.Axis = casebook.Vertical, casebook.MesiodistalShift

	zeros, minus := storetest.Practice("zeros", 3, 4), math.Copysign(0, -1)
	zeros.Movements[0].Value.Planned = minus
	zeros.Movements[1].Value.Achieved = casebook.Some(minus)
	zeros.Movements[2].Value.StatedPercent, zeros.Movements[2].Value.SizeMM = casebook.Some(minus), casebook.Some(minus)
	zeros.Repeats = append(zeros.Repeats, casebook.Record[casebook.Repeat]{Value: casebook.Repeat{
		Case: zeros.Movements[0].Value.Case, Course: 1, Tooth: 11, Axis: casebook.Tip, First: minus, Second: minus,
	}})

	twice := storetest.Every()
	twice.Movements = append(twice.Movements, twice.Movements[:7]...)

	told := storetest.Practice("told", 2, 2)
	word := casebook.WordRead{Column: "attachment shape", Said: "ellipse", Means: "ellipsoid", Rows: 3}
	other := word
	other.Said = "egg"
	for _, w := range []casebook.WordRead{word, other, word} {
		told.Problems = append(told.Problems, casebook.Problem{Rule: casebook.WordsRead, Severity: casebook.Info, Word: w})
	}
	told.Problems = append(told.Problems,
		casebook.Problem{Rule: casebook.MovementsRefused, Severity: casebook.Warning, Count: 3},
		casebook.Problem{Rule: casebook.MovementsRefused, Severity: casebook.Error, Count: 4},
	)
	for _, of := range []struct {
		kind casebook.Kind
		rule string
	}{{casebook.RepeatKind, "b"}, {casebook.MovementKind, "b"}, {casebook.MovementKind, "a"}, {casebook.MovementKind, "b"}, {0, "z"}, {casebook.CaseKind, ""}} {
		r := casebook.Rejected{Kind: of.kind, Source: casebook.Source{Sheet: "s", Row: 3}}
		if of.rule != "" {
			r.Reasons = []casebook.Problem{{Rule: of.rule}}
		}
		told.Rejected = append(told.Rejected, r)
	}
	told.Sheets = []casebook.SheetCounts{{Sheet: "s", Counts: casebook.Counts{Read: 9, Accepted: 2, Rejected: 6, Blank: 1}}}

	clash := storetest.Practice("clash", 2, 2) // two records of one key
	clash.Movements[1].Value = clash.Movements[0].Value
	clash.Movements[1].Value.Planned++
	return map[string]*casebook.Batch{
		"axes": axes, "zeros": zeros, "twice": twice, "told": told, "clash": clash,
		"every word": storetest.Every(), "nothing": {File: storetest.FileOf("nothing")},
	}
}

// What an empty database would hold is what one holds.
func TestAloneIsAnEmptyDatabase(t *testing.T) {
	for name, b := range loneBatches() {
		t.Run(name, func(t *testing.T) { storetest.SameAlone(t, temp(t), b, store.Choices{}) })
	}
	b := storetest.Practice("named", 3, 3)
	storetest.SameAlone(t, temp(t), b, store.Choices{Practice: "Q"})
	assert.Equal(t, "Q", b.Movements[0].Value.Case.Practice)
}

// spoilt are batches with one thing that the schema refuses.
var spoilt = map[string]func(*casebook.Batch){
	"sha256":       func(b *casebook.Batch) { b.File.SHA256 = "AB" + b.File.SHA256[2:] },
	"short sha256": func(b *casebook.Batch) { b.File.SHA256 = b.File.SHA256[1:] },
	"size":         func(b *casebook.Batch) { b.File.Size = -1 },
	"rows": func(b *casebook.Batch) {
		b.Sheets = []casebook.SheetCounts{{Counts: casebook.Counts{Read: 3, Accepted: 2}}}
	},
	"negative rows": func(b *casebook.Batch) {
		b.Sheets = []casebook.SheetCounts{{Counts: casebook.Counts{Accepted: 2, Blank: -2}}}
	},
	"kind of sheet":      func(b *casebook.Batch) { b.Sheets = []casebook.SheetCounts{{Kind: 99}} },
	"rejected row":       func(b *casebook.Batch) { b.Rejected = []casebook.Rejected{{Source: casebook.Source{Row: -1}}} },
	"rejected kind":      func(b *casebook.Batch) { b.Rejected = []casebook.Rejected{{Kind: 99}} },
	"severity":           func(b *casebook.Batch) { b.Problems = []casebook.Problem{{Rule: "r"}} },
	"another severity":   func(b *casebook.Batch) { b.Problems = []casebook.Problem{{Rule: "r", Severity: 99}} },
	"row":                func(b *casebook.Batch) { b.Movements[3].Source.Row = -1 },
	"case":               func(b *casebook.Batch) { b.Cases[1].Value.ID = "" },
	"age band":           func(b *casebook.Batch) { b.Cases[1].Value.AgeBand = 99 },
	"start":              func(b *casebook.Batch) { b.Cases[1].Value.Start = casebook.Month(-5) },
	"end":                func(b *casebook.Batch) { b.Cases[1].Value.End = casebook.NewMonth(10_000, 1) },
	"status":             func(b *casebook.Batch) { b.Cases[1].Value.Status = 99 },
	"planned aligners":   func(b *casebook.Batch) { b.Cases[1].Value.PlannedAligners = casebook.Some(-1) },
	"change days":        func(b *casebook.Batch) { b.Cases[1].Value.ChangeDays = casebook.Some(-1) },
	"wear":               func(b *casebook.Batch) { b.Cases[1].Value.Wear = 99 },
	"wear recorded":      func(b *casebook.Batch) { b.Cases[1].Value.WearRecorded = 99 },
	"stated refinements": func(b *casebook.Batch) { b.Cases[1].Value.StatedRefinements = casebook.Some(-1) },
	"own words": func(b *casebook.Batch) {
		b.Cases[1].Value.Own.Wear = "äääääääääääääääääääääääää"
	},
	"own age band": func(b *casebook.Batch) {
		b.Cases[1].Value.Own.AgeBand = "äääääääääääääääääääääääää"
	},
	"own status": func(b *casebook.Batch) {
		b.Cases[1].Value.Own.Status = "äääääääääääääääääääääääää"
	},
	"course's case":     func(b *casebook.Batch) { b.Courses[1].Value.Case.ID = "" },
	"course":            func(b *casebook.Batch) { b.Courses[1].Value.Number = 0 },
	"course's start":    func(b *casebook.Batch) { b.Courses[1].Value.Start = casebook.NewMonth(10_000, 1) },
	"aligners planned":  func(b *casebook.Batch) { b.Courses[1].Value.AlignersPlanned = casebook.Some(-1) },
	"aligners used":     func(b *casebook.Batch) { b.Courses[1].Value.AlignersUsed = casebook.Some(-1) },
	"course's method":   func(b *casebook.Batch) { b.Courses[1].Value.MeasuredBy = 99 },
	"movement's case":   func(b *casebook.Batch) { b.Movements[3].Value.Case.ID = "" },
	"movement's course": func(b *casebook.Batch) { b.Movements[3].Value.Course = 0 },
	"tooth":             func(b *casebook.Batch) { b.Movements[3].Value.Tooth = 51 },
	"place of tooth":    func(b *casebook.Batch) { b.Movements[3].Value.Tooth = 19 },
	"axis":              func(b *casebook.Batch) { b.Movements[3].Value.Axis = 0 },
	"another axis":      func(b *casebook.Batch) { b.Movements[3].Value.Axis = 99 },
	"planned":           func(b *casebook.Batch) { b.Movements[3].Value.Planned = math.NaN() },
	"style":             func(b *casebook.Batch) { b.Movements[3].Value.Style = 99 },
	"shape":             func(b *casebook.Batch) { b.Movements[3].Value.Shape = 99 },
	"orientation":       func(b *casebook.Batch) { b.Movements[3].Value.Orientation = 99 },
	"size of feature":   func(b *casebook.Batch) { b.Movements[3].Value.SizeMM = casebook.Some(-1.0) },
	"lost month":        func(b *casebook.Batch) { b.Movements[3].Value.LostMonth = casebook.Some(-1) },
	"staging":           func(b *casebook.Batch) { b.Movements[3].Value.Staging = 99 },
	"method":            func(b *casebook.Batch) { b.Movements[3].Value.MeasuredBy = 99 },
	"confirmed":         func(b *casebook.Batch) { b.Movements[3].Value.Confirmed = 99 },
	"repeat's case":     func(b *casebook.Batch) { b.Repeats[0].Value.Case.ID = "" },
	"repeat's course":   func(b *casebook.Batch) { b.Repeats[0].Value.Course = -1 },
	"repeat's tooth":    func(b *casebook.Batch) { b.Repeats[0].Value.Tooth = 0 },
	"repeat's axis":     func(b *casebook.Batch) { b.Repeats[0].Value.Axis = 99 },
	"first":             func(b *casebook.Batch) { b.Repeats[0].Value.First = math.Inf(1) },
}

// toSpoil is a file with a row of every kind; in the long form with every word too.
func toSpoil() *casebook.Batch {
	b := storetest.Every()
	if storetest.Long {
		return b
	}
	few := storetest.Practice("few", 2, 2)
	few.Repeats = b.Repeats
	few.Repeats[0].Value.Case = few.Movements[0].Value.Case
	return few
}

// What the schema refuses is refused without a database too, and nothing is kept.
func TestAloneHoldsToTheSchema(t *testing.T) {
	for i, name := range slices.Sorted(maps.Keys(spoilt)) {
		t.Run(name, func(t *testing.T) {
			spoil, b := spoilt[name], toSpoil()
			spoil(b)
			_, err := store.NewLone("a").Import(t.Context(), b, store.Choices{})
			require.ErrorIs(t, err, store.ErrRefused)
			if i%storetest.Everyday(1, 4) != 0 { // the schema by itself: TestContract/SchemaRefuses
				return
			}
			b = toSpoil()
			spoil(b)
			storetest.SameAlone(t, temp(t), b, store.Choices{})
		})
	}
}

// A second file needs a database, and what was interrupted holds nothing.
func TestAloneTakesOneFile(t *testing.T) {
	l := store.NewLone("a")
	gone, stop := context.WithCancel(t.Context())
	stop()
	_, err := l.Import(gone, storetest.Every(), store.Choices{})
	require.ErrorIs(t, err, context.Canceled)
	ds, err := l.Load(t.Context())
	require.NoError(t, err)
	assert.Equal(t, &casebook.Dataset{}, ds)
	_, err = l.Import(t.Context(), storetest.Every(), store.Choices{})
	require.NoError(t, err)
	_, err = l.Import(t.Context(), storetest.Practice("b", 2, 2), store.Choices{})
	require.Error(t, err)
	ds, err = l.Load(t.Context())
	require.NoError(t, err)
	assert.Len(t, ds.Files, 1)
}

// Answers about a sheet are kept for what is read after it.
func TestAloneRemembers(t *testing.T) {
	l, db := store.NewLone("a"), temp(t)
	for _, p := range []store.Profile{{Header: "h", Name: "n", Content: []byte("1")}, {Header: "g", Name: "n", Content: []byte("2")}, {Header: "h", Name: "m", Content: []byte("3")}} {
		require.NoError(t, l.PutProfile(t.Context(), p))
		require.NoError(t, db.PutProfile(t.Context(), p))
	}
	got, err := l.Profiles(t.Context())
	require.NoError(t, err)
	want, err := db.Profiles(t.Context())
	require.NoError(t, err)
	assert.ElementsMatch(t, want, got)
}
