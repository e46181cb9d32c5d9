package job

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
)

// Describe writes the fields of a stored record, in their order, without those
// not recorded and the case that the reader asked for.
func Describe(kind casebook.Kind, record json.RawMessage) (string, error) {
	return DescribeIn(casebook.FDI, kind, record)
}

// DescribeIn is Describe with teeth in a notation.
func DescribeIn(n casebook.Notation, kind casebook.Kind, record json.RawMessage) (string, error) {
	d := json.NewDecoder(bytes.NewReader(record))
	d.UseNumber()
	if _, err := d.Token(); err != nil { // the opening brace
		return "", err
	}
	var parts []string
	for d.More() {
		key, err := d.Token()
		if err != nil {
			return "", err
		}
		value, err := d.Token()
		if err != nil {
			return "", err
		}
		if key == "tooth" {
			value = toothOf(value, n)
		}
		if part := fieldText(kind, fmt.Sprint(key), value); part != "" {
			parts = append(parts, part)
		}
	}
	return strings.Join(parts, ", "), nil
}

// toothOf is a stored tooth, an FDI number, in a notation.
func toothOf(value any, n casebook.Notation) any {
	number, err := strconv.Atoi(fmt.Sprint(value))
	if err != nil || n == casebook.FDI || n == casebook.NoNotation {
		return value
	}
	t, err := casebook.ToothFromFDI(number)
	if err != nil {
		return value
	}
	return toothIn(t, n)
}

// fieldText writes one stored field; what is stored as 0 or 1 is said in words.
func fieldText(kind casebook.Kind, key string, value any) string {
	name := strings.ReplaceAll(key, "_", " ")
	yes := fmt.Sprint(value) == "1"
	switch {
	case value == nil || key == "case_id" || key == "practice" && (value == "" || kind != casebook.CaseKind) || key == "size_only" && !yes:
		return ""
	case key == "size_only":
		return "recorded without direction"
	case key == "lost" && yes:
		return "lost yes"
	case key == "lost":
		return "lost no"
	}
	return fmt.Sprintf("%s %v", name, value)
}

// CountsText writes the counts so that the reader can add them up.
func CountsText(c casebook.Counts) string {
	return fmt.Sprintf("%s read = %d accepted + %d rejected + %d blank", Plural(c.Read, "row"), c.Accepted, c.Rejected, c.Blank)
}

// Plural writes "1 file" or "3 files".
func Plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	if strings.HasSuffix(word, "y") {
		return fmt.Sprintf("%d %sies", n, strings.TrimSuffix(word, "y"))
	}
	return fmt.Sprintf("%d %ss", n, word)
}
