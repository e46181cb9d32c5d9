package privacy

import (
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"shortfall/ingest/rules"
)

// Contact details, by form. Sources of the forms: mail RFC 5322, web RFC 3986,
// network RFC 791 and RFC 4291, telephone ITU-T E.164 (at most 15 digits).
var (
	mail = regexp.MustCompile(`(?i)[\p{L}\d._%+-]+\s?(?:@|\(at\)|\[at\])\s?[\p{L}\d-]+(?:\.[\p{L}\d-]+)*\.\p{L}{2,}`)
	// spelt out: "k at example dot org"; the ends are common ones, since "at" and
	// "dot" are words too.
	spelt   = regexp.MustCompile(`(?i)[\p{L}\d._%+-]+\s*(?:@|\(at\)|\[at\]|\bat\b)\s*[\p{L}\d-]+(?:\s*(?:\.|\bdot\b|\(dot\)|\[dot\])\s*[\p{L}\d-]+)*\s*(?:\.|\bdot\b|\(dot\)|\[dot\])\s*(?:com|org|net|info|example|edu|gov|io|uk|de|fr|es|it|nl|ch|at|pl|eu|be|se|dk|no|ie|in|br|jp|au|ca)\b`)
	account = regexp.MustCompile(`(?:^|\s)@[\p{L}\d_.]{3,}|(?i)\b(?:skype|insta(?:gram)?|facebook|telegram|whatsapp|wechat)\b:?\s+[\p{L}\d_.]{3,}`)
	web     = regexp.MustCompile(`(?i)\b(?:https?|ftp)://|\bwww\.[\p{L}\d-]|\b[\p{L}\d-]+\.(?:com|org|net|info|example|co\.uk|de|fr|es|it|nl|ch|at|pl|eu|edu|gov)\b(?:/|$)`)
	network = regexp.MustCompile(`\b(?:25[0-5]|2[0-4]\d|1?\d?\d)(?:\.(?:25[0-5]|2[0-4]\d|1?\d?\d)){3}\b|(?i)\b(?:[0-9a-f]{1,4}:){3,7}:?[0-9a-f]{1,4}\b|\b[0-9a-f]{1,4}(?::[0-9a-f]{1,4})*::[0-9a-f]{1,4}\b|\b(?:[0-9a-f]{2}[:-]){5}[0-9a-f]{2}\b`)
	// onEarth is a place by its latitude or longitude (ISO 6709, the form for people and that of decimals).
	onEarth = regexp.MustCompile(`\d{1,3}°\s?\d{1,2}['′](?:\s?\d{1,2}(?:\.\d+)?["″])?\s?[NSEWO]\b|^[+-]?\d{1,2}\.\d{4,}[°,; ]+[+-]?\d{1,3}\.\d{4,}°?$`)
	counted = regexp.MustCompile(`^(?:19|20)\d{2}[-./ ]\d{3,4}$`) // a year and a running number
	phone   = regexp.MustCompile(`(?:\+|\b00|\(0?|\b)\d[\d\s()./-]{5,}\d`)
	// intake: a code of a site, the year and month of the start, and a running number.
	intake = regexp.MustCompile(`^\p{L}{1,4}[-_/](?:20)?(?:1[5-9]|2\d|3[0-5])[-_/](?:0[1-9]|1[0-2])[-_/]\d{3,4}$`)
	called = regexp.MustCompile(`(?i)\b(?:tel|telephone|telefon|phone|fax|mobile|mobil|cell|handy)\b\.?:?\s*\+?[\d(][\d\s()./-]{3,}`)
)

// Postal addresses: a number beside a word for a street, or a postal code
// beside a place or standing where a place could.
var (
	street = regexp.MustCompile(`(?i)\b\d+[a-z]?,?\s+(?:[\p{L}.'-]+\s+){0,3}(?:street|st\.|road|rd\.?|avenue|ave\.?|lane|drive|court|terrace|boulevard|blvd\.?|place|square|close|way|crescent)(?:\s|,|\.|$)` +
		`|[\p{L}-]+(?:stra(?:ß|ss)e|str\.|weg|gasse|platz|allee|straat|laan|gatan|gata|vej|gade|ulica)\s*\d+` +
		`|\b(?:rue|avenue|boulevard|calle|avenida|paseo|via|viale|piazza|corso|rua|ul\.|ulica)\s+(?:[\p{L}.'-]+\s+){1,4},?\s*\d+` +
		`|\b\d+,?\s+(?:bis\s+)?(?:rue|avenue|boulevard|place|chemin)\s+\p{L}|\bp\.?\s?o\.?\s?box\s+\d+|\bpostfach\s+\d+`)
	postal = regexp.MustCompile(`\b[A-Z]{1,2}\d[A-Z\d]? \d[A-Z]{2}\b|\b[A-Z]{2} \d{5}(?:-\d{4})?\b|^\d{5}-\d{4}$|\b\d{5}\s+\p{Lu}\p{L}{2,}|^(?:[A-Z]{1,2}-)?\d{4,5}\s+\p{Lu}\p{Ll}{2,}(?:[\s-]\p{L}+)*$|^\d{4}\s?[A-Z]{2}\s+\p{Lu}|\b[AC-FHKNPRTV-Y]\d[\dW] [AC-FHKNPRTV-Y][AC-FHKNPRTV-Y\d]{3}\b`)
)

// Numbers of persons and things, by form or by the label before them.
var (
	labelled = regexp.MustCompile(`(?i)\b(?:mrn|ssn|nhs|nhi|dob|record|chart|hosp(?:ital)?|dossier|file|policy|insurance|insured|account|acct|licen[cs]e|passport|serial|s/n|sn|vin|plate|device|member|health plan|certificate|versicherung\w*|versicherten\w*|krankenkasse|akte\w*|pat(?:ienten?)?|iban|ahv|bsn|pesel|dni|cpr|udi)\.?[\s-]*(?:no|nr|num|number|id|#|n[°º])?\.?\s*[:#=]?\s*[A-Z]{0,4}[\s-]?\d[\dA-Z./-]{3,}`)
	forms    = regexp.MustCompile(`\b\d{3}-\d{2}-\d{4}\b` + // US social security
		`|\b756\.\d{4}\.\d{4}\.\d{2}\b` + // Swiss insured person
		`|\b[A-Z]{2}\s?\d{2}\s?\d{2}\s?\d{2}\s?[A-D]\b` + // UK national insurance
		`|\b[A-Z]{6}\d{2}[A-Z]\d{2}[A-Z]\d{3}[A-Z]\b` + // Italian tax code
		`|\b[XYZ]?\d{7,8}-?[A-Z]\b` + // Spanish identity
		`|\b[A-Z]{2}\d{2}(?:\s?[A-Z\d]{4}){3,7}(?:\s?[A-Z\d]{1,3})?\b` + // IBAN, ISO 13616
		`|\b[12]\s?\d{2}\s?\d{2}\s?\d{2}\s?\d{3}\s?\d{3}(?:\s?\d{2})?\b` + // French national register
		`|\b\d{6}[-+]\d{4}\b` + // Nordic personal number
		`|\b[A-Z]{3}[ABCFGHJLPT][A-Z]\d{4}[A-Z]\b` + // Indian tax number
		`|\(01\)\d{14}`) // device identifier, GS1
	// machineRead is the filler of the lines of a travel document (ICAO Doc 9303).
	machineRead = regexp.MustCompile(`\p{L}<<?\p{L}|<{3,}`)
	vehicle     = regexp.MustCompile(`\b[A-HJ-NPR-Z0-9]{17}\b`) // ISO 3779
	plate       = regexp.MustCompile(`^\p{Lu}{1,3}[ -]\p{Lu}{1,2} \d{1,4}$`)
	longRun     = regexp.MustCompile(`\d{9,}|(?:^|\s)\d{7,}(?:\s|$)`)
	image       = regexp.MustCompile(`(?i)[\p{L}\d]\.(?:jpe?g|png|gif|bmp|tiff?|heic|webp|dcm|stl|ply|obj|mp4|mov|avi)\b`)
)

// Whole dates as text, each with the place of the year.
var (
	yearFirst = regexp.MustCompile(`\b(\d{4})[-./](\d{1,2})[-./](\d{1,2})(?:\b|T)`)
	yearLast  = regexp.MustCompile(`\b(\d{1,2})[-./](\d{1,2})[-./](\d{4}|\d{2})\b`)
	dayMonth  = regexp.MustCompile(`(?i)\b\d{1,2}(?:st|nd|rd|th|\.)?[\s-]+(?:of\s+)?(\p{L}{3,10})\.?,?[\s-]+(\d{4}|\d{2})\b`)
	monthDay  = regexp.MustCompile(`(?i)\b(\p{L}{3,10})\.?\s+\d{1,2}(?:st|nd|rd|th)?,?\s+(\d{4})\b`)
	compact   = regexp.MustCompile(`\b((?:19|20)\d{2})(0[1-9]|1[0-2])(0[1-9]|[12]\d|3[01])\b`)
	born      = regexp.MustCompile(`(?i)\b(?:dob|d\.o\.b|born|birth|birthday|geb\.?|geboren|née?|nacid[oa]|nat[oa] il)\b\.?:?\s*(?:on\s+)?(?:\d|the\s+\p{L}+\s+of\s+\p{L})`)
)

// contact finds contact details.
func contact(s string) bool {
	n := digits(s)
	switch {
	case account.MatchString(s):
		return true
	case strings.ContainsAny(s, ".:") && web.MatchString(s):
		return true
	case (strings.Count(s, ".") >= 3 || strings.Count(s, ":") >= 2 || strings.Count(s, "-") >= 5) && network.MatchString(s):
		return true
	case n > 0 && (street.MatchString(s) || postal.MatchString(s) || called.MatchString(s)):
		return true
	case n >= 4 && onEarth.MatchString(s):
		return true
	case n < 7 || intake.MatchString(s):
		return false
	}
	for _, p := range phone.FindAllString(s, -1) {
		if n := digits(p); n >= 7 && n <= 15 && !isDate(p) && strings.ContainsAny(p, "+ ()-/.") && !decimal(p) && !social(p) && !counted.MatchString(p) {
			return true
		}
	}
	return false
}

// social: the form of a social security number, which is a number and no telephone.
func social(s string) bool { return forms.MatchString(s) && !strings.ContainsAny(s, "+(/ ") }

// decimal: a plain number with a decimal point.
func decimal(s string) bool {
	_, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	return err == nil && strings.Count(s, ".") == 1
}

// number finds numbers that stand for a person or a thing by label or form.
func number(s string) bool {
	n := digits(s)
	if n > 0 && labelled.MatchString(s) || plate.MatchString(s) {
		return true
	}
	if n < 4 { // the fewest of any form
		return false
	}
	upper := strings.ToUpper(s)
	if forms.MatchString(upper) {
		return true
	}
	for _, v := range vehicle.FindAllString(upper, -1) {
		if n := digits(v); n >= 4 && n < 17 {
			return true
		}
	}
	return false
}

// longNumber: more digits in a row than an amount, a count or a month has.
func longNumber(s string) bool {
	return !decimal(s) && !compact.MatchString(s) && (longRun.MatchString(s) || allDigits(s) && len(s) >= 7)
}

func digits(s string) int {
	n := 0
	for _, r := range s {
		if r >= '0' && r <= '9' {
			n++
		}
	}
	return n
}

func allDigits(s string) bool { return s != "" && digits(s) == len(s) }

// isDate reports a whole date.
func isDate(s string) bool { _, ok := dateYear(strings.TrimSpace(s)); return ok }

// dateYear finds the earliest year of the whole dates in a text.
func dateYear(s string) (year int, ok bool) {
	note := func(y string) {
		n, err := strconv.Atoi(y)
		if err != nil {
			return
		}
		if len(y) == 2 {
			n = century(n)
		}
		if !ok || n < year {
			year, ok = n, true
		}
	}
	for _, m := range yearFirst.FindAllStringSubmatch(s, -1) {
		if plausible(m[2], 12) && plausible(m[3], 31) && plausible(m[1], 2200) && len(m[1]) == 4 && (m[1][:2] == "19" || m[1][:2] == "20") {
			note(m[1])
		}
	}
	for _, m := range yearLast.FindAllStringSubmatch(s, -1) {
		if plausible(m[1], 31) && plausible(m[2], 31) && (len(m[3]) == 2 || m[3][:2] == "19" || m[3][:2] == "20") {
			note(m[3])
		}
	}
	for _, form := range []*regexp.Regexp{dayMonth, monthDay} {
		for _, m := range form.FindAllStringSubmatch(s, -1) {
			if months[fold(m[1])] {
				note(m[2])
			}
		}
	}
	for _, m := range compact.FindAllStringSubmatch(s, -1) {
		note(m[1])
	}
	if y, found := spelledDate(s, months); found {
		note(y)
	}
	return year, ok
}

// century of a year of two digits: up to 30 is taken for 20xx.
func century(n int) int {
	if n <= 30 {
		return 2000 + n
	}
	return 1900 + n
}

func plausible(s string, most int) bool {
	n, err := strconv.Atoi(s)
	return err == nil && n >= 1 && n <= most
}

// months are the names of months in several languages, folded.
var months = func() map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(`january february march april may june july august september october november december
		jan feb mar apr jun jul aug sep sept oct nov dec januar februar marz maerz mai juni juli oktober dezember dez okt
		janvier fevrier mars avril juin juillet aout septembre octobre novembre decembre enero febrero marzo abril mayo junio
		julio agosto septiembre octubre noviembre diciembre gennaio febbraio aprile maggio giugno luglio settembre ottobre
		dicembre januari februari maart augustus janeiro fevereiro maio junho julho setembro outubro novembro dezembro
		styczen stycznia lutego marzec kwiecien kwietnia czerwiec czerwca lipiec lipca sierpien sierpnia wrzesien wrzesnia
		pazdziernik pazdziernika listopad listopada grudzien grudnia desember`) {
		m[w] = true
	}
	return m
}()

// byMail finds addresses of mail; what every one of them has is looked for first, here and in
// contact and number, since most texts have none of it and a pattern takes long.
func byMail(s string) bool {
	low := strings.ToLower(s)
	sign := strings.Contains(low, "@") || strings.Contains(low, "(at)") || strings.Contains(low, "[at]")
	return sign && mail.MatchString(s) || (sign || strings.Contains(low, " at") || strings.Contains(low, "at ")) && spelt.MatchString(s)
}

// byForm gives the rule of a text whose form alone identifies; "" for none.
func byForm(s string) rules.ID {
	if !strings.ContainsFunc(s, func(r rune) bool { return unicode.IsDigit(r) || strings.ContainsRune(".@[(<:", r) }) {
		return "" // every form has one of these
	}
	switch {
	case strings.Contains(s, "<") && machineRead.MatchString(s):
		return rules.IdentifierNumber
	case strings.Contains(s, ".") && image.MatchString(s):
		return rules.IdentifierImage
	case byMail(s):
		return rules.IdentifierContact
	case number(s):
		return rules.IdentifierNumber
	case contact(s):
		return rules.IdentifierContact
	case longNumber(s), scattered(s):
		return rules.IdentifierNumber
	}
	return ""
}
