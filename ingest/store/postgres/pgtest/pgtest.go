// Package pgtest runs PostgreSQL servers for tests: on ports of their own, with data
// in folders of their own, which are gone with the test.
//
// Place in the pipeline: none; imported by tests alone.
package pgtest

import (
	"bytes"
	"context"
	"crypto/x509"
	"encoding/pem"
	"fmt"
	"net"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/store/storetest/inmemory"
)

// Required is the variable of the environment that makes a missing server a failure.
const Required = "SHORTFALL_TEST_POSTGRES"

// Server is one that runs.
type Server struct {
	Port   int
	dir    string
	bin    string
	small  bool // and nothing is measured on it
	daemon *exec.Cmd
	made   atomic.Int64
	log    writing
	own    *pgx.Conn // to the database that every server has
}

// writing collects what is written from several places.
type writing struct {
	mu sync.Mutex
	b  strings.Builder
}

func (w *writing) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.b.Write(p)
}

func (w *writing) String() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.b.String()
}

// Start starts a server, or skips the test where none is installed. Its writes are
// not synced; a test that needs that says so by settings ("fsync=on").
func Start(t testing.TB, settings ...string) *Server {
	t.Helper()
	return StartSeveral(t, 1, settings...)[0]
}

// StartSeveral starts several.
func StartSeveral(t testing.TB, n int, settings ...string) []*Server {
	t.Helper()
	bin := binaries()
	if bin == "" {
		const missing = "no PostgreSQL here: install it (Debian: apt-get install postgresql) to run this test"
		if os.Getenv(Required) != "" {
			t.Fatal(missing)
		}
		t.Skip(missing)
	}
	list, small := make([]*Server, n), n == 1 && len(settings) == 0
	for i := range list {
		dir, err := os.MkdirTemp(parent(small), "shortfall-pg-")
		require.NoError(t, err)
		t.Cleanup(func() { os.RemoveAll(dir) })
		require.NoError(t, hand(dir))
		s := &Server{dir: dir, bin: bin, small: small}
		list[i] = s
		s.lay(t)
		s.askForPassword(t, "shortfall_shard")
	}
	for _, s := range list {
		s.begin(t, settings)
		t.Cleanup(s.Stop)
	}
	return list
}

// askForPassword makes the server ask one role for its password; the others it trusts.
func (s *Server) askForPassword(t testing.TB, role string) {
	path := filepath.Join(s.data(), "pg_hba.conf")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, append([]byte("host all "+role+" 127.0.0.1/32 scram-sha-256\n"), text...), 0o600))
}

func (s *Server) data() string { return filepath.Join(s.dir, "data") }

// begin runs a new server on a port that is free: one that another program takes between
// the look for it and the start is given up for another.
func (s *Server) begin(t testing.TB, settings []string) {
	const tries = 5
	for range tries {
		s.Port = freePort(t)
		if s.run(t, settings) {
			return
		}
	}
	require.Fail(t, "no port to listen on", s.log.String())
}

// run starts the daemon over the data and waits until it answers; false where it ended
// instead.
func (s *Server) run(t testing.TB, settings []string) bool {
	args := []string{"-D", s.data(), "-h", "127.0.0.1", "-p", strconv.Itoa(s.Port), "-k", s.dir, "-F", "-c", "shared_buffers=32MB", "-c", "max_wal_size=1GB", "-c", "min_wal_size=80MB"}
	if s.small {
		args = append(args, "-c", "autovacuum=off") // a look at each of many databases that are soon gone
	}
	for _, c := range settings {
		args = append(args, "-c", c)
	}
	s.daemon = s.command("postgres", args...)
	s.daemon.Stderr = &s.log
	said := len(s.log.String())
	require.NoError(t, s.daemon.Start())
	for begun := time.Now(); time.Since(begun) < 2*time.Minute; time.Sleep(10 * time.Millisecond) {
		// The name of its process in a file of its own, once it accepts connections there
		// (https://www.postgresql.org/docs/15/storage-file-layout.html).
		state, _ := os.ReadFile(filepath.Join(s.data(), "postmaster.pid"))
		if lines := strings.Fields(string(state)); len(lines) > 0 && lines[0] == strconv.Itoa(s.daemon.Process.Pid) && lines[len(lines)-1] == "ready" {
			return true
		}
		if strings.Contains(s.log.String()[said:], "could not create any TCP/IP sockets") {
			_ = s.daemon.Wait()
			s.daemon = nil
			return false
		}
	}
	require.Fail(t, "the server does not answer", s.log.String())
	return false
}

// Restart starts the server again after Stop.
func (s *Server) Restart(t testing.TB, settings ...string) {
	require.True(t, s.run(t, settings), "its port was taken")
}

// Stop stops the server at once, as a crash of the program would (immediate
// shutdown: https://www.postgresql.org/docs/15/server-shutdown.html).
func (s *Server) Stop() {
	if s.daemon == nil {
		return
	}
	if s.own != nil {
		_ = s.own.Close(context.Background())
	}
	_ = s.command("pg_ctl", "stop", "-D", s.data(), "-m", "immediate").Run()
	_ = s.daemon.Wait()
	s.daemon = nil
}

// Address of a database of the server, for its owner.
func (s *Server) Address(database string) string { return s.AddressOf("owner", database) }

// AddressOf a database for a role.
func (s *Server) AddressOf(role, database string) string {
	return fmt.Sprintf("postgres://%s@127.0.0.1:%d/%s?sslmode=disable", role, s.Port, database)
}

// Empty is the address of an empty place for records: a schema of its own, which is
// quicker to make than a database.
func (s *Server) Empty() string {
	return fmt.Sprintf("%s&search_path=place%d", s.Address("postgres"), s.made.Add(1))
}

// Database makes an empty one and gives its name.
func (s *Server) Database(t testing.TB) string {
	t.Helper()
	return s.Copy(t, "template1")
}

// Copy copies a database that nobody is connected to, and gives its name. Copying files is
// half the work of writing them to the log, where a server knows both (from PostgreSQL 15 on:
// https://www.postgresql.org/docs/15/sql-createdatabase.html).
func (s *Server) Copy(t testing.TB, database string) string {
	t.Helper()
	name := fmt.Sprintf("clinic%d", s.made.Add(1))
	_, err := s.connected(t).Exec(context.Background(), "CREATE DATABASE "+name+" TEMPLATE "+database+" STRATEGY file_copy")
	if err != nil {
		s.Exec(t, "postgres", "CREATE DATABASE "+name+" TEMPLATE "+database)
	}
	return name
}

// connected is a connection that stays: a new one costs the server as much as a small database.
func (s *Server) connected(t testing.TB) *pgx.Conn {
	if s.own == nil || s.own.IsClosed() {
		var err error
		s.own, err = pgx.Connect(context.Background(), s.Address("postgres"))
		require.NoError(t, err)
	}
	return s.own
}

// Encrypt gives the server a certificate (DER) and its key (PEM), and waits until it shows
// that certificate to whoever connects.
func (s *Server) Encrypt(t testing.TB, certificate, key []byte) {
	t.Helper()
	for name, content := range map[string][]byte{
		"server.crt": pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: certificate}), "server.key": key,
	} {
		path := filepath.Join(s.data(), name)
		require.NoError(t, os.WriteFile(path, content, 0o600))
		require.NoError(t, hand(path))
	}
	s.Exec(t, "postgres", "ALTER SYSTEM SET ssl = on", "SELECT pg_reload_conf()")
	require.Eventually(t, func() bool { return bytes.Equal(certificate, s.shown(t)) }, 30*time.Second, 20*time.Millisecond, "the server shows another certificate")
}

// shown is the certificate that the server shows, nil where it shows none.
func (s *Server) shown(t testing.TB) (certificate []byte) {
	config, err := pgx.ParseConfig(strings.Replace(s.Address("postgres"), "sslmode=disable", "sslmode=require", 1))
	require.NoError(t, err)
	config.TLSConfig.VerifyPeerCertificate = func(raw [][]byte, _ [][]*x509.Certificate) error {
		certificate = raw[0]
		return nil
	}
	if c, err := pgx.ConnectConfig(context.Background(), config); err == nil {
		c.Close(context.Background())
	}
	return certificate
}

// Exec runs statements as the owner.
func (s *Server) Exec(t testing.TB, database string, statements ...string) {
	t.Helper()
	ctx := context.Background()
	c := s.connected(t)
	if database != "postgres" {
		var err error
		c, err = pgx.Connect(ctx, s.Address(database))
		require.NoError(t, err)
		defer c.Close(ctx)
	}
	for _, q := range statements {
		_, err := c.Exec(ctx, q)
		require.NoError(t, err, q)
	}
}

// Script runs a script of several statements as the owner.
func (s *Server) Script(t testing.TB, database, script string) {
	t.Helper()
	ctx := context.Background()
	c, err := pgx.Connect(ctx, s.Address(database))
	require.NoError(t, err)
	defer c.Close(ctx)
	_, err = c.PgConn().Exec(ctx, script).ReadAll()
	require.NoError(t, err)
}

// Psql runs a script by psql, with more of an environment ("NAME=value").
func (s *Server) Psql(t testing.TB, database, script string, environment ...string) {
	t.Helper()
	require.NoError(t, s.TryPsql(database, script, environment...))
}

// TryPsql is Psql where it may fail; the error has what was said.
func (s *Server) TryPsql(database, script string, environment ...string) error {
	psql := filepath.Join(s.bin, "psql") // Debian's in the path is a script that looks for this one
	if _, err := os.Stat(psql); err != nil {
		if psql, err = exec.LookPath("psql"); err != nil {
			return err
		}
	}
	c := s.command(psql, "-X", "-q", "-d", s.Address(database), "-f", "-")
	c.Env = append(os.Environ(), environment...)
	c.Stdin = strings.NewReader(script)
	if out, err := c.CombinedOutput(); err != nil {
		return fmt.Errorf("%w: %s", err, out)
	}
	return nil
}

// Log is what the server wrote since it was started.
func (s *Server) Log() string { return s.log.String() }

// binaries is the folder of the server's programs, "" where there is none.
func binaries() string {
	if path, err := exec.LookPath("initdb"); err == nil {
		return filepath.Dir(path)
	}
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/initdb") // Debian keeps them out of the path
	if len(found) == 0 {
		return ""
	}
	return filepath.Dir(found[len(found)-1])
}

func freePort(t testing.TB) int {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port
}

// who is an account of the system.
type who struct {
	uid, gid int
	other    bool // than the one that the tests run as
}

// account is whom the server runs as: it refuses to run as root.
var account = sync.OnceValue(func() who {
	if os.Getuid() != 0 {
		return who{}
	}
	u, err := user.Lookup("postgres")
	if err != nil {
		if u, err = user.Lookup("nobody"); err != nil {
			return who{}
		}
	}
	uid, _ := strconv.Atoi(u.Uid)
	gid, _ := strconv.Atoi(u.Gid)
	return who{uid, gid, true}
})

// parent is where the data go: those of a single server that nothing is measured on into
// memory, where there is room; else the usual place, unless the account of the server cannot
// get there.
func parent(small bool) string {
	if memory := inmemory.Folder(); small && memory != "" {
		return memory
	}
	if !account().other || inmemory.Reachable(os.TempDir()) {
		return ""
	}
	return "/tmp"
}

// hand gives a folder to the account of the server.
func hand(dir string) error {
	if to := account(); to.other {
		return os.Chown(dir, to.uid, to.gid)
	}
	return nil
}
