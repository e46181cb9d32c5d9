package sampledata_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"flag"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

var export = flag.String("export", "", "write the data of testdata/recover.R to this file and stop")

// extrusions is a large practice's initial extrusions of incisors, one line
// each, with the covariates as they acted (nothing left unrecorded).
func extrusions() (sampledata.Params, []byte) {
	p := sampledata.Default()
	p.Cases, p.Unrecorded, p.MaxRefinements = 4000, 0, 0
	ds, _ := sampledata.Generate(p, 17)
	cases := map[string]casebook.Case{}
	for _, c := range ds.Cases {
		cases[c.ID] = c
	}
	var b bytes.Buffer
	fmt.Fprintln(&b, "case,clinician,wear,age,staging,style,lost,planned,achieved")
	for _, m := range ds.Movements {
		if m.Course == 1 && m.Direction() == casebook.Extrusion && m.Tooth.Class() == casebook.Incisor && m.Achieved.OK {
			c := cases[m.Case.ID]
			fmt.Fprintf(&b, "%s,%s,%s,%d,%s,%s,%t,%v,%v\n", c.ID, c.Clinician, c.Wear,
				int(c.AgeBand)-int(casebook.Age18To29), m.Staging, m.Style, m.Lost.Value, m.Planned, m.Achieved.Value)
		}
	}
	return p, b.Bytes()
}

// TestRecoveredByR: a linear mixed model fitted in R (the exact call and the
// versions are in testdata/recover.R, its output in testdata/recover.csv)
// estimates every parameter of the model within four standard errors.
func TestRecoveredByR(t *testing.T) {
	p, data := extrusions()
	if *export != "" {
		require.NoError(t, os.WriteFile(*export, data, 0o600))
		t.SkipNow()
	}
	want := map[string]float64{
		"base": 0.42, "clinician-designed": p.StyleEffect[casebook.Extrusion], "none": p.NoneEffect[casebook.Extrusion],
		"slope": p.SlopePerMM, "K1 - K2": p.Clinicians[0].Effect - p.Clinicians[1].Effect,
		"fair": p.WearEffect[casebook.WearFair], "poor": p.WearEffect[casebook.WearPoor], "age": p.AgePerBand,
		"combined": p.StagingEffect, "lost": p.LostEffect, "case sd": p.CaseSD,
	}
	out, err := os.ReadFile("testdata/recover.csv")
	require.NoError(t, err)
	rows, err := csv.NewReader(bytes.NewReader(out)).ReadAll()
	require.NoError(t, err)
	require.Equal(t, fmt.Sprintf("%x", sha256.Sum256(data)), rows[1][1], "the data have changed: run testdata/recover.R again")
	found := 0
	for _, row := range rows[2:] {
		estimate, err := strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		se, err := strconv.ParseFloat(row[2], 64)
		require.NoError(t, err)
		require.Contains(t, want, row[0])
		assert.Less(t, math.Abs(estimate-want[row[0]])/se, 4.0, "%s: R estimates %v (SE %v), true %v", row[0], estimate, se, want[row[0]])
		assert.Less(t, se, 0.02, row[0])
		found++
	}
	assert.Equal(t, len(want), found)
}
