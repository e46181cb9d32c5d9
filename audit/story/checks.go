package story

import (
	"slices"

	"shortfall/audit/compare"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

// survived says which checks every clear difference passed.
func (t *teller) survived() string {
	var names []string
	for _, k := range t.clear[0].Checks {
		all := checkWords[k.ID] != ""
		for _, c := range t.clear {
			all = all && passed(c, k.ID)
		}
		if all {
			names = append(names, checkWords[k.ID])
		}
	}
	if len(names) == 0 {
		return ""
	}
	subject := "The"
	if len(t.clear) > 1 {
		subject = "Each"
	}
	out := subject + " difference held up " + joined(names) + "."
	if n := t.r.Scope.Clinicians; n < fewClinicians && slices.Contains(names, checkWords[compare.WithoutClinician]) {
		out += " " + wording.Capital(wording.Of(n, "clinician")) + are(n) + " too few to say anything about clinicians."
	}
	return out
}

func are(n int) string {
	if n == 1 {
		return " is"
	}
	return " are"
}

// fewClinicians: below ten nothing is said of clinicians (our convention).
const fewClinicians = 10

func passed(c *results.Comparison, id string) bool {
	for _, k := range c.Checks {
		if k.ID == id {
			return k.Applies && k.Decides && k.Holds
		}
	}
	return false
}

// checkWords say in plain English under what a finding stayed what it is.
var checkWords = map[string]string{
	compare.WithoutDoubted: "without amounts that cannot be right", compare.WithoutPatient: "without the patient who matters most to it", compare.Winsorised: "with extreme values toned down", compare.MissingAlike: "with missing outcomes counted as no difference",
	compare.WithoutClinician: "without any one clinician", compare.WithoutClass: "without any one kind of tooth", compare.FullyAdjusted: "with what the adjustment had left out added",
}

// notSettled says in plain English which check a difference beyond chance failed.
func notSettled(c *results.Comparison) string {
	switch compare.Reason(c.Reason) {
	case compare.OnePatient:
		return "One patient decides: without that patient it is within chance."
	case compare.OutlyingValues:
		return "A few extreme values decide: with them toned down it is within chance."
	case compare.MissingOutcomes:
		return "Missing outcomes could decide: counted as no difference, they bring it within chance."
	case compare.OneClinician:
		return "One clinician decides: without that clinician's cases the difference goes, or turns round."
	case compare.LeftUnadjusted:
		return "What could not be adjusted for decides: with " + joined(c.NotAdjusted) + " it is within chance."
	case compare.ClassesDiffer:
		return "Kinds of tooth differ, or one kind decides: one number for all teeth would mislead, and the tables give each kind."
	}
	return c.Because
}
