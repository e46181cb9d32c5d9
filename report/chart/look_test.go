package chart

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/go-pdf/fpdf"
	"github.com/stretchr/testify/require"

	"shortfall/report/typeface"
)

// Every figure as a page of its own, to be looked at: SHORTFALL_LOOK=DIR.
func TestLook(t *testing.T) {
	dir := os.Getenv("SHORTFALL_LOOK")
	if dir == "" {
		t.Skip("set SHORTFALL_LOOK to a folder to get every figure as a PDF")
	}
	for name, f := range figures() {
		p := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: f.W + 10, Ht: f.H + 10}})
		p.SetAutoPageBreak(false, 0)
		p.AddUTF8FontFromBytes(typeface.Family, "", typeface.TTF(false))
		p.AddUTF8FontFromBytes(typeface.Family, "B", typeface.TTF(true))
		p.AddPage()
		f.PDF(p, 5, 5, slices.Repeat([]string{"ᵃ"}, len(f.Texts())))
		require.NoError(t, p.OutputFileAndClose(filepath.Join(dir, name+".pdf")))
	}
}
