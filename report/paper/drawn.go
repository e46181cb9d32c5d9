package paper

import (
	"github.com/go-pdf/fpdf"

	"shortfall/report/typeface"
)

// step adds one thing to what is drawn. Passes that only find out where everything lands
// draw nothing: the steps of the last one are taken when the document is written.
func (d *Doc) step(s func(*fpdf.Fpdf)) { d.steps = append(d.steps, s) }

// drawn takes all steps on a new document of the library.
func (d *Doc) drawn() *fpdf.Fpdf {
	p := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: d.size.W, Ht: d.size.H}})
	p.SetMargins(Margin, Margin, Margin)
	p.SetAutoPageBreak(false, 0)
	p.SetCatalogSort(true) // with the two dates: the same input gives the same bytes
	p.SetCreationDate(d.meta.Date.UTC())
	p.SetModificationDate(d.meta.Date.UTC())
	p.AddUTF8FontFromBytes(typeface.Family, "", typeface.TTF(false))
	p.AddUTF8FontFromBytes(typeface.Family, "B", typeface.TTF(true))
	p.SetFont(typeface.Family, "", TextPt)
	p.SetTitle(d.meta.Title, true)
	p.SetSubject(d.meta.Subject, true)
	p.SetAuthor(d.meta.Author, true)
	p.SetCreator(d.meta.Creator, true)
	p.SetLang(d.meta.Lang)
	p.SetXmpMetadata(d.xmp())
	for _, s := range d.steps {
		s(p)
	}
	return p
}
