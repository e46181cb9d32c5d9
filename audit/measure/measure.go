// Package measure turns estimates of audit/stats into the numbers of
// audit/results: spreads, differences, shares with their limits and warnings.
//
// Place in the pipeline: everything in audit that estimates goes through here, so
// that a number that is missing, or has too few cases for an interval, looks and
// is explained the same everywhere.
package measure

import (
	"fmt"
	"math"

	"shortfall/audit/results"
	"shortfall/audit/stats"
	"shortfall/audit/stats/prop"
)

// Spread copies a mean with its interval out of an estimate.
func Spread(e stats.Estimate) results.Spread {
	return results.Spread{Value: results.Number(e.Value), SE: results.Number(e.SE), DF: results.Number(e.DF), Low: results.Number(e.Low), High: results.Number(e.High)}
}

// Difference copies a tested difference out of an estimate.
func Difference(e stats.Estimate) results.Difference {
	return results.Difference{
		Difference: results.Number(e.Value), SE: results.Number(e.SE), DF: results.Number(e.DF), Low: results.Number(e.Low), High: results.Number(e.High),
		P: results.Number(e.P), PAdjusted: results.NotEstimable, Method: e.Method,
	}
}

// NoDifference is the difference that could not be estimated.
func NoDifference() results.Difference {
	n := results.NotEstimable
	return results.Difference{Difference: n, SE: n, DF: n, Low: n, High: n, P: n, PAdjusted: n}
}

// NoSpread is the mean that could not be estimated.
func NoSpread() results.Spread {
	n := results.NotEstimable
	return results.Spread{Value: n, SE: n, DF: n, Low: n, High: n}
}

// NoShare is a share that is not shown.
func NoShare() results.Share {
	return results.Share{Value: results.NotEstimable, Low: results.NotEstimable, High: results.NotEstimable}
}

func Warnings(ws []stats.Warning) []results.Warning {
	var out []results.Warning
	for _, w := range ws {
		out = append(out, results.Warning{ID: w.ID, Text: w.Text, Remedy: w.Remedy})
	}
	return out
}

// FewCases is the warning of a number that has no interval yet. Its text is the
// same for all such numbers, so that a page carries it once; how many cases
// there are stands beside the number.
func FewCases(need int) results.Warning { return fewOf(need, "") }

// fewOf is FewCases of a share whose base is fewer cases than stand in its row: those with
// what is named.
func fewOf(need int, what string) results.Warning {
	if what != "" {
		what = " with " + what
	}
	return results.Warning{
		ID: results.FewCases, Text: fmt.Sprintf("fewer than %d cases%s: no interval", need, what),
		Remedy: "record more cases, or read the wider cell",
	}
}

// ClusteredShare is the share of successes with its case-clustered interval;
// below the minimum of cases it has none.
func ClusteredShare(success []bool, cluster []int, s *results.Settings) results.Share {
	return ShareOfCases(prop.CountCases(success, cluster), "", s)
}

// ShareOfCases is ClusteredShare of movements that were counted case by case; base names
// what its cases have and not all of its row, "a plan larger than the tolerance".
func ShareOfCases(cases []prop.CaseCount, base string, s *results.Settings) results.Share {
	sh := NoShare()
	for _, c := range cases {
		sh.Numerator, sh.Denominator = sh.Numerator+int(c.X), sh.Denominator+int(c.N)
	}
	if len(cases) == 0 {
		return sh
	}
	sh.Value = results.Number(float64(sh.Numerator) / float64(sh.Denominator))
	if len(cases) < s.MinIntervalCases {
		sh.Warnings = []results.Warning{fewOf(s.MinIntervalCases, base)}
		return sh
	}
	p, err := prop.ProportionOfCases(cases, s.Level)
	if err != nil {
		sh.Warnings = []results.Warning{NotEstimated(err)}
		return sh
	}
	sh.Low, sh.High, sh.Method = results.Number(p.Low), results.Number(p.High), p.Method
	sh.Warnings = Warnings(p.Warnings)
	return sh
}

// WilsonShare is a share of independent cases with its Wilson interval.
func WilsonShare(x, n int, level float64) results.Share {
	sh := NoShare()
	sh.Numerator, sh.Denominator = x, n
	if n == 0 {
		return sh
	}
	e := prop.Wilson(x, n, level)
	sh.Value, sh.Low, sh.High, sh.Method = results.Number(float64(x)/float64(n)), results.Number(e.Low), results.Number(e.High), e.Method
	sh.Warnings = Warnings(e.Warnings)
	return sh
}

// NotEstimated carries an error of the statistics to the page.
func NotEstimated(err error) results.Warning {
	return results.Warning{ID: "not-estimable", Text: "not estimable: " + err.Error(), Remedy: "report this with the input that caused it"}
}

// CountRuns counts distinct clusters in a slice where equal ones are neighbours.
func CountRuns(cluster []int) int {
	n := 0
	for i, c := range cluster {
		if i == 0 || cluster[i-1] != c {
			n++
		}
	}
	return n
}

// OrMissing turns an undefined quotient into the missing number.
func OrMissing(x float64) results.Number {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return results.NotEstimable
	}
	return results.Number(x)
}
