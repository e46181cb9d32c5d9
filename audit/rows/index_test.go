package rows

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

func invented(t testing.TB, cases int) *Set {
	t.Helper()
	params := sampledata.Default()
	params.Cases = cases
	ds, _ := sampledata.Generate(params, 6)
	p, err := Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	return p
}

// TestFind: every movement is found where it stands, and none that is not there; a course
// may have any number.
func TestFind(t *testing.T) {
	p := invented(t, 20)
	x := p.IndexOrder()
	for i, m := range p.Order {
		require.Equal(t, i, x.Find(p.ClusterOf[i], m.Course, m.Tooth, m.Axis))
		require.Equal(t, -1, x.Find(p.ClusterOf[i], m.Course+1000, m.Tooth, m.Axis))
	}
	keys := []int64{}
	for _, course := range []int{-2, 0, 1, 2, 40000, 1 << 40} {
		for _, tooth := range []casebook.Tooth{11, 48} {
			for _, axis := range casebook.Axes() {
				keys = append(keys, keyIn(course, tooth, axis))
			}
		}
	}
	assert.True(t, slices.IsSorted(keys))
	assert.Len(t, slices.Compact(slices.Clone(keys)), len(keys))
}

// BenchmarkFind sets keys side by side against the movements where they lie.
func BenchmarkFind(b *testing.B) {
	p := invented(b, 2000)
	x := p.IndexOrder()
	b.Run(fmt.Sprintf("keys of %d movements", len(p.Order)), func(b *testing.B) {
		for b.Loop() {
			for i, m := range p.Order {
				x.Find(p.ClusterOf[i], m.Course, m.Tooth, m.Axis)
			}
		}
	})
	b.Run("where they lie", func(b *testing.B) {
		for b.Loop() {
			for i, m := range p.Order {
				from, to := x.start[p.ClusterOf[i]], x.start[p.ClusterOf[i]+1]
				sort.Find(to-from, func(k int) int {
					o := p.Order[from+k]
					return cmp.Or(cmp.Compare(m.Course, o.Course), cmp.Compare(m.Tooth, o.Tooth), cmp.Compare(m.Axis, o.Axis))
				})
			}
		}
	})
}
