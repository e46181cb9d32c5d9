package bycase

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"shortfall/audit/stats"
)

// CheckClustered refuses slices of unequal length and numbers that are not
// finite, naming the row; cluster may be nil (every row its own cluster).
func CheckClustered(n int, cluster []int, columns ...[]float64) error {
	if cluster != nil && len(cluster) != n {
		return fmt.Errorf("stats: %d values but %d cluster ids", n, len(cluster))
	}
	for _, col := range columns {
		if len(col) != n {
			return fmt.Errorf("stats: columns of %d and %d values", n, len(col))
		}
		for i, v := range col {
			if !InRange(v) {
				return OutOfRange(fmt.Sprintf("value %d", i), v)
			}
		}
	}
	return nil
}

// Largest is the size of a number up to which sums of fourth powers stay finite.
const Largest = 1e60

// InRange is false for NaN, infinities and numbers that no measurement has.
func InRange(v float64) bool { return math.Abs(v) <= Largest }

// OutOfRange is the error for a number that InRange refuses.
func OutOfRange(what string, v float64) error {
	if v-v != 0 {
		return fmt.Errorf("stats: %s is not a finite number; leave it out and count it", what)
	}
	return fmt.Errorf("stats: %s is beyond %g in size; check its unit", what, Largest)
}

// Visit calls visit once a cluster with its sums of a and b and its
// number of rows. b nil counts as all ones. Ids that come sorted are read in
// one pass without allocation; ids within a narrow range need two short
// arrays; any others cost a map. Clusters come in the order of their ids.
func Visit(cluster []int, a, b []float64, visit func(sumA, sumB float64, rows int)) {
	switch {
	case cluster == nil:
		for i := range a {
			visit(a[i], At(b, i), 1)
		}
	case slices.IsSorted(cluster):
		visitRuns(cluster, a, b, visit)
	default:
		visitUnsorted(cluster, a, b, visit)
	}
}

// At is b[i], or 1 where b is nil.
func At(b []float64, i int) float64 {
	if b == nil {
		return 1
	}
	return b[i]
}

func visitRuns(cluster []int, a, b []float64, visit func(sumA, sumB float64, rows int)) {
	for i := 0; i < len(cluster); {
		id, from := cluster[i], i
		var sa, sb float64
		for ; i < len(cluster) && cluster[i] == id; i++ {
			sa += a[i]
			sb += At(b, i)
		}
		visit(sa, sb, i-from)
	}
}

func visitUnsorted(cluster []int, a, b []float64, visit func(sumA, sumB float64, rows int)) {
	index, m := Index(cluster)
	sa, sb, rows := make([]float64, m), make([]float64, m), make([]int, m)
	for i, k := range index {
		sa[k] += a[i]
		sb[k] += At(b, i)
		rows[k]++
	}
	for k := range m {
		if rows[k] > 0 {
			visit(sa[k], sb[k], rows[k])
		}
	}
}

// Index numbers the clusters 0..m-1 in the order of their ids, one
// index a row. Some of the m may be empty where ids are dense.
func Index(cluster []int) (index []int, m int) { return IndexIn(nil, cluster) }

// IndexIn is Index in memory of a.
func IndexIn(a *stats.Arena, cluster []int) (index []int, m int) {
	index = a.Places(len(cluster))
	if len(cluster) == 0 {
		return index, 0
	}
	low, high := slices.Min(cluster), slices.Max(cluster)
	if span := uint64(high) - uint64(low); span < uint64(2*len(cluster)+64) {
		for i, c := range cluster {
			index[i] = c - low
		}
		return index, int(span) + 1
	}
	rank := make(map[int]int, 64)
	for _, c := range cluster {
		rank[c] = 0
	}
	for k, id := range slices.Sorted(maps.Keys(rank)) {
		rank[id] = k
	}
	for i, c := range cluster {
		index[i] = rank[c]
	}
	return index, len(rank)
}

// Rows gives the row numbers of each cluster, clusters in the order of
// their ids; nil: one row each.
func Rows(n int, cluster []int) [][]int {
	if cluster == nil {
		groups := make([][]int, n)
		for i := range groups {
			groups[i] = []int{i}
		}
		return groups
	}
	index, m := Index(cluster)
	groups := make([][]int, m)
	for i, k := range index {
		groups[k] = append(groups[k], i)
	}
	return slices.DeleteFunc(groups, func(g []int) bool { return len(g) == 0 })
}

// CheckPairs refuses a level outside 0 to 1 and two columns that do not fit.
func CheckPairs(num, den []float64, cluster []int, level float64) error {
	if err := stats.CheckLevel(level); err != nil {
		return err
	}
	return CheckClustered(len(num), cluster, num, den)
}
