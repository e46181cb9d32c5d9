package keep

import (
	"bufio"
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/store/sqlite"
	"shortfall/ingest/store/storetest"
)

// TestMain serves as the other program where it is told to.
func TestMain(m *testing.M) {
	folder := os.Getenv("KEEP_TEST_HOLD")
	if folder == "" {
		os.Exit(m.Run())
	}
	h, err := At(folder)
	if err == nil {
		var c *Claim
		if c, _, err = h.Claim(context.Background()); err == nil && c != nil {
			l, _ := net.Listen("tcp4", "127.0.0.1:0")
			_ = c.Announce("http://" + l.Addr().String() + "/?key=k")
			fmt.Println(l.Addr())
			time.Sleep(time.Minute)
		}
	}
	fmt.Println(err)
	os.Exit(1)
}

func home(t *testing.T) *Home {
	t.Helper()
	h, err := At(filepath.Join(t.TempDir(), "records"))
	require.NoError(t, err)
	return h
}

// Where the systems' own conventions put it; see the sources in usual.
func TestUsualFolder(t *testing.T) {
	for _, c := range []struct {
		system string
		env    map[string]string
		want   string
	}{
		{"linux", map[string]string{"HOME": "/home/a"}, "/home/a/.local/share/shortfall"},
		{"linux", map[string]string{"HOME": "/home/a", "XDG_DATA_HOME": "/data"}, "/data/shortfall"},
		{"linux", map[string]string{"HOME": "/home/a", "XDG_DATA_HOME": "data"}, "/home/a/.local/share/shortfall"},
		{"darwin", map[string]string{"HOME": "/Users/a"}, "/Users/a/Library/Application Support/shortfall"},
		{"windows", map[string]string{"LOCALAPPDATA": "/c/Local", "APPDATA": "/c/Roaming"}, "/c/Local/shortfall"},
		{"linux", nil, ""},
		{"windows", map[string]string{"APPDATA": "/c/Roaming"}, ""},
	} {
		got, err := usual(c.system, func(name string) string { return c.env[name] })
		assert.Equal(t, c.want == "", err != nil, "%v", c)
		assert.Equal(t, filepath.FromSlash(c.want), got)
	}
}

func TestFolderIsPrivate(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no modes here")
	}
	dir := filepath.Join(t.TempDir(), "records")
	require.NoError(t, os.Mkdir(dir, 0o755))
	t.Setenv(Folder, dir)
	h, err := Open()
	require.NoError(t, err)
	assert.Equal(t, dir, h.Folder())
	info, err := os.Stat(dir)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o700), info.Mode().Perm())
	require.NoError(t, os.WriteFile(filepath.Join(dir, "file"), nil, 0o600))
	_, err = At(filepath.Join(dir, "file"))
	assert.ErrorContains(t, err, Folder)
}

func TestNames(t *testing.T) {
	h := home(t)
	path, err := h.New(" Praxis Müller-Süd ")
	require.NoError(t, err)
	assert.Equal(t, filepath.Join(h.Folder(), "Praxis Müller-Süd.db"), path)
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	_, err = h.New("Praxis Müller-Süd")
	assert.ErrorContains(t, err, "already")
	for _, bad := range []string{
		"", "..", "../clinic", "a/b", `a\b`, "c:clinic", ".hidden", "a\x00b", "a\nb", "con", "COM1.x", "lpt¹", "NUL .txt", "end.",
		"-q", "what?", "\u202egnp", strings.Repeat("ä", 81), "\xff",
	} {
		_, err := h.New(bad)
		assert.Error(t, err, "%q", bad)
	}
}

func TestOpenedBefore(t *testing.T) {
	h := home(t)
	known := func() []string {
		list, err := h.Known()
		require.NoError(t, err)
		return list
	}
	assert.Empty(t, known())
	a, b := filepath.Join(h.Folder(), "a.db"), "/elsewhere/b <&>.db"
	for _, path := range []string{a, b, a} {
		require.NoError(t, h.Remember(path))
	}
	assert.Equal(t, []string{a, b}, known())

	// A list that was spoilt is kept aside; what lies in the folder is known all the same.
	require.NoError(t, os.WriteFile(a, nil, 0o600))
	list := filepath.Join(h.Folder(), openedName)
	for _, broken := range []string{"{", `{"version": 2}`, strings.Repeat(" ", largestList+1)} {
		require.NoError(t, os.WriteFile(list, []byte(broken), 0o600))
		assert.Equal(t, []string{a}, known())
		require.NoError(t, h.Remember(b))
		kept, err := os.ReadFile(list + ".unreadable")
		require.NoError(t, err)
		assert.Equal(t, broken, string(kept))
		assert.Equal(t, []string{b, a}, known())
	}
	for i := range mostOpened + 5 {
		require.NoError(t, h.Remember(fmt.Sprintf("/x/%d.db", i)))
	}
	assert.Len(t, known(), mostOpened+1)
	require.NoError(t, os.WriteFile(list, []byte(`{"version": 1, "databases": ["../../etc/passwd", "/x/1.db"]}`), 0o600))
	assert.Equal(t, []string{"/x/1.db", a}, known(), "a path that depends on where one stands is none")
}

func TestManyRememberAtOnce(t *testing.T) {
	h := home(t)
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() { assert.NoError(t, h.Remember(fmt.Sprintf("/x/%d.db", i))) })
	}
	all.Wait()
	list, err := h.Known()
	require.NoError(t, err)
	assert.Len(t, list, 8, "none is lost")
}

func TestCopies(t *testing.T) {
	ctx := context.Background()
	h := home(t)
	path, err := h.New("clinic")
	require.NoError(t, err)
	db, err := sqlite.Open(ctx, path)
	require.NoError(t, err)
	defer db.Close()
	storetest.MustImport(t, db, storetest.Practice("a", 3, 4))
	now := time.Date(2026, 3, 4, 15, 6, 7, 0, time.UTC)
	first, err := h.BackUp(ctx, db, now, nil)
	require.NoError(t, err)
	assert.Equal(t, filepath.Join(h.Folder(), "copies", "clinic 2026-03-04 150607.backup"), first.Path)
	assert.Equal(t, 3, first.Cases)
	second, err := h.BackUp(ctx, db, now, nil)
	require.NoError(t, err)
	assert.Equal(t, strings.Replace(first.Path, ".backup", "-2.backup", 1), second.Path)
	done, err := sqlite.Restore(ctx, first.Path, path, nil)
	require.NoError(t, err)
	other := filepath.Join(h.Folder(), "copies", "clinic north 2026-03-04 150607.backup")
	require.NoError(t, os.WriteFile(other, nil, 0o600))
	list, err := h.Copies(path)
	require.NoError(t, err)
	var paths []string
	for _, k := range list {
		paths = append(paths, k.Path)
		assert.Positive(t, k.Bytes)
	}
	assert.ElementsMatch(t, []string{first.Path, second.Path, done.Aside}, paths)
}

// The second who starts the program is shown where the page is open; once the first
// was killed, the folder is free.
func TestClaim(t *testing.T) {
	ctx := context.Background()
	h := home(t)
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), "KEEP_TEST_HOLD="+h.Folder())
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	at, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	claim, address, err := h.Claim(ctx)
	require.NoError(t, err)
	assert.Nil(t, claim)
	assert.Equal(t, "http://"+strings.TrimSpace(at)+"/?key=k", address)
	info, err := os.Stat(filepath.Join(h.Folder(), whereName))
	require.NoError(t, err)
	if runtime.GOOS != "windows" {
		assert.Equal(t, os.FileMode(0o600), info.Mode().Perm(), "the address lets in")
	}
	require.NoError(t, c.Process.Kill())
	c.Wait()

	claim, address, err = h.Claim(ctx)
	require.NoError(t, err)
	require.NotNil(t, claim)
	assert.Empty(t, address)
	assert.NoFileExists(t, filepath.Join(h.Folder(), whereName), "the killed one's address is gone")
	stopped, cancel := context.WithTimeout(ctx, 50*time.Millisecond)
	defer cancel()
	_, _, err = h.Claim(stopped)
	assert.ErrorIs(t, err, context.DeadlineExceeded, "held, and not announced yet")
	require.NoError(t, claim.Release())
	again, _, err := h.Claim(ctx)
	require.NoError(t, err)
	require.NotNil(t, again)
	require.NoError(t, again.Release())
}

// An address that is not of this machine, or at which nothing listens, is none.
func TestAnnouncedAddressIsOurs(t *testing.T) {
	h := home(t)
	l, err := net.Listen("tcp4", "127.0.0.1:0")
	require.NoError(t, err)
	for address, good := range map[string]bool{
		"http://" + l.Addr().String() + "/?key=k": true,
		"http://example.org/":                     false,
		"https://" + l.Addr().String():            false,
		"file:///etc/passwd":                      false,
		"http://127.0.0.1:1/":                     false,
	} {
		require.NoError(t, (&Claim{home: h}).Announce(address))
		assert.Equal(t, good, h.announced() != "", address)
	}
	require.NoError(t, os.WriteFile(filepath.Join(h.Folder(), whereName), []byte("{"), 0o600))
	assert.Empty(t, h.announced())
}
