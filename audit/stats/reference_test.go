package stats_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/agree"
	"shortfall/audit/stats/control"
	"shortfall/audit/stats/decide"
	"shortfall/audit/stats/meta"
	"shortfall/audit/stats/nonpar"
	"shortfall/audit/stats/prop"
	"shortfall/audit/stats/robust"
)

// referenceCase is one case of testdata/basics.json, written by basics.R with R
// 4.2.2 and the package versions it records.
type referenceCase struct {
	Kind, Data, Call string
	Input            map[string]json.RawMessage
	Want             map[string]json.RawMessage
	t                *testing.T
}

func (c referenceCase) numbers(name string) []float64 { return c.read(c.Input, name) }

func (c referenceCase) read(from map[string]json.RawMessage, name string) []float64 {
	raw, ok := from[name]
	require.True(c.t, ok, "%s: no %q in basics.json", c.Data, name)
	var many []float64
	if json.Unmarshal(raw, &many) != nil {
		var one float64
		require.NoError(c.t, json.Unmarshal(raw, &one), name)
		many = []float64{one}
	}
	return many
}

func (c referenceCase) number(name string) float64 { return c.numbers(name)[0] }

func (c referenceCase) ids(name string) []int {
	var out []int
	for _, v := range c.numbers(name) {
		out = append(out, int(v))
	}
	return out
}

// same holds got against the wanted number(s), relative to 1 + |want|.
func (c referenceCase) same(name string, tolerance float64, got ...float64) {
	want := c.read(c.Want, name)
	require.Len(c.t, got, len(want), "%s %s", c.Data, name)
	for i, w := range want {
		assert.InDelta(c.t, w, got[i], tolerance*max(math.Abs(w), 1e-3), "%s: %s of %s", c.Data, name, c.Call)
	}
}

func TestAgainstR(t *testing.T) {
	raw, err := os.ReadFile("testdata/basics.json")
	require.NoError(t, err)
	var file struct {
		Versions map[string]string
		Cases    []referenceCase
	}
	require.NoError(t, json.Unmarshal(raw, &file))
	require.Equal(t, "4.2.2", file.Versions["R"])
	require.GreaterOrEqual(t, len(file.Cases), 60)
	for _, c := range file.Cases {
		check, ok := referenceChecks[c.Kind]
		require.True(t, ok, c.Kind)
		t.Run(c.Kind+" "+c.Data, func(t *testing.T) {
			c.t = t
			check(c)
		})
	}
}

var referenceChecks = map[string]func(referenceCase){
	"ratio": checkRatioCase, "mean": checkMeanCase, "proportion": checkProportionCase, "counts": checkCounts,
	"clusterrank": checkClusterRank, "quantile": checkQuantiles, "adjust": checkAdjust,
	"icc": checkICC, "agreement": checkAgreement, "meta": checkMeta, "overdispersion": checkOverdispersion,
}

func checkRatioCase(c referenceCase) {
	num, den, cluster := c.numbers("num"), c.numbers("den"), c.ids("cluster")
	l, err := robust.RatioOfSumsLinearised(num, den, cluster, .95)
	require.NoError(c.t, err)
	c.same("ratio", 1e-12, l.Value)
	c.same("se", 1e-11, l.SE)
	c.same("low", 1e-11, l.Low)
	c.same("high", 1e-11, l.High)
	r, err := robust.RatioOfSums(num, den, cluster, .95)
	require.NoError(c.t, err)
	c.same("cr2", 1e-10, r.SE)
	df := c.read(c.Want, "df")[0] // clubSandwich inverts a matrix numerically
	assert.LessOrEqual(c.t, r.DF, df*(1+1e-6), "Satterthwaite's, or fewer where tails are long")
}

func checkMeanCase(c referenceCase) {
	e, err := robust.ClusteredMean(c.numbers("x"), c.ids("cluster"), .95)
	require.NoError(c.t, err)
	c.same("mean", 1e-12, e.Value)
	c.same("se", 1e-10, e.SE)
	c.same("df", 1e-7, e.DF)
	c.same("low", 1e-9, e.Low)
	c.same("high", 1e-9, e.High)
}

// booleans turns 0 and 1 into outcomes.
func booleans(x []float64) []bool {
	out := make([]bool, len(x))
	for i, v := range x {
		out[i] = v == 1
	}
	return out
}

func checkProportionCase(c referenceCase) {
	e, err := prop.ClusteredProportion(booleans(c.numbers("x")), c.ids("cluster"), .95)
	require.NoError(c.t, err)
	c.same("p", 1e-12, e.Value)
	c.same("deff", 1e-10, e.DesignEffect)
	c.same("cr2", 1e-10, e.SE)
}

func checkCounts(c referenceCase) {
	x, n := int(c.number("x")), int(c.number("n"))
	for name, e := range map[string]stats.Estimate{
		"wilson": prop.Wilson(x, n, .95), "wilson90": prop.Wilson(x, n, .9),
		"garwood90": prop.Garwood(x, .9),
	} {
		c.same(name, 1e-10, e.Low, e.High)
	}
}

func checkClusterRank(c referenceCase) {
	r, err := nonpar.ClusteredSignedRank(c.numbers("d"), c.ids("cluster"))
	require.NoError(c.t, err)
	c.same("t", 1e-9, r.Statistic)
	c.same("z", 1e-9, r.Z)
	c.same("p", 1e-12, r.P)
}

func checkQuantiles(c referenceCase) {
	c.same("q", 1e-12, stats.Quantiles(c.numbers("x"), c.numbers("p")...)...)
}

func checkAdjust(c referenceCase) {
	p := c.numbers("p")
	c.same("bh", 1e-12, decide.BenjaminiHochberg(p)...)
	c.same("holm", 1e-12, decide.Holm(p)...)
}

func checkICC(c referenceCase) {
	flat, k := c.numbers("table"), int(c.number("k"))
	var table [][]float64
	for i := 0; i < len(flat); i += k {
		table = append(table, flat[i:i+k])
	}
	r, err := agree.IntraclassCorrelations(table, c.number("level"))
	require.NoError(c.t, err)
	all := []stats.Estimate{r.OneWay, r.Agreement, r.Consistency, r.OneWayAverage, r.AgreementAverage, r.ConsistencyAverage}
	var value, low, high, p []float64
	for _, e := range all {
		value, low, high, p = append(value, e.Value), append(low, e.Low), append(high, e.High), append(p, e.P)
	}
	c.same("icc", 1e-9, value...)
	c.same("low", 1e-8, low...)
	c.same("high", 1e-8, high...)
	c.same("p", 1e-8, p...)
}

func checkAgreement(c referenceCase) {
	r, err := agree.Agreement(c.numbers("a"), c.numbers("b"), .95)
	require.NoError(c.t, err)
	c.same("bias", 1e-10, r.Bias.Value)
	c.same("low", 1e-10, r.Bias.Low)
	c.same("high", 1e-10, r.Bias.High)
	c.same("p", 1e-10, r.Bias.P)
	c.same("dahlberg", 1e-10, r.Dahlberg.Value)
	c.same("mom", 1e-10, r.MethodOfMoments.Value)
	c.same("momlow", 1e-10, r.MethodOfMoments.Low)
	c.same("momhigh", 1e-10, r.MethodOfMoments.High)
	c.same("upper", 1e-10, r.UpperLimit.Value)
	c.same("uplimit", 1e-10, r.UpperLimit.High)
}

func checkMeta(c referenceCase) {
	var name string
	require.NoError(c.t, json.Unmarshal(c.Input["method"], &name))
	method := map[string]meta.MetaMethod{
		"EE": meta.EqualEffects, "DL": meta.DerSimonianLaird, "REML": meta.RestrictedML, "ML": meta.MaximumLikelihood, "PM": meta.PauleMandel,
	}[name]
	r, err := meta.Meta(c.numbers("y"), c.numbers("v"), method, c.number("hk") == 1, .95)
	require.NoError(c.t, err)
	require.Equal(c.t, meta.Converged, r.Ended)
	c.same("b", 1e-6, r.Value)
	c.same("se", 1e-6, r.SE)
	c.same("low", 1e-6, r.Low)
	c.same("high", 1e-6, r.High)
	c.same("p", 1e-5, r.P)
	c.same("tau2", 1e-5, r.Tau2)
	c.same("q", 1e-9, r.Q)
	c.same("qp", 1e-9, r.QP)
	c.same("i2", 1e-5, r.I2)
	c.same("h2", 1e-5, r.H2)
	if method != meta.EqualEffects {
		c.same("tau2low", 1e-5, r.Tau2Low)
		c.same("tau2high", 1e-5, r.Tau2High)
	}
}

func checkOverdispersion(c referenceCase) {
	r, err := control.Overdispersion(c.numbers("y"), c.numbers("v"), c.number("target"), control.DefaultWinsorise)
	require.NoError(c.t, err)
	c.same("phi", 1e-10, r.Phi)
	c.same("tau2", 1e-10, r.Tau2)
	c.same("p", 1e-9, r.P)
}
