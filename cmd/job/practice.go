package job

import (
	"errors"

	"shortfall/ingest/columns"
	"shortfall/ingest/privacy"
	"shortfall/ingest/values"
)

// Harmless reports a code of a practice to which the screen for identifiers does not object.
func Harmless(code string) bool {
	return privacy.CellRule(privacy.Cell{Text: code}, columns.Practice, false) == ""
}

// PracticeCode is the code of a practice that a person typed for cases, in the form in which
// codes are compared; "" for none.
func PracticeCode(typed string) (string, error) {
	code := values.TypedCode(typed)
	if !Harmless(code) {
		return "", errors.New("this name of a practice looks as if it named a person or a record: give the practice a code that does not")
	}
	return code, nil
}
