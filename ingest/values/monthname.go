package values

import (
	"strings"

	"shortfall/ingest/lexicon"
)

// months are the names of each month in the languages of the lexicon, folded, whole and as
// they are cut short (common practice, no source). In Polish also as a date has them.
var months = [12]string{
	"january jan januar jaenner janner janvier janv enero ene gennaio gen janeiro januari styczen stycznia sty",
	"february feb februar feber fevrier fevr fev febrero febbraio fevereiro februari luty lutego lut",
	"march mar marz maerz mrz mars marzo marco maart mrt marzec marca marts",
	"april apr avril avr abril abr aprile kwiecien kwietnia kwi",
	"may mai mayo maggio mag maio mei maj maja",
	"june jun juni juin junio giugno giu junho czerwiec czerwca cze",
	"july jul juli juillet juil julio luglio lug julho lipiec lipca lip",
	"august aug aout agosto ago augustus sierpien sierpnia sie augusti",
	"september sep sept septembre septiembre settembre set setembro wrzesien wrzesnia wrz",
	"october oct oktober okt octobre octubre ottobre ott outubro out pazdziernik pazdziernika paz",
	"november nov novembre noviembre novembro listopad listopada lis",
	"december dec dezember dez decembre diciembre dic dicembre dezembro grudzien grudnia gru desember des",
}

var monthNames = func() map[string]int {
	m := map[string]int{}
	for i, names := range months {
		for _, name := range strings.Fields(names) {
			m[name] = i + 1
		}
	}
	return m
}()

// MonthNames are all of them, for who looks for dates without reading them.
func MonthNames() []string { return strings.Fields(strings.Join(months[:], " ")) }

// monthNamed is the month of a name, 0 for any other word.
func monthNamed(word string) int {
	if word != "" && word[0] <= '9' {
		return 0
	}
	return monthNames[lexicon.Fold(word)]
}

// ofMonths stand between the day, the month and the year: "15 de marzo de 2024".
var ofMonths = map[string]bool{"de": true, "del": true, "di": true, "of": true}
