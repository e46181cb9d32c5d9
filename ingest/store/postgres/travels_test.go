package postgres

import (
	"context"
	"net"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/store/postgres/pgtest"
	"shortfall/ingest/store/storetest"
)

// counted is a connection whose bytes that arrive are counted.
type counted struct {
	net.Conn
	bytes *atomic.Int64
}

func (c counted) Read(p []byte) (int, error) {
	n, err := c.Conn.Read(p)
	c.bytes.Add(int64(n))
	return n, err
}

// What travels for an audit are the columns that it reads, in few bytes a movement: no
// original rows, and no provenance.
func testTravels(t *testing.T, s *pgtest.Server) {
	config, err := configure(s.Address(s.Database(t)))
	require.NoError(t, err)
	var bytes atomic.Int64
	dial := config.DialFunc
	config.DialFunc = func(ctx context.Context, network, address string) (net.Conn, error) {
		c, err := dial(ctx, network, address)
		return counted{c, &bytes}, err
	}
	db, err := connect(t.Context(), config)
	require.NoError(t, err)
	defer db.Close()
	storetest.MustImport(t, db, storetest.Practice("p", 200, 20))
	before := bytes.Load()
	n := len(storetest.MustLoad(t, db).Movements)
	each := float64(bytes.Load()-before) / float64(n)
	t.Logf("%d movements: %.0f bytes each", n, each)
	assert.Less(t, each, 96.0)
}
