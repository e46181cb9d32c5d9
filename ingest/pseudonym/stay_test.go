package pseudonym

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
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

// What stands in the copy is decided by the codes of a file together, and never for a code
// to which the screen objects.
func TestPlainSchemesStay(t *testing.T) {
	head := "case,course,tooth,axis,planned,achieved\n"
	list := func(codes ...string) string {
		out := head
		for i, c := range codes {
			sign := 1 - 2*(i%2)
			out += fmt.Sprintf("%s,1,43,rotation,%d.5,%d\n", c, sign*(5+i), 4*sign)
		}
		return out
	}
	initials := list("AK-85", "BM-90", "CD-04", "EF-78", "GH-66", "AK120385")
	s, _, all := made(t, initials, Options{})
	assert.Equal(t, Codes{Renamed: 6}, s.Cases)
	assert.Contains(t, s.Said()[0], "all 6 have a pseudonym: they are no plain scheme")
	assert.NotContains(t, all, "BM-90")
	s, b, all := made(t, initials, Options{KeepCodes: true})
	assert.Equal(t, Codes{Kept: 5, Renamed: 1}, s.Cases)
	assert.Contains(t, ids(b), "BM-90")
	assert.NotContains(t, all, "AK120385")
	assert.Contains(t, s.Said()[0], "as you asked, but for those")
	s, b, _ = made(t, list("MQ-1", "MQ-2", "MQ-3", "MQ-4", "MQ-5", "MQ-6", "MQ-7", "MQ-8", "MQ-9", "AK-85"), Options{})
	assert.Equal(t, Codes{Kept: 9, Renamed: 1}, s.Cases)
	assert.Contains(t, s.Said()[0], "9 stay as they are, 1 have a pseudonym: most are a plain scheme")
	assert.NotContains(t, ids(b), "AK-85")
}

// A case has the same pseudonym in the file of the next quarter, whose other cases differ.
func TestCasesFitFromQuarterToQuarter(t *testing.T) {
	head := "case,course,tooth,axis,planned,achieved\n"
	_, one, _ := made(t, head+"AK-85,1,43,rotation,5,4\nBM-90,1,43,rotation,6,4\n", Options{})
	_, two, _ := made(t, head+"CD-04,1,43,rotation,7,4\nBM-90,2,43,rotation,3,2\n", Options{})
	assert.Equal(t, testKey().name("P", "case", "BM-90"), shared(ids(one), ids(two)))
}

// shared is the one that stands in both.
func shared(a, b []string) (out string) {
	for _, x := range a {
		if slices.Contains(b, x) {
			out += x
		}
	}
	return out
}

// The forms of codes of clinicians and practices that say nothing of a person.
func TestFormsOfCodes(t *testing.T) {
	c := &copier{}
	for _, code := range []string{"F1", "1", "012", "A", "Dr A", "Partner 2", testKey().name("P", "case", "x")} {
		assert.True(t, c.stays(columns.Clinician, code), code)
	}
	for _, code := range []string{"Sok-V", "BCB5659", "KB-040873", "040873", "Brenka 12", "Ulla", "4711470", "u@b.org", "ML", "M.L.", "KOW1"} {
		assert.False(t, c.stays(columns.Clinician, code), code)
	}
	assert.True(t, c.stays(columns.Practice, "North clinic"))
	for _, code := range []string{"D.ª Bhullar", "VDHEG7499K"} {
		assert.False(t, c.stays(columns.Practice, code), code)
	}
}

// A file with names that leaves the positive direction open, or what words mean, says so.
func TestOpenQuestionsAreNamed(t *testing.T) {
	head := "case,name,course,tooth,movement,planned,achieved\n"
	for name, c := range map[string]struct{ rows, asks, answer string }{
		"positive": {"F1,Ulla Brenka,1,43,rotation,5,4\nF2,Nilo Tarsk,1,44,rotation,-6,-4\n", "which way is positive?", `--answer "positive rotation=rotation`},
		"words":    {"F1,Ulla Brenka,1,43,qwx,5,4\nF2,Nilo Tarsk,1,44,zrt,6,4\n", "(2, axis words)", `--answer "axis words=WORD: MEANING`},
	} {
		src := filepath.Join(t.TempDir(), "own.csv")
		require.NoError(t, os.WriteFile(src, []byte(head+c.rows), 0o600))
		_, err := Copy(t.Context(), src, src+".xlsx", testKey(), Options{})
		said := fmt.Sprint(ingest.Problems(err))
		assert.Contains(t, said, c.asks, name)
		assert.Contains(t, said, c.answer, name)
		for _, gone := range []string{"Brenka", "Tarsk", "qwx", "zrt"} {
			assert.NotContains(t, said, gone, name)
		}
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
