package compare

// FewWords says in a few words which check a difference beyond chance failed; it is empty
// for any other reason.
func (r Reason) FewWords() string { return fewWords[r] }

var fewWords = map[Reason]string{
	OnePatient: "one patient decides", OutlyingValues: "a few extreme values decide", MissingOutcomes: "missing outcomes could decide",
	ManyMissing: "many outcomes are missing", OneClinician: "one clinician decides", LeftUnadjusted: "what could not be adjusted for decides",
	ClassesDiffer: "kinds of tooth differ, or one decides", DoubtfulAmounts: "amounts that cannot be right decide",
}
