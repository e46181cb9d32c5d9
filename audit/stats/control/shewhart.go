package control

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
)

// ChartLimits says how the limits of a chart of counts are set.
type ChartLimits string

// Standard limits are three standard errors, clipped to what is possible;
// exact ones are binomial or Poisson quantiles at the same tail, .00135 a side.
const (
	StandardLimits ChartLimits = "standard"
	ExactLimits    ChartLimits = "exact"
)

const (
	chartSigmas = 3.0 // Shewhart 1931, Economic Control of Quality, chapter 19
	fewPoints   = 20  // Montgomery 2009, section 6.2.1: 20 to 25 samples to set limits
	leastEvents = 5.0 // expected count below which standard limits mislead
)

// ChartPoint is one point of a control chart. Sigma is its standard error
// about the centre line, Z = (Value - Centre)/Sigma.
type ChartPoint struct {
	Value, Centre, Low, High, Sigma, Z float64
	Out                                bool // outside Low to High
}

// Chart is a control chart with what its run rules found.
type Chart struct {
	Points   []ChartPoint
	Centre   float64
	Method   string
	Signals  []RunSignal
	Warnings []stats.Warning
}

func (c *Chart) finish() {
	z := make([]float64, len(c.Points))
	for i := range c.Points {
		p := &c.Points[i]
		p.Z = (p.Value - p.Centre) / p.Sigma
		p.Out = p.Value < p.Low || p.Value > p.High
		z[i] = p.Z
	}
	c.Signals = RunRules(z)
	if slices.IndexFunc(z, func(v float64) bool { return !math.IsNaN(v) }) < 0 {
		c.Warnings = append(c.Warnings, stats.Warning{
			ID: "no-spread", Text: "nothing varies, or nothing was counted: there is no spread to set limits by",
			Remedy: "read the limits of a zero count, or collect more periods",
		})
	}
	if len(c.Points) < fewPoints {
		c.Warnings = append(c.Warnings, stats.Warning{
			ID: "few-points", Text: fmt.Sprintf("%d points (fewer than %d): limits are provisional", len(c.Points), fewPoints),
			Remedy: "keep the chart going before acting on the limits",
		})
	}
}

// PChart is a chart of shares x of n a period (Montgomery 2009, section 7.2).
// designEffect divides every n, 1 where observations are independent; teeth of
// one case are not. A period without observations has NaN.
func PChart(x, n []int, designEffect float64, limits ChartLimits) (Chart, error) {
	if err := checkChart(len(x), len(n), designEffect, limits); err != nil {
		return Chart{}, err
	}
	var sx, sn float64
	for i := range x {
		if x[i] < 0 || x[i] > n[i] {
			return Chart{}, fmt.Errorf("stats: point %d: %d of %d", i, x[i], n[i])
		}
		sx += float64(x[i])
		sn += float64(n[i])
	}
	p := sx / sn
	c := Chart{Centre: p, Method: fmt.Sprintf("p chart, %s limits, design effect %.3g", limits, designEffect)}
	for i := range x {
		size := float64(n[i]) / designEffect
		pt := ChartPoint{Value: float64(x[i]) / float64(n[i]), Centre: p, Sigma: math.Sqrt(p * (1 - p) / size)}
		if limits == ExactLimits {
			pt.Low, pt.High = exactShare(p, int(math.Floor(size)), dist.NormalTail(chartSigmas))
		} else {
			pt.Low, pt.High = max(0, p-chartSigmas*pt.Sigma), min(1, p+chartSigmas*pt.Sigma)
		}
		c.Points = append(c.Points, pt)
	}
	c.warnSmall(limits, func(i int) float64 { return min(p, 1-p) * float64(n[i]) / designEffect })
	c.finish()
	return c, nil
}

// UChart is a chart of counts an exposure (Montgomery 2009, section 7.3.2); all
// exposures 1 make it a c chart. designEffect divides every exposure.
func UChart(count []int, exposure []float64, designEffect float64, limits ChartLimits) (Chart, error) {
	if err := checkChart(len(count), len(exposure), designEffect, limits); err != nil {
		return Chart{}, err
	}
	var sx, se float64
	for i := range count {
		if count[i] < 0 || !(exposure[i] >= 0) || math.IsInf(exposure[i], 1) || (exposure[i] == 0 && count[i] > 0) {
			return Chart{}, fmt.Errorf("stats: point %d: count %d of exposure %v", i, count[i], exposure[i])
		}
		sx += float64(count[i])
		se += exposure[i]
	}
	u := sx / se
	c := Chart{Centre: u, Method: fmt.Sprintf("u chart, %s limits, design effect %.3g", limits, designEffect)}
	for i := range count {
		size := exposure[i] / designEffect
		pt := ChartPoint{Value: float64(count[i]) / exposure[i], Centre: u, Sigma: math.Sqrt(u / size)}
		if limits == ExactLimits && size > 0 {
			tail := dist.NormalTail(chartSigmas)
			pt.Low = float64(dist.PoissonQuantile(tail, u*size)) / size
			pt.High = float64(dist.PoissonQuantile(1-tail, u*size)) / size
		} else {
			pt.Low, pt.High = max(0, u-chartSigmas*pt.Sigma), u+chartSigmas*pt.Sigma
		}
		c.Points = append(c.Points, pt)
	}
	c.warnSmall(limits, func(i int) float64 { return u * exposure[i] / designEffect })
	c.finish()
	return c, nil
}

func (c *Chart) warnSmall(limits ChartLimits, expected func(i int) float64) {
	small := 0
	for i := range c.Points {
		if expected(i) < leastEvents {
			small++
		}
	}
	if small > 0 && limits == StandardLimits {
		c.Warnings = append(c.Warnings, stats.Warning{
			ID: "small-counts", Text: fmt.Sprintf("%d of %d points expect fewer than %.0f events: standard limits mislead", small, len(c.Points), leastEvents),
			Remedy: "use exact limits, or longer periods",
		})
	}
}

func checkChart(a, b int, designEffect float64, limits ChartLimits) error {
	switch {
	case a != b:
		return fmt.Errorf("stats: %d counts and %d sizes", a, b)
	case !(designEffect > 0) || math.IsInf(designEffect, 1):
		return fmt.Errorf("stats: design effect %v: expected above 0, 1 where observations are independent", designEffect)
	case limits != StandardLimits && limits != ExactLimits:
		return fmt.Errorf("stats: limits %q: expected %q or %q", limits, StandardLimits, ExactLimits)
	}
	return nil
}

// exactShare gives the binomial quantiles at tail and 1-tail as shares.
func exactShare(p float64, n int, tail float64) (low, high float64) {
	if n < 1 {
		return 0, 1
	}
	return float64(dist.BinomialQuantile(tail, n, p)) / float64(n), float64(dist.BinomialQuantile(1-tail, n, p)) / float64(n)
}
