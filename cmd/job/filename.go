package job

import (
	"path"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

// longestCode is what a file name takes of the code of a practice.
const longestCode = 24

// mostCodes of practices stand in a file name.
const mostCodes = 3

// FileName makes of "report.pdf" a name that says whose report it is, of what time and of
// which day, so that two of them lie beside each other: "report_MOONQUAY_2023Q4-2026Q3_
// 2026-09-30.pdf". It has letters and digits of ASCII, hyphens and low lines alone, and
// says of a clinician nothing.
func FileName(name string, r *results.Results) string {
	ending := path.Ext(name)
	parts := []string{strings.TrimSuffix(name, ending)}
	add := func(s string) {
		if s = safe(s); s != "" {
			parts = append(parts, s)
		}
	}
	if codes := r.Scope.Practices; len(codes) > mostCodes {
		add(wording.Of(len(codes), "practice"))
	} else {
		for _, c := range codes {
			add(c)
		}
	}
	set := &r.Provenance.Settings
	period := wording.Period(r.Scope)
	if q := set.Period.Quarter; q != 0 {
		period = q.Quarter()
	}
	add(strings.ReplaceAll(strings.ReplaceAll(period, " to ", "-"), " Q", "Q"))
	add(r.Provenance.Date)
	if set.Shared {
		add("shared")
	}
	if r.Provenance.Invented {
		add("invented")
	}
	return strings.Join(parts, "_") + ending
}

// safe keeps what any system takes in the name of a file.
func safe(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	out := b.String()
	return strings.Trim(out[:min(len(out), longestCode)], "-")
}
