package sheet

import (
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// LibreOffice wrote the same sheets in three formats: each gives the same cells.
func TestFormatsAgree(t *testing.T) {
	in := func(name string) *Book {
		b, err := Open(filepath.Join("..", "testdata", "files", name), Limits{})
		require.NoError(t, err, name)
		return b
	}
	want := in("lo-clean.xlsx")
	for _, name := range []string{"lo-clean.ods", "lo-clean.xls"} {
		got := in(name)
		require.Len(t, got.Sheets, len(want.Sheets))
		for i, s := range want.Sheets {
			assert.Equal(t, s.Name, got.Sheets[i].Name)
			assert.Equal(t, s.Merged, got.Sheets[i].Merged)
			require.Len(t, got.Sheets[i].Rows, len(s.Rows), name)
			for j, r := range s.Rows {
				assert.Equal(t, r.Number, got.Sheets[i].Rows[j].Number)
				assert.Equal(t, r.Cells(), got.Sheets[i].Rows[j].Cells(), "%s %s row %d", name, s.Name, r.Number)
			}
		}
	}
}

// Numbers kept in 30 bits, the four kinds of [MS-XLS] 2.5.217; by hand.
func TestShortNumbers(t *testing.T) {
	minus := int32(-7)
	whole, shifted := uint32(minus<<2), uint32(1250<<2)
	assert.Equal(t, -7.0, rk(whole|2))
	assert.Equal(t, 12.5, rk(shifted|3))
	bits := uint32(math.Float64bits(1.5) >> 32)
	assert.Equal(t, 1.5, rk(bits))
	assert.Equal(t, 0.015, rk(bits|1))
}

// A text that goes on in another record, narrow before the seam and wide after.
func TestTextOverASeam(t *testing.T) {
	data := []byte{3, 0, 0, 'a', 'b', 1, 0x42, 0x01}
	s, at, err := biff{data: data, seams: []int{5}}.text(0, 2)
	require.NoError(t, err)
	assert.Equal(t, "abł", s)
	assert.Equal(t, len(data), at)
}

// A file cut off anywhere, or with any stretch overwritten, is refused or gives
// cells within the limits; it never crashes, and what is cut is never whole.
func TestDamagedFormats(t *testing.T) {
	for _, name := range []string{"lo-clean.ods", "lo-clean.xls"} {
		data, err := os.ReadFile(filepath.Join("..", "testdata", "files", name))
		require.NoError(t, err)
		cuts := 15
		if os.Getenv("SHORTFALL_LONG") != "" {
			cuts = 60
		}
		for n := 600; n < len(data)-512; n += len(data) / cuts {
			_, err := Decode(t.Context(), name, data[:n], Limits{})
			assert.Error(t, err, "%s cut at %d", name, n)
			broken := slices.Clone(data)
			binary.LittleEndian.PutUint64(broken[n:], 0xFFFFFFFFFFFFFFFF)
			assert.NotPanics(t, func() { _, _ = Decode(t.Context(), name, broken, Limits{}) })
		}
		_, err = Decode(t.Context(), name, data, Limits{Cells: 10})
		assert.ErrorContains(t, err, "more than 10", name)
		_, err = Decode(t.Context(), name, data, Limits{Columns: 2})
		assert.Error(t, err, name)
	}
}
