package values

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"shortfall/ingest/casebook"
	"shortfall/ingest/lexicon"
)

// ToothName is what a tooth written in words says: "upper right first molar" all of it,
// "first molar" its position alone.
type ToothName struct {
	Position  int    // 1 to 8 from the midline, 0 where the words leave it open
	Jaw, Side string // U or L, R or L, "" where they are not said
	Which     string // what a word without its position may be: "which molar"
}

// Lacks says what the words leave open; "" of a whole name, and of no name at all.
func (n ToothName) Lacks() string {
	if (n == ToothName{}) {
		return ""
	}
	var out []string
	for _, p := range []struct {
		open bool
		is   string
	}{{n.Jaw == "", "its jaw"}, {n.Side == "", "its side"}, {n.Position == 0, n.Which}} {
		if p.open {
			out = append(out, p.is)
		}
	}
	return strings.Join(out, ", nor ")
}

// kind is a kind of tooth and the words for it in the languages of the lexicon, folded; "*"
// ends a stem (common practice, no source). A word that covers premolars and molars, such as
// Backenzahn or kies, is none.
type kind struct {
	which     string
	positions []int // by number of order
	words     []string
}

var (
	incisor = kind{"which incisor, central or lateral", nil, []string{
		"incisor", "incisors", "schneidezahn*", "incisive", "incisif", "incisivo", "snijtand", "incisief", "siekacz*", "incisiv", "framtand", "fortand", "fortann",
	}}
	kinds = []kind{
		incisor,
		{"", []int{3}, []string{"canine", "cuspid", "eckzahn*", "caninus", "canino", "colmillo", "hoektand", "cuspidaat", "kiel", "hjornetand", "hjornetann", "horntand"}},
		{"which premolar, first or second", []int{4, 5}, []string{"premolar", "bicuspid", "pramolar*", "praemolar*", "premolaire", "premolare", "premolaar", "przedtrzonow*"}},
		{"which molar, first, second or third", []int{6, 7, 8}, []string{"molar", "molare", "molaire", "molaar", "mahlzahn*", "trzonow*"}},
		{"", []int{8}, []string{"wisdom", "weisheitszahn*", "sagesse", "juicio", "giudizio", "siso", "verstandskies", "madrosci", "visdomstand", "visdomstann"}},
	}
	middle  = []string{"central", "centrale", "centraal", "zentral*", "mittler*", "centraln*", "przysrodkow*", "centrala"}
	lateral = []string{"lateral*", "seitlich*", "boczn*"}
)

// together joins what languages write in two words.
var together = strings.NewReplacer("pre molar", "premolar", "pra molar", "pramolar", "przed trzonow", "przedtrzonow")

// wordOf reports one of some words, those with "*" with any ending of at most four letters.
func wordOf(w string, of []string) bool {
	return slices.ContainsFunc(of, func(o string) bool {
		stem, ends := strings.CutSuffix(o, "*")
		end, ok := strings.CutPrefix(w, stem)
		return ok && (end == "" || ends && len(end) <= 4)
	})
}

// ParseToothName reads a tooth in words; false where a word is none of a tooth, or one part
// is said twice.
func ParseToothName(s string) (ToothName, bool) {
	if len(s) > longestWord || strings.IndexFunc(s, unicode.IsLetter) < 0 {
		return ToothName{}, false
	}
	var place []string
	var found []kind
	var orders, named []int
	for _, raw := range strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(" ,;_()/", r) }) {
		for w := range strings.FieldsSeq(together.Replace(lexicon.Fold(raw))) {
			switch at := slices.IndexFunc(kinds, func(k kind) bool { return wordOf(w, k.words) }); {
			case at >= 0:
				found = append(found, kinds[at])
			case wordOf(w, middle):
				named = append(named, 1)
			case wordOf(w, lateral):
				named = append(named, 2)
			default:
				if n, ok := Ordinal(raw); ok {
					orders = append(orders, n)
				} else {
					place = append(place, w)
				}
			}
		}
	}
	if len(found) != 1 {
		return ToothName{}, false
	}
	n, ok := placed(place)
	return n, ok && n.position(found[0], orders, named)
}

// position settles which tooth of its kind is meant; false where the words do not fit it.
func (n *ToothName) position(k kind, orders, named []int) bool {
	if k.positions == nil {
		if n.Which = k.which; len(named) == 1 {
			n.Position = named[0]
		}
		return len(named) <= 1 && len(orders) == 0
	}
	switch n.Which = k.which; {
	case len(named) > 0 || len(orders) > 1:
		return false
	case len(orders) == 1:
		if len(k.positions) == 1 || orders[0] > len(k.positions) {
			return false
		}
		n.Position = k.positions[orders[0]-1]
	case len(k.positions) == 1:
		n.Position = k.positions[0]
	}
	return true
}

// jawsShort are words of names that the lexicon has otherwise: OK is Oberkiefer here.
var jawsShort = map[string]lexicon.Concept{"ok": lexicon.Upper, "uk": lexicon.Lower, "muela": lexicon.Tooth}

// placed reads the jaw and the side among the words of a name: whole words and no letters,
// which are one quadrant here and another there.
func placed(words []string) (n ToothName, ok bool) {
	for _, t := range lexicon.Tokens(strings.Join(words, " ")) {
		said, is := (*string)(nil), ""
		switch cmp.Or(jawsShort[t.Text], t.Concept) {
		case lexicon.Upper:
			said, is = &n.Jaw, "U"
		case lexicon.Lower:
			said, is = &n.Jaw, "L"
		case lexicon.Right:
			said, is = &n.Side, "R"
		case lexicon.Left:
			said, is = &n.Side, "L"
		case lexicon.Filler, lexicon.Tooth, lexicon.Arch, lexicon.Side, lexicon.Quadrant:
			if !strings.Contains(t.Text, " ") { // "upper lower" is both
				continue
			}
		}
		if said == nil || *said != "" || len(t.Text) < 2 {
			return n, false
		}
		*said = is
	}
	return n, true
}

// Tooth is the tooth of a whole name.
func (n ToothName) Tooth() (casebook.Tooth, bool) {
	if n.Jaw == "" || n.Side == "" || n.Position == 0 {
		return 0, false
	}
	t, err := casebook.ToothFromPalmer(n.Jaw+n.Side, n.Position)
	return t, err == nil
}
