package postgres

import (
	"context"
	"net"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store/storetest"
)

// travelled counts what a connection received, and how often something was sent.
type travelled struct{ bytes, sent atomic.Int64 }

type counted struct {
	net.Conn
	by *travelled
}

func (c counted) Read(p []byte) (int, error) {
	n, err := c.Conn.Read(p)
	c.by.bytes.Add(int64(n))
	return n, err
}

func (c counted) Write(p []byte) (int, error) {
	c.by.sent.Add(1)
	return c.Conn.Write(p)
}

func openCounted(t *testing.T, s *server) (*DB, *travelled) {
	t.Helper()
	config, err := configure(s.Address(s.Copy(t, s.tables)))
	require.NoError(t, err)
	by, dial := &travelled{}, config.DialFunc
	config.DialFunc = func(ctx context.Context, network, address string) (net.Conn, error) {
		c, err := dial(ctx, network, address)
		return counted{c, by}, err
	}
	db, err := connect(t.Context(), config)
	require.NoError(t, err)
	t.Cleanup(func() { db.Close() })
	return db, by
}

// What travels for an audit are the columns that it reads, in few bytes a movement: no
// original rows, and no provenance.
func testTravels(t *testing.T, s *server) {
	db, by := openCounted(t, s)
	storetest.MustImport(t, db, storetest.Practice("p", 60, 20))
	before := by.bytes.Load()
	n := len(storetest.MustLoad(t, db).Movements)
	each := float64(by.bytes.Load()-before) / float64(n)
	before = by.bytes.Load()
	sums, err := db.Sums(t.Context(), casebook.SumsOf{ToleranceMM: 0.5, ToleranceDeg: 2, AllTeeth: true})
	require.NoError(t, err)
	t.Logf("%d movements: %.0f bytes each; %.0f a sum of %d", n, each, float64(by.bytes.Load()-before)/float64(len(sums.Cases)), len(sums.Cases))
	assert.Less(t, each, 96.0)
}

// An import does not wait for the server row by row, whatever becomes of the rows: new,
// corrected, rejected or with a problem.
func testWaitsForNoRow(t *testing.T, s *server) {
	db, by := openCounted(t, s)
	const cases, refused = 20, 600
	files := [2]*casebook.Batch{storetest.Practice("p", cases, 20), storetest.Practice("q", cases, 20)}
	for i := range files[1].Movements {
		files[1].Movements[i].Value.Achieved = casebook.Some(float64(i))
	}
	for i := range refused {
		files[0].Rejected = append(files[0].Rejected, casebook.Rejected{Kind: casebook.MovementKind, Source: casebook.Source{Sheet: "s", Row: i + 2}, Reasons: []casebook.Problem{{Rule: "r", Severity: casebook.Error}}})
		files[0].Problems = append(files[0].Problems, casebook.Problem{Rule: "r", Severity: casebook.Error})
	}
	for _, b := range files {
		before := by.sent.Load()
		storetest.MustImport(t, db, b)
		t.Logf("sent %d times", by.sent.Load()-before)
		assert.Less(t, by.sent.Load()-before, int64(refused*5/6))
	}
	list, err := db.Rejected(t.Context())
	require.NoError(t, err)
	require.Len(t, list, refused)
	for i, r := range list {
		require.Equal(t, i+2, r.Source.Row, "in the order in which they were read")
	}
}
