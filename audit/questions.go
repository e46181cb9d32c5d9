package audit

import (
	"shortfall/audit/ask"
	"shortfall/audit/ask/attachment"
	"shortfall/audit/ask/bounds"
	"shortfall/audit/ask/byplan"
	"shortfall/audit/ask/casemix"
	"shortfall/audit/ask/comparison"
	"shortfall/audit/ask/cycle"
	"shortfall/audit/ask/doubtful"
	"shortfall/audit/ask/expression"
	"shortfall/audit/ask/flow"
	"shortfall/audit/ask/followup"
	"shortfall/audit/ask/funnels"
	"shortfall/audit/ask/losses"
	"shortfall/audit/ask/measuredby"
	"shortfall/audit/ask/methoderror"
	"shortfall/audit/ask/orientation"
	"shortfall/audit/ask/outlook"
	"shortfall/audit/ask/quarter"
	"shortfall/audit/ask/refinements"
	"shortfall/audit/ask/replanned"
	"shortfall/audit/ask/shape"
	"shortfall/audit/ask/since"
	"shortfall/audit/ask/staging"
	"shortfall/audit/ask/stated"
	"shortfall/audit/ask/switches"
	"shortfall/audit/ask/unplanned"
)

// Questions are all that is asked, in order of reading; a question that withholds by
// what another shows comes after it.
func Questions() []ask.Question { return questions(nil) }

// questions with an earlier audit to compare with; nil: none.
func questions(earlier *since.Earlier) []ask.Question {
	return []ask.Question{
		flow.Question(),
		expression.Question(),
		byplan.Question(),
		comparison.Question(),
		casemix.Question(),
		switches.Question(),
		staging.Question(),
		orientation.Question(),
		attachment.Question(),
		shape.Question(),
		refinements.Question(),
		followup.Question(),
		replanned.Question(),
		losses.Question(),
		quarter.Question(),
		since.Question(earlier),
		cycle.Question(),
		funnels.Question(),
		outlook.Question(),
		stated.Question(),
		measuredby.Question(),
		methoderror.Question(),
		doubtful.Question(),
		bounds.Question(),
		unplanned.Question(),
	}
}

// byReads parts the questions that read the rows alone from those that read what
// others print.
func byReads(qs []ask.Question) (first, then []ask.Question) {
	for _, q := range qs {
		if q.Reads {
			then = append(then, q)
		} else {
			first = append(first, q)
		}
	}
	return first, then
}
