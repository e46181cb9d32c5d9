package story

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// dots sets every direction on one scale: clear differences first, then those
// without one, then those that cannot be compared; each in print order.
func (t *teller) dots() results.FrontDots {
	d := results.FrontDots{}
	group := func(title string, rows []results.FrontRow) {
		if len(rows) > 0 {
			d.Groups = append(d.Groups, results.FrontGroup{Title: title, Rows: rows})
		}
	}
	group("Clear difference", rowsOf(t.clear, t.row))
	group(t.openTitle(), rowsOf(t.open, t.row))
	group(sameReason(t.apartRows()))
	if len(d.Groups) == 0 {
		return d
	}
	d.Title, d.Sub = t.dotsWords()
	return d
}

// sameReason says once, in the title, what holds for every row.
func sameReason(rows []results.FrontRow) (string, []results.FrontRow) {
	title := "Styles cannot be compared: mean of all teeth"
	for _, r := range rows {
		if r.Reason != rows[0].Reason {
			return title, rows
		}
	}
	if len(rows) < 2 {
		return title, rows
	}
	title = "Styles cannot be compared (" + rows[0].Reason + "): mean of all teeth"
	for i := range rows {
		rows[i].Reason = ""
	}
	return title, rows
}

func (t *teller) dotsWords() (title, sub string) {
	told := len(t.clear) + len(t.open)
	sub = "Achieved, % of planned, first set of aligners"
	switch {
	case told == 0:
		return "How much of the plan was achieved, by direction", sub
	case len(t.clear) == 0:
		title = fmt.Sprintf("The styles could not be told apart in any of %s", directionsCount(told))
	case len(t.clear) == told:
		title = fmt.Sprintf("All %s that can be compared differ clearly", directionsCount(told))
	default:
		title = fmt.Sprintf("%d of %s differ clearly", len(t.clear), directionsCount(told))
	}
	return title, sub + "; pairs are drawn about their common mean"
}

func rowsOf(cs []*results.Comparison, row func(*results.Comparison) results.FrontRow) (out []results.FrontRow) {
	for _, c := range cs {
		out = append(out, row(c))
	}
	return out
}

// openTitle says what could have been missed.
func (t *teller) openTitle() string {
	s := "No clear difference"
	if m := t.missed(true); m != "" {
		s += "; " + m
	}
	return s
}

// missed is the difference that the open directions could typically have hidden.
func (t *teller) missed(short bool) string {
	var ds []float64
	for _, c := range t.open {
		if c.Detectable.OK() {
			ds = append(ds, float64(c.Detectable))
		}
	}
	if len(ds) == 0 {
		return ""
	}
	slices.Sort(ds)
	points := wording.Of(int(math.Round(100*ds[len(ds)/2])), "point")
	if short {
		return "one under about " + points + " could have been missed"
	}
	return "A difference under about " + points + " could have been missed."
}

// difference is what a comparison is judged on.
func difference(c *results.Comparison) results.Difference { return c.Adjusted }

// row places a pair about the mean of both styles.
func (t *teller) row(c *results.Comparison) results.FrontRow {
	d := difference(c)
	mean, planned := bothArms(c)
	half := d.Difference / 2
	return results.FrontRow{
		By: c.By, Name: rowName(c.By.Direction), Clear: c.Verdict == results.Higher || c.Verdict == results.Lower,
		Mean: mean, Software: mean - half, Clinician: mean + half,
		Difference: d.Difference, Low: d.Low, High: d.High, Amount: d.Difference * planned,
	}
}

// bothArms is the expression of the movements of both styles together, and
// their mean plan.
func bothArms(c *results.Comparison) (expression, planned results.Number) {
	var got, plan, n float64
	for _, a := range c.Arms {
		if a.Movements == 0 || !a.MeanPlanned.OK() || !a.Expression.OK() {
			continue
		}
		total := float64(a.MeanPlanned) * float64(a.Movements)
		plan += total
		got += total * float64(a.Expression)
		n += float64(a.Movements)
	}
	if plan == 0 {
		return results.Number(math.NaN()), results.Number(math.NaN())
	}
	return results.Number(got / plan), results.Number(plan / n)
}

// apartRows are the directions without a comparison that have a mean to show.
func (t *teller) apartRows() (out []results.FrontRow) {
	reason := map[casebook.Direction]string{}
	for _, c := range t.apart {
		reason[c.By.Direction] = t.shortReason(c)
	}
	judged := map[casebook.Direction]bool{}
	for _, c := range append(slices.Clone(t.clear), t.open...) {
		judged[c.By.Direction] = true
	}
	nan := results.Number(math.NaN())
	for _, d := range casebook.Directions() {
		cell, ok := t.cells[wholeDirection(d)]
		if judged[d] || !ok {
			continue
		}
		r := results.FrontRow{By: wholeDirection(d), Name: rowName(d), Mean: nan, Software: nan, Clinician: nan, Difference: nan, Low: nan, High: nan, Amount: nan, Reason: reason[d]}
		if !cell.Suppressed {
			r.Mean = cell.Estimate
		}
		if cell.Suppressed {
			r.Reason = "too few cases to show"
		}
		if r.Reason == "" {
			r.Reason = t.oneSided()
		}
		out = append(out, r)
	}
	return out
}

// oneSided says which style is not on record at all.
func (t *teller) oneSided() string {
	switch software, clinician := t.styled(); {
	case software == 0 && clinician == 0:
		return "no style on record"
	case clinician == 0:
		return "none clinician-designed"
	case software == 0:
		return "none software-suggested"
	}
	return "one style only, or none"
}

// shortReason says in a few words why two styles are not compared.
func (t *teller) shortReason(c *results.Comparison) string {
	var cl, sw results.Arm
	for _, a := range c.Arms {
		switch a.Style {
		case casebook.ClinicianDesigned:
			cl = a
		case casebook.SoftwareSuggested:
			sw = a
		}
	}
	switch {
	case t.s.Shared && (cl.Movements == 0 || sw.Movements == 0):
		return "too few to show"
	case cl.Movements == 0 && sw.Movements == 0:
		return "neither style on record"
	case cl.Movements == 0:
		return "none clinician-designed"
	case sw.Movements == 0:
		return "none software-suggested"
	case !c.Overlap.Enough && c.Overlap.ShareInside.OK():
		return "plans of the two styles hardly overlap"
	}
	return fmt.Sprintf("too few cases: %d and %d", sw.Cases, cl.Cases)
}
