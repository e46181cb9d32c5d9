package events

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
)

// MeanCount estimates the mean number of events a case by each horizon, open
// histories censored, by Nelson's mean cumulative function (Nelson 1995,
// Technometrics 37:147-157): M(t) = sum over times <= t of events / cases under
// observation. Where Final marks endings after which no event can follow, each
// step counts only the share of cases not yet ended, S(before) d/n (Ghosh & Lin
// 2000, Biometrics 56:554-562, equation 2.1). The standard error is the
// infinitesimal jackknife over clusters, without endings the robust one of
// Lawless & Nadeau (1995, Technometrics 37:158-168), times m/(m-1); limits are on
// the log scale with t on m - 1 degrees of freedom. Where nothing happened the
// limit is the exact Poisson one of the complete histories. Horizons that nobody
// reaches are not estimable. Errors are mistakes of the caller.
func MeanCount(r Recurrences, horizons []float64, level float64) ([]At, error) {
	if err := r.check(horizons, level); err != nil {
		return nil, err
	}
	return r.curve(horizons).estimates(horizons, r.Cluster, level,
		"mean cumulative count (Nelson), jackknife variance, log limits", countLimits), nil
}

// MeanCountDifference is the mean count of a less that of b at each horizon; a
// cluster that holds cases of both is one unit. t on m - 2 degrees of freedom.
func MeanCountDifference(a, b Recurrences, horizons []float64, level float64) ([]At, error) {
	for _, r := range []Recurrences{a, b} {
		if err := r.check(horizons, level); err != nil {
			return nil, err
		}
	}
	if err := sameClustering(a.Cluster, b.Cluster); err != nil {
		return nil, err
	}
	return difference(a.curve(horizons), b.curve(horizons), a.Cluster, b.Cluster, horizons, level,
		"difference of mean cumulative counts (Nelson), jackknife variance, t"), nil
}

func sameClustering(a, b []int) error {
	if (a == nil) != (b == nil) {
		return fmt.Errorf("stats: cluster ids in one group and none in the other")
	}
	return nil
}

// moment is one time with events or final endings.
type moment struct {
	time, n, events, ends float64
}

func (r Recurrences) final(i int) bool { return r.Final != nil && r.Final[i] }

func (r Recurrences) moments(last float64) []moment {
	var times []float64
	for i, events := range r.Events {
		times = append(times, events...)
		if r.final(i) {
			times = append(times, r.End[i])
		}
	}
	var out []moment
	for _, t := range distinct(times, last) {
		m := moment{time: t}
		for i, end := range r.End {
			if end < t {
				continue
			}
			m.n++
			m.events += r.at(i, t)
			if end == t && r.final(i) {
				m.ends++
			}
		}
		out = append(out, m)
	}
	return out
}

// at counts the events of case i at time t.
func (r Recurrences) at(i int, t float64) (n float64) {
	for _, e := range r.Events[i] {
		if e == t {
			n++
		}
	}
	return n
}

// curve walks the moments once for the estimate and once a case for its
// derivative: with rate q = events/n and h = ends/n, dq = (dN - Y q)/n,
//
//	dM = dM + dS q + S dq,  dS = dS (1-h) - S dh.
func (r Recurrences) curve(horizons []float64) influence {
	n := len(r.End)
	in := newInfluence(horizons, n)
	moments := append(r.moments(slices.Max(append([]float64{0}, horizons...))), moment{time: math.Inf(1)})
	for i := range n + 1 { // the last turn is the estimate itself
		s, ds, mean, dmean := 1.0, 0.0, 0.0, 0.0
		k := 0
		for _, m := range moments {
			for ; k < len(in.order) && horizons[in.order[k]] < m.time; k++ {
				if i < n {
					in.by[in.order[k]][i] = dmean
				} else {
					in.value[in.order[k]] = mean
				}
			}
			if math.IsInf(m.time, 1) {
				break
			}
			rate, h := m.events/m.n, m.ends/m.n
			var dRate, dH float64
			if i < n && r.End[i] >= m.time {
				dRate, dH = (r.at(i, m.time)-rate)/m.n, -h/m.n
				if r.End[i] == m.time && r.final(i) {
					dH += 1 / m.n
				}
			}
			dmean += ds*rate + s*dRate
			mean += s * rate
			ds = ds*(1-h) - s*dH
			s *= 1 - h
		}
	}
	r.fill(&in, horizons)
	return in.influence
}

func (r Recurrences) fill(in *ordered, horizons []float64) {
	for k, h := range horizons {
		latest, open := 0.0, false
		for i, t := range r.End {
			if t >= h {
				in.atRisk[k]++
			}
			if t >= h || r.final(i) {
				in.known[k]++
			}
			switch {
			case t > latest:
				latest, open = t, !r.final(i)
			case t == latest && !r.final(i):
				open = true
			}
		}
		in.beyond[k] = in.atRisk[k] == 0 && open && latest < h
	}
}

func countLimits(e *At) {
	tail := (1 - e.Level) / 2
	if e.Value <= stats.Rounding {
		e.SE, e.Low, e.High = math.NaN(), 0, -math.Log(tail)/float64(e.Known)
		e.Warn("no-events", "nothing happened: the limit is built on the complete histories alone", "read the limit as cautious")
		return
	}
	half := dist.TQuantile(1-tail, e.DF) * e.SE / e.Value
	e.Low, e.High = e.Value*math.Exp(-half), e.Value*math.Exp(half)
}
