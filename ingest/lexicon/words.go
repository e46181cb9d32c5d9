package lexicon

// valueWords stand in cells, by language as in things (common practice, no
// source).
var valueWords = []entry{
	{Upper, []string{"upper, maxilla, maxillary, max, mx, top", "oberkiefer, ok, oben, obere*", "supérieur*, maxillaire, haut, sup", "superior, maxilar superior, arriba", "superiore, mascellare", "superior, maxilar superior", "boven, bovenkaak, bovenste", "górn*, szczęka górna"}},
	{Lower, []string{"lower, mandible, mandibular, mand, mn, bottom", "unterkiefer, uk, unten, untere*", "inférieur*, mandibulaire, mandibule, bas, inf", "inferior, mandíbula, abajo, mandibular", "inferiore, mandibolare, mandibola", "inferior, mandíbula, mandibular", "onder, onderkaak, onderste", "doln*, żuchwa"}},
	{Right, []string{"right, rt, r", "rechts, re, rechte*", "droite, droit, dr d", "derecha, derecho, der, dcha", "destra, destro, dx", "direita, direito, dir d", "rechts", "prawa, prawy, prawo, prawej"}},
	{Left, []string{"left, lt, l", "links, li, linke*", "gauche, g", "izquierda, izquierdo, izq, izda", "sinistra, sinistro, sx", "esquerda, esquerdo, esq", "links", "lewa, lewy, lewo, lewej"}},
	{Yes, []string{"yes, y, true, x, ✓, ✔", "ja, j, wahr, vorhanden", "oui, o, vrai", "sí, si, s, verdadero, presente", "sì, si, s, vero, presente", "sim, s, verdadeiro, presente", "ja, j, waar, aanwezig", "tak, t, prawda, obecny"}},
	{No, []string{"no, n, false", "nein, falsch", "non, faux", "no, falso", "no, falso", "não, nao", "nee, onwaar", "nie, fałsz"}},
	{Nothing, []string{"none, without, nil, no attachment, not attached, absent, w o, no att, no feature", "kein, keine, keines, keiner, ohne, kein attachment, nicht vorhanden", "sans, aucun, aucune, néant, pas de, sans taquet, absent", "ninguno, ninguna, sin, nada, sin atache, ausente, sin ataches", "nessuno, nessuna, nessun, senza, niente, assente", "nenhum, nenhuma, sem, nada, ausente", "geen, zonder, niets", "brak, bez, żaden, nie ma"}},
	{Software, []string{
		"software, sw, suggested, auto, automatic, automatically, system, default, computer, program, algorithm, proposed, proposal, software suggested, standard",
		"automatisch*, vorgeschlagen*, vorschlag, system, programm, standard, softwarevorschlag", "logiciel, automatique*, proposé*, suggéré*, programme, défaut, par défaut", "automático, automática, sugerido, sugerida, programa, propuesto, sistema, por defecto",
		"automatico, automatica, suggerito, suggerita, programma, proposto, sistema", "automático, automática, sugerido, sugerida, programa, proposto, sistema", "automatisch*, voorgesteld*, programma, standaard, voorstel", "automatyczn*, sugerowan*, program, oprogramowanie, programu, proponowan*, automat",
	}},
	{Own, []string{
		"manual, custom, own, mine, designed, customised design, clinician designed, personal, individual, handmade, me, myself, own design", "eigen*, individuell*, manuell*, selbst, selber, händisch, eigenes design", "manuel*, personnalisé*, propre, individuel*, moi, sur mesure",
		"manual, personalizado, personalizada, propio, propia, individual", "manuale, personalizzat*, proprio, propria, individuale", "manual, personalizado, personalizada, próprio, própria", "handmatig*, eigen, zelf, individueel, individuele, zelf ontworpen", "ręczn*, własn*, indywidualn*, samodzieln*",
	}},
	{Rectangle, []string{"rectangular, rectangle, rect, box, block", "rechteckig*, rechteck, quader", "rectangulaire, rectangle", "rectangular, rectángulo", "rettangolare, rettangolo", "retangular, retângulo", "rechthoekig*, rechthoek", "prostokątn*, prostokąt"}},
	{Bevel, []string{"bevelled, beveled, bevel, wedge", "abgeschrägt*, angeschrägt*, keil, keilförmig", "biseauté*, biseau", "biselado, biselada, bisel", "smussat*, bisellat*, smusso", "biselado, biselada, bisel, chanfrado", "afgeschuind*, schuin afgewerkt", "ścięt*, skośnie ścięty"}},
	{Ellipse, []string{"ellipsoid, ellipse, elliptical, oval", "ellipsoid*, elliptisch, oval", "ellipsoïde, elliptique, ovale", "elipsoide, elíptico, oval, ovalado", "ellissoide, ellittico, ovale", "elipsoide, elíptico, oval", "ellipsoïde, ovaal", "elipsoidaln*, elipsoida, owaln*"}},
	{Dome, []string{"hemisphere, hemispherical, half sphere, button, dome, round", "halbkugel, halbrund, halbkugelig", "hémisphère, hémisphérique, demi sphère, bouton", "hemisferio, hemisférico, semiesfera, botón", "emisfera, emisferico, bottone, semisfera", "hemisfério, hemisférico, botão", "halfrond, halve bol, knop", "półkulist*, półkula, guzik"}},
	{VerticalWord, []string{"vertical, vert", "vertikal*, senkrecht", "vertical, verticale", "vertical", "verticale", "vertical", "verticaal", "pionow*"}},
	{HorizontalWord, []string{"horizontal, horiz", "horizontal*, waagrecht, waagerecht", "horizontal, horizontale", "horizontal", "orizzontale", "horizontal", "horizontaal", "poziom*"}},
	{ObliqueWord, []string{"oblique, diagonal", "schräg*, diagonal", "oblique", "oblicuo, oblicua", "obliquo, obliqua", "oblíquo, oblíqua", "schuin", "skośn*, ukośn*"}},
}
