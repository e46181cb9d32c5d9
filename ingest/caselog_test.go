package ingest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "shortfall/ingest/casebook"
	"shortfall/ingest/question"
)

// caseLog is a log of eight cases under a header, every fourth stopped; more is what
// follows in each line.
func caseLog(header, done, stopped, more string) string {
	var b strings.Builder
	b.WriteString(header + "\n")
	for i := 1; i <= 8; i++ {
		how := done
		if i%4 == 0 {
			how = stopped
		}
		fmt.Fprintf(&b, "K%d;D%d;Jan 2024;2025-0%d;%s;%d%s\n", i, i%2, i, how, i%3, more)
	}
	return b.String()
}

// A sheet of cases without a tooth, an axis or an amount is a log of cases, whatever
// it calls the status and the refinements (headers from memory: common practice, no
// source).
func TestLogOfCasesInEightLanguages(t *testing.T) {
	for header, words := range map[string][2]string{
		"Case ref;Dentist;Begun;Finished;Outcome;Extra sets":         {"done", "stopped"},
		"Case;Clinician;Start;End;Result;Additional series":          {"completed", "discontinued"},
		"Fall;Behandler;Beginn;Ende;Ergebnis;Zusatzserien":           {"fertig", "abgebrochen"},
		"Cas;Praticien;Début;Fin;Résultat;Séries supplémentaires":    {"terminé", "interrompu"},
		"Caso;Ortodoncista;Inicio;Fin;Resultado;Series adicionales":  {"terminado", "abandonado"},
		"Caso;Medico;Inizio;Fine;Esito;Serie aggiuntive":             {"concluso", "interrotto"},
		"Caso;Ortodontista;Início;Fim;Desfecho;Séries adicionais":    {"concluído", "interrompido"},
		"Casus;Behandelaar;Begin;Einde;Afloop;Extra series":          {"afgerond", "gestopt"},
		"Przypadek;Lekarz;Początek;Koniec;Wynik;Dodatkowe serie":     {"zakończone", "przerwane"},
		"Case;Dentist;Begun;Finished;Final outcome;No of extra sets": {"done", "stopped"},
	} {
		cases := recordsOf(mustRead(t, caseLog(header, words[0], words[1], ""), Options{})).Cases
		require.Len(t, cases, 8, header)
		for i, c := range cases {
			want := Case{
				ID: fmt.Sprint("K", i+1), Clinician: fmt.Sprint("D", (i+1)%2), Start: NewMonth(2024, 1), End: NewMonth(2025, i+1),
				Status: Completed, StatedRefinements: Some((i + 1) % 3),
			}
			if (i+1)%4 == 0 {
				want.Status = Discontinued
			}
			assert.Equal(t, want, c, header)
		}
	}
}

const logHeader = "Case ref;Dentist;Begun;Finished;Outcome;Extra sets"

// A verdict or a score is no status: the log lacks one, and says so of cases.
func TestOutcomeThatIsNoStatus(t *testing.T) {
	for _, words := range [][2]string{{"good", "poor"}, {"41", "37"}} {
		_, err := read(t, caseLog(logHeader, words[0], words[1], ""), Options{})
		assert.Equal(t, []string{"column-missing@test/1"}, listed(Problems(err)))
		assert.Contains(t, Problems(err)[len(Problems(err))-1].Message, `"status"`)
		b := mustRead(t, caseLog(logHeader+";Status", words[0], words[1], ";transferred"), Options{})
		assert.Equal(t, Transferred, recordsOf(b).Cases[0].Status)
	}
}

// A score of the trade in a log of cases is no amount of a movement.
func TestLogOfCasesWithAScore(t *testing.T) {
	b := mustRead(t, caseLog("Case ref;Dentist;Begun;Finished;Status;Index result", "done", "stopped", ""), Options{})
	assert.Len(t, recordsOf(b).Cases, 8)
}

// Words under the header of an amount make no movements of a log of cases.
func TestLogOfCasesWithAnAmountInWords(t *testing.T) {
	sheet := caseLog("Case ref;Dentist;Begun;Finished;Achieved;Extra sets", "done", "stopped", "")
	_, err := read(t, sheet, Options{})
	assert.Equal(t, []string{"column-missing@test/1"}, listed(Problems(err)))
	b := mustRead(t, sheet, Options{Answers: question.Answers{"column status": "Achieved"}})
	assert.Equal(t, Discontinued, recordsOf(b).Cases[3].Status)
	assert.NotContains(t, reasonsOf(b.Problems, "Achieved"), "column-unread")
}

// reasonsOf lists the rules that a column of the sheet gave reason for.
func reasonsOf(problems []Problem, column string) []string {
	var out []string
	for _, p := range problems {
		if p.Column == column {
			out = append(out, p.Rule)
		}
	}
	return out
}

// Where all cases are closed, the outcome may say which were stopped: it is asked.
func TestStatusBesideAnOutcome(t *testing.T) {
	sheet := caseLog(logHeader+";Status", "done", "stopped", ";closed")
	_, err := read(t, sheet, Options{})
	assert.Equal(t, []string{"column-ambiguous@test!G1"}, listed(Problems(err)))
	b := mustRead(t, sheet, Options{Answers: question.Answers{"column status": "Outcome"}})
	assert.Equal(t, Discontinued, recordsOf(b).Cases[3].Status)
}

// Beside movements, an outcome that is one for all rows of a case is its status, and
// one that changes from row to row is a verdict on the movement.
func TestOutcomeBesideMovements(t *testing.T) {
	const header = "case,course,tooth,axis,planned,achieved,outcome\n"
	b := mustRead(t, header+"K1,1,43,rotation,-10,-8,stopped\nK1,1,44,rotation,10,8,\nK2,1,44,rotation,10,7,done\n", Options{})
	require.Len(t, recordsOf(b).Cases, 2)
	assert.Equal(t, Discontinued, recordsOf(b).Cases[0].Status)
	b = mustRead(t, header+"K1,1,43,rotation,-10,-8,complete\nK1,1,44,rotation,10,3,stopped\n", Options{})
	assert.Empty(t, recordsOf(b).Cases)
	assert.Len(t, recordsOf(b).Movements, 2)
	b = mustRead(t, "case,course,tooth,axis,planned,outcome\nK1,1,43,rotation mesial-in,10,8\n", Options{})
	assert.Equal(t, Some(8.0), recordsOf(b).Movements[0].Achieved)
}

// "Wanted" and "got" are words for planned and achieved, "no one" designed none; who
// "me" is, is asked, and the row of totals is none.
func TestWantedAndGot(t *testing.T) {
	const sheet = "Case ref,Tooth (FDI),Movement,Wanted,Got,Attachment by,Set\nL1,11,extrusion,1.2,0.7,me,1\n" +
		"L1,13,intrusion,0.8,0.5,no one,1\nL2,43,rotation mesial in,20,13,program,1\nL2,44,mesial tip,6,3,me,1\nTotal,,,28,,,\n"
	_, err := read(t, sheet, Options{})
	assert.Equal(t, []string{"question-open@test!F1"}, listed(Problems(err)))
	b := mustRead(t, sheet, Options{Answers: question.Answers{"style me": "clinician"}})
	assert.Equal(t, Counts{Read: 5, Accepted: 4, Blank: 1}, b.Counts())
	var got []string
	for _, m := range recordsOf(b).Movements {
		got = append(got, fmt.Sprintf("%s %d %s %v %v %s", m.Case.ID, m.Tooth, m.Axis, m.Planned, m.Achieved.Value, m.Style))
	}
	assert.Equal(t, []string{
		"L1 11 vertical 1.2 0.7 clinician-designed", "L1 13 vertical -0.8 -0.5 none",
		"L2 43 rotation 20 13 software-suggested", "L2 44 mesiodistal tip 6 3 clinician-designed",
	}, got)
}

// A row that names no practice belongs to the one that the list of cases of its own file
// names, on whichever sheet, and not to another pseudonym's.
func TestPracticeOfTheCaseRowOfTheSameFile(t *testing.T) {
	path := sheets(t, "moves", "case,course,tooth,axis,planned,achieved,style\nP1,1,43,rotation mesial-in,10,8,none\nP2,1,43,rotation mesial-in,10,8,none",
		"cases", "case,practice,status\nP1,A,completed\nP2,B,completed")
	b, err := Read(t.Context(), path, Options{Answers: usual})
	require.NoError(t, err)
	require.Len(t, b.Movements, 2)
	assert.Equal(t, CaseKey{Practice: "A", ID: "P1"}, b.Movements[0].Value.Case)
	assert.Equal(t, CaseKey{Practice: "B", ID: "P2"}, b.Movements[1].Value.Case)
}

// How a case stands is asked where its status is in words that are not known: "other" counts
// as neither completed nor under treatment.
func TestWordsOfTheStatusAreAsked(t *testing.T) {
	const text = "case,clinician,start month,status\n1,AB,2024-01,completed\n2,AB,2024-02,in Rev 1\n3,CD,2024-03,quit - moved\n4,CD,2024-04,not recorded\n"
	_, err := read(t, text, Options{})
	assert.Equal(t, []string{"status in Rev 1", "status quit - moved"}, idsOf(openOf(err)))
	b := mustRead(t, text, Options{Answers: question.Answers{"status words": "in Rev 1: under treatment; quit - moved: transferred"}})
	got := []Status{}
	for _, c := range b.Cases {
		got = append(got, c.Value.Status)
		assert.Empty(t, c.Value.Own.Status)
	}
	assert.Equal(t, []Status{Completed, UnderTreatment, Transferred, NoStatus}, got)
	b = mustRead(t, text, Options{Answers: question.Answers{"status in Rev 1": "not recorded", "status quit - moved": "as it is"}})
	assert.Equal(t, NoStatus, b.Cases[1].Value.Status)
	assert.Equal(t, "other", b.Cases[2].Value.Own.Status)
}

// A status that was not recorded is one, however it is spelled.
func TestStatusNotRecordedInAnySpelling(t *testing.T) {
	const head = "case,clinician,start month,status\n1,AB,2024-01,completed\n2,AB,2024-02,"
	for _, word := range []string{"not recorded", "Not recorded", "NOT RECORDED", " not  recorded ", "not-recorded"} {
		b := mustRead(t, head+word+"\n", Options{})
		assert.Empty(t, b.Rejected, word)
		require.Len(t, b.Cases, 2, word)
		assert.Equal(t, NoStatus, b.Cases[1].Value.Status, word)
		assert.Empty(t, b.Cases[1].Value.Own.Status, word)
	}
}

// What the everyday words of a list of cases are read as.
func TestPlainHeadersOfAList(t *testing.T) {
	const text = "Pt ID,Doc,Teen/adult,Start,Finished,Trays first set,Trays in Revs,No. of Revs,Status\n1,JT,teen,2024-05,2025-05,18,11,1,done\n2,RS,adult,2024-08,2025-03,21,9,2,done\n"
	b := mustRead(t, text, Options{})
	require.Len(t, b.Cases, 2)
	c := b.Cases[0].Value
	assert.Equal(t, Some(18), c.PlannedAligners)
	assert.Equal(t, Some(1), c.StatedRefinements)
	assert.NotEmpty(t, c.Own.AgeBand)
	assert.Contains(t, rulesOf(b.Problems), "column-unread", "the trays of the refinements")
}
