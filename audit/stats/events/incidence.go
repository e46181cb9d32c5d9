package events

import (
	"cmp"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
)

// Incidence estimates the share of cases whose first event by each horizon is of
// cause `of`, other causes competing and open histories censored, by Aalen &
// Johansen (1978, Scand J Stat 5:141-150):
//
//	F(t) = sum over times <= t of S(before) d/n,
//
// S the share still without any event, d events of that cause among n at risk. An
// event and a last look at the same time count the event first. The standard
// error is the infinitesimal jackknife over clusters times m/(m-1); limits are on
// the scale log(-log(1 - F)) with t on m - 1 degrees of freedom, so that they stay
// within 0 and 1. Where nothing, or everything, happened the limit is the exact
// binomial one of the complete histories. Horizons that nobody reaches are not
// estimable. Errors are mistakes of the caller.
func Incidence(f FirstEvents, of int, horizons []float64, level float64) ([]At, error) {
	if err := f.check(of, horizons, level); err != nil {
		return nil, err
	}
	return f.curve(of, horizons).estimates(horizons, f.Cluster, level,
		"cumulative incidence (Aalen-Johansen), other endings competing, jackknife variance, log(-log) limits", incidenceLimits), nil
}

// IncidenceDifference is the incidence of a less that of b at each horizon, with
// the jackknife variance over clusters; a cluster that holds cases of both (a
// clinician in two periods) is one unit. t on m - 2 degrees of freedom.
func IncidenceDifference(a, b FirstEvents, of int, horizons []float64, level float64) ([]At, error) {
	for _, f := range []FirstEvents{a, b} {
		if err := f.check(of, horizons, level); err != nil {
			return nil, err
		}
	}
	if err := sameClustering(a.Cluster, b.Cluster); err != nil {
		return nil, err
	}
	return difference(a.curve(of, horizons), b.curve(of, horizons), a.Cluster, b.Cluster, horizons, level,
		"difference of cumulative incidences (Aalen-Johansen), jackknife variance, t"), nil
}

// curve walks the event times once for the estimate and once a case for its
// derivative by the case's weight: with hazards h = d/n, dh = (dN - Y h)/n,
//
//	dS = dS (1-h) - S dh,  dF = dF + dS h + S dh.
func (f FirstEvents) curve(of int, horizons []float64) influence {
	n := len(f.Time)
	in := newInfluence(horizons, n)
	last := 0.0
	for _, h := range horizons {
		last = max(last, h)
	}
	steps := f.steps(of, last)
	f.fill(&in, horizons)
	for i := range n + 1 { // the last turn is the estimate itself
		s, ds, inc, dinc := 1.0, 0.0, 0.0, 0.0
		k := 0
		order := in.order
		for _, st := range append(steps, step{time: math.Inf(1)}) {
			for k < len(order) && horizons[order[k]] < st.time {
				if i < n {
					in.by[order[k]][i] = dinc
				} else {
					in.value[order[k]] = inc
				}
				k++
			}
			if math.IsInf(st.time, 1) {
				break
			}
			any, own := st.any/st.n, st.own/st.n
			var dAny, dOwn float64
			if i < n && f.Time[i] >= st.time {
				dAny, dOwn = -any, -own
				if f.Time[i] == st.time && f.Cause[i] != 0 {
					dAny++
					if f.Cause[i] == of {
						dOwn++
					}
				}
				dAny /= st.n
				dOwn /= st.n
			}
			dinc += ds*own + s*dOwn
			inc += s * own
			ds = ds*(1-any) - s*dAny
			s *= 1 - any
		}
	}
	return in.influence
}

// step is one time with events: at risk, events of any cause, of the one wanted.
type step struct{ time, n, any, own float64 }

func (f FirstEvents) steps(of int, last float64) []step {
	var times []float64
	for i, t := range f.Time {
		if f.Cause[i] != 0 {
			times = append(times, t)
		}
	}
	var out []step
	for _, t := range distinct(times, last) {
		st := step{time: t}
		for i, own := range f.Time {
			if own >= t {
				st.n++
			}
			if own == t && f.Cause[i] != 0 {
				st.any++
				if f.Cause[i] == of {
					st.own++
				}
			}
		}
		out = append(out, st)
	}
	return out
}

// ordered is an influence with the horizons in rising order.
type ordered struct {
	influence
	order []int
}

func newInfluence(horizons []float64, n int) ordered {
	in := ordered{influence: influence{
		value: make([]float64, len(horizons)), by: make([][]float64, len(horizons)),
		known: make([]int, len(horizons)), atRisk: make([]int, len(horizons)), beyond: make([]bool, len(horizons)),
	}, order: make([]int, len(horizons))}
	for k := range horizons {
		in.by[k], in.order[k] = make([]float64, n), k
	}
	slices.SortFunc(in.order, func(a, b int) int { return cmp.Compare(horizons[a], horizons[b]) })
	return in
}

// fill counts who is at risk and known at each horizon. Where a history that was
// open at its last look before the horizon is the last one, nobody can say.
func (f FirstEvents) fill(in *ordered, horizons []float64) {
	for k, h := range horizons {
		latest, open := 0.0, false
		for i, t := range f.Time {
			if t >= h {
				in.atRisk[k]++
			}
			if t >= h || f.Cause[i] != 0 {
				in.known[k]++
			}
			switch {
			case t > latest:
				latest, open = t, f.Cause[i] == 0
			case t == latest && f.Cause[i] == 0:
				open = true
			}
		}
		in.beyond[k] = in.atRisk[k] == 0 && open && latest < h
	}
}

func incidenceLimits(e *At) {
	tail := (1 - e.Level) / 2
	switch {
	case e.Value <= stats.Rounding:
		e.SE, e.Low, e.High = math.NaN(), 0, 1-math.Pow(tail, 1/float64(e.Known))
		e.Warn("no-events", "nothing happened: the limit is built on the complete histories alone", "read the limit as cautious")
	case e.Value >= 1-stats.Rounding:
		e.SE, e.Low, e.High = math.NaN(), math.Pow(tail, 1/float64(e.Known)), 1
		e.Warn("all-events", "it happened in every case: the limit is built on the complete histories alone", "read the limit as cautious")
	default:
		// d log(-log(1-F)) = dF / ((1-F) |log(1-F)|)
		scale := math.Log(-math.Log1p(-e.Value))
		half := dist.TQuantile(1-tail, e.DF) * e.SE / ((1 - e.Value) * -math.Log1p(-e.Value))
		e.Low, e.High = -math.Expm1(-math.Exp(scale-half)), -math.Expm1(-math.Exp(scale+half))
	}
}
