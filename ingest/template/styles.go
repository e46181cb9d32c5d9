package template

import "github.com/xuri/excelize/v2"

// styles of the cells, by their number in the workbook.
type styles struct {
	header, required, example, text, banner, title, section, body, bold int
}

// asText is the built-in number format "@" (ECMA-376 part 1, 18.8.30): what is
// typed stays as typed, so that 2025-01 or 3-1 never turns into a date.
const asText = 49

const (
	ink       = "1F2933"
	faint     = "D9E2EC"
	strong    = "BCCCDC"
	exampleBg = "FFF8E1"
	exampleFg = "8D6E00"
)

func newStyles(f *excelize.File) (styles, error) {
	var s styles
	fill := func(colour string) excelize.Fill {
		return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
	}
	under := []excelize.Border{{Type: "bottom", Color: ink, Style: 1}}
	wrapped := &excelize.Alignment{WrapText: true, Vertical: "top"}
	for _, d := range []struct {
		id    *int
		style excelize.Style
	}{
		{&s.header, excelize.Style{Font: &excelize.Font{Bold: true, Color: ink}, Fill: fill(faint), Border: under, Alignment: wrapped}},
		{&s.required, excelize.Style{Font: &excelize.Font{Bold: true, Color: ink}, Fill: fill(strong), Border: under, Alignment: wrapped}},
		{&s.example, excelize.Style{Font: &excelize.Font{Italic: true, Color: exampleFg}, Fill: fill(exampleBg), NumFmt: 0}},
		{&s.text, excelize.Style{NumFmt: asText}},
		{&s.banner, excelize.Style{Font: &excelize.Font{Bold: true, Color: exampleFg}, Fill: fill(exampleBg)}},
		{&s.title, excelize.Style{Font: &excelize.Font{Bold: true, Size: 16, Color: ink}}},
		{&s.section, excelize.Style{Font: &excelize.Font{Bold: true, Size: 12, Color: ink}, Border: under}},
		{&s.body, excelize.Style{Font: &excelize.Font{Color: ink}, Alignment: wrapped}},
		{&s.bold, excelize.Style{Font: &excelize.Font{Bold: true, Color: ink}, Alignment: wrapped}},
	} {
		id, err := f.NewStyle(&d.style)
		if err != nil {
			return s, err
		}
		*d.id = id
	}
	return s, nil
}
