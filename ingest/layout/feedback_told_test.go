package layout_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
	"shortfall/ingest/feedback"
	"shortfall/ingest/rules"
)

// A word that what was assumed of a column names with its meaning is not told again; one
// that is told nowhere else is.
func TestAWordIsToldOnce(t *testing.T) {
	read := func(said, means string) casebook.Problem {
		p := rules.New(rules.WordsRead, "%q is kept beside %s", said, means)
		p.Word = casebook.WordRead{Column: "attachment style", Said: said, Means: means, Rows: 2}
		return p
	}
	assumed := rules.New(rules.LayoutAssumed, `"own" is read as clinician-designed (2 times)`)
	var told []string
	for _, g := range feedback.Groups([]casebook.Problem{assumed, read("own", "clinician-designed"), read("own", "software-suggested"), read("ours", "clinician-designed")}) {
		told = append(told, g.Message)
	}
	assert.ElementsMatch(t, []string{assumed.Message, `"own" is kept beside software-suggested`, `"ours" is kept beside clinician-designed`}, told)
}
