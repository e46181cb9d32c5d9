package lexicon

import "shortfall/ingest/casebook"

// movementWords name movements and directions, by language as in things. The
// Latin terms of the trade are much alike in all of them (common practice, no
// source). Words that fit two axes, such as protrusion, are left out.
var movementWords = []entry{
	{Vertical, []string{"vertical movement, vertical displacement, vert mov", "vertikalbewegung, höhenänderung", "mouvement vertical", "movimiento vertical", "movimento verticale", "movimento vertical", "verticale beweging", "ruch pionowy"}},
	{Extrusion, []string{"extrusion, extr, ext, extrude, extruded", "extrusion, extrudiert, elongation", "extrusion, égression", "extrusión", "estrusione", "extrusão", "extrusie", "ekstruzja"}},
	{Intrusion, []string{"intrusion, intr, int, intrude, intruded", "intrusion, intrudiert", "intrusion, ingression", "intrusión", "intrusione", "intrusão", "intrusie", "intruzja"}},
	{Rotation, []string{"rotation, rot, rotn, derotation, derot, axial rotation", "rotation, derotation, drehung", "rotation, dérotation", "rotación, derrotación, desrotación", "rotazione, derotazione", "rotação, desrotação", "rotatie, derotatie", "rotacja, derotacja"}},
	{Tip, []string{"tip, angulation, ang", "angulation", "angulation", "angulación", "angolazione, angulazione", "angulação", "angulatie", "angulacja"}},
	{Tipping, []string{"tipping, inclination change", "kippung, neigung", "version, bascule", "versión, volcamiento", "versione, tipping", "versão", "kanteling, kipping", "przechylenie, nachylenie"}},
	{Torque, []string{"torque, trq, inclination", "torque, inklination, torsion des zahnes", "torque, inclinaison", "torque, inclinación", "torque, inclinazione, torsione", "torque, inclinação", "torque, inclinatie", "torque, tork, inklinacja"}},
	{Shift, []string{"shift, translation, bodily, displacement, bodily movement", "translation, verschiebung, körperliche bewegung, versatz", "translation, déplacement", "traslación, desplazamiento", "traslazione, spostamento", "translação, deslocamento", "translatie, verplaatsing", "translacja, przesunięcie"}},
	{Mesialise, []string{"mesialisation, mesialization, mesialise, mesialize, mesial movement, mesial shift", "mesialisierung, mesialisation, mesialbewegung", "mésialisation, mésialage", "mesialización", "mesializzazione", "mesialização", "mesialisatie, mesialiseren", "mezjalizacja"}},
	{Distalise, []string{"distalisation, distalization, distalise, distalize, distal movement, distal shift", "distalisierung, distalisation, distalbewegung", "distalisation, distalage", "distalización", "distalizzazione", "distalização", "distalisatie, distaliseren", "dystalizacja"}},
	{Expand, []string{"expansion, expand", "expansion, dehnung", "expansion", "expansión", "espansione", "expansão", "expansie", "ekspansja"}},
	{Constrict, []string{"constriction, contraction, constrict", "konstriktion, kompression", "constriction, contraction", "constricción, contracción", "contrazione", "constrição, contração", "constrictie", "konstrykcja, zwężenie"}},
	{MD, []string{"mesiodistal, mesio distal, md, m d", "mesiodistal*, mesio distal*", "mésiodistal, mésio distal, mésiodistale, mésio distale", "mesiodistal, mesio distal", "mesiodistale, mesio distale", "mésio distal, mesiodistal", "mesiodistaal, mesio distaal, mesiodistale", "mezjodystaln*, mezjo dystaln*"}},
	{BL, []string{
		"buccolingual, bucco lingual, bl, b l, labiolingual, labio lingual, buccopalatal, faciolingual", "bukkolingual*, bucco lingual*, vestibulooral, oro vestibulär, vestibulo oral", "vestibulo lingual, vestibulolingual, vestibulolinguale, vestibulo linguale, vestibulopalatin",
		"vestíbulo lingual, vestibulolingual, bucolingual, buco lingual", "vestibolo linguale, vestibololinguale, buccolinguale, bucco linguale", "vestíbulo lingual, vestibulolingual, buco lingual, bucolingual", "buccolinguaal, bucco linguaal", "policzkowo językow*, wargowo językow*, przedsionkowo językow*",
	}},
	{Mesial, []string{"mesial, mesially, mes", "mesial*, nach mesial", "mésial, mésiale", "mesial, a mesial, hacia mesial", "mesiale, verso mesiale", "mesial, para mesial", "mesiaal, naar mesiaal", "mezjaln*, mezjalnie"}},
	{Distal, []string{"distal, distally, dist", "distal*, nach distal", "distal, distale", "distal, a distal, hacia distal", "distale, verso distale", "distal, para distal", "distaal, naar distaal", "dystaln*, dystalnie"}},
	{Buccal, []string{"buccal, labial, buccally, labially, facial, bucc, vestibular", "bukkal*, labial*, vestibulär*, vestibular*", "vestibulaire, labial, labiale, buccal", "vestibular, bucal, labial, a vestibular", "vestibolare, labiale, buccale", "vestibular, labial, bucal", "buccaal, labiaal, vestibulair", "policzkow*, wargow*, przedsionkow*"}},
	{Lingual, []string{"lingual, palatal, lingually, palatally, ling, oral", "lingual*, palatinal*, palatal*, oral*", "lingual, linguale, palatin, palatine", "lingual, palatino, palatina, palatal", "linguale, palatale, palatino", "lingual, palatino, palatina", "linguaal, palatinaal", "językow*, podniebienn*"}},
	{Inward, []string{"in, inward, inwards, inside", "einwärts, nach innen, innen", "vers l intérieur, en dedans, interne", "hacia dentro, adentro, interior", "verso l interno, interno", "para dentro, interior", "naar binnen, inwaarts", "do wewnątrz"}},
	{Outward, []string{"out, outward, outwards, outside", "auswärts, nach außen, nach aussen, aussen", "vers l extérieur, en dehors, externe", "hacia fuera, afuera", "verso l esterno, esterno", "para fora", "naar buiten, uitwaarts", "na zewnątrz"}},
	{Crown, []string{"crown, coronal", "krone, kronen", "couronne, coronaire, coronal", "corona, coronal", "corona, coronale", "coroa, coronal", "kroon", "korona, korony"}},
	{Root, []string{"root, radicular", "wurzel, wurzel torque", "racine, radiculaire", "raíz, radicular", "radice, radicolare", "raiz, radicular", "wortel", "korzeń, korzenia, korzeniow*"}},
	{Clockwise, []string{"clockwise, cw", "im uhrzeigersinn, uhrzeigersinn", "sens horaire, horaire", "horario, sentido horario", "senso orario, orario", "horário, sentido horário", "met de klok mee, kloksgewijs", "zgodnie z ruchem wskazówek, zgodnie z ruchem"}},
	{Anticlockwise, []string{"counterclockwise, counter clockwise, anticlockwise, anti clockwise, ccw, acw", "gegen den uhrzeigersinn, gegen uhrzeigersinn", "antihoraire, sens antihoraire, anti horaire", "antihorario, sentido antihorario", "antiorario, senso antiorario", "anti horário, sentido anti horário", "tegen de klok in", "przeciwnie do ruchu"}},
}

// pair is a set of concepts that gives an axis, or a direction along one.
type meaning struct {
	need []Concept
	axis casebook.Axis
	dir  casebook.Direction
}

// meanings are tried in order; Crown may stand with any of tip and torque.
var meanings = []meaning{
	{[]Concept{Extrusion, Intrusion}, casebook.Vertical, 0},
	{[]Concept{Extrusion}, 0, casebook.Extrusion},
	{[]Concept{Intrusion}, 0, casebook.Intrusion},
	{[]Concept{Vertical}, casebook.Vertical, 0},
	{[]Concept{Rotation, Mesial, Inward}, 0, casebook.MesialIn},
	{[]Concept{Rotation, Distal, Outward}, 0, casebook.MesialIn},
	{[]Concept{Rotation, Mesial, Outward}, 0, casebook.MesialOut},
	{[]Concept{Rotation, Distal, Inward}, 0, casebook.MesialOut},
	{[]Concept{Mesial, Inward}, 0, casebook.MesialIn},
	{[]Concept{Distal, Outward}, 0, casebook.MesialIn},
	{[]Concept{Mesial, Outward}, 0, casebook.MesialOut},
	{[]Concept{Distal, Inward}, 0, casebook.MesialOut},
	{[]Concept{Rotation}, casebook.Rotation, 0},
	{[]Concept{Tip, MD}, casebook.Tip, 0},
	{[]Concept{Tipping, MD}, casebook.Tip, 0},
	{[]Concept{Torque, MD}, casebook.Tip, 0}, // mesiodistal inclination
	{[]Concept{Tip, BL}, casebook.Torque, 0},
	{[]Concept{Tipping, BL}, casebook.Torque, 0},
	{[]Concept{Torque, BL}, casebook.Torque, 0},
	{[]Concept{Tip, Mesial}, 0, casebook.TipMesial},
	{[]Concept{Tipping, Mesial}, 0, casebook.TipMesial},
	{[]Concept{Tip, Distal}, 0, casebook.TipDistal},
	{[]Concept{Tipping, Distal}, 0, casebook.TipDistal},
	{[]Concept{Torque, Buccal}, 0, casebook.TorqueBuccal},
	{[]Concept{Tipping, Buccal}, 0, casebook.TorqueBuccal},
	{[]Concept{Tip, Buccal}, 0, casebook.TorqueBuccal},
	{[]Concept{Torque, Lingual}, 0, casebook.TorqueLingual},
	{[]Concept{Tipping, Lingual}, 0, casebook.TorqueLingual},
	{[]Concept{Tip, Lingual}, 0, casebook.TorqueLingual},
	{[]Concept{Tip}, casebook.Tip, 0},
	{[]Concept{Torque}, casebook.Torque, 0},
	{[]Concept{Mesialise, Distalise}, casebook.MesiodistalShift, 0},
	{[]Concept{Mesialise}, 0, casebook.ShiftMesial},
	{[]Concept{Distalise}, 0, casebook.ShiftDistal},
	{[]Concept{Shift, Mesial}, 0, casebook.ShiftMesial},
	{[]Concept{Shift, Distal}, 0, casebook.ShiftDistal},
	{[]Concept{Shift, MD}, casebook.MesiodistalShift, 0},
	{[]Concept{MD}, casebook.MesiodistalShift, 0},
	{[]Concept{Expand, Constrict}, casebook.BuccolingualShift, 0},
	{[]Concept{Expand}, 0, casebook.ShiftBuccal},
	{[]Concept{Constrict}, 0, casebook.ShiftLingual},
	{[]Concept{Shift, Buccal}, 0, casebook.ShiftBuccal},
	{[]Concept{Shift, Lingual}, 0, casebook.ShiftLingual},
	{[]Concept{Shift, BL}, casebook.BuccolingualShift, 0},
	{[]Concept{BL}, casebook.BuccolingualShift, 0},
}

// about are the concepts that say which movement is meant.
var about = Set{
	Vertical: true, Extrusion: true, Intrusion: true, Rotation: true, Tip: true, Tipping: true, Torque: true, Shift: true,
	Mesialise: true, Distalise: true, Expand: true, Constrict: true, MD: true, BL: true, Mesial: true, Distal: true,
	Buccal: true, Lingual: true, Inward: true, Outward: true, Crown: true, Root: true, Clockwise: true, Anticlockwise: true,
}

// Axis reads a movement out of the concepts of a text: the axis, and the
// direction where the words give one. rest are the concepts that say nothing
// about it. ok is false where no movement is named, or not one for certain: a
// movement of the root has the opposite sign of that of the crown, and the
// direction of a clock depends on the side and on where one stands.
func Axis(s Set) (axis casebook.Axis, dir casebook.Direction, rest Set, ok bool) {
	mine, rest := Set{}, Set{}
	for c := range s {
		if about[c] {
			mine[c] = true
		} else {
			rest[c] = true
		}
	}
	for _, m := range meanings {
		if !mine.Only(m.need, Crown) {
			continue
		}
		if m.dir != casebook.NoDirection {
			return m.dir.Axis(), m.dir, rest, true
		}
		return m.axis, casebook.NoDirection, rest, true
	}
	return casebook.NoAxis, casebook.NoDirection, rest, false
}

// sides are the directions of each axis by one concept.
var sides = map[casebook.Axis]map[Concept]float64{
	casebook.Vertical:          {Extrusion: 1, Intrusion: -1},
	casebook.Tip:               {Mesial: 1, Distal: -1},
	casebook.Torque:            {Buccal: 1, Lingual: -1},
	casebook.MesiodistalShift:  {Mesial: 1, Distal: -1, Mesialise: 1, Distalise: -1},
	casebook.BuccolingualShift: {Buccal: 1, Lingual: -1, Expand: 1, Constrict: -1},
}

// DirectionAlong reads a direction where the axis is known: "vestibular" is
// buccal along a torque.
func DirectionAlong(s Set, a casebook.Axis) (casebook.Direction, bool) {
	without := Set{}
	for c := range s {
		if c != Crown {
			without[c] = true
		}
	}
	if len(without) == 1 {
		for c := range without {
			if sign, ok := sides[a][c]; ok {
				return casebook.DirectionOf(a, sign), true
			}
		}
	}
	_, d, rest, ok := Axis(s)
	return d, ok && d != casebook.NoDirection && len(rest) == 0 && (a == casebook.NoAxis || d.Axis() == a)
}
