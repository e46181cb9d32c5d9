package postgres

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"math/big"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/store"
	"shortfall/ingest/store/storetest"
)

// authority signs the certificates of servers.
type authority struct {
	key  *ecdsa.PrivateKey
	root *x509.Certificate
}

func newAuthority(t *testing.T) *authority {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	require.NoError(t, err)
	a := &authority{key: key, root: &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "a test"}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign,
	}}
	der, err := x509.CreateCertificate(rand.Reader, a.root, a.root, &key.PublicKey, key)
	require.NoError(t, err)
	a.root, err = x509.ParseCertificate(der)
	require.NoError(t, err)
	return a
}

// file holds the certificate of the authority.
func (a *authority) file(t *testing.T) string {
	path := filepath.Join(t.TempDir(), "root.crt")
	require.NoError(t, os.WriteFile(path, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: a.root.Raw}), 0o600))
	return path
}

// sign gives a certificate for a server of the name localhost, and its key.
func (a *authority) sign(t *testing.T, until time.Time) (certificate, key []byte) {
	own, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	require.NoError(t, err)
	der, err := x509.CreateCertificate(rand.Reader, &x509.Certificate{
		SerialNumber: big.NewInt(2), Subject: pkix.Name{CommonName: "localhost"}, DNSNames: []string{"localhost"},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: until, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}, a.root, &own.PublicKey, a.key)
	require.NoError(t, err)
	secret, err := x509.MarshalECPrivateKey(own)
	require.NoError(t, err)
	return der, pem.EncodeToMemory(&pem.Block{Type: "EC PRIVATE KEY", Bytes: secret})
}

// Records go to a server that proves to be the one that was named, over a connection that
// nobody reads along, and to no other.
func testCertificate(t *testing.T, s *server) {
	trusted, stranger := newAuthority(t), newAuthority(t)
	address := func(host, mode, root string) string {
		return fmt.Sprintf("postgres://owner@%s:%d/postgres?search_path=encrypted&sslmode=%s&sslrootcert=%s", host, s.Port, mode, root)
	}
	root := trusted.file(t)
	use := func(a *authority, until time.Time) {
		certificate, key := a.sign(t, until)
		s.Encrypt(t, certificate, key)
	}
	use(trusted, time.Now().Add(time.Hour))

	db := open(t, address("localhost", "verify-full", root))
	storetest.MustImport(t, db, storetest.Practice("encrypted", 2, 3))
	var encrypted bool
	require.NoError(t, db.sql.QueryRow("SELECT ssl FROM pg_stat_ssl WHERE pid = pg_backend_pid()").Scan(&encrypted))
	assert.True(t, encrypted)

	for name, refused := range map[string]struct{ address, why string }{
		"another name":   {address("127.0.0.1", "verify-full", root), "another server's"},
		"another signer": {address("localhost", "verify-full", stranger.file(t)), "not known here"},
	} {
		_, err := Open(context.Background(), refused.address)
		require.ErrorIs(t, err, store.ErrCannotOpen, name)
		assert.ErrorContains(t, err, refused.why, name)
		assert.ErrorContains(t, err, "sslrootcert", name)
	}
	use(trusted, time.Now().Add(-time.Minute))
	_, err := Open(context.Background(), address("localhost", "verify-full", root))
	require.ErrorIs(t, err, store.ErrCannotOpen)
	assert.ErrorContains(t, err, "expired")
}
