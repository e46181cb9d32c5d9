package pseudonym

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/question"
	"shortfall/ingest/sheet"
)

// made copies a sheet and reads the copy.
func made(t *testing.T, content string, o Options) (Summary, *casebook.Batch, string) {
	dir := t.TempDir()
	src, dst := filepath.Join(dir, "own.csv"), filepath.Join(dir, "copy.xlsx")
	require.NoError(t, os.WriteFile(src, []byte(content), 0o600))
	s, err := Copy(t.Context(), src, dst, testKey(), o)
	require.NoError(t, err)
	b, err := ingest.Read(t.Context(), dst, ingest.Options{})
	require.NoError(t, err)
	return s, b, strings.Join(unzip(t, dst), "\n")
}

// A list with names beside codes that pass the screen gives a copy whose codes are those
// of the practice's other sheets. All names are invented.
func TestCodesThatPassStay(t *testing.T) {
	list := "Fall;Name;geb.;Beginn;Behandler;Status\nF1;Ulla Brenka;08.08.1999;18.04.2024;B2;fertig\nF2;Nilo Tarsk;25.11.2000;09.01.2024;B1;fertig\nF3;Odo Welmar;19.11.1999;09.02.2024;B2;abgebrochen\n"
	s, b, all := made(t, list, Options{})
	assert.Equal(t, Codes{Kept: 3}, s.Cases)
	assert.Equal(t, Codes{Kept: 2}, s.Clinicians)
	assert.ElementsMatch(t, []string{"F1", "F2", "F3"}, ids(b))
	for _, gone := range []string{"Brenka", "Tarsk", "Welmar", "08.1999", "11.2000"} {
		assert.False(t, strings.Contains(all, gone), gone)
	}
	assert.Contains(t, s.Said()[0], "codes of cases: all 3 stay")

	s, b, _ = made(t, list, Options{RenameCodes: true})
	assert.Equal(t, Codes{Renamed: 3}, s.Cases)
	assert.NotContains(t, ids(b), "F1")
	assert.Contains(t, strings.Join(s.Said(), "; "), "all 3 have a pseudonym")
}

// A code that identifies never stays, and has the same pseudonym in every copy.
func TestCodesThatIdentifyAreRenamed(t *testing.T) {
	head := "case,patient name,course,tooth,axis,planned,achieved\n"
	for name, code := range map[string]string{
		"name": "Brenka-Anna", "record number": "4711470815", "date": "1987-03-14", "contact": "anna@example.org", "serial day of a birth": "31850",
	} {
		row := "%s,Ulla Brenka,1,43,rotation,5,4\nF2,Nilo Tarsk,1,44,rotation,6,4\nF3,Odo Welmar,1,44,rotation,6,4\n"
		s, b, all := made(t, head+fmt.Sprintf(row, code), Options{})
		assert.Equal(t, Codes{Kept: 2, Renamed: 1}, s.Cases, name)
		assert.False(t, strings.Contains(all, code), name)
		assert.Contains(t, ids(b), testKey().name("P", "case", code), name)
		assert.Contains(t, ids(b), "F2", name)
	}
	births := head + "KB-040873,Ulla Brenka,1,43,rotation,5,4\nNT-121190,Nilo Tarsk,1,44,rotation,6,4\n"
	s, _, all := made(t, births, Options{})
	assert.Equal(t, Codes{Renamed: 2}, s.Cases, "initials with a date of birth")
	assert.False(t, strings.Contains(all, "040873"))
}

// Beyond the first hundred the screen names a column's findings as a range.
func TestLongColumnsOfNumbersAreRenamed(t *testing.T) {
	var b strings.Builder
	b.WriteString("case,course,tooth,axis,planned,achieved\n")
	for i := range 150 {
		fmt.Fprintf(&b, "%d,1,43,rotation,%d,%d\n", 4711000+i, 8-16*(i%2), 4-8*(i%2))
	}
	s, _, all := made(t, b.String(), Options{})
	assert.Equal(t, Codes{Renamed: 150}, s.Cases)
	assert.False(t, strings.Contains(all, "47111"))
}

// ids of the cases of a batch.
func ids(b *casebook.Batch) (out []string) {
	for _, c := range b.Cases {
		out = append(out, c.Value.ID)
	}
	for _, m := range b.Movements {
		out = append(out, m.Value.Case.ID)
	}
	return out
}

// What a file with names leaves open is answered without a name being said.
func TestOpenQuestionOfAFileWithNames(t *testing.T) {
	dir := t.TempDir()
	src := filepath.Join(dir, "own.csv")
	list := "Fall;Patient;Beginn;Status\nF1;Ulla Brenka;04.2024;fertig\nF2;Nilo Tarsk;01.2024;fertig\nF3;Odo Welmar;02.2024;abgebrochen\n"
	require.NoError(t, os.WriteFile(src, []byte(list), 0o600))
	_, err := Copy(t.Context(), src, filepath.Join(dir, "copy.xlsx"), testKey(), Options{})
	problems := ingest.Problems(err)
	require.Len(t, problems, 1)
	assert.Contains(t, problems[0].Remedy, `--answer "column case=Fall"`)
	assert.NotContains(t, fmt.Sprint(problems), "Brenka")
	s, err := Copy(t.Context(), src, filepath.Join(dir, "copy.xlsx"), testKey(), Options{Reading: ingest.Options{Answers: question.Answers{"column case": "Fall"}}})
	require.NoError(t, err)
	assert.Equal(t, Codes{Kept: 3}, s.Cases)
	assert.Equal(t, "column B", s.Dropped[0].Place)
}

// The forms in which practices number their cases stay; what can be part of a name, or a
// number of a register, has a pseudonym, also where the screen lets it pass.
func TestFormsOfCodes(t *testing.T) {
	c := &copier{}
	for _, code := range []string{"F1", "1", "012", "C-001", "MQ-012", "ABC-12", "Fall 12", "case 3", "2024-017", "00417", "P-00012", "A.12", testKey().name("P", "case", "x")} {
		assert.True(t, c.stays(columns.Case, code), code)
	}
	for _, code := range []string{"Sok-V", "BCB5659", "KB-040873", "040873", "Brenka 12", "Ulla", "4711470", "u@b.org", ""} {
		assert.False(t, code != "" && c.stays(columns.Case, code), code)
	}
	assert.True(t, c.stays(columns.Practice, "North clinic"))
	for _, code := range []string{"D.ª Bhullar", "VDHEG7499K"} {
		assert.False(t, c.stays(columns.Practice, code), code)
	}
}

// What a person said of a column holds although the copy writes another header beside it.
func TestAnswersOfColumnsHoldInTheCopy(t *testing.T) {
	list := "code;Patient;geb.;Zahn;Beginn\nF1;Ulla Brenka;08.08.1999;fertig;04.2024\nF2;Nilo Tarsk;25.11.2000;fertig;01.2024\nF3;Odo Welmar;19.11.1999;abgebrochen;02.2024\n"
	src := filepath.Join(t.TempDir(), "own.csv")
	require.NoError(t, os.WriteFile(src, []byte(list), 0o600))
	book, err := sheet.Open(src, sheet.Limits{})
	require.NoError(t, err)
	laid := ingest.Tables(book, ingest.Options{})
	answers := question.Answers{
		laid.ColumnID("own", "A"): "case", laid.ColumnID("own", "B"): "ignore", laid.ColumnID("own", "D"): "status",
	}
	s, b, _ := made(t, list, Options{Reading: ingest.Options{Answers: answers}})
	assert.Equal(t, Codes{Kept: 3}, s.Cases)
	assert.ElementsMatch(t, []string{"F1", "F2", "F3"}, ids(b))
	assert.NotEmpty(t, b.Cases[0].Value.AgeBand)
}
