package sheet

import (
	"bytes"
	"compress/flate"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"testing"
	"testing/iotest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is unpacked ahead is what was packed, with the error at its end, however it comes
// and is asked for.
func TestAheadGivesEveryByteAndTheError(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 1))
	torn := errors.New("torn")
	for _, size := range []int{0, 1, pieceBytes - 1, pieceBytes, pieceBytes + 1, 9*pieceBytes + 17} {
		want := make([]byte, size)
		for i := range want {
			want[i] = byte(rnd.Uint32())
		}
		for _, end := range []error{io.EOF, torn} {
			for _, comes := range []func(io.Reader) io.Reader{func(r io.Reader) io.Reader { return r }, iotest.HalfReader, iotest.DataErrReader} {
				in := comes(io.MultiReader(bytes.NewReader(want), iotest.ErrReader(end)))
				a := newAhead(io.NopCloser(in))
				got, err := io.ReadAll(iotest.HalfReader(a))
				if end == io.EOF {
					assert.NoError(t, err)
				} else {
					assert.Equal(t, end, err)
				}
				assert.True(t, bytes.Equal(want, got), size)
				require.NoError(t, a.Close())
			}
		}
	}
}

type panics struct{}

func (panics) Read([]byte) (int, error) { panic("hostile") }

// A panic of a library reaches whoever reads, and one who stops early waits for no more.
func TestAheadPassesPanicsOnAndStops(t *testing.T) {
	a := newAhead(io.NopCloser(panics{}))
	assert.PanicsWithValue(t, "hostile", func() { _, _ = a.Read(make([]byte, 1)) })
	require.NoError(t, a.Close())
	closed := false
	a = newAhead(struct {
		io.Reader
		io.Closer
	}{rand.NewChaCha8([32]byte{}), closer(func() { closed = true })})
	_, err := a.Read(make([]byte, 1))
	require.NoError(t, err)
	require.NoError(t, a.Close())
	assert.True(t, closed)
}

type closer func()

func (c closer) Close() error { c(); return nil }

// BenchmarkAhead unpacks and reads a part, which a digest stands for, on two processors and on
// one: by the time that passes.
func BenchmarkAhead(b *testing.B) {
	var packed bytes.Buffer
	w, _ := flate.NewWriter(&packed, flate.DefaultCompression)
	rnd := rand.New(rand.NewPCG(3, 3))
	for range 200_000 {
		fmt.Fprintf(w, `<c r="A%d" t="s"><v>%d</v></c>`, rnd.IntN(1000), rnd.IntN(40))
	}
	w.Close()
	read := func(r io.Reader) time.Duration {
		start, sum := time.Now(), sha256.New()
		io.Copy(sum, r)
		return time.Since(start)
	}
	var ahead, alone time.Duration
	for b.Loop() {
		alone += read(flate.NewReader(bytes.NewReader(packed.Bytes())))
		a := newAhead(flate.NewReader(bytes.NewReader(packed.Bytes())))
		ahead += read(a)
		a.Close()
	}
	b.ReportMetric(ahead.Seconds()/alone.Seconds(), "ratio-to-alone")
}
