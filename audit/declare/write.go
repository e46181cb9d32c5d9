package declare

import (
	"fmt"
	"strconv"
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// WriteCriteria writes criteria as the file that ParseCriteria reads.
func WriteCriteria(c *results.Criteria) []byte {
	var w tomlWriter
	w.line("# What this practice audits itself against. Months are YYYY-MM, shares 0 to 1.")
	w.line("version = 1")
	for i := range c.Criteria {
		w.criterion(&c.Criteria[i])
	}
	if q := c.Primary; q != nil {
		w.line("\n[primary]")
		w.text("direction", q.Direction.String())
		w.cell(q.ToothClass, q.Arch, q.Course)
		w.month("declared", q.Declared)
		var looks []string
		for _, m := range q.Looks {
			looks = append(looks, m.String())
		}
		w.list("looks", looks)
	}
	for _, x := range c.Changes {
		w.line("\n[[change]]")
		w.month("month", x.Month)
		w.text("description", x.Description)
		w.list("criteria", x.Criteria)
	}
	for _, x := range c.ActionsOf {
		w.line("\n[[action]]")
		w.text("what", x.What)
		w.text("owner", x.Owner)
		w.month("due", x.Due)
		w.month("reaudit", x.Reaudit)
		w.text("criterion", x.Criterion)
	}
	return []byte(w.String())
}

// tomlWriter writes keys that have a value; the others keep their default.
type tomlWriter struct{ strings.Builder }

func (w *tomlWriter) line(s string) { w.WriteString(s + "\n") }

func (w *tomlWriter) text(key, v string) {
	if v != "" {
		w.line(key + " = " + quote(v))
	}
}

func (w *tomlWriter) month(key string, m casebook.Month) { w.text(key, m.String()) }

func (w *tomlWriter) list(key string, list []string) {
	if len(list) == 0 {
		return
	}
	quoted := make([]string, len(list))
	for i, s := range list {
		quoted[i] = quote(s)
	}
	w.line(key + " = [" + strings.Join(quoted, ", ") + "]")
}

func (w *tomlWriter) number(key string, v *float64) {
	if v != nil {
		s := strconv.FormatFloat(*v, 'f', -1, 64)
		if !strings.Contains(s, ".") {
			s += ".0"
		}
		w.line(key + " = " + s)
	}
}

func (w *tomlWriter) cell(class casebook.ToothClass, arch casebook.Arch, course results.CourseStratum) {
	if class != casebook.NoClass {
		w.text("tooth_class", class.String())
	}
	if arch != casebook.NoArch {
		w.text("arch", arch.String())
	}
	w.text("course", string(course))
}

func (w *tomlWriter) criterion(k *results.Criterion) {
	w.line("\n[[criterion]]")
	w.text("name", k.Name)
	w.text("measure", string(k.Measure))
	if k.Direction != casebook.NoDirection {
		w.text("direction", k.Direction.String())
	}
	if k.Axis != casebook.NoAxis {
		w.text("axis", k.Axis.String())
	}
	if k.Style != casebook.NoStyle {
		w.text("style", k.Style.String())
	}
	w.cell(k.ToothClass, k.Arch, k.Course)
	if k.Within != 0 {
		w.line(fmt.Sprintf("within = %d", k.Within))
	}
	w.month("from", k.From)
	w.number("at_most", k.AtMost)
	w.number("at_least", k.AtLeast)
	w.list("baseline", k.Baseline)
	w.text("source", k.Source)
}

// quote writes a basic string (TOML 1.0.0, "String"): what Go's quoting escapes
// otherwise, such as \x00, TOML writes as \u0000.
func quote(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < ' ' || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
