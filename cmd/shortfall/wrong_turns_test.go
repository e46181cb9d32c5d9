package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/cmd/exit"
	"shortfall/ingest/scratch"
	"shortfall/report"
)

// What a wrong turn is answered with: the word that is wrong, and a way that is there.
func TestWrongTurns(t *testing.T) {
	workplace(t)
	write(t, "own.csv", "case,practice,status,course,tooth,axis,planned,achieved,style\n"+
		"A1,P,completed,1,43,rotation,-10.5,-8,none\nA1,P,completed,1,44,rotation,-12,-9,none\n")
	for _, line := range []string{"shortfall ingest -q --db clinic.db own.csv", "shortfall backup --db clinic.db -o copy.backup", "shortfall pseudonymise own.csv -o copy.xlsx --key own.key"} {
		code, _, errs := shell(t, line)
		require.Equal(t, exit.CodeOK, code, errs)
	}
	for line, want := range map[string]string{
		"shortfall help audit nothing":                                     `unknown command "nothing"` + "\n",
		"shortfall help backup restor":                                     `did you mean "restore"`,
		"shortfall explain a b":                                            "takes one argument, not 2: a rule",
		"shortfall records --db clinic.db --cases --totals":                "ask for one",
		"shortfall records --db clinic.db --practice X A1":                 "has a case A1, but not of practice X",
		"shortfall records --db clinic.db --practice X A2":                 "has no case A2",
		"shortfall backup --db clinic.db -o copy.backup":                   "name a file that does not exist yet",
		"shortfall backup --db clinic.db -o nowhere/copy.backup":           "the folder nowhere does not exist",
		"shortfall pseudonymise own.csv -o copy.xlsx --key own.key":        "name a file that does not exist yet",
		"shortfall pseudonymise own.csv -o again.xlsx --key nowhere/k":     "the folder nowhere does not exist",
		"shortfall open postgres://nobody@127.0.0.1:1/records":             "opens the records in a file",
		"shortfall ingest --db a.db own.csv --practice anna@example.org":   "give the practice a code",
		"shortfall practice rename --db clinic.db P anna@example.org":      "give the practice a code",
		"shortfall remove --db clinic.db A1":                               "needs a reason",
		"shortfall audit --db clinic.db --pdf copy.backup --json a.b -q":   "does not end in",
		"shortfall ingest --db clinic.db own.csv --annotate - --json b.js": "only --json",
	} {
		code, out, errs := shell(t, line)
		assert.Equal(t, exit.CodeUsage, code, line)
		assert.Contains(t, errs, want, line)
		assert.Empty(t, out, line)
	}
	code, out, errs := shell(t, "shortfall records --db clinic.db A1 --practice \u200bP")
	assert.Equal(t, exit.CodeOK, code, errs)
	assert.Contains(t, out, "practice P", "a code that was typed is compared in its one form")
	code, out, errs = shell(t, "shortfall remove --db clinic.db A1 --erase")
	assert.Equal(t, exit.CodeOK, code, errs)
	assert.Contains(t, out, "no reason is kept")
}

// A marked copy of a file of which nothing was kept is not there, as is said.
func TestNoMarkedCopyOfWhatWasNotKept(t *testing.T) {
	workplace(t)
	head := "case,practice,status,course,tooth,axis,planned,achieved,style\n"
	write(t, "one.csv", head+"A1,P,completed,1,43,rotation,-10.5,-8,none\nA1,P,completed,1,44,rotation,-12,-9,none\n")
	write(t, "two.csv", head+"A1,P,completed,1,43,torque,-10.5,-8,none\nA1,P,completed,1,44,torque,-12,-9,none\n")
	code, _, errs := shell(t, "shortfall ingest -q --db clinic.db one.csv")
	require.Equal(t, exit.CodeOK, code, errs)
	code, out, errs := shell(t, "shortfall ingest --db clinic.db two.csv --annotate marked.xlsx --json found.json")
	assert.Equal(t, exit.CodeData, code, errs)
	assert.Contains(t, errs, "nothing of two.csv was kept, so there is no marked.xlsx")
	assert.NoFileExists(t, "marked.xlsx")
	assert.Equal(t, "Written: found.json\n", out)
}

// An export that is cut off while it is read back leaves none of the records behind.
func TestExportCutOff(t *testing.T) {
	temp := workplace(t)
	long, err := larger() // so that it is seen at work
	require.NoError(t, err)
	write(t, "small.xlsx", long)
	code, _, errs := shell(t, "shortfall ingest -q --db clinic.db small.xlsx")
	require.Equal(t, exit.CodeOK, code, errs)
	ended := make(chan bool)
	go func() {
		defer close(ended)
		_, _, _ = shell(t, "shortfall export --db clinic.db -o all.xlsx")
	}()
	for seen := []string(nil); len(seen) == 0; {
		seen, _ = filepath.Glob(filepath.Join(temp, "*", "export.xlsx"))
		select {
		case <-ended:
			require.Fail(t, "the export was over before it was seen at work")
		default:
		}
	}
	scratch.Abandon() // as the program does a moment after Ctrl-C
	assert.Empty(t, names(t, temp))
	<-ended
}

// An audit of which nothing is left says so, and of a time that goes forward.
func TestNothingLeftToAudit(t *testing.T) {
	workplace(t)
	code, _, errs := shell(t, "shortfall audit -q small.xlsx --from 2099-01 --json nothing.json")
	assert.Equal(t, exit.CodeData, code)
	assert.Contains(t, errs, "no planned movement with a measured outcome is left to audit")
	f, err := os.Open("nothing.json")
	require.NoError(t, err)
	defer f.Close()
	res, err := report.ReadJSON(f)
	require.NoError(t, err)
	assert.LessOrEqual(t, res.Scope.First, res.Scope.Last)
	assert.Contains(t, res.Front.Over, "courses ended in 2099 Q1 ·")
}
