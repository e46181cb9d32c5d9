package audit

import (
	"fmt"
	"math"

	"shortfall/audit/results"
	"shortfall/audit/stats"
	"shortfall/audit/stats/prop"
)

// spread copies a mean with its interval out of an estimate.
func spread(e stats.Estimate) results.Spread {
	return results.Spread{Value: results.Number(e.Value), SE: results.Number(e.SE), DF: results.Number(e.DF), Low: results.Number(e.Low), High: results.Number(e.High)}
}

// difference copies a tested difference out of an estimate.
func difference(e stats.Estimate) results.Difference {
	return results.Difference{
		Difference: results.Number(e.Value), SE: results.Number(e.SE), DF: results.Number(e.DF), Low: results.Number(e.Low), High: results.Number(e.High),
		P: results.Number(e.P), PAdjusted: results.NotEstimable, Method: e.Method,
	}
}

// noDifference is the difference that could not be estimated.
func noDifference() results.Difference {
	n := results.NotEstimable
	return results.Difference{Difference: n, SE: n, DF: n, Low: n, High: n, P: n, PAdjusted: n}
}

// noSpread is the mean that could not be estimated.
func noSpread() results.Spread {
	n := results.NotEstimable
	return results.Spread{Value: n, SE: n, DF: n, Low: n, High: n}
}

// noShare is a share that is not shown.
func noShare() results.Share {
	return results.Share{Value: results.NotEstimable, Low: results.NotEstimable, High: results.NotEstimable}
}

func warnings(ws []stats.Warning) []results.Warning {
	var out []results.Warning
	for _, w := range ws {
		out = append(out, results.Warning{ID: w.ID, Text: w.Text, Remedy: w.Remedy})
	}
	return out
}

// fewCases is the warning of a number that has no interval yet. Its text is the
// same for all such numbers, so that a page carries it once; how many cases
// there are stands beside the number.
func fewCases(need int) results.Warning {
	return results.Warning{
		ID: "few-cases", Text: fmt.Sprintf("fewer than %d cases: no interval", need),
		Remedy: "record more cases, or read the wider cell",
	}
}

// tooFewShown is the warning of a cell withheld from results that leave the practice.
func tooFewShown(s *results.Settings) results.Warning {
	return results.Warning{
		ID: "withheld", Text: fmt.Sprintf("withheld: fewer than %d cases here, or a smaller cell could be worked out from it", s.MinCellCases),
		Remedy: "read the wider cell",
	}
}

// clusteredShare is the share of successes with its case-clustered interval;
// below the minimum of cases it has none.
func clusteredShare(success []bool, cluster []int, s *results.Settings) results.Share {
	sh := noShare()
	sh.Denominator = len(success)
	for _, ok := range success {
		if ok {
			sh.Numerator++
		}
	}
	if len(success) == 0 {
		return sh
	}
	sh.Value = results.Number(float64(sh.Numerator) / float64(sh.Denominator))
	if n := countRuns(cluster); n < s.MinIntervalCases {
		sh.Warnings = []results.Warning{fewCases(s.MinIntervalCases)}
		return sh
	}
	p, err := prop.ClusteredProportion(success, cluster, s.Level)
	if err != nil {
		sh.Warnings = []results.Warning{notEstimated(err)}
		return sh
	}
	sh.Low, sh.High, sh.Method = results.Number(p.Low), results.Number(p.High), p.Method
	sh.Warnings = warnings(p.Warnings)
	return sh
}

// wilsonShare is a share of independent cases with its Wilson interval.
func wilsonShare(x, n int, level float64) results.Share {
	sh := noShare()
	sh.Numerator, sh.Denominator = x, n
	if n == 0 {
		return sh
	}
	e := prop.Wilson(x, n, level)
	sh.Value, sh.Low, sh.High, sh.Method = results.Number(float64(x)/float64(n)), results.Number(e.Low), results.Number(e.High), e.Method
	sh.Warnings = warnings(e.Warnings)
	return sh
}

// notEstimated carries an error of the statistics to the page.
func notEstimated(err error) results.Warning {
	return results.Warning{ID: "not-estimable", Text: "not estimable: " + err.Error(), Remedy: "report this with the input that caused it"}
}

// countRuns counts distinct clusters in a slice where equal ones are neighbours.
func countRuns(cluster []int) int {
	n := 0
	for i, c := range cluster {
		if i == 0 || cluster[i-1] != c {
			n++
		}
	}
	return n
}

// orMissing turns an undefined quotient into the missing number.
func orMissing(x float64) results.Number {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return results.NotEstimable
	}
	return results.Number(x)
}
