package values

import (
	"strings"

	"shortfall/ingest/columns"
)

// missingCodes are the words that say a value was not measured or not
// recorded. Blank cells, zeros, dashes and numbers such as 999 are not among
// them.
var missingCodes = map[string]bool{
	columns.MissingCode: true, "n/a": true, "na": true, "n.a.": true, "n. a.": true, "missing": true,
	"not recorded": true, "not available": true, "not known": true, "unknown": true, "nr": true,
	"unmeasured": true, "no record": true,
}

// IsMissing reports an explicit missing code, of the usual ones or of those a
// mapping declares (in lower case).
func IsMissing(s string, declared map[string]bool) bool {
	if len(s) > 40 {
		return false
	}
	low := strings.ToLower(strings.TrimSpace(s))
	return missingCodes[low] || declared[low]
}

// IsSentinel reports the numbers people write for "missing".
func IsSentinel(v float64) bool {
	switch v {
	case 99, -99, 999, -999, 9999, -9999, 99.9, -99.9, 999.9, -999.9:
		return true
	}
	return false
}
