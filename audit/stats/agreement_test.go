package stats_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/agree"
	"shortfall/audit/stats/internal/statstest"
)

// Peak expiratory flow of 17 subjects by two meters, twice each: Bland &
// Altman 1986, Lancet 327:307-310, table 1.
var (
	largeMeter      = []float64{494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427}
	largeMeterAgain = []float64{490, 397, 512, 401, 470, 611, 415, 431, 638, 429, 420, 633, 275, 492, 165, 372, 421}
	miniMeter       = []float64{512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451}
	miniMeterAgain  = []float64{525, 415, 508, 444, 500, 625, 460, 390, 642, 432, 420, 605, 227, 467, 268, 370, 443}
)

// The paper's limits -79.7 to 75.5 use 2 rounded SD; digits with R 4.2.2.
func TestAgreementOfBlandAltman(t *testing.T) {
	r, err := agree.Agreement(largeMeter, miniMeter, .95)
	require.NoError(t, err)
	assert.InDelta(t, -2.1176471, r.Bias.Value, 5e-8)
	assert.InDelta(t, -22.0488, r.Bias.Low, 5e-5)
	assert.InDelta(t, 17.8135, r.Bias.High, 5e-5)
	assert.InDelta(t, -78.0959055, r.LowerLimit.Value, 5e-8)
	assert.InDelta(t, 73.8606114, r.UpperLimit.Value, 1e-7)
	assert.InDelta(t, 16.2846, r.LowerLimit.SE, 5e-5)
	// The paper prints -114.3 to -45.1 around -79.7: half width 34.6.
	assert.InDelta(t, 34.6, r.LowerLimit.Value-r.LowerLimit.Low, .1)
	assert.InDelta(t, 38.7651299*1.959963985, r.SmallestDetectable, 1e-6)
	assert.Contains(t, statstest.WarningIDs(r.Warnings), "few-pairs")
}

// Dahlberg's error of each meter (R 4.2.2); the paper prints repeatability
// 43.2 and 56.4 as twice the SD of the repeats.
func TestDahlbergOfTheMeters(t *testing.T) {
	for _, c := range []struct {
		first, second          []float64
		dahlberg, repeatabilty float64
	}{
		{largeMeter, largeMeterAgain, 15.306669, 43.2938},
		{miniMeter, miniMeterAgain, 19.910831, 56.3163},
	} {
		r, err := agree.Agreement(c.first, c.second, .95)
		require.NoError(t, err)
		assert.InDelta(t, c.dahlberg, r.Dahlberg.Value, 5e-7)
		// 2 sqrt(sum d^2/n) is the paper's repeatability.
		assert.InDelta(t, c.repeatabilty, 2*1.4142135624*r.Dahlberg.Value, .6)
		assert.Less(t, r.Dahlberg.Low, r.Dahlberg.Value)
		assert.Less(t, r.Dahlberg.Value, r.Dahlberg.High)
	}
}

// The limits of Dahlberg's error on n degrees of freedom, bias included: R 4.2.2,
// D * sqrt(17/qchisq(c(.975, .025), 17)).
func TestLimitsOfDahlberg(t *testing.T) {
	r, err := agree.Agreement(largeMeter, largeMeterAgain, .95)
	require.NoError(t, err)
	assert.InDelta(t, 11.48593458, r.Dahlberg.Low, 5e-8)
	assert.InDelta(t, 22.94690093, r.Dahlberg.High, 5e-8)
}

// Shrout & Fleiss 1979, Psychol Bull 86:420-428, tables 2 to 4, printed .17
// .29 .71 .44 .62 .91; digits and limits with psych::ICC, R 4.2.2.
func TestIntraclassOfShroutFleiss(t *testing.T) {
	r, err := agree.IntraclassCorrelations(shroutFleiss, .95)
	require.NoError(t, err)
	assert.InDelta(t, 56.2083, r.SSBetween, 5e-5)
	assert.InDelta(t, 97.4583, r.SSReaders, 5e-5)
	assert.InDelta(t, 15.2917, r.SSError, 5e-5)
	assert.Equal(t, []float64{5, 3, 15}, []float64{r.DFBetween, r.DFReaders, r.DFError})
	for _, c := range []struct {
		e                stats.Estimate
		value, low, high float64
	}{
		{r.OneWay, .165742, -.132932, .722560},
		{r.Agreement, .289764, .018787, .761084},
		{r.Consistency, .714841, .342465, .945858},
	} {
		assert.InDelta(t, c.value, c.e.Value, 5e-7, c.e.Method)
		assert.InDelta(t, c.low, c.e.Low, 5e-7, c.e.Method)
		assert.InDelta(t, c.high, c.e.High, 5e-7, c.e.Method)
	}
	assert.InDelta(t, .442797, r.OneWayAverage.Value, 5e-7)
	assert.InDelta(t, .620051, r.AgreementAverage.Value, 5e-7)
	assert.InDelta(t, .909316, r.ConsistencyAverage.Value, 5e-7)
}

var shroutFleiss = [][]float64{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}}

// Bland & Altman 1986 print -79.7 and 75.5, bias -+ 2 SD; -79.6479 and 75.4126
// before rounding. The standard deviation follows from our 1.96 limits.
func TestTwoSDLimitsOfBlandAltman(t *testing.T) {
	r, err := agree.Agreement(largeMeter, miniMeter, .95)
	require.NoError(t, err)
	sd := (r.UpperLimit.Value - r.Bias.Value) / 1.959963984540054
	assert.InDelta(t, 38.7651299, sd, 5e-8)
	assert.InDelta(t, -79.6479, r.Bias.Value-2*sd, 5e-5)
	assert.InDelta(t, 75.4126, r.Bias.Value+2*sd, 5e-5)
}
