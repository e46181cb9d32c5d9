package values

import (
	"shortfall/ingest/casebook"
	"shortfall/ingest/lexicon"
)

// byConcept reads a word in the languages of the lexicon: every word of the text
// must be known, and one of the concepts, and no other, must be among them.
func byConcept[E any](s string, words map[lexicon.Concept]E, beside ...lexicon.Concept) (E, bool) {
	var out E
	tokens := lexicon.Tokens(s)
	if len(s) > 60 || len(lexicon.Unknown(tokens)) > 0 {
		return out, false
	}
	set := lexicon.Of(tokens)
	for _, c := range beside {
		delete(set, c)
	}
	if len(set) != 1 {
		return out, false
	}
	// any order: there is one
	for c := range set {
		v, ok := words[c]
		return v, ok
	}
	return out, false
}

var (
	shapeConcepts = map[lexicon.Concept]casebook.Shape{
		lexicon.Rectangle: casebook.Block, lexicon.Bevel: casebook.Wedge, lexicon.Ellipse: casebook.Oval, lexicon.Dome: casebook.Dome,
	}
	orientationConcepts = map[lexicon.Concept]casebook.Orientation{
		lexicon.VerticalWord: casebook.VerticalFace, lexicon.HorizontalWord: casebook.HorizontalFace, lexicon.ObliqueWord: casebook.ObliqueFace,
	}
	stagingConcepts = map[lexicon.Concept]casebook.Staging{lexicon.Together: casebook.Combined, lexicon.InTurn: casebook.Sequenced}
	statusConcepts  = map[lexicon.Concept]casebook.Status{
		lexicon.Completed: casebook.Completed, lexicon.Discontinued: casebook.Discontinued, lexicon.Switched: casebook.Switched,
		lexicon.Transferred: casebook.Transferred, lexicon.Ongoing: casebook.UnderTreatment,
	}
	wearConcepts  = map[lexicon.Concept]casebook.Wear{lexicon.Good: casebook.WearGood, lexicon.Fair: casebook.WearFair, lexicon.Poor: casebook.WearPoor}
	unitConcepts  = map[lexicon.Concept]casebook.Unit{lexicon.Millimetre: casebook.Millimetre, lexicon.Degree: casebook.Degree}
	yesNoConcepts = map[lexicon.Concept]bool{lexicon.Yes: true, lexicon.No: false}
)

// styleByConcept reads who designed an attachment. Words of both the software
// and the clinician in one cell are no style: a suggestion that was changed, or
// a choice of either.
func styleByConcept(s string) (casebook.Style, bool) {
	tokens := lexicon.Tokens(s)
	if len(s) > 60 || len(lexicon.Unknown(tokens)) > 0 {
		return casebook.NoStyle, false
	}
	set := lexicon.Of(tokens)
	for _, c := range []lexicon.Concept{
		lexicon.Attachment, lexicon.Style, lexicon.By, lexicon.Rectangle, lexicon.Bevel, lexicon.Ellipse, lexicon.Dome,
		lexicon.VerticalWord, lexicon.HorizontalWord, lexicon.ObliqueWord,
	} {
		delete(set, c)
	}
	none := set[lexicon.Nothing] || set[lexicon.No]
	clinician := set[lexicon.Clinician] || set[lexicon.Own] || set[lexicon.Changed]
	software := set[lexicon.Software]
	for _, c := range []lexicon.Concept{lexicon.Nothing, lexicon.No, lexicon.Clinician, lexicon.Own, lexicon.Changed, lexicon.Software} {
		delete(set, c)
	}
	switch {
	case len(set) > 0:
	case none && !clinician && !software:
		return casebook.StyleNone, true
	case clinician && !software && !none:
		return casebook.ClinicianDesigned, true
	case software && !clinician && !none:
		return casebook.SoftwareSuggested, true
	}
	return casebook.NoStyle, false
}
