package verb

import (
	"context"
	"fmt"
	"text/tabwriter"

	"shortfall/audit/grid"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// listTotals prints a first answer from sums that the database makes itself, so that
// the movements stay where they are.
func (a *app) listTotals(ctx context.Context, db store.Store) error {
	s := results.DefaultSettings()
	of := grid.SumsOf(&s)
	of.AllTeeth = true
	sums, err := db.Sums(ctx, of)
	if err != nil {
		return err
	}
	w := tabwriter.NewWriter(a.out, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "direction\tcourse\tattachment\tcases\tmovements\texpressed\t%s\tmedian\toutside tolerance\n", wording.CI(s.Level))
	listed := 0
	for _, c := range grid.OfSums(sums, &s) {
		if c.By.Direction == casebook.NoDirection {
			continue
		}
		listed++
		fmt.Fprintf(w, "%s\t%s\t%s\t%d\t%d\t%s\t%s\t%s\t%s\n", wording.Names{}.Movement(c.By), wording.Course(c.By.Course), wording.Style(c.By.Style), c.Cases, c.Movements,
			wording.Percent(c.Estimate), wording.Limits(c.Low, c.High), wording.Percent(c.MedianRatio), wording.Share(c.OutsideTolerance.Numerator, c.OutsideTolerance.Denominator))
	}
	if listed == 0 {
		fmt.Fprintln(a.out, "no movement with a plan of meaningful size and a measured outcome")
		return nil
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if !a.quiet {
		fmt.Fprintf(a.summary, "Over all teeth, usual settings. Styles are not compared here: who got which was chosen, and \"shortfall audit\" adjusts for it.\n")
	}
	return nil
}
