package layout

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/mapping"
	"shortfall/ingest/sheet"
)

func open(t *testing.T, name, text string) *sheet.Book {
	b, err := sheet.Decode(t.Context(), name, []byte(text), sheet.Limits{})
	require.NoError(t, err)
	return b
}

const inFinnish = "Tapaus;Hammas;Akseli;Suunniteltu;Toteutunut\nA1;43;rotation;-10;-8\nA1;44;torque;5;4\nA2;45;tip;5;4\n"

// A sheet whose headers are in another language is written down for a person to
// declare: with the comment signs taken off and the fields filled in it is read.
func TestProposalForAnUnknownSheetCanBeEdited(t *testing.T) {
	text := string(Propose(open(t, "own.csv", inFinnish)).Text())
	m, err := mapping.Parse("m.toml", []byte(text))
	require.NoError(t, err)
	assert.Empty(t, Tables(open(t, "own.csv", inFinnish), m).Tables, "left as it is, the sheet is skipped")
	at := strings.Index(text, "skip = true")
	require.Positive(t, at)
	edited := text[:at]
	for line := range strings.Lines(text[at:]) {
		if rest, ok := strings.CutPrefix(line, "# "); ok && (strings.Contains(rest, " = ") || strings.HasPrefix(rest, "[")) {
			edited += rest
		}
	}
	for header, field := range map[string]string{"Tapaus": "case", "Hammas": "tooth", "Akseli": "axis", "Suunniteltu": "planned", "Toteutunut": "achieved"} {
		assert.Contains(t, edited, `"`+header+`" = "ignore"`)
		edited = strings.Replace(edited, `"`+header+`" = "ignore"`, `"`+header+`" = "`+field+`"`, 1)
	}
	m, err = mapping.Parse("m.toml", []byte(edited))
	require.NoError(t, err, edited)
	found := Tables(open(t, "own.csv", inFinnish), m)
	require.Len(t, found.Tables, 1)
	for _, p := range found.Problems {
		assert.Less(t, p.Severity, casebook.Error, "%v", p)
	}
}

// A mapping file is kept and passed on: names of persons do not get into it.
func TestProposalHoldsNoNameOfAPerson(t *testing.T) {
	text := string(Propose(open(t, "Anna Miller.csv", "case,course,tooth,axis,planned,achieved\nA1,1,43,rotation,-10,-8\n")).Text())
	assert.NotContains(t, text, "Miller")
	assert.Contains(t, text, `name = "*"`)
	_, err := mapping.Parse("m.toml", []byte(text))
	require.NoError(t, err)
}
