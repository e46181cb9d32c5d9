package events

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
)

// FirstEvents are cases followed from their start to a first event or a last look.
type FirstEvents struct {
	Time    []float64 // > 0, of the event or of the last look
	Cause   []int     // 0: still open at Time (censored); 1, 2, ...: what ended it
	Cluster []int     // independent units; nil: each case
}

// Recurrences are cases with any number of events.
type Recurrences struct {
	Events [][]float64 // times of each case's events, > 0 and not after its End
	End    []float64   // > 0, when observation of the case ended
	// Final says that End ended the case: no event can follow. Otherwise it is
	// still open (censored). nil: all open.
	Final   []bool
	Cluster []int // independent units; nil: each case
}

// At is an estimate at one horizon.
type At struct {
	Horizon float64
	stats.Estimate
	AtRisk int // cases under observation, still without an ending, just before the horizon
	Known  int // cases whose history up to the horizon is complete
}

// fewKnown is the number of complete histories below which the end of a curve
// is said to rest on few; a convention, no source.
const fewKnown = 10

func (f FirstEvents) check(of int, horizons []float64, level float64) error {
	if err := checkTimes(f.Time, f.Cluster, horizons, level); err != nil {
		return err
	}
	if len(f.Cause) != len(f.Time) {
		return fmt.Errorf("stats: %d times but %d causes", len(f.Time), len(f.Cause))
	}
	if of < 1 {
		return fmt.Errorf("stats: cause %d: expected 1 or more, 0 is an open history", of)
	}
	for i, c := range f.Cause {
		if c < 0 {
			return fmt.Errorf("stats: cause of case %d is %d: expected 0 (open) or more", i, c)
		}
	}
	return nil
}

func (r Recurrences) check(horizons []float64, level float64) error {
	if err := checkTimes(r.End, r.Cluster, horizons, level); err != nil {
		return err
	}
	if len(r.Events) != len(r.End) || r.Final != nil && len(r.Final) != len(r.End) {
		return fmt.Errorf("stats: %d ends, %d lists of events, %d endings", len(r.End), len(r.Events), len(r.Final))
	}
	for i, events := range r.Events {
		for _, t := range events {
			if !(t > 0 && t <= r.End[i]) {
				return fmt.Errorf("stats: event of case %d at %v: expected after 0 and not after its end %v", i, t, r.End[i])
			}
		}
	}
	return nil
}

func checkTimes(time []float64, cluster []int, horizons []float64, level float64) error {
	if err := stats.CheckLevel(level); err != nil {
		return err
	}
	if err := bycase.CheckClustered(len(time), cluster, time); err != nil {
		return err
	}
	for i, t := range time {
		if !(t > 0) {
			return fmt.Errorf("stats: time of case %d is %v: expected more than 0", i, t)
		}
	}
	for _, h := range horizons {
		if !(h > 0) || math.IsInf(h, 0) {
			return fmt.Errorf("stats: horizon %v: expected a time after 0", h)
		}
	}
	return nil
}

// influence is a curve at its horizons with what each case adds to it: value is
// [horizon], by [horizon][case]. known and atRisk count cases.
type influence struct {
	value         []float64
	by            [][]float64
	known, atRisk []int
	beyond        []bool // nobody is left to say what happens up to the horizon
}

// distinct gives the sorted distinct times up to the last horizon.
func distinct(times []float64, last float64) []float64 {
	set := map[float64]bool{}
	for _, t := range times {
		if t <= last {
			set[t] = true
		}
	}
	return slices.Sorted(maps.Keys(set))
}

// clustered sums influences by cluster and gives the standard error of the
// infinitesimal jackknife (Efron 1982, The Jackknife, the Bootstrap and Other
// Resampling Plans, chapter 6; R's survfit gives the same), times m/(m-1) for m
// clusters, as for other clustered variances here.
func clustered(by []float64, cluster []int) (se float64, m int) {
	sum := 0.0
	bycase.Visit(cluster, by, nil, func(u, _ float64, _ int) {
		m++
		sum += u * u
	})
	return math.Sqrt(sum * float64(m) / float64(m-1)), m
}

// estimates makes the estimates at each horizon; limits sets them on the scale
// that suits the curve.
func (in influence) estimates(horizons []float64, cluster []int, level float64, method string, limits func(e *At)) []At {
	out := make([]At, len(horizons))
	for k, h := range horizons {
		a := &out[k]
		*a = At{Horizon: h, Known: in.known[k], AtRisk: in.atRisk[k]}
		a.Estimate = stats.Estimate{Value: in.value[k], Level: level, P: math.NaN(), N: len(in.by[k]), Method: method}
		a.SE, a.Clusters = clustered(in.by[k], cluster)
		switch {
		case a.N == 0:
			a.Value = math.NaN()
			a.NotEstimable(stats.NoData)
			continue
		case in.beyond[k]:
			a.Value = math.NaN()
			a.NotEstimable(beyondFollowUp("no case", h))
			continue
		case a.Clusters < 2:
			a.NotEstimable(stats.OneCluster)
			continue
		}
		a.DF = float64(a.Clusters - 1)
		limits(a)
		a.WarnFewClusters()
		if a.Known < fewKnown {
			a.Warn("few-known", fmt.Sprintf("only %d histories are complete up to %v (fewer than %d)", a.Known, h, fewKnown),
				"read an earlier horizon beside it")
		}
	}
	return out
}

// difference is a - b at each horizon, clusters that hold cases of both arms
// taken as one unit.
func difference(a, b influence, clusterA, clusterB []int, horizons []float64, level float64, method string) []At {
	var cluster []int
	if clusterA != nil {
		cluster = append(slices.Clone(clusterA), clusterB...)
	}
	out := make([]At, len(horizons))
	for k, h := range horizons {
		both := slices.Clone(a.by[k])
		for _, u := range b.by[k] {
			both = append(both, -u)
		}
		d := &out[k]
		*d = At{Horizon: h, Known: min(a.known[k], b.known[k]), AtRisk: min(a.atRisk[k], b.atRisk[k])}
		d.Estimate = stats.Estimate{Value: a.value[k] - b.value[k], Level: level, P: math.NaN(), N: len(both), Method: method}
		d.SE, d.Clusters = clustered(both, cluster)
		switch {
		case len(a.by[k]) == 0 || len(b.by[k]) == 0:
			d.Value = math.NaN()
			d.NotEstimable(stats.NoData)
			continue
		case a.beyond[k] || b.beyond[k]:
			d.Value = math.NaN()
			d.NotEstimable(beyondFollowUp("no case of one group", h))
			continue
		case d.Clusters < 3:
			d.NotEstimable(stats.OneCluster)
			continue
		case !(d.SE > stats.Rounding):
			d.NotEstimable(stats.NoSpread)
			continue
		}
		d.DF = float64(d.Clusters - 2)
		d.SetLimits()
		d.P = dist.TTwoSided(d.Value/d.SE, d.DF)
		d.WarnFewClusters()
		if d.Known < fewKnown {
			d.Warn("few-known", fmt.Sprintf("only %d histories of one group are complete up to %v (fewer than %d)", d.Known, h, fewKnown),
				"read an earlier horizon beside it")
		}
	}
	return out
}

// beyondFollowUp is the warning of a horizon that nobody reached.
func beyondFollowUp(who string, horizon float64) stats.Warning {
	return stats.Warning{
		ID: "beyond-follow-up", Text: fmt.Sprintf("%s is followed as far as %v", who, horizon),
		Remedy: "choose an earlier horizon, or wait until cases reach it",
	}
}
