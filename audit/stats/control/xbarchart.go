package control

import (
	"fmt"
	"math"

	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
)

// ChartFactors are the constants of X-bar and S charts for samples of n
// (Montgomery 2009, appendix VI): c4 = E(S)/sigma, A3 = 3/(c4 sqrt n), B3 and
// B4 = 1 -+ 3 sqrt(1-c4^2)/c4, B3 not below 0. n below 2 gives NaN.
func ChartFactors(n int) (c4, a3, b3, b4 float64) {
	if n < 2 {
		nan := math.NaN()
		return nan, nan, nan, nan
	}
	f := float64(n)
	top, _ := math.Lgamma(f / 2)
	bottom, _ := math.Lgamma((f - 1) / 2)
	c4 = math.Sqrt(2/(f-1)) * math.Exp(top-bottom)
	spread := chartSigmas * math.Sqrt(1-c4*c4) / c4
	return c4, chartSigmas / (c4 * math.Sqrt(f)), max(0, 1-spread), 1 + spread
}

// XbarS charts means and standard deviations of samples, one a period
// (Montgomery 2009, section 6.3.1). Samples of one size: the centre of S is the
// mean of the S; of several sizes: the root of the pooled variance (ibid.,
// equation 6.31), each point with the factors of its own size. Exact limits
// for S are chi-square quantiles at .00135 a side of sigma estimated by mean
// S/c4, or by the pooled S over the c4 of its degrees of freedom. Samples must
// be of independent values: case means rather than teeth.
func XbarS(samples [][]float64, limits ChartLimits) (xbar, s Chart, err error) {
	if err = checkChart(0, 0, 1, limits); err != nil {
		return xbar, s, err
	}
	means, sds := make([]float64, len(samples)), make([]float64, len(samples))
	var total, rows, pooled, free, sumS float64
	equal := true
	for i, x := range samples {
		if len(x) < 2 {
			return xbar, s, fmt.Errorf("stats: sample %d has %d values: expected two or more; join periods", i, len(x))
		}
		if err = bycase.CheckClustered(len(x), nil, x); err != nil {
			return xbar, s, fmt.Errorf("sample %d: %w", i, err)
		}
		m, v := numeric.MeanVariance(x)
		n := float64(len(x))
		means[i], sds[i] = m, math.Sqrt(v)
		total += n * m
		rows += n
		pooled += (n - 1) * v
		free += n - 1
		sumS += sds[i]
		equal = equal && len(x) == len(samples[0])
	}
	centre, spread := total/rows, math.Sqrt(pooled/free)
	how := "samples of several sizes, pooled S"
	bias, _, _, _ := ChartFactors(int(free) + 1)
	if equal && len(samples) > 0 {
		spread, how = sumS/float64(len(samples)), "samples of one size, mean S"
		bias, _, _, _ = ChartFactors(len(samples[0]))
	}
	xbar = Chart{Centre: centre, Method: "X-bar chart, " + how}
	s = Chart{Centre: spread, Method: fmt.Sprintf("S chart, %s, %s limits", how, limits)}
	for i, x := range samples {
		_, a3, b3, b4 := ChartFactors(len(x))
		xbar.Points = append(xbar.Points, ChartPoint{
			Value: means[i], Centre: centre, Low: centre - a3*spread, High: centre + a3*spread, Sigma: a3 * spread / chartSigmas,
		})
		p := ChartPoint{Value: sds[i], Centre: spread, Low: b3 * spread, High: b4 * spread, Sigma: (b4 - 1) * spread / chartSigmas}
		if limits == ExactLimits {
			df, tail := float64(len(x)-1), dist.NormalTail(chartSigmas)
			p.Low = spread / bias * math.Sqrt(dist.ChiSquareQuantile(tail, df)/df)
			p.High = spread / bias * math.Sqrt(dist.ChiSquareQuantile(1-tail, df)/df)
		}
		s.Points = append(s.Points, p)
	}
	xbar.finish()
	s.finish()
	return xbar, s, nil
}
