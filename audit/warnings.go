package audit

import (
	"fmt"
	"maps"
	"slices"

	"shortfall/audit/disclose"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

func sortedKeys(m map[string]bool) []string { return slices.Sorted(maps.Keys(m)) }

// auditWarnings are those of the audit as a whole.
func auditWarnings(p *rows.Set) []results.Warning {
	out := []results.Warning{}
	warn := func(id, text, remedy string) { out = append(out, results.Warning{ID: id, Text: text, Remedy: remedy}) }
	if w := p.PeriodWarning(); w != nil {
		out = append(out, *w)
	}
	if len(p.Analysed) == 0 {
		warn("nothing-analysed", "no movement has both a meaningful plan and a measured outcome", "check the excluded movements and the settings")
	}
	if len(p.Dataset.Cases) == 0 && len(p.Cases) > 0 {
		warn("no-case-log", "there is no case log: patients who left cannot be seen", "add every started case to the log, also those not completed")
	} else if n := unloggedCases(p); n > 0 {
		warn("case-not-logged", disclose.SharedCount(&p.Settings, n, "case")+" with movements missing from the case log: analysed without covariates", "add them to the log")
	}
	if f := fitOf(p.Dataset); f.Apart() {
		text := f.String()
		if p.Settings.Shared {
			text = casebook.ApartText // its counts would tell small differences
		}
		warn(results.ListApart, text, casebook.ApartRemedy)
	}
	if n := alikeCases(p); n > 0 {
		warn("cases-alike", disclose.SharedCount(&p.Settings, n, "case")+" with movements that equal another case's in every course, tooth, axis, planned and achieved amount: counted as different patients",
			"look up whether a patient was entered under two pseudonyms; if so, take one entry out and read the files again: nothing is merged here")
	}
	if onlyCompleted(p) {
		warn("only-completed", "the case log holds completed cases only: a sample of successes", "log discontinued, switched and transferred cases too")
	}
	if len(p.Methods()) > 1 {
		warn("measured-in-several-ways", "outcomes were measured in several ways: expression is given for each apart, and styles are compared within one",
			"measure outcomes in one way, and record it for every movement")
	}
	if n, all := p.UseUnknown(); n > 0 {
		warn("use-not-recorded", fmt.Sprintf("how many of the aligners were used is not on record for %s of %s: whether they were cut short cannot be told, and they count as used in full",
			disclose.SharedCount(&p.Settings, n, "course"), wording.Of(all, "course")), "record the aligners planned and used of every course")
	}
	if n := sizeOnly(p); n > 0 {
		warn(results.SizeOnly, wording.Of(n, "analysed movement")+" recorded as a size without direction, taken as positive", "record signed amounts")
	}
	if len(p.Dataset.Repeats) == 0 {
		warn("no-repeats", "no repeated measurements: the error of the measurements is not known", "measure at least 25 movements twice")
	}
	if n := p.Dataset.RefusedAlone; n > 0 {
		warn("movements-refused", disclose.SharedCount(&p.Settings, n, "movement")+" refused in rows of spreadsheets that were kept, and counted in no row: an amount could not be read, or a plan was missing",
			"look up the cells in what ingest says of the files, correct them and read the files again")
	}
	if f := p.Flow.Rows; !f.Balanced() {
		warn("rows-do-not-reconcile", fmt.Sprintf("%d rows read, but %d accepted + %d rejected + %d blank", f.Read, f.Accepted, f.Rejected, f.Blank),
			"import the files again; if this stays, report it")
	}
	if len(p.Clinicians) > 1 {
		warn("clinicians-share-cases", "intervals allow for movements of one case being alike, not for cases of one clinician being alike",
			"read small differences with care")
	}
	return out
}

// fitOf says how the case log and the movements fit together.
func fitOf(ds *casebook.Dataset) casebook.Fit {
	logged, moved := map[casebook.CaseKey]bool{}, map[casebook.CaseKey]bool{}
	for i := range ds.Cases {
		logged[ds.Cases[i].Key()] = true
	}
	for i := range ds.Movements {
		moved[ds.Movements[i].Case] = true
	}
	return casebook.FitOf(logged, moved)
}

func unloggedCases(p *rows.Set) int {
	n := 0
	for i := range p.Cases {
		if p.Cases[i].Log == nil {
			n++
		}
	}
	return n
}

func onlyCompleted(p *rows.Set) bool {
	for i := range p.Dataset.Cases {
		if s := p.Dataset.Cases[i].Status; s != casebook.Completed && s != casebook.NoStatus {
			return false
		}
	}
	return len(p.Dataset.Cases) > 0
}

func sizeOnly(p *rows.Set) int {
	n := 0
	for i := range p.Analysed {
		if p.Analysed[i].Movement.SizeOnly {
			n++
		}
	}
	return n
}

// cautions are printed with every audit.
func cautions() []string {
	return []string{
		"A retrospective audit shows association, not cause: attachments are chosen for the hard movements, and nothing here was allocated at random.",
		"It supports, and never replaces, the judgement of a licensed clinician; local clinical-governance and data-protection rules come first.",
		"It is not a prediction for a patient and not a device for planning treatment.",
	}
}
