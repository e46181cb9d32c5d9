package values

import (
	"regexp"
	"strconv"
	"strings"

	"shortfall/ingest/rules"
)

// ages are years with or without the word for them, and with or without months: "48",
// "48 J.", "15;4", "15 J. 4 M.", "12y 3m" (common practice, no source).
var ages = regexp.MustCompile(`^(\d{1,3})(?:\.0)?(?:\s*;\s*(\d{1,2})|\s*(?:j(?:ahre?|\.)?|y(?:ears?|rs?|\.)?(?: old)?|yo|y/o|a(?:ns?|ños|nni|nos|\.)|jaar|jr\.?|lat|år)\.?(?:\s*,?\s*(?:(?:und|and|et|y|e|en|i|og|och)\s+)?(\d{1,2})\s*(?:m(?:onate?|onths?|onden|o|ois|eses?|esi|aanden?|iesi\w*|åneder|ånader|\.)?)\.?)?)?$`)

// ParseAge reads an age in whole years; months beside it are left out.
func ParseAge(s string) (int, error) { return age(s) }

var age = remembered(func(s string) (int, error) {
	m := ages.FindStringSubmatch(strings.ToLower(tidy(s)))
	if m == nil {
		return 0, fail(rules.CountUnreadable, "the cell is not an age in years")
	}
	for _, months := range m[2:] {
		if n, err := strconv.Atoi(months); err == nil && n > 11 {
			return 0, fail(rules.CountUnreadable, "the age has more than 11 months beside its years")
		}
	}
	n, err := strconv.Atoi(m[1])
	if err != nil || n < 4 || n > 110 {
		return 0, fail(rules.CountUnreadable, "the age is out of range")
	}
	return n, nil
})
