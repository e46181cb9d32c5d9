package rules

import (
	"slices"

	"shortfall/ingest/casebook"
)

// Rules about what identifies a person. Their problems name a place and never
// a value.
const (
	IdentifierName    ID = "identifier-name"
	IdentifierDate    ID = "identifier-date"
	IdentifierContact ID = "identifier-contact"
	IdentifierNumber  ID = "identifier-number"
	IdentifierImage   ID = "identifier-image"
	IdentifierText    ID = "identifier-text"
)

// Identifies is true of the id of a rule about what identifies a person.
func Identifies(id string) bool {
	return slices.ContainsFunc(privacyRules, func(r Rule) bool { return string(r.ID) == id })
}

const pseudonymise = "Remove it, or make an anonymised copy with \"shortfall pseudonymise\"; " +
	"where you are sure that it identifies nobody, ingest with --allow-identifiers"

var privacyRules = []Rule{
	{
		ID: IdentifierName, Severity: casebook.Error, Title: "Looks like a person's name",
		Text: "A header for names, a title followed by a name, two capitalised words that are no words of the trade, a common given name, " +
			"or a word where a code belongs. Also the author in the document properties. The value is never printed or kept.",
		Remedy: pseudonymise,
	},
	{
		ID: IdentifierDate, Severity: casebook.Error, Title: "Looks like a date of birth or another exact date",
		Text: "A header for dates of birth, a whole date where no month of treatment belongs, a date too early for one, or an age above 89. " +
			"Months of treatment are enough for the audit.",
		Remedy: pseudonymise,
	},
	{
		ID: IdentifierContact, Severity: casebook.Error, Title: "Looks like contact details",
		Text:   "A postal, electronic mail, web or network address, or a telephone or fax number, or a header for one.",
		Remedy: pseudonymise,
	},
	{
		ID: IdentifierNumber, Severity: casebook.Error, Title: "Looks like a record, insurance or identity number",
		Text: "A header for such a number, a number in the form of one (seven digits or more, or the form of a national number), " +
			"or one with its label. Use a pseudonym for the case.",
		Remedy: pseudonymise,
	},
	{
		ID: IdentifierImage, Severity: casebook.Error, Title: "Names a photograph, scan or other biometric record",
		Text:   "A file name of a picture, scan or film, or a header for photographs, fingerprints or voice.",
		Remedy: pseudonymise,
	},
	{
		ID: IdentifierText, Severity: casebook.Error, Title: "Free text",
		Text: "A column for notes, or a cell of many words. Free text may hold anything that identifies a person, " +
			"and every cell of an accepted row is kept as its original.",
		Remedy: pseudonymise,
	},
}
