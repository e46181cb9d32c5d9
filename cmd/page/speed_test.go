package page

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlite"
	"shortfall/sampledata"
)

// batchOf gives a dataset as a file would.
func batchOf(ds *casebook.Dataset) *casebook.Batch {
	b := &casebook.Batch{File: casebook.File{Name: "large.csv", SHA256: strings.Repeat("0", 64)}}
	row := 1
	at := func() casebook.Source { row++; return casebook.Source{Sheet: "large", Row: row} }
	for _, x := range ds.Cases {
		b.Cases = append(b.Cases, casebook.Record[casebook.Case]{Value: x, Source: at()})
	}
	for _, x := range ds.Courses {
		b.Courses = append(b.Courses, casebook.Record[casebook.Course]{Value: x, Source: at()})
	}
	for _, x := range ds.Movements {
		b.Movements = append(b.Movements, casebook.Record[casebook.Movement]{Value: x, Source: at()})
	}
	b.Sheets = []casebook.SheetCounts{{Sheet: "large", Counts: casebook.Counts{Read: row - 1, Accepted: row - 1}}}
	return b
}

// The first picture of 200,000 movements, after its audit was computed once, and a
// tooth. SHORTFALL_LONG=1, since the import alone takes a while; the figures are in
// DEVELOPERS.md.
func TestFirstPictureOfManyMovements(t *testing.T) {
	if os.Getenv("SHORTFALL_LONG") == "" {
		t.Skip("SHORTFALL_LONG=1 looks at 200,000 movements")
	}
	params := sampledata.Default()
	params.Cases = 5600
	ds, _ := sampledata.Generate(params, sampledata.DefaultSeed)
	require.Greater(t, len(ds.Movements), 200_000)
	home := testHome(t)
	path := filepath.Join(home.Folder(), "large.db")
	db, err := sqlite.Open(t.Context(), path)
	require.NoError(t, err)
	_, err = db.Import(t.Context(), batchOf(ds), store.Choices{})
	require.NoError(t, err)
	require.NoError(t, db.Close())
	require.NoError(t, home.Remember(path))
	old := time.Now().Add(-time.Hour)
	require.NoError(t, os.Chtimes(path, old, old))
	w := openHome(t, home, Options{})
	p := "/p/" + idOf(path)
	begun := time.Now()
	w.untilJob(p + "/audit")
	t.Logf("computed in %v", time.Since(begun).Round(time.Millisecond))
	for _, c := range []struct {
		path string
		most time.Duration
	}{{p + "/audit", 200 * time.Millisecond}, {p + "/audit/behind?axis=rotation&tooth=13&course=initial", 100 * time.Millisecond}} {
		best := time.Hour
		for range 5 {
			begun := time.Now()
			page := w.see(c.path)
			best = min(best, time.Since(begun))
			assert.NotContains(t, page, "data-task")
		}
		t.Logf("%s: %v", c.path, best.Round(100*time.Microsecond))
		assert.Less(t, best, c.most, c.path)
	}
}
