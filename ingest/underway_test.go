package ingest

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "shortfall/ingest/casebook"
	"shortfall/ingest/question"
)

const openCases = "Pt code,Started,Finished,Status,Refinements\n" +
	"M01,09/2025,,,0\nM02,10/2025,,,2\nM03,07/2024,03/2025,completed,0\nM04,02/2024,03/2025,completed,1\n" +
	"M05,06/2025,n/a,,1\nM06,05/2025,01/2026,,1\nM07,08/2025,,transferred,0\n"

// A list of finished and unfinished cases has nothing to write of how an unfinished one
// ended: three blanks without an end are asked about once, and the one beside an end is
// refused whatever the answer.
func TestBlankStatusWithoutAnEndIsAsked(t *testing.T) {
	_, err := read(t, openCases, Options{})
	require.Equal(t, []string{"blank status"}, asked(t, err))
	q := openOf(err)[0]
	assert.Equal(t, "the status is blank in 3 rows, which have no end either: are these cases still under way?", q.Text)
	assert.Equal(t, []string{"row 2: no status, no end, start 09/2025", "row 3: no status, no end, start 10/2025", "row 6: no status, no end, start 06/2025"}, q.Examples)
	assert.Equal(t, "D2", q.Cell)
	assert.Empty(t, q.Proposed)
	for answer, want := range map[string]Status{"under way": UnderTreatment, "not recorded": NoStatus} {
		b := mustRead(t, openCases, Options{Answers: question.Answers{"blank status": answer}})
		got := map[string]Status{}
		for _, c := range recordsOf(b).Cases {
			got[c.ID] = c.Status
		}
		assert.Equal(t, map[string]Status{"M01": want, "M02": want, "M03": Completed, "M04": Completed, "M05": want, "M07": Transferred}, got)
		require.Len(t, b.Rejected, 1)
		assert.Equal(t, "value-missing", b.Rejected[0].Reasons[0].Rule)
		assert.Equal(t, "D7", b.Rejected[0].Reasons[0].Cell)
	}
}

// Without a column of ends nothing shows that such a case has none, and it is said so.
func TestBlankStatusWithoutAColumnOfEnds(t *testing.T) {
	const list = "case,start month,status,wear\nK1,2025-01,completed,good\nK2,2025-02,,good\nK3,2025-03,discontinued,good\n"
	_, err := read(t, list, Options{})
	require.Equal(t, []string{"blank status"}, asked(t, err))
	assert.Contains(t, openOf(err)[0].Text, "1 row, of which no end is given")
}

// A column that says nothing of any case is no record of how they stand: each row is refused.
func TestStatusBlankThroughout(t *testing.T) {
	_, err := read(t, "case,start month,status,wear\nK1,2025-01,,good\nK2,2025-02,,good\n", Options{})
	assert.Empty(t, openOf(err))
	assert.Contains(t, listed(Problems(err)), "value-missing@test!C2")
}

// The answer is kept for the next list with the same headers.
func TestBlankStatusIsRemembered(t *testing.T) {
	m := &remembers{kept: map[string]question.Answers{}}
	_, err := read(t, openCases, Options{Memory: m, Answers: question.Answers{"blank status": "under way"}})
	require.NoError(t, err)
	b, err := read(t, openCases+"M08,01/2026,,,0\n", Options{Memory: m})
	require.NoError(t, err)
	assert.Equal(t, UnderTreatment, recordsOf(b).Cases[len(b.Cases)-1].Status)
}

// Dates with the month first are dates as those with the day first are: none is an identifier in
// a column of ends.
func TestEndsWithTheMonthFirst(t *testing.T) {
	text := "case,start,finish,status,course,tooth,movement,planned,achieved,attachment\n" +
		"K1,01/22/2024,02/14/2025,completed,1,43,extrusion,1,0.7,none\nK2,03/25/2024,05/30/2025,completed,1,33,intrusion,1,0.7,none\n"
	b := mustRead(t, text, Options{})
	assert.Equal(t, []string{"2025-02", "2025-05"}, []string{b.Cases[0].Value.End.String(), b.Cases[1].Value.End.String()})
}
