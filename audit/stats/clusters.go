package stats

import (
	"fmt"
	"maps"
	"math"
	"slices"
)

// Thresholds below which a warning is given. They are conventions, printed in
// the warning's text wherever they act.
const (
	fewClusters     = 10   // fewer cases than this make any clustered interval rough
	dominantShare   = 0.5  // one case carrying more than this share of the total
	fiellerConcern  = 0.2  // g above which a linearised ratio interval is rough
	smallestEffect  = 0.25 // design effect below which agreement between cases is taken for luck
	smallEffectiveN = 10.0 // effective number of observations for a proportion
)

// checkLevel refuses a confidence level outside (0, 1).
func checkLevel(level float64) error {
	if !(level > 0 && level < 1) {
		return fmt.Errorf("stats: confidence level %v: expected between 0 and 1", level)
	}
	return nil
}

// checkClustered refuses slices of unequal length and numbers that are not
// finite, naming the row; cluster may be nil (every row its own cluster).
func checkClustered(n int, cluster []int, columns ...[]float64) error {
	if cluster != nil && len(cluster) != n {
		return fmt.Errorf("stats: %d values but %d cluster ids", n, len(cluster))
	}
	for _, col := range columns {
		if len(col) != n {
			return fmt.Errorf("stats: columns of %d and %d values", n, len(col))
		}
		for i, v := range col {
			if !inRange(v) {
				return outOfRange(fmt.Sprintf("value %d", i), v)
			}
		}
	}
	return nil
}

// largest is the size of a number up to which sums of fourth powers stay finite.
const largest = 1e60

// inRange is false for NaN, infinities and numbers that no measurement has.
func inRange(v float64) bool { return math.Abs(v) <= largest }

func outOfRange(what string, v float64) error {
	if v-v != 0 {
		return fmt.Errorf("stats: %s is not a finite number; leave it out and count it", what)
	}
	return fmt.Errorf("stats: %s is beyond %.0e in size; check its unit", what, largest)
}

// visitClusters calls visit once a cluster with its sums of a and b and its
// number of rows. b nil counts as all ones. Ids that come sorted are read in
// one pass without allocation; ids within a narrow range need two short
// arrays; any others cost a map. Clusters come in the order of their ids.
func visitClusters(cluster []int, a, b []float64, visit func(sumA, sumB float64, rows int)) {
	switch {
	case cluster == nil:
		for i := range a {
			visit(a[i], at(b, i), 1)
		}
	case slices.IsSorted(cluster):
		visitRuns(cluster, a, b, visit)
	default:
		visitUnsorted(cluster, a, b, visit)
	}
}

func at(b []float64, i int) float64 {
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
			sb += at(b, i)
		}
		visit(sa, sb, i-from)
	}
}

func visitUnsorted(cluster []int, a, b []float64, visit func(sumA, sumB float64, rows int)) {
	index, m := clusterIndex(cluster)
	sa, sb, rows := make([]float64, m), make([]float64, m), make([]int, m)
	for i, k := range index {
		sa[k] += a[i]
		sb[k] += at(b, i)
		rows[k]++
	}
	for k := range m {
		if rows[k] > 0 {
			visit(sa[k], sb[k], rows[k])
		}
	}
}

// clusterIndex numbers the clusters 0..m-1 in the order of their ids, one
// index a row. Some of the m may be empty where ids are dense.
func clusterIndex(cluster []int) (index []int, m int) {
	index = make([]int, len(cluster))
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

// groupRows gives the row numbers of each cluster, clusters in the order of
// their ids; nil: one row each.
func groupRows(n int, cluster []int) [][]int {
	if cluster == nil {
		groups := make([][]int, n)
		for i := range groups {
			groups[i] = []int{i}
		}
		return groups
	}
	index, m := clusterIndex(cluster)
	groups := make([][]int, m)
	for i, k := range index {
		groups[k] = append(groups[k], i)
	}
	return slices.DeleteFunc(groups, func(g []int) bool { return len(g) == 0 })
}

// limits fills the t interval of an estimate whose Value, SE, DF and Level are set.
func (e *Estimate) limits() {
	h := tQuantile(0.5+e.Level/2, e.DF) * e.SE
	e.Low, e.High = e.Value-h, e.Value+h
}

// notEstimable clears everything that needs a variance and adds the reason.
func (e *Estimate) notEstimable(w Warning) {
	nan := math.NaN()
	e.SE, e.DF, e.Low, e.High, e.P = nan, nan, nan, nan, nan
	e.Warnings = append(e.Warnings, w)
}

func (e *Estimate) warn(id, text, remedy string) {
	e.Warnings = append(e.Warnings, Warning{ID: id, Text: text, Remedy: remedy})
}

// warnFewClusters adds the warning shared by every clustered interval.
func (e *Estimate) warnFewClusters() {
	if e.Clusters < fewClusters {
		e.warn("few-clusters", fmt.Sprintf("only %d independent cases (fewer than %d): the interval is rough", e.Clusters, fewClusters),
			"collect more cases or widen the cell before acting on it")
	}
}

// rounding is the share of a number's size that is left of it by rounding alone:
// spread below it is none.
const rounding = 1e-12

var (
	noData = Warning{
		"no-data", "no observations", "record at least two cases",
	}
	oneCluster = Warning{
		"one-case", "all observations come from one case: the spread between cases cannot be seen",
		"add cases; more teeth of the same case do not help",
	}
	noSpread = Warning{
		"no-spread", "all cases agree to the last digit: there is no spread to build limits on",
		"check for copied, rounded or derived values, or add cases",
	}
)
