package layout_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
	"shortfall/ingest/lexicon"
)

func TestFold(t *testing.T) {
	for in, want := range map[string]string{
		"Zähne": "zahne", "PlannedMM": "planned mm", "Prévu (mm/°)": "prevu mm °", "Tooth#": "tooth #", "Osiągnięte": "osiagniete",
		"Ząb": "zab", "Ruch łuku": "ruch luku", "  A_b-c  ": "a b c",
	} {
		assert.Equal(t, want, lexicon.Fold(in), in)
	}
}

// The same header in eight languages, as a practice may write it.
func TestHeadersInEightLanguages(t *testing.T) {
	for want, headers := range map[lexicon.Concept][]string{
		lexicon.Tooth:       {"Tooth", "Zahnnummer", "Dent", "Diente", "Dente", "Dentes", "Tand", "Ząb"},
		lexicon.Planned:     {"Planned (mm)", "Geplante", "Prévue", "Planificado", "Programmato", "Planejado", "Gepland", "Zaplanowano", "Wanted", "Gewünscht", "Voulu", "Deseado", "Voluto", "Desejado", "Gewenst", "Pożądane"},
		lexicon.Achieved:    {"Achieved", "Erreicht", "Obtenu", "Conseguido", "Ottenuto", "Alcançado", "Bereikt", "Osiągnięte", "Got", "Reached", "Bekommen", "Gekregen", "Otrzymane"},
		lexicon.Outcome:     {"Outcome", "Ergebnis", "Résultat", "Desenlace", "Esito", "Desfecho", "Afloop", "Wynik"},
		lexicon.Refinements: {"Extra sets", "Zusatzserien", "Séries supplémentaires", "Series adicionales", "Serie aggiuntive", "Séries adicionais", "Aanvullende sets", "Dodatkowe serie"},
		lexicon.Attachment:  {"Att.", "Attachments", "Taquets", "Ataches", "Attacco", "Attachment", "Attachments", "Zaczep"},
		lexicon.Case:        {"Pt ID", "Patientencode", "Dossier", "Paciente", "Paziente", "Paciente", "Patiënt", "Pacjent"},
		lexicon.Direction:   {"Direction", "Bewegungsrichtung", "Sens", "Dirección", "Direzione", "Direção", "Richting", "Kierunek"},
	} {
		for _, h := range headers {
			assert.True(t, lexicon.Of(lexicon.Tokens(h))[want], "%q lacks %d: %v", h, want, lexicon.Tokens(h))
			assert.Empty(t, lexicon.Unknown(lexicon.Tokens(h)), h)
		}
	}
}

func TestAxes(t *testing.T) {
	for text, want := range map[string]struct {
		axis casebook.Axis
		dir  casebook.Direction
	}{
		"Estrusione": {casebook.Vertical, casebook.Extrusion}, "Intruzja": {casebook.Vertical, casebook.Intrusion}, "Extrusion/Intrusion": {casebook.Vertical, 0},
		"Rotación": {casebook.Rotation, 0}, "Drehung": {casebook.Rotation, 0}, "mesial-in rotation": {casebook.Rotation, casebook.MesialIn},
		"Kippung mesial": {casebook.Tip, casebook.TipMesial}, "mesiodistale Kippung": {casebook.Tip, 0}, "Angolazione": {casebook.Tip, 0},
		"torque vestibulaire": {casebook.Torque, casebook.TorqueBuccal}, "lingual crown torque": {casebook.Torque, casebook.TorqueLingual},
		"lingual root torque": {casebook.Torque, casebook.TorqueBuccal}, "Wurzel nach distal": {casebook.Tip, casebook.TipMesial}, "Distalisierung": {casebook.MesiodistalShift, casebook.ShiftDistal}, "Translation vestibulo-linguale": {casebook.BuccolingualShift, 0},
		"Espansione": {casebook.BuccolingualShift, casebook.ShiftBuccal}, "Przesunięcie mezjalne": {casebook.MesiodistalShift, casebook.ShiftMesial},
	} {
		axis, dir, rest, ok := lexicon.Axis(lexicon.Of(lexicon.Tokens(text)))
		assert.True(t, ok, text)
		assert.Empty(t, rest, text)
		assert.Equal(t, want.axis, axis, text)
		assert.Equal(t, want.dir, dir, text)
	}
}

// What can be meant in two ways is no axis.
func TestNoAxis(t *testing.T) {
	for _, text := range []string{"Wurzeltorque", "rotation clockwise", "Kippung", "mesial rotation", "rotation and tip", "protrusion", "movement", ""} {
		_, _, _, ok := lexicon.Axis(lexicon.Of(lexicon.Tokens(text)))
		assert.False(t, ok, text)
	}
}

func TestDirectionAlong(t *testing.T) {
	d, ok := lexicon.DirectionAlong(lexicon.Of(lexicon.Tokens("vestibulär")), casebook.Torque)
	assert.True(t, ok)
	assert.Equal(t, casebook.TorqueBuccal, d)
	_, ok = lexicon.DirectionAlong(lexicon.Of(lexicon.Tokens("mesial")), casebook.Torque)
	assert.False(t, ok)
	_, ok = lexicon.DirectionAlong(lexicon.Of(lexicon.Tokens("mesial")), casebook.NoAxis)
	assert.False(t, ok)
}

// Extrusion and intrusion in one column are told apart by the sign.
func TestExtrusionAndIntrusionInOne(t *testing.T) {
	for _, text := range []string{
		"E/I", "e / i", "I/E", "ext/int", "Int./Ext.", "Extr/Intr", "Ext+/int-", "E(+)/I(-)", "E/I plan mm", "Ekstrusion/intrusion", "Ekstrusjon/intrusjon", "extrusion/indtrængning",
		"plan E/I",
		// The part they share written once.
		"In-/Extrusion", "Ex-/Intrusion", "In-/Extrusion (mm)", "Ex- und Intrusion", "in- and extrusion", "in-/estrusione", "Eks-/intrusjon", "In- og ekstrusion", "Extrusion/In-", "Ex-/intruzja",
	} {
		axis, dir, _, ok := lexicon.Axis(lexicon.Of(lexicon.Tokens(text)))
		assert.True(t, ok && axis == casebook.Vertical && dir == casebook.NoDirection, "%s: %v", text, lexicon.Tokens(text))
	}
	for _, text := range []string{"Int+/Ext-", "I+/E-", "E-/I+", "e i", "kg/m", "line/item"} {
		axis, _, _, ok := lexicon.Axis(lexicon.Of(lexicon.Tokens(text)))
		assert.False(t, ok && axis == casebook.Vertical && len(lexicon.Unknown(lexicon.Tokens(text))) == 0, "%s: %v", text, lexicon.Tokens(text))
	}
}

// Two opposed sides, however they are joined, name an axis and no direction.
func TestOpposedSides(t *testing.T) {
	for text, want := range map[string]casebook.Axis{
		"körperlich mesial / distal (mm)": casebook.MesiodistalShift, "Körperlich m/d": casebook.MesiodistalShift, "Mesial-/Distalbewegung": casebook.MesiodistalShift,
		"Distal-/Mesialbewegung": casebook.MesiodistalShift, "körperlich oral / vestibulär (mm)": casebook.BuccolingualShift, "oral/vestib.": casebook.BuccolingualShift,
		"bodily buccal/lingual": casebook.BuccolingualShift, "Lichamelijk mesiaal/distaal": casebook.MesiodistalShift, "bukk./ling.": casebook.BuccolingualShift,
	} {
		axis, dir, _, ok := lexicon.Axis(lexicon.Of(lexicon.Tokens(text)))
		assert.True(t, ok, text)
		assert.Equal(t, want, axis, text)
		assert.Equal(t, casebook.NoDirection, dir, text)
		assert.Equal(t, []string(nil), slices.DeleteFunc(lexicon.Unknown(lexicon.Tokens(text)), func(w string) bool { return w == "mm" }), text)
	}
	for text, want := range map[string]casebook.Direction{
		"Mesialkante nach innen": casebook.MesialIn, "Mesialkante nach außen": casebook.MesialOut, "mesial edge outward": casebook.MesialOut, "bord mésial en dedans": casebook.MesialIn,
		"Distalkante nach innen": casebook.MesialOut,
	} {
		d, ok := lexicon.DirectionAlong(lexicon.Of(lexicon.Tokens(text)), casebook.Rotation)
		assert.True(t, ok, text)
		assert.Equal(t, want, d, text)
	}
}

// The words of a Danish, a Norwegian and a Swedish sheet.
func TestScandinavianWords(t *testing.T) {
	for want, texts := range map[lexicon.Concept][]string{
		lexicon.Tooth: {"Tand", "Tann", "Tandnr"}, lexicon.Planned: {"planlagt", "planerad", "Planerat"}, lexicon.Achieved: {"opnået", "opn.", "nået", "uppnått", "Oppnådd"},
		lexicon.Clinician: {"Behandler", "Tandlæge", "behandlare", "tannlege"}, lexicon.Arch: {"kæbe", "Käke", "kjeve"}, lexicon.Extrusion: {"ekstrusion", "Ekstrusjon"},
		lexicon.Intrusion: {"indtrængning", "intrusjon"}, lexicon.Rotation: {"rotasjon", "vridning"}, lexicon.Nothing: {"ingen", "uten"}, lexicon.Completed: {"færdig", "avslutad", "ferdig"},
		lexicon.Ongoing: {"i gang", "pågår", "under way"}, lexicon.Refinements: {"Antal ekstra runder", "extra omgångar"}, lexicon.Start: {"Start", "startdato"}, lexicon.End: {"Slut", "slutdatum"},
		lexicon.Course: {"Runde", "Omgång"}, lexicon.Case: {"Pt.nr", "pasient"}, lexicon.Notes: {"Bemærkning", "merknader", "Hinweise", "Besonderheiten", "Fritext", "Free text", "Toelichting", "Particularités", "Övrigt", "notatki"},
	} {
		for _, text := range texts {
			assert.True(t, lexicon.Of(lexicon.Tokens(text))[want], "%q lacks %d: %v", text, want, lexicon.Tokens(text))
			assert.Empty(t, lexicon.Unknown(lexicon.Tokens(text)), text)
		}
	}
}

// A single letter beside a movement says something, and is no small word: "tip D" is distal, and
// "vertical I" an intrusion. Within a text it may be one.
func TestLettersAreNoSmallWords(t *testing.T) {
	for _, text := range []string{"tip D", "D tip", "vertical I", "I rotation", "torque i", "E tip", "tip e"} {
		assert.NotEmpty(t, lexicon.Unknown(lexicon.Tokens(text)), text)
	}
	for _, text := range []string{"rotazione e torque", "tipo d'attacco", "ząb w łuku"} {
		for _, tok := range lexicon.Tokens(text) {
			assert.False(t, len(tok.Text) == 1 && tok.Concept == lexicon.None, text)
		}
	}
}
