package confound

import (
	"fmt"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/round"
)

// OverlapSettings decide when two arms are too unlike to compare.
type OverlapSettings struct {
	LeastShare float64 // of each arm inside the common range
	LeastCases int     // of each arm inside the common range
}

// DefaultOverlap asks for half of each arm and five cases of each inside the
// common range: a convention of this package, no source.
func DefaultOverlap() OverlapSettings { return OverlapSettings{LeastShare: 0.5, LeastCases: 5} }

// OverlapResult says whether two arms cover a common range of a covariate.
type OverlapResult struct {
	Low, High    float64 // common range; NaN where there is none
	ShareInside  float64 // of all observations
	ShareA       float64 // of arm a
	ShareB       float64
	CasesA       int // cases with an observation inside
	CasesB       int
	Enough       bool
	Reason       string // empty where enough
	Observations int
	Method       string
	Warnings     []stats.Warning // one, with the remedy, where not enough
}

// Overlap looks at the common range of the planned amounts (or any covariate)
// of two arms: from the larger of the two lower to the smaller of the two
// upper ends, an end being the 2.5 % or 97.5 % quantile of type 7, so that one
// stray plan does not make arms comparable. Positivity is what a comparison
// adjusted for the covariate rests on (Petersen et al. 2012, Stat Methods Med
// Res 21:31-54). Where Enough is false the arms are not comparable.
func Overlap(a, b []float64, casesA, casesB []int, s OverlapSettings) (OverlapResult, error) {
	if !(s.LeastShare > 0 && s.LeastShare <= 1) || s.LeastCases < 1 {
		return OverlapResult{}, fmt.Errorf("stats: overlap share %v and cases %d: expected above 0", s.LeastShare, s.LeastCases)
	}
	if err := bycase.CheckClustered(len(a), casesA, a); err != nil {
		return OverlapResult{}, fmt.Errorf("arm a: %w", err)
	}
	if err := bycase.CheckClustered(len(b), casesB, b); err != nil {
		return OverlapResult{}, fmt.Errorf("arm b: %w", err)
	}
	qa, qb := stats.Quantiles(a, 0.025, 0.975), stats.Quantiles(b, 0.025, 0.975)
	r := OverlapResult{
		Low: max(qa[0], qb[0]), High: min(qa[1], qb[1]), Observations: len(a) + len(b),
		Method: fmt.Sprintf("common range of the middle 95 %% of each arm; at least %s %% and %d cases of each inside", round.Text(100*s.LeastShare, 0), s.LeastCases),
	}
	insideA, nA := r.inside(a, casesA)
	insideB, nB := r.inside(b, casesB)
	r.CasesA, r.CasesB = nA, nB
	r.ShareA, r.ShareB = float64(insideA)/float64(len(a)), float64(insideB)/float64(len(b))
	r.ShareInside = float64(insideA+insideB) / float64(r.Observations)
	switch {
	case len(a) == 0 || len(b) == 0:
		r.Reason = "one arm is empty"
	case r.Low > r.High:
		r.Reason = "the arms have no range in common"
	case min(r.ShareA, r.ShareB) < s.LeastShare:
		r.Reason = fmt.Sprintf("only %s %% of an arm lies in the common range (least %s %%)", round.Text(100*min(r.ShareA, r.ShareB), 0), round.Text(100*s.LeastShare, 0))
	case min(nA, nB) < s.LeastCases:
		r.Reason = fmt.Sprintf("only %d cases of an arm lie in the common range (least %d)", min(nA, nB), s.LeastCases)
	default:
		r.Enough = true
		return r, nil
	}
	r.Warnings = []stats.Warning{{ID: "no-overlap", Text: r.Reason + ": the arms are not comparable", Remedy: "compare plans of like size, or record more of them in both arms"}}
	return r, nil
}

// inside counts observations and cases inside the range.
func (r OverlapResult) inside(x []float64, cluster []int) (rows, cases int) {
	var seen map[int]bool // where cases do not come sorted
	if !slices.IsSorted(cluster) {
		seen = map[int]bool{}
	}
	last := -1 // of the case before
	for i, v := range x {
		if v < r.Low || v > r.High {
			continue
		}
		rows++
		switch {
		case cluster == nil:
			cases++
		case seen != nil:
			seen[cluster[i]] = true
			cases = len(seen)
		case last < 0 || cluster[i] != cluster[last]:
			cases, last = cases+1, i
		}
	}
	return rows, cases
}
