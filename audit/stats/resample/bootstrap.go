package resample

import (
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
)

// BootstrapSettings of a resampling run. There is no useful zero value; start
// from DefaultBootstrap.
type BootstrapSettings struct {
	Replicates int
	Seed       uint64 // recorded with the result
	Workers    int    // goroutines; the result does not depend on it
}

// DefaultBootstrap is 2,000 replicates from a fixed seed on all cores.
func DefaultBootstrap() BootstrapSettings {
	return BootstrapSettings{Replicates: 2000, Seed: 20250101, Workers: runtime.GOMAXPROCS(0)}
}

// fewReplicates is the least a 95 % limit can be read from (Efron & Tibshirani
// 1993, section 19.3, advise 1000 for such limits).
const fewReplicates = 1000

func (s BootstrapSettings) check() error {
	if s.Replicates < 1 || s.Workers < 1 {
		return fmt.Errorf("stats: bootstrap of %d replicates on %d workers: expected at least one of each", s.Replicates, s.Workers)
	}
	return nil
}

// BootstrapResult is an estimate with a bootstrap interval.
type BootstrapResult struct {
	stats.Estimate
	Replicates int
	Seed       uint64
	Generator  string  // names the generator, so that the run can be repeated
	Bias       float64 // mean of the replicates minus Value
	Z0         float64 // bias correction of BCa
	Accel      float64 // acceleration of BCa
	Dropped    int     // replicates without a finite statistic

	sorted []float64 // finite replicates in rising order
}

// bootstrapGenerator names the stream of each replicate.
const bootstrapGenerator = "PCG-DXSM of math/rand/v2, one stream a replicate seeded (seed, mixed replicate number)"

// replicateRand is the generator of replicate number rep, the same on any
// number of workers. The number is mixed (Steele, Lea & Flood 2014, SplitMix64)
// so that neighbouring replicates do not start from neighbouring states.
func replicateRand(seed uint64, rep int) *rand.PCG {
	z := (uint64(rep) + 1) * 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return rand.NewPCG(seed, z^z>>31)
}

// replicates runs a function of the replicate number, in parallel; each worker
// has its own from newWorker, so that it may own scratch space.
func replicates(count, workers int, newWorker func() func(rep int) float64) []float64 {
	out := make([]float64, count)
	workers = min(workers, count)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			f := newWorker()
			for rep := w * count / workers; rep < (w+1)*count/workers; rep++ {
				out[rep] = f(rep)
			}
		})
	}
	wg.Wait()
	return out
}

// BootstrapClusters resamples m clusters with replacement and gives the BCa
// interval (Efron 1987, J Am Stat Assoc 82:171-185, equations 2.3, 6.6) of a
// statistic. newStatistic is called once a worker and returns a function of
// the numbers of the clusters drawn (0..m-1, repeats allowed), which must not
// keep the slice; so each worker may own scratch space.
func BootstrapClusters(m int, newStatistic func() func(picked []int) float64, level float64, s BootstrapSettings) (BootstrapResult, error) {
	if err := s.check(); err != nil {
		return BootstrapResult{}, err
	}
	if err := stats.CheckLevel(level); err != nil {
		return BootstrapResult{}, err
	}
	r := BootstrapResult{
		Estimate:   stats.Estimate{Value: math.NaN(), DF: math.Inf(1), P: math.NaN(), Level: level, N: m, Clusters: m, Method: "BCa bootstrap of whole cases"},
		Replicates: s.Replicates, Seed: s.Seed, Generator: bootstrapGenerator,
	}
	if m > 0 {
		r.Value = newStatistic()(everyone(m))
	}
	if m < 2 {
		r.NotEstimable(stats.OneCluster)
		return r, nil
	}
	draws := replicates(s.Replicates, s.Workers, func() func(int) float64 {
		f, picked := newStatistic(), make([]int, m)
		return func(rep int) float64 {
			rng := replicateRand(s.Seed, rep)
			for i := range picked {
				high, _ := bits.Mul64(rng.Uint64(), uint64(m)) // uniform to m/2^64
				picked[i] = int(high)
			}
			return f(picked)
		}
	})
	r.bca(draws, Jackknife(m, newStatistic()))
	return r, nil
}

func everyone(m int) []int {
	all := make([]int, m)
	for i := range all {
		all[i] = i
	}
	return all
}

// Jackknife gives the statistic without each cluster in turn.
func Jackknife(m int, f func([]int) float64) []float64 {
	out := make([]float64, m)
	picked := make([]int, m-1)
	for c := range m {
		for i := range picked {
			picked[i] = i
			if i >= c {
				picked[i]++
			}
		}
		out[c] = f(picked)
	}
	return out
}

// bca fills interval, standard error and warnings from the replicates and the
// jackknife values.
func (r *BootstrapResult) bca(draws, jack []float64) {
	finite := slices.DeleteFunc(slices.Clone(draws), func(v float64) bool { return v-v != 0 })
	r.Dropped = len(draws) - len(finite)
	if len(finite) < 2 || r.Value-r.Value != 0 {
		r.Value = math.NaN()
		r.NotEstimable(stats.Warning{ID: "not-estimable", Text: "the statistic is not finite in the data or in the resamples", Remedy: "add cases"})
		return
	}
	slices.Sort(finite)
	if finite[len(finite)-1]-finite[0] <= stats.Rounding*math.Abs(r.Value) {
		r.NotEstimable(stats.NoSpread)
		return
	}
	r.sorted = finite
	mean, variance := numeric.MeanVariance(finite)
	r.SE, r.Bias = math.Sqrt(variance), mean-r.Value
	r.Z0 = biasCorrection(finite, r.Value)
	r.Accel = acceleration(jack)
	r.limitsBCa()
	r.WarnFewClusters()
	if r.Replicates < fewReplicates {
		r.Warn("few-replicates", fmt.Sprintf("%d replicates (fewer than %d): the limits are unsteady", r.Replicates, fewReplicates), "raise the number of replicates")
	}
	if r.Dropped > 0 {
		r.Warn("dropped-replicates", fmt.Sprintf("%d of %d resamples gave no finite value", r.Dropped, r.Replicates), "add cases, or leave out very small plans")
	}
}

// Warnings of BCa alone.
const (
	strongSkew      = "strong-skew"
	estimateOutside = "estimate-outside"
)

// limitsBCa takes the limits of Efron 1987, equation 6.6 (a in the denominator
// from the jackknife). Its curve rises to infinity at w = 1/a: beyond, the limit
// is the last replicate, and no more than a guess.
func (r *BootstrapResult) limitsBCa() {
	skew := false
	end := func(z float64) float64 {
		w := r.Z0 + z
		gap := 1 - r.Accel*w
		if gap <= 0 {
			skew = true
			return stats.SortedQuantile(r.sorted, max(0, math.Copysign(1, w)))
		}
		return stats.SortedQuantile(r.sorted, dist.NormalCDF(r.Z0+w/gap))
	}
	z := dist.NormalQuantile(0.5 + r.Level/2)
	r.Low, r.High = end(-z), end(z)
	if r.Value < r.Low || r.Value > r.High {
		r.Warn(estimateOutside, "the interval leaves out the estimate itself: the resamples do not lie about it", "read Fieller's set, and \"not estimable\" where that is unbounded")
	}
	if skew {
		r.Warn(strongSkew, "a few cases move the estimate so much that a limit is off the scale of the resamples", "show those cases apart, or add cases")
	}
}

// Percentile replaces the BCa limits by plain percentiles (Efron 1979).
func (r *BootstrapResult) Percentile() {
	if r.sorted != nil {
		r.Low, r.High = stats.SortedQuantile(r.sorted, 0.5-r.Level/2), stats.SortedQuantile(r.sorted, 0.5+r.Level/2)
		r.Z0, r.Accel = math.NaN(), math.NaN()
		r.Warnings = slices.DeleteFunc(r.Warnings, func(w stats.Warning) bool { return w.ID == strongSkew || w.ID == estimateOutside })
	}
}

// biasCorrection is the normal quantile of the share of replicates below the
// value, ties (to rounding) counted half; kept finite at the ends.
func biasCorrection(sorted []float64, value float64) float64 {
	eps := 1e-12 * math.Abs(value)
	low, _ := slices.BinarySearch(sorted, value-eps)
	high := low
	for high < len(sorted) && sorted[high] <= value+eps {
		high++
	}
	n := float64(len(sorted))
	share := (float64(low) + float64(high)) / 2 / n
	return dist.NormalQuantile(max(0.5/n, min(1-0.5/n, share)))
}

// acceleration is sum d^3 / (6 (sum d^2)^1.5) with d the mean of the jackknife
// values minus each (Efron & Tibshirani 1993, equation 14.15).
func acceleration(jack []float64) float64 {
	mean, _ := numeric.MeanVariance(jack)
	var s2, s3 float64
	for _, v := range jack {
		d := mean - v
		s2 += d * d
		s3 += d * d * d
	}
	if !(s2 > 0) {
		return 0
	}
	return s3 / (6 * math.Pow(s2, 1.5))
}
