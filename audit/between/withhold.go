package between

import (
	"slices"
	"strings"

	"shortfall/audit/compare"
	"shortfall/audit/disclose"
	"shortfall/audit/grid"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
)

// Withhold hides what would tell the expression of a withheld arm.
// The values behind the balance table are shares of small groups, so only
// their standardised differences leave the practice.
func Withhold(p *rows.Set, r *results.Results) {
	shown := grid.ShownCells(r.Expression)
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		hide := false
		for _, a := range c.Arms {
			by := c.By
			by.Style = a.Style
			hide = hide || !shown[by]
		}
		if !hide {
			for k := range c.Balance {
				c.Balance[k].Software, c.Balance[k].Clinician = results.NotEstimable, results.NotEstimable
			}
			withholdFewMouths(c, &p.Settings)
			withholdNames(p, c)
			continue
		}
		n := results.NotEstimable
		for k, a := range c.Arms {
			c.Arms[k] = results.Arm{Style: a.Style, MeanPlanned: n, SDPlanned: n, Expression: n, AdjustedRatio: n}
		}
		c.Unadjusted, c.Adjusted, c.Balance, c.Reading = measure.NoDifference(), measure.NoDifference(), nil, ""
		c.Overlap = results.Overlap{ShareInside: n, Enough: c.Overlap.Enough}
		c.EValue, c.Detectable, c.Power, c.MoreCases = results.EValue{Estimate: n, Limit: n}, n, n, n
		c.Equivalence = results.Equivalence{}
		// The word alone would tell the sign of a difference that is withheld.
		c.Verdict, c.BelowDetectable, c.FitStatus = results.NotComparable, false, ""
		c.Amounts = nil
		c.Readings, c.Checks, c.Missing, c.Both, c.VerdictLevel = []results.Reading{}, nil, nil, 0, n
		c.Reason, c.Because, c.Adjusters, c.NotAdjusted = results.Withheld, disclose.TooFewShown(&p.Settings).Text, []string{}, nil
		c.Warnings = []results.Warning{disclose.TooFewShown(&p.Settings)}
	}
}

// withholdNames takes out whom a check leaves out, a patient or, unless they are
// asked for, a clinician, and the cells that cannot be right, in its sentences too.
func withholdNames(p *rows.Set, c *results.Comparison) {
	hidden := !p.Settings.WithClinicians
	for k := range c.Checks {
		switch c.Checks[k].ID {
		case compare.WithoutClass: // names teeth
		case compare.WithoutClinician:
			if hidden {
				c.Checks[k].Who = ""
			}
		default:
			c.Checks[k].Who = ""
		}
	}
	if hidden {
		c.Balance = slices.DeleteFunc(c.Balance, func(b results.Balance) bool { return strings.HasPrefix(b.Covariate, ofClinician) })
	}
	if c.Verdict != results.NotComparable {
		c.Because = because(p, c)
		c.Reading = reading(p, c)
	}
}

// withholdFewMouths keeps back how many cases carry both styles where they are
// few, and the difference within them, which has no verdict there.
func withholdFewMouths(c *results.Comparison, s *results.Settings) {
	if c.Both == 0 || c.Both >= s.MinCellCases {
		return
	}
	c.Both, c.Adjusted, c.Amounts = 0, measure.NoDifference(), nil
	for k := range c.Readings {
		if r := &c.Readings[k]; r.ID == results.SameMouthReading {
			r.Contributing, r.Movements, r.Difference, r.InUnit = 0, 0, measure.NoDifference(), measure.NoSpread()
		}
	}
}
