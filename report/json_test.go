package report

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"reflect"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/results"
)

func asJSON(t testing.TB, r *results.Results) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, JSON(&b, r))
	return b.Bytes()
}

// fileOf is the file of results that no test changes, written once.
func fileOf(t *testing.T, r *results.Results) []byte {
	t.Helper()
	once, _ := writtenBefore.LoadOrStore(r, sync.OnceValues(func() ([]byte, error) {
		var b bytes.Buffer
		err := JSON(&b, r)
		return b.Bytes(), err
	}))
	js, err := once.(func() ([]byte, error))()
	require.NoError(t, err)
	return js
}

var writtenBefore sync.Map

func TestReplayGivesTheSameBytes(t *testing.T) {
	for name, r := range fixtures() {
		if !differing(name) {
			continue
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			first := fileOf(t, r)
			back, err := ReadJSON(bytes.NewReader(first))
			require.NoError(t, err)
			assert.Equal(t, string(first), string(asJSON(t, back)))
			if !long && name == "sample data" {
				return // pages show nothing that the file does not hold
			}
			var a, b bytes.Buffer
			require.NoError(t, PDF(&a, r, Options{}))
			require.NoError(t, PDF(&b, back, Options{}))
			assert.True(t, bytes.Equal(a.Bytes(), b.Bytes()), "a replayed file gives other pages")
		})
	}
}

// TestRowsAreLines: every row of the grid is one line that is JSON by itself,
// and folding changes nothing but white space.
func TestRowsAreLines(t *testing.T) {
	r := practice()
	r.Expression[0].Method = "a \"quoted\" {brace} [bracket]   three spaces"
	got := asJSON(t, r)
	var plain, folded bytes.Buffer
	long, err := json.Marshal(withLists(reflect.ValueOf(*r)).Interface())
	require.NoError(t, err)
	require.NoError(t, json.Compact(&plain, long))
	require.NoError(t, json.Compact(&folded, got))
	assert.Equal(t, plain.String(), folded.String())
	_, rest, ok := strings.Cut(string(got), "\n  \"expression\": [\n")
	require.True(t, ok)
	table, _, _ := strings.Cut(rest, "\n  ]")
	lines := strings.Split(table, "\n")
	require.Len(t, lines, len(r.Expression))
	for i, line := range lines {
		var c results.Cell
		require.NoError(t, json.Unmarshal([]byte(strings.TrimSuffix(line, ",")), &c))
		assert.Equal(t, r.Expression[i].By, c.By)
	}
}

func TestJSONHasNoNullLists(t *testing.T) {
	r := &results.Results{}
	var m map[string]any
	require.NoError(t, json.Unmarshal(asJSON(t, r), &m))
	assert.Equal(t, []any{}, m["expression"])
	assert.Nil(t, r.Expression, "the results themselves are left alone")
}

func TestNotEstimableSurvives(t *testing.T) {
	r := practice()
	r.Expression[0].Low = results.Number(math.Inf(1))
	back, err := ReadJSON(bytes.NewReader(asJSON(t, r)))
	require.NoError(t, err)
	assert.False(t, back.Expression[0].Low.OK())
}

func TestReadJSONIsStrict(t *testing.T) {
	good := string(asJSON(t, practice()))
	for name, c := range map[string]struct{ in, says string }{
		"empty":         {"", "ends too early"},
		"cut off":       {good[:len(good)/2], "ends too early"},
		"not JSON":      {"%PDF-1.3", "byte 1"},
		"unknown field": {strings.Replace(good, `"tool"`, `"tol"`, 1), `unknown field "tol"`},
		"other version": {strings.Replace(good, `"schema_version": "2.0"`, `"schema_version": "3.0"`, 1), "schema version"},
		"trailing":      {good + "{}", "something follows"},
		"wrong axis":    {strings.Replace(good, `"axis": "rotation"`, `"axis": "spin"`, 1), "unknown axis"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := ReadJSON(strings.NewReader(c.in))
			require.ErrorContains(t, err, c.says)
		})
	}
}

// small is a results file short enough to read: the format, pinned. Rewrite it
// with go test ./report -run Pinned -update.
func small() *results.Results {
	r := practice()
	r.Expression, r.Comparisons = r.Expression[:3], r.Comparisons[:2]
	r.Replanned, r.Losses, r.Unplanned, r.Bounds = r.Replanned[:1], r.Losses[:1], r.Unplanned[:1], r.Bounds[:1]
	audit.Tell(r)
	return r
}

func TestPinnedFormat(t *testing.T) {
	const file = "testdata/results.json"
	got := asJSON(t, small())
	if *update {
		require.NoError(t, os.WriteFile(file, got, 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), string(got))
	// A file written by an earlier build renders.
	r, err := ReadJSON(bytes.NewReader(want))
	require.NoError(t, err)
	require.NoError(t, PDF(&bytes.Buffer{}, r, Options{}))
}
