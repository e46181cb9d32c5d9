package values

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
)

// Names of teeth in the languages of the lexicon (from memory, numbers as ISO 3950 has them).
var namedTeeth = map[string]casebook.Tooth{
	"Upper right first molar": 16, "upper left canine": 23, "lower right second premolar": 45, "mandibular left central incisor": 31, "maxillary right lateral incisor": 12,
	"UPPER LEFT WISDOM TOOTH": 28, "lower left 1st bicuspid": 34, "canine, upper right": 13,
	"oberer rechter Eckzahn": 13, "Eckzahn oben links": 23, "unterer linker zweiter Prämolar": 35, "1. Molar unten rechts": 46, "mittlerer Schneidezahn OK links": 21, "seitlicher Schneidezahn unten rechts": 42,
	"canine supérieure droite": 13, "première molaire inférieure gauche": 36, "deuxième prémolaire supérieure gauche": 25, "incisive latérale supérieure droite": 12, "dent de sagesse inférieure droite": 48,
	"canino superior izquierdo": 23, "primer molar inferior derecho": 46, "incisivo central superior derecho": 11, "segundo premolar inferior izquierdo": 35, "muela del juicio superior derecha": 18,
	"canino superiore destro": 13, "secondo premolare inferiore sinistro": 35, "incisivo laterale superiore sinistro": 22, "primo molare inferiore destro": 46,
	"primeiro pré-molar superior direito": 14, "incisivo central inferior esquerdo": 31, "segundo molar superior esquerdo": 27,
	"hoektand rechtsboven": 13, "eerste premolaar linksonder": 34, "tweede molaar rechtsonder": 47, "centrale incisief linksboven": 21, "laterale snijtand rechtsboven": 12,
	"kieł górny prawy": 13, "drugi przedtrzonowiec dolny lewy": 35, "pierwszy ząb trzonowy górny lewy": 26, "siekacz boczny górny prawy": 12, "siekacz przyśrodkowy dolny lewy": 31,
	"hörntand överkäke höger": 13, "första premolar underkäke vänster": 34, "central incisiv överkäke vänster": 21, "andra molar underkäke höger": 47,
}

func TestNamedTeeth(t *testing.T) {
	for text, want := range namedTeeth {
		x := ParseTooth(text)
		assert.Equal(t, []casebook.Tooth{want, want, want}, []casebook.Tooth{x.FDI, x.Universal, x.Palmer}, text)
		assert.Len(t, Teeth(text), 1, text)
	}
	var n Notations
	n.Note(ParseTooth("upper left canine"), 1)
	assert.Zero(t, n, "a name is of no notation")
}

// A name that lacks a part says which; one that says a part twice, or has a word of
// something else, is no name.
func TestNamesInPart(t *testing.T) {
	for text, want := range map[string]string{
		"first molar": "its jaw, nor its side", "upper canine": "its side", "left canine": "its jaw", "upper right molar": "which molar, first, second or third",
		"oberer rechter Schneidezahn": "which incisor, central or lateral", "Prämolar": "its jaw, nor its side, nor which premolar, first or second",
	} {
		x := ParseTooth(text)
		assert.Zero(t, x.FDI, text)
		assert.Equal(t, want, x.Name.Lacks(), text)
		_, err := x.In(casebook.FDI)
		assert.ErrorContains(t, err, want, text)
	}
	for _, text := range []string{
		"upper right first second molar", "upper lower right canine", "canine to canine", "upper right canine and first premolar", "upper right first canine", "lateral molar", "upper right third premolar",
		"Backenzahn oben rechts", "UL Eckzahn", "g canine", "13 canine", "upper right deciduous canine", "upper right central", "molar 6", "upper right molar 1", "first", "Molar, Anna",
	} {
		assert.Zero(t, ParseTooth(text), text)
	}
	assert.Empty(t, Teeth("13 canine"))
}
