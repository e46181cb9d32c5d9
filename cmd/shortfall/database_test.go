package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/cmd/exit"
	"shortfall/ingest/casebook"
	"shortfall/ingest/store/sqlite"
)

const caseHead = "case,practice,status,course,tooth,axis,planned,achieved,style\n"

// clinicFile is a sheet of a practice whose cases are numbered 1, 2, ...
func clinicFile(practice string, cases int, from float64) string {
	text := caseHead
	for c := range cases {
		for i, tooth := range []string{"13", "23", "33", "43", "14"} {
			row := []string{string(rune('1' + c)), practice, "completed", "1", tooth, "rotation", decimalOf(-from - float64(c) - float64(i)/4), decimalOf(-from / 2), "none"}
			text += strings.Join(row, ",") + "\n"
		}
	}
	return text
}

func decimalOf(x float64) string { b, _ := json.Marshal(x); return string(b) }

func loaded(t *testing.T, path string) *casebook.Dataset {
	t.Helper()
	db, err := sqlite.Open(context.Background(), path)
	require.NoError(t, err)
	defer db.Close()
	ds, err := db.Load(context.Background())
	require.NoError(t, err)
	return ds
}

func must(t *testing.T, line string) (stdout, stderr string) {
	t.Helper()
	code, out, errs := shell(t, line)
	require.Zero(t, code, "%s\n%s%s", line, out, errs)
	return out, errs
}

// Two practices that number their patients alike stay apart, and both are audited.
func TestTwoPracticesInOneDatabase(t *testing.T) {
	workplace(t)
	write(t, "a.csv", clinicFile("A", 5, 5))
	write(t, "b.csv", clinicFile("B", 5, 21))
	must(t, "shortfall ingest --db clinic.db a.csv b.csv")
	ds := loaded(t, "clinic.db")
	assert.Len(t, ds.Cases, 10)
	assert.Len(t, ds.Movements, 50)
	must(t, "shortfall audit --db clinic.db --json results.json")
	b, err := os.ReadFile("results.json")
	require.NoError(t, err)
	var results struct {
		Scope struct {
			Cases, Movements int
			Practices        []string
		} `json:"scope"`
	}
	require.NoError(t, json.Unmarshal(b, &results))
	assert.Equal(t, 10, results.Scope.Cases)
	assert.Equal(t, 50, results.Scope.Movements)
	assert.Equal(t, []string{"A", "B"}, results.Scope.Practices)

	code, _, errs := shell(t, "shortfall case --db clinic.db 1 --json case.json --inside")
	assert.Equal(t, exit.CodeUsage, code)
	assert.Contains(t, errs, "--practice (A, B)")
	must(t, "shortfall case --db clinic.db 1 --practice B --json case.json --inside")
	out, _ := must(t, "shortfall records --db clinic.db --cases")
	assert.Contains(t, out, "1 of practice A: 1 course, 5 movements")
	out, _ = must(t, "shortfall practice --db clinic.db")
	assert.Equal(t, "A: 5 cases\nB: 5 cases\n", out)
	code, _, errs = shell(t, "shortfall practice rename --db clinic.db A B")
	assert.Equal(t, exit.CodeDatabase, code)
	assert.Contains(t, errs, "the same pseudonym 5 times")
	must(t, "shortfall practice rename --db clinic.db A MOON")
	out, _ = must(t, "shortfall practice --db clinic.db")
	assert.Equal(t, "MOON: 5 cases\nB: 5 cases\n", strings.Join([]string{"MOON: 5 cases", "B: 5 cases", ""}, "\n"), out)
}

// The movements of one file belong to the practice that the list of cases in
// another names, in whichever order the two are given.
func TestPracticeFromAFileBeside(t *testing.T) {
	workplace(t)
	write(t, "movements.csv", "case,course,tooth,axis,planned,achieved\n1,1,43,rotation,-5,-4\n1,1,44,rotation,-6,-4\n")
	write(t, "cases.csv", "case,practice,status\n1,A,completed\n")
	must(t, "shortfall ingest --db clinic.db movements.csv cases.csv")
	for _, m := range loaded(t, "clinic.db").Movements {
		assert.Equal(t, "A", m.Case.Practice)
	}
	write(t, "more.csv", "case,course,tooth,axis,planned,achieved\n2,1,43,rotation,-7,-4\n")
	code, _, errs := shell(t, "shortfall ingest --db clinic.db more.csv")
	assert.Equal(t, exit.CodeData, code)
	assert.Contains(t, errs, "--practice")
	must(t, "shortfall ingest --db clinic.db more.csv --practice A")
}

// One file that is refused does not keep the others out.
func TestRefusedFileLeavesTheOthers(t *testing.T) {
	workplace(t)
	write(t, "a.csv", clinicFile("", 3, 5))
	write(t, "b.csv", clinicFile("", 3, 40))
	write(t, "c.csv", strings.ReplaceAll(clinicFile("", 3, 70), "\n", "\n9"))
	must(t, "shortfall ingest --db clinic.db a.csv")
	text := strings.TrimSuffix(strings.ReplaceAll(clinicFile("", 3, 70), "\n", "\n9"), "9")
	write(t, "c.csv", text)
	code, out, errs := shell(t, "shortfall ingest --db clinic.db b.csv c.csv")
	assert.Equal(t, exit.CodeData, code)
	assert.Contains(t, errs, "3 cases are known under the same pseudonym")
	assert.Contains(t, out, "c.csv")
	assert.Len(t, loaded(t, "clinic.db").Cases, 6)
}

func TestRemoveAndRestore(t *testing.T) {
	workplace(t)
	write(t, "a.csv", clinicFile("", 3, 5))
	must(t, "shortfall ingest --db clinic.db a.csv")
	code, _, errs := shell(t, "shortfall remove --db clinic.db 2")
	assert.Equal(t, exit.CodeUsage, code)
	assert.Contains(t, errs, "--reason")
	must(t, "shortfall remove --db clinic.db 2 --reason asked")
	assert.Len(t, loaded(t, "clinic.db").Cases, 2)
	out, _ := must(t, "shortfall records --db clinic.db --cases")
	assert.Contains(t, out, "removed: asked")
	write(t, "b.csv", clinicFile("", 4, 5))
	out, _ = must(t, "shortfall ingest --db clinic.db b.csv")
	assert.Contains(t, out, "later version of a.csv")
	assert.Contains(t, out, "1 case removed before, and still out of the audit: 2")
	assert.Len(t, loaded(t, "clinic.db").Cases, 3)
	must(t, "shortfall restore --db clinic.db 2")
	assert.Len(t, loaded(t, "clinic.db").Cases, 4)
	must(t, "shortfall remove --db clinic.db b.csv --reason wrong")
	assert.Len(t, loaded(t, "clinic.db").Cases, 3)
	must(t, "shortfall remove --db clinic.db 1 --erase --reason asked")
	assert.Len(t, loaded(t, "clinic.db").Cases, 2)
}

// The same bytes under another mapping are a new reading, which takes the place
// of the old one.
func TestAnotherMappingIsAnotherReading(t *testing.T) {
	workplace(t)
	write(t, "a.csv", clinicFile("", 3, 5))
	write(t, "map.toml", "version = 1\n[positive]\nrotation = \"rotation mesial-out\"\n")
	must(t, "shortfall ingest --db clinic.db a.csv")
	before := loaded(t, "clinic.db")
	out, _ := must(t, "shortfall ingest --db clinic.db a.csv --map map.toml")
	assert.Contains(t, out, "15 corrected")
	after := loaded(t, "clinic.db")
	require.Len(t, after.Movements, len(before.Movements))
	for i := range after.Movements {
		assert.Equal(t, -before.Movements[i].Planned, after.Movements[i].Planned)
	}
	assert.Zero(t, after.Superseded)
	out, _ = must(t, "shortfall ingest --db clinic.db a.csv --map map.toml")
	assert.Contains(t, out, "already imported")
}

// exportable are files that are read into one database each, with what is answered: those
// of the fixtures, and small ones that an export could spoil.
func exportable(t *testing.T) (sets [][]string) {
	fixtures, err := filepath.Glob("../../ingest/testdata/files/*")
	require.NoError(t, err)
	for i := range fixtures {
		fixtures[i], err = filepath.Abs(fixtures[i])
		require.NoError(t, err)
	}
	workplace(t)
	write(t, "a.csv", clinicFile("A", 5, 5))
	write(t, "b.csv", clinicFile("B", 5, 21))
	rotations := ""
	for i := range 13 {
		rotations += fmt.Sprintf("S%d,1,43,rotation,10,8,none\n", i+1)
	}
	const head = "patient,course,tooth,movement,planned,achieved,attachment\n"
	write(t, "sizes.csv", head+rotations)
	write(t, "some.csv", head+"S0,1,43,vertical,-1,-0.8,none\n"+rotations) // sizes along one axis, signs along the other
	// One practice says how many aligners a course has and of no case how it stands, the other
	// has a list of cases and nothing of courses.
	write(t, "one.csv", "patient,practice,clinician,start month,course,aligners planned,tooth,movement,planned,achieved,attachment\nO1,WEST,K,2024-03,1,20,43,rotation,-10,-8,none\nO2,WEST,K,2024-04,1,21,43,rotation,9,8,none\n")
	write(t, "two.csv", "patient,practice,course,tooth,movement,planned,achieved,attachment\nT1,EAST,1,43,rotation,-7,-8,none\nT1,EAST,2,43,rotation,6,5,none\n")
	write(t, "list.csv", "patient,practice,clinician,start month,status\nT1,EAST,M,2023-03,completed\n")
	sets = [][]string{
		{"a.csv", "b.csv"},
		{"small.xlsx"},
		{"dirty.csv"},
		{"one.csv", "--answer", "positive=usual"},
		{"two.csv", "list.csv", "--answer", "positive=usual"},
		{"one.csv", "two.csv", "list.csv", "--answer", "positive=usual"},
		{"sizes.csv", "--answer", "signs=sizes"},
		{"some.csv", "--answer", "sizes=sizes", "--answer", "positive=usual"},
	}
	if os.Getenv("SHORTFALL_LONG") == "" { // the two practices are in one database too
		sets = slices.DeleteFunc(sets, func(s []string) bool { return (s[0] == "one.csv" || s[0] == "two.csv") && len(s) < 5 })
	}
	for i, f := range fixtures {
		if os.Getenv("SHORTFALL_LONG") != "" || i%96 == 0 {
			sets = append(sets, []string{f})
		}
	}
	return sets
}

// What is exported gives the same records when it is read into an empty
// database: of the sample, of two practices with the same pseudonyms, of every
// fixture that is read (every 96th, without SHORTFALL_LONG).
func TestExportReadsBack(t *testing.T) {
	exported := 0
	for _, set := range exportable(t) {
		os.Remove("in.db")
		shell(t, "shortfall ingest --db in.db --allow-identifiers "+strings.Join(set, " "))
		if _, err := os.Stat("in.db"); err != nil {
			continue
		}
		want := loaded(t, "in.db")
		if len(want.Movements) == 0 {
			continue
		}
		for _, out := range []string{"out.xlsx", "out.csv"} {
			os.Remove("out.db")
			os.Remove(out)
			code, _, errs := shell(t, "shortfall export --db in.db -o "+out)
			if strings.Contains(errs, "write a workbook") {
				continue
			}
			if !assert.Zero(t, code, "%v: %s", set, errs) {
				continue
			}
			exported++
			code, _, errs = shell(t, "shortfall ingest --db out.db --allow-identifiers --notation fdi "+out)
			require.Zero(t, code, "%v: %s", set, errs)
			got := loaded(t, "out.db")
			assert.Equal(t, want.Movements, got.Movements, "%v %s", set, out)
			if out == "out.xlsx" {
				assert.Equal(t, len(want.Cases), len(got.Cases))
				assert.ElementsMatch(t, want.Cases, got.Cases, "%v", set)
				assert.ElementsMatch(t, want.Courses, got.Courses, "%v", set)
				assert.ElementsMatch(t, want.Repeats, got.Repeats, "%v", set)
			}
		}
	}
	assert.Greater(t, exported, 6)
}
