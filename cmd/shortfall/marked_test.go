package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"shortfall/cmd/exit"
	"shortfall/ingest/casebook"
)

// A marked copy is read back as it is, without a word about our own comments and
// lists; once corrected, only its corrected rows change. A comment that somebody
// wrote into is looked at as any other.
func TestMarkedCopyReadsBack(t *testing.T) {
	workplace(t)
	write(t, "own.csv", "case,practice,status,course,tooth,axis,planned,achieved,style\n"+
		"A1,P,completed,1,43,rotation,-10.50,-8,none\nA1,P,completed,1,99,rotation,-12,-9,none\nA1,P,completed,1,14,rotation,-12,999,none\n"+
		"A2,P,completed,1,43,rotation,-9,-8,perhaps\nA2,P,completed,1,23,wobble,-7,-6,none\n")
	_, _, _ = shell(t, "shortfall ingest --db clinic.db own.csv --annotate marked.xlsx")
	before := loaded(t, "clinic.db")
	require.Len(t, before.Movements, 2)

	code, out, errs := shell(t, "shortfall ingest --db clinic.db marked.xlsx")
	assert.Equal(t, exit.CodeData, code, errs)
	assert.Contains(t, out, "2 unchanged")
	assert.NotContains(t, out+errs, "comment")
	assert.NotContains(t, out+errs, "warning [sheet-skipped]")
	assert.Equal(t, before.Movements, loaded(t, "clinic.db").Movements)

	edit := func(from, to string, change func(f *excelize.File)) {
		f, err := excelize.OpenFile(from)
		require.NoError(t, err)
		defer f.Close()
		change(f)
		require.NoError(t, f.SaveAs(to))
	}
	edit("marked.xlsx", "corrected.xlsx", func(f *excelize.File) {
		require.NoError(t, f.SetCellValue("own", "E3", 15))
		require.NoError(t, f.SetCellValue("own", "H4", "not measured"))
		require.NoError(t, f.SetCellValue("own", "F6", "rotation"))
		require.NoError(t, f.SetCellValue("own", "I5", "clinician-designed"))
	})
	code, out, errs = shell(t, "shortfall ingest --db clinic.db corrected.xlsx")
	assert.Equal(t, exit.CodeOK, code, out+errs)
	assert.Contains(t, out, "movements      3 new,      1 unchanged,      1 corrected or completed")
	after := loaded(t, "clinic.db")
	assert.Len(t, after.Movements, 5)
	assert.Contains(t, after.Movements, before.Movements[0])
	assert.Zero(t, len(after.Rejected))
	for _, m := range after.Movements {
		if m.Tooth == 43 && m.Case.ID == "A2" {
			assert.Equal(t, casebook.ClinicianDesigned, m.Style)
		}
	}

	edit("marked.xlsx", "written.xlsx", func(f *excelize.File) {
		require.NoError(t, f.DeleteComment("own", "E3"))
		require.NoError(t, f.AddComment("own", excelize.Comment{Cell: "E3", Author: "shortfall", Text: "ask Anna Miller of Park Lane 7 about it"}))
	})
	code, _, errs = shell(t, "shortfall ingest --db clinic.db written.xlsx")
	assert.Equal(t, exit.CodeData, code)
	assert.Contains(t, errs, "a comment holds")
}
