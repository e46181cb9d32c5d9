package main

import (
	"testing"

	"shortfall/cmd/exit"

	"github.com/stretchr/testify/assert"
)

// A pipe is never asked: the file is refused and every answer can be given on the
// command line.
func TestAnswersOnTheCommandLine(t *testing.T) {
	workplace(t)
	write(t, "own.csv", "patient,course,tooth,movement,planned,achieved,attachment\nK1,1,43,rotation,10,8,none\nK1,1,44,torque,5,4,none\n")
	code, _, stderr := shell(t, "shortfall ingest --db clinic.db own.csv")
	assert.Equal(t, exit.CodeData, code)
	assert.Contains(t, stderr, "--answer signs=sizes")
	code, stdout, _ := shell(t, "shortfall ingest --db clinic.db own.csv --answer signs=sizes")
	assert.Equal(t, exit.CodeOK, code)
	assert.Contains(t, stdout, "2 accepted")
}
