package columns

import "shortfall/ingest/casebook"

var toothKey = Def{
	Field: Tooth, Type: ToothID, Header: "tooth", Required: true, Template: true,
	Synonyms: []string{"tooth no", "tooth number", "tooth id", "tooth fdi", "fdi", "tooth universal", "tooth palmer"},
	About:    "Tooth in one notation throughout the file: FDI (13), Universal (6) or Palmer (UR3).",
	Example:  "13",
}

var axisKey = Def{
	Field: Axis, Type: Word, Header: "axis", Required: true, Template: true, Words: words(casebook.Axes()),
	Synonyms: []string{"movement", "movement type", "type of movement", "movement axis"},
	About:    "What moved: one of the six axes. Which direction is positive is on the page of instructions.",
	Example:  casebook.Rotation.String(),
}

var unitColumn = Def{
	Field: Unit, Type: Word, Header: "unit", Template: true,
	Words:    []string{casebook.Millimetre.String(), casebook.Degree.String()},
	Synonyms: []string{"units", "unit of measure"},
	About:    "mm for displacements, deg for angles; checked against the axis.",
	Example:  casebook.Degree.String(),
}

// measuredBy stands on a movement, or on the course for all movements that say
// nothing themselves.
var measuredBy = Def{
	Field: MeasuredBy, Type: Word, Header: "measured by", Template: true, Words: words(casebook.Methods()),
	Synonyms: []string{
		"measured with", "measured from", "measured on", "how measured", "achieved measured by", "measurement method", "method of measurement", "measuring method",
		"gemessen mit", "gemessen an", "gemessen durch", "messmethode", "messverfahren", "mesuré par", "mesuré avec", "mesuré sur", "méthode de mesure", "mode de mesure",
		"medido con", "medido por", "medido en", "método de medición", "misurato con", "misurato su", "metodo di misura", "metodo di misurazione",
		"medido com", "método de medição", "método de medida", "gemeten met", "gemeten op", "gemeten door", "meetmethode", "zmierzono", "zmierzone na", "metoda pomiaru", "sposób pomiaru",
	},
	Meanings: []string{
		"superimposition, superimposed, superimposed scan, scan superimposition, scans superimposed, scan overlay, überlagerung, überlagerte scans, scanüberlagerung, superposition, superposition de scans, scans superposés, superposición, superposición de escaneos, sovrapposizione, scansioni sovrapposte, sobreposição, sobreposição de scans, superpositie, scans over elkaar, nałożenie skanów, nałożone skany",
		"next plan, next plan start, start of next plan, start of the next plan, new plan, refinement plan, folgeplan, nächster plan, beginn des nächsten plans, start des folgeplans, plan suivant, début du plan suivant, plan siguiente, inicio del plan siguiente, piano successivo, inizio del piano successivo, plano seguinte, início do plano seguinte, volgend plan, begin van volgend plan, następny plan, początek następnego planu",
		"model, casts, cast, study models, plaster models, dental casts, modelle, modell, gipsmodelle, modèles, moulages, modelos, modelos de yeso, modelli, modelli in gesso, modelos de gesso, modellen, gipsmodellen, modele, modele gipsowe",
		"another, otherwise, andere, anders, sonstige, autre, otro, altro, outro, overig, inne, inny",
	},
	Place: func(record any) Worded {
		if c, ok := record.(*casebook.Course); ok {
			return &c.MeasuredBy
		}
		return &record.(*casebook.Movement).MeasuredBy
	},
	About:   "How the achieved movement was measured; on the sheet of courses for all movements of the course that say nothing themselves.",
	Example: casebook.SuperimposedScans.String(),
}

// confirmed stands beside amounts that can hardly be right, once a person has said that
// they are: in a sheet, or on reading it.
var confirmed = Def{
	Field: Confirmed, Type: Word, Header: "amounts confirmed", Words: words(casebook.Confirmations()),
	Synonyms: []string{"amount confirmed", "confirmed amounts", "amounts checked", "mengen bestätigt", "beträge bestätigt"},
	Meanings: []string{
		"yes, y, confirmed, checked, correct, right, ok, ja, bestätigt, geprüft, oui, confirmé, vérifié, sí, si, confirmado, sì, confermato, sim, bevestigd, gecontroleerd, tak, potwierdzono",
	},
	Place: func(record any) Worded { return &record.(*casebook.Movement).Confirmed },
	About: "That amounts which can hardly be right are as they were measured, where somebody has looked.",
}

const movementUnit = "mm or degrees"

var movementColumns = []Def{
	caseKey,
	courseKey,
	toothKey,
	axisKey,
	{
		Field: Planned, Type: Amount, Header: "planned", Unit: movementUnit, Required: true, Template: true,
		Synonyms: []string{"planned movement", "planned amount", "predicted", "predicted movement", "prescribed", "prescribed movement", "plan", "target", "intended"},
		About:    "Planned movement with its sign.", Example: "15",
	},
	{
		Field: Achieved, Type: Amount, Header: "achieved", Unit: movementUnit, Required: true, Template: true,
		Synonyms: []string{"achieved movement", "achieved amount", "actual", "actual movement", "obtained", "observed", "measured movement", "result", "expressed"},
		About:    "Achieved movement with its sign; \"" + MissingCode + "\" where it was not measured, never blank or 0.",
		Example:  "11.5",
	},
	unitColumn,
	{
		Field: Style, Type: Word, Header: "style", Template: true, Words: words(casebook.Styles()),
		Synonyms: []string{"feature style", "feature", "attachment", "attachment style", "attachment design", "attachment type", "designed by", "feature design"},
		About:    "Who designed the bonded feature: none where no feature was bonded.",
		Example:  casebook.ClinicianDesigned.String(),
	},
	{
		Field: Shape, Type: Word, Header: "shape", Template: true, Words: words(casebook.Shapes()),
		Synonyms: []string{"feature shape", "attachment shape", "geometry"},
		About:    "Shape of the feature.", Example: casebook.Wedge.String(),
	},
	{
		Field: Orientation, Type: Word, Header: "orientation", Template: true, Words: words(casebook.Orientations()),
		Synonyms: []string{"feature orientation", "attachment orientation"},
		About:    "Direction of the attachment's long edge on the crown.", Example: casebook.VerticalFace.String(),
	},
	{
		Field: FeatureSize, Type: Amount, Header: "feature size (mm)", Unit: "mm", Template: true,
		Synonyms: []string{"feature size", "size", "attachment size", "feature length", "attachment length"},
		About:    "Longest side of the feature.", Example: "4",
	},
	{
		Field: Lost, Type: YesNo, Header: "lost", Template: true, Words: []string{"yes", "no"},
		Synonyms: []string{"feature lost", "attachment lost", "debonded", "debond", "loss"},
		About:    "Whether the feature was lost during the course.", Example: "no",
	},
	{
		Field: LostMonth, Type: Count, Header: "lost month", Unit: "months worn", Template: true,
		Synonyms: []string{"month lost", "months to loss", "lost after months"},
		About:    "Whole months worn when the feature was lost.",
	},
	{
		Field: Staging, Type: Word, Header: "staging", Template: true, Words: words(casebook.Stagings()),
		Synonyms: []string{"staged", "movement staging"},
		About:    "Combined: several movements of the tooth at once. Sequenced: one after another.",
		Example:  casebook.Combined.String(),
	},
	measuredBy,
	confirmed,
	{
		Field: Direction, Type: Word, Header: "direction", Words: words(casebook.Directions()),
		Synonyms: []string{"movement direction", "planned direction", "sign"},
		About:    "Direction in words where amounts carry no sign.",
	},
	{
		Field: Residual, Type: Amount, Header: "residual", Unit: movementUnit,
		Synonyms: []string{"residual movement", "remaining", "left over", "discrepancy", "difference", "shortfall", "error"},
		About:    "Planned minus achieved, where a practice keeps that in place of the achieved movement.",
	},
	{
		Field: StartPosition, Type: Amount, Header: "start position", Unit: movementUnit,
		Synonyms: []string{"initial position", "pretreatment position", "position before", "baseline position"},
		About:    "Measured position before the course.",
	},
	{
		Field: EndPosition, Type: Amount, Header: "end position", Unit: movementUnit,
		Synonyms: []string{"final position", "achieved position", "posttreatment position", "position after"},
		About:    "Measured position after the course; achieved is end position minus start position.",
	},
	{
		Field: StatedPercent, Type: Percent, Header: "stated percent", Unit: "%",
		Synonyms: []string{"percent", "percentage", "accuracy", "accuracy percent", "expression", "percent expressed", "percent achieved", "efficacy"},
		About:    "A percentage the practice computed itself; kept beside, never mixed with measured amounts.",
	},
	{
		Field: TargetPosition, Type: Amount, Header: "target position", Unit: movementUnit,
		Synonyms: []string{"planned position", "goal position"},
		About:    "Planned position after the course; planned is target position minus start position.",
	},
	{
		Field: Quadrant, Type: Code, Header: "quadrant",
		About: "Quadrant of a tooth whose own column holds only 1 to 8: UR or 1, UL or 2, LL or 3, LR or 4.",
	},
	{
		Field: Arch, Type: Word, Header: "arch", Words: []string{"upper", "lower"},
		About: "Arch of a tooth whose own column holds only 1 to 8, beside its side.",
	},
	{
		Field: Side, Type: Word, Header: "side", Words: []string{"right", "left"},
		About: "Side of a tooth whose own column holds only 1 to 8, beside its arch.",
	},
	{
		Field: Changed, Type: YesNo, Header: "changed", Words: []string{"yes", "no"},
		Synonyms: []string{"attachment changed", "feature changed"},
		About:    "Whether the clinician changed the attachment that the software suggested.",
	},
	practiceKey,
}

var repeatColumns = []Def{
	caseKey,
	courseKey,
	toothKey,
	axisKey,
	{
		Field: First, Type: Amount, Header: "first", Unit: movementUnit, Required: true, Template: true,
		Synonyms: []string{"first measurement", "measurement 1", "first reading", "reading 1"},
		About:    "Achieved movement as first measured.", Example: "11.5",
	},
	{
		Field: Second, Type: Amount, Header: "second", Unit: movementUnit, Required: true, Template: true,
		Synonyms: []string{"second measurement", "measurement 2", "repeat measurement", "second reading", "reading 2"},
		About:    "The same movement measured again, without sight of the first.", Example: "11.9",
	},
	unitColumn,
	practiceKey,
}
