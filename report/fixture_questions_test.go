package report

import (
	"context"
	"fmt"
	"strings"
	"sync"

	"shortfall/audit"
	"shortfall/audit/declare"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// questioned are results of real audits of invented practices, with everything
// the pages beyond the grid can hold, everyday two of them. They are computed once.
var questioned = sync.OnceValue(func() map[string]*results.Results {
	cases := everyday(160, 100)
	now := auditedSince(cases, 1, nil, &audit.Earlier{Results: audited(cases, 2, func(ds *casebook.Dataset, _ *results.Settings) {
		for i := range ds.Cases {
			ds.Cases[i].Practice = "ELSEWHERE"
		}
	})})
	quarter := audited(cases, 6, func(_ *casebook.Dataset, s *results.Settings) {
		s.Questions.Criteria = nil
		s.Period = results.Period{Quarter: casebook.NewMonth(2025, 4), Clinician: "K1"}
	})
	out := map[string]*results.Results{"quarter": quarter, "questions": now}
	if long {
		out["questions shared"] = audited(60, 3, func(_ *casebook.Dataset, s *results.Settings) { s.Shared = true })
		out["many clinicians"] = audited(300, 4, manyClinicians)
		out["quarter without cases"] = audited(120, 5, emptySpring)
	}
	return out
})

func audited(cases int, seed uint64, change func(*casebook.Dataset, *results.Settings)) *results.Results {
	return auditedSince(cases, seed, change, nil)
}

func auditedSince(cases int, seed uint64, change func(*casebook.Dataset, *results.Settings), earlier *audit.Earlier) *results.Results {
	p := sampledata.Default()
	p.Cases = cases
	ds, _ := sampledata.Generate(p, seed)
	s := results.DefaultSettings()
	s.Questions.Criteria = must(declare.ParseCriteria("criteria.toml", []byte(criteriaFile)))
	if change != nil {
		change(ds, &s)
	}
	return must(audit.RunSince(context.Background(), ds, s, "0.1.0", earlier))
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// manyClinicians gives the cases to forty clinicians of three practices with
// long codes.
func manyClinicians(ds *casebook.Dataset, _ *results.Settings) {
	for i := range ds.Cases {
		ds.Cases[i].Clinician = fmt.Sprintf("Ορθ-%02d", i*i%40)
		ds.Cases[i].Practice = fmt.Sprintf("%s-%d", strings.Repeat("Wrocław", 2), i%3)
	}
}

// emptySpring moves every course of one quarter to the next.
func emptySpring(ds *casebook.Dataset, _ *results.Settings) {
	late := func(m *casebook.Month) {
		if m.Quarter() == "2024 Q2" {
			*m += 3
		}
	}
	for i := range ds.Cases {
		late(&ds.Cases[i].Start)
	}
	for i := range ds.Courses {
		late(&ds.Courses[i].Start)
	}
}

const criteriaFile = `version = 1
[[criterion]]
name = "Extrusion of incisors"
measure = "outside tolerance"
direction = "extrusion"
tooth_class = "incisor"
course = "initial"
at_most = 0.30
baseline = ["2023 Q4", "2024 Q1", "2024 Q3", "2024 Q4"]
source = "agreed in the practice meeting"
[[criterion]]
name = "Rotation inwards, a criterion with a name long enough to need more than a line in any table it may stand in"
measure = "mean shortfall"
direction = "rotation mesial-in"
at_most = 4
baseline = ["2023 Q4", "2024 Q1"]
[[criterion]]
name = "Refinements"
measure = "cases refined"
at_most = 0.5
[[criterion]]
name = "Molars, vertical"
measure = "expression"
axis = "vertical"
tooth_class = "molar"
arch = "upper"
style = "clinician-designed"
course = "refinement"
at_least = 0.6
[[change]]
month = "2025-01"
description = "extrusion of incisors sequenced after derotation, and reviewed at each visit by the second clinician of the practice"
[[change]]
month = "2024-10"
description = "vertical long edge for every rotation"
criteria = ["Rotation inwards, a criterion with a name long enough to need more than a line in any table it may stand in"]
[[action]]
what = "review the staging of incisor extrusion with both clinicians"
owner = "clinical lead"
due = "2026-06"
reaudit = "2026-09"
criterion = "Extrusion of incisors"
`
