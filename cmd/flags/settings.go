package flags

import (
	"errors"
	"time"

	"github.com/spf13/pflag"

	"shortfall/audit/results"
	"shortfall/cmd/exit"
	"shortfall/ingest/casebook"
)

// The words of the notations of teeth, and what each stands for.
var (
	NotationWords  = []string{"fdi", "universal", "palmer"}
	NotationValues = []casebook.Notation{casebook.FDI, casebook.Universal, casebook.Palmer}
)

// Settings binds the settings of an audit to flags.
func Settings(f *pflag.FlagSet, s *results.Settings) {
	f.StringVar(&s.Title, "title", s.Title, "title of the report")
	f.StringVar(&s.Date, "date", s.Date, "date printed, `YYYY-MM-DD`; default: month of the newest record")
	f.Var(monthOf(&s.Period.From, casebook.ParseMonth), "from", "only courses that ended in this `YYYY-MM` or later")
	f.Var(monthOf(&s.Period.To, casebook.ParseMonth), "to", "only courses that ended by this `YYYY-MM`; later months are not looked at")
	f.Var(monthOf(&s.Period.Quarter, casebook.ParseQuarter), "quarter", "set the courses that ended in this `quarter`, such as 2026Q3, against all that ended before")
	f.StringVar(&s.Period.Clinician, "clinician", "", "only the cases of the clinician of this `code`, with the practice before it where several use it")
	f.Var(Choose(&s.Notation, NotationWords, NotationValues, "fdi"), "teeth", "notation in which teeth are shown")
	f.Var((*number)(&s.Level), "level", "confidence level of the intervals")
	f.Var((*number)(&s.ToleranceMM), "tolerance-mm", "largest acceptable shortfall or overshoot, `mm`")
	f.Var((*number)(&s.ToleranceDeg), "tolerance-deg", "the same for angles, `degrees`")
	f.Var((*number)(&s.SmallestMM), "smallest-mm", "plans below this stay out of ratios, `mm`")
	f.Var((*number)(&s.SmallestDeg), "smallest-deg", "the same for angles, `degrees`")
	f.Var(primaryFlag{}, "primary", "declared in the criteria file, with its date")
	_ = f.MarkHidden("primary") // of a flag defined in the line above
	f.Var(Choose(&s.Multiplicity, []string{"benjamini-hochberg", "holm"}, []string{"benjamini-hochberg", "holm"}, s.Multiplicity),
		"multiplicity", "correction of the grid of comparisons")
	roots := []string{results.WeightedRows, results.EqualVariances}
	f.Var(Choose(&s.CR2Root, roots, roots, s.CR2Root), "cr2-root", "rows of equal variance behind the CR2 variance of a comparison")
	f.BoolVar(&s.Shared, "shared", s.Shared, "hide small cells and round, for a report that leaves the practice; share one a period, since two can be subtracted")
	f.BoolVar(&s.WithClinicians, "with-clinicians", s.WithClinicians, "with --shared, show the codes of clinicians and of who owns an action")
	f.Var((*number)(&s.EquivalencePoints), "equivalence-points", "styles this close are alike, `points` of expression")
	f.Var((*number)(&s.WorthPoints), "worth-points", "difference worth knowing, for power and more cases, `points`; default: that of --equivalence-points")
	f.Var((*number)(&s.MaxMissing), "max-missing", "no verdict where more outcomes are missing in a style, `share`")
	f.Var((*number)(&s.MinAlignersUsed), "min-aligners-used", "a course of fewer of its aligners was cut short, `share`")
	f.IntVar(&s.MinCellCases, "min-cases", s.MinCellCases, "with --shared, a cell of fewer cases is not shown")
	f.IntVar(&s.MinIntervalCases, "min-cases-interval", s.MinIntervalCases, "a cell of fewer cases has no interval")
	conflicts := []string{results.LargerCounts, results.RefuseConflict}
	f.Var(Choose(&s.Questions.RefinementConflict, conflicts, conflicts, s.Questions.RefinementConflict),
		"refinement-conflict", "where a case states another number of refinements than its courses show")
	f.IntVar(&s.Questions.HorizonMonths, "horizon", s.Questions.HorizonMonths, "`months` from the start by which cases refined are compared")
	f.IntVar(&s.MinBothCases, "min-cases-both", s.MinBothCases, "styles are compared where this many cases carry both")
}

// CheckSettings turns a setting that makes no sense into an error of usage.
func CheckSettings(s results.Settings) error {
	if s.Date != "" {
		if _, err := time.Parse(time.DateOnly, s.Date); err != nil {
			return exit.Usage("--date: not a date: expected YYYY-MM-DD")
		}
	}
	if err := s.Check(); err != nil {
		return exit.Usage("%v", err)
	}
	return nil
}

// primaryFlag is --primary, which says where a comparison is declared instead.
type primaryFlag struct{}

func (primaryFlag) String() string { return "" }
func (primaryFlag) Type() string   { return "movement/teeth/course" }

func (primaryFlag) Set(string) error {
	return errors.New("a comparison is declared with its date: write it under [primary] into the criteria file (shortfall template --of criteria shows how) and give that with --criteria")
}
