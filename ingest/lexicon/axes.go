package lexicon

import "shortfall/ingest/casebook"

// movementWords name movements and directions, by language as in things. The
// Latin terms of the trade are much alike in all of them (common practice, no
// source). Words that fit two axes, such as protrusion, are left out.
var movementWords = []entry{
	{Vertical, []string{"vertical movement, vertical displacement, vert mov", "vertikalbewegung, höhenänderung", "mouvement vertical", "movimiento vertical", "movimento verticale", "movimento vertical", "verticale beweging", "ruch pionowy", "vertikal bevægelse, vertikal rörelse, vertikal bevegelse, lodret bevægelse"}},
	{Inclination, []string{"inclination, inclin", "inklination", "inclinaison, inclin", "inclinación, inclin", "inclinazione, inclin", "inclinação", "inclinatie", "inklinacja", "inklination, inklinasjon, hældning, lutning, helning"}},
	{Extrusion, []string{"extrusion, extr, ext, extrude, extruded", "extrusion, extrudiert, elongation", "extrusion, égression", "extrusión", "estrusione", "extrusão", "extrusie", "ekstruzja", "ekstrusion, ekstruderet, ekstrusjon, ekstrudert, extrusion, extruderad"}},
	{Intrusion, []string{"intrusion, intr, int, intrude, intruded", "intrusion, intrudiert", "intrusion, ingression", "intrusión", "intrusione", "intrusão", "intrusie", "intruzja", "intrusion, intruderet, intrusjon, intrudert, intruderad, indtrængning"}},
	{Rotation, []string{"rotation, rotations, rot, rotn, rotate, rotated, derotate, derotated, derotation, derot, axial rotation", "rotation, rotationen, derotation, drehung", "rotation, dérotation", "rotación, rotaciones, derrotación, desrotación", "rotazione, rotazioni, derotazione", "rotação, rotações, desrotação", "rotatie, rotaties, derotatie", "rotacja, rotacje, derotacja", "rotation, rotasjon, rotering, rotationer, rotasjoner, derotation, derotasjon, vridning"}},
	{Tip, []string{"tip, tipped, angulation, ang", "angulation", "angulation", "angulación", "angolazione, angulazione", "angulação", "angulatie", "angulacja", "angulering, angulation, angulasjon, mesiodistal vinkling"}},
	{Tipping, []string{"tipping", "kippung, neigung, kippg", "version, bascule", "versión, volcamiento", "versione, tipping", "versão", "kanteling, kipping", "przechylenie, nachylenie", "tipning, tippning, kipning"}},
	{Torque, []string{"torque, torqued, trq, torq", "torque, torsion des zahnes", "torque", "torque", "torque, torsione", "torque", "torque", "torque, tork", "torque, torkering, torquering"}},
	{Shift, []string{"shift, translation, bodily, displacement, bodily movement", "translation, verschiebung, körperlich*, körperliche bewegung, versatz", "translation, déplacement, gression, en gression", "traslación, desplazamiento, en cuerpo", "traslazione, spostamento, corporeo, corporea", "translação, deslocamento, de corpo", "translatie, verplaatsing, lichamelijk*", "translacja, przesunięcie", "translation, translasjon, parallelforskydning, forskydning, förskjutning, forskyvning, kropslig*, kroppslig*, kropslig bevægelse, kroppslig rörelse"}},
	{Mesialise, []string{"mesialisation, mesialization, mesialise, mesialize, mesialised, mesialized, mesial movement, mesial shift", "mesialisierung, mesialisation, mesialbewegung", "mésialisation, mésialage", "mesialización", "mesializzazione", "mesialização", "mesialisatie, mesialiseren", "mezjalizacja", "mesialisering"}},
	{Distalise, []string{"distalisation, distalization, distalise, distalize, distalised, distalized, distal movement, distal shift", "distalisierung, distalisation, distalbewegung", "distalisation, distalage", "distalización", "distalizzazione", "distalização", "distalisatie, distaliseren", "dystalizacja", "distalisering"}},
	{Expand, []string{"expansion, expand, expanded", "expansion, dehnung", "expansion", "expansión", "espansione", "expansão", "expansie", "ekspansja", "ekspansion, ekspansjon, expansion, udvidelse, utvidgning, utvidelse"}},
	{Constrict, []string{"constriction, contraction, constrict, constricted", "konstriktion, kompression", "constriction, contraction", "constricción, contracción", "contrazione", "constrição, contração", "constrictie", "konstrykcja, zwężenie", "konstriktion, kontraktion, sammentrækning"}},
	{MD, []string{"mesiodistal, mesio distal, md, m d", "mesiodistal*, mesio distal*", "mésiodistal, mésio distal, mésiodistale, mésio distale", "mesiodistal, mesio distal", "mesiodistale, mesio distale", "mésio distal, mesiodistal", "mesiodistaal, mesio distaal, mesiodistale", "mezjodystaln*, mezjo dystaln*", "mesiodistalt, mesio distalt"}},
	{BL, []string{
		"buccolingual, bucco lingual, bl, vl, v l, vo, v o, b l, labiolingual, labio lingual, buccopalatal, faciolingual", "bukkolingual*, bucco lingual*, vestibulooral, oro vestibulär, vestibulo oral, bukko lingual*, vl, bo", "vestibulo lingual, vestibulolingual, vestibulolinguale, vestibulo linguale, vestibulopalatin",
		"vestíbulo lingual, vestibulolingual, bucolingual, buco lingual", "vestibolo linguale, vestibololinguale, buccolinguale, bucco linguale", "vestíbulo lingual, vestibulolingual, buco lingual, bucolingual", "buccolinguaal, bucco linguaal", "policzkowo językowe, policzkowo językowy, policzkowo językow*, wargowo językow*, przedsionkowo językow*",
		"buccolingualt, bukkolingualt, buckolingual, buckolingualt, bucco lingualt",
	}},
	{Mesial, []string{"mesial, mesially, mes, mesial side", "mesial*, nach mesial, n mes", "mésial, mésiale", "mesial, a mesial, hacia mesial", "mesiale, verso mesiale", "mesial, para mesial", "mesiaal, naar mesiaal", "mezjaln*, mezjalnie", "mesialt, mod mesialt, mot mesialt"}},
	{Distal, []string{"distal, distally, dist, distal side", "distal*, nach distal, n dist", "distal, distale", "distal, a distal, hacia distal", "distale, verso distale", "distal, para distal", "distaal, naar distaal", "dystaln*, dystalnie", "distalt, mod distalt, mot distalt"}},
	{Buccal, []string{"buccal, labial, buccally, labially, facial, bucc, vestibular, vest, vestib, bukk", "bukkal*, labial*, vestibulär*, vestibular*", "vestibulaire, labial, labiale, buccal", "vestibular, bucal, labial, a vestibular", "vestibolare, labiale, buccale", "vestibular, labial, bucal", "buccaal, labiaal, vestibulair", "policzkow*, wargow*, przedsionkow*", "buccalt, bukkalt, buckalt, facialt, labialt"}},
	{Lingual, []string{"lingual, palatal, lingually, palatally, ling, palat, oral", "lingual*, palatinal*, palatal*, oral*", "lingual, linguale, palatin, palatine", "lingual, palatino, palatina, palatal", "linguale, palatale, palatino", "lingual, palatino, palatina", "linguaal, palatinaal", "językow*, podniebienn*", "lingualt, palatinalt, oralt"}},
	{Inward, []string{"in, inward, inwards, inside", "einwärts, nach innen, innen", "vers l intérieur, en dedans, interne", "hacia dentro, adentro, interior", "verso l interno, interno", "para dentro, interior", "naar binnen, inwaarts", "do wewnątrz", "indad, inåt, innover"}},
	{Outward, []string{"out, outward, outwards, outside", "auswärts, nach außen, nach aussen, aussen", "vers l extérieur, en dehors, externe", "hacia fuera, afuera", "verso l esterno, esterno", "para fora", "naar buiten, uitwaarts", "na zewnątrz", "udad, utåt, utover"}},
	{Crown, []string{"crown, coronal", "krone, kronen", "couronne, coronaire, coronal, cour", "corona, coronal, cor", "corona, coronale, cor", "coroa, coronal, cor", "kroon", "korona, korony", "krona, kronen"}},
	{Root, []string{"root, radicular", "wurzel, wurzel torque", "racine, radiculaire", "raíz, radicular", "radice, radicolare", "raiz, radicular", "wortel", "korzeń, korzenia, korzeniow*", "roden, roten, rotspids"}},
	{Clockwise, []string{"clockwise, cw", "im uhrzeigersinn, uhrzeigersinn", "sens horaire, horaire", "horario, sentido horario", "senso orario, orario", "horário, sentido horário", "met de klok mee, kloksgewijs", "zgodnie z ruchem wskazówek, zgodnie z ruchem", "med uret, medurs, med urviserne, med klokken"}},
	{Anticlockwise, []string{"counterclockwise, counter clockwise, anticlockwise, anti clockwise, ccw, acw", "gegen den uhrzeigersinn, gegen uhrzeigersinn", "antihoraire, sens antihoraire, anti horaire", "antihorario, sentido antihorario", "antiorario, senso antiorario", "anti horário, sentido anti horário", "tegen de klok in", "przeciwnie do ruchu", "mod uret, moturs, mot klokken, mod urviserne"}},
}

// about are the concepts that say which movement is meant.
var about = Set{
	Vertical: true, Inclination: true, Extrusion: true, Intrusion: true, Rotation: true, Tip: true, Tipping: true, Torque: true, Shift: true,
	Mesialise: true, Distalise: true, Expand: true, Constrict: true, MD: true, BL: true, Mesial: true, Distal: true,
	Buccal: true, Lingual: true, Inward: true, Outward: true, Crown: true, Root: true, Clockwise: true, Anticlockwise: true,
}

// Axis reads a movement out of the concepts of a text: the axis, and the
// direction where the words give one. rest are the concepts that say nothing
// about it. ok is false where no movement is named, or not one for certain: a
// movement of the root has the opposite sign of that of the crown, and the
// direction of a clock depends on the side and on where one stands.
func Axis(s Set) (axis casebook.Axis, dir casebook.Direction, rest Set, ok bool) {
	m, rest := Set{}, Set{}
	for c := range s {
		switch {
		case c == VerticalWord:
			m[Vertical] = true
		case about[c]:
			m[c] = true
		default:
			rest[c] = true
		}
	}
	if m[Clockwise] || m[Anticlockwise] || len(m) == 0 {
		return casebook.NoAxis, casebook.NoDirection, rest, false
	}
	axis, dir = m.movement()
	if dir != casebook.NoDirection {
		axis = dir.Axis()
	}
	delete(rest, Side)
	return axis, dir, rest, axis != casebook.NoAxis
}

// take reports a concept and removes it.
func (s Set) take(c Concept) bool {
	has := s[c]
	delete(s, c)
	return has
}

// movement reads a set of concepts of movement; every one of them must fit.
func (s Set) movement() (casebook.Axis, casebook.Direction) {
	if s[Vertical] || s[Extrusion] || s[Intrusion] {
		return s.vertical()
	}
	switch { // "mesial-/distal movement": the second word carries what both are
	case s[Mesial] && s[Distalise]:
		s[Mesialise] = s.take(Mesial)
	case s[Distal] && s[Mesialise]:
		s[Distalise] = s.take(Distal)
	}
	for _, w := range []struct {
		plus, minus Concept
		axis        casebook.Axis
	}{{Mesialise, Distalise, casebook.MesiodistalShift}, {Expand, Constrict, casebook.BuccolingualShift}} {
		if s[w.plus] || s[w.minus] {
			return s.named(w.plus, w.minus, w.axis)
		}
	}
	mesial, distal, in, out := s.take(Mesial), s.take(Distal), s.take(Inward), s.take(Outward)
	buccal, lingual := s.take(Buccal), s.take(Lingual)
	if s[Rotation] || (in || out) && (mesial || distal) && len(s) == 0 {
		delete(s, Rotation)
		if buccal || lingual || len(s) > 0 {
			return 0, 0
		}
		return rotation(mesial, distal, in, out)
	}
	if (in || out) && !mesial && !distal && !buccal && !lingual {
		return 0, 0
	}
	return s.inPlane(mesial, distal, buccal, lingual)
}

func (s Set) vertical() (casebook.Axis, casebook.Direction) {
	delete(s, Vertical)
	delete(s, Shift)
	return s.named(Extrusion, Intrusion, casebook.Vertical)
}

// named reads one of two words that give axis and direction at once; both of
// them name the axis.
func (s Set) named(plus, minus Concept, axis casebook.Axis) (casebook.Axis, casebook.Direction) {
	p, m := s.take(plus), s.take(minus)
	switch {
	case len(s) > 0:
		return 0, 0
	case p == m:
		return axis, 0
	case p:
		return axis, casebook.DirectionOf(axis, 1)
	}
	return axis, casebook.DirectionOf(axis, -1)
}

// rotation about the long axis: mesial side inward is distal side outward.
func rotation(mesial, distal, in, out bool) (casebook.Axis, casebook.Direction) {
	switch {
	case !mesial && !distal && !in && !out, mesial && distal:
		return casebook.Rotation, 0
	case in == out:
		return 0, 0 // "mesial rotation" may be meant either way
	case mesial && in, distal && out:
		return 0, casebook.MesialIn
	case mesial && out, distal && in:
		return 0, casebook.MesialOut
	}
	return 0, 0
}

// inPlane reads tip, torque and shifts: what moves, in which plane and which way.
func (s Set) inPlane(mesial, distal, buccal, lingual bool) (casebook.Axis, casebook.Direction) {
	namedMD, namedBL := s.take(MD), s.take(BL)
	md, bl := namedMD || mesial || distal, namedBL || buccal || lingual
	crown, tip, tipping := s.take(Crown), s.take(Tip), s.take(Tipping)
	root := s.take(Root)
	crown = crown != root && (crown || root)
	torque, inclination, shift := s.take(Torque), s.take(Inclination), s.take(Shift)
	tilted := tip || tipping || torque || inclination || crown
	sign := 0.0
	switch {
	case mesial != distal && !buccal && !lingual:
		sign = map[bool]float64{true: 1, false: -1}[mesial]
	case buccal != lingual && !mesial && !distal:
		sign = map[bool]float64{true: 1, false: -1}[buccal]
	}
	axis := casebook.NoAxis
	switch {
	case len(s) > 0, md && bl, tilted && shift, torque && (md || tip), tip && inclination:
	case tilted && (md || tip && !bl):
		axis = casebook.Tip
	case tilted && (bl || torque || inclination):
		axis = casebook.Torque
	case md && (shift || namedMD || mesial == distal):
		axis = casebook.MesiodistalShift
	case bl && (shift || namedBL || buccal == lingual):
		axis = casebook.BuccolingualShift
	}
	switch {
	case axis == casebook.NoAxis, sign == 0 && root:
		return 0, 0 // the sign of a root's movement is that of the crown turned
	case sign == 0:
		return axis, 0
	case root:
		// Lingual root torque is labial crown torque: the same couple.
		sign = -sign
	}
	return axis, casebook.DirectionOf(axis, sign)
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
		if c != Crown || a != casebook.Tip && a != casebook.Torque {
			without[c] = true
		}
	}
	if len(without) == 1 {
		// any order: there is one
		for c := range without {
			if sign, ok := sides[a][c]; ok {
				return casebook.DirectionOf(a, sign), true
			}
		}
	}
	_, d, rest, ok := Axis(s)
	return d, ok && d != casebook.NoDirection && len(rest) == 0 && (a == casebook.NoAxis || d.Axis() == a)
}

// IsMovement reports a concept that says which movement is meant, or which way.
func IsMovement(c Concept) bool { return about[c] }

// IsSide reports a concept that says to or on which side, and not what moves.
func IsSide(c Concept) bool {
	switch c {
	case MD, BL, Mesial, Distal, Buccal, Lingual, Inward, Outward, Crown, Root:
		return true
	}
	return false
}
