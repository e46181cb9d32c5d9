package main

import (
	"strings"
	"testing"

	"shortfall/cmd/exit"

	"github.com/stretchr/testify/assert"
)

// What was answered is remembered for the next file of the same header.
func TestAnswersAreRemembered(t *testing.T) {
	workplace(t)
	write(t, "q1.csv", ownSheet)
	write(t, "q2.csv", strings.ReplaceAll(ownSheet, "K1", "K2"))
	write(t, "other.csv", strings.ReplaceAll(strings.Replace(ownSheet, "achieved", "got", 1), "K1", "K3"))
	code, _, _ := shell(t, "shortfall ingest --db clinic.db q1.csv")
	assert.Equal(t, exit.CodeData, code)
	code, _, stderr := shell(t, "shortfall ingest --db clinic.db q1.csv --answer positive=usual")
	assert.Equal(t, exit.CodeOK, code, stderr)
	code, stdout, stderr := shell(t, "shortfall ingest --db clinic.db q2.csv")
	assert.Equal(t, exit.CodeOK, code, stderr)
	assert.Contains(t, stdout, "Answered: rotation mesial-in (the usual way", "the answer is shown")
	code, _, _ = shell(t, "shortfall ingest --db clinic.db other.csv")
	assert.Equal(t, exit.CodeData, code, "another header is asked again")
	_, stdout, _ = shell(t, "shortfall profiles --db clinic.db")
	assert.Contains(t, stdout, "q2.csv")
}

// A file that was read with answers is the same file when they are remembered: read
// again after a correction, the older one takes nothing back.
func TestRememberedAnswersAreTheSameReading(t *testing.T) {
	workplace(t)
	write(t, "q1.csv", ownSheet)
	write(t, "q2.csv", strings.Replace(ownSheet, "-10,-8", "-10,-9", 1)+"K1,2,45,torque,5,4,software\n")
	for _, c := range []struct{ line, want string }{
		{"shortfall ingest --db clinic.db q1.csv --answer positive=usual", "2 new"},
		{"shortfall ingest --db clinic.db q2.csv", "1 corrected"},
		{"shortfall ingest --db clinic.db q1.csv", "already imported: nothing was changed"},
	} {
		code, stdout, stderr := shell(t, c.line)
		assert.Equal(t, exit.CodeOK, code, stderr)
		assert.Contains(t, strings.Join(strings.Fields(stdout), " "), c.want)
	}
}

const ownSheet = "patient,course,tooth,movement,planned,achieved,attachment\nK1,1,43,rotation,-10,-8,none\nK1,2,44,torque,5,4,software\n"
